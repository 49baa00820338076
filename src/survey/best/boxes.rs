//! Sizes in the plane that serve people within a miss in both girths: boxes that hold most people.
//!
//! A box may be moved up until its lower edges are those of people, and loses nobody: so boxes start at the crossings of the
//! people's waists and hips.

use super::cover::{cover, ends};
use super::means::drawn;
use super::plane::SearchSettings;
use super::points::{Place, Points};
use crate::error::{Problem, Problems};
use crate::survey::draws::{Draws, Stream};
use crate::survey::fit::EQUAL;
use crate::survey::interrupt::worked;

/// The most crossings of distinct waists and hips.
const MAX_CROSSINGS: usize = 4_000_000;

/// Rounds after which moving ends at the latest.
const ROUNDS: usize = 100;

/// The middles of the boxes that hold most of the cells, of many starts, settled on the people.
pub(super) fn best_boxes(
    cells: &Points,
    people: &Points,
    max: f64,
    sizes: usize,
    search: &SearchSettings,
) -> Result<Vec<Place>, Problems> {
    let mut grid = Grid::of(cells, max);
    let crossings = grid.wide() * grid.high();
    let many = Problem::too_many("search.step", crossings, MAX_CROSSINGS, "crossings of waists and hips");
    Problems::ok_if_empty(many.into_iter().collect())?;
    grid.fill(cells);
    let mut draws = Draws::from(search.seed, Stream::Starts, 0);
    let mut best = (Vec::new(), -1.0);
    for restart in 0..search.restarts {
        // The first start is greedy: no boxes, each placed where it holds most. The others are drawn.
        let count = if restart == 0 { 0 } else { sizes };
        let start = (0..count).map(|_| grid.around(cells, max, &mut draws)).collect();
        let next = grid.improve(start, sizes);
        if next.1 > best.1 {
            best = next;
        }
    }
    let mut middles: Vec<Place> = best.0.into_iter().map(|corner| grid.middle(corner)).collect();
    slide(people, &mut middles, max);
    Ok(middles)
}

/// The cells as a table of waists by hips, and how many boxes hold each.
struct Grid {
    /// Distinct waists and hips, ascending.
    girths: [Vec<f64>; 2],
    /// For each of them the end of a box that starts there.
    ends: [Vec<usize>; 2],
    weight: Vec<f64>,
    held: Vec<u32>,
}

/// The places of a box's lower edges among waists and hips.
type Corner = [usize; 2];

impl Grid {
    fn of(cells: &Points, max: f64) -> Self {
        let girths = [0, 1].map(|girth| {
            let mut distinct = cells.column(girth, |_| true).at;
            distinct.dedup();
            distinct
        });
        let ends = [0, 1].map(|girth: usize| ends(&girths[girth], max));
        Self { girths, ends, weight: Vec::new(), held: Vec::new() }
    }

    fn wide(&self) -> usize {
        self.girths[0].len()
    }

    fn high(&self) -> usize {
        self.girths[1].len()
    }

    /// Enters the weights, once the table is known not to be too large.
    fn fill(&mut self, cells: &Points) {
        let high = self.high();
        self.weight = vec![0.0; self.wide() * high];
        for (at, weight) in cells.at.iter().zip(&cells.weight) {
            let [column, row] =
                [0, 1].map(|girth: usize| self.girths[girth].partition_point(|there| *there < at[girth]));
            self.weight[column * high + row] += weight;
        }
    }

    /// The middle of what a box reaches.
    fn middle(&self, corner: Corner) -> Place {
        [0, 1].map(|girth: usize| {
            let (girths, start) = (&self.girths[girth], corner[girth]);
            f64::midpoint(girths[start], girths[self.ends[girth][start] - 1])
        })
    }

    /// A box around a cell drawn by its weight.
    fn around(&self, cells: &Points, max: f64, draws: &mut Draws) -> Corner {
        let at = cells.at[drawn(cells.weight.iter().copied(), draws)];
        [0, 1].map(|girth: usize| self.girths[girth].partition_point(|there| *there < at[girth] - max))
    }

    /// Places boxes where they hold most until there are so many, then moves each in turn to where it holds most of what no
    /// other does, until nothing is gained; and the weight held.
    fn improve(&mut self, mut boxes: Vec<Corner>, sizes: usize) -> (Vec<Corner>, f64) {
        self.held = vec![0; self.weight.len()];
        for corner in &boxes {
            self.hold(*corner, true);
        }
        while boxes.len() < sizes {
            let (corner, gain) = self.best();
            if gain <= 0.0 {
                break;
            }
            self.hold(corner, true);
            boxes.push(corner);
        }
        for _ in 0..ROUNDS {
            let mut moved = false;
            for corner in &mut boxes {
                self.hold(*corner, false);
                let (best, gain) = self.best();
                if gain > self.gain(*corner) {
                    (*corner, moved) = (best, true);
                }
                self.hold(*corner, true);
            }
            if !moved {
                break;
            }
        }
        let held = self.weight.iter().zip(&self.held).filter(|(_, boxes)| **boxes > 0);
        (boxes, held.map(|(weight, _)| weight).sum())
    }

    /// The cells of a box.
    fn cells(&self, corner: Corner) -> impl Iterator<Item = usize> + use<> {
        let (high, [column, row]) = (self.high(), corner);
        let rows = row..self.ends[1][row];
        (column..self.ends[0][column]).flat_map(move |column| rows.clone().map(move |row| column * high + row))
    }

    fn hold(&mut self, corner: Corner, more: bool) {
        for cell in self.cells(corner) {
            if more { self.held[cell] += 1 } else { self.held[cell] -= 1 }
        }
    }

    /// The weight in a box that no box holds.
    fn gain(&self, corner: Corner) -> f64 {
        self.cells(corner).filter(|cell| self.held[*cell] == 0).map(|cell| self.weight[cell]).sum()
    }

    /// The box with most weight that no box holds, of equals the first, by a table of sums over all cells below and left.
    fn best(&self) -> (Corner, f64) {
        let (wide, high) = (self.wide(), self.high());
        worked(wide * high);
        let mut sums = vec![0.0; (wide + 1) * (high + 1)];
        for column in 0..wide {
            let mut sum = 0.0;
            for row in 0..high {
                let cell = column * high + row;
                sum += if self.held[cell] == 0 { self.weight[cell] } else { 0.0 };
                sums[(column + 1) * (high + 1) + row + 1] = sums[column * (high + 1) + row + 1] + sum;
            }
        }
        let mut best = ([0, 0], 0.0);
        for (column, right) in self.ends[0].iter().enumerate() {
            let (left, right) = (&sums[column * (high + 1)..], &sums[right * (high + 1)..]);
            for (row, top) in self.ends[1].iter().enumerate() {
                let gain = right[*top] - right[row] - left[*top] + left[row];
                if gain > best.1 {
                    best = ([column, row], gain);
                }
            }
        }
        best
    }
}

/// Moves each box in turn, in one girth and then in the other, to where it holds most people whom no other holds: exactly, as
/// along a line. Until nothing is gained.
fn slide(people: &Points, middles: &mut [Place], max: f64) {
    let within = |girth: f64, middle: f64| (girth - middle).abs() <= max + EQUAL;
    for _ in 0..ROUNDS {
        let mut moved = false;
        for (k, girth) in (0..middles.len()).flat_map(|k| [(k, 0), (k, 1)]) {
            let (middle, other) = (middles[k], 1 - girth);
            let free = |at: Place| {
                let holds =
                    |(j, box_at): (usize, &Place)| j != k && within(at[0], box_at[0]) && within(at[1], box_at[1]);
                within(at[other], middle[other]) && !middles.iter().enumerate().any(holds)
            };
            let column = people.column(girth, |row| free(people.at[row]));
            let held = |middle: f64| {
                let pairs = column.at.iter().zip(&column.weight);
                pairs.filter(|(at, _)| within(**at, middle)).map(|(_, weight)| weight).sum::<f64>()
            };
            if let Some(best) = cover(&column, max, 1).first().filter(|best| held(**best) > held(middle[girth])) {
                middles[k][girth] = *best;
                moved = true;
            }
        }
        if !moved {
            break;
        }
    }
}
