//! Columns of an input table, found by name: read as `f64` values from any Arrow type of numbers, read as labels that
//! group rows, or kept in the result.

use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use arrow_array::cast::AsArray;
use arrow_array::types::{
    Decimal32Type, Decimal64Type, Decimal128Type, Decimal256Type, DecimalType, Float16Type, Float32Type, Float64Type,
};
use arrow_array::{Array, RecordBatch, RecordBatchReader, downcast_integer_array};
use arrow_schema::{ArrowError, DataType, Field, FieldRef, Schema, SchemaRef};

use crate::batch::Column;
use crate::error::{Code, Problem, Problems, escape_and_truncate_for_message, quote_unusual_field_name};
use crate::field::Unit;
use crate::ruler::Ruler;
use crate::sensitivity::nearest_names;

/// Source of the values of an input in a table: a column, given by name or, once found, by index; or a constant.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
#[serde(untagged)]
pub enum ColumnOrConstant<C = String> {
    /// Column with this name (`C` = `String`) or this index (`C` = `usize`).
    Column(C),
    /// One value shared by all rows.
    Constant(f64),
}

/// Iterator over the record batches of a source, up to and including the first error; a batch whose columns differ from
/// the source's schema is an error.
pub(super) struct SchemaCheckedBatches(pub(super) Option<Box<dyn RecordBatchReader + Send>>);

impl Iterator for SchemaCheckedBatches {
    type Item = Result<RecordBatch, ArrowError>;

    fn next(&mut self) -> Option<Self::Item> {
        let source = self.0.as_mut()?;
        let (next, schema) = (source.next(), source.schema());
        let differs = |batch: &RecordBatch| {
            let (columns, expected) = (batch.schema_ref().fields(), schema.fields());
            let is_equal = |(column, expected): (&FieldRef, &FieldRef)| {
                column.name() == expected.name() && column.data_type().equals_datatype(expected.data_type())
            };
            columns.len() != expected.len() || !columns.iter().zip(expected).all(is_equal)
        };
        let error =
            || ArrowError::SchemaError("the columns of a batch differ from the schema of the stream".to_owned());
        let next = next.map(|batch| batch.and_then(|batch| if differs(&batch) { Err(error()) } else { Ok(batch) }));
        if !matches!(next, Some(Ok(_))) {
            self.0 = None;
        }
        next
    }
}

/// Returns whether a column of an Arrow type can be read as numbers: integers, floating-point numbers, decimals or only
/// nulls.
pub(super) fn is_numeric_type(data_type: &DataType) -> bool {
    data_type.is_numeric() || *data_type == DataType::Null
}

/// Describes a column of a wrong type, for the value of a problem.
pub(super) fn describe_column(field: &Field) -> String {
    format!("column {:?} of type {}", field.name(), field.data_type())
}

/// Finds the index of the only column with a name; in a problem, `wanted` describes the types that `is_allowed`
/// accepts.
pub(super) fn find_column_index(
    schema: &Schema,
    path: &str,
    name: &str,
    is_allowed: fn(&DataType) -> bool,
    wanted: &str,
) -> Result<usize, Problems> {
    let named: Vec<_> = schema.fields().iter().enumerate().filter(|(_, field)| field.name() == name).collect();
    let problem = match named[..] {
        [(index, field)] if is_allowed(field.data_type()) => return Ok(index),
        [(_, field)] => Problem::new(Code::WrongType, path).with_value(describe_column(field)).with_limit(wanted),
        _ => {
            let columns: Vec<_> = schema.fields().iter().map(|field| quote_unusual_field_name(field.name())).collect();
            let nearest = nearest_names(name, &columns).filter(|_| named.is_empty());
            let hint = nearest.unwrap_or_else(|| format!("the columns are {}", columns.join(", ")));
            let limit = format!("the name of exactly one column; {hint}");
            Problem::new(Code::UnknownChoice, path).with_value(format!("{name:?}")).with_limit(limit)
        }
    };
    Err(problem.into())
}

/// Reads the values of an input from consecutive batches, in order; copies them to `buffer`, which is empty, unless
/// there is only one batch, which holds them as `f64` without nulls.
pub(super) fn read_column_from_batches<'a>(
    source: ColumnOrConstant<usize>,
    batches: &'a [RecordBatch],
    buffer: &'a mut Vec<Option<f64>>,
) -> Column<'a> {
    let column = match source {
        ColumnOrConstant::Constant(value) => return Column::Constant(value),
        ColumnOrConstant::Column(column) => column,
    };
    if let [batch] = batches
        && let Some(numbers) = batch.column(column).as_primitive_opt::<Float64Type>()
        && numbers.null_count() == 0
    {
        return Column::Values(numbers.values());
    }
    buffer.reserve(batches.iter().map(RecordBatch::num_rows).sum());
    for batch in batches {
        visit_array_numbers(batch.column(column), &mut |number| buffer.push(number));
    }
    Column::Nullable(buffer)
}

/// Calls `visit` with every value of a numeric Arrow array as `f64` (above 2^53 rounded), or `None` for a null.
#[allow(clippy::cast_lossless, reason = "one expression converts integers of every type")]
pub(super) fn visit_array_numbers(array: &dyn Array, visit: &mut impl FnMut(Option<f64>)) {
    downcast_integer_array! {
        array => { array.iter().for_each(|number| visit(number.map(|number| number as f64))) }
        DataType::Float16 => array.as_primitive::<Float16Type>().iter().for_each(|number| visit(number.map(f64::from))),
        DataType::Float32 => array.as_primitive::<Float32Type>().iter().for_each(|number| visit(number.map(f64::from))),
        DataType::Float64 => array.as_primitive::<Float64Type>().iter().for_each(visit),
        DataType::Decimal32(..) => visit_decimals::<Decimal32Type>(array, visit),
        DataType::Decimal64(..) => visit_decimals::<Decimal64Type>(array, visit),
        DataType::Decimal128(..) => visit_decimals::<Decimal128Type>(array, visit),
        DataType::Decimal256(..) => visit_decimals::<Decimal256Type>(array, visit),
        _ => (0..array.len()).for_each(|_| visit(None)),
    }
}

/// Calls `visit` with every value of an array of decimals as the nearest `f64`, or `None` for a null.
fn visit_decimals<T: DecimalType>(array: &dyn Array, visit: &mut impl FnMut(Option<f64>)) {
    let decimals = array.as_primitive::<T>();
    let number = |row| if decimals.is_valid(row) { decimals.value_as_string(row).parse().ok() } else { None };
    (0..decimals.len()).for_each(|row| visit(number(row)));
}

/// Columns of an input table that stand first in the result, unchanged; by default none.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum KeptColumns {
    /// The columns with these names, in this order.
    Named(Vec<String>),
    /// All columns.
    All,
}

impl Default for KeptColumns {
    fn default() -> Self {
        Self::Named(Vec::new())
    }
}

impl KeptColumns {
    /// Finds the indices of the kept columns in a table with the schema `schema`; `result` has the names of the other
    /// columns of the result.
    ///
    /// # Errors
    /// All the [`Problems`]: each name that is not the name of exactly one column, or of a second column of the result.
    pub(super) fn find_column_indices<'a>(
        &'a self,
        schema: &'a Schema,
        result: impl IntoIterator<Item = &'a str>,
    ) -> Result<Vec<usize>, Problems> {
        let names: Vec<&str> = match self {
            Self::Named(names) => names.iter().map(String::as_str).collect(),
            Self::All => schema.fields().iter().map(|field| field.name().as_str()).collect(),
        };
        let mut names_of_result: HashSet<&str> = result.into_iter().collect();
        let find = |(k, name)| {
            let path = format!("keep[{k}]");
            let second = || Problem::new(Code::DuplicateName, path.clone()).with_value(format!("{name:?}"));
            let found = find_column_index(schema, &path, name, |_| true, "a column");
            if names_of_result.insert(name) { found } else { Err(second().with_limit("column").into()) }
        };
        Problems::all_values(Vec::new(), names.into_iter().enumerate().map(find))
    }
}

/// Returns the schema of a result behind the kept columns, which have the indices `kept` in the schema `input`.
pub(super) fn schema_with_kept_fields(input: &Schema, kept: &[usize], result: &Schema) -> SchemaRef {
    let fields: Vec<_> = kept.iter().map(|k| &input.fields()[*k]).chain(result.fields()).cloned().collect();
    Arc::new(Schema::new(fields).with_metadata(result.metadata().clone()))
}

/// Puts the columns of input batches with the indices `kept` before the columns of their result, which has the same
/// rows. `schema` is that of both. Each input batch with rows gives one batch; without kept columns, the result is one
/// batch.
///
/// # Errors
/// [`ArrowError`] for a kept column that differs from its field in `schema`.
pub(super) fn batches_with_kept_columns(
    input: &[RecordBatch],
    kept: &[usize],
    result: &RecordBatch,
    schema: &SchemaRef,
) -> Result<Vec<RecordBatch>, ArrowError> {
    if kept.is_empty() {
        return Ok(vec![result.clone().with_schema(schema.clone())?]);
    }
    let mut start = 0;
    let join = |input: &RecordBatch| {
        let rows = result.slice(start, input.num_rows());
        start += input.num_rows();
        let columns = kept.iter().map(|k| input.column(*k)).chain(rows.columns()).cloned().collect();
        RecordBatch::try_new(schema.clone(), columns)
    };
    input.iter().filter(|input| input.num_rows() > 0).map(join).collect()
}

/// Groups of rows by label: the labels in order, a missing label last, and for each row the index of its label.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Groups {
    /// Labels: ordered categories in their order; or else first numbers in ascending order, then other texts in
    /// ascending order. Last `None` for rows without a label.
    pub labels: Vec<Option<String>>,
    /// For each row, the index of its label in `labels`.
    pub by_row: Vec<usize>,
}

/// Returns whether a column of an Arrow type can be read as labels: texts, numbers, booleans or categories.
pub(super) fn is_label_type(data_type: &DataType) -> bool {
    match data_type {
        DataType::Utf8 | DataType::LargeUtf8 | DataType::Utf8View | DataType::Boolean => true,
        DataType::Dictionary(_, values) => is_label_type(values),
        other => is_numeric_type(other),
    }
}

/// Returns the label of each row of a column; `None` for a null.
fn read_labels(array: &dyn Array) -> Vec<Option<String>> {
    match array.data_type() {
        DataType::Utf8 => array.as_string::<i32>().iter().map(|text| text.map(str::to_owned)).collect(),
        DataType::LargeUtf8 => array.as_string::<i64>().iter().map(|text| text.map(str::to_owned)).collect(),
        DataType::Utf8View => array.as_string_view().iter().map(|text| text.map(str::to_owned)).collect(),
        DataType::Boolean => array.as_boolean().iter().map(|value| value.map(|value| value.to_string())).collect(),
        DataType::Dictionary(..) => {
            let dictionary = array.as_any_dictionary();
            let values = read_labels(dictionary.values());
            let keys = if values.is_empty() { Vec::new() } else { dictionary.normalized_keys() };
            let label = |row: usize| if array.is_null(row) { None } else { values[keys[row]].clone() };
            (0..array.len()).map(label).collect()
        }
        _ => {
            let mut labels = Vec::with_capacity(array.len());
            visit_array_numbers(array, &mut |number| labels.push(number.map(|number| number.to_string())));
            labels
        }
    }
}

/// Adds to the problem of each column of texts in place of numbers how to convert the column, and its first text that is
/// not a number in the next batch of `source`.
pub(super) fn name_first_wrong_texts(problems: Problems, source: &mut impl RecordBatchReader, unit: Unit) -> Problems {
    let Some(Ok(batch)) = source.next() else { return problems };
    problems.map(|problem| {
        let is_at_fault = |field: &&FieldRef| problem.value == Some(describe_column(field).into());
        let column = batch.schema_ref().fields().iter().find(is_at_fault).filter(|field| field.data_type().is_string());
        let Some(column) = column else { return problem };
        let is_wrong = |text: &String| text.trim().parse::<f64>().is_err();
        let text = read_labels(&batch[column.name().as_str()]).into_iter().flatten().find(is_wrong);
        let is_length = text.as_ref().is_some_and(|text| Ruler::Cm.parse_length(text).is_ok());
        let by = format!("each text by kirtle.parse_length(text, {:?})", unit.name());
        let by = if is_length { by } else { "it by pandas.to_numeric or .cast(polars.Float64)".to_owned() };
        let quoted = text.map(|text| escape_and_truncate_for_message(&text));
        let text = quoted.map_or(String::new(), |text| format!(" (the first text that is not a number is \"{text}\")"));
        problem.with_limit(format!("a column of numbers{text}: convert {by}"))
    })
}

/// Reader of labels, which numbers the labels in the order in which they first occur.
#[derive(Clone, Debug, Default)]
pub(super) struct LabelReader {
    index_by_label: HashMap<Option<String>, usize>,
    /// Position of each label among the ordered categories read so far; empty if categories have no order.
    category_positions: HashMap<Option<String>, usize>,
    by_row: Vec<usize>,
}

impl LabelReader {
    /// Reads the labels of the rows of a record batch from the column with the index `column`.
    pub(super) fn append_labels_of_batch(&mut self, batch: &RecordBatch, column: usize) {
        let labels = batch.column(column);
        if batch.schema_ref().field(column).dict_is_ordered() == Some(true) {
            for category in read_labels(labels.as_any_dictionary().values()) {
                let next = self.category_positions.len();
                self.category_positions.entry(category).or_insert(next);
            }
        }
        for label in read_labels(labels) {
            let next = self.index_by_label.len();
            self.by_row.push(*self.index_by_label.entry(label).or_insert(next));
        }
    }

    /// Returns the groups of all rows read, with their labels in the order of [`Groups::labels`].
    pub(super) fn into_groups(self) -> Groups {
        let mut labels: Vec<(Option<String>, usize)> = self.index_by_label.into_iter().collect();
        let number = |label: &Option<String>| label.as_ref().and_then(|text| text.parse::<f64>().ok());
        let rank = |label: &Option<String>| {
            (label.is_none(), self.category_positions.get(label).copied(), number(label).is_none())
        };
        labels.sort_by(|(a, _), (b, _)| {
            let numbers = number(a).unwrap_or_default().total_cmp(&number(b).unwrap_or_default());
            rank(a).cmp(&rank(b)).then(numbers).then(a.cmp(b))
        });
        let mut sorted_index = vec![0; labels.len()];
        labels.iter().enumerate().for_each(|(k, (_, index))| sorted_index[*index] = k);
        let by_row = self.by_row.into_iter().map(|index| sorted_index[index]).collect();
        Groups { labels: labels.into_iter().map(|(label, _)| label).collect(), by_row }
    }
}
