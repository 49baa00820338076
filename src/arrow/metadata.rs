//! Arrow metadata: `what` (description) and `unit` of a column's field, `kirtle.unit` (of lengths) of the schema.

use std::collections::HashMap;
use std::sync::Arc;

use arrow_array::{ArrayRef, RecordBatch};
use arrow_schema::{ArrowError, Field, Schema};

use crate::field::Unit;

/// Column of a record batch: name, description, unit (empty for a column without unit) and values.
pub(super) type DescribedColumn<'a, T = &'a str> = (T, T, &'a str, ArrayRef);

/// Creates a record batch of columns: each field has the column's description and unit as metadata, and is nullable if
/// `nullable`; the schema has `length_unit`, the unit of lengths.
pub(super) fn batch_of_columns<'a, T: Into<String>>(
    columns: impl IntoIterator<Item = DescribedColumn<'a, T>>,
    nullable: bool,
    length_unit: Unit,
) -> Result<RecordBatch, ArrowError> {
    let described = |(name, description, unit, column): DescribedColumn<'a, T>| {
        let mut metadata = HashMap::from([("what".to_owned(), description.into())]);
        metadata.extend((!unit.is_empty()).then(|| ("unit".to_owned(), unit.to_owned())));
        (Field::new(name, column.data_type().clone(), nullable).with_metadata(metadata), column)
    };
    let (fields, columns): (Vec<Field>, _) = columns.into_iter().map(described).unzip();
    let metadata = HashMap::from([("kirtle.unit".to_owned(), length_unit.name().to_owned())]);
    RecordBatch::try_new(Arc::new(Schema::new(fields).with_metadata(metadata)), columns)
}
