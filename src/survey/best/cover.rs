//! The intervals that hold most of ascending values, exactly.
//!
//! An interval may be moved up until its lower end is a value, and loses nothing. Let `F(k, i)` be the most weight that
//! `k` intervals hold of the values from place `i` on: the larger of `F(k, i + 1)`, where the value at `i` is held by none,
//! and of the weight of the interval that starts there with `F(k − 1, end)`. That is `O(sizes × n)`.

use super::column::Column;
use crate::survey::fit::EQUAL;
use crate::survey::interrupt::worked;

/// For each place the end of the interval that starts there.
pub(super) fn ends(at: &[f64], max: f64) -> Vec<usize> {
    let mut end = 0;
    let mut reach = |start: &f64| {
        while end < at.len() && at[end] - start <= 2.0 * max + EQUAL {
            end += 1;
        }
        end
    };
    at.iter().map(&mut reach).collect()
}

/// The middles of at most so many intervals that reach `most` to both sides.
pub(super) fn cover(column: &Column, max: f64, sizes: usize) -> Vec<f64> {
    let count = column.len();
    let ends = ends(&column.at, max);
    let mut held_before = vec![0.0; count + 1];
    let mut sum = 0.0;
    let before: Vec<f64> = std::iter::once(0.0)
        .chain(column.weight.iter().map(|w| {
            sum += w;
            sum
        }))
        .collect();
    let mut layers: Vec<Vec<bool>> = Vec::new();
    for _ in 0..sizes {
        worked(count);
        let mut held = vec![0.0; count + 1];
        let mut taken = vec![false; count];
        for place in (0..count).rev() {
            let with = before[ends[place]] - before[place] + held_before[ends[place]];
            taken[place] = with > held[place + 1];
            held[place] = held[place + 1].max(with);
        }
        layers.push(taken);
        held_before = held;
    }
    let mut place = 0;
    let mut middles = Vec::new();
    for taken in layers.iter().rev() {
        while place < count && !taken[place] {
            place += 1;
        }
        if place == count {
            break;
        }
        middles.push(f64::midpoint(column.at[place], column.at[ends[place] - 1]));
        place = ends[place];
    }
    middles
}
