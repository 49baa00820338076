//! Findings of a pattern: opening, allowances, hem, folded edges and printed name.

use super::{
    Finding, FindingCode, estimate_from_cm, hem_girth_for_walking_cm, length_finding_from_cm,
    vent_height_for_walking_cm,
};
use crate::field::Unit;
use crate::pattern::{Opening, Pattern, Piece};
use crate::text::{is_blank, is_in_pdf_font};

impl Pattern {
    /// Returns the cautions about opening, allowances, hem, folds and printed name, with lengths in centimetres; those
    /// about the draft itself come from [`Draft::findings`](crate::Draft::findings), and both from
    /// [`cautions_in_unit`](Self::cautions_in_unit).
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
    pub fn findings(&self) -> Vec<Finding> {
        self.findings_in_unit(Unit::Cm)
    }

    /// Returns all cautions about draft and pattern, with lengths in `unit`: those to show to a customer.
    pub fn cautions_in_unit(&self, unit: Unit) -> Vec<Finding> {
        [self.findings_of_draft_in_unit(unit), self.findings_in_unit(unit)].concat()
    }

    /// Returns the cautions about the draft that hold for the pattern, with lengths in `unit`.
    pub(crate) fn findings_of_draft_in_unit(&self, unit: Unit) -> Vec<Finding> {
        self.draft().findings_with_vent(self.cutting().vent.is_some(), unit)
    }

    /// Returns the cautions about opening, allowances, hem, folds and printed name, with lengths in `unit`.
    pub fn findings_in_unit(&self, unit: Unit) -> Vec<Finding> {
        let (body, requested, cut) = (self.draft().body(), self.cutting().allowances, self.cut_allowances);
        let (girth, straight) = (self.girth_at_opening_end(), body.length - body.hip_depth);
        let (opening, Opening::Usual(zip) | Opening::Given(zip)) = (self.opening(), self.cutting().opening);
        let candidates = [
            (self.cutting().is_opening_shortened_by_vent(opening), FindingCode::OpeningShortened, opening, zip),
            (girth < body.hip, FindingCode::HipCannotPass, girth, body.hip),
            (cut.waist < requested.waist, FindingCode::WaistAllowanceReduced, cut.waist, requested.waist),
            (cut.side < requested.side, FindingCode::SideAllowanceReduced, cut.side, requested.side),
            (requested.hem > straight, FindingCode::HemAboveHipLine, requested.hem, straight),
        ];
        let hem_girth = body.hip + self.draft().ease().hip;
        let is_narrow = hem_girth < hem_girth_for_walking_cm(body.length, body.hip_depth);
        let needed = vent_height_for_walking_cm(body, hem_girth);
        let vent = self.cutting().vent.map_or(f64::INFINITY, |vent| vent.vent);
        let broken = candidates.into_iter().filter(|(is_broken, ..)| *is_broken);
        let mut findings: Vec<Finding> =
            broken.map(|(_, code, value, limit)| length_finding_from_cm(code, "both", value, limit, unit)).collect();
        if is_narrow && vent < needed {
            let low_vent = length_finding_from_cm(FindingCode::LowVent, "both", vent, needed, unit);
            findings.push(low_vent.with_values([("needed", estimate_from_cm(needed, unit))]));
        }
        let unshaped = self.pieces().into_iter().filter(|piece| piece.straight_folds > 0);
        let count = |code, panel, count: usize| Finding::new(code, panel, [count as f64, 0.0], "count");
        let folds = |piece: &Piece| count(FindingCode::FoldNotMirrored, piece.panel.half.name(), piece.straight_folds);
        findings.extend(unshaped.map(folds));
        for panel in self.draft().panels() {
            let shortest = panel.darts.iter().map(|dart| dart.length).fold(f64::INFINITY, f64::min);
            let deeper = self.cutting().facing_depth().filter(|depth| *depth > shortest);
            let code = FindingCode::FacingBelowDart;
            findings.extend(deeper.map(|depth| length_finding_from_cm(code, panel.half.name(), depth, shortest, unit)));
        }
        let name = if is_blank(&self.cutting().name) { "" } else { &self.cutting().name };
        let printed = std::iter::once(name).chain(self.cutting().notes.iter().map(String::as_str)).flat_map(str::chars);
        let n = printed.filter(|letter| !is_in_pdf_font(*letter)).count();
        findings.extend((n > 0).then(|| count(FindingCode::NameNotPrinted, "both", n)));
        findings
    }
}
