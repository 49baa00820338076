//! Girth of the sewn garment at any level between waist and hem, with the darts closed.

use arrayvec::ArrayVec;

use super::panel::{PlannedPanel, WaistShape, WaistStretch, vertical_dart_tip};
use super::side::SideSeamShape;
use super::{Draft, Panel, Role};
use crate::body::MAX_DARTS_PER_PANEL;
use crate::error::{Code, Problem, Problems};
use crate::geometry::{Cubic, Path, Point, Vector, norm};
use crate::scalar::{Mask, Number, Scalar, inlined};

impl<T: Scalar> Draft<T> {
    /// Measures the girth of the garment in centimetres, darts closed, at a level in centimetres below the waist at the
    /// side seam.
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
        let skirt_length = self.inputs.body.length.re();
        if !(0.0..=skirt_length).contains(&level.re()) {
            return Err(Problem::of_length(Code::OutsideGarment, "level", level.re(), skirt_length).into());
        }
        let side = self.side_seam_shape();
        let half =
            self.panels().iter().fold(T::constant(0.0), |sum, panel| sum + panel.panel_width_along_tape(&side, level));
        Ok(half * T::constant(2.0))
    }
}

impl<T: Scalar> Panel<T> {
    /// Measures the width of a panel, darts closed, along a tape around the sewn skirt at a level, both in centimetres.
    fn panel_width_along_tape(&self, side: &SideSeamShape<T>, level: T) -> T {
        if level.re() >= side.depth.re() {
            return self.width;
        }
        let curves = self.paths(Role::Waist).filter_map(Path::cubic_unless_line);
        let ends_and_excess = |curve: &Cubic<T>| {
            let [start, .., end] = curve.points;
            ([start, end], curve.length().quotient(norm(end - start)) - T::constant(1.0))
        };
        let waist: ArrayVec<_, { MAX_DARTS_PER_PANEL + 1 }> = curves.map(ends_and_excess).collect();
        let shape = [self.width, self.width - self.waist_width, self.waist_lowering];
        panel_width_along_tape(&waist, |k| self.darts[k].length, side, shape, level)
    }
}

impl<T: Number> PlannedPanel<T> {
    /// Measures a planned panel along tapes around the sewn skirt, darts closed: at the waist, and at a level above the
    /// hip line. Returns both widths in centimetres, and a mask of the lanes in which they are exact.
    #[inline(always)]
    pub(super) fn panel_widths_along_tapes(
        &self,
        shape: WaistShape<T>,
        side: &SideSeamShape<T>,
        level: T,
    ) -> ([T; 2], T::Mask) {
        let ([mut lowering, mut waist_length], mut is_exact) = ([T::constant(0.0); 2], T::Mask::uniform(true));
        let mut waist = ArrayVec::<_, { MAX_DARTS_PER_PANEL + 1 }>::new();
        self.visit_waist_stretches_from_side(
            shape,
            inlined!(|_, stretch: WaistStretch<T>| {
                let (length, is_exact_stretch) = stretch.length_where_exact();
                let excess = length.quotient(stretch.chord) - T::constant(1.0);
                waist.push((stretch.ends_with_end_y(lowering), excess));
                lowering += stretch.rise;
                waist_length += length;
                is_exact = is_exact & is_exact_stretch;
            }),
        );
        waist.reverse();
        let shape = [self.width, shape.0.loss, lowering];
        ([waist_length, panel_width_along_tape(&waist, |k| self.darts[k].length, side, shape, level)], is_exact)
    }
}

/// Measures the width of a panel in centimetres, darts closed, along a tape around the skirt at a level above the hip
/// line.
///
/// `waist` has the ends of each stretch of the waist, from the centre, and the relative excess of its length over its
/// chord; `dart_length` returns the length of the k-th dart, from 0 at the centre. The array holds the width of the
/// panel at the hip, the loss of its side edge at the waist, and the depth of the waist at the centre.
///
/// With hip depth `D`, let `v = (D − y) / D` at level `y`. Each piece of the tape exceeds its chord by `v²` times
/// the relative excess of the waist curve above. At the waist, `v` is 1 and the tape follows the waist curve.
#[inline(always)]
fn panel_width_along_tape<T: Number>(
    waist: &[([Point<T>; 2], T)],
    dart_length: impl Fn(usize) -> T,
    side: &SideSeamShape<T>,
    [width, loss, lowering]: [T; 3],
    level: T,
) -> T {
    let v = (side.depth - level).quotient(side.depth);
    let (mut total, mut start) = (T::constant(0.0), Point::new(T::constant(0.0), T::constant(0.0)));
    for (k, ([first, last], excess)) in waist.iter().enumerate() {
        if k == 0 {
            // Like `v`, the inset of a slanted centre falls linearly from the waist to 0 at the hip line.
            start = Point::new(first.x * v, lowering * v + level);
        }
        let [end, next_start] = if let Some(([outer, _], _)) = waist.get(k + 1) {
            // The level cuts both legs of the dart; below the tip, both points lie on the dart's centre.
            let (length, level) = (dart_length(k), last.y * v + level);
            let tip = vertical_dart_tip(*last, *outer, length);
            let half = (outer.x - last.x) * T::constant(0.5) * (tip.y - level).max(T::constant(0.0));
            let half = half.quotient(length);
            [Point::new(tip.x - half, level), Point::new(tip.x + half, level)]
        } else {
            [Point::new(side.centre_to_side_distance_at_level(width, loss, level), level); 2]
        };
        let chord = norm(Vector::new(end.x - start.x, end.y - start.y));
        total += chord * (T::constant(1.0) + *excess * v * v);
        start = next_start;
    }
    total
}
