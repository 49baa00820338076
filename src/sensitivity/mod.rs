//! The draft with derivatives: how every number of it changes with every number that it is drafted from.

mod pieces;
mod quantity;
mod seek;
mod standard_errors;
mod uncertainty;

pub use quantity::{Dimension, Quantity};
pub use seek::{Solutions, Target};
pub use standard_errors::StandardErrors;
pub use uncertainty::{Ellipse, Uncertainty};

use num_dual::DualSVec64;

use crate::body::{Inputs, Named, numbers};
use crate::draft::Draft;
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};

/// The inputs by which one pass differentiates: body and ease.
const WIDTH: usize = 6;

/// About as many numbers as a draft has, to make room for.
const MANY: usize = 96;

/// A number that a draft is made from.
#[derive(Clone, Debug, PartialEq)]
pub struct Input {
    /// Its path in a request, such as `body.waist`, `ease.hip` or `rules.shares.back_share`.
    pub path: String,
    /// Its row: what it is, its kind and its range.
    pub field: &'static Field,
    /// What it is here; a length in centimetres, or in the unit of what tells it.
    pub value: f64,
}

/// How the numbers of a draft change with what it is drafted from: exact derivatives, with darts as many as there are.
///
/// Lengths are in its unit, areas in its square, angles in degrees; a derivative is in the unit of the number over that of the
/// input.
#[derive(Clone, Debug, PartialEq)]
pub struct Sensitivity {
    /// The unit of lengths.
    pub unit: Unit,
    /// The inputs, in the order in which they were asked for.
    pub inputs: Vec<Input>,
    /// The numbers of the draft.
    pub quantities: Vec<Quantity>,
    /// Their values.
    pub values: Vec<f64>,
    /// Of each number one derivative by each input.
    derivatives: Vec<f64>,
}

impl Draft {
    /// The numbers that this draft is made from, in the order of their tables.
    #[must_use]
    pub fn inputs(&self) -> Vec<Input> {
        named(&self.inputs).iter().map(input).collect()
    }

    /// The numbers of this draft by name; lengths in centimetres.
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
    #[must_use]
    pub fn quantities(&self) -> Vec<(Quantity, f64)> {
        let mut found = Vec::new();
        quantity::visit(self, |quantity, value| found.push((quantity, value)));
        found
    }

    /// The same with lengths in a unit.
    #[must_use]
    pub fn quantities_in(&self, unit: Unit) -> Vec<(Quantity, f64)> {
        let numbers = self.quantities().into_iter();
        numbers.map(|(quantity, value)| (quantity, value / quantity.dimension.cm_per_unit(unit))).collect()
    }

    /// The exact derivatives of every number of this draft by the inputs of these names, or by all where none is named.
    ///
    /// The waist is closed once, on plain numbers; the derivatives of what closes it follow by the implicit function theorem
    /// (see [`Draft::lift`]). They hold while darts are as many as here and the same limits of the rules are met.
    ///
    /// # Errors
    /// [`Code::UnknownChoice`] for each name that is not that of an input of this draft.
    ///
    /// ```
    /// use kirtle::{Body, Code, Ease, Rules};
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let sensitivity = draft.sensitivity(&["ease.hip"])?;
    /// // Each centimetre more at the hip widens each panel by a quarter, and each back dart by about 0.08 cm.
    /// assert_eq!(sensitivity.derivative("back.width", "ease.hip")?, 0.25);
    /// assert!((sensitivity.derivative("back.darts[0].intake", "ease.hip")? - 0.08).abs() < 0.005);
    ///
    /// let problems = draft.sensitivity(&["ease.knee"]).unwrap_err();
    /// assert_eq!(problems[0].code, Code::UnknownChoice);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn sensitivity(&self, by: &[&str]) -> Result<Sensitivity, Problems> {
        let all = named(&self.inputs);
        let places: Vec<usize> = if by.is_empty() { (0..all.len()).collect() } else { places(&all, "by", by)? };
        let mut sensitivity = Sensitivity {
            unit: Unit::Cm,
            inputs: places.iter().map(|place| input(&all[*place])).collect(),
            quantities: Vec::with_capacity(MANY),
            values: Vec::with_capacity(MANY),
            derivatives: Vec::with_capacity(MANY * places.len()),
        };
        for (pass, some) in places.chunks(WIDTH).enumerate() {
            sensitivity.add(&self.by(some), pass * WIDTH, some.len());
        }
        Ok(sensitivity)
    }

    /// The draft with derivatives by at most [`WIDTH`] inputs, told by their places.
    fn by(&self, places: &[usize]) -> Draft<DualSVec64<WIDTH>> {
        let mut next = 0;
        self.lift(|value| {
            let number = DualSVec64::from_re(value);
            let place = places.iter().position(|place| *place == next);
            next += 1;
            place.map_or(number, |place| number.derivative(place))
        })
    }
}

/// The numbers of an input, with their paths in two parts.
pub(super) fn named(inputs: &Inputs) -> Vec<Named<f64>> {
    numbers(&inputs.body, &inputs.ease, &inputs.rules)
}

fn input((path, field, value): &Named<f64>) -> Input {
    Input { path: format!("{path}{}", field.name), field, value: *value }
}

/// Where the inputs of these names stand among all.
pub(super) fn places(all: &[Named<f64>], asking: &str, names: &[&str]) -> Result<Vec<usize>, Problems> {
    let is = |(path, field, _): &Named<f64>, name: &str| name.strip_prefix(path.as_ref()) == Some(field.name);
    let place = |name: &&str| all.iter().position(|number| is(number, name));
    let unknown = names.iter().filter(|name| place(name).is_none());
    let known = || all.iter().map(|number| input(number).path).collect::<Vec<_>>();
    Problems::ok_if_empty(unknown.map(|name| unknown_name(asking, name, &known())).collect())?;
    Ok(names.iter().filter_map(place).collect())
}

/// The problem of a name that is none of those that are known.
pub(super) fn unknown_name(asking: &str, name: &str, known: &[String]) -> Problem {
    let limit = format!("one of {}", known.join(", "));
    Problem::new(Code::UnknownChoice, asking).with_value(format!("{name:?}")).with_limit(limit)
}

impl Sensitivity {
    /// Adds the derivatives by the inputs from one on, so many of those that the draft carries.
    fn add(&mut self, draft: &Draft<DualSVec64<WIDTH>>, start: usize, count: usize) {
        let width = self.inputs.len();
        let first = start == 0;
        let mut row = 0;
        quantity::visit(draft, |quantity, number| {
            if first {
                self.quantities.push(quantity);
                self.values.push(number.re);
                self.derivatives.resize((row + 1) * width, 0.0);
            }
            if let Some(eps) = &number.eps.0 {
                let at = row * width + start;
                self.derivatives[at..at + count].copy_from_slice(&eps.as_slice()[..count]);
            }
            row += 1;
        });
    }

    /// The derivatives of the number at a place, one by each input.
    ///
    /// Panics beyond the last number, as an index does.
    #[must_use]
    pub fn row(&self, place: usize) -> &[f64] {
        &self.derivatives[place * self.inputs.len()..][..self.inputs.len()]
    }

    /// The derivatives of all numbers by the input at this place.
    #[cfg(feature = "arrow")]
    pub(crate) fn by_input(&self, place: usize) -> impl Iterator<Item = f64> {
        self.derivatives.iter().copied().skip(place).step_by(self.inputs.len())
    }

    /// The derivative of a number by an input.
    ///
    /// # Errors
    /// [`Code::UnknownChoice`] for a name that is none of the numbers, or of the inputs that were asked for.
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
        let paths = || self.inputs.iter().map(|input| input.path.clone());
        let column = paths().position(|path| path == by);
        let column = column.ok_or_else(|| unknown_name("by", by, &paths().collect::<Vec<_>>()).into());
        let (row, column) = Problems::both(find(&self.quantities, quantity), column)?;
        Ok(self.row(row)[column])
    }

    /// The same with lengths in a unit.
    #[must_use]
    pub fn in_unit(mut self, unit: Unit) -> Self {
        let (from, width) = (self.unit, self.inputs.len());
        let by = |input: &Input| unit_of(input.field.kind, unit) / unit_of(input.field.kind, from);
        let by: Vec<f64> = self.inputs.iter().map(by).collect();
        for (row, quantity) in self.quantities.iter().enumerate() {
            let ratio = quantity.dimension.cm_per_unit(unit) / quantity.dimension.cm_per_unit(from);
            self.values[row] /= ratio;
            for (derivative, by) in self.derivatives[row * width..][..width].iter_mut().zip(&by) {
                *derivative *= by / ratio;
            }
        }
        for input in &mut self.inputs {
            input.value = input.field.kind.convert(input.value, from, unit);
        }
        self.unit = unit;
        self
    }
}

/// The centimetres in one unit of an input.
fn unit_of(kind: FieldKind, unit: Unit) -> f64 {
    if kind == FieldKind::Length { unit.cm_per_unit() } else { 1.0 }
}

/// Where the number of this name stands.
pub(super) fn find(quantities: &[Quantity], name: &str) -> Result<usize, Problems> {
    let names = || quantities.iter().map(ToString::to_string);
    names()
        .position(|known| known == name)
        .ok_or_else(|| unknown_name("quantity", name, &names().collect::<Vec<_>>()).into())
}
