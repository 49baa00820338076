//! The functions `best_sizes`, `best_chart` and `compare_charts`, and the class `BestChart`. Lengths of arguments and results are in the unit of the call.

use pyo3::prelude::*;

use super::arguments::{LengthPair, converter_to_cm, map_length_pair, parse_unit, value_or_raise};
use super::capsule::open_arrow_stream;
use super::class::{AnyDict, json_to_dict, python_class};
use super::sizes::SizeChart;
use super::survey::{people_reader, read_all_people, run_interruptibly};
use super::table::parse_columns;
use crate::arrow::PeopleReader;
use crate::document::{BestChartReport, BestSizesReport, ComparisonReport, to_json_text};
use crate::error::{Code, Problem, Problems};
use crate::field::Unit;
use crate::survey::{self, LogBand};

/// Find the sizes by one girth with the least mean loss for the people of a table. The result is optimal.
///
/// `girth` is `"waist"` or `"hip"`. `loss` is a function of the difference between a person's girth and the size's
/// girth: `"squared"`, `"absolute"`, `"within"` with a `tolerance`, whose mean is the share of people farther than
/// `tolerance` from their size, or `"log_band"` with a `band`. `source`, `columns` and `unit` are as in `fit_chart`,
/// but the table needs only the column of the girth. Unmeasured people are counted and left out.
///
/// The result has fewer sizes than `sizes` if more sizes do not lower the loss.
///
/// Raises `InputError` with all the problems at once, and `TypeError` for a source without an Arrow stream.
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
#[allow(clippy::too_many_arguments, reason = "one keyword argument for each option")]
pub(crate) fn best_sizes(
    py: Python<'_>,
    source: &Bound<'_, PyAny>,
    sizes: usize,
    girth: &str,
    loss: &str,
    tolerance: Option<f64>,
    band: Option<&LogBand>,
    columns: Option<AnyDict<'_>>,
    unit: &str,
) -> PyResult<BestSizesReport> {
    let unit = parse_unit(unit)?;
    let loss = survey::Loss::from_name(loss, tolerance.map(converter_to_cm(unit)), band.copied());
    let stream = open_arrow_stream(source)?;
    let reader = parse_columns(columns).and_then(|columns| PeopleReader::of_girth(stream, girth, &columns, unit));
    let (reader, loss) = value_or_raise(Problems::pair_or_all_problems(reader, loss), unit)?;
    let people = read_all_people(py, reader)?;
    let girths = people.measured_girth(girth);
    let best = value_or_raise(run_interruptibly(py, || survey::best_sizes(&girths, None, sizes, &loss))?, unit)?;
    Ok(BestSizesReport::new(&best, &loss, girth, [girths.len(), people.len()], unit))
}

/// Search for the sizes by waist and hip with the least mean loss for the people of a table, and a bound of that loss.
///
/// `loss` is a function of the differences between a person's girths and the size's girths: `"squared"`, `"absolute"`
/// or `"log_band"` with a `band`, each summed over waist and hip, or `"within"` with a `tolerance`, whose mean is the
/// share of people farther than `tolerance` from their size in waist or hip.
///
/// The search is a heuristic: it keeps the best result of `restarts` random starts. Equal seeds give equal charts.
/// `drop` fixes the difference of hip and waist of every size; the result is then optimal, and the loss must be
/// `"squared"` or `"within"`. `steps` fixes the increments of waist and hip from size to size. `source`, `columns` and
/// `unit` are as in `fit_chart`. Unmeasured people are counted and left out.
///
/// Raises `InputError` with all the problems at once, and `TypeError` for a source without an Arrow stream.
///
/// >>> best = best_chart(simulate(500, seed=1), 4, loss="within", tolerance=3)
/// >>> best.bound <= best.loss, len(best.sizes)
/// (True, 4)
/// >>> best_chart(simulate(500, seed=1), 4, loss="within")
/// Traceback (most recent call last):
/// kirtle.InputError: tolerance: missing: give the maximum difference between a person's girth and the size's
#[pyfunction]
#[pyo3(signature = (
    source, sizes, *, loss = "squared", tolerance = None, band = None, restarts = 20, seed = 0, drop = None,
    steps = None, columns = None, unit = "cm"
))]
#[allow(clippy::too_many_arguments, reason = "one keyword argument for each option")]
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
    steps: Option<LengthPair>,
    columns: Option<AnyDict<'_>>,
    unit: &str,
) -> PyResult<BestChart> {
    let unit = parse_unit(unit)?;
    let cm = converter_to_cm(unit);
    let loss = survey::Loss::from_name(loss, tolerance.map(cm), band.copied());
    let (reader, loss) =
        value_or_raise(Problems::pair_or_all_problems(people_reader(source, columns, unit)?, loss), unit)?;
    let people = read_all_people(py, reader)?;
    let search = survey::SearchSettings { seed, restarts, ..survey::SearchSettings::default() };
    let [waist, hip] = people.measured();
    let best = run_interruptibly(py, || match (drop, steps) {
        (Some(_), Some(_)) => Err(Problem::new(Code::Conflict, "drop").with_limit("steps").into()),
        (Some(drop), None) => survey::best_chart_fixed_drop(&waist, &hip, cm(drop), sizes, &loss),
        (None, Some(steps)) => {
            let (waist_step, hip_step) = map_length_pair(steps, cm);
            let steps = survey::SizeSteps { waist: waist_step, hip: hip_step };
            survey::best_chart_fixed_steps(&waist, &hip, steps, sizes, &loss, &search)
        }
        (None, None) => survey::best_chart(&waist, &hip, sizes, &loss, &search),
    })?;
    let best = value_or_raise(best, unit)?;
    Ok(BestChart { report: BestChartReport::new(&best, &loss, [waist.len(), people.len()], unit), best, unit })
}

/// Sizes by waist and hip with a small mean loss, found by `best_chart`.
///
/// Lengths are in `unit`; a squared loss is in square `unit`.
#[pyclass(frozen, module = "kirtle")]
pub(crate) struct BestChart {
    report: BestChartReport,
    best: survey::BestChart,
    unit: Unit,
}

python_class! { BestChart as best;
    /// Unit of all lengths: `cm` or `in`.
    unit: &'static str = best.unit.name();
    /// Number of measured people, for whom the sizes were optimised.
    measured: usize = best.report.measured;
    /// Number of people left out because a girth is missing, NaN or infinite.
    unmeasured: usize = best.report.unmeasured;
    /// Sizes in ascending order of hip: waist, hip, and the share of people assigned to the size.
    sizes: Vec<(f64, f64, f64)> = best.report.sizes.clone();
    /// Mean loss over the measured people, each in the size with the least loss.
    loss: f64 = best.report.loss;
    /// Lower bound on the mean loss of every chart with the same number of sizes and the same `drop` or `steps`.
    bound: f64 = best.report.bound;
    /// Difference between loss and bound: the optimum is at most this far below `loss`.
    gap: f64 = best.report.gap;
    repr = best.report.to_string();
    {
        /// Convert the sizes to a chart with the names 1, 2, 3, …; `hip_depth` and `length`, in `unit`, hold for all sizes.
        ///
        /// Raises `InputError` if a size with a larger hip has a smaller waist.
        #[pyo3(signature = (*, hip_depth, length))]
        fn chart(&self, hip_depth: f64, length: f64) -> PyResult<SizeChart> {
            let cm = converter_to_cm(self.unit);
            value_or_raise(self.best.chart(cm(hip_depth), cm(length)), self.unit).map(SizeChart)
        }

        /// Convert the result to a dict that follows `schema("best_chart")`.
        fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<AnyDict<'py>> {
            json_to_dict(py, &to_json_text(&self.report))
        }
    }
}

/// Compare a chart with the best chart of the same number of sizes, on people that neither chart was fitted to.
///
/// `seed` splits the people of the table at random into two parts, each about half. `best_chart`, without `drop` or
/// `steps`, learns a chart from the first part. The comparison uses the second part, the held-out people, because the
/// loss on the learning part is too optimistic. `loss`, `tolerance`, `band` and `restarts` are as in `best_chart`;
/// `source`, `columns` and `unit` are as in `fit_chart`. Unmeasured people are counted and left out.
///
/// Raises `InputError` with all problems, also for a part without people; `TypeError` for a source without Arrow
/// stream.
///
/// >>> comparison = compare_charts(SizeChart.demo(), simulate(400, seed=1), restarts=3)
/// >>> comparison.learnt + comparison.held_out, len(comparison.sizes)
/// (400, 12)
/// >>> compare_charts(SizeChart.demo(), simulate(0))
/// Traceback (most recent call last):
/// kirtle.InputError: waist: 0 numbers are given, at least 1 number needed
/// hip: 0 numbers are given, at least 1 number needed
#[pyfunction]
#[pyo3(signature = (
    chart, source, *, loss = "squared", tolerance = None, band = None, restarts = 20, seed = 0, columns = None,
    unit = "cm"
))]
#[allow(clippy::too_many_arguments, reason = "one keyword argument for each option")]
pub(crate) fn compare_charts(
    py: Python<'_>,
    chart: &SizeChart,
    source: &Bound<'_, PyAny>,
    loss: &str,
    tolerance: Option<f64>,
    band: Option<&LogBand>,
    restarts: u32,
    seed: u64,
    columns: Option<AnyDict<'_>>,
    unit: &str,
) -> PyResult<ComparisonReport> {
    let unit = parse_unit(unit)?;
    let loss = survey::Loss::from_name(loss, tolerance.map(converter_to_cm(unit)), band.copied());
    let (reader, loss) =
        value_or_raise(Problems::pair_or_all_problems(people_reader(source, columns, unit)?, loss), unit)?;
    let (people, chart) = (read_all_people(py, reader)?, chart.0.clone());
    let search = survey::SearchSettings { seed, restarts, ..survey::SearchSettings::default() };
    let [waist, hip] = people.measured();
    let comparison =
        value_or_raise(run_interruptibly(py, || survey::compare_charts(&chart, &waist, &hip, &loss, &search))?, unit)?;
    Ok(ComparisonReport::new(&comparison, &loss, people.len() - waist.len(), unit))
}
