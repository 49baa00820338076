//! Broyden's method: solves several equations together, in each lane, without derivatives.

use crate::scalar::{Mask, Number, inlined};

/// Largest absolute residual of half a girth or arc, in centimetres, at which the iteration stops.
const HALF_GIRTH_TOLERANCE_CM: f64 = 1e-12;

/// Maximum number of evaluations of the residuals; ordinary bodies need about six.
const MAX_RESIDUAL_EVALUATIONS: usize = 12;

/// Solves N equations with N unknowns, lane by lane. Returns unknowns, their residuals, and a mask of the solved lanes;
/// any other lane keeps `start`, with infinite residuals.
///
/// `inverse` approximates the inverse of the Jacobian matrix (derivatives of residuals by unknowns), negated, with a
/// row for each unknown. Each step corrects the inverse so that it explains the last change of the residuals.
/// `residuals_at` returns the residuals, and a mask of the lanes in which they are exact; any other lane stops,
/// unsolved. `at_start` is its result for `start`.
#[inline(always)]
pub(super) fn solve_by_broyden<T: Number, const N: usize>(
    start: [T; N],
    at_start: ([T; N], T::Mask),
    mut inverse: [[T; N]; N],
    mut residuals_at: impl FnMut([T; N]) -> ([T; N], T::Mask),
) -> ([T; N], [T; N], T::Mask) {
    let (mut unknowns, mut step) = (start, start);
    let (mut solution, mut solution_residuals) = (start, [T::constant(f64::INFINITY); N]);
    let (mut finished, mut is_solved) = (T::Mask::uniform(false), T::Mask::uniform(false));
    for evaluation in 1..=MAX_RESIDUAL_EVALUATIONS {
        let (residuals, is_exact) = if evaluation == 1 { at_start } else { residuals_at(unknowns) };
        let mut closes = is_exact & !finished;
        for residual in residuals {
            closes = closes & residual.abs().le(T::constant(HALF_GIRTH_TOLERANCE_CM));
        }
        for k in 0..N {
            solution[k] = T::select(closes, unknowns[k], solution[k]);
            solution_residuals[k] = T::select(closes, residuals[k], solution_residuals[k]);
        }
        (is_solved, finished) = (is_solved | closes, finished | closes | !is_exact);
        if finished.all() {
            break;
        }
        let mut next = residuals;
        for k in 0..N {
            next[k] = dot(inverse[k], residuals);
        }
        if evaluation > 1 {
            let square = dot(step, step);
            let scale = T::constant(1.0).quotient(square - dot(step, next));
            let mut explained = [T::constant(0.0); N];
            for k in 0..N {
                for (sum, number) in explained.iter_mut().zip(inverse[k]) {
                    *sum += step[k] * scale * number;
                }
            }
            for k in 0..N {
                for (number, explained) in inverse[k].iter_mut().zip(explained) {
                    *number += next[k] * explained;
                }
            }
            for number in &mut next {
                *number *= square * scale;
            }
        }
        step = next;
        for k in 0..N {
            unknowns[k] += step[k];
        }
    }
    (solution, solution_residuals, is_solved)
}

/// Solves three equations as [`solve_by_broyden`] does; without `has_third` only the first two, which takes less time:
/// the third unknown then keeps its start.
#[inline(always)]
pub(super) fn solve_two_or_three_by_broyden<T: Number>(
    has_third: bool,
    start: [T; 3],
    at_start: ([T; 3], T::Mask),
    inverse: [[T; 3]; 3],
    mut residuals_at: impl FnMut([T; 3]) -> ([T; 3], T::Mask),
) -> ([T; 3], [T; 2], T::Mask) {
    let two = inlined!(|[first, second, _]: [T; 3]| [first, second]);
    if has_third {
        let (unknowns, residuals, is_solved) = solve_by_broyden(start, at_start, inverse, residuals_at);
        return (unknowns, two(residuals), is_solved);
    }
    let residuals_of_two = inlined!(|[first, second]: [T; 2]| {
        let (residuals, is_exact) = residuals_at([first, second, start[2]]);
        (two(residuals), is_exact)
    });
    let inverse_of_two = [two(inverse[0]), two(inverse[1])];
    let ([first, second], residuals, is_solved) =
        solve_by_broyden(two(start), (two(at_start.0), at_start.1), inverse_of_two, residuals_of_two);
    ([first, second, start[2]], residuals, is_solved)
}

/// Returns the scalar product of two lists of numbers.
#[inline(always)]
fn dot<T: Number, const N: usize>(a: [T; N], b: [T; N]) -> T {
    let mut sum = T::constant(0.0);
    for k in 0..N {
        sum += a[k] * b[k];
    }
    sum
}
