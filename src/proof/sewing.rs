//! Sews the outlines: closes the darts of the waist, lays the side seams on each other, and measures gaps and corners.

use super::{distance_between_points, lengths, signed_angle_degrees};
use crate::draft::{Edge, Role};
use crate::geometry::{Path, Point, Vector};

/// Number of equal parameter intervals of a path at whose ends the distance between two seams is measured.
const SAMPLED_INTERVALS_PER_PATH: u32 = 16;

/// Seam line of one panel's waist with the darts closed, as measured on its outline.
pub(super) struct SewnPanelWaist {
    pub(super) waist: Vec<Path>,
    /// Dart tips on the flat panel.
    pub(super) tips: Vec<Point>,
    /// Maximum difference between the lengths of the two legs of a dart, in centimetres.
    pub(super) max_leg_difference: f64,
}

/// Rigid motion of the plane, `p ↦ rotation · p + shift`, with the rotation as a unit complex number.
#[derive(Clone, Copy)]
struct RigidMotion {
    rotation: Vector,
    shift: Vector,
}

impl RigidMotion {
    /// Returns the image of a point under the motion.
    fn move_point(self, point: Point) -> Point {
        Point::from(complex_product(self.rotation, point.coords) + self.shift)
    }

    /// Returns this motion followed by a rotation about `centre`: the one that turns the ray from `centre` to `from`
    /// into the ray to `to`.
    fn then_rotate_about_point(self, centre: Point, from: Point, to: Point) -> Self {
        let (a, b) = (from - centre, to - centre);
        let rotation = Vector::new(a.dot(&b), a.x * b.y - a.y * b.x).normalize();
        let shift = complex_product(rotation, self.shift - centre.coords) + centre.coords;
        Self { rotation: complex_product(rotation, self.rotation), shift }
    }
}

/// Multiplies two vectors as complex numbers.
fn complex_product(a: Vector, b: Vector) -> Vector {
    Vector::new(a.x * b.x - a.y * b.y, a.x * b.y + a.y * b.x)
}

/// Returns the waist of a panel after closing its darts, from the centre to the side: all cloth beyond a dart rotates
/// about the dart's tip until the two legs meet.
pub(super) fn waist_with_darts_closed(edges: &[Edge]) -> SewnPanelWaist {
    let mut motion = RigidMotion { rotation: Vector::new(1.0, 0.0), shift: Vector::zeros() };
    let mut sewn = SewnPanelWaist { waist: Vec::new(), tips: Vec::new(), max_leg_difference: 0.0 };
    let mut inner_leg = None;
    for edge in edges {
        match (edge.role, inner_leg) {
            (Role::Waist, _) => sewn.waist.push(edge.path.map(|point| motion.move_point(point))),
            (Role::Dart, None) => inner_leg = Some(edge.path),
            (Role::Dart, Some(leg)) => {
                let difference = (lengths::length_by_polygons(&leg) - lengths::length_by_polygons(&edge.path)).abs();
                sewn.max_leg_difference = max_or_nan([sewn.max_leg_difference, difference]);
                sewn.tips.push(leg.end());
                let [tip, from, to] = [leg.end(), edge.path.end(), leg.start()].map(|point| motion.move_point(point));
                motion = motion.then_rotate_about_point(tip, from, to);
                inner_leg = None;
            }
            _ => {}
        }
    }
    sewn
}

impl SewnPanelWaist {
    /// Returns the length of the panel's waist with the darts closed, in centimetres.
    pub(super) fn panel_waist_length(&self) -> f64 {
        self.waist.iter().map(lengths::length_by_polygons).sum()
    }

    /// Returns the maximum gap, in centimetres, between the ends of the waist that meet at a closed dart.
    pub(super) fn max_waist_gap_at_darts(&self) -> f64 {
        max_or_nan(self.waist.windows(2).map(|pair| distance_between_points(pair[0].end(), pair[1].start())))
    }

    /// Returns the maximum angle, in degrees, by which the waist changes direction at a closed dart.
    pub(super) fn max_waist_bend_at_darts_degrees(&self) -> f64 {
        let bend = |p: &[Path]| signed_angle_degrees(p[0].end_direction(), p[1].start_direction()).abs();
        max_or_nan(self.waist.windows(2).map(bend))
    }
}

/// Returns the depth of the waist at the centre below the waist at the side, in centimetres; NaN without centre or side
/// edge.
pub(super) fn waist_centre_depth_below_side(edges: &[Edge]) -> f64 {
    let (centre, side) = (edge_paths_with_role(edges, Role::Centre), edge_paths_with_role(edges, Role::Side));
    match (centre.last(), side.first()) {
        (Some(centre), Some(side)) => centre.end().y - side.start().y,
        _ => f64::NAN,
    }
}

/// Returns two distances in centimetres, both NaN for an outline without centre. The first is by how much further in
/// the centre seam, prolonged, lies at the level of the waist at the side than at the hip line. The second is the
/// maximum distance of the seam from the vertical below the hip line, and from a straight line above.
pub(super) fn centre_seam_inset_and_bend(edges: &[Edge], hip_depth: f64) -> [f64; 2] {
    let centre = edge_paths_with_role(edges, Role::Centre);
    let [Some(first), Some(last)] = [centre.first(), centre.last()] else { return [f64::NAN; 2] };
    let (hip, waist) = (Point::new(first.start().x, hip_depth), last.end());
    let slant = (waist - hip) / (hip.y - waist.y);
    let across = Vector::new(-slant.y, slant.x).normalize();
    let parameters = || (0..=SAMPLED_INTERVALS_PER_PATH).map(|k| f64::from(k) / f64::from(SAMPLED_INTERVALS_PER_PATH));
    let distance = |point: Point| if point.y < hip.y { (point - hip).dot(&across) } else { point.x - hip.x };
    let distances = centre.iter().flat_map(|path| parameters().map(|t| distance(path.point_at(t)).abs()));
    [slant.x * hip_depth, max_or_nan(distances)]
}

/// Returns the paths of all edges with the given role, in the order of the edges.
pub(super) fn edge_paths_with_role(edges: &[Edge], role: Role) -> Vec<Path> {
    edges.iter().filter(|edge| edge.role == role).map(|edge| edge.path).collect()
}

/// Returns the maximum distance in centimetres between two seams, shifted until their lower ends coincide; NaN if a
/// seam is empty or the seams have different numbers of paths.
pub(super) fn max_distance_between_seams(a: &[Path], b: &[Path]) -> f64 {
    let (Some(a_end), Some(b_end)) = (a.last(), b.last()) else { return f64::NAN };
    if a.len() != b.len() {
        return f64::NAN;
    }
    let parameters = || (0..=SAMPLED_INTERVALS_PER_PATH).map(|k| f64::from(k) / f64::from(SAMPLED_INTERVALS_PER_PATH));
    let shift = a_end.end() - b_end.end();
    let path_distance = |(a, b): (&Path, &Path)| {
        max_or_nan(parameters().map(|t| distance_between_points(a.point_at(t), b.point_at(t) + shift)))
    };
    max_or_nan(a.iter().zip(b).map(path_distance))
}

/// Returns the angles in degrees by which the outline turns where the waist meets centre line, dart legs and side seam.
pub(super) fn waist_corner_angles(edges: &[Edge]) -> impl Iterator<Item = f64> {
    corner_angles_degrees(edges, |a, b| (a == Role::Waist) != (b == Role::Waist))
}

/// Returns the angles in degrees by which the outline turns where the hem meets side seam and centre line.
pub(super) fn hem_corner_angles(edges: &[Edge]) -> impl Iterator<Item = f64> {
    corner_angles_degrees(edges, |a, b| (a == Role::Hem) != (b == Role::Hem))
}

/// Returns the angles in degrees by which the outline turns between consecutive edges whose roles satisfy `predicate`,
/// positive clockwise.
fn corner_angles_degrees(edges: &[Edge], predicate: impl Fn(Role, Role) -> bool) -> impl Iterator<Item = f64> {
    let pairs = edges.iter().zip(edges.iter().cycle().skip(1));
    let pairs = pairs.filter(move |(edge, next)| predicate(edge.role, next.role));
    pairs.map(|(edge, next)| signed_angle_degrees(edge.path.end_direction(), next.path.start_direction()))
}

/// Returns the angle that differs most from `expected`, in the same unit; NaN if there are no angles.
pub(super) fn worst_angle(expected: f64, angles: impl Iterator<Item = f64>) -> f64 {
    let error = |angle: &f64| (angle - expected).abs();
    angles.max_by(|a, b| error(a).total_cmp(&error(b))).unwrap_or(f64::NAN)
}

/// Returns the maximum gap from the end of an edge to the start of the next edge, around the outline, in centimetres.
pub(super) fn max_outline_gap(edges: &[Edge]) -> f64 {
    let pairs = edges.iter().zip(edges.iter().cycle().skip(1));
    max_or_nan(pairs.map(|(edge, next)| distance_between_points(edge.path.end(), next.path.start())))
}

/// Returns the maximum of nonnegative numbers: NaN if one number is NaN, 0 if there are no numbers.
pub(super) fn max_or_nan(numbers: impl IntoIterator<Item = f64>) -> f64 {
    numbers.into_iter().fold(0.0, |max: f64, number| if max.is_nan() || number <= max { max } else { number })
}
