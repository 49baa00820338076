//! The named points of a panel.

use std::fmt;

use arrayvec::ArrayVec;

use super::Panel;
use crate::body::MOST_DARTS;
use crate::geometry::Point;
use crate::scalar::Scalar;

/// The most named points of a panel.
const MOST_SPOTS: usize = 3 * MOST_DARTS + 5;

/// Where a named point of a panel is: `side_hip`, or `dart_1_tip`, darts counted from the centre.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Spot {
    dart: Option<usize>,
    name: &'static str,
}

impl fmt::Display for Spot {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self.dart {
            Some(dart) => write!(f, "dart_{}_{}", dart + 1, self.name),
            None => f.write_str(self.name),
        }
    }
}

impl<T: Scalar> Panel<T> {
    /// The named points from the centre of the waist along waist and darts to the side, down, and to the centre of the hem.
    pub(crate) fn spots(&self, hip_depth: T, length: T) -> ArrayVec<(Spot, Point<T>), MOST_SPOTS> {
        let zero = T::constant(0.0);
        let spot = |name| Spot { dart: None, name };
        let mut spots = ArrayVec::new();
        spots.push((spot("centre_waist"), Point::new(zero, self.waist_lowering)));
        for (k, dart) in self.darts.iter().enumerate() {
            let ends = [("inner", dart.inner), ("tip", dart.tip), ("outer", dart.outer)];
            spots.extend(ends.map(|(name, point)| (Spot { dart: Some(k), name }, point)));
        }
        spots.extend([
            (spot("side_waist"), Point::new(self.waist_width, zero)),
            (spot("side_hip"), Point::new(self.width, hip_depth)),
            (spot("side_hem"), Point::new(self.width, length)),
            (spot("centre_hem"), Point::new(zero, length)),
        ]);
        spots
    }
}
