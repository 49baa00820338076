//! Drafts of dual numbers, which carry exact derivatives: the closure is solved once, in `f64`, and its derivatives follow.

use num_dual::Dual64;

use super::closure::residual_at;
use super::{Draft, DraftPlan};
use crate::scalar::Scalar;

impl<T: Scalar> Draft<T> {
    /// Converts the draft to another scalar type, such as a dual number, which carries exact derivatives.
    ///
    /// `f` converts every number of body, ease and rules, in the order of their tables. The draft is then computed
    /// again from the converted numbers. The values of the draft stay equal; only derivatives are added.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules};
    /// use num_dual::Dual64;
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let mut first = true;
    /// let by_waist = draft.lift(|value| Dual64::new(value, if std::mem::take(&mut first) { 1.0 } else { 0.0 }));
    /// // 1 cm more waist needs about 0.5 cm less suppression on half the garment.
    /// assert!((by_waist.suppression.total.eps + 0.5).abs() < 0.02);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    #[must_use]
    pub fn lift<U: Scalar>(&self, mut f: impl FnMut(T) -> U) -> Draft<U> {
        // Only checked values are valid inputs, so each value is restored after `f`.
        let inputs = self.inputs.map_numbers(|value| {
            let lifted = f(value);
            lifted + U::constant(value.re() - lifted.re())
        });
        let plan = DraftPlan::from_checked_inputs(&inputs);
        let suppression = suppression_with_derivatives(&plan, self.suppression.total.re());
        plan.build_draft_at_suppression(inputs, suppression)
    }
}

/// Returns the solution of the closure with its derivatives, by the implicit function theorem.
fn suppression_with_derivatives<T: Scalar>(plan: &DraftPlan<T>, solution: f64) -> T {
    let mut exact = T::constant(solution);
    if T::DERIVATIVE_ORDER > 0 {
        let slope = residual_derivative_by_suppression(&plan.map_numbers(&mut Scalar::re), solution);
        // Each Newton step with this slope makes the derivatives of one more order exact.
        for _ in 0..T::DERIVATIVE_ORDER {
            exact -= residual_at(plan, exact).value / T::constant(slope);
        }
        // The Newton steps shift the value by a rounding error; restore the value of the solution.
        exact += T::constant(solution - exact.re());
    }
    exact
}

/// Returns the derivative of the residual with respect to the suppression.
fn residual_derivative_by_suppression(plan: &DraftPlan<f64>, suppression: f64) -> f64 {
    let dual = plan.map_numbers(&mut Dual64::from_re);
    residual_at(&dual, Dual64::new(suppression, 1.0)).value.eps
}
