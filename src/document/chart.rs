//! The request on a chart of sizes: the chart in JSON, with the questions that the report answers.

use super::json::{FORMAT_VERSION, JsonValue};
use super::reader::{EXPECTED_JSON_OBJECT, InputReader};
use super::sizes::{AlterationReport, ChartReport, ChoiceReport, KeyLengths, SizeReport, grade_increment_reports};
use crate::body::{Body, Ease, Rules};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::sizes::{
    AlterationLimits, BLEND_FRACTION_FIELD, CHOICE_TOLERANCE_FIELD, ChoiceGirth, ChoiceRule, FractionBetweenSizes,
    Size, SizeBlend, SizeChart, SizeRange,
};

/// Maximum length of a request on a size chart in JSON, in bytes.
const MAX_CHART_JSON_BYTES: usize = 1 << 20;

/// Field `tolerance_mm` of a chart request: tolerance of an alteration on paper, in millimetres.
pub(crate) const ALTERATION_TOLERANCE_MM_FIELD: Field = Field::new(
    "tolerance_mm",
    "Largest permitted deviation of an alteration on paper from the exact redraft, in millimetres.",
    FieldKind::Millimetres,
    (0.1, 50.0),
    (0.1, 50.0),
)
.with_default(crate::sizes::DEFAULT_ALTERATION_TOLERANCE_MM);

/// Field `min_step_mm` of a chart request: largest change that an alteration leaves out, in millimetres.
pub(crate) const ALTERATION_MIN_STEP_MM_FIELD: Field = Field::new(
    "min_step_mm",
    "Largest change of a girth, a line or a dart that an alteration on paper leaves out, in millimetres.",
    FieldKind::Millimetres,
    (0.0, 20.0),
    (0.0, 20.0),
)
.with_default(crate::sizes::DEFAULT_MIN_STEP_MM);

/// Request on a chart of sizes: draft all, choose or alter sizes for a body, find a body between sizes; all optional.
///
/// ```
/// use kirtle::document::ChartRequest;
///
/// let request = ChartRequest::from_json(
///     r#"{"unit": "cm", "ease": {"waist": 1.5, "hip": 5}, "body": {"waist": 70, "hip": 94, "hip_depth": 20, "length": 60},
///         "sizes": [{"name": "36", "waist": 68, "hip": 92, "hip_depth": 19.9, "length": 60},
///                   {"name": "38", "waist": 72, "hip": 96, "hip_depth": 20.1, "length": 60}]}"#,
/// )?;
/// let report = request.report()?;
/// assert_eq!(report.choice.unwrap().advised.unwrap().size, "38");
/// assert!(report.alteration.unwrap().holds);
/// assert!(ChartRequest::from_json(r#"{"unit": "cm", "sizes": []}"#).is_err());
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct ChartRequest {
    /// Unit of lengths in the JSON request and in the report.
    pub unit: Unit,
    /// Chart of sizes.
    pub chart: SizeChart,
    /// Ease of every size, in centimetres; without ease no size is drafted.
    pub ease: Option<Ease>,
    /// Rules of construction for every size, lengths in centimetres.
    pub rules: Rules,
    /// Body, in centimetres, for which the report chooses a size and, if the sizes are drafted, gives an alteration.
    pub body: Option<Body>,
    /// Rule by which a size is chosen for the body, in centimetres.
    pub rule: ChoiceRule,
    /// Body to find between sizes: one position between two sizes for its waist, and another position for its hip.
    pub blend: Option<SizeBlend>,
    /// Limits of an alteration, in millimetres.
    pub limits: AlterationLimits,
}

impl ChartRequest {
    /// Reads a request on a chart from JSON text that follows the schema `chart`.
    ///
    /// # Errors
    /// All the [`Problems`] of fields, types and ranges at once, otherwise those of [`SizeChart::new`];
    /// [`Code::TooMany`] for a text over 1 MiB.
    ///
    /// ```
    /// use kirtle::{SizeChart, document::ChartRequest};
    ///
    /// let sizes = r#"[{"name": "S", "waist": 27, "hip": 37, "hip_depth": 8, "length": 24},
    ///                 {"name": "M", "waist": 29, "hip": 39, "hip_depth": 8, "length": 24}]"#;
    /// let request = ChartRequest::from_json(&format!(r#"{{"unit": "in", "sizes": {sizes}}}"#))?;
    /// assert_eq!(request.chart.sizes()[1].name, "M");
    /// assert!((request.chart.sizes()[1].body.waist - 29.0 * 2.54).abs() < 1e-9); // Centimetres from here on.
    ///
    /// let problems = ChartRequest::from_json(&format!(r#"{{"unit": "ft", "sizes": {sizes}}}"#)).unwrap_err();
    /// assert_eq!(problems.to_string(), "unit: \"ft\" is not \"cm\" or \"in\"");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn from_json(text: &str) -> Result<Self, Problems> {
        if text.len() > MAX_CHART_JSON_BYTES {
            let problem = Problem::new(Code::TooMany, "chart").with_value(format!("{} bytes", text.len()));
            return Err(problem.with_limit(format!("{MAX_CHART_JSON_BYTES} bytes")).into());
        }
        Self::from_json_value(&JsonValue::parse_json_text(text, "chart")?)
    }

    pub(super) fn from_json_value(value: &JsonValue) -> Result<Self, Problems> {
        let mut reader = InputReader { unit: None, problems: Vec::new() };
        let read = reader.read_sizes_and_chart_request(value);
        let (sizes, request) = reader.into_result(read)?;
        let chart = SizeChart::new(sizes);
        let chart =
            chart.map_err(|problems| problems.with_values_in_unit(request.unit.name(), request.unit.cm_per_unit()))?;
        Ok(Self { chart, ..request })
    }

    /// Drafts every size; returns `None` if the request has no ease.
    ///
    /// # Errors
    /// As [`SizeChart::draft`]; lengths in the problems are in the request's unit.
    ///
    /// ```
    /// use kirtle::document::ChartRequest;
    ///
    /// let sizes = r#""sizes": [{"name": "S", "waist": 68, "hip": 92, "hip_depth": 20, "length": 60},
    ///                          {"name": "M", "waist": 74, "hip": 98, "hip_depth": 20, "length": 60}]"#;
    /// let plain = ChartRequest::from_json(&format!(r#"{{"unit": "cm", {sizes}}}"#))?;
    /// assert!(plain.range()?.is_none());
    /// let eased = |hip| format!(r#"{{"unit": "cm", {sizes}, "ease": {{"waist": 1.5, "hip": {hip}}}}}"#);
    /// assert_eq!(ChartRequest::from_json(&eased(5))?.range()?.unwrap().drafts().len(), 2);
    ///
    /// let mut tilted = ChartRequest::from_json(&eased(5))?;
    /// tilted.rules.panel_rules.balance = 100.0; // Wider than the quarter of any hip.
    /// assert!(tilted.range().is_err());
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn range(&self) -> Result<Option<SizeRange>, Problems> {
        let range = self.ease.map(|ease| self.chart.draft(&ease, &self.rules)).transpose();
        range.map_err(|problems| self.problems_in_unit(problems))
    }

    /// Drafts every size; returns an error if the request has no ease.
    ///
    /// # Errors
    /// [`Code::Missing`] if the request has no ease; otherwise as [`range`](Self::range).
    ///
    /// ```
    /// use kirtle::document::ChartRequest;
    ///
    /// let sizes = r#""sizes": [{"name": "S", "waist": 68, "hip": 92, "hip_depth": 20, "length": 60},
    ///                          {"name": "M", "waist": 74, "hip": 98, "hip_depth": 20, "length": 60}]"#;
    /// let eased = format!(r#"{{"unit": "cm", {sizes}, "ease": {{"waist": 1.5, "hip": 5}}}}"#);
    /// assert_eq!(ChartRequest::from_json(&eased)?.required_range()?.ease().hip, 5.0);
    /// let plain = ChartRequest::from_json(&format!(r#"{{"unit": "cm", {sizes}}}"#))?;
    /// assert_eq!(plain.required_range().unwrap_err().to_string(), "ease: missing: give a JSON object");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn required_range(&self) -> Result<SizeRange, Problems> {
        self.range()?.ok_or_else(|| Problem::new(Code::Missing, "ease").with_limit(EXPECTED_JSON_OBJECT).into())
    }

    /// Returns the report that answers the request: sizes with grading, chosen size, body between sizes, alteration. For a
    /// body beyond the chart, or a chart with two sizes of equal girths, the report has no alteration.
    ///
    /// # Errors
    /// As [`range`](Self::range), [`SizeChart::between`] and [`SizeRange::alter`]; lengths are in the request's unit.
    ///
    /// ```
    /// use kirtle::document::ChartRequest;
    ///
    /// let sizes = r#""sizes": [{"name": "S", "waist": 68, "hip": 92, "hip_depth": 20, "length": 60},
    ///                          {"name": "M", "waist": 74, "hip": 98, "hip_depth": 20, "length": 60}]"#;
    /// let blend = |hip| format!(r#"{{"unit": "cm", {sizes}, "blend": {{"waist": {{"from": "S"}}, "hip": {{"from": "{hip}"}}}}}}"#);
    /// let report = ChartRequest::from_json(&blend("M"))?.report()?;
    /// assert_eq!(report.between.unwrap().hip, 98.0);
    /// let problems = ChartRequest::from_json(&blend("L"))?.report().unwrap_err();
    /// assert_eq!(problems.to_string(), "blend.hip.from: there is no size \"L\"; the sizes are S, M");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn report(&self) -> Result<ChartReport, Problems> {
        let unit = self.unit;
        let range = self.range()?;
        let choice = self.body.map(|body| self.chart.choose(&body, &self.rule));
        let between = self.blend.as_ref().map(|blend| self.chart.between(blend)).transpose();
        let between = between.map_err(|problems| self.problems_in_unit(problems.with_field_path_prefix("blend.")))?;
        let alteration = match (&range, &self.body, &choice) {
            (Some(range), Some(body), Some(choice))
                if choice.outside.is_empty() && self.chart.has_no_equal_girths() =>
            {
                let alteration = range.alter(body, Some(self.limits));
                Some(alteration.map_err(|problems| self.problems_in_unit(problems))?)
            }
            _ => None,
        };
        let lengths = |k: usize| range.as_ref().map(|range| KeyLengths::new(&range.drafts()[k], unit));
        let sizes = self.chart.sizes().iter().enumerate().map(|(k, size)| SizeReport {
            name: size.name.clone(),
            body: size.body.convert_lengths(Unit::Cm, unit),
            lengths: lengths(k),
        });
        Ok(ChartReport {
            format: FORMAT_VERSION,
            unit,
            sizes: sizes.collect(),
            grade: range.as_ref().map(|range| grade_increment_reports(range, unit)).unwrap_or_default(),
            choice: choice.map(|choice| ChoiceReport::new(&choice, self.ease.as_ref(), unit)),
            between: between.map(|body| body.convert_lengths(Unit::Cm, unit)),
            alteration: alteration.map(|alteration| AlterationReport::new(&alteration, unit)),
        })
    }

    /// Returns the problems with lengths converted from centimetres to the unit of the request.
    fn problems_in_unit(&self, problems: Problems) -> Problems {
        problems.with_values_in_unit(self.unit.name(), self.unit.cm_per_unit())
    }
}

impl InputReader {
    /// Reads a chart request: returns its sizes, and a request with all else and a placeholder chart, in centimetres.
    fn read_sizes_and_chart_request(&mut self, value: &JsonValue) -> Option<(Vec<Size>, ChartRequest)> {
        let names =
            ["format", "unit", "sizes", "ease", "rules", "body", "choose", "blend", "tolerance_mm", "min_step_mm"];
        let [format, unit, sizes, ease, rules, body, choose, blend, tolerance, min_step] =
            self.field_values("chart", "", value, names)?;
        self.check_format(format);
        let unit = self.read_unit(unit);
        self.unit = unit;
        let sizes = self.require_value("sizes", "a list of sizes", sizes);
        let sizes = sizes.and_then(|value| {
            self.read_list("sizes", value, (SizeChart::MAX_SIZES_PER_CHART, "sizes"), Self::read_size)
        });
        let ease = ease.and_then(|value| self.read_named_numbers("ease", value, &Ease::FIELDS)).map(Ease::from_array);
        let rules = rules.and_then(|value| self.read_rules(value));
        let body = body.and_then(|value| self.read_named_numbers("body", value, &Body::FIELDS)).map(Body::from_array);
        let rule = choose.map_or(Some(ChoiceRule::default()), |value| self.read_choice_rule(value));
        let blend = blend.and_then(|value| self.read_blend(value));
        let tolerance_mm = self.read_number("", tolerance, &ALTERATION_TOLERANCE_MM_FIELD);
        let min_step_mm = self.read_number("", min_step, &ALTERATION_MIN_STEP_MM_FIELD);
        let unit = unit?;
        // An optional field that cannot be read leaves a problem, and `into_result` refuses the request.
        let request = ChartRequest {
            unit,
            chart: SizeChart::demo(),
            ease: ease.map(|ease| ease.convert_lengths(unit, Unit::Cm)),
            rules: rules.map(|rules| rules.convert_lengths(unit, Unit::Cm)).unwrap_or_default(),
            body: body.map(|body| body.convert_lengths(unit, Unit::Cm)),
            rule: rule?,
            blend,
            limits: AlterationLimits { tolerance_mm: tolerance_mm?, min_step_mm: min_step_mm? },
        };
        let sizes = sizes?.into_iter().map(|size| Size { body: size.body.convert_lengths(unit, Unit::Cm), ..size });
        Some((sizes.collect(), request))
    }

    fn read_size(&mut self, path: &str, value: &JsonValue) -> Option<Size> {
        let prefix = format!("{path}.");
        let [waist, hip, hip_depth, length] = Body::FIELDS.map(|field| field.name);
        let [name, numbers @ ..] = self.field_values(path, &prefix, value, ["name", waist, hip, hip_depth, length])?;
        let name = self.read_size_name(&format!("{prefix}name"), name);
        let body = self.read_numbers_of_fields(&prefix, numbers, &Body::FIELDS);
        Some(Size { name: name?, body: Body::from_array(body?) })
    }

    /// Reads a string as the name of a size; the characters are checked later, by [`SizeChart::new`].
    fn read_size_name(&mut self, path: &str, value: Option<&JsonValue>) -> Option<String> {
        let expected = "a name on one line";
        match self.require_value(path, expected, value)? {
            JsonValue::String(name) => Some(name.clone()),
            value => self.add_wrong_type_problem(path, value, expected),
        }
    }

    /// Reads the rule of a choice from `by` and `tolerance`; the tolerance becomes centimetres.
    pub(crate) fn read_choice_rule(&mut self, value: &JsonValue) -> Option<ChoiceRule> {
        let [by, tolerance] = self.field_values("choose", "choose.", value, ["by", "tolerance"])?;
        let by = self.read_choice("choose.by", by, &ChoiceGirth::ALL, ChoiceGirth::name);
        let tolerance = self.read_number("choose.", tolerance, &CHOICE_TOLERANCE_FIELD)?;
        let unit = self.unit.unwrap_or_default();
        Some(ChoiceRule { by: by?, tolerance: CHOICE_TOLERANCE_FIELD.kind.convert_unit(tolerance, unit, Unit::Cm) })
    }

    pub(crate) fn read_blend(&mut self, value: &JsonValue) -> Option<SizeBlend> {
        let [waist, hip, hip_depth, length] =
            self.field_values("blend", "blend.", value, ["waist", "hip", "hip_depth", "length"])?;
        let [waist, hip] = [("blend.waist", waist), ("blend.hip", hip)].map(|(path, value)| {
            let value = self.require_value(path, EXPECTED_JSON_OBJECT, value)?;
            self.read_position_between_sizes(path, value)
        });
        let [_, _, depth_field, length_field] = const { &Body::FIELDS };
        let unit = self.unit.unwrap_or_default();
        // A missing length is `Some(None)`, an invalid one `None`.
        let [hip_depth, length] = [(depth_field, hip_depth), (length_field, length)].map(|(field, value)| {
            let Some(_) = value else { return Some(None) };
            let number = self.read_number("blend.", value, field)?;
            Some(Some(field.kind.convert_unit(number, unit, Unit::Cm)))
        });
        Some(SizeBlend { waist: waist?, hip: hip?, hip_depth: hip_depth?, length: length? })
    }

    /// Reads a position between two sizes from `from`, `to` and `fraction`; without `to`, exactly at the size `from`.
    fn read_position_between_sizes(&mut self, path: &str, value: &JsonValue) -> Option<FractionBetweenSizes> {
        let prefix = format!("{path}.");
        let [from, to, fraction] = self.field_values(path, &prefix, value, ["from", "to", "fraction"])?;
        let from = self.read_size_name(&format!("{prefix}from"), from);
        let is_one_size = to.is_none();
        let to = match to {
            None => from.clone(),
            given => self.read_size_name(&format!("{prefix}to"), given),
        };
        // Between two sizes the fraction is required; at one size the fraction is 0.
        let field = Field { default: BLEND_FRACTION_FIELD.default.filter(|_| is_one_size), ..BLEND_FRACTION_FIELD };
        let fraction = self.read_number(&prefix, fraction, &field);
        Some(FractionBetweenSizes { from: from?, to: to?, fraction: fraction? })
    }
}
