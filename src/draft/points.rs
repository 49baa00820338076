//! Named points of a panel, such as `side_hip`, for grading and sensitivity.

use std::fmt;

use arrayvec::ArrayVec;

use super::Panel;
use crate::body::MAX_DARTS;
use crate::geometry::Point;
use crate::scalar::Scalar;

/// Maximum number of named points in one panel: three for each dart, and five at centre and side.
const MAX_NAMED_POINTS: usize = 3 * MAX_DARTS + 5;

/// Name of a point of a panel, such as `side_hip` or `dart_1_tip`; darts count from 1 at the centre.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct NamedPoint {
    /// Index of the dart that the point belongs to, from 0 at the centre.
    dart_index: Option<usize>,
    name: &'static str,
}

impl fmt::Display for NamedPoint {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self.dart_index {
            Some(index) => write!(f, "dart_{}_{}", index + 1, self.name),
            None => f.write_str(self.name),
        }
    }
}

impl<T: Scalar> Panel<T> {
    /// Lists the named points of the panel, from the centre of the waist along waist, side and hem to the centre line.
    pub(crate) fn named_points(&self, hip_depth: T, length: T) -> ArrayVec<(NamedPoint, Point<T>), MAX_NAMED_POINTS> {
        let zero = T::constant(0.0);
        let panel_point = |name| NamedPoint { dart_index: None, name };
        let mut points = ArrayVec::new();
        points.push((panel_point("centre_waist"), Point::new(zero, self.waist_lowering)));
        for (k, dart) in self.darts.iter().enumerate() {
            let corners = [("inner", dart.inner), ("tip", dart.tip), ("outer", dart.outer)];
            points.extend(corners.map(|(name, point)| (NamedPoint { dart_index: Some(k), name }, point)));
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
