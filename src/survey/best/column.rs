//! Girths in ascending order with weights, and sums over any run of them.

use super::loss::Loss;

/// Values on the scale of a loss, ascending, each with its weight.
pub(super) struct Column {
    pub(super) at: Vec<f64>,
    pub(super) weight: Vec<f64>,
}

impl Column {
    /// Girths, of which equal ones are made one.
    pub(super) fn of(girths: &[f64], weights: Option<&[f64]>, loss: &Loss) -> Self {
        let weight = |row: usize| weights.map_or(1.0, |weights| weights[row]);
        let mut pairs: Vec<(f64, f64)> =
            girths.iter().enumerate().map(|(row, girth)| (loss.scaled(*girth), weight(row))).collect();
        // By weight, too, so that sums do not depend on the order of the people.
        pairs.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mut column = Self { at: Vec::new(), weight: Vec::new() };
        for (at, weight) in pairs {
            match (column.at.last(), column.weight.last_mut()) {
                (Some(last), Some(sum)) if last.to_bits() == at.to_bits() => *sum += weight,
                _ => {
                    column.at.push(at);
                    column.weight.push(weight);
                }
            }
        }
        column
    }

    pub(super) fn len(&self) -> usize {
        self.at.len()
    }
}

/// Sums of weight, of weight × value and of weight × value² before each place, values measured from their mean, where
/// differences of sums lose least.
pub(super) struct Sums {
    pub(super) mean: f64,
    pub(super) at: Vec<f64>,
    weight: Vec<f64>,
    first: Vec<f64>,
    second: Vec<f64>,
}

impl Sums {
    pub(super) fn of(column: &Column) -> Self {
        let total: f64 = column.weight.iter().sum();
        let pairs = || column.at.iter().zip(&column.weight);
        let start = column.at.first().copied().unwrap_or_default();
        let mean = start + pairs().map(|(at, weight)| (at - start) * weight).sum::<f64>() / total;
        let at: Vec<f64> = column.at.iter().map(|at| at - mean).collect();
        let before = |of: &dyn Fn(f64, f64) -> f64| {
            let mut sum = 0.0;
            let mut sums = Vec::with_capacity(at.len() + 1);
            sums.push(0.0);
            sums.extend(at.iter().zip(&column.weight).map(|(at, weight)| {
                sum += of(*at, *weight);
                sum
            }));
            sums
        };
        let weight = before(&|_, weight| weight);
        let (first, second) = (before(&|at, weight| at * weight), before(&|at, weight| at * at * weight));
        Self { mean, at, weight, first, second }
    }

    pub(super) fn len(&self) -> usize {
        self.at.len()
    }

    #[inline]
    pub(super) fn weight(&self, from: usize, to: usize) -> f64 {
        self.weight[to] - self.weight[from]
    }

    #[inline]
    pub(super) fn first(&self, from: usize, to: usize) -> f64 {
        self.first[to] - self.first[from]
    }

    #[inline]
    pub(super) fn second(&self, from: usize, to: usize) -> f64 {
        self.second[to] - self.second[from]
    }

    /// The place of the median of a run: the first at which half the weight is reached.
    pub(super) fn median(&self, from: usize, to: usize) -> usize {
        let half = f64::midpoint(self.weight[from], self.weight[to]);
        let past = self.weight[from + 1..to].partition_point(|before| *before < half);
        from + past
    }

    /// Whether the median of a run lies behind this place.
    #[inline]
    pub(super) fn before_median(&self, place: usize, from: usize, to: usize) -> bool {
        place + 1 < to && self.weight[place + 1] < f64::midpoint(self.weight[from], self.weight[to])
    }
}
