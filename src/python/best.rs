//! The best sizes for people, in Python.

use pyo3::prelude::*;
use pyo3::types::PyDict;

use super::capsule::reader_of;
use super::draft::{Dict, loads};
use super::inputs::{hash_of, unit_named};
use super::outputs::shown;
use super::simulate::{Pair, both, to_cm, told};
use super::sizes::SizeChart;
use super::survey::{interruptible, people, reader};
use super::table::numbers;
use crate::arrow::PeopleReader;
use crate::document::{BestChartReport, BestSizesReport, ComparisonReport, text};
use crate::error::{Code, Problem, Problems};
use crate::field::Unit;
use crate::survey::{self, LogBand};

#[pymethods]
impl LogBand {
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

    fn __repr__(&self) -> String {
        shown("LogBand", self)
    }

    fn __hash__(&self) -> u64 {
        hash_of(&self.__repr__())
    }

    fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), Dict<'py>)> {
        let given = PyDict::new(py);
        for (name, value) in [
            ("small", self.small),
            ("large", self.large),
            ("small_weight", self.small_weight),
            ("large_weight", self.large_weight),
        ] {
            given.set_item(name, value)?;
        }
        Ok(((), Dict(given)))
    }
}

/// Finds the sizes by one girth, `"waist"` or `"hip"`, with the least mean loss for the people of a table: none are better.
///
/// `loss` is `"squared"` or `"absolute"`, the miss of the girth, `"within"`, the share of people who are farther than
/// `tolerance` from their size, or `"log_band"`, with a `band` that says what a garment too small or too large costs. `source`,
/// `columns` and `unit` are as in `fit_chart`, but only this girth is read; the unmeasured are left out, and counted.
///
/// There are fewer sizes than were asked for where more would be no better.
///
/// Raises `InputError` with all the problems at once, and `TypeError` for what offers no stream.
///
/// >>> best_sizes(simulate(1000, seed=1), 3, girth="hip").sizes[0][0] < 95
/// True
/// >>> best_sizes(simulate(1000, seed=1), 0, girth="hip")
/// Traceback (most recent call last):
/// kirtle.InputError: sizes: 0 is below the minimum of 1
#[pyfunction]
#[pyo3(signature = (
    source, sizes, *, girth, loss = "squared", tolerance = None, band = None, columns = None, unit = "cm"
))]
// A keyword for each choice.
#[allow(clippy::too_many_arguments)]
pub(crate) fn best_sizes(
    py: Python<'_>,
    source: &Bound<'_, PyAny>,
    sizes: usize,
    girth: &str,
    loss: &str,
    tolerance: Option<f64>,
    band: Option<&LogBand>,
    columns: Option<Dict<'_>>,
    unit: &str,
) -> PyResult<BestSizesReport> {
    let unit = unit_named(unit)?;
    let loss = survey::Loss::named(loss, tolerance.map(to_cm(unit)), band.copied());
    let stream = reader_of(source)?;
    let reader = numbers(columns).and_then(|columns| PeopleReader::of_girth(stream, girth, &columns, unit));
    let (reader, loss) = told(Problems::both(reader, loss), unit)?;
    let people = people(py, reader)?;
    let girths = people.measured_girth(girth);
    let best = told(interruptible(py, || survey::best_sizes(&girths, None, sizes, &loss))?, unit)?;
    Ok(BestSizesReport::new(&best, &loss, girth, [girths.len(), people.len()], unit))
}

/// Seeks the sizes by waist and hip with the least mean loss for the people of a table, and a bound on what any could have.
///
/// `loss` is `"squared"` or `"absolute"`, the miss of both girths added, or `"within"`, the share of people who are farther
/// than `tolerance` from their size in waist or hip, or `"log_band"`, with a `band` that says what a garment too small or too
/// large costs, for both girths added. `drop` asks for sizes with that much between hip and waist, found exactly, and only for
/// `"squared"` and `"within"`; `steps` for sizes that go up by so much at waist and hip. Otherwise the best of `restarts`
/// seeded starts is taken: the same `seed` gives the same chart. `source`, `columns` and `unit` are as in `fit_chart`; the
/// unmeasured are left out, and counted.
///
/// Raises `InputError` with all the problems at once, and `TypeError` for what offers no stream.
///
/// >>> best = best_chart(simulate(500, seed=1), 4, loss="within", tolerance=3)
/// >>> best.bound <= best.loss, len(best.sizes)
/// (True, 4)
/// >>> best_chart(simulate(500, seed=1), 4, loss="within")
/// Traceback (most recent call last):
/// kirtle.InputError: tolerance: missing; give the most that a girth may miss its size
#[pyfunction]
#[pyo3(signature = (
    source, sizes, *, loss = "squared", tolerance = None, band = None, restarts = 20, seed = 0, drop = None,
    steps = None, columns = None, unit = "cm"
))]
// A keyword for each choice.
#[allow(clippy::too_many_arguments)]
pub(crate) fn best_chart(
    py: Python<'_>,
    source: &Bound<'_, PyAny>,
    sizes: usize,
    loss: &str,
    tolerance: Option<f64>,
    band: Option<&LogBand>,
    restarts: u32,
    seed: u64,
    drop: Option<f64>,
    steps: Option<Pair>,
    columns: Option<Dict<'_>>,
    unit: &str,
) -> PyResult<BestChart> {
    let unit = unit_named(unit)?;
    let (loss, cm) = (survey::Loss::named(loss, tolerance.map(to_cm(unit)), band.copied()), to_cm(unit));
    let (reader, loss) = told(Problems::both(reader(source, columns, unit)?, loss), unit)?;
    let people = people(py, reader)?;
    let search = survey::SearchSettings { seed, restarts, ..survey::SearchSettings::default() };
    let [waist, hip] = people.measured();
    let best = interruptible(py, || match (drop, steps) {
        (Some(_), Some(_)) => Err(Problem::new(Code::Conflict, "drop").with_limit("steps").into()),
        (Some(drop), None) => survey::best_chart_fixed_drop(&waist, &hip, cm(drop), sizes, &loss),
        (None, Some(steps)) => {
            let (waist_step, hip_step) = both(steps, cm);
            let steps = survey::FixedSteps { waist: waist_step, hip: hip_step };
            survey::best_chart_fixed_steps(&waist, &hip, steps, sizes, &loss, &search)
        }
        (None, None) => survey::best_chart(&waist, &hip, sizes, &loss, &search),
    })?;
    let best = told(best, unit)?;
    Ok(BestChart { report: BestChartReport::new(&best, &loss, [waist.len(), people.len()], unit), best, unit })
}

/// Sizes by waist and hip with little mean loss. Lengths are in the unit of the call; a squared loss is in its square.
#[pyclass(frozen, module = "kirtle")]
pub(crate) struct BestChart {
    report: BestChartReport,
    best: survey::BestChart,
    unit: Unit,
}

#[pymethods]
impl BestChart {
    /// The unit of lengths.
    #[getter]
    fn unit(&self) -> &'static str {
        self.unit.name()
    }

    /// How many people the sizes were sought for.
    #[getter]
    fn measured(&self) -> usize {
        self.report.measured
    }

    /// How many people were left out, as they have no number, or none that is finite.
    #[getter]
    fn unmeasured(&self) -> usize {
        self.report.unmeasured
    }

    /// For each size its waist, its hip, and the share of the people given to it.
    #[getter]
    fn sizes(&self) -> Vec<(f64, f64, f64)> {
        self.report.sizes.clone()
    }

    /// The mean loss.
    #[getter]
    fn loss(&self) -> f64 {
        self.report.loss
    }

    /// No chart of so many sizes of its kind has a lower mean loss.
    #[getter]
    fn bound(&self) -> f64 {
        self.report.bound
    }

    /// How much lower the mean loss of the best chart could be, at the most.
    #[getter]
    fn gap(&self) -> f64 {
        self.report.gap
    }

    /// The sizes as a chart, with names from 1 on, and this hip depth and length for all.
    ///
    /// Raises `InputError` where a size has the larger hip and not the larger waist.
    #[pyo3(signature = (*, hip_depth, length))]
    fn chart(&self, hip_depth: f64, length: f64) -> PyResult<SizeChart> {
        let cm = to_cm(self.unit);
        told(self.best.chart(cm(hip_depth), cm(length)), self.unit).map(SizeChart)
    }

    /// The same as a dict.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Dict<'py>> {
        loads(py, &text(&self.report))
    }

    fn __repr__(&self) -> String {
        self.report.to_string()
    }
}

/// Sets a chart beside the best one of as many sizes, on people by whom neither was made.
///
/// The people of a table are parted in two by draws from `seed`: for the one part the best chart is sought as `best_chart`
/// does, without a drop or steps, and on the other, held out, the two are compared. A loss on the people by whom a chart was
/// made flatters it. `loss`, `tolerance`, `band` and `restarts` are as in `best_chart`; `source`, `columns` and `unit` as in
/// `fit_chart`; the unmeasured are left out, and counted.
///
/// Raises `InputError` with all the problems at once, also where a part has no people, and `TypeError` for what offers no
/// stream.
///
/// >>> compared = compare_charts(SizeChart.demo(), simulate(400, seed=1), restarts=3)
/// >>> compared.learnt + compared.held_out, len(compared.sizes)
/// (400, 12)
/// >>> compare_charts(SizeChart.demo(), simulate(0))
/// Traceback (most recent call last):
/// kirtle.InputError: waist: 0 numbers are given; the least is 1 number
/// hip: 0 numbers are given; the least is 1 number
#[pyfunction]
#[pyo3(signature = (
    chart, source, *, loss = "squared", tolerance = None, band = None, restarts = 20, seed = 0, columns = None,
    unit = "cm"
))]
// A keyword for each choice.
#[allow(clippy::too_many_arguments)]
pub(crate) fn compare_charts(
    py: Python<'_>,
    chart: &SizeChart,
    source: &Bound<'_, PyAny>,
    loss: &str,
    tolerance: Option<f64>,
    band: Option<&LogBand>,
    restarts: u32,
    seed: u64,
    columns: Option<Dict<'_>>,
    unit: &str,
) -> PyResult<ComparisonReport> {
    let unit = unit_named(unit)?;
    let loss = survey::Loss::named(loss, tolerance.map(to_cm(unit)), band.copied());
    let (reader, loss) = told(Problems::both(reader(source, columns, unit)?, loss), unit)?;
    let (people, chart) = (people(py, reader)?, chart.0.clone());
    let search = survey::SearchSettings { seed, restarts, ..survey::SearchSettings::default() };
    let [waist, hip] = people.measured();
    let compared = told(interruptible(py, || survey::compare_charts(&chart, &waist, &hip, &loss, &search))?, unit)?;
    Ok(ComparisonReport::new(&compared, &loss, people.len() - waist.len(), unit))
}
