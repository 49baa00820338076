//! Cubic Bézier curves, the form of every curved edge of a draft, and their arc length by Gauss–Legendre quadrature.

use super::{Point, Vector, norm};
use crate::scalar::{Mask, Number, inlined};

/// Nodes and weights of the Gauss–Legendre quadrature with eight nodes on the interval from 0 to 1.
const GAUSS_LEGENDRE_NODES_AND_WEIGHTS: [(f64, f64); 8] = [
    (0.019_855_071_751_231_85, 0.050_614_268_145_188_15),
    (0.101_666_761_293_186_65, 0.111_190_517_226_687_25),
    (0.237_233_795_041_835_5, 0.156_853_322_938_943_65),
    (0.408_282_678_752_175_1, 0.181_341_891_689_181),
    (0.591_717_321_247_825, 0.181_341_891_689_181),
    (0.762_766_204_958_164_5, 0.156_853_322_938_943_65),
    (0.898_333_238_706_813_4, 0.111_190_517_226_687_25),
    (0.980_144_928_248_768_1, 0.050_614_268_145_188_15),
];

/// Maximum ratio of the first to the second result of `squared_derivative_change_and_chord` at which the eight-point
/// Gauss–Legendre rule on one interval gives the length of a curve to a relative 1e-13. On two intervals, four times
/// the ratio is allowed.
///
/// A rule of 640 points gave the same lengths on eight million curves. A curve above the maximum may have a cusp, where
/// the speed is zero and quadrature converges slowly.
const MAX_BEND_RATIO_FOR_ONE_INTERVAL: f64 = 0.06;

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
    /// Integrates the speed by the eight-point Gauss–Legendre rule. A strongly bent curve is halved until the rule is
    /// exact enough for each half; the waist and side curves of usual bodies need no halving.
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
    /// Returns the arc length of the curve by the eight-point Gauss–Legendre rule on each of `intervals` equal
    /// intervals of the parameter.
    #[inline(always)]
    fn arc_length_by_fixed_quadrature(self, intervals: u8) -> T {
        let Self([a, b, c]) = self;
        // The speed is three times the norm of a + (linear + square t) t.
        let (linear, square) = ((b - a) * T::constant(2.0), a - b * T::constant(2.0) + c);
        let share = 1.0 / f64::from(intervals);
        let mut sum = T::constant(0.0);
        for interval in 0..intervals {
            for (node, weight) in GAUSS_LEGENDRE_NODES_AND_WEIGHTS {
                let t = T::constant((f64::from(interval) + node) * share);
                sum += norm(a + (linear + square * t) * t) * T::constant(weight);
            }
        }
        sum * T::constant(3.0 * share)
    }

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

    /// Returns the arc length of the curve by quadrature on one interval of the parameter or on two, and a mask of the
    /// lanes in which the length is exact.
    #[inline(always)]
    pub(crate) fn arc_length_on_one_or_two_intervals(self) -> (T, T::Mask) {
        let (change, chord) = self.squared_derivative_change_and_chord();
        let [one, two] =
            [1.0, 4.0].map(inlined!(|factor| change.le(T::constant(factor * MAX_BEND_RATIO_FOR_ONE_INTERVAL) * chord)));
        let length = T::select_lazily(
            one | !two,
            inlined!(|| self.arc_length_by_fixed_quadrature(1)),
            inlined!(|| self.arc_length_by_fixed_quadrature(2)),
        );
        (length, one | two)
    }

    /// Returns the arc length of the curve by adaptive quadrature, with at most `halvings` nested halvings.
    fn arc_length_by_adaptive_quadrature(self, halvings: u8) -> T {
        let (length, is_exact) = self.arc_length_on_one_or_two_intervals();
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
