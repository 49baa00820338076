//! Arrow streams through Python's capsules (the Arrow `PyCapsule` interface): the one place that trusts a pointer.
#![allow(unsafe_code)]

use arrow_array::RecordBatchReader;
use arrow_array::ffi::FFI_ArrowSchema;
use arrow_array::ffi_stream::{FFI_ArrowArrayStream, RecordBatchStreamReader};
use arrow_schema::Schema;
use pyo3::exceptions::{PyTypeError, PyValueError};
use pyo3::prelude::*;
use pyo3::types::PyCapsule;

use super::guarded::Guarded;

const STREAM: &std::ffi::CStr = c"arrow_array_stream";
const SCHEMA: &std::ffi::CStr = c"arrow_schema";

/// The batches of whatever offers itself as an Arrow stream.
pub(super) fn reader_of(source: &Bound<'_, PyAny>) -> PyResult<Guarded<RecordBatchStreamReader>> {
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
    // a released one behind; `from_raw` does just that, and the capsule, which is `given`, lives until then.
    let reader = unsafe { RecordBatchStreamReader::from_raw(pointer.as_ptr().cast()) };
    reader.map(Guarded::new).map_err(|error| PyValueError::new_err(format!("source: {error}")))
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
