//! The girths of the people of a survey, read from record batches of any length into columns.

use arrow_array::{RecordBatch, RecordBatchReader};
use arrow_schema::{ArrowError, Schema};

use super::columns::{Values, next_of};
use super::request::{ColumnSource, TableSource, column_of, no_column, wrong};
use crate::batch::Column;
use crate::error::{Code, Problem, Problems, shown_name};
use crate::field::{Field, FieldKind, Unit};
use crate::survey::{HighHips, People};

/// What is read of a person: the last two where they are named.
const NAMES: [&str; 4] = ["waist", "hip", "high_hip", "high_hip_depth"];

const PATH: &str = "people.";

/// Girths of people in columns, in centimetres; a number that was not given is NaN.
#[derive(Clone, Debug, Default)]
pub struct PeopleTable {
    columns: [Vec<f64>; 4],
    has_high_hips: bool,
}

/// Reads people from a stream of batches: an iterator over the rows of each batch as it is read.
pub struct PeopleReader {
    source: Box<dyn RecordBatchReader + Send>,
    places: [ColumnSource; 4],
    unit: Unit,
    ended: bool,
    table: PeopleTable,
}

impl PeopleReader {
    /// A reader of the columns `waist` and `hip`, and of `high_hip` and `high_hip_depth` where they are named; `columns` says
    /// by these names where else numbers come from. Lengths of the table, and numbers in `columns`, are in `unit`.
    ///
    /// # Errors
    /// All the [`Problems`] at once: a column that is not there, or holds no numbers, a name that is not one of these, a high
    /// hip without its depth or a depth without its high hip, a number for all people that is out of range.
    ///
    /// ```
    /// use std::sync::Arc;
    ///
    /// use arrow_array::{ArrayRef, Float64Array, RecordBatch, RecordBatchIterator};
    /// use kirtle::Unit;
    /// use kirtle::arrow::{PeopleReader, TableSource};
    ///
    /// let column = |values: [Option<f64>; 2]| Arc::new(Float64Array::from(values.to_vec())) as ArrayRef;
    /// let columns = [("waist", column([Some(30.0), None])), ("HIP", column([Some(40.0), Some(41.0)]))];
    /// let table = RecordBatch::try_from_iter(columns)?;
    /// let source = || RecordBatchIterator::new([Ok(table.clone())], table.schema());
    /// let named = [("hip".to_owned(), TableSource::Column("HIP".to_owned()))];
    /// let mut reader = PeopleReader::new(source(), &named, Unit::In)?;
    /// assert_eq!(reader.by_ref().collect::<Result<Vec<_>, _>>()?, [2]);
    /// let people = reader.table();
    /// assert_eq!(people.people().waist[0], 30.0 * 2.54);
    /// assert!(people.people().waist[1].is_nan());
    ///
    /// let problems = PeopleReader::new(source(), &[], Unit::Cm).err().unwrap();
    /// assert_eq!(problems[0].field, "people.hip");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn new(
        source: impl RecordBatchReader + Send + 'static,
        columns: &[(String, TableSource)],
        unit: Unit,
    ) -> Result<Self, Problems> {
        let has_high_hips = columns.iter().any(|(name, _)| NAMES[2..].contains(&name.as_str()));
        let wanted = if has_high_hips { &NAMES[..] } else { &NAMES[..2] };
        Self::of(source, wanted, columns, unit)
    }

    /// A reader of one girth, `waist` or `hip`; what `columns` says of others is not asked for.
    ///
    /// # Errors
    /// As [`new`](Self::new), and another girth than these.
    ///
    /// ```
    /// use std::sync::Arc;
    ///
    /// use arrow_array::{ArrayRef, Float64Array, RecordBatch, RecordBatchIterator};
    /// use kirtle::Unit;
    /// use kirtle::arrow::PeopleReader;
    ///
    /// let hips = Arc::new(Float64Array::from(vec![Some(96.0), None, Some(101.0)])) as ArrayRef;
    /// let table = RecordBatch::try_from_iter([("hip", hips)])?;
    /// let source = || RecordBatchIterator::new([Ok(table.clone())], table.schema());
    /// let mut reader = PeopleReader::of_girth(source(), "hip", &[], Unit::Cm)?;
    /// assert_eq!(reader.by_ref().collect::<Result<Vec<_>, _>>()?, [3]);
    /// assert_eq!(reader.table().measured_girth("hip"), [96.0, 101.0]);
    ///
    /// let problems = PeopleReader::of_girth(source(), "knee", &[], Unit::Cm).err().unwrap();
    /// assert_eq!(problems.to_string(), "girth: \"knee\" is not waist or hip");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn of_girth(
        source: impl RecordBatchReader + Send + 'static,
        girth: &str,
        columns: &[(String, TableSource)],
        unit: Unit,
    ) -> Result<Self, Problems> {
        let wanted: Vec<&'static str> = NAMES[..2].iter().copied().filter(|name| *name == girth).collect();
        let problem = || Problem::new(Code::UnknownChoice, "girth").with_value(format!("{girth:?}"));
        let other = wanted.is_empty().then(|| problem().with_limit("waist or hip"));
        Problems::ok_if_empty(other.into_iter().collect())?;
        Self::of(source, &wanted, columns, unit)
    }

    fn of(
        source: impl RecordBatchReader + Send + 'static,
        wanted: &[&'static str],
        columns: &[(String, TableSource)],
        unit: Unit,
    ) -> Result<Self, Problems> {
        let schema = source.schema();
        let mut problems: Vec<Problem> = columns.iter().filter_map(|(name, _)| unknown(name)).collect();
        let mut places = [ColumnSource::Missing; 4];
        for (place, name) in places.iter_mut().zip(NAMES).filter(|(_, name)| wanted.contains(name)) {
            let named = columns.iter().find(|(given, _)| given == name).map(|(_, source)| source);
            match placed(&schema, name, named, unit) {
                Ok(found) => *place = found,
                Err(found) => problems.extend(found.to_vec()),
            }
        }
        Problems::ok_if_empty(problems)?;
        let table = PeopleTable { has_high_hips: wanted.len() == NAMES.len(), ..PeopleTable::default() };
        Ok(Self { source: Box::new(source), places, unit, ended: false, table })
    }

    /// The people that were read so far.
    #[must_use]
    pub fn table(self) -> PeopleTable {
        self.table
    }

    fn add(&mut self, batch: RecordBatch) -> usize {
        let rows = batch.num_rows();
        let pieces = [batch];
        let cm = |value: f64| FieldKind::Length.convert(value, self.unit, Unit::Cm);
        for (place, values) in self.places.iter().zip(&mut self.table.columns) {
            match place {
                ColumnSource::Missing => {}
                ColumnSource::Constant(value) => values.extend(std::iter::repeat_n(cm(*value), rows)),
                ColumnSource::Column(column) => match Values::of(&pieces, *column).column() {
                    Column::Constant(value) => values.extend(std::iter::repeat_n(cm(value), rows)),
                    Column::Values(each) => values.extend(each.iter().map(|value| cm(*value))),
                    Column::Nullable(each) => values.extend(each.iter().map(|value| value.map_or(f64::NAN, cm))),
                },
            }
        }
        rows
    }
}

impl Iterator for PeopleReader {
    type Item = Result<usize, ArrowError>;

    fn next(&mut self) -> Option<Self::Item> {
        let next = if self.ended { None } else { next_of(self.source.as_mut()) };
        self.ended = !matches!(next, Some(Ok(_)));
        Some(next?.map(|batch| self.add(batch)))
    }
}

impl PeopleTable {
    /// The people.
    #[must_use]
    pub fn people(&self) -> People<'_> {
        let [waist, hip, girth, depth] = &self.columns;
        People { waist, hip, high_hip: self.has_high_hips.then_some(HighHips { girth, depth }) }
    }

    /// How many people there are.
    #[must_use]
    pub fn len(&self) -> usize {
        // A column that was not asked for is empty.
        self.columns.iter().map(Vec::len).max().unwrap_or_default()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Waist and hip of those of whom both were measured.
    #[must_use]
    pub fn measured(&self) -> [Vec<f64>; 2] {
        let [waist, hip, ..] = &self.columns;
        let pairs = waist.iter().copied().zip(hip.iter().copied());
        let (waist, hip) = pairs.filter(|(waist, hip)| waist.is_finite() && hip.is_finite()).unzip();
        [waist, hip]
    }

    /// The numbers of one girth, `waist` or `hip`, of those of whom it was measured; of another none.
    #[must_use]
    pub fn measured_girth(&self, girth: &str) -> Vec<f64> {
        let columns = NAMES[..2].iter().zip(&self.columns).filter(|(name, _)| **name == girth);
        columns.flat_map(|(_, column)| column).copied().filter(|value| value.is_finite()).collect()
    }
}

fn unknown(name: &str) -> Option<Problem> {
    let problem =
        || Problem::new(Code::UnknownField, format!("columns.{}", shown_name(name))).with_limit(NAMES.join(", "));
    (!NAMES.contains(&name)).then(problem)
}

/// Where a number of a person comes from.
fn placed(
    schema: &Schema,
    name: &'static str,
    named: Option<&TableSource>,
    unit: Unit,
) -> Result<ColumnSource, Problems> {
    let field = Field::new(name, "", FieldKind::Length, (0.0, 1000.0), (0.0, 400.0));
    let path = format!("{PATH}{name}");
    let (place, problem) = match named {
        Some(TableSource::Constant(value)) => (ColumnSource::Constant(*value), field.check(PATH, *value, unit)),
        Some(TableSource::Column(column)) => match column_of(schema, column) {
            Some(index) => (ColumnSource::Column(index), None),
            None => (ColumnSource::Missing, Some(no_column(schema, &path, column))),
        },
        None => (column_of(schema, name).map_or(ColumnSource::Missing, ColumnSource::Column), None),
    };
    let problem = problem.or_else(|| wrong(schema, &path, &field, place, unit));
    problem.map_or(Ok(place), |problem| Err(problem.into()))
}
