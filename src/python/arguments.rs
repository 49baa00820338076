//! Types and conversions of the arguments of all calls from Python: texts, units, unvalidated values, mappings,
//! lengths. U+FFFF replaces each lone surrogate of a Python string, as a Rust string cannot hold it. The readers of
//! JSON documents validate all arguments, so that Python and JSON refuse a value with the same problem.

use std::collections::BTreeMap;

use pyo3::exceptions::PyTypeError;
use pyo3::prelude::*;
use pyo3::types::{PyBool, PyByteArray, PyBytes, PyDict, PyList, PyMapping, PyString, PyTuple};
use pyo3::{type_hint_identifier, type_hint_subscript, type_hint_union};

use super::typed_objects::AnyDict;
use crate::arrow::KeptColumns;
use crate::document::{JsonValue, find_choice};
use crate::error::{Code, Problem, Problems};
use crate::field::{FieldKind, Unit};
use crate::ruler::Ruler;
use crate::size_search::{DropClasses, SizeConstraints};
use crate::wording::{Texts, Wording};

/// Declares types of Python arguments, each with the wrapped Rust type, the type hint, and the conversion of an object.
macro_rules! argument_types {
    ($($(#[$meta:meta])* $name:ident($type:ty) as $hint:expr, |$object:ident| $value:expr;)+) => {$(
        $(#[$meta])*
        pub(crate) struct $name(pub(super) $type);

        impl FromPyObject<'_, '_> for $name {
            type Error = PyErr;

            const INPUT_TYPE: pyo3::inspect::PyStaticExpr = $hint;

            fn extract($object: Borrowed<'_, '_, PyAny>) -> PyResult<Self> { Ok(Self($value)) }
        }
    )+};
}

/// Type hint `Mapping[str, …]` with the type hint of the values.
macro_rules! mapping_of {
    ($value:expr) => {
        type_hint_subscript!(type_hint_identifier!("collections.abc", "Mapping"), String::OUTPUT_TYPE, $value)
    };
}

pub(super) use {argument_types, mapping_of};

/// Type hint `Sequence[…]` with the type hint of the items.
macro_rules! sequence_of {
    ($item:expr) => {
        type_hint_subscript!(type_hint_identifier!("collections.abc", "Sequence"), $item)
    };
}

argument_types! {
    /// Argument with the type hint `float`: the JSON value of any Python object, not yet validated.
    NumberArgument(JsonValue) as f64::OUTPUT_TYPE, |object| python_scalar_to_json(object);
    /// Argument with the type hint `str`: the JSON value of any Python object, not yet validated.
    NameArgument(JsonValue) as String::OUTPUT_TYPE, |object| python_scalar_to_json(object);
    /// Argument with the type hint `bool`: the JSON value of any Python object, not yet validated.
    BooleanArgument(JsonValue) as bool::OUTPUT_TYPE, |object| python_scalar_to_json(object);
    /// Argument with the type hint `int`: the JSON value of any Python object, not yet validated.
    IntegerArgument(JsonValue) as i32::OUTPUT_TYPE, |object| python_scalar_to_json(object);
    /// Argument for a number of darts, a word or an integer: the JSON value of any Python object, not yet validated.
    DartCountArgument(JsonValue) as type_hint_union!(String::OUTPUT_TYPE, i32::OUTPUT_TYPE), |object| python_scalar_to_json(object);
    /// Argument with the type hint `Sequence[str]`: the JSON value of any Python object, not yet validated.
    NamesArgument(JsonValue) as sequence_of!(String::OUTPUT_TYPE),
        |object| list_to_json_value(object);
    /// Argument that is the text of a document, such as JSON or CSV, without lone surrogates: a string, or bytes in
    /// UTF-8.
    DocumentText(String) as type_hint_union!(String::OUTPUT_TYPE, type_hint_identifier!("builtins", "bytes")),
        |object| document_text(object)?;
    /// Argument for a size, by its name, or for a position between two sizes, `(from, to)` for half-way or
    /// `(from, to, fraction)`: a JSON object.
    SizePositionArgument(JsonValue) as type_hint_union!(
        String::OUTPUT_TYPE, <(String, String)>::OUTPUT_TYPE, <(String, String, f64)>::OUTPUT_TYPE
    ), |object| size_position_to_json(object)?;
    /// Argument for one or more names of sizes: a list.
    SizeNamesArgument(Vec<String>) as type_hint_union!(String::OUTPUT_TYPE, sequence_of!(String::OUTPUT_TYPE)),
        |object| object.extract::<String>().map(|name| vec![name]).or_else(|_| object.extract())?;
    /// Argument for names of columns to keep, for the only one, or for `"all"`.
    KeptColumnsArgument(KeptColumns) as type_hint_union!(String::OUTPUT_TYPE, sequence_of!(String::OUTPUT_TYPE)),
        |object| match object.extract::<SizeNamesArgument>()?.0 {
            names if object.is_instance_of::<PyString>() && names == ["all"] => KeptColumns::All,
            names => KeptColumns::Named(names),
        };
    /// Argument for corrections as dicts, or for the only one: a JSON list, not yet validated.
    CorrectionsArgument(JsonValue) as type_hint_union!(AnyDict::OUTPUT_TYPE, sequence_of!(AnyDict::OUTPUT_TYPE)), |object| {
        let only_one = object.cast::<PyDict>().map(|dict| vec![dict.as_any().to_owned()]);
        let corrections: Vec<Bound<'_, PyAny>> = only_one.or_else(|_| object.extract())?;
        JsonValue::Array(corrections.iter().map(dict_to_json_value).collect())
    };
    /// Argument that maps the path of each input to a number, such as a mapping or a series of pandas: pairs in order.
    InputNumbersArgument(Vec<(String, f64)>) as mapping_of!(f64::OUTPUT_TYPE), |object| match object.cast::<PyMapping>() {
        Err(error) if !object.hasattr("items")? => return Err(error.into()),
        _ => object.call_method0("items")?.try_iter()?.map(|pair| {
            let (path, number): (String, Bound<'_, PyAny>) = pair?.extract()?;
            let number = number.extract().map_err(|error: PyErr| PyTypeError::new_err(format!("{path}: {}", error.value(object.py()))))?;
            Ok((path, number))
        }).collect::<PyResult<_>>()?,
    };
    /// Argument that is a matrix, such as a list of rows, or a table of pandas: a list of rows.
    MatrixArgument(Vec<Vec<f64>>) as sequence_of!(sequence_of!(f64::OUTPUT_TYPE)), |object| match object.getattr_opt("to_numpy")? {
        Some(to_numpy) => to_numpy.call0()?.call_method0("tolist")?.extract()?,
        None => object.extract()?,
    };
    /// Argument for a quantity, or for a quantity and a column of its errors: a pair.
    QuantityArgument((String, Option<JsonValue>)) as type_hint_union!(String::OUTPUT_TYPE, <(String, String)>::OUTPUT_TYPE),
        |object| match object.extract::<(String, NameArgument)>() {
            Ok((quantity, column)) => (quantity, Some(column.0)),
            Err(_) => (object.extract()?, None),
        };
    /// Argument that maps keys of texts to templates in another language.
    TextsArgument(Result<Texts, Problems>) as mapping_of!(String::OUTPUT_TYPE), |object| {
        let pairs: Vec<(Bound<'_, PyString>, Bound<'_, PyString>)> = object.cast::<PyMapping>()?.items()?.extract()?;
        let text = |text: Bound<'_, PyString>| text_if_python_string(text.as_any().as_borrowed()).unwrap_or_default();
        Texts::new(pairs.into_iter().map(|(key, template)| (text(key), text(template))))
    };
    /// Argument that maps the path of each input to the name of a column or to a number: a JSON object, not yet
    /// validated.
    #[derive(serde::Serialize)]
    ColumnsArgument(JsonValue) as AnyDict::OUTPUT_TYPE, |object| dict_to_json_value(object.cast::<PyDict>()?.as_any());
    /// Argument for one drop, for a sequence of drops, or for a mapping of drops to numbers of sizes.
    #[derive(serde::Serialize)]
    DropArgument(DropClasses) as type_hint_union!(
        f64::OUTPUT_TYPE, sequence_of!(f64::OUTPUT_TYPE),
        type_hint_subscript!(type_hint_identifier!("collections.abc", "Mapping"), f64::OUTPUT_TYPE, i32::OUTPUT_TYPE)
    ), |object| match object.cast::<PyMapping>() {
        Ok(counts) => DropClasses::SizesByDrop(counts.items()?.extract()?),
        Err(_) => DropClasses::Values(object.extract().map(|drop| vec![drop]).or_else(|_| object.extract())?),
    };
    /// Argument that maps the name of each girth to its minimum and maximum ease.
    #[derive(serde::Serialize)]
    EaseBoundsArgument(BTreeMap<String, LengthPair>) as mapping_of!(LengthPair::OUTPUT_TYPE),
        |object| object.cast::<PyMapping>()?.items()?.extract::<Vec<_>>()?.into_iter().collect();
}

/// JSON object that becomes one field of a larger JSON object in [`json_object`].
pub(super) struct NestedJsonObject(pub(super) JsonValue);

/// Returns the text of a string or of bytes in UTF-8; raises `InputError` for other bytes, and `TypeError` for another
/// object, with advice for a mapping.
fn document_text(object: Borrowed<'_, '_, PyAny>) -> PyResult<String> {
    let bytes = object.cast::<PyBytes>().map(|bytes| bytes.as_bytes().to_vec());
    if let Ok(bytes) = bytes.or_else(|_| object.cast::<PyByteArray>().map(|bytes| bytes.to_vec())) {
        return String::from_utf8(bytes).map_err(|error| {
            let value = format!("not UTF-8 at byte {}", error.utf8_error().valid_up_to());
            Problems::from(Problem::new(Code::BrokenJson, "document").with_value(value)).into()
        });
    } else if object.cast::<PyMapping>().is_ok() {
        return Err(PyTypeError::new_err("a mapping is not a text: give json.dumps(...) of it"));
    }
    Ok(text_if_python_string(object.cast::<PyString>()?.as_any().as_borrowed()).unwrap_or_default())
}

/// Converts the name of a size, `(from, to)` or `(from, to, fraction)` to a JSON object with the fields `from`, `to`
/// and `fraction`.
fn size_position_to_json(object: Borrowed<'_, '_, PyAny>) -> PyResult<JsonValue> {
    let half_way = || object.extract::<(String, String)>().map(|(from, to)| (from, to, 0.5));
    let (from, between) = match object.extract::<String>() {
        Ok(name) => (name, None),
        Err(_) => half_way().or_else(|_| object.extract()).map(|(from, to, fraction)| (from, Some((to, fraction))))?,
    };
    let (to, fraction) = between.map(|(to, fraction)| (JsonValue::String(to), JsonValue::Number(fraction))).unzip();
    Ok(json_object_without_none(vec![("from", Some(JsonValue::String(from))), ("to", to), ("fraction", fraction)]))
}

/// Converts `None`, a bool, str or number to its JSON value, and any other object to [`JsonValue::NotJson`] with its
/// `repr`.
pub(super) fn python_scalar_to_json(object: Borrowed<'_, '_, PyAny>) -> JsonValue {
    if object.is_none() {
        JsonValue::Null
    } else if let Ok(boolean) = object.cast::<PyBool>() {
        JsonValue::Bool(boolean.is_true())
    } else if let Some(text) = text_if_python_string(object) {
        JsonValue::String(text)
    } else {
        object.extract().map_or_else(|_| JsonValue::NotJson(text_or_repr(object)), JsonValue::Number)
    }
}

/// Converts a list or tuple to a JSON array, and any other Python object as [`python_scalar_to_json`] does.
fn list_to_json_value(object: Borrowed<'_, '_, PyAny>) -> JsonValue {
    if !object.is_instance_of::<PyList>() && !object.is_instance_of::<PyTuple>() {
        return python_scalar_to_json(object);
    }
    let items = object.try_iter().map(|items| items.flatten().collect::<Vec<_>>()).unwrap_or_default();
    JsonValue::Array(items.iter().map(|item| python_scalar_to_json(item.as_borrowed())).collect())
}

/// Converts a dict to a JSON object, and any other Python object as [`python_scalar_to_json`] does.
fn dict_to_json_value(value: &Bound<'_, PyAny>) -> JsonValue {
    let Ok(fields) = value.cast::<PyDict>() else { return python_scalar_to_json(value.as_borrowed()) };
    let field = |(key, value): (Bound<'_, PyAny>, Bound<'_, PyAny>)| {
        (text_or_repr(key.as_borrowed()), python_scalar_to_json(value.as_borrowed()))
    };
    JsonValue::Object(fields.iter().map(field).collect())
}

/// Builds a JSON object from variables that hold optional arguments: a field for each variable that is not `None`,
/// under the variable's name.
macro_rules! json_object {
    ($($name:ident),+) => {
        $crate::python::arguments::json_object_without_none(vec![$((stringify!($name), $name.map(|argument| argument.0))),+])
    };
}

pub(super) use json_object;

/// Builds a JSON object from the fields that have a value; leaves out fields with `None`.
pub(super) fn json_object_without_none(fields: Vec<(&str, Option<JsonValue>)>) -> JsonValue {
    JsonValue::Object(fields.into_iter().filter_map(|(name, value)| Some((name.to_owned(), value?))).collect())
}

/// Parses the name of a unit, `cm` or `in`; raises `InputError` for another name.
pub(super) fn parse_unit(name: &str) -> PyResult<Unit> {
    parse_one_of(&Unit::DOCUMENT_UNITS, Unit::name, name)
}

/// Parses the name of a ruler of printed lengths, `cm`, `in` or `in 1/8`; raises `InputError` for another name.
pub(super) fn parse_ruler(name: &str) -> PyResult<Ruler> {
    parse_one_of(&Ruler::DOCUMENT_RULERS, Ruler::name, name)
}

/// Parses the name of the unit of a table, `cm`, `in` or `mm`; raises `InputError` for another name.
pub(super) fn parse_table_unit(name: &str) -> PyResult<Unit> {
    parse_one_of(&Unit::ALL, Unit::name, name)
}

/// Returns the wording of a drawing, with English texts unless others are given; raises `InputError` for wrong texts.
pub(super) fn wording(ruler: Ruler, texts: Option<&TextsArgument>) -> PyResult<Wording<'_>> {
    let Some(TextsArgument(texts)) = texts else { return Ok(ruler.into()) };
    Ok((ruler, texts.as_ref().map_err(Clone::clone)?).into())
}

/// Parses the name of a unit, `cm` or `in`; returns `own` for `None`; raises `InputError` for another name.
pub(super) fn parse_unit_or(name: Option<&str>, own: Unit) -> PyResult<Unit> {
    name.map_or(Ok(own), parse_unit)
}

/// Parses the name of a ruler of printed lengths; returns `own` for `None`; raises `InputError` for an unknown name.
pub(super) fn parse_ruler_or(name: Option<&str>, own: impl Into<Ruler>) -> PyResult<Ruler> {
    name.map_or_else(|| Ok(own.into()), parse_ruler)
}

fn parse_one_of<T: Copy>(choices: &[T], name_of: fn(T) -> &'static str, name: &str) -> PyResult<T> {
    let name = JsonValue::String(name.to_owned());
    Ok(find_choice("unit", Some(&name), None, choices, name_of).map_err(Problems::from)?)
}

/// Pair of lengths, such as mean and standard deviation, minimum and maximum, or waist and hip.
pub(super) type LengthPair = (f64, f64);

/// Returns a function that converts a length from `unit` to centimetres.
pub(super) fn length_converter_to_cm(unit: Unit) -> impl Fn(f64) -> f64 + Copy {
    move |length| FieldKind::Length.convert_unit(length, unit, Unit::Cm)
}

/// Converts the constraints on the sizes of a chart from `unit` to centimetres: the grid, the fixed sizes, the drops or
/// their number, and the minimum share. Raises the problem of drops and a number of drops.
pub(super) fn size_constraints_in_cm(
    grid: Option<f64>,
    fixed: Option<Vec<LengthPair>>,
    (drop, drop_classes): (Option<DropArgument>, Option<usize>),
    min_share: f64,
    unit: Unit,
) -> PyResult<SizeConstraints> {
    let to_cm = length_converter_to_cm(unit);
    let fixed = fixed.into_iter().flatten().map(|(waist, hip)| (to_cm(waist), to_cm(hip))).collect();
    let conflict = || Problem::new(Code::Conflict, "drop").with_limit("drop_classes");
    let conflict = (drop.is_some() && drop_classes.is_some()).then(conflict);
    value_or_raise(Problems::ok_if_empty(conflict), unit)?;
    let drops = drop.map(|drop| drop.0).or(drop_classes.map(DropClasses::Number));
    let drops = match drops.unwrap_or_default() {
        DropClasses::Values(drops) => DropClasses::Values(drops.into_iter().map(to_cm).collect()),
        DropClasses::SizesByDrop(counts) => {
            DropClasses::SizesByDrop(counts.into_iter().map(|(drop, count)| (to_cm(drop), count)).collect())
        }
        other => other,
    };
    Ok(SizeConstraints { grid: grid.map(to_cm), fixed, drops, min_share, unit })
}

/// Returns the value of a result; raises its problems, converted from centimetres to `unit`, as `InputError`.
pub(super) fn value_or_raise<T>(result: Result<T, Problems>, unit: Unit) -> PyResult<T> {
    Ok(unit.convert_problems_from_cm(result)?)
}

/// Returns the text of a Python string, with U+FFFF for each lone surrogate; `None` for an object that is not a string.
pub(super) fn text_if_python_string(object: Borrowed<'_, '_, PyAny>) -> Option<String> {
    let text = object.cast::<PyString>().ok()?;
    // Python encodes a lone surrogate as three bytes, each of which becomes U+FFFD.
    let lossy = |_| text.to_string_lossy().replace("\u{fffd}\u{fffd}\u{fffd}", "\u{ffff}");
    Some(text.extract().unwrap_or_else(lossy))
}

/// Returns the text of a Python string, or the `repr` of any other object, or the name of the object's type if `repr`
/// fails.
pub(super) fn text_or_repr(object: Borrowed<'_, '_, PyAny>) -> String {
    let type_name =
        || object.get_type().name().map_or_else(|_| "an object".to_owned(), |name| format!("an object of {name}"));
    let repr = || text_if_python_string(object.repr().ok()?.as_any().as_borrowed());
    text_if_python_string(object).or_else(repr).unwrap_or_else(type_name)
}
