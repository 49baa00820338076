//! Lengths of curves by inscribed polygons, and widths of outlines along a level line. The proof uses only points of
//! the curves, so that it shares no formula with the solver.

use crate::draft::Edge;
use crate::geometry::{Path, norm};

/// Maximum change in the last extrapolation at which a length has converged, relative to the length.
const MAX_LAST_RELATIVE_LENGTH_CHANGE: f64 = 1e-13;

/// Maximum change in the extrapolation before the last at which a length has converged, relative to the length. This
/// change is tested, too, because the last change may be small by chance.
const MAX_PREVIOUS_RELATIVE_LENGTH_CHANGE: f64 = 1e-9;

const FIRST_POLYGON_CHORDS: u32 = 4;

const MAX_POLYGON_CHORDS: u32 = 4096;

/// Returns the length of a path in centimetres, extrapolated (Romberg) from the lengths of inscribed polygons. The
/// number of chords doubles until the extrapolated length converges.
///
/// The error of an inscribed polygon is a series in even powers of the parameter step; each column of the Romberg table
/// removes one power.
pub(super) fn length_by_polygons(path: &Path) -> f64 {
    let Path::Cubic(cubic) = path else { return norm(path.end() - path.start()) };
    let polygon = |chords: u32| {
        let mut last = cubic.points[0];
        (1..=chords).fold(0.0, |sum, k| {
            let next = cubic.point_at(f64::from(k) / f64::from(chords));
            sum + norm(next - std::mem::replace(&mut last, next))
        })
    };
    let (mut chords, mut length, mut change) = (FIRST_POLYGON_CHORDS, polygon(FIRST_POLYGON_CHORDS), f64::INFINITY);
    let mut row = vec![length];
    loop {
        chords *= 2;
        let (mut next, mut power) = (polygon(chords), 1.0);
        for column in &mut row {
            power *= 4.0;
            let extrapolated = next + (next - *column) / (power - 1.0);
            *column = std::mem::replace(&mut next, extrapolated);
        }
        row.push(next);
        let previous_length = std::mem::replace(&mut length, next);
        let previous = std::mem::replace(&mut change, (length - previous_length).abs());
        let has_converged = change <= MAX_LAST_RELATIVE_LENGTH_CHANGE * length
            && previous <= MAX_PREVIOUS_RELATIVE_LENGTH_CHANGE * length;
        if has_converged || chords >= MAX_POLYGON_CHORDS || !length.is_finite() {
            return length;
        }
    }
}

/// Returns the total length of paths in centimetres.
pub(super) fn total_length(paths: &[Path]) -> f64 {
    paths.iter().map(length_by_polygons).sum()
}

/// Returns the width in centimetres of the area inside an outline along the horizontal line `y = level`.
pub(super) fn outline_width_at_level(edges: &[Edge], level: f64) -> f64 {
    let mut xs: Vec<f64> = edges.iter().filter_map(|edge| edge.path.x_where_level_is_crossed(level)).collect();
    xs.sort_by(f64::total_cmp);
    xs.chunks_exact(2).map(|pair| pair[1] - pair[0]).sum()
}
