//! Both panels side by side: the back with its centre at the left, the front with its centre at the right, so that the
//! side seams face each other as on the body.

use super::{Drawing, Layer, LayerKind, Mark, Stroke};
use crate::draft::{Draft, Edge, Half, Panel, Role};
use crate::geometry::{Path, Point, Vector};
use crate::measure::Unit;

const MM_IN_CM: f64 = 10.0;

/// Around everything.
const MARGIN: f64 = 14.0;

/// The title and the scale above the panels.
const HEADER: f64 = 44.0;

/// Between the two panels.
const GAP: f64 = 34.0;

/// Body sizes of the letters.
const SMALL: f64 = 6.0;
const LARGE: f64 = 14.0;

/// The height of a panel's block of words with the space around it, in centimetres.
const BLOCK: f64 = 8.5;

/// A text's letters are on the average so wide, as a share of their size; keeps texts within narrow panels.
const LETTER_WIDTH: f64 = 0.55;

/// Draws both panels of a draft at true scale, with lengths in `unit`.
///
/// ```
/// use kirtle::{Body, Ease, Rules, Unit};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let drawing = kirtle::draw(&draft, Unit::Cm);
/// assert!(drawing.size_mm[1] > 600.0);
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[must_use]
pub fn draw(draft: &Draft, unit: Unit) -> Drawing {
    // A waist that is larger than the hip leans out over its panel and rises above the side.
    let wide = |panel: &Panel| panel.width.max(panel.waist_width) * MM_IN_CM;
    let rise = draft.panels().map(|panel| -panel.waist_lowering.min(0.0)).into_iter().fold(0.0, f64::max) * MM_IN_CM;
    let top = MARGIN + HEADER + rise;
    let right = MARGIN + wide(&draft.back) + GAP + wide(&draft.front);
    let bottom = top + draft.body().length * MM_IN_CM;
    let words = Words(unit);
    let sheets = [
        Sheet { panel: &draft.back, centre: Point::new(MARGIN, top), towards_side: 1.0, words },
        Sheet { panel: &draft.front, centre: Point::new(right, top), towards_side: -1.0, words },
    ];
    let mut layers = [LayerKind::Cloth, LayerKind::Guide, LayerKind::Dart, LayerKind::Seam, LayerKind::Text]
        .map(|kind| Layer { kind, marks: Vec::new() });
    for sheet in sheets {
        let [cloth, guide, dart, seam, text] = &mut layers;
        sheet.outline(cloth, dart, seam);
        sheet.guides(guide, draft.body().hip_depth, draft.body().length);
        sheet.texts(text, draft.body().hip_depth, draft.body().length);
    }
    let title = words.title(draft);
    let middle = f64::midpoint(MARGIN, right);
    let between = MARGIN + wide(&draft.back) + GAP / 2.0;
    let side = words.length("side seam", draft.back.length(Role::Side));
    let (scale, scale_words) = words.scale(Point::new(MARGIN, MARGIN + HEADER - 14.0));
    layers[1].marks.extend(scale);
    layers[4].marks.extend([
        text(Point::new(middle, MARGIN + SMALL), &title, fitted(&title, SMALL, right - MARGIN), false),
        text(Point::new(middle, MARGIN + 2.4 * SMALL), CAUTION, fitted(CAUTION, SMALL, right - MARGIN), false),
        text(Point::new(between + SMALL * 0.4, f64::midpoint(top, bottom)), &side, SMALL, true),
        scale_words,
    ]);
    Drawing { title, size_mm: [right + MARGIN, bottom + 2.0 * SMALL + MARGIN], layers: layers.into() }
}

const CAUTION: &str =
    "Net lines: no seam or hem allowance. Fold each dart shut before the waist is cut. Make a trial garment first.";

/// Lengths in words.
#[derive(Clone, Copy)]
struct Words(Unit);

impl Words {
    fn number(self, length_cm: f64) -> String {
        self.0.worded(length_cm)
    }

    fn length(self, what: &str, length_cm: f64) -> String {
        format!("{what} {} {}", self.number(length_cm), self.0.name())
    }

    /// A line of a round length and its label, to measure before cutting.
    fn scale(self, start: Point) -> (Vec<Mark>, Mark) {
        let (mm, name) = match self.0 {
            Unit::Cm => (100.0, "10 cm: measure before cutting"),
            Unit::In => (101.6, "4 in: measure before cutting"),
        };
        let line = |from: Point, to: Point| Mark::Line { paths: vec![Path::Line([from, to])], stroke: Stroke::Full };
        let end = start + Vector::new(mm, 0.0);
        let tick = Vector::new(0.0, 2.5);
        let lines = vec![line(start, end), line(start - tick, start + tick), line(end - tick, end + tick)];
        let middle = Point::new(start.x + mm / 2.0, start.y - 1.5);
        (lines, text(middle, name, fitted(name, SMALL, mm), false))
    }

    fn title(self, draft: &Draft) -> String {
        let (body, ease) = (draft.body(), draft.ease());
        let [waist, hip, hip_depth, length] = body.into_array().map(|value| self.number(value));
        let [at_waist, at_hip] = ease.into_array().map(|value| self.number(value));
        format!(
            "Straight skirt for waist {waist}, hip {hip}, hip depth {hip_depth}, length {length}; ease {at_waist} at the \
             waist, {at_hip} at the hip ({})",
            self.0.name()
        )
    }
}

/// One panel's place on the paper.
struct Sheet<'a> {
    panel: &'a Panel,
    /// Where the panel's origin lies.
    centre: Point,
    /// +1 where the side seam lies to the right of the centre, −1 to the left.
    towards_side: f64,
    words: Words,
}

impl Sheet<'_> {
    /// A point of the panel, in centimetres, on the paper.
    fn at(&self, point: Point) -> Point {
        self.centre + Vector::new(point.x * self.towards_side, point.y) * MM_IN_CM
    }

    fn line(&self, points: &[Point], stroke: Stroke) -> Mark {
        let placed: Vec<Point> = points.iter().map(|point| self.at(*point)).collect();
        let paths = placed.windows(2).map(|pair| Path::Line([pair[0], pair[1]])).collect();
        Mark::Line { paths, stroke }
    }

    fn outline(&self, cloth: &mut Layer, dart: &mut Layer, seam: &mut Layer) {
        let placed = |path: &Path| path.map(|point| self.at(point));
        let edges = &self.panel.edges;
        // A dart is folded, not cut out: the cloth runs across its mouth.
        let mut cut: Vec<Path> = Vec::new();
        for edge in edges.iter().filter(|edge| edge.role != Role::Dart) {
            let path = placed(&edge.path);
            if let Some(mouth) = cut.last().map(Path::end).filter(|end| *end != path.start()) {
                cut.push(Path::Line([mouth, path.start()]));
            }
            cut.push(path);
        }
        cloth.marks.push(Mark::Line { paths: cut, stroke: Stroke::Filled });
        let kind = |edge: &Edge| match edge.role {
            Role::Dart => (true, Stroke::Full),
            Role::Centre if self.panel.half == Half::Front => (false, Stroke::DashDot),
            _ => (false, Stroke::Full),
        };
        for alike in edges.chunk_by(|a, b| kind(a) == kind(b)) {
            let (is_dart, stroke) = kind(&alike[0]);
            let paths = alike.iter().map(|edge| placed(&edge.path)).collect();
            let layer = if is_dart { &mut *dart } else { &mut *seam };
            layer.marks.push(Mark::Line { paths, stroke });
        }
        for fold in &self.panel.darts {
            let mouth = Point::new(fold.centre, fold.inner.y);
            dart.marks.push(self.line(&[mouth, fold.tip], Stroke::Dashed));
        }
    }

    fn guides(&self, guide: &mut Layer, hip_depth: f64, length: f64) {
        let width = self.panel.width;
        guide.marks.push(self.line(&[Point::new(0.0, hip_depth), Point::new(width, hip_depth)], Stroke::Dashed));
        // The grain stands at a quarter of the panel, from below the hip line to above the hem.
        let (x, from, to) =
            (width * 0.25, hip_depth + (length - hip_depth) * 0.12, length - (length - hip_depth) * 0.12);
        guide.marks.push(self.line(&[Point::new(x, from), Point::new(x, to)], Stroke::Full));
        let barb = (width * 0.03).min((to - from) * 0.1);
        for (end, inwards) in [(from, barb), (to, -barb)] {
            let side = |x_off: f64| Point::new(x + x_off, end + 1.6 * inwards);
            guide.marks.push(self.line(&[side(-0.6 * barb), Point::new(x, end), side(0.6 * barb)], Stroke::Full));
        }
        // A balance mark on the side seam at the hip line, to be matched with the other panel's.
        let mark = [Point::new(width - 0.6, hip_depth), Point::new(width + 0.3, hip_depth)];
        guide.marks.push(self.line(&mark, Stroke::Full));
    }

    fn texts(&self, layer: &mut Layer, hip_depth: f64, length: f64) {
        let Self { panel, words, .. } = self;
        let width = panel.width;
        let (name, cut, centre) = match panel.half {
            Half::Back => ("BACK", "cut 2, seam at the centre", "centre back"),
            Half::Front => ("FRONT", "cut 1 on the fold", "centre front, on the fold,"),
        };
        // The words stand below the hip line, or on a short skirt between the darts and the hip line, and shrink with
        // their room.
        let tips = panel.darts.iter().map(|dart| dart.tip.y + 1.6).fold(panel.waist_lowering.max(0.0) + 1.0, f64::max);
        let (from, to) =
            if hip_depth - tips > length - hip_depth { (tips, hip_depth - 0.8) } else { (hip_depth, length) };
        let mut put = |x: f64, y: f64, words: &str, size: f64, upwards: bool| {
            let room = if upwards { (to - from) * MM_IN_CM } else { width * MM_IN_CM * 0.66 };
            layer.marks.push(text(self.at(Point::new(x, y)), words, fitted(words, size, room), upwards));
        };
        let (x, y) = (width * 0.62, f64::midpoint(from, to));
        let shrunk = ((to - from) / BLOCK).min(1.0);
        let below = if panel.waist_lowering < 0.0 { "above" } else { "below" };
        let centre_off = format!("centre {} {below} the side", words.length("", panel.waist_lowering.abs()).trim());
        put(x, y - 2.0 * shrunk, name, LARGE * shrunk, false);
        let block = [
            cut.to_owned(),
            words.length("hip", panel.width),
            words.length("waist, darts closed,", panel.length(Role::Waist)),
            words.length("side taken in", panel.width - panel.waist_width),
            centre_off,
        ];
        for (line, down) in block.iter().zip([-1.0, 0.0, 1.0, 2.0, 3.0]) {
            put(x, y + down * shrunk, line, SMALL * shrunk, false);
        }
        put(x, hip_depth - 0.2, &words.length("hip line, down the side", hip_depth), SMALL * 0.8, false);
        put(width * 0.5, length + 0.9, &words.length("hem", panel.length(Role::Hem)), SMALL, false);
        // Words that run upwards stand to the right of what they name on the back, to the left on the front.
        let beside = if self.towards_side > 0.0 { 1.1 } else { 0.6 };
        put(beside, y, &words.length(centre, panel.length(Role::Centre)), SMALL, true);
        put(width * 0.25 - 0.15 * self.towards_side, y, "grain", SMALL * 0.8, true);
        for dart in &panel.darts {
            let size = format!("{} × {}", words.number(dart.intake), words.number(dart.length));
            let place = format!("{} from centre", words.number(dart.centre));
            put(dart.centre, dart.tip.y + 0.7, &size, SMALL * 0.8, false);
            put(dart.centre, dart.tip.y + 1.3, &place, SMALL * 0.8, false);
        }
    }
}

fn text(middle: Point, text: &str, size_mm: f64, upwards: bool) -> Mark {
    Mark::Text { middle, text: text.to_owned(), size_mm, upwards }
}

/// The size at which a text keeps within `room`, at most `size`.
fn fitted(text: &str, size: f64, room: f64) -> f64 {
    #[allow(clippy::cast_precision_loss)]
    let letters = text.chars().count() as f64;
    size.min(room / (letters * LETTER_WIDTH))
}
