//! The columns of a table of bodies, and what a row of them is.

use std::borrow::Cow;

use super::table::table_columns;
use crate::body::{Apportionment, Body, Darts, Ease, Inputs, MAX_DARTS, Rules, numbers};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, Unit};

/// One number of every row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Column<'a> {
    /// The same for all rows.
    Constant(f64),
    /// One for each row.
    Values(&'a [f64]),
    /// One for each row, or none: such a row is refused.
    Nullable(&'a [Option<f64>]),
}

/// Bodies, their ease and the rules, one number a column: lengths in `unit`.
///
/// Numbers that stand for all rows, and number and places of given darts, must be in range; a row with a number of its own
/// out of range is refused by itself. There are as many rows as the columns have; where every number is the same for all
/// rows, there is none.
#[derive(Clone, Debug, PartialEq)]
pub struct Bodies<'a> {
    /// The measurements.
    pub body: Body<Column<'a>>,
    /// The ease.
    pub ease: Ease<Column<'a>>,
    /// The drafter's rules.
    pub rules: Rules<Column<'a>>,
    /// The unit of all lengths, in and out.
    pub unit: Unit,
}

impl<'a> Column<'a> {
    /// Rules that are the same for all rows; their lengths are in the unit of the bodies, and those of
    /// [`Rules::default`] in centimetres.
    #[must_use]
    pub fn rules(rules: &Rules) -> Rules<Column<'a>> {
        rules.clone().map(&mut Column::Constant)
    }

    /// The number of all rows, where it is the same.
    pub(super) fn constant(&self) -> Option<f64> {
        if let Self::Constant(value) = self { Some(*value) } else { None }
    }

    /// The number of a row, if it has one.
    pub(super) fn at(&self, row: usize) -> Option<f64> {
        match self {
            Self::Constant(value) => Some(*value),
            Self::Values(values) => Some(values[row]),
            Self::Nullable(values) => values[row],
        }
    }

    /// How many rows it has, where it has one number for each.
    fn rows(&self) -> Option<usize> {
        match self {
            Self::Constant(_) => None,
            Self::Values(values) => Some(values.len()),
            Self::Nullable(values) => Some(values.len()),
        }
    }
}

/// A number of the row: its path and its row in the tables of numbers.
#[derive(Clone, Debug)]
pub(super) struct Entry<'a> {
    pub(super) path: Cow<'static, str>,
    pub(super) field: &'static Field,
    pub(super) column: Column<'a>,
}

/// Columns that are known to fit each other.
#[derive(Debug)]
pub(super) struct Ready<'a> {
    bodies: &'a Bodies<'a>,
    pub(super) entries: Vec<Entry<'a>>,
    rows: usize,
    areas: Vec<bool>,
}

impl<'a> Ready<'a> {
    /// Asks of the columns what can be asked of all rows together.
    pub(super) fn new(bodies: &'a Bodies<'a>) -> Result<Self, Problems> {
        let mut problems = Vec::new();
        if let Apportionment::Darts(Darts { back, front }) = &bodies.rules.apportionment {
            let lists = [("rules.darts.back", back.len()), ("rules.darts.front", front.len())];
            problems.extend(
                lists.into_iter().filter_map(|(path, count)| Problem::too_many(path, count, MAX_DARTS, "darts")),
            );
        }
        let numbers = numbers(&bodies.body, &bodies.ease, &bodies.rules).into_iter();
        let entries: Vec<_> = numbers.map(|(path, field, column)| Entry { path, field, column }).collect();
        let rows = entries.iter().find_map(|entry| entry.column.rows()).unwrap_or(0);
        for Entry { path, field, column } in &entries {
            if let Column::Constant(value) = column {
                problems.extend(field.check(path, *value, bodies.unit));
            }
            if let Some(count) = column.rows().filter(|count| *count != rows) {
                let problem = Problem::new(Code::DifferentRows, format!("{path}{}", field.name));
                problems.push(problem.with_value(format!("{count} rows")).with_limit(format!("{rows} rows")));
            }
        }
        Problems::ok_if_empty(problems)?;
        let mut ready = Self { bodies, entries, rows, areas: Vec::new() };
        ready.areas = table_columns(ready.max_darts()).iter().map(|column| column.is_area).collect();
        Ok(ready)
    }

    /// For each column of the table, whether it holds areas.
    pub(super) fn areas(&self) -> &[bool] {
        &self.areas
    }

    /// The given darts of numbers that come in the order of the entries.
    pub(super) fn darts<T: Copy>(&self, numbers: &[T]) -> Darts<T> {
        let mut next = 0;
        let mut number = |_: Column| {
            next += 1;
            numbers[next - 1]
        };
        match &self.bodies.rules.apportionment {
            Apportionment::Shares(_) => Darts { back: Vec::new(), front: Vec::new() },
            Apportionment::Darts(darts) => darts.clone().map(&mut number),
        }
    }

    pub(super) fn rows(&self) -> usize {
        self.rows
    }

    pub(super) fn unit(&self) -> Unit {
        self.bodies.unit
    }

    /// How many darts a row can have at the most, in back and front.
    pub(super) fn max_darts(&self) -> [usize; 2] {
        self.bodies.rules.max_darts()
    }

    /// Whether the suppression is shared out by shares.
    pub(super) fn by_shares(&self) -> bool {
        matches!(self.bodies.rules.apportionment, Apportionment::Shares(_))
    }

    /// Body, ease and rules of numbers that come in the order of the entries.
    pub(super) fn inputs<T>(&self, mut next: impl FnMut() -> T) -> Inputs<T> {
        let Bodies { body, ease, rules, .. } = self.bodies;
        let mut next = |_: Column| next();
        Inputs { body: body.map(&mut next), ease: ease.map(&mut next), rules: rules.clone().map(&mut next) }
    }

    /// The valid input of a row, in centimetres.
    pub(super) fn row(&self, row: usize) -> Result<Inputs, Problems> {
        let unit = self.unit();
        let check = |Entry { path, field, column }: &Entry| {
            if let Some(value) = column.at(row) {
                return field.check(path, value, unit);
            }
            let problem = Problem::new(Code::Missing, format!("{path}{}", field.name));
            Some(problem.with_limit(field.range_text(unit)).with_unit(field.kind.unit_name(unit)))
        };
        Problems::ok_if_empty(self.entries.iter().filter_map(check).collect())?;
        let mut numbers = self.entries.iter().map(|entry| entry.column.at(row).unwrap_or(f64::NAN));
        Ok(self.inputs(|| numbers.next().unwrap_or(f64::NAN)).convert(unit, Unit::Cm))
    }
}
