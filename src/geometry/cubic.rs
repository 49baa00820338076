//! The cubic Bézier curve, in which every curved edge of the draft is drawn.

use super::{Point, Vector};
use crate::scalar::Scalar;

/// Nodes of the eight-point Gauss–Legendre rule on [0, 1].
const NODES: [f64; 8] = [
    0.019_855_071_751_231_85,
    0.101_666_761_293_186_65,
    0.237_233_795_041_835_5,
    0.408_282_678_752_175_1,
    0.591_717_321_247_825,
    0.762_766_204_958_164_5,
    0.898_333_238_706_813_4,
    0.980_144_928_248_768_1,
];

/// Its weights.
const WEIGHTS: [f64; 8] = [
    0.050_614_268_145_188_15,
    0.111_190_517_226_687_25,
    0.156_853_322_938_943_65,
    0.181_341_891_689_181,
    0.181_341_891_689_181,
    0.156_853_322_938_943_65,
    0.111_190_517_226_687_25,
    0.050_614_268_145_188_15,
];

/// A cubic Bézier curve by its four control points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cubic<T: Scalar = f64> {
    /// Start, two handles, end.
    pub points: [Point<T>; 4],
}

impl<T: Scalar> Cubic<T> {
    /// The curve with these control points.
    pub fn new(points: [Point<T>; 4]) -> Self {
        Self { points }
    }

    /// The point at `t` from 0 to 1.
    pub fn at(&self, t: T) -> Point<T> {
        let [a, b, c, d] = self.points.map(|point| point.coords);
        let s = T::constant(1.0) - t;
        let three = T::constant(3.0);
        Point::from(a * (s * s * s) + b * (three * s * s * t) + c * (three * s * t * t) + d * (t * t * t))
    }

    /// The velocity at `t`: direction and speed along the curve.
    pub fn velocity(&self, t: T) -> Vector<T> {
        let [a, b, c] = self.steps();
        let s = T::constant(1.0) - t;
        (a * (s * s) + b * (T::constant(2.0) * s * t) + c * (t * t)) * T::constant(3.0)
    }

    /// The steps from each control point to the next.
    pub(crate) fn steps(&self) -> [Vector<T>; 3] {
        let [a, b, c, d] = self.points;
        [b - a, c - b, d - c]
    }

    /// The length along the curve, to a relative 1e-13.
    ///
    /// The speed along the curve is integrated by the eight-point rule, over one piece where the curve is gentle, as
    /// every ordinary stretch of waist is, and over more where its steps change much.
    #[inline]
    pub fn length(&self) -> T {
        let [a, b, c] = self.steps();
        // The speed is three times the norm of a + (linear + square t) t.
        let (linear, square) = ((b - a) * T::constant(2.0), a - b * T::constant(2.0) + c);
        let (pieces, share) = self.pieces();
        let mut sum = T::constant(0.0);
        for piece in 0..pieces {
            let squared_speeds = NODES.map(|node| {
                let t = T::constant((f64::from(piece) + node) * share);
                let velocity = a + (linear + square * t) * t;
                velocity.x * velocity.x + velocity.y * velocity.y
            });
            for (speed, weight) in squared_speeds.map(T::sqrt).into_iter().zip(WEIGHTS) {
                sum += speed * T::constant(weight);
            }
        }
        sum * T::constant(3.0 * share)
    }

    /// In how many pieces the length is integrated, and the share of each.
    ///
    /// The bounds were found by comparing half a million curves, turning by up to 90° and bent into an S, with a rule of
    /// 384 points: at each bound the error is below a relative 1e-13, and it falls steeply below.
    fn pieces(&self) -> (u8, f64) {
        let squared = |v: Vector<T>| v.x.re() * v.x.re() + v.y.re() * v.y.re();
        let [a, b, c] = self.steps();
        let change = squared(b - a).max(squared(c - b)) * 9.0;
        let chord = squared(self.points[3] - self.points[0]);
        // Halving a curve quarters its change.
        let pieces = [(0.06, 1), (0.24, 2), (0.96, 4), (3.84, 8)].into_iter().find(|(most, _)| change <= *most * chord);
        let pieces = pieces.map_or(16, |(_, pieces)| pieces);
        (pieces, 1.0 / f64::from(pieces))
    }

    /// The same curve from its end to its start.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let [a, b, c, d] = self.points;
        Self { points: [d, c, b, a] }
    }
}
