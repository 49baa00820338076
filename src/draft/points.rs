//! Named points of a panel, such as `side_hip`, for grading and sensitivity.

use std::fmt;

use arrayvec::ArrayVec;

use super::Panel;
use crate::body::MAX_DARTS_PER_PANEL;
use crate::geometry::Point;
use crate::scalar::Scalar;

/// Maximum number of named points of one panel: three per dart, and five others at centre and side.
const MAX_NAMED_POINTS_PER_PANEL: usize = 3 * MAX_DARTS_PER_PANEL + 5;

/// Name of a point of a panel, such as `side_hip` or `dart_1_tip`; darts count from 1 at the centre.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct PointName {
    /// Index of the point's dart, from 0 at the centre; `None` if the point belongs to no dart.
    dart_index: Option<usize>,
    name: &'static str,
}

impl fmt::Display for PointName {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self.dart_index {
            Some(index) => write!(f, "dart_{}_{}", index + 1, self.name),
            None => f.write_str(self.name),
        }
    }
}

impl<T: Scalar> Panel<T> {
    /// Returns names and points of the panel in order: waist from the centre, darts included, then side, then hem.
    /// `hip_depth` and `length` are the depths of hip line and hem below the waist at the side, in centimetres.
    pub(crate) fn named_points(
        &self,
        hip_depth: T,
        length: T,
    ) -> ArrayVec<(PointName, Point<T>), MAX_NAMED_POINTS_PER_PANEL> {
        let zero = T::constant(0.0);
        let panel_point = |name| PointName { dart_index: None, name };
        let mut points = ArrayVec::new();
        points.push((panel_point("centre_waist"), self.centre_waist_point()));
        for (k, dart) in self.darts.iter().enumerate() {
            let corners = [("inner", dart.inner), ("tip", dart.tip), ("outer", dart.outer)];
            points.extend(corners.map(|(name, point)| (PointName { dart_index: Some(k), name }, point)));
        }
        points.extend([
            (panel_point("side_waist"), Point::new(self.waist_width, zero)),
            (panel_point("side_hip"), Point::new(self.width, hip_depth)),
            (panel_point("side_hem"), Point::new(self.width, length)),
            (panel_point("centre_hem"), Point::new(zero, length)),
        ]);
        points
    }
}
