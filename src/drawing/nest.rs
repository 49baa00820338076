//! Size nest: several drafts at true scale, aligned at the centre line and the hip line.
//!
//! For whoever traces a size. All outlines are seam lines without allowances.

use super::LayerKind::{Dart, Guide, Seam, Text};
use super::header::NOTE_BEFORE_CUTTING;
use super::panel_layout::{
    LARGE_MM, MM_IN_CM, PlacedPanel, letter_size_to_fit, panel_name_capitals, straight_line, text_mark,
    width_per_letter_size,
};
use super::{Drawing, LineStyle, Part};
use crate::draft::{Draft, Role};
use crate::field::Unit;
use crate::geometry::{Point, Vector};
use crate::pattern;
use crate::sizes::SizeRange;

// Margin around the panels, and gap between back and front, in millimetres.
const MARGIN: f64 = 8.0;
const GAP: f64 = 24.0;

// Space for size labels above the waist and below the hem, and letter size of a label, in millimetres.
const LABEL_SPACE: f64 = 14.0;
const LABEL_SIZE: f64 = 4.0;

// Maximum and minimum distance between the lines of the key, and length of a line sample, in millimetres.
const MAX_KEY_LINE: f64 = 6.0;
const MIN_KEY_LINE: f64 = 2.5;
const KEY_SAMPLE: f64 = 18.0;

/// Positions on the paper of the centre lines and the hip line at which several drafts are aligned, in millimetres.
struct NestLayout {
    /// Horizontal position of the centre back line.
    back_x: f64,
    /// Horizontal position of the centre front line.
    front_x: f64,
    /// Vertical position of the hip line.
    hip_y: f64,
    size_mm: [f64; 2],
}

impl NestLayout {
    fn new(drafts: &[&Draft]) -> Self {
        let max_mm =
            |length: &dyn Fn(&Draft) -> f64| drafts.iter().map(|draft| length(draft)).fold(0.0, f64::max) * MM_IN_CM;
        let max_width = |k: usize| max_mm(&|draft| draft.panels()[k].width.max(draft.panels()[k].waist_width));
        let rise = |draft: &Draft| draft.panels().map(|panel| -panel.waist_lowering).into_iter().fold(0.0, f64::max);
        let above_hip = max_mm(&|draft| draft.body().hip_depth + rise(draft));
        let below_hip = max_mm(&|draft| draft.body().length - draft.body().hip_depth);
        let front_x = MARGIN + max_width(0) + GAP + max_width(1);
        let hip_y = MARGIN + LABEL_SPACE + above_hip;
        let size_mm = [front_x + MARGIN, hip_y + below_hip + LABEL_SPACE + MARGIN];
        Self { back_x: MARGIN, front_x, hip_y, size_mm }
    }

    /// Returns the back and front of a draft, placed on the paper with their hip line on the nest's hip line.
    fn place_draft_on_hip_line<'d>(&self, draft: &'d Draft) -> [PlacedPanel<'d>; 2] {
        let top = self.hip_y - draft.body().hip_depth * MM_IN_CM;
        let placed = [(&draft.back, self.back_x), (&draft.front, self.front_x)];
        placed.map(|(panel, x)| PlacedPanel::new(draft, panel, Point::new(x, top)))
    }
}

/// Draws the seam lines of all sizes of a range at true scale: for each size two [`Part`]s, back and front, with the
/// size's name as their `set`.
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
    let layout = NestLayout::new(&range.drafts().iter().collect::<Vec<_>>());
    let mut parts = Vec::new();
    for (k, (size, draft)) in range.sizes_with_drafts().enumerate() {
        let stroke = size_line_style(k);
        for placed in layout.place_draft_on_hip_line(draft) {
            let mut part = Part::new(placed.panel.half.name(), &size.name, 0);
            draw_seam_lines_and_dart_legs(&placed, &mut part, stroke);
            let hem = Point::new(placed.panel.width, placed.length);
            // Labels of neighbouring sizes alternate between two levels, so that the labels do not overlap.
            let level = f64::from(u8::from(k % 2 == 1));
            let label_size = letter_size_to_fit(&size.name, LABEL_SIZE, 9.0);
            let label = |at: Point, down: f64| text_mark(at + Vector::new(0.0, down), &size.name, label_size, false);
            part.add_mark(Text, label(placed.to_paper_mm(hem), LABEL_SIZE + 1.0 + level * LABEL_SIZE));
            // A second label stands inside the side seam just below the waist, where the sizes are apart.
            if let Some(side) = placed.panel.paths(Role::Side).next() {
                let at = placed.to_paper_mm(side.point_at(0.15) - Vector::new(0.4, 0.0));
                part.add_mark(Text, label(at, level * LABEL_SIZE));
            }
            parts.push(part);
        }
    }
    parts.push(draw_guides_and_size_key(range, &layout, unit));
    let ease = range.ease();
    let title = format!(
        "Nest of {} sizes, {} to {}; ease {} at the waist, {} at the hip ({})",
        range.drafts().len(),
        range.chart().sizes()[0].name,
        range.chart().sizes()[range.drafts().len() - 1].name,
        unit.format_for_cutters(ease.waist),
        unit.format_for_cutters(ease.hip),
        unit.name()
    );
    let notes = vec![
        "Seam lines: add allowances. All sizes are aligned at the centre line and the hip line.".to_owned(),
        NOTE_BEFORE_CUTTING.to_owned(),
    ];
    Drawing { title, notes, size_mm: layout.size_mm, parts }
}

/// Returns the line style of the size at index `k` of a range, so that neighbouring sizes differ without colour.
fn size_line_style(k: usize) -> LineStyle {
    const STROKES: [LineStyle; 4] = [LineStyle::Solid, LineStyle::Dashed, LineStyle::DashDot, LineStyle::LongDashed];
    STROKES[k % STROKES.len()]
}

/// Draws the seam lines and dart legs of a placed panel into a part, all in one line style.
fn draw_seam_lines_and_dart_legs(placed: &PlacedPanel, part: &mut Part, stroke: LineStyle) {
    let is_dart = |role: Role| role == Role::Dart;
    for edges in placed.panel.edges.chunk_by(|a, b| is_dart(a.role) == is_dart(b.role)) {
        let kind = if is_dart(edges[0].role) { Dart } else { Seam };
        part.add_mark(kind, placed.panel_line_mark(edges.iter().map(|edge| &edge.path), stroke));
    }
}

/// Returns a part of a nest: hip and grain lines of the largest size, panel names, and a key of line styles and sizes.
fn draw_guides_and_size_key(range: &SizeRange, layout: &NestLayout, unit: Unit) -> Part {
    let mut part = Part::new("around", "", 0);
    let Some(largest) = range.drafts().last() else { return part };
    for placed in layout.place_draft_on_hip_line(largest) {
        placed.draw_hip_and_grain_lines(&mut part, pattern::grain_line(placed.panel, largest.body()));
        let name = panel_name_capitals(placed.panel.half);
        placed.draw_level_text(&mut part, placed.panel.width * 0.5, placed.hip_depth + 3.0, name, LARGE_MM);
    }
    let rows: Vec<String> = range
        .sizes_with_drafts()
        .map(|(size, draft)| {
            let body = draft.body();
            let [waist, hip, depth, length] = body.into_array().map(|value| unit.format_for_cutters(value));
            let name = &size.name;
            format!("{name}: waist {waist}, hip {hip}, hip depth {depth}, length {length} {}", unit.name())
        })
        .collect();
    // The key stands on the back below the name, between the grain line and the side seam of the smallest size.
    let [back, _] = layout.place_draft_on_hip_line(&range.drafts()[0]);
    let [grain, _] = pattern::grain_line(&largest.back, largest.body());
    let left = grain.x * MM_IN_CM + 4.0;
    let row_width = back.panel.width * MM_IN_CM - left - KEY_SAMPLE - 6.0;
    let key_height = (largest.body().length - largest.body().hip_depth) * MM_IN_CM - 60.0;
    #[allow(clippy::cast_precision_loss)]
    let step = (key_height / rows.len() as f64).clamp(MIN_KEY_LINE, MAX_KEY_LINE);
    let size = rows.iter().map(|row| letter_size_to_fit(row, step * 0.8, row_width)).fold(step * 0.8, f64::min);
    let mut start = Point::new(layout.back_x + left, layout.hip_y + 45.0);
    for (k, row) in rows.iter().enumerate() {
        part.add_mark(Guide, straight_line(start, start + Vector::new(KEY_SAMPLE, 0.0), size_line_style(k)));
        let middle = start + Vector::new(KEY_SAMPLE + 2.0 + width_per_letter_size(row) * size / 2.0, size / 3.0);
        part.add_mark(Text, text_mark(middle, row, size, false));
        start.y += step;
    }
    part
}
