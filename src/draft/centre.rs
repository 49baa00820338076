//! [`SlantedCentre`]: centre back seam that lies further in at the waist than at the hip line.
//!
//! The seam is a straight line from the hip line to the waist, and vertical below the hip line.

use super::Panel;
use super::panel::{PlannedPanel, WaistShape, WaistStretch};
use super::tilt::WaistTilt;
use crate::geometry::Point;
use crate::scalar::{Number, Scalar};

/// Centre back seam that slants between waist and hip line.
#[derive(Clone, Copy, Debug)]
pub(super) struct SlantedCentre<T> {
    /// Distance of the seam from the vertical centre line at the level of the waist at the side, in centimetres.
    pub(super) inset: T,
    /// Depth of the hip line, where the slant begins, below the waist at the side, in centimetres.
    pub(super) depth: T,
}

impl<T: Number> SlantedCentre<T> {
    /// Returns the tangent of the angle between seam and vertical.
    #[inline(always)]
    pub(super) fn centre_slant_tangent(&self) -> T {
        self.inset.quotient(self.depth)
    }

    /// Returns the distance of the seam from the vertical centre line at a level above the hip line, in centimetres.
    #[inline(always)]
    pub(super) fn inset_at_level(&self, level: T) -> T {
        self.inset - self.centre_slant_tangent() * level
    }
}

impl<T: Number> PlannedPanel<T> {
    /// Returns three properties of a waist that starts on a slanted centre seam: the distance in centimetres of its
    /// start from the vertical centre line, its tilt there, and the extra slope of all its stretches. The extra slope
    /// moves the start to `extra_lowering` below its height with square corners; it is `None` if `extra_lowering` is
    /// `None`.
    // Inlined, this function would slow the iteration of drafts with a vertical centre by a fifth.
    #[cold]
    #[inline(never)]
    pub(super) fn waist_start_at_slanted_centre(
        &self,
        centre: &SlantedCentre<T>,
        (seam, intake, extra_lowering): WaistShape<T>,
    ) -> (T, WaistTilt<T>, Option<T>) {
        // A waist that is square to the seam falls from the seam towards the side.
        let (mut height, zero, tilt) =
            (T::constant(0.0), T::constant(0.0), WaistTilt::new(-centre.inset, centre.depth));
        let (end, end_tilt) =
            self.visit_waist_stretches_except_centre(seam, intake, None, &mut |_, stretch| height += stretch.rise);
        let rise_from_centre_line = WaistStretch::new(zero, end, [tilt, end_tilt], None).rise;
        let (lowest, slope) = (height + rise_from_centre_line, rise_from_centre_line.quotient(end));
        let start = centre.inset_at_level(lowest).quotient(T::constant(1.0) - centre.centre_slant_tangent() * slope);
        let Some(extra_lowering) = extra_lowering else { return (start, tilt, None) };
        let lowering = lowest - start * slope + extra_lowering;
        let start = centre.inset_at_level(lowering);
        let missing = lowering - (lowest - start * slope);
        (start, tilt, Some(missing.quotient(self.cloth_width_at_waist(seam, intake) - start)))
    }
}

impl<T: Scalar> Panel<T> {
    /// Returns the point where the waist meets the centre line or the slanted centre seam.
    pub(crate) fn centre_waist_point(&self) -> Point<T> {
        self.edges[0].path.start()
    }
}
