//! Sizes: bodies with names. A chart of them, the way from a body to it, and what an alteration on paper costs.

mod alter;
mod blend;
mod choose;
mod cost;
mod fitting;
mod grade;
mod words;

pub(crate) use alter::TOLERANCE_MM;
pub use alter::{Alteration, Step, StepKind};
pub(crate) use blend::FRACTION;
pub use blend::{BetweenSizes, Blend};
pub use choose::{Choice, GirthOutsideChart, SizeDifference};
pub use cost::Cost;
pub(crate) use fitting::{BY, changes};
pub use fitting::{Change, Correction, CorrectionSite, CorrectionTarget, Fitting};
pub use grade::{Grade, GradeIncrement, named_points};

use crate::body::{Body, Ease, Rules};
use crate::draft::{Draft, draft};
use crate::error::{Code, Problem, Problems};
use crate::field::Unit;
use crate::pattern::not_on_a_line;

/// The fewest sizes of a chart: between fewer there is nothing.
const FEWEST: usize = 2;

/// A body with a name.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Size {
    /// The name: one line of at most [`MAX_LETTERS`](crate::Cutting::MAX_NAME_LETTERS) letters.
    pub name: String,
    /// The body, in centimetres.
    #[serde(flatten)]
    pub body: Body,
}

/// Named sizes in the order of their girths.
///
/// ```
/// use kirtle::{Body, Size, SizeChart};
///
/// let size = |name: &str, waist, hip| {
///     Size { name: name.to_owned(), body: Body { waist, hip, hip_depth: 20.0, length: 60.0 } }
/// };
/// let chart = SizeChart::new(vec![size("40", 76.0, 100.0), size("38", 72.0, 96.0)])?;
/// assert_eq!(chart.sizes()[0].name, "38"); // The order in which they are given does not matter.
///
/// let problems = SizeChart::new(vec![size("38", 72.0, 96.0), size("38", 76.0, 100.0)]).unwrap_err();
/// assert_eq!(problems.to_string(), "sizes[1].name: \"38\" is the name of another size, too");
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct SizeChart {
    sizes: Vec<Size>,
}

impl SizeChart {
    /// The maximum number of sizes in a chart.
    pub const MAX_SIZES: usize = 1000;

    /// A chart of these sizes.
    ///
    /// # Errors
    /// All the [`Problems`] at once: fewer than two sizes, a name that is empty, given twice or too long, a number out of
    /// range, a hem above the hip line, girths that do not grow together.
    ///
    /// ```
    /// use kirtle::{Body, Size, SizeChart};
    ///
    /// let size = |name: &str, waist, hip| {
    ///     Size { name: name.to_owned(), body: Body { waist, hip, hip_depth: 20.0, length: 60.0 } }
    /// };
    /// let chart = SizeChart::new(vec![size("S", 68.0, 92.0), size("M", 74.0, 98.0), size("L", 80.0, 104.0)])?;
    /// assert_eq!(chart.sizes().len(), 3);
    ///
    /// let problems = SizeChart::new(vec![size("S", 68.0, 92.0), size("M", 67.0, 98.0)]).unwrap_err();
    /// assert_eq!(problems.to_string(), "sizes[1].waist: 67 cm is not above the 68 cm of the next smaller size");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn new(sizes: Vec<Size>) -> Result<Self, Problems> {
        let mut problems = Vec::new();
        if sizes.len() < FEWEST {
            let few = Problem::new(Code::TooFew, "sizes").with_value(format!("{} sizes", sizes.len()));
            problems.push(few.with_limit(format!("{FEWEST} sizes")));
        }
        let many = Problem::too_many("sizes", sizes.len(), SizeChart::MAX_SIZES, "sizes");
        Problems::ok_if_empty(many.into_iter().collect())?;
        for (k, size) in sizes.iter().enumerate() {
            problems.extend(names(&sizes[..k], size, k));
            let path = format!("sizes[{k}].");
            let numbers = Body::FIELDS.iter().zip(size.body.into_array());
            problems.extend(numbers.filter_map(|(field, value)| field.check(&path, value, Unit::Cm)));
        }
        if problems.is_empty() {
            problems = out_of_order(&sizes);
        }
        Problems::ok_if_empty(problems)?;
        Ok(Self { sizes: in_order(sizes) })
    }

    /// A chart for trying things out: waist and hip after EN 13402-3 (4 cm a size, in the larger ones 6 cm at the waist and
    /// 5 cm at the hip); the hip depth, which grows by 2 mm a size, the one length and the numbers of the sizes are ours.
    #[must_use]
    pub fn demo() -> Self {
        let girths = [
            (60, 84),
            (64, 88),
            (68, 92),
            (72, 96),
            (76, 100),
            (80, 104),
            (84, 108),
            (88, 112),
            (94, 117),
            (100, 122),
            (106, 127),
            (112, 132),
        ];
        let size = |((waist, hip), k): ((i32, i32), i32)| Size {
            name: (32 + 2 * k).to_string(),
            body: Body {
                waist: f64::from(waist),
                hip: f64::from(hip),
                hip_depth: f64::from(195 + 2 * k) / 10.0,
                length: 60.0,
            },
        };
        Self { sizes: girths.into_iter().zip(0..).map(size).collect() }
    }

    /// The sizes from the smallest to the largest.
    #[must_use]
    pub fn sizes(&self) -> &[Size] {
        &self.sizes
    }

    /// The size of this name.
    #[must_use]
    pub fn size(&self, name: &str) -> Option<&Size> {
        self.sizes.iter().find(|size| size.name == name)
    }

    /// Drafts every size with the same ease and rules.
    ///
    /// # Errors
    /// All the [`Problems`] of [`draft`]; those of a size name it.
    ///
    /// ```
    /// use kirtle::{Ease, Rules, SizeChart};
    ///
    /// let chart = SizeChart::demo();
    /// let range = chart.draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// assert_eq!(range.drafts().len(), chart.sizes().len());
    ///
    /// let problems = chart.draft(&Ease { waist: 1.5, hip: 500.0 }, &Rules::default()).unwrap_err();
    /// assert_eq!(problems.to_string(), "ease.hip: 500 cm is above the maximum of 60 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn draft(&self, ease: &Ease, rules: &Rules) -> Result<SizeRange, Problems> {
        let mut drafts = Vec::new();
        let mut refused: Vec<(&str, Problems)> = Vec::new();
        for size in &self.sizes {
            match draft(&size.body, ease, rules) {
                Ok(draft) => drafts.push(draft),
                Err(problems) => refused.push((&size.name, problems)),
            }
        }
        // What is wrong with the ease or the rules alone is so for every size, and is told once.
        let common = |problem: &Problem| {
            refused.len() == self.sizes.len() && refused.iter().all(|(_, problems)| problems.contains(problem))
        };
        let first = refused.first().into_iter().flat_map(|(_, problems)| problems.iter());
        let mut problems: Vec<Problem> = first.filter(|problem| common(problem)).cloned().collect();
        for (name, found) in &refused {
            problems.extend(found.iter().filter(|problem| !common(problem)).map(|problem| of_size(problem, name)));
        }
        Problems::ok_if_empty(problems)?;
        Ok(SizeRange { chart: self.clone(), ease: *ease, rules: rules.clone(), drafts })
    }
}

/// A problem of a size's draft, with the size in the place of the body.
fn of_size(problem: &Problem, name: &str) -> Problem {
    let field = problem.field.strip_prefix("body.").unwrap_or(&problem.field);
    problem.clone().in_field(format!("size {name:?} {field}"))
}

/// What is wrong with a size's name.
fn names(before: &[Size], size: &Size, k: usize) -> Option<Problem> {
    let (field, wanted) = (format!("sizes[{k}].name"), "a name on one line");
    let name = size.name.as_str();
    let blank = || (name.is_empty() || name.trim() != name).then(|| Problem::not_a_name(&field, name, wanted));
    let taken = || before.iter().any(|other| other.name == name);
    let twice = || Problem::new(Code::DuplicateName, &*field).with_value(format!("{name:?}"));
    not_on_a_line(&field, name, wanted).or_else(blank).or_else(|| taken().then(twice))
}

fn in_order(mut sizes: Vec<Size>) -> Vec<Size> {
    sizes.sort_by(|a, b| (a.body.hip + a.body.waist).total_cmp(&(b.body.hip + b.body.waist)));
    sizes
}

/// Sizes of which one has the larger waist and not the larger hip, or the other way round, or neither.
fn out_of_order(sizes: &[Size]) -> Vec<Problem> {
    let place = |size: &Size| sizes.iter().position(|other| other.name == size.name).unwrap_or_default();
    let ordered = in_order(sizes.to_vec());
    let wrong = |pair: &[Size]| -> Option<Problem> {
        let (smaller, larger) = (&pair[0], &pair[1]);
        let problem = |field, value: f64, limit: f64| {
            let problem = Problem::new(Code::OutOfOrder, format!("sizes[{}].{field}", place(larger)));
            Some(problem.with_value(value).with_limit(limit).with_unit(Unit::Cm.name()))
        };
        if larger.body.waist <= smaller.body.waist {
            problem("waist", larger.body.waist, smaller.body.waist)
        } else if larger.body.hip <= smaller.body.hip {
            problem("hip", larger.body.hip, smaller.body.hip)
        } else {
            None
        }
    };
    ordered.windows(2).filter_map(wrong).collect()
}

/// A chart drafted with one ease and one set of rules.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeRange {
    chart: SizeChart,
    ease: Ease,
    rules: Rules,
    drafts: Vec<Draft>,
}

impl SizeRange {
    /// The chart.
    #[must_use]
    pub fn chart(&self) -> &SizeChart {
        &self.chart
    }

    /// The ease of every size.
    #[must_use]
    pub fn ease(&self) -> &Ease {
        &self.ease
    }

    /// The rules of every size.
    #[must_use]
    pub fn rules(&self) -> &Rules {
        &self.rules
    }

    /// The drafts, in the order of the sizes.
    #[must_use]
    pub fn drafts(&self) -> &[Draft] {
        &self.drafts
    }

    /// Each size with its draft.
    pub fn each(&self) -> impl Iterator<Item = (&Size, &Draft)> + Clone {
        self.chart.sizes.iter().zip(&self.drafts)
    }

    /// Drafts another body as the sizes are drafted.
    ///
    /// # Errors
    /// As [`draft`].
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules, SizeChart};
    ///
    /// let ease = Ease { waist: 1.5, hip: 5.0 };
    /// let range = SizeChart::demo().draft(&ease, &Rules::default())?;
    /// let body = Body { waist: 70.0, hip: 94.0, hip_depth: 20.0, length: 60.0 };
    /// assert_eq!(range.redraft(&body)?, kirtle::draft(&body, &ease, &Rules::default())?);
    /// assert!(range.redraft(&Body { hip_depth: 61.0, ..body }).is_err());
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn redraft(&self, body: &Body) -> Result<Draft, Problems> {
        draft(body, &self.ease, &self.rules)
    }
}
