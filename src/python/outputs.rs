//! Python methods of the classes of results: `repr`, hash, pickle and conversion to a dict, all from the JSON of the
//! result. The attributes of each class come from the fields of its Rust struct.

use std::convert::Infallible;

use pyo3::prelude::*;
use pyo3::types::PyString;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::{Number, Value};

use super::draft::{AnyDict, json_to_dict};
use super::inputs::hash_of_text;
use crate::document::{
    BestSizesReport, ChangeReport, ChoiceReport, ComparisonReport, DartReport, EdgeReport, Girths,
    GradeIncrementReport, JsonValue, KeyLengths, Lengths, NotchReport, PanelReport, PieceReport, PlacedReport, Seams,
    SizeDifferenceReport, SuppressionReport, to_json_text,
};
use crate::error::{Code, Problem};
use crate::field::Unit;
use crate::findings::Finding;
use crate::proof::{Check, Proof};
use crate::sizes::Cost;

/// Recreates a result from the JSON that pickle stored; raises `ValueError` for other JSON.
fn unpickle_result_from_json<T: DeserializeOwned>(json: &str) -> PyResult<T> {
    serde_json::from_str(json).map_err(|error| pyo3::exceptions::PyValueError::new_err(error.to_string()))
}

/// Returns the `repr` of a result, `Name(field=value, …)`; lists except pairs of numbers appear by their length.
pub(super) fn result_repr(name: &str, result: &impl Serialize) -> String {
    let Ok(JsonValue::Object(fields)) = serde_json::from_str(&to_json_text(result)) else { return name.to_owned() };
    let values = serde_json::to_value(result).unwrap_or_default();
    let digits = |n: &Number| n.as_f64().filter(|_| n.is_f64()).map_or_else(|| n.to_string(), |x| format!("{x:?}"));
    let value_text = |value: &Value| match value {
        Value::Null => "None".to_owned(),
        Value::Bool(boolean) => if *boolean { "True" } else { "False" }.to_owned(),
        Value::Number(number) => digits(number),
        // JSON and Python have the same escapes.
        Value::String(_) => value.to_string(),
        Value::Array(list) => match list.as_slice() {
            [Value::Number(x), Value::Number(y)] => format!("[{}, {}]", digits(x), digits(y)),
            list => format!("[{} items]", list.len()),
        },
        Value::Object(_) => "…".to_owned(),
    };
    // Only `JsonValue` keeps the order of the fields.
    let fields: Vec<String> = fields.iter().map(|(name, _)| format!("{name}={}", value_text(&values[name]))).collect();
    format!("{name}({})", fields.join(", "))
}

/// Implements `repr`, hash, pickle and `to_dict` for types of results, each with its class name in Python.
macro_rules! result_class_methods {
    ($($name:ident as $python:literal;)*) => {$(
        #[pymethods]
        impl $name {
            fn __repr__(&self) -> String {
                result_repr($python, self)
            }

            fn __hash__(&self) -> u64 {
                hash_of_text(&to_json_text(self))
            }

            /// Restore a pickled result from its JSON.
            #[new]
            fn new_from_json(json: &str) -> PyResult<Self> {
                unpickle_result_from_json(json)
            }

            fn __getnewargs__(&self) -> (String,) {
                (to_json_text(self),)
            }

            /// Convert the result to a dict with the field names of its JSON document.
            #[allow(clippy::wrong_self_convention, reason = "Python's methods take a reference")]
            fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<AnyDict<'py>> {
                json_to_dict(py, &to_json_text(self))
            }
        }
    )*};
}

result_class_methods! {
    SuppressionReport as "Suppression";
    Girths as "Girths";
    Lengths as "Lengths";
    PanelReport as "Panel";
    Seams as "Seams";
    DartReport as "Dart";
    EdgeReport as "Edge";
    PieceReport as "Piece";
    NotchReport as "Notch";
    PlacedReport as "Placed";
    KeyLengths as "KeyLengths";
    GradeIncrementReport as "GradeIncrement";
    SizeDifferenceReport as "SizeDifference";
    ChoiceReport as "Choice";
    ChangeReport as "Change";
    BestSizesReport as "BestSizes";
    ComparisonReport as "ChartComparison";
    Cost as "Cost";
    Check as "Check";
    Proof as "Proof";
    Finding as "Finding";
    Problem as "Problem";
}

/// Implements the conversion of enumerations to Python strings; the string is what their method `name` returns.
macro_rules! enum_into_python_str {
    ($($name:ident)*) => {$(
        impl<'py> IntoPyObject<'py> for $name {
            type Target = PyString;
            type Output = Bound<'py, PyString>;
            type Error = Infallible;

            #[cfg(feature = "stubs")]
            const OUTPUT_TYPE: pyo3::inspect::PyStaticExpr = pyo3::type_hint_identifier!("builtins", "str");

            fn into_pyobject(self, py: Python<'py>) -> Result<Self::Output, Infallible> {
                Ok(PyString::new(py, self.name()))
            }
        }
    )*};
}

enum_into_python_str! { Code Unit }
