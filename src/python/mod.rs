//! Python bindings: the compiled module `kirtle._kirtle`, for Python users and its type stub. The room converts
//! arguments and results and calls the library; it computes nothing and has no defaults of its own.

mod arguments;
mod batches;
mod capsule;
mod class;
mod draft;
mod draft_methods;
mod ease_profile;
mod exclusive_reader;
mod inputs;
mod paper;
mod pattern;
mod results;
mod sensitivity;
mod simulate;
mod size_search;
mod sizes;
mod survey;
mod table;
mod texts;

use pyo3::prelude::*;

use crate::error::Problems;

mod exceptions {
    pyo3::import_exception!(kirtle.exceptions, InputError);
}

impl From<Problems> for PyErr {
    fn from(problems: Problems) -> Self {
        let document = crate::document::to_json_text(&problems);
        exceptions::InputError::new_err((problems.to_string(), problems.to_vec(), document))
    }
}

/// Compiled part of the package `kirtle`.
// All classes are frozen and `Sync`, so none needs the global interpreter lock.
#[pymodule(gil_used = false)]
mod _kirtle {
    #[pymodule_export]
    use super::batches::Rows;
    #[pymodule_export]
    use super::draft::{Draft, draft, draft_json, schema};
    #[pymodule_export]
    use super::ease_profile::EaseByLevel;
    #[pymodule_export]
    use super::inputs::{Body, Darts, Ease, FixedDart, Rules, Shares};
    #[pymodule_export]
    use super::pattern::{Lay, Pattern};
    #[pymodule_export]
    use super::sensitivity::{Ellipse, Sensitivity, Solutions, StandardErrors, Uncertainty};
    #[pymodule_export]
    use super::simulate::{BodyTable, Population, simulate};
    #[pymodule_export]
    use super::size_search::{BestChart, best_chart, best_sizes, compare_charts};
    #[pymodule_export]
    use super::sizes::{Alteration, Fitting, SizeChart, SizeRange, chart_json};
    #[pymodule_export]
    use super::survey::{ChartFit, fit_chart};
    #[pymodule_export]
    use super::table::{DraftStream, DraftTable, draft_stream, draft_table};
    #[pymodule_export]
    use crate::document::{
        BestSizesReport, ChangeReport, ChoiceReport, ComparisonReport, DartReport, EdgeReport, Girths,
        GradeIncrementReport, KeyLengths, Lengths, NotchReport, PanelReport, PieceReport, PlacedReport, Seams,
        SizeDifferenceReport, SuppressionReport,
    };
    #[pymodule_export]
    use crate::error::Problem;
    #[pymodule_export]
    use crate::findings::Finding;
    #[pymodule_export]
    use crate::proof::{Check, Proof};
    #[pymodule_export]
    use crate::sizes::Cost;
    #[pymodule_export]
    use crate::survey::LogBand;

    /// Version of the package, such as `1.2.0`.
    #[pymodule_export]
    #[allow(non_upper_case_globals)]
    const __version__: &str = env!("CARGO_PKG_VERSION");
}
