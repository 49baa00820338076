//! Arrow streams through Python's capsules (the Arrow `PyCapsule` interface): the one place that trusts a pointer.
#![allow(unsafe_code)]

use std::sync::Arc;

use arrow_array::cast::AsArray;
use arrow_array::ffi::FFI_ArrowSchema;
use arrow_array::ffi_stream::{ArrayStreamReader, FFI_ArrowArrayStream};
use arrow_array::{Array, ArrayReader, ArrayRef, RecordBatch, RecordBatchOptions, RecordBatchReader};
use arrow_schema::{ArrowError, DataType, Schema, SchemaRef};
use pyo3::exceptions::{PyTypeError, PyValueError};
use pyo3::prelude::*;
use pyo3::sync::critical_section::with_critical_section;
use pyo3::types::PyCapsule;

use super::guarded::Guarded;

const STREAM: &std::ffi::CStr = c"arrow_array_stream";
const SCHEMA: &std::ffi::CStr = c"arrow_schema";

/// The batches of whatever offers itself as an Arrow stream.
pub(super) fn reader_of(source: &Bound<'_, PyAny>) -> PyResult<Guarded<Incoming>> {
    let Some(offer) = source.getattr_opt("__arrow_c_stream__")? else {
        let message = format!(
            "source: {} offers no Arrow stream; give a table of pandas, polars, pyarrow or duckdb, or a reader of record batches",
            source.get_type().name()?
        );
        return Err(PyTypeError::new_err(message));
    };
    let given = offer.call0()?;
    let pointer = given.cast::<PyCapsule>().ok().and_then(|capsule| capsule.pointer_checked(Some(STREAM)).ok());
    let no_stream = || {
        let kind = given.get_type().name()?;
        Ok::<_, PyErr>(PyTypeError::new_err(format!("source: __arrow_c_stream__ gave {kind}, and no Arrow stream")))
    };
    let Some(pointer) = pointer else { return Err(no_stream()?) };
    // SAFETY: by the interface a capsule of this name holds a valid `ArrowArrayStream`, which the taker moves out, leaving
    // a released one behind; `from_raw` does just that. The capsule, which is `given`, lives until then, and no second thread
    // moves the stream meanwhile.
    let stream = with_critical_section(&given, || unsafe { FFI_ArrowArrayStream::from_raw(pointer.as_ptr().cast()) });
    Incoming::new(stream).map(Guarded::new).map_err(|error| PyValueError::new_err(format!("source: {error}")))
}

/// The batches of a stream that came in.
pub(super) struct Incoming {
    rows: ArrayStreamReader,
    schema: SchemaRef,
}

impl Incoming {
    fn new(stream: FFI_ArrowArrayStream) -> Result<Self, ArrowError> {
        let broken = |what: &str| Err(ArrowError::CDataInterface(what.to_owned()));
        if stream.release().is_some() && stream.get_next().is_none() {
            return broken("input stream cannot be read");
        }
        let rows = ArrayStreamReader::try_new(stream)?;
        let DataType::Struct(columns) = rows.field().data_type() else {
            return broken("input stream has no columns");
        };
        let schema = Arc::new(Schema::new(columns.clone()));
        Ok(Self { rows, schema })
    }

    /// Rows that are themselves null would come through as whatever their columns hold.
    fn batch(&self, rows: &ArrayRef) -> Result<RecordBatch, ArrowError> {
        if rows.null_count() > 0 {
            let message = format!("{} rows are null themselves, and not in their columns", rows.null_count());
            return Err(ArrowError::InvalidArgumentError(message));
        }
        let options = RecordBatchOptions::new().with_row_count(Some(rows.len()));
        RecordBatch::try_new_with_options(self.schema.clone(), rows.as_struct().columns().to_vec(), &options)
    }
}

impl Iterator for Incoming {
    type Item = Result<RecordBatch, ArrowError>;

    fn next(&mut self) -> Option<Self::Item> {
        let rows = self.rows.next()?;
        Some(rows.and_then(|rows| self.batch(&rows)))
    }
}

impl RecordBatchReader for Incoming {
    fn schema(&self) -> SchemaRef {
        self.schema.clone()
    }
}

/// A capsule with a stream of batches.
pub(super) fn stream_capsule(
    py: Python<'_>,
    reader: impl RecordBatchReader + Send + 'static,
) -> PyResult<Bound<'_, PyAny>> {
    PyCapsule::new_with_value(py, FFI_ArrowArrayStream::new(Box::new(Guarded::new(reader))), STREAM)
        .map(Bound::into_any)
}

/// A capsule with a schema.
pub(super) fn schema_capsule<'py>(py: Python<'py>, schema: &Schema) -> PyResult<Bound<'py, PyAny>> {
    let schema = FFI_ArrowSchema::try_from(schema).map_err(|error| PyValueError::new_err(error.to_string()))?;
    PyCapsule::new_with_value(py, schema, SCHEMA).map(Bound::into_any)
}
