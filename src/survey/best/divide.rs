//! The best way to part ascending values into so many runs, exactly.
//!
//! Let `F(k, j)` be the least cost of the first `j` values in at most `k` runs: the least of `F(k − 1, i) + cost(i, j)` over
//! the start `i` of the last run. For a loss that is convex in the difference of value and centre,
//! `cost(a, c) + cost(b, d) ≤ cost(a, d) + cost(b, c)` where a ≤ b ≤ c ≤ d: let p be the best centre of (a, d) and q of
//! (b, c), p ≤ q. Give (a, c) p and (b, d) q. Against the right-hand side only the values from c to d change, from p to q.
//! Loss from p less loss from q grows with the value, as the loss is convex, and its sum over (b, c) is not below zero, as q
//! is best there: so it is not below zero beyond c. (p > q is the mirror image.) It follows that the best `i` never falls
//! as `j` grows (Yao 1980), so that the middle `j` of any range halves what its neighbours need to try:
//! `O(sizes × n × log n)` costs instead of `O(sizes × n²)`.
//!
//! With such a loss the people of one size are a run, for the same reason: loss from one centre less loss from a larger one
//! grows with the value.

use super::cluster::Cluster;
use super::column::Sums;
use crate::survey::interrupt::worked;

/// The best centres, from the mean of all values, ascending; at most `sizes`.
pub(super) fn divide(sums: &Sums, mut cluster: impl Cluster, sizes: usize) -> Vec<f64> {
    let count = sums.len();
    let mut table = Table { sums, cluster: &mut cluster, before: vec![], now: vec![0.0], starts: vec![] };
    table.now.extend((1..=count).map(|to| table.cluster.best(sums, 0, to).1));
    let mut layers = Vec::new();
    for _ in 2..sizes {
        table.before = std::mem::replace(&mut table.now, vec![0.0; count + 1]);
        table.starts = vec![0; count + 1];
        table.fill((1, count + 1), (0, count - 1));
        layers.push(std::mem::take(&mut table.starts));
    }
    let mut to = count;
    let mut cuts = vec![count];
    if sizes > 1 {
        // Of the last run only the end at the last value is asked for.
        table.before = std::mem::take(&mut table.now);
        to = table.start(count, (0, count - 1)).0;
        cuts.push(to);
    }
    for starts in layers.iter().rev() {
        to = starts[to] as usize;
        cuts.push(to);
    }
    cuts.push(0);
    cuts.reverse();
    // Runs of nothing, where fewer sizes are as good, have no centre.
    let runs = cuts.windows(2).filter(|run| run[0] < run[1]);
    runs.map(|run| cluster.best(sums, run[0], run[1]).0).collect()
}

struct Table<'a, C> {
    sums: &'a Sums,
    cluster: &'a mut C,
    /// The least costs with one run fewer.
    before: Vec<f64>,
    now: Vec<f64>,
    starts: Vec<u32>,
}

impl<C: Cluster> Table<'_, C> {
    /// Fills the ends from `.0` to before `.1`, whose last runs start from `least` to `most`.
    fn fill(&mut self, ends: (usize, usize), (min, max): (usize, usize)) {
        if ends.0 >= ends.1 {
            return;
        }
        let middle = usize::midpoint(ends.0, ends.1);
        let (start, cost) = self.start(middle, (min, max));
        self.now[middle] = cost;
        // There are fewer values than 2³².
        #[allow(clippy::cast_possible_truncation)]
        {
            self.starts[middle] = start as u32;
        }
        self.fill((ends.0, middle), (min, start));
        self.fill((middle + 1, ends.1), (start, max));
    }

    /// The best start of the last run that ends at `to`, and the cost; of equals the first.
    fn start(&mut self, to: usize, (min, max): (usize, usize)) -> (usize, f64) {
        worked(max.min(to - 1).saturating_sub(min) + 1);
        let mut best = (min, f64::INFINITY);
        for from in min..=max.min(to - 1) {
            let cost = self.before[from] + self.cluster.best(self.sums, from, to).1;
            if cost < best.1 {
                best = (from, cost);
            }
        }
        best
    }
}
