//! The named points of a panel.

use std::fmt;

use arrayvec::ArrayVec;

use super::Panel;
use crate::body::MAX_DARTS;
use crate::geometry::Point;
use crate::scalar::Scalar;

/// The most named points of a panel.
const MAX_SPOTS: usize = 3 * MAX_DARTS + 5;

/// Where a named point of a panel is: `side_hip`, or `dart_1_tip`, darts counted from the centre.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct NamedPoint {
    dart: Option<usize>,
    name: &'static str,
}

impl fmt::Display for NamedPoint {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self.dart {
            Some(dart) => write!(f, "dart_{}_{}", dart + 1, self.name),
            None => f.write_str(self.name),
        }
    }
}

impl<T: Scalar> Panel<T> {
    /// The named points from the centre of the waist along waist and darts to the side, down, and to the centre of the hem.
    pub(crate) fn named_points(&self, hip_depth: T, length: T) -> ArrayVec<(NamedPoint, Point<T>), MAX_SPOTS> {
        let zero = T::constant(0.0);
        let named = |name| NamedPoint { dart: None, name };
        let mut named_points = ArrayVec::new();
        named_points.push((named("centre_waist"), Point::new(zero, self.waist_lowering)));
        for (k, dart) in self.darts.iter().enumerate() {
            let ends = [("inner", dart.inner), ("tip", dart.tip), ("outer", dart.outer)];
            named_points.extend(ends.map(|(name, point)| (NamedPoint { dart: Some(k), name }, point)));
        }
        named_points.extend([
            (named("side_waist"), Point::new(self.waist_width, zero)),
            (named("side_hip"), Point::new(self.width, hip_depth)),
            (named("side_hem"), Point::new(self.width, length)),
            (named("centre_hem"), Point::new(zero, length)),
        ]);
        named_points
    }
}
