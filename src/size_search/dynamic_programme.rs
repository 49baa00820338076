//! Optimal partition of ascending values into k runs: an exact dynamic programme by divide and conquer.
//!
//! Let `cost(i, j)` be the least cost of the values `i..j` in one size, and `F(k, j)` the least cost of the first `j`
//! values in at most `k` runs. Then `F(k, j)` is the minimum of `F(k − 1, i) + cost(i, j)` over the start `i` of the
//! last run.
//!
//! For a loss that is convex in the difference of value and centre, `cost` satisfies the quadrangle inequality `cost(a,
//! c) + cost(b, d) ≤ cost(a, d) + cost(b, c)` for a ≤ b ≤ c ≤ d. Proof: let p be the best centre of (a, d) and q the
//! best centre of (b, c), with p ≤ q; the case p > q is the mirror image. Assign centre p to (a, c) and centre q to (b,
//! d). Compared with the right-hand side, only the values from c to d change centre, from p to q. Loss from p minus
//! loss from q grows with the value, by convexity. Its sum over (b, c) is at least zero, because q is optimal there.
//! Hence it is at least zero for every value beyond c.
//!
//! By the inequality the best `i` never decreases as `j` grows (Yao 1980). Solving the middle `j` of a range first
//! therefore bounds the starts of both halves: `O(k × n × log n)` cost evaluations for n values instead of `O(k × n²)`.
//!
//! Runs are sufficient: loss from one centre minus loss from a larger centre grows with the value, so that the people
//! of one size are consecutive.

use super::centre::CentreSolver;
use super::loss::Loss;
use super::sorted_values::PrefixSums;
use crate::interrupt::{Stoppable, count_interruptible_work};

/// Divides all values into at most `sizes` runs of least total cost; returns each run's centre.
pub(super) fn best_run_centres(sums: &PrefixSums, loss: &Loss, sizes: usize) -> Stoppable<Vec<f64>> {
    let count = sums.values.len();
    let solver = CentreSolver::new(loss);
    let mut table = CostRowPair { sums, solver, previous: vec![], costs: vec![0.0], starts: vec![] };
    count_interruptible_work(table.solver.work_per_centre() * count)?;
    table.costs.extend((1..=count).map(|to| table.solver.optimal_centre_and_cost(sums, 0, to).1));
    let mut rows_of_starts = Vec::new();
    for _ in 2..sizes {
        table.previous = std::mem::replace(&mut table.costs, vec![0.0; count + 1]);
        table.starts = vec![0; count + 1];
        table.fill_costs_and_starts((1, count + 1), (0, count - 1))?;
        rows_of_starts.push(std::mem::take(&mut table.starts));
    }
    let mut to = count;
    let mut cuts = vec![count];
    if sizes > 1 {
        // The last row needs only the entry for all values.
        table.previous = std::mem::take(&mut table.costs);
        to = table.best_last_run_start_and_cost(count, (0, count - 1))?.0;
        cuts.push(to);
    }
    for starts in rows_of_starts.iter().rev() {
        to = starts[to] as usize;
        cuts.push(to);
    }
    cuts.push(0);
    cuts.reverse();
    // Empty runs occur where fewer sizes cost no more.
    let runs = cuts.windows(2).filter(|run| run[0] < run[1]);
    Ok(runs.map(|run| sums.mean + table.solver.optimal_centre_and_cost(sums, run[0], run[1]).0).collect())
}

/// Rows k − 1 and k of the dynamic programme that divides ascending values into runs of least cost.
struct CostRowPair<'a> {
    sums: &'a PrefixSums,
    solver: CentreSolver,
    /// Least cost `F(k − 1, j)` of the first j values in at most k − 1 runs, by j.
    previous: Vec<f64>,
    /// Least cost `F(k, j)` of the first j values in at most k runs, by j.
    costs: Vec<f64>,
    /// Best start of the last of k runs of the first j values, by j.
    starts: Vec<u32>,
}

impl CostRowPair<'_> {
    /// Fills row k for the half-open range `ends` of j; the best starts of the last run lie from `min` to `max`.
    fn fill_costs_and_starts(&mut self, ends: (usize, usize), (min, max): (usize, usize)) -> Stoppable<()> {
        if ends.0 >= ends.1 {
            return Ok(());
        }
        let middle = usize::midpoint(ends.0, ends.1);
        let (start, cost) = self.best_last_run_start_and_cost(middle, (min, max))?;
        self.costs[middle] = cost;
        // There are fewer values than 2³².
        #[allow(clippy::cast_possible_truncation)]
        (self.starts[middle] = start as u32);
        self.fill_costs_and_starts((ends.0, middle), (min, start))?;
        self.fill_costs_and_starts((middle + 1, ends.1), (start, max))
    }

    /// Returns the best start, from `min` to `max`, of the last run, which ends at `to`, and the cost of all runs.
    fn best_last_run_start_and_cost(&mut self, to: usize, (min, max): (usize, usize)) -> Stoppable<(usize, f64)> {
        count_interruptible_work(self.solver.work_per_centre() * (max.min(to - 1).saturating_sub(min) + 1))?;
        let mut best = (min, f64::INFINITY);
        for from in min..=max.min(to - 1) {
            let cost = self.previous[from] + self.solver.optimal_centre_and_cost(self.sums, from, to).1;
            if cost < best.1 {
                best = (from, cost);
            }
        }
        Ok(best)
    }
}
