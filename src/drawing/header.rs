//! Header above a drawing on one sheet or on the cover page: test squares, title, notes and the key of sizes.
//!
//! The test squares are always drawn at true size, so that a ruler shows a scaled print.

use super::TextAlign::{Centred, Left};
use super::panel_layout::{NOTE_FONT_MM, font_size_to_fit, relative_text_width};
use super::{Drawing, LayerKind, LineStyle, Part, SizeKeyRow};
use crate::geometry::{Point, Vector};

/// Margin around the header, and gap between its test squares and its text, in millimetres.
const HEADER_MARGIN_MM: f64 = 5.0;

const TEST_SQUARE_SIDES_MM: [f64; 2] = [50.0, 50.8];

// Width of both test squares, and height of the larger one, with margins, in millimetres.
const TEST_SQUARES_WIDTH_MM: f64 = 50.0 + 50.8 + 3.0 * HEADER_MARGIN_MM;
const TEST_SQUARES_HEIGHT_MM: f64 = 50.8 + 2.0 * HEADER_MARGIN_MM;

// Minimum width of text to the right of the test squares, and minimum height of text below them, in millimetres.
const MIN_TEXT_WIDTH_MM: f64 = 100.0;
const MIN_TEXT_HEIGHT_BELOW_SQUARES_MM: f64 = 50.0;

// Font size for which long notes are wrapped on a page, in millimetres, and distance of lines divided by font size.
const WRAPPED_NOTE_FONT_MM: f64 = 4.0;
pub(super) const LINE_SPACING_FACTOR: f64 = 1.3;

// Maximum number of letters of a unit, with a comma or a full stop.
const MAX_UNIT_LETTERS: usize = 4;

// Gap between two notes, as a share of the distance of lines.
const NOTE_GAP_LINES: f64 = 0.4;

// Font size, length of a sample of a line, and maximum width of a text in the key of sizes, in millimetres.
const SIZE_KEY_FONT_MM: f64 = 3.6;
const KEY_LINE_SAMPLE_LENGTH_MM: f64 = 22.0;
const MAX_KEY_TEXT_WIDTH_MM: f64 = 40.0;

// Minimum printable width and height of a page with header and map of the tiles, and of the map, in millimetres.
pub(super) const MIN_PAGE_SIZE_MM: [f64; 2] =
    [TEST_SQUARES_WIDTH_MM, TEST_SQUARES_HEIGHT_MM + MIN_TEXT_HEIGHT_BELOW_SQUARES_MM + MIN_TILE_MAP_HEIGHT_MM];
pub(super) const MIN_TILE_MAP_HEIGHT_MM: f64 = 40.0;

/// Returns the drawing with a header above all its parts: test squares, title, notes and key. The drawing becomes
/// higher, and also wider if it is narrower than the header.
///
/// ```
/// use kirtle::{Body, Cutting, Ease, Rules, Unit};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let pattern = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.pattern(&Cutting::default())?;
/// let pieces = kirtle::drawing::draw_pattern(&pattern, Unit::Cm);
/// let sheet = kirtle::drawing::with_header(pieces.clone());
/// assert!(sheet.size_mm[1] > pieces.size_mm[1] + 50.0);
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn with_header(drawing: Drawing) -> Drawing {
    let width = drawing.size_mm[0].max(TEST_SQUARES_WIDTH_MM + MIN_TEXT_WIDTH_MM + HEADER_MARGIN_MM);
    let (header, height) = header_part_and_height_mm(&drawing, width, f64::INFINITY);
    let mut parts = vec![header];
    parts.extend(drawing.parts.into_iter().map(|part| part.map_part(|point| point + Vector::new(0.0, height))));
    Drawing { size_mm: [width, drawing.size_mm[1] + height], parts, ..drawing }
}

/// Creates the header of a drawing on a page `width` millimetres wide. Returns the header as a part, and its height in
/// millimetres, which grows with the notes up to `max_height`.
pub(super) fn header_part_and_height_mm(drawing: &Drawing, width: f64, max_height: f64) -> (Part, f64) {
    let mut part = Part::new("head", "", 0);
    let mut x = HEADER_MARGIN_MM;
    let texts = &drawing.texts;
    for (side, measure) in TEST_SQUARE_SIDES_MM.into_iter().zip([texts.test_square_cm(), texts.test_square_in()]) {
        part.draw_rectangle(LayerKind::Sheet, Point::new(x, HEADER_MARGIN_MM), [side, side], LineStyle::Solid);
        for (label, line) in [(texts.test_square(), -0.5), (measure, 0.5)] {
            let y = HEADER_MARGIN_MM + side / 2.0 + NOTE_FONT_MM * (line * LINE_SPACING_FACTOR + 1.0 / 3.0);
            part.draw_fitted_text(Point::new(x + side / 2.0, y), Centred, label, [NOTE_FONT_MM, side - 6.0]);
        }
        x += side + HEADER_MARGIN_MM;
    }
    let text_fits_right = width - x - HEADER_MARGIN_MM >= MIN_TEXT_WIDTH_MM;
    let [x, y] = if text_fits_right { [x, HEADER_MARGIN_MM] } else { [HEADER_MARGIN_MM, TEST_SQUARES_HEIGHT_MM] };
    let corner = Point::new(x, y);
    let height = TEST_SQUARES_HEIGHT_MM + if text_fits_right { 0.0 } else { MIN_TEXT_HEIGHT_BELOW_SQUARES_MM };
    // The lines of the key move together where the key would take more than half of the maximum height.
    let key_line = (max_height / 2.0 / drawing.key.len() as f64).min(SIZE_KEY_FONT_MM * LINE_SPACING_FACTOR);
    let key_height = if drawing.key.is_empty() { 0.0 } else { key_line * drawing.key.len() as f64 + HEADER_MARGIN_MM };
    let heights = [height, max_height - key_height].map(|height| height - corner.y - HEADER_MARGIN_MM);
    let text_width = width - corner.x - HEADER_MARGIN_MM;
    let text_height = draw_title_and_notes(&mut part, drawing, corner, text_width, heights);
    let below = (corner.y + text_height + HEADER_MARGIN_MM).max(TEST_SQUARES_HEIGHT_MM);
    let key_size = [width - 2.0 * HEADER_MARGIN_MM, key_line];
    draw_size_key(&mut part, &drawing.key, Point::new(HEADER_MARGIN_MM, below), key_size);
    (part, below + key_height)
}

/// Draws the rows of a key of sizes as a table in a header. `corner` is the upper left corner of the table,
/// `line_height` the distance from row to row, in millimetres. The font shrinks where the table would be wider than
/// `width`.
fn draw_size_key(part: &mut Part, rows: &[SizeKeyRow], corner: Point, [width, line_height]: [f64; 2]) {
    let columns = rows.first().map_or(0, |row| row.cells.len());
    let max_size = line_height / LINE_SPACING_FACTOR;
    let width_of = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.cells.get(column));
        let widths = cells.map(|cell| relative_text_width(cell) * max_size);
        widths.fold(0.0, f64::max).min(MAX_KEY_TEXT_WIDTH_MM) + max_size
    };
    let widths: Vec<f64> = (0..columns).map(width_of).collect();
    let scale = ((width - KEY_LINE_SAMPLE_LENGTH_MM) / widths.iter().sum::<f64>()).min(1.0);
    let mut y = corner.y;
    for row in rows {
        y += line_height;
        let mut x = corner.x + KEY_LINE_SAMPLE_LENGTH_MM;
        let base_line = y - line_height * 0.25;
        if let Some(stroke) = row.stroke {
            let start = Point::new(corner.x, base_line - max_size * 0.35);
            let end = start + Vector::new(KEY_LINE_SAMPLE_LENGTH_MM - 2.0, 0.0);
            part.draw_polyline(LayerKind::Seam, &[start, end], stroke);
        }
        for (cell, column_width) in row.cells.iter().zip(&widths) {
            let column_width = column_width * scale;
            let middle = Point::new(x + column_width / 2.0, base_line);
            part.draw_fitted_text(middle, Centred, cell, [max_size * scale, column_width]);
            x += column_width;
        }
    }
}

/// Draws the title and notes of a drawing, wrapped to the width of a box; returns the height of the box in millimetres:
/// as much as the lines of text need, from `min` to `max`. The font shrinks if the lines need more than `max`. `corner`
/// is the box's upper left corner.
fn draw_title_and_notes(part: &mut Part, drawing: &Drawing, corner: Point, width: f64, [min, max]: [f64; 2]) -> f64 {
    let texts = || std::iter::once(&drawing.title).chain(&drawing.notes);
    let wrap = |size: f64| texts().map(|text| wrap_text_to_width(text, size, width)).collect::<Vec<_>>();
    let line_count = |notes: &[Vec<String>]| {
        notes.iter().map(Vec::len).sum::<usize>() as f64 + NOTE_GAP_LINES * (notes.len() - 1) as f64
    };
    let height_at = |size: f64| line_count(&wrap(size)) * size * LINE_SPACING_FACTOR;
    let wrap_size =
        if max.is_infinite() || height_at(NOTE_FONT_MM) <= min { NOTE_FONT_MM } else { WRAPPED_NOTE_FONT_MM };
    let (notes, height) = (wrap(wrap_size), height_at(wrap_size).min(max).max(min));
    let line_height = (height / line_count(&notes)).min(NOTE_FONT_MM * LINE_SPACING_FACTOR);
    let size_of = |line: &String| font_size_to_fit(line, line_height / LINE_SPACING_FACTOR, width);
    let size = notes.iter().flatten().map(size_of).fold(line_height, f64::min);
    let mut y = corner.y;
    for note in &notes {
        for line in note {
            y += line_height;
            part.draw_text(Point::new(corner.x, y - line_height * 0.25), Left, line, size);
        }
        y += line_height * NOTE_GAP_LINES;
    }
    height
}

/// Splits a text between words into lines that fit a width at a font size, both in millimetres; only a single long
/// word may exceed the width. A number and the fraction, the unit or another short word after it count as one word.
pub(super) fn wrap_text_to_width(line: &str, size: f64, width: f64) -> Vec<String> {
    let mut lines: Vec<String> = vec![String::new()];
    let mut start = 0;
    for (end, _) in line.match_indices(' ').chain([(line.len(), "")]) {
        let (word, next) = (&line[start..end], line[end..].split(' ').nth(1).unwrap_or_default());
        let is_unit = next.contains('/') || (1..=MAX_UNIT_LETTERS).contains(&next.chars().count());
        if is_unit && word.ends_with(|last: char| last.is_ascii_digit()) {
            continue;
        }
        start = end + 1;
        let longer = lines.last().map(|last| format!("{last} {word}").trim_start().to_owned()).unwrap_or_default();
        if font_size_to_fit(&longer, size, width) < size && longer != word {
            lines.push(word.to_owned());
        } else if let Some(last) = lines.last_mut() {
            *last = longer;
        }
    }
    lines
}
