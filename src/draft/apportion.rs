//! Apportionment of the suppression: the number of darts, and the intakes of darts and side seams.
//!
//! The number of darts depends on the nominal suppression alone, so it stays fixed while the solver closes the waist.
//! The intakes are functions of the trial suppression, so the limits hold on the finished draft as well. Every intake
//! is a continuous, non-decreasing function of the suppression.
//!
//! Apportionment by shares applies its limits in this order:
//! 1. A panel whose nominal intake is below the smallest dart has no dart; its share joins the side.
//! 2. A panel takes at most twice the largest dart; the excess joins the side.
//! 3. If the side seam would be steeper than its limit, the overflow fills the darts in proportion to their shares
//!    until each panel is full.
//! 4. The remaining overflow stays in the side.

use arrayvec::ArrayVec;

use super::side::SideCurve;
use crate::body::{Apportionment, DartPosition, Darts, FixedDart, MAX_DARTS, Shares};
use crate::scalar::{Number, Scalar};

/// Planned dart, whose intake depends on the suppression.
///
/// The intake is `fixed_intake + panel_share · p`, where `p` is the total intake of the panel's darts by shares.
#[derive(Clone, Copy, Debug)]
pub(super) struct DartPlan<T> {
    fixed_intake: T,
    panel_share: T,
    pub(super) length: T,
    pub(super) position: DartPosition<T>,
}

impl<T: Number> DartPlan<T> {
    /// Returns the dart's intake, given the total intake of the panel's darts by shares.
    #[inline(always)]
    pub(super) fn intake(&self, panel_intake: T) -> T {
        self.fixed_intake + self.panel_share * panel_intake
    }
}

impl<T: Copy> DartPlan<T> {
    /// Converts every number of the planned dart to another scalar type.
    pub(super) fn map<U>(&self, f: &mut impl FnMut(T) -> U) -> DartPlan<U> {
        let (fixed_intake, panel_share) = (f(self.fixed_intake), f(self.panel_share));
        DartPlan { fixed_intake, panel_share, length: f(self.length), position: self.position.map(f) }
    }
}

/// Planned darts of one panel, ordered from the centre to the side.
pub(super) type DartPlans<T> = ArrayVec<DartPlan<T>, MAX_DARTS>;

/// Rule that splits any suppression among side seams and darts; arrays hold the back panel, then the front panel.
#[derive(Clone, Copy, Debug)]
pub(super) struct SuppressionSplit<T> {
    /// Sum of the intakes of all given darts, in centimetres.
    fixed_intakes: T,
    /// Share of the suppression for each panel; 0 for a panel without darts by shares.
    shares: [T; 2],
    /// Fraction of the side seam's overflow for each panel while no panel is full.
    overflow_shares: [T; 2],
    /// Maximum total intake of each panel's darts by shares, in centimetres.
    max_intakes: [T; 2],
    /// Intake of both side edges together, in centimetres, above which darts take the overflow.
    side_limit: T,
}

/// Dart lists of back and front, borrowed to be filled in place, as copying lanes is slow.
pub(super) type DartLists<'a, T> = [&'a mut DartPlans<T>; 2];

/// Amounts in centimetres into which a suppression of half the garment is split.
#[derive(Clone, Copy, Debug)]
pub(super) struct SplitAmounts<T> {
    /// Intake of the back and the front side edge together.
    pub(super) side: T,
    /// Total intake of the darts by shares in the back panel, then in the front panel.
    pub(super) panels: [T; 2],
    /// Part of the side intake above the side limit for which no dart has room.
    pub(super) left_in_side: T,
    /// Code of the active limits; between two suppressions with equal codes every amount is linear.
    pub(super) active_limits: T,
}

/// Plans the darts from the nominal suppression and returns the rule that splits any suppression.
pub(super) fn apportion<T: Scalar>(
    nominal: T,
    side: &SideCurve<T>,
    rules: &Apportionment<T>,
    darts: DartLists<T>,
) -> SuppressionSplit<T> {
    match rules {
        Apportionment::Shares(shares) => {
            let max_tangent = tangent_of_degrees(shares.steepest_side);
            let (counts, split) = counts_and_split(nominal, side, shares, max_tangent);
            // Each count is 0, 1 or 2.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            let counts = counts.map(|count| count.re() as usize);
            add_share_darts(counts, side.depth, shares, darts);
            split
        }
        Apportionment::Darts(given) => split_by_given_darts(given, darts),
    }
}

/// Appends the given darts to the dart lists and returns a split that leaves the rest to the side seams.
pub(super) fn split_by_given_darts<T: Number>(given: &Darts<T>, darts: DartLists<T>) -> SuppressionSplit<T> {
    let mut split = SuppressionSplit::all_to_side();
    for (given, darts) in [&given.back, &given.front].into_iter().zip(darts) {
        for FixedDart { intake, length, place } in given.iter().take(MAX_DARTS) {
            split.fixed_intakes += *intake;
            let (fixed_intake, panel_share) = (*intake, T::constant(0.0));
            darts.push(DartPlan { fixed_intake, panel_share, length: *length, position: *place });
        }
    }
    split
}

/// Returns the number of darts by shares in back and front, each 0, 1 or 2, and the split of the suppression.
#[inline(always)]
pub(super) fn counts_and_split<T: Number>(
    nominal: T,
    side: &SideCurve<T>,
    rules: &Shares<T>,
    max_tangent: T,
) -> ([T; 2], SuppressionSplit<T>) {
    let has_darts = |share: T| T::constant(1.0) - (nominal * share).lt(rules.smallest_dart);
    let has_darts = [has_darts(rules.back_share), has_darts(rules.front_share)];
    let split = SuppressionSplit::by_shares(has_darts, side, rules, max_tangent);
    let count = |intake: T| T::constant(0.0).lt(intake) + rules.largest_dart.lt(intake);
    let [back, front] = split.amounts(nominal).panels;
    ([count(back), count(front)], split)
}

/// Returns the tangent of an angle in degrees.
pub(crate) fn tangent_of_degrees<T: Scalar>(degrees: T) -> T {
    (degrees * T::constant(std::f64::consts::PI / 180.0)).tan()
}

/// Appends darts by shares to the lists of back and front; `counts` holds the number of darts in each, 0 to 2.
#[inline(always)]
pub(super) fn add_share_darts<T: Number>(counts: [usize; 2], hip_depth: T, rules: &Shares<T>, darts: DartLists<T>) {
    let back = [&rules.back_inner_length, &rules.back_outer_length];
    let front = [&rules.front_inner_length, &rules.front_outer_length];
    for ((count, lengths), darts) in counts.into_iter().zip([back, front]).zip(darts) {
        let (positions, panel_share) = match count {
            0 | 1 => ([&rules.single_place; 2], 1.0),
            _ => ([&rules.inner_place, &rules.outer_place], 0.5),
        };
        for (position, length) in positions.into_iter().zip(lengths).take(count) {
            let (fixed_intake, panel_share) = (T::constant(0.0), T::constant(panel_share));
            let (length, position) = (*length * hip_depth, DartPosition::Share(*position));
            darts.push(DartPlan { fixed_intake, panel_share, length, position });
        }
    }
}

impl<T: Number> SuppressionSplit<T> {
    /// Returns a split that gives the whole suppression to the side seams.
    #[inline(always)]
    pub(super) fn all_to_side() -> Self {
        let zero = T::constant(0.0);
        let (zeros, side_limit) = ([zero; 2], T::constant(f64::MAX));
        Self { fixed_intakes: zero, shares: zeros, overflow_shares: zeros, max_intakes: zeros, side_limit }
    }

    /// Returns the split by shares.
    ///
    /// `has_darts` is 1 for a panel with darts and 0 for one without. `max_tangent` is the tangent of the steepest lean
    /// of the side seam.
    #[inline(always)]
    pub(super) fn by_shares(has_darts: [T; 2], side: &SideCurve<T>, rules: &Shares<T>, max_tangent: T) -> Self {
        let ([back, front], two) = (has_darts, T::constant(2.0));
        let shares = [rules.back_share * back, rules.front_share * front];
        // The lower bound keeps the inverse finite where no panel has a share.
        let inverse = T::constant(1.0).quotient((shares[0] + shares[1]).max(T::constant(f64::MIN_POSITIVE)));
        let max_intake = rules.largest_dart * two;
        Self {
            fixed_intakes: T::constant(0.0),
            shares,
            overflow_shares: [shares[0] * inverse, shares[1] * inverse],
            max_intakes: [max_intake * back, max_intake * front],
            side_limit: side.total_loss_at(max_tangent),
        }
    }

    /// Splits a suppression into the amounts of side seams and panels.
    #[inline(always)]
    pub(super) fn amounts(&self, suppression: T) -> SplitAmounts<T> {
        let (zero, two) = (T::constant(0.0), T::constant(2.0));
        let ([back, front], [max_back, max_front]) = (self.shares, self.max_intakes);
        let (back, front) = ((back * suppression).min(max_back), (front * suppression).min(max_front));
        let side = suppression - self.fixed_intakes - back - front;
        let overflow = (side - self.side_limit).max(zero);
        let raised_back = back + overflow * self.overflow_shares[0];
        let raised_front = front + overflow * self.overflow_shares[1];
        // A full panel passes its excess to the other panel; the excess of two full panels stays in the side.
        let filled_back = (raised_back + (raised_front - max_front).max(zero)).min(max_back);
        let filled_front = (raised_front + (raised_back - max_back).max(zero)).min(max_front);
        let left_in_side = (overflow - (max_back - back) - (max_front - front)).max(zero);
        let open_panels = filled_back.lt(max_back) + filled_front.lt(max_front) * two;
        SplitAmounts {
            side: side.min(self.side_limit) + left_in_side,
            panels: [filled_back, filled_front],
            left_in_side,
            active_limits: self.side_limit.lt(side) - open_panels * two,
        }
    }
}

impl<T: Copy> SuppressionSplit<T> {
    /// Converts every number of the split to another scalar type.
    pub(super) fn map<U>(&self, f: &mut impl FnMut(T) -> U) -> SuppressionSplit<U> {
        SuppressionSplit {
            fixed_intakes: f(self.fixed_intakes),
            shares: self.shares.map(&mut *f),
            overflow_shares: self.overflow_shares.map(&mut *f),
            max_intakes: self.max_intakes.map(&mut *f),
            side_limit: f(self.side_limit),
        }
    }
}
