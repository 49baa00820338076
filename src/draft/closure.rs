//! Closure of the waist: the secant solver that finds the suppression, for one body.
//!
//! Curves are longer than their chords, so the nominal suppression leaves the sewn waist too long. The solution is the
//! suppression at which the waist curves, with the darts closed, add up to the target.

use super::DraftPlan;
use super::panel::{MAX_STRETCH_SERIES_SQUARED_TANGENT, SideSeamAtWaist, WaistStretch};
use super::side::{MAX_SPLINE_SERIES_SQUARED_LEAN, SideShape};
use crate::scalar::{Number, Scalar};

/// Largest absolute residual of half the garment, in centimetres, at which the secant iteration stops.
pub(super) const RESIDUAL_TOLERANCE_CM: f64 = 1e-12;

/// Maximum number of secant steps to close the waist of one body; any body that can be drafted needs fewer than ten.
const MAX_SECANT_STEPS_PER_BODY: usize = 40;

/// Maximum product of the last two residuals, in square centimetres, at which the solver trusts a predicted residual.
///
/// At a curvature below 0.05 the next residual is then below 5e-11 cm, the limit for a closed waist.
pub(super) const MAX_TRUSTED_RESIDUAL_PRODUCT: f64 = 1e-9;

/// Ratio of residual to nominal suppression above which the second-order term is omitted; it is full up to half of it.
const MAX_RATIO_FOR_SECOND_ORDER_TERM: f64 = 0.1;

/// Method that measures the arc lengths of waist and side seam of a draft, in centimetres.
pub(super) trait ArcLength<T: Number> {
    /// Returns the arc length of one stretch of the waist, between two neighbours such as dart leg and side seam.
    fn waist_stretch_length(&mut self, stretch: &WaistStretch<T>) -> T;

    /// Returns the arc length of the side seam from waist to hip line; its waist end lies `loss` inside the hip width.
    fn side_seam_length_above_hip(&mut self, loss: T, curve: &SideShape<T>) -> T;
}

/// Method that measures arc lengths for one body: by a series where it converges fast enough, else by quadrature.
pub(super) struct OneBodyArcLength;

impl<T: Scalar> ArcLength<T> for OneBodyArcLength {
    #[inline]
    fn waist_stretch_length(&mut self, stretch: &WaistStretch<T>) -> T {
        if stretch.symmetric {
            let (length, w) = stretch.symmetric_length_and_squared_tangent();
            if w.re() <= MAX_STRETCH_SERIES_SQUARED_TANGENT {
                return length;
            }
        }
        stretch.cubic_with_end_y(T::constant(0.0)).length()
    }

    fn side_seam_length_above_hip(&mut self, loss: T, curve: &SideShape<T>) -> T {
        if curve.natural {
            let (length, squared_lean) = curve.natural_length_and_squared_lean_tangent(loss);
            if squared_lean.re() <= MAX_SPLINE_SERIES_SQUARED_LEAN {
                return length;
            }
        }
        curve.side_seam_cubic(loss, loss).length()
    }
}

/// Predicts the suppression that closes the waist from the residual at the nominal suppression.
///
/// The residual `r` is the excess of the waist curves over their chords, nearly proportional to the square of the
/// suppression `n`. Raising the suppression by `r` therefore adds about `2 r² / n` to the residual.
#[inline(always)]
pub(super) fn extrapolate_closing_suppression<T: Number>(nominal: T, residual: T) -> T {
    let ratio = residual.quotient(nominal);
    let ratio = T::constant(0.0).max(ratio.min(T::constant(MAX_RATIO_FOR_SECOND_ORDER_TERM) - ratio));
    nominal + residual + residual * (ratio + ratio)
}

/// Returns the residual, sewn waist minus target length of half the garment, and the code of the active split limits.
#[inline(always)]
pub(super) fn residual_and_limits<T: Number>(plan: &DraftPlan<T>, total: T, arc: &mut impl ArcLength<T>) -> (T, T) {
    let amounts = plan.split.split_suppression(total);
    let (mut residual, seam) = (-plan.target, SideSeamAtWaist::from_back_and_front_loss(amounts.side, &plan.side));
    for (panel, intake) in plan.panels.iter().zip(amounts.panels) {
        panel.visit_waist_stretches_from_side(
            &seam,
            intake,
            #[inline(always)]
            |_, stretch| residual += arc.waist_stretch_length(&stretch),
        );
    }
    (residual, amounts.active_limits)
}

/// Solves for the suppression that closes the waist; returns the solution, with derivatives, and its residual.
pub(super) fn closing_suppression_and_residual<T: Scalar>(plan: &DraftPlan<T>) -> (T, f64) {
    let (solution, residual) = solve_closure_by_secant(&plan.map_numbers(&mut Scalar::re));
    (suppression_with_derivatives(plan, solution), residual)
}

/// Returns the solution of the closure with its derivatives, by the implicit function theorem.
pub(super) fn suppression_with_derivatives<T: Scalar>(plan: &DraftPlan<T>, solution: f64) -> T {
    let mut exact = T::constant(solution);
    if T::DERIVATIVE_ORDER > 0 {
        let slope = residual_derivative_by_suppression(&plan.map_numbers(&mut Scalar::re), solution);
        // Each Newton step with this slope makes the derivatives of one more order exact.
        for _ in 0..T::DERIVATIVE_ORDER {
            exact -= residual_and_limits(plan, exact, &mut OneBodyArcLength).0 / T::constant(slope);
        }
        // The Newton steps shift the value by a rounding error; restore the value of the solution.
        exact += T::constant(solution - exact.re());
    }
    exact
}

/// Finds the suppression with residual zero by secant steps; returns the suppression and its last residual.
///
/// The residual after a secant step is `c · r₁ · r₀`, where `r₁` and `r₀` are the last two residuals. The curvature `c`
/// follows from the last three residuals, and is below 0.05 for every body in range. The last evaluation is skipped if
/// the predicted residual is within [`RESIDUAL_TOLERANCE_CM`], `r₁ · r₀` within [`MAX_TRUSTED_RESIDUAL_PRODUCT`], and
/// no active limit changes.
fn solve_closure_by_secant(plan: &DraftPlan<f64>) -> (f64, f64) {
    let mut oldest_residual = 0.0;
    let mut last = plan.nominal;
    let (mut last_residual, mut last_limits) = residual_and_limits(plan, last, &mut OneBodyArcLength);
    let mut suppression = extrapolate_closing_suppression(last, last_residual);
    let (mut new_residual, mut limits) = residual_and_limits(plan, suppression, &mut OneBodyArcLength);
    for _ in 0..MAX_SECANT_STEPS_PER_BODY {
        let change = new_residual - last_residual;
        if new_residual.abs() <= RESIDUAL_TOLERANCE_CM || change.abs() < f64::MIN_POSITIVE {
            break;
        }
        let next = suppression - new_residual * (suppression - last) / change;
        let predicted = new_residual * new_residual / oldest_residual;
        let product = new_residual * last_residual;
        let is_reliable = predicted.abs() <= RESIDUAL_TOLERANCE_CM && product.abs() <= MAX_TRUSTED_RESIDUAL_PRODUCT;
        let is_unchanged = |other: f64| other.to_bits() == limits.to_bits();
        if is_reliable && is_unchanged(last_limits) && is_unchanged(plan.split.split_suppression(next).active_limits) {
            return (next, predicted);
        }
        (oldest_residual, last, last_residual, last_limits) = (last_residual, suppression, new_residual, limits);
        suppression = next;
        (new_residual, limits) = residual_and_limits(plan, suppression, &mut OneBodyArcLength);
    }
    (suppression, new_residual)
}

/// Returns the derivative of the residual with respect to the suppression.
fn residual_derivative_by_suppression(plan: &DraftPlan<f64>, suppression: f64) -> f64 {
    use num_dual::Dual64;
    let dual = plan.map_numbers(&mut Dual64::from_re);
    residual_and_limits(&dual, Dual64::new(suppression, 1.0), &mut OneBodyArcLength).0.eps
}
