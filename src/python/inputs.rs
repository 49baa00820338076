//! Body, ease and rules as frozen Python classes, made from the same tables as the Rust structs.

use std::convert::Infallible;
use std::hash::{DefaultHasher, Hash, Hasher};

use pyo3::prelude::*;
use pyo3::types::{PyBool, PyDict};

use super::draft::Dict;
use super::texts::{letters, shown_as};
use crate::body::{self, DartPosition, body_table, ease_table, shares_table};
use crate::document::Reader;
use crate::document::node::Node;
use crate::error::{Problem, Problems};
use crate::field::{Field, Unit};

/// Makes a type for whatever was passed as a value of a kind: read, and refused, as the same value in JSON would be.
macro_rules! given {
    ($($(#[$meta:meta])* $name:ident as $python:literal;)+) => {$(
        $(#[$meta])*
        pub(crate) struct $name(pub(super) Node);

        impl FromPyObject<'_, '_> for $name {
            type Error = Infallible;

            #[cfg(feature = "stubs")]
            const INPUT_TYPE: pyo3::inspect::PyStaticExpr = pyo3::type_hint_identifier!("builtins", $python);

            fn extract(object: Borrowed<'_, '_, PyAny>) -> Result<Self, Infallible> {
                Ok(Self(node(object)))
            }
        }

        impl From<$name> for Node {
            fn from(given: $name) -> Node {
                given.0
            }
        }
    )+};
}

given! {
    /// What should be a number.
    Number as "float";
    /// What should be a word or a name.
    Word as "str";
    /// What should be true or false.
    Truth as "bool";
    /// What should be a whole number.
    Count as "int";
}

pub(super) fn node(object: Borrowed<'_, '_, PyAny>) -> Node {
    let number = || object.extract::<f64>().map(Node::Number).ok();
    if object.is_none() {
        Node::Null
    } else if let Ok(truth) = object.cast::<PyBool>() {
        Node::Truth(truth.is_true())
    } else if let Some(text) = letters(object) {
        Node::Text(text.into_owned())
    } else {
        number().unwrap_or_else(|| Node::Other(shown_as(object)))
    }
}

/// The fields that were given, as an object.
pub(super) fn object<const N: usize>(fields: [(&str, Option<Node>); N]) -> Node {
    Node::Object(fields.into_iter().filter_map(|(name, node)| Some((name.to_owned(), node?))).collect())
}

/// The unit of the numbers that follow.
pub(super) fn unit_named(name: &str) -> PyResult<Unit> {
    let mut reader = Reader { unit: None, problems: Vec::new() };
    let unit = reader.choose_unit(Some(&Node::Text(name.to_owned())));
    Ok(reader.finish(unit)?)
}

/// The numbers of a table in centimetres; those that were not given are at their default.
fn numbers<const N: usize>(
    path: &str,
    given: &[Option<Number>; N],
    fields: &[Field; N],
    unit: &str,
) -> PyResult<[f64; N]> {
    let unit = unit_named(unit)?;
    let mut reader = Reader { unit: Some(unit), problems: Vec::new() };
    let numbers = reader.rows(path, given.each_ref().map(|number| number.as_ref().map(|number| &number.0)), fields);
    let numbers = reader.finish(numbers)?;
    Ok(Field::convert(fields, numbers, unit, Unit::Cm))
}

/// `name=value` for each number of a table.
fn shown<const N: usize>(fields: &[Field; N], values: [f64; N]) -> String {
    let shown: Vec<String> =
        fields.iter().zip(values).map(|(field, value)| format!("{}={value:?}", field.name)).collect();
    shown.join(", ")
}

/// Equal representations, equal hashes: every number is shown to the last bit.
pub(super) fn hash_of(shown: &str) -> u64 {
    let mut hasher = DefaultHasher::new();
    shown.hash(&mut hasher);
    hasher.finish()
}

/// Makes the Python class of a table: keyword-only numbers, in `unit`; attributes in centimetres. Its example is for Python only.
macro_rules! frozen {
    ($arguments:tt $given:tt $path:literal [$($example:tt)*] $(#[$meta:meta])* $name:ident {
        $($(#[doc = $doc:literal])+ $field:ident: $kind:ident $range:tt $(= $default:expr)?;)+
    }) => {
        $(#[$meta])*
        $($example)*
        #[pyclass(frozen, eq, module = "kirtle")]
        #[derive(Clone, PartialEq)]
        pub(crate) struct $name(pub(super) body::$name);

        // A keyword for each row, however many they are.
        #[allow(clippy::too_many_arguments)]
        #[pymethods]
        impl $name {
            #[new]
            #[pyo3(signature = $arguments)]
            fn new($($field: frozen!(@type $given),)+ unit: &str) -> PyResult<Self> {
                let given = [$($field.into()),+];
                numbers($path, &given, &body::$name::FIELDS, unit).map(body::$name::from_array).map(Self)
            }

            $($(#[doc = $doc])+ #[getter] fn $field(&self) -> f64 { self.0.$field })+

            pub(super) fn __repr__(&self) -> String {
                format!("{}({})", stringify!($name), shown(&body::$name::FIELDS, self.0.into_array()))
            }

            fn __hash__(&self) -> u64 {
                hash_of(&self.__repr__())
            }

            fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), Dict<'py>)> {
                let numbers = PyDict::new(py);
                $(numbers.set_item(stringify!($field), self.0.$field)?;)+
                Ok(((), Dict(numbers)))
            }
        }
    };
    (@type [$($given:tt)+]) => { $($given)+ };
}

macro_rules! body_class {
    ($($table:tt)*) => { frozen! { (*, waist, hip, hip_depth, length, unit = "cm") [Number] "body." [
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
    ($($table:tt)*) => { frozen! { (*, waist, hip, unit = "cm") [Number] "ease." [
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
    ($($table:tt)*) => { frozen! { (
        *, back_share = None, front_share = None, largest_dart = None, smallest_dart = None, steepest_side = None,
        back_inner_length = None, back_outer_length = None, front_inner_length = None, front_outer_length = None,
        single_place = None, inner_place = None, outer_place = None, unit = "cm"
    ) [Option<Number>] "rules.shares." [
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

/// A dart as a handbook gives it; of `place` (a share of the panel's waist) and `centre` (a length) exactly one.
///
/// >>> FixedDart(intake=3, length=13, place=0.5)
/// FixedDart(intake=3.0, length=13.0, place=0.5)
/// >>> FixedDart(intake=3, length=13)
/// Traceback (most recent call last):
/// kirtle.InputError: dart.place: missing; give a number from 0.05 to 0.95
#[pyclass(frozen, eq, module = "kirtle", from_py_object)]
#[derive(Clone, PartialEq)]
pub(crate) struct FixedDart(body::FixedDart);

#[pymethods]
impl FixedDart {
    #[new]
    #[pyo3(signature = (*, intake, length, place = None, centre = None, unit = "cm"))]
    fn new(
        intake: Number,
        length: Number,
        place: Option<Number>,
        centre: Option<Number>,
        unit: &str,
    ) -> PyResult<Self> {
        let (place, centre) = (place.map(Node::from), centre.map(Node::from));
        let given =
            object([("intake", Some(intake.0)), ("length", Some(length.0)), ("place", place), ("centre", centre)]);
        let mut reader = Reader { unit: Some(unit_named(unit)?), problems: Vec::new() };
        let dart = reader.dart("dart", &given);
        Ok(Self(reader.finish(dart)?.convert(unit_named(unit)?, Unit::Cm)))
    }

    /// Width of the mouth.
    #[getter]
    fn intake(&self) -> f64 {
        self.0.intake
    }

    /// From the mouth to the tip, down the dart's centre.
    #[getter]
    fn length(&self) -> f64 {
        self.0.length
    }

    /// Its centre, as a share of the panel's waist from the centre line.
    #[getter]
    fn place(&self) -> Option<f64> {
        if let DartPosition::Share(share) = self.0.place { Some(share) } else { None }
    }

    /// Its centre, as a length from the centre line.
    #[getter]
    fn centre(&self) -> Option<f64> {
        if let DartPosition::Centre(distance) = self.0.place { Some(distance) } else { None }
    }

    pub(super) fn __repr__(&self) -> String {
        let given = self.0.given().map(|(field, value)| format!("{}={value:?}", field.name));
        format!("FixedDart({})", given.join(", "))
    }

    fn __hash__(&self) -> u64 {
        hash_of(&self.__repr__())
    }

    fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), Dict<'py>)> {
        let numbers = PyDict::new(py);
        for (field, value) in self.0.given() {
            numbers.set_item(field.name, value)?;
        }
        Ok(((), Dict(numbers)))
    }
}

/// Apportioning by given darts, each list from the centre to the side; the side seam takes the rest.
///
/// >>> given = Darts(back=[FixedDart(intake=4, length=13, place=0.5)], front=[])
/// >>> body = Body(waist=74, hip=101, hip_depth=20.5, length=62)
/// >>> len(draft(body, ease=Ease(waist=1.5, hip=5), rules=Rules(darts=given)).front.darts)
/// 0
/// >>> Darts(back=[FixedDart(intake=1, length=12, place=0.5)] * 4, front=[])
/// Traceback (most recent call last):
/// kirtle.InputError: rules.darts.back: 4 darts are given; the most is 3 darts
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(Clone, PartialEq)]
pub(crate) struct Darts(body::Darts);

#[pymethods]
impl Darts {
    #[new]
    #[pyo3(signature = (*, back, front))]
    fn new(back: Vec<FixedDart>, front: Vec<FixedDart>) -> PyResult<Self> {
        let [back, front]: [Vec<_>; 2] = [back, front].map(|darts| darts.into_iter().map(|dart| dart.0).collect());
        let problems = [("rules.darts.back", &back), ("rules.darts.front", &front)].into_iter();
        let many = |(path, darts): (&str, &Vec<_>)| Problem::too_many(path, darts.len(), body::MAX_DARTS, "darts");
        Problems::ok_if_empty(problems.filter_map(many).collect())?;
        Ok(Self(body::Darts { back, front }))
    }

    /// The darts of the back panel.
    #[getter]
    fn back(&self) -> Vec<FixedDart> {
        self.0.back.iter().copied().map(FixedDart).collect()
    }

    /// The darts of the front panel.
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
        hash_of(&self.__repr__())
    }

    fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), Dict<'py>)> {
        let lists = PyDict::new(py);
        lists.set_item("back", self.back())?;
        lists.set_item("front", self.front())?;
        Ok(((), Dict(lists)))
    }
}

/// The drafter's choices: how the panels stand, and how the suppression is shared out, by `shares` or by `darts`.
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
    #[new]
    #[pyo3(signature = (
        *, balance = None, centre_back_lower = None, centre_front_lower = None, side_fullness = None, shares = None, darts = None, unit = "cm"
    ))]
    fn new(
        balance: Option<Number>,
        centre_back_lower: Option<Number>,
        centre_front_lower: Option<Number>,
        side_fullness: Option<Number>,
        shares: Option<&Shares>,
        darts: Option<&Darts>,
        unit: &str,
    ) -> PyResult<Self> {
        let apportionment = match (shares, darts) {
            (Some(_), Some(_)) => return Err(Problems::from(body::both_ways()).into()),
            (None, Some(darts)) => body::Apportionment::Darts(darts.0.clone()),
            (shares, None) => body::Apportionment::Shares(shares.map(|shares| shares.0).unwrap_or_default()),
        };
        let given = [balance, centre_back_lower, centre_front_lower, side_fullness];
        let panel_rules = body::PanelRules::from_array(numbers("rules.", &given, &body::PanelRules::FIELDS, unit)?);
        Ok(Self(body::Rules { panel_rules, apportionment }))
    }

    /// Front is a quarter of the hip plus this, back a quarter less this.
    #[getter]
    fn balance(&self) -> f64 {
        self.0.panel_rules.balance
    }

    /// Lowers the centre of the back waist further.
    #[getter]
    fn centre_back_lower(&self) -> f64 {
        self.0.panel_rules.centre_back_lower
    }

    /// Lowers the centre of the front waist further.
    #[getter]
    fn centre_front_lower(&self) -> f64 {
        self.0.panel_rules.centre_front_lower
    }

    /// How full the side seam is between waist and hip line: its slope at the waist for that of the straight line.
    #[getter]
    fn side_fullness(&self) -> f64 {
        self.0.panel_rules.side_fullness
    }

    /// The shares, where the suppression is shared out by shares.
    #[getter]
    fn shares(&self) -> Option<Shares> {
        if let body::Apportionment::Shares(shares) = self.0.apportionment { Some(Shares(shares)) } else { None }
    }

    /// The given darts, where the suppression is shared out by darts.
    #[getter]
    fn darts(&self) -> Option<Darts> {
        if let body::Apportionment::Darts(darts) = &self.0.apportionment { Some(Darts(darts.clone())) } else { None }
    }

    pub(super) fn __repr__(&self) -> String {
        let panel_rules = shown(&body::PanelRules::FIELDS, self.0.panel_rules.into_array());
        let shares = self.shares().map(|shares| format!("shares={}", shares.__repr__()));
        let darts = self.darts().map(|darts| format!("darts={}", darts.__repr__()));
        format!("Rules({panel_rules}, {})", shares.or(darts).unwrap_or_default())
    }

    fn __hash__(&self) -> u64 {
        hash_of(&self.__repr__())
    }

    fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), Dict<'py>)> {
        let choices = PyDict::new(py);
        for (field, value) in body::PanelRules::FIELDS.iter().zip(self.0.panel_rules.into_array()) {
            choices.set_item(field.name, value)?;
        }
        choices.set_item("shares", self.shares())?;
        choices.set_item("darts", self.darts())?;
        Ok(((), Dict(choices)))
    }
}
