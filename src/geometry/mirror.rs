//! Infinite straight lines: reflection in a line, and clipping of paths at a line.

use super::{Cubic, Path, Point, Vector};

/// Infinite straight line with a direction.
pub(crate) struct Line {
    /// Any point on the line.
    origin: Point,
    /// Unit vector along the line.
    direction: Vector,
}

impl Line {
    /// Creates the line through `origin` along `direction`, a non-zero vector of any length.
    pub(crate) fn new(origin: Point, direction: Vector) -> Self {
        Self { origin, direction: direction.normalize() }
    }

    /// Returns the unit vector perpendicular to the line, towards the left of its direction.
    pub(crate) fn left_normal(&self) -> Vector {
        Vector::new(self.direction.y, -self.direction.x)
    }

    /// Returns the signed distance of a point from the line in centimetres, positive to the left.
    pub(crate) fn signed_distance_to_left(&self, point: Point) -> f64 {
        (point - self.origin).dot(&self.left_normal())
    }

    /// Returns the mirror image of a point in the line.
    pub(crate) fn reflect_in_line(&self, point: Point) -> Point {
        point - self.left_normal() * (2.0 * self.signed_distance_to_left(point))
    }

    /// Returns the parallel line at `distance` centimetres to the left of this line.
    pub(crate) fn parallel_line_to_left(&self, distance: f64) -> Self {
        Self { origin: self.origin + self.left_normal() * distance, direction: self.direction }
    }
}

impl Cubic {
    /// Returns the two parts of the curve before and after the parameter `t` (de Casteljau).
    pub(crate) fn split_at_parameter(&self, t: f64) -> [Self; 2] {
        let [a, b, c, d] = self.points;
        let between = |p: Point, q: Point| p + (q - p) * t;
        let (ab, bc, cd) = (between(a, b), between(b, c), between(c, d));
        let (abc, bcd) = (between(ab, bc), between(bc, cd));
        let middle = between(abc, bcd);
        [Self::new([a, ab, abc, middle]), Self::new([middle, bcd, cd, d])]
    }
}

impl Path {
    /// Returns the path in the reverse direction, from end to start.
    pub(crate) fn reversed(&self) -> Self {
        match self {
            Self::Line([a, b]) => Self::Line([*b, *a]),
            Self::Cubic(cubic) => Self::Cubic(cubic.reversed()),
        }
    }

    /// Returns the part of the path from parameter 0 to `t`.
    fn part_up_to_parameter(&self, t: f64) -> Self {
        match self {
            Self::Line([a, b]) => Self::Line([*a, a + (b - a) * t]),
            Self::Cubic(cubic) => Self::Cubic(cubic.split_at_parameter(t)[0]),
        }
    }

    /// Returns whether each control point of the path lies further along `direction` than the previous control point.
    fn control_points_advance_along(&self, direction: Vector) -> bool {
        self.points().windows(2).all(|pair| (pair[1] - pair[0]).dot(&direction) > 0.0)
    }
}

/// Returns the given connected paths, which start to the right of a line, cut off at their first point on the line.
///
/// Returns `None` if the paths end before the line, or a control point moves away from the line or against the
/// direction `ahead`.
pub(crate) fn paths_up_to_line(paths: impl IntoIterator<Item = Path>, line: &Line, ahead: Vector) -> Option<Vec<Path>> {
    let mut clipped = Vec::new();
    let is_across = |point| line.signed_distance_to_left(point) >= 0.0;
    for path in paths {
        let crosses = is_across(path.end());
        let path = if crosses { path.part_up_to_parameter(path.first_parameter_where(is_across)) } else { path };
        if !path.control_points_advance_along(ahead) || !path.control_points_advance_along(line.left_normal()) {
            return None;
        }
        clipped.push(path);
        if crosses {
            return Some(clipped);
        }
    }
    None
}
