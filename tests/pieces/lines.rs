//! Curves as fine polylines, and whether they cross.

use kirtle::{Path, Point};

/// The corners of a polyline so fine that its chords are as good as the curve.
pub(crate) fn fine(path: &Path) -> Vec<Point> {
    let chords = if matches!(path, Path::Line(_)) { 1 } else { 48 };
    (0..=chords).map(|k| path.at(f64::from(k) / f64::from(chords))).collect()
}

/// The corners of a polyline whose chords are no further off than this from the middle of what they span: sixteen, or as
/// many more as it takes.
pub(crate) fn near(path: &Path, off: f64) -> Vec<Point> {
    let mut corners = vec![path.start()];
    let chords = if matches!(path, Path::Line(_)) { 1 } else { 16 };
    for k in 0..chords {
        let [from, to] = [k, k + 1].map(|k| f64::from(k) / f64::from(chords));
        halved(path, [from, to], off, &mut corners);
    }
    corners
}

fn halved(path: &Path, [from, to]: [f64; 2], off: f64, corners: &mut Vec<Point>) {
    let middle = f64::midpoint(from, to);
    let [start, end] = [from, to].map(|t| path.at(t));
    let chord = start + (end - start) / 2.0;
    if (path.at(middle) - chord).norm() <= off || to - from < 1e-6 {
        corners.push(end);
    } else {
        halved(path, [from, middle], off, corners);
        halved(path, [middle, to], off, corners);
    }
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
