//! Alteration on paper: tracing a pattern for a body between the printed sizes of a nest.
//!
//! Every step that a dressmaker does with ruler and curve is computed as geometry and compared with the exact draft.

use super::blend::lerp;
use super::{Cost, FractionBetweenSizes, SizeBlend, SizeRange};
use crate::body::Body;
use crate::draft::{Dart, Draft, Panel, Role, visit_panel_outline_edges};
use crate::error::Problems;
use crate::geometry::{Cubic, Path, Point};

/// Default of [`Alteration::tolerance_mm`], the largest accepted difference from the exact draft, in millimetres.
pub(crate) const DEFAULT_ALTERATION_TOLERANCE_MM: f64 = 3.0;

/// Smallest shift of hip mark, hip line or hem that the written instructions mention, in centimetres.
pub(super) const MIN_SHIFT_WORTH_INSTRUCTION_CM: f64 = 0.05;

/// Minimum length of the side seam below the hip line in any draft, in centimetres.
const MIN_SIDE_SEAM_BELOW_HIP_CM: f64 = 1.0;

/// Kind of a step of an alteration on paper; the kinds are in the order of execution.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum StepKind {
    /// Trace the waist line and the darts of one size, or mark them between two sizes.
    Waist,
    /// Mark the hip width, and join the mark to the waist with a shallow curve.
    Hip,
    /// Move the hip line to the hip depth of the body.
    HipLine,
    /// Move the hem to the skirt length of the body.
    Hem,
}

impl StepKind {
    /// Returns the name of the step kind in JSON, such as `hip_line`.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            StepKind::Waist => "waist",
            StepKind::Hip => "hip",
            StepKind::HipLine => "hip_line",
            StepKind::Hem => "hem",
        }
    }
}

/// One step of an alteration on paper, with the error of the pattern after the step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AlterationStep {
    /// Kind of the step.
    pub kind: StepKind,
    /// Difference of the pattern after this step from an exact draft for the measurements that the pattern then has.
    pub cost: Cost,
}

/// Altered pattern for one body, traced between printed sizes, with its difference from the exact draft.
#[derive(Clone, Debug, PartialEq)]
pub struct Alteration {
    /// Sizes and fractions that give the waist and the hip of the body.
    pub blend: SizeBlend,
    /// Steps of the alteration, in the order of execution.
    pub steps: Vec<AlterationStep>,
    /// Altered back panel.
    pub back: Panel,
    /// Altered front panel.
    pub front: Panel,
    /// Exact draft of the body.
    pub exact: Draft,
    /// Difference between the altered panels and the exact draft.
    pub cost: Cost,
    /// Largest accepted difference from the exact draft, in millimetres.
    pub tolerance_mm: f64,
    /// Height of the traced waist above the printed hip line at the side, in centimetres.
    pub(crate) printed_hip_depth: f64,
    /// Name of the size with the traced hem, and distance of that hem below the printed hip line in centimetres.
    pub(super) traced_hem: (String, f64),
    /// Distance of the hip mark outside the side seam of the smaller hip size, on back and front, in centimetres.
    pub(super) hip_mark_shift: f64,
    /// Whether the two sizes around the body's waist have different numbers of darts on back or front.
    pub(super) dart_counts_differ: bool,
}

impl SizeRange {
    /// Computes the pattern that a dressmaker traces for a body from the printed nest of this size range.
    ///
    /// Waist line and darts are interpolated between the two sizes around the body's waist, and the panel width between
    /// the two sizes around the body's hip. A curve joins them and meets the hip line at a right angle. Hip line and
    /// hem move to the body's hip depth and length. If the two waist sizes have different numbers of darts, waist line
    /// and darts are those of the nearer size. The default tolerance is 3 mm.
    ///
    /// # Errors
    /// [`Code::OutsideChart`](crate::Code::OutsideChart) for a girth outside the chart; all [`Problems`] of
    /// [`draft`](crate::draft()).
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules, SizeChart, Unit};
    ///
    /// let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let body = Body { waist: 74.0, hip: 98.0, ..range.chart().sizes()[3].body };
    /// let altered = range.alter(&body, None)?;
    /// assert!(altered.is_within_tolerance() && altered.cost.largest_mm() < 1.0);
    /// assert!(altered.instructions(Unit::Cm)[0].starts_with("Waist, back and front alike:"));
    /// assert!(range.alter(&Body { hip: 140.0, ..body }, None).is_err());
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn alter(&self, body: &Body, tolerance_mm: Option<f64>) -> Result<Alteration, Problems> {
        let blend = self.chart.blend_for_body(body)?;
        let [a, b] = self.drafts_from_and_to(&blend.waist);
        let printed_hip_depth = lerp(a.body().hip_depth, b.body().hip_depth, blend.waist.fraction);
        let [c, d] = self.drafts_from_and_to(&blend.hip);
        let alter_and_compare = |blend: &SizeBlend, body: &Body| {
            let exact = self.draft_any_body(body)?;
            let [back, front] = self.altered_back_and_front(blend, body);
            Ok::<_, Problems>((Cost::differences_from_exact_draft([&back, &front], &exact), exact, back, front))
        };
        let (cost, exact, back, front) = alter_and_compare(&blend, body)?;
        // Until the hip-line step, the printed hip line may lie below the hem of a short skirt.
        let length = body.length.max(printed_hip_depth + MIN_SIDE_SEAM_BELOW_HIP_CM);
        let after_hip = Body { hip_depth: printed_hip_depth, length, ..*body };
        let after_waist = Body { hip: lerp(a.body().hip, b.body().hip, blend.waist.fraction), ..after_hip };
        let waist_only = SizeBlend { hip: blend.waist.clone(), ..blend.clone() };
        let steps = [
            (StepKind::Waist, alter_and_compare(&waist_only, &after_waist)?.0),
            (StepKind::Hip, alter_and_compare(&blend, &after_hip)?.0),
            (StepKind::HipLine, cost),
            // Moving the hem along the straight side seam adds no error.
            (StepKind::Hem, cost),
        ];
        let steps = steps.map(|(kind, cost)| AlterationStep { kind, cost }).to_vec();
        let (hem_size, hem_draft) = if blend.hip.fraction < 0.5 { (&blend.hip.from, c) } else { (&blend.hip.to, d) };
        let traced_hem = (hem_size.clone(), hem_draft.body().length - hem_draft.body().hip_depth);
        let dart_counts_differ = a.panels().into_iter().zip(b.panels()).any(|(a, b)| a.darts.len() != b.darts.len());
        let hip_mark_shift = (d.back.width - c.back.width) * blend.hip.fraction;
        let tolerance_mm = tolerance_mm.unwrap_or(DEFAULT_ALTERATION_TOLERANCE_MM);
        Ok(Alteration {
            blend,
            steps,
            back,
            front,
            exact,
            cost,
            tolerance_mm,
            printed_hip_depth,
            traced_hem,
            hip_mark_shift,
            dart_counts_differ,
        })
    }

    fn drafts_from_and_to(&self, between: &FractionBetweenSizes) -> [&Draft; 2] {
        [&between.from, &between.to].map(|name| {
            let index = self.chart.sizes.iter().position(|size| size.name == *name);
            &self.drafts[index.unwrap_or_default()]
        })
    }

    fn altered_back_and_front(&self, blend: &SizeBlend, body: &Body) -> [Panel; 2] {
        let (waist, hip) = (self.drafts_from_and_to(&blend.waist), self.drafts_from_and_to(&blend.hip));
        [0, 1].map(|k| {
            let [a, b] = waist.map(|draft| draft.panels()[k]);
            let [c, d] = hip.map(|draft| draft.panels()[k]);
            let width = lerp(c.width, d.width, blend.hip.fraction);
            let fraction = blend.waist.fraction;
            let waist_width = lerp(a.waist_width, b.waist_width, fraction);
            let (stretches, darts) = waist_and_darts_between_panels([a, b], fraction, waist_width);
            let mut edges = Vec::new();
            let curve = waist[0].side_seam_above_hip(width, width - waist_width, body.hip_depth);
            let (line, corners) = (|k: usize| stretches[k], |k: usize| darts[k].inner_tip_and_outer_corners());
            visit_panel_outline_edges(width, darts.len(), line, corners, curve, body.length, |edge| edges.push(edge));
            Panel { half: a.half, width, waist_width, waist_lowering: stretches[0].points[0].y, edges, darts }
        })
    }
}

/// Interpolates waist curves and darts between two panels; if the numbers of darts differ, adapts the nearer panel's.
fn waist_and_darts_between_panels([a, b]: [&Panel; 2], fraction: f64, waist_width: f64) -> (Vec<Cubic>, Vec<Dart>) {
    let between = |p: Point, q: Point| Point::new(lerp(p.x, q.x, fraction), lerp(p.y, q.y, fraction));
    if a.darts.len() == b.darts.len() {
        let pairs = waist_curves(a).into_iter().zip(waist_curves(b));
        let lines = pairs.map(|(a, b)| Cubic::new(std::array::from_fn(|k| between(a.points[k], b.points[k]))));
        let darts = a.darts.iter().zip(&b.darts).map(|(a, b)| {
            Dart::new(between(a.inner, b.inner), between(a.outer, b.outer), lerp(a.length, b.length, fraction))
        });
        return (lines.collect(), darts.collect());
    }
    let nearer = if fraction < 0.5 { a } else { b };
    let mut lines = waist_curves(nearer);
    // Lengthens or shortens the last stretch to end at the side mark.
    if let Some([.., handle, end]) = lines.last_mut().map(|line| &mut line.points) {
        let step = waist_width - end.x;
        handle.x += step;
        end.x = waist_width;
    }
    (lines, nearer.darts.clone())
}

fn waist_curves(panel: &Panel) -> Vec<Cubic> {
    panel.paths(Role::Waist).filter_map(Path::as_cubic).copied().collect()
}

impl Alteration {
    /// Returns whether the altered pattern differs from the exact draft by at most the tolerance.
    #[must_use]
    pub fn is_within_tolerance(&self) -> bool {
        self.cost.largest_mm() <= self.tolerance_mm
    }

    /// Returns the step that adds most to the difference from the exact draft; `None` if the tolerance is met.
    #[must_use]
    pub fn costliest_step(&self) -> Option<StepKind> {
        let darts_differ = |cost: &Cost| cost.dart_gap_mm.is_none();
        // A step that makes the numbers of darts differ adds more than any length does.
        let added = |k: usize| {
            let before = k.checked_sub(1).map(|before| self.steps[before].cost);
            let is_first_difference =
                darts_differ(&self.steps[k].cost) && !before.is_some_and(|before| darts_differ(&before));
            let length = |cost: Cost| if darts_differ(&cost) { cost.max_mm_without_darts() } else { cost.largest_mm() };
            let more = length(self.steps[k].cost) - before.map_or(0.0, length);
            if is_first_difference { f64::INFINITY } else { more }
        };
        let costliest = (0..self.steps.len()).max_by(|a, b| added(*a).total_cmp(&added(*b)));
        costliest.filter(|_| !self.is_within_tolerance()).map(|k| self.steps[k].kind)
    }
}
