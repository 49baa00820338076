//! Written instructions for an alteration with ruler, curve and pencil: the numbered steps, and what is left out.

use super::FractionBetweenSizes;
use super::alter::{Alteration, AlterationStep, StepKind};
use crate::wording::{Texts, Wording, printed};

/// Difference from a half, a quarter or a third below which a fraction is written in words.
const MAX_FRACTION_IN_WORDS_ERROR: f64 = 0.005;

/// Smallest fraction of the way between two printed lines at which a mark counts as off the nearer line.
const MIN_FRACTION_OFF_PRINTED_LINE: f64 = 0.01;

impl Alteration {
    /// Returns the written steps of the alteration, the first step first; `wording` prints lengths and texts.
    pub fn instructions<'t>(&self, wording: impl Into<Wording<'t>>) -> Vec<String> {
        let wording = wording.into();
        let texts = wording.texts;
        let instruction = |step: &AlterationStep| match step.kind {
            StepKind::Waist => self.waist_instruction(texts),
            StepKind::Hip => self.hip_instruction(wording),
            StepKind::HipLine => self.hip_line_instruction(wording),
            StepKind::Darts => self.darts_instruction(step.by, wording),
            StepKind::Side => {
                if let Some(size) = self.size_of_traced_side() {
                    return printed!(texts.trace_side(), size);
                }
                let is_slanted = self.exact.rules().panel_rules.centre_back_in > 0.0;
                with_sentence(texts.join_side().to_string(), is_slanted.then(|| texts.join_centre().to_string()))
            }
            StepKind::Hem => self.hem_instruction(wording),
        };
        self.steps_done().map(instruction).collect()
    }

    /// Returns a phrase for each change that the ruler shows and that is left out, as it is at most
    /// [`min_step_mm`](super::AlterationLimits::min_step_mm); `wording` prints lengths and texts.
    pub fn left_out<'t>(&self, wording: impl Into<Wording<'t>>) -> Vec<String> {
        let wording = wording.into();
        let is_left_out = |by: f64| wording.ruler.shows(by) && by.abs() <= self.limits.max_left_out_change_cm();
        let describe = |step: &AlterationStep| {
            let is_girth = matches!(step.kind, StepKind::Waist | StepKind::Hip);
            let [more, less] = if is_girth { ["larger", "smaller"] } else { ["lower", "higher"] };
            let stays = if step.kind == StepKind::Darts { "stay" } else { "stays" };
            let key = format!("{}_{stays}_{}", step.kind, if step.by > 0.0 { more } else { less });
            printed!(wording.texts.template(&key), by = wording.length_with_unit(step.by.abs()))
        };
        self.steps.iter().filter(|step| is_left_out(step.by)).map(describe).collect()
    }

    /// Returns the size whose printed side seam is that of the pattern: waist and hip are traced from the size, and the
    /// hip line stays.
    fn size_of_traced_side(&self) -> Option<&str> {
        let stays = self.steps.iter().all(|step| step.kind != StepKind::HipLine || step.number.is_none());
        let [waist, hip] = [&self.blend.waist, &self.blend.hip].map(size_name_if_on_line);
        waist.filter(|_| stays && waist == hip)
    }

    fn waist_instruction(&self, texts: &Texts) -> String {
        let FractionBetweenSizes { from, to, fraction } = &self.blend.waist;
        if let Some(size) = size_name_if_on_line(&self.blend.waist) {
            return printed!(texts.trace_waist(), size);
        }
        let place = describe_position_between(&self.blend.waist, "lines", texts);
        let size = if *fraction < 0.5 { from } else { to };
        let unequal_darts = self.dart_counts_differ.then(|| printed!(texts.unequal_darts(), size));
        with_sentence(printed!(texts.mark_waist(), place), unequal_darts)
    }

    fn hip_instruction(&self, wording: Wording) -> String {
        let (hip, texts) = (&self.blend.hip, wording.texts);
        if let Some(size) = size_name_if_on_line(hip) {
            return printed!(texts.mark_hip_of_size(), size);
        }
        let place = describe_position_between(hip, "seams", texts);
        if !wording.ruler.shows(self.hip_mark_shift) {
            return printed!(texts.mark_hip(), place);
        }
        let shift = wording.length_with_unit(self.hip_mark_shift);
        printed!(texts.mark_hip_outside(), place, shift, size = hip.from)
    }

    fn hip_line_instruction(&self, wording: Wording) -> String {
        let (depth, texts) = (self.exact.body().hip_depth, wording.texts);
        let deeper = depth - self.printed_hip_depth;
        let keys =
            if deeper > 0.0 { ["hip_line_down", "waist_line_higher"] } else { ["hip_line_up", "waist_line_lower"] };
        let [step, waist_line] = keys.map(|key| texts.template(key));
        let [depth, by] = [depth, deeper.abs()].map(|length| wording.length_with_unit(length));
        let moves =
            self.centre_waist_shifts.map(|shift| (wording.ruler.shows(shift), wording.length_with_unit(shift.abs())));
        let names = [texts.centre_back(), texts.centre_front()].map(ToString::to_string);
        let move_at = |by: &str, place: String| printed!(texts.move_at(), by, place);
        let moves = if let [(true, back), (true, front)] = &moves
            && back == front
        {
            move_at(back, texts.join(names))
        } else {
            let moves = moves.into_iter().zip(names).filter(|((is_shown, _), _)| *is_shown);
            texts.join(moves.map(|((_, by), place)| move_at(&by, place)))
        };
        with_sentence(printed!(step, depth, by), (!moves.is_empty()).then(|| printed!(waist_line, moves)))
    }

    fn darts_instruction(&self, largest_shift: f64, wording: Wording) -> String {
        let (texts, [back, front]) = (wording.texts, &self.added_dart_lengths);
        let describe = |(half, added): (&str, &Vec<f64>)| {
            let darts = if added.len() == 1 { "dart" } else { "darts" };
            let mut printed: Vec<String> = added.iter().map(|by| wording.length(by.abs())).collect();
            printed.dedup();
            let phrase = texts.template(&format!("{half}_{darts}_by"));
            let is_changed = added.iter().any(|by| wording.ruler.shows(*by));
            is_changed.then(|| printed!(phrase, by = texts.join(printed), unit = wording.unit()))
        };
        let darts = texts.join([("back", back), ("front", front)].into_iter().filter_map(describe));
        let step = if largest_shift > 0.0 { texts.lengthen_darts() } else { texts.shorten_darts() };
        printed!(step, darts, by = wording.length_with_unit(largest_shift.abs()))
    }

    fn hem_instruction(&self, wording: Wording) -> String {
        let (length, texts) = (self.exact.body().length, wording.texts);
        let (size, below_hip) = &self.traced_hem;
        let longer = length - self.printed_hip_depth - below_hip;
        if longer.abs() <= self.limits.max_left_out_change_cm() || !wording.ruler.shows(longer) {
            let length = wording.length_with_unit(self.printed_hip_depth + below_hip);
            return printed!(texts.trace_hem(), size, length);
        }
        let step = if longer > 0.0 { texts.hem_below() } else { texts.hem_above() };
        let [by, length] = [longer.abs(), length].map(|length| wording.length_with_unit(length));
        printed!(step, by, size, length)
    }
}

/// Returns a step, with a second sentence if there is one.
fn with_sentence(step: String, sentence: Option<String>) -> String {
    step + &sentence.map_or_else(String::new, |sentence| format!(" {sentence}"))
}

/// Returns the size on whose printed line a position lies, within a pencil line; `None` if between lines.
fn size_name_if_on_line(between: &FractionBetweenSizes) -> Option<&str> {
    match between.fraction {
        fraction if fraction < MIN_FRACTION_OFF_PRINTED_LINE => Some(&between.from),
        fraction if fraction > 1.0 - MIN_FRACTION_OFF_PRINTED_LINE => Some(&between.to),
        _ => None,
    }
}

/// Describes a position between two printed lines by one of two texts, for half-way and for another share: "half-way
/// between the lines of sizes 36 and 38".
fn describe_position_between(between: &FractionBetweenSizes, traced: &str, texts: &Texts) -> String {
    let FractionBetweenSizes { from, to, fraction } = between;
    let is_near = |known: f64| (known - fraction).abs() < MAX_FRACTION_IN_WORDS_ERROR;
    if is_near(0.5) {
        return printed!(texts.template(&format!("half_way_between_{traced}")), from, to);
    }
    let shares = [(0.25, "quarter"), (1.0 / 3.0, "third"), (2.0 / 3.0, "two_thirds"), (0.75, "three_quarters")];
    let share = shares.into_iter().find(|(known, _)| is_near(*known));
    let percent = || printed!(texts.percent(), percent = format!("{:.0}", fraction * 100.0));
    let share = share.map_or_else(percent, |(_, key)| texts.template(key).to_owned());
    printed!(texts.template(&format!("share_between_{traced}")), share, from, to)
}
