//! Search for sizes: k sizes with the least mean [`Loss`] over n people, and lower bounds on the loss of every k sizes.
//!
//! | function, loss | result | algorithm | cost |
//! |---|---|---|---|
//! | [`best_sizes`], convex | exact | dynamic programme, divide and conquer (Yao 1980) | `k n log n` |
//! | [`best_sizes`], [`Loss::Within`] | exact | maximal coverage on a line | `n log n + k n` |
//! | [`best_chart_fixed_drop`], [`Loss::Squared`] | exact | [`best_sizes`] by one girth | `k n log n` |
//! | [`best_chart_fixed_drop`], [`Loss::Within`] | exact | stabbing by a dynamic programme | `n log n + k m²` |
//! | [`best_chart`], additive | heuristic | Lloyd iteration from k-means++ | `k n` an iteration |
//! | [`best_chart`], tolerance | heuristic | maximal coverage by squares | `k n log n` a round |
//! | [`best_chart`], tolerance, certified | heuristic | squares by multipliers, ruin and recreate | `k n log n` a round |
//! | [`best_chart_by_draft`] | heuristic | random charts, interchange | `n p k` a round |
//! | [`best_chart`], drops or a minimum share | heuristic | random charts, interchange | `n p k` a round |
//! | bound of these | certified | Lagrangian relaxation | `n p` a pass |
//! | bound of a tolerance | certified | Lagrangian relaxation, branching | `n log n` a pass |
//! | bound of additive losses | certified | Lagrangian relaxation, big square small square | `n` a pass |
//! | [`best_chart_fixed_steps`] | heuristic | pattern search from random starts | `k n` an evaluation |
//!
//! Sources: Church and `ReVelle` (1974) for maximal coverage, Lloyd (1982), Arthur and Vassilvitskii (2007) for
//! k-means++, Teitz and Bart (1968) for interchange, Schrimpf and others (2000) for ruin and recreate, Fränti (2018) for
//! swaps of centres, Hooke and Jeeves (1961) for pattern search, Nesterov (2005) for the multipliers of the relaxations, Cornuéjols, Fisher and Nemhauser
//! (1977) for the relaxation of the p-median problem, Hansen, Peeters, Richard and Thisse (1985) for big square small
//! square. An exact loss is its own lower bound, apart from rounding. The bound of [`best_chart`] has a certificate,
//! the [`BoundProofCase`]s. [`SizeConstraints`] restrict the sizes of [`best_chart`], and its bound.
//!
//! n counts distinct girths, m distinct ends of intervals, p allowed sizes. An additive loss is the sum of a loss in
//! waist and a loss in hip: every loss without a tolerance. A heuristic keeps the best of its starts: with one seed, more
//! starts never give a worse chart. For at most 50 distinct pairs of girths, each start adds one size at a time and
//! continues from the sizes already found, so that more sizes never give a worse chart either. The proofs are in
//! `one_girth`, `fixed_drop_or_steps`, `coverage_bound` and `median_bound`. [`compare_charts`]
//! judges a chart on held-out people. Lengths are centimetres.

mod chart;
mod chart_search;
mod coverage_bound;
mod fixed_drop_or_steps;
mod held_out_comparison;
mod interchange;
mod listed_sizes;
mod lloyd;
mod loss;
mod median_bound;
mod merged_people;
mod momentum;
mod one_girth;
mod points;
mod size_constraints;
mod square_sweep;
mod squares;

pub use chart::{BestChart, BestChartSize, BoundProofCase, ChartByDraft, best_chart, best_chart_by_draft};
pub use fixed_drop_or_steps::{SizeSteps, best_chart_fixed_drop, best_chart_fixed_steps};
pub use held_out_comparison::{ChartComparison, HeldOutLosses, compare_charts};
pub use loss::{DifferenceBounds, LogBand, Loss};
pub use one_girth::{BestSize, BestSizes, best_sizes};
pub use points::ComparedPeople;
pub use size_constraints::{DropClasses, SearchSettings, SizeConstraints};
