//! Streams as others may use them: from several threads, by what is called meanwhile, across C.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::ThreadId;

use arrow_array::{RecordBatch, RecordBatchReader};
use arrow_schema::{ArrowError, SchemaRef};
use pyo3::prelude::*;
use pyo3::sync::MutexExt;

/// A thread of a process.
type Who = (u32, ThreadId);

/// A stream that one thread reads at a time. It gives an error where making a batch panics, as nothing may unwind into C; and
/// where what is called while a batch is made, such as a callback in Python, asks for the next one.
pub(super) struct Guarded<R>(Arc<Shared<R>>);

/// What two readers at once, each with a handle of its own, share.
struct Shared<R> {
    schema: SchemaRef,
    reader: Mutex<R>,
    reading: Mutex<Option<Who>>,
}

impl<R: RecordBatchReader> Guarded<R> {
    pub(super) fn new(reader: R) -> Self {
        let schema = reader.schema();
        Self(Arc::new(Shared { schema, reader: Mutex::new(reader), reading: Mutex::new(None) }))
    }
}

impl<R: RecordBatchReader + Send> Shared<R> {
    fn next(&self) -> Result<Option<RecordBatch>, ArrowError> {
        let me: Who = (std::process::id(), std::thread::current().id());
        let why = match *held(&self.reading) {
            Some(who) if who == me => Some("what is called while a batch is made asks for the next one"),
            Some((process, _)) if process != me.0 => Some("it was being read when this process was forked"),
            _ => None,
        };
        if let Some(why) = why {
            return Err(ArrowError::InvalidArgumentError(format!("the stream cannot be read: {why}")));
        }
        let mut reader = self.wait();
        *held(&self.reading) = Some(me);
        let next = catch_unwind(AssertUnwindSafe(|| reader.next().transpose()));
        *held(&self.reading) = None;
        let panicked = |_| Err(ArrowError::CDataInterface("a batch is not what the stream says it holds".to_owned()));
        next.unwrap_or_else(panicked)
    }

    /// The reader, once no other thread has it. That one may need Python, which whoever waits here therefore lets go.
    fn wait(&self) -> MutexGuard<'_, R> {
        let now = self.reader.try_lock().ok();
        now.or_else(|| {
            Python::try_attach(|py| self.reader.lock_py_attached(py).unwrap_or_else(PoisonError::into_inner))
        })
        .unwrap_or_else(|| held(&self.reader))
    }
}

fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// An error whose text C can hold, which has no zero byte.
fn for_c(error: ArrowError) -> ArrowError {
    let text = error.to_string();
    if text.contains('\0') { ArrowError::ExternalError(text.replace('\0', "\u{fffd}").into()) } else { error }
}

impl<R: RecordBatchReader + Send> Iterator for Guarded<R> {
    type Item = Result<RecordBatch, ArrowError>;

    fn next(&mut self) -> Option<Self::Item> {
        self.0.next().map_err(for_c).transpose()
    }
}

impl<R: RecordBatchReader + Send> RecordBatchReader for Guarded<R> {
    fn schema(&self) -> SchemaRef {
        self.0.schema.clone()
    }
}
