//! Girth at a level between waist and hip line along a tape around the sewn skirt, measured on the outlines.

use super::lengths;
use crate::draft::{Edge, Role};
use crate::geometry::{Path, Point, norm};

/// Returns the width of a panel, darts closed, along a tape at `level`, all in centimetres. At the top the tape follows
/// the waist; further down it becomes flatter, and at the hip line it is level. Returns NaN for an outline without
/// waist or side seam.
pub(super) fn panel_width_along_tape(edges: &[Edge], level: f64, hip_depth: f64) -> f64 {
    let bend = (hip_depth - level) / hip_depth;
    let with_role = |role: Role| edges.iter().filter(move |edge| edge.role == role).map(|edge| edge.path);
    let (mut legs, side, centre) =
        (with_role(Role::Dart), with_role(Role::Side).next(), with_role(Role::Centre).next_back());
    let (mut waists, mut width, mut start) = (with_role(Role::Waist).peekable(), f64::NAN, None);
    while let Some(waist) = waists.next() {
        let lowered = |corner: Point| corner.y * bend + level;
        let Some(from) = start.or(centre.map(|centre| point_at_y(&centre, lowered(waist.start())))) else {
            return f64::NAN;
        };
        let ends = if waists.peek().is_some() {
            [legs.next(), legs.next()].map(|leg| Some(point_at_y(&leg?, lowered(waist.end()))))
        } else {
            [side.map(|side| point_at_y(&side, level)); 2]
        };
        let [Some(to), Some(next)] = ends else { return f64::NAN };
        let excess = lengths::length_by_polygons(&waist) / norm(waist.end() - waist.start()) - 1.0;
        width = width.max(0.0) + norm(to - from) * (1.0 + excess * bend * bend);
        start = Some(next);
    }
    width
}

/// Returns the point of a path with monotone `y` at a given `y`; if the path ends above, the point at `y` straight
/// below the path's lower end.
fn point_at_y(path: &Path, y: f64) -> Point {
    let (start, end) = (path.start(), path.end());
    let lower_end = if start.y > end.y { start } else { end };
    Point::new(path.x_where_level_is_crossed(y).unwrap_or(lower_end.x), y)
}
