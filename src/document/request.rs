//! The request of a draft, and the result that answers a request. Both keep lengths in the unit of the request.

use std::collections::BTreeMap;

use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};
use serde_json::{Value, json};

use super::cutting::{read_cloth, read_cutting};
use super::inputs::{BodyWithFigure, read_body_with_figure};
use super::json::{JsonValue, to_json_text};
use super::object::{EXPECTED_JSON_OBJECT, ObjectReader, read_document};
use super::panel::{Girths, Lengths, PanelReport, SuppressionReport};
use super::pattern::{LayReport, PatternReport};
use super::report::{convert_each, report};
use super::sizes::ChangeReport;
use crate::body::{Body, Ease, Figure, Inputs, Rules};
use crate::draft::{Draft, draft_with_summary};
use crate::error::{Code, Problem, Problems};
use crate::field::Unit;
use crate::findings::Finding;
use crate::lesson::HandDifference;
use crate::pattern::{Cloth, Cutting, Lay, Pattern, Preset};
use crate::proof::Proof;
use crate::ruler::Ruler;
use crate::sizes::{
    CORRECTION_AMOUNT_FIELD, Correction, CorrectionSite, CorrectionTarget, Fitting, input_changes_between,
};
use crate::wording::Texts;

/// Maximum length of a draft request in JSON, in bytes; a typical request has a few hundred bytes.
const MAX_REQUEST_BYTES: usize = 65_536;

/// Request for a draft: body, ease and drafting rules, with optional corrections, cutting and cloth.
///
/// ```
/// use kirtle::document::Request;
///
/// let request = Request::from_json(
///     r#"{"unit": "cm", "body": {"waist": 70, "hip": 96, "hip_depth": 18, "length": 60},
///         "ease": {"waist": 0, "hip": 0}, "rules": {"shares": {"back_largest_dart": 4, "front_largest_dart": 4}}}"#,
/// )?;
/// assert_eq!(request.draft()?.back.darts.len(), 1);
/// assert!(Request::from_json("{}").is_err());
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Request {
    /// Unit of every length of the request and of the result.
    pub unit: Unit,
    /// Measurements of the body, in `unit`.
    pub body: Body,
    /// Figure of the body, in `unit`; empty if no number of it is measured. In JSON, the field `figure` of `body`.
    pub figure: Figure,
    /// Ease of the garment over the body, in `unit`.
    pub ease: Ease,
    /// Drafting rules, lengths in `unit`.
    pub rules: Rules,
    /// Corrections of one fitting of a trial garment, amounts in `unit`, applied together in any order.
    pub corrections: Vec<Correction>,
    /// Instructions for cutting the pieces, lengths in `unit`: [`Cutting::convert_lengths`] converts those of
    /// [`Cutting::preset`] and of a pattern, which are centimetres. With `cutting` or `cloth` the result contains the
    /// pattern.
    pub cutting: Option<Cutting>,
    /// Cloth that the pieces are laid on, lengths in `unit`, unlike those of a lay. With `cloth` the result contains
    /// pattern and lay.
    pub cloth: Option<Cloth>,
    /// Ruler of printed lengths, a unit with a rounding step; `None` stands for the finest ruler of `unit`. With a
    /// ruler the result says how far a draft drawn by hand with rounded lengths is from the exact draft.
    pub ruler: Option<Ruler>,
}

impl Request {
    /// Reads a request from JSON text.
    ///
    /// # Errors
    /// All [`Problems`] of fields, types and ranges (see [`Body::FIELDS`], [`Ease::FIELDS`] and the like);
    /// [`Code::AboveMaximum`] for a text over 64 KiB. Numbers that contradict each other are refused by
    /// [`Request::draft`].
    ///
    /// ```
    /// use kirtle::{Unit, document::Request};
    ///
    /// let request = Request::from_json(
    ///     r#"{"unit": "in", "body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 24}, "ease": {"waist": 0.5, "hip": 2}}"#,
    /// )?;
    /// assert_eq!((request.unit, request.body.waist), (Unit::In, 28.0));
    ///
    /// let problems = Request::from_json(
    ///     r#"{"unit": "cm", "body": {"waist": 28, "hip": "96", "hip_depth": 18}, "ease": {"waist": 1.5, "hip": 5}}"#,
    /// )
    /// .unwrap_err();
    /// let messages: Vec<String> = problems.iter().map(|problem| problem.to_string()).collect();
    /// assert_eq!(messages[0], "body.waist: 28 cm is below the minimum of 40 cm");
    /// assert_eq!(messages[1], "body.hip: \"96\" is not a number from 50 to 220 cm");
    /// assert_eq!(messages[2], "body.length: missing: give a number from 15 to 150 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn from_json(text: &str) -> Result<Self, Problems> {
        let value = JsonValue::parse_document(text, "request", MAX_REQUEST_BYTES)?;
        value.check_kind("request")?;
        read_document(None, ["request", ""], &value, read_request)
    }

    /// Returns a request that reproduces a draft, lengths in `unit`: its body, figure, ease and rules, nothing else.
    pub fn from_draft(draft: &Draft, unit: Unit) -> Self {
        let Inputs { body, figure, ease, rules } =
            draft.inputs.map_fields(|field, cm| field.kind.given_number(cm, unit));
        Self { unit, body, figure, ease, rules, corrections: Vec::new(), cutting: None, cloth: None, ruler: None }
    }

    /// Returns a request that reproduces a pattern, lengths in `unit`: its draft, as [`from_draft`](Self::from_draft)
    /// does, its cutting instructions and its cloth.
    ///
    /// ```
    /// use kirtle::{Cutting, Preset, Unit, document::Request};
    ///
    /// let body = kirtle::Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &kirtle::Ease { waist: 1.5, hip: 5.0 }, &kirtle::Rules::default())?;
    /// let pattern = draft.pattern(&Cutting::preset(Preset::Garment, Unit::In))?;
    /// let request = Request::from_json(&Request::from_pattern(&pattern, Unit::Cm).to_json())?;
    /// assert_eq!(request.pattern(&request.draft()?)?.cutting(), pattern.cutting());
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn from_pattern(pattern: &Pattern, unit: Unit) -> Self {
        let cutting = pattern.cutting().clone().convert_lengths(Unit::Cm, unit);
        let cloth = pattern.cloth.map(|cloth| cloth.convert_lengths(Unit::Cm, unit));
        Self { cutting: Some(cutting), cloth, ..Self::from_draft(pattern.draft(), unit) }
    }

    /// Returns a request that reproduces another draft, lengths in `unit`, cut, laid and printed as this request says.
    pub(crate) fn for_draft(&self, draft: &Draft, unit: Unit) -> Self {
        let cutting = self.cutting.clone().map(|cutting| cutting.convert_lengths(self.unit, unit));
        let cloth = self.cloth.map(|cloth| cloth.convert_lengths(self.unit, unit));
        Self { cutting, cloth, ruler: self.ruler, ..Self::from_draft(draft, unit) }
    }

    /// Returns the ruler of printed lengths: the requested ruler, or the finest ruler of the request's unit.
    pub fn ruler(&self) -> Ruler {
        self.ruler.unwrap_or_else(|| self.unit.into())
    }

    /// Drafts the skirt, applies the corrections and returns the [`Draft`], in centimetres.
    ///
    /// # Errors
    /// As [`draft`](crate::draft()) and [`Fitting::correct`]; lengths in the problems are in the request's unit.
    ///
    /// ```
    /// use kirtle::document::Request;
    ///
    /// let request = |length| {
    ///     Request::from_json(&format!(
    ///         r#"{{"unit": "in", "body": {{"waist": 28, "hip": 38, "hip_depth": 8, "length": {length}}},
    ///             "ease": {{"waist": 0.5, "hip": 2}}}}"#
    ///     ))
    /// };
    /// let draft = request(24)?.draft()?;
    /// assert_eq!(draft.body().length, 24.0 * 2.54); // A draft is in centimetres.
    /// let problems = request(7)?.draft().unwrap_err();
    /// assert!(problems.to_string().starts_with("body.length: 7 in is too short: the hem must lie below"));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn draft(&self) -> Result<Draft, Problems> {
        let corrections: Vec<Correction> =
            self.corrections.iter().map(|correction| correction.convert_amount(self.unit, Unit::Cm)).collect();
        let corrected = |draft: Draft| {
            if corrections.is_empty() { Ok(draft) } else { draft.redraft_with_corrections(&corrections) }
        };
        self.unit.convert_problems_from_cm(self.draft_without_corrections().and_then(corrected))
    }

    /// Drafts body, figure, ease and rules of this request, without the corrections.
    fn draft_without_corrections(&self) -> Result<Draft, Problems> {
        let Self { body, figure, ease, ref rules, .. } = *self;
        let inputs = Inputs { body, figure, ease, rules: rules.clone() };
        Ok(draft_with_summary(inputs.check_and_convert_to_cm(self.unit)?)?.0)
    }

    /// Returns the pattern of `draft`, with `cutting` and `cloth` of this request; without `cutting`, with the preset
    /// `trial`.
    ///
    /// # Errors
    /// As [`Draft::pattern`]; lengths in the problems are in the request's unit.
    ///
    /// ```
    /// use kirtle::document::Request;
    ///
    /// let request = |more: &str| {
    ///     let body = r#""body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 20}"#;
    ///     Request::from_json(&format!(r#"{{"unit": "in", {body}, "ease": {{"waist": 0.5, "hip": 2}}{more}}}"#))
    /// };
    /// let plain = request("")?;
    /// let pattern = plain.pattern(&plain.draft()?)?;
    /// assert_eq!(pattern.cutting().allowances.hem, 0.5 * 2.54); // The trial allowances in inches.
    /// let open = request(r#", "cutting": {"opening": 22}"#)?;
    /// let problems = open.pattern(&open.draft()?).unwrap_err();
    /// assert!(problems.to_string().starts_with("cutting.opening: 22 in is longer than the centre back seam of"));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn pattern(&self, draft: &Draft) -> Result<Pattern, Problems> {
        let given = self.cutting.clone().map(|cutting| cutting.convert_lengths(self.unit, Unit::Cm));
        let cutting = given.unwrap_or_else(|| Cutting::preset(Preset::default(), self.unit));
        let mut pattern = self.unit.convert_problems_from_cm(draft.pattern(&cutting))?;
        pattern.cloth = self.cloth.map(|cloth| cloth.convert_lengths(self.unit, Unit::Cm));
        Ok(pattern)
    }

    /// Lays the pieces of `pattern` on the `cloth` of this request and returns the lay.
    ///
    /// # Errors
    /// [`Code::Missing`] if the request has no `cloth`; otherwise as [`Pattern::lay`].
    ///
    /// ```
    /// use kirtle::document::Request;
    ///
    /// let request = |more: &str| {
    ///     let body = r#""body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 20}"#;
    ///     Request::from_json(&format!(r#"{{"unit": "in", {body}, "ease": {{"waist": 0.5, "hip": 2}}{more}}}"#))
    /// };
    /// let wide = request(r#", "cloth": {"width": 55}"#)?;
    /// let pattern = wide.pattern(&wide.draft()?)?;
    /// assert!(wide.lay(&pattern)?.to_buy_yd() < 1.0);
    /// assert_eq!(request("")?.lay(&pattern).unwrap_err().to_string(), "cloth: missing: give a JSON object");
    /// let narrow = request(r#", "cloth": {"width": 21}"#)?;
    /// assert!(narrow.lay(&pattern).unwrap_err().to_string().starts_with("cloth.width: 21 in is too narrow"));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn lay(&self, pattern: &Pattern) -> Result<Lay, Problems> {
        let missing = || Problem::new(Code::Missing, "cloth").with_limit(EXPECTED_JSON_OBJECT);
        let cloth = self.cloth.ok_or_else(missing)?.convert_lengths(self.unit, Unit::Cm);
        self.unit.convert_problems_from_cm(pattern.lay(&cloth))
    }

    /// Drafts the request and returns the result; `cutting` or `cloth` adds the pattern, `cloth` the lay.
    ///
    /// # Errors
    /// As [`Request::draft`], [`Request::pattern`] and [`Pattern::lay`].
    ///
    /// ```
    /// use kirtle::document::Request;
    ///
    /// let request = |more: &str| {
    ///     let body = r#""body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 20}"#;
    ///     Request::from_json(&format!(r#"{{"unit": "in", {body}, "ease": {{"waist": 0.5, "hip": 2}}{more}}}"#))
    /// };
    /// let report = request(r#", "cutting": {"preset": "garment"}, "cloth": {"width": 45}"#)?.report()?;
    /// assert!(report.proof.holds && report.pattern.is_some() && report.lay.is_some());
    /// assert!(request("")?.report()?.pattern.is_none());
    /// assert!(request(r#", "cutting": {"opening": 22}"#)?.report().is_err());
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn report(&self) -> Result<Report, Problems> {
        let draft = self.draft()?;
        let mut report = self.report_of_draft(&draft);
        report.rounding = self.ruler.map(|ruler| draft.lesson(ruler).difference_with_rounding());
        if self.cutting.is_some() || self.cloth.is_some() {
            let pattern = self.pattern(&draft)?;
            report.findings = pattern.findings_of_draft_in_unit(self.unit);
            report.pattern = Some(PatternReport::new(&pattern, self.unit));
            if self.cloth.is_some() {
                report.lay = Some(LayReport::new(&self.lay(&pattern)?, self.unit));
            }
        }
        Ok(report)
    }

    /// Returns the result for the draft of this request. Without corrections, the result repeats body, ease and rules
    /// of the request exactly, not converted to centimetres and back.
    pub(crate) fn report_of_draft(&self, draft: &Draft) -> Report {
        let uncorrected = (!self.corrections.is_empty()).then(|| self.draft_without_corrections());
        if let Some(Ok(uncorrected)) = uncorrected {
            let changes = convert_each(&input_changes_between(&uncorrected, draft), ChangeReport::new, self.unit);
            let measurements = uncorrected.measurements_replacing_corrections(draft);
            let measurements = convert_each(&measurements, ChangeReport::new, self.unit);
            return Report { changes, measurements, ..Report::new(draft, self.unit) };
        }
        let (body, ease, rules) = (BodyWithFigure::new(self.body, self.figure), self.ease, self.rules.clone());
        Report { body, ease, rules, ..Report::new(draft, self.unit) }
    }

    /// Returns the fields that differ in another request: for each path the values before, in this request, and after;
    /// null for a field that a request does not have. Lengths keep their units: compare requests in one unit.
    ///
    /// ```
    /// use kirtle::{Ease, Unit, document::Request};
    ///
    /// let body = kirtle::Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &kirtle::Rules::default())?;
    /// let first = Request::from_draft(&draft, Unit::Cm);
    /// let second = Request { ease: Ease { waist: 2.0, hip: 5.0 }, ..first.clone() };
    /// assert_eq!(first.changes_to(&second)["ease.waist"], [1.5, 2.0]);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn changes_to(&self, other: &Self) -> BTreeMap<String, [Value; 2]> {
        let mut changes = BTreeMap::<_, [Value; 2]>::new();
        for (k, request) in [self, other].into_iter().enumerate() {
            visit_fields("", &json!(request), &mut |path, value| changes.entry(path).or_default()[k] = value);
        }
        changes.retain(|_, [before, after]| before != after);
        changes
    }

    /// Returns the request as JSON text. [`Request::from_json`] restores every number exactly.
    pub fn to_json(&self) -> String {
        to_json_text(self)
    }
}

impl Serialize for Request {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut request = serializer.serialize_map(None)?;
        request.serialize_entry("unit", &self.unit)?;
        request.serialize_entry("body", &BodyWithFigure::new(self.body, self.figure))?;
        request.serialize_entry("ease", &self.ease)?;
        request.serialize_entry("rules", &self.rules)?;
        if !self.corrections.is_empty() {
            request.serialize_entry("corrections", &self.corrections)?;
        }
        self.cutting.as_ref().map(|cutting| request.serialize_entry("cutting", cutting)).transpose()?;
        self.cloth.as_ref().map(|cloth| request.serialize_entry("cloth", cloth)).transpose()?;
        self.ruler.as_ref().map(|ruler| request.serialize_entry("ruler", ruler)).transpose()?;
        request.end()
    }
}

/// Visits path and value of every field of a JSON object that is not an object itself.
fn visit_fields(path: &str, value: &Value, visit: &mut impl FnMut(String, Value)) {
    match value.as_object() {
        Some(fields) => fields.iter().for_each(|(name, value)| visit_fields(&format!("{path}.{name}"), value, visit)),
        None => visit(path.trim_start_matches('.').to_owned(), value.clone()),
    }
}

impl Report {
    /// Returns the result with the messages of all cautions in the language of `texts`.
    ///
    /// ```
    /// use kirtle::{Texts, document::Request};
    ///
    /// let body = r#""body": {"waist": 70, "hip": 96, "hip_depth": 18, "length": 50}"#;
    /// let request = format!(r#"{{"unit": "cm", {body}, "ease": {{"waist": 0.5, "hip": 5}}}}"#);
    /// let german = Texts::new([("little_waist_ease", "Nur {measured} statt {usual_min} bis {usual_max} am Bund.")])?;
    /// let report = Request::from_json(&request)?.report()?.with_cautions_in(&german);
    /// assert_eq!(report.findings[0].message, "Nur 0.5 cm statt 1.2 cm bis 1.9 cm am Bund.");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn with_cautions_in(mut self, texts: &Texts) -> Self {
        let of_pattern = self.pattern.iter_mut().flat_map(|pattern| &mut pattern.findings);
        for finding in self.findings.iter_mut().chain(of_pattern) {
            finding.message = finding.message_in(texts);
        }
        self
    }
}

/// Reads a draft request from a JSON object, and adds a problem to the reader for each invalid or missing field;
/// returns `None` if a required field cannot be read.
pub(super) fn read_request(request: &mut ObjectReader) -> Option<Request> {
    let unit = request.check_format_and_read_unit();
    let body = request.read_object("body", true, ["Body", "Measurements of the body."], read_body_with_figure);
    let text = "Ease: girth of the garment minus girth of the body, all around.";
    let ease = request.read_object("ease", true, ["Ease", text], |ease| ease.read_numbers(&Ease::FIELDS));
    let rules = request.read_rules_field();
    let texts = [
        "Correction",
        "Correction after a trial garment.",
        "Corrections of one fitting of a trial garment, applied together in any order; the result is that of the corrected request.",
    ];
    let limit = (Fitting::MAX_CORRECTIONS_PER_FITTING, "corrections");
    let corrections = request.read_list("corrections", false, limit, texts, read_correction);
    let text = "How the pieces are cut; with `cutting` the result contains the pattern.";
    let cutting = request.read_object("cutting", false, ["Cutting", text], read_cutting);
    let text = "Cloth that the pieces are laid on; with `cloth` the result contains pattern and lay.";
    let cloth = request.read_object("cloth", false, ["Cloth", text], read_cloth);
    let given_ruler = request
        .read_ruler("With `ruler` the result contains how far a draft drawn by hand, with lengths rounded to the ruler, is from the exact one.");
    let (unit, body, ease) = (unit?, body?, Ease::from_array(ease?));
    let rules = rules.unwrap_or_else(|| Rules::default().convert_lengths(Unit::Cm, unit));
    let (body, figure, corrections) = (body.body(), body.figure, corrections.unwrap_or_default());
    Some(Request { unit, body, figure, ease, rules, corrections, cutting, cloth, ruler: given_ruler })
}

/// Reads one correction after a trial garment.
pub(crate) fn read_correction(correction: &mut ObjectReader) -> Option<Correction> {
    let (targets, sites) = (&CorrectionTarget::ALL, &CorrectionSite::ALL);
    let text = "What the correction changes; corrections of waist and hip change the ease. Where darts are not corrected by \
        shares, they become given darts: the side seams then take what closes the waist.";
    let what = correction.read_choice("what", None, targets, CorrectionTarget::name, text);
    let by = correction.read_number(what.map_or(&CORRECTION_AMOUNT_FIELD, CorrectionTarget::amount_field));
    let text = "Where the correction is made. Waist and hip: at the side seams, at the darts, or shared between both by the rules. \
        Darts: at all, at those of one panel, or at one, counted from the centre. All else is shared.";
    let at = correction.read_choice("at", Some(CorrectionSite::default()), sites, CorrectionSite::name, text);
    Some(Correction { what: what?, by: by?, at: at? })
}

report! {
    /// Result of a draft request: panels with finished lengths, checks and cautions.
    #[schemars(title = "Kirtle result")]
    Report with format of (draft: &Draft) in unit
    let Inputs { body, figure, ease, rules } = draft.inputs.clone().convert_lengths(Unit::Cm, unit);
    let [back, front] = draft.panels().map(|panel| PanelReport::new(panel, unit));
    {
        /// Unit of every length, unless the name of a field says another unit; areas are in the square of the unit.
        unit: Unit = unit,
        /// Measurements of the body that the skirt is drafted for.
        body: BodyWithFigure = BodyWithFigure::new(body, figure),
        /// Ease of the garment over the body.
        ease: Ease = ease,
        /// Drafting rules of the draft.
        rules: Rules = rules,
        /// Suppression of half the garment, as drafted.
        suppression: SuppressionReport = SuppressionReport::new(&draft.suppression, unit),
        /// Nominal suppression of half the garment, before the waist is closed: half the hip girth minus half the waist
        /// girth of the garment, apportioned to side seams and darts by the rules.
        nominal: SuppressionReport = SuppressionReport::new(&draft.nominal, unit),
        /// Suppression of half the garment that the side seam takes beyond its limit, because no dart has room.
        left_in_side: f64 = unit.length_from_cm(draft.left_in_side),
        /// Finished girths of the garment.
        girths: Girths = Girths::new(&back, &front, unit),
        /// Finished lengths of the garment.
        lengths: Lengths = Lengths::new(&back, &front, unit),
        /// Back panel.
        back: PanelReport = back,
        /// Front panel.
        front: PanelReport = front,
        /// Checks of the finished outlines, measured independently of the construction.
        proof: Proof = draft.proof().convert_lengths_from_cm(unit),
        /// Cautions about the draft, to be judged on a trial garment; those about the pattern are in `pattern`.
        findings: Vec<Finding> = draft.findings_in_unit(unit),
        /// Numbers of the request that the corrections changed; absent if no number changed.
        changes: Vec<ChangeReport> [default] = Vec::new(),
        /// Measurements of the figure that can replace corrections: with these measurements, and with the darts as
        /// corrected, the same body gets this draft without these corrections. If no length to the floor is measured,
        /// the lengths end at the hem. Absent if no measurement can replace a correction.
        measurements: Vec<ChangeReport> [default] = Vec::new(),
        /// Pieces of the pattern, ready to cut; absent unless the request has `cutting` or `cloth`.
        pattern: Option<PatternReport> [default] = None,
        /// Pieces of the pattern laid on cloth; absent unless the request has `cloth`.
        lay: Option<LayReport> [default] = None,
        /// Differences from the exact draft if the pattern is drawn by hand with every length rounded to the ruler;
        /// absent unless the request has `ruler`.
        rounding: Option<HandDifference> [default] = None,
    }
}
