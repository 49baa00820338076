//! Accelerated gradient iteration (Nesterov 1983), for the multipliers of both relaxations. The momentum starts again
//! where an extrapolated step points back (O'Donoghue and Candès 2015).

/// State of an accelerated gradient iteration over multipliers, each from 0 to its own maximum.
pub(super) struct AcceleratedGradientState {
    pub(super) max: Vec<f64>,
    /// Last iterate.
    pub(super) last_iterate: Vec<f64>,
    /// Nesterov's factor t of the next step; 1 before the first step and after a restart. The step is extrapolated by
    /// (t − 1) / t′ times its difference from the previous iterate, where t′ is the factor of the step after.
    pub(super) factor: f64,
}

impl AcceleratedGradientState {
    /// Stores the iterate `next`, a gradient step from `point`, and returns the point at which to take the next
    /// gradient: `next` plus a multiple of its difference from the previous iterate. Both are clamped to the range of
    /// the multipliers.
    pub(super) fn store_iterate_and_extrapolate(&mut self, point: &[f64], next: impl Iterator<Item = f64>) -> Vec<f64> {
        let next: Vec<f64> = next.zip(&self.max).map(|(u, max)| u.clamp(0.0, *max)).collect();
        let products =
            point.iter().zip(&next).zip(&self.last_iterate).map(|((y, next), last)| (y - next) * (next - last));
        if products.sum::<f64>() > 0.0 {
            self.factor = 1.0;
        }
        let next_factor = f64::midpoint(1.0, f64::sqrt(1.0 + 4.0 * self.factor * self.factor));
        let multiple = (self.factor - 1.0) / next_factor;
        let extrapolated = next.iter().zip(&self.last_iterate).map(|(next, last)| next + multiple * (next - last));
        let extrapolated = extrapolated.zip(&self.max).map(|(u, max)| u.clamp(0.0, *max)).collect();
        (self.last_iterate, self.factor) = (next, next_factor);
        extrapolated
    }
}
