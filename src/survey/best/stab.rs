//! The places that meet most intervals.

use crate::error::{Problem, Problems};
use crate::survey::fit::EQUAL;
use crate::survey::interrupt::worked;

/// The most distinct upper ends: the work grows with their square.
const MAX_ENDS: usize = 4000;

/// At most so many places, ascending, that meet most of these intervals of lower and upper end; those of which the upper lies
/// below the lower are met by none.
///
/// Let `F(k, j)` be the most intervals met by `k` places of which the last is the end `j`: the largest of `F(k − 1, i)`
/// and the intervals that `j` meets and `i` does not. Who is met by `j` and by any place before is met by the last before,
/// as an interval has no holes.
pub(super) fn stab(mut intervals: Vec<(f64, f64)>, sizes: usize) -> Result<Vec<f64>, Problems> {
    intervals.retain(|(min, max)| *min <= max + EQUAL);
    let mut ends: Vec<f64> = intervals.iter().map(|(_, max)| *max).collect();
    ends.sort_unstable_by(f64::total_cmp);
    ends.dedup_by(|next, kept| *next <= *kept + EQUAL);
    let many = Problem::too_many("waist", ends.len(), MAX_ENDS, "distinct ends of where a size serves");
    Problems::ok_if_empty(many.into_iter().collect())?;
    let count = ends.len();
    // Of each interval the first end that it reaches, and the last; by the last.
    let mut leaving = vec![Vec::new(); count];
    let mut active = vec![0.0; count];
    for (min, max) in intervals {
        let first = ends.partition_point(|end| end + EQUAL < min);
        let last = ends.partition_point(|end| *end <= max + EQUAL) - 1;
        leaving[last].push(first.min(last));
        active[first.min(last)] += 1.0;
    }
    let mut met = vec![vec![0.0_f64; count]; sizes];
    let mut before = vec![vec![count; count]; sizes];
    for to in 0..count {
        worked(to * sizes);
        // The intervals that `to` meets: alone, and beside each place before.
        let alone: f64 = active[..=to].iter().sum();
        for met in &mut met {
            met[to] = alone;
        }
        let mut fresh = 0.0;
        for from in (0..to).rev() {
            fresh += active[from + 1];
            for k in 1..sizes {
                let with = met[k - 1][from] + fresh;
                if with > met[k][to] {
                    (met[k][to], before[k][to]) = (with, from);
                }
            }
        }
        for first in std::mem::take(&mut leaving[to]) {
            active[first] -= 1.0;
        }
    }
    let mut place = (0..count).reduce(|a, b| if met[sizes - 1][b] > met[sizes - 1][a] { b } else { a });
    let mut places = Vec::new();
    for k in (0..sizes).rev() {
        let Some(at) = place else { break };
        places.push(ends[at]);
        place = Some(before[k][at]).filter(|from| *from < count);
    }
    places.reverse();
    Ok(places)
}
