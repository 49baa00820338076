//! Side seam between waist and hip line: one cubic curve for back and front, always upright at the hip line.

use crate::geometry::{Cubic, Point};
use crate::scalar::Number;

/// Fullness of the natural spline, whose end at the waist is free.
pub(super) const NATURAL_FULLNESS: f64 = 1.5;

/// Shape of the side seam, independent of its loss, the distance inside the hip at the waist.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SideCurve<T> {
    /// Depth of the hip line below the waist, in centimetres.
    pub(super) depth: T,
    /// Ratio of the side seam's slope at the waist to the slope of the straight line from hip to waist.
    pub(super) fullness: T,
    /// Whether the side seam is the natural spline, whose length has a series.
    pub(super) natural: bool,
}

/// Returns whether a fullness is exactly the fullness of the natural spline.
#[inline(always)]
pub(super) fn is_natural(fullness: f64) -> bool {
    fullness.to_bits() == NATURAL_FULLNESS.to_bits()
}

/// Series coefficients of the natural spline's length, relative to its depth, in powers of `q`.
///
/// `q` is the squared tangent of the spline's lean at the waist. At the fraction `t` of the depth, from the waist down,
/// the slope from the upright is `(1 − t²) √q`. The relative length is the integral over `t` from 0 to 1 of
/// `√(1 + q (1 − t²)²)`, whose binomial series is integrated term by term. The integral of `(1 − t²)ⁿ` is
/// `2n / (2n + 1)` times the integral of `(1 − t²)ⁿ⁻¹`.
const SPLINE_LENGTH_SERIES: [f64; 20] = {
    let mut series = [1.0; 20];
    let (mut power, mut k) = (1, 1.0);
    while power < series.len() {
        let (binomial, n) = ((1.5 - k) / k, 2.0 * k);
        let integral = 2.0 * n * (2.0 * n - 2.0) / ((2.0 * n + 1.0) * (2.0 * n - 1.0));
        series[power] = series[power - 1] * binomial * integral;
        power += 1;
        k += 1.0;
    }
    series
};

/// Maximum squared tangent `q` of the side seam's lean, about 24°, for [`SPLINE_LENGTH_SERIES`].
///
/// At the maximum the first omitted term, `4e-4 q²⁰`, is a relative 4e-18.
pub(super) const MAX_SPLINE_SQUARED_LEAN: f64 = 0.2;

impl<T: Copy> SideCurve<T> {
    /// Converts depth and fullness of the side seam to another scalar type.
    pub(super) fn map<U>(self, f: &mut impl FnMut(T) -> U) -> SideCurve<U> {
        SideCurve { depth: f(self.depth), fullness: f(self.fullness), natural: self.natural }
    }
}

impl<T: Number> SideCurve<T> {
    /// Creates the side seam as a natural spline over a hip depth in centimetres.
    pub(crate) fn natural_spline(depth: T) -> Self {
        Self { depth, fullness: T::constant(NATURAL_FULLNESS), natural: true }
    }

    /// Returns the side seam's lean from the upright at the waist, as the opposite and adjacent sides of the angle.
    #[inline(always)]
    pub(super) fn lean(&self, loss: T) -> [T; 2] {
        [loss * self.fullness, self.depth]
    }

    /// Returns the tangent of the side seam's lean at the waist; `total_loss` is the loss of back and front together.
    #[inline(always)]
    pub(super) fn lean_tangent(&self, total_loss: T) -> T {
        (total_loss * (self.fullness * T::constant(0.5))).quotient(self.depth)
    }

    /// Returns the loss of back and front together at which the side seam's lean has the tangent `tangent`.
    #[inline(always)]
    pub(super) fn total_loss_at(&self, tangent: T) -> T {
        (T::constant(2.0) * tangent * self.depth).quotient(self.fullness)
    }

    /// Returns the distance of the side seam inside the hip width at a level between waist and hip line.
    ///
    /// With hip depth `D`, fullness `f` and loss `s`, the distance at level `y` is, for `u = (D − y) / D`,
    /// `s u² ((3 − f) + (f − 2) u)`.
    #[inline(always)]
    pub(crate) fn inset(&self, loss: T, level: T) -> T {
        let u = (self.depth - level).quotient(self.depth);
        let (square, cube) = (T::constant(3.0) - self.fullness, T::constant(2.0) - self.fullness);
        loss * (square - cube * u) * u * u
    }

    /// Returns the area between the side seam and the upright through the hip, the integral of [`inset`](Self::inset).
    #[inline(always)]
    pub(super) fn inset_area(&self, loss: T) -> T {
        loss * self.depth * (T::constant(0.5) - self.fullness * T::constant(1.0 / 12.0))
    }

    /// Returns the length of the natural spline by [`SPLINE_LENGTH_SERIES`], and the squared tangent of its lean.
    ///
    /// The length is accurate if the squared tangent is at most [`MAX_SPLINE_SQUARED_LEAN`].
    #[inline(always)]
    pub(super) fn natural_length(&self, loss: T) -> (T, T) {
        let [opposite, adjacent] = self.lean(loss);
        let lean = opposite.quotient(adjacent);
        let q = lean * lean;
        let square = q * q;
        let fourth = square * square;
        // Four interleaved Horner sums in `q⁴` run in parallel.
        let mut sums = [T::constant(0.0); 4];
        let (blocks, _) = SPLINE_LENGTH_SERIES.as_chunks::<4>();
        for block in blocks.iter().rev() {
            for (sum, coefficient) in sums.iter_mut().zip(block) {
                *sum = *sum * fourth + T::constant(*coefficient);
            }
        }
        let [zeroth, first, second, third] = sums;
        (self.depth * (zeroth + first * q + (second + third * q) * square), q)
    }

    /// Returns the side seam from the waist down to the hip line, for a hip width and a loss at the waist.
    #[inline(always)]
    pub(super) fn cubic(&self, width: T, loss: T) -> Cubic<T> {
        let third = self.depth.quotient(T::constant(3.0));
        let inset = loss * (T::constant(1.0) - self.fullness.quotient(T::constant(3.0)));
        Cubic::new([
            Point::new(width - loss, T::constant(0.0)),
            Point::new(width - inset, third),
            Point::new(width, third + third),
            Point::new(width, self.depth),
        ])
    }
}
