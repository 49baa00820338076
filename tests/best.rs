//! The best charts: against published quantisers, and against every way to part a few people.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod bodies;
mod partitions;

use bodies::cases;
use kirtle::survey::BestSizes;
use kirtle::survey::{LogBand, Loss, best_sizes};
use partitions::{BAND, LOSSES, least_of_all};
use proptest::prelude::*;

fn near(found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "{found} is not {wanted} to {within}");
}

fn centres(line: &BestSizes) -> Vec<f64> {
    line.sizes.iter().map(|size| size.centre).collect()
}

/// A standard normal as so many equally likely values: the middles of equal steps of its distribution.
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

/// Max (1960), NASA TN D-8384: the quantisers of a standard normal. Of 200,000 equally likely values the outermost stand for
/// tails of 5 × 10⁻⁶ each, and values lie up to 3 × 10⁻⁵ apart where the runs part, which moves centres by as much; the
/// loss, flat at its least, is off by 10⁻⁶ or so for the tails.
#[test]
fn the_quantisers_of_a_normal_are_the_published_ones() {
    let values = normal_quantiles(200_000);
    let table: [(usize, Loss, &[f64], f64); 3] = [
        (4, Loss::Squared, &[-1.51042, -0.45278, 0.45278, 1.51042], 0.117_482),
        (5, Loss::Squared, &[-1.72415, -0.76457, 0.0, 0.76457, 1.72415], 0.079_941),
        (4, Loss::Absolute, &[-1.26572, -0.37775, 0.37775, 1.26572], 0.265_766),
    ];
    for (sizes, loss, wanted, error) in table {
        let line = best_sizes(&values, None, sizes, &loss).unwrap();
        near(line.loss, error, 5e-6);
        assert_eq!(line.sizes.len(), wanted.len());
        centres(&line).iter().zip(wanted).for_each(|(found, wanted)| near(*found, *wanted, 1e-4));
    }
}

proptest! {
    #![proptest_config(cases(60))]

    #[test]
    fn no_partition_costs_less_than_the_best_line(
        people in prop::collection::vec((600..720, 1..4), 1..8), sizes in 1..4_usize,
    ) {
        let people: Vec<(f64, f64)> =
            people.into_iter().map(|(tenths, weight)| (f64::from(tenths) / 10.0, f64::from(weight))).collect();
        let (values, weights): (Vec<f64>, Vec<f64>) = people.iter().copied().unzip();
        for loss in &LOSSES {
            let line = best_sizes(&values, Some(&weights), sizes, loss).unwrap();
            let min = least_of_all(loss, &people, sizes);
            prop_assert!((line.loss - min).abs() < 1e-9, "{loss:?}: {} and {min}", line.loss);
            prop_assert!(line.sizes.len() <= sizes && line.sizes.is_sorted_by(|a, b| a.max < b.min));
            prop_assert!((line.sizes.iter().map(|size| size.share).sum::<f64>() - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn weights_are_people_and_order_does_not_matter(
        people in prop::collection::vec((600..1100, 1..4_usize), 2..80), sizes in 1..9_usize,
    ) {
        let (values, weights): (Vec<f64>, Vec<usize>) =
            people.into_iter().map(|(tenths, weight)| (f64::from(tenths) / 10.0, weight)).unzip();
        let mut all: Vec<f64> =
            values.iter().zip(&weights).flat_map(|(value, weight)| vec![*value; *weight]).collect();
        all.reverse();
        #[allow(clippy::cast_precision_loss)]
        let weights: Vec<f64> = weights.into_iter().map(|weight| weight as f64).collect();
        for loss in &LOSSES {
            let line = best_sizes(&values, Some(&weights), sizes, loss).unwrap();
            prop_assert_eq!(&line, &best_sizes(&all, None, sizes, loss).unwrap());
            let more = best_sizes(&all, None, sizes + 1, loss).unwrap().loss;
            prop_assert!(more <= line.loss + 1e-12);
        }
    }
}

#[test]
fn what_cannot_be_sought_is_refused() {
    let wrong = LogBand { small: -0.1, large: 2.0, small_weight: 0.0, large_weight: f64::NAN };
    let problems = best_sizes(&[70.0, 0.0], Some(&[1.0]), 101, &Loss::LogBand(wrong)).unwrap_err();
    let said = [
        "sizes: 101 is above the maximum of 100",
        "loss.small: -0.1 is below the minimum of 0",
        "loss.large: 2 is above the maximum of 1",
        "loss.small_weight: 0 is below the minimum of 0.000001",
        "loss.large_weight: NaN is not finite; give a number from 0.000001 to 1000000",
        "values[1]: 0 cm is below the minimum of 0.001 cm",
        "weights: 1 number is given; the least is 2 numbers, one a person",
    ];
    assert_eq!(problems.to_string(), said.join("\n"));
    let many: Vec<f64> = (0..30_000).map(|k| 60.0 + f64::from(k) / 1000.0).collect();
    let problems = best_sizes(&many, None, 100, &Loss::LogBand(BAND)).unwrap_err();
    assert_eq!(
        problems.to_string(),
        "values: 3000000 distinct values times sizes are given; the most is 2000000 distinct values times sizes"
    );
}
