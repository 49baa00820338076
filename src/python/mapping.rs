//! Argument types for Python mappings from names to values.

/// Declares an argument type for any `Mapping[str, V]`; `$value` is the Rust type of `V`, `$python` its type hint.
macro_rules! mapping_argument {
    ($(#[$meta:meta])* $name:ident: $value:ty as $python:expr;) => {
        $(#[$meta])*
        pub(crate) struct $name(pub(super) Vec<(String, $value)>);

        impl FromPyObject<'_, '_> for $name {
            type Error = PyErr;

            #[cfg(feature = "stubs")]
            const INPUT_TYPE: pyo3::inspect::PyStaticExpr = pyo3::type_hint_subscript!(
                pyo3::type_hint_identifier!("collections.abc", "Mapping"),
                pyo3::type_hint_identifier!("builtins", "str"),
                $python
            );

            fn extract(object: Borrowed<'_, '_, PyAny>) -> PyResult<Self> {
                object.cast::<pyo3::types::PyMapping>()?.items()?.extract().map(Self)
            }
        }
    };
}

pub(super) use mapping_argument;
