//! Kirtle drafts the straight skirt: from a body to a proven front and back.

mod body;
mod draft;
mod error;
mod geometry;
mod measure;
mod scalar;

pub use body::{Apportion, Body, Darts, Ease, FixedDart, MOST_DARTS, Place, Rules, Shares, Stance};
pub use draft::{Dart, Draft, Edge, Panel, Part, Role, Suppression, draft};
pub use error::{Code, Given, Problem, Problems};
pub use geometry::{Cubic, Path, Point, Vector};
pub use measure::{Field, Kind, Unit};
pub use scalar::Scalar;
