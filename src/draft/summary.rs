//! Summary of a draft: every number that a table of drafts holds, without the outline, for one body or for lanes.

use arrayvec::ArrayVec;

use super::panel::{PlannedPanel, SideSeamAtWaist, WaistShape, WaistStretch, vertical_dart_tip};
use super::plan::DraftPlan;
use super::side::SideSeamShape;
use super::{Draft, Suppression};
use crate::body::MAX_DARTS_PER_PANEL;
use crate::geometry::{Point, Vector, norm};
use crate::scalar::{Mask, Number, inlined};

/// Numbers that describe a draft, without outlines or points; lengths in centimetres.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Summary<T: Number = f64> {
    /// Nominal suppression of half the garment, before the waist is closed, in centimetres.
    pub nominal: Suppression<T>,
    /// Suppression of half the garment as drafted, with the waist closed, in centimetres.
    pub suppression: Suppression<T>,
    /// Suppression of half the garment, in centimetres, that the side seams take beyond the limit of the rule
    /// `steepest_side`, as no dart has room for it.
    pub left_in_side: T,
    /// Tangent of the angle between side seam and vertical at the waist; positive if the seam leans inwards.
    pub lean: T,
    /// Tangent of the angle between centre back seam and vertical above the hip line; 0 if the seam is vertical.
    pub slant: T,
    /// Length of the side seam from the waist to the hem, in centimetres.
    pub side_seam: T,
    /// Girth of the garment at a measured high hip, in centimetres; 0 if none is measured.
    pub(crate) high_hip_girth: T,
    /// Measurements of the back panel, then of the front panel.
    pub panels: [PanelSummary<T>; 2],
}

/// Measurements of one panel, in centimetres.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PanelSummary<T: Number = f64> {
    /// Width of the panel at the hip line and below, in centimetres.
    pub width: T,
    /// Length of the panel's waist along its curve with the darts closed, in centimetres.
    pub waist_seam: T,
    /// Depth of the waist at the centre below the waist at the side, in centimetres; negative if the centre lies
    /// higher.
    pub waist_lowering: T,
    /// Part of `waist_lowering` that rules or figure add to the lowering by square corners, in centimetres; negative if
    /// they raise the centre.
    pub extra_lowering: T,
    /// Length of the centre line, or slanted centre seam, from waist to hem, in centimetres.
    pub centre_seam: T,
    /// Area of the cloth inside the outline, in square centimetres.
    pub area: T,
    /// Least width of cloth in centimetres, straight across, between two neighbours on the waist: centre line, dart
    /// legs, side seam. Where the side seam leans outwards, widths below the waist from a dart leg to the side seam
    /// count, too.
    pub narrowest_beside_darts: T,
    /// Measurements of the darts, from the centre to the side.
    pub darts: ArrayVec<DartSummary<T>, MAX_DARTS_PER_PANEL>,
}

/// Measurements of one dart, in centimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DartSummary<T: Number = f64> {
    /// Width of the dart's mouth, in centimetres.
    pub intake: T,
    /// Length of the dart from mouth to tip, in centimetres.
    pub length: T,
    /// Distance from the centre line to the dart's centre, in centimetres.
    pub centre: T,
    /// Depth of the dart's tip below the waist at the side, in centimetres.
    pub tip: T,
}

impl Draft {
    /// Returns the numbers that describe the draft, without outlines or points.
    pub fn summary(&self) -> Summary {
        let mut plan = DraftPlan::from_checked_inputs(&self.inputs);
        plan.set_solution(self.solution);
        let mut summary = Summary::default();
        plan.measure_into_summary(self.suppression.total, self.inputs.body.length, &mut summary);
        summary
    }
}

impl<T: Number> DraftPlan<T> {
    /// Measures the draft with the suppression `total` and the hem at the depth `hem`. Fills `summary`, which must be
    /// [`Summary::default`], in place: copying lanes is slow.
    ///
    /// Returns a mask of the lanes in which the lengths of the waist are exact.
    #[inline(always)]
    pub(super) fn measure_into_summary(&self, total: T, hem: T, summary: &mut Summary<T>) -> T::Mask {
        let drafted = self.split.split_suppression(total);
        summary.nominal = self.suppression_from_amounts(self.nominal, &self.split.split_suppression(self.nominal));
        summary.suppression = self.suppression_from_amounts(total, &drafted);
        summary.left_in_side = drafted.left_in_side;
        summary.lean = self.side.lean_tangent_at_waist(drafted.side);
        // The side seams of back and front are one curve.
        let seam = SideSeamAtWaist::from_loss_of_both_edges(drafted.side, &self.side);
        summary.side_seam = self.side.length_above_hip(seam.loss) + (hem - self.side.depth);
        let (mut is_exact, mut slant) = (T::Mask::uniform(true), T::constant(0.0));
        for (k, (panel, summary)) in self.panels.iter().zip(&mut summary.panels).enumerate() {
            let outside_side_seam =
                seam.loss * self.side.depth * (T::constant(0.5) - self.side.fullness * T::constant(1.0 / 12.0));
            summary.area = panel.width * hem - outside_side_seam;
            let shape = self.waist_shape(k, &seam, drafted.panel_intakes);
            is_exact = is_exact & panel.measure_waist_and_darts(shape, &self.side, summary);
            summary.centre_seam = hem - summary.waist_lowering;
            if let Some(centre) = &panel.slanted_centre {
                let inset = centre.inset_at_level(summary.waist_lowering);
                let above_hip = norm(Vector::new(inset, centre.depth - summary.waist_lowering));
                summary.centre_seam = above_hip + (hem - centre.depth);
                // Below the waist the slant takes the triangle between centre line and seam; above, up to the level of
                // the side, the vertical strip between the centre line and the waist's start.
                summary.area -= inset * (centre.depth + summary.waist_lowering) * T::constant(0.5);
                slant = centre.centre_slant_tangent();
            }
        }
        summary.slant = slant;
        if let Some(high_hip) = &self.high_hip {
            let [_, room, _] = self.closure_and_high_hip_residuals(high_hip, total).0;
            summary.high_hip_girth = high_hip.min_girth + room * T::constant(2.0);
        }
        is_exact
    }
}

impl<T: Number> PlannedPanel<T> {
    /// Measures waist and darts of a panel into `summary`, as [`build_panel`](Self::build_panel) and `Dart::from_mouth`
    /// build them for an outline; `tests/batch.rs` compares both. Returns a mask of the lanes in which the lengths of the
    /// waist are exact.
    ///
    /// On entry, `summary.area` must be the area of the panel below the level of the waist at the side. The function
    /// subtracts the area between this level and the waist, and the area of the darts.
    #[inline(always)]
    fn measure_waist_and_darts(
        &self,
        shape: WaistShape<T>,
        side: &SideSeamShape<T>,
        summary: &mut PanelSummary<T>,
    ) -> T::Mask {
        let (zero, (seam, _, extra_lowering)) = (T::constant(0.0), shape);
        if let Some(lowering) = extra_lowering {
            summary.extra_lowering = lowering;
        }
        for dart in &self.darts {
            summary.darts.push(DartSummary { intake: zero, length: dart.length, centre: zero, tip: zero });
        }
        summary.width = self.width;
        let (mut outer_x, mut narrowest, mut is_exact) = (zero, T::constant(f64::INFINITY), T::Mask::uniform(true));
        let leans_outwards = seam.loss.lt(zero);
        self.visit_waist_stretches_from_side(
            shape,
            inlined!(|k: usize, stretch: WaistStretch<T>| {
                let height = summary.waist_lowering;
                if let Some(dart) = summary.darts.get_mut(k) {
                    let (inner, outer) =
                        (Point::new(stretch.end_distance_from_centre(), height), Point::new(outer_x, height));
                    let tip = vertical_dart_tip(inner, outer, dart.length);
                    (dart.intake, dart.centre, dart.tip) = (outer.x - inner.x, tip.x, tip.y);
                    summary.area -= dart.intake * (height + dart.length * T::constant(0.5));
                    // Only a side seam that leans outwards at the waist approaches a dart leg below the waist.
                    if leans_outwards.any() {
                        let along_leg = side.min_width_from_leg_to_side([outer, tip], self.width, seam.loss);
                        narrowest = T::select(leans_outwards, narrowest.min(along_leg), narrowest);
                    }
                }
                let (length, is_exact_stretch) = stretch.length_where_exact();
                summary.waist_seam += length;
                is_exact = is_exact & is_exact_stretch;
                narrowest = narrowest.min(stretch.end_distance_from_centre() - stretch.start);
                summary.area -= stretch.area_up_to_side_waist_level(height);
                summary.waist_lowering += stretch.rise;
                outer_x = stretch.start;
            }),
        );
        summary.narrowest_beside_darts = narrowest;
        is_exact
    }
}
