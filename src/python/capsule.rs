//! Import and export of Arrow streams and schemas through the Arrow `PyCapsule` interface. All `unsafe` code of the
//! Python bindings is here: one read from the pointer of a capsule.
#![allow(unsafe_code)]

use std::sync::Arc;

use arrow_array::cast::AsArray;
use arrow_array::ffi::FFI_ArrowSchema;
use arrow_array::ffi_stream::{ArrayStreamReader, FFI_ArrowArrayStream};
use arrow_array::{Array, ArrayReader, RecordBatch, RecordBatchIterator, RecordBatchOptions, RecordBatchReader};
use arrow_schema::{ArrowError, DataType, Schema};
use pyo3::exceptions::{PyTypeError, PyValueError};
use pyo3::prelude::*;
use pyo3::sync::critical_section::with_critical_section;
use pyo3::types::{IntoPyDict, PyCapsule};

use super::exclusive_reader::ExclusiveReader;

/// Name of every `PyCapsule` that holds an Arrow C stream, fixed by Arrow.
const ARROW_STREAM_CAPSULE_NAME: &std::ffi::CStr = c"arrow_array_stream";
/// Name of every `PyCapsule` that holds an Arrow C schema, fixed by Arrow.
const ARROW_SCHEMA_CAPSULE_NAME: &std::ffi::CStr = c"arrow_schema";

/// Name of the method that returns the Arrow stream of an object, fixed by Arrow.
const ARROW_STREAM_METHOD: &str = "__arrow_c_stream__";

/// Methods of objects without an Arrow stream (a lazy table, a file in Parquet, a path, a text), and what to give instead.
const NO_STREAM_REMEDIES: [(&str, &str); 4] = [
    ("collect", "the table that .collect() returns"),
    ("iter_batches", "the record batches that .iter_batches() returns"),
    ("__fspath__", "pyarrow.dataset.dataset(path)"),
    ("casefold", "pyarrow.dataset.dataset(path)"),
];

/// Returns a reader of a pyarrow dataset, or of record batches such as those of `ParquetFile.iter_batches()`; a table of
/// polars with columns of numbers in place of columns without type; any other object itself.
fn find_reader<'py>(source: &Bound<'py, PyAny>) -> PyResult<Bound<'py, PyAny>> {
    let mut reader = source.clone();
    for method in ["scanner", "to_reader"] {
        if !reader.hasattr(ARROW_STREAM_METHOD)?
            && let Some(method) = reader.getattr_opt(method)?
        {
            reader = method.call0()?;
        }
    }
    if !reader.hasattr(ARROW_STREAM_METHOD)?
        && reader.hasattr("__iter__")?
        && let Ok(mut batches) = reader.try_iter()
        && let Some(first) = batches.next().transpose()?
        && first.hasattr("__arrow_c_array__")?
        && let Some(schema) = first.getattr_opt("schema")?
    {
        let py = source.py();
        let batches = py.import("itertools")?.call_method1("chain", ((first,), batches))?;
        // pyarrow trusts that all batches have the schema.
        let cast = py.import("operator")?.call_method1("methodcaller", ("cast", &schema))?;
        let batches = py.import("builtins")?.call_method1("map", (cast, batches))?;
        let readers = py.import("pyarrow")?.getattr("RecordBatchReader")?;
        return readers.call_method1("from_batches", (schema, batches));
    }
    let class = reader.get_type();
    if class.name()? == "DataFrame" && class.module()?.to_string_lossy().starts_with("polars.") {
        // polars exports a column of the type Null with a buffer, which the C data interface forbids.
        let polars = source.py().import("polars")?;
        let types = [(polars.getattr("Null")?, polars.getattr("Float64")?)].into_py_dict(source.py())?;
        return reader.call_method1("cast", (types,));
    }
    Ok(reader)
}

/// Opens the Arrow stream of a Python object by its method `__arrow_c_stream__`, or of its [reader](find_reader);
/// raises `TypeError` for an object without one.
pub(super) fn open_arrow_stream(source: &Bound<'_, PyAny>) -> PyResult<ExclusiveReader<ImportedArrowStream>> {
    let Some(stream_method) = find_reader(source)?.getattr_opt(ARROW_STREAM_METHOD)? else {
        let type_name = source.get_type().name()?;
        let mut remedies = NO_STREAM_REMEDIES.into_iter();
        let remedy = remedies.find(|(method, _)| source.hasattr(*method).unwrap_or(false));
        let wanted = "a table of pandas, polars, pyarrow or duckdb, a dataset or record batches of pyarrow";
        let remedy = remedy.map_or(wanted, |(_, remedy)| remedy);
        return Err(PyTypeError::new_err(format!("source: {type_name} offers no Arrow stream; give {remedy}")));
    };
    let returned = stream_method.call0()?;
    let capsule = returned.cast::<PyCapsule>().ok();
    let pointer = capsule.and_then(|capsule| capsule.pointer_checked(Some(ARROW_STREAM_CAPSULE_NAME)).ok());
    let Some(pointer) = pointer else {
        let kind = returned.get_type().name()?;
        return Err(PyTypeError::new_err(format!("source: __arrow_c_stream__ returned {kind}, not an Arrow stream")));
    };
    // SAFETY: by the interface, a capsule of this name holds a valid `ArrowArrayStream`. The consumer moves the stream
    // out and leaves a released stream behind, as `from_raw` does. `returned` keeps the capsule alive, and the critical
    // section keeps other threads from moving the stream at the same time.
    let stream =
        with_critical_section(&returned, || unsafe { FFI_ArrowArrayStream::from_raw(pointer.as_ptr().cast()) });
    open_record_batch_reader(stream)
        .map(ExclusiveReader::new)
        .map_err(|error| PyValueError::new_err(format!("source: {error}")))
}

/// Reader of the record batches of an imported Arrow stream; its schema has the fields of the stream's struct type.
pub(super) type ImportedArrowStream = Box<dyn RecordBatchReader + Send>;

/// Opens the reader of an imported stream; fails for a stream without columns or without a function that reads.
fn open_record_batch_reader(stream: FFI_ArrowArrayStream) -> Result<ImportedArrowStream, ArrowError> {
    let invalid = |message: &str| Err(ArrowError::CDataInterface(message.to_owned()));
    if stream.release().is_some() && stream.get_next().is_none() {
        return invalid("the input stream cannot be read: its get_next function is missing");
    }
    let rows = ArrayStreamReader::try_new(stream)?;
    let DataType::Struct(columns) = rows.field().data_type() else {
        return invalid("the input stream is not a table with columns; give a table or a reader of record batches");
    };
    let schema = Arc::new(Schema::new(columns.clone()).with_metadata(rows.field().metadata().clone()));
    let batch_schema = schema.clone();
    let batches = rows.map(move |rows| {
        let rows = rows?;
        if rows.null_count() > 0 {
            let message = format!("{} rows are null; drop them: only column values may be null", rows.null_count());
            return Err(ArrowError::InvalidArgumentError(message));
        }
        let options = RecordBatchOptions::new().with_row_count(Some(rows.len()));
        RecordBatch::try_new_with_options(batch_schema.clone(), rows.as_struct().columns().to_vec(), &options)
    });
    Ok(Box::new(RecordBatchIterator::new(batches, schema)))
}

/// Exports a record-batch reader as a `PyCapsule` with an Arrow C stream.
pub(super) fn export_arrow_stream(
    py: Python<'_>,
    reader: impl RecordBatchReader + Send + 'static,
) -> PyResult<Bound<'_, PyAny>> {
    let stream = FFI_ArrowArrayStream::new(Box::new(ExclusiveReader::new(reader)));
    PyCapsule::new_with_value(py, stream, ARROW_STREAM_CAPSULE_NAME).map(Bound::into_any)
}

/// Exports a schema as a `PyCapsule` with an Arrow C schema.
pub(super) fn export_arrow_schema<'py>(py: Python<'py>, schema: &Schema) -> PyResult<Bound<'py, PyAny>> {
    let schema = FFI_ArrowSchema::try_from(schema).map_err(|error| PyValueError::new_err(error.to_string()))?;
    PyCapsule::new_with_value(py, schema, ARROW_SCHEMA_CAPSULE_NAME).map(Bound::into_any)
}
