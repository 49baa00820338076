//! Reports on a chart of sizes, on alterations and on corrections, lengths in the unit of the document.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::json::{FORMAT_VERSION, to_json_text};
use super::panel::{DartReport, EdgeReport, report_struct};
use crate::body::{Body, Ease};
use crate::draft::{Draft, Panel, Role};
use crate::field::Unit;
use crate::sizes::{Alteration, Cost, GradeIncrement, InputChange, SizeChoice, SizeDifference, SizeRange};

/// Answer to a request on a chart of sizes: sizes, grading, chosen size, body between sizes and alteration.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "Kirtle sizes")]
pub struct ChartReport {
    /// Version of the document format.
    #[schemars(extend("const" = FORMAT_VERSION))]
    pub format: u32,
    /// Unit of every length, except lengths in millimetres, whose names end in `_mm`.
    pub unit: Unit,
    /// Sizes from the smallest to the largest, with key lengths if the request has `ease`.
    pub sizes: Vec<SizeReport>,
    /// Movement of each named point from one size to the next larger size; empty unless the request has `ease`.
    pub grade: Vec<GradeIncrementReport>,
    /// Size chosen for the body; null unless the request has `body`.
    pub choice: Option<ChoiceReport>,
    /// Measurements of the body between sizes; null unless the request has `blend`.
    pub between: Option<Body>,
    /// Alteration on paper for the body; null unless the request has `ease` and a `body` within the chart, and no two
    /// sizes have equal girths.
    pub alteration: Option<AlterationReport>,
}

/// Size of a chart, with key lengths if the size is drafted.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SizeReport {
    /// Name of the size.
    pub name: String,
    /// Body measurements of the size.
    pub body: Body,
    /// Key lengths of the drafted size; null unless the request has `ease`.
    pub lengths: Option<KeyLengths>,
}

report_struct! {
    /// Key lengths of a drafted size.
    KeyLengths as "KeyLengths" {
        /// Suppression of half the garment between hip and waist, as drafted.
        suppression: f64,
        /// Suppression by the side edge of one panel, as drafted.
        side: f64,
        /// Width of the back panel at the hip line.
        back_width: f64,
        /// Width of the front panel at the hip line.
        front_width: f64,
        /// Intake of each back dart, from the centre line to the side seam.
        back_darts: Vec<f64>,
        /// Intake of each front dart, from the centre line to the side seam.
        front_darts: Vec<f64>,
        /// Length of the side seam from waist to hem, along the curve.
        side_seam: f64,
        /// Length of the centre back from waist to hem.
        centre_back: f64,
        /// Length of the centre front from waist to hem.
        centre_front: f64,
    }
}

report_struct! {
    /// Movement of a named point of a panel from one size to the next larger size.
    GradeIncrementReport as "GradeIncrement" {
        /// Panel of the point: `back` or `front`.
        panel: String,
        /// Name of the point, such as `side_waist` or `dart_1_tip`.
        point: String,
        /// Name of the smaller size.
        smaller: String,
        /// Name of the larger size.
        larger: String,
        /// Movement (x, y) of the point: x away from the centre line, y downwards relative to the hip line; null if
        /// only one of the two sizes has the point.
        step: Option<[f64; 2]>,
    }
}

report_struct! {
    /// Difference between a size and a body, positive where the size is larger.
    SizeDifferenceReport as "SizeDifference" {
        /// Name of the size.
        size: String,
        /// Waist of the size minus waist of the body.
        waist: f64,
        /// Hip of the size minus hip of the body.
        hip: f64,
    }
}

report_struct! {
    /// Size of a chart chosen for a body, and the sizes that give waist and hip of its pattern.
    ChoiceReport as "Choice" {
        /// Girth by which the size is chosen: `hip`, `waist` or `both`.
        by: String,
        /// Largest amount by which the body may exceed the girth of the size.
        tolerance: f64,
        /// Size to take; null if the girth of the rule is outside the chart.
        advised: Option<SizeDifferenceReport>,
        /// Size that gives the waist: the advised size, or the size to whose waist the advised size is blended.
        waist: SizeDifferenceReport,
        /// Size that gives the hip: the advised size, or the size to whose hip the advised size is blended.
        hip: SizeDifferenceReport,
        /// Change of the pattern's waist: positive lets out, negative takes in.
        waist_by: f64,
        /// Change of the pattern's hip: positive lets out, negative takes in.
        hip_by: f64,
        /// Number of sizes from the size of the waist to the size of the hip.
        sizes_apart: usize,
        /// Whether an individual draft is better: no size is advised, or too much of the pattern changes.
        individual: bool,
        /// Whether the body's waist or hip is outside the chart: below the smallest or above the largest size.
        outside: bool,
        /// Advice in plain English on the size to take and on what is altered, with the rule.
        advice: String,
    }
}

report_struct! {
    /// Step of an alteration on paper.
    StepReport as "Step" {
        /// Part of the pattern that the step alters: `waist`, `hip`, `hip_line`, `darts`, `side` or `hem`.
        kind: String,
        /// Number of the step in the instructions and in the drawing; null if the step is left out.
        number: Option<usize>,
        /// Amount of the step: the girth minus that of the nearest size, or the downward movement of the line or dart tips.
        by: f64,
        /// Cost after the step: deviations from an exact draft of the pattern intended after the step.
        cost: Cost,
    }
}

report_struct! {
    /// Difference between a pattern altered on paper and an exact draft, at one place.
    PlaceDifferenceReport as "PlaceDifference" {
        /// Name of the place, such as `side seam`.
        place: String,
        /// Largest difference at the place, in millimetres.
        mm: f64,
        /// Kind of the step after which the difference grows most.
        step: String,
    }
}

report_struct! {
    /// Panel as altered on paper.
    AlteredReport as "Altered" {
        /// Darts of the altered panel, from the centre line to the side seam.
        darts: Vec<DartReport>,
        /// Edges of the closed outline of the altered panel.
        edges: Vec<EdgeReport>,
    }
}

report_struct! {
    /// Alteration of a nest of sizes on paper for one body, compared with an exact draft of the body.
    AlterationReport as "AlterationReport" {
        /// Instructions for the alteration in plain English, in the order of the work.
        instructions: Vec<String>,
        /// Changes left out because they are at most the smallest step, in plain English.
        left_out: Vec<String>,
        /// Steps of the alteration in order, done or left out, with the cost after each step.
        steps: Vec<StepReport>,
        /// Cost of the whole alteration: deviations from the exact redraft, in millimetres.
        cost: Cost,
        /// Largest deviation from the exact redraft, in millimetres; null if the numbers of darts differ.
        largest_mm: Option<f64>,
        /// Largest difference at which seams sew together, and at which the pattern is close to an exact draft.
        tolerance_mm: f64,
        /// Largest change that is left out, in millimetres.
        min_step_mm: f64,
        /// Whether the pattern sews together: waist to waist and side to side, within the tolerance.
        sews: bool,
        /// Whether the largest deviation from the exact draft is within the tolerance.
        holds: bool,
        /// Places where the pattern differs from the exact draft, the farthest first.
        differences: Vec<PlaceDifferenceReport>,
        /// Whether and how well the pattern sews together, in plain English.
        sewing_verdict: String,
        /// How far the pattern is from an exact draft, by place and step, in plain English.
        difference_verdict: String,
        /// Back panel as altered.
        back: AlteredReport,
        /// Front panel as altered.
        front: AlteredReport,
    }
}

report_struct! {
    /// Number of a request that the corrections changed.
    ChangeReport as "Change" {
        /// Path of the number in the request, such as `ease.waist`.
        field: String,
        /// Value before the corrections; null if the request did not give the number.
        before: Option<f64>,
        /// Value after the corrections.
        after: f64,
    }
}

impl ChartReport {
    /// Returns the report as JSON text.
    #[must_use]
    pub fn to_json(&self) -> String {
        to_json_text(self)
    }
}

/// Returns how far each named point moves from each size to the next larger size, in `unit`.
pub(crate) fn grade_increment_reports(range: &SizeRange, unit: Unit) -> Vec<GradeIncrementReport> {
    let report = |increment: GradeIncrement| GradeIncrementReport {
        panel: increment.half.name().to_owned(),
        point: increment.point,
        smaller: increment.from,
        larger: increment.to,
        step: increment.step.map(|step| step.map(|length| unit.length_from_cm(length))),
    };
    range.grade().into_iter().map(report).collect()
}

impl KeyLengths {
    pub(crate) fn new(draft: &Draft, unit: Unit) -> Self {
        let intakes = |panel: &Panel| panel.darts.iter().map(|dart| unit.length_from_cm(dart.intake)).collect();
        let length = |panel: &Panel, role| unit.length_from_cm(panel.edge_length(role));
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
    pub(crate) fn new(choice: &SizeChoice, ease: Option<&Ease>, unit: Unit) -> Self {
        let report = |difference: &SizeDifference| SizeDifferenceReport {
            size: difference.size.clone(),
            waist: unit.length_from_cm(difference.waist),
            hip: unit.length_from_cm(difference.hip),
        };
        let [waist_by, hip_by] = choice.alterations().map(|by| unit.length_from_cm(by));
        Self {
            by: choice.rule.by.name().to_owned(),
            tolerance: unit.length_from_cm(choice.rule.tolerance),
            advised: choice.advised.as_ref().map(report),
            waist: report(&choice.waist),
            hip: report(&choice.hip),
            waist_by,
            hip_by,
            sizes_apart: choice.sizes_apart,
            individual: choice.needs_individual_draft(),
            outside: !choice.outside.is_empty(),
            advice: choice.advice(ease, unit),
        }
    }
}

impl AlterationReport {
    pub(crate) fn new(alteration: &Alteration, unit: Unit) -> Self {
        let report = |panel: &Panel| AlteredReport {
            darts: panel.darts.iter().map(|dart| DartReport::new(dart, unit)).collect(),
            edges: panel.edges.iter().map(|edge| EdgeReport::new(edge, unit)).collect(),
        };
        let steps = alteration.steps.iter().map(|step| StepReport {
            kind: step.kind.name().to_owned(),
            number: step.number,
            by: unit.length_from_cm(step.by),
            cost: step.cost,
        });
        let differences = alteration.differences().into_iter().map(|one| PlaceDifferenceReport {
            place: one.place.to_owned(),
            mm: one.mm,
            step: one.step.name().to_owned(),
        });
        let largest_mm = alteration.cost.largest_mm();
        Self {
            instructions: alteration.instructions(unit),
            left_out: alteration.left_out(unit),
            steps: steps.collect(),
            cost: alteration.cost,
            largest_mm: largest_mm.is_finite().then_some(largest_mm),
            tolerance_mm: alteration.limits.tolerance_mm,
            min_step_mm: alteration.limits.min_step_mm,
            sews: alteration.sews(),
            holds: alteration.is_within_tolerance(),
            differences: differences.collect(),
            sewing_verdict: alteration.sewing_verdict(),
            difference_verdict: alteration.difference_verdict(),
            back: report(&alteration.back),
            front: report(&alteration.front),
        }
    }
}

impl ChangeReport {
    /// Returns the report of a change, with lengths in `unit`. A dart's `place` is a share and is not converted.
    pub(crate) fn new(change: &InputChange, unit: Unit) -> Self {
        let is_share = change.field.rsplit('.').next() == Some("place");
        let convert = |value: f64| if is_share { value } else { unit.length_from_cm(value) };
        Self { field: change.field.clone(), before: change.before.map(convert), after: convert(change.after) }
    }
}
