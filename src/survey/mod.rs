//! A survey: many people measured, or simulated, and how a chart of sizes serves them.

mod best;
mod bounds;
mod draws;
mod fit;
mod high_hip;
mod simulate;
mod summary;
mod watch;

pub use best::{
    Comparison, Line, LineSize, LogBand, Loss, Plane, PlaneSize, Search, Steps, best_drop, best_line, best_plane,
    best_steps, compare_charts,
};
pub use fit::{Bounds, Fitted, HighHips, People, fit_chart};
pub use simulate::{MOST_BODIES, Normal, Population, Simulated};
pub use summary::{ChartFit, Load, Miss, Region, Unserved};
pub use watch::watched;
