//! Solves the share of the front darts with which the sewn front waist has the measured length plus ease.
//!
//! The side seams keep their share by the rules; back and front darts share the rest.

use super::broyden::solve_by_broyden;
use super::closure::evaluate_closure_out_of_line;
use super::figure::estimated_shares;
use super::kind::DraftKind;
use super::plan::DraftPlan;
use super::solution::Unknown;
use crate::body::Inputs;
use crate::scalar::{Number, inlined};

/// Front waist that the draft must reach, and the shares of back and front darts by the rules. The share of the front
/// darts may be from 0 to the sum of both.
#[derive(Clone, Copy, Debug)]
pub(super) struct FrontWaistTarget<T> {
    /// Wanted length of half the sewn front waist, in centimetres.
    pub(super) wanted_half_length: T,
    /// Shares of the suppression for back and front darts, by the rules.
    pub(super) rule_shares: [T; 2],
    /// Estimated share of the front darts, from which the iteration starts.
    estimated_share: T,
}

impl<T: Number> FrontWaistTarget<T> {
    /// Returns the front waist that the draft must reach; `None` if no front waist is measured, or the rules give no
    /// darts by shares.
    #[inline(always)]
    pub(super) fn from_inputs(inputs: &Inputs<T>, kind: DraftKind) -> Option<Self> {
        let shares = inputs.rules.shares()?;
        if !kind.has_front_waist || kind.share_dart_counts == [0; 2] {
            return None;
        }
        let wanted_half_length =
            inputs.figure.front_waist_arc_with_ease(&inputs.body, &inputs.ease)? * T::constant(0.5);
        let [_, estimated_share] = estimated_shares(inputs, shares);
        Some(Self { wanted_half_length, rule_shares: [shares.back_share, shares.front_share], estimated_share })
    }

    /// Returns a mask of the lanes in which the front darts may take this share.
    #[inline(always)]
    pub(super) fn allows_share(&self, share: T) -> T::Mask {
        T::constant(0.0).lt(share) & share.lt(self.rule_shares[0] + self.rule_shares[1])
    }

    /// Returns by how many centimetres half the front waist becomes shorter with each centimetre of suppression.
    #[inline(always)]
    pub(super) fn half_length_by_suppression(&self) -> T {
        let side = T::constant(1.0) - (self.rule_shares[0] + self.rule_shares[1]);
        self.estimated_share + side * T::constant(0.5)
    }
}

impl<T: Number> DraftPlan<T> {
    /// Sets the plan's share of the front darts to `share`, and that of the back darts to the rest; changes nothing if
    /// the plan has no front waist to reach.
    #[inline(always)]
    pub(super) fn set_front_dart_share(&mut self, share: Unknown<T>) {
        let Some(FrontWaistTarget { rule_shares: [back, front], .. }) = self.front_waist else { return };
        let (zero, darts) = (T::constant(0.0), back + front);
        let has_darts = [0, 1].map(|k: usize| !self.panels[k].darts.is_empty());
        // The share of the only panel with darts exceeds zero, so that they take what the side seams have no room for.
        let least = if matches!(share, Unknown::ByRules) || has_darts == [true; 2] { 0.0 } else { f64::MIN_POSITIVE };
        let shares = match share {
            Unknown::ByRules => [back, front],
            Unknown::Solved(share) => [darts - share, share],
            Unknown::Min => [darts, zero],
            Unknown::Max => [zero, darts],
        };
        let shares = [0, 1].map(|k| if has_darts[k] { shares[k].max(T::constant(least)) } else { zero });
        self.split = self.split.with_shares(shares);
    }

    /// Solves share of the front darts and suppression together. Returns share, suppression, residual of the closure in
    /// centimetres, and a mask of the lanes in which a share within its bounds reaches both the front waist and the
    /// closure.
    #[inline(always)]
    pub(super) fn solve_front_share_and_closure(&mut self, front: &FrontWaistTarget<T>) -> ([T; 3], T::Mask) {
        let (zero, one) = (T::constant(0.0), T::constant(1.0));
        // Unknowns: the suppression, and the part of the nominal suppression that the front darts take. The first
        // inverse is that of a straight waist, where each centimetre taken in makes the waist a centimetre shorter.
        let nominal = self.nominal - self.split.fixed_amount;
        let start = [self.nominal, front.estimated_share * nominal];
        let mut residuals_at = inlined!(|[total, part]: [T; 2]| {
            self.set_front_dart_share(Unknown::Solved(part.quotient(nominal)));
            let ([value, length], is_exact, _) = evaluate_closure_out_of_line(self, total);
            ([value, length - front.wanted_half_length], is_exact)
        });
        let at_start = residuals_at(start);
        let ([total, part], [residual, _], is_solved) =
            solve_by_broyden(start, at_start, [[one, zero], [-front.half_length_by_suppression(), one]], residuals_at);
        let share = part.quotient(nominal);
        self.set_front_dart_share(Unknown::Solved(share));
        ([share, total, residual], is_solved & front.allows_share(share))
    }

    /// Returns half the sewn front waist minus its wanted length, in centimetres, for the suppression `total`.
    pub(super) fn half_front_waist_residual(&self, front: &FrontWaistTarget<T>, total: T) -> T {
        evaluate_closure_out_of_line(self, total).0[1] - front.wanted_half_length
    }
}
