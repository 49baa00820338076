//! Python methods of results whose attributes are the fields of a Rust struct: `repr`, hash, pickle and conversion to a
//! dict, all from the JSON of the result.

use std::collections::HashMap;
use std::convert::Infallible;

use pyo3::prelude::*;
use pyo3::types::{PyDict, PyString};

use super::class::{json_to_dict, python_class, repr_without_defaults};
use super::typed_objects::AnyDict;
use crate::document::to_json_text;
pub(crate) use crate::document::{
    BestChartReport, BestSizesReport, CallSettings, ChangeReport, ChoiceReport, ComparisonReport, DartReport,
    EdgeReport, Girths, GradeIncrementReport, GroupComparisonReport, GroupReport, KeyLengths, Lengths, NotchReport,
    PanelReport, PieceReport, PlacedReport, RefusedReport, Seams, SizeDifferenceReport, SuppressionReport, VentReport,
    WaistPieceReport,
};
use crate::error::Code;
pub(crate) use crate::error::Problem;
use crate::field::Unit;
pub(crate) use crate::findings::Finding;
pub(crate) use crate::proof::{Check, Proof};
pub(crate) use crate::size_search::LogBand;
pub(crate) use crate::sizes::Cost;
pub(crate) use crate::survey::FitComparison;

/// Implements the methods of classes of results: those of `python_class`, pickling by JSON, and `to_dict`. The function
/// after `=>` returns another `repr` than the fields; a class has its own methods in braces.
macro_rules! result_classes {
    ($($name:ident $(=> $repr:path)? $({ $($methods:tt)* })?)*) => {$(
        python_class! { $name as result;
            repr = result_classes!(@repr $name, result $(, $repr)?);
            hash = to_json_text(result);
            {
                /// Restore a pickled result from its JSON.
                #[new]
                fn new_from_json(json: &str) -> PyResult<Self> {
                    serde_json::from_str(json).map_err(|error| pyo3::exceptions::PyValueError::new_err(error.to_string()))
                }

                fn __getnewargs__(&self) -> (String,) { (to_json_text(self),) }

                /// Convert the result to a dict with the field names of its JSON document.
                #[allow(clippy::wrong_self_convention, reason = "a method of a Python class takes `self` by reference")]
                fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<AnyDict<'py>> { json_to_dict(py, &to_json_text(self)) }

                $($($methods)*)?
            }
        }
    )*};
    (@repr $name:ident, $result:ident) => {
        $crate::python::class::repr_without_defaults(<$name as pyo3::PyClass>::NAME, &to_json_text($result), "{}")
    };
    (@repr $name:ident, $result:ident, $repr:path) => { $repr($result) };
}

pub(super) use result_classes;

result_classes! {
    SuppressionReport Girths Lengths PanelReport Seams DartReport EdgeReport PieceReport NotchReport PlacedReport KeyLengths
    GradeIncrementReport SizeDifferenceReport ChoiceReport ChangeReport BestSizesReport ComparisonReport Cost Check Proof
    Finding Problem VentReport WaistPieceReport GroupReport GroupComparisonReport RefusedReport FitComparison
}

python_class! { LogBand as band;
    text = repr_without_defaults("LogBand", &to_json_text(band), "{}");
    keywords py = json_to_dict(py, &to_json_text(band));
    {
        /// Create a loss band for x = ln(girth of the person / girth of the size). The loss is `small_weight` × (x −
        /// `small`)² for x above `small`, `large_weight` × (−x − `large`)² for −x above `large`, and 0 in between.
        ///
        /// Raises `InputError` with all the problems at once.
        ///
        /// >>> LogBand(small=0.02, large=0.04, small_weight=3, large_weight=1).small
        /// 0.02
        /// >>> LogBand(small=-1, large=0.04, small_weight=3, large_weight=1)
        /// Traceback (most recent call last):
        /// kirtle.InputError: band.small: -1 is below the minimum of 0
        #[new]
        #[pyo3(signature = (*, small, large, small_weight, large_weight))]
        fn new(small: f64, large: f64, small_weight: f64, large_weight: f64) -> PyResult<Self> {
            let band = Self { small, large, small_weight, large_weight };
            band.check()?;
            Ok(band)
        }
    }
}

/// Implements the conversion of enumerations to the Python strings that their method `name` returns.
macro_rules! enum_into_python_str {
    ($($name:ident)*) => {$(
        impl<'py> IntoPyObject<'py> for $name {
            type Target = PyString;
            type Output = Bound<'py, PyString>;
            type Error = Infallible;

            const OUTPUT_TYPE: pyo3::inspect::PyStaticExpr = pyo3::type_hint_identifier!("builtins", "str");

            fn into_pyobject(self, py: Python<'py>) -> Result<Self::Output, Infallible> {
                Ok(PyString::new(py, self.name()))
            }
        }
    )*};
}

enum_into_python_str! { Code Unit }

impl<'py> IntoPyObject<'py> for CallSettings {
    type Target = PyDict;
    type Output = Bound<'py, PyDict>;
    type Error = PyErr;

    const OUTPUT_TYPE: pyo3::inspect::PyStaticExpr = HashMap::<String, Py<PyAny>>::OUTPUT_TYPE;

    fn into_pyobject(self, py: Python<'py>) -> PyResult<Self::Output> {
        Ok(json_to_dict(py, &to_json_text(&self))?.0)
    }
}
