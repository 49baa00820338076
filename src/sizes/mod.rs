//! Size charts: choose a size, blend two sizes, grade, alter on paper, and correct after a fitting.
//!
//! A [`SizeChart`] lists named bodies. [`SizeChart::draft`] drafts every size with one ease and one set of rules and
//! returns a [`SizeRange`]. [`SizeRange::alter`] describes how to trace a pattern between two printed sizes, and
//! measures the error of the traced pattern. [`Fitting`] applies corrections from a trial garment to a draft.
//!
//! ```
//! use kirtle::sizes::ChoiceRule;
//! use kirtle::{Body, SizeChart, Unit};
//!
//! let body = Body { waist: 72.0, hip: 96.0, hip_depth: 20.0, length: 60.0 };
//! let choice = SizeChart::demo().choose(&body, &ChoiceRule::default());
//! assert_eq!(choice.advice(None, Unit::Cm), "This body is size 38.");
//! ```

mod advice;
mod alter;
mod choose;
mod cost;
mod fitting;
mod fitting_record;
mod instructions;
mod measured_instead;
mod nest;
mod verdict;

pub use alter::{Alteration, AlterationLimits, AlterationStep, StepKind};
pub(crate) use choose::BLEND_FRACTION_FIELD;
pub use choose::{
    ChoiceGirth, ChoiceRule, FractionBetweenSizes, GirthOutsideChart, SizeBlend, SizeChoice, SizeDifference,
};
pub use cost::Cost;
pub(crate) use cost::{SewingPoints, rms_distance};
pub(crate) use fitting::{CORRECTION_AMOUNT_FIELD, input_changes_between};
pub use fitting::{Correction, CorrectionSite, CorrectionTarget, Fitting, FittingRound, InputChange};
pub use nest::{GradeIncrement, GradeTable, Nest, named_points_from_hip_line};
pub use verdict::PlaceDifference;

use crate::body::{Apportionment, Body, DartCount, Ease, MAX_DARTS_PER_PANEL, Rules};
use crate::draft::{Draft, draft};
use crate::error::{Code, Problem, Problems};
use crate::field::Unit;
use crate::text::{MAX_NAME_CHARS, compose_letters, long_or_forbidden_text_problem};

const MIN_SIZES_PER_CHART: usize = 2;

/// Named set of body measurements: one size of a size chart.
///
/// ```
/// use kirtle::{Body, Size};
///
/// let text = r#"{"name": "38", "waist": 72, "hip": 96, "hip_depth": 20, "length": 60}"#;
/// let size: Size = serde_json::from_str(text)?;
/// assert_eq!(size.body, Body { waist: 72.0, hip: 96.0, hip_depth: 20.0, length: 60.0 });
/// let refused = serde_json::from_str::<Size>(&text.replace("72", "7.2")).unwrap_err();
/// assert_eq!(refused.to_string(), "size.waist: 7.2 cm is below the minimum of 40 cm");
/// # Ok::<(), serde_json::Error>(())
/// ```
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Size {
    /// Name of the size: one line of at most [`Cutting::MAX_NAME_LETTERS`](crate::Cutting::MAX_NAME_LETTERS)
    /// characters.
    pub name: String,
    /// Body measurements of the size, in centimetres.
    #[serde(flatten)]
    pub body: Body,
}

/// Size chart: at least two named sizes, sorted by the sum of waist and hip. Sizes may have one hip and several waists,
/// or equal girths, as in a row for tall figures; only a blend for a body needs sizes that all grow in both girths.
///
/// ```
/// use kirtle::{Body, Size, SizeChart};
///
/// let size = |name: &str, waist, hip| {
///     Size { name: name.to_owned(), body: Body { waist, hip, hip_depth: 20.0, length: 60.0 } }
/// };
/// let chart = SizeChart::new(vec![size("40", 76.0, 100.0), size("38", 72.0, 96.0)])?;
/// assert_eq!(chart.sizes()[0].name, "38"); // The chart sorts its sizes.
///
/// let problems = SizeChart::new(vec![size("38", 72.0, 96.0), size("38", 76.0, 100.0)]).unwrap_err();
/// assert_eq!(problems.to_string(), "sizes[1].name: another size is already named \"38\"");
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct SizeChart {
    sizes: Vec<Size>,
}

impl SizeChart {
    /// Maximum number of sizes in a size chart.
    pub const MAX_SIZES_PER_CHART: usize = 1000;

    /// Creates a size chart from sizes in any order.
    ///
    /// # Errors
    /// All [`Problems`]: fewer than 2 or more than 1000 sizes; an empty, repeated or overlong name; a measurement out
    /// of range.
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
    /// let problems = SizeChart::new(vec![size("S", 68.0, 92.0), size("M", 7.4, 98.0)]).unwrap_err();
    /// assert_eq!(problems.to_string(), "sizes[1].waist: 7.4 cm is below the minimum of 40 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn new(mut sizes: Vec<Size>) -> Result<Self, Problems> {
        let too_many = Problem::too_many_problem("sizes", sizes.len(), SizeChart::MAX_SIZES_PER_CHART, "sizes");
        Problems::ok_if_empty(too_many)?;
        let mut problems = Vec::new();
        if sizes.len() < MIN_SIZES_PER_CHART {
            let problem = Problem::new(Code::TooFew, "sizes");
            problems.push(problem.with_count_and_limit(sizes.len(), MIN_SIZES_PER_CHART, "sizes"));
        }
        for k in 0..sizes.len() {
            sizes[k].name = compose_letters(&sizes[k].name);
            let size = &sizes[k];
            problems.extend(size_name_problem(&format!("sizes[{k}].name"), &size.name, &sizes[..k]));
            let path = format!("sizes[{k}].");
            size.body.map_fields(|field, cm| problems.extend(field.range_problem(&path, cm, Unit::Cm)));
        }
        Problems::ok_if_empty(problems)?;
        let girths = |size: &Size| size.body.hip + size.body.waist;
        sizes.sort_by(|a, b| {
            let lengths = a.body.length.total_cmp(&b.body.length).then(a.body.hip_depth.total_cmp(&b.body.hip_depth));
            girths(a).total_cmp(&girths(b)).then(lengths).then_with(|| a.name.cmp(&b.name))
        });
        Ok(Self { sizes })
    }

    /// Returns a demonstration chart of the sizes 32 to 54.
    ///
    /// Waist and hip follow EN 13402-3: 4 cm from size to size up to 46, then 6 cm at the waist and 5 cm at the hip.
    /// Size numbers, hip depths (2 mm more for each size) and the length of 60 cm are the library's own choice.
    pub fn demo() -> Self {
        let waists = [60.0, 64.0, 68.0, 72.0, 76.0, 80.0, 84.0, 88.0, 94.0, 100.0, 106.0, 112.0];
        let hips = [84.0, 88.0, 92.0, 96.0, 100.0, 104.0, 108.0, 112.0, 117.0, 122.0, 127.0, 132.0];
        let size = |((waist, hip), k): ((f64, f64), i32)| Size {
            name: (32 + 2 * k).to_string(),
            body: Body { waist, hip, hip_depth: f64::from(195 + 2 * k) / 10.0, length: 60.0 },
        };
        Self { sizes: waists.into_iter().zip(hips).zip(0..).map(size).collect() }
    }

    /// Returns the sizes from the smallest to the largest.
    pub fn sizes(&self) -> &[Size] {
        &self.sizes
    }

    /// Returns the size with the given name, or `None` if this chart has no such size.
    pub fn size(&self, name: &str) -> Option<&Size> {
        let name = compose_letters(name);
        self.sizes.iter().find(|size| size.name == name)
    }

    /// Drafts every size of this chart with one ease and one set of rules.
    ///
    /// Unless the rules ask for [`DartCount::PerSize`], all sizes have the number of darts in back and in front that
    /// most sizes have if drafted alone; of two equally frequent numbers, the larger. If a size cannot be sewn with
    /// that number, each size keeps its own number.
    ///
    /// # Errors
    /// All [`Problems`] of [`draft`] for all sizes. The field names the size, unless every size has the problem.
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
        let range = self.draft_sizes_independently(ease, rules)?;
        let common = rules.clone().with_unchosen_dart_counts_set(range.most_frequent_auto_dart_counts());
        let drafts = self.draft_sizes_independently(ease, &common).map_or(range.drafts, |range| range.drafts);
        Ok(SizeRange { drafts, ..range })
    }

    /// Drafts every size of this chart alone, with the numbers of darts that the rules give for its body.
    fn draft_sizes_independently(&self, ease: &Ease, rules: &Rules) -> Result<SizeRange, Problems> {
        let results: Vec<_> = self.sizes.iter().map(|size| (&size.name, draft(&size.body, ease, rules))).collect();
        let failures: Vec<_> =
            results.iter().filter_map(|(name, result)| Some((name, result.as_ref().err()?))).collect();
        // A problem of the ease or the rules occurs in every size and is reported once.
        let is_common = |problem: &Problem| {
            failures.len() == self.sizes.len() && failures.iter().all(|(_, problems)| problems.contains(problem))
        };
        let first = failures.first().into_iter().flat_map(|(_, problems)| problems.iter());
        let mut problems: Vec<Problem> = first.filter(|problem| is_common(problem)).cloned().collect();
        for (name, found) in &failures {
            problems.extend(found.iter().filter(|problem| !is_common(problem)).map(|problem| {
                let field = problem.field.strip_prefix("body.").unwrap_or(&problem.field);
                problem.clone().with_field_path(format!("size {name:?} {field}"))
            }));
        }
        Problems::ok_if_empty(problems)?;
        let drafts = results.into_iter().filter_map(|(_, result)| result.ok()).collect();
        Ok(SizeRange { chart: self.clone(), rules: rules.clone(), drafts })
    }
}

/// Returns a problem if the name of a size is empty, padded with blanks, too long, or the name of an `earlier` size.
pub(crate) fn size_name_problem(field: &str, name: &str, earlier: &[Size]) -> Option<Problem> {
    let expected = "a name on one line";
    let is_padding = |letter: char| letter.is_whitespace() || letter == '\u{feff}';
    let is_padded = name.trim_matches(is_padding) != name;
    let blank = || (name.is_empty() || is_padded).then(|| Problem::invalid_name_problem(field, name, expected));
    let is_taken = || earlier.iter().any(|other| other.name == name);
    let duplicate = || Problem::new(Code::DuplicateName, field).with_value(format!("{name:?}")).with_limit("size");
    long_or_forbidden_text_problem(field, name, MAX_NAME_CHARS, expected)
        .or_else(blank)
        .or_else(|| is_taken().then(duplicate))
}

/// Size range: a size chart with the draft of every size, all with one ease and one set of rules.
///
/// ```
/// use kirtle::{Ease, Rules, SizeChart};
///
/// let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let waists: Vec<f64> = range.drafts().iter().map(|draft| draft.body().waist).take(3).collect();
/// assert_eq!(waists, [60.0, 64.0, 68.0]);
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct SizeRange {
    chart: SizeChart,
    rules: Rules,
    drafts: Vec<Draft>,
}

impl SizeRange {
    /// Returns the size chart.
    pub fn chart(&self) -> &SizeChart {
        &self.chart
    }

    /// Returns the ease, which is the same for every size.
    pub fn ease(&self) -> &Ease {
        self.drafts[0].ease()
    }

    /// Returns the drafting rules, which are the same for every size.
    pub fn rules(&self) -> &Rules {
        &self.rules
    }

    /// Returns the draft of each size, from the smallest size to the largest.
    pub fn drafts(&self) -> &[Draft] {
        &self.drafts
    }

    /// Iterates over the sizes and their drafts, from the smallest size to the largest.
    pub fn sizes_with_drafts(&self) -> impl Iterator<Item = (&Size, &Draft)> + Clone {
        self.chart.sizes.iter().zip(&self.drafts)
    }

    /// Drafts any body with the ease and the rules of this size range, and with the numbers of darts that all sizes
    /// share.
    ///
    /// # Errors
    /// All [`Problems`] of [`draft`].
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules, SizeChart};
    ///
    /// let ease = Ease { waist: 1.5, hip: 5.0 };
    /// let range = SizeChart::demo().draft(&ease, &Rules::default())?;
    /// let body = Body { waist: 70.0, hip: 94.0, hip_depth: 20.0, length: 60.0 };
    /// let draft = range.draft_any_body(&body)?;
    /// assert_eq!(draft.suppression, kirtle::draft(&body, &ease, &Rules::default())?.suppression);
    ///
    /// let straight = Body { waist: 80.0, hip: 94.0, ..body };
    /// assert_eq!(range.draft_any_body(&straight)?.back.darts.len(), range.drafts()[0].back.darts.len());
    /// assert!(range.draft_any_body(&Body { hip_depth: 61.0, ..body }).is_err());
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn draft_any_body(&self, body: &Body) -> Result<Draft, Problems> {
        let counts = self.drafts[0].dart_counts();
        if self.drafts.iter().all(|draft| draft.dart_counts() == counts) {
            return self.draft_with_dart_counts_of_size(&self.drafts[0], body);
        }
        draft(body, self.ease(), &self.rules)
    }

    /// Drafts a body with the numbers of darts in `size`, the draft of a size, or by the rules if a skirt with these
    /// numbers cannot be drafted.
    fn draft_with_dart_counts_of_size(&self, size: &Draft, body: &Body) -> Result<Draft, Problems> {
        draft(body, self.ease(), &size.inputs_with_drafted_dart_counts().rules)
            .or_else(|_| draft(body, self.ease(), &self.rules))
    }

    /// Returns, for back and front, the number of darts that most sizes have; `None` for a panel whose rule is not
    /// [`DartCount::Auto`].
    fn most_frequent_auto_dart_counts(&self) -> [Option<usize>; 2] {
        let Apportionment::Shares(shares) = &self.rules.apportionment else { return [None; 2] };
        [(0, shares.back_darts), (1, shares.front_darts)].map(|(half, rule)| {
            let sizes = |count: usize| self.drafts.iter().filter(move |draft| draft.dart_counts()[half] == count);
            let most_frequent = (0..=MAX_DARTS_PER_PANEL).max_by_key(|count| sizes(*count).count());
            most_frequent.filter(|_| rule == DartCount::Auto)
        })
    }
}
