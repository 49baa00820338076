//! Best chart with fixed steps in waist and hip from each size to the next: a heuristic search for the smallest size.

use super::chart::{BestChart, SearchSettings, chart_search_problems};
use super::loss::Loss;
use super::lower_bound::ChartSearchInput;
use super::points::WaistHip;
use crate::error::Problems;
use crate::field::{Field, FieldKind, Unit};

const STEP: Field = Field::new("", "Girth added by each size.", FieldKind::Length, (0.1, 50.0), (0.1, 19.0));

/// Maximum number of lattice points along each girth; each point is a start of the search for the smallest size.
const MAX_LATTICE_POINTS_PER_GIRTH: u32 = 100;

/// Step below which the final pattern search ends, in centimetres.
const FINAL_SEARCH_STEP_CM: f64 = 0.001;

/// Fixed differences in waist and in hip from each size of a chart to the next larger size, in centimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SizeSteps {
    /// Waist of the larger of two consecutive sizes minus waist of the smaller: from 0.1 to 50 cm.
    pub waist: f64,
    /// Hip of the larger of two consecutive sizes minus hip of the smaller: from 0.1 to 50 cm.
    pub hip: f64,
}

/// Searches for the chart of k sizes with fixed steps in waist and hip that has the least mean loss. The unknown is the
/// smallest size.
///
/// The search is a heuristic. With n = [`SearchSettings::restarts`], at most 100, it evaluates n × n starts on a
/// lattice and improves the n best by pattern search (after Hooke and Jeeves 1961) on the search grid. A final pattern
/// search of the best result uses the unrounded girths, down to a step of 0.01 mm. The bound is the bound of
/// [`best_chart`](crate::survey::best_chart), which holds for every chart. [`SearchSettings::seed`] has no effect.
///
/// # Errors
/// All the [`Problems`] at once: the problems of [`best_chart`](crate::survey::best_chart), and steps outside 0.1 to 50
/// cm.
///
/// ```
/// use kirtle::survey::{SizeSteps, Loss, Population, SearchSettings, best_chart_fixed_steps};
///
/// let women = Population::ansur_women().bodies(1, 0..2000)?;
/// let (waist, hip, search) = (&women.waist, &women.hip, SearchSettings::default());
/// let steps = SizeSteps { waist: 4.0, hip: 4.0 };
/// let best = best_chart_fixed_steps(waist, hip, steps, 8, &Loss::Within(3.0), &search)?;
/// let [first, second] = [&best.sizes[0], &best.sizes[1]];
/// assert!((second.waist - first.waist - 4.0).abs() < 1e-9 && best.bound <= best.loss);
/// assert!(best.chart(20.0, 60.0).is_ok());
///
/// let steps = SizeSteps { waist: 0.0, hip: 4.0 };
/// let problems = best_chart_fixed_steps(waist, hip, steps, 8, &Loss::Squared, &search).unwrap_err();
/// assert_eq!(problems.to_string(), "steps.waist: 0 cm is below the minimum of 0.1 cm");
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn best_chart_fixed_steps(
    waist: &[f64],
    hip: &[f64],
    steps: SizeSteps,
    sizes: usize,
    loss: &Loss,
    search: &SearchSettings,
) -> Result<BestChart, Problems> {
    let mut problems = chart_search_problems(waist, hip, sizes, loss);
    problems.extend(search.setting_problems());
    let named_steps = [("waist", steps.waist), ("hip", steps.hip)];
    problems.extend(
        named_steps.iter().filter_map(|(name, step)| Field { name, ..STEP }.range_problem("steps.", *step, Unit::Cm)),
    );
    Problems::ok_if_empty(problems)?;
    let ChartSearchInput { grid_points, people, bound } = ChartSearchInput::new(waist, hip, sizes, loss, search.step)?;
    let centres = |first: WaistHip| steps.size_girths_on_loss_scale(first, sizes, loss);
    let grid_loss = |first: WaistHip| grid_points.assign_to_best_centres(&centres(first), loss).1;
    let count = search.restarts.min(MAX_LATTICE_POINTS_PER_GIRTH);
    let (lattice_points, spacing) = smallest_size_lattice([waist, hip], steps, sizes, count);
    let mut starts: Vec<(f64, WaistHip)> = lattice_points.into_iter().map(|first| (grid_loss(first), first)).collect();
    starts.sort_by(|a, b| a.0.total_cmp(&b.0));
    starts.truncate(count as usize);
    let grid_step = search.step.min(spacing);
    let results = starts.into_iter().map(|(_, first)| girths_by_pattern_search(first, spacing, grid_step, grid_loss));
    // A tie goes to the first result.
    let best = results.reduce(|best, next| if grid_loss(next) < grid_loss(best) { next } else { best });
    let people_loss = |first: WaistHip| people.assign_to_best_centres(&centres(first), loss).1;
    let first = girths_by_pattern_search(best.unwrap_or_default(), grid_step, FINAL_SEARCH_STEP_CM, people_loss);
    Ok(BestChart::new(&people, centres(first), loss, bound))
}

impl SizeSteps {
    /// Returns waist and hip of each size on the loss scale, smallest first; `first` is the smallest, in centimetres.
    fn size_girths_on_loss_scale(self, first: WaistHip, sizes: usize, loss: &Loss) -> Vec<WaistHip> {
        #[allow(clippy::cast_precision_loss)]
        let size = |k: usize| [first[0] + k as f64 * self.waist, first[1] + k as f64 * self.hip];
        (0..sizes).map(|k| size(k).map(|girth| loss.girth_on_loss_scale(girth))).collect()
    }
}

/// Returns a lattice of candidates for the smallest size, and the larger of its spacings in waist and in hip, in
/// centimetres. The midpoints of the candidates' charts cover the range of each girth evenly.
fn smallest_size_lattice(girths: [&[f64]; 2], steps: SizeSteps, sizes: usize, count: u32) -> (Vec<WaistHip>, f64) {
    #[allow(clippy::cast_precision_loss)]
    let half = (sizes - 1) as f64 / 2.0;
    let range = |girths: &[f64]| {
        girths.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(min, max), girth| (min.min(*girth), max.max(*girth)))
    };
    let [waist, hip] = girths.map(range);
    let lattice_girths = |(min, max): (f64, f64), step: f64| {
        let girth = move |k: u32| min + (max - min) * (f64::from(k) + 0.5) / f64::from(count) - half * step;
        (0..count).map(girth)
    };
    let spacing = (waist.1 - waist.0).max(hip.1 - hip.0) / f64::from(count);
    let points = lattice_girths(waist, steps.waist)
        .flat_map(|waist| lattice_girths(hip, steps.hip).map(move |hip| [waist, hip]));
    (points.collect(), spacing)
}

/// Returns the waist and hip at a local minimum of a loss, by pattern search: moves to the best of eight neighbours
/// while the loss falls, else halves the step, down to `final_step`.
fn girths_by_pattern_search(
    mut current: WaistHip,
    mut step: f64,
    final_step: f64,
    loss: impl Fn(WaistHip) -> f64,
) -> WaistHip {
    const DIRECTIONS: [[f64; 2]; 8] =
        [[-1.0, 0.0], [1.0, 0.0], [0.0, -1.0], [0.0, 1.0], [-1.0, -1.0], [1.0, 1.0], [-1.0, 1.0], [1.0, -1.0]];
    let mut lowest = loss(current);
    while step >= final_step {
        let neighbours = DIRECTIONS.map(|[waist, hip]| [current[0] + waist * step, current[1] + hip * step]);
        let evaluated = neighbours.map(|next| (loss(next), next));
        let best = evaluated.into_iter().reduce(|best, next| if next.0 < best.0 { next } else { best });
        match best.filter(|best| best.0 < lowest) {
            Some(best) => (lowest, current) = best,
            None => step /= 2.0,
        }
    }
    current
}
