//! Named points of a panel, such as `side_hip`, for grading and sensitivity.

use std::fmt;

use super::Panel;
use crate::geometry::Point;
use crate::scalar::Scalar;

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
    pub(crate) fn named_points(&self, hip_depth: T, length: T) -> Vec<(PointName, Point<T>)> {
        let zero = T::constant(0.0);
        let panel_point = |name| PointName { dart_index: None, name };
        let mut points = vec![(panel_point("centre_waist"), self.centre_waist_point())];
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
