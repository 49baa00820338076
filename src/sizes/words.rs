//! An alteration in words that a person follows with ruler and curve.

use super::BetweenSizes;
use super::alter::{Alteration, SAME, StepKind};
use crate::field::Unit;

impl Alteration {
    /// The steps in words, with lengths in `unit`; nothing is said of what need not be moved.
    #[must_use]
    pub fn instructions(&self, unit: Unit) -> Vec<String> {
        let mut steps = vec![self.waist_step(), hip_step(&self.blend.hip)];
        steps.extend(self.hip_line_step(unit));
        steps.push(
            "Side: join waist and hip marks by a shallow curve that arrives upright at the hip line, and from there square \
             down to the hem."
                .to_owned(),
        );
        steps.push(self.hem_step(unit));
        steps
    }

    fn waist_step(&self) -> String {
        let waist = &self.blend.waist;
        let trace = |size: &str| {
            format!("Waist, back and front alike: trace the waist line, the darts and the side point of size {size}.")
        };
        let [from, to] = [&waist.from, &waist.to];
        match side_of(waist.fraction) {
            Side::First => trace(from),
            Side::Second => trace(to),
            Side::Between => {
                let nearer = if waist.fraction < 0.5 { from } else { to };
                let differ = format!(
                    " Where the two have different numbers of darts, trace the waist line and the darts of size {nearer} \
                     instead, level with the side mark, and draw the line on, or stop it short, to that mark."
                );
                format!(
                    "Waist, back and front alike: mark {} of the way from the line of size {from} to that of size {to} at the \
                     centre, at the legs and tips of the darts, and at the side; join the marks by the curve of the two \
                     lines.{}",
                    percent(waist.fraction),
                    if self.differ { differ.as_str() } else { "" }
                )
            }
        }
    }

    fn hip_line_step(&self, unit: Unit) -> Option<String> {
        let depth = self.exact.body().hip_depth;
        let deeper = depth - self.nest_depth;
        let step = || {
            format!(
                "Hip line: measure {} straight down from the waist at the side; draw the hip line there, {} {} the printed \
                 one, and move the hip mark onto it.",
                length(depth, unit),
                length(deeper.abs(), unit),
                if deeper > 0.0 { "below" } else { "above" }
            )
        };
        (deeper.abs() > SAME).then(step)
    }

    fn hem_step(&self, unit: Unit) -> String {
        let wanted = self.exact.body().length;
        let (size, below_hip) = &self.hem;
        let longer = wanted - self.nest_depth - below_hip;
        let how = if longer.abs() <= SAME {
            String::new()
        } else {
            format!(", {} {}", length(longer.abs(), unit), if longer > 0.0 { "longer" } else { "shorter" })
        };
        format!(
            "Hem: follow the hem of size {size}{how}: {} straight down from the waist at the side, level all across.",
            length(wanted, unit)
        )
    }

    /// What it costs and what to do, in one sentence or two.
    #[must_use]
    pub fn verdict(&self) -> String {
        let tolerance = self.tolerance_mm;
        let Some(step) = self.costliest() else {
            return format!(
                "The altered pattern lies within {:.1} mm of the exact redraft: good enough at {tolerance} mm.",
                self.cost.largest_mm()
            );
        };
        let what = match step {
            StepKind::Waist => "the place between two sizes at the waist",
            StepKind::Hip => "the hip at another place than the waist",
            StepKind::HipLine => "the moved hip line",
            StepKind::Hem => "the hem",
        };
        let by = if self.cost.dart_gap_mm.is_none() {
            format!(
                "the exact redraft has another number of darts, and lies up to {:.1} mm away",
                self.cost.outline_mm()
            )
        } else {
            format!(
                "the altered pattern lies up to {:.1} mm from the exact redraft, more than {tolerance} mm",
                self.cost.largest_mm()
            )
        };
        format!("Redraft: {by}; the step that costs most is {what}.")
    }
}

fn hip_step(hip: &BetweenSizes) -> String {
    match side_of(hip.fraction) {
        Side::First => format!("Hip: mark the side of size {} on the hip line.", hip.from),
        Side::Second => format!("Hip: mark the side of size {} on the hip line.", hip.to),
        Side::Between => format!(
            "Hip: on the hip line mark {} of the way from the side of size {} to that of size {}.",
            percent(hip.fraction),
            hip.from,
            hip.to
        ),
    }
}

fn length(value: f64, unit: Unit) -> String {
    format!("{} {}", unit.format_rounded(value), unit.name())
}

/// Where a fraction lies, within what a pencil line tells.
enum Side {
    First,
    Second,
    Between,
}

fn side_of(fraction: f64) -> Side {
    const LINE: f64 = 0.01;
    if fraction < LINE {
        Side::First
    } else if fraction > 1.0 - LINE {
        Side::Second
    } else {
        Side::Between
    }
}

fn percent(fraction: f64) -> String {
    format!("{:.0} %", fraction * 100.0)
}
