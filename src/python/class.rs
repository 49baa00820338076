//! The macro `python_class`, which declares the attributes and the shared methods of a class, and the
//! conversions that the macro uses: from the JSON of a Rust value to `repr`, hash and dict of the Python object.

use std::hash::{BuildHasher, BuildHasherDefault, DefaultHasher};

use pyo3::call::PyCallArgs;
use pyo3::prelude::*;
use serde_json::{Number, Value};

use super::typed_objects::keyword_dict;
use crate::document::JsonValue;

/// Returns the `repr`, `Name(field=value, …)`, of an object with the fields of a JSON object, without the fields that
/// equal those of the JSON object `defaults`. A list appears as its number of items, unless it has up to four numbers.
pub(super) fn repr_without_defaults(name: &str, json: &str, defaults: &str) -> String {
    let Ok(JsonValue::Object(fields)) = serde_json::from_str(json) else { return name.to_owned() };
    let [values, defaults] = [json, defaults].map(|json| serde_json::from_str::<Value>(json).unwrap_or_default());
    // Only `JsonValue` keeps the order of the fields, and only `Value` distinguishes integers from floating-point
    // numbers.
    let fields = fields.iter().filter(|(name, _)| defaults.get(name) != values.get(name));
    let fields: Vec<String> = fields.map(|(name, _)| format!("{name}={}", repr_of_json_value(&values[name]))).collect();
    format!("{name}({})", fields.join(", "))
}

fn repr_of_json_value(value: &Value) -> String {
    let digits = |n: &Number| n.as_f64().filter(|_| n.is_f64()).map_or_else(|| n.to_string(), |x| format!("{x:?}"));
    match value {
        Value::Null => "None".to_owned(),
        Value::Bool(boolean) => repr_of_bool(*boolean).to_owned(),
        Value::Number(number) => digits(number),
        // JSON and Python have the same escapes.
        Value::String(_) => value.to_string(),
        Value::Array(list) if list.len() <= 4 && list.iter().all(Value::is_number) => {
            format!("[{}]", list.iter().map(repr_of_json_value).collect::<Vec<_>>().join(", "))
        }
        Value::Array(list) => format!("[{} item{}]", list.len(), if list.len() == 1 { "" } else { "s" }),
        Value::Object(_) => "…".to_owned(),
    }
}

/// Returns the `repr` of a Python bool, `True` or `False`.
pub(super) fn repr_of_bool(boolean: bool) -> &'static str {
    if boolean { "True" } else { "False" }
}

/// Returns the hash of a text, such as an object's `repr` or JSON; equal objects must have equal texts.
pub(super) fn hash_of_text(text: &str) -> u64 {
    BuildHasherDefault::<DefaultHasher>::new().hash_one(text)
}

/// Returns an `operator.methodcaller` by which pickle recreates a result. Called with an object, the methodcaller calls
/// the method of the object that the first of `arguments` names, with the other arguments and the pairs `keywords`.
pub(super) fn operator_methodcaller<'py>(
    py: Python<'py>,
    arguments: impl PyCallArgs<'py>,
    keywords: impl IntoPyObject<'py>,
) -> PyResult<Bound<'py, PyAny>> {
    py.import("operator")?.getattr("methodcaller")?.call(arguments, Some(&keyword_dict(py, keywords)?.0))
}

/// Implements the methods of a Python class from a table of attributes, each `name: type = value;`, then clauses for
/// shared methods, each optional and in this order, and last, in braces, all other methods.
///
/// - `text`: the text is the `repr` and gives the hash, as equal objects have equal texts
/// - `repr`, `hash`: one text is the `repr`, another text gives the hash
/// - `equal`: whether the object equals another of its class, if the attribute `eq` of `pyclass` does not say so
/// - `keywords`: pickle calls the constructor with these keyword arguments
/// - `pickle`: pickle calls a static method of the class with a text
/// - `drawn`: methods that draw, with the type and the default of their argument `unit`, the ruler of the drawing, names
///   for the method bodies, and margin and overlap of the paper; then each method with its documentation and its
///   arguments for the paper. A notebook displays `svg`.
/// - `cut`: a method that cuts pieces, with type, default and value of its argument `preset`, any argument before it, the
///   default unit, names for unit and cutting in the method body, and the documentation. The file of the class imports the
///   types of the arguments.
macro_rules! python_class {
    (
        $class:ident as $this:ident;
        $($(#[doc = $doc:literal])+ $attribute:ident: $type:ty = $value:expr;)*
        $(text = $text:expr;)?
        $(repr = $repr:expr;)?
        $(hash = $hash:expr;)?
        $(equal $other:ident = $equal:expr;)?
        $(keywords $py:ident = $keywords:expr;)?
        $(pickle = $restore:ident($stored:expr);)?
        $(drawn($unit:ident: $unit_type:ty = $unit_default:tt) by $ruler:expr, as $path:ident, $wording:ident, $paper:ident: $margins:tt
            $(#[doc = $svg_doc:literal])+ svg = $drawing:expr;
            $(#[doc = $pdf_doc:literal])+ pdf($($mm:ident),*) = $print:expr;
            $($(#[doc = $save_doc:literal])+ save($($save_mm:ident),*) = $saved:expr;
                $($(#[doc = $dxf_doc:literal])+ dxf = $dxf_drawing:expr;)?)?
        )?
        $(cut($preset:ident: $preset_type:ty = $preset_default:tt => $preset_value:expr $(; after $first:ident: $first_type:ty)?)
            by $own_unit:expr, as $length_unit:ident, $cutting:ident
            $(#[doc = $cut_doc:literal])+ $cut:ident -> $pieces:ty = $made:expr;
        )?
        { $($methods:tt)* }
    ) => {
        #[pymethods]
        impl $class {
            $(
                $(#[doc = $doc])+
                #[getter]
                pub(super) fn $attribute(&self) -> $type { let $this = self; $value }
            )*

            $(
                pub(super) fn __repr__(&self) -> String { let $this = self; $text }

                fn __hash__(&self) -> u64 { $crate::python::class::hash_of_text(&self.__repr__()) }
            )?

            $(
                pub(super) fn __repr__(&self) -> String { let $this = self; $repr }
            )?

            $(
                fn __hash__(&self) -> u64 { let $this = self; $crate::python::class::hash_of_text(&$hash) }
            )?

            $(
                fn __eq__(&self, other: &Self) -> bool { let ($this, $other) = (self, other); $equal }
            )?

            $(
                fn __getnewargs_ex__<'py>(&self, $py: Python<'py>) -> PyResult<((), $crate::python::typed_objects::AnyDict<'py>)> {
                    let $this = self;
                    Ok(((), $keywords?))
                }
            )?

            $(
                fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (String,))> {
                    let $this = self;
                    Ok((py.get_type::<Self>().getattr(stringify!($restore))?, ($stored,)))
                }
            )?

            $(
                $(#[doc = $svg_doc])+
                #[pyo3(signature = ($unit = $unit_default, *, fit = false, texts = None))]
                fn svg(&self, py: Python<'_>, $unit: $unit_type, fit: bool, texts: Option<$crate::python::arguments::TextsArgument>) -> PyResult<String> {
                    let $this = self;
                    let $wording = $crate::python::arguments::wording($ruler, texts.as_ref())?;
                    let scale = if fit { $crate::files::SvgScale::Fit } else { $crate::files::SvgScale::True };
                    Ok(py.detach(|| $crate::files::svg(&$drawing, scale)))
                }

                fn _repr_svg_(&self, py: Python<'_>) -> PyResult<String> { self.svg(py, $unit_default, true, None) }

                $(#[doc = $pdf_doc])+
                #[pyo3(signature = (*, paper = "A4", $($mm = 10.0,)* $unit = $unit_default, texts = None))]
                fn pdf<'py>(
                    &self, py: Python<'py>, paper: &str, $($mm: f64,)* $unit: $unit_type, texts: Option<$crate::python::arguments::TextsArgument>,
                ) -> PyResult<Bound<'py, pyo3::types::PyBytes>> {
                    let ($this, $paper) = (self, $crate::python::paper::parse_paper(paper, $margins)?);
                    let $wording = $crate::python::arguments::wording($ruler, texts.as_ref())?;
                    $crate::python::paper::pdf_bytes(py, || $print)
                }

                $(
                    $(#[doc = $save_doc])+
                    #[pyo3(signature = ($path, *, paper = "A4", $($save_mm = 10.0,)* $unit = $unit_default, texts = None))]
                    fn save(
                        &self, py: Python<'_>, $path: std::path::PathBuf, paper: &str, $($save_mm: f64,)* $unit: $unit_type,
                        texts: Option<$crate::python::arguments::TextsArgument>,
                    ) -> PyResult<()> {
                        let ($this, $paper) = (self, $crate::python::paper::parse_paper(paper, $margins)?);
                        let $wording = $crate::python::arguments::wording($ruler, texts.as_ref())?;
                        Ok(py.detach(|| $saved)?)
                    }

                    $(
                        $(#[doc = $dxf_doc])+
                        #[pyo3(signature = ($unit = $unit_default, *, texts = None))]
                        fn dxf(&self, py: Python<'_>, $unit: $unit_type, texts: Option<$crate::python::arguments::TextsArgument>) -> PyResult<String> {
                            let $this = self;
                            let $wording = $crate::python::arguments::wording($ruler, texts.as_ref())?;
                            Ok(py.detach(|| $crate::files::dxf(&$dxf_drawing)))
                        }
                    )?
                )?
            )?

            $(
                $(#[doc = $cut_doc])+
                #[pyo3(signature = (
                    $($first = None,)? *, $preset = $preset_default, name = None, notes = None, waist = None, side = None, hem = None,
                    centre_back = None, opening = None, press = None, unfolded = None, pieces = None, waistband_width = None,
                    underlap = None, facing_depth = None, vent = None, vent_width = None, unit = None
                ))]
                fn $cut(
                    &self, $($first: $first_type,)? $preset: $preset_type, name: Option<NameArgument>, notes: Option<NamesArgument>,
                    waist: Option<NumberArgument>, side: Option<NumberArgument>, hem: Option<NumberArgument>,
                    centre_back: Option<NumberArgument>, opening: Option<NumberArgument>, press: Option<NameArgument>,
                    unfolded: Option<BooleanArgument>, pieces: Option<NamesArgument>, waistband_width: Option<NumberArgument>,
                    underlap: Option<NumberArgument>, facing_depth: Option<NumberArgument>, vent: Option<NumberArgument>,
                    vent_width: Option<NumberArgument>, unit: Option<&str>,
                ) -> PyResult<$pieces> {
                    let ($this, $preset) = (self, $preset_value);
                    let $length_unit = parse_unit_or(unit, $own_unit)?;
                    let allowances = Some($crate::python::arguments::NestedJsonObject(json_object!(waist, side, hem, centre_back)));
                    let value = json_object!(
                        $preset, name, notes, allowances, opening, press, unfolded, pieces, waistband_width, underlap, facing_depth, vent, vent_width
                    );
                    let $cutting = read_document(Some($length_unit), ["cutting", "cutting."], &value, $crate::document::read_cutting)?;
                    $made
                }
            )?

            $($methods)*
        }
    };
}

pub(super) use python_class;
