//! Interruption of long searches: a callback runs every 50 ms or so and may stop the search.
//!
//! Long work counts its steps. A count returns `Stopped` once the callback has failed, and every calling function
//! passes this error on; the public function returns it as a problem with [`Code::Stopped`].

use std::cell::Cell;
use std::rc::Rc;
use std::time::{Duration, Instant};

use crate::error::{Code, Problem, Problems};

/// Amount of work after which the clock is read again, in units of a few nanoseconds.
const WORK_PER_CLOCK_READING: usize = 1 << 16;

/// Minimum time between two runs of the callback that may interrupt a search.
const MIN_INTERRUPT_CALLBACK_INTERVAL: Duration = Duration::from_millis(50);

/// Returns the present time; `None` on a platform without a clock, where the callback runs each time that
/// [`WORK_PER_CLOCK_READING`] is counted.
fn now_if_clock_exists() -> Option<Instant> {
    (!cfg!(all(target_family = "wasm", target_os = "unknown"))).then(Instant::now)
}

/// Error of work that ends without a result, because the callback has failed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Stopped;

/// Result of work that the callback may stop.
pub(crate) type Stoppable<T> = Result<T, Stopped>;

impl From<Stopped> for Problems {
    fn from(_: Stopped) -> Self {
        Problem::new(Code::Stopped, "search").into()
    }
}

/// Callback that may interrupt a search in the current thread, and the time at which the callback last ran.
struct ThreadInterruptCallback {
    run: Box<dyn FnMut() -> Stoppable<()>>,
    last_run: Option<Instant>,
    has_failed: bool,
}

thread_local! {
    static THREAD_CALLBACK: Cell<Option<ThreadInterruptCallback>> = const { Cell::new(None) };
    static WORK_SINCE_CLOCK_READING: Cell<usize> = const { Cell::new(0) };
}

/// Guard that holds the callback of an outer `interruptible` call, and restores it when dropped, after a panic as well.
struct OuterCallbackGuard(Option<ThreadInterruptCallback>);

impl Drop for OuterCallbackGuard {
    fn drop(&mut self) {
        THREAD_CALLBACK.set(self.0.take());
    }
}

/// Runs `work` and stops its searches as soon as `callback` returns an error.
///
/// `callback` runs in the same thread, first after some thousand steps of the work and then about every 50 ms. Only
/// [`fit_chart`](crate::survey::fit_chart) and the functions of [`size_search`](crate::size_search) run the callback; once
/// it has failed, they return a problem with [`Code::Stopped`]. Work of a few milliseconds may end before the first run.
/// The callback never changes the result.
///
/// # Errors
/// The error of `callback`, whatever `work` returns then.
///
/// ```
/// use kirtle::interrupt::interruptible;
/// use kirtle::size_search::{Loss, SearchSettings, best_chart};
/// use kirtle::survey::Population;
///
/// let women = Population::ansur_women().bodies(1, 0..2000)?;
/// let search = || best_chart(&women.waist, &women.hip, None, 6, &Loss::Absolute, &SearchSettings::default());
/// assert_eq!(interruptible(|| Ok::<(), ()>(()), search), Ok(search()));
///
/// assert_eq!(interruptible(|| Err("no more time"), search), Err("no more time"));
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn interruptible<T, E: 'static>(
    mut callback: impl FnMut() -> Result<(), E> + 'static,
    work: impl FnOnce() -> T,
) -> Result<T, E> {
    let failure = Rc::new(Cell::new(None));
    let failure_of_callback = Rc::clone(&failure);
    let run = move || {
        callback().map_err(|error| {
            failure_of_callback.set(Some(error));
            Stopped
        })
    };
    let callback = ThreadInterruptCallback { run: Box::new(run), last_run: None, has_failed: false };
    let outer = OuterCallbackGuard(THREAD_CALLBACK.replace(Some(callback)));
    let result = work();
    drop(outer);
    failure.take().map_or(Ok(result), Err)
}

/// Adds `work`, in units of a few nanoseconds, to the thread's count. Once the count reaches
/// [`WORK_PER_CLOCK_READING`], sets the count to 0 and runs the callback, unless it has failed or ran less than 50 ms ago.
///
/// # Errors
/// [`Stopped`] if the callback fails or has failed.
#[inline]
pub(crate) fn count_interruptible_work(work: usize) -> Stoppable<()> {
    let sum = WORK_SINCE_CLOCK_READING.get().saturating_add(work);
    let is_full = sum >= WORK_PER_CLOCK_READING;
    WORK_SINCE_CLOCK_READING.set(if is_full { 0 } else { sum });
    if is_full { run_callback_if_due() } else { Ok(()) }
}

/// Runs the thread's callback, if there is one, unless it has failed or ran less than 50 ms ago.
#[cold]
fn run_callback_if_due() -> Stoppable<()> {
    // Taken out of the cell, because the callback itself may run a search.
    let Some(mut callback) = THREAD_CALLBACK.take() else { return Ok(()) };
    if !callback.has_failed
        && callback.last_run.is_none_or(|last_run| last_run.elapsed() >= MIN_INTERRUPT_CALLBACK_INTERVAL)
    {
        callback.has_failed = (callback.run)().is_err();
        callback.last_run = now_if_clock_exists();
    }
    let has_failed = callback.has_failed;
    THREAD_CALLBACK.set(Some(callback));
    if has_failed { Err(Stopped) } else { Ok(()) }
}
