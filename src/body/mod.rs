//! Inputs of a draft: measurements of the body, ease, and the rules of the drafter.
//!
//! The public structs hold unchecked numbers. `Inputs::check_and_convert_to_cm` checks them; all later code relies on
//! its ranges.

mod figure;
mod rules;

pub use figure::Figure;
pub(crate) use figure::{FIGURE_PARTS, FIGURE_PATH_PREFIX, figure_problems, figure_table, is_given};
pub use rules::{Apportionment, DartCount, DartPosition, Darts, GivenDart, PanelRules, Rules, Shares};
pub(crate) use rules::{MAX_DARTS_PER_PANEL, shares_table};

use std::borrow::Cow;

use crate::error::{Code, Problem, Problems};
use crate::field::{Field, Unit, fields};
use figure::figure_contradiction_problems;

fields! { @table ($) body_table []
    /// Measurements of the body, in centimetres.
    ///
    /// Drafting checks the ranges and reports every measurement out of range together.
    Body {
        /// Girth at the natural waist (ISO 8559-1, 5.3.10).
        waist: Length (40.0, 200.0);
        /// Girth at the fullest hip (ISO 8559-1, 5.3.13).
        hip: Length (50.0, 220.0);
        /// Vertical distance from the waist at the side to the line of the fullest hip. A tape laid over the
        /// curve of the body measures slightly more.
        hip_depth: Length (10.0, 40.0);
        /// Vertical distance from the waist at the side to the hem; at least 1 cm more than the hip depth.
        length: Length (15.0, 150.0);
    }
}

fields! { @table ($) ease_table []
    /// Ease: girth of the garment minus girth of the body, over the whole girth, in centimetres.
    ///
    /// The drafter chooses the ease, so there is no default. Negative ease is for cloth that stretches.
    Ease {
        /// Ease added to the whole waist girth.
        waist: Length (-10.0, 40.0);
        /// Ease added to the whole hip girth.
        hip: Length (-10.0, 60.0);
    }
}

/// Minimum vertical distance between the hip line and the hem, in centimetres.
pub(crate) const MIN_HEM_BELOW_HIP_CM: f64 = 1.0;

/// Inputs of a draft: body, figure, ease and rules. Lengths are in centimetres, unless a function names another unit.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Inputs<T = f64> {
    pub(crate) body: Body<T>,
    pub(crate) figure: Figure<T>,
    pub(crate) ease: Ease<T>,
    pub(crate) rules: Rules<T>,
}

impl Inputs {
    /// Checks inputs in `unit`: ranges, numbers of darts, figure against body and rules, hem; returns them in
    /// centimetres.
    ///
    /// # Errors
    /// All [`Problems`]: numbers that are not finite or out of range; a figure with a number that has no
    /// effect, or that contradicts body or rules; a hem above the hip line.
    pub(crate) fn check_and_convert_to_cm(self, unit: Unit) -> Result<Self, Problems> {
        let mut problems = Vec::new();
        self.visit_numbers(|path, field, value| {
            problems.extend(field.range_problem(path, value, unit).filter(|_| path != FIGURE_PATH_PREFIX));
        });
        problems.extend(dart_count_problems(&self.rules));
        problems.extend(figure_problems(&self.figure, unit));
        Problems::ok_if_empty(problems)?;
        let inputs = if unit == Unit::Cm { self } else { self.convert_lengths(unit, Unit::Cm) };
        let (length, min) = (inputs.body.length, inputs.body.hip_depth + MIN_HEM_BELOW_HIP_CM);
        let hem =
            (length < min).then(|| Problem::of_length_beyond_limit(Code::AboveHipLine, "body.length", length, min));
        let problems = figure_contradiction_problems(&inputs.figure, &inputs.body, &inputs.rules.panel_rules);
        Problems::ok_if_empty(hem.into_iter().chain(problems))?;
        Ok(inputs)
    }

    /// Converts all lengths of the inputs from one unit to another, without checks.
    pub(crate) fn convert_lengths(self, from: Unit, to: Unit) -> Self {
        self.map_fields(|field, number| field.kind.convert_unit(number, from, to))
    }
}

impl<T: Copy> Inputs<T> {
    /// Applies a function to definition and value of every given input: body, figure, ease, rules.
    pub(crate) fn map_fields<U>(&self, mut f: impl FnMut(&'static Field, T) -> U) -> Inputs<U> {
        let (body, figure) = (self.body.map_fields(&mut f), self.figure.map_fields(&mut f));
        Inputs { body, figure, ease: self.ease.map_fields(&mut f), rules: self.rules.map_fields(&mut f) }
    }

    /// Returns every given number of the inputs with path prefix and definition, in the order of their tables.
    pub(crate) fn input_numbers(&self) -> Vec<InputNumber<T>> {
        let mut numbers = Vec::with_capacity(24);
        self.visit_numbers(|path, field, value| numbers.push((path.clone(), field, value)));
        numbers
    }

    /// Calls `visit` with path prefix, definition and value of every given number, in the order of the tables.
    fn visit_numbers(&self, mut visit: impl FnMut(&Cow<'static, str>, &'static Field, T)) {
        let Self { body, figure, ease, rules } = self;
        body.map_fields(|field, value| visit(&Cow::Borrowed("body."), field, value));
        figure.map_fields(|field, value| visit(&Cow::Borrowed(FIGURE_PATH_PREFIX), field, value));
        ease.map_fields(|field, value| visit(&Cow::Borrowed("ease."), field, value));
        rules.panel_rules.map_fields(|field, value| visit(&Cow::Borrowed("rules."), field, value));
        match &rules.apportionment {
            Apportionment::Shares(shares) => {
                shares.map_fields(|field, value| visit(&Cow::Borrowed("rules.shares."), field, value));
            }
            Apportionment::Darts(Darts { back, front }) => {
                for (panel, list) in [("back", back), ("front", front)] {
                    for (index, dart) in list.iter().enumerate() {
                        let path = Cow::Owned(format!("rules.darts.{panel}[{index}]."));
                        dart.map_fields(|field, value| visit(&path, field, value));
                    }
                }
            }
        }
    }
}

/// One number of the inputs, as a tuple: path prefix, such as `body.`; definition, with name and range; value.
pub(crate) type InputNumber<T> = (Cow<'static, str>, &'static Field, T);

/// Returns the problems of panels with more than [`MAX_DARTS_PER_PANEL`] darts, given or chosen.
pub(crate) fn dart_count_problems<T: Copy>(rules: &Rules<T>) -> impl Iterator<Item = Problem> {
    let paths = match &rules.apportionment {
        Apportionment::Shares(_) => ["rules.shares.back_darts", "rules.shares.front_darts"],
        Apportionment::Darts(_) => ["rules.darts.back", "rules.darts.front"],
    };
    let counts = paths.into_iter().zip(rules.max_darts_by_panel());
    counts.filter_map(|(path, count)| Problem::too_many_problem(path, count, MAX_DARTS_PER_PANEL, "darts"))
}

/// Creates the [`Code::Conflict`] problem of rules that give both `shares` and `darts`.
pub(crate) fn shares_and_darts_conflict_problem() -> Problem {
    Problem::new(Code::Conflict, "rules.shares").with_limit("rules.darts")
}
