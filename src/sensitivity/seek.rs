//! Inverse questions: the values of one input (measurement, ease or rule) that give a wanted quantity of the draft.
//!
//! A draft is a smooth function of one input, except where the number of darts changes or no draft exists. The search
//! samples the input's range, bisects to each change of the number of darts and to each end of a range without drafts,
//! and finds the roots within each smooth interval.

use std::cell::Cell;

use super::{DraftInput, QuantityId, find_input_indices, quantity, redraft_with_changed_inputs, unknown_name_problem};
use crate::draft::{Draft, Half};
use crate::error::{Code, GivenValue, Problem, Problems};
use crate::field::{Field, Unit};
use crate::geometry::{bisect_floats, find_root_between};

/// Condition on a draft; [`Draft::seek`] searches for the values of one input for which the draft meets the condition.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SeekTarget<'a> {
    /// The quantity with the given name, as in [`Draft::quantities`], has the given value, in the unit of the search.
    Quantity(&'a str, f64),
    /// A panel has the given number of darts.
    Darts(Half, usize),
    /// The garment has a given girth at a given level, as measured by [`Draft::girth_at`].
    Girth {
        /// Distance of the level below the waist at the side, in the unit of the search.
        level: f64,
        /// Girth of the whole garment at the level, in the unit of the search.
        girth: f64,
    },
}

impl<'a> SeekTarget<'a> {
    /// Creates a target from a name and the wanted value: `back.darts` or `front.darts` for a number of darts, `girth`
    /// for a girth at `level`, any other name for the quantity of that name.
    ///
    /// # Errors
    /// [`Code::Missing`] for `girth` without a level, [`Code::Conflict`] for any other name with a level,
    /// [`Code::WrongType`] for a number of darts that is negative or not whole.
    ///
    /// ```
    /// use kirtle::Half;
    /// use kirtle::sensitivity::SeekTarget;
    ///
    /// assert_eq!(SeekTarget::from_name("back.darts", 1.0, None)?, SeekTarget::Darts(Half::Back, 1));
    /// let problems = SeekTarget::from_name("girth", 92.0, None).unwrap_err();
    /// assert_eq!(problems.to_string(), "level: missing: give how far below the waist the girth lies");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn from_name(name: &'a str, value: f64, level: Option<f64>) -> Result<Self, Problems> {
        let half = Half::ALL.into_iter().find(|half| name.strip_prefix(half.name()) == Some(".darts"));
        let level_problem = |code, limit: &str| Err(Problem::new(code, "level").with_limit(limit).into());
        match (name, half, level) {
            ("girth", _, Some(level)) => Ok(Self::Girth { level, girth: value }),
            ("girth", _, None) => level_problem(Code::Missing, "how far below the waist the girth lies"),
            (_, _, Some(_)) => level_problem(Code::Conflict, &format!("{name:?}")),
            // The cast saturates; no panel has `usize::MAX` darts.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            (_, Some(half), None) if value >= 0.0 && value.fract() == 0.0 => Ok(Self::Darts(half, value as usize)),
            (_, Some(_), None) => {
                let problem = Problem::new(Code::WrongType, "value").with_value(value);
                Err(problem.with_limit("a whole number of darts").into())
            }
            (_, None, None) => Ok(Self::Quantity(name, value)),
        }
    }
}

/// All values of one input for which the draft meets a [`SeekTarget`], and the draft for the nearest of them.
///
/// A target number of darts is met over an interval of input values. A target quantity is met at isolated values,
/// except where the input has no effect on the quantity.
#[derive(Clone, Debug, PartialEq)]
pub struct Solutions {
    /// The input; its `value` is the solution nearest to the value of the input in the original draft.
    pub input: DraftInput,
    /// Ends of the interval of solutions that contains `input.value`; equal for an isolated solution.
    pub interval: (f64, f64),
    /// One solution from each other interval of solutions, ascending: the one nearest to the value of the input in the
    /// original draft.
    pub others: Vec<f64>,
    /// Draft with the input at `input.value`, the nearest solution.
    pub draft: Draft,
}

impl Draft {
    /// Finds the values of one input, given by its path, for which the draft meets the target. All other inputs stay
    /// unchanged. All lengths of arguments and result are in `unit`.
    ///
    /// The search covers the whole range of the input, or the range `between`, in 400 equal steps. The search may miss
    /// solutions where two or more lie within one step.
    ///
    /// # Errors
    /// [`Code::UnknownChoice`] for an unknown input or quantity, a range problem for a `between` outside the input's
    /// range, [`Code::WrongType`] for a `between` with the larger value first, [`Code::OutOfReach`] if there is no
    /// solution; the limit of that problem is the range of values that the input can give.
    ///
    /// ```
    /// use kirtle::{Body, Code, Ease, Half, Rules, Unit};
    /// use kirtle::sensitivity::SeekTarget;
    ///
    /// let body = Body { waist: 74.0, hip: 96.0, hip_depth: 20.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// assert_eq!(draft.back.darts.len(), 2);
    ///
    /// // Which hip ease needs only one back dart? The back takes 0.3 of half the difference, one dart at most 3 cm.
    /// let solutions = draft.seek("ease.hip", &SeekTarget::Darts(Half::Back, 1), None, Unit::Cm)?;
    /// assert_eq!(solutions.draft.back.darts.len(), 1);
    /// assert!((2.98..=3.0).contains(&solutions.draft.back.darts[0].intake));
    ///
    /// let target = SeekTarget::Quantity("suppression.total", 60.0);
    /// let problems = draft.seek("ease.hip", &target, Some((0.0, 10.0)), Unit::Cm).unwrap_err();
    /// assert_eq!(problems[0].code, Code::OutOfReach);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn seek(
        &self,
        input: &str,
        target: &SeekTarget,
        between: Option<(f64, f64)>,
        unit: Unit,
    ) -> Result<Solutions, Problems> {
        let all = self.inputs.input_numbers();
        let index = find_input_indices(&all, "input", &[input], &[])?[0];
        let (_, field, original) = all[index];
        let (min, max) = between.unwrap_or(field.range(unit));
        let argument = Field { name: "between", ..*field };
        Problems::ok_if_empty([min, max].iter().filter_map(|end| argument.range_problem("", *end, unit)))?;
        if min > max {
            let problem = Problem::new(Code::WrongType, "between").with_value(format!("{min} to {max}"));
            return Err(problem.with_limit("a range with the smaller value first").into());
        }
        let numbers = match *target {
            SeekTarget::Quantity(_, value) => [("level", 0.0), ("value", value)],
            SeekTarget::Darts(_, count) => [("level", 0.0), ("darts", count as f64)],
            SeekTarget::Girth { level, girth } => [("level", level), ("girth", girth)],
        };
        let problem = |(field, value): (&str, f64)| Problem::new(Code::NotFinite, field).with_value(value);
        let not_finite = numbers.into_iter().filter(|(_, value)| !value.is_finite());
        Problems::ok_if_empty(not_finite.map(|number| problem(number).with_limit("a number")))?;
        let [_, (_, wanted)] = numbers;
        let range = (field.kind.convert_unit(min, unit, Unit::Cm), field.kind.convert_unit(max, unit, Unit::Cm));
        let search = InputSearch { input, field, target: *target, range, unit, quantity: Cell::new(None) };
        let redraft =
            |value: f64| redraft_with_changed_inputs(&self.inputs, |k, number| if k == index { value } else { number });
        let sample = |value: f64| {
            let evaluated = redraft(value).ok().and_then(|draft| search.dart_counts_and_searched_quantity(&draft));
            evaluated.map_or((value, None, f64::NAN), |(dart_counts, number)| (value, Some(dart_counts), number))
        };
        let intervals = split_into_smooth_intervals(search.range, original, &sample);
        let solutions = intervals.iter().flat_map(|interval| find_solution_ranges(interval, wanted, &sample));
        let mut solutions: Vec<(f64, f64)> = solutions.collect();
        // Adjacent ranges merge: between them only darts change that the target does not depend on.
        solutions.dedup_by(|next, last| {
            let is_adjacent = last.1.next_up() >= next.0;
            last.1 = if is_adjacent { next.1 } else { last.1 };
            is_adjacent
        });
        // Rounded inwards, so that the ends are solutions, also if they are given again in `unit`.
        let to_cm = |number: f64| field.kind.convert_unit(number, unit, Unit::Cm);
        let in_unit = |(from, to): (f64, f64)| {
            let (low, high) = (search.cm_to_unit(from), search.cm_to_unit(to));
            (
                if to_cm(low) < from { low.next_up() } else { low },
                if to_cm(high) > to { high.next_down() } else { high },
            )
        };
        let value_in_unit = |range| {
            let (low, high) = in_unit(range);
            search.cm_to_unit(original).max(low).min(high)
        };
        let value = |(from, to): (f64, f64)| original.clamp(from, to);
        let distance = |range| (value(range) - original).abs();
        let Some(nearest) = solutions.iter().copied().min_by(|a, b| distance(*a).total_cmp(&distance(*b))) else {
            return Err(search.no_solution_problem(self, wanted, &intervals).into());
        };
        let others = solutions.iter().filter(|other| **other != nearest).map(|other| value_in_unit(*other));
        Ok(Solutions {
            input: DraftInput { path: input.to_owned(), field, value: value_in_unit(nearest) },
            interval: in_unit(nearest),
            others: others.collect(),
            draft: redraft(value(nearest))?,
        })
    }
}

/// Search for the values of one input for which the draft meets a target.
struct InputSearch<'a> {
    input: &'a str,
    field: &'static Field,
    target: SeekTarget<'a>,
    /// Smallest and largest value of the input that the search tries, in centimetres if lengths.
    range: (f64, f64),
    /// Unit of the values of the target, of problems and of results.
    unit: Unit,
    /// Identifier of the quantity that the target names, cached from the first draft that has the quantity.
    quantity: Cell<Option<QuantityId>>,
}

impl InputSearch<'_> {
    fn cm_to_unit(&self, value: f64) -> f64 {
        self.field.kind.convert_unit(value, Unit::Cm, self.unit)
    }

    /// Returns the dart counts (back, front) of a draft and the value for which the target searches, in the caller's
    /// unit; `None` if the draft lacks the quantity.
    fn dart_counts_and_searched_quantity(&self, draft: &Draft) -> Option<([usize; 2], f64)> {
        let dart_counts = draft.dart_counts();
        let number = match self.target {
            SeekTarget::Darts(half, _) => dart_counts[usize::from(half == Half::Front)] as f64,
            SeekTarget::Girth { level, .. } => {
                self.unit.length_from_cm(draft.girth_at(level * self.unit.cm_per_unit()).ok()?)
            }
            SeekTarget::Quantity(name, _) => {
                let mut found = None;
                quantity::visit_quantities_with_values(draft, |quantity, value| {
                    let known = self.quantity.get();
                    if known == Some(quantity) || (known.is_none() && quantity::is_name_of_quantity(name, quantity)) {
                        self.quantity.set(Some(quantity));
                        found = Some(quantity.kind.convert_from_cm(value, self.unit));
                    }
                });
                found?
            }
        };
        Some((dart_counts, number))
    }

    /// Creates the problem of a target that no input value meets; its limit says which values are attainable.
    fn no_solution_problem(&self, present: &Draft, wanted: f64, intervals: &[SmoothInterval]) -> Problem {
        let (min, max) = (self.cm_to_unit(self.range.0), self.cm_to_unit(self.range.1));
        let unit = self.field.kind.unit_name(self.unit);
        let searched = format!("{} from {min} to {max} {unit}", self.input).trim_end().to_owned();
        let (field, value, unit) = match self.target {
            SeekTarget::Darts(_, count) => ("darts", GivenValue::from(count.to_string()), ""),
            SeekTarget::Quantity(name, value) => {
                let Some(quantity) = self.quantity.get() else {
                    return unknown_name_problem("quantity", name, present.quantities().iter().map(|(id, _)| id));
                };
                ("value", value.into(), quantity.kind.unit_name(self.unit))
            }
            SeekTarget::Girth { girth, .. } => ("girth", girth.into(), self.unit.name()),
        };
        let attainable = self.attainable_values_text(intervals, wanted, unit);
        let problem = Problem::new(Code::OutOfReach, field).with_value(value).with_unit(unit);
        problem.with_limit(format!("{searched} gives {attainable}"))
    }

    /// Describes for a message the range of attainable values and, if there is one, the jump past the wanted value,
    /// where the number of darts changes.
    fn attainable_values_text(&self, intervals: &[SmoothInterval], wanted: f64, unit: &str) -> String {
        let quantities = || intervals.iter().flatten().map(|[_, quantity]| *quantity);
        if intervals.is_empty() {
            return "no draft".to_owned();
        }
        let (min, max) = (quantities().fold(f64::INFINITY, f64::min), quantities().fold(f64::NEG_INFINITY, f64::max));
        if let SeekTarget::Darts(half, _) = self.target {
            return format!("{min} to {max} darts in the {}", half.name());
        }
        let jump = intervals.windows(2).find_map(|pair| {
            let [from, to] = [pair[0][pair[0].len() - 1], pair[1][0]];
            let is_adjacent = from[0].next_up() >= to[0];
            (is_adjacent && (from[1] - wanted) * (to[1] - wanted) < 0.0).then(|| {
                let input_and_value = format!("{} = {:.2}", self.input, self.cm_to_unit(from[0]));
                let (before, after) = (from[1], to[1]);
                let jump = format!("from {before:.2} to {after:.2} {unit} at {input_and_value}");
                format!(", but jumps {jump}, where the number of darts changes")
            })
        });
        format!("{min:.2} to {max:.2} {unit}{}", jump.unwrap_or_default())
    }
}

/// Number of equal steps into which a search divides the range of the input.
const INPUT_SAMPLING_STEPS: u32 = 400;

/// Largest |residual| that counts as zero at a root, relative to max(|wanted value|, 1).
const RELATIVE_ROOT_RESIDUAL_TOLERANCE: f64 = 1e-12;

/// Largest |residual| that counts as zero at a local extremum, relative to max(|wanted value|, 1).
const RELATIVE_EXTREMUM_RESIDUAL_TOLERANCE: f64 = 1e-9;

/// Closed interval of input values in which every value gives a draft and the numbers of darts are constant: pairs of
/// input value and searched quantity, ascending by input value, from one end of the interval to the other.
type SmoothInterval = Vec<[f64; 2]>;

/// Input value, with dart counts (back, front) and searched quantity of the draft; `None` and NaN without a draft.
type InputSample = (f64, Option<[usize; 2]>, f64);

/// Splits an input range into smooth intervals with samples, the input value of the original draft among them.
fn split_into_smooth_intervals(
    (from, to): (f64, f64),
    original: f64,
    sample: &impl Fn(f64) -> InputSample,
) -> Vec<SmoothInterval> {
    let step = |k: u32| from + (to - from) * (f64::from(k) / f64::from(INPUT_SAMPLING_STEPS));
    let mut inputs: Vec<f64> = (0..INPUT_SAMPLING_STEPS).map(step).chain([to]).collect();
    if (from..to).contains(&original) {
        inputs.insert(inputs.partition_point(|input| *input < original), original);
    }
    let mut samples: Vec<InputSample> = Vec::new();
    for next in inputs.into_iter().map(sample) {
        if let Some(last) = samples.last().copied().filter(|last| last.1 != next.1) {
            samples.extend(bisect_floats([last.0, next.0], |input| sample(input).1 == last.1).map(sample));
        }
        samples.push(next);
    }
    let drafted = samples.chunk_by(|a, b| a.1 == b.1).filter(|run| run[0].1.is_some());
    drafted.map(|run| run.iter().map(|(input, _, quantity)| [*input, *quantity]).collect()).collect()
}

/// Finds the ranges of input values at which the quantity has the wanted value; of length 0 if isolated.
fn find_solution_ranges(interval: &[[f64; 2]], wanted: f64, sample: &impl Fn(f64) -> InputSample) -> Vec<(f64, f64)> {
    let residual = |input: f64| sample(input).2 - wanted;
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
