//! Header above a drawing on one sheet or on the cover page: test squares, title and notes.
//!
//! For whoever prints a drawing: the test squares are always drawn at true size, so that a ruler shows a scaled print.

use super::panel_layout::{SMALL_MM, fitted_size, rectangle, text};
use super::{Drawing, LayerKind, Mark, Part, Stroke};
use crate::geometry::{Point, Vector};

/// Margin around the header and between its squares and text, in millimetres.
const MARGIN: f64 = 5.0;

/// Sides of the two test squares, in millimetres, each with the label printed in the square.
const TEST_SQUARES: [(f64, &str); 2] = [(50.0, "5 cm"), (50.8, "2 in")];

// Width of both test squares, and height of the larger one, with margins, in millimetres.
const SQUARES_WIDTH: f64 = 50.0 + 50.8 + 3.0 * MARGIN;
const SQUARES_HEIGHT: f64 = 50.8 + 2.0 * MARGIN;

/// Note on what to do before cutting, printed on every sheet that shows test squares.
pub(super) const CHECKS_BEFORE_CUTTING: &str =
    "Print at 100 % and measure both test squares before cutting. Sew a trial garment (toile) first.";

/// Minimum width of the text to the right of the test squares, in millimetres; narrower text is set below the squares.
const MIN_TEXT_WIDTH: f64 = 100.0;

/// Height reserved for text set below the test squares, in millimetres.
const TEXT_HEIGHT: f64 = 50.0;

// Minimum printable width and height of a page with a header and a map of the tiles, in millimetres.
pub(super) const MIN_PAGE_WIDTH: f64 = SQUARES_WIDTH;
pub(super) const MIN_PAGE_HEIGHT: f64 = SQUARES_HEIGHT + TEXT_HEIGHT + 40.0;

/// Returns the drawing with a header above it: test squares, title and notes. The drawing grows in height,
/// and in width if the drawing is narrower than the header.
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
#[must_use]
pub fn with_header(drawing: Drawing) -> Drawing {
    let width = drawing.size_mm[0].max(SQUARES_WIDTH + MIN_TEXT_WIDTH + MARGIN);
    let (header, height) = header(&drawing, width);
    let mut parts = vec![header];
    parts.extend(drawing.parts.into_iter().map(|part| part.translated(Vector::new(0.0, height))));
    Drawing { size_mm: [width, drawing.size_mm[1] + height], parts, ..drawing }
}

/// Returns the header of a drawing in a given width, with the height of the header in millimetres.
pub(super) fn header(drawing: &Drawing, width: f64) -> (Part, f64) {
    let mut part = Part::new("head", "", 0);
    let mut x = MARGIN;
    for (side, label) in TEST_SQUARES {
        part.marks_on(LayerKind::Sheet).push(rectangle(Point::new(x, MARGIN), [side, side], Stroke::Solid));
        let middle = Point::new(x + side / 2.0, MARGIN + side / 2.0 + SMALL_MM / 3.0);
        part.marks_on(LayerKind::Text).push(text(middle, label, SMALL_MM, false));
        x += side + MARGIN;
    }
    let text_fits_right = width - x - MARGIN >= MIN_TEXT_WIDTH;
    let (corner, text_box, height) = if text_fits_right {
        (Point::new(x, MARGIN), [width - x - MARGIN, SQUARES_HEIGHT - 2.0 * MARGIN], SQUARES_HEIGHT)
    } else {
        let text_box = [width - 2.0 * MARGIN, TEXT_HEIGHT - MARGIN];
        (Point::new(MARGIN, SQUARES_HEIGHT), text_box, SQUARES_HEIGHT + TEXT_HEIGHT)
    };
    part.marks_on(LayerKind::Text).extend(title_and_notes(drawing, corner, text_box));
    (part, height)
}

/// Returns the title and notes of a drawing as lines of text that fill a box, given by upper left corner and size.
fn title_and_notes(drawing: &Drawing, corner: Point, [width, height]: [f64; 2]) -> Vec<Mark> {
    let texts = std::iter::once(&drawing.title).chain(&drawing.notes);
    let lines: Vec<String> = texts.flat_map(|line| wrap_line(line, width)).collect();
    #[allow(clippy::cast_precision_loss)]
    let line_height = (height / lines.len() as f64).min(SMALL_MM * 1.3);
    let size = lines.iter().map(|line| fitted_size(line, line_height / 1.3, width)).fold(line_height, f64::min);
    let mut y = corner.y;
    let line_mark = |line: &String| {
        y += line_height;
        text(Point::new(corner.x + width / 2.0, y - line_height * 0.25), line, size, false)
    };
    lines.iter().map(line_mark).collect()
}

/// Breaks a line between words so that each part fits the width in letters of readable size.
fn wrap_line(line: &str, width: f64) -> Vec<String> {
    const READABLE_MM: f64 = 4.0;
    let mut lines: Vec<String> = vec![String::new()];
    for word in line.split(' ') {
        let longer = lines.last().map(|last| format!("{last} {word}").trim_start().to_owned()).unwrap_or_default();
        if fitted_size(&longer, READABLE_MM, width) < READABLE_MM && longer != word {
            lines.push(word.to_owned());
        } else if let Some(last) = lines.last_mut() {
            *last = longer;
        }
    }
    lines
}
