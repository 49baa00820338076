//! The pieces that finish the waist: a straight waistband, or a shaped facing of back and front.
//!
//! On each piece, the edge that is sewn to the waist has the length of the sewn waist, and a notch for each seam that
//! meets the waist there.

use nalgebra::UnitComplex;

use super::cutting::{Allowances, WaistFinishLengths};
use super::notch::{Notch, NotchPlace, notch_at_point};
use super::outline::{CutLine, facing_cut_line, max_offset_to_left, reversed_paths};
use super::unfold::half_edges;
use crate::draft::{Edge, Half, Panel, Role};
use crate::error::{Code, Problem, Problems};
use crate::field::choices;
use crate::geometry::{Cubic, Line, Path, Point, Vector, bounding_box, cross, paths_up_to_line};

/// Maximum depth of a facing, as a share of the chord of its side seam, projected onto the seam's tangent at the waist.
const MAX_FACING_DEPTH_SHARE_OF_SIDE_EXTENT: f64 = 0.75;

/// Maximum distance of a facing's grain line from the centre line: in centimetres, and as a share of the facing's width
/// at the waist. The smaller of the two applies.
const MAX_FACING_GRAIN_X_CM_AND_SHARE: (f64, f64) = (2.0, 0.1);

choices! {
    /// Name of a pattern piece.
    PieceName {
        /// Half the back of the skirt.
        Back = "back";
        /// Half the front of the skirt.
        Front = "front";
        /// Waistband of the whole waist.
        Waistband = "waistband";
        /// Facing of half the back.
        BackFacing = "back_facing";
        /// Facing of half the front.
        FrontFacing = "front_facing";
    }
}

impl PieceName {
    /// Returns whether the piece is cut with its centre line on the fold of the cloth, unless the pattern is unfolded.
    pub fn on_fold(self) -> bool {
        matches!(self, Self::Front | Self::FrontFacing)
    }

    /// Returns whether a piece with this name and cut line is one half, to be cut on the fold. A whole piece has no edge
    /// at the centre.
    pub(crate) fn is_half_on_fold(self, cut: &[Edge]) -> bool {
        self.on_fold() && cut.iter().any(|edge| edge.role == Role::Centre)
    }

    /// Returns how many copies of the piece to cut.
    pub fn copies(self) -> u32 {
        if matches!(self, Self::Back | Self::BackFacing) { 2 } else { 1 }
    }
}

/// Piece that finishes the waist. A facing has the coordinates of its panel with the darts closed; a waistband has `y`
/// along its length, from its end at the centre back, and `x` from the edge that is sewn to the waist.
#[derive(Clone, Debug, PartialEq)]
pub struct WaistPiece {
    /// Name of the piece.
    pub name: PieceName,
    /// Closed seam line. Edges sewn to the waist have the role of the waist, the lower edge of a facing that of the
    /// hem.
    pub seam: Vec<Edge>,
    /// Closed cut line, in the direction of the seam line.
    pub cut: Vec<Edge>,
    /// Notches of the piece, at its cut line.
    pub notches: Vec<Notch>,
    /// Line along which a waistband is folded; `None` for a facing.
    pub fold: Option<[Point; 2]>,
    /// Grain line, from its upper end to its lower end.
    pub grain: [Point; 2],
    /// Number of edges at folds that are cut straight, as the adjacent seam edge is too short or too curved to mirror.
    pub straight_folds: usize,
}

impl WaistPiece {
    /// Returns whether the piece is cut with its centre line on the fold of the cloth: true for a front facing that is
    /// not whole.
    pub fn on_fold(&self) -> bool {
        self.name.is_half_on_fold(&self.cut)
    }

    /// Returns the closed seam line, of one half if the piece is a whole front facing.
    pub(crate) fn seam_of_half(&self) -> Vec<Edge> {
        if self.name.on_fold() && !self.on_fold() { half_edges(&self.seam) } else { self.seam.clone() }
    }

    /// Returns the area inside the cut line, in square centimetres; for a piece on the fold, on one side of the fold
    /// only.
    pub fn area(&self) -> f64 {
        self.cut.iter().map(|edge| edge.path.signed_area()).sum()
    }

    /// Returns two corners of the bounding box of the cut line's control points: minimum `x` and `y`, maximum `x` and
    /// `y`.
    pub fn bounds(&self) -> [Point; 2] {
        bounding_box(self.cut.iter().flat_map(|edge| edge.path.points()))
    }
}

/// Returns the waistband for the sewn waist of `skirt` (panel and notches of the back, then of the front), with an
/// allowance of `allowance` centimetres on all edges.
pub(super) fn waistband(skirt: [(&Panel, &[Notch]); 2], lengths: &WaistFinishLengths, allowance: f64) -> WaistPiece {
    let notches = waistband_notches(skirt, allowance);
    let waist = notches.last().map_or(0.0, |notch| notch.along);
    let (width, length) = (2.0 * lengths.waistband_width, waist + lengths.underlap);
    WaistPiece {
        name: PieceName::Waistband,
        seam: waistband_edges([0.0, 0.0], [width, length]),
        cut: waistband_edges([-allowance; 2], [width + allowance, length + allowance]),
        notches,
        fold: Some([0.0, length].map(|y| Point::new(width / 2.0, y))),
        grain: [0.1, 0.9].map(|share| Point::new(width * 0.625, length * share)),
        straight_folds: 0,
    }
}

/// Returns the four edges of a waistband, given by two opposite corners: two short ends at the centre back, and two
/// long edges sewn to the waist.
fn waistband_edges([left, top]: [f64; 2], [right, bottom]: [f64; 2]) -> Vec<Edge> {
    let corners = [(left, top), (right, top), (right, bottom), (left, bottom), (left, top)];
    let corners = corners.map(|(x, y)| Point::new(x, y));
    let roles = [Role::Centre, Role::Waist, Role::Centre, Role::Waist].into_iter();
    roles.zip(corners.windows(2)).map(|(role, side)| Edge { role, path: Path::Line([side[0], side[1]]) }).collect()
}

/// Returns the notches of a waistband along the whole sewn waist, from one centre back to the other.
fn waistband_notches(skirt: [(&Panel, &[Notch]); 2], allowance: f64) -> Vec<Notch> {
    let [back_darts, front_darts] = skirt.map(|(_, notches)| {
        let legs = notches.iter().filter(|notch| notch.place == NotchPlace::DartLeg);
        legs.step_by(2).map(|notch| (NotchPlace::DartLeg, notch.along)).collect::<Vec<_>>()
    });
    let [back, front] = skirt.map(|(panel, _)| panel.edge_length(Role::Waist));
    let mut half = vec![(NotchPlace::CentreBack, 0.0)];
    half.extend(back_darts);
    half.push((NotchPlace::SideSeam, back));
    half.extend(front_darts.into_iter().rev().map(|(place, along)| (place, back + front - along)));
    let other_half: Vec<_> = half.iter().rev().map(|(place, along)| (*place, 2.0 * (back + front) - along)).collect();
    half.push((NotchPlace::CentreFront, back + front));
    let outwards = (Vector::new(-1.0, 0.0), allowance);
    let notch = |(place, along)| notch_at_point(place, along, Point::new(0.0, along), outwards, None);
    half.into_iter().chain(other_half).map(notch).collect()
}

/// Returns the facings of back and front as panels without darts: the upper part of each panel with its darts closed.
///
/// # Errors
/// At `depth` centimetres, the waist with its darts closed bends too sharply, or the side seam is too short.
pub(super) fn back_and_front_facing_panels(panels: [&Panel; 2], depth: f64) -> Result<[Panel; 2], Problems> {
    let closed = panels.map(waist_and_side_with_darts_closed);
    let centre = panels[0].paths(Role::Centre).last().map_or(0.0, Path::length);
    let max_depth = |[waist, side]: &[Vec<Path>; 2]| {
        let inwards: Vec<Cubic> = waist.iter().filter_map(Path::cubic_unless_line).map(Cubic::reversed).collect();
        let down = side[0].start_tangent().normalize();
        let reach = side.last().map_or(0.0, |path| (path.end() - side[0].start()).dot(&down));
        // Closed darts of more than a right angle would turn the facing back over its centre line.
        let turns_back = down.y <= 0.0 || inwards.iter().flat_map(|curve| curve.points).any(|point| point.x < 0.0);
        let depth = max_offset_to_left(&inwards).min(MAX_FACING_DEPTH_SHARE_OF_SIDE_EXTENT * reach);
        if turns_back { 0.0 } else { depth }
    };
    let max_depth = closed.iter().map(max_depth).fold(centre, f64::min);
    if depth > max_depth {
        return Err(
            Problem::of_length_beyond_limit(Code::FacingTooDeep, "cutting.facing_depth", depth, max_depth).into()
        );
    }
    let [back, front] = closed;
    Ok([(Half::Back, back), (Half::Front, front)].map(|(half, closed)| facing_panel(half, closed, depth)))
}

/// Returns waist and side seam of a panel with all darts closed. To close a dart, every edge from the dart to the side
/// is rotated about the dart's tip until the legs meet. Below the tip the rotation opens a gap, which the facing
/// covers.
fn waist_and_side_with_darts_closed(panel: &Panel) -> [Vec<Path>; 2] {
    let mut closed: Vec<Path> = panel.paths(Role::Waist).chain(panel.paths(Role::Side)).copied().collect();
    for (k, dart) in panel.darts.iter().enumerate().rev() {
        let (from, to) = (dart.outer - dart.tip, dart.inner - dart.tip);
        let turn = Vector::new(from.dot(&to), cross(from, to)).normalize();
        let turn = UnitComplex::from_cos_sin_unchecked(turn.x, turn.y);
        for path in &mut closed[k + 1..] {
            *path = path.map(|point| dart.tip + turn * (point - dart.tip));
        }
    }
    let side = closed.split_off(panel.darts.len() + 1);
    [closed, side]
}

/// Returns the facing of a panel, as a panel without darts, from its waist and side seam with the darts closed, `depth`
/// centimetres deep.
///
/// The lower edge is the offset curve of the waist. The edge ends on the side seam, `depth` from the waist in the
/// direction in which the seam starts, so that both facings have equal side seams. Where the side seam curves inwards,
/// the offset curve ends earlier, and its end moves onto the seam, by 0.01 mm on an ordinary skirt.
fn facing_panel(half: Half, [waist, side]: [Vec<Path>; 2], depth: f64) -> Panel {
    let (corner, down) = (side[0].start(), side[0].start_tangent().normalize());
    let along = Vector::new(down.y, -down.x);
    let straight = || vec![Path::Line([corner, corner + down * depth])];
    let side = paths_up_to_line(side, &Line::new(corner + down * depth, -along), down).unwrap_or_else(straight);
    let end = side.last().map_or(corner, Path::end);
    let lower: Vec<Path> = waist.iter().flat_map(|path| path.offset_to_left(-depth)).collect();
    let mut lower = paths_up_to_line(lower.iter().copied(), &Line::new(end, down), along).unwrap_or(lower);
    if let Some(last) = lower.last_mut() {
        if (last.end() - end).dot(&along) < -1e-9 {
            let start = last.end();
            lower.push(Path::Line([start, end]));
        } else if let Path::Cubic(cubic) = last {
            let step = end - cubic.points[3];
            cubic.points[2] += step;
            cubic.points[3] = end;
        }
    }
    let (waist_start, lower_start) = (waist[0].start(), lower[0].start());
    let mut outline = CutLine { edges: Vec::new(), straight_folds: 0, position: waist_start };
    outline.push_paths(Role::Waist, waist);
    outline.push_paths(Role::Side, side);
    outline.push_paths(Role::Hem, reversed_paths(&lower));
    outline.push_paths(Role::Centre, [Path::Line([lower_start, waist_start])]);
    let (width, waist_width, waist_lowering) = (end.x.max(corner.x), corner.x, waist_start.y - corner.y);
    Panel { half, width, waist_width, waist_lowering, darts: Vec::new(), edges: outline.edges }
}

/// Returns the pattern piece of a facing, with a notch where each closed dart meets the waist.
pub(super) fn facing_piece(facing: &Panel, allowances: &Allowances) -> WaistPiece {
    let waist: Vec<&Path> = facing.paths(Role::Waist).collect();
    let mut along = 0.0;
    let notch = |pair: &[&Path]| {
        along += pair[0].length();
        let tangent = pair[1].start_tangent().normalize();
        let outwards = (Vector::new(tangent.y, -tangent.x), allowances.waist);
        notch_at_point(NotchPlace::DartLeg, along, pair[1].start(), outwards, None)
    };
    let notches = waist.windows(2).map(notch).collect();
    let (top, depth) = (waist[0].start().y, facing.edge_length(Role::Centre));
    let (max_cm, max_share) = MAX_FACING_GRAIN_X_CM_AND_SHARE;
    let x = max_cm.min(max_share * facing.waist_width);
    let outline = facing_cut_line(facing, allowances);
    WaistPiece {
        name: if facing.half == Half::Back { PieceName::BackFacing } else { PieceName::FrontFacing },
        seam: facing.edges.clone(),
        cut: outline.edges,
        notches,
        fold: None,
        grain: [0.1, 0.9].map(|share| Point::new(facing.centre_waist_point().x + x, top + depth * share)),
        straight_folds: outline.straight_folds,
    }
}
