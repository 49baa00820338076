//! Which size of a chart each of many people is given, and how much ease it leaves.

use super::high_hip::Girths;
use super::interrupt::worked;
use super::summary::ChartFit;
use crate::body::{Ease, Rules};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::sizes::{Size, SizeChart};

/// Lengths nearer than this are equal, in centimetres: far below what a tape tells, far above what rounding adds, so that
/// 72.1 − 70.1 is 2 here.
pub(super) const EQUAL: f64 = 1e-9;

/// Girths of people in columns, in centimetres; all columns are as long.
#[derive(Clone, Copy, Debug)]
pub struct People<'a> {
    /// Waist girths.
    pub waist: &'a [f64],
    /// Hip girths.
    pub hip: &'a [f64],
    /// High hips, where they were measured.
    pub high_hip: Option<HighHips<'a>>,
}

/// High hips: each person's own girth between waist and hip, and where it was taken, in centimetres.
#[derive(Clone, Copy, Debug)]
pub struct HighHips<'a> {
    /// Girths.
    pub girth: &'a [f64],
    /// How far below the waist at the side each girth was taken: from zero to the shortest skirt of the chart.
    pub depth: &'a [f64],
}

/// The least and the most ease that may be left on a body: the garment's girth less the body's, in centimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// At the waist.
    pub waist: (f64, f64),
    /// At the hip.
    pub hip: (f64, f64),
    /// At the high hip, where people have one.
    pub high_hip: Option<(f64, f64)>,
}

/// The size that a person is given, and how it sits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fitted {
    /// The place of the size in [`SizeChart::sizes`].
    pub size: usize,
    /// The ease left at the waist, in centimetres.
    pub waist: f64,
    /// The ease left at the hip, in centimetres.
    pub hip: f64,
    /// The ease left at the high hip, in centimetres, where there is one.
    pub high_hip: Option<f64>,
    /// By how much the bound that is missed most is missed, in centimetres: zero where the size serves.
    pub excess: f64,
}

impl Fitted {
    /// Whether the ease left is within every bound.
    #[must_use]
    pub fn serves(&self) -> bool {
        self.excess <= 0.0
    }
}

impl Bounds {
    /// Bounds at waist and hip as far below the ease as above it, in centimetres.
    ///
    /// ```
    /// use kirtle::Ease;
    /// use kirtle::survey::Bounds;
    ///
    /// let bounds = Bounds::around(&Ease { waist: 1.5, hip: 5.0 }, 1.0);
    /// assert_eq!((bounds.waist, bounds.hip, bounds.high_hip), ((0.5, 2.5), (4.0, 6.0), None));
    /// ```
    #[must_use]
    pub fn around(ease: &Ease, tolerance: f64) -> Self {
        let around = |ease: f64| (ease - tolerance, ease + tolerance);
        Self { waist: around(ease.waist), hip: around(ease.hip), high_hip: None }
    }

    pub(super) fn problems(&self) -> Vec<Problem> {
        let girths = [("waist", Some(self.waist)), ("hip", Some(self.hip)), ("high_hip", self.high_hip)];
        let of = |(girth, bounds): (&str, Option<(f64, f64)>)| {
            let (min, max) = bounds?;
            let path = format!("bounds.{girth}.");
            let range = (-200.0, 200.0);
            let least_wrong = Field::new("minimum", "", FieldKind::Length, range, range).check(&path, min, Unit::Cm);
            // The most is at least the least.
            let range = if least_wrong.is_some() { range } else { (min, 200.0) };
            let most_wrong = Field::new("maximum", "", FieldKind::Length, range, range).check(&path, max, Unit::Cm);
            Some(least_wrong.into_iter().chain(most_wrong))
        };
        girths.into_iter().filter_map(of).flatten().collect()
    }
}

impl People<'_> {
    /// The columns by name, the waist first.
    fn columns(&self) -> impl Iterator<Item = (&'static str, &[f64])> {
        let high = self.high_hip.into_iter();
        let high = high.flat_map(|high| [("high_hip.girth", high.girth), ("high_hip.depth", high.depth)]);
        [("waist", self.waist), ("hip", self.hip)].into_iter().chain(high)
    }

    /// Columns that are not as long as the first.
    pub(super) fn problems(&self) -> Vec<Problem> {
        let wanted = self.waist.len();
        self.columns().filter_map(|(name, column)| uneven(&format!("people.{name}"), column.len(), wanted)).collect()
    }
}

/// The problem of a column that is not as long as the others.
pub(super) fn uneven(field: &str, count: usize, wanted: usize) -> Option<Problem> {
    let code = if count < wanted { Code::TooFew } else { Code::TooMany };
    let problem = || Problem::new(code, field).with_value(format!("{count} numbers"));
    (count != wanted).then(|| problem().with_limit(format!("{wanted} numbers, one a person")))
}

/// A size as it is sewn, in centimetres.
struct Garment<'a> {
    size: &'a Size,
    waist: f64,
    hip: f64,
    high_hip: Option<Girths>,
}

/// Gives each person a size of the chart and says how it sits.
///
/// Of the sizes that leave ease within all bounds it is the one whose larger miss of the person's waist and hip is least;
/// where none does, the one that misses its bounds least, and of equals the nearer. Of equals in everything it is the
/// larger, as cloth can be taken in and not let out (common practice). A bound itself is within.
///
/// At waist and hip a garment has the size's girth and the ease; at the high hip what its draft has at the depth of the
/// person's measurement, to a tenth of a millimetre. The rules serve for that alone. A person with a number that is not finite, or a depth above the
/// waist or below the shortest skirt's hem, counts as unmeasured and is given no size.
///
/// # Errors
/// All the [`Problems`] at once: ease or bounds out of range, columns that are not as long, high hips without bounds or
/// bounds without them; for high hips also those of [`SizeChart::draft`].
///
/// ```
/// use kirtle::{Ease, Rules, SizeChart};
/// use kirtle::survey::{Bounds, People, fit_chart};
///
/// let (chart, ease) = (SizeChart::demo(), Ease { waist: 1.5, hip: 5.0 });
/// let people = People { waist: &[73.0, 76.0, f64::NAN], hip: &[97.0, 108.0, 99.0], high_hip: None };
/// let fit = fit_chart(&chart, &ease, &Rules::default(), &Bounds::around(&ease, 2.0), &people)?;
/// // The first is 1 cm larger than size 38 in both girths, and has 1 cm less ease than it was drafted with.
/// let first = fit.each[0].unwrap();
/// assert_eq!((chart.sizes()[first.size].name.as_str(), first.waist, first.serves()), ("38", 0.5, true));
/// // The second has the waist of size 40 and the hip of size 44: size 42, of 80 and 104, misses by 2 cm more than the bounds.
/// assert_eq!((fit.each[1].unwrap().size, fit.each[1].unwrap().excess), (5, 2.0));
/// assert_eq!((fit.served, fit.unmeasured, fit.share_served()), (1, 1, 0.5));
///
/// let problems = fit_chart(&chart, &ease, &Rules::default(), &Bounds::around(&ease, -1.0), &people).unwrap_err();
/// assert_eq!(problems[0].to_string(), "bounds.waist.maximum: 0.5 cm is below the minimum of 2.5 cm");
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn fit_chart(
    chart: &SizeChart,
    ease: &Ease,
    rules: &Rules,
    bounds: &Bounds,
    people: &People,
) -> Result<ChartFit, Problems> {
    let fields = Ease::FIELDS.iter().zip(ease.into_array());
    let mut problems: Vec<_> = fields.filter_map(|(field, value)| field.check("ease.", value, Unit::Cm)).collect();
    problems.extend(bounds.problems());
    problems.extend(people.problems());
    problems.extend(unpaired(people, bounds));
    Problems::ok_if_empty(problems)?;
    let deepest = chart.sizes().iter().fold(f64::INFINITY, |min, size| size.body.length.min(min));
    let high_hips = people.high_hip.map(|_| girths(chart, ease, rules, deepest)).transpose()?;
    let mut high_hips = high_hips.into_iter().flatten();
    let garment = |size| Garment::of(size, ease, high_hips.next());
    let garments: Vec<Garment> = chart.sizes().iter().map(garment).collect();
    let each = (0..people.waist.len()).map(|row| {
        worked(garments.len());
        let person = Person::of(people, row, deepest)?;
        garments.iter().enumerate().map(|(size, garment)| garment.on(size, &person, bounds)).reduce(better)
    });
    let each: Vec<Option<Fitted>> = each.map(|choice| choice.map(|choice| choice.fitted)).collect();
    Ok(ChartFit::of(each, chart.sizes().len(), bounds))
}

/// High hips without bounds, or bounds without them.
fn unpaired(people: &People, bounds: &Bounds) -> Option<Problem> {
    let (field, wanted) = match (people.high_hip, bounds.high_hip) {
        (Some(_), None) => ("bounds.high_hip", "the least and the most ease left at the high hip"),
        (None, Some(_)) => ("people.high_hip", "girths at the high hip and their depths"),
        _ => return None,
    };
    Some(Problem::new(Code::Missing, field).with_limit(wanted))
}

fn girths(chart: &SizeChart, ease: &Ease, rules: &Rules, depth: f64) -> Result<Vec<Girths>, Problems> {
    chart.draft(ease, rules)?.drafts().iter().map(|draft| Girths::of(draft, depth)).collect()
}

/// One measured person.
struct Person {
    waist: f64,
    hip: f64,
    /// Girth and depth.
    high_hip: Option<(f64, f64)>,
}

impl Person {
    /// The person of a row, if all that is asked of it was measured.
    fn of(people: &People, row: usize, deepest: f64) -> Option<Self> {
        let (waist, hip) = (people.waist[row], people.hip[row]);
        let high_hip = people.high_hip.map(|high| (high.girth[row], high.depth[row]));
        let high = high_hip.is_none_or(|(girth, depth)| girth.is_finite() && (0.0..=deepest).contains(&depth));
        (waist.is_finite() && hip.is_finite() && high).then_some(Self { waist, hip, high_hip })
    }
}

/// A size on a person, and by how much its girths miss the person's.
struct Candidate {
    fitted: Fitted,
    miss: f64,
}

impl<'a> Garment<'a> {
    fn of(size: &'a Size, ease: &Ease, high_hip: Option<Girths>) -> Self {
        Self { size, waist: size.body.waist + ease.waist, hip: size.body.hip + ease.hip, high_hip }
    }

    /// This garment on a person.
    #[inline]
    fn on(&self, size: usize, person: &Person, bounds: &Bounds) -> Candidate {
        let (waist, hip) = (self.waist - person.waist, self.hip - person.hip);
        let high_hip = self.high_hip.as_ref().zip(person.high_hip);
        let high_hip = high_hip.map(|(girths, (girth, depth))| girths.at(depth) - girth);
        let high = high_hip.zip(bounds.high_hip).map_or(0.0, |(left, bounds)| beyond(left, bounds));
        let excess = beyond(waist, bounds.waist).max(beyond(hip, bounds.hip)).max(high);
        let body = &self.size.body;
        let miss = (body.waist - person.waist).abs().max((body.hip - person.hip).abs());
        Candidate { fitted: Fitted { size, waist, hip, high_hip, excess }, miss }
    }
}

/// The better of a size and a larger one: sizes that serve have no excess, so that one order does for all.
#[inline]
fn better(best: Candidate, next: Candidate) -> Candidate {
    let by = next.fitted.excess - best.fitted.excess;
    if by < -EQUAL || (by <= EQUAL && next.miss <= best.miss + EQUAL) { next } else { best }
}

/// By how much an ease left is beyond its bounds: zero where it is within.
#[inline]
pub(super) fn beyond(left: f64, (min, max): (f64, f64)) -> f64 {
    let by = (min - left).max(left - max);
    if by <= EQUAL { 0.0 } else { by }
}
