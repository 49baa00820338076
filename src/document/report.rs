//! Reports, which are the documents of results: [`report`] declares the struct of a report. Each number of a report is
//! named once, with its description, its type and the expression of its value.

use crate::field::Unit;
use crate::geometry::{Path, Point};

/// Converts each item of a list to the form that it has in a report with lengths in `unit`.
pub(crate) fn convert_each<S, R>(items: &[S], convert: fn(&S, Unit) -> R, unit: Unit) -> Vec<R> {
    items.iter().map(|item| convert(item, unit)).collect()
}

/// Returns the coordinates of a point in `unit`.
pub(super) fn point(point: &Point, unit: Unit) -> [f64; 2] {
    [unit.length_from_cm(point.x), unit.length_from_cm(point.y)]
}

/// Returns the coordinates of both ends of a segment in `unit`.
pub(super) fn segment(ends: &[Point; 2], unit: Unit) -> [[f64; 2]; 2] {
    ends.each_ref().map(|end| point(end, unit))
}

/// Returns the coordinates of the points of a path in `unit`.
pub(super) fn points(path: &Path, unit: Unit) -> Vec<[f64; 2]> {
    convert_each(path.points(), point, unit)
}

/// Declares the struct of a report. The name after `as` is that of a frozen Python class with the fields of the struct.
/// `new` makes the report from the values after `of`. A document's first field is its `format`.
///
/// A field has the value after `=`; one marked `[default]` is absent from the JSON if it has the default of its type.
macro_rules! report {
    (
        $(#[$meta:meta])*
        $name:ident $(as $python:literal)? $(with $format:ident)?
        of ($($arg:ident: $arg_ty:ty),+) in $unit:ident
        $(let $local:pat_param = $local_value:expr;)*
        { $($(#[$field_meta:meta])* $field:ident: $ty:ty $([$default:ident])? = $value:expr,)* }
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
            pub fn new($($arg: $arg_ty,)+ $unit: $crate::field::Unit) -> Self {
                $(let $local = $local_value;)*
                Self {
                    $($format: $crate::document::json::FORMAT_VERSION, engine: $crate::VERSION.to_owned(),)?
                    $($field: $value,)*
                }
            }

            /// Returns the report as JSON text.
            pub fn to_json(&self) -> String {
                $crate::document::json::to_json_text(self)
            }
        }
    };
}

pub(super) use report;
