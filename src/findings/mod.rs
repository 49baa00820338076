//! What a cutter would want to hear about a valid body: plain cautions, no refusals. A trial garment decides.

mod draft;
mod ease_profile;
mod pattern;

pub(crate) use draft::{PLACES, bits, compared, found, steepest_beside_darts, step};

use std::borrow::Cow;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::field::Unit;

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
    /// Between waist and hip line the garment is narrower than the body.
    TightBetween = "tight_between",
        "where it is tightest between waist and hip line the garment has {measured} of ease, less than {limit}: \
         unless the cloth stretches it may drag into folds there; a fuller side seam or shorter darts may serve better";
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
        "folded edges of the {panel} that are cut straight, as the seam line beside them gives nothing to mirror: {measured}; press \
         them, then trim";
    /// The opening ends where the garment is narrower than the hip.
    HipCannotPass = "hip_cannot_pass",
        "where the opening ends the garment measures {measured}, less than the hip of {limit}: unless the cloth \
         stretches, the skirt may not go on over the hip";
    /// The name has letters that the font in PDF lacks.
    NameNotPrinted = "name_not_printed",
        "in PDF {measured} letters of the name are shown as boxes: its font has Latin, Greek and Cyrillic; SVG shows all";
}

/// One caution about a valid draft.
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

fn length(code: FindingCode, panel: &'static str, measured: f64, limit: f64, unit: Unit) -> Finding {
    let shown = |length_cm: f64| format!("{} {}", unit.format_rounded(length_cm), unit.name());
    let message = code.message(panel, &shown(measured), &shown(limit));
    let [measured, limit] = [measured, limit].map(|length_cm| unit.length_from_cm(length_cm));
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
