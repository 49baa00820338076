//! The best sizes with one drop from hip to waist, which are always in order.

use super::column::Column;
use super::line::{solve, too_large};
use super::loss::Loss;
use super::plane::{BestChart, wrong_plane};
use super::points::Points;
use super::stab::stab;
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};

const DROP: Field = Field::new("drop", "Hip less waist", FieldKind::Length, (-100.0, 100.0), (-39.0, 39.0));

/// The sizes of least mean loss of which every hip is larger than the waist by the same drop, in centimetres: a proven
/// optimum but for rounding, so that the bound is the loss.
///
/// **Squared loss.** With u = hip − drop, a person in the size of waist c loses
/// (waist − c)² + (u − c)² = 2 (m − c)² + (waist − u)² / 2 where m = (waist + u) / 2: but for a number that no choice of
/// sizes changes, twice the loss of the one girth m, which [`best_sizes`](crate::survey::best_sizes) solves. The best drop of all is
/// the mean of hip − waist, for any number of sizes: it is what makes the sum of (waist − u)² least, and otherwise only
/// shifts every m.
///
/// **Within a miss.** A size serves where c is from max(waist, u) − miss to min(waist, u) + miss: an interval for each
/// person, of which as many as can be are to hold one of the centres. An interval that holds a centre still does when the
/// centre moves up to the next upper end, so that centres are upper ends, and a table over the last two gives the most, in
/// `O(n log n + sizes × m²)` for n people and m distinct ends.
///
/// For the other losses no exact way is known here, and they are refused.
///
/// # Errors
/// All the [`Problems`] at once: those of [`best_chart`](crate::survey::best_chart), a drop not from −100 to 100 cm, another loss than these
/// two, more than 4,000 distinct ends: round the girths to millimetres then.
///
/// ```
/// use kirtle::survey::{Loss, best_chart_fixed_drop};
///
/// let (waist, hip) = ([70.0, 72.0, 80.0, 82.0], [95.0, 97.0, 105.0, 107.0]);
/// let best = best_chart_fixed_drop(&waist, &hip, 25.0, 2, &Loss::Squared)?;
/// assert_eq!((best.sizes[0].waist, best.sizes[0].hip, best.sizes[1].waist), (71.0, 96.0, 81.0));
/// assert_eq!((best.loss, best.gap()), (2.0, 0.0));
///
/// let problems = best_chart_fixed_drop(&waist, &hip, 25.0, 2, &Loss::Absolute).unwrap_err();
/// assert_eq!(problems.to_string(), "loss: absolute is not squared or within");
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn best_chart_fixed_drop(
    waist: &[f64],
    hip: &[f64],
    drop: f64,
    sizes: usize,
    loss: &Loss,
) -> Result<BestChart, Problems> {
    let mut problems = wrong_plane(waist, hip, sizes, loss);
    problems.extend(DROP.check("", drop, Unit::Cm));
    let other = match loss {
        Loss::Squared | Loss::Within(_) => None,
        Loss::Absolute => Some("absolute"),
        Loss::LogBand(_) => Some("a band of logarithms"),
    };
    let refused = |name: &str| Problem::new(Code::UnknownChoice, "loss").with_value(name);
    problems.extend(other.map(|name| refused(name).with_limit("squared or within")));
    Problems::ok_if_empty(problems)?;
    let pairs = || waist.iter().zip(hip).map(|(waist, hip)| (*waist, hip - drop));
    let centres = if let Loss::Within(max) = *loss {
        let ends = pairs().map(|(waist, hip)| (waist.max(hip) - max, waist.min(hip) + max));
        stab(ends.collect(), sizes)?
    } else {
        let middles: Vec<f64> = pairs().map(|(waist, hip)| f64::midpoint(waist, hip)).collect();
        let column = Column::of(&middles, None, loss);
        Problems::ok_if_empty(too_large("waist", &column, sizes, loss).into_iter().collect())?;
        solve(&column, sizes, loss)
    };
    let centres = centres.into_iter().map(|centre| [centre, centre + drop]).collect();
    let mut plane = BestChart::of(&Points::people(waist, hip, loss), centres, loss, f64::INFINITY);
    plane.bound = plane.loss;
    Ok(plane)
}
