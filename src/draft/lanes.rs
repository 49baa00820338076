//! Drafts of 16 bodies at once: the construction over [`Lanes`], for `batch`.
//!
//! All lanes have the same number of darts and the same kinds of curves. A valid lane equals the result of
//! [`draft`](super::draft) for its body to the last bit. A lane is invalid if a curve bends too much for the lane
//! formulas, if the waist needs too many steps, or if the draft would be refused; the caller drafts its body with
//! `draft`.

use super::apportion::{self, SuppressionSplitRule};
use super::closure::ArcLength;
use super::panel::{MAX_STRETCH_SERIES_SQUARED_TANGENT, WaistStretch};
use super::side::{MAX_SPLINE_SERIES_SQUARED_LEAN, NATURAL_SPLINE_FULLNESS, SideShape};
use super::summary::Summary;
use super::{DraftPlan, SeriesCurves, closure, half_hip_and_half_waist_with_ease, limits};
use crate::body::{Body, Darts, Ease, PanelRules, Shares};
use crate::geometry::{Cubic, MAX_SQUARED_CHANGE_RATIO_FOR_ONE_INTERVAL};
use crate::scalar::{Lanes, Number};

/// Maximum number of secant steps to close the waists of all lanes; a lane that needs more steps is invalid.
const MAX_SECANT_STEPS_IN_LANES: usize = 8;

/// Way to apportion the suppression, by shares or by given darts, which is the same for all lanes.
#[derive(Clone, Copy)]
pub(crate) enum LaneApportionment<'a> {
    /// By shares: the rules, the number of darts in back and front, the tangent of the steepest lean of the side seam.
    Shares(&'a Shares<Lanes>, [usize; 2], Lanes),
    /// By the darts that the rules give.
    Darts(&'a Darts<Lanes>),
}

/// Returns, lane by lane, how many darts the shares give to back and front.
#[inline(always)]
pub(crate) fn lane_share_dart_counts(
    body: &Body<Lanes>,
    ease: &Ease<Lanes>,
    fullness: Lanes,
    rules: &Shares<Lanes>,
    max_tangent: Lanes,
) -> [Lanes; 2] {
    let [hip, target] = half_hip_and_half_waist_with_ease(body, ease);
    let side = SideShape { depth: body.hip_depth, fullness, natural: false };
    apportion::share_dart_counts_and_split(hip - target, &side, rules, max_tangent).0
}

/// Returns, lane by lane, whether a series gives the arc length of back waist, front waist and side seam: 1 or 0.
#[inline(always)]
pub(crate) fn lane_series_length_masks(panel_rules: &PanelRules<Lanes>) -> [Lanes; 3] {
    let natural = Lanes::constant(NATURAL_SPLINE_FULLNESS);
    [
        panel_rules.centre_back_lower.eq(Lanes::constant(0.0)),
        panel_rules.centre_front_lower.eq(Lanes::constant(0.0)),
        panel_rules.side_fullness.eq(natural),
    ]
}

/// Drafts the bodies of all lanes, then calls `visit` once with their summary and a mask: 1 in valid lanes, else 0.
#[inline(always)]
pub(crate) fn visit_lane_summary(
    body: &Body<Lanes>,
    ease: &Ease<Lanes>,
    panel_rules: &PanelRules<Lanes>,
    series: SeriesCurves,
    apportionment: LaneApportionment,
    visit: impl FnOnce(&Summary<Lanes>, Lanes),
) {
    let mut plan = DraftPlan::new(body, ease, panel_rules, series);
    add_darts_and_split_in_lanes(&mut plan, apportionment);
    let mut valid = Lanes::TRUE;
    let (total, residual) = closing_suppressions_and_residuals(&plan, &mut valid);
    let amounts = [plan.split.split_suppression(plan.nominal), plan.split.split_suppression(total)];
    let mut summary = Summary::zeros_without_darts();
    let mut arc = LaneArcLength { finished: Lanes::FALSE, valid: &mut valid };
    plan.measure_into_summary(total, &amounts, body.length, &mut arc, &mut summary);
    let closed = residual.abs().le(Lanes::constant(limits::MAX_HALF_WAIST_ERROR_CM));
    let within_limits = lanes_within_draft_limits(&summary, body.hip_depth);
    visit(&summary, valid.and(closed).and(within_limits));
}

/// Returns the suppression in centimetres that closes the waist of each lane, and a mask: 1 in valid lanes, else 0.
#[inline(always)]
pub(crate) fn lane_closing_suppressions(
    body: &Body<Lanes>,
    ease: &Ease<Lanes>,
    panel_rules: &PanelRules<Lanes>,
    series: SeriesCurves,
    apportionment: LaneApportionment,
) -> (Lanes, Lanes) {
    let mut plan = DraftPlan::new(body, ease, panel_rules, series);
    add_darts_and_split_in_lanes(&mut plan, apportionment);
    let mut valid = Lanes::TRUE;
    let (total, residual) = closing_suppressions_and_residuals(&plan, &mut valid);
    (total, valid.and(residual.abs().le(Lanes::constant(limits::MAX_HALF_WAIST_ERROR_CM))))
}

/// Returns a mask: 1 in lanes whose draft keeps every limit of [`limits`], 0 in others.
///
/// A lane with darts and an outward-leaning side seam gets 0, as only the check for one body covers that case.
#[inline(always)]
fn lanes_within_draft_limits(summary: &Summary<Lanes>, hip_depth: Lanes) -> Lanes {
    let mut within = summary.lean.abs().le(Lanes::constant(limits::MAX_SIDE_SEAM_LEAN_TANGENT));
    for panel in &summary.panels {
        within = within.and(Lanes::constant(limits::MIN_CLOTH_BETWEEN_NEIGHBOURS_CM).le(panel.narrowest));
        within = within.and(panel.waist_lowering.lt(hip_depth));
        for dart in &panel.darts {
            within = within.and(dart.tip.lt(hip_depth)).and(Lanes::constant(0.0).le(summary.suppression.side));
        }
    }
    within
}

/// Adds the darts and the rule that splits the suppression to a plan that holds all lanes.
#[inline(always)]
fn add_darts_and_split_in_lanes(plan: &mut DraftPlan<Lanes>, apportionment: LaneApportionment) {
    plan.set_darts_and_rule(
        #[inline(always)]
        |_, side, darts| match apportionment {
            LaneApportionment::Shares(rules, counts, max_tangent) => {
                let has_darts = [Lanes::uniform_mask(counts[0] > 0), Lanes::uniform_mask(counts[1] > 0)];
                apportion::append_share_darts(counts, side.depth, rules, darts);
                SuppressionSplitRule::by_shares(has_darts, side, rules, max_tangent)
            }
            LaneApportionment::Darts(given) => apportion::add_darts_given_by_rules(given, darts),
        },
    );
}

/// Method that measures arc lengths in lanes; a lane whose curve bends too much becomes invalid, unless finished.
struct LaneArcLength<'a> {
    /// Mask of finished lanes, whose solution is found or abandoned: their curves can no longer make them invalid.
    finished: Lanes,
    /// Mask of valid lanes, whose arc lengths are all accurate so far.
    valid: &'a mut Lanes,
}

impl ArcLength<Lanes> for LaneArcLength<'_> {
    #[inline(always)]
    fn waist_stretch_length(&mut self, stretch: &WaistStretch<Lanes>) -> Lanes {
        if !stretch.symmetric {
            return self.quadrature_length_marking_invalid(&stretch.cubic_with_end_y(Lanes::constant(0.0)));
        }
        let (length, w) = stretch.symmetric_length_and_squared_tangent();
        *self.valid = self.valid.and(w.le(Lanes::constant(MAX_STRETCH_SERIES_SQUARED_TANGENT)).or(self.finished));
        length
    }

    #[inline(always)]
    fn side_seam_length_above_hip(&mut self, loss: Lanes, curve: &SideShape<Lanes>) -> Lanes {
        if !curve.natural {
            return self.quadrature_length_marking_invalid(&curve.side_seam_cubic(loss, loss));
        }
        let (length, q) = curve.natural_length_and_squared_lean_tangent(loss);
        *self.valid = self.valid.and(q.le(Lanes::constant(MAX_SPLINE_SERIES_SQUARED_LEAN)).or(self.finished));
        length
    }
}

impl LaneArcLength<'_> {
    /// Returns the arc length by one eight-point Gauss–Legendre rule; marks lanes whose curve bends too much invalid.
    #[inline(never)]
    fn quadrature_length_marking_invalid(&mut self, cubic: &Cubic<Lanes>) -> Lanes {
        let differences = cubic.control_point_differences();
        let (change, chord) = differences.squared_derivative_change_and_chord();
        let max_change = chord * Lanes::constant(MAX_SQUARED_CHANGE_RATIO_FOR_ONE_INTERVAL);
        *self.valid = self.valid.and(change.le(max_change).or(self.finished));
        differences.arc_length_by_quadrature(1)
    }
}

/// Finds the suppression that closes the waist of every lane, by secant steps; returns suppressions and residuals.
///
/// Each lane keeps the solution of the step at which the solver for one body would stop.
#[inline(always)]
fn closing_suppressions_and_residuals(plan: &DraftPlan<Lanes>, valid: &mut Lanes) -> (Lanes, Lanes) {
    let mut finished = Lanes::FALSE;
    let (mut solution, mut solution_residual) = (plan.nominal, Lanes::constant(f64::INFINITY));
    let (mut oldest_residual, mut last, mut last_residual) = (Lanes::constant(0.0), plan.nominal, Lanes::constant(0.0));
    let (mut total, mut last_limits) = (plan.nominal, Lanes::constant(0.0));
    for step in 0..=MAX_SECANT_STEPS_IN_LANES {
        let (residual, limits) = closure::residual_and_limits(plan, total, &mut LaneArcLength { finished, valid });
        if step == 0 {
            (last_residual, last_limits) = (residual, limits);
            total = closure::extrapolate_closing_suppression(total, residual);
            continue;
        }
        let change = residual - last_residual;
        let next = total - residual * (total - last) / change;
        let predicted = residual * residual / oldest_residual;
        let (tolerance, tiny) = (Lanes::constant(closure::RESIDUAL_TOLERANCE_CM), Lanes::constant(f64::MIN_POSITIVE));
        let closed = residual.abs().le(tolerance).or(change.abs().lt(tiny));
        let small_product = (residual * last_residual).abs().le(Lanes::constant(closure::MAX_TRUSTED_RESIDUAL_PRODUCT));
        let same_limits = limits.eq(last_limits).and(limits.eq(plan.split.split_suppression(next).active_limits));
        let reliable = predicted.abs().le(tolerance).and(small_product).and(same_limits).and(closed.not());
        let stops = closed.or(reliable).and(finished.not());
        solution = stops.select(closed.select(total, next), solution);
        solution_residual = stops.select(closed.select(residual, predicted), solution_residual);
        finished = finished.or(stops).or(valid.not());
        if finished.all() {
            break;
        }
        (oldest_residual, last, last_residual, last_limits) = (last_residual, total, residual, limits);
        total = next;
    }
    (solution, solution_residual)
}
