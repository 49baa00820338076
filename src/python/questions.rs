//! The Python classes of the results of a draft's methods: `Sensitivity` has derivatives; `StandardErrors`,
//! `Uncertainty` and `Ellipse` have errors and their propagation, `Solutions` the results of `Draft.seek`, and
//! `EaseByLevel` the ease from waist to hem. Lengths are in the unit of the call.

use pyo3::prelude::*;
use pyo3::types::IntoPyDict;
use pyo3::{type_hint_identifier, type_hint_subscript, type_hint_union};

use super::arguments::{
    InputNumbersArgument, MatrixArgument, QuantityArgument, argument_types, mapping_of, parse_table_unit,
};
use super::class::python_class;
use super::draft::Draft;
use super::table::Rows;
use crate::document::find_choice;
use crate::ease_profile::{self, GirthsAtLevel};
use crate::error::Problems;
use crate::field::Unit;
use crate::findings::Finding;
use crate::sensitivity::{self, find_quantity_index};

/// Call of a draft's method by which pickle recreates a result: the method, and the draft as its argument.
pub(super) type PickleDraftCall = (Py<PyAny>, (Py<Draft>,));

/// Exact derivatives of every quantity of a draft with respect to its inputs, as an Arrow table.
///
/// Each row has `quantity`, `unit` and `value`, and one column for each input. `sensitivity["back.width", "ease.hip"]`
/// is one derivative. Lengths are in `unit`, areas in square `unit`, angles in degrees.
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
    pub(super) inner: sensitivity::Sensitivity,
    pub(super) origin: PickleDraftCall,
}

python_class! { Sensitivity as result;
    /// Unit of all lengths: `cm` or `in`.
    unit: &'static str = result.inner.unit.name();
    /// Names of the inputs, such as `ease.hip`, in the order of the columns of `matrix`.
    inputs: Vec<String> = result.inner.inputs.iter().map(|input| input.path.clone()).collect();
    /// Unit of each input: `cm` or `in` for a length, `deg` for an angle, empty for a ratio.
    input_units: Vec<&'static str> = result.inner.inputs.iter().map(|input| input.field.kind.unit_name(result.inner.unit)).collect();
    /// Unit of each quantity: `cm` or `in` for a length, `cm²` or `in²` for an area, `deg` for an angle.
    units: Vec<&'static str> = result.inner.quantities.iter().map(|quantity| quantity.kind.unit_name(result.inner.unit)).collect();
    /// Names of the quantities, such as `back.width`, in the order of the rows.
    quantities: Vec<String> = result.inner.quantities.iter().map(ToString::to_string).collect();
    /// Value of each quantity in the draft.
    values: Vec<f64> = result.inner.values.clone();
    /// Matrix of derivatives: one row for each quantity, one column for each input.
    matrix: Vec<Vec<f64>> = (0..result.inner.values.len()).map(|row| result.inner.derivatives_of_quantity(row).to_vec()).collect();
    repr = {
        let (unit, quantities, inputs) = (result.unit(), result.inner.quantities.len(), result.inner.inputs.len());
        format!("Sensitivity(unit={unit:?}, quantities=[{quantities} items], inputs=[{inputs} items])")
    };
    hash = format!("{:?}", result.inner.values);
    equal other = result.inner == other.inner;
    {
        /// Return the row of a quantity, given by one of its names.
        ///
        /// Raises `InputError` for an unknown name.
        ///
        /// >>> skirt = draft(Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=Ease(waist=1.5, hip=5))
        /// >>> rates = skirt.sensitivity("body.waist")
        /// >>> rates.quantities[rates.row("back_dart1_intake")], rates.quantities[rates.row("girths.hem")]
        /// ('back.darts[0].intake', 'hem_girth')
        /// >>> rates.row("hem")
        /// Traceback (most recent call last):
        /// kirtle.InputError: quantity: "hem" is not one of 92 names: did you mean hem_girth, ...
        fn row(&self, quantity: &str) -> PyResult<usize> { Ok(find_quantity_index(&self.inner.quantities, quantity)?) }

        /// Return the derivative of a quantity with respect to an input, both given by name.
        ///
        /// Raises `InputError` for an unknown name.
        fn __getitem__(&self, names: (String, String)) -> PyResult<f64> { Ok(self.inner.derivative(&names.0, &names.1)?) }

        fn __reduce__(&self) -> &PickleDraftCall { &self.origin }
    }
}

/// Standard errors of the inputs of a draft, with or without correlation.
///
/// The mapping gives the standard error of each input by name, such as `body.waist`, in `unit`, by default the unit of
/// `Draft.uncertainty`. The errors are independent; `with_covariance` gives correlated errors.
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
pub(crate) struct StandardErrors(pub(super) sensitivity::StandardErrors);

python_class! { StandardErrors as errors;
    /// Names of the inputs that have a standard error.
    names: Vec<String> = errors.0.input_paths().to_vec();
    /// Unit of the errors of lengths, `cm`, `in` or `mm`; `None` for the unit of `Draft.uncertainty`.
    unit: Option<&'static str> = errors.0.unit.map(Unit::name);
    /// Covariance matrix of the inputs: one row and one column for each name.
    covariance: Vec<Vec<f64>> = errors.0.covariance_rows();
    text = {
        let unit = errors.unit().map(|unit| format!(", unit='{unit}'")).unwrap_or_default();
        if let Some(errors) = errors.0.independent_standard_errors() {
            let errors: Vec<_> = errors.iter().map(|(name, error)| format!("'{name}': {error:?}")).collect();
            format!("StandardErrors({{{}}}{unit})", errors.join(", "))
        } else {
            format!("StandardErrors.with_covariance({names:?}, {rows:?}{unit})", names = errors.names(), rows = errors.covariance())
        }
    };
    {
        /// Create independent errors from a mapping of input names to standard errors.
        #[new]
        #[pyo3(signature = (errors, *, unit = None))]
        pub(super) fn new(errors: InputNumbersArgument, unit: Option<&str>) -> PyResult<Self> {
            let errors: Vec<(&str, f64)> = errors.0.iter().map(|(name, error)| (name.as_str(), *error)).collect();
            Self::in_unit(sensitivity::StandardErrors::independent(&errors)?, unit)
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
        #[pyo3(signature = (names, rows, *, unit = None))]
        fn with_covariance(names: Vec<String>, rows: MatrixArgument, unit: Option<&str>) -> PyResult<Self> {
            let names: Vec<&str> = names.iter().map(String::as_str).collect();
            Self::in_unit(sensitivity::StandardErrors::with_covariance(&names, &rows.0)?, unit)
        }

        /// Return standard errors equal to the largest differences that ISO 20685 allows between two methods of
        /// measuring.
        ///
        /// These are 0.9 cm for girths, 0.5 cm for depths and 0.4 cm for lengths to the floor, converted to `unit`;
        /// arcs over the front get 0.9 cm (an assumption). An error of a measurement that a body lacks has no effect.
        #[staticmethod]
        #[pyo3(signature = (unit = "cm"))]
        fn iso_20685(unit: &str) -> PyResult<Self> { Ok(Self(sensitivity::StandardErrors::iso_20685(parse_table_unit(unit)?))) }

        fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, Bound<'py, PyAny>)> {
            let class = py.get_type::<Self>();
            let with_unit = |function| py.import("functools")?.getattr("partial")?.call((function,), Some(&[("unit", self.unit())].into_py_dict(py)?));
            if let Some(errors) = self.0.independent_standard_errors() {
                return Ok((with_unit(class.into_any())?, (errors.into_py_dict(py)?,).into_pyobject(py)?.into_any()));
            }
            Ok((with_unit(class.getattr("with_covariance")?)?, (self.names(), self.covariance()).into_pyobject(py)?.into_any()))
        }
    }
}

impl StandardErrors {
    /// Wraps standard errors in the unit called `unit`, or in that of the method that uses them for `None`.
    fn in_unit(mut errors: sensitivity::StandardErrors, unit: Option<&str>) -> PyResult<Self> {
        errors.unit = unit.map(parse_table_unit).transpose()?;
        Ok(Self(errors))
    }
}

argument_types! {
    /// Argument for standard errors, or for a mapping from the path of each input to its standard error.
    ErrorsArgument(sensitivity::StandardErrors) as type_hint_union!(
        <StandardErrors as pyo3::type_object::PyTypeInfo>::TYPE_HINT, mapping_of!(f64::OUTPUT_TYPE)
    ), |object| match object.cast::<StandardErrors>() {
        Ok(errors) => errors.get().0.clone(),
        Err(_) => StandardErrors::new(object.extract()?, None)?.0,
    };
}

/// Standard errors of every quantity of a draft as an Arrow table, and the error ellipses of its points.
///
/// Each row has `quantity`, `unit`, `value`, `standard_error`, `spread` and `mean`; one standard error is
/// `uncertainty["back.width"]`, one spread `uncertainty["back.width", "spread"]`. The table's metadata has the unit of
/// lengths, `kirtle.unit`, and `note`, `kirtle.note`.
///
/// Propagation is to first order, so the standard errors are accurate for small errors of inputs. If `note` says that
/// the number of darts changes within the errors, rely on `spread`, which is simulated.
#[pyclass(frozen, extends = Rows, module = "kirtle")]
pub(crate) struct Uncertainty {
    pub(super) inner: sensitivity::Uncertainty,
    pub(super) spread: sensitivity::Spread,
    pub(super) origin: PickleDraftCall,
}

python_class! { Uncertainty as result;
    /// Unit of all lengths: `cm` or `in`.
    unit: &'static str = result.inner.unit.name();
    /// Names of the quantities, such as `back.width`, in the order of the rows.
    quantities: Vec<String> = result.inner.quantities.iter().map(ToString::to_string).collect();
    /// Value of each quantity in the draft.
    values: Vec<f64> = result.inner.values.clone();
    /// Standard error of each quantity.
    standard_errors: Vec<f64> = result.inner.standard_errors.clone();
    /// Number of drafts with random errors that `spread` and `other_darts` come from.
    drafts: usize = result.spread.drafts;
    /// Standard deviation of each quantity over those drafts with random errors that have the quantity.
    spread: Vec<f64> = result.spread.standard_deviations.clone();
    /// Mean of each quantity over those drafts with random errors that have the quantity.
    mean: Vec<f64> = result.spread.means.clone();
    /// Number of drafts with random errors that have another number of darts than the draft.
    other_darts: usize = result.spread.other_darts;
    /// Number of drafts with random errors that are refused: an input is out of range, or the draft cannot be sewn.
    refused: usize = result.spread.refused;
    /// Shares of drafts with random errors that have another number of darts or are refused, measurements without an
    /// error, and errors of measurements that the body lacks, in words; empty if there are none.
    note: String = result.spread.note();
    /// Error ellipse of each named point of back and front.
    ellipses: Vec<Ellipse> = result.inner.ellipses.iter().copied().map(Ellipse).collect();
    repr = {
        let (unit, quantities, ellipses) = (result.unit(), result.inner.quantities.len(), result.inner.ellipses.len());
        let note = result.note();
        format!("Uncertainty(unit={unit:?}, quantities=[{quantities} items], ellipses=[{ellipses} items], note={note:?})")
    };
    hash = format!("{:?}", result.inner.standard_errors);
    equal other = result.inner == other.inner && result.spread.drafts == other.spread.drafts && result.note() == other.note();
    {
        /// Return the standard error of a quantity, given by name; with `uncertainty["back.width", "spread"]`, its
        /// spread, and with `"mean"` its mean over the drafts with random errors.
        ///
        /// Where `note` is not empty, a standard error may be far too small: take mean and spread.
        ///
        /// Raises `InputError` for an unknown name.
        fn __getitem__(&self, quantity: QuantityArgument) -> PyResult<f64> {
            let (quantity, column) = quantity.0;
            let columns = ["standard_error", "spread", "mean"];
            let find = |name| find_choice("column", Some(&name), None, &columns, |column| column).map_err(Problems::from);
            let row = find_quantity_index(&self.inner.quantities, &quantity)?;
            let numbers = match column.map(find).transpose()? {
                Some("spread") => &self.spread.standard_deviations,
                Some("mean") => &self.spread.means,
                _ => &self.inner.standard_errors,
            };
            Ok(numbers[row])
        }

        fn __reduce__(&self) -> &PickleDraftCall { &self.origin }
    }
}

/// Error ellipse of a point, with semi-axes one standard error long.
///
/// Coordinates are those of the panel, in the unit of the `Uncertainty` that contains the ellipse.
#[pyclass(frozen, eq, module = "kirtle")]
#[derive(PartialEq)]
pub(crate) struct Ellipse(sensitivity::ErrorEllipse);

python_class! { Ellipse as ellipse;
    /// Panel of the point: `back` or `front`.
    panel: &'static str = ellipse.0.half.name();
    /// Name of the point, such as `side_hip` or `dart_1_tip`.
    point: String = ellipse.0.point.to_string();
    /// Coordinates of the point in the draft, which are the centre of the ellipse.
    centre: (f64, f64) = (ellipse.0.centre.x, ellipse.0.centre.y);
    /// Lengths of the semi-axes, the longer first.
    semi_axes: (f64, f64) = ellipse.0.semi_axes.into();
    /// Angle in degrees from the x axis to the longer axis of the ellipse, positive towards the y axis.
    angle_deg: f64 = ellipse.0.angle_deg;
    text = {
        let (panel, point, centre) = (ellipse.panel(), ellipse.point(), ellipse.centre());
        let (semi_axes, angle_deg) = (ellipse.semi_axes(), ellipse.angle_deg());
        format!("Ellipse({panel}.{point}, centre={centre:?}, semi_axes={semi_axes:?}, angle_deg={angle_deg:?})")
    };
    {
        /// Return the factor by which to multiply the semi-axes, so that the ellipse contains the point with the given
        /// probability.
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
        fn growth(probability: f64) -> PyResult<f64> { Ok(sensitivity::ErrorEllipse::semi_axis_factor_for_probability(probability)?) }
    }
}

/// Values of one input for which a draft has the wanted quantity, number of darts or girth, found by `Draft.seek`.
///
/// Lengths are in `unit`, the unit of the call.
#[pyclass(frozen, module = "kirtle")]
pub(crate) struct Solutions {
    pub(super) inner: sensitivity::Solutions,
    pub(super) unit: Unit,
    pub(super) origin: PickleDraftCall,
}

python_class! { Solutions as solutions;
    /// Name of the input, such as `ease.hip`.
    input: &str = &solutions.inner.input.path;
    /// Solution nearest to the value of the input in the original draft.
    value: f64 = solutions.inner.input.value;
    /// Smallest and largest solution of the interval of solutions around `value`; equal for an isolated solution.
    interval: (f64, f64) = solutions.inner.interval;
    /// One solution of each other interval of solutions, in ascending order; empty if there is no other interval.
    others: Vec<f64> = solutions.inner.others.clone();
    /// Unit of all lengths: `cm` or `in`.
    unit: &'static str = solutions.unit.name();
    /// Draft with the input at `value`.
    draft: Draft = Draft::from_library_draft(&solutions.inner.draft, solutions.unit);
    text = {
        let sensitivity::Solutions { input, interval, others, .. } = &solutions.inner;
        format!("Solutions(input={path:?}, value={value:?}, interval={interval:?}, others={others:?})", path = input.path, value = input.value)
    };
    equal other = solutions.inner == other.inner && solutions.unit == other.unit;
    {
        fn __reduce__(&self) -> &PickleDraftCall { &self.origin }
    }
}

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
    pub(super) inner: ease_profile::EaseByLevel,
    pub(super) findings: Vec<Finding>,
    pub(super) origin: PickleDraftCall,
}

python_class! { EaseByLevel as ease;
    /// Unit of all lengths: `cm` or `in`.
    unit: &'static str = ease.inner.unit.name();
    /// Level of the hip line: its distance below the waist at the side.
    hip_line: f64 = ease.inner.hip_line;
    /// Distance of each level below the waist at the side, in ascending order.
    levels: Vec<f64> = ease.inner.levels.iter().map(|level| level.level).collect();
    /// Girth of the garment at each level.
    garment: Vec<f64> = ease.inner.levels.iter().map(|level| level.garment).collect();
    /// Girth of the body at each level; below the hip line the hip girth.
    body: Vec<f64> = ease.inner.levels.iter().map(|level| level.body).collect();
    /// Ease at each level: the garment's girth minus the body's girth.
    ease: Vec<f64> = ease.inner.levels.iter().map(GirthsAtLevel::ease).collect();
    /// Level of the least ease between waist and hip line, and the ease at this level.
    tightest: (f64, f64) = (ease.inner.tightest.level, ease.inner.tightest.ease());
    /// Level of the greatest ease between waist and hip line, and the ease at this level.
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
        fn __reduce__(&self) -> &PickleDraftCall { &self.origin }
    }
}
