//! The demo chart with one ease, and bodies within it.

use kirtle::{Body, Ease, Rules, Size, SizeChart, SizeRange};
use proptest::prelude::*;

pub(crate) const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

pub(crate) fn range() -> SizeRange {
    SizeChart::demo().draft(&EASE, &Rules::default()).unwrap()
}

/// A size of the length of the demo chart's.
pub(crate) fn size(name: &str, [waist, hip]: [f64; 2], hip_depth: f64) -> Size {
    Size { name: name.to_owned(), body: Body { waist, hip, hip_depth, length: 60.0 } }
}

/// A body within the demo chart.
pub(crate) fn within() -> impl Strategy<Value = Body> {
    let numbers = (60.0..112.0, 84.0..132.0, 17.0..24.0, 40.0..90.0);
    numbers.prop_map(|(waist, hip, hip_depth, length)| Body { waist, hip, hip_depth, length })
}

pub(crate) fn near(found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "{found} is not {wanted} to {within}");
}
