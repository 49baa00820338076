//! One panel placed on paper, with its lines and texts, and the basic marks that all drawings share.
//!
//! For the drawings in this folder. A panel's centimetres become millimetres on paper here, and every text shrinks
//! until it fits its place.

use super::{Mark, Part, Stroke};
use crate::draft::{Draft, Half, Panel};
use crate::field::Unit;
use crate::geometry::{Path, Point, Vector};

use super::LayerKind::{Grain, Guide, Text};

pub(super) const MM_IN_CM: f64 = 10.0;

// Letter sizes of notes and lengths, and of the name of a panel, in millimetres.
pub(super) const SMALL_MM: f64 = 6.0;
pub(super) const LARGE_MM: f64 = 14.0;

/// Distance between lines of the text block of a panel, in centimetres.
const TEXT_LINE_HEIGHT_CM: f64 = 1.0;

/// A panel of a draft with its position on the paper.
pub(super) struct PlacedPanel<'a> {
    pub(super) panel: &'a Panel,
    /// Position of the panel's origin on the paper, in millimetres.
    pub(super) origin: Point,
    /// Direction from the centre line to the side seam: +1 to the right, −1 to the left.
    pub(super) towards_side: f64,
    pub(super) hip_depth: f64,
    pub(super) length: f64,
}

impl<'a> PlacedPanel<'a> {
    /// Places a panel with its origin at a point of the paper. The back has its centre line on the left, the
    /// front on the right, so that the side seams face each other.
    pub(super) fn new(draft: &Draft, panel: &'a Panel, origin: Point) -> Self {
        let towards_side = if panel.half == Half::Back { 1.0 } else { -1.0 };
        Self { panel, origin, towards_side, hip_depth: draft.body().hip_depth, length: draft.body().length }
    }

    /// Converts a point of the panel, in centimetres, to a point on the paper, in millimetres.
    pub(super) fn to_paper(&self, point: Point) -> Point {
        self.origin + Vector::new(point.x * self.towards_side, point.y) * MM_IN_CM
    }

    pub(super) fn polyline(&self, points: &[Point], stroke: Stroke) -> Mark {
        let on_paper: Vec<Point> = points.iter().map(|point| self.to_paper(*point)).collect();
        let paths = on_paper.windows(2).map(|pair| Path::Line([pair[0], pair[1]])).collect();
        Mark::Line { paths, stroke }
    }

    /// Returns one mark on the paper that consists of consecutive lines and curves of the panel.
    pub(super) fn path_mark<'p>(&self, paths: impl IntoIterator<Item = &'p Path>, stroke: Stroke) -> Mark {
        Mark::Line { paths: paths.into_iter().map(|path| path.map(|point| self.to_paper(point))).collect(), stroke }
    }

    /// Draws the hip line, and the grain line with an arrowhead at each end.
    pub(super) fn draw_guides(&self, part: &mut Part, [from, to]: [Point; 2]) {
        let hip = [Point::new(0.0, self.hip_depth), Point::new(self.panel.width, self.hip_depth)];
        part.marks_on(Guide).push(self.polyline(&hip, Stroke::Dashed));
        part.marks_on(Grain).push(self.polyline(&[from, to], Stroke::Solid));
        let barb = (self.panel.width * 0.03).min((to.y - from.y) * 0.1);
        for (end, inwards) in [(from, barb), (to, -barb)] {
            let barb_end = |x: f64| end + Vector::new(x, 1.6 * inwards);
            part.marks_on(Grain)
                .push(self.polyline(&[barb_end(-0.6 * barb), end, barb_end(0.6 * barb)], Stroke::Solid));
        }
    }

    /// Returns the upper and lower level of the space for text, in centimetres: between hip line and hem, or on
    /// a short skirt between dart tips and hip line.
    pub(super) fn text_levels(&self) -> [f64; 2] {
        let tips = self.panel.darts.iter().map(|dart| dart.tip.y + 1.6);
        let tips = tips.fold(self.panel.waist_lowering.max(0.0) + 1.0, f64::max);
        let (hip, hem) = (self.hip_depth, self.length);
        if hip - tips > hem - hip { [tips, hip - 0.8] } else { [hip, hem] }
    }

    /// Draws a level text centred at a point of the panel, in letters of at most `max_size` millimetres.
    pub(super) fn draw_text(&self, part: &mut Part, x: f64, y: f64, words: &str, max_size: f64) {
        let size = letter_size(words, max_size, self.panel.width * MM_IN_CM * 0.66);
        part.marks_on(Text).push(text_mark(self.to_paper(Point::new(x, y)), words, size, false));
    }

    /// Draws a text that runs upwards at `x` centimetres from the centre line, in letters of at most `max_size`
    /// millimetres.
    pub(super) fn draw_upward_text(&self, part: &mut Part, x: f64, words: &str, max_size: f64) {
        let [from, to] = self.text_levels();
        let size = letter_size(words, max_size, (to - from) * MM_IN_CM);
        part.marks_on(Text).push(text_mark(self.to_paper(Point::new(x, f64::midpoint(from, to))), words, size, true));
    }

    /// Draws the name of the panel in large letters with lines of text below the name, shrunk to the space for text.
    pub(super) fn draw_text_block(&self, part: &mut Part, name: &str, lines: &[String]) {
        let [from, to] = self.text_levels();
        #[allow(clippy::cast_precision_loss)]
        let height = (lines.len() as f64 + 3.5) * TEXT_LINE_HEIGHT_CM;
        let scale = ((to - from) / height).min(1.0);
        let (x, mut y) =
            (self.panel.width * 0.62, f64::midpoint(from, to) - (height / 2.0 - 2.0 * TEXT_LINE_HEIGHT_CM) * scale);
        self.draw_text(part, x, y, name, LARGE_MM * scale);
        for line in lines {
            y += TEXT_LINE_HEIGHT_CM * scale;
            self.draw_text(part, x, y, line, SMALL_MM * scale);
        }
    }
}

/// Returns a label, a length and its unit as text, such as "hem 25.5 cm".
pub(super) fn labelled_length(unit: Unit, label: &str, length_cm: f64) -> String {
    format!("{label} {} {}", unit.format_rounded(length_cm), unit.name())
}

pub(super) fn straight_line(from: Point, to: Point, stroke: Stroke) -> Mark {
    Mark::Line { paths: vec![Path::Line([from, to])], stroke }
}

/// Creates a text mark, given the middle of the text's base line.
pub(super) fn text_mark(middle: Point, text: &str, size_mm: f64, upwards: bool) -> Mark {
    Mark::Text { middle, text: text.to_owned(), size_mm, upwards }
}

/// Returns the letter size at which a text fits a width, at most `max_size`; all in millimetres.
pub(super) fn letter_size(text: &str, max_size: f64, width: f64) -> f64 {
    max_size.min(width / relative_width(text))
}

/// Estimates the width of a text divided by its letter size; the estimate is slightly wide for common fonts.
pub(super) fn relative_width(text: &str) -> f64 {
    let letter_width = |letter: char| match letter {
        'i' | 'j' | 'l' | 'I' | 't' | 'f' | 'r' | ' ' | '.' | ',' | ':' | ';' | '\'' | '(' | ')' => 0.4,
        'm' | 'w' | 'M' | 'W' | '%' => 1.0,
        'A'..='Z' => 0.75,
        '0'..='9' | 'a'..='z' => 0.62,
        _ => 1.0,
    };
    text.chars().map(letter_width).sum::<f64>().max(0.4)
}

/// Creates a line mark around a rectangle, given its upper left corner, and its width and height.
pub(super) fn rectangle_mark(corner: Point, [width, height]: [f64; 2], stroke: Stroke) -> Mark {
    let corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height), (0.0, 0.0)];
    let corners = corners.map(|(right, down)| corner + Vector::new(right, down));
    Mark::Line { paths: corners.windows(2).map(|pair| Path::Line([pair[0], pair[1]])).collect(), stroke }
}

/// Returns the name of a panel in capitals: "BACK" or "FRONT".
pub(super) fn panel_name(half: Half) -> &'static str {
    match half {
        Half::Back => "BACK",
        Half::Front => "FRONT",
    }
}

/// Returns the title of a drawing of one draft: measurements, ease and unit in one line.
pub(super) fn draft_title(draft: &Draft, unit: Unit) -> String {
    let (body, ease) = (draft.body(), draft.ease());
    let [waist, hip, hip_depth, length] = body.into_array().map(|value| unit.format_rounded(value));
    let [waist_ease, hip_ease] = ease.into_array().map(|value| unit.format_rounded(value));
    format!(
        "Straight skirt for waist {waist}, hip {hip}, hip depth {hip_depth}, length {length}; ease {waist_ease} at the \
         waist, {hip_ease} at the hip ({})",
        unit.name()
    )
}
