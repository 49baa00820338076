//! Curves as fine polylines, and whether they cross.

use kirtle::{Path, Point};

/// The corners of a polyline so fine that its chords are as good as the curve.
pub(crate) fn fine(path: &Path) -> Vec<Point> {
    let chords = if matches!(path, Path::Line(_)) { 1 } else { 48 };
    (0..=chords).map(|k| path.at(f64::from(k) / f64::from(chords))).collect()
}

/// Whether two segments cross; touching, within rounding, is not crossing.
pub(crate) fn cross(a: &[Point], b: &[Point]) -> bool {
    let sign = |line: &[Point], point: Point| {
        let along = line[1] - line[0];
        let off = along.perp(&(point - line[0]));
        if off.abs() <= 1e-9 * along.norm() { 0.0 } else { off.signum() }
    };
    sign(a, b[0]) * sign(a, b[1]) < 0.0 && sign(b, a[0]) * sign(b, a[1]) < 0.0
}

/// The sides of a ring of corners.
pub(crate) fn closed(ring: &[Point]) -> Vec<[Point; 2]> {
    (0..ring.len()).map(|k| [ring[k], ring[(k + 1) % ring.len()]]).collect()
}
