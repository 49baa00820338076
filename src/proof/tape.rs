//! Lengths and widths as a tape would take them.

use crate::draft::Edge;
use crate::geometry::{Path, Point};

/// The relative change of the limit at which it stands, and the one before it: a single small change may be chance.
const SETTLED: f64 = 1e-13;
const NEARLY_SETTLED: f64 = 1e-9;

/// The fewest and the most chords of an inscribed polygon.
const MIN_CHORDS: u32 = 4;
const MAX_CHORDS: u32 = 4096;

/// The length of a path: inscribed polygons of twice as many chords each time, extrapolated to the limit (Romberg),
/// until the limit stands.
///
/// The error of an inscribed polygon falls with the even powers of the chord, so that each column of the table removes
/// one power. It uses points on the curve only, no derivative and no quadrature.
pub(super) fn length(path: &Path) -> f64 {
    let Path::Cubic(cubic) = path else { return super::distance(path.start(), path.end()) };
    let polygon = |chords: u32| {
        let mut last = cubic.points[0];
        (1..=chords).fold(0.0, |sum, k| {
            let next = cubic.at(f64::from(k) / f64::from(chords));
            let chord = super::distance(last, next);
            last = next;
            sum + chord
        })
    };
    let (mut chords, mut limit, mut change) = (MIN_CHORDS, polygon(MIN_CHORDS), f64::INFINITY);
    let mut row = vec![limit];
    loop {
        chords *= 2;
        let (mut next, mut power) = (polygon(chords), 1.0);
        for column in &mut row {
            power *= 4.0;
            let better = next + (next - *column) / (power - 1.0);
            *column = std::mem::replace(&mut next, better);
        }
        row.push(next);
        let last = std::mem::replace(&mut limit, next);
        let before = std::mem::replace(&mut change, (limit - last).abs());
        let settled = change <= SETTLED * limit && before <= NEARLY_SETTLED * limit;
        if settled || chords >= MAX_CHORDS || !limit.is_finite() {
            return limit;
        }
    }
}

/// The cloth that a level line crosses inside an outline.
pub(super) fn width(edges: &[Edge], level: f64) -> f64 {
    let mut crossings: Vec<f64> = edges.iter().filter_map(|edge| crossing_x(&edge.path, level)).collect();
    crossings.sort_by(f64::total_cmp);
    crossings.chunks_exact(2).map(|pair| pair[1] - pair[0]).sum()
}

/// Where a path that runs up or down throughout crosses a level. Its lower end counts as on the level and its upper end
/// does not, so that a corner on the level counts once.
fn crossing_x(path: &Path, level: f64) -> Option<f64> {
    let (start, end) = (path.start(), path.end());
    if (start.y < level) == (end.y < level) {
        return None;
    }
    let below = |point: Point| (point.y < level) == (start.y < level);
    let (mut near, mut far) = (0.0, 1.0);
    // Halve until the two neighbours are next to each other.
    loop {
        let middle = f64::midpoint(near, far);
        if middle <= near || middle >= far {
            return Some(path.at(far).x);
        }
        if below(path.at(middle)) { near = middle } else { far = middle }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draft::Role;

    /// A corner of each side lies on the level, and the sides lean there.
    #[test]
    fn a_corner_on_the_level_counts_once() {
        let mut corners =
            [(0.0, 5.0), (3.0, 0.0), (8.0, 0.0), (10.0, 5.0), (9.0, 10.0), (2.0, 10.0)].map(|(x, y)| Point::new(x, y));
        for _ in 0..2 {
            let side = |k: usize| Path::Line([corners[k], corners[(k + 1) % corners.len()]]);
            let edges: Vec<Edge> = (0..corners.len()).map(|k| Edge { role: Role::Side, path: side(k) }).collect();
            for (level, wide) in [(5.0, 10.0), (2.5, 7.5), (7.5, 8.5)] {
                let found = width(&edges, level);
                assert!((found - wide).abs() < 1e-12, "{found} at {level}");
            }
            corners.reverse();
        }
    }
}
