//! Arrow metadata: `what` (description) and `unit` of a column's field, `kirtle.unit` (of lengths) of the schema.

use std::collections::HashMap;
use std::sync::Arc;

use arrow_array::{ArrayRef, RecordBatch};
use arrow_schema::{ArrowError, Field, Schema};

use crate::field::Unit;

/// Returns an Arrow field with metadata: a description and, unless `unit` is empty, a unit.
pub(super) fn field_with_description_and_unit(field: Field, description: &str, unit: &str) -> Field {
    let mut metadata = HashMap::from([("what".to_owned(), description.to_owned())]);
    metadata.extend((!unit.is_empty()).then(|| ("unit".to_owned(), unit.to_owned())));
    field.with_metadata(metadata)
}

/// Creates an Arrow schema with fields, and with metadata that name the unit of lengths.
pub(super) fn schema_with_length_unit(fields: Vec<Field>, unit: Unit) -> Schema {
    Schema::new(fields).with_metadata(HashMap::from([("kirtle.unit".to_owned(), unit.name().to_owned())]))
}

/// Column of a record batch: name, description, unit (empty for no unit), and values.
pub(super) type DescribedColumn<'a> = (&'a str, &'a str, &'a str, ArrayRef);

/// Creates a record batch of columns, with `unit` as the unit of lengths; `nullable` permits nulls in all columns.
pub(super) fn batch_of_columns<'a>(
    columns: impl IntoIterator<Item = DescribedColumn<'a>>,
    nullable: bool,
    unit: Unit,
) -> Result<RecordBatch, ArrowError> {
    let described = |(name, description, unit, column): DescribedColumn| {
        let field = Field::new(name, column.data_type().clone(), nullable);
        (field_with_description_and_unit(field, description, unit), column)
    };
    let (fields, columns) = columns.into_iter().map(described).unzip();
    RecordBatch::try_new(Arc::new(schema_with_length_unit(fields, unit)), columns)
}
