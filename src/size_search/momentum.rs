//! Accelerated gradient iteration (Nesterov 1983), for the multipliers of both relaxations. The momentum starts again
//! where an extrapolated step points back (O'Donoghue and Candès 2015).

/// State of an accelerated gradient iteration: the last iterate, and the factor that sets the momentum.
pub(super) struct AcceleratedGradientState {
    last: Vec<f64>,
    factor: f64,
}

impl AcceleratedGradientState {
    /// Creates the state before the first iteration: the iterate `start`, without momentum.
    pub(super) fn new(start: Vec<f64>) -> Self {
        Self { last: start, factor: 1.0 }
    }

    /// Stores the iterate `next`, a gradient step from `point`, and returns the point at which to take the next gradient:
    /// `next` plus a multiple of its difference from the previous iterate.
    pub(super) fn extrapolate(&mut self, point: &[f64], next: Vec<f64>) -> Vec<f64> {
        let products = point.iter().zip(&next).zip(&self.last).map(|((y, next), last)| (y - next) * (next - last));
        if products.sum::<f64>() > 0.0 {
            self.factor = 1.0;
        }
        let next_factor = f64::midpoint(1.0, f64::sqrt(1.0 + 4.0 * self.factor * self.factor));
        let multiple = (self.factor - 1.0) / next_factor;
        let extrapolated = next.iter().zip(&self.last).map(|(next, last)| next + multiple * (next - last)).collect();
        (self.last, self.factor) = (next, next_factor);
        extrapolated
    }
}
