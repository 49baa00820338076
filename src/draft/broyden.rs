//! Broyden's method: solves two equations together, in each lane, without derivatives.

use crate::scalar::{Mask, Number};

/// Largest absolute residual of half a girth or arc, in centimetres, at which the iteration stops.
const HALF_GIRTH_TOLERANCE_CM: f64 = 1e-12;

/// Maximum number of evaluations of the residuals; ordinary bodies need about six.
const MAX_RESIDUAL_EVALUATIONS: usize = 12;

/// Solves two equations with two unknowns, lane by lane. Returns unknowns, their residuals, and a mask of the solved
/// lanes; any other lane keeps `start`, with infinite residuals.
///
/// `inverse` approximates the inverse of the Jacobian matrix (derivatives of residuals by unknowns), negated, with a
/// row for each unknown. Each step corrects the inverse so that it explains the last change of the residuals.
/// `residuals_at` returns the residuals, and a mask of the lanes in which they are exact; any other lane stops,
/// unsolved. `at_start` is its result for `start`.
#[inline(always)]
pub(super) fn solve_by_broyden<T: Number>(
    start: [T; 2],
    at_start: ([T; 2], T::Mask),
    mut inverse: [[T; 2]; 2],
    mut residuals_at: impl FnMut([T; 2]) -> ([T; 2], T::Mask),
) -> ([T; 2], [T; 2], T::Mask) {
    let (mut unknowns, mut step) = (start, start);
    let (mut solution, mut solution_residuals) = (start, [T::constant(f64::INFINITY); 2]);
    let (mut finished, mut is_solved) = (T::Mask::uniform(false), T::Mask::uniform(false));
    for evaluation in 1..=MAX_RESIDUAL_EVALUATIONS {
        let (residuals, is_exact) = if evaluation == 1 { at_start } else { residuals_at(unknowns) };
        let [x, y] = residuals;
        let tolerance = T::constant(HALF_GIRTH_TOLERANCE_CM);
        let closes = is_exact & !finished & x.abs().le(tolerance) & y.abs().le(tolerance);
        for k in [0, 1] {
            solution[k] = T::select(closes, unknowns[k], solution[k]);
            solution_residuals[k] = T::select(closes, residuals[k], solution_residuals[k]);
        }
        (is_solved, finished) = (is_solved | closes, finished | closes | !is_exact);
        if finished.all() {
            break;
        }
        if evaluation > 1 {
            let next = [inverse[0][0] * x + inverse[0][1] * y, inverse[1][0] * x + inverse[1][1] * y];
            let divisor = step[0] * (step[0] - next[0]) + step[1] * (step[1] - next[1]);
            let scale = T::constant(1.0).quotient(divisor);
            for k in [0, 1] {
                let explained = step[0] * inverse[0][k] * scale + step[1] * inverse[1][k] * scale;
                inverse[0][k] += next[0] * explained;
                inverse[1][k] += next[1] * explained;
            }
        }
        for k in [0, 1] {
            step[k] = inverse[k][0] * x + inverse[k][1] * y;
            unknowns[k] += step[k];
        }
    }
    (solution, solution_residuals, is_solved)
}
