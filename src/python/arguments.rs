//! Types and conversions of arguments, for every call from Python: units, unvalidated values, mappings, pairs of lengths.
//! The readers of JSON documents validate a value, so that Python and JSON refuse it with the same problem.

use std::convert::Infallible;

use pyo3::prelude::*;
use pyo3::types::{PyBool, PyDict, PyMapping};
#[cfg(feature = "stubs")]
use pyo3::{type_hint_identifier, type_hint_subscript, type_hint_union};

use super::texts::{text_of_python_string, text_or_repr};
use crate::document::{InputReader, JsonValue};
use crate::error::Problems;
use crate::field::{FieldKind, Unit};

/// Declares argument types for any Python object, each with its type hint. The value is not yet validated.
macro_rules! unvalidated_argument_types {
    ($($(#[$meta:meta])* $name:ident as $python:literal;)+) => {$(
        $(#[$meta])*
        pub(crate) struct $name(pub(super) JsonValue);

        impl FromPyObject<'_, '_> for $name {
            type Error = Infallible;

            #[cfg(feature = "stubs")]
            const INPUT_TYPE: pyo3::inspect::PyStaticExpr = type_hint_identifier!("builtins", $python);

            fn extract(object: Borrowed<'_, '_, PyAny>) -> Result<Self, Infallible> {
                Ok(Self(python_to_json_value(object)))
            }
        }

        impl From<$name> for JsonValue {
            fn from(argument: $name) -> JsonValue {
                argument.0
            }
        }
    )+};
}

unvalidated_argument_types! {
    /// Argument with the type hint `float`: any Python object, not yet validated.
    NumberArgument as "float";
    /// Argument with the type hint `str`: any Python object, not yet validated.
    NameArgument as "str";
    /// Argument with the type hint `bool`: any Python object, not yet validated.
    BooleanArgument as "bool";
    /// Argument with the type hint `int`: any Python object, not yet validated.
    IntegerArgument as "int";
}

/// Converts `None`, a bool, str or number to its JSON value, and any other object to `NotJson` with its `repr`.
pub(super) fn python_to_json_value(object: Borrowed<'_, '_, PyAny>) -> JsonValue {
    let number = || object.extract::<f64>().map(JsonValue::Number).ok();
    if object.is_none() {
        JsonValue::Null
    } else if let Ok(boolean) = object.cast::<PyBool>() {
        JsonValue::Bool(boolean.is_true())
    } else if let Some(text) = text_of_python_string(object) {
        JsonValue::String(text.into_owned())
    } else {
        number().unwrap_or_else(|| JsonValue::NotJson(text_or_repr(object)))
    }
}

/// Converts a dict to a JSON object, and any other Python object to a JSON value, not yet validated.
pub(super) fn dict_to_json_value(value: &Bound<'_, PyAny>) -> JsonValue {
    let Ok(fields) = value.cast::<PyDict>() else { return python_to_json_value(value.as_borrowed()) };
    let field = |(key, value): (Bound<'_, PyAny>, Bound<'_, PyAny>)| {
        (text_or_repr(key.as_borrowed()), python_to_json_value(value.as_borrowed()))
    };
    JsonValue::Object(fields.iter().map(field).collect())
}

/// Builds a JSON object from options, each a field of its own name; `None` is left out.
macro_rules! json_object {
    ($($name:ident),+) => {
        $crate::python::arguments::given_fields(vec![$((stringify!($name), $name.map(JsonValue::from))),+])
    };
}

pub(super) use json_object;

/// Builds a JSON object from the fields that have a value.
pub(super) fn given_fields(fields: Vec<(&str, Option<JsonValue>)>) -> JsonValue {
    JsonValue::Object(fields.into_iter().filter_map(|(name, value)| Some((name.to_owned(), value?))).collect())
}

/// Reads arguments, with lengths in `unit`; raises `InputError` with all the problems that the reader finds.
pub(super) fn read_arguments<T>(unit: Unit, read: impl FnOnce(&mut InputReader) -> Option<T>) -> Result<T, Problems> {
    let mut reader = InputReader { unit: Some(unit), problems: Vec::new() };
    let value = read(&mut reader);
    reader.into_result(value)
}

/// Returns the unit named `cm` or `in`; raises `InputError` for another name.
pub(super) fn parse_unit(name: &str) -> PyResult<Unit> {
    Ok(read_arguments(Unit::Cm, |reader| reader.read_unit(Some(&JsonValue::String(name.to_owned()))))?)
}

/// Pair of lengths, such as mean and standard deviation, minimum and maximum, or waist and hip.
pub(super) type LengthPair = (f64, f64);

/// Returns a function that converts a length from `unit` to centimetres.
pub(super) fn converter_to_cm(unit: Unit) -> impl Fn(f64) -> f64 + Copy {
    move |length| FieldKind::Length.convert_unit(length, unit, Unit::Cm)
}

/// Applies a function to both numbers of a pair and returns the pair of its values.
pub(super) fn map_length_pair((a, b): LengthPair, f: impl Fn(f64) -> f64) -> LengthPair {
    (f(a), f(b))
}

/// Returns the value of a result, or raises its problems as `InputError`, with lengths converted to `unit`.
pub(super) fn value_or_raise<T>(result: Result<T, Problems>, unit: Unit) -> PyResult<T> {
    Ok(result.map_err(|problems| problems.with_values_in_unit(unit.name(), unit.cm_per_unit()))?)
}

/// Declares an argument type for any `Mapping[str, V]`; `$value` is the Rust type of `V`, `$python` its type hint.
macro_rules! mapping_arguments {
    ($($(#[$meta:meta])* $name:ident: $value:ty as $python:expr;)+) => {$(
        $(#[$meta])*
        pub(crate) struct $name(pub(super) Vec<(String, $value)>);

        impl FromPyObject<'_, '_> for $name {
            type Error = PyErr;

            #[cfg(feature = "stubs")]
            const INPUT_TYPE: pyo3::inspect::PyStaticExpr = type_hint_subscript!(
                type_hint_identifier!("collections.abc", "Mapping"), type_hint_identifier!("builtins", "str"), $python
            );

            fn extract(object: Borrowed<'_, '_, PyAny>) -> PyResult<Self> {
                object.cast::<PyMapping>()?.items()?.extract().map(Self)
            }
        }
    )+};
}

mapping_arguments! {
    /// Mapping from the name of an input to its standard error.
    StandardErrorsArgument: f64 as type_hint_identifier!("builtins", "float");
    /// Mapping from the name of a girth to its minimum and maximum ease.
    EaseBoundsArgument: LengthPair as type_hint_subscript!(
        type_hint_identifier!("builtins", "tuple"),
        type_hint_identifier!("builtins", "float"),
        type_hint_identifier!("builtins", "float")
    );
}

/// Argument that selects a size by name, or a point between two sizes by `(from, to, fraction)`.
pub(crate) struct SizePositionArgument(JsonValue);

impl From<SizePositionArgument> for JsonValue {
    fn from(position: SizePositionArgument) -> JsonValue {
        position.0
    }
}

impl FromPyObject<'_, '_> for SizePositionArgument {
    type Error = PyErr;

    #[cfg(feature = "stubs")]
    const INPUT_TYPE: pyo3::inspect::PyStaticExpr = type_hint_union!(
        type_hint_identifier!("builtins", "str"),
        type_hint_subscript!(
            type_hint_identifier!("builtins", "tuple"),
            type_hint_identifier!("builtins", "str"),
            type_hint_identifier!("builtins", "str"),
            type_hint_identifier!("builtins", "float")
        )
    );

    fn extract(object: Borrowed<'_, '_, PyAny>) -> PyResult<Self> {
        if let Ok(name) = object.extract::<String>() {
            let from = Some(JsonValue::String(name));
            return Ok(Self(json_object!(from)));
        }
        let (from, to, fraction): (String, String, f64) = object.extract()?;
        let [from, to] = [from, to].map(|name| Some(JsonValue::String(name)));
        let fraction = Some(JsonValue::Number(fraction));
        Ok(Self(json_object!(from, to, fraction)))
    }
}
