//! Effect of a measured figure on a draft: the width of the front, the shares of the darts, and the depths of the waist
//! at the centres.

use super::panel::{PlannedPanel, SideSeamAtWaist, WaistStretch};
use super::plan::{DraftPlan, half_hip_and_half_waist_with_ease};
use super::{Summary, Suppression};
use crate::body::{Figure, Inputs, Shares};
use crate::scalar::{Mask, Number, inlined};

/// Returns by how many centimetres the front panel is wider than a quarter of the hip with ease: by the measured arc
/// over the front at the hip line, or else by the rule `balance`.
#[inline(always)]
pub(super) fn balance_by_figure_or_rule<T: Number>(Inputs { body, figure, ease, rules }: &Inputs<T>) -> T {
    let rule = rules.panel_rules.balance;
    let Some(front) = figure.front_hip_arc_with_ease(body, ease) else { return rule };
    let [hip, _] = half_hip_and_half_waist_with_ease(body, ease);
    T::select(front.is_not_nan(), (front - hip) * T::constant(0.5), rule)
}

/// Returns the shares of the suppression for the darts of back and front: by the measured arc over the front at the
/// waist, or else by the rules.
///
/// The arc gives only an estimate, as it takes the waist as straight. The estimate decides the number of darts, and is
/// the start of the iteration that solves the shares.
#[inline(always)]
pub(super) fn estimated_shares<T: Number>(inputs: &Inputs<T>, shares: &Shares<T>) -> [T; 2] {
    let Inputs { body, figure, ease, rules } = inputs;
    let rule_shares = [shares.back_share, shares.front_share];
    let Some(front) = figure.front_waist_arc_with_ease(body, ease) else { return rule_shares };
    let (half, zero, darts) = (T::constant(0.5), T::constant(0.0), shares.back_share + shares.front_share);
    let [hip, waist] = half_hip_and_half_waist_with_ease(body, ease);
    let front_width = (hip + balance_by_figure_or_rule(inputs) * T::constant(2.0)) * half;
    let nominal = hip - waist - rules.panel_rules.centre_back_in;
    let side = nominal * (T::constant(1.0) - darts);
    let share = (front_width - side * half - front * half).quotient(nominal).max(zero).min(darts);
    let is_estimated = zero.lt(nominal) & front.is_not_nan();
    [T::select(is_estimated, darts - share, rule_shares[0]), T::select(is_estimated, share, rule_shares[1])]
}

/// Measured depths of the waist at the centre of back and front below the waist at the side, before the rules lower the
/// centres; in centimetres, NaN where not measured.
#[derive(Clone, Copy, Debug)]
pub(super) struct MeasuredCentreDepths<T> {
    /// Depths of the waist at centre back and centre front below the waist at the side.
    below_side: [T; 2],
    /// Depth of the waist at the centre back below that at the centre front. Where the side is not measured, only this
    /// difference is known: the mean height of both centres is then that of square corners.
    back_below_front: T,
}

impl<T: Number> MeasuredCentreDepths<T> {
    /// Derives the depths from the lengths to the floor of a figure; `None` if no length is measured.
    #[inline(always)]
    pub(super) fn from_figure(figure: &Figure<T>) -> Option<Self> {
        let Figure { front_length, side_length, back_length, .. } = figure;
        if front_length.is_none() && side_length.is_none() && back_length.is_none() {
            return None;
        }
        let missing = T::constant(f64::NAN);
        let (front, side) = (front_length.unwrap_or(missing), side_length.unwrap_or(missing));
        let back = back_length.unwrap_or(missing);
        Some(Self { below_side: [side - back, side - front], back_below_front: front - back })
    }

    /// Returns masks of the lanes in which the figure decides the depth of the waist at centre back and front.
    #[inline(always)]
    pub(super) fn measured_centre_masks(figure: &Figure<T>) -> [T::Mask; 2] {
        let Some(Self { below_side: [back, front], back_below_front }) = Self::from_figure(figure) else {
            return [T::Mask::uniform(false); 2];
        };
        [back.is_not_nan() | back_below_front.is_not_nan(), front.is_not_nan() | back_below_front.is_not_nan()]
    }
}

impl<T: Number> Summary<T> {
    /// Returns, for back and front, the absolute vertical distance in centimetres from the waist with square corners,
    /// lowered by `back_by` or `front_by`, to the waist at the measured centre; minus infinity where not measured.
    #[inline(always)]
    pub(crate) fn measured_centre_shifts(&self, figure: &Figure<T>, [back_by, front_by]: [T; 2]) -> [T; 2] {
        let ([back, front], none) =
            (MeasuredCentreDepths::measured_centre_masks(figure), T::constant(f64::NEG_INFINITY));
        let [back_panel, front_panel] = &self.panels;
        let shifts = [(back_panel.extra_lowering - back_by).abs(), (front_panel.extra_lowering - front_by).abs()];
        [T::select(back, shifts[0], none), T::select(front, shifts[1], none)]
    }
}

impl<T: Number> Summary<T> {
    /// Returns how far, in centimetres, the measured arcs over the front move each side seam towards the back from its
    /// place by the rules: at the hip line, and at the waist; about 0 where not measured.
    #[inline(always)]
    pub(crate) fn side_seam_shifts_by_arcs(&self, Inputs { body, figure, ease, rules }: &Inputs<T>) -> [T; 2] {
        let ([hip, _], zero) = (half_hip_and_half_waist_with_ease(body, ease), T::constant(0.0));
        let half = T::constant(0.5);
        let at_hip = self.panels[1].width - hip * half - rules.panel_rules.balance;
        let (Some(arc), Some(shares)) = (figure.front_waist, rules.shares()) else { return [at_hip, zero] };
        // Each panel has half of the side seams' suppression.
        let Suppression { total, side, front, .. } = self.suppression;
        let share_by_rules = (T::constant(1.0) + shares.front_share - shares.back_share) * half;
        let by_rules = (total - rules.panel_rules.centre_back_in) * share_by_rules;
        [at_hip, T::select(arc.is_not_nan(), at_hip - (front + side * half) + by_rules, zero)]
    }
}

impl<T: Number> DraftPlan<T> {
    /// Returns by how many centimetres the waist at the measured centre of panel `k` lies below its height with square
    /// corners; 0 where not measured.
    #[inline(always)]
    pub(super) fn measured_extra_lowering(
        &self,
        MeasuredCentreDepths { below_side, back_below_front }: MeasuredCentreDepths<T>,
        k: usize,
        seam: &SideSeamAtWaist<T>,
        intakes: [T; 2],
    ) -> T {
        let (by_corners, is_below_side) =
            (self.panels[k].lowering_by_square_corners(seam, intakes[k]), below_side[k].is_not_nan());
        if is_below_side.all() {
            return below_side[k] - by_corners;
        }
        let other = self.panels[1 - k].lowering_by_square_corners(seam, intakes[1 - k]);
        let [back, front] = if k == 0 { [by_corners, other] } else { [other, by_corners] };
        let shift = (back_below_front - back + front) * T::constant(0.5);
        let shift = if k == 0 { shift } else { -shift };
        let around_mean = T::select(back_below_front.is_not_nan(), shift, T::constant(0.0));
        T::select(is_below_side, below_side[k] - by_corners, around_mean)
    }
}

impl<T: Number> PlannedPanel<T> {
    /// Returns the depth in centimetres of the waist at the centre below the waist at the side, where every seam meets
    /// the waist square and neither rule nor figure moves the centre.
    #[inline(always)]
    fn lowering_by_square_corners(&self, seam: &SideSeamAtWaist<T>, intake: T) -> T {
        let mut lowering = T::constant(0.0);
        self.visit_waist_stretches_from_side(
            (seam, intake, None),
            inlined!(|_, stretch: WaistStretch<T>| lowering += stretch.rise),
        );
        lowering
    }
}
