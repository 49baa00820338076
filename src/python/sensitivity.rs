//! The Python classes `Sensitivity`, the derivatives of a draft, and `Solutions`, the results of `Draft.seek`; and the
//! pickle support of results that a method of `Draft` returns.

use pyo3::prelude::*;
use pyo3::types::{IntoPyDict, PyDict};

use super::batches::{Rows, arrow_to_runtime_error};
use super::draft::{AnyDict, Draft};
use super::inputs::hash_of_text;
use crate::arrow::sensitivity_batch;
use crate::field::Unit;
use crate::sensitivity;

/// Returns the quantities of a draft in `unit`, as a dict from name to value.
pub(super) fn quantities_dict<'py>(py: Python<'py>, draft: &crate::draft::Draft, unit: Unit) -> PyResult<AnyDict<'py>> {
    let numbers = draft.quantities_in(unit).into_iter();
    Ok(AnyDict(numbers.map(|(quantity, value)| (quantity.to_string(), value)).into_py_dict(py)?))
}

/// Method call on a draft that recreates a result: pickle stores the call and the draft instead of the result.
pub(super) struct DraftMethodCall {
    pub(super) draft: Py<Draft>,
    pub(super) method: &'static str,
    /// Positional argument of the method, if any.
    pub(super) argument: Option<Py<PyAny>>,
    pub(super) keywords: Py<PyDict>,
}

/// Return value of `__reduce__`: an `operator.methodcaller`, and the draft as its argument.
pub(super) type ReduceValue<'py> = (Bound<'py, PyAny>, (Py<Draft>,));

impl DraftMethodCall {
    /// Returns the value of `__reduce__` for a result of this call.
    pub(super) fn reduce_value<'py>(&self, py: Python<'py>) -> PyResult<ReduceValue<'py>> {
        let caller = py.import("operator")?.getattr("methodcaller")?;
        let keywords = Some(self.keywords.bind(py));
        let call = match &self.argument {
            Some(argument) => caller.call((self.method, argument), keywords)?,
            None => caller.call((self.method,), keywords)?,
        };
        Ok((call, (self.draft.clone_ref(py),)))
    }
}

/// Exact derivatives of every quantity of a draft by its inputs, as an Arrow table.
///
/// Each row has `quantity`, `unit` and `value`, and one column for each input. `sensitivity["back.width", "ease.hip"]`
/// is one derivative. Lengths are in `unit`, areas in its square, angles in degrees.
///
/// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
/// >>> sensitivity = skirt.sensitivity(["ease.waist", "ease.hip"])
/// >>> sensitivity["back.width", "ease.hip"]
/// 0.25
/// >>> sensitivity["back.width", "ease.knee"]
/// Traceback (most recent call last):
/// kirtle.InputError: by: "ease.knee" is not one of ease.waist, ease.hip
#[pyclass(frozen, extends = Rows, module = "kirtle")]
pub(crate) struct Sensitivity {
    inner: sensitivity::Sensitivity,
    call: DraftMethodCall,
}

impl Sensitivity {
    /// Computes the derivatives of a draft, and stores the method call by which pickle recreates the result.
    pub(super) fn from_draft(draft: Bound<'_, Draft>, by: Vec<String>, unit: Unit) -> PyResult<Py<Self>> {
        let py = draft.py();
        let names: Vec<&str> = by.iter().map(String::as_str).collect();
        let inner = draft.get().inner.sensitivity(&names)?.in_unit(unit);
        let rows = Rows::from(sensitivity_batch(&inner).map_err(arrow_to_runtime_error)?);
        let argument = Some(by.into_pyobject(py)?.unbind());
        let keywords = [("unit", unit.name())].into_py_dict(py)?.unbind();
        let call = DraftMethodCall { draft: draft.unbind(), method: "sensitivity", argument, keywords };
        Py::new(py, (Self { inner, call }, rows))
    }
}

#[pymethods]
impl Sensitivity {
    /// Unit of all lengths: `cm` or `in`.
    #[getter]
    fn unit(&self) -> &'static str {
        self.inner.unit.name()
    }

    /// Names of the inputs, such as `ease.hip`, in the order of the columns.
    #[getter]
    fn inputs(&self) -> Vec<String> {
        self.inner.inputs.iter().map(|input| input.path.clone()).collect()
    }

    /// Unit of each input: `cm` or `in` for a length, `deg` for an angle, empty for a ratio.
    #[getter]
    fn input_units(&self) -> Vec<&'static str> {
        self.inner.inputs.iter().map(|input| input.field.kind.unit_name(self.inner.unit)).collect()
    }

    /// Unit of each quantity: `cm` or `in` for a length, `cm²` or `in²` for an area, `deg` for an angle.
    #[getter]
    fn units(&self) -> Vec<&'static str> {
        self.inner.quantities.iter().map(|quantity| quantity.dimension.unit_name(self.inner.unit)).collect()
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

    /// Matrix of derivatives: one row for each quantity, one column for each input.
    #[getter]
    fn matrix(&self) -> Vec<Vec<f64>> {
        (0..self.inner.values.len()).map(|row| self.inner.derivatives_of_quantity(row).to_vec()).collect()
    }

    /// Return the derivative of a quantity by an input, both given by name.
    ///
    /// Raises `InputError` for an unknown name.
    #[allow(clippy::needless_pass_by_value, reason = "Python passes a tuple by value")]
    fn __getitem__(&self, names: (String, String)) -> PyResult<f64> {
        Ok(self.inner.derivative(&names.0, &names.1)?)
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.inner == other.inner
    }

    fn __hash__(&self) -> u64 {
        hash_of_text(&format!("{:?}", self.inner.values))
    }

    fn __repr__(&self) -> String {
        let (quantities, inputs) = (self.inner.quantities.len(), self.inner.inputs.len());
        format!(
            "Sensitivity(unit={:?}, quantities=[{quantities} items], inputs=[{inputs} items])",
            self.inner.unit.name()
        )
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<ReduceValue<'py>> {
        self.call.reduce_value(py)
    }
}

/// Values of one input for which a quantity of a draft equals the wanted value, found by `Draft.seek`.
///
/// Lengths are in `unit`, the unit of the call.
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(PartialEq)]
pub(crate) struct Solutions {
    inner: sensitivity::Solutions,
    unit: Unit,
}

impl Solutions {
    /// Wraps solutions of the Rust library, whose lengths are in `unit`.
    pub(super) fn new(inner: sensitivity::Solutions, unit: Unit) -> Self {
        Self { inner, unit }
    }
}

#[pymethods]
impl Solutions {
    /// Name of the input, such as `ease.hip`.
    #[getter]
    fn input(&self) -> &str {
        &self.inner.input.path
    }

    /// Solution nearest to the value of the input in the original draft.
    #[getter]
    fn value(&self) -> f64 {
        self.inner.input.value
    }

    /// Smallest and largest solution of the interval of solutions around `value`; equal for an isolated solution.
    #[getter]
    fn interval(&self) -> (f64, f64) {
        self.inner.interval
    }

    /// Solutions in other intervals, one for each, in ascending order; empty if there is no other interval.
    #[getter]
    fn others(&self) -> Vec<f64> {
        self.inner.others.clone()
    }

    /// Unit of all lengths: `cm` or `in`.
    #[getter]
    fn unit(&self) -> &'static str {
        self.unit.name()
    }

    /// Draft with the input at `value`.
    #[getter]
    fn draft(&self) -> Draft {
        Draft::from_library_draft(self.inner.draft.clone(), self.unit)
    }

    fn __repr__(&self) -> String {
        let sensitivity::Solutions { input, interval, others, .. } = &self.inner;
        format!("Solutions(input={:?}, value={:?}, interval={interval:?}, others={others:?})", input.path, input.value)
    }

    fn __hash__(&self) -> u64 {
        hash_of_text(&self.__repr__())
    }
}
