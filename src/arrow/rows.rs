//! Conversion of a table of drafts to a record batch: numbers, dart counts, outlines, findings and errors as columns.

use std::collections::HashMap;
use std::sync::Arc;

use arrow_array::builder::{ListBuilder, StringBuilder};
use arrow_array::{ArrayRef, Float64Array, Int8Array, ListArray, RecordBatch, StringArray, StructArray};
use arrow_buffer::{BooleanBuffer, NullBuffer, OffsetBuffer, ScalarBuffer};
use arrow_schema::{ArrowError, DataType, Field, Fields, Schema, SchemaRef};

use super::metadata::{field_with_description_and_unit, schema_with_length_unit};
use crate::batch::{RowOutlines, Table, TableColumn, numeric_table_columns};
use crate::draft::Half;
use crate::field::Unit;

/// Names and descriptions of the last columns of a batch of drafts, which say why a row was refused.
const ERROR_COLUMNS_WITH_DESCRIPTIONS: [(&str, &str); 3] = [
    ("error_code", "code of the first problem of a refused row"),
    ("error_field", "field of the first problem of a refused row"),
    ("error_text", "all problems of a refused row, one per line"),
];

fn outline_point_fields() -> Fields {
    Fields::from(vec![Field::new("x", DataType::Float64, true), Field::new("y", DataType::Float64, true)])
}

fn outline_edge_fields() -> Fields {
    let point = Field::new("item", DataType::Struct(outline_point_fields()), true);
    Fields::from(vec![
        Field::new("role", DataType::Utf8, true),
        Field::new("points", DataType::List(Arc::new(point)), true),
    ])
}

/// Creates the Arrow schema of a batch of drafts; `max_darts` are the maximum numbers of darts in back and front.
pub(super) fn drafts_schema(max_darts: [usize; 2], unit: Unit, outlines: bool) -> Schema {
    let list = |item: DataType| DataType::List(Arc::new(Field::new("item", item, true)));
    let field = |name: &str, data_type, description: &str, unit: &str| {
        field_with_description_and_unit(Field::new(name, data_type, true), description, unit)
    };
    let square = format!("{}2", unit.name());
    let number = |column: TableColumn| {
        let unit = if column.is_area { &square } else { unit.name() };
        field(&column.name, DataType::Float64, &column.description, unit)
    };
    let mut fields: Vec<Field> = numeric_table_columns(max_darts).into_iter().map(number).collect();
    for half in Half::BACK_AND_FRONT.map(Half::name) {
        fields.push(field(&format!("{half}_darts"), DataType::Int8, &format!("number of {half} darts"), ""));
    }
    for half in Half::BACK_AND_FRONT.iter().filter(|_| outlines).map(|half| half.name()) {
        let text = format!("edges of the {half} outline in order: waist from the centre, side, hem, centre line");
        fields.push(field(
            &format!("{half}_outline"),
            list(DataType::Struct(outline_edge_fields())),
            &text,
            unit.name(),
        ));
    }
    fields.push(field("findings", list(DataType::Utf8), "codes of the findings, the gravest first", ""));
    fields.extend(ERROR_COLUMNS_WITH_DESCRIPTIONS.map(|(name, text)| field(name, DataType::Utf8, text, "")));
    schema_with_length_unit(fields, unit)
}

/// Converts a table of drafts to a record batch; a refused row is null in every column but the columns of errors.
pub(super) fn drafts_record_batch(mut table: Table, schema: &SchemaRef) -> Result<RecordBatch, ArrowError> {
    let rows = table.rows();
    let mut is_refused = vec![false; rows];
    table.refused.iter().for_each(|(row, _)| is_refused[*row] = true);
    let drafted_rows = column_null_buffer(rows, table.refused.is_empty(), |row| !is_refused[row]);
    let mut columns: Vec<ArrayRef> = Vec::with_capacity(schema.fields().len());
    let (number_columns, darts) = (table.columns().to_vec(), std::mem::take(&mut table.darts));
    let mut dart_nulls: HashMap<(usize, usize), Option<NullBuffer>> = HashMap::new();
    let (findings, errors, outlines) =
        (finding_codes_array(&table, &is_refused), error_arrays(&table), table.outlines.take());
    for (column, numbers) in number_columns.iter().zip(table.into_numbers_by_column()) {
        let nulls = match column.dart {
            None => drafted_rows.clone(),
            Some((panel, k)) => {
                let has_dart = |row: usize| usize::from(darts[panel][row]) > k;
                let nulls = || column_null_buffer(rows, (0..rows).all(has_dart), has_dart);
                dart_nulls.entry((panel, k)).or_insert_with(nulls).clone()
            }
        };
        columns.push(Arc::new(Float64Array::new(numbers.into(), nulls)));
    }
    columns.extend(
        darts.map(|counts| Arc::new(Int8Array::new(signed_dart_counts(counts), drafted_rows.clone())) as ArrayRef),
    );
    if let Some(outlines) = outlines {
        columns.extend([0, 1].map(|panel| panel_outlines_array(&outlines, panel, drafted_rows.clone())));
    }
    columns.push(findings);
    columns.extend(errors);
    RecordBatch::try_new(schema.clone(), columns)
}

/// Creates the null buffer of a column that has values in the rows for which `is_valid` returns true; `None` if `all_valid`.
fn column_null_buffer(rows: usize, all_valid: bool, is_valid: impl Fn(usize) -> bool) -> Option<NullBuffer> {
    (!all_valid).then(|| NullBuffer::new(BooleanBuffer::collect_bool(rows, is_valid)))
}

/// Converts numbers of darts, at most 3, to signed integers, because some query engines lack unsigned types.
fn signed_dart_counts(counts: Vec<u8>) -> ScalarBuffer<i8> {
    counts.into_iter().map(u8::cast_signed).collect::<Vec<_>>().into()
}

/// Creates an Arrow array with a list of finding codes for every row; null for a refused row.
fn finding_codes_array(table: &Table, is_refused: &[bool]) -> ArrayRef {
    let mut lists = ListBuilder::new(StringBuilder::new());
    for (row, is_refused) in is_refused.iter().enumerate() {
        table.findings(row).for_each(|code| lists.values().append_value(code.name()));
        lists.append(!is_refused);
    }
    Arc::new(lists.finish())
}

/// Creates three Arrow arrays: error code, error field and error text of every row; null for a drafted row.
fn error_arrays(table: &Table) -> [ArrayRef; 3] {
    let mut builders = [StringBuilder::new(), StringBuilder::new(), StringBuilder::new()];
    let mut next = 0;
    for (row, problems) in &table.refused {
        let texts = [problems[0].code.name(), problems[0].field.as_str(), &problems.to_string()];
        for (builder, text) in builders.iter_mut().zip(texts) {
            builder.append_nulls(row - next);
            builder.append_value(text);
        }
        next = row + 1;
    }
    builders.map(|mut builder| {
        builder.append_nulls(table.rows() - next);
        Arc::new(builder.finish()) as ArrayRef
    })
}

/// Creates an Arrow array with the outline of one panel (0 back, 1 front) of every row; null for a refused row.
fn panel_outlines_array(outlines: &[RowOutlines], panel: usize, drafted_rows: Option<NullBuffer>) -> ArrayRef {
    let edges = || outlines.iter().flatten().flat_map(|outlines| &outlines[panel].edges);
    let coordinate = |k: usize| -> ArrayRef {
        Arc::new(Float64Array::from_iter_values(edges().flat_map(|(_, points)| points).map(|point| point[k])))
    };
    let points = StructArray::new(outline_point_fields(), vec![coordinate(0), coordinate(1)], None);
    let roles = StringArray::from_iter_values(edges().map(|(role, _)| role.name()));
    let points = array_of_lists(edges().map(|(_, points)| points.len()), Arc::new(points), None);
    let edges = StructArray::new(outline_edge_fields(), vec![Arc::new(roles), points], None);
    let edge_count = |outlines: &RowOutlines| outlines.as_ref().map_or(0, |outlines| outlines[panel].edges.len());
    array_of_lists(outlines.iter().map(edge_count), Arc::new(edges), drafted_rows)
}

/// Creates an Arrow array of lists with the given lengths; `values` are the values of all lists, one list after another.
fn array_of_lists(lengths: impl Iterator<Item = usize>, values: ArrayRef, nulls: Option<NullBuffer>) -> ArrayRef {
    let item = Arc::new(Field::new("item", values.data_type().clone(), true));
    Arc::new(ListArray::new(item, OffsetBuffer::from_lengths(lengths), values, nulls))
}
