//! The outline as it is sewn: darts closed, seams laid on each other.

use super::{distance, tape, turn_deg};
use crate::draft::{Edge, Role};
use crate::geometry::{Path, Point, Vector};

/// How many places along a seam are laid on each other.
const PLACES: u32 = 16;

/// The waist of a panel with its darts closed.
pub(super) struct Sewn {
    waist: Vec<Path>,
    /// The tips as drawn.
    pub(super) tips: Vec<Point>,
    /// The largest difference between the two legs of a dart.
    pub(super) leg_difference: f64,
}

/// A turn of the cloth and a shift: `p ↦ turn · p + shift`, the turn as a unit complex number.
#[derive(Clone, Copy)]
struct Move {
    turn: Vector,
    shift: Vector,
}

impl Move {
    fn of(self, point: Point) -> Point {
        Point::from(times(self.turn, point.coords) + self.shift)
    }

    /// This move, then a turn about `tip` that lays `from` on `to`.
    fn then_fold(self, tip: Point, from: Point, to: Point) -> Self {
        let (a, b) = (from - tip, to - tip);
        let turn = Vector::new(a.dot(&b), a.x * b.y - a.y * b.x).normalize();
        let shift = times(turn, self.shift - tip.coords) + tip.coords;
        Self { turn: times(turn, self.turn), shift }
    }
}

/// The product of two complex numbers.
fn times(a: Vector, b: Vector) -> Vector {
    Vector::new(a.x * b.x - a.y * b.y, a.x * b.y + a.y * b.x)
}

/// Closes the darts from the centre to the side: past each dart the cloth turns about the tip until the legs meet.
pub(super) fn sew(edges: &[Edge]) -> Sewn {
    let mut cloth = Move { turn: Vector::new(1.0, 0.0), shift: Vector::zeros() };
    let mut sewn = Sewn { waist: Vec::new(), tips: Vec::new(), leg_difference: 0.0 };
    let mut inner = None;
    for edge in edges {
        match (edge.role, inner) {
            (Role::Waist, _) => sewn.waist.push(edge.path.map(|point| cloth.of(point))),
            (Role::Dart, None) => inner = Some(edge.path),
            (Role::Dart, Some(leg)) => {
                let difference = (tape::length(&leg) - tape::length(&edge.path)).abs();
                sewn.leg_difference = largest([sewn.leg_difference, difference]);
                sewn.tips.push(leg.end());
                cloth = cloth.then_fold(cloth.of(leg.end()), cloth.of(edge.path.end()), cloth.of(leg.start()));
                inner = None;
            }
            _ => {}
        }
    }
    sewn
}

impl Sewn {
    /// The length of the sewn waist.
    pub(super) fn waist_length(&self) -> f64 {
        self.waist.iter().map(tape::length).sum()
    }

    /// The largest gap between two neighbours on the sewn waist.
    pub(super) fn largest_gap(&self) -> f64 {
        largest(self.waist.windows(2).map(|pair| distance(pair[0].end(), pair[1].start())))
    }

    /// The largest bend of the sewn waist over a closed dart, in degrees.
    pub(super) fn largest_bend(&self) -> f64 {
        largest(self.waist.windows(2).map(|pair| turn_deg(pair[0].end_tangent(), pair[1].start_tangent()).abs()))
    }
}

/// The paths of one role, in order.
pub(super) fn paths(edges: &[Edge], role: Role) -> Vec<Path> {
    edges.iter().filter(|edge| edge.role == role).map(|edge| edge.path).collect()
}

/// How far two seams lie apart at the farthest when laid on each other by their last points.
pub(super) fn apart(a: &[Path], b: &[Path]) -> f64 {
    let (Some(a_end), Some(b_end)) = (a.last(), b.last()) else { return f64::NAN };
    if a.len() != b.len() {
        return f64::NAN;
    }
    let (a_end, b_end) = (a_end.end(), b_end.end());
    let places = || (0..=PLACES).map(|k| f64::from(k) / f64::from(PLACES));
    let apart = |(a, b): (&Path, &Path)| largest(places().map(|t| distance(a.at(t), b.at(t) + (a_end - b_end))));
    largest(a.iter().zip(b).map(apart))
}

/// The angles at which the waist meets its neighbours: the centre line, the legs of the darts, the side seam.
pub(super) fn waist_corners(edges: &[Edge]) -> impl Iterator<Item = f64> {
    corners(edges, |a, b| (a == Role::Waist) != (b == Role::Waist))
}

/// The angles at which the hem meets the side seam and the centre line.
pub(super) fn hem_corners(edges: &[Edge]) -> impl Iterator<Item = f64> {
    corners(edges, |a, b| (a == Role::Hem) != (b == Role::Hem))
}

/// The turn in degrees from each edge to the next, where their roles are wanted.
fn corners(edges: &[Edge], wanted: impl Fn(Role, Role) -> bool) -> impl Iterator<Item = f64> {
    let pairs = edges.iter().zip(edges.iter().cycle().skip(1));
    let wanted = pairs.filter(move |(edge, next)| wanted(edge.role, next.role));
    wanted.map(|(edge, next)| turn_deg(edge.path.end_tangent(), next.path.start_tangent()))
}

/// The angle that is farthest from what it should be; not a number where there is none.
pub(super) fn farthest_from(expected: f64, angles: impl Iterator<Item = f64>) -> f64 {
    let off = |angle: &f64| (angle - expected).abs();
    angles.max_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(f64::NAN)
}

/// The largest gap between the end of an edge and the start of the next.
pub(super) fn largest_gap(edges: &[Edge]) -> f64 {
    let pairs = edges.iter().zip(edges.iter().cycle().skip(1));
    largest(pairs.map(|(edge, next)| distance(edge.path.end(), next.path.start())))
}

/// The largest of some sizes, or not a number where one of them is none; 0 of none at all.
fn largest(sizes: impl IntoIterator<Item = f64>) -> f64 {
    sizes.into_iter().fold(0.0, |largest: f64, size| if largest.is_nan() || size <= largest { largest } else { size })
}
