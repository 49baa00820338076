//! Reading a request: every field by its row, every problem at once.

use serde::{Deserialize, Serialize};

use super::node::Node;
use super::reader::Reader;
use super::{ChangeReport, LayReport, PatternReport, Report};
use crate::body::{Body, Ease, Inputs, Rules};
use crate::draft::{Draft, drafted};
use crate::error::{Code, Problem, Problems};
use crate::field::Unit;
use crate::pattern::{Cloth, Cutting, Lay, Pattern, Preset};
use crate::sizes::{Correction, changes};

/// The longest request that is read, in bytes; a real one has a few hundred.
const LONGEST_REQUEST: usize = 65_536;

/// What is asked for: a body, its ease and the rules, in a unit.
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
    /// The unit of every length, in and out.
    pub unit: Unit,
    /// The body's measurements, in `unit`.
    pub body: Body,
    /// The ease, in `unit`.
    pub ease: Ease,
    /// The drafter's choices, lengths in `unit`.
    pub rules: Rules,
    /// Corrections after a trial garment, in `unit`, one after the other.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub corrections: Vec<Correction>,
    /// How it is cut, lengths in `unit`; where it is given, or cloth is, the result has the pattern.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cutting: Option<Cutting>,
    /// The cloth that it is laid on, its width in `unit`; where it is given the result has the lay.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cloth: Option<Cloth>,
}

impl Request {
    /// Reads a request from JSON text.
    ///
    /// # Errors
    /// All that is wrong with its form and its ranges, each number's own (see [`Body::FIELDS`] and its neighbours);
    /// [`Code::AboveMaximum`] for a text over 64 KiB. Whether the numbers agree with each other is found when drafting.
    ///
    /// ```
    /// use kirtle::Unit;
    /// use kirtle::document::Request;
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
    /// let told: Vec<String> = problems.iter().map(|problem| problem.to_string()).collect();
    /// assert_eq!(told[0], "body.waist: 28 cm is below the minimum of 40 cm");
    /// assert_eq!(told[1], "body.hip: \"96\" is not a number from 50 to 220 cm");
    /// assert_eq!(told[2], "body.length: missing; give a number from 15 to 150 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn from_json(text: &str) -> Result<Self, Problems> {
        if text.len() > LONGEST_REQUEST {
            #[allow(clippy::cast_precision_loss)]
            let problem = Problem::new(Code::AboveMaximum, "request").with_value(text.len() as f64);
            #[allow(clippy::cast_precision_loss)]
            return Err(problem.with_limit(LONGEST_REQUEST as f64).with_unit("bytes").into());
        }
        Self::from_node(&Node::parse(text, "request")?)
    }

    /// The request of a draft, in `unit`.
    #[must_use]
    pub fn of(draft: &Draft, unit: Unit) -> Self {
        let Inputs { body, ease, rules } = draft.inputs.clone().convert(Unit::Cm, unit);
        Self { unit, body, ease, rules, corrections: Vec::new(), cutting: None, cloth: None }
    }

    pub(crate) fn from_node(node: &Node) -> Result<Self, Problems> {
        let mut reader = Reader { unit: None, problems: Vec::new() };
        let request = reader.request(node);
        reader.finish(request)
    }

    /// Drafts the request.
    ///
    /// # Errors
    /// As [`draft`](crate::draft); lengths in the problems are in the request's unit.
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
    /// assert!(problems.to_string().starts_with("body.length: 7 in does not clear the hip line"));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn draft(&self) -> Result<Draft, Problems> {
        let corrections: Vec<Correction> =
            self.corrections.iter().map(|one| one.convert(self.unit, Unit::Cm)).collect();
        let first = Inputs::new(&self.body, &self.ease, &self.rules, self.unit).and_then(drafted);
        let last = if corrections.is_empty() { first } else { first.and_then(|first| first.corrected(&corrections)) };
        last.map_err(|problems| self.in_own_unit(problems))
    }

    /// What is drafted first, in centimetres.
    fn inputs(&self) -> Inputs {
        Inputs { body: self.body, ease: self.ease, rules: self.rules.clone() }.convert(self.unit, Unit::Cm)
    }

    /// The pattern of a draft of this request: by its `cutting`, or where it has none by the default of its unit.
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
        let given = self.cutting.clone().map(|cutting| cutting.convert(self.unit, Unit::Cm));
        let cutting = given.unwrap_or_else(|| Cutting::preset(Preset::default(), self.unit));
        draft.pattern(&cutting).map_err(|problems| self.in_own_unit(problems))
    }

    /// The pattern of this request laid on its `cloth`.
    ///
    /// # Errors
    /// [`Code::Missing`] where the request gives no cloth; else as [`Pattern::lay`].
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
    /// assert_eq!(request("")?.lay(&pattern).unwrap_err().to_string(), "cloth: missing; give an object");
    /// let narrow = request(r#", "cloth": {"width": 21}"#)?;
    /// assert!(narrow.lay(&pattern).unwrap_err().to_string().starts_with("cloth.width: 21 in is narrower than"));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn lay(&self, pattern: &Pattern) -> Result<Lay, Problems> {
        let missing = || Problem::new(Code::Missing, "cloth").with_limit("an object");
        let cloth = self.cloth.ok_or_else(missing)?.convert(self.unit, Unit::Cm);
        pattern.lay(&cloth).map_err(|problems| self.in_own_unit(problems))
    }

    fn in_own_unit(&self, problems: Problems) -> Problems {
        problems.in_unit(self.unit.name(), self.unit.cm_per_unit())
    }

    /// Drafts the request and reports the draft in the request's unit, with the pattern and the lay if they are asked for.
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
        let mut report = self.report_of(&draft);
        if self.cutting.is_some() || self.cloth.is_some() {
            let pattern = self.pattern(&draft)?;
            report.pattern = Some(PatternReport::new(&pattern, self.unit));
            if self.cloth.is_some() {
                report.lay = Some(LayReport::new(&self.lay(&pattern)?, self.unit));
            }
        }
        Ok(report)
    }

    /// Reports the draft of this request; the request comes back to the last bit, not by way of centimetres.
    pub(crate) fn report_of(&self, draft: &Draft) -> Report {
        if !self.corrections.is_empty() {
            let changes = changes(&self.inputs(), &draft.inputs);
            let changes = changes.iter().map(|change| ChangeReport::new(change, self.unit)).collect();
            return Report { changes, ..Report::new(draft, self.unit) };
        }
        let (body, ease, rules) = (self.body, self.ease, self.rules.clone());
        Report { body, ease, rules, ..Report::new(draft, self.unit) }
    }

    /// The request as JSON text, which reads back to the last bit.
    #[must_use]
    pub fn to_json(&self) -> String {
        super::text(self)
    }
}

impl<'de> Deserialize<'de> for Request {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Self::from_node(&Node::deserialize(deserializer)?).map_err(serde::de::Error::custom)
    }
}
