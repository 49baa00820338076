//! Solution of a draft: the suppression and, for a measured figure, two more unknowns.
//!
//! Three solvers are nested: the outer one searches the room at the high hip, for each trial the next one searches the
//! share of the front darts, and for each share the inner one solves the suppression.

use self::Unknown::{ByRules, Max, Min, Solved};
use super::closure::solve_closure_by_secant;
use super::front_waist::FrontWaistTarget;
use super::high_hip::{HighHipTarget, max_side_fullness};
use super::plan::DraftPlan;
use crate::geometry::find_root_between;
use crate::scalar::{Mask, Number, Scalar, inlined};

/// Largest absolute residual of half the front waist, in centimetres, at which the search for the share stops.
const HALF_FRONT_WAIST_TOLERANCE_CM: f64 = 1e-12;

/// Largest absolute residual of half the girth at the high hip, in centimetres, at which the search for room stops; it
/// exceeds the rounding errors that the inner solvers leave.
const HALF_HIGH_HIP_TOLERANCE_CM: f64 = 1e-11;

/// Source of a number that the rules give and a measured figure may change.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Unknown<T> {
    /// By the rules: nothing is measured that needs another number, or the search for one fails.
    ByRules,
    /// Solved number: with it, the draft just has the measured length or girth.
    Solved(T),
    /// Smallest possible number; even with it, the draft misses the measured length or girth.
    Min,
    /// Largest possible number; even with it, the draft misses the measured length or girth.
    Max,
}

impl<T> Unknown<T> {
    /// Converts a solved number by `f`.
    #[inline(always)]
    pub(super) fn map_solved<U>(self, f: &mut impl FnMut(T) -> U) -> Unknown<U> {
        match self {
            ByRules => Unknown::ByRules,
            Solved(number) => Unknown::Solved(f(number)),
            Min => Unknown::Min,
            Max => Unknown::Max,
        }
    }
}

/// Solution of a draft: the suppression that closes the waist, and the numbers solved for front waist and high hip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Solution<T> {
    pub(crate) suppression: T,
    /// Share of the suppression that the front darts take, for a measured front waist.
    pub(crate) front_share: Unknown<T>,
    /// Fullness of the side seam, then factor on all dart lengths, for a measured high hip. Darts are shortened only
    /// where the fullest side seam gives too little room.
    pub(crate) room: [Unknown<T>; 2],
}

impl<T> Solution<T> {
    /// Converts every unknown by `f`: the suppression, then the numbers solved for front waist and high hip.
    pub(super) fn map_unknowns<U>(self, f: &mut impl FnMut(T) -> U) -> Solution<U> {
        Solution {
            suppression: f(self.suppression),
            front_share: self.front_share.map_solved(f),
            room: self.room.map(|number| number.map_solved(f)),
        }
    }
}

impl<T: Scalar> DraftPlan<T> {
    /// Sets side seam, dart lengths and shares of the plan to those of a solution; a plan holds no suppression.
    pub(super) fn set_solution(&mut self, solution: Solution<T>) {
        self.set_high_hip_room(solution.room);
        self.set_front_dart_share(solution.front_share);
    }
}

impl<T: Number> DraftPlan<T> {
    /// Solves the suppression that closes the waist and, if a front waist is measured, also the share of the front
    /// darts, with the plan set to `room` at the high hip. Returns the solution, the residual of the closure in
    /// centimetres, and a mask of the solved lanes.
    #[inline(always)]
    fn solve_shares_and_closure(&mut self, room: [Unknown<T>; 2]) -> (Solution<T>, T, T::Mask) {
        if let Some(front) = self.front_waist {
            let ([share, suppression, residual], is_solved) =
                T::out_of_line(inlined!(|| self.solve_front_share_and_closure(&front)));
            return (Solution { suppression, front_share: Solved(share), room }, residual, is_solved);
        }
        let (suppression, residual) = solve_closure_by_secant(self);
        (Solution { suppression, front_share: ByRules, room }, residual, T::Mask::uniform(true))
    }

    /// Solves the drafts of all lanes and sets the plan to the solutions; returns the solution, the residual of the
    /// closure in centimetres, and a mask of the solved lanes.
    #[inline(always)]
    pub(super) fn solve_in_lanes(&mut self) -> (Solution<T>, T, T::Mask) {
        let (solution, residual, is_solved) = self.solve_shares_and_closure([ByRules; 2]);
        let Some(high_hip) = self.high_hip else { return (solution, residual, is_solved) };
        let (residuals, is_exact) = self.closure_and_high_hip_residuals(&high_hip, solution.suppression);
        let (has_room, is_solved) = (T::constant(0.0).le(residuals[1]), is_solved & is_exact);
        if has_room.all() {
            return (solution, residual, is_solved);
        }
        let (with_room, closure, gives_room) = T::out_of_line(inlined!(|| {
            self.solve_room_and_closure(&high_hip, is_solved & !has_room, solution, residuals)
        }));
        (with_room, T::select(gives_room, closure, residual), is_solved & (has_room | gives_room))
    }
}

impl DraftPlan<f64> {
    /// Solves the draft of one body and sets the plan to the solution; returns the solution, and the residual of the
    /// closure in centimetres. Searches only what [`solve_in_lanes`](Self::solve_in_lanes) does not solve.
    pub(super) fn solve_all_unknowns_with_residual(&mut self) -> (Solution<f64>, f64) {
        let (solution, residual, is_solved) = self.solve_in_lanes();
        if is_solved {
            return (solution, residual);
        }
        let by_rules = self.solve_with_high_hip_room([ByRules; 2]);
        let Some(high_hip) = self.high_hip else { return by_rules };
        let ([_, room, _], _) = self.closure_and_high_hip_residuals(&high_hip, by_rules.0.suppression);
        if room >= 0.0 || room.is_nan() {
            return by_rules;
        }
        let room = self.search_high_hip_room(&high_hip, room);
        self.solve_with_high_hip_room(room)
    }

    /// Solves front share and suppression for a given source of room at the high hip, and sets the plan to that source
    /// and the share; returns the solution, and the residual of the closure in centimetres.
    fn solve_with_high_hip_room(&mut self, room: [Unknown<f64>; 2]) -> (Solution<f64>, f64) {
        self.set_high_hip_room(room);
        let (mut solution, mut residual, is_solved) = self.solve_shares_and_closure(room);
        if let (Some(front), false) = (self.front_waist, is_solved) {
            solution.front_share = self.search_front_dart_share(&front);
            self.set_front_dart_share(solution.front_share);
            (solution.suppression, residual) = solve_closure_by_secant(self);
        }
        (solution, residual)
    }

    /// Searches the share of the front darts, between 0 and the shares of back and front together, at which the front
    /// waist has its wanted length. If even one of these bounds does not reach that length, returns the bound;
    /// [`Unknown::ByRules`] if the search fails.
    fn search_front_dart_share(&mut self, front: &FrontWaistTarget<f64>) -> Unknown<f64> {
        let mut residual = |share| {
            self.set_front_dart_share(share);
            let (total, _) = solve_closure_by_secant(self);
            self.half_front_waist_residual(front, total)
        };
        let [at_min, at_max] = [Min, Max].map(&mut residual);
        match (at_min > 0.0, at_max < 0.0) {
            _ if at_min.is_nan() || at_max.is_nan() => ByRules,
            (false, _) => Min,
            (_, false) => Max,
            _ => {
                let ends = [[0.0, at_min], [front.rule_shares[0] + front.rule_shares[1], at_max]];
                let root = find_root_between(ends, HALF_FRONT_WAIST_TOLERANCE_CM, |share| residual(Solved(share)));
                root.map_or(ByRules, Solved)
            }
        }
    }

    /// Searches the source of room at the high hip: a side seam only as full as needed or, if even the fullest gives
    /// too little room, darts also shortened only as much as needed. `by_rules` is the residual of half the girth with
    /// the rules, in centimetres; it is negative, as room is missing.
    fn search_high_hip_room(&mut self, high_hip: &HighHipTarget<f64>, by_rules: f64) -> [Unknown<f64>; 2] {
        let rule_fullness = high_hip.rule_fullness;
        let factor = self.min_common_dart_length_factor();
        let mut residual = |room| {
            let total = self.solve_with_high_hip_room(room).0.suppression;
            self.closure_and_high_hip_residuals(high_hip, total).0[1]
        };
        let fullest = residual([Max, ByRules]);
        if fullest > 0.0 {
            let ends = [[rule_fullness, by_rules], [max_side_fullness(), fullest]];
            let root = find_root_between(ends, HALF_HIGH_HIP_TOLERANCE_CM, |f| residual([Solved(f), ByRules]));
            return [root.map_or(Max, Solved), ByRules];
        }
        let most = residual([Max, Min]);
        if most <= fullest + HALF_HIGH_HIP_TOLERANCE_CM || most.is_nan() {
            return [Max, ByRules];
        }
        if most <= 0.0 {
            return [Max, Min];
        }
        let ends = [[factor, most], [1.0, fullest]];
        let root = find_root_between(ends, HALF_HIGH_HIP_TOLERANCE_CM, |f| residual([Max, Solved(f)]));
        [Max, root.map_or(Min, Solved)]
    }
}
