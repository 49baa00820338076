//! A survey: many people measured, or simulated, and how a chart of sizes serves them.

mod best;
mod bounds;
mod draws;
mod fit;
mod high_hip;
mod interrupt;
mod simulate;
mod summary;

pub use best::{
    BestChart, BestChartSize, BestSize, BestSizes, ChartComparison, FixedSteps, LogBand, Loss, SearchSettings,
    best_chart, best_chart_fixed_drop, best_chart_fixed_steps, best_sizes, compare_charts,
};
pub use fit::{Bounds, Fitted, HighHips, People, fit_chart};
pub use interrupt::interruptible;
pub use simulate::{NormalDistribution, Population, SimulatedBodies};
pub use summary::{ChartFit, GirthSquare, SizeLoad, UnservedCounts, UnservedPerson};
