//! Kirtle drafts the straight skirt: from the measurements of a body to checked patterns of front and back.
//!
//! [`draft()`] computes a [`Draft`] from a [`Body`], its [`Ease`] and the [`Rules`] of the drafter. [`Draft::proof`]
//! measures the draft again and checks it, [`Draft::findings`] lists cautions, and [`Draft::pattern`] makes pieces
//! ready to cut. [`drawing`] and [`files`] draw and write them; [`draft_json`] does all this from one JSON text.
//! Lengths are centimetres unless a name or a unit says otherwise.
//!
//! ```
//! use kirtle::{Body, Ease, Rules};
//!
//! let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
//! let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
//! for dart in &draft.back.darts {
//!     println!("{:.1} cm from the centre, {:.1} wide, {:.1} long", dart.centre, dart.intake, dart.length);
//! }
//! assert!(draft.proof().holds);
//! # Ok::<(), kirtle::Problems>(())
//! ```
//!
//! All errors in an input are returned together as [`Problems`]: records of code, field, value, limit and unit.
//!
//! ```
//! use kirtle::{Body, Code, Ease, Rules};
//!
//! let body = Body { waist: 3.0, hip: 96.0, hip_depth: 18.0, length: f64::NAN };
//! let problems = kirtle::draft(&body, &Ease { waist: 0.0, hip: 0.0 }, &Rules::default()).unwrap_err();
//! assert_eq!((problems.len(), problems[0].code, problems[1].code), (2, Code::BelowMinimum, Code::NotFinite));
//! assert_eq!(problems[0].to_string(), "body.waist: 3 cm is below the minimum of 40 cm");
//! ```
//!
//! Kirtle checks the geometry, not the fit: make a trial garment first.
//!
//! Drafts, patterns and size charts need no feature. `batch` needs the feature `tables`; `survey`, `size_search` and
//! `interrupt` need `survey`; `sensitivity`, `arrow`, `document::schema` and `files::pdf` need the feature of their
//! name. The feature `full` has them all.

#![cfg_attr(
    not(feature = "python"),
    allow(dead_code, unused_imports, unused_macros, unused_variables, reason = "only the feature `python` uses all")
)]

#[cfg(feature = "arrow")]
pub mod arrow;
#[cfg(feature = "tables")]
pub mod batch;
mod body;
pub mod document;
pub mod draft;
pub mod drawing;
pub mod ease_profile;
pub mod error;
pub mod field;
pub mod files;
pub mod findings;
pub mod geometry;
#[cfg(feature = "survey")]
pub mod interrupt;
pub mod lesson;
pub mod pattern;
pub mod proof;
#[cfg(feature = "python")]
mod python;
#[cfg(any(feature = "sensitivity", feature = "survey"))]
mod random;
mod ruler;
pub mod scalar;
#[cfg(feature = "sensitivity")]
pub mod sensitivity;
#[cfg(feature = "survey")]
pub mod size_search;
pub mod sizes;
#[cfg(feature = "survey")]
mod student_t;
#[cfg(feature = "survey")]
pub mod survey;
mod text;
#[cfg(feature = "web")]
mod web;
mod wording;

pub use body::{
    Apportionment, Body, DartCount, DartPosition, Darts, Ease, Figure, GivenDart, PanelRules, Rules, Shares,
};
pub use document::{chart_json, draft_json};
pub use draft::{Dart, Draft, Edge, Half, Panel, Role, Suppression, draft, draft_figure};
pub use error::{Code, Problem, Problems};
pub use field::Unit;
pub use findings::{Finding, FindingCode};
pub use geometry::{Path, Point};
pub use nalgebra;
#[cfg(feature = "sensitivity")]
pub use num_dual;
pub use pattern::{Allowances, Cutting, Opening, Pattern, Piece, Preset, Press};
pub use proof::Proof;
pub use ruler::Ruler;
pub use sizes::{Size, SizeChart, SizeRange};
pub use wording::{Texts, Wording};

/// Version of Kirtle, such as `1.2.0`. Store it with a request, as the same bytes need the same version.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");

/// Doctests of the examples in README.md, method.md and embedding.md.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
#[doc = include_str!("method.md")]
#[cfg_attr(feature = "full", doc = include_str!("embedding.md"))]
struct PageDoctests;
