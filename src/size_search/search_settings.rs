//! Settings of the heuristic searches.

use super::size_constraints::SizeConstraints;
use crate::error::Problem;
use crate::field::{Field, FieldKind, Unit};

/// Settings of a heuristic search for a chart by waist and hip.
#[derive(Clone, Debug, PartialEq)]
pub struct SearchSettings {
    /// Seed of the random starts. With equal other settings and no time limit, equal seeds give equal charts.
    pub seed: u64,
    /// Number of starts of the search: from 1 to 10,000. More starts never raise the loss.
    pub restarts: u32,
    /// Step of the search grid, in centimetres: from 0.01 to 10. The search rounds waist and hip to multiples of the
    /// step if the people have more than 50 distinct pairs of girths. Final improvement, loss and bound use the
    /// unrounded girths.
    pub step: f64,
    /// Whether the bound is certified by multipliers, from which the search of [`Loss::Within`](super::Loss::Within)
    /// also starts. Otherwise the bound comes from the best sizes by waist alone and by hip alone.
    pub certify: bool,
    /// Gap at which the search stops early: loss minus bound, as a share of the loss, from 0 to 1. Only a certified
    /// search stops early; 0 stops it once the chart is proven optimal.
    pub target_gap: f64,
    /// Time after which the search stops, in seconds, from 0.001 to 10⁶, with the chart and the bound found so far.
    /// `None` for no limit. A chart under a limit depends on the machine. The first start and the bound of one girth
    /// run whatever the limit.
    pub time_limit: Option<f64>,
    /// Constraints on the sizes of the chart. The bound, too, holds for all charts that satisfy the constraints.
    pub constraints: SizeConstraints,
}

impl Default for SearchSettings {
    /// Returns the default settings: seed 0, 20 starts, a grid step of 0.5 cm, a certified bound, no early stop, no
    /// time limit and no constraints.
    fn default() -> Self {
        let constraints = SizeConstraints::default();
        Self { seed: 0, restarts: 20, step: 0.5, certify: true, target_gap: 0.0, time_limit: None, constraints }
    }
}

impl SearchSettings {
    pub(super) fn setting_problems(&self) -> Vec<Problem> {
        let restarts = ("restarts", FieldKind::Ratio, (1.0, 10_000.0), f64::from(self.restarts));
        let step = ("step", FieldKind::Length, (0.01, 10.0), self.step);
        let target_gap = ("target_gap", FieldKind::Ratio, (0.0, 1.0), self.target_gap);
        let time_limit = self.time_limit.map(|seconds| ("time_limit", FieldKind::Ratio, (0.001, 1e6), seconds));
        let problem =
            |(name, kind, range, value)| Field::new(name, "", kind, range).range_problem("search.", value, Unit::Cm);
        [restarts, step, target_gap].into_iter().chain(time_limit).filter_map(problem).collect()
    }
}
