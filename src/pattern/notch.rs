//! Notches: short cuts into the allowances, in pairs that meet when the garment is sewn.

use super::centre_seam::centre_point_and_upward_direction;
use super::cutting::Allowances;
use crate::draft::{Half, Panel, Role};
use crate::field::choices;
use crate::geometry::{Path, Point, Vector};

/// Maximum depth of a notch, in centimetres. A notch is also at most half as deep as the allowance.
const MAX_NOTCH_DEPTH_CM: f64 = 0.6;

/// Minimum depth of a notch, in centimetres. If half the allowance is less, a mark of this length, drawn outwards from
/// the cut line, replaces the notch.
const MIN_NOTCH_DEPTH_CM: f64 = 0.3;

const DOUBLE_NOTCH_CUT_DISTANCE_CM: f64 = 0.6;

/// Minimum length of the straight part of the side seam, in centimetres, for a notch half-way from hip line to hem.
const MIN_STRAIGHT_SIDE_FOR_LOWER_NOTCH_CM: f64 = 6.0;

choices! {
    /// Point of the garment that a notch marks.
    NotchPlace {
        /// Hip line on the side seam.
        HipLine = "hip_line";
        /// Half-way from the hip line down to the hem on the side seam.
        LowerSide = "lower_side";
        /// Lower end of the zip opening on the centre back seam.
        OpeningEnd = "opening_end";
        /// Upper end of a dart leg; on a waistband or a facing, the point at which the closed dart meets the waist.
        DartLeg = "dart_leg";
        /// Top of the vent, at the edge of its extension.
        VentTop = "vent_top";
        /// Centre back, on a waistband.
        CentreBack = "centre_back";
        /// Centre front, on a waistband.
        CentreFront = "centre_front";
        /// Side seam, on a waistband.
        SideSeam = "side_seam";
    }
}

/// A notch: what it marks, its place on the seam, and one cut or two parallel cuts into the allowance.
#[derive(Clone, Debug, PartialEq)]
pub struct Notch {
    /// Point of the garment that the notch marks.
    pub place: NotchPlace,
    /// Distance along the seam, in centimetres: on side and centre seams from the waist down, on the waist from the
    /// centre with the darts closed, on a waistband from its end at the centre back. Two notches that meet on a side or
    /// centre seam or in a dart have equal distances.
    pub along: f64,
    /// Point of the notch on the seam line.
    pub seam: Point,
    /// Cuts, each from the cut line inwards; if the allowance is too narrow, marks from the cut line outwards. The
    /// first cut points to `seam`; a second, parallel cut marks a seam edge of the back.
    pub cuts: Vec<[Point; 2]>,
}

/// Returns the notches of a panel: on the side seam, at the lower end of the zip opening (back only), at the dart legs.
/// `opening` is the length of the zip opening, in centimetres.
pub(super) fn panel_notches(panel: &Panel, hip_depth: f64, allowances: &Allowances, opening: f64) -> Vec<Notch> {
    let curve_length = panel.paths(Role::Side).next().map_or(0.0, Path::length);
    let length = panel.edge_length(Role::Side);
    let straight_length = length - curve_length;
    let side_notch = |place, below_hip: f64| {
        let seam = Point::new(panel.width, hip_depth + below_hip);
        let second = Vector::new(0.0, DOUBLE_NOTCH_CUT_DISTANCE_CM.min(straight_length / 4.0));
        let (outwards, second) = (Vector::new(1.0, 0.0), (panel.half == Half::Back).then_some(second));
        notch_at_point(place, curve_length + below_hip, seam, (outwards, allowances.side), second)
    };
    let mut notches = vec![side_notch(NotchPlace::HipLine, 0.0)];
    if straight_length >= MIN_STRAIGHT_SIDE_FOR_LOWER_NOTCH_CM {
        notches.push(side_notch(NotchPlace::LowerSide, straight_length / 2.0));
    }
    if panel.half == Half::Back {
        let (seam, up) = centre_point_and_upward_direction(panel, opening);
        let (outwards, allowance) = (|up: Vector| Vector::new(up.y, -up.x), allowances.centre_back);
        // The second cut lies below the first, or above the first if the opening ends near the hem.
        let fits_below = opening + DOUBLE_NOTCH_CUT_DISTANCE_CM <= panel.edge_length(Role::Centre);
        let down = if fits_below { DOUBLE_NOTCH_CUT_DISTANCE_CM } else { -DOUBLE_NOTCH_CUT_DISTANCE_CM };
        let second = match centre_point_and_upward_direction(panel, opening + down) {
            (_, direction) if direction == up => -up * down,
            // The seam bends between the two cuts.
            (at, direction) => at - seam + (outwards(direction) - outwards(up)) * allowance,
        };
        notches.push(notch_at_point(NotchPlace::OpeningEnd, opening, seam, (outwards(up), allowance), Some(second)));
    }
    let waist_lengths = panel.paths(Role::Waist).map(Path::length);
    let mut along = 0.0;
    for (dart, waist_length) in panel.darts.iter().zip(waist_lengths) {
        along += waist_length;
        // The notches at the upper ends of both legs meet when the dart is closed.
        notches.extend([dart.inner, dart.outer].map(|mouth| {
            // Each leg is extended through the allowance; without an allowance the mark points straight up.
            let leg = mouth - dart.tip;
            let outwards = if allowances.waist > 0.0 { leg.normalize() } else { Vector::new(0.0, -1.0) };
            notch_at_point(NotchPlace::DartLeg, along, mouth, (outwards, allowances.waist), None)
        }));
    }
    notches
}

/// Creates a notch at the point `seam` of the seam line, `along` centimetres along the seam. `outwards` is the unit
/// vector from the seam line to the cut line, `allowance` the distance between both lines in centimetres. `second` is
/// the offset of a second cut from the first; `None` for a single cut.
pub(super) fn notch_at_point(
    place: NotchPlace,
    along: f64,
    seam: Point,
    (outwards, allowance): (Vector, f64),
    second: Option<Vector>,
) -> Notch {
    let half = allowance / 2.0;
    let stroke = outwards * if half < MIN_NOTCH_DEPTH_CM { MIN_NOTCH_DEPTH_CM } else { -half.min(MAX_NOTCH_DEPTH_CM) };
    let cut = |offset: Vector| {
        let start = seam + outwards * allowance + offset;
        [start, start + stroke]
    };
    let cuts = std::iter::once(Vector::zeros()).chain(second).map(cut).collect();
    Notch { place, along, seam, cuts }
}
