//! Groups of rows of one kind, drafted in lanes, and a buffer of their numbers until the table's columns are written.

use crate::draft::DraftKind;
use crate::scalar::LANE_COUNT;

/// Groups of [`LANE_COUNT`] rows of one kind, to be drafted in lanes, with a buffer for the numbers of every row.
///
/// The rows of a group lie far apart in the table. The buffer lets each column be written in row order.
#[derive(Debug, Default)]
pub(super) struct RowGroupsForLanes {
    /// Kind code (the flags of the rows' kind as bits) and row indices of each group; unused lanes of an incomplete
    /// group repeat the group's first row.
    groups: Vec<(u32, [usize; LANE_COUNT])>,
    /// Buffer of the numbers of all rows, ordered by group, then by table column, then by lane.
    numbers: Vec<f64>,
    /// For each row, the index in `numbers` of the row's number in the first column; the number in the next column
    /// comes `LANE_COUNT` later.
    offsets: Vec<usize>,
}

impl RowGroupsForLanes {
    /// Replaces the groups by groups of the rows whose kind codes are `kinds`, and resizes the buffer to `columns`
    /// numbers per row.
    pub(super) fn group_rows_by_kind(&mut self, kinds: &[u32], columns: usize) {
        let Self { groups, numbers, offsets } = self;
        groups.clear();
        offsets.clear();
        // Per kind: group index × LANE_COUNT + lane of the next row. A multiple of LANE_COUNT starts a new group.
        #[allow(clippy::large_stack_arrays, reason = "64 KiB on the stack save an allocation for each block")]
        let mut next = [0; 1 << (DraftKind::FLAG_COUNT + 1)];
        offsets.extend(kinds.iter().enumerate().map(|(row, kind)| {
            let slot: &mut usize = &mut next[*kind as usize];
            if slot.is_multiple_of(LANE_COUNT) {
                *slot = groups.len() * LANE_COUNT;
                groups.push((*kind, [row; LANE_COUNT]));
            }
            let (group, lane) = (*slot / LANE_COUNT, *slot % LANE_COUNT);
            groups[group].1[lane] = row;
            *slot += 1;
            group * columns * LANE_COUNT + lane
        }));
        // Numbers of an earlier block may remain in the buffer; every number that is read is overwritten first.
        numbers.resize(groups.len() * columns * LANE_COUNT, 0.0);
    }

    /// Iterates over the groups: kind code, row indices, and a buffer with one array of lanes for each table column.
    pub(super) fn iter_mut(
        &mut self,
        columns: usize,
    ) -> impl Iterator<Item = (u32, [usize; LANE_COUNT], &mut [[f64; LANE_COUNT]])> {
        let (numbers, _) = self.numbers.as_chunks_mut();
        let groups = self.groups.iter().zip(numbers.chunks_mut(columns));
        groups.map(|((kind, rows), numbers)| (*kind, *rows, numbers))
    }

    /// Copies the buffered numbers to the table's columns; a row that was not drafted in lanes gets arbitrary numbers.
    pub(super) fn copy_numbers_to_table_columns(&self, columns: &mut [&mut [f64]]) {
        let mut numbers = &self.numbers[..];
        // Four columns at a time: one by one, a row takes 9 ns longer.
        let (quadruples, remainder) = columns.as_chunks_mut::<4>();
        for quadruple in quadruples {
            let [a, b, c, d] = quadruple.each_mut().map(|column| column.iter_mut());
            for ((((a, b), c), d), offset) in a.zip(b).zip(c).zip(d).zip(&self.offsets) {
                let numbers = &numbers[*offset..][..=3 * LANE_COUNT];
                (*a, *b, *c, *d) = (numbers[0], numbers[LANE_COUNT], numbers[2 * LANE_COUNT], numbers[3 * LANE_COUNT]);
            }
            numbers = &numbers[4 * LANE_COUNT..];
        }
        for column in remainder {
            for (number, offset) in column.iter_mut().zip(&self.offsets) {
                *number = numbers[*offset];
            }
            numbers = &numbers[LANE_COUNT..];
        }
    }
}
