//! Size nest: chosen sizes at true scale on each other, aligned at the centre line and the hip line.
//!
//! The lines and texts of one size are in parts of that size, so that a viewer can show one size alone. Texts and marks
//! that all sizes share are drawn once, inside the outline of the smallest size.

use super::LayerKind::{Cut, Dart, Fold, Notch, Seam};
use super::LineStyle::{DashDot, DashDotDot, Dashed, LongDashed, LongShortDashed, Solid, WideDotted};
use super::panel_layout::{
    LABEL_FONT_MM, MM_PER_CM, PlacedPanel, cutting_instruction, hip_to_lengthening_line_cm, included_allowances_text,
    piece_number_text, press_instruction,
};
use super::pieces::{notions_note, vent_note};
use super::waist_pieces::{part_name_of_piece, waist_finish_note};
use super::{Drawing, LineStyle, Part, SizeKeyRow, size_layer_name};
use crate::draft::{Edge, Role};
use crate::field::EQUALITY_TOLERANCE_CM;
use crate::findings::Finding;
use crate::geometry::{Path, Point, Vector};
use crate::pattern::{Notch as PatternNotch, NotchPlace, Pattern, Piece, PieceName, centre_point_and_upward_direction};
use crate::sizes::{ChoiceRule, Nest};
use crate::text::{is_blank, title_with_name};
use crate::wording::{Wording, printed};

// Margin around the panels, gap between back and front, and space for the names of sizes at their edges, in mm.
pub(super) const MARGIN_MM: f64 = 8.0;
const PANEL_GAP_MM: f64 = 24.0;
pub(super) const SIZE_NAME_SPACE_MM: f64 = 20.0;

/// Line styles of consecutive sizes, repeated after six sizes; the styles of neighbours differ most, and from folds.
const SIZE_LINE_STYLES: [LineStyle; 6] = [Solid, Dashed, LongShortDashed, WideDotted, LongDashed, DashDotDot];

/// Draws the sizes of a nest at true scale: for each size a [`Part`] for each piece, with the size's name as its `set`;
/// then for each piece a part with what all sizes share. Back and front share the centre line and the hip line, facings
/// the end of the waist on the centre line, waistbands the centre front. Without allowances the seam lines are drawn,
/// otherwise the cut lines.
///
/// ```
/// use kirtle::{Cutting, Ease, Preset, Rules, SizeChart, Unit};
///
/// let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let nest = range.nest(&["36-44"], &Cutting::preset(Preset::Garment, Unit::Cm))?;
/// let drawing = kirtle::drawing::draw_nest(&nest, Unit::Cm);
/// assert!(drawing.parts.iter().any(|part| part.set == "38" && part.name == "front"));
/// assert_eq!(drawing.key.len(), 6);
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn draw_nest<'t>(nest: &Nest, wording: impl Into<Wording<'t>>) -> Drawing {
    let wording = wording.into();
    let sheet = NestLayout::new(nest, wording);
    // For each piece its part in each size.
    let mut pieces = [0, 1].map(|half| sheet.draw_panels_with_size_names(half)).to_vec();
    let mut shared = [0, 1].map(|half| sheet.draw_marks_shared_by_sizes(half)).to_vec();
    let size_mm = sheet.draw_waist_pieces(&mut pieces, &mut shared);
    let parts_of_size = |k: usize| pieces.iter().map(move |sizes| sizes[k].clone());
    let parts = (0..nest.sizes().len()).flat_map(parts_of_size).chain(shared).collect();
    let (texts, (smallest, pattern)) = (wording.texts, &nest.sizes()[0]);
    let [waist, hip] = pattern.draft().ease().into_array().map(|ease| wording.length(ease));
    let title = printed!(texts.nest_title(), sizes = sheet.size_range_in_words(), waist, hip, unit = wording.unit());
    let lines = if sheet.draws_seam_lines { texts.nest_seam_lines() } else { texts.nest_cut_lines() };
    let lines = printed!(lines, allowances = included_allowances_text(pattern, wording));
    let mut notes = pattern.cutting().notes.clone();
    let tolerance = wording.with_unit(wording.input_length(ChoiceRule::default().tolerance));
    notes.extend([printed!(texts.find_size(), tolerance), lines]);
    notes.extend(vent_note(pattern, wording).into_iter().chain(waist_finish_note(pattern, None, wording)));
    notes.push(notions_note(pattern, wording));
    notes.extend(cautions_of_sizes(nest, wording));
    notes.extend([
        printed!(texts.size_layers(), layer = size_layer_name(smallest, texts)),
        texts.print_and_measure().to_string(),
    ]);
    let (title, key) = (title_with_name(&pattern.cutting().name, &title), size_key_rows(nest, wording));
    Drawing { title, notes, key, size_mm, parts, texts: texts.clone() }
}

/// Returns the line style of the size at index `k` of a nest, from 0.
pub(super) fn line_style_of_size(k: usize) -> LineStyle {
    SIZE_LINE_STYLES[k % SIZE_LINE_STYLES.len()]
}

/// Returns the largest distances that any piece reaches from its reference point, in millimetres: to the left, up, to
/// the right, down. Each piece is given by its reference point and the corners of its bounding box, in centimetres.
pub(super) fn largest_extents_from_reference_mm(pieces: impl Iterator<Item = (Point, [Point; 2])>) -> [f64; 4] {
    let extents = pieces.map(|(at, [min, max])| [at.x - min.x, at.y - min.y, max.x - at.x, max.y - at.y]);
    let largest = |a: [f64; 4], b: [f64; 4]| std::array::from_fn(|k| a[k].max(b[k]));
    extents.fold([0.0; 4], largest).map(|cm| cm * MM_PER_CM)
}

/// Layout of a nest on paper, in millimetres: all sizes are aligned at the centre lines and the hip line.
pub(super) struct NestLayout<'n> {
    pub(super) sizes: &'n [(String, Pattern)],
    pub(super) wording: Wording<'n>,
    /// Horizontal positions of centre back and centre front, the same for all sizes, in millimetres.
    pub(super) centres: [f64; 2],
    pub(super) hip_y: f64,
    /// Distance from the hip line to the hem of the shortest size, in millimetres.
    pub(super) shortest_hip_to_hem: f64,
    /// Width and height of the drawing of back and front, in millimetres.
    pub(super) size_mm: [f64; 2],
    /// Whether seam lines with open darts are drawn instead of cut lines; true if no size has an allowance.
    pub(super) draws_seam_lines: bool,
}

impl<'n> NestLayout<'n> {
    fn new(nest: &'n Nest, wording: Wording<'n>) -> Self {
        let sizes = nest.sizes();
        let depth = |pattern: &Pattern| pattern.draft().body().hip_depth;
        let [[left, back_up, back, back_down], [front_beyond, front_up, front, front_down]] = [0, 1].map(|half| {
            let at_hip = |pattern: &Pattern| Point::new(0.0, depth(pattern));
            let pieces = sizes.iter().map(|(_, pattern)| (at_hip(pattern), pattern.pieces()[half].bounds()));
            largest_extents_from_reference_mm(pieces)
        });
        let back_x = MARGIN_MM + SIZE_NAME_SPACE_MM + left;
        let front_x = back_x + back + PANEL_GAP_MM + front;
        let hip_y = MARGIN_MM + back_up.max(front_up);
        let lengths = sizes.iter().map(|(_, pattern)| pattern.draft().body().length - depth(pattern));
        let has_no_allowance = |pattern: &Pattern| pattern.cut_allowances.into_array().iter().all(|cm| *cm <= 0.0);
        let draws_seam_lines = sizes.iter().all(|(_, pattern)| has_no_allowance(pattern));
        let shortest_hip_to_hem = lengths.fold(f64::INFINITY, f64::min) * MM_PER_CM;
        let centres = [back_x, front_x];
        let size_mm =
            [front_x + front_beyond, hip_y + back_down.max(front_down)].map(|end| end + SIZE_NAME_SPACE_MM + MARGIN_MM);
        Self { sizes, wording, centres, hip_y, shortest_hip_to_hem, size_mm, draws_seam_lines }
    }

    /// Returns the back (`half` 0) or front (`half` 1) of the size at index `k`, placed on the paper with its hip line
    /// on the nest's hip line.
    pub(super) fn placed_panel_of_size(&self, k: usize, half: usize) -> PlacedPanel<'n> {
        let pattern = &self.sizes[k].1;
        let top = self.hip_y - pattern.draft().body().hip_depth * MM_PER_CM;
        PlacedPanel::of_pattern(pattern, &pattern.pieces()[half].panel, Point::new(self.centres[half], top))
    }

    /// Returns the line of a back or front that the nest draws as the outline. The extension of a vent is part of the
    /// cut line only, which without allowances is the seam line.
    pub(super) fn outline_of_panel(&self, piece: &Piece) -> Vec<Edge> {
        if self.draws_seam_lines && piece.vent.is_none() { piece.seam_line() } else { piece.cut.clone() }
    }

    /// Returns the point of the drawn cut line or seam line at which a notch starts, in centimetres of its piece.
    pub(super) fn start_of_notch(&self, notch: &PatternNotch) -> Point {
        if self.draws_seam_lines { notch.seam } else { notch.cuts[0][0] }
    }

    /// Creates the part of a piece in the size at index `k` and draws its outline. The edges that coincide in all sizes
    /// are solid, the fold among them: the long edges of a waistband, and the centre line of any other piece, at least
    /// below the hip line, except the horizontal edge above a vent. Dart legs are left out.
    pub(super) fn part_with_outline(&self, k: usize, placed: &PlacedPanel, piece: PieceName, outline: &[Edge]) -> Part {
        let mut part = Part::new(&part_name_of_piece(piece), &self.sizes[k].0, piece.copies());
        let kind = if self.draws_seam_lines { Seam } else { Cut };
        let common = if piece == PieceName::Waistband { Role::Waist } else { Role::Centre };
        let is_level = |path: &Path| (path.start().y - path.end().y).abs() < EQUALITY_TOLERANCE_CM;
        let is_common = |edge: &Edge| edge.role == common && !is_level(&edge.path);
        let line_of = |edge: &Edge| (self.draws_seam_lines && edge.role == Role::Dart, is_common(edge));
        for edges in outline.chunk_by(|a, b| line_of(a) == line_of(b)) {
            let (kind, stroke) = match line_of(&edges[0]) {
                (true, _) => continue,
                (_, true) => (if piece.on_fold() { Fold } else { kind }, Solid),
                _ => (kind, line_style_of_size(k)),
            };
            placed.draw_edges(&mut part, kind, edges, stroke);
        }
        part
    }

    /// Returns the distance from hip line to lengthening line, in centimetres, the same for all sizes.
    fn hip_to_lengthening_line_cm(&self) -> f64 {
        hip_to_lengthening_line_cm(self.shortest_hip_to_hem / MM_PER_CM, &self.sizes[0].1)
    }

    /// Draws all lines of one panel (`half` 0 back, 1 front) of the size at index `k`: outline, darts, notches, zip
    /// opening, hip line, lengthening line.
    pub(super) fn draw_panel_of_size(&self, k: usize, half: usize) -> Part {
        let (placed, stroke) = (self.placed_panel_of_size(k, half), line_style_of_size(k));
        let piece = self.sizes[k].1.pieces()[half];
        let mut part = self.part_with_outline(k, &placed, piece.name(), &self.outline_of_panel(piece));
        let mut tips = placed.dart_centre_lines().flat_map(|[_, tip]| [tip; 2]);
        for notch in &piece.notches {
            // A dart leg starts at its notch on the outline.
            let start = self.start_of_notch(notch);
            let mut draw_to = |end, kind, stroke| placed.draw_polyline(&mut part, kind, &[start, end], stroke);
            match notch.place {
                NotchPlace::DartLeg => draw_to(tips.next().unwrap_or(start), Dart, stroke),
                NotchPlace::OpeningEnd => draw_to(notch.seam + Vector::new(0.6, 0.0), Notch, Solid),
                _ => placed.draw_notch(&mut part, notch),
            }
        }
        placed.draw_horizontal_line(&mut part, placed.hip_depth, Dashed);
        placed.draw_lengthening_line(&mut part, placed.hip_depth + self.hip_to_lengthening_line_cm());
        part
    }

    /// Draws what all sizes of a panel (`half` 0 back, 1 front) share: names, instructions, grain line, fold, labels.
    fn draw_marks_shared_by_sizes(&self, half: usize) -> Part {
        let texts = self.wording.texts;
        let patterns = self.sizes.iter().map(|(_, pattern)| pattern);
        let pattern = &self.sizes[0].1;
        let piece = pattern.pieces()[half];
        let mut shared = Part::new(&format!("{}-marks", piece.panel.half.name()), "", 0);
        let part = &mut shared;
        let smallest = self.placed_panel_of_size(0, half);
        // The texts end above the lengthening line.
        let length = smallest.hip_depth + self.hip_to_lengthening_line_cm();
        let placed = PlacedPanel { length, ..smallest };
        let (panel, hip, label_x) = (placed.panel, placed.hip_depth, placed.panel.width * 0.62);
        let mut lines = self.nest_name_and_size_range();
        lines.insert(lines.len() - 1, cutting_instruction(texts, piece.name(), piece.on_fold()).to_owned());
        lines.push(piece_number_text(texts, pattern, half));
        lines.extend(press_instruction(texts, pattern, panel));
        placed.draw_panel_text_block(part, texts, &lines);
        placed.draw_horizontal_text(part, label_x, hip - 0.2, texts.hip_line(), LABEL_FONT_MM);
        placed.draw_horizontal_text(part, label_x, length - 0.2, texts.lengthen_here(), LABEL_FONT_MM);
        let depth_below_hip = |pattern: &Pattern, point: Point| point.y - pattern.draft().body().hip_depth;
        let folds =
            patterns.clone().filter_map(|it| Some(it.pieces()[half].vent?.fold.map(|end| depth_below_hip(it, end))));
        if let (Some(vent), Some([from, to])) = (&piece.vent, folds.reduce(|a, b| [a[0].min(b[0]), a[1].max(b[1])])) {
            placed.draw_polyline(part, Fold, &[from, to].map(|y| Point::new(vent.fold[0].x, hip + y)), DashDot);
            placed.draw_vent_label(part, vent, self.wording);
        }
        let ends = patterns.clone().map(|it| it.pieces()[half].grain.map(|end| depth_below_hip(it, end)));
        let [from, to] = ends.reduce(|a, b| [a[0].max(b[0]), a[1].min(b[1])]).unwrap_or_default();
        let x = piece.grain[0].x;
        placed.draw_grain_line(part, [from, to].map(|y| Point::new(x, hip + y)));
        placed.draw_upward_text(part, x - 0.15 * placed.towards_side, texts.grain_line(), LABEL_FONT_MM);
        if piece.on_fold() {
            placed.draw_fold_bracket(part);
            placed.draw_upward_text(part, 2.2, texts.centre_front_fold(), LABEL_FONT_MM);
        } else if half == 1 {
            placed.draw_centre_line_if_whole(part, &piece.cut);
            placed.draw_upward_text(part, 0.6, texts.centre_front(), LABEL_FONT_MM);
        } else {
            placed.draw_upward_text(part, 1.2, texts.centre_back_seam(), LABEL_FONT_MM);
            // The label stands below all marks, and not across the hip line.
            let zip_end = |it: &Pattern| centre_point_and_upward_direction(&it.back.panel, it.opening()).0;
            let ends = patterns.map(|it| depth_below_hip(it, zip_end(it)));
            let lowest = ends.fold(f64::NEG_INFINITY, f64::max) + 0.55;
            let y = hip + if (-0.1..0.5).contains(&lowest) { 0.5 } else { lowest };
            let seam_x = centre_point_and_upward_direction(panel, pattern.opening()).0.x;
            let label = printed!(texts.zip_end(), length = self.wording.length_with_unit(pattern.opening()));
            placed.draw_zip_end_label(part, &label, [seam_x, x], y);
        }
        shared
    }

    /// Returns the lines that name the nest on a piece: the requested name, if there is one, and the range of sizes,
    /// such as "5 sizes, 36 to 44".
    pub(super) fn nest_name_and_size_range(&self) -> Vec<String> {
        let name = &self.sizes[0].1.cutting().name;
        let name = (!is_blank(name)).then(|| name.clone());
        name.into_iter().chain([self.size_range_in_words()]).collect()
    }

    /// Returns the number of sizes with the first and the last name in words, such as "5 sizes, 36 to 44"; "size 38"
    /// for a single size.
    fn size_range_in_words(&self) -> String {
        let (count, first, last) = (self.sizes.len(), &self.sizes[0].0, &self.sizes[self.sizes.len() - 1].0);
        let texts = self.wording.texts;
        let template = if count == 1 { texts.one_size() } else { texts.size_range() };
        printed!(template, name = first, count, first, last)
    }
}

/// Returns each kind of caution once: as worded for the first size that has it, with the names of all such sizes.
fn cautions_of_sizes(nest: &Nest, wording: Wording) -> Vec<String> {
    let mut found: Vec<(Finding, Vec<&str>)> = Vec::new();
    for (name, pattern) in nest.sizes() {
        for finding in pattern.cautions_in_unit(wording.ruler.unit()) {
            let is_same =
                |(other, _): &&mut (Finding, _)| (&other.code, &other.panel) == (&finding.code, &finding.panel);
            match found.iter_mut().find(is_same) {
                Some((_, names)) => names.push(name),
                None => found.push((finding, vec![name])),
            }
        }
    }
    let in_words = |(finding, names): (Finding, Vec<&str>)| {
        let sizes = printed!(wording.texts.one_size(), name = names.join(", "));
        printed!(wording.texts.caution(), caution = format!("{} ({sizes})", finding.message_in(wording.texts)))
    };
    found.into_iter().map(in_words).collect()
}

/// Returns the key of a nest: a row of heads, then for each size the body measurements and the finished waist and hip.
fn size_key_rows(nest: &Nest, wording: Wording) -> Vec<SizeKeyRow> {
    let texts = wording.texts;
    let size = printed!(texts.key_size(), unit = wording.unit());
    let heads = [&*size, texts.waist(), texts.hip(), texts.hip_depth(), texts.length()];
    let heads = heads.into_iter().chain([texts.key_finished_waist(), texts.key_finished_hip()]);
    let row = |(k, (name, pattern)): (usize, &(String, Pattern))| {
        let (body, ease) = (pattern.draft().body(), pattern.draft().ease());
        let lengths = body.into_array().into_iter().chain([body.waist + ease.waist, body.hip + ease.hip]);
        let cells = std::iter::once(name.clone()).chain(lengths.map(|cm| wording.length(cm))).collect();
        SizeKeyRow { stroke: Some(line_style_of_size(k)), cells }
    };
    let heads = SizeKeyRow { stroke: None, cells: heads.map(str::to_owned).collect() };
    std::iter::once(heads).chain(nest.sizes().iter().enumerate().map(row)).collect()
}
