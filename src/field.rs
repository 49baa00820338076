//! [`Field`]: definition of an input number (name, description, kind, range, default); [`Unit`] of lengths.
//!
//! Struct field, JSON key, schema text, Python attribute and error message of a number all come from one [`Field`], so
//! that names and ranges cannot differ between interfaces.
//!
//! ```
//! use kirtle::{Body, Unit};
//!
//! let [waist, ..] = &Body::FIELDS;
//! assert_eq!((waist.name, waist.range(Unit::Cm)), ("waist", (40.0, 200.0)));
//! assert_eq!(waist.range_text(Unit::In), "a number from 15.75 to 78.74 in");
//! ```

use crate::error::{Code, GivenValue, Problem, Problems, round_up_to_two_decimals};

/// Largest difference, in centimetres, at which two lengths count as equal, so that rounding decides nothing.
pub(crate) const EQUALITY_TOLERANCE_CM: f64 = 1e-9;

pub(crate) const SAMPLING_WEIGHT_FIELD: Field =
    Field::new("weight", "Sampling weight: number of people for whom the person stands.", FieldKind::Ratio, (0.0, 1e9));

/// Declares an enum of choices: variants with JSON names, the list `ALL` of all variants, the method `name`, and the
/// conversions from and to the name as a text.
macro_rules! choices {
    ($(#[$meta:meta])* $choices:ident { $($(#[$variant_meta:meta])+ $variant:ident = $name:literal;)+ }) => {
        $crate::error::named_variants! {
            $(#[$meta])* $choices { $($(#[$variant_meta])+ $variant = $name;)+ }
        }

        impl $choices {
            /// All choices, in the order of declaration.
            pub const ALL: [$choices; [$($name),+].len()] = [$($choices::$variant),+];
        }

        impl std::str::FromStr for $choices {
            type Err = $crate::Problems;

            fn from_str(name: &str) -> Result<Self, $crate::Problems> {
                let problem = || $crate::error::Problem::new($crate::Code::UnknownChoice, stringify!($choices).to_lowercase())
                    .with_value(format!("{name:?}")).with_choices(Self::ALL.map(Self::name));
                Self::ALL.into_iter().find(|choice| choice.name() == name).ok_or_else(|| problem().into())
            }
        }
    };
}
pub(crate) use choices;

choices! {
    /// Unit of lengths in input and output. Kirtle computes in centimetres. Documents are in centimetres or inches;
    /// millimetres are for tables of people, as surveys are published in millimetres.
    ///
    /// ```
    /// use kirtle::Unit;
    ///
    /// let unit: Unit = "in".parse()?;
    /// assert_eq!((unit.cm_per_unit(), unit.to_string()), (2.54, "in".to_owned()));
    /// assert!("inch".parse::<Unit>().is_err());
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    #[derive(Default)]
    Unit {
        /// Centimetres.
        #[default]
        Cm = "cm";
        /// Inches of 2.54 cm.
        In = "in";
        /// Millimetres; only for tables.
        Mm = "mm";
    }
}

impl Unit {
    /// Units of documents and drawings.
    pub(crate) const DOCUMENT_UNITS: [Self; 2] = [Self::Cm, Self::In];

    /// Returns the unit of a document whose numbers were given in this unit: centimetres for millimetres.
    pub(crate) fn of_document(self) -> Self {
        if self == Self::Mm { Self::Cm } else { self }
    }

    /// Returns the length of one unit in centimetres: 1, 2.54 or 0.1.
    pub fn cm_per_unit(self) -> f64 {
        match self {
            Unit::Cm => 1.0,
            Unit::In => 2.54,
            Unit::Mm => 0.1,
        }
    }

    /// Converts a length from centimetres to this unit.
    pub(crate) fn length_from_cm(self, length_cm: f64) -> f64 {
        // A factor of 10 keeps more digits than a division by 0.1.
        if self == Unit::Mm { length_cm * 10.0 } else { length_cm / self.cm_per_unit() }
    }

    /// Converts a length from this unit to centimetres.
    fn length_to_cm(self, length: f64) -> f64 {
        if self == Unit::Mm { length / 10.0 } else { length * self.cm_per_unit() }
    }

    /// Converts the lengths in the problems of `result`, if it failed, from centimetres to this unit.
    pub(crate) fn convert_problems_from_cm<T>(self, result: Result<T, Problems>) -> Result<T, Problems> {
        let convert = |mut problem: Problem| {
            if self == Unit::Cm || problem.unit.as_deref() != Some("cm") {
                return problem;
            }
            let given = [&mut problem.value, &mut problem.limit].into_iter().flatten();
            let given =
                given.filter_map(|given| if let GivenValue::Number(number) = given { Some(number) } else { None });
            let range = [&mut problem.minimum, &mut problem.maximum].into_iter().flatten();
            // A range converts back exactly, so that its ends stay valid.
            given.chain(range).for_each(|number| *number = FieldKind::Length.convert_unit(*number, Unit::Cm, self));
            problem.with_unit(self.name())
        };
        result.map_err(|problems| problems.map(convert))
    }
}

/// Kind of a number, of an input or of a result; the kind decides the unit of the number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FieldKind {
    /// Length, in the unit of lengths of the request or result.
    Length,
    /// Area in the square of the unit of lengths; only of results.
    Area,
    /// Number without unit, such as a share from 0 to 1.
    Ratio,
    /// Angle in degrees.
    Angle,
    /// Length on paper, always in millimetres.
    Millimetres,
}

impl FieldKind {
    /// Converts a number of this kind from one length unit to another; a number that is not a length stays unchanged.
    ///
    /// If some float near the result converts back to exactly `value`, that float is returned.
    pub fn convert_unit(self, value: f64, from: Unit, to: Unit) -> f64 {
        if self != FieldKind::Length || from == to {
            return value;
        }
        let converted = to.length_from_cm(from.length_to_cm(value));
        let back = |near: f64| from.length_from_cm(to.length_to_cm(near));
        // Rounding can lose the last bit on the way back; one of the adjacent floats may keep it.
        let neighbours = [converted, converted.next_up(), converted.next_down()];
        neighbours.into_iter().find(|near| back(*near).to_bits() == value.to_bits()).unwrap_or(converted)
    }

    /// Converts a number from centimetres to `unit`; a number given with at most 12 digits returns as it was given.
    pub(crate) fn given_number(self, cm: f64, unit: Unit) -> f64 {
        let exact = self.convert_unit(cm, Unit::Cm, unit);
        let given = format!("{exact:.11e}").parse().unwrap_or(exact);
        if self.convert_unit(given, unit, Unit::Cm).total_cmp(&cm).is_eq() { given } else { exact }
    }

    /// Returns the factor by which to multiply a length or area in `unit` to get cm or cm²; 1 for any other number.
    pub(crate) fn cm_per_unit(self, unit: Unit) -> f64 {
        match self {
            FieldKind::Length => unit.cm_per_unit(),
            FieldKind::Area => unit.cm_per_unit() * unit.cm_per_unit(),
            FieldKind::Ratio | FieldKind::Angle | FieldKind::Millimetres => 1.0,
        }
    }

    /// Converts a number of a result from cm or cm² to `unit` or its square; any other number stays unchanged.
    pub(crate) fn convert_from_cm(self, number: f64, unit: Unit) -> f64 {
        match (self, unit) {
            (FieldKind::Length, _) => unit.length_from_cm(number),
            (FieldKind::Area, Unit::Mm) => number * 100.0,
            _ => number / self.cm_per_unit(unit),
        }
    }

    /// Returns the symbol of the unit of this kind where lengths are in `unit`: such as `cm²` for an area, `deg`, `mm`,
    /// or `""` for a ratio.
    pub fn unit_name(self, unit: Unit) -> &'static str {
        match self {
            FieldKind::Length => unit.name(),
            FieldKind::Area => ["cm²", "in²", "mm²"][unit as usize],
            FieldKind::Ratio => "",
            FieldKind::Angle => "deg",
            FieldKind::Millimetres => "mm",
        }
    }
}

/// Definition of one input number: name, description, kind, range and default.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Field {
    /// Name of the number as struct field, JSON key and Python attribute.
    pub name: &'static str,
    /// Description of the number, with line breaks; [`Field::description`] returns it on one line.
    pub doc: &'static str,
    /// Kind of the number: length, ratio, angle or millimetres.
    pub kind: FieldKind,
    /// Minimum and maximum; lengths in centimetres.
    pub range: (f64, f64),
    /// Default value, if the number is optional; lengths in centimetres.
    pub default: Option<f64>,
}

impl Field {
    /// Creates the definition of a required number; `range` is in centimetres for a length.
    pub(crate) const fn new(name: &'static str, doc: &'static str, kind: FieldKind, range: (f64, f64)) -> Self {
        Self { name, doc, kind, range, default: None }
    }

    /// Returns the description of the number in one line.
    pub fn description(&self) -> String {
        self.doc.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// Returns minimum and maximum of the number, those of a length in `unit`. A length that is valid in one unit is
    /// valid in every unit.
    pub fn range(&self, unit: Unit) -> (f64, f64) {
        let (min, max) = self.range;
        (self.kind.convert_unit(min, Unit::Cm, unit), self.kind.convert_unit(max, Unit::Cm, unit))
    }

    /// Returns the default value of the number, that of a length in `unit`; `None` for a required number.
    pub fn default(&self, unit: Unit) -> Option<f64> {
        self.default.map(|value| self.kind.convert_unit(value, Unit::Cm, unit))
    }

    /// Returns minimum and maximum for messages, in `unit` for a length; inches are rounded inwards to two decimals.
    fn range_rounded_inwards(&self, unit: Unit) -> (f64, f64) {
        let (min, max) = self.range(unit);
        let is_rounded = self.kind == FieldKind::Length && unit == Unit::In;
        if is_rounded { (round_up_to_two_decimals(min), -round_up_to_two_decimals(-max)) } else { (min, max) }
    }

    /// Formats the range for messages, such as `a number from 15.75 to 78.74 in`, rounded inwards to two decimals in
    /// inches.
    pub fn range_text(&self, unit: Unit) -> String {
        let (min, max) = self.range_rounded_inwards(unit);
        let unit = self.kind.unit_name(unit);
        format!("a number from {min} to {max} {unit}").trim_end().to_owned()
    }

    /// Adds the range in `unit` to a problem: minimum, maximum, unit, and the text of the range as the limit.
    pub(crate) fn add_range_to_problem(&self, mut problem: Problem, unit: Unit) -> Problem {
        let (min, max) = self.range(unit);
        (problem.minimum, problem.maximum) = (Some(min), Some(max));
        problem.with_limit(self.range_text(unit)).with_unit(self.kind.unit_name(unit))
    }

    /// Returns the problem of a value in `unit`, or `None` if the value is in range; `path`, such as "body.", precedes
    /// the field name.
    pub(crate) fn range_problem(&self, path: &str, value: f64, unit: Unit) -> Option<Problem> {
        let (min, max) = self.range(unit);
        if (min..=max).contains(&value) { None } else { Some(self.out_of_range_problem(path, value, unit)) }
    }

    /// Returns the problem of the first of `values`, lengths in centimetres, that is out of range, or `None`; the field
    /// of the problem is `path[index]`.
    pub(crate) fn first_range_problem(&self, path: &str, values: &[f64]) -> Option<Problem> {
        let index = values.iter().position(|value| !(self.range.0..=self.range.1).contains(value))?;
        Self { name: "", ..*self }.range_problem(&format!("{path}[{index}]"), values[index], Unit::Cm)
    }

    /// Creates the problem of a value that is not finite or out of range.
    #[cold]
    fn out_of_range_problem(&self, path: &str, value: f64, unit: Unit) -> Problem {
        let ((min, max), field) = (self.range_rounded_inwards(unit), format!("{path}{}", self.name));
        let problem = |code| self.add_range_to_problem(Problem::new(code, &*field).with_value(value), unit);
        if !value.is_finite() {
            problem(Code::NotFinite)
        } else if value < self.range(unit).0 {
            problem(Code::BelowMinimum).with_limit(min)
        } else {
            problem(Code::AboveMaximum).with_limit(max)
        }
    }
}

/// Returns the problems of a minimum and a maximum length, in centimetres: either outside −200 to 200 cm, or the
/// maximum below the minimum.
pub(crate) fn min_and_max_length_problems(path: &str, (min, max): (f64, f64)) -> impl Iterator<Item = Problem> + use<> {
    let problem =
        |name, min, value| Field::new(name, "", FieldKind::Length, (min, 200.0)).range_problem(path, value, Unit::Cm);
    let min_problem = problem("minimum", -200.0, min);
    let least_max = if min_problem.is_some() { -200.0 } else { min };
    let max_problem = problem("maximum", least_max, max);
    min_problem.into_iter().chain(max_problem)
}

/// Returns whether a value is the default of its type; JSON leaves out such values.
pub(crate) fn is_default_of_type<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}

/// Declares, from a table, a struct of numbers of any scalar type, with `FIELDS` and conversions to and from arrays.
/// After `choices:` come fields that are no numbers; each has a default. A table in which every number has a default
/// implements `Default` if that follows its name.
///
/// `@struct` declares fields of a type that holds a number, with serde attributes, and says how a function converts the
/// number.
macro_rules! fields {
    (
        @struct $number:ty, $serde:tt, |$one:ident, $convert:ident| $converted:expr;
        $(#[$meta:meta])*
        $name:ident $(: $default_trait:ident)? {
            $($(#[doc = $doc:literal])+ $field:ident: $kind:ident $range:tt $(= $default:expr)?;)+
            $(choices: $($(#[doc = $choice_doc:literal])+ $choice:ident: $choice_type:ty;)+)?
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
                    stringify!($kind), ", minimum and maximum (length: in centimetres): `", stringify!($range), "`",
                    $("; default `", stringify!($default), "`",)? "."
                )]
                #[serde $serde]
                pub $field: $number,
            )+
            $($(
                $(#[doc = $choice_doc])+
                #[serde(default, skip_serializing_if = "crate::field::is_default_of_type")]
                pub $choice: $choice_type,
            )+)?
        }

        impl $name {
            /// Definitions of the numbers, in the order of the struct fields.
            pub const FIELDS: [$crate::field::Field; [$(stringify!($field)),+].len()] =
                [$($crate::field::Field {
                    name: stringify!($field),
                    doc: concat!($($doc, "\n"),+).trim_ascii(),
                    kind: $crate::field::FieldKind::$kind,
                    range: $range,
                    default: [$(Some($default),)? None][0],
                }),+];

            /// Converts the lengths among the numbers from one unit to another.
            pub(crate) fn convert_lengths(self, from: $crate::field::Unit, to: $crate::field::Unit) -> Self {
                self.map_fields(|field, number| field.kind.convert_unit(number, from, to))
            }
        }

        $(impl $default_trait for $name {
            fn default() -> Self {
                Self::from_array(Self::FIELDS.map(|field| field.default.unwrap_or(f64::NAN)))
            }
        })?

        impl<T> $name<T> {
            /// Returns the numbers as an array, in the order of `FIELDS`.
            pub fn into_array(self) -> [$number; $name::FIELDS.len()] {
                [$(self.$field),+]
            }

            /// Creates the struct from an array of numbers in the order of `FIELDS`; any other field has its default.
            pub fn from_array([$($field),+]: [$number; $name::FIELDS.len()]) -> Self {
                Self { $($field,)+ $($($choice: <$choice_type>::default(),)+)? }
            }

            /// Applies a function to every number, for example to convert to another scalar type.
            pub fn map<U>(self, mut f: impl FnMut(T) -> U) -> $name<U> {
                self.map_fields(|_, number| f(number))
            }

            /// Applies a function to every number with its definition.
            pub(crate) fn map_fields<U>(self, mut f: impl FnMut(&'static $crate::field::Field, T) -> U) -> $name<U> {
                let [$($field),+] = const { &$name::FIELDS };
                $name {
                    $($field: { let ($one, $convert) = (self.$field, &mut |number| f($field, number)); $converted },)+
                    $($($choice: self.$choice,)+)?
                }
            }
        }
    };
    // Declares the struct, and a macro that gives the same table to another macro, which writes the Python class. `$d` is
    // the dollar sign of the declared macro. `fields! { @table ($) ease_table [] Ease { … } }` becomes
    //     fields! { Ease { … } }
    //     macro_rules! ease_table { ($make:ident $($more:tt)*) => { $make! { $($more)* Ease { … } } } }
    // so that `ease_table! { input_numbers_class keywords (…) … }` is `input_numbers_class! { keywords (…) … Ease { … } }`.
    (@table ($d:tt) $table:ident [$($options:tt)*] $($rows:tt)*) => {
        $crate::field::fields! { $($options)* $($rows)* }

        macro_rules! $table {
            ($d make:ident $d ($d more:tt)*) => { $d make! { $d ($d more)* $($rows)* } };
        }
        pub(crate) use $table;
    };
    ($($table:tt)*) => { $crate::field::fields!(@struct T, (), |n, f| f(n); $($table)*); };
}

pub(crate) use fields;
