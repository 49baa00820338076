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

mod code;

use std::borrow::Cow;
use std::fmt;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub use code::Code;
pub(crate) use code::{codes, named_variants};

/// Value or limit in a [`Problem`]: a number or a short text.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
#[cfg_attr(feature = "python", derive(pyo3::IntoPyObject))]
pub enum GivenValue {
    /// Finite number in the unit of the problem.
    Number(f64),
    /// Any other value or limit: a name, a list of choices, `NaN` and the like; at most 2000 characters.
    Text(String),
}

impl From<f64> for GivenValue {
    fn from(value: f64) -> Self {
        if value.is_finite() { Self::Number(value) } else { Self::Text(value.to_string()) }
    }
}

impl From<String> for GivenValue {
    fn from(text: String) -> Self {
        Self::Text(truncate_path_or_value(text))
    }
}

impl From<&str> for GivenValue {
    fn from(text: &str) -> Self {
        text.to_owned().into()
    }
}

/// Maximum number of characters of the field path, value, limit and each choice of a [`Problem`].
const MAX_PATH_OR_VALUE_CHARS: usize = 2000;

/// Truncates a text for a [`Problem`] to `MAX_PATH_OR_VALUE_CHARS` characters; appends an ellipsis to a truncated text.
fn truncate_path_or_value(mut text: String) -> String {
    if let Some((end, _)) = text.char_indices().nth(MAX_PATH_OR_VALUE_CHARS) {
        text.truncate(end);
        text.push('…');
    }
    text
}

/// One error in an input: code, field, value, limit and message.
///
/// A program that writes its own messages, in another language, needs no English text: `minimum`, `maximum` and
/// `choices` state the valid values as data.
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
    /// Unit of every number of the problem: `cm`, `in`, `mm`, `deg`, `bytes`, or what is counted, such as `darts`; none
    /// for a number without unit or a text.
    pub unit: Option<Cow<'static, str>>,
    /// Smallest valid number in `unit`, if there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minimum: Option<f64>,
    /// Largest valid number in `unit`, if there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub maximum: Option<f64>,
    /// Valid texts or field names, if only those of a list are valid; empty otherwise.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub choices: Vec<String>,
    /// Error message for people, without the path of the field: one sentence with value and limit.
    #[serde(default)]
    pub text: String,
    /// Error message for people: path of the field, a colon, and `text`.
    pub message: String,
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
    let is_plain = !name.is_empty() && name.chars().all(|c| c.is_alphanumeric() || "_-.[]".contains(c));
    let escaped = escape_and_truncate_for_message(name);
    if is_plain { escaped } else { format!("\"{escaped}\"") }
}

impl Problem {
    /// Creates a problem from error code and field path, without value, limit and unit.
    pub(crate) fn new(code: Code, field: impl Into<String>) -> Self {
        let field = truncate_path_or_value(field.into());
        let (value, limit, unit, minimum, maximum) = (None, None, None, None, None);
        let (choices, text, message) = (Vec::new(), String::new(), String::new());
        Self { code, field, value, limit, unit, minimum, maximum, choices, text, message }.with_rebuilt_message()
    }

    /// Creates a problem of a length, with its limit; both are in centimetres.
    pub(crate) fn of_length(code: Code, field: impl Into<String>, cm: f64, limit: impl Into<GivenValue>) -> Self {
        Self::new(code, field).with_value(cm).with_limit(limit).with_unit("cm")
    }

    /// Creates a problem of a length outside of the range that ends at `limit`: minimum or maximum; both in centimetres.
    pub(crate) fn of_length_beyond_limit(code: Code, field: impl Into<String>, cm: f64, limit: f64) -> Self {
        let (minimum, maximum) = if cm < limit { (Some(limit), None) } else { (None, Some(limit)) };
        Self { minimum, maximum, ..Self::of_length(code, field, cm, limit) }
    }

    /// Creates a [`Code::WrongType`] problem for a text that is not a valid name; `wanted` describes a valid name.
    pub(crate) fn invalid_name_problem(field: &str, text: &str, wanted: &str) -> Self {
        Self::new(Code::WrongType, field).with_value(format!("{text:?}")).with_limit(wanted)
    }

    /// Returns a [`Code::TooMany`] problem if `count` exceeds `max`, otherwise `None`; `plural` names the counted
    /// items, such as "darts".
    pub(crate) fn too_many_problem(field: &str, count: usize, max: usize, plural: &'static str) -> Option<Self> {
        (count > max).then(|| Self::new(Code::TooMany, field).with_count_and_limit(count, max, plural))
    }

    /// Returns a problem if a column has `count` numbers instead of `expected`, one for each person; otherwise `None`.
    pub(crate) fn numbers_per_person_problem(field: &str, count: usize, expected: usize) -> Option<Self> {
        let code = if count < expected { Code::TooFew } else { Code::TooMany };
        let problem = || Self::new(code, field).with_count_and_limit(count, expected, "numbers");
        (count != expected).then(|| problem().with_limit(format!("{expected} numbers (one per person)")))
    }

    /// Sets value and limit to numbers of items called `plural`, and updates the message.
    pub(crate) fn with_count_and_limit(self, count: usize, limit: usize, plural: &'static str) -> Self {
        self.with_value(count as f64).with_limit(limit as f64).with_unit(plural)
    }

    /// Sets the choices of the problem, sets the limit to the choices joined by commas, and updates the message.
    pub(crate) fn with_choices<S: Into<String>>(mut self, choices: impl IntoIterator<Item = S>) -> Self {
        self.choices = choices.into_iter().map(|choice| truncate_path_or_value(choice.into())).collect();
        let limit = self.choices.join(", ");
        self.with_limit(limit)
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

    /// Sets the unit of value and limit, or removes the unit if the text is empty, and updates the message.
    pub(crate) fn with_unit(mut self, unit: &'static str) -> Self {
        self.unit = (!unit.is_empty()).then_some(Cow::Borrowed(unit));
        self.with_rebuilt_message()
    }

    /// Replaces the field path of the problem and updates the message.
    pub(crate) fn with_field_path(mut self, field: String) -> Self {
        self.field = truncate_path_or_value(field);
        self.with_rebuilt_message()
    }

    /// Builds text and message again from the other fields of the problem.
    fn with_rebuilt_message(mut self) -> Self {
        let append = |text: &mut String, placeholder: &str| *text += &self.placeholder_replacement(placeholder);
        self.text = fill_placeholders(self.code.message_template(), append);
        self.message = format!("{}: {}", self.field, self.text);
        self
    }

    /// Formats what stands for a placeholder in the message template of the error code.
    fn placeholder_replacement(&self, placeholder: &str) -> String {
        use GivenValue::{Number, Text};
        let given = if placeholder.ends_with("limit") { &self.limit } else { &self.value };
        let round = |number: f64| {
            let short = (number * 100.0).round() / 100.0;
            match (placeholder, &self.value, &self.limit) {
                // Rounded to the valid side, so that the limit can be given as it is written.
                ("rounded_limit", Some(Number(value)), _) if *value > number => -round_up_to_two_decimals(-number),
                ("rounded_limit", Some(Number(_)), _) => round_up_to_two_decimals(number),
                ("rounded_value", _, Some(Number(limit))) if short.total_cmp(limit) != number.total_cmp(limit) => {
                    number
                }
                ("rounded_value" | "rounded_limit", ..) => short,
                _ => number,
            }
        };
        let text = match (given, &self.unit) {
            (Some(Number(number)), Some(unit)) => format!("{} {unit}", round(*number)),
            (Some(Number(number)), None) => round(*number).to_string(),
            (Some(Text(text)), _) => text.clone(),
            (None, _) => "nothing".to_owned(),
        };
        match placeholder {
            // "1 sizes" becomes "1 size is", "2 sizes" becomes "2 sizes are".
            "counted_value" if text.starts_with("1 ") => format!("{} is", text.trim_end_matches('s')),
            "counted_value" => text + " are",
            "larger_or_smaller" if text.starts_with('-') => "smaller or fewer".to_owned(),
            "larger_or_smaller" => "larger or more".to_owned(),
            _ => text,
        }
    }
}

/// Fills each placeholder of a template, a name in braces; `append` appends the value of a placeholder to the text.
pub(crate) fn fill_placeholders(template: &str, append: impl Fn(&mut String, &str)) -> String {
    let mut text = String::with_capacity(2 * template.len());
    let mut pieces = template.split('{');
    text += pieces.next().unwrap_or_default();
    for (placeholder, words) in pieces.filter_map(|piece| piece.split_once('}')) {
        append(&mut text, placeholder);
        text += words;
    }
    text
}

pub(crate) fn round_up_to_two_decimals(number: f64) -> f64 {
    (number * 100.0 - 1e-9).ceil() / 100.0 + 0.0
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

/// Non-empty list of all errors in an input, at most 100.
///
/// ```
/// use kirtle::{Body, Code, Ease, Rules};
///
/// let body = Body { waist: 7.4, hip: 1010.0, hip_depth: 20.5, length: 62.0 };
/// let problems = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap_err();
/// let fields: Vec<(&str, Code)> = problems.iter().map(|problem| (problem.field.as_str(), problem.code)).collect();
/// assert_eq!(fields, [("body.waist", Code::BelowMinimum), ("body.hip", Code::AboveMaximum)]);
/// assert_eq!(problems[0].minimum, Some(40.0));
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Kirtle error")]
pub struct Problems {
    /// Problems in the order of the fields of the input.
    #[schemars(length(min = 1), with = "Vec<Problem>")]
    #[serde(deserialize_with = "deserialize_non_empty_list")]
    problems: Vec<Problem>,
}

/// Deserializes the list of a [`Problems`]; an empty list is an error.
fn deserialize_non_empty_list<'de, D: serde::Deserializer<'de>>(deserializer: D) -> Result<Vec<Problem>, D::Error> {
    let problems = Vec::deserialize(deserializer)?;
    let error = || serde::de::Error::invalid_length(0, &"at least one problem");
    if problems.is_empty() { Err(error()) } else { Ok(problems) }
}

impl Problems {
    /// Maximum number of problems in a list. Of more problems the first are kept, and a last one, [`Code::TooMany`],
    /// says that there are more.
    pub const MAX: usize = 100;

    /// Creates the error value from a list of problems, which must not be empty.
    pub(crate) fn new(mut problems: Vec<Problem>) -> Self {
        debug_assert!(!problems.is_empty());
        if problems.len() > Self::MAX {
            problems.truncate(Self::MAX - 1);
            let more = Problem::new(Code::TooMany, "problems").with_value(format!("over {} problems", Self::MAX));
            problems.push(more.with_limit(Self::MAX as f64).with_unit("problems"));
        }
        Self { problems }
    }

    /// Returns `Ok(())` if there are no problems, and otherwise all of them as an error.
    pub(crate) fn ok_if_empty(problems: impl IntoIterator<Item = Problem>) -> Result<(), Self> {
        let problems: Vec<_> = problems.into_iter().collect();
        if problems.is_empty() { Ok(()) } else { Err(Self::new(problems)) }
    }

    /// Returns the values of two results, or the problems of the first and then those of the second.
    pub(crate) fn pair_or_all_problems<A, B>(first: Result<A, Self>, second: Result<B, Self>) -> Result<(A, B), Self> {
        match (first, second) {
            (Ok(first), Ok(second)) => Ok((first, second)),
            (Err(problems), Ok(_)) | (Ok(_), Err(problems)) => Err(problems),
            (Err(first), Err(second)) => Err(Self::new([first.problems, second.problems].concat())),
        }
    }

    /// Returns the values if there are no `problems` and every result is `Ok`; otherwise all problems, `problems` first.
    pub(crate) fn all_values<T>(
        mut problems: Vec<Problem>,
        results: impl IntoIterator<Item = Result<T, Self>>,
    ) -> Result<Vec<T>, Self> {
        let value = |result: Result<T, Self>| result.map_err(|found| problems.extend(found.problems)).ok();
        let values = results.into_iter().filter_map(value).collect();
        Self::ok_if_empty(problems)?;
        Ok(values)
    }

    /// Applies a function to every problem.
    pub(crate) fn map(self, change: impl FnMut(Problem) -> Problem) -> Self {
        Self { problems: self.problems.into_iter().map(change).collect() }
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
