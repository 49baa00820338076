//! Back and front of a draft as seam lines with their lengths.
//!
//! No allowance is drawn, the dart mouths are open, and every length stands where it is measured.

use super::TextAlign::{Centred, CentredUpwards};
use super::panel_layout::{LABEL_FONT_MM, MM_PER_CM, NOTE_FONT_MM, PlacedPanel, draft_title};
use super::{Drawing, LayerKind, LineStyle, Part};
use crate::draft::{Draft, Edge, Half, Panel, Role};
use crate::field::Unit;
use crate::geometry::{Path, Point, Vector};
use crate::pattern;
use crate::wording::{Wording, printed};

// Margin around the drawing, height of the texts above the panels, and gap between back and front, in millimetres.
const MARGIN_MM: f64 = 14.0;
const HEADER_HEIGHT_MM: f64 = 44.0;
const PANEL_GAP_MM: f64 = 34.0;

/// Draws the seam lines of both panels of a draft at true scale, without allowances; `wording` prints lengths and
/// texts.
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
pub fn draw_draft<'t>(draft: &Draft, wording: impl Into<Wording<'t>>) -> Drawing {
    let wording = wording.into();
    let texts = wording.texts;
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
        draw_panel_texts(&placed, &mut part, wording, grain[0].x);
        part
    };
    let mut shared = Part::new("around", "", 0);
    let title = draft_title(draft, wording);
    // A horizontal line of 10 cm or 4 in, by which a ruler checks the scale of a print.
    let (length_mm, label) = match wording.ruler.unit() {
        Unit::Cm | Unit::Mm => (100.0, texts.test_line_cm()),
        Unit::In => (101.6, texts.test_line_in()),
    };
    let start = Point::new(MARGIN_MM, MARGIN_MM + HEADER_HEIGHT_MM - 14.0);
    let (end, tick) = (start + Vector::new(length_mm, 0.0), Vector::new(0.0, 2.5));
    for line in [[start, end], [start - tick, start + tick], [end - tick, end + tick]] {
        shared.draw_polyline(LayerKind::Guide, &line, LineStyle::Solid);
    }
    let above = Point::new(start.x + length_mm / 2.0, start.y - 1.5);
    shared.draw_fitted_text(above, Centred, label, [NOTE_FONT_MM, length_mm]);
    let (middle, width) = (f64::midpoint(MARGIN_MM, right), right - MARGIN_MM);
    let between_panels = MARGIN_MM + max_width(&draft.back) + PANEL_GAP_MM / 2.0;
    let length = wording.length_with_unit(draft.back.edge_length(Role::Side));
    let side_seam_text = printed!(texts.side_seam_length(), length);
    for (line, text) in [(1.0, title.as_str()), (2.4, texts.draft_caution())] {
        let at = Point::new(middle, MARGIN_MM + line * NOTE_FONT_MM);
        shared.draw_fitted_text(at, Centred, text, [NOTE_FONT_MM, width]);
    }
    let middle_of_seam = Point::new(between_panels + NOTE_FONT_MM * 0.4, f64::midpoint(top, bottom));
    shared.draw_text(middle_of_seam, CentredUpwards, &side_seam_text, NOTE_FONT_MM);
    let size_mm = [right + MARGIN_MM, bottom + 2.0 * NOTE_FONT_MM + MARGIN_MM];
    let parts = vec![draw_panel(&draft.back, MARGIN_MM), draw_panel(&draft.front, right), shared];
    let (notes, key) = (vec![texts.draft_caution().to_string()], Vec::new());
    Drawing { title, notes, key, size_mm, parts, texts: texts.clone() }
}

fn draw_panel_outline(placed: &PlacedPanel, part: &mut Part) {
    let edges = &placed.panel.edges;
    // A dart is folded, not cut out, so the tinted cloth spans the dart mouth.
    let span = |edges: &[Edge]| match edges {
        [inner, .., outer] => Edge { path: Path::Line([inner.path.start(), outer.path.end()]), ..*inner },
        edges => edges[0],
    };
    let cloth: Vec<Edge> = edges.chunk_by(|a, b| [a.role, b.role] == [Role::Dart; 2]).map(span).collect();
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
fn draw_panel_texts(placed: &PlacedPanel, part: &mut Part, wording: Wording, grain_x: f64) {
    let PlacedPanel { panel, hip_depth, length: hem, .. } = *placed;
    let (texts, is_back) = (wording.texts, panel.half == Half::Back);
    let side_change = if panel.width < panel.waist_width { texts.side_let_out() } else { texts.side_taken_in() };
    let centre_change = if panel.waist_lowering < 0.0 { texts.centre_higher() } else { texts.centre_lower() };
    let mut lines = vec![
        if is_back { texts.draft_back().to_string() } else { texts.cut_on_fold().to_string() },
        printed!(texts.hip_width(), length = wording.length_with_unit(panel.width)),
        printed!(texts.waist_width(), length = wording.length_with_unit(panel.edge_length(Role::Waist))),
        printed!(side_change, length = wording.length_with_unit((panel.width - panel.waist_width).abs())),
        printed!(centre_change, length = wording.length_with_unit(panel.waist_lowering.abs())),
    ];
    let inset = panel.centre_waist_point().x;
    lines.extend((inset > 0.0).then(|| printed!(texts.centre_back_inset(), length = wording.length_with_unit(inset))));
    placed.draw_panel_text_block(part, texts, &lines);
    let hip_label = printed!(texts.hip_line_depth(), length = wording.length_with_unit(hip_depth));
    placed.draw_horizontal_text(part, panel.width * 0.62, hip_depth - 0.2, &hip_label, LABEL_FONT_MM);
    let hem_label = printed!(texts.hem_length(), length = wording.length_with_unit(panel.edge_length(Role::Hem)));
    placed.draw_horizontal_text(part, panel.width * 0.5, hem + 0.9, &hem_label, NOTE_FONT_MM);
    let length = wording.length_with_unit(panel.edge_length(Role::Centre));
    let (label_x, centre) =
        if is_back { (1.1, texts.centre_back_length()) } else { (0.6, texts.centre_front_length()) };
    placed.draw_upward_text(part, label_x, &printed!(centre, length), NOTE_FONT_MM);
    placed.draw_upward_text(part, grain_x - 0.15 * placed.towards_side, texts.grain_line(), LABEL_FONT_MM);
    for dart in &panel.darts {
        let [width, length, distance] = [dart.intake, dart.length, dart.centre].map(|cm| wording.length(cm));
        let (size, distance) = (printed!(texts.dart_size(), width, length), printed!(texts.dart_distance(), distance));
        placed.draw_horizontal_text(part, dart.centre, dart.tip.y + 0.7, &size, LABEL_FONT_MM);
        placed.draw_horizontal_text(part, dart.centre, dart.tip.y + 1.3, &distance, LABEL_FONT_MM);
    }
}
