//! Broyden's method: solves several equations together, in each lane, without derivatives.

use crate::scalar::{Mask, Number};

/// Largest absolute residual of half a girth or arc, in centimetres, at which the iteration stops.
const MAX_SOLVED_RESIDUAL_CM: f64 = 1e-12;

/// Maximum number of evaluations of the residuals; ordinary bodies need about six.
const MAX_RESIDUAL_EVALUATIONS: usize = 12;

/// Solves N equations with N unknowns, lane by lane. Returns unknowns, their residuals, and a mask of the solved lanes;
/// any other lane keeps `start`, with infinite residuals.
///
/// `inverse` approximates the inverse of the Jacobian matrix (derivatives of residuals by unknowns), negated, with a
/// row for each unknown. Each step corrects the inverse so that it explains the last change of the residuals.
/// `residuals_at` returns the residuals, and a mask of the lanes in which they are exact; any other lane stops,
/// unsolved.
#[allow(clippy::needless_range_loop, reason = "matrix formulas are written with row and column indices")]
#[inline(always)]
pub(super) fn solve_by_broyden<T: Number, const N: usize>(
    start: [T; N],
    mut inverse: [[T; N]; N],
    mut residuals_at: impl FnMut([T; N]) -> ([T; N], T::Mask),
) -> ([T; N], [T; N], T::Mask) {
    let (zero, mut unknowns, mut step) = (T::constant(0.0), start, [T::constant(0.0); N]);
    let (mut solution, mut solution_residuals) = (start, [T::constant(f64::INFINITY); N]);
    let (mut finished, mut is_solved) = (T::Mask::uniform(false), T::Mask::uniform(false));
    for evaluation in 1..=MAX_RESIDUAL_EVALUATIONS {
        let (residuals, is_exact) = residuals_at(unknowns);
        let mut closes = is_exact & !finished;
        for residual in residuals {
            closes = closes & residual.abs().le(T::constant(MAX_SOLVED_RESIDUAL_CM));
        }
        for k in 0..N {
            solution[k] = T::select(closes, unknowns[k], solution[k]);
            solution_residuals[k] = T::select(closes, residuals[k], solution_residuals[k]);
        }
        (is_solved, finished) = (is_solved | closes, finished | closes | !is_exact);
        if finished.all() {
            break;
        }
        let next = matrix_vector_product(&inverse, &residuals);
        if evaluation > 1 {
            let mut divisor = zero;
            for k in 0..N {
                divisor += step[k] * (step[k] - next[k]);
            }
            let (scale, mut explained) = (T::constant(1.0).quotient(divisor), [zero; N]);
            for k in 0..N {
                for row in 0..N {
                    explained[k] += step[row] * inverse[row][k] * scale;
                }
            }
            for row in 0..N {
                for k in 0..N {
                    inverse[row][k] += next[row] * explained[k];
                }
            }
        }
        step = matrix_vector_product(&inverse, &residuals);
        for k in 0..N {
            unknowns[k] += step[k];
        }
    }
    (solution, solution_residuals, is_solved)
}

/// Returns the product of a matrix, given by its rows, and a vector.
#[allow(clippy::needless_range_loop, reason = "matrix formulas are written with row and column indices")]
#[inline(always)]
fn matrix_vector_product<T: Number, const N: usize>(matrix: &[[T; N]; N], vector: &[T; N]) -> [T; N] {
    let mut result = [T::constant(0.0); N];
    for row in 0..N {
        for k in 0..N {
            result[row] += matrix[row][k] * vector[k];
        }
    }
    result
}
