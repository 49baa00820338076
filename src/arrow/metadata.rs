//! Arrow metadata: `what` (description) and `unit` of a column's field, of the schema `kirtle.unit` (of lengths),
//! `kirtle.version` (of the package) and `kirtle.settings` (of the call, as JSON).

use std::collections::HashMap;
use std::sync::Arc;

use arrow_array::{ArrayRef, RecordBatch};
use arrow_schema::{ArrowError, Field, Schema};

use crate::document::{CallSettings, to_json_text};
use crate::field::Unit;

/// Column of a record batch: name, description, unit (empty for a column without unit) and values.
pub(super) type DescribedColumn<'a, T = &'a str> = (T, T, &'a str, ArrayRef);

/// Creates a record batch of columns: each field has the column's description and unit as metadata, and is nullable if
/// `nullable`; the schema has `length_unit`, the unit of lengths, and the version of the package.
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
    let metadata = [("kirtle.unit", length_unit.name()), ("kirtle.version", crate::VERSION)];
    let metadata = HashMap::from(metadata.map(|(name, text)| (name.to_owned(), text.to_owned())));
    RecordBatch::try_new(Arc::new(Schema::new(fields).with_metadata(metadata)), columns)
}

/// Returns a batch with the settings of the call that made it in the metadata of its schema.
pub(crate) fn with_settings(mut batch: RecordBatch, settings: &CallSettings) -> RecordBatch {
    batch.schema_metadata_mut().insert("kirtle.settings".to_owned(), to_json_text(settings));
    batch
}
