//! Offset curves of a cubic at a constant distance, approximated by cubics to a micrometre.
//!
//! The offset point of `P(t)` at distance `d` is `P + d n`, with the unit normal `n` to the left of travel (`y` down).
//! Its derivative is `(1 + d κ) P'`, with the curvature `κ`, positive to the right. A Hermite cubic through two offset
//! points has an error of fourth order in the parameter interval; the interval is halved until the error is at most a
//! micrometre.

use super::cubic::ControlPointDifferences;
use super::{Cubic, Line, Path, Point, Vector, cross};

/// Maximum distance of a fitted cubic from the exact offset curve, in centimetres: one micrometre.
const OFFSET_FIT_TOLERANCE_CM: f64 = 1e-4;

/// Maximum number of nested halvings of the parameter interval to fit an offset curve; usual curves need 2.
const MAX_NESTED_OFFSET_FIT_HALVINGS: u32 = 10;

/// Number of parameter intervals at whose ends a curve is sampled for its maximum curvature and smallest offset.
const CURVE_SAMPLE_INTERVAL_COUNT: u32 = 128;

/// Returns the equally spaced parameters, from 0 to 1, at which a curve is sampled.
fn curve_sample_parameters() -> impl Iterator<Item = f64> {
    (0..=CURVE_SAMPLE_INTERVAL_COUNT).map(|k| f64::from(k) / f64::from(CURVE_SAMPLE_INTERVAL_COUNT))
}

impl Path {
    /// Returns connected paths that approximate the offset of a path at `distance` centimetres to the left of travel.
    pub(crate) fn offset_to_left(&self, distance: f64) -> Vec<Self> {
        let mut paths = Vec::new();
        match self {
            Self::Line([a, b]) => {
                let step = Line::new(*a, b - a).left_normal() * distance;
                paths.push(self.map(|point| point + step));
            }
            Self::Cubic(_) if distance == 0.0 => paths.push(*self),
            Self::Cubic(cubic) => cubic.append_offset(distance, [0.0, 1.0], MAX_NESTED_OFFSET_FIT_HALVINGS, &mut paths),
        }
        paths
    }
}

impl Cubic {
    /// Returns the maximum curvature to the left of travel, per centimetre, negative if the curve bends only to the
    /// right. An offset to the left by its reciprocal has a cusp.
    pub(crate) fn max_left_curvature(&self) -> f64 {
        curve_sample_parameters().map(|t| -self.curvature_to_right(t)).fold(f64::NEG_INFINITY, f64::max)
    }

    /// Returns the smallest offset to the left, in centimetres, at which the offset curve reaches the centre line
    /// `x = 0`; infinity if no offset does.
    pub(crate) fn smallest_offset_reaching_centre_line(&self) -> f64 {
        let offset_at = |t| {
            let velocity = self.velocity(t);
            // Component of the unit normal towards the centre line.
            let towards_centre = -velocity.y / velocity.norm();
            if towards_centre > 0.0 { self.point_at(t).x / towards_centre } else { f64::INFINITY }
        };
        curve_sample_parameters().map(offset_at).fold(f64::INFINITY, f64::min)
    }

    /// Returns the curvature of the curve at `t`, per centimetre, positive in a turn to the right of travel.
    fn curvature_to_right(&self, t: f64) -> f64 {
        let (velocity, ControlPointDifferences([a, b, c])) = (self.velocity(t), self.control_point_differences());
        let second_derivative = ((b - a) * (1.0 - t) + (c - b) * t) * 6.0;
        cross::<f64>(velocity, second_derivative) / velocity.norm().powi(3)
    }

    /// Returns the point at `t` of the exact offset curve at `distance` centimetres to the left, and the point's
    /// derivative with respect to `t`.
    fn offset_point_and_derivative(&self, distance: f64, t: f64) -> (Point, Vector) {
        let velocity = self.velocity(t);
        let normal = Vector::new(velocity.y, -velocity.x) / velocity.norm();
        (self.point_at(t) + normal * distance, velocity * (1.0 + distance * self.curvature_to_right(t)))
    }

    /// Appends to `paths` the cubics that fit the offset curve between the parameters `from` and `to`, after at most
    /// `halvings` nested halvings of this interval.
    fn append_offset(&self, distance: f64, [from, to]: [f64; 2], halvings: u32, paths: &mut Vec<Path>) {
        let (start, start_tangent) = self.offset_point_and_derivative(distance, from);
        let (end, end_tangent) = self.offset_point_and_derivative(distance, to);
        let third = (to - from) / 3.0;
        let fitted = Cubic::new([start, start + start_tangent * third, end - end_tangent * third, end]);
        let exact = |s: f64| self.offset_point_and_derivative(distance, from + s * (to - from)).0;
        let error = |s: f64| (fitted.point_at(s) - exact(s)).norm();
        if halvings == 0 || [0.25, 0.5, 0.75].into_iter().all(|share| error(share) <= OFFSET_FIT_TOLERANCE_CM) {
            paths.push(Path::Cubic(fitted));
        } else {
            let middle = f64::midpoint(from, to);
            self.append_offset(distance, [from, middle], halvings - 1, paths);
            self.append_offset(distance, [middle, to], halvings - 1, paths);
        }
    }
}
