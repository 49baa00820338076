//! Assigns each person in a table the best size of a chart and reports the ease on the body. A person with a missing
//! measurement gets no size. Lengths are centimetres.

use super::chart_fit::{AssignedAndServedCounts, AssignedSize, ChartFit, UnservedCounts};
use super::ease_bounds::{EaseBounds, bound_violation};
use super::people::{PeopleColumns, accepted_means_and_refusals, refusal_code_of_row};
use crate::body::{Ease, Rules};
use crate::draft::Draft;
use crate::error::{Code, Problem, Problems};
use crate::field::{EQUALITY_TOLERANCE_CM, Unit};
use crate::interrupt::{Stoppable, count_interruptible_work};
use crate::sizes::{Size, SizeChart, SizeRange};

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
        (None, Some(_)) => Some(("people.high_hip", "high-hip girths, and the depth of each below the waist")),
        _ => None,
    };
    problems.extend(missing.map(|(field, expected)| Problem::new(Code::Missing, field).with_limit(expected)));
    Problems::ok_if_empty(problems)?;
    let max_depth = chart.sizes().iter().fold(f64::INFINITY, |min, size| size.body.length.min(min));
    let range = people.high_hip.map(|_| chart.draft(ease, rules)).transpose()?;
    let drafts = range.iter().flat_map(SizeRange::drafts);
    let tables = drafts.map(|draft| girths_down_to_depth(draft, max_depth)).collect::<Result<Vec<_>, _>>()?;
    let steps_per_cm = tables.first().map_or(0.0, |girths| (girths.len() - 1) as f64 / max_depth);
    let columns: Vec<_> = people.columns(max_depth).collect();
    let assign = |row: usize| {
        count_interruptible_work(chart.sizes().len())?;
        if columns.iter().any(|column| refusal_code_of_row(column, row).is_some()) {
            return Ok(None);
        }
        let candidates = chart.sizes().iter().enumerate().map(|(size, Size { body, .. })| {
            let (waist, hip) = (body.waist + ease.waist - people.waist[row], body.hip + ease.hip - people.hip[row]);
            let high_hip = people.high_hip.zip(tables.get(size));
            let high_hip = high_hip.map(|(of, table)| interpolate(table, of.depth[row] * steps_per_cm) - of.girth[row]);
            let bounded = [Some((waist, bounds.waist)), Some((hip, bounds.hip)), high_hip.zip(bounds.high_hip)];
            let excesses = bounded.into_iter().flatten().map(|(ease, bounds)| bound_violation(ease, bounds));
            let excess = excesses.fold(0.0, f64::max);
            let distance = (body.waist - people.waist[row]).abs().max((body.hip - people.hip[row]).abs());
            (AssignedSize { size, waist, hip, high_hip, excess }, distance)
        });
        Ok(candidates.reduce(better_fit_candidate).map(|(fit, _)| fit))
    };
    let by_person = (0..people.waist.len()).map(assign).collect::<Stoppable<Vec<_>>>()?;
    let mut loads = vec![AssignedAndServedCounts::default(); chart.sizes().len()];
    let (mut unserved, mut unserved_weight) = (UnservedCounts::default(), UnservedCounts::default());
    for (row, fit) in by_person.iter().enumerate() {
        let Some(fit) = fit else { continue };
        let weight = people.weight_of_row(row);
        loads[fit.size].count_person(weight, fit.serves());
        unserved.add_amount_at_violated_bounds(1, fit, bounds);
        unserved_weight.add_amount_at_violated_bounds(weight, fit, bounds);
    }
    let (measured, served) = loads.iter().fold((0, 0), |sum, load| (sum.0 + load.people, sum.1 + load.served));
    let (unmeasured, is_weighted) = (by_person.len() - measured, people.weight.is_some());
    let (accepted, refused) = accepted_means_and_refusals(&columns);
    Ok(ChartFit { by_person, unmeasured, refused, accepted, served, loads, unserved, unserved_weight, is_weighted })
}

/// Returns the candidate with the smaller bound violation or, if equal, with the smaller distance; a tie in both goes
/// to `next`, the larger size. A candidate is a size with its ease on the person, and the distance between size and
/// person.
fn better_fit_candidate(best: (AssignedSize, f64), next: (AssignedSize, f64)) -> (AssignedSize, f64) {
    let difference = next.0.excess - best.0.excess;
    let is_tied = difference <= EQUALITY_TOLERANCE_CM;
    let is_nearer = next.1 <= best.1 + EQUALITY_TOLERANCE_CM;
    if difference < -EQUALITY_TOLERANCE_CM || (is_tied && is_nearer) { next } else { best }
}

/// Minimum number of table steps per centimetre of depth; interpolated girths then err by less than 0.1 mm.
const MIN_GIRTH_TABLE_STEPS_PER_CM: f64 = 20.0;

/// Returns the garment's girths, in centimetres, at equally spaced depths from the waist down to `depth`. The depth is
/// in centimetres, above zero and at most the skirt's length.
fn girths_down_to_depth(draft: &Draft, depth: f64) -> Result<Vec<f64>, Problems> {
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
