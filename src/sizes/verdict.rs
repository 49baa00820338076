//! Two verdicts on an alteration: whether the pattern sews together, and how far the pattern is from the exact draft.
//!
//! For the teacher who decides whether to use the pattern. The second verdict names each place that differs, and the
//! step that adds most to the difference.

use super::alter::{Alteration, StepKind};
use super::cost::Cost;

/// Smallest difference from an exact draft that a verdict names, in millimetres.
const MIN_NAMED_DIFFERENCE_MM: f64 = 0.05;

/// Name of a place of a pattern, and the function that reads the difference at this place, in millimetres, from a
/// [`Cost`].
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
    #[must_use]
    pub fn sews(&self) -> bool {
        self.cost.sewn_waist_mm.abs().max(self.cost.side_mismatch_mm.abs()) <= self.limits.tolerance_mm
    }

    /// Returns whether no difference between the altered pattern and the exact draft is larger than the tolerance;
    /// false if the numbers of darts differ.
    #[must_use]
    pub fn is_within_tolerance(&self) -> bool {
        self.cost.largest_mm() <= self.limits.tolerance_mm
    }

    /// Returns the places where the pattern differs from the exact draft by at least 0.05 mm, the largest difference
    /// first. Darts and waist lines are compared only if the numbers of darts are equal.
    #[must_use]
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
    #[must_use]
    pub fn sewing_verdict(&self) -> String {
        let waist_comparison = describe_length_comparison(self.cost.sewn_waist_mm, "the wanted waist");
        let side_comparison = describe_length_comparison(self.cost.side_mismatch_mm, "that of the back");
        let sews_or_not = if self.sews() { "sews together" } else { "does not sew together" };
        format!(
            "The pattern {sews_or_not}: the sewn waist is {waist_comparison}, the side seam of the front is \
             {side_comparison}."
        )
    }

    /// Returns a sentence with the differences of the pattern from an exact draft of the body, by place and step.
    #[must_use]
    pub fn difference_verdict(&self) -> String {
        let differences = self.differences();
        let place = |PlaceDifference { place, mm, step: kind }: &PlaceDifference| {
            let number = self.steps.iter().find(|step| step.kind == *kind).and_then(|step| step.number);
            let left_out = || format!("left out: {}", kind.name().replace('_', " "));
            let step = number.map_or_else(left_out, |number| format!("step {number}"));
            format!("{place} {mm:.1} mm ({step})")
        };
        let places = self.dart_count_differences_in_words().chain(differences.iter().map(place));
        let (tolerance, differences_by_place) = (self.limits.tolerance_mm, places.collect::<Vec<_>>().join(", "));
        if differences_by_place.is_empty() {
            "The pattern equals the exact draft.".to_owned()
        } else if self.is_within_tolerance() {
            format!("The pattern is within {tolerance} mm of the exact draft: {differences_by_place}.")
        } else {
            format!("The pattern is over {tolerance} mm from the exact draft: {differences_by_place}.")
        }
    }

    /// Describes, for each panel with another number of darts than in the exact draft, both numbers; yields nothing if
    /// all numbers are equal.
    fn dart_count_differences_in_words(&self) -> impl Iterator<Item = String> {
        let pairs = [&self.back, &self.front].into_iter().zip(self.exact.panels());
        pairs.filter(|(altered, exact)| altered.darts.len() != exact.darts.len()).map(|(altered, exact)| {
            let (count, half, altered_count) = (exact.darts.len(), exact.half.name(), altered.darts.len());
            let darts = if count == 1 { "dart" } else { "darts" };
            format!("the exact draft has {count} {half} {darts}, the pattern has {altered_count}")
        })
    }
}

/// Describes how much longer a length is than another, called `compared_length`: "2.0 mm longer than the wanted waist".
fn describe_length_comparison(longer_mm: f64, compared_length: &str) -> String {
    let rounded = format!("{:.1}", longer_mm.abs());
    let longer_or_shorter = if longer_mm > 0.0 { "longer" } else { "shorter" };
    match rounded.as_str() {
        "0.0" => format!("as long as {compared_length} (0.0 mm)"),
        _ => format!("{rounded} mm {longer_or_shorter} than {compared_length}"),
    }
}
