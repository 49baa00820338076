//! Effect of measurement errors of the inputs of a draft on its quantities and points: to first order, and as the spread
//! over many drafts with random errors, even if the number of darts changes.

use nalgebra::DMatrix;

use super::{
    QuantityId, Sensitivity, StandardErrors, find_input_indices, find_quantity_index, quantity,
    redraft_with_changed_inputs, to_draft_input,
};
use crate::draft::{Draft, Half, PointName};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::geometry::Point;
use crate::random::{CounterRng, RandomStream};

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

    /// Drafts the same skirt `drafts` times, 100 to 100,000, with random errors of the inputs, and measures how far the
    /// quantities spread. Equal seeds give equal spreads. The result is in `unit`, and so are errors without a unit. An
    /// error of a measurement of the figure that the body lacks has no effect.
    ///
    /// # Errors
    /// [`Code::UnknownChoice`] for each path in `errors` that is not an input of this
    /// draft, [`Code::BelowMinimum`] or [`Code::AboveMaximum`]
    /// for `drafts`; the problems of the last draft if all are refused.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules, Unit};
    /// use kirtle::sensitivity::StandardErrors;
    ///
    /// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let errors = StandardErrors::iso_20685(Unit::Cm);
    /// // A fifth to a half of the drafts have another number of darts.
    /// let spread = draft.spread(&errors, 1000, 0, Unit::Cm)?;
    /// assert!((200..500).contains(&spread.other_darts) && spread.refused == 0);
    /// assert!(spread.note().starts_with("of 1000 drafts with random errors, "));
    /// assert!(draft.spread(&errors, 10, 0, Unit::Cm).is_err());
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn spread(&self, errors: &StandardErrors, drafts: usize, seed: u64, unit: Unit) -> Result<Spread, Problems> {
        let all = self.inputs.input_numbers();
        let (given, errors) = (errors, errors.of_measurements_in(&all, unit));
        let problems: Vec<Problem> = DRAFT_COUNT_FIELD.range_problem("", drafts as f64, unit).into_iter().collect();
        let known = find_input_indices(&all, "by", errors.input_paths(), &[]);
        let (indices, ()) = Problems::pair_or_all_problems(known, Problems::ok_if_empty(problems))?;
        let factor = errors.square_root_of_covariance();
        let to_cm: Vec<f64> = indices.iter().map(|index| all[*index].1.kind.cm_per_unit(unit)).collect();
        let mut random = CounterRng::new(seed, RandomStream::Errors, 0);
        let quantities = self.quantities();
        // For each quantity: number of drafts with it, sum of differences from the original draft, sum of their
        // squares.
        let mut sums = vec![[0.0; 3]; quantities.len()];
        let (mut other_darts, mut refused) = (0, 0);
        for _ in 0..drafts {
            let normal = nalgebra::DVector::from_fn(indices.len(), |_, _| random.draw_standard_normal_pair()[0]);
            let errors = &factor * normal;
            let error = |index| indices.iter().position(|of| *of == index).map_or(0.0, |k| errors[k] * to_cm[k]);
            let drafted = redraft_with_changed_inputs(&self.inputs, |index, number| number + error(index));
            let draft = match drafted {
                Ok(draft) => draft,
                Err(problems) => {
                    refused += 1;
                    if refused == drafts {
                        return unit.convert_problems_from_cm(Err(problems));
                    }
                    continue;
                }
            };
            other_darts += usize::from(draft.dart_counts() != self.dart_counts());
            add_differences(&mut sums, &quantities, &draft);
        }
        let mean = |((quantity, value), [count, sum, _]): (&(QuantityId, f64), &[f64; 3])| {
            quantity.kind.convert_from_cm(value + sum / count, unit)
        };
        let deviation = |((quantity, _), [count, sum, squares]): (&(QuantityId, f64), &[f64; 3])| {
            let variance = (squares - sum * sum / count) / (count - 1.0);
            let deviation = if *count < 2.0 { f64::NAN } else { variance.max(0.0).sqrt() };
            quantity.kind.convert_from_cm(deviation, unit)
        };
        let standard_deviations: Vec<f64> = quantities.iter().zip(&sums).map(deviation).collect();
        let uncertainty = self.uncertainty(given, unit).ok().filter(|_| other_darts + refused == 0);
        let standard_errors = uncertainty.map(|uncertainty| uncertainty.standard_errors).unwrap_or_default();
        let pairs = standard_errors.iter().zip(&standard_deviations);
        let unequal_errors = quantities.iter().zip(pairs).filter(|row| is_unequal_error(*row, unit, drafts)).count();
        let measured = all.iter().filter(|(prefix, field, _)| prefix.starts_with("body.") && field.name != "length");
        let is_exact = |path: &String| !errors.input_paths().contains(path);
        Ok(Spread {
            unit,
            drafts,
            other_darts,
            refused,
            means: quantities.iter().zip(&sums).map(mean).collect(),
            standard_deviations,
            unequal_errors,
            taken_as_exact: measured.map(|input| to_draft_input(input).path).filter(is_exact).collect(),
            without_effect: given.no_effect_note(&errors),
        })
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

const DRAFT_COUNT_FIELD: Field =
    Field::new("drafts", "Number of drafts with random errors.", FieldKind::Ratio, (100.0, 100_000.0));

/// Largest share of refused drafts at which the spread of the other drafts still holds.
const MAX_REFUSED_SHARE: f64 = 0.05;

/// Spread of the quantities of a draft over drafts with normally distributed errors of the inputs.
///
/// Unlike an [`Uncertainty`](super::Uncertainty), a spread holds for errors of any size; more drafts make it more
/// accurate.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// Unit of all lengths in this result.
    pub unit: Unit,
    /// Number of drafts with random errors.
    pub drafts: usize,
    /// Number of drafts with random errors whose number of darts, in back or front, differs from the original draft's.
    pub other_darts: usize,
    /// Number of drafts with random errors that are refused, as their inputs are out of range or cannot be sewn.
    pub refused: usize,
    /// Mean of each quantity, in the order of [`Draft::quantities`], over the drafts that have the quantity; NaN if no
    /// draft has it.
    pub means: Vec<f64>,
    /// Standard deviation of each quantity, in the order of [`Draft::quantities`], over the drafts that have the
    /// quantity; NaN if fewer than two drafts have it.
    pub standard_deviations: Vec<f64>,
    /// Number of quantities whose standard deviation and standard error differ by more than a fifth, as an active limit of
    /// the rules changes in some drafts; 0 if a draft is refused or has another number of darts.
    pub unequal_errors: usize,
    /// Paths of the measurements of body and figure that have no error, so that the spread takes them as exact; the
    /// length of a skirt is chosen, not measured.
    pub taken_as_exact: Vec<String>,
    /// Note on the errors without effect, as the body lacks the measurements; `None` if there are none.
    pub without_effect: Option<String>,
}

/// Adds the differences of a draft's quantities from those of the original draft to the sums of each quantity.
fn add_differences(sums: &mut [[f64; 3]], quantities: &[(QuantityId, f64)], draft: &Draft) {
    // All drafts list their quantities in one order, so each search starts where the last search ended.
    let mut next = 0;
    quantity::visit_quantities_with_values(draft, |quantity, value| {
        if let Some(steps) = quantities[next..].iter().position(|(known, _)| *known == quantity) {
            let difference = value - quantities[next + steps].1;
            for (sum, term) in sums[next + steps].iter_mut().zip([1.0, difference, difference * difference]) {
                *sum += term;
            }
            next += steps + 1;
        }
    });
}

/// Returns whether standard error and standard deviation over `drafts` of a quantity, both in `unit`, differ by more than
/// a fifth of the larger, by 0.01 (cm, cm², degrees), and by four times the standard error of the standard deviation.
fn is_unequal_error(row: (&(QuantityId, f64), (&f64, &f64)), unit: Unit, drafts: usize) -> bool {
    let ((quantity, _), (error, deviation)) = row;
    let share_of_larger = error.max(*deviation) * (8.0 / drafts as f64).sqrt().max(0.2);
    (error - deviation).abs() > share_of_larger.max(quantity.kind.convert_from_cm(0.01, unit))
}

impl Spread {
    /// Returns a note on the shares of drafts with another number of darts and of refused drafts, or on the quantities
    /// that depend on a limit of the rules, for all of which the standard errors do not hold, on the measurements taken as exact, and on errors without effect; empty if there are none.
    pub fn note(&self) -> String {
        let share = |count: usize, what: &str| {
            (count > 0).then(|| format!("{:.1} % {what}", 100.0 * count as f64 / self.drafts as f64))
        };
        let other_darts = share(self.other_darts, "have another number of darts than this draft");
        let refused = share(self.refused, "cannot be drafted");
        let limits = "some meet another limit of the rules, which changes";
        let unequal =
            (self.unequal_errors > 0).then(|| format!("{limits} {} of the standard errors", self.unequal_errors));
        let shares: Vec<_> = other_darts.into_iter().chain(refused).chain(unequal).collect();
        let (count, shares, exact) = (self.drafts, shares.join(", "), self.taken_as_exact.join(", "));
        let advice = if self.refused as f64 > MAX_REFUSED_SHARE * self.drafts as f64 {
            "mean and spread are those of the other drafts only, so rely on neither"
        } else {
            "rely on the spread, not on the standard errors"
        };
        let rely = format!("of {count} drafts with random errors, {shares}: {advice}");
        let rely = Some(rely).filter(|_| !shares.is_empty());
        let exact = (!exact.is_empty()).then(|| format!("taken as exact: {exact}"));
        [rely, exact, self.without_effect.clone()].into_iter().flatten().collect::<Vec<_>>().join("; ")
    }
}
