//! Long searches that can be stopped.
//!
//! A search asks from deep within whether it is to go on. Where it is not, it is unwound as by a panic, but without one's
//! message, so that no function between needs to know of it.

use std::cell::Cell;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::time::{Duration, Instant};

/// Steps of some nanoseconds between two looks at the clock.
const STEPS: usize = 1 << 16;

/// The least time between two questions.
const EVERY: Duration = Duration::from_millis(50);

/// Who is asked in this thread, and when that was last.
struct Watch {
    ask: Box<dyn FnMut()>,
    asked: Option<Instant>,
}

/// Why a search was stopped.
struct Stopped<E>(E);

thread_local! {
    static WATCH: Cell<Option<Watch>> = const { Cell::new(None) };
    static WORKED: Cell<usize> = const { Cell::new(0) };
}

/// Runs a search or a fit, such as [`best_chart`](crate::survey::best_chart) or [`fit_chart`](crate::survey::fit_chart), that can be stopped.
///
/// `goes_on` is asked in the same thread, first after some thousand steps and then about every 50 ms; short work may end
/// before. What it decides changes nothing but whether there is a result. Other work is not asked.
///
/// # Errors
/// What `goes_on` gives as an error: the work is then unwound and dropped. Where panics abort, the process ends.
///
/// ```
/// use kirtle::survey::{Loss, Population, SearchSettings, best_chart, interruptible};
///
/// let women = Population::ansur_women().bodies(1, 0..2000)?;
/// let seek = || best_chart(&women.waist, &women.hip, 6, &Loss::Absolute, &SearchSettings::default());
/// assert_eq!(interruptible(|| Ok::<(), ()>(()), seek), Ok(seek()));
///
/// assert_eq!(interruptible(|| Err("no more time"), seek), Err("no more time"));
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn interruptible<T, E: Send + 'static>(
    mut goes_on: impl FnMut() -> Result<(), E> + 'static,
    work: impl FnOnce() -> T,
) -> Result<T, E> {
    let ask = move || {
        if let Err(why) = goes_on() {
            resume_unwind(Box::new(Stopped(why)));
        }
    };
    let before = WATCH.replace(Some(Watch { ask: Box::new(ask), asked: None }));
    // What was unwound is dropped here, and seen by nobody.
    let found = catch_unwind(AssertUnwindSafe(work));
    WATCH.set(before);
    found.map_err(|cause| match cause.downcast::<Stopped<E>>() {
        Ok(stopped) => stopped.0,
        Err(panic) => resume_unwind(panic),
    })
}

/// Counts steps of some nanoseconds, and asks now and then.
#[inline]
pub(super) fn worked(steps: usize) {
    let sum = WORKED.get().saturating_add(steps);
    if sum < STEPS {
        WORKED.set(sum);
    } else {
        WORKED.set(0);
        ask();
    }
}

#[cold]
fn ask() {
    // While somebody is asked nobody else is: what they do may search, too.
    let Some(mut watch) = WATCH.take() else { return };
    if watch.asked.is_none_or(|asked| asked.elapsed() >= EVERY) {
        (watch.ask)();
        watch.asked = Some(Instant::now());
    }
    WATCH.set(Some(watch));
}
