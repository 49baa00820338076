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

pub use drop::best_drop;
pub use held_out::{Comparison, compare_charts};
pub use line::{Line, LineSize, best_line};
pub use loss::{LogBand, Loss};
pub use plane::{Plane, PlaneSize, Search, best_plane};
pub use steps::{Steps, best_steps};
