//! How exact the measurements are: standard errors, each for itself or with covariances.

use nalgebra::{DMatrix, SymmetricEigen};

use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};

/// The largest mean errors between two ways of measuring that ISO 20685 allows, in centimetres: 9 mm for large girths, 4 mm for
/// heights, 5 mm for segments such as from waist to hip. The length of a skirt is chosen, and not measured.
const ISO_20685: [(&str, f64); 3] = [("body.waist", 0.9), ("body.hip", 0.9), ("body.hip_depth", 0.5)];

/// The row of a standard error, which has no name of its own.
const ERROR: Field = Field::new("", "Standard error of an input.", FieldKind::Ratio, (0.0, 1000.0), (0.0, 1000.0));

/// By how much a variance may come out below zero, for the largest, through rounding.
const ROUNDING: f64 = 1e-12;

/// The errors of inputs: their names and their covariance.
#[derive(Clone, Debug, PartialEq)]
pub struct StandardErrors {
    pub(super) names: Vec<String>,
    pub(super) covariance: DMatrix<f64>,
    /// As they were given, where they are independent: the root of a square may be off in its last bit.
    independent: Option<Vec<f64>>,
}

impl StandardErrors {
    /// Errors that are independent of each other: the standard error of each input.
    ///
    /// # Errors
    /// [`Code::NotFinite`], [`Code::BelowMinimum`] or [`Code::AboveMaximum`] for a standard error that is not a number from 0 to 1000,
    /// [`Code::DuplicateField`] for an input that is named twice.
    ///
    /// ```
    /// use kirtle::Code;
    /// use kirtle::sensitivity::StandardErrors;
    ///
    /// let errors = StandardErrors::independent(&[("body.waist", 0.5), ("body.hip", 0.7)])?;
    /// assert_eq!(errors.variance("body.hip"), Some(0.7 * 0.7));
    /// let problems = StandardErrors::independent(&[("body.waist", -0.5)]).unwrap_err();
    /// assert_eq!(problems.to_string(), "errors.body.waist: -0.5 is below the minimum of 0");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn independent(errors: &[(&str, f64)]) -> Result<Self, Problems> {
        let problem = |(place, (name, error)): (usize, &(&str, f64))| {
            let field = format!("errors.{name}");
            if errors[..place].iter().any(|(other, _)| other == name) {
                return Some(Problem::new(Code::DuplicateField, field));
            }
            ERROR.check(&field, *error, Unit::Cm)
        };
        Problems::ok_if_empty(errors.iter().enumerate().filter_map(problem).collect())?;
        Ok(Self::of_independent(errors))
    }

    /// Errors with a covariance: a row and a column for each input.
    ///
    /// # Errors
    /// [`Code::WrongType`] for other than so many rows and columns as there are names; [`Code::NotFinite`];
    /// [`Code::NotACovariance`] where it is not its own mirror image, or would give some sum of the inputs a variance below zero.
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
        let wanted = format!("{size} rows of {size} finite numbers");
        let problem = |code, value: String| Problem::new(code, "covariance").with_value(value);
        if rows.len() != size || rows.iter().any(|row| row.len() != size) {
            let lengths: Vec<_> = rows.iter().map(|row| row.len().to_string()).collect();
            let value = format!("a list of {} rows of {} numbers", rows.len(), lengths.join(", "));
            return Err(problem(Code::WrongType, value).with_limit(wanted).into());
        }
        let covariance = DMatrix::from_fn(size, size, |row, column| rows[row][column]);
        if let Some(number) = covariance.iter().find(|number| !number.is_finite()) {
            return Err(problem(Code::NotFinite, number.to_string()).with_limit(wanted).into());
        }
        if let Some(reason) = not_a_covariance(names, &covariance) {
            return Err(problem(Code::NotACovariance, reason).into());
        }
        Ok(Self { names: names.iter().map(|name| (*name).to_owned()).collect(), covariance, independent: None })
    }

    /// The largest errors that ISO 20685 allows between two ways of measuring, taken as standard errors, of waist, hip and hip
    /// depth: an example of how exact a scan and a tape are to each other. In `unit`.
    #[must_use]
    pub fn iso_20685(unit: Unit) -> Self {
        Self::of_independent(&ISO_20685.map(|(name, error)| (name, unit.length_from_cm(error))))
    }

    fn of_independent(errors: &[(&str, f64)]) -> Self {
        let variances = errors.iter().map(|(_, error)| error * error).collect::<Vec<_>>();
        Self {
            names: errors.iter().map(|(name, _)| (*name).to_owned()).collect(),
            covariance: DMatrix::from_diagonal(&variances.into()),
            independent: Some(errors.iter().map(|(_, error)| *error).collect()),
        }
    }

    /// The inputs that have an error.
    #[must_use]
    pub fn names(&self) -> &[String] {
        &self.names
    }

    /// The variance of an input, if it has one.
    #[must_use]
    pub fn variance(&self, name: &str) -> Option<f64> {
        let place = self.names.iter().position(|known| known == name)?;
        Some(self.covariance[(place, place)])
    }

    /// The covariance in rows.
    #[must_use]
    pub fn rows(&self) -> Vec<Vec<f64>> {
        self.covariance.row_iter().map(|row| row.iter().copied().collect()).collect()
    }

    /// The standard error of each input, where they were given as independent ones.
    #[must_use]
    pub fn independent_errors(&self) -> Option<Vec<(&str, f64)>> {
        let errors = self.independent.as_ref()?.iter();
        Some(self.names.iter().map(String::as_str).zip(errors.copied()).collect())
    }

    /// A factor of the covariance: it times its own mirror image.
    pub(super) fn factor(&self) -> DMatrix<f64> {
        let SymmetricEigen { eigenvectors, eigenvalues } = SymmetricEigen::new(self.covariance.clone());
        eigenvectors * DMatrix::from_diagonal(&eigenvalues.map(|variance| variance.max(0.0).sqrt()))
    }
}

/// Why a matrix is not a covariance, if it is not.
fn not_a_covariance(names: &[&str], covariance: &DMatrix<f64>) -> Option<String> {
    let largest = covariance.amax();
    for row in 0..names.len() {
        for column in 0..row {
            let [below, above] = [covariance[(row, column)], covariance[(column, row)]];
            if (below - above).abs() > ROUNDING * largest {
                return Some(format!(
                    "{} with {} is {below}, and the other way round {above}",
                    names[row], names[column]
                ));
            }
        }
    }
    let SymmetricEigen { eigenvectors, eigenvalues } = SymmetricEigen::new(covariance.clone());
    let (place, min) = eigenvalues.iter().copied().enumerate().min_by(|a, b| a.1.total_cmp(&b.1))?;
    let factors = eigenvectors.column(place);
    let first = factors.iter().find(|factor| **factor != 0.0).map_or(1.0, |factor| factor.signum());
    let term = |(name, factor): (&&str, &f64)| format!("{:+.2} {name}", factor * first);
    let sum = || names.iter().zip(factors.iter()).map(term).collect::<Vec<_>>().join(" ");
    (min < -ROUNDING * largest).then(|| format!("{} would have the variance {min:.3}", sum()))
}
