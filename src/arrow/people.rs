//! Reader of the girths of a survey: record batches in any unit in, columns in centimetres out.

use std::collections::BTreeMap;

use arrow_array::{RecordBatch, RecordBatchReader};
use arrow_schema::{ArrowError, Schema, SchemaRef};

use super::columns::{
    ColumnOrConstant, Groups, KeptColumns, LabelReader, SchemaCheckedBatches, batches_with_kept_columns,
    find_column_index, is_label_type, is_numeric_type, name_first_wrong_texts, read_column_from_batches,
    schema_with_kept_fields, visit_array_numbers,
};
use super::drafts::{columns_entry_path, find_input_source};
use super::results::FIT_COLUMN_NAMES;
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, Unit};
use crate::sensitivity::unknown_name_problem;
use crate::survey::{
    HighHipColumns, MeanGirths, PERSON_FIELDS, PeopleColumns, RefusedPeople, accepted_means_and_refusals,
    effective_count, means_by_reason, refusal_code_of_row,
};

/// Girths, high-hip depths and sampling weights of people as columns, lengths in centimetres; a missing value is NaN.
/// Also the groups, the replicate weights and the kept columns of the people, if read.
#[derive(Clone, Debug, Default)]
pub struct PeopleTable {
    /// Columns in the order of [`PERSON_FIELDS`], one value per person; `None` for an input that is not read.
    pub(crate) columns: [Option<Vec<f64>>; PERSON_FIELDS.len()],
    groups: Option<Groups>,
    replicates: Option<Vec<Vec<f64>>>,
    /// Kept columns of each batch; the first batch has no rows.
    kept: Vec<RecordBatch>,
}

/// Girths, in centimetres, of the people whose numbers are all accepted, with their weights and groups, if given; and
/// the people who are refused.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MeasuredPeople {
    /// Waist girths of the accepted people, in centimetres; empty if waists are not read.
    pub waist: Vec<f64>,
    /// Hip girths of the accepted people, in centimetres; empty if hips are not read.
    pub hip: Vec<f64>,
    /// Hip depths of the accepted people, in centimetres; empty if hip depths are not read.
    pub hip_depth: Vec<f64>,
    /// Sampling weights of the accepted people; `None` if every person counts as one.
    pub weight: Option<Vec<f64>>,
    /// For each accepted person, the index, from 0, of the label of the person's group in [`Groups::labels`]; empty if
    /// the people are not grouped.
    pub groups: Vec<usize>,
    /// Effective number of accepted people by Kish (1965): (Σ weight)² / Σ weight²; without weights, their number.
    pub effective_count: f64,
    /// Unweighted mean girths of the accepted people, in centimetres.
    pub accepted: MeanGirths,
    /// Number and mean girths of the refused people, for each pair of a column at fault and an error code.
    pub refused: Vec<RefusedPeople>,
}

impl MeasuredPeople {
    /// Leaves people whose own draft is refused, given by index with the problems, out of the effective number and the
    /// mean girths. Returns, for each field and code of a first problem, the number and mean girths of these people.
    pub(crate) fn leave_out_refused_drafts(
        &mut self,
        refused: &[(usize, Problems)],
    ) -> Vec<(String, Code, usize, MeanGirths)> {
        let problems: BTreeMap<usize, &Problem> = refused.iter().map(|(row, problems)| (*row, &problems[0])).collect();
        let columns = [(PERSON_FIELDS[0], &self.waist[..]), (PERSON_FIELDS[1], &self.hip[..])];
        let (accepted, reasons) = means_by_reason(&columns, |row| {
            problems.get(&row).map(|problem| (problem.field.clone(), problem.code)).into_iter().collect()
        });
        let rows = (0..self.waist.len()).filter(|row| !problems.contains_key(row));
        let weights = rows.map(|row| self.weight.as_ref().map_or(1.0, |weights| weights[row]));
        (self.effective_count, self.accepted) = (effective_count(weights), accepted);
        reasons
    }
}

/// Reader of people from a stream of record batches. Each step of the iterator reads a batch and returns its row count.
pub struct PeopleReader {
    source: SchemaCheckedBatches,
    /// For each input that is read: index in [`PERSON_FIELDS`], ascending, and source.
    sources: Vec<(usize, ColumnOrConstant<usize>)>,
    unit: Unit,
    table: PeopleTable,
    /// Index of the column of labels, and the labels read so far; `None` if the people are not grouped.
    labels: Option<(usize, LabelReader)>,
    /// Indices of the columns of replicate weights.
    replicates: Vec<usize>,
    /// Indices of the kept columns.
    kept: Vec<usize>,
}

impl PeopleReader {
    /// Creates a reader of the inputs `waist` and `hip`, of `high_hip` and `high_hip_depth` if `columns` has one of
    /// them, and of the sampling weights `weight` if `columns` has them.
    ///
    /// `columns` maps an input to the name of a column or to a constant; a girth that `columns` lacks comes from the
    /// column of its own name. Lengths of the record batches and constants are in `unit`.
    ///
    /// # Errors
    /// All [`Problems`]: a column that is missing, ambiguous or not numeric; an unknown input; a high hip without a
    /// depth or a depth without a high hip; a constant out of range.
    ///
    /// ```
    /// use std::sync::Arc;
    ///
    /// use arrow_array::{ArrayRef, Float64Array, RecordBatch, RecordBatchIterator};
    /// use kirtle::{Unit, arrow::{PeopleReader, ColumnOrConstant}};
    ///
    /// let column = |values: [Option<f64>; 2]| Arc::new(Float64Array::from(values.to_vec())) as ArrayRef;
    /// let columns = [("waist", column([Some(30.0), None])), ("HIP", column([Some(40.0), Some(41.0)]))];
    /// let table = RecordBatch::try_from_iter(columns)?;
    /// let source = || RecordBatchIterator::new([Ok(table.clone())], table.schema());
    /// let named = [("hip".to_owned(), ColumnOrConstant::Column("HIP".to_owned()))];
    /// let mut reader = PeopleReader::new(source(), &named, Unit::In)?;
    /// assert_eq!(reader.by_ref().collect::<Result<Vec<_>, _>>()?, [2]);
    /// let people = reader.into_people_table()?;
    /// assert_eq!(people.people().waist[0], 30.0 * 2.54);
    /// assert!(people.people().waist[1].is_nan());
    ///
    /// let problems = PeopleReader::new(source(), &[], Unit::Cm).err().unwrap();
    /// assert_eq!(problems[0].field, "people.hip");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn new(
        source: impl RecordBatchReader + Send + 'static,
        columns: &[(String, ColumnOrConstant)],
        unit: Unit,
    ) -> Result<Self, Problems> {
        let has_high_hips = columns.iter().any(|(name, _)| ["high_hip", "high_hip_depth"].contains(&name.as_str()));
        let inputs = &["waist", "hip", "high_hip", "high_hip_depth"][..if has_high_hips { 4 } else { 2 }];
        Self::new_reader_of_inputs(source, inputs, columns, unit)
    }

    /// Creates a reader of the inputs `waist`, `hip` and `hip_depth`, and of the sampling weights `weight` if `columns`
    /// has them.
    ///
    /// # Errors
    /// All [`Problems`] as for [`new`](Self::new).
    ///
    /// ```
    /// use std::sync::Arc;
    ///
    /// use arrow_array::{ArrayRef, Float64Array, RecordBatch, RecordBatchIterator};
    /// use kirtle::{Unit, arrow::{ColumnOrConstant, PeopleReader}};
    ///
    /// let column = |value| Arc::new(Float64Array::from(vec![value])) as ArrayRef;
    /// let table = RecordBatch::try_from_iter([("waist", column(74.0)), ("hip", column(101.0))])?;
    /// let source = || RecordBatchIterator::new([Ok(table.clone())], table.schema());
    /// let depth = [("hip_depth".to_owned(), ColumnOrConstant::Constant(20.5))];
    /// let mut reader = PeopleReader::with_hip_depths(source(), &depth, Unit::Cm)?;
    /// reader.by_ref().for_each(drop);
    /// assert_eq!(reader.into_people_table()?.measured_people().hip_depth, [20.5]);
    ///
    /// let problems = PeopleReader::with_hip_depths(source(), &[], Unit::Cm).err().unwrap();
    /// assert_eq!(problems[0].field, "people.hip_depth");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn with_hip_depths(
        source: impl RecordBatchReader + Send + 'static,
        columns: &[(String, ColumnOrConstant)],
        unit: Unit,
    ) -> Result<Self, Problems> {
        Self::new_reader_of_inputs(source, &["waist", "hip", "hip_depth"], columns, unit)
    }

    /// Creates a reader of one girth, `waist` or `hip`, and of the sampling weights `weight` if `columns` has them;
    /// other entries of `columns` have no effect.
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
    /// let mut reader = PeopleReader::for_one_girth(source(), "hip", &[], Unit::Cm)?;
    /// assert_eq!(reader.by_ref().collect::<Result<Vec<_>, _>>()?, [3]);
    /// assert_eq!(reader.into_people_table()?.measured_people().hip, [96.0, 101.0]);
    ///
    /// let problems = PeopleReader::for_one_girth(source(), "knee", &[], Unit::Cm).err().unwrap();
    /// assert_eq!(problems.to_string(), "girth: \"knee\" is not waist or hip");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn for_one_girth(
        source: impl RecordBatchReader + Send + 'static,
        girth: &str,
        columns: &[(String, ColumnOrConstant)],
        unit: Unit,
    ) -> Result<Self, Problems> {
        if !["waist", "hip"].contains(&girth) {
            let problem = Problem::new(Code::UnknownChoice, "girth").with_value(format!("{girth:?}"));
            return Err(problem.with_limit("waist or hip").into());
        }
        Self::new_reader_of_inputs(source, &[girth], columns, unit)
    }

    /// Creates a reader of some `inputs`, and of the sampling weights if `columns` has them: a column of the table named
    /// `weight` may hold kilograms.
    fn new_reader_of_inputs(
        mut source: impl RecordBatchReader + Send + 'static,
        inputs: &[&str],
        columns: &[(String, ColumnOrConstant)],
        unit: Unit,
    ) -> Result<Self, Problems> {
        let schema = source.schema();
        let has_weights = columns.iter().any(|(name, _)| name == "weight");
        let is_read = PERSON_FIELDS.map(|field| inputs.contains(&field.name) || has_weights && field.name == "weight");
        // Without an effect, a hip depth is refused.
        let known = &PERSON_FIELDS.map(|field| field.name)[..if is_read[5] { 6 } else { 5 }];
        let unknown = columns.iter().filter(|(name, _)| !known.contains(&name.as_str()));
        let problems = unknown.map(|(name, _)| unknown_name_problem(&columns_entry_path(name), name, known)).collect();
        let find = |(index, field): (usize, &Field)| {
            let given = columns.iter().find(|(given, _)| given == field.name).map(|(_, source)| source);
            let path = format!("people.{}", field.name);
            let found = find_input_source(&schema, &path, field, given, None, unit)?;
            let constant = if let ColumnOrConstant::Constant(value) = found { Some(value) } else { None };
            let problem = constant.and_then(|value| field.range_problem("people.", value, unit));
            problem.map_or(Ok((index, found)), |problem| Err(problem.into()))
        };
        let read = PERSON_FIELDS.iter().enumerate().filter(|(index, _)| is_read[*index]);
        let sources = Problems::all_values(problems, read.map(find))
            .map_err(|problems| name_first_wrong_texts(problems, &mut source, unit))?;
        let columns = is_read.map(|is_read| is_read.then(Vec::new));
        let table = PeopleTable { columns, ..PeopleTable::default() };
        let source = SchemaCheckedBatches(Some(Box::new(source)));
        Ok(Self { source, sources, unit, table, labels: None, replicates: Vec::new(), kept: Vec::new() })
    }

    /// Lets the reader also read the column `by`, whose labels group the people, the columns `replicates` of replicate
    /// weights, and the columns to `keep`.
    ///
    /// # Errors
    /// All the [`Problems`]: a column that is missing or ambiguous, labels that are not texts, numbers, booleans or
    /// categories, replicate weights that are not numbers, or a kept column with the name of a column of
    /// [`fit_batch`](super::fit_batch).
    ///
    /// ```
    /// use std::sync::Arc;
    ///
    /// use arrow_array::{ArrayRef, Float64Array, RecordBatch, RecordBatchIterator, StringArray};
    /// use kirtle::{Unit, arrow::{KeptColumns, PeopleReader}};
    ///
    /// let girths = Arc::new(Float64Array::from(vec![96.0, 97.0, 101.0])) as ArrayRef;
    /// let ages = Arc::new(StringArray::from(vec![Some("40-59"), Some("20-39"), None])) as ArrayRef;
    /// let table = RecordBatch::try_from_iter([("waist", girths.clone()), ("hip", girths), ("age", ages)])?;
    /// let reader = || {
    ///     let source = RecordBatchIterator::new([Ok(table.clone())], table.schema());
    ///     PeopleReader::new(source, &[], Unit::Cm)
    /// };
    /// let mut people = reader()?.with_further_columns(Some("age"), None, &KeptColumns::default())?;
    /// people.by_ref().for_each(drop);
    /// let groups = people.into_people_table()?.groups().cloned().unwrap_or_default();
    /// assert_eq!(groups.labels, [Some("20-39".to_owned()), Some("40-59".to_owned()), None]);
    /// assert_eq!(groups.by_row, [1, 0, 2]);
    ///
    /// let problems = reader()?.with_further_columns(Some("size"), None, &KeptColumns::All).err().unwrap();
    /// let message = "by: \"size\" is not the name of exactly one column; the columns are waist, hip, age";
    /// assert_eq!(problems.to_string(), message);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn with_further_columns(
        mut self,
        by: Option<&str>,
        replicates: Option<&[String]>,
        keep: &KeptColumns,
    ) -> Result<Self, Problems> {
        let schema = self.source.0.as_ref().map(RecordBatchReader::schema);
        let schema = schema.ok_or_else(|| Problem::new(Code::Missing, "by").with_limit("a table"))?;
        let wanted = "a column of texts, numbers, booleans or categories of these; in pandas, \
                      .cat.rename_categories(str) makes texts of intervals";
        let labels = by.map(|name| find_column_index(&schema, "by", name, is_label_type, wanted)).transpose();
        let replicate = |(k, name): (usize, &String)| {
            find_column_index(&schema, &format!("replicates[{k}]"), name, is_numeric_type, "a column of numbers")
        };
        let columns = replicates.unwrap_or_default().iter().enumerate().map(replicate);
        let kept = keep.find_column_indices(&schema, FIT_COLUMN_NAMES);
        let further = Problems::pair_or_all_problems(labels, Problems::all_values(Vec::new(), columns));
        let (kept, (labels, columns)) = Problems::pair_or_all_problems(kept, further)?;
        self.labels = labels.map(|column| (column, LabelReader::default()));
        self.table.replicates = replicates.map(|_| vec![Vec::new(); columns.len()]);
        (self.kept, self.replicates) = (kept, columns);
        let kept_schema = schema_with_kept_fields(&schema, &self.kept, &Schema::empty());
        self.table.kept.push(RecordBatch::new_empty(kept_schema));
        Ok(self)
    }

    /// Consumes the reader and returns the people read so far.
    ///
    /// # Errors
    /// [`Code::WrongUnit`] for girths that are most likely in another unit, see
    /// [`PeopleColumns::check_unit`](crate::survey::PeopleColumns::check_unit).
    ///
    /// ```
    /// use std::sync::Arc;
    ///
    /// use arrow_array::{ArrayRef, Int32Array, RecordBatch, RecordBatchIterator};
    /// use kirtle::{Unit, arrow::PeopleReader};
    ///
    /// let column = |values: [i32; 2]| Arc::new(Int32Array::from(values.to_vec())) as ArrayRef;
    /// let batch = RecordBatch::try_from_iter([("waist", column([730, 810])), ("hip", column([970, 1040]))])?;
    /// let table = |unit| {
    ///     let source = RecordBatchIterator::new([Ok(batch.clone())], batch.schema());
    ///     let mut reader = PeopleReader::new(source, &[], unit)?;
    ///     reader.by_ref().for_each(drop);
    ///     reader.into_people_table()
    /// };
    /// assert_eq!(table(Unit::Mm)?.measured_people().waist, [73.0, 81.0]);
    /// let advice = "people.waist: 2 of 2 numbers are out of range in cm: give unit=\"mm\"";
    /// assert_eq!(table(Unit::Cm).unwrap_err()[0].to_string(), advice);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn into_people_table(self) -> Result<PeopleTable, Problems> {
        self.table.people().check_unit(self.unit)?;
        Ok(PeopleTable { groups: self.labels.map(|(_, labels)| labels.into_groups()), ..self.table })
    }

    /// Appends the people of a record batch to the table, lengths in centimetres; returns the batch's number of rows.
    fn append_people_and_count_rows(&mut self, batch: RecordBatch) -> Result<usize, ArrowError> {
        let (rows, batches) = (batch.num_rows(), [batch]);
        for (index, source) in &self.sources {
            let cm = |value: f64| PERSON_FIELDS[*index].kind.convert_unit(value, self.unit, Unit::Cm);
            let mut buffer = Vec::new();
            let column = read_column_from_batches(*source, &batches, &mut buffer);
            let numbers = (0..rows).map(|row| column.row_value(row).map_or(f64::NAN, cm));
            self.table.columns[*index].get_or_insert_default().extend(numbers);
        }
        if let Some((column, labels)) = &mut self.labels {
            labels.append_labels_of_batch(&batches[0], *column);
        }
        for (column, weights) in self.replicates.iter().zip(self.table.replicates.iter_mut().flatten()) {
            visit_array_numbers(batches[0].column(*column), &mut |weight| weights.push(weight.unwrap_or(f64::NAN)));
        }
        if !self.kept.is_empty() {
            self.table.kept.push(batches[0].project(&self.kept)?);
        }
        Ok(rows)
    }
}

impl Iterator for PeopleReader {
    type Item = Result<usize, ArrowError>;

    fn next(&mut self) -> Option<Self::Item> {
        Some(self.source.next()?.and_then(|batch| self.append_people_and_count_rows(batch)))
    }
}

impl PeopleTable {
    /// Restores the people from `columns` whose missing numbers are `None`, without groups, replicates
    /// and kept columns.
    pub(crate) fn from_columns(columns: [Option<Vec<Option<f64>>>; PERSON_FIELDS.len()]) -> Self {
        let number = |number: Option<f64>| number.unwrap_or(f64::NAN);
        let columns = columns.map(|column| Some(column?.into_iter().map(number).collect()));
        Self { columns, ..Self::default() }
    }

    /// Returns a borrowed view of all people, for the functions of [`survey`](crate::survey).
    pub fn people(&self) -> PeopleColumns<'_> {
        let [waist, hip, girth, depth, weight, hip_depth] = self.columns.each_ref().map(|column| column.as_deref());
        let high_hip = girth.zip(depth).map(|(girth, depth)| HighHipColumns { girth, depth });
        PeopleColumns { waist: waist.unwrap_or_default(), hip: hip.unwrap_or_default(), high_hip, weight, hip_depth }
    }

    /// Returns the groups of the people; `None` if the people are not grouped.
    pub fn groups(&self) -> Option<&Groups> {
        self.groups.as_ref()
    }

    /// Returns the replicate weights, a column for each replicate, NaN if missing; `None` if no replicates are read.
    pub fn replicates(&self) -> Option<&[Vec<f64>]> {
        self.replicates.as_deref()
    }

    /// Puts the kept columns before the columns of a result with one row for each person; returns schema and batches.
    pub(crate) fn prepend_kept_columns(
        &self,
        result: &RecordBatch,
    ) -> Result<(SchemaRef, Vec<RecordBatch>), ArrowError> {
        let kept_schema = self.kept.first().map_or_else(|| Schema::empty().into(), RecordBatch::schema);
        let kept: Vec<usize> = (0..kept_schema.fields().len()).collect();
        let schema = schema_with_kept_fields(&kept_schema, &kept, result.schema_ref());
        Ok((schema.clone(), batches_with_kept_columns(&self.kept, &kept, result, &schema)?))
    }

    /// Returns the number of people.
    pub fn len(&self) -> usize {
        self.columns.iter().flatten().next().map_or(0, Vec::len)
    }

    /// Returns whether the table has no people.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Returns the columns of the people whose waist, hip, hip depth and weight are all accepted: neither missing nor out of
    /// range. An input that is not read refuses nobody, nor does the high hip.
    pub fn measured_people(&self) -> MeasuredPeople {
        let people = PeopleColumns { high_hip: None, ..self.people() };
        let columns: Vec<_> = people.columns(f64::INFINITY).filter(|(_, values)| !values.is_empty()).collect();
        let is_accepted = |row: &usize| columns.iter().all(|column| refusal_code_of_row(column, *row).is_none());
        let rows: Vec<usize> = (0..self.len()).filter(is_accepted).collect();
        let of_rows = |column: &[f64]| rows.iter().filter_map(|row| column.get(*row)).copied().collect();
        let (waist, hip, weight) = (of_rows(people.waist), of_rows(people.hip), people.weight.map(of_rows));
        let hip_depth = people.hip_depth.map(of_rows).unwrap_or_default();
        let groups = self.groups.iter().flat_map(|groups| rows.iter().map(|row| groups.by_row[*row])).collect();
        let (accepted, refused) = accepted_means_and_refusals(&columns);
        let effective_count = effective_count(rows.iter().map(|row| people.weight_of_row(*row)));
        MeasuredPeople { waist, hip, hip_depth, weight, groups, effective_count, accepted, refused }
    }
}
