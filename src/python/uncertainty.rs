//! How exact inputs are, and what that makes of a draft, in Python.

use pyo3::prelude::*;
use pyo3::types::IntoPyDict;

use super::batches::{Rows, broken};
use super::draft::Draft;
use super::inputs::{hash_of, unit_named};
use super::mapping::mapping;
use super::questions::{Asked, Reduced};
use crate::arrow::uncertainty_batch;
use crate::field::Unit;
use crate::sensitivity;

/// How exact the inputs of a draft are: the standard error of each by its name, such as `body.waist`, independent of each other.
///
/// Raises `InputError` for a standard error that is no number from zero on.
///
/// >>> Errors({"body.waist": 0.5, "body.hip": 0.7})
/// Errors({'body.waist': 0.5, 'body.hip': 0.7})
/// >>> Errors({"body.waist": -0.5})
/// Traceback (most recent call last):
/// kirtle.InputError: errors.body.waist: -0.5 is below the minimum of 0
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(PartialEq)]
pub(crate) struct StandardErrors(sensitivity::StandardErrors);

#[pymethods]
impl StandardErrors {
    #[new]
    // What Python hands over.
    #[allow(clippy::needless_pass_by_value)]
    fn new(errors: Named) -> PyResult<Self> {
        let errors: Vec<(&str, f64)> = errors.0.iter().map(|(name, error)| (name.as_str(), *error)).collect();
        Ok(Self(sensitivity::StandardErrors::independent(&errors)?))
    }

    /// Errors with a covariance: a row and a column for each name.
    ///
    /// Raises `InputError` for numbers that are no covariance.
    ///
    /// >>> names = ["body.waist", "body.hip"]
    /// >>> Errors.with_covariance(names, [[0.25, 0.2], [0.2, 0.49]]).names
    /// ['body.waist', 'body.hip']
    /// >>> Errors.with_covariance(names, [[0.25, 0.4], [0.4, 0.49]])
    /// Traceback (most recent call last):
    /// kirtle.InputError: covariance: is not a covariance: +0.80 body.waist -0.60 body.hip would have the variance -0.048
    #[staticmethod]
    // What Python hands over.
    #[allow(clippy::needless_pass_by_value)]
    fn with_covariance(names: Vec<String>, rows: Vec<Vec<f64>>) -> PyResult<Self> {
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        Ok(Self(sensitivity::StandardErrors::with_covariance(&names, &rows)?))
    }

    /// The largest errors that ISO 20685 allows between two ways of measuring, taken as standard errors: of waist and hip 0.9 cm,
    /// of the hip depth 0.5 cm; in `unit`.
    #[staticmethod]
    #[pyo3(signature = (unit = "cm"))]
    fn iso_20685(unit: &str) -> PyResult<Self> {
        Ok(Self(sensitivity::StandardErrors::iso_20685(unit_named(unit)?)))
    }

    /// The inputs that have an error.
    #[getter]
    fn names(&self) -> Vec<String> {
        self.0.names().to_vec()
    }

    /// The covariance: a row for each name.
    #[getter]
    fn covariance(&self) -> Vec<Vec<f64>> {
        self.0.rows()
    }

    fn __repr__(&self) -> String {
        match self.0.independent_errors() {
            Some(errors) => {
                let errors: Vec<_> = errors.iter().map(|(name, error)| format!("'{name}': {error:?}")).collect();
                format!("Errors({{{}}})", errors.join(", "))
            }
            None => format!("Errors.with_covariance({:?}, {:?})", self.0.names(), self.0.rows()),
        }
    }

    fn __hash__(&self) -> u64 {
        hash_of(&self.__repr__())
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, Bound<'py, PyAny>)> {
        let class = py.get_type::<Self>();
        match self.0.independent_errors() {
            Some(errors) => Ok((class.into_any(), (errors.into_py_dict(py)?,).into_pyobject(py)?.into_any())),
            None => {
                Ok((class.getattr("with_covariance")?, (self.names(), self.covariance()).into_pyobject(py)?.into_any()))
            }
        }
    }
}

mapping! {
    /// Numbers by name.
    Named: f64 as pyo3::type_hint_identifier!("builtins", "float");
}

/// The standard errors of every number of a draft, and an ellipse for each of its points: an Arrow table with a row for each
/// number (`quantity`, `unit`, `value`, `standard_error`).
///
/// `uncertainty["back.width"]` is the standard error of one. They are right for errors that are small beside what bends the
/// draft; where darts appear within the errors, draft many bodies by `draft_table` instead.
#[pyclass(frozen, extends = Rows, module = "kirtle")]
pub(crate) struct Uncertainty {
    made: sensitivity::Uncertainty,
    asked: Asked,
}

impl Uncertainty {
    pub(super) fn of(draft: Bound<'_, Draft>, errors: Bound<'_, StandardErrors>, unit: Unit) -> PyResult<Py<Self>> {
        let py = draft.py();
        let made = draft.get().made.uncertainty(&errors.get().0, unit)?;
        let rows = Rows::from(uncertainty_batch(&made).map_err(broken)?);
        let choices = [("unit", unit.name())].into_py_dict(py)?.unbind();
        let argument = Some(errors.into_any().unbind());
        let asked = Asked { draft: draft.unbind(), method: "uncertainty", argument, choices };
        Py::new(py, (Self { made, asked }, rows))
    }
}

#[pymethods]
impl Uncertainty {
    /// The unit of lengths.
    #[getter]
    fn unit(&self) -> &'static str {
        self.made.unit.name()
    }

    /// The names of the numbers.
    #[getter]
    fn quantities(&self) -> Vec<String> {
        self.made.quantities.iter().map(ToString::to_string).collect()
    }

    /// The numbers.
    #[getter]
    fn values(&self) -> Vec<f64> {
        self.made.values.clone()
    }

    /// Their standard errors.
    #[getter]
    fn standard_errors(&self) -> Vec<f64> {
        self.made.standard_errors.clone()
    }

    /// One for each named point of back and front.
    #[getter]
    fn ellipses(&self) -> Vec<Ellipse> {
        self.made.ellipses.iter().copied().map(Ellipse).collect()
    }

    /// The standard error of a number; raises `InputError` for a name that is not known.
    fn __getitem__(&self, quantity: &str) -> PyResult<f64> {
        Ok(self.made.standard_error(quantity)?)
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.made == other.made
    }

    fn __hash__(&self) -> u64 {
        hash_of(&format!("{:?}", self.made.standard_errors))
    }

    fn __repr__(&self) -> String {
        let (quantities, ellipses) = (self.made.quantities.len(), self.made.ellipses.len());
        format!(
            "Uncertainty(unit={:?}, quantities=[{quantities} of them], ellipses=[{ellipses} of them])",
            self.made.unit.name()
        )
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Reduced<'py>> {
        self.asked.again(py)
    }
}

/// Where a point may lie: the ellipse of one standard error, in the frame of its panel.
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(PartialEq)]
pub(crate) struct Ellipse(sensitivity::Ellipse);

#[pymethods]
impl Ellipse {
    /// `back` or `front`.
    #[getter]
    fn panel(&self) -> &'static str {
        self.0.half.name()
    }

    /// The point, such as `side_hip` or `dart_1_tip`.
    #[getter]
    fn point(&self) -> String {
        self.0.spot.to_string()
    }

    /// Where it is drafted.
    #[getter]
    fn centre(&self) -> (f64, f64) {
        (self.0.centre.x, self.0.centre.y)
    }

    /// The longer half axis, and the shorter.
    #[getter]
    fn semi_axes(&self) -> (f64, f64) {
        self.0.semi_axes.into()
    }

    /// From the direction of `x` to that of the longer axis, turning towards `y`.
    #[getter]
    fn angle_deg(&self) -> f64 {
        self.0.angle_deg
    }

    /// By how much the half axes grow so that the ellipse holds the point with this probability, if errors are normal.
    ///
    /// Raises `InputError` for a probability that is not from 0 to 0.999999.
    ///
    /// >>> round(Ellipse.growth(0.95), 4)
    /// 2.4477
    /// >>> Ellipse.growth(1)
    /// Traceback (most recent call last):
    /// kirtle.InputError: probability: 1 is above the maximum of 0.999999
    #[staticmethod]
    fn growth(probability: f64) -> PyResult<f64> {
        Ok(sensitivity::Ellipse::growth(probability)?)
    }

    fn __repr__(&self) -> String {
        let (axes, angle) = (self.semi_axes(), self.0.angle_deg);
        format!(
            "Ellipse({}.{}, centre={:?}, semi_axes={axes:?}, angle_deg={angle:?})",
            self.panel(),
            self.0.spot,
            self.centre()
        )
    }

    fn __hash__(&self) -> u64 {
        hash_of(&self.__repr__())
    }
}
