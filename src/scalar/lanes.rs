//! [`Lanes`]: 16 numbers, one for each of 16 bodies, computed together in SIMD instructions.
//!
//! Every operation is a loop of fixed length over the lanes, which the compiler vectorises. Each lane is rounded
//! exactly as a single `f64`, so a result does not depend on the bodies in the other lanes.

use std::ops::{Add, AddAssign, BitAnd, BitOr, Div, DivAssign, Mul, MulAssign, Neg, Not, Sub, SubAssign};

use super::{Mask, Number};

/// Number of lanes: bodies computed together in the vectorised construction.
pub(crate) const LANE_COUNT: usize = 16;

/// Vector of one number for each of 16 lanes, with element-wise arithmetic.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[repr(align(64))]
pub(crate) struct Lanes(pub(crate) [f64; LANE_COUNT]);

/// Truth value of each lane: 1 for true, 0 for false. As a set of flags, a lane holds the sum of 2ᵏ over its true flags
/// `k`.
///
/// An array of `bool` or of integers would leave the vector registers that hold the numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
#[repr(align(64))]
pub(crate) struct LaneMask([f64; LANE_COUNT]);

/// Creates an array by an expression evaluated for each lane `$k`, in a plain loop: a closure vectorises less reliably.
macro_rules! lanewise {
    ($k:ident => $value:expr) => {{
        let mut lanes = [0.0; LANE_COUNT];
        for $k in 0..LANE_COUNT {
            lanes[$k] = $value;
        }
        lanes
    }};
}

/// Defines methods that compute each lane of the result from the same lane of the operands.
macro_rules! lanewise_methods {
    ($($method:ident($a:ident $(, $b:ident)?) -> $result:ident = $value:expr;)+) => {$(
        #[inline(always)]
        fn $method(self $(, $b: Self)?) -> $result {
            $result(lanewise!(k => {
                let ($a, $($b)?) = (self.0[k], $($b.0[k])?);
                $value
            }))
        }
    )+};
}

/// Implements operators lane by lane, and after `as` the assignment operator.
macro_rules! impl_lanewise_operators {
    ($($type:ident: $trait:ident $method:ident($($lane:ident),+) = $value:expr $(, as $assign:ident $assign_method:ident)?;)+) => {$(
        impl $trait for $type {
            type Output = Self;
            lanewise_methods! { $method($($lane),+) -> $type = $value; }
        }

        $(impl $assign for $type {
            #[inline(always)]
            fn $assign_method(&mut self, other: Self) {
                *self = self.$method(other);
            }
        })?
    )+};
}

impl_lanewise_operators! {
    Lanes: Add add(a, b) = a + b, as AddAssign add_assign;
    Lanes: Sub sub(a, b) = a - b, as SubAssign sub_assign;
    Lanes: Mul mul(a, b) = a * b, as MulAssign mul_assign;
    Lanes: Div div(a, b) = a / b, as DivAssign div_assign;
    Lanes: Neg neg(a) = -a;
    LaneMask: BitAnd bitand(a, b) = if b < a { b } else { a };
    LaneMask: BitOr bitor(a, b) = if b > a { b } else { a };
    LaneMask: Not not(a) = 1.0 - a;
}

impl super::sealed::Sealed for Lanes {}

impl Number for Lanes {
    type Mask = LaneMask;
    const HAS_LANES: bool = true;

    #[inline(always)]
    fn constant(value: f64) -> Self {
        Self([value; LANE_COUNT])
    }

    lanewise_methods! {
        sqrt(a) -> Lanes = a.sqrt();
        max(a, b) -> Lanes = if b > a { b } else { a };
        min(a, b) -> Lanes = if b < a { b } else { a };
        lt(a, b) -> LaneMask = bool_to_f64(a < b);
        le(a, b) -> LaneMask = bool_to_f64(a <= b);
    }

    #[inline(always)]
    fn select(mask: LaneMask, if_true: Self, if_false: Self) -> Self {
        Self(lanewise!(k => if mask.0[k] > 0.0 { if_true.0[k] } else { if_false.0[k] }))
    }

    #[cfg(feature = "simd")]
    #[inline(never)]
    fn out_of_line<R>(f: impl FnMut() -> R) -> R {
        pulp::Arch::new().dispatch(SimdDispatchedClosure(f))
    }
}

/// Wrapper of a closure that `pulp` compiles for several sets of SIMD instructions, and runs with the widest available.
///
/// Without the wrapper, a closure runs through a shim for `FnOnce`. A long one is not inlined from there, and so is
/// compiled without these instructions.
#[cfg(feature = "simd")]
struct SimdDispatchedClosure<F>(F);

#[cfg(feature = "simd")]
impl<R, F: FnMut() -> R> pulp::WithSimd for SimdDispatchedClosure<F> {
    type Output = R;

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(mut self, _: S) -> R {
        (self.0)()
    }
}

/// Converts a truth value to a number: 1 for true, 0 for false.
#[inline(always)]
fn bool_to_f64(value: bool) -> f64 {
    if value { 1.0 } else { 0.0 }
}

impl LaneMask {
    /// Returns the set of flags of each lane as bits: flag `k` is bit `k`.
    #[inline(always)]
    pub(crate) fn flag_bits_by_lane(self) -> [u32; LANE_COUNT] {
        // A set has at most 32 flags.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        self.0.map(|set| set as u32)
    }
}

impl Mask for LaneMask {
    type FlagSet = Self;

    #[inline(always)]
    fn uniform(value: bool) -> Self {
        Self([bool_to_f64(value); LANE_COUNT])
    }

    #[inline(always)]
    fn all(self) -> bool {
        let mut all = true;
        for lane in self.0 {
            all &= lane > 0.0;
        }
        all
    }

    #[inline(always)]
    fn flag_set_from_masks<const COUNT: usize>(masks: [Self; COUNT]) -> Self {
        let (mut set, mut value) = (Self::uniform(false), 1.0);
        for mask in masks {
            set = Self(lanewise!(k => set.0[k] + mask.0[k] * value));
            value += value;
        }
        set
    }

    #[inline(always)]
    fn equal_flag_sets(a: Self, b: Self) -> Self {
        Self(lanewise!(k => bool_to_f64(a.0[k] <= b.0[k]) * bool_to_f64(b.0[k] <= a.0[k])))
    }
}
