//! Values by name, as Python passes them.

/// Makes a type for what was passed by name: a `Mapping[str, …]` of values of this type, which Python calls so.
macro_rules! mapping {
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

pub(super) use mapping;
