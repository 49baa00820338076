//! Counts the crossings of an outline, its self-crossing curves included, by recursive subdivision of Bézier curves.
//!
//! A curve lies within the bounding box of its control points, so two curves with disjoint boxes do not meet. Otherwise
//! the longer curve is halved, until both curves are nearly straight and their chords decide.

use crate::draft::Edge;
use crate::geometry::{Cubic, Path, Point, Vector, bounding_box, cross};

/// Maximum side of a curve's bounding box, in centimetres, at which the curve is tiny and counts as straight.
const MAX_BOX_SIZE_OF_TINY_CURVE_CM: f64 = 1e-4;

/// Maximum distance of a curve's handles from its chord, in centimetres, at which the curve counts as straight.
const MAX_HANDLE_DISTANCE_OF_STRAIGHT_CURVE_CM: f64 = 1e-10;

/// Fraction of an edge's parameter interval that is ignored next to the corner with a neighbouring edge.
const EXCLUDED_CORNER_PARAMETER_FRACTION: f64 = 1e-3;

/// Maximum absolute coordinate of an outline whose crossings can be counted, in centimetres.
const MAX_OUTLINE_COORDINATE_CM: f64 = 1e4;

/// Maximum number of nested halvings of a curve. A piece that still turns back after these counts as crossing itself.
const MAX_SELF_CROSSING_HALVINGS: u32 = 12;

/// Returns the number of pairs of edges that meet outside their common corner, plus the number of edges that cross
/// themselves; NaN if a coordinate is NaN or its absolute value exceeds [`MAX_OUTLINE_COORDINATE_CM`].
pub(super) fn count_outline_crossings(edges: &[Edge]) -> f64 {
    let is_valid = |p: &Point| p.x.abs() <= MAX_OUTLINE_COORDINATE_CM && p.y.abs() <= MAX_OUTLINE_COORDINATE_CM;
    if !edges.iter().all(|edge| edge.path.points().iter().all(is_valid)) {
        return f64::NAN;
    }
    let curves: Vec<CubicWithBox> = edges.iter().map(|edge| CubicWithBox::from_path(edge.path)).collect();
    let crosses = |i: usize, j: usize| match j - i {
        0 => !curves[i].is_free_of_self_crossings(MAX_SELF_CROSSING_HALVINGS),
        1 => neighbours_meet_outside_corner(&curves[i], &curves[j]),
        _ if i == 0 && j == curves.len() - 1 => neighbours_meet_outside_corner(&curves[j], &curves[i]),
        _ => curves[i].meets_curve(&curves[j]),
    };
    let pairs = (0..curves.len()).flat_map(|i| (i..curves.len()).map(move |j| (i, j)));
    pairs.filter(|(i, j)| crosses(*i, *j)).count() as f64
}

/// Returns whether two neighbouring curves also meet outside the corner where the first ends and the second starts.
fn neighbours_meet_outside_corner(first: &CubicWithBox, second: &CubicWithBox) -> bool {
    let [first_rest, first_corner] = first.split_at_parameter(1.0 - EXCLUDED_CORNER_PARAMETER_FRACTION);
    let [_, second_rest] = second.split_at_parameter(EXCLUDED_CORNER_PARAMETER_FRACTION);
    first_rest.meets_curve(second) || first_corner.meets_curve(&second_rest)
}

/// Cubic curve with the bounding box of its control points.
struct CubicWithBox {
    cubic: Cubic,
    min: Point,
    max: Point,
}

impl CubicWithBox {
    /// Converts a path to a cubic with its bounding box; a line becomes a cubic with equally spaced control points.
    fn from_path(path: Path) -> Self {
        match path {
            Path::Cubic(cubic) => Self::from_cubic(cubic),
            Path::Line([a, b]) => Self::from_cubic(Cubic::new([a, a + (b - a) / 3.0, b - (b - a) / 3.0, b])),
        }
    }

    /// Returns a cubic with the bounding box of its control points.
    fn from_cubic(cubic: Cubic) -> Self {
        let [min, max] = bounding_box(&cubic.points);
        Self { cubic, min, max }
    }

    /// Returns whether the bounding boxes of two curves have no common point.
    fn has_disjoint_box(&self, other: &Self) -> bool {
        self.max.x < other.min.x || other.max.x < self.min.x || self.max.y < other.min.y || other.max.y < self.min.y
    }

    /// Returns the longer side of the bounding box, in centimetres.
    fn longer_box_side_cm(&self) -> f64 {
        (self.max - self.min).amax()
    }

    /// Returns the two parts of the curve before and after the parameter `t`.
    fn split_at_parameter(&self, t: f64) -> [Self; 2] {
        self.cubic.split_at_parameter(t).map(Self::from_cubic)
    }

    /// Returns whether the curve counts as straight: it is tiny, or both of its handles lie on the chord.
    fn counts_as_straight(&self) -> bool {
        let [a, b, c, d] = self.cubic.points;
        let (chord, is_tiny) = (d - a, self.longer_box_side_cm() <= MAX_BOX_SIZE_OF_TINY_CURVE_CM);
        let area = |p: Point| cross(chord, p - a).abs();
        is_tiny || area(b).max(area(c)) <= MAX_HANDLE_DISTANCE_OF_STRAIGHT_CURVE_CM * chord.norm()
    }

    /// Returns whether two curves have a common point, to within the tolerance for straight curves.
    fn meets_curve(&self, other: &Self) -> bool {
        if self.has_disjoint_box(other) {
            return false;
        }
        let halve_self = match (self.counts_as_straight(), other.counts_as_straight()) {
            (true, true) => return self.chords_meet(other),
            (false, false) => self.longer_box_side_cm() >= other.longer_box_side_cm(),
            (straight, _) => !straight,
        };
        let (halved, whole) = if halve_self { (self, other) } else { (other, self) };
        halved.split_at_parameter(0.5).iter().any(|half| half.meets_curve(whole))
    }

    /// Returns whether the chords of two curves have a common point.
    fn chords_meet(&self, other: &Self) -> bool {
        let ([a, .., b], [c, .., d]) = (self.cubic.points, other.cubic.points);
        let side = |from: Point, to: Point, point: Point| -> f64 { cross::<f64>(to - from, point - from) };
        let are_opposite = |p: f64, q: f64| (p <= 0.0 && q >= 0.0) || (p >= 0.0 && q <= 0.0);
        are_opposite(side(a, b, c), side(a, b, d)) && are_opposite(side(c, d, a), side(c, d, b))
    }

    /// Returns whether the curve does not cross itself: its control points all advance along its chord, or its two
    /// halves cross neither themselves nor each other. Halves at most `halvings` times, and then returns false.
    fn is_free_of_self_crossings(&self, halvings: u32) -> bool {
        let [a, .., d] = self.cubic.points;
        let chord: Vector = d - a;
        if self.cubic.control_point_differences().0.iter().all(|step| step.dot(&chord) >= 0.0) {
            return true;
        }
        let [first, second] = self.split_at_parameter(0.5);
        halvings > 0
            && first.is_free_of_self_crossings(halvings - 1)
            && second.is_free_of_self_crossings(halvings - 1)
            && !neighbours_meet_outside_corner(&first, &second)
    }
}
