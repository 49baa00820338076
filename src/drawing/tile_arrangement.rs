//! Arrangement of the pieces of a drawing on a grid of tiles, so that few tiles contain a line.
//!
//! Pieces are moved and never turned; parts that overlap, such as the sizes of a nest, keep their places on each other.

use std::collections::BTreeSet;

use super::panel_layout::relative_text_width;
use super::{Drawing, Mark, Part, TextAlign};
use crate::geometry::{Point, Vector, bounding_box, flatten_to_polyline};

/// Maximum distance between a curve and the chords by which the tiles that the curve touches are found, in millimetres.
const TILE_SEARCH_CHORD_TOLERANCE_MM: f64 = 0.2;

/// Space on each side of a group of pieces, in millimetres; between two groups lies twice as much.
const SPACE_AROUND_PIECE_GROUP_MM: f64 = 3.0;

/// Maximum distance of the points along a line that decide which tiles show the line, in millimetres.
const MAX_POINT_SPACING_ALONG_LINE_MM: f64 = 20.0;

/// Length assumed for a tile from a roll while pieces are arranged, in millimetres: longer than any drawing.
const ASSUMED_ROLL_TILE_LENGTH_MM: f64 = 1e5;

/// Parts of a drawing that overlap and move together; lengths in millimetres.
pub(super) struct OverlappingPartGroup {
    /// Indices, in the drawing, of the parts of this group.
    parts: Vec<usize>,
    /// Points along all lines of the parts, and the places of their points and texts.
    points: Vec<Point>,
    /// Upper left and lower right corner of the rectangle around the points.
    bounds: [Point; 2],
}

/// Moves each group of pieces in turn to where it adds the fewest tiles. Returns the drawing with the groups moved, and
/// a lower bound on its number of tiles. `window` is the width and height of a tile between the margins, `overlap` the
/// width of the strip that neighbouring tiles share, in millimetres.
pub(super) fn arranged_drawing_and_min_tiles(
    drawing: &Drawing,
    groups: &[OverlappingPartGroup],
    window: [f64; 2],
    overlap: f64,
) -> (Drawing, usize) {
    let window = window.map(|side| side.min(ASSUMED_ROLL_TILE_LENGTH_MM));
    let step = window.map(|side| side - overlap);
    let mut arranged = drawing.clone();
    let (mut printed, mut placed) = (BTreeSet::new(), Vec::<[Point; 2]>::new());
    for group in groups {
        let corner = group.bounds[0] - Vector::new(SPACE_AROUND_PIECE_GROUP_MM, SPACE_AROUND_PIECE_GROUP_MM);
        let size = group.bounds[1] - corner + Vector::new(SPACE_AROUND_PIECE_GROUP_MM, SPACE_AROUND_PIECE_GROUP_MM);
        let [columns, rows] = [0, 1].map(|k| candidate_group_starts_on_axis(k, size[k], &placed, step[k], overlap));
        let corners = columns.iter().flat_map(|x| rows.iter().map(|y| Point::new(*x, *y)));
        let is_free = |at: &Point| placed.iter().all(|other| !rectangles_overlap([*at, *at + size], *other));
        let cost = |at: Point| {
            let tiles = tiles_that_show_points(&group.points, at - corner, step, overlap);
            let ends = placed.iter().map(|other| other[1]).chain([at + size]);
            let end = ends.fold(Point::origin(), |a: Point, b: Point| Point::new(a.x.max(b.x), a.y.max(b.y)));
            (tiles.difference(&printed).count(), end, tiles)
        };
        let costs = corners.filter(is_free).map(|at| (at, cost(at)));
        let best = costs.min_by(|(_, (a, end_a, _)), (_, (b, end_b, _))| {
            a.cmp(b).then((end_a.x + end_a.y).total_cmp(&(end_b.x + end_b.y)))
        });
        let Some((at, (_, end, tiles))) = best else { continue };
        for part in &group.parts {
            arranged.parts[*part] = drawing.parts[*part].clone().translated_part(at - corner);
        }
        arranged.size_mm = [end.x, end.y];
        printed.extend(tiles);
        placed.push([at, at + size]);
    }
    (arranged, printed.len())
}

/// Returns the positions at which to try the start of a group of length `size` on axis `k` (0 across, 1 down), in
/// millimetres. There the group starts at 0, or it starts or ends at the right or lower edge of a tile or at an edge of
/// a placed group.
fn candidate_group_starts_on_axis(k: usize, size: f64, placed: &[[Point; 2]], step: f64, overlap: f64) -> Vec<f64> {
    let end = placed.iter().map(|bounds| bounds[1][k]).fold(0.0, f64::max) + size;
    let edges = std::iter::successors(Some(step + overlap), |edge| Some(edge + step));
    let edges = std::iter::once(0.0).chain(edges.take_while(|edge| *edge <= end + step));
    let groups = placed.iter().flat_map(|bounds| bounds.map(|corner| corner[k]));
    edges.chain(groups).flat_map(|edge| [edge, edge - size]).filter(|start| *start >= 0.0).collect()
}

/// Returns column and row, from 0, of each tile that is needed to show one of the points, each shifted by the vector
/// `moved`. `step` is the distance from tile to tile across and down, in millimetres.
fn tiles_that_show_points(points: &[Point], moved: Vector, step: [f64; 2], overlap: f64) -> BTreeSet<[u32; 2]> {
    // The numbers are small and not negative: `Paper::paper_problems` keeps the tiles large.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let tile = |p: &Point| [0, 1].map(|k| ((p[k] + moved[k] - overlap) / step[k]).ceil().max(1.0) as u32 - 1);
    let mut tiles: Vec<[u32; 2]> = points.iter().map(tile).collect();
    // Most points lie on the same tile as the point before.
    tiles.dedup();
    tiles.into_iter().collect()
}

/// Returns whether a tile is needed: whether it shows a part of a line that no tile on its left or above shows. `tile`
/// is its column and row from 0; lengths are in millimetres.
pub(super) fn is_tile_needed(lines: &[Vec<Point>], tile: [u32; 2], window: [f64; 2], overlap: f64) -> bool {
    // The left and upper strips of a tile are also on the tiles before it.
    let strips = tile.map(|index| if index > 0 { overlap } else { 0.0 });
    let [x, y] = [0, 1].map(|k| f64::from(tile[k]) * (window[k] - overlap) + strips[k]);
    let size = [window[0] - strips[0], window[1] - strips[1]];
    lines.iter().any(|line| polyline_touches_rectangle(line, Point::new(x, y), size))
}

/// Returns whether two rectangles, each given by its upper left and lower right corner, have inner points in common.
fn rectangles_overlap(a: [Point; 2], b: [Point; 2]) -> bool {
    // Adjacent groups may overlap by the rounding of their corners.
    (0..2).all(|k| a[0][k] < b[1][k] - 1e-6 && b[0][k] < a[1][k] - 1e-6)
}

/// Returns groups of parts whose bounding rectangles overlap, directly or through other parts; each part is given by
/// its polylines. A part without marks is in no group.
pub(super) fn groups_of_overlapping_parts(parts: &[Vec<Vec<Point>>]) -> Vec<OverlappingPartGroup> {
    let mut groups: Vec<OverlappingPartGroup> = Vec::new();
    for (index, lines) in parts.iter().enumerate() {
        let points: Vec<Point> = lines.iter().flat_map(|line| line.windows(2)).flat_map(points_along_chord).collect();
        let Some(_) = points.first() else { continue };
        let bounds = bounding_box(&points);
        let mut group = OverlappingPartGroup { parts: vec![index], points, bounds };
        while let Some(k) = groups.iter().position(|other| rectangles_overlap(other.bounds, group.bounds)) {
            let other = groups.remove(k);
            group.parts.extend(other.parts);
            group.points.extend(other.points);
            group.bounds = bounding_box(group.bounds.iter().chain(&other.bounds));
        }
        groups.push(group);
    }
    groups
}

/// Returns the ends of a chord, and points between them, at most [`MAX_POINT_SPACING_ALONG_LINE_MM`] apart.
fn points_along_chord(chord: &[Point]) -> impl Iterator<Item = Point> + use<> {
    let (start, step) = (chord[0], chord[1] - chord[0]);
    let parts = (step.norm() / MAX_POINT_SPACING_ALONG_LINE_MM).ceil().max(1.0);
    let counts = std::iter::successors(Some(0.0), |k| Some(k + 1.0)).take_while(move |k| *k <= parts);
    counts.map(move |k| start + step * (k / parts))
}

/// Returns the marks of each part of a drawing as polylines, one for each mark; a text becomes its base line.
pub(super) fn polylines_by_part(drawing: &Drawing) -> Vec<Vec<Vec<Point>>> {
    let polyline = |mark: &Mark| match mark {
        Mark::Line { paths, .. } => flatten_to_polyline(paths, TILE_SEARCH_CHORD_TOLERANCE_MM),
        Mark::Point { at } => vec![*at, *at],
        Mark::Text { at, text, size_mm, align } => {
            let half = relative_text_width(text) * size_mm / 2.0;
            let is_upwards = *align == TextAlign::CentredUpwards;
            let step = if is_upwards { Vector::new(0.0, half) } else { Vector::new(half, 0.0) };
            let middle = if *align == TextAlign::Left { at + step } else { *at };
            vec![middle - step, middle + step]
        }
    };
    let marks = |part: &Part| part.layers.iter().flat_map(|layer| &layer.marks).map(polyline).collect();
    drawing.parts.iter().map(marks).collect()
}

/// Returns whether a polyline touches a rectangle, given by its upper left corner, width and height, by clipping each
/// segment to the rectangle (Liang–Barsky).
fn polyline_touches_rectangle(polyline: &[Point], corner: Point, size: [f64; 2]) -> bool {
    polyline.windows(2).any(|chord| {
        let (start, step) = (chord[0], chord[1] - chord[0]);
        let [[enters_columns, leaves_columns], [enters_rows, leaves_rows]] = [0, 1].map(|k: usize| {
            let [a, b] = [corner[k], corner[k] + size[k]].map(|side| (side - start[k]) / step[k]);
            if step[k] < 0.0 { [b, a] } else { [a, b] }
        });
        // Divided by 0, numbers become infinite, and 0 becomes NaN, which `max` and `min` leave out.
        enters_columns.max(enters_rows).max(0.0) <= leaves_columns.min(leaves_rows).min(1.0)
    })
}
