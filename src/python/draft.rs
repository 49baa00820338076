//! The Python class `Draft`, and the functions `draft`, `draft_json` and `schema`. The methods of the class are in
//! `draft_methods`, as they return classes of other files, which in turn hold a draft.

use pyo3::exceptions::PyKeyError;
use pyo3::prelude::*;
use serde_json::json;

use super::arguments::{
    DocumentText, TextsArgument, parse_ruler, parse_table_unit, parse_unit, parse_unit_or, value_or_raise,
};
use super::inputs::{Body, Ease, Rules};
use super::typed_objects::{AnyDict, json_to_dict};
use crate::document::{self, CallSettings, Request, SCHEMA_NAMES, to_json_text};
use crate::draft::draft_figure;
use crate::field::Unit;
use crate::findings::Finding;
use crate::ruler::Ruler;

/// Draft the front and back of a straight skirt from a body. The unit in which the body was given becomes the unit of
/// the draft's documents and drawings.
///
/// Raises `InputError` with all the problems at once, such as a hem above the hip line, darts without cloth between
/// them, a dart tip below the hip line, or a side seam that is too flat.
///
/// >>> draft(Body(waist=70, hip=96, hip_depth=18, length=60), ease=Ease(waist=1.5, hip=5)).back.width
/// 24.25
/// >>> draft(Body(waist=70, hip=96, hip_depth=18, length=15), ease=Ease(waist=1.5, hip=5))
/// Traceback (most recent call last):
/// kirtle.InputError: body.length: 15 cm is too short: the hem must lie below the hip line; the minimum is 19 cm
#[pyfunction]
#[pyo3(signature = (body, *, ease, rules = None))]
pub(crate) fn draft(py: Python<'_>, body: &Body, ease: &Ease, rules: Option<&Rules>) -> PyResult<Draft> {
    let rules = rules.map(|rules| rules.0.clone()).unwrap_or_default();
    let unit = parse_unit(body.unit())?;
    let draft = py.detach(|| draft_figure(&body.0, &body.2.0, &ease.0, &rules));
    Ok(Draft::from_library_draft(&value_or_raise(draft, unit)?, unit))
}

/// Draft a request in JSON and return the result in JSON.
///
/// The documents follow `schema("request")` and `schema("result")`. The cautions of the result are worded with `texts`,
/// as in `Draft.svg`.
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
#[pyo3(signature = (request, *, texts = None))]
pub(crate) fn draft_json(py: Python<'_>, request: DocumentText, texts: Option<TextsArgument>) -> PyResult<String> {
    let texts = texts.map(|texts| texts.0).transpose()?.unwrap_or_default();
    Ok(py.detach(|| Request::from_json(&request.0)?.report().map(|report| report.with_cautions_in(&texts).to_json()))?)
}

/// Return the JSON Schema of a document as a dict.
///
/// The name is `request`, `result`, `pattern`, `lay`, `fitting`, `chart`, `sizes`, `fit`, `best_chart`, `best_sizes`,
/// `comparison`, `texts` or `error`.
///
/// Raises `KeyError` for any other name.
///
/// >>> schema("result")["$id"]
/// 'urn:kirtle:result:1'
/// >>> schema("trousers")
/// Traceback (most recent call last):
/// KeyError: '"trousers" is not one of request, result, pattern, lay, fitting, chart, sizes, fit, best_chart, best_sizes, comparison, texts, error'
#[pyfunction]
pub(crate) fn schema<'py>(py: Python<'py>, name: &str) -> PyResult<AnyDict<'py>> {
    let unknown = || PyKeyError::new_err(format!("{name:?} is not one of {}", SCHEMA_NAMES.join(", ")));
    json_to_dict(py, &document::schema(name).ok_or_else(unknown)?.to_string())
}

/// Return the length that a text gives, in `unit`, `"cm"`, `"in"` or `"mm"`.
///
/// The text is a number with a decimal point or comma, or with a fraction, as on a tape: `29.5`, `29 1/2`, `29-1/2`,
/// `29½`. It may end with a unit: `cm`, `mm`, `in` or `"`, also as `CM` or `in.`.
///
/// Raises `InputError` with the problem of `field` for another text. No range is checked.
///
/// >>> parse_length("29 1/8", "in"), parse_length("29 1/8 in", "cm")
/// (29.125, 73.9775)
/// >>> parse_length("29 1/0", "in", field="waist")
/// Traceback (most recent call last):
/// kirtle.InputError: waist: "29 1/0" is not a length such as 74, 29.5 or 29 1/2
#[pyfunction]
#[pyo3(signature = (text, unit, *, field = "length"))]
pub(crate) fn parse_length(text: &str, unit: &str, field: &str) -> PyResult<f64> {
    let length = Ruler::from(parse_table_unit(unit)?).parse_length(text);
    Ok(length.map_err(|problems| problems.map(|problem| problem.with_field_path(field.to_owned())))?)
}

/// Return a length in the unit of a ruler, rounded to its step: `cm` to the millimetre, `in` to 1/16 in, `in 1/8`.
///
/// Raises `InputError` for an unknown ruler.
///
/// >>> format_length(72.46, "cm"), format_length(29.13, "in 1/8")
/// ('72.5', '29 1/8')
/// >>> format_length(72.5, "ell")
/// Traceback (most recent call last):
/// kirtle.InputError: unit: "ell" is not "cm" or "in" or "in 1/8"
#[pyfunction]
pub(crate) fn format_length(value: f64, ruler: &str) -> PyResult<String> {
    let ruler = if ruler == "mm" { Ruler::Mm } else { parse_ruler(ruler)? };
    Ok(ruler.format_length(value * ruler.unit().cm_per_unit()))
}

/// Return the fields of two requests in JSON that differ: for each the values before and after, `None` for a field that
/// a request does not have.
///
/// `to_request` of a draft or a pattern gives its request. Lengths keep their units: requests in one unit compare best.
///
/// Raises `InputError` with all the problems of a request at once.
///
/// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
/// >>> request_changes(skirt.pattern(hem=4).to_request(), skirt.pattern(hem=6, vent=20).to_request())
/// {'cutting.allowances.hem': [4.0, 6.0], 'cutting.vent': [None, 20.0], 'cutting.vent_width': [None, 4.0]}
/// >>> request_changes("{}", skirt.to_request())
/// Traceback (most recent call last):
/// kirtle.InputError: unit: missing: give "cm" or "in"
/// body: missing: give a JSON object
/// ease: missing: give a JSON object
#[pyfunction]
pub(crate) fn request_changes(py: Python<'_>, before: DocumentText, after: DocumentText) -> PyResult<AnyDict<'_>> {
    let [before, after] = [before, after].map(|request| Request::from_json(&request.0));
    json_to_dict(py, &to_json_text(&before?.changes_to(&after?)))
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
    /// Wraps a draft of the Rust library; `unit` becomes the default unit of its documents.
    pub(super) fn from_library_draft(inner: &crate::draft::Draft, unit: Unit) -> Self {
        Self { request: Request::from_draft(inner, unit), inner: inner.clone() }
    }

    /// Returns the settings of a call of a method, with its arguments and the request for this draft, in `unit`.
    pub(super) fn settings_of(&self, method: &str, unit: Unit, arguments: serde_json::Value) -> CallSettings {
        let request = Request::from_draft(&self.inner, unit);
        CallSettings::new(json!({"function": method, "unit": unit, "request": request, "arguments": arguments}))
    }

    /// Returns the request with the body and the ease that the corrections give, in the unit of the request.
    pub(super) fn request_after_corrections(&self) -> Request {
        let Self { request, inner } = self;
        if request.corrections.is_empty() { request.clone() } else { Request::from_draft(inner, request.unit) }
    }
}

/// Returns findings in centimetres with the messages of the same findings in another unit.
pub(super) fn with_messages_of(findings: Vec<Finding>, other: Vec<Finding>) -> Vec<Finding> {
    findings.into_iter().zip(other).map(|(finding, other)| Finding { message: other.message, ..finding }).collect()
}

impl Request {
    /// Returns the JSON of the request in the unit called `unit`; in another unit than its own, of the request that
    /// `convert` makes.
    pub(super) fn to_json_in_unit(&self, unit: Option<&str>, convert: impl FnOnce(Unit) -> Self) -> PyResult<String> {
        let unit = parse_unit_or(unit, self.unit)?;
        Ok(if unit == self.unit { self.to_json() } else { convert(unit).to_json() })
    }
}
