//! Maximal coverage in the waist-hip plane: k axis-parallel squares that contain the most people, for [`Loss::Within`].
//! Maximal covering after Church and `ReVelle` (1974). A heuristic: greedy placement and exchange from several starts.
//!
//! A square covers a person whose waist and hip differ from the midpoint by at most the tolerance. Moving a square up
//! to its lowest covered waist and hip loses nobody, so that squares start at nodes of the grid of distinct waists and
//! hips.
//!
//! [`Loss::Within`]: super::Loss::Within

use super::chart::SearchSettings;
use super::coverage::{interval_end_index_by_start, max_coverage_interval_midpoints};
use super::lloyd::draw_weighted_index;
use super::points::{GirthPoints, WaistHip};
use crate::error::{Problem, Problems};
use crate::survey::ease_bounds::EQUALITY_TOLERANCE_CM;
use crate::survey::interrupt::count_interruptible_work;
use crate::survey::random::{CounterRng, RandomStream};

/// Maximum number of grid nodes: distinct waists × distinct hips.
const MAX_GRID_NODES: usize = 4_000_000;

/// Maximum number of passes in which each square in turn is moved to a better place.
const MAX_SQUARE_MOVE_PASSES: usize = 100;

/// Returns the midpoints of squares that cover many people: the best of several starts, improved on all people.
pub(super) fn best_square_midpoints(
    grid_points: &GirthPoints,
    people: &GirthPoints,
    tolerance: f64,
    sizes: usize,
    search: &SearchSettings,
) -> Result<Vec<WaistHip>, Problems> {
    let mut grid = WaistHipGrid::new(grid_points, tolerance);
    let nodes = grid.waist_count() * grid.hip_count();
    let problem = Problem::if_too_many("search.step", nodes, MAX_GRID_NODES, "grid nodes");
    Problems::ok_if_empty(problem.into_iter().collect())?;
    grid.set_grid_node_weights(grid_points);
    let mut rng = CounterRng::new(search.seed, RandomStream::Starts, 0);
    let mut best = (Vec::new(), -1.0);
    for restart in 0..search.restarts {
        // The first start has no squares, so that all are placed greedily. Later starts have random squares.
        let count = if restart == 0 { 0 } else { sizes };
        let start = (0..count).map(|_| grid.random_square_corner(grid_points, tolerance, &mut rng)).collect();
        let next = grid.add_and_move_squares(start, sizes);
        if next.1 > best.1 {
            best = next;
        }
    }
    let mut midpoints: Vec<WaistHip> = best.0.into_iter().map(|corner| grid.covered_midpoint(corner)).collect();
    slide_midpoints_one_girth_at_a_time(people, &mut midpoints, tolerance);
    Ok(midpoints)
}

/// Grid of distinct waists by distinct hips, with the weight and the number of covering squares of each node.
struct WaistHipGrid {
    /// Distinct waists and distinct hips, ascending.
    girths: [Vec<f64>; 2],
    /// For each distinct waist and each distinct hip, the exclusive end index of a square that starts there.
    ends: [Vec<usize>; 2],
    /// Weight of each node, waist by waist.
    weights: Vec<f64>,
    /// Number of squares that cover each node, waist by waist.
    cover_counts: Vec<u32>,
}

/// Lower corner of a square on the grid: index of its lowest waist and index of its lowest hip.
type LowerCorner = [usize; 2];

impl WaistHipGrid {
    fn new(grid_points: &GirthPoints, tolerance: f64) -> Self {
        let girths = [0, 1].map(|girth| {
            let mut distinct = grid_points.sorted_girths_of_kept_points(girth, |_| true).values;
            distinct.dedup();
            distinct
        });
        let ends = [0, 1].map(|girth: usize| interval_end_index_by_start(&girths[girth], tolerance));
        Self { girths, ends, weights: Vec::new(), cover_counts: Vec::new() }
    }

    fn waist_count(&self) -> usize {
        self.girths[0].len()
    }

    fn hip_count(&self) -> usize {
        self.girths[1].len()
    }

    /// Allocates the node weights and adds each point's weight to its node; the caller first checks the node count.
    fn set_grid_node_weights(&mut self, grid_points: &GirthPoints) {
        let hips = self.hip_count();
        self.weights = vec![0.0; self.waist_count() * hips];
        for (girths, weight) in grid_points.girths.iter().zip(&grid_points.weights) {
            let [waist, hip] =
                [0, 1].map(|girth: usize| self.girths[girth].partition_point(|value| *value < girths[girth]));
            self.weights[waist * hips + hip] += weight;
        }
    }

    /// Returns the waist and the hip half-way between the lowest and the highest waist and hip that a square covers.
    fn covered_midpoint(&self, corner: LowerCorner) -> WaistHip {
        [0, 1].map(|girth: usize| {
            let (girths, start) = (&self.girths[girth], corner[girth]);
            f64::midpoint(girths[start], girths[self.ends[girth][start] - 1])
        })
    }

    /// Returns the lower corner of a square centred at a point that is drawn with odds proportional to weight.
    fn random_square_corner(&self, grid_points: &GirthPoints, tolerance: f64, rng: &mut CounterRng) -> LowerCorner {
        let girths = grid_points.girths[draw_weighted_index(grid_points.weights.iter().copied(), rng)];
        [0, 1].map(|girth: usize| self.girths[girth].partition_point(|value| *value < girths[girth] - tolerance))
    }

    /// Adds squares greedily up to `sizes`, then moves one square at a time to the best place until no move covers
    /// more. Returns the squares' lower corners and the covered weight.
    fn add_and_move_squares(&mut self, mut squares: Vec<LowerCorner>, sizes: usize) -> (Vec<LowerCorner>, f64) {
        self.cover_counts = vec![0; self.weights.len()];
        for corner in &squares {
            self.add_square(*corner);
        }
        while squares.len() < sizes {
            let (corner, gain) = self.best_square_and_gain();
            if gain <= 0.0 {
                break;
            }
            self.add_square(corner);
            squares.push(corner);
        }
        for _ in 0..MAX_SQUARE_MOVE_PASSES {
            let mut has_moved = false;
            for corner in &mut squares {
                self.remove_square(*corner);
                let (best, gain) = self.best_square_and_gain();
                if gain > self.uncovered_weight_in_square(*corner) {
                    (*corner, has_moved) = (best, true);
                }
                self.add_square(*corner);
            }
            if !has_moved {
                break;
            }
        }
        let covered = self.weights.iter().zip(&self.cover_counts).filter(|(_, count)| **count > 0);
        (squares, covered.map(|(weight, _)| weight).sum())
    }

    /// Returns the indices of the grid nodes that a square covers.
    fn nodes_in_square(&self, corner: LowerCorner) -> impl Iterator<Item = usize> + use<> {
        let (hips, [first_waist, first_hip]) = (self.hip_count(), corner);
        let hip_range = first_hip..self.ends[1][first_hip];
        let waist_range = first_waist..self.ends[0][first_waist];
        waist_range.flat_map(move |waist| hip_range.clone().map(move |hip| waist * hips + hip))
    }

    fn add_square(&mut self, corner: LowerCorner) {
        for node in self.nodes_in_square(corner) {
            self.cover_counts[node] += 1;
        }
    }

    fn remove_square(&mut self, corner: LowerCorner) {
        for node in self.nodes_in_square(corner) {
            self.cover_counts[node] -= 1;
        }
    }

    /// Returns the total weight of those nodes of a square that no placed square covers.
    fn uncovered_weight_in_square(&self, corner: LowerCorner) -> f64 {
        self.nodes_in_square(corner).filter(|node| self.cover_counts[*node] == 0).map(|node| self.weights[node]).sum()
    }

    /// Returns the lower corner of the square that adds the most covered weight, and that weight; ties go to the first.
    fn best_square_and_gain(&self) -> (LowerCorner, f64) {
        let (waists, hips) = (self.waist_count(), self.hip_count());
        count_interruptible_work(waists * hips);
        let mut sums = vec![0.0; (waists + 1) * (hips + 1)];
        for waist in 0..waists {
            let mut sum = 0.0;
            for hip in 0..hips {
                let node = waist * hips + hip;
                sum += if self.cover_counts[node] == 0 { self.weights[node] } else { 0.0 };
                sums[(waist + 1) * (hips + 1) + hip + 1] = sums[waist * (hips + 1) + hip + 1] + sum;
            }
        }
        let mut best = ([0, 0], 0.0);
        for (waist, waist_end) in self.ends[0].iter().enumerate() {
            let (below, above) = (&sums[waist * (hips + 1)..], &sums[waist_end * (hips + 1)..]);
            for (hip, hip_end) in self.ends[1].iter().enumerate() {
                let gain = above[*hip_end] - above[hip] - below[*hip_end] + below[hip];
                if gain > best.1 {
                    best = ([waist, hip], gain);
                }
            }
        }
        best
    }
}

/// Moves one midpoint at a time, in place, along one girth to where its square covers the most people whom no other
/// square covers, until no move gains. Each move is optimal by maximal coverage on a line.
fn slide_midpoints_one_girth_at_a_time(people: &GirthPoints, midpoints: &mut [WaistHip], tolerance: f64) {
    let within = |girth: f64, midpoint: f64| (girth - midpoint).abs() <= tolerance + EQUALITY_TOLERANCE_CM;
    for _ in 0..MAX_SQUARE_MOVE_PASSES {
        let mut has_moved = false;
        for (k, girth) in (0..midpoints.len()).flat_map(|k| [(k, 0), (k, 1)]) {
            let (midpoint, other_girth) = (midpoints[k], 1 - girth);
            let is_available = |person: WaistHip| {
                let covers = |(j, midpoint): (usize, &WaistHip)| {
                    j != k && within(person[0], midpoint[0]) && within(person[1], midpoint[1])
                };
                within(person[other_girth], midpoint[other_girth]) && !midpoints.iter().enumerate().any(covers)
            };
            let available = people.sorted_girths_of_kept_points(girth, |index| is_available(people.girths[index]));
            let coverage = |midpoint: f64| {
                let pairs = available.values.iter().zip(&available.weights);
                pairs.filter(|(value, _)| within(**value, midpoint)).map(|(_, weight)| weight).sum::<f64>()
            };
            let best = max_coverage_interval_midpoints(&available, tolerance, 1);
            if let Some(best) = best.first().filter(|best| coverage(**best) > coverage(midpoint[girth])) {
                midpoints[k][girth] = *best;
                has_moved = true;
            }
        }
        if !has_moved {
            break;
        }
    }
}
