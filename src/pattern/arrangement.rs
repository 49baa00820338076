//! Arrangement of pieces on cloth: the permitted orientations of each piece, and the search for the shortest length.
//!
//! For back and front the search is exhaustive: every order, every permitted orientation, and every position at an edge
//! of the cloth or next to another piece. Each piece slides up the cloth until its outline meets the pieces above. The
//! pieces that finish the waist follow, each where its maximum `y` is least.

use super::cutting::choose_length_by_unit;
use super::unfold::outline_with_mirror_image;
use super::waist_pieces::PieceName;
use crate::draft::Edge;
use crate::field::{FieldKind, Unit};
use crate::geometry::{Path, Point, Vector, bounding_box, flatten_to_polyline};

/// Minimum gap between two pieces on the cloth, in centimetres: room for the shears.
const MIN_PIECE_GAP_CM: f64 = 0.5;

/// Width of the lengthwise strips into which the cloth is divided to compare outlines of pieces, in centimetres.
const CLOTH_STRIP_WIDTH_CM: f64 = 0.1;

/// Number of lengthwise strips, each [`CLOTH_STRIP_WIDTH_CM`] wide, in the minimum gap between two pieces.
const STRIPS_PER_PIECE_GAP: usize = 5;

/// Gap between a piece and the piece on its left, in centimetres: the minimum gap plus 3 strips for rounding.
const GAP_TO_PIECE_ON_LEFT_CM: f64 = MIN_PIECE_GAP_CM + 3.0 * CLOTH_STRIP_WIDTH_CM;

/// Maximum distance between the curves of an outline and the polyline that replaces them, in centimetres.
const OUTLINE_FLATTENING_TOLERANCE_CM: f64 = 0.001;

/// Cloth on which the pieces of a pattern are laid.
///
/// ```
/// use kirtle::pattern::Cloth;
/// use kirtle::{Body, Cutting, Ease, Rules};
///
/// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let pattern = draft.pattern(&Cutting::default())?;
/// let cloth = Cloth { width: 140.0, folded: true, one_way: false, selvedge: 1.0 };
/// assert_eq!(pattern.lay(&cloth)?.to_buy_cm(), 70.0);
/// assert!(pattern.lay(&Cloth { width: 30.0, ..cloth }).is_err());
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Cloth {
    /// Width of the unfolded cloth between its selvedges, in centimetres; from 40 to 400 cm, or 16 to 157 in.
    pub width: f64,
    /// Whether the cloth is folded lengthwise and cut in two layers, with the front on the fold.
    pub folded: bool,
    /// Whether all hems must point the same way along the cloth, as pile, print or shade require.
    pub one_way: bool,
    /// Width of the strip along each selvedge that no piece covers, in centimetres; from 0 to 5 cm, or 0 to 1¾ in.
    pub selvedge: f64,
}

impl Cloth {
    /// Returns the width, in `unit`, of the strip along each selvedge that is usually left free: 1 cm or 3/8 in (common
    /// practice).
    pub fn usual_selvedge(unit: Unit) -> f64 {
        choose_length_by_unit(unit, (1.0, 0.375))
    }

    /// Returns the cloth with its lengths converted from unit `from` to unit `to`.
    pub fn convert_lengths(self, from: Unit, to: Unit) -> Self {
        let convert = |length| FieldKind::Length.convert_unit(length, from, to);
        Self { width: convert(self.width), selvedge: convert(self.selvedge), ..self }
    }
}

/// A pattern piece at its place on the cloth, in the coordinates of the [`Lay`](super::Lay).
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedPiece {
    /// Name of the piece.
    pub name: PieceName,
    /// Whether the paper piece lies face down on the cloth, its printed side below.
    pub mirrored: bool,
    /// Whether the piece lies upside down, with its hem at smaller `y` than its waist.
    pub turned: bool,
    /// Whether the centre line of the piece lies on the fold of the cloth.
    pub on_fold: bool,
    /// Cut line of the piece; for a front or its facing on open cloth, the cut line of both halves.
    pub outline: Vec<Path>,
    /// Grain line of the piece, from the end near the waist to the end near the hem.
    pub grain: [Point; 2],
}

impl PlacedPiece {
    /// Returns the piece with the function `f` applied to every point of its outline and grain line.
    pub(super) fn map_outline_and_grain(&self, f: impl Fn(Point) -> Point) -> Self {
        let outline = self.outline.iter().map(|path| path.map(&f)).collect();
        Self { outline, grain: self.grain.map(&f), ..*self }
    }
}

/// A pattern piece to lay: its name, cut line and grain line.
type PieceToLay<'p> = (PieceName, &'p [Edge], [Point; 2]);

/// One copy of a pattern piece to lay on the cloth, in each orientation in which it may lie there.
pub(super) type PieceOrientations = Vec<OrientedPiece>;

/// A piece in one orientation, moved so that the smallest `x` and the smallest `y` of its outline are 0.
pub(super) struct OrientedPiece {
    placed: PlacedPiece,
    /// Minimum `x` at which the piece may lie on the cloth, in centimetres: 0 on the fold.
    pub(super) min_x: f64,
    pub(super) width: f64,
    /// Maximum `y`, in centimetres.
    length: f64,
    /// Minimum and maximum `y` of the piece in each lengthwise strip of cloth, from `x` = 0, in centimetres.
    y_bounds: Vec<[f64; 2]>,
}

/// Returns the copies to lay of a piece, each with its permitted orientations. On folded
/// cloth a front or its facing lies on the fold, and a back or its facing is laid once, as the two layers give both
/// copies. On open cloth a front or its facing is whole, and a back or its facing is laid twice, the second time
/// mirrored. On cloth with nap every hem points the same way.
pub(super) fn copies_with_permitted_orientations(piece: PieceToLay, cloth: &Cloth) -> Vec<PieceOrientations> {
    // An orientation is a pair of factors of `x` and `y`: one factor of −1 reflects the piece, two rotate it by 180°.
    let to_lay = |factors: &[[f64; 2]]| -> PieceOrientations {
        let permitted = factors.iter().filter(|[_, y]| *y > 0.0 || !cloth.one_way);
        permitted.map(|factors| OrientedPiece::new(piece, cloth, *factors)).collect()
    };
    if piece.0 == PieceName::Waistband {
        // A waistband is a rectangle, so that every orientation has the same outline.
        vec![to_lay(&[[1.0, 1.0]])]
    } else if piece.0.on_fold() {
        // To put the hem up, a piece on the fold is reflected along the fold, and a whole piece is rotated by 180°.
        vec![to_lay(&[[1.0, 1.0], [if cloth.folded { 1.0 } else { -1.0 }, -1.0]])]
    } else if cloth.folded {
        vec![to_lay(&[[1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0]])]
    } else {
        vec![to_lay(&[[1.0, 1.0], [-1.0, -1.0]]), to_lay(&[[-1.0, 1.0], [1.0, -1.0]])]
    }
}

impl OrientedPiece {
    /// Creates a piece with its coordinates multiplied by the factors `[x, y]`, each 1 or −1. A front or its facing on
    /// open cloth is made whole. The piece is moved so that the smallest `x` and `y` of its outline are 0.
    fn new((name, cut, grain): PieceToLay, cloth: &Cloth, [x, y]: [f64; 2]) -> Self {
        let mut outline: Vec<Path> = cut.iter().map(|edge| edge.path).collect();
        let on_fold = name.on_fold() && cloth.folded;
        if name.on_fold() && !cloth.folded {
            outline = outline_with_mirror_image(outline, |p| Point::new(-p.x, p.y));
        }
        let piece = PlacedPiece { name, mirrored: x * y < 0.0, turned: y < 0.0, on_fold, outline, grain };
        let piece = piece.map_outline_and_grain(|p| Point::new(p.x * x, p.y * y));
        let corners = flatten_to_polyline(&piece.outline, OUTLINE_FLATTENING_TOLERANCE_CM);
        let [min, max] = bounding_box(&corners);
        let to_origin = |p: Point| p - min.coords;
        let corners: Vec<Point> = corners.into_iter().map(to_origin).collect();
        let placed = piece.map_outline_and_grain(to_origin);
        let y_bounds = y_bounds_per_strip(&corners);
        let length = y_bounds.iter().map(|bounds| bounds[1]).fold(0.0, f64::max);
        // Off the fold, a piece on folded cloth keeps a gap to the fold.
        let left_edge = if cloth.folded { MIN_PIECE_GAP_CM } else { cloth.selvedge };
        let min_x = if on_fold { 0.0 } else { left_edge };
        Self { placed, min_x, width: max.x - min.x, length, y_bounds }
    }
}

/// Returns the index of the lengthwise strip of cloth that contains `x`, in centimetres; 0 if `x` is negative.
// Cloth is at most 400 cm wide, so that the index is at most 4000; the cast of a negative number gives 0.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn strip_index_at_x(x: f64) -> usize {
    (x / CLOTH_STRIP_WIDTH_CM) as usize
}

/// Returns a lower and an upper bound on the `y` of a closed polyline in each lengthwise strip of cloth, from `x` = 0.
/// Each chord is split into parts, and in every strip that a part touches, the whole range of `y` of the part counts.
fn y_bounds_per_strip(corners: &[Point]) -> Vec<[f64; 2]> {
    let max_x = corners.iter().map(|p| p.x).fold(0.0, f64::max);
    let mut y_bounds = vec![[f64::INFINITY, f64::NEG_INFINITY]; strip_index_at_x(max_x) + 1];
    for pair in corners.windows(2) {
        let (from, chord) = (pair[0], pair[1] - pair[0]);
        let parts = strip_index_at_x(chord.x.abs()) + 1;
        let at = |k: usize| from + chord * (k as f64 / parts as f64);
        for [min, max] in (0..parts).map(|k| bounding_box(&[at(k), at(k + 1)])) {
            let [first, last] = [min.x, max.x].map(strip_index_at_x);
            // Rounding may put `last` one strip beyond the last strip.
            for bounds in y_bounds.iter_mut().take(last + 1).skip(first) {
                *bounds = [bounds[0].min(min.y), bounds[1].max(max.y)];
            }
        }
    }
    y_bounds
}

/// Finds the shortest arrangement of the pieces on cloth; returns the length of cloth in centimetres and the
/// placements. Backs and fronts are the first pieces. `max_x` is the maximum `x` of a piece, in centimetres.
pub(super) fn shortest_length_and_placed_pieces(pieces: &[PieceOrientations], max_x: f64) -> (f64, Vec<PlacedPiece>) {
    let is_of_skirt = |piece: &&PieceOrientations| matches!(piece[0].placed.name, PieceName::Back | PieceName::Front);
    let skirt_count = pieces.iter().filter(is_of_skirt).count();
    let shortest =
        |piece: &PieceOrientations| piece.iter().map(|oriented| oriented.length).fold(f64::INFINITY, f64::min);
    let min_length = pieces.iter().map(shortest).fold(0.0, f64::max);
    let mut search = LaySearch { pieces, skirt_count, max_x, min_length, best: (f64::INFINITY, Vec::new()) };
    search.try_remaining_pieces(&mut Vec::new(), &vec![0.0; strip_index_at_x(max_x) + 1], 0.0);
    let (length, placements) = search.best;
    let place = |at: &PiecePlacement| at.oriented.placed.map_outline_and_grain(|point| point + Vector::new(at.x, at.y));
    (length, placements.iter().map(place).collect())
}

/// Placement of a piece on the cloth: index of the piece, the piece in its orientation, and the smallest `x` and `y` of
/// its outline, in centimetres.
#[derive(Clone, Copy)]
struct PiecePlacement<'a> {
    piece: usize,
    oriented: &'a OrientedPiece,
    x: f64,
    y: f64,
}

/// Depth-first search for the arrangement of pieces that takes the shortest length of cloth, in centimetres: exhaustive
/// for backs and fronts, which are laid first.
struct LaySearch<'a> {
    pieces: &'a [PieceOrientations],
    skirt_count: usize,
    /// Maximum `x` of a piece, in centimetres: the width of one layer of cloth (half of folded cloth) less the strip
    /// along the selvedge.
    max_x: f64,
    /// Lower bound on the length of cloth in centimetres: the length of the longest piece. An arrangement of this
    /// length ends the search.
    min_length: f64,
    /// Length of the shortest complete arrangement so far, and its placements.
    best: (f64, Vec<PiecePlacement<'a>>),
}

impl<'a> LaySearch<'a> {
    /// Tries, recursively, every placement of the remaining pieces. `skyline` is the length of cloth taken so far in
    /// each strip or within a gap of it, `length` the largest of these lengths, in centimetres.
    fn try_remaining_pieces(&mut self, placements: &mut Vec<PiecePlacement<'a>>, skyline: &[f64], length: f64) {
        if placements.len() == self.pieces.len() {
            self.best = (length, placements.clone());
            return;
        }
        let finishes_waist = placements.len() >= self.skirt_count;
        let pieces = if finishes_waist { placements.len()..placements.len() + 1 } else { 0..self.skirt_count };
        // Each placement with the maximum `y` of the piece.
        let mut possible = Vec::new();
        for piece in pieces.filter(|k| placements.iter().all(|placement| placement.piece != *k)) {
            for oriented in &self.pieces[piece] {
                for x in self.candidate_xs_for_piece(placements, oriented) {
                    let y = min_y_below_laid_pieces(skyline, oriented, x);
                    possible.push((PiecePlacement { piece, oriented, x, y }, y + oriented.length));
                }
            }
        }
        if finishes_waist {
            // A piece that finishes the waist lies only where its maximum `y` is least.
            possible = possible.into_iter().min_by(|(_, a), (_, b)| a.total_cmp(b)).into_iter().collect();
        }
        for (placement, bottom) in possible {
            let length = length.max(bottom);
            if length.max(self.min_length) < self.best.0 - 1e-9 {
                placements.push(placement);
                self.try_remaining_pieces(placements, &skyline_with_piece(skyline, &placement), length);
                placements.pop();
            }
        }
    }

    /// Returns each `x`, in centimetres, at which to try a piece: at either edge of the cloth, and to the right of each
    /// placed piece; for a piece on the fold only 0.
    fn candidate_xs_for_piece(&self, placements: &[PiecePlacement], oriented: &OrientedPiece) -> Vec<f64> {
        let beside = placements.iter().map(|at| at.x + at.oriented.width + GAP_TO_PIECE_ON_LEFT_CM);
        let candidates = [oriented.min_x, self.max_x - oriented.width].into_iter().chain(beside);
        let candidates = candidates.take(if oriented.placed.on_fold { 1 } else { usize::MAX });
        candidates.filter(|x| *x >= oriented.min_x && x + oriented.width <= self.max_x).collect()
    }
}

/// Returns the minimum `y`, in centimetres, at which a piece can lie at `x`, with a gap to the pieces above.
fn min_y_below_laid_pieces(skyline: &[f64], piece: &OrientedPiece, x: f64) -> f64 {
    let above = skyline[strip_index_at_x(x)..].iter().chain(skyline.last().into_iter().cycle());
    let min_y = |(occupied, bounds): (&f64, &[f64; 2])| {
        if *occupied > 0.0 { occupied + MIN_PIECE_GAP_CM - bounds[0] } else { -bounds[0] }
    };
    above.zip(&piece.y_bounds).map(min_y).fold(0.0, f64::max)
}

/// Returns a skyline with another piece: in each strip the maximum `y` of the pieces laid there or within a gap on
/// either side, so that slanted edges keep the gap, too.
fn skyline_with_piece(skyline: &[f64], &PiecePlacement { oriented, x, y, .. }: &PiecePlacement) -> Vec<f64> {
    // Strips of two pieces, each between two strips of the cloth, may be one strip nearer than their numbers say.
    let (mut skyline, reach) = (skyline.to_vec(), STRIPS_PER_PIECE_GAP + 1);
    for (strip, bounds) in (strip_index_at_x(x)..).zip(&oriented.y_bounds) {
        for occupied in skyline.iter_mut().take(strip + reach + 1).skip(strip.saturating_sub(reach)) {
            *occupied = occupied.max(y + bounds[1]);
        }
    }
    skyline
}
