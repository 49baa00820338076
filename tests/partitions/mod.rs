//! Every way to part a few people, and the least loss of each: slow, and written without the code it judges.

// Each test uses some of it.
#![allow(dead_code)]

use kirtle::survey::{LogBand, Loss};

pub(crate) const BAND: LogBand = LogBand { small: 0.01, large: 0.02, small_weight: 3.0, large_weight: 1.0 };

pub(crate) const LOSSES: [Loss; 4] = [Loss::Squared, Loss::Absolute, Loss::Within(1.5), Loss::LogBand(BAND)];

/// Calls with every way to part so many people into at most so many groups.
pub(crate) fn each_partition(people: usize, groups: usize, call: &mut impl FnMut(&[Vec<usize>])) {
    fn next(
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
            next(person + 1, people, max, parts, call);
            parts[k].pop();
        }
        if parts.len() < max {
            parts.push(vec![person]);
            next(person + 1, people, max, parts, call);
            parts.pop();
        }
    }
    next(0, people, groups, &mut Vec::new(), call);
}

/// The loss of one person, written out again.
pub(crate) fn loss_of(loss: &Loss, value: f64, centre: f64) -> f64 {
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
        Loss::LogBand(band) => {
            let ratio = (value / centre).ln();
            let (small, large) = ((ratio - band.small).max(0.0), (-ratio - band.large).max(0.0));
            band.small_weight * small.powi(2) + band.large_weight * large.powi(2)
        }
    }
}

/// The least sum of losses of a few weighted values with one centre.
pub(crate) fn least_alone(loss: &Loss, people: &[(f64, f64)]) -> f64 {
    let sum = |centre: f64| people.iter().map(|(value, weight)| weight * loss_of(loss, *value, centre)).sum::<f64>();
    let weight = people.iter().map(|(_, weight)| weight).sum::<f64>();
    match loss {
        Loss::Squared => sum(people.iter().map(|(value, weight)| value * weight).sum::<f64>() / weight),
        Loss::Absolute => people.iter().map(|(value, _)| sum(*value)).fold(f64::INFINITY, f64::min),
        Loss::Within(max) => people.iter().map(|(value, _)| sum(value + max)).fold(f64::INFINITY, f64::min),
        Loss::LogBand(_) => {
            // The cost is convex: a third that is not lower holds no least.
            let (mut min, mut max) = (30.0, 150.0);
            for _ in 0..100 {
                let [a, b] = [min + (max - min) * 0.45, max - (max - min) * 0.45];
                if sum(a) < sum(b) { max = b } else { min = a }
            }
            sum(min)
        }
    }
}

/// The least mean loss of weighted values in at most so many sizes.
pub(crate) fn least_of_all(loss: &Loss, people: &[(f64, f64)], sizes: usize) -> f64 {
    let mut min = f64::INFINITY;
    each_partition(people.len(), sizes, &mut |parts| {
        let cost = |part: &Vec<usize>| least_alone(loss, &part.iter().map(|k| people[*k]).collect::<Vec<_>>());
        min = min.min(parts.iter().map(cost).sum());
    });
    min / people.iter().map(|(_, weight)| weight).sum::<f64>()
}
