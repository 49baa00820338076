//! Room at a measured high hip: from a fuller side seam first, then from shorter darts, each no more than needed.

use super::broyden::solve_by_broyden;
use super::closure::evaluate_closure_out_of_line;
use super::panel::SideSeamAtWaist;
use super::plan::DraftPlan;
use super::solution::Unknown::{self, ByRules, Max, Min, Solved};
use crate::body::{PanelRules, Shares};
use crate::scalar::{Mask, Number, inlined};

/// Measured high hip for which the skirt needs room, and the rules from which the search for it starts.
#[derive(Clone, Copy, Debug)]
pub(super) struct HighHipTarget<T> {
    /// Depth of the high hip below the waist at the side, in centimetres.
    pub(super) depth: T,
    /// Minimum girth of the garment at the high hip, in centimetres.
    pub(super) min_girth: T,
    /// Fullness of the side seam by the rules.
    pub(super) rule_fullness: T,
    /// Tangent of the rule `steepest_side`, the steepest lean of the side seam; `None` if the rules give the darts.
    pub(super) max_lean_tangent: Option<T>,
}

/// Returns the largest fullness of the side seam that the rules allow, a ratio.
pub(super) fn max_side_fullness() -> f64 {
    let [.., field] = &PanelRules::FIELDS;
    field.range.1
}

impl<T: Number> DraftPlan<T> {
    /// Sets side seam and dart lengths of the plan to those that give room at the high hip; changes nothing if the plan
    /// has no high hip.
    #[inline(always)]
    pub(super) fn set_high_hip_room(&mut self, [fullness, dart_lengths]: [Unknown<T>; 2]) {
        let Some(high_hip) = self.high_hip else { return };
        let fullness = match fullness {
            Solved(fullness) => fullness,
            Max => T::constant(max_side_fullness()),
            _ => high_hip.rule_fullness,
        };
        let factor = match dart_lengths {
            Solved(factor) => factor,
            Min => self.min_dart_length_factor(),
            _ => T::constant(1.0),
        };
        self.side.fullness = fullness;
        if let Some(max_lean_tangent) = high_hip.max_lean_tangent {
            self.split.side_limit = self.side.total_loss_at_lean_tangent(max_lean_tangent);
        }
        for dart in self.panels.iter_mut().flat_map(|panel| &mut panel.darts) {
            dart.length = dart.rule_length * factor;
        }
    }

    /// Returns the factor on all dart lengths that makes the shortest dart as short as the rules allow; at most 1.
    pub(super) fn min_dart_length_factor(&self) -> T {
        let [.., front_outer_length, _, _, _] = &Shares::FIELDS;
        let (mut least, shortest) = (T::constant(0.0), self.side.depth * T::constant(front_outer_length.range.0));
        for dart in self.panels.iter().flat_map(|panel| &panel.darts) {
            least = least.max(shortest.quotient(dart.rule_length));
        }
        least.min(T::constant(1.0))
    }

    /// Returns half the girth of the garment at the high hip minus half its minimum, in centimetres, for the
    /// suppression `total`, and a mask of the lanes in which the girth is exact.
    pub(super) fn half_high_hip_residual(&self, high_hip: &HighHipTarget<T>, total: T) -> (T, T::Mask) {
        T::out_of_line(inlined!(|| {
            let amounts = self.split.split_suppression(total);
            let seam = SideSeamAtWaist::from_loss_of_both_edges(amounts.side, &self.side);
            let (mut residual, mut is_exact) = (-high_hip.min_girth * T::constant(0.5), T::Mask::uniform(true));
            for (k, panel) in self.panels.iter().enumerate() {
                let shape = self.waist_shape(k, &seam, amounts.panel_intakes);
                let (width, is_exact_width) = panel.panel_width_along_tape(shape, &self.side, high_hip.depth);
                (residual, is_exact) = (residual + width, is_exact & is_exact_width);
            }
            (residual, is_exact)
        }))
    }

    /// Solves the room at the high hip and the suppression together, starting from the suppression `total` by the rules:
    /// by a fuller side seam or, if `shortens_darts`, by shorter darts with the fullest side seam. Returns fullness or
    /// factor on all dart lengths, suppression, residual of the closure in centimetres, and a mask of the lanes in which
    /// this source just gives the room.
    #[inline(always)]
    pub(super) fn solve_room_and_closure(
        &mut self,
        high_hip: &HighHipTarget<T>,
        shortens_darts: bool,
        total: T,
    ) -> ([T; 3], T::Mask) {
        let (zero, one, rule) = (T::constant(0.0), T::constant(1.0), high_hip.rule_fullness);
        self.set_high_hip_room([ByRules; 2]);
        // Unknowns: the suppression, and the room that the source adds. At the fraction `u` of the height from hip line
        // to waist, each 1 of fullness moves both side edges out by their loss times `u² (1 − u)`. A dart that is `f`
        // times as long is closed there by its intake times `level / (length f)`.
        let amounts = self.split.split_suppression(total);
        let u = (self.side.depth - high_hip.depth).quotient(self.side.depth);
        let room_by_fullness = amounts.side * u * u * (one - u);
        let mut closed = zero;
        for (panel, intake) in self.panels.iter().zip(amounts.panel_intakes) {
            for dart in &panel.darts {
                closed += dart.intake_from_panel_intake(intake) * high_hip.depth.quotient(dart.rule_length);
            }
        }
        let (min, max) = if shortens_darts {
            (self.min_dart_length_factor(), one)
        } else {
            (rule, T::constant(max_side_fullness()))
        };
        let source = inlined!(|room: T| if shortens_darts {
            closed.quotient(closed + room)
        } else {
            rule + room.quotient(room_by_fullness)
        });
        let ([total, room], [residual, _], is_solved) = solve_by_broyden(
            [total, zero],
            [[one, zero], [zero, -one]],
            inlined!(|[total, room]: [T; 2]| {
                let source = source(room);
                self.set_high_hip_room(room_from_source(source, shortens_darts));
                let (([value, _], is_exact, _), (room, is_exact_room)) =
                    (evaluate_closure_out_of_line(self, total), self.half_high_hip_residual(high_hip, total));
                // A lane beyond the last bound of the source stops, so that it does not keep the others waiting.
                let can_give_room = if shortens_darts { min.le(source) } else { source.le(max) };
                ([value, room], is_exact & is_exact_room & can_give_room)
            }),
        );
        let source = source(room);
        ([source, total, residual], is_solved & min.lt(source) & source.lt(max))
    }
}

/// Returns fullness of the side seam and factor on all dart lengths for the number of one source of room: the factor if
/// `shortens_darts`, else the fullness.
pub(super) fn room_from_source<T>(source: T, shortens_darts: bool) -> [Unknown<T>; 2] {
    if shortens_darts { [Max, Solved(source)] } else { [Solved(source), ByRules] }
}
