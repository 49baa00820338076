//! One edge's path: a straight line or a cubic.

use super::{Cubic, Point, Vector, cross};
use crate::scalar::{Number, Scalar};

/// A straight line or a cubic curve from a start to an end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Path<T: Number = f64> {
    /// A straight line by its two ends.
    Line([Point<T>; 2]),
    /// A cubic Bézier curve.
    Cubic(Cubic<T>),
}

impl<T: Number> Path<T> {
    /// Where the path starts.
    pub fn start(&self) -> Point<T> {
        self.points()[0]
    }

    /// Where the path ends.
    pub fn end(&self) -> Point<T> {
        let points = self.points();
        points[points.len() - 1]
    }

    /// The control points: two of a line, four of a cubic.
    pub fn points(&self) -> &[Point<T>] {
        match self {
            Self::Line(points) => points,
            Self::Cubic(cubic) => &cubic.points,
        }
    }

    /// The curve, where the path is one.
    pub(crate) fn cubic(&self) -> Option<&Cubic<T>> {
        if let Self::Cubic(cubic) = self { Some(cubic) } else { None }
    }

    /// The point at `t` from 0 to 1.
    pub fn at(&self, t: T) -> Point<T> {
        match self {
            Self::Line([a, b]) => a + (b - a) * t,
            Self::Cubic(cubic) => cubic.at(t),
        }
    }

    /// The direction of travel at the start, not of unit length.
    pub fn start_tangent(&self) -> Vector<T> {
        let points = self.points();
        points[1] - points[0]
    }

    /// The direction of travel at the end, not of unit length.
    pub fn end_tangent(&self) -> Vector<T> {
        let points = self.points();
        points[points.len() - 1] - points[points.len() - 2]
    }

    /// The area that the path sweeps as seen from the origin; over a closed outline these add up to its area, positive
    /// where the outline runs clockwise with `y` down.
    #[inline(always)]
    pub fn signed_area(&self) -> T {
        let half = T::constant(0.5);
        match self {
            Self::Line([a, b]) => cross(a.coords, b.coords) * half,
            Self::Cubic(cubic) => {
                // ∫ (x dy − y dx)/2 of a cubic, exactly, by its control points.
                let [a, b, c, d] = &cubic.points;
                let (a, b, c, d) = (a.coords, b.coords, c.coords, d.coords);
                let (six, three) = (T::constant(6.0), T::constant(3.0));
                let near = cross(a, b) * six + cross(a, c) * three + cross(a, d);
                let far = cross(b, c) * three + cross(b, d) * three + cross(c, d) * six;
                (near + far).quotient(T::constant(20.0))
            }
        }
    }

    /// The path with every control point moved.
    #[must_use]
    pub fn map(&self, f: impl FnMut(Point<T>) -> Point<T>) -> Self {
        match self {
            Self::Line(points) => Self::Line(points.map(f)),
            Self::Cubic(cubic) => Self::Cubic(Cubic::new(cubic.points.map(f))),
        }
    }
}

impl<T: Scalar> Path<T> {
    /// The length along the path.
    pub fn length(&self) -> T {
        match self {
            Self::Line([a, b]) => super::norm(b - a),
            Self::Cubic(cubic) => cubic.length(),
        }
    }
}
