//! The best sizes by one girth.

use super::cluster::{Absolute, Banded, Squared};
use super::column::{Column, Sums};
use super::cover::cover;
use super::divide::divide;
use super::loss::{Loss, cheapest};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::survey::fit::uneven;
use crate::survey::interrupt::worked;

/// The most sizes that are sought.
const MOST: f64 = 100.0;

/// The most distinct values times sizes: a table of half a gigabyte.
const MAX_PLACES: usize = 100_000_000;

/// The same for a band of logarithms, whose centres cost more to find.
const MAX_BANDED: usize = 2_000_000;

/// The best sizes by one girth.
#[derive(Clone, Debug, PartialEq)]
pub struct BestSizes {
    /// The sizes, ascending: at most as many as were asked for, and fewer where more would be no better.
    pub sizes: Vec<BestSize>,
    /// The mean loss.
    pub loss: f64,
}

/// A size by one girth, and the people who lose least in it. Of sizes that cost as much a person is given the nearer, of
/// equals the larger.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BestSize {
    /// The girth of the size.
    pub centre: f64,
    /// The least girth given to it.
    pub min: f64,
    /// The most girth given to it.
    pub max: f64,
    /// The share of the weight given to it, from 0 to 1.
    pub share: f64,
}

/// The sizes of one girth with the least mean loss: a proven optimum but for rounding.
///
/// Squared and absolute loss and the band of logarithms take `O(sizes × n × log n)` for `n` distinct values, a miss up to a
/// limit `O(sizes × n)`; proofs stand beside the code. The weights, one a value, are 1 where there are none.
///
/// # Errors
/// All the [`Problems`] at once: sizes not from 1 to 100, numbers of the loss out of range, no values, values that are not
/// from −10⁶ to 10⁶ (for logarithms from 10⁻³), weights not from 10⁻⁶ to 10⁹ or not one a value; more than 10⁸
/// distinct values times sizes, for a band of logarithms 2 × 10⁶: round the values to millimetres then.
///
/// ```
/// use kirtle::survey::{Loss, best_sizes};
///
/// let line = best_sizes(&[70.0, 71.0, 72.0, 90.0, 94.0], None, 2, &Loss::Squared)?;
/// assert_eq!(line.sizes.iter().map(|size| size.centre).collect::<Vec<_>>(), [71.0, 92.0]);
/// assert_eq!(line.loss, (1.0 + 0.0 + 1.0 + 4.0 + 4.0) / 5.0);
///
/// let line = best_sizes(&[70.0, 71.0, 72.0, 90.0, 94.0], None, 1, &Loss::Within(1.0))?;
/// assert_eq!((line.sizes[0].centre, line.loss), (71.0, 0.4));
///
/// let problems = best_sizes(&[], None, 0, &Loss::Within(-1.0)).unwrap_err();
/// assert_eq!(
///     problems.to_string(),
///     "sizes: 0 is below the minimum of 1\n\
///      loss.within: -1 cm is below the minimum of 0 cm\n\
///      values: 0 numbers are given; the least is 1 number"
/// );
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn best_sizes(values: &[f64], weights: Option<&[f64]>, sizes: usize, loss: &Loss) -> Result<BestSizes, Problems> {
    let mut problems = asked(sizes, loss);
    problems.extend(wrong_values("values", values, loss));
    problems.extend(weights.and_then(|weights| uneven("weights", weights.len(), values.len())));
    problems.extend(weights.and_then(|weights| wrong("weights", weights, (1e-6, 1e9), FieldKind::Ratio)));
    Problems::ok_if_empty(problems)?;
    let column = Column::of(values, weights, loss);
    Problems::ok_if_empty(too_large("values", &column, sizes, loss).into_iter().collect())?;
    Ok(BestSizes::of(&column, &solve(&column, sizes, loss), loss))
}

/// What is wrong with the number of sizes and the loss.
pub(super) fn asked(sizes: usize, loss: &Loss) -> Vec<Problem> {
    #[allow(clippy::cast_precision_loss)]
    let count = sizes as f64;
    let range = (1.0, MOST);
    let sizes = Field::new("sizes", "", FieldKind::Ratio, range, range).check("", count, Unit::Cm);
    sizes.into_iter().chain(loss.problems()).collect()
}

/// What is wrong with girths: there is none, or the first that is out of range.
pub(super) fn wrong_values(field: &str, values: &[f64], loss: &Loss) -> Option<Problem> {
    if values.is_empty() {
        return Some(Problem::new(Code::TooFew, field).with_value("0 numbers").with_limit("1 number"));
    }
    let min = if matches!(loss, Loss::LogBand(_)) { 1e-3 } else { -1e6 };
    wrong(field, values, (min, 1e6), FieldKind::Length)
}

fn wrong(field: &str, values: &[f64], range: (f64, f64), kind: FieldKind) -> Option<Problem> {
    let row = values.iter().position(|value| !(range.0..=range.1).contains(value))?;
    Field::new("", "", kind, range, range).check(&format!("{field}[{row}]"), values[row], Unit::Cm)
}

pub(super) fn too_large(field: &str, column: &Column, sizes: usize, loss: &Loss) -> Option<Problem> {
    let max = if matches!(loss, Loss::LogBand(_)) { MAX_BANDED } else { MAX_PLACES };
    Problem::too_many(field, column.len() * sizes, max, "distinct values times sizes")
}

/// The best centres on the loss's scale, ascending.
pub(super) fn solve(column: &Column, sizes: usize, loss: &Loss) -> Vec<f64> {
    let sums = Sums::of(column);
    let centres = match *loss {
        Loss::Within(max) => return cover(column, max, sizes),
        _ if column.len() <= sizes => return column.at.clone(),
        Loss::Squared => divide(&sums, Squared, sizes),
        Loss::Absolute => divide(&sums, Absolute::default(), sizes),
        Loss::LogBand(band) => divide(&sums, Banded::new(band), sizes),
    };
    centres.into_iter().map(|centre| centre + sums.mean).collect()
}

/// The mean loss of a column in ascending centres.
pub(super) fn least_loss(column: &Column, sizes: usize, loss: &Loss) -> f64 {
    BestSizes::of(column, &solve(column, sizes, loss), loss).loss
}

impl BestSizes {
    fn of(column: &Column, centres: &[f64], loss: &Loss) -> Self {
        let total: f64 = column.weight.iter().sum();
        let size = |centre: &f64| BestSize { centre: loss.girth(*centre), min: f64::NAN, max: f64::NAN, share: 0.0 };
        let mut line = Self { sizes: centres.iter().map(size).collect(), loss: 0.0 };
        for (at, weight) in column.at.iter().zip(&column.weight) {
            worked(centres.len());
            let (given, min) = cheapest(centres.iter().map(|centre| (loss.of(at - centre), (at - centre).abs())));
            line.loss += weight * min;
            let size = &mut line.sizes[given as usize];
            let girth = loss.girth(*at);
            size.share += weight;
            // Of a number and one that is none, the number is less and more.
            (size.min, size.max) = (size.min.min(girth), size.max.max(girth));
        }
        line.loss /= total;
        line.sizes.iter_mut().for_each(|size| size.share /= total);
        line
    }
}
