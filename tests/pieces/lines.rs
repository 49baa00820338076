//! Curves as fine polylines, and tests for crossings.

use kirtle::{Path, Point};

/// Returns the corners of a polyline along a path: 48 chords for a curve, one for a line.
pub(crate) fn polyline(path: &Path) -> Vec<Point> {
    let chords = if matches!(path, Path::Line(_)) { 1 } else { 48 };
    (0..=chords).map(|k| path.point_at(f64::from(k) / f64::from(chords))).collect()
}

/// Returns the corners of a polyline along a path, with at least 16 chords for a curve.
///
/// The middle of each chord lies at most `tolerance` from the point of the curve at the mean parameter.
pub(crate) fn polyline_within(path: &Path, tolerance: f64) -> Vec<Point> {
    let mut corners = vec![path.start()];
    let chords = if matches!(path, Path::Line(_)) { 1 } else { 16 };
    for k in 0..chords {
        let [from, to] = [k, k + 1].map(|k| f64::from(k) / f64::from(chords));
        bisect(path, [from, to], tolerance, &mut corners);
    }
    corners
}

/// Appends the ends of the chords between two parameters, halving the interval until each chord is within the
/// tolerance.
fn bisect(path: &Path, [from, to]: [f64; 2], tolerance: f64, corners: &mut Vec<Point>) {
    let middle = f64::midpoint(from, to);
    let [start, end] = [from, to].map(|t| path.point_at(t));
    let chord = start + (end - start) / 2.0;
    if (path.point_at(middle) - chord).norm() <= tolerance || to - from < 1e-6 {
        corners.push(end);
    } else {
        bisect(path, [from, middle], tolerance, corners);
        bisect(path, [middle, to], tolerance, corners);
    }
}

/// Returns whether two segments cross; segments that touch within rounding do not cross.
pub(crate) fn segments_cross(a: &[Point], b: &[Point]) -> bool {
    let sign = |line: &[Point], point: Point| {
        let along = line[1] - line[0];
        let off = along.perp(&(point - line[0]));
        if off.abs() <= 1e-9 * along.norm() { 0.0 } else { off.signum() }
    };
    sign(a, b[0]) * sign(a, b[1]) < 0.0 && sign(b, a[0]) * sign(b, a[1]) < 0.0
}

/// Returns the sides of a closed polygon with the given corners.
pub(crate) fn polygon_sides(corners: &[Point]) -> Vec<[Point; 2]> {
    (0..corners.len()).map(|k| [corners[k], corners[(k + 1) % corners.len()]]).collect()
}
