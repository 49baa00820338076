//! Quantile of Student's t distribution, for 95 % intervals.

use std::f64::consts::{FRAC_2_PI, FRAC_PI_2};

use crate::geometry::bisect_floats;

/// Returns the 97.5 % quantile of Student's t distribution: bisects the angle θ = atan(t/√ν) until the probability of a
/// smaller |t|, a finite sum for whole ν degrees of freedom (Abramowitz and Stegun 1964, 26.7.3 and 26.7.4), is 95 %.
pub(crate) fn student_quantile_97_5(degrees_of_freedom: usize) -> f64 {
    let probability_within = |angle: f64| {
        let (sine, cosine) = (libm::sin(angle), libm::cos(angle));
        let is_odd = degrees_of_freedom % 2 == 1;
        let (mut term, mut sum) = (if is_odd { cosine } else { 1.0 }, 0.0);
        for exponent in (degrees_of_freedom % 2..degrees_of_freedom.saturating_sub(1)).step_by(2) {
            sum += term;
            term *= cosine * cosine * (exponent as f64 + 1.0) / (exponent as f64 + 2.0);
        }
        if is_odd { (angle + sine * sum) * FRAC_2_PI } else { sine * sum }
    };
    let [_, angle] = bisect_floats([0.0, FRAC_PI_2], |angle| probability_within(angle) < 0.95);
    (degrees_of_freedom as f64).sqrt() * libm::tan(angle)
}
