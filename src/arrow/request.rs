//! Request for a table of drafts, and the search for the source of each input, a column or a constant.

use std::collections::{BTreeMap, HashMap};

use arrow_schema::Schema;
use serde_json::json;

use super::columns::{ColumnOrConstant, KeptColumns, find_column_index, is_numeric_type};
use crate::body::{Body, Ease, FIGURE_PATH_PREFIX, Figure, InputNumber, Inputs, Rules};
use crate::document::CallSettings;
use crate::error::{Code, Problem, Problems, quote_unusual_field_name};
use crate::field::{Field, Unit};
use crate::sensitivity::unknown_name_problem;

/// Request for drafts of a table of bodies: the sources of the inputs, default ease and rules, unit, whether outlines
/// are wanted, and kept columns.
///
/// An input is named by its path, such as `ease.waist` or `rules.shares.back_share`. The prefixes `body.` and
/// `body.figure.` may be omitted: `waist` is `body.waist`. A body measurement without a source comes from the column of
/// its own name; a measurement of the figure, such as `figure.front_length`, is missing without a source, and in a row
/// where its column is null.
#[derive(Clone, Debug, PartialEq)]
pub struct TableRequest {
    /// Path and source of each input whose source the caller gives; lengths among the constants are in `unit`.
    pub numbers: Vec<(String, ColumnOrConstant)>,
    /// Ease of all rows, in centimetres, except for an ease whose path is in `numbers`; `None` if both paths are.
    pub ease: Option<Ease>,
    /// Rules of all rows, with lengths in centimetres, except for a number whose path is in `numbers`.
    pub rules: Rules,
    /// Unit of all lengths in the input table, in the constants of `numbers` and in the drafts.
    pub unit: Unit,
    /// Whether the drafts include the outlines of back and front.
    pub outlines: bool,
    /// Columns of the input table that the drafts begin with.
    pub keep: KeptColumns,
}

impl TableRequest {
    /// Finds the source of every input in a table with the schema `schema`; returns the sources, or all problems.
    pub(super) fn find_input_sources(&self, schema: &Schema) -> Result<Inputs<ColumnOrConstant<usize>>, Problems> {
        let ease = self.ease.map(|ease| ease.convert_lengths(Unit::Cm, self.unit).map(Some));
        let ease = ease.unwrap_or(Ease { waist: None, hip: None });
        let rules = self.rules.clone().convert_lengths(Unit::Cm, self.unit).map_fields(&mut |_, number| Some(number));
        let (body, figure) = (Body::from_array([None; 4]), Figure::from_array(Figure::FIELDS.map(|_| Some(None))));
        let mut inputs = Inputs { body, figure, ease, rules };
        let path = |(path, field, _): &InputNumber<_>| format!("{path}{}", field.name);
        let known: Vec<String> = inputs.input_numbers().iter().map(path).collect();
        let (mut problems, mut given) = (Vec::new(), HashMap::new());
        for (name, source) in &self.numbers {
            if given.insert(full_input_path(name), source).is_some() {
                problems.push(Problem::new(Code::DuplicateField, columns_entry_path(name)));
            }
            // Only the first problems are reported.
            if problems.len() <= Problems::MAX && !known.contains(&full_input_path(name)) {
                let known = known.iter().map(|path| path.trim_start_matches("body."));
                problems.push(unknown_name_problem(&columns_entry_path(name), name, known));
            }
        }
        // A measurement of the figure without a source is missing.
        let is_given = |field: Field| given.contains_key(&full_input_path(field.name)).then_some(None);
        inputs.figure = Figure::from_array(Figure::FIELDS.map(is_given));
        let find = |input: &InputNumber<Option<f64>>| {
            let (path, (_, field, default)) = (path(input), input);
            find_input_source(schema, &path, field, given.get(&path).copied(), *default, self.unit)
        };
        let sources = Problems::all_values(problems, inputs.input_numbers().iter().map(find))?;
        let mut sources = sources.into_iter();
        Ok(inputs.map_fields(|_, _| sources.next().unwrap_or(ColumnOrConstant::Constant(f64::NAN))))
    }

    /// Returns the settings of the drafts: the given sources of inputs, the ease and the rules.
    pub(super) fn settings(&self) -> CallSettings {
        CallSettings::new(json!({
            "function": "draft_table", "unit": self.unit, "columns": self.numbers.iter().cloned().collect::<BTreeMap<_, _>>(),
            "ease": self.ease.map(|ease| ease.convert_lengths(Unit::Cm, self.unit)),
            "rules": self.rules.clone().convert_lengths(Unit::Cm, self.unit),
        }))
    }
}

/// Returns the path of an input in the argument `columns`, such as `columns.waist`.
pub(super) fn columns_entry_path(name: &str) -> String {
    format!("columns.{}", quote_unusual_field_name(name))
}

/// Returns the full path of an input: prefixes the name of a measurement of the figure with `body.figure.`, any other
/// name without a dot, or one that starts with `figure.`, with `body.`.
fn full_input_path(name: &str) -> String {
    if Figure::FIELDS.iter().any(|field| field.name == name) {
        return format!("{FIGURE_PATH_PREFIX}{name}");
    }
    let is_of_body = !name.contains('.') || name.starts_with("figure.");
    if is_of_body { format!("body.{name}") } else { name.to_owned() }
}

/// Finds the source of the input with a path: `given`, or else the constant `default`, or else, except for an ease, the
/// column with the name of the input. Constants are in `unit`.
///
/// # Errors
/// The problem of a source that is missing, names no column or several, or is a column of other values than numbers.
pub(super) fn find_input_source(
    schema: &Schema,
    path: &str,
    field: &Field,
    given: Option<&ColumnOrConstant>,
    default: Option<f64>,
    unit: Unit,
) -> Result<ColumnOrConstant<usize>, Problems> {
    let name = match (given, default) {
        (Some(ColumnOrConstant::Constant(value)), _) => return Ok(ColumnOrConstant::Constant(*value)),
        (Some(ColumnOrConstant::Column(name)), _) => name,
        (None, Some(value)) => return Ok(ColumnOrConstant::Constant(value)),
        (None, None) if !path.starts_with("ease.") && schema.column_with_name(field.name).is_some() => field.name,
        (None, None) => {
            let limit =
                format!("a column, or {number_in_range} for all rows", number_in_range = field.range_text(unit));
            return Err(Problem::new(Code::Missing, path).with_limit(limit).into());
        }
    };
    find_column_index(schema, path, name, is_numeric_type, "a column of numbers").map(ColumnOrConstant::Column)
}
