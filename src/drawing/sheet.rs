//! One panel's place on the paper, and the words on it.

use super::{Mark, Part, Stroke};
use crate::draft::{Draft, Half, Panel};
use crate::field::Unit;
use crate::geometry::{Path, Point, Vector};

use super::LayerKind::{Grain, Guide, Text};

pub(super) const MM_IN_CM: f64 = 10.0;

/// Body sizes of the letters, in millimetres.
pub(super) const SMALL: f64 = 6.0;
pub(super) const LARGE: f64 = 14.0;

/// Between the lines of a panel's block of words, in centimetres.
const LINE: f64 = 1.0;

/// A panel, and where its origin lies.
pub(super) struct Sheet<'a> {
    pub(super) panel: &'a Panel,
    /// Where the panel's origin lies, in millimetres.
    pub(super) centre: Point,
    /// +1 where the side seam lies to the right of the centre, −1 to the left.
    pub(super) towards_side: f64,
    pub(super) hip_depth: f64,
    pub(super) length: f64,
}

impl<'a> Sheet<'a> {
    /// The back has its centre at the left, the front at the right, so that the side seams face each other as on the body.
    pub(super) fn new(draft: &Draft, panel: &'a Panel, centre: Point) -> Self {
        let towards_side = if panel.half == Half::Back { 1.0 } else { -1.0 };
        Self { panel, centre, towards_side, hip_depth: draft.body().hip_depth, length: draft.body().length }
    }

    /// A point of the panel, in centimetres, on the paper.
    pub(super) fn at(&self, point: Point) -> Point {
        self.centre + Vector::new(point.x * self.towards_side, point.y) * MM_IN_CM
    }

    pub(super) fn line(&self, points: &[Point], stroke: Stroke) -> Mark {
        let placed: Vec<Point> = points.iter().map(|point| self.at(*point)).collect();
        let paths = placed.windows(2).map(|pair| Path::Line([pair[0], pair[1]])).collect();
        Mark::Line { paths, stroke }
    }

    pub(super) fn outline<'p>(&self, paths: impl IntoIterator<Item = &'p Path>, stroke: Stroke) -> Mark {
        Mark::Line { paths: paths.into_iter().map(|path| path.map(|point| self.at(point))).collect(), stroke }
    }

    /// The hip line, and the grain with a barb at each end.
    pub(super) fn guides(&self, part: &mut Part, [from, to]: [Point; 2]) {
        let hip = [Point::new(0.0, self.hip_depth), Point::new(self.panel.width, self.hip_depth)];
        part.on(Guide).push(self.line(&hip, Stroke::Dashed));
        part.on(Grain).push(self.line(&[from, to], Stroke::Full));
        let barb = (self.panel.width * 0.03).min((to.y - from.y) * 0.1);
        for (end, inwards) in [(from, barb), (to, -barb)] {
            let side = |off: f64| end + Vector::new(off, 1.6 * inwards);
            part.on(Grain).push(self.line(&[side(-0.6 * barb), end, side(0.6 * barb)], Stroke::Full));
        }
    }

    /// The levels between which words have their room: below the hip line, or on a short skirt between the darts and the
    /// hip line.
    pub(super) fn room(&self) -> [f64; 2] {
        let tips = self.panel.darts.iter().map(|dart| dart.tip.y + 1.6);
        let tips = tips.fold(self.panel.waist_lowering.max(0.0) + 1.0, f64::max);
        let (hip, hem) = (self.hip_depth, self.length);
        if hip - tips > hem - hip { [tips, hip - 0.8] } else { [hip, hem] }
    }

    /// A text at a point of the panel.
    pub(super) fn write(&self, part: &mut Part, x: f64, y: f64, words: &str, size: f64) {
        let size = fitted(words, size, self.panel.width * MM_IN_CM * 0.66);
        part.on(Text).push(text(self.at(Point::new(x, y)), words, size, false));
    }

    /// A text that runs upwards, to the right of what it names on the back, to the left on the front.
    pub(super) fn write_upwards(&self, part: &mut Part, x: f64, words: &str, size: f64) {
        let [from, to] = self.room();
        let size = fitted(words, size, (to - from) * MM_IN_CM);
        part.on(Text).push(text(self.at(Point::new(x, f64::midpoint(from, to))), words, size, true));
    }

    /// The name in large letters and lines below it, in the middle of the panel; they shrink with their room.
    pub(super) fn block(&self, part: &mut Part, name: &str, lines: &[String]) {
        let [from, to] = self.room();
        #[allow(clippy::cast_precision_loss)]
        let height = (lines.len() as f64 + 3.5) * LINE;
        let shrunk = ((to - from) / height).min(1.0);
        let (x, mut y) = (self.panel.width * 0.62, f64::midpoint(from, to) - (height / 2.0 - 2.0 * LINE) * shrunk);
        self.write(part, x, y, name, LARGE * shrunk);
        for line in lines {
            y += LINE * shrunk;
            self.write(part, x, y, line, SMALL * shrunk);
        }
    }
}

/// A length in words with its unit, after what it is of.
pub(super) fn length(unit: Unit, what: &str, length_cm: f64) -> String {
    format!("{what} {} {}", unit.format_rounded(length_cm), unit.name())
}

/// A straight line between two points of the paper.
pub(super) fn straight(from: Point, to: Point, stroke: Stroke) -> Mark {
    Mark::Line { paths: vec![Path::Line([from, to])], stroke }
}

pub(super) fn text(middle: Point, text: &str, size_mm: f64, upwards: bool) -> Mark {
    Mark::Text { middle, text: text.to_owned(), size_mm, upwards }
}

/// The size at which a text keeps within `room`, at most `size`.
pub(super) fn fitted(text: &str, size: f64, room: f64) -> f64 {
    size.min(room / width(text))
}

/// The width of a text as a share of its size, in letters that are a little wider than those of common fonts.
pub(super) fn width(text: &str) -> f64 {
    let letter = |letter: char| match letter {
        'i' | 'j' | 'l' | 'I' | 't' | 'f' | 'r' | ' ' | '.' | ',' | ':' | ';' | '\'' | '(' | ')' => 0.4,
        'm' | 'w' | 'M' | 'W' | '%' => 1.0,
        'A'..='Z' => 0.75,
        '0'..='9' | 'a'..='z' => 0.62,
        _ => 1.0,
    };
    text.chars().map(letter).sum::<f64>().max(0.4)
}

/// A rectangle from its upper left corner.
pub(super) fn rectangle(corner: Point, [width, height]: [f64; 2], stroke: Stroke) -> Mark {
    let corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height), (0.0, 0.0)];
    let corners = corners.map(|(right, down)| corner + Vector::new(right, down));
    Mark::Line { paths: corners.windows(2).map(|pair| Path::Line([pair[0], pair[1]])).collect(), stroke }
}

/// The name of a panel in large letters.
pub(super) fn capitals(half: Half) -> &'static str {
    match half {
        Half::Back => "BACK",
        Half::Front => "FRONT",
    }
}

/// The body, its ease and the unit, in one line.
pub(super) fn title(draft: &Draft, unit: Unit) -> String {
    let (body, ease) = (draft.body(), draft.ease());
    let [waist, hip, hip_depth, length] = body.into_array().map(|value| unit.format_rounded(value));
    let [at_waist, at_hip] = ease.into_array().map(|value| unit.format_rounded(value));
    format!(
        "Straight skirt for waist {waist}, hip {hip}, hip depth {hip_depth}, length {length}; ease {at_waist} at the \
         waist, {at_hip} at the hip ({})",
        unit.name()
    )
}
