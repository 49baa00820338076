//! The steps that draw one panel: points to measure, lines to draw, and the instruction in words.
//!
//! Points are named by letters from A. Exact positions are taken from the draft. A step uses only points that are
//! already marked.

use super::curve_through_points;
use super::waist::WaistMarks;
use crate::draft::{Draft, Half, Panel, Role};
use crate::geometry::{Path, Point, Vector};
use crate::wording::{Wording, printed};

/// Depths of the points that mark the curve of the side seam, as fractions of the hip depth.
const SIDE_SEAM_MARK_DEPTH_SHARES: [f64; 3] = [0.25, 0.5, 0.75];

/// Steps that draw one panel by hand.
#[derive(Clone, Debug, PartialEq)]
pub struct PanelLesson {
    /// Whether the panel is the back or the front.
    pub half: Half,
    /// Steps in the order in which they are drawn.
    pub steps: Vec<Step>,
}

/// Step of drawing a panel by hand: points to mark, and strokes that join points.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Instruction in whole sentences, with lengths in the unit and the rounding of the lesson's ruler.
    pub text: String,
    /// Points that the step marks, in order.
    pub points_to_mark: Vec<PointToMark>,
    /// Lines and curves that the step draws.
    pub strokes: Vec<Stroke>,
    /// Whether everything that the step draws lies between the waist and the hip line.
    pub is_above_hip: bool,
}

/// Point to mark, given by its distances from an earlier point, in centimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PointToMark {
    /// Letter of the point to measure from; a space for A, the first point, which is at the origin.
    pub from: char,
    /// Distance towards the side, in centimetres; negative towards the centre.
    pub out: f64,
    /// Distance down, in centimetres; negative upwards.
    pub down: f64,
    /// Distances towards the side and down to measure, in centimetres: marks of the lesson's ruler, as in the text.
    pub on_ruler: [f64; 2],
    /// Letter of the point that is marked.
    pub to: char,
}

/// Line or smooth curve through marked points.
#[derive(Clone, Debug, PartialEq)]
pub struct Stroke {
    /// Letters of the points, in order.
    pub points: Vec<char>,
    /// Kind of line that the stroke draws on the pattern.
    pub kind: StrokeKind,
}

/// Kind of line that a stroke draws on the pattern.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StrokeKind {
    /// Construction line, such as the hip line.
    Construction,
    /// Centre line, hem or straight side seam.
    Straight,
    /// Curve of the side seam from waist to hip line.
    SideSeam,
    /// Leg of a dart.
    Dart,
    /// Stretch of the waist from the centre line or a dart to the next dart or the side seam.
    Waist,
}

impl Step {
    /// Returns whether the step is common practice: true for the frame of the panel and the final check, false for the
    /// steps above the hip line, which are derived from the method.
    pub fn is_common_practice(&self) -> bool {
        !self.is_above_hip
    }
}

impl Stroke {
    /// Returns the stroke as paths: a straight line through two points, a smooth curve through more. `positions` gives
    /// the position of each letter, in centimetres.
    pub fn paths(&self, positions: &[(char, Point)]) -> Vec<Path> {
        let position = |letter: &char| positions.iter().find(|(name, _)| name == letter).map(|(_, point)| *point);
        curve_through_points(&self.points.iter().filter_map(position).collect::<Vec<_>>())
    }
}

impl PanelLesson {
    /// Returns letter and exact position, in centimetres, of every marked point.
    pub fn points(&self) -> Vec<(char, Point)> {
        marked_points(&self.steps, |measure| [measure.out, measure.down])
    }

    /// Returns letter and position, in centimetres, of every marked point, measured with the printed lengths.
    pub fn drawn_points(&self) -> Vec<(char, Point)> {
        marked_points(&self.steps, |measure| measure.on_ruler)
    }

    pub(super) fn new(draft: &Draft, panel: &Panel, marks: &WaistMarks, wording: Wording) -> Self {
        let is_slanted = panel.centre_waist_point().x > 0.0;
        let mut builder = PanelLessonBuilder { wording, is_slanted, marked: Vec::new(), steps: Vec::new() };
        builder.add_frame_steps(draft, panel);
        builder.add_waist_end_and_side_seam_steps(draft, panel, marks.side);
        let mouths: Vec<[char; 2]> =
            marks.mouths.iter().enumerate().map(|(k, mouth)| builder.add_dart_step(panel, k, *mouth)).collect();
        builder.add_waist_step(panel, &mouths);
        builder.add_check_step(panel.half);
        Self { half: panel.half, steps: builder.steps }
    }
}

/// Returns letter and position, in centimetres, of every point that steps mark at given distances out and down.
fn marked_points(steps: &[Step], distances: impl Fn(&PointToMark) -> [f64; 2]) -> Vec<(char, Point)> {
    let mut marked: Vec<(char, Point)> = Vec::new();
    for measure in steps.iter().flat_map(|step| &step.points_to_mark) {
        let from = marked.iter().find(|(name, _)| *name == measure.from).map_or_else(Point::origin, |(_, at)| *at);
        marked.push((measure.to, from + Vector::from(distances(measure))));
    }
    marked
}

/// Returns the lengths of the waist, without the mouths of darts, and of the side seam that steps draw, in centimetres.
pub(super) fn drawn_waist_and_side(steps: &[Step], positions: &[(char, Point)]) -> [f64; 2] {
    let length = |stroke: &Stroke| stroke.paths(positions).iter().map(Path::length).sum::<f64>();
    let strokes = || steps.iter().flat_map(|step| &step.strokes);
    let side = |stroke: &&Stroke| stroke.kind == StrokeKind::SideSeam || stroke.points == ['E', 'F'];
    [
        strokes().filter(|stroke| stroke.kind == StrokeKind::Waist).map(length).sum(),
        strokes().filter(side).map(length).sum(),
    ]
}

/// Builder of the steps of one panel: the points marked so far, with their letters, and the steps written so far.
struct PanelLessonBuilder<'t> {
    wording: Wording<'t>,
    /// Whether the centre seam lies further in at the waist than at the hip line.
    is_slanted: bool,
    marked: Vec<(char, Point)>,
    steps: Vec<Step>,
}

impl PanelLessonBuilder<'_> {
    /// Marks the point `at` with the next letter; returns its distances from the point with the letter `from`, or from
    /// the origin if no point has that letter.
    fn mark_point(&mut self, from: char, at: Point) -> PointToMark {
        let start = self.marked.iter().find(|(name, _)| *name == from).map_or_else(Point::origin, |(_, point)| *point);
        let to = ('A'..='Z').nth(self.marked.len()).unwrap_or('Z');
        self.marked.push((to, at));
        let (out, down) = (at.x - start.x, at.y - start.y);
        let on_ruler = [out, down].map(|cm| self.wording.ruler.round_to_step(cm));
        PointToMark { from, out, down, on_ruler, to }
    }

    fn push_step(&mut self, text: String, marks: Vec<PointToMark>, strokes: &[(&str, StrokeKind)], is_above_hip: bool) {
        let stroke = |(points, kind): &(&str, StrokeKind)| Stroke { points: points.chars().collect(), kind: *kind };
        let strokes = strokes.iter().map(stroke).collect();
        self.steps.push(Step { text, points_to_mark: marks, strokes, is_above_hip });
    }

    /// Formats the mark of the ruler that is nearest to a length, without its sign.
    fn format_length(&self, cm: f64) -> String {
        self.wording.length(self.wording.ruler.round_to_step(cm.abs()))
    }

    /// Describes points to mark in words: `from A out 8.4 and down 0.6 to M`, with semicolons between points.
    fn point_marking_text(&self, points_to_mark: &[PointToMark]) -> String {
        let texts = self.wording.texts;
        let way = |distance: f64, ahead, back| {
            let words: &str = if distance < 0.0 { back } else { ahead };
            (distance != 0.0).then(|| printed!(words, length = self.format_length(distance)))
        };
        let in_words = |PointToMark { on_ruler: [out, down], from, to, .. }: &PointToMark| {
            let ways = [way(*out, texts.way_out(), texts.way_in()), way(*down, texts.way_down(), texts.way_up())];
            let template = if ways == [None, None] { texts.mark_at() } else { texts.mark_from() };
            printed!(template, from, way = texts.join(ways.into_iter().flatten()), to)
        };
        points_to_mark.iter().map(in_words).collect::<Vec<_>>().join("; ")
    }

    /// Adds the steps that draw the rectangle of the panel: centre line, hip line, hem and side (points A to F).
    fn add_frame_steps(&mut self, draft: &Draft, panel: &Panel) {
        use StrokeKind::{Construction, Straight};
        let (hip, hem, width) = (draft.body().hip_depth, draft.body().length, panel.width);
        let (texts, is_slanted) = (self.wording.texts, self.is_slanted);
        let line = [(' ', 0.0), ('A', hip), ('A', hem)].map(|(from, y)| self.mark_point(from, Point::new(0.0, y)));
        let centre = match panel.half {
            Half::Back if is_slanted => texts.the_centre_back_guide(),
            Half::Back => texts.the_centre_back(),
            Half::Front => texts.the_centre_front(),
        };
        let [hip_depth, length, width_in_words] = [hip, hem, width].map(|cm| self.format_length(cm));
        let rise = -panel.centre_waist_point().y;
        let is_above = rise > 0.0 && self.wording.ruler.shows(rise);
        let mark_a = printed!(texts.mark_a_lower(), rise = self.format_length(rise));
        let mark = if is_above { mark_a } else { texts.mark_a().to_string() };
        let text = printed!(texts.frame_centre(), mark, centre, hip_depth, length);
        let slanted = [("AB", Construction), ("BC", Straight)];
        self.push_step(text, line.to_vec(), if is_slanted { &slanted } else { &[("AC", Straight)] }, false);
        let square = [('A', 0.0), ('B', hip), ('C', hem)].map(|(from, y)| self.mark_point(from, Point::new(width, y)));
        let text = printed!(texts.frame_square(), width = width_in_words);
        let strokes =
            [("AD", Construction), ("BE", Construction), ("CF", Straight), ("DE", Construction), ("EF", Straight)];
        self.push_step(text, square.to_vec(), &strokes, false);
    }

    /// Adds the steps that mark the ends of the waist (points G and H) and draw the side seam above the hip line;
    /// `side` is the distance of G from D on the ruler.
    fn add_waist_end_and_side_seam_steps(&mut self, draft: &Draft, panel: &Panel, side: f64) {
        let side_end = self.mark_point('D', Point::new(panel.waist_width, 0.0));
        let mut ends = vec![side_end, self.mark_point('A', panel.centre_waist_point())];
        ends[0].on_ruler[0] = side;
        let (texts, is_slanted) = (self.wording.texts, self.is_slanted);
        let [side, centre] = [&ends[..1], &ends[1..]].map(|end| self.point_marking_text(end));
        let joined = if is_slanted { format!(" {}", texts.waist_end_joined()) } else { String::new() };
        let text = printed!(texts.waist_ends(), side, centre) + &joined;
        self.push_step(text, ends, if is_slanted { &[("HB", StrokeKind::Straight)] } else { &[] }, true);
        let Some(seam) = panel.paths(Role::Side).next() else { return };
        let at_depth = |depth: f64| seam.point_at(seam.first_parameter_where(|point| point.y >= depth));
        let depths = SIDE_SEAM_MARK_DEPTH_SHARES.map(|share| share * draft.body().hip_depth);
        let marks = depths.map(|depth| self.mark_point('D', at_depth(depth))).to_vec();
        let through: String = std::iter::once('G').chain(marks.iter().map(|mark| mark.to)).chain(['E']).collect();
        let text = printed!(texts.draw_side_seam(), points = self.point_marking_text(&marks));
        self.push_step(text, marks, &[(&through, StrokeKind::SideSeam)], true);
    }

    /// Adds the step that draws dart `k` of a panel, counted from 0 at the centre, with the ends of its mouth at given
    /// distances from the centre line on the ruler; returns the letters of these ends, inner end first.
    fn add_dart_step(&mut self, panel: &Panel, k: usize, mouth: [f64; 2]) -> [char; 2] {
        let dart = &panel.darts[k];
        let [inner, outer] = [dart.inner, dart.outer].map(|end| self.mark_point('A', end));
        let mut marks = [inner, outer, self.mark_point(inner.to, dart.tip)];
        let outs = [mouth[0], mouth[1], self.wording.ruler.round_to_step(dart.tip.x - mouth[0])];
        marks.iter_mut().zip(outs).for_each(|(mark, out)| mark.on_ruler[0] = out);
        let texts = self.wording.texts;
        let name = match (panel.darts.len(), k) {
            (1, _) => texts.only_dart(),
            (_, 0) => texts.centre_dart(),
            (3, 1) => texts.middle_dart(),
            _ => texts.side_dart(),
        };
        let [mouth_points, tip] = [&marks[..2], &marks[2..]].map(|marks| self.point_marking_text(marks));
        let [width, length] = [mouth[1] - mouth[0], dart.length].map(|cm| self.format_length(cm));
        let [inner, outer, end] = marks.map(|mark| mark.to);
        let text =
            printed!(texts.draw_dart(), dart = name, mouth = mouth_points, width, length, tip, inner, outer, end);
        let legs = [inner, outer].map(|letter| format!("{letter}{end}"));
        let legs = legs.each_ref().map(|leg| (leg.as_str(), StrokeKind::Dart));
        self.push_step(text, marks.to_vec(), &legs, true);
        [inner, outer]
    }

    /// Adds the step that draws the waist between centre, darts and side; `mouths` holds two letters for each dart, of
    /// the inner and the outer end of its mouth.
    fn add_waist_step(&mut self, panel: &Panel, mouths: &[[char; 2]]) {
        let middles: Vec<PointToMark> =
            panel.paths(Role::Waist).map(|path| self.mark_point('A', path.point_at(0.5))).collect();
        let starts = std::iter::once('H').chain(mouths.iter().map(|mouth| mouth[1]));
        let ends = mouths.iter().map(|mouth| mouth[0]).chain(['G']);
        let stretches = starts.zip(&middles).zip(ends).map(|((start, middle), end)| (start, middle.to, end));
        let texts = self.wording.texts;
        let curves = stretches.clone().map(|(from, middle, to)| printed!(texts.through_point(), from, middle, to));
        let curves = curves.collect::<Vec<_>>().join("; ");
        let lines: Vec<String> = stretches.map(|(start, middle, end)| format!("{start}{middle}{end}")).collect();
        let text = printed!(texts.draw_waist(), points = self.point_marking_text(&middles), curves);
        let strokes: Vec<_> = lines.iter().map(|points| (points.as_str(), StrokeKind::Waist)).collect();
        self.push_step(text, middles.clone(), &strokes, true);
    }

    fn add_check_step(&mut self, half: Half) {
        let (texts, is_back) = (self.wording.texts, half == Half::Back);
        let (name, cut) =
            if is_back { (texts.back(), texts.cut_mirrored()) } else { (texts.front(), texts.cut_on_fold()) };
        let drawn = marked_points(&self.steps, |measure| measure.on_ruler);
        let [waist, side] = drawn_waist_and_side(&self.steps, &drawn).map(|cm| self.format_length(cm));
        let text = printed!(texts.check_panel(), waist, side, piece = format!("{name}, {cut}"));
        self.push_step(text, Vec::new(), &[], false);
    }
}
