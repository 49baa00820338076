//! Bodies between two sizes, with one fraction for the waist and another fraction for the hip.

use super::choose::{HIP_GIRTH, WAIST_GIRTH};
use super::{GirthOutsideChart, Size, SizeChart};
use crate::body::Body;
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};

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

impl SizeChart {
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

/// Interpolates linearly between two numbers; exact at fraction 0 and at fraction 1.
pub(super) fn lerp(from: f64, to: f64, fraction: f64) -> f64 {
    from * (1.0 - fraction) + to * fraction
}
