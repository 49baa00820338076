//! Cubic Bézier curves, the form of every curved edge of a draft, and their arc length by Gauss–Legendre quadrature.

use super::{Point, Vector, norm};
use crate::scalar::{Mask, Number, inlined};

/// Gauss–Legendre quadrature with twelve nodes on the interval from 0 to 1: distance of each pair of nodes from the
/// middle, and their weight.
const GAUSS_LEGENDRE_DISTANCES_AND_WEIGHTS: [(f64, f64); 6] = [
    (0.490_780_317_123_359_6, 0.023_587_668_193_255_914),
    (0.452_058_628_185_237_45, 0.053_469_662_997_659_21),
    (0.384_951_337_097_152_35, 0.080_039_164_271_673_11),
    (0.293_658_977_143_308_74, 0.101_583_713_361_532_96),
    (0.183_915_749_499_090_1, 0.116_746_268_269_177_4),
    (0.062_616_704_255_734_46, 0.124_573_522_906_701_39),
];

/// Maximum ratio of the first to the second result of `squared_derivative_change_and_chord` at which the quadrature
/// gives the length of a curve to a relative 1e-13.
///
/// A rule of 192 points gave the same lengths on a million curves. A curve above the maximum may have a cusp, where the
/// speed is zero and quadrature converges slowly.
const MAX_BEND_RATIO: f64 = 0.35;

/// Maximum number of nested halvings when the length of a curve is measured. A remaining piece with a cusp is then
/// shorter than 1e-15 of the curve.
const MAX_NESTED_LENGTH_HALVINGS: u8 = 25;

/// Cubic Bézier curve, defined by four control points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cubic<T: Number = f64> {
    /// Control points in order: start, start handle, end handle, end.
    pub points: [Point<T>; 4],
}

impl<T: Number> Cubic<T> {
    /// Creates a curve from start, start handle, end handle and end.
    #[inline(always)]
    pub fn new(points: [Point<T>; 4]) -> Self {
        Self { points }
    }

    /// Returns the point at the parameter `t`, from 0 at the start to 1 at the end.
    pub fn point_at(&self, t: T) -> Point<T> {
        let [a, b, c, d] = self.points.map(|point| point.coords);
        let s = T::constant(1.0) - t;
        let three = T::constant(3.0);
        Point::from(a * (s * s * s) + b * (three * s * s * t) + c * (three * s * t * t) + d * (t * t * t))
    }

    /// Returns the derivative with respect to the parameter at `t`, from 0 at the start to 1 at the end.
    pub fn velocity(&self, t: T) -> Vector<T> {
        let ControlPointDifferences([a, b, c]) = self.control_point_differences();
        let s = T::constant(1.0) - t;
        (a * (s * s) + b * (T::constant(2.0) * s * t) + c * (t * t)) * T::constant(3.0)
    }

    /// Returns the arc length of the curve in the unit of its points, exact to a relative 1e-13.
    ///
    /// Integrates the speed by the Gauss–Legendre rule with twelve nodes. A strongly bent curve is halved until the rule
    /// is exact enough for each half; the waist and side curves of usual bodies need no halving.
    #[inline(never)]
    pub fn length(&self) -> T {
        self.control_point_differences().arc_length_by_adaptive_quadrature(MAX_NESTED_LENGTH_HALVINGS)
    }

    /// Returns the three differences of consecutive control points, each point minus the point before it.
    #[inline(always)]
    pub(crate) fn control_point_differences(&self) -> ControlPointDifferences<T> {
        let [a, b, c, d] = self.points;
        ControlPointDifferences([b - a, c - b, d - c])
    }

    /// Returns the curve in the reverse direction, from end to start.
    pub fn reversed(&self) -> Self {
        let [a, b, c, d] = self.points;
        Self { points: [d, c, b, a] }
    }
}

/// Three differences of consecutive control points of a cubic curve: its shape without its position.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ControlPointDifferences<T>(pub(crate) [Vector<T>; 3]);

impl<T: Number> ControlPointDifferences<T> {
    /// Returns the squares of two lengths: of the larger difference between consecutive control points of the
    /// derivative, and of the chord from start to end. The first divided by the second measures how strongly the curve
    /// bends.
    #[inline(always)]
    fn squared_derivative_change_and_chord(self) -> (T, T) {
        let squared = |v: Vector<T>| v.x * v.x + v.y * v.y;
        let Self([a, b, c]) = self;
        let change = squared(b - a).max(squared(c - b)) * T::constant(9.0);
        (change, squared(a + b + c))
    }

    /// Returns the arc length of the curve by quadrature, and a mask of the lanes in which the length is exact.
    #[inline(always)]
    pub(crate) fn arc_length_where_exact(self) -> (T, T::Mask) {
        let Self([a, b, c]) = self;
        // The speed is three times the norm of a + (linear + square t) t.
        let (linear, square) = ((b - a) * T::constant(2.0), a - b * T::constant(2.0) + c);
        let mut sum = T::constant(0.0);
        for (distance, weight) in GAUSS_LEGENDRE_DISTANCES_AND_WEIGHTS {
            // Not by `map` on an array, which is not inlined.
            let third_of_speed = inlined!(|t: T| norm(a + (linear + square * t) * t));
            let [first, second] = [0.5 - distance, 0.5 + distance];
            let sum_of_pair = third_of_speed(T::constant(first)) + third_of_speed(T::constant(second));
            sum += sum_of_pair * T::constant(weight);
        }
        let (change, chord) = self.squared_derivative_change_and_chord();
        (sum * T::constant(3.0), change.le(T::constant(MAX_BEND_RATIO) * chord))
    }

    /// Returns the arc length of the curve by adaptive quadrature, with at most `halvings` nested halvings.
    fn arc_length_by_adaptive_quadrature(self, halvings: u8) -> T {
        let (length, is_exact) = self.arc_length_where_exact();
        // A curve with NaN or infinite coordinates is not halved, as its halves never bend less.
        let (change, _) = self.squared_derivative_change_and_chord();
        let is_last = !change.le(T::constant(f64::MAX)) | T::Mask::uniform(halvings == 0);
        let by_halves = || {
            let ([half, quarter], Self([a, b, c])) = ([0.5, 0.25].map(T::constant), self);
            let [first, second] = [(a + b) * quarter, (b + c) * quarter];
            let middle = (first + second) * half;
            let length = |half: [Vector<T>; 3]| Self(half).arc_length_by_adaptive_quadrature(halvings - 1);
            length([a * half, first, middle]) + length([middle, second, c * half])
        };
        T::select_lazily(is_exact | is_last, || length, by_halves)
    }
}
