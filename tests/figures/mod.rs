//! The figures of `src/method.md`, drawn with the layers and the SVG writer of Kirtle.
#![allow(clippy::float_cmp, reason = "a side edge is recognised by the exact number that it was computed from")]

mod figure;
mod pen;

use kirtle::drawing::{LayerKind, LineStyle};
use kirtle::geometry::Vector;
use kirtle::{Dart, Draft, Panel, Path, Piece, Point, Role};
use pen::{Pen, heights, point, rotate};

/// Draws every figure; returns its name and its SVG text.
pub(crate) fn all_figures(
    draft: &Draft,
    [measured, slanted]: [&Draft; 2],
    piece: &Piece,
) -> Vec<(&'static str, String)> {
    let back = &draft.back;
    vec![
        ("suppression", suppression_figure(draft)),
        ("darts", darts_figure(draft)),
        ("waist", waist_figure(draft)),
        ("closed", closed_figure(back)),
        ("tape", tape_figure(draft)),
        ("roof", roof_figure(piece)),
        ("figure", figure::tilted_figure(draft, measured)),
        ("centre", figure::slanted_figure(draft, slanted)),
    ]
}

/// Formats a length in centimetres with two decimals.
fn cm(value: f64) -> String {
    format!("{value:.2}")
}

/// Draws half the garment from centre back to centre front: the hip line, and the suppression along the waist.
fn suppression_figure(draft: &Draft) -> String {
    let mut pen = Pen::new(3.4, [10.0, 26.0]);
    let [hip, depth, side] = [draft.back.width + draft.front.width, draft.body().hip_depth, draft.back.width];
    pen.tint(&[point(0.0, 0.0), point(hip, 0.0), point(hip, depth), point(0.0, depth)]);
    pen.line(
        LayerKind::Seam,
        &[point(0.0, 0.0), point(0.0, depth), point(hip, depth), point(hip, 0.0)],
        LineStyle::Solid,
    );
    pen.line(LayerKind::Guide, &[point(side, 0.0), point(side, depth)], LineStyle::LongDashed);
    // Start and end of each part of the suppression along the waist.
    let nominal = draft.nominal;
    let edge = nominal.side / 2.0;
    let mouths = |width: f64, taken: f64| [1.0, 2.0].map(|k| ((width - edge) * k / 3.0, taken / 2.0));
    let back = mouths(side, nominal.back).map(|(at, wide)| (at - wide / 2.0, at + wide / 2.0));
    let front = mouths(hip - side, nominal.front).map(|(at, wide)| (hip - at - wide / 2.0, hip - at + wide / 2.0));
    let taken = [back[0], back[1], (side - edge, side), (side, side + edge), front[1], front[0]];
    let mut from = 0.0;
    for (start, end) in taken {
        pen.line(LayerKind::Cut, &[point(from, 0.0), point(start, 0.0)], LineStyle::Solid);
        pen.line(LayerKind::Dart, &[point(start, 0.0), point(end, 0.0)], LineStyle::Dotted);
        let middle = f64::midpoint(start, end);
        let legs = if end == side {
            vec![point(start, 0.0), point(side, depth)]
        } else if start == side {
            vec![point(side, depth), point(end, 0.0)]
        } else {
            vec![point(start, 0.0), point(middle, depth * 0.6), point(end, 0.0)]
        };
        pen.line(LayerKind::Dart, &legs, LineStyle::Dashed);
        pen.text(point(middle, -0.7), &cm(end - start));
        from = end;
    }
    pen.line(LayerKind::Cut, &[point(from, 0.0), point(hip, 0.0)], LineStyle::Solid);
    pen.text(
        point(hip / 2.0, -4.4),
        &format!("half waist {}, taken in {}", cm(hip - nominal.total), cm(nominal.total)),
    );
    let parts = [
        (back[0].0, back[1].1, nominal.back, "back"),
        (side - edge, side + edge, nominal.side, "side"),
        (front[1].0, front[0].1, nominal.front, "front"),
    ];
    for (start, end, part, name) in parts {
        pen.text(point(f64::midpoint(start, end), -2.3), &format!("{name} {part:.3}"));
    }
    pen.text(point(side / 2.0, depth - 0.7), &format!("back {}", cm(side)));
    pen.text(point(f64::midpoint(side, hip), depth - 0.7), &format!("front {}", cm(hip - side)));
    pen.text(point(hip / 2.0, depth + 1.8), &format!("half hip {}", cm(hip)));
    pen.svg("What half the garment takes in", [200.0, 108.0])
}

/// Draws the upper back with the positions of its darts and the lean of the side seam.
fn darts_figure(draft: &Draft) -> String {
    let (panel, depth) = (&draft.back, draft.body().hip_depth);
    let mut pen = Pen::new(6.4, [12.0, 26.0]);
    pen.panel(panel, depth);
    pen.line(LayerKind::Guide, &[point(0.0, depth), point(panel.width, depth)], LineStyle::LongDashed);
    pen.line(LayerKind::Guide, &[point(0.0, 0.0), point(panel.width, 0.0)], LineStyle::Dotted);
    pen.line(LayerKind::Guide, &[point(panel.waist_width, 0.0), point(panel.waist_width, 7.0)], LineStyle::Dotted);
    pen.text(point(panel.waist_width - 0.9, 6.0), "α");
    for dart in &panel.darts {
        pen.legs(dart, LineStyle::Solid);
        let mouth = point(dart.centre, dart.inner.y);
        pen.line(LayerKind::Dart, &[mouth, dart.tip], LineStyle::Dashed);
        pen.span(dart.inner, dart.outer, -1.3);
        pen.text(point(dart.centre, -1.05), &cm(dart.intake));
        pen.upwards(point(dart.centre + 1.35, dart.tip.y - 4.2), &cm(dart.length));
        pen.text(point(dart.centre + 0.75, dart.tip.y - 1.2), "g");
        pen.ring(dart.tip);
    }
    let mut from = 0.0;
    for dart in &panel.darts {
        pen.span(point(from, -2.5), point(dart.centre, -2.5), 0.0);
        pen.text(point(f64::midpoint(from, dart.centre), -2.9), "one third");
        from = dart.centre;
    }
    pen.span(point(from, -2.5), point(panel.waist_width, -2.5), 0.0);
    pen.text(point(f64::midpoint(from, panel.waist_width), -2.9), "one third");
    pen.span(point(panel.waist_width, depth + 1.0), point(panel.width, depth + 1.0), 0.0);
    pen.text(
        point(f64::midpoint(panel.waist_width, panel.width), depth + 2.1),
        &format!("s {}", cm(panel.width - panel.waist_width)),
    );
    pen.text(point(panel.width / 3.0, depth - 0.5), &format!("hip line {}", cm(panel.width)));
    pen.svg("The darts of the back, and its side seam", [190.0, 178.0])
}

/// Draws the last stretch of the back waist, enlarged.
fn waist_figure(draft: &Draft) -> String {
    let panel = &draft.back;
    let dart = panel.darts[1];
    let stretch = panel.paths(Role::Waist).last().copied().unwrap_or(Path::Line([Point::origin(); 2]));
    let side = panel.paths(Role::Side).next().copied().unwrap_or(stretch);
    let (start, end) = (stretch.start(), stretch.end());
    let mut pen = Pen::new(22.0, [36.0 - 15.59 * 22.0, 14.0]);
    let leg = (dart.tip - dart.outer).normalize();
    pen.line(LayerKind::Dart, &[start, start + leg * 2.4], LineStyle::Solid);
    let lean = side.start_tangent().normalize();
    pen.line(LayerKind::Seam, &[end, end + lean * 2.0], LineStyle::Solid);
    for at in [start, end] {
        pen.line(LayerKind::Guide, &[at, at + Vector::new(0.0, 2.2)], LineStyle::Dotted);
    }
    pen.line(LayerKind::Guide, &[point(start.x, 0.0), end], LineStyle::Dotted);
    pen.line(LayerKind::Guide, &[start, end], LineStyle::Dashed);
    pen.paths(LayerKind::Cut, &[stretch], LineStyle::Solid);
    pen.square(start, leg, stretch.start_tangent().normalize(), 0.22);
    pen.square(end, lean, -stretch.end_tangent().normalize(), 0.22);
    pen.text(start + Vector::new(-0.28, 1.9), "g");
    pen.text(end + Vector::new(0.26, 1.6), "α");
    let chord = (end - start).norm();
    pen.text(start + (end - start) * 0.3 + Vector::new(0.0, -0.11), &format!("chord {}", cm(chord)));
    pen.text(stretch.point_at(0.5) + Vector::new(0.0, 0.42), &format!("along the curve {}", cm(stretch.length())));
    pen.line(LayerKind::Guide, &[point(start.x, 0.0), start], LineStyle::Solid);
    pen.text(point(start.x - 0.75, start.y * 0.6), &format!("rise {}", cm(start.y)));
    pen.svg("A stretch of waist", [200.0, 84.0])
}

/// Draws the back with its darts folded shut.
fn closed_figure(panel: &Panel) -> String {
    let mut pen = Pen::new(6.4, [12.0, 28.0]);
    let stretches: Vec<Path> = panel.paths(Role::Waist).copied().collect();
    let side: Vec<Path> = panel.paths(Role::Side).take(1).copied().collect();
    pen.line(
        LayerKind::Guide,
        &[point(0.0, panel.waist_lowering), point(20.0, panel.waist_lowering)],
        LineStyle::Dotted,
    );
    // Folding a dart rotates all points beyond the dart about its tip; the dart nearest to the side is folded first.
    for (k, stretch) in stretches.iter().enumerate() {
        let shut = |at: Point| {
            panel.darts[..k].iter().rev().fold(at, |at, dart| rotate(at, dart.tip, -2.0 * dart.half_angle_rad))
        };
        pen.paths(LayerKind::Cut, &[stretch.map(shut)], LineStyle::Solid);
        pen.paths(LayerKind::Guide, &[*stretch], LineStyle::Dashed);
        if let Some(dart) = panel.darts.get(k) {
            pen.line(LayerKind::Dart, &[shut(dart.inner), shut(dart.tip)], LineStyle::Solid);
            pen.ring(shut(dart.tip));
            pen.legs(dart, LineStyle::Dotted);
        } else {
            let seam: Vec<Path> = side.iter().map(|path| path.map(shut)).collect();
            pen.paths(LayerKind::Seam, &seam, LineStyle::Solid);
            pen.text(shut(stretch.end()) + Vector::new(8.8, 9.6), "side seam");
            pen.text(stretch.end() + Vector::new(1.8, 1.5), "as drafted");
        }
    }
    pen.line(LayerKind::Seam, &[point(0.0, panel.waist_lowering), point(0.0, 20.0)], LineStyle::Solid);
    pen.text(point(2.2, panel.waist_lowering - 1.2), "centre back");
    pen.text(point(9.5, -3.0), &format!("sewn waist {}", cm(panel.edge_length(Role::Waist))));
    pen.svg("The back with its darts shut", [194.0, 160.0])
}

/// Draws the back with a tape at five levels.
fn tape_figure(draft: &Draft) -> String {
    let (panel, depth) = (&draft.back, draft.body().hip_depth);
    let mut pen = Pen::new(6.0, [10.0, 10.0]);
    pen.panel(panel, depth);
    for dart in &panel.darts {
        pen.legs(dart, LineStyle::Solid);
    }
    for level in [0.0, 5.0, 10.0, 15.0, depth] {
        let bend = (depth - level) / depth;
        let half_width = |dart: &Dart, at: Point| {
            let below = level * (1.0 - at.y / depth);
            dart.intake / 2.0 * (1.0 - below / dart.length).max(0.0)
        };
        let side = panel.paths(Role::Side).next().map_or(panel.width, |seam| side_at_level(seam, level));
        for (k, stretch) in panel.paths(Role::Waist).enumerate() {
            // The stretch is moved down and flattened, between its neighbouring legs or edges at the level.
            let (start, end) = (stretch.start(), stretch.end());
            let from = k.checked_sub(1).map_or(0.0, |k| panel.darts[k].centre + half_width(&panel.darts[k], start));
            let to = panel.darts.get(k).map_or(side, |dart| dart.centre - half_width(dart, end));
            let down = |at: Point| {
                let share = (at.x - start.x) / (end.x - start.x);
                point(from + (to - from) * share, at.y * bend + level)
            };
            pen.paths(LayerKind::Cut, &[stretch.map(down)], LineStyle::Dashed);
        }
        let girth = draft.girth_at(level).unwrap_or(f64::NAN);
        pen.text(point(side + 4.0, level + 0.3), &format!("{level} down: {girth:.1}"));
    }
    pen.svg("The girth as a tape goes", [208.0, 142.0])
}

/// Returns the distance of the side seam from the centre at a level.
fn side_at_level(seam: &Path, level: f64) -> f64 {
    let (mut above, mut below) = (0.0, 1.0);
    for _ in 0..50 {
        let middle = f64::midpoint(above, below);
        if seam.point_at(middle).y < level { above = middle } else { below = middle }
    }
    seam.point_at(above).x
}

/// Draws the roof over the first dart.
fn roof_figure(piece: &Piece) -> String {
    let dart = piece.panel.darts[0];
    let mut pen = Pen::new(12.5, [12.0, 38.0]);
    let seam: Vec<Path> = piece.panel.paths(Role::Waist).take(2).copied().collect();
    for stretch in &seam {
        pen.paths(LayerKind::Seam, &[*stretch], LineStyle::Solid);
    }
    let below = 6.0;
    for mouth in [dart.inner, dart.outer] {
        pen.line(LayerKind::Dart, &[mouth, mouth + (dart.tip - mouth) * (below / dart.length)], LineStyle::Solid);
    }
    let fold = [point(dart.centre, dart.inner.y - 2.3), point(dart.centre, dart.inner.y + below)];
    pen.line(LayerKind::Dart, &fold, LineStyle::Dashed);
    let edges: Vec<Path> = piece.cut.iter().filter(|edge| edge.path.end().y < 1.0).map(|edge| edge.path).collect();
    let upper: Vec<Path> = edges.into_iter().filter(|path| path.start().x >= -0.1 && path.end().x < 14.0).collect();
    pen.paths(LayerKind::Cut, &upper, LineStyle::Solid);
    // A point of the roof, and its mirror image at the leg.
    let leg = (dart.tip - dart.inner).normalize();
    for (share, name) in [(0.35, "a"), (1.0, "b")] {
        let half = piece.cut.iter().find(|edge| edge.role == Role::Dart).map(|edge| edge.path);
        let Some(at) = half.map(|path| path.point_at(share)) else { continue };
        let along = dart.inner + leg * (at - dart.inner).dot(&leg);
        pen.line(LayerKind::Guide, &[at, along + (along - at)], LineStyle::Dotted);
        for ring in [at, along + (along - at)] {
            pen.ring(ring);
            pen.text(ring + Vector::new(-0.18, -0.24), name);
        }
    }
    let up = dart.inner - leg * 2.0;
    pen.line(LayerKind::Guide, &[dart.inner, up], LineStyle::LongDashed);
    let peak = heights(&upper).fold(f64::INFINITY, f64::min);
    pen.text(point(dart.centre, peak - 1.4), &format!("roof {} above the mouth", cm(dart.inner.y - peak)));
    pen.text(point(3.0, dart.inner.y + 0.8), "seam line");
    pen.text(point(3.0, -0.9), "cut line");
    pen.text(point(dart.inner.x - 0.5, dart.inner.y + 4.6), "leg");
    pen.text(point(dart.centre, dart.inner.y + below + 0.5), "centre line of the dart");
    pen.svg("The roof over a dart", [184.0, 130.0])
}
