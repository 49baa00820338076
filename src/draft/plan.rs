//! [`DraftPlan`]: everything that is decided about a draft before its waist is closed.

use super::apportion::{PlannedPanelDarts, SplitAmounts, SuppressionSplitRule, plan_darts_and_split};
use super::centre::SlantedCentre;
use super::figure::{MeasuredCentreDepths, balance_by_figure_or_rule};
use super::front_waist::FrontWaistTarget;
use super::high_hip::HighHipTarget;
use super::kind::DraftKind;
use super::panel::{PlannedPanel, SideSeamAtWaist, WaistShape};
use super::side::SideSeamShape;
use super::solution::Solution;
use super::{Draft, Half, Suppression};
use crate::body::{Body, Ease, Inputs};
use crate::scalar::{Number, Scalar};

/// Plan of a draft of half the garment: everything that is decided before the waist is closed.
pub(super) struct DraftPlan<T> {
    pub(super) side: SideSeamShape<T>,
    /// Wanted length of the sewn waist of half the garment (body plus ease), in centimetres.
    pub(super) wanted_half_waist: T,
    /// Nominal suppression of half the garment, half hip minus half waist with ease, in centimetres.
    pub(super) nominal: T,
    pub(super) split: SuppressionSplitRule<T>,
    pub(super) panels: [PlannedPanel<T>; 2],
    pub(super) centre_depths: Option<MeasuredCentreDepths<T>>,
    pub(super) front_waist: Option<FrontWaistTarget<T>>,
    pub(super) high_hip: Option<HighHipTarget<T>>,
}

/// Returns half of the hip plus its ease, and half of the waist plus its ease, in centimetres.
#[inline(always)]
pub(super) fn half_hip_and_half_waist_with_ease<T: Number>(body: &Body<T>, ease: &Ease<T>) -> [T; 2] {
    let half = T::constant(0.5);
    [(body.hip + ease.hip) * half, (body.waist + ease.waist) * half]
}

impl<T: Number> DraftPlan<T> {
    /// Creates the plan of a draft of the given kind, with the side seam, shares and dart lengths of the rules: no
    /// unknown is solved yet. `max_lean_tangent` is the tangent of the steepest lean of the side seam.
    #[inline(always)]
    pub(super) fn new(inputs: &Inputs<T>, kind: DraftKind, max_lean_tangent: T) -> Self {
        let Inputs { body, figure, ease, rules } = inputs;
        let panel_rules = &rules.panel_rules;
        let [hip, wanted_half_waist] = half_hip_and_half_waist_with_ease(body, ease);
        let (quarter, balance, nominal) =
            (hip * T::constant(0.5), balance_by_figure_or_rule(inputs), hip - wanted_half_waist);
        let side = SideSeamShape { depth: body.hip_depth, fullness: panel_rules.side_fullness };
        let panel = |half, width, extra_lowering, is_symmetric| {
            let darts = PlannedPanelDarts::new();
            PlannedPanel { half, width, extra_lowering, is_symmetric, slanted_centre: None, darts }
        };
        let [back, front] = kind.has_symmetric_waist;
        let inset = panel_rules.centre_back_in;
        let panels = [
            panel(Half::Back, quarter - balance, panel_rules.centre_back_lower, back),
            panel(Half::Front, quarter + balance, panel_rules.centre_front_lower, front),
        ];
        let (split, centre_depths) =
            (SuppressionSplitRule::all_to_side_seams(), MeasuredCentreDepths::from_figure(figure));
        let (front_waist, high_hip) = (FrontWaistTarget::from_inputs(inputs, kind), None);
        let mut plan = Self { side, wanted_half_waist, nominal, split, panels, centre_depths, front_waist, high_hip };
        let [back, front] = &mut plan.panels;
        back.slanted_centre = kind.has_slanted_centre_back.then_some(SlantedCentre { inset, depth: body.hip_depth });
        let darts = [&mut back.darts, &mut front.darts];
        plan.split =
            plan_darts_and_split(&plan.side, &rules.apportionment, kind.share_dart_counts, max_lean_tangent, darts);
        plan.split.fixed_amount += inset;
        if let (true, Some([depth, min_girth])) = (kind.has_high_hip, figure.high_hip_depth_and_min_girth(ease)) {
            let max_lean_tangent = rules.shares().map(|_| max_lean_tangent);
            let rule_fullness = plan.side.fullness;
            plan.high_hip = Some(HighHipTarget { depth, min_girth, rule_fullness, max_lean_tangent });
        }
        plan
    }

    /// Returns the shape of the waist of panel `k` (0 back, 1 front). `intakes` are the total intakes, in centimetres,
    /// that the shares assign to the darts of back and front.
    #[inline(always)]
    pub(super) fn waist_shape<'a>(&self, k: usize, seam: &'a SideSeamAtWaist<T>, intakes: [T; 2]) -> WaistShape<'a, T> {
        let panel = &self.panels[k];
        if panel.is_symmetric {
            return (seam, intakes[k], None);
        }
        let Some(depths) = self.centre_depths else { return (seam, intakes[k], Some(panel.extra_lowering)) };
        let measured = if T::HAS_LANES {
            self.measured_extra_lowering(depths, k, seam, intakes)
        } else {
            // Inlined, the call would slow drafts without a figure.
            T::out_of_line(|| self.measured_extra_lowering(depths, k, seam, intakes))
        };
        (seam, intakes[k], Some(panel.extra_lowering + measured))
    }

    /// Returns the suppression `total` with its parts, taken from the split `amounts`.
    #[inline(always)]
    pub(super) fn suppression_from_amounts(&self, total: T, amounts: &SplitAmounts<T>) -> Suppression<T> {
        let mut dart_sums = [T::constant(0.0); 2];
        for ((sum, panel), intake) in dart_sums.iter_mut().zip(&self.panels).zip(amounts.panel_intakes) {
            for dart in &panel.darts {
                *sum += dart.intake_from_panel_intake(intake);
            }
        }
        let [back, front] = dart_sums;
        Suppression { total, side: amounts.side, back, front }
    }
}

impl<T: Scalar> DraftPlan<T> {
    /// Creates the plan of a draft from inputs already found in range.
    pub(super) fn from_checked_inputs(inputs: &Inputs<T>) -> Self {
        let (kind, max_lean_tangent) = DraftKind::kind_and_steepest_side_tangent(inputs);
        Self::new(inputs, kind, max_lean_tangent)
    }

    /// Builds the finished draft from the plan, which must already be set to `solution`.
    pub(super) fn build_draft(&self, inputs: Inputs<T>, solution: Solution<T>) -> Draft<T> {
        let total = solution.suppression;
        let amounts = self.split.split_suppression(total);
        let seam = SideSeamAtWaist::from_loss_of_both_edges(amounts.side, &self.side);
        let panel = |k: usize| {
            let shape = self.waist_shape(k, &seam, amounts.panel_intakes);
            self.panels[k].build_panel(shape, &self.side, inputs.body.length)
        };
        let dart = self.panels.iter().flat_map(|panel| &panel.darts).next();
        Draft {
            dart_length_factor: dart.map_or(T::constant(1.0), |dart| dart.length.quotient(dart.rule_length)),
            back: panel(0),
            front: panel(1),
            nominal: self.suppression_from_amounts(self.nominal, &self.split.split_suppression(self.nominal)),
            suppression: self.suppression_from_amounts(total, &amounts),
            left_in_side: amounts.left_in_side,
            side_fullness: self.side.fullness,
            solution,
            inputs,
        }
    }
}
