//! Reports on a size chart, on alterations and on corrections, lengths in the unit of the document.

use super::panel::{DartReport, EdgeReport};
use super::report::{convert_each, report};
use crate::body::{Body, Ease};
use crate::draft::{Draft, Panel, Role};
use crate::field::Unit;
use crate::ruler::Ruler;
use crate::sizes::{
    Alteration, AlterationStep, Cost, GradeIncrement, InputChange, PlaceDifference, Size, SizeChoice, SizeDifference,
};
use crate::wording::Texts;

report! {
    /// Size of a chart, with key lengths if the size is drafted.
    SizeReport of (size: &Size, draft: Option<&Draft>) in unit {
        /// Name of the size.
        name: String = size.name.clone(),
        /// Body measurements of the size.
        body: Body = size.body.convert_lengths(Unit::Cm, unit),
        /// Key lengths of the drafted size; null unless the request has `ease`.
        lengths: Option<KeyLengths> = draft.map(|draft| KeyLengths::new(draft, unit)),
    }
}

report! {
    /// Key lengths of a drafted size.
    KeyLengths as "KeyLengths" of (draft: &Draft) in unit
    let intakes = |panel: &Panel| panel.darts.iter().map(|dart| unit.length_from_cm(dart.intake)).collect();
    let length = |panel: &Panel, role| unit.length_from_cm(panel.edge_length(role));
    {
        /// Suppression of half the garment between hip and waist, as drafted.
        suppression: f64 = unit.length_from_cm(draft.suppression.total),
        /// Suppression by the side edge of one panel, as drafted.
        side_edge: f64 = unit.length_from_cm(draft.suppression.side / 2.0),
        /// Width of the back panel at the hip line.
        back_width: f64 = unit.length_from_cm(draft.back.width),
        /// Width of the front panel at the hip line.
        front_width: f64 = unit.length_from_cm(draft.front.width),
        /// Intake of each back dart, from the centre line to the side seam.
        back_darts: Vec<f64> = intakes(&draft.back),
        /// Intake of each front dart, from the centre line to the side seam.
        front_darts: Vec<f64> = intakes(&draft.front),
        /// Length of the side seam from waist to hem, along the curve.
        side_seam: f64 = length(&draft.back, Role::Side),
        /// Length of the centre back from waist to hem.
        centre_back: f64 = length(&draft.back, Role::Centre),
        /// Length of the centre front from waist to hem.
        centre_front: f64 = length(&draft.front, Role::Centre),
    }
}

report! {
    /// Movement of a named point of a panel from one size to the next larger size.
    GradeIncrementReport as "GradeIncrement" of (increment: &GradeIncrement) in unit {
        /// Panel of the point: `back` or `front`.
        panel: String = increment.half.name().to_owned(),
        /// Name of the point, such as `side_waist` or `dart_1_tip`.
        point: String = increment.point.clone(),
        /// Name of the smaller size.
        smaller: String = increment.from.clone(),
        /// Name of the larger size.
        larger: String = increment.to.clone(),
        /// Movement (x, y) of the point: x away from the centre line, y downwards relative to the hip line; null if
        /// only one of the two sizes has the point.
        step: Option<[f64; 2]> = increment.step.map(|step| step.map(|cm| unit.length_from_cm(cm))),
    }
}

report! {
    /// Difference between a size and a body, positive where the size is larger.
    SizeDifferenceReport as "SizeDifference" of (difference: &SizeDifference) in unit {
        /// Name of the size.
        size: String = difference.size.clone(),
        /// Waist of the size minus waist of the measured body.
        waist: f64 = unit.length_from_cm(difference.waist),
        /// Hip of the size minus hip of the measured body.
        hip: f64 = unit.length_from_cm(difference.hip),
    }
}

report! {
    /// Size of a chart chosen for a body, and the sizes that give waist and hip of the body's pattern.
    ChoiceReport as "Choice" of (choice: &SizeChoice, ease: Option<&Ease>, ruler: Ruler) in unit
    let [waist_by, hip_by] = choice.alterations().map(|by| unit.length_from_cm(by));
    {
        /// Girth by which the size is chosen: `hip`, `waist` or `both`.
        by: String = choice.rule.by.name().to_owned(),
        /// Largest amount by which the body's girth may exceed a size's girth for the size to be chosen.
        tolerance: f64 = unit.length_from_cm(choice.rule.tolerance),
        /// Size to take; null if the girth that decides is outside the chart by more than `tolerance`.
        advised: Option<SizeDifferenceReport> = choice.advised.as_ref().map(|advised| SizeDifferenceReport::new(advised, unit)),
        /// Size that gives the waist: the advised size, or the size to whose waist the advised size is blended.
        waist: SizeDifferenceReport = SizeDifferenceReport::new(&choice.waist, unit),
        /// Size that gives the hip: the advised size, or the size to whose hip the advised size is blended.
        hip: SizeDifferenceReport = SizeDifferenceReport::new(&choice.hip, unit),
        /// Change to make to the waist girth of the chosen pattern: positive lets out, negative takes in, 0 keeps the
        /// waist.
        waist_by: f64 = waist_by,
        /// Change to make to the hip girth of the chosen pattern: positive lets out, negative takes in, 0 keeps the
        /// hip.
        hip_by: f64 = hip_by,
        /// Number of steps in the chart between the sizes that give waist and hip; 0 if one size gives both.
        sizes_apart: usize = choice.sizes_apart,
        /// Whether an individual draft is better: no size is advised, or too much of the pattern changes.
        individual: bool = choice.needs_individual_draft(),
        /// Whether the body's waist or hip is outside the chart: below the smallest or above the largest size.
        outside: bool = !choice.outside.is_empty(),
        /// Advice in plain English on the size to take and on what is altered, with the rule.
        advice: String = choice.advice(ease, ruler),
    }
}

report! {
    /// Step of an alteration on paper.
    StepReport of (step: &AlterationStep) in unit {
        /// Part of the pattern that the step alters: `waist`, `hip`, `hip_line`, `darts`, `side` or `hem`.
        kind: String = step.kind.name().to_owned(),
        /// Number of the step, from 1, in the instructions and in the drawing; null if the step is left out.
        number: Option<usize> = step.number,
        /// Amount of the step. Waist and hip: girth of the body minus girth of the nearest size. Hip line, darts and
        /// hem: movement downwards, for darts of the tip that moves most. Side: 0.
        by: f64 = unit.length_from_cm(step.by),
        /// Differences of the pattern after the step, in millimetres, one for each place (waist line, side seam, hem
        /// and so on). The pattern is compared with an exact draft that has the body's measurements for the steps taken
        /// so far, and the printed measurements for the steps to come.
        cost: Cost = step.cost,
    }
}

report! {
    /// Difference between a pattern altered on paper and an exact draft, at one place.
    PlaceDifferenceReport of (difference: &PlaceDifference) in _unit {
        /// Name of the place at which the altered pattern differs, such as `side seam`.
        place: String = difference.place.to_owned(),
        /// Largest difference at the place, in millimetres.
        mm: f64 = difference.mm,
        /// Kind of the step that increases the difference most.
        step: String = difference.step.name().to_owned(),
    }
}

report! {
    /// Panel as altered on paper.
    AlteredReport of (panel: &Panel) in unit {
        /// Darts of the altered panel, from the centre line to the side seam.
        darts: Vec<DartReport> = convert_each(&panel.darts, DartReport::new, unit),
        /// Edges of the closed outline of the altered panel.
        edges: Vec<EdgeReport> = convert_each(&panel.edges, EdgeReport::new, unit),
    }
}

report! {
    /// Alteration of a nest of sizes on paper for one body, compared with an exact draft of the body.
    AlterationReport of (alteration: &Alteration, ruler: Ruler) in unit {
        /// Instructions for the alteration in plain English, in the order of the work.
        instructions: Vec<String> = alteration.instructions(ruler),
        /// Changes left out because they are at most `min_step_mm`, in plain English.
        left_out: Vec<String> = alteration.left_out(ruler),
        /// Steps of the alteration in order, done or left out, each with the differences from an exact draft.
        steps: Vec<StepReport> = convert_each(&alteration.steps, StepReport::new, unit),
        /// Differences of the altered pattern from the exact draft of the body, in millimetres, one for each place
        /// (waist line, side seam, hem and so on).
        cost: Cost = alteration.cost,
        /// Largest of the differences in `cost`, in millimetres; null if the exact draft has another number of darts.
        largest_mm: Option<f64> = Some(alteration.cost.largest_mm()).filter(|mm| mm.is_finite()),
        /// Largest difference, in millimetres, at which two seams sew together, and at which the pattern is accepted in
        /// place of the exact draft.
        tolerance_mm: f64 = alteration.limits.tolerance_mm,
        /// Largest change that the alteration leaves out, in millimetres.
        min_step_mm: f64 = alteration.limits.min_step_mm,
        /// Whether the pattern sews together within the tolerance: the sewn waist is as long as wanted, and both side
        /// seams are equally long.
        sews: bool = alteration.sews(),
        /// Whether the largest difference from the exact draft is within the tolerance.
        holds: bool = alteration.is_within_tolerance(),
        /// Places where the pattern differs from the exact draft, each with its largest difference in millimetres, the
        /// largest difference first.
        differences: Vec<PlaceDifferenceReport> = convert_each(&alteration.differences(), PlaceDifferenceReport::new, unit),
        /// Whether and how well the pattern sews together, in plain English.
        sewing_verdict: String = alteration.sewing_verdict(&Texts::default()),
        /// How far the pattern is from an exact draft, by place and step, in plain English.
        difference_verdict: String = alteration.difference_verdict(&Texts::default()),
        /// Back panel as altered.
        back: AlteredReport = AlteredReport::new(&alteration.back, unit),
        /// Front panel as altered.
        front: AlteredReport = AlteredReport::new(&alteration.front, unit),
    }
}

report! {
    /// Number in a request that the corrections changed.
    ChangeReport as "Change" of (change: &InputChange) in unit
    let converted = |value| change.kind.convert_unit(value, Unit::Cm, unit);
    {
        /// Path of the number in the request, such as `ease.waist`.
        field: String = change.field.clone(),
        /// Value of the number before the corrections; null if the request did not give the number.
        before: Option<f64> = change.before.map(converted),
        /// Value of the number after the corrections.
        after: f64 = converted(change.after),
    }
}
