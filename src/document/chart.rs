//! The request on a size chart: the chart in JSON, with the questions that the report answers.

use serde_json::json;

use super::json::{JsonValue, to_json_text};
use super::object::{EXPECTED_JSON_OBJECT, ObjectReader, name_schema, read_document};
use super::report::{convert_each, report};
use super::sizes::{AlterationReport, ChoiceReport, GradeIncrementReport, SizeReport};
use crate::body::{Body, Ease, Rules};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, Unit};
use crate::ruler::Ruler;
use crate::sizes::{
    Alteration, AlterationLimits, BLEND_FRACTION_FIELD, ChoiceGirth, ChoiceRule, FractionBetweenSizes, Size, SizeBlend,
    SizeChart, SizeChoice, SizeRange,
};

const MAX_CHART_REQUEST_BYTES: usize = 1 << 20;

/// Request on a size chart: to draft the sizes, choose and alter a size for a body, or find a body between sizes.
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
    /// Size chart.
    pub chart: SizeChart,
    /// Ease of every size, in centimetres; without ease no size is drafted.
    pub ease: Option<Ease>,
    /// Drafting rules for every size, lengths in centimetres.
    pub rules: Rules,
    /// Body, in centimetres, for which the report chooses a size and, if the sizes are drafted, gives an alteration.
    pub body: Option<Body>,
    /// Rule by which a size is chosen for the body; its tolerance is in centimetres.
    pub rule: ChoiceRule,
    /// Body interpolated between sizes: one position between two sizes for its waist, and another position for its hip.
    pub blend: Option<SizeBlend>,
    /// Limits of an alteration, in millimetres: its tolerance, and the largest change that the alteration leaves out.
    pub limits: AlterationLimits,
    /// Ruler, a unit with a rounding step, by which instructions and advice print lengths.
    pub ruler: Ruler,
}

impl ChartRequest {
    /// Reads a request on a chart from JSON text that follows the schema `chart`.
    ///
    /// # Errors
    /// All [`Problems`] of fields, types and ranges, otherwise those of [`SizeChart::new`]; [`Code::TooMany`] for a
    /// text over 1 MiB.
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
        if text.len() > MAX_CHART_REQUEST_BYTES {
            let problem = Problem::new(Code::TooMany, "chart").with_value(format!("{} bytes", text.len()));
            return Err(problem.with_limit(format!("{MAX_CHART_REQUEST_BYTES} bytes")).into());
        }
        let value = JsonValue::parse_json_text(text, "chart")?;
        value.check_kind("chart")?;
        let (sizes, request) = read_document(None, ["chart", ""], &value, read_sizes_and_chart_request)?;
        Ok(Self { chart: request.unit.convert_problems_from_cm(SizeChart::new(sizes))?, ..request })
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
    /// assert!(plain.size_range()?.is_none());
    /// let eased = |hip| format!(r#"{{"unit": "cm", {sizes}, "ease": {{"waist": 1.5, "hip": {hip}}}}}"#);
    /// assert_eq!(ChartRequest::from_json(&eased(5))?.size_range()?.unwrap().drafts().len(), 2);
    ///
    /// let mut tilted = ChartRequest::from_json(&eased(5))?;
    /// tilted.rules.panel_rules.balance = 100.0; // Wider than the quarter of any hip.
    /// assert!(tilted.size_range().is_err());
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn size_range(&self) -> Result<Option<SizeRange>, Problems> {
        self.unit.convert_problems_from_cm(self.ease.map(|ease| self.chart.draft(&ease, &self.rules)).transpose())
    }

    /// Drafts every size; returns an error if the request has no ease.
    ///
    /// # Errors
    /// [`Code::Missing`] if the request has no ease; otherwise as [`size_range`](Self::size_range).
    ///
    /// ```
    /// use kirtle::document::ChartRequest;
    ///
    /// let sizes = r#""sizes": [{"name": "S", "waist": 68, "hip": 92, "hip_depth": 20, "length": 60},
    ///                          {"name": "M", "waist": 74, "hip": 98, "hip_depth": 20, "length": 60}]"#;
    /// let eased = format!(r#"{{"unit": "cm", {sizes}, "ease": {{"waist": 1.5, "hip": 5}}}}"#);
    /// assert_eq!(ChartRequest::from_json(&eased)?.required_size_range()?.ease().hip, 5.0);
    /// let plain = ChartRequest::from_json(&format!(r#"{{"unit": "cm", {sizes}}}"#))?;
    /// assert_eq!(plain.required_size_range().unwrap_err().to_string(), "ease: missing: give a JSON object");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn required_size_range(&self) -> Result<SizeRange, Problems> {
        self.size_range()?.ok_or_else(|| Problem::new(Code::Missing, "ease").with_limit(EXPECTED_JSON_OBJECT).into())
    }

    /// Returns the report that answers the request: sizes with grading, chosen size, body between sizes, alteration.
    /// For a body beyond the chart, or a chart with two sizes of equal girths, the report has no alteration.
    ///
    /// # Errors
    /// As [`size_range`](Self::size_range), [`SizeChart::between`] and [`SizeRange::alter`]; lengths are in the
    /// request's unit.
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
        let range = self.size_range()?;
        let choice = self.body.map(|body| self.chart.choose(&body, &self.rule));
        let between = self.blend.as_ref().map(|blend| self.chart.between(blend)).transpose();
        let in_blend = |problem: Problem| {
            let field = format!("blend.{}", problem.field);
            problem.with_field_path(field)
        };
        let between = unit.convert_problems_from_cm(between.map_err(|problems| problems.map(in_blend)))?;
        let is_within = choice.as_ref().is_some_and(|choice| choice.outside.is_empty());
        let body = self.body.filter(|_| is_within && self.chart.size_order_problems().is_empty());
        let alteration = range.as_ref().zip(body).map(|(range, body)| range.alter(&body, Some(self.limits)));
        let alteration = unit.convert_problems_from_cm(alteration.transpose())?;
        Ok(ChartReport::new(self, range.as_ref(), choice.as_ref(), between, alteration.as_ref(), unit))
    }
}

report! {
    /// Answer to a request on a size chart: sizes, grading, chosen size, body between sizes and alteration.
    #[schemars(title = "Kirtle sizes")]
    ChartReport with format of (
        request: &ChartRequest, range: Option<&SizeRange>, choice: Option<&SizeChoice>, between: Option<Body>,
        alteration: Option<&Alteration>
    ) in unit
    let drafts = range.map_or(&[][..], SizeRange::drafts);
    {
        /// Unit of every length, except lengths in millimetres, whose names end in `_mm`.
        unit: Unit = unit,
        /// Sizes from the smallest to the largest, with key lengths if the request has `ease`.
        sizes: Vec<SizeReport> = request.chart.sizes().iter().enumerate().map(|(k, size)| SizeReport::new(size, drafts.get(k), unit)).collect(),
        /// Movement of each named point from one size to the next larger size; empty unless the request has `ease`.
        grade: Vec<GradeIncrementReport> = range.map(|range| convert_each(&range.grade(), GradeIncrementReport::new, unit)).unwrap_or_default(),
        /// Size chosen for the body; null unless the request has `body`.
        choice: Option<ChoiceReport> = choice.map(|choice| ChoiceReport::new(choice, request.ease.as_ref(), request.ruler, unit)),
        /// Measurements of the body between sizes; null unless the request has `blend`.
        between: Option<Body> = between.map(|body| body.convert_lengths(Unit::Cm, unit)),
        /// Alteration on paper for the body; null unless the request has `ease` and a `body` within the chart, and no
        /// two sizes have equal girths.
        alteration: Option<AlterationReport> = alteration.map(|alteration| AlterationReport::new(alteration, request.ruler, unit)),
    }
}

impl SizeChart {
    /// Returns the chart as JSON that follows the schema `chart`, with lengths in `unit`.
    ///
    /// ```
    /// use kirtle::{SizeChart, Unit, document::ChartRequest};
    ///
    /// let chart = SizeChart::demo();
    /// assert_eq!(ChartRequest::from_json(&chart.to_json(Unit::Cm))?.chart, chart);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn to_json(&self, unit: Unit) -> String {
        let in_unit = |size: &Size| Size {
            body: size.body.map_fields(|field, cm| field.kind.given_number(cm, unit)),
            ..size.clone()
        };
        let sizes: Vec<Size> = self.sizes().iter().map(in_unit).collect();
        format!("{{\"unit\":{},\"sizes\":{}}}", to_json_text(&unit), to_json_text(&sizes))
    }
}

/// Reads a chart request, and converts its lengths to centimetres. Returns the sizes, and the request with a
/// placeholder in place of its chart; `None` if a required field is missing or invalid.
pub(super) fn read_sizes_and_chart_request(request: &mut ObjectReader) -> Option<(Vec<Size>, ChartRequest)> {
    let unit = request.check_format_and_read_unit();
    let texts = ["Size", "Size: a name with body measurements.", "Sizes of the chart, in any order."];
    let sizes = request.read_list("sizes", true, (SizeChart::MAX_SIZES_PER_CHART, "sizes"), texts, read_size);
    if let Some(schema) = request.schema_being_built() {
        schema["properties"]["sizes"]["minItems"] = json!(2);
    }
    let text = "Ease of every size; without ease no size is drafted.";
    let ease = request.read_object("ease", false, ["Ease", text], |ease| ease.read_numbers(&Ease::FIELDS));
    let rules = request.read_rules_field();
    let text = "Body for which a size is chosen and, if the sizes are drafted, the pattern is altered.";
    let body = request.read_object("body", false, ["Body", text], |body| body.read_numbers(&Body::FIELDS));
    let text = "Rule by which a size is chosen for the body.";
    let rule = request.read_object("choose", false, ["ChoiceRule", text], read_size_choice_rule);
    let text = "Body interpolated between sizes: a position for its waist and a position for its hip; by default hip depth and length are those at the position of the hip.";
    let blend = request.read_object("blend", false, ["Blend", text], read_size_blend);
    let limits = request.read_numbers(&AlterationLimits::FIELDS);
    let given_ruler = request
        .read_ruler("The ruler prints the lengths in the instructions of an alteration and in the advice on a size.");
    let unit = unit?;
    // An optional field that cannot be read leaves a problem, and `read_document` refuses the request.
    let request = ChartRequest {
        unit,
        chart: SizeChart::demo(),
        ease: ease.map(|ease| Ease::from_array(ease).convert_lengths(unit, Unit::Cm)),
        rules: rules.map(|rules| rules.convert_lengths(unit, Unit::Cm)).unwrap_or_default(),
        body: body.map(|body| Body::from_array(body).convert_lengths(unit, Unit::Cm)),
        rule: rule.unwrap_or_default(),
        blend,
        limits: AlterationLimits::from_array(limits?).convert_lengths(unit, Unit::Cm),
        ruler: given_ruler.unwrap_or_else(|| unit.into()),
    };
    Some((sizes?, request))
}

/// Reads a size, and converts its measurements to centimetres.
pub(super) fn read_size(size: &mut ObjectReader) -> Option<Size> {
    let name = size.field_value("name", true, |_| {
        let mut name = name_schema("Name of the size, on one line, without spaces at the ends.");
        (name["minLength"], name["pattern"]) = (json!(1), json!("^[^\\s\\ufeff](.*[^\\s\\ufeff])?$"));
        name
    });
    let name = read_size_name(size, "name", name);
    let body = size.read_numbers(&Body::FIELDS);
    Some(Size { name: name?, body: Body::from_array(body?).convert_lengths(size.length_unit(), Unit::Cm) })
}

/// Reads a string as the name of a size; the characters are checked later, by [`SizeChart::new`].
fn read_size_name(object: &mut ObjectReader, field: &str, value: Option<&JsonValue>) -> Option<String> {
    let expected = "a name on one line";
    let value = value.or_else(|| object.add_problem_if_required(field, true, expected))?;
    let advice = match value {
        JsonValue::Number(number) => format!("{expected}: give the text \"{number}\""),
        _ => expected.to_owned(),
    };
    object.check_text(field, value, &advice)
}

/// Reads from `by` and `tolerance` the rule that chooses a size for a body; converts the tolerance to centimetres.
pub(crate) fn read_size_choice_rule(rule: &mut ObjectReader) -> Option<ChoiceRule> {
    let (text, default) =
        ("Girth by which the size is chosen: `hip`, `waist` or `both`.", Some(ChoiceGirth::default()));
    let by = rule.read_choice("by", default, &ChoiceGirth::ALL, ChoiceGirth::name, text);
    let tolerance = ChoiceRule::from_array(rule.read_numbers(&ChoiceRule::FIELDS)?);
    Some(ChoiceRule { by: by?, ..tolerance.convert_lengths(rule.length_unit(), Unit::Cm) })
}

/// Reads the field `blend`, a body between sizes; converts its hip depth and length to centimetres.
pub(crate) fn read_size_blend(blend: &mut ObjectReader) -> Option<SizeBlend> {
    let text = "Position between two sizes: the names of both, and the fraction of the way from first to second.";
    let [waist, hip] =
        ["waist", "hip"].map(|girth| blend.read_object(girth, true, ["Position", text], read_size_pair_and_fraction));
    let [_, _, depth, length] = const { &Body::FIELDS };
    let unit = blend.length_unit();
    let [hip_depth, length] = [depth, length].map(|field| {
        let number = blend.read_optional_number(field)?;
        Some(field.kind.convert_unit(number, unit, Unit::Cm))
    });
    Some(SizeBlend { waist: waist?, hip: hip?, hip_depth, length })
}

/// Reads a position between two sizes: `from`, `to` and `fraction`; without `to`, the size `from` itself.
fn read_size_pair_and_fraction(position: &mut ObjectReader) -> Option<FractionBetweenSizes> {
    let schema = |text: &str| json!({"type": "string", "description": text});
    let from = position.field_value("from", true, |_| schema("Name of the size at fraction 0."));
    let from = read_size_name(position, "from", from);
    let text = "Name of the size at fraction 1; by default the size `from`.";
    let to = position.field_value("to", false, |_| schema(text));
    let to_name = if to.is_some() { read_size_name(position, "to", to) } else { from.clone() };
    if let Some(schema) = position.schema_being_built() {
        schema["dependentRequired"] = json!({"to": ["fraction"]});
    }
    // Between two sizes the fraction is required; at one size the fraction is 0.
    let default = to.is_none().then_some(0.0);
    let fraction = position.read_number(&Field { default, ..BLEND_FRACTION_FIELD });
    Some(FractionBetweenSizes { from: from?, to: to_name?, fraction: fraction? })
}
