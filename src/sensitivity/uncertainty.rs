//! Propagation of measurement errors of the inputs of a draft to its quantities and points, to first order.

use nalgebra::DMatrix;

use super::{QuantityId, Sensitivity, StandardErrors, find_quantity_index};
use crate::draft::{Draft, Half, PointName};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::geometry::Point;

/// Description and range of the probability that an error ellipse contains its point; a probability of 1 would need an
/// infinite ellipse.
const ELLIPSE_PROBABILITY_FIELD: Field =
    Field::new("probability", "Probability that the ellipse contains the point.", FieldKind::Ratio, (0.0, 0.999_999));

/// Standard errors of the quantities of a draft, and error ellipses of its named points.
///
/// The errors are propagated to first order with exact derivatives. The result is valid for small errors. Where the
/// errors are large enough to change the number of darts or the active limits of the rules, use [`Draft::spread`]
/// instead.
#[derive(Clone, Debug, PartialEq)]
pub struct Uncertainty {
    /// Unit of all lengths in this result.
    pub unit: Unit,
    /// Identifiers of the quantities of the draft, in the order of `values` and `standard_errors`.
    pub quantities: Vec<QuantityId>,
    /// Value of each quantity in the draft, in the order of `quantities`.
    pub values: Vec<f64>,
    /// Standard error of each quantity, in the order of `quantities`.
    pub standard_errors: Vec<f64>,
    /// Error ellipses, one for each named point of each panel.
    pub ellipses: Vec<ErrorEllipse>,
}

/// Error ellipse of a named point of a panel: each semi-axis is the standard error along that axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ErrorEllipse {
    /// Panel of the point.
    pub half: Half,
    /// Name of the point.
    pub point: PointName,
    /// Position of the point without errors, in panel coordinates: the centre of the ellipse.
    pub centre: Point,
    /// Lengths of the semi-major and the semi-minor axis, in the unit of the [`Uncertainty`]: standard errors of the
    /// point along these axes.
    pub semi_axes: [f64; 2],
    /// Angle from the `x` axis to the major axis in degrees, positive towards `y`, above −90° and at most 90°.
    pub angle_deg: f64,
}

impl Draft {
    /// Propagates measurement errors of the inputs to every quantity and named point of this draft. The result is in
    /// `unit`, and so are errors without a unit. An error of a measurement of the figure that the body lacks has no
    /// effect.
    ///
    /// # Errors
    /// [`Code::UnknownChoice`] for each path in `errors` that is not an input of this draft, [`Code::Missing`] if
    /// `errors` has none that counts.
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
        let (given, errors) = (errors, errors.of_measurements_in(&self.inputs.input_numbers(), unit));
        let names: Vec<&str> = errors.input_paths().iter().map(String::as_str).collect();
        if names.is_empty() {
            let problem = Problem::new(Code::Missing, "errors");
            let note = given.no_effect_note(&errors).map(|note| format!("; {note}")).unwrap_or_default();
            return Err(problem.with_limit(format!("the standard error of at least one input{note}")).into());
        }
        let Sensitivity { quantities, values, derivatives, .. } = self.sensitivity(&names)?.in_unit(unit);
        // Row k: changes of quantity k with each of several independent errors of variance 1.
        let effects =
            DMatrix::from_row_slice(quantities.len(), names.len(), &derivatives) * errors.square_root_of_covariance();
        let standard_errors = effects.row_iter().map(|row| row.norm()).collect();
        let mut ellipses = Vec::new();
        for (x, quantity) in quantities.iter().enumerate() {
            // The y coordinate of a point follows its x coordinate.
            let next = quantities.get(x + 1).and_then(QuantityId::panel_and_point_of_coordinate);
            if let Some((half, point)) = quantity.panel_and_point_of_coordinate().filter(|point| next == Some(*point)) {
                let (x_row, y_row) = (effects.row(x), effects.row(x + 1));
                let covariance = [x_row.dot(&x_row), x_row.dot(&y_row), y_row.dot(&y_row)];
                ellipses.push(ErrorEllipse::new(half, point, Point::new(values[x], values[x + 1]), covariance));
            }
        }
        Ok(Uncertainty { unit, quantities, values, standard_errors, ellipses })
    }
}

impl Uncertainty {
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
        Ok(self.standard_errors[find_quantity_index(&self.quantities, quantity)?])
    }
}

impl ErrorEllipse {
    /// Creates the ellipse of a point from the variance of `x`, the covariance of `x` and `y`, and the variance of `y`.
    fn new(half: Half, point: PointName, centre: Point, [xx, xy, yy]: [f64; 3]) -> Self {
        let (mean, half_difference) = (f64::midpoint(xx, yy), (xx - yy) / 2.0);
        let radius = (half_difference * half_difference + xy * xy).sqrt();
        let semi_axes = [mean + radius, (mean - radius).max(0.0)].map(f64::sqrt);
        let angle_deg = libm::atan2(xy, half_difference).to_degrees() / 2.0;
        Self { half, point, centre, semi_axes, angle_deg }
    }

    /// Returns √(−2 ln(1 − p)), the factor by which to multiply the semi-axes so that the ellipse contains the point
    /// with probability p. The errors are assumed to be normally distributed.
    ///
    /// # Errors
    /// [`Code::NotFinite`], [`Code::BelowMinimum`] or [`Code::AboveMaximum`] for a p that is not from 0 to 0.999999.
    ///
    /// ```
    /// use kirtle::sensitivity::ErrorEllipse;
    ///
    /// assert!((ErrorEllipse::semi_axis_factor_for_probability(0.95)? - 2.4477).abs() < 1e-4);
    /// let problems = ErrorEllipse::semi_axis_factor_for_probability(1.0).unwrap_err();
    /// assert_eq!(problems.to_string(), "probability: 1 is above the maximum of 0.999999");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn semi_axis_factor_for_probability(p: f64) -> Result<f64, Problems> {
        Problems::ok_if_empty(ELLIPSE_PROBABILITY_FIELD.range_problem("", p, Unit::Cm))?;
        Ok((-2.0 * libm::log1p(-p)).sqrt())
    }
}
