//! Conversion of a table of drafts to a record batch: numbers, dart counts, outlines, findings and errors as columns.

use std::sync::Arc;

use arrow_array::{Array, ArrayRef, Float64Array, Int8Array, ListArray, RecordBatch, StringArray, StructArray};
use arrow_buffer::{BooleanBuffer, NullBuffer, OffsetBuffer};
use arrow_schema::{ArrowError, Field};

use super::metadata::{DescribedColumn, batch_of_columns};
use crate::batch::{RowOutlines, Table};
use crate::body::MAX_DARTS_PER_PANEL;
use crate::draft::Half;
use crate::error::Problems;
use crate::field::{FieldKind, Unit};

/// Converts a table of drafts, with lengths in `unit`, to a record batch. A refused row is null in
/// every column except the columns of errors.
pub(super) fn batch_of_drafts(mut table: Table, unit: Unit) -> Result<RecordBatch, ArrowError> {
    let rows = table.rows();
    let numbers_by_column = std::mem::take(&mut table.numbers);
    let mut refused = vec![None; rows];
    table.refused.iter().for_each(|(row, problems)| refused[*row] = Some(problems));
    let drafted_rows = column_null_buffer(rows, |row| refused[row].is_none());
    let (square, mut columns) = (format!("{}2", unit.name()), Vec::<DescribedColumn<String>>::new());
    let mut push =
        |name: &str, text: &str, unit, column: ArrayRef| columns.push((name.to_owned(), text.to_owned(), unit, column));
    let dart_nulls = table.darts.each_ref().map(|counts| -> [_; MAX_DARTS_PER_PANEL] {
        std::array::from_fn(|k| column_null_buffer(rows, |row| usize::from(counts[row]) > k))
    });
    for (column, numbers) in table.columns().iter().zip(numbers_by_column) {
        let nulls = match column.dart {
            None => drafted_rows.clone(),
            Some((panel, k)) => dart_nulls[panel][k].clone(),
        };
        let unit = if column.kind == FieldKind::Area { &square } else { unit.name() };
        push(&column.name, &column.description, unit, Arc::new(Float64Array::new(numbers.into(), nulls)));
    }
    let halves = Half::ALL.map(Half::name);
    for (half, counts) in halves.iter().zip(&table.darts) {
        // Signed, because some query engines lack unsigned types; a count is at most 3.
        let counts = counts.iter().map(|count| count.cast_signed()).collect();
        let column = Arc::new(Int8Array::new(counts, drafted_rows.clone()));
        push(&format!("{half}_darts"), &format!("number of {half} darts"), "", column);
    }
    if let Some(outlines) = &table.outlines {
        for (panel, half) in halves.iter().enumerate() {
            let text = format!("edges of the {half} outline in order: waist from the centre, side, hem, centre line");
            let column = panel_outlines_array(outlines, panel, drafted_rows.clone());
            push(&format!("{half}_outline"), &text, unit.name(), column);
        }
    }
    let found = (0..rows).map(|row| refused[row].is_none().then(|| table.findings_with_panels(row)));
    let codes = text_lists(found.clone().map(|found| Some(found?.map(|(code, _)| code.name()))), drafted_rows.clone());
    let panels = text_lists(found.map(|found| Some(found?.map(|(_, panel)| panel))), drafted_rows);
    push("findings", "codes of the findings, the gravest first", "", codes);
    push("finding_panels", "panel of each finding: back, front, or both", "", panels);
    let refused_rows = column_null_buffer(rows, |row| refused[row].is_some());
    let problems = refused.iter().copied().map(|problems| Some(problems?.iter()));
    let codes = problems.clone().map(|problems| Some(problems?.map(|one| one.code.name())));
    let fields = problems.map(|problems| Some(problems?.map(|one| &*one.field)));
    let (codes, fields) = (text_lists(codes, refused_rows.clone()), text_lists(fields, refused_rows));
    push("error_codes", "error code of each problem of a refused row", "", codes);
    push("error_fields", "path of the input at fault in each problem of a refused row", "", fields);
    let texts: StringArray = refused.iter().map(|problems| problems.map(Problems::to_string)).collect();
    push("error_text", "all problems of a refused row, one per line", "", Arc::new(texts));
    batch_of_columns(columns, true, unit)
}

/// Creates an Arrow array of lists of texts; a row that is null has no list.
fn text_lists<'a, T>(rows: impl Iterator<Item = Option<T>> + Clone, nulls: Option<NullBuffer>) -> ArrayRef
where
    T: Iterator<Item = &'a str>,
{
    let texts = StringArray::from_iter_values(rows.clone().flatten().flatten());
    array_of_lists(rows.map(|texts| texts.map_or(0, Iterator::count)), Arc::new(texts), nulls)
}

/// Creates the null buffer of a column that has values in the rows that are valid; `None` if all rows are.
fn column_null_buffer(rows: usize, is_valid: impl Fn(usize) -> bool) -> Option<NullBuffer> {
    Some(NullBuffer::new(BooleanBuffer::collect_bool(rows, is_valid))).filter(|nulls| nulls.null_count() > 0)
}

/// Creates an Arrow array with the outline of one panel (0 back, 1 front) of every row; null for a refused row.
fn panel_outlines_array(outlines: &[RowOutlines], panel: usize, drafted_rows: Option<NullBuffer>) -> ArrayRef {
    let edges = || outlines.iter().flatten().flat_map(|outlines| &outlines[panel].edges);
    let coordinate = |k: usize| -> ArrayRef {
        Arc::new(Float64Array::from_iter_values(edges().flat_map(|(_, points)| points).map(|point| point[k])))
    };
    let child = |name: &str, values: ArrayRef| (Arc::new(Field::new(name, values.data_type().clone(), true)), values);
    let points = StructArray::from(vec![child("x", coordinate(0)), child("y", coordinate(1))]);
    let points = array_of_lists(edges().map(|(_, points)| points.len()), Arc::new(points), None);
    let roles = StringArray::from_iter_values(edges().map(|(role, _)| role.name()));
    let edges = StructArray::from(vec![child("role", Arc::new(roles)), child("points", points)]);
    let edge_count = |outlines: &RowOutlines| outlines.as_ref().map_or(0, |outlines| outlines[panel].edges.len());
    array_of_lists(outlines.iter().map(edge_count), Arc::new(edges), drafted_rows)
}

/// Creates an Arrow array of lists with the given lengths; `values` are those of all lists, one after another.
fn array_of_lists(lengths: impl Iterator<Item = usize>, values: ArrayRef, nulls: Option<NullBuffer>) -> ArrayRef {
    let item = Arc::new(Field::new("item", values.data_type().clone(), true));
    Arc::new(ListArray::new(item, OffsetBuffer::from_lengths(lengths), values, nulls))
}
