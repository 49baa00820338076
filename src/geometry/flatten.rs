//! Flattening of paths to polylines, for file formats and computations that support only straight lines.

use super::cubic::ControlPointDifferences;
use super::{Path, Point};

/// Returns the vertices of a polyline along connected paths, at most `tolerance` from them, in their unit.
pub(crate) fn flatten_to_polyline(paths: &[Path], tolerance: f64) -> Vec<Point> {
    let mut vertices: Vec<Point> = paths.first().map(Path::start).into_iter().collect();
    for path in paths {
        let chords = chord_count_within_tolerance(path, tolerance);
        vertices.extend((1..chords).map(|k| path.point_at(f64::from(k) / f64::from(chords))));
        vertices.push(path.end());
    }
    vertices
}

/// Returns the number of chords, over equal intervals of the parameter, that approximate a path to within `tolerance`,
/// at least 1. A chord over an interval `h` deviates by at most `h² / 8` times the maximum second derivative.
fn chord_count_within_tolerance(path: &Path, tolerance: f64) -> u32 {
    let Path::Cubic(cubic) = path else { return 1 };
    let ControlPointDifferences([a, b, c]) = cubic.control_point_differences();
    let acceleration = 6.0 * (b - a).norm().max((c - b).norm());
    let chords = (acceleration / (8.0 * tolerance)).sqrt().ceil();
    // The cast saturates, and turns NaN into 0; 10 000 chords are more than any printed curve needs.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let chords = chords as u32;
    chords.clamp(1, 10_000)
}
