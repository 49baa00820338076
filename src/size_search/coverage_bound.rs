//! Certified bound of maximal coverage in the waist-hip plane, for [`Loss::Within`](super::Loss::Within): no k sizes
//! serve more people. By Lagrangian relaxation of the maximal covering location problem (Church and `ReVelle` 1974;
//! Galvão and `ReVelle` 1996).
//!
//! Point i has the weight `w(i)`, the number of people for whom the point stands, and a multiplier `u(i)` from 0 to 1.
//! A person counts at most `1 − u + u ×` the number of sizes that serve the person. Summed over all people, k sizes
//! serve at most `Σ w (1 − u)` plus k times the greatest `Σ w u` in a square. Every choice of multipliers therefore
//! gives a valid bound; the multipliers are the certificate. They are multiples of 2⁻²⁰, so that all sums are exact if
//! all weights are whole numbers. The number served is then a whole number, and the bound is rounded down.
//!
//! The multipliers with the least bound minimise a convex function. The maximum over strips is replaced by a softmax
//! whose temperature falls, minimised by accelerated projected gradients (Nesterov 2005) with restarts (O'Donoghue and
//! Candès 2015). The multipliers also find charts: squares are placed where they hold the greatest sum of multipliers,
//! then exchanged against any square that serves more people; then parts of the best chart are taken out and placed
//! again.

use super::chart::BoundProofCase;
use super::chart_search::SearchInput;
use super::momentum::{PassSchedule, run_gradient_steps, schedule_of_passes};
use super::points::{WaistHip, WaistHipPoints};
use super::size_constraints::Reach;
use super::square_sweep::{Square, SquareSweep, SquaresAndServedWeight};
use crate::interrupt::Stoppable;
use crate::random::{CounterRng, RandomStream};

/// Maximum number of points, which are distinct pairs of girths. For more, girths are rounded down to multiples of a
/// step, and squares are larger by the step.
const MAX_COVERAGE_POINTS: usize = 40_000;

/// First rounding step of the girths, in centimetres; doubles until at most [`MAX_COVERAGE_POINTS`] are left.
const FIRST_ROUNDING_STEP_CM: f64 = 0.025;

/// Number of points × number of passes for the first case of the proof, whose passes are limited to 100 to 2000.
const FIRST_CASE_POINTS_TIMES_PASSES: usize = 6_000_000;

/// Number of points × number of sizes × number of charts placed by multipliers: the charts follow from it, at least 3
/// and at most 160.
const POINTS_TIMES_SIZES_TIMES_CHARTS: usize = 1_500_000;

/// Maximum of points × branchings. With more than [`MAX_BRANCHED_POINTS`] points, no case is branched, and no part of a
/// chart is rebuilt.
const MAX_POINTS_TIMES_BRANCHINGS: usize = 25_000;
const MAX_BRANCHED_POINTS: usize = 4000;

/// Maximum gap at which a case is branched: bound on the people served minus people whom the best chart serves, in
/// people of mean weight.
const MAX_BRANCHED_GAP_IN_PEOPLE: f64 = 32.0;

/// Schedule of the passes for each of the two cases that a branching creates, and number of passes between two charts
/// placed by the multipliers.
const BRANCH_PASS_SCHEDULE: PassSchedule = (200, [0.003, 0.0001]);
const BRANCH_PASSES_PER_CHART: usize = 50;

/// Weight of the latest pass in the running mean over the passes, [`CoverageProofCase::mean_cover`].
const MEAN_COVER_UPDATE_WEIGHT: f64 = 0.03;

/// Power of two to whose multiples the multipliers are rounded, so that sums of multipliers are exact.
const MULTIPLIER_ROUNDING_STEP: f64 = 1.0 / 1_048_576.0;

/// Sum of whole weights below which sums of weight × multiplier are exact: 2⁵³ × 2⁻²⁰.
const MAX_WEIGHT_SUM_WITH_EXACT_PRODUCTS: f64 = 8_589_934_592.0;

/// Number of strips above which the softmax uses only every second strip, or every third and so on, and in any case the
/// strips with the greatest sum.
const MAX_SOFTMAX_STRIPS: usize = 2000;

/// Minimum odds of a strip in the softmax, as a share of the odds of the best strip; smaller odds count as 0.
const MIN_RELATIVE_STRIP_ODDS: f64 = 1e-4;

/// Number of points × number of sizes × number of rounds of [`CoverageRelaxation::rebuild_parts_of_chart`]: the rounds
/// follow from it, at most [`MAX_REBUILDING_ROUNDS`].
const POINTS_TIMES_SIZES_TIMES_ROUNDS: usize = 12_000_000;
const MAX_REBUILDING_ROUNDS: usize = 600;

/// Maximum number of neighbouring squares that one round takes out and places again.
const MAX_REBUILT_SQUARES: usize = 6;

/// Least random factor by which a round multiplies the value of a point; the greatest factor is as far above 1 as the
/// least is below 1.
const MIN_RANDOM_VALUE_FACTOR: f64 = 0.75;

/// Lower bound on the share of people whom k sizes do not serve, its certificate, and a chart found on the way.
pub(super) struct CoverageBound {
    /// Lower bound on the share of people farther than the tolerance from each of k sizes, from 0 to 1.
    pub(super) min_unserved: f64,
    /// Cases of the proof, to one of which every chart belongs.
    pub(super) cases: Vec<BoundProofCase>,
    /// Waist and hip, in centimetres, of sizes that serve many people; fewer than k sizes only if fewer serve everyone.
    pub(super) midpoints: Vec<WaistHip>,
}

impl CoverageBound {
    /// Computes the bound of charts of the free sizes.
    pub(super) fn new(input: SearchInput, reach: [Reach; 2]) -> Stoppable<Self> {
        let SearchInput { columns, loss, .. } = input;
        let round = |girth: f64, step: f64| if step > 0.0 { (girth / step).floor() * step } else { girth };
        let rounded = |step: f64| {
            let people = columns.girths_and_weights_of_people();
            people.map(move |(girths, weight)| (girths.map(|girth| round(girth, step)), weight))
        };
        let (mut points, mut step) = (WaistHipPoints::merge_people(rounded(0.0), loss)?, 0.0);
        while points.girths.len() > MAX_COVERAGE_POINTS {
            step = f64::max(2.0 * step, FIRST_ROUNDING_STEP_CM);
            points = WaistHipPoints::merge_people(rounded(step), loss)?;
        }
        let all: f64 = points.weights.iter().sum();
        let has_exact_weight_sums =
            all < MAX_WEIGHT_SUM_WITH_EXACT_PRODUCTS && points.weights.iter().all(|weight| weight.fract() == 0.0);
        let people = columns.girths_and_weights_of_people().filter(|(_, weight)| *weight > 0.0).count();
        let max_gap = MAX_BRANCHED_GAP_IN_PEOPLE * all / people as f64;
        let sweep = SquareSweep::new(&points, reach.map(|reach| reach.widened_for_rounding(step)));
        let relaxation = CoverageRelaxation { input, sweep, has_exact_weight_sums, max_gap };
        // Branching fixes a point, which must then stand for people with equal girths.
        let is_branched = step == 0.0 && points.girths.len() <= MAX_BRANCHED_POINTS;
        let max_branchings = if is_branched { MAX_POINTS_TIMES_BRANCHINGS / points.girths.len() } else { 0 };
        let (cases, squares) = relaxation.bounded_cases_and_best_squares(max_branchings)?;
        let midpoints = squares.iter().map(|square| relaxation.sweep.size_serving_points(square)).collect();
        let point_of_person = |(girths, _)| points.index_of(loss.search_coordinates_of_person(girths));
        let point_by_person: Vec<Option<usize>> = rounded(step).map(point_of_person).collect();
        let person_at = |point| point_by_person.iter().position(|other| *other == Some(point)).unwrap_or_default();
        let by_person = |case: &CoverageProofCase| {
            let multiplier = |point: &Option<usize>| point.map_or(0.0, |point| case.multipliers[point]);
            let fixed = case.fixed.iter().map(|(point, is_served)| (person_at(*point), *is_served)).collect();
            BoundProofCase { fixed, multipliers: point_by_person.iter().map(multiplier).collect() }
        };
        let max_served = cases.iter().map(|case| relaxation.served_weight_upper_bound(case)).fold(0.0, f64::max);
        let cases = cases.iter().map(by_person).collect();
        Ok(Self { min_unserved: (all - max_served) / all, cases, midpoints })
    }
}

/// A case of the proof, whose upper bound passes lower: the charts that serve some points and leave out others.
#[derive(Clone)]
struct CoverageProofCase {
    /// For each point by which the case was split: its index, and whether the charts of the case serve the point.
    fixed: Vec<(usize, bool)>,
    /// Lagrange multiplier of each point; [`BoundProofCase`] has those of the people.
    multipliers: Vec<f64>,
    /// Upper bound on the number of people (sum of weights) whom a chart of the case serves.
    bound: f64,
    /// Running mean, over the passes, of the number of sizes that serve each point; empty before the passes.
    mean_cover: Vec<f64>,
}

/// Lagrangian relaxation of maximal coverage: weighted points, and k squares of equal side.
struct CoverageRelaxation<'a> {
    input: SearchInput<'a>,
    sweep: SquareSweep<'a>,
    /// Whether all weights are whole numbers, small enough for exact sums.
    has_exact_weight_sums: bool,
    /// Maximum gap at which a case is branched: bound on the weight served minus weight that the best chart serves.
    max_gap: f64,
}

impl CoverageRelaxation<'_> {
    /// Returns cases with their bounds, to one of which every chart belongs, and the squares of the best chart found.
    fn bounded_cases_and_best_squares(
        &self,
        max_branchings: usize,
    ) -> Stoppable<(Vec<CoverageProofCase>, Vec<Square>)> {
        let (weights, sizes) = (&self.sweep.points.weights, self.input.free_count());
        let (count, all) = (weights.len(), weights.iter().sum::<f64>());
        let in_best_square = self.sweep.best_sum_and_square(weights)?.0;
        let start = 0.5 * (all / (sizes as f64 * in_best_square)).min(1.0);
        let mut root =
            CoverageProofCase { fixed: Vec::new(), multipliers: vec![0.0; count], bound: all, mean_cover: Vec::new() };
        let mut chart = self.sweep.place_and_exchange_squares(Vec::new(), weights, sizes)?;
        let passes = (FIRST_CASE_POINTS_TIMES_PASSES / count).clamp(100, 2000);
        let charts = (POINTS_TIMES_SIZES_TIMES_CHARTS / (count * sizes)).clamp(3, 160);
        let schedule = (schedule_of_passes(passes), passes / charts);
        self.improve_bound_and_chart(&mut root, &vec![start; count], schedule, &mut chart)?;
        if max_branchings > 0 {
            self.rebuild_parts_of_chart(&mut chart, &root)?;
        }
        let mut cases = vec![root];
        for _ in 0..max_branchings {
            let weakest = (0..cases.len()).fold(0, |a, b| if cases[b].bound > cases[a].bound { b } else { a });
            if self.needs_no_more_passes(&cases[weakest], chart.1) || cases[weakest].bound > chart.1 + self.max_gap {
                break;
            }
            let CoverageProofCase { fixed, mean_cover, .. } = &cases[weakest];
            let is_free = |point: &usize| fixed.iter().all(|(fixed, _)| fixed != point);
            let distance = |point: usize| (mean_cover[point] - 0.5).abs();
            let free = (0..mean_cover.len()).filter(is_free);
            // The point whose mean cover is nearest to ½; none if the case is split by all points, or no pass has run.
            let Some(point) = free.reduce(|a, b| if distance(b) < distance(a) { b } else { a }) else { break };
            let parent = cases.swap_remove(weakest);
            for is_served in [true, false] {
                let fixed = parent.fixed.iter().copied().chain([(point, is_served)]).collect();
                let mut case = CoverageProofCase { fixed, ..parent.clone() };
                let schedule = (BRANCH_PASS_SCHEDULE, BRANCH_PASSES_PER_CHART);
                self.improve_bound_and_chart(&mut case, &parent.multipliers, schedule, &mut chart)?;
                cases.push(case);
            }
        }
        Ok((cases, chart.0))
    }

    /// Returns the upper bound on the weight that a chart of a case serves, rounded down if all weights are whole.
    fn served_weight_upper_bound(&self, case: &CoverageProofCase) -> f64 {
        if self.has_exact_weight_sums { case.bound.floor() } else { case.bound }
    }

    /// Returns whether the bound of a case needs no more passes: no chart of the case serves more than the weight
    /// `served` plus `target_gap` times the weight not served, or the deadline has passed.
    fn needs_no_more_passes(&self, case: &CoverageProofCase, served: f64) -> bool {
        let max_gap = self.input.settings.target_gap * (self.sweep.points.weights.iter().sum::<f64>() - served);
        self.served_weight_upper_bound(case) <= served + max_gap || self.input.is_out_of_time()
    }

    /// Lowers the bound of a case, in place, by passes from the multipliers `start`, until `needs_no_more_passes`
    /// returns true or the schedule ends. Replaces `chart`, squares and the weight that the squares serve, by any
    /// better chart found.
    fn improve_bound_and_chart(
        &self,
        case: &mut CoverageProofCase,
        start: &[f64],
        (schedule, passes_per_chart): (PassSchedule, usize),
        chart: &mut SquaresAndServedWeight,
    ) -> Stoppable<()> {
        let (mut counted, mut max) = (self.sweep.points.weights.clone(), vec![1.0; self.sweep.points.weights.len()]);
        for (point, is_served) in &case.fixed {
            if *is_served {
                max[*point] = f64::INFINITY;
            } else {
                counted[*point] = 0.0;
            }
        }
        let all: f64 = counted.iter().sum();
        let sizes = self.input.free_count() as f64;
        run_gradient_steps(start, &max, schedule, |pass, multipliers, temperature| {
            let round = |u: &mut f64| *u = (*u / MULTIPLIER_ROUNDING_STEP).round() * MULTIPLIER_ROUNDING_STEP;
            multipliers.iter_mut().for_each(round);
            let values: Vec<f64> = counted.iter().zip(&*multipliers).map(|(weight, u)| weight * u).collect();
            let strips = self.sweep.strip_best_sums_and_squares(&values)?;
            let max = strips.iter().map(|strip| strip.0).fold(0.0, f64::max);
            let bound = all - values.iter().sum::<f64>() + sizes * max;
            if bound < case.bound {
                (case.bound, case.multipliers) = (bound, multipliers.to_vec());
            }
            if pass % passes_per_chart == 0 {
                let next = self.sweep.place_and_exchange_squares(Vec::new(), &values, self.input.free_count())?;
                if next.1 > chart.1 {
                    *chart = next;
                }
            }
            if self.needs_no_more_passes(case, chart.1) {
                return Ok(None);
            }
            let cover = self.expected_square_counts_at_points(&strips, max, temperature);
            let step = |(u, cover): (&f64, &f64)| u - temperature / sizes * (cover - 1.0);
            let next = multipliers.iter().zip(&cover).map(step).collect();
            if case.mean_cover.is_empty() {
                case.mean_cover.clone_from(&cover);
            }
            let means = case.mean_cover.iter_mut().zip(cover);
            means.for_each(|(mean, cover)| *mean += MEAN_COVER_UPDATE_WEIGHT * (cover - *mean));
            Ok(Some(next))
        })
    }

    /// Improves `chart` in rounds until `case` needs no more passes: takes out neighbouring squares and places them
    /// again by the multipliers, each times a random factor (ruin and recreate; Schrimpf and others 2000). A round that
    /// serves fewer people is undone.
    fn rebuild_parts_of_chart(&self, chart: &mut SquaresAndServedWeight, case: &CoverageProofCase) -> Stoppable<()> {
        let mut rng = CounterRng::new(0, RandomStream::RebuiltSquares, 0);
        let (weights, sizes) = (&self.sweep.points.weights, self.input.free_count());
        let rounds = POINTS_TIMES_SIZES_TIMES_ROUNDS / (weights.len() * sizes);
        for _ in 0..rounds.min(MAX_REBUILDING_ROUNDS) {
            if self.needs_no_more_passes(case, chart.1) {
                break;
            }
            let mut kept = chart.0.clone();
            let [waist, hip] = kept[rng.draw_index(kept.len())].lowest;
            let distance = |square: &Square| (square.lowest[0] - waist).abs() + (square.lowest[1] - hip).abs();
            kept.sort_by(|a, b| distance(b).total_cmp(&distance(a)));
            let rebuilt = 1 + rng.draw_index(MAX_REBUILT_SQUARES);
            kept.truncate(kept.len().saturating_sub(rebuilt));
            let mut random_factor =
                || MIN_RANDOM_VALUE_FACTOR + 2.0 * (1.0 - MIN_RANDOM_VALUE_FACTOR) * rng.draw_uniform_0_to_1();
            let values = weights.iter().zip(&case.multipliers).map(|(weight, u)| weight * u * random_factor());
            let next = self.sweep.place_and_exchange_squares(kept, &values.collect::<Vec<_>>(), sizes)?;
            if next.1 >= chart.1 {
                *chart = next;
            }
        }
        Ok(())
    }

    /// Returns, for each point, the expected number of squares that contain the point, of k squares drawn by the
    /// softmax over strips.
    fn expected_square_counts_at_points(&self, strips: &[(f64, Square)], max: f64, temperature: f64) -> Vec<f64> {
        let odds = |sum: f64| libm::exp((sum - max) / (temperature * max));
        let stride = strips.len().div_ceil(MAX_SOFTMAX_STRIPS);
        let is_taken = |(index, strip): &(usize, &(f64, Square))| index % stride == 0 || strip.0 >= max;
        let taken = strips.iter().enumerate().filter(is_taken).map(|(_, (sum, square))| (odds(*sum), square));
        let active: Vec<_> = taken.filter(|(odds, _)| *odds > MIN_RELATIVE_STRIP_ODDS).collect();
        let factor = self.input.free_count() as f64 / active.iter().map(|(odds, _)| odds).sum::<f64>();
        let mut cover = vec![0.0; self.sweep.points.weights.len()];
        for (odds, square) in active {
            self.sweep.points_in_square(square).for_each(|point| cover[point] += factor * odds);
        }
        cover
    }
}
