//! One panel placed on paper, with its lines and texts, and the basic marks that all drawings share.
//!
//! A panel's centimetres become millimetres on paper here, and every text gets a font size that fits its space.

use super::TextAlign::{Centred, CentredUpwards};
use super::{LayerKind, LineStyle, Mark, Part, TextAlign};
use crate::body::Body;
use crate::draft::{Dart, Draft, Edge, Half, Panel};
use crate::geometry::{Cubic, Path, Point, Vector};
use crate::lesson::{draft_numbers_in_words, measurements_to_take};
use crate::pattern::{Notch as PatternNotch, Pattern, PieceName, Press, VentLines, centre_line_of_whole_piece};
use crate::wording::{Texts, Wording, printed};

use super::LayerKind::{Fold, Grain, Guide, Notch, Text};

pub(super) const MM_PER_CM: f64 = 10.0;

// Font sizes of notes and lengths, and of the name of a panel, in millimetres.
pub(super) const NOTE_FONT_MM: f64 = 6.0;
pub(super) const LABEL_FONT_MM: f64 = NOTE_FONT_MM * 0.8;
pub(super) const SMALL_FONT_MM: f64 = NOTE_FONT_MM * 0.7;
pub(super) const PANEL_NAME_FONT_MM: f64 = 14.0;

/// Distance between the lines of text printed in the middle of a panel, in centimetres.
const TEXT_LINE_HEIGHT_CM: f64 = 1.0;

/// Distance from the hip line to the line at which a panel is lengthened or shortened, as a share of the distance from
/// hip line to hem.
const HIP_TO_LENGTHENING_LINE_SHARE: f64 = 0.75;

/// Distance of the lengthening line above a vent, and its least distance below the hip line, in centimetres.
const LENGTHENING_LINE_GAP_CM: f64 = 2.0;

/// A panel of a draft and where it lies on the paper.
pub(super) struct PlacedPanel<'a> {
    pub(super) panel: &'a Panel,
    /// Position on the paper, in millimetres, of the origin of the panel's coordinates.
    pub(super) origin: Point,
    /// Direction from the centre line to the side seam: +1 to the right, −1 to the left.
    pub(super) towards_side: f64,
    pub(super) hip_depth: f64,
    pub(super) length: f64,
    /// Whether the other half of the piece is drawn, too, beyond the centre line.
    pub(super) is_whole: bool,
}

impl<'a> PlacedPanel<'a> {
    /// Places a panel's origin at a point of the paper, with a back's side seam on the right, a front's on the left.
    pub(super) fn new(draft: &Draft, panel: &'a Panel, origin: Point) -> Self {
        let towards_side = if panel.half == Half::Back { 1.0 } else { -1.0 };
        let (hip_depth, length) = (draft.body().hip_depth, draft.body().length);
        Self { panel, origin, towards_side, hip_depth, length, is_whole: false }
    }

    /// Places a panel of a pattern as [`new`](Self::new) does; an unfolded front is whole.
    pub(super) fn of_pattern(pattern: &Pattern, panel: &'a Panel, origin: Point) -> Self {
        let is_whole = pattern.cutting().unfolded && panel.half == Half::Front;
        Self { is_whole, ..Self::new(pattern.draft(), panel, origin) }
    }

    /// Returns the centre line of each dart, from its mouth to its tip: of the drafted half, then of a drawn other half.
    pub(super) fn dart_centre_lines(&self) -> impl Iterator<Item = [Point; 2]> {
        let halves: &[f64] = if self.is_whole { &[1.0, -1.0] } else { &[1.0] };
        let line = |dart: &Dart| [Point::new(dart.centre, dart.inner.y), dart.tip];
        let lines = move |x| self.panel.darts.iter().map(move |dart| line(dart).map(|at| Point::new(at.x * x, at.y)));
        halves.iter().flat_map(lines)
    }

    /// Converts a point of the panel, in centimetres, to the point on the paper, in millimetres, where it is drawn.
    pub(super) fn to_paper_mm(&self, point: Point) -> Point {
        self.origin + Vector::new(point.x * self.towards_side, point.y) * MM_PER_CM
    }

    /// Draws a polyline through points of the panel, given in centimetres.
    pub(super) fn draw_polyline(&self, part: &mut Part, kind: LayerKind, points: &[Point], stroke: LineStyle) {
        let on_paper: Vec<Point> = points.iter().map(|point| self.to_paper_mm(*point)).collect();
        part.draw_polyline(kind, &on_paper, stroke);
    }

    /// Draws consecutive edges of the panel as one line mark.
    pub(super) fn draw_edges(&self, part: &mut Part, kind: LayerKind, edges: &[Edge], stroke: LineStyle) {
        let paths = edges.iter().map(|edge| edge.path.map(|point| self.to_paper_mm(point))).collect();
        part.add_mark(kind, Mark::Line { paths, stroke });
    }

    /// Draws a horizontal guide line across the panel, `y` centimetres below the waist at the side.
    pub(super) fn draw_horizontal_line(&self, part: &mut Part, y: f64, stroke: LineStyle) {
        let start = if self.is_whole { -self.panel.width } else { 0.0 };
        self.draw_polyline(part, Guide, &[start, self.panel.width].map(|x| Point::new(x, y)), stroke);
    }

    /// Draws the centre line of a piece with the cut line `cut` if the piece is whole.
    pub(super) fn draw_centre_line_if_whole(&self, part: &mut Part, cut: &[Edge]) {
        if self.is_whole {
            self.draw_polyline(part, Guide, &centre_line_of_whole_piece(cut), LineStyle::Dotted);
        }
    }

    /// Draws the double line across the panel at which it is lengthened or shortened, `y` centimetres below the waist.
    pub(super) fn draw_lengthening_line(&self, part: &mut Part, y: f64) {
        for y in [y, y + 0.4] {
            self.draw_horizontal_line(part, y, LineStyle::Solid);
        }
    }

    /// Draws a notch: all its cuts, short straight lines.
    pub(super) fn draw_notch(&self, part: &mut Part, notch: &PatternNotch) {
        for cut in &notch.cuts {
            self.draw_polyline(part, Notch, cut, LineStyle::Solid);
        }
    }

    /// Draws a grain line with an arrowhead at each end, from `from` to `to`, points of the panel in centimetres.
    pub(super) fn draw_grain_line(&self, part: &mut Part, [from, to]: [Point; 2]) {
        self.draw_polyline(part, Grain, &[from, to], LineStyle::Solid);
        let barb = (self.panel.width * 0.03).min((to.y - from.y) * 0.1);
        for (end, inwards) in [(from, barb), (to, -barb)] {
            let barb_end = |x: f64| end + Vector::new(x, 1.6 * inwards);
            self.draw_polyline(part, Grain, &[barb_end(-0.6 * barb), end, barb_end(0.6 * barb)], LineStyle::Solid);
        }
    }

    /// Draws the bracket whose arrows point to the fold of the cloth, along the space for text on the panel.
    pub(super) fn draw_fold_bracket(&self, part: &mut Part) {
        let [from, to] = self.text_space_levels_cm();
        let [from, to] = [from + (to - from) * 0.1, to - (to - from) * 0.1];
        let corners = [(0.2, from), (1.5, from), (1.5, to), (0.2, to)].map(|(x, y)| Point::new(x, y));
        self.draw_polyline(part, Fold, &corners, LineStyle::Solid);
        for end in [corners[0], corners[3]] {
            let barbs = [end + Vector::new(0.6, -0.25), end, end + Vector::new(0.6, 0.25)];
            self.draw_polyline(part, Fold, &barbs, LineStyle::Solid);
        }
    }

    /// Returns the `y` of the upper and the lower end of the space for text on the panel, in centimetres: hip line and
    /// hem, or dart tips and hip line if there is more space between these.
    pub(super) fn text_space_levels_cm(&self) -> [f64; 2] {
        let tips = self.panel.darts.iter().map(|dart| dart.tip.y + 1.6);
        let tips = tips.fold(self.panel.waist_lowering.max(0.0) + 1.0, f64::max);
        let (hip, hem) = (self.hip_depth, self.length);
        if hip - tips > hem - hip { [tips, hip - 0.8] } else { [hip, hem] }
    }

    /// Draws a horizontal text centred at a point of the panel, given in centimetres, at a font size of `max_size` mm,
    /// or smaller if the text exceeds two thirds of the panel's width.
    pub(super) fn draw_horizontal_text(&self, part: &mut Part, x: f64, y: f64, words: &str, max_size: f64) {
        let middle = self.to_paper_mm(Point::new(x, y));
        part.draw_fitted_text(middle, Centred, words, [max_size, self.panel.width * MM_PER_CM * 0.66]);
    }

    /// Draws the label of the end of a zip opening at the level `y`, between centre seam and grain line, which are
    /// given by their `x`; all in centimetres. The font size is at least 2.5 mm, even if the label then crosses the
    /// grain line.
    pub(super) fn draw_zip_end_label(&self, part: &mut Part, label: &str, [seam_x, grain_x]: [f64; 2], y: f64) {
        let size = font_size_to_fit(label, SMALL_FONT_MM, (grain_x - seam_x - 0.7) * MM_PER_CM).max(2.5);
        let x = seam_x + 0.6 + relative_text_width(label) * size / MM_PER_CM / 2.0;
        self.draw_horizontal_text(part, x, y, label, size);
    }

    /// Draws the label of a vent upwards along the middle of its extension.
    pub(super) fn draw_vent_label(&self, part: &mut Part, vent: &VentLines, wording: Wording) {
        let ([top, edge], hem) = (vent.stitching, vent.fold[1]);
        let middle = self.to_paper_mm(Point::new(f64::midpoint(top.x, edge.x), f64::midpoint(top.y, hem.y)));
        let words = printed!(wording.texts.vent(), height = wording.length_with_unit(hem.y - top.y));
        part.draw_fitted_text(middle, CentredUpwards, &words, [SMALL_FONT_MM, (hem.y - top.y) * 0.8 * MM_PER_CM]);
    }

    /// Draws a text upwards along the panel, `x` cm from the centre line, at a font size of at most `max_size` mm.
    pub(super) fn draw_upward_text(&self, part: &mut Part, x: f64, words: &str, max_size: f64) {
        let [from, to] = self.text_space_levels_cm();
        let middle = self.to_paper_mm(Point::new(x, f64::midpoint(from, to)));
        part.draw_fitted_text(middle, CentredUpwards, words, [max_size, (to - from) * MM_PER_CM]);
    }

    /// Draws the panel's name in a large font and lines of text below the name, all shrunk to the space for text.
    pub(super) fn draw_panel_text_block(&self, part: &mut Part, texts: &Texts, lines: &[String]) {
        let [from, to] = self.text_space_levels_cm();
        let height = (lines.len() as f64 + 3.5) * TEXT_LINE_HEIGHT_CM;
        let scale = ((to - from) / height).min(1.0);
        let x = self.panel.width * 0.62;
        let mut y = f64::midpoint(from, to) - (height / 2.0 - 2.0 * TEXT_LINE_HEIGHT_CM) * scale;
        let name = texts.piece_name_in_capitals(self.panel.half.name());
        self.draw_horizontal_text(part, x, y, &name, PANEL_NAME_FONT_MM * scale);
        for line in lines {
            y += TEXT_LINE_HEIGHT_CM * scale;
            self.draw_horizontal_text(part, x, y, line, NOTE_FONT_MM * scale);
        }
    }
}

impl Part {
    /// Draws a polyline through points of the paper, given in millimetres.
    pub(super) fn draw_polyline(&mut self, kind: LayerKind, points: &[Point], stroke: LineStyle) {
        let paths = points.windows(2).map(|pair| Path::Line([pair[0], pair[1]])).collect();
        self.add_mark(kind, Mark::Line { paths, stroke });
    }

    /// Draws the outline of a rectangle, given its upper left corner, width and height in millimetres.
    pub(super) fn draw_rectangle(&mut self, kind: LayerKind, corner: Point, size_mm: [f64; 2], stroke: LineStyle) {
        let [width, height] = size_mm;
        let corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height), (0.0, 0.0)];
        self.draw_polyline(kind, &corners.map(|(right, down)| corner + Vector::new(right, down)), stroke);
    }

    /// Draws a number in a ring, of four curves, on the layer [`LayerKind::Guide`], given the ring's middle and radius
    /// in millimetres.
    pub(super) fn draw_ringed_number(&mut self, middle: Point, radius: f64, number: usize) {
        // Handle length of a quarter circle of radius 1, with an error below 0.03 %.
        const QUARTER_CIRCLE_HANDLE: f64 = 0.5523;
        let turns = [[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]].map(|[x, y]| Vector::new(x, y) * radius);
        let quarter = |k: usize| {
            let (a, b) = (turns[k], turns[(k + 1) % 4]);
            let (start, end) = (middle + a, middle + b);
            Path::Cubic(Cubic::new([start, start + b * QUARTER_CIRCLE_HANDLE, end + a * QUARTER_CIRCLE_HANDLE, end]))
        };
        self.add_mark(Guide, Mark::Line { paths: (0..4).map(quarter).collect(), stroke: LineStyle::Solid });
        let base_line = middle + Vector::new(0.0, radius * 0.48);
        self.draw_fitted_text(base_line, Centred, &number.to_string(), [radius * 1.4, radius * 1.5]);
    }

    /// Draws one line of text; `at` is the left end or the middle of its base line, as `align` says; in millimetres.
    pub(super) fn draw_text(&mut self, at: Point, align: TextAlign, text: &str, size_mm: f64) {
        self.add_mark(Text, Mark::Text { at, text: text.to_owned(), size_mm, align });
    }

    /// Draws one line of text at the font size `max_size`, or smaller if the text exceeds `width`; all in millimetres.
    pub(super) fn draw_fitted_text(&mut self, at: Point, align: TextAlign, text: &str, [max_size, width]: [f64; 2]) {
        self.draw_text(at, align, text, font_size_to_fit(text, max_size, width));
    }
}

/// Returns the largest font size up to `max_size` at which a text fits a width, all in millimetres.
pub(super) fn font_size_to_fit(text: &str, max_size: f64, width: f64) -> f64 {
    max_size.min(width / relative_text_width(text))
}

/// Estimates the width of a text as a multiple of its font size, slightly too wide for common fonts.
pub(super) fn relative_text_width(text: &str) -> f64 {
    let char_width = |letter: char| match letter {
        'i' | 'j' | 'l' | 'I' | 't' | 'f' | 'r' | ' ' | '.' | ',' | ':' | ';' | '\'' | '(' | ')' => 0.4,
        'm' | 'w' | 'M' | 'W' | '%' => 1.0,
        'A'..='Z' => 0.75,
        '0'..='9' | 'a'..='z' => 0.62,
        _ if letter.is_lowercase() => 0.75,
        _ if letter.is_uppercase() => 0.9,
        _ => 1.0,
    };
    text.chars().map(char_width).sum::<f64>().max(0.4)
}

/// Returns the distance from hip line to the line at which a panel is lengthened or shortened, in centimetres. The line
/// lies above a vent, unless the vent leaves no room below the hip line.
pub(super) fn hip_to_lengthening_line_cm(hip_to_hem: f64, pattern: &Pattern) -> f64 {
    let above_vent = hip_to_hem - pattern.cutting().vent.map_or(0.0, |vent| vent.vent) - LENGTHENING_LINE_GAP_CM;
    (hip_to_hem * HIP_TO_LENGTHENING_LINE_SHARE).min(above_vent.max(LENGTHENING_LINE_GAP_CM))
}

/// Returns the instruction to cut a piece, on the fold or not, such as "cut 2 (mirrored)".
pub(super) fn cutting_instruction(texts: &Texts, piece: PieceName, on_fold: bool) -> &str {
    match (on_fold, piece.copies()) {
        (true, _) => texts.cut_on_fold(),
        (false, 1) => texts.cut_one(),
        (false, _) => texts.cut_mirrored(),
    }
}

/// Returns the instruction to press the darts of a panel; `None` for a panel without darts.
pub(super) fn press_instruction(texts: &Texts, pattern: &Pattern, panel: &Panel) -> Option<String> {
    let is_to_centre = pattern.cutting().press == Press::Centre;
    let instruction = if is_to_centre { texts.press_to_centre() } else { texts.press_to_side() };
    (!panel.darts.is_empty()).then(|| instruction.to_string())
}

/// Returns the number printed on the piece at index `k` of a pattern, with the number of pieces, such as "3 of 4".
pub(super) fn piece_number_text(texts: &Texts, pattern: &Pattern, k: usize) -> String {
    printed!(texts.piece_number(), number = k + 1, count = 2 + pattern.waist_pieces.len())
}

/// Returns the text that lists the allowances of a pattern as cut.
pub(super) fn included_allowances_text(pattern: &Pattern, wording: Wording) -> String {
    let [waist, side, hem, centre_back] =
        pattern.cut_allowances.into_array().map(|allowance| wording.input_length(allowance));
    let texts = wording.texts;
    let text = if pattern.cutting().unfolded { texts.unfolded_allowances() } else { texts.allowances() };
    printed!(text, waist, side, hem, centre_back, unit = wording.unit())
}

/// Returns the one-line title for the drawing of a draft or its pattern: measurements, ease and unit, then what was
/// measured of the figure.
pub(super) fn draft_title(draft: &Draft, wording: Wording) -> String {
    let title = draft_numbers_in_words(draft, wording, wording.texts.title(), wording.unit());
    let of_figure = measurements_to_take(draft, wording).into_iter().skip(Body::FIELDS.len());
    std::iter::once(title).chain(of_figure.map(|one| format!("; {} {}", one.name, one.length))).collect()
}
