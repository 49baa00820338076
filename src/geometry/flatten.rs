//! Flattening of paths to polylines, for file formats and computations that support only straight lines.

use super::cubic::Differences;
use super::{Path, Point};

/// Flattens connected paths to the vertices of one polyline, at most `tolerance` centimetres from the paths.
pub(crate) fn flatten(paths: &[Path], tolerance: f64) -> Vec<Point> {
    let mut vertices: Vec<Point> = paths.first().map(Path::start).into_iter().collect();
    for path in paths {
        let chords = chord_count(path, tolerance);
        vertices.extend((1..chords).map(|k| path.point_at(f64::from(k) / f64::from(chords))));
        vertices.push(path.end());
    }
    vertices
}

/// Returns the number of chords that keep within `tolerance` of a path: a chord over a parameter interval `h` deviates
/// by at most `h² / 8` times the maximum acceleration.
fn chord_count(path: &Path, tolerance: f64) -> u32 {
    let Path::Cubic(cubic) = path else { return 1 };
    let Differences([a, b, c]) = cubic.differences();
    let acceleration = 6.0 * (b - a).norm().max((c - b).norm());
    let chords = (acceleration / (8.0 * tolerance)).sqrt().ceil();
    // The cast saturates, and turns NaN into 0; 10 000 chords are more than any printed curve needs.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let chords = chords as u32;
    chords.clamp(1, 10_000)
}
