//! Validation of the input of a draft: [`Inputs::new`] is the only check, and makes an [`Inputs`] with every number in
//! range.

use std::borrow::Cow;

use super::{Apportionment, Body, Darts, Ease, FixedDart, MAX_DARTS, PanelRules, Rules, Shares};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, Unit};
use crate::scalar::Scalar;

/// Minimum vertical distance from the hip line down to the hem, in centimetres.
pub(crate) const MIN_HEM_BELOW_HIP_CM: f64 = 1.0;

/// Checked input of a draft: body, ease and rules, in centimetres.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Inputs<T = f64> {
    pub(crate) body: Body<T>,
    pub(crate) ease: Ease<T>,
    pub(crate) rules: Rules<T>,
}

impl Inputs {
    /// Checks every number against its range in `unit`, then converts to centimetres.
    ///
    /// # Errors
    /// All [`Problems`]: numbers that are not finite or out of range; a hem above the hip line.
    pub(crate) fn new(body: &Body, ease: &Ease, rules: &Rules, unit: Unit) -> Result<Self, Problems> {
        Problems::ok_if_empty(range_problems(body, ease, rules, unit))?;
        let given = Self { body: *body, ease: *ease, rules: rules.clone() };
        let inputs = if unit == Unit::Cm { given } else { given.convert(unit, Unit::Cm) };
        Problems::ok_if_empty(short_length_problem(&inputs.body).into_iter().collect())?;
        Ok(inputs)
    }

    /// Converts all lengths from one unit to another, without checks.
    pub(crate) fn convert(self, from: Unit, to: Unit) -> Self {
        let Self { body, ease, rules } = self;
        Self { body: body.convert(from, to), ease: ease.convert(from, to), rules: rules.convert(from, to) }
    }
}

impl<T: Scalar> Inputs<T> {
    /// Converts every number with a function, for example to another scalar type.
    pub(crate) fn map<U>(&self, mut f: impl FnMut(T) -> U) -> Inputs<U> {
        Inputs { body: self.body.map(&mut f), ease: self.ease.map(&mut f), rules: self.rules.clone().map(&mut f) }
    }
}

/// Input number with its path prefix, such as `body.`, and its table row.
pub(crate) type InputNumber<T> = (Cow<'static, str>, &'static Field, T);

/// Lists every number of body, ease and rules, in the order of their tables.
pub(crate) fn input_numbers<T: Copy>(body: &Body<T>, ease: &Ease<T>, rules: &Rules<T>) -> Vec<InputNumber<T>> {
    let mut numbers = Vec::with_capacity(24);
    let mut extend = |path: &'static str, fields: &'static [Field], values: &[T]| {
        numbers.extend(fields.iter().zip(values).map(|(field, value)| (Cow::Borrowed(path), field, *value)));
    };
    extend("body.", const { &Body::FIELDS }, &body.into_array());
    extend("ease.", const { &Ease::FIELDS }, &ease.into_array());
    extend("rules.", const { &PanelRules::FIELDS }, &rules.panel_rules.into_array());
    match &rules.apportionment {
        Apportionment::Shares(shares) => extend("rules.shares.", const { &Shares::FIELDS }, &shares.into_array()),
        Apportionment::Darts(Darts { back, front }) => {
            for (panel, list) in [("back", back), ("front", front)] {
                for (index, dart) in list.iter().enumerate() {
                    let path: Cow<str> = Cow::Owned(format!("rules.darts.{panel}[{index}]."));
                    numbers.extend(FixedDart::field_values(*dart).map(|(field, value)| (path.clone(), field, value)));
                }
            }
        }
    }
    numbers
}

/// Returns the problems of all numbers that are not finite or out of their range in `unit`.
fn range_problems(body: &Body, ease: &Ease, rules: &Rules, unit: Unit) -> Vec<Problem> {
    let mut problems = Vec::new();
    let mut check = |path: &str, fields: &[Field], values: &[f64]| {
        problems.extend(fields.iter().zip(values).filter_map(|(field, value)| field.check(path, *value, unit)));
    };
    check("body.", &Body::FIELDS, &body.into_array());
    check("ease.", &Ease::FIELDS, &ease.into_array());
    check("rules.", &PanelRules::FIELDS, &rules.panel_rules.into_array());
    match &rules.apportionment {
        Apportionment::Shares(shares) => check("rules.shares.", &Shares::FIELDS, &shares.into_array()),
        Apportionment::Darts(darts) => {
            for (panel, list) in [("back", &darts.back), ("front", &darts.front)] {
                problems.extend(Problem::too_many(&format!("rules.darts.{panel}"), list.len(), MAX_DARTS, "darts"));
                for (index, dart) in list.iter().enumerate() {
                    let path = format!("rules.darts.{panel}[{index}].");
                    problems.extend(dart.field_values().iter().filter_map(|(field, v)| field.check(&path, *v, unit)));
                }
            }
        }
    }
    problems
}

/// Creates the problem of rules that give both `shares` and `darts`.
pub(crate) fn shares_and_darts_conflict() -> Problem {
    Problem::new(Code::Conflict, "rules.shares").with_limit("rules.darts")
}

/// Returns the problem of a skirt that ends above, or less than 1 cm below, the hip line.
fn short_length_problem(body: &Body) -> Option<Problem> {
    let min = body.hip_depth + MIN_HEM_BELOW_HIP_CM;
    let clears = body.length >= min;
    (!clears).then(|| {
        let problem = Problem::new(Code::AboveHipLine, "body.length").with_value(body.length);
        problem.with_limit(min).with_unit(Unit::Cm.name())
    })
}
