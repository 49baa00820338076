//! The Python classes `Pattern` and `Lay`. Attributes are in cm; documents in the unit of the call or of the draft.

use pyo3::prelude::*;

use super::arguments::{
    BooleanArgument, DocumentText, NumberArgument, TextsArgument, json_object, parse_ruler_or, parse_unit_or, wording,
};
use super::class::{python_class, repr_of_bool};
use super::draft::{Draft, with_messages_of};
use super::typed_objects::{AnyDict, NumberDict, json_to_dict};
use crate::document::{
    JsonValue, LayReport, PatternReport, PieceReport, PlacedReport, Request, WaistPieceReport, convert_each,
    read_cloth, read_document, to_json_text,
};
use crate::drawing::{
    draw_lay, draw_lay_at_true_size, draw_lay_on_page, draw_pattern, paginate, with_header, with_notes_on_buying,
};
use crate::field::Unit;
use crate::files::{SvgScale, svg};
use crate::findings::Finding;
use crate::pattern::{Cloth, Cutting, Opening, ZIP_OPENING_FIELD};
use crate::proof::Proof;

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
    pub(super) request: Request,
    pub(super) inner: crate::pattern::Pattern,
}

impl Pattern {
    /// Makes the pattern of a draft, cut as the field `cutting` of the request says.
    pub(super) fn from_draft(request: Request, draft: &crate::draft::Draft) -> PyResult<Self> {
        let inner = request.pattern(draft)?;
        Ok(Self { request, inner })
    }
}

/// Returns the fields of a JSON object as Python keywords, `field=value, …`, and those of an object in it without its name.
fn keywords_of_json_fields(object: &str) -> String {
    let Ok(JsonValue::Object(fields)) = serde_json::from_str(object) else { return String::new() };
    let keyword = |(name, value): &(String, JsonValue)| match value {
        JsonValue::Object(_) => keywords_of_json_fields(&to_json_text(value)),
        JsonValue::Bool(boolean) => format!("{name}={}", repr_of_bool(*boolean)),
        // JSON and Python write numbers, texts and lists of texts alike.
        _ => format!("{name}={}", to_json_text(value)),
    };
    fields.iter().map(keyword).collect::<Vec<_>>().join(", ")
}

python_class! { Pattern as pattern;
    /// Draft from which the pattern is made.
    draft: Draft = {
        let request = Request { cutting: None, cloth: None, ..pattern.request.clone() };
        Draft { request, inner: pattern.inner.draft().clone() }
    };
    /// Name of the size or person that is printed on the pieces; if empty, the pieces show waist and hip of the body
    /// instead.
    name: &str = &pattern.inner.cutting().name;
    /// Length of the zip opening from the waist down the centre back, in centimetres.
    opening: f64 = pattern.inner.opening();
    /// Direction in which the darts are pressed: `centre` or `side`.
    press: &'static str = pattern.inner.cutting().press.name();
    /// Back piece.
    back: PieceReport = PieceReport::new(&pattern.inner.back, Unit::Cm);
    /// Front piece.
    front: PieceReport = PieceReport::new(&pattern.inner.front, Unit::Cm);
    /// Pieces that finish the waist: none, one waistband, or the facings of back and front.
    waist_pieces: Vec<WaistPieceReport> = convert_each(&pattern.inner.waist_pieces, WaistPieceReport::new, Unit::Cm);
    /// Proof that waistband or facings are as long as the sewn waist; `None` without such pieces.
    proof: Option<Proof> = pattern.inner.waist_proof();
    /// Cautions about cutting the pattern; those about the draft, in the same units, are in `draft.findings`.
    findings: Vec<Finding> = with_messages_of(pattern.inner.findings(), pattern.inner.findings_in_unit(pattern.request.unit));
    /// All cautions about draft and pattern, to show to a customer. A vent replaces the caution about a narrow hem.
    cautions: Vec<Finding> = with_messages_of(pattern.inner.cautions_in_unit(Unit::Cm), pattern.inner.cautions_in_unit(pattern.request.unit));
    text = {
        // A centre back seam shorter than the minimum opening allows no explicit opening.
        let opening = Some(pattern.inner.opening()).filter(|opening| *opening >= ZIP_OPENING_FIELD.range.0);
        let opening = opening.map_or(Cutting::default().opening, Opening::Given);
        let cutting = Cutting { opening, ..pattern.inner.cutting().clone() };
        let keywords = keywords_of_json_fields(&to_json_text(&cutting));
        format!("{}.pattern({keywords}, unit=\"cm\")", pattern.draft().__repr__())
    };
    equal other = pattern.inner.is_equal_as_cut(&other.inner);
    pickle = from_json(pattern.request.to_json());
    drawn(unit: Option<&str> = None) by parse_ruler_or(unit, pattern.request.ruler())?, as path, wording, paper: (margin_mm, overlap_mm)
        /// Draw the pattern as SVG, with written lengths in `unit`, by default in the draft's `document_unit`.
        ///
        /// The drawing has true size. With `fit=True` it fills the width of its container instead. `texts` is as in
        /// `Draft.svg`.
        svg = with_header(with_notes_on_buying(draw_pattern(&pattern.inner, wording), &pattern.inner, wording.ruler));
        /// Return the bytes of the PDF that `save` writes with the same options.
        pdf(margin_mm, overlap_mm) = paginate(&with_notes_on_buying(draw_pattern(&pattern.inner, wording), &pattern.inner, wording.ruler), &paper);
        /// Write the pattern to a `.pdf`, `.svg`, `.dxf` or `.json` file. A failed call leaves no partial file.
        ///
        /// `paper` is the paper of a PDF: `A4` to `A0`, `Letter`, `Legal`, `Tabloid`, a size such as `60 x 80 cm`, or a roll
        /// such as `roll 90 cm`. A pattern larger than one sheet is tiled: `margin_mm` is the blank margin of each
        /// sheet, `overlap_mm` the overlap of neighbouring sheets, both in millimetres. `texts` is as in `Draft.svg`.
        ///
        /// Raises `InputError` for another file name or unsuitable paper, and `OSError` if writing fails.
        ///
        /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> skirt.pattern().save("skirt.pdf", paper="A4")
        /// >>> skirt.pattern().save("skirt.txt")
        /// Traceback (most recent call last):
        /// kirtle.InputError: path: "skirt.txt" is not a name that ends with .pdf, .svg, .dxf or .json
        save(margin_mm, overlap_mm) = pattern.inner.save(path, wording, &paper);
        /// Return the pieces as DXF, with coordinates in millimetres and written lengths in `unit`. `texts` is as in
        /// `Draft.svg`.
        dxf = draw_pattern(&pattern.inner, wording);
    {
        /// Draft a request in JSON that follows `schema("request")`, and make its pattern.
        ///
        /// The unit of the request becomes the default unit of the pattern's documents and drawings.
        ///
        /// Raises `InputError` with all the problems at once.
        #[staticmethod]
        fn from_json(request: DocumentText) -> PyResult<Self> {
            let request = Request::from_json(&request.0)?;
            let draft = request.draft()?;
            Self::from_draft(request, &draft)
        }

        /// Seam allowances as cut, in centimetres: a dict with `waist`, `side`, `hem` and `centre_back`.
        #[getter]
        fn allowances<'py>(&self, py: Python<'py>) -> PyResult<NumberDict<'py>> {
            Ok(NumberDict(json_to_dict(py, &to_json_text(&self.inner.cut_allowances))?.0))
        }

        /// Lay the pieces on the shortest length of cloth that a search finds.
        ///
        /// `width` is the width of the open cloth between the selvedges, in `unit`. `folded=True` folds the cloth
        /// lengthwise. `one_way=True` lays all pieces in the same direction, for cloth with a nap or a print.
        /// No piece lies within `selvedge` of a selvedge: 1 cm or 3/8 in unless given.
        ///
        /// Raises `InputError` for cloth narrower than a piece.
        ///
        /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> skirt.pattern().lay(140).to_buy_cm
        /// 70.0
        /// >>> skirt.pattern().lay(50)
        /// Traceback (most recent call last):
        /// kirtle.InputError: cloth.width: 50 cm is too narrow for the widest piece; the minimum is 62 cm
        #[pyo3(signature = (width, *, folded = None, one_way = None, selvedge = None, unit = None))]
        fn lay(
            &self, py: Python<'_>, width: NumberArgument, folded: Option<BooleanArgument>, one_way: Option<BooleanArgument>,
            selvedge: Option<NumberArgument>, unit: Option<&str>,
        ) -> PyResult<Lay> {
            let (unit, width) = (parse_unit_or(unit, self.request.unit)?, Some(width));
            let value = json_object!(width, folded, one_way, selvedge);
            let cloth = read_document(Some(unit), ["cloth", "cloth."], &value, read_cloth)?;
            let cloth = Some(cloth.convert_lengths(unit, self.request.unit));
            Lay::lay_pattern_on_cloth(py, Request { cloth, ..self.request.clone() }, &self.inner)
        }

        /// Return the request in JSON that follows `schema("request")` and gives this pattern, to be stored:
        /// `from_json` reads it. Lengths are in `unit`, by default in the draft's `document_unit`.
        #[pyo3(signature = (unit = None))]
        fn to_request(&self, unit: Option<&str>) -> PyResult<String> {
            self.request.to_json_in_unit(unit, |unit| Request::from_pattern(&self.inner, unit))
        }

        /// Return the pattern in JSON that follows `schema("pattern")`, with lengths in `unit`, by default in the
        /// draft's `document_unit`.
        #[pyo3(signature = (unit = None))]
        fn to_json(&self, unit: Option<&str>) -> PyResult<String> {
            Ok(PatternReport::new(&self.inner, parse_unit_or(unit, self.request.unit)?).to_json())
        }

        /// Convert the pattern to a dict that follows `schema("pattern")`, with lengths in `unit`, by default in the
        /// draft's `document_unit`.
        #[pyo3(signature = (unit = None))]
        fn to_dict<'py>(&self, py: Python<'py>, unit: Option<&str>) -> PyResult<AnyDict<'py>> { json_to_dict(py, &self.to_json(unit)?) }
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
    /// Lays a pattern on the cloth that the field `cloth` of the request describes.
    fn lay_pattern_on_cloth(py: Python<'_>, request: Request, pattern: &crate::pattern::Pattern) -> PyResult<Self> {
        let inner = py.detach(|| request.lay(pattern))?;
        Ok(Self { request, inner })
    }
}

python_class! { Lay as lay;
    /// Width of the open cloth between the selvedges, in centimetres.
    width: f64 = lay.inner.cloth.width;
    /// Whether the cloth is folded lengthwise.
    folded: bool = lay.inner.cloth.folded;
    /// Whether all pieces point the same way along the cloth.
    one_way: bool = lay.inner.cloth.one_way;
    /// Width of the strip along each selvedge that no piece covers, in centimetres.
    selvedge: f64 = lay.inner.cloth.selvedge;
    /// Length of cloth that the lay takes, in centimetres.
    length: f64 = lay.inner.length;
    /// Length of cloth to buy in centimetres, rounded up to a multiple of 10 cm.
    to_buy_cm: f64 = lay.inner.to_buy_cm();
    /// Length of cloth to buy in yards, rounded up to an eighth of a yard.
    to_buy_yd: f64 = lay.inner.to_buy_yd();
    /// Share of the area `width` times `length` that no piece covers, from 0 to 1.
    waste: f64 = lay.inner.waste;
    /// Pieces with their positions on the cloth.
    placed: Vec<PlacedReport> = LayReport::new(&lay.inner, Unit::Cm).placed;
    repr = {
        let Cloth { width, folded, one_way, .. } = lay.inner.cloth;
        let (length, [folded, one_way]) = (lay.inner.length, [folded, one_way].map(repr_of_bool));
        format!("<Lay of {length:.1} cm on cloth {width:.1} cm wide, folded={folded}, one_way={one_way}>")
    };
    hash = LayReport::new(&lay.inner, Unit::Cm).to_json();
    equal other = lay.inner.cloth == other.inner.cloth && lay.inner.pattern.is_equal_as_cut(&other.inner.pattern);
    pickle = from_json(lay.request.to_json());
    drawn(unit: Option<&str> = None) by parse_ruler_or(unit, lay.request.ruler())?, as path, wording, paper: (margin_mm, 0.0)
        /// Draw the lay as SVG, with written lengths in `unit`, by default in the draft's `document_unit`.
        ///
        /// The drawing is at 1 : 5. With `fit=True` it fills the width of its container instead.
        /// `texts` is as in `Draft.svg`.
        svg = draw_lay(&lay.inner, wording);
        /// Return the bytes of the PDF that `save` writes with the same options.
        pdf(margin_mm) = draw_lay_on_page(&lay.inner, wording, &paper);
        /// Write the lay to a file that ends with `.pdf`, `.svg`, `.dxf` or `.json`. A failed call leaves no partial file.
        ///
        /// A PDF is one page of `paper`, upright or sideways, at a scale of 1 : 5 or smaller, which the title states.
        /// An SVG is at 1 : 5. A DXF is at true size, for a cutter: all pieces, in layers as in the DXF of a pattern, at
        /// their places on the open cloth, front and front facing whole. `texts` is as in `Draft.svg`.
        ///
        /// Raises `InputError` for another file name, unknown paper, or a DXF of folded cloth, and `OSError` if writing fails.
        save(margin_mm) = lay.inner.save(path, wording, &paper);
    {
        /// Draft a request in JSON that follows `schema("request")`, and lay its pattern on the `cloth` of the request.
        ///
        /// Raises `InputError` with all the problems at once.
        #[staticmethod]
        fn from_json(py: Python<'_>, request: DocumentText) -> PyResult<Self> {
            let pattern = Pattern::from_json(request)?;
            Self::lay_pattern_on_cloth(py, pattern.request, &pattern.inner)
        }

        /// Draw the lay at true size as SVG, with the lines of the DXF that `save` writes. `unit` and `texts` are as in `svg`.
        ///
        /// Raises `InputError` if the cloth is folded.
        #[pyo3(signature = (unit = None, *, texts = None))]
        fn true_size_svg(&self, py: Python<'_>, unit: Option<&str>, texts: Option<TextsArgument>) -> PyResult<String> {
            let wording = wording(parse_ruler_or(unit, self.request.ruler())?, texts.as_ref())?;
            let drawing = py.detach(|| draw_lay_at_true_size(&self.inner, wording))?;
            Ok(svg(&drawing, SvgScale::True))
        }

        /// Return the lay in JSON that follows `schema("lay")`, with lengths in `unit`, by default in the draft's
        /// `document_unit`.
        #[pyo3(signature = (unit = None))]
        fn to_json(&self, unit: Option<&str>) -> PyResult<String> {
            Ok(LayReport::new(&self.inner, parse_unit_or(unit, self.request.unit)?).to_json())
        }

        /// Convert the lay to a dict that follows `schema("lay")`, with lengths in `unit`, by default in the draft's
        /// `document_unit`.
        #[pyo3(signature = (unit = None))]
        fn to_dict<'py>(&self, py: Python<'py>, unit: Option<&str>) -> PyResult<AnyDict<'py>> { json_to_dict(py, &self.to_json(unit)?) }
    }
}
