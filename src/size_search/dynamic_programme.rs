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
use super::points::PrefixSums;
use crate::interrupt::{Stoppable, count_interruptible_work};

/// Divides all values into at most `sizes` runs of least total cost; returns each run's centre.
pub(super) fn best_run_centres(sums: &PrefixSums, loss: &Loss, sizes: usize) -> Stoppable<Vec<f64>> {
    let (count, mut solver) = (sums.values.len(), CentreSolver::new(loss));
    // Approximate work of finding one centre, in units of a few nanoseconds.
    let work_per_centre = if matches!(loss, Loss::LogBand(_)) { 100 } else { 1 };
    count_interruptible_work(work_per_centre * count)?;
    let costs_of_one_run = (1..=count).map(|to| solver.optimal_centre_and_cost(sums, 0, to).1);
    // Row k of the programme: least cost `F(k, j)` of the first j values, by j.
    let mut costs: Vec<f64> = std::iter::once(0.0).chain(costs_of_one_run).collect();
    let mut rows_of_starts = Vec::new();
    for size in 2..=sizes {
        let previous = std::mem::replace(&mut costs, vec![0.0; count + 1]);
        // Best start of the last of k runs of the first j values, by j. There are fewer values than 2³².
        let mut starts = vec![0_u32; count + 1];
        // The last row needs only the entry for all values.
        let first = if size < sizes { 1 } else { count };
        // Half-open ranges of j to fill, each with the range of the best starts.
        let mut ranges = vec![((first, count + 1), (0, count - 1))];
        while let Some((ends, (min, max))) = ranges.pop() {
            let to = usize::midpoint(ends.0, ends.1);
            let last = max.min(to - 1);
            count_interruptible_work(work_per_centre * (last + 1 - min))?;
            let mut best = (min, f64::INFINITY);
            for (from, cost_before) in (min..).zip(&previous[min..=last]) {
                let cost = cost_before + solver.optimal_centre_and_cost(sums, from, to).1;
                best = if cost < best.1 { (from, cost) } else { best };
            }
            #[allow(clippy::cast_possible_truncation)]
            ((costs[to], starts[to]) = (best.1, best.0 as u32));
            let parts = [((to + 1, ends.1), (best.0, max)), ((ends.0, to), (min, best.0))];
            ranges.extend(parts.into_iter().filter(|((first, end), _)| first < end));
        }
        rows_of_starts.push(starts);
    }
    let mut cuts = vec![count];
    for starts in rows_of_starts.iter().rev() {
        cuts.push(starts[cuts[cuts.len() - 1]] as usize);
    }
    cuts.push(0);
    cuts.reverse();
    // Empty runs occur where fewer sizes cost no more.
    let runs = cuts.windows(2).filter(|run| run[0] < run[1]);
    Ok(runs.map(|run| sums.mean + solver.optimal_centre_and_cost(sums, run[0], run[1]).0).collect())
}
