//! Measurements of the figure that have the effect of corrections of a fitting: lengths at the centres, the arc over
//! the front at the hip, the girth at the high hip.

use super::fitting::{InputChange, input_changes_between};
use crate::body::{FIGURE_PATH_PREFIX, Inputs, PanelRules, Rules};
use crate::draft::{Draft, check_and_draft_inputs};

/// Largest distance between two points of drafts that count as one point, in centimetres: the residual of a solved high
/// hip allows for 1e-11.
const MAX_SAME_POINT_DISTANCE_CM: f64 = 1e-9;

impl Draft {
    /// Returns the measurements of the figure with which this draft becomes the corrected draft by unchanged rules.
    ///
    /// A measurement is returned only if the draft with it equals the corrected draft point for point. The darts are
    /// those of the corrected draft.
    pub(crate) fn measurements_replacing_corrections(&self, corrected: &Draft) -> Vec<InputChange> {
        let mut measured = corrected.clone();
        for measure in
            [replace_centre_heights_by_lengths, replace_balance_by_front_hip, replace_side_fullness_by_high_hip]
        {
            let mut inputs = measured.inputs.clone();
            measure(&mut inputs, &self.inputs.rules.panel_rules, corrected);
            let same = check_and_draft_inputs(inputs).ok().filter(|draft| draft.has_same_outlines_as(corrected));
            measured = same.unwrap_or(measured);
        }
        let changes = input_changes_between(self, &measured).into_iter();
        changes.filter(|change| change.field.starts_with(FIGURE_PATH_PREFIX)).collect()
    }

    /// Returns whether the outlines of two drafts with the same numbers of darts agree point for point.
    fn has_same_outlines_as(&self, other: &Draft) -> bool {
        let edges = |draft: &Draft| draft.panels().map(|panel| panel.edges.clone()).concat();
        let points =
            |draft: &Draft| edges(draft).iter().flat_map(|edge| edge.path.points().to_vec()).collect::<Vec<_>>();
        points(self).iter().zip(points(other)).all(|(one, other)| (one - other).norm() < MAX_SAME_POINT_DISTANCE_CM)
    }
}

/// Replaces corrected heights of the waist at the centres by measured lengths, and the rules of these heights by the
/// rules `before` the corrections.
fn replace_centre_heights_by_lengths(inputs: &mut Inputs, before: &PanelRules, corrected: &Draft) {
    let Inputs { body, figure, rules: Rules { panel_rules: rules, .. }, .. } = inputs;
    let [back_depth, front_depth] = corrected.panels().map(|panel| panel.waist_lowering);
    let from_front = figure.front_length.map(|length| length + front_depth - rules.centre_front_lower);
    let side = figure.side_length.or(from_front).unwrap_or(body.length);
    let centres = [
        (&mut figure.back_length, back_depth, &mut rules.centre_back_lower, before.centre_back_lower),
        (&mut figure.front_length, front_depth, &mut rules.centre_front_lower, before.centre_front_lower),
    ];
    for (length, depth, rule, rule_before) in centres {
        let lower = *rule - rule_before;
        if lower != 0.0 {
            *length = Some(length.map_or(side - depth + rule_before, |length| length - lower));
            (*rule, figure.side_length) = (rule_before, Some(side));
        }
    }
}

/// Replaces a corrected rule `balance` by the arc over the front at the hip line, which decides in its place.
fn replace_balance_by_front_hip(inputs: &mut Inputs, before: &PanelRules, corrected: &Draft) {
    let Inputs { body, figure, ease, rules: Rules { panel_rules: rules, .. } } = inputs;
    if rules.balance - before.balance != 0.0 {
        figure.front_hip = Some(2.0 * corrected.front.width * body.hip / (body.hip + ease.hip));
        rules.balance = PanelRules::default().balance;
    }
}

/// Replaces a corrected, larger side fullness by the high-hip girth of a body for which that fullness makes room: at
/// the measured depth of the high hip, or else half-way from the waist to the hip line.
fn replace_side_fullness_by_high_hip(inputs: &mut Inputs, before: &PanelRules, corrected: &Draft) {
    let Inputs { body, figure, ease, rules: Rules { panel_rules: rules, .. } } = inputs;
    let depth = figure.high_hip_depth.unwrap_or(body.hip_depth / 2.0);
    if let (true, Ok(girth)) = (rules.side_fullness > before.side_fullness, corrected.girth_at(depth)) {
        (figure.high_hip, figure.high_hip_depth) = (Some(girth - ease.waist.min(ease.hip)), Some(depth));
        rules.side_fullness = before.side_fullness;
    }
}
