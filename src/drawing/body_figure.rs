//! Drawing of the body for a lesson, from the front and the side, with a tape for each measurement, numbered as in the
//! list of measurements.
//!
//! The outlines are a sketch of one adult body; lengths here are centimetres on that body, from the waist down.

use super::LayerKind::{Dart, Guide, Seam};
use super::{LayerKind, LineStyle, Mark, Part};
use crate::geometry::{Cubic, Path, Point, Vector};
use crate::lesson::curve_through_points;

/// Outline of the body's left half seen from the front, from the ribs over hip, foot and inside of the leg: for each
/// point in turn `x` to the right of the middle on the page and `y` below the waist, in centimetres.
const FRONT_VIEW_HALF_OUTLINE_CM: [f64; 80] = [
    14.6, -24.0, 14.2, -18.0, 13.4, -12.0, 12.5, -6.0, 12.2, 0.0, 13.6, 6.0, 15.6, 12.0, 17.0, 17.0, 17.7, 22.0, 17.7,
    28.0, 17.0, 35.0, 15.9, 42.0, 14.6, 49.0, 13.3, 55.0, 12.7, 60.0, 13.0, 66.0, 13.1, 72.0, 12.3, 79.0, 10.9, 86.0,
    9.9, 92.0, 9.7, 96.0, 10.3, 99.0, 11.8, 102.0, 11.9, 104.0, 9.2, 104.8, 6.2, 104.6, 4.9, 103.0, 5.1, 100.0, 5.5,
    96.0, 5.4, 90.0, 4.7, 83.0, 3.7, 76.0, 3.3, 69.0, 3.9, 62.0, 3.7, 57.0, 2.7, 51.0, 1.7, 44.0, 0.9, 37.0, 0.6, 33.0,
    0.0, 30.5,
];

/// Outline of the body from its left side, facing left, down the front, along the foot and up the back: for each point
/// in turn `x` to the right of the middle on the page, negative in front, and `y` below the waist, in centimetres.
const SIDE_VIEW_OUTLINE_CM: [f64; 104] = [
    -12.2, -24.0, -11.3, -18.0, -10.2, -12.0, -9.3, -6.0, -8.9, 0.0, -9.6, 5.0, -10.7, 10.0, -10.9, 15.0, -10.2, 20.0,
    -9.5, 26.0, -9.3, 33.0, -9.0, 40.0, -8.4, 47.0, -7.6, 54.0, -7.1, 60.0, -6.0, 66.0, -5.0, 73.0, -4.2, 80.0, -3.6,
    87.0, -3.5, 94.0, -4.6, 98.0, -9.0, 100.6, -14.0, 102.2, -16.2, 103.8, -14.5, 104.8, -8.0, 104.8, -1.0, 104.4, 4.0,
    104.8, 6.0, 103.0, 5.6, 99.0, 4.4, 94.0, 4.0, 88.0, 5.0, 81.0, 6.6, 75.0, 7.2, 69.0, 6.2, 63.0, 5.0, 58.0, 5.6,
    52.0, 7.0, 45.0, 8.6, 38.0, 9.8, 32.5, 11.6, 28.0, 13.2, 23.0, 13.6, 18.0, 12.6, 13.0, 10.8, 8.0, 9.0, 3.0, 8.2,
    -2.0, 8.6, -8.0, 9.8, -14.0, 11.2, -20.0, 11.9, -24.0,
];

// Levels of the body below the waist, in centimetres: upper end of the drawing, high hip, hip, hem and floor.
const TOP_LEVEL_CM: f64 = -24.0;
const HIGH_HIP_LEVEL_CM: f64 = 9.0;
const HIP_LEVEL_CM: f64 = 20.5;
const HEM_LEVEL_CM: f64 = 62.0;
const FLOOR_LEVEL_CM: f64 = 104.8;

// Distances of the middle of each view from the left, in centimetres of the body, and millimetres on the page per
// centimetre of the body.
const FRONT_VIEW_MIDDLE_CM: f64 = 26.0;
const SIDE_VIEW_MIDDLE_CM: f64 = 77.0;
const PAGE_MM_PER_BODY_CM: f64 = 1.06;

pub(super) const BODY_DRAWING_SIZE_MM: [f64; 2] = [105.0, (FLOOR_LEVEL_CM - TOP_LEVEL_CM) * PAGE_MM_PER_BODY_CM];

pub(super) const NUMBER_RING_RADIUS_MM: f64 = 2.5;

/// Drawing of the body on the page `part`: its upper left corner on the page, and the outlines of the front view (left
/// half of the body) and the side view, in centimetres of the body.
struct BodyDrawing<'p> {
    part: &'p mut Part,
    corner: Point,
    front: Vec<Path>,
    side: Vec<Path>,
}

/// Draws the body with a tape for each measurement of `fields`, numbered from 1; `corner` is the upper left corner of
/// the drawing on the page.
pub(super) fn draw_body_with_tapes<'n>(part: &mut Part, fields: impl Iterator<Item = &'n str>, corner: Point) {
    let outline = |flat: &[f64], middle: f64| {
        curve_through_points(&flat.chunks_exact(2).map(|at| Point::new(middle + at[0], at[1])).collect::<Vec<_>>())
    };
    let front = outline(&FRONT_VIEW_HALF_OUTLINE_CM, FRONT_VIEW_MIDDLE_CM);
    let side = outline(&SIDE_VIEW_OUTLINE_CM, SIDE_VIEW_MIDDLE_CM);
    let mirror = |point: Point| Point::new(2.0 * FRONT_VIEW_MIDDLE_CM - point.x, point.y);
    let right_half: Vec<Path> = front.iter().map(|path| path.map(mirror)).collect();
    let mut body = BodyDrawing { part, corner, front, side };
    for paths in [body.front.clone(), right_half, body.side.clone()] {
        body.add_line(Seam, paths, LineStyle::Solid);
    }
    for (field, number) in fields.zip(1..) {
        match field {
            "waist" => body.draw_tape_across(0.0, false, number),
            "high_hip" => body.draw_tape_across(HIGH_HIP_LEVEL_CM, false, number),
            "hip" => body.draw_tape_across(HIP_LEVEL_CM, false, number),
            "front_waist" => body.draw_tape_across(0.0, true, number),
            "front_hip" => body.draw_tape_across(HIP_LEVEL_CM, true, number),
            "high_hip_depth" => body.draw_depth_tape(19.8, HIGH_HIP_LEVEL_CM, number),
            "hip_depth" => body.draw_depth_tape(23.5, HIP_LEVEL_CM, number),
            "length" => body.draw_depth_tape(26.5, HEM_LEVEL_CM, number),
            "front_length" => body.draw_tape_to_floor(-18.5, -8.9, number),
            "side_length" => body.draw_tape_to_floor(0.0, 0.0, number),
            _ => body.draw_tape_to_floor(17.0, 8.3, number),
        }
    }
}

impl BodyDrawing<'_> {
    fn body_point_to_page(&self, point: Point) -> Point {
        self.corner + Vector::new(point.x, point.y - TOP_LEVEL_CM) * PAGE_MM_PER_BODY_CM
    }

    fn add_line(&mut self, kind: LayerKind, paths: Vec<Path>, stroke: LineStyle) {
        let paths = paths.into_iter().map(|path| path.map(|point| self.body_point_to_page(point))).collect();
        self.part.add_mark(kind, Mark::Line { paths, stroke });
    }

    fn add_straight_line(&mut self, kind: LayerKind, from: [f64; 2], to: [f64; 2], stroke: LineStyle) {
        self.add_line(kind, vec![Path::Line([from.into(), to.into()])], stroke);
    }

    fn add_ringed_number(&mut self, x: f64, y: f64, number: usize) {
        self.part.draw_ringed_number(self.body_point_to_page(Point::new(x, y)), NUMBER_RING_RADIUS_MM, number);
    }

    /// Draws a slightly sagging tape in both views, `level` cm below the waist: around the body, with its number at the
    /// left edge of the drawing, or, a little lower, only over the front from side seam to side seam, with its number
    /// under the tape, on the body's left half.
    fn draw_tape_across(&mut self, level: f64, is_over_front: bool, number: usize) {
        let (level, stroke) = if is_over_front { (level + 3.2, LineStyle::Dashed) } else { (level, LineStyle::Solid) };
        let half = crossing_x_or_zero(self.front.iter(), level) - FRONT_VIEW_MIDDLE_CM;
        let [start, end] = [FRONT_VIEW_MIDDLE_CM - half, FRONT_VIEW_MIDDLE_CM + half];
        let [front, back] =
            [crossing_x_or_zero(self.side.iter(), level), crossing_x_or_zero(self.side.iter().rev(), level)];
        for [from, to] in [[start, end], [front, if is_over_front { SIDE_VIEW_MIDDLE_CM } else { back }]] {
            let (third, sag) = ((to - from) / 3.0, (to - from) * 0.06);
            let points = [(from, 0.0), (from + third, sag), (to - third, sag), (to, 0.0)];
            let tape = Cubic::new(points.map(|(x, y)| Point::new(x, level + y)));
            self.add_line(Dart, vec![Path::Cubic(tape)], stroke);
        }
        if is_over_front {
            self.add_ringed_number(FRONT_VIEW_MIDDLE_CM + half / 2.0, level + 4.0, number);
        } else {
            self.add_straight_line(Guide, [start - 1.0, level], [5.0, level], LineStyle::Dotted);
            self.add_ringed_number(2.6, level, number);
        }
    }

    /// Draws a tape straight down from the waist to `level` cm below the waist, beside the body in the front view,
    /// `distance` cm from the body's middle.
    fn draw_depth_tape(&mut self, distance: f64, level: f64, number: usize) {
        let starts = [0.0, level].map(|y| [crossing_x_or_zero(self.front.iter(), y) + 1.0, y]);
        self.draw_vertical_tape(FRONT_VIEW_MIDDLE_CM + distance, level, &starts, number);
    }

    /// Draws a tape straight down from the waist to the floor in the side view, `x` cm from the body's middle. A dotted
    /// line leads to the tape from the point of the waist `waist` cm from the middle. Both distances are negative in
    /// front.
    fn draw_tape_to_floor(&mut self, x: f64, waist: f64, number: usize) {
        let start = [SIDE_VIEW_MIDDLE_CM + waist, 0.0];
        self.draw_vertical_tape(SIDE_VIEW_MIDDLE_CM + x, FLOOR_LEVEL_CM, &[start], number);
    }

    /// Draws a vertical tape, `x` cm from the left edge of the drawing, from the waist down to `level` cm below the
    /// waist, with the tape's number in a gap half-way. A dotted line leads to the tape from each point of `starts`.
    fn draw_vertical_tape(&mut self, x: f64, level: f64, starts: &[[f64; 2]], number: usize) {
        for start in starts {
            self.add_straight_line(Guide, *start, [x, start[1]], LineStyle::Dotted);
        }
        let (middle, gap) = (level / 2.0, NUMBER_RING_RADIUS_MM / PAGE_MM_PER_BODY_CM);
        for [from, to] in [[0.0, middle - gap], [middle + gap, level]] {
            self.add_straight_line(Dart, [x, from], [x, to], LineStyle::Solid);
        }
        for y in [0.0, level] {
            self.add_straight_line(Dart, [x - 1.2, y], [x + 1.2, y], LineStyle::Solid);
        }
        self.add_ringed_number(x, middle, number);
    }
}

/// Returns the `x`, in centimetres, at which the first of the paths that crosses a level crosses that level; 0 if no
/// path crosses the level.
fn crossing_x_or_zero<'p>(mut paths: impl Iterator<Item = &'p Path>, level: f64) -> f64 {
    paths.find_map(|path| path.x_where_level_is_crossed(level)).unwrap_or(0.0)
}
