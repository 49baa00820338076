//! The pattern and the lay in Python.

use std::path::PathBuf;

use pyo3::exceptions::PyOSError;
use pyo3::prelude::*;
use pyo3::types::PyBytes;

use super::draft::{Dict, Draft, loads};
use super::inputs::{Number, Truth, hash_of, object};
use super::texts::Text;
use crate::document::node::Node;
use crate::document::{LayReport, PatternReport, PieceReport, PlacedReport, Reader, Request, text};
use crate::drawing::{Paper, draw_lay, draw_pattern, print, with_header};
use crate::field::Unit;
use crate::files::SaveError;
use crate::files::dxf;
use crate::files::pdf;
use crate::files::{Scale, svg};
use crate::findings::Finding;
use crate::pattern::OPENING;

impl From<SaveError> for PyErr {
    fn from(error: SaveError) -> Self {
        match error {
            SaveError::Refused(problems) => problems.into(),
            // Python finds the fitting subclass by the number.
            SaveError::Failed(path, error) => match error.raw_os_error() {
                Some(number) => {
                    let text = error.to_string();
                    let text = text.split(" (os error").next().unwrap_or_default().to_owned();
                    PyOSError::new_err((number, text, path))
                }
                None => PyOSError::new_err(error.to_string()),
            },
        }
    }
}

pub(super) fn scale(fit: bool) -> Scale {
    if fit { Scale::Fit } else { Scale::True }
}

pub(super) fn paper_of(name: &str, margin_mm: f64, overlap_mm: f64) -> PyResult<Paper> {
    Ok(Paper { margin_mm, overlap_mm, ..Paper::named(name)? })
}

/// The pieces of a draft, ready to cut; lengths are in centimetres. A notebook shows them as a drawing.
///
/// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
/// >>> pattern = skirt.pattern(name="Evening class")
/// >>> pattern.back.copies, pattern.front.on_fold, pattern.opening
/// (2, True, 20.0)
/// >>> [edge.role for edge in pattern.back.cut][:3]
/// ['waist', 'waist', 'dart']
#[pyclass(frozen, module = "kirtle")]
pub(crate) struct Pattern {
    request: Request,
    made: crate::pattern::Pattern,
}

impl Pattern {
    pub(super) fn of(request: Request, draft: &crate::draft::Draft) -> PyResult<Self> {
        let made = request.pattern(draft)?;
        Ok(Self { request, made })
    }
}

#[pymethods]
impl Pattern {
    /// The pattern of a request in JSON; its unit is that of every document where none is named.
    #[staticmethod]
    fn from_json(request: Text<'_>) -> PyResult<Self> {
        let request = request.read(Request::from_json)?;
        let draft = request.draft()?;
        Self::of(request, &draft)
    }

    /// The draft that it was made from.
    #[getter]
    fn draft(&self) -> Draft {
        Draft {
            request: Request { cutting: None, cloth: None, ..self.request.clone() },
            made: self.made.draft().clone(),
        }
    }

    /// The size or body on the pieces; empty where they bear waist and hip.
    #[getter]
    fn name(&self) -> &str {
        &self.made.cutting().name
    }

    /// The allowances as cut, by edge.
    #[getter]
    fn allowances<'py>(&self, py: Python<'py>) -> PyResult<Dict<'py>> {
        loads(py, &text(&self.made.granted))
    }

    /// From the waist down the centre back to the end of the opening.
    #[getter]
    fn opening(&self) -> f64 {
        self.made.opening()
    }

    /// The side to which the darts are pressed: `centre` or `side`.
    #[getter]
    fn press(&self) -> &'static str {
        self.made.cutting().press.name()
    }

    /// The back.
    #[getter]
    fn back(&self) -> PieceReport {
        PieceReport::new(&self.made.back, Unit::Cm)
    }

    /// The front.
    #[getter]
    fn front(&self) -> PieceReport {
        PieceReport::new(&self.made.front, Unit::Cm)
    }

    /// Cautions about cutting, beside those about the draft.
    #[getter]
    fn findings(&self) -> Vec<Finding> {
        self.made.findings()
    }

    /// Lays the pieces on cloth of a width between its selvedges, folded lengthwise or open, as short as they fit.
    ///
    /// Raises `InputError` for cloth narrower than a piece.
    ///
    /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    /// >>> skirt.pattern().lay(140).to_buy_cm
    /// 70.0
    /// >>> skirt.pattern().lay(50)
    /// Traceback (most recent call last):
    /// kirtle.InputError: cloth.width: 50 cm is narrower than the widest piece takes; the least is 60 cm
    #[pyo3(signature = (width, *, folded = None, one_way = None, unit = None))]
    fn lay(
        &self,
        py: Python<'_>,
        width: Number,
        folded: Option<Truth>,
        one_way: Option<Truth>,
        unit: Option<&str>,
    ) -> PyResult<Lay> {
        let unit = self.request.unit_or_own(unit)?;
        let mut reader = Reader { unit: Some(unit), problems: Vec::new() };
        let (folded, one_way) = (folded.map(Node::from), one_way.map(Node::from));
        let cloth = reader.cloth(&object([("width", Some(width.0)), ("folded", folded), ("one_way", one_way)]));
        let cloth = reader.finish(cloth)?.convert(unit, self.request.unit);
        Lay::of(py, Request { cloth: Some(cloth), ..self.request.clone() }, &self.made)
    }

    /// Writes the pattern in the format that the end of the name tells: `.pdf`, `.svg`, `.dxf` or `.json`; whole, or not at
    /// all.
    ///
    /// `paper` is that of a PDF: `A4` to `A0`, `Letter`, `Tabloid`, a size such as `60 x 80 cm`, or a roll such as
    /// `roll 90 cm`. What does not fit one sheet is tiled. Raises `InputError` for another name or paper too small,
    /// `OSError` where the file cannot be written.
    ///
    /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    /// >>> skirt.pattern().save("skirt.pdf", paper="A4")
    /// >>> skirt.pattern().save("skirt.txt")
    /// Traceback (most recent call last):
    /// kirtle.InputError: path: "skirt.txt" is not a name that ends with .pdf, .svg, .dxf or .json
    #[pyo3(signature = (path, *, paper = "A4", margin_mm = 10.0, overlap_mm = 10.0, unit = None))]
    fn save(
        &self,
        py: Python<'_>,
        path: PathBuf,
        paper: &str,
        margin_mm: f64,
        overlap_mm: f64,
        unit: Option<&str>,
    ) -> PyResult<()> {
        let (unit, paper) = (self.request.unit_or_own(unit)?, paper_of(paper, margin_mm, overlap_mm)?);
        Ok(py.detach(|| self.made.save(path, unit, &paper))?)
    }

    /// The pattern as PDF, as `save` writes it.
    #[pyo3(signature = (*, paper = "A4", margin_mm = 10.0, overlap_mm = 10.0, unit = None))]
    fn pdf<'py>(
        &self,
        py: Python<'py>,
        paper: &str,
        margin_mm: f64,
        overlap_mm: f64,
        unit: Option<&str>,
    ) -> PyResult<Bound<'py, PyBytes>> {
        let (unit, paper) = (self.request.unit_or_own(unit)?, paper_of(paper, margin_mm, overlap_mm)?);
        let bytes = py.detach(|| print(&draw_pattern(&self.made, unit), &paper).map(|print| pdf(&print)))?;
        Ok(PyBytes::new(py, &bytes))
    }

    /// The pattern as SVG at true scale; `fit` lets it fill its place on a screen instead.
    #[pyo3(signature = (unit = None, *, fit = false))]
    fn svg(&self, unit: Option<&str>, fit: bool) -> PyResult<String> {
        Ok(svg(&with_header(draw_pattern(&self.made, self.request.unit_or_own(unit)?)), scale(fit)))
    }

    /// The pieces as DXF, in millimetres.
    #[pyo3(signature = (unit = None))]
    fn dxf(&self, unit: Option<&str>) -> PyResult<String> {
        Ok(dxf(&draw_pattern(&self.made, self.request.unit_or_own(unit)?)))
    }

    /// The pattern in JSON, as `schema("pattern")` says.
    #[pyo3(signature = (unit = None))]
    fn to_json(&self, unit: Option<&str>) -> PyResult<String> {
        Ok(PatternReport::new(&self.made, self.request.unit_or_own(unit)?).to_json())
    }

    /// The same as a dict.
    #[pyo3(signature = (unit = None))]
    fn to_dict<'py>(&self, py: Python<'py>, unit: Option<&str>) -> PyResult<Dict<'py>> {
        loads(py, &self.to_json(unit)?)
    }

    fn _repr_svg_(&self) -> PyResult<String> {
        self.svg(None, true)
    }

    fn __repr__(&self) -> String {
        let cutting = self.made.cutting();
        let [waist, side, hem, centre_back] = cutting.allowances.into_array();
        // The escapes of JSON are Python's, too.
        let name = text(&cutting.name);
        // A seam too short for any opening that is told has none told.
        let opening = self.made.opening();
        let told = opening >= OPENING.range.0;
        let opening = if told { format!("{opening:?}") } else { "None".to_owned() };
        format!(
            "{}.pattern(name={name}, waist={waist:?}, side={side:?}, hem={hem:?}, centre_back={centre_back:?}, \
             opening={opening}, press={:?}, unit=\"cm\")",
            self.draft().__repr__(),
            cutting.press.name()
        )
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.made.is_cut_as(&other.made)
    }

    fn __hash__(&self) -> u64 {
        hash_of(&self.__repr__())
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (String,))> {
        Ok((py.get_type::<Self>().getattr("from_json")?, (self.request.to_json(),)))
    }
}

/// A pattern laid on cloth; lengths are in centimetres. A notebook shows it as a drawing.
#[pyclass(frozen, module = "kirtle")]
pub(crate) struct Lay {
    request: Request,
    made: crate::pattern::Lay,
}

impl Lay {
    fn of(py: Python<'_>, request: Request, pattern: &crate::pattern::Pattern) -> PyResult<Self> {
        let made = py.detach(|| request.lay(pattern))?;
        Ok(Self { request, made })
    }

    fn report(&self) -> LayReport {
        LayReport::new(&self.made, Unit::Cm)
    }
}

#[pymethods]
impl Lay {
    /// The lay of a request in JSON that gives the cloth.
    #[staticmethod]
    fn from_json(py: Python<'_>, request: Text<'_>) -> PyResult<Self> {
        let pattern = Pattern::from_json(request)?;
        Self::of(py, pattern.request, &pattern.made)
    }

    /// The cloth's width between its selvedges, laid open.
    #[getter]
    fn width(&self) -> f64 {
        self.made.cloth.width
    }

    /// Whether the cloth is folded lengthwise.
    #[getter]
    fn folded(&self) -> bool {
        self.made.cloth.folded
    }

    /// Whether all pieces lie the same way.
    #[getter]
    fn one_way(&self) -> bool {
        self.made.cloth.one_way
    }

    /// How much of the cloth's length the pieces take.
    #[getter]
    fn length(&self) -> f64 {
        self.made.length
    }

    /// Length to buy in centimetres, rounded up to ten.
    #[getter]
    fn to_buy_cm(&self) -> f64 {
        self.made.to_buy_cm()
    }

    /// Length to buy in yards, rounded up to an eighth.
    #[getter]
    fn to_buy_yd(&self) -> f64 {
        self.made.to_buy_yd()
    }

    /// The share of the cloth that is left over.
    #[getter]
    fn waste(&self) -> f64 {
        self.made.waste
    }

    /// The pieces on the cloth.
    #[getter]
    fn placed(&self) -> Vec<PlacedReport> {
        self.report().placed
    }

    /// Writes the lay, `.svg` a fifth of its true size or `.json`; whole, or not at all.
    #[pyo3(signature = (path, *, unit = None))]
    fn save(&self, py: Python<'_>, path: PathBuf, unit: Option<&str>) -> PyResult<()> {
        let unit = self.request.unit_or_own(unit)?;
        Ok(py.detach(|| self.made.save(path, unit))?)
    }

    /// The lay as SVG a fifth of its true size; `fit` lets it fill its place on a screen instead.
    #[pyo3(signature = (unit = None, *, fit = false))]
    fn svg(&self, unit: Option<&str>, fit: bool) -> PyResult<String> {
        Ok(svg(&draw_lay(&self.made, self.request.unit_or_own(unit)?), scale(fit)))
    }

    /// The lay in JSON, as `schema("lay")` says.
    #[pyo3(signature = (unit = None))]
    fn to_json(&self, unit: Option<&str>) -> PyResult<String> {
        Ok(LayReport::new(&self.made, self.request.unit_or_own(unit)?).to_json())
    }

    /// The same as a dict.
    #[pyo3(signature = (unit = None))]
    fn to_dict<'py>(&self, py: Python<'py>, unit: Option<&str>) -> PyResult<Dict<'py>> {
        loads(py, &self.to_json(unit)?)
    }

    fn _repr_svg_(&self) -> PyResult<String> {
        self.svg(None, true)
    }

    fn __repr__(&self) -> String {
        let title = |truth: bool| if truth { "True" } else { "False" };
        let crate::pattern::Cloth { width, folded, one_way } = self.made.cloth;
        format!(
            "<Lay of {:.1} cm on cloth {width:.1} cm wide, folded={}, one_way={}>",
            self.made.length,
            title(folded),
            title(one_way)
        )
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.made == other.made
    }

    fn __hash__(&self) -> u64 {
        hash_of(&self.report().to_json())
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (String,))> {
        Ok((py.get_type::<Self>().getattr("from_json")?, (self.request.to_json(),)))
    }
}
