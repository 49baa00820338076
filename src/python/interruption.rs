//! Long computations for Python: Ctrl-C ends them, and a panic becomes an exception.

use std::panic::{AssertUnwindSafe, catch_unwind};

use pyo3::prelude::*;

use super::arguments::value_or_raise;
use super::table::check_signals_and_report_rows;
use crate::error::Problems;
use crate::field::Unit;
use crate::interrupt::interruptible;

pyo3::import_exception!(kirtle.exceptions, InternalError);

/// Runs the computation `work` without Python's interpreter lock, until it ends or a signal handler raises an
/// exception. Raises problems of `work`, with lengths in `unit`, as `InputError`, and a panic as `InternalError`.
pub(super) fn run_interruptibly<T: Send>(
    py: Python<'_>,
    unit: Unit,
    work: impl FnOnce() -> Result<T, Problems> + Send,
) -> PyResult<T> {
    let callback = || Python::attach(|py| check_signals_and_report_rows(py, None, 0));
    // Unwind-safe: nothing of the computation is used after a panic.
    let result = py.detach(|| catch_unwind(AssertUnwindSafe(|| interruptible(callback, work))));
    let result = result.unwrap_or_else(|panic| {
        let message = panic.downcast_ref::<&str>().copied();
        let message = message.or(panic.downcast_ref::<String>().map(String::as_str));
        Err(InternalError::new_err(message.unwrap_or("unknown panic").to_owned()))
    });
    value_or_raise(result?, unit)
}

/// Panic as a fault in the Rust code would. For tests only.
#[pyfunction]
#[allow(clippy::panic, reason = "panics on purpose: tests see a panic become an exception")]
pub(crate) fn _panic(py: Python<'_>) -> PyResult<()> {
    run_interruptibly(py, Unit::Cm, || panic!("a test of the exception"))
}
