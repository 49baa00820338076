//! The best chart of so many sizes, under a stated loss.

mod bound;
mod boxes;
mod cluster;
mod column;
mod cover;
mod divide;
mod drop;
mod held_out;
mod line;
mod loss;
mod means;
mod plane;
mod points;
mod stab;
mod steps;

pub use drop::best_chart_fixed_drop;
pub use held_out::{ChartComparison, compare_charts};
pub use line::{BestSize, BestSizes, best_sizes};
pub use loss::{LogBand, Loss};
pub use plane::{BestChart, BestChartSize, SearchSettings, best_chart};
pub use steps::{FixedSteps, best_chart_fixed_steps};
