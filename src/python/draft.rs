//! The draft in Python, and the functions of the package.

use std::convert::Infallible;

use pyo3::exceptions::PyKeyError;
use pyo3::prelude::*;
use pyo3::types::PyDict;

use super::ease_profile::EaseByLevel;
use super::inputs::{Body, Ease, Number, Rules, Word, hash_of, object, unit_named};
use super::pattern::{Pattern, scale};
use super::questions::{self, Sensitivity, Solutions};
use super::texts::Text;
use super::uncertainty::{StandardErrors, Uncertainty};
use crate::document::node::Node;
use crate::document::{self, Girths, Lengths, PanelReport, Reader, Report, Request, SCHEMAS, SuppressionReport};
use crate::drawing::draw;
use crate::ease_profile::BodyProfile;
use crate::field::Unit;
use crate::files::svg;
use crate::findings::Finding;
use crate::proof::Proof;
use crate::sensitivity::Target;

/// A Python `dict[str, Any]`.
pub(crate) struct Dict<'py>(pub(super) Bound<'py, PyDict>);

impl<'py> IntoPyObject<'py> for Dict<'py> {
    type Target = PyDict;
    type Output = Bound<'py, PyDict>;
    type Error = Infallible;

    #[cfg(feature = "stubs")]
    const OUTPUT_TYPE: pyo3::inspect::PyStaticExpr = pyo3::type_hint_subscript!(
        pyo3::type_hint_identifier!("builtins", "dict"),
        pyo3::type_hint_identifier!("builtins", "str"),
        pyo3::type_hint_identifier!("typing", "Any")
    );

    fn into_pyobject(self, _py: Python<'py>) -> Result<Self::Output, Infallible> {
        Ok(self.0)
    }
}

impl<'py> FromPyObject<'_, 'py> for Dict<'py> {
    type Error = PyErr;

    #[cfg(feature = "stubs")]
    const INPUT_TYPE: pyo3::inspect::PyStaticExpr = Self::OUTPUT_TYPE;

    fn extract(object: Borrowed<'_, 'py, PyAny>) -> PyResult<Self> {
        Ok(Self(object.cast::<PyDict>()?.to_owned()))
    }
}

impl Request {
    /// The unit of this name, or the request's.
    pub(super) fn unit_or_own(&self, unit: Option<&str>) -> PyResult<Unit> {
        unit.map_or(Ok(self.unit), unit_named)
    }
}

/// A JSON object as a dict.
pub(super) fn loads<'py>(py: Python<'py>, json: &str) -> PyResult<Dict<'py>> {
    Ok(Dict(py.import("json")?.call_method1("loads", (json,))?.cast_into()?))
}

/// Drafts the front and back of a straight skirt.
///
/// Raises `InputError` with all the problems at once: rules under which this body leaves no cloth between two
/// darts, sends a dart below the hip line, or lays the side seam flat; a hem above the hip line.
///
/// >>> draft(Body(waist=70, hip=96, hip_depth=18, length=60), ease=Ease(waist=1.5, hip=5)).back.width
/// 24.25
/// >>> draft(Body(waist=70, hip=96, hip_depth=18, length=15), ease=Ease(waist=1.5, hip=5))
/// Traceback (most recent call last):
/// kirtle.InputError: body.length: 15 cm does not clear the hip line; the least is 19 cm
#[pyfunction]
#[pyo3(signature = (body, *, ease, rules = None))]
pub(crate) fn draft(py: Python<'_>, body: &Body, ease: &Ease, rules: Option<&Rules>) -> PyResult<Draft> {
    let rules = rules.map(|rules| rules.0.clone()).unwrap_or_default();
    Draft::of(
        py,
        Request {
            unit: Unit::Cm,
            body: body.0,
            ease: ease.0,
            rules,
            corrections: Vec::new(),
            cutting: None,
            cloth: None,
        },
    )
}

/// Drafts a request in JSON and returns the result in JSON; see `schema("request")` and `schema("result")`.
///
/// Raises `InputError` with all the problems at once; its `to_json` is as `schema("error")` says.
///
/// >>> request = '{"unit": "cm", "body": {"waist": 70, "hip": 96, "hip_depth": 18, "length": 60}, "ease": {"waist": 0, "hip": 0}}'
/// >>> json.loads(draft_json(request))["nominal"]["total"]
/// 13.0
/// >>> draft_json("{}")
/// Traceback (most recent call last):
/// kirtle.InputError: unit: missing; give "cm" or "in"
/// body: missing; give an object
/// ease: missing; give an object
#[pyfunction]
pub(crate) fn draft_json(py: Python<'_>, request: Text<'_>) -> PyResult<String> {
    Ok(py.detach(|| request.read(document::draft_json))?)
}

/// The JSON Schema of the `request`, the `result`, the `pattern`, the `lay`, the `chart`, the `sizes` or the `error`, as a dict.
///
/// Raises `KeyError` for any other name.
///
/// >>> schema("result")["$id"]
/// 'urn:kirtle:result:1'
/// >>> schema("trousers")
/// Traceback (most recent call last):
/// KeyError: '"trousers" is none of request, result, pattern, lay, chart, sizes, fit, best, best_sizes, comparison, error'
#[pyfunction]
pub(crate) fn schema<'py>(py: Python<'py>, name: &str) -> PyResult<Dict<'py>> {
    let unknown = || PyKeyError::new_err(format!("{name:?} is none of {}", SCHEMAS.join(", ")));
    loads(py, &document::schema(name).ok_or_else(unknown)?.to_string())
}

/// The finished draft; lengths are in centimetres. A notebook shows it as a drawing.
///
/// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
/// >>> round(skirt.suppression.total, 2), [round(dart.intake, 2) for dart in skirt.back.darts]
/// (15.41, [2.31, 2.31])
/// >>> skirt.proof.holds, skirt.findings
/// (True, [])
#[pyclass(frozen, module = "kirtle")]
pub(crate) struct Draft {
    pub(super) request: Request,
    pub(super) made: crate::draft::Draft,
}

impl Draft {
    fn of(py: Python<'_>, request: Request) -> PyResult<Self> {
        let made = py.detach(|| request.draft())?;
        Ok(Self { request, made })
    }

    /// A draft that was made elsewhere.
    pub(super) fn made(made: crate::draft::Draft, unit: Unit) -> Self {
        Self { request: Request::of(&made, unit), made }
    }

    fn report_in(&self, unit: Option<&str>) -> PyResult<String> {
        let unit = self.request.unit_or_own(unit)?;
        let report =
            if unit == self.request.unit { self.request.report_of(&self.made) } else { Report::new(&self.made, unit) };
        Ok(report.to_json())
    }
}

#[pymethods]
impl Draft {
    /// Drafts a request in JSON; its unit is that of `to_json` and `svg`.
    #[staticmethod]
    fn from_json(py: Python<'_>, request: Text<'_>) -> PyResult<Self> {
        let request = request.read(Request::from_json)?;
        Self::of(py, Request { cutting: None, cloth: None, ..request })
    }

    #[new]
    #[pyo3(signature = (body, *, ease, rules = None))]
    fn new(py: Python<'_>, body: &Body, ease: &Ease, rules: Option<&Rules>) -> PyResult<Self> {
        draft(py, body, ease, rules)
    }

    /// The body that was drafted for.
    #[getter]
    fn body(&self) -> Body {
        Body(*self.made.body())
    }

    /// The ease that it was given.
    #[getter]
    fn ease(&self) -> Ease {
        Ease(*self.made.ease())
    }

    /// The rules that it was drafted by.
    #[getter]
    fn rules(&self) -> Rules {
        Rules(self.made.rules().clone())
    }

    /// The unit of `to_json`, `to_dict` and `svg` where none is named: the request's.
    #[getter]
    fn document_unit(&self) -> &'static str {
        self.request.unit.name()
    }

    /// The suppression as drafted.
    #[getter]
    fn suppression(&self) -> SuppressionReport {
        SuppressionReport::new(&self.made.suppression, Unit::Cm)
    }

    /// The suppression as the measurements give it, before the waist is closed.
    #[getter]
    fn nominal(&self) -> SuppressionReport {
        SuppressionReport::new(&self.made.nominal, Unit::Cm)
    }

    /// What the side seams take beyond their limit, on half the garment.
    #[getter]
    fn left_in_side(&self) -> f64 {
        self.made.left_in_side
    }

    /// The garment's girths.
    #[getter]
    fn girths(&self) -> Girths {
        Girths::of([&self.back(), &self.front()])
    }

    /// The garment's finished lengths.
    #[getter]
    fn lengths(&self) -> Lengths {
        Lengths::of([&self.back(), &self.front()])
    }

    /// The back panel.
    #[getter]
    fn back(&self) -> PanelReport {
        PanelReport::new(&self.made.back, Unit::Cm)
    }

    /// The front panel.
    #[getter]
    fn front(&self) -> PanelReport {
        PanelReport::new(&self.made.front, Unit::Cm)
    }

    /// The finished outlines measured afresh.
    #[getter]
    fn proof(&self) -> Proof {
        self.made.proof()
    }

    /// Cautions; a trial garment decides.
    #[getter]
    fn findings(&self) -> Vec<Finding> {
        self.made.findings()
    }

    /// The girth of the garment at a level, in centimetres down from the waist at the side, darts closed.
    ///
    /// Raises `InputError` for a level above the waist or below the hem.
    ///
    /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    /// >>> round(skirt.girth_at(10), 1)
    /// 98.4
    /// >>> skirt.girth_at(63)
    /// Traceback (most recent call last):
    /// kirtle.InputError: level: 63 cm is outside the garment; give a level from 0 to 62 cm
    fn girth_at(&self, level: f64) -> PyResult<f64> {
        Ok(self.made.girth_at(level)?)
    }

    /// The numbers of the draft by name, in `unit`: lengths, areas, angles in degrees, and the points of both panels.
    ///
    /// >>> body = Body(waist=70, hip=96, hip_depth=18, length=60)
    /// >>> draft(body, ease=Ease(waist=1.5, hip=5)).quantities().get("nominal.total")
    /// 14.75
    #[pyo3(signature = (*, unit = "cm"))]
    fn quantities<'py>(&self, py: Python<'py>, unit: &str) -> PyResult<Dict<'py>> {
        questions::quantities(py, &self.made, unit_named(unit)?)
    }

    /// The exact derivatives of every number of the draft by the inputs of these names, such as `ease.hip`, or by all.
    ///
    /// They hold while darts are as many as here, and the same limits of the rules are met. Lengths are in `unit`.
    ///
    /// Raises `InputError` for a name that is none of the inputs.
    ///
    /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    /// >>> skirt.sensitivity(["ease.hip"])["front.width", "ease.hip"]
    /// 0.25
    /// >>> skirt.sensitivity(["ease.knee"])
    /// Traceback (most recent call last):
    /// kirtle.InputError: by: "ease.knee" is not one of body.waist, body.hip, body.hip_depth, ...
    #[pyo3(signature = (by = None, *, unit = "cm"))]
    fn sensitivity(slf: Bound<'_, Self>, by: Option<Vec<String>>, unit: &str) -> PyResult<Py<Sensitivity>> {
        Sensitivity::of(slf, by.unwrap_or_default(), unit_named(unit)?)
    }

    /// The standard errors of every number of the draft, and the ellipses of its points, where its inputs have these errors:
    /// to first order, by the exact derivatives. All lengths are in `unit`.
    ///
    /// Raises `InputError` for a name that is none of the inputs.
    ///
    /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    /// >>> skirt.uncertainty(Errors({"body.hip": 0.8}))["front.width"]
    /// 0.2
    /// >>> skirt.uncertainty(Errors({"body.knee": 0.8}))
    /// Traceback (most recent call last):
    /// kirtle.InputError: by: "body.knee" is not one of body.waist, body.hip, body.hip_depth, ...
    #[pyo3(signature = (errors, *, unit = "cm"))]
    fn uncertainty(slf: Bound<'_, Self>, errors: Bound<'_, StandardErrors>, unit: &str) -> PyResult<Py<Uncertainty>> {
        Uncertainty::of(slf, errors, unit_named(unit)?)
    }

    /// Seeks the value of one input, such as `ease.hip`, that gives what is wanted while all others stay as they are.
    ///
    /// `quantity` is a number of the draft by its name, as in `quantities`; `back.darts` or `front.darts`, the number of darts; or
    /// `girth`, that of the garment at a `level` down from the waist at the side. The whole range of the input is searched, or
    /// `between` two values. All numbers are in `unit`.
    ///
    /// Raises `InputError` for a name that is not known, a `between` out of range, and where no value gives what is wanted.
    ///
    /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    /// >>> answer = skirt.seek("ease.hip", "front.darts", 1)
    /// >>> round(answer.value, 6), len(answer.draft.front.darts)
    /// (4.5, 1)
    /// >>> skirt.seek("ease.hip", "back.width", 90)
    /// Traceback (most recent call last):
    /// kirtle.InputError: value: 90 cm is out of reach: ease.hip from -10 to 60 cm gives 21.75 to 39.25 cm
    #[pyo3(signature = (input, quantity, value, *, level = None, between = None, unit = "cm"))]
    // A keyword for each choice.
    #[allow(clippy::too_many_arguments)]
    fn seek(
        &self,
        py: Python<'_>,
        input: &str,
        quantity: &str,
        value: f64,
        level: Option<f64>,
        between: Option<(f64, f64)>,
        unit: &str,
    ) -> PyResult<Solutions> {
        let (target, unit) = (Target::named(quantity, value, level)?, unit_named(unit)?);
        Ok(Solutions::new(py.detach(|| self.made.seek(input, &target, between, unit))?, unit))
    }

    /// What the garment is wider than the body, at levels a `step` apart (1 cm) from the waist to the hem; all in `unit`.
    ///
    /// `high_hip` is the girth of the body between waist and hip, `high_hip_depth` how far below the waist at the side it is
    /// taken; without them the body widens as the side seam does by default, by the natural spline.
    ///
    /// Raises `InputError` with all the problems at once.
    ///
    /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    /// >>> ease = skirt.ease_by_level(high_hip=94, high_hip_depth=10)
    /// >>> [round(number, 2) for number in ease.tightest]
    /// [2.92, 1.29]
    /// >>> skirt.ease_by_level(high_hip=94)
    /// Traceback (most recent call last):
    /// kirtle.InputError: high_hip_depth: missing; give a number from 1 to 39 cm
    #[pyo3(signature = (*, high_hip = None, high_hip_depth = None, step = None, unit = "cm"))]
    fn ease_by_level(
        slf: Bound<'_, Self>,
        high_hip: Option<f64>,
        high_hip_depth: Option<f64>,
        step: Option<f64>,
        unit: &str,
    ) -> PyResult<Py<EaseByLevel>> {
        let unit = unit_named(unit)?;
        EaseByLevel::of(slf, BodyProfile::of(high_hip, high_hip_depth, unit)?, step, unit)
    }

    /// The result in JSON, in `unit` or in `document_unit`.
    #[pyo3(signature = (unit = None))]
    fn to_json(&self, unit: Option<&str>) -> PyResult<String> {
        self.report_in(unit)
    }

    /// The result as a dict, in `unit` or in `document_unit`.
    #[pyo3(signature = (unit = None))]
    fn to_dict<'py>(&self, py: Python<'py>, unit: Option<&str>) -> PyResult<Dict<'py>> {
        loads(py, &self.report_in(unit)?)
    }

    /// The drawing of both panels as SVG, at true scale, with lengths in `unit` or in `document_unit`.
    ///
    /// `fit` lets it fill its place on a screen instead.
    #[pyo3(signature = (unit = None, *, fit = false))]
    fn svg(&self, unit: Option<&str>, fit: bool) -> PyResult<String> {
        Ok(svg(&draw(&self.made, self.request.unit_or_own(unit)?), scale(fit)))
    }

    /// The pieces ready to cut.
    ///
    /// What is not given is the preset's, in round values of `unit`: `trial` for a trial garment, or `garment` with a hem to
    /// turn up. `waist`, `side`, `hem` and `centre_back` are the allowances, `opening` the length of the opening from the
    /// waist down the centre back; `press` is the side to which the darts are pressed, `centre` or `side`; `name` stands on
    /// the pieces. `unit` is `document_unit` unless told.
    ///
    /// Raises `InputError` with all the problems at once.
    ///
    /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    /// >>> skirt.pattern(preset="garment", hem=5, press="side").allowances
    /// {'waist': 1.0, 'side': 1.5, 'hem': 5.0, 'centre_back': 2.0}
    /// >>> skirt.pattern(hem=-1, press="up")
    /// Traceback (most recent call last):
    /// kirtle.InputError: cutting.allowances.hem: -1 cm is below the minimum of 0 cm
    /// cutting.press: "up" is not "centre" or "side"
    // A keyword for each choice, however many they are.
    #[allow(clippy::too_many_arguments)]
    #[pyo3(signature = (
        *, preset = None, name = None, waist = None, side = None, hem = None, centre_back = None, opening = None,
        press = None, unit = None
    ))]
    fn pattern(
        &self,
        preset: Option<Word>,
        name: Option<Word>,
        waist: Option<Number>,
        side: Option<Number>,
        hem: Option<Number>,
        centre_back: Option<Number>,
        opening: Option<Number>,
        press: Option<Word>,
        unit: Option<&str>,
    ) -> PyResult<Pattern> {
        let unit = self.request.unit_or_own(unit)?;
        let [waist, side, hem, centre_back, opening] =
            [waist, side, hem, centre_back, opening].map(|number| number.map(Node::from));
        let [preset, name, press] = [preset, name, press].map(|word| word.map(Node::from));
        let allowances = object([("waist", waist), ("side", side), ("hem", hem), ("centre_back", centre_back)]);
        let allowances = ("allowances", Some(allowances));
        let node = object([("preset", preset), ("name", name), allowances, ("opening", opening), ("press", press)]);
        let mut reader = Reader { unit: Some(unit), problems: Vec::new() };
        let cutting = reader.cutting(&node);
        let cutting = reader.finish(cutting)?;
        // What is usual in another unit must be told in this one.
        let cutting = if unit == self.request.unit { cutting } else { cutting.told(&self.made, unit) };
        let cutting = cutting.convert(unit, self.request.unit);
        Pattern::of(Request { cutting: Some(cutting), ..self.request.clone() }, &self.made)
    }

    fn _repr_svg_(&self) -> PyResult<String> {
        self.svg(None, true)
    }

    pub(super) fn __repr__(&self) -> String {
        let [body, ease, rules] = [self.body().__repr__(), self.ease().__repr__(), self.rules().__repr__()];
        format!("Draft({body}, ease={ease}, rules={rules})")
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.made == other.made
    }

    fn __hash__(&self) -> u64 {
        hash_of(&self.__repr__())
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (String,))> {
        Ok((py.get_type::<Self>().getattr("from_json")?, (self.request.to_json(),)))
    }
}
