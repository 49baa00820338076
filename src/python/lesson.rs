//! The Python class `Lesson`: how to draw a draft by hand.

use std::path::PathBuf;

use pyo3::prelude::*;
use pyo3::types::{IntoPyDict, PyBytes};

use super::arguments::{DocumentText, TextsArgument, wording};
use super::class::python_class;
use super::draft::Draft;
use super::paper::pdf_bytes;
use super::typed_objects::TextDict;
use crate::document::{Request, to_json_text};
use crate::drawing::draw_lesson;
use crate::field::Unit;
use crate::pattern::{Cutting, Vent};
use crate::wording::Texts;

/// Lesson: how to draw a draft by hand, in numbered steps with the numbers of its body.
///
/// A notebook displays the lesson as Markdown; `save` writes a PDF with a figure beside each step.
///
/// >>> lesson = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5)).lesson()
/// >>> lesson.back[2]
/// 'Mark the ends of the waist: from D in 3.8 to G at the side, and from A down 0.8 to H at the centre.'
/// >>> lesson.save("lesson.pdf")
/// >>> lesson.save("lesson.txt")
/// Traceback (most recent call last):
/// kirtle.InputError: path: "lesson.txt" is not a name that ends with .pdf or .md
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(PartialEq)]
pub(crate) struct Lesson {
    pub(super) inner: crate::lesson::Lesson,
}

python_class! { Lesson as lesson;
    /// Draft that the steps draw.
    draft: Draft = Draft::from_library_draft(&lesson.inner.draft, lesson.inner.ruler.unit());
    /// Steps that draw the back, as sentences.
    back: Vec<String> = lesson.inner.back.steps.iter().map(|step| step.text.clone()).collect();
    /// Steps that draw the front, as sentences.
    front: Vec<String> = lesson.inner.front.steps.iter().map(|step| step.text.clone()).collect();
    /// Name in the title and at the foot of each page, such as a size or a person; may be empty.
    name: String = lesson.inner.name.clone();
    /// Largest distance of a point or curve of the pattern drawn by hand from the exact draft, in millimetres.
    distance_mm: f64 = lesson.inner.difference_with_rounding().distance_mm;
    /// Sewn waist of the pattern drawn by hand minus that of the draft, all around, in millimetres.
    waist_mm: f64 = lesson.inner.difference_with_rounding().waist_mm;
    /// Side seam of the pattern drawn by hand minus that of the draft, in millimetres.
    side_mm: f64 = lesson.inner.difference_with_rounding().side_mm;
    text = {
        let texts = if lesson.inner.texts == Texts::default() { "" } else { ", texts=…" };
        // JSON and Python have the same escapes.
        let name = lesson.inner.name.as_str();
        let name = if name.is_empty() { String::new() } else { format!(", name={}", to_json_text(&name)) };
        format!("{}.lesson(unit={:?}{name}{texts})", lesson.draft().__repr__(), lesson.inner.ruler.name())
    };
    {
        /// Draft a request in JSON that follows `schema("request")`, and return its lesson, with the ruler and the name
        /// of the request. `texts` is as in `Draft.svg`.
        ///
        /// Raises `InputError` with all the problems at once.
        #[staticmethod]
        #[pyo3(signature = (request, texts = None))]
        fn from_json(request: DocumentText, texts: Option<TextsArgument>) -> PyResult<Self> {
            let request = Request::from_json(&request.0)?;
            let lesson = request.draft()?.lesson(wording(request.ruler(), texts.as_ref())?);
            let Cutting { name, vent, .. } = request.cutting.unwrap_or_default();
            Ok(Self { inner: crate::lesson::Lesson { name, has_vent: vent.is_some(), ..lesson } })
        }

        fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (String, TextDict<'py>))> {
            // In centimetres, which restore every length exactly.
            let vent = self.inner.has_vent.then_some(Vent { vent: 20.0, vent_width: 4.0 });
            let (cutting, ruler) = (Cutting { name: self.inner.name.clone(), vent, ..Cutting::default() }, Some(self.inner.ruler));
            let request = Request { ruler, cutting: Some(cutting), ..Request::from_draft(&self.inner.draft, Unit::Cm) }.to_json();
            let texts = TextDict(self.inner.texts.translated().into_py_dict(py)?);
            Ok((py.get_type::<Self>().getattr("from_json")?, (request, texts)))
        }

        /// Return the lesson as Markdown, without figures.
        fn to_markdown(&self) -> String { self.inner.to_markdown() }

        fn _repr_markdown_(&self) -> String { self.inner.to_markdown() }

        /// Write the lesson to a `.pdf` file on A4, or to a `.md` file as Markdown. A failed call leaves no partial
        /// file.
        ///
        /// Raises `InputError` for another file name, and `OSError` if writing fails.
        fn save(&self, py: Python<'_>, path: PathBuf) -> PyResult<()> { Ok(py.detach(|| self.inner.save(path))?) }

        /// Return the bytes of the PDF that `save` writes.
        fn pdf<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyBytes>> { pdf_bytes(py, || Ok(draw_lesson(&self.inner))) }
    }
}

/// Return the texts of drawings, lessons and cautions: the English template of each key, with placeholders in braces.
///
/// The argument `texts` of a method that draws maps some or all of these keys to templates in another language. Missing
/// texts stay English, and a template need not use every placeholder.
///
/// With `translation`, a text in JSON that follows `schema("texts")`, its templates replace the English ones. Raises
/// `InputError` with all the problems of the translation at once.
///
/// >>> drawing_texts()["hem_length"]
/// 'hem {length}'
/// >>> drawing_texts('{"hem_length": "Saum {length}"}')["hem_length"]
/// 'Saum {length}'
/// >>> drawing_texts('{"hem_length": 3}')
/// Traceback (most recent call last):
/// kirtle.InputError: texts.hem_length: 3 is not a text
#[pyfunction]
#[pyo3(signature = (translation = None))]
pub(crate) fn drawing_texts(py: Python<'_>, translation: Option<DocumentText>) -> PyResult<TextDict<'_>> {
    let texts = translation.map_or_else(|| Ok(Texts::default()), |text| Texts::from_json(&text.0))?;
    Ok(TextDict(texts.iter().into_py_dict(py)?))
}
