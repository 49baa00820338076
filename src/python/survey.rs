//! Surveys of people: the functions `fit_chart` and `best_sizes`, and the classes of their arguments and results. Lengths
//! of arguments and results are in the unit of the call.

use std::collections::BTreeMap;

use arrow_array::RecordBatchReader;
use pyo3::exceptions::PyValueError;
use pyo3::prelude::*;
use serde_json::Value;

use super::arguments::{
    ColumnsArgument, EaseBoundsArgument, KeptColumnsArgument, LengthPair, length_converter_to_cm, value_or_raise,
};
use super::capsule::{ImportedArrowStream, open_arrow_stream};
use super::class::python_class;
use super::exclusive_reader::ExclusiveReader;
use super::inputs::{Ease, Rules};
use super::interruption::run_interruptibly;
use super::results::{GroupReport, RefusedReport};
use super::sizes::ChartArgument;
use super::table::{Rows, arrow_to_python_error, check_signals_and_report_rows, parse_column_or_number_by_input};
use super::typed_objects::{AnyDict, json_to_dict};
use crate::arrow::{ColumnOrConstant, MeasuredPeople, PeopleReader, PeopleTable, fit_batch, with_settings};
use crate::document::{BestSizesReport, CallSettings, FitReport, to_json_text};
use crate::error::{Code, Problem, Problems};
use crate::field::Unit;
use crate::size_search::{self, DifferenceBounds, LogBand, Loss};
use crate::survey::{self, EaseBounds, Replicates, ServedShare};

/// Declares the Python functions on the people of a table, which keep the settings of the call. An argument has its type,
/// its default, if any, and after `=>` its value among the settings, if that is another one; `=> ()` leaves it out. After
/// the semicolon come the arguments that are given by keyword only.
///
/// The names after `with` are those of Python's lock, of the unit of the call and of the settings in the function.
macro_rules! survey_functions {
    ($(
        $(#[doc = $doc:literal])+
        $name:ident(
            $($argument:ident: $type:ty $(=> $setting:expr)?),+;
            $($keyword:ident: $keyword_type:ty $(= $default:tt)? $(=> $keyword_setting:expr)?),+
        ) with $py:ident, $unit:ident, $settings:ident -> $result:ty $body:block
    )+) => {$(
        $(#[doc = $doc])+
        #[pyfunction]
        #[pyo3(signature = ($($argument,)+ *, $($keyword $(= $default)?),+))]
        pub(crate) fn $name($py: Python<'_>, $($argument: $type,)+ $($keyword: $keyword_type),+) -> PyResult<$result> {
            let $unit = $crate::python::arguments::parse_table_unit($unit)?;
            let $settings = $crate::document::CallSettings::new(serde_json::Value::from_iter([
                ("function", stringify!($name).into()),
                $(survey_functions!(@setting $argument $(=> $setting)?),)+
                $(survey_functions!(@setting $keyword $(=> $keyword_setting)?)),+
            ]));
            $body
        }
    )+};
    (@setting $argument:ident) => { survey_functions!(@setting $argument => $argument) };
    (@setting $argument:ident => $setting:expr) => { (stringify!($argument), serde_json::json!($setting)) };
}

pub(super) use survey_functions;

/// Name of an input of a person, and where its numbers come from.
type InputSource = (String, ColumnOrConstant);

/// Reads the people of the table `source`; returns them with the criterion, such as a loss, once both are valid.
/// Raises the problems of the columns together with those of the criterion.
pub(super) fn read_people_and_check_criterion<C>(
    py: Python<'_>,
    source: &Bound<'_, PyAny>,
    columns: Option<ColumnsArgument>,
    unit: Unit,
    reader: impl FnOnce(ExclusiveReader<ImportedArrowStream>, &[InputSource], Unit) -> Result<PeopleReader, Problems> + Send,
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

survey_functions! {
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
    /// with Fay's k, (R − 1)/R for the jackknife of one stratum. Intervals use Student's t with R degrees of freedom, or the
    /// `degrees_of_freedom` of the replicate weights, from 1 to 10,000, such as the number of clusters minus that of strata.
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
    fit_chart(
        chart: ChartArgument => sizes_as_json(&chart, unit), source: &Bound<'_, PyAny> => ();
        ease: &Ease => ease.0.convert_lengths(Unit::Cm, unit),
        rules: Option<&Rules> = None => rules.map(|rules| rules.0.clone()).unwrap_or_default().convert_lengths(Unit::Cm, unit),
        tolerance: Option<f64> = None, bounds: Option<EaseBoundsArgument> = None, columns: Option<ColumnsArgument> = None,
        by: Option<&str> = None, replicates: Option<Vec<String>> = None, replicate_factor: Option<f64> = None,
        degrees_of_freedom: Option<usize> = None,
        bootstrap: Option<usize> = None, seed: u64 = 0 => bootstrap.map(|_| seed), keep: Option<KeptColumnsArgument> = None => (),
        unit: &str = "cm", progress: Option<Py<PyAny>> = None => ()
    ) with py, unit, settings -> Py<ChartFit> {
        let (chart, ease) = (&chart.0.get().0, &ease.0);
        let rules = rules.map(|rules| rules.0.clone()).unwrap_or_default();
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
        let replicates = Replicates::from_bootstrap_or_weights(bootstrap, seed, people.replicates(), replicate_factor, degrees_of_freedom)?;
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
}

/// Returns the sizes of a chart, in `unit`, as the settings of a call have them.
pub(super) fn sizes_as_json(chart: &ChartArgument, unit: Unit) -> Value {
    serde_json::from_str::<Value>(&chart.0.get().0.to_json(unit)).unwrap_or_default()["sizes"].take()
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

survey_functions! {
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
    best_sizes(
        source: &Bound<'_, PyAny> => (), sizes: usize;
        girth: &str, loss: &str = "squared", tolerance: Option<f64> = None, band: Option<&LogBand> = None,
        columns: Option<ColumnsArgument> = None, unit: &str = "cm"
    ) with py, unit, settings -> BestSizesReport {
        let loss = Loss::from_name(loss, tolerance.map(length_converter_to_cm(unit)), band.copied());
        let reader = |stream, columns: &[_], unit| PeopleReader::for_one_girth(stream, girth, columns, unit);
        let (people, loss) = read_people_and_check_criterion(py, source, columns, unit, reader, loss, None)?;
        let measured = people.measured_people();
        let girths = if measured.waist.is_empty() { &measured.hip } else { &measured.waist };
        let best =
            run_interruptibly(py, unit, || size_search::best_sizes(girths, measured.weight.as_deref(), sizes, &loss))?;
        let left_out = left_out_people(&people, &measured, unit);
        Ok(BestSizesReport { settings, ..BestSizesReport::new(&best, &loss, girth, girths.len(), left_out, unit) })
    }
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
    /// 95 % interval of `share_served`, from 0 to 1 (Wilson 1927), by Student's t; `None` without replicates.
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
            let (py, Self { report, fit, people, share }) = (slf.py(), slf.get());
            let json = to_json_text(&(report, &fit.by_person, fit.is_weighted, &people.columns, share));
            let rows = py.import("pyarrow")?.call_method1("table", (slf,))?;
            Ok((py.get_type::<Self>().getattr("_restore")?, (json, rows).into_pyobject(py)?.into_any()))
        }

        /// Restore a pickled fit.
        #[staticmethod]
        fn _restore(py: Python<'_>, json: &str, rows: &Bound<'_, PyAny>) -> PyResult<Py<Self>> {
            let restored = serde_json::from_str(json).map_err(|error| PyValueError::new_err(error.to_string()));
            let (report, by_person, is_weighted, columns, share) = restored?;
            let (fit, people) = (survey::ChartFit { by_person, is_weighted, ..Default::default() }, PeopleTable::from_columns(columns));
            let stream = open_arrow_stream(rows)?;
            let schema = stream.schema();
            let rows = Rows { schema, batches: stream.collect::<Result<_, _>>().map_err(arrow_to_python_error)? };
            Py::new(py, (Self { report, fit, people, share }, rows))
        }
    }
}
