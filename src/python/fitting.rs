//! The Python class `Fitting`. Attributes are in centimetres; methods take and return lengths in their `unit`.

use pyo3::prelude::*;

use super::arguments::{CorrectionsArgument, DocumentText, json_object, parse_ruler, parse_unit, value_or_raise};
use super::class::{json_to_dict, python_class};
use super::draft::Draft;
use super::typed_objects::AnyDict;
use crate::document::{ChangeReport, FittingReport, read_correction, read_document};
use crate::field::Unit;
use crate::sizes;

/// History of corrections to a draft after fittings of a trial garment.
///
/// `print` shows the record of the fittings, and a notebook displays the record as tables.
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(PartialEq)]
pub(crate) struct Fitting(sizes::Fitting);

impl Fitting {
    fn undo_hint(&self) -> String {
        format!("Fittings: {count}. undo() takes back the last fitting.", count = self.0.rounds().len())
    }
}

python_class! { Fitting as fitting;
    /// Draft with all corrections applied.
    draft: Draft = Draft::from_library_draft(fitting.0.draft(), Unit::Cm);
    /// Inputs that the corrections of the last fitting changed, with their values before and after.
    changes: Vec<ChangeReport> =
        fitting.0.changes().iter().map(|change| ChangeReport::new(change, Unit::Cm)).collect();
    /// Measurements of the figure that equal corrections of the last fitting: with these measurements, and with the
    /// darts as corrected, the body gets the corrected draft without these corrections. If no length to the floor is
    /// measured, the lengths end at the hem.
    measurements: Vec<ChangeReport> =
        fitting.0.measurements().iter().map(|change| ChangeReport::new(change, Unit::Cm)).collect();
    repr = format!("<Fitting after {} corrections>", fitting.0.rounds().iter().map(|round| round.corrections.len()).sum::<usize>());
    hash = fitting.draft().__repr__();
    pickle = from_json(FittingReport::new(&fitting.0, Unit::Cm).to_json());
    {
        /// Create a history with a draft and no corrections.
        #[new]
        fn new(draft: &Draft) -> Self { Self(sizes::Fitting::new(draft.inner.clone())) }

        /// Open a history that `to_json` has stored: draft its `request`, and apply the corrections of its `rounds` again.
        ///
        /// Raises `InputError` with all the problems at once.
        #[staticmethod]
        fn from_json(document: DocumentText) -> PyResult<Self> { Ok(Self(sizes::Fitting::from_json(&document.0)?)) }

        /// Return a new history with the corrections of one fitting, applied to the draft.
        ///
        /// A correction is a dict as in `schema("request")`: `{"what": "waist", "by": -1, "at": "side"}` or `{"what":
        /// "dart_length", "by": 1, "at": "back 1"}`, `by` in `unit`. At waist and hip `by` is the whole girth: 0.5
        /// pinned double at both side seams is 2. The order of the corrections does not matter.
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
        #[pyo3(signature = (corrections, *, unit = "cm"))]
        fn correct(&self, corrections: CorrectionsArgument, unit: &str) -> PyResult<Self> {
            let (unit, corrections) = (parse_unit(unit)?, Some(corrections));
            let corrections = read_document(Some(unit), ["", ""], &json_object!(corrections), |fitting| {
                let limit = (sizes::Fitting::MAX_CORRECTIONS_PER_FITTING, "corrections");
                fitting.read_list("corrections", true, limit, [""; 3], read_correction)
            })?;
            let corrections: Vec<_> = corrections.iter().map(|correction| correction.convert_amount(unit, Unit::Cm)).collect();
            value_or_raise(self.0.clone().correct(&corrections), unit).map(Self)
        }

        /// Return the history in JSON that follows `schema("fitting")`, with lengths in `unit`.
        #[pyo3(signature = (unit = "cm"))]
        fn to_json(&self, unit: &str) -> PyResult<String> { Ok(FittingReport::new(&self.0, parse_unit(unit)?).to_json()) }

        /// Convert the history to a dict that follows `schema("fitting")`, with lengths in `unit`.
        ///
        /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> Fitting(skirt).correct([{"what": "length", "by": 2}]).to_dict()["rounds"][0]["changes"]
        /// [{'field': 'body.length', 'before': 62.0, 'after': 64.0}]
        #[pyo3(signature = (unit = "cm"))]
        fn to_dict<'py>(&self, py: Python<'py>, unit: &str) -> PyResult<AnyDict<'py>> { json_to_dict(py, &self.to_json(unit)?) }

        /// Return the record of all fittings as text: corrections, changed inputs and changed lengths of the pattern,
        /// in `unit`.
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
        #[pyo3(signature = (unit = "cm"))]
        fn fitting_record(&self, unit: &str) -> PyResult<String> { Ok(self.0.fitting_record(parse_ruler(unit)?)) }

        fn __str__(&self) -> String { format!("{}\n{}", self.0.fitting_record(Unit::Cm), self.undo_hint()) }

        fn _repr_html_(&self) -> String { self.0.fitting_record_html(Unit::Cm) + "<p>" + &self.undo_hint() + "</p>" }

        /// Return a new history without the corrections of the last fitting.
        fn undo(&self) -> Self { Self(self.0.clone().undo()) }
    }
}
