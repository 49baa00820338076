//! The best centre of people who share a size, and what it costs them.

use super::column::Sums;
use super::loss::LogBand;
use crate::survey::interrupt::worked;

/// Finds the best centre of a run of values, and its cost: the sum of weight × loss.
pub(super) trait Cluster {
    /// Centre, from the mean of all values, and cost. Runs with one end are asked for one after another, by growing start, as
    /// far as that can be: what was found last may help.
    fn best(&mut self, sums: &Sums, from: usize, to: usize) -> (f64, f64);
}

/// The mean, and the variance.
pub(super) struct Squared;

impl Cluster for Squared {
    #[inline]
    fn best(&mut self, sums: &Sums, from: usize, to: usize) -> (f64, f64) {
        let (weight, first) = (sums.weight(from, to), sums.first(from, to));
        let mean = first / weight;
        (mean, (sums.second(from, to) - first * mean).max(0.0))
    }
}

/// The median. As the start of a run moves on, so does the median.
#[derive(Default)]
pub(super) struct Absolute {
    to: usize,
    from: usize,
    median: usize,
}

impl Cluster for Absolute {
    #[inline]
    fn best(&mut self, sums: &Sums, from: usize, to: usize) -> (f64, f64) {
        if to == self.to && from >= self.from && from <= self.median {
            while sums.before_median(self.median, from, to) {
                self.median += 1;
            }
        } else {
            self.median = sums.median(from, to);
        }
        (self.from, self.to) = (from, to);
        let (centre, place) = (sums.at[self.median], self.median);
        let below = centre * sums.weight(from, place) - sums.first(from, place);
        let above = sums.first(place, to) - centre * sums.weight(place, to);
        (centre, (below + above).max(0.0))
    }
}

/// Rounds in which a bracket, halved in each fourth, shrinks below what a double tells apart.
const ROUNDS: u32 = 240;

/// What finding a zero takes, in steps of some nanoseconds.
const SEARCHED: usize = 100;

/// The zero of the loss's slope.
pub(super) struct Banded {
    band: LogBand,
    last: f64,
}

impl Banded {
    pub(super) fn new(band: LogBand) -> Self {
        Self { band, last: 0.0 }
    }

    /// The places at which people become too small for the centre's band, and too large.
    fn ends(&self, sums: &Sums, (from, to): (usize, usize), centre: f64) -> (usize, usize) {
        let run = &sums.at[from..to];
        let low = run.partition_point(|at| *at < centre - self.band.large);
        let high = run.partition_point(|at| *at <= centre + self.band.small);
        (from + low, from + high)
    }

    /// The centre of a run that is wider than the band.
    ///
    /// The slope of the cost is straight between the centres at which somebody enters or leaves the band, and grows. Newton's
    /// step from any centre is exact where it ends on the same straight piece; a bracket, halved where the step leaves it
    /// and in every fourth round, makes sure that it comes to that.
    fn centre(&self, sums: &Sums, (from, to): (usize, usize)) -> f64 {
        let band = &self.band;
        let (mut min, mut max) = (sums.at[from] + band.large, sums.at[to - 1] - band.small);
        let mut centre = self.last.clamp(min, max);
        let mut ends = self.ends(sums, (from, to), centre);
        for round in 1..=ROUNDS {
            let (low, high) = ends;
            let (small, large) = (sums.weight(high, to), sums.weight(from, low));
            let pull_up = band.small_weight * (sums.first(high, to) - band.small * small);
            let pull_down = band.large_weight * (sums.first(from, low) + band.large * large);
            let next = (pull_up + pull_down) / (band.small_weight * small + band.large_weight * large);
            (min, max) = if next > centre { (centre, max) } else { (min, centre) };
            let inside = min < next && next < max && round % 4 != 0;
            let next = if inside { next } else { f64::midpoint(min, max) };
            let next_ends = self.ends(sums, (from, to), next);
            let settled = (inside && next_ends == ends) || (next - centre).abs() < 1e-15;
            (centre, ends) = (next, next_ends);
            if settled {
                break;
            }
        }
        centre
    }
}

impl Cluster for Banded {
    fn best(&mut self, sums: &Sums, from: usize, to: usize) -> (f64, f64) {
        let band = self.band;
        let (min, max) = (sums.at[to - 1] - band.small, sums.at[from] + band.large);
        if min <= max {
            // All are within the band of any centre between.
            return (f64::midpoint(min, max), 0.0);
        }
        worked(SEARCHED);
        let centre = self.centre(sums, (from, to));
        self.last = centre;
        let (low, high) = self.ends(sums, (from, to), centre);
        // The sum of weight × (value − edge)².
        let beyond = |from, to, edge: f64| {
            sums.second(from, to) - 2.0 * edge * sums.first(from, to) + edge * edge * sums.weight(from, to)
        };
        let small = beyond(high, to, centre + band.small).max(0.0);
        let large = beyond(from, low, centre - band.large).max(0.0);
        (centre, band.small_weight * small + band.large_weight * large)
    }
}
