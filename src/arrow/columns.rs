//! Columns of numbers of any Arrow type, read as `f64` values across consecutive record batches.

use arrow_array::cast::AsArray;
use arrow_array::types::{
    Float16Type, Float32Type, Float64Type, Int8Type, Int16Type, Int32Type, Int64Type, UInt8Type, UInt16Type,
    UInt32Type, UInt64Type,
};
use arrow_array::{Array, RecordBatch, RecordBatchReader};
use arrow_schema::{ArrowError, DataType, FieldRef};

use crate::batch::Column;

/// Source of the values of an input in a table: a column, given by name or, once found, by index; or a constant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ColumnOrConstant<C = String> {
    /// Column with this name (`C` = `String`) or this index (`C` = `usize`).
    Column(C),
    /// One value shared by all rows.
    Constant(f64),
}

/// Values of one input in consecutive record batches, as `f64`; borrowed if there is only one batch, which holds them
/// as `f64` without nulls.
pub(super) enum InputValues<'a> {
    /// One value shared by all rows.
    Constant(f64),
    /// Values without nulls, one for each row.
    Values(&'a [f64]),
    /// Values that may be null, one for each row.
    Nullable(Vec<Option<f64>>),
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

/// Returns whether a column of an Arrow type can be read as numbers: integers, floating-point numbers or only nulls.
pub(super) fn is_numeric_type(data_type: &DataType) -> bool {
    data_type.is_integer() || data_type.is_floating() || *data_type == DataType::Null
}

impl<'a> InputValues<'a> {
    /// Reads the values of an input from consecutive batches, in order.
    pub(super) fn from_batches(source: ColumnOrConstant<usize>, batches: &'a [RecordBatch]) -> Self {
        let column = match source {
            ColumnOrConstant::Constant(value) => return Self::Constant(value),
            ColumnOrConstant::Column(column) => column,
        };
        if let [batch] = batches
            && let Some(numbers) = batch.column(column).as_primitive_opt::<Float64Type>()
            && numbers.null_count() == 0
        {
            return Self::Values(numbers.values());
        }
        let mut values = Vec::with_capacity(batches.iter().map(RecordBatch::num_rows).sum());
        for batch in batches {
            visit_array_numbers(batch.column(column), &mut |number| values.push(number));
        }
        Self::Nullable(values)
    }

    /// Borrows the values as a column of [`Bodies`](crate::batch::Bodies).
    pub(super) fn as_bodies_column(&self) -> Column<'_> {
        match self {
            Self::Constant(value) => Column::Constant(*value),
            Self::Values(values) => Column::Values(values),
            Self::Nullable(values) => Column::Nullable(values),
        }
    }
}

/// Calls `visit` with every value of a numeric Arrow array as `f64` (integers above 2^53 rounded), or `None` for a
/// null.
pub(super) fn visit_array_numbers(array: &dyn Array, visit: &mut impl FnMut(Option<f64>)) {
    macro_rules! visit_by_type {
        ($($variant:ident => $kind:ty, |$number:ident| $as_f64:expr;)*) => {
            match array.data_type() {
                $(DataType::$variant => {
                    array.as_primitive::<$kind>().iter().for_each(|value| visit(value.map(|$number| $as_f64)));
                })*
                _ => (0..array.len()).for_each(|_| visit(None)),
            }
        };
    }
    visit_by_type! {
        Float64 => Float64Type, |number| number;
        Float32 => Float32Type, |number| f64::from(number);
        Float16 => Float16Type, |number| f64::from(number);
        Int8 => Int8Type, |number| f64::from(number);
        Int16 => Int16Type, |number| f64::from(number);
        Int32 => Int32Type, |number| f64::from(number);
        Int64 => Int64Type, |number| number as f64;
        UInt8 => UInt8Type, |number| f64::from(number);
        UInt16 => UInt16Type, |number| f64::from(number);
        UInt32 => UInt32Type, |number| f64::from(number);
        UInt64 => UInt64Type, |number| number as f64;
    }
}
