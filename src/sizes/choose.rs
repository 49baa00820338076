//! Choice of a size for a body by hip, waist or both, and the sizes that give waist and hip of the body's pattern.
//!
//! A skirt is chosen by the hip and altered at the waist, which has seams and darts to alter (common practice). A body
//! between two sizes has one fraction for the waist and another fraction for the hip.

use std::cmp::Ordering;

use super::{Size, SizeChart};
use crate::body::Body;
use crate::error::{Code, Problem, Problems};
use crate::field::{EQUALITY_TOLERANCE_CM, Field, FieldKind, Unit, choices, fields};

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

    /// Returns the body of a blend by linear interpolation between the measurements of the sizes.
    ///
    /// # Errors
    /// All [`Problems`]: an unknown size, a fraction out of range, a hip depth or length out of range.
    ///
    /// ```
    /// use kirtle::SizeChart;
    /// use kirtle::sizes::{FractionBetweenSizes, SizeBlend};
    ///
    /// let hip = FractionBetweenSizes { from: "40".to_owned(), to: "42".to_owned(), fraction: 0.5 };
    /// let blend = SizeBlend { waist: FractionBetweenSizes::at_size("38"), hip, hip_depth: None, length: Some(58.0) };
    /// let body = SizeChart::demo().between(&blend)?;
    /// assert_eq!((body.waist, body.hip, body.length), (72.0, 102.0, 58.0));
    ///
    /// let waist = FractionBetweenSizes::at_size("39");
    /// let problems = SizeChart::demo().between(&SizeBlend { waist, ..blend }).unwrap_err();
    /// assert!(problems.to_string().starts_with("waist.from: there is no size \"39\"; the sizes are 32, 34"));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn between(&self, blend: &SizeBlend) -> Result<Body, Problems> {
        let mut problems = Vec::new();
        let [waist, hip] = [("waist.", &blend.waist), ("hip.", &blend.hip)].map(|(path, between)| {
            problems.extend(BLEND_FRACTION_FIELD.range_problem(path, between.fraction, Unit::Cm));
            let [from, to] = [("from", &between.from), ("to", &between.to)].map(|(end, name)| {
                let size = self.size(name);
                if size.is_none() && !(end == "to" && between.from == between.to) {
                    problems.push(self.unknown_size_problem(&format!("{path}{end}"), name));
                }
                size
            });
            let (from, to) = (from?.body.into_array(), to?.body.into_array());
            Some(Body::from_array(std::array::from_fn(|k| lerp(from[k], to[k], between.fraction))))
        });
        let [_, _, depth, length] = const { &Body::FIELDS };
        for (field, value) in [(depth, blend.hip_depth), (length, blend.length)] {
            problems.extend(value.and_then(|value| field.range_problem("", value, Unit::Cm)));
        }
        match (waist, hip) {
            (Some(waist), Some(hip)) if problems.is_empty() => Ok(Body {
                waist: waist.waist,
                hip_depth: blend.hip_depth.unwrap_or(hip.hip_depth),
                length: blend.length.unwrap_or(hip.length),
                ..hip
            }),
            _ => Err(Problems::new(problems)),
        }
    }

    /// Returns a problem for each size whose waist or hip is not larger than in the next smaller size; without
    /// problems, every girth has one place between sizes.
    pub(crate) fn size_order_problems(&self) -> Vec<Problem> {
        let problem = |(k, pair): (usize, &[Size])| {
            let mut girths = [WAIST_GIRTH, HIP_GIRTH].into_iter();
            let (name, girth_of) = girths.find(|(_, girth_of)| girth_of(&pair[1].body) <= girth_of(&pair[0].body))?;
            let [limit, value] = [0, 1].map(|k: usize| girth_of(&pair[k].body));
            Some(Problem::of_length(Code::OutOfOrder, format!("sizes[{}].{name}", k + 1), value, limit))
        };
        self.sizes.windows(2).enumerate().filter_map(problem).collect()
    }

    /// Creates the problem that this chart has no size called `name`; the problem lists the names of the sizes.
    pub(super) fn unknown_size_problem(&self, field: &str, name: &str) -> Problem {
        let problem = Problem::new(Code::UnknownSize, field).with_value(format!("{name:?}"));
        problem.with_choices(self.sizes.iter().map(|size| size.name.as_str()))
    }

    /// Returns the blend of neighbouring sizes that has the waist, the hip, the hip depth and the length of a body.
    ///
    /// # Errors
    /// [`Code::OutsideChart`] for each girth smaller or larger than in every size; [`Code::OutOfOrder`] for a chart
    /// whose sizes do not all grow in both girths, as a body then has no place between two sizes.
    ///
    /// ```
    /// use kirtle::{Body, SizeChart};
    ///
    /// let body = Body { waist: 73.0, hip: 102.0, hip_depth: 20.0, length: 58.0 };
    /// let blend = SizeChart::demo().blend_for_body(&body)?;
    /// assert_eq!((blend.waist.from.as_str(), blend.waist.fraction), ("38", 0.25));
    /// assert_eq!((blend.hip.to.as_str(), blend.hip.fraction), ("42", 0.5));
    ///
    /// let problems = SizeChart::demo().blend_for_body(&Body { hip: 140.0, ..body }).unwrap_err();
    /// assert!(problems.to_string().starts_with("body.hip: 140 cm is outside the size chart, which ends at 132 cm"));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn blend_for_body(&self, body: &Body) -> Result<SizeBlend, Problems> {
        let outside = self.body_girths_outside_chart(body).into_iter();
        let problems = outside.map(|GirthOutsideChart { girth, by, .. }| {
            let (_, girth_of) = if girth == WAIST_GIRTH.0 { WAIST_GIRTH } else { HIP_GIRTH };
            let nearest = self.smallest_and_largest_size(girth_of)[usize::from(by > 0.0)];
            let (value, limit) = (girth_of(body), girth_of(&nearest.body));
            Problem::of_length_beyond_limit(Code::OutsideChart, format!("body.{girth}"), value, limit)
        });
        Problems::ok_if_empty(problems.chain(self.size_order_problems()))?;
        let [waist, hip] = [WAIST_GIRTH, HIP_GIRTH].map(|(_, girth_of)| {
            let girth = girth_of(body);
            let upper = self.sizes.partition_point(|size| girth_of(&size.body) <= girth).clamp(1, self.sizes.len() - 1);
            let [from, to] = [&self.sizes[upper - 1], &self.sizes[upper]];
            let fraction = (girth - girth_of(&from.body)) / (girth_of(&to.body) - girth_of(&from.body));
            FractionBetweenSizes { from: from.name.clone(), to: to.name.clone(), fraction: fraction.clamp(0.0, 1.0) }
        });
        Ok(SizeBlend { waist, hip, hip_depth: Some(body.hip_depth), length: Some(body.length) })
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

/// Definition (description and range) of [`FractionBetweenSizes::fraction`], 0 to 1.
pub(crate) const BLEND_FRACTION_FIELD: Field = Field::new(
    "fraction",
    "Fraction of the way from the first size to the second: 0 is the first size, 1 the second.",
    FieldKind::Ratio,
    (0.0, 1.0),
);

/// Position between two sizes: a fraction of the way from one size to another.
#[derive(Clone, Debug, PartialEq)]
pub struct FractionBetweenSizes {
    /// Name of the size at fraction 0.
    pub from: String,
    /// Name of the size at fraction 1.
    pub to: String,
    /// Fraction of the way from size `from` to size `to`, 0 to 1.
    pub fraction: f64,
}

impl FractionBetweenSizes {
    /// Creates the position of exactly one size: `from` and `to` are that size, `fraction` is 0.
    pub fn at_size(size: &str) -> Self {
        Self { from: size.to_owned(), to: size.to_owned(), fraction: 0.0 }
    }
}

/// Description of a body by sizes: the waist lies between one pair of sizes, the hip between another pair.
#[derive(Clone, Debug, PartialEq)]
pub struct SizeBlend {
    /// Sizes and fraction for the waist.
    pub waist: FractionBetweenSizes,
    /// Sizes and fraction for the hip.
    pub hip: FractionBetweenSizes,
    /// Hip depth in centimetres; `None` interpolates the hip depth between the sizes of the hip.
    pub hip_depth: Option<f64>,
    /// Skirt length in centimetres; `None` interpolates the length between the sizes of the hip.
    pub length: Option<f64>,
}

/// Interpolates linearly between two numbers; exact at fraction 0 and at fraction 1.
pub(super) fn lerp(from: f64, to: f64, fraction: f64) -> f64 {
    from * (1.0 - fraction) + to * fraction
}
