//! Tables: the Python class `Rows`, base of every result that is an Arrow table, the functions `draft_table` and
//! `draft_stream`, and the parsing of `columns` for all functions that read tables. Tables are read and returned as
//! Arrow streams, block by block, in the order of the rows.

use std::sync::{Mutex, PoisonError};

use arrow_array::{RecordBatch, RecordBatchIterator, RecordBatchReader};
use arrow_schema::{ArrowError, Schema, SchemaRef};
use pyo3::exceptions::{PyKeyboardInterrupt, PyRuntimeError, PyValueError};
use pyo3::prelude::*;

use super::arguments::{ColumnsArgument, IntegerArgument, KeptColumnsArgument, parse_table_unit};
use super::capsule::{export_arrow_schema, export_arrow_stream, open_arrow_stream};
use super::class::python_class;
use super::inputs::{Ease, Rules};
use crate::arrow::{ColumnOrConstant, DraftBatchReader, TableRequest};
use crate::batch::Threads;
use crate::document::{CallSettings, JsonValue};
use crate::error::{Code, Problem, Problems};

/// Arrow table: rows with named columns.
///
/// `pyarrow.table`, `polars.DataFrame`, `duckdb` and `draft_table` read the object as a table and copy no data.
#[pyclass(frozen, subclass, module = "kirtle")]
pub(crate) struct Rows {
    pub(super) schema: SchemaRef,
    pub(super) batches: Vec<RecordBatch>,
}

impl From<RecordBatch> for Rows {
    fn from(batch: RecordBatch) -> Self {
        Self { schema: batch.schema(), batches: vec![batch] }
    }
}

python_class! { Rows as rows;
    /// Names of the columns, in the order of the table.
    columns: Vec<String> = schema_column_names(&rows.schema);
    /// Settings of the call that made the table, as in its metadata `kirtle.settings`: version of the package, function,
    /// unit, and the given arguments, with lengths in the unit. Empty if the table has none.
    settings: CallSettings = {
        let settings = rows.schema.metadata().get("kirtle.settings");
        settings.and_then(|settings| serde_json::from_str(settings).ok()).unwrap_or_default()
    };
    {
        /// Return the schema of the table as an Arrow capsule.
        fn __arrow_c_schema__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> { export_arrow_schema(py, &self.schema) }

        /// Return the rows as an Arrow stream, without a copy. Each call returns a new stream over all rows.
        #[pyo3(signature = (requested_schema = None))]
        #[allow(unused_variables, reason = "the Arrow PyCapsule interface prescribes the argument")]
        fn __arrow_c_stream__<'py>(&self, py: Python<'py>, requested_schema: Option<&Bound<'py, PyAny>>) -> PyResult<Bound<'py, PyAny>> {
            let batches = self.batches.clone().into_iter().map(Ok::<_, ArrowError>);
            export_arrow_stream(py, RecordBatchIterator::new(batches, self.schema.clone()))
        }

        /// Return the number of rows.
        pub(super) fn __len__(&self) -> usize { self.batches.iter().map(RecordBatch::num_rows).sum() }
    }
}

/// Returns the names of the columns of a schema.
pub(super) fn schema_column_names(schema: &Schema) -> Vec<String> {
    schema.fields().iter().map(|field| field.name().clone()).collect()
}

/// Converts an Arrow error to a Python error: problems to `InputError`, everything else to `RuntimeError`.
pub(super) fn arrow_to_python_error(error: ArrowError) -> PyErr {
    let problems =
        if let ArrowError::ExternalError(source) = &error { source.downcast_ref::<Problems>() } else { None };
    problems.map_or_else(|| PyRuntimeError::new_err(error.to_string()), |problems| problems.clone().into())
}

/// Declares the Python functions that draft a table: all have the same arguments, and each makes its result from the
/// stream of drafts.
macro_rules! table_functions {
    ($($(#[doc = $doc:literal])+ $name:ident($py:ident, $drafts:ident, $progress:ident) -> $result:ty $body:block)+) => {$(
        $(#[doc = $doc])+
        #[pyfunction]
        #[pyo3(signature = (
            source, *, columns = None, ease = None, rules = None, keep = None, unit = "cm", outlines = false, threads = None,
            progress = None
        ))]
        pub(crate) fn $name(
            $py: Python<'_>, source: &Bound<'_, PyAny>, columns: Option<ColumnsArgument>, ease: Option<&Ease>, rules: Option<&Rules>,
            keep: Option<KeptColumnsArgument>, unit: &str, outlines: bool, threads: Option<IntegerArgument>, $progress: Option<Py<PyAny>>,
        ) -> PyResult<$result> {
            let request = TableRequest {
                numbers: parse_column_or_number_by_input(columns)?,
                ease: ease.map(|ease| ease.0),
                rules: rules.map(|rules| rules.0.clone()).unwrap_or_default(),
                unit: parse_table_unit(unit)?,
                outlines,
                keep: keep.map(|keep| keep.0).unwrap_or_default(),
            };
            let (stream, threads) = (open_arrow_stream(source)?, parse_thread_count(threads)?);
            let $drafts = $py.detach(|| DraftBatchReader::new(stream, &request, threads))?;
            $body
        }
    )+};
}

table_functions! {
    /// Draft every body of a table, one output row for each input row, in order. A panel is half of the back or front.
    ///
    /// A row that cannot be drafted has its problems in the lists `error_codes` and `error_fields` and in `error_text`;
    /// a draft has its cautions in the lists `findings` and `finding_panels`. A table is refused if waist or hip is out
    /// of range in more than nine tenths of its first 65,536 rows, but in range in another unit.
    ///
    /// `source` is any object with an Arrow stream, such as a table of pandas, polars, pyarrow or duckdb, a dataset of
    /// pyarrow, or an iterable of its record batches. `columns` maps the path of an input, such as `waist`, `ease.hip`
    /// or `rules.shares.back_share`, to the name of a column or to one number for all rows. A measurement that is
    /// missing in `columns` comes from the column of its own name. Lengths of both tables and numbers in `columns` are
    /// in `unit`; `ease` and `rules` have their own unit.
    ///
    /// `keep` names columns of the source that stand first in the result, unchanged, such as an identifier; `"all"`
    /// keeps all. `outlines=True` adds the outlines of back and front. `threads` is the number of threads, by default
    /// the number of processors. After each block of rows `progress` is called with the number of rows in the block.
    ///
    /// Raises `InputError` with all problems of the columns, and `TypeError` for a source without an Arrow stream.
    ///
    /// >>> people = pyarrow.table({"WAIST": [74.0, 7.4], "hip": [101.0, 101.0]})
    /// >>> columns = {"waist": "WAIST", "hip_depth": 20.5, "length": 62.0}
    /// >>> table = draft_table(people, columns=columns, ease=Ease(waist=1.5, hip=5))
    /// >>> table
    /// DraftTable(rows=2, refused=1, columns=35)
    /// >>> draft_table(people, columns=columns, ease=Ease(waist=1.5, hip=5), keep=["WAIST"]).columns[:2]
    /// ['WAIST', 'suppression_total']
    /// >>> pyarrow.table(table)["error_text"].to_pylist()
    /// [None, 'body.waist: 7.4 cm is below the minimum of 40 cm']
    /// >>> draft_table(people, columns={"waist": "GIRTH"}, ease=Ease(waist=1.5, hip=5))
    /// Traceback (most recent call last):
    /// kirtle.InputError: body.waist: "GIRTH" is not the name of exactly one column; the columns are WAIST, hip
    /// body.hip_depth: missing: give a column, or a number from 10 to 40 cm for all rows
    /// body.length: missing: give a column, or a number from 15 to 150 cm for all rows
    draft_table(py, drafts, progress) -> Py<DraftTable> {
        let (mut drafts, mut batches) = (drafts, Vec::new());
        while let Some(batch) = py.detach(|| drafts.next()) {
            let batch = batch.map_err(arrow_to_python_error)?;
            check_signals_and_report_rows(py, progress.as_ref(), batch.num_rows())?;
            batches.push(batch);
        }
        Py::new(py, (DraftTable, Rows { schema: drafts.schema(), batches }))
    }

    /// Draft the bodies of a table of any length, block by block, in constant memory.
    ///
    /// Arguments and columns are those of `draft_table`. The bodies are drafted while the stream is read; it can be
    /// read only once.
    ///
    /// >>> bodies = simulate(1000, seed=1)
    /// >>> rows = pyarrow.RecordBatchReader.from_stream(draft_stream(bodies, ease=Ease(waist=1.5, hip=5)))
    /// >>> sum(batch.num_rows for batch in rows)
    /// 1000
    draft_stream(py, drafts, progress) -> DraftStream {
        Ok(DraftStream { schema: drafts.schema(), unread: Mutex::new(Some((drafts, progress))) })
    }
}

/// Validates the argument `threads`; returns one thread for each processor if the argument is missing.
fn parse_thread_count(count: Option<IntegerArgument>) -> Result<Threads, Problems> {
    let count = count.map(|count| count.0).filter(|count| *count != JsonValue::Null);
    let Some(count) = count else { return Threads::new(None) };
    let max = Threads::MAX_THREADS;
    let whole = (1..=max).find(|whole| count == JsonValue::Number(f64::from(*whole)));
    let (code, limit) = match count {
        JsonValue::Number(number) if number < 1.0 => (Code::BelowMinimum, "1".to_owned()),
        JsonValue::Number(number) if number > f64::from(max) => (Code::AboveMaximum, max.to_string()),
        _ => (Code::WrongType, format!("a whole number from 1 to {max}")),
    };
    let problem = || Problem::new(code, "threads").with_value(count.to_value_for_problem()).with_limit(limit);
    Threads::new(Some(whole.ok_or_else(problem)?.into()))
}

/// Parses the argument `columns`: for each path of an input, the name of a column or one number for all rows.
pub(super) fn parse_column_or_number_by_input(
    columns: Option<ColumnsArgument>,
) -> Result<Vec<(String, ColumnOrConstant)>, Problems> {
    let Some(ColumnsArgument(JsonValue::Object(columns))) = columns else { return Ok(Vec::new()) };
    let parse = |(name, source)| match source {
        JsonValue::String(column) => Ok((name, ColumnOrConstant::Column(column))),
        JsonValue::Number(value) => Ok((name, ColumnOrConstant::Constant(value))),
        other => {
            let problem = Problem::new(Code::WrongType, format!("columns.{name}"));
            let problem = problem.with_value(other.to_value_for_problem());
            Err(problem.with_limit("the name of a column, or a number").into())
        }
    };
    Problems::all_values(Vec::new(), columns.into_iter().map(parse))
}

/// Runs pending signal handlers of Python, then calls `progress`, if given, with `rows`, the number of rows finished
/// since its last call.
pub(super) fn check_signals_and_report_rows(py: Python<'_>, progress: Option<&Py<PyAny>>, rows: usize) -> PyResult<()> {
    py.check_signals()?;
    progress.map_or(Ok(()), |progress| progress.call1(py, (rows,)).map(drop))
}

/// Drafts of a table, as an Arrow table with one row for each body.
///
/// `pyarrow.table(drafts)`, `polars.DataFrame(drafts)` or `pandas.DataFrame.from_arrow(drafts)` reads the rows.
#[pyclass(frozen, extends = Rows, module = "kirtle")]
pub(crate) struct DraftTable;

#[pymethods]
impl DraftTable {
    /// Number of rows that could not be drafted.
    #[getter]
    fn refused(slf: PyRef<'_, Self>) -> usize {
        slf.as_super().batches.iter().map(|batch| batch.num_rows() - batch["error_text"].null_count()).sum()
    }

    fn __repr__(slf: PyRef<'_, Self>) -> String {
        let (rows, columns) = (slf.as_super().__len__(), slf.as_super().columns().len());
        format!("DraftTable(rows={rows}, refused={refused}, columns={columns})", refused = Self::refused(slf))
    }
}

/// Drafts of a table, as an Arrow stream that can be read once.
///
/// `pyarrow.RecordBatchReader.from_stream(drafts)` reads the rows.
#[pyclass(frozen, module = "kirtle")]
pub(crate) struct DraftStream {
    schema: SchemaRef,
    /// Drafts not yet read, and the callback `progress`, if given; `None` once a consumer has taken them.
    unread: Mutex<Option<(DraftBatchReader, Option<Py<PyAny>>)>>,
}

python_class! { DraftStream as stream;
    /// Names of the columns, in the order of the stream.
    columns: Vec<String> = schema_column_names(&stream.schema);
    repr = format!("DraftStream(columns={})", stream.schema.fields().len());
    {
        /// Return the schema of the drafts as an Arrow capsule.
        fn __arrow_c_schema__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> { export_arrow_schema(py, &self.schema) }

        /// Return the drafts as an Arrow stream.
        ///
        /// Raises `ValueError` at every call after the first.
        #[pyo3(signature = (requested_schema = None))]
        #[allow(unused_variables, reason = "the Arrow PyCapsule interface prescribes the argument")]
        fn __arrow_c_stream__<'py>(&self, py: Python<'py>, requested_schema: Option<&Bound<'py, PyAny>>) -> PyResult<Bound<'py, PyAny>> {
            let unread = self.unread.lock().unwrap_or_else(PoisonError::into_inner).take();
            let spent = || PyValueError::new_err("this stream of drafts can be read only once; call draft_stream again");
            let (mut drafts, progress) = unread.ok_or_else(spent)?;
            let batches = std::iter::from_fn(move || next_batch_interruptibly(&mut drafts, progress.as_ref()));
            export_arrow_stream(py, RecordBatchIterator::new(batches, self.schema.clone()))
        }
    }
}

/// Drafts the next batch, then runs Python's signal handlers and the callback `progress`, if given. An exception of
/// either becomes an Arrow error.
fn next_batch_interruptibly(
    drafts: &mut DraftBatchReader,
    progress: Option<&Py<PyAny>>,
) -> Option<Result<RecordBatch, ArrowError>> {
    let shut_down = || Some(Err(ArrowError::ExternalError("the Python interpreter has shut down".into())));
    let draft_and_check = |py: Python<'_>| {
        // The caller may hold Python's interpreter lock, which worker threads need to release memory of the source.
        let next = py.detach(|| drafts.next())?;
        Some(next.and_then(|batch| {
            let checked = check_signals_and_report_rows(py, progress, batch.num_rows());
            checked.map(|()| batch).map_err(|error| {
                // Read before an interrupt is pending, which would end the conversion to a text.
                let text = error.to_string();
                // The reader of the stream raises its own error type, so an interrupt is also raised in the main
                // thread.
                if error.is_instance_of::<PyKeyboardInterrupt>(py) {
                    let _ = py.import("_thread").and_then(|threads| threads.call_method0("interrupt_main"));
                }
                ArrowError::ExternalError(text.into())
            })
        }))
    };
    Python::try_attach(draft_and_check).unwrap_or_else(shut_down)
}
