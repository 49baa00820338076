//! Loss functions: the cost of the difference between a person's girth and the girth of the assigned size. A loss is
//! never negative and never decreases as the difference grows on one side of zero. A loss depends only on the
//! difference of *search coordinates*: girths in centimetres or, for [`LogBand`], their natural logarithms (ln cm).

use super::points::WaistHip;
use crate::body::Ease;
use crate::error::{Code, Problem, Problems};
use crate::field::{EQUALITY_TOLERANCE_CM, Field, FieldKind, Unit, min_and_max_length_problems};

/// Loss as a function of the difference between a person's girth and the size's girth. The loss of a chart is the mean
/// over people, each in the size with the least loss.
///
/// For charts by waist and hip, a person's loss is the sum of the losses of waist and hip; for [`Within`](Loss::Within)
/// and [`WithinBounds`](Loss::WithinBounds), it is the larger of the losses of waist and hip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Loss {
    /// Square of the difference, in square centimetres.
    Squared,
    /// Absolute value of the difference, in centimetres.
    Absolute,
    /// Zero if the absolute difference is at most the tolerance (0 to 100 cm), else 1. The mean loss is the share of
    /// unserved people.
    Within(f64),
    /// Zero if the signed differences, person minus size, in waist and in hip each lie between a smallest and a
    /// largest, else 1. The mean loss is the share of unserved people. Only for charts by waist and hip.
    WithinBounds(DifferenceBounds),
    /// Zero if the ratio person / size lies in a band; outside, grows with the square of the ratio's logarithm.
    LogBand(LogBand),
}

/// Smallest and largest difference in waist and in hip, person's girth minus size's girth, at which a size serves a
/// person, in centimetres: each from −200 to 200.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DifferenceBounds {
    /// Smallest and largest difference in waist.
    pub waist: (f64, f64),
    /// Smallest and largest difference in hip.
    pub hip: (f64, f64),
}

impl DifferenceBounds {
    /// Converts bounds on ease to bounds on differences of girths. `waist` and `hip` are the minimum and the maximum of
    /// the ease that a garment, drafted with `ease` for its size, may leave on a person, in centimetres.
    ///
    /// ```
    /// use kirtle::Ease;
    /// use kirtle::size_search::DifferenceBounds;
    ///
    /// let bounds = DifferenceBounds::from_ease(&Ease { waist: 1.5, hip: 5.0 }, (0.0, 3.0), (2.0, 9.0));
    /// assert_eq!((bounds.waist, bounds.hip), ((-1.5, 1.5), (-4.0, 3.0)));
    /// ```
    pub fn from_ease(ease: &Ease, waist: (f64, f64), hip: (f64, f64)) -> Self {
        let differences = |ease: f64, (min, max): (f64, f64)| (ease - max, ease - min);
        Self { waist: differences(ease.waist, waist), hip: differences(ease.hip, hip) }
    }
}

/// Loss band for x = ln(person's girth / size's girth). The loss is `small_weight` × (x − `small`)² for x above
/// `small`, `large_weight` × (−x − `large`)² for −x above `large`, and zero in between.
///
/// The form is that of `McCulloch`, Paal and Ashdown (1998, J. Oper. Res. Soc. 49), quoted from memory. There is no
/// default, because their bands and weights are not available here.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "python", pyo3::pyclass(frozen, get_all, eq, module = "kirtle"))]
pub struct LogBand {
    /// Largest ln(person / size) without loss, if the garment is too small: from 0 to 1.
    pub small: f64,
    /// Largest ln(size / person) without loss, if the garment is too large: from 0 to 1.
    pub large: f64,
    /// Weight of the loss if the garment is too small: from 10⁻⁶ to 10⁶.
    pub small_weight: f64,
    /// Weight of the loss if the garment is too large: from 10⁻⁶ to 10⁶.
    pub large_weight: f64,
}

const LOSS_TOLERANCE_FIELD: Field = Field::new("within", "", FieldKind::Length, (0.0, 100.0));

impl Loss {
    /// Builds a loss from a name: `squared`, `absolute`, `within` (with a tolerance in cm) or `log_band` (with a band).
    ///
    /// # Errors
    /// All [`Problems`]: an unknown name, a missing tolerance or band, or a tolerance or band that the loss does not
    /// use. The searches check the numbers.
    ///
    /// ```
    /// use kirtle::size_search::{LogBand, Loss};
    ///
    /// assert_eq!(Loss::from_name("within", Some(2.0), None)?, Loss::Within(2.0));
    /// let band = LogBand { small: 0.01, large: 0.03, small_weight: 2.0, large_weight: 1.0 };
    /// assert_eq!(Loss::from_name("log_band", None, Some(band))?, Loss::LogBand(band));
    ///
    /// let problems = Loss::from_name("within", None, Some(band)).unwrap_err();
    /// assert_eq!(
    ///     problems.to_string(),
    ///     "tolerance: missing: give the largest difference between a person's girth and a size's girth at which the size serves the person\n\
    ///      band: cannot be given together with the loss \"within\""
    /// );
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn from_name(name: &str, tolerance: Option<f64>, band: Option<LogBand>) -> Result<Self, Problems> {
        let losses = ["squared", "absolute", "within", "log_band"];
        if !losses.contains(&name) {
            let problem = Problem::new(Code::UnknownChoice, "loss").with_value(format!("{name:?}"));
            return Err(problem.with_choices(losses).with_limit("squared, absolute, within or log_band").into());
        }
        let difference =
            "the largest difference between a person's girth and a size's girth at which the size serves the person";
        let ratios = "the band of ratios, person's girth divided by size's girth, without loss";
        let parameters =
            [("tolerance", tolerance.is_some(), "within", difference), ("band", band.is_some(), "log_band", ratios)];
        let problem = |(field, is_given, loss, description): (&str, _, _, _)| match (is_given, name == loss) {
            (true, false) => Some(Problem::new(Code::Conflict, field).with_limit(format!("the loss {name:?}"))),
            (false, true) => Some(Problem::new(Code::Missing, field).with_limit(description)),
            _ => None,
        };
        Problems::ok_if_empty(parameters.into_iter().filter_map(problem))?;
        Ok(match (name, tolerance, band) {
            ("squared", ..) => Self::Squared,
            (_, Some(tolerance), _) => Self::Within(tolerance),
            (_, _, Some(band)) => Self::LogBand(band),
            _ => Self::Absolute,
        })
    }

    /// Returns the name of the loss, as in [`from_name`](Self::from_name).
    pub fn name(&self) -> &'static str {
        match self {
            Loss::Squared => "squared",
            Loss::Absolute => "absolute",
            Loss::Within(_) | Loss::WithinBounds(_) => "within",
            Loss::LogBand(_) => "log_band",
        }
    }

    /// Returns the factor that converts a loss in `unit` to centimetres, or a loss in the square of `unit` to square
    /// centimetres; 1 for a loss without a unit.
    pub(crate) fn loss_factor_from_unit_to_cm(&self, unit: Unit) -> f64 {
        match self {
            Loss::Squared => unit.cm_per_unit() * unit.cm_per_unit(),
            Loss::Absolute => unit.cm_per_unit(),
            Loss::Within(_) | Loss::WithinBounds(_) | Loss::LogBand(_) => 1.0,
        }
    }

    pub(super) fn loss_parameter_problems(&self) -> Vec<Problem> {
        match self {
            Loss::Squared | Loss::Absolute => vec![],
            Loss::Within(max) => LOSS_TOLERANCE_FIELD.range_problem("loss.", *max, Unit::Cm).into_iter().collect(),
            Loss::WithinBounds(DifferenceBounds { waist, hip }) => {
                let of_hip = min_and_max_length_problems("loss.hip.", *hip);
                min_and_max_length_problems("loss.waist.", *waist).chain(of_hip).collect()
            }
            Loss::LogBand(band) => band.log_band_range_problems("loss."),
        }
    }

    /// Returns the largest absolute differences between person and size, in waist and in hip, in centimetres, at which
    /// the size serves the person; `None` for a loss without tolerance. With [`WithinBounds`](Loss::WithinBounds),
    /// these are half the widths of the bounds, and the middle of the bounds is subtracted from the person's girths
    /// first.
    pub(super) fn max_served_differences(&self) -> Option<[f64; 2]> {
        match self {
            Loss::Within(max) => Some([*max; 2]),
            Loss::WithinBounds(bounds) => Some([bounds.waist, bounds.hip].map(|(min, max)| (max - min) / 2.0)),
            Loss::Squared | Loss::Absolute | Loss::LogBand(_) => None,
        }
    }

    /// Converts waist and hip of a person from centimetres to search coordinates (cm or ln cm). With
    /// [`WithinBounds`](Loss::WithinBounds), subtracts the middle of the bounds from each girth, so that a size serves
    /// the people around its own girths.
    pub(super) fn search_coordinates_of_person(&self, girths: WaistHip) -> WaistHip {
        match self {
            Loss::WithinBounds(DifferenceBounds { waist, hip }) => {
                [girths[0] - f64::midpoint(waist.0, waist.1), girths[1] - f64::midpoint(hip.0, hip.1)]
            }
            _ => girths.map(|girth| self.search_coordinate_of_girth(girth)),
        }
    }

    /// Converts a girth in centimetres to its search coordinate: the natural logarithm for [`LogBand`](Loss::LogBand),
    /// otherwise the girth itself. In the logarithm, girths below 0.001 cm count as 0.001 cm.
    pub(super) fn search_coordinate_of_girth(&self, girth: f64) -> f64 {
        if matches!(self, Loss::LogBand(_)) { libm::log(girth.max(1e-3)) } else { girth }
    }

    /// Converts a search coordinate (cm or ln cm) back to a girth in centimetres.
    pub(super) fn girth_from_search_coordinate(&self, scaled: f64) -> f64 {
        if matches!(self, Loss::LogBand(_)) { libm::exp(scaled) } else { scaled }
    }

    /// Returns the loss of one girth. `difference` is person minus size, in search coordinates (cm or ln cm).
    /// [`WithinBounds`](Loss::WithinBounds) uses its bounds of the waist.
    #[inline]
    pub(super) fn loss_of_difference(&self, difference: f64) -> f64 {
        match self {
            Loss::Squared => difference * difference,
            Loss::Absolute => difference.abs(),
            Loss::Within(max) => unserved_as_0_or_1(difference, *max),
            Loss::WithinBounds(bounds) => unserved_as_0_or_1(difference, (bounds.waist.1 - bounds.waist.0) / 2.0),
            Loss::LogBand(band) => {
                let (small, large) = ((difference - band.small).max(0.0), (-difference - band.large).max(0.0));
                band.small_weight * small * small + band.large_weight * large * large
            }
        }
    }

    /// Returns the smallest and the largest difference in one girth, person minus size in search coordinates
    /// (cm or ln cm), whose loss is at most `loss`; two zeros for a loss with tolerance.
    pub(super) fn difference_range_up_to_loss(&self, loss: f64) -> [f64; 2] {
        let root = |loss: f64| loss.max(0.0).sqrt();
        match self {
            Loss::Squared => [-root(loss), root(loss)],
            Loss::Absolute => [-loss.max(0.0), loss.max(0.0)],
            Loss::Within(_) | Loss::WithinBounds(_) => [0.0; 2],
            Loss::LogBand(band) => {
                [-band.large - root(loss / band.large_weight), band.small + root(loss / band.small_weight)]
            }
        }
    }

    /// Returns the derivative of the loss of one girth with respect to the difference, person minus size in search
    /// coordinates (cm or ln cm); 0 at a kink, and for a loss with tolerance.
    pub(super) fn loss_slope_at_difference(&self, difference: f64) -> f64 {
        match self {
            Loss::Squared => 2.0 * difference,
            Loss::Absolute if difference == 0.0 => 0.0,
            Loss::Absolute => difference.signum(),
            Loss::Within(_) | Loss::WithinBounds(_) => 0.0,
            Loss::LogBand(band) => {
                let (small, large) = ((difference - band.small).max(0.0), (-difference - band.large).max(0.0));
                2.0 * (band.small_weight * small - band.large_weight * large)
            }
        }
    }

    /// Returns the loss of a person in a size, each with waist and hip in search coordinates (cm or ln cm).
    #[inline]
    pub(super) fn loss_of_person_in_size(&self, person: WaistHip, size: WaistHip) -> f64 {
        let (waist, hip) = (person[0] - size[0], person[1] - size[1]);
        match self.max_served_differences() {
            Some(max_served_differences) => unserved_as_0_or_1(waist, max_served_differences[0])
                .max(unserved_as_0_or_1(hip, max_served_differences[1])),
            None => self.loss_of_difference(waist) + self.loss_of_difference(hip),
        }
    }
}

/// Returns 0 if the absolute value of a difference is at most `max`, and 1 otherwise.
fn unserved_as_0_or_1(difference: f64, max: f64) -> f64 {
    f64::from(u8::from(difference.abs() > max + EQUALITY_TOLERANCE_CM))
}

impl LogBand {
    /// Names and ranges of the four numbers of a [`LogBand`], in the order of its fields.
    pub(crate) const FIELDS: [Field; 4] = {
        let small = Field::new("small", "", FieldKind::Ratio, (0.0, 1.0));
        let weight = Field::new("small_weight", "", FieldKind::Ratio, (1e-6, 1e6));
        [small, Field { name: "large", ..small }, weight, Field { name: "large_weight", ..weight }]
    };

    /// Checks that every number of the band is in range. The searches run the check, too.
    ///
    /// # Errors
    /// All [`Problems`]: numbers out of range.
    ///
    /// ```
    /// use kirtle::size_search::LogBand;
    ///
    /// let band = LogBand { small: 0.01, large: 0.03, small_weight: 2.0, large_weight: 1.0 };
    /// assert!(band.check().is_ok());
    ///
    /// let problems = LogBand { large: -0.03, ..band }.check().unwrap_err();
    /// assert_eq!(problems.to_string(), "band.large: -0.03 is below the minimum of 0");
    /// ```
    pub fn check(&self) -> Result<(), Problems> {
        Problems::ok_if_empty(self.log_band_range_problems("band."))
    }

    /// Returns a problem for each number of the band that is out of range, with `path` in front of the number's name.
    fn log_band_range_problems(&self, path: &str) -> Vec<Problem> {
        let numbers = Self::FIELDS.iter().zip([self.small, self.large, self.small_weight, self.large_weight]);
        numbers.filter_map(|(field, value)| field.range_problem(path, value, Unit::Cm)).collect()
    }
}

/// Returns the index and the loss of the pair with the least loss. A pair has a person's loss in one centre and the
/// person's distance from that centre. A tie goes to the smaller distance, then to the last pair.
#[inline]
pub(super) fn index_and_least_loss(losses: impl Iterator<Item = (f64, f64)>) -> (usize, f64) {
    let none = (0, (f64::INFINITY, f64::INFINITY));
    let (index, (loss, _)) = losses.enumerate().fold(none, |best, next| if next.1 <= best.1 { next } else { best });
    (index, loss)
}
