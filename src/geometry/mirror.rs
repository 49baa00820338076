//! Mirroring in a line, and walking along paths as far as a line.

use super::{Cubic, Path, Point, Vector};

/// A straight line without ends, by a point on it and a direction of unit length.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Line {
    through: Point,
    along: Vector,
}

impl Line {
    /// The line through a point in a direction, of any length but zero.
    pub(crate) fn new(through: Point, along: Vector) -> Self {
        Self { through, along: along.normalize() }
    }

    /// The direction of unit length that points to the left of the line.
    pub(crate) fn left(&self) -> Vector {
        Vector::new(self.along.y, -self.along.x)
    }

    /// How far a point lies to the left of the line.
    pub(crate) fn off(&self, point: Point) -> f64 {
        (point - self.through).dot(&self.left())
    }

    /// The point's image on the other side.
    pub(crate) fn mirrored(&self, point: Point) -> Point {
        point - self.left() * (2.0 * self.off(point))
    }

    /// The line beside this one at a distance to the left.
    pub(crate) fn offset(&self, distance: f64) -> Self {
        Self { through: self.through + self.left() * distance, along: self.along }
    }
}

impl Path {
    /// The same path from its end to its start.
    pub(crate) fn reversed(&self) -> Self {
        match self {
            Self::Line([a, b]) => Self::Line([*b, *a]),
            Self::Cubic(cubic) => Self::Cubic(cubic.reversed()),
        }
    }

    /// The part before `t`.
    fn before(&self, t: f64) -> Self {
        let between = |p: Point, q: Point| p + (q - p) * t;
        match self {
            Self::Line([a, b]) => Self::Line([*a, between(*a, *b)]),
            Self::Cubic(cubic) => {
                let [a, b, c, d] = cubic.points;
                let (ab, bc, cd) = (between(a, b), between(b, c), between(c, d));
                let (abc, bcd) = (between(ab, bc), between(bc, cd));
                Self::Cubic(Cubic::new([a, ab, abc, between(abc, bcd)]))
            }
        }
    }

    /// Whether every step between the control points goes forward in this direction.
    fn goes(&self, ahead: Vector) -> bool {
        self.points().windows(2).all(|pair| (pair[1] - pair[0]).dot(&ahead) > 0.0)
    }
}

/// The paths as far as a line that they reach from its right, going always towards it and always in the direction
/// `ahead`; none where they turn away or end before.
pub(crate) fn walk(paths: impl IntoIterator<Item = Path>, until: &Line, ahead: Vector) -> Option<Vec<Path>> {
    let mut walked = Vec::new();
    for path in paths {
        let arrives = until.off(path.end()) >= 0.0;
        let path = if arrives { path.before(arrival(&path, until)) } else { path };
        if !path.goes(ahead) || !path.goes(until.left()) {
            return None;
        }
        walked.push(path);
        if arrives {
            return Some(walked);
        }
    }
    None
}

/// Where a path that starts to the right of a line and ends to its left crosses it, to the last bit.
fn arrival(path: &Path, until: &Line) -> f64 {
    let (mut before, mut after) = (0.0, 1.0);
    loop {
        let middle = f64::midpoint(before, after);
        if middle <= before || middle >= after {
            return after;
        }
        if until.off(path.at(middle)) >= 0.0 { after = middle } else { before = middle }
    }
}
