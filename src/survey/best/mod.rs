//! Optimal sizes: k sizes with the least mean [`Loss`] over n people, and lower bounds on the loss of every k sizes.
//!
//! Exact algorithms, whose loss is its own lower bound, apart from rounding:
//! - [`best_sizes`], convex losses: dynamic programme with divide-and-conquer optimisation (Yao 1980). `O(k n log n)` for
//!   n distinct girths.
//! - [`best_sizes`], [`Loss::Within`]: maximal coverage on a line (Church and `ReVelle` 1974). `O(n log n + k n)`.
//! - [`best_chart_fixed_drop`], [`Loss::Squared`]: reduces to [`best_sizes`] by one girth. `O(k n log n)`.
//! - [`best_chart_fixed_drop`], [`Loss::Within`]: stabbing by a dynamic programme. `O(n log n + k m²)` for m distinct
//!   ends.
//!
//! Heuristics, each with the larger of a one-girth bound and a density bound as lower bound:
//! - [`best_chart`], additive losses: Lloyd iteration (Lloyd 1982) with k-means++ seeding (Arthur and Vassilvitskii
//!   2007). `O(k n)` an iteration.
//! - [`best_chart`], [`Loss::Within`]: maximal coverage by axis-parallel squares (Church and `ReVelle` 1974), greedy and
//!   by exchange. `O(k g)` a pass over g grid nodes.
//! - [`best_chart_fixed_steps`]: lattice and pattern search (after Hooke and Jeeves 1961). `O(k n)` an evaluation.
//!
//! [`compare_charts`] judges a chart on held-out people. The proofs are in the modules `dynamic_programme`, `coverage`,
//! `stabbing`, `fixed_drop` and `lower_bound`.

mod centre;
mod chart;
mod coverage;
mod dynamic_programme;
mod fixed_drop;
mod fixed_steps;
mod held_out_comparison;
mod lloyd;
mod loss;
mod lower_bound;
mod one_girth;
mod points;
mod sorted_values;
mod squares;
mod stabbing;

pub use chart::{BestChart, BestChartSize, SearchSettings, best_chart};
pub use fixed_drop::best_chart_fixed_drop;
pub use fixed_steps::{SizeSteps, best_chart_fixed_steps};
pub use held_out_comparison::{ChartComparison, compare_charts};
pub use loss::{LogBand, Loss};
pub use one_girth::{BestSize, BestSizes, best_sizes};
