//! Reports on a survey of people: fit of a chart and best sizes, lengths in the unit of the report.

use std::collections::BTreeMap;
use std::fmt;

use super::report::report;
use crate::field::Unit;
use crate::size_search::{BestChart, BestSizes, ChartComparison, Loss};
use crate::sizes::SizeChart;
use crate::survey::ChartFit;

report! {
    /// Fit of a chart of sizes to the people of a survey: counts of people served and of bounds of ease missed.
    #[schemars(title = "Kirtle fit")]
    FitReport of (chart: &SizeChart, fit: &ChartFit) in unit
    let counts = &fit.unserved;
    let unserved = [
        ("waist_tight", counts.waist_tight),
        ("waist_loose", counts.waist_loose),
        ("hip_tight", counts.hip_tight),
        ("hip_loose", counts.hip_loose),
        ("high_hip_tight", counts.high_hip_tight),
        ("high_hip_loose", counts.high_hip_loose),
    ];
    {
        /// Unit of lengths in the survey.
        unit: Unit = unit,
        /// Number of people, measured or not.
        count: usize = fit.count(),
        /// Number of people with a missing or non-finite measurement, or a high-hip depth outside 0 to the shortest length.
        unmeasured: usize = fit.unmeasured,
        /// Number of people served: in the assigned size, the ease is within every bound.
        served: usize = fit.served,
        /// Share of the measured people who are served, from 0 to 1.
        share_served: f64 = fit.share_served(),
        /// For each size of the chart in order: name, number of people assigned to the size, and number of those served.
        loads: Vec<(String, usize, usize)> =
            chart.sizes().iter().zip(&fit.loads).map(|(size, load)| (size.name.clone(), load.people, load.served)).collect(),
        /// Number of unserved people who miss each bound of ease in the size assigned to them, by the name of the bound,
        /// such as `waist_tight`. A person who misses several bounds counts at each.
        unserved: BTreeMap<String, usize> = unserved.map(|(bound, people)| (bound.to_owned(), people)).into(),
    }
}

impl fmt::Display for FitReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let percent = self.share_served * 100.0;
        write!(f, "ChartFit(people={}, served={} ({percent:.1}%)", self.count, self.served)?;
        write!(f, ", unmeasured={}, sizes={})", self.unmeasured, self.loads.len())
    }
}

report! {
    /// Best chart found: sizes by waist and hip with a small mean loss, and a lower bound of the mean loss. An absolute
    /// loss is in `unit`, a squared loss in the square of `unit`.
    #[schemars(title = "Kirtle best")]
    BestChartReport as "BestChart" of (best: &BestChart, loss: &Loss, counts: [usize; 2]) in unit
    let [measured, all] = counts;
    let length = |cm: f64| unit.length_from_cm(cm);
    let loss_in_unit = |value: f64| value / loss.loss_factor_from_unit_to_cm(unit);
    let in_unit = |losses: &[f64]| losses.iter().copied().map(loss_in_unit).collect();
    {
        /// Unit of lengths in the report.
        unit: Unit = unit,
        /// Number of measured people, for whom the sizes are optimised.
        measured: usize = measured,
        /// Number of people left out because a measurement is missing or not finite.
        unmeasured: usize = all - measured,
        /// For each size: waist, hip, and the share of the measured people assigned to the size, from 0 to 1.
        sizes: Vec<(f64, f64, f64)> =
            best.sizes.iter().map(|size| (length(size.waist), length(size.hip), size.share)).collect(),
        /// Mean loss of the measured people, each in the size with the least loss.
        loss: f64 = loss_in_unit(best.loss),
        /// Proven lower bound of the mean loss, over all charts of the chosen kind and number of sizes.
        bound: f64 = loss_in_unit(best.bound),
        /// Difference between mean loss and lower bound: the most by which a better chart could lower the mean loss.
        gap: f64 = loss_in_unit(best.gap()),
        /// Certificate of the bound: cases that together hold every chart; empty if the chart is optimal without one. A case
        /// has its fixed people, each with whether its charts serve all people of the same girths, and a multiplier for
        /// each measured person. Only a bound within a tolerance has more than one case. Multipliers of an absolute loss are
        /// in `unit`, of a squared loss in the square of `unit`.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        certificate: Vec<(Vec<(usize, bool)>, Vec<f64>)> =
            best.certificate.iter().map(|case| (case.fixed.clone(), in_unit(&case.multipliers))).collect(),
    }
}

impl fmt::Display for BestChartReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { sizes, measured, loss, bound, .. } = self;
        write!(f, "BestChart(sizes={}, people={measured}, loss={loss:.4}, bound={bound:.4})", sizes.len())
    }
}

report! {
    /// Best sizes by one girth: the sizes with the least mean loss. An absolute loss is in `unit`, a squared loss in
    /// the square of `unit`.
    BestSizesReport as "BestSizes" of (best: &BestSizes, loss: &Loss, by: &str, counts: [usize; 2]) in unit
    let [measured, all] = counts;
    let length = |cm: f64| unit.length_from_cm(cm);
    {
        /// Unit of lengths in the report.
        unit: Unit = unit,
        /// Girth that the sizes are made by: `waist` or `hip`.
        girth: String = by.to_owned(),
        /// Number of measured people, for whom the sizes are optimised.
        measured: usize = measured,
        /// Number of people left out because the girth is missing or not finite.
        unmeasured: usize = all - measured,
        /// For each size: girth, minimum and maximum girth of its people, and their share of all measured, from 0 to 1.
        sizes: Vec<(f64, f64, f64, f64)> =
            best.sizes.iter().map(|size| (length(size.centre), length(size.min), length(size.max), size.share)).collect(),
        /// Mean loss of the measured people: the minimum for this number of sizes.
        loss: f64 = best.loss / loss.loss_factor_from_unit_to_cm(unit),
    }
}

report! {
    /// Comparison of a given chart with the best chart of the same number of sizes, on held-out people for whom neither
    /// chart was made. An absolute loss is in `unit`, a squared loss in the square of `unit`.
    ComparisonReport as "ChartComparison" of (compared: &ChartComparison, loss: &Loss, left_out: usize) in unit
    let best = BestChartReport::new(&compared.best, loss, [compared.learnt; 2], unit);
    let loss_in_unit = |value: f64| value / loss.loss_factor_from_unit_to_cm(unit);
    {
        /// Unit of lengths in the report.
        unit: Unit = unit,
        /// Number of people for whom the best chart is optimised.
        learnt: usize,
        /// Number of people held out for the comparison.
        held_out: usize,
        /// Number of people left out because a measurement is missing or not finite.
        unmeasured: usize = left_out,
        /// For each size of the best chart: waist, hip, and share of the `learnt` people who are assigned to it.
        sizes: Vec<(f64, f64, f64)> = best.sizes,
        /// Mean loss, in the best chart, of the people for whom the chart is optimised; an optimistic estimate.
        learnt_loss: f64 = best.loss,
        /// Mean loss of the held-out people in the best chart.
        best_loss: f64 = loss_in_unit(compared.best_loss),
        /// Mean loss of the held-out people in the given chart.
        given_loss: f64 = loss_in_unit(compared.given_loss),
    }
}
