//! The ease at all levels, in Python.

use pyo3::prelude::*;
use pyo3::types::IntoPyDict;

use super::batches::{Rows, broken};
use super::draft::Draft;
use super::inputs::hash_of;
use super::questions::{Asked, Reduced};
use crate::arrow::ease_batch;
use crate::ease_profile::{self, BodyProfile, Level};
use crate::field::Unit;
use crate::findings::Finding;

/// What a garment is wider than the body from the waist down to the hem: an Arrow table with a row for each level (`level`,
/// `garment`, `body`, `ease`).
///
/// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
/// >>> ease = skirt.ease_by_level(step=10)
/// >>> ease.levels
/// [0.0, 10.0, 20.0, 20.5, 30.0, 40.0, 50.0, 60.0, 62.0]
/// >>> [round(one, 1) for one in ease.ease]
/// [1.5, 6.2, 5.0, 5.0, 5.0, 5.0, 5.0, 5.0, 5.0]
#[pyclass(frozen, extends = Rows, module = "kirtle")]
pub(crate) struct EaseByLevel {
    made: ease_profile::EaseByLevel,
    findings: Vec<Finding>,
    asked: Asked,
}

impl EaseByLevel {
    pub(super) fn of(
        draft: Bound<'_, Draft>,
        profile: BodyProfile,
        step: Option<f64>,
        unit: Unit,
    ) -> PyResult<Py<Self>> {
        let py = draft.py();
        let made = draft.get().made.ease_by_level(&profile, step, unit)?;
        let findings = draft.get().made.ease_findings(&made);
        let rows = Rows::from(ease_batch(&made).map_err(broken)?);
        let choices = [("unit", unit.name())].into_py_dict(py)?;
        if let BodyProfile::HighHip { girth, depth } = profile {
            choices.set_item("high_hip", girth)?;
            choices.set_item("high_hip_depth", depth)?;
        }
        choices.set_item("step", step)?;
        let asked = Asked { draft: draft.unbind(), method: "ease_by_level", argument: None, choices: choices.unbind() };
        Py::new(py, (Self { made, findings, asked }, rows))
    }

    fn column(&self, of: fn(&Level) -> f64) -> Vec<f64> {
        self.made.levels.iter().map(of).collect()
    }
}

#[pymethods]
impl EaseByLevel {
    /// The unit of all lengths.
    #[getter]
    fn unit(&self) -> &'static str {
        self.made.unit.name()
    }

    /// The level of the hip line.
    #[getter]
    fn hip_line(&self) -> f64 {
        self.made.hip_line
    }

    /// How far each level is down from the waist at the side.
    #[getter]
    fn levels(&self) -> Vec<f64> {
        self.column(|level| level.level)
    }

    /// The girth of the garment at each level.
    #[getter]
    fn garment(&self) -> Vec<f64> {
        self.column(|level| level.garment)
    }

    /// The girth of the body at each level; below the hip line that of the hip.
    #[getter]
    fn body(&self) -> Vec<f64> {
        self.column(|level| level.body)
    }

    /// What the garment is wider than the body at each level.
    #[getter]
    fn ease(&self) -> Vec<f64> {
        self.column(Level::ease)
    }

    /// Where it is tightest from the waist to the hip line: the level, and the ease there.
    #[getter]
    fn tightest(&self) -> (f64, f64) {
        (self.made.tightest.level, self.made.tightest.ease())
    }

    /// Where it is loosest from the waist to the hip line: the level, and the ease there.
    #[getter]
    fn loosest(&self) -> (f64, f64) {
        (self.made.loosest.level, self.made.loosest.ease())
    }

    /// Cautions about sitting, walking, and where the garment is narrower than the body; a trial garment decides.
    #[getter]
    fn findings(&self) -> Vec<Finding> {
        self.findings.clone()
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.made == other.made
    }

    fn __hash__(&self) -> u64 {
        hash_of(&format!("{:?}", self.made))
    }

    fn __repr__(&self) -> String {
        let (count, tightest, loosest) = (self.made.levels.len(), self.tightest(), self.loosest());
        let unit = self.unit();
        format!("EaseByLevel(unit={unit:?}, levels=[{count} of them], tightest={tightest:?}, loosest={loosest:?})")
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Reduced<'py>> {
        self.asked.again(py)
    }
}
