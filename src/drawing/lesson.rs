//! The pages of a lesson: text from the left margin, and beside each step of drawing a figure that grows.
//!
//! For a student with paper, pencil and ruler. Figures are reduced, so that no page is at true scale.

use super::body_figure::{BODY_FIGURE_MM, NUMBER_RADIUS_MM, body_figure_marks, number_marks};
use super::header::{LINE_SPACING, wrap_text_to_width};
use super::panel_layout::{draft_title, left_text_mark, straight_line, text_mark};
use super::{Drawing, LayerKind, LineStyle, Mark, PageWindow, Part, PrintLayout, PrintPage};
use crate::geometry::{Path, Point, Vector};
use crate::lesson::{Block, Lesson, Measurement, PanelLesson, Step, StrokeKind, lesson_blocks};

// Size of a page, its margin, letter sizes, width of a figure and of the gap beside it, in millimetres.
const PAGE: [f64; 2] = [210.0, 297.0];
const MARGIN: f64 = 18.0;
const TITLE_SIZE: f64 = 7.0;
const HEADING_SIZE: f64 = 5.2;
const TEXT_SIZE: f64 = 3.9;
const LIST_SIZE: f64 = 3.5;
const LABEL_SIZE: f64 = 3.2;
const FIGURE: [f64; 2] = [76.0, 54.0];
const GAP: f64 = 5.0;

/// Width of the text of a page, in millimetres.
const TEXT_WIDTH: f64 = PAGE[0] - 2.0 * MARGIN;

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
#[must_use]
pub fn draw_lesson(lesson: &Lesson) -> PrintLayout {
    let mut writer = PageWriter { pages: vec![Part::new("lesson", "", 0)], y: MARGIN };
    for block in lesson_blocks(lesson) {
        match block {
            Block::Title(text) => writer.write_lines(&text, TITLE_SIZE, 0.0, 10.0),
            Block::Heading(text) => writer.write_lines(text, HEADING_SIZE, 0.0, 60.0),
            Block::Paragraph(text) => writer.write_lines(&text, TEXT_SIZE, 0.0, 0.0),
            Block::Measurements(list) => writer.draw_measurements(&list),
            Block::Item(name, text) => writer.write_item(&name, &text),
            Block::Step(number, panel, step) => writer.draw_step(number, panel, step),
        }
    }
    let window = PageWindow { at: Point::origin(), size_mm: [0.0; 2], from: Point::origin(), scale: 1.0 };
    let page = |(part, number)| PrintPage { name: format!("lesson {number}"), size_mm: PAGE, window, part };
    let title = draft_title(&lesson.draft, lesson.ruler);
    let drawing = Drawing { title, notes: Vec::new(), key: Vec::new(), size_mm: PAGE, parts: Vec::new() };
    PrintLayout { drawing, pages: writer.pages.into_iter().zip(1..).map(page).collect() }
}

/// Pages written so far, and the height on the last page at which the next text or figure starts.
struct PageWriter {
    pages: Vec<Part>,
    y: f64,
}

impl PageWriter {
    /// Starts a new page unless `height` millimetres are left on the last page.
    fn make_room(&mut self, height: f64) {
        if self.y + height > PAGE[1] - MARGIN {
            self.pages.push(Part::new("lesson", "", 0));
            self.y = MARGIN;
        }
    }

    fn add(&mut self, kind: LayerKind, mark: Mark) {
        if let Some(page) = self.pages.last_mut() {
            page.add_mark(kind, mark);
        }
    }

    /// Writes a text in lines, `indent` from the left margin, with room for `below` millimetres under it.
    fn write_lines(&mut self, text: &str, size: f64, indent: f64, below: f64) {
        let lines = wrap_text_to_width(&text.replace('`', ""), size, TEXT_WIDTH - indent);
        self.y += if size > TEXT_SIZE { size * 0.8 } else { 0.0 };
        self.make_room(lines.len() as f64 * size * LINE_SPACING + below);
        for line in lines {
            self.y += size * LINE_SPACING;
            self.add(LayerKind::Text, left_text_mark(Point::new(MARGIN + indent, self.y), &line, size));
        }
        self.y += size * 0.6;
    }

    /// Writes an item of a list: a short name in front of the text, a sentence as name above the text.
    fn write_item(&mut self, name: &str, text: &str) {
        let is_sentence = name.len() > 12;
        if is_sentence {
            self.write_lines(name, TEXT_SIZE, 0.0, 10.0);
            return self.write_lines(text, TEXT_SIZE, 8.0, 0.0);
        }
        let indent = if name.ends_with('.') { 8.0 } else { 24.0 };
        self.make_room(4.0 * TEXT_SIZE * LINE_SPACING);
        let start = Point::new(MARGIN, self.y + TEXT_SIZE * LINE_SPACING);
        self.add(LayerKind::Text, left_text_mark(start, name, TEXT_SIZE));
        self.write_lines(text, TEXT_SIZE, indent, 0.0);
    }

    fn draw_step(&mut self, number: usize, panel: &PanelLesson, step: &Step) {
        self.make_room(FIGURE[1] + GAP);
        let top = self.y;
        let figure = StepFigure::new(panel, step, Point::new(MARGIN, top));
        figure.marks(number).into_iter().for_each(|(kind, mark)| self.add(kind, mark));
        let indent = FIGURE[0] + GAP;
        let name = format!("{number}{}", if step.is_common_practice() { " *" } else { "" });
        self.add(LayerKind::Text, left_text_mark(Point::new(MARGIN + indent, top + HEADING_SIZE), &name, HEADING_SIZE));
        self.y = top + HEADING_SIZE;
        self.write_lines(&step.text, TEXT_SIZE, indent, 0.0);
        self.y = self.y.max(top + FIGURE[1]) + GAP;
    }

    /// Draws the body with its tapes, and beside it how each measurement is taken, by its number.
    fn draw_measurements(&mut self, list: &[Measurement]) {
        self.make_room(BODY_FIGURE_MM[1] + GAP);
        let top = self.y;
        let names = list.iter().map(|measurement| measurement.name.as_str());
        for (kind, mark) in body_figure_marks(names, Point::new(MARGIN, top)) {
            self.add(kind, mark);
        }
        let indent = BODY_FIGURE_MM[0] + 2.0 * NUMBER_RADIUS_MM;
        for (measurement, number) in list.iter().zip(1..) {
            let Measurement { name, length, how } = measurement;
            let at = Point::new(MARGIN + indent - NUMBER_RADIUS_MM, self.y + TEXT_SIZE);
            for (kind, mark) in number_marks(at, number) {
                self.add(kind, mark);
            }
            self.write_lines(&format!("{name} {length}: {how}"), LIST_SIZE, indent + 2.0, 0.0);
        }
        self.y = self.y.max(top + BODY_FIGURE_MM[1]) + GAP;
    }
}

/// Figure of a step: lines of earlier steps in grey, lines that the step draws in ink, points with letters.
struct StepFigure<'a> {
    panel: &'a PanelLesson,
    step: &'a Step,
    positions: Vec<(char, Point)>,
    /// Upper left corner on the page.
    corner: Point,
    /// Millimetres on the page for a centimetre of the panel.
    scale: f64,
    /// Lowest level that is shown, in centimetres, and the highest.
    levels: [f64; 2],
}

impl<'a> StepFigure<'a> {
    fn new(panel: &'a PanelLesson, step: &'a Step, corner: Point) -> Self {
        let positions = panel.points(|length| length);
        let y_of = |letter| positions.iter().find(|(name, _)| *name == letter).map_or(0.0, |(_, at)| at.y);
        let top = positions.iter().map(|(_, at)| at.y).fold(0.0, f64::min) - 1.0;
        let bottom = if step.is_above_hip { y_of('B') } else { y_of('C') };
        let width = positions.iter().map(|(_, at)| at.x).fold(1.0, f64::max);
        let scale = ((FIGURE[1] - 6.0) / (bottom - top)).min((FIGURE[0] - 8.0) / width);
        Self { panel, step, positions, corner, scale, levels: [bottom, top] }
    }

    fn to_page(&self, point: Point) -> Point {
        self.corner + Vector::new(3.0 + point.x * self.scale, 4.0 + (point.y - self.levels[1]) * self.scale)
    }

    /// Returns the marks of the figure, each with its layer.
    fn marks(&self, number: usize) -> Vec<(LayerKind, Mark)> {
        let mut marks = Vec::new();
        for (step, k) in self.panel.steps.iter().zip(1..=number) {
            for stroke in &step.strokes {
                // The last step draws nothing: it shows the whole panel.
                let kind = match (k == number || self.step.strokes.is_empty() && !self.step.is_above_hip, stroke.kind) {
                    (false, _) | (true, StrokeKind::Help) => LayerKind::Guide,
                    (true, StrokeKind::Dart) => LayerKind::Dart,
                    (true, _) => LayerKind::Seam,
                };
                let paths = stroke.paths(&self.positions).into_iter().filter_map(|path| self.shown_part(path));
                let line = if stroke.kind == StrokeKind::Help { LineStyle::Dotted } else { LineStyle::Solid };
                let paths: Vec<Path> = paths.map(|path| path.map(|point| self.to_page(point))).collect();
                marks.extend((!paths.is_empty()).then_some((kind, Mark::Line { paths, stroke: line })));
            }
        }
        marks.extend(self.named_points().into_iter().flatten());
        marks
    }

    /// Returns the rings of the points that the step marks, and the letters of these and of those it measures from. A
    /// letter stands on the left of its point where another point lies close on the right or above.
    fn named_points(&self) -> Vec<[(LayerKind, Mark); 2]> {
        let measures = &self.step.measures;
        let is_new = |letter: char| measures.iter().any(|measure| measure.to == letter);
        let is_named = |letter: char| is_new(letter) || measures.iter().any(|measure| measure.from == letter);
        let named = self.positions.iter().filter(|(letter, _)| is_named(*letter));
        let named: Vec<(char, Point)> = named.map(|(letter, at)| (*letter, self.to_page(*at))).collect();
        let draw = |&(letter, at): &(char, Point)| {
            let is_near = |other: Point| {
                let [right, above] = [other.x - at.x, at.y - other.y];
                (0.1..6.0).contains(&right) && above.abs() < 4.0 || right.abs() < 1.0 && (0.1..4.0).contains(&above)
            };
            let across = if named.iter().any(|(_, other)| is_near(*other)) { -2.8 } else { 2.8 };
            let label = text_mark(at + Vector::new(across, -1.2), &letter.to_string(), LABEL_SIZE, false);
            let ring = if is_new(letter) { Mark::Point { at } } else { straight_line(at, at, LineStyle::Solid) };
            [(LayerKind::Dart, ring), (LayerKind::Text, label)]
        };
        named.iter().map(draw).collect()
    }

    /// Returns the part of a path above the lowest level; `None` if the whole path lies below that level.
    fn shown_part(&self, path: Path) -> Option<Path> {
        let [bottom, _] = self.levels;
        match path {
            Path::Line([from, to]) if from.y <= bottom && to.y > bottom => {
                let share = (bottom - from.y) / (to.y - from.y);
                (share > 0.0).then(|| Path::Line([from, from + (to - from) * share]))
            }
            path => (path.start().y <= bottom + 1e-9).then_some(path),
        }
    }
}
