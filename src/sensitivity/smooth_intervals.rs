//! Root finding for [`Draft::seek`](crate::Draft::seek): the values of one input for which a quantity of the draft has
//! a wanted value. The residual is the quantity minus the wanted value. Lengths of inputs are in centimetres.

use crate::geometry::{bisect_floats, find_root_between};

/// Number of equal steps into which a search divides the range of the input.
const INPUT_SAMPLING_STEPS: u32 = 400;

/// Largest |residual| that counts as zero at a root, relative to max(|wanted value|, 1).
const RELATIVE_ROOT_RESIDUAL_TOLERANCE: f64 = 1e-12;

/// Largest |residual| that counts as zero at a local extremum, relative to max(|wanted value|, 1).
const RELATIVE_EXTREMUM_RESIDUAL_TOLERANCE: f64 = 1e-9;

/// Closed interval of input values in which every value gives a draft and the numbers of darts are constant: pairs of
/// input value and searched quantity, ascending by input value, from one end of the interval to the other.
pub(super) type SmoothInterval = Vec<[f64; 2]>;

/// Dart counts (back, front) and searched quantity of the draft at one input value; `None` without a draft.
pub(super) type DartCountsAndQuantity = Option<([usize; 2], f64)>;

/// Splits an input range into smooth intervals with samples, the input value of the original draft among them.
pub(super) fn split_into_smooth_intervals(
    (from, to): (f64, f64),
    original: f64,
    evaluate: &impl Fn(f64) -> DartCountsAndQuantity,
) -> Vec<SmoothInterval> {
    let step = |k: u32| from + (to - from) * (f64::from(k) / f64::from(INPUT_SAMPLING_STEPS));
    let mut inputs: Vec<f64> = (0..INPUT_SAMPLING_STEPS).map(step).chain([to]).collect();
    if (from..to).contains(&original) {
        inputs.insert(inputs.partition_point(|input| *input < original), original);
    }
    let dart_counts = |(_, evaluation): &(f64, DartCountsAndQuantity)| evaluation.map(|(dart_counts, _)| dart_counts);
    let mut samples: Vec<(f64, DartCountsAndQuantity)> = Vec::new();
    for input in inputs {
        let next = (input, evaluate(input));
        if let Some(last) = samples.last().copied().filter(|last| dart_counts(last) != dart_counts(&next)) {
            let is_before = |input: f64| dart_counts(&(input, evaluate(input))) == dart_counts(&last);
            samples.extend(bisect_floats([last.0, input], is_before).map(|input| (input, evaluate(input))));
        }
        samples.push(next);
    }
    let runs = samples.chunk_by(|a, b| dart_counts(a) == dart_counts(b));
    let drafted = |(input, evaluation): &(f64, DartCountsAndQuantity)| Some([*input, (*evaluation)?.1]);
    runs.map(|run| run.iter().filter_map(drafted).collect()).filter(|samples: &Vec<_>| !samples.is_empty()).collect()
}

/// Finds the ranges of input values at which the quantity has the wanted value; of length 0 if isolated.
pub(super) fn find_solution_ranges(
    interval: &[[f64; 2]],
    wanted: f64,
    evaluate: &impl Fn(f64) -> DartCountsAndQuantity,
) -> Vec<(f64, f64)> {
    let residual = |input: f64| evaluate(input).map_or(f64::NAN, |(_, quantity)| quantity - wanted);
    let scale = wanted.abs().max(1.0);
    let [at_root, at_extremum] =
        [RELATIVE_ROOT_RESIDUAL_TOLERANCE, RELATIVE_EXTREMUM_RESIDUAL_TOLERANCE].map(|ratio| ratio * scale);
    let samples: Vec<[f64; 2]> = interval.iter().map(|[input, quantity]| [*input, quantity - wanted]).collect();
    let mut solutions = find_zero_ranges(&samples, at_root, &residual);
    for pair in samples.windows(2) {
        if pair[0][1] * pair[1][1] < 0.0 && pair.iter().all(|sample| sample[1].abs() > at_root) {
            let root = find_root([pair[0], pair[1]], &residual);
            solutions.push((root, root));
        }
    }
    for triple in samples.windows(3) {
        let [before, middle, after] = [triple[0], triple[1], triple[2]];
        let have_one_sign = before[1] * middle[1] > 0.0 && middle[1] * after[1] > 0.0;
        let min_end = before[1].abs().min(after[1].abs());
        let is_constant = middle[1].abs() >= before[1].abs().max(after[1].abs());
        if have_one_sign && !is_constant && (at_root..=min_end).contains(&middle[1].abs()) {
            let roots = find_roots_around_extremum([before, middle, after], at_extremum, &residual);
            solutions.extend(roots.into_iter().map(|root| (root, root)));
        }
    }
    solutions.sort_by(|a, b| a.0.total_cmp(&b.0));
    solutions.dedup_by(|b, a| (b.0 - a.1).abs() <= 1e-9 * b.0.abs().max(1.0));
    solutions
}

/// Finds the ranges of input values, around samples with |residual| at most `tolerance`, in which |residual| stays at
/// most `tolerance`.
fn find_zero_ranges(samples: &[[f64; 2]], tolerance: f64, residual: &impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    let is_zero = |sample: &[f64; 2]| sample[1].abs() <= tolerance;
    let range = |run: &[[f64; 2]]| {
        let [first, last] = [run[0][0], run[run.len() - 1][0]];
        let before = samples.iter().rev().find(|sample| sample[0] < first).map_or(first, |sample| sample[0]);
        let after = samples.iter().find(|sample| sample[0] > last).map_or(last, |sample| sample[0]);
        let end = |from: f64, to: f64| bisect_floats([from, to], |x| residual(x).abs() <= tolerance)[0];
        if run.len() == 1 { (first, first) } else { (end(first, before), end(last, after)) }
    };
    samples.chunk_by(|a, b| is_zero(a) == is_zero(b)).filter(|run| is_zero(&run[0])).map(range).collect()
}

/// Returns the input value of the root between two samples with residuals of opposite sign, to the last bits.
fn find_root(ends: [[f64; 2]; 2], residual: &impl Fn(f64) -> f64) -> f64 {
    let (Ok(root) | Err(root)) = find_root_between(ends, 0.0, residual);
    root
}

/// Finds the roots on both sides of a local extremum of the residual: two, one if the residual at the extremum is at
/// most `tolerance` from 0, or none.
fn find_roots_around_extremum(
    [a, middle, b]: [[f64; 2]; 3],
    tolerance: f64,
    residual: &impl Fn(f64) -> f64,
) -> Vec<f64> {
    let (mut low, mut high, mut best) = (a[0], b[0], middle);
    for _ in 0..80 {
        let [first, second] =
            [low + (high - low) * 0.4, low + (high - low) * 0.6].map(|input| [input, residual(input)]);
        for sample in [first, second] {
            if sample[1] * middle[1] < 0.0 {
                return vec![find_root([a, sample], residual), find_root([sample, b], residual)];
            }
            if sample[1].abs() < best[1].abs() {
                best = sample;
            }
        }
        (low, high) = if first[1].abs() < second[1].abs() { (low, second[0]) } else { (first[0], high) };
    }
    if best[1].abs() <= tolerance { vec![best[0]] } else { Vec::new() }
}
