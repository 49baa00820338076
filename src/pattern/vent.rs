//! The vent of the back piece: an extension at the lower end of the centre back, for a stride.
//!
//! One half of the back is folded at the centre back, the other lies below as underlap, and a line of stitches across
//! the top holds both. The lines have the coordinates of the back panel.

use super::cutting::Vent;
use super::notch::{Notch, NotchPlace, notch_at_point};
use crate::draft::{Panel, Role};
use crate::geometry::{Path, Point, Vector};

/// Maximum allowance above the stitches across the top of a vent, in centimetres (common practice).
const MAX_VENT_TOP_ALLOWANCE_CM: f64 = 1.0;

/// Lines of a vent on the back piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VentLines {
    /// Line of stitches across the top of the extension, from the centre back to the edge of the extension.
    pub stitching: [Point; 2],
    /// Fold at the centre back, from the top of the vent to the hem.
    pub fold: [Point; 2],
    /// Allowance between the stitches across the top and the cut line above, in centimetres.
    top_allowance: f64,
}

impl VentLines {
    /// Returns the lines of a vent at the centre back of a panel. The extension is at least as wide as `allowance`, the
    /// allowance of the centre back seam in centimetres.
    pub(super) fn new(panel: &Panel, vent: Vent, allowance: f64) -> Self {
        let hem = panel.paths(Role::Hem).last().map_or(Point::origin(), Path::end);
        let top = hem - Vector::new(0.0, vent.vent);
        let edge = top - Vector::new(vent.vent_width.max(allowance), 0.0);
        Self { stitching: [top, edge], fold: [top, hem], top_allowance: MAX_VENT_TOP_ALLOWANCE_CM.min(allowance) }
    }

    /// Returns the upper corner of the cut line around the extension, at the edge of the extension.
    pub(crate) fn upper_corner(&self) -> Point {
        self.stitching[1] - Vector::new(0.0, self.top_allowance)
    }

    /// Returns the notch in the edge of the extension, level with the stitches across the top.
    pub(super) fn top_notch(&self, panel: &Panel) -> Notch {
        let [top, edge] = self.stitching;
        let along = panel.edge_length(Role::Centre) - (self.fold[1].y - top.y);
        notch_at_point(NotchPlace::VentTop, along, top, (Vector::new(-1.0, 0.0), top.x - edge.x), None)
    }
}
