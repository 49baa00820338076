//! The JSON Schemas (2020-12) of request, result and error.
//!
//! The request's is made from the same rows that the reader checks by, once for each unit, as each unit has limits of its
//! own. What it accepts the reader accepts; whether the numbers agree with each other is found when drafting.

use schemars::generate::SchemaSettings;
use schemars::transform::RecursiveTransform;
use schemars::{JsonSchema, Schema, json_schema};
use serde_json::{Map, Value, json};

use super::chart::TOLERANCE;
use super::cutting::{FOLDED, ONE_WAY};
use super::{
    BestChartReport, BestSizesReport, ChartReport, ComparisonReport, FORMAT, FitReport, LayReport, PatternReport,
    Report,
};
use crate::body::{Body, Ease, FixedDart, MAX_DARTS, PanelRules, Shares};
use crate::error::Problems;
use crate::field::{Field, Unit};
use crate::pattern::{Allowances, Cutting, OPENING, Preset, Press, WIDTH, usual_opening};
use crate::sizes::{BY, CorrectionSite, CorrectionTarget, FRACTION, Fitting, SizeChart};

/// Letters that break a line, turn its direction, or are none.
const BREAKS_A_LINE: &str =
    "[\\u0000-\\u001f\\u007f-\\u009f\\u2028-\\u202e\\u2066-\\u2069\\ufdd0-\\ufdef\\ufffe\\uffff]";

/// The names of the schemas.
pub const SCHEMAS: [&str; 11] =
    ["request", "result", "pattern", "lay", "chart", "sizes", "fit", "best_chart", "best_sizes", "comparison", "error"];

/// The schema of this name, if there is one: `request`, `result`, `pattern`, `lay`, `chart`, `sizes`, `fit`, `best`, `best_sizes`,
/// `comparison` or `error`.
///
/// ```
/// let schema = kirtle::document::schema("request").unwrap();
/// assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
/// assert!(kirtle::document::schema("letter").is_none());
/// ```
#[must_use]
pub fn schema(name: &str) -> Option<Value> {
    let mut schema = match name {
        "request" => request(),
        "result" => derived::<Report>(),
        "pattern" => derived::<PatternReport>(),
        "lay" => derived::<LayReport>(),
        "chart" => chart(),
        "sizes" => derived::<ChartReport>(),
        "fit" => derived::<FitReport>(),
        "best_chart" => derived::<BestChartReport>(),
        "best_sizes" => derived::<BestSizesReport>(),
        "comparison" => derived::<ComparisonReport>(),
        "error" => derived::<Problems>(),
        _ => return None,
    };
    schema.insert("$id".to_owned(), json!(format!("urn:kirtle:{name}:{FORMAT}")));
    Some(schema.to_value())
}

fn derived<T: JsonSchema>() -> Schema {
    let settings = SchemaSettings::draft2020_12().for_deserialize().with_transform(RecursiveTransform(plain));
    settings.into_generator().into_root_schema_for::<T>()
}

/// A description is read by those who know nothing of the links of Rust's docs.
fn plain(schema: &mut Schema) {
    if let Some(Value::String(text)) = schema.get_mut("description") {
        *text = text.replace("[`", "").replace("`]", "");
    }
}

fn request() -> Schema {
    json_schema!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Kirtle request",
        "description": "A body, its ease and the drafter's choices, how it is cut and on what cloth, in centimetres or inches.",
        "oneOf": Unit::ALL.map(request_in),
    })
}

fn request_in(unit: Unit) -> Value {
    let properties = json!({
        "format": {"const": FORMAT, "description": "The version of this format."},
        "unit": {"const": unit.name(), "description": "The unit of every length, in and out."},
        "body": numbers("The body's measurements.", &Body::FIELDS, unit),
        "ease": numbers("What the garment is wider than the body, all around.", &Ease::FIELDS, unit),
        "rules": rules(unit),
        "corrections": corrections(unit),
        "cutting": cutting(unit),
        "cloth": cloth(unit),
    });
    object("", &properties, &["unit", "body", "ease"])
}

fn corrections(unit: Unit) -> Value {
    let properties = json!({
        "what": {"enum": CorrectionTarget::ALL.map(CorrectionTarget::name), "description": "What it changes; waist and hip by the ease."},
        "by": row(&BY, unit),
        "at": {
            "enum": CorrectionSite::ALL.map(CorrectionSite::name),
            "default": CorrectionSite::default().name(),
            "description": "Where a girth is taken in or let out; as the rules share it out where nothing is said.",
        },
    });
    json!({
        "type": "array",
        "maxItems": Fitting::MAX_CORRECTIONS,
        "items": object("A correction.", &properties, &["what", "by"]),
        "description": "Corrections after a trial garment, one after the other; the result is that of the changed request.",
    })
}

fn chart() -> Schema {
    json_schema!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Kirtle chart",
        "description": "A chart of sizes, and what is asked of it, in centimetres or inches.",
        "oneOf": Unit::ALL.map(chart_in),
    })
}

fn chart_in(unit: Unit) -> Value {
    let mut size = rows(&Body::FIELDS, unit);
    size.insert(
        "name".to_owned(),
        json!({
            "type": "string",
            "minLength": 1,
            "maxLength": Cutting::MAX_NAME_LETTERS,
            "pattern": "^\\S(.*\\S)?$",
            "not": {"pattern": BREAKS_A_LINE},
            "description": "The size's name, on one line.",
        }),
    );
    let needed: Vec<&str> = std::iter::once("name").chain(Body::FIELDS.map(|field| field.name)).collect();
    let size = object("A body with a name.", &Value::Object(size), &needed);
    let [_, _, depth, length] = const { &Body::FIELDS };
    let between = json!({
        "from": {"type": "string", "description": "The size at fraction 0."},
        "to": {"type": "string", "description": "The size at fraction 1; the same as `from` where it is not given."},
        "fraction": row(&FRACTION, unit),
    });
    let between = object("A place between two sizes.", &between, &["from"]);
    let blend = json!({"waist": between, "hip": between, "hip_depth": row(depth, unit), "length": row(length, unit)});
    let properties = json!({
        "format": {"const": FORMAT, "description": "The version of this format."},
        "unit": {"const": unit.name(), "description": "The unit of every length, in and out."},
        "sizes": {"type": "array", "minItems": 2, "maxItems": SizeChart::MAX_SIZES, "items": size, "description": "The sizes, in any order."},
        "ease": numbers("The ease of every size; where it is given the sizes are drafted.", &Ease::FIELDS, unit),
        "rules": rules(unit),
        "body": numbers("A body to be chosen for, and where the sizes are drafted, altered for.", &Body::FIELDS, unit),
        "blend": object("A body between sizes.", &blend, &["waist", "hip"]),
        "tolerance_mm": row(&TOLERANCE, unit),
    });
    object("", &properties, &["unit", "sizes"])
}

/// Defaults are the preset's, so that none is stated here but in words.
fn cutting(unit: Unit) -> Value {
    let texts = Preset::ALL.map(|preset| {
        let [waist, side, hem, centre_back] = preset.allowances(unit).into_array();
        format!("{}: waist {waist}, side {side}, hem {hem}, centre back {centre_back}", preset.name())
    });
    let about = format!("Where an allowance is not given it is the preset's ({}).", texts.join("; "));
    let mut opening = row(&OPENING, unit);
    opening["default"] = json!(usual_opening(unit));
    let properties = json!({
        "preset": {"enum": Preset::ALL.map(Preset::name), "default": Preset::default().name(), "description": about},
        "name": {
            "type": "string",
            "maxLength": Cutting::MAX_NAME_LETTERS,
            "not": {"pattern": BREAKS_A_LINE},
            "description": "A size, or whose body it is, on one line; where it is empty the pieces bear waist and hip.",
        },
        "allowances": object(
            "The allowance along each edge.",
            &Value::Object(rows(&Allowances::FIELDS, unit)),
            &[],
        ),
        "opening": opening,
        "press": {
            "enum": Press::ALL.map(Press::name),
            "default": Press::default().name(),
            "description": "The side to which the darts are pressed.",
        },
    });
    object("How the pieces are cut; where it is given the result has the pattern.", &properties, &[])
}

fn cloth(unit: Unit) -> Value {
    let truth = |default: bool, about: &str| json!({"type": "boolean", "default": default, "description": about});
    let properties = json!({
        "width": row(&WIDTH, unit),
        "folded": truth(FOLDED, "Whether it is folded lengthwise, so that two layers are cut at once."),
        "one_way": truth(ONE_WAY, "Whether all pieces must lie the same way, because of pile, print or shade."),
    });
    object("The cloth; where it is given the result has the pattern and the lay.", &properties, &["width"])
}

fn rules(unit: Unit) -> Value {
    let mut properties = rows(&PanelRules::FIELDS, unit);
    properties.insert("shares".to_owned(), numbers("Apportioning by shares.", &Shares::FIELDS, unit));
    properties.insert("darts".to_owned(), darts(unit));
    let mut rules = object("The drafter's choices.", &Value::Object(properties), &[]);
    rules["not"] = json!({"required": ["shares", "darts"]});
    rules
}

fn darts(unit: Unit) -> Value {
    let mut dart = object(
        "A dart as a handbook gives it; of place and centre exactly one.",
        &Value::Object(rows(&FixedDart::FIELDS, unit)),
        &["intake", "length"],
    );
    dart["oneOf"] = json!([{"required": ["place"]}, {"required": ["centre"]}]);
    let list = json!({"type": "array", "maxItems": MAX_DARTS, "items": dart});
    object(
        "Given darts, each list from the centre to the side; the side seam takes the rest.",
        &json!({"back": list, "front": list}),
        &["back", "front"],
    )
}

/// An object of the numbers of a table; those without a default are required.
fn numbers(description: &str, fields: &[Field], unit: Unit) -> Value {
    let required: Vec<_> = fields.iter().filter(|field| field.default.is_none()).map(|field| field.name).collect();
    object(description, &Value::Object(rows(fields, unit)), &required)
}

fn rows(fields: &[Field], unit: Unit) -> Map<String, Value> {
    fields.iter().map(|field| (field.name.to_owned(), row(field, unit))).collect()
}

fn row(field: &Field, unit: Unit) -> Value {
    let (min, max) = field.range(unit);
    let mut row = json!({"type": "number", "minimum": min, "maximum": max, "description": field.description()});
    if let Some(default) = field.default(unit) {
        row["default"] = json!(default);
    }
    row
}

fn object(description: &str, properties: &Value, required: &[&str]) -> Value {
    let mut object =
        json!({"type": "object", "properties": properties, "required": required, "additionalProperties": false});
    if !description.is_empty() {
        object["description"] = json!(description);
    }
    object
}
