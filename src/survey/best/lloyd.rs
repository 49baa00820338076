//! Lloyd iteration (Lloyd 1982) with k-means++ seeding (Arthur and Vassilvitskii 2007), for losses that are the sum of
//! a loss in waist and a loss in hip. A heuristic: each iteration lowers the mean loss, and the best of several starts
//! is kept.

use super::centre::{BandSolver, CentreSolver, MeanSolver, MedianSolver};
use super::chart::SearchSettings;
use super::loss::Loss;
use super::points::{GirthPair, Points, best_centre};
use super::sorted_values::{PrefixSums, SortedValues};
use crate::survey::interrupt::count_work;
use crate::survey::random::{CounterRng, Stream};

/// Maximum number of Lloyd iterations per start, on the grid points.
const MAX_GRID_ITERATIONS: usize = 200;

/// Maximum number of final Lloyd iterations on the unrounded girths of all people.
const MAX_FINAL_ITERATIONS: usize = 10;

/// Runs Lloyd iterations on the grid points from several starts; returns the best centres, improved on all people.
pub(super) fn best_centres(
    grid_points: &Points,
    people: &Points,
    loss: &Loss,
    sizes: usize,
    search: &SearchSettings,
) -> Vec<GirthPair> {
    let mut rng = CounterRng::new(search.seed, Stream::Starts, 0);
    let results = (0..search.restarts).map(|restart| {
        let mut centres = k_means_plus_plus_centres(grid_points, loss, sizes, &mut rng);
        if restart % 2 == 1 {
            move_half_way_to_points(grid_points, &mut centres, &mut rng);
        }
        run_lloyd(grid_points, centres, loss, MAX_GRID_ITERATIONS)
    });
    // A tie goes to the first start.
    let best = results.reduce(|best, next| if next.1 < best.1 { next } else { best });
    best.map_or_else(Vec::new, |(centres, _)| run_lloyd(people, centres, loss, MAX_FINAL_ITERATIONS).0)
}

/// Draws initial centres by k-means++: the first point by weight, each further point by weight × least loss in the
/// centres so far.
fn k_means_plus_plus_centres(points: &Points, loss: &Loss, sizes: usize, rng: &mut CounterRng) -> Vec<GirthPair> {
    let mut centres = vec![points.girths[draw_weighted_index(points.weights.iter().copied(), rng)]];
    let mut losses = vec![f64::INFINITY; points.girths.len()];
    while centres.len() < sizes {
        count_work(points.girths.len());
        let last = &centres[centres.len() - 1..];
        losses
            .iter_mut()
            .zip(&points.girths)
            .for_each(|(min, girths)| *min = min.min(best_centre(*girths, last, loss).1));
        let odds = || losses.iter().zip(&points.weights).map(|(loss, weight)| loss * weight);
        if odds().sum::<f64>() <= 0.0 {
            // The loss is zero for every point: further centres gain nothing.
            break;
        }
        centres.push(points.girths[draw_weighted_index(odds(), rng)]);
    }
    centres
}

/// Moves each centre half-way to a point drawn by weight. Starts between points reach optima that starts at points may
/// miss.
fn move_half_way_to_points(points: &Points, centres: &mut [GirthPair], rng: &mut CounterRng) {
    for centre in centres {
        let point = points.girths[draw_weighted_index(points.weights.iter().copied(), rng)];
        *centre = [0, 1].map(|girth: usize| f64::midpoint(centre[girth], point[girth]));
    }
}

/// Draws an index with probability proportional to the odds.
pub(super) fn draw_weighted_index(odds: impl Iterator<Item = f64> + Clone, rng: &mut CounterRng) -> usize {
    let mut remainder = odds.clone().sum::<f64>() * rng.draw_uniform();
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

/// Runs Lloyd iterations until the mean loss no longer falls, at most `max_steps`; returns the centres and the
/// mean loss.
fn run_lloyd(points: &Points, mut centres: Vec<GirthPair>, loss: &Loss, max_steps: usize) -> (Vec<GirthPair>, f64) {
    let (mut assigned, mut min) = points.assign_to_centres(&centres, loss);
    for _ in 0..max_steps {
        let optimal = |(before, k): (&GirthPair, u32)| optimal_centre_of_assigned(points, &assigned, k, *before, loss);
        let next: Vec<GirthPair> = centres.iter().zip(0..).map(optimal).collect();
        let (next_assigned, next_loss) = points.assign_to_centres(&next, loss);
        if next_loss >= min {
            break;
        }
        (centres, assigned, min) = (next, next_assigned, next_loss);
    }
    (centres, min)
}

/// Returns the optimal centre of the points assigned to centre `k`; without assigned points, `before`.
fn optimal_centre_of_assigned(points: &Points, assigned: &[u32], k: u32, before: GirthPair, loss: &Loss) -> GirthPair {
    [0, 1].map(|girth: usize| {
        let sorted = points.sorted_girths(girth, |index| assigned[index] == k);
        if sorted.len() == 0 { before[girth] } else { loss_minimising_girth(&sorted, loss) }
    })
}

/// Returns the girth that minimises the total loss of sorted values.
fn loss_minimising_girth(sorted: &SortedValues, loss: &Loss) -> f64 {
    let sums = PrefixSums::new(sorted);
    let count = sorted.len();
    let best = match *loss {
        Loss::Squared => MeanSolver.solve_run(&sums, 0, count),
        Loss::LogBand(band) => BandSolver::new(band).solve_run(&sums, 0, count),
        Loss::Absolute | Loss::Within(_) => MedianSolver::default().solve_run(&sums, 0, count),
    };
    best.0 + sums.mean
}
