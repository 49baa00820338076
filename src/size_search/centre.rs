//! Optimal centre of one size: the girth that minimises the total loss of a run of people, with one solver per loss.
//! Values and centres are on the loss scale, minus the mean of all values.

use super::loss::LogBand;
use super::sorted_values::PrefixSums;

/// Solver for the optimal centre of a run of values: the centre with the least cost, which is the sum of weight × loss.
pub(super) trait CentreSolver {
    /// Work of finding one centre, in the units of the interruptible work, some nanoseconds each.
    const WORK_PER_CENTRE: usize = 1;

    /// Returns the optimal centre of the run `from..to`, and the run's cost. Successive calls with ascending `from` and equal
    /// `to` are fastest, because a solver may start from its previous centre.
    fn optimal_centre_and_cost(&mut self, sums: &PrefixSums, from: usize, to: usize) -> (f64, f64);
}

/// Solver for squared loss: the centre is the weighted mean, the cost the weighted sum of squared deviations.
pub(super) struct SquaredLossSolver;

impl CentreSolver for SquaredLossSolver {
    #[inline]
    fn optimal_centre_and_cost(&mut self, sums: &PrefixSums, from: usize, to: usize) -> (f64, f64) {
        let (weight, sum) = (sums.weight_of_run(from, to), sums.value_sum_of_run(from, to));
        let mean = sum / weight;
        (mean, (sums.square_sum_of_run(from, to) - sum * mean).max(0.0))
    }
}

/// Solver for absolute loss: the centre is the weighted median, the cost the weighted sum of absolute deviations.
#[derive(Default)]
pub(super) struct AbsoluteLossSolver {
    to: usize,
    from: usize,
    median: usize,
}

impl CentreSolver for AbsoluteLossSolver {
    #[inline]
    fn optimal_centre_and_cost(&mut self, sums: &PrefixSums, from: usize, to: usize) -> (f64, f64) {
        // The median never moves down as `from` grows, so the search continues from the previous median.
        if to == self.to && from >= self.from && from <= self.median {
            while sums.is_before_weighted_median(self.median, from, to) {
                self.median += 1;
            }
        } else {
            self.median = sums.weighted_median_index(from, to);
        }
        (self.from, self.to) = (from, to);
        let (centre, median) = (sums.values[self.median], self.median);
        let below = centre * sums.weight_of_run(from, median) - sums.value_sum_of_run(from, median);
        let above = sums.value_sum_of_run(median, to) - centre * sums.weight_of_run(median, to);
        (centre, (below + above).max(0.0))
    }
}

/// Maximum number of Newton iterations for one centre: every fourth iteration halves the bracket, and 60 halvings are
/// enough.
const MAX_CENTRE_NEWTON_ITERATIONS: u32 = 240;

/// Solver for the loss of a logarithmic band: the centre is the zero of the cost's derivative.
pub(super) struct LogBandSolver {
    band: LogBand,
    last_centre: f64,
}

impl LogBandSolver {
    pub(super) fn new(band: LogBand) -> Self {
        Self { band, last_centre: 0.0 }
    }

    /// Returns the half-open index range of the values in a run that have no loss in a size at `centre`.
    fn lossless_index_range(&self, sums: &PrefixSums, (from, to): (usize, usize), centre: f64) -> (usize, usize) {
        let run = &sums.values[from..to];
        let low = run.partition_point(|value| *value < centre - self.band.large);
        let high = run.partition_point(|value| *value <= centre + self.band.small);
        (from + low, from + high)
    }

    /// Returns the optimal centre of a run wider than the band without loss, by Newton's method inside a bracket.
    ///
    /// The derivative of the cost is increasing and piecewise linear in the centre, with a knot wherever a value enters
    /// or leaves the band. A Newton step that ends on its own linear piece is exact. Bisection replaces a step that
    /// leaves the bracket and every fourth step, so that the iteration converges.
    fn optimal_centre_by_newton(&self, sums: &PrefixSums, (from, to): (usize, usize)) -> f64 {
        let band = &self.band;
        let (mut min, mut max) = (sums.values[from] + band.large, sums.values[to - 1] - band.small);
        let mut centre = self.last_centre.clamp(min, max);
        let mut range = self.lossless_index_range(sums, (from, to), centre);
        for iteration in 1..=MAX_CENTRE_NEWTON_ITERATIONS {
            let (low, high) = range;
            let (small, large) = (sums.weight_of_run(high, to), sums.weight_of_run(from, low));
            let pull_up = band.small_weight * (sums.value_sum_of_run(high, to) - band.small * small);
            let pull_down = band.large_weight * (sums.value_sum_of_run(from, low) + band.large * large);
            let next = (pull_up + pull_down) / (band.small_weight * small + band.large_weight * large);
            (min, max) = if next > centre { (centre, max) } else { (min, centre) };
            let is_newton = min < next && next < max && iteration % 4 != 0;
            let next = if is_newton { next } else { f64::midpoint(min, max) };
            let next_range = self.lossless_index_range(sums, (from, to), next);
            let has_converged = (is_newton && next_range == range) || (next - centre).abs() < 1e-15;
            (centre, range) = (next, next_range);
            if has_converged {
                break;
            }
        }
        centre
    }
}

impl CentreSolver for LogBandSolver {
    const WORK_PER_CENTRE: usize = 100;

    fn optimal_centre_and_cost(&mut self, sums: &PrefixSums, from: usize, to: usize) -> (f64, f64) {
        let band = self.band;
        let (min, max) = (sums.values[to - 1] - band.small, sums.values[from] + band.large);
        if min <= max {
            // The band of every centre from `min` to `max` contains the whole run.
            return (f64::midpoint(min, max), 0.0);
        }
        let centre = self.optimal_centre_by_newton(sums, (from, to));
        self.last_centre = centre;
        let (low, high) = self.lossless_index_range(sums, (from, to), centre);
        // Sum of weight × (value − edge)² over a run.
        let squared_excess = |from, to, edge: f64| {
            sums.square_sum_of_run(from, to) - 2.0 * edge * sums.value_sum_of_run(from, to)
                + edge * edge * sums.weight_of_run(from, to)
        };
        let small = squared_excess(high, to, centre + band.small).max(0.0);
        let large = squared_excess(from, low, centre - band.large).max(0.0);
        (centre, band.small_weight * small + band.large_weight * large)
    }
}
