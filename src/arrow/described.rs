//! Fields that say what they hold, under a schema that names the unit.

use std::collections::HashMap;
use std::sync::Arc;

use arrow_array::{ArrayRef, RecordBatch};
use arrow_schema::{ArrowError, Field, Schema};

use crate::field::Unit;

/// The field with what it holds, and its unit, if it has one.
pub(super) fn described(field: Field, what: &str, unit: &str) -> Field {
    let mut metadata = HashMap::from([("what".to_owned(), what.to_owned())]);
    metadata.extend((!unit.is_empty()).then(|| ("unit".to_owned(), unit.to_owned())));
    field.with_metadata(metadata)
}

/// The schema of these fields.
pub(super) fn schema(fields: Vec<Field>, unit: Unit) -> Schema {
    Schema::new(fields).with_metadata(HashMap::from([("kirtle.unit".to_owned(), unit.name().to_owned())]))
}

/// The columns of a record batch, each with what it holds, and its unit.
pub(super) struct Columns(Vec<(Field, ArrayRef)>);

impl Columns {
    pub(super) fn new() -> Self {
        Self(Vec::new())
    }

    /// Adds a column by its name; `nullable` where rows may have nothing there.
    pub(super) fn add(&mut self, name: &str, what: &str, unit: &str, nullable: bool, column: ArrayRef) {
        let field = Field::new(name, column.data_type().clone(), nullable);
        self.0.push((described(field, what, unit), column));
    }

    /// The batch, under a schema that names the unit.
    pub(super) fn batch(self, unit: Unit) -> Result<RecordBatch, ArrowError> {
        let (fields, columns) = self.0.into_iter().unzip();
        RecordBatch::try_new(Arc::new(schema(fields, unit)), columns)
    }
}
