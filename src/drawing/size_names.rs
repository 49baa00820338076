//! Names of the sizes at the lines of a nest, which distinguish the sizes everywhere without colour.
//!
//! Names at one edge of a panel never overlap: a thin line leads from each to its point.

use super::TextAlign::{Centred, CentredUpwards};
use super::panel_layout::{font_size_to_fit, relative_text_width};
use super::size_nest::NestLayout;
use super::{LayerKind, LineStyle, Part};
use crate::draft::{Edge, Role};
use crate::geometry::{Point, Vector, flatten_to_polyline};
use crate::pattern::NotchPlace;

// Font size and maximum width of the name of a size beside a line of that size, in millimetres.
const SIZE_NAME_FONT_MM: f64 = 3.5;
const MAX_SIZE_NAME_WIDTH_MM: f64 = 11.0;

// Height above the hip line of the first name along a side seam, and distance down from each name to the next, in mm.
const FIRST_SIDE_NAME_ABOVE_HIP_MM: f64 = 70.0;
const SIDE_NAME_SPACING_MM: f64 = 110.0;

impl NestLayout<'_> {
    /// Draws back (`half` 0) or front (`half` 1) in all sizes, as a part for each size, with the names of the sizes at
    /// their lines: at the ends of waist and hem on the centre line, at the end of the zip opening, at the top of a vent
    /// and its notch, at the dart tips, at the side seam end of the hem, and along the side seams.
    pub(super) fn draw_panels_with_size_names(&self, half: usize) -> Vec<Part> {
        let mut sizes: Vec<Part> = (0..self.sizes.len()).map(|k| self.draw_panel_of_size(k, half)).collect();
        let first = self.hip_y - FIRST_SIDE_NAME_ABOVE_HIP_MM;
        let levels = std::iter::successors(Some(first), |y| Some(y + SIDE_NAME_SPACING_MM));
        let (mut centre, mut tips, mut hem) = (Vec::new(), Vec::new(), Vec::new());
        let mut side_names: Vec<(Point, f64)> = Vec::new();
        for (k, (name, pattern)) in self.sizes.iter().enumerate() {
            let (piece, placed) = (pattern.pieces()[half], self.placed_panel_of_size(k, half));
            let outline = &self.outline_of_panel(piece);
            let on_paper = |point: Point| (k, placed.to_paper_mm(point));
            for role in [Role::Waist, Role::Hem] {
                centre.extend(edge_end_nearest_side_or_centre(outline, role, -1.0).map(on_paper));
            }
            let is_named = |place: NotchPlace| matches!(place, NotchPlace::OpeningEnd | NotchPlace::VentTop);
            let notches = piece.notches.iter().filter(|notch| is_named(notch.place)).map(|notch| notch.cuts[0][0]);
            centre.extend(notches.chain(piece.vent.map(|vent| vent.upper_corner())).map(on_paper));
            tips.extend(piece.panel.darts.iter().map(|dart| on_paper(dart.tip)));
            hem.extend(edge_end_nearest_side_or_centre(outline, Role::Hem, 1.0).map(on_paper));
            let side = outline.iter().filter(|edge| edge.role == Role::Side);
            let lines: Vec<Vec<Point>> =
                side.map(|edge| flatten_to_polyline(&[edge.path.map(|p| placed.to_paper_mm(p))], 0.1)).collect();
            for mut y in levels.clone().take_while(|y| *y < self.hip_y + self.shortest_hip_to_hem - 15.0) {
                // A text that runs upwards stands to the left of its base line; the seam may slant past the text.
                let font_size = font_size_to_fit(name, SIZE_NAME_FONT_MM, MAX_SIZE_NAME_WIDTH_MM);
                let half_width = relative_text_width(name) * font_size / 2.0;
                let place = |y: f64| {
                    let ends =
                        [y - half_width, y + half_width].map(|y| extreme_x_at_level(&lines, y, placed.towards_side));
                    let [Some(upper), Some(lower)] = ends else { return None };
                    let x = if half == 0 { upper.min(lower) - 1.0 } else { upper.max(lower) + 1.0 + 0.75 * font_size };
                    Some(Point::new(x, y))
                };
                // Where lines of sizes cross or coincide, each name stands below those before.
                let overlap = |at: Point| {
                    let apart = |(other, half_other): &&(Point, f64)| {
                        let apart = (at - *other).abs();
                        apart.x < font_size && apart.y < half_width + half_other + 0.9
                    };
                    side_names.iter().find(apart).map(|(other, half_other)| other.y + half_other + half_width + 1.0)
                };
                while let Some(below) = place(y).and_then(overlap) {
                    y = below;
                }
                let Some(at) = place(y) else { continue };
                side_names.push((at, half_width));
                sizes[k].draw_text(at, CentredUpwards, name, font_size);
            }
        }
        let outwards = [-1.0, 1.0][half];
        let edge = centre.iter().map(|(_, at)| at.x * outwards).fold(f64::NEG_INFINITY, f64::max) * outwards;
        self.draw_leaders(&mut sizes, centre, 1, edge + outwards * 6.0);
        for points in [tips, hem] {
            let lowest = points.iter().map(|(_, at)| at.y).fold(0.0, f64::max);
            self.draw_leaders(&mut sizes, points, 0, lowest + 6.0);
        }
        sizes
    }

    /// Draws the names of the sizes of `points` in a row (`axis` 0) or in a column (`axis` 1), at `level` mm on the
    /// other axis; each point is given with the index of its size. A leader, a thin line, runs from each point to its
    /// name, and the names never overlap. Names and leaders of a size go to that size's part in `sizes`.
    pub(super) fn draw_leaders(&self, sizes: &mut [Part], mut points: Vec<(usize, Point)>, axis: usize, level: f64) {
        points.sort_by(|(_, a), (_, b)| a[axis].total_cmp(&b[axis]));
        let size_of = |k: usize| font_size_to_fit(&self.sizes[k].0, SIZE_NAME_FONT_MM, MAX_SIZE_NAME_WIDTH_MM);
        let width_of = |k: usize| relative_text_width(&self.sizes[k].0) * size_of(k);
        let widest = points.iter().map(|(k, _)| width_of(*k)).fold(0.0, f64::max);
        let gap = if axis == 0 { widest + 0.6 } else { SIZE_NAME_FONT_MM * 1.1 };
        let places = spread_positions_apart(&points.iter().map(|(_, at)| at[axis]).collect::<Vec<_>>(), gap);
        for ((k, at), place) in points.into_iter().zip(places) {
            let (mut end, part) = (at, &mut sizes[k]);
            end[axis] = place;
            end[1 - axis] = level;
            let direction = (end - at).normalize();
            part.draw_polyline(LayerKind::Guide, &[at + direction * 0.8, end], LineStyle::Solid);
            let outwards = (level - at[1 - axis]).signum();
            let middle = if axis == 0 {
                end + Vector::new(0.0, size_of(k) * if outwards > 0.0 { 0.95 } else { -0.2 })
            } else {
                end + Vector::new(outwards * (0.6 + width_of(k) / 2.0), size_of(k) * 0.35)
            };
            part.draw_text(middle, Centred, &self.sizes[k].0, size_of(k));
        }
    }
}

/// Returns, of the end points of all edges with a role, the one nearest the side seam (`direction` 1) or nearest the
/// centre line (−1); `None` if no edge has the role.
pub(super) fn edge_end_nearest_side_or_centre(edges: &[Edge], role: Role, direction: f64) -> Option<Point> {
    let points = edges.iter().filter(|edge| edge.role == role).flat_map(|edge| [edge.path.start(), edge.path.end()]);
    points.max_by(|a, b| (a.x * direction).total_cmp(&(b.x * direction)))
}

/// Returns the largest (`direction` 1) or the smallest (−1) `x` at which polylines cross the level `y`, if they do.
fn extreme_x_at_level(lines: &[Vec<Point>], y: f64, direction: f64) -> Option<f64> {
    let crossing = |pair: &[Point]| {
        let (from, step) = (pair[0], pair[1] - pair[0]);
        let share = (y - from.y) / step.y;
        (0.0..=1.0).contains(&share).then(|| from.x + share * step.x)
    };
    let crossings = lines.iter().flat_map(|line| line.windows(2).filter_map(crossing));
    crossings.max_by(|a, b| (a * direction).total_cmp(&(b * direction)))
}

/// Returns ascending positions moved apart until neighbours are at least `gap` apart, with the least sum of squared
/// moves (isotonic regression, by pooling adjacent violators).
fn spread_positions_apart(positions: &[f64], gap: f64) -> Vec<f64> {
    // Each pool holds the mean of its members, each less its index times `gap`, and the number of its members.
    let mut pools: Vec<(f64, usize)> = Vec::new();
    for (k, position) in positions.iter().enumerate() {
        let mut pool = (position - k as f64 * gap, 1);
        while let Some((mean, count)) = pools.pop_if(|(mean, _)| *mean > pool.0) {
            let total = count + pool.1;
            pool = ((mean * count as f64 + pool.0 * pool.1 as f64) / total as f64, total);
        }
        pools.push(pool);
    }
    let means = pools.iter().flat_map(|(mean, count)| std::iter::repeat_n(*mean, *count));
    means.enumerate().map(|(k, mean)| mean + k as f64 * gap).collect()
}
