//! The best sizes by one girth.

use super::cluster::{Absolute, Banded, Squared};
use super::column::{Column, Sums};
use super::cover::cover;
use super::divide::divide;
use super::loss::{Loss, cheapest};
use crate::error::{Code, Problem, Problems};
use crate::measure::{Field, Kind, Unit};
use crate::survey::fit::uneven;
use crate::survey::watch::worked;

/// The most sizes that are sought.
const MOST: f64 = 100.0;

/// The most distinct values times sizes: a table of half a gigabyte.
const MOST_PLACES: usize = 100_000_000;

/// The same for a band of logarithms, whose centres cost more to find.
const MOST_BANDED: usize = 2_000_000;

/// The best sizes by one girth.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// The sizes, ascending: at most as many as were asked for, and fewer where more would be no better.
    pub sizes: Vec<LineSize>,
    /// The mean loss.
    pub loss: f64,
}

/// A size by one girth, and the people who lose least in it. Of sizes that cost as much a person is given the nearer, of
/// equals the larger.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LineSize {
    /// The girth of the size.
    pub centre: f64,
    /// The least girth given to it.
    pub least: f64,
    /// The most girth given to it.
    pub most: f64,
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
/// use kirtle::{Loss, best_line};
///
/// let line = best_line(&[70.0, 71.0, 72.0, 90.0, 94.0], None, 2, &Loss::Squared)?;
/// assert_eq!(line.sizes.iter().map(|size| size.centre).collect::<Vec<_>>(), [71.0, 92.0]);
/// assert_eq!(line.loss, (1.0 + 0.0 + 1.0 + 4.0 + 4.0) / 5.0);
///
/// let line = best_line(&[70.0, 71.0, 72.0, 90.0, 94.0], None, 1, &Loss::Within(1.0))?;
/// assert_eq!((line.sizes[0].centre, line.loss), (71.0, 0.4));
///
/// let problems = best_line(&[], None, 0, &Loss::Within(-1.0)).unwrap_err();
/// assert_eq!(
///     problems.to_string(),
///     "sizes: 0 is below the least of 1\n\
///      loss.within: -1 cm is below the least of 0 cm\n\
///      values: 0 numbers are given; the least is 1 number"
/// );
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn best_line(values: &[f64], weights: Option<&[f64]>, sizes: usize, loss: &Loss) -> Result<Line, Problems> {
    let mut problems = asked(sizes, loss);
    problems.extend(wrong_values("values", values, loss));
    problems.extend(weights.and_then(|weights| uneven("weights", weights.len(), values.len())));
    problems.extend(weights.and_then(|weights| wrong("weights", weights, (1e-6, 1e9), Kind::Ratio)));
    Problems::none(problems)?;
    let column = Column::of(values, weights, loss);
    Problems::none(too_large("values", &column, sizes, loss).into_iter().collect())?;
    Ok(Line::of(&column, &solve(&column, sizes, loss), loss))
}

/// What is wrong with the number of sizes and the loss.
pub(super) fn asked(sizes: usize, loss: &Loss) -> Vec<Problem> {
    #[allow(clippy::cast_precision_loss)]
    let count = sizes as f64;
    let range = (1.0, MOST);
    let sizes = Field::row("sizes", "", Kind::Ratio, range, range).check("", count, Unit::Cm);
    sizes.into_iter().chain(loss.problems()).collect()
}

/// What is wrong with girths: there is none, or the first that is out of range.
pub(super) fn wrong_values(field: &str, values: &[f64], loss: &Loss) -> Option<Problem> {
    if values.is_empty() {
        return Some(Problem::new(Code::TooFew, field).with_value("0 numbers").with_limit("1 number"));
    }
    let least = if matches!(loss, Loss::LogBand(_)) { 1e-3 } else { -1e6 };
    wrong(field, values, (least, 1e6), Kind::Length)
}

fn wrong(field: &str, values: &[f64], range: (f64, f64), kind: Kind) -> Option<Problem> {
    let row = values.iter().position(|value| !(range.0..=range.1).contains(value))?;
    Field::row("", "", kind, range, range).check(&format!("{field}[{row}]"), values[row], Unit::Cm)
}

pub(super) fn too_large(field: &str, column: &Column, sizes: usize, loss: &Loss) -> Option<Problem> {
    let most = if matches!(loss, Loss::LogBand(_)) { MOST_BANDED } else { MOST_PLACES };
    Problem::too_many(field, column.len() * sizes, most, "distinct values times sizes")
}

/// The best centres on the loss's scale, ascending.
pub(super) fn solve(column: &Column, sizes: usize, loss: &Loss) -> Vec<f64> {
    let sums = Sums::of(column);
    let centres = match *loss {
        Loss::Within(most) => return cover(column, most, sizes),
        _ if column.len() <= sizes => return column.at.clone(),
        Loss::Squared => divide(&sums, Squared, sizes),
        Loss::Absolute => divide(&sums, Absolute::default(), sizes),
        Loss::LogBand(band) => divide(&sums, Banded::new(band), sizes),
    };
    centres.into_iter().map(|centre| centre + sums.mean).collect()
}

/// The mean loss of a column in ascending centres.
pub(super) fn least_loss(column: &Column, sizes: usize, loss: &Loss) -> f64 {
    Line::of(column, &solve(column, sizes, loss), loss).loss
}

impl Line {
    fn of(column: &Column, centres: &[f64], loss: &Loss) -> Self {
        let total: f64 = column.weight.iter().sum();
        let size = |centre: &f64| LineSize { centre: loss.girth(*centre), least: f64::NAN, most: f64::NAN, share: 0.0 };
        let mut line = Self { sizes: centres.iter().map(size).collect(), loss: 0.0 };
        for (at, weight) in column.at.iter().zip(&column.weight) {
            worked(centres.len());
            let (given, least) = cheapest(centres.iter().map(|centre| (loss.of(at - centre), (at - centre).abs())));
            line.loss += weight * least;
            let size = &mut line.sizes[given as usize];
            let girth = loss.girth(*at);
            size.share += weight;
            // Of a number and one that is none, the number is less and more.
            (size.least, size.most) = (size.least.min(girth), size.most.max(girth));
        }
        line.loss /= total;
        line.sizes.iter_mut().for_each(|size| size.share /= total);
        line
    }
}
