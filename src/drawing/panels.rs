//! Both panels of a draft side by side, with their lengths: net lines, to read and to learn from.

use super::sheet::{MM_IN_CM, SMALL, Sheet, capitals, fitted, length, straight, text, title};
use super::{Drawing, LayerKind, Part, Stroke};
use crate::draft::{Draft, Edge, Half, Panel, Role};
use crate::field::Unit;
use crate::geometry::{Path, Point, Vector};
use crate::pattern;

/// Around everything.
const MARGIN: f64 = 14.0;

/// The title and the scale above the panels.
const HEADER: f64 = 44.0;

/// Between the two panels.
const GAP: f64 = 34.0;

/// Draws both panels of a draft at true scale, with lengths in `unit`.
///
/// ```
/// use kirtle::{Body, Ease, Rules, Unit};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let drawing = kirtle::drawing::draw(&draft, Unit::Cm);
/// assert!(drawing.size_mm[1] > 600.0);
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[must_use]
pub fn draw(draft: &Draft, unit: Unit) -> Drawing {
    // A waist that is larger than the hip leans out over its panel and rises above the side.
    let wide = |panel: &Panel| panel.width.max(panel.waist_width) * MM_IN_CM;
    let rise = draft.panels().map(|panel| -panel.waist_lowering.min(0.0)).into_iter().fold(0.0, f64::max) * MM_IN_CM;
    let top = MARGIN + HEADER + rise;
    let right = MARGIN + wide(&draft.back) + GAP + wide(&draft.front);
    let bottom = top + draft.body().length * MM_IN_CM;
    let panel = |panel, x| {
        let sheet = Sheet::new(draft, panel, Point::new(x, top));
        let mut part = Part::new(panel.half.name(), "", 0);
        outline(&sheet, &mut part);
        sheet.guides(&mut part, pattern::grain(panel, draft.body()));
        // A balance mark on the side seam at the hip line, to be matched with the other panel's.
        let mark = [-0.6, 0.3].map(|off| Point::new(panel.width + off, sheet.hip_depth));
        part.on(LayerKind::Guide).push(sheet.line(&mark, Stroke::Full));
        texts(&sheet, &mut part, unit);
        part
    };
    let mut around = Part::new("around", "", 0);
    let title = title(draft, unit);
    scale(&mut around, unit, Point::new(MARGIN, MARGIN + HEADER - 14.0));
    let (middle, room) = (f64::midpoint(MARGIN, right), right - MARGIN);
    let between = MARGIN + wide(&draft.back) + GAP / 2.0;
    let side = length(unit, "side seam", draft.back.length(Role::Side));
    around.on(LayerKind::Text).extend([
        text(Point::new(middle, MARGIN + SMALL), &title, fitted(&title, SMALL, room), false),
        text(Point::new(middle, MARGIN + 2.4 * SMALL), CAUTION, fitted(CAUTION, SMALL, room), false),
        text(Point::new(between + SMALL * 0.4, f64::midpoint(top, bottom)), &side, SMALL, true),
    ]);
    Drawing {
        title,
        notes: vec![CAUTION.to_owned()],
        size_mm: [right + MARGIN, bottom + 2.0 * SMALL + MARGIN],
        parts: vec![panel(&draft.back, MARGIN), panel(&draft.front, right), around],
    }
}

const CAUTION: &str =
    "Net lines: no seam or hem allowance. Fold each dart shut before the waist is cut. Make a trial garment first.";

/// A line of a round length and its label, to measure before cutting.
fn scale(part: &mut Part, unit: Unit, start: Point) {
    let (mm, name) = match unit {
        Unit::Cm => (100.0, "10 cm: measure before cutting"),
        Unit::In => (101.6, "4 in: measure before cutting"),
    };
    let end = start + Vector::new(mm, 0.0);
    let tick = Vector::new(0.0, 2.5);
    let lines = [(start, end), (start - tick, start + tick), (end - tick, end + tick)];
    part.on(LayerKind::Guide).extend(lines.map(|(from, to)| straight(from, to, Stroke::Full)));
    let middle = Point::new(start.x + mm / 2.0, start.y - 1.5);
    part.on(LayerKind::Text).push(text(middle, name, fitted(name, SMALL, mm), false));
}

fn outline(sheet: &Sheet, part: &mut Part) {
    let edges = &sheet.panel.edges;
    // A dart is folded, not cut out: the cloth runs across its mouth.
    let mut cloth: Vec<Path> = Vec::new();
    for edge in edges.iter().filter(|edge| edge.role != Role::Dart) {
        if let Some(mouth) = cloth.last().map(Path::end).filter(|end| *end != edge.path.start()) {
            cloth.push(Path::Line([mouth, edge.path.start()]));
        }
        cloth.push(edge.path);
    }
    part.on(LayerKind::Cloth).push(sheet.outline(&cloth, Stroke::Filled));
    let kind = |edge: &Edge| match edge.role {
        Role::Dart => (LayerKind::Dart, Stroke::Full),
        Role::Centre if sheet.panel.half == Half::Front => (LayerKind::Fold, Stroke::DashDot),
        _ => (LayerKind::Seam, Stroke::Full),
    };
    for alike in edges.chunk_by(|a, b| kind(a) == kind(b)) {
        let (kind, stroke) = kind(&alike[0]);
        part.on(kind).push(sheet.outline(alike.iter().map(|edge| &edge.path), stroke));
    }
    for dart in &sheet.panel.darts {
        let mouth = Point::new(dart.centre, dart.inner.y);
        part.on(LayerKind::Dart).push(sheet.line(&[mouth, dart.tip], Stroke::Dashed));
    }
}

fn texts(sheet: &Sheet, part: &mut Part, unit: Unit) {
    let Sheet { panel, hip_depth, length: hem, .. } = *sheet;
    let (cut, centre) = match panel.half {
        Half::Back => ("cut 2, seam at the centre", "centre back"),
        Half::Front => ("cut 1 on the fold", "centre front, on the fold,"),
    };
    let below = if panel.waist_lowering < 0.0 { "above" } else { "below" };
    sheet.block(
        part,
        capitals(panel.half),
        &[
            cut.to_owned(),
            length(unit, "hip", panel.width),
            length(unit, "waist, darts closed,", panel.length(Role::Waist)),
            length(unit, "side taken in", panel.width - panel.waist_width),
            format!("{} {below} the side", length(unit, "centre", panel.waist_lowering.abs())),
        ],
    );
    let x = panel.width * 0.62;
    sheet.write(part, x, hip_depth - 0.2, &length(unit, "hip line, down the side", hip_depth), SMALL * 0.8);
    sheet.write(part, panel.width * 0.5, hem + 0.9, &length(unit, "hem", panel.length(Role::Hem)), SMALL);
    let beside = if panel.half == Half::Back { 1.1 } else { 0.6 };
    sheet.write_upwards(part, beside, &length(unit, centre, panel.length(Role::Centre)), SMALL);
    sheet.write_upwards(part, panel.width * 0.25 - 0.15 * sheet.towards_side, "grain", SMALL * 0.8);
    for dart in &panel.darts {
        let size = format!("{} × {}", unit.format_rounded(dart.intake), unit.format_rounded(dart.length));
        let place = format!("{} from centre", unit.format_rounded(dart.centre));
        sheet.write(part, dart.centre, dart.tip.y + 0.7, &size, SMALL * 0.8);
        sheet.write(part, dart.centre, dart.tip.y + 1.3, &place, SMALL * 0.8);
    }
}
