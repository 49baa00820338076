//! Kirtle drafts the straight skirt: from a body to a proven front and back.

mod body;
mod draft;
mod drawing;
mod error;
mod findings;
mod geometry;
mod measure;
mod output;
mod proof;
#[cfg(feature = "python")]
mod python;
mod scalar;

pub use body::{Apportion, Body, Darts, Ease, FixedDart, MOST_DARTS, Place, Rules, Shares, Stance};
pub use draft::{Dart, Draft, Edge, Panel, Part, Role, Suppression, draft};
pub use drawing::{Drawing, Layer, LayerKind, Mark, Stroke, draw};
pub use error::{Code, Given, Problem, Problems};
pub use findings::{Finding, FindingCode};
pub use geometry::{Cubic, Path, Point, Vector};
pub use measure::{Field, Kind, Unit};
pub use output::json::{
    DartReport, EdgeReport, FORMAT, Girths, Lengths, PanelReport, Report, Request, SCHEMAS, Seams, SuppressionReport,
    draft_json, schema,
};
pub use output::svg::{Size, svg};
pub use proof::{Check, Expected, Proof};
pub use scalar::Scalar;
