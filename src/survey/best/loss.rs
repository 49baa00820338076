//! What it costs that a person is not of a size.

use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::survey::fit::EQUAL;

/// What it costs that a girth misses the girth of the size. The loss of a chart is the mean over people, each in the size
/// that costs least.
///
/// In the waist-hip plane the losses of both girths are added; [`Within`](Loss::Within) asks for both at once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Loss {
    /// The miss squared, in square centimetres.
    Squared,
    /// The miss, in centimetres.
    Absolute,
    /// Nothing up to this miss, from 0 to 100 cm, and 1 beyond: the loss is the share of people who are not served.
    Within(f64),
    /// Nothing within a band of ratios, and growing beyond.
    LogBand(LogBand),
}

/// A band of the logarithm of the person's girth over the size's, and how fast loss grows beyond it: with the square of the
/// excess, on each side with its own weight.
///
/// The form is that of `McCulloch`, Paal and Ashdown (1998, J. Oper. Res. Soc. 49), from memory: their bands and weights are
/// not known here, so that there is no default.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
#[cfg_attr(feature = "python", pyo3::pyclass(frozen, get_all, eq, module = "kirtle"))]
pub struct LogBand {
    /// The most that ln(person / size) may be, a garment too small, without loss: from 0 to 1.
    pub small: f64,
    /// The most that ln(size / person) may be, a garment too large, without loss: from 0 to 1.
    pub large: f64,
    /// The weight of a garment too small: from 10⁻⁶ to 10⁶.
    pub small_weight: f64,
    /// The weight of a garment too large: from 10⁻⁶ to 10⁶.
    pub large_weight: f64,
}

const WITHIN: Field = Field::new("within", "", FieldKind::Length, (0.0, 100.0), (0.0, 100.0));

impl Loss {
    /// The loss of a name: `squared`, `absolute`, `within`, which asks for a tolerance in centimetres, or `log_band`, which
    /// asks for a band.
    ///
    /// # Errors
    /// All the [`Problems`] at once: a name that is none of these, a tolerance or a band that is missing, or given with another
    /// loss. The numbers are checked by the search.
    ///
    /// ```
    /// use kirtle::survey::{LogBand, Loss};
    ///
    /// assert_eq!(Loss::named("within", Some(2.0), None)?, Loss::Within(2.0));
    /// let band = LogBand { small: 0.01, large: 0.03, small_weight: 2.0, large_weight: 1.0 };
    /// assert_eq!(Loss::named("log_band", None, Some(band))?, Loss::LogBand(band));
    ///
    /// let problems = Loss::named("within", None, Some(band)).unwrap_err();
    /// assert_eq!(
    ///     problems.to_string(),
    ///     "tolerance: missing; give the most that a girth may miss its size\n\
    ///      band: cannot be given together with the loss \"within\""
    /// );
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn named(name: &str, tolerance: Option<f64>, band: Option<LogBand>) -> Result<Self, Problems> {
        let losses = ["squared", "absolute", "within", "log_band"];
        if !losses.contains(&name) {
            let problem = Problem::new(Code::UnknownChoice, "loss").with_value(format!("{name:?}"));
            return Err(problem.with_limit("squared, absolute, within or log_band").into());
        }
        let mut problems = Vec::new();
        for (field, given, of, what) in [
            ("tolerance", tolerance.is_some(), "within", "the most that a girth may miss its size"),
            ("band", band.is_some(), "log_band", "the band of ratios without loss"),
        ] {
            if given && name != of {
                problems.push(Problem::new(Code::Conflict, field).with_limit(format!("the loss {name:?}")));
            } else if !given && name == of {
                problems.push(Problem::new(Code::Missing, field).with_limit(what));
            }
        }
        Problems::ok_if_empty(problems)?;
        Ok(match (name, tolerance, band) {
            ("squared", ..) => Self::Squared,
            (_, Some(tolerance), _) => Self::Within(tolerance),
            (_, _, Some(band)) => Self::LogBand(band),
            _ => Self::Absolute,
        })
    }

    /// How much of it, in centimetres, is one where lengths are in `unit`.
    pub(crate) fn cm_per_unit(&self, unit: Unit) -> f64 {
        match self {
            Loss::Squared => unit.cm_per_unit() * unit.cm_per_unit(),
            Loss::Absolute => unit.cm_per_unit(),
            Loss::Within(_) | Loss::LogBand(_) => 1.0,
        }
    }

    /// What is wrong with the numbers of the loss.
    pub(super) fn problems(&self) -> Vec<Problem> {
        match self {
            Loss::Squared | Loss::Absolute => vec![],
            Loss::Within(miss) => WITHIN.check("loss.", *miss, Unit::Cm).into_iter().collect(),
            Loss::LogBand(band) => band.problems("loss."),
        }
    }

    /// A girth on the scale on which the loss is one of differences. The logarithm knows no zero, but nor does a body.
    pub(super) fn scaled(&self, girth: f64) -> f64 {
        if matches!(self, Loss::LogBand(_)) { libm::log(girth.max(1e-3)) } else { girth }
    }

    /// The girth of a place on that scale.
    pub(super) fn girth(&self, scaled: f64) -> f64 {
        if matches!(self, Loss::LogBand(_)) { libm::exp(scaled) } else { scaled }
    }

    /// The loss of a person who lies so far above the size on that scale.
    #[inline]
    pub(super) fn of(&self, above: f64) -> f64 {
        match self {
            Loss::Squared => above * above,
            Loss::Absolute => above.abs(),
            Loss::Within(max) => f64::from(u8::from(above.abs() > max + EQUAL)),
            Loss::LogBand(band) => band.of(above),
        }
    }

    /// The loss of both girths.
    #[inline]
    pub(super) fn of_both(&self, waist: f64, hip: f64) -> f64 {
        let (waist, hip) = (self.of(waist), self.of(hip));
        if matches!(self, Loss::Within(_)) { waist.max(hip) } else { waist + hip }
    }
}

impl LogBand {
    /// Checks the numbers; a search does so itself.
    ///
    /// # Errors
    /// All the [`Problems`] at once: numbers out of range.
    ///
    /// ```
    /// use kirtle::survey::LogBand;
    ///
    /// let band = LogBand { small: 0.01, large: 0.03, small_weight: 2.0, large_weight: 1.0 };
    /// assert!(band.check().is_ok());
    ///
    /// let problems = LogBand { large: -0.03, ..band }.check().unwrap_err();
    /// assert_eq!(problems.to_string(), "band.large: -0.03 is below the minimum of 0");
    /// ```
    pub fn check(&self) -> Result<(), Problems> {
        Problems::ok_if_empty(self.problems("band."))
    }

    fn problems(&self, path: &str) -> Vec<Problem> {
        let (band, weight) = ((0.0, 1.0), (1e-6, 1e6));
        let rows = [
            ("small", band, self.small),
            ("large", band, self.large),
            ("small_weight", weight, self.small_weight),
            ("large_weight", weight, self.large_weight),
        ];
        let check =
            |(name, range, value)| Field::new(name, "", FieldKind::Ratio, range, range).check(path, value, Unit::Cm);
        rows.into_iter().filter_map(check).collect()
    }

    #[inline]
    fn of(&self, above: f64) -> f64 {
        let (small, large) = ((above - self.small).max(0.0), (-above - self.large).max(0.0));
        self.small_weight * small * small + self.large_weight * large * large
    }
}

/// Which of some losses is the least, each told with how far off its centre is: of equals the nearer, then the last.
#[inline]
pub(super) fn cheapest(losses: impl Iterator<Item = (f64, f64)>) -> (u32, f64) {
    let (mut given, mut min) = (0, (f64::INFINITY, f64::INFINITY));
    for (next, k) in losses.zip(0..) {
        if next.0 < min.0 || (next.0 <= min.0 && next.1 <= min.1) {
            (given, min) = (k, next);
        }
    }
    (given, min.0)
}
