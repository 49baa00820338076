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
            fn message_without_field_path(self, problem: &Problem) -> String {
                match self {
                    $(Code::$variant => { let $problem = problem; $message })*
                }
            }
        }
    };
}

codes! {
    /// A required field is missing.
    Missing = "missing", |p| format!("missing: give {}", p.limit_with_unit());
    /// The value has the wrong type, such as a text for a number.
    WrongType = "wrong_type", |p| format!("{} is not {}", p.value_with_unit(), p.limit_with_unit());
    /// The number is NaN or infinite.
    NotFinite = "not_finite", |p| format!("{} is not finite; give {}", p.value_with_unit(), p.limit_with_unit());
    /// The number is below the minimum of its field.
    BelowMinimum = "below_minimum",
        |p| format!("{} is below the minimum of {}", p.value_with_unit(), p.limit_with_unit());
    /// The number is above the maximum of its field.
    AboveMaximum = "above_maximum",
        |p| format!("{} is above the maximum of {}", p.value_with_unit(), p.limit_with_unit());
    /// The object has a field with an unknown name.
    UnknownField = "unknown_field", |p| format!("unknown field; known fields are {}", p.limit_with_unit());
    /// The same field is given twice.
    DuplicateField = "duplicate_field", |_| "given twice: give it once".to_owned();
    /// The text is not one of the choices of its field.
    UnknownChoice = "unknown_choice", |p| format!("{} is not {}", p.value_with_unit(), p.limit_with_unit());
    /// Two fields are given that exclude each other.
    Conflict = "conflict", |p| format!("cannot be given together with {}", p.limit_with_unit());
    /// The list or text is too long.
    TooMany = "too_many",
        |p| format!("{} given, at most {} allowed", count_with_is_or_are(&p.value_with_unit()), p.limit_with_unit());
    /// The list is too short.
    TooFew = "too_few",
        |p| format!("{} given, at least {} needed", count_with_is_or_are(&p.value_with_unit()), p.limit_with_unit());
    /// Two sizes have the same name.
    DuplicateName = "duplicate_name", |p| format!("another size is already named {}", p.value_with_unit());
    /// One size has a larger hip than another size but not a larger waist, or a larger waist but not a larger hip.
    OutOfOrder = "out_of_order",
        |p| format!("{} is not larger than the {} of the next smaller size", p.value_with_unit(), p.limit_with_unit());
    /// The size chart has no size with the given name.
    UnknownSize = "unknown_size",
        |p| format!("there is no size {}; the sizes are {}", p.value_with_unit(), p.limit_with_unit());
    /// A girth is outside the size chart: smaller than in the smallest size, or larger than in the largest size.
    OutsideChart = "outside_chart",
        |p| format!("{} is outside the size chart, which ends at {}: draft this body individually", p.value_with_unit(), p.limit_with_unit());
    /// A correction changes a dart that the draft does not have.
    NoDart = "no_dart",
        |p| format!("the draft has no dart to change at {}; give {}", p.value_with_unit(), p.limit_with_unit());
    /// The columns of a table have different numbers of rows.
    DifferentRows = "different_rows",
        |p| format!("this column has {}, but the first column has {}", p.value_with_unit(), p.limit_with_unit());
    /// The matrix is not a covariance matrix: it is not symmetric, or not positive semidefinite.
    NotACovariance = "not_a_covariance", |p| format!("not a covariance matrix: {}", p.value_with_unit());
    /// No value of the input, within its range, gives the target value.
    OutOfReach = "out_of_reach",
        |p| format!("{} cannot be reached: {}", p.rounded_value_with_unit(), p.limit_with_unit());
    /// The text is not a valid size table in CSV.
    BrokenTable = "broken_table", |p| format!("not a valid size table: {}", p.value_with_unit());
    /// The text is not valid JSON.
    BrokenJson = "broken_json", |p| format!("invalid JSON: {}", p.value_with_unit());
    /// The hem lies above the hip line, or less than 1 cm below the hip line.
    AboveHipLine = "above_hip_line",
        |p| format!("{} is too short: the hem must be at least 1 cm below the hip line; the minimum is {}", p.rounded_value_with_unit(), p.rounded_limit_with_unit());
    /// Too little cloth is left to sew between two darts, or between a dart and a seam.
    NoRoomAtWaist = "no_room_at_waist",
        |p| format!("between two darts, or a dart and a seam, {} of cloth is left; at least {} is needed: use fewer or smaller darts", p.rounded_value_with_unit(), p.rounded_limit_with_unit());
    /// A dart would take in next to nothing, or less than nothing.
    DartTooSmall = "dart_too_small",
        |p| format!("a dart would take in {}; at least {} can be sewn: use fewer darts", p.rounded_value_with_unit(), p.rounded_limit_with_unit());
    /// No amount of suppression brings the sewn waist to the required girth with the given darts.
    WaistNotClosed = "waist_not_closed",
        |_| "these darts cannot shape this waist: use fewer or smaller darts".to_owned();
    /// A dart reaches below the hip line.
    TipBelowHip = "tip_below_hip",
        |p| format!("a dart tip would lie {} below the side end of the waist, but the hip line lies at {}: use a shorter dart", p.rounded_value_with_unit(), p.rounded_limit_with_unit());
    /// The waist at the centre lies below the hip line.
    WaistBelowHip = "waist_below_hip",
        |p| format!("the centre of the waist would lie {} below its side end, but the hip line lies at {}: use a larger hip depth, or lower the centre less", p.rounded_value_with_unit(), p.rounded_limit_with_unit());
    /// The side seam leans too far from the vertical to be sewn to a waist.
    SideTooFlat = "side_too_flat", |p| format!(
        "the side seam leans {} from the vertical; the maximum is {}: check waist, hip and hip depth, or use {} darts",
        p.rounded_value_with_unit(), p.rounded_limit_with_unit(), if p.value_with_unit().starts_with('-') { "smaller or fewer" } else { "larger or more" });
    /// The opening is longer than the centre back seam.
    OpeningTooLong = "opening_too_long",
        |p| format!("{} is longer than the centre back seam of {}", p.value_with_unit(), p.rounded_limit_with_unit());
    /// The vent leaves no room for the zip opening and the seam between them.
    VentTooHigh = "vent_too_high",
        |p| format!("a vent {} high leaves too little of the centre back seam for the zip opening; the maximum is {}", p.rounded_value_with_unit(), p.rounded_limit_with_unit());
    /// The facing is so deep that the waist, which curves sharply, allows no parallel lower edge.
    FacingTooDeep = "facing_too_deep",
        |p| format!("the waist curves too sharply for a facing {} deep; the maximum is {}: use a waistband or other darts", p.rounded_value_with_unit(), p.rounded_limit_with_unit());
    /// The cloth is narrower than the widest piece with its allowances.
    ClothTooNarrow = "cloth_too_narrow",
        |p| format!("{} is too narrow for the widest piece; the minimum is {}", p.value_with_unit(), p.rounded_up_limit_with_unit());
    /// The sheet without margins and overlap is too small to print on.
    PaperTooSmall = "paper_too_small",
        |p| format!("margins and overlap leave only {}; at least {} is needed: use a larger sheet", p.value_with_unit(), p.limit_with_unit());
    /// The level lies above the waist or below the hem.
    OutsideGarment = "outside_garment",
        |p| format!("{} is outside the garment; give {}", p.value_with_unit(), p.limit_with_unit());
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
        Self::Text(truncate_problem_text(text))
    }
}

impl From<&str> for GivenValue {
    fn from(text: &str) -> Self {
        text.to_owned().into()
    }
}

/// Maximum number of characters of each text in a [`Problem`]: field path, value and limit.
const MAX_PROBLEM_TEXT_CHARS: usize = 2000;

/// Truncates a text for a [`Problem`] to `MAX_PROBLEM_TEXT_CHARS` characters; appends an ellipsis to a truncated text.
fn truncate_problem_text(mut text: String) -> String {
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
    /// Limit that the value exceeds or falls below, or a description of the valid values, if there is one.
    pub limit: Option<GivenValue>,
    /// Unit of a numeric value and limit: `cm`, `in`, `mm`, `deg` or `bytes`; none for a number without unit or a text.
    pub unit: Option<Cow<'static, str>>,
    /// Error message for people: field, value and limit in one sentence.
    pub message: String,
}

/// Adds "is" or "are" to a count with its plural noun: "1 sizes" becomes "1 size is", "2 sizes" becomes "2 sizes are".
fn count_with_is_or_are(value: &str) -> String {
    if value.starts_with("1 ") { format!("{} is", value.trim_end_matches('s')) } else { format!("{value} are") }
}

/// Maximum number of characters that a message quotes from a text of the caller.
const MAX_QUOTED_CHARS: usize = 40;

/// Prepares a caller's text for a message: truncates it to 40 characters and escapes quotes and control characters.
pub(crate) fn escape_and_truncate_for_message(text: &str) -> String {
    let start: String = text.chars().take(MAX_QUOTED_CHARS).collect();
    let ellipsis = if start.len() < text.len() { "…" } else { "" };
    format!("{}{ellipsis}", start.escape_debug())
}

/// Formats a field name from the caller for a message, in quotes if it is empty or has spaces or unusual characters.
pub(crate) fn quote_unusual_field_name(name: &str) -> String {
    let plain = !name.is_empty() && name.chars().all(|c| c.is_alphanumeric() || "_-.[]".contains(c));
    let escaped = escape_and_truncate_for_message(name);
    if plain { escaped } else { format!("\"{escaped}\"") }
}

impl Problem {
    /// Creates a problem from error code and field path, without value, limit and unit.
    pub(crate) fn new(code: Code, field: impl Into<String>) -> Self {
        let field = truncate_problem_text(field.into());
        Self { code, field, value: None, limit: None, unit: None, message: String::new() }.with_rebuilt_message()
    }

    /// Creates a [`Code::WrongType`] problem for a text that is not a valid name; `wanted` describes a valid name.
    pub(crate) fn not_a_valid_name(field: &str, text: &str, wanted: &str) -> Self {
        Self::new(Code::WrongType, field).with_value(format!("{text:?}")).with_limit(wanted)
    }

    /// Creates a [`Code::TooMany`] problem if `count` exceeds `max`; `plural` names the counted items, such as "darts".
    pub(crate) fn if_too_many(field: &str, count: usize, max: usize, plural: &str) -> Option<Self> {
        let problem = || Self::new(Code::TooMany, field).with_value(format!("{count} {plural}"));
        (count > max).then(|| problem().with_limit(format!("{max} {plural}")))
    }

    /// Creates a problem if a column of `count` numbers does not have `expected` numbers, one for each person.
    pub(crate) fn if_not_one_number_per_person(field: &str, count: usize, expected: usize) -> Option<Self> {
        let code = if count < expected { Code::TooFew } else { Code::TooMany };
        let problem = || Self::new(code, field).with_value(format!("{count} numbers"));
        (count != expected).then(|| problem().with_limit(format!("{expected} numbers (one per person)")))
    }

    /// Sets the value of the problem and updates the message.
    pub(crate) fn with_value(mut self, value: impl Into<GivenValue>) -> Self {
        self.value = Some(value.into());
        self.with_rebuilt_message()
    }

    /// Sets the limit of the problem and updates the message.
    pub(crate) fn with_limit(mut self, limit: impl Into<GivenValue>) -> Self {
        self.limit = Some(limit.into());
        self.with_rebuilt_message()
    }

    /// Sets the unit of value and limit, none for an empty text, and updates the message.
    pub(crate) fn with_unit(mut self, unit: &'static str) -> Self {
        self.unit = (!unit.is_empty()).then_some(Cow::Borrowed(unit));
        self.with_rebuilt_message()
    }

    /// Replaces the field path of the problem and updates the message.
    pub(crate) fn with_field_path(mut self, field: String) -> Self {
        self.field = truncate_problem_text(field);
        self.with_rebuilt_message()
    }

    /// Builds the message again from the other fields of the problem.
    fn with_rebuilt_message(mut self) -> Self {
        self.message = format!("{}: {}", self.field, self.code.message_without_field_path(&self));
        self
    }

    /// Formats the value of the problem with its unit.
    fn value_with_unit(&self) -> String {
        self.format_value_or_limit(self.value.as_ref(), |number| number)
    }

    /// Formats the limit of the problem with its unit.
    fn limit_with_unit(&self) -> String {
        self.format_value_or_limit(self.limit.as_ref(), |number| number)
    }

    /// Formats the value of the problem, a computed number, rounded to two decimals and with its unit.
    fn rounded_value_with_unit(&self) -> String {
        self.format_value_or_limit(self.value.as_ref(), round_to_two_decimals)
    }

    /// Formats the limit of the problem, a computed number, rounded to two decimals and with its unit.
    fn rounded_limit_with_unit(&self) -> String {
        self.format_value_or_limit(self.limit.as_ref(), round_to_two_decimals)
    }

    /// Formats the limit of the problem, a minimum, rounded up to two decimals (so that it is valid) and with its unit.
    fn rounded_up_limit_with_unit(&self) -> String {
        self.format_value_or_limit(self.limit.as_ref(), |number| (number * 100.0 - 1e-9).ceil() / 100.0)
    }

    /// Formats a value or limit: a number, rounded by `round`, with the unit of the problem; a text unchanged; a missing
    /// one as "nothing".
    fn format_value_or_limit(&self, given: Option<&GivenValue>, round: fn(f64) -> f64) -> String {
        match (given, &self.unit) {
            (Some(GivenValue::Number(number)), Some(unit)) => format!("{} {unit}", round(*number)),
            (Some(GivenValue::Number(number)), None) => round(*number).to_string(),
            (Some(GivenValue::Text(text)), _) => text.clone(),
            (None, _) => "nothing".to_owned(),
        }
    }
}

/// Returns a number rounded to two decimals.
fn round_to_two_decimals(number: f64) -> f64 {
    (number * 100.0).round() / 100.0
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
    /// Creates the error value from a list of problems, which must not be empty.
    pub(crate) fn new(problems: Vec<Problem>) -> Self {
        debug_assert!(!problems.is_empty());
        Self { problems }
    }

    /// Returns `Ok(())` if the list of problems is empty, and otherwise the list as an error.
    pub(crate) fn ok_if_empty(problems: Vec<Problem>) -> Result<(), Self> {
        if problems.is_empty() { Ok(()) } else { Err(Self::new(problems)) }
    }

    /// Joins two results: returns both values, or one error with the problems of the first and then of the second.
    pub(crate) fn pair_or_all_problems<A, B>(first: Result<A, Self>, second: Result<B, Self>) -> Result<(A, B), Self> {
        match (first, second) {
            (Ok(first), Ok(second)) => Ok((first, second)),
            (Err(problems), Ok(_)) | (Ok(_), Err(problems)) => Err(problems),
            (Err(first), Err(second)) => Err(Self::new([first.problems, second.problems].concat())),
        }
    }

    /// Prepends `path`, such as "blend.", to the field path of every problem.
    pub(crate) fn with_field_path_prefix(self, path: &str) -> Self {
        let prefixed = |problem: Problem| {
            let field = format!("{path}{}", problem.field);
            problem.with_field_path(field)
        };
        Self { problems: self.problems.into_iter().map(prefixed).collect() }
    }

    /// Converts every value and limit in centimetres to another unit, called `name` and `in_cm` centimetres long.
    pub(crate) fn with_values_in_unit(self, name: &'static str, in_cm: f64) -> Self {
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
