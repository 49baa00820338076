//! Lower bounds on the mean loss of every chart of k sizes by waist and hip. The certified bound of [`Loss::Within`] is in
//! `coverage_bound`.

use std::collections::BTreeMap;

use super::loss::Loss;
use super::one_girth::least_mean_loss;
use super::points::GirthPoints;
use super::sorted_values::{SortedValues, prefix_sums};
use crate::interrupt::count_interruptible_work;

/// Number of halvings of the bin side. The density bound is computed after each, and the largest is used.
const MAX_BIN_HALVINGS: i32 = 10;

/// Number of integration steps of the density bound over a radius of one bin side.
const RADIUS_STEPS_PER_BIN_SIDE: f64 = 8.0;

/// Returns a lower bound on the mean loss of every chart of k sizes: the larger of a one-girth bound and, for an additive
/// loss, a density bound.
///
/// **One-girth bound.** k sizes have at most k waists, so the loss in waist is at least the optimum of k sizes by waist
/// alone; likewise for the loss in hip. The bound is the sum of both optima, for [`Loss::Within`] the larger optimum.
///
/// **Density bound.** Cover the plane by square bins. The people with a loss of at most s in one size lie in a region
/// that meets at most N(s) bins. All k sizes together meet at most k × N(s) bins. Let T(m) be the share of people in
/// the m fullest bins. Then at least the share 1 − T(k × N(s)) of people has a loss above s. The mean loss is the
/// integral of the share over s, and therefore at least the integral of 1 − T(k × N(s)). Every bin side gives a valid
/// bound, and the largest bound is used: small bins fit the region closely, large bins suffer less from sampling noise.
pub(super) fn mean_loss_lower_bound(
    people: &GirthPoints,
    girths: &[SortedValues; 2],
    sizes: usize,
    loss: &Loss,
) -> f64 {
    let [waist, hip] = girths.each_ref().map(|sorted| least_mean_loss(sorted, sizes, loss));
    if matches!(loss, Loss::Within(_)) {
        return waist.max(hip);
    }
    let range = |sorted: &SortedValues| sorted.values[sorted.len() - 1] - sorted.values[0];
    let widest = girths.iter().map(range).fold(0.0, f64::max);
    let bin_sides = (1..=MAX_BIN_HALVINGS).map(|halvings| widest / f64::from(1 << halvings)).filter(|side| *side > 0.0);
    bin_sides.map(|side| WaistHipHistogram::new(people, side).density_bound(sizes, loss)).fold(waist + hip, f64::max)
}

/// Histogram of people in the waist-hip plane, with square bins on the loss scale.
struct WaistHipHistogram {
    /// Side of a bin, on the loss scale.
    side: f64,
    /// Numbers of people: entry m is the number in the m fullest bins.
    weight_sums: Vec<f64>,
}

impl WaistHipHistogram {
    /// Counts the people in each bin and sums the counts, fullest bin first.
    fn new(people: &GirthPoints, side: f64) -> Self {
        let mut weight_by_bin: BTreeMap<[i64; 2], f64> = BTreeMap::new();
        for (girths, weight) in people.girths.iter().zip(&people.weights) {
            // The factor widens the bins slightly, so that rounding moves no person across an edge.
            #[allow(clippy::cast_possible_truncation)]
            let bin = girths.map(|girth| (girth / side * (1.0 - 1e-12)).floor() as i64);
            *weight_by_bin.entry(bin).or_default() += weight;
            count_interruptible_work(10);
        }
        let mut weights: Vec<f64> = weight_by_bin.into_values().collect();
        weights.sort_unstable_by(|a, b| b.total_cmp(a));
        Self { side, weight_sums: prefix_sums(weights.into_iter()) }
    }

    /// Returns the largest share of people, from 0 to 1, in `sizes` regions that meet at most `bins` bins each.
    fn max_share_of_people_in_regions(&self, sizes: usize, bins: f64) -> f64 {
        let all = self.weight_sums.len() - 1;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let count = (sizes as f64 * bins.floor()).min(all as f64) as usize;
        self.weight_sums[count] / self.weight_sums[all]
    }

    /// Returns a lower bound on the mean loss of every chart with `sizes` sizes, from the shares of the fullest bins.
    fn density_bound(&self, sizes: usize, loss: &Loss) -> f64 {
        let mut bound = 0.0;
        let (mut radius, mut previous_loss) = (0.0, 0.0);
        // The integrand decreases, so that its value at the end of each step bounds the integral from below.
        loop {
            radius += self.side / RADIUS_STEPS_PER_BIN_SIDE;
            let (loss_at_radius, bins) = self.loss_and_max_bins_at_radius(radius, loss);
            let share_above = 1.0 - self.max_share_of_people_in_regions(sizes, bins);
            if share_above <= 0.0 {
                return bound;
            }
            bound += (loss_at_radius - previous_loss) * share_above;
            previous_loss = loss_at_radius;
        }
    }

    /// Returns the loss s at a radius, and N(s), the maximum number of bins that meet the region of losses up to s.
    ///
    /// A bin that meets a region lies inside the region grown by the bin's diameter. The diameter is √2 sides in the
    /// metric of squared loss, whose region is a disc, and 2 sides in the metric of absolute loss, whose region is a
    /// diamond.
    fn loss_and_max_bins_at_radius(&self, radius: f64, loss: &Loss) -> (f64, f64) {
        let sides = radius / self.side;
        let square = |value: f64| value * value;
        match loss {
            Loss::Squared => (square(radius), std::f64::consts::PI * square(sides + std::f64::consts::SQRT_2)),
            Loss::Absolute | Loss::Within(_) => (radius, 2.0 * square(sides + 2.0)),
            Loss::LogBand(band) => {
                // A loss of at most s in both girths implies at most s in each: √(s / weight) beyond the band on each
                // side.
                let (small, large) = (1.0 / band.small_weight.sqrt(), 1.0 / band.large_weight.sqrt());
                let root = radius / (small + large);
                let width = (band.small + band.large) / self.side + sides;
                (square(root), square(width.floor() + 2.0))
            }
        }
    }
}
