//! One row for each number that a caller gives: its name, what it is, its unit, its range, its default.
//!
//! Struct fields, JSON keys, schema texts, Python attributes and error texts all read the same row (see
//! [`fields!`](crate::field::fields)), so that they cannot drift apart.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::error::{Code, GivenValue, Problem};

/// The unit of the lengths that go in and come out. Kirtle computes in centimetres.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Unit {
    /// Centimetres.
    #[default]
    Cm,
    /// Inches of 2.54 cm.
    In,
}

impl Unit {
    /// Both units.
    pub const ALL: [Unit; 2] = [Unit::Cm, Unit::In];

    /// The unit as it stands in JSON: `cm` or `in`.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Unit::Cm => "cm",
            Unit::In => "in",
        }
    }

    /// The unit of this name, if it is one.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|unit| unit.name() == name)
    }

    /// The centimetres in one unit.
    #[must_use]
    pub fn cm_per_unit(self) -> f64 {
        match self {
            Unit::Cm => 1.0,
            Unit::In => 2.54,
        }
    }
}

impl Unit {
    /// A length in centimetres, in this unit.
    pub(crate) fn length_from_cm(self, length_cm: f64) -> f64 {
        length_cm / self.cm_per_unit()
    }

    /// A round length in centimetres, as it was given: ⅝ in is 0.625.
    pub(crate) fn format_exact(self, length_cm: f64) -> String {
        let text = format!("{:.3}", self.length_from_cm(length_cm));
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    }

    /// A length in centimetres, in words as a cutter reads it: millimetres, or hundredths of an inch.
    pub(crate) fn format_rounded(self, length_cm: f64) -> String {
        let digits = if self == Unit::In { 2 } else { 1 };
        format!("{:.digits$}", self.length_from_cm(length_cm))
    }
}

/// What kind of number a field holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FieldKind {
    /// A length, in the unit of the request.
    Length,
    /// A plain number, such as a share.
    Ratio,
    /// An angle in degrees.
    Angle,
    /// A length on paper, in millimetres whatever the unit of the request.
    Millimetres,
}

impl FieldKind {
    /// A number of this kind, from one unit to another.
    #[must_use]
    pub fn convert(self, value: f64, from: Unit, to: Unit) -> f64 {
        if self != FieldKind::Length || from == to {
            return value;
        }
        let converted = value * from.cm_per_unit() / to.cm_per_unit();
        let back = |near: f64| near * to.cm_per_unit() / from.cm_per_unit();
        // Of the neighbours, the one that comes back to the last bit, where there is one.
        let neighbours = [converted, converted.next_up(), converted.next_down()];
        neighbours.into_iter().find(|near| back(*near).to_bits() == value.to_bits()).unwrap_or(converted)
    }

    /// The unit's name behind a number of this kind; empty for a plain number.
    #[must_use]
    pub fn unit_name(self, unit: Unit) -> &'static str {
        match self {
            FieldKind::Length => unit.name(),
            FieldKind::Ratio => "",
            FieldKind::Angle => "deg",
            FieldKind::Millimetres => "mm",
        }
    }
}

/// The row of one number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Field {
    /// Struct field, JSON key and Python attribute.
    pub name: &'static str,
    /// What it is and how it is taken, as it stands in the source; see [`Field::text`].
    pub what: &'static str,
    /// Length, ratio or angle.
    pub kind: FieldKind,
    /// Least and most; lengths in centimetres.
    pub range: (f64, f64),
    /// Least and most of a length in inches: round values of their own, inside those in centimetres.
    pub range_in: (f64, f64),
    /// The value where none is given; lengths in centimetres.
    pub default: Option<f64>,
}

impl Field {
    /// The row of a number that stands in no table, without a default.
    pub(crate) const fn new(
        name: &'static str,
        what: &'static str,
        kind: FieldKind,
        range: (f64, f64),
        range_in: (f64, f64),
    ) -> Self {
        Self { name, what, kind, range, range_in, default: None }
    }

    /// The same row with a default; lengths in centimetres.
    pub(crate) const fn or(self, default: f64) -> Self {
        Self { default: Some(default), ..self }
    }

    /// What it is and how it is taken, in one line.
    #[must_use]
    pub fn description(&self) -> String {
        self.what.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// Least and most in `unit`.
    #[must_use]
    pub fn range(&self, unit: Unit) -> (f64, f64) {
        if unit == Unit::In { self.range_in } else { self.range }
    }

    /// The default in `unit`.
    #[must_use]
    pub fn default(&self, unit: Unit) -> Option<f64> {
        self.default.map(|value| self.kind.convert(value, Unit::Cm, unit))
    }

    /// The defaults of a table of which every row has one.
    pub(crate) fn defaults<const N: usize>(fields: &[Field; N]) -> [f64; N] {
        fields.map(|field| field.default.unwrap_or(f64::NAN))
    }

    /// The range in words: `a number from 40 to 200 cm`.
    #[must_use]
    pub fn range_text(&self, unit: Unit) -> String {
        let (min, max) = self.range(unit);
        let text = format!("a number from {min} to {max} {}", self.kind.unit_name(unit));
        text.trim_end().to_owned()
    }

    /// Numbers of a table, in its order, from one unit to another; the structs of tables have a `convert` of their own.
    pub(crate) fn convert<const N: usize>(fields: &[Field; N], values: [f64; N], from: Unit, to: Unit) -> [f64; N] {
        let mut fields = fields.iter();
        values.map(|value| fields.next().map_or(value, |field| field.kind.convert(value, from, to)))
    }

    /// What is wrong with `value` here, if anything.
    pub(crate) fn check(&self, path: &str, value: f64, unit: Unit) -> Option<Problem> {
        let (min, max) = self.range(unit);
        if (min..=max).contains(&value) { None } else { Some(self.problem(path, value, unit)) }
    }

    /// What is wrong with a value that is out of range.
    #[cold]
    fn problem(&self, path: &str, value: f64, unit: Unit) -> Problem {
        let (min, max) = self.range(unit);
        let problem = |code, limit: GivenValue| {
            let named = Problem::new(code, format!("{path}{}", self.name)).with_value(value);
            named.with_limit(limit).with_unit(self.kind.unit_name(unit))
        };
        if !value.is_finite() {
            problem(Code::NotFinite, self.range_text(unit).into())
        } else if value < min {
            problem(Code::BelowMinimum, min.into())
        } else {
            problem(Code::AboveMaximum, max.into())
        }
    }
}

/// Makes a struct of numbers from a table: the struct over any scalar, its rows, and the way to and from an array.
macro_rules! fields {
    (
        $(#[$meta:meta])*
        $name:ident {
            $($(#[doc = $doc:literal])+ $field:ident: $kind:ident $range:tt $(= $default:expr)?;)+
        }
    ) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
        #[serde(deny_unknown_fields)]
        pub struct $name<T = f64> {
            $(
                $(#[doc = $doc])+
                #[doc = ""]
                #[doc = concat!(
                    stringify!($kind), " from least to most, a length in cm and in inches: `", stringify!($range), "`",
                    $("; default `", stringify!($default), "`",)? "."
                )]
                pub $field: T,
            )+
        }

        impl $name {
            /// The rows of the table, in order.
            pub const FIELDS: [$crate::field::Field; [$(stringify!($field)),+].len()] =
                [$($crate::field::fields!(@row $($doc)+, $field, $kind, $range $(, $default)?)),+];

            /// The same from one unit to another.
            pub(crate) fn convert(self, from: $crate::field::Unit, to: $crate::field::Unit) -> Self {
                Self::from_array($crate::field::Field::convert(&Self::FIELDS, self.into_array(), from, to))
            }
        }

        impl<T> $name<T> {
            /// The numbers in the order of the table.
            #[must_use]
            pub fn into_array(self) -> [T; $name::FIELDS.len()] {
                [$(self.$field),+]
            }

            /// The struct from numbers in the order of the table.
            #[must_use]
            pub fn from_array([$($field),+]: [T; $name::FIELDS.len()]) -> Self {
                Self { $($field),+ }
            }

            /// The same over another scalar.
            #[must_use]
            pub fn map<U>(self, f: impl FnMut(T) -> U) -> $name<U> {
                $name::from_array(self.into_array().map(f))
            }
        }
    };
    (@row $($doc:literal)+, $field:ident, $kind:ident, $range:tt $(, $default:expr)?) => {{
        let (range, range_in) = $crate::field::fields!(@range $range);
        $crate::field::Field {
            name: stringify!($field),
            what: concat!($($doc, "\n"),+).trim_ascii(),
            kind: $crate::field::FieldKind::$kind,
            range,
            range_in,
            default: $crate::field::fields!(@default $($default)?),
        }
    }};
    (@range [$range:expr]) => { ($range, $range) };
    (@range [$cm:expr, $inches:expr]) => { ($cm, $inches) };
    (@default) => { None };
    (@default $default:expr) => { Some($default) };
}

pub(crate) use fields;
