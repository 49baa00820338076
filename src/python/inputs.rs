//! The Python classes of the input of a draft: body, figure, ease, rules and given darts. Each instance is frozen and
//! valid; names, ranges and docs come from the tables of the Rust structs.

use pyo3::prelude::*;
use serde::Serialize;

use super::arguments::{DartCountArgument, NumberArgument, json_object, parse_table_unit};
use super::class::{python_class, repr_without_defaults};
use super::typed_objects::{json_to_dict, keyword_dict};
use crate::body::{self, Apportionment, DartPosition, PanelRules, body_table, ease_table, figure_table, shares_table};
use crate::document::{read_document, read_figure, read_given_dart, read_suppression_shares, to_json_text};
use crate::error::{Code, Problem, Problems};
use crate::field::Unit;

/// Declares the Python class of a group of named input numbers, such as `Ease`. Keyword arguments are in `unit`,
/// attributes in centimetres; the second tuple field has the numbers as given, if in inches. The table of the Rust
/// struct follows these parts:
///
/// - `keywords`: the signature of the constructor; `argument`: the type of each number in it
/// - `attribute`: the type of each attribute
/// - `path`: what precedes the field names in problems
/// - `read`: reads all fields; `check`: returns further problems of their values
/// - `part`: an optional part, of another class, and its index in the tuple
/// - `example`: the example in the docs, and further attributes of the struct
///
/// For `Ease` the result is `struct Ease(body::Ease, Given<body::Ease>)` with the attributes `waist` and `hip`, both `f64`,
/// and `unit`, and the constructor `new(waist: NumberArgument, hip: NumberArgument, unit: &str)`.
macro_rules! input_numbers_class {
    (keywords $signature:tt argument [$argument:ty] attribute [$number:ty] path [$path:expr] read [$read:expr] $(check [$check:path])?
        $(part [#[doc = $part_doc:literal] $part:ident: $part_class:ident = $index:tt])? example [$($example:tt)*] $(#[$meta:meta])* $name:ident $(: $default_trait:ident)? {
        $($(#[doc = $doc:literal])+ $field:ident: $kind:ident $range:tt $(= $default:expr)?;)+
        $(choices: $($(#[doc = $choice_doc:literal])+ $choice:ident: $choice_type:ty;)+)?
    }) => {
        $(#[$meta])*
        $($example)*
        #[pyclass(frozen, eq, module = "kirtle")]
        #[derive(Clone)]
        pub(crate) struct $name(pub(super) body::$name, pub(super) Given<body::$name> $(, pub(super) $part_class)?);

        impl PartialEq for $name {
            fn eq(&self, other: &Self) -> bool {
                self.0 == other.0 $(&& self.$index == other.$index)?
            }
        }

        python_class! { $name as numbers;
            /// `in` if the lengths were given in inches, otherwise `cm`; `repr` and notebooks show lengths in this unit.
            unit: &'static str = numbers.1.unit.name();
            $($(#[doc = $doc])+ $field: $number = numbers.0.$field;)+
            $($($(#[doc = $choice_doc])+ $choice: body::DartCount = numbers.0.$choice;)+)?
            $(
                #[doc = $part_doc]
                $part: Option<$part_class> = (!numbers.$index.0.is_empty()).then(|| numbers.$index.clone());
            )?
            repr = {
                let defaults: Option<body::$name> =
                    None$(.or_else(|| Some(<body::$name as $default_trait>::default().convert_lengths(Unit::Cm, numbers.1.unit))))?;
                let defaults = to_json_text(&Given { numbers: defaults, unit: Unit::Cm });
                let repr = repr_without_defaults(stringify!($name), &to_json_text(&numbers.1), &defaults);
                $(let repr = match numbers.$part() {
                    Some(part) => format!("{}, {}={})", repr.trim_end_matches(')'), stringify!($part), part.__repr__()),
                    None => repr,
                };)?
                repr
            };
            hash = {
                let hash = to_json_text(&numbers.0);
                $(let hash = hash + &to_json_text(&numbers.$index.0);)?
                hash
            };
            keywords py = {
                let keywords = json_to_dict(py, &to_json_text(&numbers.1))?;
                $(keywords.0.set_item(stringify!($part), numbers.$part())?;)?
                PyResult::Ok(keywords)
            };
            {
                #[new]
                #[pyo3(signature = $signature)]
                fn new(
                    $($field: $argument,)+ $($($choice: Option<DartCountArgument>,)+)?
                    $($part: Option<&$part_class>,)? unit: &str,
                ) -> PyResult<Self> {
                    let unit = parse_table_unit(unit)?;
                    $(let $field: Option<NumberArgument> = $field.into();)+
                    let value = json_object!($($field),+ $($(, $choice)+)?);
                    let given = read_document(Some(unit), [$path; 2], &value, $read)?;
                    $(Problems::ok_if_empty($check(&given, unit))?;)?
                    let (numbers, unit) = (given.convert_lengths(unit, unit.of_document()), unit.of_document());
                    Ok(Self(numbers.convert_lengths(unit, Unit::Cm), Given { numbers, unit } $(, $part.cloned().unwrap_or_default())?))
                }
            }
        }
    };
}

/// Numbers as they were given, with their unit.
#[derive(Clone, Copy, Default, Serialize)]
pub(crate) struct Given<T> {
    #[serde(flatten)]
    pub(super) numbers: T,
    pub(super) unit: Unit,
}

impl Body {
    /// Wraps a body of the Rust library, as a body without a figure, given in `unit`.
    pub(super) fn from_library_body(body: body::Body, unit: Unit) -> Self {
        let numbers = body.map_fields(|field, cm| field.kind.given_number(cm, unit));
        Self(body, Given { numbers, unit }, Figure::default())
    }

    /// Returns the measurements as the body of a size; returns a problem if the body has a figure, which no size has.
    pub(super) fn body_if_without_figure(&self) -> Result<body::Body, Problems> {
        let conflict = || {
            Problem::new(Code::Conflict, body::FIGURE_PATH_PREFIX.trim_end_matches('.')).with_limit("a chart of sizes")
        };
        if self.2.0.is_empty() { Ok(self.0) } else { Err(conflict().into()) }
    }
}

figure_table! { input_numbers_class
    keywords (
        *, front_length = None, side_length = None, back_length = None, front_hip = None, front_waist = None, high_hip = None,
        high_hip_depth = None, unit = "cm"
    ) argument [Option<NumberArgument>] attribute [Option<f64>] path [body::FIGURE_PATH_PREFIX] read [read_figure] check [body::figure_problems] example [
        ///
        /// >>> Figure(front_length=100.5, side_length=101).front_length
        /// 100.5
        /// >>> Figure(front_length=100.5)
        /// Traceback (most recent call last):
        /// kirtle.InputError: body.figure.front_length: has no effect alone: give body.figure.side_length or body.figure.back_length, too
        #[derive(Default)]
    ]
}

body_table! { input_numbers_class
    keywords (*, waist, hip, hip_depth, length, figure = None, unit = "cm")
    argument [NumberArgument] attribute [f64] path ["body."] read [|object| object.read_numbers(&body::Body::FIELDS).map(body::Body::from_array)]
    part [#[doc = "Figure of the body; `None` if no measurement of the figure is given."] figure: Figure = 2] example [
        ///
        /// >>> Body(waist=28, hip=38, hip_depth=8, length=24, unit="in")
        /// Body(waist=28.0, hip=38.0, hip_depth=8.0, length=24.0, unit="in")
        /// >>> Body(waist=28, hip=38, hip_depth=8, length=24, unit="in").waist
        /// 71.12
        /// >>> Body(waist=74, hip=101, hip_depth=20.5, length=62, figure=Figure(front_length=101, side_length=102)).figure
        /// Figure(front_length=101.0, side_length=102.0)
        /// >>> Body(waist=7.4, hip="101", hip_depth=20.5, length=62)
        /// Traceback (most recent call last):
        /// kirtle.InputError: body.waist: 7.4 cm is below the minimum of 40 cm
        /// body.hip: "101" is not a number from 50 to 220 cm
    ]
}

ease_table! { input_numbers_class
    keywords (*, waist, hip, unit = "cm") argument [NumberArgument] attribute [f64] path ["ease."]
    read [|object| object.read_numbers(&body::Ease::FIELDS).map(body::Ease::from_array)] example [
        ///
        /// >>> Ease(waist=1.5, hip=5) == Ease(waist=15, hip=50, unit="mm")
        /// True
        /// >>> Ease(waist=1.5, hip=500)
        /// Traceback (most recent call last):
        /// kirtle.InputError: ease.hip: 500 cm is above the maximum of 60 cm
    ]
}

shares_table! { input_numbers_class
    keywords (
        *, back_share = None, front_share = None, back_largest_dart = None, front_largest_dart = None, smallest_dart = None,
        steepest_side = None, back_inner_length = None, back_outer_length = None, front_inner_length = None, front_outer_length = None,
        single_place = None, inner_place = None, outer_place = None, back_darts = None, front_darts = None, unit = "cm"
    ) argument [Option<NumberArgument>] attribute [f64] path ["rules.shares."] read [read_suppression_shares] example [
        ///
        /// >>> Shares(back_share=0.35, back_darts=3).front_darts
        /// 'auto'
        /// >>> Shares(back_share=0.6)
        /// Traceback (most recent call last):
        /// kirtle.InputError: rules.shares.back_share: 0.6 is above the maximum of 0.5
    ]
}

/// Dart of given size and position, as a handbook gives it.
///
/// Exactly one of `place` and `centre` gives the position on the waist: `place` as a share of the panel's waist, from
/// 0.05 to 0.95, or `centre` as a distance. Both count from the centre line. Lengths are in `unit`; attributes are in
/// centimetres.
///
/// >>> GivenDart(intake=3, length=13, place=0.5)
/// GivenDart(intake=3.0, length=13.0, place=0.5)
/// >>> GivenDart(intake=3, length=13)
/// Traceback (most recent call last):
/// kirtle.InputError: dart.place: missing: give a number from 0.05 to 0.95
#[pyclass(frozen, eq, module = "kirtle", from_py_object)]
#[derive(Clone, PartialEq)]
pub(crate) struct GivenDart(body::GivenDart);

python_class! { GivenDart as dart;
    /// Width of the dart's mouth at the waist, in centimetres.
    intake: f64 = dart.0.intake;
    /// Length of the dart from mouth to tip along its centre, in centimetres.
    length: f64 = dart.0.length;
    /// Position of the dart's centre as a share of the panel's waist, from the centre line; `None` if `centre` is set.
    place: Option<f64> = if let DartPosition::Share(share) = dart.0.place { Some(share) } else { None };
    /// Position of the dart's centre as a distance from the centre line, in centimetres; `None` if `place` is set.
    centre: Option<f64> = if let DartPosition::Centre(distance) = dart.0.place { Some(distance) } else { None };
    text = repr_without_defaults("GivenDart", &to_json_text(&dart.0), "{}");
    keywords py = json_to_dict(py, &to_json_text(&dart.0));
    {
        /// Create a dart of given size.
        ///
        /// Raises `InputError` with all the problems at once.
        #[new]
        #[pyo3(signature = (*, intake, length, place = None, centre = None, unit = "cm"))]
        fn new(
            intake: NumberArgument, length: NumberArgument, place: Option<NumberArgument>, centre: Option<NumberArgument>, unit: &str,
        ) -> PyResult<Self> {
            let (unit, [intake, length]) = (parse_table_unit(unit)?, [intake, length].map(Some));
            let value = json_object!(intake, length, place, centre);
            let dart = read_document(Some(unit), ["dart", "dart."], &value, read_given_dart)?;
            Ok(Self(dart.convert_lengths(unit, Unit::Cm)))
        }
    }
}

/// Given darts of back and front. The side seam takes the rest of the suppression.
///
/// Each list has at most 3 darts, from the centre to the side.
///
/// >>> given = Darts(back=[GivenDart(intake=4, length=13, place=0.5)], front=[])
/// >>> body = Body(waist=74, hip=101, hip_depth=20.5, length=62)
/// >>> len(draft(body, ease=Ease(waist=1.5, hip=5), rules=Rules(darts=given)).front.darts)
/// 0
/// >>> Darts(back=[GivenDart(intake=1, length=12, place=0.5)] * 4, front=[])
/// Traceback (most recent call last):
/// kirtle.InputError: rules.darts.back: 4 darts are given, at most 3 darts allowed
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(Clone, PartialEq)]
pub(crate) struct Darts(body::Darts);

python_class! { Darts as darts;
    /// Given darts of the back panel, from the centre to the side.
    back: Vec<GivenDart> = darts.0.back.iter().copied().map(GivenDart).collect();
    /// Given darts of the front panel, from the centre to the side.
    front: Vec<GivenDart> = darts.0.front.iter().copied().map(GivenDart).collect();
    text = {
        let text = |darts: Vec<GivenDart>| darts.iter().map(GivenDart::__repr__).collect::<Vec<_>>().join(", ");
        format!("Darts(back=[{back}], front=[{front}])", back = text(darts.back()), front = text(darts.front()))
    };
    keywords py = keyword_dict(py, [("back", darts.back()), ("front", darts.front())]);
    {
        /// Create the lists of given darts.
        ///
        /// Raises `InputError` for a list with more than 3 darts.
        #[new]
        #[pyo3(signature = (*, back, front))]
        fn new(back: Vec<GivenDart>, front: Vec<GivenDart>) -> PyResult<Self> {
            let [back, front]: [Vec<_>; 2] = [back, front].map(|darts| darts.into_iter().map(|dart| dart.0).collect());
            let lists = [("rules.darts.back", &back), ("rules.darts.front", &front)].into_iter();
            let too_many =
                |(path, darts): (&str, &Vec<_>)| Problem::too_many_problem(path, darts.len(), body::MAX_DARTS_PER_PANEL, "darts");
            Problems::ok_if_empty(lists.filter_map(too_many))?;
            Ok(Self(body::Darts { back, front }))
        }
    }
}

/// Rules of construction: the proportions of the panels, and the apportionment of the suppression.
///
/// Either `shares` or given `darts` apportion the suppression; the default is `Shares()`.
///
/// >>> Rules(balance=0, shares=Shares(back_darts=1)).balance
/// 0.0
/// >>> Rules(balance=9)
/// Traceback (most recent call last):
/// kirtle.InputError: rules.balance: 9 cm is above the maximum of 5 cm
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(Clone, PartialEq)]
pub(crate) struct Rules(pub(super) body::Rules);

python_class! { Rules as rules;
    /// Width moved from the back panel to the front panel at the hip, in centimetres; 0 makes the panels equally wide.
    balance: f64 = rules.0.panel_rules.balance;
    /// Lowering of the waist at the centre back, in centimetres, in addition to the lowering that square corners or
    /// the figure give.
    centre_back_lower: f64 = rules.0.panel_rules.centre_back_lower;
    /// Lowering of the waist at the centre front, in centimetres, in addition to the lowering that square corners or
    /// the figure give.
    centre_front_lower: f64 = rules.0.panel_rules.centre_front_lower;
    /// Distance by which the centre back seam lies further in at the waist than at the hip line, in centimetres.
    centre_back_in: f64 = rules.0.panel_rules.centre_back_in;
    /// Slope of the side seam from the vertical at the waist, divided by the slope of its chord to the hip line.
    side_fullness: f64 = rules.0.panel_rules.side_fullness;
    /// Shares of the suppression; `None` if the rules have given darts.
    shares: Option<Shares> = if let Apportionment::Shares(shares) = rules.0.apportionment { Some(Shares(shares, Given { numbers: shares, unit: Unit::Cm })) } else { None };
    /// Given darts; `None` if the rules have shares.
    darts: Option<Darts> = if let Apportionment::Darts(darts) = &rules.0.apportionment { Some(Darts(darts.clone())) } else { None };
    text = {
        let [numbers, defaults] = [rules.0.panel_rules, PanelRules::default()].map(|rules| to_json_text(&rules));
        let start = repr_without_defaults("Rules", &numbers, &defaults);
        let shares = rules.shares().filter(|shares| shares.0 != body::Shares::default()).map(|shares| format!("shares={}", shares.__repr__()));
        match shares.or_else(|| Some(format!("darts={}", rules.darts()?.__repr__()))) {
            Some(part) => format!("{}{}{part})", start.trim_end_matches(')'), if start.ends_with("()") { "" } else { ", " }),
            None => start,
        }
    };
    keywords py = {
        let keywords = json_to_dict(py, &to_json_text(&rules.0.panel_rules))?;
        keywords.0.set_item("shares", rules.shares())?;
        keywords.0.set_item("darts", rules.darts())?;
        PyResult::Ok(keywords)
    };
    {
        /// Create rules; each rule that is not passed has its default.
        ///
        /// Raises `InputError` with all the problems at once, and for `shares` together with `darts`.
        #[new]
        #[pyo3(signature = (
            *, balance = None, centre_back_lower = None, centre_front_lower = None, centre_back_in = None, side_fullness = None,
            shares = None, darts = None, unit = "cm"
        ))]
        fn new(
            balance: Option<NumberArgument>, centre_back_lower: Option<NumberArgument>, centre_front_lower: Option<NumberArgument>,
            centre_back_in: Option<NumberArgument>, side_fullness: Option<NumberArgument>, shares: Option<&Shares>,
            darts: Option<&Darts>, unit: &str,
        ) -> PyResult<Self> {
            let apportionment = match (shares, darts) {
                (Some(_), Some(_)) => return Err(Problems::from(body::shares_and_darts_conflict_problem()).into()),
                (None, Some(darts)) => Apportionment::Darts(darts.0.clone()),
                (shares, None) => Apportionment::Shares(shares.map(|shares| shares.0).unwrap_or_default()),
            };
            let value = json_object!(balance, centre_back_lower, centre_front_lower, centre_back_in, side_fullness);
            let unit = parse_table_unit(unit)?;
            let paths = ["rules", "rules."];
            let numbers = read_document(Some(unit), paths, &value, |object| object.read_numbers(&PanelRules::FIELDS))?;
            let panel_rules = PanelRules::from_array(numbers).convert_lengths(unit, Unit::Cm);
            Ok(Self(body::Rules { panel_rules, apportionment }))
        }
    }
}
