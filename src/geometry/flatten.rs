//! Curves as chords, for formats and questions that know straight lines only.

use super::cubic::Steps;
use super::{Path, Point};

/// The corners of the polyline along paths that follow each other, no farther from them than `tolerance`.
pub(crate) fn flatten(paths: &[Path], tolerance: f64) -> Vec<Point> {
    let mut corners: Vec<Point> = paths.first().map(Path::start).into_iter().collect();
    for path in paths {
        let chords = chords(path, tolerance);
        corners.extend((1..chords).map(|k| path.at(f64::from(k) / f64::from(chords))));
        corners.push(path.end());
    }
    corners
}

/// How many chords keep to a path: a chord over a share `h` of a cubic lies within `h² / 8` of its largest acceleration.
fn chords(path: &Path, tolerance: f64) -> u32 {
    let Path::Cubic(cubic) = path else { return 1 };
    let Steps([a, b, c]) = cubic.steps();
    let acceleration = 6.0 * (b - a).norm().max((c - b).norm());
    let chords = (acceleration / (8.0 * tolerance)).sqrt().ceil();
    // At least one, and no more than anything on paper asks; a saturating cast of a number that is none gives zero.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let chords = chords as u32;
    chords.clamp(1, 10_000)
}
