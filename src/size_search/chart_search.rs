//! Input of a search for a chart by waist and hip, with its checks; what a heuristic search prepares (people, search grid,
//! lower bound), and the loop over its starts.

use std::time::{Duration, Instant};

use super::coverage_bound::CoverageBound;
use super::loss::Loss;
use super::one_girth::{
    BestSizes, first_problem_of_girths, size_count_and_loss_problems, table_cell_count_problem, weight_problems,
};
use super::points::{ComparedPeople, WaistHip, WaistHipPoints, sort_and_merge_girths};
use super::size_constraints::{SearchSettings, SizeConstraints};
use crate::error::{Problem, Problems};
use crate::interrupt::Stoppable;
use crate::random::{CounterRng, RandomStream};

/// Maximum number of distinct pairs of waist and hip up to which the search uses unrounded girths.
const MAX_UNROUNDED_GIRTH_PAIRS: usize = 50;

/// Number of random numbers reserved for each start, so that no start depends on the draws of those before.
const RANDOM_NUMBERS_PER_START: u128 = 1 << 32;

/// Checked input of a search for a chart by waist and hip.
#[derive(Clone, Copy)]
pub(super) struct SearchInput<'a> {
    /// Waists and hips of all people, in centimetres, with their given weights.
    pub(super) columns: ComparedPeople<'a>,
    /// Requested number of sizes.
    pub(super) size_count: usize,
    pub(super) loss: &'a Loss,
    pub(super) settings: &'a SearchSettings,
    /// Time at which the search stops, if it has a time limit.
    deadline: Option<Instant>,
}

impl<'a> SearchInput<'a> {
    /// Checks the people, the number of sizes, the loss and the settings; adds the given problems. The time limit starts.
    pub(super) fn new(
        columns: ComparedPeople<'a>,
        size_count: usize,
        loss: &'a Loss,
        settings: &'a SearchSettings,
        further_problems: impl IntoIterator<Item = Problem>,
    ) -> Result<Self, Problems> {
        let of_input = [
            size_count_and_loss_problems(size_count, loss),
            people_column_problems(columns, loss),
            settings.setting_problems(),
            settings.constraints.constraint_problems(size_count),
        ];
        Problems::ok_if_empty(of_input.into_iter().flatten().chain(further_problems))?;
        let deadline = settings.time_limit.map(|seconds| Instant::now() + Duration::from_secs_f64(seconds));
        Ok(Self { columns, size_count, loss, settings, deadline })
    }

    /// Returns whether the time limit has passed.
    pub(super) fn is_out_of_time(&self) -> bool {
        self.deadline.is_some_and(|end| Instant::now() >= end)
    }

    /// Iterates over at most `count` starts, each with its random numbers; over the first start only once the time limit
    /// has passed.
    pub(super) fn starts(&self, count: u32) -> impl Iterator<Item = (u32, CounterRng)> {
        let first_number = |start: u32| u128::from(start) * RANDOM_NUMBERS_PER_START;
        let rng = move |start| CounterRng::new(self.settings.seed, RandomStream::Starts, first_number(start));
        let starts = (0..count).take_while(|start| *start == 0 || !self.is_out_of_time());
        starts.map(move |start| (start, rng(start)))
    }

    /// Returns the number of sizes that are not fixed.
    pub(super) fn free_count(self) -> usize {
        self.size_count - self.settings.constraints.fixed.len()
    }

    /// Returns the weights of the people who remain for the free sizes of a loss with tolerance, 0 for all others; and
    /// the rows of the people whom no allowed size can serve.
    fn open_weights_and_rows_out_of_reach(self) -> (Vec<f64>, Vec<usize>) {
        let Self { columns, loss, settings, .. } = self;
        let (fixed, mut weights, mut out_of_reach) = (settings.constraints.fixed_centres(loss), Vec::new(), Vec::new());
        for (row, (person, weight)) in columns.people_in_search_coordinates(loss).enumerate() {
            let is_served_by = |size: &WaistHip| loss.loss_of_person_in_size(person, *size) <= 0.0;
            let is_left = !fixed.iter().any(is_served_by);
            let is_in_reach = is_served_by(&settings.constraints.nearest_allowed_girths(person, loss));
            weights.push(if is_left && is_in_reach { weight } else { 0.0 });
            out_of_reach.extend((is_left && !is_in_reach).then_some(row));
        }
        (weights, out_of_reach)
    }

    /// Returns the lower bound from the best sizes by waist alone and by hip alone; for a loss with tolerance the larger
    /// of it and the certified bound, with the certificate, if the settings ask for one.
    fn loss_lower_bound_and_certificate(self) -> Result<(f64, Option<CoverageBound>), Problems> {
        let Self { columns, loss, settings, .. } = self;
        let reach = settings.constraints.reach_in_each_girth(loss);
        // Additive losses keep the fixed sizes among the sizes of the search.
        let sizes = if reach.is_some() { self.free_count() } else { self.size_count };
        let max_differences = loss.max_served_differences();
        let losses = [0, 1].map(|girth: usize| max_differences.map_or(*loss, |max| Loss::Within(max[girth])));
        let sorted = |girths| sort_and_merge_girths(girths, columns.weights, loss);
        let sorted = [sorted(columns.waist)?, sorted(columns.hip)?];
        let problem = |(name, sorted): (_, &Vec<_>)| table_cell_count_problem(name, sorted.len(), sizes, loss);
        Problems::ok_if_empty(["waist", "hip"].into_iter().zip(&sorted).filter_map(problem))?;
        let certified = reach.filter(|_| settings.certify).map(|reach| CoverageBound::new(self, reach)).transpose()?;
        // k sizes have at most k waists and k hips, so that the loss in each girth is at least its optimum.
        let least_loss = |girth: usize| BestSizes::of_sorted_values(&sorted[girth], sizes, &losses[girth]);
        let (waist_loss, hip_loss) = (least_loss(0)?.loss, least_loss(1)?.loss);
        let one_girth = if reach.is_some() { waist_loss.max(hip_loss) } else { waist_loss + hip_loss };
        Ok((certified.as_ref().map_or(0.0, |bound| bound.min_unserved).max(one_girth), certified))
    }
}

/// Prepared heuristic search for a chart by waist and hip.
pub(super) struct ChartSearch<'a> {
    pub(super) input: SearchInput<'a>,
    /// Waist and hip of the fixed sizes, in search coordinates (cm or ln cm).
    pub(super) fixed: Vec<WaistHip>,
    /// Weight of each person in the search, if the loss has a tolerance and the settings have constraints: 0 for those
    /// whom a fixed size serves, and for those whom no allowed size can serve. Otherwise `None`: all people remain for
    /// the free sizes.
    pub(super) open_weights: Option<Vec<f64>>,
    /// Rows of the people whom no allowed size can serve.
    pub(super) out_of_reach: Vec<usize>,
    /// Points of all people who remain for the free sizes, with unrounded girths.
    pub(super) people: WaistHipPoints,
    /// Points of the same people with girths rounded to the search grid; equal to `people` if these have at most 50
    /// distinct pairs of girths.
    pub(super) grid_points: WaistHipPoints,
    /// Whether the girths of `grid_points` are rounded; false if `people` have at most 50 distinct pairs of girths.
    pub(super) is_rounded: bool,
    /// Whether nothing is to search: no size is free, or no free size can serve anybody whom the fixed sizes do not.
    pub(super) has_nothing_to_search: bool,
    /// Lower bound on the mean loss, over `people`, of every chart with the requested number of sizes: the bound from
    /// the best sizes by waist alone and by hip alone or, if larger, the certified bound of a loss with tolerance.
    pub(super) bound: f64,
    /// Certified bound for a loss with tolerance, if the settings ask for a certificate; `None` for any other loss.
    pub(super) coverage_bound: Option<CoverageBound>,
}

impl<'a> ChartSearch<'a> {
    /// Rounds the people of a checked input to the search grid and computes the lower bound.
    pub(super) fn new(input: SearchInput<'a>) -> Result<Self, Problems> {
        let SearchInput { columns, loss, settings, .. } = input;
        let free = SizeConstraints { unit: settings.constraints.unit, ..SizeConstraints::default() };
        let is_narrowed = loss.max_served_differences().is_some() && settings.constraints != free;
        let open = is_narrowed.then(|| input.open_weights_and_rows_out_of_reach());
        let (open_weights, out_of_reach) = open.unzip();
        let in_search = ComparedPeople { weights: open_weights.as_deref().or(columns.weights), ..columns };
        let people = WaistHipPoints::merge_people(in_search.girths_and_weights_of_people(), loss)?;
        let has_nothing_to_search = input.free_count() == 0 || people.girths.is_empty();
        let is_rounded = people.girths.len() > MAX_UNROUNDED_GIRTH_PAIRS;
        let on_grid = |girth: f64| if is_rounded { (girth / settings.step).round() * settings.step } else { girth };
        let on_grid = in_search.girths_and_weights_of_people().map(|(girths, weight)| (girths.map(on_grid), weight));
        let grid_points = WaistHipPoints::merge_people(on_grid, loss)?;
        let in_search = SearchInput { columns: in_search, ..input };
        let (bound, coverage_bound) =
            if has_nothing_to_search { (0.0, None) } else { in_search.loss_lower_bound_and_certificate()? };
        Ok(Self {
            input,
            fixed: settings.constraints.fixed_centres(loss),
            open_weights,
            out_of_reach: out_of_reach.unwrap_or_default(),
            people,
            grid_points,
            is_rounded,
            has_nothing_to_search,
            bound,
            coverage_bound,
        })
    }

    /// Runs all starts on the search grid and returns the result with the least loss; ties go to the first start. Both
    /// functions return a result and the loss of the result, which is not negative.
    ///
    /// If the girths are rounded, a result counts only after `improve_on_people`. That function runs if the result's
    /// loss on the grid is 0.1 % below that of every result improved before, as smaller differences come from the
    /// rounding. With equal seeds, the first r starts are those of every search with at least r starts: more starts
    /// never give a worse result.
    pub(super) fn best_result_of_restarts<T: Default>(
        &self,
        mut search_on_grid: impl FnMut(u32, &mut CounterRng) -> Stoppable<(T, f64)>,
        improve_on_people: impl Fn(T, &mut CounterRng) -> Stoppable<(T, f64)>,
    ) -> Stoppable<T> {
        let factor = if self.is_rounded { 0.999 } else { 1.0 };
        let (mut min_on_grid, mut best) = (f64::INFINITY, (T::default(), f64::INFINITY));
        for (restart, mut rng) in self.input.starts(self.input.settings.restarts) {
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

/// Returns the problems of the columns of waists, hips and weights: empty, a number out of range, or different lengths.
pub(super) fn people_column_problems(columns: ComparedPeople, loss: &Loss) -> Vec<Problem> {
    let ComparedPeople { waist, hip, weights, .. } = columns;
    let values = [("waist", waist), ("hip", hip)].map(|(name, girths)| first_problem_of_girths(name, girths, loss));
    let lengths = Problem::numbers_per_person_problem("hip", hip.len(), waist.len());
    values.into_iter().chain([lengths]).flatten().chain(weight_problems(weights, waist.len())).collect()
}
