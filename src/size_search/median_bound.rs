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
//! The greatest bound maximises a concave function. The minimum over the nodes of a grid is replaced by a soft minimum whose
//! temperature falls, maximised by accelerated gradients (Nesterov 2005). At the end the minimum over the whole plane is
//! found by big square, small square (Hansen, Peeters, Richard and Thisse 1985).

use std::ops::Range;

use super::chart_search::ChartSearch;
use super::loss::Loss;
use super::merged_people::MergedPeople;
use super::momentum::AcceleratedGradientState;
use super::points::{WaistHip, min_and_max};
use super::search_settings::Deadline;
use crate::interrupt::{Stopped, count_interruptible_work};

/// Number of grid nodes from the place of a size to the distance at which the loss equals the first multiplier.
const NODES_PER_LOSS_RADIUS: f64 = 12.0;

/// Maximum number of nodes of the grid over which the soft minimum is taken, in total and for each point.
const MAX_SOFT_MIN_NODES: f64 = 200_000.0;
const MAX_SOFT_MIN_NODES_PER_POINT: f64 = 100.0;

/// Maximum number of points: of the coarse points, and of the finer points, which start from the coarse multipliers.
const MAX_COARSE_POINTS: usize = 5000;
const MAX_FINER_POINTS: usize = 40_000;

/// Coarse points × passes, which sets the number of passes with the coarse points: from 400 to 1000.
const COARSE_POINTS_TIMES_PASSES: usize = 1_000_000;

/// Number of passes with the finer points, after those with the coarse points.
const FINER_POINT_PASSES: usize = 80;

/// Temperatures of the soft minimum, as shares of the minimum: in the first and in the last pass, each for the coarse and
/// for the finer points. The last temperature with the coarse points is inversely proportional to the number of passes.
const FIRST_COARSE_TEMPERATURE: f64 = 0.02;
const FIRST_FINER_TEMPERATURE: f64 = 0.001;
const LAST_COARSE_TEMPERATURE_TIMES_PASSES: f64 = 0.08;
const LAST_FINER_TEMPERATURE: f64 = 0.00025;

/// Factor of the gradient step of a pass: the step is factor × temperature × absolute minimum / sum of weights.
const GRADIENT_STEP_FACTOR: f64 = 16.0;

/// Minimum odds of a node in the soft minimum, relative to the odds of the best node; smaller odds count as 0.
const MIN_RELATIVE_NODE_ODDS: f64 = 1e-4;

/// Minimum gap at which the passes stop: chart's loss minus bound, as a share of the chart's loss. A smaller target gap
/// of the settings counts as this gap.
const MIN_TARGET_GAP: f64 = 0.001;

/// Maximum amount by which the tolerance of the search of the plane lowers the bound, as a share of the chart's loss.
const PLANE_SEARCH_TOLERANCE: f64 = 0.0005;

/// Lower bound on the mean loss of any k sizes, with the multipliers that certify the bound.
pub(super) struct MedianBound {
    /// Lower bound on the mean loss.
    pub(super) mean_loss: f64,
    /// Lagrange multiplier of each person, in the order of the people.
    pub(super) multipliers: Vec<f64>,
}

impl MedianBound {
    /// Computes the bound for `people`, pairs of girths on the loss scale and weight. `chart_loss` is the mean loss of
    /// the chart.
    pub(super) fn new(people: &[(WaistHip, f64)], search: &ChartSearch, chart_loss: f64) -> Result<Self, Stopped> {
        let start = 2.0 * chart_loss;
        let gap = f64::max(MIN_TARGET_GAP, search.settings.target_gap);
        let mut points = MergedPeople::new(people, search.loss, MAX_COARSE_POINTS)?;
        let passes = (COARSE_POINTS_TIMES_PASSES / points.girths.len()).clamp(400, 1000);
        let temperatures = [FIRST_COARSE_TEMPERATURE, LAST_COARSE_TEMPERATURE_TIMES_PASSES / passes as f64];
        let (loss, sizes, deadline) = (search.loss, search.free_count as f64, search.deadline);
        // On the scale of a band, allowed girths are not evenly spaced.
        let grid = search.settings.constraints.grid.filter(|_| !matches!(loss, Loss::LogBand(_)));
        let fixed = &search.fixed[..];
        let relaxation = MedianRelaxation { loss, sizes, grid, fixed, points: &points, chart_loss, gap, deadline };
        let mut found = relaxation.maximise_bound(vec![start; points.girths.len()], passes, temperatures)?;
        if points.merges_different_girths() && !search.deadline.has_passed() {
            let finer = MergedPeople::new(people, loss, MAX_FINER_POINTS)?;
            let near = |girths| points.person_multiplier_from_points(girths, &found.0).unwrap_or(start);
            let start = finer.girths.iter().map(near).collect();
            let temperatures = [FIRST_FINER_TEMPERATURE, LAST_FINER_TEMPERATURE];
            found = MedianRelaxation { points: &finer, ..relaxation }.maximise_bound(
                start,
                FINER_POINT_PASSES,
                temperatures,
            )?;
            points = finer;
        }
        let (multipliers, min_at_nodes) = found;
        let relaxation = MedianRelaxation { loss, sizes, grid, fixed, points: &points, chart_loss, gap, deadline };
        let mean_loss = relaxation.total_loss_lower_bound(&multipliers, min_at_nodes)? / points.total_weight;
        let of_person = |person| points.person_multiplier_from_points(person, &multipliers).unwrap_or_default();
        Ok(Self { mean_loss, multipliers: people.iter().map(|(girths, _)| of_person(girths)).collect() })
    }
}

/// Lagrangian relaxation of the p-median problem: weighted points, a number of sizes and a loss.
struct MedianRelaxation<'a> {
    loss: &'a Loss,
    /// Number of sizes that are not fixed.
    sizes: f64,
    /// Length in centimetres of which the girths of every free size are multiples; `None` if every girth is allowed.
    grid: Option<f64>,
    /// Waist and hip of the fixed sizes, on the loss scale.
    fixed: &'a [WaistHip],
    points: &'a MergedPeople,
    /// Mean loss of the chart that the search found.
    chart_loss: f64,
    /// Gap at which the passes stop: chart loss minus bound, as a share of the chart loss.
    gap: f64,
    deadline: Deadline,
}

/// Square of the waist-hip plane in which the best place of one size is searched.
#[derive(Clone, Copy)]
struct SearchSquare {
    centre: WaistHip,
    half_side: f64,
}

impl MedianRelaxation<'_> {
    /// Returns multipliers that nearly maximise the bound, and the minimum of Σ w min(0, ℓ − u) over the nodes. `start` are
    /// the first multipliers; `temperatures` are those of the first and of the last pass.
    fn maximise_bound(
        &self,
        start: Vec<f64>,
        passes: usize,
        temperatures: [f64; 2],
    ) -> Result<(Vec<f64>, f64), Stopped> {
        let MergedPeople { girths, weights, total_weight, .. } = self.points;
        let cooling = libm::pow(temperatures[1] / temperatures[0], 1.0 / passes as f64);
        let differences = self.loss.differences_up_to_loss(2.0 * self.chart_loss);
        let axes = self.allowed_axes().unwrap_or_else(|| NodeAxis::evenly_spaced(girths, differences));
        let mut nodes = NodeGrid::new(axes);
        let max_multipliers: Vec<f64> = girths.iter().map(|point| self.least_loss_in_fixed_sizes(*point)).collect();
        let clamp =
            |u: Vec<f64>| -> Vec<f64> { u.iter().zip(&max_multipliers).map(|(u, max)| u.clamp(0.0, *max)).collect() };
        let start = clamp(start);
        let (mut best, mut best_bound) = ((start.clone(), 0.0), f64::NEG_INFINITY);
        let (mut momentum, mut extrapolated) = (AcceleratedGradientState::new(start.clone()), start);
        let mut temperature = temperatures[0];
        for _ in 0..passes {
            let multipliers = clamp(extrapolated);
            nodes.values.fill(0.0);
            for (k, weight) in weights.iter().enumerate() {
                self.visit_node_rows_near_point(&nodes.axes, k, multipliers[k], |row, losses, left| {
                    for (value, loss) in nodes.values[row].iter_mut().zip(losses) {
                        *value += weight * (loss - left).min(0.0);
                    }
                })?;
            }
            let min = nodes.values.iter().copied().fold(0.0, f64::min);
            let bound = multipliers.iter().zip(weights).map(|(u, weight)| u * weight).sum::<f64>() + self.sizes * min;
            if bound > best_bound {
                (best_bound, best) = (bound, (multipliers.clone(), min));
            }
            if min == 0.0 || bound >= (1.0 - self.gap) * self.chart_loss * total_weight || self.deadline.has_passed() {
                break;
            }
            nodes.replace_values_by_soft_min_shares(min, temperature);
            let step = GRADIENT_STEP_FACTOR * temperature * -min / total_weight;
            let next = multipliers.iter().enumerate().map(|(k, u)| {
                let mut cover = 0.0;
                self.visit_node_rows_near_point(&nodes.axes, k, *u, |row, losses, left| {
                    let shares = nodes.values[row].iter().zip(losses);
                    cover += shares.map(|(share, loss)| if *loss < left { *share } else { 0.0 }).sum::<f64>();
                })?;
                Ok(u + step * (1.0 - self.sizes * cover))
            });
            let next = clamp(next.collect::<Result<_, Stopped>>()?);
            extrapolated = momentum.extrapolate(&multipliers, next);
            temperature *= cooling;
        }
        Ok(best)
    }

    /// Calls `visit` for each row of nodes, all of one waist, where the loss of `point` may be below `multiplier`. The
    /// arguments are the indices of the nodes, the hip loss at each node, and the multiplier minus the waist loss of
    /// the row.
    fn visit_node_rows_near_point(
        &self,
        axes: &[NodeAxis; 2],
        point: usize,
        multiplier: f64,
        mut visit: impl FnMut(Range<usize>, &[f64], f64),
    ) -> Result<(), Stopped> {
        let girths = self.points.girths[point];
        let [waists, hips] = [0, 1]
            .map(|k: usize| axes[k].nodes_within_differences(girths[k], self.point_differences_up_to_loss(multiplier)));
        count_interruptible_work(waists.len() * hips.len() / 4)?;
        let loss = |girth: usize, index: usize| {
            self.least_loss_near_difference(girths[girth] - axes[girth].girth_of_node(index), 0.0)
        };
        let hip_losses: Vec<f64> = hips.clone().map(|hip| loss(1, hip)).collect();
        for waist in waists {
            let row = waist * axes[1].count;
            visit(row + hips.start..row + hips.end, &hip_losses, multiplier - loss(0, waist));
        }
        Ok(())
    }

    /// Returns the range of differences, point minus size, at which the loss of a person in the point's cell may be at
    /// most `loss`.
    fn point_differences_up_to_loss(&self, loss: f64) -> [f64; 2] {
        let [low, high] = self.loss.differences_up_to_loss(loss);
        [low - self.points.half_cell, high + self.points.half_cell]
    }

    /// Returns the least loss of one girth over all differences that are at most `half_width` plus half a cell from
    /// `difference`.
    #[inline]
    fn least_loss_near_difference(&self, difference: f64, half_width: f64) -> f64 {
        let half_width = half_width + self.points.half_cell;
        self.loss.loss_of_difference(difference - difference.clamp(-half_width, half_width))
    }

    /// Returns the least loss of a person in the point's cell in one of the fixed sizes, which no multiplier exceeds;
    /// infinite without fixed sizes. A multiplier up to this loss leaves the bound valid for people who are best off in
    /// a fixed size.
    fn least_loss_in_fixed_sizes(&self, point: WaistHip) -> f64 {
        let loss = |size: &WaistHip| {
            self.least_loss_near_difference(point[0] - size[0], 0.0)
                + self.least_loss_near_difference(point[1] - size[1], 0.0)
        };
        self.fixed.iter().map(loss).fold(f64::INFINITY, f64::min)
    }

    /// Returns the waists and hips of all allowed places of a size; `None` if every place is allowed, or too many are.
    fn allowed_axes(&self) -> Option<[NodeAxis; 2]> {
        let grid = self.grid?;
        let axes = NodeAxis::of_girths(&self.points.girths, |range| NodeAxis::of_multiples(grid, range));
        (axes[0].count as f64 * axes[1].count as f64 <= MAX_SOFT_MIN_NODES).then_some(axes)
    }

    /// Returns the lower bound on the total loss of any chart. `min` is the least Σ w min(0, ℓ − u) found so far.
    fn total_loss_lower_bound(&self, multipliers: &[f64], mut min: f64) -> Result<f64, Stopped> {
        let MergedPeople { girths, weights, total_weight, constant, .. } = self.points;
        let sum: f64 = multipliers.iter().zip(weights).map(|(u, weight)| u * weight).sum();
        if self.allowed_axes().is_some() {
            return Ok(sum + self.sizes * min - constant);
        }
        let ranges = [0, 1].map(|girth: usize| min_and_max(girths.iter().map(|point| point[girth])));
        // No size outside the ranges of the girths is better than the nearest one inside.
        let half_side = ranges.map(|[min, max]| (max - min) / 2.0).into_iter().fold(0.0, f64::max);
        let square = SearchSquare { centre: ranges.map(|[min, max]| f64::midpoint(min, max)), half_side };
        let tolerance = PLANE_SEARCH_TOLERANCE * self.chart_loss * total_weight / self.sizes;
        let all = (0..girths.len()).collect();
        self.lower_min_sum_in_square(multipliers, square, all, tolerance, &mut min)?;
        Ok(sum + self.sizes * (min - tolerance) - constant)
    }

    /// Searches a square for the place of one size with the least Σ w min(0, ℓ − u), with the weight w, the loss ℓ and the
    /// multiplier u of each point. Lowers `min`, the least sum so far, to within `tolerance` of the least in the square.
    /// `points` are the indices of the points that may contribute to the sum.
    fn lower_min_sum_in_square(
        &self,
        multipliers: &[f64],
        SearchSquare { centre, half_side }: SearchSquare,
        mut points: Vec<usize>,
        tolerance: f64,
        min: &mut f64,
    ) -> Result<(), Stopped> {
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
                    *slope += weight * self.loss.loss_slope_at_difference(nearest);
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
            self.lower_min_sum_in_square(
                multipliers,
                SearchSquare { centre, half_side },
                points.clone(),
                tolerance,
                min,
            )?;
        }
        Ok(())
    }
}

/// Equally spaced waists, or hips, of the grid nodes: the first one, their spacing and their number. Girths are on the
/// loss scale.
struct NodeAxis {
    first: f64,
    spacing: f64,
    count: usize,
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
impl NodeAxis {
    /// Creates the axes of waist and hip, each from the range of the points' girths.
    fn of_girths(girths: &[WaistHip], axis: impl Fn([f64; 2]) -> Self) -> [Self; 2] {
        [0, 1].map(|girth: usize| axis(min_and_max(girths.iter().map(|point| point[girth]))))
    }

    /// Creates an axis of the multiples of `grid` in a range, with the next multiple below and the next multiple above.
    fn of_multiples(grid: f64, [min, max]: [f64; 2]) -> Self {
        let first = (min / grid).floor();
        Self { first: first * grid, spacing: grid, count: ((max / grid).ceil() - first) as usize + 1 }
    }

    /// Creates axes over the ranges of the girths. `differences`, person minus size, are those at which the loss equals
    /// the first multiplier; nodes are at least 1/12 of the mean of their absolute values apart.
    fn evenly_spaced(girths: &[WaistHip], differences: [f64; 2]) -> [Self; 2] {
        let [waist, hip] = [0, 1].map(|girth: usize| {
            let [min, max] = min_and_max(girths.iter().map(|point| point[girth]));
            max - min
        });
        let finest = f64::midpoint(differences[1], -differences[0]) / NODES_PER_LOSS_RADIUS;
        let max_nodes = MAX_SOFT_MIN_NODES.min(MAX_SOFT_MIN_NODES_PER_POINT * girths.len() as f64);
        let spacing = finest.max((waist * hip / max_nodes).sqrt()).max(waist.max(hip) / max_nodes.sqrt());
        Self::of_girths(girths, |[min, max]| {
            let count = ((max - min) / spacing) as usize + 1;
            Self { first: f64::midpoint(min, max) - (count - 1) as f64 / 2.0 * spacing, spacing, count }
        })
    }

    /// Returns the waist or hip of a node.
    #[inline]
    fn girth_of_node(&self, index: usize) -> f64 {
        self.first + index as f64 * self.spacing
    }

    /// Returns the indices of the nodes (evenly spaced girths of a size) for which `girth` minus the node's girth is
    /// from `low` to `high`.
    fn nodes_within_differences(&self, girth: f64, [low, high]: [f64; 2]) -> Range<usize> {
        let first = ((girth - high - self.first) / self.spacing).ceil().max(0.0) as usize;
        let last = ((girth - low - self.first) / self.spacing).floor();
        first..if last < 0.0 { first } else { (last as usize + 1).min(self.count).max(first) }
    }
}

/// Grid of nodes, the places of one size over which the soft minimum is taken, with one value for each node, waist by waist.
struct NodeGrid {
    axes: [NodeAxis; 2],
    values: Vec<f64>,
}

impl NodeGrid {
    fn new(axes: [NodeAxis; 2]) -> Self {
        let values = vec![0.0; axes[0].count * axes[1].count];
        Self { axes, values }
    }

    /// Replaces each value by the share of its node in the soft minimum over all nodes; the shares add up to 1.
    fn replace_values_by_soft_min_shares(&mut self, min: f64, temperature: f64) {
        let mut sum = 0.0;
        let scale = 1.0 / (temperature * min.abs());
        let largest_exponent = -libm::log(MIN_RELATIVE_NODE_ODDS);
        for value in &mut self.values {
            let exponent = (*value - min) * scale;
            *value = if exponent < largest_exponent { libm::exp(-exponent) } else { 0.0 };
            sum += *value;
        }
        self.values.iter_mut().for_each(|value| *value /= sum);
    }
}
