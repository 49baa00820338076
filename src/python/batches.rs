//! The Python class `Rows`, base of every result that is an Arrow table. Its batches all have the schema of the table.

use arrow_array::{RecordBatch, RecordBatchIterator};
use arrow_schema::{ArrowError, Schema, SchemaRef};
use pyo3::exceptions::PyRuntimeError;
use pyo3::prelude::*;

use super::capsule::{arrow_schema_capsule, arrow_stream_capsule};

/// Arrow table: rows with named columns.
///
/// `pyarrow.table`, `polars.DataFrame`, `duckdb` and `draft_table` read the object as a table and copy no data.
#[pyclass(frozen, subclass, module = "kirtle")]
pub(crate) struct Rows {
    pub(super) schema: SchemaRef,
    pub(super) batches: Vec<RecordBatch>,
}

impl From<RecordBatch> for Rows {
    fn from(batch: RecordBatch) -> Self {
        Self { schema: batch.schema(), batches: vec![batch] }
    }
}

#[pymethods]
impl Rows {
    /// Return the schema of the table as an Arrow capsule.
    fn __arrow_c_schema__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        arrow_schema_capsule(py, &self.schema)
    }

    /// Return the rows as an Arrow stream, without a copy. Each call returns a new stream over all rows.
    #[pyo3(signature = (requested_schema = None))]
    fn __arrow_c_stream__<'py>(
        &self,
        py: Python<'py>,
        requested_schema: Option<&Bound<'py, PyAny>>,
    ) -> PyResult<Bound<'py, PyAny>> {
        let _ = requested_schema;
        let batches = self.batches.clone().into_iter().map(Ok::<_, ArrowError>);
        arrow_stream_capsule(py, RecordBatchIterator::new(batches, self.schema.clone()))
    }

    /// Return the number of rows.
    pub(super) fn __len__(&self) -> usize {
        self.batches.iter().map(RecordBatch::num_rows).sum()
    }

    /// Names of the columns, in the order of the table.
    #[getter]
    pub(super) fn columns(&self) -> Vec<String> {
        schema_column_names(&self.schema)
    }
}

impl Rows {
    /// Returns the `repr` of the table, `Name(rows=…, columns=…)`, with `name` as the class name.
    pub(super) fn table_repr(&self, name: &str) -> String {
        format!("{name}(rows={}, columns={:?})", self.__len__(), self.columns())
    }
}

/// Returns the names of the columns of a schema.
pub(super) fn schema_column_names(schema: &Schema) -> Vec<String> {
    schema.fields().iter().map(|field| field.name().clone()).collect()
}

/// Converts an Arrow error to a Python `RuntimeError`.
#[allow(clippy::needless_pass_by_value, reason = "`map_err` passes the error by value")]
pub(super) fn arrow_to_runtime_error(error: ArrowError) -> PyErr {
    PyRuntimeError::new_err(error.to_string())
}
