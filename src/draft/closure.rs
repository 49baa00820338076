//! Closing the waist: the one unknown of the draft, solved.
//!
//! The curved waist is longer than the straight line it replaces, so the nominal suppression leaves it too long. The
//! unknown is the `excess` by which suppression must grow until the curves, with the darts closed, add up to the waist.

use super::Plan;
use crate::scalar::Scalar;

/// The gap at which the solver stops, in centimetres on half the garment; the promise is 1e-10 on the whole.
const CLOSED: f64 = 1e-12;

/// Every body in range takes under ten steps.
const MOST_STEPS: usize = 40;

/// The product of two gaps, in square centimetres, under which the next gap is closed for any curvature in range.
const MOST_PRODUCT: f64 = 1e-9;

/// By how much the sewn waist of half the garment is longer than it should be.
pub(super) fn gap<T: Scalar>(plan: &Plan<T>, excess: T) -> T {
    let loss = plan.loss(excess);
    let panels = plan.panels.iter().flat_map(|panel| panel.stretches(loss, plan.hip_depth, excess));
    panels.fold(-plan.target, |sum, stretch| sum + stretch.length())
}

/// The excess that closes the waist, and the gap that is left.
///
/// Taking in by the gap nearly closes it, as a curve shortens almost as its chord does; secant steps from there close
/// it in four or five. Derivatives follow by the implicit function theorem: each Newton step with the exact slope at
/// the solution makes one more order right.
pub(super) fn close<T: Scalar>(plan: &Plan<T>) -> (T, f64) {
    let real = plan.map(&mut Scalar::re);
    let (excess, left) = solve(&real);
    let mut exact = T::constant(excess);
    if T::ORDER > 0 {
        let slope = slope(&real, excess);
        for _ in 0..T::ORDER {
            exact -= gap(plan, exact) / T::constant(slope);
        }
        // The steps also moved the value by a rounding error; the plain draft's value stands.
        exact += T::constant(excess - exact.re());
    }
    (exact, left)
}

/// The excess and the gap that it leaves, by secant steps.
///
/// The gap after a secant step is in proportion to the product of the two before: `curvature · now · last`. The
/// curvature is read from the last three gaps, and is under 0.05 for every body in range. Where both foretell a gap
/// that is closed, the last step is not measured again; an ordinary body then takes three measurings.
fn solve(plan: &Plan<f64>) -> (f64, f64) {
    let mut before = 0.0;
    let (mut last, mut last_gap) = (0.0, gap(plan, 0.0));
    let mut excess = last_gap;
    let mut now = gap(plan, excess);
    for _ in 0..MOST_STEPS {
        let change = now - last_gap;
        if now.abs() <= CLOSED || change.abs() < f64::MIN_POSITIVE {
            break;
        }
        let step = now * (excess - last) / change;
        let foretold = now * now / before;
        let foretells = foretold.abs() <= CLOSED && (now * last_gap).abs() <= MOST_PRODUCT;
        (before, last, last_gap) = (last_gap, excess, now);
        excess -= step;
        if foretells {
            return (excess, foretold);
        }
        now = gap(plan, excess);
    }
    (excess, now)
}

/// The exact slope of the gap by the excess.
fn slope(plan: &Plan<f64>, excess: f64) -> f64 {
    use num_dual::Dual64;
    let dual = plan.map(&mut Dual64::from_re);
    gap(&dual, Dual64::new(excess, 1.0)).eps
}
