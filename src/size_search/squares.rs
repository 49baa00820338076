//! Maximal coverage in the waist-hip plane: k axis-parallel squares that contain the most people, for [`Loss::Within`].
//! Maximal covering after Church and `ReVelle` (1974). A heuristic: squares are added one at a time, and then moved one
//! at a time. Neither lowers the number of covered people.
//!
//! A square covers a person whose waist and hip differ from the midpoint by at most the tolerance. Moving a square up
//! to its lowest covered waist and hip loses nobody, so that squares start at nodes of the grid of distinct waists and
//! hips. With a tolerance for each girth, the squares are rectangles.
//!
//! [`Loss::Within`]: super::Loss::Within

use super::chart_search::ChartSearch;
use super::one_girth::max_coverage_interval_centres;
use super::points::WaistHip;
use super::size_constraints::Reach;
use super::square_sweep::SquareSweep;
use crate::interrupt::{Stoppable, count_interruptible_work};

/// Maximum number of passes; in each pass, every square in turn moves to a better place if there is one.
const MAX_SQUARE_MOVE_PASSES: usize = 100;

/// Returns the midpoints, in centimetres, of squares that cover many people: the best of several starts on the grid,
/// improved with the unrounded girths of all people.
pub(super) fn best_square_midpoints(search: &ChartSearch, reach: [Reach; 2]) -> Stoppable<Vec<WaistHip>> {
    let weights = &search.grid_points.weights;
    let (sweep, all) = (SquareSweep::new(&search.grid_points, reach), weights.iter().sum::<f64>());
    // With unrounded girths, only the starts are used: they keep their squares when sizes are added, so that more sizes
    // never serve fewer people.
    let certified = search.coverage_bound.as_ref().filter(|_| search.is_rounded);
    let by_multipliers = certified.map(|certified| add_and_slide_squares(search, certified.midpoints.clone(), reach));
    let (by_multipliers, loss_by_multipliers) = by_multipliers.transpose()?.unwrap_or((Vec::new(), f64::INFINITY));
    if loss_by_multipliers - search.bound <= search.input.settings.target_gap * loss_by_multipliers.min(1.0) {
        return Ok(by_multipliers);
    }
    let by_starts = search.best_result_of_restarts(
        |restart, rng| {
            let mut chart = (Vec::new(), 0.0);
            for sizes in 1..=search.input.free_count() {
                // The first start places each square greedily.
                if restart > 0 && chart.1 < all {
                    chart.0.push(sweep.square_centred_at(rng.draw_weighted_index(weights.iter().copied())));
                }
                // Squares with rounded girths are exchanged at the end only.
                if sizes == search.input.free_count() || !search.is_rounded {
                    chart = sweep.place_and_exchange_squares(chart.0, weights, sizes)?;
                }
            }
            Ok((chart.0.iter().map(|square| sweep.size_serving_square(square)).collect(), all - chart.1))
        },
        |midpoints, _| add_and_slide_squares(search, midpoints, reach),
    )?;
    let loss_by_starts = search.people.mean_loss(&by_starts, search.input.loss)?;
    Ok(if loss_by_multipliers <= loss_by_starts { by_multipliers } else { by_starts })
}

/// Adds squares, up to the number of sizes, at people whom no square covers. Then moves one square at a time along one
/// girth to where the square covers the most people outside all other squares, by maximal coverage on a line, until no
/// move gains weight. Returns the midpoints of the squares and the share of uncovered people.
fn add_and_slide_squares(
    search: &ChartSearch,
    mut midpoints: Vec<WaistHip>,
    reach: [Reach; 2],
) -> Stoppable<(Vec<WaistHip>, f64)> {
    let people = &search.people;
    let covers = |midpoint: &WaistHip, person: &WaistHip| {
        (0..2).all(|girth: usize| reach[girth].serves(midpoint[girth], person[girth]))
    };
    let square_at = |person: WaistHip| {
        [0, 1].map(|girth: usize| reach[girth].centre_serving_girth_range(person[girth], person[girth]))
    };
    for _ in 0..MAX_SQUARE_MOVE_PASSES {
        let before = midpoints.clone();
        for k in 0..search.input.free_count() {
            count_interruptible_work(people.girths.len() * midpoints.len())?;
            let is_covered_by_others = |person: &WaistHip| {
                midpoints.iter().enumerate().any(|(other, midpoint)| other != k && covers(midpoint, person))
            };
            let is_available: Vec<bool> = people.girths.iter().map(|person| !is_covered_by_others(person)).collect();
            let mut available = people.girths.iter().zip(&is_available).filter(|(_, is_available)| **is_available);
            let Some((first, _)) = available.clone().next() else { continue };
            // A square that alone covers nobody goes to an uncovered person.
            if k >= midpoints.len() {
                midpoints.push(square_at(*first));
            } else if !available.any(|(person, _)| covers(&midpoints[k], person)) {
                midpoints[k] = square_at(*first);
            }
            for girth in [0, 1] {
                let (midpoint, other_girth) = (midpoints[k], 1 - girth);
                let is_in_strip = |index: usize| {
                    is_available[index]
                        && reach[other_girth].serves(midpoint[other_girth], people.girths[index][other_girth])
                };
                let strip = &people.sorted_girths_by_group(girth, 1, |index| is_in_strip(index).then_some(0))?[0];
                let coverage = |midpoint: f64| -> f64 {
                    let served = strip.iter().filter(|(value, _)| reach[girth].serves(midpoint, *value));
                    served.map(|(_, weight)| weight).sum()
                };
                let best = max_coverage_interval_centres(strip, reach[girth], 1)?;
                if let Some(best) = best.first().filter(|best| coverage(**best) > coverage(midpoint[girth])) {
                    midpoints[k][girth] = *best;
                }
            }
        }
        if midpoints == before {
            break;
        }
    }
    let unserved = people.mean_loss(&midpoints, search.input.loss)?;
    Ok((midpoints, unserved))
}
