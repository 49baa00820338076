//! Wrapper that makes any record-batch reader safe to export through the Arrow C stream interface. One thread reads at
//! a time, no panic unwinds into C, and a re-entrant read is an error instead of a deadlock.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::ThreadId;

use arrow_array::{RecordBatch, RecordBatchReader};
use arrow_schema::{ArrowError, SchemaRef};
use pyo3::prelude::*;
use pyo3::sync::MutexExt;

/// Process id and thread id of the thread that reads from a stream.
type ReadingProcessAndThread = (u32, ThreadId);

/// Wrapper of a record-batch reader that lets one thread read at a time; other threads wait. A panic in the wrapped
/// reader, a read by a callback during another read, and a read in a process forked during a read are errors.
pub(super) struct ExclusiveReader<R>(Arc<ExclusiveReaderState<R>>);

/// State of an [`ExclusiveReader`]: schema, wrapped reader, and the thread that is reading, if any.
struct ExclusiveReaderState<R> {
    schema: SchemaRef,
    reader: Mutex<R>,
    active: Mutex<Option<ReadingProcessAndThread>>,
}

impl<R: RecordBatchReader> ExclusiveReader<R> {
    pub(super) fn new(reader: R) -> Self {
        let schema = reader.schema();
        Self(Arc::new(ExclusiveReaderState { schema, reader: Mutex::new(reader), active: Mutex::new(None) }))
    }
}

impl<R: RecordBatchReader + Send> ExclusiveReaderState<R> {
    fn next(&self) -> Result<Option<RecordBatch>, ArrowError> {
        let current: ReadingProcessAndThread = (std::process::id(), std::thread::current().id());
        let reason = match *lock_mutex_despite_panic(&self.active) {
            Some(active) if active == current => {
                Some("a callback of a stream cannot read this stream; read the next batch after the callback")
            }
            Some((process, _)) if process != current.0 => {
                Some("the process was forked during a read; create the stream in the child process")
            }
            _ => None,
        };
        if let Some(reason) = reason {
            return Err(ArrowError::InvalidArgumentError(format!("the stream cannot be read: {reason}")));
        }
        // While waiting, Python's interpreter lock is released, which the reading thread may need.
        let attached = |py: Python<'_>| self.reader.lock_py_attached(py).unwrap_or_else(PoisonError::into_inner);
        let unlocked = self.reader.try_lock().ok().or_else(|| Python::try_attach(attached));
        let mut reader = unlocked.unwrap_or_else(|| lock_mutex_despite_panic(&self.reader));
        *lock_mutex_despite_panic(&self.active) = Some(current);
        let next = catch_unwind(AssertUnwindSafe(|| reader.next().transpose()));
        *lock_mutex_despite_panic(&self.active) = None;
        let panicked = |_| Err(ArrowError::CDataInterface("a batch does not match the schema of the stream".into()));
        next.unwrap_or_else(panicked)
    }
}

/// Locks a mutex, even if another thread panicked while that thread held the lock.
fn lock_mutex_despite_panic<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl<R: RecordBatchReader + Send> Iterator for ExclusiveReader<R> {
    type Item = Result<RecordBatch, ArrowError>;

    fn next(&mut self) -> Option<Self::Item> {
        // A C string ends at a zero byte.
        let without_nul = |error: ArrowError| match error.to_string() {
            text if text.contains('\0') => ArrowError::ExternalError(text.replace('\0', "\u{fffd}").into()),
            _ => error,
        };
        self.0.next().map_err(without_nul).transpose()
    }
}

impl<R: RecordBatchReader + Send> RecordBatchReader for ExclusiveReader<R> {
    fn schema(&self) -> SchemaRef {
        self.0.schema.clone()
    }
}
