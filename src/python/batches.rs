//! Rows that Python takes as an Arrow table.

use arrow_array::{RecordBatch, RecordBatchIterator};
use arrow_schema::{ArrowError, Schema, SchemaRef};
use pyo3::exceptions::PyRuntimeError;
use pyo3::prelude::*;

use super::capsule::{schema_capsule, stream_capsule};

/// Record batches of one schema.
pub(super) struct Batches {
    pub(super) schema: SchemaRef,
    pub(super) batches: Vec<RecordBatch>,
}

impl From<RecordBatch> for Batches {
    fn from(batch: RecordBatch) -> Self {
        Self { schema: batch.schema(), batches: vec![batch] }
    }
}

impl Batches {
    pub(super) fn rows(&self) -> usize {
        self.batches.iter().map(RecordBatch::num_rows).sum()
    }

    pub(super) fn columns(&self) -> Vec<String> {
        columns(&self.schema)
    }

    /// The schema as Python's Arrow interface wants it.
    pub(super) fn schema<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        schema_capsule(py, &self.schema)
    }

    /// The rows as Python's Arrow interface wants them; they are not copied, and can be asked for again.
    pub(super) fn stream<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        let batches = self.batches.clone().into_iter().map(Ok::<_, ArrowError>);
        stream_capsule(py, RecordBatchIterator::new(batches, self.schema.clone()))
    }
}

/// Rows that anything takes as an Arrow table: `pyarrow.table`, `polars.DataFrame`, `duckdb`, or `draft_table`.
#[pyclass(frozen, subclass, module = "kirtle")]
pub(crate) struct Rows(pub(super) Batches);

#[pymethods]
impl Rows {
    fn __arrow_c_schema__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        self.0.schema(py)
    }

    /// The rows as an Arrow stream; they are not copied, and can be asked for again.
    #[pyo3(signature = (requested_schema = None))]
    fn __arrow_c_stream__<'py>(
        &self,
        py: Python<'py>,
        requested_schema: Option<&Bound<'py, PyAny>>,
    ) -> PyResult<Bound<'py, PyAny>> {
        let _ = requested_schema;
        self.0.stream(py)
    }

    fn __len__(&self) -> usize {
        self.0.rows()
    }

    /// The names of the columns.
    #[getter]
    fn columns(&self) -> Vec<String> {
        self.0.columns()
    }
}

impl Rows {
    pub(super) fn shown(&self, name: &str) -> String {
        format!("{name}(rows={}, columns={:?})", self.0.rows(), self.0.columns())
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
