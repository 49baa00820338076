//! Sews the outlines: closes the darts of the waist, lays the side seams on each other, and measures gaps and corners.

use nalgebra::{Isometry2, UnitComplex};

use super::{lengths, signed_angle_degrees};
use crate::draft::{Edge, Role};
use crate::geometry::{Path, Point, Vector, cross, norm};

/// Number of equal parameter intervals of a path at whose ends the distance between two seams is measured.
const SAMPLED_INTERVALS: u32 = 16;

/// Seam line of one panel's waist with the darts closed, as measured on its outline.
pub(super) struct SewnPanelWaist {
    pub(super) waist: Vec<Path>,
    /// Dart tips on the flat panel.
    pub(super) tips: Vec<Point>,
    /// Maximum difference between the lengths of the two legs of a dart, in centimetres.
    pub(super) max_leg_difference: f64,
}

/// Returns the waist of a panel after closing its darts, from the centre to the side: all cloth beyond a dart rotates
/// about the dart's tip until the two legs meet.
pub(super) fn sewn_panel_waist(edges: &[Edge]) -> SewnPanelWaist {
    let [mut waist, legs] = [Role::Waist, Role::Dart].map(|role| edge_paths_with_role(edges, role));
    let (darts, _) = legs.as_chunks::<2>();
    let mut motion = Isometry2::identity();
    for (path, [inner, outer]) in waist.iter_mut().skip(1).zip(darts) {
        let [tip, from, to] = [inner.end(), outer.end(), inner.start()].map(|point| motion * point);
        let (from, to) = (from - tip, to - tip);
        let turn = Vector::new(from.dot(&to), cross(from, to)).normalize();
        motion.append_rotation_wrt_point_mut(&UnitComplex::from_cos_sin_unchecked(turn.x, turn.y), &tip);
        *path = path.map(|point| motion * point);
    }
    let lengths = darts.iter().map(|legs| legs.each_ref().map(lengths::length_by_polygons));
    let max_leg_difference = max_propagating_nan(lengths.map(|[inner, outer]| (inner - outer).abs()));
    SewnPanelWaist { waist, tips: darts.iter().map(|[inner, _]| inner.end()).collect(), max_leg_difference }
}

/// Returns how far the end of the edges with the role `to` lies below the start of those with the role `from`, in
/// centimetres; NaN if an edge is missing.
pub(super) fn drop_between(edges: &[Edge], from: Role, to: Role) -> f64 {
    let [from, to] = [from, to].map(|role| edge_paths_with_role(edges, role));
    let (Some(from), Some(to)) = (from.first(), to.last()) else { return f64::NAN };
    to.end().y - from.start().y
}

/// Returns two distances in centimetres, both NaN for an outline without centre. The first is by how much further in
/// the centre seam, prolonged, lies at the level of the waist at the side than at the hip line. The second is the
/// maximum distance of the seam from the vertical below the hip line, and from a straight line above.
pub(super) fn centre_seam_inset_and_deviation(edges: &[Edge], hip_depth: f64) -> [f64; 2] {
    let centre = edge_paths_with_role(edges, Role::Centre);
    let [Some(first), Some(last)] = [centre.first(), centre.last()] else { return [f64::NAN; 2] };
    let (hip, waist) = (Point::new(first.start().x, hip_depth), last.end());
    let slant = (waist - hip) / (hip.y - waist.y);
    let across = Vector::new(-slant.y, slant.x).normalize();
    let distance = |point: Point| if point.y < hip.y { (point - hip).dot(&across) } else { point.x - hip.x };
    let distances = centre.iter().flat_map(|path| path.sampled(SAMPLED_INTERVALS)).map(|at| distance(at).abs());
    [slant.x * hip_depth, max_propagating_nan(distances)]
}

/// Returns the paths of all edges with the given role, in the order of the edges.
pub(super) fn edge_paths_with_role(edges: &[Edge], role: Role) -> Vec<Path> {
    edges.iter().filter(|edge| edge.role == role).map(|edge| edge.path).collect()
}

/// Returns the maximum distance in centimetres between two seams, shifted until their lower ends coincide; NaN if a
/// seam is empty or the seams have different numbers of paths.
pub(super) fn max_distance_between_seams(a: &[Path], b: &[Path]) -> f64 {
    let (Some(a_end), Some(b_end), true) = (a.last(), b.last(), a.len() == b.len()) else { return f64::NAN };
    let shift = a_end.end() - b_end.end();
    let path_distance = |(a, b): (&Path, &Path)| {
        let pairs = a.sampled(SAMPLED_INTERVALS).zip(b.sampled(SAMPLED_INTERVALS));
        max_propagating_nan(pairs.map(|(a, b)| norm(b + shift - a)))
    };
    max_propagating_nan(a.iter().zip(b).map(path_distance))
}

/// Returns the worst corner at the edges with a role: of the angles, in degrees, by which the outline turns between
/// such an edge and an edge of another role, the one that differs most from 90°. NaN if there is no such corner.
pub(super) fn worst_corner_angle(edges: &[Edge], role: Role) -> f64 {
    let pairs = edges.iter().zip(edges.iter().cycle().skip(1));
    let corners = pairs.filter(|(edge, next)| (edge.role == role) != (next.role == role));
    let angles = corners.map(|(edge, next)| signed_angle_degrees(edge.path.end_tangent(), next.path.start_tangent()));
    let error = |angle: &f64| (angle - 90.0).abs();
    angles.max_by(|a, b| error(a).total_cmp(&error(b))).unwrap_or(f64::NAN)
}

/// Returns the maximum gap from the end of an edge to the start of the next edge, around the outline, in centimetres.
pub(super) fn max_outline_gap(edges: &[Edge]) -> f64 {
    let pairs = edges.iter().zip(edges.iter().cycle().skip(1));
    max_propagating_nan(pairs.map(|(edge, next)| norm(next.path.start() - edge.path.end())))
}

/// Returns the maximum of nonnegative numbers: NaN if one number is NaN, 0 if there are no numbers.
pub(super) fn max_propagating_nan(numbers: impl IntoIterator<Item = f64>) -> f64 {
    numbers.into_iter().fold(0.0, |max: f64, number| if max.is_nan() || number <= max { max } else { number })
}
