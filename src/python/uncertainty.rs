//! The Python classes of error propagation: standard errors of inputs, uncertainty of a draft, ellipse of a point.

use pyo3::prelude::*;
use pyo3::types::IntoPyDict;

use super::batches::{Rows, arrow_to_runtime_error};
use super::draft::Draft;
use super::inputs::{hash_of_text, parse_unit};
use super::mapping::mapping_argument;
use super::sensitivity::{DraftMethodCall, ReduceValue};
use crate::arrow::uncertainty_batch;
use crate::field::Unit;
use crate::sensitivity;

/// Standard errors of the inputs of a draft, with or without correlation.
///
/// The mapping gives the standard error of each input by name, such as `body.waist`, in the unit of the later call. The
/// errors are independent; `with_covariance` gives correlated errors.
///
/// Raises `InputError` for a negative standard error or one that is not finite.
///
/// >>> StandardErrors({"body.waist": 0.5, "body.hip": 0.7})
/// StandardErrors({'body.waist': 0.5, 'body.hip': 0.7})
/// >>> StandardErrors({"body.waist": -0.5})
/// Traceback (most recent call last):
/// kirtle.InputError: errors.body.waist: -0.5 is below the minimum of 0
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(PartialEq)]
pub(crate) struct StandardErrors(sensitivity::StandardErrors);

#[pymethods]
impl StandardErrors {
    /// Create independent errors from a mapping of input names to standard errors.
    #[new]
    #[allow(clippy::needless_pass_by_value, reason = "PyO3 passes arguments by value")]
    fn new(errors: StandardErrorsArgument) -> PyResult<Self> {
        let errors: Vec<(&str, f64)> = errors.0.iter().map(|(name, error)| (name.as_str(), *error)).collect();
        Ok(Self(sensitivity::StandardErrors::independent(&errors)?))
    }

    /// Create correlated errors from a covariance matrix.
    ///
    /// `names` are the names of the inputs, `rows` the rows of the matrix, in the same order.
    ///
    /// Raises `InputError` for a matrix that is not symmetric and positive semidefinite.
    ///
    /// >>> names = ["body.waist", "body.hip"]
    /// >>> StandardErrors.with_covariance(names, [[0.25, 0.2], [0.2, 0.49]]).names
    /// ['body.waist', 'body.hip']
    /// >>> StandardErrors.with_covariance(names, [[0.25, 0.4], [0.4, 0.49]])
    /// Traceback (most recent call last):
    /// kirtle.InputError: covariance: not a covariance matrix: the variance of +0.80 body.waist -0.60 body.hip would be negative, -0.048
    #[staticmethod]
    #[allow(clippy::needless_pass_by_value, reason = "PyO3 passes arguments by value")]
    fn with_covariance(names: Vec<String>, rows: Vec<Vec<f64>>) -> PyResult<Self> {
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        Ok(Self(sensitivity::StandardErrors::with_covariance(&names, &rows)?))
    }

    /// Return standard errors equal to the largest differences that ISO 20685 allows between two methods of measuring.
    ///
    /// These are 0.9 cm for waist and hip and 0.5 cm for the hip depth, converted to `unit`.
    #[staticmethod]
    #[pyo3(signature = (unit = "cm"))]
    fn iso_20685(unit: &str) -> PyResult<Self> {
        Ok(Self(sensitivity::StandardErrors::iso_20685(parse_unit(unit)?)))
    }

    /// Names of the inputs that have a standard error.
    #[getter]
    fn names(&self) -> Vec<String> {
        self.0.input_paths().to_vec()
    }

    /// Covariance matrix of the inputs: one row and one column for each name.
    #[getter]
    fn covariance(&self) -> Vec<Vec<f64>> {
        self.0.covariance_rows()
    }

    fn __repr__(&self) -> String {
        match self.0.independent_standard_errors() {
            Some(errors) => {
                let errors: Vec<_> = errors.iter().map(|(name, error)| format!("'{name}': {error:?}")).collect();
                format!("StandardErrors({{{}}})", errors.join(", "))
            }
            None => {
                format!("StandardErrors.with_covariance({:?}, {:?})", self.0.input_paths(), self.0.covariance_rows())
            }
        }
    }

    fn __hash__(&self) -> u64 {
        hash_of_text(&self.__repr__())
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, Bound<'py, PyAny>)> {
        let class = py.get_type::<Self>();
        match self.0.independent_standard_errors() {
            Some(errors) => Ok((class.into_any(), (errors.into_py_dict(py)?,).into_pyobject(py)?.into_any())),
            None => {
                Ok((class.getattr("with_covariance")?, (self.names(), self.covariance()).into_pyobject(py)?.into_any()))
            }
        }
    }
}

mapping_argument! {
    /// Mapping from the name of an input to its standard error.
    StandardErrorsArgument: f64 as pyo3::type_hint_identifier!("builtins", "float");
}

/// Standard errors of every quantity of a draft as an Arrow table, and the error ellipses of its points.
///
/// Each row has `quantity`, `unit`, `value` and `standard_error`; one standard error is `uncertainty["back.width"]`.
///
/// Propagation is to first order, so the standard errors are accurate for small errors of inputs. If the number of
/// darts changes within the errors, draft many random bodies with `draft_table` instead.
#[pyclass(frozen, extends = Rows, module = "kirtle")]
pub(crate) struct Uncertainty {
    inner: sensitivity::Uncertainty,
    call: DraftMethodCall,
}

impl Uncertainty {
    /// Propagates standard errors through a draft, and stores the method call by which pickle recreates the result.
    pub(super) fn from_draft(
        draft: Bound<'_, Draft>,
        errors: Bound<'_, StandardErrors>,
        unit: Unit,
    ) -> PyResult<Py<Self>> {
        let py = draft.py();
        let inner = draft.get().inner.uncertainty(&errors.get().0, unit)?;
        let rows = Rows::from(uncertainty_batch(&inner).map_err(arrow_to_runtime_error)?);
        let keywords = [("unit", unit.name())].into_py_dict(py)?.unbind();
        let argument = Some(errors.into_any().unbind());
        let call = DraftMethodCall { draft: draft.unbind(), method: "uncertainty", argument, keywords };
        Py::new(py, (Self { inner, call }, rows))
    }
}

#[pymethods]
impl Uncertainty {
    /// Unit of all lengths: `cm` or `in`.
    #[getter]
    fn unit(&self) -> &'static str {
        self.inner.unit.name()
    }

    /// Names of the quantities, such as `back.width`, in the order of the rows.
    #[getter]
    fn quantities(&self) -> Vec<String> {
        self.inner.quantities.iter().map(ToString::to_string).collect()
    }

    /// Value of each quantity in the draft.
    #[getter]
    fn values(&self) -> Vec<f64> {
        self.inner.values.clone()
    }

    /// Standard error of each quantity.
    #[getter]
    fn standard_errors(&self) -> Vec<f64> {
        self.inner.standard_errors.clone()
    }

    /// Error ellipse of each named point of back and front.
    #[getter]
    fn ellipses(&self) -> Vec<Ellipse> {
        self.inner.ellipses.iter().copied().map(Ellipse).collect()
    }

    /// Return the standard error of a quantity, given by name.
    ///
    /// Raises `InputError` for an unknown name.
    fn __getitem__(&self, quantity: &str) -> PyResult<f64> {
        Ok(self.inner.standard_error(quantity)?)
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.inner == other.inner
    }

    fn __hash__(&self) -> u64 {
        hash_of_text(&format!("{:?}", self.inner.standard_errors))
    }

    fn __repr__(&self) -> String {
        let (quantities, ellipses) = (self.inner.quantities.len(), self.inner.ellipses.len());
        format!(
            "Uncertainty(unit={:?}, quantities=[{quantities} items], ellipses=[{ellipses} items])",
            self.inner.unit.name()
        )
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<ReduceValue<'py>> {
        self.call.reduce_value(py)
    }
}

/// Error ellipse of a point, with half axes one standard error long.
///
/// Coordinates are those of the panel, in the unit of the `Uncertainty` that contains the ellipse.
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(PartialEq)]
pub(crate) struct Ellipse(sensitivity::ErrorEllipse);

#[pymethods]
impl Ellipse {
    /// Panel of the point: `back` or `front`.
    #[getter]
    fn panel(&self) -> &'static str {
        self.0.half.name()
    }

    /// Name of the point, such as `side_hip` or `dart_1_tip`.
    #[getter]
    fn point(&self) -> String {
        self.0.point.to_string()
    }

    /// Coordinates of the point in the draft, which are the centre of the ellipse.
    #[getter]
    fn centre(&self) -> (f64, f64) {
        (self.0.centre.x, self.0.centre.y)
    }

    /// Lengths of the half axes, the longer first.
    #[getter]
    fn semi_axes(&self) -> (f64, f64) {
        self.0.semi_axes.into()
    }

    /// Angle in degrees from the x axis to the longer axis, positive towards the y axis.
    #[getter]
    fn angle_deg(&self) -> f64 {
        self.0.angle_deg
    }

    /// Return the factor for the half axes at which the ellipse contains the point with the given probability.
    ///
    /// The factor holds for normally distributed errors. The probability is from 0 to 0.999999.
    ///
    /// Raises `InputError` for a probability out of range.
    ///
    /// >>> round(Ellipse.growth(0.95), 4)
    /// 2.4477
    /// >>> Ellipse.growth(1)
    /// Traceback (most recent call last):
    /// kirtle.InputError: probability: 1 is above the maximum of 0.999999
    #[staticmethod]
    fn growth(probability: f64) -> PyResult<f64> {
        Ok(sensitivity::ErrorEllipse::semi_axis_factor_for_probability(probability)?)
    }

    fn __repr__(&self) -> String {
        let (axes, angle) = (self.semi_axes(), self.0.angle_deg);
        format!(
            "Ellipse({}.{}, centre={:?}, semi_axes={axes:?}, angle_deg={angle:?})",
            self.panel(),
            self.0.point,
            self.centre()
        )
    }

    fn __hash__(&self) -> u64 {
        hash_of_text(&self.__repr__())
    }
}
