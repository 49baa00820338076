//! Certified lower bound on the mean loss in the waist-hip plane, for every loss that is the sum of a loss in waist and
//! a loss in hip: no k sizes have a smaller mean loss. By Lagrangian relaxation of the p-median problem (Cornuéjols,
//! Fisher and Nemhauser 1977).
//!
//! Point i has the weight `w(i)`, the number of people for whom the point stands, and a multiplier `u(i)`. A person has
//! at least the loss `u + Σ min(0, ℓ − u)`, summed over the losses `ℓ` in each of the k sizes, as one of the sizes is
//! the person's own and no term is positive. Summed over all people, the loss is at least `Σ w u + k min Σ w min(0, ℓ −
//! u)`, with the minimum over all places of one size. Any multipliers therefore give a valid bound, and are its
//! certificate.
//!
//! The greatest bound maximises a concave function. The minimum over the nodes of a grid is replaced by a soft minimum
//! whose temperature falls, maximised by accelerated gradients (Nesterov 2005). At the end the minimum over the whole
//! plane is found by big square, small square (Hansen, Peeters, Richard and Thisse 1985).

use std::ops::Range;

use super::chart_search::{ChartSearch, SearchInput};
use super::loss::Loss;
use super::merged_people::MergedPeople;
use super::momentum::{PassSchedule, run_gradient_steps, schedule_of_passes};
use super::points::{WaistHip, girth_ranges};
use crate::interrupt::{Stoppable, count_interruptible_work};

/// Maximum number of grid steps, in waist or in hip, over the difference at which the loss equals the first multiplier.
const MAX_STEPS_PER_LOSS_RADIUS: f64 = 12.0;

/// Maximum number of nodes of the grid over which the soft minimum is taken, in total and for each point.
const MAX_SOFT_MIN_NODES: f64 = 200_000.0;
const MAX_SOFT_MIN_NODES_PER_POINT: f64 = 100.0;

/// Maximum number of points into which people are merged: of the coarse points, and of the finer points, whose
/// multipliers start from those of the coarse points.
const MAX_COARSE_POINTS: usize = 5000;
const MAX_FINER_POINTS: usize = 40_000;

/// Number of coarse points × number of passes with them, whose passes are limited to 400 to 1000.
const COARSE_POINTS_TIMES_PASSES: usize = 1_000_000;

/// Schedule of the passes with the finer points, after those with the coarse points.
const FINER_POINT_SCHEDULE: PassSchedule = (80, [0.001, 0.00025]);

/// Factor of the gradient step of a pass: the step is factor × temperature × |minimum over the nodes| / sum of weights.
pub(super) const GRADIENT_STEP_FACTOR: f64 = 16.0;

/// Minimum weight of a node in the soft minimum, as a share of that of the best node; smaller weights count as 0.
const MIN_RELATIVE_SOFT_MIN_WEIGHT: f64 = 1e-4;

/// Minimum gap at which the passes stop: chart's loss minus bound, as a share of the chart's loss. A smaller target gap
/// of the settings counts as this gap.
const MIN_RELATIVE_TARGET_GAP: f64 = 0.001;

/// Maximum amount by which the tolerance of the search of the plane lowers the bound, as a share of the chart's loss.
const RELATIVE_PLANE_SEARCH_TOLERANCE: f64 = 0.0005;

/// Computes a lower bound on the mean loss of any k sizes, and the Lagrange multiplier of each person that certifies
/// the bound. `chart_loss` is the mean loss of the chart that the search found.
pub(super) fn median_bound_and_multipliers(search: &ChartSearch, chart_loss: f64) -> Stoppable<(f64, Vec<f64>)> {
    let start = 2.0 * chart_loss;
    let people: Vec<(WaistHip, f64)> = search.input.columns.people_in_search_coordinates(search.input.loss).collect();
    let points = MergedPeople::new(&people, search.input.loss, MAX_COARSE_POINTS)?;
    let passes = (COARSE_POINTS_TIMES_PASSES / points.girths.len()).clamp(400, 1000);
    let first = vec![start; points.girths.len()];
    let mut relaxation = MedianRelaxation { search, points, chart_loss };
    let (mut multipliers, mut min) = relaxation.best_multipliers_and_node_min(&first, schedule_of_passes(passes))?;
    if relaxation.points.side > 0.0 && !search.input.is_out_of_time() {
        let finer = MergedPeople::new(&people, search.input.loss, MAX_FINER_POINTS)?;
        let near = |girths| relaxation.points.person_multiplier_from_points(girths, &multipliers).unwrap_or(start);
        let first: Vec<f64> = finer.girths.iter().map(near).collect();
        relaxation.points = finer;
        (multipliers, min) = relaxation.best_multipliers_and_node_min(&first, FINER_POINT_SCHEDULE)?;
    }
    let mean_loss = relaxation.total_loss_lower_bound(&multipliers, min)? / relaxation.points.total_weight;
    let of_person = |person| relaxation.points.person_multiplier_from_points(person, &multipliers);
    Ok((mean_loss, people.iter().map(|(girths, _)| of_person(girths).unwrap_or_default()).collect()))
}

/// Waists and hips of the grid nodes, ascending, in search coordinates (cm or ln cm).
type GridAxes = [Vec<f64>; 2];

/// Lagrangian relaxation of the p-median problem: weighted points, and a search with its loss and its number of sizes.
struct MedianRelaxation<'a> {
    search: &'a ChartSearch<'a>,
    points: MergedPeople,
    /// Mean loss of the chart that the search found.
    chart_loss: f64,
}

impl MedianRelaxation<'_> {
    /// Returns multipliers that nearly maximise the bound, and the minimum over the grid nodes of Σ w min(0, ℓ − u),
    /// with the weight w, loss ℓ and multiplier u of each point. `start` are the first multipliers.
    fn best_multipliers_and_node_min(&self, start: &[f64], schedule: PassSchedule) -> Stoppable<(Vec<f64>, f64)> {
        let MergedPeople { girths, weights, total_weight, .. } = &self.points;
        let sizes = self.search.input.free_count() as f64;
        let gap = f64::max(MIN_RELATIVE_TARGET_GAP, self.search.input.settings.target_gap);
        let differences = self.search.input.loss.difference_range_up_to_loss(2.0 * self.chart_loss);
        let axes = self.allowed_axes().unwrap_or_else(|| evenly_spaced_axes(girths, differences));
        // One value for each node, in ascending order of waist, then of hip.
        let mut nodes = vec![0.0; axes[0].len() * axes[1].len()];
        // No multiplier exceeds the least loss of a person in the point's cell in one of the fixed sizes, so that the
        // bound stays valid for people who are best off in a fixed size.
        let least = |difference: f64| self.least_loss_near_difference(difference, 0.0);
        let max_multiplier = |point: &WaistHip| {
            let losses = self.search.fixed.iter().map(|size| least(point[0] - size[0]) + least(point[1] - size[1]));
            losses.fold(f64::INFINITY, f64::min)
        };
        let max: Vec<f64> = girths.iter().map(max_multiplier).collect();
        let (mut best, mut best_bound) = ((start.to_vec(), 0.0), f64::NEG_INFINITY);
        run_gradient_steps(start, &max, schedule, |_, multipliers, temperature| {
            nodes.fill(0.0);
            for (k, weight) in weights.iter().enumerate() {
                self.visit_node_rows_near_point(&axes, k, multipliers[k], |row, losses, left| {
                    for (value, loss) in nodes[row].iter_mut().zip(losses) {
                        *value += weight * (loss - left).min(0.0);
                    }
                })?;
            }
            let min = nodes.iter().copied().fold(0.0, f64::min);
            let bound = multipliers.iter().zip(weights).map(|(u, weight)| u * weight).sum::<f64>() + sizes * min;
            if bound > best_bound {
                (best_bound, best) = (bound, (multipliers.to_vec(), min));
            }
            let is_reached = bound >= (1.0 - gap) * self.chart_loss * total_weight;
            if min == 0.0 || is_reached || self.search.input.is_out_of_time() {
                return Ok(None);
            }
            replace_by_soft_min_shares(&mut nodes, min, temperature);
            let step = GRADIENT_STEP_FACTOR * temperature * -min / total_weight;
            let next = multipliers.iter().enumerate().map(|(k, u)| {
                let mut cover = 0.0;
                self.visit_node_rows_near_point(&axes, k, *u, |row, losses, left| {
                    let shares = nodes[row].iter().zip(losses);
                    cover += shares.map(|(share, loss)| if *loss < left { *share } else { 0.0 }).sum::<f64>();
                })?;
                Ok(u + step * (1.0 - sizes * cover))
            });
            next.collect::<Stoppable<Vec<f64>>>().map(Some)
        })?;
        Ok(best)
    }

    /// Calls `visit` for each row of nodes, all of one waist, where the loss of `point` may be below `multiplier`. The
    /// arguments are the indices of the nodes, the hip loss at each node, and the multiplier minus the waist loss of
    /// the row.
    fn visit_node_rows_near_point(
        &self,
        axes: &GridAxes,
        point: usize,
        multiplier: f64,
        mut visit: impl FnMut(Range<usize>, &[f64], f64),
    ) -> Stoppable<()> {
        let (girths, half_cell) = (self.points.girths[point], self.points.half_cell);
        // At these differences the loss of a person in the point's cell may be at most the multiplier.
        let [low, high] = self.search.input.loss.difference_range_up_to_loss(multiplier);
        let [waists, hips] = [0, 1].map(|k: usize| {
            let [min, max] = [girths[k] - half_cell - high, girths[k] + half_cell - low];
            axes[k].partition_point(|node| *node < min)..axes[k].partition_point(|node| *node <= max)
        });
        count_interruptible_work(waists.len() * hips.len() / 4)?;
        let loss = |k: usize, node: f64| self.least_loss_near_difference(girths[k] - node, 0.0);
        let hip_losses: Vec<f64> = axes[1][hips.clone()].iter().map(|hip| loss(1, *hip)).collect();
        for waist in waists {
            let row = waist * axes[1].len();
            visit(row + hips.start..row + hips.end, &hip_losses, multiplier - loss(0, axes[0][waist]));
        }
        Ok(())
    }

    /// Returns the least loss of one girth over all differences within `half_width` plus half a cell of `difference`.
    fn least_loss_near_difference(&self, difference: f64, half_width: f64) -> f64 {
        let half_width = half_width + self.points.half_cell;
        self.search.input.loss.loss_of_difference(difference - difference.clamp(-half_width, half_width))
    }

    /// Returns the allowed waists and the allowed hips of a size, in the ranges of the points and next to them; `None`
    /// if every girth is allowed, if there are too many pairs, or for [`Loss::LogBand`].
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn allowed_axes(&self) -> Option<GridAxes> {
        let SearchInput { loss, settings, .. } = self.search.input;
        let grid = settings.constraints.grid.filter(|_| !matches!(loss, Loss::LogBand(_)))?;
        let ranges = girth_ranges(self.points.girths.iter().copied());
        // In steps of the grid: the girths in the range, and the next one to either side.
        let ranges = ranges.map(|[min, max]| [(min / grid).floor(), (max / grid).ceil()]);
        let [waists, hips] = ranges.map(|[first, last]| last - first + 1.0);
        let axis = |[first, last]: [f64; 2]| evenly_spaced_girths(first * grid, grid, (last - first) as usize);
        (waists * hips <= MAX_SOFT_MIN_NODES).then(|| ranges.map(axis))
    }

    /// Returns the lower bound on the total loss, the sum of weight × loss, of any chart. `min` is the least Σ w
    /// min(0, ℓ − u) found so far, with the weight w, loss ℓ and multiplier u of each point.
    fn total_loss_lower_bound(&self, multipliers: &[f64], mut min: f64) -> Stoppable<f64> {
        let MergedPeople { girths, weights, total_weight, constant, .. } = &self.points;
        let sizes = self.search.input.free_count() as f64;
        let sum: f64 = multipliers.iter().zip(weights).map(|(u, weight)| u * weight).sum();
        if self.allowed_axes().is_some() {
            return Ok(sum + sizes * min - constant);
        }
        let ranges = girth_ranges(girths.iter().copied());
        // No size outside the ranges of the girths is better than the nearest one inside.
        let half_side = ranges.map(|[min, max]| (max - min) / 2.0).into_iter().fold(0.0, f64::max);
        let centre = ranges.map(|[min, max]| f64::midpoint(min, max));
        let tolerance = RELATIVE_PLANE_SEARCH_TOLERANCE * self.chart_loss * total_weight / sizes;
        let all = (0..girths.len()).collect();
        self.search_square_for_min_sum(multipliers, (centre, half_side), all, tolerance, &mut min)?;
        Ok(sum + sizes * (min - tolerance) - constant)
    }

    /// Searches a square, given by centre and half the side, for the place of one size with the least sum over points,
    /// Σ w min(0, ℓ − u); w is the weight, ℓ the loss and u the multiplier of a point. Lowers `min`, the least sum
    /// found so far, to at most the least sum in the square plus `tolerance`. `points` are the indices of the points
    /// that may contribute to the sum.
    fn search_square_for_min_sum(
        &self,
        multipliers: &[f64],
        (centre, half_side): (WaistHip, f64),
        mut points: Vec<usize>,
        tolerance: f64,
        min: &mut f64,
    ) -> Stoppable<()> {
        let (mut at_centre, mut slopes, mut bound_of_rest) = (0.0, [0.0; 2], 0.0);
        count_interruptible_work(20 * points.len())?;
        points.retain(|point| {
            let (weight, multiplier) = (self.points.weights[*point], multipliers[*point]);
            let differences = [0, 1].map(|girth: usize| self.points.girths[*point][girth] - centre[girth]);
            let total = |loss: &dyn Fn(f64) -> f64| loss(differences[0]) + loss(differences[1]);
            let least = total(&|difference| self.least_loss_near_difference(difference, half_side));
            if least >= multiplier {
                return false;
            }
            let excess = total(&|difference| self.least_loss_near_difference(difference, 0.0)) - multiplier;
            at_centre += weight * excess.min(0.0);
            let end = |difference: f64, sign: f64| self.least_loss_near_difference(difference + sign * half_side, 0.0);
            if total(&|difference| end(difference, 1.0).max(end(difference, -1.0))) <= multiplier {
                // The loss is convex, and at least its tangent everywhere in the square.
                for (slope, difference) in slopes.iter_mut().zip(differences) {
                    let nearest = difference - difference.clamp(-self.points.half_cell, self.points.half_cell);
                    *slope += weight * self.search.input.loss.loss_slope_at_difference(nearest);
                }
            } else {
                bound_of_rest += weight * (least - multiplier - excess.min(0.0));
            }
            true
        });
        *min = min.min(at_centre);
        let bound = at_centre + bound_of_rest - half_side * (slopes[0].abs() + slopes[1].abs());
        if bound >= *min - tolerance {
            return Ok(());
        }
        let half_side = half_side / 2.0;
        for [waist, hip] in [[-1.0, -1.0], [-1.0, 1.0], [1.0, -1.0], [1.0, 1.0]] {
            let centre = [centre[0] + waist * half_side, centre[1] + hip * half_side];
            self.search_square_for_min_sum(multipliers, (centre, half_side), points.clone(), tolerance, min)?;
        }
        Ok(())
    }
}

/// Returns evenly spaced waists and hips over the ranges of the girths. `differences` are the negative and the positive
/// difference, person minus size, at which the loss equals the first multiplier. Nodes are at least 1/12 of the mean of the
/// two absolute differences apart.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn evenly_spaced_axes(girths: &[WaistHip], differences: [f64; 2]) -> GridAxes {
    let ranges = girth_ranges(girths.iter().copied());
    let [waist, hip] = ranges.map(|[min, max]| max - min);
    let finest = f64::midpoint(differences[1], -differences[0]) / MAX_STEPS_PER_LOSS_RADIUS;
    let max_nodes = MAX_SOFT_MIN_NODES.min(MAX_SOFT_MIN_NODES_PER_POINT * girths.len() as f64);
    let spacing = finest.max((waist * hip / max_nodes).sqrt()).max(waist.max(hip) / max_nodes.sqrt());
    ranges.map(|[min, max]| {
        let steps = ((max - min) / spacing) as usize;
        evenly_spaced_girths(f64::midpoint(min, max) - steps as f64 / 2.0 * spacing, spacing, steps)
    })
}

/// Returns girths from `first` on, `spacing` apart.
fn evenly_spaced_girths(first: f64, spacing: f64, steps: usize) -> Vec<f64> {
    (0..=steps).map(|step| first + step as f64 * spacing).collect()
}

/// Replaces the value of each node by the node's share in the soft minimum over all nodes; the shares add up to 1.
pub(super) fn replace_by_soft_min_shares(values: &mut [f64], min: f64, temperature: f64) {
    let scale = 1.0 / (temperature * min.abs());
    let largest_exponent = -libm::log(MIN_RELATIVE_SOFT_MIN_WEIGHT);
    for value in &mut *values {
        let exponent = (*value - min) * scale;
        *value = if exponent < largest_exponent { libm::exp(-exponent) } else { 0.0 };
    }
    let sum: f64 = values.iter().sum();
    for value in values {
        *value /= sum;
    }
}
