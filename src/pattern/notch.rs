//! The notches: cut into the allowances in pairs that meet when the garment is sewn.

use super::cutting::Allowances;
use crate::draft::{Dart, Half, Panel, Role};
use crate::geometry::{Path, Point, Vector};

/// A notch reaches half-way into its allowance, at most so far, in centimetres.
const LONGEST: f64 = 0.6;

/// Where half the allowance is less than this, in centimetres, the notch is a mark outside the edge, as a cut would reach
/// the seam line or not be seen.
const SHORTEST: f64 = 0.3;

/// Between the two cuts of a double notch, in centimetres.
const APART: f64 = 0.6;

/// On a side that is straight for less than this, in centimetres, a lower notch would crowd that of the hip line.
const ROOM: f64 = 6.0;

/// What a notch marks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum NotchPlace {
    /// The hip line on the side seam.
    HipLine,
    /// Half-way from the hip line down to the hem on the side seam.
    LowerSide,
    /// The end of the opening on the centre back seam.
    OpeningEnd,
    /// The leg of a dart at the waist.
    DartLeg,
}

impl NotchPlace {
    /// The place as it stands in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            NotchPlace::HipLine => "hip_line",
            NotchPlace::LowerSide => "lower_side",
            NotchPlace::OpeningEnd => "opening_end",
            NotchPlace::DartLeg => "dart_leg",
        }
    }
}

/// A notch: one cut or two, square into the edge.
#[derive(Clone, Debug, PartialEq)]
pub struct Notch {
    /// What it marks.
    pub place: NotchPlace,
    /// How far along its seam it lies: on a side or centre seam from the waist down, on the waist from the centre with the
    /// darts closed. The two of a pair have the same.
    pub along: f64,
    /// Where it meets the seam line.
    pub seam: Point,
    /// Each cut, from the cut line inwards; or, where the allowance is too narrow for one, a mark from there outwards. The
    /// first lies at the notch itself; a second tells the back from the front.
    pub cuts: Vec<[Point; 2]>,
}

/// The notches of a panel.
pub(super) fn notches(panel: &Panel, hip_depth: f64, allowances: &Allowances, opening: f64) -> Vec<Notch> {
    let curve = panel.paths(Role::Side).next().map_or(0.0, Path::length);
    let length = panel.length(Role::Side);
    let below = length - curve;
    let side = |place, down: f64| {
        let seam = Point::new(panel.width, hip_depth + down);
        let second = Vector::new(0.0, APART.min(below / 4.0));
        notch(
            place,
            curve + down,
            seam,
            (Vector::new(1.0, 0.0), allowances.side),
            (panel.half == Half::Back).then_some(second),
        )
    };
    let mut notches = vec![side(NotchPlace::HipLine, 0.0)];
    if below >= ROOM {
        notches.push(side(NotchPlace::LowerSide, below / 2.0));
    }
    if panel.half == Half::Back {
        let seam = Point::new(0.0, panel.waist_lowering + opening);
        let out = (Vector::new(-1.0, 0.0), allowances.centre_back);
        // The second cut lies below, but for an opening that ends at the hem.
        let down = if opening + APART <= panel.length(Role::Centre) { APART } else { -APART };
        notches.push(notch(NotchPlace::OpeningEnd, opening, seam, out, Some(Vector::new(0.0, down))));
    }
    let stretches = panel.paths(Role::Waist).map(Path::length);
    let mut along = 0.0;
    for (dart, stretch) in panel.darts.iter().zip(stretches) {
        along += stretch;
        notches.extend(legs(dart, along, allowances.waist));
    }
    notches
}

/// The notches of a dart's two legs, which meet when it is closed.
fn legs(dart: &Dart, along: f64, allowance: f64) -> [Notch; 2] {
    [dart.inner, dart.outer].map(|mouth| {
        // Where there is no allowance to lead through, straight up.
        let outwards = if allowance > 0.0 { (mouth - dart.tip).normalize() } else { Vector::new(0.0, -1.0) };
        notch(NotchPlace::DartLeg, along, mouth, (outwards, allowance), None)
    })
}

/// A notch at a point of the seam line, with the way out to the cut line and how far that is, and the step to a second cut.
fn notch(place: NotchPlace, along: f64, seam: Point, out: (Vector, f64), second: Option<Vector>) -> Notch {
    let (outwards, allowance) = out;
    let half = allowance / 2.0;
    let step_in = if half < SHORTEST { outwards * SHORTEST } else { outwards * -half.min(LONGEST) };
    let cut = |step: Vector| {
        let start = seam + outwards * allowance + step;
        [start, start + step_in]
    };
    let cuts = std::iter::once(Vector::zeros()).chain(second).map(cut).collect();
    Notch { place, along, seam, cuts }
}
