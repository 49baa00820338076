//! Best charts with a fixed drop (hip minus waist), proven optimal, or with fixed steps in waist and hip from each size to
//! the next. With a fixed drop, waist and hip always grow together. With fixed steps, waist and hip of the smallest size
//! decide the chart; a heuristic searches for them.

use super::chart::BestChart;
use super::chart_search::{ChartSearch, SearchInput};
use super::loss::Loss;
use super::one_girth::{optimal_centres, table_cell_count_problem};
use super::points::{ComparedPeople, WaistHip, WaistHipPoints, girth_ranges, sort_and_merge_girths};
use super::size_constraints::{DROP_FIELD, DropClasses, SearchSettings, SizeConstraints};
use crate::error::{Code, Problem, Problems};
use crate::field::{EQUALITY_TOLERANCE_CM, Field, FieldKind, Unit};
use crate::interrupt::{Stoppable, count_interruptible_work};

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

/// Waist or hip of a size minus that of the next smaller size.
const SIZE_STEP_FIELD: Field = Field::new("", "", FieldKind::Length, (0.1, 50.0));

/// Number of random charts evaluated in each start; the pattern search improves the best of them.
const RANDOM_CHARTS_PER_START: usize = 20;

const FINAL_SEARCH_STEP_CM: f64 = 0.001;

/// Fixed differences in waist and in hip from each size of a chart to the next larger size, in centimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SizeSteps {
    /// Waist of the larger of two consecutive sizes minus waist of the smaller: from 0.1 to 50 cm.
    pub waist: f64,
    /// Hip of the larger of two consecutive sizes minus hip of the smaller: from 0.1 to 50 cm.
    pub hip: f64,
}

/// Searches for the chart of k sizes with fixed steps in waist and hip that has the least mean loss. The unknown is the
/// smallest size.
///
/// The search is a heuristic. Each start evaluates 20 random charts with the middle in the range of the girths, and
/// improves the best by pattern search (after Hooke and Jeeves 1961) on the search grid. A final pattern search uses
/// the unrounded girths, down to a step of 0.01 mm. The bound is the bound of
/// [`best_chart`](crate::size_search::best_chart), which holds for every chart.
///
/// # Errors
/// All [`Problems`]: the problems of [`best_chart`](crate::size_search::best_chart), steps outside 0.1 to 50 cm, and
/// constraints on the sizes.
///
/// ```
/// use kirtle::size_search::{SizeSteps, Loss, SearchSettings, best_chart_fixed_steps};
/// use kirtle::survey::Population;
///
/// let women = Population::ansur_women().bodies(1, 0..2000)?;
/// let (waist, hip, search) = (&women.waist, &women.hip, SearchSettings::default());
/// let steps = SizeSteps { waist: 4.0, hip: 4.0 };
/// let best = best_chart_fixed_steps(waist, hip, None, steps, 8, &Loss::Within(3.0), &search)?;
/// let [first, second] = [&best.sizes[0], &best.sizes[1]];
/// assert!((second.waist - first.waist - 4.0).abs() < 1e-9 && best.bound <= best.loss);
/// assert!(best.to_size_chart(20.0, 60.0).is_ok());
///
/// let steps = SizeSteps { waist: 0.0, hip: 4.0 };
/// let problems = best_chart_fixed_steps(waist, hip, None, steps, 8, &Loss::Squared, &search).unwrap_err();
/// assert_eq!(problems.to_string(), "steps.waist: 0 cm is below the minimum of 0.1 cm");
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn best_chart_fixed_steps(
    waist: &[f64],
    hip: &[f64],
    weights: Option<&[f64]>,
    steps: SizeSteps,
    sizes: usize,
    loss: &Loss,
    search: &SearchSettings,
) -> Result<BestChart, Problems> {
    let step_problem = |(name, step)| Field { name, ..SIZE_STEP_FIELD }.range_problem("steps.", step, Unit::Cm);
    let problems = [("waist", steps.waist), ("hip", steps.hip)].into_iter().filter_map(step_problem);
    let SizeConstraints { grid, fixed, drops, min_share, .. } = &search.constraints;
    let constraints = [
        ("grid", grid.is_some()),
        ("fixed", !fixed.is_empty()),
        ("drop", *drops != DropClasses::Any),
        ("min_share", *min_share > 0.0),
    ];
    let given = constraints.into_iter().filter(|(_, is_given)| *is_given);
    let problems = problems.chain(given.map(|(name, _)| Problem::new(Code::Conflict, name).with_limit("steps")));
    let columns = ComparedPeople { waist, hip, weights, groups: &[] };
    let search = ChartSearch::new(SearchInput::new(columns, sizes, loss, search, problems)?)?;
    // Sizes are added one at a time where no girth is rounded.
    let (grid_step, first_count) =
        if search.is_rounded { (search.input.settings.step, sizes) } else { (FINAL_SEARCH_STEP_CM, 1) };
    let first_half = (first_count - 1) as f64 / 2.0;
    // Girths that are `count` sizes larger; `count` may be a fraction or negative.
    let larger = |[waist, hip]: WaistHip, count: f64| [waist + count * steps.waist, hip + count * steps.hip];
    // Sizes in search coordinates (cm or ln cm), smallest size first; `first` is the smallest size, in centimetres.
    let centres = |first: WaistHip, count: usize| -> Vec<WaistHip> {
        (0..count).map(|k| larger(first, k as f64).map(|girth| loss.search_coordinate_of_girth(girth))).collect()
    };
    let people = search.input.columns.girths_and_weights_of_people().filter(|(_, weight)| *weight > 0.0);
    let ranges = girth_ranges(people.map(|(girths, _)| girths));
    let widest = ranges.iter().map(|[min, max]| max - min).fold(0.0, f64::max);
    let first = search.best_result_of_restarts(
        |_, rng| {
            let grid_loss = |first: WaistHip, count: usize| search.grid_points.mean_loss(&centres(first, count), loss);
            let mut found = (WaistHip::default(), f64::INFINITY);
            for _ in 0..RANDOM_CHARTS_PER_START {
                let middle = ranges.map(|[min, max]| min + (max - min) * rng.draw_uniform_0_to_1());
                let first = larger(middle, -first_half);
                let candidate = (first, grid_loss(first, first_count)?);
                found = if candidate.1 < found.1 { candidate } else { found };
            }
            let mut step = widest / 20.0;
            for count in first_count..=sizes {
                // The next size is added above the largest or below the smallest.
                let below = larger(found.0, -1.0);
                if count > first_count && grid_loss(below, count)? < grid_loss(found.0, count)? {
                    found.0 = below;
                }
                let loss_of = |first| grid_loss(first, count);
                found = minimise_by_pattern_search(found.0, step.max(grid_step), grid_step, loss_of)?;
                step = steps.waist.max(steps.hip);
            }
            Ok(found)
        },
        |first, _| {
            let loss_of = |first: WaistHip| search.people.mean_loss(&centres(first, sizes), loss);
            minimise_by_pattern_search(first, grid_step, FINAL_SEARCH_STEP_CM, loss_of)
        },
    )?;
    Ok(BestChart::from_search_centres(search, centres(first, sizes))?)
}

/// Minimises a loss over waist and hip by pattern search: moves to the best of eight neighbours while the loss falls,
/// else halves the step, down to `final_step`. Returns waist and hip of the minimum, in centimetres, and the loss.
fn minimise_by_pattern_search(
    mut current: WaistHip,
    mut step: f64,
    final_step: f64,
    loss: impl Fn(WaistHip) -> Stoppable<f64>,
) -> Stoppable<(WaistHip, f64)> {
    const DIRECTIONS: [[f64; 2]; 8] =
        [[-1.0, 0.0], [1.0, 0.0], [0.0, -1.0], [0.0, 1.0], [-1.0, -1.0], [1.0, 1.0], [-1.0, 1.0], [1.0, -1.0]];
    let mut lowest = loss(current)?;
    while step >= final_step {
        let mut best = (lowest, current);
        for [waist, hip] in DIRECTIONS {
            let next = [current[0] + waist * step, current[1] + hip * step];
            let next_loss = loss(next)?;
            best = if next_loss < best.0 { (next_loss, next) } else { best };
        }
        if best.0 >= lowest {
            step /= 2.0;
        }
        (lowest, current) = best;
    }
    Ok((current, lowest))
}
