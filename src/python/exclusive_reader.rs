//! Wrapper that makes any record-batch reader safe to export through the Arrow C stream interface. One thread reads at
//! a time, no panic unwinds into C, and a re-entrant read is an error instead of a deadlock.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::ThreadId;

use arrow_array::{RecordBatch, RecordBatchReader};
use arrow_schema::{ArrowError, SchemaRef};
use pyo3::prelude::*;
use pyo3::sync::MutexExt;

/// Process id and thread id of the thread that reads a stream.
type ReaderId = (u32, ThreadId);

/// Record-batch reader that only one thread uses at a time. A panic in the wrapped reader becomes an error. A read from
/// a callback that runs inside another read, or in a forked process, is an error too.
pub(super) struct ExclusiveReader<R>(Arc<Shared<R>>);

/// State shared by all handles of one [`ExclusiveReader`].
struct Shared<R> {
    schema: SchemaRef,
    reader: Mutex<R>,
    active: Mutex<Option<ReaderId>>,
}

impl<R: RecordBatchReader> ExclusiveReader<R> {
    pub(super) fn new(reader: R) -> Self {
        let schema = reader.schema();
        Self(Arc::new(Shared { schema, reader: Mutex::new(reader), active: Mutex::new(None) }))
    }
}

impl<R: RecordBatchReader + Send> Shared<R> {
    fn next(&self) -> Result<Option<RecordBatch>, ArrowError> {
        let current: ReaderId = (std::process::id(), std::thread::current().id());
        let refusal = match *lock(&self.active) {
            Some(active) if active == current => Some("a callback of this stream cannot ask for its next batch"),
            Some((process, _)) if process != current.0 => {
                Some("the process was forked while another thread was reading")
            }
            _ => None,
        };
        if let Some(refusal) = refusal {
            return Err(ArrowError::InvalidArgumentError(format!("the stream cannot be read: {refusal}")));
        }
        let mut reader = self.lock_reader();
        *lock(&self.active) = Some(current);
        let next = catch_unwind(AssertUnwindSafe(|| reader.next().transpose()));
        *lock(&self.active) = None;
        let panicked =
            |_| Err(ArrowError::CDataInterface("a batch does not match the schema of the stream".to_owned()));
        next.unwrap_or_else(panicked)
    }

    /// Locks the reader. While another thread holds the lock, the wait releases Python, which the other thread may
    /// need.
    fn lock_reader(&self) -> MutexGuard<'_, R> {
        let unlocked = self.reader.try_lock().ok();
        unlocked
            .or_else(|| {
                Python::try_attach(|py| self.reader.lock_py_attached(py).unwrap_or_else(PoisonError::into_inner))
            })
            .unwrap_or_else(|| lock(&self.reader))
    }
}

/// Locks a mutex, also after a panic of another holder.
fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Replaces NUL bytes in the text of an error by U+FFFD, because C strings end at NUL.
fn without_nul(error: ArrowError) -> ArrowError {
    let text = error.to_string();
    if text.contains('\0') { ArrowError::ExternalError(text.replace('\0', "\u{fffd}").into()) } else { error }
}

impl<R: RecordBatchReader + Send> Iterator for ExclusiveReader<R> {
    type Item = Result<RecordBatch, ArrowError>;

    fn next(&mut self) -> Option<Self::Item> {
        self.0.next().map_err(without_nul).transpose()
    }
}

impl<R: RecordBatchReader + Send> RecordBatchReader for ExclusiveReader<R> {
    fn schema(&self) -> SchemaRef {
        self.0.schema.clone()
    }
}
