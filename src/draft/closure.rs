//! Closing the waist: the one unknown of the draft, solved.
//!
//! The curved waist is longer than the straight line it replaces, so the nominal suppression leaves it too long. The
//! unknown is the suppression at which the curves, with the darts closed, add up to the waist.

use super::Plan;
use super::panel::{MAX_W, Seam, Stretch};
use super::side::{MAX_SQUARED_LEAN, SideCurve};
use crate::scalar::{Number, Scalar};

/// The gap at which the solver stops, in centimetres on half the garment; the promise is 1e-10 on the whole.
pub(super) const TOLERANCE: f64 = 1e-12;

/// A body that can be drafted takes under ten steps.
const MAX_ITERATIONS: usize = 40;

/// The product of two gaps, in square centimetres, under which the next gap is closed for any curvature in range.
pub(super) const MAX_PRODUCT: f64 = 1e-9;

/// The share of the nominal suppression up to which the gap there foretells how much longer the waist gets: in full to half of
/// it, as in all ordinary bodies; then less and less.
const MAX_SHARE: f64 = 0.1;

/// Measures along curves.
pub(super) trait ArcLength<T: Number> {
    /// The length of a stretch of waist.
    fn stretch(&mut self, stretch: &Stretch<T>) -> T;

    /// The length of a side seam down to the hip line, where it loses so much.
    fn side(&mut self, loss: T, curve: &SideCurve<T>) -> T;
}

/// Measures one body.
pub(super) struct OneBody;

impl<T: Scalar> ArcLength<T> for OneBody {
    #[inline]
    fn stretch(&mut self, stretch: &Stretch<T>) -> T {
        if stretch.symmetric {
            let (length, w) = stretch.symmetric_length();
            if w.re() <= MAX_W {
                return length;
            }
        }
        stretch.cubic(T::constant(0.0)).length()
    }

    fn side(&mut self, loss: T, curve: &SideCurve<T>) -> T {
        if curve.natural {
            let (length, square) = curve.natural_length(loss);
            if square.re() <= MAX_SQUARED_LEAN {
                return length;
            }
        }
        curve.cubic(loss, loss).length()
    }
}

/// The second suppression to try: the nominal one and the gap there, and a little more.
///
/// The gap at the nominal suppression is what the curves are longer than straight lines. It grows nearly as the square of the
/// suppression, so that taking in by it makes it longer again by twice its share of the suppression.
#[inline(always)]
pub(super) fn extrapolate<T: Number>(nominal: T, residual: T) -> T {
    let share = residual.quotient(nominal);
    let share = T::constant(0.0).max(share.min(T::constant(MAX_SHARE) - share));
    nominal + residual + residual * (share + share)
}

/// By how much the sewn waist of half the garment is longer than it should be at a suppression, and which limits the sharing
/// meets there.
#[inline(always)]
pub(super) fn residual<T: Number>(plan: &Plan<T>, suppression: T, arc: &mut impl ArcLength<T>) -> (T, T) {
    let amounts = plan.sharing.amounts(suppression);
    let (mut residual, seam) = (-plan.target, Seam::new(amounts.side, &plan.side));
    for (panel, amount) in plan.panels.iter().zip(amounts.panels) {
        panel.stretches(
            &seam,
            amount,
            #[inline(always)]
            |_, stretch| residual += arc.stretch(&stretch),
        );
    }
    (residual, amounts.limits_met)
}

/// The suppression that closes the waist, and the gap that is left.
///
/// Taking in by the gap and a little more nearly closes it, as a curve shortens almost as its chord does; secant steps from
/// there close it in three or four.
pub(super) fn close<T: Scalar>(plan: &Plan<T>) -> (T, f64) {
    let (solution, left) = solve(&plan.map(&mut Scalar::re));
    (exact(plan, solution), left)
}

/// The suppression that is known to close the waist, with its derivatives.
///
/// They follow by the implicit function theorem: each Newton step with the exact slope at the solution makes one more order
/// right.
pub(super) fn exact<T: Scalar>(plan: &Plan<T>, solution: f64) -> T {
    let mut exact = T::constant(solution);
    if T::ORDER > 0 {
        let slope = slope(&plan.map(&mut Scalar::re), solution);
        for _ in 0..T::ORDER {
            exact -= residual(plan, exact, &mut OneBody).0 / T::constant(slope);
        }
        // The steps also moved the value by a rounding error; the plain draft's value stands.
        exact += T::constant(solution - exact.re());
    }
    exact
}

/// The suppression and the gap that it leaves, by secant steps.
///
/// The gap after a secant step is in proportion to the product of the two before: `curvature · now · last`. The
/// curvature is read from the last three gaps, and is under 0.05 for every body in range. Where both foretell a gap
/// that is closed, and no limit comes in between, the last step is not measured again; an ordinary body then takes three
/// measurings.
fn solve(plan: &Plan<f64>) -> (f64, f64) {
    let mut before = 0.0;
    let (mut last, (mut last_residual, mut last_met)) = (plan.nominal, residual(plan, plan.nominal, &mut OneBody));
    let mut suppression = extrapolate(last, last_residual);
    let (mut now, mut met) = residual(plan, suppression, &mut OneBody);
    for _ in 0..MAX_ITERATIONS {
        let change = now - last_residual;
        if now.abs() <= TOLERANCE || change.abs() < f64::MIN_POSITIVE {
            break;
        }
        let next = suppression - now * (suppression - last) / change;
        let predicted = now * now / before;
        let predicts = predicted.abs() <= TOLERANCE && (now * last_residual).abs() <= MAX_PRODUCT;
        let is_met = |limits: f64| limits.to_bits() == met.to_bits();
        if predicts && is_met(last_met) && is_met(plan.sharing.amounts(next).limits_met) {
            return (next, predicted);
        }
        (before, last, last_residual, last_met) = (last_residual, suppression, now, met);
        suppression = next;
        (now, met) = residual(plan, suppression, &mut OneBody);
    }
    (suppression, now)
}

/// The exact slope of the gap by the suppression.
fn slope(plan: &Plan<f64>, suppression: f64) -> f64 {
    use num_dual::Dual64;
    let dual = plan.map(&mut Dual64::from_re);
    residual(&dual, Dual64::new(suppression, 1.0), &mut OneBody).0.eps
}
