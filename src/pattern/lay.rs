//! Lays: the arrangement of the pieces on cloth, and the length of cloth that they take.
//!
//! With two or three pieces the search is exhaustive: every order, every permitted orientation, and every position at
//! an edge of the cloth or next to another piece. Each piece slides up the cloth until its outline meets the pieces
//! above.

use super::{Pattern, Piece};
use crate::draft::Half;
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::geometry::{Path, Point, flatten_to_polyline};

/// Description and range of the field `width` of the cloth.
pub(crate) const CLOTH_WIDTH_FIELD: Field = Field::new(
    "width",
    "Width of the cloth between its selvedges, laid open.",
    FieldKind::Length,
    (40.0, 400.0),
    (16.0, 157.0),
);

/// Minimum gap between two pieces on the cloth, in centimetres: room for the shears.
const MIN_PIECE_GAP_CM: f64 = 0.5;

/// Width of the lengthwise strips of cloth in which outlines of pieces are compared, in centimetres.
const CLOTH_STRIP_WIDTH_CM: f64 = 0.1;

/// Number of lengthwise strips of cloth in the minimum gap between two pieces.
const STRIPS_PER_PIECE_GAP: usize = 5;

/// Distance across the cloth between pieces tried side by side, in centimetres: minimum gap, and 3 strips for rounding.
const TRIED_NEIGHBOUR_DISTANCE_CM: f64 = MIN_PIECE_GAP_CM + 3.0 * CLOTH_STRIP_WIDTH_CM;

/// Maximum distance of the polyline that replaces an outline from the curves of the outline, in centimetres.
const OUTLINE_FLATTENING_TOLERANCE_CM: f64 = 0.001;

/// Step between the lengths of cloth that metric shops sell, in centimetres (common practice).
const SOLD_LENGTH_STEP_CM: f64 = 10.0;

/// Length of a yard, in centimetres.
const CM_PER_YARD: f64 = 91.44;

/// Cloth on which the pieces of a pattern are laid.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Cloth {
    /// Width of the unfolded cloth between its selvedges, in centimetres; from 40 to 400 cm, or 16 to 157 in.
    pub width: f64,
    /// Whether the cloth is folded lengthwise and cut in two layers, with the front on the fold.
    pub folded: bool,
    /// Whether all hems must point the same way along the cloth, as pile, print or shade require.
    pub one_way: bool,
}

/// A pattern laid on cloth, in centimetres. `x` runs across the cloth, from the fold or a selvedge; `y` runs along the
/// cloth.
#[derive(Clone, Debug, PartialEq)]
pub struct Lay {
    /// Cloth that the pieces lie on.
    pub cloth: Cloth,
    /// Name printed on the pieces, such as a size or a person; empty if none was given.
    pub name: String,
    /// Length of cloth that the pieces take, in centimetres.
    pub length: f64,
    /// Share of the area of the taken cloth that the pieces leave unused, from 0 to 1.
    pub waste: f64,
    /// Pieces laid on the cloth, each with its outline in place.
    pub placed: Vec<PlacedPiece>,
}

/// A piece on the cloth, in the coordinates of the [`Lay`].
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedPiece {
    /// Whether the piece is a back or a front.
    pub half: Half,
    /// Whether the piece lies printed side down.
    pub mirrored: bool,
    /// Whether the piece lies upside down, with its hem at smaller `y` than its waist.
    pub turned: bool,
    /// Whether the centre line of the piece lies on the fold of the cloth.
    pub on_fold: bool,
    /// Cut line of the piece; for a front on open cloth, the cut line of both halves.
    pub outline: Vec<Path>,
    /// Grain line of the piece, from the end near the waist to the end near the hem.
    pub grain: [Point; 2],
}

impl Cloth {
    /// Returns the cloth with its width converted from one unit to another.
    pub(crate) fn convert_lengths(self, from: Unit, to: Unit) -> Self {
        Self { width: CLOTH_WIDTH_FIELD.kind.convert_unit(self.width, from, to), ..self }
    }
}

impl Lay {
    /// Returns the length of cloth to buy, in centimetres, rounded up to a multiple of 10 cm.
    #[must_use]
    pub fn to_buy_cm(&self) -> f64 {
        whole_steps_to_cover_length(self.length, SOLD_LENGTH_STEP_CM) * SOLD_LENGTH_STEP_CM
    }

    /// Returns the length of cloth to buy, in yards, rounded up to a multiple of an eighth of a yard.
    #[must_use]
    pub fn to_buy_yd(&self) -> f64 {
        whole_steps_to_cover_length(self.length, CM_PER_YARD / 8.0) / 8.0
    }
}

/// Returns the smallest whole number of steps that cover a length. An excess of up to 1e-9 steps counts as rounding.
fn whole_steps_to_cover_length(length: f64, step: f64) -> f64 {
    (length / step - 1e-9).ceil()
}

impl Pattern {
    /// Returns the shortest lay found: the back twice and the front once on cloth.
    ///
    /// # Errors
    /// Returns a problem if the width is out of range, or too small for the widest piece on the folded or open cloth.
    ///
    /// ```
    /// use kirtle::{Body, Cutting, Ease, Rules};
    /// use kirtle::pattern::Cloth;
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
    /// let lay = pattern.lay(&Cloth { width: 140.0, folded: true, one_way: false })?;
    /// assert_eq!(lay.to_buy_cm(), 70.0);
    ///
    /// let problems = pattern.lay(&Cloth { width: 50.0, folded: true, one_way: false }).unwrap_err();
    /// assert_eq!(problems.to_string(), "cloth.width: 50 cm is too narrow for the widest piece; the minimum is 57.5 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn lay(&self, cloth: &Cloth) -> Result<Lay, Problems> {
        Problems::ok_if_empty(CLOTH_WIDTH_FIELD.range_problem("cloth.", cloth.width, Unit::Cm).into_iter().collect())?;
        let pieces = pieces_to_lay(self, cloth);
        // On folded cloth every piece off the fold needs a gap to the fold.
        let (layers, margin) = if cloth.folded { (2.0, MIN_PIECE_GAP_CM) } else { (1.0, 0.0) };
        let needed = |piece: &PieceToLay| piece.orientations[0].min_x_on_cloth(margin) + piece.orientations[0].width;
        let widest = pieces.iter().map(needed).fold(0.0, f64::max) * layers;
        if widest > cloth.width {
            // Rounded up, so that the reported minimum is wide enough.
            let min = (widest * 10.0).ceil() / 10.0;
            let problem = Problem::new(Code::ClothTooNarrow, "cloth.width").with_value(cloth.width);
            return Err(problem.with_limit(min).with_unit(Unit::Cm.name()).into());
        }
        let (mut length, placements) = shortest_arrangement(&pieces, cloth.width / layers, margin);
        let placed = placements.iter().map(|p| pieces[p.piece].orientations[p.orientation].translated_piece(p.x, p.y));
        let mut placed: Vec<PlacedPiece> = placed.collect();
        // The lay on folded cloth, unfolded, is also a lay on open cloth.
        if let Some(unfolded) = self.lay_on_folded_cloth_unfolded(cloth).filter(|(shorter, _)| *shorter < length) {
            (length, placed) = unfolded;
        }
        let area = 2.0 * (self.back.area() + self.front.area());
        let name = self.cutting().name.clone();
        Ok(Lay { cloth: *cloth, name, length, waste: 1.0 - area / (length * cloth.width), placed })
    }

    /// Folds open cloth lengthwise, lays the pieces, and unfolds it; returns length and pieces of the unfolded lay: the
    /// back twice, the front with both halves. Returns `None` if the cloth is folded already or too narrow to fold.
    fn lay_on_folded_cloth_unfolded(&self, cloth: &Cloth) -> Option<(f64, Vec<PlacedPiece>)> {
        let lay = if cloth.folded { None } else { self.lay(&Cloth { folded: true, ..*cloth }).ok() }?;
        let middle = cloth.width / 2.0;
        let mut placed = Vec::new();
        for piece in lay.placed {
            let [right, left] = [1.0, -1.0].map(|s| piece.map_outline_and_grain(|p| Point::new(middle + s * p.x, p.y)));
            if piece.on_fold {
                let outline = outline_with_mirror_image(right.outline, |p| Point::new(2.0 * middle - p.x, p.y));
                // A symmetric piece flipped along the cloth equals the piece rotated by 180°, right side up.
                placed.push(PlacedPiece { outline, on_fold: false, mirrored: false, ..right });
            } else {
                placed.push(PlacedPiece { mirrored: !left.mirrored, ..left });
                placed.push(right);
            }
        }
        Some((lay.length, placed))
    }
}

impl PlacedPiece {
    /// Returns the piece with the function `f` applied to every point of its outline and grain line.
    fn map_outline_and_grain(&self, f: impl Fn(Point) -> Point) -> Self {
        let outline = self.outline.iter().map(|path| path.map(&f)).collect();
        Self { outline, grain: self.grain.map(&f), ..*self }
    }
}

/// A piece to be laid once on the cloth, with its permitted orientations; the first is the orientation as drafted.
struct PieceToLay {
    orientations: Vec<OrientedPiece>,
}

/// A piece in one orientation, moved so that its outline has minimum `x` and `y` of 0.
struct OrientedPiece {
    placed: PlacedPiece,
    width: f64,
    /// Minimum and maximum `y` of the piece in each lengthwise strip of cloth, from `x` = 0.
    extents: Vec<[f64; 2]>,
}

/// Reflection of a piece across and along the cloth; both together are a rotation by 180°.
#[derive(Clone, Copy)]
struct PieceReflection {
    flips_x: bool,
    flips_y: bool,
}

impl PieceReflection {
    /// Returns the reflected point: with `x`, `y`, both or neither negated, as the flags say.
    fn reflect_point(self, p: Point) -> Point {
        Point::new(if self.flips_x { -p.x } else { p.x }, if self.flips_y { -p.y } else { p.y })
    }
}

/// Returns the pieces to lay, with their permitted orientations: on folded cloth half the front, on the fold, and one
/// back; on open cloth the whole front, one back, and one mirrored back.
fn pieces_to_lay(pattern: &Pattern, cloth: &Cloth) -> Vec<PieceToLay> {
    let to_lay = |piece, reflections: &[(bool, bool)]| {
        let reflections =
            reflections.iter().map(|(flips_x, flips_y)| PieceReflection { flips_x: *flips_x, flips_y: *flips_y });
        let permitted = reflections.filter(|reflection| !(reflection.flips_y && cloth.one_way));
        PieceToLay { orientations: permitted.map(|r| OrientedPiece::new(piece, cloth.folded, r)).collect() }
    };
    // With its hem up, a front on the fold is flipped along the fold; a whole front is rotated.
    let front = to_lay(&pattern.front, &[(false, false), (!cloth.folded, true)]);
    let back = |reflections| to_lay(&pattern.back, reflections);
    if cloth.folded {
        return vec![front, back(&[(false, false), (true, false), (true, true), (false, true)])];
    }
    vec![front, back(&[(false, false), (true, true)]), back(&[(true, false), (false, true)])]
}

impl OrientedPiece {
    /// Reflects a pattern piece and moves it so that its outline has minimum `x` and `y` of 0.
    fn new(piece: &Piece, folded: bool, reflection: PieceReflection) -> Self {
        let mut outline: Vec<Path> = piece.cut.iter().map(|edge| edge.path).collect();
        let on_fold = piece.on_fold() && folded;
        if piece.on_fold() && !folded {
            outline = outline_with_mirror_image(outline, |p| Point::new(-p.x, p.y));
        }
        let outline: Vec<Path> = outline.iter().map(|path| path.map(|p| reflection.reflect_point(p))).collect();
        let corners = flatten_to_polyline(&outline, OUTLINE_FLATTENING_TOLERANCE_CM);
        let min = corners.iter().fold(corners[0], |p, q| Point::new(p.x.min(q.x), p.y.min(q.y)));
        let to_origin = |p: Point| p - min.coords;
        let corners: Vec<Point> = corners.into_iter().map(to_origin).collect();
        let placed = PlacedPiece {
            half: piece.panel.half,
            mirrored: reflection.flips_x != reflection.flips_y,
            turned: reflection.flips_y,
            on_fold,
            outline: outline.iter().map(|path| path.map(to_origin)).collect(),
            grain: piece.grain.map(|p| to_origin(reflection.reflect_point(p))),
        };
        Self { placed, width: corners.iter().map(|p| p.x).fold(0.0, f64::max), extents: y_bounds_per_strip(&corners) }
    }

    /// Returns the minimum `x` at which the piece may lie on the cloth: 0 if it lies on the fold, else `margin`.
    fn min_x_on_cloth(&self, margin: f64) -> f64 {
        if self.placed.on_fold { 0.0 } else { margin }
    }

    /// Returns the piece translated by `(x, y)`, its place on the cloth.
    fn translated_piece(&self, x: f64, y: f64) -> PlacedPiece {
        self.placed.map_outline_and_grain(|point| point + Point::new(x, y).coords)
    }
}

/// Joins the outline of half a piece, without its last edge, the centre line, with its mirror image.
fn outline_with_mirror_image(mut half: Vec<Path>, mirror: impl Fn(Point) -> Point) -> Vec<Path> {
    half.pop();
    let mirror_image: Vec<Path> = half.iter().rev().map(|path| path.reversed().map(&mirror)).collect();
    half.extend(mirror_image);
    half
}

/// Returns the index of the lengthwise strip of cloth that contains `x`; 0 if `x` is negative.
fn strip_index_at_x(x: f64) -> usize {
    // Cloth is at most 400 cm wide, so that the index is at most 4000.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let index = (x.max(0.0) / CLOTH_STRIP_WIDTH_CM) as usize;
    index
}

/// Returns a lower and an upper bound on the `y` of a closed polyline in each lengthwise strip of cloth: each part of a
/// chord counts with its whole range of `y` in every strip that it touches.
fn y_bounds_per_strip(corners: &[Point]) -> Vec<[f64; 2]> {
    let max_x = corners.iter().map(|p| p.x).fold(0.0, f64::max);
    let mut extents = vec![[f64::INFINITY, f64::NEG_INFINITY]; strip_index_at_x(max_x) + 1];
    for pair in corners.windows(2) {
        for [start, end] in split_chord_by_strip_width(pair[0], pair[1]) {
            let [min, max] = [start.y.min(end.y), start.y.max(end.y)];
            let [first, last] = [start.x.min(end.x), start.x.max(end.x)].map(strip_index_at_x);
            // Rounding may put `last` one strip beyond the end.
            for extent in extents.iter_mut().take(last + 1).skip(first) {
                *extent = [extent[0].min(min), extent[1].max(max)];
            }
        }
    }
    extents
}

/// Splits a chord into equal parts, each at most as wide in `x` as one lengthwise strip of cloth; returns the parts.
fn split_chord_by_strip_width(from: Point, to: Point) -> impl Iterator<Item = [Point; 2]> {
    let parts = strip_index_at_x((to.x - from.x).abs()) + 1;
    let at = move |k: usize| from + (to - from) * (k as f64 / parts as f64);
    (0..parts).map(move |k| [at(k), at(k + 1)])
}

/// Finds the shortest arrangement of the pieces on cloth; returns its length and the positions of the pieces.
fn shortest_arrangement(pieces: &[PieceToLay], width: f64, margin: f64) -> (f64, Vec<PiecePlacement>) {
    let mut search = LaySearch { pieces, width, margin, best: (f64::INFINITY, Vec::new()) };
    search.try_remaining_pieces(&mut Vec::new(), &vec![0.0; strip_index_at_x(width) + 1], 0.0);
    search.best
}

/// Position of a piece on the cloth: indices of piece and orientation, and minimum `x` and `y` of its outline.
#[derive(Clone, Copy)]
struct PiecePlacement {
    piece: usize,
    orientation: usize,
    x: f64,
    y: f64,
}

/// Exhaustive depth-first search for the arrangement of pieces that takes the shortest length of cloth.
struct LaySearch<'a> {
    pieces: &'a [PieceToLay],
    /// Width of one layer of the cloth: half the cloth's width if it is folded.
    width: f64,
    /// Minimum `x` of a piece that does not lie on the fold of the cloth.
    margin: f64,
    /// Length of the shortest complete arrangement so far, and the positions of its pieces.
    best: (f64, Vec<PiecePlacement>),
}

impl LaySearch<'_> {
    /// Adds each remaining piece in every way, recursively. `skyline` is the occupied length of cloth in each strip.
    fn try_remaining_pieces(&mut self, placements: &mut Vec<PiecePlacement>, skyline: &[f64], length: f64) {
        if length >= self.best.0 - 1e-9 {
            return;
        }
        if placements.len() == self.pieces.len() {
            self.best = (length, placements.clone());
            return;
        }
        for (k, piece) in self.pieces.iter().enumerate() {
            if placements.iter().any(|placement| placement.piece == k) {
                continue;
            }
            for (orientation, oriented) in piece.orientations.iter().enumerate() {
                for x in self.candidate_xs_for_piece(placements, oriented) {
                    let mut skyline = skyline.to_vec();
                    let (y, bottom) = slide_piece_up_to_skyline(&mut skyline, oriented, x);
                    placements.push(PiecePlacement { piece: k, orientation, x, y });
                    self.try_remaining_pieces(placements, &skyline, length.max(bottom));
                    placements.pop();
                }
            }
        }
    }

    /// Returns the values of `x` at which to try a piece: at either edge of the cloth, and next to each placed piece. A
    /// piece on the fold is tried at 0 only.
    fn candidate_xs_for_piece(&self, placements: &[PiecePlacement], oriented: &OrientedPiece) -> Vec<f64> {
        let min_x = oriented.min_x_on_cloth(self.margin);
        let mut candidates = vec![min_x];
        if !oriented.placed.on_fold {
            candidates.push(self.width - oriented.width);
            let width = |at: &PiecePlacement| self.pieces[at.piece].orientations[at.orientation].width;
            candidates.extend(placements.iter().map(|at| at.x + width(at) + TRIED_NEIGHBOUR_DISTANCE_CM));
        }
        candidates.retain(|x| *x >= min_x && x + oriented.width <= self.width);
        candidates
    }
}

/// Slides a piece up the cloth at `x` until it is a gap from the pieces above, whose lower limit is `skyline`, and adds
/// the piece to `skyline` in place. Returns the minimum and the maximum `y` of the piece.
fn slide_piece_up_to_skyline(skyline: &mut [f64], piece: &OrientedPiece, x: f64) -> (f64, f64) {
    let (first, last, gap) = (strip_index_at_x(x), skyline.len() - 1, STRIPS_PER_PIECE_GAP);
    // A strip of the piece may overlap two strips of the cloth.
    let overlapped = |k: usize| first + k..=(first + k + 1).min(last);
    // Includes the strips within a gap on each side, so that slanted edges keep the gap, too.
    let nearby = |k: usize| (first + k).saturating_sub(gap)..=(first + k + 1 + gap).min(last);
    let min_y = |(k, extent): (usize, &[f64; 2])| {
        let occupied = skyline[nearby(k)].iter().copied().fold(0.0, f64::max);
        if occupied > 0.0 { occupied + MIN_PIECE_GAP_CM - extent[0] } else { -extent[0] }
    };
    let y = piece.extents.iter().enumerate().map(min_y).fold(0.0, f64::max);
    let mut bottom = 0.0_f64;
    for (k, extent) in piece.extents.iter().enumerate() {
        for occupied in &mut skyline[overlapped(k)] {
            *occupied = occupied.max(y + extent[1]);
        }
        bottom = bottom.max(y + extent[1]);
    }
    (y, bottom)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A chord whose end is rounded up into the next strip changes only strips that exist.
    #[test]
    fn a_chord_ends_in_its_last_strip() {
        let end = (100.0 * CLOTH_STRIP_WIDTH_CM).next_down();
        let starts = (1..10_000).map(|k| f64::from(k) / 7919.0);
        let rounded: Vec<f64> = starts.filter(|x| strip_index_at_x(x + (end - x)) > strip_index_at_x(end)).collect();
        assert!(!rounded.is_empty());
        for from in rounded {
            let corners = [Point::new(from, 1.0), Point::new(end, 2.0)];
            let extents = y_bounds_per_strip(&corners);
            assert_eq!((extents.len(), extents[extents.len() - 1][1]), (strip_index_at_x(end) + 1, 2.0));
        }
    }
}
