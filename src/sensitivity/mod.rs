//! Dependence of a finished draft on its inputs: exact derivatives, error propagation and inverse questions.
//!
//! [`Draft::sensitivity`] differentiates every quantity of a draft with respect to body, ease and rules.
//! [`Draft::uncertainty`] propagates measurement errors to the pattern; [`Draft::spread`] simulates such errors.
//! [`Draft::seek`] solves for the input value that gives a wanted quantity. Inputs and quantities have dotted names
//! such as `ease.hip` and `back.darts[0].intake`.
//!
//! ```
//! use kirtle::{Body, Ease, Rules};
//!
//! let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
//! let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
//! // One centimetre more hip ease widens the back panel by a quarter of a centimetre.
//! assert_eq!(draft.sensitivity(&["ease.hip"])?.derivative("back.width", "ease.hip")?, 0.25);
//! # Ok::<(), kirtle::Problems>(())
//! ```

mod quantity;
mod seek;
mod standard_errors;
mod uncertainty;

pub use quantity::QuantityId;
pub use seek::{SeekTarget, Solutions};
pub use standard_errors::StandardErrors;
pub use uncertainty::{ErrorEllipse, Spread, Uncertainty};

use num_dual::DualSVec64;

use crate::body::{Apportionment, DartCount, FIGURE_PATH_PREFIX, Figure, InputNumber, Inputs};
use crate::draft::{Draft, check_and_draft_inputs};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, Unit};

/// Maximum number of inputs differentiated in one pass of dual numbers: 6, the number of inputs of body and ease.
const MAX_INPUTS_PER_DUAL_PASS: usize = 6;

/// Paths of the rules for the number of darts of each panel.
const DART_COUNT_PATHS: [&str; 2] = ["rules.shares.back_darts", "rules.shares.front_darts"];

/// Capacity reserved for lists of quantities; an ordinary draft has about 90.
const QUANTITY_CAPACITY_HINT: usize = 96;

/// One numeric input of a draft, with its value: a measurement of body or figure, an ease, or a number of the rules.
#[derive(Clone, Debug, PartialEq)]
pub struct DraftInput {
    /// Path of the input in a request, such as `body.waist`, `ease.hip` or `rules.shares.back_share`.
    pub path: String,
    /// Description, kind and range of the input.
    pub field: &'static Field,
    /// Value of the input; a length is in cm from [`Draft::inputs`], in the unit of the call in [`Solutions`] and
    /// [`Sensitivity`].
    pub value: f64,
}

/// Exact derivatives of every quantity of a draft with respect to chosen inputs, for a fixed number of darts.
///
/// Lengths are in `unit`, areas in square `unit`, angles in degrees. The unit of a derivative is the unit of the
/// quantity divided by the unit of the input.
#[derive(Clone, Debug, PartialEq)]
pub struct Sensitivity {
    /// Unit of all lengths in this result.
    pub unit: Unit,
    /// Inputs with respect to which the quantities are differentiated, in the caller's order.
    pub inputs: Vec<DraftInput>,
    /// Identifiers of the quantities of the draft, in the order of `values` and of the rows of the Jacobian matrix.
    pub quantities: Vec<QuantityId>,
    /// Value of each quantity in the draft, in the order of `quantities`.
    pub values: Vec<f64>,
    /// Jacobian matrix, row after row: one row for each quantity, one column for each input.
    derivatives: Vec<f64>,
}

impl Draft {
    /// Returns every input of this draft with its value, in centimetres if a length: body with figure, ease, rules.
    pub fn inputs(&self) -> Vec<DraftInput> {
        self.inputs.input_numbers().iter().map(to_draft_input).collect()
    }

    /// Returns every quantity of this draft with its value: lengths in centimetres, areas in square centimetres, angles
    /// in degrees.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules};
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 0.0, hip: 0.0 }, &Rules::default())?;
    /// let (name, total) = draft.quantities()[0];
    /// assert_eq!((name.to_string().as_str(), total), ("nominal.total", 13.0));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn quantities(&self) -> Vec<(QuantityId, f64)> {
        let mut quantities = Vec::new();
        quantity::visit_quantities_with_values(self, |quantity, value| quantities.push((quantity, value)));
        quantities
    }

    /// Returns every quantity of this draft with its value: lengths in `unit`, areas in square `unit`, angles in
    /// degrees.
    pub fn quantities_in_unit(&self, unit: Unit) -> Vec<(QuantityId, f64)> {
        let quantities = self.quantities().into_iter();
        quantities.map(|(quantity, value)| (quantity, quantity.kind.convert_from_cm(value, unit))).collect()
    }

    /// Drafts again with other `values` of the inputs with the given paths, lengths in `unit`; the other inputs stay. A
    /// measurement of the figure may be one that the body lacks, and `rules.shares.back_darts` or `front_darts` chooses
    /// a number of darts.
    ///
    /// # Errors
    /// [`Code::UnknownChoice`] for each path that is not an input of this draft, [`Code::WrongType`] for a number of
    /// darts that is not whole or not from 0 to 3, and all [`Problems`] of [`draft`](crate::draft()) with lengths in
    /// `unit`.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules, Unit};
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let wider = draft.vary(&[("ease.hip", 7.0), ("rules.balance", 0.0)], Unit::Cm)?;
    /// assert_eq!(wider.front.width, 25.75);
    /// let one_dart = draft.vary(&[("rules.shares.back_darts", 1.0), ("body.figure.front_hip", 49.0)], Unit::Cm)?;
    /// assert_eq!((one_dart.back.darts.len(), one_dart.figure().front_hip), (1, Some(49.0)));
    ///
    /// let problems = draft.vary(&[("ease.hip", 90.0)], Unit::Cm).unwrap_err();
    /// assert_eq!(problems.to_string(), "ease.hip: 90 cm is above the maximum of 60 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn vary(&self, values: &[(&str, f64)], unit: Unit) -> Result<Draft, Problems> {
        let mut values = values.to_vec();
        let inputs = self.inputs_with_lacking_numbers(&mut values)?;
        let all = inputs.input_numbers();
        let paths: Vec<&str> = values.iter().map(|(path, _)| *path).collect();
        let indices = find_input_indices(&all, "values", &paths, &paths_of_lacking_numbers(&inputs))?;
        let range_problem = |(index, (_, value)): (&usize, &(&str, f64))| {
            let (prefix, field, _) = &all[*index];
            field.range_problem(prefix, *value, unit)
        };
        Problems::ok_if_empty(indices.iter().zip(&values).filter_map(range_problem))?;
        let varied = redraft_with_changed_inputs(&inputs, |index, number| {
            let value = indices.iter().zip(&values).rfind(|(of, _)| **of == index).map(|(_, (_, value))| *value);
            value.map_or(number, |value| all[index].1.kind.convert_unit(value, unit, Unit::Cm))
        });
        unit.convert_problems_from_cm(varied)
    }

    /// Returns the inputs with those of `values` that this draft lacks: measurements of the figure, not yet converted to
    /// centimetres, and chosen numbers of darts, which it takes out of `values`.
    fn inputs_with_lacking_numbers(&self, values: &mut Vec<(&str, f64)>) -> Result<Inputs, Problems> {
        let mut inputs = self.inputs.clone();
        let mut figure = inputs.figure.into_array();
        for (field, number) in Figure::FIELDS.iter().zip(&mut figure) {
            let is_given = |(path, _): &&(&str, f64)| path.strip_prefix(FIGURE_PATH_PREFIX) == Some(field.name);
            *number = values.iter().find(is_given).map(|(_, value)| *value).or(*number);
        }
        inputs.figure = Figure::from_array(figure);
        let Apportionment::Shares(shares) = &mut inputs.rules.apportionment else { return Ok(inputs) };
        for (name, count) in DART_COUNT_PATHS.into_iter().zip([&mut shares.back_darts, &mut shares.front_darts]) {
            let Some(k) = values.iter().position(|(path, _)| *path == name) else { continue };
            let (_, value) = values.remove(k);
            let is_value =
                |count: &DartCount| count.chosen_count().is_some_and(|count| value.total_cmp(&(count as f64)).is_eq());
            let problem = || Problem::new(Code::WrongType, name).with_value(value).with_limit("0, 1, 2 or 3");
            *count = DartCount::ALL.into_iter().find(is_value).ok_or_else(problem)?;
        }
        Ok(inputs)
    }

    /// Differentiates every quantity of this draft with respect to the inputs with the paths `by`; by all if empty.
    ///
    /// The waist is closed once, in `f64`; the implicit function theorem then gives the derivatives of the closure (see
    /// [`Draft::lift`]). The derivatives hold while the number of darts and the active limits of the rules do
    /// not change.
    ///
    /// # Errors
    /// [`Code::UnknownChoice`] for each path that is not an input of this draft.
    ///
    /// ```
    /// use kirtle::{Body, Code, Ease, Rules};
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let sensitivity = draft.sensitivity(&["ease.hip"])?;
    /// // One centimetre more hip ease widens each panel by 0.25 cm, and each back dart by about 0.08 cm.
    /// assert_eq!(sensitivity.derivative("back.width", "ease.hip")?, 0.25);
    /// assert!((sensitivity.derivative("back.darts[0].intake", "ease.hip")? - 0.08).abs() < 0.005);
    ///
    /// let problems = draft.sensitivity(&["ease.knee"]).unwrap_err();
    /// assert_eq!(problems[0].code, Code::UnknownChoice);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn sensitivity(&self, by: &[&str]) -> Result<Sensitivity, Problems> {
        let all = self.inputs.input_numbers();
        let indices: Vec<usize> =
            if by.is_empty() { (0..all.len()).collect() } else { find_input_indices(&all, "by", by, &[])? };
        let (mut quantities, mut values) =
            (Vec::with_capacity(QUANTITY_CAPACITY_HINT), Vec::with_capacity(QUANTITY_CAPACITY_HINT));
        let mut derivatives = Vec::with_capacity(QUANTITY_CAPACITY_HINT * indices.len());
        for (pass, pass_indices) in indices.chunks(MAX_INPUTS_PER_DUAL_PASS).enumerate() {
            let (width, count) = (indices.len(), pass_indices.len());
            let mut offset = pass * MAX_INPUTS_PER_DUAL_PASS;
            let mut inputs = 0..;
            let dual_draft = self.lift(|value| {
                let (number, input) = (DualSVec64::<MAX_INPUTS_PER_DUAL_PASS>::from_re(value), inputs.next());
                let component = pass_indices.iter().position(|index| Some(*index) == input);
                component.map_or(number, |component| number.derivative(component))
            });
            quantity::visit_quantities_with_values(&dual_draft, |quantity, number| {
                if pass == 0 {
                    quantities.push(quantity);
                    values.push(number.re);
                    derivatives.resize(values.len() * width, 0.0);
                }
                if let Some(eps) = &number.eps.0 {
                    derivatives[offset..offset + count].copy_from_slice(&eps.as_slice()[..count]);
                }
                offset += width;
            });
        }
        let inputs = indices.iter().map(|index| to_draft_input(&all[*index])).collect();
        Ok(Sensitivity { unit: Unit::Cm, inputs, quantities, values, derivatives })
    }
}

/// Returns the paths of the numbers that inputs lack and [`Draft::vary`] takes: measurements of the figure and, for
/// darts by shares, numbers of darts.
fn paths_of_lacking_numbers(inputs: &Inputs) -> Vec<String> {
    let figure = Figure::FIELDS.iter().zip(inputs.figure.into_array()).filter(|(_, number)| number.is_none());
    let counts = inputs.rules.shares().into_iter().flat_map(|_| DART_COUNT_PATHS).map(str::to_owned);
    figure.map(|(field, _)| format!("{FIGURE_PATH_PREFIX}{}", field.name)).chain(counts).collect()
}

/// Drafts again with inputs changed by `change`, which maps the index and the value of each input to the new value;
/// lengths are in centimetres.
pub(super) fn redraft_with_changed_inputs(
    inputs: &Inputs,
    mut change: impl FnMut(usize, f64) -> f64,
) -> Result<Draft, Problems> {
    let mut indices = 0..;
    check_and_draft_inputs(inputs.map_fields(|_, number| change(indices.next().unwrap_or_default(), number)))
}

fn to_draft_input((prefix, field, value): &InputNumber<f64>) -> DraftInput {
    DraftInput { path: format!("{prefix}{}", field.name), field, value: *value }
}

/// Finds the index in `all` of the input of each path; an unknown path is a problem of the field `argument`, which
/// offers the paths `others` as well.
pub(super) fn find_input_indices(
    all: &[InputNumber<f64>],
    argument: &str,
    paths: &[impl AsRef<str>],
    others: &[String],
) -> Result<Vec<usize>, Problems> {
    let index =
        |path: &str| all.iter().position(|(prefix, field, _)| path.strip_prefix(prefix.as_ref()) == Some(field.name));
    let paths = || paths.iter().map(AsRef::as_ref);
    let known = || all.iter().map(|row| to_draft_input(row).path).chain(others.iter().cloned());
    let unknown = paths().filter(|path| index(path).is_none());
    Problems::ok_if_empty(unknown.map(|path| unknown_name_problem(argument, path, known())))?;
    Ok(paths().filter_map(index).collect())
}

/// Creates the [`Code::UnknownChoice`] problem of `argument` for a name that is not in `known`; the message has the
/// three names most like it, if any is; the choices of the problem are all names.
pub(crate) fn unknown_name_problem<K: ToString>(
    argument: &str,
    name: &str,
    known: impl IntoIterator<Item = K>,
) -> Problem {
    let known: Vec<String> = known.into_iter().map(|known| known.to_string()).collect();
    let limit = match nearest_names(name, &known) {
        Some(nearest) => format!("one of {} names: {nearest}", known.len()),
        None if known.len() > 3 => format!("one of {} names", known.len()),
        None => format!("one of {}", known.join(", ")),
    };
    Problem::new(Code::UnknownChoice, argument).with_value(format!("{name:?}")).with_choices(known).with_limit(limit)
}

/// Asks whether one of the three names most like `name` was meant, first those that contain it or end with its last
/// part; `None` if no name differs in at most half of its letters, or if `known` has at most three names.
pub(crate) fn nearest_names(name: &str, known: &[String]) -> Option<String> {
    let (lower_case, last_part) = (name.to_lowercase(), |name: &str| name.rsplit('.').next().map(str::to_owned));
    let rank = |known: &String| {
        let known = known.to_lowercase();
        let is_other = !known.contains(&lower_case) && last_part(&known) != last_part(&lower_case);
        let distance = |known: &str| edit_distance(&lower_case, known);
        (is_other, distance(&known).min(distance(&quantity::name_of_column(&known))))
    };
    let mut nearest: Vec<_> = known.iter().map(|known| (rank(known), known)).collect();
    nearest.sort_by_key(|(rank, _)| *rank);
    let [(rank, a), (_, b), (_, c), _, ..] = nearest[..] else { return None };
    (rank <= (true, name.len() / 2)).then(|| format!("did you mean {a}, {b} or {c}?"))
}

/// Returns the number of letters and digits to insert, delete or replace to make one name of the other (Levenshtein
/// 1966); compares at most 100 of each.
fn edit_distance(first: &str, second: &str) -> usize {
    let letters = |name: &str| name.chars().filter(|letter| letter.is_alphanumeric()).take(100).collect::<Vec<_>>();
    let (first, second) = (letters(first), letters(second));
    let mut distances: Vec<usize> = (0..=second.len()).collect();
    for (row, letter) in first.iter().enumerate() {
        let mut diagonal = std::mem::replace(&mut distances[0], row + 1);
        for (k, other) in second.iter().enumerate() {
            let replaced = diagonal + usize::from(letter != other);
            diagonal = distances[k + 1];
            distances[k + 1] = replaced.min(diagonal.min(distances[k]) + 1);
        }
    }
    distances[second.len()]
}

impl Sensitivity {
    /// Returns the derivatives of the quantity at `index` in `quantities`, in the order of `inputs`.
    ///
    /// Panics if `index` is out of bounds.
    pub fn derivatives_of_quantity(&self, index: usize) -> &[f64] {
        &self.derivatives[index * self.inputs.len()..][..self.inputs.len()]
    }

    /// Returns the derivatives of all quantities, in the order of `quantities`, with respect to the input at `index` in
    /// `inputs`.
    pub(crate) fn derivatives_with_respect_to_input(&self, index: usize) -> impl Iterator<Item = f64> {
        self.derivatives.iter().copied().skip(index).step_by(self.inputs.len())
    }

    /// Returns the derivative of the named quantity with respect to the input with path `by`.
    ///
    /// # Errors
    /// [`Code::UnknownChoice`] for an unknown quantity, or for an input that is not in `inputs`.
    ///
    /// ```
    /// use kirtle::{Body, Code, Ease, Rules};
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let sensitivity = draft.sensitivity(&["ease.hip", "body.length"])?;
    /// assert_eq!(sensitivity.derivative("front.width", "ease.hip")?, 0.25);
    /// assert_eq!(sensitivity.derivative("front.width", "body.length")?, 0.0);
    /// assert_eq!(sensitivity.derivative("front.width", "body.waist").unwrap_err()[0].code, Code::UnknownChoice);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn derivative(&self, quantity: &str, by: &str) -> Result<f64, Problems> {
        let paths = || self.inputs.iter().map(|input| &input.path);
        let column = paths().position(|path| path == by).ok_or_else(|| unknown_name_problem("by", by, paths()).into());
        let (row, column) = Problems::pair_or_all_problems(find_quantity_index(&self.quantities, quantity), column)?;
        Ok(self.derivatives_of_quantity(row)[column])
    }

    /// Returns the sensitivity with inputs, values and derivatives converted to the length unit `unit`.
    pub fn in_unit(mut self, unit: Unit) -> Self {
        let (from, width) = (self.unit, self.inputs.len());
        let input_ratio = |input: &DraftInput| input.field.kind.cm_per_unit(unit) / input.field.kind.cm_per_unit(from);
        let input_ratios: Vec<f64> = self.inputs.iter().map(input_ratio).collect();
        for (row, quantity) in self.quantities.iter().enumerate() {
            let ratio = quantity.kind.cm_per_unit(unit) / quantity.kind.cm_per_unit(from);
            self.values[row] /= ratio;
            for (derivative, input_ratio) in self.derivatives[row * width..][..width].iter_mut().zip(&input_ratios) {
                *derivative *= input_ratio / ratio;
            }
        }
        for input in &mut self.inputs {
            input.value = input.field.kind.convert_unit(input.value, from, unit);
        }
        self.unit = unit;
        self
    }
}

/// Finds the index of the quantity with a name: its own, that of its column in a table of drafts, or that of an
/// attribute with the same number.
pub(crate) fn find_quantity_index(quantities: &[QuantityId], name: &str) -> Result<usize, Problems> {
    let index = quantities.iter().position(|quantity| quantity::is_name_of_quantity(name, *quantity));
    index.ok_or_else(|| unknown_name_problem("quantity", name, quantities).into())
}
