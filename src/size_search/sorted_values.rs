//! Weighted values in ascending order, and prefix sums that give weight, sum and sum of squares of any run in constant
//! time. A run is the half-open index range `from..to`.

use super::loss::Loss;

/// Values, in search coordinates (cm or ln cm), in ascending order, each with a positive weight.
#[derive(Clone, Default)]
pub(super) struct SortedValues {
    pub(super) values: Vec<f64>,
    pub(super) weights: Vec<f64>,
}

impl SortedValues {
    /// Converts girths from centimetres to search coordinates (cm or ln cm), sorts them, and merges equal values by
    /// adding their weights; without `weights`, every weight is 1. Leaves out girths of weight 0.
    pub(super) fn sort_and_merge_girths(girths: &[f64], weights: Option<&[f64]>, loss: &Loss) -> Self {
        let weight = |row: usize| weights.map_or(1.0, |weights| weights[row]);
        let pairs =
            girths.iter().enumerate().map(|(row, girth)| (loss.search_coordinate_of_girth(*girth), weight(row)));
        let mut pairs: Vec<(f64, f64)> = pairs.filter(|(_, weight)| *weight > 0.0).collect();
        // Sorted by weight, too, so that rounding in the sums does not depend on the order of the people.
        pairs.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let groups = pairs.chunk_by(|a, b| a.0.to_bits() == b.0.to_bits());
        let merged = groups.map(|equal| (equal[0].0, equal.iter().map(|(_, weight)| weight).sum::<f64>()));
        let (values, weights) = merged.unzip();
        Self { values, weights }
    }
}

/// Prefix sums of weight, weight × value and weight × value². Values are centred on their mean, which keeps
/// cancellation between prefix sums small.
pub(super) struct PrefixSums {
    /// Weighted mean of the original values.
    pub(super) mean: f64,
    /// Values minus the mean, ascending.
    pub(super) values: Vec<f64>,
    /// Sums of weight, weight × value and weight × value²: at index n, those over the first n values.
    sums: Vec<[f64; 3]>,
}

impl PrefixSums {
    pub(super) fn new(sorted: &SortedValues) -> Self {
        let total: f64 = sorted.weights.iter().sum();
        let pairs = sorted.values.iter().zip(&sorted.weights);
        let start = sorted.values.first().copied().unwrap_or_default();
        let mean = start + pairs.map(|(value, weight)| (value - start) * weight).sum::<f64>() / total;
        let values: Vec<f64> = sorted.values.iter().map(|value| value - mean).collect();
        let (mut sums, mut sum) = (vec![[0.0; 3]], [0.0; 3]);
        for (value, weight) in values.iter().zip(&sorted.weights) {
            sum = [sum[0] + weight, sum[1] + value * weight, sum[2] + value * value * weight];
            sums.push(sum);
        }
        Self { mean, values, sums }
    }

    /// Returns the sums of weight, weight × value and weight × value² over the run `from..to`, values less the mean.
    #[inline]
    pub(super) fn of_run(&self, from: usize, to: usize) -> [f64; 3] {
        let (start, end) = (&self.sums[from], &self.sums[to]);
        [end[0] - start[0], end[1] - start[1], end[2] - start[2]]
    }

    /// Returns the index, among all values, of the weighted median of a run: the first value of the run at which the
    /// weight summed from the start of the run reaches half the weight of the run.
    pub(super) fn weighted_median_index(&self, from: usize, to: usize) -> usize {
        let half = f64::midpoint(self.sums[from][0], self.sums[to][0]);
        from + self.sums[from + 1..to].partition_point(|sum| sum[0] < half)
    }

    /// Returns whether `index` lies before the weighted median of the run `from..to`.
    #[inline]
    pub(super) fn is_before_weighted_median(&self, index: usize, from: usize, to: usize) -> bool {
        index + 1 < to && self.sums[index + 1][0] < f64::midpoint(self.sums[from][0], self.sums[to][0])
    }
}
