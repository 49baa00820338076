//! Simulated bodies: the class `Population`, and the function `simulate` with its table.

use pyo3::prelude::*;

use super::arguments::{LengthPair, length_converter_to_cm, parse_table_unit, value_or_raise};
use super::class::python_class;
use super::table::{Rows, arrow_to_python_error};
use super::typed_objects::keyword_dict;
use crate::arrow::bodies_batch;
use crate::survey;

/// Population of simulated bodies.
///
/// Waist and hip are jointly normal with a correlation; the hip depth is normal and independent of waist and hip. Each
/// of `waist`, `hip` and `hip_depth` is a mean and a standard deviation; `length` is the same for everyone. Lengths are
/// in `unit`; attributes are in centimetres.
///
/// >>> Population(waist=(80, 9), hip=(102, 8), correlation=0.8, hip_depth=(20.5, 1), length=60).hip
/// (102.0, 8.0)
/// >>> Population(waist=(80, 9), hip=(102, 8), correlation=1.2, hip_depth=(20.5, 1), length=60)
/// Traceback (most recent call last):
/// kirtle.InputError: population.correlation: 1.2 is above the maximum of 0.999
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(PartialEq)]
pub(crate) struct Population(survey::Population);

python_class! { Population as population;
    /// Mean and standard deviation of the waist, in centimetres.
    waist: LengthPair = (population.0.waist.mean, population.0.waist.deviation);
    /// Mean and standard deviation of the hip, in centimetres.
    hip: LengthPair = (population.0.hip.mean, population.0.hip.deviation);
    /// Correlation of waist and hip.
    correlation: f64 = population.0.correlation;
    /// Mean and standard deviation of the hip depth, in centimetres.
    hip_depth: LengthPair = (population.0.hip_depth.mean, population.0.hip_depth.deviation);
    /// Length of the skirt, the same for every body, in centimetres.
    length: f64 = population.0.length;
    text = {
        let (waist, hip, depth) = (population.waist(), population.hip(), population.hip_depth());
        let (correlation, length) = (population.correlation(), population.length());
        format!("Population(waist={waist:?}, hip={hip:?}, correlation={correlation:?}, hip_depth={depth:?}, length={length:?})")
    };
    keywords py = {
        let survey::Population { correlation, length, .. } = population.0;
        let (waist, hip, depth) = (population.waist(), population.hip(), population.hip_depth());
        keyword_dict(py, (("waist", waist), ("hip", hip), ("correlation", correlation), ("hip_depth", depth), ("length", length)))
    };
    {
        /// Create a population from means, standard deviations and a correlation from −0.999 to 0.999.
        ///
        /// Raises `InputError` with all the problems at once.
        #[new]
        #[pyo3(signature = (*, waist, hip, correlation, hip_depth, length, unit = "cm"))]
        fn new(waist: LengthPair, hip: LengthPair, correlation: f64, hip_depth: LengthPair, length: f64, unit: &str) -> PyResult<Self> {
            let unit = parse_table_unit(unit)?;
            let to_cm = length_converter_to_cm(unit);
            let normal = |(mean, deviation)| survey::NormalDistribution { mean: to_cm(mean), deviation: to_cm(deviation) };
            let [waist, hip, hip_depth] = [waist, hip, hip_depth].map(normal);
            let population = survey::Population { waist, hip, correlation, hip_depth, length: to_cm(length) };
            value_or_raise(population.check(), unit)?;
            Ok(Self(population))
        }

        /// Return the population of the women of ANSUR II (2012, n = 1,986).
        ///
        /// Means, standard deviations and correlation are published; the waist was measured at the navel. An
        /// independent hip depth and a length of 60 cm are assumptions of this package.
        #[staticmethod]
        fn ansur_women() -> Self { Self(survey::Population::ansur_women()) }
    }
}

/// Simulated bodies as an Arrow table, one row for each body.
///
/// `draft_table`, `fit_chart`, `pyarrow.table` and `polars.DataFrame` accept the table.
#[pyclass(frozen, extends = Rows, module = "kirtle")]
pub(crate) struct BodyTable;

#[pymethods]
impl BodyTable {
    fn __repr__(slf: PyRef<'_, Self>) -> String {
        let (rows, columns) = (slf.as_super().__len__(), slf.as_super().columns());
        format!("BodyTable(rows={rows}, columns={columns:?})")
    }
}

/// Simulate bodies of a population, by default `Population.ansur_women()`.
///
/// The table has the columns `waist`, `hip`, `hip_depth` and `length`, in `unit`. Each row depends only on the seed and
/// the row number, counted from `start`, so several calls with consecutive starts give the same rows as one call. A few
/// bodies are outside the ranges of a draft and cannot be drafted.
///
/// Raises `InputError` for more than 100,000,000 rows.
///
/// >>> pyarrow.table(simulate(3, seed=7)).column_names
/// ['waist', 'hip', 'hip_depth', 'length']
/// >>> simulate(3, seed=7)
/// BodyTable(rows=3, columns=["waist", "hip", "hip_depth", "length"])
/// >>> simulate(200_000_000)
/// Traceback (most recent call last):
/// kirtle.InputError: rows: 200000000 bodies are given, at most 100000000 bodies allowed
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
    let unit = parse_table_unit(unit)?;
    let population = population.map_or_else(survey::Population::ansur_women, |population| population.0);
    let bodies = py.detach(|| population.bodies(seed, start..start.saturating_add(rows)))?;
    let batch = py.detach(|| bodies_batch(bodies, unit)).map_err(arrow_to_python_error)?;
    Py::new(py, (BodyTable, Rows::from(batch)))
}
