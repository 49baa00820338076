//! Closure of the waist: the secant solver that finds the suppression, for one body or for each lane.
//!
//! Curves are longer than their chords, so the nominal suppression leaves the sewn waist too long. The solution is the
//! suppression at which the waist curves, with the darts closed, add up to the wanted length.

use super::panel::{SideSeamAtWaist, WaistStretch};
use super::plan::DraftPlan;
use crate::scalar::{Mask, Number, inlined};

/// Largest absolute residual of half the waist, in centimetres, at which the secant iteration stops.
const HALF_WAIST_TOLERANCE_CM: f64 = 1e-12;

/// Maximum number of evaluations of the residual; any body that can be drafted needs at most ten.
const MAX_RESIDUAL_EVALUATIONS: usize = 42;

/// Maximum product of the last two residuals, in square centimetres, at which the solver trusts a predicted residual.
///
/// With the curvature `c` of [`solve_closure_by_secant`] below 0.05, the next residual is then below 5e-11 cm, the
/// limit for a closed waist.
const MAX_TRUSTED_RESIDUAL_PRODUCT_CM2: f64 = 1e-9;

/// Ratio of residual to nominal suppression at which the second-order term of the first step of
/// [`solve_closure_by_secant`] reaches 0. Up to half this ratio the term is complete.
const MAX_RATIO_FOR_SECOND_ORDER_TERM: f64 = 0.1;

/// Evaluation of the closure at a trial suppression, as a tuple: the residual (sewn minus wanted length of half the
/// waist) and the length of half the sewn front waist, in centimetres; a mask of the lanes in which both are exact; the
/// [active limits](super::apportion::SplitAmounts::active_limits).
pub(super) type ClosureEvaluation<T> = ([T; 2], <T as Number>::Mask, <<T as Number>::Mask as Mask>::FlagSet);

/// Evaluates the closure at the suppression `total`, with the plan's side seam, shares and dart lengths.
#[inline(always)]
pub(super) fn evaluate_closure_at<T: Number>(plan: &DraftPlan<T>, total: T) -> ClosureEvaluation<T> {
    let amounts = plan.split.split_suppression(total);
    let (mut value, mut is_exact, mut lengths) =
        (-plan.wanted_half_waist, T::Mask::uniform(true), [T::constant(0.0); 2]);
    let seam = SideSeamAtWaist::from_loss_of_both_edges(amounts.side, &plan.side);
    for (k, panel) in plan.panels.iter().enumerate() {
        panel.visit_waist_stretches_from_side(
            plan.waist_shape(k, &seam, amounts.panel_intakes),
            inlined!(|_, stretch: WaistStretch<T>| {
                let (length, is_exact_stretch) = stretch.length_where_exact();
                value += length;
                lengths[k] += length;
                is_exact = is_exact & is_exact_stretch;
            }),
        );
    }
    ([value, lengths[1]], is_exact, amounts.active_limits)
}

/// Calls [`evaluate_closure_at`] out of line, for the solvers of a measured figure, which run rarely.
pub(super) fn evaluate_closure_out_of_line<T: Number>(plan: &DraftPlan<T>, total: T) -> ClosureEvaluation<T> {
    T::out_of_line(inlined!(|| evaluate_closure_at(plan, total)))
}

/// Finds the suppression with residual zero by secant steps; returns the suppression and its residual, lane by lane.
///
/// The residual after a secant step is `c · r₁ · r₀`, where `r₁` and `r₀` are the last two residuals. The curvature `c`
/// follows from the last three residuals, and is below 0.05 for every body in range. The last evaluation is skipped if
/// the predicted residual is within [`HALF_WAIST_TOLERANCE_CM`], `r₁ · r₀` within
/// [`MAX_TRUSTED_RESIDUAL_PRODUCT_CM2`], and no active limit changes. A lane whose curves bend too much for their
/// series stops with an infinite residual.
#[inline(always)]
pub(super) fn solve_closure_by_secant<T: Number>(plan: &DraftPlan<T>) -> (T, T) {
    let (zero, tolerance, tiny) =
        (T::constant(0.0), T::constant(HALF_WAIST_TOLERANCE_CM), T::constant(f64::MIN_POSITIVE));
    let mut finished = T::Mask::uniform(false);
    let (mut solution, mut solution_residual) = (plan.nominal, T::constant(f64::INFINITY));
    let (mut oldest_residual, mut last, mut last_residual) = (zero, plan.nominal, zero);
    let (mut total, mut last_limits) = (plan.nominal, T::Mask::flag_set_from_masks([finished]));
    for evaluation in 1..=MAX_RESIDUAL_EVALUATIONS {
        let ([residual, _], is_exact, limits) = evaluate_closure_at(plan, total);
        finished = finished | !is_exact;
        if evaluation == 1 {
            (last_residual, last_limits) = (residual, limits);
            // The residual `r` is the excess of the waist curves over their chords, nearly proportional to the square
            // of the suppression `n`. Raising the suppression by `r` therefore adds about `2 r² / n` to the residual.
            let ratio = residual.quotient(total);
            let ratio = zero.max(ratio.min(T::constant(MAX_RATIO_FOR_SECOND_ORDER_TERM) - ratio));
            total = total + residual + residual * (ratio + ratio);
            continue;
        }
        let change = residual - last_residual;
        let next = total - residual * (total - last) / change;
        let predicted = residual * residual / oldest_residual;
        let closed = residual.abs().le(tolerance) | change.abs().lt(tiny);
        let closed = closed | T::Mask::uniform(evaluation == MAX_RESIDUAL_EVALUATIONS);
        let small_product = (residual * last_residual).abs().le(T::constant(MAX_TRUSTED_RESIDUAL_PRODUCT_CM2));
        let next_limits = plan.split.split_suppression(next).active_limits;
        let same_limits = T::Mask::equal_flag_sets(limits, last_limits) & T::Mask::equal_flag_sets(limits, next_limits);
        let reliable = predicted.abs().le(tolerance) & small_product & same_limits;
        let stops = (closed | reliable) & !finished;
        solution = T::select(stops, T::select(closed, total, next), solution);
        solution_residual = T::select(stops, T::select(closed, residual, predicted), solution_residual);
        finished = finished | stops;
        if finished.all() {
            break;
        }
        (oldest_residual, last, last_residual, last_limits) = (last_residual, total, residual, limits);
        total = next;
    }
    (solution, solution_residual)
}
