//! [`DraftKind`]: what is decided before the waist is closed, the number of darts and the kinds of curves.
//!
//! Drafts of one kind take the same branches of the construction, so that they can share lanes.

use super::apportion;
use super::side::{NATURAL_SPLINE_FULLNESS, SideShape};
use super::{half_hip_and_half_waist_with_ease, tangent_of_degrees};
use crate::body::{Apportionment, Inputs, PanelRules, Rules};
use crate::scalar::{Mask, Number, Scalar};

/// Number of darts of a draft, and for each of its curves whether a series, instead of quadrature, gives the length.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct DraftKind {
    /// Number of darts by shares in back and front, 0 to 2 each; 0 if the rules give the darts.
    pub(super) counts: [usize; 2],
    /// Whether each stretch of the waist is mirror-symmetric, in back and front: no rule lowers the centre further.
    pub(super) has_symmetric_waist: [bool; 2],
    /// Whether the side seam is the natural spline.
    pub(super) has_natural_side: bool,
}

impl DraftKind {
    /// Number of flags that make up a kind.
    pub(crate) const FLAG_COUNT: usize = 7;

    /// Decides the kind of the draft in each lane: one mask for each flag of [`from_flags`](Self::from_flags).
    ///
    /// `max_tangent` is the tangent of the steepest lean of the side seam.
    #[inline(always)]
    pub(crate) fn flags<T: Number>(inputs: &Inputs<T>, max_tangent: T) -> [T::Mask; Self::FLAG_COUNT] {
        let Inputs { body, ease, rules } = inputs;
        let PanelRules { centre_back_lower, centre_front_lower, side_fullness, .. } = rules.panel_rules;
        let mut counts = [[T::Mask::uniform(false); 2]; 2];
        if let Apportionment::Shares(shares) = &rules.apportionment {
            let [hip, target] = half_hip_and_half_waist_with_ease(body, ease);
            let side = SideShape { depth: body.hip_depth, fullness: side_fullness, natural: false };
            counts = apportion::share_dart_masks(hip - target, &side, shares, max_tangent);
        }
        let [[one_back, two_back], [one_front, two_front]] = counts;
        let [back, front] = [centre_back_lower, centre_front_lower].map(|lower| is_constant(lower, 0.0));
        let natural = is_constant(side_fullness, NATURAL_SPLINE_FULLNESS);
        [one_back, two_back, one_front, two_front, back, front, natural]
    }

    /// Returns the kind with these flags.
    pub(crate) fn from_flags(flags: [bool; Self::FLAG_COUNT]) -> Self {
        let [one_back, two_back, one_front, two_front, back, front, natural] = flags;
        let count = |one, two| usize::from(one) + usize::from(two);
        let counts = [count(one_back, two_back), count(one_front, two_front)];
        Self { counts, has_symmetric_waist: [back, front], has_natural_side: natural }
    }
}

/// Returns whether a rule equals `value`. A rule with derivatives does not: a series lacks the derivatives by the rule.
#[inline(always)]
fn is_constant<T: Number>(rule: T, value: f64) -> T::Mask {
    let value = T::constant(value);
    rule.le(value) & value.le(rule) & T::Mask::uniform(!rule.may_vary())
}

/// Returns the tangent of the rule `steepest_side`; 0 if the rules give the darts.
pub(super) fn steepest_side_tangent<T: Scalar>(rules: &Rules<T>) -> T {
    match &rules.apportionment {
        Apportionment::Shares(shares) => tangent_of_degrees(shares.steepest_side),
        Apportionment::Darts(_) => T::constant(0.0),
    }
}
