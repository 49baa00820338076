//! All sizes in one drawing, lying on each other at the centre line and the hip line; and an alteration on them.

use super::LayerKind::{Cut, Dart, Guide, Seam, Text};
use super::head::BEFORE_CUTTING;
use super::sheet::{LARGE, MM_IN_CM, SMALL, Sheet, capitals, fitted, straight, text, width};
use super::{Drawing, Part, Stroke};
use crate::draft::{Draft, Panel, Role};
use crate::field::Unit;
use crate::geometry::{Point, Vector};
use crate::pattern;
use crate::sizes::{Alteration, SizeRange};

/// Around the panels, and between them; the labels of a waist stand above it, those of a hem below.
const MARGIN: f64 = 8.0;
const GAP: f64 = 24.0;
const LABELS: f64 = 14.0;

/// The letters of a label, and between the lines of the key.
const LABEL: f64 = 4.0;
const KEY_LINE: f64 = 6.0;
const MIN_KEY_LINE: f64 = 2.5;

/// The length of a line's sample in the key.
const SAMPLE: f64 = 18.0;

/// Places back and front of several drafts so that their centre lines and hip lines lie on each other.
struct Places {
    left: f64,
    right: f64,
    hip: f64,
    size_mm: [f64; 2],
}

impl Places {
    fn new(drafts: &[&Draft]) -> Self {
        let max = |of: &dyn Fn(&Draft) -> f64| drafts.iter().map(|draft| of(draft)).fold(0.0, f64::max) * MM_IN_CM;
        let wide = |k: usize| max(&|draft| draft.panels()[k].width.max(draft.panels()[k].waist_width));
        let rise = |draft: &Draft| draft.panels().map(|panel| -panel.waist_lowering).into_iter().fold(0.0, f64::max);
        let above = max(&|draft| draft.body().hip_depth + rise(draft));
        let below = max(&|draft| draft.body().length - draft.body().hip_depth);
        let right = MARGIN + wide(0) + GAP + wide(1);
        let hip = MARGIN + LABELS + above;
        Self { left: MARGIN, right, hip, size_mm: [right + MARGIN, hip + below + LABELS + MARGIN] }
    }

    /// Back and front of a draft.
    fn sheets<'d>(&self, draft: &'d Draft) -> [Sheet<'d>; 2] {
        self.place(draft, draft.panels(), draft.body().hip_depth)
    }

    /// Two panels whose waist lies so far above the printed hip line.
    fn place<'d>(&self, draft: &Draft, panels: [&'d Panel; 2], above: f64) -> [Sheet<'d>; 2] {
        let top = self.hip - above * MM_IN_CM;
        [(panels[0], self.left), (panels[1], self.right)].map(|(panel, x)| Sheet::new(draft, panel, Point::new(x, top)))
    }
}

/// Draws every size of a range at true scale, each on layers of its own, with seam lines without allowance.
///
/// ```
/// use kirtle::{Ease, Rules, SizeChart, Unit};
///
/// let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let nest = kirtle::drawing::draw_nest(&range, Unit::Cm);
/// assert!(nest.parts.iter().any(|part| part.set == "38" && part.name == "front"));
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[must_use]
pub fn draw_nest(range: &SizeRange, unit: Unit) -> Drawing {
    let places = Places::new(&range.drafts().iter().collect::<Vec<_>>());
    let mut parts = Vec::new();
    for (k, (size, draft)) in range.each().enumerate() {
        let stroke = stroke(k);
        for sheet in places.sheets(draft) {
            let mut part = Part::new(sheet.panel.half.name(), &size.name, 0);
            seams(&sheet, &mut part, stroke);
            let hem = Point::new(sheet.panel.width, sheet.length);
            // Neighbours stand on two levels, so that they do not cover each other.
            let level = f64::from(u8::from(k % 2 == 1));
            let label = |at: Point, down: f64| {
                text(at + Vector::new(0.0, down), &size.name, fitted(&size.name, LABEL, 9.0), false)
            };
            part.on(Text).push(label(sheet.at(hem), LABEL + 1.0 + level * LABEL));
            // Beside the side seam a little below the waist, where the lines of neighbours are apart.
            if let Some(side) = sheet.panel.paths(Role::Side).next() {
                let at = sheet.at(side.at(0.15) - Vector::new(0.4, 0.0));
                part.on(Text).push(label(at, level * LABEL));
            }
            parts.push(part);
        }
    }
    parts.push(around(range, &places, unit));
    let ease = range.ease();
    let title = format!(
        "Nest of {} sizes, {} to {}; ease {} at the waist, {} at the hip ({})",
        range.drafts().len(),
        range.chart().sizes()[0].name,
        range.chart().sizes()[range.drafts().len() - 1].name,
        unit.format_rounded(ease.waist),
        unit.format_rounded(ease.hip),
        unit.name()
    );
    let note =
        format!("Net lines, no allowance, lying on each other at the centre line and the hip line. {BEFORE_CUTTING}");
    Drawing { title, notes: vec![note], size_mm: places.size_mm, parts }
}

/// How the lines of a size are drawn, so that neighbours differ in black and white.
fn stroke(k: usize) -> Stroke {
    const STROKES: [Stroke; 4] = [Stroke::Full, Stroke::Dashed, Stroke::DashDot, Stroke::Long];
    STROKES[k % STROKES.len()]
}

fn seams(sheet: &Sheet, part: &mut Part, stroke: Stroke) {
    let dart = |role: Role| role == Role::Dart;
    for alike in sheet.panel.edges.chunk_by(|a, b| dart(a.role) == dart(b.role)) {
        let kind = if dart(alike[0].role) { Dart } else { Seam };
        part.on(kind).push(sheet.outline(alike.iter().map(|edge| &edge.path), stroke));
    }
}

/// The hip line and the grain of the largest size, the names of the panels, and the key.
fn around(range: &SizeRange, places: &Places, unit: Unit) -> Part {
    let mut part = Part::new("around", "", 0);
    let Some(largest) = range.drafts().last() else { return part };
    for sheet in places.sheets(largest) {
        sheet.guides(&mut part, pattern::grain(sheet.panel, largest.body()));
        sheet.write(&mut part, sheet.panel.width * 0.5, sheet.hip_depth + 3.0, capitals(sheet.panel.half), LARGE);
    }
    let rows: Vec<String> = range
        .each()
        .map(|(size, draft)| {
            let body = draft.body();
            let [waist, hip, depth, length] = body.into_array().map(|value| unit.format_rounded(value));
            let name = &size.name;
            format!("{name}: waist {waist}, hip {hip}, hip depth {depth}, length {length} {}", unit.name())
        })
        .collect();
    // The key stands in the back below its name, between the grain line and the side of the smallest size.
    let [back, _] = places.sheets(&range.drafts()[0]);
    let [grain, _] = pattern::grain(&largest.back, largest.body());
    let left = grain.x * MM_IN_CM + 4.0;
    let room = back.panel.width * MM_IN_CM - left - SAMPLE - 6.0;
    let length = (largest.body().length - largest.body().hip_depth) * MM_IN_CM - 60.0;
    #[allow(clippy::cast_precision_loss)]
    let step = (length / rows.len() as f64).clamp(MIN_KEY_LINE, KEY_LINE);
    let size = rows.iter().map(|row| fitted(row, step * 0.8, room)).fold(step * 0.8, f64::min);
    let mut at = Point::new(places.left + left, places.hip + 45.0);
    for (k, row) in rows.iter().enumerate() {
        part.on(Guide).push(straight(at, at + Vector::new(SAMPLE, 0.0), stroke(k)));
        let middle = at + Vector::new(SAMPLE + 2.0 + width(row) * size / 2.0, size / 3.0);
        part.on(Text).push(text(middle, row, size, false));
        at.y += step;
    }
    part
}

/// Draws an alteration at true scale: the lines of the printed sizes, the altered line, and the exact redraft.
///
/// ```
/// use kirtle::{Body, Ease, Rules, SizeChart, Unit};
///
/// let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let body = Body { waist: 70.0, hip: 100.0, hip_depth: 20.5, length: 58.0 };
/// let drawing = kirtle::drawing::draw_alteration(&range, &range.alter(&body, None)?, Unit::Cm);
/// assert!(drawing.parts.iter().any(|part| part.set == "altered"));
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[must_use]
pub fn draw_alteration(range: &SizeRange, alteration: &Alteration, unit: Unit) -> Drawing {
    let exact = &alteration.exact;
    let depth = alteration.nest_depth;
    let used = used(alteration);
    let printed = || range.each().filter(|(size, _)| used.contains(&size.name.as_str()));
    let mut places = Places::new(&printed().map(|(_, draft)| draft).chain([exact]).collect::<Vec<_>>());
    // The altered waist stays where it was traced, and the hip line moves; the drawing has room for both.
    let moved = (exact.body().hip_depth - depth).abs() * MM_IN_CM;
    places.hip += moved;
    places.size_mm[1] += 2.0 * moved;
    let mut parts = Vec::new();
    for (k, (size, draft)) in printed().enumerate() {
        for sheet in places.sheets(draft) {
            let mut part = Part::new(sheet.panel.half.name(), &size.name, 0);
            let outline = sheet.panel.edges.iter().map(|edge| &edge.path);
            part.on(Guide).push(sheet.outline(outline, stroke(k + 1)));
            let hem = sheet.at(Point::new(sheet.panel.width, sheet.length));
            #[allow(clippy::cast_precision_loss)]
            let below = LABEL * (k as f64 + 1.0) + 1.0;
            let letters = fitted(&size.name, LABEL, 9.0);
            part.on(Text).push(text(hem + Vector::new(0.0, below), &size.name, letters, false));
            parts.push(part);
        }
    }
    let altered = places.place(exact, [&alteration.back, &alteration.front], depth);
    let exactly = places.place(exact, exact.panels(), depth);
    for (sheets, set, kind, stroke) in
        [(altered, "altered", Cut, Stroke::Full), (exactly, "exact", Seam, Stroke::Dashed)]
    {
        for sheet in sheets {
            let mut part = Part::new(sheet.panel.half.name(), set, 0);
            part.on(kind).push(sheet.outline(sheet.panel.edges.iter().map(|edge| &edge.path), stroke));
            parts.push(part);
        }
    }
    let mut around = Part::new("around", "", 0);
    for sheet in places.place(exact, exact.panels(), depth) {
        // The body's own hip line, and the printed one.
        for (level, stroke) in [(sheet.hip_depth, Stroke::Dashed), (depth, Stroke::Dotted)] {
            let line = [Point::new(0.0, level), Point::new(sheet.panel.width, level)];
            around.on(Guide).push(sheet.line(&line, stroke));
        }
        sheet.write(&mut around, sheet.panel.width * 0.62, sheet.hip_depth + 3.0, capitals(sheet.panel.half), LARGE);
    }
    let (legend, middle) = (
        "grey: printed sizes, and their hip line in dots; black: altered; dark dashes: exact redraft",
        places.size_mm[0] / 2.0,
    );
    let size = fitted(legend, SMALL, places.size_mm[0] - 2.0 * MARGIN);
    around.on(Text).push(text(Point::new(middle, MARGIN + size), legend, size, false));
    parts.push(around);
    let mut notes = alteration.instructions(unit);
    notes.push(alteration.verdict());
    notes.push(format!("Net lines, no allowance. {BEFORE_CUTTING}"));
    Drawing { title: super::sheet::title(exact, unit), notes, size_mm: places.size_mm, parts }
}

/// The sizes that the steps use: a place between two has both, a place at one has it alone.
fn used(alteration: &Alteration) -> Vec<&str> {
    let marks = [&alteration.blend.waist, &alteration.blend.hip];
    let ends = marks.into_iter().flat_map(|mark| {
        let from = (mark.fraction < 1.0).then_some(mark.from.as_str());
        from.into_iter().chain((mark.fraction > 0.0).then_some(mark.to.as_str()))
    });
    ends.collect()
}
