//! Input columns of a table of bodies. [`CheckedBodies`] holds columns of equal length whose constants are in range.

use crate::body::{
    Body, Ease, FIGURE_PARTS, FIGURE_PATH_PREFIX, Figure, InputNumber, Inputs, Rules, dart_count_problems,
    figure_problems,
};
use crate::error::{Code, Problem, Problems};
use crate::field::Unit;

/// Values of one input in all rows of a table, such as the waist girths of all bodies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Column<'a> {
    /// One value shared by all rows.
    Constant(f64),
    /// One value per row.
    Values(&'a [f64]),
    /// One optional value per row; a row with `None` is refused, unless the column is a measurement of the figure.
    Nullable(&'a [Option<f64>]),
}

/// Bodies to draft, with their ease and rules: one [`Column`] per input, lengths in `unit`.
///
/// A constant out of range, or a panel with more than 3 given darts, refuses the whole table; a value of one row out of
/// range refuses that row. Columns with one value per row must have equal lengths. A table of constants has no rows.
#[derive(Clone, Debug, PartialEq)]
pub struct Bodies<'a> {
    /// Body measurements, each a [`Column`]: one value for each row, or one constant for all rows.
    pub body: Body<Column<'a>>,
    /// Figures of the bodies, with a [`Column`] for each measurement that any row may have; a `None` in a column is a
    /// measurement that the row lacks. A constant that has no effect without it is then left out, too.
    pub figure: Figure<Column<'a>>,
    /// Ease at waist and hip, one column each.
    pub ease: Ease<Column<'a>>,
    /// Drafting rules, with one column for each number of the rules.
    pub rules: Rules<Column<'a>>,
    /// Unit of all lengths, both of the input columns and of the resulting table.
    pub unit: Unit,
}

impl<'a> Column<'a> {
    /// Converts rules to columns of constants, which hold for all rows.
    ///
    /// Lengths are taken in the unit of the [`Bodies`]. The lengths of [`Rules::default`] are centimetres.
    pub fn constant_rules(rules: &Rules) -> Rules<Column<'a>> {
        rules.map_fields(&mut |_, number| Column::Constant(number))
    }

    /// Returns the value of a row; `None` where the value is missing.
    pub(crate) fn row_value(&self, row: usize) -> Option<f64> {
        match self {
            Self::Constant(value) => Some(*value),
            Self::Values(values) => Some(values[row]),
            Self::Nullable(values) => values[row],
        }
    }

    /// Returns the number of rows of a column; `None` for a constant.
    fn row_count_unless_constant(&self) -> Option<usize> {
        match self {
            Self::Constant(_) => None,
            Self::Values(values) => Some(values.len()),
            Self::Nullable(values) => Some(values.len()),
        }
    }
}

/// Bodies to draft after a check: columns with one value per row have equal lengths, and constants are in range.
pub(super) struct CheckedBodies<'a> {
    pub(super) bodies: &'a Bodies<'a>,
    /// Columns of the inputs.
    pub(super) inputs: Inputs<Column<'a>>,
    /// Column of each input, among them the measurements of the figure that have a column, with path prefix and
    /// definition of the input.
    pub(super) columns: Vec<InputNumber<Column<'a>>>,
    pub(super) rows: usize,
}

impl<'a> CheckedBodies<'a> {
    /// Checks numbers of darts, ranges of constants and lengths of columns; returns the checked bodies.
    pub(super) fn check_bodies(bodies: &'a Bodies<'a>) -> Result<Self, Problems> {
        let mut problems: Vec<_> = dart_count_problems(&bodies.rules).collect();
        let Bodies { body, figure, ease, rules, .. } = bodies.clone();
        let inputs = Inputs { body, figure, ease, rules };
        let columns = inputs.input_numbers();
        let rows = columns.iter().find_map(|(.., column)| column.row_count_unless_constant()).unwrap_or(0);
        for (path, field, column) in &columns {
            if let Column::Constant(value) = column {
                problems.extend(field.range_problem(path, *value, bodies.unit));
            }
            if let Some(count) = column.row_count_unless_constant().filter(|count| *count != rows) {
                let problem = Problem::new(Code::DifferentRows, format!("{path}{}", field.name));
                problems.push(problem.with_count_and_limit(count, rows, "rows"));
            }
        }
        Problems::ok_if_empty(problems)?;
        Ok(Self { bodies, inputs, columns, rows })
    }

    /// Checks the values of one row; returns its inputs in centimetres, or all problems.
    pub(super) fn checked_row_inputs_in_cm(&self, row: usize) -> Result<Inputs, Problems> {
        let unit = self.bodies.unit;
        let check = |(path, field, column): &InputNumber<Column>| {
            if let Some(value) = column.row_value(row) {
                return field.range_problem(path, value, unit);
            }
            let problem = Problem::new(Code::Missing, format!("{path}{}", field.name));
            Some(field.add_range_to_problem(problem, unit))
        };
        let columns = self.bodies.figure.into_array();
        let mut figure = columns.map(|column| column.and_then(|column| column.row_value(row)));
        for part in FIGURE_PARTS {
            let mut given = part.clone().filter(|index| figure[*index].is_some());
            // A constant has no effect in a row without the measurements that it needs.
            if let (Some(only), None) = (given.next(), given.next())
                && matches!(columns[only], Some(Column::Constant(_)))
                && columns[part].iter().flatten().count() > 1
            {
                figure[only] = None;
            }
        }
        let figure = Figure::from_array(figure);
        let of_figure = figure_problems(&figure, unit);
        let required = self.columns.iter().filter(|(path, ..)| path != FIGURE_PATH_PREFIX);
        Problems::ok_if_empty(required.filter_map(check).chain(of_figure))?;
        let inputs = self.inputs.map_fields(|_, column| column.row_value(row).unwrap_or(f64::NAN));
        Ok(Inputs { figure, ..inputs }.convert_lengths(unit, Unit::Cm))
    }
}
