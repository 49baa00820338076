//! [`Mask`]: the truth value of a comparison of two numbers, one for each lane, and sets of such values.

use std::fmt::Debug;
use std::ops::{BitAnd, BitOr, Not};

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
