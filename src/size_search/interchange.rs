//! Choice among listed sizes: charts drawn at random, improved by interchange (Teitz and Bart 1968). A chart is a list
//! of indices of sizes; those of the fixed sizes come first.
//!
//! Certified lower bound on the mean loss of charts of listed sizes: the Lagrangian relaxation of `median_bound`, with a
//! minimum over the listed sizes of each class. Any chart has at least the loss Σ w u plus, for each class, its number of
//! sizes × the least Σ w min(0, ℓ − u) of a listed size. For a tolerance this is the bound of maximal coverage, too.

use std::ops::Range;

use super::chart::BestChart;
use super::listed_sizes::ListedSizes;
use super::median_bound::{GRADIENT_STEP_FACTOR, replace_by_soft_min_shares};
use super::momentum::{run_gradient_steps, schedule_of_passes};
use super::points::distance;
use crate::interrupt::{Stoppable, count_interruptible_work};
use crate::random::CounterRng;

/// Number of sizes of a class that are tried in place of another, at least, and for each size of the class in a chart.
/// They are the sizes with the least sums at the multipliers of the bound.
const MIN_TRIED_SIZES: usize = 60;
const TRIED_SIZES_PER_SIZE: usize = 8;

/// Factor by which the loss of a chart counts as larger if a size lacks its whole minimum share.
const LOSS_FACTOR_OF_LACKING_SHARE: f64 = 4.0;

/// Relative difference between losses, or shares, that differ by rounding only.
pub(super) const ROUNDING: f64 = 1e-12;

/// Size of a chart, for one point: the loss of the point in the size, the distance that breaks a tie, and the size's
/// place in the chart.
type RankedSize = (f64, f64, usize);

const PASSES: usize = 400;

/// Multipliers of the points with the greatest bound on the mean loss, and the sum Σ w min(0, ℓ − u) of each size.
pub(super) struct ListedBound {
    pub(super) mean_loss: f64,
    pub(super) multipliers: Vec<f64>,
    pub(super) sums: Vec<f64>,
}

impl ListedSizes<'_> {
    /// Returns the best of several random charts, improved by interchange, without a bound. `tried` has, for each class,
    /// the sizes that are tried in place of another; without them no chart is improved. The starts end early with a chart
    /// whose loss is near enough to `bound`.
    pub(super) fn best_of_starts(&self, starts: u32, tried: &[Vec<usize>], bound: f64) -> Stoppable<BestChart> {
        let mut best = (Vec::new(), f64::INFINITY);
        for (start, mut rng) in self.input.starts(starts) {
            if start > 0 && best.1 - bound <= self.input.settings.target_gap * best.1 {
                break;
            }
            let mut chart = self.random_chart(&mut rng)?;
            // A size that still lacks people goes. The last one has its share, as the list has no other sizes.
            let loss = loop {
                let (loss, lacking) = self.improve_by_interchange(&mut chart, tried)?;
                let Some(place) = lacking else { break loss };
                chart.remove(place);
            };
            best = if loss < best.1 { (chart, loss) } else { best };
        }
        self.chart_of_sizes(best.0)
    }

    /// Returns for each class the sizes with the least `sums` of [`ListedBound`];
    /// without sums, all sizes.
    pub(super) fn tried_sizes(&self, sums: Option<&[f64]>) -> Vec<Vec<usize>> {
        let of_class = |(listed, max_count): &(Range<usize>, usize)| {
            let mut sizes: Vec<usize> = listed.clone().collect();
            if let Some(sums) = sums {
                sizes.sort_by(|a, b| sums[*a].total_cmp(&sums[*b]));
                sizes.truncate(MIN_TRIED_SIZES.max(TRIED_SIZES_PER_SIZE * max_count));
            }
            sizes
        };
        self.classes.iter().map(of_class).collect()
    }

    /// Draws a chart: each size is the best for a point drawn with odds of weight × loss, until all classes are full or
    /// nobody has a loss.
    pub(super) fn random_chart(&self, rng: &mut CounterRng) -> Stoppable<Vec<usize>> {
        let mut chart: Vec<usize> = self.fixed_sizes().collect();
        loop {
            let ranked = self.ranked_sizes(&chart)?;
            let loss = |[best, _]: &[RankedSize; 2]| if best.0.is_finite() { best.0 } else { 1.0 };
            let odds = ranked.iter().zip(&self.points.weights).map(|(ranked, weight)| weight * loss(ranked));
            if odds.clone().sum::<f64>() == 0.0 {
                return Ok(chart);
            }
            let point = rng.draw_weighted_index(odds);
            let has_room = |(listed, max_count): &&(Range<usize>, usize)| {
                chart.iter().filter(|size| listed.contains(size)).count() < *max_count
            };
            let open = self.classes.iter().filter(has_room).flat_map(|(listed, _)| listed.clone());
            let rank = |size: &usize| (self.losses[*size][point], self.distance(*size, point));
            let best = open
                .filter(|size| !chart.contains(size))
                .min_by(|a, b| rank(a).0.total_cmp(&rank(b).0).then(rank(a).1.total_cmp(&rank(b).1)));
            let Some(size) = best else { return Ok(chart) };
            chart.push(size);
        }
    }

    /// Replaces sizes of a chart by others of the same class while the cost falls. Returns the cost, and the place of the
    /// size that lacks the most people, if any.
    fn improve_by_interchange(&self, chart: &mut [usize], tried: &[Vec<usize>]) -> Stoppable<(f64, Option<usize>)> {
        let mut ranked = self.ranked_sizes(chart)?;
        let mut least = self.cost_and_lacking_place(&ranked, chart, (0, chart[0]));
        loop {
            let before = least.0;
            for ((listed, _), tried) in self.classes.iter().zip(tried) {
                for size in tried {
                    if chart.contains(size) {
                        continue;
                    }
                    count_interruptible_work(4 * self.points.girths.len() * chart.len())?;
                    let places = self.fixed_sizes().len()..chart.len();
                    let cost = |place| (place, self.cost_and_lacking_place(&ranked, chart, (place, *size)));
                    let costs = places.filter(|place| listed.contains(&chart[*place])).map(cost);
                    let best = costs.min_by(|a, b| a.1.0.total_cmp(&b.1.0));
                    if let Some((place, cost)) = best.filter(|(_, cost)| cost.0 < least.0 * (1.0 - ROUNDING)) {
                        (chart[place], least) = (*size, cost);
                        ranked = self.ranked_sizes(chart)?;
                    }
                }
            }
            if least.0 >= before || self.input.is_out_of_time() {
                return Ok(least);
            }
        }
    }

    /// Returns the best and the second best size of a chart for each point; a size that is not there has an infinite
    /// loss. Ties are broken as in [`WaistHipPoints::assignments_and_mean_loss`](super::points::WaistHipPoints).
    pub(super) fn ranked_sizes(&self, chart: &[usize]) -> Stoppable<Vec<[RankedSize; 2]>> {
        count_interruptible_work(4 * self.points.girths.len() * chart.len())?;
        let ranked = (0..self.points.girths.len()).map(|point| {
            let none = [(f64::INFINITY, f64::INFINITY, 0); 2];
            chart.iter().enumerate().fold(none, |[first, second], (place, size)| {
                let next = (self.losses[*size][point], self.distance(*size, point), place);
                let is_before = |other: RankedSize| (next.0, next.1) <= (other.0, other.1);
                if is_before(first) { [next, first] } else { [first, if is_before(second) { next } else { second }] }
            })
        });
        Ok(ranked.collect())
    }

    /// Returns the mean loss, raised if a size lacks people, of a chart in which one place has another size; and the
    /// place of the size that lacks the most people, if any.
    fn cost_and_lacking_place(
        &self,
        ranked: &[[RankedSize; 2]],
        chart: &[usize],
        (exchanged, size): (usize, usize),
    ) -> (f64, Option<usize>) {
        let (mut sum, mut weights) = (0.0, vec![0.0; chart.len()]);
        for (point, ([first, second], weight)) in ranked.iter().zip(&self.points.weights).enumerate() {
            let kept = if first.2 == exchanged { second } else { first };
            let loss = self.losses[size][point];
            let is_in_size = loss < kept.0 || loss <= kept.0 && self.distance(size, point) <= kept.1;
            let (loss, place) = if is_in_size { (loss, exchanged) } else { (kept.0, kept.2) };
            sum += loss * weight;
            weights[place] += self.counted(loss, *weight);
        }
        let (mean, min_share) = (sum / self.total_weight, self.input.settings.constraints.min_share);
        let lack = |place: usize| 1.0 - weights[place] / self.total_weight / min_share;
        let lacking = (self.fixed_sizes().len()..chart.len()).filter(|place| lack(*place) > ROUNDING);
        let factor = 1.0 + LOSS_FACTOR_OF_LACKING_SHARE * lacking.clone().map(lack).sum::<f64>();
        (mean * factor, lacking.max_by(|a, b| lack(*a).total_cmp(&lack(*b))))
    }

    fn distance(&self, size: usize, point: usize) -> f64 {
        distance(self.points.girths[point], self.sizes[size])
    }

    /// Computes the bound. The multipliers start from `start`; none exceeds the loss of a person in a fixed size, so that
    /// the bound stays valid for people who are best off there, or 1 if the loss has a tolerance.
    pub(super) fn bound(&self, start: f64) -> Stoppable<ListedBound> {
        let weights = &self.points.weights;
        let greatest = if self.input.loss.max_served_differences().is_some() { 1.0 } else { f64::INFINITY };
        let in_fixed = |point: usize| self.fixed_sizes().map(move |size| self.losses[size][point]);
        let max: Vec<f64> = (0..weights.len()).map(|point| in_fixed(point).fold(greatest, f64::min)).collect();
        let count: usize = self.classes.iter().map(|(_, max_count)| max_count).sum();
        // Without free sizes the greatest multipliers give the loss itself.
        let first = if count == 0 { max.clone() } else { vec![start; max.len()] };
        let mut best = ListedBound { mean_loss: f64::NEG_INFINITY, multipliers: Vec::new(), sums: Vec::new() };
        run_gradient_steps(&first, &max, schedule_of_passes(PASSES), |_, multipliers, temperature| {
            count_interruptible_work(weights.len() * self.sizes.len())?;
            let sum = |losses: &Vec<f64>| -> f64 {
                let terms = losses.iter().zip(&*multipliers).zip(weights);
                terms.map(|((loss, u), weight)| weight * (loss - u).min(0.0)).sum()
            };
            let mut sums: Vec<f64> = self.losses.iter().map(sum).collect();
            let least = |sums: &[f64]| sums.iter().copied().fold(0.0, f64::min);
            let total_least: f64 =
                self.classes.iter().map(|(listed, max)| *max as f64 * least(&sums[listed.clone()])).sum();
            let by_multipliers: f64 = multipliers.iter().zip(weights).map(|(u, weight)| u * weight).sum();
            let mean_loss = (by_multipliers + total_least) / self.total_weight;
            if mean_loss > best.mean_loss {
                best = ListedBound { mean_loss, multipliers: multipliers.to_vec(), sums: sums.clone() };
            }
            if total_least == 0.0 || self.input.is_out_of_time() {
                return Ok(None);
            }
            let mut cover = vec![0.0; weights.len()];
            for (listed, max_count) in &self.classes {
                let least = least(&sums[listed.clone()]);
                if least < 0.0 {
                    replace_by_soft_min_shares(&mut sums[listed.clone()], least, temperature);
                    for size in listed.clone().filter(|size| sums[*size] > 0.0) {
                        let covered = cover.iter_mut().zip(&self.losses[size]).zip(&*multipliers);
                        let covered = covered.filter(|((_, loss), u)| loss < u);
                        covered.for_each(|((cover, _), _)| *cover += *max_count as f64 * sums[size]);
                    }
                }
            }
            let step = -GRADIENT_STEP_FACTOR * temperature * total_least / count as f64 / self.total_weight;
            Ok(Some(multipliers.iter().zip(cover).map(|(u, cover)| u + step * (1.0 - cover)).collect()))
        })?;
        Ok(best)
    }
}
