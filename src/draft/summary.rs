//! Summary of a draft: every number that a table of drafts holds, without the outline, for one body or for lanes.

use arrayvec::ArrayVec;

use super::apportion::SplitAmounts;
use super::closure::{ArcLength, OneBodyArcLength};
use super::panel::{PanelPlan, SideSeam, dart_corners};
use super::{Draft, Plan, Suppression};
use crate::body::MAX_DARTS;
use crate::geometry::Point;
use crate::scalar::Number;

/// Measurements of a draft without its outline, in centimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct Summary<T: Number = f64> {
    /// Nominal suppression, before the waist is closed.
    pub nominal: Suppression<T>,
    /// Suppression as drafted, with the waist closed.
    pub suppression: Suppression<T>,
    /// Part of the suppression above the side seams' limit for which no dart has room, on half the garment.
    pub left_in_side: T,
    /// Tangent of the side seam's lean from the upright at the waist; positive inwards.
    pub lean: T,
    /// Length of the side seam from the waist to the hem.
    pub side_seam: T,
    /// Measurements of the back panel, then of the front panel.
    pub panels: [PanelSummary<T>; 2],
}

/// Measurements of one panel, in centimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct PanelSummary<T: Number = f64> {
    /// Width of the panel at the hip line and below.
    pub width: T,
    /// Length of the waist along its curve with the darts closed.
    pub waist_seam: T,
    /// Depth of the centre of the waist below the waist at the side.
    pub waist_lowering: T,
    /// Length of the centre line from waist to hem.
    pub centre_seam: T,
    /// Area of the cloth inside the outline, in square centimetres.
    pub area: T,
    /// Minimum width of cloth, straight across, between two neighbours on the waist (centre, dart leg or side seam).
    pub narrowest: T,
    /// Measurements of the darts, from the centre to the side.
    pub darts: ArrayVec<DartSummary<T>, MAX_DARTS>,
}

/// Measurements of one dart, in centimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DartSummary<T: Number = f64> {
    /// Width of the dart's mouth.
    pub intake: T,
    /// Length of the dart from mouth to tip.
    pub length: T,
    /// Distance from the centre line to the dart's centre.
    pub centre: T,
    /// Depth of the dart's tip below the waist at the side.
    pub tip: T,
}

impl Draft {
    /// Measures the draft and returns its numbers without its outline.
    #[must_use]
    pub fn summary(&self) -> Summary {
        let plan = Plan::from_inputs(&self.inputs);
        let total = self.suppression.total;
        let amounts = [plan.nominal, total].map(|suppression| plan.split.amounts(suppression));
        let mut summary = Summary::empty();
        plan.measure(total, &amounts, self.inputs.body.length, &mut OneBodyArcLength, &mut summary);
        summary
    }
}

impl<T: Number> Plan<T> {
    /// Measures the draft at a suppression and fills an empty summary in place, as copying lanes is slow.
    ///
    /// `amounts` holds the amounts of the nominal suppression, then of `total`.
    #[inline(always)]
    pub(super) fn measure(
        &self,
        total: T,
        amounts: &[SplitAmounts<T>; 2],
        hem: T,
        arc: &mut impl ArcLength<T>,
        summary: &mut Summary<T>,
    ) {
        let [nominal, drafted] = amounts;
        summary.nominal = self.suppression(self.nominal, nominal);
        summary.suppression = self.suppression(total, drafted);
        summary.left_in_side = drafted.left_in_side;
        summary.lean = self.side.lean_tangent(drafted.side);
        // The side seams of back and front are one curve.
        let seam = SideSeam::from_total_loss(drafted.side, &self.side);
        summary.side_seam = arc.side_length(seam.loss, &self.side) + (hem - self.side.depth);
        for ((panel, intake), summary) in self.panels.iter().zip(drafted.panels).zip(&mut summary.panels) {
            summary.area = panel.width * hem - self.side.inset_area(seam.loss);
            panel.measure(&seam, intake, arc, summary);
            summary.centre_seam = hem - summary.waist_lowering;
        }
    }
}

impl<T: Number> PanelPlan<T> {
    /// Measures waist and darts of a panel, and subtracts their area from `summary.area`.
    ///
    /// `summary.area` must start as the area of the panel below the level of the waist at the side.
    #[inline(always)]
    fn measure(&self, seam: &SideSeam<T>, intake: T, arc: &mut impl ArcLength<T>, summary: &mut PanelSummary<T>) {
        let zero = T::constant(0.0);
        for dart in &self.darts {
            summary.darts.push(DartSummary { intake: zero, length: dart.length, centre: zero, tip: zero });
        }
        summary.width = self.width;
        let mut outer_x = zero;
        self.visit_stretches(
            seam,
            intake,
            #[inline(always)]
            |k, stretch| {
                let height = summary.waist_lowering;
                if let Some(dart) = summary.darts.get_mut(k) {
                    let (inner, outer) = (Point::new(stretch.end(), height), Point::new(outer_x, height));
                    let [inner, tip, outer] = dart_corners(inner, outer, dart.length);
                    (dart.intake, dart.centre, dart.tip) = (outer.x - inner.x, tip.x, tip.y);
                    summary.area -= dart.intake * (height + dart.length * T::constant(0.5));
                }
                summary.waist_seam += arc.stretch_length(&stretch);
                summary.narrowest = summary.narrowest.min(stretch.end() - stretch.start);
                summary.area -= stretch.area_above(height);
                summary.waist_lowering += stretch.rise;
                outer_x = stretch.start;
            },
        );
    }
}

impl<T: Number> Summary<T> {
    /// Returns a summary of zeros without darts, to be filled by [`Plan::measure`].
    #[inline(always)]
    pub(super) fn empty() -> Self {
        let zero = T::constant(0.0);
        let none = Suppression { total: zero, side: zero, back: zero, front: zero };
        let panels = [PanelSummary::empty(), PanelSummary::empty()];
        Self { nominal: none, suppression: none, left_in_side: zero, lean: zero, side_seam: zero, panels }
    }
}

impl<T: Number> PanelSummary<T> {
    /// Returns a panel summary of zeros without darts; `narrowest` starts at infinity.
    #[inline(always)]
    fn empty() -> Self {
        let zero = T::constant(0.0);
        Self {
            width: zero,
            waist_seam: zero,
            waist_lowering: zero,
            centre_seam: zero,
            area: zero,
            narrowest: T::constant(f64::INFINITY),
            darts: ArrayVec::new(),
        }
    }
}
