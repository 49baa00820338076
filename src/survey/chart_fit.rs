//! Assigns each person in a table the best size of a chart, with the ease on the body, and counts by size, by violated
//! ease bound, and by square of the waist-hip plane. A person is *served* by the assigned size if every ease is within
//! its bounds; a person with a missing measurement gets no size. Sixteen people at a time get their sizes. Lengths are
//! centimetres.

use std::collections::BTreeMap;
use std::ops::AddAssign;

use super::ease_bounds::{EaseBounds, bound_violation};
use super::people::{MeanGirths, PeopleColumns, RefusedPeople, accepted_means_and_refusals, share_of_weight};
use crate::body::{Ease, Rules};
use crate::draft::Draft;
use crate::error::{Code, Problem, Problems};
use crate::field::{EQUALITY_TOLERANCE_CM, Field, FieldKind, Unit};
use crate::interrupt::{Stoppable, count_interruptible_work, map_in_threads};
use crate::scalar::{LANE_COUNT, LaneMask, Lanes, Mask, Number, inlined};
use crate::sizes::{Size, SizeChart, SizeRange};

/// Fit of a size chart to people: each person's assigned size, and the numbers of people served and unserved.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ChartFit {
    /// Each person's assigned size and ease, in the order of the people; `None` for an unmeasured person.
    pub by_person: Vec<Option<AssignedSize>>,
    /// Number of people without a size, because a measurement or the weight is missing or out of range.
    pub unmeasured: usize,
    /// Number and mean girths of the people without a size, for each pair of a column at fault and an error code.
    pub refused: Vec<RefusedPeople>,
    /// Mean waist and mean hip of the people with a size; compare the means in [`refused`](Self::refused).
    pub accepted: MeanGirths,
    /// Number of people served by the assigned size: the ease at every judged girth is within the bounds.
    pub served: usize,
    /// For each size, in the order of the chart: numbers of people assigned to the size and served by the size.
    pub loads: Vec<AssignedAndServedCounts>,
    /// Number of people at each violated ease bound of their assigned size.
    pub unserved: UnservedCounts,
    /// Sum of the weights of the people at each violated ease bound of their assigned size.
    pub unserved_weight: UnservedCounts<f64>,
    /// Whether sampling weights were given; otherwise every person has the weight 1.
    pub is_weighted: bool,
}

/// Numbers of people assigned to one size, and of people whom this size serves.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct AssignedAndServedCounts {
    /// Number of people assigned to the size.
    pub people: usize,
    /// Number of people assigned to the size and served by the size.
    pub served: usize,
    /// Sum of the sampling weights of the people assigned to the size; their number if no weights are given.
    pub weight: f64,
    /// Sum of the sampling weights of the people assigned to the size and served by the size.
    pub served_weight: f64,
}

impl AssignedAndServedCounts {
    /// Counts one person with a sampling weight as assigned and, if `is_served`, as served.
    fn count_person(&mut self, weight: f64, is_served: bool) {
        self.people += 1;
        self.weight += weight;
        if is_served {
            self.served += 1;
            self.served_weight += weight;
        }
    }
}

/// Number, or sum of weights, of the people at each violated ease bound of their assigned size. A person counts once at
/// each bound that is violated.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct UnservedCounts<T = usize> {
    /// Number, or sum of weights, of people with waist ease below the minimum.
    pub waist_tight: T,
    /// Number, or sum of weights, of people with waist ease above the maximum.
    pub waist_loose: T,
    /// Number, or sum of weights, of people with hip ease below the minimum.
    pub hip_tight: T,
    /// Number, or sum of weights, of people with hip ease above the maximum.
    pub hip_loose: T,
    /// Number, or sum of weights, of people with high-hip ease below the minimum.
    pub high_hip_tight: T,
    /// Number, or sum of weights, of people with high-hip ease above the maximum.
    pub high_hip_loose: T,
}

/// Person with a size, but whom no size of the chart serves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnservedPerson {
    /// Row of the person in the table of people, from 0.
    pub row: usize,
    /// Largest amount by which an ease of the assigned size is outside its bounds, in centimetres.
    pub excess: f64,
}

/// Counts of measured and of served people with waist and hip in one square, without its upper edges.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaistHipSquareCounts {
    /// Waist at the lower edge of the square, in centimetres.
    pub waist: f64,
    /// Hip at the lower edge of the square, in centimetres.
    pub hip: f64,
    /// Number of measured people in the square.
    pub people: usize,
    /// Number of people in the square whom the chart serves.
    pub served: usize,
    /// Sum of the weights of the measured people in the square.
    pub weight: f64,
    /// Sum of the weights of the people in the square whom the chart serves.
    pub served_weight: f64,
}

const WAIST_HIP_SQUARE_SIDE_FIELD: Field = Field::new("step", "", FieldKind::Length, (0.1, 100.0));

impl ChartFit {
    /// Returns the number of people, measured and unmeasured.
    pub fn count(&self) -> usize {
        self.by_person.len()
    }

    /// Returns the share of the measured people, by weight, who are served, from 0 to 1; `None` if nobody is measured
    /// or all weights are 0.
    pub fn share_served(&self) -> Option<f64> {
        let sum = |weight: fn(&AssignedAndServedCounts) -> f64| self.loads.iter().map(weight).sum::<f64>();
        share_of_weight(sum(|load| load.served_weight), sum(|load| load.weight))
    }

    /// Returns at most `max` unserved people, the largest violations of ease bounds first, ties in row order.
    pub fn worst(&self, max: usize) -> Vec<UnservedPerson> {
        let excess = |fit: &Option<AssignedSize>| fit.as_ref().filter(|fit| !fit.serves()).map(|fit| fit.excess);
        let rows = self.by_person.iter().enumerate();
        let mut unserved: Vec<UnservedPerson> =
            rows.filter_map(|(row, fit)| excess(fit).map(|excess| UnservedPerson { row, excess })).collect();
        unserved.sort_by(|a, b| b.excess.total_cmp(&a.excess));
        unserved.truncate(max);
        unserved
    }

    /// Counts the measured and the served people in each square of the waist-hip plane; `step` is the side of a square
    /// in centimetres. Squares are sorted by waist, then hip; empty squares are left out. `people` must be the people
    /// of this fit.
    ///
    /// # Errors
    /// All [`Problems`]: a step outside 0.1 to 100 cm, or a number of people that differs from this fit.
    ///
    /// ```
    /// use kirtle::{Ease, Rules, SizeChart};
    /// use kirtle::survey::{EaseBounds, WaistHipSquareCounts, PeopleColumns, fit_chart};
    ///
    /// let ease = Ease { waist: 1.5, hip: 5.0 };
    /// let people = PeopleColumns { waist: &[73.0, 74.0, 76.0], hip: &[97.0, 99.0, 108.0], ..PeopleColumns::default() };
    /// let bounds = EaseBounds::from_ease_and_tolerance(&ease, 2.0);
    /// let fit = fit_chart(&SizeChart::demo(), &ease, &Rules::default(), &bounds, &people)?;
    /// let regions = fit.regions(&people, 5.0)?;
    /// let first = WaistHipSquareCounts { waist: 70.0, hip: 95.0, people: 2, served: 2, weight: 2.0, served_weight: 2.0 };
    /// assert_eq!(regions[0], first);
    /// assert_eq!((regions[1].waist, regions[1].hip, regions[1].people, regions[1].served), (75.0, 105.0, 1, 0));
    ///
    /// let problems = fit.regions(&people, 0.0).unwrap_err();
    /// assert_eq!(problems.to_string(), "step: 0 cm is below the minimum of 0.1 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn regions(&self, people: &PeopleColumns, step: f64) -> Result<Vec<WaistHipSquareCounts>, Problems> {
        let problem = WAIST_HIP_SQUARE_SIDE_FIELD.range_problem("", step, Unit::Cm);
        let length = Problem::numbers_per_person_problem("people.waist", people.waist.len(), self.count());
        Problems::ok_if_empty(problem.into_iter().chain(length).chain(people.column_length_problems()))?;
        let mut squares: BTreeMap<[i64; 2], AssignedAndServedCounts> = BTreeMap::new();
        let girths = people.waist.iter().zip(people.hip);
        for (row, ((waist, hip), fit)) in girths.zip(&self.by_person).enumerate() {
            let Some(fit) = fit else { continue };
            let square = squares.entry([square_index(*waist, step), square_index(*hip, step)]).or_default();
            square.count_person(people.weight_of_row(row), fit.serves());
        }
        let region = |(square, load): ([i64; 2], AssignedAndServedCounts)| {
            let [waist, hip] = square.map(|index| index as f64 * step);
            let AssignedAndServedCounts { people, served, weight, served_weight } = load;
            WaistHipSquareCounts { waist, hip, people, served, weight, served_weight }
        };
        Ok(squares.into_iter().map(region).collect())
    }
}

/// Returns the largest n with n × `step` at most `girth`, up to rounding; saturates at the limits of `i64`.
#[allow(clippy::cast_possible_truncation)]
fn square_index(girth: f64, step: f64) -> i64 {
    ((girth + EQUALITY_TOLERANCE_CM) / step).floor() as i64
}

impl<T: Copy + AddAssign> UnservedCounts<T> {
    /// Adds `amount`, a person's count or weight, at each ease bound that the person's assigned size violates.
    fn add_amount_at_violated_bounds(&mut self, amount: T, fit: &AssignedSize, bounds: &EaseBounds) {
        let count = |ease: f64, bounds: (f64, f64), [tight, loose]: [&mut T; 2]| {
            if bound_violation(ease, bounds) > 0.0 {
                *(if ease < bounds.0 { tight } else { loose }) += amount;
            }
        };
        count(fit.waist, bounds.waist, [&mut self.waist_tight, &mut self.waist_loose]);
        count(fit.hip, bounds.hip, [&mut self.hip_tight, &mut self.hip_loose]);
        if let Some((ease, bounds)) = fit.high_hip.zip(bounds.high_hip) {
            count(ease, bounds, [&mut self.high_hip_tight, &mut self.high_hip_loose]);
        }
    }
}

/// Assigns each person the best size of the chart and reports the ease of that size on the body.
///
/// The assigned size minimises, in this order: the largest violation of an ease bound (zero if every ease is within its
/// closed bounds); the distance between size and person, which is the larger of the differences in waist and in hip.
/// Ties go to the larger size, because cloth can be taken in but not let out (common practice).
///
/// At waist and hip the garment's girth is the size's body girth plus the ease. At the high hip the garment's girth is
/// read from the draft at the depth of the person's measurement, to a tenth of a millimetre; `rules` affect only that
/// girth. A person with a number that is missing or out of range, such as a girth that no body has or a high hip below
/// the shortest skirt, is refused: counted by reason in [`ChartFit::refused`], without a size.
///
/// # Errors
/// All [`Problems`]: ease or bounds out of range, columns of different lengths, high hips without high-hip bounds or
/// the reverse. With high hips, also the problems of [`SizeChart::draft`].
///
/// ```
/// use kirtle::{Code, Ease, Rules, SizeChart};
/// use kirtle::survey::{EaseBounds, PeopleColumns, fit_chart};
///
/// let (chart, ease) = (SizeChart::demo(), Ease { waist: 1.5, hip: 5.0 });
/// let people = PeopleColumns { waist: &[73.0, 76.0, f64::NAN], hip: &[97.0, 108.0, 99.0], ..PeopleColumns::default() };
/// let fit = fit_chart(&chart, &ease, &Rules::default(), &EaseBounds::from_ease_and_tolerance(&ease, 2.0), &people)?;
/// // Person 0 is 1 cm larger than size 38 in both girths, which leaves 1 cm less ease than drafted.
/// let first = fit.by_person[0].unwrap();
/// assert_eq!((chart.sizes()[first.size].name.as_str(), first.waist, first.serves()), ("38", 0.5, true));
/// // Person 1 has the waist of size 40 and the hip of size 44. Size 42 (80 and 104 cm) violates a bound by 2 cm.
/// assert_eq!((fit.by_person[1].unwrap().size, fit.by_person[1].unwrap().excess), (5, 2.0));
/// assert_eq!((fit.served, fit.unmeasured, fit.share_served()), (1, 1, Some(0.5)));
/// assert_eq!((fit.refused[0].field, fit.refused[0].code, fit.refused[0].people), ("waist", Code::Missing, 1));
///
/// let bounds = EaseBounds::from_ease_and_tolerance(&ease, -1.0);
/// let problems = fit_chart(&chart, &ease, &Rules::default(), &bounds, &people).unwrap_err();
/// assert_eq!(problems[0].to_string(), "bounds.waist.maximum: 0.5 cm is below the minimum of 2.5 cm");
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn fit_chart(
    chart: &SizeChart,
    ease: &Ease,
    rules: &Rules,
    bounds: &EaseBounds,
    people: &PeopleColumns,
) -> Result<ChartFit, Problems> {
    let fields = Ease::FIELDS.iter().zip(ease.into_array());
    let mut problems: Vec<_> =
        fields.filter_map(|(field, value)| field.range_problem("ease.", value, Unit::Cm)).collect();
    problems.extend(bounds.ease_bound_problems());
    problems.extend(people.column_length_problems());
    let missing = match (people.high_hip, bounds.high_hip) {
        (Some(_), None) => Some(("bounds.high_hip", "the minimum and maximum ease at the high hip")),
        (None, Some(_)) => Some(("people.high_hip", "high-hip girths with their depths below the waist")),
        _ => None,
    };
    problems.extend(missing.map(|(field, expected)| Problem::new(Code::Missing, field).with_limit(expected)));
    Problems::ok_if_empty(problems)?;
    let max_depth = chart.sizes().iter().fold(f64::INFINITY, |min, size| size.body.length.min(min));
    let range = people.high_hip.map(|_| chart.draft(ease, rules)).transpose()?;
    let drafts = range.iter().flat_map(SizeRange::drafts);
    let girths = drafts.map(|draft| girths_at_equal_steps_to_depth(draft, max_depth)).collect::<Result<Vec<_>, _>>()?;
    let columns: Vec<_> = people.columns(max_depth).collect();
    let by_person = Assignment { chart, ease, bounds, people, columns: &columns, girths, max_depth }.assign_sizes()?;
    let mut loads = vec![AssignedAndServedCounts::default(); chart.sizes().len()];
    let (mut unserved, mut unserved_weight) = (UnservedCounts::default(), UnservedCounts::default());
    for (row, fit) in by_person.iter().enumerate() {
        let Some(fit) = fit else { continue };
        let weight = people.weight_of_row(row);
        loads[fit.size].count_person(weight, fit.serves());
        if !fit.serves() {
            unserved.add_amount_at_violated_bounds(1, fit, bounds);
            unserved_weight.add_amount_at_violated_bounds(weight, fit, bounds);
        }
    }
    let (measured, served) = loads.iter().fold((0, 0), |sum, load| (sum.0 + load.people, sum.1 + load.served));
    let (unmeasured, is_weighted) = (by_person.len() - measured, people.weight.is_some());
    let (accepted, refused) = accepted_means_and_refusals(&columns);
    Ok(ChartFit { by_person, unmeasured, refused, accepted, served, loads, unserved, unserved_weight, is_weighted })
}

/// Size assigned to one person, and the ease of that size on the person's body.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct AssignedSize {
    /// Index of the assigned size in [`SizeChart::sizes`](crate::SizeChart::sizes).
    pub size: usize,
    /// Ease of the assigned size at the waist, garment minus body, in centimetres.
    pub waist: f64,
    /// Ease of the assigned size at the hip, garment minus body, in centimetres.
    pub hip: f64,
    /// Ease of the assigned size at the high hip, garment minus body, in centimetres; `None` if not judged.
    pub high_hip: Option<f64>,
    /// Largest amount by which an ease is outside its bounds, in centimetres; zero if every ease is within its bounds.
    pub excess: f64,
}

impl AssignedSize {
    /// Returns whether the assigned size serves the person: the ease at every judged girth is within its bounds.
    pub fn serves(&self) -> bool {
        self.excess <= 0.0
    }
}

/// Chart with ease and bounds of the ease, and the people to whom sizes are assigned.
struct Assignment<'a> {
    chart: &'a SizeChart,
    ease: &'a Ease,
    bounds: &'a EaseBounds,
    people: &'a PeopleColumns<'a>,
    /// Columns of the people, each with the accepted range.
    columns: &'a [(Field, &'a [f64])],
    /// For each size, the garment's girths at equally spaced depths down to `max_depth`; empty without high hips.
    girths: Vec<Vec<f64>>,
    max_depth: f64,
}

impl Assignment<'_> {
    /// Returns the size of each person; `None` for a person with a number that is missing or out of range.
    fn assign_sizes(&self) -> Stoppable<Vec<Option<AssignedSize>>> {
        let count = self.people.waist.len();
        let assign = |group: usize| {
            count_interruptible_work(LANE_COUNT * self.chart.sizes().len())?;
            // The last person fills the lanes that are left.
            let rows = std::array::from_fn(|lane| (LANE_COUNT * group + lane).min(count - 1));
            Ok(Lanes::out_of_line(inlined!(|| self.sizes_of_rows(rows))))
        };
        let mut by_person = map_in_threads(count.div_ceil(LANE_COUNT), assign)?.into_flattened();
        by_person.truncate(count);
        Ok(by_person)
    }

    /// Returns the sizes of the people in sixteen rows.
    #[inline(always)]
    fn sizes_of_rows(&self, rows: [usize; LANE_COUNT]) -> [Option<AssignedSize>; LANE_COUNT] {
        let of_rows = inlined!(|column: &[f64]| Lanes(rows.map(|row| column[row])));
        let (waist, hip) = (of_rows(self.people.waist), of_rows(self.people.hip));
        let tolerance = Lanes::constant(EQUALITY_TOLERANCE_CM);
        let [mut best, mut min_excess, mut min_distance] = [0.0, f64::INFINITY, f64::INFINITY].map(Lanes::constant);
        for (index, Size { body, .. }) in self.chart.sizes().iter().enumerate() {
            let ease_at_waist = Lanes::constant(body.waist + self.ease.waist) - waist;
            let ease_at_hip = Lanes::constant(body.hip + self.ease.hip) - hip;
            let excess = bound_violation(ease_at_waist, self.bounds.waist);
            let mut excess = excess.max(bound_violation(ease_at_hip, self.bounds.hip));
            if let Some(bounds) = self.bounds.high_hip {
                let ease = Lanes(rows.map(|row| self.ease_at_high_hip(index, row).unwrap_or_default()));
                excess = excess.max(bound_violation(ease, bounds));
            }
            let distance = (Lanes::constant(body.waist) - waist).abs().max((Lanes::constant(body.hip) - hip).abs());
            let is_as_good = excess.le(min_excess + tolerance) & distance.le(min_distance + tolerance);
            // Of two equal sizes, the later and larger one.
            let is_better = excess.lt(min_excess - tolerance) | is_as_good;
            best = Lanes::select(is_better, Lanes::constant(index as f64), best);
            min_excess = Lanes::select(is_better, excess, min_excess);
            min_distance = Lanes::select(is_better, distance, min_distance);
        }
        let is_accepted = self.columns.iter().fold(
            LaneMask::uniform(true),
            inlined!(|is_accepted, (field, column): &(Field, &[f64])| {
                let (min, max) = field.range;
                let values = of_rows(column);
                is_accepted & Lanes::constant(min).le(values) & values.le(Lanes::constant(max))
            }),
        );
        let is_accepted = is_accepted.flag_bits_by_lane();
        std::array::from_fn(inlined!(|lane| {
            // An index of a size is a whole number.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            let (size, row) = (best.0[lane] as usize, rows[lane]);
            let body = &self.chart.sizes()[size].body;
            (is_accepted[lane] == 1).then(|| AssignedSize {
                size,
                waist: body.waist + self.ease.waist - waist.0[lane],
                hip: body.hip + self.ease.hip - hip.0[lane],
                high_hip: self.ease_at_high_hip(size, row),
                excess: min_excess.0[lane],
            })
        }))
    }

    /// Returns the ease of a size at the high hip of the person in a row; `None` without high hips.
    fn ease_at_high_hip(&self, size: usize, row: usize) -> Option<f64> {
        let (high_hip, girths) = self.people.high_hip.zip(self.girths.get(size))?;
        let steps_per_cm = (girths.len() - 1) as f64 / self.max_depth;
        Some(interpolate(girths, high_hip.depth[row] * steps_per_cm) - high_hip.girth[row])
    }
}

/// Minimum number of table steps per centimetre of depth; interpolated girths then err by less than 0.1 mm.
const MIN_GIRTH_TABLE_STEPS_PER_CM: f64 = 20.0;

/// Returns the garment's girths, in centimetres, at equally spaced depths from the waist down to `depth`. The depth is
/// in centimetres, above zero and at most the skirt's length.
fn girths_at_equal_steps_to_depth(draft: &Draft, depth: f64) -> Result<Vec<f64>, Problems> {
    let count = (depth * MIN_GIRTH_TABLE_STEPS_PER_CM).ceil();
    // A skirt is at most 150 cm long.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let levels = (0..=count as u32).map(|step| (f64::from(step) / count * depth).min(depth));
    levels.map(|level| draft.girth_at(level)).collect()
}

/// Returns the girth, in centimetres, at `position` steps below the waist, by linear interpolation of `girths`.
fn interpolate(girths: &[f64], position: f64) -> f64 {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let step = (position.floor() as usize).min(girths.len().saturating_sub(2));
    let (above, below) = (girths[step], girths[step + 1]);
    above + (below - above) * (position - step as f64)
}
