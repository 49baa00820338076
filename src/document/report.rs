//! Conversion of results to documents: [`InUnit`] converts lengths from centimetres, and [`report`] declares the struct
//! of a report. Each number of a report is named once, with its description, its type and the expression of its value.

use crate::body::Body;
use crate::error::Code;
use crate::field::Unit;
use crate::geometry::{Path, Point};
use crate::pattern::Allowances;
use crate::sizes::{Correction, Cost};

/// Conversion of a value of the library's type `S`, with lengths in centimetres, to the value of a report.
pub(crate) trait InUnit<S: ?Sized> {
    /// Returns the value with all lengths in `unit`.
    fn in_unit(source: &S, unit: Unit) -> Self;
}

/// Implements [`InUnit`] for the type after `=>` by the expression before `=>`.
macro_rules! in_unit {
    ($(|$value:ident: $source:ty, $unit:ident| $converted:expr => $report:ty;)*) => {
        $(impl InUnit<$source> for $report {
            fn in_unit($value: &$source, $unit: Unit) -> Self {
                $converted
            }
        })*
    };
}

in_unit! {
    |length: f64, unit| unit.length_from_cm(*length) => f64;
    |point: Point, unit| [unit.length_from_cm(point.x), unit.length_from_cm(point.y)] => [f64; 2];
    |path: Path, unit| path.points().iter().map(|point| InUnit::in_unit(point, unit)).collect() => Vec<[f64; 2]>;
    |body: Body, unit| body.convert_lengths(Unit::Cm, unit) => Body;
    |allowances: Allowances, unit| allowances.convert_lengths(Unit::Cm, unit) => Allowances;
    |correction: Correction, unit| correction.convert_amount(Unit::Cm, unit) => Correction;
    |cost: Cost, _unit| *cost => Cost;
    |is_so: bool, _unit| *is_so => bool;
    |count: usize, _unit| *count => usize;
    |code: Code, _unit| *code => Code;
    |text: String, _unit| text.clone() => String;
}

impl<S, R: InUnit<S>> InUnit<Vec<S>> for Vec<R> {
    fn in_unit(list: &Vec<S>, unit: Unit) -> Self {
        list.iter().map(|item| R::in_unit(item, unit)).collect()
    }
}

impl<S, R: InUnit<S>, const N: usize> InUnit<[S; N]> for [R; N] {
    fn in_unit(array: &[S; N], unit: Unit) -> Self {
        array.each_ref().map(|item| R::in_unit(item, unit))
    }
}

impl<S, R: InUnit<S>> InUnit<Option<S>> for Option<R> {
    fn in_unit(option: &Option<S>, unit: Unit) -> Self {
        option.as_ref().map(|value| R::in_unit(value, unit))
    }
}

/// Declares the struct of a report. The name after `as` is that of a frozen Python class with the fields of the struct.
/// `new` makes the report from the values after `of`. A document's first field is its `format`.
///
/// A field has the value after `=`. A field without `=` has the value of the field of that name in the first value
/// after `of`, with lengths [in the unit](InUnit) of the report. A field marked `[default]` is absent from the JSON if it
/// has the default of its type.
macro_rules! report {
    (
        $(#[$meta:meta])*
        $name:ident $(as $python:literal)? $(with $format:ident)?
        of ($source:ident: &$kind:ty $(, $arg:ident: $arg_ty:ty)*) in $unit:ident
        $(let $local:pat_param = $local_value:expr;)*
        { $($(#[$field_meta:meta])* $field:ident: $ty:ty $([$default:ident])? $(= $value:expr)?,)* }
    ) => {
        #[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
        $(#[$meta])*
        #[serde(deny_unknown_fields)]
        $(#[cfg_attr(feature = "python", pyo3::pyclass(frozen, get_all, eq, name = $python, module = "kirtle"))])?
        pub struct $name {
            $(
                /// Version of the document format.
                #[schemars(extend("const" = crate::document::json::FORMAT_VERSION))]
                pub $format: u32,
                /// Version of Kirtle that made the document; empty in a document without one.
                #[serde(default)]
                pub engine: String,
            )?
            $(
                $(#[$field_meta])*
                $(#[serde($default, skip_serializing_if = "crate::field::is_default_of_type")])?
                pub $field: $ty,
            )*
        }

        impl $name {
            /// Returns the report, with lengths in the unit that is the last argument.
            pub fn new($source: &$kind $(, $arg: $arg_ty)*, $unit: $crate::field::Unit) -> Self {
                $(let $local = $local_value;)*
                Self {
                    $($format: $crate::document::json::FORMAT_VERSION, engine: $crate::VERSION.to_owned(),)?
                    $($field: report!(@value $source.$field, $unit $(, $value)?),)*
                }
            }

            /// Returns the report as JSON text.
            pub fn to_json(&self) -> String {
                $crate::document::json::to_json_text(self)
            }
        }

        report!(@in_unit $name of $kind $(, $arg)*);
    };
    (@value $source:ident.$field:ident, $unit:ident) => {
        $crate::document::report::InUnit::in_unit(&$source.$field, $unit)
    };
    (@value $source:ident.$field:ident, $unit:ident, $value:expr) => { $value };
    (@in_unit $name:ident of $kind:ty) => {
        impl $crate::document::report::InUnit<$kind> for $name {
            fn in_unit(source: &$kind, unit: $crate::field::Unit) -> Self {
                Self::new(source, unit)
            }
        }
    };
    (@in_unit $name:ident of $kind:ty $(, $arg:ident)+) => {};
}

pub(super) use report;
