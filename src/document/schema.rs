//! JSON Schemas (2020-12) of every document.
//!
//! The schemas of requests are made by the functions that read them, with one alternative per unit because ranges in
//! inches are not converted ranges in centimetres. The schemas of reports are derived from structs.

use schemars::generate::SchemaSettings;
use schemars::transform::RecursiveTransform;
use schemars::{JsonSchema, Schema, json_schema};
use serde_json::{Value, json};

use super::chart::read_chart_request;
use super::fitting::FittingReport;
use super::json::FORMAT_VERSION;
use super::object::ObjectReader;
use super::pattern::{LayReport, PatternReport};
use super::reader::InputReader;
use super::request::{Report, read_request};
use super::sizes::ChartReport;
use super::survey::{BestChartReport, BestSizesReport, ComparisonReport, FitReport};
use crate::error::Problems;
use crate::field::Unit;

/// Name of a JSON Schema, and the function that makes the schema.
type NamedSchema = (&'static str, fn() -> Schema);

/// Schemas of all documents.
const SCHEMAS: [NamedSchema; 12] = [
    ("request", || {
        let text = "Request of a skirt draft: body, ease, rules of construction, corrections, cutting and cloth, in centimetres or inches.";
        request_schema("Kirtle request", text, read_request)
    }),
    ("result", report_schema::<Report>),
    ("pattern", report_schema::<PatternReport>),
    ("lay", report_schema::<LayReport>),
    ("fitting", report_schema::<FittingReport>),
    ("chart", || {
        let text = "Request on a chart of sizes: to draft the sizes, to choose and alter a size for a body, to find a body between sizes; in centimetres or inches.";
        request_schema("Kirtle chart", text, read_chart_request)
    }),
    ("sizes", report_schema::<ChartReport>),
    ("fit", report_schema::<FitReport>),
    ("best_chart", report_schema::<BestChartReport>),
    ("best_sizes", report_schema::<BestSizesReport>),
    ("comparison", report_schema::<ComparisonReport>),
    ("error", report_schema::<Problems>),
];

/// Names of the JSON Schemas that [`schema`] returns, one per kind of document.
pub const SCHEMA_NAMES: [&str; SCHEMAS.len()] = {
    let mut names = [""; SCHEMAS.len()];
    let mut index = 0;
    while index < names.len() {
        names[index] = SCHEMAS[index].0;
        index += 1;
    }
    names
};

/// Returns the JSON Schema of the documents called `name`, one of [`SCHEMA_NAMES`]; `None` for another name.
///
/// Schema `request` and [`Request::from_json`](crate::document::Request::from_json) accept the same parsed JSON
/// documents, provided that no object has a field twice, the text is at most 64 KiB and no string has a lone surrogate.
/// With a text of at most 1 MiB, schema `chart` and
/// [`ChartRequest::from_json`](crate::document::ChartRequest::from_json) agree likewise, except that only the reader
/// compares sizes: unique names, girths that grow together, hems below the hip line. Drafting can refuse more.
///
/// ```
/// let schema = kirtle::document::schema("request").unwrap();
/// assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
/// assert!(kirtle::document::schema("letter").is_none());
/// ```
#[must_use]
pub fn schema(name: &str) -> Option<Value> {
    let (_, make) = SCHEMAS.iter().find(|(known, _)| *known == name)?;
    let mut schema = make();
    schema.insert("$id".to_owned(), json!(format!("urn:kirtle:{name}:{FORMAT_VERSION}")));
    Some(schema.to_value())
}

fn report_schema<T: JsonSchema>() -> Schema {
    let transform = RecursiveTransform(remove_rust_from_description);
    let settings = SchemaSettings::draft2020_12().for_deserialize().with_transform(transform);
    settings.into_generator().into_root_schema_for::<T>()
}

/// Removes from a schema's description the brackets of Rust documentation links, and the paragraph with ranges.
fn remove_rust_from_description(schema: &mut Schema) {
    if let Some(Value::String(text)) = schema.get_mut("description") {
        let is_range = |paragraph: &str| paragraph.contains("minimum and maximum (length: cm, then inches)");
        let paragraphs: Vec<&str> = text.split("\n\n").filter(|paragraph| !is_range(paragraph)).collect();
        *text = paragraphs.join("\n\n").replace("[`", "").replace("`]", "");
    }
}

/// Builds the schema of a request, whose fields `read` asks for, with one alternative per unit.
fn request_schema<T>(title: &str, description: &str, read: fn(&mut ObjectReader) -> Option<T>) -> Schema {
    let schema_in = |unit: Unit| InputReader { unit: Some(unit), problems: Vec::new() }.object_schema("", read);
    let alternatives = Unit::ALL.map(schema_in);
    let dialect = "https://json-schema.org/draft/2020-12/schema";
    json_schema!({"$schema": dialect, "title": title, "description": description, "oneOf": alternatives})
}
