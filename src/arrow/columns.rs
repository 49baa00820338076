//! The numbers of a column of any numeric type, over the pieces of as many batches as a block of rows needs.

use arrow_array::cast::AsArray;
use arrow_array::types::{
    Float16Type, Float32Type, Float64Type, Int8Type, Int16Type, Int32Type, Int64Type, UInt8Type, UInt16Type,
    UInt32Type, UInt64Type,
};
use arrow_array::{Array, RecordBatch, RecordBatchReader};
use arrow_schema::{ArrowError, DataType, FieldRef};

use crate::batch::Column;

/// The numbers of one column.
pub(super) enum Values<'a> {
    /// In place.
    Lent(&'a [f64]),
    /// Put together, or made into `f64`.
    Each(Vec<f64>),
    /// With rows that have none.
    Given(Vec<Option<f64>>),
}

/// The next batch of a source, which has the columns that the source says, as not every reader makes sure of it.
pub(super) fn next_of(source: &mut dyn RecordBatchReader) -> Option<Result<RecordBatch, ArrowError>> {
    let (batch, said) = (source.next()?, source.schema());
    let differs = |batch: &RecordBatch| {
        let (columns, said) = (batch.schema_ref().fields(), said.fields());
        let alike = |(one, other): (&FieldRef, &FieldRef)| {
            one.name() == other.name() && one.data_type().equals_datatype(other.data_type())
        };
        columns.len() != said.len() || !columns.iter().zip(said).all(alike)
    };
    Some(batch.and_then(|batch| {
        let error = || Err(ArrowError::SchemaError("a batch has other columns than the source said".to_owned()));
        if differs(&batch) { error() } else { Ok(batch) }
    }))
}

/// Whether a column of this type holds numbers.
pub(super) fn holds_numbers(data_type: &DataType) -> bool {
    data_type.is_integer() || data_type.is_floating() || *data_type == DataType::Null
}

impl<'a> Values<'a> {
    /// The numbers of a column over all the pieces.
    pub(super) fn of(pieces: &'a [RecordBatch], column: usize) -> Self {
        if let [piece] = pieces
            && let Some(numbers) = piece.column(column).as_primitive_opt::<Float64Type>()
            && numbers.null_count() == 0
        {
            return Self::Lent(numbers.values());
        }
        let rows = pieces.iter().map(RecordBatch::num_rows).sum();
        let columns = || pieces.iter().map(|piece| piece.column(column));
        if columns().all(|column| column.logical_null_count() == 0) {
            let mut values = Vec::with_capacity(rows);
            columns().for_each(|column| append(column, &mut |number| values.extend(number)));
            return Self::Each(values);
        }
        let mut values = Vec::with_capacity(rows);
        columns().for_each(|column| append(column, &mut |number| values.push(number)));
        Self::Given(values)
    }

    pub(super) fn column(&self) -> Column<'_> {
        match self {
            Self::Lent(values) => Column::Values(values),
            Self::Each(values) => Column::Values(values),
            Self::Given(values) => Column::Nullable(values),
        }
    }
}

/// Visits the numbers of an array; whole numbers above 2^53 are rounded: every range ends far below.
#[allow(clippy::cast_precision_loss)]
fn append(array: &dyn Array, visit: &mut impl FnMut(Option<f64>)) {
    macro_rules! each {
        ($($variant:ident => $kind:ty, |$number:ident| $as_f64:expr;)*) => {
            match array.data_type() {
                $(DataType::$variant => {
                    array.as_primitive::<$kind>().iter().for_each(|given| visit(given.map(|$number| $as_f64)));
                })*
                _ => (0..array.len()).for_each(|_| visit(None)),
            }
        };
    }
    each! {
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
