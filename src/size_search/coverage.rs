//! Maximal coverage on a line: k intervals of one width that contain the most weight, solved exactly by a dynamic
//! programme. Maximal covering after Church and `ReVelle` (1974).
//!
//! Some optimum has every interval start at a value, because moving an interval up to its lowest covered value loses
//! nothing. Let `F(k, i)` be the maximum weight that `k` intervals cover among the values from index `i` on. Then `F(k,
//! i)` is the larger of `F(k, i + 1)`, where value `i` stays uncovered, and `F(k − 1, end)` plus the weight of the
//! interval from `i` to `end`. The cost is `O(k × n)` for n values. If centres lie on a grid, the interval that serves
//! value `i` and reaches highest takes the place of the interval that starts at the value.

use super::points::{PrefixSums, SortedValues};
use super::size_constraints::Reach;
use crate::interrupt::{Stoppable, count_interruptible_work};

/// Returns the centres, ascending, of at most `sizes` intervals of equal reach that together cover the most weight.
pub(super) fn max_coverage_interval_centres(sorted: &SortedValues, reach: Reach, sizes: usize) -> Stoppable<Vec<f64>> {
    let count = sorted.values.len();
    // For each value, the index after the last value that one interval contains with it; its own index if none.
    let end = |(index, lowest): (usize, &f64)| {
        let highest = reach.highest_girth_served_with(*lowest);
        sorted.values.partition_point(|value| *value <= highest).max(index)
    };
    let ends: Vec<usize> = sorted.values.iter().enumerate().map(end).collect();
    let sums = PrefixSums::new(sorted);
    // Row k of the programme: maximum coverage by index, and whether an interval starts at the index.
    let mut previous_row = vec![0.0; count + 1];
    let mut is_start_rows: Vec<Vec<bool>> = Vec::new();
    for _ in 0..sizes {
        count_interruptible_work(count)?;
        let mut row = vec![0.0; count + 1];
        let mut is_start = vec![false; count];
        for index in (0..count).rev() {
            let covered = sums.of_run(index, ends[index])[0] + previous_row[ends[index]];
            is_start[index] = covered > row[index + 1];
            row[index] = row[index + 1].max(covered);
        }
        is_start_rows.push(is_start);
        previous_row = row;
    }
    let mut index = 0;
    let mut centres = Vec::new();
    for is_start in is_start_rows.iter().rev() {
        let Some(steps) = is_start[index..].iter().position(|is_start| *is_start) else { break };
        index += steps;
        centres.push(reach.centre_serving_girth_range(sorted.values[index], sorted.values[ends[index] - 1]));
        index = ends[index];
    }
    Ok(centres)
}
