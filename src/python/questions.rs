//! Derivatives, and questions asked backwards, in Python.

use pyo3::prelude::*;
use pyo3::types::{IntoPyDict, PyDict};

use super::batches::{Rows, broken};
use super::draft::{Dict, Draft};
use super::inputs::hash_of;
use crate::arrow::sensitivity_batch;
use crate::field::Unit;
use crate::sensitivity;

/// The numbers of a draft by name, in a unit.
pub(super) fn quantities<'py>(py: Python<'py>, draft: &crate::draft::Draft, unit: Unit) -> PyResult<Dict<'py>> {
    let numbers = draft.quantities_in(unit).into_iter();
    Ok(Dict(numbers.map(|(quantity, value)| (quantity.to_string(), value)).into_py_dict(py)?))
}

/// How a result is made again: a method of its draft, called with these arguments.
pub(super) struct Asked {
    pub(super) draft: Py<Draft>,
    pub(super) method: &'static str,
    pub(super) argument: Option<Py<PyAny>>,
    pub(super) choices: Py<PyDict>,
}

pub(super) type Reduced<'py> = (Bound<'py, PyAny>, (Py<Draft>,));

impl Asked {
    pub(super) fn again<'py>(&self, py: Python<'py>) -> PyResult<Reduced<'py>> {
        let caller = py.import("operator")?.getattr("methodcaller")?;
        let choices = Some(self.choices.bind(py));
        let call = match &self.argument {
            Some(argument) => caller.call((self.method, argument), choices)?,
            None => caller.call((self.method,), choices)?,
        };
        Ok((call, (self.draft.clone_ref(py),)))
    }
}

/// The exact derivatives of every number of a draft by its inputs: an Arrow table with a row for each number (`quantity`,
/// `unit`, `value`) and a column for each input by its name.
///
/// `sensitivity["back.width", "ease.hip"]` is one of them.
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
    made: sensitivity::Sensitivity,
    asked: Asked,
}

impl Sensitivity {
    pub(super) fn of(draft: Bound<'_, Draft>, by: Vec<String>, unit: Unit) -> PyResult<Py<Self>> {
        let py = draft.py();
        let names: Vec<&str> = by.iter().map(String::as_str).collect();
        let made = draft.get().made.sensitivity(&names)?.in_unit(unit);
        let rows = Rows::from(sensitivity_batch(&made).map_err(broken)?);
        let argument = Some(by.into_pyobject(py)?.unbind());
        let choices = [("unit", unit.name())].into_py_dict(py)?.unbind();
        let asked = Asked { draft: draft.unbind(), method: "sensitivity", argument, choices };
        Py::new(py, (Self { made, asked }, rows))
    }
}

#[pymethods]
impl Sensitivity {
    /// The unit of lengths.
    #[getter]
    fn unit(&self) -> &'static str {
        self.made.unit.name()
    }

    /// The names of the inputs.
    #[getter]
    fn inputs(&self) -> Vec<String> {
        self.made.inputs.iter().map(|input| input.path.clone()).collect()
    }

    /// The units of the inputs: that of lengths, `deg`, or nothing for a ratio.
    #[getter]
    fn input_units(&self) -> Vec<&'static str> {
        self.made.inputs.iter().map(|input| input.field.kind.unit_name(self.made.unit)).collect()
    }

    /// The units of the numbers: that of lengths, its square, or `deg`.
    #[getter]
    fn units(&self) -> Vec<&'static str> {
        self.made.quantities.iter().map(|quantity| quantity.dimension.unit_name(self.made.unit)).collect()
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

    /// The derivatives: a row for each number, with one by each input.
    #[getter]
    fn matrix(&self) -> Vec<Vec<f64>> {
        (0..self.made.values.len()).map(|row| self.made.row(row).to_vec()).collect()
    }

    /// The derivative of a number by an input; raises `InputError` for a name that is not known.
    // What Python hands over.
    #[allow(clippy::needless_pass_by_value)]
    fn __getitem__(&self, names: (String, String)) -> PyResult<f64> {
        Ok(self.made.derivative(&names.0, &names.1)?)
    }

    fn __eq__(&self, other: &Self) -> bool {
        self.made == other.made
    }

    fn __hash__(&self) -> u64 {
        hash_of(&format!("{:?}", self.made.values))
    }

    fn __repr__(&self) -> String {
        let (quantities, inputs) = (self.made.quantities.len(), self.made.inputs.len());
        format!(
            "Sensitivity(unit={:?}, quantities=[{quantities} of them], inputs=[{inputs} of them])",
            self.made.unit.name()
        )
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<Reduced<'py>> {
        self.asked.again(py)
    }
}

/// What a question asked backwards is answered by. Lengths are in the unit of the call.
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(PartialEq)]
pub(crate) struct Solutions {
    made: sensitivity::Solutions,
    unit: Unit,
}

impl Solutions {
    pub(super) fn new(made: sensitivity::Solutions, unit: Unit) -> Self {
        Self { made, unit }
    }
}

#[pymethods]
impl Solutions {
    /// The input that was sought.
    #[getter]
    fn input(&self) -> &str {
        &self.made.input.path
    }

    /// Its value that gives what was wanted: of all that do, the nearest to what it was.
    #[getter]
    fn value(&self) -> f64 {
        self.made.input.value
    }

    /// From where to where what was wanted holds around that value.
    #[getter]
    fn interval(&self) -> (f64, f64) {
        self.made.interval
    }

    /// Other values that give it, from the least to the most.
    #[getter]
    fn others(&self) -> Vec<f64> {
        self.made.others.clone()
    }

    /// The unit of lengths.
    #[getter]
    fn unit(&self) -> &'static str {
        self.unit.name()
    }

    /// The draft by that value.
    #[getter]
    fn draft(&self) -> Draft {
        Draft::made(self.made.draft.clone(), self.unit)
    }

    fn __repr__(&self) -> String {
        let sensitivity::Solutions { input, interval, others, .. } = &self.made;
        format!("Solutions(input={:?}, value={:?}, interval={interval:?}, others={others:?})", input.path, input.value)
    }

    fn __hash__(&self) -> u64 {
        hash_of(&self.__repr__())
    }
}
