//! The side seam from the waist to the hip line: one curve for back and front, upright at the hip line.

use crate::geometry::{Cubic, Point};
use crate::scalar::Number;

/// The fullness of the natural spline, which is free at the waist.
pub(super) const NATURAL: f64 = 1.5;

/// The shape of the side seam, whatever it loses.
#[derive(Clone, Copy, Debug)]
pub(crate) struct SideCurve<T> {
    /// How far the hip line lies below the waist.
    pub(super) depth: T,
    /// Its slope from the upright at the waist, for that of the straight line from hip to waist.
    pub(super) fullness: T,
    /// Whether it is the natural spline, of which a rule knows the length.
    pub(super) natural: bool,
}

/// Whether a fullness is that of the natural spline.
#[inline(always)]
pub(super) fn is_natural(fullness: f64) -> bool {
    fullness.to_bits() == NATURAL.to_bits()
}

/// The length of the natural spline for its height, by the powers of the squared tangent `s` of its lean.
///
/// Its slope from the upright at the share `t` of the height, from the waist, is `(1 − t²)` times that tangent. So its length is
/// the integral over `t` from 0 to 1 of the root of `1 + s (1 − t²)²`, and this is the binomial series of that root, integrated
/// term by term: `(1 − t²)ⁿ` integrates to `2n / (2n + 1)` of what the power before it does.
const SERIES: [f64; 20] = {
    let mut series = [1.0; 20];
    let (mut place, mut k) = (1, 1.0);
    while place < series.len() {
        let (binomial, n) = ((1.5 - k) / k, 2.0 * k);
        let integral = 2.0 * n * (2.0 * n - 2.0) / ((2.0 * n + 1.0) * (2.0 * n - 1.0));
        series[place] = series[place - 1] * binomial * integral;
        place += 1;
        k += 1.0;
    }
    series
};

/// The most squared tangent of the lean, about 24°, at which the series measures a side seam: the next term, 4e-4 s²⁰, is a
/// relative 4e-18 there.
pub(super) const MAX_SQUARED_LEAN: f64 = 0.2;

impl<T: Copy> SideCurve<T> {
    /// The same curve over another number.
    pub(super) fn map<U>(self, f: &mut impl FnMut(T) -> U) -> SideCurve<U> {
        SideCurve { depth: f(self.depth), fullness: f(self.fullness), natural: self.natural }
    }
}

impl<T: Number> SideCurve<T> {
    /// The natural spline down to this depth.
    pub(crate) fn natural(depth: T) -> Self {
        Self { depth, fullness: T::constant(NATURAL), natural: true }
    }

    /// By how much it leans from the upright at the waist where each seam loses so much: the sides of the angle.
    #[inline(always)]
    pub(super) fn lean(&self, loss: T) -> [T; 2] {
        [loss * self.fullness, self.depth]
    }

    /// The tangent of the lean at the waist where both seams together lose so much.
    #[inline(always)]
    pub(super) fn tangent(&self, both: T) -> T {
        (both * (self.fullness * T::constant(0.5))).quotient(self.depth)
    }

    /// What both seams together lose where they lean by an angle of this tangent.
    #[inline(always)]
    pub(super) fn loss_of(&self, tangent: T) -> T {
        (T::constant(2.0) * tangent * self.depth).quotient(self.fullness)
    }

    /// How far it is inside of the hip at a level above the hip line.
    ///
    /// At the share `u` of the height, from the hip line up, that is `u² ((3 − f) + (f − 2) u)` of the loss, `f` being the
    /// fullness: the cubic that is upright at the hip line, loses all at the waist, and arrives there with that slope.
    #[inline(always)]
    pub(crate) fn inside(&self, loss: T, level: T) -> T {
        let u = (self.depth - level).quotient(self.depth);
        let (first, second) = (T::constant(3.0) - self.fullness, T::constant(2.0) - self.fullness);
        loss * (first - second * u) * u * u
    }

    /// The area between the curve and the upright through the hip: what [`inside`](Self::inside) is along the height.
    #[inline(always)]
    pub(super) fn area_inside(&self, loss: T) -> T {
        loss * self.depth * (T::constant(0.5) - self.fullness * T::constant(1.0 / 12.0))
    }

    /// The natural spline's length where it loses so much, by the series of [`SERIES`], and the squared tangent of its lean that
    /// must not be over [`MAX_SQUARED_LEAN`] for it to hold.
    #[inline(always)]
    pub(super) fn natural_length(&self, loss: T) -> (T, T) {
        let [opposite, adjacent] = self.lean(loss);
        let lean = opposite.quotient(adjacent);
        let square = lean * lean;
        let second = square * square;
        let fourth = second * second;
        // Four sums, which wait for each other less than one.
        let mut sums = [T::constant(0.0); 4];
        let (fours, _) = SERIES.as_chunks::<4>();
        for four in fours.iter().rev() {
            for (sum, next) in sums.iter_mut().zip(four) {
                *sum = *sum * fourth + T::constant(*next);
            }
        }
        let [one, two, three, four] = sums;
        (self.depth * (one + two * square + (three + four * square) * second), square)
    }

    /// The curve from the waist down to the hip line, at a panel of this width: clamped upright at the hip line; at its default
    /// fullness the natural spline.
    #[inline(always)]
    pub(super) fn cubic(&self, width: T, loss: T) -> Cubic<T> {
        let third = self.depth.quotient(T::constant(3.0));
        let inside = loss * (T::constant(1.0) - self.fullness.quotient(T::constant(3.0)));
        Cubic::new([
            Point::new(width - loss, T::constant(0.0)),
            Point::new(width - inside, third),
            Point::new(width, third + third),
            Point::new(width, self.depth),
        ])
    }
}
