//! Best charts: the functions `best_chart` and `best_chart_by_draft`, and the class of their results. Lengths of arguments
//! and results are in the unit of the call.

use pyo3::prelude::*;

use super::arguments::{
    ColumnsArgument, DropArgument, EaseBoundsArgument, LengthPair, length_converter_to_cm, size_constraints_in_cm,
    value_or_raise,
};
use super::class::python_class;
use super::inputs::{Ease, Rules};
use super::interruption::run_interruptibly;
use super::results::{RefusedReport, result_classes};
use super::sizes::SizeChart;
use super::survey::{left_out_people, parse_loss, read_people_and_check_criterion, survey_functions};
use super::typed_objects::{AnyDict, json_to_dict};
use crate::arrow::PeopleReader;
use crate::body::Body;
use crate::document::{BestChartReport, to_json_text};
use crate::error::{Code, Problem, Problems};
use crate::field::Unit;
use crate::size_search::{self, ChartByDraft, ComparedPeople, LogBand, Loss, SearchSettings, SizeSteps};
use crate::sizes::{self, Size};
use crate::survey::RefusedPeople;

survey_functions! {
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
    /// drop and any share. With these, waists lie on the `grid`, by default 1 cm, or 1/2 in with `unit="in"`; but for one drop alone, the
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
    best_chart(
        source: &Bound<'_, PyAny> => (), sizes: usize;
        loss: &str = "squared", tolerance: Option<f64> = None, bounds: Option<EaseBoundsArgument> = None,
        ease: Option<&Ease> = None => ease.map(|ease| ease.0.convert_lengths(Unit::Cm, unit)), band: Option<&LogBand> = None,
        grid: Option<f64> = None, fixed: Option<Vec<LengthPair>> = None, drop: Option<DropArgument> = None,
        drop_classes: Option<usize> = None, min_share: f64 = 0.0, steps: Option<LengthPair> = None, restarts: u32 = 20,
        seed: u64 = 0, certify: bool = true, target_gap: f64 = 0.0, time_limit: Option<f64> = None,
        columns: Option<ColumnsArgument> = None, unit: &str = "cm"
    ) with py, unit, settings -> BestChartReport {
        let to_cm = length_converter_to_cm(unit);
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
}

survey_functions! {
    /// Search for the sizes by waist, hip and hip depth whose drafts lie nearest to the own drafts of the people of a table:
    /// the sizes that are altered least. Also computes a bound.
    ///
    /// The loss of a person is the distance of the size's draft from the person's own draft, `Draft.distance_to`; the mean
    /// loss is in `unit`. All drafts have the same `ease` and `rules`. The table has the columns `waist`, `hip` and
    /// `hip_depth`; `columns` maps each to the name of another column or to one number for everyone. People who are not
    /// measured, or whose own draft is refused, are left out and counted by reason in `refused`.
    ///
    /// The waist of each size is a multiple of `grid`, by default 1 cm or 1/2 in; so is its hip, unless it follows from a `drop`. Its
    /// hip depth is a multiple of half the grid. Each size has a person in one of the eight cells of the grid around it. A
    /// size whose draft is refused is not allowed. `drop`, `drop_classes` and `min_share`, the settings of the search and the
    /// result are as in `best_chart`; the result has `hip_depths`, and `chart()` needs only a length. There may be 30 million
    /// pairs of a person and an allowed size: a wider grid, or a sample of the people, has fewer.
    ///
    /// Raises `InputError` with all the problems at once, and `TypeError` for a source without an Arrow stream.
    ///
    /// >>> best = best_chart_by_draft(simulate(100, seed=1), 3, ease=Ease(waist=1.5, hip=5), grid=4)
    /// >>> best.bound <= best.loss < 2, len(best.hip_depths)
    /// (True, 3)
    /// >>> best.chart(length=60)["1"].hip_depth == best.hip_depths[0]
    /// True
    /// >>> best_chart_by_draft(simulate(100, seed=1), 3, ease=Ease(waist=1.5, hip=5), grid=0)
    /// Traceback (most recent call last):
    /// kirtle.InputError: grid: 0 cm is below the minimum of 0.1 cm
    best_chart_by_draft(
        source: &Bound<'_, PyAny> => (), sizes: usize;
        ease: &Ease => ease.0.convert_lengths(Unit::Cm, unit),
        rules: Option<&Rules> = None => rules.map(|rules| rules.0.clone()).unwrap_or_default().convert_lengths(Unit::Cm, unit),
        grid: Option<f64> = None, drop: Option<DropArgument> = None, drop_classes: Option<usize> = None, min_share: f64 = 0.0,
        restarts: u32 = 20, seed: u64 = 0, certify: bool = true, target_gap: f64 = 0.0, time_limit: Option<f64> = None,
        columns: Option<ColumnsArgument> = None, unit: &str = "cm"
    ) with py, unit, settings -> BestChartReport {
        let rules = rules.map(|rules| rules.0.clone()).unwrap_or_default();
        let reader = PeopleReader::with_hip_depths;
        let (people, ()) = read_people_and_check_criterion(py, source, columns, unit, reader, Ok(()), None)?;
        let constraints = size_constraints_in_cm(grid, None, (drop, drop_classes), min_share, unit)?;
        let search =
            SearchSettings { seed, restarts, certify, target_gap, time_limit, constraints, ..SearchSettings::default() };
        let mut measured = people.measured_people();
        let (waist, hip, weights) = (&measured.waist, &measured.hip, measured.weight.as_deref());
        let columns = ComparedPeople { waist, hip, weights, groups: &[] };
        let ChartByDraft { best, refused } = run_interruptibly(py, unit, || {
            size_search::best_chart_by_draft(&columns, &measured.hip_depth, sizes, &ease.0, &rules, &search)
        })?;
        let reasons = measured.leave_out_refused_drafts(&refused);
        let (unmeasured, mut reports) = left_out_people(&people, &measured, unit);
        reports.extend(reasons.into_iter().map(|(field, code, people, mean)| {
            let refused = RefusedPeople { field: "draft", code, people, mean };
            RefusedReport { field, ..RefusedReport::new(&refused, &measured.accepted, unit) }
        }));
        let count = (measured.waist.len() - refused.len(), measured.effective_count);
        let report = BestChartReport::new(&best, &Loss::Absolute, count, (unmeasured + refused.len(), reports), unit);
        Ok(BestChartReport { loss_name: "draft".into(), settings, ..report })
    }
}

result_classes! {
    BestChartReport => ToString::to_string {
        /// Convert the sizes to a chart with the names 1, 2, 3, …; `length`, in `unit`, holds for all sizes, and so does
        /// `hip_depth`, unless the sizes have hip depths of their own.
        ///
        /// Raises `InputError` for a hip depth or a length out of range, and for fewer than two sizes.
        #[pyo3(signature = (*, length, hip_depth = None))]
        fn chart(&self, length: f64, hip_depth: Option<f64>) -> PyResult<SizeChart> {
            let to_cm = length_converter_to_cm(self.unit);
            let missing = || Problem::new(Code::Missing, "hip_depth").with_limit("a hip depth for all sizes");
            let sizes = self.sizes.iter().enumerate().map(|(k, &(waist, hip, _))| {
                let hip_depth = self.hip_depths.get(k).copied().or(hip_depth).ok_or_else(missing)?;
                Ok(Size { name: (k + 1).to_string(), body: Body { waist, hip, hip_depth, length }.map(to_cm) })
            });
            let chart = sizes.collect::<Result<_, Problems>>().and_then(sizes::SizeChart::new);
            Ok(SizeChart(value_or_raise(chart, self.unit)?, self.unit.of_document()))
        }
    }
}
