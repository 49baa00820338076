//! The request of a draft, and the result that answers a request. Both keep lengths in the unit of the request.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::json::{FORMAT_VERSION, JsonValue, to_json_text};
use super::panel::{Girths, Lengths, PanelReport, SuppressionReport};
use super::pattern::{LayReport, PatternReport};
use super::reader::{EXPECTED_JSON_OBJECT, InputReader, choice_names_joined_by_or};
use super::sizes::ChangeReport;
use crate::body::{Body, Ease, Inputs, Rules};
use crate::draft::{Draft, draft_checked_inputs};
use crate::error::{Code, Problem, Problems};
use crate::field::Unit;
use crate::findings::Finding;
use crate::pattern::{Cloth, Cutting, Lay, Pattern, Preset};
use crate::proof::Proof;
use crate::sizes::{CORRECTION_BY_FIELD, Correction, CorrectionSite, CorrectionTarget, Fitting, input_changes_between};

/// Maximum length of a draft request in JSON, in bytes; a typical request has a few hundred bytes.
const MAX_REQUEST_BYTES: usize = 65_536;

/// Request for a draft: body, ease and rules of construction, with optional corrections, cutting and cloth.
///
/// ```
/// use kirtle::document::Request;
///
/// let request = Request::from_json(
///     r#"{"unit": "cm", "body": {"waist": 70, "hip": 96, "hip_depth": 18, "length": 60},
///         "ease": {"waist": 0, "hip": 0}, "rules": {"shares": {"largest_dart": 4}}}"#,
/// )?;
/// assert_eq!(request.draft()?.back.darts.len(), 1);
/// assert!(Request::from_json("{}").is_err());
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Request {
    /// Unit of every length of the request and of the result.
    pub unit: Unit,
    /// Measurements of the body, in `unit`.
    pub body: Body,
    /// Ease of the garment over the body, in `unit`.
    pub ease: Ease,
    /// Rules of construction, lengths in `unit`.
    pub rules: Rules,
    /// Corrections after a trial garment, amounts in `unit`, applied to the draft in order.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub corrections: Vec<Correction>,
    /// How the pieces are cut, lengths in `unit`. With `cutting` or `cloth` the result contains the pattern.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cutting: Option<Cutting>,
    /// Cloth that the pieces are laid on, with the width in `unit`. With `cloth` the result contains the lay.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cloth: Option<Cloth>,
}

impl Request {
    /// Reads a request from JSON text.
    ///
    /// # Errors
    /// All the [`Problems`] of fields, types and ranges at once (see [`Body::FIELDS`], [`Ease::FIELDS`] and the like);
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
        if text.len() > MAX_REQUEST_BYTES {
            #[allow(clippy::cast_precision_loss)]
            let problem = Problem::new(Code::AboveMaximum, "request").with_value(text.len() as f64);
            #[allow(clippy::cast_precision_loss)]
            return Err(problem.with_limit(MAX_REQUEST_BYTES as f64).with_unit("bytes").into());
        }
        Self::from_json_value(&JsonValue::parse_json_text(text, "request")?)
    }

    /// Returns a request that reproduces a draft, lengths in `unit`, without corrections, cutting and cloth.
    #[must_use]
    pub fn from_draft(draft: &Draft, unit: Unit) -> Self {
        let Inputs { body, ease, rules } = draft.inputs.clone().convert_lengths(Unit::Cm, unit);
        Self { unit, body, ease, rules, corrections: Vec::new(), cutting: None, cloth: None }
    }

    fn from_json_value(value: &JsonValue) -> Result<Self, Problems> {
        let mut reader = InputReader { unit: None, problems: Vec::new() };
        let request = reader.read_request(value);
        reader.into_result(request)
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
    /// assert!(problems.to_string().starts_with("body.length: 7 in is too short: the hem must be at least"));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn draft(&self) -> Result<Draft, Problems> {
        let corrections: Vec<Correction> =
            self.corrections.iter().map(|correction| correction.convert_amount(self.unit, Unit::Cm)).collect();
        let draft = Inputs::new(&self.body, &self.ease, &self.rules, self.unit).and_then(draft_checked_inputs);
        let corrected = |draft: Draft| {
            if corrections.is_empty() { Ok(draft) } else { draft.redraft_with_corrections(&corrections) }
        };
        draft.and_then(corrected).map_err(|problems| self.problems_in_unit(problems))
    }

    /// Returns body, ease and rules of this request, before corrections, converted to centimetres.
    fn uncorrected_inputs_cm(&self) -> Inputs {
        Inputs { body: self.body, ease: self.ease, rules: self.rules.clone() }.convert_lengths(self.unit, Unit::Cm)
    }

    /// Returns the pattern of `draft`, with the `cutting` of this request; if that is missing, with the preset `trial`.
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
        draft.pattern(&cutting).map_err(|problems| self.problems_in_unit(problems))
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
        pattern.lay(&cloth).map_err(|problems| self.problems_in_unit(problems))
    }

    /// Converts lengths in problems from centimetres to the unit of the request.
    fn problems_in_unit(&self, problems: Problems) -> Problems {
        problems.with_values_in_unit(self.unit.name(), self.unit.cm_per_unit())
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
        if self.cutting.is_some() || self.cloth.is_some() {
            let pattern = self.pattern(&draft)?;
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
        if !self.corrections.is_empty() {
            let changes = input_changes_between(&self.uncorrected_inputs_cm(), &draft.inputs);
            let changes = changes.iter().map(|change| ChangeReport::new(change, self.unit)).collect();
            return Report { changes, ..Report::new(draft, self.unit) };
        }
        let (body, ease, rules) = (self.body, self.ease, self.rules.clone());
        Report { body, ease, rules, ..Report::new(draft, self.unit) }
    }

    /// Returns the request as JSON text. [`Request::from_json`] restores every number exactly.
    #[must_use]
    pub fn to_json(&self) -> String {
        to_json_text(self)
    }
}

impl<'de> Deserialize<'de> for Request {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Self::from_json_value(&JsonValue::deserialize(deserializer)?).map_err(serde::de::Error::custom)
    }
}

impl InputReader {
    /// Reads a draft request from a JSON object; each invalid field and each missing required field is a problem.
    fn read_request(&mut self, value: &JsonValue) -> Option<Request> {
        let names = ["format", "unit", "body", "ease", "rules", "corrections", "cutting", "cloth"];
        let [format, unit, body, ease, rules, corrections, cutting, cloth] =
            self.field_values("request", "", value, names)?;
        self.check_format(format);
        let unit = self.read_unit(unit);
        self.unit = unit;
        let body = self.require_value("body", EXPECTED_JSON_OBJECT, body);
        let body = body.and_then(|value| self.read_named_numbers("body", value, &Body::FIELDS));
        let ease = self.require_value("ease", EXPECTED_JSON_OBJECT, ease);
        let ease = ease.and_then(|value| self.read_named_numbers("ease", value, &Ease::FIELDS));
        let rules = match rules {
            Some(value) => self.read_rules(value),
            None => Some(Rules::default().convert_lengths(Unit::Cm, unit?)),
        };
        // An optional field that cannot be read leaves a problem, and `into_result` refuses the request.
        let corrections = corrections.and_then(|value| self.read_corrections(value)).unwrap_or_default();
        let cutting = cutting.and_then(|value| self.read_cutting(value));
        let cloth = cloth.and_then(|value| self.read_cloth(value));
        let (body, ease) = (Body::from_array(body?), Ease::from_array(ease?));
        Some(Request { unit: unit?, body, ease, rules: rules?, corrections, cutting, cloth })
    }

    pub(crate) fn read_corrections(&mut self, value: &JsonValue) -> Option<Vec<Correction>> {
        let limit = (Fitting::MAX_CORRECTIONS_PER_FITTING, "corrections");
        self.read_list("corrections", value, limit, Self::read_correction)
    }

    fn read_correction(&mut self, path: &str, value: &JsonValue) -> Option<Correction> {
        let prefix = format!("{path}.");
        let [what, by, at] = self.field_values(path, &prefix, value, ["what", "by", "at"])?;
        let (targets, what_path) = (&CorrectionTarget::ALL, format!("{prefix}what"));
        let what = self.require_value(&what_path, &choice_names_joined_by_or(targets, CorrectionTarget::name), what);
        let what = what.and_then(|value| self.read_choice(&what_path, Some(value), targets, CorrectionTarget::name));
        let by = self.read_number(&prefix, by, &CORRECTION_BY_FIELD);
        let at = self.read_choice(&format!("{prefix}at"), at, &CorrectionSite::ALL, CorrectionSite::name);
        Some(Correction { what: what?, by: by?, at: at? })
    }
}

/// Result of a draft request: panels with finished lengths, checks and cautions.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Kirtle result")]
pub struct Report {
    /// Version of the document format.
    #[schemars(extend("const" = FORMAT_VERSION))]
    pub format: u32,
    /// Unit of every length, unless the name of a field says another unit; areas are in the square of the unit.
    pub unit: Unit,
    /// Measurements of the body that the skirt is drafted for.
    pub body: Body,
    /// Ease of the garment over the body.
    pub ease: Ease,
    /// Rules of construction used for the draft.
    pub rules: Rules,
    /// Suppression of half the garment, as drafted.
    pub suppression: SuppressionReport,
    /// Suppression of half the garment by the measurements alone, before the waist is closed.
    pub nominal: SuppressionReport,
    /// Suppression of half the garment that the side seam takes beyond its limit, because no dart has room.
    pub left_in_side: f64,
    /// Finished girths of the garment.
    pub girths: Girths,
    /// Finished lengths of the garment.
    pub lengths: Lengths,
    /// Back panel.
    pub back: PanelReport,
    /// Front panel.
    pub front: PanelReport,
    /// Checks of the finished outlines, measured independently of the construction.
    pub proof: Proof,
    /// Cautions about the draft, to be judged on a trial garment.
    pub findings: Vec<Finding>,
    /// Numbers of the request that the corrections changed; absent if no number changed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub changes: Vec<ChangeReport>,
    /// Pieces of the pattern, ready to cut; absent unless the request has `cutting` or `cloth`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pattern: Option<PatternReport>,
    /// Pieces of the pattern laid on cloth; absent unless the request has `cloth`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lay: Option<LayReport>,
}

impl Report {
    /// Returns the result for a draft, with lengths in `unit`, without changes, pattern and lay.
    #[must_use]
    pub fn new(draft: &Draft, unit: Unit) -> Self {
        let Inputs { body, ease, rules } = draft.inputs.clone().convert_lengths(Unit::Cm, unit);
        let [back, front] = draft.panels().map(|panel| PanelReport::new(panel, unit));
        Self {
            format: FORMAT_VERSION,
            unit,
            body,
            ease,
            rules,
            suppression: SuppressionReport::new(&draft.suppression, unit),
            nominal: SuppressionReport::new(&draft.nominal, unit),
            left_in_side: unit.length_from_cm(draft.left_in_side),
            girths: Girths::from_panels([&back, &front]),
            lengths: Lengths::from_panels([&back, &front]),
            back,
            front,
            proof: draft.proof().with_lengths_in_unit(unit),
            findings: draft.findings_in_unit(unit),
            changes: Vec::new(),
            pattern: None,
            lay: None,
        }
    }

    /// Returns the result as JSON text.
    #[must_use]
    pub fn to_json(&self) -> String {
        to_json_text(self)
    }
}
