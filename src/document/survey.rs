//! Reports on a survey of people: fit of a chart and best sizes, lengths in the unit of the report.

use std::collections::BTreeMap;
use std::fmt;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::panel::report_struct;
use crate::field::Unit;
use crate::size_search::{BestChart, BestSizes, ChartComparison, Loss};
use crate::sizes::SizeChart;
use crate::survey::ChartFit;

/// Fit of a chart of sizes to the people of a survey: counts of people served and of bounds of ease missed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Kirtle fit")]
pub struct FitReport {
    /// Unit of lengths in the survey.
    pub unit: Unit,
    /// Number of people, measured or not.
    pub count: usize,
    /// Number of people with a missing or non-finite measurement, or a high-hip depth outside 0 to the shortest length.
    pub unmeasured: usize,
    /// Number of people served: in the assigned size, the ease is within every bound.
    pub served: usize,
    /// Share of the measured people who are served, from 0 to 1.
    pub share_served: f64,
    /// For each size of the chart in order: name, number of people assigned to the size, and number of those served.
    pub loads: Vec<(String, usize, usize)>,
    /// Number of unserved people who miss each bound of ease in the size assigned to them, by the name of the bound,
    /// such as `waist_tight`. A person who misses several bounds counts at each.
    pub unserved: BTreeMap<String, usize>,
}

impl FitReport {
    /// Returns the report of the fit of `chart`, with `unit` as the unit of the survey.
    #[must_use]
    pub fn new(chart: &SizeChart, fit: &ChartFit, unit: Unit) -> Self {
        let loads = chart.sizes().iter().zip(&fit.loads);
        let counts = &fit.unserved;
        let unserved = [
            ("waist_tight", counts.waist_tight),
            ("waist_loose", counts.waist_loose),
            ("hip_tight", counts.hip_tight),
            ("hip_loose", counts.hip_loose),
            ("high_hip_tight", counts.high_hip_tight),
            ("high_hip_loose", counts.high_hip_loose),
        ];
        Self {
            unit,
            count: fit.count(),
            unmeasured: fit.unmeasured,
            served: fit.served,
            share_served: fit.share_served(),
            loads: loads.map(|(size, load)| (size.name.clone(), load.people, load.served)).collect(),
            unserved: unserved.map(|(bound, people)| (bound.to_owned(), people)).into(),
        }
    }
}

impl fmt::Display for FitReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let percent = self.share_served * 100.0;
        write!(f, "ChartFit(people={}, served={} ({percent:.1}%)", self.count, self.served)?;
        write!(f, ", unmeasured={}, sizes={})", self.unmeasured, self.loads.len())
    }
}

report_struct! {
    /// Best chart found: sizes by waist and hip with a small mean loss, and a lower bound of the mean loss. An absolute
    /// loss is in `unit`, a squared loss in the square of `unit`.
    #[schemars(title = "Kirtle best")]
    BestChartReport as "BestChart" {
        /// Unit of lengths in the report.
        unit: Unit,
        /// Number of measured people, for whom the sizes are optimised.
        measured: usize,
        /// Number of people left out because a measurement is missing or not finite.
        unmeasured: usize,
        /// For each size: waist, hip, and the share of the measured people assigned to the size, from 0 to 1.
        sizes: Vec<(f64, f64, f64)>,
        /// Mean loss of the measured people, each in the size with the least loss.
        loss: f64,
        /// Proven lower bound of the mean loss, over all charts of the chosen kind and number of sizes.
        bound: f64,
        /// Difference between mean loss and lower bound: the most by which a better chart could lower the mean loss.
        gap: f64,
        /// Certificate of a bound within a tolerance: cases that together hold every chart; empty for other bounds. A case
        /// has its fixed people, each with whether its charts serve all people of the same girths, and a multiplier for
        /// each measured person.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        certificate: Vec<(Vec<(usize, bool)>, Vec<f64>)>,
    }
}

impl BestChartReport {
    /// Returns the report of the chart found for `loss`; `measured` of `all` people were measured.
    #[must_use]
    pub fn new(best: &BestChart, loss: &Loss, [measured, all]: [usize; 2], unit: Unit) -> Self {
        let loss_in_unit = |value: f64| value / loss.loss_factor_from_unit_to_cm(unit);
        let sizes =
            best.sizes.iter().map(|size| (unit.length_from_cm(size.waist), unit.length_from_cm(size.hip), size.share));
        let [loss, bound, gap] = [best.loss, best.bound, best.gap()].map(loss_in_unit);
        let cases = best.certificate.iter().map(|case| (case.fixed.clone(), case.multipliers.clone()));
        let (unmeasured, sizes, certificate) = (all - measured, sizes.collect(), cases.collect());
        Self { unit, measured, unmeasured, sizes, loss, bound, gap, certificate }
    }
}

impl fmt::Display for BestChartReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { sizes, measured, loss, bound, .. } = self;
        write!(f, "BestChart(sizes={}, people={measured}, loss={loss:.4}, bound={bound:.4})", sizes.len())
    }
}

report_struct! {
    /// Best sizes by one girth: the sizes with the least mean loss. An absolute loss is in `unit`, a squared loss in
    /// the square of `unit`.
    BestSizesReport as "BestSizes" {
        /// Unit of lengths in the report.
        unit: Unit,
        /// Girth that the sizes are made by: `waist` or `hip`.
        girth: String,
        /// Number of measured people, for whom the sizes are optimised.
        measured: usize,
        /// Number of people left out because the girth is missing or not finite.
        unmeasured: usize,
        /// For each size: girth, minimum and maximum girth of its people, and their share of all measured, from 0 to 1.
        sizes: Vec<(f64, f64, f64, f64)>,
        /// Mean loss of the measured people: the minimum for this number of sizes.
        loss: f64,
    }
}

impl BestSizesReport {
    /// Returns the report of the sizes found by `girth` for `loss`; `measured` of `all` people were measured.
    #[must_use]
    pub fn new(best: &BestSizes, loss: &Loss, girth: &str, [measured, all]: [usize; 2], unit: Unit) -> Self {
        let sizes = best.sizes.iter().map(|size| {
            let [centre, min, max] = [size.centre, size.min, size.max].map(|length| unit.length_from_cm(length));
            (centre, min, max, size.share)
        });
        Self {
            unit,
            girth: girth.to_owned(),
            measured,
            unmeasured: all - measured,
            sizes: sizes.collect(),
            loss: best.loss / loss.loss_factor_from_unit_to_cm(unit),
        }
    }
}

report_struct! {
    /// Comparison of a given chart with the best chart of the same number of sizes, on held-out people for whom neither
    /// chart was made. An absolute loss is in `unit`, a squared loss in the square of `unit`.
    ComparisonReport as "ChartComparison" {
        /// Unit of lengths in the report.
        unit: Unit,
        /// Number of people for whom the best chart is optimised.
        learnt: usize,
        /// Number of people held out for the comparison.
        held_out: usize,
        /// Number of people left out because a measurement is missing or not finite.
        unmeasured: usize,
        /// For each size of the best chart: waist, hip, and share of the `learnt` people who are assigned to it.
        sizes: Vec<(f64, f64, f64)>,
        /// Mean loss, in the best chart, of the people for whom the chart is optimised; an optimistic estimate.
        learnt_loss: f64,
        /// Mean loss of the held-out people in the best chart.
        best_loss: f64,
        /// Mean loss of the held-out people in the given chart.
        given_loss: f64,
    }
}

impl ComparisonReport {
    /// Returns the report of a comparison by `loss`; `unmeasured` people were left out.
    #[must_use]
    pub fn new(compared: &ChartComparison, loss: &Loss, unmeasured: usize, unit: Unit) -> Self {
        let ChartComparison { best, learnt, held_out, best_loss, given_loss } = compared;
        let BestChartReport { sizes, loss: learnt_loss, .. } = BestChartReport::new(best, loss, [*learnt; 2], unit);
        let [best_loss, given_loss] =
            [best_loss, given_loss].map(|value| value / loss.loss_factor_from_unit_to_cm(unit));
        Self { unit, learnt: *learnt, held_out: *held_out, unmeasured, sizes, learnt_loss, best_loss, given_loss }
    }
}
