//! Reads typed inputs from parsed JSON values.
//!
//! Each number is read by its [`Field`]: name, unit, range and default. An [`InputReader`] collects every problem.

use super::json::JsonValue;
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, Unit};

/// Reader that checks parsed JSON values, converts them to typed inputs and collects every problem.
pub(crate) struct InputReader {
    /// Unit of all lengths to read; `None` until the unit is read. Without a unit no range is checked.
    pub(crate) unit: Option<Unit>,
    /// Problems found so far, in the order of reading.
    pub(crate) problems: Vec<Problem>,
}

impl InputReader {
    /// Returns the value that `read` reads, or all problems. Lengths are in `unit`, or in the unit that `read` reads.
    pub(crate) fn read_or_return_problems<T>(
        unit: Option<Unit>,
        read: impl FnOnce(&mut Self) -> Option<T>,
    ) -> Result<T, Problems> {
        let mut reader = Self { unit, problems: Vec::new() };
        match read(&mut reader) {
            Some(value) if reader.problems.is_empty() => Ok(value),
            // A missing value always comes with a problem.
            _ => Err(Problems::new(reader.problems)),
        }
    }

    /// Reads the field `unit`, one of `units`, in which all lengths are read from then on.
    pub(crate) fn read_unit(&mut self, value: Option<&JsonValue>, units: &[Unit]) -> Option<Unit> {
        self.unit = self.read_choice("unit", value, None, units, Unit::name);
        self.unit
    }

    /// Reads a number and checks that it is in the range of `field`. For a missing number, returns the default of
    /// `field`, or adds a problem if `field` has none.
    pub(super) fn read_number(&mut self, prefix: &str, value: Option<&JsonValue>, field: &Field) -> Option<f64> {
        if let (None, Some(default)) = (value, field.default(self.unit.unwrap_or_default())) {
            return Some(default);
        }
        let Some(&JsonValue::Number(number)) = value else {
            let path = format!("{prefix}{}", field.name);
            let problem = match value {
                None => Problem::new(Code::Missing, path),
                Some(value) => Problem::new(Code::WrongType, path).with_value(value.to_value_for_problem()),
            };
            return self.add_problem_and_return_none(match self.unit {
                Some(unit) => field.add_range_to_problem(problem, unit),
                None => problem.with_limit("a number"),
            });
        };
        let problem = self.unit.and_then(|unit| field.range_problem(prefix, number, unit));
        // Adding zero turns -0 into 0, so that equal inputs have equal bits.
        self.value_unless_problem(problem, number + 0.0)
    }

    #[cfg(feature = "python")]
    pub(crate) fn read_whole_number(&mut self, path: &str, value: &JsonValue, max: u16) -> Option<u16> {
        let number = if let JsonValue::Number(number) = value { *number } else { f64::NAN };
        let found = (1..=max).find(|whole| f64::from(*whole).total_cmp(&number).is_eq());
        let (code, limit) = if number < 1.0 {
            (Code::BelowMinimum, "1".to_owned())
        } else if number > f64::from(max) {
            (Code::AboveMaximum, max.to_string())
        } else {
            (Code::WrongType, format!("a whole number from 1 to {max}"))
        };
        let problem = || Problem::new(code, path).with_value(value.to_value_for_problem()).with_limit(limit);
        found.or_else(|| self.add_problem_and_return_none(problem()))
    }

    /// Reads one of `choices` by name; a missing value becomes `default`, or without a default a problem.
    pub(crate) fn read_choice<T: Copy>(
        &mut self,
        path: &str,
        value: Option<&JsonValue>,
        default: Option<T>,
        choices: &[T],
        name: fn(T) -> &'static str,
    ) -> Option<T> {
        let quoted = || choices.iter().map(|choice| format!("\"{}\"", name(*choice))).collect::<Vec<_>>().join(" or ");
        let problem = |code| {
            Problem::new(code, path).with_choices(choices.iter().map(|choice| name(*choice))).with_limit(quoted())
        };
        let Some(value) = value else {
            return default.or_else(|| self.add_problem_and_return_none(problem(Code::Missing)));
        };
        let is_given = |choice: &&T| matches!(value, JsonValue::String(text) if text == name(**choice));
        let unknown = || problem(Code::UnknownChoice).with_value(value.to_value_for_problem());
        choices.iter().find(is_given).copied().or_else(|| self.add_problem_and_return_none(unknown()))
    }

    /// Returns `value`; if `value` is `None`, adds a problem that asks for `expected`, and returns `None`.
    pub(super) fn require_value<'v>(
        &mut self,
        path: &str,
        expected: &str,
        value: Option<&'v JsonValue>,
    ) -> Option<&'v JsonValue> {
        value.or_else(|| self.add_problem_and_return_none(Problem::new(Code::Missing, path).with_limit(expected)))
    }

    /// Adds a problem with the message "`value` is not `expected`", and returns `None`.
    pub(super) fn add_wrong_type_problem<T>(&mut self, path: &str, value: &JsonValue, expected: &str) -> Option<T> {
        self.add_problem_and_return_none(
            Problem::new(Code::WrongType, path).with_value(value.to_value_for_problem()).with_limit(expected),
        )
    }

    pub(super) fn add_problem_and_return_none<T>(&mut self, problem: Problem) -> Option<T> {
        self.problems.push(problem);
        None
    }

    /// Returns the value if there is no problem with it; otherwise adds the problem, and returns `None`.
    pub(super) fn value_unless_problem<T>(&mut self, problem: Option<Problem>, value: T) -> Option<T> {
        if let Some(problem) = problem { self.add_problem_and_return_none(problem) } else { Some(value) }
    }
}

/// Returns all values of an array, or `None` if any is `None`.
pub(super) fn all_values_or_none<T: Default, const N: usize>(values: [Option<T>; N]) -> Option<[T; N]> {
    let complete = values.iter().all(Option::is_some);
    complete.then(|| values.map(Option::unwrap_or_default))
}
