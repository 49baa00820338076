//! Best chart by waist and hip, and best chart by draft, whose sizes' drafts lie near the people's own drafts: heuristic
//! searches for k sizes with a small mean loss, and proven lower bounds.

use std::array;
use std::cmp::Ordering;
use std::collections::BTreeSet;

use super::chart_search::{ChartSearch, SearchInput};
use super::fixed_drop_or_steps::best_chart_fixed_drop;
use super::listed_sizes::{PeopleOfList, best_chart_of_listed_sizes, grid_multiples, grid_range, search_listed_sizes};
use super::lloyd::best_lloyd_centres;
use super::loss::Loss;
use super::median_bound::median_bound_and_multipliers;
use super::points::{ComparedPeople, WaistHip, WaistHipPoints, girth_ranges};
use super::size_constraints::SearchSettings;
use super::squares::best_square_midpoints;
use crate::body::{Body, Ease, Rules};
use crate::draft::draft;
use crate::error::{Code, Problem, Problems};
use crate::interrupt::{Stoppable, count_interruptible_work, map_in_threads};
use crate::sizes::{SewingPoints, Size, SizeChart, rms_distance};

/// Chart that a search found: at most k sizes with a small mean loss, and a lower bound on the mean loss of every chart
/// of k sizes.
#[derive(Clone, Debug, PartialEq)]
pub struct BestChart {
    /// Sizes sorted by waist + hip, as in a [`SizeChart`], then by hip and hip depth. A size with a larger hip may have a
    /// smaller waist.
    pub sizes: Vec<BestChartSize>,
    /// Weighted mean loss over the people, in the unit of the [`Loss`]; each person is in the size with the least loss
    /// for that person.
    pub loss: f64,
    /// Lower bound, proven apart from rounding, on the mean loss of every chart with the requested number of sizes, and
    /// with the requested drop or constraints, if any.
    pub bound: f64,
    /// Certificate of the bound, if [`SearchSettings::certify`] is set: cases, to one of which every chart belongs.
    /// Empty if the chart is exactly optimal or has no loss, or if the time limit left no time for the certificate.
    pub certificate: Vec<BoundProofCase>,
}

/// One case of the proof of a bound: the charts that serve some people and leave out others.
///
/// Only the bound for a loss with a tolerance has several cases. A further person splits a case into two: the charts of
/// one case serve this person, and the charts of the other case leave the person out.
#[derive(Clone, Debug, PartialEq)]
pub struct BoundProofCase {
    /// People by whom the case was split, in order of the splits: the index of a person, and whether the charts of the
    /// case serve this person and all people with equal girths.
    pub fixed: Vec<(usize, bool)>,
    /// Lagrange multiplier u of each person.
    ///
    /// For a tolerance, u is from 0 to 1; for people whom the case serves, at least 0. A chart of the case serves at
    /// most Σ w (1 − u) people plus k times the greatest Σ w u over the people whom one size serves, with the weight w
    /// of each person; people left out do not count. For any other loss, u has the unit of the loss. A chart has at
    /// least the loss Σ w u plus k times the least Σ w min(0, ℓ − u) of any size, where ℓ is a person's loss in that
    /// size.
    ///
    /// With [`SizeConstraints`](super::SizeConstraints), *any size* is any allowed size, and k counts the sizes that
    /// are not fixed. With numbers of sizes by drop, the bound has such a term for each drop. The u of a person whom a fixed size serves is 0; for any other loss, u is at most the person's
    /// loss in a fixed size.
    pub multipliers: Vec<f64>,
}

/// One size by waist and hip, and the share of people assigned to the size. Each person is assigned to the size with
/// the least loss; ties go to the nearer size, then to the later size of the chart.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct BestChartSize {
    /// Waist girth of the size, in centimetres.
    pub waist: f64,
    /// Hip girth of the size, in centimetres.
    pub hip: f64,
    /// Hip depth of the size, in centimetres; `None` unless the loss depends on the hip depth.
    pub hip_depth: Option<f64>,
    /// Share of the people assigned to the size, by weight, from 0 to 1.
    pub share: f64,
    /// Share of the people, by weight, who are assigned to the size and have no loss in it, from 0 to 1: for a loss
    /// with a tolerance, the people whom the size serves.
    pub share_without_loss: f64,
}

/// Searches for the chart of k sizes by waist and hip with the least mean loss; computes a lower bound on that loss.
///
/// `weights` are sampling weights, one for each person, from 0 to 10⁹; without them every person has the weight 1.
/// Means and shares are weighted; a person of weight 0 has no effect.
///
/// The search is a heuristic: it returns the best chart of several seeded starts, and [`BestChart::gap`] limits the
/// distance to the optimum. A tolerance uses maximal coverage by axis-parallel squares (Church and `ReVelle`
/// 1974), greedily placed and moved one at a time, and starts from the multipliers of the bound. Every other loss
/// uses k-means++ (Arthur and Vassilvitskii 2007) and the Lloyd iteration (Lloyd 1982) with the exact centre of
/// each size. The chart has fewer than k sizes only if fewer have no loss.
///
/// The bound is certified by Lagrangian relaxation: anyone can recompute it from [`BestChart::certificate`]. It most
/// often proves a chart of a tolerance optimal for some hundred people, and is within some percent of other losses.
/// Without certificate the bound is that of one girth: k sizes have at most k waists and k hips, so that the loss in
/// each girth is at least the optimum of [`best_sizes`](super::best_sizes).
///
/// Under [`SearchSettings::constraints`] search and bound cover the charts that satisfy the constraints: the search
/// moves only between allowed girths, the bound is a maximum or minimum over allowed sizes, and people whom a fixed
/// size serves, or who are best off in one, are set aside. With drop classes or a minimum share, the sizes are chosen
/// from a list, by interchange (Teitz and Bart 1968); one drop alone is [`best_chart_fixed_drop`], but for an absolute
/// loss or a band.
///
/// # Errors
/// All [`Problems`]: the problems of [`best_sizes`](super::best_sizes), columns of different lengths, or restarts, step
/// or constraints out of range.
///
/// ```
/// use kirtle::size_search::{Loss, SearchSettings, SizeConstraints, best_chart};
/// use kirtle::survey::Population;
///
/// let women = Population::ansur_women().bodies(1, 0..2000)?;
/// let best = best_chart(&women.waist, &women.hip, None, 6, &Loss::Absolute, &SearchSettings::default())?;
/// assert_eq!(best.sizes.len(), 6);
/// assert!(best.bound < best.loss && best.gap() == best.loss - best.bound);
///
/// let constraints = SizeConstraints { grid: Some(2.0), fixed: vec![(72.0, 96.0)], ..SizeConstraints::default() };
/// let search = SearchSettings { constraints, ..SearchSettings::default() };
/// let even = best_chart(&women.waist, &women.hip, None, 6, &Loss::Absolute, &search)?;
/// assert!(even.sizes.iter().all(|size| size.waist % 2.0 == 0.0 && size.hip % 2.0 == 0.0) && even.loss > best.loss);
///
/// let search = SearchSettings { step: 0.0, ..SearchSettings::default() };
/// let problems = best_chart(&[70.0], &[], None, 6, &Loss::Absolute, &search).unwrap_err();
/// assert_eq!(problems[0].to_string(), "hip: 0 numbers are given, at least 1 number needed");
/// assert_eq!(problems[2].to_string(), "search.step: 0 cm is below the minimum of 0.01 cm");
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn best_chart(
    waist: &[f64],
    hip: &[f64],
    weights: Option<&[f64]>,
    sizes: usize,
    loss: &Loss,
    search: &SearchSettings,
) -> Result<BestChart, Problems> {
    let columns = ComparedPeople { waist, hip, weights, groups: &[] };
    let input = SearchInput::new(columns, sizes, loss, search, [])?;
    if search.constraints.list_sizes() {
        let is_solved_exactly = !matches!(loss, Loss::Absolute | Loss::LogBand(_));
        if let Some(drop) = search.constraints.only_drop().filter(|_| is_solved_exactly) {
            return best_chart_fixed_drop(waist, hip, weights, drop, sizes, loss);
        }
        return best_chart_of_listed_sizes(input);
    }
    let constraints = &search.constraints;
    let search = ChartSearch::new(input)?;
    let centres = match constraints.reach_in_each_girth(loss) {
        _ if search.has_nothing_to_search && search.fixed.is_empty() => {
            vec![constraints.nearest_allowed_girths(loss.search_coordinates_of_person([waist[0], hip[0]]), loss)]
        }
        _ if search.has_nothing_to_search => search.fixed.clone(),
        Some(reach) => [&search.fixed[..], &best_square_midpoints(&search, reach)?].concat(),
        None => best_lloyd_centres(&search)?,
    };
    Ok(BestChart::from_search_centres(search, centres)?)
}

/// Compares waist and hip of sizes, in centimetres, by their sum, as a size chart does, then by hip and by waist.
pub(super) fn compare_girths(a: WaistHip, b: WaistHip) -> Ordering {
    (a[0] + a[1]).total_cmp(&(b[0] + b[1])).then(a[1].total_cmp(&b[1])).then(a[0].total_cmp(&b[0]))
}

impl BestChart {
    /// Creates the result of a search from the sizes' centres in search coordinates (cm or ln cm), with the certificate
    /// if the settings ask for one.
    pub(super) fn from_search_centres(search: ChartSearch, centres: Vec<WaistHip>) -> Stoppable<Self> {
        let SearchInput { columns, loss, settings, .. } = search.input;
        let mut chart = if let Some(open_weights) = &search.open_weights {
            let people = WaistHipPoints::merge_people(columns.girths_and_weights_of_people(), loss)?;
            let [of_all, of_open] = [&people.weights, open_weights].map(|weights| weights.iter().sum::<f64>());
            let out_of_reach = search.out_of_reach.iter().map(|row| columns.weight_of_person(*row)).sum::<f64>();
            Self::new(&people, centres, loss, (search.bound * of_open + out_of_reach) / of_all)?
        } else {
            Self::new(&search.people, centres, loss, search.bound)?
        };
        if search.has_nothing_to_search {
            chart.bound = chart.loss;
        } else if let Some(coverage_bound) = search.coverage_bound {
            chart.certificate = coverage_bound.cases;
            for case in &mut chart.certificate {
                search.out_of_reach.iter().for_each(|row| case.multipliers[*row] = 1.0);
            }
        } else if settings.certify && chart.loss > 0.0 && !search.input.is_out_of_time() {
            let (bound, multipliers) = median_bound_and_multipliers(&search, chart.loss)?;
            chart.bound = chart.bound.max(bound);
            chart.certificate = vec![BoundProofCase { fixed: Vec::new(), multipliers }];
        }
        Ok(chart)
    }

    /// Creates a chart without certificate from the sizes' centres in search coordinates (cm or ln cm): sorts the sizes
    /// and assigns the people.
    pub(super) fn new(people: &WaistHipPoints, mut centres: Vec<WaistHip>, loss: &Loss, bound: f64) -> Stoppable<Self> {
        let girths = |centre: &WaistHip| centre.map(|scaled| loss.girth_from_search_coordinate(scaled));
        centres.sort_by(|a, b| compare_girths(girths(a), girths(b)));
        centres.dedup();
        let (assigned, _) = people.assignments_and_mean_loss(&centres, loss)?;
        let sizes = centres.iter().map(|centre| (girths(centre), None));
        Ok(Self::from_assigned_points(sizes, assigned.into_iter(), &people.weights, bound))
    }

    /// Creates a chart without certificate from the girths and hip depth of each size, in centimetres, and from the index
    /// of the size and the loss of each point.
    pub(super) fn from_assigned_points(
        sizes: impl Iterator<Item = (WaistHip, Option<f64>)>,
        assigned: impl Iterator<Item = (usize, f64)>,
        weights: &[f64],
        bound: f64,
    ) -> Self {
        let nobody = BestChartSize::default();
        let sizes = sizes.map(|([waist, hip], hip_depth)| BestChartSize { waist, hip, hip_depth, ..nobody });
        let mut sizes: Vec<_> = sizes.collect();
        let (total, mut sum) = (weights.iter().sum::<f64>(), 0.0);
        for ((size, loss), weight) in assigned.zip(weights) {
            sizes[size].share += weight / total;
            sizes[size].share_without_loss += if loss == 0.0 { weight / total } else { 0.0 };
            sum += loss * weight;
        }
        Self { sizes, loss: sum / total, bound, certificate: Vec::new() }
    }

    /// Returns loss minus bound, at least 0, in the unit of the [`Loss`]: the optimal chart has a mean loss that is
    /// lower by at most this gap.
    pub fn gap(&self) -> f64 {
        // Rounding can put the bound slightly above the loss.
        (self.loss - self.bound).max(0.0)
    }

    /// Converts the sizes to a chart: from the smallest waist + hip, the names are 1, 2, 3 and so on. All sizes get the
    /// given length, and those without a hip depth the given hip depth, in centimetres.
    ///
    /// # Errors
    /// The problems of [`SizeChart::new`]; most often a size with a larger hip but not a larger waist than another.
    ///
    /// ```
    /// use kirtle::size_search::{Loss, best_chart_fixed_drop};
    ///
    /// let best = best_chart_fixed_drop(&[70.0, 72.0, 80.0], &[96.0, 97.0, 105.0], None, 25.0, 2, &Loss::Squared)?;
    /// let chart = best.to_size_chart(20.0, 60.0)?;
    /// assert_eq!((chart.sizes()[1].name.as_str(), chart.sizes()[1].body.hip), ("2", 105.0));
    ///
    /// let problems = best.to_size_chart(20.0, 5.0).unwrap_err();
    /// assert_eq!(problems[0].to_string(), "sizes[0].length: 5 cm is below the minimum of 15 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn to_size_chart(&self, hip_depth: f64, length: f64) -> Result<SizeChart, Problems> {
        let size = |(size, name): (&BestChartSize, u32)| Size {
            name: name.to_string(),
            body: Body { waist: size.waist, hip: size.hip, hip_depth: size.hip_depth.unwrap_or(hip_depth), length },
        };
        SizeChart::new(self.sizes.iter().zip(1..).map(size).collect())
    }
}

/// Length of the drafts below the hip line, in centimetres; drafts are compared above the hip line only.
const LENGTH_BELOW_HIP_LINE_CM: f64 = 10.0;

/// Work of a draft, in units of a few nanoseconds.
const WORK_PER_DRAFT: usize = 5_000;

/// Returns the compared points of the draft of a body.
fn sewing_points([waist, hip]: WaistHip, hip_depth: f64, ease: &Ease, rules: &Rules) -> Result<SewingPoints, Problems> {
    let body = Body { waist, hip, hip_depth, length: hip_depth + LENGTH_BELOW_HIP_LINE_CM };
    Ok(draft(&body, ease, rules)?.sewing_points())
}

/// Chart whose sizes' drafts lie near the people's own drafts.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartByDraft {
    /// Best chart found; each size has a hip depth.
    pub best: BestChart,
    /// Index of each person whose own draft is refused, with the problems. These people have no effect on the chart, nor
    /// have people of weight 0.
    pub refused: Vec<(usize, Problems)>,
}

/// Searches for the chart of k sizes by waist, hip and hip depth whose drafts lie nearest to the people's own drafts:
/// the sizes that are altered least. The loss of a person is [`Draft::distance_to`](crate::Draft::distance_to), in
/// centimetres, from the size's draft.
///
/// `people` need a hip depth each. The waist of a size is a multiple of the grid, by default of 1 cm; so is its hip,
/// unless it follows from a drop. Its hip depth is a multiple of half the grid. Each size has a person in one of the
/// eight cells of the grid around it. A size whose draft is refused is not allowed. Sizes are chosen from the list of all by interchange (Teitz and Bart 1968); the bound is that
/// of the p-median problem over the list. Drop classes and a minimum share hold as for
/// [`best_chart`](super::best_chart).
///
/// # Errors
/// All [`Problems`]: those of [`best_chart`](super::best_chart); fixed sizes, which have no hip depth; the problems
/// of the first person if nobody's draft is accepted.
///
/// ```
/// use kirtle::size_search::{ComparedPeople, SearchSettings, best_chart_by_draft};
/// use kirtle::{Ease, Rules};
///
/// let people = ComparedPeople { waist: &[70.0, 72.0, 80.0], hip: &[96.0, 97.0, 105.0], ..ComparedPeople::default() };
/// let (depths, ease, search) = ([20.0, 20.0, 22.0], Ease { waist: 1.5, hip: 5.0 }, SearchSettings::default());
/// let best = best_chart_by_draft(&people, &depths, 2, &ease, &Rules::default(), &search)?.best;
/// assert_eq!(best.sizes.iter().map(|size| size.hip_depth).collect::<Vec<_>>(), [Some(20.0), Some(22.0)]);
/// assert!(best.bound <= best.loss && best.loss < 0.3);
///
/// let problems = best_chart_by_draft(&people, &depths[..2], 2, &ease, &Rules::default(), &search).unwrap_err();
/// assert_eq!(problems.to_string(), "hip_depth: 2 numbers are given, at least 3 numbers (one per person) needed");
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[allow(clippy::cast_possible_truncation)]
pub fn best_chart_by_draft(
    people: &ComparedPeople,
    hip_depth: &[f64],
    sizes: usize,
    ease: &Ease,
    rules: &Rules,
    search: &SearchSettings,
) -> Result<ChartByDraft, Problems> {
    let length = Problem::numbers_per_person_problem("hip_depth", hip_depth.len(), people.waist.len());
    let fixed = || Problem::new(Code::Conflict, "fixed").with_limit("a loss by draft");
    let fixed = (!search.constraints.fixed.is_empty()).then(fixed);
    let input = SearchInput::new(*people, sizes, &Loss::Absolute, search, length.into_iter().chain(fixed))?;
    let girths: Vec<_> = people.girths_and_weights_of_people().collect();
    let of_person = |row: usize| {
        count_interruptible_work(WORK_PER_DRAFT)?;
        Ok(Some(sewing_points(girths[row].0, hip_depth[row], ease, rules)))
    };
    let (mut own, mut refused) = (Vec::new(), Vec::new());
    for (row, drafted) in map_in_threads(girths.len(), of_person)?.into_iter().flatten().enumerate() {
        match drafted {
            Ok(points) if girths[row].1 > 0.0 => own.push((row, points)),
            Ok(_) => {}
            Err(problems) => refused.push((row, problems)),
        }
    }
    let rows: Vec<usize> = own.iter().map(|(row, _)| *row).collect();
    if let Some((_, problems)) = refused.first().filter(|_| rows.is_empty()) {
        return Err(problems.clone());
    }
    let losses_in_size = |size: WaistHip, hip_depth: f64| {
        let of_size = sewing_points(size, hip_depth, ease, rules).ok()?;
        Some(own.iter().map(|(_, of_person)| rms_distance(of_person, &of_size)).collect())
    };
    let grid = search.constraints.grid_of_list();
    let [depths, _] = girth_ranges(rows.iter().map(|row| [hip_depth[*row]; 2]));
    // Cells of the grid in which people are; a size stands at a corner of one of them.
    let in_steps = |[waist, hip]: WaistHip, hip_depth: f64| [waist, hip, 2.0 * hip_depth].map(|length| length / grid);
    let cell = |row: &usize| in_steps(girths[*row].0, hip_depth[*row]).map(|steps| steps.floor() as i64);
    let cells: BTreeSet<[i64; 3]> = rows.iter().map(cell).collect();
    let is_allowed = |size: WaistHip, hip_depth: f64| {
        let size = in_steps(size, hip_depth).map(|steps| steps.round() as i64);
        (0..8).any(|corner| cells.contains(&array::from_fn(|k| size[k] - (corner >> k & 1))))
    };
    let depths = grid_range(depths, grid / 2.0);
    let hip_depths = |size| grid_multiples(depths, grid / 2.0).filter(|depth| is_allowed(size, *depth)).collect();
    let list = PeopleOfList {
        input,
        points: &WaistHipPoints::of_unmerged_people(rows.iter().map(|row| girths[*row])),
        point_of_person: (0..girths.len()).map(|row| rows.binary_search(&row).ok()).collect(),
        hip_depths: &hip_depths,
        losses_in_size: &losses_in_size,
    };
    Ok(ChartByDraft { best: search_listed_sizes(&list)?, refused })
}
