//! The numbers of rows that went side by side, kept as they come until each column is written from its first row to its last.

use super::kind::Kind;
use crate::scalar::{LANES, Lanes};

/// Groups of as many rows as there are lanes. To write their numbers to the columns at once would take longer, as the rows of
/// a group stand apart.
#[derive(Debug, Default)]
pub(super) struct Groups {
    /// Of each group in turn, of each column in turn, the numbers of its rows.
    numbers: Vec<f64>,
    /// Where the first number of each row is.
    places: Vec<usize>,
}

impl Groups {
    /// None yet, of so many rows with so many columns.
    pub(super) fn clear(&mut self, rows: usize, columns: usize) {
        self.numbers.clear();
        // Of each kind, one group may not be full.
        self.numbers.reserve((rows + Kind::ALL * LANES) * columns);
        self.places.clear();
        self.places.resize(rows, 0);
    }

    /// Begins the group of these rows: the numbers of one column after the other follow.
    #[inline(always)]
    pub(super) fn begin(&mut self, rows: &[usize; LANES]) {
        for (k, row) in rows.iter().enumerate() {
            self.places[*row] = self.numbers.len() + k;
        }
    }

    /// Adds the numbers of the next column.
    #[inline(always)]
    pub(super) fn add(&mut self, column: &Lanes) {
        self.numbers.extend_from_slice(&column.0);
    }

    /// Writes the columns: any numbers for rows that are in no group.
    pub(super) fn write(&self, columns: &mut [&mut [f64]]) {
        if self.numbers.is_empty() {
            return;
        }
        let mut numbers = &self.numbers[..];
        // Four at once, as to look up where the numbers of a row are takes time.
        let (fours, others) = columns.as_chunks_mut::<4>();
        for four in fours {
            let [a, b, c, d] = four.each_mut().map(|column| column.iter_mut());
            for ((((a, b), c), d), first) in a.zip(b).zip(c).zip(d).zip(&self.places) {
                let numbers = &numbers[*first..][..=3 * LANES];
                (*a, *b, *c, *d) = (numbers[0], numbers[LANES], numbers[2 * LANES], numbers[3 * LANES]);
            }
            numbers = &numbers[4 * LANES..];
        }
        for column in others {
            for (number, first) in column.iter_mut().zip(&self.places) {
                *number = numbers[*first];
            }
            numbers = &numbers[LANES..];
        }
    }
}
