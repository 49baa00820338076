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
    let tolerances = [RELATIVE_ROOT_RESIDUAL_TOLERANCE, RELATIVE_EXTREMUM_RESIDUAL_TOLERANCE];
    let [at_root, at_extremum] = tolerances.map(|ratio| ratio * wanted.abs().max(1.0));
    let mut samples: Vec<[f64; 2]> = interval.iter().map(|[input, quantity]| [*input, quantity - wanted]).collect();
    let extremum = |triple: &[[f64; 2]]| sample_beyond_extremum(triple, [at_root, at_extremum], &residual);
    let extrema: Vec<[f64; 2]> = samples.windows(3).filter_map(extremum).collect();
    samples.extend(extrema);
    samples.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let is_zero = |sample: &[f64; 2]| sample[1].abs() <= at_root;
    let end_of_zeros = |from, to| bisect_floats([from, to], |input| residual(input).abs() <= at_root)[0];
    // Runs of zeros, and of residuals of one sign.
    let runs: Vec<_> =
        samples.chunk_by(|a, b| if is_zero(a) { is_zero(b) } else { !is_zero(b) && a[1] * b[1] > 0.0 }).collect();
    let (mut solutions, mut before) = (Vec::new(), samples[0]);
    for (k, run) in runs.iter().enumerate() {
        let (first, last) = (run[0], run[run.len() - 1]);
        let after = runs.get(k + 1).map_or(last, |next| next[0]);
        if is_zero(&first) && run.len() > 1 {
            solutions.push((end_of_zeros(first[0], before[0]), end_of_zeros(last[0], after[0])));
        } else if is_zero(&first) {
            solutions.push((first[0], first[0]));
        } else if !is_zero(&after) && last[1] * after[1] < 0.0 {
            // The root, to the last bits.
            let (Ok(root) | Err(root)) = find_root_between([last, after], 0.0, residual);
            solutions.push((root, root));
        }
        before = last;
    }
    solutions.dedup_by(|b, a| (b.0 - a.1).abs() <= 1e-9 * b.0.abs().max(1.0));
    solutions
}

/// Finds a sample near a local extremum of the residual, between the first and the last of three samples with residuals
/// of one sign: the residual of the sample has the other sign, or is 0 if the residual at the extremum is at most
/// `at_extremum` from 0.
fn sample_beyond_extremum(
    samples: &[[f64; 2]],
    [at_root, at_extremum]: [f64; 2],
    residual: &impl Fn(f64) -> f64,
) -> Option<[f64; 2]> {
    let [a, middle, b] = [samples[0], samples[1], samples[2]];
    let [at_a, at_middle, at_b] = [a, middle, b].map(|sample| sample[1].abs());
    let have_one_sign = a[1] * middle[1] > 0.0 && middle[1] * b[1] > 0.0;
    let is_constant = at_middle >= at_a.max(at_b);
    if !have_one_sign || is_constant || !(at_root..=at_a.min(at_b)).contains(&at_middle) {
        return None;
    }
    let (mut low, mut high, mut best) = (a[0], b[0], middle);
    for _ in 0..80 {
        let [first, second] =
            [low + (high - low) * 0.4, low + (high - low) * 0.6].map(|input| [input, residual(input)]);
        for sample in [first, second] {
            if sample[1] * middle[1] < 0.0 {
                return Some(sample);
            }
            best = if sample[1].abs() < best[1].abs() { sample } else { best };
        }
        (low, high) = if first[1].abs() < second[1].abs() { (low, second[0]) } else { (first[0], high) };
    }
    (best[1].abs() <= at_extremum).then_some([best[0], 0.0])
}
