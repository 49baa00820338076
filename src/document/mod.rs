//! JSON and CSV documents, and JSON schemas for every document.
//!
//! A [`Report`] answers a [`Request`] for a draft; a [`ChartReport`] answers a [`ChartRequest`] on a size chart. A
//! refused document gets all its problems. [`schema`] returns the JSON Schema of each kind of document.
//!
//! ```
//! let body = r#""body": {"waist": 70, "hip": 96, "hip_depth": 18, "length": 60}"#;
//! let request = format!(r#"{{"unit": "cm", {body}, "ease": {{"waist": 1.5, "hip": 5}}}}"#);
//! let report = kirtle::document::Request::from_json(&request)?.report()?;
//! assert_eq!(report.girths.hip, 101.0);
//! # Ok::<(), kirtle::Problems>(())
//! ```

mod chart;
mod csv;
mod cutting;
mod deserialize;
mod fitting;
mod inputs;
mod json;
mod object;
mod panel;
mod pattern;
mod report;
mod request;
#[cfg(feature = "schema")]
mod schema;
mod sizes;
#[cfg(feature = "survey")]
mod survey;
mod texts;

pub use chart::{ChartReport, ChartRequest};
pub use fitting::{FittingReport, FittingRoundReport};
pub use inputs::BodyWithFigure;
pub use json::{CallSettings, FORMAT_VERSION};
pub use panel::{DartReport, EdgeReport, Girths, Lengths, PanelReport, Seams, SuppressionReport};
pub use pattern::{LayReport, NotchReport, PatternReport, PieceReport, PlacedReport, VentReport, WaistPieceReport};
pub use request::{Report, Request};
#[cfg(feature = "schema")]
pub use schema::{SCHEMA_NAMES, schema};
pub use sizes::{
    AlterationReport, AlteredReport, ChangeReport, ChoiceReport, GradeIncrementReport, KeyLengths,
    PlaceDifferenceReport, SizeDifferenceReport, SizeReport, StepReport,
};
#[cfg(feature = "survey")]
pub use survey::{
    BestChartReport, BestSizesReport, ComparisonReport, FitReport, GroupComparisonReport, GroupReport, RefusedReport,
};
pub(crate) use {
    chart::{read_size_blend, read_size_choice_rule},
    cutting::{read_cloth, read_cutting},
    inputs::{read_figure, read_given_dart, read_suppression_shares},
    json::{JsonValue, to_json_text},
    object::{find_choice, read_document},
    report::convert_each,
    request::read_correction,
};

use crate::error::Problems;

/// Drafts a request in JSON and returns the result in JSON; the schemas are `request` and `result`.
///
/// # Errors
/// All [`Problems`]: text that is not JSON, missing or unknown fields, values of a wrong type, and all that
/// [`draft`](crate::draft()) refuses. Serialised problems follow the schema `error`.
///
/// ```
/// let request = r#"{"unit": "in", "body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 24},
///                   "ease": {"waist": 0.5, "hip": 2}}"#;
/// let result: serde_json::Value = serde_json::from_str(&kirtle::draft_json(request)?).unwrap();
/// assert_eq!(result["unit"], "in");
/// assert_eq!(result["back"]["darts"].as_array().unwrap().len(), 2);
///
/// let problems = kirtle::draft_json(r#"{"unit": "in", "body": {"waist": "28"}, "ease": {"waist": 0, "hip": 2}}"#);
/// assert_eq!(problems.unwrap_err()[0].to_string(), "body.waist: \"28\" is not a number from 15.75 to 78.74 in");
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn draft_json(request: &str) -> Result<String, Problems> {
    Ok(Request::from_json(request)?.report()?.to_json())
}

/// Reads a request on a size chart in JSON and returns the report in JSON; the schemas are `chart` and `sizes`.
///
/// # Errors
/// As [`ChartRequest::from_json`] and [`ChartRequest::report`].
///
/// ```
/// let chart = r#"{"unit": "in", "sizes": [{"name": "S", "waist": 26, "hip": 36, "hip_depth": 8, "length": 24},
///                                         {"name": "M", "waist": 28, "hip": 38, "hip_depth": 8, "length": 24}],
///                 "blend": {"waist": {"from": "S", "to": "M", "fraction": 0.5}, "hip": {"from": "M"}}}"#;
/// let report: serde_json::Value = serde_json::from_str(&kirtle::chart_json(chart)?).unwrap();
/// assert!((report["between"]["waist"].as_f64().unwrap() - 27.0).abs() < 1e-12);
/// assert!(kirtle::chart_json(r#"{"unit": "in", "sizes": 7}"#).is_err());
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn chart_json(chart: &str) -> Result<String, Problems> {
    Ok(ChartRequest::from_json(chart)?.report()?.to_json())
}
