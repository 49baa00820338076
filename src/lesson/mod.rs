//! Lessons: how to draw one draft by hand, in numbered steps with the lengths for its body.
//!
//! A step measures points from points that are already drawn, and joins points by lines and curves; its text says the
//! same in words. Every length is a mark of the ruler, chosen so that the waist has its length;
//! [`Lesson::difference_with_rounding`] is what this costs. The steps are derived from `src/method.md`; their order and
//! the signs of a bad fit are common practice.
//!
//! ```
//! use kirtle::{Body, Ease, Rules, Unit};
//!
//! let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
//! let lesson = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?.lesson(Unit::Cm);
//! let first = "Mark A near the upper edge of the paper. Draw a line from A straight down: the centre back. \
//!              On it measure from A down 20.5 to B, and down 62.0 to C.";
//! assert_eq!(lesson.back.steps[0].text, first);
//! assert!(lesson.to_markdown().contains("## Draw the back"));
//! # Ok::<(), kirtle::Problems>(())
//! ```

mod steps;
mod text;
mod waist;

pub use steps::{PanelLesson, PointToMark, Step, Stroke, StrokeKind};
pub(crate) use text::{
    Measurement, TextBlock, draft_numbers_in_words, lesson_text_blocks, measurements_to_take, other_rules_in_words,
};

use crate::draft::{Draft, Role};
use crate::geometry::{Cubic, Path, Point};
use crate::ruler::Ruler;
use crate::wording::{Texts, Wording};

/// Number of equal parameter intervals of a drawn curve at whose ends its distance from the exact curve is measured.
const CURVE_COMPARISON_INTERVALS: u32 = 16;

/// Lesson: the steps that draw back and front of one draft by hand.
#[derive(Clone, Debug, PartialEq)]
pub struct Lesson {
    /// Exact draft that the steps draw.
    pub draft: Draft,
    /// Ruler that decides unit and rounding of the lengths in the texts.
    pub ruler: Ruler,
    /// Texts of the lesson.
    pub texts: Texts,
    /// Name of a size or a person in the title and at the foot of each page; empty without a name.
    pub name: String,
    /// Whether the skirt gets a vent, so that the lesson does not warn of a narrow hem.
    pub has_vent: bool,
    /// Steps that draw the back.
    pub back: PanelLesson,
    /// Steps that draw the front.
    pub front: PanelLesson,
}

/// Errors of a pattern drawn by hand, compared with the exact draft, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HandDifference {
    /// Largest distance of a marked point from the exact point, or of a drawn curve from the exact curve.
    pub distance_mm: f64,
    /// Sewn waist, all around, of the pattern drawn by hand minus the sewn waist of the draft.
    pub waist_mm: f64,
    /// Side seam of the pattern drawn by hand minus that of the draft, from waist to hem; the same on back and front.
    pub side_mm: f64,
}

impl Draft {
    /// Returns the lesson of this draft; `wording` decides its texts, and unit and rounding of their lengths.
    pub fn lesson<'t>(&self, wording: impl Into<Wording<'t>>) -> Lesson {
        let wording = wording.into();
        let [back_marks, front_marks] = waist::choose_waist_marks(self, wording.ruler);
        let back = PanelLesson::new(self, &self.back, &back_marks, wording);
        let front = PanelLesson::new(self, &self.front, &front_marks, wording);
        Lesson {
            draft: self.clone(),
            ruler: wording.ruler,
            texts: wording.texts.clone(),
            name: String::new(),
            has_vent: false,
            back,
            front,
        }
    }
}

impl Lesson {
    /// Returns the lessons of back and front.
    pub fn panels(&self) -> [&PanelLesson; 2] {
        [&self.back, &self.front]
    }

    pub(crate) fn wording(&self) -> Wording<'_> {
        (self.ruler, &self.texts).into()
    }

    /// Returns the difference of a pattern drawn by hand with the printed lengths from the draft.
    pub fn difference_with_rounding(&self) -> HandDifference {
        self.difference_from_draft(PanelLesson::drawn_points)
    }

    /// Returns the difference of a pattern drawn by hand with exact lengths from the draft: the error of the curves.
    pub fn difference_without_rounding(&self) -> HandDifference {
        self.difference_from_draft(PanelLesson::points)
    }

    fn difference_from_draft(&self, points: impl Fn(&PanelLesson) -> Vec<(char, Point)>) -> HandDifference {
        let (mut distance, mut longer) = (0.0, [0.0; 2]);
        for (lesson, panel) in self.panels().into_iter().zip(self.draft.panels()) {
            let (exact, drawn) = (lesson.points(), points(lesson));
            distance = exact.iter().zip(&drawn).map(|((_, a), (_, b))| (a - b).norm()).fold(distance, f64::max);
            for (role, kind) in [(Role::Waist, StrokeKind::Waist), (Role::Side, StrokeKind::SideSeam)] {
                let strokes = lesson.steps.iter().flat_map(|step| &step.strokes).filter(|stroke| stroke.kind == kind);
                for (stroke, path) in strokes.zip(panel.paths(role)) {
                    let curve = stroke.paths(&drawn);
                    distance = curve.iter().map(|part| max_distance_from_path(part, path)).fold(distance, f64::max);
                }
            }
            // Both halves of the garment have the waist; side seams of back and front are drawn alike.
            let lengths = steps::drawn_waist_and_side(&lesson.steps, &drawn).into_iter().zip([Role::Waist, Role::Side]);
            for ((longer, (drawn, role)), share) in longer.iter_mut().zip(lengths).zip([2.0, 0.5]) {
                *longer += share * (drawn - panel.edge_length(role));
            }
        }
        let [waist_mm, side_mm] = longer.map(|cm| cm * 10.0);
        HandDifference { distance_mm: distance * 10.0, waist_mm, side_mm }
    }
}

/// Returns the largest distance, in centimetres, from a point of a drawn path to the nearest point of an exact path.
/// Both paths are sampled at equal parameter intervals, which on the exact path are one sixteenth of those on the
/// drawn.
fn max_distance_from_path(drawn: &Path, exact: &Path) -> f64 {
    let exact: Vec<Point> = exact.sampled(16 * CURVE_COMPARISON_INTERVALS).collect();
    let distance = |point: Point| exact.iter().map(|other| (point - other).norm()).fold(f64::INFINITY, f64::min);
    drawn.sampled(CURVE_COMPARISON_INTERVALS).map(distance).fold(0.0, f64::max)
}

/// Returns the smooth curve that a hand draws through points: one cubic between two neighbours. The tangent at a point
/// is that of the parabola through the point and its two neighbours, at an end that through the end and the next two
/// points. Two points give a straight line.
pub(crate) fn curve_through_points(points: &[Point]) -> Vec<Path> {
    if let [from, to] = *points {
        return vec![Path::Line([from, to])];
    }
    let tangent = |k: usize| {
        let middle = k.clamp(1, points.len() - 2);
        let [before, at, after] = [points[middle - 1], points[middle], points[middle + 1]];
        let [to, from] = [at - before, after - at];
        let ahead = middle as f64 - k as f64;
        to * (0.5 + ahead) + from * (0.5 - ahead)
    };
    let part = |k: usize| {
        let [from, to] = [points[k], points[k + 1]];
        Path::Cubic(Cubic::new([from, from + tangent(k) / 3.0, to - tangent(k + 1) / 3.0, to]))
    };
    (0..points.len().saturating_sub(1)).map(part).collect()
}
