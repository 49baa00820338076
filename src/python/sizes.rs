//! Charts of sizes, ranges, alterations and fittings in Python.

use std::path::PathBuf;

use pyo3::prelude::*;
#[cfg(feature = "stubs")]
use pyo3::type_hint_union;
use pyo3::types::{PyBytes, PyDict};

use super::draft::{Dict, Draft, loads};
use super::inputs::{self, Body, Ease, Rules, hash_of, object, unit_named};
use super::pattern::{paper_of, scale};
use super::texts::{Text, shown_as};
use crate::document::node::Node;
use crate::document::{
    AlterationReport, ChangeReport, ChartRequest, ChoiceReport, GradeIncrementReport, KeyLengths, Reader, TOLERANCE,
    grade, text,
};
use crate::drawing::{Drawing, draw_alteration, draw_nest, print, with_header};
use crate::field::Unit;
use crate::files::pdf;
use crate::files::save_drawing;
use crate::files::svg;
use crate::sizes;

/// A dict as an object, its values read as those of keywords are; anything else as such a value.
fn object_of(given: &Bound<'_, PyAny>) -> Node {
    let Ok(fields) = given.cast::<PyDict>() else { return inputs::node(given.as_borrowed()) };
    Node::Object(
        fields.iter().map(|(key, value)| (shown_as(key.as_borrowed()), inputs::node(value.as_borrowed()))).collect(),
    )
}

/// Named sizes in the order of their girths; lengths are in centimetres.
///
/// >>> SizeChart([("S", Body(waist=68, hip=92, hip_depth=20, length=60)), ("M", Body(waist=74, hip=98, hip_depth=20, length=60))]).names
/// ['S', 'M']
/// >>> SizeChart([("S", Body(waist=68, hip=92, hip_depth=20, length=60))])
/// Traceback (most recent call last):
/// kirtle.InputError: sizes: 1 size is given; the least is 2 sizes
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(PartialEq)]
pub(crate) struct SizeChart(pub(super) sizes::SizeChart);

#[pymethods]
impl SizeChart {
    /// A chart from bodies by their names; the order does not matter.
    ///
    /// Raises `InputError` with all the problems at once.
    #[new]
    fn new(sizes: Vec<(String, PyRef<'_, Body>)>) -> PyResult<Self> {
        let sizes = sizes.into_iter().map(|(name, body)| sizes::Size { name, body: body.0 });
        Ok(Self(sizes::SizeChart::new(sizes.collect())?))
    }

    /// A chart for trying things out, on the steps of EN 13402-3.
    #[staticmethod]
    fn demo() -> Self {
        Self(sizes::SizeChart::demo())
    }

    /// A chart from comma-separated values with columns `name`, `waist`, `hip`, `hip_depth`, `length`.
    ///
    /// >>> text = SizeChart.demo().to_csv("in")
    /// >>> SizeChart.from_csv(text, unit="in").names[:3]
    /// ['32', '34', '36']
    /// >>> SizeChart.from_csv("name,waist,hip,hip_depth,length")
    /// Traceback (most recent call last):
    /// kirtle.InputError: sizes: 0 sizes are given; the least is 2 sizes
    #[staticmethod]
    #[pyo3(signature = (text, *, unit = "cm"))]
    fn from_csv(text: Text<'_>, unit: &str) -> PyResult<Self> {
        let unit = unit_named(unit)?;
        Ok(Self(text.read(|text| sizes::SizeChart::from_csv(text, unit))?))
    }

    /// A chart from JSON, as `schema("chart")` says.
    #[staticmethod]
    fn from_json(text: Text<'_>) -> PyResult<Self> {
        Ok(Self(text.read(ChartRequest::from_json)?.chart))
    }

    /// The chart as comma-separated values.
    #[pyo3(signature = (unit = "cm"))]
    fn to_csv(&self, unit: &str) -> PyResult<String> {
        Ok(self.0.to_csv(unit_named(unit)?))
    }

    /// The names of the sizes, from the smallest to the largest.
    #[getter]
    fn names(&self) -> Vec<String> {
        self.0.sizes().iter().map(|size| size.name.clone()).collect()
    }

    /// The body of a size.
    ///
    /// Raises `KeyError` for a name that no size has.
    fn __getitem__(&self, name: &str) -> PyResult<Body> {
        let unknown = || pyo3::exceptions::PyKeyError::new_err(name.to_owned());
        self.0.size(name).map(|size| Body(size.body)).ok_or_else(unknown)
    }

    fn __len__(&self) -> usize {
        self.0.sizes().len()
    }

    /// The nearest sizes of a body, and what to do between two, in `unit`.
    ///
    /// >>> choice = SizeChart.demo().choose(Body(waist=73, hip=101, hip_depth=20.5, length=62))
    /// >>> choice.overall.size, choice.advised.size
    /// ('40', '42')
    /// >>> print(choice.advice)
    /// Nearest is 40: its waist is 3.0 cm larger, its hip is 1.0 cm smaller. Between two take the larger, 42, as it is easier to take in than to let out: its waist is 7.0 cm larger, its hip is 3.0 cm larger. The waist is nearest to 38 and the hip to 40: blend the two, or draft this body itself.
    #[pyo3(signature = (body, *, unit = "cm"))]
    fn choose(&self, body: &Body, unit: &str) -> PyResult<ChoiceReport> {
        Ok(ChoiceReport::new(&self.0.choose(&body.0), unit_named(unit)?))
    }

    /// The body between sizes: `waist` and `hip` are the name of a size, or `(from, to, fraction)`.
    ///
    /// Raises `InputError` with all the problems at once.
    ///
    /// >>> SizeChart.demo().between(waist="38", hip=("40", "42", 0.5))
    /// Body(waist=72.0, hip=102.0, hip_depth=20.4, length=60.0)
    /// >>> SizeChart.demo().between(waist="39", hip="40")
    /// Traceback (most recent call last):
    /// kirtle.InputError: waist.from: "39" is none of the sizes 32, 34, 36, 38, 40, 42, 44, 46, 48, 50, 52, 54
    #[pyo3(signature = (*, waist, hip, hip_depth = None, length = None))]
    fn between(
        &self,
        waist: Place,
        hip: Place,
        hip_depth: Option<inputs::Number>,
        length: Option<inputs::Number>,
    ) -> PyResult<Body> {
        let (hip_depth, length) = (hip_depth.map(Node::from), length.map(Node::from));
        let node =
            object([("waist", Some(waist.0)), ("hip", Some(hip.0)), ("hip_depth", hip_depth), ("length", length)]);
        let mut reader = Reader { unit: Some(Unit::Cm), problems: Vec::new() };
        let blend = reader.blend(&node);
        Ok(Body(self.0.between(&reader.finish(blend)?)?))
    }

    /// Drafts every size with the same ease and rules.
    ///
    /// Raises `InputError` with all the problems; those of a size name it.
    ///
    /// >>> sizes = SizeChart.demo().draft(ease=Ease(waist=1.5, hip=5))
    /// >>> sizes["40"].back.width
    /// 25.25
    /// >>> long = Rules(darts=Darts(back=[FixedDart(intake=3, length=25, place=0.5)], front=[]))
    /// >>> SizeChart.demo().draft(ease=Ease(waist=1.5, hip=5), rules=long)
    /// Traceback (most recent call last):
    /// kirtle.InputError: size "32" rules.darts.back: a dart would end 26... cm below the waist at the side; the hip line is at 19.5 cm
    /// ...
    #[pyo3(signature = (*, ease, rules = None))]
    fn draft(&self, py: Python<'_>, ease: &Ease, rules: Option<&Rules>) -> PyResult<SizeRange> {
        let rules = rules.map(|rules| rules.0.clone()).unwrap_or_default();
        Ok(SizeRange(py.detach(|| self.0.draft(&ease.0, &rules))?))
    }

    fn __repr__(&self) -> String {
        // The escapes of JSON are Python's, too.
        let names = text(&self.names());
        format!("<SizeChart of {names}>")
    }

    fn __hash__(&self) -> u64 {
        hash_of(&self.0.to_csv(Unit::Cm))
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (String,))> {
        Ok((py.get_type::<Self>().getattr("from_csv")?, (self.0.to_csv(Unit::Cm),)))
    }
}

/// A place between sizes: a name, or `(from, to, fraction)`.
pub(crate) struct Place(Node);

impl FromPyObject<'_, '_> for Place {
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
        let text = |name: String| Node::Text(name);
        if let Ok(name) = object.extract::<String>() {
            return Ok(Self(Node::Object(vec![("from".to_owned(), text(name))])));
        }
        let (from, to, fraction): (String, String, f64) = object.extract()?;
        let fields = [("from", text(from)), ("to", text(to)), ("fraction", Node::Number(fraction))];
        Ok(Self(Node::Object(fields.map(|(name, node)| (name.to_owned(), node)).into())))
    }
}

/// A chart drafted with one ease and one set of rules. A notebook shows it as a nest.
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(PartialEq)]
pub(crate) struct SizeRange(sizes::SizeRange);

#[pymethods]
impl SizeRange {
    /// The sizes of a chart in JSON, drafted; it gives the ease, as `schema("chart")` says.
    ///
    /// Raises `InputError` with all the problems at once.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: Text<'_>) -> PyResult<Self> {
        Ok(Self(py.detach(|| text.read(ChartRequest::from_json)?.drafted())?))
    }

    /// The chart.
    #[getter]
    fn chart(&self) -> SizeChart {
        SizeChart(self.0.chart().clone())
    }

    /// The draft of a size.
    ///
    /// Raises `KeyError` for a name that no size has.
    fn __getitem__(&self, name: &str) -> PyResult<Draft> {
        let found = self.0.each().find(|(size, _)| size.name == name);
        let unknown = || pyo3::exceptions::PyKeyError::new_err(name.to_owned());
        found.map(|(_, draft)| Draft::made(draft.clone(), Unit::Cm)).ok_or_else(unknown)
    }

    fn __len__(&self) -> usize {
        self.0.drafts().len()
    }

    /// The key lengths of each size, in the order of the chart.
    #[pyo3(signature = (unit = "cm"))]
    fn table(&self, unit: &str) -> PyResult<Vec<(String, KeyLengths)>> {
        let unit = unit_named(unit)?;
        Ok(self.0.each().map(|(size, draft)| (size.name.clone(), KeyLengths::new(draft, unit))).collect())
    }

    /// How far each named point moves from size to size.
    #[pyo3(signature = (unit = "cm"))]
    fn grade(&self, unit: &str) -> PyResult<Vec<GradeIncrementReport>> {
        Ok(grade(&self.0, unit_named(unit)?))
    }

    /// Alters the printed nest for a body, on paper; `tolerance_mm` is 3 unless told.
    ///
    /// Raises `InputError` for a body beyond the chart, or a tolerance out of range.
    ///
    /// >>> sizes = SizeChart.demo().draft(ease=Ease(waist=1.5, hip=5))
    /// >>> altered = sizes.alter(Body(waist=70, hip=100, hip_depth=20.5, length=58))
    /// >>> altered.holds, round(altered.cost.side_gap_mm, 1)
    /// (False, 7.5)
    /// >>> sizes.alter(Body(waist=140, hip=160, hip_depth=20.5, length=58))
    /// Traceback (most recent call last):
    /// kirtle.InputError: body.waist: 140 cm is beyond the chart, which ends at 112 cm
    /// body.hip: 160 cm is beyond the chart, which ends at 132 cm
    #[pyo3(signature = (body, *, tolerance_mm = None))]
    fn alter(&self, py: Python<'_>, body: &Body, tolerance_mm: Option<f64>) -> PyResult<Alteration> {
        let wrong = tolerance_mm.and_then(|value| TOLERANCE.check("", value, Unit::Cm));
        crate::error::Problems::ok_if_empty(wrong.into_iter().collect())?;
        let made = py.detach(|| self.0.alter(&body.0, tolerance_mm))?;
        Ok(Alteration { range: self.0.clone(), made })
    }

    /// The nest as SVG at true scale; `fit` lets it fill its place on a screen instead.
    #[pyo3(signature = (unit = "cm", *, fit = false))]
    fn svg(&self, unit: &str, fit: bool) -> PyResult<String> {
        Ok(svg(&with_header(draw_nest(&self.0, unit_named(unit)?)), scale(fit)))
    }

    /// The nest as PDF, each size on layers of its own.
    #[pyo3(signature = (*, paper = "A4", margin_mm = 10.0, overlap_mm = 10.0, unit = "cm"))]
    fn pdf<'py>(
        &self,
        py: Python<'py>,
        paper: &str,
        margin_mm: f64,
        overlap_mm: f64,
        unit: &str,
    ) -> PyResult<Bound<'py, PyBytes>> {
        let (unit, paper) = (unit_named(unit)?, paper_of(paper, margin_mm, overlap_mm)?);
        let bytes = py.detach(|| print(&draw_nest(&self.0, unit), &paper).map(|print| pdf(&print)))?;
        Ok(PyBytes::new(py, &bytes))
    }

    /// Writes the nest, `.pdf` or `.svg`; whole, or not at all.
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
        save(py, path, paper_of(paper, margin_mm, overlap_mm)?, &draw_nest(&self.0, unit_named(unit)?))
    }

    fn _repr_svg_(&self) -> PyResult<String> {
        self.svg("cm", true)
    }

    fn __repr__(&self) -> String {
        format!("<SizeRange of {} drafts>", self.0.drafts().len())
    }

    fn __hash__(&self) -> u64 {
        hash_of(&format!("{:?} {:?}", self.0.chart(), self.0.ease()))
    }
}

fn save(py: Python<'_>, path: PathBuf, paper: crate::drawing::Paper, drawing: &Drawing) -> PyResult<()> {
    Ok(py.detach(|| save_drawing(path, drawing, &paper))?)
}

/// An alteration on paper beside the exact redraft. A notebook shows it as a drawing.
#[pyclass(frozen, module = "kirtle")]
pub(crate) struct Alteration {
    range: sizes::SizeRange,
    made: sizes::Alteration,
}

#[pymethods]
impl Alteration {
    /// What to do, a step each.
    #[pyo3(signature = (unit = "cm"))]
    fn instructions(&self, unit: &str) -> PyResult<Vec<String>> {
        Ok(self.made.instructions(unit_named(unit)?))
    }

    /// What it costs, in millimetres.
    #[getter]
    fn cost(&self) -> sizes::Cost {
        self.made.cost
    }

    /// The largest cost in millimetres; infinite where the redraft has another number of darts.
    #[getter]
    fn largest_mm(&self) -> f64 {
        self.made.cost.largest_mm()
    }

    /// Whether it costs no more than the tolerance.
    #[getter]
    fn holds(&self) -> bool {
        self.made.holds()
    }

    /// What it costs, in plain words.
    #[getter]
    fn verdict(&self) -> String {
        self.made.verdict()
    }

    /// The exact redraft.
    #[getter]
    fn exact(&self) -> Draft {
        Draft::made(self.made.exact.clone(), Unit::Cm)
    }

    /// All of it: instructions, steps, cost, verdict and the altered outlines.
    #[pyo3(signature = (unit = "cm"))]
    fn to_dict<'py>(&self, py: Python<'py>, unit: &str) -> PyResult<Dict<'py>> {
        let report = AlterationReport::new(&self.made, unit_named(unit)?);
        loads(py, &text(&report))
    }

    /// The printed sizes, the altered line and the exact redraft as SVG.
    #[pyo3(signature = (unit = "cm", *, fit = false))]
    fn svg(&self, unit: &str, fit: bool) -> PyResult<String> {
        Ok(svg(&with_header(draw_alteration(&self.range, &self.made, unit_named(unit)?)), scale(fit)))
    }

    /// Writes that drawing, `.pdf` or `.svg`; whole, or not at all.
    #[pyo3(signature = (path, *, paper = "A4", unit = "cm"))]
    fn save(&self, py: Python<'_>, path: PathBuf, paper: &str, unit: &str) -> PyResult<()> {
        save(py, path, paper_of(paper, 10.0, 10.0)?, &draw_alteration(&self.range, &self.made, unit_named(unit)?))
    }

    fn _repr_svg_(&self) -> PyResult<String> {
        self.svg("cm", true)
    }

    fn __repr__(&self) -> String {
        format!("<Alteration: {}>", self.made.verdict())
    }
}

/// A draft, and what was corrected since the first, after a trial garment.
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(PartialEq)]
pub(crate) struct Fitting {
    made: sizes::Fitting,
}

#[pymethods]
impl Fitting {
    /// The first draft, nothing corrected yet.
    #[new]
    fn new(draft: &Draft) -> Self {
        Self { made: sizes::Fitting::new(draft.made.clone()) }
    }

    /// The corrections of one fitting, each a dict as in a request: `{"what": "waist", "by": -1, "at": "side"}`.
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
    // Python hands a list over.
    #[allow(clippy::needless_pass_by_value)]
    #[pyo3(signature = (corrections, *, unit = "cm"))]
    fn correct(&self, corrections: Vec<Bound<'_, PyAny>>, unit: &str) -> PyResult<Self> {
        let nodes: Vec<Node> = corrections.iter().map(object_of).collect();
        let unit = unit_named(unit)?;
        let mut reader = Reader { unit: Some(unit), problems: Vec::new() };
        let read = reader.corrections(&Node::List(nodes));
        let read: Vec<_> = reader.finish(read)?.into_iter().map(|one| one.convert(unit, Unit::Cm)).collect();
        let made =
            self.made.clone().correct(&read).map_err(|problems| problems.in_unit(unit.name(), unit.cm_per_unit()))?;
        Ok(Self { made })
    }

    /// Without the last fitting's corrections; the draft is the one before them.
    fn undo(&self) -> Self {
        Self { made: self.made.clone().undo() }
    }

    /// The draft as corrected.
    #[getter]
    fn draft(&self) -> Draft {
        Draft::made(self.made.draft().clone(), Unit::Cm)
    }

    /// What the last corrections changed.
    #[getter]
    fn changes(&self) -> Vec<ChangeReport> {
        self.made.changes().iter().map(|change| ChangeReport::new(change, Unit::Cm)).collect()
    }

    fn __repr__(&self) -> String {
        format!("<Fitting after {} corrections>", self.made.corrections().map(<[_]>::len).sum::<usize>())
    }

    fn __hash__(&self) -> u64 {
        hash_of(&self.draft().__repr__())
    }
}

/// Answers a chart in JSON with a report in JSON; see `schema("chart")` and `schema("sizes")`.
///
/// Raises `InputError` with all the problems at once.
///
/// >>> sizes = [{"name": name, "waist": waist, "hip": waist + 24, "hip_depth": 20, "length": 60} for name, waist in [("S", 68), ("M", 74)]]
/// >>> report = json.loads(chart_json(json.dumps({"unit": "cm", "sizes": sizes, "ease": {"waist": 1.5, "hip": 5}})))
/// >>> [size["name"] for size in report["sizes"]]
/// ['S', 'M']
/// >>> chart_json('{"unit": "cm", "sizes": []}')
/// Traceback (most recent call last):
/// kirtle.InputError: sizes: 0 sizes are given; the least is 2 sizes
#[pyfunction]
pub(crate) fn chart_json(py: Python<'_>, chart: Text<'_>) -> PyResult<String> {
    Ok(py.detach(|| chart.read(crate::document::chart_json))?)
}
