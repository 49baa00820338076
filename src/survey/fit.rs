//! Assigns each person in a table the best size of a chart and reports the ease on the body. A person with a missing
//! measurement gets no size. Lengths are centimetres.

use super::chart_fit::{AssignedSize, ChartFit};
use super::ease_bounds::{EaseBounds, bound_violation};
use super::girth_table::GirthTable;
use super::people::PeopleColumns;
use super::refused::count_refused_people;
use crate::body::{Ease, Rules};
use crate::error::{Code, Problem, Problems};
use crate::field::{EQUALITY_TOLERANCE_CM, Unit};
use crate::interrupt::{Stopped, count_interruptible_work};
use crate::sizes::{Size, SizeChart};

/// Girths of the finished garment of one size, ease included, in centimetres: waist, hip and, where high hips are
/// judged, girths at every depth.
struct GarmentGirths<'a> {
    size: &'a Size,
    waist: f64,
    hip: f64,
    /// Garment girths by depth below the waist; `None` if high hips are not judged.
    girth_table: Option<GirthTable>,
}

/// Assigns each person the best size of the chart and reports the ease of that size on the body.
///
/// The assigned size minimises, in this order: the largest violation of an ease bound (zero if every ease is within its
/// closed bounds); the distance between size and person, which is the larger of the differences in waist and in hip.
/// Ties go to the larger size, because cloth can be taken in but not let out (common practice).
///
/// At waist and hip the garment's girth is the size's body girth plus the ease. At the high hip the garment's girth is
/// read from the draft at the depth of the person's measurement, to a tenth of a millimetre; `rules` affect only that
/// girth. A person with a number that is missing or out of range, such as a girth that no body has or a high hip below the
/// shortest skirt, is refused: counted by reason in [`ChartFit::refused`], without a size.
///
/// # Errors
/// All the [`Problems`] at once: ease or bounds out of range, columns of different lengths, high hips without high-hip
/// bounds or the reverse. With high hips, also the problems of [`SizeChart::draft`].
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
/// assert_eq!((fit.served, fit.unmeasured, fit.share_served()), (1, 1, 0.5));
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
    problems.extend(high_hip_bounds_mismatch_problem(people, bounds));
    Problems::ok_if_empty(problems)?;
    let max_depth = chart.sizes().iter().fold(f64::INFINITY, |min, size| size.body.length.min(min));
    let tables = people.high_hip.map(|_| garment_girth_tables(chart, ease, rules, max_depth)).transpose()?;
    let mut tables = tables.into_iter().flatten();
    let garment = |size| GarmentGirths::new(size, ease, tables.next());
    let garments: Vec<GarmentGirths> = chart.sizes().iter().map(garment).collect();
    let columns = people.ranged_columns(max_depth);
    let assign = |row: usize| {
        count_interruptible_work(garments.len())?;
        if columns.iter().any(|column| column.refusal_code_of_row(row).is_some()) {
            return Ok(None);
        }
        let high_hip = people.high_hip.map(|high_hip| (high_hip.girth[row], high_hip.depth[row]));
        let person = MeasuredPerson { waist: people.waist[row], hip: people.hip[row], high_hip };
        let candidates = garments.iter().enumerate().map(|(k, garment)| garment.fit_person(k, &person, bounds));
        Ok(candidates.reduce(better_candidate).map(|choice| choice.fit))
    };
    let by_person = (0..people.waist.len()).map(assign).collect::<Result<Vec<_>, Stopped>>()?;
    let mut fit = ChartFit::from_assigned_sizes(by_person, people, chart.sizes().len(), bounds);
    (fit.accepted, fit.refused) = count_refused_people(people, &columns);
    Ok(fit)
}

/// Returns a problem if high-hip measurements are given without high-hip bounds, or bounds without measurements.
fn high_hip_bounds_mismatch_problem(people: &PeopleColumns, bounds: &EaseBounds) -> Option<Problem> {
    let (field, expected) = match (people.high_hip, bounds.high_hip) {
        (Some(_), None) => ("bounds.high_hip", "the minimum and maximum ease at the high hip"),
        (None, Some(_)) => ("people.high_hip", "high-hip girths and their depths"),
        _ => return None,
    };
    Some(Problem::new(Code::Missing, field).with_limit(expected))
}

/// Drafts every size of a chart; returns for each size a table of garment girths from the waist down to `depth` in cm.
fn garment_girth_tables(
    chart: &SizeChart,
    ease: &Ease,
    rules: &Rules,
    depth: f64,
) -> Result<Vec<GirthTable>, Problems> {
    chart.draft(ease, rules)?.drafts().iter().map(|draft| GirthTable::from_draft(draft, depth)).collect()
}

/// Waist, hip and high hip of one person, all within their accepted ranges, in centimetres.
struct MeasuredPerson {
    waist: f64,
    hip: f64,
    /// The person's high-hip girth, and the depth of this girth below the waist; `None` if the high hip is not judged.
    high_hip: Option<(f64, f64)>,
}

/// Fit of one size of the chart on one person, before the person's best size is chosen.
struct CandidateSizeFit {
    fit: AssignedSize,
    /// Larger of the absolute differences in waist and in hip between the size's body and the person, in centimetres.
    distance: f64,
}

impl<'a> GarmentGirths<'a> {
    fn new(size: &'a Size, ease: &Ease, girth_table: Option<GirthTable>) -> Self {
        Self { size, waist: size.body.waist + ease.waist, hip: size.body.hip + ease.hip, girth_table }
    }

    /// Returns ease, largest bound violation and distance of this size, which has the index `size` in the chart, for a
    /// person.
    #[inline]
    fn fit_person(&self, size: usize, person: &MeasuredPerson, bounds: &EaseBounds) -> CandidateSizeFit {
        let (waist, hip) = (self.waist - person.waist, self.hip - person.hip);
        let high_hip = self.girth_table.as_ref().zip(person.high_hip);
        let high_hip = high_hip.map(|(table, (girth, depth))| table.interpolated_girth_at_depth(depth) - girth);
        let high_hip_excess = high_hip.zip(bounds.high_hip).map_or(0.0, |(ease, bounds)| bound_violation(ease, bounds));
        let excess = bound_violation(waist, bounds.waist).max(bound_violation(hip, bounds.hip)).max(high_hip_excess);
        let body = &self.size.body;
        let distance = (body.waist - person.waist).abs().max((body.hip - person.hip).abs());
        CandidateSizeFit { fit: AssignedSize { size, waist, hip, high_hip, excess }, distance }
    }
}

/// Returns the candidate with the smaller bound violation or, if these are equal, with the smaller distance; a tie in
/// both goes to `next`, the larger size.
#[inline]
fn better_candidate(best: CandidateSizeFit, next: CandidateSizeFit) -> CandidateSizeFit {
    let difference = next.fit.excess - best.fit.excess;
    let is_tied = difference <= EQUALITY_TOLERANCE_CM;
    let is_nearer = next.distance <= best.distance + EQUALITY_TOLERANCE_CM;
    if difference < -EQUALITY_TOLERANCE_CM || (is_tied && is_nearer) { next } else { best }
}
