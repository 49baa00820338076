//! Columns of the input table that a result keeps: they stand first in the result, unchanged, and are not copied.

use std::collections::HashSet;
use std::sync::Arc;

use arrow_array::RecordBatch;
use arrow_schema::{ArrowError, Schema, SchemaRef};

use super::columns::find_column_index;
use crate::error::{Code, Problem, Problems};

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
