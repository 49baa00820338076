//! Closure of the waist: the secant solver that finds the suppression, for one body.
//!
//! Curves are longer than their chords, so the nominal suppression leaves the sewn waist too long. The solution is the
//! suppression at which the waist curves, with the darts closed, add up to the target.

use super::Plan;
use super::panel::{MAX_STRETCH_SERIES_W, SideSeam, Stretch};
use super::side::{MAX_SPLINE_SQUARED_LEAN, SideCurve};
use crate::scalar::{Number, Scalar};

/// Residual at which the secant iteration stops, in centimetres on half the garment.
pub(super) const RESIDUAL_TOLERANCE: f64 = 1e-12;

/// Maximum number of secant steps for one body; a body that can be drafted needs fewer than ten.
const MAX_SECANT_STEPS: usize = 40;

/// Maximum product of the last two residuals, in square centimetres, at which the solver trusts a predicted residual.
///
/// At a curvature below 0.05 the next residual is then below 5e-11 cm, the limit for a closed waist.
pub(super) const MAX_RESIDUAL_PRODUCT: f64 = 1e-9;

/// Ratio of residual to nominal suppression at which [`extrapolate`] drops its second-order term.
///
/// The term counts in full up to a ratio of 0.05, which covers ordinary bodies, and falls to 0 from there to 0.1.
const MAX_EXTRAPOLATION_RATIO: f64 = 0.1;

/// Method that measures arc lengths of the curves of a draft, in centimetres.
pub(super) trait ArcLength<T: Number> {
    /// Returns the length of one stretch of the waist curve.
    fn stretch_length(&mut self, stretch: &Stretch<T>) -> T;

    /// Returns the length of the side seam above the hip line; `loss` is its distance inside the hip at the waist.
    fn side_length(&mut self, loss: T, curve: &SideCurve<T>) -> T;
}

/// Method of arc lengths for one body: a series within the range of the series, otherwise quadrature.
pub(super) struct OneBodyArcLength;

impl<T: Scalar> ArcLength<T> for OneBodyArcLength {
    #[inline]
    fn stretch_length(&mut self, stretch: &Stretch<T>) -> T {
        if stretch.symmetric {
            let (length, w) = stretch.symmetric_length();
            if w.re() <= MAX_STRETCH_SERIES_W {
                return length;
            }
        }
        stretch.cubic(T::constant(0.0)).length()
    }

    fn side_length(&mut self, loss: T, curve: &SideCurve<T>) -> T {
        if curve.natural {
            let (length, squared_lean) = curve.natural_length(loss);
            if squared_lean.re() <= MAX_SPLINE_SQUARED_LEAN {
                return length;
            }
        }
        curve.cubic(loss, loss).length()
    }
}

/// Predicts the suppression that closes the waist from the residual at the nominal suppression.
///
/// The residual `r` is the excess of the waist curves over their chords, nearly proportional to the square of the
/// suppression `n`. Raising the suppression by `r` therefore adds about `2 r² / n` to the residual.
#[inline(always)]
pub(super) fn extrapolate<T: Number>(nominal: T, residual: T) -> T {
    let ratio = residual.quotient(nominal);
    let ratio = T::constant(0.0).max(ratio.min(T::constant(MAX_EXTRAPOLATION_RATIO) - ratio));
    nominal + residual + residual * (ratio + ratio)
}

/// Returns the residual of the waist, sewn length minus target on half the garment, and the code of the active limits.
#[inline(always)]
pub(super) fn residual<T: Number>(plan: &Plan<T>, suppression: T, arc: &mut impl ArcLength<T>) -> (T, T) {
    let amounts = plan.split.amounts(suppression);
    let (mut residual, seam) = (-plan.target, SideSeam::from_total_loss(amounts.side, &plan.side));
    for (panel, intake) in plan.panels.iter().zip(amounts.panels) {
        panel.visit_stretches(
            &seam,
            intake,
            #[inline(always)]
            |_, stretch| residual += arc.stretch_length(&stretch),
        );
    }
    (residual, amounts.active_limits)
}

/// Solves for the suppression that closes the waist; returns the solution, with derivatives, and its residual.
pub(super) fn close_waist<T: Scalar>(plan: &Plan<T>) -> (T, f64) {
    let (solution, residual) = solve_by_secant(&plan.map(&mut Scalar::re));
    (add_derivatives(plan, solution), residual)
}

/// Adds derivatives to a solution of the closure, by the implicit function theorem.
///
/// Each Newton step with the slope at the solution makes the derivatives of one more order exact.
pub(super) fn add_derivatives<T: Scalar>(plan: &Plan<T>, solution: f64) -> T {
    let mut exact = T::constant(solution);
    if T::DERIVATIVE_ORDER > 0 {
        let slope = residual_slope(&plan.map(&mut Scalar::re), solution);
        for _ in 0..T::DERIVATIVE_ORDER {
            exact -= residual(plan, exact, &mut OneBodyArcLength).0 / T::constant(slope);
        }
        // The Newton steps shift the value by a rounding error; restore the value of the solution.
        exact += T::constant(solution - exact.re());
    }
    exact
}

/// Finds a root of the residual by secant steps; returns the suppression and its residual.
///
/// The residual after a secant step is `c · r₁ · r₀`, where `r₁` and `r₀` are the last two residuals. The curvature `c`
/// follows from the last three residuals, and is below 0.05 for every body in range. The solver skips the last
/// evaluation if the predicted residual is within [`RESIDUAL_TOLERANCE`], `r₁ · r₀` within [`MAX_RESIDUAL_PRODUCT`],
/// and no active limit changes.
fn solve_by_secant(plan: &Plan<f64>) -> (f64, f64) {
    let mut oldest_residual = 0.0;
    let mut last = plan.nominal;
    let (mut last_residual, mut last_limits) = residual(plan, last, &mut OneBodyArcLength);
    let mut suppression = extrapolate(last, last_residual);
    let (mut new_residual, mut limits) = residual(plan, suppression, &mut OneBodyArcLength);
    for _ in 0..MAX_SECANT_STEPS {
        let change = new_residual - last_residual;
        if new_residual.abs() <= RESIDUAL_TOLERANCE || change.abs() < f64::MIN_POSITIVE {
            break;
        }
        let next = suppression - new_residual * (suppression - last) / change;
        let predicted = new_residual * new_residual / oldest_residual;
        let product = new_residual * last_residual;
        let is_reliable = predicted.abs() <= RESIDUAL_TOLERANCE && product.abs() <= MAX_RESIDUAL_PRODUCT;
        let is_unchanged = |other: f64| other.to_bits() == limits.to_bits();
        if is_reliable && is_unchanged(last_limits) && is_unchanged(plan.split.amounts(next).active_limits) {
            return (next, predicted);
        }
        (oldest_residual, last, last_residual, last_limits) = (last_residual, suppression, new_residual, limits);
        suppression = next;
        (new_residual, limits) = residual(plan, suppression, &mut OneBodyArcLength);
    }
    (suppression, new_residual)
}

/// Returns the derivative of the residual with respect to the suppression.
fn residual_slope(plan: &Plan<f64>, suppression: f64) -> f64 {
    use num_dual::Dual64;
    let dual = plan.map(&mut Dual64::from_re);
    residual(&dual, Dual64::new(suppression, 1.0), &mut OneBodyArcLength).0.eps
}
