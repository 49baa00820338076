//! The curve that runs beside a cubic at one distance, as cubics.
//!
//! The point beside `P(t)` at distance `d` is `P + d n`, with `n` the unit normal to the left of travel (`y` runs down),
//! and it moves by `(1 + d κ) P'`, with `κ` the curvature. Cubics through these points with these velocities (Hermite) err
//! by the fourth power of their share of the curve; each is halved until it keeps within a micrometre.

use super::cubic::Steps;
use super::{Cubic, Point, Vector, cross};

/// How far a fitted cubic may lie from the true curve, in centimetres: a micrometre.
const TOLERANCE: f64 = 1e-4;

/// How often a share of the curve is halved at most; ordinary curves need two halvings.
const MAX_HALVINGS: u32 = 10;

/// At how many places the bend of a curve is looked at.
const SAMPLES: u32 = 128;

/// These places.
fn sample_parameters() -> impl Iterator<Item = f64> {
    (0..=SAMPLES).map(|look| f64::from(look) / f64::from(SAMPLES))
}

impl Cubic {
    /// The cubics that run at `distance` to the left of this one.
    pub(crate) fn offset(&self, distance: f64) -> Vec<Cubic> {
        let mut pieces = Vec::new();
        if distance == 0.0 {
            pieces.push(*self);
        } else {
            self.fit(distance, [0.0, 1.0], MAX_HALVINGS, &mut pieces);
        }
        pieces
    }

    /// The largest curvature towards the left of travel: beside it there is room for the inverse of this.
    pub(crate) fn max_left_curvature(&self) -> f64 {
        sample_parameters().map(|t| -self.curvature(t)).fold(f64::NEG_INFINITY, f64::max)
    }

    /// The distance at which a curve to the left of this one, which lies right of the upright `x = 0`, comes to it.
    pub(crate) fn offset_to_upright(&self) -> f64 {
        let reach = |t| {
            let velocity = self.velocity(t);
            // How far the normal goes to the left.
            let leftwards = -velocity.y / velocity.norm();
            if leftwards > 0.0 { self.at(t).x / leftwards } else { f64::INFINITY }
        };
        sample_parameters().map(reach).fold(f64::INFINITY, f64::min)
    }

    /// The curvature at `t`, positive where the curve turns to the right of travel.
    fn curvature(&self, t: f64) -> f64 {
        let velocity = self.velocity(t);
        cross::<f64>(velocity, self.acceleration(t)) / velocity.norm().powi(3)
    }

    fn acceleration(&self, t: f64) -> Vector {
        let Steps([a, b, c]) = self.steps();
        ((b - a) * (1.0 - t) + (c - b) * t) * 6.0
    }

    /// The point beside the curve at `t`, and its velocity.
    fn offset_at(&self, distance: f64, t: f64) -> (Point, Vector) {
        let velocity = self.velocity(t);
        let normal = Vector::new(velocity.y, -velocity.x) / velocity.norm();
        (self.at(t) + normal * distance, velocity * (1.0 + distance * self.curvature(t)))
    }

    fn fit(&self, distance: f64, [from, to]: [f64; 2], halvings: u32, pieces: &mut Vec<Cubic>) {
        let (start, start_tangent) = self.offset_at(distance, from);
        let (end, end_tangent) = self.offset_at(distance, to);
        let third = (to - from) / 3.0;
        let fitted = Cubic::new([start, start + start_tangent * third, end - end_tangent * third, end]);
        let off = |share: f64| (fitted.at(share) - self.offset_at(distance, from + share * (to - from)).0).norm();
        if halvings == 0 || [0.25, 0.5, 0.75].into_iter().all(|share| off(share) <= TOLERANCE) {
            pieces.push(fitted);
        } else {
            let middle = f64::midpoint(from, to);
            self.fit(distance, [from, middle], halvings - 1, pieces);
            self.fit(distance, [middle, to], halvings - 1, pieces);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A quarter of a circle of radius 10 about the origin, clockwise to the eye, as a cubic: true to 3e-3 cm.
    fn arc() -> Cubic {
        let k = 10.0 * 0.552_284_749_8;
        Cubic::new([(0.0, -10.0), (k, -10.0), (10.0, -k), (10.0, 0.0)].map(|(x, y)| Point::new(x, y)))
    }

    #[test]
    fn a_circle_has_circles_beside_it() {
        for (distance, radius) in [(2.0, 12.0), (-4.0, 6.0)] {
            for piece in arc().offset(distance) {
                for look in 0..=8 {
                    let from_centre = piece.at(f64::from(look) / 8.0).coords.norm();
                    assert!((from_centre - radius).abs() < 4e-3, "{from_centre} beside {radius}");
                }
            }
        }
    }

    #[test]
    fn a_clockwise_turn_has_its_room_on_the_right() {
        assert!(arc().max_left_curvature() < 0.0);
        assert!((arc().reversed().max_left_curvature() - 0.1).abs() < 2e-3);
    }
}
