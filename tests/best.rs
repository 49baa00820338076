//! Best sizes by one girth: against published quantisers, and against every partition of a few people.

use crate::bodies::cases;
use crate::partitions::{BAND, LOSSES, min_mean_loss};
use kirtle::size_search::BestSizes;
use kirtle::size_search::{LogBand, Loss, best_sizes};
use proptest::prelude::*;

fn assert_near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "found {found}, expected {expected} within {tolerance}");
}

fn centres(best: &BestSizes) -> Vec<f64> {
    best.sizes.iter().map(|size| size.centre).collect()
}

/// Returns `count` equally likely values of the standard normal distribution: its quantiles at the middles of equal
/// steps.
fn normal_quantiles(count: u32) -> Vec<f64> {
    let below = |value: f64| f64::midpoint(1.0, libm::erf(value / std::f64::consts::SQRT_2));
    let quantile = |step: u32| {
        let (mut min, mut max) = (-9.0, 9.0);
        for _ in 0..60 {
            let middle = f64::midpoint(min, max);
            if below(middle) < (f64::from(step) + 0.5) / f64::from(count) { min = middle } else { max = middle }
        }
        min
    };
    (0..count).map(quantile).collect()
}

/// Source: Max (1960), NASA TN D-8384, optimal quantisers of the standard normal distribution.
///
/// The 200,000 values replace the continuous distribution. Neighbouring values at a border between two sizes are up to
/// 3 × 10⁻⁵ apart, which moves the centres by up to that much. Each outermost value stands for a tail of 5 × 10⁻⁶,
/// which changes the loss by about 10⁻⁶.
#[test]
fn the_quantisers_of_a_normal_are_the_published_ones() {
    let values = normal_quantiles(200_000);
    let table: [(usize, Loss, &[f64], f64); 3] = [
        (4, Loss::Squared, &[-1.51042, -0.45278, 0.45278, 1.51042], 0.117_482),
        (5, Loss::Squared, &[-1.72415, -0.76457, 0.0, 0.76457, 1.72415], 0.079_941),
        (4, Loss::Absolute, &[-1.26572, -0.37775, 0.37775, 1.26572], 0.265_766),
    ];
    for (sizes, loss, published, published_loss) in table {
        let best = best_sizes(&values, None, sizes, &loss).unwrap();
        assert_near(best.loss, published_loss, 5e-6);
        assert_eq!(best.sizes.len(), published.len());
        centres(&best).iter().zip(published).for_each(|(found, published)| assert_near(*found, *published, 1e-4));
    }
}

proptest! {
    #![proptest_config(cases(60))]

    #[test]
    fn no_partition_costs_less_than_the_best_sizes(
        people in prop::collection::vec((600..720, 1..4), 1..8), sizes in 1..4_usize,
    ) {
        let people: Vec<(f64, f64)> =
            people.into_iter().map(|(tenths, weight)| (f64::from(tenths) / 10.0, f64::from(weight))).collect();
        let (values, weights): (Vec<f64>, Vec<f64>) = people.iter().copied().unzip();
        for loss in &LOSSES {
            let best = best_sizes(&values, Some(&weights), sizes, loss).unwrap();
            let min = min_mean_loss(loss, &people, sizes);
            prop_assert!((best.loss - min).abs() < 1e-9, "{loss:?}: {}, but the minimum is {min}", best.loss);
            prop_assert!(best.sizes.len() <= sizes && best.sizes.is_sorted_by(|a, b| a.max < b.min));
            prop_assert!((best.sizes.iter().map(|size| size.share).sum::<f64>() - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn a_weight_equals_repeated_values_in_any_order(
        people in prop::collection::vec((600..1100, 1..4_usize), 2..80), sizes in 1..9_usize,
    ) {
        let (values, weights): (Vec<f64>, Vec<usize>) =
            people.into_iter().map(|(tenths, weight)| (f64::from(tenths) / 10.0, weight)).unzip();
        let mut all: Vec<f64> =
            values.iter().zip(&weights).flat_map(|(value, weight)| vec![*value; *weight]).collect();
        all.reverse();
        let weights: Vec<f64> = weights.into_iter().map(|weight| weight as f64).collect();
        for loss in &LOSSES {
            let best = best_sizes(&values, Some(&weights), sizes, loss).unwrap();
            prop_assert_eq!(&best, &best_sizes(&all, None, sizes, loss).unwrap());
            let with_one_more_size = best_sizes(&all, None, sizes + 1, loss).unwrap().loss;
            prop_assert!(with_one_more_size <= best.loss + 1e-12);
        }
    }
}

#[test]
fn all_wrong_settings_of_best_sizes_are_refused_at_once() {
    let band = LogBand { small: -0.1, large: 2.0, small_weight: 0.0, large_weight: f64::NAN };
    let problems = best_sizes(&[70.0, 0.0], Some(&[1.0]), 101, &Loss::LogBand(band)).unwrap_err();
    let expected = [
        "sizes: 101 is above the maximum of 100",
        "loss.small: -0.1 is below the minimum of 0",
        "loss.large: 2 is above the maximum of 1",
        "loss.small_weight: 0 is below the minimum of 0.000001",
        "loss.large_weight: NaN is not finite; give a number from 0.000001 to 1000000",
        "values[1]: 0 cm is below the minimum of 0.001 cm",
        "weights: 1 number is given, at least 2 numbers (one per person) needed",
    ];
    assert_eq!(problems.to_string(), expected.join("\n"));
    let many: Vec<f64> = (0..30_000).map(|k| 60.0 + f64::from(k) / 1000.0).collect();
    let problems = best_sizes(&many, None, 100, &Loss::LogBand(BAND)).unwrap_err();
    assert_eq!(
        problems.to_string(),
        "values: 3000000 table cells (distinct girths × sizes) are given, at most 2000000 table cells (distinct girths × sizes) allowed"
    );
}
