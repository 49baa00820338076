//! Conversions of Rust values to Python objects, each with its own type hint.

use std::collections::HashMap;

use pyo3::inspect::PyStaticExpr;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyIterator, PyString};
use pyo3::{IntoPyObjectExt, type_hint_identifier, type_hint_subscript, type_hint_union};

use crate::body::DartCount;
use crate::document::{CallSettings, to_json_text};
use crate::error::Code;
use crate::field::Unit;

/// Python dict with the type hint `dict[str, Any]`.
pub(crate) struct AnyDict<'py>(pub(super) Bound<'py, PyDict>);
/// Python dict with the type hint `dict[str, str]`.
pub(crate) struct TextDict<'py>(pub(super) Bound<'py, PyDict>);
/// Python dict with the type hint `dict[str, float]`.
pub(crate) struct NumberDict<'py>(pub(super) Bound<'py, PyDict>);
/// Python iterator with the type hint `Iterator[str]`.
pub(crate) struct TextIterator<'py>(pub(super) Bound<'py, PyIterator>);

/// Implements the conversion of types to objects of a Python class, each with its type hint.
macro_rules! into_python_objects {
    ($($type:ty => $class:ident, $hint:expr, |$value:ident, $py:ident| $object:expr;)+) => {$(
        impl<'py> IntoPyObject<'py> for $type {
            type Target = $class;
            type Output = Bound<'py, $class>;
            type Error = PyErr;

            const OUTPUT_TYPE: PyStaticExpr = $hint;

            fn into_pyobject(self, $py: Python<'py>) -> PyResult<Self::Output> { let $value = self; $object }
        }
    )+};
}

into_python_objects! {
    AnyDict<'py> => PyDict, HashMap::<String, Py<PyAny>>::OUTPUT_TYPE, |dict, _py| Ok(dict.0);
    TextDict<'py> => PyDict, HashMap::<String, String>::OUTPUT_TYPE, |dict, _py| Ok(dict.0);
    NumberDict<'py> => PyDict, HashMap::<String, f64>::OUTPUT_TYPE, |dict, _py| Ok(dict.0);
    TextIterator<'py> => PyIterator, type_hint_subscript!(type_hint_identifier!("collections.abc", "Iterator"), String::OUTPUT_TYPE),
        |iterator, _py| Ok(iterator.0);
    Code => PyString, String::OUTPUT_TYPE, |code, py| Ok(PyString::new(py, code.name()));
    Unit => PyString, String::OUTPUT_TYPE, |unit, py| Ok(PyString::new(py, unit.name()));
    // A word, such as `auto`, or an integer.
    DartCount => PyAny, type_hint_union!(String::OUTPUT_TYPE, usize::OUTPUT_TYPE),
        |count, py| count.json_word().map_or_else(|| count.chosen_count().into_bound_py_any(py), |word| word.into_bound_py_any(py));
    CallSettings => PyDict, AnyDict::OUTPUT_TYPE, |settings, py| Ok(json_to_dict(py, &to_json_text(&settings))?.0);
}

/// Converts the text of a JSON object to a Python dict.
pub(super) fn json_to_dict<'py>(py: Python<'py>, json: &str) -> PyResult<AnyDict<'py>> {
    Ok(AnyDict(py.import("json")?.call_method1("loads", (json,))?.cast_into()?))
}

/// Returns a Python dict of keyword arguments from pairs of a name and a value.
pub(super) fn keyword_dict<'py>(py: Python<'py>, pairs: impl IntoPyObject<'py>) -> PyResult<AnyDict<'py>> {
    PyDict::from_sequence(&pairs.into_bound_py_any(py)?).map(AnyDict)
}
