//! The numbers that a draft is made of.
//!
//! The draft is written once over a [`Scalar`]: plain `f64`, or dual numbers that carry exact derivatives along. It
//! needs only `+ − × ÷ √`, which IEEE 754 rounds alike on every machine, and, for the angles that are given in or
//! reported, one tangent and one arc tangent from a portable library.

use std::ops::Neg;

use nalgebra::{ClosedAddAssign, ClosedDivAssign, ClosedMulAssign, ClosedSubAssign};
use num_dual::{Dual2_64, Dual2SVec64, Dual64, DualNum, DualSVec64, HyperDual64};

/// A number that a draft can be computed in.
///
/// Comparisons in the draft look at [`Scalar::re`] only, so that a derivative never changes a decision.
///
/// ```
/// use kirtle::Scalar;
/// use num_dual::DualSVec64;
///
/// let x = DualSVec64::<1>::from_re(9.0).derivative(0);
/// let root = Scalar::sqrt(x);
/// assert_eq!(root.re(), 3.0);
/// assert_eq!(root.eps.0.unwrap()[0], 1.0 / 6.0);
/// ```
pub trait Scalar:
    nalgebra::Scalar + Copy + ClosedAddAssign + ClosedSubAssign + ClosedMulAssign + ClosedDivAssign + Neg<Output = Self>
{
    /// The highest derivative that the number carries: 0 for a plain one.
    const ORDER: usize;

    /// A constant.
    fn constant(value: f64) -> Self;

    /// The value without its derivatives.
    fn re(self) -> f64;

    /// The square root.
    #[must_use]
    fn sqrt(self) -> Self;

    /// The quotient. Dual numbers may divide by multiplying with the inverse, which rounds otherwise than a division: here
    /// the value is that of the plain division.
    #[must_use]
    fn over(self, divisor: Self) -> Self {
        let quotient = self / divisor;
        quotient + Self::constant(self.re() / divisor.re() - quotient.re())
    }

    /// The smooth function whose value and first two derivatives at `self.re()` are given.
    #[must_use]
    fn chain(self, [value, first, second]: [f64; 3]) -> Self {
        let step = self - Self::constant(self.re());
        Self::constant(value) + step * Self::constant(first) + step * step * Self::constant(second / 2.0)
    }

    /// The tangent of an angle in radians.
    #[must_use]
    fn tan(self) -> Self {
        let tan = libm::tan(self.re());
        let first = 1.0 + tan * tan;
        self.chain([tan, first, 2.0 * tan * first])
    }

    /// The angle in radians, from −π/2 to π/2, that has this tangent.
    #[must_use]
    fn atan(self) -> Self {
        let x = self.re();
        let first = 1.0 / (1.0 + x * x);
        self.chain([libm::atan(x), first, -2.0 * x * first * first])
    }
}

impl Scalar for f64 {
    const ORDER: usize = 0;

    fn constant(value: f64) -> Self {
        value
    }

    fn re(self) -> f64 {
        self
    }

    fn sqrt(self) -> Self {
        f64::sqrt(self)
    }

    fn over(self, divisor: Self) -> Self {
        self / divisor
    }

    fn chain(self, [value, ..]: [f64; 3]) -> Self {
        value
    }
}

/// A dual number's value and root are its own library's; the sizes in brackets are its numbers of variables.
macro_rules! dual {
    ($([$($size:tt)*] $name:ty: $order:literal;)*) => {$(
        impl<$($size)*> Scalar for $name {
            const ORDER: usize = $order;

            fn constant(value: f64) -> Self {
                Self::from_re(value)
            }

            fn re(self) -> f64 {
                self.re
            }

            fn sqrt(self) -> Self {
                DualNum::sqrt(&self)
            }
        }
    )*};
}

dual! {
    [] Dual64: 1;
    [const N: usize] DualSVec64<N>: 1;
    [] Dual2_64: 2;
    [const N: usize] Dual2SVec64<N>: 2;
    [] HyperDual64: 2;
}
