//! Drawing, at true scale, of the pieces that finish the waist: facings below their panels, or the waistband on the
//! right of back and front.
//!
//! For whoever cuts and sews: a waistband shows where each seam of the skirt meets it, a facing where the darts do.

use super::panel_layout::{
    MM_PER_CM, NOTE_LETTER_MM, PANEL_NAME_LETTER_MM, PlacedPanel, centred_text_mark, cutting_instruction,
    letter_size_to_fit, piece_number_text,
};
use super::{LayerKind, LineStyle, Part};
use crate::draft::Role;
use crate::geometry::{Path, Point, Vector};
use crate::pattern::{NotchPlace, Pattern, PieceName, WaistFinishKind, WaistPiece};
use crate::ruler::Ruler;

/// Line of text on a piece that is also cut of interfacing, a stiffening cloth.
const INTERFACING_INSTRUCTION: &str = "also of interfacing";

/// Draws the pieces that finish the waist of a pattern; returns a part for each piece, and width and height of the
/// whole drawing. `origins` are the positions of the origins of back and front on the paper; `size` is the width and
/// height of the drawing of back and front, with margins of `margin`. All lengths are in millimetres.
pub(super) fn draw_waist_pieces(
    pattern: &Pattern,
    origins: [Point; 2],
    mut size: [f64; 2],
    margin: f64,
    ruler: Ruler,
) -> (Vec<Part>, [f64; 2]) {
    let (name, [width, height]) = (pattern.label(ruler), size);
    let draw = |(k, piece): (usize, &WaistPiece)| {
        let [min, max] = piece.bounds();
        let (x, top) = match piece.name {
            PieceName::BackFacing => (origins[0].x, height),
            PieceName::FrontFacing => (origins[1].x, height),
            _ => (width + margin - min.x * MM_PER_CM, 0.0),
        };
        let origin = Point::new(x, top + margin - min.y * MM_PER_CM);
        let placed = place_waist_piece(pattern, piece, origin);
        let mut part = Part::new(&part_name(piece.name), &name, piece.name.copies());
        draw_waist_piece_lines(&placed, piece, &mut part);
        draw_waist_piece_texts(&placed, pattern, k, vec![name.clone()], &mut part);
        let corner = origin + max.coords * MM_PER_CM;
        size = [
            size[0].max(if placed.towards_side > 0.0 { corner.x + margin } else { 0.0 }),
            size[1].max(corner.y + margin),
        ];
        part
    };
    let parts = pattern.waist_pieces.iter().enumerate().map(draw).collect();
    (parts, size)
}

/// Places the origin of a piece that finishes the waist at a point of the paper; its side points the same way as that
/// of its panel, a waistband's as the back's.
pub(super) fn place_waist_piece<'p>(pattern: &'p Pattern, piece: &WaistPiece, origin: Point) -> PlacedPanel<'p> {
    let panel = if piece.name == PieceName::FrontFacing { &pattern.front.panel } else { &pattern.back.panel };
    PlacedPanel::new(pattern.draft(), panel, origin)
}

/// Returns the name of the part that draws a piece, such as `back-facing`.
pub(super) fn part_name(piece: PieceName) -> String {
    piece.name().replace('_', "-")
}

/// Draws the texts of the piece at index `k`, from 0, among those that finish the waist: its name, `lines`, and how it
/// is cut and sewn.
pub(super) fn draw_waist_piece_texts(
    placed: &PlacedPanel,
    pattern: &Pattern,
    k: usize,
    mut lines: Vec<String>,
    part: &mut Part,
) {
    let piece = &pattern.waist_pieces[k];
    let number = piece_number_text(pattern, k + 2);
    lines.extend([cutting_instruction(piece.name).to_owned(), INTERFACING_INSTRUCTION.to_owned(), number]);
    if piece.name == PieceName::Waistband {
        draw_waistband_texts(placed, piece, lines, part);
    } else {
        draw_facing_texts(placed, piece, &lines, part);
    }
}

fn draw_waist_piece_lines(placed: &PlacedPanel, piece: &WaistPiece, part: &mut Part) {
    let is_fold = |role: Role| role == Role::Centre && piece.name.on_fold();
    part.add_mark(LayerKind::Cloth, placed.panel_line_mark(piece.cut.iter().map(|edge| &edge.path), LineStyle::Filled));
    for (edges, kind, stroke) in
        [(&piece.cut, LayerKind::Cut, LineStyle::Solid), (&piece.seam, LayerKind::Seam, LineStyle::Dashed)]
    {
        let lines = edges.iter().filter(|edge| !is_fold(edge.role)).map(|edge| &edge.path);
        part.add_mark(kind, placed.panel_line_mark(lines, stroke));
    }
    let centre = piece.cut.iter().filter(|edge| is_fold(edge.role)).map(|edge| edge.path);
    let fold: Vec<Path> = centre.chain(piece.fold.map(Path::Line)).collect();
    if !fold.is_empty() {
        part.add_mark(LayerKind::Fold, placed.panel_line_mark(&fold, LineStyle::DashDot));
    }
    for cut in piece.notches.iter().flat_map(|notch| &notch.cuts) {
        part.add_mark(LayerKind::Notch, placed.polyline_mark(cut, LineStyle::Solid));
    }
    placed.draw_grain_line(part, piece.grain);
}

/// Draws the texts of a waistband: its name along the band, and at each notch the seam or dart that meets it.
fn draw_waistband_texts(placed: &PlacedPanel, band: &WaistPiece, lines: Vec<String>, part: &mut Part) {
    let Some([_, end]) = band.fold else { return };
    let (width, waist) = (end.x, band.notches.last().map_or(end.y, |notch| notch.along));
    let mut text = |[x, y]: [f64; 2], words: &str, max_size: f64, length: f64, upwards: bool| {
        let size = letter_size_to_fit(words, max_size.min(width * 0.2 * MM_PER_CM), length * MM_PER_CM);
        part.add_mark(LayerKind::Text, centred_text_mark(placed.to_paper_mm(Point::new(x, y)), words, size, upwards));
    };
    let words = std::iter::once(band.name.name_in_words().to_uppercase()).chain(lines).collect::<Vec<_>>().join(", ");
    // Between the centre front and a side seam no line crosses the words.
    text([width * 1.75, waist * 0.615], &words, PANEL_NAME_LETTER_MM * 0.6, waist * 0.22, true);
    text([width * 0.95, waist * 0.4], "fold", NOTE_LETTER_MM, waist * 0.05, true);
    let gaps = band.notches.windows(2).map(|pair| [pair[0].along, pair[1].along]);
    let [from, to] = gaps.max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0]))).unwrap_or_default();
    let middle = f64::midpoint(from, to);
    text([width * 0.25, middle], "sew this edge to the waist", NOTE_LETTER_MM * 0.8, (to - from) * 0.8, true);
    text([width * 0.5, f64::midpoint(waist, end.y) + 0.15], "underlap", NOTE_LETTER_MM * 0.7, width * 0.9, false);
    for notch in &band.notches {
        let is_dart = notch.place == NotchPlace::DartLeg;
        let words = if is_dart { "dart".to_owned() } else { notch.place.name().replace('_', " ") };
        // The label of the first end stands below its line.
        let y = if notch.along > 0.0 { notch.seam.y - 0.1 } else { notch.seam.y + 0.5 };
        text([width * if is_dart { 0.25 } else { 0.5 }, y], &words, NOTE_LETTER_MM * 0.7, width * 0.9, false);
    }
    for notch in band.notches.iter().filter(|notch| notch.place != NotchPlace::DartLeg) {
        let across = [0.0, 2.0 * width].map(|x| Point::new(x, notch.seam.y));
        part.add_mark(LayerKind::Guide, placed.polyline_mark(&across, LineStyle::Dotted));
    }
}

/// Draws the texts of a facing, in the middle of its waist edge and along its centre line.
fn draw_facing_texts(placed: &PlacedPanel, facing: &WaistPiece, lines: &[String], part: &mut Part) {
    let waist: Vec<&Path> = facing.seam.iter().filter(|e| e.role == Role::Waist).map(|edge| &edge.path).collect();
    let depth = facing.seam.iter().filter(|e| e.role == Role::Centre).map(|edge| edge.path.length()).sum::<f64>();
    let path = waist[waist.len() / 2];
    let at = if waist.len() % 2 == 1 { path.point_at(0.5) } else { path.start() };
    let width = facing.bounds()[1].x;
    let line_height = depth / (lines.len() as f64 + 4.0);
    let mut line_of_text = |line: f64, words: &str, size: f64| {
        let size = letter_size_to_fit(words, size * MM_PER_CM, width * 0.45 * MM_PER_CM);
        let base_line = at + Vector::new(0.0, line_height * line);
        part.add_mark(LayerKind::Text, centred_text_mark(placed.to_paper_mm(base_line), words, size, false));
    };
    line_of_text(2.6, &facing.name.name_in_words().to_uppercase(), line_height);
    for (k, line) in lines.iter().enumerate() {
        line_of_text(3.6 + k as f64, line, line_height * 0.7);
    }
    let centre = if facing.name.on_fold() { "place on the fold" } else { "centre back" };
    let start = waist[0].start();
    let middle = start + Vector::new(0.5 - 0.2 * (placed.towards_side - 1.0) / 2.0, depth / 2.0);
    let size = letter_size_to_fit(centre, NOTE_LETTER_MM * 0.7, depth * 0.9 * MM_PER_CM);
    part.add_mark(LayerKind::Text, centred_text_mark(placed.to_paper_mm(middle), centre, size, true));
}

/// Returns the note on the pieces that finish the waist, or `None` for a pattern without them. `waist` names in words
/// the waist that a waistband fits, such as "a waist of 75.5 cm".
pub(super) fn waist_finish_note(pattern: &Pattern, waist: &str, ruler: Ruler) -> Option<String> {
    let finish = pattern.cutting().finish?;
    let [width, underlap, depth] = finish.lengths.into_array().map(|length| ruler.format_length_as_given(length));
    let unit = ruler.unit_name();
    Some(match finish.kind {
        WaistFinishKind::Facing => format!(
            "Facing: {depth} {unit} deep, the darts closed; allowances as the skirt's, none at its lower edge: neaten that \
             edge."
        ),
        WaistFinishKind::Waistband => format!(
            "Waistband: {width} {unit} wide when folded, for {waist} and an underlap of {underlap} {unit}; \
             the waist's allowance all around."
        ),
    })
}
