//! Sizes in the plane for losses that add up: people and centres settled in turn, from many starts.

use super::cluster::{Absolute, Banded, Cluster, Squared};
use super::column::{Column, Sums};
use super::loss::Loss;
use super::plane::SearchSettings;
use super::points::{Place, Points, nearest};
use crate::survey::draws::{Draws, Stream};
use crate::survey::interrupt::worked;

/// Rounds after which settling on the cells ends at the latest.
const ROUNDS: usize = 200;

/// The same on the people, where there is little left to gain and each round costs more.
const LAST_ROUNDS: usize = 10;

/// The best centres of many starts on the cells, settled on the people.
pub(super) fn best_means(
    cells: &Points,
    people: &Points,
    loss: &Loss,
    sizes: usize,
    search: &SearchSettings,
) -> Vec<Place> {
    let mut draws = Draws::from(search.seed, Stream::Starts, 0);
    let starts = (0..search.restarts).map(|restart| {
        let mut centres = start(cells, loss, sizes, &mut draws);
        if restart % 2 == 1 {
            halve(cells, &mut centres, &mut draws);
        }
        settle(cells, centres, loss, ROUNDS)
    });
    // Of equals the first.
    let best = starts.reduce(|best, next| if next.1 < best.1 { next } else { best });
    best.map_or_else(Vec::new, |(centres, _)| settle(people, centres, loss, LAST_ROUNDS).0)
}

/// Centres drawn from the places: the first by weight, each other by weight × loss in those before.
fn start(points: &Points, loss: &Loss, sizes: usize, draws: &mut Draws) -> Vec<Place> {
    let mut centres = vec![points.at[drawn(points.weight.iter().copied(), draws)]];
    let mut losses = vec![f64::INFINITY; points.at.len()];
    while centres.len() < sizes {
        worked(points.at.len());
        let last = &centres[centres.len() - 1..];
        losses.iter_mut().zip(&points.at).for_each(|(min, at)| *min = min.min(nearest(*at, last, loss).1));
        let odds = || losses.iter().zip(&points.weight).map(|(loss, weight)| loss * weight);
        if odds().sum::<f64>() <= 0.0 {
            // Nobody loses anything: more sizes are no better.
            break;
        }
        centres.push(points.at[drawn(odds(), draws)]);
    }
    centres
}

/// Moves centres half-way to places drawn by weight: a start from the middle of two people finds what one from people
/// themselves may never come to.
fn halve(points: &Points, centres: &mut [Place], draws: &mut Draws) {
    for centre in centres {
        let other = points.at[drawn(points.weight.iter().copied(), draws)];
        *centre = [0, 1].map(|girth: usize| f64::midpoint(centre[girth], other[girth]));
    }
}

/// A row drawn by these odds.
pub(super) fn drawn(odds: impl Iterator<Item = f64> + Clone, draws: &mut Draws) -> usize {
    let mut left = odds.clone().sum::<f64>() * draws.uniform();
    let mut last = 0;
    for (row, odds) in odds.enumerate().filter(|(_, odds)| *odds > 0.0) {
        last = row;
        left -= odds;
        if left < 0.0 {
            break;
        }
    }
    last
}

/// Gives people their best centre and centres the best place of their people, until nothing is gained or the
/// rounds are over; and the loss.
fn settle(points: &Points, mut centres: Vec<Place>, loss: &Loss, rounds: usize) -> (Vec<Place>, f64) {
    let (mut given, mut min) = points.assign(&centres, loss);
    for _ in 0..rounds {
        let next: Vec<Place> = centres.iter().zip(0..).map(|(at, k)| centre(points, &given, k, *at, loss)).collect();
        let (next_given, next_least) = points.assign(&next, loss);
        if next_least >= min {
            break;
        }
        (centres, given, min) = (next, next_given, next_least);
    }
    (centres, min)
}

/// The best place of the people of one centre; where there is none, the place it had.
fn centre(points: &Points, given: &[u32], k: u32, before: Place, loss: &Loss) -> Place {
    [0, 1].map(|girth: usize| {
        let column = points.column(girth, |row| given[row] == k);
        if column.len() == 0 { before[girth] } else { alone(&column, loss) }
    })
}

/// The best centre of a column.
fn alone(column: &Column, loss: &Loss) -> f64 {
    let sums = Sums::of(column);
    let run = (0, column.len());
    let best = match *loss {
        Loss::Squared => Squared.best(&sums, run.0, run.1),
        Loss::LogBand(band) => Banded::new(band).best(&sums, run.0, run.1),
        Loss::Absolute | Loss::Within(_) => Absolute::default().best(&sums, run.0, run.1),
    };
    best.0 + sums.mean
}
