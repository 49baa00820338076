//! Surveys of many people, measured or simulated, and the fit of a size chart to them.
//!
//! [`Population`] simulates bodies; [`fit_chart`] assigns each person a size and counts whom the chart serves. The
//! module [`size_search`](crate::size_search) searches for the chart that fits best. Lengths are centimetres.
//!
//! ```
//! use kirtle::survey::{EaseBounds, PeopleColumns, Population, fit_chart};
//! use kirtle::{Ease, Rules, SizeChart};
//!
//! let women = Population::ansur_women().bodies(1, 0..1000)?;
//! let people = PeopleColumns { waist: &women.waist, hip: &women.hip, ..PeopleColumns::default() };
//! let ease = Ease { waist: 1.5, hip: 5.0 };
//! let bounds = EaseBounds::from_ease_and_tolerance(&ease, 3.0);
//! let fit = fit_chart(&SizeChart::demo(), &ease, &Rules::default(), &bounds, &people)?;
//! assert!(fit.share_served() > Some(0.1));
//! # Ok::<(), kirtle::Problems>(())
//! ```

mod chart_fit;
mod ease_bounds;
mod people;
mod served_share;
mod simulate;

pub use chart_fit::{
    AssignedAndServedCounts, AssignedSize, ChartFit, UnservedCounts, UnservedPerson, WaistHipSquareCounts, fit_chart,
};
pub use ease_bounds::EaseBounds;
pub use people::{HighHipColumns, MeanGirths, PeopleColumns, RefusedPeople};
pub(crate) use people::{
    PERSON_FIELDS, accepted_means_and_refusals, effective_count, means_by_reason, refusal_code_of_row,
};
pub use served_share::{FitComparison, FitOfPeople, Replicates, ServedShare, compare_fits};
pub use simulate::{NormalDistribution, Population, SimulatedBodies};
