//! Python methods of results whose attributes are the fields of a Rust struct: `repr`, hash, pickle and conversion to a
//! dict, all from the JSON of the result.

use pyo3::prelude::*;

use super::class::{python_class, repr_without_defaults};
use super::typed_objects::{AnyDict, json_to_dict};
use crate::document::to_json_text;
pub(crate) use crate::document::{
    BestChartReport, BestSizesReport, ChangeReport, ChoiceReport, ComparisonReport, DartReport, EdgeReport, Girths,
    GradeIncrementReport, GroupComparisonReport, GroupReport, KeyLengths, Lengths, NotchReport, PanelReport,
    PieceReport, PlacedReport, RefusedReport, Seams, SizeDifferenceReport, SuppressionReport, VentReport,
    WaistPieceReport,
};
pub(crate) use crate::error::Problem;
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
