//! Kinds of rows. Rows of one kind take the same branches of the construction and can share the lanes of a group.

use super::block_inputs::LaneInputs;
use crate::draft::{SeriesLengths, lane_dart_counts, lane_series_lengths};
use crate::scalar::{LANES, Lanes, Number};

/// Branches that the construction takes for a row, by the number of darts and the way to measure each curve.
#[derive(Clone, Copy)]
pub(super) struct RowKind {
    /// Number of darts in back and front, 0 to 2 each; 0 where the rules give fixed darts.
    pub(super) counts: [usize; 2],
    /// Flag for each curve (back waist, front waist, side seam): whether a series evaluates its arc length.
    pub(super) series_lengths: SeriesLengths,
}

impl RowKind {
    /// Code of a row with invalid input, which has no kind.
    const INVALID_ROW_CODE: u8 = u8::MAX;

    /// Decodes a kind code; `None` for a row with invalid input.
    pub(super) fn from_kind_code(code: u8) -> Option<Self> {
        if code == Self::INVALID_ROW_CODE {
            return None;
        }
        let (counts, is) = (usize::from(code / 8), |bit: u8| code >> bit & 1 == 1);
        Some(Self {
            counts: [counts / 3, counts % 3],
            series_lengths: SeriesLengths { waist: [is(2), is(1)], side: is(0) },
        })
    }

    /// Returns the kind code of the row in each lane; `is_valid` is 1 in lanes with valid input and 0 in others.
    #[inline(always)]
    pub(super) fn kind_codes(inputs: &LaneInputs, is_valid: Lanes) -> [u8; LANES] {
        let LaneInputs { body, ease, panel_rules, shares, .. } = inputs;
        let [back, front] = if let Some(shares) = shares {
            lane_dart_counts(body, ease, panel_rules.side_fullness, shares, inputs.steepest_tangent())
        } else {
            [Lanes::constant(0.0); 2]
        };
        let two = Lanes::constant(2.0);
        let mut code = back * Lanes::constant(3.0) + front;
        for has_series in lane_series_lengths(panel_rules) {
            code = code * two + has_series;
        }
        // Kind codes are whole numbers of at most 71.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        is_valid.select(code, Lanes::constant(f64::from(Self::INVALID_ROW_CODE))).0.map(|code| code as u8)
    }
}
