//! The cut line of a piece: each seam edge offset by its allowance, and shaped edges at the folds.
//!
//! A dart, a seam allowance or a hem is folded when the garment is sewn. The cut edge of the folded cloth is the mirror
//! image, in the fold, of the edge of the layer below, so that all layers end together.

use super::centre_seam::{cut_line_corner_at_hip, upward_direction_at_waist};
use super::cutting::{Allowances, Press};
use super::vent::VentLines;
use crate::draft::{Dart, Edge, Half, Panel, Role};
use crate::geometry::{Cubic, Line, Path, Point, Vector, paths_up_to_line};

/// Maximum allowance inside a bend of the seam line, as a share of the bend's radius; at a share of 1 the cut line
/// would have a cusp.
const MAX_ALLOWANCE_SHARE_OF_RADIUS: f64 = 0.75;

/// Minimum length of a straight edge of the cut line, in centimetres: anything shorter is rounding and is left out.
const MIN_CUT_EDGE_LENGTH_CM: f64 = 1e-9;

/// Unit vector to the right, from the centre line towards the side.
const RIGHT: Vector = Vector::new(1.0, 0.0);

/// Unit vector down, from the waist towards the hem.
const DOWN: Vector = Vector::new(0.0, 1.0);

/// Returns the requested allowances, with those of waist and side at most [`MAX_ALLOWANCE_SHARE_OF_RADIUS`] times the
/// radius of the sharpest bend of that edge on all panels. The waist allowance also keeps the cut line from crossing
/// the centre line.
pub(super) fn clamp_allowances_to_feasible(panels: &[&Panel], requested: Allowances) -> Allowances {
    let curves = |role| -> Vec<Cubic> {
        panels.iter().flat_map(|panel| panel.paths(role)).filter_map(Path::cubic_unless_line).copied().collect()
    };
    let waist = requested.waist.min(max_offset_to_left(&curves(Role::Waist)));
    let side = requested.side.min(max_offset_by_radius(&curves(Role::Side)));
    Allowances { waist, side, ..requested }
}

/// Returns the maximum offset of curves to the left of travel, in centimetres: [`MAX_ALLOWANCE_SHARE_OF_RADIUS`] times
/// the smaller of two lengths, the radius of their sharpest bend to the left and the smallest offset that reaches the
/// centre line.
pub(super) fn max_offset_to_left(curves: &[Cubic]) -> f64 {
    let to_centre = curves.iter().map(Cubic::smallest_offset_reaching_centre_line);
    max_offset_by_radius(curves).min(MAX_ALLOWANCE_SHARE_OF_RADIUS * to_centre.fold(f64::INFINITY, f64::min))
}

/// Returns the maximum offset by the sharpest bend to the left of travel, in centimetres; infinity without such a bend.
fn max_offset_by_radius(curves: &[Cubic]) -> f64 {
    let max_curvature = curves.iter().map(Cubic::max_left_curvature).fold(0.0, f64::max);
    if max_curvature > 0.0 { MAX_ALLOWANCE_SHARE_OF_RADIUS / max_curvature } else { f64::INFINITY }
}

/// The closed cut line of a pattern piece.
pub(super) struct CutLine {
    /// Edges of the cut line, each starting at the end of the previous edge.
    pub(super) edges: Vec<Edge>,
    /// Number of edges at folds that are cut straight, as the adjacent seam edge is too short or too curved to mirror.
    pub(super) straight_folds: usize,
    /// End of the last edge so far, where the next edge starts.
    pub(super) position: Point,
}

/// Returns the cut line of a panel, from the centre of the waist to the side, down to the hem, and back up the centre.
///
/// A vent widens the piece between hem and centre.
pub(super) fn panel_cut_line(panel: &Panel, allowances: &Allowances, press: Press, vent: Option<VentLines>) -> CutLine {
    let (mut builder, start, side) = unfinished_cut_line_and_side(panel, allowances, press);
    let hem_fold = Line::new(side.last().map_or(builder.position, Path::end), -RIGHT);
    let hem_end = builder.edge_of_folded_allowance(&reversed_paths(&side), &hem_fold, allowances.hem, DOWN);
    builder.push_paths(Role::Side, side);
    builder.push_paths(Role::Side, hem_end);
    let corner = cut_line_corner_at_hip(panel, centre_allowance(panel, allowances)).unwrap_or(start);
    let hem_y = builder.position.y;
    let mut corners = match vent.map(|vent| vent.upper_corner()) {
        Some(upper) => vec![Point::new(upper.x, hem_y), upper, Point::new(corner.x, upper.y)],
        None => vec![Point::new(corner.x, hem_y)],
    };
    corners.extend([corner, start]);
    builder.close_at_centre(corners)
}

/// Returns the cut line of a facing, with edges in the order of the edges of a panel. The lower edge, which has the
/// role of the hem, has no allowance.
pub(super) fn facing_cut_line(facing: &Panel, allowances: &Allowances) -> CutLine {
    let (mut builder, start, side) = unfinished_cut_line_and_side(facing, allowances, Press::default());
    builder.push_paths(Role::Side, side);
    let lower: Vec<Path> = facing.paths(Role::Hem).copied().collect();
    builder.push_straight_edge_to(Role::Hem, lower[0].start());
    builder.push_paths(Role::Hem, lower);
    let (up, end) = (upward_direction_at_waist(facing), builder.position);
    let y = end.y - up.x * centre_allowance(facing, allowances);
    builder.close_at_centre([Point::new(start.x + (y - start.y) * (up.x / up.y), y), start])
}

/// Returns the allowance at the centre of a panel in centimetres: 0 for a front, whose centre is a fold.
fn centre_allowance(panel: &Panel, allowances: &Allowances) -> f64 {
    if panel.half == Half::Back { allowances.centre_back } else { 0.0 }
}

/// Begins the cut line of a panel, from the centre of the waist to the side. Returns the unfinished cut line, the point
/// where it starts, and the side seam offset by its allowance, which is not yet appended.
fn unfinished_cut_line_and_side(panel: &Panel, allowances: &Allowances, press: Press) -> (CutLine, Point, Vec<Path>) {
    let waist: Vec<Vec<Path>> = panel.paths(Role::Waist).map(|p| p.offset_to_left(allowances.waist)).collect();
    let side: Vec<Path> = panel.paths(Role::Side).flat_map(|p| p.offset_to_left(allowances.side)).collect();
    let [waist_start, side_start] = [&waist[0], &side].map(|paths| paths[0].start());
    let mut builder = CutLine { edges: Vec::new(), straight_folds: 0, position: waist_start };
    let centre = centre_allowance(panel, allowances);
    let centre_fold = Line::new(waist_start, upward_direction_at_waist(panel));
    let centre_end = builder.edge_of_folded_allowance(&waist[0], &centre_fold, centre, -RIGHT);
    builder.position = centre_end.last().map_or(waist_start, Path::end);
    let start = builder.position;
    builder.push_paths(Role::Waist, reversed_paths(&centre_end));
    for (k, stretch) in waist.iter().enumerate() {
        builder.push_paths(Role::Waist, stretch.iter().copied());
        if let Some(dart) = panel.darts.get(k) {
            let roof = builder.dart_roof_paths(dart, press, [stretch, &waist[k + 1]]);
            builder.push_paths(Role::Dart, roof);
        }
    }
    let (side_seam, last) = (panel.paths(Role::Side).next(), &waist[waist.len() - 1]);
    let side_end = side_seam.map(|seam| builder.side_allowance_edge_at_waist(seam, last, allowances.side));
    builder.push_paths(Role::Waist, side_end.unwrap_or_default());
    builder.push_straight_edge_to(Role::Side, side_start);
    (builder, start, side)
}

/// Returns connected paths in the opposite direction.
pub(super) fn reversed_paths(paths: &[Path]) -> Vec<Path> {
    paths.iter().rev().map(Path::reversed).collect()
}

impl CutLine {
    /// Appends connected paths as edges; the start of each moves onto the end of the last edge to remove rounding.
    pub(super) fn push_paths(&mut self, role: Role, paths: impl IntoIterator<Item = Path>) {
        for mut path in paths {
            let (Path::Line([start, _]) | Path::Cubic(Cubic { points: [start, ..] })) = &mut path;
            *start = self.position;
            self.position = path.end();
            self.edges.push(Edge { role, path });
        }
    }

    /// Appends a straight edge from the end of the last edge to a point, unless the last edge already ends there.
    fn push_straight_edge_to(&mut self, role: Role, point: Point) {
        if (point - self.position).norm() > MIN_CUT_EDGE_LENGTH_CM {
            self.push_paths(role, [Path::Line([self.position, point])]);
        }
    }

    /// Closes the cut line, whose last edge ends at the lower edge of the piece, by straight edges: along the lower
    /// edge to the first of `corners`, then along the centre to all others, the last of which is the start of the cut
    /// line.
    fn close_at_centre(mut self, corners: impl IntoIterator<Item = Point>) -> CutLine {
        let roles = std::iter::once(Role::Hem).chain(std::iter::repeat(Role::Centre));
        corners.into_iter().zip(roles).for_each(|(corner, role)| self.push_straight_edge_to(role, corner));
        self
    }

    /// Returns the cut edge that ends the side allowance at the waist: the mirror image of the waist's cut edge, or a
    /// straight edge if that image would end below the top of the offset side seam.
    fn side_allowance_edge_at_waist(&mut self, seam: &Path, last: &[Path], allowance: f64) -> Vec<Path> {
        let fold = Line::new(seam.start(), seam.start_tangent());
        let edge = self.edge_of_folded_allowance(&reversed_paths(last), &fold, allowance, RIGHT);
        let ends_below = edge.last().is_some_and(|path| (path.end() - seam.start()).dot(&seam.start_tangent()) > 0.0);
        if ends_below {
            self.straight_edge_perpendicular_to_fold(edge[0].start(), &fold, &fold.parallel_line_to_left(allowance))
        } else {
            edge
        }
    }

    /// Returns the cut edge of an allowance folded along `fold`, from the fold to the outer side of the allowance: the
    /// mirror image of `paths`, which start on the fold, or a straight edge if the image ends too early or moves
    /// against the direction `ahead`. Returns no path for an allowance of 0.
    fn edge_of_folded_allowance(&mut self, paths: &[Path], fold: &Line, allowance: f64, ahead: Vector) -> Vec<Path> {
        let end = fold.parallel_line_to_left(allowance);
        if allowance == 0.0 { Vec::new() } else { self.mirrored_fold_edge(paths, fold, &end, ahead) }
    }

    /// Returns the mirror image of `paths` in the line `fold`, cut off at the line `end`; a straight edge to `end` if
    /// the image does not reach `end` or moves against the direction `ahead`.
    fn mirrored_fold_edge(&mut self, paths: &[Path], fold: &Line, end: &Line, ahead: Vector) -> Vec<Path> {
        let images = paths.iter().map(|path| path.map(|point| fold.reflect_in_line(point)));
        paths_up_to_line(images, end, ahead)
            .unwrap_or_else(|| self.straight_edge_perpendicular_to_fold(paths[0].start(), fold, end))
    }

    /// Returns a straight edge from `start`, perpendicular to `fold`, to the line `end`; increments `straight_folds`.
    fn straight_edge_perpendicular_to_fold(&mut self, start: Point, fold: &Line, end: &Line) -> Vec<Path> {
        self.straight_folds += 1;
        let (distance, outwards) = (end.signed_distance_to_left(start), fold.left_normal());
        let length = distance / (distance - end.signed_distance_to_left(start + outwards));
        vec![Path::Line([start, start + outwards * length])]
    }

    /// Returns the cut edge over a dart, shaped so that the folded dart ends level with the waist's cut edge. The half
    /// on the side to which the dart is pressed is the waist's cut edge on that side, mirrored in the dart leg on that
    /// side. The other half is the mirror image of this half in the fold of the dart.
    fn dart_roof_paths(&mut self, dart: &Dart, press: Press, [inner, outer]: [&Vec<Path>; 2]) -> Vec<Path> {
        let [down, up] = [DOWN, -DOWN].map(|along| Line::new(dart.tip, along));
        let in_fold = |path: &Path| path.map(|point| down.reflect_in_line(point));
        let inner_half: Vec<Path> = match press {
            Press::Centre => {
                let leg = Line::new(dart.inner, dart.tip - dart.inner);
                self.mirrored_fold_edge(&reversed_paths(inner), &leg, &down, RIGHT)
            }
            Press::Side => {
                let leg = Line::new(dart.tip, dart.outer - dart.tip);
                self.mirrored_fold_edge(outer, &leg, &up, -RIGHT).iter().map(in_fold).collect()
            }
        };
        let outer_half: Vec<Path> = reversed_paths(&inner_half).iter().map(in_fold).collect();
        [inner_half, outer_half].concat()
    }
}
