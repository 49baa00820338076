//! The choice of a size in words: the size, the ease left by its girths, the alterations, and the rule.

use super::choose::{
    EQUAL_GIRTH_TOLERANCE_CM, HIP_GIRTH, MAX_ALTERED_DIFFERENCE_CM, MAX_BLENDED_SIZES_APART, WAIST_GIRTH,
};
use super::{ChoiceGirth, GirthOutsideChart, SizeChoice, SizeDifference};
use crate::body::Ease;
use crate::ruler::Ruler;
use crate::wording::Wording;

impl SizeChoice {
    /// Returns advice in plain English: the size to take, the amounts to take in or let out at waist and hip, and the
    /// rule. With the `ease` of the sizes, the advice also states the ease that the size leaves on the body. `ruler`
    /// formats the lengths.
    pub fn advice(&self, ease: Option<&Ease>, ruler: impl Into<Ruler>) -> String {
        let ruler = ruler.into();
        let Some(advised) = &self.advised else { return self.advice_outside_chart(ruler) };
        if advised.waist.abs().max(advised.hip.abs()) <= EQUAL_GIRTH_TOLERANCE_CM {
            return format!("This body is size {}.", advised.size);
        }
        let girths = [
            (HIP_GIRTH.0, &self.hip, ease.map(|ease| ease.hip)),
            (WAIST_GIRTH.0, &self.waist, ease.map(|ease| ease.waist)),
        ];
        // By the rule at most one girth comes from another size.
        let blended = girths.iter().find(|(_, size, _)| size.size != advised.size);
        let and_blend = blended.map(|(girth, size, _)| format!(", and blend it to the {girth} of size {}", size.size));
        let and_blend = and_blend.unwrap_or_default();
        let take = if self.needs_individual_draft() { "Otherwise take" } else { "Take" };
        let mut sentences: Vec<String> = self.individual_draft_advice(ruler).into_iter().collect();
        sentences.push(format!("{take} size {}, by {by}{and_blend}.", advised.size, by = self.rule_girths()));
        for (girth, size, ease) in girths {
            if size.size != advised.size {
                let (name, by) = (&advised.size, advised.size_minus_body_girth(girth));
                let (by, large_or_small) = (abs_length_text(by, ruler), if by > 0.0 { "large" } else { "small" });
                sentences.push(format!("The {girth} of size {name} is {by} too {large_or_small}."));
            }
            sentences.push(self.advice_on_girth(girth, size, ease, ruler));
        }
        sentences.push(self.rule_sentence(ruler));
        sentences.join(" ")
    }

    /// Returns a sentence that advises to draft the body individually, and why; `None` if altering a size is enough.
    fn individual_draft_advice(&self, ruler: Ruler) -> Option<String> {
        let reason = if self.sizes_apart > MAX_BLENDED_SIZES_APART {
            format!("waist and hip are {count} sizes apart", count = self.sizes_apart)
        } else {
            let max_alteration = abs_length_text(MAX_ALTERED_DIFFERENCE_CM, ruler);
            format!("waist or hip would be altered by more than {max_alteration}")
        };
        let sentence = || format!("It is better to draft this body individually: {reason}.");
        self.needs_individual_draft().then(sentence)
    }

    /// Returns the sentence on one girth: the ease that `size` leaves, and the amount to take in or let out.
    fn advice_on_girth(&self, girth: &str, size: &SizeDifference, ease: Option<f64>, ruler: Ruler) -> String {
        let (excess, name) = (size.size_minus_body_girth(girth), &size.size);
        if excess.abs() <= EQUAL_GIRTH_TOLERANCE_CM {
            return format!("The {girth} of size {name} fits.");
        }
        let by = abs_length_text(excess, ruler);
        let remedy = match self.alterations()[usize::from(girth == HIP_GIRTH.0)] {
            altered if altered < 0.0 => format!(": take it in by {by}"),
            altered if altered > 0.0 => format!(": let it out by {by}"),
            _ => String::new(),
        };
        match ease {
            Some(ease) if ease + excess > EQUAL_GIRTH_TOLERANCE_CM => {
                let (ease_left, wanted_ease) = (abs_length_text(ease + excess, ruler), abs_length_text(ease, ruler));
                format!("The {girth} of size {name} leaves {ease_left} of ease instead of {wanted_ease}{remedy}.")
            }
            Some(_) if excess < 0.0 => {
                format!("The {girth} of size {name} is {by} too small and leaves no ease{remedy}.")
            }
            _ if excess > 0.0 => format!("The {girth} of size {name} is {by} too large{remedy}."),
            _ => format!("The {girth} of size {name} is {by} too small and leaves that much less ease{remedy}."),
        }
    }

    /// Returns the girths of the rule: `the hip`, `the waist` or `waist and hip`.
    fn rule_girths(&self) -> String {
        if self.rule.by == ChoiceGirth::Both { "waist and hip".to_owned() } else { format!("the {}", self.rule.by) }
    }

    fn rule_sentence(&self, ruler: Ruler) -> String {
        let (tolerance, girths) = (abs_length_text(self.rule.tolerance, ruler), self.rule_girths());
        let (are, same_girths) = if self.rule.by == ChoiceGirth::Both { ("are", "those") } else { ("is", &*girths) };
        format!(
            "Rule: take the larger of two sizes, unless {girths} of the body {are} at most {tolerance} larger than \
             {same_girths} of the smaller size."
        )
    }

    fn advice_outside_chart(&self, ruler: Ruler) -> String {
        let describe = |outside: &GirthOutsideChart| {
            let GirthOutsideChart { girth, size, by } = outside;
            let [larger, largest] = if *by > 0.0 { ["larger", "largest"] } else { ["smaller", "smallest"] };
            let by = abs_length_text(*by, ruler);
            format!("the {girth} is {by} {larger} than the {girth} of the {largest} size, {size}")
        };
        let girths = self.outside.iter().map(describe).collect::<Vec<String>>().join("; ");
        format!("This body is outside the size chart: {girths}. Draft this body individually.")
    }
}

/// Formats the absolute value of a length, given in centimetres, with its unit.
fn abs_length_text(length: f64, ruler: Ruler) -> String {
    Wording::from(ruler).length_with_unit(length.abs())
}
