//! Whether an outline crosses itself.
//!
//! A curve lies within the box of its control points. Where two boxes are apart the curves are; where they overlap the
//! longer curve is halved, until both are as good as straight.

use crate::draft::Edge;
use crate::geometry::{Cubic, Path, Point, Vector, cross};

/// Below this size, in centimetres, a piece is as good as straight.
const STRAIGHT: f64 = 1e-4;

/// Or with handles no farther than this from its chord, in centimetres.
const FLAT: f64 = 1e-10;

/// Neighbours meet in a corner: this share of each at the corner is not compared with the other's.
const CORNER: f64 = 1e-3;

/// Points farther than this from the origin, in centimetres, or that are no numbers, are not those of a skirt.
const FARTHEST: f64 = 1e4;

/// How often a curve is halved before it counts as crossing itself.
const MAX_HALVINGS: u32 = 12;

/// How many pairs of edges cross, an edge that crosses itself included; not a number where the points are none.
pub(super) fn count(edges: &[Edge]) -> f64 {
    let within = |point: &Point| point.x.abs() <= FARTHEST && point.y.abs() <= FARTHEST;
    if !edges.iter().all(|edge| edge.path.points().iter().all(within)) {
        return f64::NAN;
    }
    let pieces: Vec<Segment> = edges.iter().map(|edge| Segment::new(edge.path)).collect();
    let mut crossings = 0.0;
    for (i, a) in pieces.iter().enumerate() {
        if !a.is_simple(MAX_HALVINGS) {
            crossings += 1.0;
        }
        for (j, b) in pieces.iter().enumerate().skip(i + 1) {
            let crosses = if j == i + 1 {
                meet_beyond_corner(a, b)
            } else if i == 0 && j == pieces.len() - 1 {
                meet_beyond_corner(b, a)
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

/// Whether two neighbours, the first ending where the second starts, meet anywhere else.
fn meet_beyond_corner(a: &Segment, b: &Segment) -> bool {
    let ([a_rest, a_corner], [_, b_rest]) = (a.split(1.0 - CORNER), b.split(CORNER));
    a_rest.meets(b) || a_corner.meets(&b_rest)
}

/// A cubic (a line is one, too) with the box of its control points.
#[derive(Clone, Copy)]
struct Segment {
    cubic: Cubic,
    min: Point,
    max: Point,
}

impl Segment {
    fn new(path: Path) -> Self {
        match path {
            Path::Cubic(cubic) => Self::boxed(cubic),
            Path::Line([a, b]) => Self::boxed(Cubic::new([a, a + (b - a) / 3.0, b - (b - a) / 3.0, b])),
        }
    }

    fn boxed(cubic: Cubic) -> Self {
        let [first, rest @ ..] = cubic.points;
        let min = rest.iter().fold(first, |p, q| Point::new(p.x.min(q.x), p.y.min(q.y)));
        let max = rest.iter().fold(first, |p, q| Point::new(p.x.max(q.x), p.y.max(q.y)));
        Self { cubic, min, max }
    }

    fn apart(&self, other: &Self) -> bool {
        self.max.x < other.min.x || other.max.x < self.min.x || self.max.y < other.min.y || other.max.y < self.min.y
    }

    fn size(&self) -> f64 {
        (self.max - self.min).amax()
    }

    /// The two parts before and after `t` (de Casteljau).
    fn split(&self, t: f64) -> [Self; 2] {
        let [a, b, c, d] = self.cubic.points;
        let between = |p: Point, q: Point| p + (q - p) * t;
        let (ab, bc, cd) = (between(a, b), between(b, c), between(c, d));
        let (abc, bcd) = (between(ab, bc), between(bc, cd));
        let middle = between(abc, bcd);
        [Self::boxed(Cubic::new([a, ab, abc, middle])), Self::boxed(Cubic::new([middle, bcd, cd, d]))]
    }

    fn is_straight(&self) -> bool {
        let [a, b, c, d] = self.cubic.points;
        let chord = d - a;
        let off = |p: Point| cross(chord, p - a).abs();
        self.size() <= STRAIGHT || off(b).max(off(c)) <= FLAT * chord.norm()
    }

    fn meets(&self, other: &Self) -> bool {
        if self.apart(other) {
            return false;
        }
        let halve_self = match (self.is_straight(), other.is_straight()) {
            (true, true) => return self.chords_meet(other),
            (false, false) => self.size() >= other.size(),
            (straight, _) => !straight,
        };
        if halve_self {
            self.split(0.5).iter().any(|half| half.meets(other))
        } else {
            other.split(0.5).iter().any(|half| half.meets(self))
        }
    }

    /// Whether the straight lines between the ends meet.
    fn chords_meet(&self, other: &Self) -> bool {
        let ends = |piece: &Self| (piece.cubic.points[0], piece.cubic.points[3]);
        let ((a, b), (c, d)) = (ends(self), ends(other));
        let side = |from: Point, to: Point, of: Point| -> f64 { cross::<f64>(to - from, of - from) };
        let opposite = |p: f64, q: f64| (p <= 0.0 && q >= 0.0) || (p >= 0.0 && q <= 0.0);
        opposite(side(a, b, c), side(a, b, d)) && opposite(side(c, d, a), side(c, d, b))
    }

    /// Whether the piece has no loop: a curve whose steps all go forward along its chord has none.
    fn is_simple(&self, halvings: u32) -> bool {
        let [a, .., d] = self.cubic.points;
        let chord: Vector = d - a;
        if self.cubic.steps().0.iter().all(|step| step.dot(&chord) >= 0.0) {
            return true;
        }
        let [near, far] = self.split(0.5);
        halvings > 0 && near.is_simple(halvings - 1) && far.is_simple(halvings - 1) && !meet_beyond_corner(&near, &far)
    }
}
