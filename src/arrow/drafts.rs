//! Stream of drafts: reads bodies from record batches of any length and returns drafts in batches of a fixed length. The
//! request for it, and the search for the source of each input, a column or a constant.

use std::collections::{BTreeMap, HashMap, VecDeque};

use arrow_array::{RecordBatch, RecordBatchReader};
use arrow_schema::{ArrowError, Schema, SchemaRef};
use serde_json::json;

use super::columns::{
    ColumnOrConstant, KeptColumns, SchemaCheckedBatches, batches_with_kept_columns, find_column_index, is_numeric_type,
    name_first_wrong_texts, read_column_from_batches, schema_with_kept_fields,
};
use super::results::{batch_of_drafts, with_settings};
use crate::batch::{Bodies, Column, Table, Threads};
use crate::body::{Body, Ease, FIGURE_PATH_PREFIX, Figure, InputNumber, Inputs, Rules};
use crate::document::CallSettings;
use crate::error::{Code, Problem, Problems, quote_unusual_field_name};
use crate::field::{Field, Unit};
use crate::sensitivity::unknown_name_problem;

/// Number of rows of each output batch without outlines, except the last. Without kept columns, output batches, and so
/// the bytes of the output, do not depend on the lengths of the input batches.
const BATCH_ROWS_WITHOUT_OUTLINES: usize = 65_536;

/// Number of rows of each output batch with outlines, except the last; outlines take about 40 times as much memory.
const BATCH_ROWS_WITH_OUTLINES: usize = 4_096;

/// Share of the first output batch: if more rows are out of range, but in range in another unit, the stream is refused.
const WRONG_UNIT_SHARE: f64 = 0.9;

/// Stream of drafts as record batches: one output row per input row, in order. The stream ends with an error that holds
/// [`Problems`] if nearly all bodies of the first output batch were given in another unit.
///
/// At most one output batch per thread is drafted ahead, so that memory stays constant however long the input is.
pub struct DraftBatchReader {
    source: SchemaCheckedBatches,
    drafter: OutputBatchDrafter,
    schema: SchemaRef,
    /// Indices of the kept columns in the input. An output batch with kept columns is cut where its input batches end.
    kept: Vec<usize>,
    /// Rest of the last input batch: rows that were read but not yet drafted.
    undrafted: Option<RecordBatch>,
    /// Whether the first output batch, whose unit is checked, is not yet drafted.
    is_at_start: bool,
    /// Drafted output batches that [`Iterator::next`] returns next; a read error is last.
    outputs: VecDeque<Result<RecordBatch, ArrowError>>,
}

/// Drafter of the rows of output batches: drafts each output batch from its input rows.
struct OutputBatchDrafter {
    /// Source of each input.
    sources: Inputs<ColumnOrConstant<usize>>,
    /// Request for the drafts; `sources` has the sources found for it.
    request: TableRequest,
    threads: Threads,
}

impl DraftBatchReader {
    /// Starts the stream of drafts that `request` describes, from the record batches of `source`.
    ///
    /// # Errors
    /// [`Problems`]: a missing, ambiguous or non-numeric column; a missing or unknown input; a constant out of
    /// range; a kept column that does not exist or has the name of another.
    ///
    /// ```
    /// use std::sync::Arc;
    ///
    /// use arrow_array::{ArrayRef, Float64Array, RecordBatch, RecordBatchIterator};
    /// use kirtle::{Code, Ease, Rules, Unit, arrow::{ColumnOrConstant, DraftBatchReader, KeptColumns, TableRequest}, batch::Threads};
    ///
    /// let column = |values: [f64; 2]| Arc::new(Float64Array::from(values.to_vec())) as ArrayRef;
    /// let table = RecordBatch::try_from_iter([("waist", column([70.0, 7.0])), ("HIP", column([96.0, 96.0]))])?;
    /// let source = || RecordBatchIterator::new([Ok(table.clone())], table.schema());
    /// let request = TableRequest {
    ///     numbers: vec![
    ///         ("hip".to_owned(), ColumnOrConstant::Column("HIP".to_owned())),
    ///         ("hip_depth".to_owned(), ColumnOrConstant::Constant(20.0)),
    ///         ("length".to_owned(), ColumnOrConstant::Constant(60.0)),
    ///     ],
    ///     ease: Some(Ease { waist: 1.5, hip: 5.0 }),
    ///     rules: Rules::default(),
    ///     unit: Unit::Cm,
    ///     outlines: false,
    ///     keep: KeptColumns::default(),
    /// };
    /// let drafts = DraftBatchReader::new(source(), &request, Threads::new(None)?)?.collect::<Result<Vec<_>, _>>()?;
    /// assert_eq!(drafts[0].num_rows(), 2);
    /// assert_eq!(drafts[0]["suppression_total"].null_count(), 1);
    ///
    /// let nameless = TableRequest { numbers: Vec::new(), ..request };
    /// let problems = DraftBatchReader::new(source(), &nameless, Threads::new(None)?).err().unwrap();
    /// assert_eq!(problems[0].code, Code::Missing);
    /// assert_eq!(problems[0].field, "body.hip");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn new(
        mut source: impl RecordBatchReader + Send + 'static,
        request: &TableRequest,
        threads: Threads,
    ) -> Result<Self, Problems> {
        let input = source.schema();
        let drafter_and_schema = request.find_input_sources(&input).and_then(|sources| {
            let drafter = OutputBatchDrafter { sources, request: request.clone(), threads };
            // Drafting zero rows validates the constants before the first input batch is read.
            let empty = batch_of_drafts(drafter.draft_table(&[])?, request.unit);
            let schema = |batch| with_settings(batch, &request.settings()).schema();
            Ok((drafter, empty.map_or_else(|_| Schema::empty().into(), schema)))
        });
        let fields = drafter_and_schema.iter().flat_map(|(_, schema)| schema.fields());
        let kept = request.keep.find_column_indices(&input, fields.map(|field| field.name().as_str()));
        let ((drafter, schema), kept) = Problems::pair_or_all_problems(drafter_and_schema, kept)
            .map_err(|problems| name_first_wrong_texts(problems, &mut source, request.unit))?;
        let schema = schema_with_kept_fields(&input, &kept, &schema);
        let source = SchemaCheckedBatches(Some(Box::new(source)));
        Ok(Self { source, drafter, schema, kept, undrafted: None, is_at_start: true, outputs: VecDeque::new() })
    }

    /// Reads input rows, drafts at most one output batch per thread in parallel, and appends the batches to `outputs`.
    fn draft_next_batch_per_thread(&mut self) {
        let (mut batches, mut read_error) = (Vec::new(), None);
        while batches.len() < self.drafter.threads.count() && read_error.is_none() {
            match self.read_rows_of_next_output_batch() {
                Ok(slices) if slices.is_empty() => break,
                Ok(slices) => batches.push(slices),
                // The stream ends at a read error; rows of the incomplete output batch are dropped.
                Err(error) => read_error = Some(Err(error)),
            }
        }
        if std::mem::take(&mut self.is_at_start)
            && let Some(first) = batches.first()
            && let Err(problems) = self.drafter.check_unit_of_girths(first)
        {
            (self.source, self.undrafted) = (SchemaCheckedBatches(None), None);
            self.outputs.push_back(Err(ArrowError::ExternalError(problems.into())));
            return;
        }
        let (drafter, schema, kept) = (&self.drafter, &self.schema, &self.kept);
        // A table drafts its blocks in the same threads: they are busy with a single batch, too, and this loop also
        // converts batches to Arrow in parallel.
        let drafts = drafter.threads.map_in_parallel(batches, |(): &mut (), _, slices| {
            let table = drafter.draft_table(&slices);
            let table = table.map_err(|problems| ArrowError::InvalidArgumentError(problems.to_string()))?;
            batches_with_kept_columns(&slices, kept, &batch_of_drafts(table, drafter.request.unit)?, schema)
        });
        for batches in drafts {
            match batches {
                Ok(batches) => self.outputs.extend(batches.into_iter().map(Ok)),
                Err(error) => self.outputs.push_back(Err(error)),
            }
        }
        self.outputs.extend(read_error);
    }

    /// Reads the input rows for the next output batch, as slices of input batches; no slices at the end of the input.
    fn read_rows_of_next_output_batch(&mut self) -> Result<Vec<RecordBatch>, ArrowError> {
        let has_outlines = self.drafter.request.outlines;
        let output_rows = if has_outlines { BATCH_ROWS_WITH_OUTLINES } else { BATCH_ROWS_WITHOUT_OUTLINES };
        let (mut slices, mut rows) = (Vec::new(), 0);
        while rows < output_rows {
            let next = self.undrafted.take().map(Ok).or_else(|| self.source.next());
            let Some(batch) = next.transpose()? else { break };
            let taken = batch.num_rows().min(output_rows - rows);
            if taken < batch.num_rows() {
                self.undrafted = Some(batch.slice(taken, batch.num_rows() - taken));
            }
            if taken > 0 {
                slices.push(batch.slice(0, taken));
                rows += taken;
            }
        }
        Ok(slices)
    }
}

impl OutputBatchDrafter {
    /// Checks that the waists and the hips of input slices were given in the unit of the request.
    fn check_unit_of_girths(&self, slices: &[RecordBatch]) -> Result<(), Problems> {
        let (unit, rows) = (self.request.unit, slices.iter().map(RecordBatch::num_rows).sum());
        let mut buffers = [Vec::new(), Vec::new()];
        let sources = self.sources.body.into_array().into_iter().zip(&mut buffers).zip(&Body::FIELDS);
        let girths: Vec<(Column, &Field)> = sources
            .map(|((source, buffer), field)| (read_column_from_batches(source, slices, buffer), field))
            .collect();
        let is_in_range = |row: usize, unit: Unit| {
            let problem = |(column, field): &(Column, &Field)| field.range_problem("", column.row_value(row)?, unit);
            girths.iter().all(|girth| problem(girth).is_none())
        };
        for other in Unit::ALL {
            let wrong = (0..rows).filter(|row| !is_in_range(*row, unit) && is_in_range(*row, other)).count();
            if wrong as f64 > WRONG_UNIT_SHARE * rows as f64 {
                let value = format!("waist or hip of {wrong} of {rows} rows is out of range in {}", unit.name());
                let problem = Problem::new(Code::WrongUnit, "body").with_value(value);
                return Err(problem.with_limit(format!("{:?}", other.name())).into());
            }
        }
        Ok(())
    }

    /// Drafts the rows of input slices; returns the drafts as a [`Table`].
    fn draft_table(&self, slices: &[RecordBatch]) -> Result<Table, Problems> {
        let mut buffers = vec![Vec::new(); self.sources.input_numbers().len()];
        let mut buffers = buffers.iter_mut();
        let Inputs { body, figure, ease, rules } = self.sources.map_fields(|_, source| match buffers.next() {
            Some(buffer) => read_column_from_batches(source, slices, buffer),
            None => Column::Values(&[]),
        });
        let bodies = Bodies { body, figure, ease, rules, unit: self.request.unit };
        let rows = slices.iter().map(RecordBatch::num_rows).sum();
        bodies.draft_into_table(Some(rows), self.request.outlines, &self.threads, Table::default())
    }
}

impl Iterator for DraftBatchReader {
    type Item = Result<RecordBatch, ArrowError>;

    fn next(&mut self) -> Option<Self::Item> {
        if self.outputs.is_empty() {
            self.draft_next_batch_per_thread();
        }
        self.outputs.pop_front()
    }
}

impl RecordBatchReader for DraftBatchReader {
    fn schema(&self) -> SchemaRef {
        self.schema.clone()
    }
}

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
    fn find_input_sources(&self, schema: &Schema) -> Result<Inputs<ColumnOrConstant<usize>>, Problems> {
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
                let problem = unknown_name_problem(&columns_entry_path(name), name, known);
                let weight = "an input of a draft: drafts have no weights; keep the column by its name in keep";
                problems.push(if name == "weight" { problem.with_limit(weight) } else { problem });
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
    fn settings(&self) -> CallSettings {
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
