//! Solution of a draft: the suppression, and what a measured figure adds as further unknowns.
//!
//! The unknowns are solved one inside the other: the room at the high hip, in it the share of the front darts, in it the
//! suppression.

use super::closure::solve_closure_by_secant;
use super::front_waist::{FrontDartShare, FrontWaistTarget};
use super::high_hip::{HighHipRoom, HighHipTarget, max_side_fullness};
use super::plan::DraftPlan;
use crate::scalar::Scalar;

/// Largest absolute residual of half the front waist, in centimetres, at which the search for the front dart share stops.
const FRONT_WAIST_RESIDUAL_TOLERANCE_CM: f64 = 1e-12;

/// Largest absolute residual of half the girth at the high hip, in centimetres; it carries the rounding of the inner solutions.
const HIGH_HIP_RESIDUAL_TOLERANCE_CM: f64 = 1e-11;

/// Maximum number of iterations of [`find_root_between`]; ordinary bodies need fewer than ten.
const MAX_ROOT_ITERATIONS: usize = 80;

/// Solution of a draft: the suppression that closes the waist, and the numbers solved for front waist and high hip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Solution<T> {
    pub(crate) suppression: T,
    pub(crate) front_share: FrontDartShare<T>,
    pub(crate) room: HighHipRoom<T>,
}

impl<T> Solution<T> {
    /// Converts every unknown to another scalar type by `f`: the suppression, then the solved numbers of the figure.
    pub(super) fn map_unknowns<U>(self, f: &mut impl FnMut(T) -> U) -> Solution<U> {
        Solution {
            suppression: f(self.suppression),
            front_share: self.front_share.map_number(f),
            room: self.room.map_number(f),
        }
    }
}

impl<T: Scalar> DraftPlan<T> {
    /// Sets side seam, dart lengths and shares of the plan to those of a solution; the suppression is no part of a plan.
    pub(super) fn set_solution(&mut self, solution: Solution<T>) {
        self.set_high_hip_room(solution.room);
        self.set_front_dart_share(solution.front_share);
    }
}

impl DraftPlan<f64> {
    /// Solves the draft and sets the plan to the solution; returns the solution and the residual of the closure.
    pub(super) fn solve_all_unknowns(&mut self) -> (Solution<f64>, f64) {
        let room = self.high_hip.map_or(HighHipRoom::ByRules, |high_hip| self.solve_high_hip_room(&high_hip));
        let (front_share, suppression, residual) = self.solve_with_high_hip_room(room);
        (Solution { suppression, front_share, room }, residual)
    }

    /// Solves front share and suppression for a given `room`; returns front share, suppression and residual of the closure.
    fn solve_with_high_hip_room(&mut self, room: HighHipRoom<f64>) -> (FrontDartShare<f64>, f64, f64) {
        self.set_high_hip_room(room);
        let share = self.front_waist.map_or(FrontDartShare::ByRules, |front| self.solve_front_dart_share(&front));
        self.set_front_dart_share(share);
        let (suppression, residual) = solve_closure_by_secant(self);
        (share, suppression, residual)
    }

    /// Finds the share of the front darts at which the front waist has its wanted length.
    fn solve_front_dart_share(&mut self, front: &FrontWaistTarget<f64>) -> FrontDartShare<f64> {
        let mut residual = |share| {
            self.set_front_dart_share(share);
            let (total, _) = solve_closure_by_secant(self);
            self.front_waist_residual(front, total)
        };
        let [least, most] = [FrontDartShare::Least, FrontDartShare::Most].map(&mut residual);
        match (least > 0.0, most < 0.0) {
            _ if least.is_nan() || most.is_nan() => FrontDartShare::ByRules,
            (false, _) => FrontDartShare::Least,
            (_, false) => FrontDartShare::Most,
            _ => {
                let ends = [(0.0, least), (front.rule_shares[0] + front.rule_shares[1], most)];
                find_root_between(ends, FRONT_WAIST_RESIDUAL_TOLERANCE_CM, |share| {
                    residual(FrontDartShare::Solved(share))
                })
                .map_or(FrontDartShare::ByRules, FrontDartShare::Solved)
            }
        }
    }

    /// Finds how the skirt gets room at the high hip: by the smallest fullness of the side seam that is enough; if none is, by the
    /// maximum fullness and darts shortened as little as possible.
    fn solve_high_hip_room(&mut self, high_hip: &HighHipTarget<f64>) -> HighHipRoom<f64> {
        let rule_fullness = self.side.fullness;
        let factor = self.min_dart_length_factor();
        let mut residual = |room| {
            let (_, total, _) = self.solve_with_high_hip_room(room);
            self.high_hip_residual(high_hip, total)
        };
        let [by_rules, fullest] = [HighHipRoom::ByRules, HighHipRoom::Fullest].map(&mut residual);
        if by_rules >= 0.0 || by_rules.is_nan() {
            return HighHipRoom::ByRules;
        }
        if fullest > 0.0 {
            let ends = [(rule_fullness, by_rules), (max_side_fullness(), fullest)];
            let root = find_root_between(ends, HIGH_HIP_RESIDUAL_TOLERANCE_CM, |f| residual(HighHipRoom::Fullness(f)));
            return root.map_or(HighHipRoom::Fullest, HighHipRoom::Fullness);
        }
        let most = residual(HighHipRoom::Most);
        if most <= fullest + HIGH_HIP_RESIDUAL_TOLERANCE_CM || most.is_nan() {
            return HighHipRoom::Fullest;
        }
        if most <= 0.0 {
            return HighHipRoom::Most;
        }
        let ends = [(factor, most), (1.0, fullest)];
        let root = find_root_between(ends, HIGH_HIP_RESIDUAL_TOLERANCE_CM, |f| residual(HighHipRoom::DartLengths(f)));
        root.map_or(HighHipRoom::Most, HighHipRoom::DartLengths)
    }
}

/// Finds a root between two numbers whose residuals have different signs, by the Illinois method, a secant that keeps the root
/// between its ends; `None` if no residual becomes small, as at a jump.
fn find_root_between(ends: [(f64, f64); 2], tolerance: f64, mut residual: impl FnMut(f64) -> f64) -> Option<f64> {
    let ([(mut low, mut at_low), (mut high, mut at_high)], mut last) = (ends, 0.0);
    for _ in 0..MAX_ROOT_ITERATIONS {
        let number = (low * at_high - high * at_low) / (at_high - at_low);
        let found = residual(number);
        if found.abs() <= tolerance {
            return Some(number);
        }
        // An end that stays twice in a row would slow the secant, so its residual is halved.
        let stays = if found * last > 0.0 { 0.5 } else { 1.0 };
        if found * at_low > 0.0 {
            (low, at_low, at_high) = (number, found, at_high * stays);
        } else {
            (high, at_high, at_low) = (number, found, at_low * stays);
        }
        last = found;
    }
    None
}
