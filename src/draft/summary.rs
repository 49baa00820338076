//! What a table tells of a draft: its numbers without its drawing.

use arrayvec::ArrayVec;

use super::apportion::Amounts;
use super::closure::{ArcLength, OneBody};
use super::panel::{PanelPlan, Seam, corners};
use super::{Draft, Plan, Suppression};
use crate::body::MAX_DARTS;
use crate::geometry::Point;
use crate::scalar::Number;

/// The numbers of a draft, in centimetres, over plain numbers or several side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct Summary<T: Number = f64> {
    /// The nominal suppression.
    pub nominal: Suppression<T>,
    /// The suppression as drafted.
    pub suppression: Suppression<T>,
    /// What the side seams take beyond their limit.
    pub left_in_side: T,
    /// The tangent of the angle by which the side seam leans from the upright at the waist.
    pub lean: T,
    /// The length of the side seam from the waist to the hem.
    pub side_seam: T,
    /// Back and front.
    pub panels: [PanelSummary<T>; 2],
}

/// The numbers of a panel.
#[derive(Clone, Debug, PartialEq)]
pub struct PanelSummary<T: Number = f64> {
    /// Width at the hip line and below.
    pub width: T,
    /// Length of the waist along its curve with the darts closed.
    pub waist_seam: T,
    /// How far the centre of the waist lies below the waist at the side.
    pub waist_lowering: T,
    /// Length of the centre line.
    pub centre_seam: T,
    /// The cloth inside the outline, in square centimetres.
    pub area: T,
    /// The least cloth between two neighbours along the waist, straight across.
    pub narrowest: T,
    /// The darts from the centre to the side.
    pub darts: ArrayVec<DartSummary<T>, MAX_DARTS>,
}

/// The numbers of a dart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DartSummary<T: Number = f64> {
    /// Width of the mouth.
    pub intake: T,
    /// From the mouth to the tip.
    pub length: T,
    /// From the centre line to its centre.
    pub centre: T,
    /// How far its tip lies below the waist at the side.
    pub tip: T,
}

impl Draft {
    /// The numbers of this draft.
    #[must_use]
    pub fn summary(&self) -> Summary {
        let plan = Plan::of(&self.inputs);
        let total = self.suppression.total;
        let amounts = [plan.nominal, total].map(|suppression| plan.sharing.amounts(suppression));
        let mut summary = Summary::empty();
        plan.measure(total, &amounts, self.inputs.body.length, &mut OneBody, &mut summary);
        summary
    }
}

impl<T: Number> Plan<T> {
    /// Measures the draft with this suppression; the amounts are those of the nominal one and of this.
    ///
    /// The empty summary is filled where it is, as to move what is told of several bodies takes time.
    #[inline(always)]
    pub(super) fn measure(
        &self,
        total: T,
        amounts: &[Amounts<T>; 2],
        hem: T,
        arc: &mut impl ArcLength<T>,
        summary: &mut Summary<T>,
    ) {
        let [nominal, drafted] = amounts;
        summary.nominal = self.suppression(self.nominal, nominal);
        summary.suppression = self.suppression(total, drafted);
        summary.left_in_side = drafted.left_in_side;
        summary.lean = self.side.tangent(drafted.side);
        // The side seams of back and front are one curve.
        let seam = Seam::new(drafted.side, &self.side);
        summary.side_seam = arc.side(seam.loss, &self.side) + (hem - self.side.depth);
        for ((panel, amount), summary) in self.panels.iter().zip(drafted.panels).zip(&mut summary.panels) {
            summary.area = panel.width * hem - self.side.area_inside(seam.loss);
            panel.measure(&seam, amount, arc, summary);
            summary.centre_seam = hem - summary.waist_lowering;
        }
    }
}

impl<T: Number> PanelPlan<T> {
    /// Measures the panel along its waist; the area is that of the panel below the level of the side.
    #[inline(always)]
    fn measure(&self, seam: &Seam<T>, amount: T, arc: &mut impl ArcLength<T>, summary: &mut PanelSummary<T>) {
        let zero = T::constant(0.0);
        for dart in &self.darts {
            summary.darts.push(DartSummary { intake: zero, length: dart.length, centre: zero, tip: zero });
        }
        summary.width = self.width;
        let mut after = zero;
        self.stretches(
            seam,
            amount,
            #[inline(always)]
            |k, stretch| {
                let height = summary.waist_lowering;
                if let Some(dart) = summary.darts.get_mut(k) {
                    let (inner, outer) = (Point::new(stretch.end(), height), Point::new(after, height));
                    let [inner, tip, outer] = corners(inner, outer, dart.length);
                    (dart.intake, dart.centre, dart.tip) = (outer.x - inner.x, tip.x, tip.y);
                    summary.area -= dart.intake * (height + dart.length * T::constant(0.5));
                }
                summary.waist_seam += arc.stretch(&stretch);
                summary.narrowest = summary.narrowest.min(stretch.end() - stretch.start);
                summary.area -= stretch.above(height);
                summary.waist_lowering += stretch.rise;
                after = stretch.start;
            },
        );
    }
}

impl<T: Number> Summary<T> {
    #[inline(always)]
    pub(super) fn empty() -> Self {
        let zero = T::constant(0.0);
        let none = Suppression { total: zero, side: zero, back: zero, front: zero };
        let panels = [PanelSummary::empty(), PanelSummary::empty()];
        Self { nominal: none, suppression: none, left_in_side: zero, lean: zero, side_seam: zero, panels }
    }
}

impl<T: Number> PanelSummary<T> {
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
