//! Alteration on paper: a pattern for one body, traced between the printed sizes of a nest.
//!
//! Each step with ruler and curve is computed as geometry and compared with the exact draft. A step of at most
//! [`AlterationLimits::min_step_mm`] is left out.

use super::choose::{HIP_GIRTH, WAIST_GIRTH, lerp};
use super::cost::MM_PER_CM;
use super::{Cost, FractionBetweenSizes, SizeBlend, SizeRange};
use crate::body::{Apportionment, Body};
use crate::draft::{Dart, Draft, Panel, Role};
use crate::error::Problems;
use crate::field::{choices, fields};
use crate::geometry::{Cubic, Path, Point};

/// Smallest shift of a line or point, in centimetres, that the written instructions mention.
const MIN_WRITTEN_SHIFT_CM: f64 = 0.05;

/// Minimum length of the side seam below the hip line in any draft, in centimetres.
const MIN_SIDE_SEAM_BELOW_HIP_CM: f64 = 1.0;

fields! {
    /// Limits of an alteration, in millimetres: the largest accepted difference from the exact draft, and the largest
    /// change that is left out.
    ///
    /// ```
    /// use kirtle::sizes::AlterationLimits;
    ///
    /// assert_eq!(AlterationLimits::default(), AlterationLimits { tolerance_mm: 3.0, min_step_mm: 3.0 });
    /// ```
    AlterationLimits: Default {
        /// Largest permitted deviation of an alteration on paper from the exact redraft, in millimetres.
        tolerance_mm: Millimetres (0.1, 50.0) = 3.0;
        /// Largest change of a girth, a line or a dart that an alteration on paper leaves out, in millimetres.
        min_step_mm: Millimetres (0.0, 20.0) = 3.0;
    }
}

impl AlterationLimits {
    /// Returns the largest change that is left out, in centimetres, plus a margin for rounding.
    pub(super) fn max_left_out_change_cm(&self) -> f64 {
        self.min_step_mm / MM_PER_CM + 1e-9
    }
}

choices! {
    /// Kind of a step of an alteration on paper; the kinds are in the order of execution.
    StepKind {
        /// Trace the waist line and the darts of one size, or mark them between two sizes.
        Waist = "waist";
        /// Mark the hip width.
        Hip = "hip";
        /// Move the hip line to the hip depth of the body; lower or raise the centre of the waist to match.
        HipLine = "hip_line";
        /// Move the dart tips with the hip line. The dressmaker may skip this step.
        Darts = "darts";
        /// Join the hip mark to the waist with a shallow curve.
        Side = "side";
        /// Move the hem to the skirt length of the body.
        Hem = "hem";
    }
}

/// One step of an alteration on paper, done or left out, with the differences from an exact draft after the step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AlterationStep {
    /// Kind of the step.
    pub kind: StepKind,
    /// Number of the step in the instructions and in the drawing, from 1; `None` if the step is left out.
    pub number: Option<usize>,
    /// Amount of the step, done or left out, in centimetres. Waist and hip: girth of the body minus girth of the
    /// nearest size. Hip line, darts and hem: movement downwards, for darts of the tip that moves most. Side: 0.
    pub by: f64,
    /// Differences of the pattern after the step, one for each place (waist line, side seam, hem and so on). The
    /// pattern is compared with an exact draft that has the body's measurements for the steps taken so far, and the
    /// printed measurements for the steps to come.
    pub cost: Cost,
}

/// Altered pattern for one body, traced between printed sizes, with its differences from the exact draft.
#[derive(Clone, Debug, PartialEq)]
pub struct Alteration {
    /// Sizes and fractions that give the waist and the hip of the pattern.
    pub blend: SizeBlend,
    /// Steps of the alteration, one of each kind, done or left out, in the order of execution.
    pub steps: [AlterationStep; 6],
    /// Altered back panel.
    pub back: Panel,
    /// Altered front panel.
    pub front: Panel,
    /// Exact draft of the body.
    pub exact: Draft,
    /// Differences of the altered panels from the exact draft, one for each place (waist line, side seam, hem and so
    /// on).
    pub cost: Cost,
    /// Tolerance of the alteration, and the largest change that is left out.
    pub limits: AlterationLimits,
    /// Height of the traced waist above the printed hip line at the side, in centimetres.
    pub(crate) printed_hip_depth: f64,
    /// Name of the size with the traced hem, and distance of that hem below the printed hip line in centimetres.
    pub(super) traced_hem: (String, f64),
    /// Distance of the hip mark outside the side seam of the smaller hip size, equal on back and front, in cm.
    pub(super) hip_mark_shift: f64,
    /// Whether the two sizes around the body's waist have different numbers of darts on back or front.
    pub(super) dart_counts_differ: bool,
    /// Length added to each dart of back and front, in centimetres; negative shortens the dart.
    pub(super) added_dart_lengths: [Vec<f64>; 2],
    /// Distance by which moving the hip line lowers the waist at the centre of back and front, in cm; negative raises.
    pub(super) centre_waist_shifts: [f64; 2],
}

impl SizeRange {
    /// Computes the pattern that a dressmaker traces for a body from the printed nest of this size range.
    ///
    /// Waist line and darts are interpolated between the two sizes around the body's waist, and the panel width between
    /// the two sizes around the body's hip. A curve joins waist and hip and meets the hip line at a right angle. Hip
    /// line and hem move to the body's hip depth and length. The dart tips follow the hip line if the rules give darts
    /// by shares. A higher hip line makes the side seam lean more, and lowers the waist more at the centre. Changes of
    /// at most `min_step_mm` are left out. If the two waist sizes have different numbers of darts, waist line and darts
    /// are those of the nearer size.
    ///
    /// # Errors
    /// As [`SizeChart::blend_for_body`](crate::SizeChart::blend_for_body); all [`Problems`] of
    /// [`draft`](crate::draft()).
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules, SizeChart, Unit};
    ///
    /// let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let body = Body { waist: 74.0, hip: 98.0, ..range.chart().sizes()[3].body };
    /// let altered = range.alter(&body, None)?;
    /// assert!(altered.sews() && altered.is_within_tolerance() && altered.cost.largest_mm() < 1.0);
    /// assert!(altered.instructions(Unit::Cm)[0].starts_with("Waist, back and front alike:"));
    /// assert!(range.alter(&Body { hip: 140.0, ..body }, None).is_err());
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn alter(&self, body: &Body, limits: Option<AlterationLimits>) -> Result<Alteration, Problems> {
        let limits = limits.unwrap_or_default();
        self.chart.blend_for_body(body)?;
        // The measurements that are drawn: those of the body, or the printed one where the change is at most
        // `max_left_out`.
        let max_left_out = limits.max_left_out_change_cm();
        let kept = |printed: f64, wanted: f64| if (wanted - printed).abs() <= max_left_out { printed } else { wanted };
        let [waist_by, hip_by] = [WAIST_GIRTH, HIP_GIRTH].map(|(_, girth_of)| {
            let differences = self.chart.sizes.iter().map(|size| girth_of(body) - girth_of(&size.body));
            differences.min_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap_or_default()
        });
        let (waist, hip) = (kept(body.waist - waist_by, body.waist), kept(body.hip - hip_by, body.hip));
        let blend = self.chart.blend_for_body(&Body { waist, hip, ..*body })?;
        let [a, b] = self.drafts_of_blended_sizes(&blend.waist);
        let [c, d] = self.drafts_of_blended_sizes(&blend.hip);
        let printed_hip_depth = lerp(a.body().hip_depth, b.body().hip_depth, blend.waist.fraction);
        let hip_depth = kept(printed_hip_depth, body.hip_depth);
        let (hem_size, hem_draft) = if blend.hip.fraction < 0.5 { (&blend.hip.from, c) } else { (&blend.hip.to, d) };
        let traced_hem = (hem_size.clone(), hem_draft.body().length - hem_draft.body().hip_depth);
        let printed_length = printed_hip_depth + traced_hem.1;
        let drawn = Body { waist, hip, hip_depth, length: kept(printed_length, body.length) };
        let traced = self.altered_panels(&blend, &Body { hip_depth: printed_hip_depth, ..drawn }, 1.0, max_left_out);
        let darts_follow = matches!(self.rules.apportionment, Apportionment::Shares(_));
        let added = if darts_follow { hip_depth / printed_hip_depth - 1.0 } else { 0.0 };
        let added_dart_lengths: [Vec<f64>; 2] =
            traced.each_ref().map(|panel| panel.darts.iter().map(|dart| dart.length * added).collect());
        let all_added = added_dart_lengths.iter().flatten();
        let darts_by = all_added.fold(0.0, |most: f64, by| if by.abs() > most.abs() { *by } else { most });
        let lengthened = if darts_by.abs() > max_left_out { hip_depth / printed_hip_depth } else { 1.0 };

        let exact = self.draft_with_dart_counts_of_size(nearer_of_two([a, b], blend.waist.fraction), body)?;
        let [back, front] = self.altered_panels(&blend, &drawn, lengthened, max_left_out);
        let centre_waist_shifts = [(&back, &traced[0]), (&front, &traced[1])]
            .map(|(drawn, traced)| drawn.waist_lowering - traced.waist_lowering);
        let cost = Cost::differences_from_exact_draft([&back, &front], &exact);
        let costs_before = self.costs_before_hem(&blend, [body, &drawn], lengthened, max_left_out)?;
        let by = [waist_by, hip_by, body.hip_depth - printed_hip_depth, darts_by, 0.0, body.length - printed_length];
        Ok(Alteration {
            hip_mark_shift: (d.back.width - c.back.width) * blend.hip.fraction,
            steps: all_steps_in_order(by, &costs_before, cost, max_left_out),
            blend,
            back,
            front,
            exact,
            cost,
            limits,
            printed_hip_depth,
            traced_hem,
            dart_counts_differ: a.dart_counts() != b.dart_counts(),
            added_dart_lengths,
            centre_waist_shifts,
        })
    }

    /// Returns the differences from an exact draft ([`AlterationStep::cost`]) after each of the five steps before the
    /// hem. `body` is the given body, `drawn` has the measurements of the altered pattern.
    fn costs_before_hem(
        &self,
        blend: &SizeBlend,
        bodies: [&Body; 2],
        factor: f64,
        max_left_out: f64,
    ) -> Result<[Cost; 5], Problems> {
        let ([body, drawn], [a, b]) = (bodies, self.drafts_of_blended_sizes(&blend.waist));
        let hip_of_waist = lerp(a.body().hip, b.body().hip, blend.waist.fraction);
        let printed_hip_depth = lerp(a.body().hip_depth, b.body().hip_depth, blend.waist.fraction);
        // Until the hip-line step, the printed hip line may lie below the hem of a short skirt.
        let length = body.length.max(printed_hip_depth + MIN_SIDE_SEAM_BELOW_HIP_CM);
        let after_hip = |body: &Body| Body { hip_depth: printed_hip_depth, length, ..*body };
        let after_waist = |body: &Body| Body { hip: hip_of_waist, ..after_hip(body) };
        let waist_only = SizeBlend { hip: blend.waist.clone(), ..blend.clone() };
        let cost = |blend: &SizeBlend, body: &Body, drawn: &Body, dart_factor: f64| {
            let exact = self.draft_with_dart_counts_of_size(nearer_of_two([a, b], blend.waist.fraction), body)?;
            let [back, front] = self.altered_panels(blend, drawn, dart_factor, max_left_out);
            Ok::<_, Problems>(Cost::differences_from_exact_draft([&back, &front], &exact))
        };
        let long_enough = Body { length: body.length, ..*drawn };
        let after_darts = cost(blend, body, &long_enough, factor)?;
        Ok([
            cost(&waist_only, &after_waist(body), &after_waist(drawn), 1.0)?,
            cost(blend, &after_hip(body), &after_hip(drawn), 1.0)?,
            cost(blend, body, &long_enough, 1.0)?,
            after_darts,
            after_darts,
        ])
    }

    fn drafts_of_blended_sizes(&self, between: &FractionBetweenSizes) -> [&Draft; 2] {
        [&between.from, &between.to].map(|name| {
            let index = self.chart.sizes.iter().position(|size| size.name == *name);
            &self.drafts[index.unwrap_or_default()]
        })
    }

    /// Returns back and front of a blend, drawn for the hip depth and length of `body`, with dart lengths times
    /// `dart_factor`. The waist at a vertical centre stays where it would move by at most `max_left_out`,
    /// in centimetres; at a slanted centre it moves, to be square to the seam.
    fn altered_panels(&self, blend: &SizeBlend, body: &Body, dart_factor: f64, max_left_out: f64) -> [Panel; 2] {
        let (waist, hip) = (self.drafts_of_blended_sizes(&blend.waist), self.drafts_of_blended_sizes(&blend.hip));
        let fraction = blend.waist.fraction;
        let printed_hip_depth = lerp(waist[0].body().hip_depth, waist[1].body().hip_depth, fraction);
        let rules = &self.rules.panel_rules;
        let by_rule = [rules.centre_back_lower, rules.centre_front_lower];
        let traced = [0, 1].map(|k: usize| {
            let [a, b] = waist.map(|draft| draft.panels()[k]);
            let [c, d] = hip.map(|draft| draft.panels()[k]);
            let width = lerp(c.width, d.width, blend.hip.fraction);
            let waist_width = lerp(a.waist_width, b.waist_width, fraction);
            let (mut stretches, mut darts) = interpolate_waist_and_darts([a, b], fraction, waist_width);
            let lowering = stretches[0].points[0].y;
            // The part of the depth at the centre that a rule prescribes stays; the rest comes from the lean of the side
            // seam, and is in inverse proportion to the hip depth.
            let by_lean = if lowering > 0.0 { (1.0 - by_rule[k] / lowering).clamp(0.0, 1.0) } else { 0.0 };
            let lowered = 1.0 + by_lean * (1.0 / (body.hip_depth / printed_hip_depth) - 1.0);
            let is_slanted = stretches[0].points[0].x > 0.0;
            let stays = !is_slanted && (lowering * (lowered - 1.0)).abs() <= max_left_out;
            let lowered = if stays { 1.0 } else { lowered };
            let sewn = |stretches: &[Cubic]| stretches.iter().map(Cubic::length).sum::<f64>();
            let sewn_before = sewn(&stretches);
            stretches.iter_mut().flat_map(|line| &mut line.points).for_each(|point| point.y *= lowered);
            for dart in &mut darts {
                let [inner, outer] = [dart.inner, dart.outer].map(|end| Point::new(end.x, end.y * lowered));
                *dart = Dart::from_mouth(inner, outer, dart.length * dart_factor);
            }
            let longer = sewn(&stretches) - sewn_before;
            (a.half, width, waist_width, stretches, darts, longer)
        });
        // The sewn waist keeps its length, and the side seams of back and front stay one curve.
        let moved_in = f64::midpoint(traced[0].5, traced[1].5);
        traced.map(|(half, width, waist_width, mut stretches, darts, _)| {
            let waist_width = waist_width - moved_in;
            move_side_end_of_waist(&mut stretches, waist_width);
            let curve = waist[0].side_seam_for_hip_depth(width, width - waist_width, body.hip_depth);
            let slant = (stretches[0].points[0].x > 0.0).then_some(body.hip_depth);
            let lower = (body.length, slant);
            Panel::from_curves_and_darts(half, [width, waist_width], &stretches, darts, curve, lower)
        })
    }
}

/// Interpolates waist curves and darts between two panels. If the numbers of darts differ, returns the curves and the
/// darts of the nearer panel, with the side end of the last curve moved to `waist_width`.
fn interpolate_waist_and_darts([a, b]: [&Panel; 2], fraction: f64, waist_width: f64) -> (Vec<Cubic>, Vec<Dart>) {
    let between = |p: Point, q: Point| Point::new(lerp(p.x, q.x, fraction), lerp(p.y, q.y, fraction));
    if a.darts.len() == b.darts.len() {
        let pairs = waist_curves(a).into_iter().zip(waist_curves(b));
        let lines = pairs.map(|(a, b)| Cubic::new(std::array::from_fn(|k| between(a.points[k], b.points[k]))));
        let darts = a.darts.iter().zip(&b.darts).map(|(a, b)| {
            Dart::from_mouth(between(a.inner, b.inner), between(a.outer, b.outer), lerp(a.length, b.length, fraction))
        });
        return (lines.collect(), darts.collect());
    }
    let nearer = nearer_of_two([a, b], fraction);
    let mut lines = waist_curves(nearer);
    move_side_end_of_waist(&mut lines, waist_width);
    (lines, nearer.darts.clone())
}

/// Lengthens or shortens the last curve of a waist line, so that the line ends at the side mark, x = `waist_width`.
fn move_side_end_of_waist(stretches: &mut [Cubic], waist_width: f64) {
    if let Some([.., handle, end]) = stretches.last_mut().map(|line| &mut line.points) {
        handle.x += waist_width - end.x;
        end.x = waist_width;
    }
}

/// Returns the first of two values if `fraction` is below ½, else the second.
fn nearer_of_two<T>([a, b]: [T; 2], fraction: f64) -> T {
    if fraction < 0.5 { a } else { b }
}

fn waist_curves(panel: &Panel) -> Vec<Cubic> {
    panel.paths(Role::Waist).filter_map(Path::cubic_unless_line).copied().collect()
}

/// Returns all steps in order of execution. `by` has the amount of each step; `costs` has the differences from an exact
/// draft after each step but the last, `cost` those after the last. A move of hip line or dart tips by at most
/// `min_step`, or by at most 0.05 cm, is left out and gets no number.
fn all_steps_in_order(by: [f64; 6], costs: &[Cost; 5], cost: Cost, min_step: f64) -> [AlterationStep; 6] {
    let mut done = 0;
    std::array::from_fn(|k| {
        let (kind, by) = (StepKind::ALL[k], by[k]);
        let may_be_left_out = matches!(kind, StepKind::HipLine | StepKind::Darts);
        let is_done = !may_be_left_out || by.abs() > min_step.max(MIN_WRITTEN_SHIFT_CM);
        done += usize::from(is_done);
        AlterationStep { kind, number: is_done.then_some(done), by, cost: *costs.get(k).unwrap_or(&cost) }
    })
}

impl Alteration {
    /// Iterates over the steps that are done, in the order of their numbers.
    pub fn steps_done(&self) -> impl Iterator<Item = &AlterationStep> {
        self.steps.iter().filter(|step| step.number.is_some())
    }
}
