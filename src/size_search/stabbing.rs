//! Stabbing: k points that lie in the most intervals, solved exactly by a dynamic programme.

use crate::error::{Problem, Problems};
use crate::field::EQUALITY_TOLERANCE_CM;
use crate::interrupt::count_interruptible_work;

/// Maximum number of distinct upper ends of the intervals to stab; the work grows with the square of the number.
const MAX_DISTINCT_UPPER_INTERVAL_ENDS: usize = 4000;

/// Returns at most `sizes` points, descending, that stab (lie in) intervals of the most weight. An interval has a lower
/// end, an upper end and a weight; an interval with the upper end below the lower end is empty and never stabbed.
///
/// Some optimum has every point at an upper end, because moving a point up to the next upper end leaves no interval.
/// Let `F(k, j)` be the maximum weight of the intervals stabbed by `k` points of which end `j` is the last. Then
/// `F(k, j)` is the maximum over ends i < j of `F(k − 1, i)` plus the weight of the intervals that contain `j` but not
/// `i`. An interval that contains `j` and an earlier point also contains `i`, because `i` lies between both points.
pub(super) fn points_stabbing_most_weight(
    mut intervals: Vec<([f64; 2], f64)>,
    sizes: usize,
) -> Result<Vec<f64>, Problems> {
    intervals.retain(|([min, max], weight)| *weight > 0.0 && *min <= max + EQUALITY_TOLERANCE_CM);
    let mut ends: Vec<f64> = intervals.iter().map(|([_, max], _)| *max).collect();
    ends.sort_unstable_by(f64::total_cmp);
    ends.dedup_by(|next, kept| *next <= *kept + EQUALITY_TOLERANCE_CM);
    let problem = Problem::too_many_problem("waist", ends.len(), MAX_DISTINCT_UPPER_INTERVAL_ENDS, "distinct girths");
    Problems::ok_if_empty(problem.into_iter().collect())?;
    let count = ends.len();
    // For each end j: index of the first end, and weight, of each interval whose last end is j.
    let mut first_ends_by_last = vec![Vec::new(); count];
    // For each end i: the weight of the intervals that contain the current end j and have i as their first end.
    let mut containing = vec![0.0; count];
    for ([min, max], weight) in intervals {
        let first = ends.partition_point(|end| end + EQUALITY_TOLERANCE_CM < min);
        let last = ends.partition_point(|end| *end <= max + EQUALITY_TOLERANCE_CM) - 1;
        first_ends_by_last[last].push((first.min(last), weight));
        containing[first.min(last)] += weight;
    }
    // For k + 1 points, by the last point: the weight stabbed, and the end of the point before.
    let mut rows = vec![vec![(0.0, None); count]; sizes];
    for to in 0..count {
        count_interruptible_work(to * sizes)?;
        let by_one_point: f64 = containing[..=to].iter().sum();
        for row in &mut rows {
            row[to].0 = by_one_point;
        }
        // Weight of the intervals that contain `to` but not `from`.
        let mut gain = 0.0;
        for from in (0..to).rev() {
            gain += containing[from + 1];
            for k in 1..sizes {
                let total = rows[k - 1][from].0 + gain;
                if total > rows[k][to].0 {
                    rows[k][to] = (total, Some(from));
                }
            }
        }
        for (first, weight) in std::mem::take(&mut first_ends_by_last[to]) {
            containing[first] -= weight;
        }
    }
    let last_row = &rows[sizes - 1];
    let mut next = (0..count).reduce(|a, b| if last_row[b].0 > last_row[a].0 { b } else { a });
    let mut points = Vec::new();
    for k in (0..sizes).rev() {
        let Some(index) = next else { break };
        points.push(ends[index]);
        next = rows[k][index].1;
    }
    Ok(points)
}
