//! Texts as Python has them, which may hold half a letter, and objects that are shown as such.

use std::borrow::Cow;

use pyo3::prelude::*;
use pyo3::types::PyString;

/// A document where it lies; see [`letters`].
pub(crate) struct Text<'a>(Cow<'a, str>);

impl Text<'_> {
    /// What a reader makes of it.
    pub(super) fn read<T>(self, read: impl FnOnce(&str) -> T) -> T {
        read(&self.0)
    }
}

impl<'a> FromPyObject<'a, '_> for Text<'a> {
    type Error = PyErr;

    #[cfg(feature = "stubs")]
    const INPUT_TYPE: pyo3::inspect::PyStaticExpr = pyo3::type_hint_identifier!("builtins", "str");

    fn extract(object: Borrowed<'a, '_, PyAny>) -> PyResult<Self> {
        object.cast::<PyString>()?;
        Ok(Self(letters(object).unwrap_or_default()))
    }
}

/// A text, if it is one; half a letter is none, and is read as one that no name may have.
pub(super) fn letters<'a>(object: Borrowed<'a, '_, PyAny>) -> Option<Cow<'a, str>> {
    let text = object.cast::<PyString>().ok()?;
    // Such a half is three bytes that are no letter.
    let lossy = || text.to_string_lossy().replace("\u{fffd}\u{fffd}\u{fffd}", "\u{ffff}");
    Some(<&'a str>::extract(object).map_or_else(|_| lossy().into(), Cow::Borrowed))
}

/// A text as it stands, another object as Python shows it; by its type where Python cannot show it.
pub(super) fn shown_as(object: Borrowed<'_, '_, PyAny>) -> String {
    let kind =
        || object.get_type().name().map_or_else(|_| "an object".to_owned(), |name| format!("an object of {name}"));
    if let Some(text) = letters(object) {
        return text.into_owned();
    }
    let shown = object.repr().ok();
    let shown = shown.as_ref().and_then(|shown| letters(shown.as_any().as_borrowed()));
    shown.map_or_else(kind, Cow::into_owned)
}
