//! Dual numbers of num-dual as [`Number`] and [`Scalar`]: a draft of dual numbers carries its exact derivatives.

use num_dual::{Dual2_64, Dual2SVec64, Dual64, DualNum, DualSVec64, HyperDual64};

use super::{Number, Scalar};

/// Implements [`Number`] and [`Scalar`] for dual numbers. Each line gives the generic parameters, the type, the order
/// of derivatives, and the function behind `may_have_derivative`.
macro_rules! impl_dual_numbers {
    ($([$($size:tt)*] $name:ty: $order:literal, $varies:expr;)*) => {$(
        impl<$($size)*> super::sealed::Sealed for $name {}

        impl<$($size)*> Number for $name {
            type Mask = bool;

            fn constant(value: f64) -> Self {
                Self::from_re(value)
            }

            fn sqrt(self) -> Self {
                DualNum::sqrt(&self)
            }

            // The `/` of num-dual multiplies by the reciprocal; the sum corrects the rounding of the real part.
            fn quotient(self, divisor: Self) -> Self {
                let quotient = self / divisor;
                quotient + Self::constant(self.re / divisor.re - quotient.re)
            }

            fn lt(self, other: Self) -> bool {
                self.re < other.re
            }

            fn le(self, other: Self) -> bool {
                self.re <= other.re
            }

            fn select(mask: bool, if_true: Self, if_false: Self) -> Self {
                if mask { if_true } else { if_false }
            }

            fn may_have_derivative(self) -> bool {
                let has_derivative: fn(Self) -> bool = $varies;
                has_derivative(self)
            }
        }

        impl<$($size)*> Scalar for $name {
            const DERIVATIVE_ORDER: usize = $order;

            fn re(self) -> f64 {
                self.re
            }
        }
    )*};
}

impl_dual_numbers! {
    [] Dual64: 1, |number| number.eps != 0.0;
    [const N: usize] DualSVec64<N>: 1, |number| number.eps.0.is_some();
    [] Dual2_64: 2, |number| number.v1 != 0.0 || number.v2 != 0.0;
    [const N: usize] Dual2SVec64<N>: 2, |number| number.v1.0.is_some() || number.v2.0.is_some();
    [] HyperDual64: 2, |number| number.eps1 != 0.0 || number.eps2 != 0.0 || number.eps1eps2 != 0.0;
}
