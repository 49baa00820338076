//! What a cutter would want to hear about the draft.

use super::FindingCode::{
    self, BluntDart, DartsExceedSuppression, LittleHipEase, LittleWaistEase, NarrowHem, SideSeamSteep, TipNearHip,
    WaistLargerThanHip,
};
use super::{Finding, angle, length};
use crate::body::{Body, Ease, Shares};
use crate::draft::{Draft, Summary};
use crate::field::Unit;
use crate::scalar::{Number, Scalar};

/// Least ease for sitting, in centimetres. Central Washington University, costume text, chapter 16: ½–¾ in at the waist
/// of a skirt, 2–2¾ in at the hip; here the round centimetres under the lower of each. Women of ANSUR II are 4.5 cm broader at
/// the hip sitting than standing.
const MIN_WAIST_EASE: f64 = 1.2;
const MIN_HIP_EASE: f64 = 5.0;

/// Least distance from a dart's tip to the hip line, in centimetres: about an inch (common practice).
const MIN_TIP_CLEARANCE: f64 = 2.54;

/// The half angle from which a dart pokes at its tip, in degrees (common practice), and its tangent.
const BLUNT_HALF_ANGLE: f64 = 12.0;
const BLUNT_TANGENT: f64 = 0.212_556_561_670_022_13;

/// A walking step, the leg from the hip line to the floor, and the girth of a knee, in centimetres: round estimates of
/// our own, no source. Around two legs the cloth takes twice their distance and the girth of one.
const STEP: f64 = 60.0;
const LEG: f64 = 85.0;
const KNEE: f64 = 37.0;

/// Every finding that a draft can have, with the panel that it is about, in their order.
pub(crate) const PLACES: [(FindingCode, &str); 10] = [
    (WaistLargerThanHip, "both"),
    (DartsExceedSuppression, "both"),
    (SideSeamSteep, "both"),
    (LittleWaistEase, "both"),
    (LittleHipEase, "both"),
    (NarrowHem, "both"),
    (TipNearHip, "back"),
    (BluntDart, "back"),
    (TipNearHip, "front"),
    (BluntDart, "front"),
];

/// The tangent of the steepest lean of a side seam beside given darts; by shares the sharing tells what is over.
pub(crate) fn steepest_beside_darts() -> f64 {
    Scalar::tan(Shares::default().steepest_side.to_radians())
}

/// What a walking step takes around the hem, in centimetres: an estimate to 5 cm claims no more than it knows.
#[inline(always)]
pub(crate) fn step(length: f64, hip_depth: f64) -> f64 {
    // The legs part at the hip line; at the hem they are apart by their share of the step.
    let step = KNEE + 2.0 * STEP * ((length - hip_depth) / LEG).min(1.0);
    (step / 5.0).round() * 5.0
}

/// What is compared for each of [`PLACES`]: it is found where the first is less than the second. The second of them counts
/// only where the first is not found.
#[inline(always)]
pub(crate) fn compared<T: Number>(
    summary: &Summary<T>,
    body: &Body<T>,
    ease: &Ease<T>,
    step: T,
    steepest: Option<T>,
) -> [(T, T); PLACES.len()] {
    let (zero, nominal) = (T::constant(0.0), &summary.nominal);
    let (mut clearances, mut widths) = ([T::constant(f64::INFINITY); 2], [zero; 2]);
    for (k, panel) in summary.panels.iter().enumerate() {
        for dart in &panel.darts {
            clearances[k] = clearances[k].min(body.hip_depth - dart.tip);
            widths[k] = widths[k].max((dart.intake * T::constant(0.5)).quotient(dart.length));
        }
    }
    let (min, blunt) = (T::constant(MIN_TIP_CLEARANCE), T::constant(BLUNT_TANGENT));
    [
        (nominal.total, zero),
        (nominal.side, zero),
        steepest.map_or((zero, summary.left_in_side), |steepest| (steepest, summary.lean)),
        (ease.waist, T::constant(MIN_WAIST_EASE)),
        (ease.hip, T::constant(MIN_HIP_EASE)),
        (body.hip + ease.hip, step),
        (clearances[0], min),
        (blunt, widths[0]),
        (clearances[1], min),
        (blunt, widths[1]),
    ]
}

/// Which of [`PLACES`] are found, by what is compared: the sum of their bits.
#[inline(always)]
pub(crate) fn found<T: Number>(compared: &[(T, T); PLACES.len()]) -> T {
    let (mut sum, mut bit) = (T::constant(0.0), 1.0);
    for (one, other) in compared {
        sum += one.lt(*other) * T::constant(bit);
        bit += bit;
    }
    sum
}

/// The bits of such a sum.
#[inline(always)]
pub(crate) fn bits(sum: f64) -> u16 {
    // A small whole number.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let found = sum as u16;
    // Where there is nothing to take in, darts exceed it without saying.
    found & !((found & 1) << 1)
}

impl Draft {
    /// The cautions about this draft, the gravest first.
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
    #[must_use]
    pub fn findings(&self) -> Vec<Finding> {
        self.findings_in(Unit::Cm)
    }

    /// What is found, as bits, by the numbers of this draft.
    pub(crate) fn found(&self, summary: &Summary) -> u16 {
        bits(found(&self.compared(summary)))
    }

    fn compared(&self, summary: &Summary) -> [(f64, f64); PLACES.len()] {
        let (body, ease) = (self.body(), self.ease());
        let steepest = self.steepest_side().is_none().then(steepest_beside_darts);
        compared(summary, body, ease, step(body.length, body.hip_depth), steepest)
    }

    /// The cautions with their lengths in `unit`.
    pub(crate) fn findings_in(&self, unit: Unit) -> Vec<Finding> {
        let compared = self.compared(&self.summary());
        let found = bits(found(&compared));
        let places = (0..PLACES.len()).filter(|place| found >> place & 1 == 1);
        places.map(|place| self.worded(place, compared[place], unit)).collect()
    }

    fn worded(&self, place: usize, (one, other): (f64, f64), unit: Unit) -> Finding {
        let (code, panel) = PLACES[place];
        let degrees = |tangent: f64| Scalar::atan(tangent).to_degrees();
        match code {
            WaistLargerThanHip => length(code, panel, -2.0 * one, 0.0, unit),
            DartsExceedSuppression => {
                let taken = self.nominal.back + self.nominal.front;
                length(code, panel, taken, self.nominal.total, unit)
            }
            SideSeamSteep => {
                let steepest = self.steepest_side().unwrap_or(Shares::default().steepest_side);
                angle(code, panel, degrees(self.side_lean()), steepest)
            }
            BluntDart => angle(code, panel, degrees(other), BLUNT_HALF_ANGLE),
            _ => length(code, panel, one, other, unit),
        }
    }
}
