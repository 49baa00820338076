//! Which rows can go side by side: those of one kind.

use super::strip::Numbers;
use crate::draft::{Simple, dart_counts, simple_curves};
use crate::scalar::{Lanes, Number};

/// How many darts back and front have, of none to two where the suppression is shared out, and which curves are simple.
#[derive(Clone, Copy)]
pub(super) struct Kind {
    pub(super) counts: [usize; 2],
    pub(super) simple: Simple,
}

impl Kind {
    /// So many there are.
    pub(super) const ALL: usize = 3 * 3 * 8;

    /// The kind with this number.
    pub(super) fn at(place: usize) -> Self {
        let (counts, is) = (place / 8, |bit: usize| place >> bit & 1 == 1);
        Self { counts: [counts / 3, counts % 3], simple: Simple { waist: [is(2), is(1)], side: is(0) } }
    }

    /// The numbers of the kinds of some rows.
    #[inline(always)]
    pub(super) fn places(numbers: &Numbers) -> Lanes {
        let Numbers { body, ease, stance, shares, .. } = numbers;
        let [back, front] = if let Some(shares) = shares {
            dart_counts(body, ease, stance.side_fullness, shares, numbers.steepest())
        } else {
            [Lanes::NO; 2]
        };
        let two = Lanes::constant(2.0);
        let mut place = back * Lanes::constant(3.0) + front;
        for is in simple_curves(stance) {
            place = place * two + is;
        }
        place
    }
}
