//! Findings about the ease between waist and hem.

use super::FindingCode::{self, LittleHipEase, LittleWaistEase, NarrowHem, TightBetween};
use super::{Finding, length_finding_from_cm};
use crate::draft::Draft;
use crate::ease_profile::EaseByLevel;

impl Draft {
    /// Returns the cautions about the ease of the garment, in the unit of `ease`: too little waist or hip
    /// ease for sitting, a hem too narrow for walking, or less ease between waist and hip line than the smallest of 0,
    /// waist ease and hip ease.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules, Unit};
    /// use kirtle::ease_profile::BodyProfile;
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 20.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let full = BodyProfile::HighHip { girth: 95.0, depth: 9.0 };
    /// let findings = draft.ease_findings(&draft.ease_by_level(&full, None, Unit::Cm)?);
    /// assert_eq!(findings[0].code, "tight_between");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn ease_findings(&self, ease: &EaseByLevel) -> Vec<Finding> {
        let tightest = ease.tightest.ease() * ease.unit.cm_per_unit();
        // Negative ease at waist or hip is deliberate: the cloth stretches.
        let limit = self.ease().waist.min(self.ease().hip).min(0.0);
        // A difference below 1e-6 cm is rounding: the solver closes the waist to a tolerance.
        let is_tight = tightest < limit - 1e-6;
        let finding = || length_finding_from_cm(TightBetween, "both", tightest, limit, ease.unit);
        let tight_between = is_tight.then(|| finding().with_values([("level", ease.tightest.level)]));
        let ease_codes = [LittleWaistEase, LittleHipEase, NarrowHem].map(FindingCode::name);
        let draft_findings = self.findings_in_unit(ease.unit).into_iter();
        tight_between.into_iter().chain(draft_findings.filter(|finding| ease_codes.contains(&&*finding.code))).collect()
    }
}
