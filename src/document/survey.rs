//! What a survey tells, in any unit.

use std::collections::BTreeMap;
use std::fmt;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::report::report;
use crate::field::Unit;
use crate::sizes::SizeChart;
use crate::survey::{BestChart, BestSizes, ChartComparison, ChartFit, Loss};

/// How a chart serves people. It reads as one line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Kirtle fit")]
pub struct FitReport {
    /// The unit of the lengths that go with it.
    pub unit: Unit,
    /// How many people there are, measured or not.
    pub count: usize,
    /// How many of them are unmeasured.
    pub unmeasured: usize,
    /// How many have a size that serves.
    pub served: usize,
    /// Their share of the measured.
    pub share_served: f64,
    /// For each size its name, how many people it is given to, and how many of them it serves.
    pub loads: Vec<(String, usize, usize)>,
    /// How many of the unserved miss each bound, in the size that they are given.
    pub unserved: BTreeMap<String, usize>,
}

impl FitReport {
    /// The report of a fit of this chart.
    #[must_use]
    pub fn new(chart: &SizeChart, fit: &ChartFit, unit: Unit) -> Self {
        let loads = chart.sizes().iter().zip(&fit.loads);
        let of = &fit.unserved;
        let unserved = [
            ("waist_tight", of.waist_tight),
            ("waist_loose", of.waist_loose),
            ("hip_tight", of.hip_tight),
            ("hip_loose", of.hip_loose),
            ("high_hip_tight", of.high_hip_tight),
            ("high_hip_loose", of.high_hip_loose),
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

/// Sizes with little mean loss, and a bound on what any could have. It reads as one line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Kirtle best")]
pub struct BestChartReport {
    /// The unit of lengths.
    pub unit: Unit,
    /// How many people were measured: those by whom the sizes were sought.
    pub measured: usize,
    /// How many people were left out, as they are unmeasured.
    pub unmeasured: usize,
    /// For each size its waist, its hip, and the share of the people given to it.
    pub sizes: Vec<(f64, f64, f64)>,
    /// The mean loss.
    pub loss: f64,
    /// No chart of so many sizes of its kind has a lower mean loss.
    pub bound: f64,
    /// How much lower the mean loss of the best chart could be, at the most.
    pub gap: f64,
}

impl BestChartReport {
    /// The report of sizes found by this loss for the measured among all people.
    #[must_use]
    pub fn new(best: &BestChart, loss: &Loss, [measured, all]: [usize; 2], unit: Unit) -> Self {
        let of_loss = |value: f64| value / loss.cm_per_unit(unit);
        let sizes =
            best.sizes.iter().map(|size| (unit.length_from_cm(size.waist), unit.length_from_cm(size.hip), size.share));
        let [loss, bound, gap] = [best.loss, best.bound, best.gap()].map(of_loss);
        Self { unit, measured, unmeasured: all - measured, sizes: sizes.collect(), loss, bound, gap }
    }
}

impl fmt::Display for BestChartReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { sizes, measured, loss, bound, .. } = self;
        write!(f, "BestChart(sizes={}, people={measured}, loss={loss:.4}, bound={bound:.4})", sizes.len())
    }
}

report! {
    /// The sizes by one girth with the least mean loss. Lengths are in the unit of the call; a squared loss is in its square.
    BestSizesReport as "BestLine" {
        /// The unit of lengths.
        unit: Unit,
        /// The girth: `waist` or `hip`.
        girth: String,
        /// How many people the sizes were sought for.
        measured: usize,
        /// How many people were left out, as they have no number, or none that is finite.
        unmeasured: usize,
        /// For each size its girth, the least and the most girth of the people given to it, and their share.
        sizes: Vec<(f64, f64, f64, f64)>,
        /// The mean loss: no sizes, so many, have a lower one.
        loss: f64,
    }
}

impl BestSizesReport {
    /// The report of sizes found by this loss and girth for the measured among all people.
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
            loss: best.loss / loss.cm_per_unit(unit),
        }
    }
}

report! {
    /// A chart beside the best one of as many sizes, on people by whom neither was made. Lengths are in the unit of the call; a
    /// squared loss is in its square.
    ComparisonReport as "ChartComparison" {
        /// The unit of lengths.
        unit: Unit,
        /// How many people the best chart was sought for.
        learnt: usize,
        /// How many people were held out.
        held_out: usize,
        /// How many people were left out, as they have no number, or none that is finite.
        unmeasured: usize,
        /// For each size of the best chart its waist, its hip, and the share of the people it was sought for given to it.
        sizes: Vec<(f64, f64, f64)>,
        /// The mean loss in the best chart of the people that it was sought for: it flatters.
        learnt_loss: f64,
        /// The mean loss of the held-out people in the best chart.
        best_loss: f64,
        /// The mean loss of the held-out people in the given chart.
        given_loss: f64,
    }
}

impl ComparisonReport {
    /// The report of a comparison by this loss, with so many unmeasured.
    #[must_use]
    pub fn new(compared: &ChartComparison, loss: &Loss, unmeasured: usize, unit: Unit) -> Self {
        let ChartComparison { best, learnt, held_out, best_loss, given_loss } = compared;
        let BestChartReport { sizes, loss: learnt_loss, .. } = BestChartReport::new(best, loss, [*learnt; 2], unit);
        let [best_loss, given_loss] = [best_loss, given_loss].map(|value| value / loss.cm_per_unit(unit));
        Self { unit, learnt: *learnt, held_out: *held_out, unmeasured, sizes, learnt_loss, best_loss, given_loss }
    }
}
