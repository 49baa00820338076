//! Arrow metadata: `what` and `unit` of a field describe a column; `kirtle.unit` of the schema is the unit of lengths.

use std::collections::HashMap;
use std::sync::Arc;

use arrow_array::{ArrayRef, RecordBatch};
use arrow_schema::{ArrowError, Field, Schema};

use crate::field::Unit;

/// Returns the Arrow field with a description and, unless empty, a unit in its metadata.
pub(super) fn field_with_description_and_unit(field: Field, description: &str, unit: &str) -> Field {
    let mut metadata = HashMap::from([("what".to_owned(), description.to_owned())]);
    metadata.extend((!unit.is_empty()).then(|| ("unit".to_owned(), unit.to_owned())));
    field.with_metadata(metadata)
}

/// Creates an Arrow schema of these fields whose metadata name the unit of lengths.
pub(super) fn schema_with_length_unit(fields: Vec<Field>, unit: Unit) -> Schema {
    Schema::new(fields).with_metadata(HashMap::from([("kirtle.unit".to_owned(), unit.name().to_owned())]))
}

/// Builder of a record batch from columns, each with a description and a unit.
pub(super) struct RecordBatchBuilder(Vec<(Field, ArrayRef)>);

impl RecordBatchBuilder {
    pub(super) fn new() -> Self {
        Self(Vec::new())
    }

    /// Adds a column with its name and description; `nullable` permits nulls, an empty `unit` means no unit.
    pub(super) fn add_column(&mut self, name: &str, description: &str, unit: &str, nullable: bool, column: ArrayRef) {
        let field = Field::new(name, column.data_type().clone(), nullable);
        self.0.push((field_with_description_and_unit(field, description, unit), column));
    }

    /// Builds the record batch of the columns added; its schema names the unit of lengths.
    pub(super) fn build_record_batch(self, unit: Unit) -> Result<RecordBatch, ArrowError> {
        let (fields, columns) = self.0.into_iter().unzip();
        RecordBatch::try_new(Arc::new(schema_with_length_unit(fields, unit)), columns)
    }
}
