//! Python objects that methods return, each with its own type hint.

use std::collections::HashMap;
use std::convert::Infallible;

use pyo3::inspect::PyStaticExpr;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyIterator};
use pyo3::{type_hint_identifier, type_hint_subscript};

/// Declares types that wrap a Python object, each with its own type hint.
macro_rules! typed_objects {
    ($($(#[$doc:meta])* $name:ident: $target:ident, $hint:expr;)+) => {$(
        $(#[$doc])*
        pub(crate) struct $name<'py>(pub(super) Bound<'py, $target>);

        impl<'py> IntoPyObject<'py> for $name<'py> {
            type Target = $target;
            type Output = Bound<'py, $target>;
            type Error = Infallible;

            const OUTPUT_TYPE: PyStaticExpr = $hint;

            fn into_pyobject(self, _py: Python<'py>) -> Result<Self::Output, Infallible> {
                Ok(self.0)
            }
        }
    )+};
}

typed_objects! {
    /// Python dict with the type hint `dict[str, Any]`.
    AnyDict: PyDict, HashMap::<String, Py<PyAny>>::OUTPUT_TYPE;
    /// Python dict with the type hint `dict[str, str]`.
    TextDict: PyDict, HashMap::<String, String>::OUTPUT_TYPE;
    /// Python dict with the type hint `dict[str, float]`.
    NumberDict: PyDict, HashMap::<String, f64>::OUTPUT_TYPE;
    /// Python iterator with the type hint `Iterator[str]`.
    TextIterator: PyIterator, type_hint_subscript!(type_hint_identifier!("collections.abc", "Iterator"), String::OUTPUT_TYPE);
}
