//! Side seam between waist and hip line: one cubic curve for back and front, always vertical at the hip line.

use crate::geometry::{Cubic, Point};
use crate::scalar::{Number, inlined};

/// Fullness of a side seam that is a natural spline, without curvature at the waist.
const NATURAL_SPLINE_FULLNESS: f64 = 1.5;

/// Number of points on a dart leg at which the width of cloth from the leg to the side seam is measured.
const SAMPLED_POINTS_PER_DART_LEG: u8 = 8;

/// Shape of the side seam from waist to hip line: depth and fullness, but not the loss (how far the seam lies inside
/// the hip width at the waist).
#[derive(Clone, Copy, Debug)]
pub(super) struct SideSeamShape<T> {
    /// Depth of the hip line below the waist at the side, in centimetres.
    pub(super) depth: T,
    /// Slope of the seam from the vertical at the waist, divided by that of the straight line from hip line to waist.
    pub(super) fullness: T,
}

/// Coefficients of a power series in `q`: arc length of the natural spline of the side seam, divided by hip depth.
///
/// `q` is the squared tangent of the spline's lean at the waist. At the fraction `t` of the depth, from the waist down,
/// the slope from the vertical is `(1 − t²) √q`. The relative length is the integral over `t` from 0 to 1 of
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

/// Maximum `q` for [`SPLINE_LENGTH_SERIES`], the squared tangent of a lean of about 24° at the waist.
///
/// At the maximum the first omitted term, `4e-4 q²⁰`, is a relative 4e-18.
const MAX_SPLINE_LENGTH_SERIES_Q: f64 = 0.2;

impl<T: Number> SideSeamShape<T> {
    /// Returns the tangent of the side seam's lean from the vertical at the waist, given the loss of both side edges
    /// together in centimetres.
    #[inline(always)]
    pub(super) fn lean_tangent_at_waist(&self, total_loss: T) -> T {
        (total_loss * (self.fullness * T::constant(0.5))).quotient(self.depth)
    }

    /// Returns the loss of both side edges, in centimetres, at which the side seam leans by `tangent` at the waist.
    #[inline(always)]
    pub(super) fn total_loss_at_lean_tangent(&self, tangent: T) -> T {
        (T::constant(2.0) * tangent * self.depth).quotient(self.fullness)
    }

    /// Returns how many centimetres the side seam lies inside the hip width at a level between waist and hip line.
    ///
    /// With hip depth `D`, fullness `f` and loss `s`, the distance at level `y` is, for `u = (D − y) / D`,
    /// `s u² ((3 − f) + (f − 2) u)`.
    #[inline(always)]
    pub(super) fn inset_at_level(&self, loss: T, level: T) -> T {
        let u = (self.depth - level).quotient(self.depth);
        let (square, cube) = (T::constant(3.0) - self.fullness, T::constant(2.0) - self.fullness);
        loss * (square - cube * u) * u * u
    }

    /// Returns the distance in centimetres from centre line to side seam at a level below the waist.
    #[inline(always)]
    pub(super) fn centre_to_side_distance_at_level(&self, width: T, loss: T, level: T) -> T {
        T::select(self.depth.le(level), width, width - self.inset_at_level(loss, level))
    }

    /// Returns the least width of cloth in centimetres, straight across, from sampled points of a dart leg to the side
    /// seam; the leg is given by its ends.
    #[inline(never)]
    pub(super) fn min_width_from_leg_to_side(self, [outer, tip]: [Point<T>; 2], width: T, loss: T) -> T {
        let mut narrowest = T::constant(f64::INFINITY);
        for k in 1..=SAMPLED_POINTS_PER_DART_LEG {
            let share = T::constant(f64::from(k) / f64::from(SAMPLED_POINTS_PER_DART_LEG));
            let leg = outer + (tip - outer) * share;
            narrowest = narrowest.min(self.centre_to_side_distance_at_level(width, loss, leg.y) - leg.x);
        }
        narrowest
    }

    /// Returns the arc length of the side seam above the hip line, in centimetres: by a series where the side seam is a
    /// natural spline and the series converges, else by quadrature.
    #[inline(always)]
    pub(super) fn length_above_hip(&self, loss: T) -> T {
        let lean = (loss * self.fullness).quotient(self.depth);
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
        let by_series = self.depth * (zeroth + first * q + (second + third * q) * square);
        let (natural, max) = (T::constant(NATURAL_SPLINE_FULLNESS), T::constant(MAX_SPLINE_LENGTH_SERIES_Q));
        let is_accurate = self.fullness.le(natural) & natural.le(self.fullness) & q.le(max);
        T::select_lazily(is_accurate, inlined!(|| by_series), || self.side_seam_cubic(loss, loss).length())
    }

    /// Returns the side seam from waist down to hip line as a cubic; its waist end lies `loss` inside the hip width.
    #[inline(always)]
    pub(super) fn side_seam_cubic(&self, width: T, loss: T) -> Cubic<T> {
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
