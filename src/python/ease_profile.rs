//! The Python class `EaseByLevel`: the ease from waist to hem, for tables and plots, in the unit of the call.

use pyo3::prelude::*;
use pyo3::types::PyFloat;

use super::batches::{Rows, arrow_to_runtime_error};
use super::class::python_class;
use super::draft::{Draft, DraftMethodCall};
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
        draft: &Bound<'_, Draft>,
        profile: BodyProfile,
        step: Option<f64>,
        unit: Unit,
    ) -> PyResult<Py<Self>> {
        let py = draft.py();
        let inner = draft.get().inner.ease_by_level(&profile, step, unit)?;
        let findings = draft.get().inner.ease_findings(&inner);
        let rows = Rows::from(ease_batch(&inner).map_err(arrow_to_runtime_error)?);
        let mut keywords = vec![("unit", unit.into_pyobject(py)?.into_any()), ("step", step.into_pyobject(py)?)];
        if let BodyProfile::HighHip { girth, depth } = profile {
            let lengths = [("high_hip", girth), ("high_hip_depth", depth)];
            keywords.extend(lengths.map(|(name, length)| (name, PyFloat::new(py, length).into_any())));
        }
        let call = DraftMethodCall::new(draft, "ease_by_level", Vec::new(), keywords)?;
        Py::new(py, (Self { inner, findings, call }, rows))
    }

    /// Returns the number that `value` gives for each level, from the waist down.
    fn one_number_per_level(&self, value: fn(&Level) -> f64) -> Vec<f64> {
        self.inner.levels.iter().map(value).collect()
    }
}

python_class! { EaseByLevel as ease;
    /// Unit of all lengths: `cm` or `in`.
    unit: &'static str = ease.inner.unit.name();
    /// Level of the hip line: its distance below the waist at the side.
    hip_line: f64 = ease.inner.hip_line;
    /// Distance of each level below the waist at the side, in ascending order.
    levels: Vec<f64> = ease.one_number_per_level(|level| level.level);
    /// Girth of the garment at each level.
    garment: Vec<f64> = ease.one_number_per_level(|level| level.garment);
    /// Girth of the body at each level; below the hip line the hip girth.
    body: Vec<f64> = ease.one_number_per_level(|level| level.body);
    /// Ease at each level: the garment's girth minus the body's girth.
    ease: Vec<f64> = ease.one_number_per_level(Level::ease);
    /// Tightest level between waist and hip line, and the ease at this level.
    tightest: (f64, f64) = (ease.inner.tightest.level, ease.inner.tightest.ease());
    /// Loosest level between waist and hip line, and the ease at this level.
    loosest: (f64, f64) = (ease.inner.loosest.level, ease.inner.loosest.ease());
    /// Cautions about too little ease for sitting, a hem too narrow for walking, and levels where the garment is
    /// narrower than the body; a trial garment decides.
    findings: Vec<Finding> = ease.findings.clone();
    repr = {
        let (unit, count, tightest, loosest) = (ease.unit(), ease.inner.levels.len(), ease.tightest(), ease.loosest());
        format!("EaseByLevel(unit={unit:?}, levels=[{count} items], tightest={tightest:?}, loosest={loosest:?})")
    };
    hash = format!("{:?}", ease.inner);
    equal other = ease.inner == other.inner;
    {
        fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (Py<Draft>,))> {
            Ok(self.call.reduce_value(py))
        }
    }
}
