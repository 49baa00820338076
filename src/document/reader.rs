//! Reads typed inputs from parsed JSON values.
//!
//! Each number is read by its [`Field`]: name, unit, range and default. An [`InputReader`] collects every problem.

use super::json::{FORMAT_VERSION, JsonValue};
use crate::body::{
    Apportionment, DartPosition, Darts, FixedDart, MAX_DARTS_PER_PANEL, PanelRules, Rules, Shares,
    shares_and_darts_conflict,
};
use crate::error::{Code, Problem, Problems, quote_unusual_field_name};
use crate::field::{Field, Unit};

/// Text that names the expected value in a problem where a JSON object is required.
pub(super) const EXPECTED_JSON_OBJECT: &str = "a JSON object";

/// Reader that checks parsed JSON values, converts them to typed inputs and collects every problem.
pub(crate) struct InputReader {
    /// Unit of all lengths to read; `None` until the unit is read. Without a unit no range is checked.
    pub(crate) unit: Option<Unit>,
    /// Problems found so far, in the order of reading.
    pub(crate) problems: Vec<Problem>,
}

impl InputReader {
    /// Returns `value` if reading found no problem, else all the problems.
    pub(crate) fn into_result<T>(self, value: Option<T>) -> Result<T, Problems> {
        match value {
            Some(value) if self.problems.is_empty() => Ok(value),
            // A missing value always comes with a problem.
            _ => Err(Problems::new(self.problems)),
        }
    }

    pub(super) fn check_format(&mut self, value: Option<&JsonValue>) {
        if let Some(value) = value
            && *value != JsonValue::Number(f64::from(FORMAT_VERSION))
        {
            let problem = Problem::new(Code::UnknownChoice, "format").with_value(value.to_given_value());
            self.problems.push(problem.with_limit(FORMAT_VERSION.to_string()));
        }
    }

    pub(crate) fn read_unit(&mut self, value: Option<&JsonValue>) -> Option<Unit> {
        let choices = "\"cm\" or \"in\"";
        let value = self.require_value("unit", choices, value)?;
        let unit = if let JsonValue::String(name) = value { Unit::from_name(name) } else { None };
        let problem = || Problem::new(Code::UnknownChoice, "unit").with_value(value.to_given_value());
        self.problems.extend(unit.is_none().then(|| problem().with_limit(choices)));
        unit
    }

    pub(super) fn read_rules(&mut self, value: &JsonValue) -> Option<Rules> {
        let [balance, back, front, side, shares, darts] = {
            let [balance, back, front, side] = PanelRules::FIELDS.map(|field| field.name);
            self.field_values("rules", "rules.", value, [balance, back, front, side, "shares", "darts"])?
        };
        let panel_rules = self.read_numbers_of_fields("rules.", [balance, back, front, side], &PanelRules::FIELDS);
        if shares.is_some() && darts.is_some() {
            self.problems.push(shares_and_darts_conflict());
        }
        let apportion = match (darts, shares) {
            (Some(darts), _) => self.read_darts(darts).map(Apportionment::Darts),
            (None, Some(shares)) => {
                let shares = self.read_named_numbers("rules.shares", shares, &Shares::FIELDS);
                shares.map(|shares| Apportionment::Shares(Shares::from_array(shares)))
            }
            (None, None) => self
                .read_numbers_of_fields("rules.shares.", [None; Shares::FIELDS.len()], &Shares::FIELDS)
                .map(|shares| Apportionment::Shares(Shares::from_array(shares))),
        };
        Some(Rules { panel_rules: PanelRules::from_array(panel_rules?), apportionment: apportion? })
    }

    fn read_darts(&mut self, value: &JsonValue) -> Option<Darts> {
        let lists = self.field_values("rules.darts", "rules.darts.", value, ["back", "front"])?;
        let [back, front] = [("back", lists[0]), ("front", lists[1])].map(|(panel, list)| {
            let path = format!("rules.darts.{panel}");
            let list = self.require_value(&path, "a list of darts", list)?;
            self.read_list(&path, list, (MAX_DARTS_PER_PANEL, "darts"), Self::read_dart)
        });
        Some(Darts { back: back?, front: front? })
    }

    pub(crate) fn read_dart(&mut self, path: &str, value: &JsonValue) -> Option<FixedDart> {
        let fields = &FixedDart::FIELDS;
        let prefix = format!("{path}.");
        let [intake, length, place, centre] =
            self.field_values(path, &prefix, value, fields.map(|field| field.name))?;
        let intake = self.read_number(&prefix, intake, &fields[0]);
        let length = self.read_number(&prefix, length, &fields[1]);
        let place = match (place, centre) {
            (Some(_), Some(_)) => {
                let conflict = Problem::new(Code::Conflict, format!("{prefix}place"));
                self.problems.push(conflict.with_limit(format!("{prefix}centre")));
                None
            }
            (None, Some(_)) => self.read_number(&prefix, centre, &fields[3]).map(DartPosition::Centre),
            _ => self.read_number(&prefix, place, &fields[2]).map(DartPosition::Share),
        };
        Some(FixedDart { intake: intake?, length: length?, place: place? })
    }

    /// Reads a list of at most `max` items; `read_item` gets path and value of each. Problems call the items `noun`.
    pub(super) fn read_list<T>(
        &mut self,
        path: &str,
        value: &JsonValue,
        (max, noun): (usize, &str),
        mut read_item: impl FnMut(&mut Self, &str, &JsonValue) -> Option<T>,
    ) -> Option<Vec<T>> {
        let JsonValue::Array(values) = value else {
            return self.add_wrong_type_problem(path, value, &format!("a list of {noun}"));
        };
        if let Some(problem) = Problem::if_too_many(path, values.len(), max, noun) {
            self.problems.push(problem);
            return None;
        }
        let items: Vec<_> =
            values.iter().enumerate().map(|(k, value)| read_item(self, &format!("{path}[{k}]"), value)).collect();
        items.into_iter().collect()
    }

    /// Reads an object whose fields are all numbers; returns the numbers in the order of `fields`.
    pub(super) fn read_named_numbers<const N: usize>(
        &mut self,
        path: &str,
        value: &JsonValue,
        fields: &[Field; N],
    ) -> Option<[f64; N]> {
        let prefix = format!("{path}.");
        let values = self.field_values(path, &prefix, value, fields.map(|field| field.name))?;
        self.read_numbers_of_fields(&prefix, values, fields)
    }

    /// Reads one number for each field from `values`; returns `None` if any number has a problem.
    pub(crate) fn read_numbers_of_fields<const N: usize>(
        &mut self,
        prefix: &str,
        values: [Option<&JsonValue>; N],
        fields: &[Field; N],
    ) -> Option<[f64; N]> {
        let mut pairs = values.into_iter().zip(fields);
        let numbers = [(); N].map(|()| pairs.next().and_then(|(value, field)| self.read_number(prefix, value, field)));
        let complete = numbers.iter().all(Option::is_some);
        complete.then(|| numbers.map(Option::unwrap_or_default))
    }

    /// Reads a number and checks the range of `field`; if the number is missing, returns the default of `field`.
    pub(super) fn read_number(&mut self, prefix: &str, value: Option<&JsonValue>, field: &Field) -> Option<f64> {
        let range = self.unit.map_or("a number".to_owned(), |unit| field.range_text(unit));
        if let (None, Some(default)) = (value, field.default(self.unit.unwrap_or_default())) {
            return Some(default);
        }
        let path = format!("{prefix}{}", field.name);
        let unit_name = self.unit.map_or("", |unit| field.kind.unit_name(unit));
        let Some(&JsonValue::Number(number)) = value else {
            let problem = match value {
                None => Problem::new(Code::Missing, path),
                Some(value) => Problem::new(Code::WrongType, path).with_value(value.to_given_value()),
            };
            self.problems.push(problem.with_limit(range).with_unit(unit_name));
            return None;
        };
        let problem = self.unit.and_then(|unit| field.range_problem(prefix, number, unit));
        let is_valid = problem.is_none();
        self.problems.extend(problem);
        // Adding zero turns -0 into 0, so that equal inputs have equal bits.
        is_valid.then_some(number + 0.0)
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
        let problem = || Problem::new(code, path).with_value(value.to_given_value()).with_limit(limit);
        self.problems.extend(found.is_none().then(problem));
        found
    }

    /// Reads true or false; returns `default` if the value is missing.
    pub(super) fn read_boolean(&mut self, path: &str, value: Option<&JsonValue>, default: bool) -> Option<bool> {
        match value {
            None => Some(default),
            Some(JsonValue::Bool(boolean)) => Some(*boolean),
            Some(value) => self.add_wrong_type_problem(path, value, "true or false"),
        }
    }

    /// Reads one of `choices` by its name; returns the default of the type if the value is missing.
    pub(super) fn read_choice<T: Copy + Default>(
        &mut self,
        path: &str,
        value: Option<&JsonValue>,
        choices: &[T],
        name: fn(T) -> &'static str,
    ) -> Option<T> {
        let Some(value) = value else { return Some(T::default()) };
        let is_given = |choice: &&T| matches!(value, JsonValue::String(text) if text == name(**choice));
        let choice = choices.iter().find(is_given).copied();
        let problem = || Problem::new(Code::UnknownChoice, path).with_value(value.to_given_value());
        self.problems.extend(choice.is_none().then(|| problem().with_limit(choice_names_joined_by_or(choices, name))));
        choice
    }

    /// Returns the values of an object's fields in the order of `names`, `None` for a missing field. Adds a problem for
    /// each unknown or repeated field, whose path starts with `prefix`.
    pub(super) fn field_values<'v, const N: usize>(
        &mut self,
        path: &str,
        prefix: &str,
        value: &'v JsonValue,
        names: [&str; N],
    ) -> Option<[Option<&'v JsonValue>; N]> {
        let JsonValue::Object(fields) = value else {
            return self.add_wrong_type_problem(path, value, EXPECTED_JSON_OBJECT);
        };
        let mut values = [None; N];
        for (name, value) in fields {
            let path = || format!("{prefix}{}", quote_unusual_field_name(name));
            match names.iter().position(|known| known == name) {
                None => self.problems.push(Problem::new(Code::UnknownField, path()).with_limit(names.join(", "))),
                Some(index) if values[index].is_some() => {
                    self.problems.push(Problem::new(Code::DuplicateField, path()));
                }
                Some(index) => values[index] = Some(value),
            }
        }
        Some(values)
    }

    /// Returns `value`; if the value is missing, adds a problem that asks for `expected`.
    pub(super) fn require_value<'v>(
        &mut self,
        path: &str,
        expected: &str,
        value: Option<&'v JsonValue>,
    ) -> Option<&'v JsonValue> {
        if value.is_none() {
            self.problems.push(Problem::new(Code::Missing, path).with_limit(expected));
        }
        value
    }

    /// Adds the problem that a value is not `expected`, and returns `None`.
    pub(super) fn add_wrong_type_problem<T>(&mut self, path: &str, value: &JsonValue, expected: &str) -> Option<T> {
        self.problems.push(Problem::new(Code::WrongType, path).with_value(value.to_given_value()).with_limit(expected));
        None
    }
}

/// Returns the quoted names of choices as one text, such as `"centre" or "side"`.
pub(super) fn choice_names_joined_by_or<T: Copy>(choices: &[T], name: fn(T) -> &'static str) -> String {
    let names: Vec<String> = choices.iter().map(|choice| format!("\"{}\"", name(*choice))).collect();
    names.join(" or ")
}
