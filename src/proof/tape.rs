//! Girth at a level between waist and hip line along a tape around the sewn skirt, measured on the outlines.

use super::lengths;
use super::sewing::edge_paths_with_role;
use crate::draft::{Edge, Role};
use crate::geometry::{Path, Point, norm};

/// Returns the width of a panel, darts closed, along a tape at `level`, all in centimetres. At the top the tape follows
/// the waist; further down it becomes flatter, and at the hip line it is level. Returns NaN for an outline without
/// waist or side seam.
pub(super) fn panel_width_along_tape(edges: &[Edge], level: f64, hip_depth: f64) -> f64 {
    let bend = (hip_depth - level) / hip_depth;
    let [waists, legs, sides, centres] =
        [Role::Waist, Role::Dart, Role::Side, Role::Centre].map(|role| edge_paths_with_role(edges, role));
    // Lines between the stretches of the waist, and the level of the tape at each: centre, both legs of each dart, side.
    let lines = centres.last().into_iter().chain(&legs).chain(sides.first());
    let corners = waists.first().map(Path::start).into_iter().chain(waists.iter().flat_map(|waist| [waist.end(); 2]));
    let ends: Vec<Point> = lines.zip(corners).map(|(line, corner)| point_at_y(line, corner.y * bend + level)).collect();
    let width = |(waist, ends): (&Path, &[Point])| {
        let excess = lengths::length_by_polygons(waist) / norm(waist.end() - waist.start()) - 1.0;
        norm(ends[1] - ends[0]) * (1.0 + excess * bend * bend)
    };
    let is_complete = !waists.is_empty() && ends.len() == 2 * waists.len();
    if is_complete { waists.iter().zip(ends.chunks_exact(2)).map(width).sum() } else { f64::NAN }
}

/// Returns the point of a path with monotone `y` at a given `y`; if the path ends above, the point at `y` straight
/// below the path's lower end.
fn point_at_y(path: &Path, y: f64) -> Point {
    let (start, end) = (path.start(), path.end());
    let lower_end = if start.y > end.y { start } else { end };
    Point::new(path.x_where_level_is_crossed(y).unwrap_or(lower_end.x), y)
}
