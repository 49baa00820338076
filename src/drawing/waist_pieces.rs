//! Drawing, at true scale, of the pieces that finish the waist: facings below their panels, or the waistband on the
//! right of back and front.
//!
//! A waistband shows where each seam of the skirt meets it, a facing where the darts do.

use super::TextAlign::{Centred, CentredUpwards};
use super::panel_layout::{
    LABEL_FONT_MM, MM_PER_CM, NOTE_FONT_MM, PANEL_NAME_FONT_MM, PlacedPanel, SMALL_FONT_MM, cutting_instruction,
    piece_number_text,
};
use super::{Drawing, LayerKind, LineStyle, Part};
use crate::draft::{Edge, Role};
use crate::geometry::{Path, Point, Vector};
use crate::pattern::{NotchPlace, Pattern, PieceName, WaistFinishKind, WaistPiece};
use crate::wording::{Texts, Wording, printed};

/// Adds the pieces that finish the waist of a pattern to the drawing of back and front, which has margins of `margin`.
/// `origins` are the positions of the origins of back and front on the paper, `name` is the label of the pattern. All
/// lengths are in millimetres.
pub(super) fn add_waist_pieces(drawing: &mut Drawing, pattern: &Pattern, origins: [Point; 2], margin: f64, name: &str) {
    let [width, height] = drawing.size_mm;
    for (k, piece) in pattern.waist_pieces.iter().enumerate() {
        let [min, max] = piece.bounds();
        let (x, top) = match piece.name {
            PieceName::BackFacing => (origins[0].x, height),
            PieceName::FrontFacing => (origins[1].x, height),
            _ => (width + margin - min.x * MM_PER_CM, 0.0),
        };
        let origin = Point::new(x, top + margin - min.y * MM_PER_CM);
        let placed = placed_waist_piece(pattern, piece, origin);
        let mut part = Part::new(&part_name_of_piece(piece.name), name, piece.name.copies());
        draw_cut_and_seam(&placed, piece.name, [&piece.cut, &piece.seam], &mut part);
        if let Some(fold) = piece.fold {
            placed.draw_polyline(&mut part, LayerKind::Fold, &fold, LineStyle::DashDot);
        }
        placed.draw_centre_line_if_whole(&mut part, &piece.cut);
        piece.notches.iter().for_each(|notch| placed.draw_notch(&mut part, notch));
        placed.draw_grain_line(&mut part, piece.grain);
        draw_waist_piece_texts(&placed, (pattern, k), &drawing.texts, vec![name.to_owned()], &mut part);
        let corner = origin + max.coords * MM_PER_CM;
        let right = if placed.towards_side > 0.0 { corner.x } else { origin.x - min.x * MM_PER_CM };
        drawing.size_mm = [drawing.size_mm[0].max(right + margin), drawing.size_mm[1].max(corner.y + margin)];
        drawing.parts.push(part);
    }
}

/// Places the origin of a piece that finishes the waist at a point of the paper. The side seam end of a facing lies on
/// the same hand, right or left, as the side seam of its panel; a waistband is placed like a facing of the back.
pub(super) fn placed_waist_piece<'p>(pattern: &'p Pattern, piece: &WaistPiece, origin: Point) -> PlacedPanel<'p> {
    let panel = if piece.name == PieceName::FrontFacing { &pattern.front.panel } else { &pattern.back.panel };
    PlacedPanel::of_pattern(pattern, panel, origin)
}

/// Returns the name of the part that draws a piece, such as `back-facing`.
pub(super) fn part_name_of_piece(piece: PieceName) -> String {
    piece.name().replace('_', "-")
}

/// Draws the texts of the piece at index `k`, from 0, among those that finish the waist: its name, the lines of text
/// `lines`, and how it is cut and sewn.
pub(super) fn draw_waist_piece_texts(
    placed: &PlacedPanel,
    (pattern, k): (&Pattern, usize),
    texts: &Texts,
    mut lines: Vec<String>,
    part: &mut Part,
) {
    let piece = &pattern.waist_pieces[k];
    let number = piece_number_text(texts, pattern, k + 2);
    lines.extend(
        [cutting_instruction(texts, piece.name, piece.on_fold()), texts.interfacing(), &number].map(str::to_owned),
    );
    if piece.name == PieceName::Waistband {
        draw_waistband_texts(placed, piece, texts, lines, part);
    } else {
        draw_facing_texts(placed, piece, texts, &lines, part);
    }
}

/// Draws the cloth of a piece, its cut line, any fold at the centre, and its seam line with the dart legs.
pub(super) fn draw_cut_and_seam(placed: &PlacedPanel, piece: PieceName, [cut, seam]: [&[Edge]; 2], part: &mut Part) {
    // The centre of a piece on the fold is not cut.
    let on_fold = piece.is_half_on_fold(cut);
    let is_fold = |role: Role| role == Role::Centre && on_fold;
    placed.draw_edges(part, LayerKind::Cloth, cut, LineStyle::Filled);
    let (fold, cut): (Vec<Edge>, Vec<Edge>) = cut.iter().partition(|edge| is_fold(edge.role));
    if on_fold {
        placed.draw_edges(part, LayerKind::Fold, &fold, LineStyle::DashDot);
    }
    placed.draw_edges(part, LayerKind::Cut, &cut, LineStyle::Solid);
    let line_group = |role: Role| (role == Role::Dart, is_fold(role));
    let groups = seam.chunk_by(|a, b| line_group(a.role) == line_group(b.role));
    for edges in groups.filter(|edges| !is_fold(edges[0].role)) {
        let kind = if edges[0].role == Role::Dart { LayerKind::Dart } else { LayerKind::Seam };
        placed.draw_edges(part, kind, edges, LineStyle::Dashed);
    }
}

/// Draws the texts of a waistband: its name along the band, and at each notch the name of the seam, or the word "dart",
/// that meets the band there.
fn draw_waistband_texts(placed: &PlacedPanel, band: &WaistPiece, texts: &Texts, lines: Vec<String>, part: &mut Part) {
    let Some([_, end]) = band.fold else { return };
    let (width, waist) = (end.x, band.notches.last().map_or(end.y, |notch| notch.along));
    let mut text = |at: [f64; 2], words: &str, max_size: f64, length: f64, align| {
        let sizes = [max_size.min(width * 0.2 * MM_PER_CM), length * MM_PER_CM];
        part.draw_fitted_text(placed.to_paper_mm(at.into()), align, words, sizes);
    };
    let words =
        std::iter::once(texts.piece_name_in_capitals(band.name.name())).chain(lines).collect::<Vec<_>>().join(", ");
    // Between the centre front and a side seam no line crosses the words.
    text([width * 1.75, waist * 0.615], &words, PANEL_NAME_FONT_MM * 0.6, waist * 0.22, CentredUpwards);
    text([width * 0.95, waist * 0.4], texts.fold(), NOTE_FONT_MM, waist * 0.05, CentredUpwards);
    let gaps = band.notches.windows(2).map(|pair| [pair[0].along, pair[1].along]);
    let [from, to] = gaps.max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0]))).unwrap_or_default();
    let middle = f64::midpoint(from, to);
    text([width * 0.25, middle], texts.sew_to_waist(), LABEL_FONT_MM, (to - from) * 0.8, CentredUpwards);
    let below_waist = [width * 0.5, f64::midpoint(waist, end.y) + 0.15];
    text(below_waist, texts.underlap(), SMALL_FONT_MM, width * 0.9, Centred);
    for notch in &band.notches {
        let is_dart = notch.place == NotchPlace::DartLeg;
        let words = if is_dart { texts.dart() } else { texts.template(notch.place.name()) };
        let x = width * if is_dart { 0.25 } else { 0.5 };
        // The label of the first end stands below its line.
        let y = if notch.along > 0.0 { notch.seam.y - 0.1 } else { notch.seam.y + 0.5 };
        text([x, y], words, SMALL_FONT_MM, x * 1.8, Centred);
    }
    for notch in band.notches.iter().filter(|notch| notch.place != NotchPlace::DartLeg) {
        let across = [0.0, 2.0 * width].map(|x| Point::new(x, notch.seam.y));
        placed.draw_polyline(part, LayerKind::Guide, &across, LineStyle::Dotted);
    }
}

/// Draws the texts of a facing, in the middle of its waist edge and along its centre line.
fn draw_facing_texts(placed: &PlacedPanel, facing: &WaistPiece, texts: &Texts, lines: &[String], part: &mut Part) {
    let seam = facing.seam_of_half();
    let waist: Vec<&Path> = seam.iter().filter(|e| e.role == Role::Waist).map(|edge| &edge.path).collect();
    let depth = seam.iter().filter(|e| e.role == Role::Centre).map(|edge| edge.path.length()).sum::<f64>();
    let path = waist[waist.len() / 2];
    let at = if waist.len() % 2 == 1 { path.point_at(0.5) } else { path.start() };
    let width = facing.bounds()[1].x;
    let line_height = depth / (lines.len() as f64 + 4.0);
    let mut line_of_text = |line: f64, words: &str, size: f64| {
        let base_line = placed.to_paper_mm(at + Vector::new(0.0, line_height * line));
        part.draw_fitted_text(base_line, Centred, words, [size * MM_PER_CM, width * 0.45 * MM_PER_CM]);
    };
    line_of_text(2.6, &texts.piece_name_in_capitals(facing.name.name()), line_height);
    for (k, line) in lines.iter().enumerate() {
        line_of_text(3.6 + k as f64, line, line_height * 0.7);
    }
    let centre = match (facing.name, facing.on_fold()) {
        (_, true) => texts.place_on_fold(),
        (PieceName::FrontFacing, false) => texts.centre_front(),
        _ => texts.centre_back(),
    };
    let start = waist[0].start();
    let middle = start + Vector::new(0.5 - 0.2 * (placed.towards_side - 1.0) / 2.0, depth / 2.0);
    let sizes = [SMALL_FONT_MM, depth * 0.9 * MM_PER_CM];
    part.draw_fitted_text(placed.to_paper_mm(middle), CentredUpwards, centre, sizes);
}

/// Returns the note on the pieces that finish the waist, or `None` for a pattern without them. `waist` is the waist
/// that a waistband fits, in centimetres; `None` stands for the waists of all sizes of a nest.
pub(super) fn waist_finish_note(pattern: &Pattern, waist: Option<f64>, wording: Wording) -> Option<String> {
    let (finish, texts) = (pattern.cutting().finish?, wording.texts);
    let lengths = finish.lengths.into_array().map(|length| wording.with_unit(wording.input_length(length)));
    let [width, underlap, depth] = lengths;
    Some(match (finish.kind, waist) {
        (WaistFinishKind::Facing, _) => printed!(texts.facing_note(), depth),
        (WaistFinishKind::Waistband, Some(waist)) => {
            printed!(texts.waistband_note(), width, waist = wording.length_with_unit(waist), underlap)
        }
        (WaistFinishKind::Waistband, None) => printed!(texts.nest_waistband_note(), width, underlap),
    })
}
