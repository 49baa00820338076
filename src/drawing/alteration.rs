//! Alteration of printed sizes: several drafts at true scale, aligned at the centre line and the hip line.
//!
//! All outlines are seam lines without allowances. A number in a ring stands where the step of that number is done, and
//! the traced sizes are named at waist, hip and hem.

use super::LayerKind::{Cut, Guide, Seam};
use super::TextAlign::Centred;
use super::panel_layout::{
    MM_PER_CM, NOTE_FONT_MM, PANEL_NAME_FONT_MM, PlacedPanel, draft_title, font_size_to_fit, relative_text_width,
};
use super::{Drawing, LineStyle, Part};
use crate::draft::{Draft, Half, Role};
use crate::findings::printed_cautions;
use crate::geometry::{Point, Vector};
use crate::sizes::{Alteration, FractionBetweenSizes, SizeRange, StepKind};
use crate::wording::{Texts, Wording, printed};

// Margin around the panels, and gap between back and front, in millimetres.
const MARGIN_MM: f64 = 8.0;
const PANEL_GAP_MM: f64 = 24.0;

// Space for size labels above the waist and below the hem, and font size of a label, in millimetres.
const SIZE_LABEL_SPACE_MM: f64 = 14.0;
const SIZE_LABEL_FONT_MM: f64 = 4.0;

// Radius of the ring around the number of a step, and distance of its middle from the step's point, in millimetres.
const STEP_RING_RADIUS_MM: f64 = 4.0;
const STEP_RING_DISTANCE_MM: f64 = 6.5;

// Line styles of the traced sizes, at most four.
const TRACED_SIZE_LINE_STYLES: [LineStyle; 4] =
    [LineStyle::Dashed, LineStyle::LongShortDashed, LineStyle::LongDashed, LineStyle::Solid];

/// Lays several drafts out on paper, all aligned at the centre lines and the hip line. Returns, in millimetres, the
/// horizontal positions of the centre back line and the centre front line from the left, the vertical position of the
/// hip line from the top, and width and height of the drawing.
fn hip_aligned_layout(drafts: &[&Draft]) -> ([f64; 2], f64, [f64; 2]) {
    let max_mm =
        |length: &dyn Fn(&Draft) -> f64| drafts.iter().map(|draft| length(draft)).fold(0.0, f64::max) * MM_PER_CM;
    let max_width = |k: usize| max_mm(&|draft| draft.panels()[k].width.max(draft.panels()[k].waist_width));
    let rise = |draft: &Draft| draft.panels().map(|panel| -panel.waist_lowering).into_iter().fold(0.0, f64::max);
    let above_hip = max_mm(&|draft| draft.body().hip_depth + rise(draft));
    let below_hip = max_mm(&|draft| draft.body().length - draft.body().hip_depth);
    let front_x = MARGIN_MM + max_width(0) + PANEL_GAP_MM + max_width(1);
    let hip_y = MARGIN_MM + SIZE_LABEL_SPACE_MM + above_hip;
    let size_mm = [front_x + MARGIN_MM, hip_y + below_hip + SIZE_LABEL_SPACE_MM + MARGIN_MM];
    ([MARGIN_MM, front_x], hip_y, size_mm)
}

/// Draws an alteration at true scale: the seam lines of the printed sizes that are traced, of the altered pattern, and
/// of the exact draft for the body.
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
pub fn draw_alteration<'t>(range: &SizeRange, alteration: &Alteration, wording: impl Into<Wording<'t>>) -> Drawing {
    let wording = wording.into();
    let texts = wording.texts;
    let exact = &alteration.exact;
    let depth = alteration.printed_hip_depth;
    let blended: Vec<&str> =
        [&alteration.blend.waist, &alteration.blend.hip].into_iter().flat_map(traced_size_names).collect();
    let printed = || range.sizes_with_drafts().filter(|(size, _)| blended.contains(&size.name.as_str()));
    let drafts: Vec<&Draft> = printed().map(|(_, draft)| draft).chain([exact]).collect();
    let (centres, mut hip_y, mut size_mm) = hip_aligned_layout(&drafts);
    // The altered waist stays on the traced waist while the hip line moves up or down; the drawing gets room for both.
    let hip_shift = (exact.body().hip_depth - depth).abs() * MM_PER_CM;
    hip_y += hip_shift;
    size_mm[1] += 2.0 * hip_shift;
    // Places back and front on the paper, with the side end of the waist `depth` cm above the common hip line.
    let place = |draft, panels: [_; 2], depth: f64| {
        let top = hip_y - depth * MM_PER_CM;
        [0, 1].map(|k: usize| PlacedPanel::new(draft, panels[k], Point::new(centres[k], top)))
    };
    let traced = printed().zip(TRACED_SIZE_LINE_STYLES).enumerate().map(|(k, ((size, draft), stroke))| {
        (place(draft, draft.panels(), draft.body().hip_depth), size.name.as_str(), Guide, stroke, Some(k))
    });
    let altered = (place(exact, [&alteration.back, &alteration.front], depth), "altered", Cut, LineStyle::Solid, None);
    let redraft = (place(exact, exact.panels(), depth), "exact", Seam, LineStyle::Dashed, None);
    let mut parts = Vec::new();
    for (panels, set, kind, stroke, traced) in traced.chain([altered, redraft]) {
        for placed in panels {
            let mut part = Part::new(placed.panel.half.name(), set, 0);
            placed.draw_edges(&mut part, kind, &placed.panel.edges, stroke);
            match traced {
                Some(k) => draw_traced_size_name(&placed, &mut part, set, k, alteration),
                None if kind == Cut => draw_step_numbers(&placed, &mut part, alteration),
                None => {}
            }
            parts.push(part);
        }
    }
    parts.push(draw_hip_lines_and_legend(place(exact, exact.panels(), depth), size_mm[0], depth, texts));
    let steps = alteration.instructions(wording).into_iter().zip(1..);
    let mut notes: Vec<String> = steps.map(|(step, number)| printed!(texts.alteration_step(), number, step)).collect();
    let changes = alteration.left_out(wording).join("; ");
    notes.extend((!changes.is_empty()).then(|| printed!(texts.left_as_printed(), changes)));
    notes.extend([alteration.sewing_verdict(texts), alteration.difference_verdict(texts)]);
    notes.extend(printed_cautions(exact.findings_in_unit(wording.ruler.unit()), texts));
    notes.extend([texts.alteration_caution(), texts.print_and_measure()].map(ToString::to_string));
    let (title, key) = (draft_title(exact, wording), Vec::new());
    Drawing { title, notes, key, size_mm, parts, texts: texts.clone() }
}

/// Draws the name of a traced size: at the side end of the waist if the alteration traces the waist of that size, at
/// the hip mark and the hem if the alteration traces the hip of that size. `k` is the index of the size among the
/// traced sizes, so that the names of neighbours lie on different levels.
fn draw_traced_size_name(placed: &PlacedPanel, part: &mut Part, name: &str, k: usize, alteration: &Alteration) {
    let traces = |between: &FractionBetweenSizes| traced_size_names(between).any(|size| size == name);
    let (traces_waist, traces_hip) = (traces(&alteration.blend.waist), traces(&alteration.blend.hip));
    let panel = placed.panel;
    let level = SIZE_LABEL_FONT_MM * k as f64;
    // At the hip the name stands at the seam of its size, on the side away from the altered seam.
    let altered = if panel.half == Half::Back { &alteration.back } else { &alteration.front };
    let away = if panel.width < altered.width { -1.0 } else { 1.0 };
    let beside = away * (0.8 + relative_text_width(name) * SIZE_LABEL_FONT_MM / 2.0);
    let below = SIZE_LABEL_FONT_MM + 1.0 + level;
    let ends = [
        (traces_waist, [panel.waist_width, 0.0], [0.0, -1.5 - level]),
        (traces_hip, [panel.width, placed.hip_depth], [beside, below]),
        (traces_hip, [panel.width, placed.length], [0.0, below]),
    ];
    for (_, end, [outwards, down]) in ends.into_iter().filter(|(is_traced, ..)| *is_traced) {
        let middle = placed.to_paper_mm(end.into()) + Vector::new(outwards * placed.towards_side, down);
        part.draw_fitted_text(middle, Centred, name, [SIZE_LABEL_FONT_MM, 9.0]);
    }
}

/// Draws the number of each step of the alteration, in a ring, at the point of an altered panel where the step is done.
fn draw_step_numbers(placed: &PlacedPanel, part: &mut Part, alteration: &Alteration) {
    let panel = placed.panel;
    let first_stretch = panel.paths(Role::Waist).next().map(|waist| waist.point_at(0.5));
    let hip_mark = Point::new(panel.width, alteration.printed_hip_depth);
    let tip = panel.darts.first().map(|dart| dart.tip);
    let curve = panel.paths(Role::Side).next().map(|side| side.point_at(0.45));
    for step in alteration.steps_done() {
        // Place on the panel, and the way from there to the middle of the ring: outwards and down, in millimetres.
        let (place, [outwards, down]) = match step.kind {
            StepKind::Waist => (first_stretch, [0.0, -STEP_RING_DISTANCE_MM]),
            StepKind::Hip => (Some(hip_mark), [-0.8 * STEP_RING_DISTANCE_MM, -STEP_RING_DISTANCE_MM]),
            StepKind::HipLine => (Some(Point::new(panel.width * 0.3, placed.hip_depth)), [0.0, STEP_RING_DISTANCE_MM]),
            StepKind::Darts => (tip, [0.0, STEP_RING_DISTANCE_MM]),
            StepKind::Side => (curve, [STEP_RING_DISTANCE_MM, 0.0]),
            StepKind::Hem => (Some(Point::new(panel.width * 0.5, placed.length)), [0.0, -STEP_RING_DISTANCE_MM]),
        };
        let Some((place, number)) = place.zip(step.number) else { continue };
        let middle = placed.to_paper_mm(place) + Vector::new(outwards * placed.towards_side, down);
        part.draw_ringed_number(middle, STEP_RING_RADIUS_MM, number);
    }
}

/// Returns the part of an alteration's drawing with the new and the printed hip line, the names of the panels and the
/// legend of the line styles, in a drawing `width` mm wide. `printed_depth` is the printed hip depth in centimetres.
fn draw_hip_lines_and_legend(panels: [PlacedPanel; 2], width: f64, printed_depth: f64, texts: &Texts) -> Part {
    let mut part = Part::new("around", "", 0);
    for placed in panels {
        for (level, stroke) in [(placed.hip_depth, LineStyle::Dashed), (printed_depth, LineStyle::Dotted)] {
            placed.draw_horizontal_line(&mut part, level, stroke);
        }
        let (name, x) = (texts.piece_name_in_capitals(placed.panel.half.name()), placed.panel.width * 0.62);
        placed.draw_horizontal_text(&mut part, x, placed.hip_depth + 3.0, &name, PANEL_NAME_FONT_MM);
    }
    let legend = texts.alteration_lines();
    let size = font_size_to_fit(legend, NOTE_FONT_MM, width - 2.0 * MARGIN_MM);
    part.draw_text(Point::new(width / 2.0, MARGIN_MM + size), Centred, legend, size);
    part
}

/// Returns the names of the two sizes between which a girth lies, or of one size if the girth is exactly that size's.
fn traced_size_names(between: &FractionBetweenSizes) -> impl Iterator<Item = &str> {
    let from = (between.fraction < 1.0).then_some(between.from.as_str());
    from.into_iter().chain((between.fraction > 0.0).then_some(between.to.as_str()))
}
