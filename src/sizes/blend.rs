//! Places between two sizes, at the waist and at the hip apart.

use super::{Size, SizeChart};
use crate::body::Body;
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};

/// The row of a fraction.
pub(crate) const FRACTION: Field = Field::new(
    "fraction",
    "How far from the first size to the second: 0 is the first, 1 the second.",
    FieldKind::Ratio,
    (0.0, 1.0),
    (0.0, 1.0),
)
.or(0.0);

/// A place between two sizes.
#[derive(Clone, Debug, PartialEq)]
pub struct BetweenSizes {
    /// The name of the size at fraction 0.
    pub from: String,
    /// The name of the size at fraction 1.
    pub to: String,
    /// How far from one to the other, from 0 to 1.
    pub fraction: f64,
}

impl BetweenSizes {
    /// A size itself.
    #[must_use]
    pub fn at(size: &str) -> Self {
        Self { from: size.to_owned(), to: size.to_owned(), fraction: 0.0 }
    }
}

/// A body between sizes: its waist from one pair of them, its hip from another.
#[derive(Clone, Debug, PartialEq)]
pub struct Blend {
    /// Where the waist lies.
    pub waist: BetweenSizes,
    /// Where the hip lies.
    pub hip: BetweenSizes,
    /// Its own hip depth, in centimetres; that of the place of the hip where there is none.
    pub hip_depth: Option<f64>,
    /// Its own length, in centimetres; that of the place of the hip where there is none.
    pub length: Option<f64>,
}

impl SizeChart {
    /// The body of a blend. Every measurement lies exactly so far between those of the sizes.
    ///
    /// # Errors
    /// All the [`Problems`] at once: a name that no size has, a fraction out of range, a hip depth or length out of range.
    ///
    /// ```
    /// use kirtle::SizeChart;
    /// use kirtle::sizes::{BetweenSizes, Blend};
    ///
    /// let between = |from: &str, to: &str, fraction| BetweenSizes { from: from.to_owned(), to: to.to_owned(), fraction };
    /// let blend = Blend { waist: BetweenSizes::at("38"), hip: between("40", "42", 0.5), hip_depth: None, length: Some(58.0) };
    /// let body = SizeChart::demo().between(&blend)?;
    /// assert_eq!((body.waist, body.hip, body.length), (72.0, 102.0, 58.0));
    ///
    /// let problems = SizeChart::demo().between(&Blend { waist: BetweenSizes::at("39"), ..blend }).unwrap_err();
    /// assert!(problems.to_string().starts_with("waist.from: \"39\" is none of the sizes 32, 34"));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn between(&self, blend: &Blend) -> Result<Body, Problems> {
        let mut problems = Vec::new();
        let [waist, hip] = [("waist.", &blend.waist), ("hip.", &blend.hip)].map(|(path, mark)| {
            problems.extend(FRACTION.check(path, mark.fraction, Unit::Cm));
            let [from, to] = [("from", &mark.from), ("to", &mark.to)].map(|(end, name)| {
                let found = self.size(name);
                if found.is_none() && !(end == "to" && mark.from == mark.to) {
                    problems.push(self.unknown(&format!("{path}{end}"), name));
                }
                found
            });
            Some(between(&from?.body, &to?.body, mark.fraction))
        });
        let [_, _, depth, length] = const { &Body::FIELDS };
        for (field, value) in [(depth, blend.hip_depth), (length, blend.length)] {
            problems.extend(value.and_then(|value| field.check("", value, Unit::Cm)));
        }
        match (waist, hip) {
            (Some(waist), Some(hip)) if problems.is_empty() => Ok(Body {
                waist: waist.waist,
                hip: hip.hip,
                hip_depth: blend.hip_depth.unwrap_or(hip.hip_depth),
                length: blend.length.unwrap_or(hip.length),
            }),
            _ => Err(Problems::new(problems)),
        }
    }

    fn unknown(&self, field: &str, name: &str) -> Problem {
        let names: Vec<&str> = self.sizes.iter().map(|size| size.name.as_str()).collect();
        let problem = Problem::new(Code::UnknownSize, field).with_value(format!("{name:?}"));
        problem.with_limit(names.join(", "))
    }

    /// Where a body lies between the sizes, with its own hip depth and length.
    ///
    /// # Errors
    /// [`Code::OutsideChart`] for each girth beyond the smallest or the largest size.
    ///
    /// ```
    /// use kirtle::{Body, SizeChart};
    ///
    /// let body = Body { waist: 73.0, hip: 102.0, hip_depth: 20.0, length: 58.0 };
    /// let blend = SizeChart::demo().locate(&body)?;
    /// assert_eq!((blend.waist.from.as_str(), blend.waist.fraction), ("38", 0.25));
    /// assert_eq!((blend.hip.to.as_str(), blend.hip.fraction), ("42", 0.5));
    ///
    /// let problems = SizeChart::demo().locate(&Body { hip: 140.0, ..body }).unwrap_err();
    /// assert_eq!(problems.to_string(), "body.hip: 140 cm is beyond the chart, which ends at 132 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn locate(&self, body: &Body) -> Result<Blend, Problems> {
        let problem = |girth: &str, value: f64, of: fn(&Body) -> f64| {
            let [min, max] = [&self.sizes[0], &self.sizes[self.sizes.len() - 1]].map(|size| of(&size.body));
            let problem = Problem::new(Code::OutsideChart, format!("body.{girth}")).with_value(value);
            problem.with_limit(if value < min { min } else { max }).with_unit(Unit::Cm.name())
        };
        let outside = self.outside(body);
        let problems = outside.iter().map(|outside| match outside.girth {
            "waist" => problem("waist", body.waist, |body| body.waist),
            _ => problem("hip", body.hip, |body| body.hip),
        });
        Problems::ok_if_empty(problems.collect())?;
        Ok(Blend {
            waist: self.mark(body.waist, |body| body.waist),
            hip: self.mark(body.hip, |body| body.hip),
            hip_depth: Some(body.hip_depth),
            length: Some(body.length),
        })
    }

    /// Where a girth within the chart lies.
    fn mark(&self, girth: f64, of: fn(&Body) -> f64) -> BetweenSizes {
        let above = self.sizes.partition_point(|size| of(&size.body) <= girth).clamp(1, self.sizes.len() - 1);
        let [from, to]: [&Size; 2] = [&self.sizes[above - 1], &self.sizes[above]];
        let fraction = (girth - of(&from.body)) / (of(&to.body) - of(&from.body));
        BetweenSizes { from: from.name.clone(), to: to.name.clone(), fraction: fraction.clamp(0.0, 1.0) }
    }
}

/// A number so far between two others, exact at both ends.
pub(super) fn mean(from: f64, to: f64, fraction: f64) -> f64 {
    from * (1.0 - fraction) + to * fraction
}

/// The body so far between two others.
fn between(from: &Body, to: &Body, fraction: f64) -> Body {
    let (from, to) = (from.into_array(), to.into_array());
    Body::from_array(std::array::from_fn(|k| mean(from[k], to[k], fraction)))
}
