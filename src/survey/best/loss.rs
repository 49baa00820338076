//! What it costs that a person is not of a size.

use crate::error::{Code, Problem, Problems};
use crate::measure::{Field, Kind, Unit};
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
#[derive(Clone, Copy, Debug, PartialEq)]
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

const fn row(name: &'static str, kind: Kind, range: (f64, f64)) -> Field {
    Field::row(name, "", kind, range, range)
}

impl Loss {
    /// The loss of a name, `squared`, `absolute` or `within`; the last asks for a tolerance, in centimetres.
    ///
    /// # Errors
    /// A name that is none of these, a tolerance that is missing, or given with another loss.
    ///
    /// ```
    /// use kirtle::Loss;
    ///
    /// assert_eq!(Loss::named("within", Some(2.0))?, Loss::Within(2.0));
    ///
    /// let problems = Loss::named("within", None).unwrap_err();
    /// assert_eq!(problems.to_string(), "tolerance: missing; give the most that a girth may miss its size");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn named(name: &str, tolerance: Option<f64>) -> Result<Self, Problems> {
        let problem = match (name, tolerance) {
            ("squared", None) => return Ok(Self::Squared),
            ("absolute", None) => return Ok(Self::Absolute),
            ("within", Some(tolerance)) => return Ok(Self::Within(tolerance)),
            ("within", None) => {
                Problem::new(Code::Missing, "tolerance").with_limit("the most that a girth may miss its size")
            }
            ("squared" | "absolute", Some(_)) => {
                Problem::new(Code::Conflict, "tolerance").with_limit(format!("the loss {name:?}"))
            }
            _ => Problem::new(Code::UnknownChoice, "loss")
                .with_value(format!("{name:?}"))
                .with_limit("squared, absolute or within"),
        };
        Err(problem.into())
    }

    /// How much of it, in centimetres, is one where lengths are in `unit`.
    pub(crate) fn in_cm(&self, unit: Unit) -> f64 {
        match self {
            Loss::Squared => unit.in_cm() * unit.in_cm(),
            Loss::Absolute => unit.in_cm(),
            Loss::Within(_) | Loss::LogBand(_) => 1.0,
        }
    }

    /// What is wrong with the numbers of the loss.
    pub(super) fn problems(&self) -> Vec<Problem> {
        let (band, weight) = ((0.0, 1.0), (1e-6, 1e6));
        let rows = match *self {
            Loss::Squared | Loss::Absolute => vec![],
            Loss::Within(miss) => vec![(row("within", Kind::Length, (0.0, 100.0)), miss)],
            Loss::LogBand(of) => vec![
                (row("small", Kind::Ratio, band), of.small),
                (row("large", Kind::Ratio, band), of.large),
                (row("small_weight", Kind::Ratio, weight), of.small_weight),
                (row("large_weight", Kind::Ratio, weight), of.large_weight),
            ],
        };
        rows.into_iter().filter_map(|(field, value)| field.check("loss.", value, Unit::Cm)).collect()
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
            Loss::Within(most) => f64::from(u8::from(above.abs() > most + EQUAL)),
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
    #[inline]
    fn of(&self, above: f64) -> f64 {
        let (small, large) = ((above - self.small).max(0.0), (-above - self.large).max(0.0));
        self.small_weight * small * small + self.large_weight * large * large
    }
}
