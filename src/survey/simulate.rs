//! Simulated populations: bodies drawn from normal distributions. A body depends only on the seed and its row number,
//! so that any split of the rows gives the same bodies. Lengths are centimetres.

use std::ops::Range;

use crate::body::Body;
use crate::error::{Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::random::{CounterRng, RandomStream};

/// Number of random numbers consumed per simulated body: four, for two pairs of normal numbers.
const RANDOM_NUMBERS_PER_BODY: u128 = 4;

/// Normal distribution of one body measurement in a population, in centimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NormalDistribution {
    /// Mean, within the range of the measurement in [`Body::FIELDS`].
    pub mean: f64,
    /// Standard deviation: from 0.01 to 100 cm.
    pub deviation: f64,
}

/// Population model: waist and hip are jointly normal, hip depth is normal, and every body has the same skirt length.
///
/// Hip depth is independent of both girths, which is an assumption.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Population {
    /// Distribution of the waist girth.
    pub waist: NormalDistribution,
    /// Distribution of the hip girth.
    pub hip: NormalDistribution,
    /// Correlation of waist and hip: from −0.999 to 0.999.
    pub correlation: f64,
    /// Distribution of the hip depth.
    pub hip_depth: NormalDistribution,
    /// Skirt length of every body, in centimetres.
    pub length: f64,
}

/// Measurements of simulated bodies, one column per measurement, in centimetres. All columns have the same length.
pub type SimulatedBodies = Body<Vec<f64>>;

const STANDARD_DEVIATION_FIELD: Field = Field::new("deviation", "", FieldKind::Length, (0.01, 100.0));
const CORRELATION_FIELD: Field = Field::new("correlation", "", FieldKind::Ratio, (-0.999, 0.999));

impl Population {
    /// Maximum number of bodies in one call of [`Population::bodies`].
    pub const MAX_SIMULATED_BODIES: usize = 100_000_000;

    /// Returns the model of the women of ANSUR II (2012, n = 1,986) by published means, deviations and correlation.
    ///
    /// ANSUR measures the waist girth at the navel, where the body is larger than at the natural waist. The hip depth
    /// starts at a waist half-way between the tenth rib and the iliac crest. The skirt length of 60 cm and the
    /// independence of the hip depth are assumptions.
    pub fn ansur_women() -> Self {
        Self {
            waist: NormalDistribution { mean: 86.09, deviation: 9.99 },
            hip: NormalDistribution { mean: 102.12, deviation: 7.59 },
            correlation: 0.803,
            hip_depth: NormalDistribution { mean: 19.22, deviation: 1.90 },
            length: 60.0,
        }
    }

    /// Checks that every parameter of the population model is in range. [`bodies`](Self::bodies) runs the check, too.
    ///
    /// # Errors
    /// All [`Problems`]: a mean or a length outside the range of its measurement, a standard deviation or a correlation
    /// out of range.
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
        let normal_problems = |field: Field, normal: NormalDistribution| {
            let path = format!("population.{}.", field.name);
            let mean = Field { name: "mean", ..field }.range_problem(&path, normal.mean, Unit::Cm);
            [mean, STANDARD_DEVIATION_FIELD.range_problem(&path, normal.deviation, Unit::Cm)]
        };
        let value_problem = |field: Field, value| [field.range_problem("population.", value, Unit::Cm), None];
        let all = [
            normal_problems(waist, self.waist),
            normal_problems(hip, self.hip),
            value_problem(CORRELATION_FIELD, self.correlation),
            normal_problems(hip_depth, self.hip_depth),
            value_problem(length, self.length),
        ];
        Problems::ok_if_empty(all.into_iter().flatten().flatten())
    }

    /// Returns the simulated bodies of a range of rows.
    ///
    /// A body depends only on the seed and its row number, so that any split of the rows gives the same bodies. Values
    /// are neither clamped nor dropped: a few bodies are outside the ranges of [`Body::FIELDS`], and cannot be drafted.
    ///
    /// # Errors
    /// The problems of [`check`](Self::check), and [`Code::TooMany`](crate::Code::TooMany) for more than
    /// [`Population::MAX_SIMULATED_BODIES`] rows.
    ///
    /// ```
    /// use kirtle::survey::Population;
    ///
    /// let women = Population::ansur_women();
    /// let all = women.bodies(7, 0..1000)?;
    /// assert_eq!(all.body_of_row(998), women.bodies(7, 998..1000)?.body_of_row(0));
    ///
    /// let many = women.bodies(7, 0..u64::MAX).unwrap_err();
    /// assert!(many.to_string().ends_with("bodies are given, at most 100000000 bodies allowed"));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn bodies(&self, seed: u64, rows: Range<u64>) -> Result<SimulatedBodies, Problems> {
        self.check()?;
        let count = usize::try_from(rows.end.saturating_sub(rows.start)).unwrap_or(usize::MAX);
        let too_many = Problem::too_many_problem("rows", count, Population::MAX_SIMULATED_BODIES, "bodies");
        Problems::ok_if_empty(too_many)?;
        let mut rng = CounterRng::new(seed, RandomStream::Bodies, u128::from(rows.start) * RANDOM_NUMBERS_PER_BODY);
        let independent_part = (1.0 - self.correlation * self.correlation).sqrt();
        let column = || Vec::with_capacity(count);
        let mut bodies =
            SimulatedBodies { waist: column(), hip: column(), hip_depth: column(), length: vec![self.length; count] };
        let value = |normal: NormalDistribution, z_score: f64| normal.mean + normal.deviation * z_score;
        for _ in 0..count {
            let [first, second] = rng.draw_standard_normal_pair();
            let [third, _] = rng.draw_standard_normal_pair();
            bodies.waist.push(value(self.waist, first));
            bodies.hip.push(value(self.hip, self.correlation * first + independent_part * second));
            bodies.hip_depth.push(value(self.hip_depth, third));
        }
        Ok(bodies)
    }
}

impl SimulatedBodies {
    /// Returns the number of simulated bodies.
    pub fn len(&self) -> usize {
        self.waist.len()
    }

    /// Returns whether there are no simulated bodies.
    pub fn is_empty(&self) -> bool {
        self.waist.is_empty()
    }

    /// Returns the simulated body of a row, or `None` if the row is out of range.
    pub fn body_of_row(&self, row: usize) -> Option<Body> {
        let value = |column: &[f64]| column.get(row).copied();
        let (waist, hip) = (value(&self.waist)?, value(&self.hip)?);
        Some(Body { waist, hip, hip_depth: value(&self.hip_depth)?, length: value(&self.length)? })
    }
}
