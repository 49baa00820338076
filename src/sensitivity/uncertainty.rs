//! How exact a draft can be, when its measurements are not.

use nalgebra::DMatrix;

use super::{Quantity, Sensitivity, StandardErrors, find};
use crate::draft::{Draft, Half, NamedPoint};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::geometry::Point;

/// The row of a probability; an ellipse for all points would have no end.
const PROBABILITY: Field =
    Field::new("probability", "That a point lies within.", FieldKind::Ratio, (0.0, 0.999_999), (0.0, 0.999_999));

/// The standard errors of a draft's numbers, and an ellipse for each of its points: to first order, by the exact derivatives.
///
/// That is right for errors that are small beside what bends the draft; where darts appear or a limit of the rules is met
/// within the errors, draft many bodies instead.
#[derive(Clone, Debug, PartialEq)]
pub struct Uncertainty {
    /// The unit of lengths.
    pub unit: Unit,
    /// The numbers of the draft.
    pub quantities: Vec<Quantity>,
    /// Their values.
    pub values: Vec<f64>,
    /// Their standard errors.
    pub standard_errors: Vec<f64>,
    /// One for each named point.
    pub ellipses: Vec<Ellipse>,
}

/// Where a point may lie: the ellipse of one standard error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ellipse {
    /// The panel that the point is on.
    pub half: Half,
    /// Which point it is.
    pub spot: NamedPoint,
    /// Where it is drafted.
    pub centre: Point,
    /// The longer half axis, and the shorter.
    pub semi_axes: [f64; 2],
    /// From the direction of `x` to that of the longer axis, turning towards `y`; above −90 and up to 90 degrees.
    pub angle_deg: f64,
}

impl Draft {
    /// The standard errors of every number of this draft, and the ellipses of its points, all in `unit`, where its inputs have
    /// these errors, which are in `unit`, too.
    ///
    /// # Errors
    /// [`Code::UnknownChoice`] for each name that is not that of an input of this draft.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules, Unit};
    /// use kirtle::sensitivity::StandardErrors;
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let uncertainty = draft.uncertainty(&StandardErrors::iso_20685(Unit::Cm), Unit::Cm)?;
    /// // A hip that is wrong by 9 mm makes each panel wrong by a quarter of it.
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
            return Err(Problem::new(Code::Missing, "errors").with_limit("the error of one input at least").into());
        }
        Ok(Uncertainty::new(self.sensitivity(&names)?.in_unit(unit), &errors.factor()))
    }
}

impl Uncertainty {
    fn new(sensitivity: Sensitivity, factor: &DMatrix<f64>) -> Self {
        let Sensitivity { unit, inputs, quantities, values, derivatives } = sensitivity;
        // Of each number a row of what independent errors of one would make of it.
        let spread = DMatrix::from_row_slice(quantities.len(), inputs.len(), &derivatives) * factor;
        let standard_errors = spread.row_iter().map(|row| row.norm()).collect();
        let mut ellipses = Vec::new();
        for (x, quantity) in quantities.iter().enumerate() {
            // The coordinates of a point stand side by side, x first.
            let next = quantities.get(x + 1).and_then(Quantity::point);
            if let Some((half, spot)) = quantity.point().filter(|point| next == Some(*point)) {
                let (along, down) = (spread.row(x), spread.row(x + 1));
                let covariance = [along.dot(&along), along.dot(&down), down.dot(&down)];
                ellipses.push(Ellipse::new(half, spot, Point::new(values[x], values[x + 1]), covariance));
            }
        }
        Self { unit, quantities, values, standard_errors, ellipses }
    }

    /// The standard error of a number by its name.
    ///
    /// # Errors
    /// [`Code::UnknownChoice`] for a name that is none of the numbers.
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
        Ok(self.standard_errors[find(&self.quantities, quantity)?])
    }
}

impl Ellipse {
    /// The ellipse of a point by the variance of its `x`, its covariance, and the variance of its `y`.
    fn new(half: Half, spot: NamedPoint, centre: Point, [xx, xy, yy]: [f64; 3]) -> Self {
        let (mean, half_difference) = (f64::midpoint(xx, yy), (xx - yy) / 2.0);
        let reach = (half_difference * half_difference + xy * xy).sqrt();
        let semi_axes = [mean + reach, (mean - reach).max(0.0)].map(f64::sqrt);
        let angle_deg = libm::atan2(xy, half_difference).to_degrees() / 2.0;
        Self { half, spot, centre, semi_axes, angle_deg }
    }

    /// By how much the half axes grow so that the ellipse holds the point with this probability if the errors are normally
    /// distributed: √(−2 ln(1 − p)).
    ///
    /// # Errors
    /// [`Code::NotFinite`], [`Code::BelowMinimum`] or [`Code::AboveMaximum`] for a probability that is not from 0 to 0.999999.
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
        Problems::ok_if_empty(PROBABILITY.check("", probability, Unit::Cm).into_iter().collect())?;
        Ok((-2.0 * libm::log1p(-probability)).sqrt())
    }
}
