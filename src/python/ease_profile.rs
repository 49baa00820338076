//! The Python class `EaseByLevel`: the ease from waist to hem, for tables and plots, in the unit of the call.

use pyo3::prelude::*;
use pyo3::types::IntoPyDict;

use super::batches::{Rows, arrow_to_runtime_error};
use super::draft::Draft;
use super::inputs::hash_of_text;
use super::sensitivity::{DraftMethodCall, ReduceValue};
use crate::arrow::ease_batch;
use crate::ease_profile::{self, BodyProfile, Level};
use crate::field::Unit;
use crate::findings::Finding;

/// Ease at levels from the waist to the hem, as an Arrow table.
///
/// Each row has `level`, the distance below the waist at the side, the girths `garment` and `body`, and `ease`, the
/// garment's girth minus the body's girth. All lengths are in `unit`.
///
/// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
/// >>> ease = skirt.ease_by_level(step=10)
/// >>> ease.levels
/// [0.0, 10.0, 20.0, 20.5, 30.0, 40.0, 50.0, 60.0, 62.0]
/// >>> [round(number, 1) for number in ease.ease]
/// [1.5, 6.2, 5.0, 5.0, 5.0, 5.0, 5.0, 5.0, 5.0]
#[pyclass(frozen, extends = Rows, module = "kirtle")]
pub(crate) struct EaseByLevel {
    inner: ease_profile::EaseByLevel,
    findings: Vec<Finding>,
    call: DraftMethodCall,
}

impl EaseByLevel {
    /// Computes the ease of a draft at each level, and stores the method call by which pickle recreates the result.
    pub(super) fn from_draft(
        draft: Bound<'_, Draft>,
        profile: BodyProfile,
        step: Option<f64>,
        unit: Unit,
    ) -> PyResult<Py<Self>> {
        let py = draft.py();
        let inner = draft.get().inner.ease_by_level(&profile, step, unit)?;
        let findings = draft.get().inner.ease_findings(&inner);
        let rows = Rows::from(ease_batch(&inner).map_err(arrow_to_runtime_error)?);
        let keywords = [("unit", unit.name())].into_py_dict(py)?;
        if let BodyProfile::HighHip { girth, depth } = profile {
            keywords.set_item("high_hip", girth)?;
            keywords.set_item("high_hip_depth", depth)?;
        }
        keywords.set_item("step", step)?;
        let (draft, keywords) = (draft.unbind(), keywords.unbind());
        let call = DraftMethodCall { draft, method: "ease_by_level", argument: None, keywords };
        Py::new(py, (Self { inner, findings, call }, rows))
    }

    /// Returns the number that `value` gives for each level, from the waist down.
    fn one_number_per_level(&self, value: fn(&Level) -> f64) -> Vec<f64> {
        self.inner.levels.iter().map(value).collect()
    }
}

#[pymethods]
impl EaseByLevel {
    /// Unit of all lengths: `cm` or `in`.
    #[getter]
    fn unit(&self) -> &'static str {
        self.inner.unit.name()
    }

    /// Level of the hip line: its distance below the waist at the side.
    #[getter]
    fn hip_line(&self) -> f64 {
        self.inner.hip_line
    }

    /// Distance of each level below the waist at the side, in ascending order.
    #[getter]
    fn levels(&self) -> Vec<f64> {
        self.one_number_per_level(|level| level.level)
    }

    /// Girth of the garment at each level.
    #[getter]
    fn garment(&self) -> Vec<f64> {
        self.one_number_per_level(|level| level.garment)
    }

    /// Girth of the body at each level; below the hip line the hip girth.
    #[getter]
    fn body(&self) -> Vec<f64> {
        self.one_number_per_level(|level| level.body)
    }

    /// Ease at each level: the garment's girth minus the body's girth.
    #[getter]
    fn ease(&self) -> Vec<f64> {
        self.one_number_per_level(Level::ease)
    }

    /// Tightest level between waist and hip line, and the ease at this level.
    #[getter]
    fn tightest(&self) -> (f64, f64) {
        (self.inner.tightest.level, self.inner.tightest.ease())
    }

    /// Loosest level between waist and hip line, and the ease at this level.
    #[getter]
    fn loosest(&self) -> (f64, f64) {
        (self.inner.loosest.level, self.inner.loosest.ease())
    }

    /// Cautions about too little ease for sitting, a hem too narrow for walking, and levels where the garment is
    /// narrower than the body; a trial garment decides.
    #[getter]
    fn findings(&self) -> Vec<Finding> {
        self.findings.clone()
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.inner == other.inner
    }

    fn __hash__(&self) -> u64 {
        hash_of_text(&format!("{:?}", self.inner))
    }

    fn __repr__(&self) -> String {
        let (count, tightest, loosest) = (self.inner.levels.len(), self.tightest(), self.loosest());
        let unit = self.unit();
        format!("EaseByLevel(unit={unit:?}, levels=[{count} items], tightest={tightest:?}, loosest={loosest:?})")
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<ReduceValue<'py>> {
        self.call.reduce_value(py)
    }
}
