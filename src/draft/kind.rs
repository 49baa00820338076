//! [`DraftKind`]: what is decided before the waist is closed, the number of darts and the kinds of curves.
//!
//! Drafts of one kind take the same branches of the construction, so that they can share lanes.

use super::apportion::estimate_darts_by_shares;
use super::figure::{MeasuredCentreDepths, balance_by_figure_or_rule, estimated_shares};
use super::high_hip::estimated_tight_lanes;
use super::plan::half_hip_and_half_waist_with_ease;
use super::side::SideSeamShape;
use super::tangent_of_degrees;
use crate::body::{Inputs, MAX_DARTS_PER_PANEL, PanelRules, is_given};
use crate::scalar::{Mask, Number, Scalar};

/// Kind of a draft: its numbers of darts, the kinds of its curves, and the measurements that the solver must reach.
#[allow(clippy::struct_excessive_bools, reason = "each is a flag by which bodies are grouped for drafting in lanes")]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct DraftKind {
    /// Numbers of darts in back and front that the shares give, 0 to 3 each; 0 if the rules give the darts.
    pub(super) share_dart_counts: [usize; 2],
    /// Whether each stretch of the waist of back and front is symmetric, as neither rule nor figure moves the centre.
    pub(super) has_symmetric_waist: [bool; 2],
    /// Whether the centre back seam slants between waist and hip line.
    pub(super) has_slanted_centre_back: bool,
    /// Whether a front waist is measured.
    pub(super) has_front_waist: bool,
    /// Whether a high hip is measured.
    pub(super) has_high_hip: bool,
}

impl DraftKind {
    /// Number of flags that make up a kind: three for the darts of each panel, and six others.
    pub(crate) const FLAG_COUNT: usize = 12;

    /// Decides the kind of the draft in each lane; returns one mask for each flag of [`from_flags`](Self::from_flags).
    ///
    /// `max_lean_tangent` is the tangent of the steepest lean of the side seam. The last flag groups lanes only: the
    /// estimate that a high hip is tight, as such drafts take more time.
    #[inline(always)]
    pub(crate) fn flag_masks<T: Number>(inputs: &Inputs<T>, max_lean_tangent: T) -> [T::Mask; Self::FLAG_COUNT] {
        let Inputs { body, figure, ease, rules } = inputs;
        let PanelRules { centre_back_lower, centre_front_lower, centre_back_in, side_fullness, .. } = rules.panel_rules;
        let no_lane = T::Mask::uniform(false);
        let (mut counts, mut is_tight) = ([[no_lane; MAX_DARTS_PER_PANEL]; 2], no_lane);
        if let Some(shares) = rules.shares() {
            let [hip, target] = half_hip_and_half_waist_with_ease(body, ease);
            let side = SideSeamShape { depth: body.hip_depth, fullness: side_fullness };
            let (quarter, balance) = (hip * T::constant(0.5), balance_by_figure_or_rule(inputs));
            let (widths, nominal) = ([quarter - balance, quarter + balance], hip - target);
            let shares = (shares, estimated_shares(inputs, shares));
            let estimated =
                estimate_darts_by_shares([nominal, centre_back_in], widths, &side, shares, max_lean_tangent);
            if let Some(depth_and_girth) = figure.high_hip_depth_and_min_girth(ease) {
                is_tight = estimated_tight_lanes(depth_and_girth, hip, &side, shares.0, &estimated);
            }
            counts = estimated.count_masks;
        }
        let [[back1, back2, back3], [front1, front2, front3]] = counts;
        let [back, front] = MeasuredCentreDepths::measured_centre_masks(figure);
        let back = equals_without_derivative(centre_back_lower, 0.0) & !back;
        let front = equals_without_derivative(centre_front_lower, 0.0) & !front;
        let slant = !equals_without_derivative(centre_back_in, 0.0);
        let [front_waist, high_hip] = [is_given(figure.front_waist), is_given(figure.high_hip)];
        [back1, back2, back3, front1, front2, front3, back, front, slant, front_waist, high_hip, is_tight]
    }

    /// Decides the kind of one draft; returns the kind, and the tangent of the angle `steepest_side` of the rules, 0 if
    /// the rules give the darts.
    pub(super) fn kind_and_steepest_side_tangent<T: Scalar>(inputs: &Inputs<T>) -> (Self, T) {
        let steepest = inputs.rules.shares().map(|shares| tangent_of_degrees(shares.steepest_side));
        let max_lean_tangent = steepest.unwrap_or(T::constant(0.0));
        (Self::from_flags(Self::flag_masks(inputs, max_lean_tangent).map(Mask::all)), max_lean_tangent)
    }

    /// Returns the kind from its flags, in the order of [`flag_masks`](Self::flag_masks).
    pub(crate) fn from_flags(flags: [bool; Self::FLAG_COUNT]) -> Self {
        let [darts @ .., back, front, has_slanted_centre_back, has_front_waist, has_high_hip, _] = flags;
        let (back_darts, front_darts) = darts.split_at(MAX_DARTS_PER_PANEL);
        let share_dart_counts = [back_darts, front_darts].map(|flags| flags.iter().filter(|flag| **flag).count());
        let has_symmetric_waist = [back, front];
        Self { share_dart_counts, has_symmetric_waist, has_slanted_centre_back, has_front_waist, has_high_hip }
    }
}

/// Returns a mask of the lanes in which a rule equals `value`; false for a rule with derivatives, as the shortcuts for
/// that value would lose them.
#[inline(always)]
fn equals_without_derivative<T: Number>(rule: T, value: f64) -> T::Mask {
    let value = T::constant(value);
    rule.le(value) & value.le(rule) & T::Mask::uniform(!rule.may_have_derivative())
}
