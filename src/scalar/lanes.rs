//! Several numbers side by side, for as many bodies at once.
//!
//! Each operation is done lane by lane in a loop of fixed length, which the compiler turns into as wide instructions as the
//! code around it may use. Every lane is rounded as a plain number is, so that it does not matter which bodies stand
//! beside each other.

use std::ops::{Add, AddAssign, Div, DivAssign, Mul, MulAssign, Neg, Sub, SubAssign};

use super::Number;

/// How many numbers stand side by side.
pub(crate) const LANES: usize = 16;

/// Several numbers side by side.
#[derive(Clone, Copy, Debug, PartialEq)]
#[repr(align(64))]
pub(crate) struct Lanes(pub(crate) [f64; LANES]);

/// An array lane by lane, in a plain loop: calls of closures are not always unfolded.
macro_rules! each {
    ($empty:expr, $k:ident => $value:expr) => {{
        let mut lanes = [$empty; LANES];
        for $k in 0..LANES {
            lanes[$k] = $value;
        }
        lanes
    }};
}

impl Lanes {
    /// 1 for yes in every lane.
    pub(crate) const YES: Self = Self([1.0; LANES]);

    /// 0 for no in every lane.
    pub(crate) const NO: Self = Self([0.0; LANES]);

    /// The same answer in every lane.
    #[inline(always)]
    pub(crate) fn when(is: bool) -> Self {
        if is { Self::YES } else { Self::NO }
    }

    /// For each lane, whether it is at most the other's: 1 for yes, 0 for no. Answers are numbers, too, so that they stay in
    /// the same registers.
    #[inline(always)]
    #[must_use]
    pub(crate) fn le(self, max: Self) -> Self {
        Self(each!(0.0, k => if self.0[k] <= max.0[k] { 1.0 } else { 0.0 }))
    }

    /// For each lane, whether it is the other's.
    #[inline(always)]
    #[must_use]
    pub(crate) fn eq(self, other: Self) -> Self {
        self.le(other).and(other.le(self))
    }

    /// The opposite of an answer.
    #[inline(always)]
    #[must_use]
    pub(crate) fn not(self) -> Self {
        Self::YES - self
    }

    /// Whether one of two answers is yes.
    #[inline(always)]
    #[must_use]
    pub(crate) fn or(self, other: Self) -> Self {
        self.max(other)
    }

    /// Whether both of two answers are yes.
    #[inline(always)]
    #[must_use]
    pub(crate) fn and(self, other: Self) -> Self {
        self * other
    }

    /// Whether every lane answers yes.
    #[inline(always)]
    pub(crate) fn all(self) -> bool {
        let mut all = true;
        for lane in self.0 {
            all &= lane > 0.0;
        }
        all
    }

    /// Each lane without its sign.
    #[inline(always)]
    #[must_use]
    pub(crate) fn abs(self) -> Self {
        Self(each!(0.0, k => self.0[k].abs()))
    }

    /// Each lane of the one where the answer is yes, else of the other.
    #[inline(always)]
    #[must_use]
    pub(crate) fn select(self, one: Self, other: Self) -> Self {
        Self(each!(0.0, k => if self.0[k] > 0.0 { one.0[k] } else { other.0[k] }))
    }
}

/// The four operations, each with its assigning form.
macro_rules! operations {
    ($($trait:ident $method:ident $assign:ident $assign_method:ident $sign:tt;)*) => {$(
        impl $trait for Lanes {
            type Output = Self;

            #[inline(always)]
            fn $method(self, other: Self) -> Self {
                Self(each!(0.0, k => self.0[k] $sign other.0[k]))
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
        Self(each!(0.0, k => -self.0[k]))
    }
}

impl Number for Lanes {
    #[inline(always)]
    fn constant(value: f64) -> Self {
        Self([value; LANES])
    }

    #[inline(always)]
    fn sqrt(self) -> Self {
        Self(each!(0.0, k => self.0[k].sqrt()))
    }

    #[inline(always)]
    fn quotient(self, divisor: Self) -> Self {
        self / divisor
    }

    #[inline(always)]
    fn max(self, other: Self) -> Self {
        Self(each!(0.0, k => if other.0[k] > self.0[k] { other.0[k] } else { self.0[k] }))
    }

    #[inline(always)]
    fn min(self, other: Self) -> Self {
        Self(each!(0.0, k => if other.0[k] < self.0[k] { other.0[k] } else { self.0[k] }))
    }

    #[inline(always)]
    fn lt(self, other: Self) -> Self {
        Self(each!(0.0, k => if self.0[k] < other.0[k] { 1.0 } else { 0.0 }))
    }
}
