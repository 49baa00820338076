//! Arrow streams through Python's capsules (the Arrow `PyCapsule` interface): the one place that trusts a pointer.
#![allow(unsafe_code)]

use std::panic::{AssertUnwindSafe, catch_unwind};
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

const STREAM: &std::ffi::CStr = c"arrow_array_stream";
const SCHEMA: &std::ffi::CStr = c"arrow_schema";

/// The batches of whatever offers itself as an Arrow stream.
pub(super) fn reader_of(source: &Bound<'_, PyAny>) -> PyResult<Incoming> {
    let Some(offer) = source.getattr_opt("__arrow_c_stream__")? else {
        let message = format!(
            "source: {} offers no Arrow stream; give a table of pandas, polars, pyarrow or duckdb, or a reader of record batches",
            source.get_type().name()?
        );
        return Err(PyTypeError::new_err(message));
    };
    let capsule = offer.call0()?.cast_into::<PyCapsule>()?;
    let pointer = capsule.pointer_checked(Some(STREAM))?;
    // SAFETY: by the interface a capsule of this name holds a valid `ArrowArrayStream`, which the taker moves out, leaving
    // a released one behind; `from_raw` does just that, the capsule lives until then, and no second thread moves it meanwhile.
    let stream =
        with_critical_section(capsule.as_any(), || unsafe { FFI_ArrowArrayStream::from_raw(pointer.as_ptr().cast()) });
    Incoming::new(stream).map_err(|error| PyValueError::new_err(format!("source: {error}")))
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

/// Batches that C asks for: what it cannot take, a panic or a zero byte in an error's text, would end the process.
struct Outgoing<R>(R);

impl<R: RecordBatchReader> Iterator for Outgoing<R> {
    type Item = Result<RecordBatch, ArrowError>;

    fn next(&mut self) -> Option<Self::Item> {
        let caught = catch_unwind(AssertUnwindSafe(|| self.0.next()));
        let next = caught.unwrap_or_else(|_| Some(Err(ArrowError::ExternalError("a fault in kirtle".into()))))?;
        Some(next.map_err(|error| match error.to_string() {
            text if text.contains('\0') => ArrowError::ExternalError(text.replace('\0', "\u{fffd}").into()),
            _ => error,
        }))
    }
}

impl<R: RecordBatchReader> RecordBatchReader for Outgoing<R> {
    fn schema(&self) -> SchemaRef {
        self.0.schema()
    }
}

/// A capsule with a stream of batches.
pub(super) fn stream_capsule(
    py: Python<'_>,
    reader: impl RecordBatchReader + Send + 'static,
) -> PyResult<Bound<'_, PyAny>> {
    PyCapsule::new_with_value(py, FFI_ArrowArrayStream::new(Box::new(Outgoing(reader))), STREAM).map(Bound::into_any)
}

/// A capsule with a schema.
pub(super) fn schema_capsule<'py>(py: Python<'py>, schema: &Schema) -> PyResult<Bound<'py, PyAny>> {
    let schema = FFI_ArrowSchema::try_from(schema).map_err(|error| PyValueError::new_err(error.to_string()))?;
    PyCapsule::new_with_value(py, schema, SCHEMA).map(Bound::into_any)
}
