//! JSON Schemas (2020-12) of every document.
//!
//! The schemas of requests are built from the [`Field`]s that the reader checks by, with one alternative per unit
//! because ranges in inches are not converted ranges in centimetres. The schemas of reports are derived from structs.

use schemars::generate::SchemaSettings;
use schemars::transform::RecursiveTransform;
use schemars::{JsonSchema, Schema, json_schema};
use serde_json::{Map, Value, json};

use super::chart::{ALTERATION_MIN_STEP_MM_FIELD, ALTERATION_TOLERANCE_MM_FIELD};
use super::cutting::{CLOTH_FOLDED_BY_DEFAULT, CLOTH_ONE_WAY_BY_DEFAULT};
use super::json::FORMAT_VERSION;
use super::pattern::{LayReport, PatternReport};
use super::request::Report;
use super::sizes::ChartReport;
use super::survey::{BestChartReport, BestSizesReport, ComparisonReport, FitReport};
use crate::body::{Body, Ease, FixedDart, MAX_DARTS_PER_PANEL, PanelRules, Shares};
use crate::error::Problems;
use crate::field::{Field, Unit};
use crate::pattern::{Allowances, CLOTH_WIDTH_FIELD, Cutting, OPENING_FIELD, Preset, Press, default_opening_length};
use crate::sizes::{
    BLEND_FRACTION_FIELD, CHOICE_TOLERANCE_FIELD, CORRECTION_BY_FIELD, ChoiceGirth, CorrectionSite, CorrectionTarget,
    Fitting, SizeChart,
};

/// Regular expression for a character forbidden in names: control, line break, change of direction, noncharacter.
const FORBIDDEN_NAME_CHARACTERS_REGEX: &str =
    "[\\u0000-\\u001f\\u007f-\\u009f\\u2028-\\u202e\\u2066-\\u2069\\ufdd0-\\ufdef\\ufffe\\uffff]";

/// Names of the JSON Schemas that [`schema`] returns, one per kind of document.
pub const SCHEMA_NAMES: [&str; 11] =
    ["request", "result", "pattern", "lay", "chart", "sizes", "fit", "best_chart", "best_sizes", "comparison", "error"];

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
    let mut schema = match name {
        "request" => request_schema(),
        "result" => report_schema::<Report>(),
        "pattern" => report_schema::<PatternReport>(),
        "lay" => report_schema::<LayReport>(),
        "chart" => chart_schema(),
        "sizes" => report_schema::<ChartReport>(),
        "fit" => report_schema::<FitReport>(),
        "best_chart" => report_schema::<BestChartReport>(),
        "best_sizes" => report_schema::<BestSizesReport>(),
        "comparison" => report_schema::<ComparisonReport>(),
        "error" => report_schema::<Problems>(),
        _ => return None,
    };
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

fn request_schema() -> Schema {
    json_schema!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Kirtle request",
        "description": "Request of a skirt draft: body, ease, rules of construction, corrections, cutting and cloth, in centimetres or inches.",
        "oneOf": Unit::ALL.map(request_schema_in),
    })
}

fn request_schema_in(unit: Unit) -> Value {
    let properties = json!({
        "format": {"const": FORMAT_VERSION, "description": "Version of the document format."},
        "unit": {"const": unit.name(), "description": "Unit of every length, in the request and in the answer."},
        "body": object_of_numbers_schema("Measurements of the body.", &Body::FIELDS, unit),
        "ease": object_of_numbers_schema("Ease: girth of the garment minus girth of the body, all around.", &Ease::FIELDS, unit),
        "rules": rules_schema(unit),
        "corrections": corrections_schema(unit),
        "cutting": cutting_schema(unit),
        "cloth": cloth_schema(unit),
    });
    closed_object_schema("", &properties, &["unit", "body", "ease"])
}

fn corrections_schema(unit: Unit) -> Value {
    let properties = json!({
        "what": {"enum": CorrectionTarget::ALL.map(CorrectionTarget::name), "description": "Measurement that the correction changes; corrections of waist and hip change the ease."},
        "by": number_schema(&CORRECTION_BY_FIELD, unit),
        "at": {
            "enum": CorrectionSite::ALL.map(CorrectionSite::name),
            "default": CorrectionSite::default().name(),
            "description": "Seams that take a correction of waist or hip: side seams, darts, or shared between both by the rules.",
        },
    });
    json!({
        "type": "array",
        "maxItems": Fitting::MAX_CORRECTIONS_PER_FITTING,
        "items": closed_object_schema("Correction of one measurement after a trial garment.", &properties, &["what", "by"]),
        "description": "Corrections of one fitting of a trial garment, applied together in any order; the result is that of the corrected request.",
    })
}

fn chart_schema() -> Schema {
    json_schema!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Kirtle chart",
        "description": "Request on a chart of sizes: to draft the sizes, to choose and alter a size for a body, to find a body between sizes; in centimetres or inches.",
        "oneOf": Unit::ALL.map(chart_schema_in),
    })
}

fn chart_schema_in(unit: Unit) -> Value {
    let name = json!({
        "type": "string",
        "minLength": 1,
        "maxLength": Cutting::MAX_NAME_LETTERS,
        "pattern": "^\\S(.*\\S)?$",
        "not": {"pattern": FORBIDDEN_NAME_CHARACTERS_REGEX},
        "description": "Name of the size, on one line, without spaces at the ends.",
    });
    let mut size = number_properties(&Body::FIELDS, unit);
    size.insert("name".to_owned(), name);
    let required: Vec<&str> = std::iter::once("name").chain(Body::FIELDS.map(|field| field.name)).collect();
    let size = closed_object_schema("Size: a name with body measurements.", &Value::Object(size), &required);
    let [_, _, depth, length] = const { &Body::FIELDS };
    let between = json!({
        "from": {"type": "string", "description": "Name of the size at fraction 0."},
        "to": {"type": "string", "description": "Name of the size at fraction 1; by default the size `from`."},
        "fraction": number_schema(&BLEND_FRACTION_FIELD, unit),
    });
    let text = "Position between two sizes: the names of both, and the fraction of the way from first to second.";
    let between = closed_object_schema(text, &between, &["from"]);
    let blend = json!({"waist": between, "hip": between, "hip_depth": number_schema(depth, unit), "length": number_schema(length, unit)});
    let choose = json!({
        "by": {"enum": ChoiceGirth::ALL.map(ChoiceGirth::name), "default": ChoiceGirth::default().name(), "description": "Girth by which the size is chosen."},
        "tolerance": number_schema(&CHOICE_TOLERANCE_FIELD, unit),
    });
    let properties = json!({
        "format": {"const": FORMAT_VERSION, "description": "Version of the document format."},
        "unit": {"const": unit.name(), "description": "Unit of every length, in the request and in the answer."},
        "sizes": {"type": "array", "minItems": 2, "maxItems": SizeChart::MAX_SIZES_PER_CHART, "items": size, "description": "Sizes of the chart, in any order."},
        "ease": object_of_numbers_schema("Ease of every size; without ease no size is drafted.", &Ease::FIELDS, unit),
        "rules": rules_schema(unit),
        "body": object_of_numbers_schema("Body to choose a size for; if the sizes are drafted, also to alter the pattern for.", &Body::FIELDS, unit),
        "choose": closed_object_schema("Rule by which a size is chosen for the body.", &choose, &[]),
        "blend": closed_object_schema("Body between sizes; hip depth and length are by default those at the position of the hip.", &blend, &["waist", "hip"]),
        "tolerance_mm": number_schema(&ALTERATION_TOLERANCE_MM_FIELD, unit),
        "min_step_mm": number_schema(&ALTERATION_MIN_STEP_MM_FIELD, unit),
    });
    closed_object_schema("", &properties, &["unit", "sizes"])
}

/// Builds the schema of the field `cutting`; allowances have no default in it, as their defaults depend on the preset.
fn cutting_schema(unit: Unit) -> Value {
    let presets = Preset::ALL.map(|preset| {
        let [waist, side, hem, centre_back] = preset.preset_allowances(unit).into_array();
        format!("{} (waist {waist}, side {side}, hem {hem}, centre back {centre_back})", preset.name())
    });
    let description = format!("Preset for allowances that are not given, in {}: {}.", unit.name(), presets.join("; "));
    let allowances = Value::Object(number_properties(&Allowances::FIELDS, unit));
    let mut opening = number_schema(&OPENING_FIELD, unit);
    opening["default"] = json!(default_opening_length(unit));
    let properties = json!({
        "preset": {"enum": Preset::ALL.map(Preset::name), "default": Preset::default().name(), "description": description},
        "name": {
            "type": "string",
            "maxLength": Cutting::MAX_NAME_LETTERS,
            "not": {"pattern": FORBIDDEN_NAME_CHARACTERS_REGEX},
            "description": "Name of the size or wearer printed on the pieces, on one line; if empty, the pieces show waist and hip.",
        },
        "allowances": closed_object_schema("Allowance along each edge, outside the seam line.", &allowances, &[]),
        "opening": opening,
        "press": {
            "enum": Press::ALL.map(Press::name),
            "default": Press::default().name(),
            "description": "Direction in which the folded darts are pressed.",
        },
    });
    closed_object_schema("Cutting of the pieces; with this field the result contains the pattern.", &properties, &[])
}

fn cloth_schema(unit: Unit) -> Value {
    let boolean = |default: bool, text: &str| json!({"type": "boolean", "default": default, "description": text});
    let properties = json!({
        "width": number_schema(&CLOTH_WIDTH_FIELD, unit),
        "folded": boolean(CLOTH_FOLDED_BY_DEFAULT, "Whether the cloth is folded lengthwise and cut in two layers."),
        "one_way": boolean(CLOTH_ONE_WAY_BY_DEFAULT, "Whether all hems must point the same way, because of pile, print or shading."),
    });
    let description = "Cloth that the pieces are laid on; with this field the result contains pattern and lay.";
    closed_object_schema(description, &properties, &["width"])
}

fn rules_schema(unit: Unit) -> Value {
    let mut properties = number_properties(&PanelRules::FIELDS, unit);
    let description = "Apportionment of the suppression by shares, from which number and intake of the darts follow.";
    properties.insert("shares".to_owned(), object_of_numbers_schema(description, &Shares::FIELDS, unit));
    properties.insert("darts".to_owned(), darts_schema(unit));
    let mut rules =
        closed_object_schema("Rules of construction: the drafter's choices.", &Value::Object(properties), &[]);
    rules["not"] = json!({"required": ["shares", "darts"]});
    rules
}

fn darts_schema(unit: Unit) -> Value {
    let mut dart = closed_object_schema(
        "Dart of fixed intake and length; the position is either `place` or `centre`.",
        &Value::Object(number_properties(&FixedDart::FIELDS, unit)),
        &["intake", "length"],
    );
    dart["oneOf"] = json!([{"required": ["place"]}, {"required": ["centre"]}]);
    let list = json!({"type": "array", "maxItems": MAX_DARTS_PER_PANEL, "items": dart});
    closed_object_schema(
        "Fixed darts, each list from the centre line to the side seam; the side seam takes the rest of the suppression.",
        &json!({"back": list, "front": list}),
        &["back", "front"],
    )
}

/// Builds the schema of an object whose fields are all numbers; fields without a default are required.
fn object_of_numbers_schema(description: &str, fields: &[Field], unit: Unit) -> Value {
    let required: Vec<_> = fields.iter().filter(|field| field.default.is_none()).map(|field| field.name).collect();
    closed_object_schema(description, &Value::Object(number_properties(fields, unit)), &required)
}

fn number_properties(fields: &[Field], unit: Unit) -> Map<String, Value> {
    fields.iter().map(|field| (field.name.to_owned(), number_schema(field, unit))).collect()
}

fn number_schema(field: &Field, unit: Unit) -> Value {
    let (min, max) = field.range(unit);
    let mut schema = json!({"type": "number", "minimum": min, "maximum": max, "description": field.description()});
    if let Some(default) = field.default(unit) {
        schema["default"] = json!(default);
    }
    schema
}

/// Builds the schema of an object that permits only the fields `properties`; an empty description is left out.
fn closed_object_schema(description: &str, properties: &Value, required: &[&str]) -> Value {
    let mut object =
        json!({"type": "object", "properties": properties, "required": required, "additionalProperties": false});
    if !description.is_empty() {
        object["description"] = json!(description);
    }
    object
}
