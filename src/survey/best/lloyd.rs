//! Lloyd iteration (Lloyd 1982) with k-means++ seeding (Arthur and Vassilvitskii 2007), for losses that are the sum of
//! a loss in waist and a loss in hip. A heuristic: each iteration lowers the mean loss, and the best of several starts
//! is kept.

use super::centre::{AbsoluteLossSolver, CentreSolver, LogBandSolver, SquaredLossSolver};
use super::chart::SearchSettings;
use super::loss::Loss;
use super::points::{GirthPoints, WaistHip, best_centre_index_and_loss};
use super::sorted_values::{PrefixSums, SortedValues};
use crate::survey::interrupt::count_interruptible_work;
use crate::survey::random::{CounterRng, RandomStream};

/// Maximum number of Lloyd iterations per start, on the points of the search grid.
const MAX_LLOYD_ITERATIONS_PER_START: usize = 200;

/// Maximum number of final Lloyd iterations on the unrounded girths of all people.
const MAX_FINAL_LLOYD_ITERATIONS: usize = 10;

/// Returns the centres of the best of several Lloyd starts on the grid points, improved by iterations on all people.
pub(super) fn best_lloyd_centres(
    grid_points: &GirthPoints,
    people: &GirthPoints,
    loss: &Loss,
    sizes: usize,
    search: &SearchSettings,
) -> Vec<WaistHip> {
    let mut rng = CounterRng::new(search.seed, RandomStream::Starts, 0);
    let results = (0..search.restarts).map(|restart| {
        let mut centres = k_means_plus_plus_centres(grid_points, loss, sizes, &mut rng);
        if restart % 2 == 1 {
            move_centres_half_way_to_random_points(grid_points, &mut centres, &mut rng);
        }
        run_lloyd(grid_points, centres, loss, MAX_LLOYD_ITERATIONS_PER_START)
    });
    // A tie goes to the first start.
    let best = results.reduce(|best, next| if next.1 < best.1 { next } else { best });
    best.map_or_else(Vec::new, |(centres, _)| run_lloyd(people, centres, loss, MAX_FINAL_LLOYD_ITERATIONS).0)
}

/// Draws initial centres by k-means++: the first point with odds of its weight, each further point with odds of weight
/// × least loss in the centres so far.
fn k_means_plus_plus_centres(points: &GirthPoints, loss: &Loss, sizes: usize, rng: &mut CounterRng) -> Vec<WaistHip> {
    let mut centres = vec![points.girths[draw_weighted_index(points.weights.iter().copied(), rng)]];
    let mut losses = vec![f64::INFINITY; points.girths.len()];
    while centres.len() < sizes {
        count_interruptible_work(points.girths.len());
        let last = &centres[centres.len() - 1..];
        losses
            .iter_mut()
            .zip(&points.girths)
            .for_each(|(min, girths)| *min = min.min(best_centre_index_and_loss(*girths, last, loss).1));
        let odds = || losses.iter().zip(&points.weights).map(|(loss, weight)| loss * weight);
        if odds().sum::<f64>() <= 0.0 {
            // The loss is zero for every point: further centres gain nothing.
            break;
        }
        centres.push(points.girths[draw_weighted_index(odds(), rng)]);
    }
    centres
}

/// Moves each centre, in place, half-way to a point drawn by weight. Starts between points reach optima that starts at
/// points may miss.
fn move_centres_half_way_to_random_points(points: &GirthPoints, centres: &mut [WaistHip], rng: &mut CounterRng) {
    for centre in centres {
        let point = points.girths[draw_weighted_index(points.weights.iter().copied(), rng)];
        *centre = [0, 1].map(|girth: usize| f64::midpoint(centre[girth], point[girth]));
    }
}

/// Draws an index with probability proportional to its odds.
pub(super) fn draw_weighted_index(odds: impl Iterator<Item = f64> + Clone, rng: &mut CounterRng) -> usize {
    let mut remainder = odds.clone().sum::<f64>() * rng.draw_uniform_0_to_1();
    let mut last = 0;
    for (index, odds) in odds.enumerate().filter(|(_, odds)| *odds > 0.0) {
        last = index;
        remainder -= odds;
        if remainder < 0.0 {
            break;
        }
    }
    last
}

/// Runs Lloyd iterations until the mean loss no longer falls, at most `max`; returns the centres and the mean loss.
fn run_lloyd(points: &GirthPoints, mut centres: Vec<WaistHip>, loss: &Loss, max: usize) -> (Vec<WaistHip>, f64) {
    let (mut assigned, mut min) = points.assign_to_best_centres(&centres, loss);
    for _ in 0..max {
        let optimal = |(before, k): (&WaistHip, u32)| optimal_centre_of_assigned(points, &assigned, k, *before, loss);
        let next: Vec<WaistHip> = centres.iter().zip(0..).map(optimal).collect();
        let (next_assigned, next_loss) = points.assign_to_best_centres(&next, loss);
        if next_loss >= min {
            break;
        }
        (centres, assigned, min) = (next, next_assigned, next_loss);
    }
    (centres, min)
}

/// Returns the optimal centre of the points assigned to centre `k`; `old` if no point is assigned to it.
fn optimal_centre_of_assigned(points: &GirthPoints, assigned: &[u32], k: u32, old: WaistHip, loss: &Loss) -> WaistHip {
    [0, 1].map(|girth: usize| {
        let sorted = points.sorted_girths_of_kept_points(girth, |index| assigned[index] == k);
        if sorted.len() == 0 { old[girth] } else { loss_minimising_girth(&sorted, loss) }
    })
}

/// Returns the girth, on the loss scale, that minimises the total loss of sorted weighted values.
fn loss_minimising_girth(sorted: &SortedValues, loss: &Loss) -> f64 {
    let sums = PrefixSums::new(sorted);
    let count = sorted.len();
    let best = match *loss {
        Loss::Squared => SquaredLossSolver.run_centre_and_cost(&sums, 0, count),
        Loss::LogBand(band) => LogBandSolver::new(band).run_centre_and_cost(&sums, 0, count),
        Loss::Absolute | Loss::Within(_) => AbsoluteLossSolver::default().run_centre_and_cost(&sums, 0, count),
    };
    best.0 + sums.mean
}
