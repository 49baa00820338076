//! Attributes and methods of the Python class `Draft`. Attributes are in centimetres, results of methods in the unit of
//! the call.

use pyo3::prelude::*;
use pyo3::types::IntoPyDict;
use serde_json::{Value, json};

use super::arguments::{
    BooleanArgument, DocumentText, InputNumbersArgument, NameArgument, NamesArgument, NumberArgument,
    SizeNamesArgument, TextsArgument, json_object, parse_ruler_or, parse_unit_or, value_or_raise, wording,
};
use super::class::{operator_methodcaller, python_class};
use super::draft::{Draft, draft, with_messages_of};
use super::inputs::{Body, Ease, Figure, Given, Rules};
use super::lesson::Lesson;
use super::pattern::Pattern;
use super::questions::{EaseByLevel, ErrorsArgument, Sensitivity, Solutions, StandardErrors, Uncertainty};
use super::table::{Rows, arrow_to_python_error};
use super::typed_objects::{AnyDict, NumberDict, json_to_dict};
use crate::arrow::{ease_batch, sensitivity_batch, uncertainty_batch, with_settings};
use crate::document::{Girths, Lengths, PanelReport, Report, Request, SuppressionReport, read_cutting, read_document};
use crate::drawing::{draw_draft, paginate};
use crate::ease_profile::BodyProfile;
use crate::field::{FieldKind, Unit};
use crate::files::save_drawing;
use crate::findings::Finding;
use crate::proof::Proof;
use crate::sensitivity::SeekTarget;

python_class! { Draft as draft;
    /// Body measurements of the draft.
    body: Body = {
        let Request { body, figure, unit, .. } = draft.request_after_corrections();
        let figure = Figure(*draft.inner.figure(), Given { numbers: figure, unit });
        Body(*draft.inner.body(), Given { numbers: body, unit }, figure)
    };
    /// Ease of the draft.
    ease: Ease = Ease(*draft.inner.ease(), Given { numbers: draft.request_after_corrections().ease, unit: draft.request.unit });
    /// Rules of the draft.
    rules: Rules = Rules(draft.inner.rules().clone());
    /// Default unit of every method that takes a `unit`: the unit of the request or the body, `cm` or `in`.
    document_unit: &'static str = draft.request.unit.name();
    /// Suppression of half the garment as drafted: the width that its side seam and darts take in from hip to waist.
    suppression: SuppressionReport = SuppressionReport::new(&draft.inner.suppression, Unit::Cm);
    /// Nominal suppression of half the garment: half the difference between the garment's hip girth and waist girth,
    /// shared out to side seam and darts by the rules.
    nominal: SuppressionReport = SuppressionReport::new(&draft.inner.nominal, Unit::Cm);
    /// Suppression of half the garment that the side seam takes beyond its limit, because no dart has room; usually 0.
    left_in_side: f64 = draft.inner.left_in_side;
    /// Girths of the garment at waist, hip and hem.
    girths: Girths = Girths::new(&draft.back(), &draft.front(), Unit::Cm);
    /// Finished lengths of the garment from waist to hem, at centre back, centre front and side seam.
    lengths: Lengths = Lengths::new(&draft.back(), &draft.front(), Unit::Cm);
    /// Back panel, half of the back of the garment.
    back: PanelReport = PanelReport::new(&draft.inner.back, Unit::Cm);
    /// Front panel, half of the front of the garment.
    front: PanelReport = PanelReport::new(&draft.inner.front, Unit::Cm);
    /// Proof of the draft: independent measurements of the finished outlines, compared with the input.
    proof: Proof = draft.inner.proof();
    /// Cautions about the draft, such as too little ease for sitting; a trial garment decides. Their numbers are in
    /// centimetres, their messages in `document_unit`.
    findings: Vec<Finding> = with_messages_of(draft.inner.findings(), draft.inner.findings_in_unit(draft.request.unit));
    text = {
        let [body, ease, rules] = [draft.body().__repr__(), draft.ease().__repr__(), draft.rules().__repr__()];
        format!("Draft({body}, ease={ease}, rules={rules})")
    };
    equal other = draft.inner == other.inner;
    pickle = from_json(draft.request.to_json());
    drawn(unit: Option<&str> = None) by parse_ruler_or(unit, draft.request.ruler())?, as path, wording, paper: (margin_mm, overlap_mm)
        /// Draw back and front as SVG, with written lengths in `unit`, by default in the draft's own `document_unit`.
        ///
        /// The drawing has true size. With `fit=True` it fills the width of its container instead. `texts` maps keys of
        /// `drawing_texts` to templates in another language.
        ///
        /// Raises `InputError` for an unknown key, and for a template that cannot be printed.
        ///
        /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> "Saum 25,5 cm" in skirt.svg(texts={"hem_length": "Saum {length}", "decimal_mark": ","})
        /// True
        /// >>> skirt.svg(texts={"hem_length": "Saum {Länge}", "hm": "Saum"})
        /// Traceback (most recent call last):
        /// kirtle.InputError: texts.hem_length: "Saum {Länge}" is not a text with the placeholder {length}
        /// texts.hm: unknown field; known fields are the keys of the English texts
        svg = draw_draft(&draft.inner, wording);
        /// Return the bytes of a PDF of back and front at true size, without allowances. The options are as in
        /// `Pattern.save`.
        pdf(margin_mm, overlap_mm) = paginate(&draw_draft(&draft.inner, wording), &paper);
        /// Write back and front, without allowances, to a file that ends with `.pdf`, `.svg` or `.dxf`. The options are as in
        /// `Pattern.save`.
        ///
        /// Raises `InputError` for another file name or unsuitable paper, and `OSError` if writing fails.
        ///
        /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> skirt.save("skirt.svg")
        /// >>> skirt.save("skirt.txt")
        /// Traceback (most recent call last):
        /// kirtle.InputError: path: "skirt.txt" is not a name that ends with .pdf, .svg or .dxf
        save(margin_mm, overlap_mm) = save_drawing(path, &draw_draft(&draft.inner, wording), &paper);
    cut(preset: Option<NameArgument> = None => preset) by draft.request.unit, as unit, cutting
        /// Make the pattern: the pieces of the draft with seam allowances, ready to cut.
        ///
        /// `preset`, by default `trial`, has the allowances that are not passed: `trial` those of a trial garment,
        /// `garment` those of a garment, `none` no allowances. `waist`, `side`, `hem` and `centre_back` are allowances.
        /// `opening` is the length of the opening from the waist down the centre back. `press` is the direction in
        /// which the darts are pressed, `centre` or `side`. `name` is printed on the pieces; `notes` are printed on the sheet, one per line. Lengths are in `unit`, by
        /// default in `document_unit`; in either unit a preset has round numbers. `unfolded=True` draws front and front
        /// facing whole, with both halves, instead of one half to place on the fold.
        ///
        /// `pieces` adds a waistband or facings to back and front: `("back", "front", "waistband")`. `waistband_width`
        /// is the finished width of the waistband, `underlap` its length beyond the waist. `facing_depth` is the depth
        /// of the facings, square to the waist. `vent` is the height of a vent at the centre back, `vent_width` the
        /// width of its extension.
        ///
        /// Raises `InputError` with all the problems at once.
        ///
        /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> skirt.pattern(preset="garment", hem=5, press="side").allowances
        /// {'waist': 1.0, 'side': 1.5, 'hem': 5.0, 'centre_back': 2.0}
        /// >>> skirt.pattern(unfolded=True).front.on_fold
        /// False
        /// >>> skirt.pattern(hem=-1, press="up")
        /// Traceback (most recent call last):
        /// kirtle.InputError: cutting.allowances.hem: -1 cm is below the minimum of 0 cm
        /// cutting.press: "up" is not "centre" or "side"
        pattern -> Pattern = {
            let cutting = Some(cutting.convert_lengths(unit, draft.request.unit));
            Pattern::from_draft(Request { cutting, ..draft.request.clone() }, &draft.inner)
        };
    {
        /// Draft a request in JSON that follows `schema("request")`.
        ///
        /// The unit of the request becomes `document_unit`. The fields `cutting` and `cloth` of the request are
        /// ignored.
        ///
        /// Raises `InputError` with all the problems at once.
        #[staticmethod]
        fn from_json(py: Python<'_>, request: DocumentText) -> PyResult<Self> {
            let request = Request { cutting: None, cloth: None, ..Request::from_json(&request.0)? };
            let inner = py.detach(|| request.draft())?;
            Ok(Self { request, inner })
        }

        /// Draft the front and back of a straight skirt from a body, as the function `draft` does.
        #[new]
        #[pyo3(signature = (body, *, ease, rules = None))]
        fn new(py: Python<'_>, body: &Body, ease: &Ease, rules: Option<&Rules>) -> PyResult<Self> { draft(py, body, ease, rules) }

        /// Return the girth of the garment at a level, with the darts closed.
        ///
        /// The level is the distance below the waist at the side, from 0 to the hem. Both lengths are in `unit`.
        ///
        /// Raises `InputError` for a level above the waist or below the hem.
        ///
        /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> round(skirt.girth_at(10), 1)
        /// 98.4
        /// >>> skirt.girth_at(63)
        /// Traceback (most recent call last):
        /// kirtle.InputError: level: 63 cm is outside the garment; give a level from 0 to 62 cm
        #[pyo3(signature = (level, *, unit = None))]
        fn girth_at(&self, level: f64, unit: Option<&str>) -> PyResult<f64> {
            let unit = parse_unit_or(unit, self.request.unit)?;
            value_or_raise(self.inner.girth_at(FieldKind::Length.convert_unit(level, unit, Unit::Cm)), unit).map(|cm| unit.length_from_cm(cm))
        }

        /// Return the root mean square distance between corresponding points of two drafts, in `unit`.
        ///
        /// The points divide the sewn waist of each panel, and its side seam from the waist to the hip line, into eight
        /// equal parts. The drafts lie on each other at centre line and hip line. A wider dart moves the points
        /// between the dart and the side. The skirt below the hip line does not count.
        ///
        /// >>> draft_with = lambda hip_depth: draft(Body(waist=74, hip=101, hip_depth=hip_depth, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> round(draft_with(20.5).distance_to(draft_with(21.5)), 1)
        /// 0.8
        #[pyo3(signature = (other, *, unit = None))]
        fn distance_to(&self, other: &Self, unit: Option<&str>) -> PyResult<f64> {
            Ok(parse_unit_or(unit, self.request.unit)?.length_from_cm(self.inner.distance_to(&other.inner)))
        }

        /// Return all quantities of the draft as a dict from name to value.
        ///
        /// Quantities are lengths and coordinates of points in `unit`, areas in square `unit`, angles in degrees, and ratios.
        /// Where a quantity is asked for by name, the name of its column in `draft_table` will do, and that of an attribute
        /// with the same number, such as `girths.hem`.
        ///
        /// >>> body = Body(waist=70, hip=96, hip_depth=18, length=60)
        /// >>> draft(body, ease=Ease(waist=1.5, hip=5)).quantities().get("nominal.total")
        /// 14.75
        #[pyo3(signature = (*, unit = None))]
        fn quantities<'py>(&self, py: Python<'py>, unit: Option<&str>) -> PyResult<NumberDict<'py>> {
            let quantities = self.inner.quantities_in_unit(parse_unit_or(unit, self.request.unit)?).into_iter();
            Ok(NumberDict(quantities.map(|(quantity, value)| (quantity.to_string(), value)).into_py_dict(py)?))
        }

        /// Compute the exact derivatives of every quantity of the draft with respect to its inputs.
        ///
        /// `by` is the name of an input, such as `ease.hip`, or several; the default is all inputs. Lengths are in `unit`. The
        /// derivatives hold while the number of darts and the active limits of the rules do not change.
        ///
        /// Raises `InputError` for an unknown name of an input.
        ///
        /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> skirt.sensitivity(["ease.hip"])["front.width", "ease.hip"]
        /// 0.25
        /// >>> skirt.sensitivity(["ease.knee"])
        /// Traceback (most recent call last):
        /// kirtle.InputError: by: "ease.knee" is not one of 24 names: did you mean ease.hip, ease.waist or ...
        #[pyo3(signature = (by = None, *, unit = None))]
        fn sensitivity(slf: Bound<'_, Self>, by: Option<SizeNamesArgument>, unit: Option<&str>) -> PyResult<Py<Sensitivity>> {
            let (py, by, unit) = (slf.py(), by.map(|by| by.0).unwrap_or_default(), parse_unit_or(unit, slf.get().request.unit)?);
            let names: Vec<&str> = by.iter().map(String::as_str).collect();
            let inner = slf.get().inner.sensitivity(&names)?.in_unit(unit);
            let settings = slf.get().settings_of("sensitivity", unit, json!({"by": by}));
            let rows = Rows::from(with_settings(sensitivity_batch(&inner).map_err(arrow_to_python_error)?, &settings));
            let origin = (operator_methodcaller(py, ("sensitivity", by), [("unit", unit)])?.unbind(), (slf.clone().unbind(),));
            Py::new(py, (Sensitivity { inner, origin }, rows))
        }

        /// Compute the standard error of every quantity of the draft, and an error ellipse for every point.
        ///
        /// `errors` are the standard errors of inputs, or a mapping for `StandardErrors`, propagated to first order by
        /// exact derivatives. In addition, the skirt is drafted `drafts` times, 100 to 100,000, with random errors:
        /// their spread includes changes of the number of darts, which first order does not. Equal seeds give equal
        /// spreads. Lengths are in `unit`, those of a mapping as well.
        ///
        /// Raises `InputError` for an unknown name of an input, or for `drafts` out of range.
        ///
        /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> skirt.uncertainty({"body.hip": 0.8})["front.width"]
        /// 0.2
        /// >>> skirt.uncertainty(StandardErrors.iso_20685(), drafts=20_000).note
        /// 'of 20000 drafts with random errors, ... % have another number of darts than this draft: rely on the spread, not on the standard errors; not measured on this body, so without effect: every measurement of the figure'
        /// >>> skirt.uncertainty(StandardErrors({"body.knee": 0.8}))
        /// Traceback (most recent call last):
        /// kirtle.InputError: by: "body.knee" is not one of 24 names: did you mean body.hip, body.waist or ...
        #[pyo3(signature = (errors, *, drafts = 1000, seed = 0, unit = None))]
        fn uncertainty(
            slf: Bound<'_, Self>, errors: ErrorsArgument, drafts: usize, seed: u64, unit: Option<&str>,
        ) -> PyResult<Py<Uncertainty>> {
            let (py, unit, draft, of_inputs) = (slf.py(), parse_unit_or(unit, slf.get().request.unit)?, &slf.get().inner, &errors.0);
            let inner = draft.uncertainty(of_inputs, unit)?;
            let spread = py.detach(|| draft.spread(of_inputs, drafts, seed, unit))?;
            let errors = of_inputs.independent_standard_errors().map(Value::from_iter);
            let errors = errors.unwrap_or_else(|| json!([of_inputs.input_paths(), of_inputs.covariance_rows()]));
            let settings = json!({"errors": errors, "errors_unit": of_inputs.unit, "drafts": drafts, "seed": seed});
            let settings = slf.get().settings_of("uncertainty", unit, settings);
            let rows = uncertainty_batch(&inner, &spread).map_err(arrow_to_python_error)?;
            let rows = Rows::from(with_settings(rows, &settings));
            let (arguments, keywords) = (("uncertainty", StandardErrors(of_inputs.clone())), (("unit", unit), ("drafts", drafts), ("seed", seed)));
            let origin = (operator_methodcaller(py, arguments, keywords)?.unbind(), (slf.clone().unbind(),));
            Py::new(py, (Uncertainty { inner, spread, origin }, rows))
        }

        /// Draft again with other values of some inputs, such as `{"ease.hip": 6}`; all other inputs stay unchanged.
        ///
        /// The names are those of `sensitivity().inputs`, of measurements of a figure that the body lacks, such as
        /// `body.figure.front_hip`, and `rules.shares.back_darts` and `front_darts` for a number of darts. Lengths are in
        /// `unit`. A rule that the figure replaces is refused.
        ///
        /// Raises `InputError` for an unknown name, and with all the problems of the draft at once.
        ///
        /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> skirt.vary({"ease.hip": 6, "rules.balance": 0}).front.width
        /// 26.75
        /// >>> len(skirt.vary({"rules.shares.back_darts": 1}).back.darts)
        /// 1
        /// >>> skirt.vary({"ease.knee": 6})
        /// Traceback (most recent call last):
        /// kirtle.InputError: values: "ease.knee" is not one of 33 names: did you mean ease.hip, ease.waist or ...
        #[pyo3(signature = (values, *, unit = None))]
        fn vary(&self, values: InputNumbersArgument, unit: Option<&str>) -> PyResult<Draft> {
            let values: Vec<(&str, f64)> = values.0.iter().map(|(path, value)| (path.as_str(), *value)).collect();
            let unit = parse_unit_or(unit, self.request.unit)?;
            Ok(Draft::from_library_draft(&self.inner.vary(&values, unit)?, self.request.unit))
        }

        /// Find the values of one input, such as `ease.hip`, for which a quantity of the draft equals `value`.
        ///
        /// All other inputs stay unchanged. `quantity` is a name from `quantities`, the number of darts `back.darts` or
        /// `front.darts`, or `girth`: the girth of the garment at `level`, a distance below the waist at the side. The
        /// search covers the whole range of the input, or the range `between`, a pair of values. Lengths are in `unit`.
        ///
        /// Raises `InputError` for an unknown name, for a `between` outside the input's range, and if there is no
        /// solution.
        ///
        /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> solutions = skirt.seek("ease.hip", "front.darts", 1)
        /// >>> round(solutions.value, 6), len(solutions.draft.front.darts)
        /// (4.08514, 1)
        /// >>> skirt.seek("ease.hip", "back.width", 90)
        /// Traceback (most recent call last):
        /// kirtle.InputError: value: 90 cm cannot be reached: ease.hip from -10 to 60 cm gives 21.75 to 39.25 cm
        #[pyo3(signature = (input, quantity, value, *, level = None, between = None, unit = None))]
        fn seek(
            slf: Bound<'_, Self>, input: &str, quantity: &str, value: f64, level: Option<f64>, between: Option<(f64, f64)>, unit: Option<&str>,
        ) -> PyResult<Solutions> {
            let (py, unit, draft) = (slf.py(), parse_unit_or(unit, slf.get().request.unit)?, &slf.get().inner);
            let target = SeekTarget::from_name(quantity, value, level)?;
            let inner = py.detach(|| draft.seek(input, &target, between, unit))?;
            let keywords = (("unit", unit), ("level", level), ("between", between));
            let origin = (operator_methodcaller(py, ("seek", input, quantity, value), keywords)?.unbind(), (slf.clone().unbind(),));
            Ok(Solutions { inner, unit, origin })
        }

        /// Compute the ease at levels from the waist to the hem: the garment's girth minus the body's girth.
        ///
        /// `step` is the distance between levels, by default 1 cm. `high_hip` is a girth of the body between waist and
        /// hip, measured `high_hip_depth` below the waist at the side, by default that of the figure. Without a high hip,
        /// the body follows a natural spline from waist to hip. All lengths are in `unit`.
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
        #[pyo3(signature = (*, high_hip = None, high_hip_depth = None, step = None, unit = None))]
        fn ease_by_level(
            slf: Bound<'_, Self>, high_hip: Option<f64>, high_hip_depth: Option<f64>, step: Option<f64>, unit: Option<&str>,
        ) -> PyResult<Py<EaseByLevel>> {
            let (py, unit, draft) = (slf.py(), parse_unit_or(unit, slf.get().request.unit)?, &slf.get().inner);
            let inner = draft.ease_by_level(&BodyProfile::from_high_hip(high_hip, high_hip_depth, unit)?, step, unit)?;
            let findings = draft.ease_findings(&inner);
            let rows = Rows::from(ease_batch(&inner).map_err(arrow_to_python_error)?);
            let keywords = (("high_hip", high_hip), ("high_hip_depth", high_hip_depth), ("step", step), ("unit", unit));
            let origin = (operator_methodcaller(py, ("ease_by_level",), keywords)?.unbind(), (slf.clone().unbind(),));
            Py::new(py, (EaseByLevel { inner, findings, origin }, rows))
        }

        /// Return the lesson of the draft: how to draw the draft by hand.
        ///
        /// Lengths in its texts are in `unit`: `cm`, `in` (to the sixteenth) or `in 1/8` (to the eighth), as in every
        /// method that prints lengths. `texts` maps keys of `drawing_texts` to templates in another language. `name`,
        /// such as a size or a person, is printed in the title and at the foot of each page.
        #[pyo3(signature = (unit = None, *, name = None, texts = None))]
        fn lesson(&self, unit: Option<&str>, name: Option<NameArgument>, texts: Option<TextsArgument>) -> PyResult<Lesson> {
            let value = json_object!(name);
            let cutting = read_document(Some(Unit::Cm), ["cutting", "cutting."], &value, read_cutting)?;
            let lesson = self.inner.lesson(wording(parse_ruler_or(unit, self.request.ruler())?, texts.as_ref())?);
            Ok(Lesson { inner: crate::lesson::Lesson { name: cutting.name, ..lesson } })
        }

        /// Return the request in JSON that follows `schema("request")` and gives this draft, to be stored: `from_json`
        /// reads it.
        ///
        /// Lengths are in `unit`, by default in the draft's own `document_unit`, which keeps every number as it was
        /// given.
        ///
        /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> Draft.from_json(skirt.to_request()) == skirt
        /// True
        #[pyo3(signature = (unit = None))]
        fn to_request(&self, unit: Option<&str>) -> PyResult<String> {
            self.request.to_json_in_unit(unit, |unit| Request::from_draft(&self.inner, unit))
        }

        /// Return the result in JSON that follows `schema("result")`, with lengths in `unit`, by default in the draft's
        /// own `document_unit`.
        #[pyo3(signature = (unit = None))]
        fn to_json(&self, unit: Option<&str>) -> PyResult<String> {
            let unit = parse_unit_or(unit, self.request.unit)?;
            let is_own_unit = unit == self.request.unit;
            let report = if is_own_unit { self.request.report_of_draft(&self.inner) } else { Report::new(&self.inner, unit) };
            Ok(report.to_json())
        }

        /// Return the result as a dict that follows `schema("result")`, with lengths in `unit`, by default in the
        /// draft's own `document_unit`.
        #[pyo3(signature = (unit = None))]
        fn to_dict<'py>(&self, py: Python<'py>, unit: Option<&str>) -> PyResult<AnyDict<'py>> { json_to_dict(py, &self.to_json(unit)?) }
    }
}
