//! Apportionment of the suppression: the number of darts, and the intakes of darts and side seams.
//!
//! The number of darts depends on the nominal suppression and an estimate of its growth, so it stays fixed while the
//! solver closes the waist. The intakes are functions of the trial suppression, so the limits hold on the finished
//! draft as well. Every intake is a continuous, non-decreasing function of the suppression.
//!
//! Apportionment by shares applies its limits in this order:
//! 1. A panel has the chosen number of darts. If none is chosen, it has no dart if its nominal intake is below the
//!    smallest dart, two if its estimated final intake is above the largest, and else one. The share of a panel without
//!    darts joins the side.
//! 2. A dart takes at most the largest dart; the excess of its panel joins the side.
//! 3. If the side seam would be steeper than its limit, the overflow fills the darts in proportion to their shares
//!    until each panel is full.
//! 4. The remaining overflow stays in the side.

use arrayvec::ArrayVec;

use super::side::SideSeamShape;
use crate::body::{Apportionment, DartPosition, Darts, GivenDart, MAX_DARTS_PER_PANEL, Shares};
use crate::scalar::{Mask, Number, Scalar};

/// Factor by which the estimated growth of the suppression, from nominal to closed waist, is multiplied; with this
/// factor, the estimate exceeds the true growth on most bodies.
///
/// The intake of a single dart is then at most the largest dart, and ordinary bodies need no further limit.
const SUPPRESSION_GROWTH_ESTIMATE_FACTOR: f64 = 1.05;

/// Planned dart: its position is fixed, its intake follows from the suppression; a high hip may shorten it.
///
/// The intake is `fixed_intake + panel_share · p`; `p` is the total intake that the shares assign to the panel's darts.
pub(super) struct PlannedDart<T> {
    fixed_intake: T,
    panel_share: T,
    /// Length by the rules, in centimetres.
    pub(super) rule_length: T,
    pub(super) length: T,
    pub(super) position: DartPosition<T>,
}

impl<T: Number> PlannedDart<T> {
    /// Returns the intake of one dart, given the total intake that the shares assign to the darts of the panel.
    #[inline(always)]
    pub(super) fn intake_from_panel_intake(&self, panel_intake: T) -> T {
        self.fixed_intake + self.panel_share * panel_intake
    }
}

/// Planned darts of one panel, ordered from the centre to the side.
pub(super) type PlannedPanelDarts<T> = ArrayVec<PlannedDart<T>, MAX_DARTS_PER_PANEL>;

/// Rule that splits any suppression among side seams and darts; each array holds one value for back, one for front.
#[derive(Clone, Copy, Debug)]
pub(super) struct SuppressionSplitRule<T> {
    /// Suppression that the rules fix, in centimetres: intakes of given darts, inset of a slanted centre back.
    pub(super) fixed_amount: T,
    /// Shares, of the suppression above `fixed_amount`, that the darts of the back and those of the front take; 0 for a
    /// panel without darts by shares.
    shares: [T; 2],
    /// Fractions, of the side edges' intake above `side_limit`, that go to the darts of the back and to those of the
    /// front while neither panel is at its maximum.
    overflow_shares: [T; 2],
    /// Maximum total intake, in centimetres, that the shares may assign to the darts of back and front.
    max_intakes: [T; 2],
    /// Maximum intake of back and front side edge together, in centimetres; darts that have room take any excess.
    pub(super) side_limit: T,
}

/// Dart lists of back and front, filled in place, as copying lanes is slow.
pub(super) type DartListsMut<'a, T> = [&'a mut PlannedPanelDarts<T>; 2];

/// Result of splitting a suppression of half the garment among side seams and panels, in centimetres.
pub(super) struct SplitAmounts<T: Number> {
    /// Intake of the back and the front side edge together, in centimetres.
    pub(super) side: T,
    /// Total intake in centimetres that the shares assign to the darts of the back, then to those of the front.
    pub(super) panel_intakes: [T; 2],
    /// Part of the side edges' intake above their limit, in centimetres, for which no dart has room.
    pub(super) left_in_side: T,
    /// Set of three flags: the side edges' intake exceeds its limit; the intake of the back, and of the front, is below
    /// its maximum. Between two suppressions with equal flags, all amounts are linear in the suppression.
    pub(super) active_limits: <T::Mask as Mask>::FlagSet,
}

/// Fills the dart lists, with `counts` darts by shares, and returns the rule that splits any suppression.
///
/// `max_lean_tangent` is the tangent of the steepest lean of the side seam; given darts do not use it.
#[inline(always)]
pub(super) fn plan_darts_and_split<T: Number>(
    side: &SideSeamShape<T>,
    rules: &Apportionment<T>,
    counts: [usize; 2],
    max_lean_tangent: T,
    darts: DartListsMut<T>,
) -> SuppressionSplitRule<T> {
    match rules {
        Apportionment::Shares(shares) => {
            append_darts_by_shares(counts, side.depth, shares, darts);
            let max_darts = [T::constant(counts[0] as f64), T::constant(counts[1] as f64)];
            let rule_shares = [shares.back_share, shares.front_share];
            SuppressionSplitRule::from_shares(max_darts, side, (shares, rule_shares), max_lean_tangent)
        }
        Apportionment::Darts(Darts { back, front }) => {
            let mut split = SuppressionSplitRule::all_to_side_seams();
            for (given, darts) in [back, front].into_iter().zip(darts) {
                for &GivenDart { intake: fixed_intake, length, place: position } in
                    given.iter().take(MAX_DARTS_PER_PANEL)
                {
                    split.fixed_amount += fixed_intake;
                    let panel_share = T::constant(0.0);
                    darts.push(PlannedDart { fixed_intake, panel_share, rule_length: length, length, position });
                }
            }
            split
        }
    }
}

/// Numbers of darts that the shares give, and the estimates that decide them.
pub(super) struct EstimatedDarts<T: Number> {
    /// For back and for front, three masks of the lanes with at least one, at least two and three darts.
    pub(super) count_masks: [[T::Mask; MAX_DARTS_PER_PANEL]; 2],
    /// Estimated growth of the suppression, from nominal to closed waist, in centimetres.
    pub(super) growth: T,
    /// Parts of the suppression after this growth.
    pub(super) amounts: SplitAmounts<T>,
}

/// Estimates the numbers of darts that the shares give.
///
/// `centre_back_in` is the part of the nominal suppression, in centimetres, that the centre back seam takes, `widths`
/// are those of both panels at the hip line, and `shares` those of back and front darts.
#[inline(always)]
pub(super) fn estimate_darts_by_shares<T: Number>(
    [nominal, centre_back_in]: [T; 2],
    widths: [T; 2],
    side: &SideSeamShape<T>,
    (rules, shares): (&Shares<T>, [T; 2]),
    max_lean_tangent: T,
) -> EstimatedDarts<T> {
    let (zero, two, largest, chosen) =
        (T::constant(0.0), T::constant(2.0), rules.largest_dart_intakes(), rules.dart_count_rules());
    let mut max_darts = [zero; 2];
    for k in [0, 1] {
        max_darts[k] = match chosen[k].chosen_count() {
            Some(count) => T::constant(count as f64),
            None => T::select(((nominal - centre_back_in) * shares[k]).lt(rules.smallest_dart), zero, two),
        };
    }
    let mut split = SuppressionSplitRule::from_shares(max_darts, side, (rules, shares), max_lean_tangent);
    split.fixed_amount = centre_back_in;
    let panels = [[widths[0], centre_back_in], [widths[1], zero]];
    let growth = estimated_suppression_growth(&split.split_suppression(nominal), panels, side, rules, max_darts);
    let amounts = split.split_suppression(nominal + growth);
    let intakes = amounts.panel_intakes;
    let mut count_masks = [[T::Mask::uniform(false); MAX_DARTS_PER_PANEL]; 2];
    for k in [0, 1] {
        if let Some(count) = chosen[k].chosen_count() {
            for (index, mask) in count_masks[k].iter_mut().enumerate() {
                *mask = T::Mask::uniform(count > index);
            }
        } else {
            (count_masks[k][0], count_masks[k][1]) = (zero.lt(intakes[k]), largest[k].lt(intakes[k]));
        }
    }
    EstimatedDarts { count_masks, growth, amounts }
}

/// Estimates by how many centimetres the suppression grows from nominal until the waist is closed, for panels with up
/// to `max_darts` darts.
///
/// A stretch of the waist with run `d` is longer than its run by about `d (a² + a b + b²) / 6`, where `a` and `b` are
/// the tangents of the tilts at its ends. The sum over a panel with `c` darts, which lean by `g`, and a side seam,
/// which leans by `α`, is `d ((c + 1) g² + α² − α g) / 6`. For ordinary bodies the growth is 0.97 to 1.04 times the
/// sum.
///
/// `panels` holds the hip width and the inset of the centre at the waist, of the back and of the front. A centre that
/// slants by the tangent `t` bends the waist, too, and is less inset where the waist lies lower: by `t d (α − t) / 2`.
/// Both together add `d t (3 α − 2 t − g) / 6`.
#[inline(always)]
fn estimated_suppression_growth<T: Number>(
    nominal: &SplitAmounts<T>,
    panels: [[T; 2]; 2],
    side: &SideSeamShape<T>,
    rules: &Shares<T>,
    max_darts: [T; 2],
) -> T {
    let (one, lean, largest) =
        (T::constant(1.0), side.lean_tangent_at_waist(nominal.side), rules.largest_dart_intakes());
    let (lengths, mut growth) = ([rules.back_inner_length, rules.front_inner_length], T::constant(0.0));
    for k in [0, 1] {
        let intake = nominal.panel_intakes[k];
        // A panel that may have several darts is estimated with one while its intake fits in one.
        let count = T::select(intake.le(largest[k]), one.min(max_darts[k]), max_darts[k]);
        let leg = intake.quotient(lengths[k] * side.depth * (count + count).max(one));
        let [width, inset] = panels[k];
        let run = (width - nominal.side * T::constant(0.5) - intake - inset).quotient(count + one);
        growth += run * ((count + one) * leg * leg + lean * (lean - leg));
        if T::constant(0.0).lt(inset).any() {
            let slant = inset.quotient(side.depth);
            growth += run * slant * (lean + lean + lean - slant - slant - leg);
        }
    }
    growth * T::constant(SUPPRESSION_GROWTH_ESTIMATE_FACTOR / 6.0)
}

pub(crate) fn tangent_of_degrees<T: Scalar>(degrees: T) -> T {
    (degrees * T::constant(std::f64::consts::PI / 180.0)).tan()
}

/// Appends `counts[0]` darts to the back list and `counts[1]` to the front list, 0 to 3 each, by the rules for shares.
#[inline(always)]
fn append_darts_by_shares<T: Number>(counts: [usize; 2], depth: T, rules: &Shares<T>, darts: DartListsMut<T>) {
    let back = [&rules.back_inner_length, &rules.back_outer_length];
    let front = [&rules.front_inner_length, &rules.front_outer_length];
    for ((count, [inner, outer]), darts) in counts.into_iter().zip([back, front]).zip(darts) {
        for index in 0..count {
            let (place, length, panel_share) = match (count, index) {
                (1, _) => (rules.single_place, *inner, 1.0),
                (2, 0) => (rules.inner_place, *inner, 0.5),
                (2, _) => (rules.outer_place, *outer, 0.5),
                // No published method places three darts: the places are equally spaced, and the middle length is the
                // mean of the others.
                (_, 0) => (T::constant(0.25), *inner, 1.0 / 3.0),
                (_, 1) => (T::constant(0.5), (*inner + *outer) * T::constant(0.5), 1.0 / 3.0),
                _ => (T::constant(0.75), *outer, 1.0 / 3.0),
            };
            let (fixed_intake, panel_share) = (T::constant(0.0), T::constant(panel_share));
            let (length, position) = (length * depth, DartPosition::Share(place));
            darts.push(PlannedDart { fixed_intake, panel_share, rule_length: length, length, position });
        }
    }
}

impl<T: Number> SuppressionSplitRule<T> {
    /// Returns the rule that gives the whole suppression to the side seams.
    #[inline(always)]
    pub(super) fn all_to_side_seams() -> Self {
        let zero = T::constant(0.0);
        let (zeros, side_limit) = ([zero; 2], T::constant(f64::MAX));
        Self { fixed_amount: zero, shares: zeros, overflow_shares: zeros, max_intakes: zeros, side_limit }
    }

    /// Returns the rule that splits any suppression by shares.
    ///
    /// `max_darts` holds the maximum numbers of darts of back and of front; `max_lean_tangent` is the tangent of the
    /// steepest lean of the side seam.
    #[inline(always)]
    fn from_shares(
        max_darts: [T; 2],
        side: &SideSeamShape<T>,
        (rules, shares): (&Shares<T>, [T; 2]),
        max_lean_tangent: T,
    ) -> Self {
        let ([back, front], [largest_back, largest_front], zero) =
            (max_darts, rules.largest_dart_intakes(), T::constant(0.0));
        let shares = [T::select(zero.lt(back), shares[0], zero), T::select(zero.lt(front), shares[1], zero)];
        let (max_intakes, side_limit) =
            ([largest_back * back, largest_front * front], side.total_loss_at_lean_tangent(max_lean_tangent));
        Self { max_intakes, side_limit, ..Self::all_to_side_seams() }.with_shares(shares)
    }

    /// Returns this rule with the shares of the suppression for the darts of back and front replaced by `shares`.
    #[inline(always)]
    pub(super) fn with_shares(self, shares: [T; 2]) -> Self {
        // The lower bound keeps the inverse finite where both shares are 0.
        let inverse = T::constant(1.0).quotient((shares[0] + shares[1]).max(T::constant(f64::MIN_POSITIVE)));
        Self { shares, overflow_shares: [shares[0] * inverse, shares[1] * inverse], ..self }
    }

    /// Splits a suppression of half the garment, in centimetres, into amounts for side seams and darts.
    #[inline(always)]
    pub(super) fn split_suppression(&self, suppression: T) -> SplitAmounts<T> {
        let zero = T::constant(0.0);
        let ([back, front], [max_back, max_front]) = (self.shares, self.max_intakes);
        let shared = suppression - self.fixed_amount;
        let (back, front) = ((back * shared).min(max_back), (front * shared).min(max_front));
        let side = shared - back - front;
        let overflow = (side - self.side_limit).max(zero);
        let raised_back = back + overflow * self.overflow_shares[0];
        let raised_front = front + overflow * self.overflow_shares[1];
        // A full panel passes its excess to the other panel; the excess of two full panels stays in the side.
        let filled_back = (raised_back + (raised_front - max_front).max(zero)).min(max_back);
        let filled_front = (raised_front + (raised_back - max_back).max(zero)).min(max_front);
        let left_in_side = (overflow - (max_back - back) - (max_front - front)).max(zero);
        let limits = [self.side_limit.lt(side), filled_back.lt(max_back), filled_front.lt(max_front)];
        SplitAmounts {
            side: side.min(self.side_limit) + left_in_side,
            panel_intakes: [filled_back, filled_front],
            left_in_side,
            active_limits: T::Mask::flag_set_from_masks(limits),
        }
    }
}
