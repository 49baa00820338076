//! How the suppression is shared out among the side seams and the darts.
//!
//! Which panels have darts, and how many, is decided once, on the nominal suppression, so that no count flips while the
//! waist is being closed. How much each takes is a function of the suppression, so that the limits hold on the finished
//! draft and not only on the nominal one.
//!
//! By shares, in this order:
//! 1. a panel whose nominal intake is under the smallest dart has none; its share joins the side;
//! 2. a panel takes two of the largest darts at the most; what is over joins the side;
//! 3. where the side seam would be steeper than its limit, the overflow is poured into the darts in proportion to their
//!    shares until each panel is full;
//! 4. what still remains stays in the side.
//!
//! Every amount is continuous in the suppression, and none falls where it rises.

use arrayvec::ArrayVec;

use super::side::SideCurve;
use crate::body::{Apportionment, DartPosition, Darts, FixedDart, MAX_DARTS, Shares};
use crate::scalar::{Number, Scalar};

/// A dart before its intake is known: what it takes for itself, and its part of what its panel takes.
#[derive(Clone, Copy, Debug)]
pub(super) struct DartPlan<T> {
    fixed: T,
    part: T,
    pub(super) length: T,
    pub(super) place: DartPosition<T>,
}

impl<T: Number> DartPlan<T> {
    /// The width of the mouth, where the panel takes `amount` by shares.
    #[inline(always)]
    pub(super) fn intake(&self, amount: T) -> T {
        self.fixed + self.part * amount
    }
}

impl<T: Copy> DartPlan<T> {
    /// The same plan over another number.
    pub(super) fn map<U>(&self, f: &mut impl FnMut(T) -> U) -> DartPlan<U> {
        DartPlan { fixed: f(self.fixed), part: f(self.part), length: f(self.length), place: self.place.map(f) }
    }
}

/// The darts of a panel, from the centre to the side.
pub(super) type DartPlans<T> = ArrayVec<DartPlan<T>, MAX_DARTS>;

/// How any suppression is shared out; panels are back, front.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sharing<T> {
    /// What given darts take, all together.
    fixed: T,
    /// Each panel's share; nothing where it has no darts by shares.
    shares: [T; 2],
    /// What each panel takes of an overflow of the side seam, where none is full.
    parts: [T; 2],
    /// The most that each panel takes by shares.
    max: [T; 2],
    /// The most that both side seams take, where darts can take the overflow.
    side_limit: T,
}

/// The darts of back and front, to be filled where they are: to move those of several bodies takes time.
pub(super) type Empty<'a, T> = [&'a mut DartPlans<T>; 2];

/// What each takes of a suppression.
#[derive(Clone, Copy, Debug)]
pub(super) struct Amounts<T> {
    /// Both side seams of half the garment together.
    pub(super) side: T,
    /// Each panel by shares.
    pub(super) panels: [T; 2],
    /// What the side seam takes beyond its limit.
    pub(super) left_in_side: T,
    /// A number that tells which limits are met: between two suppressions that meet the same ones, every amount is a straight
    /// line.
    pub(super) limits_met: T,
}

/// Decides on the nominal suppression which darts there are and how any suppression is shared out.
pub(super) fn apportion<T: Scalar>(
    nominal: T,
    side: &SideCurve<T>,
    rules: &Apportionment<T>,
    darts: Empty<T>,
) -> Sharing<T> {
    match rules {
        Apportionment::Shares(shares) => by_shares(nominal, side, shares, darts),
        Apportionment::Darts(given) => by_darts(given, darts),
    }
}

/// As the given darts say.
pub(super) fn by_darts<T: Number>(given: &Darts<T>, darts: Empty<T>) -> Sharing<T> {
    let mut sharing = Sharing::none();
    for (given, darts) in [&given.back, &given.front].into_iter().zip(darts) {
        for FixedDart { intake, length, place } in given.iter().take(MAX_DARTS) {
            sharing.fixed += *intake;
            darts.push(DartPlan { fixed: *intake, part: T::constant(0.0), length: *length, place: *place });
        }
    }
    sharing
}

fn by_shares<T: Scalar>(nominal: T, side: &SideCurve<T>, rules: &Shares<T>, darts: Empty<T>) -> Sharing<T> {
    let (counts, sharing) = counted(nominal, side, rules, steepest(rules.steepest_side));
    // None to two.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let counts = counts.map(|count| count.re() as usize);
    darts_by_shares(counts, side.depth, rules, darts);
    sharing
}

/// How many darts back and front have by shares, and how any suppression is shared out among them.
#[inline(always)]
pub(super) fn counted<T: Number>(
    nominal: T,
    side: &SideCurve<T>,
    rules: &Shares<T>,
    steepest: T,
) -> ([T; 2], Sharing<T>) {
    let sewn = |share: T| T::constant(1.0) - (nominal * share).lt(rules.smallest_dart);
    let sharing = Sharing::by_shares([sewn(rules.back_share), sewn(rules.front_share)], side, rules, steepest);
    let count = |amount: T| T::constant(0.0).lt(amount) + rules.largest_dart.lt(amount);
    let [back, front] = sharing.amounts(nominal).panels;
    ([count(back), count(front)], sharing)
}

/// The tangent of the steepest lean of the side seam, given in degrees.
pub(super) fn steepest<T: Scalar>(degrees: T) -> T {
    (degrees * T::constant(std::f64::consts::PI / 180.0)).tan()
}

/// So many darts in back and front.
#[inline(always)]
pub(super) fn darts_by_shares<T: Number>(counts: [usize; 2], hip_depth: T, rules: &Shares<T>, darts: Empty<T>) {
    let back = [&rules.back_inner_length, &rules.back_outer_length];
    let front = [&rules.front_inner_length, &rules.front_outer_length];
    for ((count, lengths), darts) in counts.into_iter().zip([back, front]).zip(darts) {
        let (places, part) = match count {
            0 | 1 => ([&rules.single_place; 2], 1.0),
            _ => ([&rules.inner_place, &rules.outer_place], 0.5),
        };
        for (place, share) in places.into_iter().zip(lengths).take(count) {
            let (fixed, part) = (T::constant(0.0), T::constant(part));
            darts.push(DartPlan { fixed, part, length: *share * hip_depth, place: DartPosition::Share(*place) });
        }
    }
}

impl<T: Number> Sharing<T> {
    /// All to the side.
    #[inline(always)]
    pub(super) fn none() -> Self {
        let zero = T::constant(0.0);
        Self { fixed: zero, shares: [zero; 2], parts: [zero; 2], max: [zero; 2], side_limit: T::constant(f64::MAX) }
    }

    /// By shares, where these panels have darts, 1 for yes and 0 for no; `steepest` is the tangent of the side seam's steepest
    /// lean.
    #[inline(always)]
    pub(super) fn by_shares(sewn: [T; 2], side: &SideCurve<T>, rules: &Shares<T>, steepest: T) -> Self {
        let ([back, front], two) = (sewn, T::constant(2.0));
        let shares = [rules.back_share * back, rules.front_share * front];
        // Where there is no share, there is no part.
        let inverse = T::constant(1.0).quotient((shares[0] + shares[1]).max(T::constant(f64::MIN_POSITIVE)));
        let max = rules.largest_dart * two;
        Self {
            fixed: T::constant(0.0),
            shares,
            parts: [shares[0] * inverse, shares[1] * inverse],
            max: [max * back, max * front],
            side_limit: side.loss_of(steepest),
        }
    }

    /// What each takes of `suppression`.
    #[inline(always)]
    pub(super) fn amounts(&self, suppression: T) -> Amounts<T> {
        let (zero, two) = (T::constant(0.0), T::constant(2.0));
        let ([back, front], [most_back, most_front]) = (self.shares, self.max);
        let (back, front) = ((back * suppression).min(most_back), (front * suppression).min(most_front));
        let side = suppression - self.fixed - back - front;
        let overflow = (side - self.side_limit).max(zero);
        let (raised_back, raised_front) = (back + overflow * self.parts[0], front + overflow * self.parts[1]);
        // What one cannot hold goes to the other; what neither can hold is left.
        let poured_back = (raised_back + (raised_front - most_front).max(zero)).min(most_back);
        let poured_front = (raised_front + (raised_back - most_back).max(zero)).min(most_front);
        let left_in_side = (overflow - (most_back - back) - (most_front - front)).max(zero);
        let open = poured_back.lt(most_back) + poured_front.lt(most_front) * two;
        Amounts {
            side: side.min(self.side_limit) + left_in_side,
            panels: [poured_back, poured_front],
            left_in_side,
            limits_met: self.side_limit.lt(side) - open * two,
        }
    }
}

impl<T: Copy> Sharing<T> {
    /// The same sharing over another number.
    pub(super) fn map<U>(&self, f: &mut impl FnMut(T) -> U) -> Sharing<U> {
        Sharing {
            fixed: f(self.fixed),
            shares: self.shares.map(&mut *f),
            parts: self.parts.map(&mut *f),
            max: self.max.map(&mut *f),
            side_limit: f(self.side_limit),
        }
    }
}
