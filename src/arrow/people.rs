//! Reader of the girths of a survey: record batches in any unit in, columns in centimetres out.

use arrow_array::{RecordBatch, RecordBatchReader};
use arrow_schema::ArrowError;

use super::columns::{InputValues, TableSource, ValidBatches};
use super::request::{collect_or_all_problems, find_source, given_source_problem, unique_column};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::survey::{HighHipColumns, PeopleColumns};

/// Names of a person's inputs; the last two are read only if the caller gives a column or constant for at least one.
const PERSON_INPUTS: [&str; 4] = ["waist", "hip", "high_hip", "high_hip_depth"];

/// Prefix of a person's inputs in the field paths of problems.
const PERSON_INPUT_PATH_PREFIX: &str = "people.";

/// Girths and high-hip depths of people as columns, in centimetres; a missing value is NaN.
#[derive(Clone, Debug, Default)]
pub struct PeopleTable {
    /// Columns in the order of [`PERSON_INPUTS`], one value per person; an input that is not read has an empty column.
    columns: [Vec<f64>; 4],
    has_high_hips: bool,
}

/// Reader of people from a stream of record batches; an iterator over the number of rows of each batch read.
pub struct PeopleReader {
    source: ValidBatches,
    /// Index and source of each input that is read, in the order of [`PERSON_INPUTS`].
    sources: Vec<(usize, TableSource<usize>)>,
    unit: Unit,
    table: PeopleTable,
}

impl PeopleReader {
    /// Creates a reader of the inputs `waist` and `hip`, and of `high_hip` and `high_hip_depth` if `columns` has one.
    ///
    /// `columns` maps an input to the name of a column or to a constant; any other input comes from the column of its
    /// own name. Lengths of the record batches and constants are in `unit`.
    ///
    /// # Errors
    /// All [`Problems`]: a column that is missing, ambiguous or not numeric; an unknown input; a high hip without a
    /// depth or a depth without a high hip; a constant out of range.
    ///
    /// ```
    /// use std::sync::Arc;
    ///
    /// use arrow_array::{ArrayRef, Float64Array, RecordBatch, RecordBatchIterator};
    /// use kirtle::{Unit, arrow::{PeopleReader, TableSource}};
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
        let has_high_hips = columns.iter().any(|(name, _)| PERSON_INPUTS[2..].contains(&name.as_str()));
        let inputs = if has_high_hips { &PERSON_INPUTS[..] } else { &PERSON_INPUTS[..2] };
        Self::new_for_person_inputs(source, inputs, columns, unit)
    }

    /// Creates a reader of one girth, `waist` or `hip`; entries of `columns` for other inputs have no effect.
    ///
    /// # Errors
    /// All [`Problems`] as for [`new`](Self::new); [`Code::UnknownChoice`] for a girth other than `waist` or `hip`.
    ///
    /// ```
    /// use std::sync::Arc;
    ///
    /// use arrow_array::{ArrayRef, Float64Array, RecordBatch, RecordBatchIterator};
    /// use kirtle::{Unit, arrow::PeopleReader};
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
        let inputs: Vec<&'static str> = PERSON_INPUTS[..2].iter().copied().filter(|name| *name == girth).collect();
        let problem = || Problem::new(Code::UnknownChoice, "girth").with_value(format!("{girth:?}"));
        let unknown_girth = inputs.is_empty().then(|| problem().with_limit("waist or hip"));
        Problems::ok_if_empty(unknown_girth.into_iter().collect())?;
        Self::new_for_person_inputs(source, &inputs, columns, unit)
    }

    /// Creates a reader that reads only the listed `inputs` of each person, such as `waist`.
    fn new_for_person_inputs(
        source: impl RecordBatchReader + Send + 'static,
        inputs: &[&'static str],
        columns: &[(String, TableSource)],
        unit: Unit,
    ) -> Result<Self, Problems> {
        let schema = source.schema();
        let unknown = columns.iter().filter(|(name, _)| !PERSON_INPUTS.contains(&name.as_str()));
        let unknown = unknown.map(|(name, _)| given_source_problem(Code::UnknownField, name));
        let problems = unknown.map(|problem| problem.with_choices(PERSON_INPUTS)).collect();
        let find = |name: &&'static str| {
            let field = Field::new(name, "", FieldKind::Length, (0.0, 1000.0));
            let given = columns.iter().find(|(given, _)| given == name).map(|(_, source)| source);
            let path = format!("{PERSON_INPUT_PATH_PREFIX}{name}");
            let found = find_source(&schema, &path, &field, given, unique_column(&schema, name), unit)?;
            let constant = if let TableSource::Constant(value) = found { Some(value) } else { None };
            let problem = constant.and_then(|value| field.range_problem(PERSON_INPUT_PATH_PREFIX, value, unit));
            problem.map_or(Ok(found), |problem| Err(problem.into()))
        };
        let sources = collect_or_all_problems(inputs.iter().map(find), problems)?;
        let indices = inputs.iter().filter_map(|name| PERSON_INPUTS.iter().position(|known| known == name));
        let table = PeopleTable { has_high_hips: inputs.len() == PERSON_INPUTS.len(), ..PeopleTable::default() };
        let source = ValidBatches(Some(Box::new(source)));
        Ok(Self { source, sources: indices.zip(sources).collect(), unit, table })
    }

    /// Consumes the reader and returns the people read so far.
    #[must_use]
    pub fn table(self) -> PeopleTable {
        self.table
    }

    /// Appends the people of a record batch to the table, in centimetres; returns the batch's number of rows.
    fn append_people_of_batch(&mut self, batch: RecordBatch) -> usize {
        let (rows, batches) = (batch.num_rows(), [batch]);
        let cm = |value: f64| FieldKind::Length.convert_unit(value, self.unit, Unit::Cm);
        for (index, source) in &self.sources {
            let (values, column) = (InputValues::from_batches(*source, &batches), &mut self.table.columns[*index]);
            column.extend((0..rows).map(|row| values.as_bodies_column().row_value(row).map_or(f64::NAN, cm)));
        }
        rows
    }
}

impl Iterator for PeopleReader {
    type Item = Result<usize, ArrowError>;

    fn next(&mut self) -> Option<Self::Item> {
        Some(self.source.next()?.map(|batch| self.append_people_of_batch(batch)))
    }
}

impl PeopleTable {
    /// Returns a borrowed view of all people, for the functions of [`survey`](crate::survey).
    #[must_use]
    pub fn people(&self) -> PeopleColumns<'_> {
        let [waist, hip, girth, depth] = &self.columns;
        PeopleColumns { waist, hip, high_hip: self.has_high_hips.then_some(HighHipColumns { girth, depth }) }
    }

    /// Returns the number of people.
    #[must_use]
    pub fn len(&self) -> usize {
        // The column of an input that is not read is empty.
        self.columns.iter().map(Vec::len).max().unwrap_or_default()
    }

    /// Returns whether the table has no people.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Returns the waists and the hips, in centimetres, of the people with both girths measured.
    #[must_use]
    pub fn measured(&self) -> [Vec<f64>; 2] {
        let [waist, hip, ..] = &self.columns;
        let pairs = waist.iter().copied().zip(hip.iter().copied());
        let (waist, hip) = pairs.filter(|(waist, hip)| waist.is_finite() && hip.is_finite()).unzip();
        [waist, hip]
    }

    /// Returns the values of one girth, `waist` or `hip`, in centimetres, without missing values; an empty list for any
    /// other name.
    #[must_use]
    pub fn measured_girth(&self, girth: &str) -> Vec<f64> {
        let columns = PERSON_INPUTS[..2].iter().zip(&self.columns).filter(|(name, _)| **name == girth);
        columns.flat_map(|(_, column)| column).copied().filter(|value| value.is_finite()).collect()
    }
}
