//! The girth of the garment between waist and hem.

use super::{Dart, Draft, Panel, Role};
use crate::error::{Code, Problem, Problems};
use crate::geometry::{Point, Vector, norm};
use crate::scalar::Scalar;

impl<T: Scalar> Draft<T> {
    /// The girth of the garment at `level`, in centimetres down from the waist at the side seam, darts closed.
    ///
    /// It is taken as a tape goes round the sewn skirt: at the waist along its curve, from the hip line down level, and in
    /// between along a line that rises and bends less and less. Straight across the flat panels the waist would measure too
    /// little: on a body of 72 and 98 cm, by 0.4 cm.
    ///
    /// # Errors
    /// [`Code::OutsideGarment`] for a level above the waist or below the hem, or one that is not a number.
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
        let half = self.panels().iter().fold(T::constant(0.0), |sum, panel| sum + self.width_at(panel, level));
        Ok(half * T::constant(2.0))
    }

    /// Where a panel's side seam stands at a level of the garment.
    pub(super) fn side_at(&self, panel: &Panel<T>, level: T) -> T {
        if level.re() >= self.inputs.body.hip_depth.re() {
            return panel.width;
        }
        panel.width - self.side_curve().inside(panel.width - panel.waist_width, level)
    }

    /// A panel's width along the line of a tape at a level of the garment, darts closed.
    ///
    /// From each neighbour to the next the line has a chord, and is longer than it by the square of what is left of its bend:
    /// at the waist that gives the stretch itself.
    fn width_at(&self, panel: &Panel<T>, level: T) -> T {
        let depth = self.inputs.body.hip_depth;
        if level.re() >= depth.re() {
            return panel.width;
        }
        let bend = (depth - level).quotient(depth);
        let mut from = Point::new(T::constant(0.0), panel.waist_lowering * bend + level);
        let mut width = T::constant(0.0);
        for (k, stretch) in panel.paths(Role::Waist).enumerate() {
            let [to, next] = match panel.darts.get(k) {
                Some(dart) => dart.legs_at(dart.inner.y * bend + level),
                None => [Point::new(self.side_at(panel, level), level); 2],
            };
            let over_chord = stretch.length().quotient(norm(stretch.end() - stretch.start())) - T::constant(1.0);
            width += norm::<T>(to - from) * (T::constant(1.0) + over_chord * bend * bend);
            from = next;
        }
        width
    }
}

impl<T: Scalar> Dart<T> {
    /// Where its legs are at a height below its mouth: together below its tip.
    fn legs_at(&self, height: T) -> [Point<T>; 2] {
        let above_tip = (self.tip.y - height).max(T::constant(0.0));
        let half = Vector::new((self.intake * T::constant(0.5) * above_tip).quotient(self.length), T::constant(0.0));
        let centre = Point::new(self.tip.x, height);
        [centre - half, centre + half]
    }
}
