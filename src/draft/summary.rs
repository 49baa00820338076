//! What a table tells of a draft: its numbers without its drawing.

use arrayvec::ArrayVec;

use super::apportion::Amounts;
use super::closure::{Alone, Tape};
use super::panel::outline;
use super::{Draft, Plan, Suppression};
use crate::body::MOST_DARTS;
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
    pub darts: ArrayVec<DartSummary<T>, MOST_DARTS>,
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
        plan.summary(total, &amounts, self.inputs.body.length, &mut Alone)
    }
}

impl<T: Number> Plan<T> {
    /// The numbers of the draft with this suppression; the amounts are those of the nominal one and of this.
    #[inline(always)]
    pub(super) fn summary(&self, total: T, amounts: &[Amounts<T>; 2], hem: T, tape: &mut impl Tape<T>) -> Summary<T> {
        let [nominal, drafted] = amounts;
        // The side seams of back and front are one curve.
        let side_seam = tape.side(drafted.side * T::constant(0.5), &self.side) + (hem - self.side.depth);
        let panels = [self.panel_summary(0, drafted, hem, tape), self.panel_summary(1, drafted, hem, tape)];
        Summary {
            nominal: self.suppression(self.nominal, nominal),
            suppression: self.suppression(total, drafted),
            left_in_side: drafted.left_in_side,
            lean: self.side.tangent(drafted.side),
            side_seam,
            panels,
        }
    }

    #[inline(always)]
    fn panel_summary(&self, k: usize, amounts: &Amounts<T>, hem: T, tape: &mut impl Tape<T>) -> PanelSummary<T> {
        let (panel, loss, amount) = (&self.panels[k], amounts.side * T::constant(0.5), amounts.panels[k]);
        let mut waist_seam = T::constant(0.0);
        let waist = panel.waist(
            amounts.side,
            amount,
            &self.side,
            #[inline(always)]
            |stretch| waist_seam += tape.stretch(stretch, panel.even),
        );
        let mut area = T::constant(0.0);
        outline(
            panel.width,
            panel.darts.len(),
            #[inline(always)]
            |k| waist.curve(k),
            #[inline(always)]
            |k| waist.corners(k, panel.darts[k].length),
            self.side.cubic(panel.width, loss),
            hem,
            #[inline(always)]
            |edge| area += edge.path.swept(),
        );
        let mut darts = ArrayVec::new();
        for (k, dart) in panel.darts.iter().enumerate() {
            let [inner, tip, outer] = waist.corners(k, dart.length);
            darts.push(DartSummary { intake: outer.x - inner.x, length: dart.length, centre: tip.x, tip: tip.y });
        }
        let (width, waist_lowering, narrowest) = (panel.width, waist.lowering, waist.narrowest());
        let centre_seam = hem - waist_lowering;
        PanelSummary { width, waist_seam, waist_lowering, centre_seam, area, narrowest, darts }
    }
}
