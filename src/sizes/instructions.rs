//! Written instructions for an alteration with ruler, curve and pencil, and the verdict on the accuracy.

use super::FractionBetweenSizes;
use super::alter::{Alteration, MIN_SHIFT_WORTH_INSTRUCTION_CM, StepKind};
use crate::field::Unit;

/// Smallest fraction of the way from one size's line to the other's at which a mark counts as off the nearer line.
const MIN_FRACTION_OFF_PRINTED_LINE: f64 = 0.01;

impl Alteration {
    /// Returns the written steps of the alteration in order, with lengths in `unit`; omits steps that move no line.
    #[must_use]
    pub fn instructions(&self, unit: Unit) -> Vec<String> {
        let mut steps = vec![self.waist_instruction(), self.hip_instruction(unit)];
        steps.extend(self.hip_line_instruction(unit));
        steps.push(
            "Side: join the side end of the waist line to the hip mark with a shallow curve that meets the hip line at \
             a right angle; from there draw straight down to the hem."
                .to_owned(),
        );
        steps.push(self.hem_instruction(unit));
        steps
    }

    fn waist_instruction(&self) -> String {
        let FractionBetweenSizes { from, to, fraction } = &self.blend.waist;
        if let Some(size) = size_if_within_pencil_line(&self.blend.waist) {
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
             join the marks with a curve shaped like the two lines.{}",
            describe_position_between_lines(&self.blend.waist, "line"),
            if self.dart_counts_differ { unequal_darts.as_str() } else { "" }
        )
    }

    fn hip_instruction(&self, unit: Unit) -> String {
        let hip = &self.blend.hip;
        if let Some(size) = size_if_within_pencil_line(hip) {
            return format!("Hip: mark the side seam of size {size} on the hip line.");
        }
        let distance =
            format!(", {} outside the side seam of size {}", format_length(self.hip_mark_shift, unit), hip.from);
        let distance = if self.hip_mark_shift < MIN_SHIFT_WORTH_INSTRUCTION_CM { "" } else { &distance };
        format!("Hip: on the hip line, mark {}{distance}.", describe_position_between_lines(hip, "side seam"))
    }

    fn hip_line_instruction(&self, unit: Unit) -> Option<String> {
        let depth = self.exact.body().hip_depth;
        let deeper = depth - self.printed_hip_depth;
        let instruction = || {
            let (relation, direction) = if deeper > 0.0 { ("below", "down") } else { ("above", "up") };
            format!(
                "Hip line: measure {} straight down from the waist at the side; draw a new hip line there, {} \
                 {relation} the printed hip line, and move the hip mark straight {direction} to the new line.",
                format_length(depth, unit),
                format_length(deeper.abs(), unit)
            )
        };
        (deeper.abs() > MIN_SHIFT_WORTH_INSTRUCTION_CM).then(instruction)
    }

    fn hem_instruction(&self, unit: Unit) -> String {
        let length = self.exact.body().length;
        let (size, below_hip) = &self.traced_hem;
        let longer = length - self.printed_hip_depth - below_hip;
        let action = if longer.abs() <= MIN_SHIFT_WORTH_INSTRUCTION_CM {
            "trace".to_owned()
        } else {
            let relation = if longer > 0.0 { "below" } else { "above" };
            format!("draw a line {} {relation}", format_length(longer.abs(), unit))
        };
        format!(
            "Hem: {action} the hem of size {size}, {} straight down from the waist at the side, level across the \
             panel.",
            format_length(length, unit)
        )
    }

    /// Returns a text that says whether the altered pattern is accurate enough, and if not, which step adds most error.
    #[must_use]
    pub fn verdict(&self) -> String {
        let (tolerance, error) = (self.tolerance_mm, self.cost.largest_mm());
        let Some(step) = self.costliest_step() else {
            return format!(
                "Use the altered pattern: it differs from an exact draft of this body by at most {error:.1} mm; the \
                 tolerance is {tolerance} mm."
            );
        };
        let step = match step {
            StepKind::Waist => "Waist",
            StepKind::Hip => "Hip",
            StepKind::HipLine => "Hip line",
            StepKind::Hem => "Hem",
        };
        let reason = if self.cost.dart_gap_mm.is_none() {
            format!(
                "An exact draft has a different number of darts, and its outline differs from the altered pattern by \
                 up to {:.1} mm",
                self.cost.max_mm_without_darts()
            )
        } else {
            format!("The altered pattern differs from an exact draft by up to {error:.1} mm (tolerance {tolerance} mm)")
        };
        format!("{reason}; the step \"{step}\" adds most to the difference. Draft this body individually.")
    }
}

fn format_length(length: f64, unit: Unit) -> String {
    format!("{} {}", unit.format_for_cutters(length), unit.name())
}

/// Returns the name of the size whose printed line is so near that a pencil line covers the difference, else `None`.
fn size_if_within_pencil_line(between: &FractionBetweenSizes) -> Option<&str> {
    if between.fraction < MIN_FRACTION_OFF_PRINTED_LINE {
        Some(&between.from)
    } else if between.fraction > 1.0 - MIN_FRACTION_OFF_PRINTED_LINE {
        Some(&between.to)
    } else {
        None
    }
}

/// Describes a position between two printed lines: "half-way between the lines of sizes 36 and 38".
fn describe_position_between_lines(between: &FractionBetweenSizes, line: &str) -> String {
    let FractionBetweenSizes { from, to, fraction } = between;
    let percent = format!("{:.0}", fraction * 100.0);
    let share = match percent.as_str() {
        "50" => return format!("half-way between the {line}s of sizes {from} and {to}"),
        "25" => "a quarter".to_owned(),
        "75" => "three quarters".to_owned(),
        _ => format!("{percent} %"),
    };
    format!("{share} of the way from the {line} of size {from} to the {line} of size {to}")
}
