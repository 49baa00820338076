//! Share of the suppression that the front darts take, at which the sewn front waist has the measured length plus ease.
//!
//! The side seams keep their share by the rules; back and front darts share the rest.

use super::panel::{SideSeamAtWaist, WaistStretchBetweenDarts};
use super::plan::DraftPlan;
use crate::body::{Apportionment, Inputs};
use crate::scalar::{Number, Scalar};

/// Measured front waist that the draft must reach, and the shares by the rules that bound the share of the front darts.
#[derive(Clone, Copy, Debug)]
pub(super) struct FrontWaistTarget<T> {
    /// Wanted length of half the sewn front waist, in centimetres.
    wanted: T,
    /// Shares of the suppression for back and front darts, by the rules.
    pub(super) rule_shares: [T; 2],
    /// Whether back and front have darts.
    has_darts: [bool; 2],
}

/// How the share of the suppression that the front darts take is found.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) enum FrontDartShare<T> {
    /// By the rules: the front waist is not measured, or no share gives the wanted front waist.
    #[default]
    ByRules,
    /// Solved: the sewn front waist has the wanted length.
    Solved(T),
    /// Zero: even if the front darts take nothing, the front waist is at most as long as wanted.
    Least,
    /// The shares of back and front together: even if front darts take both, the front waist is at least as long as wanted.
    Most,
}

impl<T> FrontDartShare<T> {
    /// Converts the share to another scalar type by `f`, which is called once for a solved share, and not otherwise.
    pub(super) fn map_number<U>(self, f: &mut impl FnMut(T) -> U) -> FrontDartShare<U> {
        match self {
            Self::ByRules => FrontDartShare::ByRules,
            Self::Solved(share) => FrontDartShare::Solved(f(share)),
            Self::Least => FrontDartShare::Least,
            Self::Most => FrontDartShare::Most,
        }
    }
}

impl<T: Copy> FrontWaistTarget<T> {
    /// Converts every number of the front waist to another scalar type by `f`.
    pub(super) fn map_numbers<U>(self, f: &mut impl FnMut(T) -> U) -> FrontWaistTarget<U> {
        let (wanted, rule_shares) = (f(self.wanted), self.rule_shares.map(&mut *f));
        FrontWaistTarget { wanted, rule_shares, has_darts: self.has_darts }
    }
}

impl<T: Scalar> FrontWaistTarget<T> {
    /// Returns the front waist to be reached; `None` if no front waist is measured, or the rules give no darts by shares.
    pub(super) fn from_inputs(inputs: &Inputs<T>, dart_counts: [usize; 2]) -> Option<Self> {
        let Apportionment::Shares(shares) = &inputs.rules.apportionment else { return None };
        let wanted = inputs.figure.front_waist_arc_with_ease(&inputs.body, &inputs.ease)? * T::constant(0.5);
        let has_darts = dart_counts.map(|count| count > 0);
        let front = Self { wanted, rule_shares: [shares.back_share, shares.front_share], has_darts };
        has_darts.contains(&true).then_some(front)
    }
}

impl<T: Number> DraftPlan<T> {
    /// Sets the plan's shares of back and front darts; changes nothing if the plan has no front waist to reach.
    pub(super) fn set_front_dart_share(&mut self, share: FrontDartShare<T>) {
        let Some(FrontWaistTarget { rule_shares: [back, front], has_darts, .. }) = self.front_waist else { return };
        let (zero, darts) = (T::constant(0.0), back + front);
        // The only panel with darts takes what the side seams have no room for, however small its share.
        let least =
            if matches!(share, FrontDartShare::ByRules) || has_darts == [true; 2] { 0.0 } else { f64::MIN_POSITIVE };
        let shares = match share {
            FrontDartShare::ByRules => [back, front],
            FrontDartShare::Solved(share) => [darts - share, share],
            FrontDartShare::Least => [darts, zero],
            FrontDartShare::Most => [zero, darts],
        };
        let shares = [0, 1].map(|k| if has_darts[k] { shares[k].max(T::constant(least)) } else { zero });
        self.split = self.split.with_shares(shares);
    }

    /// Returns the length of half the sewn front waist minus the wanted length, for the suppression `total`.
    pub(super) fn front_waist_residual(&self, front: &FrontWaistTarget<T>, total: T) -> T {
        let amounts = self.split.split_suppression(total);
        let seam = SideSeamAtWaist::from_loss_of_both_edges(amounts.side, &self.side);
        let mut residual = -front.wanted;
        let extra_lowering = self.extra_centre_lowering(1, &seam, amounts.panels);
        let visit = |_, stretch: WaistStretchBetweenDarts<T>| residual += stretch.stretch_length();
        self.panels[1].visit_waist_stretches_from_side(&seam, amounts.panels[1], extra_lowering, visit);
        residual
    }
}
