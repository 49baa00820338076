//! What the figure of a body decides about its draft: the width of the front, and the heights of the waist at the centres.

use super::panel::{PlannedPanel, SideSeamAtWaist};
use super::plan::{DraftPlan, half_hip_and_half_waist_with_ease};
use crate::body::{Apportionment, Figure, Inputs, Rules};
use crate::scalar::{Number, Scalar};

/// Returns the rules with the numbers that the figure decides: the balance, and a first estimate of the shares of the darts.
///
/// The estimate measures the waist straight across. It decides the number of darts; the closure then solves the shares.
pub(super) fn rules_with_numbers_from_figure<T: Scalar>(inputs: &Inputs<T>) -> Rules<T> {
    let Inputs { body, figure, ease, rules } = inputs;
    let (mut rules, half) = (rules.clone(), T::constant(0.5));
    let [hip, waist] = half_hip_and_half_waist_with_ease(body, ease);
    if let Some(front) = figure.front_hip_with_ease(body, ease) {
        rules.panel_rules.balance = (front - hip) * half;
    }
    let front_width = (hip + rules.panel_rules.balance * T::constant(2.0)) * half;
    if let (Apportionment::Shares(shares), Some(front)) =
        (&mut rules.apportionment, figure.front_waist_with_ease(body, ease))
    {
        let (nominal, darts) = (hip - waist - rules.panel_rules.centre_back_in, shares.back_share + shares.front_share);
        let side = nominal * (T::constant(1.0) - darts);
        if nominal.re() > 0.0 {
            let share = (front_width - side * half - front * half).quotient(nominal);
            shares.front_share = share.max(T::constant(0.0)).min(darts);
            shares.back_share = darts - shares.front_share;
        }
    }
    rules
}

/// Heights of the waist at the centre of back and front, before the rules lower them on purpose.
#[derive(Clone, Copy, Debug)]
pub(super) enum CentreHeights<T> {
    /// Not measured: the heights at which the waist meets every seam square.
    BySquareCorners,
    /// Measured depths of the centres below the waist at the side, back and front; `None` for a centre that is not measured.
    BelowSide([Option<T>; 2]),
    /// Measured depth of the centre back below the centre front; only their mean height follows from square corners.
    BackBelowFront(T),
}

impl<T: Number> CentreHeights<T> {
    /// Derives the heights from the three lengths of a figure, each of which may be missing.
    pub(super) fn from_figure(figure: &Figure<T>) -> Self {
        match (figure.side_length, figure.back_length, figure.front_length) {
            (Some(side), back, front) => {
                Self::BelowSide([back, front].map(|length| length.map(|length| side - length)))
            }
            (None, Some(back), Some(front)) => Self::BackBelowFront(front - back),
            _ => Self::BySquareCorners,
        }
    }

    /// Returns, for back and front, whether the figure decides the height.
    pub(super) fn is_measured(&self) -> [bool; 2] {
        match self {
            Self::BySquareCorners => [false; 2],
            Self::BelowSide(depths) => depths.each_ref().map(Option::is_some),
            Self::BackBelowFront(_) => [true; 2],
        }
    }
}

impl<T: Copy> CentreHeights<T> {
    /// Converts every number of the heights to another scalar type by `f`.
    pub(super) fn map_numbers<U>(self, f: &mut impl FnMut(T) -> U) -> CentreHeights<U> {
        match self {
            Self::BySquareCorners => CentreHeights::BySquareCorners,
            Self::BelowSide(depths) => CentreHeights::BelowSide(depths.map(|depth| depth.map(&mut *f))),
            Self::BackBelowFront(depth) => CentreHeights::BackBelowFront(f(depth)),
        }
    }
}

impl<T: Number> DraftPlan<T> {
    /// Returns by how much the centre of panel `k` (0 back, 1 front) lies lower than square corners put it; `None` where
    /// nothing moves it. `intakes` are the amounts that the shares assign to the darts of back and front.
    #[inline(always)]
    pub(super) fn extra_lowering(&self, k: usize, seam: &SideSeamAtWaist<T>, intakes: [T; 2]) -> Option<T> {
        let panel = &self.panels[k];
        if panel.symmetric {
            return None;
        }
        match self.heights {
            CentreHeights::BySquareCorners => Some(panel.extra_lowering),
            heights => Some(panel.extra_lowering + self.measured_extra_lowering(heights, k, seam, intakes)),
        }
    }

    /// Returns by how much the measured centre of panel `k` lies lower than the centre of a waist that meets every seam square.
    #[cold]
    #[inline(never)]
    fn measured_extra_lowering(
        &self,
        heights: CentreHeights<T>,
        k: usize,
        seam: &SideSeamAtWaist<T>,
        intakes: [T; 2],
    ) -> T {
        let by_corners = |k: usize| self.panels[k].lowering_by_square_corners(seam, intakes[k]);
        match heights {
            CentreHeights::BelowSide(depths) => depths[k].map_or(T::constant(0.0), |depth| depth - by_corners(k)),
            CentreHeights::BackBelowFront(depth) => {
                let to_move = (depth - by_corners(0) + by_corners(1)) * T::constant(0.5);
                if k == 0 { to_move } else { -to_move }
            }
            CentreHeights::BySquareCorners => T::constant(0.0),
        }
    }
}

impl<T: Number> PlannedPanel<T> {
    /// Returns the depth of the centre of the waist below the side where every seam meets the waist square and nothing
    /// moves the centre.
    fn lowering_by_square_corners(&self, seam: &SideSeamAtWaist<T>, intake: T) -> T {
        let mut lowering = T::constant(0.0);
        self.visit_waist_stretches_from_side(seam, intake, None, |_, stretch| lowering += stretch.rise);
        lowering
    }
}
