//! What is told of a chart of sizes, as plain numbers in the unit that was asked for.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::FORMAT;
use super::chart::ChartRequest;
use super::report::{DartReport, EdgeReport, report};
use crate::body::Body;
use crate::draft::{Draft, Panel, Role};
use crate::error::Problems;
use crate::field::Unit;
use crate::sizes::{Alteration, Change, Choice, Cost, GradeIncrement, SizeDifference, SizeRange, StepKind};

/// What is told of a chart.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Kirtle sizes")]
pub struct ChartReport {
    /// The version of this format.
    #[schemars(extend("const" = FORMAT))]
    pub format: u32,
    /// The unit of every length but those in millimetres.
    pub unit: Unit,
    /// The sizes from the smallest to the largest, with their key lengths where they were drafted.
    pub sizes: Vec<SizeReport>,
    /// How far each named point moves from size to size, where they were drafted.
    pub grade: Vec<GradeIncrementReport>,
    /// The nearest sizes of the body, if one was given.
    pub choice: Option<ChoiceReport>,
    /// The body of the blend, if one was given.
    pub between: Option<Body>,
    /// The alteration for the body, if one was given that is not beyond the chart, and the sizes were drafted.
    pub alteration: Option<AlterationReport>,
}

/// A size, and its key lengths.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SizeReport {
    /// Its name.
    pub name: String,
    /// Its body.
    pub body: Body,
    /// Its key lengths, where it was drafted.
    pub lengths: Option<KeyLengths>,
}

report! {
    /// The key lengths of a drafted size.
    KeyLengths as "KeyLengths" {
        /// What half the garment loses from hip to waist.
        suppression: f64,
        /// What each side edge loses of it.
        side: f64,
        /// Width of the back at the hip line.
        back_width: f64,
        /// Width of the front at the hip line.
        front_width: f64,
        /// The intakes of the back's darts.
        back_darts: Vec<f64>,
        /// The intakes of the front's darts.
        front_darts: Vec<f64>,
        /// The side seam, along it.
        side_seam: f64,
        /// The centre back, from waist to hem.
        centre_back: f64,
        /// The centre front, from waist to hem.
        centre_front: f64,
    }
}

report! {
    /// How far a point moves from one size to the next: x away from the centre line, y down from the hip line.
    GradeIncrementReport as "GradeIncrement" {
        /// The panel: `back` or `front`.
        panel: String,
        /// The point, such as `side_waist` or `dart_1_tip`.
        point: String,
        /// The smaller size.
        smaller: String,
        /// The larger size.
        larger: String,
        /// How far it moves; none where only one of the sizes has it.
        step: Option<[f64; 2]>,
    }
}

report! {
    /// A size, and by how much it misses the body.
    SizeDifferenceReport as "SizeDifference" {
        /// The size.
        size: String,
        /// Its waist less the body's.
        waist: f64,
        /// Its hip less the body's.
        hip: f64,
    }
}

report! {
    /// The way from a body to the sizes.
    ChoiceReport as "Choice" {
        /// The size with the nearest waist.
        waist: SizeDifferenceReport,
        /// The size with the nearest hip.
        hip: SizeDifferenceReport,
        /// The size whose larger miss is the least.
        overall: SizeDifferenceReport,
        /// The smallest size with no girth more than half a centimetre smaller than the body's, if there is one.
        advised: Option<SizeDifferenceReport>,
        /// Whether a girth lies beyond the chart.
        outside: bool,
        /// What to do, in plain words.
        advice: String,
    }
}

report! {
    /// A step of an alteration.
    StepReport as "Step" {
        /// What it does: `waist`, `hip`, `hip_line` or `hem`.
        kind: String,
        /// The cost after it, beside an exact draft of what the pattern is meant to be by then.
        cost: Cost,
    }
}

report! {
    /// A panel as altered on paper.
    AlteredReport as "Altered" {
        /// The darts.
        darts: Vec<DartReport>,
        /// The outline.
        edges: Vec<EdgeReport>,
    }
}

report! {
    /// An alteration on paper, carried out and set beside the exact redraft.
    AlterationReport as "AlterationReport" {
        /// What to do, a step each.
        instructions: Vec<String>,
        /// What each part of it costs.
        steps: Vec<StepReport>,
        /// What all of it costs.
        cost: Cost,
        /// The largest of that in millimetres; none where the redraft has another number of darts.
        largest_mm: Option<f64>,
        /// What it may cost.
        tolerance_mm: f64,
        /// Whether it costs no more.
        holds: bool,
        /// The step that costs most, where it costs too much.
        costliest: Option<String>,
        /// What it costs, in plain words.
        verdict: String,
        /// The altered back.
        back: AlteredReport,
        /// The altered front.
        front: AlteredReport,
    }
}

report! {
    /// A number that a correction changed.
    ChangeReport as "Change" {
        /// Its path in a request.
        field: String,
        /// What it was; none where it was not given.
        before: Option<f64>,
        /// What it is.
        after: f64,
    }
}

impl ChartReport {
    /// What is told of a chart, with problems in centimetres.
    pub(super) fn new(request: &ChartRequest) -> Result<Self, Problems> {
        let unit = request.unit;
        let range = request.range()?;
        let choice = request.body.map(|body| request.chart.choose(&body));
        let between = request.blend.as_ref().map(|blend| request.chart.between(blend)).transpose();
        let between = between.map_err(|problems| problems.within("blend."))?;
        let alteration = match (&range, &request.body, &choice) {
            (Some(range), Some(body), Some(choice)) if choice.outside.is_empty() => {
                Some(range.alter(body, Some(request.tolerance_mm))?)
            }
            _ => None,
        };
        let lengths = |k: usize| range.as_ref().map(|range| KeyLengths::new(&range.drafts()[k], unit));
        let sizes = request.chart.sizes().iter().enumerate().map(|(k, size)| SizeReport {
            name: size.name.clone(),
            body: size.body.convert(Unit::Cm, unit),
            lengths: lengths(k),
        });
        Ok(Self {
            format: FORMAT,
            unit,
            sizes: sizes.collect(),
            grade: range.as_ref().map(|range| grade(range, unit)).unwrap_or_default(),
            choice: choice.map(|choice| ChoiceReport::new(&choice, unit)),
            between: between.map(|body| body.convert(Unit::Cm, unit)),
            alteration: alteration.map(|alteration| AlterationReport::new(&alteration, unit)),
        })
    }

    /// The report as JSON text.
    #[must_use]
    pub fn to_json(&self) -> String {
        super::text(self)
    }
}

pub(crate) fn grade(range: &SizeRange, unit: Unit) -> Vec<GradeIncrementReport> {
    let told = |one: GradeIncrement| GradeIncrementReport {
        panel: one.half.name().to_owned(),
        point: one.point,
        smaller: one.from,
        larger: one.to,
        step: one.step.map(|step| step.map(|length| unit.length_from_cm(length))),
    };
    range.grade().into_iter().map(told).collect()
}

impl KeyLengths {
    pub(crate) fn new(draft: &Draft, unit: Unit) -> Self {
        let intakes = |panel: &Panel| panel.darts.iter().map(|dart| unit.length_from_cm(dart.intake)).collect();
        let length = |panel: &Panel, role| unit.length_from_cm(panel.length(role));
        Self {
            suppression: unit.length_from_cm(draft.suppression.total),
            side: unit.length_from_cm(draft.suppression.side / 2.0),
            back_width: unit.length_from_cm(draft.back.width),
            front_width: unit.length_from_cm(draft.front.width),
            back_darts: intakes(&draft.back),
            front_darts: intakes(&draft.front),
            side_seam: length(&draft.back, Role::Side),
            centre_back: length(&draft.back, Role::Centre),
            centre_front: length(&draft.front, Role::Centre),
        }
    }
}

impl ChoiceReport {
    pub(crate) fn new(choice: &Choice, unit: Unit) -> Self {
        let near = |near: &SizeDifference| SizeDifferenceReport {
            size: near.size.clone(),
            waist: unit.length_from_cm(near.waist),
            hip: unit.length_from_cm(near.hip),
        };
        Self {
            waist: near(&choice.waist),
            hip: near(&choice.hip),
            overall: near(&choice.overall),
            advised: choice.advised.as_ref().map(near),
            outside: !choice.outside.is_empty(),
            advice: choice.advice(unit),
        }
    }
}

impl AlterationReport {
    pub(crate) fn new(alteration: &Alteration, unit: Unit) -> Self {
        let altered = |panel: &Panel| AlteredReport {
            darts: panel.darts.iter().map(|dart| DartReport::new(dart, unit)).collect(),
            edges: panel.edges.iter().map(|edge| EdgeReport::new(edge, unit)).collect(),
        };
        let steps =
            alteration.steps.iter().map(|step| StepReport { kind: step.kind.name().to_owned(), cost: step.cost });
        let largest_mm = alteration.cost.largest_mm();
        Self {
            instructions: alteration.instructions(unit),
            steps: steps.collect(),
            cost: alteration.cost,
            largest_mm: largest_mm.is_finite().then_some(largest_mm),
            tolerance_mm: alteration.tolerance_mm,
            holds: alteration.holds(),
            costliest: alteration.costliest().map(StepKind::name).map(str::to_owned),
            verdict: alteration.verdict(),
            back: altered(&alteration.back),
            front: altered(&alteration.front),
        }
    }
}

impl ChangeReport {
    /// A change in `unit`; shares of a place stay what they are.
    pub(crate) fn new(change: &Change, unit: Unit) -> Self {
        let is_share = change.field.rsplit('.').next() == Some("place");
        let shown = |value: f64| if is_share { value } else { unit.length_from_cm(value) };
        Self { field: change.field.clone(), before: change.before.map(shown), after: shown(change.after) }
    }
}
