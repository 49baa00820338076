//! Charts of listed sizes: sizes in drop classes, or sizes that each have a minimum share of the people. Every allowed
//! size is listed, with its loss for every person; `interchange` chooses among them, `listed_bound` proves a bound.

use std::ops::Range;

use super::chart::{BestChart, BoundProofCase};
use super::interchange::ROUNDING;
use super::loss::Loss;
use super::points::{ComparedPeople, SortedValues, WaistHip, WaistHipPoints, girth_ranges};
use super::size_constraints::{DROP_FIELD, Deadline, DropClasses, SearchSettings, rounded_grid_multiple};
use crate::error::{Code, Problem, Problems};

/// Grid of listed sizes, in centimetres, if the constraints have none.
const DEFAULT_GRID_CM: f64 = 1.0;

/// Maximum number of pairs of point and listed size, whose losses are in memory; each size counts as some more points.
const MAX_PAIRS: usize = 30_000_000;
const MIN_POINTS: usize = 100;

/// Number of starts with which one choice of drops is judged.
const STARTS_PER_CHOICE_OF_DROPS: u32 = 2;

/// Moves of one drop that are tried, in steps of the grid.
const STEPS_OF_A_DROP: [f64; 8] = [-1.0, 1.0, -2.0, 2.0, -4.0, 4.0, -8.0, 8.0];

/// Sizes of one class: their drops, of which `None` is any drop; and the maximum number in a chart.
type DropsAndMaxCount = (Vec<Option<f64>>, usize);

/// Allowed sizes, and the loss of each point in each of them.
pub(super) struct ListedSizes<'a> {
    pub(super) points: &'a WaistHipPoints,
    pub(super) loss: &'a Loss,
    pub(super) settings: &'a SearchSettings,
    /// Waist and hip of each size, in search coordinates (cm or ln cm): the fixed sizes, then class by class.
    pub(super) sizes: Vec<WaistHip>,
    /// For each size, the loss of each point.
    pub(super) losses: Vec<Vec<f64>>,
    /// For each class, the indices of its sizes, and the maximum number of them in a chart.
    pub(super) classes: Vec<(Range<usize>, usize)>,
    /// Sum of the weights of the points.
    pub(super) total_weight: f64,
    pub(super) deadline: Deadline,
}

/// Searches for the best chart of listed sizes. The input is valid, but for the number of pairs of person and size, and
/// for a minimum share that no size has.
pub(super) fn best_chart_of_listed_sizes(
    columns: ComparedPeople,
    size_count: usize,
    loss: &Loss,
    settings: &SearchSettings,
) -> Result<BestChart, Problems> {
    let points = &WaistHipPoints::merge_people(columns.girths_and_weights_of_people(), loss, |girth| girth)?;
    let free = size_count - settings.constraints.fixed.len();
    let (deadline, grid) = (settings.deadline(), settings.constraints.grid.unwrap_or(DEFAULT_GRID_CM));
    let list = |classes: &[DropsAndMaxCount]| ListedSizes::new(points, loss, settings, classes, deadline);
    let some = |drops: &[f64]| drops.iter().copied().map(Some).collect();
    let all = match &settings.constraints.drops {
        DropClasses::Any => list(&[(vec![None], free)]),
        DropClasses::Number(_) => list(&[(some(&drops_of_people(points, loss, grid).0), free)]),
        DropClasses::Values(drops) => list(&[(some(drops), free)]),
        DropClasses::SizesByDrop(counts) => {
            list(&counts.iter().map(|(drop, count)| (vec![Some(*drop)], *count)).collect::<Vec<_>>())
        }
    }?;
    let bound = all.bound(2.0 * all.best_of_starts(1, &[], 0.0)?.1)?;
    let centres = match settings.constraints.drops {
        DropClasses::Number(number) if number < free => {
            let of_drops = |drops: &[f64], starts: u32| {
                let list = list(&[(some(drops), free)])?;
                Ok(list.best_of_starts(starts, &list.tried_sizes(None), bound.mean_loss)?)
            };
            let (_, drops) = drops_of_people(points, loss, grid);
            let first = drops.optimal_centres(number, &Loss::Absolute)?;
            best_centres_of_drop_choices(first, grid, settings.restarts, of_drops)?
        }
        _ => all.best_of_starts(settings.restarts, &all.tried_sizes(Some(&bound.sums)), bound.mean_loss)?.0,
    };
    let mut chart = BestChart::new(points, centres, loss, bound.mean_loss.max(0.0))?;
    if settings.certify && chart.loss > 0.0 {
        let multiplier = |(girths, _)| points.index_of(girths).map_or(0.0, |point| bound.multipliers[point]);
        let multipliers = columns.people_in_search_coordinates(loss).map(multiplier).collect();
        chart.certificate = vec![BoundProofCase { fixed: Vec::new(), multipliers }];
    }
    Ok(chart)
}

/// Returns the drops of the people, rounded to the grid, with all multiples of the grid in between; and the rounded
/// drops with their weights.
#[allow(clippy::cast_possible_truncation)]
fn drops_of_people(points: &WaistHipPoints, loss: &Loss, grid: f64) -> (Vec<f64>, SortedValues) {
    let steps = |point: &WaistHip| {
        let [waist, hip] = point.map(|scaled| loss.girth_from_search_coordinate(scaled));
        // No size has a larger drop.
        ((hip - waist).clamp(DROP_FIELD.range.0, DROP_FIELD.range.1) / grid).round()
    };
    let drops: Vec<f64> = points.girths.iter().map(|point| rounded_grid_multiple(steps(point), grid)).collect();
    let sorted = SortedValues::sort_and_merge_girths(&drops, Some(&points.weights), &Loss::Absolute);
    let [first, last] = [sorted.values[0], sorted.values[sorted.values.len() - 1]].map(|drop| (drop / grid).round());
    ((first as i64..=last as i64).map(|steps| rounded_grid_multiple(steps as f64, grid)).collect(), sorted)
}

/// Moves one of the drops at a time by some steps of the grid while the loss falls; returns the best centres of the last
/// drops. `of_drops` returns the best centres found for given drops in a number of starts, and their loss.
fn best_centres_of_drop_choices(
    mut drops: Vec<f64>,
    grid: f64,
    restarts: u32,
    of_drops: impl Fn(&[f64], u32) -> Result<(Vec<WaistHip>, f64), Problems>,
) -> Result<Vec<WaistHip>, Problems> {
    let starts = restarts.min(STARTS_PER_CHOICE_OF_DROPS);
    let mut least = of_drops(&drops, starts)?.1;
    loop {
        let before = least;
        for (index, steps) in (0..drops.len()).flat_map(|index| STEPS_OF_A_DROP.map(|steps| (index, steps))) {
            let mut moved = drops.clone();
            moved[index] = rounded_grid_multiple((moved[index] / grid).round() + steps, grid);
            let loss = of_drops(&moved, starts)?.1;
            (drops, least) = if loss < least { (moved, loss) } else { (drops, least) };
        }
        if least >= before {
            return Ok(of_drops(&drops, restarts)?.0);
        }
    }
}

/// Returns the first and the last of the multiples of a grid that reach from `min` to `max`, in steps of the grid; a girth
/// is at least one step.
fn grid_range([min, max]: [f64; 2], grid: f64) -> [f64; 2] {
    let first = (min / grid).floor().max(1.0);
    [first, (max / grid).ceil().max(first)]
}

impl<'a> ListedSizes<'a> {
    /// Lists the sizes of each class: multiples of the grid in the ranges of the people, as no size is better outside.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn new(
        points: &'a WaistHipPoints,
        loss: &'a Loss,
        settings: &'a SearchSettings,
        classes: &[DropsAndMaxCount],
        deadline: Deadline,
    ) -> Result<Self, Problems> {
        let (constraints, total_weight) = (&settings.constraints, points.weights.iter().sum());
        let (sizes, losses, grid) = (Vec::new(), Vec::new(), constraints.grid.unwrap_or(DEFAULT_GRID_CM));
        let mut list = Self { points, loss, settings, sizes, losses, classes: Vec::new(), total_weight, deadline };
        constraints.fixed_centres(loss).into_iter().for_each(|size| list.add(size));
        let girths = points.girths.iter().map(|point| point.map(|scaled| loss.girth_from_search_coordinate(scaled)));
        let [waists, hips] = girth_ranges(girths);
        let hip_steps = grid_range(hips, grid);
        // In steps of the grid; with a drop, waist or hip of each size is in the range of the people.
        let waist_steps = |drop: Option<f64>| {
            let with_drop = |drop: f64| [waists[0].min(hips[0] - drop), waists[1].max(hips[1] - drop)];
            grid_range(drop.map_or(waists, with_drop), grid)
        };
        let count = |[first, last]: [f64; 2]| last - first + 1.0;
        let size_count = |drop: &Option<f64>| count(waist_steps(*drop)) * drop.map_or(count(hip_steps), |_| 1.0);
        let sizes: f64 = classes.iter().flat_map(|(drops, _)| drops.iter().map(size_count)).sum();
        let pairs = sizes * (points.girths.len() + MIN_POINTS) as f64;
        let problem = Problem::too_many_problem("grid", pairs as usize, MAX_PAIRS, "pairs of person and size");
        Problems::ok_if_empty(problem.into_iter().collect())?;
        let multiples = |[first, last]: [f64; 2]| {
            (first as i64..=last as i64).map(move |steps| rounded_grid_multiple(steps as f64, grid))
        };
        let mut greatest_share = 0.0;
        for (drops, max_count) in classes {
            let start = list.sizes.len();
            let waists = drops.iter().flat_map(|drop| multiples(waist_steps(*drop)).map(move |waist| (waist, drop)));
            for (waist, drop) in waists {
                let hips = drop.map_or_else(|| multiples(hip_steps).collect(), |drop| vec![waist + drop]);
                for hip in hips {
                    list.add([waist, hip].map(|girth| loss.search_coordinate_of_girth(girth)));
                    greatest_share = f64::max(greatest_share, list.remove_last_without_min_share());
                }
            }
            let listed = start..list.sizes.len();
            let max_count = (*max_count).min(constraints.max_sizes_with_min_share()).min(listed.len());
            list.classes.push((listed, max_count));
        }
        let too_large = || Problem::new(Code::AboveMaximum, "min_share").with_value(constraints.min_share);
        let problem = list.sizes.is_empty().then(|| too_large().with_limit((greatest_share * 1e4).floor() / 1e4));
        Problems::ok_if_empty(problem.into_iter().collect())?;
        Ok(list)
    }

    fn add(&mut self, size: WaistHip) {
        let loss_in_size = |point: &WaistHip| self.loss.loss_of_person_in_size(*point, size);
        self.losses.push(self.points.girths.iter().map(loss_in_size).collect());
        self.sizes.push(size);
    }

    /// Returns the share of all people that the last size has at most; removes the size if that is below the minimum.
    fn remove_last_without_min_share(&mut self) -> f64 {
        let weights = self.losses[self.sizes.len() - 1].iter().zip(&self.points.weights);
        let share = weights.map(|(loss, weight)| self.counted(*loss, *weight)).sum::<f64>() / self.total_weight;
        if share < self.settings.constraints.min_share - ROUNDING {
            self.sizes.pop();
            self.losses.pop();
        }
        share
    }

    /// Returns the indices of the fixed sizes.
    pub(super) fn fixed_sizes(&self) -> Range<usize> {
        0..self.settings.constraints.fixed.len()
    }

    /// Returns the weight with which a point counts in the share of its size: 0 for people not served.
    pub(super) fn counted(&self, loss: f64, weight: f64) -> f64 {
        if loss > 0.0 && self.loss.max_served_differences().is_some() { 0.0 } else { weight }
    }
}
