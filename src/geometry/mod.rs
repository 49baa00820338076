//! Lines and curves over any scalar.
//!
//! Points are in centimetres in a panel's own frame: `x` from the centre line towards the side, `y` down.

mod cubic;
mod flatten;
mod mirror;
mod offset;
mod path;

pub use cubic::Cubic;
pub(crate) use cubic::GENTLE;
pub(crate) use flatten::flatten;
pub(crate) use mirror::{Line, walk};
pub use path::Path;

/// A point `(x, y)`.
pub type Point<T = f64> = nalgebra::Point2<T>;

/// A direction or a step from one point to another.
pub type Vector<T = f64> = nalgebra::Vector2<T>;

use crate::scalar::Number;

/// The length of a vector; nalgebra's own `norm` is not there for dual numbers.
#[inline(always)]
pub(crate) fn norm<T: Number>(v: Vector<T>) -> T {
    (v.x * v.x + v.y * v.y).sqrt()
}

/// The area that turns from `a` to `b`: positive where `b` lies clockwise of `a`, as `y` runs down.
#[inline(always)]
pub(crate) fn cross<T: Number>(a: Vector<T>, b: Vector<T>) -> T {
    a.x * b.y - a.y * b.x
}
