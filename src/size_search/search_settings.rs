//! Settings of the heuristic searches.

use crate::error::Problem;
use crate::field::{Field, FieldKind, Unit};

/// Settings of a heuristic search for a chart by waist and hip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SearchSettings {
    /// Seed of the random starts. One seed always gives one chart.
    pub seed: u64,
    /// Number of starts of the search: from 1 to 10,000. More starts never raise the loss.
    pub restarts: u32,
    /// Step of the search grid, in centimetres: from 0.01 to 10. The search rounds waist and hip to multiples of the
    /// step if the people have more than 50 distinct pairs of girths. Final improvement, loss and bound use the
    /// unrounded girths.
    pub step: f64,
    /// Whether the bound is certified by multipliers, from which the search of [`Loss::Within`](super::Loss::Within) also
    /// starts. Otherwise the bound is the optimum of one girth.
    pub certify: bool,
}

impl Default for SearchSettings {
    /// Returns the default settings: seed 0, 20 starts, a grid step of 0.5 cm and a certified bound.
    fn default() -> Self {
        Self { seed: 0, restarts: 20, step: 0.5, certify: true }
    }
}

impl SearchSettings {
    pub(super) fn setting_problems(&self) -> Vec<Problem> {
        let restarts = ("restarts", FieldKind::Ratio, (1.0, 10_000.0), f64::from(self.restarts));
        let step = ("step", FieldKind::Length, (0.01, 10.0), self.step);
        let problem =
            |(name, kind, range, value)| Field::new(name, "", kind, range).range_problem("search.", value, Unit::Cm);
        [restarts, step].into_iter().filter_map(problem).collect()
    }
}
