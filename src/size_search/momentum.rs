//! Accelerated gradient iteration (Nesterov 1983), for the multipliers of the relaxations. The momentum starts again
//! where an extrapolated step points back (O'Donoghue and Candès 2015).

use crate::interrupt::Stoppable;

/// Temperature of the first pass.
const FIRST_TEMPERATURE: f64 = 0.02;

/// Temperature of the last pass × number of passes: fewer passes need a higher temperature to converge.
const LAST_TEMPERATURE_TIMES_PASSES: f64 = 0.08;

/// Number of passes, and the temperatures of the soft minimum or maximum in the first and in the last pass, as shares of
/// the absolute value of the minimum or maximum.
pub(super) type PassSchedule = (usize, [f64; 2]);

/// Returns the schedule of passes that start far from the best multipliers.
pub(super) fn schedule_of_passes(passes: usize) -> PassSchedule {
    (passes, [FIRST_TEMPERATURE, LAST_TEMPERATURE_TIMES_PASSES / passes as f64])
}

/// Runs at most the scheduled number of accelerated gradient steps from the multipliers `start`, all kept between 0 and
/// their maximums in `max`. The temperature falls from the first to the last by a constant factor.
///
/// `gradient_step` gets the number of the pass, from 1, the multipliers, which it may round in place, and the
/// temperature; it returns the multipliers after a gradient step, or `None` to end.
pub(super) fn run_gradient_steps(
    start: &[f64],
    max: &[f64],
    (passes, temperatures): PassSchedule,
    mut gradient_step: impl FnMut(usize, &mut [f64], f64) -> Stoppable<Option<Vec<f64>>>,
) -> Stoppable<()> {
    let cooling = libm::pow(temperatures[1] / temperatures[0], 1.0 / passes as f64);
    // Nesterov's factor t of the next step is 1 before the first; a restart takes t = 1 at once.
    let start: Vec<f64> = start.iter().zip(max).map(|(u, max)| u.clamp(0.0, *max)).collect();
    let (mut last, mut point, mut factor, mut temperature) = (start.clone(), start, 1.0, temperatures[0]);
    for pass in 1..=passes {
        let Some(next) = gradient_step(pass, &mut point, temperature)? else { break };
        let next: Vec<f64> = next.iter().zip(max).map(|(u, max)| u.clamp(0.0, *max)).collect();
        let products = point.iter().zip(&next).zip(&last).map(|((y, next), last)| (y - next) * (next - last));
        if products.sum::<f64>() > 0.0 {
            factor = 1.0;
        }
        // The step is extrapolated by (t − 1) / t′ times its difference from the previous iterate, with the factor t′
        // of the step after.
        let next_factor = f64::midpoint(1.0, f64::sqrt(1.0 + 4.0 * factor * factor));
        let multiple = (factor - 1.0) / next_factor;
        let extrapolated = next.iter().zip(&last).map(|(next, last)| next + multiple * (next - last));
        point = extrapolated.zip(max).map(|(u, max)| u.clamp(0.0, *max)).collect();
        (last, factor) = (next, next_factor);
        temperature *= cooling;
    }
    Ok(())
}
