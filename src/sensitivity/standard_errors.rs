//! Measurement errors of the inputs of a draft, independent or with a covariance matrix, for error propagation.

use nalgebra::{DMatrix, SymmetricEigen};

use super::to_draft_input;
use crate::body::{FIGURE_PATH_PREFIX, Figure, InputNumber};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};

/// Paths of measurements, each with the largest mean difference of body scan and tape that ISO 20685 allows, in cm.
///
/// ISO 20685 allows 9 mm for large girths, 5 mm for segments such as waist to hip and 4 mm for heights such as a length
/// to the floor. Arcs over the front are not in it: they get the error of girths (an assumption). The length of a skirt
/// is chosen, not measured, and has no error.
const ISO_20685_MAX_ERRORS_CM: [(&str, f64); 10] = [
    ("body.waist", 0.9),
    ("body.hip", 0.9),
    ("body.hip_depth", 0.5),
    ("body.figure.front_length", 0.4),
    ("body.figure.side_length", 0.4),
    ("body.figure.back_length", 0.4),
    ("body.figure.front_hip", 0.9),
    ("body.figure.front_waist", 0.9),
    ("body.figure.high_hip", 0.9),
    ("body.figure.high_hip_depth", 0.5),
];

const STANDARD_ERROR_FIELD: Field =
    Field::new("", "Standard error of an input, in the unit of the input.", FieldKind::Ratio, (0.0, 1000.0));

/// Largest asymmetry or negative eigenvalue of a covariance matrix that counts as rounding, relative to the largest
/// |entry|.
const RELATIVE_COVARIANCE_TOLERANCE: f64 = 1e-12;

/// Standard errors of inputs of a draft, stored as a covariance matrix.
#[derive(Clone, Debug, PartialEq)]
pub struct StandardErrors {
    pub(super) names: Vec<String>,
    pub(super) covariance: DMatrix<f64>,
    /// Independent standard errors, exactly as given; `None` for errors given as a covariance matrix.
    independent: Option<Vec<f64>>,
    /// Unit of the errors of lengths; `None` for the unit of the method that uses them.
    pub unit: Option<Unit>,
}

impl StandardErrors {
    /// Creates independent standard errors from pairs of an input's path and the input's standard error.
    ///
    /// # Errors
    /// [`Code::NotFinite`], [`Code::BelowMinimum`] or [`Code::AboveMaximum`] for a standard error that is not from 0 to
    /// 1000, [`Code::DuplicateField`] for a repeated input.
    ///
    /// ```
    /// use kirtle::Code;
    /// use kirtle::sensitivity::StandardErrors;
    ///
    /// let errors = StandardErrors::independent(&[("body.waist", 0.5), ("body.hip", 0.7)])?;
    /// assert_eq!(errors.covariance_rows()[1][1], 0.7 * 0.7);
    /// let problems = StandardErrors::independent(&[("body.waist", -0.5)]).unwrap_err();
    /// assert_eq!(problems.to_string(), "errors.body.waist: -0.5 is below the minimum of 0");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn independent(errors: &[(&str, f64)]) -> Result<Self, Problems> {
        let problem = |(index, (name, error)): (usize, &(&str, f64))| {
            let field = format!("errors.{name}");
            if errors[..index].iter().any(|(other, _)| other == name) {
                return Some(Problem::new(Code::DuplicateField, field));
            }
            STANDARD_ERROR_FIELD.range_problem(&field, *error, Unit::Cm)
        };
        Problems::ok_if_empty(errors.iter().enumerate().filter_map(problem))?;
        Ok(Self::from_independent(errors))
    }

    /// Creates correlated errors from a covariance matrix with one row and one column for each named input.
    ///
    /// # Errors
    /// [`Code::WrongType`] for a matrix that is not square or does not match the number of names, [`Code::NotFinite`]
    /// for an infinite or NaN entry, [`Code::NotACovariance`] for a matrix that is not symmetric and positive
    /// semidefinite.
    ///
    /// ```
    /// use kirtle::Code;
    /// use kirtle::sensitivity::StandardErrors;
    ///
    /// let names = ["body.waist", "body.hip"];
    /// StandardErrors::with_covariance(&names, &[vec![0.25, 0.2], vec![0.2, 0.49]])?;
    /// let problems = StandardErrors::with_covariance(&names, &[vec![0.25, 0.4], vec![0.4, 0.49]]).unwrap_err();
    /// assert_eq!(problems[0].code, Code::NotACovariance);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn with_covariance(names: &[&str], rows: &[Vec<f64>]) -> Result<Self, Problems> {
        let size = names.len();
        let expected = format!("{size} rows of {size} finite numbers");
        let problem = |code, value: String| Problem::new(code, "covariance").with_value(value);
        let wrong_row = rows.iter().zip(1..).find(|(row, _)| row.len() != size);
        let wrong_shape = if rows.len() == size {
            wrong_row.map(|(row, number)| format!("a list whose row {number} has length {}", row.len()))
        } else {
            Some(format!("a list of length {}", rows.len()))
        };
        if let Some(value) = wrong_shape {
            return Err(problem(Code::WrongType, value).with_limit(expected).into());
        }
        let covariance = DMatrix::from_fn(size, size, |row, column| rows[row][column]);
        if let Some(number) = covariance.iter().find(|number| !number.is_finite()) {
            return Err(problem(Code::NotFinite, number.to_string()).with_limit(expected).into());
        }
        if let Some(reason) = why_not_covariance_matrix(names, &covariance) {
            return Err(problem(Code::NotACovariance, reason).into());
        }
        let names = names.iter().map(|name| (*name).to_owned()).collect();
        Ok(Self { names, covariance, independent: None, unit: None })
    }

    /// Returns example standard errors of every measurement of body and figure in `unit`: the largest differences
    /// between a body scan and a tape measure that ISO 20685 allows; for an arc over the front that of a girth (an
    /// assumption).
    pub fn iso_20685(unit: Unit) -> Self {
        let errors = ISO_20685_MAX_ERRORS_CM.map(|(name, error)| (name, unit.length_from_cm(error)));
        Self { unit: Some(unit), ..Self::from_independent(&errors) }
    }

    fn from_independent(errors: &[(&str, f64)]) -> Self {
        let (names, errors): (_, Vec<f64>) = errors.iter().map(|(name, error)| ((*name).to_owned(), *error)).unzip();
        let variances: Vec<f64> = errors.iter().map(|error| error * error).collect();
        Self { names, covariance: DMatrix::from_diagonal(&variances.into()), independent: Some(errors), unit: None }
    }

    /// Returns the paths of the inputs that have an error, such as `body.waist`.
    pub fn input_paths(&self) -> &[String] {
        &self.names
    }

    /// Returns the covariance matrix as a list of rows; rows and columns are in the order of
    /// [`input_paths`](Self::input_paths).
    pub fn covariance_rows(&self) -> Vec<Vec<f64>> {
        self.covariance.row_iter().map(|row| row.iter().copied().collect()).collect()
    }

    /// Returns each input's path with its standard error, or `None` for errors given as a covariance matrix.
    pub fn independent_standard_errors(&self) -> Option<Vec<(&str, f64)>> {
        let errors = self.independent.as_ref()?.iter();
        Some(self.names.iter().map(String::as_str).zip(errors.copied()).collect())
    }

    /// Returns paths and covariance in `unit`, without the measurements of a figure that are missing among the `inputs`
    /// of a draft.
    pub(super) fn of_measurements_in(&self, inputs: &[InputNumber<f64>], unit: Unit) -> Self {
        let is_missing = |path: &String| {
            let name = path.strip_prefix(FIGURE_PATH_PREFIX);
            let is_in_inputs =
                inputs.iter().any(|(prefix, field, _)| prefix == FIGURE_PATH_PREFIX && name == Some(field.name));
            !is_in_inputs && Figure::FIELDS.iter().any(|field| name == Some(field.name))
        };
        let kept: Vec<usize> = (0..self.names.len()).filter(|k| !is_missing(&self.names[*k])).collect();
        let names: Vec<String> = kept.iter().map(|k| self.names[*k].clone()).collect();
        let factor = |path: &String| {
            let input = inputs.iter().map(to_draft_input).find(|input| input.path == *path)?;
            Some(input.field.kind.cm_per_unit(self.unit?) / input.field.kind.cm_per_unit(unit))
        };
        let factors =
            DMatrix::from_diagonal(&names.iter().map(|path| factor(path).unwrap_or(1.0)).collect::<Vec<_>>().into());
        let covariance = &factors * self.covariance.select_rows(&kept).select_columns(&kept) * &factors;
        Self { names, covariance, independent: None, unit: Some(unit) }
    }

    /// Returns a note on the errors that are not among the `kept` errors of a draft, as its body lacks the measurements.
    pub(super) fn no_effect_note(&self, kept: &Self) -> Option<String> {
        let lacking =
            self.names.iter().filter(|path| !kept.names.contains(path)).map(String::as_str).collect::<Vec<_>>();
        let all = lacking.len() == Figure::FIELDS.len();
        let names = if all { "every measurement of the figure".to_owned() } else { lacking.join(", ") };
        (!lacking.is_empty()).then(|| format!("not measured on this body, so without effect: {names}"))
    }

    /// Returns a matrix `F` with `F Fᵀ` equal to the covariance matrix.
    pub(super) fn square_root_of_covariance(&self) -> DMatrix<f64> {
        let SymmetricEigen { eigenvectors, eigenvalues } = SymmetricEigen::new(self.covariance.clone());
        eigenvectors * DMatrix::from_diagonal(&eigenvalues.map(|variance| variance.max(0.0).sqrt()))
    }
}

/// Explains why a matrix is not symmetric or not positive semidefinite; returns `None` for a covariance matrix.
fn why_not_covariance_matrix(names: &[&str], covariance: &DMatrix<f64>) -> Option<String> {
    let largest = covariance.amax();
    for row in 0..names.len() {
        for column in 0..row {
            let [lower, upper] = [covariance[(row, column)], covariance[(column, row)]];
            if (lower - upper).abs() > RELATIVE_COVARIANCE_TOLERANCE * largest {
                let (row, column) = (names[row], names[column]);
                return Some(format!(
                    "not symmetric: entry ({row}, {column}) is {lower}, but ({column}, {row}) is {upper}"
                ));
            }
        }
    }
    let SymmetricEigen { eigenvectors, eigenvalues } = SymmetricEigen::new(covariance.clone());
    let (index, variance) = eigenvalues.iter().copied().enumerate().min_by(|a, b| a.1.total_cmp(&b.1))?;
    let factors = eigenvectors.column(index);
    let first = factors.iter().find(|factor| **factor != 0.0).map_or(1.0, |factor| factor.signum());
    let term = |(name, factor): (&&str, &f64)| format!("{:+.2} {name}", factor * first);
    let weighted_sum = names.iter().zip(factors.iter()).map(term).collect::<Vec<_>>().join(" ");
    (variance < -RELATIVE_COVARIANCE_TOLERANCE * largest)
        .then(|| format!("the variance of {weighted_sum} would be negative, {variance:.3}"))
}
