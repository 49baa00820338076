//! What stands above a drawing on one sheet: its title, its notes, and squares to measure before anything is cut.

use super::sheet::{SMALL, fitted, rectangle, text};
use super::{Drawing, LayerKind, Mark, Part, Stroke};
use crate::geometry::{Point, Vector};

/// Around the head and between its parts, in millimetres.
const MARGIN: f64 = 5.0;

/// The sides of the test squares, in millimetres, and what is written in them.
const SQUARES: [(f64, &str); 2] = [(50.0, "5 cm"), (50.8, "2 in")];

/// The width of both squares with their margins, and the height of the higher one.
const SQUARES_WIDTH: f64 = 50.0 + 50.8 + 3.0 * MARGIN;
const SQUARES_HEIGHT: f64 = 50.8 + 2.0 * MARGIN;

/// What goes before every cut.
pub(super) const BEFORE_CUTTING: &str =
    "Print at 100 % and measure the squares before cutting. Make a trial garment first.";

/// The least width for lines of text beside the squares; narrower ones stand below.
const MIN_TEXT: f64 = 100.0;

/// The height of the lines of text, where they are not beside the squares.
const TEXT_HEIGHT: f64 = 50.0;

/// What a head needs, with something below it.
pub(super) const MIN_WIDTH: f64 = SQUARES_WIDTH;
pub(super) const MIN_HEIGHT: f64 = SQUARES_HEIGHT + TEXT_HEIGHT + 40.0;

/// The same drawing with a head above it.
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
    let width = drawing.size_mm[0].max(SQUARES_WIDTH + MIN_TEXT + MARGIN);
    let (head, height) = head(&drawing, width);
    let mut parts = vec![head];
    parts.extend(drawing.parts.into_iter().map(|part| part.moved(Vector::new(0.0, height))));
    Drawing { size_mm: [width, drawing.size_mm[1] + height], parts, ..drawing }
}

/// The head of a drawing, as wide as that, and its height.
pub(super) fn head(drawing: &Drawing, width: f64) -> (Part, f64) {
    let mut part = Part::new("head", "", 0);
    let mut x = MARGIN;
    for (side, name) in SQUARES {
        part.on(LayerKind::Sheet).push(rectangle(Point::new(x, MARGIN), [side, side], Stroke::Full));
        let middle = Point::new(x + side / 2.0, MARGIN + side / 2.0 + SMALL / 3.0);
        part.on(LayerKind::Text).push(text(middle, name, SMALL, false));
        x += side + MARGIN;
    }
    let beside = width - x - MARGIN >= MIN_TEXT;
    let (at, room, height) = if beside {
        (Point::new(x, MARGIN), [width - x - MARGIN, SQUARES_HEIGHT - 2.0 * MARGIN], SQUARES_HEIGHT)
    } else {
        let room = [width - 2.0 * MARGIN, TEXT_HEIGHT - MARGIN];
        (Point::new(MARGIN, SQUARES_HEIGHT), room, SQUARES_HEIGHT + TEXT_HEIGHT)
    };
    part.on(LayerKind::Text).extend(paragraph(drawing, at, room));
    (part, height)
}

/// The title and the notes in a box.
fn paragraph(drawing: &Drawing, at: Point, [width, height]: [f64; 2]) -> Vec<Mark> {
    let texts = std::iter::once(&drawing.title).chain(&drawing.notes);
    let lines: Vec<String> = texts.flat_map(|line| broken(line, width)).collect();
    #[allow(clippy::cast_precision_loss)]
    let step = (height / lines.len() as f64).min(SMALL * 1.3);
    let size = lines.iter().map(|line| fitted(line, step / 1.3, width)).fold(step, f64::min);
    let mut y = at.y;
    let line = |line: &String| {
        y += step;
        text(Point::new(at.x + width / 2.0, y - step * 0.25), line, size, false)
    };
    lines.iter().map(line).collect()
}

/// A line broken between words so that it can be read in its room.
fn broken(line: &str, room: f64) -> Vec<String> {
    const READABLE: f64 = 4.0;
    let mut lines: Vec<String> = vec![String::new()];
    for word in line.split(' ') {
        let longer = lines.last().map(|last| format!("{last} {word}").trim_start().to_owned()).unwrap_or_default();
        if fitted(&longer, READABLE, room) < READABLE && longer != word {
            lines.push(word.to_owned());
        } else if let Some(last) = lines.last_mut() {
            *last = longer;
        }
    }
    lines
}
