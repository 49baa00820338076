//! A chart of sizes as comma-separated values (RFC 4180): a header, then a row for each size.

use super::chart::ChartRequest;
use super::node::Node;
use crate::body::Body;
use crate::error::{Code, Problem, Problems, shown_name};
use crate::field::Unit;
use crate::sizes::SizeChart;

/// The longest table that is read, in bytes.
const LONGEST: usize = 1 << 20;

/// The most columns of a table, most of which are then none of ours.
const MAX_COLUMNS: usize = 100;

/// The name of the first column.
const NAME: &str = "name";

/// The columns that are read.
fn names() -> impl Iterator<Item = &'static str> {
    std::iter::once(NAME).chain(Body::FIELDS.map(|field| field.name))
}

/// The columns of a header, those that are read by their name, and what is wrong with it.
fn columns(header: &csv::StringRecord) -> (Vec<Option<&'static str>>, Vec<Problem>) {
    let mut problems = Vec::new();
    let mut found = Vec::new();
    for given in header {
        let known = names().find(|name| *name == given);
        let twice = known.is_some() && found.contains(&known);
        let problem = |code| Problem::new(code, format!("columns.{}", shown_name(given)));
        if twice {
            problems.push(problem(Code::DuplicateField));
        } else if known.is_none() {
            problems.push(problem(Code::UnknownField).with_limit(names().collect::<Vec<_>>().join(", ")));
        }
        found.push(known.filter(|_| !twice));
    }
    let missing = names().filter(|name| !found.contains(&Some(*name)));
    let missing = missing.map(|name| Problem::new(Code::Missing, format!("columns.{name}")).with_limit("a column"));
    problems.extend(missing.collect::<Vec<_>>());
    (found, problems)
}

impl SizeChart {
    /// Reads a chart from comma-separated values, whose numbers are in `unit`: columns `name`, `waist`, `hip`, `hip_depth`,
    /// `length` in any order.
    ///
    /// # Errors
    /// [`Code::BrokenTable`] for what is no such table; else all the problems at once: columns that are missing, unknown or there
    /// twice, and those of [`SizeChart::new`], in `unit`.
    ///
    /// ```
    /// use kirtle::{SizeChart, Unit};
    ///
    /// let chart = SizeChart::from_csv("name,waist,hip,hip_depth,length\nS,26,36,8,24\nM,28,38,8.25,24\n", Unit::In)?;
    /// assert_eq!(chart.sizes()[1].body.hip, 38.0 * 2.54);
    ///
    /// let problems = SizeChart::from_csv("name,waist,hip,hip_depth,length\nS,x,36,8,24\nM,28,38,99,24\n", Unit::In);
    /// assert_eq!(
    ///     problems.unwrap_err().to_string(),
    ///     "sizes[0].waist: \"x\" is not a number from 16 to 78 in\n\
    ///      sizes[1].hip_depth: 99 in is above the maximum of 15.5 in"
    /// );
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn from_csv(text: &str, unit: Unit) -> Result<Self, Problems> {
        let broken = |what: String| Problems::from(Problem::new(Code::BrokenTable, "chart").with_value(what));
        if text.len() > LONGEST {
            return Err(broken(format!("it has {} bytes, more than {LONGEST}", text.len())));
        }
        let text = text.trim_start_matches('\u{feff}');
        let mut table = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
        let header = table.headers().map_err(|error| broken(error.to_string()))?.clone();
        if header.len() > MAX_COLUMNS {
            return Err(broken(format!("it has {} columns, more than {MAX_COLUMNS}", header.len())));
        }
        let (columns, problems) = columns(&header);
        let mut sizes = Vec::new();
        for row in table.records() {
            let row = row.map_err(|error| broken(error.to_string()))?;
            let fields = columns.iter().zip(row.iter()).filter_map(|(column, value)| {
                let name = (*column)?;
                Some((name.to_owned(), cell(name, value)))
            });
            sizes.push(Node::Object(fields.collect()));
        }
        let fields = [("unit", Node::Text(unit.name().to_owned())), ("sizes", Node::List(sizes))];
        let chart = Node::Object(fields.map(|(name, node)| (name.to_owned(), node)).into());
        let read = ChartRequest::from_node(&chart).map(|request| request.chart);
        if problems.is_empty() {
            return read;
        }
        // A column that is not there is missed once, and not in every row.
        let rows = read.err().map(|found| found.to_vec()).unwrap_or_default();
        let rows = rows.into_iter().filter(|problem| problem.code != Code::Missing);
        Err(Problems::new(problems.into_iter().chain(rows).collect()))
    }

    /// The chart as comma-separated values, with numbers in `unit`.
    #[must_use]
    pub fn to_csv(&self, unit: Unit) -> String {
        let mut table = csv::Writer::from_writer(Vec::new());
        let mut written = table.write_record(names());
        for size in self.sizes() {
            let body = size.body.convert(Unit::Cm, unit).into_array();
            let row = std::iter::once(size.name.clone()).chain(body.map(|value| value.to_string()));
            written = written.and(table.write_record(row));
        }
        // Memory takes every record, and the writer keeps to the text it is given.
        let bytes = written.ok().and_then(|()| table.into_inner().ok()).unwrap_or_default();
        String::from_utf8(bytes).unwrap_or_default()
    }
}

/// A cell as JSON would have it: names are texts, everything else is a number if it looks like one.
fn cell(column: &str, value: &str) -> Node {
    let number = || value.parse().ok().filter(|number: &f64| number.is_finite()).map(Node::Number);
    let text = || Node::Text(value.to_owned());
    if column == NAME { text() } else { number().unwrap_or_else(text) }
}
