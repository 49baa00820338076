//! What a cutter would want to hear about the ease between waist and hem.

use super::FindingCode::{self, LittleHipEase, LittleWaistEase, NarrowHem, TightBetween};
use super::{Finding, length};
use crate::draft::Draft;
use crate::ease_profile::EaseByLevel;

impl Draft {
    /// The cautions about its ease at all levels: for sitting, for walking, and where the garment is narrower than the body though
    /// it is not so at waist or hip (common practice).
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
    #[must_use]
    pub fn ease_findings(&self, ease: &EaseByLevel) -> Vec<Finding> {
        let tightest = ease.tightest.ease() * ease.unit.cm_per_unit();
        let limit = self.ease().waist.min(self.ease().hip).min(0.0);
        // What closing the waist leaves open is no ease.
        let tight = tightest < limit - 1e-6;
        let tight = tight.then(|| length(TightBetween, "both", tightest, limit, ease.unit));
        let about_ease = [LittleWaistEase, LittleHipEase, NarrowHem].map(FindingCode::name);
        let others = self.findings_in(ease.unit).into_iter().filter(|found| about_ease.contains(&found.code.as_ref()));
        tight.into_iter().chain(others).collect()
    }
}
