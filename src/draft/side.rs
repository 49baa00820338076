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

/// `(1 − t²)²` at the positive nodes of the sixteen-point Gauss–Legendre rule on [−1, 1], and their weights.
const RULE: [(f64, f64); 8] = [
    (0.982_026_739_484_668_9, 0.189_450_610_455_068_5),
    (0.847_687_459_163_441_9, 0.182_603_415_044_923_58),
    (0.624_448_646_265_702, 0.169_156_519_395_002_54),
    (0.382_207_030_417_712_15, 0.149_595_988_816_576_74),
    (0.184_353_598_927_810_56, 0.124_628_971_255_533_88),
    (0.062_841_776_698_345_88, 0.095_158_511_682_492_79),
    (0.011_616_102_842_371_254, 0.062_253_523_938_647_894),
    (0.000_444_610_533_077_497_8, 0.027_152_459_411_754_096),
];

/// The most squared tangent of the lean, about 24°, at which that rule measures a side seam to a relative 1e-15.
pub(super) const MOST_SQUARED_LEAN: f64 = 0.2;

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
        (both * (self.fullness * T::constant(0.5))).over(self.depth)
    }

    /// What both seams together lose where they lean by an angle of this tangent.
    #[inline(always)]
    pub(super) fn loss_of(&self, tangent: T) -> T {
        (T::constant(2.0) * tangent * self.depth).over(self.fullness)
    }

    /// How far it is inside of the hip at a level above the hip line.
    ///
    /// At the share `u` of the height, from the hip line up, that is `u² ((3 − f) + (f − 2) u)` of the loss, `f` being the
    /// fullness: the cubic that is upright at the hip line, loses all at the waist, and arrives there with that slope.
    #[inline(always)]
    pub(crate) fn inside(&self, loss: T, level: T) -> T {
        let u = (self.depth - level).over(self.depth);
        let (first, second) = (T::constant(3.0) - self.fullness, T::constant(2.0) - self.fullness);
        loss * (first - second * u) * u * u
    }

    /// The area between the curve and the upright through the hip: what [`inside`](Self::inside) is along the height.
    #[inline(always)]
    pub(super) fn area_inside(&self, loss: T) -> T {
        loss * self.depth * (T::constant(0.5) - self.fullness * T::constant(1.0 / 12.0))
    }

    /// The natural spline's length where it loses so much, and the squared tangent of its lean that must not be over
    /// [`MOST_SQUARED_LEAN`] for it to hold.
    ///
    /// Its slope from the upright at the share `t` of the height, from the waist, is `(1 − t²)` times the tangent of the lean:
    /// even in `t`, so that half of a rule from −1 to 1 does for all of it.
    #[inline(always)]
    pub(super) fn natural_length(&self, loss: T) -> (T, T) {
        let [opposite, adjacent] = self.lean(loss);
        let lean = opposite.over(adjacent);
        let square = lean * lean;
        let mut sum = T::constant(0.0);
        for (part, weight) in RULE {
            sum += (T::constant(1.0) + square * T::constant(part)).sqrt() * T::constant(weight);
        }
        (self.depth * sum, square)
    }

    /// The curve from the waist down to the hip line, at a panel of this width: clamped upright at the hip line; at its default
    /// fullness the natural spline.
    #[inline(always)]
    pub(super) fn cubic(&self, width: T, loss: T) -> Cubic<T> {
        let third = self.depth.over(T::constant(3.0));
        let inside = loss * (T::constant(1.0) - self.fullness.over(T::constant(3.0)));
        Cubic::new([
            Point::new(width - loss, T::constant(0.0)),
            Point::new(width - inside, third),
            Point::new(width, third + third),
            Point::new(width, self.depth),
        ])
    }
}
