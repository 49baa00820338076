//! Best chart with fixed steps in waist and hip from each size to the next. Waist and hip of the smallest size decide
//! the chart; a heuristic searches for them.

use super::chart::BestChart;
use super::chart_search::{ChartSearch, SearchInput};
use super::loss::Loss;
use super::points::{ComparedPeople, WaistHip, girth_ranges};
use super::size_constraints::{DropClasses, SearchSettings, SizeConstraints};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::interrupt::Stoppable;

/// Waist or hip of a size minus that of the next smaller size.
const SIZE_STEP_FIELD: Field = Field::new("", "", FieldKind::Length, (0.1, 50.0));

/// Number of random charts evaluated in each start; the pattern search improves the best of them.
const RANDOM_CHARTS_PER_START: usize = 20;

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
/// The search is a heuristic. Each start evaluates 20 random charts with the middle in the range of the girths, and
/// improves the best by pattern search (after Hooke and Jeeves 1961) on the search grid. A final pattern search uses
/// the unrounded girths, down to a step of 0.01 mm. The bound is the bound of
/// [`best_chart`](crate::size_search::best_chart), which holds for every chart.
///
/// # Errors
/// All [`Problems`]: the problems of [`best_chart`](crate::size_search::best_chart), steps outside 0.1 to 50 cm, and
/// constraints on the sizes.
///
/// ```
/// use kirtle::size_search::{SizeSteps, Loss, SearchSettings, best_chart_fixed_steps};
/// use kirtle::survey::Population;
///
/// let women = Population::ansur_women().bodies(1, 0..2000)?;
/// let (waist, hip, search) = (&women.waist, &women.hip, SearchSettings::default());
/// let steps = SizeSteps { waist: 4.0, hip: 4.0 };
/// let best = best_chart_fixed_steps(waist, hip, None, steps, 8, &Loss::Within(3.0), &search)?;
/// let [first, second] = [&best.sizes[0], &best.sizes[1]];
/// assert!((second.waist - first.waist - 4.0).abs() < 1e-9 && best.bound <= best.loss);
/// assert!(best.to_size_chart(20.0, 60.0).is_ok());
///
/// let steps = SizeSteps { waist: 0.0, hip: 4.0 };
/// let problems = best_chart_fixed_steps(waist, hip, None, steps, 8, &Loss::Squared, &search).unwrap_err();
/// assert_eq!(problems.to_string(), "steps.waist: 0 cm is below the minimum of 0.1 cm");
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn best_chart_fixed_steps(
    waist: &[f64],
    hip: &[f64],
    weights: Option<&[f64]>,
    steps: SizeSteps,
    sizes: usize,
    loss: &Loss,
    search: &SearchSettings,
) -> Result<BestChart, Problems> {
    let step_problem = |(name, step)| Field { name, ..SIZE_STEP_FIELD }.range_problem("steps.", step, Unit::Cm);
    let problems = [("waist", steps.waist), ("hip", steps.hip)].into_iter().filter_map(step_problem);
    let SizeConstraints { grid, fixed, drops, min_share } = &search.constraints;
    let constraints = [
        ("grid", grid.is_some()),
        ("fixed", !fixed.is_empty()),
        ("drop", *drops != DropClasses::Any),
        ("min_share", *min_share > 0.0),
    ];
    let given = constraints.into_iter().filter(|(_, is_given)| *is_given);
    let problems = problems.chain(given.map(|(name, _)| Problem::new(Code::Conflict, name).with_limit("steps")));
    let columns = ComparedPeople { waist, hip, weights, groups: &[] };
    let search = ChartSearch::new(SearchInput::new(columns, sizes, loss, search, problems)?)?;
    // Sizes are added one at a time where no girth is rounded.
    let (grid_step, first_count) =
        if search.is_rounded { (search.input.settings.step, sizes) } else { (FINAL_SEARCH_STEP_CM, 1) };
    let first_half = (first_count - 1) as f64 / 2.0;
    // Girths that are `count` sizes larger; `count` may be a fraction or negative.
    let larger = |[waist, hip]: WaistHip, count: f64| [waist + count * steps.waist, hip + count * steps.hip];
    // Sizes in search coordinates (cm or ln cm), smallest size first; `first` is the smallest size, in centimetres.
    let centres = |first: WaistHip, count: usize| -> Vec<WaistHip> {
        (0..count).map(|k| larger(first, k as f64).map(|girth| loss.search_coordinate_of_girth(girth))).collect()
    };
    let people = search.input.columns.girths_and_weights_of_people().filter(|(_, weight)| *weight > 0.0);
    let ranges = girth_ranges(people.map(|(girths, _)| girths));
    let widest = ranges.iter().map(|[min, max]| max - min).fold(0.0, f64::max);
    let first = search.best_result_of_restarts(
        |_, rng| {
            let grid_loss = |first: WaistHip, count: usize| search.grid_points.mean_loss(&centres(first, count), loss);
            let mut found = (WaistHip::default(), f64::INFINITY);
            for _ in 0..RANDOM_CHARTS_PER_START {
                let middle = ranges.map(|[min, max]| min + (max - min) * rng.draw_uniform_0_to_1());
                let first = larger(middle, -first_half);
                let candidate = (first, grid_loss(first, first_count)?);
                found = if candidate.1 < found.1 { candidate } else { found };
            }
            let mut step = widest / 20.0;
            for count in first_count..=sizes {
                // The next size is added above the largest or below the smallest.
                let below = larger(found.0, -1.0);
                if count > first_count && grid_loss(below, count)? < grid_loss(found.0, count)? {
                    found.0 = below;
                }
                let loss_of = |first| grid_loss(first, count);
                found = minimise_by_pattern_search(found.0, step.max(grid_step), grid_step, loss_of)?;
                step = steps.waist.max(steps.hip);
            }
            Ok(found)
        },
        |first, _| {
            let loss_of = |first: WaistHip| search.people.mean_loss(&centres(first, sizes), loss);
            minimise_by_pattern_search(first, grid_step, FINAL_SEARCH_STEP_CM, loss_of)
        },
    )?;
    Ok(BestChart::from_search_centres(search, centres(first, sizes))?)
}

/// Minimises a loss over waist and hip by pattern search: moves to the best of eight neighbours while the loss falls,
/// else halves the step, down to `final_step`. Returns waist and hip of the minimum, in centimetres, and the loss.
fn minimise_by_pattern_search(
    mut current: WaistHip,
    mut step: f64,
    final_step: f64,
    loss: impl Fn(WaistHip) -> Stoppable<f64>,
) -> Stoppable<(WaistHip, f64)> {
    const DIRECTIONS: [[f64; 2]; 8] =
        [[-1.0, 0.0], [1.0, 0.0], [0.0, -1.0], [0.0, 1.0], [-1.0, -1.0], [1.0, 1.0], [-1.0, 1.0], [1.0, -1.0]];
    let mut lowest = loss(current)?;
    while step >= final_step {
        let mut best = (lowest, current);
        for [waist, hip] in DIRECTIONS {
            let next = [current[0] + waist * step, current[1] + hip * step];
            let next_loss = loss(next)?;
            best = if next_loss < best.0 { (next_loss, next) } else { best };
        }
        if best.0 >= lowest {
            step /= 2.0;
        }
        (lowest, current) = best;
    }
    Ok((current, lowest))
}
