//! Drafts of dual numbers, which carry exact derivatives.
//!
//! The draft is solved once, in `f64`. Derivatives come from Newton steps on all unknowns together (implicit function
//! theorem).

use arrayvec::ArrayVec;
use nalgebra::DMatrix;
use num_dual::Dual64;

use super::closure::residual_at;
use super::front_waist::FrontDartShare;
use super::high_hip::HighHipRoom;
use super::solution::Solution;
use super::{Draft, DraftPlan};
use crate::scalar::Scalar;

/// Maximum number of unknowns of a draft: suppression, share of the front darts, room at the high hip.
const MAX_UNKNOWNS: usize = 3;

impl<T: Scalar> Draft<T> {
    /// Converts the draft to another scalar type, such as a dual number, which carries exact derivatives.
    ///
    /// `f` converts every number of body, figure, ease and rules, in the order of their tables of fields. The draft is
    /// then computed again from the converted numbers. The values of the draft stay equal; only derivatives are added.
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
        // Only checked values are valid inputs, so the real part of each number is restored after `f`.
        let inputs = self.inputs.map_numbers(|value| {
            let lifted = f(value);
            lifted + U::constant(value.re() - lifted.re())
        });
        let mut plan = DraftPlan::from_checked_inputs(&inputs);
        let solution = plan.solution_with_derivatives(self.solution.map_unknowns(&mut |unknown| unknown.re()));
        plan.build_draft(inputs, solution)
    }
}

impl<T: Scalar> DraftPlan<T> {
    /// Sets the plan to a solution; returns the residuals, one for each unknown, in centimetres.
    fn residuals_at_solution(&mut self, solution: Solution<T>) -> ArrayVec<T, MAX_UNKNOWNS> {
        self.set_solution(solution);
        let mut residuals = ArrayVec::new();
        residuals.push(residual_at(self, solution.suppression).value);
        if let (Some(front), FrontDartShare::Solved(_)) = (&self.front_waist, solution.front_share) {
            residuals.push(self.front_waist_residual(front, solution.suppression));
        }
        let is_solved = matches!(solution.room, HighHipRoom::Fullness(_) | HighHipRoom::DartLengths(_));
        if let Some(high_hip) = self.high_hip.filter(|_| is_solved) {
            residuals.push(self.high_hip_residual(&high_hip, solution.suppression).0);
        }
        residuals
    }

    /// Adds derivatives to a solution in `f64`; sets the plan to the result, and returns the result.
    pub(super) fn solution_with_derivatives(&mut self, solution: Solution<f64>) -> Solution<T> {
        let mut exact = solution.map_unknowns(&mut T::constant);
        let count = self.residuals_at_solution(exact).len();
        if count == 1 {
            exact.suppression = suppression_with_derivatives(self, solution.suppression);
            return exact;
        }
        if T::DERIVATIVE_ORDER > 0 {
            let inverse = self.map_numbers(&mut Scalar::re).inverse_jacobian(solution, count);
            // Each Newton step with these slopes makes the derivatives of one more order exact.
            for _ in 0..T::DERIVATIVE_ORDER {
                let (residuals, mut row) = (self.residuals_at_solution(exact), 0);
                exact = exact.map_unknowns(&mut |unknown| {
                    let slopes = inverse.row(row);
                    row += 1;
                    residuals.iter().zip(&slopes).fold(unknown, |sum, (r, slope)| sum - *r * T::constant(*slope))
                });
            }
        }
        // The Newton steps shift the values by a rounding error; restore the values of the solution.
        let mut values = ArrayVec::<f64, MAX_UNKNOWNS>::new();
        solution.map_unknowns(&mut |value| values.push(value));
        let mut values = values.into_iter();
        let restored = &mut |number: T| number + T::constant(values.next().unwrap_or(f64::NAN) - number.re());
        exact = exact.map_unknowns(restored);
        self.set_solution(exact);
        exact
    }
}

impl DraftPlan<f64> {
    /// Returns the inverse of the Jacobian matrix (derivatives of the `count` residuals by the unknowns), with a row
    /// for each unknown; filled with NaN if the Jacobian is singular.
    fn inverse_jacobian(&self, solution: Solution<f64>, count: usize) -> DMatrix<f64> {
        let mut plan = self.map_numbers(&mut Dual64::from_re);
        let mut jacobian = DMatrix::zeros(count, count);
        for column in 0..count {
            let mut index = 0;
            let dual = solution.map_unknowns(&mut |value| {
                index += 1;
                Dual64::new(value, if index == column + 1 { 1.0 } else { 0.0 })
            });
            for (row, residual) in plan.residuals_at_solution(dual).into_iter().enumerate() {
                jacobian[(row, column)] = residual.eps;
            }
        }
        jacobian.try_inverse().unwrap_or_else(|| DMatrix::from_element(count, count, f64::NAN))
    }
}

/// Returns the suppression that closes the waist, with its derivatives by the implicit function theorem.
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

/// Returns the derivative of the closure's residual with respect to the suppression, at the given suppression.
fn residual_derivative_by_suppression(plan: &DraftPlan<f64>, suppression: f64) -> f64 {
    let dual = plan.map_numbers(&mut Dual64::from_re);
    residual_at(&dual, Dual64::new(suppression, 1.0)).value.eps
}
