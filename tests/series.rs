//! Arc lengths by power series: against exact coefficients, and against quadrature.

use std::ops::Range;

use crate::bodies::{cases, draft_or_reject, kurbo_segment, requests, sharp_turn};
use kirtle::geometry::Cubic;
use kirtle::{Apportionment, Body, Darts, Ease, Point, Role, Rules, Unit};
use kurbo::ParamCurveArclen;
use proptest::prelude::*;

/// Largest relative difference between two measurements of one seam: seven units in the last place.
const MAX_DIFFERENCE: f64 = 1.5e-15;

/// Largest relative difference between a side seam and its length by kurbo, which is accurate to 1e-13 cm.
const MAX_DIFFERENCE_TO_KURBO: f64 = 4e-15;

proptest! {
    #![proptest_config(cases(10_000))]

    // The summary measures a symmetric waist line and a natural side seam by series; the panel and kurbo integrate the
    // curve.
    #[test]
    fn a_length_by_series_equals_the_length_of_the_curve(mut request in requests(Unit::Cm)) {
        request.rules.panel_rules.centre_back_lower = 0.0;
        request.rules.panel_rules.centre_front_lower = 0.0;
        request.rules.panel_rules.side_fullness = 1.5;
        let draft = draft_or_reject(&request)?;
        let summary = draft.summary();
        for (panel, panel_summary) in draft.panels().into_iter().zip(&summary.panels) {
            let (waist, side) = (panel_summary.waist_seam, summary.side_seam);
            for (role, by_series, max) in
                [(Role::Waist, waist, MAX_DIFFERENCE), (Role::Side, side, MAX_DIFFERENCE_TO_KURBO)]
             {
                let by_kurbo: f64 = panel.paths(role).map(|path| kurbo_segment(path).arclen(1e-13)).sum();
                for (length, max) in [(panel.edge_length(role), MAX_DIFFERENCE), (by_kurbo, max)] {
                    prop_assert!((by_series / length - 1.0).abs() <= max, "{role:?}: {by_series} is not {length}");
                }
            }
        }
    }
}

/// Exact fraction of integers, in lowest terms.
#[derive(Clone, Copy)]
struct Fraction(i128, i128);

impl Fraction {
    fn new(numerator: i128, denominator: i128) -> Self {
        let (mut a, mut b) = (numerator, denominator);
        while b != 0 {
            (a, b) = (b, a % b);
        }
        Self(numerator / a, denominator / a)
    }

    fn plus(self, other: Self) -> Self {
        Self::new(self.0 * other.1 + other.0 * self.1, self.1 * other.1)
    }

    fn times(self, other: Self) -> Self {
        Self::new(self.0 * other.0, self.1 * other.1)
    }
}

/// Returns the exact coefficient of `wᵏ` in the integral over `u` from 0 to 1 of
/// `√(1 + w (1 + u²) + w² (1 − 3 u²)² / 4)`.
///
/// The sum runs over `j`, the power of the last summand in the binomial expansion.
fn coefficient(k: i128) -> f64 {
    let mut sum = Fraction(0, 1);
    for j in 0..=k / 2 {
        let n = k - j;
        let binomial = (0..n).fold(Fraction(1, 1), |all, i| all.times(Fraction::new(1 - 2 * i, 2 * (i + 1))));
        let choices = (0..j).fold(binomial, |all, i| all.times(Fraction::new(n - i, 4 * (i + 1))));
        // Coefficients of (1 + v)ⁿ⁻ʲ (1 − 3 v)²ʲ in powers of v = u².
        let mut powers = vec![1];
        for factor in (0..n - j).map(|_| 1).chain((0..2 * j).map(|_| -3)) {
            powers.push(0);
            for m in (1..powers.len()).rev() {
                powers[m] += factor * powers[m - 1];
            }
        }
        let area = powers.iter().zip(0..).map(|(power, m)| Fraction::new(*power, 2 * m + 1));
        sum = sum.plus(choices.times(area.fold(Fraction(0, 1), Fraction::plus)));
    }
    sum.0 as f64 / sum.1 as f64
}

/// Drafts 130,000 skirts without darts, and returns the variable `w` of the series and a relative error for each panel.
///
/// The error is that of the waist length in the summary against the exact series. The waist turns from level to the
/// lean of the side seam.
fn waist_errors() -> Vec<(f64, f64)> {
    let exact: Vec<f64> = (0..11).map(coefficient).collect();
    let ease = Ease { waist: 0.0, hip: 0.0 };
    let darts = Darts { back: Vec::new(), front: Vec::new() };
    let rules = Rules { apportionment: Apportionment::Darts(darts), ..Rules::default() };
    let body = |k: u32, hip_depth| {
        let k = f64::from(k);
        Body { waist: 60.0 + k % 97.0 / 10.0, hip: 55.0 + k / 400.0, hip_depth, length: 60.0 }
    };
    let bodies = [17.0, 18.3, 20.0, 21.9, 23.1].into_iter().flat_map(|depth| (0..26_000).map(move |k| body(k, depth)));
    let drafts = bodies.map(|body| kirtle::draft(&body, &ease, &rules).unwrap());
    let errors = drafts.flat_map(|draft| {
        let w = (draft.side_lean_tangent().atan() / 4.0).tan().powi(2);
        let ratio = exact.iter().rev().fold(0.0, |sum, next| sum * w + next);
        [0, 1].map(|k| {
            let waist = *draft.panels()[k].paths(Role::Waist).next().unwrap();
            (w, draft.summary().panels[k].waist_seam / ((waist.end() - waist.start()).norm() * ratio) - 1.0)
        })
    });
    errors.collect()
}

// At w = 0.04, the end of its use, the last term of the series, 0.155 w¹⁰, is 1.6e-15, and the first omitted term,
// 0.192 w¹¹, is 8e-17. All remaining differences are rounding, with a mean of about 1e-17 for any w.
#[test]
fn the_series_equals_the_exact_series_to_rounding() {
    let errors: Vec<(f64, f64)> = waist_errors().into_iter().filter(|(w, _)| *w <= 0.04).collect();
    let max = errors.iter().map(|(_, error)| error.abs()).fold(0.0, f64::max);
    assert!(max <= MAX_DIFFERENCE, "{max}");
    let mean = |range: Range<f64>| {
        let chosen: Vec<f64> = errors.iter().filter(|(w, _)| range.contains(w)).map(|(_, error)| *error).collect();
        assert!(chosen.len() > 10_000, "{}", chosen.len());
        chosen.iter().sum::<f64>() / chosen.len() as f64
    };
    // Both means contain the same rounding of the chord.
    let (bent, flat) = (mean(0.035..0.04), mean(0.005..0.015));
    assert!((bent - flat).abs() <= 1e-17, "{bent} {flat}");
    assert!(bent.abs().max(flat.abs()) <= 1.5e-17, "{bent} {flat}");
    assert!((coefficient(11) * 0.04_f64.powi(11)).abs() < 1e-16);
}

#[test]
fn the_length_of_a_sharp_turn_is_accurate_to_1e_13() {
    for tenths in -10..160 {
        for far in [1.0, 0.9, 0.61, 0.333, 0.1, 0.017] {
            let (curve, length) = sharp_turn(10_f64.powf(-f64::from(tenths) / 10.0), far);
            for measured in [curve.length(), curve.reversed().length()] {
                assert!((measured / length - 1.0).abs() <= 1e-13, "{tenths} {far}: {measured} is not {length}");
            }
        }
    }
}

// The control points are NaN, infinite, or overflow when squared.
#[test]
fn the_length_of_a_curve_with_extreme_points_is_not_finite() {
    let lengths = [f64::NAN, f64::INFINITY, 1e200].map(|far| {
        let points = [[0.0, 0.0], [far, 0.0], [-far, far], [0.0, 0.0]].map(Point::from);
        Cubic::new(points).length()
    });
    assert!(lengths.iter().all(|length| !length.is_finite()), "{lengths:?}");
    assert_eq!(Cubic::new([Point::<f64>::new(3.0, 4.0); 4]).length().to_bits(), 0.0_f64.to_bits());
}
