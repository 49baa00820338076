//! The Python class `Draft` and the functions `draft`, `draft_json` and `schema`. Attributes of a draft are in
//! centimetres; documents and results of methods are in the unit of the call.

use std::convert::Infallible;

use pyo3::exceptions::PyKeyError;
use pyo3::prelude::*;
use pyo3::types::PyDict;

use super::ease_profile::EaseByLevel;
use super::inputs::{Body, Ease, NameArgument, NumberArgument, Rules, hash_of_text, json_object, parse_unit};
use super::pattern::{Pattern, svg_scale};
use super::sensitivity::{Sensitivity, Solutions, quantities_dict};
use super::texts::DocumentText;
use super::uncertainty::{StandardErrors, Uncertainty};
use crate::document::{
    self, Girths, InputReader, JsonValue, Lengths, PanelReport, Report, Request, SCHEMA_NAMES, SuppressionReport,
};
use crate::drawing::draw_draft;
use crate::ease_profile::BodyProfile;
use crate::field::Unit;
use crate::files::svg;
use crate::findings::Finding;
use crate::proof::Proof;
use crate::sensitivity::SeekTarget;

/// Python dict with the type hint `dict[str, Any]`.
pub(crate) struct AnyDict<'py>(pub(super) Bound<'py, PyDict>);

impl<'py> IntoPyObject<'py> for AnyDict<'py> {
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

impl<'py> FromPyObject<'_, 'py> for AnyDict<'py> {
    type Error = PyErr;

    #[cfg(feature = "stubs")]
    const INPUT_TYPE: pyo3::inspect::PyStaticExpr = Self::OUTPUT_TYPE;

    fn extract(object: Borrowed<'_, 'py, PyAny>) -> PyResult<Self> {
        Ok(Self(object.cast::<PyDict>()?.to_owned()))
    }
}

impl Request {
    /// Returns the unit called `unit`, or for `None` the request's unit; raises `InputError` for an unknown name.
    pub(super) fn unit_by_name_or_default(&self, unit: Option<&str>) -> PyResult<Unit> {
        unit.map_or(Ok(self.unit), parse_unit)
    }
}

/// Converts the text of a JSON object to a Python dict.
pub(super) fn json_to_dict<'py>(py: Python<'py>, json: &str) -> PyResult<AnyDict<'py>> {
    Ok(AnyDict(py.import("json")?.call_method1("loads", (json,))?.cast_into()?))
}

/// Draft the front and back of a straight skirt from a body.
///
/// Raises `InputError` with all the problems at once: a hem above the hip line, or rules under which two darts of the
/// body leave no cloth between them, a dart ends below the hip line, or the side seam lies too flat.
///
/// >>> draft(Body(waist=70, hip=96, hip_depth=18, length=60), ease=Ease(waist=1.5, hip=5)).back.width
/// 24.25
/// >>> draft(Body(waist=70, hip=96, hip_depth=18, length=15), ease=Ease(waist=1.5, hip=5))
/// Traceback (most recent call last):
/// kirtle.InputError: body.length: 15 cm is too short: the hem must be at least 1 cm below the hip line; the minimum is 19 cm
#[pyfunction]
#[pyo3(signature = (body, *, ease, rules = None))]
pub(crate) fn draft(py: Python<'_>, body: &Body, ease: &Ease, rules: Option<&Rules>) -> PyResult<Draft> {
    let rules = rules.map(|rules| rules.0.clone()).unwrap_or_default();
    Draft::from_request(
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

/// Draft a request in JSON and return the result in JSON.
///
/// The documents follow `schema("request")` and `schema("result")`.
///
/// Raises `InputError` with all the problems at once; `InputError.to_json` follows `schema("error")`.
///
/// >>> request = '{"unit": "cm", "body": {"waist": 70, "hip": 96, "hip_depth": 18, "length": 60}, "ease": {"waist": 0, "hip": 0}}'
/// >>> json.loads(draft_json(request))["nominal"]["total"]
/// 13.0
/// >>> draft_json("{}")
/// Traceback (most recent call last):
/// kirtle.InputError: unit: missing: give "cm" or "in"
/// body: missing: give a JSON object
/// ease: missing: give a JSON object
#[pyfunction]
pub(crate) fn draft_json(py: Python<'_>, request: DocumentText<'_>) -> PyResult<String> {
    Ok(py.detach(|| request.parse_text_with(document::draft_json))?)
}

/// Return the JSON Schema of a document as a dict.
///
/// The name is `request`, `result`, `pattern`, `lay`, `chart`, `sizes`, `fit`, `best_chart`, `best_sizes`, `comparison`
/// or `error`.
///
/// Raises `KeyError` for any other name.
///
/// >>> schema("result")["$id"]
/// 'urn:kirtle:result:1'
/// >>> schema("trousers")
/// Traceback (most recent call last):
/// KeyError: '"trousers" is not one of request, result, pattern, lay, chart, sizes, fit, best_chart, best_sizes, comparison, error'
#[pyfunction]
pub(crate) fn schema<'py>(py: Python<'py>, name: &str) -> PyResult<AnyDict<'py>> {
    let unknown = || PyKeyError::new_err(format!("{name:?} is not one of {}", SCHEMA_NAMES.join(", ")));
    json_to_dict(py, &document::schema(name).ok_or_else(unknown)?.to_string())
}

/// Draft of a straight skirt: back and front panel with darts. Lengths are in centimetres.
///
/// A notebook displays the draft as a drawing.
///
/// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
/// >>> round(skirt.suppression.total, 2), [round(dart.intake, 2) for dart in skirt.back.darts]
/// (15.41, [2.31, 2.31])
/// >>> skirt.proof.holds, skirt.findings
/// (True, [])
#[pyclass(frozen, module = "kirtle")]
pub(crate) struct Draft {
    pub(super) request: Request,
    pub(super) inner: crate::draft::Draft,
}

impl Draft {
    /// Drafts a request and wraps the draft; Python's interpreter lock is released meanwhile.
    fn from_request(py: Python<'_>, request: Request) -> PyResult<Self> {
        let inner = py.detach(|| request.draft())?;
        Ok(Self { request, inner })
    }

    /// Wraps a draft of the Rust library; `unit` becomes the default unit of its documents.
    pub(super) fn from_library_draft(inner: crate::draft::Draft, unit: Unit) -> Self {
        Self { request: Request::from_draft(&inner, unit), inner }
    }

    /// Returns the result document in JSON, with lengths in `unit`, or for `None` in the unit of the request.
    fn result_document_json(&self, unit: Option<&str>) -> PyResult<String> {
        let unit = self.request.unit_by_name_or_default(unit)?;
        let report = if unit == self.request.unit {
            self.request.report_of_draft(&self.inner)
        } else {
            Report::new(&self.inner, unit)
        };
        Ok(report.to_json())
    }
}

#[pymethods]
impl Draft {
    /// Draft a request in JSON that follows `schema("request")`.
    ///
    /// The unit of the request becomes `document_unit`. The fields `cutting` and `cloth` of the request are ignored.
    ///
    /// Raises `InputError` with all the problems at once.
    #[staticmethod]
    fn from_json(py: Python<'_>, request: DocumentText<'_>) -> PyResult<Self> {
        let request = request.parse_text_with(Request::from_json)?;
        Self::from_request(py, Request { cutting: None, cloth: None, ..request })
    }

    /// Draft the front and back of a straight skirt from a body, as the function `draft` does.
    #[new]
    #[pyo3(signature = (body, *, ease, rules = None))]
    fn new(py: Python<'_>, body: &Body, ease: &Ease, rules: Option<&Rules>) -> PyResult<Self> {
        draft(py, body, ease, rules)
    }

    /// Body measurements of the draft.
    #[getter]
    fn body(&self) -> Body {
        Body(*self.inner.body())
    }

    /// Ease of the draft.
    #[getter]
    fn ease(&self) -> Ease {
        Ease(*self.inner.ease())
    }

    /// Rules of the draft.
    #[getter]
    fn rules(&self) -> Rules {
        Rules(self.inner.rules().clone())
    }

    /// Default unit of `to_json`, `to_dict`, `svg` and `pattern`: the unit of the request, `cm` or `in`.
    #[getter]
    fn document_unit(&self) -> &'static str {
        self.request.unit.name()
    }

    /// Suppression of half the garment as drafted: the width that its side seam and darts take in from hip to waist.
    #[getter]
    fn suppression(&self) -> SuppressionReport {
        SuppressionReport::new(&self.inner.suppression, Unit::Cm)
    }

    /// Nominal suppression of half the garment: half the difference between the garment's hip girth and waist girth,
    /// shared out to side seam and darts by the rules.
    #[getter]
    fn nominal(&self) -> SuppressionReport {
        SuppressionReport::new(&self.inner.nominal, Unit::Cm)
    }

    /// Suppression of half the garment that the side seam takes beyond its limit, because no dart has room; usually 0.
    #[getter]
    fn left_in_side(&self) -> f64 {
        self.inner.left_in_side
    }

    /// Girths of the garment at waist, hip and hem.
    #[getter]
    fn girths(&self) -> Girths {
        Girths::from_panels([&self.back(), &self.front()])
    }

    /// Finished lengths of the garment from waist to hem, at centre back, centre front and side seam.
    #[getter]
    fn lengths(&self) -> Lengths {
        Lengths::from_panels([&self.back(), &self.front()])
    }

    /// Back panel, half of the back of the garment.
    #[getter]
    fn back(&self) -> PanelReport {
        PanelReport::new(&self.inner.back, Unit::Cm)
    }

    /// Front panel, half of the front of the garment.
    #[getter]
    fn front(&self) -> PanelReport {
        PanelReport::new(&self.inner.front, Unit::Cm)
    }

    /// Proof of the draft: independent measurements of the finished outlines, compared with the input.
    #[getter]
    fn proof(&self) -> Proof {
        self.inner.proof()
    }

    /// Cautions about the draft, such as too little ease for sitting; a trial garment decides.
    #[getter]
    fn findings(&self) -> Vec<Finding> {
        self.inner.findings()
    }

    /// Return the girth of the garment at a level, with the darts closed.
    ///
    /// The level is the distance below the waist at the side, in centimetres, from 0 to the hem.
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
        Ok(self.inner.girth_at(level)?)
    }

    /// Return all quantities of the draft as a dict from name to value.
    ///
    /// Quantities are lengths and coordinates of points in `unit`, areas in square `unit`, and angles in degrees.
    ///
    /// >>> body = Body(waist=70, hip=96, hip_depth=18, length=60)
    /// >>> draft(body, ease=Ease(waist=1.5, hip=5)).quantities().get("nominal.total")
    /// 14.75
    #[pyo3(signature = (*, unit = "cm"))]
    fn quantities<'py>(&self, py: Python<'py>, unit: &str) -> PyResult<AnyDict<'py>> {
        quantities_dict(py, &self.inner, parse_unit(unit)?)
    }

    /// Compute the exact derivatives of every quantity of the draft by its inputs.
    ///
    /// `by` lists the names of inputs, such as `ease.hip`; the default is all inputs. Lengths are in `unit`. The
    /// derivatives hold as long as the number of darts stays the same and the same limits of the rules apply.
    ///
    /// Raises `InputError` for an unknown name of an input.
    ///
    /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    /// >>> skirt.sensitivity(["ease.hip"])["front.width", "ease.hip"]
    /// 0.25
    /// >>> skirt.sensitivity(["ease.knee"])
    /// Traceback (most recent call last):
    /// kirtle.InputError: by: "ease.knee" is not one of body.waist, body.hip, body.hip_depth, ...
    #[pyo3(signature = (by = None, *, unit = "cm"))]
    fn sensitivity(slf: Bound<'_, Self>, by: Option<Vec<String>>, unit: &str) -> PyResult<Py<Sensitivity>> {
        Sensitivity::from_draft(slf, by.unwrap_or_default(), parse_unit(unit)?)
    }

    /// Compute the standard error of every quantity of the draft, and an error ellipse for every point.
    ///
    /// `errors` are the standard errors of inputs, propagated to first order by exact derivatives. Lengths are in
    /// `unit`.
    ///
    /// Raises `InputError` for an unknown name of an input.
    ///
    /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    /// >>> skirt.uncertainty(StandardErrors({"body.hip": 0.8}))["front.width"]
    /// 0.2
    /// >>> skirt.uncertainty(StandardErrors({"body.knee": 0.8}))
    /// Traceback (most recent call last):
    /// kirtle.InputError: by: "body.knee" is not one of body.waist, body.hip, body.hip_depth, ...
    #[pyo3(signature = (errors, *, unit = "cm"))]
    fn uncertainty(slf: Bound<'_, Self>, errors: Bound<'_, StandardErrors>, unit: &str) -> PyResult<Py<Uncertainty>> {
        Uncertainty::from_draft(slf, errors, parse_unit(unit)?)
    }

    /// Find the values of one input, such as `ease.hip`, for which a quantity of the draft equals `value`.
    ///
    /// All other inputs stay unchanged. `quantity` is a name from `quantities`, the number of darts `back.darts` or
    /// `front.darts`, or `girth`: the girth of the garment at `level`, a distance below the waist at the side. The
    /// search covers the whole range of the input, or the range `between` two values. All lengths are in `unit`.
    ///
    /// Raises `InputError` for an unknown name, for a `between` outside the input's range, and if there is no solution.
    ///
    /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    /// >>> solutions = skirt.seek("ease.hip", "front.darts", 1)
    /// >>> round(solutions.value, 6), len(solutions.draft.front.darts)
    /// (4.5, 1)
    /// >>> skirt.seek("ease.hip", "back.width", 90)
    /// Traceback (most recent call last):
    /// kirtle.InputError: value: 90 cm cannot be reached: ease.hip from -10 to 60 cm gives 21.75 to 39.25 cm
    #[pyo3(signature = (input, quantity, value, *, level = None, between = None, unit = "cm"))]
    #[allow(clippy::too_many_arguments, reason = "one keyword argument for each option")]
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
        let (target, unit) = (SeekTarget::from_name(quantity, value, level)?, parse_unit(unit)?);
        Ok(Solutions::new(py.detach(|| self.inner.seek(input, &target, between, unit))?, unit))
    }

    /// Compute the ease at levels from the waist to the hem: the garment's girth minus the body's girth.
    ///
    /// `step` is the distance between levels, by default 1 cm. `high_hip` is a girth of the body between waist and hip,
    /// measured `high_hip_depth` below the waist at the side. Without a high hip, the body follows a natural spline
    /// from waist to hip. All lengths are in `unit`.
    ///
    /// Raises `InputError` with all the problems at once.
    ///
    /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    /// >>> ease = skirt.ease_by_level(high_hip=94, high_hip_depth=10)
    /// >>> [round(number, 2) for number in ease.tightest]
    /// [2.92, 1.29]
    /// >>> skirt.ease_by_level(high_hip=94)
    /// Traceback (most recent call last):
    /// kirtle.InputError: high_hip_depth: missing: give a number from 1 to 39 cm
    #[pyo3(signature = (*, high_hip = None, high_hip_depth = None, step = None, unit = "cm"))]
    fn ease_by_level(
        slf: Bound<'_, Self>,
        high_hip: Option<f64>,
        high_hip_depth: Option<f64>,
        step: Option<f64>,
        unit: &str,
    ) -> PyResult<Py<EaseByLevel>> {
        let unit = parse_unit(unit)?;
        EaseByLevel::from_draft(slf, BodyProfile::from_high_hip(high_hip, high_hip_depth, unit)?, step, unit)
    }

    /// Return the result in JSON that follows `schema("result")`, with lengths in `unit`, by default `document_unit`.
    #[pyo3(signature = (unit = None))]
    fn to_json(&self, unit: Option<&str>) -> PyResult<String> {
        self.result_document_json(unit)
    }

    /// Return the result as a dict that follows `schema("result")`, with lengths in `unit`, by default `document_unit`.
    #[pyo3(signature = (unit = None))]
    fn to_dict<'py>(&self, py: Python<'py>, unit: Option<&str>) -> PyResult<AnyDict<'py>> {
        json_to_dict(py, &self.result_document_json(unit)?)
    }

    /// Draw back and front as SVG, with written lengths in `unit`, by default `document_unit`.
    ///
    /// The drawing has true size. With `fit=True` it fills the width of its container instead.
    #[pyo3(signature = (unit = None, *, fit = false))]
    fn svg(&self, unit: Option<&str>, fit: bool) -> PyResult<String> {
        Ok(svg(&draw_draft(&self.inner, self.request.unit_by_name_or_default(unit)?), svg_scale(fit)))
    }

    /// Make the pattern: the pieces of the draft with seam allowances, ready to cut.
    ///
    /// `preset` gives all values that are not passed: `trial` for a trial garment, or `garment` with a hem to turn up.
    /// `waist`, `side`, `hem` and `centre_back` are seam allowances. `opening` is the length of the opening from the
    /// waist down the centre back. `press` is the direction in which the darts are pressed, `centre` or `side`. `name`
    /// is printed on the pieces. Lengths are in `unit`, by default in `document_unit`; the values of a preset are round
    /// numbers.
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
    #[allow(clippy::too_many_arguments, reason = "one keyword argument for each option")]
    #[pyo3(signature = (
        *, preset = None, name = None, waist = None, side = None, hem = None, centre_back = None, opening = None,
        press = None, unit = None
    ))]
    fn pattern(
        &self,
        preset: Option<NameArgument>,
        name: Option<NameArgument>,
        waist: Option<NumberArgument>,
        side: Option<NumberArgument>,
        hem: Option<NumberArgument>,
        centre_back: Option<NumberArgument>,
        opening: Option<NumberArgument>,
        press: Option<NameArgument>,
        unit: Option<&str>,
    ) -> PyResult<Pattern> {
        let unit = self.request.unit_by_name_or_default(unit)?;
        let [waist, side, hem, centre_back, opening] =
            [waist, side, hem, centre_back, opening].map(|number| number.map(JsonValue::from));
        let [preset, name, press] = [preset, name, press].map(|word| word.map(JsonValue::from));
        let allowances = json_object([("waist", waist), ("side", side), ("hem", hem), ("centre_back", centre_back)]);
        let allowances = ("allowances", Some(allowances));
        let node =
            json_object([("preset", preset), ("name", name), allowances, ("opening", opening), ("press", press)]);
        let mut reader = InputReader { unit: Some(unit), problems: Vec::new() };
        let cutting = reader.read_cutting(&node);
        let cutting = reader.into_result(cutting)?;
        // The default opening depends on the unit, so a pattern in another unit carries its opening explicitly.
        let cutting =
            if unit == self.request.unit { cutting } else { cutting.with_explicit_opening_length(&self.inner, unit) };
        let cutting = cutting.convert_lengths(unit, self.request.unit);
        Pattern::from_draft(Request { cutting: Some(cutting), ..self.request.clone() }, &self.inner)
    }

    fn _repr_svg_(&self) -> PyResult<String> {
        self.svg(None, true)
    }

    pub(super) fn __repr__(&self) -> String {
        let [body, ease, rules] = [self.body().__repr__(), self.ease().__repr__(), self.rules().__repr__()];
        format!("Draft({body}, ease={ease}, rules={rules})")
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.inner == other.inner
    }

    fn __hash__(&self) -> u64 {
        hash_of_text(&self.__repr__())
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (String,))> {
        Ok((py.get_type::<Self>().getattr("from_json")?, (self.request.to_json(),)))
    }
}
