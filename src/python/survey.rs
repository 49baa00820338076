//! How a chart fits people, in Python.

use std::collections::BTreeMap;

use pyo3::prelude::*;

use super::batches::{Rows, broken};
use super::capsule::reader_of;
use super::draft::{Dict, loads};
use super::inputs::{Ease, Rules, unit_named};
use super::mapping::mapping;
use super::simulate::{Pair, both, to_cm, told};
use super::sizes::SizeChart;
use super::table::{numbers, tell};
use crate::arrow::{PeopleReader, PeopleTable, fit_batch};
use crate::document::{FitReport, text};
use crate::error::Problems;
use crate::field::Unit;
use crate::survey;

mapping! {
    /// The least and the most by the name of a girth.
    Bounds: Pair as pyo3::type_hint_subscript!(
        pyo3::type_hint_identifier!("builtins", "tuple"),
        pyo3::type_hint_identifier!("builtins", "float"),
        pyo3::type_hint_identifier!("builtins", "float")
    );
}

/// Where the people of a table come from.
pub(super) fn reader(
    source: &Bound<'_, PyAny>,
    columns: Option<Dict<'_>>,
    unit: Unit,
) -> PyResult<Result<PeopleReader, Problems>> {
    let stream = reader_of(source)?;
    Ok(numbers(columns).and_then(|columns| PeopleReader::new(stream, &columns, unit)))
}

/// All the people; Python sees to signals between two batches.
pub(super) fn people(py: Python<'_>, mut reader: PeopleReader) -> PyResult<PeopleTable> {
    while let Some(rows) = py.detach(|| reader.next()) {
        tell(py, None, rows.map_err(broken)?)?;
    }
    Ok(reader.table())
}

/// The work with Python's lock released; Python sees to signals meanwhile.
pub(super) fn interruptible<T: Send>(py: Python<'_>, work: impl FnOnce() -> T + Send) -> PyResult<T> {
    py.detach(|| survey::interruptible(|| Python::attach(|py| tell(py, None, 0)), work))
}

/// Gives each person of a table a size of the chart, and counts whom it serves: on whom the ease left, the garment's girth
/// less the body's, is within bounds.
///
/// `source` is anything that offers an Arrow stream, with columns `waist` and `hip`. `columns` says by these names where else
/// numbers come from: the name of a column, or a number for all people; where it names `high_hip` and `high_hip_depth`, how
/// far below the waist at the side that girth was taken, the high hip must fit, too. `bounds` are the least and the most ease
/// left by girth, as in `{"waist": (0, 3), "hip": (2, 8)}`; waist and hip that it does not name are to have the ease give or
/// take `tolerance`. Lengths of the table, `tolerance`, `bounds` and all results are in `unit`.
///
/// Of the sizes that serve a person gets the nearest; where none does, the one that misses its bounds least. Whoever has a
/// null or a number that is not finite counts as unmeasured and is given no size.
///
/// Raises `InputError` with all the problems at once, and `TypeError` for what offers no stream.
///
/// >>> people = pyarrow.table({"waist": [73.0, 90.0, None], "hip": [97.0, 104.0, 99.0]})
/// >>> fit = fit_chart(SizeChart.demo(), people, ease=Ease(waist=1.5, hip=5), tolerance=2)
/// >>> fit.served, fit.count, fit.unmeasured
/// (1, 3, 1)
/// >>> pyarrow.table(fit)["size"].to_pylist()
/// ['38', '44', None]
/// >>> fit_chart(SizeChart.demo(), people, ease=Ease(waist=1.5, hip=5))
/// Traceback (most recent call last):
/// kirtle.InputError: bounds.waist: missing; give the least and the most ease left, or a tolerance
/// bounds.hip: missing; give the least and the most ease left, or a tolerance
#[pyfunction]
#[pyo3(signature = (
    chart, source, *, ease, rules = None, tolerance = None, bounds = None, columns = None, unit = "cm"
))]
// A keyword for each choice.
#[allow(clippy::too_many_arguments)]
pub(crate) fn fit_chart(
    py: Python<'_>,
    chart: &SizeChart,
    source: &Bound<'_, PyAny>,
    ease: &Ease,
    rules: Option<&Rules>,
    tolerance: Option<f64>,
    bounds: Option<Bounds>,
    columns: Option<Dict<'_>>,
    unit: &str,
) -> PyResult<Py<ChartFit>> {
    let unit = unit_named(unit)?;
    let rules = rules.map(|rules| rules.0.clone()).unwrap_or_default();
    let bounds = bounds
        .into_iter()
        .flat_map(|bounds| bounds.0)
        .map(|(name, pair)| (name, both(pair, to_cm(unit))))
        .collect::<Vec<_>>();
    let bounds = survey::Bounds::named(&ease.0, tolerance.map(to_cm(unit)), &bounds);
    let (reader, bounds) = told(Problems::both(reader(source, columns, unit)?, bounds), unit)?;
    let (people, chart, ease) = (people(py, reader)?, chart.0.clone(), ease.0);
    let fit = told(interruptible(py, || survey::fit_chart(&chart, &ease, &rules, &bounds, &people.people()))?, unit)?;
    let high_hips = people.people().high_hip.is_some();
    let batch = py.detach(|| fit_batch(&chart, &fit, high_hips, unit)).map_err(broken)?;
    let report = FitReport::new(&chart, &fit, unit);
    Py::new(py, (ChartFit { report, fit, people, unit }, Rows::from(batch)))
}

/// How a chart serves people: counts, and an Arrow table with a row for each person (`size`, `ease_left_waist`,
/// `ease_left_hip`, `ease_left_high_hip` where it was asked for, `serves`, `excess`). Lengths are in the unit of the call.
#[pyclass(frozen, extends = Rows, module = "kirtle")]
pub(crate) struct ChartFit {
    report: FitReport,
    fit: survey::ChartFit,
    people: PeopleTable,
    unit: Unit,
}

#[pymethods]
impl ChartFit {
    /// The unit of lengths.
    #[getter]
    fn unit(&self) -> &'static str {
        self.unit.name()
    }

    /// How many people there are, measured or not.
    #[getter]
    fn count(&self) -> usize {
        self.report.count
    }

    /// How many of them have no number, or none that is finite, or a depth outside the garments.
    #[getter]
    fn unmeasured(&self) -> usize {
        self.report.unmeasured
    }

    /// How many people have a size that serves.
    #[getter]
    fn served(&self) -> usize {
        self.report.served
    }

    /// Their share of the measured people, from 0 to 1; 0 where nobody was measured.
    #[getter]
    fn share_served(&self) -> f64 {
        self.report.share_served
    }

    /// For each size its name, how many people it is given to, and how many of them it serves.
    #[getter]
    fn loads(&self) -> Vec<(String, usize, usize)> {
        self.report.loads.clone()
    }

    /// How many of the unserved miss each bound, such as `waist_tight`, in the size that they are given.
    #[getter]
    fn unserved(&self) -> BTreeMap<String, usize> {
        self.report.unserved.clone()
    }

    /// Those who are served worst, at most so many, the worst first: the row, and by how much the worst bound is missed.
    #[pyo3(signature = (max = 10))]
    fn worst(&self, max: usize) -> Vec<(usize, f64)> {
        self.fit.worst(max).into_iter().map(|miss| (miss.row, self.unit.length_from_cm(miss.excess))).collect()
    }

    /// Squares of the waist-hip plane with people in them: the least waist, the least hip, how many people, how many of them
    /// are served.
    ///
    /// Raises `InputError` for a step that is not from 0.1 to 100 cm.
    fn regions(&self, py: Python<'_>, step: f64) -> PyResult<Vec<(f64, f64, usize, usize)>> {
        let step = to_cm(self.unit)(step);
        let regions = told(py.detach(|| self.fit.regions(&self.people.people(), step)), self.unit)?;
        let in_unit = |length| self.unit.length_from_cm(length);
        Ok(regions.iter().map(|of| (in_unit(of.waist), in_unit(of.hip), of.people, of.served)).collect())
    }

    /// The counts as a dict.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Dict<'py>> {
        loads(py, &text(&self.report))
    }

    fn __repr__(&self) -> String {
        self.report.to_string()
    }
}
