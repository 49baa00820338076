//! Sizes that go up by one step, and so are always in order.

use super::bound::Sample;
use super::loss::Loss;
use super::plane::{BestChart, SearchSettings, wrong_plane};
use super::points::Place;
use crate::error::Problems;
use crate::field::{Field, FieldKind, Unit};

const STEP: Field = Field::new("", "One size to the next", FieldKind::Length, (0.1, 50.0), (0.1, 19.0));

/// The most starts along one girth.
const MAX_ALONG: u32 = 100;

/// The last step of the search, in centimetres.
const LAST: f64 = 0.001;

/// Steps from one size to the next, in centimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FixedSteps {
    /// At the waist: from 0.1 to 50 cm.
    pub waist: f64,
    /// At the hip: from 0.1 to 50 cm.
    pub hip: f64,
}

/// Sizes with the same step from each to the next and little mean loss: the search is for the smallest size.
///
/// The starts lie on a lattice, [`Search::restarts`] along each girth, a hundred at most, and are tried on people moved to
/// squares as in [`best_chart`](crate::survey::best_chart). From the best of them, as many, the search goes on along both girths with halved
/// steps, and from the best end, on the people as they are, down to a hundredth of a millimetre. This proves nothing; the
/// bound is that of `best_chart`, which holds for any chart. [`Search::seed`] is not used.
///
/// # Errors
/// All the [`Problems`] at once: those of [`best_chart`](crate::survey::best_chart), and steps not from 0.1 to 50 cm.
///
/// ```
/// use kirtle::survey::{FixedSteps, Loss, Population, SearchSettings, best_chart_fixed_steps};
///
/// let women = Population::ansur_women().bodies(1, 0..2000)?;
/// let steps = FixedSteps { waist: 4.0, hip: 4.0 };
/// let best = best_chart_fixed_steps(&women.waist, &women.hip, steps, 8, &Loss::Within(3.0), &SearchSettings::default())?;
/// let [first, second] = [&best.sizes[0], &best.sizes[1]];
/// assert!((second.waist - first.waist - 4.0).abs() < 1e-9 && best.bound <= best.loss);
/// assert!(best.chart(20.0, 60.0).is_ok());
///
/// let steps = FixedSteps { waist: 0.0, hip: 4.0 };
/// let problems = best_chart_fixed_steps(&women.waist, &women.hip, steps, 8, &Loss::Squared, &SearchSettings::default()).unwrap_err();
/// assert_eq!(problems.to_string(), "steps.waist: 0 cm is below the minimum of 0.1 cm");
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn best_chart_fixed_steps(
    waist: &[f64],
    hip: &[f64],
    steps: FixedSteps,
    sizes: usize,
    loss: &Loss,
    search: &SearchSettings,
) -> Result<BestChart, Problems> {
    let mut problems = wrong_plane(waist, hip, sizes, loss);
    problems.extend(search.problems());
    let named = [("waist", steps.waist), ("hip", steps.hip)];
    problems.extend(named.iter().filter_map(|(name, step)| Field { name, ..STEP }.check("steps.", *step, Unit::Cm)));
    Problems::ok_if_empty(problems)?;
    let Sample { cells, people, bound } = Sample::of(waist, hip, sizes, loss, search.step)?;
    let chart = |first: Place| steps.from(first, sizes, loss);
    let on_cells = |first: Place| cells.assign(&chart(first), loss).1;
    let count = search.restarts.min(MAX_ALONG);
    let (start, spacing) = lattice([waist, hip], steps, sizes, count);
    let mut starts: Vec<(f64, Place)> = start.into_iter().map(|first| (on_cells(first), first)).collect();
    starts.sort_by(|a, b| a.0.total_cmp(&b.0));
    starts.truncate(count as usize);
    let near = search.step.min(spacing);
    let walked = starts.into_iter().map(|(_, first)| walk(first, spacing, near, on_cells));
    // Of equals the first.
    let best = walked.reduce(|best, next| if on_cells(next) < on_cells(best) { next } else { best });
    let first = walk(best.unwrap_or_default(), near, LAST, |first| people.assign(&chart(first), loss).1);
    Ok(BestChart::of(&people, chart(first), loss, bound))
}

impl FixedSteps {
    /// The sizes from the smallest on, on the scale of the loss.
    fn from(self, first: Place, sizes: usize, loss: &Loss) -> Vec<Place> {
        #[allow(clippy::cast_precision_loss)]
        let size = |k: usize| [first[0] + k as f64 * self.waist, first[1] + k as f64 * self.hip];
        (0..sizes).map(|k| size(k).map(|girth| loss.scaled(girth))).collect()
    }
}

/// Smallest sizes of charts whose middle goes over all people in both girths, and how far they lie apart at most.
fn lattice(girths: [&[f64]; 2], steps: FixedSteps, sizes: usize, count: u32) -> (Vec<Place>, f64) {
    #[allow(clippy::cast_precision_loss)]
    let half = (sizes - 1) as f64 / 2.0;
    let range = |girths: &[f64]| {
        girths.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(min, max), girth| (min.min(*girth), max.max(*girth)))
    };
    let [waist, hip] = girths.map(range);
    let along = |(min, max): (f64, f64), step: f64| {
        let at = move |k: u32| min + (max - min) * (f64::from(k) + 0.5) / f64::from(count) - half * step;
        (0..count).map(at)
    };
    let spacing = (waist.1 - waist.0).max(hip.1 - hip.0) / f64::from(count);
    let starts = along(waist, steps.waist).flat_map(|waist| along(hip, steps.hip).map(move |hip| [waist, hip]));
    (starts.collect(), spacing)
}

/// Goes to the lowest of the eight neighbours while one is lower, and halves the step where none is, down to the last step.
fn walk(mut at: Place, mut step: f64, last: f64, loss: impl Fn(Place) -> f64) -> Place {
    const AROUND: [[f64; 2]; 8] =
        [[-1.0, 0.0], [1.0, 0.0], [0.0, -1.0], [0.0, 1.0], [-1.0, -1.0], [1.0, 1.0], [-1.0, 1.0], [1.0, -1.0]];
    let mut lowest = loss(at);
    while step >= last {
        let near = AROUND.map(|[waist, hip]| [at[0] + waist * step, at[1] + hip * step]);
        let tried = near.map(|next| (loss(next), next));
        let best = tried.into_iter().reduce(|best, next| if next.0 < best.0 { next } else { best });
        match best.filter(|best| best.0 < lowest) {
            Some(best) => (lowest, at) = best,
            None => step /= 2.0,
        }
    }
    at
}
