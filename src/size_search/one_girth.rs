//! Best sizes by one girth: the k sizes with the least mean loss, proven optimal, by two dynamic programmes; and the
//! optimal centre of one size, the girth that minimises the total loss of a run of people.

use super::loss::{LogBand, Loss, index_and_least_loss};
use super::points::{PrefixSums, sort_and_merge_girths};
use super::size_constraints::{Reach, SizeConstraints};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, SAMPLING_WEIGHT_FIELD, Unit};
use crate::interrupt::{Stoppable, count_interruptible_work};

const SIZE_COUNT_FIELD: Field = Field::new("sizes", "", FieldKind::Ratio, (1.0, 100.0));

/// Maximum of distinct values × sizes, at which the table of the dynamic programme takes half a gigabyte.
const MAX_VALUES_TIMES_SIZES: usize = 100_000_000;

/// Maximum of distinct values × sizes for [`Loss::LogBand`], which finds every centre by iteration.
const MAX_LOG_BAND_VALUES_TIMES_SIZES: usize = 2_000_000;

/// Sizes by one girth that together have the least mean loss, with the value of the mean loss.
#[derive(Clone, Debug, PartialEq)]
pub struct BestSizes {
    /// Sizes in ascending order: at most the requested number, fewer if more sizes do not lower the loss.
    pub sizes: Vec<BestSize>,
    /// Weighted mean loss of the values, in the unit of the [`Loss`]; each value is in the size with the least loss.
    pub loss: f64,
}

/// One size by one girth, and statistics of the people assigned to the size. Each person is assigned to the size with
/// the least loss; ties go to the nearer size, then to the larger size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BestSize {
    /// Girth of the size, in centimetres.
    pub centre: f64,
    /// Smallest girth assigned to the size, in centimetres; NaN if no girth is assigned.
    pub min: f64,
    /// Largest girth assigned to the size, in centimetres; NaN if no girth is assigned.
    pub max: f64,
    /// Share of the people assigned to the size, by weight, from 0 to 1.
    pub share: f64,
}

/// Finds the k sizes by one girth with the least mean loss: exactly optimal, apart from rounding.
///
/// The cost for n distinct values is `O(sizes × n × log n)`, and `O(sizes × n)` for [`Loss::Within`]. Each value has
/// one weight; without `weights`, every weight is 1. A value of weight 0 has no effect.
///
/// # Errors
/// All [`Problems`]: sizes outside 1 to 100, a loss parameter out of range, no values, a value outside −10⁶ to 10⁶ cm
/// ([`Loss::LogBand`]: 10⁻³ to 10⁶ cm), a weight outside 0 to 10⁹, no weight above 0, a number of weights that differs
/// from the number of values, [`Loss::WithinBounds`], or distinct values × sizes above 10⁸ ([`Loss::LogBand`]: 2 ×
/// 10⁶). Rounding the values to millimetres reduces the number of distinct values.
///
/// ```
/// use kirtle::size_search::{Loss, best_sizes};
///
/// let best = best_sizes(&[70.0, 71.0, 72.0, 90.0, 94.0], None, 2, &Loss::Squared)?;
/// assert_eq!(best.sizes.iter().map(|size| size.centre).collect::<Vec<_>>(), [71.0, 92.0]);
/// assert_eq!(best.loss, (1.0 + 0.0 + 1.0 + 4.0 + 4.0) / 5.0);
///
/// let best = best_sizes(&[70.0, 71.0, 72.0, 90.0, 94.0], None, 1, &Loss::Within(1.0))?;
/// assert_eq!((best.sizes[0].centre, best.loss), (71.0, 0.4));
///
/// let problems = best_sizes(&[], None, 0, &Loss::Within(-1.0)).unwrap_err();
/// assert_eq!(
///     problems.to_string(),
///     "sizes: 0 is below the minimum of 1\n\
///      loss.within: -1 cm is below the minimum of 0 cm\n\
///      values: 0 numbers are given, at least 1 number needed"
/// );
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn best_sizes(values: &[f64], weights: Option<&[f64]>, sizes: usize, loss: &Loss) -> Result<BestSizes, Problems> {
    let by_two_girths = || Problem::new(Code::Conflict, "bounds").with_limit("sizes by one girth");
    let problems = size_count_and_loss_problems(sizes, loss)
        .into_iter()
        .chain(matches!(loss, Loss::WithinBounds(_)).then(by_two_girths))
        .chain(first_problem_of_girths("values", values, loss))
        .chain(weight_problems(weights, values.len()));
    Problems::ok_if_empty(problems)?;
    let sorted = sort_and_merge_girths(values, weights, loss)?;
    Problems::ok_if_empty(table_cell_count_problem("values", sorted.len(), sizes, loss))?;
    Ok(BestSizes::of_sorted_values(&sorted, sizes, loss)?)
}

/// Returns the problems of the requested number of sizes and of the loss parameters.
pub(super) fn size_count_and_loss_problems(sizes: usize, loss: &Loss) -> Vec<Problem> {
    let sizes = SIZE_COUNT_FIELD.range_problem("", sizes as f64, Unit::Cm);
    sizes.into_iter().chain(loss.loss_parameter_problems()).collect()
}

/// Returns a problem if there are no girths, or the problem of the first girth out of range.
pub(super) fn first_problem_of_girths(field: &str, values: &[f64], loss: &Loss) -> Option<Problem> {
    if values.is_empty() {
        return Some(Problem::new(Code::TooFew, field).with_value("0 numbers").with_limit("1 number"));
    }
    let min = if matches!(loss, Loss::LogBand(_)) { 1e-3 } else { -1e6 };
    Field::new("", "", FieldKind::Length, (min, 1e6)).first_range_problem(field, values)
}

/// Returns the problems of the weights: their number is not `person_count`, one is out of range, or none is above 0.
pub(super) fn weight_problems(weights: Option<&[f64]>, person_count: usize) -> Vec<Problem> {
    let Some(weights) = weights else { return Vec::new() };
    let length = Problem::numbers_per_person_problem("weights", weights.len(), person_count);
    let range = SAMPLING_WEIGHT_FIELD.first_range_problem("weights", weights);
    let too_few =
        || Problem::new(Code::TooFew, "weights").with_value("0 numbers above 0").with_limit("1 number above 0");
    let none = (person_count > 0 && weights.iter().all(|weight| *weight == 0.0)).then(too_few);
    [length, range, none].into_iter().flatten().collect()
}

/// Returns a problem if distinct values × sizes exceed the maximum for the table of the dynamic programme.
pub(super) fn table_cell_count_problem(field: &str, values: usize, sizes: usize, loss: &Loss) -> Option<Problem> {
    let is_band = matches!(loss, Loss::LogBand(_));
    let max = if is_band { MAX_LOG_BAND_VALUES_TIMES_SIZES } else { MAX_VALUES_TIMES_SIZES };
    Problem::too_many_problem(field, values * sizes, max, "table cells (distinct girths × sizes)")
}

/// Returns the centres, ascending and in search coordinates (cm or ln cm), of the `sizes` sizes with the least mean loss
/// of the sorted values.
pub(super) fn optimal_centres(sorted: &[(f64, f64)], sizes: usize, loss: &Loss) -> Stoppable<Vec<f64>> {
    if let Some([reach, _]) = SizeConstraints::default().reach_in_each_girth(loss) {
        return max_coverage_interval_centres(sorted, reach, sizes);
    }
    if sorted.len() <= sizes {
        return Ok(sorted.iter().map(|(value, _)| *value).collect());
    }
    best_run_centres(&PrefixSums::new(sorted), loss, sizes)
}

impl BestSizes {
    /// Finds the best sizes of sorted values, and assigns each value to the centre with the least loss; computes range
    /// and share of each size and the mean loss.
    pub(super) fn of_sorted_values(sorted: &[(f64, f64)], sizes: usize, loss: &Loss) -> Stoppable<Self> {
        let centres = optimal_centres(sorted, sizes, loss)?;
        let total: f64 = sorted.iter().map(|(_, weight)| weight).sum();
        let empty = BestSize { centre: 0.0, min: f64::NAN, max: f64::NAN, share: 0.0 };
        let size = |centre: &f64| BestSize { centre: loss.girth_from_search_coordinate(*centre), ..empty };
        let mut best = Self { sizes: centres.iter().map(size).collect(), loss: 0.0 };
        for (value, weight) in sorted {
            count_interruptible_work(centres.len())?;
            let loss_and_distance = |centre: &f64| (loss.loss_of_difference(value - centre), (value - centre).abs());
            let (assigned, min) = index_and_least_loss(centres.iter().map(loss_and_distance));
            best.loss += weight * min;
            let size = &mut best.sizes[assigned];
            let girth = loss.girth_from_search_coordinate(*value);
            size.share += weight;
            // `min` and `max` return the number if the other operand is NaN.
            (size.min, size.max) = (size.min.min(girth), size.max.max(girth));
        }
        best.loss /= total;
        best.sizes.iter_mut().for_each(|size| size.share /= total);
        Ok(best)
    }
}

/// Returns the centres, ascending, of at most `sizes` intervals of equal reach that together cover the most weight.
///
/// Maximal coverage on a line: k intervals of one width that contain the most weight, solved exactly by a dynamic
/// programme. Maximal covering after Church and `ReVelle` (1974).
///
/// Some optimum has every interval start at a value, because moving an interval up to its lowest covered value loses
/// nothing. Let `F(k, i)` be the maximum weight that `k` intervals cover among the values from index `i` on. Then `F(k,
/// i)` is the larger of `F(k, i + 1)`, where value `i` stays uncovered, and `F(k − 1, end)` plus the weight of the
/// interval from `i` to `end`. The cost is `O(k × n)` for n values. If centres lie on a grid, the interval that serves
/// value `i` and reaches highest takes the place of the interval that starts at the value.
pub(super) fn max_coverage_interval_centres(sorted: &[(f64, f64)], reach: Reach, sizes: usize) -> Stoppable<Vec<f64>> {
    let count = sorted.len();
    // For each value, the index after the last value that one interval contains with it; its own index if none.
    let end = |(index, (lowest, _)): (usize, &(f64, f64))| {
        let highest = reach.highest_girth_served_with(*lowest);
        sorted.partition_point(|(value, _)| *value <= highest).max(index)
    };
    let ends: Vec<usize> = sorted.iter().enumerate().map(end).collect();
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
        centres.push(reach.centre_serving_girth_range(sorted[index].0, sorted[ends[index] - 1].0));
        index = ends[index];
    }
    Ok(centres)
}

/// Divides all values into at most `sizes` runs of least total cost; returns each run's centre.
///
/// Optimal partition of ascending values into k runs: an exact dynamic programme by divide and conquer.
///
/// Let `cost(i, j)` be the least cost of the values `i..j` in one size, and `F(k, j)` the least cost of the first `j`
/// values in at most `k` runs. Then `F(k, j)` is the minimum of `F(k − 1, i) + cost(i, j)` over the start `i` of the
/// last run.
///
/// For a loss that is convex in the difference of value and centre, `cost` satisfies the quadrangle inequality `cost(a,
/// c) + cost(b, d) ≤ cost(a, d) + cost(b, c)` for a ≤ b ≤ c ≤ d. Proof: let p be the best centre of (a, d) and q the
/// best centre of (b, c), with p ≤ q; the case p > q is the mirror image. Assign centre p to (a, c) and centre q to (b,
/// d). Compared with the right-hand side, only the values from c to d change centre, from p to q. Loss from p minus
/// loss from q grows with the value, by convexity. Its sum over (b, c) is at least zero, because q is optimal there.
/// Hence it is at least zero for every value beyond c.
///
/// By the inequality the best `i` never decreases as `j` grows (Yao 1980). Solving the middle `j` of a range first
/// therefore bounds the starts of both halves: `O(k × n × log n)` cost evaluations for n values instead of `O(k × n²)`.
///
/// Runs are sufficient: loss from one centre minus loss from a larger centre grows with the value, so that the people
/// of one size are consecutive.
fn best_run_centres(sums: &PrefixSums, loss: &Loss, sizes: usize) -> Stoppable<Vec<f64>> {
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

/// Solver for the optimal centre of a run of consecutive sorted values: the centre with the least cost, which is the
/// sum of weight × loss. Values and centres are search coordinates (cm or ln cm), minus the mean of all values.
pub(super) enum CentreSolver {
    /// For squared loss: the centre is the weighted mean, the cost the weighted sum of squared deviations.
    Squared,
    /// For absolute loss: the centre is the weighted median, the cost the weighted sum of absolute deviations. Holds
    /// the index of the median of the previous call.
    Absolute { last_median: usize },
    /// For the loss of a logarithmic band: the centre is the zero of the cost's derivative. Holds the centre that the
    /// previous call found by iteration.
    LogBand { band: LogBand, last_centre: f64 },
}

impl CentreSolver {
    /// Creates the solver for a loss without tolerance. No search has a loss with tolerance here; it would get the
    /// solver for absolute loss.
    pub(super) fn new(loss: &Loss) -> Self {
        match *loss {
            Loss::Squared => Self::Squared,
            Loss::LogBand(band) => Self::LogBand { band, last_centre: 0.0 },
            _ => Self::Absolute { last_median: 0 },
        }
    }

    /// Returns the optimal centre of the run `from..to`, and the run's cost, which is the sum of weight × loss.
    /// Successive calls with ascending `from` and equal `to` are fastest, because a solver may start from its previous
    /// centre.
    #[inline]
    pub(super) fn optimal_centre_and_cost(&mut self, sums: &PrefixSums, from: usize, to: usize) -> (f64, f64) {
        match self {
            Self::Squared => {
                let [weight, sum, squares] = sums.of_run(from, to);
                let mean = sum / weight;
                (mean, (squares - sum * mean).max(0.0))
            }
            Self::Absolute { last_median } => {
                let median = sums.weighted_median_index(from, to, *last_median);
                *last_median = median;
                let centre = sums.values[median];
                let ([below, below_sum, _], [above, above_sum, _]) =
                    (sums.of_run(from, median), sums.of_run(median, to));
                (centre, (centre * below - below_sum + (above_sum - centre * above)).max(0.0))
            }
            Self::LogBand { band, last_centre } => band.optimal_centre_and_cost(sums, (from, to), last_centre),
        }
    }
}

/// Maximum number of Newton iterations for one centre: every fourth halves the bracket, and 60 halvings are enough.
const MAX_CENTRE_NEWTON_ITERATIONS: u32 = 240;

impl LogBand {
    /// Returns the optimal centre of a run, and the run's cost, by Newton's method inside a bracket.
    ///
    /// The derivative of the cost is increasing and piecewise linear in the centre, with a knot wherever a value enters
    /// or leaves the band. A Newton step that ends on its own linear piece is exact. Bisection replaces a step that
    /// leaves the bracket and every fourth step, so that the iteration converges. The iteration starts at `last`, the
    /// centre of the previous iteration, and then sets `last` to the new centre.
    fn optimal_centre_and_cost(&self, sums: &PrefixSums, (from, to): (usize, usize), last: &mut f64) -> (f64, f64) {
        let (mut min, mut max) = (sums.values[from] + self.large, sums.values[to - 1] - self.small);
        if max <= min {
            // The band of every centre from `max` to `min` contains the whole run.
            return (f64::midpoint(min, max), 0.0);
        }
        // Sums over the values of the run that are too large, and over those too small, for a size at a centre.
        let outside_band = |centre: f64| {
            let run = &sums.values[from..to];
            let low = from + run.partition_point(|value| *value < centre - self.large);
            let high = from + run.partition_point(|value| *value <= centre + self.small);
            [sums.of_run(high, to), sums.of_run(from, low)]
        };
        *last = last.clamp(min, max);
        for iteration in 1..=MAX_CENTRE_NEWTON_ITERATIONS {
            let [[small, small_sum, _], [large, large_sum, _]] = outside_band(*last);
            let pull_up = self.small_weight * (small_sum - self.small * small);
            let pull_down = self.large_weight * (large_sum + self.large * large);
            let next = (pull_up + pull_down) / (self.small_weight * small + self.large_weight * large);
            if (next - *last).abs() < 1e-15 {
                *last = next;
                break;
            }
            (min, max) = if next > *last { (*last, max) } else { (min, *last) };
            let is_newton = min < next && next < max && iteration % 4 != 0;
            *last = if is_newton { next } else { f64::midpoint(min, max) };
        }
        // Sum of weight × (value − edge)².
        let squared_excess =
            |[weight, sum, squares]: [f64; 3], edge: f64| (squares - 2.0 * edge * sum + edge * edge * weight).max(0.0);
        let ([small, large], centre) = (outside_band(*last), *last);
        let small = self.small_weight * squared_excess(small, centre + self.small);
        (centre, small + self.large_weight * squared_excess(large, centre - self.large))
    }
}
