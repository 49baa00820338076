//! Python bindings: the compiled module `kirtle._kirtle`. The room converts arguments and results and calls the
//! library; it computes nothing and has no defaults of its own.

#![allow(clippy::needless_pass_by_value, reason = "PyO3 passes arguments by value")]
#![allow(clippy::too_many_arguments, reason = "a Python function has one keyword argument for each option")]

mod arguments;
mod best_chart;
mod capsule;
mod class;
mod comparison;
mod draft;
mod draft_methods;
mod exclusive_reader;
mod fitting;
mod inputs;
mod interruption;
mod lesson;
mod paper;
mod pattern;
mod population;
mod questions;
mod results;
mod sizes;
mod survey;
mod table;
mod typed_objects;

use pyo3::prelude::*;

use crate::error::Problems;

pyo3::import_exception!(kirtle.exceptions, InputError);

impl From<Problems> for PyErr {
    fn from(problems: Problems) -> Self {
        let document = crate::document::to_json_text(&problems);
        InputError::new_err((problems.to_string(), problems.to_vec(), document))
    }
}

/// Compiled part of the package `kirtle`.
// All classes are frozen and `Sync`, so none needs the global interpreter lock.
#[pymodule(gil_used = false)]
mod _kirtle {
    #[pymodule_export]
    use super::{
        best_chart::{best_chart, best_chart_by_draft},
        comparison::{compare_charts, compare_fits},
        draft::{Draft, draft, draft_json, format_length, parse_length, request_changes, schema},
        fitting::Fitting,
        inputs::{Body, Darts, Ease, Figure, GivenDart, Rules, Shares},
        interruption::_panic,
        lesson::{Lesson, drawing_texts},
        paper::{new_partial, replace_by_partial},
        pattern::{Lay, Pattern},
        population::{BodyTable, Population, simulate},
        questions::{EaseByLevel, Ellipse, Sensitivity, Solutions, StandardErrors, Uncertainty},
        results::{
            BestChartReport, BestSizesReport, ChangeReport, Check, ChoiceReport, ComparisonReport, Cost, DartReport,
            EdgeReport, Finding, FitComparison, Girths, GradeIncrementReport, GroupComparisonReport, GroupReport,
            KeyLengths, Lengths, LogBand, NotchReport, PanelReport, PieceReport, PlacedReport, Problem, Proof,
            RefusedReport, Seams, SizeDifferenceReport, SuppressionReport, VentReport, WaistPieceReport,
        },
        sizes::{Alteration, Nest, SizeChart, SizeRange, chart_json},
        survey::{ChartFit, best_sizes, fit_chart},
        table::{DraftStream, DraftTable, Rows, draft_stream, draft_table},
    };

    /// Version of the package, such as `1.2.0`.
    #[pymodule_export]
    #[allow(non_upper_case_globals)]
    const __version__: &str = crate::VERSION;
}
