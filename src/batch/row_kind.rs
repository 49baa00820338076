//! Kinds of rows. Rows of one kind take the same branches of the construction and can share the lanes of a group.

use super::block_inputs::LaneInputs;
use crate::draft::{SeriesCurves, lane_series_length_masks, lane_share_dart_counts};
use crate::scalar::{LANES, Lanes, Number};

/// Kind of a table row: rows of one kind take the same branches of the construction, so they share lanes.
#[derive(Clone, Copy)]
pub(super) struct RowDraftKind {
    /// Number of darts in back and front, 0 to 2 each; 0 if the rules give fixed darts.
    pub(super) counts: [usize; 2],
    /// Whether a series gives the arc length, for each curve: back waist, front waist, side seam.
    pub(super) series_lengths: SeriesCurves,
}

impl RowDraftKind {
    /// Kind code of rows with invalid input, which have no kind.
    const INVALID_ROW_KIND_CODE: u8 = u8::MAX;

    /// Decodes the kind of a row from its code; `None` for the code of rows with invalid input.
    pub(super) fn from_kind_code(code: u8) -> Option<Self> {
        if code == Self::INVALID_ROW_KIND_CODE {
            return None;
        }
        let (counts, is) = (usize::from(code / 8), |bit: u8| code >> bit & 1 == 1);
        Some(Self {
            counts: [counts / 3, counts % 3],
            series_lengths: SeriesCurves { waist: [is(2), is(1)], side: is(0) },
        })
    }

    /// Returns for each lane the code of its row's dart counts and arc-length series; `is_valid` is 1 in valid lanes, else 0.
    #[inline(always)]
    pub(super) fn kind_codes_by_lane(inputs: &LaneInputs, is_valid: Lanes) -> [u8; LANES] {
        let LaneInputs { body, ease, panel_rules, shares, .. } = inputs;
        let [back, front] = if let Some(shares) = shares {
            lane_share_dart_counts(body, ease, panel_rules.side_fullness, shares, inputs.steepest_side_tangent())
        } else {
            [Lanes::constant(0.0); 2]
        };
        let two = Lanes::constant(2.0);
        let mut code = back * Lanes::constant(3.0) + front;
        for has_series in lane_series_length_masks(panel_rules) {
            code = code * two + has_series;
        }
        // Kind codes are whole numbers of at most 71.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        is_valid.select(code, Lanes::constant(f64::from(Self::INVALID_ROW_KIND_CODE))).0.map(|code| code as u8)
    }
}
