//! Request for a table of drafts, and the search for the column or constant of each input.

use std::collections::HashSet;

use arrow_schema::Schema;

use super::columns::is_numeric_type;
use crate::body::{Body, Ease, Rules, input_numbers};
use crate::error::{Code, Problem, Problems, quote_unusual_field_name};
use crate::field::{Field, Unit};

/// Source of an input's values in a table: a column or a constant.
#[derive(Clone, Debug, PartialEq)]
pub enum TableSource {
    /// Column with this name.
    Column(String),
    /// One value shared by all rows.
    Constant(f64),
}

/// Request for drafts of a table of bodies: the sources of the inputs, defaults, unit and extent of the output.
///
/// An input is named by its path, such as `ease.waist` or `rules.shares.back_share`. The prefix `body.` may be omitted:
/// `waist` is `body.waist`. A body measurement without a source comes from the column of its own name.
#[derive(Clone, Debug, PartialEq)]
pub struct TableRequest {
    /// Path and source of each input that has a source; constants are in `unit`.
    pub numbers: Vec<(String, TableSource)>,
    /// Ease at waist and hip of all rows, in centimetres; a source in `numbers` replaces the value that it names.
    pub ease: Option<Ease>,
    /// Rules of all rows, in centimetres; a source in `numbers` takes precedence.
    pub rules: Rules,
    /// Unit of all lengths in the input table and in the drafts.
    pub unit: Unit,
    /// Whether the drafts include the outlines of back and front.
    pub outlines: bool,
}

/// Source of one input's values: nothing, a constant, or the index of a column.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum IndexedSource {
    Missing,
    Constant(f64),
    Column(usize),
}

/// Sources of all inputs of a draft: constants or column indices.
#[derive(Clone, Debug)]
pub(super) struct DraftInputSources {
    pub(super) body: Body<IndexedSource>,
    pub(super) ease: Ease<IndexedSource>,
    pub(super) rules: Rules<IndexedSource>,
}

impl TableRequest {
    /// Finds the column or constant of every input in a table with this schema; returns all problems at once.
    pub(super) fn find_draft_input_sources(&self, schema: &Schema) -> Result<DraftInputSources, Problems> {
        let unit = self.unit;
        let own_column = |field: &Field| {
            unique_column_index(schema, field.name).map_or(IndexedSource::Missing, IndexedSource::Column)
        };
        let body = Body::from_array(Body::FIELDS.each_ref().map(own_column));
        let missing = Ease { waist: IndexedSource::Missing, hip: IndexedSource::Missing };
        let ease = self.ease.map_or(missing, |ease| ease.convert_lengths(Unit::Cm, unit).map(IndexedSource::Constant));
        let rules = self.rules.clone().convert_lengths(Unit::Cm, unit).map(&mut IndexedSource::Constant);

        let mut inputs: Vec<_> = input_numbers(&body, &ease, &rules)
            .into_iter()
            .map(|(path, field, source)| (format!("{path}{}", field.name), field, source))
            .collect();
        let mut problems = Vec::new();
        let mut given_paths = HashSet::new();
        for (name, source) in &self.numbers {
            if !given_paths.insert(full_input_path(name)) {
                problems
                    .push(Problem::new(Code::DuplicateField, format!("columns.{}", quote_unusual_field_name(name))));
            }
            match inputs.iter_mut().find(|(path, ..)| *path == full_input_path(name)) {
                Some((path, _, found)) => match source {
                    TableSource::Constant(value) => *found = IndexedSource::Constant(*value),
                    TableSource::Column(column) => {
                        let index = unique_column_index(schema, column);
                        *found = index.map_or(IndexedSource::Missing, IndexedSource::Column);
                        problems.extend(index.is_none().then(|| no_unique_column_problem(schema, path, column)));
                    }
                },
                None => problems.push(unknown_draft_input_problem(name, &inputs)),
            }
        }
        for (path, field, source) in &inputs {
            let is_reported = *source == IndexedSource::Missing && given_paths.contains(path);
            problems.extend(input_source_problem(schema, path, field, *source, unit).filter(|_| !is_reported));
        }
        Problems::ok_if_empty(problems)?;
        let mut sources = inputs.iter().map(|(_, _, source)| *source);
        let mut next = |_: IndexedSource| sources.next().unwrap_or(IndexedSource::Missing);
        Ok(DraftInputSources { body: body.map(&mut next), ease: ease.map(&mut next), rules: rules.map(&mut next) })
    }
}

/// Returns the full path of an input: adds the prefix `body.` to a name without a dot.
fn full_input_path(name: &str) -> String {
    if name.contains('.') { name.to_owned() } else { format!("body.{name}") }
}

/// Creates the problem of a path that names no input of a draft.
fn unknown_draft_input_problem(name: &str, inputs: &[(String, &Field, IndexedSource)]) -> Problem {
    let names: Vec<&str> = inputs.iter().map(|(path, ..)| path.trim_start_matches("body.")).collect();
    Problem::new(Code::UnknownField, format!("columns.{}", quote_unusual_field_name(name))).with_limit(names.join(", "))
}

/// Returns the index of the only column with this name; `None` if no column, or more than one, has the name.
pub(super) fn unique_column_index(schema: &Schema, name: &str) -> Option<usize> {
    let mut found = schema.fields().iter().enumerate().filter(|(_, field)| field.name() == name).map(|(k, _)| k);
    found.next().filter(|_| found.next().is_none())
}

/// Returns whether at least one column has this name.
fn has_column_named(schema: &Schema, name: &str) -> bool {
    schema.fields().iter().any(|column| column.name() == name)
}

/// Creates the problem of a column name that no column, or more than one column, has.
pub(super) fn no_unique_column_problem(schema: &Schema, path: &str, name: &str) -> Problem {
    let names: Vec<&str> = schema.fields().iter().map(|field| field.name().as_str()).collect();
    let limit = format!("the name of exactly one column; the columns are {}", names.join(", "));
    Problem::new(Code::UnknownChoice, path).with_value(format!("{name:?}")).with_limit(limit)
}

/// Returns a problem if an input's source is missing or a column of other values than numbers.
pub(super) fn input_source_problem(
    schema: &Schema,
    path: &str,
    field: &Field,
    source: IndexedSource,
    unit: Unit,
) -> Option<Problem> {
    match source {
        // A body measurement's own column name exists but is missing as a source: several columns have the name.
        IndexedSource::Missing if !path.starts_with("ease.") && has_column_named(schema, field.name) => {
            Some(no_unique_column_problem(schema, path, field.name))
        }
        IndexedSource::Missing => {
            let limit = format!("a column, or {} for all rows", field.range_text(unit));
            Some(Problem::new(Code::Missing, path).with_limit(limit))
        }
        IndexedSource::Constant(_) => None,
        IndexedSource::Column(index) => {
            let column = schema.field(index);
            let problem = || {
                let value = format!("column {:?} of type {}", column.name(), column.data_type());
                Problem::new(Code::WrongType, path).with_value(value).with_limit("a column of numbers")
            };
            (!is_numeric_type(column.data_type())).then(problem)
        }
    }
}
