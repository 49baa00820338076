//! Choice of a size for a body by hip, waist or both, and the sizes that give waist and hip of the body's pattern.
//!
//! A skirt is chosen by the hip and altered at the waist, which has seams and darts to alter (common practice).

use std::cmp::Ordering;

use super::{FractionBetweenSizes, Size, SizeBlend, SizeChart};
use crate::body::Body;
use crate::field::{EQUALITY_TOLERANCE_CM, choices, fields};

/// Largest difference, in centimetres, at which two girths count as equal: less than a tape measure shows.
pub(super) const EQUAL_GIRTH_TOLERANCE_CM: f64 = 0.05;

/// Largest excess of a size's girth over the body's, in centimetres, that the advice does not take in (common
/// practice).
const MAX_UNALTERED_EXCESS_CM: f64 = 0.5;

/// Largest amount by which the advice takes in or lets out a girth of the pattern, in centimetres.
pub(super) const MAX_ALTERED_DIFFERENCE_CM: f64 = 8.0;

/// Maximum of [`SizeChoice::sizes_apart`] at which the advice blends two sizes; `src/shortcuts.md` has the error of
/// such a pattern.
pub(super) const MAX_BLENDED_SIZES_APART: usize = 2;

choices! {
    /// Girth by which a size is chosen.
    #[derive(Default)]
    ChoiceGirth {
        /// Hip; the waist is altered.
        #[default]
        Hip = "hip";
        /// Waist; the hip is altered.
        Waist = "waist";
        /// Waist and hip: the smallest size that is large enough at both; the girth that is too large is taken in.
        Both = "both";
    }
}

fields! {
    /// Rule by which a size is chosen: the smallest size whose girth is at most `tolerance` smaller than the body's.
    ///
    /// ```
    /// use kirtle::sizes::{ChoiceGirth, ChoiceRule};
    ///
    /// assert_eq!(ChoiceRule::default(), ChoiceRule { by: ChoiceGirth::Hip, tolerance: 1.0 });
    /// ```
    ///
    /// The default tolerance of 1 cm leaves at least 4 cm of a hip ease of 5 cm; a hip ease of 4 to 6 cm is usual
    /// (common practice).
    ChoiceRule: Default {
        /// Largest amount by which the body's girth may exceed the girth of the chosen size.
        tolerance: Length (0.0, 10.0) = 1.0;
        choices:
        /// Girth by which the size is chosen; by default the hip.
        by: ChoiceGirth;
    }
}

impl ChoiceRule {
    /// Returns whether a girth of a size must be altered for a body; `difference` is size minus body.
    fn is_alteration_needed(&self, difference: f64) -> bool {
        !(-self.tolerance - EQUALITY_TOLERANCE_CM..=MAX_UNALTERED_EXCESS_CM + EQUALITY_TOLERANCE_CM)
            .contains(&difference)
    }
}

/// Name of a girth, and the function that reads the girth from a body.
pub(super) type GirthNameAndReader = (&'static str, fn(&Body) -> f64);

pub(super) const WAIST_GIRTH: GirthNameAndReader = ("waist", |body| body.waist);
pub(super) const HIP_GIRTH: GirthNameAndReader = ("hip", |body| body.hip);

/// Name of a size, and the size's girths minus a body's girths.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeDifference {
    /// Name of the size.
    pub size: String,
    /// Waist of the size minus waist of the measured body, in centimetres.
    pub waist: f64,
    /// Hip of the size minus hip of the measured body, in centimetres.
    pub hip: f64,
}

/// Girth of a body that lies outside the range of the size chart.
#[derive(Clone, Debug, PartialEq)]
pub struct GirthOutsideChart {
    /// Name of the girth: `waist` or `hip`.
    pub girth: &'static str,
    /// Name of the smallest or the largest size, whichever is nearer to the body.
    pub size: String,
    /// Girth of the body minus girth of `size`, in centimetres; negative for a body below the smallest size.
    pub by: f64,
}

/// Size that a rule advises for a body, and the sizes that give waist and hip of the body's pattern.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeChoice {
    /// Rule of the choice.
    pub rule: ChoiceRule,
    /// Size to take; `None` if the girth of the rule is more than the tolerance outside the size chart.
    pub advised: Option<SizeDifference>,
    /// Size that gives the waist: the advised size, or the size to whose waist the advised size is blended.
    pub waist: SizeDifference,
    /// Size that gives the hip: the advised size, or the size to whose hip the advised size is blended.
    pub hip: SizeDifference,
    /// Number of steps in the chart between the sizes that give waist and hip; 0 if one size gives both.
    pub sizes_apart: usize,
    /// Girths of the body that lie outside the range of the size chart.
    pub outside: Vec<GirthOutsideChart>,
}

impl SizeChart {
    /// Chooses the size for a body by a rule. Of sizes that are equal by the rule, the one nearest in both girths wins,
    /// then the one nearest in hip depth and length.
    ///
    /// ```
    /// use kirtle::sizes::ChoiceRule;
    /// use kirtle::{Body, Ease, SizeChart, Unit};
    ///
    /// let body = Body { waist: 73.0, hip: 101.0, hip_depth: 20.0, length: 60.0 };
    /// let choice = SizeChart::demo().choose(&body, &ChoiceRule::default());
    /// assert_eq!(choice.advised.as_ref().unwrap().size, "40");
    /// assert_eq!((choice.waist.size.as_str(), choice.hip.size.as_str()), ("38", "40"));
    /// let advice = choice.advice(Some(&Ease { waist: 1.5, hip: 5.0 }), Unit::Cm);
    /// assert!(advice.starts_with("Take size 40, by the hip, and blend it to the waist of size 38."));
    /// // The pattern of that blend.
    /// assert_eq!(SizeChart::demo().between(&choice.blend())?.waist, 72.0);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn choose(&self, body: &Body, rule: &ChoiceRule) -> SizeChoice {
        let chosen = |girths: &[GirthNameAndReader]| self.index_of_chosen_size(body, girths, rule.tolerance);
        let [by_waist, by_hip] = [WAIST_GIRTH, HIP_GIRTH].map(|girth| chosen(&[girth]));
        let advised = [by_hip, by_waist, chosen(&[WAIST_GIRTH, HIP_GIRTH])][rule.by as usize];
        // A girth comes from another size only if it must be altered and that size is nearer to the body.
        let size_of_girth = |(name, girth_of): GirthNameAndReader, other: usize| {
            let difference = |index: usize| girth_of(&self.sizes[index].body) - girth_of(body);
            let is_of_rule = rule.by == ChoiceGirth::Both || rule.by.name() == name;
            let is_nearer = difference(other).abs() < difference(advised).abs();
            if !is_of_rule && is_nearer && rule.is_alteration_needed(difference(advised)) { other } else { advised }
        };
        let (waist, hip) = (size_of_girth(WAIST_GIRTH, by_waist), size_of_girth(HIP_GIRTH, by_hip));
        let difference = |index: usize| {
            let Size { name, body: of_size } = &self.sizes[index];
            let (waist, hip) = (of_size.waist - body.waist, of_size.hip - body.hip);
            SizeDifference { size: name.clone(), waist, hip }
        };
        SizeChoice {
            rule: *rule,
            advised: (!self.is_outside_chart_by_rule(body, rule)).then(|| difference(advised)),
            waist: difference(waist),
            hip: difference(hip),
            sizes_apart: waist.abs_diff(hip),
            outside: self.body_girths_outside_chart(body),
        }
    }

    /// Returns the index of the chosen size: of all sizes whose every girth is at most `tolerance` smaller than the
    /// body's, the one with the smallest sum of `girths`; without such a size, the one with the largest sum. Ties go to
    /// the nearest in both girths, then in hip depth and length.
    fn index_of_chosen_size(&self, body: &Body, girths: &[GirthNameAndReader], tolerance: f64) -> usize {
        // The chosen size has the least rank: a size that is large enough precedes every size that is too small.
        let rank = |index: &usize| {
            let size = &self.sizes[*index].body;
            let sum = girths.iter().map(|(_, girth_of)| girth_of(size)).sum::<f64>();
            let difference = |(_, girth_of): &GirthNameAndReader| girth_of(size) - girth_of(body);
            let is_large_enough = girths.iter().all(|one| difference(one) + tolerance + EQUALITY_TOLERANCE_CM >= 0.0);
            let (size, body) = (size.into_array(), body.into_array());
            let [waist, hip, hip_depth, length] = std::array::from_fn(|k| f64::abs(size[k] - body[k]));
            (!is_large_enough, if is_large_enough { sum } else { -sum }, waist + hip, hip_depth + length)
        };
        let order = |a: &usize, b: &usize| rank(a).partial_cmp(&rank(b)).unwrap_or(Ordering::Equal);
        (0..self.sizes.len()).min_by(order).unwrap_or_default()
    }

    /// Returns the first size with the smallest girth and the last size with the largest.
    pub(super) fn smallest_and_largest_size(&self, girth_of: fn(&Body) -> f64) -> [&Size; 2] {
        let order = |a: &&Size, b: &&Size| girth_of(&a.body).total_cmp(&girth_of(&b.body));
        let (sizes, first) = (|| self.sizes.iter(), &self.sizes[0]);
        [sizes().min_by(order).unwrap_or(first), sizes().max_by(order).unwrap_or(first)]
    }

    /// Returns whether the body is outside this chart by more than the tolerance of `rule`.
    ///
    /// Only the girths by which the rule chooses count: the body is outside if one of these girths is above that of
    /// every size, or all of these are below those of every size.
    fn is_outside_chart_by_rule(&self, body: &Body, rule: &ChoiceRule) -> bool {
        let girths = [WAIST_GIRTH, HIP_GIRTH].into_iter().filter(|(name, _)| [*name, "both"].contains(&rule.by.name()));
        let limit = rule.tolerance + EQUALITY_TOLERANCE_CM;
        let excesses = girths.map(|(_, girth_of)| {
            self.smallest_and_largest_size(girth_of).map(|size| girth_of(body) - girth_of(&size.body))
        });
        let excesses: Vec<_> = excesses.collect();
        excesses.iter().any(|[_, above]| *above > limit) || excesses.iter().all(|[below, _]| *below < -limit)
    }

    /// Returns the girths of a body, waist or hip, that lie more than 0.05 cm outside the range of this chart.
    pub(super) fn body_girths_outside_chart(&self, body: &Body) -> Vec<GirthOutsideChart> {
        let check = |(girth, girth_of): GirthNameAndReader| {
            let excess = |size: &Size| girth_of(body) - girth_of(&size.body);
            let mut ends = self.smallest_and_largest_size(girth_of).into_iter().zip([-1.0, 1.0]);
            let (size, _) = ends.find(|(size, sign)| excess(size) * sign > EQUAL_GIRTH_TOLERANCE_CM)?;
            Some(GirthOutsideChart { girth, size: size.name.clone(), by: excess(size) })
        };
        [WAIST_GIRTH, HIP_GIRTH].into_iter().filter_map(check).collect()
    }
}

impl SizeDifference {
    /// Returns the size's girth minus the body's girth, in centimetres, for the girth named `waist` or `hip`.
    pub(super) fn size_minus_body_girth(&self, girth: &str) -> f64 {
        if girth == WAIST_GIRTH.0 { self.waist } else { self.hip }
    }
}

impl SizeChoice {
    /// Returns the blend of the sizes that give waist and hip, for [`SizeChart::between`].
    pub fn blend(&self) -> SizeBlend {
        let [waist, hip] = [&self.waist, &self.hip].map(|size| FractionBetweenSizes::at_size(&size.size));
        SizeBlend { waist, hip, hip_depth: None, length: None }
    }

    /// Returns the changes of the pattern's waist and hip, in centimetres: positive lets out, negative takes in.
    ///
    /// A change is 0 for the girth by which the size was chosen, for a girth at most 0.5 cm too large, and for a girth
    /// too small by at most the tolerance.
    pub fn alterations(&self) -> [f64; 2] {
        let alteration = |girth: GirthNameAndReader, difference: f64| {
            let stays = self.rule.by.name() == girth.0 || !self.rule.is_alteration_needed(difference);
            if stays { 0.0 } else { -difference }
        };
        [alteration(WAIST_GIRTH, self.waist.waist), alteration(HIP_GIRTH, self.hip.hip)]
    }

    /// Returns whether the body needs an individual draft: no size is advised, waist and hip are more than two sizes
    /// apart, or the waist or hip of the pattern differs from the body's by more than 8 cm.
    pub fn needs_individual_draft(&self) -> bool {
        let is_far = self.waist.waist.abs().max(self.hip.hip.abs()) > MAX_ALTERED_DIFFERENCE_CM;
        self.advised.is_none() || self.sizes_apart > MAX_BLENDED_SIZES_APART || is_far
    }
}
