//! Python methods of the classes of results: `repr`, hash, pickle and conversion to a dict, all from the JSON of the
//! result. The attributes of each class come from the fields of its Rust struct.

use std::convert::Infallible;

use pyo3::prelude::*;
use pyo3::types::PyString;
use serde::Serialize;
use serde::de::DeserializeOwned;

use super::draft::{Dict, json_to_dict};
use super::inputs::hash_of;
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

/// Parses the JSON of a pickled result.
fn from_json<T: DeserializeOwned>(json: &str) -> PyResult<T> {
    serde_json::from_str(json).map_err(|error| pyo3::exceptions::PyValueError::new_err(error.to_string()))
}

/// Formats `Name(field=value, …)`; a list is shown as its number of items.
pub(super) fn repr(name: &str, result: &impl Serialize) -> String {
    let Ok(JsonValue::Object(fields)) = serde_json::from_str(&to_json_text(result)) else { return name.to_owned() };
    let value_text = |value: &JsonValue| match value {
        JsonValue::Null => "None".to_owned(),
        JsonValue::Bool(boolean) => if *boolean { "True" } else { "False" }.to_owned(),
        JsonValue::Number(number) => format!("{number:?}"),
        // JSON and Python have the same escapes.
        JsonValue::String(text) => to_json_text(text),
        JsonValue::Array(list) => match list.as_slice() {
            [JsonValue::Number(x), JsonValue::Number(y)] => format!("[{x:?}, {y:?}]"),
            list => format!("[{} items]", list.len()),
        },
        JsonValue::Object(_) | JsonValue::NotJson(_) => "…".to_owned(),
    };
    let fields: Vec<String> = fields.iter().map(|(name, value)| format!("{name}={}", value_text(value))).collect();
    format!("{name}({})", fields.join(", "))
}

/// Adds `repr`, hash, pickle and `to_dict` to classes of results, with their names in Python.
macro_rules! result_class {
    ($($name:ident as $python:literal;)*) => {$(
        #[pymethods]
        impl $name {
            fn __repr__(&self) -> String {
                repr($python, self)
            }

            fn __hash__(&self) -> u64 {
                hash_of(&to_json_text(self))
            }

            /// Restore a pickled result from its JSON.
            #[new]
            fn new_from_json(json: &str) -> PyResult<Self> {
                from_json(json)
            }

            fn __getnewargs__(&self) -> (String,) {
                (to_json_text(self),)
            }

            /// Convert the result to a dict with the field names of its JSON document.
            #[allow(clippy::wrong_self_convention, reason = "Python's methods take a reference")]
            fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Dict<'py>> {
                json_to_dict(py, &to_json_text(self))
            }
        }
    )*};
}

result_class! {
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

/// Converts enumerations to Python strings by their `name` method.
macro_rules! into_python_str {
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

into_python_str! { Code Unit }
