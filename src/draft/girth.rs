//! Girth of the sewn garment at any level between waist and hem, with the darts closed.

use super::side::SideSeamShape;
use super::{Dart, Draft, Panel, Role};
use crate::error::{Code, Problem, Problems};
use crate::geometry::{Point, Vector, norm};
use crate::scalar::Scalar;

impl<T: Scalar> Draft<T> {
    /// Measures the girth of the garment, darts closed, at a level in centimetres below the waist at the side seam.
    ///
    /// The girth follows a tape around the sewn skirt: along the waist curve at the waist, level from the hip line
    /// down, and gradually flatter between the two. A straight line across the flat panels would be too short at the
    /// waist, by 0.4 cm on a body with a waist of 72 cm and a hip of 98 cm.
    ///
    /// # Errors
    /// [`Code::OutsideGarment`] if the level is above the waist, below the hem, or NaN.
    ///
    /// ```
    /// use kirtle::{Body, Code, Ease, Rules};
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// assert!((draft.girth_at(0.0)? - 71.5).abs() < 1e-9);
    /// assert!((draft.girth_at(60.0)? - 101.0).abs() < 1e-9);
    /// assert_eq!(draft.girth_at(61.0).unwrap_err()[0].code, Code::OutsideGarment);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn girth_at(&self, level: T) -> Result<T, Problems> {
        let length = self.inputs.body.length.re();
        if !(0.0..=length).contains(&level.re()) {
            let problem = Problem::new(Code::OutsideGarment, "level").with_value(level.re());
            return Err(problem.with_limit(format!("a level from 0 to {length} cm")).with_unit("cm").into());
        }
        let side = self.side_seam_shape();
        let half =
            self.panels().iter().fold(T::constant(0.0), |sum, panel| sum + panel.panel_width_along_tape(&side, level));
        Ok(half * T::constant(2.0))
    }
}

impl<T: Scalar> Panel<T> {
    /// Measures the width of a panel, darts closed, along a tape around the sewn skirt at a level.
    ///
    /// With hip depth `D`, let `v = (D − y) / D` at level `y`. Each piece of the tape exceeds its chord by `v²` times
    /// the relative excess of the waist curve above. At the waist, `v` is 1 and the tape follows the waist curve.
    pub(super) fn panel_width_along_tape(&self, side: &SideSeamShape<T>, level: T) -> T {
        let depth = side.depth;
        if level.re() >= depth.re() {
            return self.width;
        }
        let v = (depth - level).quotient(depth);
        // A slanted centre is straight between waist and hip line, where `v` is 1 and 0.
        let mut start = Point::new(self.centre_waist_point().x * v, self.waist_lowering * v + level);
        let mut width = T::constant(0.0);
        for (k, stretch) in self.paths(Role::Waist).enumerate() {
            let [end, next_start] = if let Some(dart) = self.darts.get(k) {
                dart.dart_leg_points_at_level(dart.inner.y * v + level)
            } else {
                let loss = self.width - self.waist_width;
                [Point::new(side.centre_to_side_distance_at_level(self.width, loss, level), level); 2]
            };
            let excess = stretch.length().quotient(norm(stretch.end() - stretch.start())) - T::constant(1.0);
            width += norm::<T>(end - start) * (T::constant(1.0) + excess * v * v);
            start = next_start;
        }
        width
    }
}

impl<T: Scalar> Dart<T> {
    /// Returns the points where a level cuts a dart's inner and outer leg; below the tip, the dart's centre twice.
    fn dart_leg_points_at_level(&self, level: T) -> [Point<T>; 2] {
        let above_tip = (self.tip.y - level).max(T::constant(0.0));
        let half = Vector::new((self.intake * T::constant(0.5) * above_tip).quotient(self.length), T::constant(0.0));
        let centre = Point::new(self.tip.x, level);
        [centre - half, centre + half]
    }
}
