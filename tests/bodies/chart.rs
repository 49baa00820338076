//! The demo size chart drafted with one ease, and bodies within the chart.

use kirtle::{Body, Ease, Rules, Size, SizeChart, SizeRange};
use proptest::prelude::*;

pub(crate) const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

/// Drafts every size of the demo chart with the default rules.
pub(crate) fn demo_range() -> SizeRange {
    SizeChart::demo().draft(&EASE, &Rules::default()).unwrap()
}

/// Returns a size with the length of the demo chart, 60 cm.
pub(crate) fn size(name: &str, [waist, hip]: [f64; 2], hip_depth: f64) -> Size {
    Size { name: name.to_owned(), body: Body { waist, hip, hip_depth, length: 60.0 } }
}

/// Draws bodies within the demo chart.
pub(crate) fn bodies_in_chart() -> impl Strategy<Value = Body> {
    let numbers = (60.0..112.0, 84.0..132.0, 17.0..24.0, 40.0..90.0);
    numbers.prop_map(|(waist, hip, hip_depth, length)| Body { waist, hip, hip_depth, length })
}

/// Asserts that two numbers differ by at most a tolerance.
pub(crate) fn assert_near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "found {found}, expected {expected} within {tolerance}");
}
