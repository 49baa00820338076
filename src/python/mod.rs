//! The Python face: names and conversions only.

mod batches;
mod best;
mod capsule;
mod draft;
mod guarded;
mod inputs;
mod levels;
mod mapping;
mod outputs;
mod pattern;
mod questions;
mod simulate;
mod sizes;
mod survey;
mod table;
mod texts;
mod uncertainty;

use pyo3::prelude::*;

use crate::error::Problems;

mod errors {
    pyo3::import_exception!(kirtle.errors, MeasurementError);
}

impl From<Problems> for PyErr {
    fn from(problems: Problems) -> Self {
        let document = crate::output::json::text(&problems);
        errors::MeasurementError::new_err((problems.to_string(), problems.to_vec(), document))
    }
}

/// The compiled half of the package `kirtle`.
// The classes are frozen, and what they share is `Sync`: none of it needs the lock of Python.
#[pymodule(gil_used = false)]
mod _kirtle {
    #[pymodule_export]
    use super::batches::Rows;
    #[pymodule_export]
    use super::best::{BestChart, best_chart, best_line, compare_charts};
    #[pymodule_export]
    use super::draft::{Draft, draft, draft_json, schema};
    #[pymodule_export]
    use super::inputs::{Body, Darts, Ease, FixedDart, Rules, Shares};
    #[pymodule_export]
    use super::levels::EaseByLevel;
    #[pymodule_export]
    use super::pattern::{Lay, Pattern};
    #[pymodule_export]
    use super::questions::{Answer, Sensitivity};
    #[pymodule_export]
    use super::simulate::{BodyTable, Population, simulate};
    #[pymodule_export]
    use super::sizes::{Alteration, Fitting, Range, SizeChart, chart_json};
    #[pymodule_export]
    use super::survey::{ChartFit, fit_chart};
    #[pymodule_export]
    use super::table::{DraftStream, DraftTable, draft_stream, draft_table};
    #[pymodule_export]
    use super::uncertainty::{Ellipse, Errors, Uncertainty};
    #[pymodule_export]
    use crate::error::Problem;
    #[pymodule_export]
    use crate::findings::Finding;
    #[pymodule_export]
    use crate::output::json::{
        ChangeReport, ChoiceReport, ComparisonReport, DartReport, EdgeReport, Girths, KeyLengths, Lengths, LineReport,
        MoveReport, NearReport, NotchReport, PanelReport, PieceReport, PlacedReport, Seams, SuppressionReport,
    };
    #[pymodule_export]
    use crate::proof::{Check, Proof};
    #[pymodule_export]
    use crate::sizes::Cost;
    #[pymodule_export]
    use crate::survey::LogBand;

    /// The version of the package.
    #[pymodule_export]
    #[allow(non_upper_case_globals)]
    const __version__: &str = env!("CARGO_PKG_VERSION");
}
