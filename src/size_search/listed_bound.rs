//! Certified lower bound on the mean loss of charts of listed sizes: the Lagrangian relaxation of `median_bound`, with a
//! minimum over the listed sizes of each class. Any chart has at least the loss Σ w u plus, for each class, its number of
//! sizes × the least Σ w min(0, ℓ − u) of a listed size. For a tolerance this is the bound of maximal coverage, too.

use super::listed_sizes::ListedSizes;
use super::median_bound::{GRADIENT_STEP_FACTOR, replace_by_soft_min_shares};
use super::momentum::{run_gradient_steps, schedule_of_passes};
use crate::interrupt::{Stoppable, count_interruptible_work};

const PASSES: usize = 400;

/// Multipliers of the points with the greatest bound on the mean loss, and the sum Σ w min(0, ℓ − u) of each size.
pub(super) struct ListedBound {
    pub(super) mean_loss: f64,
    pub(super) multipliers: Vec<f64>,
    pub(super) sums: Vec<f64>,
}

impl ListedSizes<'_> {
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
