//! Root finding for [`Draft::seek`](crate::Draft::seek): a quantity of the draft as a function of one input.
//!
//! Within each smooth interval of input values, a draft exists and the numbers of darts are constant.

/// Number of equal steps into which a search divides the range of an input.
const INPUT_SAMPLING_STEPS: u32 = 400;

/// Largest |quantity − wanted value| at a root, relative to the larger of |wanted value| and 1.
const RELATIVE_ROOT_TOLERANCE: f64 = 1e-12;

/// Largest |quantity − wanted value| at a local extremum that counts as a root, relative to max(|wanted value|, 1).
const RELATIVE_EXTREMUM_TOLERANCE: f64 = 1e-9;

/// A closed interval of input values in which drafts exist and the numbers of darts are constant.
pub(super) struct SmoothInterval {
    /// Number of darts on the back panel and on the front panel, constant in the interval.
    pub(super) dart_counts: [usize; 2],
    /// Pairs of input value and quantity, ascending by input value; the interval ends at the first and the last pair.
    pub(super) samples: Vec<[f64; 2]>,
}

/// Dart counts of back and front and the searched quantity, of the draft for one input value; `None` without a draft.
pub(super) type DraftSample = Option<([usize; 2], f64)>;

/// Splits an input range into smooth intervals with samples; the present input value, `now`, is an additional sample.
pub(super) fn split_into_smooth_intervals(
    (from, to): (f64, f64),
    now: f64,
    evaluate: &impl Fn(f64) -> DraftSample,
) -> Vec<SmoothInterval> {
    let step = |k: u32| from + (to - from) * (f64::from(k) / f64::from(INPUT_SAMPLING_STEPS));
    let mut inputs: Vec<f64> = (0..INPUT_SAMPLING_STEPS).map(step).chain([to]).collect();
    if (from..to).contains(&now) {
        inputs.insert(inputs.partition_point(|input| *input < now), now);
    }
    let mut intervals = Vec::new();
    let mut last = (from, evaluate(from));
    push_sample(&mut intervals, last, true);
    for input in inputs.into_iter().skip(1) {
        let next = (input, evaluate(input));
        if dart_counts(last.1) == dart_counts(next.1) {
            push_sample(&mut intervals, next, false);
        } else {
            let is_before = |input: f64| dart_counts(evaluate(input)) == dart_counts(last.1);
            let [before, after] = bisect_to_adjacent_floats(last.0, next.0, is_before).map(|x| (x, evaluate(x)));
            push_sample(&mut intervals, before, false);
            push_sample(&mut intervals, after, true);
            push_sample(&mut intervals, next, dart_counts(after.1) != dart_counts(next.1));
        }
        last = next;
    }
    intervals
}

fn dart_counts(evaluation: DraftSample) -> Option<[usize; 2]> {
    evaluation.map(|(dart_counts, _)| dart_counts)
}

/// Adds a sample to the last interval, or to a new one if `starts_interval` or if dart counts differ; ignores `None`.
fn push_sample(intervals: &mut Vec<SmoothInterval>, (input, evaluation): (f64, DraftSample), starts_interval: bool) {
    let Some((dart_counts, quantity)) = evaluation else { return };
    match intervals.last_mut() {
        Some(interval) if !starts_interval && interval.dart_counts == dart_counts => {
            interval.samples.push([input, quantity]);
        }
        _ => intervals.push(SmoothInterval { dart_counts, samples: vec![[input, quantity]] }),
    }
}

/// Bisects to the boundary of a set of numbers; returns two adjacent `f64`, the first in the set, the second outside.
fn bisect_to_adjacent_floats(mut inside: f64, mut outside: f64, is_inside: impl Fn(f64) -> bool) -> [f64; 2] {
    loop {
        let middle = f64::midpoint(inside, outside);
        if middle <= inside.min(outside) || middle >= inside.max(outside) {
            return [inside, outside];
        }
        *(if is_inside(middle) { &mut inside } else { &mut outside }) = middle;
    }
}

impl SmoothInterval {
    pub(super) fn input_range(&self) -> (f64, f64) {
        (self.samples[0][0], self.samples[self.samples.len() - 1][0])
    }

    /// Returns the ranges of input values that give the wanted quantity; for an isolated solution both ends are equal.
    pub(super) fn solution_ranges(&self, wanted: f64, evaluate: &impl Fn(f64) -> DraftSample) -> Vec<(f64, f64)> {
        let deviation = |input: f64| evaluate(input).map_or(f64::NAN, |(_, quantity)| quantity - wanted);
        let scale = wanted.abs().max(1.0);
        let [at_root, at_extremum] = [RELATIVE_ROOT_TOLERANCE, RELATIVE_EXTREMUM_TOLERANCE].map(|ratio| ratio * scale);
        let samples: Vec<[f64; 2]> = self.samples.iter().map(|[input, quantity]| [*input, quantity - wanted]).collect();
        let mut solutions = ranges_at_wanted_value(&samples, at_root, &deviation);
        for pair in samples.windows(2) {
            if pair[0][1] * pair[1][1] < 0.0 && pair.iter().all(|sample| sample[1].abs() > at_root) {
                let root = bracketed_root([pair[0], pair[1]], &deviation);
                solutions.push((root, root));
            }
        }
        for triple in samples.windows(3) {
            let [before, middle, after] = [triple[0], triple[1], triple[2]];
            let have_one_sign = before[1] * middle[1] > 0.0 && middle[1] * after[1] > 0.0;
            let min_end = before[1].abs().min(after[1].abs());
            if have_one_sign && (at_root..=min_end).contains(&middle[1].abs()) {
                let roots = roots_near_extremum([before, middle, after], at_extremum, &deviation);
                solutions.extend(roots.into_iter().map(|root| (root, root)));
            }
        }
        solutions.sort_by(|a, b| a.0.total_cmp(&b.0));
        solutions.dedup_by(|b, a| (b.0 - a.1).abs() <= 1e-9 * b.0.abs().max(1.0));
        solutions
    }
}

/// Returns the ranges of input values whose samples deviate from the wanted value by at most `tolerance`.
fn ranges_at_wanted_value(samples: &[[f64; 2]], tolerance: f64, deviation: &impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    let is_zero = |sample: &[f64; 2]| sample[1].abs() <= tolerance;
    let mut ranges = Vec::new();
    for run in samples.chunk_by(|a, b| is_zero(a) == is_zero(b)).filter(|run| is_zero(&run[0])) {
        let [first, last] = [run[0][0], run[run.len() - 1][0]];
        if run.len() == 1 {
            ranges.push((first, first));
            continue;
        }
        let before = samples.iter().rev().find(|sample| sample[0] < first).map_or(first, |sample| sample[0]);
        let after = samples.iter().find(|sample| sample[0] > last).map_or(last, |sample| sample[0]);
        let end = |from: f64, to: f64| bisect_to_adjacent_floats(from, to, |x| deviation(x).abs() <= tolerance)[0];
        ranges.push((end(first, before), end(last, after)));
    }
    ranges
}

/// Returns the input value of deviation 0 between samples of opposite sign: Illinois method, every fourth step bisects.
fn bracketed_root([mut a, mut b]: [[f64; 2]; 2], deviation: &impl Fn(f64) -> f64) -> f64 {
    let mut weights = [a[1], b[1]];
    for step in 0..200 {
        let middle = f64::midpoint(a[0], b[0]);
        let secant = (a[0] * weights[1] - b[0] * weights[0]) / (weights[1] - weights[0]);
        let input = if step % 4 < 3 && a[0] < secant && secant < b[0] { secant } else { middle };
        let value = deviation(input);
        if value == 0.0 || middle <= a[0] || middle >= b[0] {
            return if value == 0.0 { input } else { input_of_smaller_deviation(a, b) };
        }
        if (value < 0.0) == (a[1] < 0.0) {
            (a, weights) = ([input, value], [value, weights[1] / 2.0]);
        } else {
            (b, weights) = ([input, value], [weights[0] / 2.0, value]);
        }
        if b[0] - a[0] <= 1e-14 * a[0].abs().max(1e-3) {
            break;
        }
    }
    input_of_smaller_deviation(a, b)
}

fn input_of_smaller_deviation(a: [f64; 2], b: [f64; 2]) -> f64 {
    if a[1].abs() <= b[1].abs() { a[0] } else { b[0] }
}

/// Returns the input values of deviation 0 around a local extremum: two, one if the extremum touches 0, or none.
fn roots_near_extremum([a, middle, b]: [[f64; 2]; 3], tolerance: f64, deviation: &impl Fn(f64) -> f64) -> Vec<f64> {
    let (mut low, mut high, mut best) = (a[0], b[0], middle);
    for _ in 0..80 {
        let [first, second] =
            [low + (high - low) * 0.4, low + (high - low) * 0.6].map(|input| [input, deviation(input)]);
        for sample in [first, second] {
            if sample[1] * middle[1] < 0.0 {
                return vec![bracketed_root([a, sample], deviation), bracketed_root([sample, b], deviation)];
            }
            if sample[1].abs() < best[1].abs() {
                best = sample;
            }
        }
        (low, high) = if first[1].abs() < second[1].abs() { (low, second[0]) } else { (first[0], high) };
    }
    if best[1].abs() <= tolerance { vec![best[0]] } else { Vec::new() }
}
