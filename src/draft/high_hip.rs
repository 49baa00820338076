//! Room at a measured high hip: from a fuller side seam first, then from shorter darts, each no more than needed.

use super::apportion::EstimatedDarts;
use super::broyden::solve_two_or_three_by_broyden;
use super::panel::{SideSeamAtWaist, WaistStretch};
use super::plan::DraftPlan;
use super::side::SideSeamShape;
use super::solution::{
    Solution,
    Unknown::{self, ByRules, Max, Min, Solved},
};
use crate::body::{PanelRules, Shares};
use crate::scalar::{Mask, Number, inlined};

/// Typical share of the side seam's lean in the growth of the suppression from nominal to closed waist; the leans of the
/// dart legs have the rest.
const SIDE_SHARE_OF_SUPPRESSION_GROWTH: f64 = 0.7;

/// Most by which [`estimated_tight_lanes`] overestimates half the girth at the high hip on ordinary bodies, in centimetres.
const MAX_OVERESTIMATE_CM: f64 = 0.1;

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

/// Estimates in which lanes the skirt by the rules may be too tight at the high hip.
///
/// `depth` and `min_girth` are those of [`HighHipTarget`]; `half_hip` is half the hip with ease, in centimetres.
#[inline(always)]
pub(super) fn estimated_tight_lanes<T: Number>(
    [depth, min_girth]: [T; 2],
    half_hip: T,
    side: &SideSeamShape<T>,
    rules: &Shares<T>,
    estimated: &EstimatedDarts<T>,
) -> T::Mask {
    let u = (side.depth - depth).quotient(side.depth);
    let mut half_girth = half_hip - side.inset_at_level(estimated.amounts.side, depth) + estimated.growth * u * u;
    for (intake, length) in
        estimated.amounts.panel_intakes.into_iter().zip([rules.back_inner_length, rules.front_inner_length])
    {
        let open = T::constant(1.0) - depth.quotient(length * side.depth);
        half_girth -= intake * open.max(T::constant(0.0));
    }
    half_girth.lt(min_girth * T::constant(0.5) + T::constant(MAX_OVERESTIMATE_CM))
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

    /// Returns three residuals in centimetres for the suppression `total`, and a mask of the lanes in which all are exact:
    /// sewn minus wanted length of half the waist, half the girth at the high hip minus half its minimum, and sewn minus
    /// wanted length of half the front waist, 0 if the draft has none to reach.
    pub(super) fn closure_and_high_hip_residuals(&self, high_hip: &HighHipTarget<T>, total: T) -> ([T; 3], T::Mask) {
        T::out_of_line(inlined!(|| {
            let amounts = self.split.split_suppression(total);
            let seam = SideSeamAtWaist::from_loss_of_both_edges(amounts.side, &self.side);
            let [mut closure, mut room] = [-self.wanted_half_waist, -high_hip.min_girth * T::constant(0.5)];
            let (mut is_exact, mut front) = (T::Mask::uniform(true), T::constant(0.0));
            for (k, panel) in self.panels.iter().enumerate() {
                let shape = self.waist_shape(k, &seam, amounts.panel_intakes);
                let ([waist, width], is_exact_panel) =
                    panel.panel_widths_along_tapes(shape, &self.side, high_hip.depth);
                (closure, room, is_exact) = (closure + waist, room + width, is_exact & is_exact_panel);
                if let (1, Some(target)) = (k, &self.front_waist) {
                    front = waist - target.wanted_half_length;
                }
            }
            ([closure, room, front], is_exact)
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

    /// Solves the room at the high hip together with suppression and share of the front darts in the lanes of `is_tight`,
    /// and sets the plan to the solution: by a fuller side seam and, where even the fullest gives too little room, by
    /// shorter darts, too. All other lanes keep side seam and darts by the rules.
    ///
    /// `by_rules` is the solution by the rules; `residuals` are those of
    /// [`closure_and_high_hip_residuals`](Self::closure_and_high_hip_residuals) there. Returns the solution, the residual
    /// of the closure in centimetres, and a mask of the solved lanes, which just have the room, or too little even with
    /// the fullest side seam and the shortest darts.
    #[inline(always)]
    pub(super) fn solve_room_and_closure(
        &mut self,
        high_hip: &HighHipTarget<T>,
        is_tight: T::Mask,
        by_rules: Solution<T>,
        residuals: [T; 3],
    ) -> (Solution<T>, T, T::Mask) {
        let (zero, one, tiny) = (T::constant(0.0), T::constant(1.0), T::constant(f64::MIN_POSITIVE));
        let (rule, fullest) = (high_hip.rule_fullness, T::constant(max_side_fullness()));
        let (total, nominal) = (by_rules.suppression, self.nominal - self.split.fixed_amount);
        let [closed, open] = self.closed_and_open_intakes(high_hip.depth, total);
        let [waist_slope, girth_slope, by_fullness] = self.slopes_at_high_hip(high_hip, total, residuals[1], closed);
        let room_by_fullness = by_fullness.max(tiny);
        let by_fullest = room_by_fullness * (fullest - rule);
        let (shortest, has_open_darts) = (self.min_common_dart_length_factor(), zero.lt(open));
        let has_known_most = has_open_darts | shortest.le(zero);
        let (closed, shortest) = (closed.max(tiny), T::select(has_open_darts, shortest, one));
        let most = by_fullest + closed * (one.quotient(shortest) - one);
        let sources = inlined!(|room: T| {
            let fullness = (rule + room.quotient(room_by_fullness)).min(fullest);
            let factor = closed.quotient(closed + (room - by_fullest).max(zero)).max(shortest);
            [T::select(is_tight, fullness, rule), T::select(is_tight, factor, one)]
        });
        // The growth of the suppression, from nominal to closed waist, is a sum of squares and products of the leans of side
        // seam and dart legs.
        let (growth, by_side) = (total - self.nominal, T::constant(SIDE_SHARE_OF_SUPPRESSION_GROWTH));
        let suppression_at = inlined!(|metres: T, [fullness, factor]: [T; 2]| {
            let (lean, leg_lean) = (fullness.quotient(rule), one.quotient(factor));
            metres * T::constant(100.0) + growth * (by_side * lean * lean + (one - by_side) * leg_lean * leg_lean - one)
        });
        // Unknowns: the suppression in metres, less its predicted change by the sources; the room that both sources add;
        // and the part of the nominal suppression that the front darts take. In metres, the suppression takes small steps,
        // so that the iteration corrects the slopes by the room: those by the suppression are well known.
        let (mut front_share, inverse) = (by_rules.front_share, one.quotient(waist_slope));
        let front_part = if let Solved(share) = front_share { share * nominal } else { zero };
        let front_slope = self.front_waist.map_or(zero, |front| front.half_length_by_suppression());
        let ([metres, room, front_part], [closure, _], is_solved) = solve_two_or_three_by_broyden(
            self.front_waist.is_some(),
            [total * T::constant(0.01), zero, front_part],
            (residuals, is_tight),
            [
                [inverse * T::constant(0.01), zero, zero],
                [inverse * girth_slope, -one, zero],
                [-inverse * front_slope, zero, one],
            ],
            inlined!(|[metres, room, front_part]: [T; 3]| {
                self.set_high_hip_room(sources(room).map(Solved));
                self.set_front_dart_share(Solved(front_part.quotient(nominal)));
                let ([closure, excess, front], is_exact) =
                    self.closure_and_high_hip_residuals(high_hip, suppression_at(metres, sources(room)));
                // A draft that takes most may stay too tight; if all darts are closed above the level, only a search tells
                // whether shorter darts help.
                let excess = T::select(most.le(room), excess.max(zero), excess);
                ([closure, excess, front], is_exact & (has_known_most | room.lt(most)))
            }),
        );
        let (sources, mut is_solved) = (sources(room), is_solved & zero.le(room));
        let room = name_sources(sources, [fullest, shortest]);
        if let (Some(front), Solved(share)) = (&self.front_waist, &mut front_share) {
            let solved = front_part.quotient(nominal);
            is_solved = is_solved & front.allows_share(solved);
            *share = T::select(is_solved, solved, *share);
        }
        self.set_high_hip_room(room);
        self.set_front_dart_share(front_share);
        let suppression = T::select(is_solved, suppression_at(metres, sources), total);
        (Solution { suppression, front_share, room }, closure, is_solved)
    }

    /// Returns three slopes near the suppression `total`: by how many centimetres half the waist and half the girth at the
    /// high hip become smaller with each centimetre of suppression, and how much room each 1 of fullness adds. `residual`
    /// is that of half the girth, `closed` the intake that is closed between waist and high hip.
    ///
    /// The excess of the waist curves over their chords grows with the square of the suppression, and what is taken in at
    /// the high hip in proportion to it. At the fraction `u` of the height from hip line to waist, each 1 of fullness moves
    /// both side edges out by their loss times `u² (1 − u)`. The side seam also leans more at the waist: the waist grows
    /// and is taken in again, and the darts lie lower, so that less of them is closed.
    #[inline(always)]
    fn slopes_at_high_hip(&self, high_hip: &HighHipTarget<T>, total: T, residual: T, closed: T) -> [T; 3] {
        let (one, two, growth) = (T::constant(1.0), T::constant(2.0), total - self.nominal);
        let inverse = one.quotient(total.max(one));
        let taken_in = self.panels[0].width + self.panels[1].width - high_hip.min_girth * T::constant(0.5) - residual;
        let (waist, girth) = (one - growth * inverse * two, taken_in * inverse);
        let u = (self.side.depth - high_hip.depth).quotient(self.side.depth);
        let by_edges = self.split.split_suppression(total).side * u * u * (one - u);
        // The limits keep the slope near that of ordinary bodies where the side seam is nearly straight.
        let inverse = two.quotient((by_edges * high_hip.rule_fullness).max(T::constant(0.1)));
        let grown = (growth * T::constant(SIDE_SHARE_OF_SUPPRESSION_GROWTH) * inverse).min(T::constant(0.4));
        let more = grown * (u * u * (one - closed * (one - u) * inverse) - girth);
        [waist, girth, by_edges * (one + more.max(T::constant(-0.4)))]
    }
}

/// Returns the sources of room with the given fullness and factor on dart lengths. One draft tells which of its sources
/// are unknowns; lanes may differ.
#[inline(always)]
fn name_sources<T: Number>([fullness, factor]: [T; 2], [fullest, shortest]: [T; 2]) -> [Unknown<T>; 2] {
    match [fullness.lt(fullest), factor.lt(T::constant(1.0)), shortest.lt(factor)].map(T::Mask::all) {
        _ if T::HAS_LANES => [Solved(fullness), Solved(factor)],
        [true, ..] => [Solved(fullness), ByRules],
        [_, false, _] => [Max, ByRules],
        [.., true] => [Max, Solved(factor)],
        [.., false] => [Max, Min],
    }
}
