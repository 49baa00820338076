//! Drafts of dual numbers, which carry exact derivatives.
//!
//! The draft is solved once, in `f64`. Newton steps on all unknowns together give the derivatives (implicit functions).

use nalgebra::DMatrix;
use num_dual::Dual64;

use super::closure::evaluate_closure_at;
use super::kind::DraftKind;
use super::solution::{Solution, Unknown};
use super::{Draft, DraftPlan};
use crate::scalar::Scalar;

impl<T: Scalar> Draft<T> {
    /// Converts the draft to another scalar type, such as a dual number, which carries exact derivatives.
    ///
    /// `f` converts every number of body, figure, ease and rules, in the order of their tables of fields. The draft is
    /// then computed again from the converted numbers. The values of the draft stay the same; only derivatives are
    /// added.
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
    pub fn lift<U: Scalar>(&self, mut f: impl FnMut(T) -> U) -> Draft<U> {
        // Only checked values are valid inputs, so the real part of each number is restored after `f`.
        let inputs = self.inputs.map_fields(|_, value| {
            let lifted = f(value);
            lifted + U::constant(value.re() - lifted.re())
        });
        let mut plan = DraftPlan::from_checked_inputs(&inputs);
        let solution = self.solution.map_unknowns(&mut |unknown| unknown.re());
        let mut exact = solution.map_unknowns(&mut U::constant);
        if U::DERIVATIVE_ORDER > 0 {
            let count = plan.set_solution_returning_residuals(exact).len();
            // The kind is that of the lifted inputs, so that the residuals follow the same series or quadrature.
            let (kind, max_lean_tangent) = DraftKind::kind_and_steepest_side_tangent(&inputs);
            let constant = |number: U| Dual64::from_re(number.re());
            let mut dual_plan =
                DraftPlan::new(&inputs.map_fields(|_, number| constant(number)), kind, constant(max_lean_tangent));
            // The Jacobian matrix has a row for each residual and a column for each unknown.
            let residuals = (0..count).flat_map(|column| {
                let mut indices = 0..;
                let mut dual = |value| Dual64::new(value, if indices.next() == Some(column) { 1.0 } else { 0.0 });
                dual_plan.set_solution_returning_residuals(solution.map_unknowns(&mut dual))
            });
            let jacobian = DMatrix::from_iterator(count, count, residuals.map(|residual| residual.eps));
            let nan = || DMatrix::from_element(count, count, f64::NAN);
            let inverse = jacobian.clone().try_inverse().unwrap_or_else(nan);
            // Each Newton step with these slopes makes the derivatives of one more order exact.
            for _ in 0..U::DERIVATIVE_ORDER {
                let (residuals, mut rows) = (plan.set_solution_returning_residuals(exact), inverse.row_iter());
                exact = exact.map_unknowns(&mut |unknown| {
                    let next = if let [residual] = residuals[..] {
                        unknown - residual / U::constant(jacobian[0])
                    } else {
                        let slopes = rows.next();
                        let terms = residuals.iter().zip(slopes.iter().flatten());
                        terms.fold(unknown, |sum, (r, slope)| sum - *r * U::constant(*slope))
                    };
                    // The step shifts the value by a rounding error.
                    next + U::constant(unknown.re() - next.re())
                });
            }
        }
        plan.set_solution(exact);
        plan.build_draft(inputs, exact)
    }
}

impl<T: Scalar> DraftPlan<T> {
    /// Sets the plan to a solution; returns the residuals, one for each unknown, in centimetres.
    fn set_solution_returning_residuals(&mut self, solution: Solution<T>) -> Vec<T> {
        self.set_solution(solution);
        let mut residuals = vec![evaluate_closure_at(self, solution.suppression).0[0]];
        if let (Some(front), Unknown::Solved(_)) = (&self.front_waist, solution.front_share) {
            residuals.push(self.half_front_waist_residual(front, solution.suppression));
        }
        let is_solved = solution.room.iter().any(|number| matches!(number, Unknown::Solved(_)));
        if let Some(high_hip) = self.high_hip.filter(|_| is_solved) {
            residuals.push(self.closure_and_high_hip_residuals(&high_hip, solution.suppression).0[1]);
        }
        residuals
    }
}
