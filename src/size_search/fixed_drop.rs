//! Chart with the least mean loss among charts with a fixed drop (hip minus waist), proven optimal. Waist and hip
//! always grow together.

use super::chart::BestChart;
use super::chart_search::SearchInput;
use super::loss::Loss;
use super::one_girth::{optimal_centres, table_cell_count_problem};
use super::points::{ComparedPeople, WaistHip, WaistHipPoints, sort_and_merge_girths};
use super::size_constraints::{DROP_FIELD, SearchSettings};
use crate::error::{Code, Problem, Problems};
use crate::field::{EQUALITY_TOLERANCE_CM, Unit};
use crate::interrupt::count_interruptible_work;

/// Finds the chart with the least mean loss among charts whose every size has hip − waist = `drop`, in centimetres. The
/// chart is exactly optimal, apart from rounding, so that the bound equals the loss.
///
/// **[`Loss::Squared`].** Let u = hip − drop and m = (waist + u) / 2. The loss of a person in a size with waist c is
/// (waist − c)² + (u − c)² = 2 (m − c)² + (waist − u)² / 2. The last term does not depend on c, so that
/// [`best_sizes`](crate::size_search::best_sizes) of the values m is optimal. For every number of sizes the best drop
/// is the mean of hip − waist, which minimises the sum of (waist − u)² and otherwise only shifts every m.
///
/// **[`Loss::Within`].** A size with waist c serves a person if c is at least max(waist, u) − tolerance, and at most
/// min(waist, u) + tolerance: an interval. [`Loss::WithinBounds`] gives an interval, too. Stabbing the most of these
/// intervals by k points is solved by a dynamic programme, in `O(n log n + sizes × m²)` for n people and m distinct
/// upper ends. If no size with this drop can serve anybody, the sizes are those of the least squared loss, and the loss
/// is 1.
///
/// # Errors
/// All [`Problems`]: the problems of [`best_chart`](crate::size_search::best_chart), a drop outside −100 to 100 cm,
/// [`Loss::Absolute`] or [`Loss::LogBand`], or, for a tolerance, more than 4,000 distinct upper ends. Rounding the
/// girths to millimetres makes fewer ends distinct.
///
/// ```
/// use kirtle::size_search::{Loss, best_chart_fixed_drop};
///
/// let (waist, hip) = ([70.0, 72.0, 80.0, 82.0], [95.0, 97.0, 105.0, 107.0]);
/// let best = best_chart_fixed_drop(&waist, &hip, None, 25.0, 2, &Loss::Squared)?;
/// assert_eq!((best.sizes[0].waist, best.sizes[0].hip, best.sizes[1].waist), (71.0, 96.0, 81.0));
/// assert_eq!((best.loss, best.gap()), (2.0, 0.0));
///
/// let problems = best_chart_fixed_drop(&waist, &hip, None, 25.0, 2, &Loss::Absolute).unwrap_err();
/// assert_eq!(problems.to_string(), "loss: absolute is not squared or within");
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn best_chart_fixed_drop(
    waist: &[f64],
    hip: &[f64],
    weights: Option<&[f64]>,
    drop: f64,
    sizes: usize,
    loss: &Loss,
) -> Result<BestChart, Problems> {
    let columns = ComparedPeople { waist, hip, weights, groups: &[] };
    let unknown = || Problem::new(Code::UnknownChoice, "loss").with_value(loss.name()).with_limit("squared or within");
    let unknown = matches!(loss, Loss::Absolute | Loss::LogBand(_)).then(unknown);
    let problems = DROP_FIELD.range_problem("", drop, Unit::Cm).into_iter().chain(unknown);
    SearchInput::new(columns, sizes, loss, &SearchSettings::default(), problems)?;
    let people = || columns.people_in_search_coordinates(loss);
    let mut centres = Vec::new();
    if let Some([waist_max, hip_max]) = loss.max_served_differences() {
        let ends = |[waist, hip]: WaistHip| {
            let by_hip = hip - drop;
            [(waist - waist_max).max(by_hip - hip_max), (waist + waist_max).min(by_hip + hip_max)]
        };
        let intervals = people().map(|(person, weight)| (ends(person), weight));
        centres = points_stabbing_most_weight(intervals.collect(), sizes)?;
    }
    if centres.is_empty() {
        let midpoints: Vec<f64> = people().map(|([waist, hip], _)| f64::midpoint(waist, hip - drop)).collect();
        let sorted = sort_and_merge_girths(&midpoints, weights, loss)?;
        Problems::ok_if_empty(table_cell_count_problem("waist", sorted.len(), sizes, loss))?;
        centres = optimal_centres(&sorted, sizes, &Loss::Squared)?;
    }
    let centres = centres.into_iter().map(|centre| [centre, centre + drop]).collect();
    let points = WaistHipPoints::merge_people(columns.girths_and_weights_of_people(), loss)?;
    let chart = BestChart::new(&points, centres, loss, 0.0)?;
    Ok(BestChart { bound: chart.loss, ..chart })
}

/// Maximum number of distinct upper ends of the intervals to stab; the work grows with the square of the number.
const MAX_DISTINCT_UPPER_INTERVAL_ENDS: usize = 4000;

/// Returns at most `sizes` points, descending, that stab (lie in) intervals of the most weight: exactly, by a dynamic
/// programme. An interval has a lower
/// end, an upper end and a weight; an interval with the upper end below the lower end is empty and never stabbed.
///
/// Some optimum has every point at an upper end, because moving a point up to the next upper end leaves no interval.
/// Let `F(k, j)` be the maximum weight of the intervals stabbed by `k` points of which end `j` is the last. Then
/// `F(k, j)` is the maximum over ends i < j of `F(k − 1, i)` plus the weight of the intervals that contain `j` but not
/// `i`. An interval that contains `j` and an earlier point also contains `i`, because `i` lies between both points.
fn points_stabbing_most_weight(mut intervals: Vec<([f64; 2], f64)>, sizes: usize) -> Result<Vec<f64>, Problems> {
    intervals.retain(|([min, max], weight)| *weight > 0.0 && *min <= max + EQUALITY_TOLERANCE_CM);
    let mut ends: Vec<f64> = intervals.iter().map(|([_, max], _)| *max).collect();
    ends.sort_unstable_by(f64::total_cmp);
    ends.dedup_by(|next, kept| *next <= *kept + EQUALITY_TOLERANCE_CM);
    let problem = Problem::too_many_problem("waist", ends.len(), MAX_DISTINCT_UPPER_INTERVAL_ENDS, "distinct girths");
    Problems::ok_if_empty(problem)?;
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
