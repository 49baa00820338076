//! Arrangement of the pieces of a drawing on a grid of tiles, so that few tiles contain a line.
//!
//! Pieces are moved and never turned; parts that overlap, such as the sizes of a nest, keep their places on each other.

use std::collections::BTreeSet;

use super::panel_layout::relative_text_width;
use super::{Drawing, Mark, Paper, Part, TextAlign};
use crate::geometry::{Point, Vector, bounding_box, flatten_to_polyline};

/// Maximum distance between a curve and the chords by which the tiles that the curve touches are found, in millimetres.
const TILE_SEARCH_CHORD_TOLERANCE_MM: f64 = 0.2;

/// Space on each side of a group of pieces, in millimetres; between two groups lies twice as much.
const SPACE_AROUND_PIECE_GROUP_MM: f64 = 3.0;

/// Length of a chord that is not halved further to find the tiles between its ends, in millimetres.
const MIN_HALVED_CHORD_MM: f64 = 1e-6;

/// Column and row, from 0, of each tile that is needed to show every line.
pub(super) type Tiles = BTreeSet<[u32; 2]>;

/// Moves each group of pieces in turn to where it adds the fewest tiles. Returns the drawing with the groups moved, and
/// the tiles that it needs on paper. `lines` are the polylines of each part.
pub(super) fn arrange_on_tiles(drawing: &Drawing, lines: &[Vec<Vec<Point>>], paper: &Paper) -> (Drawing, Tiles) {
    let mut arranged = drawing.clone();
    let (mut printed, mut placed) = (Tiles::new(), Vec::<[Point; 2]>::new());
    for (parts, [min, max]) in groups_of_overlapping_parts(lines) {
        let space = Vector::new(SPACE_AROUND_PIECE_GROUP_MM, SPACE_AROUND_PIECE_GROUP_MM);
        let (corner, size) = (min - space, max - (min - space) + space);
        let [columns, rows] = [0, 1].map(|k| candidate_group_starts_on_axis(k, size[k], &placed, paper));
        let corners = columns.iter().flat_map(|x| rows.iter().map(|y| Point::new(*x, *y)));
        let is_free = |at: &Point| placed.iter().all(|other| !rectangles_overlap([*at, *at + size], *other));
        let cost = |at: Point| {
            let tiles = tiles_with_lines(parts.iter().flat_map(|part| &lines[*part]), at - corner, paper);
            let ends = placed.iter().map(|other| other[1]).chain([at + size]);
            let end = ends.fold(Point::origin(), |a: Point, b: Point| Point::new(a.x.max(b.x), a.y.max(b.y)));
            (tiles.difference(&printed).count(), end, tiles)
        };
        let costs = corners.filter(is_free).map(|at| (at, cost(at)));
        let best = costs.min_by(|(_, (a, end_a, _)), (_, (b, end_b, _))| {
            a.cmp(b).then((end_a.x + end_a.y).total_cmp(&(end_b.x + end_b.y)))
        });
        let Some((at, (_, end, tiles))) = best else { continue };
        for part in parts {
            arranged.parts[part] = drawing.parts[part].clone().map_part(|point| point + (at - corner));
        }
        arranged.size_mm = [end.x, end.y];
        printed.extend(tiles);
        placed.push([at, at + size]);
    }
    (arranged, printed)
}

/// Returns the positions at which to try the start of a group of length `size` on axis `k` (0 across, 1 down), in
/// millimetres. There the group starts at 0, or it starts or ends at the right or lower edge of a tile or at an edge of
/// a placed group.
fn candidate_group_starts_on_axis(k: usize, size: f64, placed: &[[Point; 2]], paper: &Paper) -> Vec<f64> {
    let step = paper.tile_step_mm()[k];
    let end = placed.iter().map(|bounds| bounds[1][k]).fold(0.0, f64::max) + size;
    let edges = std::iter::successors(Some(step + paper.overlap_mm), |edge| Some(edge + step));
    let edges = std::iter::once(0.0).chain(edges.take_while(|edge| *edge < end + step));
    let groups = placed.iter().flat_map(|bounds| bounds.map(|corner| corner[k]));
    edges.chain(groups).flat_map(|edge| [edge, edge - size]).filter(|start| *start >= 0.0).collect()
}

/// Returns the tiles on paper that are needed to show polylines, each shifted by the vector `moved`. In the strip that
/// two tiles share, a line needs the left or upper one.
pub(super) fn tiles_with_lines<'l>(lines: impl Iterator<Item = &'l Vec<Point>>, moved: Vector, paper: &Paper) -> Tiles {
    let (steps, overlap) = (paper.tile_step_mm(), paper.overlap_mm);
    // The numbers are small and not negative: `Paper::check` keeps the tiles large.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let index = |k: usize, p: Point| ((p[k] + moved[k] - overlap) / steps[k]).ceil().max(1.0) as u32 - 1;
    let mut tiles = Tiles::new();
    let mut chords: Vec<[Point; 2]> = lines.flat_map(|line| line.windows(2)).map(|ends| [ends[0], ends[1]]).collect();
    while let Some([start, end]) = chords.pop() {
        let ends = [start, end].map(|point| [index(0, point), index(1, point)]);
        // Between tiles with a common edge, a chord lies in no other.
        let steps: u32 = (0..2).map(|k| ends[0][k].abs_diff(ends[1][k])).sum();
        if steps <= 1 || (end - start).norm() < MIN_HALVED_CHORD_MM {
            tiles.extend(ends);
        } else {
            let middle = nalgebra::center(&start, &end);
            chords.extend([[start, middle], [middle, end]]);
        }
    }
    tiles
}

/// Returns whether two rectangles, each given by its upper left and lower right corner, have inner points in common.
fn rectangles_overlap(a: [Point; 2], b: [Point; 2]) -> bool {
    // Adjacent groups may overlap by the rounding of their corners.
    (0..2).all(|k| a[0][k] < b[1][k] - 1e-6 && b[0][k] < a[1][k] - 1e-6)
}

/// Returns groups of parts whose bounding rectangles overlap, directly or through other parts: the indices of the parts,
/// and upper left and lower right corner of the rectangle around them. Each part is given by its polylines; a part
/// without marks is in no group.
fn groups_of_overlapping_parts(parts: &[Vec<Vec<Point>>]) -> Vec<(Vec<usize>, [Point; 2])> {
    let mut groups: Vec<(Vec<usize>, [Point; 2])> = Vec::new();
    for (index, lines) in parts.iter().enumerate().filter(|(_, lines)| lines.iter().any(|line| !line.is_empty())) {
        let (mut members, mut bounds) = (vec![index], bounding_box(lines.iter().flatten()));
        while let Some(k) = groups.iter().position(|(_, other)| rectangles_overlap(*other, bounds)) {
            let (others, other) = groups.remove(k);
            members.extend(others);
            bounds = bounding_box(bounds.iter().chain(&other));
        }
        groups.push((members, bounds));
    }
    groups
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
