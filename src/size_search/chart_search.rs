//! Input of a heuristic search for a chart by waist and hip: checked settings, people, search grid and lower bound;
//! and the loop over its starts.

use super::coverage_bound::CoverageBound;
use super::loss::Loss;
use super::one_girth::{
    first_girth_problem, least_mean_loss, size_count_and_loss_problems, too_large_table_problem, weight_problems,
};
use super::points::WaistHipPoints;
use super::search_settings::{Deadline, SearchSettings};
use super::sorted_values::SortedValues;
use crate::error::{Problem, Problems};
use crate::interrupt::Stopped;
use crate::random::{CounterRng, RandomStream};

/// Maximum number of distinct pairs of girths that are searched unrounded.
const MAX_UNROUNDED_GIRTH_PAIRS: usize = 50;

/// Random numbers reserved for each start, so that no start depends on how many numbers the starts before have drawn.
const RANDOM_NUMBERS_PER_START: u128 = 1 << 32;

/// Input of a heuristic search for a chart by waist and hip.
pub(super) struct ChartSearch<'a> {
    /// Requested number of sizes.
    pub(super) size_count: usize,
    pub(super) loss: &'a Loss,
    pub(super) settings: &'a SearchSettings,
    pub(super) deadline: Deadline,
    /// Waists and hips of the people, in centimetres.
    pub(super) columns: [&'a [f64]; 2],
    /// Weights of the people; `None` if every weight is 1.
    pub(super) weights: Option<&'a [f64]>,
    /// People with unrounded girths.
    pub(super) people: WaistHipPoints,
    /// People with girths rounded to the search grid; equal to `people` if there are few people.
    pub(super) grid_points: WaistHipPoints,
    /// Whether the girths of `grid_points` are rounded; false for few people.
    pub(super) is_rounded: bool,
    /// Lower bound on the mean loss of every chart with the requested number of sizes: the certified bound of
    /// [`Loss::Within`], or the bound of one girth.
    pub(super) bound: f64,
    /// Certified bound for [`Loss::Within`], if the settings ask for a certificate; `None` for any other loss.
    pub(super) coverage_bound: Option<CoverageBound>,
}

impl<'a> ChartSearch<'a> {
    /// Checks the input, rounds the people to the search grid and computes the lower bound.
    pub(super) fn new(
        waist: &'a [f64],
        hip: &'a [f64],
        weights: Option<&'a [f64]>,
        size_count: usize,
        loss: &'a Loss,
        settings: &'a SearchSettings,
        further_problems: impl IntoIterator<Item = Problem>,
    ) -> Result<Self, Problems> {
        let mut problems = chart_search_problems(waist, hip, weights, size_count, loss);
        problems.extend(settings.setting_problems());
        problems.extend(further_problems);
        Problems::ok_if_empty(problems)?;
        let deadline = settings.deadline_from_now();
        let girths = [waist, hip].map(|girths| SortedValues::from_girths_to_sort_and_merge(girths, weights, loss));
        let named_girths = ["waist", "hip"].into_iter().zip(&girths);
        let problems =
            named_girths.filter_map(|(name, sorted)| too_large_table_problem(name, sorted, size_count, loss));
        Problems::ok_if_empty(problems.collect())?;
        let people = WaistHipPoints::merge_unrounded_people(waist, hip, weights, loss)?;
        let is_rounded = people.girths.len() > MAX_UNROUNDED_GIRTH_PAIRS;
        let on_grid = |girth: f64| (girth / settings.step).round() * settings.step;
        let grid_points = if is_rounded {
            WaistHipPoints::merge_rounded_people(waist, hip, weights, loss, on_grid)?
        } else {
            people.clone()
        };
        let coverage_bound = match loss {
            Loss::Within(tolerance) if settings.certify => Some(CoverageBound::new(
                [waist, hip],
                weights,
                size_count,
                *tolerance,
                (settings.target_gap, deadline),
            )?),
            _ => None,
        };
        // k sizes have at most k waists and k hips, so that the loss in each girth is at least its optimum.
        let [waist_loss, hip_loss] = girths.each_ref().map(|sorted| least_mean_loss(sorted, size_count, loss));
        let (waist_loss, hip_loss) = (waist_loss?, hip_loss?);
        let is_additive = !matches!(loss, Loss::Within(_));
        let one_girth = if is_additive { waist_loss + hip_loss } else { waist_loss.max(hip_loss) };
        let bound = coverage_bound.as_ref().map_or(0.0, |bound| bound.min_unserved).max(one_girth);
        let columns = [waist, hip];
        Ok(Self {
            size_count,
            loss,
            settings,
            deadline,
            columns,
            weights,
            people,
            grid_points,
            is_rounded,
            bound,
            coverage_bound,
        })
    }

    /// Runs all starts on the search grid and returns the result with the least loss; ties go to the first start. Both
    /// functions return a result and the loss of the result, which is not negative.
    ///
    /// If the girths are rounded, a result counts only after `improve_on_people`. That function runs if the result's loss on the
    /// grid is 0.1 % below that of every result improved before, as smaller differences come from the rounding. With equal
    /// seeds, the first r starts are those of every search with at least r starts: more starts never give a worse result.
    pub(super) fn best_result_of_restarts<T: Default>(
        &self,
        mut search_on_grid: impl FnMut(u32, &mut CounterRng) -> Result<(T, f64), Stopped>,
        improve_on_people: impl Fn(T, &mut CounterRng) -> Result<(T, f64), Stopped>,
    ) -> Result<T, Stopped> {
        let factor = if self.is_rounded { 0.999 } else { 1.0 };
        let (mut min_on_grid, mut best) = (f64::INFINITY, (T::default(), f64::INFINITY));
        for restart in 0..self.settings.restarts {
            if restart > 0 && self.deadline.has_passed() {
                break;
            }
            let first_number = u128::from(restart) * RANDOM_NUMBERS_PER_START;
            let mut rng = CounterRng::new(self.settings.seed, RandomStream::Starts, first_number);
            let (found, loss_on_grid) = search_on_grid(restart, &mut rng)?;
            if loss_on_grid < min_on_grid * factor {
                min_on_grid = loss_on_grid;
                let improved =
                    if self.is_rounded { improve_on_people(found, &mut rng)? } else { (found, loss_on_grid) };
                if improved.1 < best.1 {
                    best = improved;
                }
            }
        }
        Ok(best.0)
    }
}

/// Returns the problems of the people, the number of sizes and the loss parameters of a chart search.
pub(super) fn chart_search_problems(
    waist: &[f64],
    hip: &[f64],
    weights: Option<&[f64]>,
    size_count: usize,
    loss: &Loss,
) -> Vec<Problem> {
    let mut problems = size_count_and_loss_problems(size_count, loss);
    problems.extend(people_column_problems(waist, hip, weights, loss));
    problems
}

/// Returns the problems of the columns of waists, hips and weights: empty, a number out of range, or different lengths.
pub(super) fn people_column_problems(waist: &[f64], hip: &[f64], weights: Option<&[f64]>, loss: &Loss) -> Vec<Problem> {
    let values = [("waist", waist), ("hip", hip)].map(|(name, girths)| first_girth_problem(name, girths, loss));
    let lengths = Problem::if_not_one_number_per_person("hip", hip.len(), waist.len());
    values.into_iter().chain([lengths]).flatten().chain(weight_problems(weights, waist.len())).collect()
}
