//! Conversion of Python strings and other objects to text. A Python string may contain lone surrogates, which Rust
//! strings cannot hold; the text then has U+FFFF in their place.

use std::borrow::Cow;

use pyo3::prelude::*;
use pyo3::types::PyString;

/// Document passed as a Python string, such as JSON or CSV; borrowed if the string has no lone surrogates.
pub(crate) struct DocumentText<'a>(Cow<'a, str>);

impl DocumentText<'_> {
    /// Calls a parser with the text of the document and returns its result.
    pub(super) fn parse_text_with<T>(self, parse: impl FnOnce(&str) -> T) -> T {
        parse(&self.0)
    }
}

impl<'a> FromPyObject<'a, '_> for DocumentText<'a> {
    type Error = PyErr;

    #[cfg(feature = "stubs")]
    const INPUT_TYPE: pyo3::inspect::PyStaticExpr = pyo3::type_hint_identifier!("builtins", "str");

    fn extract(object: Borrowed<'a, '_, PyAny>) -> PyResult<Self> {
        object.cast::<PyString>()?;
        Ok(Self(text_of_python_string(object).unwrap_or_default()))
    }
}

/// Returns the text of a Python string with each lone surrogate replaced by U+FFFF, or `None` for another object.
pub(super) fn text_of_python_string<'a>(object: Borrowed<'a, '_, PyAny>) -> Option<Cow<'a, str>> {
    let text = object.cast::<PyString>().ok()?;
    // A lone surrogate has three bytes, and each becomes U+FFFD.
    let lossy = || text.to_string_lossy().replace("\u{fffd}\u{fffd}\u{fffd}", "\u{ffff}");
    Some(<&'a str>::extract(object).map_or_else(|_| lossy().into(), Cow::Borrowed))
}

/// Returns the text of a Python string, or the `repr` of another object, or the name of its type if `repr` fails.
pub(super) fn text_or_repr(object: Borrowed<'_, '_, PyAny>) -> String {
    let type_name =
        || object.get_type().name().map_or_else(|_| "an object".to_owned(), |name| format!("an object of {name}"));
    if let Some(text) = text_of_python_string(object) {
        return text.into_owned();
    }
    let repr = object.repr().ok();
    let repr = repr.as_ref().and_then(|repr| text_of_python_string(repr.as_any().as_borrowed()));
    repr.map_or_else(type_name, Cow::into_owned)
}
