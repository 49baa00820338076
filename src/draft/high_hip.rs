//! Room at a measured high hip: from a fuller side seam first, then from shorter darts, each no more than needed.

use super::broyden::solve_by_broyden;
use super::panel::{SideSeamAtWaist, WaistStretch};
use super::plan::DraftPlan;
use super::solution::Unknown::{self, ByRules, Max, Min, Solved};
use crate::body::{PanelRules, Shares};
use crate::scalar::{Mask, Number, inlined};

/// Typical growth of half the waist with each centimetre of room at the high hip, in centimetres, as side seam or darts
/// lean more; the first guess of the iteration.
const TYPICAL_WAIST_GROWTH_BY_ROOM: f64 = 0.18;

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
            Min => self.min_common_dart_length_factor(),
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

    /// Returns the smallest factor, common to all dart lengths, at which every dart keeps its minimum length; at most 1.
    pub(super) fn min_common_dart_length_factor(&self) -> T {
        let [.., front_outer_length, _, _, _] = &Shares::FIELDS;
        let (mut least, shortest) = (T::constant(0.0), self.side.depth * T::constant(front_outer_length.range.0));
        for dart in self.panels.iter().flat_map(|panel| &panel.darts) {
            least = least.max(shortest.quotient(dart.rule_length));
        }
        least.min(T::constant(1.0))
    }

    /// Returns two residuals in centimetres for the suppression `total`, and a mask of the lanes in which both are exact:
    /// sewn minus wanted length of half the waist, and half the girth at the high hip minus half its minimum.
    pub(super) fn closure_and_high_hip_residuals(&self, high_hip: &HighHipTarget<T>, total: T) -> ([T; 2], T::Mask) {
        T::out_of_line(inlined!(|| {
            let amounts = self.split.split_suppression(total);
            let seam = SideSeamAtWaist::from_loss_of_both_edges(amounts.side, &self.side);
            let [mut closure, mut room] = [-self.wanted_half_waist, -high_hip.min_girth * T::constant(0.5)];
            let mut is_exact = T::Mask::uniform(true);
            for (k, panel) in self.panels.iter().enumerate() {
                let shape = self.waist_shape(k, &seam, amounts.panel_intakes);
                let ([waist, width], is_exact_panel) =
                    panel.panel_widths_along_tapes(shape, &self.side, high_hip.depth);
                (closure, room, is_exact) = (closure + waist, room + width, is_exact & is_exact_panel);
            }
            ([closure, room], is_exact)
        }))
    }

    /// Returns two sums over the darts that are open at a level below the waist, in centimetres, for the suppression
    /// `total`: the intake that is closed between waist and level, and the intake that is open at the level.
    #[inline(always)]
    fn closed_and_open_intakes(&self, level: T, total: T) -> [T; 2] {
        let amounts = self.split.split_suppression(total);
        let seam = SideSeamAtWaist::from_loss_of_both_edges(amounts.side, &self.side);
        let (zero, one, [mut all_closed, mut all_open]) = (T::constant(0.0), T::constant(1.0), [T::constant(0.0); 2]);
        for (k, panel) in self.panels.iter().enumerate() {
            let (shape, mut height) = (self.waist_shape(k, &seam, amounts.panel_intakes), zero);
            panel.visit_waist_stretches_from_side(
                shape,
                inlined!(|stretch_index: usize, stretch: WaistStretch<T>| {
                    height += stretch.rise;
                    if stretch_index > 0 {
                        let dart = &panel.darts[stretch_index - 1];
                        let intake = dart.intake_from_panel_intake(amounts.panel_intakes[k]);
                        // The tape is as low as the waist there, less and less down to the hip line.
                        let closed = (level - height * level.quotient(self.side.depth)).quotient(dart.rule_length);
                        let open = (one - closed).max(zero);
                        all_closed += T::select(zero.lt(open), intake * closed, zero);
                        all_open += intake * open;
                    }
                }),
            );
        }
        [all_closed, all_open]
    }

    /// Solves the room at the high hip and the suppression together in the lanes of `is_tight`, and sets the plan to the
    /// solution: by a fuller side seam and, where even the fullest gives too little room, by shorter darts, too. All
    /// other lanes keep side seam and darts by the rules.
    ///
    /// `total` is the suppression by the rules; `residuals` are those of
    /// [`closure_and_high_hip_residuals`](Self::closure_and_high_hip_residuals) there. Returns suppression and residual
    /// of the closure in centimetres, the sources of room, and a mask of the solved lanes, which just have the room. A
    /// single draft may also lack room even with the fullest side seam and the shortest darts.
    #[inline(always)]
    pub(super) fn solve_room_and_closure(
        &mut self,
        high_hip: &HighHipTarget<T>,
        is_tight: T::Mask,
        (total, residuals): (T, [T; 2]),
    ) -> ([T; 2], [Unknown<T>; 2], T::Mask) {
        let (zero, one, tiny) = (T::constant(0.0), T::constant(1.0), T::constant(f64::MIN_POSITIVE));
        let (rule, fullest, shortest) =
            (high_hip.rule_fullness, T::constant(max_side_fullness()), self.min_common_dart_length_factor());
        // Unknowns: the suppression, and the room that both sources add. At the fraction `u` of the height from hip line
        // to waist, each 1 of fullness moves both side edges out by their loss times `u² (1 − u)`.
        let u = (self.side.depth - high_hip.depth).quotient(self.side.depth);
        let side = self.split.split_suppression(total).side;
        let room_by_fullness = (side * u * u * (one - u)).max(tiny);
        let by_fullest = room_by_fullness * (fullest - rule);
        let [closed, by_darts] = self.closed_and_open_intakes(high_hip.depth, total);
        let (closed, has_open_darts) = (closed.max(tiny), zero.lt(by_darts));
        // Darts that are closed above the level give no room; without darts, the factor on their lengths has no effect.
        let takes_most = (by_fullest + by_darts).le(-residuals[1]) & (has_open_darts | shortest.le(zero));
        let sources = inlined!(|room: T| {
            let fullness = T::select(takes_most, fullest, (rule + room.quotient(room_by_fullness)).min(fullest));
            let factor = closed.quotient(closed + (room - by_fullest).max(zero)).max(shortest);
            let factor = T::select(takes_most, shortest, factor);
            [T::select(is_tight, fullness, rule), T::select(is_tight, factor, one)]
        });
        let ([metres, room], [closure, _], is_solved) = solve_by_broyden(
            [total * T::constant(0.01), zero],
            // A draft that stays too tight has a finding, which lanes do not find.
            (residuals, is_tight & !(takes_most & T::Mask::uniform(T::HAS_LANES))),
            self.first_inverse_for_room(total, residuals[1] + high_hip.min_girth * T::constant(0.5)),
            inlined!(|[metres, room]: [T; 2]| {
                self.set_high_hip_room(sources(room).map(Solved));
                let ([closure, excess], is_exact) =
                    self.closure_and_high_hip_residuals(high_hip, metres * T::constant(100.0));
                // A lane without a source of more room stops, so that it does not keep the others waiting.
                let has_source = takes_most | has_open_darts | room.le(by_fullest);
                ([closure, T::select(takes_most, excess.max(zero), excess)], is_exact & has_source)
            }),
        );
        let [fullness, factor] = sources(room);
        // One draft tells which of its sources are unknowns; lanes may differ.
        let sources = match [fullness.lt(fullest), factor.lt(one), shortest.lt(factor)].map(T::Mask::all) {
            _ if T::HAS_LANES => [Solved(fullness), Solved(factor)],
            [true, ..] => [Solved(fullness), ByRules],
            [_, false, _] => [Max, ByRules],
            [.., true] => [Max, Solved(factor)],
            [.., false] => [Max, Min],
        };
        self.set_high_hip_room(sources);
        ([metres * T::constant(100.0), closure], sources, is_solved & (takes_most | zero.le(room)))
    }

    /// Returns the first inverse for [`solve_by_broyden`], whose unknowns are the suppression, in metres, and the room
    /// at the high hip, in centimetres. `half_girth` is half the girth at the high hip for the suppression `total`.
    ///
    /// In metres, the suppression takes small steps, so that the iteration corrects the slopes by the room: those by
    /// the suppression are well known. The excess of the waist curves over their chords grows with its square, and what
    /// is taken in at the high hip in proportion to it.
    #[inline(always)]
    fn first_inverse_for_room(&self, total: T, half_girth: T) -> [[T; 2]; 2] {
        let (one, metre, suppression) = (T::constant(1.0), T::constant(0.01), total.max(T::constant(1.0)));
        let waist = one - (total - self.nominal).quotient(suppression) * T::constant(2.0);
        let high_hip = (self.panels[0].width + self.panels[1].width - half_girth).quotient(suppression);
        let waist_by_room = T::constant(TYPICAL_WAIST_GROWTH_BY_ROOM);
        let scale = one.quotient(waist - high_hip * waist_by_room);
        [[scale * metre, -waist_by_room * scale * metre], [high_hip * scale, -waist * scale]]
    }
}
