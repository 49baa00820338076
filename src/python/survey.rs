//! The function `fit_chart` with its result `ChartFit`, and helpers for all functions that read people from a table.

use std::collections::BTreeMap;

use pyo3::prelude::*;

use super::arguments::{EaseBoundsArgument, converter_to_cm, map_length_pair, parse_unit, value_or_raise};
use super::batches::{Rows, arrow_to_runtime_error};
use super::capsule::open_arrow_stream;
use super::class::{AnyDict, json_to_dict, python_class};
use super::inputs::{Ease, Rules};
use super::sizes::SizeChart;
use super::table::{parse_columns, run_python_callbacks};
use crate::arrow::{PeopleReader, PeopleTable, fit_batch};
use crate::document::{FitReport, to_json_text};
use crate::error::Problems;
use crate::field::Unit;
use crate::survey;

/// Returns a reader of the Arrow stream of people, with lengths in `unit`; the inner error has problems of columns.
pub(super) fn people_reader(
    source: &Bound<'_, PyAny>,
    columns: Option<AnyDict<'_>>,
    unit: Unit,
) -> PyResult<Result<PeopleReader, Problems>> {
    let stream = open_arrow_stream(source)?;
    Ok(parse_columns(columns).and_then(|columns| PeopleReader::new(stream, &columns, unit)))
}

/// Reads all people of a table; runs Python's signal handlers after each batch and raises their exceptions.
pub(super) fn read_all_people(py: Python<'_>, mut reader: PeopleReader) -> PyResult<PeopleTable> {
    while let Some(rows) = py.detach(|| reader.next()) {
        run_python_callbacks(py, None, rows.map_err(arrow_to_runtime_error)?)?;
    }
    Ok(reader.table())
}

/// Runs a computation with Python's interpreter lock released, until it ends or a signal handler raises an exception.
pub(super) fn run_interruptibly<T: Send>(py: Python<'_>, work: impl FnOnce() -> T + Send) -> PyResult<T> {
    py.detach(|| survey::interruptible(|| Python::attach(|py| run_python_callbacks(py, None, 0)), work))
}

/// Assign each person of a table to a size of a chart, and count the people that the chart serves.
///
/// A size serves a person if the garment's girth minus the body's girth, the ease left, is within bounds. `bounds` gives
/// the minimum and maximum ease left of each girth, as in `{"waist": (0, 3), "hip": (2, 8)}`. Waist or hip without bounds
/// has the bounds `ease` ± `tolerance`.
///
/// `source` is any object with an Arrow stream, with the columns `waist` and `hip`. `columns` maps `waist` or `hip` to
/// the name of another column or to one number for everyone. If `columns` has `high_hip` and `high_hip_depth`, the
/// distance of the high hip below the waist at the side, then `bounds` for the high hip apply too. Lengths of the
/// table, `tolerance`, `bounds` and results are in `unit`.
///
/// A person gets the nearest size that serves, or else the size with the least violation of its bounds. A person with a
/// null, NaN or infinite number is unmeasured and gets no size.
///
/// Raises `InputError` with all the problems at once, and `TypeError` for a source without an Arrow stream.
///
/// >>> people = pyarrow.table({"waist": [73.0, 90.0, None], "hip": [97.0, 104.0, 99.0]})
/// >>> fit = fit_chart(SizeChart.demo(), people, ease=Ease(waist=1.5, hip=5), tolerance=2)
/// >>> fit.served, fit.count, fit.unmeasured
/// (1, 3, 1)
/// >>> pyarrow.table(fit)["size"].to_pylist()
/// ['38', '44', None]
/// >>> fit_chart(SizeChart.demo(), people, ease=Ease(waist=1.5, hip=5))
/// Traceback (most recent call last):
/// kirtle.InputError: bounds.waist: missing: give the minimum and maximum ease, or a tolerance
/// bounds.hip: missing: give the minimum and maximum ease, or a tolerance
#[pyfunction]
#[pyo3(signature = (
    chart, source, *, ease, rules = None, tolerance = None, bounds = None, columns = None, unit = "cm"
))]
#[allow(clippy::too_many_arguments, reason = "one keyword argument for each option")]
pub(crate) fn fit_chart(
    py: Python<'_>,
    chart: &SizeChart,
    source: &Bound<'_, PyAny>,
    ease: &Ease,
    rules: Option<&Rules>,
    tolerance: Option<f64>,
    bounds: Option<EaseBoundsArgument>,
    columns: Option<AnyDict<'_>>,
    unit: &str,
) -> PyResult<Py<ChartFit>> {
    let unit = parse_unit(unit)?;
    let rules = rules.map(|rules| rules.0.clone()).unwrap_or_default();
    let bounds = bounds
        .into_iter()
        .flat_map(|bounds| bounds.0)
        .map(|(name, pair)| (name, map_length_pair(pair, converter_to_cm(unit))))
        .collect::<Vec<_>>();
    let bounds = survey::EaseBounds::from_names(&ease.0, tolerance.map(converter_to_cm(unit)), &bounds);
    let (reader, bounds) =
        value_or_raise(Problems::pair_or_all_problems(people_reader(source, columns, unit)?, bounds), unit)?;
    let (people, chart, ease) = (read_all_people(py, reader)?, chart.0.clone(), ease.0);
    let fit = value_or_raise(
        run_interruptibly(py, || survey::fit_chart(&chart, &ease, &rules, &bounds, &people.people()))?,
        unit,
    )?;
    let high_hips = people.people().high_hip.is_some();
    let batch = py.detach(|| fit_batch(&chart, &fit, high_hips, unit)).map_err(arrow_to_runtime_error)?;
    let report = FitReport::new(&chart, &fit, unit);
    Py::new(py, (ChartFit { report, fit, people, unit }, Rows::from(batch)))
}

/// Fit of a chart on people: counts, and an Arrow table with one row for each person.
///
/// Each row has `size`, `serves`, `excess`, `ease_left_waist`, `ease_left_hip` and, if measured, `ease_left_high_hip`.
/// Ease left is the garment's girth minus the body's girth; excess is the largest violation of a bound; both in `unit`.
#[pyclass(frozen, extends = Rows, module = "kirtle")]
pub(crate) struct ChartFit {
    report: FitReport,
    fit: survey::ChartFit,
    people: PeopleTable,
    unit: Unit,
}

python_class! { ChartFit as fit;
    /// Unit of all lengths: `cm` or `in`.
    unit: &'static str = fit.unit.name();
    /// Number of people, measured and unmeasured.
    count: usize = fit.report.count;
    /// Number of people without a size: a number is missing, NaN or infinite, or the high hip is outside the garment.
    unmeasured: usize = fit.report.unmeasured;
    /// Number of people whom the assigned size serves.
    served: usize = fit.report.served;
    /// Share of served people among the measured people, from 0 to 1; 0 if nobody was measured.
    share_served: f64 = fit.report.share_served;
    /// Load of each size: name, number of people assigned to the size, and number of those whom the size serves.
    loads: Vec<(String, usize, usize)> = fit.report.loads.clone();
    /// Number of unserved people for each bound that the assigned size violates, such as `waist_tight`.
    unserved: BTreeMap<String, usize> = fit.report.unserved.clone();
    repr = fit.report.to_string();
    {
        /// Return the people with the largest violations of bounds, the largest violation first.
        ///
        /// Each item is a person's row number, from 0, and largest violation, in `unit`. The list has at most `max` items.
        #[pyo3(signature = (max = 10))]
        fn worst(&self, max: usize) -> Vec<(usize, f64)> {
            self.fit.worst(max).into_iter().map(|miss| (miss.row, self.unit.length_from_cm(miss.excess))).collect()
        }

        /// Count people in squares of the plane of waist and hip.
        ///
        /// `step` is the side of a square in `unit`, at least 0.1 cm, at most 100 cm. Each item is the smallest waist and
        /// hip of a square, the number of its people, and the number of served people. Empty squares are left out.
        ///
        /// Raises `InputError` for a step out of range.
        fn regions(&self, py: Python<'_>, step: f64) -> PyResult<Vec<(f64, f64, usize, usize)>> {
            let step = converter_to_cm(self.unit)(step);
            let regions = value_or_raise(py.detach(|| self.fit.regions(&self.people.people(), step)), self.unit)?;
            let in_unit = |length| self.unit.length_from_cm(length);
            Ok(regions
                .iter()
                .map(|square| (in_unit(square.waist), in_unit(square.hip), square.people, square.served))
                .collect())
        }

        /// Convert the counts to a dict that follows `schema("fit")`.
        fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<AnyDict<'py>> {
            json_to_dict(py, &to_json_text(&self.report))
        }
    }
}
