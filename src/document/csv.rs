//! A size chart as comma-separated values (RFC 4180), read and written: a header, then one row per size.
//!
//! Columns separated by semicolons or tabs, decimal commas, empty rows and headers in any case are read, too.

use super::chart::read_size;
use super::json::JsonValue;
use super::object::read_fields;
use crate::body::Body;
use crate::error::{Code, Problem, Problems, quote_unusual_field_name};
use crate::field::Unit;
use crate::ruler::parse_mixed_number;
use crate::sizes::SizeChart;

const MAX_CHART_CSV_BYTES: usize = 1 << 20;
/// Maximum number of columns in a size chart in CSV, including unknown columns.
const MAX_CSV_COLUMNS: usize = 100;
const SIZE_NAME_COLUMN_HEADER: &str = "name";

/// Returns the names of the columns that a size chart in CSV must have.
fn required_column_names() -> impl Iterator<Item = &'static str> {
    std::iter::once(SIZE_NAME_COLUMN_HEADER).chain(Body::FIELDS.map(|field| field.name))
}

/// Returns the standard name of each column of a CSV header, or `None` for an unknown, unnamed or repeated column; and
/// the problems of the header. A column without a name is not read.
fn header_column_names_and_problems(header: &csv::StringRecord) -> (Vec<Option<&'static str>>, Vec<Problem>) {
    let mut problems = Vec::new();
    let mut columns = Vec::new();
    for given in header {
        let standard = given.to_lowercase().replace([' ', '-'], "_");
        let standard = if standard == "size" { SIZE_NAME_COLUMN_HEADER } else { &standard };
        let known = required_column_names().find(|name| *name == standard);
        let is_repeated = known.is_some() && columns.contains(&known);
        let problem = |code| Problem::new(code, format!("columns.{}", quote_unusual_field_name(given)));
        if is_repeated {
            problems.push(problem(Code::DuplicateField));
        } else if known.is_none() && !given.is_empty() {
            problems.push(problem(Code::UnknownField).with_choices(required_column_names()));
        }
        columns.push(known.filter(|_| !is_repeated));
    }
    let missing = required_column_names().filter(|name| !columns.contains(&Some(*name)));
    let missing = missing.map(|name| Problem::new(Code::Missing, format!("columns.{name}")));
    problems.extend(missing.map(|problem| problem.with_limit("a column of this name")));
    (columns, problems)
}

/// Adds to the message of a problem the line, from 1, on which the CSV text has the size concerned; rewords a message
/// about an empty cell. `lines` are the line numbers of the sizes.
fn add_line_number_to_message(mut problem: Problem, lines: &[usize]) -> Problem {
    let index = problem.field.strip_prefix("sizes[").and_then(|rest| rest.split_once(']')?.0.parse::<usize>().ok());
    if let Some(line) = index.and_then(|index| lines.get(index)) {
        let sentence = problem.message[problem.field.len()..].replacen(": \"\" is not ", ": is empty: give ", 1);
        problem.message = format!("{} (line {line}){sentence}", problem.field);
    }
    problem
}

impl SizeChart {
    /// Reads a chart from CSV, lengths in `unit`: columns `name` or `size`, `waist`, `hip`, `hip_depth`, `length`, in
    /// any order and case. Commas, semicolons or tabs separate the columns; where commas do, a number with a decimal
    /// comma stands in quotes. A fraction is read, too: `28 1/2` or `28½`.
    ///
    /// # Errors
    /// [`Code::BrokenTable`] if the text is not such a table, is over 1 MiB or has over 100 columns. Otherwise all the
    /// problems at once: missing, unknown or repeated columns, and the problems of [`SizeChart::new`], lengths in
    /// `unit`; messages about a size name its line.
    ///
    /// ```
    /// use kirtle::{SizeChart, Unit};
    ///
    /// let chart = SizeChart::from_csv("name,waist,hip,hip_depth,length\nS,26,36,8,24\nM,28,38,8¼,24\n", Unit::In)?;
    /// assert_eq!(chart.sizes()[1].body.hip_depth, 8.25 * 2.54);
    /// let semicolons = "Name;Waist;Hip;Hip depth;Length\nS;66;91,5;20;60\nM;72;96;20,2;60\n";
    /// assert_eq!(SizeChart::from_csv(semicolons, Unit::Cm)?.sizes()[0].body.hip, 91.5);
    ///
    /// let problems = SizeChart::from_csv("name,waist,hip,hip_depth,length\nS,x,36,8,24\nM,28,38,99,24\n", Unit::In);
    /// assert_eq!(
    ///     problems.unwrap_err().to_string(),
    ///     "sizes[0].waist (line 2): \"x\" is not a number from 15.75 to 78.74 in\n\
    ///      sizes[1].hip_depth (line 3): 99 in is above the maximum of 15.74 in"
    /// );
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn from_csv(text: &str, unit: Unit) -> Result<Self, Problems> {
        let broken = |reason: String| Problems::from(Problem::new(Code::BrokenTable, "chart").with_value(reason));
        if text.len() > MAX_CHART_CSV_BYTES {
            return Err(broken(format!("{} bytes, more than the maximum of {MAX_CHART_CSV_BYTES}", text.len())));
        }
        let text = text.trim_start_matches('\u{feff}');
        let mut builder = csv::ReaderBuilder::new();
        // The separator that the header has most often; a comma, if it has none.
        let header = text.trim_start().lines().next().unwrap_or_default();
        let count = |separator: &u8| header.bytes().filter(|byte| byte == separator).count();
        let separator = [b'\t', b';', b','].into_iter().max_by_key(count).unwrap_or(b',');
        builder.delimiter(separator).trim(csv::Trim::All).flexible(true);
        let mut table = builder.from_reader(text.as_bytes());
        let header = table.headers().map_err(|error| broken(error.to_string()))?.clone();
        if header.len() > MAX_CSV_COLUMNS {
            return Err(broken(format!("{} columns, more than the maximum of {MAX_CSV_COLUMNS}", header.len())));
        }
        let (columns, problems) = header_column_names_and_problems(&header);
        let (mut sizes, mut lines) = (Vec::new(), Vec::new());
        let line_end = if text.contains('\n') { '\n' } else { '\r' };
        let (mut line, mut counted) = (1, 0);
        for row in table.records() {
            let row = row.map_err(|error| broken(error.to_string()))?;
            // The position of a row includes the blank lines before the row.
            let start = row.position().map_or(counted, |position| usize::try_from(position.byte()).unwrap_or(counted));
            let start = start + text.as_bytes()[start..].iter().take_while(|byte| b"\r\n".contains(byte)).count();
            line += text[counted..start].matches(line_end).count();
            counted = start;
            if row.iter().all(str::is_empty) {
                continue;
            }
            lines.push(line);
            if row.len() != header.len() {
                let (value_count, column_count) = (row.len(), header.len());
                let plural = if value_count == 1 { "" } else { "s" };
                let reason =
                    format!("line {line} has {value_count} value{plural}, the header has {column_count} columns");
                return Err(broken(reason));
            }
            let fields = columns.iter().zip(row.iter()).filter_map(|(column, value)| {
                let name = (*column)?;
                Some((name.to_owned(), cell_to_json_value(name, value)))
            });
            sizes.push(JsonValue::Object(fields.collect()));
        }
        let value = JsonValue::Object(vec![("sizes".to_owned(), JsonValue::Array(sizes))]);
        let (sizes, row_problems) = read_fields(Some(unit), ["", ""], &value, |chart| {
            chart.read_list("sizes", true, (Self::MAX_SIZES_PER_CHART, "sizes"), [""; 3], read_size)
        });
        let row_problems = match sizes.filter(|_| row_problems.is_empty()) {
            None => row_problems,
            Some(sizes) => match unit.convert_problems_from_cm(Self::new(sizes)) {
                Ok(chart) if problems.is_empty() => return Ok(chart),
                read => read.err().map(|problems| problems.to_vec()).unwrap_or_default(),
            },
        };
        // A missing column is reported once, for the header, and not again in each row.
        let row_problems = row_problems.into_iter().filter(|problem| problem.code != Code::Missing);
        let row_problems = row_problems.map(|problem| add_line_number_to_message(problem, &lines));
        Err(Problems::new(problems.into_iter().chain(row_problems).collect()))
    }

    /// Returns the chart as comma-separated values, which `from_csv` reads, with lengths in `unit`.
    ///
    /// ```
    /// use kirtle::{SizeChart, Unit};
    ///
    /// let chart = SizeChart::demo();
    /// for unit in Unit::ALL {
    ///     assert_eq!(SizeChart::from_csv(&chart.to_csv(unit), unit)?.sizes().len(), chart.sizes().len());
    /// }
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn to_csv(&self, unit: Unit) -> String {
        let mut table = csv::Writer::from_writer(Vec::new());
        let mut written = table.write_record(required_column_names());
        for size in self.sizes() {
            let body = size.body.map_fields(|field, cm| field.kind.given_number(cm, unit)).into_array();
            let row = std::iter::once(size.name.clone()).chain(body.map(|value| value.to_string()));
            written = written.and(table.write_record(row));
        }
        // Writing to memory does not fail, and records of text stay UTF-8.
        let bytes = written.ok().and_then(|()| table.into_inner().ok()).unwrap_or_default();
        String::from_utf8(bytes).unwrap_or_default()
    }
}

/// Converts a CSV cell to a JSON number; to a string in the column `name`, or if the cell is not a finite number.
fn cell_to_json_value(column: &str, cell: &str) -> JsonValue {
    let number = parse_mixed_number(cell).filter(|_| column != SIZE_NAME_COLUMN_HEADER);
    number.map_or_else(|| JsonValue::String(cell.to_owned()), JsonValue::Number)
}
