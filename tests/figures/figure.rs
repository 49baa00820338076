//! The figures of steps 12 and 13: the waist for a measured figure, and the slanted centre back, each over the plain draft.

use kirtle::drawing::{LayerKind, LineStyle};
use kirtle::geometry::Vector;
use kirtle::{Draft, Panel, Path, Point, Role};

use super::pen::{Pen, point};

/// Width between the side seams of back and front, in centimetres.
const GAP: f64 = 3.0;

/// Depth to which the panels are drawn, in centimetres.
const DEPTH: f64 = 8.0;

/// Draws the upper back, and the upper front as its mirror image, each over the plain draft.
pub(crate) fn tilted_figure(plain: &Draft, measured: &Draft) -> String {
    let mut pen = Pen::new(3.4, [8.0, 20.0]);
    let end = measured.back.width + GAP + measured.front.width;
    for (draft, kind, style) in
        [(plain, LayerKind::Guide, LineStyle::Dashed), (measured, LayerKind::Cut, LineStyle::Solid)]
    {
        for (panel, is_front) in draft.panels().into_iter().zip([false, true]) {
            let place = |at: Point| if is_front { point(end - at.x, at.y) } else { at };
            for path in upper_edges(panel) {
                pen.paths(kind, &[path.map(place)], style);
            }
            if style == LineStyle::Solid {
                let centre = place(point(0.0, panel.waist_lowering));
                let level = place(point(3.0, 0.0));
                pen.line(
                    LayerKind::Guide,
                    &[place(Point::origin()), place(point(panel.waist_width, 0.0))],
                    LineStyle::Dotted,
                );
                pen.text(
                    level + Vector::new(0.0, -1.2),
                    &format!("{} {:.2}", panel.half.name(), panel.waist_lowering).replace('-', "−"),
                );
                pen.ring(centre);
            }
        }
    }
    pen.svg("The waist for a measured figure", [206.0, 60.0])
}

/// Draws the upper back with a slanted centre, over the plain draft; the inset is drawn on the level of the waist at the side.
pub(crate) fn slanted_figure(plain: &Draft, slanted: &Draft) -> String {
    let mut pen = Pen::new(6.4, [16.0, 22.0]);
    let (depth, panel) = (slanted.body().hip_depth, &slanted.back);
    let (inset, start) = (slanted.rules().panel_rules.centre_back_in, panel.edges[0].path.start());
    for (panel, kind, style) in
        [(&plain.back, LayerKind::Guide, LineStyle::Dashed), (panel, LayerKind::Cut, LineStyle::Solid)]
    {
        let above_hip = panel.edges.iter().filter(|edge| matches!(edge.role, Role::Waist | Role::Dart));
        let mut paths: Vec<Path> = above_hip.map(|edge| edge.path).collect();
        paths.extend(panel.paths(Role::Side).take(1).copied());
        paths.push(Path::Line([point(0.0, depth), panel.edges[0].path.start()]));
        for path in paths {
            pen.paths(kind, &[path], style);
        }
    }
    pen.line(LayerKind::Guide, &[Point::origin(), point(panel.waist_width, 0.0)], LineStyle::Dotted);
    pen.line(LayerKind::Seam, &[point(0.0, depth), point(0.0, depth + 3.0)], LineStyle::Solid);
    pen.line(LayerKind::Seam, &[point(panel.width, depth), point(panel.width, depth + 3.0)], LineStyle::Solid);
    pen.line(LayerKind::Guide, &[point(0.0, depth), point(panel.width, depth)], LineStyle::Dotted);
    pen.line(LayerKind::Guide, &[start, point(inset, 0.0)], LineStyle::Dotted);
    let (up, along) = ((start - point(0.0, depth)).normalize(), panel.edges[0].path.start_tangent().normalize());
    pen.square(start, -up, along, 0.7);
    pen.span(Point::origin(), point(inset, 0.0), -1.4);
    pen.text(point(inset / 2.0, -2.1), &format!("in {inset:.2}"));
    pen.text(point(5.4, depth - 0.6), "straight to the hip line");
    pen.svg("The centre back taken in at the waist", [196.0, 176.0])
}

/// Returns waist, darts, side seam and centre line of a panel above a depth; a dart or seam that reaches lower is cut there.
fn upper_edges(panel: &Panel) -> Vec<Path> {
    let clipped = |path: &Path| {
        let [top, bottom] =
            if path.start().y < path.end().y { [path.start(), path.end()] } else { [path.end(), path.start()] };
        let share = ((DEPTH - top.y) / (bottom.y - top.y)).min(1.0);
        Path::Line([top, top + (bottom - top) * share])
    };
    // The height of a point of the side seam is proportional to the parameter; above the depth the seam is nearly straight.
    let above = |seam: &Path| Path::Line([seam.start(), seam.point_at(DEPTH / seam.end().y)]);
    let side = panel.paths(Role::Side).take(1).map(above);
    let straight = panel.paths(Role::Dart).chain(panel.paths(Role::Centre)).map(clipped);
    panel.paths(Role::Waist).copied().chain(straight).chain(side).collect()
}
