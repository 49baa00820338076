//! Lloyd iteration (Lloyd 1982) for losses that are the sum of a loss in waist and a loss in hip, from centres that are
//! added one at a time by k-means++ (Arthur and Vassilvitskii 2007). A heuristic: neither a further centre nor an
//! iteration nor a swap (Fränti 2018) raises the mean loss.

use super::chart_search::{ChartSearch, SearchInput};
use super::one_girth::CentreSolver;
use super::points::{Assigned, PrefixSums, WaistHip, WaistHipPoints};
use crate::interrupt::Stoppable;
use crate::random::CounterRng;

/// Maximum number of Lloyd iterations from one set of centres, on the points of the search grid.
const MAX_LLOYD_ITERATIONS_ON_GRID: usize = 200;

/// Maximum number of Lloyd iterations on the unrounded girths of all people.
const MAX_FINAL_LLOYD_ITERATIONS: usize = 10;

/// Number of swaps tried after each added centre, if the girths are not rounded.
const SWAPS_PER_ADDED_CENTRE: usize = 2;

/// Maximum number of swaps, and maximum of swaps × people × centres, on the unrounded girths of all people.
const MAX_FINAL_CENTRE_SWAPS: usize = 200;
const MAX_SWAPS_TIMES_PEOPLE_TIMES_CENTRES: usize = 4_000_000;

/// Returns the centres, in search coordinates (cm or ln cm), of the best of several starts on the grid points, improved
/// with the unrounded girths of all people.
pub(super) fn best_lloyd_centres(search: &ChartSearch) -> Stoppable<Vec<WaistHip>> {
    let pairs = search.people.girths.len() * search.input.size_count;
    // Only a certified search takes the time for the last tenths of a percent.
    let max_swaps = if search.input.settings.certify { MAX_FINAL_CENTRE_SWAPS } else { 0 };
    let final_swaps = max_swaps.min(MAX_SWAPS_TIMES_PEOPLE_TIMES_CENTRES / pairs);
    let swaps = if search.is_rounded { 0 } else { SWAPS_PER_ADDED_CENTRE };
    let (on_grid, at_end) = ((MAX_LLOYD_ITERATIONS_ON_GRID, swaps), (MAX_FINAL_LLOYD_ITERATIONS, final_swaps));
    search.best_result_of_restarts(
        |_, rng| add_and_improve_centres(&search.grid_points, search.fixed.clone(), search, on_grid, rng),
        |centres, rng| add_and_improve_centres(&search.people, centres, search, at_end, rng),
    )
}

/// Adds centres to `centres` until all sizes have centres or the loss is zero, then runs at most `max_iterations` Lloyd
/// iterations. The first centre is drawn with odds of the points' weights, each other centre with odds of weight ×
/// loss. If no girth is rounded, iterations and swaps also follow each added centre. A swap moves a random centre to a
/// random point, and is kept if the iterations after the move give a smaller loss. Returns the centres and the mean
/// loss.
fn add_and_improve_centres(
    points: &WaistHipPoints,
    mut centres: Vec<WaistHip>,
    search: &ChartSearch,
    (max_iterations, swaps): (usize, usize),
    rng: &mut CounterRng,
) -> Stoppable<(Vec<WaistHip>, f64)> {
    let allowed = |girths| search.input.settings.constraints.nearest_allowed_girths(girths, search.input.loss);
    let random_point =
        |rng: &mut CounterRng| allowed(points.girths[rng.draw_weighted_index(points.weights.iter().copied())]);
    let fixed = search.fixed.len();
    if centres.is_empty() {
        centres.push(random_point(rng));
    }
    let max_between = if search.is_rounded { 0 } else { max_iterations };
    loop {
        let max = if centres.len() < search.input.size_count { max_between } else { max_iterations };
        let mut current = run_lloyd_iterations(points, &mut centres, search, max)?;
        for _ in 0..swaps {
            if search.input.is_out_of_time() || centres.len() == fixed {
                break;
            }
            let mut swapped = centres.clone();
            swapped[fixed + rng.draw_weighted_index(centres[fixed..].iter().map(|_| 1.0))] = random_point(rng);
            let next = run_lloyd_iterations(points, &mut swapped, search, max)?;
            if next.1 < current.1 {
                (centres, current) = (swapped, next);
            }
        }
        let (assigned, mean) = current;
        if mean <= 0.0 || centres.len() >= search.input.size_count {
            return Ok((centres, mean));
        }
        let odds = assigned.iter().zip(&points.weights).map(|((_, loss), weight)| loss * weight);
        centres.push(allowed(points.girths[rng.draw_weighted_index(odds)]));
    }
}

/// Moves the centres, in place, by Lloyd iterations until the mean loss no longer falls, at most `max_iterations`.
/// Returns for each point the index of the centre with the least loss, and that loss; and the mean loss.
///
/// An iteration moves each centre to the optimal allowed centre of its points; a fixed or unassigned centre stays.
fn run_lloyd_iterations(
    points: &WaistHipPoints,
    centres: &mut Vec<WaistHip>,
    search: &ChartSearch,
    max_iterations: usize,
) -> Stoppable<(Assigned, f64)> {
    let SearchInput { loss, settings, .. } = search.input;
    let mut current = points.assignments_and_mean_loss(centres, loss)?;
    for _ in 0..max_iterations {
        let mut next = centres.clone();
        for girth in [0, 1] {
            let groups = points.sorted_girths_by_group(girth, centres.len(), |index| Some(current.0[index].0))?;
            let free = next.iter_mut().zip(groups).skip(search.fixed.len());
            for (centre, sorted) in free.filter(|(_, sorted)| !sorted.is_empty()) {
                let sums = PrefixSums::new(&sorted);
                let (best, _) = CentreSolver::new(loss).optimal_centre_and_cost(&sums, 0, sorted.len());
                // The loss is convex in the girth or its logarithm: the best allowed girth is next to the best of all.
                let [below, above] = settings.constraints.allowed_girths_around(best + sums.mean, loss);
                let weighted =
                    |(value, weight): &(f64, f64), girth: f64| weight * loss.loss_of_difference(value - girth);
                let cost = |girth: f64| sorted.iter().map(|one| weighted(one, girth)).sum::<f64>();
                centre[girth] = if below < above && cost(below) <= cost(above) { below } else { above };
            }
        }
        let assigned = points.assignments_and_mean_loss(&next, loss)?;
        if assigned.1 >= current.1 {
            break;
        }
        (*centres, current) = (next, assigned);
    }
    Ok(current)
}
