//! Written instructions for an alteration with ruler, curve and pencil: the steps by their numbers, and what is left out.

use super::FractionBetweenSizes;
use super::alter::{Alteration, AlterationStep, MIN_WRITTEN_SHIFT_CM, StepKind};
use crate::ruler::Ruler;

/// Fractions of the way from one printed line to another that the instructions write in words.
const FRACTIONS_IN_WORDS: [(f64, &str); 5] =
    [(0.25, "a quarter"), (1.0 / 3.0, "a third"), (0.5, "half"), (2.0 / 3.0, "two thirds"), (0.75, "three quarters")];

/// Difference from one of [`FRACTIONS_IN_WORDS`] below which a fraction is written in words.
const MAX_FRACTION_IN_WORDS_ERROR: f64 = 0.005;

/// Smallest distance of a mark from the nearer of two printed lines at which the mark counts as off that line: a
/// fraction of the distance between the two lines.
const PENCIL_LINE_SHARE_OF_GAP: f64 = 0.01;

impl Alteration {
    /// Returns the written steps of the alteration, the first step first; `ruler` formats the lengths.
    #[must_use]
    pub fn instructions(&self, ruler: impl Into<Ruler>) -> Vec<String> {
        let ruler = ruler.into();
        let instruction = |step: &AlterationStep| match step.kind {
            StepKind::Waist => self.waist_instruction(),
            StepKind::Hip => self.hip_instruction(ruler),
            StepKind::HipLine => self.hip_line_instruction(ruler),
            StepKind::Darts => self.darts_instruction(step.by, ruler),
            StepKind::Side => {
                let is_slanted = self.exact.rules().panel_rules.centre_back_in > 0.0;
                let centre =
                    if is_slanted { " Draw the centre back straight from waist line to hip line." } else { "" };
                format!(
                    "Side: join the side end of the waist line to the hip mark with a shallow curve that meets \
                     the hip line at a right angle; from there draw straight down to the hem.{centre}"
                )
            }
            StepKind::Hem => self.hem_instruction(ruler),
        };
        self.steps_done().map(instruction).collect()
    }

    /// Returns a phrase in plain English for each change of at least 0.5 mm that is left out, as it is at most
    /// [`min_step_mm`](super::AlterationLimits::min_step_mm); `ruler` formats the lengths.
    #[must_use]
    pub fn left_out(&self, ruler: impl Into<Ruler>) -> Vec<String> {
        use StepKind::{Darts, Hem, Hip, HipLine, Side, Waist};
        let ruler = ruler.into();
        let limit = MIN_WRITTEN_SHIFT_CM..=self.limits.max_left_out_change_cm();
        let describe = |step: &AlterationStep| {
            let (by, is_more) = (ruler.format_length_with_unit(step.by.abs()), step.by > 0.0);
            let (larger_or_smaller, lower_or_higher) =
                if is_more { ("larger", "lower") } else { ("smaller", "higher") };
            match step.kind {
                Waist => format!(
                    "the waist stays, though the body's is {by} {larger_or_smaller} than that of the nearest size"
                ),
                Hip => format!(
                    "the hip stays, though the body's is {by} {larger_or_smaller} than that of the nearest size"
                ),
                HipLine => {
                    format!("the hip line stays, though the body's is {by} {lower_or_higher} than the printed one")
                }
                Darts => {
                    format!("the dart tips stay as printed; for this body they would be up to {by} {lower_or_higher}")
                }
                Side | Hem => {
                    format!("the hem stays as printed; for this body it would be {by} {lower_or_higher}")
                }
            }
        };
        self.steps.iter().filter(|step| limit.contains(&step.by.abs())).map(describe).collect()
    }

    fn waist_instruction(&self) -> String {
        let FractionBetweenSizes { from, to, fraction } = &self.blend.waist;
        if let Some(size) = size_name_if_on_line(&self.blend.waist) {
            return format!(
                "Waist, back and front alike: trace the waist line of size {size} from centre to side, and the darts."
            );
        }
        let nearer = if *fraction < 0.5 { from } else { to };
        let unequal_darts = format!(
            " On a panel where the two sizes have different numbers of darts, trace the waist line and the darts of \
             size {nearer} instead, level with the side mark, and lengthen or shorten the waist line to end at the \
             side mark."
        );
        format!(
            "Waist, back and front alike: mark {} at the centre, at the legs and tips of the darts, and at the side; \
             join the marks with a curve shaped like the waist lines of both sizes.{}",
            describe_position_between_lines(&self.blend.waist, "line"),
            if self.dart_counts_differ { unequal_darts.as_str() } else { "" }
        )
    }

    fn hip_instruction(&self, ruler: Ruler) -> String {
        let hip = &self.blend.hip;
        if let Some(size) = size_name_if_on_line(hip) {
            return format!("Hip: mark the side seam of size {size} on the hip line.");
        }
        let (shift, size) = (ruler.format_length_with_unit(self.hip_mark_shift), &hip.from);
        let distance = format!(", {shift} outside the side seam of size {size}");
        let distance_if_any = if self.hip_mark_shift < MIN_WRITTEN_SHIFT_CM { "" } else { &distance };
        let place_between_seams = describe_position_between_lines(hip, "side seam");
        format!("Hip: on the hip line, mark {place_between_seams}{distance_if_any}.")
    }

    fn hip_line_instruction(&self, ruler: Ruler) -> String {
        let depth = self.exact.body().hip_depth;
        let deeper = depth - self.printed_hip_depth;
        let (relation, direction, waist_level) =
            if deeper > 0.0 { ("below", "down", "higher") } else { ("above", "up", "lower") };
        let [back, front] = self.centre_waist_shifts.map(f64::abs);
        let is_waist_moved = back.max(front) >= MIN_WRITTEN_SHIFT_CM;
        let [depth, by, back, front] =
            [depth, deeper.abs(), back, front].map(|length| ruler.format_length_with_unit(length));
        let waist = format!(
            " Draw the waist line {waist_level} by {back} at the centre back and {front} at the centre front, to nothing at the \
             side, as long as before."
        );
        let waist = if is_waist_moved { &waist } else { "" };
        format!(
            "Hip line: measure {depth} straight down from the waist at the side; draw a new hip line there, {by} {relation} the \
             printed hip line, and move the hip mark straight {direction} to the new line.{waist}"
        )
    }

    fn darts_instruction(&self, largest_shift: f64, ruler: Ruler) -> String {
        let [back, front] = &self.added_dart_lengths;
        let describe = |(half, added): (&str, &Vec<f64>)| {
            let darts = if added.len() == 1 { "dart" } else { "darts" };
            let mut different = added.clone();
            different.dedup_by(|a, b| (*a - *b).abs() < MIN_WRITTEN_SHIFT_CM);
            let amounts: Vec<String> = different.iter().map(|by| ruler.format_length(by.abs())).collect();
            let (amounts, unit) = (amounts.join(" and "), ruler.unit_name());
            (!added.is_empty()).then(|| format!("the {half} {darts} by {amounts} {unit}"))
        };
        let panels: Vec<String> = [("back", back), ("front", front)].into_iter().filter_map(describe).collect();
        let (action, level) = if largest_shift > 0.0 { ("lengthen", "higher") } else { ("shorten", "lower") };
        format!(
            "Darts: {action} {}, along their centre lines, as the hip line moves. This step may be left out: the tips then \
             lie up to {} {level} than in the exact draft.",
            panels.join(" and "),
            ruler.format_length_with_unit(largest_shift.abs())
        )
    }

    fn hem_instruction(&self, ruler: Ruler) -> String {
        let length = self.exact.body().length;
        let (size, below_hip) = &self.traced_hem;
        let longer = length - self.printed_hip_depth - below_hip;
        let is_traced = longer.abs() <= MIN_WRITTEN_SHIFT_CM.max(self.limits.max_left_out_change_cm());
        let length = if is_traced { self.printed_hip_depth + below_hip } else { length };
        let action = if is_traced {
            "trace".to_owned()
        } else {
            let relation = if longer > 0.0 { "below" } else { "above" };
            format!("draw a line {} {relation}", ruler.format_length_with_unit(longer.abs()))
        };
        format!(
            "Hem: {action} the hem of size {size}, {} straight down from the waist at the side, level across the \
             panel.",
            ruler.format_length_with_unit(length)
        )
    }
}

/// Returns the name of the size on whose printed line a position lies, within the width of a pencil line; `None` if
/// between lines.
fn size_name_if_on_line(between: &FractionBetweenSizes) -> Option<&str> {
    if between.fraction < PENCIL_LINE_SHARE_OF_GAP {
        Some(&between.from)
    } else if between.fraction > 1.0 - PENCIL_LINE_SHARE_OF_GAP {
        Some(&between.to)
    } else {
        None
    }
}

/// Describes a position between two printed lines: "half-way between the lines of sizes 36 and 38".
fn describe_position_between_lines(between: &FractionBetweenSizes, line: &str) -> String {
    let FractionBetweenSizes { from, to, fraction } = between;
    let in_words = FRACTIONS_IN_WORDS.iter().find(|(known, _)| (known - fraction).abs() < MAX_FRACTION_IN_WORDS_ERROR);
    let share = match in_words {
        Some((_, "half")) => return format!("half-way between the {line}s of sizes {from} and {to}"),
        Some((_, share)) => (*share).to_owned(),
        None => format!("{:.0} %", fraction * 100.0),
    };
    format!("{share} of the way from the {line} of size {from} to the {line} of size {to}")
}
