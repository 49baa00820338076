//! Charts, people and fits for the tests of surveys.

// Each test file uses only some of the helpers.
#![allow(dead_code)]

use kirtle::survey::{ChartFit, EaseBounds, PeopleColumns, fit_chart};
use kirtle::{Body, Ease, Rules, Size, SizeChart};
use proptest::prelude::*;

pub(crate) const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

pub(crate) fn chart(girths: &[(f64, f64)]) -> SizeChart {
    let size = |(k, (waist, hip)): (usize, &(f64, f64))| Size {
        name: format!("{k}"),
        body: Body { waist: *waist, hip: *hip, hip_depth: 20.0, length: 60.0 },
    };
    SizeChart::new(girths.iter().enumerate().map(size).collect()).unwrap()
}

pub(crate) fn people<'a>(waist: &'a [f64], hip: &'a [f64]) -> PeopleColumns<'a> {
    PeopleColumns { waist, hip, ..PeopleColumns::default() }
}

pub(crate) fn fit(chart: &SizeChart, bounds: &EaseBounds, people: &PeopleColumns) -> ChartFit {
    fit_chart(chart, &EASE, &Rules::default(), bounds, people).unwrap()
}

/// Draws waist and hip in whole millimetres, so that every comparison is exact.
pub(crate) fn girths_mm() -> impl Strategy<Value = (i32, i32)> {
    (600..1120, 840..1320)
}

pub(crate) fn in_cm(values: &[(i32, i32)]) -> (Vec<f64>, Vec<f64>) {
    values.iter().map(|(waist, hip)| (f64::from(*waist) / 10.0, f64::from(*hip) / 10.0)).unzip()
}

/// Draws sizes in whole millimetres that grow in both girths.
pub(crate) fn growing_sizes() -> impl Strategy<Value = Vec<(i32, i32)>> {
    (600..900, 840..1000, prop::collection::vec((1..90, 1..90), 1..8)).prop_map(|(waist, hip, steps)| {
        let mut sizes = vec![(waist, hip)];
        sizes.extend(steps.iter().scan((waist, hip), |at, (w, h)| {
            *at = (at.0 + w, at.1 + h);
            Some(*at)
        }));
        sizes
    })
}

/// Fits people to sizes, all in whole millimetres.
pub(crate) fn fit_mm(sizes: &[(i32, i32)], people_mm: &[(i32, i32)], tolerance: i32) -> ChartFit {
    let (waist, hip) = in_cm(sizes);
    let chart = chart(&waist.into_iter().zip(hip).collect::<Vec<_>>());
    let (waist, hip) = in_cm(people_mm);
    fit(&chart, &EaseBounds::from_ease_and_tolerance(&EASE, f64::from(tolerance) / 10.0), &people(&waist, &hip))
}
