//! The pages of a lesson: text from the left margin, and beside each drawing step a figure with all lines drawn so far.
//!
//! Figures are reduced, so that no page is at true scale.

use super::TextAlign::{Centred, Left};
use super::body_figure::{BODY_DRAWING_SIZE_MM, NUMBER_RING_RADIUS_MM, draw_body_with_tapes};
use super::header::{LINE_SPACING_FACTOR, wrap_text_to_width};
use super::panel_layout::draft_title;
use super::{Drawing, LayerKind, LineStyle, Mark, PageWindow, Part, PrintLayout, PrintPage};
use crate::geometry::{Path, Point, Vector};
use crate::lesson::{Lesson, Measurement, PanelLesson, Step, StrokeKind, TextBlock, lesson_text_blocks};
use crate::text::title_with_name;
use crate::wording::printed;

// Size of a page, its margin, font sizes, size of a figure and width of the gap beside it, in millimetres.
const PAGE_SIZE_MM: [f64; 2] = [210.0, 297.0];
const MARGIN_MM: f64 = 18.0;
const TITLE_FONT_MM: f64 = 7.0;
const HEADING_FONT_MM: f64 = 5.2;
const PARAGRAPH_FONT_MM: f64 = 3.9;
const LIST_FONT_MM: f64 = 3.5;
const POINT_LABEL_FONT_MM: f64 = 3.2;
const STEP_FIGURE_SIZE_MM: [f64; 2] = [76.0, 54.0];
const STEP_FIGURE_GAP_MM: f64 = 5.0;

// Width of the left column of a list, of numbers or of sentences, in millimetres.
const NUMBER_COLUMN_MM: f64 = 8.0;
const SENTENCE_COLUMN_MM: f64 = 92.0;

/// Width of a page between its margins, in millimetres.
const TEXT_WIDTH_MM: f64 = PAGE_SIZE_MM[0] - 2.0 * MARGIN_MM;

/// Draws the pages of a lesson on A4: how to measure, each step with its figure, trial garment and corrections.
///
/// ```
/// use kirtle::{Body, Ease, Rules, Unit};
///
/// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let pages = kirtle::drawing::draw_lesson(&draft.lesson(Unit::Cm)).pages;
/// assert!(pages.len() > 3 && pages[0].name == "lesson 1");
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn draw_lesson(lesson: &Lesson) -> PrintLayout {
    let mut writer = LessonPageWriter { full_pages: Vec::new(), page: Part::new("lesson", "", 0), y: MARGIN_MM };
    for block in lesson_text_blocks(lesson) {
        match block {
            TextBlock::Title(text) => writer.write_wrapped_text(&text, TITLE_FONT_MM, 10.0),
            TextBlock::Heading(text) => writer.write_wrapped_text(text, HEADING_FONT_MM, 60.0),
            TextBlock::Paragraph(text) => writer.write_wrapped_text(&text, PARAGRAPH_FONT_MM, 0.0),
            TextBlock::Measurements(list) => writer.draw_measuring_instructions(&list),
            TextBlock::NumberedItem(number, text) => {
                writer.write_list_item(&format!("{number}."), text, [NUMBER_COLUMN_MM, PARAGRAPH_FONT_MM]);
            }
            TextBlock::SignAndCorrection(sign, correction) => {
                writer.write_list_item(sign, correction, [SENTENCE_COLUMN_MM, LIST_FONT_MM]);
            }
            TextBlock::Step(number, panel, step) => writer.draw_step_figure_and_text(number, panel, step),
        }
    }
    let parts: Vec<Part> = writer.full_pages.into_iter().chain([writer.page]).collect();
    let (wording, count) = (lesson.wording(), parts.len());
    let window = PageWindow { at: Point::origin(), size_mm: [0.0; 2], from: Point::origin(), scale: 1.0 };
    let name = wording.name_or_girths(&lesson.name, lesson.draft.body());
    let page = |(mut part, number): (Part, usize)| {
        // In the lower margin stands the name of the lesson, or else waist and hip of the body, and the page number.
        let foot = printed!(wording.texts.lesson_foot(), name, number, count);
        let middle = Point::new(PAGE_SIZE_MM[0] / 2.0, PAGE_SIZE_MM[1] - MARGIN_MM / 2.0);
        part.draw_fitted_text(middle, Centred, &foot, [LIST_FONT_MM, TEXT_WIDTH_MM]);
        PrintPage { name: format!("lesson {number}"), size_mm: PAGE_SIZE_MM, window, part }
    };
    let title = title_with_name(&lesson.name, &draft_title(&lesson.draft, wording));
    let (notes, key, texts) = (Vec::new(), Vec::new(), lesson.texts.clone());
    let drawing = Drawing { title, notes, key, size_mm: PAGE_SIZE_MM, parts: Vec::new(), texts };
    PrintLayout { drawing, pages: parts.into_iter().zip(1..).map(page).collect() }
}

/// Writer of a lesson's pages: the pages so far, and the `y` on the last page where the next text or figure starts, in
/// millimetres.
struct LessonPageWriter {
    full_pages: Vec<Part>,
    /// Last page so far.
    page: Part,
    y: f64,
}

impl LessonPageWriter {
    /// Starts a new page unless `height` millimetres are left on the last page; returns whether a page was started.
    fn ensure_room_on_page(&mut self, height: f64) -> bool {
        let has_no_room = self.y + height > PAGE_SIZE_MM[1] - MARGIN_MM;
        if has_no_room {
            self.full_pages.push(std::mem::replace(&mut self.page, Part::new("lesson", "", 0)));
            self.y = MARGIN_MM;
        }
        has_no_room
    }

    /// Writes a text in letters of `size` mm, in lines from the left margin; first starts a new page unless the text
    /// and `below` mm of space under it fit on the page.
    fn write_wrapped_text(&mut self, text: &str, size: f64, below: f64) {
        let lines = wrap_lesson_text(text, size, 0.0);
        self.y += if size > PARAGRAPH_FONT_MM { size * 0.8 } else { 0.0 };
        self.ensure_room_on_page(height_of_lines(&lines, size) + below);
        self.y = self.write_lines(&lines, size, 0.0);
    }

    /// Writes lines on the last page, `indent` mm right of the left margin; returns the `y` below them.
    fn write_lines(&mut self, lines: &[String], size: f64, indent: f64) -> f64 {
        let mut y = self.y;
        for line in lines {
            y += size * LINE_SPACING_FACTOR;
            self.page.draw_text(Point::new(MARGIN_MM + indent, y), Left, line, size);
        }
        y + size * 0.6
    }

    /// Writes an item of a list: `name`, a number or a sentence, on the left; `text` from `indent` mm on.
    fn write_list_item(&mut self, name: &str, text: &str, [indent, size]: [f64; 2]) {
        let columns = [wrap_text_to_width(name, size, indent - 3.0), wrap_lesson_text(text, size, indent)];
        let [left, right] = columns.each_ref().map(|lines| height_of_lines(lines, size));
        self.ensure_room_on_page(left.max(right));
        let [left, right] = [0, 1].map(|k| self.write_lines(&columns[k], size, [0.0, indent][k]));
        self.y = left.max(right);
    }

    fn draw_step_figure_and_text(&mut self, number: usize, panel: &PanelLesson, step: &Step) {
        let indent = STEP_FIGURE_SIZE_MM[0] + STEP_FIGURE_GAP_MM;
        let lines = wrap_lesson_text(&step.text, PARAGRAPH_FONT_MM, indent);
        let text_height = HEADING_FONT_MM + height_of_lines(&lines, PARAGRAPH_FONT_MM);
        self.ensure_room_on_page(text_height.max(STEP_FIGURE_SIZE_MM[1] + STEP_FIGURE_GAP_MM));
        let top = self.y;
        draw_step_figure(&mut self.page, number, panel, step, Point::new(MARGIN_MM, top));
        let name = format!("{number}{}", if step.is_common_practice() { " *" } else { "" });
        self.y = top + HEADING_FONT_MM;
        self.page.draw_text(Point::new(MARGIN_MM + indent, self.y), Left, &name, HEADING_FONT_MM);
        self.y =
            self.write_lines(&lines, PARAGRAPH_FONT_MM, indent).max(top + STEP_FIGURE_SIZE_MM[1]) + STEP_FIGURE_GAP_MM;
    }

    /// Draws the body with its numbered tapes, and beside it, under the same numbers, how to take each measurement.
    fn draw_measuring_instructions(&mut self, list: &[Measurement]) {
        self.ensure_room_on_page(BODY_DRAWING_SIZE_MM[1] + STEP_FIGURE_GAP_MM);
        let mut body_bottom = self.y + BODY_DRAWING_SIZE_MM[1];
        let names = list.iter().map(|measurement| measurement.field);
        draw_body_with_tapes(&mut self.page, names, Point::new(MARGIN_MM, self.y));
        let number_indent = BODY_DRAWING_SIZE_MM[0] + NUMBER_RING_RADIUS_MM;
        let indent = number_indent + NUMBER_RING_RADIUS_MM + 2.0;
        for (measurement, number) in list.iter().zip(1..) {
            let Measurement { name, length, how, .. } = measurement;
            let lines = wrap_lesson_text(&format!("{name} {length}: {how}"), LIST_FONT_MM, indent);
            if self.ensure_room_on_page(height_of_lines(&lines, LIST_FONT_MM)) {
                body_bottom = 0.0;
            }
            let at = Point::new(MARGIN_MM + number_indent, self.y + PARAGRAPH_FONT_MM);
            self.page.draw_ringed_number(at, NUMBER_RING_RADIUS_MM, number);
            self.y = self.write_lines(&lines, LIST_FONT_MM, indent);
        }
        self.y = self.y.max(body_bottom) + STEP_FIGURE_GAP_MM;
    }
}

/// Returns the lines of a text at the font size `size`, from `indent` right of the left margin, both in millimetres.
fn wrap_lesson_text(text: &str, size: f64, indent: f64) -> Vec<String> {
    wrap_text_to_width(&text.replace('`', ""), size, TEXT_WIDTH_MM - indent)
}

/// Returns the height of lines at the font size `size`, both in millimetres.
fn height_of_lines(lines: &[String], size: f64) -> f64 {
    lines.len() as f64 * size * LINE_SPACING_FACTOR
}

/// Draws the figure of the step `number` of a panel, counted from 1: lines of earlier steps in grey, new lines in ink.
/// The figure of the last step, which has no new lines, shows all lines in ink. `corner` is the upper left corner of
/// the figure on the page, in millimetres.
fn draw_step_figure(page: &mut Part, number: usize, panel: &PanelLesson, step: &Step, corner: Point) {
    let positions = panel.points();
    let y_of = |letter| positions.iter().find(|(name, _)| *name == letter).map_or(0.0, |(_, at)| at.y);
    // Upper and lower end of the region of the panel that the figure shows, in centimetres.
    let top = positions.iter().map(|(_, at)| at.y).fold(0.0, f64::min) - 1.0;
    let bottom = if step.is_above_hip { y_of('B') } else { y_of('C') };
    let width = positions.iter().map(|(_, at)| at.x).fold(1.0, f64::max);
    // Millimetres on the page per centimetre of the panel.
    let scale = ((STEP_FIGURE_SIZE_MM[1] - 6.0) / (bottom - top)).min((STEP_FIGURE_SIZE_MM[0] - 8.0) / width);
    let to_page_mm = |point: Point| corner + Vector::new(3.0 + point.x * scale, 4.0 + (point.y - top) * scale);
    // A straight line is cut off at the lowest level shown, a curve is drawn whole.
    let visible_part = |path: Path| match path {
        Path::Line([from, to]) if from.y <= bottom && to.y > bottom => {
            let share = (bottom - from.y) / (to.y - from.y);
            (share > 0.0).then(|| Path::Line([from, from + (to - from) * share]))
        }
        path => (path.start().y <= bottom + 1e-9).then_some(path),
    };
    for (drawn, k) in panel.steps.iter().zip(1..=number) {
        for stroke in &drawn.strokes {
            // The last step draws nothing: it shows the whole panel.
            let kind = match (k == number || step.strokes.is_empty() && !step.is_above_hip, stroke.kind) {
                (false, _) | (true, StrokeKind::Construction) => LayerKind::Guide,
                (true, StrokeKind::Dart) => LayerKind::Dart,
                (true, _) => LayerKind::Seam,
            };
            let paths = stroke.paths(&positions).into_iter().filter_map(visible_part);
            let paths: Vec<Path> = paths.map(|path| path.map(to_page_mm)).collect();
            let line = if stroke.kind == StrokeKind::Construction { LineStyle::Dotted } else { LineStyle::Solid };
            if !paths.is_empty() {
                page.add_mark(kind, Mark::Line { paths, stroke: line });
            }
        }
    }
    let positions: Vec<(char, Point)> = positions.iter().map(|(letter, at)| (*letter, to_page_mm(*at))).collect();
    draw_point_rings_and_letters(page, step, &positions);
}

/// Draws ring and letter of each point that the step marks, and the letter of each point that the step measures from;
/// `positions` are those of all points of the panel on the page. A letter stands on the left of its point where another
/// point lies close on the right or above, or where the vertical line at the side of the panel would run through the
/// letter.
fn draw_point_rings_and_letters(page: &mut Part, step: &Step, positions: &[(char, Point)]) {
    let is_new = |letter: char| step.points_to_mark.iter().any(|measure| measure.to == letter);
    let is_named = |letter: char| is_new(letter) || step.points_to_mark.iter().any(|measure| measure.from == letter);
    let named: Vec<_> = positions.iter().filter(|(letter, _)| is_named(*letter)).collect();
    let side = positions.iter().map(|(_, at)| at.x).fold(0.0, f64::max);
    for &&(letter, at) in &named {
        let is_near = |other: Point| {
            let [right, above] = [other.x - at.x, at.y - other.y];
            (0.1..6.0).contains(&right) && above.abs() < 4.0 || right.abs() < 1.0 && (0.1..4.0).contains(&above)
        };
        let is_beside_vertical = (1.2..4.4).contains(&(side - at.x));
        let is_left = is_beside_vertical || named.iter().any(|(_, other)| is_near(*other));
        let across = if is_left { -2.8 } else { 2.8 };
        page.draw_text(at + Vector::new(across, -1.2), Centred, &letter.to_string(), POINT_LABEL_FONT_MM);
        if is_new(letter) {
            page.add_mark(LayerKind::Dart, Mark::Point { at });
        } else {
            page.draw_polyline(LayerKind::Dart, &[at, at], LineStyle::Solid);
        }
    }
}
