//! Rows of one kind put together, and the numbers that are told of them, kept until each column is written from its first row to
//! its last.

use crate::scalar::LANES;

/// Groups of as many rows as there are lanes. To write their numbers to the columns at once would take longer, as the rows of
/// a group stand apart.
#[derive(Debug, Default)]
pub(super) struct Groups {
    /// The kind of each, and its rows; in one that is not full, the first stands in for those that are missing.
    rows: Vec<(u8, [usize; LANES])>,
    /// Of each group in turn, of each column in turn, the numbers of its rows.
    numbers: Vec<f64>,
    /// Where the first number of each row is.
    places: Vec<usize>,
}

impl Groups {
    /// Puts rows of these kinds together, for so many columns of numbers.
    pub(super) fn sort(&mut self, kinds: &[u8], columns: usize) {
        let Self { rows: groups, numbers, places } = self;
        groups.clear();
        places.clear();
        // Of each kind, the place of the next row among those of all groups; at a multiple of the lanes it begins a group.
        let mut next = [0; 1 << u8::BITS];
        places.extend(kinds.iter().enumerate().map(|(row, kind)| {
            let place: &mut usize = &mut next[usize::from(*kind)];
            if place.is_multiple_of(LANES) {
                *place = groups.len() * LANES;
                groups.push((*kind, [row; LANES]));
            }
            let (group, lane) = (*place / LANES, *place % LANES);
            groups[group].1[lane] = row;
            *place += 1;
            group * columns * LANES + lane
        }));
        // Those of another part, which may be there, are written over.
        numbers.resize(groups.len() * columns * LANES, 0.0);
    }

    /// The kind and the rows of each group, and the room for the numbers of one column after the other.
    pub(super) fn each(&mut self, columns: usize) -> impl Iterator<Item = (u8, [usize; LANES], &mut [[f64; LANES]])> {
        let (numbers, _) = self.numbers.as_chunks_mut();
        let groups = self.rows.iter().zip(numbers.chunks_mut(columns));
        groups.map(|((kind, rows), numbers)| (*kind, *rows, numbers))
    }

    /// Writes the columns: any numbers for rows that nothing was told of.
    pub(super) fn write(&self, columns: &mut [&mut [f64]]) {
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
