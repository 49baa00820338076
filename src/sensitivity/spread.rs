//! Spread of the quantities of a draft over many drafts with random input errors, even if the number of darts changes.

use super::{QuantityId, StandardErrors, find_input_indices, quantity, redraft_with_changed_inputs, to_draft_input};
use crate::draft::Draft;
use crate::error::{Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::random::{CounterRng, RandomStream};

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

impl Draft {
    /// Drafts the same skirt `drafts` times, 100 to 100,000, with random errors of the inputs, and measures how far the
    /// quantities spread. Equal seeds give equal spreads. The result is in `unit`, and so are errors without a unit. An
    /// error of a measurement of the figure that the body lacks has no effect.
    ///
    /// # Errors
    /// [`Code::UnknownChoice`](crate::Code::UnknownChoice) for each path in `errors` that is not an input of this
    /// draft, [`Code::BelowMinimum`](crate::Code::BelowMinimum) or [`Code::AboveMaximum`](crate::Code::AboveMaximum)
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
        let means = quantities.iter().zip(&sums).map(mean).collect();
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
        let taken_as_exact = measured.map(|input| to_draft_input(input).path).filter(is_exact).collect();
        let without_effect = given.no_effect_note(&errors);
        Ok(Spread {
            unit,
            drafts,
            other_darts,
            refused,
            means,
            standard_deviations,
            unequal_errors,
            taken_as_exact,
            without_effect,
        })
    }
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
