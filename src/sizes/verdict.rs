//! Two verdicts on an alteration: whether the pattern sews together, and how far the pattern is from the exact draft.
//!
//! The second verdict names each place that differs, and the step that adds most to the difference.

use super::alter::{Alteration, StepKind};
use super::cost::Cost;
use crate::wording::{Texts, printed};

/// Smallest difference from an exact draft that a verdict names, in millimetres.
const MIN_NAMED_DIFFERENCE_MM: f64 = 0.05;

/// Name of a place of a pattern, and the function that reads its difference, in millimetres, from a [`Cost`].
type PlaceNameAndReader = (&'static str, fn(&Cost) -> f64);

const WAIST_LINE: &str = "waist line";

const COMPARED_PLACES: [PlaceNameAndReader; 6] = [
    (WAIST_LINE, |cost| cost.waist_gap_mm),
    ("side seam", |cost| cost.side_gap_mm),
    ("darts", |cost| cost.dart_gap_mm.unwrap_or_default()),
    ("hip girth", |cost| cost.hip_girth_mm),
    ("hem", |cost| cost.hem_gap_mm),
    ("centre line", |cost| cost.centre_gap_mm),
];

/// Largest difference from the exact draft at one place of the pattern, and the step that adds most to this difference.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlaceDifference {
    /// Name of the place of the pattern that differs from the exact draft, such as `side seam`.
    pub place: &'static str,
    /// Largest difference at the place, in millimetres.
    pub mm: f64,
    /// Step that adds most to the difference at the place.
    pub step: StepKind,
}

impl Alteration {
    /// Returns whether the pattern sews together within the tolerance: the sewn waist is as long as the wanted waist,
    /// and the side seams of back and front are equally long.
    pub fn sews(&self) -> bool {
        self.cost.sewn_waist_mm.abs().max(self.cost.side_mismatch_mm.abs()) <= self.limits.tolerance_mm
    }

    /// Returns whether no difference between the altered pattern and the exact draft is larger than the tolerance;
    /// false if the numbers of darts differ.
    pub fn is_within_tolerance(&self) -> bool {
        self.cost.largest_mm() <= self.limits.tolerance_mm
    }

    /// Returns the places where the pattern differs from the exact draft by at least 0.05 mm, the largest difference
    /// first. Darts and waist lines are compared only if the numbers of darts are equal.
    pub fn differences(&self) -> Vec<PlaceDifference> {
        let difference = |(place, read): &PlaceNameAndReader| {
            let mm = read(&self.cost).abs();
            let is_compared = self.cost.dart_gap_mm.is_some() || *place != WAIST_LINE;
            let step = self.step_adding_most_difference(*read);
            (is_compared && mm >= MIN_NAMED_DIFFERENCE_MM).then_some(PlaceDifference { place, mm, step })
        };
        let mut differences: Vec<PlaceDifference> = COMPARED_PLACES.iter().filter_map(difference).collect();
        differences.sort_by(|a, b| b.mm.total_cmp(&a.mm));
        differences
    }

    /// Returns the step that adds most to the difference from the exact draft at one place; `read` reads this
    /// difference from the [`Cost`] after a step.
    fn step_adding_most_difference(&self, read: fn(&Cost) -> f64) -> StepKind {
        let mut before = 0.0;
        let growth = self.steps.map(|step| {
            let after = read(&step.cost).abs();
            (step.kind, after - std::mem::replace(&mut before, after))
        });
        // The first of equal steps, as `max_by` returns the last.
        growth.into_iter().rev().max_by(|a, b| a.1.total_cmp(&b.1)).map_or(StepKind::Hem, |(kind, _)| kind)
    }

    /// Returns a sentence that says whether the pattern sews together, with the differences of waist and side seams.
    pub fn sewing_verdict(&self, texts: &Texts) -> String {
        let comparison = |compared: &str, longer_mm: f64| {
            let mm = format!("{:.1}", longer_mm.abs());
            let relation = match mm.as_str() {
                "0.0" => "equal",
                _ if longer_mm > 0.0 => "longer",
                _ => "shorter",
            };
            printed!(texts.template(&format!("{compared}_{relation}")), mm = texts.number(mm))
        };
        let waist = comparison("waist", self.cost.sewn_waist_mm);
        let side = comparison("side", self.cost.side_mismatch_mm);
        printed!(if self.sews() { texts.sews_together() } else { texts.sews_not() }, waist, side)
    }

    /// Returns a sentence with the differences of the pattern from an exact draft of the body, by place and step.
    pub fn difference_verdict(&self, texts: &Texts) -> String {
        let differences = self.differences();
        let difference = |PlaceDifference { place, mm, step: kind }: &PlaceDifference| {
            let number = self.steps.iter().find(|step| step.kind == *kind).and_then(|step| step.number);
            let (place, mm) = (texts.template(&place.replace(' ', "_")), texts.number(format!("{mm:.1}")));
            match number {
                Some(number) => printed!(texts.difference_by_step(), place, mm, number),
                None => printed!(texts.difference_left_out(), place, mm, step = texts.template(kind.name())),
            }
        };
        let panels = [&self.back, &self.front].into_iter().zip(self.exact.panels());
        let unequal = panels.filter(|(drawn, exact)| drawn.darts.len() != exact.darts.len()).map(|(drawn, exact)| {
            let (count, half, drawn) = (exact.darts.len(), exact.half.name(), drawn.darts.len());
            let darts = if count == 1 { "dart" } else { "darts" };
            printed!(texts.template(&format!("unequal_{half}_{darts}")), count, drawn)
        });
        let places: Vec<String> = unequal.chain(differences.iter().map(difference)).collect();
        if places.is_empty() {
            return texts.equals_draft().to_string();
        }
        let verdict = if self.is_within_tolerance() { texts.within_tolerance() } else { texts.over_tolerance() };
        printed!(verdict, tolerance = texts.number(self.limits.tolerance_mm), differences = places.join(", "))
    }
}
