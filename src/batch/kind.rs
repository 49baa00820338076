//! Which rows can go side by side: those of one kind.

use super::strip::Numbers;
use crate::draft::{Simple, dart_counts, series_lengths};
use crate::scalar::{LANES, Lanes, Number};

/// How many darts back and front have, of none to two where the suppression is shared out, and which curves are simple.
#[derive(Clone, Copy)]
pub(super) struct FieldKind {
    pub(super) counts: [usize; 2],
    pub(super) simple: Simple,
}

impl FieldKind {
    /// The number of those that are of no kind, as something is wrong with them.
    const NONE: u8 = u8::MAX;

    /// The kind with this number, if there is one.
    pub(super) fn of(code: u8) -> Option<Self> {
        if code == Self::NONE {
            return None;
        }
        let (counts, is) = (usize::from(code / 8), |bit: u8| code >> bit & 1 == 1);
        Some(Self { counts: [counts / 3, counts % 3], simple: Simple { waist: [is(2), is(1)], side: is(0) } })
    }

    /// The numbers of the kinds of some rows, of which these are sound.
    #[inline(always)]
    pub(super) fn codes(numbers: &Numbers, sound: Lanes) -> [u8; LANES] {
        let Numbers { body, ease, panel_rules, shares, .. } = numbers;
        let [back, front] = if let Some(shares) = shares {
            dart_counts(body, ease, panel_rules.side_fullness, shares, numbers.steepest())
        } else {
            [Lanes::NO; 2]
        };
        let two = Lanes::constant(2.0);
        let mut place = back * Lanes::constant(3.0) + front;
        for is in series_lengths(panel_rules) {
            place = place * two + is;
        }
        // A whole number of at most 71.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        sound.select(place, Lanes::constant(f64::from(Self::NONE))).0.map(|code| code as u8)
    }
}
