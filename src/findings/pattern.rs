//! What a cutter would want to hear about the pieces.

use super::{Finding, FindingCode, count, length};
use crate::field::Unit;
use crate::pattern::{Pattern, is_blank, is_printed};

impl Pattern {
    /// The cautions about cutting, beside those about the [draft](crate::Draft::findings).
    ///
    /// ```
    /// use kirtle::{Body, Cutting, Ease, Opening, Rules};
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 20.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let pattern = draft.pattern(&Cutting { opening: Opening::Given(8.0), ..Cutting::default() })?;
    /// assert_eq!(pattern.findings()[0].code, "hip_cannot_pass");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    #[must_use]
    pub fn findings(&self) -> Vec<Finding> {
        self.findings_in(Unit::Cm)
    }

    /// The cautions with their lengths in `unit`.
    pub(crate) fn findings_in(&self, unit: Unit) -> Vec<Finding> {
        let (body, wished, granted) = (self.draft().body(), self.cutting().allowances, self.granted);
        let (girth, straight) = (self.girth_at_opening_end(), body.length - body.hip_depth);
        let candidates = [
            (girth < body.hip, FindingCode::HipCannotPass, girth, body.hip),
            (granted.waist < wished.waist, FindingCode::WaistAllowanceReduced, granted.waist, wished.waist),
            (granted.side < wished.side, FindingCode::SideAllowanceReduced, granted.side, wished.side),
            (wished.hem > straight, FindingCode::HemAboveHipLine, wished.hem, straight),
        ];
        let found = candidates.into_iter().filter(|(found, ..)| *found);
        let mut findings: Vec<Finding> =
            found.map(|(_, code, measured, limit)| length(code, "both", measured, limit, unit)).collect();
        let folds = self.pieces().into_iter().filter(|piece| piece.straight_folds > 0);
        findings.extend(
            folds.map(|piece| count(FindingCode::FoldNotMirrored, piece.panel.half.name(), piece.straight_folds, 0)),
        );
        let name = if is_blank(&self.cutting().name) { "" } else { &self.cutting().name };
        let boxes = name.chars().filter(|letter| !is_printed(*letter)).count();
        findings.extend((boxes > 0).then(|| count(FindingCode::NameNotPrinted, "both", boxes, 0)));
        findings
    }
}
