//! The numbers that a draft is made of.
//!
//! The construction is written once over a [`Number`]: plain `f64`, several of them side by side, or dual numbers that carry
//! exact derivatives along. It needs only `+ − × ÷ √`, which IEEE 754 rounds alike on every machine. What decides, such as
//! how many darts there are, needs a [`Scalar`]: a number that has one value; and, for the angles that are given in or
//! reported, one tangent and one arc tangent from a portable library.

mod lanes;

pub(crate) use lanes::{LANES, Lanes};

use std::ops::Neg;

use nalgebra::{ClosedAddAssign, ClosedDivAssign, ClosedMulAssign, ClosedSubAssign};
use num_dual::{Dual2_64, Dual2SVec64, Dual64, DualNum, DualSVec64, HyperDual64};

/// A number that the construction can be computed in, be it one or several at once.
pub trait Number:
    nalgebra::Scalar + Copy + ClosedAddAssign + ClosedSubAssign + ClosedMulAssign + ClosedDivAssign + Neg<Output = Self>
{
    /// A constant.
    fn constant(value: f64) -> Self;

    /// The square root.
    #[must_use]
    fn sqrt(self) -> Self;

    /// The quotient, rounded as a division of plain numbers is.
    #[must_use]
    fn quotient(self, divisor: Self) -> Self;

    /// The larger of two, by value.
    #[must_use]
    fn max(self, other: Self) -> Self;

    /// The smaller of two, by value.
    #[must_use]
    fn min(self, other: Self) -> Self;

    /// Whether it is below the other, by value: 1 for yes, 0 for no.
    #[must_use]
    fn lt(self, other: Self) -> Self;
}

/// A number with one value, that a draft can be decided by.
///
/// Comparisons in the draft look at [`Scalar::re`] only, so that a derivative never changes a decision.
///
/// ```
/// use kirtle::scalar::{Number, Scalar};
/// use num_dual::DualSVec64;
///
/// let x = DualSVec64::<1>::from_re(9.0).derivative(0);
/// let root = Number::sqrt(x);
/// assert_eq!(root.re(), 3.0);
/// assert_eq!(root.eps.0.unwrap()[0], 1.0 / 6.0);
/// ```
pub trait Scalar: Number {
    /// The highest derivative that the number carries: 0 for a plain one.
    const ORDER: usize;

    /// The value without its derivatives.
    fn re(self) -> f64;

    /// Whether it may carry derivatives that are not zero.
    fn varies(self) -> bool {
        Self::ORDER > 0
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

impl Number for f64 {
    fn constant(value: f64) -> Self {
        value
    }

    fn sqrt(self) -> Self {
        f64::sqrt(self)
    }

    fn quotient(self, divisor: Self) -> Self {
        self / divisor
    }

    fn max(self, other: Self) -> Self {
        if other > self { other } else { self }
    }

    fn min(self, other: Self) -> Self {
        if other < self { other } else { self }
    }

    fn lt(self, other: Self) -> Self {
        if self < other { 1.0 } else { 0.0 }
    }
}

impl Scalar for f64 {
    const ORDER: usize = 0;

    fn re(self) -> f64 {
        self
    }

    fn chain(self, [value, ..]: [f64; 3]) -> Self {
        value
    }
}

/// A dual number's value and root are its own library's; the sizes in brackets are its numbers of variables.
macro_rules! dual {
    ($([$($size:tt)*] $name:ty: $order:literal $(, $varies:expr)?;)*) => {$(
        impl<$($size)*> Number for $name {
            fn constant(value: f64) -> Self {
                Self::from_re(value)
            }

            fn sqrt(self) -> Self {
                DualNum::sqrt(&self)
            }

            /// Dual numbers divide by multiplying with the inverse, which rounds otherwise than a division.
            fn quotient(self, divisor: Self) -> Self {
                let quotient = self / divisor;
                quotient + Self::constant(self.re / divisor.re - quotient.re)
            }

            fn max(self, other: Self) -> Self {
                if other.re > self.re { other } else { self }
            }

            fn min(self, other: Self) -> Self {
                if other.re < self.re { other } else { self }
            }

            fn lt(self, other: Self) -> Self {
                Self::constant(self.re.lt(other.re))
            }
        }

        impl<$($size)*> Scalar for $name {
            const ORDER: usize = $order;

            fn re(self) -> f64 {
                self.re
            }

            $(fn varies(self) -> bool {
                let varies: fn(Self) -> bool = $varies;
                varies(self)
            })?
        }
    )*};
}

dual! {
    [] Dual64: 1;
    [const N: usize] DualSVec64<N>: 1, |number| number.eps.0.is_some();
    [] Dual2_64: 2;
    [const N: usize] Dual2SVec64<N>: 2;
    [] HyperDual64: 2;
}
