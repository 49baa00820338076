//! Kirtle drafts the straight skirt: from a body to a proven front and back.
//!
//! [`draft`] takes a [`Body`], its [`Ease`] and the drafter's [`Rules`] and gives a [`Draft`]; [`Draft::proof`] measures it
//! afresh, [`Draft::findings`] cautions, [`draw`] and [`svg`] put it on paper. [`draft_json`] does it all through JSON that
//! [`schema`] describes. Lengths are centimetres unless a name or a unit says otherwise.
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
//! What is wrong with an input is told all at once, as [`Problems`]: records with a [`Code`], the field, the value, the limit
//! and its unit.
//!
//! ```
//! use kirtle::{Body, Code, Ease, Rules};
//!
//! let body = Body { waist: 3.0, hip: 96.0, hip_depth: 18.0, length: f64::NAN };
//! let problems = kirtle::draft(&body, &Ease { waist: 0.0, hip: 0.0 }, &Rules::default()).unwrap_err();
//! assert_eq!((problems.len(), problems[0].code, problems[1].code), (2, Code::BelowLeast, Code::NotFinite));
//! assert_eq!(problems[0].to_string(), "body.waist: 3 cm is below the least of 40 cm");
//! ```
//!
//! Fit is not judged here: make a trial garment first.

#[cfg(feature = "arrow")]
mod arrow;
mod batch;
mod body;
mod draft;
mod drawing;
mod error;
mod findings;
mod geometry;
mod levels;
mod measure;
mod output;
mod pattern;
mod proof;
#[cfg(feature = "python")]
mod python;
mod scalar;
mod sensitivity;
mod sizes;
mod survey;

#[cfg(feature = "arrow")]
pub use arrow::{
    Drafts, PeopleReader, PeopleTable, TableRequest, TableSource, bodies_batch, ease_batch, fit_batch,
    sensitivity_batch, uncertainty_batch,
};
#[doc(hidden)]
pub use batch::Bare;
pub use batch::{Bodies, Column, Known, Outline, Table, TableColumn, Threads};
pub use body::{Apportion, Body, Darts, Ease, FixedDart, MOST_DARTS, Place, Rules, Shares, Stance};
pub use draft::{Dart, DartSummary, Draft, Edge, Half, Panel, PanelSummary, Role, Spot, Summary, Suppression, draft};
pub use drawing::{
    Drawing, Layer, LayerKind, Mark, Page, Paper, Part, Print, RING_MM, Stroke, Window, draw, draw_alteration,
    draw_lay, draw_nest, draw_pattern, headed, print,
};
pub use error::{Code, Given, Problem, Problems};
pub use findings::{Finding, FindingCode};
pub use geometry::{Cubic, Path, Point, Vector};
pub use levels::{EaseByLevel, Level, Profile};
pub use measure::{Field, Kind, Unit};
pub use output::dxf::dxf;
pub use output::json::{
    AlterationReport, AlteredReport, BestReport, ChangeReport, ChartReport, ChartRequest, ChoiceReport,
    ComparisonReport, DartReport, EdgeReport, FORMAT, FitReport, Girths, KeyLengths, LayReport, Lengths, LineReport,
    MoveReport, NearReport, NotchReport, PanelReport, PatternReport, PieceReport, PlacedReport, Report, Request,
    SCHEMAS, Seams, SizeReport, StepReport, SuppressionReport, chart_json, draft_json, schema,
};
#[cfg(feature = "pdf")]
pub use output::pdf::pdf;
pub use output::save::{SaveError, save_drawing};
pub use output::svg::{Scale, svg};
pub use pattern::{
    Allowances, Cloth, Cutting, Lay, MOST_LETTERS, Notch, NotchPlace, Opening, Pattern, Piece, Placed, Preset, Press,
};
pub use proof::{Check, Expected, Proof};
pub use scalar::{Number, Scalar};
pub use sensitivity::{Answer, Dimension, Ellipse, Errors, Input, Quantity, Sensitivity, Target, Uncertainty};
pub use sizes::{
    Alteration, At, Between, Blend, Change, Choice, Correction, Cost, Fitting, Grade, MOST_CORRECTIONS, MOST_SIZES,
    Move, Near, Outside, Range, Size, SizeChart, Step, StepKind, What, named_points,
};
pub use survey::{
    Bounds, ChartFit, Comparison, Fitted, HighHips, Line, LineSize, Load, LogBand, Loss, MOST_BODIES, Miss, Normal,
    People, Plane, PlaneSize, Population, Region, Search, Simulated, Steps, Unserved, best_drop, best_line, best_plane,
    best_steps, compare_charts, fit_chart, watched,
};

/// The examples of the README are tests.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;

/// So are those of the page on the method.
#[cfg(doctest)]
#[doc = include_str!("method.md")]
struct Method;

/// So are those of the page on embedding.
#[cfg(doctest)]
#[doc = include_str!("embedding.md")]
struct Embedding;
