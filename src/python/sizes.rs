//! The Python classes `SizeChart`, `SizeRange`, `Alteration` and `Fitting`, and the function `chart_json`. Attributes
//! are in centimetres; methods take and return lengths in their `unit`.

use std::path::PathBuf;

use pyo3::prelude::*;
#[cfg(feature = "stubs")]
use pyo3::type_hint_union;
use pyo3::types::{PyBytes, PyDict};

use super::draft::{AnyDict, Draft, json_to_dict};
use super::inputs::{self, Body, Ease, Rules, hash_of_text, json_object, parse_unit};
use super::pattern::{parse_paper, svg_scale};
use super::simulate::value_or_raise;
use super::texts::{DocumentText, text_or_repr};
use crate::document::{
    ALTERATION_TOLERANCE_MM_FIELD, AlterationReport, ChangeReport, ChartRequest, ChoiceReport, GradeIncrementReport,
    InputReader, JsonValue, KeyLengths, grade_increment_reports, to_json_text,
};
use crate::drawing::{Drawing, draw_alteration, draw_nest, paginate, with_header};
use crate::field::Unit;
use crate::files::{pdf, save_drawing, svg};
use crate::sizes;

/// Converts a dict to a JSON object, and any other Python object to a JSON value, not yet validated.
fn dict_to_json_value(value: &Bound<'_, PyAny>) -> JsonValue {
    let Ok(fields) = value.cast::<PyDict>() else { return inputs::python_to_json_value(value.as_borrowed()) };
    JsonValue::Object(
        fields
            .iter()
            .map(|(key, value)| (text_or_repr(key.as_borrowed()), inputs::python_to_json_value(value.as_borrowed())))
            .collect(),
    )
}

/// Chart of named sizes in ascending order of waist and hip. Lengths are in centimetres.
///
/// >>> SizeChart([("S", Body(waist=68, hip=92, hip_depth=20, length=60)), ("M", Body(waist=74, hip=98, hip_depth=20, length=60))]).names
/// ['S', 'M']
/// >>> SizeChart([("S", Body(waist=68, hip=92, hip_depth=20, length=60))])
/// Traceback (most recent call last):
/// kirtle.InputError: sizes: 1 size is given, at least 2 sizes needed
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(PartialEq)]
pub(crate) struct SizeChart(pub(super) sizes::SizeChart);

#[pymethods]
impl SizeChart {
    /// Create a chart from pairs of a name and a body, in any order.
    ///
    /// Raises `InputError` with all the problems at once.
    #[new]
    fn new(sizes: Vec<(String, PyRef<'_, Body>)>) -> PyResult<Self> {
        let sizes = sizes.into_iter().map(|(name, body)| sizes::Size { name, body: body.0 });
        Ok(Self(sizes::SizeChart::new(sizes.collect())?))
    }

    /// Return an example chart of 12 sizes, with the increments of EN 13402-3.
    #[staticmethod]
    fn demo() -> Self {
        Self(sizes::SizeChart::demo())
    }

    /// Create a chart from comma-separated values with the columns `name`, `waist`, `hip`, `hip_depth` and `length`.
    ///
    /// Raises `InputError` with all the problems at once.
    ///
    /// >>> text = SizeChart.demo().to_csv("in")
    /// >>> SizeChart.from_csv(text, unit="in").names[:3]
    /// ['32', '34', '36']
    /// >>> SizeChart.from_csv("name,waist,hip,hip_depth,length")
    /// Traceback (most recent call last):
    /// kirtle.InputError: sizes: 0 sizes are given, at least 2 sizes needed
    #[staticmethod]
    #[pyo3(signature = (text, *, unit = "cm"))]
    fn from_csv(text: DocumentText<'_>, unit: &str) -> PyResult<Self> {
        let unit = parse_unit(unit)?;
        Ok(Self(text.parse_text_with(|text| sizes::SizeChart::from_csv(text, unit))?))
    }

    /// Create a chart from JSON that follows `schema("chart")`.
    ///
    /// Raises `InputError` with all the problems at once.
    #[staticmethod]
    fn from_json(text: DocumentText<'_>) -> PyResult<Self> {
        Ok(Self(text.parse_text_with(ChartRequest::from_json)?.chart))
    }

    /// Return the chart as comma-separated values, which `from_csv` reads, with lengths in `unit`.
    #[pyo3(signature = (unit = "cm"))]
    fn to_csv(&self, unit: &str) -> PyResult<String> {
        Ok(self.0.to_csv(parse_unit(unit)?))
    }

    /// Names of the sizes, from the smallest to the largest.
    #[getter]
    fn names(&self) -> Vec<String> {
        self.0.sizes().iter().map(|size| size.name.clone()).collect()
    }

    /// Return the body of the size called `name`.
    ///
    /// Raises `KeyError` for an unknown name.
    fn __getitem__(&self, name: &str) -> PyResult<Body> {
        let unknown = || pyo3::exceptions::PyKeyError::new_err(name.to_owned());
        self.0.size(name).map(|size| Body(size.body)).ok_or_else(unknown)
    }

    /// Return the number of sizes.
    fn __len__(&self) -> usize {
        self.0.sizes().len()
    }

    /// Choose the nearest size for a body, with advice in words; lengths are in `unit`.
    ///
    /// >>> choice = SizeChart.demo().choose(Body(waist=73, hip=101, hip_depth=20.5, length=62))
    /// >>> choice.overall.size, choice.advised.size
    /// ('40', '42')
    /// >>> print(choice.advice)
    /// The nearest size is 40: its waist is 3.0 cm too large, its hip is 1.0 cm too small. Between two sizes, take the larger, 42, as it is easier to take in than to let out: its waist is 7.0 cm too large, its hip is 3.0 cm too large. The waist is nearest to size 38 and the hip to size 40: blend the two sizes, or draft this body individually.
    #[pyo3(signature = (body, *, unit = "cm"))]
    fn choose(&self, body: &Body, unit: &str) -> PyResult<ChoiceReport> {
        Ok(ChoiceReport::new(&self.0.choose(&body.0), parse_unit(unit)?))
    }

    /// Return a body between sizes of the chart, in centimetres.
    ///
    /// `waist` and `hip` are each the name of a size, or a tuple of two names and a fraction from 0 to 1: 0.25 is a
    /// quarter of the way from the first size to the second. `hip_depth` and `length` replace the values of the sizes.
    ///
    /// Raises `InputError` with all the problems at once.
    ///
    /// >>> SizeChart.demo().between(waist="38", hip=("40", "42", 0.5))
    /// Body(waist=72.0, hip=102.0, hip_depth=20.4, length=60.0)
    /// >>> SizeChart.demo().between(waist="39", hip="40")
    /// Traceback (most recent call last):
    /// kirtle.InputError: waist.from: there is no size "39"; the sizes are 32, 34, 36, 38, 40, 42, 44, 46, 48, 50, 52, 54
    #[pyo3(signature = (*, waist, hip, hip_depth = None, length = None))]
    fn between(
        &self,
        waist: SizePositionArgument,
        hip: SizePositionArgument,
        hip_depth: Option<inputs::NumberArgument>,
        length: Option<inputs::NumberArgument>,
    ) -> PyResult<Body> {
        let (hip_depth, length) = (hip_depth.map(JsonValue::from), length.map(JsonValue::from));
        let value =
            json_object([("waist", Some(waist.0)), ("hip", Some(hip.0)), ("hip_depth", hip_depth), ("length", length)]);
        let mut reader = InputReader { unit: Some(Unit::Cm), problems: Vec::new() };
        let blend = reader.read_blend(&value);
        Ok(Body(self.0.between(&reader.into_result(blend)?)?))
    }

    /// Draft every size of the chart with the same ease and rules.
    ///
    /// Raises `InputError` with all the problems at once; each problem names its size.
    ///
    /// >>> sizes = SizeChart.demo().draft(ease=Ease(waist=1.5, hip=5))
    /// >>> sizes["40"].back.width
    /// 25.25
    /// >>> long = Rules(darts=Darts(back=[FixedDart(intake=3, length=25, place=0.5)], front=[]))
    /// >>> SizeChart.demo().draft(ease=Ease(waist=1.5, hip=5), rules=long)
    /// Traceback (most recent call last):
    /// kirtle.InputError: size "32" rules.darts.back: a dart tip would lie 26... cm below the side end of the waist, but the hip line lies at 19.5 cm: use a shorter dart
    /// ...
    #[pyo3(signature = (*, ease, rules = None))]
    fn draft(&self, py: Python<'_>, ease: &Ease, rules: Option<&Rules>) -> PyResult<SizeRange> {
        let rules = rules.map(|rules| rules.0.clone()).unwrap_or_default();
        Ok(SizeRange(py.detach(|| self.0.draft(&ease.0, &rules))?))
    }

    fn __repr__(&self) -> String {
        // JSON and Python have the same escapes.
        let names = to_json_text(&self.names());
        format!("<SizeChart of {names}>")
    }

    fn __hash__(&self) -> u64 {
        hash_of_text(&self.0.to_csv(Unit::Cm))
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (String,))> {
        Ok((py.get_type::<Self>().getattr("from_csv")?, (self.0.to_csv(Unit::Cm),)))
    }
}

/// Argument that selects a size by name, or a point between two sizes by `(from, to, fraction)`.
pub(crate) struct SizePositionArgument(JsonValue);

impl FromPyObject<'_, '_> for SizePositionArgument {
    type Error = PyErr;

    #[cfg(feature = "stubs")]
    const INPUT_TYPE: pyo3::inspect::PyStaticExpr = type_hint_union!(
        pyo3::type_hint_identifier!("builtins", "str"),
        pyo3::type_hint_subscript!(
            pyo3::type_hint_identifier!("builtins", "tuple"),
            pyo3::type_hint_identifier!("builtins", "str"),
            pyo3::type_hint_identifier!("builtins", "str"),
            pyo3::type_hint_identifier!("builtins", "float")
        )
    );

    fn extract(object: Borrowed<'_, '_, PyAny>) -> PyResult<Self> {
        let text = JsonValue::String;
        if let Ok(name) = object.extract::<String>() {
            return Ok(Self(JsonValue::Object(vec![("from".to_owned(), text(name))])));
        }
        let (from, to, fraction): (String, String, f64) = object.extract()?;
        let fields = [("from", text(from)), ("to", text(to)), ("fraction", JsonValue::Number(fraction))];
        Ok(Self(JsonValue::Object(fields.map(|(name, value)| (name.to_owned(), value)).into())))
    }
}

/// Drafts of all sizes of a chart, with one ease and one set of rules.
///
/// A notebook displays the drafts as a nest: all sizes on one drawing.
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(PartialEq)]
pub(crate) struct SizeRange(sizes::SizeRange);

#[pymethods]
impl SizeRange {
    /// Draft all sizes of a chart in JSON that follows `schema("chart")` and contains `ease`.
    ///
    /// Raises `InputError` with all the problems at once.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: DocumentText<'_>) -> PyResult<Self> {
        Ok(Self(py.detach(|| text.parse_text_with(ChartRequest::from_json)?.required_range())?))
    }

    /// Chart of the sizes.
    #[getter]
    fn chart(&self) -> SizeChart {
        SizeChart(self.0.chart().clone())
    }

    /// Return the draft of the size called `name`.
    ///
    /// Raises `KeyError` for an unknown name.
    fn __getitem__(&self, name: &str) -> PyResult<Draft> {
        let found = self.0.sizes_with_drafts().find(|(size, _)| size.name == name);
        let unknown = || pyo3::exceptions::PyKeyError::new_err(name.to_owned());
        found.map(|(_, draft)| Draft::from_library_draft(draft.clone(), Unit::Cm)).ok_or_else(unknown)
    }

    /// Return the number of drafts.
    fn __len__(&self) -> usize {
        self.0.drafts().len()
    }

    /// Return the name and the key lengths of each size, in the order of the chart, with lengths in `unit`.
    #[pyo3(signature = (unit = "cm"))]
    fn table(&self, unit: &str) -> PyResult<Vec<(String, KeyLengths)>> {
        let unit = parse_unit(unit)?;
        Ok(self.0.sizes_with_drafts().map(|(size, draft)| (size.name.clone(), KeyLengths::new(draft, unit))).collect())
    }

    /// Return the grade increments: how far each named point moves from one size to the next, in `unit`.
    #[pyo3(signature = (unit = "cm"))]
    fn grade(&self, unit: &str) -> PyResult<Vec<GradeIncrementReport>> {
        Ok(grade_increment_reports(&self.0, parse_unit(unit)?))
    }

    /// Alter the printed nest on paper for one body, and compare the result with the exact draft of the body.
    ///
    /// `tolerance_mm` is the accepted difference from the exact draft, from 0.1 to 50 mm, by default 3 mm.
    ///
    /// Raises `InputError` for a body outside the chart or a tolerance out of range.
    ///
    /// >>> sizes = SizeChart.demo().draft(ease=Ease(waist=1.5, hip=5))
    /// >>> altered = sizes.alter(Body(waist=70, hip=100, hip_depth=20.5, length=58))
    /// >>> altered.holds, round(altered.cost.side_gap_mm, 1)
    /// (False, 7.5)
    /// >>> sizes.alter(Body(waist=140, hip=160, hip_depth=20.5, length=58))
    /// Traceback (most recent call last):
    /// kirtle.InputError: body.waist: 140 cm is outside the size chart, which ends at 112 cm: draft this body individually
    /// body.hip: 160 cm is outside the size chart, which ends at 132 cm: draft this body individually
    #[pyo3(signature = (body, *, tolerance_mm = None))]
    fn alter(&self, py: Python<'_>, body: &Body, tolerance_mm: Option<f64>) -> PyResult<Alteration> {
        let problem = tolerance_mm.and_then(|value| ALTERATION_TOLERANCE_MM_FIELD.range_problem("", value, Unit::Cm));
        crate::error::Problems::ok_if_empty(problem.into_iter().collect())?;
        let inner = py.detach(|| self.0.alter(&body.0, tolerance_mm))?;
        Ok(Alteration { range: self.0.clone(), inner })
    }

    /// Draw the nest as SVG, with lengths in `unit`.
    ///
    /// The drawing has true size. With `fit=True` it fills the width of its container instead.
    #[pyo3(signature = (unit = "cm", *, fit = false))]
    fn svg(&self, unit: &str, fit: bool) -> PyResult<String> {
        Ok(svg(&with_header(draw_nest(&self.0, parse_unit(unit)?)), svg_scale(fit)))
    }

    /// Return the bytes of a PDF of the nest at true size, each size on its own layers. Options as in `Pattern.save`.
    #[pyo3(signature = (*, paper = "A4", margin_mm = 10.0, overlap_mm = 10.0, unit = "cm"))]
    fn pdf<'py>(
        &self,
        py: Python<'py>,
        paper: &str,
        margin_mm: f64,
        overlap_mm: f64,
        unit: &str,
    ) -> PyResult<Bound<'py, PyBytes>> {
        let (unit, paper) = (parse_unit(unit)?, parse_paper(paper, margin_mm, overlap_mm)?);
        let bytes = py.detach(|| paginate(&draw_nest(&self.0, unit), &paper).map(|print| pdf(&print)))?;
        Ok(PyBytes::new(py, &bytes))
    }

    /// Write the nest to a `.pdf` or `.svg` file. A failed call leaves no partial file.
    ///
    /// `paper`, `margin_mm` and `overlap_mm` are as in `Pattern.save`.
    ///
    /// Raises `InputError` for another file name or unsuitable paper, and `OSError` if writing fails.
    #[pyo3(signature = (path, *, paper = "A4", margin_mm = 10.0, overlap_mm = 10.0, unit = "cm"))]
    fn save(
        &self,
        py: Python<'_>,
        path: PathBuf,
        paper: &str,
        margin_mm: f64,
        overlap_mm: f64,
        unit: &str,
    ) -> PyResult<()> {
        write_drawing(py, path, parse_paper(paper, margin_mm, overlap_mm)?, &draw_nest(&self.0, parse_unit(unit)?))
    }

    fn _repr_svg_(&self) -> PyResult<String> {
        self.svg("cm", true)
    }

    fn __repr__(&self) -> String {
        format!("<SizeRange of {} drafts>", self.0.drafts().len())
    }

    fn __hash__(&self) -> u64 {
        hash_of_text(&format!("{:?} {:?}", self.0.chart(), self.0.ease()))
    }
}

/// Writes a drawing to a PDF or SVG file; Python's interpreter lock is released meanwhile.
fn write_drawing(py: Python<'_>, path: PathBuf, paper: crate::drawing::Paper, drawing: &Drawing) -> PyResult<()> {
    Ok(py.detach(|| save_drawing(path, drawing, &paper))?)
}

/// Alteration of a printed nest for one body, compared with the exact draft of the body.
///
/// A notebook displays the alteration as a drawing.
#[pyclass(frozen, module = "kirtle")]
pub(crate) struct Alteration {
    range: sizes::SizeRange,
    inner: sizes::Alteration,
}

#[pymethods]
impl Alteration {
    /// Return the instructions of the alteration, one sentence for each step, with lengths in `unit`.
    #[pyo3(signature = (unit = "cm"))]
    fn instructions(&self, unit: &str) -> PyResult<Vec<String>> {
        Ok(self.inner.instructions(parse_unit(unit)?))
    }

    /// Cost of the alteration: differences between the altered pattern and the exact draft, in millimetres.
    #[getter]
    fn cost(&self) -> sizes::Cost {
        self.inner.cost
    }

    /// Largest difference from the exact draft, in millimetres; infinite if the numbers of darts differ.
    #[getter]
    fn largest_mm(&self) -> f64 {
        self.inner.cost.largest_mm()
    }

    /// Whether the largest difference from the exact draft is within the tolerance.
    #[getter]
    fn holds(&self) -> bool {
        self.inner.is_within_tolerance()
    }

    /// Verdict on the alteration, in words: within the tolerance or not, and why.
    #[getter]
    fn verdict(&self) -> String {
        self.inner.verdict()
    }

    /// Exact draft of the body.
    #[getter]
    fn exact(&self) -> Draft {
        Draft::from_library_draft(self.inner.exact.clone(), Unit::Cm)
    }

    /// Convert the alteration to a dict: instructions, steps, cost, verdict and altered outlines, lengths in `unit`.
    #[pyo3(signature = (unit = "cm"))]
    fn to_dict<'py>(&self, py: Python<'py>, unit: &str) -> PyResult<AnyDict<'py>> {
        let report = AlterationReport::new(&self.inner, parse_unit(unit)?);
        json_to_dict(py, &to_json_text(&report))
    }

    /// Draw the printed sizes, the altered outline and the exact draft as SVG, with lengths in `unit`.
    ///
    /// The drawing has true size. With `fit=True` it fills the width of its container instead.
    #[pyo3(signature = (unit = "cm", *, fit = false))]
    fn svg(&self, unit: &str, fit: bool) -> PyResult<String> {
        Ok(svg(&with_header(draw_alteration(&self.range, &self.inner, parse_unit(unit)?)), svg_scale(fit)))
    }

    /// Write the drawing of the alteration to a `.pdf` or `.svg` file. A failed call leaves no partial file.
    ///
    /// Raises `InputError` for another file name or unsuitable paper, and `OSError` if writing fails.
    #[pyo3(signature = (path, *, paper = "A4", unit = "cm"))]
    fn save(&self, py: Python<'_>, path: PathBuf, paper: &str, unit: &str) -> PyResult<()> {
        let (paper, unit) = (parse_paper(paper, 10.0, 10.0)?, parse_unit(unit)?);
        write_drawing(py, path, paper, &draw_alteration(&self.range, &self.inner, unit))
    }

    fn _repr_svg_(&self) -> PyResult<String> {
        self.svg("cm", true)
    }

    fn __repr__(&self) -> String {
        format!("<Alteration: {}>", self.inner.verdict())
    }
}

/// History of corrections to a draft after fittings of a trial garment.
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(PartialEq)]
pub(crate) struct Fitting {
    inner: sizes::Fitting,
}

#[pymethods]
impl Fitting {
    /// Start a history with a draft and no corrections.
    #[new]
    fn new(draft: &Draft) -> Self {
        Self { inner: sizes::Fitting::new(draft.inner.clone()) }
    }

    /// Return a new history with the corrections of one fitting, applied to the draft.
    ///
    /// Each correction is a dict as in `schema("request")`: `{"what": "waist", "by": -1, "at": "side"}`, `by` in
    /// `unit`.
    ///
    /// Raises `InputError` with all the problems at once.
    ///
    /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    /// >>> fitted = Fitting(skirt).correct([{"what": "waist", "by": -1, "at": "side"}])
    /// >>> fitted.changes[0]
    /// Change(field="ease.waist", before=1.5, after=0.5)
    /// >>> fitted.undo().draft == skirt
    /// True
    /// >>> Fitting(skirt).correct([{"what": "knee", "by": 1}])
    /// Traceback (most recent call last):
    /// kirtle.InputError: corrections[0].what: "knee" is not "waist" or "hip" or "hip_line" or "centre_back" or "centre_front" or "length"
    #[allow(clippy::needless_pass_by_value, reason = "PyO3 passes arguments by value")]
    #[pyo3(signature = (corrections, *, unit = "cm"))]
    fn correct(&self, corrections: Vec<Bound<'_, PyAny>>, unit: &str) -> PyResult<Self> {
        let values: Vec<JsonValue> = corrections.iter().map(dict_to_json_value).collect();
        let unit = parse_unit(unit)?;
        let mut reader = InputReader { unit: Some(unit), problems: Vec::new() };
        let corrections = reader.read_corrections(&JsonValue::Array(values));
        let corrections = reader.into_result(corrections)?.into_iter();
        let corrections: Vec<_> = corrections.map(|correction| correction.convert_amount(unit, Unit::Cm)).collect();
        value_or_raise(self.inner.clone().correct(&corrections), unit).map(|inner| Self { inner })
    }

    /// Return a new history without the corrections of the last fitting.
    fn undo(&self) -> Self {
        Self { inner: self.inner.clone().undo() }
    }

    /// Draft with all corrections applied.
    #[getter]
    fn draft(&self) -> Draft {
        Draft::from_library_draft(self.inner.draft().clone(), Unit::Cm)
    }

    /// Inputs that the corrections of the last fitting changed, with their values before and after.
    #[getter]
    fn changes(&self) -> Vec<ChangeReport> {
        self.inner.changes().iter().map(|change| ChangeReport::new(change, Unit::Cm)).collect()
    }

    fn __repr__(&self) -> String {
        format!("<Fitting after {} corrections>", self.inner.corrections().map(<[_]>::len).sum::<usize>())
    }

    fn __hash__(&self) -> u64 {
        hash_of_text(&self.draft().__repr__())
    }
}

/// Draft a chart of sizes in JSON and return the report in JSON.
///
/// The documents follow `schema("chart")` and `schema("sizes")`.
///
/// Raises `InputError` with all the problems at once.
///
/// >>> sizes = [{"name": name, "waist": waist, "hip": waist + 24, "hip_depth": 20, "length": 60} for name, waist in [("S", 68), ("M", 74)]]
/// >>> report = json.loads(chart_json(json.dumps({"unit": "cm", "sizes": sizes, "ease": {"waist": 1.5, "hip": 5}})))
/// >>> [size["name"] for size in report["sizes"]]
/// ['S', 'M']
/// >>> chart_json('{"unit": "cm", "sizes": []}')
/// Traceback (most recent call last):
/// kirtle.InputError: sizes: 0 sizes are given, at least 2 sizes needed
#[pyfunction]
pub(crate) fn chart_json(py: Python<'_>, chart: DocumentText<'_>) -> PyResult<String> {
    Ok(py.detach(|| chart.parse_text_with(crate::document::chart_json))?)
}
