//! Counts the crossings of an outline, its self-crossing curves included, by recursive subdivision of Bézier curves.
//!
//! A curve lies within the bounding box of its control points, so two curves with disjoint boxes do not meet. Otherwise
//! the longer curve is halved, until both curves are nearly straight and their chords decide.

use crate::draft::Edge;
use crate::geometry::{Cubic, Path, Point, Vector, cross};

/// Maximum bounding-box side of a curve that counts as straight whatever its shape, in centimetres.
const TINY_CURVE_SIZE_CM: f64 = 1e-4;

/// Maximum distance of the handles from the chord of a curve that counts as straight, in centimetres.
const FLATNESS_TOLERANCE_CM: f64 = 1e-10;

/// Length of the parameter interval at the corner of two neighbouring edges that their comparison excludes.
const CORNER_PARAMETER_INTERVAL: f64 = 1e-3;

/// Maximum absolute coordinate of a valid outline, in centimetres.
const MAX_COORDINATE_CM: f64 = 1e4;

/// Maximum number of successive halvings of a curve; a part that still turns back on its chord counts as self-crossing.
const MAX_SELF_CROSSING_HALVINGS: u32 = 12;

/// Counts the pairs of edges that cross, and the edges that cross themselves. Returns NaN if a coordinate is NaN or
/// its absolute value exceeds [`MAX_COORDINATE_CM`].
pub(super) fn count_crossings(edges: &[Edge]) -> f64 {
    let is_valid = |point: &Point| point.x.abs() <= MAX_COORDINATE_CM && point.y.abs() <= MAX_COORDINATE_CM;
    if !edges.iter().all(|edge| edge.path.points().iter().all(is_valid)) {
        return f64::NAN;
    }
    let curves: Vec<BoundedCurve> = edges.iter().map(|edge| BoundedCurve::from_path(edge.path)).collect();
    let mut crossings = 0.0;
    for (i, a) in curves.iter().enumerate() {
        if !a.is_simple(MAX_SELF_CROSSING_HALVINGS) {
            crossings += 1.0;
        }
        for (j, b) in curves.iter().enumerate().skip(i + 1) {
            let crosses = if j == i + 1 {
                meet_outside_corner(a, b)
            } else if i == 0 && j == curves.len() - 1 {
                meet_outside_corner(b, a)
            } else {
                a.meets(b)
            };
            if crosses {
                crossings += 1.0;
            }
        }
    }
    crossings
}

/// Returns whether two neighbouring curves meet outside the corner where the first ends and the second starts.
fn meet_outside_corner(first: &BoundedCurve, second: &BoundedCurve) -> bool {
    let [first_rest, first_corner] = first.split(1.0 - CORNER_PARAMETER_INTERVAL);
    let [_, second_rest] = second.split(CORNER_PARAMETER_INTERVAL);
    first_rest.meets(second) || first_corner.meets(&second_rest)
}

/// A cubic with the bounding box of its control points.
#[derive(Clone, Copy)]
struct BoundedCurve {
    cubic: Cubic,
    min: Point,
    max: Point,
}

impl BoundedCurve {
    /// Converts a path to a cubic with its box; a line gets equally spaced control points.
    fn from_path(path: Path) -> Self {
        match path {
            Path::Cubic(cubic) => Self::from_cubic(cubic),
            Path::Line([a, b]) => Self::from_cubic(Cubic::new([a, a + (b - a) / 3.0, b - (b - a) / 3.0, b])),
        }
    }

    /// Returns a cubic with the bounding box of its control points.
    fn from_cubic(cubic: Cubic) -> Self {
        let [first, rest @ ..] = cubic.points;
        let min = rest.iter().fold(first, |p, q| Point::new(p.x.min(q.x), p.y.min(q.y)));
        let max = rest.iter().fold(first, |p, q| Point::new(p.x.max(q.x), p.y.max(q.y)));
        Self { cubic, min, max }
    }

    /// Returns whether the bounding boxes of two curves have no common point.
    fn has_disjoint_box(&self, other: &Self) -> bool {
        self.max.x < other.min.x || other.max.x < self.min.x || self.max.y < other.min.y || other.max.y < self.min.y
    }

    /// Returns the longer side of the bounding box, in centimetres.
    fn box_size(&self) -> f64 {
        (self.max - self.min).amax()
    }

    /// Returns the two parts of the curve before and after the parameter `t` (de Casteljau).
    fn split(&self, t: f64) -> [Self; 2] {
        let [a, b, c, d] = self.cubic.points;
        let between = |p: Point, q: Point| p + (q - p) * t;
        let (ab, bc, cd) = (between(a, b), between(b, c), between(c, d));
        let (abc, bcd) = (between(ab, bc), between(bc, cd));
        let middle = between(abc, bcd);
        [Self::from_cubic(Cubic::new([a, ab, abc, middle])), Self::from_cubic(Cubic::new([middle, bcd, cd, d]))]
    }

    /// Returns whether the chord can replace the curve: the curve is tiny, or both handles lie on the chord.
    fn is_straight(&self) -> bool {
        let [a, b, c, d] = self.cubic.points;
        let chord = d - a;
        let area = |p: Point| cross(chord, p - a).abs();
        self.box_size() <= TINY_CURVE_SIZE_CM || area(b).max(area(c)) <= FLATNESS_TOLERANCE_CM * chord.norm()
    }

    /// Returns whether two curves have a common point.
    fn meets(&self, other: &Self) -> bool {
        if self.has_disjoint_box(other) {
            return false;
        }
        let halve_self = match (self.is_straight(), other.is_straight()) {
            (true, true) => return self.chords_meet(other),
            (false, false) => self.box_size() >= other.box_size(),
            (straight, _) => !straight,
        };
        if halve_self {
            self.split(0.5).iter().any(|half| half.meets(other))
        } else {
            other.split(0.5).iter().any(|half| half.meets(self))
        }
    }

    /// Returns whether the chords of two curves have a common point.
    fn chords_meet(&self, other: &Self) -> bool {
        let ends = |curve: &Self| (curve.cubic.points[0], curve.cubic.points[3]);
        let ((a, b), (c, d)) = (ends(self), ends(other));
        let side = |from: Point, to: Point, point: Point| -> f64 { cross::<f64>(to - from, point - from) };
        let are_opposite = |p: f64, q: f64| (p <= 0.0 && q >= 0.0) || (p >= 0.0 && q <= 0.0);
        are_opposite(side(a, b, c), side(a, b, d)) && are_opposite(side(c, d, a), side(c, d, b))
    }

    /// Returns whether the curve does not cross itself: its control points all advance along its chord, or both halves
    /// are simple and do not cross. Halves at most `halvings` times.
    fn is_simple(&self, halvings: u32) -> bool {
        let [a, .., d] = self.cubic.points;
        let chord: Vector = d - a;
        if self.cubic.differences().0.iter().all(|step| step.dot(&chord) >= 0.0) {
            return true;
        }
        let [first, second] = self.split(0.5);
        halvings > 0
            && first.is_simple(halvings - 1)
            && second.is_simple(halvings - 1)
            && !meet_outside_corner(&first, &second)
    }
}
