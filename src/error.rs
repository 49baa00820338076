//! Errors of every public function: [`Problems`], a list of records with a [`Code`], a field, a value and a limit.
//!
//! A check collects every problem of an input before it returns. A [`Problems`] is never empty, and each message
//! follows from the other fields of its record.
//!
//! ```
//! use kirtle::{Body, Code, Ease, Rules};
//!
//! let body = Body { waist: 3.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
//! let problems = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap_err();
//! assert_eq!((problems[0].code, problems[0].field.as_str()), (Code::BelowMinimum, "body.waist"));
//! assert_eq!(problems[0].message, "body.waist: 3 cm is below the minimum of 40 cm");
//! ```

use std::borrow::Cow;
use std::fmt;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Declares [`Code`]: for each error code its documentation, variant, JSON name and message.
macro_rules! codes {
    ($($(#[doc = $doc:literal])+ $variant:ident = $text:literal, |$problem:pat_param| $message:expr;)*) => {
        /// Error code: the kind of a [`Problem`].
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
        #[non_exhaustive]
        pub enum Code {
            $($(#[doc = $doc])+ #[serde(rename = $text)] $variant,)*
        }

        impl Code {
            /// All error codes.
            pub const ALL: &[Code] = &[$(Code::$variant,)*];

            /// Returns the name of the error code in JSON, such as `below_minimum`.
            #[must_use]
            pub fn name(self) -> &'static str {
                match self {
                    $(Code::$variant => $text,)*
                }
            }

            /// Formats the message of a problem with this error code, without the path of the field.
            fn message_without_field(self, problem: &Problem) -> String {
                match self {
                    $(Code::$variant => { let $problem = problem; $message })*
                }
            }
        }
    };
}

codes! {
    /// A required field is missing.
    Missing = "missing", |p| format!("missing: give {}", p.limit_text());
    /// The value has the wrong type, such as a text for a number.
    WrongType = "wrong_type", |p| format!("{} is not {}", p.value_text(), p.limit_text());
    /// The number is NaN or infinite.
    NotFinite = "not_finite", |p| format!("{} is not finite; give {}", p.value_text(), p.limit_text());
    /// The number is below the minimum of its field.
    BelowMinimum = "below_minimum", |p| format!("{} is below the minimum of {}", p.value_text(), p.limit_text());
    /// The number is above the maximum of its field.
    AboveMaximum = "above_maximum", |p| format!("{} is above the maximum of {}", p.value_text(), p.limit_text());
    /// The object has a field with an unknown name.
    UnknownField = "unknown_field", |p| format!("unknown field; known fields are {}", p.limit_text());
    /// The same field is given twice.
    DuplicateField = "duplicate_field", |_| "given twice: give it once".to_owned();
    /// The text is not one of the choices of its field.
    UnknownChoice = "unknown_choice", |p| format!("{} is not {}", p.value_text(), p.limit_text());
    /// Two fields are given that exclude each other.
    Conflict = "conflict", |p| format!("cannot be given together with {}", p.limit_text());
    /// The list or text is too long.
    TooMany = "too_many", |p| format!("{} given, at most {} allowed", count_with_verb(&p.value_text()), p.limit_text());
    /// The list is too short.
    TooFew = "too_few", |p| format!("{} given, at least {} needed", count_with_verb(&p.value_text()), p.limit_text());
    /// Two sizes have the same name.
    DuplicateName = "duplicate_name", |p| format!("another size is already named {}", p.value_text());
    /// One size has a larger hip than another size but no larger waist, or a larger waist but no larger hip.
    OutOfOrder = "out_of_order",
        |p| format!("{} is not larger than the {} of the next smaller size", p.value_text(), p.limit_text());
    /// The size chart has no size with the given name.
    UnknownSize = "unknown_size", |p| format!("there is no size {}; the sizes are {}", p.value_text(), p.limit_text());
    /// A girth lies outside the range from the smallest to the largest size.
    OutsideChart = "outside_chart",
        |p| format!("{} is outside the size chart, which ends at {}: draft this body individually", p.value_text(), p.limit_text());
    /// A correction changes the darts of a draft without darts.
    NoDart = "no_dart", |p| format!("the draft has no dart to change; give {}", p.limit_text());
    /// The columns of a table have different numbers of rows.
    DifferentRows = "different_rows",
        |p| format!("this column has {}, but the first column has {}", p.value_text(), p.limit_text());
    /// The matrix is not a covariance matrix: it is not symmetric, or not positive semidefinite.
    NotACovariance = "not_a_covariance", |p| format!("not a covariance matrix: {}", p.value_text());
    /// No input within its range gives the target value.
    OutOfReach = "out_of_reach", |p| format!("{} cannot be reached: {}", p.value_rounded_text(), p.limit_text());
    /// The text is not a valid size table in CSV.
    BrokenTable = "broken_table", |p| format!("not a valid size table: {}", p.value_text());
    /// The text is not valid JSON.
    BrokenJson = "broken_json", |p| format!("invalid JSON: {}", p.value_text());
    /// The hem lies above the hip line, or less than 1 cm below the hip line.
    AboveHipLine = "above_hip_line",
        |p| format!("{} is too short: the hem must be at least 1 cm below the hip line; the minimum is {}", p.value_rounded_text(), p.limit_rounded_text());
    /// Too little cloth is left to sew between two darts, or between a dart and a seam.
    NoRoomAtWaist = "no_room_at_waist",
        |p| format!("between two darts, or a dart and a seam, {} of cloth is left; at least {} is needed: use fewer or smaller darts", p.value_rounded_text(), p.limit_rounded_text());
    /// No amount of suppression brings the sewn waist to the required girth with the given darts.
    WaistNotClosed = "waist_not_closed",
        |_| "these darts cannot shape this waist: use fewer or smaller darts".to_owned();
    /// A dart reaches below the hip line.
    TipBelowHip = "tip_below_hip",
        |p| format!("a dart tip would lie {} below the side end of the waist, but the hip line lies at {}: use a shorter dart", p.value_rounded_text(), p.limit_rounded_text());
    /// The waist at the centre lies below the hip line.
    WaistBelowHip = "waist_below_hip",
        |p| format!("the centre of the waist would lie {} below its side end, but the hip line lies at {}: use a larger hip depth, or lower the centre less", p.value_rounded_text(), p.limit_rounded_text());
    /// The side seam leans too far from the vertical to be sewn to a waist.
    SideTooFlat = "side_too_flat", |p| format!(
        "the side seam leans {} from the vertical; the maximum is {}: check waist, hip and hip depth, or use {} darts",
        p.value_rounded_text(), p.limit_rounded_text(), if p.value_text().starts_with('-') { "smaller or fewer" } else { "larger or more" });
    /// The opening is longer than the centre back seam.
    OpeningTooLong = "opening_too_long",
        |p| format!("{} is longer than the centre back seam of {}", p.value_text(), p.limit_rounded_text());
    /// The cloth is narrower than the widest piece with its allowances.
    ClothTooNarrow = "cloth_too_narrow",
        |p| format!("{} is too narrow for the widest piece; the minimum is {}", p.value_text(), p.limit_rounded_up_text());
    /// The sheet without margins and overlap is too small to print on.
    PaperTooSmall = "paper_too_small",
        |p| format!("margins and overlap leave only {}; at least {} is needed: use a larger sheet", p.value_text(), p.limit_text());
    /// The level lies above the waist or below the hem.
    OutsideGarment = "outside_garment",
        |p| format!("{} is outside the garment; give {}", p.value_text(), p.limit_text());
}

/// Value or limit in a [`Problem`]: a number or a short text.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
#[cfg_attr(feature = "python", derive(pyo3::IntoPyObject))]
pub enum GivenValue {
    /// Finite number in the unit of the problem.
    Number(f64),
    /// Short text that stands for a value of any other type.
    Text(String),
}

impl From<f64> for GivenValue {
    fn from(value: f64) -> Self {
        if value.is_finite() { Self::Number(value) } else { Self::Text(value.to_string()) }
    }
}

impl From<String> for GivenValue {
    fn from(text: String) -> Self {
        Self::Text(truncate_text(text))
    }
}

impl From<&str> for GivenValue {
    fn from(text: &str) -> Self {
        text.to_owned().into()
    }
}

/// Maximum number of characters of the field path, and of a text as value or limit, in a problem.
const MAX_PROBLEM_TEXT_CHARS: usize = 2000;

/// Truncates a text longer than `MAX_PROBLEM_TEXT_CHARS` characters, and appends an ellipsis.
fn truncate_text(mut text: String) -> String {
    if let Some((end, _)) = text.char_indices().nth(MAX_PROBLEM_TEXT_CHARS) {
        text.truncate(end);
        text.push('…');
    }
    text
}

/// One error in an input: code, field, value, limit and message.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "python", pyo3::pyclass(frozen, get_all, eq, module = "kirtle"))]
pub struct Problem {
    /// Error code.
    pub code: Code,
    /// Path of the wrong field, such as `body.waist` or `rules.darts.back[0].length`.
    pub field: String,
    /// Value given for the field, if there is one.
    pub value: Option<GivenValue>,
    /// Limit that the value breaks, or a description of the valid values, if there is one.
    pub limit: Option<GivenValue>,
    /// Unit of a numeric value and limit: `cm`, `in`, `mm`, `deg` or `bytes`; none for a number without unit or a text.
    pub unit: Option<Cow<'static, str>>,
    /// Error message for people: field, value and limit in one sentence.
    pub message: String,
}

/// Adds "is" or "are" to a count with its plural noun: "1 sizes" becomes "1 size is", "2 sizes" becomes "2 sizes are".
fn count_with_verb(value: &str) -> String {
    if value.starts_with("1 ") { format!("{} is", value.trim_end_matches('s')) } else { format!("{value} are") }
}

/// Maximum number of characters of a caller's text that a message quotes.
const MAX_QUOTED_CHARS: usize = 40;

/// Truncates a text to 40 characters and escapes quotes and control characters.
pub(crate) fn escape_and_truncate(text: &str) -> String {
    let start: String = text.chars().take(MAX_QUOTED_CHARS).collect();
    let ellipsis = if start.len() < text.len() { "…" } else { "" };
    format!("{}{ellipsis}", start.escape_debug())
}

/// Formats a caller's field name for a message, in quotes if it is empty or has spaces or unusual characters.
pub(crate) fn quote_if_unusual(name: &str) -> String {
    let plain = !name.is_empty() && name.chars().all(|c| c.is_alphanumeric() || "_-.[]".contains(c));
    let escaped = escape_and_truncate(name);
    if plain { escaped } else { format!("\"{escaped}\"") }
}

impl Problem {
    /// Creates a problem without value, limit and unit.
    pub(crate) fn new(code: Code, field: impl Into<String>) -> Self {
        Self { code, field: truncate_text(field.into()), value: None, limit: None, unit: None, message: String::new() }
            .with_message()
    }

    /// Creates a [`Code::WrongType`] problem for a text that is not a valid name; `wanted` describes a valid name.
    pub(crate) fn not_a_name(field: &str, text: &str, wanted: &str) -> Self {
        Self::new(Code::WrongType, field).with_value(format!("{text:?}")).with_limit(wanted)
    }

    /// Creates a [`Code::TooMany`] problem, or `None` if `count` is at most `max`; `plural` names the items: "darts".
    pub(crate) fn too_many(field: &str, count: usize, max: usize, plural: &str) -> Option<Self> {
        let problem = || Self::new(Code::TooMany, field).with_value(format!("{count} {plural}"));
        (count > max).then(|| problem().with_limit(format!("{max} {plural}")))
    }

    /// Sets the value of the problem and updates the message.
    pub(crate) fn with_value(mut self, value: impl Into<GivenValue>) -> Self {
        self.value = Some(value.into());
        self.with_message()
    }

    /// Sets the limit of the problem and updates the message.
    pub(crate) fn with_limit(mut self, limit: impl Into<GivenValue>) -> Self {
        self.limit = Some(limit.into());
        self.with_message()
    }

    /// Sets the unit of value and limit, none for an empty text, and updates the message.
    pub(crate) fn with_unit(mut self, unit: &'static str) -> Self {
        self.unit = (!unit.is_empty()).then_some(Cow::Borrowed(unit));
        self.with_message()
    }

    /// Replaces the field path of the problem and updates the message.
    pub(crate) fn with_field(mut self, field: String) -> Self {
        self.field = truncate_text(field);
        self.with_message()
    }

    /// Rebuilds the message from the other fields of the problem.
    fn with_message(mut self) -> Self {
        self.message = format!("{}: {}", self.field, self.code.message_without_field(&self));
        self
    }

    /// Formats the value with its unit.
    fn value_text(&self) -> String {
        self.format_with_unit(self.value.as_ref())
    }

    /// Formats the limit with its unit.
    fn limit_text(&self) -> String {
        self.format_with_unit(self.limit.as_ref())
    }

    /// Formats a computed value, rounded to two decimals, with its unit.
    fn value_rounded_text(&self) -> String {
        self.format_with_unit(self.value.as_ref().map(round_to_two_decimals).as_ref())
    }

    /// Formats a computed limit, rounded to two decimals, with its unit.
    fn limit_rounded_text(&self) -> String {
        self.format_with_unit(self.limit.as_ref().map(round_to_two_decimals).as_ref())
    }

    /// Formats the limit, rounded up to two decimals so that the printed number is valid, with its unit.
    fn limit_rounded_up_text(&self) -> String {
        let rounded_up = |given: &GivenValue| match given {
            GivenValue::Number(number) => GivenValue::Number((number * 100.0 - 1e-9).ceil() / 100.0),
            text @ GivenValue::Text(_) => text.clone(),
        };
        self.format_with_unit(self.limit.as_ref().map(rounded_up).as_ref())
    }

    /// Formats a number with the unit of the problem, a text as given, and a missing value as "nothing".
    fn format_with_unit(&self, given: Option<&GivenValue>) -> String {
        match (given, &self.unit) {
            (Some(GivenValue::Number(number)), Some(unit)) => format!("{number} {unit}"),
            (Some(GivenValue::Number(number)), None) => number.to_string(),
            (Some(GivenValue::Text(text)), _) => text.clone(),
            (None, _) => "nothing".to_owned(),
        }
    }
}

/// Rounds a number to two decimals, and returns a text unchanged.
fn round_to_two_decimals(given: &GivenValue) -> GivenValue {
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

/// Non-empty list of all errors in an input.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Kirtle error")]
pub struct Problems {
    /// Problems in the order of the fields of the input.
    #[schemars(length(min = 1))]
    problems: Vec<Problem>,
}

impl Problems {
    /// Creates the error from a list of problems, which must not be empty.
    pub(crate) fn new(problems: Vec<Problem>) -> Self {
        debug_assert!(!problems.is_empty());
        Self { problems }
    }

    /// Returns `Ok(())` for an empty list of problems, and otherwise the list as an error.
    pub(crate) fn ok_if_empty(problems: Vec<Problem>) -> Result<(), Self> {
        if problems.is_empty() { Ok(()) } else { Err(Self::new(problems)) }
    }

    /// Joins two results into a pair of values, or into one error with the problems of the first and then the second.
    pub(crate) fn join_results<A, B>(first: Result<A, Self>, second: Result<B, Self>) -> Result<(A, B), Self> {
        match (first, second) {
            (Ok(first), Ok(second)) => Ok((first, second)),
            (Err(problems), Ok(_)) | (Ok(_), Err(problems)) => Err(problems),
            (Err(first), Err(second)) => Err(Self::new([first.problems, second.problems].concat())),
        }
    }

    /// Prepends a path, such as "blend.", to the field of every problem.
    pub(crate) fn with_field_prefix(self, path: &str) -> Self {
        let problems = self.problems.into_iter();
        Self {
            problems: problems
                .map(|problem| {
                    let field = format!("{path}{}", problem.field);
                    problem.with_field(field)
                })
                .collect(),
        }
    }

    /// Converts every value and limit in centimetres to the unit called `name`, which is `in_cm` centimetres long.
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
