//! Weighted values in ascending order, and prefix sums that give weight, sum and sum of squares of any run in constant
//! time. A run is the half-open index range `from..to`.

use super::loss::Loss;

/// Values on the loss scale in ascending order, each with a positive weight.
#[derive(Clone, Default)]
pub(super) struct SortedValues {
    pub(super) values: Vec<f64>,
    pub(super) weights: Vec<f64>,
}

impl SortedValues {
    /// Sorts girths on the loss scale and merges equal values by adding their weights; the default weight is 1. Leaves out
    /// girths of weight 0.
    pub(super) fn from_girths_to_sort_and_merge(girths: &[f64], weights: Option<&[f64]>, loss: &Loss) -> Self {
        let weight = |row: usize| weights.map_or(1.0, |weights| weights[row]);
        let pairs = girths.iter().enumerate().map(|(row, girth)| (loss.girth_on_loss_scale(*girth), weight(row)));
        let mut pairs: Vec<(f64, f64)> = pairs.filter(|(_, weight)| *weight > 0.0).collect();
        // Sorted by weight, too, so that rounding in the sums does not depend on the order of the people.
        pairs.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mut sorted = Self { values: Vec::new(), weights: Vec::new() };
        for (value, weight) in pairs {
            match (sorted.values.last(), sorted.weights.last_mut()) {
                (Some(last), Some(sum)) if last.to_bits() == value.to_bits() => *sum += weight,
                _ => {
                    sorted.values.push(value);
                    sorted.weights.push(weight);
                }
            }
        }
        sorted
    }

    pub(super) fn len(&self) -> usize {
        self.values.len()
    }
}

/// Returns zero, the first value, the sum of the first two values and so on, up to the sum of all.
pub(super) fn prefix_sums(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut sum = 0.0;
    let sums = values.map(|value| {
        sum += value;
        sum
    });
    std::iter::once(0.0).chain(sums).collect()
}

/// Prefix sums of weight, weight × value and weight × value². Values are centred on their mean, which keeps
/// cancellation between prefix sums small.
pub(super) struct PrefixSums {
    /// Weighted mean of the original values.
    pub(super) mean: f64,
    /// Values minus the mean, ascending.
    pub(super) values: Vec<f64>,
    weight_sums: Vec<f64>,
    value_sums: Vec<f64>,
    square_sums: Vec<f64>,
}

impl PrefixSums {
    pub(super) fn new(sorted: &SortedValues) -> Self {
        let total: f64 = sorted.weights.iter().sum();
        let pairs = || sorted.values.iter().zip(&sorted.weights);
        let start = sorted.values.first().copied().unwrap_or_default();
        let mean = start + pairs().map(|(value, weight)| (value - start) * weight).sum::<f64>() / total;
        let values: Vec<f64> = sorted.values.iter().map(|value| value - mean).collect();
        let pairs = || values.iter().zip(&sorted.weights);
        let weight_sums = prefix_sums(sorted.weights.iter().copied());
        let value_sums = prefix_sums(pairs().map(|(value, weight)| value * weight));
        let square_sums = prefix_sums(pairs().map(|(value, weight)| value * value * weight));
        Self { mean, values, weight_sums, value_sums, square_sums }
    }

    pub(super) fn len(&self) -> usize {
        self.values.len()
    }

    #[inline]
    pub(super) fn weight_of_run(&self, from: usize, to: usize) -> f64 {
        self.weight_sums[to] - self.weight_sums[from]
    }

    /// Returns the sum of weight × (value − mean of all values) over the run `from..to`.
    #[inline]
    pub(super) fn value_sum_of_run(&self, from: usize, to: usize) -> f64 {
        self.value_sums[to] - self.value_sums[from]
    }

    /// Returns the sum of weight × (value − mean of all values)² over the run `from..to`.
    #[inline]
    pub(super) fn square_sum_of_run(&self, from: usize, to: usize) -> f64 {
        self.square_sums[to] - self.square_sums[from]
    }

    /// Returns the index, among all values, of the weighted median of a run: the first value of the run at which the weight
    /// summed from the start of the run reaches half the weight of the run.
    pub(super) fn weighted_median_index(&self, from: usize, to: usize) -> usize {
        let half = f64::midpoint(self.weight_sums[from], self.weight_sums[to]);
        from + self.weight_sums[from + 1..to].partition_point(|sum| *sum < half)
    }

    /// Returns whether `index` lies before the weighted median of the run `from..to`.
    #[inline]
    pub(super) fn is_before_weighted_median(&self, index: usize, from: usize, to: usize) -> bool {
        index + 1 < to && self.weight_sums[index + 1] < f64::midpoint(self.weight_sums[from], self.weight_sums[to])
    }
}
