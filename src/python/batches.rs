//! Rows that Python takes as an Arrow table.

use arrow_array::{RecordBatch, RecordBatchIterator};
use arrow_schema::{ArrowError, Schema, SchemaRef};
use pyo3::exceptions::PyRuntimeError;
use pyo3::prelude::*;

use super::capsule::{schema_capsule, stream_capsule};

/// Rows that anything takes as an Arrow table: `pyarrow.table`, `polars.DataFrame`, `duckdb`, or `draft_table`.
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
    fn __arrow_c_schema__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        schema_capsule(py, &self.schema)
    }

    /// The rows as an Arrow stream; they are not copied, and can be asked for again.
    #[pyo3(signature = (requested_schema = None))]
    fn __arrow_c_stream__<'py>(
        &self,
        py: Python<'py>,
        requested_schema: Option<&Bound<'py, PyAny>>,
    ) -> PyResult<Bound<'py, PyAny>> {
        let _ = requested_schema;
        let batches = self.batches.clone().into_iter().map(Ok::<_, ArrowError>);
        stream_capsule(py, RecordBatchIterator::new(batches, self.schema.clone()))
    }

    pub(super) fn __len__(&self) -> usize {
        self.batches.iter().map(RecordBatch::num_rows).sum()
    }

    /// The names of the columns.
    #[getter]
    pub(super) fn columns(&self) -> Vec<String> {
        columns(&self.schema)
    }
}

impl Rows {
    pub(super) fn shown(&self, name: &str) -> String {
        format!("{name}(rows={}, columns={:?})", self.__len__(), self.columns())
    }
}

/// The names of the columns.
pub(super) fn columns(schema: &Schema) -> Vec<String> {
    schema.fields().iter().map(|field| field.name().clone()).collect()
}

/// What a source, or the making of batches, failed with.
// What `map_err` hands over.
#[allow(clippy::needless_pass_by_value)]
pub(super) fn broken(error: ArrowError) -> PyErr {
    PyRuntimeError::new_err(error.to_string())
}
