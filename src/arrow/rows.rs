//! The columns that come out.

use std::collections::HashMap;
use std::sync::Arc;

use arrow_array::builder::{Float64Builder, ListBuilder, StringBuilder, StructBuilder};
use arrow_array::{ArrayRef, Float64Array, Int8Array, RecordBatch};
use arrow_buffer::{BooleanBuffer, NullBuffer, ScalarBuffer};
use arrow_schema::{ArrowError, DataType, Field, Fields, Schema, SchemaRef};

use super::described::{described, schema};
use crate::batch::{RowOutlines, Table, TableColumn, table_columns};
use crate::draft::Half;
use crate::error::Problem;
use crate::field::Unit;

/// The columns of texts at the end, and what they hold.
const TEXTS: [(&str, &str); 3] = [
    ("error_code", "the code of the first problem of a row that was refused"),
    ("error_field", "the field of that problem"),
    ("error_text", "all problems of the row, a line each"),
];

fn point_fields() -> Fields {
    Fields::from(vec![Field::new("x", DataType::Float64, true), Field::new("y", DataType::Float64, true)])
}

fn edge_fields() -> Fields {
    let point = Field::new("item", DataType::Struct(point_fields()), true);
    Fields::from(vec![
        Field::new("role", DataType::Utf8, true),
        Field::new("points", DataType::List(Arc::new(point)), true),
    ])
}

/// The schema of the drafts, where back and front have at the most so many darts.
pub(super) fn schema_of(max_darts: [usize; 2], unit: Unit, outlines: bool) -> Schema {
    let list = |item: DataType| DataType::List(Arc::new(Field::new("item", item, true)));
    let number = |column: TableColumn| {
        let square = format!("{}2", unit.name());
        let unit = if column.is_area { square.as_str() } else { unit.name() };
        described(Field::new(column.name, DataType::Float64, true), &column.what, unit)
    };
    let mut fields: Vec<Field> = table_columns(max_darts).into_iter().map(number).collect();
    for half in Half::BOTH.map(Half::name) {
        fields.push(described(Field::new(format!("{half}_darts"), DataType::Int8, true), "how many darts it has", ""));
    }
    if outlines {
        for half in Half::BOTH.map(Half::name) {
            let field = Field::new(format!("{half}_outline"), list(DataType::Struct(edge_fields())), true);
            fields.push(described(
                field,
                "edges from the centre of the waist round by the side and the hem",
                unit.name(),
            ));
        }
    }
    fields.push(described(
        Field::new("findings", list(DataType::Utf8), true),
        "codes of the cautions, the gravest first",
        "",
    ));
    fields.extend(TEXTS.map(|(name, what)| described(Field::new(name, DataType::Utf8, true), what, "")));
    schema(fields, unit)
}

/// The rows of a table as a record batch.
pub(super) fn batch_of(mut table: Table, schema: &SchemaRef) -> Result<RecordBatch, ArrowError> {
    let rows = table.rows();
    let mut refused = vec![false; rows];
    table.refused.iter().for_each(|(row, _)| refused[*row] = true);
    let drafted = nulls(rows, table.refused.is_empty(), |row| !refused[row]);
    let mut columns: Vec<ArrayRef> = Vec::with_capacity(schema.fields().len());
    let (described, darts) = (table.columns().to_vec(), std::mem::take(&mut table.darts));
    let mut dart_nulls: HashMap<(usize, usize), Option<NullBuffer>> = HashMap::new();
    let (findings, texts, outlines) = (findings(&table), texts(&table), table.outlines.take());
    for (column, numbers) in described.iter().zip(table.into_numbers()) {
        let nulls = match column.dart {
            None => drafted.clone(),
            Some((panel, k)) => {
                let there = |row: usize| usize::from(darts[panel][row]) > k;
                dart_nulls.entry((panel, k)).or_insert_with(|| nulls(rows, (0..rows).all(there), there)).clone()
            }
        };
        columns.push(Arc::new(Float64Array::new(numbers.into(), nulls)));
    }
    columns.extend(darts.map(|counts| Arc::new(Int8Array::new(signed(counts), drafted.clone())) as ArrayRef));
    if let Some(outlines) = outlines {
        columns.extend([0, 1].map(|panel| outlines_of(&outlines, panel)));
    }
    columns.push(findings);
    columns.extend(texts);
    RecordBatch::try_new(schema.clone(), columns)
}

/// Which rows have a value; nothing where all do.
fn nulls(rows: usize, all: bool, there: impl Fn(usize) -> bool) -> Option<NullBuffer> {
    (!all).then(|| NullBuffer::new(BooleanBuffer::collect_bool(rows, there)))
}

/// Numbers of darts, which are at most three, as whole numbers that every engine knows: some know no unsigned ones.
fn signed(counts: Vec<u8>) -> ScalarBuffer<i8> {
    counts.into_iter().map(u8::cast_signed).collect::<Vec<_>>().into()
}

fn findings(table: &Table) -> ArrayRef {
    let mut lists = ListBuilder::new(StringBuilder::new());
    let mut refused = table.refused.iter().map(|(row, _)| *row).peekable();
    for row in 0..table.rows() {
        let is_refused = refused.next_if_eq(&row).is_some();
        table.findings(row).for_each(|code| lists.values().append_value(code.name()));
        lists.append(!is_refused);
    }
    Arc::new(lists.finish())
}

/// Code, field and text of what was refused.
fn texts(table: &Table) -> [ArrayRef; 3] {
    let mut builders = [StringBuilder::new(), StringBuilder::new(), StringBuilder::new()];
    let mut next = 0;
    for (row, problems) in &table.refused {
        let first: &Problem = &problems[0];
        let texts = [first.code.name(), first.field.as_str(), &problems.to_string()];
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

fn outlines_of(outlines: &[RowOutlines], panel: usize) -> ArrayRef {
    let numbers = || Box::new(Float64Builder::new()) as Box<dyn arrow_array::builder::ArrayBuilder>;
    let points = ListBuilder::new(StructBuilder::new(point_fields(), vec![numbers(), numbers()]));
    let edges = StructBuilder::new(edge_fields(), vec![Box::new(StringBuilder::new()), Box::new(points)]);
    let mut lists = ListBuilder::new(edges);
    for known in outlines {
        for (role, points) in known.iter().flat_map(|outlines| &outlines[panel].edges) {
            append_edge(lists.values(), role.name(), points);
        }
        lists.append(known.is_some());
    }
    Arc::new(lists.finish())
}

fn append_edge(edges: &mut StructBuilder, role: &str, points: &[[f64; 2]]) {
    if let Some(roles) = edges.field_builder::<StringBuilder>(0) {
        roles.append_value(role);
    }
    if let Some(lists) = edges.field_builder::<ListBuilder<StructBuilder>>(1) {
        for point in points {
            for (k, number) in point.iter().enumerate() {
                if let Some(numbers) = lists.values().field_builder::<Float64Builder>(k) {
                    numbers.append_value(*number);
                }
            }
            lists.values().append(true);
        }
        lists.append(true);
    }
    edges.append(true);
}
