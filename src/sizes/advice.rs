//! The choice of a size in words: which size, what its girths leave of the ease, what is altered, and by which rule.

use super::choose::{EQUAL_GIRTH_TOLERANCE_CM, HIP, MAX_ALTERED_DIFFERENCE_CM, MAX_BLENDED_SIZES_APART, WAIST};
use super::{ChoiceGirth, GirthOutsideChart, SizeChoice, SizeDifference};
use crate::body::Ease;
use crate::field::Unit;

impl SizeChoice {
    /// Returns advice in plain words: the size to take, what waist and hip leave or need, and the rule. With the `ease`
    /// of the sizes it gives the ease that is left. Lengths are in `unit`.
    #[must_use]
    pub fn advice(&self, ease: Option<&Ease>, unit: Unit) -> String {
        let Some(advised) = &self.advised else { return self.advice_outside_chart(unit) };
        if advised.waist.abs().max(advised.hip.abs()) <= EQUAL_GIRTH_TOLERANCE_CM {
            return format!("This body is size {}.", advised.size);
        }
        let by = match self.rule.by {
            ChoiceGirth::Hip => "the hip",
            ChoiceGirth::Waist => "the waist",
            ChoiceGirth::Both => "waist and hip",
        };
        // By the rule at most one girth comes from another size.
        let blended =
            [(HIP.0, &self.hip), (WAIST.0, &self.waist)].into_iter().find(|(_, size)| size.size != advised.size);
        let and_blend = blended.map(|(girth, size)| format!(", and blend it to the {girth} of size {}", size.size));
        let and_blend = and_blend.unwrap_or_default();
        let take = if self.needs_individual_draft() { "Otherwise take" } else { "Take" };
        let mut sentences = self.individual_draft_sentence(unit);
        sentences.push(format!("{take} size {}, by {by}{and_blend}.", advised.size));
        for (girth, size) in [(HIP.0, &self.hip), (WAIST.0, &self.waist)] {
            let ease = ease.map(|ease| if girth == WAIST.0 { ease.waist } else { ease.hip });
            if size.size != advised.size {
                let by = advised.difference_of_girth(girth);
                let (by, relation) = (length_text(by, unit), if by > 0.0 { "large" } else { "small" });
                sentences.push(format!("The {girth} of size {} is {by} too {relation}.", advised.size));
            }
            sentences.push(self.girth_sentence(girth, size, ease, unit));
        }
        sentences.push(self.rule_sentence(unit));
        sentences.join(" ")
    }

    /// Returns the sentence that advises to draft the body individually, with the reason; none if a size can be altered.
    fn individual_draft_sentence(&self, unit: Unit) -> Vec<String> {
        let reason = if !self.needs_individual_draft() {
            return Vec::new();
        } else if self.sizes_apart > MAX_BLENDED_SIZES_APART {
            format!("waist and hip are {} sizes apart", self.sizes_apart)
        } else {
            format!("waist or hip would be altered by more than {}", length_text(MAX_ALTERED_DIFFERENCE_CM, unit))
        };
        vec![format!("It is better to draft this body individually: {reason}.")]
    }

    /// Describes what a girth of the pattern leaves of its ease, and how much it is taken in or let out.
    fn girth_sentence(&self, girth: &str, size: &SizeDifference, ease: Option<f64>, unit: Unit) -> String {
        let (by, name) = (size.difference_of_girth(girth), &size.size);
        if by.abs() <= EQUAL_GIRTH_TOLERANCE_CM {
            return format!("The {girth} of size {name} fits.");
        }
        let difference = length_text(by, unit);
        let left = match ease {
            Some(ease) if ease + by > EQUAL_GIRTH_TOLERANCE_CM => {
                format!("leaves {} of ease instead of {}", length_text(ease + by, unit), length_text(ease, unit))
            }
            Some(_) if by < 0.0 => format!("is {difference} too small and leaves no ease"),
            _ if by > 0.0 => format!("is {difference} too large"),
            _ => format!("is {difference} too small and leaves that much less ease"),
        };
        let [waist, hip] = self.alterations();
        let altered = if girth == WAIST.0 { waist } else { hip };
        let action = match altered {
            altered if altered < 0.0 => format!(": take it in by {difference}"),
            altered if altered > 0.0 => format!(": let it out by {difference}"),
            _ => String::new(),
        };
        format!("The {girth} of size {name} {left}{action}.")
    }

    fn rule_sentence(&self, unit: Unit) -> String {
        let (tolerance, girth) = (length_text(self.rule.tolerance, unit), self.rule.by.name());
        let (body, its) = match self.rule.by {
            ChoiceGirth::Both => ("waist and hip of the body are", "those of the smaller size"),
            _ => (&*format!("the {girth} of the body is"), &*format!("the {girth} of the smaller size")),
        };
        format!("Rule: take the larger of two sizes, unless {body} at most {tolerance} larger than {its}.")
    }

    fn advice_outside_chart(&self, unit: Unit) -> String {
        let describe = |outside: &GirthOutsideChart| {
            let girth = outside.girth;
            let (comparative, superlative) =
                if outside.by > 0.0 { ("larger", "largest") } else { ("smaller", "smallest") };
            let by = length_text(outside.by, unit);
            format!("the {girth} is {by} {comparative} than the {girth} of the {superlative} size, {}", outside.size)
        };
        let all: Vec<String> = self.outside.iter().map(describe).collect();
        format!("This body is outside the size chart: {}. Draft this body individually.", all.join("; "))
    }
}

/// Formats the absolute value of a length, given in centimetres, with its unit.
fn length_text(length: f64, unit: Unit) -> String {
    unit.format_with_unit(length.abs())
}
