//! Texts in another language as a document: a JSON object that maps keys of the table of texts to templates.

use serde_json::json;

use super::json::JsonValue;
use super::object::{ObjectReader, read_document};
use crate::error::{Code, Problem, Problems};
use crate::wording::{KNOWN_KEYS, MAX_TEMPLATE_CHARS, Texts};

/// Maximum length of texts in JSON, in bytes; the English table has 26,500 bytes.
const MAX_TEXTS_BYTES: usize = 1 << 20;

impl Texts {
    /// Reads texts from JSON by the schema `texts`, an object of keys and templates. A text without a field stays
    /// English.
    ///
    /// # Errors
    /// All [`Problems`]: text that is not JSON, a key given twice, a value that is not a text, and all that
    /// [`Texts::new`] refuses; [`Code::AboveMaximum`] for a text over 1 MiB.
    ///
    /// ```
    /// use kirtle::Texts;
    ///
    /// let german = Texts::from_json(r#"{"hem_length": "Saum {length}", "decimal_mark": ","}"#)?;
    /// assert_eq!(german, Texts::new([("hem_length", "Saum {length}"), ("decimal_mark", ",")])?);
    ///
    /// let problems = Texts::from_json(r#"{"hems": "Saum", "fold": 3, "hem_length": "Saum {Länge}"}"#).unwrap_err();
    /// let lines = ["texts.hems: unknown field; known fields are the keys of the English texts",
    ///     "texts.fold: 3 is not a text",
    ///     "texts.hem_length: \"Saum {Länge}\" is not a text with the placeholder {length}"];
    /// assert_eq!(problems.to_string(), lines.join("\n"));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn from_json(text: &str) -> Result<Self, Problems> {
        let value = JsonValue::parse_document(text, "texts", MAX_TEXTS_BYTES)?;
        let read = read_document(None, ["texts", "texts."], &value, read_texts);
        let is_unknown = |problem: &Problem| problem.code == Code::UnknownField;
        let with_limit = |problem| if is_unknown(&problem) { problem.with_limit(KNOWN_KEYS) } else { problem };
        read.map_err(|problems| problems.map(with_limit))
    }
}

/// Reads the template of each key.
pub(super) fn read_texts(object: &mut ObjectReader) -> Option<Texts> {
    let mut templates = Vec::new();
    for (key, english, description) in Texts::table() {
        let value = object.field_value(key, false, |_| {
            json!({"type": "string", "maxLength": MAX_TEMPLATE_CHARS, "default": english, "description": description})
        });
        let template = value.and_then(|value| object.check_text(key, value, "a text"));
        templates.extend(template.map(|template| (key, template)));
    }
    Texts::new(templates).map_err(|problems| object.problems.extend(problems.iter().cloned())).ok()
}
