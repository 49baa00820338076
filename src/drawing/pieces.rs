//! Pieces of a pattern at true scale, ready to cut: back on the left, front on the right.
//!
//! Solid lines are cut, dashed lines stitched, dash-dot lines folded, except labelled guide lines.

use super::lay::cloth_to_buy_note;
use super::panel_layout::{
    LABEL_FONT_MM, MM_PER_CM, PlacedPanel, cutting_instruction, draft_title, hip_to_lengthening_line_cm,
    included_allowances_text, piece_number_text, press_instruction,
};
use super::waist_pieces::{add_waist_pieces, draw_cut_and_seam, waist_finish_note};
use super::{Drawing, LayerKind, LineStyle, Mark, Part};
use crate::draft::{Edge, Role};
use crate::findings::printed_cautions;
use crate::geometry::{Path, Point, Vector};
use crate::lesson::other_rules_in_words;
use crate::pattern::{NotchPlace, Pattern, Piece};
use crate::ruler::Ruler;
use crate::text::title_with_name;
use crate::wording::{Wording, printed};

// Margin around the pieces, and gap between back and front, in millimetres.
const MARGIN_MM: f64 = 5.0;
const PIECE_GAP_MM: f64 = 10.0;

/// Number of the last notes on a pattern: what each kind of line means, and what to do before cutting.
const CLOSING_NOTE_COUNT: usize = 2;

/// Draws the pieces of a pattern at true scale; `wording` prints lengths and texts. Test squares and notes are not
/// drawn: [`with_header`](super::with_header) or [`paginate`](super::paginate) adds these; for the cloth to buy, see
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
pub fn draw_pattern<'t>(pattern: &Pattern, wording: impl Into<Wording<'t>>) -> Drawing {
    let wording = wording.into();
    let [back, front] = pattern.pieces().map(Piece::bounds);
    let top = MARGIN_MM - back[0].y.min(front[0].y) * MM_PER_CM;
    let left = MARGIN_MM - back[0].x * MM_PER_CM;
    let front_x = left + (back[1].x + front[1].x) * MM_PER_CM + PIECE_GAP_MM;
    let right = front_x - front[0].x * MM_PER_CM;
    let bottom = top + back[1].y.max(front[1].y) * MM_PER_CM;
    let name = pattern.label(wording);
    let origins = [left, front_x].map(|x| Point::new(x, top));
    let parts = [0, 1].map(|k| {
        let piece = pattern.pieces()[k];
        let placed = PlacedPanel::of_pattern(pattern, &piece.panel, origins[k]);
        let mut part = Part::new(piece.panel.half.name(), &name, piece.copies());
        draw_pattern_piece_lines(&placed, piece, &mut part);
        draw_pattern_piece_texts(&placed, pattern, k, wording, &mut part);
        part
    });
    let notes = [measurements_and_pieces_note(pattern, wording), included_allowances_text(pattern, wording)];
    let finish = waist_finish_note(pattern, Some(pattern.draft().sewn_waist()), wording);
    let texts = wording.texts;
    let closing: [_; CLOSING_NOTE_COUNT] = [texts.line_styles(), texts.print_and_measure()].map(ToString::to_string);
    let cautions = printed_cautions(pattern.cautions_in_unit(wording.ruler.unit()), texts);
    let cautions = Some(cautions.collect::<Vec<_>>().join(" ")).filter(|text| !text.is_empty());
    let (rules, vent) = (other_rules_in_words(pattern.draft().rules(), wording), vent_note(pattern, wording));
    let own = pattern.cutting().notes.iter().cloned();
    let notes = own.chain(notes).chain(rules).chain(vent).chain(finish).chain(cautions).chain(closing).collect();
    let title = title_with_name(&pattern.cutting().name, &draft_title(pattern.draft(), wording));
    let (key, size_mm) = (Vec::new(), [right + MARGIN_MM, bottom + MARGIN_MM]);
    let mut drawing = Drawing { title, notes, key, size_mm, parts: parts.to_vec(), texts: texts.clone() };
    add_waist_pieces(&mut drawing, pattern, origins, MARGIN_MM, &name);
    drawing
}

/// Returns the drawing of a pattern with two more notes, in its language, on what to buy: cloth, of the width in
/// [`Pattern::cloth`] or of two usual widths, and notions. The note on cloth computes up to four lays, which takes much
/// longer than the drawing.
///
/// ```
/// use kirtle::drawing::{draw_pattern, with_notes_on_buying};
/// use kirtle::{Body, Cutting, Ease, Rules, Unit};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
/// let drawing = with_notes_on_buying(draw_pattern(&pattern, Unit::Cm), &pattern, Unit::Cm);
/// assert!(drawing.notes.iter().any(|note| note.starts_with("Cloth to buy")));
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn with_notes_on_buying(mut drawing: Drawing, pattern: &Pattern, ruler: impl Into<Ruler>) -> Drawing {
    let at = drawing.notes.len().saturating_sub(CLOSING_NOTE_COUNT);
    let wording = Wording { ruler: ruler.into(), texts: &drawing.texts };
    let notes = cloth_to_buy_note(pattern, wording).into_iter().chain([notions_note(pattern, wording)]);
    drawing.notes.splice(at..at, notes);
    drawing
}

/// Returns the note on what to buy besides cloth, by common practice. Zips are sold by whole centimetres and inches.
pub(super) fn notions_note(pattern: &Pattern, wording: Wording) -> String {
    let key = pattern.cutting().finish.map_or("notions".to_owned(), |finish| format!("notions_for_{}", finish.kind));
    let cm_per_unit = wording.ruler.unit().length_from_cm(1.0).recip();
    let zip = (pattern.opening() / cm_per_unit).round() * cm_per_unit;
    printed!(wording.texts.template(&key), zip = wording.with_unit(wording.input_length(zip)))
}

/// Returns the note on the vent of a pattern, if it has one.
pub(super) fn vent_note(pattern: &Pattern, wording: Wording) -> Option<String> {
    let vent = pattern.cutting().vent?;
    Some(printed!(wording.texts.nest_vent(), height = wording.length_with_unit(vent.vent)))
}

/// Returns the note on a pattern's measurements: finished waist and hip, length of the zip opening, and the names of the
/// pieces.
fn measurements_and_pieces_note(pattern: &Pattern, wording: Wording) -> String {
    let (draft, texts) = (pattern.draft(), wording.texts);
    let hip = 2.0 * draft.panels().iter().map(|panel| panel.width).sum::<f64>();
    let [waist, hip, zip] = [draft.sewn_waist(), hip, pattern.opening()].map(|cm| wording.length_with_unit(cm));
    let names =
        pattern.pieces().map(Piece::name).into_iter().chain(pattern.waist_pieces.iter().map(|piece| piece.name));
    let names: Vec<&str> = names.map(|name| texts.template(name.name())).collect();
    let (count, pieces) = (names.len(), names.join(", "));
    printed!(texts.finished_girths(), waist, hip, zip, count, pieces)
}

fn draw_pattern_piece_lines(placed: &PlacedPanel, piece: &Piece, part: &mut Part) {
    // Where there is a vent, the centre seam is drawn above it only.
    let has_seam = |edge: &Edge| piece.vent.is_none() || edge.role != Role::Centre;
    let seam: Vec<Edge> = piece.seam_line().into_iter().filter(has_seam).collect();
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
    for centre_line in placed.dart_centre_lines() {
        placed.draw_polyline(part, LayerKind::Dart, &centre_line, LineStyle::DashDot);
        part.add_mark(LayerKind::Dart, Mark::Point { at: placed.to_paper_mm(centre_line[1]) });
    }
    placed.draw_centre_line_if_whole(part, &piece.cut);
    piece.notches.iter().for_each(|notch| placed.draw_notch(part, notch));
    placed.draw_horizontal_line(part, placed.hip_depth, LineStyle::Dashed);
    placed.draw_grain_line(part, piece.grain);
}

/// Draws the texts on the back (`k` 0) or the front (`k` 1), and the mark where the zip opening ends.
fn draw_pattern_piece_texts(placed: &PlacedPanel, pattern: &Pattern, k: usize, wording: Wording, part: &mut Part) {
    let (piece, panel, texts) = (pattern.pieces()[k], placed.panel, wording.texts);
    // The texts end above the line at which the piece is lengthened.
    let length = placed.hip_depth + hip_to_lengthening_line_cm(placed.length - placed.hip_depth, pattern);
    let placed = &PlacedPanel { length, ..*placed };
    placed.draw_lengthening_line(part, length);
    placed.draw_horizontal_text(part, panel.width * 0.62, length - 0.2, texts.lengthen_here(), LABEL_FONT_MM);
    let instruction = cutting_instruction(texts, piece.name(), piece.on_fold()).to_owned();
    let mut lines = vec![pattern.label(wording), instruction, piece_number_text(texts, pattern, k)];
    lines.extend(press_instruction(texts, pattern, panel));
    placed.draw_panel_text_block(part, texts, &lines);
    placed.draw_horizontal_text(part, panel.width * 0.62, placed.hip_depth - 0.2, texts.hip_line(), LABEL_FONT_MM);
    placed.draw_upward_text(part, piece.grain[0].x - 0.15 * placed.towards_side, texts.grain_line(), LABEL_FONT_MM);
    let (x, centre) = match (k, piece.on_fold()) {
        (0, _) => (1.1, texts.centre_back_seam()),
        (_, true) => (0.6, texts.centre_front_fold()),
        (_, false) => (0.6, texts.centre_front()),
    };
    placed.draw_upward_text(part, x, centre, LABEL_FONT_MM);
    if let Some(vent) = &piece.vent {
        placed.draw_vent_label(part, vent, wording);
    }
    for notch in piece.notches.iter().filter(|notch| notch.place == NotchPlace::OpeningEnd) {
        let label = printed!(texts.zip_end(), length = wording.length_with_unit(notch.along));
        // The label stands above its mark, or below where the hip line would cross the letters.
        let y = notch.seam.y;
        let above = !(y - 0.7..y + 0.1).contains(&placed.hip_depth);
        let between = [notch.seam.x, piece.grain[0].x];
        placed.draw_zip_end_label(part, &label, between, if above { y - 0.15 } else { y + 0.55 });
        let bar = [notch.seam, notch.seam + Vector::new(1.0, 0.0)];
        placed.draw_polyline(part, LayerKind::Guide, &bar, LineStyle::Solid);
    }
}
