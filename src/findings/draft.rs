//! Findings of a draft: the limits with their sources, and the comparisons that decide.

use super::FindingCode::{
    self, BluntDart, CentreBackSlanted, DartsExceedSuppression, FrontHipUnusual, FrontWaistMissed, FrontWaistUnusual,
    HighHipTight, LittleHipEase, LittleWaistEase, NarrowHem, SideSeamSteep, SmallDart, TipNearHip, WaistLargerThanHip,
    WaistTilted,
};
use super::{Finding, estimate_from_cm, length_finding_from_cm};
use crate::body::{Body, Inputs, PanelRules, Shares};
use crate::draft::{Draft, Half, Summary};
use crate::error::GivenValue;
use crate::field::{EQUALITY_TOLERANCE_CM, Unit};
use crate::pattern::{Vent, choose_length_by_unit};
use crate::scalar::{Mask, Number, Scalar, inlined};

/// Minimum waist ease for sitting, in centimetres: ½ in, rounded down. The source, Central Washington University,
/// costume text, chapter 16, has ½ to ¾ in.
const MIN_WAIST_EASE_FOR_SITTING_CM: f64 = 1.2;

/// Minimum hip ease for sitting, in centimetres: 2 in, rounded down (Central Washington University: 2 to 2¾ in). Women
/// of ANSUR II are 4.5 cm broader at the hip sitting than standing.
const MIN_HIP_EASE_FOR_SITTING_CM: f64 = 5.0;

/// Minimum distance of a dart tip above the hip line, in centimetres: 1 in (common practice).
const MIN_DART_TIP_TO_HIP_LINE_CM: f64 = 2.54;

// Maximum half angle of a dart, in degrees, and its tangent: with a larger angle, the tip pokes out (common practice).
const MAX_DART_HALF_ANGLE_DEGREES: f64 = 12.0;
const MAX_DART_HALF_ANGLE_TANGENT: f64 = 0.212_556_561_670_022_13;

// Maximum angle between centre back seam and vertical, in degrees, and its tangent: a published worked draft has 1 cm
// on a hip depth, which is 3°; the middle of the seat is nearly vertical (common practice).
const MAX_CENTRE_BACK_SLANT_DEGREES: f64 = 5.0;
const MAX_CENTRE_BACK_SLANT_TANGENT: f64 = 0.087_488_663_525_924;

/// Smallest angle, in degrees, between side seam and vertical at which a draft cannot work as a straight skirt.
const EXTREME_SIDE_SEAM_LEAN_DEGREES: f64 = 45.0;

/// Largest difference of two measured lengths that measurement errors may explain, in centimetres: errors of 4 mm in
/// each length (ISO 20685) make √2 × 4 mm in the difference, rounded up.
const MAX_DIFFERENCE_BY_MEASUREMENT_ERROR_CM: f64 = 0.6;

/// Largest distance in centimetres by which a measured arc over the front usually moves a side seam from its place by
/// the rules: a rough estimate, twice the spread that `src/figures.md` assumes, so that one body in twenty exceeds it.
const MAX_SIDE_SEAM_SHIFT_CM: f64 = 1.5;

// Length of a walking step, height of the hip line above the floor, and girth of one knee, in centimetres: round
// estimates without a source.
const WALKING_STEP_CM: f64 = 60.0;
const HIP_HEIGHT_CM: f64 = 85.0;
const KNEE_GIRTH_CM: f64 = 37.0;

/// Every finding that a draft can have, with the panel concerned: the gravest first, those about the figure of the body
/// last. Flag `k` of a draft's set of findings is set if entry `k` applies to the draft.
pub(crate) const DRAFT_FINDINGS: &[(FindingCode, &str)] = &[
    (WaistLargerThanHip, "both"),
    (DartsExceedSuppression, "both"),
    (SideSeamSteep, "both"),
    (LittleWaistEase, "both"),
    (LittleHipEase, "both"),
    (NarrowHem, "both"),
    (TipNearHip, "back"),
    (BluntDart, "back"),
    (SmallDart, "back"),
    (TipNearHip, "front"),
    (BluntDart, "front"),
    (SmallDart, "front"),
    (CentreBackSlanted, "back"),
    (WaistTilted, "back"),
    (WaistTilted, "front"),
    (FrontHipUnusual, "front"),
    (FrontWaistUnusual, "front"),
    (FrontWaistMissed, "front"),
    (HighHipTight, "both"),
];

/// Returns the values of a usual range of ease in `unit`; minimum and maximum are round numbers in cm and in inches.
fn usual_ease(range: [(f64, f64); 2], unit: Unit) -> [(&'static str, GivenValue); 2] {
    let [min, max] = range.map(|usual| choose_length_by_unit(unit, usual).into());
    [("usual_min", min), ("usual_max", max)]
}

/// Returns the tangent of the default maximum angle between side seam and vertical, which is the limit if the rules
/// give the darts.
pub(crate) fn default_max_side_lean_tangent() -> f64 {
    Scalar::tan(Shares::default().steepest_side.to_radians())
}

/// Estimates the hem girth in centimetres that a walking step needs, rounded to the nearest 5 cm. `length` and
/// `hip_depth` are in centimetres.
#[inline(always)]
pub(crate) fn hem_girth_for_walking_cm(length: f64, hip_depth: f64) -> f64 {
    // A loop around two legs takes one knee's girth and twice the distance of the legs, which grows downwards.
    let girth = KNEE_GIRTH_CM + 2.0 * WALKING_STEP_CM * ((length - hip_depth) / HIP_HEIGHT_CM).min(1.0);
    (girth / 5.0).round() * 5.0
}

/// Estimates the minimum height of a slit or vent for a walking step, in centimetres above the hem: up to the level at
/// which `garment_girth` is wide enough for the step. Rounded up to a whole centimetre, and at least 10 cm.
pub(crate) fn vent_height_for_walking_cm(body: &Body, garment_girth: f64) -> f64 {
    let level = body.hip_depth + (garment_girth - KNEE_GIRTH_CM) / (2.0 * WALKING_STEP_CM) * HIP_HEIGHT_CM;
    (body.length - level).ceil().max(Vent::FIELDS[0].range.0)
}

/// Returns each code of [`DRAFT_FINDINGS`], in order, with `decide([measured, limit], breaks_limit)`: the number of the
/// draft that the finding is about, its limit, and whether the number breaks it, so that the finding applies. `max_lean`
/// is the maximum tangent of the angle between side seam and vertical. Without `max_lean`, for a draft by shares, the side
/// seam is too steep if it takes more suppression than its limit because no dart has room.
#[inline(always)]
pub(crate) fn decide_draft_findings<T: Number, C>(
    summary: &Summary<T>,
    inputs: &Inputs<T>,
    walking_girth: T,
    max_lean: Option<T>,
    decide: impl Fn([T; 2], T::Mask) -> C,
) -> [(FindingCode, C); DRAFT_FINDINGS.len()] {
    let Inputs { body, figure, ease, rules } = inputs;
    let (constant, zero, nominal) = (T::constant, T::constant(0.0), &summary.nominal);
    let [shift_at_hip, shift_at_waist] = summary.side_seam_shifts_by_arcs(inputs).map(Number::abs);
    let PanelRules { centre_back_lower, centre_front_lower, centre_back_in, .. } = rules.panel_rules;
    let centre_shifts = summary.measured_centre_shifts(figure, [centre_back_lower, centre_front_lower]);
    let min_intakes = rules.min_intakes_for_chosen_counts(zero);
    let (mut clearances, mut half_tangents) = ([constant(f64::INFINITY); 2], [zero; 2]);
    let mut intakes = clearances;
    for (k, panel) in summary.panels.iter().enumerate() {
        for dart in &panel.darts {
            clearances[k] = clearances[k].min(body.hip_depth - dart.tip);
            intakes[k] = intakes[k].min(dart.intake);
            half_tangents[k] = half_tangents[k].max((dart.intake * constant(0.5)).quotient(dart.length));
        }
    }
    let at_least = inlined!(|limit: T, measured: T| decide([measured, limit], measured.lt(limit)));
    let at_most = inlined!(|limit: T, measured: T| decide([measured, limit], limit.lt(measured)));
    let (min_clearance, blunt) = (constant(MIN_DART_TIP_TO_HIP_LINE_CM), constant(MAX_DART_HALF_ANGLE_TANGENT));
    let (max_error, max_shift) = (constant(MAX_DIFFERENCE_BY_MEASUREMENT_ERROR_CM), constant(MAX_SIDE_SEAM_SHIFT_CM));
    let (max_lean, lean) = max_lean.map_or((zero, summary.left_in_side), |max_lean| (max_lean, summary.lean));
    let darts_and_inset = nominal.back + nominal.front + centre_back_in;
    // Both have no finding if not measured: they are compared with themselves, or with NaN.
    let sewn_front = constant(2.0) * summary.panels[1].waist_seam;
    let front_waist = [sewn_front, figure.front_waist_arc_with_ease(body, ease).unwrap_or(sewn_front)];
    let high_hip = summary.high_hip_girth;
    let min_high_hip = figure.high_hip_depth_and_min_girth(ease).map_or(high_hip, inlined!(|[_, min]: [T; 2]| min));
    // A waist larger than the hip always has darts that exceed the suppression.
    let side = T::select(nominal.total.lt(zero), zero, nominal.side);
    [
        (WaistLargerThanHip, at_most(zero, constant(-2.0) * nominal.total)),
        (DartsExceedSuppression, decide([darts_and_inset, nominal.total], side.lt(zero))),
        (SideSeamSteep, at_most(max_lean, lean)),
        (LittleWaistEase, at_least(constant(MIN_WAIST_EASE_FOR_SITTING_CM), ease.waist)),
        (LittleHipEase, at_least(constant(MIN_HIP_EASE_FOR_SITTING_CM), ease.hip)),
        (NarrowHem, at_least(walking_girth, body.hip + ease.hip)),
        (TipNearHip, at_least(min_clearance, clearances[0])),
        (BluntDart, at_most(blunt, half_tangents[0])),
        (SmallDart, at_least(min_intakes[0], intakes[0])),
        (TipNearHip, at_least(min_clearance, clearances[1])),
        (BluntDart, at_most(blunt, half_tangents[1])),
        (SmallDart, at_least(min_intakes[1], intakes[1])),
        (CentreBackSlanted, at_most(constant(MAX_CENTRE_BACK_SLANT_TANGENT), summary.slant)),
        (WaistTilted, at_most(max_error, centre_shifts[0])),
        (WaistTilted, at_most(max_error, centre_shifts[1])),
        (FrontHipUnusual, at_most(max_shift, shift_at_hip)),
        (FrontWaistUnusual, at_most(max_shift, shift_at_waist)),
        (FrontWaistMissed, decide(front_waist, max_error.lt((front_waist[0] - front_waist[1]).abs()))),
        (HighHipTight, decide([high_hip, min_high_hip], (high_hip + constant(EQUALITY_TOLERANCE_CM)).lt(min_high_hip))),
    ]
}

impl Draft {
    /// Returns the cautions about the draft, the gravest first, with lengths in centimetres.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules};
    ///
    /// let body = Body { waist: 96.0, hip: 90.0, hip_depth: 18.0, length: 60.0 };
    /// let findings = kirtle::draft(&body, &Ease { waist: 2.0, hip: 6.0 }, &Rules::default())?.findings();
    /// assert_eq!(findings[0].code, "waist_larger_than_hip");
    /// assert!(findings[0].message.starts_with("With ease, the waist is 2.0 cm larger than the hip"));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn findings(&self) -> Vec<Finding> {
        self.findings_in_unit(Unit::Cm)
    }

    /// Returns the findings of the draft as bits: bit `k` is set if entry `k` of [`DRAFT_FINDINGS`] applies.
    pub(crate) fn finding_bits(&self, summary: &Summary) -> u32 {
        Mask::flag_set_from_masks(self.broken_limits(summary).map(|(_, numbers)| numbers.is_some()))
    }

    /// Returns each code of [`DRAFT_FINDINGS`], in order, with the number of the draft and its limit if it breaks it.
    fn broken_limits(&self, summary: &Summary) -> [(FindingCode, Option<[f64; 2]>); DRAFT_FINDINGS.len()] {
        let max_lean = self.rules().shares().is_none().then(default_max_side_lean_tangent);
        let walking_girth = hem_girth_for_walking_cm(self.body().length, self.body().hip_depth);
        let decide = |numbers, breaks_limit: bool| breaks_limit.then_some(numbers);
        decide_draft_findings(summary, &self.inputs, walking_girth, max_lean, decide)
    }

    /// Returns the cautions about the draft, the gravest first, with lengths in `unit`.
    pub fn findings_in_unit(&self, unit: Unit) -> Vec<Finding> {
        let entries = DRAFT_FINDINGS.iter().zip(self.broken_limits(&self.summary()));
        let findings = entries.filter_map(|((code, panel), (decided, numbers))| {
            debug_assert_eq!(*code, decided, "findings are decided in the order of `DRAFT_FINDINGS`");
            Some(self.draft_finding(*code, panel, numbers?, unit))
        });
        findings.collect()
    }

    /// Returns the cautions about the draft of a garment with or without a vent, with lengths in `unit`. A vent gives the
    /// room that a narrow hem lacks; if the vent is too low, that is a caution about the pattern.
    pub(crate) fn findings_with_vent(&self, has_vent: bool, unit: Unit) -> Vec<Finding> {
        let mut findings = self.findings_in_unit(unit);
        findings.retain(|finding| !has_vent || finding.code != NarrowHem.name());
        findings
    }

    /// Creates the finding about a number that breaks its limit, with lengths in `unit`.
    fn draft_finding(
        &self,
        code: FindingCode,
        panel: &'static str,
        [measured, limit]: [f64; 2],
        unit: Unit,
    ) -> Finding {
        let lengths = || length_finding_from_cm(code, panel, measured, limit, unit);
        let angles =
            |tangent: f64, limit| Finding::new(code, panel, [Scalar::atan(tangent).to_degrees(), limit], "deg");
        match code {
            DartsExceedSuppression => {
                let [darts, remedy] = if self.rules().panel_rules.centre_back_in > 0.0 {
                    ["darts_and_centre_back", "use_smaller_darts_or_inset"]
                } else {
                    ["given_darts", "use_smaller_darts"]
                };
                lengths().with_values([("darts_and_seams", darts), ("remedy", remedy)])
            }
            SideSeamSteep => {
                let max_lean = self.rules().shares().copied().unwrap_or_default().steepest_side;
                let finding = angles(self.side_lean_tangent(), max_lean);
                let is_extreme = finding.measured >= EXTREME_SIDE_SEAM_LEAN_DEGREES;
                finding.with_values([("remedy", if is_extreme { "no_straight_skirt" } else { "use_larger_darts" })])
            }
            NarrowHem => {
                let estimates = [limit, vent_height_for_walking_cm(self.body(), measured)];
                let [needed, vent] = estimates.map(|cm| estimate_from_cm(cm, unit));
                lengths().with_values([("needed", needed), ("vent", vent)])
            }
            LittleWaistEase => lengths().with_values(usual_ease([(1.2, 0.5), (1.9, 0.75)], unit)),
            LittleHipEase => lengths().with_values(usual_ease([(5.0, 2.0), (7.0, 2.75)], unit)),
            HighHipTight => {
                let is_wider = limit > self.body().hip + self.ease().hip;
                lengths().with_values([("remedy", if is_wider { "high_hip_as_hip" } else { "add_hip_ease" })])
            }
            FrontWaistMissed => {
                let change = if measured > limit { "front_smaller" } else { "front_larger" };
                let numbers = if self.rules().shares().is_some() { "dart_shares" } else { "dart_intakes" };
                lengths().with_values([("smaller_or_larger", change), ("numbers", numbers)])
            }
            FrontHipUnusual | FrontWaistUnusual => {
                let shifts = self.summary().side_seam_shifts_by_arcs(&self.inputs);
                let is_backwards = shifts[usize::from(code == FrontWaistUnusual)] > 0.0;
                let half = if is_backwards { Half::Back } else { Half::Front };
                lengths().with_values([("back_or_front", half.name())])
            }
            WaistTilted => self.waist_tilt_finding(panel, measured, limit, unit),
            CentreBackSlanted => angles(measured, MAX_CENTRE_BACK_SLANT_DEGREES),
            BluntDart => {
                let remedy = if self.dart_length_factor < 1.0 { "divide_dart" } else { "lengthen_dart" };
                angles(measured, MAX_DART_HALF_ANGLE_DEGREES).with_values([("remedy", remedy)])
            }
            _ => lengths(),
        }
    }

    /// Creates the finding of a waist that, at a measured centre, lies `distance` cm above or below a waist with square
    /// corners. The numbers of the finding are negative if the waist lies above.
    fn waist_tilt_finding(&self, panel: &'static str, distance: f64, limit: f64, unit: Unit) -> Finding {
        let is_front = panel == Half::Front.name();
        let PanelRules { centre_back_lower, centre_front_lower, .. } = self.rules().panel_rules;
        let by_rules = if is_front { centre_front_lower } else { centre_back_lower };
        let is_lower = self.summary().panels[usize::from(is_front)].extra_lowering > by_rules;
        let posture_or_shape = match (is_front, is_lower) {
            (false, true) => "swayed_back",
            (false, false) => "full_seat",
            (true, true) => "flat_belly",
            (true, false) => "full_belly",
        };
        let (lower_or_higher, sign) = if is_lower { ("waist_lower", 1.0) } else { ("waist_higher", -1.0) };
        let finding = length_finding_from_cm(WaistTilted, panel, sign * distance, sign * limit, unit);
        finding.with_values([("lower_or_higher", lower_or_higher), ("posture_or_shape", posture_or_shape)])
    }
}
