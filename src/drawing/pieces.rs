//! Pieces of a pattern at true scale, ready to cut: back on the left, front on the right.
//!
//! For whoever cuts and sews: solid lines are cut, dashed lines stitched, dash-dot lines folded, except labelled
//! guide lines.

use super::header::NOTE_BEFORE_CUTTING;
use super::lay::cloth_to_buy_by_width_note;
use super::panel_layout::{
    MM_PER_CM, NOTE_LETTER_MM, PlacedPanel, cutting_instruction, draft_title, included_allowances_text,
    labelled_length_text, piece_number_text, press_instruction,
};
use super::waist_pieces::{add_waist_pieces, draw_cut_and_seam, waist_finish_note};
use super::{Drawing, LayerKind, LineStyle, Mark, Part, TextAlign};
use crate::draft::{Edge, Role};
use crate::geometry::{Path, Point, Vector};
use crate::pattern::{NotchPlace, Pattern, Piece, PieceName, WaistFinishKind};
use crate::ruler::Ruler;
use crate::text::is_blank;

// Margin around the pieces, and gap between back and front, in millimetres.
const MARGIN_MM: f64 = 5.0;
const PIECE_GAP_MM: f64 = 10.0;

/// Last notes on a pattern: what each kind of line means, and what to do before cutting.
const CLOSING_PATTERN_NOTES: [&str; 2] = [
    "Solid: cut. Dashed: stitch. Dash-dot: fold. Do not cut or stitch the hip line, the grain line or the zip mark.",
    NOTE_BEFORE_CUTTING,
];

/// Draws the pieces of a pattern at true scale, with lengths printed by `ruler`. Test squares and notes are not drawn:
/// [`with_header`](super::with_header) or [`paginate`](super::paginate) adds these; for the cloth to buy, see
/// [`with_notes_on_buying`].
///
/// ```
/// use kirtle::{Body, Cutting, Ease, Rules, Unit};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
/// let drawing = kirtle::drawing::draw_pattern(&pattern, Unit::Cm);
/// assert_eq!(drawing.parts[0].name, "back");
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[must_use]
pub fn draw_pattern(pattern: &Pattern, ruler: impl Into<Ruler>) -> Drawing {
    let ruler = ruler.into();
    let [back, front] = pattern.pieces().map(Piece::bounds);
    let top = MARGIN_MM - back[0].y.min(front[0].y) * MM_PER_CM;
    let left = MARGIN_MM - back[0].x * MM_PER_CM;
    let right = left + (back[1].x + front[1].x) * MM_PER_CM + PIECE_GAP_MM;
    let bottom = top + back[1].y.max(front[1].y) * MM_PER_CM;
    let name = pattern.label(ruler);
    let start = if is_blank(&pattern.cutting().name) { String::new() } else { format!("{name}. ") };
    let origins = [left, right].map(|x| Point::new(x, top));
    let parts = [0, 1].map(|k| {
        let piece = pattern.pieces()[k];
        let placed = PlacedPanel::new(pattern.draft(), &piece.panel, origins[k]);
        let mut part = Part::new(piece.panel.half.name(), &name, piece.copies());
        draw_pattern_piece_lines(&placed, piece, &mut part);
        draw_pattern_piece_texts(&placed, pattern, k, ruler, &mut part);
        part
    });
    let notes = [measurements_and_pieces_note(pattern, ruler), included_allowances_text(pattern, ruler)];
    let waist = labelled_length_text(ruler, "a waist of", pattern.draft().sewn_waist());
    let finish = waist_finish_note(pattern, &waist, ruler);
    let notes = notes.into_iter().chain(finish).chain(CLOSING_PATTERN_NOTES.map(str::to_owned));
    let mut drawing = Drawing {
        title: format!("{start}{}", draft_title(pattern.draft(), ruler)),
        notes: notes.collect(),
        key: Vec::new(),
        size_mm: [right + MARGIN_MM, bottom + MARGIN_MM],
        parts: parts.to_vec(),
    };
    add_waist_pieces(&mut drawing, pattern, origins, MARGIN_MM, &name);
    drawing
}

/// Returns the drawing of a pattern with two more notes, on what to buy: cloth at two usual widths, and notions. The
/// note on cloth computes two lays, which takes about fifty times as long as the drawing.
///
/// ```
/// use kirtle::drawing::{draw_pattern, with_notes_on_buying};
/// use kirtle::{Body, Cutting, Ease, Rules, Unit};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
/// let drawing = with_notes_on_buying(draw_pattern(&pattern, Unit::Cm), &pattern, Unit::Cm);
/// assert!(drawing.notes.iter().any(|note| note.starts_with("Cloth to buy: ")));
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[must_use]
pub fn with_notes_on_buying(mut drawing: Drawing, pattern: &Pattern, ruler: impl Into<Ruler>) -> Drawing {
    let at = drawing.notes.len().saturating_sub(CLOSING_PATTERN_NOTES.len());
    let ruler = ruler.into();
    drawing
        .notes
        .splice(at..at, cloth_to_buy_by_width_note(pattern, ruler).into_iter().chain([notions_note(pattern, ruler)]));
    drawing
}

/// Returns the note on a pattern's measurements: finished waist and hip, each with body and ease, length of the zip
/// opening, and the names of the pieces.
fn measurements_and_pieces_note(pattern: &Pattern, ruler: Ruler) -> String {
    let draft = pattern.draft();
    let (body, ease) = (draft.body(), draft.ease());
    let hip = 2.0 * draft.panels().iter().map(|panel| panel.width).sum::<f64>();
    let lengths = [draft.sewn_waist(), body.waist, ease.waist, hip, body.hip, ease.hip, pattern.opening()];
    let [waist, body_waist, waist_ease, hip, body_hip, hip_ease, zip] = lengths.map(|cm| ruler.format_length(cm));
    let names =
        pattern.pieces().map(Piece::name).into_iter().chain(pattern.waist_pieces.iter().map(|piece| piece.name));
    let names: Vec<String> = names.map(PieceName::name_in_words).collect();
    let unit = ruler.unit_name();
    format!(
        "Finished waist {waist} {unit} (body {body_waist} + ease {waist_ease}), finished hip {hip} {unit} (body {body_hip} + \
         ease {hip_ease}), zip opening {zip} {unit}. {} pieces: {}.",
        names.len(),
        names.join(", ")
    )
}

/// Returns the note on what to buy besides cloth: thread, zip, and what the finish of the waist needs (common
/// practice).
fn notions_note(pattern: &Pattern, ruler: Ruler) -> String {
    let zip = labelled_length_text(ruler, "a zip of", pattern.opening());
    let for_waist_finish = match pattern.cutting().finish.map(|finish| finish.kind) {
        Some(WaistFinishKind::Waistband) => ", interfacing, a button or a hook for the waistband",
        Some(WaistFinishKind::Facing) => ", interfacing, a hook and eye",
        None => "",
    };
    format!("Notions: thread, {zip}{for_waist_finish}.")
}

fn draw_pattern_piece_lines(placed: &PlacedPanel, piece: &Piece, part: &mut Part) {
    // Where there is a vent, the centre seam is drawn above it only.
    let has_seam = |edge: &&Edge| piece.vent.is_none() || edge.role != Role::Centre;
    let seam: Vec<Edge> = piece.panel.edges.iter().filter(has_seam).copied().collect();
    draw_cut_and_seam(placed, piece.name(), [&piece.cut, &seam], part);
    if let Some(vent) = &piece.vent {
        placed.draw_polyline(part, LayerKind::Fold, &vent.fold, LineStyle::DashDot);
        let centre = piece.panel.paths(Role::Centre).map(Path::end);
        let seam_above: Vec<Point> = std::iter::once(vent.fold[0]).chain(centre).collect();
        let hem = [vent.fold[1], Point::new(vent.stitching[1].x, vent.fold[1].y)];
        for line in [&vent.stitching[..], &seam_above, &hem] {
            placed.draw_polyline(part, LayerKind::Seam, line, LineStyle::Dashed);
        }
    }
    for dart in &piece.panel.darts {
        let centre_line = [Point::new(dart.centre, dart.inner.y), dart.tip];
        placed.draw_polyline(part, LayerKind::Dart, &centre_line, LineStyle::DashDot);
        part.add_mark(LayerKind::Dart, Mark::Point { at: placed.to_paper_mm(dart.tip) });
    }
    piece.notches.iter().for_each(|notch| placed.draw_notch(part, notch));
    placed.draw_horizontal_line(part, placed.hip_depth, LineStyle::Dashed);
    placed.draw_grain_line(part, piece.grain);
}

/// Draws the texts on the back (`k` 0) or the front (`k` 1), and the mark where the zip opening ends.
fn draw_pattern_piece_texts(placed: &PlacedPanel, pattern: &Pattern, k: usize, ruler: Ruler, part: &mut Part) {
    let (piece, panel) = (pattern.pieces()[k], placed.panel);
    let instruction = cutting_instruction(piece.name()).to_owned();
    let mut lines = vec![pattern.label(ruler), instruction, piece_number_text(pattern, k)];
    lines.extend(press_instruction(pattern, panel));
    placed.draw_panel_text_block(part, &lines);
    placed.draw_horizontal_text(part, panel.width * 0.62, placed.hip_depth - 0.2, "hip line", NOTE_LETTER_MM * 0.8);
    placed.draw_upward_text(part, piece.grain[0].x - 0.15 * placed.towards_side, "grain line", NOTE_LETTER_MM * 0.8);
    let centre = if piece.on_fold() { "centre front: place on the fold" } else { "centre back: seam" };
    placed.draw_upward_text(part, if piece.on_fold() { 0.6 } else { 1.1 }, centre, NOTE_LETTER_MM * 0.8);
    if let Some(vent) = &piece.vent {
        let [top, edge] = vent.stitching;
        let middle = Point::new(f64::midpoint(top.x, edge.x), f64::midpoint(top.y, vent.fold[1].y));
        let height = labelled_length_text(ruler, "vent", vent.fold[1].y - top.y);
        let words = format!("{height}: fold at the centre back, neaten the edge");
        let sizes = [NOTE_LETTER_MM * 0.7, (vent.fold[1].y - top.y) * 0.8 * MM_PER_CM];
        part.draw_fitted_text(placed.to_paper_mm(middle), TextAlign::CentredUpwards, &words, sizes);
    }
    for notch in piece.notches.iter().filter(|notch| notch.place == NotchPlace::OpeningEnd) {
        let label = labelled_length_text(ruler, "zip opening ends here,", notch.along);
        // The label stands above its mark, or below where the hip line would cross the letters.
        let y = notch.seam.y;
        let above = !(y - 0.7..y + 0.1).contains(&placed.hip_depth);
        let between = [notch.seam.x, piece.grain[0].x];
        placed.draw_zip_end_label(part, &label, between, if above { y - 0.15 } else { y + 0.55 });
        let bar = [notch.seam, notch.seam + Vector::new(1.0, 0.0)];
        placed.draw_polyline(part, LayerKind::Guide, &bar, LineStyle::Solid);
    }
}
