//! Propagation of measurement errors to the quantities and points of a draft, to first order.

use nalgebra::DMatrix;

use super::{Quantity, Sensitivity, StandardErrors, quantity_index};
use crate::draft::{Draft, Half, NamedPoint};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::geometry::Point;

/// Range of a probability; an ellipse with probability 1 would be infinite.
const PROBABILITY_FIELD: Field = Field::new(
    "probability",
    "Probability that the ellipse contains the point.",
    FieldKind::Ratio,
    (0.0, 0.999_999),
    (0.0, 0.999_999),
);

/// Standard errors of the quantities of a draft, and error ellipses of its named points.
///
/// The errors are propagated to first order with exact derivatives. The result is valid for small errors. Where the
/// errors are large enough to change the number of darts or the active limits of the rules, draft many bodies instead.
#[derive(Clone, Debug, PartialEq)]
pub struct Uncertainty {
    /// Unit of all lengths.
    pub unit: Unit,
    /// Identifiers of the draft's quantities; `values` and `standard_errors` follow their order.
    pub quantities: Vec<Quantity>,
    /// Values of the quantities, in the order of `quantities`.
    pub values: Vec<f64>,
    /// Standard errors of the quantities, in the order of `quantities`.
    pub standard_errors: Vec<f64>,
    /// Error ellipses, one for each named point of each panel.
    pub ellipses: Vec<Ellipse>,
}

/// Error ellipse of a named point, at one standard error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ellipse {
    /// Panel of the point.
    pub half: Half,
    /// Name of the point.
    pub point: NamedPoint,
    /// Drafted position of the point: the centre of the ellipse.
    pub centre: Point,
    /// Lengths of the semi-major axis and of the semi-minor axis, at one standard error.
    pub semi_axes: [f64; 2],
    /// Angle from the `x` axis to the major axis, positive towards `y`, above −90° and at most 90°.
    pub angle_deg: f64,
}

impl Draft {
    /// Propagates measurement errors of the inputs to every quantity and named point of this draft. The errors and the
    /// result are in `unit`.
    ///
    /// # Errors
    /// [`Code::UnknownChoice`] for each path in `errors` that is not an input of this draft, [`Code::Missing`] if
    /// `errors` is empty.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules, Unit};
    /// use kirtle::sensitivity::StandardErrors;
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let uncertainty = draft.uncertainty(&StandardErrors::iso_20685(Unit::Cm), Unit::Cm)?;
    /// // An error of 9 mm in the hip gives each panel width a quarter of that error.
    /// assert!((uncertainty.standard_error("back.width")? - 0.225).abs() < 1e-12);
    /// assert!(uncertainty.standard_error("back.knee").is_err());
    ///
    /// let errors = StandardErrors::independent(&[("body.knee", 0.5)])?;
    /// assert!(draft.uncertainty(&errors, Unit::Cm).is_err());
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn uncertainty(&self, errors: &StandardErrors, unit: Unit) -> Result<Uncertainty, Problems> {
        let names: Vec<&str> = errors.names().iter().map(String::as_str).collect();
        if names.is_empty() {
            return Err(Problem::new(Code::Missing, "errors")
                .with_limit("the standard error of at least one input")
                .into());
        }
        Ok(Uncertainty::new(self.sensitivity(&names)?.in_unit(unit), &errors.covariance_factor()))
    }
}

impl Uncertainty {
    fn new(sensitivity: Sensitivity, factor: &DMatrix<f64>) -> Self {
        let Sensitivity { unit, inputs, quantities, values, derivatives } = sensitivity;
        // Row k: the effect of independent errors with variance 1 on quantity k.
        let spread = DMatrix::from_row_slice(quantities.len(), inputs.len(), &derivatives) * factor;
        let standard_errors = spread.row_iter().map(|row| row.norm()).collect();
        let mut ellipses = Vec::new();
        for (x, quantity) in quantities.iter().enumerate() {
            // The y coordinate of a point follows its x coordinate.
            let next = quantities.get(x + 1).and_then(Quantity::coordinate_point);
            if let Some((half, point)) = quantity.coordinate_point().filter(|point| next == Some(*point)) {
                let (x_row, y_row) = (spread.row(x), spread.row(x + 1));
                let covariance = [x_row.dot(&x_row), x_row.dot(&y_row), y_row.dot(&y_row)];
                ellipses.push(Ellipse::new(half, point, Point::new(values[x], values[x + 1]), covariance));
            }
        }
        Self { unit, quantities, values, standard_errors, ellipses }
    }

    /// Returns the standard error of the named quantity.
    ///
    /// # Errors
    /// [`Code::UnknownChoice`] for an unknown quantity.
    ///
    /// ```
    /// use kirtle::{Body, Code, Ease, Rules, Unit};
    /// use kirtle::sensitivity::StandardErrors;
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let errors = StandardErrors::independent(&[("body.hip", 0.8)])?;
    /// let uncertainty = draft.uncertainty(&errors, Unit::Cm)?;
    /// assert!((uncertainty.standard_error("front.width")? - 0.2).abs() < 1e-12);
    /// assert_eq!(uncertainty.standard_error("front.knee").unwrap_err()[0].code, Code::UnknownChoice);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn standard_error(&self, quantity: &str) -> Result<f64, Problems> {
        Ok(self.standard_errors[quantity_index(&self.quantities, quantity)?])
    }
}

impl Ellipse {
    /// Creates the ellipse of a point from the variance of `x`, the covariance of `x` and `y`, and the variance of `y`.
    fn new(half: Half, point: NamedPoint, centre: Point, [xx, xy, yy]: [f64; 3]) -> Self {
        let (mean, half_difference) = (f64::midpoint(xx, yy), (xx - yy) / 2.0);
        let radius = (half_difference * half_difference + xy * xy).sqrt();
        let semi_axes = [mean + radius, (mean - radius).max(0.0)].map(f64::sqrt);
        let angle_deg = libm::atan2(xy, half_difference).to_degrees() / 2.0;
        Self { half, point, centre, semi_axes, angle_deg }
    }

    /// Returns the factor √(−2 ln(1 − p)) for the semi-axes: the scaled ellipse contains the point with probability p
    /// if the errors are normally distributed.
    ///
    /// # Errors
    /// [`Code::NotFinite`], [`Code::BelowMinimum`] or [`Code::AboveMaximum`] for a p that is not from 0 to 0.999999.
    ///
    /// ```
    /// use kirtle::sensitivity::Ellipse;
    ///
    /// assert!((Ellipse::growth(0.95)? - 2.4477).abs() < 1e-4);
    /// let problems = Ellipse::growth(1.0).unwrap_err();
    /// assert_eq!(problems.to_string(), "probability: 1 is above the maximum of 0.999999");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn growth(probability: f64) -> Result<f64, Problems> {
        Problems::ok_if_empty(PROBABILITY_FIELD.check("", probability, Unit::Cm).into_iter().collect())?;
        Ok((-2.0 * libm::log1p(-probability)).sqrt())
    }
}
