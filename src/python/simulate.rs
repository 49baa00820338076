//! Simulated people in Python, and what their tables share with other surveys.

use pyo3::prelude::*;
use pyo3::types::PyDict;

use super::batches::{Rows, broken};
use super::draft::Dict;
use super::inputs::{hash_of, unit_named};
use crate::arrow::bodies_batch;
use crate::error::Problems;
use crate::field::{FieldKind, Unit};
use crate::survey;

/// A mean and a standard deviation, or the least and the most.
pub(super) type Pair = (f64, f64);

pub(super) fn told<T>(result: Result<T, Problems>, unit: Unit) -> PyResult<T> {
    Ok(result.map_err(|problems| problems.in_unit(unit.name(), unit.cm_per_unit()))?)
}

pub(super) fn to_cm(unit: Unit) -> impl Fn(f64) -> f64 + Copy {
    move |length| FieldKind::Length.convert(length, unit, Unit::Cm)
}

pub(super) fn both((a, b): Pair, of: impl Fn(f64) -> f64) -> Pair {
    (of(a), of(b))
}

/// A population from which bodies are drawn: waist and hip jointly normal, the hip depth normal and independent of them.
///
/// Each measurement is its mean and its standard deviation; the length is one for all. Attributes are in centimetres.
///
/// >>> Population(waist=(80, 9), hip=(102, 8), correlation=0.8, hip_depth=(20.5, 1), length=60).hip
/// (102.0, 8.0)
/// >>> Population(waist=(80, 9), hip=(102, 8), correlation=1.2, hip_depth=(20.5, 1), length=60)
/// Traceback (most recent call last):
/// kirtle.InputError: population.correlation: 1.2 is above the maximum of 0.999
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(PartialEq)]
pub(crate) struct Population(survey::Population);

#[pymethods]
impl Population {
    /// Raises `InputError` with all the problems at once.
    #[new]
    #[pyo3(signature = (*, waist, hip, correlation, hip_depth, length, unit = "cm"))]
    fn new(waist: Pair, hip: Pair, correlation: f64, hip_depth: Pair, length: f64, unit: &str) -> PyResult<Self> {
        let unit = unit_named(unit)?;
        let normal = |pair: Pair| {
            let (mean, deviation) = both(pair, to_cm(unit));
            survey::NormalDistribution { mean, deviation }
        };
        let (waist, hip, hip_depth, length) = (normal(waist), normal(hip), normal(hip_depth), to_cm(unit)(length));
        let population = survey::Population { waist, hip, correlation, hip_depth, length };
        told(population.check(), unit)?;
        Ok(Self(population))
    }

    /// Women of ANSUR II (2012, n = 1,986), by their published means, deviations and correlation; the waist is that at the
    /// navel. That hip depth and girths are independent is assumed, and the length of 60 cm is our own.
    #[staticmethod]
    fn ansur_women() -> Self {
        Self(survey::Population::ansur_women())
    }

    /// Mean and standard deviation of the waist.
    #[getter]
    fn waist(&self) -> Pair {
        (self.0.waist.mean, self.0.waist.deviation)
    }

    /// Mean and standard deviation of the hip.
    #[getter]
    fn hip(&self) -> Pair {
        (self.0.hip.mean, self.0.hip.deviation)
    }

    /// The correlation of waist and hip.
    #[getter]
    fn correlation(&self) -> f64 {
        self.0.correlation
    }

    /// Mean and standard deviation of the hip depth.
    #[getter]
    fn hip_depth(&self) -> Pair {
        (self.0.hip_depth.mean, self.0.hip_depth.deviation)
    }

    /// The length of every skirt.
    #[getter]
    fn length(&self) -> f64 {
        self.0.length
    }

    fn __repr__(&self) -> String {
        let of = &self.0;
        let (waist, hip, depth) = (self.waist(), self.hip(), self.hip_depth());
        format!(
            "Population(waist={waist:?}, hip={hip:?}, correlation={:?}, hip_depth={depth:?}, length={:?})",
            of.correlation, of.length
        )
    }

    fn __hash__(&self) -> u64 {
        hash_of(&self.__repr__())
    }

    fn __getnewargs_ex__<'py>(&self, py: Python<'py>) -> PyResult<((), Dict<'py>)> {
        let given = PyDict::new(py);
        for (name, pair) in [("waist", self.waist()), ("hip", self.hip()), ("hip_depth", self.hip_depth())] {
            given.set_item(name, pair)?;
        }
        given.set_item("correlation", self.0.correlation)?;
        given.set_item("length", self.0.length)?;
        Ok(((), Dict(given)))
    }
}

/// Simulated bodies: an Arrow table for whatever takes one, such as `draft_table`, `fit_chart`, `pyarrow.table` or
/// `polars.DataFrame`.
#[pyclass(frozen, extends = Rows, module = "kirtle")]
pub(crate) struct BodyTable;

#[pymethods]
// Python hands the whole object over.
#[allow(clippy::needless_pass_by_value)]
impl BodyTable {
    fn __repr__(slf: PyRef<'_, Self>) -> String {
        slf.as_super().shown("BodyTable")
    }
}

/// Simulates bodies of a population, by default `Population.ansur_women()`: columns `waist`, `hip`, `hip_depth` and
/// `length` in `unit`.
///
/// A row depends on the seed and its number alone, so that rows from `start` on are the same in any parts. A few lie outside
/// what a draft takes, and are refused there.
///
/// Raises `InputError` for more than 100,000,000 rows at once.
///
/// >>> pyarrow.table(simulate(3, seed=7)).column_names
/// ['waist', 'hip', 'hip_depth', 'length']
/// >>> simulate(3, seed=7)
/// BodyTable(rows=3, columns=["waist", "hip", "hip_depth", "length"])
/// >>> simulate(200_000_000)
/// Traceback (most recent call last):
/// kirtle.InputError: rows: 200000000 bodies are given; the most is 100000000 bodies
#[pyfunction]
#[pyo3(signature = (rows, *, seed = 0, start = 0, population = None, unit = "cm"))]
pub(crate) fn simulate(
    py: Python<'_>,
    rows: u64,
    seed: u64,
    start: u64,
    population: Option<&Population>,
    unit: &str,
) -> PyResult<Py<BodyTable>> {
    let unit = unit_named(unit)?;
    let population = population.map_or_else(survey::Population::ansur_women, |population| population.0);
    let bodies = py.detach(|| population.bodies(seed, start..start.saturating_add(rows)))?;
    let batch = py.detach(|| bodies_batch(bodies, unit)).map_err(broken)?;
    Py::new(py, (BodyTable, Rows::from(batch)))
}
