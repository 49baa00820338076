//! Back and front of a draft as seam lines with their lengths, to read and to learn from.
//!
//! For students and drafters: no allowance is drawn, the dart mouths are open, and every length stands where it is
//! measured.

use super::TextAlign::{Centred, CentredUpwards};
use super::panel_layout::{MM_PER_CM, NOTE_LETTER_MM, PlacedPanel, draft_title, labelled_length_text};
use super::{Drawing, LayerKind, LineStyle, Part};
use crate::draft::{Draft, Edge, Half, Panel, Role};
use crate::field::Unit;
use crate::geometry::{Path, Point, Vector};
use crate::pattern;
use crate::ruler::Ruler;

// Margin around the drawing, height of the texts above the panels, and gap between back and front, in millimetres.
const MARGIN_MM: f64 = 14.0;
const HEADER_HEIGHT_MM: f64 = 44.0;
const PANEL_GAP_MM: f64 = 34.0;

/// Draws the seam lines of both panels of a draft at true scale, without allowances; lengths are printed by `ruler`.
///
/// ```
/// use kirtle::{Body, Ease, Rules, Unit};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let drawing = kirtle::drawing::draw_draft(&draft, Unit::Cm);
/// assert!(drawing.size_mm[1] > 600.0);
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[must_use]
pub fn draw_draft(draft: &Draft, ruler: impl Into<Ruler>) -> Drawing {
    let ruler = ruler.into();
    // A waist larger than the hip reaches out of its panel and rises above the side.
    let max_width = |panel: &Panel| panel.width.max(panel.waist_width) * MM_PER_CM;
    let rise = draft.panels().map(|panel| -panel.waist_lowering.min(0.0)).into_iter().fold(0.0, f64::max) * MM_PER_CM;
    let top = MARGIN_MM + HEADER_HEIGHT_MM + rise;
    let right = MARGIN_MM + max_width(&draft.back) + PANEL_GAP_MM + max_width(&draft.front);
    let bottom = top + draft.body().length * MM_PER_CM;
    let draw_panel = |panel, x| {
        let placed = PlacedPanel::new(draft, panel, Point::new(x, top));
        let mut part = Part::new(panel.half.name(), "", 0);
        draw_panel_outline(&placed, &mut part);
        placed.draw_horizontal_line(&mut part, placed.hip_depth, LineStyle::Dashed);
        let grain = pattern::grain_line(panel, draft.body());
        placed.draw_grain_line(&mut part, grain);
        // Balance mark on the side seam at the hip line, matched when the side seam is sewn.
        let balance_mark = [-0.6, 0.3].map(|x| Point::new(panel.width + x, placed.hip_depth));
        placed.draw_polyline(&mut part, LayerKind::Guide, &balance_mark, LineStyle::Solid);
        draw_panel_texts(&placed, &mut part, ruler, grain[0].x);
        part
    };
    let mut shared = Part::new("around", "", 0);
    let title = draft_title(draft, ruler);
    draw_print_scale_test_line(&mut shared, ruler, Point::new(MARGIN_MM, MARGIN_MM + HEADER_HEIGHT_MM - 14.0));
    let (middle, width) = (f64::midpoint(MARGIN_MM, right), right - MARGIN_MM);
    let between_panels = MARGIN_MM + max_width(&draft.back) + PANEL_GAP_MM / 2.0;
    let side_seam_text = labelled_length_text(ruler, "side seam", draft.back.edge_length(Role::Side));
    for (line, text) in [(1.0, title.as_str()), (2.4, SEAM_LINES_CAUTION)] {
        let at = Point::new(middle, MARGIN_MM + line * NOTE_LETTER_MM);
        shared.draw_fitted_text(at, Centred, text, [NOTE_LETTER_MM, width]);
    }
    let middle_of_seam = Point::new(between_panels + NOTE_LETTER_MM * 0.4, f64::midpoint(top, bottom));
    shared.draw_text(middle_of_seam, CentredUpwards, &side_seam_text, NOTE_LETTER_MM);
    Drawing {
        title,
        notes: vec![SEAM_LINES_CAUTION.to_owned()],
        key: Vec::new(),
        size_mm: [right + MARGIN_MM, bottom + 2.0 * NOTE_LETTER_MM + MARGIN_MM],
        parts: vec![draw_panel(&draft.back, MARGIN_MM), draw_panel(&draft.front, right), shared],
    }
}

const SEAM_LINES_CAUTION: &str =
    "Seam lines: add allowances. Fold each dart shut before cutting the waist. Sew a trial garment (toile) first.";

/// Draws a labelled horizontal line of 10 cm or 4 in, by which a ruler checks the scale of a print.
fn draw_print_scale_test_line(part: &mut Part, ruler: Ruler, start: Point) {
    let (length_mm, label) = match ruler.unit() {
        Unit::Cm | Unit::Mm => (100.0, "10 cm: measure before cutting"),
        Unit::In => (101.6, "4 in: measure before cutting"),
    };
    let end = start + Vector::new(length_mm, 0.0);
    let tick = Vector::new(0.0, 2.5);
    for line in [[start, end], [start - tick, start + tick], [end - tick, end + tick]] {
        part.draw_polyline(LayerKind::Guide, &line, LineStyle::Solid);
    }
    let middle = Point::new(start.x + length_mm / 2.0, start.y - 1.5);
    part.draw_fitted_text(middle, Centred, label, [NOTE_LETTER_MM, length_mm]);
}

fn draw_panel_outline(placed: &PlacedPanel, part: &mut Part) {
    let edges = &placed.panel.edges;
    // A dart is folded, not cut out, so the tinted cloth spans the dart mouth.
    let mut cloth: Vec<Edge> = Vec::new();
    for edge in edges.iter().filter(|edge| edge.role != Role::Dart) {
        if let Some(mouth) = cloth.last().map(|last| last.path.end()).filter(|end| *end != edge.path.start()) {
            cloth.push(Edge { role: Role::Dart, path: Path::Line([mouth, edge.path.start()]) });
        }
        cloth.push(*edge);
    }
    placed.draw_edges(part, LayerKind::Cloth, &cloth, LineStyle::Filled);
    let line_style = |edge: &Edge| match edge.role {
        Role::Dart => (LayerKind::Dart, LineStyle::Solid),
        Role::Centre if placed.panel.half == Half::Front => (LayerKind::Fold, LineStyle::DashDot),
        _ => (LayerKind::Seam, LineStyle::Solid),
    };
    for group in edges.chunk_by(|a, b| line_style(a) == line_style(b)) {
        let (kind, stroke) = line_style(&group[0]);
        placed.draw_edges(part, kind, group, stroke);
    }
    for dart in &placed.panel.darts {
        let mouth = Point::new(dart.centre, dart.inner.y);
        placed.draw_polyline(part, LayerKind::Dart, &[mouth, dart.tip], LineStyle::Dashed);
    }
}

/// Draws the texts on a panel of a draft: name, cutting instructions, lengths and dart sizes. `grain_x` is the `x` of
/// the grain line, in centimetres.
fn draw_panel_texts(placed: &PlacedPanel, part: &mut Part, ruler: Ruler, grain_x: f64) {
    let PlacedPanel { panel, hip_depth, length: hem, .. } = *placed;
    let (copies, centre) = match panel.half {
        Half::Back => ("cut 2 (mirrored), centre back seam", "centre back"),
        Half::Front => ("cut 1 on the fold", "centre front, on the fold,"),
    };
    let side_change = if panel.width < panel.waist_width { "let out at the side" } else { "taken in at the side" };
    let comparison = if panel.waist_lowering < 0.0 { "higher" } else { "lower" };
    let labelled = |label, length| labelled_length_text(ruler, label, length);
    let mut lines = vec![
        copies.to_owned(),
        labelled("width at the hip", panel.width),
        labelled("waist, darts closed,", panel.edge_length(Role::Waist)),
        labelled(side_change, (panel.width - panel.waist_width).abs()),
        format!("{} {comparison} than at the side", labelled("waist at the centre", panel.waist_lowering.abs())),
    ];
    let inset = panel.centre_waist_point().x;
    lines.extend((inset > 0.0).then(|| format!("{} in at the waist", labelled("centre back", inset))));
    placed.draw_panel_text_block(part, &lines);
    let hip_label = labelled("hip line at hip depth", hip_depth);
    placed.draw_horizontal_text(part, panel.width * 0.62, hip_depth - 0.2, &hip_label, NOTE_LETTER_MM * 0.8);
    let hem_label = labelled("hem", panel.edge_length(Role::Hem));
    placed.draw_horizontal_text(part, panel.width * 0.5, hem + 0.9, &hem_label, NOTE_LETTER_MM);
    let label_x = if panel.half == Half::Back { 1.1 } else { 0.6 };
    placed.draw_upward_text(part, label_x, &labelled(centre, panel.edge_length(Role::Centre)), NOTE_LETTER_MM);
    placed.draw_upward_text(part, grain_x - 0.15 * placed.towards_side, "grain line", NOTE_LETTER_MM * 0.8);
    for dart in &panel.darts {
        let size = format!("{} wide × {} long", ruler.format_length(dart.intake), ruler.format_length(dart.length));
        let distance = format!("{} from the centre line", ruler.format_length(dart.centre));
        placed.draw_horizontal_text(part, dart.centre, dart.tip.y + 0.7, &size, NOTE_LETTER_MM * 0.8);
        placed.draw_horizontal_text(part, dart.centre, dart.tip.y + 1.3, &distance, NOTE_LETTER_MM * 0.8);
    }
}
