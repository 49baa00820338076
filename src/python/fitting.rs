//! The Python class `Fitting`. Attributes are in centimetres; methods take and return lengths in their `unit`, by default
//! that of the draft.

use pyo3::prelude::*;
use pyo3::type_hint_union;
use pyo3::type_object::PyTypeInfo;

use super::arguments::{
    CorrectionsArgument, DocumentText, argument_types, json_object, parse_ruler_or, parse_unit_or, value_or_raise,
};
use super::class::python_class;
use super::draft::Draft;
use super::pattern::Pattern;
use super::typed_objects::{AnyDict, json_to_dict};
use crate::document::{ChangeReport, FittingReport, Request, read_correction, read_document};
use crate::field::Unit;
use crate::sizes;

argument_types! {
    /// Argument that is a draft or a pattern: its request, and the draft.
    FittedArgument((Request, crate::draft::Draft)) as type_hint_union!(Draft::TYPE_HINT, Pattern::TYPE_HINT),
        |object| match object.cast::<Pattern>() {
            Ok(pattern) => (pattern.get().request.clone(), pattern.get().inner.draft().clone()),
            Err(_) => object.cast::<Draft>().map(|draft| (draft.get().request.clone(), draft.get().inner.clone()))?,
        };
}

/// History of corrections to a draft after fittings of a trial garment.
///
/// `print` shows the record of the fittings, and a notebook displays the record as tables.
#[pyclass(frozen, module = "kirtle")]
pub(crate) struct Fitting {
    request: Request,
    inner: sizes::Fitting,
}

impl Fitting {
    /// Wraps a history of the Rust library, with the request of this one.
    fn with_history(&self, inner: sizes::Fitting) -> Self {
        Self { request: self.request.clone(), inner }
    }

    fn undo_hint(&self) -> String {
        format!("Fittings: {count}. undo() takes back the last fitting.", count = self.inner.rounds().len())
    }
}

python_class! { Fitting as fitting;
    /// Draft with all corrections applied.
    draft: Draft = {
        let (ruler, inner) = (fitting.request.ruler, fitting.inner.draft().clone());
        Draft { request: Request { ruler, ..Request::from_draft(&inner, fitting.request.unit) }, inner }
    };
    /// Inputs that the corrections of the last fitting changed, with their values before and after.
    changes: Vec<ChangeReport> =
        fitting.inner.changes().iter().map(|change| ChangeReport::new(change, Unit::Cm)).collect();
    /// Measurements of the figure that equal corrections of the last fitting: with these measurements, and with the
    /// darts as corrected, the body gets the corrected draft without these corrections. If no length to the floor is
    /// measured, the lengths end at the hem.
    measurements: Vec<ChangeReport> =
        fitting.inner.measurements().iter().map(|change| ChangeReport::new(change, Unit::Cm)).collect();
    repr = format!("<Fitting after {} corrections>", fitting.inner.rounds().iter().map(|round| round.corrections.len()).sum::<usize>());
    hash = fitting.draft().__repr__();
    equal other = {
        let request_in_cm = |one: &Self| one.request.for_draft(&one.inner.uncorrected, Unit::Cm);
        fitting.inner == other.inner && request_in_cm(fitting) == request_in_cm(other)
    };
    // The request is as given, and the corrections as applied, to the last bit.
    pickle = from_json(FittingReport { request: fitting.request.clone(), ..FittingReport::new(&fitting.inner, Unit::Cm) }.to_json());
    {
        /// Create a history with a draft, or with the draft of a pattern, and no corrections.
        ///
        /// With a pattern the history keeps how the pieces are cut, and the cloth and the ruler of its request.
        #[new]
        fn new(draft: FittedArgument) -> Self {
            let (request, draft) = draft.0;
            Self { request, inner: sizes::Fitting::new(draft) }
        }

        /// Open a history that `to_json` has stored: draft its `request`, and apply the corrections of its `rounds` again.
        ///
        /// Raises `InputError` with all the problems at once.
        #[staticmethod]
        fn from_json(document: DocumentText) -> PyResult<Self> {
            let (request, inner) = sizes::Fitting::with_request_from_json(&document.0)?;
            Ok(Self { request, inner })
        }

        /// Return a new history with the corrections of one fitting, applied to the draft.
        ///
        /// A correction is a dict as in `schema("request")`: `{"what": "waist", "by": -1, "at": "side"}` or `{"what":
        /// "dart_length", "by": 1, "at": "back 1"}`, `by` in `unit`, by default the `document_unit` of the draft. At
        /// waist and hip `by` is the whole girth: 0.5 pinned double at both side seams is 2. The order of the
        /// corrections does not matter.
        ///
        /// Raises `InputError` with all the problems at once.
        ///
        /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> fitted = Fitting(skirt).correct([{"what": "waist", "by": -1, "at": "side"}])
        /// >>> fitted.changes[0]
        /// Change(field="ease.waist", before=1.5, after=0.5)
        /// >>> fitted.undo().draft == skirt
        /// True
        /// >>> Fitting(skirt).correct({"what": "knee", "by": 1})
        /// Traceback (most recent call last):
        /// kirtle.InputError: corrections[0].what: "knee" is not "waist" or "hip" or "hip_line" or "centre_back" or "centre_front" or "length" or "side_fullness" or "balance" or "dart_place" or "dart_length" or "dart_intake"
        #[pyo3(signature = (corrections, *, unit = None))]
        fn correct(&self, corrections: CorrectionsArgument, unit: Option<&str>) -> PyResult<Self> {
            let (unit, corrections) = (parse_unit_or(unit, self.request.unit)?, Some(corrections));
            let corrections = read_document(Some(unit), ["", ""], &json_object!(corrections), |fitting| {
                let limit = (sizes::Fitting::MAX_CORRECTIONS_PER_FITTING, "corrections");
                fitting.read_list("corrections", true, limit, [""; 3], read_correction)
            })?;
            let corrections: Vec<_> = corrections.iter().map(|correction| correction.convert_amount(unit, Unit::Cm)).collect();
            value_or_raise(self.inner.clone().correct(&corrections), unit).map(|inner| self.with_history(inner))
        }

        /// Return the history in JSON that follows `schema("fitting")`, with lengths in `unit`, by default the
        /// `document_unit` of the draft. Its `request` has `cutting`, `cloth` and `ruler` of the pattern.
        #[pyo3(signature = (unit = None))]
        fn to_json(&self, unit: Option<&str>) -> PyResult<String> {
            let unit = parse_unit_or(unit, self.request.unit)?;
            // In its own unit the request stays as given; a corrected draft in inches may differ in the last bit.
            let own = (unit == self.request.unit).then(|| self.request.clone());
            let request = own.unwrap_or_else(|| self.request.for_draft(&self.inner.uncorrected, unit));
            Ok(FittingReport { request, ..FittingReport::new(&self.inner, unit) }.to_json())
        }

        /// Make the pattern of the corrected draft, cut as the pattern with which the history began, or as for a trial
        /// garment if it began with a draft.
        ///
        /// Raises `InputError` for a corrected draft that cannot be cut like this.
        ///
        /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> fitting = Fitting(skirt.pattern(preset="garment", opening=40))
        /// >>> Fitting.from_json(fitting.to_json()).correct({"what": "length", "by": 2}).pattern().allowances["hem"]
        /// 4.0
        /// >>> fitting.correct([{"what": "length", "by": -12}] * 2).pattern()
        /// Traceback (most recent call last):
        /// kirtle.InputError: cutting.opening: 40 cm is longer than the centre back seam of ...
        fn pattern(&self) -> PyResult<Pattern> {
            let draft = self.inner.draft();
            Pattern::from_draft(self.request.for_draft(draft, self.request.unit), draft)
        }

        /// Convert the history to a dict that follows `schema("fitting")`, with lengths in `unit`, as in `to_json`.
        ///
        /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> Fitting(skirt).correct([{"what": "length", "by": 2}]).to_dict()["rounds"][0]["changes"]
        /// [{'field': 'body.length', 'before': 62.0, 'after': 64.0}]
        #[pyo3(signature = (unit = None))]
        fn to_dict<'py>(&self, py: Python<'py>, unit: Option<&str>) -> PyResult<AnyDict<'py>> { json_to_dict(py, &self.to_json(unit)?) }

        /// Return the record of all fittings as text: corrections, changed inputs and changed lengths of the pattern,
        /// in `unit`, by default as the draft prints them.
        ///
        /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> print(Fitting(skirt).correct([{"what": "length", "by": 2}]).fitting_record())
        /// Fitting 1 (cm)                                     requested
        /// length                                                    +2
        /// <BLANKLINE>
        /// Input (cm)                                 before      after
        /// length                                         62         64
        /// <BLANKLINE>
        /// Pattern (cm)                               before      after
        /// along the side seam                          62.4       64.4
        /// back, centre seam or fold                    61.2       63.2
        /// front, centre seam or fold                   61.0       63.0
        /// <BLANKLINE>
        #[pyo3(signature = (unit = None))]
        fn fitting_record(&self, unit: Option<&str>) -> PyResult<String> {
            Ok(self.inner.fitting_record(parse_ruler_or(unit, self.request.ruler())?))
        }

        fn __str__(&self) -> String { format!("{}\n{}", self.inner.fitting_record(self.request.ruler()), self.undo_hint()) }

        fn _repr_html_(&self) -> String { self.inner.fitting_record_html(self.request.ruler()) + "<p>" + &self.undo_hint() + "</p>" }

        /// Return a new history without the corrections of the last fitting.
        fn undo(&self) -> Self { self.with_history(self.inner.clone().undo()) }
    }
}
