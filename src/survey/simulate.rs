//! Simulated populations: bodies drawn from normal distributions, each by its number alone.

use std::ops::Range;

use super::draws::{Draws, Stream};
use crate::body::Body;
use crate::error::{Problem, Problems};
use crate::field::{Field, FieldKind, Unit};

/// Draws that a body takes: four normals, of which the last is not used.
const DRAWS: u128 = 4;

/// The mean and the standard deviation of a normal distribution, in centimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NormalDistribution {
    /// The mean: in the range of the measurement's row in [`Body::FIELDS`].
    pub mean: f64,
    /// The standard deviation: from 0.01 to 100 cm.
    pub deviation: f64,
}

/// A population: waist and hip jointly normal, the hip depth normal and independent of them, one length.
///
/// That the hip depth is independent of the girths is an assumption.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Population {
    /// The waist girth.
    pub waist: NormalDistribution,
    /// The hip girth.
    pub hip: NormalDistribution,
    /// The correlation of waist and hip: from −0.999 to 0.999.
    pub correlation: f64,
    /// The hip depth.
    pub hip_depth: NormalDistribution,
    /// The length of every body's skirt, in centimetres.
    pub length: f64,
}

/// Measurements of bodies in columns, in centimetres; all columns are as long.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SimulatedBodies {
    /// Waist girths.
    pub waist: Vec<f64>,
    /// Hip girths.
    pub hip: Vec<f64>,
    /// Hip depths.
    pub hip_depth: Vec<f64>,
    /// Lengths.
    pub length: Vec<f64>,
}

const DEVIATION: Field =
    Field::new("deviation", "The standard deviation", FieldKind::Length, (0.01, 100.0), (0.01, 39.0));
const CORRELATION: Field =
    Field::new("correlation", "The correlation of waist and hip", FieldKind::Ratio, (-0.999, 0.999), (-0.999, 0.999));

impl Population {
    /// The maximum number of bodies simulated at once.
    pub const MAX_BODIES: usize = 100_000_000;

    /// Women of ANSUR II (2012, n = 1,986), by their published means, deviations and correlation.
    ///
    /// The waist there is taken at the navel, which is larger than the natural waist; the hip depth from a waist half-way
    /// between the tenth rib and the iliac crest. That hip depth and girths are independent is assumed, and the length of
    /// 60 cm is our own.
    #[must_use]
    pub fn ansur_women() -> Self {
        Self {
            waist: NormalDistribution { mean: 86.09, deviation: 9.99 },
            hip: NormalDistribution { mean: 102.12, deviation: 7.59 },
            correlation: 0.803,
            hip_depth: NormalDistribution { mean: 19.22, deviation: 1.90 },
            length: 60.0,
        }
    }

    /// Checks the numbers; [`bodies`](Self::bodies) does so itself.
    ///
    /// # Errors
    /// All the [`Problems`] at once: a mean or the length out of the range of its measurement, a deviation or the
    /// correlation out of range.
    ///
    /// ```
    /// use kirtle::survey::{NormalDistribution, Population};
    ///
    /// let women = Population::ansur_women();
    /// assert!(women.check().is_ok());
    ///
    /// let wrong = Population { waist: NormalDistribution { mean: 86.0, deviation: 0.0 }, correlation: 1.0, ..women };
    /// assert_eq!(
    ///     wrong.check().unwrap_err().to_string(),
    ///     "population.waist.deviation: 0 cm is below the minimum of 0.01 cm\n\
    ///      population.correlation: 1 is above the maximum of 0.999"
    /// );
    /// ```
    pub fn check(&self) -> Result<(), Problems> {
        let [waist, hip, hip_depth, length] = Body::FIELDS;
        let normal = |field: Field, normal: NormalDistribution| {
            let path = format!("population.{}.", field.name);
            let mean = Field { name: "mean", ..field }.check(&path, normal.mean, Unit::Cm);
            [mean, DEVIATION.check(&path, normal.deviation, Unit::Cm)]
        };
        let alone = |field: Field, value| [field.check("population.", value, Unit::Cm), None];
        let all = [
            normal(waist, self.waist),
            normal(hip, self.hip),
            alone(CORRELATION, self.correlation),
            normal(hip_depth, self.hip_depth),
            alone(length, self.length),
        ];
        Problems::ok_if_empty(all.into_iter().flatten().flatten().collect())
    }

    /// The bodies of these rows.
    ///
    /// A row depends on the seed and its number alone, so that any way to part the rows gives the same bodies. They are as
    /// drawn, neither clamped nor dropped: a few lie outside what a draft takes, and are refused there.
    ///
    /// # Errors
    /// As [`check`](Self::check), and [`Code::TooMany`](crate::Code::TooMany) for more than [`Population::MAX_BODIES`] rows at once.
    ///
    /// ```
    /// use kirtle::survey::Population;
    ///
    /// let women = Population::ansur_women();
    /// let all = women.bodies(7, 0..1000)?;
    /// assert_eq!(all.body(998), women.bodies(7, 998..1000)?.body(0));
    ///
    /// let many = women.bodies(7, 0..u64::MAX).unwrap_err();
    /// assert!(many.to_string().ends_with("bodies are given; the most is 100000000 bodies"));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn bodies(&self, seed: u64, rows: Range<u64>) -> Result<SimulatedBodies, Problems> {
        self.check()?;
        let count = usize::try_from(rows.end.saturating_sub(rows.start)).unwrap_or(usize::MAX);
        Problems::ok_if_empty(
            Problem::too_many("rows", count, Population::MAX_BODIES, "bodies").into_iter().collect(),
        )?;
        let mut draws = Draws::from(seed, Stream::Simulated, u128::from(rows.start) * DRAWS);
        let unshared = (1.0 - self.correlation * self.correlation).sqrt();
        let column = || Vec::with_capacity(count);
        let mut bodies =
            SimulatedBodies { waist: column(), hip: column(), hip_depth: column(), length: vec![self.length; count] };
        for _ in 0..count {
            let [first, second] = draws.normals();
            let [third, _] = draws.normals();
            bodies.waist.push(self.waist.at(first));
            bodies.hip.push(self.hip.at(self.correlation * first + unshared * second));
            bodies.hip_depth.push(self.hip_depth.at(third));
        }
        Ok(bodies)
    }
}

impl NormalDistribution {
    /// The value so many deviations above the mean.
    fn at(self, deviations: f64) -> f64 {
        self.mean + self.deviation * deviations
    }
}

impl SimulatedBodies {
    /// How many bodies there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.waist.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.waist.is_empty()
    }

    /// One body, if there are so many.
    #[must_use]
    pub fn body(&self, row: usize) -> Option<Body> {
        let of = |column: &[f64]| column.get(row).copied();
        let (waist, hip) = (of(&self.waist)?, of(&self.hip)?);
        Some(Body { waist, hip, hip_depth: of(&self.hip_depth)?, length: of(&self.length)? })
    }
}
