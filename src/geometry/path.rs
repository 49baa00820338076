//! [`Path`]: a straight line or a cubic Bézier curve, the shape of one edge.

use super::{Cubic, Point, Vector, cross};
use crate::scalar::{Number, Scalar};

/// Straight line or cubic Bézier curve with a start and an end.
///
/// ```
/// use kirtle::{Path, Point};
///
/// let line = Path::Line([Point::new(0.0, 0.0), Point::new(3.0, 4.0)]);
/// assert_eq!((line.length(), line.point_at(0.5)), (5.0, Point::new(1.5, 2.0)));
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Path<T: Number = f64> {
    /// Straight line from the first to the second point.
    Line([Point<T>; 2]),
    /// Cubic Bézier curve.
    Cubic(Cubic<T>),
}

impl<T: Number> Path<T> {
    /// Returns the start point of the path.
    pub fn start(&self) -> Point<T> {
        self.points()[0]
    }

    /// Returns the end point of the path.
    pub fn end(&self) -> Point<T> {
        let points = self.points();
        points[points.len() - 1]
    }

    /// Returns the control points of the path: two for a straight line, four for a cubic.
    pub fn points(&self) -> &[Point<T>] {
        match self {
            Self::Line(points) => points,
            Self::Cubic(cubic) => &cubic.points,
        }
    }

    /// Returns the cubic curve, or `None` for a straight line.
    pub(crate) fn cubic_unless_line(&self) -> Option<&Cubic<T>> {
        if let Self::Cubic(cubic) = self { Some(cubic) } else { None }
    }

    /// Returns the point at the parameter `t`, from 0 at the start to 1 at the end.
    pub fn point_at(&self, t: T) -> Point<T> {
        match self {
            Self::Line([a, b]) => a + (b - a) * t,
            Self::Cubic(cubic) => cubic.point_at(t),
        }
    }

    /// Returns a vector in the direction of travel at the start of the path, not of unit length.
    pub fn start_tangent(&self) -> Vector<T> {
        let points = self.points();
        points[1] - points[0]
    }

    /// Returns a vector in the direction of travel at the end of the path, not of unit length.
    pub fn end_tangent(&self) -> Vector<T> {
        let points = self.points();
        points[points.len() - 1] - points[points.len() - 2]
    }

    /// Returns the signed area swept by the line from the origin to a point on the path, `½ ∫ (x dy − y dx)`, in square
    /// centimetres.
    ///
    /// The sum over the paths of a closed outline is the enclosed area, positive for a clockwise outline (`y` down).
    #[inline(always)]
    pub fn signed_area(&self) -> T {
        let half = T::constant(0.5);
        match self {
            Self::Line([a, b]) => cross(a.coords, b.coords) * half,
            Self::Cubic(cubic) => {
                // The closed form of the integral for a cubic, from its control points.
                let [a, b, c, d] = &cubic.points;
                let (a, b, c, d) = (a.coords, b.coords, c.coords, d.coords);
                let (six, three) = (T::constant(6.0), T::constant(3.0));
                let near = cross(a, b) * six + cross(a, c) * three + cross(a, d);
                let far = cross(b, c) * three + cross(b, d) * three + cross(c, d) * six;
                (near + far).quotient(T::constant(20.0))
            }
        }
    }

    /// Returns the path with a function applied to every control point.
    pub fn map(&self, f: impl FnMut(Point<T>) -> Point<T>) -> Self {
        match self {
            Self::Line(points) => Self::Line(points.map(f)),
            Self::Cubic(cubic) => Self::Cubic(Cubic::new(cubic.points.map(f))),
        }
    }
}

impl Path {
    /// Returns the points at the ends of equal intervals of the parameter, from the start of the path to its end.
    pub(crate) fn sampled(&self, intervals: u32) -> impl Iterator<Item = Point> {
        (0..=intervals).map(move |k| self.point_at(f64::from(k) / f64::from(intervals)))
    }

    /// Finds by bisection, to the last bit, the parameter from which on a condition holds for the points of the path.
    /// The condition must be false at the start and true at the end.
    pub(crate) fn first_parameter_where(&self, condition: impl Fn(Point) -> bool) -> f64 {
        bisect_floats([1.0, 0.0], |t| condition(self.point_at(t)))[0]
    }

    /// Returns the `x` at which a path with monotone `y` crosses the line `y = level`, or `None` if it does not cross.
    /// Where two paths that pass through the line share a corner on the line, only one of them counts as crossing.
    pub(crate) fn x_where_level_is_crossed(&self, level: f64) -> Option<f64> {
        let starts_above = self.start().y < level;
        let is_across = |point: Point| (point.y < level) != starts_above;
        is_across(self.end()).then(|| self.point_at(self.first_parameter_where(is_across)).x)
    }
}

impl<T: Scalar> Path<T> {
    /// Returns the arc length of the path in centimetres.
    pub fn length(&self) -> T {
        match self {
            Self::Line([a, b]) => super::norm(b - a),
            Self::Cubic(cubic) => cubic.length(),
        }
    }
}

/// Bisects between a number inside a set and a number outside; returns two adjacent `f64`, the first inside the set,
/// the second outside.
pub(crate) fn bisect_floats([mut inside, mut outside]: [f64; 2], is_inside: impl Fn(f64) -> bool) -> [f64; 2] {
    loop {
        let middle = f64::midpoint(inside, outside);
        if [inside, outside].map(f64::to_bits).contains(&middle.to_bits()) {
            return [inside, outside];
        }
        if is_inside(middle) { inside = middle } else { outside = middle }
    }
}

/// Maximum number of iterations of [`find_root_between`]; ordinary roots need fewer than twenty.
const MAX_ROOT_ITERATIONS: usize = 80;

/// Finds a root between two numbers, each given with its residual, whose residuals have different signs. Uses the
/// Illinois method, a secant that keeps the root between its ends. If no residual falls to `tolerance`, as at a jump,
/// returns the number with the smallest residual as an error.
pub(crate) fn find_root_between(
    [a, b]: [[f64; 2]; 2],
    tolerance: f64,
    mut residual: impl FnMut(f64) -> f64,
) -> Result<f64, f64> {
    let ([mut low, mut at_low], [mut high, mut at_high], mut last) = (a, b, 0.0);
    let mut best = if a[1].abs() <= b[1].abs() { a } else { b };
    for _ in 0..MAX_ROOT_ITERATIONS {
        let number = (low * at_high - high * at_low) / (at_high - at_low);
        if !(low < number && number < high) {
            break;
        }
        let found = residual(number);
        if found.abs() <= tolerance {
            return Ok(number);
        }
        best = if found.abs() < best[1].abs() { [number, found] } else { best };
        // An end that stays twice in a row would slow the secant, so its residual is halved.
        let stays = if found * last > 0.0 { 0.5 } else { 1.0 };
        if found * at_low > 0.0 {
            (low, at_low, at_high) = (number, found, at_high * stays);
        } else {
            (high, at_high, at_low) = (number, found, at_low * stays);
        }
        last = found;
    }
    if best[1].abs() <= tolerance { Ok(best[0]) } else { Err(best[0]) }
}
