//! Surveys of many people, measured or simulated: how a chart of sizes fits them, and which chart fits best.
//!
//! [`Population`] simulates bodies; [`fit_chart`] assigns each person a size and counts whom the chart serves.
//! [`best_sizes`], [`best_chart`], [`best_chart_fixed_drop`] and [`best_chart_fixed_steps`] minimise the mean [`Loss`] of
//! k sizes; [`compare_charts`] judges a chart on held-out people. Lengths are centimetres.
//!
//! ```
//! use kirtle::survey::{EaseBounds, PeopleColumns, Population, fit_chart};
//! use kirtle::{Ease, Rules, SizeChart};
//!
//! let women = Population::ansur_women().bodies(1, 0..1000)?;
//! let people = PeopleColumns { waist: &women.waist, hip: &women.hip, high_hip: None };
//! let ease = Ease { waist: 1.5, hip: 5.0 };
//! let bounds = EaseBounds::from_ease_and_tolerance(&ease, 3.0);
//! let fit = fit_chart(&SizeChart::demo(), &ease, &Rules::default(), &bounds, &people)?;
//! assert!(fit.share_served() > 0.1);
//! # Ok::<(), kirtle::Problems>(())
//! ```

mod best;
mod chart_fit;
mod ease_bounds;
mod fit;
mod girth_table;
mod interrupt;
mod random;
mod simulate;

pub use best::{
    BestChart, BestChartSize, BestSize, BestSizes, ChartComparison, LogBand, Loss, SearchSettings, SizeSteps,
    best_chart, best_chart_fixed_drop, best_chart_fixed_steps, best_sizes, compare_charts,
};
pub use chart_fit::{AssignedAndServedCounts, ChartFit, UnservedCounts, UnservedPerson, WaistHipSquareCounts};
pub use ease_bounds::EaseBounds;
pub use fit::{AssignedSize, HighHipColumns, PeopleColumns, fit_chart};
pub use interrupt::interruptible;
pub use simulate::{NormalDistribution, Population, SimulatedBodies};
