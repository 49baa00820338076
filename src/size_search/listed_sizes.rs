//! Charts of listed sizes: sizes in drop classes, sizes that each have a minimum share of the people, or sizes whose
//! drafts lie near the people's own. Every allowed size is listed, with its loss for every person; `interchange` chooses
//! among them and proves a bound.

use std::ops::Range;

use super::chart::{BestChart, BoundProofCase, compare_girths};
use super::chart_search::SearchInput;
use super::interchange::ROUNDING;
use super::loss::Loss;
use super::one_girth::optimal_centres;
use super::points::{SortedValues, WaistHip, WaistHipPoints, girth_ranges, sort_and_merge_girths};
use super::size_constraints::{DROP_FIELD, DropClasses, rounded_grid_multiple};
use crate::error::{Code, Problem, Problems};
use crate::interrupt::{Stoppable, count_interruptible_work, map_in_threads};

/// Maximum number of pairs of point and listed size, whose losses are in memory; each size counts as some more points.
const MAX_PAIRS: usize = 30_000_000;
const MIN_POINTS: usize = 100;

/// Number of starts with which one choice of drops is judged.
const STARTS_PER_CHOICE_OF_DROPS: u32 = 2;

/// Moves of one drop that are tried, in steps of the grid.
const STEPS_OF_A_DROP: [f64; 8] = [-1.0, 1.0, -2.0, 2.0, -4.0, 4.0, -8.0, 8.0];

/// Sizes of one class: their drops, of which `None` is any drop; and the maximum number in a chart.
type DropsAndMaxCount = (Vec<Option<f64>>, usize);

/// People for whom sizes are listed, and what a size costs them.
pub(super) struct PeopleOfList<'a> {
    pub(super) input: SearchInput<'a>,
    pub(super) points: &'a WaistHipPoints,
    /// Index of each person's point; `None` for a person without effect.
    pub(super) point_of_person: Vec<Option<usize>>,
    /// Returns the hip depths of the allowed sizes of some girths, in centimetres; one NaN if the loss does not depend on
    /// the hip depth.
    pub(super) hip_depths: &'a dyn Fn(WaistHip) -> Vec<f64>,
    /// Returns the loss of each point in a size, given by its girths in search coordinates (cm or ln cm) and its hip
    /// depth; `None` if the size cannot be drafted.
    pub(super) losses_in_size: &'a (dyn Fn(WaistHip, f64) -> Option<Vec<f64>> + Sync),
}

/// Allowed sizes, and the loss of each point in each of them.
pub(super) struct ListedSizes<'a> {
    pub(super) input: SearchInput<'a>,
    pub(super) points: &'a WaistHipPoints,
    /// Waist and hip of each size, in search coordinates (cm or ln cm): the fixed sizes, then class by class.
    pub(super) sizes: Vec<WaistHip>,
    /// Hip depth of each size, in centimetres; NaN if the loss does not depend on it.
    hip_depths: Vec<f64>,
    /// For each size, the loss of each point.
    pub(super) losses: Vec<Vec<f64>>,
    /// For each class, the indices of its sizes, and the maximum number of them in a chart.
    pub(super) classes: Vec<(Range<usize>, usize)>,
    /// Sum of the weights of the points.
    pub(super) total_weight: f64,
}

/// Searches for the best chart of listed sizes by girths. The input is valid, but for the number of pairs of person and
/// size, and for a minimum share that no size has.
pub(super) fn best_chart_of_listed_sizes(input: SearchInput) -> Result<BestChart, Problems> {
    let SearchInput { columns, loss, .. } = input;
    let points = &WaistHipPoints::merge_people(columns.girths_and_weights_of_people(), loss)?;
    let losses_in_size = |size: WaistHip, _: f64| {
        Some(points.girths.iter().map(|point| loss.loss_of_person_in_size(*point, size)).collect())
    };
    let point_of_person = columns.people_in_search_coordinates(loss).map(|(girths, _)| points.index_of(girths));
    let people = PeopleOfList {
        input,
        points,
        point_of_person: point_of_person.collect(),
        hip_depths: &|_| vec![f64::NAN],
        losses_in_size: &losses_in_size,
    };
    search_listed_sizes(&people)
}

/// Searches for the best chart of listed sizes.
pub(super) fn search_listed_sizes(people: &PeopleOfList) -> Result<BestChart, Problems> {
    let PeopleOfList { points, input, .. } = people;
    let SearchInput { loss, settings, .. } = input;
    let (free, grid) = (input.free_count(), settings.constraints.grid_of_list());
    let list = |classes: &[DropsAndMaxCount]| ListedSizes::new(people, classes);
    let some = |drops: &[f64]| drops.iter().copied().map(Some).collect();
    let classes = match &settings.constraints.drops {
        DropClasses::Any => vec![(vec![None], free)],
        DropClasses::Number(_) => vec![(some(&drops_of_people(points, loss, grid)?.0), free)],
        DropClasses::Values(drops) => vec![(some(drops), free)],
        DropClasses::SizesByDrop(counts) => counts.iter().map(|(drop, count)| (some(&[*drop]), *count)).collect(),
    };
    let all = list(&classes)?;
    let bound = all.bound(2.0 * all.best_of_starts(1, &[], 0.0)?.loss)?;
    let mut chart = match settings.constraints.drops {
        DropClasses::Number(number) if number < free => {
            let of_drops = |drops: &[f64], starts: u32| {
                let list = list(&[(some(drops), free)])?;
                Ok(list.best_of_starts(starts, &list.tried_sizes(None), bound.mean_loss)?)
            };
            let (_, drops) = drops_of_people(points, loss, grid)?;
            let first = optimal_centres(&drops, number, &Loss::Absolute)?;
            best_chart_of_drop_choices(first, grid, settings.restarts, of_drops)?
        }
        _ => all.best_of_starts(settings.restarts, &all.tried_sizes(Some(&bound.sums)), bound.mean_loss)?,
    };
    chart.bound = bound.mean_loss.max(0.0);
    if settings.certify && chart.loss > 0.0 {
        let multiplier = |point: &Option<usize>| point.map_or(0.0, |point| bound.multipliers[point]);
        let multipliers = people.point_of_person.iter().map(multiplier).collect();
        chart.certificate = vec![BoundProofCase { fixed: Vec::new(), multipliers }];
    }
    Ok(chart)
}

/// Returns the drops of the people, rounded to the grid, with all multiples of the grid in between; and the rounded
/// drops with their weights.
fn drops_of_people(points: &WaistHipPoints, loss: &Loss, grid: f64) -> Stoppable<(Vec<f64>, SortedValues)> {
    let steps = |point: &WaistHip| {
        let [waist, hip] = point.map(|scaled| loss.girth_from_search_coordinate(scaled));
        // No size has a larger drop.
        ((hip - waist).clamp(DROP_FIELD.range.0, DROP_FIELD.range.1) / grid).round()
    };
    let drops: Vec<f64> = points.girths.iter().map(|point| rounded_grid_multiple(steps(point), grid)).collect();
    let sorted = sort_and_merge_girths(&drops, Some(&points.weights), &Loss::Absolute)?;
    let ends = [sorted[0], sorted[sorted.len() - 1]].map(|(drop, _)| (drop / grid).round());
    Ok((grid_multiples(ends, grid).collect(), sorted))
}

/// Moves one of the drops at a time by some steps of the grid while the loss falls; returns the best chart of the last
/// drops. `of_drops` returns the best chart found for given drops in a number of starts.
fn best_chart_of_drop_choices(
    mut drops: Vec<f64>,
    grid: f64,
    restarts: u32,
    of_drops: impl Fn(&[f64], u32) -> Result<BestChart, Problems>,
) -> Result<BestChart, Problems> {
    let starts = restarts.min(STARTS_PER_CHOICE_OF_DROPS);
    let mut least = of_drops(&drops, starts)?.loss;
    loop {
        let before = least;
        for (index, steps) in (0..drops.len()).flat_map(|index| STEPS_OF_A_DROP.map(|steps| (index, steps))) {
            let mut moved = drops.clone();
            moved[index] = rounded_grid_multiple((moved[index] / grid).round() + steps, grid);
            let loss = of_drops(&moved, starts)?.loss;
            (drops, least) = if loss < least { (moved, loss) } else { (drops, least) };
        }
        if least >= before {
            return of_drops(&drops, restarts);
        }
    }
}

/// Returns the first and the last of the multiples of a grid that reach from `min` to `max`, in steps of the grid; a girth
/// is at least one step.
pub(super) fn grid_range([min, max]: [f64; 2], grid: f64) -> [f64; 2] {
    let first = (min / grid).floor().max(1.0);
    [first, (max / grid).ceil().max(first)]
}

/// Returns the multiples of a grid from one to another, both given in steps of the grid.
#[allow(clippy::cast_possible_truncation)]
pub(super) fn grid_multiples([first, last]: [f64; 2], grid: f64) -> impl Iterator<Item = f64> {
    (first as i64..=last as i64).map(move |steps| rounded_grid_multiple(steps as f64, grid))
}

impl<'a> ListedSizes<'a> {
    /// Lists the sizes of each class: multiples of the grid in the ranges of the people, as no size is better outside.
    fn new(people: &PeopleOfList<'a>, classes: &[DropsAndMaxCount]) -> Result<Self, Problems> {
        let PeopleOfList { input, points, .. } = *people;
        let (loss, constraints) = (input.loss, &input.settings.constraints);
        let grid = constraints.grid_of_list();
        let girths = points.girths.iter().map(|point| point.map(|scaled| loss.girth_from_search_coordinate(scaled)));
        let [waists, hips] = girth_ranges(girths);
        let multiples = |range| grid_multiples(grid_range(range, grid), grid);
        let sizes_of_drop = |drop: Option<f64>| -> Vec<WaistHip> {
            let Some(drop) = drop else {
                return multiples(waists).flat_map(|waist| multiples(hips).map(move |hip| [waist, hip])).collect();
            };
            // Waist or hip of each size is in the range of the people.
            let waists = [waists[0].min(hips[0] - drop), waists[1].max(hips[1] - drop)];
            multiples(waists).map(|waist| [waist, waist + drop]).collect()
        };
        let of_class = |(drops, _): &DropsAndMaxCount| {
            let sizes = drops.iter().flat_map(|drop| sizes_of_drop(*drop));
            let allowed = sizes.flat_map(|size| {
                let in_search = size.map(|girth| loss.search_coordinate_of_girth(girth));
                (people.hip_depths)(size).into_iter().map(move |hip_depth| (in_search, hip_depth))
            });
            allowed.collect::<Vec<_>>()
        };
        let allowed: Vec<_> = classes.iter().map(of_class).collect();
        let count = allowed.iter().map(Vec::len).sum::<usize>();
        let pairs = count * (points.girths.len() + MIN_POINTS);
        let problem = Problem::too_many_problem("grid", pairs, MAX_PAIRS, "pairs of person and size");
        let sample = (MAX_PAIRS / count.max(1)).saturating_sub(MIN_POINTS);
        let way = if sample > 0 { format!(" or a sample of {sample} people") } else { String::new() };
        let limit = format!("{MAX_PAIRS} pairs (by a wider grid{way})");
        Problems::ok_if_empty(problem.map(|problem| problem.with_limit(limit)))?;
        let fixed = constraints.fixed_centres(loss).into_iter().map(|size| (size, f64::NAN)).collect();
        let (sizes, losses, hip_depths, total_weight) =
            (Vec::new(), Vec::new(), Vec::new(), points.weights.iter().sum());
        let mut list = Self { input, points, sizes, hip_depths, losses, classes: Vec::new(), total_weight };
        list.add(people, fixed, 0.0)?;
        let mut greatest_share = 0.0;
        for ((_, max_count), sizes) in classes.iter().zip(allowed) {
            let start = list.sizes.len();
            greatest_share = f64::max(greatest_share, list.add(people, sizes, constraints.min_share)?);
            let listed = start..list.sizes.len();
            let max_count = (*max_count).min(constraints.max_sizes_with_min_share()).min(listed.len());
            list.classes.push((listed, max_count));
        }
        let problem = list.sizes.is_empty().then(|| match constraints.min_share {
            0.0 => Problem::new(Code::TooFew, "drop").with_value("0 sizes near people").with_limit("1 size"),
            min_share => Problem::new(Code::AboveMaximum, "min_share")
                .with_value(min_share)
                .with_limit((greatest_share * 1e4).floor() / 1e4),
        });
        Problems::ok_if_empty(problem)?;
        Ok(list)
    }

    /// Lists those of some sizes, given by girths and hip depth, that can be drafted and may have at least the minimum
    /// share of the people. Returns the greatest share that a size may have.
    fn add(&mut self, people: &PeopleOfList, sizes: Vec<(WaistHip, f64)>, min_share: f64) -> Stoppable<f64> {
        let losses = map_in_threads(sizes.len(), |k| {
            count_interruptible_work(self.points.girths.len())?;
            Ok((people.losses_in_size)(sizes[k].0, sizes[k].1))
        })?;
        let mut greatest_share = 0.0;
        for ((size, hip_depth), losses) in sizes.into_iter().zip(losses) {
            let Some(losses) = losses else { continue };
            let weights = losses.iter().zip(&self.points.weights);
            let share = weights.map(|(loss, weight)| self.counted(*loss, *weight)).sum::<f64>() / self.total_weight;
            greatest_share = f64::max(greatest_share, share);
            if share >= min_share - ROUNDING {
                self.sizes.push(size);
                self.hip_depths.push(hip_depth);
                self.losses.push(losses);
            }
        }
        Ok(greatest_share)
    }

    /// Returns the chart of some sizes, given by their indices, without a bound.
    pub(super) fn chart_of_sizes(&self, mut chart: Vec<usize>) -> Stoppable<BestChart> {
        let girths = |k: usize| self.sizes[k].map(|scaled| self.input.loss.girth_from_search_coordinate(scaled));
        chart.sort_by(|a, b| self.hip_depths[*a].total_cmp(&self.hip_depths[*b]));
        chart.sort_by(|a, b| compare_girths(girths(*a), girths(*b)));
        // A fixed size may be listed, too.
        chart.dedup_by_key(|k| (self.sizes[*k].map(f64::to_bits), self.hip_depths[*k].to_bits()));
        let hip_depth = |k: usize| Some(self.hip_depths[k]).filter(|depth| !depth.is_nan());
        let assigned = self.ranked_sizes(&chart)?.into_iter().map(|[(loss, _, place), _]| (place, loss));
        let sizes = chart.iter().map(|k| (girths(*k), hip_depth(*k)));
        Ok(BestChart::from_assigned_points(sizes, assigned, &self.points.weights, 0.0))
    }

    /// Returns the indices of the fixed sizes.
    pub(super) fn fixed_sizes(&self) -> Range<usize> {
        0..self.input.settings.constraints.fixed.len()
    }

    /// Returns the weight with which a point counts in the share of its size: 0 for people not served.
    pub(super) fn counted(&self, loss: f64, weight: f64) -> f64 {
        if loss > 0.0 && self.input.loss.max_served_differences().is_some() { 0.0 } else { weight }
    }
}
