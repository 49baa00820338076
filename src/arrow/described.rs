//! Fields that say what they hold, under a schema that names the unit.

use std::collections::HashMap;

use arrow_schema::{Field, Schema};

use crate::measure::Unit;

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
