//! JSON in, JSON out, and the schemas of both.

mod chart;
mod csv;
mod cutting;
pub(crate) mod node;
mod pattern;
mod reader;
mod report;
mod request;
mod schema;
mod sizes;
mod survey;

pub use chart::ChartRequest;
#[cfg(feature = "python")]
pub(crate) use chart::TOLERANCE;
pub use pattern::{LayReport, NotchReport, PatternReport, PieceReport, PlacedReport};
#[cfg(feature = "python")]
pub(crate) use reader::Reader;
pub use report::{DartReport, EdgeReport, Girths, Lengths, PanelReport, Report, Seams, SuppressionReport};
pub use request::Request;
pub use schema::{SCHEMAS, schema};
#[cfg(feature = "python")]
pub(crate) use sizes::grade;
pub use sizes::{
    AlterationReport, AlteredReport, ChangeReport, ChartReport, ChoiceReport, GradeIncrementReport, KeyLengths,
    SizeDifferenceReport, SizeReport, StepReport,
};
pub use survey::{BestChartReport, BestSizesReport, ComparisonReport, FitReport};

use crate::error::Problems;

/// A document, or a part of one, as JSON text. Structs of numbers and texts always serialise.
pub(crate) fn text(part: &impl serde::Serialize) -> String {
    serde_json::to_string(part).unwrap_or_default()
}

/// The version of the request and result formats.
pub const FORMAT: u32 = 1;

/// Drafts a request in JSON and returns the result in JSON; see [`schema`] for both.
///
/// # Errors
/// All the [`Problems`] at once: text that is not JSON, fields that are missing, unknown or of a wrong type, and
/// everything that [`draft`](crate::draft) refuses. They serialise as the error schema says.
///
/// ```
/// let request = r#"{"unit": "in", "body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 24},
///                   "ease": {"waist": 0.5, "hip": 2}}"#;
/// let result: serde_json::Value = serde_json::from_str(&kirtle::draft_json(request)?).unwrap();
/// assert_eq!(result["unit"], "in");
/// assert_eq!(result["back"]["darts"].as_array().unwrap().len(), 2);
///
/// let problems = kirtle::draft_json(r#"{"unit": "in", "body": {"waist": "28"}, "ease": {"waist": 0, "hip": 2}}"#);
/// assert_eq!(problems.unwrap_err()[0].to_string(), "body.waist: \"28\" is not a number from 16 to 78 in");
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn draft_json(request: &str) -> Result<String, Problems> {
    Ok(Request::from_json(request)?.report()?.to_json())
}

/// Answers a chart in JSON with a report in JSON; the schemas are `chart` and `sizes`.
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
