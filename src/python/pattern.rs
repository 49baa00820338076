//! The Python classes `Pattern` and `Lay`. Attributes are in cm; documents in the unit of the call or of the draft.

use std::path::PathBuf;

use pyo3::exceptions::PyOSError;
use pyo3::prelude::*;
use pyo3::types::PyBytes;

use super::draft::{AnyDict, Draft, json_to_dict};
use super::inputs::{BooleanArgument, NumberArgument, hash_of_text, json_object};
use super::texts::DocumentText;
use crate::document::{
    InputReader, JsonValue, LayReport, PatternReport, PieceReport, PlacedReport, Request, to_json_text,
};
use crate::drawing::{Paper, draw_lay, draw_pattern, paginate, with_header};
use crate::field::Unit;
use crate::files::SaveError;
use crate::files::dxf;
use crate::files::pdf;
use crate::files::{SvgScale, svg};
use crate::findings::Finding;
use crate::pattern::OPENING_FIELD;

impl From<SaveError> for PyErr {
    fn from(error: SaveError) -> Self {
        match error {
            SaveError::Refused(problems) => problems.into(),
            // Python selects the subclass, such as `FileNotFoundError`, by the error number.
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

/// Returns the scale of an SVG: fitted to the width of its container if `fit`, else true size.
pub(super) fn svg_scale(fit: bool) -> SvgScale {
    if fit { SvgScale::Fit } else { SvgScale::True }
}

/// Returns the paper called `name`, such as `A4`, with margin and overlap; raises `InputError` for unknown paper.
pub(super) fn parse_paper(name: &str, margin_mm: f64, overlap_mm: f64) -> PyResult<Paper> {
    Ok(Paper { margin_mm, overlap_mm, ..Paper::named(name)? })
}

/// Pattern: the pieces of a draft with seam allowances, ready to cut. Lengths are in centimetres.
///
/// A notebook displays the pattern as a drawing.
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
    inner: crate::pattern::Pattern,
}

impl Pattern {
    /// Makes the pattern of a draft, by the field `cutting` of the request.
    pub(super) fn from_draft(request: Request, draft: &crate::draft::Draft) -> PyResult<Self> {
        let inner = request.pattern(draft)?;
        Ok(Self { request, inner })
    }
}

#[pymethods]
impl Pattern {
    /// Draft a request in JSON that follows `schema("request")`, and make its pattern.
    ///
    /// The unit of the request is the default unit of the pattern's documents.
    ///
    /// Raises `InputError` with all the problems at once.
    #[staticmethod]
    fn from_json(request: DocumentText<'_>) -> PyResult<Self> {
        let request = request.parse_text_with(Request::from_json)?;
        let draft = request.draft()?;
        Self::from_draft(request, &draft)
    }

    /// Draft from which the pattern is made.
    #[getter]
    fn draft(&self) -> Draft {
        Draft {
            request: Request { cutting: None, cloth: None, ..self.request.clone() },
            inner: self.inner.draft().clone(),
        }
    }

    /// Name of the size or person on the pieces; if empty, the pieces show waist and hip instead.
    #[getter]
    fn name(&self) -> &str {
        &self.inner.cutting().name
    }

    /// Seam allowances as cut, in centimetres: a dict with `waist`, `side`, `hem` and `centre_back`.
    #[getter]
    fn allowances<'py>(&self, py: Python<'py>) -> PyResult<AnyDict<'py>> {
        json_to_dict(py, &to_json_text(&self.inner.cut_allowances))
    }

    /// Length of the opening from the waist down the centre back, in centimetres.
    #[getter]
    fn opening(&self) -> f64 {
        self.inner.opening()
    }

    /// Direction in which the darts are pressed: `centre` or `side`.
    #[getter]
    fn press(&self) -> &'static str {
        self.inner.cutting().press.name()
    }

    /// Back piece.
    #[getter]
    fn back(&self) -> PieceReport {
        PieceReport::new(&self.inner.back, Unit::Cm)
    }

    /// Front piece.
    #[getter]
    fn front(&self) -> PieceReport {
        PieceReport::new(&self.inner.front, Unit::Cm)
    }

    /// Cautions about cutting the pattern; cautions about the draft are in `draft.findings`.
    #[getter]
    fn findings(&self) -> Vec<Finding> {
        self.inner.findings()
    }

    /// Lay the pieces on cloth so that they take little length.
    ///
    /// `width` is the width of the open cloth between the selvedges, in `unit`. `folded=True` folds the cloth
    /// lengthwise. `one_way=True` lays all pieces in the same direction, for cloth with a nap or a print.
    ///
    /// Raises `InputError` for cloth narrower than a piece.
    ///
    /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
    /// >>> skirt.pattern().lay(140).to_buy_cm
    /// 70.0
    /// >>> skirt.pattern().lay(50)
    /// Traceback (most recent call last):
    /// kirtle.InputError: cloth.width: 50 cm is too narrow for the widest piece; the minimum is 60 cm
    #[pyo3(signature = (width, *, folded = None, one_way = None, unit = None))]
    fn lay(
        &self,
        py: Python<'_>,
        width: NumberArgument,
        folded: Option<BooleanArgument>,
        one_way: Option<BooleanArgument>,
        unit: Option<&str>,
    ) -> PyResult<Lay> {
        let unit = self.request.unit_by_name_or_default(unit)?;
        let mut reader = InputReader { unit: Some(unit), problems: Vec::new() };
        let (folded, one_way) = (folded.map(JsonValue::from), one_way.map(JsonValue::from));
        let cloth =
            reader.read_cloth(&json_object([("width", Some(width.0)), ("folded", folded), ("one_way", one_way)]));
        let cloth = reader.into_result(cloth)?.convert_lengths(unit, self.request.unit);
        Lay::lay_pattern(py, Request { cloth: Some(cloth), ..self.request.clone() }, &self.inner)
    }

    /// Write the pattern to a `.pdf`, `.svg`, `.dxf` or `.json` file. A failed call leaves no partial file.
    ///
    /// `paper` is the paper of a PDF: `A4` to `A0`, `Letter`, `Tabloid`, a size such as `60 x 80 cm`, or a roll such as
    /// `roll 90 cm`. A pattern larger than one sheet is tiled: `margin_mm` is the blank margin of each sheet,
    /// `overlap_mm` the overlap of neighbouring sheets, both in millimetres.
    ///
    /// Raises `InputError` for another file name or paper that is too small, and `OSError` if writing fails.
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
        let (unit, paper) = (self.request.unit_by_name_or_default(unit)?, parse_paper(paper, margin_mm, overlap_mm)?);
        Ok(py.detach(|| self.inner.save(path, unit, &paper))?)
    }

    /// Return the bytes of the PDF that `save` writes with the same options.
    #[pyo3(signature = (*, paper = "A4", margin_mm = 10.0, overlap_mm = 10.0, unit = None))]
    fn pdf<'py>(
        &self,
        py: Python<'py>,
        paper: &str,
        margin_mm: f64,
        overlap_mm: f64,
        unit: Option<&str>,
    ) -> PyResult<Bound<'py, PyBytes>> {
        let (unit, paper) = (self.request.unit_by_name_or_default(unit)?, parse_paper(paper, margin_mm, overlap_mm)?);
        let bytes = py.detach(|| paginate(&draw_pattern(&self.inner, unit), &paper).map(|print| pdf(&print)))?;
        Ok(PyBytes::new(py, &bytes))
    }

    /// Draw the pattern as SVG.
    ///
    /// The drawing has true size. With `fit=True` it fills the width of its container instead.
    #[pyo3(signature = (unit = None, *, fit = false))]
    fn svg(&self, unit: Option<&str>, fit: bool) -> PyResult<String> {
        Ok(svg(&with_header(draw_pattern(&self.inner, self.request.unit_by_name_or_default(unit)?)), svg_scale(fit)))
    }

    /// Return the pieces as DXF, with coordinates in millimetres and lengths in texts in `unit`.
    #[pyo3(signature = (unit = None))]
    fn dxf(&self, unit: Option<&str>) -> PyResult<String> {
        Ok(dxf(&draw_pattern(&self.inner, self.request.unit_by_name_or_default(unit)?)))
    }

    /// Return the pattern in JSON that follows `schema("pattern")`.
    #[pyo3(signature = (unit = None))]
    fn to_json(&self, unit: Option<&str>) -> PyResult<String> {
        Ok(PatternReport::new(&self.inner, self.request.unit_by_name_or_default(unit)?).to_json())
    }

    /// Convert the pattern to a dict that follows `schema("pattern")`.
    #[pyo3(signature = (unit = None))]
    fn to_dict<'py>(&self, py: Python<'py>, unit: Option<&str>) -> PyResult<AnyDict<'py>> {
        json_to_dict(py, &self.to_json(unit)?)
    }

    fn _repr_svg_(&self) -> PyResult<String> {
        self.svg(None, true)
    }

    fn __repr__(&self) -> String {
        let cutting = self.inner.cutting();
        let [waist, side, hem, centre_back] = cutting.allowances.into_array();
        // JSON and Python have the same escapes.
        let name = to_json_text(&cutting.name);
        // A centre back seam shorter than the minimum opening allows no explicit opening.
        let opening = self.inner.opening();
        let is_explicit = opening >= OPENING_FIELD.range.0;
        let opening = if is_explicit { format!("{opening:?}") } else { "None".to_owned() };
        format!(
            "{}.pattern(name={name}, waist={waist:?}, side={side:?}, hem={hem:?}, centre_back={centre_back:?}, \
             opening={opening}, press={:?}, unit=\"cm\")",
            self.draft().__repr__(),
            cutting.press.name()
        )
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.inner.is_equal_as_cut(&other.inner)
    }

    fn __hash__(&self) -> u64 {
        hash_of_text(&self.__repr__())
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (String,))> {
        Ok((py.get_type::<Self>().getattr("from_json")?, (self.request.to_json(),)))
    }
}

/// Lay: the pieces of a pattern placed on cloth. Lengths are in centimetres.
///
/// A notebook displays the lay as a drawing.
#[pyclass(frozen, module = "kirtle")]
pub(crate) struct Lay {
    request: Request,
    inner: crate::pattern::Lay,
}

impl Lay {
    /// Lays a pattern on cloth, by the field `cloth` of the request.
    fn lay_pattern(py: Python<'_>, request: Request, pattern: &crate::pattern::Pattern) -> PyResult<Self> {
        let inner = py.detach(|| request.lay(pattern))?;
        Ok(Self { request, inner })
    }

    /// Returns the report of the lay, with lengths in centimetres.
    fn lay_report_in_cm(&self) -> LayReport {
        LayReport::new(&self.inner, Unit::Cm)
    }
}

#[pymethods]
impl Lay {
    /// Draft a request in JSON that follows `schema("request")`, and lay its pattern on the `cloth` of the request.
    ///
    /// Raises `InputError` with all the problems at once.
    #[staticmethod]
    fn from_json(py: Python<'_>, request: DocumentText<'_>) -> PyResult<Self> {
        let pattern = Pattern::from_json(request)?;
        Self::lay_pattern(py, pattern.request, &pattern.inner)
    }

    /// Width of the open cloth between the selvedges, in centimetres.
    #[getter]
    fn width(&self) -> f64 {
        self.inner.cloth.width
    }

    /// Whether the cloth is folded lengthwise.
    #[getter]
    fn folded(&self) -> bool {
        self.inner.cloth.folded
    }

    /// Whether all pieces lie in the same direction.
    #[getter]
    fn one_way(&self) -> bool {
        self.inner.cloth.one_way
    }

    /// Length of cloth that the pieces take, in centimetres.
    #[getter]
    fn length(&self) -> f64 {
        self.inner.length
    }

    /// Length of cloth to buy in centimetres, rounded up to a multiple of 10 cm.
    #[getter]
    fn to_buy_cm(&self) -> f64 {
        self.inner.to_buy_cm()
    }

    /// Length of cloth to buy in yards, rounded up to an eighth of a yard.
    #[getter]
    fn to_buy_yd(&self) -> f64 {
        self.inner.to_buy_yd()
    }

    /// Share of the area of the lay, `width` times `length`, that no piece covers, from 0 to 1.
    #[getter]
    fn waste(&self) -> f64 {
        self.inner.waste
    }

    /// Pieces with their positions on the cloth.
    #[getter]
    fn placed(&self) -> Vec<PlacedReport> {
        self.lay_report_in_cm().placed
    }

    /// Write the lay to a file that ends with `.svg` or `.json`. A failed call leaves no partial file.
    ///
    /// The drawing has a fifth of true size.
    ///
    /// Raises `InputError` for another file name, and `OSError` if writing fails.
    #[pyo3(signature = (path, *, unit = None))]
    fn save(&self, py: Python<'_>, path: PathBuf, unit: Option<&str>) -> PyResult<()> {
        let unit = self.request.unit_by_name_or_default(unit)?;
        Ok(py.detach(|| self.inner.save(path, unit))?)
    }

    /// Draw the lay as SVG.
    ///
    /// The drawing is at one fifth of true size. With `fit=True` it fills the width of its container instead.
    #[pyo3(signature = (unit = None, *, fit = false))]
    fn svg(&self, unit: Option<&str>, fit: bool) -> PyResult<String> {
        Ok(svg(&draw_lay(&self.inner, self.request.unit_by_name_or_default(unit)?), svg_scale(fit)))
    }

    /// Return the lay in JSON that follows `schema("lay")`.
    #[pyo3(signature = (unit = None))]
    fn to_json(&self, unit: Option<&str>) -> PyResult<String> {
        Ok(LayReport::new(&self.inner, self.request.unit_by_name_or_default(unit)?).to_json())
    }

    /// Convert the lay to a dict that follows `schema("lay")`.
    #[pyo3(signature = (unit = None))]
    fn to_dict<'py>(&self, py: Python<'py>, unit: Option<&str>) -> PyResult<AnyDict<'py>> {
        json_to_dict(py, &self.to_json(unit)?)
    }

    fn _repr_svg_(&self) -> PyResult<String> {
        self.svg(None, true)
    }

    fn __repr__(&self) -> String {
        let boolean = |value: bool| if value { "True" } else { "False" };
        let crate::pattern::Cloth { width, folded, one_way } = self.inner.cloth;
        format!(
            "<Lay of {:.1} cm on cloth {width:.1} cm wide, folded={}, one_way={}>",
            self.inner.length,
            boolean(folded),
            boolean(one_way)
        )
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.inner == other.inner
    }

    fn __hash__(&self) -> u64 {
        hash_of_text(&self.lay_report_in_cm().to_json())
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (String,))> {
        Ok((py.get_type::<Self>().getattr("from_json")?, (self.request.to_json(),)))
    }
}
