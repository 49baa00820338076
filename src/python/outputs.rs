//! The parts of a result as Python shows them. Their fields come from the Rust structs themselves.

use std::convert::Infallible;

use pyo3::prelude::*;
use pyo3::types::PyString;
use serde::Serialize;
use serde::de::DeserializeOwned;

use super::draft::{Dict, loads};
use super::inputs::hash_of;
use crate::document::node::Node;
use crate::document::text;
use crate::document::{
    BestSizesReport, ChangeReport, ChoiceReport, ComparisonReport, DartReport, EdgeReport, Girths,
    GradeIncrementReport, KeyLengths, Lengths, NotchReport, PanelReport, PieceReport, PlacedReport, Seams,
    SizeDifferenceReport, SuppressionReport,
};
use crate::error::{Code, Problem};
use crate::field::Unit;
use crate::findings::Finding;
use crate::proof::{Check, Proof};
use crate::sizes::Cost;

fn part<T: DeserializeOwned>(json: &str) -> PyResult<T> {
    serde_json::from_str(json).map_err(|error| pyo3::exceptions::PyValueError::new_err(error.to_string()))
}

/// `Name(field=value, …)`, with lists by their length.
pub(super) fn shown(name: &str, part: &impl Serialize) -> String {
    let Ok(Node::Object(fields)) = serde_json::from_str(&text(part)) else { return name.to_owned() };
    let value = |node: &Node| match node {
        Node::Null => "None".to_owned(),
        Node::Truth(truth) => if *truth { "True" } else { "False" }.to_owned(),
        Node::Number(number) => format!("{number:?}"),
        // The escapes of JSON are Python's, too.
        Node::Text(word) => text(word),
        Node::List(list) => match list.as_slice() {
            [Node::Number(x), Node::Number(y)] => format!("[{x:?}, {y:?}]"),
            list => format!("[{} of them]", list.len()),
        },
        Node::Object(_) | Node::Other(_) => "…".to_owned(),
    };
    let fields: Vec<String> = fields.iter().map(|(name, node)| format!("{name}={}", value(node))).collect();
    format!("{name}({})", fields.join(", "))
}

/// What every part of a result can do in Python.
macro_rules! part {
    ($($name:ident as $python:literal;)*) => {$(
        #[pymethods]
        impl $name {
            fn __repr__(&self) -> String {
                shown($python, self)
            }

            fn __hash__(&self) -> u64 {
                hash_of(&text(self))
            }

            #[new]
            fn from_parts(json: &str) -> PyResult<Self> {
                part(json)
            }

            fn __getnewargs__(&self) -> (String,) {
                (text(self),)
            }

            /// The same as a dict.
            #[allow(clippy::wrong_self_convention, reason = "Python's methods take a reference")]
            fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Dict<'py>> {
                loads(py, &text(self))
            }
        }
    )*};
}

part! {
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

/// What Python sees by its name.
macro_rules! named {
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

named! { Code Unit }
