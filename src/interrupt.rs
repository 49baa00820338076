//! Interruption of long searches: a callback runs every 50 ms or so and may stop the search.
//!
//! Long work counts its steps. A count returns `Stopped` once the callback has failed, and every calling function
//! passes this error on; the public function returns it as a problem with [`Code::Stopped`].

use std::cell::Cell;
use std::rc::Rc;
use std::sync::Mutex;
use std::thread;
use std::time::{Duration, Instant};

use crate::error::{Code, Problem, Problems};

/// Amount of work after which the clock is read again, in units of a few nanoseconds.
const WORK_PER_CLOCK_READING: usize = 1 << 16;

/// Number of results that a thread computes at a time.
const RESULTS_PER_BLOCK: usize = 1 << 10;

/// Minimum time between two runs of the callback that may interrupt a search.
const MIN_INTERRUPT_CALLBACK_INTERVAL: Duration = Duration::from_millis(50);

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

/// Callback of a thread: runs the caller's callback unless it has failed or ran less than 50 ms ago.
type ThreadInterruptCallback = Box<dyn FnMut() -> Stoppable<()>>;

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
/// [`fit_chart`](crate::survey::fit_chart) and the functions of [`size_search`](crate::size_search) run the callback;
/// once it has failed, they return a problem with [`Code::Stopped`]. Work of a few milliseconds may end before the
/// first run. The callback never changes the result.
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
    let (failure_of_callback, mut result_of_callback, mut last_run) = (Rc::clone(&failure), Ok(()), None);
    let run_if_due = move || {
        let is_due = last_run.is_none_or(|last_run: Instant| last_run.elapsed() >= MIN_INTERRUPT_CALLBACK_INTERVAL);
        if is_due && result_of_callback.is_ok() {
            result_of_callback = callback().map_err(|error| failure_of_callback.set(Some(error))).map_err(|()| Stopped);
            // On a platform without a clock the callback runs each time that `WORK_PER_CLOCK_READING` is counted.
            last_run = (!cfg!(all(target_family = "wasm", target_os = "unknown"))).then(Instant::now);
        }
        result_of_callback
    };
    let outer = OuterCallbackGuard(THREAD_CALLBACK.replace(Some(Box::new(run_if_due))));
    let result = work();
    drop(outer);
    failure.take().map_or(Ok(result), Err)
}

/// Adds `work`, in units of a few nanoseconds, to the thread's count. Once the count reaches
/// [`WORK_PER_CLOCK_READING`], sets the count to 0 and runs the callback, unless it has failed or ran less than 50 ms
/// ago.
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
    let result = callback();
    THREAD_CALLBACK.set(Some(callback));
    result
}

/// Returns the number of threads for a large table: the value of the environment variable `RAYON_NUM_THREADS`, or else
/// the number of processors.
pub(crate) fn default_thread_count() -> usize {
    let requested = std::env::var("RAYON_NUM_THREADS").ok().and_then(|count| count.parse().ok());
    let processors = || thread::available_parallelism().map_or(1, usize::from);
    requested.filter(|count| *count > 0).unwrap_or_else(processors)
}

/// Returns `map` of each number from 0 to `count` − 1, computed on all processors. Only in the calling thread can `map`
/// be interrupted; the other threads then end their blocks.
pub(crate) fn map_in_threads<T: Clone + Default + Send>(
    count: usize,
    map: impl Fn(usize) -> Stoppable<T> + Sync,
) -> Stoppable<Vec<T>> {
    if count > RESULTS_PER_BLOCK {
        // The other threads may leave the calling thread no block.
        count_interruptible_work(WORK_PER_CLOCK_READING)?;
    }
    let mut results = vec![T::default(); count];
    let blocks = Mutex::new(results.chunks_mut(RESULTS_PER_BLOCK).enumerate());
    let next_block = || blocks.lock().ok()?.next();
    let work = || {
        while let Some((k, block)) = next_block() {
            for (index, result) in block.iter_mut().enumerate() {
                *result = map(k * RESULTS_PER_BLOCK + index)?;
            }
        }
        Ok(())
    };
    thread::scope(|scope| {
        for _ in 1..default_thread_count().min(count.div_ceil(RESULTS_PER_BLOCK)) {
            // The work of a thread that cannot start is left to the others.
            drop(thread::Builder::new().spawn_scoped(scope, work));
        }
        work().inspect_err(|_| while next_block().is_some() {})
    })?;
    Ok(results)
}
