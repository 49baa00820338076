//! The least loss of a few people over all partitions, by enumeration: an independent check of the searches of sizes.

// Each test file uses only some of the helpers.
#![allow(dead_code)]

use kirtle::size_search::{LogBand, Loss};

pub(crate) const BAND: LogBand = LogBand { small: 0.01, large: 0.02, small_weight: 3.0, large_weight: 1.0 };

pub(crate) const LOSSES: [Loss; 4] = [Loss::Squared, Loss::Absolute, Loss::Within(1.5), Loss::LogBand(BAND)];

/// Calls a function with every partition of `people` people into at most `groups` groups.
pub(crate) fn for_each_partition(people: usize, groups: usize, call: &mut impl FnMut(&[Vec<usize>])) {
    fn place(
        person: usize,
        people: usize,
        max: usize,
        parts: &mut Vec<Vec<usize>>,
        call: &mut impl FnMut(&[Vec<usize>]),
    ) {
        if person == people {
            return call(parts);
        }
        for k in 0..parts.len() {
            parts[k].push(person);
            place(person + 1, people, max, parts, call);
            parts[k].pop();
        }
        if parts.len() < max {
            parts.push(vec![person]);
            place(person + 1, people, max, parts, call);
            parts.pop();
        }
    }
    place(0, people, groups, &mut Vec::new(), call);
}

/// Returns the loss of one person with a size, by the definition of the loss.
pub(crate) fn person_loss(loss: &Loss, value: f64, centre: f64) -> f64 {
    let above = value - centre;
    match loss {
        Loss::Squared => above.powi(2),
        Loss::Absolute => above.abs(),
        Loss::Within(max) => {
            if above.abs() > max + 1e-9 {
                1.0
            } else {
                0.0
            }
        }
        Loss::WithinBounds(_) => f64::NAN,
        Loss::LogBand(band) => {
            let ratio = (value / centre).ln();
            let (small, large) = ((ratio - band.small).max(0.0), (-ratio - band.large).max(0.0));
            band.small_weight * small.powi(2) + band.large_weight * large.powi(2)
        }
    }
}

/// Returns the least sum of losses of weighted values with one common centre.
pub(crate) fn min_group_loss(loss: &Loss, people: &[(f64, f64)]) -> f64 {
    let sum =
        |centre: f64| people.iter().map(|(value, weight)| weight * person_loss(loss, *value, centre)).sum::<f64>();
    let weight = people.iter().map(|(_, weight)| weight).sum::<f64>();
    match loss {
        Loss::Squared => sum(people.iter().map(|(value, weight)| value * weight).sum::<f64>() / weight),
        Loss::Absolute => people.iter().map(|(value, _)| sum(*value)).fold(f64::INFINITY, f64::min),
        Loss::Within(max) => people.iter().map(|(value, _)| sum(value + max)).fold(f64::INFINITY, f64::min),
        Loss::LogBand(_) | Loss::WithinBounds(_) => {
            // The loss is convex: ternary search.
            let (mut min, mut max) = (30.0, 150.0);
            for _ in 0..100 {
                let [a, b] = [min + (max - min) * 0.45, max - (max - min) * 0.45];
                if sum(a) < sum(b) { max = b } else { min = a }
            }
            sum(min)
        }
    }
}

/// Returns the least mean loss of weighted values with at most `sizes` sizes.
pub(crate) fn min_mean_loss(loss: &Loss, people: &[(f64, f64)], sizes: usize) -> f64 {
    let mut min = f64::INFINITY;
    for_each_partition(people.len(), sizes, &mut |parts| {
        let cost = |part: &Vec<usize>| min_group_loss(loss, &part.iter().map(|k| people[*k]).collect::<Vec<_>>());
        min = min.min(parts.iter().map(cost).sum());
    });
    min / people.iter().map(|(_, weight)| weight).sum::<f64>()
}
