//! Drafts of 16 bodies at once: the construction over [`Lanes`], for `batch`.
//!
//! All lanes have the same number of darts and the same kinds of curves. A valid lane equals the result of
//! [`draft`](super::draft) for its body to the last bit. A lane is invalid if a curve bends too much for the lane
//! formulas, if the waist needs too many steps, or if the draft would be refused; the caller drafts its body with
//! `draft`.

use super::apportion::{self, SuppressionSplit};
use super::closure::ArcLength;
use super::panel::{MAX_STRETCH_SERIES_W, Stretch};
use super::side::{MAX_SPLINE_SQUARED_LEAN, NATURAL_FULLNESS, SideCurve};
use super::summary::Summary;
use super::{Plan, SeriesLengths, closure, half_girths, limits};
use crate::body::{Body, Darts, Ease, PanelRules, Shares};
use crate::geometry::{Cubic, MAX_SQUARED_CHANGE_RATIO};
use crate::scalar::{Lanes, Number};

/// Maximum number of secant steps in lanes; a lane whose waist needs more steps is invalid.
const MAX_LANE_SECANT_STEPS: usize = 8;

/// Apportionment of the suppression that all lanes have in common.
#[derive(Clone, Copy)]
pub(crate) enum LaneApportionment<'a> {
    /// Apportionment by shares: rules, number of darts in back and front, tangent of the steepest side seam.
    Shares(&'a Shares<Lanes>, [usize; 2], Lanes),
    /// Apportionment by given darts.
    Darts(&'a Darts<Lanes>),
}

/// Returns the number of darts by shares in back and front, lane by lane.
#[inline(always)]
pub(crate) fn lane_dart_counts(
    body: &Body<Lanes>,
    ease: &Ease<Lanes>,
    fullness: Lanes,
    rules: &Shares<Lanes>,
    max_tangent: Lanes,
) -> [Lanes; 2] {
    let [hip, target] = half_girths(body, ease);
    let side = SideCurve { depth: body.hip_depth, fullness, natural: false };
    apportion::counts_and_split(hip - target, &side, rules, max_tangent).0
}

/// Returns, lane by lane, which arc lengths have a series: back waist, front waist, side seam; 1 for yes, 0 for no.
#[inline(always)]
pub(crate) fn lane_series_lengths(panel_rules: &PanelRules<Lanes>) -> [Lanes; 3] {
    let natural = Lanes::constant(NATURAL_FULLNESS);
    [
        panel_rules.centre_back_lower.eq(Lanes::constant(0.0)),
        panel_rules.centre_front_lower.eq(Lanes::constant(0.0)),
        panel_rules.side_fullness.eq(natural),
    ]
}

/// Drafts the bodies of all lanes, then calls `visit` with their summary and a mask of the valid lanes, 1 or 0.
#[inline(always)]
pub(crate) fn visit_lane_summary(
    body: &Body<Lanes>,
    ease: &Ease<Lanes>,
    panel_rules: &PanelRules<Lanes>,
    series: SeriesLengths,
    apportionment: LaneApportionment,
    visit: impl FnOnce(&Summary<Lanes>, Lanes),
) {
    let mut plan = Plan::new(body, ease, panel_rules, series);
    apportion_lanes(&mut plan, apportionment);
    let mut valid = Lanes::TRUE;
    let (total, residual) = close_waists(&plan, &mut valid);
    let amounts = [plan.split.amounts(plan.nominal), plan.split.amounts(total)];
    let mut summary = Summary::empty();
    let mut arc = LaneArcLength { finished: Lanes::FALSE, valid: &mut valid };
    plan.measure(total, &amounts, body.length, &mut arc, &mut summary);
    let closed = residual.abs().le(Lanes::constant(limits::MAX_WAIST_ERROR_CM));
    let within_limits = within_limits(&summary, body.hip_depth);
    visit(&summary, valid.and(closed).and(within_limits));
}

/// Solves for the suppressions of all lanes; returns them in centimetres, with a mask of the valid lanes, 1 or 0.
#[inline(always)]
pub(crate) fn lane_suppressions(
    body: &Body<Lanes>,
    ease: &Ease<Lanes>,
    panel_rules: &PanelRules<Lanes>,
    series: SeriesLengths,
    apportionment: LaneApportionment,
) -> (Lanes, Lanes) {
    let mut plan = Plan::new(body, ease, panel_rules, series);
    apportion_lanes(&mut plan, apportionment);
    let mut valid = Lanes::TRUE;
    let (total, residual) = close_waists(&plan, &mut valid);
    (total, valid.and(residual.abs().le(Lanes::constant(limits::MAX_WAIST_ERROR_CM))))
}

/// Returns a mask of the lanes whose draft keeps every limit of [`limits`].
///
/// A lane with darts and a side seam that leans outwards is excluded, as only the check for one body covers that case.
#[inline(always)]
fn within_limits(summary: &Summary<Lanes>, hip_depth: Lanes) -> Lanes {
    let mut within = summary.lean.abs().le(Lanes::constant(limits::MAX_LEAN_TANGENT));
    for panel in &summary.panels {
        within = within.and(Lanes::constant(limits::MIN_STRETCH_CM).le(panel.narrowest));
        within = within.and(panel.waist_lowering.lt(hip_depth));
        for dart in &panel.darts {
            within = within.and(dart.tip.lt(hip_depth)).and(Lanes::constant(0.0).le(summary.suppression.side));
        }
    }
    within
}

/// Adds the darts and the split of the suppression to the plan of all lanes.
#[inline(always)]
fn apportion_lanes(plan: &mut Plan<Lanes>, apportionment: LaneApportionment) {
    plan.apportion_with(
        #[inline(always)]
        |_, side, darts| match apportionment {
            LaneApportionment::Shares(rules, counts, max_tangent) => {
                let has_darts = [Lanes::mask(counts[0] > 0), Lanes::mask(counts[1] > 0)];
                apportion::add_share_darts(counts, side.depth, rules, darts);
                SuppressionSplit::by_shares(has_darts, side, rules, max_tangent)
            }
            LaneApportionment::Darts(given) => apportion::split_by_given_darts(given, darts),
        },
    );
}

/// Method of arc lengths in lanes: marks a lane invalid if its curve bends too much, unless the lane is finished.
struct LaneArcLength<'a> {
    /// Mask of the lanes whose solution is found or abandoned: their curves no longer count.
    finished: Lanes,
    /// Mask of the lanes with accurate arc lengths so far.
    valid: &'a mut Lanes,
}

impl ArcLength<Lanes> for LaneArcLength<'_> {
    #[inline(always)]
    fn stretch_length(&mut self, stretch: &Stretch<Lanes>) -> Lanes {
        if !stretch.symmetric {
            return self.quadrature(&stretch.cubic(Lanes::constant(0.0)));
        }
        let (length, w) = stretch.symmetric_length();
        *self.valid = self.valid.and(w.le(Lanes::constant(MAX_STRETCH_SERIES_W)).or(self.finished));
        length
    }

    #[inline(always)]
    fn side_length(&mut self, loss: Lanes, curve: &SideCurve<Lanes>) -> Lanes {
        if !curve.natural {
            return self.quadrature(&curve.cubic(loss, loss));
        }
        let (length, squared_lean) = curve.natural_length(loss);
        *self.valid = self.valid.and(squared_lean.le(Lanes::constant(MAX_SPLINE_SQUARED_LEAN)).or(self.finished));
        length
    }
}

impl LaneArcLength<'_> {
    /// Returns the length of a curve by one eight-point Gauss–Legendre rule, and marks strongly bent lanes invalid.
    #[inline(never)]
    fn quadrature(&mut self, cubic: &Cubic<Lanes>) -> Lanes {
        let differences = cubic.differences();
        let (change, chord) = differences.squared_change_and_chord();
        *self.valid = self.valid.and(change.le(chord * Lanes::constant(MAX_SQUARED_CHANGE_RATIO)).or(self.finished));
        differences.quadrature_length(1)
    }
}

/// Solves for the suppression of every lane by the secant steps of [`closure`]; returns solutions and residuals.
///
/// Each lane keeps the solution of the step at which the solver for one body would stop.
#[inline(always)]
fn close_waists(plan: &Plan<Lanes>, valid: &mut Lanes) -> (Lanes, Lanes) {
    let mut finished = Lanes::FALSE;
    let (mut solution, mut solution_residual) = (plan.nominal, Lanes::constant(f64::INFINITY));
    let (mut oldest_residual, mut last, mut last_residual) = (Lanes::constant(0.0), plan.nominal, Lanes::constant(0.0));
    let (mut suppression, mut last_limits) = (plan.nominal, Lanes::constant(0.0));
    for step in 0..=MAX_LANE_SECANT_STEPS {
        let (residual, limits) = closure::residual(plan, suppression, &mut LaneArcLength { finished, valid });
        if step == 0 {
            (last_residual, last_limits) = (residual, limits);
            suppression = closure::extrapolate(suppression, residual);
            continue;
        }
        let change = residual - last_residual;
        let next = suppression - residual * (suppression - last) / change;
        let predicted = residual * residual / oldest_residual;
        let (tolerance, smallest) = (Lanes::constant(closure::RESIDUAL_TOLERANCE), Lanes::constant(f64::MIN_POSITIVE));
        let closed = residual.abs().le(tolerance).or(change.abs().lt(smallest));
        let small_product = (residual * last_residual).abs().le(Lanes::constant(closure::MAX_RESIDUAL_PRODUCT));
        let same_limits = limits.eq(last_limits).and(limits.eq(plan.split.amounts(next).active_limits));
        let reliable = predicted.abs().le(tolerance).and(small_product).and(same_limits).and(closed.not());
        let stops = closed.or(reliable).and(finished.not());
        solution = stops.select(closed.select(suppression, next), solution);
        solution_residual = stops.select(closed.select(residual, predicted), solution_residual);
        finished = finished.or(stops).or(valid.not());
        if finished.all() {
            break;
        }
        (oldest_residual, last, last_residual, last_limits) = (last_residual, suppression, residual, limits);
        suppression = next;
    }
    (solution, solution_residual)
}
