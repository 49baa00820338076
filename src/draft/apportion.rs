//! How the suppression is shared out among the side seams and the darts.
//!
//! It is decided once, on the nominal suppression, so that no count flips while the waist is being closed. What closing
//! then adds (the curve is longer than its chord) goes by [`Portion::share`].
//!
//! By shares, in this order:
//! 1. a panel whose intake is under the smallest dart has none; its share joins the side;
//! 2. a panel takes two of the largest darts at the most; what is over joins the side;
//! 3. where the side seam would be steeper than its limit, the overflow is poured into the darts in proportion to their
//!    shares until each panel is full;
//! 4. what still remains stays in the side.
//!
//! What sits at a limit of 2 or 3 takes no part in closing. Were it scaled like the rest, the side would end steeper and
//! the darts larger than the limits that the rules state, and more difference could give less intake.

use arrayvec::ArrayVec;

use crate::body::{Apportion, Darts, FixedDart, MOST_DARTS, Place, Shares};
use crate::scalar::Scalar;

/// An amount of suppression: `nominal`, and its share of what closing the waist adds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Portion<T> {
    pub(super) nominal: T,
    pub(super) share: T,
}

impl<T: Scalar> Portion<T> {
    fn fixed(nominal: T) -> Self {
        Self { nominal, share: T::constant(0.0) }
    }

    /// The amount once closing has added `excess` to the suppression.
    pub(super) fn at(self, excess: T) -> T {
        self.nominal + self.share * excess
    }

    /// The same portion over another scalar.
    pub(super) fn map<U: Scalar>(self, f: &mut impl FnMut(T) -> U) -> Portion<U> {
        Portion { nominal: f(self.nominal), share: f(self.share) }
    }

    fn split(self, count: f64) -> Self {
        let part = T::constant(1.0 / count);
        Self { nominal: self.nominal * part, share: self.share * part }
    }

    fn take(&mut self, other: Self) {
        self.nominal += other.nominal;
        self.share += other.share;
    }
}

/// A dart before its intake is final.
#[derive(Clone, Copy, Debug)]
pub(super) struct DartPlan<T> {
    pub(super) intake: Portion<T>,
    pub(super) length: T,
    pub(super) place: Place<T>,
}

impl<T: Scalar> DartPlan<T> {
    /// The same plan over another scalar.
    pub(super) fn map<U: Scalar>(&self, f: &mut impl FnMut(T) -> U) -> DartPlan<U> {
        DartPlan { intake: self.intake.map(f), length: f(self.length), place: self.place.map(f) }
    }
}

/// Who takes what of the suppression; panels are back, front.
#[derive(Clone, Debug)]
pub(super) struct Shared<T> {
    /// Both side seams of half the garment together.
    pub(super) side: Portion<T>,
    pub(super) darts: [ArrayVec<DartPlan<T>, MOST_DARTS>; 2],
    /// What the side seam takes beyond its limit.
    pub(super) left_in_side: T,
}

/// Shares `nominal` out by the rules, for a body of this hip depth.
pub(super) fn apportion<T: Scalar>(nominal: T, hip_depth: T, rules: &Apportion<T>) -> Shared<T> {
    match rules {
        Apportion::Shares(shares) => by_shares(nominal, hip_depth, shares),
        Apportion::Darts(darts) => by_darts(nominal, darts),
    }
}

fn by_darts<T: Scalar>(nominal: T, darts: &Darts<T>) -> Shared<T> {
    let plan =
        |dart: &FixedDart<T>| DartPlan { intake: Portion::fixed(dart.intake), length: dart.length, place: dart.place };
    let darts = [&darts.back, &darts.front]
        .map(|list| list.iter().take(MOST_DARTS).map(plan).collect::<ArrayVec<_, MOST_DARTS>>());
    let taken = darts.iter().flatten().fold(T::constant(0.0), |sum, dart| sum + dart.intake.nominal);
    let side = Portion { nominal: nominal - taken, share: T::constant(1.0) };
    Shared { side, darts, left_in_side: T::constant(0.0) }
}

fn by_shares<T: Scalar>(nominal: T, hip_depth: T, rules: &Shares<T>) -> Shared<T> {
    let (zero, one, two) = (T::constant(0.0), T::constant(1.0), T::constant(2.0));
    let shares = [rules.back_share, rules.front_share];
    let mut side = Portion { nominal, share: one };
    let mut panels = [Portion::fixed(zero); 2];
    let most = rules.largest_dart * two;
    for (panel, share) in panels.iter_mut().zip(shares) {
        let wanted = nominal * share;
        if wanted.re() >= rules.smallest_dart.re() {
            let full = wanted.re() > most.re();
            *panel = if full { Portion::fixed(most) } else { Portion { nominal: wanted, share } };
            side.take(Portion { nominal: -panel.nominal, share: -panel.share });
        }
    }
    // The side seam meets the waist at an angle whose tangent is 1.5 × its loss ÷ the hip depth.
    let radians = rules.steepest_side * T::constant(std::f64::consts::PI / 180.0);
    let limit = two * radians.tan() * hip_depth / T::constant(1.5);
    let mut left_in_side = zero;
    if side.nominal.re() > limit.re() {
        let overflow = side.nominal - limit;
        side = Portion::fixed(limit);
        left_in_side = pour(overflow, most, shares, &mut panels);
        if panels.iter().all(|panel| panel.share.re() == 0.0) {
            side.take(Portion { nominal: left_in_side, share: one });
        }
    }
    let lengths =
        [[rules.back_inner_length, rules.back_outer_length], [rules.front_inner_length, rules.front_outer_length]];
    let darts = [0, 1].map(|panel| {
        let places = [rules.inner_place, rules.outer_place];
        place_darts(panels[panel], rules, lengths[panel].map(|share| share * hip_depth), places)
    });
    Shared { side, darts, left_in_side }
}

/// Pours an overflow into the panels that have a dart, in proportion to their shares, until each holds `most`; returns
/// what is left. Afterwards the panels that still have room share what closing adds.
fn pour<T: Scalar>(mut overflow: T, most: T, shares: [T; 2], panels: &mut [Portion<T>; 2]) -> T {
    let has_room = |panel: &Portion<T>| panel.nominal.re() > 0.0 && panel.nominal.re() < most.re();
    loop {
        let open = panels.each_ref().map(has_room);
        let total = (0..2).filter(|k| open[*k]).fold(T::constant(0.0), |sum, k| sum + shares[k]);
        for k in 0..2 {
            panels[k].share = if open[k] { shares[k] / total } else { T::constant(0.0) };
        }
        // The first panel to be full ends the round; where none is, the overflow is used up.
        let fills = |k: usize| (most - panels[k].nominal) * total / shares[k];
        let first = (0..2).filter(|k| open[*k]).min_by(|a, b| fills(*a).re().total_cmp(&fills(*b).re()));
        let Some(first) = first else { return overflow };
        let last = fills(first).re() >= overflow.re();
        let poured = if last { overflow } else { fills(first) };
        for panel in panels.iter_mut() {
            panel.nominal += panel.share * poured;
        }
        if last {
            return T::constant(0.0);
        }
        panels[first].nominal = most;
        overflow -= poured;
    }
}

/// None, one or two darts for a panel's intake.
fn place_darts<T: Scalar>(
    intake: Portion<T>,
    rules: &Shares<T>,
    lengths: [T; 2],
    [inner, outer]: [T; 2],
) -> ArrayVec<DartPlan<T>, MOST_DARTS> {
    let places: &[T] = match intake.nominal.re() {
        none if none <= 0.0 => &[],
        one if one <= rules.largest_dart.re() => &[rules.single_place],
        _ => &[inner, outer],
    };
    let intake = intake.split(if places.len() == 2 { 2.0 } else { 1.0 });
    let plan = |(place, length): (&T, T)| DartPlan { intake, length, place: Place::Place(*place) };
    places.iter().zip(lengths).map(plan).collect()
}
