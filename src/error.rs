//! What is wrong with an input: a list of records, all of them at once.

use std::borrow::Cow;
use std::fmt;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Declares the codes once: variant, text form, and how its message reads.
macro_rules! codes {
    ($($(#[doc = $doc:literal])+ $variant:ident = $text:literal, |$problem:ident| $message:expr;)*) => {
        /// The kind of a [`Problem`].
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
        #[non_exhaustive]
        pub enum Code {
            $($(#[doc = $doc])+ #[serde(rename = $text)] $variant,)*
        }

        impl Code {
            /// Every code there is.
            pub const ALL: &[Code] = &[$(Code::$variant,)*];

            /// The code as it stands in JSON.
            #[must_use]
            pub fn name(self) -> &'static str {
                match self {
                    $(Code::$variant => $text,)*
                }
            }

            fn message(self, problem: &Problem) -> String {
                match self {
                    $(Code::$variant => { let $problem = problem; $message })*
                }
            }
        }
    };
}

codes! {
    /// A required field is not there.
    Missing = "missing", |p| format!("{}: missing; give {}", p.field, p.limit());
    /// The value is of another type than the field.
    WrongType = "wrong_type", |p| format!("{}: {} is not {}", p.field, p.value(), p.limit());
    /// The number is not finite.
    NotFinite = "not_finite", |p| format!("{}: {} is not finite; give {}", p.field, p.value(), p.limit());
    /// The number is below its range.
    BelowMinimum = "below_minimum", |p| format!("{}: {} is below the minimum of {}", p.field, p.value(), p.limit());
    /// The number is above its range.
    AboveMaximum = "above_maximum", |p| format!("{}: {} is above the maximum of {}", p.field, p.value(), p.limit());
    /// The object has no such field.
    UnknownField = "unknown_field", |p| format!("{}: is not a field here; the fields are {}", p.field, p.limit());
    /// The object has the field twice.
    DuplicateField = "duplicate_field", |p| format!("{}: is given twice; give it once", p.field);
    /// The text is none of those that the field knows.
    UnknownChoice = "unknown_choice", |p| format!("{}: {} is not {}", p.field, p.value(), p.limit());
    /// Two fields exclude each other.
    Conflict = "conflict", |p| format!("{}: cannot be given together with {}", p.field, p.limit());
    /// The list is longer than the field allows.
    TooMany = "too_many", |p| format!("{}: {} given; the most is {}", p.field, counted(&p.value()), p.limit());
    /// The list is shorter than the field allows.
    TooFew = "too_few", |p| format!("{}: {} given; the least is {}", p.field, counted(&p.value()), p.limit());
    /// Two sizes have one name.
    DuplicateName = "duplicate_name", |p| format!("{}: {} is the name of another size, too", p.field, p.value());
    /// A size has a larger hip and not a larger waist than another, or the other way round.
    OutOfOrder = "out_of_order",
        |p| format!("{}: {} is not above the {} of the next smaller size", p.field, p.value(), p.limit());
    /// No size has this name.
    UnknownSize = "unknown_size", |p| format!("{}: {} is none of the sizes {}", p.field, p.value(), p.limit());
    /// A girth is beyond the smallest or the largest size.
    OutsideChart = "outside_chart",
        |p| format!("{}: {} is beyond the chart, which ends at {}", p.field, p.value(), p.limit());
    /// There is no dart to take in or let out.
    NoDart = "no_dart", |p| format!("{}: the draft has no dart to change; give {}", p.field, p.limit());
    /// The columns of a table have different numbers of rows.
    DifferentRows = "different_rows", |p| format!("{}: has {}; the first column has {}", p.field, p.value(), p.limit());
    /// The numbers are not a covariance.
    NotACovariance = "not_a_covariance", |p| format!("{}: is not a covariance: {}", p.field, p.value());
    /// No value of the input gives what is wanted.
    OutOfReach = "out_of_reach", |p| format!("{}: {} is out of reach: {}", p.field, p.value_about(), p.limit());
    /// The text is not a table of sizes.
    BrokenTable = "broken_table", |p| format!("{}: is not a table of sizes: {}", p.field, p.value());
    /// The text is not JSON.
    BrokenJson = "broken_json", |p| format!("{}: is not JSON: {}", p.field, p.value());
    /// The hem would lie above the hip line, or less than 1 cm below it.
    AboveHipLine = "above_hip_line",
        |p| format!("{}: {} does not clear the hip line; the least is {}", p.field, p.value_about(), p.limit_about());
    /// Two neighbours, darts or seams, leave less cloth between them than can be sewn.
    NoRoomAtWaist = "no_room_at_waist",
        |p| format!("{}: leaves {} of cloth between two darts, or a dart and a seam; the least is {}", p.field, p.value_about(), p.limit_about());
    /// No suppression closes the waist: what closing adds leaves no cloth between the darts.
    WaistNotClosed = "waist_not_closed", |p| format!("{}: no suppression closes the waist of this body by these rules; fewer or smaller darts may", p.field);
    /// A dart would reach below the hip line.
    TipBelowHip = "tip_below_hip",
        |p| format!("{}: a dart would end {} below the waist at the side; the hip line is at {}", p.field, p.value_about(), p.limit_about());
    /// The centre of the waist would lie below the hip line.
    WaistBelowHip = "waist_below_hip",
        |p| format!("{}: the centre of the waist would lie {} below the side; the hip line is at {}", p.field, p.value_about(), p.limit_about());
    /// The side seam would lie too flat to be sewn to a waist.
    SideTooFlat = "side_too_flat",
        |p| format!("{}: the side seam leans {} from the upright; the most is {}", p.field, p.value_about(), p.limit_about());
    /// The opening would end below the hem.
    OpeningTooLong = "opening_too_long",
        |p| format!("{}: {} is longer than the centre back seam of {}", p.field, p.value(), p.limit_about());
    /// The cloth is narrower than a piece.
    ClothTooNarrow = "cloth_too_narrow",
        |p| format!("{}: {} is narrower than the widest piece takes; the least is {}", p.field, p.value(), p.limit_above());
    /// The paper's margins and overlap leave too little of it.
    PaperTooSmall = "paper_too_small",
        |p| format!("{}: margins and overlap leave {}; the least is {}", p.field, p.value(), p.limit());
    /// The level lies outside the garment.
    OutsideGarment = "outside_garment",
        |p| format!("{}: {} is outside the garment; give {}", p.field, p.value(), p.limit());
}

/// A value or a limit, as it was given.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
#[cfg_attr(feature = "python", derive(pyo3::IntoPyObject))]
pub enum GivenValue {
    /// A number, in the problem's unit.
    Number(f64),
    /// Anything else, as a short text.
    Text(String),
}

impl From<f64> for GivenValue {
    fn from(value: f64) -> Self {
        if value.is_finite() { Self::Number(value) } else { Self::Text(value.to_string()) }
    }
}

impl From<String> for GivenValue {
    fn from(text: String) -> Self {
        Self::Text(cut(text))
    }
}

impl From<&str> for GivenValue {
    fn from(text: &str) -> Self {
        text.to_owned().into()
    }
}

/// The most letters of a text that a problem shows: whoever reads it is told, not flooded.
const MAX_SHOWN: usize = 2000;

/// The start of a text that is too long to be shown.
fn cut(mut text: String) -> String {
    if let Some((end, _)) = text.char_indices().nth(MAX_SHOWN) {
        text.truncate(end);
        text.push('…');
    }
    text
}

/// One thing that is wrong with an input.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "python", pyo3::pyclass(frozen, get_all, eq, module = "kirtle"))]
pub struct Problem {
    /// The kind of the problem.
    pub code: Code,
    /// The path of the field, such as `body.waist` or `rules.darts.back[0].length`.
    pub field: String,
    /// The value that was given, if any.
    pub value: Option<GivenValue>,
    /// The limit that it breaks, if any.
    pub limit: Option<GivenValue>,
    /// The unit of value and limit: `cm`, `in`, `mm`, `deg`, `bytes`, or none for a plain number.
    pub unit: Option<Cow<'static, str>>,
    /// The whole in one sentence.
    pub message: String,
}

/// So many of them with the verb: `1 sizes` as one.
fn counted(value: &str) -> String {
    if value.starts_with("1 ") { format!("{} is", value.trim_end_matches('s')) } else { format!("{value} are") }
}

/// The longest text that is shown in an error.
const LONGEST_SHOWN: usize = 40;

/// The start of a long text, with what cannot be shown, and quotes, escaped.
pub(crate) fn shortened(text: &str) -> String {
    let start: String = text.chars().take(LONGEST_SHOWN).collect();
    let cut = if start.len() < text.len() { "…" } else { "" };
    format!("{}{cut}", start.escape_debug())
}

/// The name of a field that someone gave: as it is, or in quotes where else it would not be seen to be one.
pub(crate) fn shown_name(name: &str) -> String {
    let plain = !name.is_empty() && name.chars().all(|c| c.is_alphanumeric() || "_-.[]".contains(c));
    let shown = shortened(name);
    if plain { shown } else { format!("\"{shown}\"") }
}

impl Problem {
    /// A problem of this kind with this field; the rest is added by [`value`](Self::with_value) and its neighbours.
    pub(crate) fn new(code: Code, field: impl Into<String>) -> Self {
        Self { code, field: cut(field.into()), value: None, limit: None, unit: None, message: String::new() }.worded()
    }

    /// The problem of a text that is not what is wanted, shown with what cannot be seen escaped.
    pub(crate) fn not_a_name(field: &str, text: &str, wanted: &str) -> Self {
        Self::new(Code::WrongType, field).with_value(format!("{text:?}")).with_limit(wanted)
    }

    /// The problem of a list, or of letters, that are more than the most; none where they are not.
    pub(crate) fn too_many(field: &str, count: usize, max: usize, of_what: &str) -> Option<Self> {
        let problem = || Self::new(Code::TooMany, field).with_value(format!("{count} {of_what}"));
        (count > max).then(|| problem().with_limit(format!("{max} {of_what}")))
    }

    pub(crate) fn with_value(mut self, value: impl Into<GivenValue>) -> Self {
        self.value = Some(value.into());
        self.worded()
    }

    pub(crate) fn with_limit(mut self, limit: impl Into<GivenValue>) -> Self {
        self.limit = Some(limit.into());
        self.worded()
    }

    pub(crate) fn with_unit(mut self, unit: &'static str) -> Self {
        self.unit = (!unit.is_empty()).then_some(Cow::Borrowed(unit));
        self.worded()
    }

    /// The same problem of another field.
    pub(crate) fn in_field(mut self, field: String) -> Self {
        self.field = cut(field);
        self.worded()
    }

    fn worded(mut self) -> Self {
        self.message = self.code.message(&self);
        self
    }

    fn value(&self) -> String {
        self.shown(self.value.as_ref())
    }

    fn limit(&self) -> String {
        self.shown(self.limit.as_ref())
    }

    fn value_about(&self) -> String {
        self.shown(self.value.as_ref().map(about).as_ref())
    }

    /// The limit rounded up, so that what is read is enough.
    fn limit_above(&self) -> String {
        let up = |given: &GivenValue| match given {
            GivenValue::Number(number) => GivenValue::Number((number * 100.0 - 1e-9).ceil() / 100.0),
            text @ GivenValue::Text(_) => text.clone(),
        };
        self.shown(self.limit.as_ref().map(up).as_ref())
    }

    fn limit_about(&self) -> String {
        self.shown(self.limit.as_ref().map(about).as_ref())
    }

    /// Numbers are shown with their unit; texts speak for themselves.
    fn shown(&self, given: Option<&GivenValue>) -> String {
        match (given, &self.unit) {
            (Some(GivenValue::Number(number)), Some(unit)) => format!("{number} {unit}"),
            (Some(GivenValue::Number(number)), None) => number.to_string(),
            (Some(GivenValue::Text(text)), _) => text.clone(),
            (None, _) => "nothing".to_owned(),
        }
    }
}

/// A number that was computed, to a hundredth: what was given is shown as it was given.
fn about(given: &GivenValue) -> GivenValue {
    match given {
        GivenValue::Number(number) => GivenValue::Number((number * 100.0).round() / 100.0),
        text @ GivenValue::Text(_) => text.clone(),
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

/// All that is wrong with an input: never empty.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Kirtle error")]
pub struct Problems {
    /// The problems, in the order of the input.
    #[schemars(length(min = 1))]
    problems: Vec<Problem>,
}

impl Problems {
    /// A list that is known not to be empty.
    pub(crate) fn new(problems: Vec<Problem>) -> Self {
        debug_assert!(!problems.is_empty());
        Self { problems }
    }

    /// `Ok` where the list is empty, else the list.
    pub(crate) fn ok_if_empty(problems: Vec<Problem>) -> Result<(), Self> {
        if problems.is_empty() { Ok(()) } else { Err(Self::new(problems)) }
    }

    /// Both, or the problems of both.
    pub(crate) fn both<A, B>(first: Result<A, Self>, second: Result<B, Self>) -> Result<(A, B), Self> {
        match (first, second) {
            (Ok(first), Ok(second)) => Ok((first, second)),
            (Err(problems), Ok(_)) | (Ok(_), Err(problems)) => Err(problems),
            (Err(first), Err(second)) => Err(Self::new([first.problems, second.problems].concat())),
        }
    }

    /// The same problems of what lies within a larger whole.
    pub(crate) fn within(self, path: &str) -> Self {
        let problems = self.problems.into_iter();
        Self {
            problems: problems
                .map(|problem| {
                    let field = format!("{path}{}", problem.field);
                    problem.in_field(field)
                })
                .collect(),
        }
    }

    /// The same problems with lengths, found in centimetres, in another unit.
    pub(crate) fn in_unit(self, name: &'static str, in_cm: f64) -> Self {
        let converted = |given: Option<GivenValue>| match given {
            Some(GivenValue::Number(number)) => Some(GivenValue::Number(number / in_cm)),
            other => other,
        };
        let problems = self.problems.into_iter().map(|mut problem| {
            if problem.unit.as_deref() == Some("cm") && name != "cm" {
                problem.value = converted(problem.value);
                problem.limit = converted(problem.limit);
                problem = problem.with_unit(name);
            }
            problem
        });
        Self { problems: problems.collect() }
    }
}

impl From<Problem> for Problems {
    fn from(problem: Problem) -> Self {
        Self { problems: vec![problem] }
    }
}

impl std::ops::Deref for Problems {
    type Target = [Problem];

    fn deref(&self) -> &[Problem] {
        &self.problems
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let lines: Vec<&str> = self.problems.iter().map(|problem| problem.message.as_str()).collect();
        f.write_str(&lines.join("\n"))
    }
}

impl std::error::Error for Problems {}
