//! Objects of a request, read or described: one call either reads a field from JSON or adds the field's schema.

use serde_json::{Map, Value, json};

use super::json::{FORMAT_VERSION, JsonValue};
use crate::body::DartCount;
use crate::error::{Code, Problem, Problems, quote_unusual_field_name};
use crate::field::{Field, Unit};
use crate::pattern::Cutting;
use crate::ruler::Ruler;
use crate::text::compose_letters;

/// Text that names the expected value in a problem where a JSON object is required.
pub(super) const EXPECTED_JSON_OBJECT: &str = "a JSON object";

/// Regular expression for a character forbidden in names: control, line break, change of text direction, noncharacter.
const FORBIDDEN_NAME_CHARACTERS_REGEX: &str =
    "[\\u0000-\\u001f\\u007f-\\u009f\\u2028-\\u202e\\u2066-\\u2069\\ufdd0-\\ufdef\\ufffe\\uffff]";

/// Reader of an object in a request that collects every problem, or builder of the object's schema.
#[derive(Default)]
pub(crate) struct ObjectReader<'v> {
    /// Unit of all lengths to read; `None` until the unit is read. Without a unit no range is checked.
    unit: Option<Unit>,
    /// Problems found so far, in the order of reading.
    pub(super) problems: Vec<Problem>,
    /// Path of the object with a dot at its end; empty for the request itself.
    prefix: String,
    /// Names and values of all fields in the JSON object; empty while a schema is made.
    fields: &'v [(String, JsonValue)],
    /// Names of the fields looked up so far, in order, whether given or not. A field of the JSON object that is never
    /// looked up is an unknown field.
    known: Vec<&'static str>,
    /// Schema of the object while a schema is made; `None` while an object is read.
    schema: Option<Value>,
}

/// Function that reads all fields of an object before its first `?`, so that no problem hides another, and builds a
/// value from the fields; `None` if a required field is missing or invalid. An optional field that is invalid leaves a
/// problem, for which [`read_document`] refuses the document.
pub(crate) type ReadFieldsFunction<T> = fn(&mut ObjectReader) -> Option<T>;

/// Returns what `read` reads from an object, or all problems; `paths` are the path of the object and that of its
/// fields. Lengths are in `unit`; if that is `None`, `read` reads the unit.
pub(crate) fn read_document<T>(
    unit: Option<Unit>,
    paths: [&str; 2],
    value: &JsonValue,
    read: ReadFieldsFunction<T>,
) -> Result<T, Problems> {
    match read_fields(unit, paths, value, read) {
        (Some(value), problems) if problems.is_empty() => Ok(value),
        // A value is `None` only after a problem was added.
        (_, problems) => Err(Problems::new(problems)),
    }
}

/// Reads an object by `read`; returns the result and all problems. Each field that `read` does not read and each
/// repeated field is a problem, until there are more than an error keeps; the path of a field starts with `prefix`.
pub(super) fn read_fields<T>(
    unit: Option<Unit>,
    [path, prefix]: [&str; 2],
    value: &JsonValue,
    read: ReadFieldsFunction<T>,
) -> (Option<T>, Vec<Problem>) {
    let JsonValue::Object(fields) = value else {
        return (None, vec![wrong_type_problem(path, value, EXPECTED_JSON_OBJECT)]);
    };
    let mut object = ObjectReader { unit, prefix: prefix.to_owned(), fields, ..ObjectReader::default() };
    let (result, known) = (read(&mut object), object.known);
    let (mut seen, mut problems) = (vec![false; known.len()], Vec::new());
    for (name, _) in fields {
        let path = || format!("{prefix}{}", quote_unusual_field_name(name));
        match known.iter().position(|known| known == name) {
            None => problems.push(Problem::new(Code::UnknownField, path()).with_choices(known.iter().copied())),
            Some(index) if seen[index] => problems.push(Problem::new(Code::DuplicateField, path())),
            Some(index) => seen[index] = true,
        }
        if problems.len() > Problems::MAX {
            break;
        }
    }
    problems.append(&mut object.problems);
    (result, problems)
}

/// Returns the schema of an object that permits only the fields that `read` reads; `texts` are the title of the
/// schema and the description of the object.
pub(super) fn object_schema<T>(unit: Option<Unit>, texts: [&str; 2], read: ReadFieldsFunction<T>) -> Value {
    let schema = json!({"type": "object", "properties": {}, "required": [], "additionalProperties": false});
    let schema = Some(add_title_and_description(schema, texts));
    let mut object = ObjectReader { unit, schema, ..ObjectReader::default() };
    read(&mut object);
    object.schema.unwrap_or_default()
}

/// Finds one of `choices` by its name; if the value is missing, returns `default`, or without a default a problem.
#[allow(clippy::result_large_err, reason = "as for every problem of a reader, moved once")]
pub(crate) fn find_choice<T: Copy>(
    path: &str,
    value: Option<&JsonValue>,
    default: Option<T>,
    choices: &[T],
    name: fn(T) -> &'static str,
) -> Result<T, Problem> {
    let quoted = || choices.iter().map(|choice| format!("\"{}\"", name(*choice))).collect::<Vec<_>>().join(" or ");
    let problem =
        |code| Problem::new(code, path).with_choices(choices.iter().map(|choice| name(*choice))).with_limit(quoted());
    let Some(value) = value else { return default.ok_or_else(|| problem(Code::Missing)) };
    let is_given = |choice: &&T| matches!(value, JsonValue::String(text) if text == name(**choice));
    let unknown = || problem(Code::UnknownChoice).with_value(value.to_value_for_problem());
    choices.iter().find(is_given).copied().ok_or_else(unknown)
}

/// Returns the problem with the message "`value` is not `expected`".
fn wrong_type_problem(path: &str, value: &JsonValue, expected: &str) -> Problem {
    Problem::new(Code::WrongType, path).with_value(value.to_value_for_problem()).with_limit(expected)
}

impl<'v> ObjectReader<'v> {
    /// Returns the schema that is being built, `None` while reading. Without the feature `schema` the result is `None`
    /// at compile time, so that a program holds no descriptions of fields.
    pub(super) fn schema_being_built(&mut self) -> Option<&mut Value> {
        if cfg!(feature = "schema") { self.schema.as_mut() } else { None }
    }

    /// Returns the unit in which the lengths of the object are read; centimetres until a unit is read.
    pub(super) fn length_unit(&self) -> Unit {
        self.unit.unwrap_or_default()
    }

    /// Returns the value of a result, or adds its problem and returns `None`.
    pub(super) fn value_of<T>(&mut self, result: Result<T, Problem>) -> Option<T> {
        result.map_err(|problem| self.problems.push(problem)).ok()
    }

    /// Returns the path of the field `name` of this object, such as `ease.waist`.
    pub(super) fn field_path(&self, name: &str) -> String {
        format!("{}{name}", self.prefix)
    }

    /// Returns the value of the field `name`, `None` if not given; while a schema is made, adds the property that
    /// `schema` returns.
    pub(super) fn field_value(
        &mut self,
        name: &'static str,
        required: bool,
        schema: impl FnOnce(Unit) -> Value,
    ) -> Option<&'v JsonValue> {
        let unit = self.length_unit();
        if let Some(object) = self.schema_being_built() {
            object["properties"][name] = schema(unit);
            object["required"].as_array_mut().into_iter().for_each(|names| names.extend(required.then(|| json!(name))));
        }
        self.known.push(name);
        let value = self.fields.iter().find(|(given, _)| given == name).map(|(_, value)| value)?;
        let is_left_out = !required && *value == JsonValue::Null;
        if is_left_out { self.add_wrong_type_problem(name, value, "a value: leave the field out") } else { Some(value) }
    }

    /// Reads the version of the format and the unit; returns the unit, in which all lengths are read from then on.
    pub(super) fn check_format_and_read_unit(&mut self) -> Option<Unit> {
        let text = "Version of the document format.";
        let format = self.field_value("format", false, |_| json!({"const": FORMAT_VERSION, "description": text}));
        if let Some(value) = format.filter(|value| **value != JsonValue::Number(f64::from(FORMAT_VERSION))) {
            let problem = Problem::new(Code::UnknownChoice, "format").with_value(value.to_value_for_problem());
            self.problems.push(problem.with_limit(FORMAT_VERSION.to_string()));
        }
        let text = "Unit of every length, in the request and in the answer.";
        let unit = self.read_choice("unit", None, &Unit::DOCUMENT_UNITS, Unit::name, text);
        // While a schema is made, the unit is set already.
        self.unit = self.unit.or(unit);
        self.unit
    }

    /// Reads the ruler of printed lengths, `None` if invalid or missing; `effect` says in the schema what the ruler
    /// changes in the result.
    pub(super) fn read_ruler(&mut self, effect: &str) -> Option<Ruler> {
        let names = Ruler::DOCUMENT_RULERS.map(Ruler::name);
        let text = format!(
            "Ruler of printed lengths: centimetres to the millimetre, inches to the sixteenth or to the eighth; by default the finest ruler of `unit`. {effect}"
        );
        let value = self.field_value("ruler", false, |_| json!({"enum": names, "description": text}))?;
        self.value_of(find_choice("ruler", Some(value), None, &Ruler::DOCUMENT_RULERS, Ruler::name))
    }

    /// Reads the number that `field` describes, which is required unless `field` has a default.
    pub(super) fn read_number(&mut self, field: &Field) -> Option<f64> {
        let value = self.field_value(field.name, field.default.is_none(), |unit| number_schema(field, unit));
        let default = field.default(self.length_unit()).filter(|_| value.is_none());
        default.or_else(|| self.check_number(value, field))
    }

    /// Reads an optional number without default; returns `None` if missing or invalid.
    pub(super) fn read_optional_number(&mut self, field: &Field) -> Option<f64> {
        let value = self.field_value(field.name, false, |unit| number_schema(field, unit))?;
        self.check_number(Some(value), field)
    }

    /// Checks that a value is a number in the range of `field`; adds a problem for a missing value.
    pub(super) fn check_number(&mut self, value: Option<&JsonValue>, field: &Field) -> Option<f64> {
        let Some(&JsonValue::Number(number)) = value else {
            let path = self.field_path(field.name);
            let problem = match value {
                None => Problem::new(Code::Missing, path),
                Some(value) => Problem::new(Code::WrongType, path).with_value(value.to_value_for_problem()),
            };
            return self.value_of(Err(match self.unit {
                Some(unit) => field.add_range_to_problem(problem, unit),
                None => problem.with_limit("a number"),
            }));
        };
        let problem = self.unit.and_then(|unit| field.range_problem(&self.prefix, number, unit));
        // Adding zero turns -0 into 0, so that equal inputs have equal bits.
        self.value_of(problem.map_or(Ok(number + 0.0), Err))
    }

    /// Reads one number for each of `fields`; returns `None` if any number is missing or invalid.
    pub(crate) fn read_numbers<const N: usize>(&mut self, fields: &[Field; N]) -> Option<[f64; N]> {
        let numbers = fields.each_ref().map(|field| self.read_number(field));
        numbers.iter().all(Option::is_some).then(|| numbers.map(Option::unwrap_or_default))
    }

    /// Reads a field whose value is the name of one of `choices`; the field is required unless there is a default.
    pub(super) fn read_choice<T: Copy>(
        &mut self,
        field: &'static str,
        default: Option<T>,
        choices: &[T],
        name: fn(T) -> &'static str,
        description: &str,
    ) -> Option<T> {
        let value = self.field_value(field, default.is_none(), |_| {
            let names: Vec<_> = choices.iter().map(|choice| name(*choice)).collect();
            let mut schema = json!({"enum": names, "description": description});
            if let Some(default) = default {
                schema["default"] = json!(name(default));
            }
            schema
        });
        self.value_of(find_choice(&self.field_path(field), value, default, choices, name))
    }

    /// Reads the rule for the number of darts of a panel, a word or a whole number; [`DartCount::Auto`] if missing.
    pub(super) fn read_dart_count_rule(&mut self, name: &'static str, description: &str) -> Option<DartCount> {
        let schema = |_| json!({"enum": DartCount::ALL, "default": DartCount::default(), "description": description});
        let Some(value) = self.field_value(name, false, schema) else { return Some(DartCount::default()) };
        let is_given = |choice: &&DartCount| match (value, choice) {
            (JsonValue::Number(number), DartCount::Exactly(count)) => f64::from(*count).total_cmp(number).is_eq(),
            (JsonValue::String(word), choice) => choice.json_word() == Some(word),
            _ => false,
        };
        DartCount::ALL.iter().find(is_given).copied().or_else(|| {
            let problem = Problem::new(Code::UnknownChoice, self.field_path(name));
            let problem = problem.with_value(value.to_value_for_problem());
            let problem = problem.with_choices(["auto", "per_size", "0", "1", "2", "3"]);
            let problem = problem.with_limit("\"auto\", \"per_size\" or a whole number from 0 to 3");
            self.value_of(Err(problem))
        })
    }

    /// Reads true or false; returns `default` if the value is missing.
    pub(super) fn read_boolean(&mut self, name: &'static str, default: bool, description: &str) -> Option<bool> {
        let schema = |_| json!({"type": "boolean", "default": default, "description": description});
        match self.field_value(name, false, schema) {
            None => Some(default),
            Some(JsonValue::Bool(boolean)) => Some(*boolean),
            Some(value) => self.add_wrong_type_problem(name, value, "true or false"),
        }
    }

    /// Reads a field whose value is an object; returns `None` if the object is invalid or missing. `texts` are title
    /// and description of the object in the schema.
    pub(super) fn read_object<T>(
        &mut self,
        name: &'static str,
        required: bool,
        texts: [&str; 2],
        read: ReadFieldsFunction<T>,
    ) -> Option<T> {
        let schema = self.schema_being_built().is_some().then(|| object_schema(self.unit, texts, read));
        let value = self.field_value(name, required, |_| json!(schema));
        let value = value.or_else(|| self.add_problem_if_required(name, required, EXPECTED_JSON_OBJECT))?;
        self.read_nested(&self.field_path(name), value, read)
    }

    /// Reads a field whose value is a list of at most `max` objects; `noun` names the objects in problems. In the
    /// schema, `title` and `item` are title and description of an object, `description` is that of the list.
    pub(crate) fn read_list<T>(
        &mut self,
        name: &'static str,
        required: bool,
        (max, noun): (usize, &'static str),
        [title, item, description]: [&str; 3],
        read: ReadFieldsFunction<T>,
    ) -> Option<Vec<T>> {
        let items = self.schema_being_built().is_some().then(|| object_schema(self.unit, [title, item], read));
        let schema =
            |_| add_title_and_description(json!({"type": "array", "maxItems": max, "items": items}), ["", description]);
        let (path, expected) = (self.field_path(name), format!("a list of {noun}"));
        let value = self.field_value(name, required, schema);
        let value = value.or_else(|| self.add_problem_if_required(name, required, &expected))?;
        let JsonValue::Array(values) = value else { return self.add_wrong_type_problem(name, value, &expected) };
        self.value_of(Problem::too_many_problem(&path, values.len(), max, noun).map_or(Ok(()), Err))?;
        let item = |(k, value)| self.read_nested(&format!("{path}[{k}]"), value, read);
        let items: Vec<_> = values.iter().enumerate().map(item).collect();
        items.into_iter().collect()
    }

    /// Reads an object inside this object, and adds its problems.
    fn read_nested<T>(&mut self, path: &str, value: &JsonValue, read: ReadFieldsFunction<T>) -> Option<T> {
        let (result, mut problems) = read_fields(self.unit, [path, &format!("{path}.")], value, read);
        self.problems.append(&mut problems);
        result
    }

    /// Returns a text with composed letters; adds a problem for another value.
    pub(super) fn check_text(&mut self, name: &str, value: &JsonValue, expected: &str) -> Option<String> {
        let JsonValue::String(text) = value else { return self.add_wrong_type_problem(name, value, expected) };
        Some(compose_letters(text))
    }

    /// Adds a problem that asks for `expected` if the field is required, and returns `None`.
    pub(super) fn add_problem_if_required<T>(&mut self, name: &str, required: bool, expected: &str) -> Option<T> {
        let missing = || Problem::new(Code::Missing, self.field_path(name)).with_limit(expected);
        self.problems.extend(required.then(missing));
        None
    }

    /// Adds a problem with the message "`value` is not `expected`", and returns `None`.
    pub(super) fn add_wrong_type_problem<T>(&mut self, name: &str, value: &JsonValue, expected: &str) -> Option<T> {
        self.value_of(Err(wrong_type_problem(&self.field_path(name), value, expected)))
    }
}

/// Adds to a schema that exactly one of two fields must be given; without `oneOf`, which tools split into types.
pub(super) fn require_exactly_one_in_schema(schema: &mut Map<String, Value>, [first, second]: [&str; 2]) {
    schema.insert("if".to_owned(), json!({"required": [first]}));
    schema.insert("then".to_owned(), json!({"not": {"required": [second]}}));
    schema.insert("else".to_owned(), json!({"required": [second]}));
}

/// Returns `schema` with the title and the description in `texts`; an empty text adds nothing.
fn add_title_and_description(mut schema: Value, texts: [&str; 2]) -> Value {
    for (key, text) in ["title", "description"].into_iter().zip(texts).filter(|(_, text)| !text.is_empty()) {
        schema[key] = json!(text);
    }
    schema
}

/// Returns the schema of a number: range, description and default.
fn number_schema(field: &Field, unit: Unit) -> Value {
    let (min, max) = field.range(unit);
    let mut schema = json!({"type": "number", "minimum": min, "maximum": max, "description": field.description()});
    field.default(unit).into_iter().for_each(|default| schema["default"] = json!(default));
    schema
}

/// Returns the schema of a name: one line of at most 60 characters, without forbidden ones.
pub(super) fn name_schema(description: &str) -> Value {
    let forbidden = json!({"pattern": FORBIDDEN_NAME_CHARACTERS_REGEX});
    json!({"type": "string", "maxLength": Cutting::MAX_NAME_LETTERS, "not": forbidden, "description": description})
}
