//! A pen for the figures: converts centimetres of a panel to millimetres of a drawing.

use std::collections::BTreeMap;

use kirtle::drawing::{Drawing, Layer, LayerKind, LineStyle, Mark, Part, TextAlign};
use kirtle::files::SvgScale;
use kirtle::geometry::Vector;
use kirtle::{Dart, Panel, Path, Point, Role, Texts};

/// Size of texts, in millimetres.
const TEXT_SIZE_MM: f64 = 4.4;

/// Collects the marks of one figure by layer.
pub(super) struct Pen {
    mm_per_cm: f64,
    origin: Vector,
    marks: BTreeMap<LayerKind, Vec<Mark>>,
}

pub(super) fn point(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

/// Rotates a point about a centre, clockwise in the figure for positive angles in radians.
pub(super) fn rotate(point: Point, centre: Point, angle: f64) -> Point {
    let (sine, cosine) = angle.sin_cos();
    let step = point - centre;
    centre + Vector::new(step.x * cosine - step.y * sine, step.x * sine + step.y * cosine)
}

/// Returns the `y` of all control points of several paths.
pub(super) fn heights(paths: &[Path]) -> impl Iterator<Item = f64> {
    paths.iter().flat_map(|path| path.points().iter().map(|point| point.y))
}

impl Pen {
    /// Creates a pen with a scale in millimetres per centimetre; `x` and `y` are the origin of the panel on the figure
    /// in mm.
    pub(super) fn new(mm_per_cm: f64, [x, y]: [f64; 2]) -> Self {
        Self { mm_per_cm, origin: Vector::new(x, y), marks: BTreeMap::new() }
    }

    fn on_paper(&self, at: Point) -> Point {
        Point::from(at.coords * self.mm_per_cm + self.origin)
    }

    fn push(&mut self, kind: LayerKind, mark: Mark) {
        self.marks.entry(kind).or_default().push(mark);
    }

    pub(super) fn paths(&mut self, kind: LayerKind, paths: &[Path], stroke: LineStyle) {
        let paths = paths.iter().map(|path| path.map(|at| self.on_paper(at))).collect();
        self.push(kind, Mark::Line { paths, stroke });
    }

    pub(super) fn line(&mut self, kind: LayerKind, through: &[Point], stroke: LineStyle) {
        let steps: Vec<Path> = through.windows(2).map(|pair| Path::Line([pair[0], pair[1]])).collect();
        self.paths(kind, &steps, stroke);
    }

    pub(super) fn tint(&mut self, corners: &[Point]) {
        let round: Vec<Point> = corners.iter().chain(corners.first()).copied().collect();
        self.line(LayerKind::Cloth, &round, LineStyle::Filled);
    }

    /// Draws the outline of a panel above its hip line, without the darts.
    pub(super) fn panel(&mut self, panel: &Panel, depth: f64) {
        let waist: Vec<Path> = panel.paths(Role::Waist).copied().collect();
        let side: Vec<Path> = panel.paths(Role::Side).take(1).copied().collect();
        let (corner, centre) = (point(panel.width, depth), point(0.0, panel.waist_lowering));
        let mut cloth = Vec::new();
        for path in waist.iter().chain(&side) {
            if let Some(mouth) = cloth.last().map(Path::end).filter(|end| *end != path.start()) {
                cloth.push(Path::Line([mouth, path.start()]));
            }
            cloth.push(*path);
        }
        cloth.extend([Path::Line([corner, point(0.0, depth)]), Path::Line([point(0.0, depth), centre])]);
        self.paths(LayerKind::Cloth, &cloth, LineStyle::Filled);
        for path in waist.iter().chain(&side) {
            self.paths(LayerKind::Seam, &[*path], LineStyle::Solid);
        }
        self.line(LayerKind::Seam, &[centre, point(0.0, depth)], LineStyle::Solid);
    }

    pub(super) fn legs(&mut self, dart: &Dart, stroke: LineStyle) {
        self.line(LayerKind::Dart, &[dart.inner, dart.tip, dart.outer], stroke);
    }

    pub(super) fn ring(&mut self, at: Point) {
        let at = self.on_paper(at);
        self.push(LayerKind::Notch, Mark::Point { at });
    }

    /// Draws a dimension line between two points, moved down by `offset`, with ticks at its ends.
    pub(super) fn span(&mut self, from: Point, to: Point, offset: f64) {
        let step = Vector::new(0.0, offset);
        let tick = Vector::new(0.0, 1.2 / self.mm_per_cm);
        self.line(LayerKind::Guide, &[from + step, to + step], LineStyle::Solid);
        for end in [from + step, to + step] {
            self.line(LayerKind::Guide, &[end - tick, end + tick], LineStyle::Solid);
        }
    }

    /// Draws the mark of a right angle between two directions.
    pub(super) fn square(&mut self, at: Point, one: Vector, other: Vector, size: f64) {
        let (one, other) = (one * size, other * size);
        self.line(LayerKind::Grain, &[at + one, at + one + other, at + other], LineStyle::Solid);
    }

    pub(super) fn text(&mut self, middle: Point, text: &str) {
        self.write(middle, text, TextAlign::Centred);
    }

    pub(super) fn upwards(&mut self, middle: Point, text: &str) {
        self.write(middle, text, TextAlign::CentredUpwards);
    }

    fn write(&mut self, middle: Point, text: &str, align: TextAlign) {
        let at = self.on_paper(middle);
        self.push(LayerKind::Text, Mark::Text { at, text: text.to_owned(), size_mm: TEXT_SIZE_MM, align });
    }

    pub(super) fn svg(self, title: &str, size_mm: [f64; 2]) -> String {
        let layers = self.marks.into_iter().map(|(kind, marks)| Layer { kind, marks }).collect();
        let part = Part { name: "figure".to_owned(), set: String::new(), copies: 0, layers };
        let (title, parts, texts) = (title.to_owned(), vec![part], Texts::default());
        let drawing = Drawing { title, notes: Vec::new(), key: Vec::new(), size_mm, parts, texts };
        kirtle::files::svg(&drawing, SvgScale::True)
    }
}
