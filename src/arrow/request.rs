//! Which column of a table holds which number.

use std::collections::HashSet;

use arrow_schema::Schema;

use super::columns::holds_numbers;
use crate::body::{Body, Ease, Rules, numbers};
use crate::error::{Code, Problem, Problems, shown_name};
use crate::field::{Field, Unit};

/// Where the numbers of a table come from.
#[derive(Clone, Debug, PartialEq)]
pub enum TableSource {
    /// From the column of this name.
    Column(String),
    /// The same number for all rows.
    Constant(f64),
}

/// What is wanted of a table of bodies.
///
/// A number is named by its path, such as `ease.waist` or `rules.shares.back_share`; the measurements go without `body.`,
/// too. Measurements that are not named come from the columns of their own name.
#[derive(Clone, Debug, PartialEq)]
pub struct TableRequest {
    /// Numbers by their path, and where they come from; numbers that are the same for all rows are in `unit`.
    pub numbers: Vec<(String, TableSource)>,
    /// The ease, in centimetres, where it is not among the numbers.
    pub ease: Option<Ease>,
    /// The rules, in centimetres, for what is not among the numbers.
    pub rules: Rules,
    /// The unit of all lengths, in and out.
    pub unit: Unit,
    /// Whether the outlines are wanted, too.
    pub outlines: bool,
}

/// Where one number comes from, once the columns of the table are known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum ColumnSource {
    Missing,
    Constant(f64),
    Column(usize),
}

/// The places of all numbers.
#[derive(Clone, Debug)]
pub(super) struct ColumnSources {
    pub(super) body: Body<ColumnSource>,
    pub(super) ease: Ease<ColumnSource>,
    pub(super) rules: Rules<ColumnSource>,
}

impl TableRequest {
    /// Finds every number in the columns of a table, all that is wrong with them at once.
    pub(super) fn places(&self, schema: &Schema) -> Result<ColumnSources, Problems> {
        let unit = self.unit;
        let own = |field: &Field| column_of(schema, field.name).map_or(ColumnSource::Missing, ColumnSource::Column);
        let body = Body::from_array(Body::FIELDS.each_ref().map(own));
        let missing = Ease { waist: ColumnSource::Missing, hip: ColumnSource::Missing };
        let ease = self.ease.map_or(missing, |ease| ease.convert(Unit::Cm, unit).map(ColumnSource::Constant));
        let rules = self.rules.clone().convert(Unit::Cm, unit).map(&mut ColumnSource::Constant);

        let mut numbers: Vec<_> = numbers(&body, &ease, &rules)
            .into_iter()
            .map(|(path, field, place)| (format!("{path}{}", field.name), field, place))
            .collect();
        let mut problems = Vec::new();
        let mut named = HashSet::new();
        for (name, source) in &self.numbers {
            if !named.insert(full(name)) {
                problems.push(Problem::new(Code::DuplicateField, format!("columns.{}", shown_name(name))));
            }
            match numbers.iter_mut().find(|(path, ..)| *path == full(name)) {
                Some((path, _, place)) => match source {
                    TableSource::Constant(value) => *place = ColumnSource::Constant(*value),
                    TableSource::Column(column) => {
                        *place = column_of(schema, column).map_or(ColumnSource::Missing, ColumnSource::Column);
                        problems.extend((*place == ColumnSource::Missing).then(|| no_column(schema, path, column)));
                    }
                },
                None => problems.push(unknown(name, &numbers)),
            }
        }
        for (path, field, place) in &numbers {
            let told = *place == ColumnSource::Missing && named.contains(path);
            problems.extend(wrong(schema, path, field, *place, unit).filter(|_| !told));
        }
        Problems::ok_if_empty(problems)?;
        let mut places = numbers.iter().map(|(_, _, place)| *place);
        let mut next = |_: ColumnSource| places.next().unwrap_or(ColumnSource::Missing);
        Ok(ColumnSources { body: body.map(&mut next), ease: ease.map(&mut next), rules: rules.map(&mut next) })
    }
}

/// The path of a number: measurements go without `body.`, too.
fn full(name: &str) -> String {
    if name.contains('.') { name.to_owned() } else { format!("body.{name}") }
}

/// The problem of a path that is none.
fn unknown(name: &str, numbers: &[(String, &Field, ColumnSource)]) -> Problem {
    let names: Vec<&str> = numbers.iter().map(|(path, ..)| path.trim_start_matches("body.")).collect();
    Problem::new(Code::UnknownField, format!("columns.{}", shown_name(name))).with_limit(names.join(", "))
}

/// The column of a name, if there is exactly one.
pub(super) fn column_of(schema: &Schema, name: &str) -> Option<usize> {
    let mut found = schema.fields().iter().enumerate().filter(|(_, field)| field.name() == name).map(|(k, _)| k);
    found.next().filter(|_| found.next().is_none())
}

fn has(schema: &Schema, name: &str) -> bool {
    schema.fields().iter().any(|column| column.name() == name)
}

/// The problem of a name that is that of no column, or of several.
pub(super) fn no_column(schema: &Schema, path: &str, name: &str) -> Problem {
    let names: Vec<&str> = schema.fields().iter().map(|field| field.name().as_str()).collect();
    let limit = format!("exactly one of the columns {}", names.join(", "));
    Problem::new(Code::UnknownChoice, path).with_value(format!("{name:?}")).with_limit(limit)
}

/// What is wrong with the place of a number, if anything.
pub(super) fn wrong(schema: &Schema, path: &str, field: &Field, place: ColumnSource, unit: Unit) -> Option<Problem> {
    match place {
        // Measurements come from the columns of their own name, if it is that of one.
        ColumnSource::Missing if !path.starts_with("ease.") && has(schema, field.name) => {
            Some(no_column(schema, path, field.name))
        }
        ColumnSource::Missing => {
            let limit = format!("a column, or {} for all rows", field.range_text(unit));
            Some(Problem::new(Code::Missing, path).with_limit(limit))
        }
        ColumnSource::Constant(_) => None,
        ColumnSource::Column(index) => {
            let column = schema.field(index);
            let problem = || {
                let value = format!("column {:?} of {}", column.name(), column.data_type());
                Problem::new(Code::WrongType, path).with_value(value).with_limit("a column of numbers")
            };
            (!holds_numbers(column.data_type())).then(problem)
        }
    }
}
