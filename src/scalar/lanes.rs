//! [`Lanes`]: 16 numbers, one for each of 16 bodies, computed together in SIMD instructions.
//!
//! Every operation is a loop of fixed length over the lanes, which the compiler vectorises. Each lane is rounded
//! exactly as a single `f64`, so a result does not depend on the bodies in the other lanes.

use std::ops::{Add, AddAssign, Div, DivAssign, Mul, MulAssign, Neg, Sub, SubAssign};

use super::Number;

/// Number of lanes: bodies computed together in the vectorised construction.
pub(crate) const LANES: usize = 16;

/// Vector of one number for each of 16 lanes, with element-wise arithmetic; also a mask, with 1 for true, 0 for false.
#[derive(Clone, Copy, Debug, PartialEq)]
#[repr(align(64))]
pub(crate) struct Lanes(pub(crate) [f64; LANES]);

/// Creates an array by an expression evaluated for each lane `$k`, in a plain loop: a closure vectorises less reliably.
macro_rules! lanewise {
    ($empty:expr, $k:ident => $value:expr) => {{
        let mut lanes = [$empty; LANES];
        for $k in 0..LANES {
            lanes[$k] = $value;
        }
        lanes
    }};
}

impl Lanes {
    /// Mask that is true in every lane (1.0).
    pub(crate) const TRUE: Self = Self([1.0; LANES]);

    /// Mask that is false in every lane (0.0).
    pub(crate) const FALSE: Self = Self([0.0; LANES]);

    /// Returns a mask with the same truth value in every lane.
    #[inline(always)]
    pub(crate) fn uniform_mask(value: bool) -> Self {
        if value { Self::TRUE } else { Self::FALSE }
    }

    /// Returns a mask that is true in the lanes where `self` is at most `max`.
    #[inline(always)]
    #[must_use]
    pub(crate) fn le(self, max: Self) -> Self {
        Self(lanewise!(0.0, k => if self.0[k] <= max.0[k] { 1.0 } else { 0.0 }))
    }

    /// Returns a mask that is true in the lanes where `self` equals `other`.
    #[inline(always)]
    #[must_use]
    pub(crate) fn eq(self, other: Self) -> Self {
        self.le(other).and(other.le(self))
    }

    /// Negates a mask in every lane.
    #[inline(always)]
    #[must_use]
    pub(crate) fn not(self) -> Self {
        Self::TRUE - self
    }

    /// Returns a mask that is true in the lanes where `self` or `other` is true.
    #[inline(always)]
    #[must_use]
    pub(crate) fn or(self, other: Self) -> Self {
        self.max(other)
    }

    /// Returns a mask that is true in the lanes where both `self` and `other` are true.
    #[inline(always)]
    #[must_use]
    pub(crate) fn and(self, other: Self) -> Self {
        self * other
    }

    /// Returns whether a mask is true in every lane.
    #[inline(always)]
    pub(crate) fn all(self) -> bool {
        let mut all = true;
        for lane in self.0 {
            all &= lane > 0.0;
        }
        all
    }

    /// Returns the absolute value of each lane.
    #[inline(always)]
    #[must_use]
    pub(crate) fn abs(self) -> Self {
        Self(lanewise!(0.0, k => self.0[k].abs()))
    }

    /// Returns, lane by lane, `if_true` where the mask `self` is true, and `if_false` elsewhere.
    #[inline(always)]
    #[must_use]
    pub(crate) fn select(self, if_true: Self, if_false: Self) -> Self {
        Self(lanewise!(0.0, k => if self.0[k] > 0.0 { if_true.0[k] } else { if_false.0[k] }))
    }
}

/// Implements element-wise arithmetic operators on [`Lanes`], each with its assignment operator.
macro_rules! operations {
    ($($trait:ident $method:ident $assign:ident $assign_method:ident $sign:tt;)*) => {$(
        impl $trait for Lanes {
            type Output = Self;

            #[inline(always)]
            fn $method(self, other: Self) -> Self {
                Self(lanewise!(0.0, k => self.0[k] $sign other.0[k]))
            }
        }

        impl $assign for Lanes {
            #[inline(always)]
            fn $assign_method(&mut self, other: Self) {
                *self = *self $sign other;
            }
        }
    )*};
}

operations! {
    Add add AddAssign add_assign +;
    Sub sub SubAssign sub_assign -;
    Mul mul MulAssign mul_assign *;
    Div div DivAssign div_assign /;
}

impl Neg for Lanes {
    type Output = Self;

    #[inline(always)]
    fn neg(self) -> Self {
        Self(lanewise!(0.0, k => -self.0[k]))
    }
}

impl Number for Lanes {
    #[inline(always)]
    fn constant(value: f64) -> Self {
        Self([value; LANES])
    }

    #[inline(always)]
    fn sqrt(self) -> Self {
        Self(lanewise!(0.0, k => self.0[k].sqrt()))
    }

    #[inline(always)]
    fn quotient(self, divisor: Self) -> Self {
        self / divisor
    }

    #[inline(always)]
    fn max(self, other: Self) -> Self {
        Self(lanewise!(0.0, k => if other.0[k] > self.0[k] { other.0[k] } else { self.0[k] }))
    }

    #[inline(always)]
    fn min(self, other: Self) -> Self {
        Self(lanewise!(0.0, k => if other.0[k] < self.0[k] { other.0[k] } else { self.0[k] }))
    }

    #[inline(always)]
    fn lt(self, other: Self) -> Self {
        Self(lanewise!(0.0, k => if self.0[k] < other.0[k] { 1.0 } else { 0.0 }))
    }
}
