//! The Python classes of the input of a draft: body, ease, rules and fixed darts. Each instance is frozen and valid;
//! names, ranges and docs come from the same tables as the Rust structs.

use std::convert::Infallible;
use std::hash::{DefaultHasher, Hash, Hasher};

use pyo3::prelude::*;
use pyo3::types::{PyBool, PyDict};

use super::draft::AnyDict;
use super::texts::{text_of_python_string, text_or_repr};
use crate::body::{self, DartPosition, body_table, ease_table, shares_table};
use crate::document::{InputReader, JsonValue};
use crate::error::{Problem, Problems};
use crate::field::{Field, Unit};

/// Declares argument types for any Python object. The reader of JSON requests validates the value with equal problems.
macro_rules! unvalidated_argument_types {
    ($($(#[$meta:meta])* $name:ident as $python:literal;)+) => {$(
        $(#[$meta])*
        pub(crate) struct $name(pub(super) JsonValue);

        impl FromPyObject<'_, '_> for $name {
            type Error = Infallible;

            #[cfg(feature = "stubs")]
            const INPUT_TYPE: pyo3::inspect::PyStaticExpr = pyo3::type_hint_identifier!("builtins", $python);

            fn extract(object: Borrowed<'_, '_, PyAny>) -> Result<Self, Infallible> {
                Ok(Self(python_to_json_value(object)))
            }
        }

        impl From<$name> for JsonValue {
            fn from(argument: $name) -> JsonValue {
                argument.0
            }
        }
    )+};
}

unvalidated_argument_types! {
    /// Argument with the type hint `float`: any Python object, not yet validated.
    NumberArgument as "float";
    /// Argument with the type hint `str`: any Python object, not yet validated.
    NameArgument as "str";
    /// Argument with the type hint `bool`: any Python object, not yet validated.
    BooleanArgument as "bool";
    /// Argument with the type hint `int`: any Python object, not yet validated.
    IntegerArgument as "int";
}

/// Converts `None`, a bool, str or number to its JSON value, and any other object to `NotJson` with its `repr`.
pub(super) fn python_to_json_value(object: Borrowed<'_, '_, PyAny>) -> JsonValue {
    let number = || object.extract::<f64>().map(JsonValue::Number).ok();
    if object.is_none() {
        JsonValue::Null
    } else if let Ok(boolean) = object.cast::<PyBool>() {
        JsonValue::Bool(boolean.is_true())
    } else if let Some(text) = text_of_python_string(object) {
        JsonValue::String(text.into_owned())
    } else {
        number().unwrap_or_else(|| JsonValue::NotJson(text_or_repr(object)))
    }
}

/// Builds a JSON object; fields without a value are left out.
pub(super) fn json_object<const N: usize>(fields: [(&str, Option<JsonValue>); N]) -> JsonValue {
    JsonValue::Object(fields.into_iter().filter_map(|(name, value)| Some((name.to_owned(), value?))).collect())
}

/// Returns the unit named `cm` or `in`; raises `InputError` for another name.
pub(super) fn parse_unit(name: &str) -> PyResult<Unit> {
    let mut reader = InputReader { unit: None, problems: Vec::new() };
    let unit = reader.read_unit(Some(&JsonValue::String(name.to_owned())));
    Ok(reader.into_result(unit)?)
}

/// Returns one valid number for each field, from `arguments` or the field's default, with lengths in centimetres.
fn validate_to_cm<const N: usize>(
    path: &str,
    arguments: &[Option<NumberArgument>; N],
    fields: &[Field; N],
    unit: &str,
) -> PyResult<[f64; N]> {
    let unit = parse_unit(unit)?;
    let mut reader = InputReader { unit: Some(unit), problems: Vec::new() };
    let arguments = arguments.each_ref().map(|number| number.as_ref().map(|number| &number.0));
    let numbers = reader.read_numbers_of_fields(path, arguments, fields);
    let numbers = reader.into_result(numbers)?;
    Ok(Field::convert_lengths(fields, numbers, unit, Unit::Cm))
}

/// Returns the text `name=value` for each field, joined by commas, as in a Python call.
fn keyword_values_text<const N: usize>(fields: &[Field; N], values: [f64; N]) -> String {
    let keywords: Vec<String> =
        fields.iter().zip(values).map(|(field, value)| format!("{}={value:?}", field.name)).collect();
    keywords.join(", ")
}

/// Returns the hash of a text: an object's `repr` or JSON, with all digits of numbers, so unequal objects differ.
pub(super) fn hash_of_text(text: &str) -> u64 {
    let mut hasher = DefaultHasher::new();
    text.hash(&mut hasher);
    hasher.finish()
}

/// Declares the Python class of a group of named input numbers, such as `Ease`. Keyword arguments are in `unit`,
/// attributes in centimetres. `$path` prefixes the field names in problems; `$example` is the example in the docs.
macro_rules! input_numbers_class {
    ($signature:tt $argument:tt $path:literal [$($example:tt)*] $(#[$meta:meta])* $name:ident {
        $($(#[doc = $doc:literal])+ $field:ident: $kind:ident $range:tt $(= $default:expr)?;)+
    }) => {
        $(#[$meta])*
        $($example)*
        #[pyclass(frozen, eq, module = "kirtle")]
        #[derive(Clone, PartialEq)]
        pub(crate) struct $name(pub(super) body::$name);

        #[allow(clippy::too_many_arguments, reason = "one keyword argument for each number")]
        #[pymethods]
        impl $name {
            #[new]
            #[pyo3(signature = $signature)]
            fn new($($field: input_numbers_class!(@type $argument),)+ unit: &str) -> PyResult<Self> {
                let arguments = [$($field.into()),+];
                validate_to_cm($path, &arguments, &body::$name::FIELDS, unit).map(body::$name::from_array).map(Self)
            }

            $($(#[doc = $doc])+ #[getter] fn $field(&self) -> f64 { self.0.$field })+

            pub(super) fn __repr__(&self) -> String {
                format!("{}({})", stringify!($name), keyword_values_text(&body::$name::FIELDS, self.0.into_array()))
            }

            fn __hash__(&self) -> u64 {
                hash_of_text(&self.__repr__())
            }

            fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), AnyDict<'py>)> {
                let numbers = PyDict::new(py);
                $(numbers.set_item(stringify!($field), self.0.$field)?;)+
                Ok(((), AnyDict(numbers)))
            }
        }
    };
    (@type [$($argument:tt)+]) => { $($argument)+ };
}

macro_rules! body_class {
    ($($table:tt)*) => { input_numbers_class! { (*, waist, hip, hip_depth, length, unit = "cm") [NumberArgument] "body." [
        ///
        /// >>> Body(waist=28, hip=38, hip_depth=8, length=24, unit="in").waist
        /// 71.12
        /// >>> Body(waist=7.4, hip="101", hip_depth=20.5, length=62)
        /// Traceback (most recent call last):
        /// kirtle.InputError: body.waist: 7.4 cm is below the minimum of 40 cm
        /// body.hip: "101" is not a number from 50 to 220 cm
    ]
    $($table)* } };
}
body_table!(body_class);

macro_rules! ease_class {
    ($($table:tt)*) => { input_numbers_class! { (*, waist, hip, unit = "cm") [NumberArgument] "ease." [
        ///
        /// >>> Ease(waist=1.5, hip=5)
        /// Ease(waist=1.5, hip=5.0)
        /// >>> Ease(waist=1.5, hip=500)
        /// Traceback (most recent call last):
        /// kirtle.InputError: ease.hip: 500 cm is above the maximum of 60 cm
    ]
    $($table)* } };
}
ease_table!(ease_class);

macro_rules! shares_class {
    ($($table:tt)*) => { input_numbers_class! { (
        *, back_share = None, front_share = None, largest_dart = None, smallest_dart = None, steepest_side = None,
        back_inner_length = None, back_outer_length = None, front_inner_length = None, front_outer_length = None,
        single_place = None, inner_place = None, outer_place = None, unit = "cm"
    ) [Option<NumberArgument>] "rules.shares." [
        ///
        /// >>> Shares(back_share=0.35, largest_dart=4).front_share
        /// 0.2
        /// >>> Shares(back_share=0.6)
        /// Traceback (most recent call last):
        /// kirtle.InputError: rules.shares.back_share: 0.6 is above the maximum of 0.5
    ]
    $($table)* } };
}
shares_table!(shares_class);

/// Dart of fixed size, as a handbook gives it.
///
/// Exactly one of `place` and `centre` gives the position on the waist: `place` as a share of the panel's waist, from
/// 0.05 to 0.95, or `centre` as a distance. Both count from the centre line. Lengths are in `unit`; attributes are in
/// centimetres.
///
/// >>> FixedDart(intake=3, length=13, place=0.5)
/// FixedDart(intake=3.0, length=13.0, place=0.5)
/// >>> FixedDart(intake=3, length=13)
/// Traceback (most recent call last):
/// kirtle.InputError: dart.place: missing: give a number from 0.05 to 0.95
#[pyclass(frozen, eq, module = "kirtle", from_py_object)]
#[derive(Clone, PartialEq)]
pub(crate) struct FixedDart(body::FixedDart);

#[pymethods]
impl FixedDart {
    /// Create a dart of fixed size.
    ///
    /// Raises `InputError` with all the problems at once.
    #[new]
    #[pyo3(signature = (*, intake, length, place = None, centre = None, unit = "cm"))]
    fn new(
        intake: NumberArgument,
        length: NumberArgument,
        place: Option<NumberArgument>,
        centre: Option<NumberArgument>,
        unit: &str,
    ) -> PyResult<Self> {
        let (place, centre) = (place.map(JsonValue::from), centre.map(JsonValue::from));
        let value =
            json_object([("intake", Some(intake.0)), ("length", Some(length.0)), ("place", place), ("centre", centre)]);
        let mut reader = InputReader { unit: Some(parse_unit(unit)?), problems: Vec::new() };
        let dart = reader.read_dart("dart", &value);
        Ok(Self(reader.into_result(dart)?.convert_lengths(parse_unit(unit)?, Unit::Cm)))
    }

    /// Width of the dart's mouth at the waist, in centimetres.
    #[getter]
    fn intake(&self) -> f64 {
        self.0.intake
    }

    /// Length of the dart from mouth to tip along its centre, in centimetres.
    #[getter]
    fn length(&self) -> f64 {
        self.0.length
    }

    /// Position of the dart's centre as a share of the panel's waist, from the centre line; `None` if `centre` is set.
    #[getter]
    fn place(&self) -> Option<f64> {
        if let DartPosition::Share(share) = self.0.place { Some(share) } else { None }
    }

    /// Position of the dart's centre as a distance from the centre line, in centimetres; `None` if `place` is set.
    #[getter]
    fn centre(&self) -> Option<f64> {
        if let DartPosition::Centre(distance) = self.0.place { Some(distance) } else { None }
    }

    pub(super) fn __repr__(&self) -> String {
        let keywords = self.0.fields_and_values().map(|(field, value)| format!("{}={value:?}", field.name));
        format!("FixedDart({})", keywords.join(", "))
    }

    fn __hash__(&self) -> u64 {
        hash_of_text(&self.__repr__())
    }

    fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), AnyDict<'py>)> {
        let numbers = PyDict::new(py);
        for (field, value) in self.0.fields_and_values() {
            numbers.set_item(field.name, value)?;
        }
        Ok(((), AnyDict(numbers)))
    }
}

/// Fixed darts of back and front. The side seam takes the rest of the suppression.
///
/// Each list has at most 3 darts, from the centre to the side.
///
/// >>> fixed = Darts(back=[FixedDart(intake=4, length=13, place=0.5)], front=[])
/// >>> body = Body(waist=74, hip=101, hip_depth=20.5, length=62)
/// >>> len(draft(body, ease=Ease(waist=1.5, hip=5), rules=Rules(darts=fixed)).front.darts)
/// 0
/// >>> Darts(back=[FixedDart(intake=1, length=12, place=0.5)] * 4, front=[])
/// Traceback (most recent call last):
/// kirtle.InputError: rules.darts.back: 4 darts are given, at most 3 darts allowed
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(Clone, PartialEq)]
pub(crate) struct Darts(body::Darts);

#[pymethods]
impl Darts {
    /// Create the lists of fixed darts.
    ///
    /// Raises `InputError` for a list with more than 3 darts.
    #[new]
    #[pyo3(signature = (*, back, front))]
    fn new(back: Vec<FixedDart>, front: Vec<FixedDart>) -> PyResult<Self> {
        let [back, front]: [Vec<_>; 2] = [back, front].map(|darts| darts.into_iter().map(|dart| dart.0).collect());
        let lists = [("rules.darts.back", &back), ("rules.darts.front", &front)].into_iter();
        let too_many = |(path, darts): (&str, &Vec<_>)| {
            Problem::if_too_many(path, darts.len(), body::MAX_DARTS_PER_PANEL, "darts")
        };
        Problems::ok_if_empty(lists.filter_map(too_many).collect())?;
        Ok(Self(body::Darts { back, front }))
    }

    /// Fixed darts of the back panel, from the centre to the side.
    #[getter]
    fn back(&self) -> Vec<FixedDart> {
        self.0.back.iter().copied().map(FixedDart).collect()
    }

    /// Fixed darts of the front panel, from the centre to the side.
    #[getter]
    fn front(&self) -> Vec<FixedDart> {
        self.0.front.iter().copied().map(FixedDart).collect()
    }

    pub(super) fn __repr__(&self) -> String {
        let [back, front] = [self.back(), self.front()]
            .map(|darts| darts.iter().map(FixedDart::__repr__).collect::<Vec<_>>().join(", "));
        format!("Darts(back=[{back}], front=[{front}])")
    }

    fn __hash__(&self) -> u64 {
        hash_of_text(&self.__repr__())
    }

    fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), AnyDict<'py>)> {
        let lists = PyDict::new(py);
        lists.set_item("back", self.back())?;
        lists.set_item("front", self.front())?;
        Ok(((), AnyDict(lists)))
    }
}

/// Rules of construction: the proportions of the panels, and how the suppression is shared out.
///
/// Either `shares` or fixed `darts` share out the suppression; the default is `Shares()`.
///
/// >>> Rules(balance=0, shares=Shares(largest_dart=4)).balance
/// 0.0
/// >>> Rules(balance=9)
/// Traceback (most recent call last):
/// kirtle.InputError: rules.balance: 9 cm is above the maximum of 5 cm
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(Clone, PartialEq)]
pub(crate) struct Rules(pub(super) body::Rules);

#[pymethods]
impl Rules {
    /// Create rules; each rule that is not passed has its default.
    ///
    /// Raises `InputError` with all the problems at once, and for `shares` together with `darts`.
    #[new]
    #[pyo3(signature = (
        *, balance = None, centre_back_lower = None, centre_front_lower = None, side_fullness = None, shares = None, darts = None, unit = "cm"
    ))]
    fn new(
        balance: Option<NumberArgument>,
        centre_back_lower: Option<NumberArgument>,
        centre_front_lower: Option<NumberArgument>,
        side_fullness: Option<NumberArgument>,
        shares: Option<&Shares>,
        darts: Option<&Darts>,
        unit: &str,
    ) -> PyResult<Self> {
        let apportionment = match (shares, darts) {
            (Some(_), Some(_)) => return Err(Problems::from(body::shares_and_darts_conflict()).into()),
            (None, Some(darts)) => body::Apportionment::Darts(darts.0.clone()),
            (shares, None) => body::Apportionment::Shares(shares.map(|shares| shares.0).unwrap_or_default()),
        };
        let arguments = [balance, centre_back_lower, centre_front_lower, side_fullness];
        let panel_rules =
            body::PanelRules::from_array(validate_to_cm("rules.", &arguments, &body::PanelRules::FIELDS, unit)?);
        Ok(Self(body::Rules { panel_rules, apportionment }))
    }

    /// Width moved from the back panel to the front panel at the hip, in centimetres; 0 makes the panels equally wide.
    #[getter]
    fn balance(&self) -> f64 {
        self.0.panel_rules.balance
    }

    /// Extra lowering of the back waist at the centre, in centimetres.
    #[getter]
    fn centre_back_lower(&self) -> f64 {
        self.0.panel_rules.centre_back_lower
    }

    /// Extra lowering of the front waist at the centre, in centimetres.
    #[getter]
    fn centre_front_lower(&self) -> f64 {
        self.0.panel_rules.centre_front_lower
    }

    /// Fullness of the side seam above the hip line: slope at the waist divided by the slope of the chord to the hip
    /// line.
    #[getter]
    fn side_fullness(&self) -> f64 {
        self.0.panel_rules.side_fullness
    }

    /// Shares of the suppression; `None` if the rules have fixed darts.
    #[getter]
    fn shares(&self) -> Option<Shares> {
        if let body::Apportionment::Shares(shares) = self.0.apportionment { Some(Shares(shares)) } else { None }
    }

    /// Fixed darts; `None` if the rules have shares.
    #[getter]
    fn darts(&self) -> Option<Darts> {
        if let body::Apportionment::Darts(darts) = &self.0.apportionment { Some(Darts(darts.clone())) } else { None }
    }

    pub(super) fn __repr__(&self) -> String {
        let panel_rules = keyword_values_text(&body::PanelRules::FIELDS, self.0.panel_rules.into_array());
        let shares = self.shares().map(|shares| format!("shares={}", shares.__repr__()));
        let darts = self.darts().map(|darts| format!("darts={}", darts.__repr__()));
        format!("Rules({panel_rules}, {})", shares.or(darts).unwrap_or_default())
    }

    fn __hash__(&self) -> u64 {
        hash_of_text(&self.__repr__())
    }

    fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), AnyDict<'py>)> {
        let choices = PyDict::new(py);
        for (field, value) in body::PanelRules::FIELDS.iter().zip(self.0.panel_rules.into_array()) {
            choices.set_item(field.name, value)?;
        }
        choices.set_item("shares", self.shares())?;
        choices.set_item("darts", self.darts())?;
        Ok(((), AnyDict(choices)))
    }
}
