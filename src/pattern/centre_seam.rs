//! The centre seam of a panel, which may slant above the hip line: points along it, and where its allowance ends.
//!
//! A vertical centre has one straight line, a slanted one has two.

use crate::draft::{Panel, Role};
use crate::geometry::{Line, Path, Point, Vector};

/// Returns the unit vector up along the centre of a panel or facing at the waist, where the centre may slant.
pub(super) fn upward_direction_at_waist(panel: &Panel) -> Vector {
    panel.paths(Role::Centre).last().map_or(Vector::new(0.0, -1.0), |path| path.end_tangent().normalize())
}

/// Returns the point of a panel's centre at a distance in centimetres along the seam from the waist, and the unit
/// vector up along the seam there.
pub(crate) fn centre_point_and_upward_direction(panel: &Panel, along: f64) -> (Point, Vector) {
    let (mut point, mut up, mut left) = (panel.centre_waist_point(), upward_direction_at_waist(panel), along);
    for line in panel.paths(Role::Centre).collect::<Vec<_>>().into_iter().rev() {
        (point, up) = (line.end() - line.end_tangent().normalize() * left, line.end_tangent().normalize());
        left -= line.length();
        if left <= 0.0 {
            break;
        }
    }
    (point, up)
}

/// Returns the corner of the cut line where a slanted centre seam begins to slant; `None` for a vertical seam.
pub(super) fn cut_line_corner_at_hip(panel: &Panel, allowance: f64) -> Option<Point> {
    let lines: Vec<&Path> = panel.paths(Role::Centre).collect();
    let [below, above] = lines[..] else { return None };
    let [a, b] = [below, above].map(|line| Line::new(line.start(), line.end_tangent()).left_normal());
    // Lines at equal distances from the two seam lines meet on the bisector.
    Some(above.start() + (a + b) * (allowance / (1.0 + a.dot(&b))))
}
