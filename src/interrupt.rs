//! Interruption of long searches: a callback runs every 50 ms or so and may stop the search.
//!
//! An interrupted search unwinds the stack without a panic message, so that no function in between returns an
//! interruption.

use std::cell::Cell;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::time::{Duration, Instant};

/// Work counted between two readings of the clock, in units of some nanoseconds.
const WORK_PER_CLOCK_READING: usize = 1 << 16;

/// Minimum time between two runs of the callback that may interrupt a search.
const MIN_INTERRUPT_CALLBACK_INTERVAL: Duration = Duration::from_millis(50);

/// Callback that may interrupt a search in the current thread, and the time at which the callback last ran.
struct ThreadInterruptCallback {
    run: Box<dyn FnMut()>,
    last_run: Option<Instant>,
}

/// Payload with which an interrupted search unwinds the stack: the error that the callback returned.
struct InterruptionPayload<E>(E);

thread_local! {
    static THREAD_CALLBACK: Cell<Option<ThreadInterruptCallback>> = const { Cell::new(None) };
    static WORK: Cell<usize> = const { Cell::new(0) };
}

/// Runs `work` and stops it as soon as `callback` returns an error.
///
/// `callback` runs in the same thread, first after some thousand steps of the work and then about every 50 ms. Only
/// [`fit_chart`](crate::survey::fit_chart) and the functions of [`size_search`](crate::size_search) run the callback.
/// Work of a few milliseconds may end before the first run. The callback never changes the result.
///
/// # Errors
/// The error of `callback`; the work is unwound and dropped. With `panic = "abort"` an interruption ends the process.
///
/// ```
/// use kirtle::interrupt::interruptible;
/// use kirtle::size_search::{Loss, SearchSettings, best_chart};
/// use kirtle::survey::Population;
///
/// let women = Population::ansur_women().bodies(1, 0..2000)?;
/// let search = || best_chart(&women.waist, &women.hip, 6, &Loss::Absolute, &SearchSettings::default());
/// assert_eq!(interruptible(|| Ok::<(), ()>(()), search), Ok(search()));
///
/// assert_eq!(interruptible(|| Err("no more time"), search), Err("no more time"));
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn interruptible<T, E: Send + 'static>(
    mut callback: impl FnMut() -> Result<(), E> + 'static,
    work: impl FnOnce() -> T,
) -> Result<T, E> {
    let run = move || {
        if let Err(error) = callback() {
            resume_unwind(Box::new(InterruptionPayload(error)));
        }
    };
    let outer = THREAD_CALLBACK.replace(Some(ThreadInterruptCallback { run: Box::new(run), last_run: None }));
    // Unwind-safe: nothing of the interrupted work is used afterwards.
    let result = catch_unwind(AssertUnwindSafe(work));
    THREAD_CALLBACK.set(outer);
    result.map_err(|cause| match cause.downcast::<InterruptionPayload<E>>() {
        Ok(interruption) => interruption.0,
        Err(panic) => resume_unwind(panic),
    })
}

/// Adds `work`, in units of some nanoseconds, to the thread's count; resets a full count and runs a due callback.
#[inline]
pub(crate) fn count_interruptible_work(work: usize) {
    let sum = WORK.get().saturating_add(work);
    if sum < WORK_PER_CLOCK_READING {
        WORK.set(sum);
    } else {
        WORK.set(0);
        run_callback_if_due();
    }
}

/// Runs the thread's interruption callback if there is one and its last run is at least 50 ms ago.
#[cold]
fn run_callback_if_due() {
    // Taken out of the cell, because the callback itself may run a search.
    let Some(mut callback) = THREAD_CALLBACK.take() else { return };
    if callback.last_run.is_none_or(|last_run| last_run.elapsed() >= MIN_INTERRUPT_CALLBACK_INTERVAL) {
        (callback.run)();
        callback.last_run = Some(Instant::now());
    }
    THREAD_CALLBACK.set(Some(callback));
}
