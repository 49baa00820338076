//! Comparison of charts, on held-out people by the function `compare_charts`, of the people of two fits by `compare_fits`.
//! Lengths of arguments and results are in the unit of the call.

use pyo3::prelude::*;

use super::arguments::{ColumnsArgument, DropArgument, EaseBoundsArgument, LengthPair, size_constraints_in_cm};
use super::inputs::Ease;
use super::interruption::run_interruptibly;
use super::sizes::ChartArgument;
use super::survey::{
    ChartFit, left_out_people, parse_loss, read_people_and_check_criterion, sizes_as_json, survey_functions,
};
use crate::arrow::{KeptColumns, PeopleReader};
use crate::document::ComparisonReport;
use crate::error::{Code, Problem, Problems};
use crate::field::Unit;
use crate::size_search::{self, ComparedPeople, LogBand, SearchSettings};
use crate::survey::{self, FitComparison};

survey_functions! {
    /// Compare a chart with the best chart of the same number of sizes, on people that neither chart was fitted to.
    ///
    /// `seed` splits the people of the table at random into two parts, each about half. `best_chart`, without `steps`,
    /// searches a chart for the first part, the training people. The charts are compared on the second part, the
    /// held-out people, as the loss on the training people is too optimistic.
    ///
    /// The losses of one split vary by chance: with several `splits`, from 1 to 1000, the losses are means over the splits,
    /// and `gain_interval` is a 95 % interval, by Student's t, of the gain: the loss of the given chart minus the loss of
    /// the best chart. Fewer than ten splits give a wide interval: at least ten splits are advised. Sizes and numbers of
    /// people are those of the first split.
    ///
    /// Each split costs a `best_chart` of half of the people, with its `certify` and with a `time_limit` of its own: some
    /// seconds for thousands of people. `certify=False` takes a fraction of that.
    ///
    /// `by` is the column of a group, such as an age band: `groups` of the result has the losses of each group, in charts
    /// for all groups together. The arguments of the loss, the constraints and `restarts` are as in `best_chart`; `source`,
    /// `columns` and `unit` are as in `fit_chart`, with the sampling weights in `columns`; `ease` keeps its own unit.
    /// Unmeasured people are left out and counted by reason in `refused`.
    ///
    /// Raises `InputError` with all the problems at once, also for a part without people, and `TypeError` for a source
    /// without an Arrow stream.
    ///
    /// >>> comparison = compare_charts(SizeChart.demo(), simulate(400, seed=1), restarts=3)
    /// >>> comparison.training + comparison.held_out, len(comparison.sizes)
    /// (400, 12)
    /// >>> compare_charts(SizeChart.demo(), simulate(0))
    /// Traceback (most recent call last):
    /// kirtle.InputError: waist: 0 numbers are given, at least 1 number needed
    /// hip: 0 numbers are given, at least 1 number needed
    compare_charts(
        chart: ChartArgument => sizes_as_json(&chart, unit), source: &Bound<'_, PyAny> => ();
        loss: &str = "squared", tolerance: Option<f64> = None, bounds: Option<EaseBoundsArgument> = None,
        ease: Option<&Ease> = None => ease.map(|ease| ease.0.convert_lengths(Unit::Cm, unit)), band: Option<&LogBand> = None,
        grid: Option<f64> = None, fixed: Option<Vec<LengthPair>> = None, drop: Option<DropArgument> = None,
        drop_classes: Option<usize> = None, min_share: f64 = 0.0, splits: usize = 1, by: Option<&str> = None, restarts: u32 = 20,
        seed: u64 = 0, certify: bool = true, time_limit: Option<f64> = None, columns: Option<ColumnsArgument> = None, unit: &str = "cm"
    ) with py, unit, settings -> ComparisonReport {
        let loss = parse_loss(loss, tolerance, band, (bounds, ease), unit);
        let reader = |stream, columns: &[_], unit| {
            PeopleReader::new(stream, columns, unit)?.with_further_columns(by, None, &KeptColumns::default())
        };
        let (people, loss) = read_people_and_check_criterion(py, source, columns, unit, reader, loss, None)?;
        let constraints = size_constraints_in_cm(grid, fixed, (drop, drop_classes), min_share, unit)?;
        let search = SearchSettings { seed, restarts, certify, time_limit, constraints, ..SearchSettings::default() };
        let measured = people.measured_people();
        let (waist, hip, weights) = (&measured.waist, &measured.hip, measured.weight.as_deref());
        let compared = ComparedPeople { waist, hip, weights, groups: &measured.groups };
        let compared =
            run_interruptibly(py, unit, || size_search::compare_charts(&chart.0.get().0, &compared, &loss, splits, &search))?;
        let labels = people.groups().map_or(&[][..], |groups| &groups.labels);
        let left_out = left_out_people(&people, &measured, unit);
        Ok(ComparisonReport { settings, ..ComparisonReport::new(&compared, &loss, labels, left_out, unit) })
    }
}

/// Compare whom two charts serve among the same people: two results of `fit_chart` for one table, in one unit and order.
///
/// They may differ in chart, ease, rules or bounds; people without a size must be the same in both.
///
/// `difference` is the share served in the second fit minus that in the first, by weight. With replicates, its standard
/// error and 95 % interval compare both charts on the same people in each replicate, as the intervals of the two fits do
/// not. The numbers of people are not weighted.
///
/// Raises `InputError` for fits of other people, or with other replicates.
///
/// >>> people, options = simulate(1000, seed=1), {"ease": Ease(waist=1.5, hip=5), "bootstrap": 200}
/// >>> narrow, wide = (fit_chart(SizeChart.demo(), people, tolerance=tolerance, **options) for tolerance in (2, 3))
/// >>> comparison = compare_fits(narrow, wide)
/// >>> comparison.only_first, comparison.difference == (comparison.only_second - comparison.only_first) / wide.count
/// (0, True)
/// >>> compare_fits(narrow, fit_chart(SizeChart.demo(), simulate(1000, seed=2), tolerance=2, **options))
/// Traceback (most recent call last):
/// kirtle.InputError: second: cannot be given together with first, a fit of other people
#[pyfunction]
pub(crate) fn compare_fits(first: &Bound<'_, ChartFit>, second: &Bound<'_, ChartFit>) -> PyResult<FitComparison> {
    let fits = [first.get(), second.get()];
    let names = ["bootstrap", "seed", "replicates", "replicate_factor", "degrees_of_freedom"];
    let replicates = fits.map(|fit| names.map(|name| fit.report.settings.0.get(name)));
    if replicates[0] != replicates[1] {
        Err(Problems::from(Problem::new(Code::Conflict, "second").with_limit("first, a fit with other replicates")))?;
    }
    Ok(survey::compare_fits(fits.map(|fit| (&fit.fit, fit.people.people(), &fit.share)))?)
}
