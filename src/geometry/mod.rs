//! Points, straight lines and cubic Bézier curves over any number type: the edges of a draft.
//!
//! Coordinates are centimetres in the frame of a panel: `x` runs from the centre line towards the side seam, `y` runs
//! down. With `y` down, a positive area or turn is clockwise.
//!
//! ```
//! use kirtle::geometry::{Path, Point};
//!
//! let line = Path::Line([Point::new(0.0, 0.0), Point::new(3.0, 4.0)]);
//! assert_eq!(line.length(), 5.0);
//! ```

mod cubic;
mod flatten;
mod mirror;
mod offset;
mod path;

pub use cubic::Cubic;
pub(crate) use flatten::flatten_to_polyline;
pub(crate) use mirror::{Line, paths_up_to_line};
pub use path::Path;
pub(crate) use path::{bisect_floats, find_root_between};

/// Point `(x, y)` in centimetres.
pub type Point<T = f64> = nalgebra::Point2<T>;

/// Vector `(x, y)`: a direction, or the difference of two points.
pub type Vector<T = f64> = nalgebra::Vector2<T>;

use crate::scalar::Number;

/// Returns the Euclidean length of a vector over any number type; `norm` of nalgebra does not support dual numbers.
#[inline(always)]
pub(crate) fn norm<T: Number>(v: Vector<T>) -> T {
    (v.x * v.x + v.y * v.y).sqrt()
}

/// Returns two corners of the box around points: minimum `x` and `y`, maximum `x` and `y`; infinite without points.
pub(crate) fn bounding_box<'p>(points: impl IntoIterator<Item = &'p Point>) -> [Point; 2] {
    let empty = [f64::INFINITY, f64::NEG_INFINITY].map(|end| Point::new(end, end));
    points.into_iter().fold(empty, |[min, max], point| [min.inf(point), max.sup(point)])
}

/// Returns the cross product `a × b`, which is positive if `b` lies clockwise of `a` (with `y` down).
#[inline(always)]
pub(crate) fn cross<T: Number>(a: Vector<T>, b: Vector<T>) -> T {
    a.x * b.y - a.y * b.x
}
