//! JSON values as parsed, the JSON text of a document, and the settings of a call, which its result keeps.
//!
//! A [`JsonValue`] keeps the order of an object's fields and keeps fields given twice. Readers take inputs from this
//! tree and not straight into structs, so that one problem never hides another.

use std::fmt;

use schemars::JsonSchema;
use serde::de::{Deserializer, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Serialize, Serializer};
use serde_json::{Map, Value, json};

use crate::error::{Code, GivenValue, Problem, Problems, escape_and_truncate_for_message};

/// Version of the format of all JSON documents.
pub const FORMAT_VERSION: u32 = 1;

/// Serialises a document, or a part of a document, and returns the JSON text.
pub(crate) fn to_json_text(document: &impl serde::Serialize) -> String {
    // Structs of numbers and texts always serialise.
    serde_json::to_string(document).unwrap_or_default()
}

/// Parsed JSON value; an object keeps the order of its fields, and fields given twice.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub(crate) enum JsonValue {
    Null,
    Bool(bool),
    Number(f64),
    String(String),
    /// Python object without a JSON counterpart, as the text that a problem shows.
    NotJson(String),
    Array(Vec<JsonValue>),
    /// Names and values of an object's fields, in the order of the text, including fields given twice.
    Object(#[serde(serialize_with = "serialize_fields")] Vec<(String, JsonValue)>),
}

/// Serialises the fields of an object, in their order.
fn serialize_fields<S: Serializer>(fields: &[(String, JsonValue)], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_map(fields.iter().map(|(name, value)| (name, value)))
}

impl JsonValue {
    /// Parses JSON text, which may begin with a byte order mark; a syntax error is returned as a problem of the
    /// document called `name`.
    pub(crate) fn parse_json_text(text: &str, name: &str) -> Result<Self, Problems> {
        let broken =
            |error: serde_json::Error| Problem::new(Code::BrokenJson, name).with_value(error.to_string()).into();
        serde_json::from_str(text.strip_prefix('\u{feff}').unwrap_or(text)).map_err(broken)
    }

    /// Parses the JSON text of the document called `name`; refuses a text over `max_bytes`.
    pub(super) fn parse_document(text: &str, name: &str, max_bytes: usize) -> Result<Self, Problems> {
        if text.len() > max_bytes {
            let problem = Problem::new(Code::AboveMaximum, name).with_value(text.len() as f64);
            return Err(problem.with_limit(max_bytes as f64).with_unit("bytes").into());
        }
        Self::parse_json_text(text, name)
    }

    /// Refuses a document of another kind than `expected`, such as a fitting where a `request` is read.
    pub(super) fn check_kind(&self, expected: &str) -> Result<(), Problems> {
        let has = |field| matches!(self, Self::Object(fields) if fields.iter().any(|(name, _)| name == field));
        // Drafts and patterns have a back, lays have placed pieces, reports of sizes a grade; every result has its format.
        let is_result = has("format") && ["back", "placed", "grade"].into_iter().any(has);
        let kinds = [
            (has("rounds"), "fitting", "read it as a fitting"),
            (is_result, "result", "give the request that the result answers"),
            (has("sizes"), "chart", "read it as a chart"),
            (has("body"), "request", "read it as a request"),
        ];
        let other = kinds.into_iter().find(|(is_kind, ..)| *is_kind).filter(|(_, kind, _)| *kind != expected);
        let problem = |(_, kind, advice)| {
            let problem = Problem::new(Code::WrongType, expected).with_value(format!("a {kind}"));
            problem.with_limit(format!("a {expected}: {advice}"))
        };
        Problems::ok_if_empty(other.map(problem))
    }

    /// Returns the value as a problem shows it: strings quoted and shortened, arrays and objects only by type.
    pub(crate) fn to_value_for_problem(&self) -> GivenValue {
        match self {
            JsonValue::Null => "null".into(),
            JsonValue::Bool(boolean) => boolean.to_string().into(),
            JsonValue::Number(number) => (*number).into(),
            JsonValue::String(text) => format!("\"{}\"", escape_and_truncate_for_message(text)).into(),
            JsonValue::NotJson(text) => escape_and_truncate_for_message(text).into(),
            JsonValue::Array(_) => "a list".into(),
            JsonValue::Object(_) => "an object".into(),
        }
    }
}

impl<'de> Deserialize<'de> for JsonValue {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(JsonValueVisitor)
    }
}

struct JsonValueVisitor;

// Integers beyond 2^53 are rounded; every permitted range ends far below 2^53.
impl<'de> Visitor<'de> for JsonValueVisitor {
    type Value = JsonValue;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON value")
    }

    fn visit_unit<E>(self) -> Result<JsonValue, E> {
        Ok(JsonValue::Null)
    }

    fn visit_bool<E>(self, boolean: bool) -> Result<JsonValue, E> {
        Ok(JsonValue::Bool(boolean))
    }

    fn visit_i64<E>(self, number: i64) -> Result<JsonValue, E> {
        Ok(JsonValue::Number(number as f64))
    }

    fn visit_u64<E>(self, number: u64) -> Result<JsonValue, E> {
        Ok(JsonValue::Number(number as f64))
    }

    fn visit_f64<E>(self, number: f64) -> Result<JsonValue, E> {
        Ok(JsonValue::Number(number))
    }

    fn visit_str<E>(self, text: &str) -> Result<JsonValue, E> {
        Ok(JsonValue::String(text.to_owned()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut array: A) -> Result<JsonValue, A::Error> {
        std::iter::from_fn(|| array.next_element().transpose()).collect::<Result<_, _>>().map(JsonValue::Array)
    }

    fn visit_map<A: MapAccess<'de>>(self, mut object: A) -> Result<JsonValue, A::Error> {
        std::iter::from_fn(|| object.next_entry().transpose()).collect::<Result<_, _>>().map(JsonValue::Object)
    }
}

/// Settings of the call that made a result: `version` of the package, `function`, `unit`, and the given arguments, with
/// lengths in this unit.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct CallSettings(pub Map<String, Value>);

impl CallSettings {
    /// Creates the settings of a call from a JSON object: the names of the function and of its unit, and the arguments;
    /// leaves out what is null.
    pub fn new(call: Value) -> Self {
        let version = json!({"version": crate::VERSION});
        let fields = [version, call].into_iter().flat_map(|object| object.as_object().cloned().unwrap_or_default());
        Self(fields.filter(|(_, value)| !value.is_null()).collect())
    }
}
