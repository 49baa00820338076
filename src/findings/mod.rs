//! What a cutter would want to hear about a valid body: plain cautions, no refusals. A trial garment decides.

mod pattern;

use std::borrow::Cow;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::body::{Apportion, Shares};
use crate::draft::{Draft, Panel};
use crate::measure::Unit;
use crate::scalar::Scalar;

/// Least ease for sitting, in centimetres. Central Washington University, costume text, chapter 16: ½–¾ in at the waist
/// of a skirt, 2–2¾ in at the hip; here the round centimetres under the lower of each.
const LEAST_WAIST_EASE: f64 = 1.2;
const LEAST_HIP_EASE: f64 = 5.0;

/// Least distance from a dart's tip to the hip line, in centimetres: about an inch (common practice).
const LEAST_TIP_CLEARANCE: f64 = 2.54;

/// The half angle from which a dart pokes at its tip, in degrees (common practice).
const BLUNT_HALF_ANGLE: f64 = 12.0;

/// A walking step, the leg from the hip line to the floor, and the girth of a knee, in centimetres: round estimates of
/// our own, no source. Around two legs the cloth takes twice their distance and the girth of one.
const STEP: f64 = 60.0;
const LEG: f64 = 85.0;
const KNEE: f64 = 37.0;

/// Declares the findings once: variant, text form, and how its message reads, with the measured value and the limit
/// already in words.
macro_rules! findings {
    ($($(#[doc = $doc:literal])+ $variant:ident = $text:literal, $message:literal;)*) => {
        /// The kind of a [`Finding`].
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, JsonSchema)]
        #[non_exhaustive]
        pub enum FindingCode {
            $($(#[doc = $doc])+ #[schemars(rename = $text)] $variant,)*
        }

        impl FindingCode {
            /// Every kind there is.
            pub const ALL: &[FindingCode] = &[$(FindingCode::$variant,)*];

            /// The kind as it stands in JSON.
            #[must_use]
            pub fn name(self) -> &'static str {
                match self {
                    $(FindingCode::$variant => $text,)*
                }
            }

            fn message(self, panel: &str, measured: &str, limit: &str) -> String {
                match self {
                    $(FindingCode::$variant => {
                        $message.replace("{panel}", panel).replace("{measured}", measured).replace("{limit}", limit)
                    })*
                }
            }
        }
    };
}

findings! {
    /// The waist, with its ease, is larger than the hip with its.
    WaistLargerThanHip = "waist_larger_than_hip",
        "with its ease the waist is {measured} larger than the hip with its ease: there is nothing to take in, and the \
         side seam leans outwards from the hip to the waist; measure once more, and try it in cloth";
    /// The given darts take more than the difference between hip and waist.
    DartsExceedSuppression = "darts_exceed_suppression",
        "on half the garment the given darts take {measured}, more than the {limit} there is to take in: the side seam leans \
         outwards";
    /// The side seam takes more than its limit.
    SideSeamSteep = "side_seam_steep",
        "the side seam leans {measured} from the upright at the waist, more than {limit}: it may bulge over the hip; \
         larger or more darts, a yoke or gores may serve better";
    /// The waist has less ease than common practice.
    LittleWaistEase = "little_waist_ease",
        "{measured} of ease at the waist is less than the {limit} that a published guide takes as least: unless the cloth \
         stretches, it may bind when sitting";
    /// The hip has less ease than common practice.
    LittleHipEase = "little_hip_ease",
        "{measured} of ease at the hip is less than the {limit} that a published guide takes as least: hips spread when \
         sitting, and unless the cloth stretches the skirt may ride up or strain";
    /// The hem is too narrow for a walking step.
    NarrowHem = "narrow_hem",
        "a hem of {measured} may be narrow for a walking step, which takes about {limit} at this length by a rough \
         estimate: think of a slit, a vent or a pleat";
    /// A dart ends close to the hip line.
    TipNearHip = "tip_near_hip",
        "a dart of the {panel} ends {measured} above the hip line, closer than the {limit} of common practice: its tip \
         may show on the fullest part";
    /// A dart is wide for its length.
    BluntDart = "blunt_dart",
        "a dart of the {panel} opens by {measured} to each side, more than the {limit} of common practice: it may poke at its \
         tip; make it longer, or divide it into two";
    /// The bends of the waist leave less room than the allowance asks.
    WaistAllowanceReduced = "waist_allowance_reduced",
        "the waist allowance is cut at {measured} instead of {limit}: the waist bends too sharply for more";
    /// The bends of the side seam leave less room than the allowance asks.
    SideAllowanceReduced = "side_allowance_reduced",
        "the side allowance is cut at {measured} instead of {limit}: the side seam bends too sharply for more";
    /// The hem is deeper than the straight part of the side seam.
    HemAboveHipLine = "hem_above_hip_line",
        "a hem of {measured} reaches above the hip line when it is turned up, as the side seam is straight for {limit} only: \
         it may not lie flat; a narrower hem, or a facing, may serve better";
    /// The waist beside a fold is too short or too curved to mirror.
    FoldNotMirrored = "fold_not_mirrored",
        "on the {panel} so many folded edges are cut straight: {measured}; the seam line beside them gives nothing to mirror, \
         so press them first and trim them then";
    /// The opening ends where the garment is narrower than the hip.
    HipCannotPass = "hip_cannot_pass",
        "where the opening ends the garment measures {measured}, less than the hip of {limit}: unless the cloth \
         stretches, the hip may not pass";
    /// The name has letters that the font in PDF lacks.
    NameNotPrinted = "name_not_printed",
        "in PDF {measured} letters of the name are shown as boxes: its font has Latin, Greek and Cyrillic; SVG shows all";
}

/// One caution about a valid draft.
///
/// ```
/// use kirtle::{Body, Ease, Rules};
///
/// let body = Body { waist: 96.0, hip: 90.0, hip_depth: 18.0, length: 60.0 };
/// let findings = kirtle::draft(&body, &Ease { waist: 2.0, hip: 6.0 }, &Rules::default())?.findings();
/// assert_eq!(findings[0].code, "waist_larger_than_hip");
/// assert!(findings[0].message.starts_with("with its ease the waist is 2.0 cm larger"));
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "python", pyo3::pyclass(frozen, get_all, eq, module = "kirtle"))]
pub struct Finding {
    /// The kind of the finding.
    #[schemars(with = "FindingCode")]
    pub code: Cow<'static, str>,
    /// The panel it is about: `back`, `front`, or `both` together.
    pub panel: Cow<'static, str>,
    /// What the draft has.
    pub measured: f64,
    /// The limit that it passes.
    pub limit: f64,
    /// The unit of both: `cm`, `in`, `deg` or `count`.
    pub unit: Cow<'static, str>,
    /// The whole in one sentence.
    pub message: String,
}

impl Draft {
    /// The cautions about this draft, the gravest first.
    #[must_use]
    pub fn findings(&self) -> Vec<Finding> {
        self.findings_in(Unit::Cm)
    }

    /// The cautions with their lengths in `unit`.
    pub(crate) fn findings_in(&self, unit: Unit) -> Vec<Finding> {
        let mut findings = shape(self, unit);
        findings.extend(wear(self, unit));
        for panel in self.panels() {
            findings.extend(darts(self, panel, unit));
        }
        findings
    }
}

fn length(code: FindingCode, panel: &'static str, measured: f64, limit: f64, unit: Unit) -> Finding {
    let shown = |length_cm: f64| format!("{} {}", unit.worded(length_cm), unit.name());
    let message = code.message(panel, &shown(measured), &shown(limit));
    let [measured, limit] = [measured, limit].map(|length_cm| unit.of_cm(length_cm));
    Finding { code: code.name().into(), panel: panel.into(), measured, limit, unit: unit.name().into(), message }
}

fn angle(code: FindingCode, panel: &'static str, measured: f64, limit: f64) -> Finding {
    let message = code.message(panel, &format!("{measured:.1}°"), &format!("{limit:.1}°"));
    Finding { code: code.name().into(), panel: panel.into(), measured, limit, unit: "deg".into(), message }
}

fn count(code: FindingCode, panel: &'static str, measured: usize, limit: usize) -> Finding {
    let message = code.message(panel, &measured.to_string(), &limit.to_string());
    // Counts of folds are small.
    #[allow(clippy::cast_precision_loss)]
    let [measured, limit] = [measured as f64, limit as f64];
    Finding { code: code.name().into(), panel: panel.into(), measured, limit, unit: "count".into(), message }
}

/// What the difference between waist and hip asks of the darts and the side seam.
fn shape(draft: &Draft, unit: Unit) -> Vec<Finding> {
    let mut findings = Vec::new();
    let (nominal, lean) = (draft.nominal, Scalar::atan(draft.side_lean()).to_degrees());
    if nominal.total < 0.0 {
        findings.push(length(FindingCode::WaistLargerThanHip, "both", -2.0 * nominal.total, 0.0, unit));
    } else if nominal.side < 0.0 {
        let taken = nominal.back + nominal.front;
        findings.push(length(FindingCode::DartsExceedSuppression, "both", taken, nominal.total, unit));
    }
    let (steepest, too_steep) = match &draft.rules().apportion {
        Apportion::Shares(shares) => (shares.steepest_side, draft.left_in_side > 0.0),
        Apportion::Darts(_) => {
            let steepest = Shares::default().steepest_side;
            (steepest, lean > steepest)
        }
    };
    if too_steep {
        findings.push(angle(FindingCode::SideSeamSteep, "both", lean, steepest));
    }
    findings
}

/// What wearing it asks: sitting and stepping.
fn wear(draft: &Draft, unit: Unit) -> Vec<Finding> {
    let (body, ease) = (draft.body(), draft.ease());
    let hem = body.hip + ease.hip;
    // The legs part at the hip line; at the hem they are apart by their share of the step.
    let step = KNEE + 2.0 * STEP * ((body.length - body.hip_depth) / LEG).min(1.0);
    // An estimate to 5 cm claims no more than it knows.
    let step = (step / 5.0).round() * 5.0;
    let candidates = [
        (ease.waist < LEAST_WAIST_EASE, FindingCode::LittleWaistEase, ease.waist, LEAST_WAIST_EASE),
        (ease.hip < LEAST_HIP_EASE, FindingCode::LittleHipEase, ease.hip, LEAST_HIP_EASE),
        (hem < step, FindingCode::NarrowHem, hem, step),
    ];
    let found = candidates.into_iter().filter(|(found, ..)| *found);
    found.map(|(_, code, measured, limit)| length(code, "both", measured, limit, unit)).collect()
}

/// What the darts of a panel ask.
fn darts(draft: &Draft, panel: &Panel, unit: Unit) -> Vec<Finding> {
    let name = panel.half.name();
    let mut findings = Vec::new();
    let clearances = panel.darts.iter().map(|dart| draft.body().hip_depth - dart.tip.y);
    let clearance = clearances.fold(f64::INFINITY, f64::min);
    if clearance < LEAST_TIP_CLEARANCE {
        findings.push(length(FindingCode::TipNearHip, name, clearance, LEAST_TIP_CLEARANCE, unit));
    }
    let widest = panel.darts.iter().map(|dart| dart.half_angle_rad.to_degrees()).fold(0.0, f64::max);
    if widest > BLUNT_HALF_ANGLE {
        findings.push(angle(FindingCode::BluntDart, name, widest, BLUNT_HALF_ANGLE));
    }
    findings
}
