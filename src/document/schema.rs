//! JSON Schemas (2020-12) of every document.
//!
//! The functions that read a request also make its schema, once in each unit, because ranges and defaults depend on the
//! unit. The schemas of reports are derived from structs.

use schemars::generate::SchemaSettings;
use schemars::transform::RecursiveTransform;
use schemars::{JsonSchema, Schema, json_schema};
use serde_json::{Map, Value, json};

use super::chart::{ChartReport, read_sizes_and_chart_request};
use super::fitting::FittingReport;
use super::json::FORMAT_VERSION;
use super::object::{ObjectReader, object_schema, require_exactly_one_in_schema};
use super::pattern::{LayReport, PatternReport};
use super::request::{Report, read_request};
#[cfg(feature = "survey")]
use super::survey::{BestChartReport, BestSizesReport, ComparisonReport, FitReport};
use super::texts::read_texts;
use crate::error::Problems;
use crate::field::Unit;

const DIALECT: &str = "https://json-schema.org/draft/2020-12/schema";

/// Name of a JSON Schema, such as `request`, and the function that makes the schema.
type SchemaNameAndFunction = (&'static str, fn() -> Schema);

/// Name and schema function of every kind of document.
const DOCUMENT_SCHEMA_NAMES_AND_FUNCTIONS: &[SchemaNameAndFunction] = &[
    ("request", || {
        let text = "Request of a skirt draft: body, ease, drafting rules, corrections, cutting and cloth, in centimetres or inches.";
        request_schema("Kirtle request", text, read_request)
    }),
    ("result", report_schema::<Report>),
    ("pattern", report_schema::<PatternReport>),
    ("lay", report_schema::<LayReport>),
    ("fitting", report_schema::<FittingReport>),
    ("chart", || {
        let text = "Request on a size chart: to draft the sizes, to choose and alter a size for a body, to interpolate measurements between sizes; in centimetres or inches.";
        request_schema("Kirtle chart", text, read_sizes_and_chart_request)
    }),
    ("sizes", report_schema::<ChartReport>),
    #[cfg(feature = "survey")]
    ("fit", report_schema::<FitReport>),
    #[cfg(feature = "survey")]
    ("best_chart", report_schema::<BestChartReport>),
    #[cfg(feature = "survey")]
    ("best_sizes", report_schema::<BestSizesReport>),
    #[cfg(feature = "survey")]
    ("comparison", report_schema::<ComparisonReport>),
    ("texts", || {
        let text = "Texts of drawings, lessons and cautions, in another language: templates with placeholders in braces. A key left out stays English.";
        let mut schema = object_schema(None, ["Kirtle texts", text], read_texts);
        schema["$schema"] = json!(DIALECT);
        schema.try_into().unwrap_or_default()
    }),
    ("error", report_schema::<Problems>),
];

/// Names of the JSON Schemas that [`schema`] returns, one per kind of document.
pub const SCHEMA_NAMES: [&str; DOCUMENT_SCHEMA_NAMES_AND_FUNCTIONS.len()] = {
    let mut names = [""; DOCUMENT_SCHEMA_NAMES_AND_FUNCTIONS.len()];
    let mut index = 0;
    while index < names.len() {
        names[index] = DOCUMENT_SCHEMA_NAMES_AND_FUNCTIONS[index].0;
        index += 1;
    }
    names
};

/// Returns the JSON Schema of the documents called `name`, one of [`SCHEMA_NAMES`]; `None` for another name.
///
/// Schema `request` and [`Request::from_json`](crate::document::Request::from_json) accept the same parsed JSON
/// documents, provided that no object has a field twice, the text is at most 64 KiB and no string has a lone surrogate or
/// a combining mark: the reader composes it with its letter before it counts the letters.
/// With a text of at most 1 MiB, schema `chart` and
/// [`ChartRequest::from_json`](crate::document::ChartRequest::from_json) agree likewise, except that only the reader
/// compares sizes: unique names, girths that grow together, hems below the hip line. Drafting can refuse more. With a
/// text of at most 1 MiB, schema `texts` and [`Texts::from_json`](crate::Texts::from_json) agree likewise, except that
/// only the reader checks the placeholders and the letters of a template.
///
/// ```
/// let schema = kirtle::document::schema("request").unwrap();
/// assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
/// assert!(kirtle::document::schema("letter").is_none());
/// ```
pub fn schema(name: &str) -> Option<Value> {
    let (_, make) = DOCUMENT_SCHEMA_NAMES_AND_FUNCTIONS.iter().find(|(known, _)| *known == name)?;
    let mut schema = make();
    schema.insert("$id".to_owned(), json!(format!("urn:kirtle:{name}:{FORMAT_VERSION}")));
    Some(schema.to_value())
}

fn report_schema<T: JsonSchema>() -> Schema {
    let settings = SchemaSettings::draft2020_12().for_deserialize();
    let settings = settings.with_transform(RecursiveTransform(remove_rust_details_from_schema));
    let settings = settings.with_transform(RecursiveTransform(merge_single_field_alternatives));
    settings.into_generator().into_root_schema_for::<T>()
}

/// Removes details of Rust from a schema: the examples and the brackets of documentation links, the paragraph with
/// ranges, and the formats of number types, which no standard defines.
fn remove_rust_details_from_schema(schema: &mut Schema) {
    schema.remove("format");
    if let Some(Value::String(text)) = schema.get_mut("description") {
        let paragraphs = text.split("\n\n").take_while(|paragraph| !paragraph.starts_with("```"));
        let paragraphs =
            paragraphs.filter(|paragraph| !paragraph.contains("minimum and maximum (length: in centimetres)"));
        let paragraphs: Vec<String> = paragraphs.map(|paragraph| paragraph.replace('\n', " ")).collect();
        *text = paragraphs.join("\n\n").replace("[`", "").replace("`]", "");
    }
}

/// Merges two alternatives of one field each into the object that offers them, so that tools generate one type.
fn merge_single_field_alternatives(schema: &mut Schema) {
    let alternatives = schema.get("oneOf").and_then(Value::as_array).cloned().unwrap_or_default();
    let fields = alternatives.iter().filter_map(|alternative| alternative.get("properties")?.as_object());
    let fields: Vec<(String, Value)> = fields.flat_map(Map::clone).collect();
    if let ([(first, _), (second, _)], Some(Value::Object(properties))) = (&*fields, schema.get_mut("properties")) {
        properties.extend(fields.clone());
        schema.remove("oneOf");
        schema.insert("additionalProperties".to_owned(), json!(false));
        require_exactly_one_in_schema(schema.ensure_object(), [first, second]);
    }
}

/// Builds the schema of a request with the fields that `read` reads. Ranges and defaults that depend on the unit stand
/// under `then` for inches and under `else` for centimetres.
fn request_schema<T>(title: &str, description: &str, read: fn(&mut ObjectReader) -> Option<T>) -> Schema {
    let schema_in = |unit| object_schema(Some(unit), ["", description], read);
    let (mut schema, inches, centimetres) = split_schemas_into_common_and_own(schema_in(Unit::In), schema_in(Unit::Cm));
    let mut definitions = Map::new();
    move_titled_schemas_to_definitions(&mut schema, &mut definitions);
    let is_inches = json!({"properties": {"unit": {"const": Unit::In.name()}}});
    let mut whole = json_schema!({"$schema": DIALECT, "title": title, "$defs": definitions, "if": is_inches, "then": inches, "else": centimetres});
    schema.as_object_mut().into_iter().for_each(|schema| whole.ensure_object().append(schema));
    whole
}

/// Splits two schemas with the same keys into three: what both have in common, what only the first has, and what only
/// the second has.
fn split_schemas_into_common_and_own(a: Value, b: Value) -> (Value, Value, Value) {
    let (Value::Object(a), Value::Object(mut b)) = (a, b) else { return Default::default() };
    let (mut common, mut own_a, mut own_b) = (Map::new(), Map::new(), Map::new());
    for (key, of_a) in a {
        let of_b = b.remove(&key).unwrap_or_default();
        if of_a == of_b {
            common.insert(key, of_a);
            continue;
        }
        let is_split = of_a.is_object();
        let (shared, of_a, of_b) =
            if is_split { split_schemas_into_common_and_own(of_a, of_b) } else { (Value::Null, of_a, of_b) };
        common.extend(is_split.then(|| (key.clone(), shared)));
        own_a.insert(key.clone(), of_a);
        own_b.insert(key, of_b);
    }
    // Some tools read a range only where a type stands, too.
    if let Some(kind) = common.get("type") {
        for own in [&mut own_a, &mut own_b] {
            own.insert("type".to_owned(), kind.clone());
        }
    }
    (common.into(), own_a.into(), own_b.into())
}

/// Moves every schema with a title inside `schema`, but not inside a list, to `definitions`, under its title, and
/// leaves a reference in its place.
fn move_titled_schemas_to_definitions(schema: &mut Value, definitions: &mut Map<String, Value>) {
    for inner in schema.as_object_mut().into_iter().flat_map(Map::values_mut) {
        move_titled_schemas_to_definitions(inner, definitions);
        if let Some(title) = inner.get("title").and_then(Value::as_str).map(str::to_owned) {
            let reference = json!({"$ref": format!("#/$defs/{title}")});
            definitions.insert(title, std::mem::replace(inner, reference));
        }
    }
}
