//! Maximal coverage in the waist-hip plane: k axis-parallel squares that contain the most people, for [`Loss::Within`].
//! Maximal covering after Church and `ReVelle` (1974). A heuristic: squares are added one at a time, and then moved one at a
//! time. Neither lowers the number of covered people.
//!
//! A square covers a person whose waist and hip differ from the midpoint by at most the tolerance. Moving a square up
//! to its lowest covered waist and hip loses nobody, so that squares start at nodes of the grid of distinct waists and
//! hips. With a tolerance for each girth, the squares are rectangles.
//!
//! [`Loss::Within`]: super::Loss::Within

use super::chart_search::ChartSearch;
use super::coverage::max_coverage_interval_centres;
use super::points::{WaistHip, WaistHipPoints, distinct_girths};
use super::size_constraints::Reach;
use crate::error::{Problem, Problems};
use crate::interrupt::{Stoppable, count_interruptible_work};
use crate::random::CounterRng;

/// Maximum number of grid nodes: distinct waists × distinct hips.
const MAX_GRID_NODES: usize = 4_000_000;

/// Maximum number of passes; in each pass, every square in turn moves to a better place if there is one.
const MAX_SQUARE_MOVE_PASSES: usize = 100;

/// Returns the midpoints, in centimetres, of squares that cover many people: the best of several starts on the grid,
/// improved with the unrounded girths of all people.
pub(super) fn best_square_midpoints(search: &ChartSearch, reach: [Reach; 2]) -> Result<Vec<WaistHip>, Problems> {
    let mut grid = WaistHipGrid::from_points(&search.grid_points, reach)?;
    // With unrounded girths, only the starts are used: they keep their squares when sizes are added, so that more sizes
    // never serve fewer people.
    let slide = |midpoints| add_and_slide_squares(&search.people, midpoints, search.free_count, reach);
    let certified = search.coverage_bound.as_ref().filter(|_| search.is_rounded);
    let by_multipliers = certified.map(|certified| slide(certified.midpoints.clone())).transpose()?;
    let by_multipliers = by_multipliers.map(|(midpoints, _)| midpoints);
    let loss = |midpoints: &Vec<WaistHip>| search.people.mean_loss(midpoints, search.loss);
    let loss_by_multipliers = by_multipliers.as_ref().map_or(Ok(f64::INFINITY), loss)?;
    if loss_by_multipliers - search.bound <= search.settings.target_gap * loss_by_multipliers.min(1.0) {
        return Ok(by_multipliers.unwrap_or_default());
    }
    let by_starts = search.best_result_of_restarts(
        |restart, rng| {
            // The first start places each square greedily.
            let rng = (restart > 0).then_some(rng);
            let (squares, uncovered) = grid.add_and_move_squares(search, rng)?;
            Ok((squares.into_iter().map(|corner| grid.size_serving_square(corner)).collect(), uncovered))
        },
        |midpoints, _| slide(midpoints),
    )?;
    let loss_by_starts = loss(&by_starts)?;
    Ok(by_multipliers.filter(|_| loss_by_multipliers <= loss_by_starts).unwrap_or(by_starts))
}

/// Grid of distinct waists by distinct hips, with the weight and the number of covering squares of each node.
struct WaistHipGrid {
    /// Reach of a square in waist and in hip.
    reach: [Reach; 2],
    /// Distinct waists and distinct hips, in centimetres, ascending.
    girths: [Vec<f64>; 2],
    /// For each distinct waist and each distinct hip, the index in `girths` after the last girth of a square whose
    /// lowest girth this is.
    square_end_indices: [Vec<usize>; 2],
    /// Weight of each node, in ascending order of waist, then of hip.
    weights: Vec<f64>,
    /// Number of squares that cover each node, in ascending order of waist, then of hip.
    cover_counts: Vec<u32>,
}

/// Lower corner of a square on the grid: index of the lowest waist in the square, and index of the lowest hip.
type SquareLowerCorner = [usize; 2];

impl WaistHipGrid {
    /// Creates the grid, with each point's weight added to the point's node; returns a problem if there are too many nodes.
    fn from_points(grid_points: &WaistHipPoints, reach: [Reach; 2]) -> Result<Self, Problems> {
        let girths = [0, 1].map(|girth: usize| distinct_girths(&grid_points.girths, girth));
        let square_end_indices = [0, 1].map(|girth: usize| reach[girth].interval_end_indices(&girths[girth]));
        let nodes = girths[0].len() * girths[1].len();
        let problem = Problem::too_many_problem("search.step", nodes, MAX_GRID_NODES, "nodes of the search grid");
        Problems::ok_if_empty(problem.into_iter().collect())?;
        let mut grid =
            Self { reach, girths, square_end_indices, weights: vec![0.0; nodes], cover_counts: vec![0; nodes] };
        for (girths, weight) in grid_points.girths.iter().zip(&grid_points.weights) {
            let [waist, hip] = grid.first_node_at_or_above(*girths);
            grid.weights[waist * grid.girths[1].len() + hip] += weight;
        }
        Ok(grid)
    }

    /// Returns the index of the first distinct waist, and of the first distinct hip, not below the given girths.
    fn first_node_at_or_above(&self, girths: WaistHip) -> SquareLowerCorner {
        [0, 1].map(|girth: usize| self.girths[girth].partition_point(|value| *value < girths[girth]))
    }

    /// Returns waist and hip, in centimetres, of a size that serves the people in a square.
    fn size_serving_square(&self, corner: SquareLowerCorner) -> WaistHip {
        [0, 1].map(|girth: usize| {
            let (girths, start) = (&self.girths[girth], corner[girth]);
            self.reach[girth].centre_serving_girth_range(
                girths[start],
                girths[self.square_end_indices[girth][start].max(start + 1) - 1],
            )
        })
    }

    /// Adds squares one at a time, until all sizes have squares or all weight is covered: each where it covers the most
    /// or, with `rng`, at random. Moves all squares at the end, and on a grid of unrounded girths also after each
    /// addition. Returns the lower corners of the squares and the uncovered weight.
    fn add_and_move_squares(
        &mut self,
        search: &ChartSearch,
        mut rng: Option<&mut CounterRng>,
    ) -> Stoppable<(Vec<SquareLowerCorner>, f64)> {
        self.cover_counts.fill(0);
        let mut squares = Vec::new();
        while squares.len() < search.free_count && self.uncovered_weights().any(|weight| weight > 0.0) {
            let corner = match &mut rng {
                Some(rng) => self.random_square_corner(rng),
                None => self.best_square_corner_and_gain()?.0,
            };
            self.change_cover_counts(corner, |count| count + 1);
            squares.push(corner);
            if !search.is_rounded {
                self.move_squares_to_better_places(&mut squares)?;
            }
        }
        self.move_squares_to_better_places(&mut squares)?;
        let uncovered = self.uncovered_weights().sum();
        Ok((squares, uncovered))
    }

    /// Moves one square at a time, in place, to the place with the most weight outside the other squares, until no move
    /// gains weight.
    fn move_squares_to_better_places(&mut self, squares: &mut [SquareLowerCorner]) -> Stoppable<()> {
        for _ in 0..MAX_SQUARE_MOVE_PASSES {
            let before = squares.to_vec();
            for corner in &mut *squares {
                self.change_cover_counts(*corner, |count| count - 1);
                let (best, gain) = self.best_square_corner_and_gain()?;
                let is_uncovered = |node: &usize| self.cover_counts[*node] == 0;
                let uncovered = self.nodes_in_square(*corner).filter(is_uncovered).map(|node| self.weights[node]);
                if gain > uncovered.sum() {
                    *corner = best;
                }
                self.change_cover_counts(*corner, |count| count + 1);
            }
            if *squares == *before {
                break;
            }
        }
        Ok(())
    }

    /// Returns the weight of each node that no square covers, and zero for each covered node.
    fn uncovered_weights(&self) -> impl Iterator<Item = f64> {
        let nodes = self.weights.iter().zip(&self.cover_counts);
        nodes.map(|(weight, count)| if *count == 0 { *weight } else { 0.0 })
    }

    /// Returns the lower corner of a square centred at a random node, drawn with odds equal to the weights of the nodes.
    fn random_square_corner(&self, rng: &mut CounterRng) -> SquareLowerCorner {
        let node = rng.draw_weighted_index(self.weights.iter().copied());
        let (waist, hip) = (node / self.girths[1].len(), node % self.girths[1].len());
        let [waist_reach, hip_reach] = self.reach;
        let lowest = [
            waist_reach.lowest_girth_served_at(self.girths[0][waist]),
            hip_reach.lowest_girth_served_at(self.girths[1][hip]),
        ];
        self.first_node_at_or_above(lowest)
    }

    /// Returns the indices of the grid nodes that a square covers.
    fn nodes_in_square(&self, corner: SquareLowerCorner) -> impl Iterator<Item = usize> + use<> {
        let hips = self.girths[1].len();
        let [waist_range, hip_range] =
            [0, 1].map(|girth: usize| corner[girth]..self.square_end_indices[girth][corner[girth]]);
        waist_range.flat_map(move |waist| hip_range.clone().map(move |hip| waist * hips + hip))
    }

    fn change_cover_counts(&mut self, corner: SquareLowerCorner, change: impl Fn(u32) -> u32) {
        for node in self.nodes_in_square(corner) {
            self.cover_counts[node] = change(self.cover_counts[node]);
        }
    }

    /// Returns the lower corner of the square that holds the most weight of uncovered nodes, and that weight; ties go
    /// to the lowest waist, then to the lowest hip.
    fn best_square_corner_and_gain(&self) -> Stoppable<(SquareLowerCorner, f64)> {
        let hips = self.girths[1].len();
        count_interruptible_work(self.weights.len())?;
        // Sums of the uncovered weight of all nodes below a waist and a hip.
        let mut sums = vec![0.0; (self.girths[0].len() + 1) * (hips + 1)];
        let mut uncovered = self.uncovered_weights();
        for waist in 0..self.girths[0].len() {
            let (above, row) = sums[waist * (hips + 1)..].split_at_mut(hips + 1);
            let mut sum = 0.0;
            for ((entry, above), weight) in row[1..=hips].iter_mut().zip(&above[1..]).zip(&mut uncovered) {
                sum += weight;
                *entry = above + sum;
            }
        }
        let mut best = ([0, 0], 0.0);
        for (waist, waist_end) in self.square_end_indices[0].iter().enumerate() {
            let (below, above) = (&sums[waist * (hips + 1)..], &sums[waist_end * (hips + 1)..]);
            for (hip, hip_end) in self.square_end_indices[1].iter().enumerate() {
                let gain = above[*hip_end] - above[hip] - below[*hip_end] + below[hip];
                if gain > best.1 {
                    best = ([waist, hip], gain);
                }
            }
        }
        Ok(best)
    }
}

/// Adds squares up to `sizes` at people whom no square covers. Then moves one square at a time along one girth to where
/// the square covers the most people outside all other squares, by maximal coverage on a line, until no move gains
/// weight. Returns the midpoints of the squares and the share of uncovered people.
fn add_and_slide_squares(
    people: &WaistHipPoints,
    mut midpoints: Vec<WaistHip>,
    sizes: usize,
    reach: [Reach; 2],
) -> Stoppable<(Vec<WaistHip>, f64)> {
    let covers = |midpoint: &WaistHip, person: &WaistHip| {
        (0..2).all(|girth: usize| reach[girth].serves(midpoint[girth], person[girth]))
    };
    let square_at = |person: WaistHip| {
        [0, 1].map(|girth: usize| reach[girth].centre_serving_girth_range(person[girth], person[girth]))
    };
    for _ in 0..MAX_SQUARE_MOVE_PASSES {
        let before = midpoints.clone();
        for k in 0..sizes {
            count_interruptible_work(people.girths.len() * midpoints.len())?;
            let is_covered_by_others = |person: &WaistHip| {
                midpoints.iter().enumerate().any(|(other, midpoint)| other != k && covers(midpoint, person))
            };
            let is_available: Vec<bool> = people.girths.iter().map(|person| !is_covered_by_others(person)).collect();
            let mut available = people.girths.iter().zip(&is_available).filter(|(_, is_available)| **is_available);
            let Some((first, _)) = available.clone().next() else { continue };
            // A square that alone covers nobody goes to an uncovered person.
            if k >= midpoints.len() {
                midpoints.push(square_at(*first));
            } else if !available.any(|(person, _)| covers(&midpoints[k], person)) {
                midpoints[k] = square_at(*first);
            }
            for girth in [0, 1] {
                let (midpoint, other_girth) = (midpoints[k], 1 - girth);
                let is_in_strip = |index: usize| {
                    is_available[index]
                        && reach[other_girth].serves(midpoint[other_girth], people.girths[index][other_girth])
                };
                let strip = &people.sorted_girths_by_group(girth, 1, |index| is_in_strip(index).then_some(0))?[0];
                let coverage = |midpoint: f64| {
                    let pairs = strip.values.iter().zip(&strip.weights);
                    let served = pairs.filter(|(value, _)| reach[girth].serves(midpoint, **value));
                    served.map(|(_, weight)| weight).sum::<f64>()
                };
                let best = max_coverage_interval_centres(strip, reach[girth], 1)?;
                if let Some(best) = best.first().filter(|best| coverage(**best) > coverage(midpoint[girth])) {
                    midpoints[k][girth] = *best;
                }
            }
        }
        if midpoints == before {
            break;
        }
    }
    let is_uncovered = |person: &WaistHip| !midpoints.iter().any(|midpoint| covers(midpoint, person));
    let unserved = people.weighted_mean(people.girths.iter().map(|person| f64::from(u8::from(is_uncovered(person)))));
    Ok((midpoints, unserved))
}
