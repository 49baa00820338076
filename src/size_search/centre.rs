//! Optimal centre of one size: the girth that minimises the total loss of a run of people. Values and centres are
//! search coordinates (cm or ln cm), minus the mean of all values.

use super::loss::{LogBand, Loss};
use super::points::PrefixSums;

/// Solver for the optimal centre of a run of consecutive sorted values: the centre with the least cost, which is the
/// sum of weight × loss.
pub(super) enum CentreSolver {
    /// For squared loss: the centre is the weighted mean, the cost the weighted sum of squared deviations.
    Squared,
    /// For absolute loss: the centre is the weighted median, the cost the weighted sum of absolute deviations. Holds
    /// the index of the median of the previous call.
    Absolute { last_median: usize },
    /// For the loss of a logarithmic band: the centre is the zero of the cost's derivative. Holds the centre that the
    /// previous call found by iteration.
    LogBand { band: LogBand, last_centre: f64 },
}

impl CentreSolver {
    /// Creates the solver for a loss without tolerance. No search has a loss with tolerance here; it would get the
    /// solver for absolute loss.
    pub(super) fn new(loss: &Loss) -> Self {
        match *loss {
            Loss::Squared => Self::Squared,
            Loss::LogBand(band) => Self::LogBand { band, last_centre: 0.0 },
            _ => Self::Absolute { last_median: 0 },
        }
    }

    /// Returns the optimal centre of the run `from..to`, and the run's cost, which is the sum of weight × loss.
    /// Successive calls with ascending `from` and equal `to` are fastest, because a solver may start from its previous
    /// centre.
    #[inline]
    pub(super) fn optimal_centre_and_cost(&mut self, sums: &PrefixSums, from: usize, to: usize) -> (f64, f64) {
        match self {
            Self::Squared => {
                let [weight, sum, squares] = sums.of_run(from, to);
                let mean = sum / weight;
                (mean, (squares - sum * mean).max(0.0))
            }
            Self::Absolute { last_median } => {
                let median = sums.weighted_median_index(from, to, *last_median);
                *last_median = median;
                let centre = sums.values[median];
                let ([below, below_sum, _], [above, above_sum, _]) =
                    (sums.of_run(from, median), sums.of_run(median, to));
                (centre, (centre * below - below_sum + (above_sum - centre * above)).max(0.0))
            }
            Self::LogBand { band, last_centre } => band.optimal_centre_and_cost(sums, (from, to), last_centre),
        }
    }
}

/// Maximum number of Newton iterations for one centre: every fourth halves the bracket, and 60 halvings are enough.
const MAX_CENTRE_NEWTON_ITERATIONS: u32 = 240;

impl LogBand {
    /// Returns the optimal centre of a run, and the run's cost, by Newton's method inside a bracket.
    ///
    /// The derivative of the cost is increasing and piecewise linear in the centre, with a knot wherever a value enters
    /// or leaves the band. A Newton step that ends on its own linear piece is exact. Bisection replaces a step that
    /// leaves the bracket and every fourth step, so that the iteration converges. The iteration starts at `last`, the
    /// centre of the previous iteration, and then sets `last` to the new centre.
    fn optimal_centre_and_cost(&self, sums: &PrefixSums, (from, to): (usize, usize), last: &mut f64) -> (f64, f64) {
        let (mut min, mut max) = (sums.values[from] + self.large, sums.values[to - 1] - self.small);
        if max <= min {
            // The band of every centre from `max` to `min` contains the whole run.
            return (f64::midpoint(min, max), 0.0);
        }
        // Sums over the values of the run that are too large, and over those too small, for a size at a centre.
        let outside_band = |centre: f64| {
            let run = &sums.values[from..to];
            let low = from + run.partition_point(|value| *value < centre - self.large);
            let high = from + run.partition_point(|value| *value <= centre + self.small);
            [sums.of_run(high, to), sums.of_run(from, low)]
        };
        *last = last.clamp(min, max);
        for iteration in 1..=MAX_CENTRE_NEWTON_ITERATIONS {
            let [[small, small_sum, _], [large, large_sum, _]] = outside_band(*last);
            let pull_up = self.small_weight * (small_sum - self.small * small);
            let pull_down = self.large_weight * (large_sum + self.large * large);
            let next = (pull_up + pull_down) / (self.small_weight * small + self.large_weight * large);
            if (next - *last).abs() < 1e-15 {
                *last = next;
                break;
            }
            (min, max) = if next > *last { (*last, max) } else { (min, *last) };
            let is_newton = min < next && next < max && iteration % 4 != 0;
            *last = if is_newton { next } else { f64::midpoint(min, max) };
        }
        // Sum of weight × (value − edge)².
        let squared_excess =
            |[weight, sum, squares]: [f64; 3], edge: f64| (squares - 2.0 * edge * sum + edge * edge * weight).max(0.0);
        let ([small, large], centre) = (outside_band(*last), *last);
        let small = self.small_weight * squared_excess(small, centre + self.small);
        (centre, small + self.large_weight * squared_excess(large, centre - self.large))
    }
}
