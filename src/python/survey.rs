//! Surveys of people: the functions `fit_chart`, `best_sizes` and `best_chart`, and the classes of their arguments and
//! results. Lengths of arguments and results are in the unit of the call.

use std::collections::BTreeMap;

use arrow_array::RecordBatchReader;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use serde_json::{Value, json};

use super::arguments::{
    ColumnsArgument, DropArgument, EaseBoundsArgument, KeptColumnsArgument, LengthPair, length_converter_to_cm,
    parse_table_unit, size_constraints_in_cm, value_or_raise,
};
use super::capsule::{ImportedArrowStream, open_arrow_stream};
use super::class::{json_to_dict, python_class};
use super::exclusive_reader::ExclusiveReader;
use super::inputs::{Ease, Rules};
use super::interruption::run_interruptibly;
use super::results::{GroupReport, RefusedReport, result_classes};
use super::sizes::{ChartArgument, SizeChart};
use super::table::{Rows, arrow_to_python_error, check_signals_and_report_rows, parse_column_or_number_by_input};
use super::typed_objects::AnyDict;
use crate::arrow::{ColumnOrConstant, MeasuredPeople, PeopleReader, PeopleTable, fit_batch, with_settings};
use crate::body::Body;
use crate::document::{BestChartReport, BestSizesReport, CallSettings, FitReport, to_json_text};
use crate::error::{Code, Problem, Problems};
use crate::field::Unit;
use crate::size_search::{self, DifferenceBounds, LogBand, Loss, SearchSettings, SizeSteps};
use crate::sizes::{self, Size};
use crate::survey::{self, EaseBounds, Replicates, ServedShare};

/// Reads the people of the table `source`; returns them with the criterion, such as a loss, once both are valid.
/// Raises the problems of the columns together with those of the criterion.
pub(super) fn read_people_and_check_criterion<C>(
    py: Python<'_>,
    source: &Bound<'_, PyAny>,
    columns: Option<ColumnsArgument>,
    unit: Unit,
    reader: impl FnOnce(
        ExclusiveReader<ImportedArrowStream>,
        &[(String, ColumnOrConstant)],
        Unit,
    ) -> Result<PeopleReader, Problems>
    + Send,
    criterion: Result<C, Problems>,
    progress: Option<&Py<PyAny>>,
) -> PyResult<(PeopleTable, C)> {
    let stream = open_arrow_stream(source)?;
    let columns = parse_column_or_number_by_input(columns);
    let reader = py.detach(|| columns.and_then(|columns| reader(stream, &columns, unit)));
    let (mut reader, criterion) = value_or_raise(Problems::pair_or_all_problems(reader, criterion), unit)?;
    while let Some(rows) = py.detach(|| reader.next()) {
        check_signals_and_report_rows(py, progress, rows.map_err(arrow_to_python_error)?)?;
    }
    Ok((value_or_raise(reader.into_people_table(), unit)?, criterion))
}

/// Converts bounds of the ease from `unit` to centimetres: pairs of a girth's name and its minimum and maximum ease.
fn named_ease_bounds_in_cm(bounds: Option<EaseBoundsArgument>, unit: Unit) -> Vec<(String, LengthPair)> {
    let to_cm = length_converter_to_cm(unit);
    let bounds = bounds.into_iter().flat_map(|bounds| bounds.0);
    bounds.map(|(name, (min, max))| (name, (to_cm(min), to_cm(max)))).collect()
}

/// Returns the loss called `name`. If `bounds` are given, `name` must be `within`, and the mean loss is the share of
/// people for whom a garment made with `ease` has less or more ease than these bounds.
pub(super) fn parse_loss(
    name: &str,
    tolerance: Option<f64>,
    band: Option<&LogBand>,
    (bounds, ease): (Option<EaseBoundsArgument>, Option<&Ease>),
    unit: Unit,
) -> Result<Loss, Problems> {
    let tolerance = tolerance.map(length_converter_to_cm(unit));
    match (bounds, ease) {
        (None, None) => Loss::from_name(name, tolerance, band.copied()),
        (None, Some(_)) => {
            Err(Problem::new(Code::Missing, "bounds").with_limit("the minimum and maximum ease of each girth").into())
        }
        (Some(_), None) => Err(Problem::new(Code::Missing, "ease").with_limit("the ease of the garments").into()),
        (Some(bounds), Some(ease)) => {
            // Only the loss `within` takes a tolerance, so that any other loss is refused here; the bounds replace the
            // tolerance.
            Loss::from_name(name, Some(0.0), band.copied())?;
            let bounds =
                EaseBounds::from_named_bounds(&ease.0, tolerance, &named_ease_bounds_in_cm(Some(bounds), unit))?;
            if bounds.high_hip.is_some() {
                return Err(Problem::new(Code::UnknownField, "bounds.high_hip").with_choices(["waist", "hip"]).into());
            }
            Ok(Loss::WithinBounds(DifferenceBounds::from_ease(&ease.0, bounds.waist, bounds.hip)))
        }
    }
}

/// Assign each person of a table to a size of a chart, and count the people that the chart serves.
///
/// A size serves a person if the garment's girth minus the body's girth, the ease left, is within bounds. `bounds`
/// gives the minimum and maximum ease left of each girth, as in `{"waist": (0, 3), "hip": (2, 8)}`. Waist or hip
/// without bounds has the bounds `ease` ± `tolerance`.
///
/// `source` is any object with an Arrow stream, with the columns `waist` and `hip`. `columns` maps `waist` or `hip` to
/// the name of another column or to one number for everyone. If `columns` has `high_hip` and `high_hip_depth`, the
/// distance of the high hip below the waist at the side, then `bounds` for the high hip apply too. Lengths of the
/// table, `tolerance`, `bounds` and results are in `unit`: `"cm"`, `"in"` or `"mm"`. `ease` keeps its own unit, as in
/// `Ease(waist=15, hip=50, unit="mm")`.
///
/// A person gets the nearest size that serves, or else the size with the least violation of its bounds. A person with a
/// number that is missing or out of range gets no size and is counted by reason in `refused`: a null or NaN, or a girth
/// that no body has, such as 999, −9 or 0 (a waist is from 40 to 200 cm, a hip from 50 to 220 cm).
///
/// If `columns` has `weight`, the column of sampling weights from 0 to 10⁹, shares are weighted; a person with a
/// missing or negative weight is refused, and a person of weight 0 counts among the people, but not in shares. `by` is
/// the column of a group, such as an age band: `groups` of the result has the share served of each group.
///
/// Standard errors and 95 % intervals of shares come from a bootstrap with `bootstrap` replicates and `seed`, for
/// simple random samples, or from the columns `replicates` of replicate weights, for any design. The variance is then
/// `replicate_factor` × Σ (share of replicate − share)². The factor is 1/R for R balanced replicates, 1/(R (1 − k)²)
/// with Fay's k, (R − 1)/R for the jackknife of one stratum.
///
/// `keep` names columns of the table that stand first in the rows of the result, such as an identifier; `"all"` keeps
/// all. As each batch of the table is read, `progress` is called with its number of rows.
///
/// Raises `InputError` with all the problems at once, and `TypeError` for a source without an Arrow stream.
///
/// >>> people = pyarrow.table({"waist": [73.0, 90.0, None], "hip": [97.0, 104.0, 99.0]})
/// >>> fit = fit_chart(SizeChart.demo(), people, ease=Ease(waist=1.5, hip=5), tolerance=2)
/// >>> fit.served, fit.count, fit.unmeasured
/// (1, 3, 1)
/// >>> pyarrow.table(fit)["size"].to_pylist()
/// ['38', '44', None]
/// >>> [(refused.field, refused.code, refused.people) for refused in fit.refused]
/// [('waist', 'missing', 1)]
/// >>> people = people.append_column("age", [["20-39", "40-59", "40-59"]])
/// >>> fit = fit_chart(SizeChart.demo(), people, ease=Ease(waist=1.5, hip=5), tolerance=2, by="age")
/// >>> [(group.group, group.share_served) for group in fit.groups]
/// [('20-39', 1.0), ('40-59', 0.0)]
/// >>> fit_chart(SizeChart.demo(), people, ease=Ease(waist=1.5, hip=5))
/// Traceback (most recent call last):
/// kirtle.InputError: bounds.waist: missing: give the minimum and maximum ease, or a tolerance
/// bounds.hip: missing: give the minimum and maximum ease, or a tolerance
#[pyfunction]
#[pyo3(signature = (
    chart, source, *, ease, rules = None, tolerance = None, bounds = None, columns = None, by = None, replicates = None,
    replicate_factor = None, bootstrap = None, seed = 0, keep = None, unit = "cm", progress = None
))]
pub(crate) fn fit_chart(
    py: Python<'_>,
    chart: ChartArgument,
    source: &Bound<'_, PyAny>,
    ease: &Ease,
    rules: Option<&Rules>,
    tolerance: Option<f64>,
    bounds: Option<EaseBoundsArgument>,
    columns: Option<ColumnsArgument>,
    by: Option<&str>,
    replicates: Option<Vec<String>>,
    replicate_factor: Option<f64>,
    bootstrap: Option<usize>,
    seed: u64,
    keep: Option<KeptColumnsArgument>,
    unit: &str,
    progress: Option<Py<PyAny>>,
) -> PyResult<Py<ChartFit>> {
    let unit = parse_table_unit(unit)?;
    let (chart, ease) = (&chart.0.get().0, &ease.0);
    let rules = rules.map(|rules| rules.0.clone()).unwrap_or_default();
    let settings = CallSettings::new(json!({
        "function": "fit_chart", "unit": unit,
        "chart": serde_json::from_str::<Value>(&chart.to_json(unit)).unwrap_or_default()["sizes"],
        "ease": ease.convert_lengths(Unit::Cm, unit), "rules": rules.clone().convert_lengths(Unit::Cm, unit),
        "tolerance": tolerance, "bounds": bounds, "columns": columns, "by": by, "replicates": replicates,
        "replicate_factor": replicate_factor, "bootstrap": bootstrap, "seed": bootstrap.map(|_| seed),
    }));
    let tolerance = tolerance.map(length_converter_to_cm(unit));
    let bounds = EaseBounds::from_named_bounds(ease, tolerance, &named_ease_bounds_in_cm(bounds, unit));
    let reader = |stream, columns: &[_], unit| {
        PeopleReader::new(stream, columns, unit)?.with_further_columns(
            by,
            replicates.as_deref(),
            &keep.map(|keep| keep.0).unwrap_or_default(),
        )
    };
    let (people, bounds) =
        read_people_and_check_criterion(py, source, columns, unit, reader, bounds, progress.as_ref())?;
    let replicates = Replicates::from_bootstrap_or_weights(bootstrap, seed, people.replicates(), replicate_factor)?;
    let (labels, groups) = people.groups().map_or((&[][..], &[][..]), |groups| (&groups.labels, &groups.by_row));
    let columns = people.people();
    let (fit, mut shares) = run_interruptibly(py, unit, || {
        let fit = survey::fit_chart(chart, ease, &rules, &bounds, &columns)?;
        let shares = fit.served_shares(&columns, groups, replicates.as_ref())?;
        Ok((fit, shares))
    })?;
    let high_hips = columns.high_hip.is_some();
    let batch = py.detach(|| fit_batch(chart, &fit, high_hips, unit)).map_err(arrow_to_python_error)?;
    let batch = with_settings(batch, &settings);
    let (schema, batches) = people.prepend_kept_columns(&batch).map_err(arrow_to_python_error)?;
    let report = FitReport { settings, ..FitReport::new(chart, &fit, &shares, labels, unit) };
    Py::new(py, (ChartFit { report, fit, people, share: shares.swap_remove(0) }, Rows { schema, batches }))
}

/// Returns the number of people of a table who are not measured, and a report for each reason.
pub(super) fn left_out_people(
    people: &PeopleTable,
    measured: &MeasuredPeople,
    unit: Unit,
) -> (usize, Vec<RefusedReport>) {
    let accepted = measured.waist.len().max(measured.hip.len());
    let refused = measured.refused.iter().map(|refused| RefusedReport::new(refused, &measured.accepted, unit));
    (people.len() - accepted, refused.collect())
}

/// Find the sizes by one girth with the least mean loss for the people of a table. The result is optimal.
///
/// `girth` is `"waist"` or `"hip"`. `loss` is a function of the difference between a person's girth and the size's
/// girth: `"squared"`, `"absolute"`, `"within"` with a `tolerance`, whose mean is the share of people farther than
/// `tolerance` from their size, or `"log_band"` with a `band`. `source`, `columns` and `unit` are as in `fit_chart`,
/// but the table needs only the column of the girth. Unmeasured people are left out and counted by reason in `refused`.
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
pub(crate) fn best_sizes(
    py: Python<'_>,
    source: &Bound<'_, PyAny>,
    sizes: usize,
    girth: &str,
    loss: &str,
    tolerance: Option<f64>,
    band: Option<&LogBand>,
    columns: Option<ColumnsArgument>,
    unit: &str,
) -> PyResult<BestSizesReport> {
    let unit = parse_table_unit(unit)?;
    let loss = Loss::from_name(loss, tolerance.map(length_converter_to_cm(unit)), band.copied());
    let reader = |stream, columns: &[_], unit| PeopleReader::for_one_girth(stream, girth, columns, unit);
    let (people, loss) = read_people_and_check_criterion(py, source, columns, unit, reader, loss, None)?;
    let measured = people.measured_people();
    let girths = if measured.waist.is_empty() { &measured.hip } else { &measured.waist };
    let best =
        run_interruptibly(py, unit, || size_search::best_sizes(girths, measured.weight.as_deref(), sizes, &loss))?;
    Ok(BestSizesReport::new(&best, &loss, girth, girths.len(), left_out_people(&people, &measured, unit), unit))
}

/// Search for the sizes by waist and hip with the least mean loss for the people of a table, and a bound of that loss.
///
/// `loss` is a function of the differences between a person's girths and the size's girths: `"squared"`, `"absolute"`
/// or `"log_band"` with a `band`, each summed over waist and hip, or `"within"` with a `tolerance`, whose mean is the
/// share of people farther than `tolerance` from their size in waist or hip. Instead of one tolerance, `"within"` takes
/// the `bounds` of the ease left by garments with an `ease`, as `fit_chart` does, each for waist and hip: the people
/// served are then those whom `fit_chart` counts as served. `bounds` are in `unit`; `ease` keeps its own unit.
///
/// `grid` allows only sizes whose waist and hip are multiples of this length, from 0.1 to 20 cm: 1 for whole
/// centimetres, 2 for even ones. `fixed` are pairs of waist and hip of sizes that the chart must have; they count among
/// `sizes`. The bound then holds for all charts under these constraints.
///
/// `drop` gives the difference of hip and waist of every size: one for all sizes, a list from which each size has one,
/// or a dict of drops, each with its largest number of sizes. `drop_classes` is a number of drops that the search
/// chooses; the bound then holds for any drops. `min_share` is the smallest share of the people, from 0 to 1, that each
/// size has: of the people it serves, if the loss is `"within"`, otherwise of those assigned to it. Fixed sizes have any
/// drop and any share. With these, waists lie on the `grid`, by default whole centimetres; but for one drop alone, the
/// result is exactly optimal for the losses `"squared"` and `"within"`. `steps` fixes the increments of waist and hip
/// from size to size, without other constraints.
///
/// The search is a heuristic: it keeps the best result of `restarts` random starts. Equal seeds give equal charts.
/// `source`, `columns` and `unit` are as in `fit_chart`, with the sampling weights in `columns`. Unmeasured people are
/// left out and counted by reason in `refused`.
///
/// The bound has a `certificate`, from which it can be recomputed. `certify=False` skips the certificate: the call is
/// faster and its bound, that of one girth, weaker. A certified search stops early once loss minus bound is at most
/// `target_gap` times the loss, from 0 to 1; equal arguments give equal charts. It also stops after `time_limit`
/// seconds, from 0.001 to 1,000,000, with the chart and the bound found so far, which then depend on the machine.
///
/// Raises `InputError` with all the problems at once, and `TypeError` for a source without an Arrow stream.
///
/// >>> best = best_chart(simulate(500, seed=1), 4, loss="within", tolerance=3)
/// >>> best.bound <= best.loss, len(best.sizes)
/// (True, 4)
/// >>> whole = best_chart(simulate(500, seed=1), 4, loss="within", tolerance=3, grid=1, fixed=[(72, 96)])
/// >>> whole.sizes[0][:2], best.loss <= whole.loss
/// ((72.0, 96.0), True)
/// >>> classes = best_chart(simulate(500, seed=1), 4, loss="within", tolerance=3, drop={14: 2, 20: 2}, min_share=0.05)
/// >>> sorted(hip - waist for waist, hip, _ in classes.sizes), min(classes.served) >= 0.05
/// ([14.0, 14.0, 20.0, 20.0], True)
/// >>> best_chart(simulate(500, seed=1), 4, loss="within")
/// Traceback (most recent call last):
/// kirtle.InputError: tolerance: missing: give the largest difference between a person's girth and a size's girth at which the size serves the person
#[pyfunction]
#[pyo3(signature = (
    source, sizes, *, loss = "squared", tolerance = None, bounds = None, ease = None, band = None, grid = None, fixed = None,
    drop = None, drop_classes = None, min_share = 0.0, steps = None, restarts = 20, seed = 0, certify = true, target_gap = 0.0,
    time_limit = None, columns = None, unit = "cm"
))]
pub(crate) fn best_chart(
    py: Python<'_>,
    source: &Bound<'_, PyAny>,
    sizes: usize,
    loss: &str,
    tolerance: Option<f64>,
    bounds: Option<EaseBoundsArgument>,
    ease: Option<&Ease>,
    band: Option<&LogBand>,
    grid: Option<f64>,
    fixed: Option<Vec<LengthPair>>,
    drop: Option<DropArgument>,
    drop_classes: Option<usize>,
    min_share: f64,
    steps: Option<LengthPair>,
    restarts: u32,
    seed: u64,
    certify: bool,
    target_gap: f64,
    time_limit: Option<f64>,
    columns: Option<ColumnsArgument>,
    unit: &str,
) -> PyResult<BestChartReport> {
    let unit = parse_table_unit(unit)?;
    let to_cm = length_converter_to_cm(unit);
    let settings = CallSettings::new(json!({
        "function": "best_chart", "unit": unit, "sizes": sizes, "loss": loss, "tolerance": tolerance, "bounds": bounds,
        "ease": ease.map(|ease| ease.0.convert_lengths(Unit::Cm, unit)), "band": band, "grid": grid, "fixed": fixed, "drop": drop,
        "drop_classes": drop_classes, "min_share": min_share, "steps": steps, "restarts": restarts, "seed": seed,
        "certify": certify, "target_gap": target_gap, "time_limit": time_limit, "columns": columns,
    }));
    let loss = parse_loss(loss, tolerance, band, (bounds, ease), unit);
    let (people, loss) = read_people_and_check_criterion(py, source, columns, unit, PeopleReader::new, loss, None)?;
    let constraints = size_constraints_in_cm(grid, fixed, (drop, drop_classes), min_share, unit)?;
    let search =
        SearchSettings { seed, restarts, certify, target_gap, time_limit, constraints, ..SearchSettings::default() };
    let measured = people.measured_people();
    let (waist, hip, weights) = (&measured.waist, &measured.hip, measured.weight.as_deref());
    let best = run_interruptibly(py, unit, || match steps {
        Some((waist_step, hip_step)) => {
            let steps = SizeSteps { waist: to_cm(waist_step), hip: to_cm(hip_step) };
            size_search::best_chart_fixed_steps(waist, hip, weights, steps, sizes, &loss, &search)
        }
        None => size_search::best_chart(waist, hip, weights, sizes, &loss, &search),
    })?;
    let (count, left_out) = ((waist.len(), measured.effective_count), left_out_people(&people, &measured, unit));
    Ok(BestChartReport { settings, ..BestChartReport::new(&best, &loss, count, left_out, unit) })
}

/// Number of people, or the sum of their weights, if they have weights.
#[derive(IntoPyObject)]
pub(crate) enum CountOrWeight {
    Count(usize),
    Weight(f64),
}

/// Fit of a chart on people: counts, and an Arrow table with one row for each person.
///
/// Each row has `size`, `serves`, `excess`, `ease_left_waist`, `ease_left_hip` and, if measured, `ease_left_high_hip`.
/// Ease left is the garment's girth minus the body's girth; excess is the largest violation of a bound; both in `unit`.
#[pyclass(frozen, extends = Rows, module = "kirtle")]
pub(crate) struct ChartFit {
    pub(super) report: FitReport,
    pub(super) fit: survey::ChartFit,
    pub(super) people: PeopleTable,
    /// Share of all people served, with its replicates.
    pub(super) share: ServedShare,
}

python_class! { ChartFit as fit;
    /// Unit of all lengths: `cm`, `in` or `mm`.
    unit: &'static str = fit.report.unit.name();
    /// Number of people, measured and unmeasured.
    count: usize = fit.report.count;
    /// Number of people without a size, because a measurement or the weight is missing or out of range.
    unmeasured: usize = fit.report.unmeasured;
    /// Number of people whom the size assigned to them serves.
    served: usize = fit.report.served;
    /// Share of served people among the measured people, by weight, from 0 to 1; `None` if nobody was measured or all
    /// weights are 0.
    share_served: Option<f64> = fit.report.share_served;
    /// Standard error of `share_served`; `None` without replicates.
    standard_error: Option<f64> = fit.report.standard_error;
    /// 95 % interval of `share_served`, from 0 to 1 (Wilson 1927); `None` without replicates.
    interval: Option<(f64, f64)> = fit.report.interval;
    /// Share served in each replicate, in the order of the replicates; `None` for a replicate without weight.
    replicate_shares: Vec<Option<f64>> = fit.report.replicate_shares.clone();
    /// Settings of the call that made the fit: version of the package, function, unit, and the given arguments, with
    /// lengths in `unit`.
    settings: CallSettings = fit.report.settings.clone();
    /// Share of people served in each group, in the order of the labels of the groups; empty without `by`.
    groups: Vec<GroupReport> = fit.report.groups.clone();
    /// Reasons why people have no size, each with the number of people and their mean girths.
    refused: Vec<RefusedReport> = fit.report.refused.clone();
    /// Load of each size: its name, the number of people assigned to it, and the number of these people whom it serves.
    loads: Vec<(String, usize, usize)> = fit.report.loads.clone();
    /// Number of unserved people for each bound of ease that the assigned size violates, such as `waist_tight`.
    unserved: BTreeMap<String, usize> = fit.report.unserved.clone();
    /// Sums of weights for each size: of the people assigned to the size, and of those whom the size serves; empty
    /// without weights.
    load_weights: Vec<(f64, f64)> = fit.report.load_weights.clone();
    /// Sum of the weights of unserved people for each bound of ease that the assigned size violates; empty without
    /// weights.
    unserved_weights: BTreeMap<String, f64> = fit.report.unserved_weights.clone();
    repr = fit.report.to_string();
    {
        /// Return the people with the largest violations of bounds, the largest violation first.
        ///
        /// Each item is the row number of a person, from 0, and the person's largest violation, in `unit`; there are at
        /// most `max`.
        #[pyo3(signature = (max = 10))]
        fn worst(&self, max: usize) -> Vec<(usize, f64)> {
            self.fit.worst(max).into_iter().map(|miss| (miss.row, self.report.unit.length_from_cm(miss.excess))).collect()
        }

        /// Count people in squares of the plane of waist and hip.
        ///
        /// `step` is the side of a square in `unit`, at least 0.1 cm, at most 100 cm. Each item is the smallest waist
        /// and hip of a square, the number of its people, and the number of its served people, or sums of weights if
        /// people have weights. Empty squares are left out.
        ///
        /// Raises `InputError` for a step out of range.
        fn regions(&self, py: Python<'_>, step: f64) -> PyResult<Vec<(f64, f64, CountOrWeight, CountOrWeight)>> {
            let unit = self.report.unit;
            let step = length_converter_to_cm(unit)(step);
            let regions = value_or_raise(py.detach(|| self.fit.regions(&self.people.people(), step)), unit)?;
            let in_unit = |length| unit.length_from_cm(length);
            let amount = |count, weight| if self.fit.is_weighted { CountOrWeight::Weight(weight) } else { CountOrWeight::Count(count) };
            let row = |square: &survey::WaistHipSquareCounts| {
                let (people, served) = (amount(square.people, square.weight), amount(square.served, square.served_weight));
                (in_unit(square.waist), in_unit(square.hip), people, served)
            };
            Ok(regions.iter().map(row).collect())
        }

        /// Convert the counts to a dict that follows `schema("fit")`.
        fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<AnyDict<'py>> { json_to_dict(py, &to_json_text(&self.report)) }

        /// Return what pickle restores the fit from: its counts and people as JSON, its rows as a table of pyarrow.
        fn __reduce__<'py>(slf: &Bound<'py, Self>) -> PyResult<(Bound<'py, PyAny>, Bound<'py, PyAny>)> {
            let (py, fit) = (slf.py(), slf.get());
            let people = to_json_text(&(&fit.fit.by_person, fit.fit.is_weighted, &fit.people.columns, &fit.share));
            let rows = py.import("pyarrow")?.call_method1("table", (slf,))?;
            let state = (to_json_text(&fit.report), people, rows).into_pyobject(py)?;
            Ok((py.get_type::<Self>().getattr("_restore")?, state.into_any()))
        }

        /// Restore a pickled fit.
        #[staticmethod]
        fn _restore(py: Python<'_>, report: &str, people: &str, rows: &Bound<'_, PyAny>) -> PyResult<Py<Self>> {
            let not_json = |error: serde_json::Error| PyValueError::new_err(error.to_string());
            let report = serde_json::from_str(report).map_err(not_json)?;
            let (by_person, is_weighted, columns, share) = serde_json::from_str(people).map_err(not_json)?;
            let (fit, people) = (survey::ChartFit { by_person, is_weighted, ..Default::default() }, PeopleTable::from_columns(columns));
            let stream = open_arrow_stream(rows)?;
            let schema = stream.schema();
            let rows = Rows { schema, batches: stream.collect::<Result<_, _>>().map_err(arrow_to_python_error)? };
            Py::new(py, (Self { report, fit, people, share }, rows))
        }
    }
}

result_classes! {
    BestChartReport => ToString::to_string {
        /// Convert the sizes to a chart with the names 1, 2, 3, …; `hip_depth` and `length`, in `unit`, hold for all
        /// sizes.
        ///
        /// Raises `InputError` for a hip depth or a length out of range, and for fewer than two sizes.
        #[pyo3(signature = (*, hip_depth, length))]
        fn chart(&self, hip_depth: f64, length: f64) -> PyResult<SizeChart> {
            let to_cm = length_converter_to_cm(self.unit);
            let body = |&(waist, hip, _): &_| Body { waist, hip, hip_depth, length }.map(to_cm);
            let sizes = self.sizes.iter().zip(1..).map(|(size, name)| Size { name: name.to_string(), body: body(size) });
            let chart = value_or_raise(sizes::SizeChart::new(sizes.collect()), self.unit)?;
            Ok(SizeChart(chart, self.unit.of_document()))
        }
    }
}
