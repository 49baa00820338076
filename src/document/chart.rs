//! Reading a chart of sizes, and what is asked of it.

use super::node::Node;
use super::reader::Reader;
use super::sizes::ChartReport;
use crate::body::{Body, Ease, Rules};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::sizes::{
    BY, BetweenSizes, Blend, Correction, CorrectionSite, CorrectionTarget, FRACTION, Fitting, Size, SizeChart,
    SizeRange,
};

/// The longest chart that is read, in bytes.
const LONGEST_CHART: usize = 1 << 20;

/// The row of the tolerance of an alteration.
pub(crate) const TOLERANCE: Field = Field::new(
    "tolerance_mm",
    "What an alteration on paper may cost, in millimetres.",
    FieldKind::Millimetres,
    (0.1, 50.0),
    (0.1, 50.0),
)
.or(crate::sizes::TOLERANCE_MM);

/// The fields of a chart, in their order.
pub(super) const CHART: [&str; 8] = ["format", "unit", "sizes", "ease", "rules", "body", "blend", "tolerance_mm"];

/// A chart, and what is asked of it.
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
/// assert_eq!(report.choice.unwrap().overall.size, "38");
/// assert!(report.alteration.unwrap().holds);
/// assert!(ChartRequest::from_json(r#"{"unit": "cm", "sizes": []}"#).is_err());
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct ChartRequest {
    /// The unit of every length, in and out.
    pub unit: Unit,
    /// The chart.
    pub chart: SizeChart,
    /// The ease of every size, in centimetres; where it is given the sizes are drafted.
    pub ease: Option<Ease>,
    /// The rules of every size, in centimetres.
    pub rules: Rules,
    /// A body to be chosen for, in centimetres, and where the sizes are drafted, to be altered for.
    pub body: Option<Body>,
    /// A place between sizes.
    pub blend: Option<Blend>,
    /// What an alteration may cost, in millimetres.
    pub tolerance_mm: f64,
}

impl ChartRequest {
    /// Reads a chart in JSON, as the schema `chart` says.
    ///
    /// # Errors
    /// All that is wrong with its form and its ranges, and with the chart; [`Code::TooMany`] for a text over 1 MiB.
    ///
    /// ```
    /// use kirtle::SizeChart;
    /// use kirtle::document::ChartRequest;
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
        if text.len() > LONGEST_CHART {
            let problem = Problem::new(Code::TooMany, "chart").with_value(format!("{} bytes", text.len()));
            return Err(problem.with_limit(format!("{LONGEST_CHART} bytes")).into());
        }
        Self::from_node(&Node::parse(text, "chart")?)
    }

    pub(crate) fn from_node(node: &Node) -> Result<Self, Problems> {
        let mut reader = Reader { unit: None, problems: Vec::new() };
        let read = reader.chart(node);
        let (sizes, request) = reader.finish(read)?;
        let chart = SizeChart::new(sizes);
        let chart = chart.map_err(|problems| problems.in_unit(request.unit.name(), request.unit.cm_per_unit()))?;
        Ok(Self { chart, ..request })
    }

    /// Drafts every size; none where no ease is given.
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
    /// tilted.rules.panel_rules.balance = 100.0; // No quarter of a hip has that.
    /// assert!(tilted.range().is_err());
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn range(&self) -> Result<Option<SizeRange>, Problems> {
        let range = self.ease.map(|ease| self.chart.draft(&ease, &self.rules)).transpose();
        range.map_err(|problems| self.in_own_unit(problems))
    }

    /// Drafts every size.
    ///
    /// # Errors
    /// [`Code::Missing`] where no ease is given; else as [`range`](Self::range).
    ///
    /// ```
    /// use kirtle::document::ChartRequest;
    ///
    /// let sizes = r#""sizes": [{"name": "S", "waist": 68, "hip": 92, "hip_depth": 20, "length": 60},
    ///                          {"name": "M", "waist": 74, "hip": 98, "hip_depth": 20, "length": 60}]"#;
    /// let eased = format!(r#"{{"unit": "cm", {sizes}, "ease": {{"waist": 1.5, "hip": 5}}}}"#);
    /// assert_eq!(ChartRequest::from_json(&eased)?.drafted()?.ease().hip, 5.0);
    /// let plain = ChartRequest::from_json(&format!(r#"{{"unit": "cm", {sizes}}}"#))?;
    /// assert_eq!(plain.drafted().unwrap_err().to_string(), "ease: missing; give an object");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn drafted(&self) -> Result<SizeRange, Problems> {
        self.range()?.ok_or_else(|| Problem::new(Code::Missing, "ease").with_limit("an object").into())
    }

    /// Everything that is asked: the sizes' tables, the choice, the place between, the alteration.
    ///
    /// # Errors
    /// As [`range`](Self::range), [`SizeChart::between`] and [`Range::alter`]. A body beyond the chart has a choice, which says
    /// by how much, and no alteration.
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
    /// assert_eq!(problems.to_string(), "blend.hip.from: \"L\" is none of the sizes S, M");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn report(&self) -> Result<ChartReport, Problems> {
        ChartReport::new(self).map_err(|problems| self.in_own_unit(problems))
    }

    fn in_own_unit(&self, problems: Problems) -> Problems {
        problems.in_unit(self.unit.name(), self.unit.cm_per_unit())
    }
}

impl Reader {
    /// The sizes in centimetres, and the rest around an empty chart.
    fn chart(&mut self, node: &Node) -> Option<(Vec<Size>, ChartRequest)> {
        let [format, unit, sizes, ease, rules, body, blend, tolerance] = self.object("chart", "", node, CHART)?;
        self.format(format);
        let unit = self.choose_unit(unit);
        self.unit = unit;
        let sizes = self.required("sizes", "a list of sizes", sizes);
        let sizes = sizes.and_then(|node| self.list("sizes", node, (SizeChart::MAX_SIZES, "sizes"), Self::size));
        let ease = ease.map(|node| self.numbers("ease", node, &Ease::FIELDS).map(Ease::from_array));
        let rules = rules.map(|node| self.rules(node));
        let body = body.map(|node| self.numbers("body", node, &Body::FIELDS).map(Body::from_array));
        let blend = blend.map(|node| self.blend(node));
        let tolerance_mm = self.row("", tolerance, &TOLERANCE);
        let unit = unit?;
        // What was given and could not be read has left a problem.
        let request = ChartRequest {
            unit,
            chart: SizeChart::demo(),
            ease: ease.flatten().map(|ease| ease.convert(unit, Unit::Cm)),
            rules: rules.flatten().map(|rules| rules.convert(unit, Unit::Cm)).unwrap_or_default(),
            body: body.flatten().map(|body| body.convert(unit, Unit::Cm)),
            blend: blend.flatten(),
            tolerance_mm: tolerance_mm?,
        };
        let sizes = sizes?.into_iter().map(|size| Size { body: size.body.convert(unit, Unit::Cm), ..size });
        Some((sizes.collect(), request))
    }

    fn size(&mut self, path: &str, node: &Node) -> Option<Size> {
        let inner = format!("{path}.");
        let [waist, hip, hip_depth, length] = Body::FIELDS.map(|field| field.name);
        let [name, numbers @ ..] = self.object(path, &inner, node, ["name", waist, hip, hip_depth, length])?;
        let name = self.text(&format!("{inner}name"), name);
        let body = self.rows(&inner, numbers, &Body::FIELDS);
        Some(Size { name: name?, body: Body::from_array(body?) })
    }

    fn text(&mut self, path: &str, node: Option<&Node>) -> Option<String> {
        let wanted = "a name on one line";
        match self.required(path, wanted, node)? {
            Node::Text(text) => Some(text.clone()),
            node => {
                self.wrong_type(path, node, wanted);
                None
            }
        }
    }

    /// A blend, its lengths in centimetres.
    pub(crate) fn blend(&mut self, node: &Node) -> Option<Blend> {
        let [waist, hip, hip_depth, length] =
            self.object("blend", "blend.", node, ["waist", "hip", "hip_depth", "length"])?;
        let [waist, hip] = [("blend.waist", waist), ("blend.hip", hip)].map(|(path, node)| {
            let node = self.required(path, "an object", node)?;
            self.mark(path, node)
        });
        let [_, _, depth_row, length_row] = const { &Body::FIELDS };
        let unit = self.unit.unwrap_or_default();
        let [hip_depth, length] = [(depth_row, hip_depth), (length_row, length)].map(|(field, node)| {
            node.map(|node| {
                self.row("blend.", Some(node), field).map(|value| field.kind.convert(value, unit, Unit::Cm))
            })
        });
        let own = |value: Option<Option<f64>>| value.map_or(Some(None), |read| read.map(Some));
        Some(Blend { waist: waist?, hip: hip?, hip_depth: own(hip_depth)?, length: own(length)? })
    }

    /// Corrections in the reader's unit.
    pub(crate) fn corrections(&mut self, node: &Node) -> Option<Vec<Correction>> {
        self.list("corrections", node, (Fitting::MAX_CORRECTIONS, "corrections"), Self::correction)
    }

    fn correction(&mut self, path: &str, node: &Node) -> Option<Correction> {
        let inner = format!("{path}.");
        let [what, by, at] = self.object(path, &inner, node, ["what", "by", "at"])?;
        let wanted = "what it changes";
        let what = self.required(&format!("{inner}what"), wanted, what);
        let what = what.and_then(|node| {
            self.choice(&format!("{inner}what"), Some(node), &CorrectionTarget::ALL, CorrectionTarget::name)
        });
        let by = self.row(&inner, by, &BY);
        let at = self.choice(&format!("{inner}at"), at, &CorrectionSite::ALL, CorrectionSite::name);
        Some(Correction { what: what?, by: by?, at: at? })
    }

    fn mark(&mut self, path: &str, node: &Node) -> Option<BetweenSizes> {
        let inner = format!("{path}.");
        let [from, to, fraction] = self.object(path, &inner, node, ["from", "to", "fraction"])?;
        let from = self.text(&format!("{inner}from"), from);
        let to_is_from = to.is_none();
        let to = match to {
            None => from.clone(),
            given => self.text(&format!("{inner}to"), given),
        };
        // Between two sizes a fraction must be told; at one it is none.
        let told = Field { default: FRACTION.default.filter(|_| to_is_from), ..FRACTION };
        let fraction = self.row(&inner, fraction, &told);
        Some(BetweenSizes { from: from?, to: to?, fraction: fraction? })
    }
}
