//! Number types of a draft: `f64`, dual numbers for exact derivatives, and lanes for many drafts at once.
//!
//! Most of the construction is generic over [`Number`] and needs only `+ − × ÷ √`, which IEEE 754 rounds identically on
//! every machine. Decisions, such as the number of darts, and angles need a [`Scalar`], a number with one real part.
//! Tangent and arc tangent come from a portable library, so that results agree to the last bit on every machine.
//!
//! ```
//! use kirtle::scalar::{Number, Scalar};
//!
//! let hypotenuse = Number::sqrt(3.0_f64 * 3.0 + 4.0 * 4.0);
//! assert_eq!(Scalar::re(hypotenuse), 5.0);
//! ```

#[cfg(feature = "sensitivity")]
mod dual;
mod lanes;

pub(crate) use lanes::{LANE_COUNT, LaneMask, Lanes};

use std::fmt::Debug;
use std::ops::{BitAnd, BitOr, Neg, Not};

use nalgebra::{ClosedAddAssign, ClosedDivAssign, ClosedMulAssign, ClosedSubAssign};

/// Makes a closure that is always inlined: code on lanes is vectorised only where it is inlined.
macro_rules! inlined {
    ($($closure:tt)+) => { std::convert::identity(#[inline(always)] $($closure)+) };
}
pub(crate) use inlined;

mod sealed {
    /// Seals [`Number`](super::Number): no other crate can implement it.
    pub trait Sealed {}

    impl Sealed for f64 {}
}

/// Number type of the construction: `f64`, a dual number, or a vector of one number per lane. The trait is sealed.
pub trait Number:
    sealed::Sealed
    + nalgebra::Scalar
    + Copy
    + ClosedAddAssign
    + ClosedSubAssign
    + ClosedMulAssign
    + ClosedDivAssign
    + Neg<Output = Self>
{
    /// Result of a comparison: one truth value for each lane.
    type Mask: Mask;

    /// Whether the number is a vector of lanes, whose lanes must all take the same branch.
    const HAS_LANES: bool = false;

    /// Converts an `f64` to a number with zero derivatives, equal in every lane.
    fn constant(value: f64) -> Self;

    /// Returns the square root.
    fn sqrt(self) -> Self;

    /// Divides by `divisor`; the real part of the quotient is rounded exactly as in a division of two `f64`.
    #[inline(always)]
    fn quotient(self, divisor: Self) -> Self {
        self / divisor
    }

    /// Returns the number with the larger real part, and `self` if the real parts are equal or one is NaN.
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        Self::select(self.lt(other), other, self)
    }

    /// Returns the number with the smaller real part, and `self` if the real parts are equal or one is NaN.
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        Self::select(other.lt(self), other, self)
    }

    /// Compares real parts: returns whether `self` is less than `other`.
    fn lt(self, other: Self) -> Self::Mask;

    /// Compares real parts: returns whether `self` is at most `other`.
    fn le(self, other: Self) -> Self::Mask;

    /// Returns `if_true` in the lanes where `mask` is true, and `if_false` in all others.
    fn select(mask: Self::Mask, if_true: Self, if_false: Self) -> Self;

    /// Returns the result of [`select`](Self::select), but calls each function only if some lane takes its result.
    #[inline(always)]
    fn select_lazily(mask: Self::Mask, if_true: impl FnOnce() -> Self, if_false: impl FnOnce() -> Self) -> Self {
        if mask.all() {
            return if_true();
        }
        if mask.any() { Self::select(mask, if_true(), if_false()) } else { if_false() }
    }

    /// Calls `f`, a long function that is rarely needed, out of line: inlined, it would slow compilation and the code
    /// around the call. With the feature `simd`, `f` is compiled for the widest instructions of the processor if the
    /// number is lanes.
    #[inline(never)]
    fn out_of_line<R>(mut f: impl FnMut() -> R) -> R {
        f()
    }

    /// Calls `f`, a stage of a long computation: inlined with the feature `simd`, otherwise out of line. The time to
    /// compile all stages in one function grows with the square of its length.
    #[inline(always)]
    fn stage<R>(mut f: impl FnMut() -> R) -> R {
        if cfg!(feature = "simd") { f() } else { Self::out_of_line(f) }
    }

    /// Returns the absolute value.
    #[inline(always)]
    fn abs(self) -> Self {
        self.max(-self)
    }

    /// Returns whether the number is not NaN; NaN stands for a missing measurement.
    #[inline(always)]
    fn is_not_nan(self) -> Self::Mask {
        self.le(self)
    }

    /// Returns whether the number can have a derivative other than zero.
    #[inline(always)]
    fn may_have_derivative(self) -> bool {
        false
    }
}

/// Number with a single real part: `f64` or a dual number.
///
/// Comparisons in the draft use only [`Scalar::re`], so that a derivative never changes a decision.
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
pub trait Scalar: Number<Mask = bool> {
    /// Highest order of derivative that the number type carries: 0 for `f64`, 1 or 2 for dual numbers.
    const DERIVATIVE_ORDER: usize;

    /// Returns the real part, without derivatives.
    fn re(self) -> f64;

    /// Applies a smooth function by the chain rule; the array holds the function's value, first derivative and second
    /// derivative at `re()`.
    fn apply_chain_rule(self, [value, first, second]: [f64; 3]) -> Self {
        let step = self - Self::constant(self.re());
        Self::constant(value) + step * Self::constant(first) + step * step * Self::constant(second / 2.0)
    }

    /// Returns the tangent of an angle in radians.
    fn tan(self) -> Self {
        let tan = libm::tan(self.re());
        let first = 1.0 + tan * tan;
        self.apply_chain_rule([tan, first, 2.0 * tan * first])
    }

    /// Returns the arc tangent in radians, from −π/2 to π/2.
    fn atan(self) -> Self {
        let x = self.re();
        let first = 1.0 / (1.0 + x * x);
        self.apply_chain_rule([libm::atan(x), first, -2.0 * x * first * first])
    }
}

impl Number for f64 {
    type Mask = bool;

    #[inline(always)]
    fn constant(value: f64) -> Self {
        value
    }

    #[inline(always)]
    fn sqrt(self) -> Self {
        f64::sqrt(self)
    }

    #[inline(always)]
    fn lt(self, other: Self) -> bool {
        self < other
    }

    #[inline(always)]
    fn le(self, other: Self) -> bool {
        self <= other
    }

    #[inline(always)]
    fn select(mask: bool, if_true: Self, if_false: Self) -> Self {
        if mask { if_true } else { if_false }
    }
}

impl Scalar for f64 {
    const DERIVATIVE_ORDER: usize = 0;

    fn re(self) -> f64 {
        self
    }

    fn apply_chain_rule(self, [value, ..]: [f64; 3]) -> Self {
        value
    }
}

/// Truth value of each lane, with the operators `&`, `|` and `!`; a `bool` for a number with a single real part.
///
/// ```
/// use kirtle::scalar::{Mask, Number};
///
/// let [small, large] = [3.0_f64, 5.0].map(|number| number.lt(4.0));
/// assert!((small & !large).all());
/// assert!(!(small & large).any());
/// ```
pub trait Mask: Copy + Debug + PartialEq + BitAnd<Output = Self> + BitOr<Output = Self> + Not<Output = Self> {
    /// Type of a set of up to 32 flags in each lane.
    type FlagSet: Copy + Debug;

    /// Returns the mask with the same truth value in every lane.
    fn uniform(value: bool) -> Self;

    /// Returns whether the mask is true in every lane.
    fn all(self) -> bool;

    /// Returns whether the mask is true in at least one lane.
    #[inline(always)]
    fn any(self) -> bool {
        !(!self).all()
    }

    /// Returns a set of up to 32 flags: in each lane, flag `k` is set if `masks[k]` is true.
    fn flag_set_from_masks<const COUNT: usize>(masks: [Self; COUNT]) -> Self::FlagSet;

    /// Returns a mask that is true in the lanes where two sets of flags are equal.
    fn equal_flag_sets(a: Self::FlagSet, b: Self::FlagSet) -> Self;
}

impl Mask for bool {
    /// Flag `k` is bit `k`.
    type FlagSet = u32;

    #[inline(always)]
    fn uniform(value: bool) -> Self {
        value
    }

    #[inline(always)]
    fn all(self) -> bool {
        self
    }

    #[inline(always)]
    fn flag_set_from_masks<const COUNT: usize>(masks: [Self; COUNT]) -> u32 {
        masks.into_iter().enumerate().fold(0, |set, (k, mask)| set | u32::from(mask) << k)
    }

    #[inline(always)]
    fn equal_flag_sets(a: u32, b: u32) -> Self {
        a == b
    }
}
