//! [`WaistTilt`]: angle between waist and level at one point, held as a direction at half the angle.

use crate::geometry::{Vector, norm};
use crate::scalar::Number;

/// Angle between the waist and the horizontal at one point, positive where the waist rises towards the side.
///
/// The direction `(along, up)` points at half the angle. `adjacent` and `hypotenuse` are sides of a right triangle with
/// the whole angle.
#[derive(Clone, Copy, Debug)]
pub(super) struct WaistTilt<T> {
    pub(super) along: T,
    pub(super) up: T,
    /// Length of the vector `(along, up)`.
    pub(super) length: T,
    pub(super) adjacent: T,
    pub(super) hypotenuse: T,
}

impl<T: Number> WaistTilt<T> {
    #[inline(always)]
    pub(super) fn zero_tilt() -> Self {
        let (zero, one) = (T::constant(0.0), T::constant(1.0));
        Self { along: one, up: zero, length: one, adjacent: one, hypotenuse: one }
    }

    /// Creates the tilt whose angle from the horizontal has the tangent `opposite / adjacent`; `adjacent` is positive.
    #[inline(always)]
    pub(super) fn new(opposite: T, adjacent: T) -> Self {
        let hypotenuse = norm(Vector::new(opposite, adjacent));
        // The vector sum of the hypotenuse and a level vector of equal length points at half the angle.
        let along = adjacent + hypotenuse;
        let length = (T::constant(2.0) * hypotenuse * along).sqrt();
        Self { along, up: opposite, length, adjacent, hypotenuse }
    }

    /// Returns the unit vector along the tilted waist, towards the side; upwards is −y.
    #[inline(always)]
    pub(super) fn unit_vector_along_waist(self) -> Vector<T> {
        let scale = T::constant(1.0).quotient(self.hypotenuse);
        Vector::new(self.adjacent * scale, -self.up * scale)
    }
}
