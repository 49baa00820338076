//! Maximal coverage on a line: k intervals of one width that contain the most weight, solved exactly by a dynamic
//! programme. Maximal covering after Church and `ReVelle` (1974).
//!
//! Some optimum has every interval start at a value, because moving an interval up to its lowest covered value loses
//! nothing. Let `F(k, i)` be the maximum weight that `k` intervals cover among the values from index `i` on. Then `F(k,
//! i)` is the larger of `F(k, i + 1)`, where value `i` stays uncovered, and `F(k − 1, end)` plus the weight of the
//! interval from `i` to `end`. The cost is `O(k × n)` for n values.

use super::sorted_values::{SortedValues, prefix_sums};
use crate::field::EQUALITY_TOLERANCE_CM;
use crate::interrupt::{Stopped, count_interruptible_work};

/// Returns, for each of ascending values, the index after the last value in the interval [value, value + 2 × `half_width`].
pub(super) fn interval_end_indices(values: &[f64], half_width: f64) -> Vec<usize> {
    let mut end = 0;
    let mut advance = |start: &f64| {
        while end < values.len() && values[end] - start <= 2.0 * half_width + EQUALITY_TOLERANCE_CM {
            end += 1;
        }
        end
    };
    values.iter().map(&mut advance).collect()
}

/// Returns the midpoints, ascending, of at most `sizes` intervals of width 2 × `half_width` that cover the most weight.
pub(super) fn max_coverage_interval_midpoints(
    sorted: &SortedValues,
    half_width: f64,
    sizes: usize,
) -> Result<Vec<f64>, Stopped> {
    let count = sorted.len();
    let ends = interval_end_indices(&sorted.values, half_width);
    let weight_sums = prefix_sums(sorted.weights.iter().copied());
    // Row k of the programme: maximum coverage by index, and whether an interval starts at the index.
    let mut previous_row = vec![0.0; count + 1];
    let mut is_start_rows: Vec<Vec<bool>> = Vec::new();
    for _ in 0..sizes {
        count_interruptible_work(count)?;
        let mut row = vec![0.0; count + 1];
        let mut is_start = vec![false; count];
        for index in (0..count).rev() {
            let covered = weight_sums[ends[index]] - weight_sums[index] + previous_row[ends[index]];
            is_start[index] = covered > row[index + 1];
            row[index] = row[index + 1].max(covered);
        }
        is_start_rows.push(is_start);
        previous_row = row;
    }
    let mut index = 0;
    let mut midpoints = Vec::new();
    for is_start in is_start_rows.iter().rev() {
        while index < count && !is_start[index] {
            index += 1;
        }
        if index == count {
            break;
        }
        midpoints.push(f64::midpoint(sorted.values[index], sorted.values[ends[index] - 1]));
        index = ends[index];
    }
    Ok(midpoints)
}
