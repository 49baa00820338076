//! Tables of drafts in Python, in and out as Arrow streams.

use std::sync::{Mutex, PoisonError};

use arrow_array::{RecordBatch, RecordBatchReader};
use arrow_schema::{ArrowError, SchemaRef};
use pyo3::exceptions::{PyKeyboardInterrupt, PyValueError};
use pyo3::prelude::*;

use super::batches::{Rows, broken, columns};
use super::capsule::{reader_of, schema_capsule, stream_capsule};
use super::draft::Dict;
use super::inputs::{Count, Ease, Rules, node, unit_named};
use super::texts::shown_as;
use crate::arrow::{Drafts, TableRequest, TableSource};
use crate::batch::Threads;
use crate::document::Reader;
use crate::document::node::Node;
use crate::error::{Code, Problem, Problems};
use crate::field::Unit;

/// Drafts every body of a table: one row out for each row in, in order; refused rows carry their problems.
///
/// `source` is anything that offers an Arrow stream: a table of pandas, polars, pyarrow or duckdb, a reader of record
/// batches. `columns` says where each number comes from: the name of a column, or a number for all rows, by the path of the
/// number (`"waist"`, `"ease.hip"`, `"rules.shares.back_share"`); measurements that are not named come from the columns of
/// their own name. Lengths of the table, in and out, and numbers in `columns`, are in `unit`; `ease` and `rules` have their
/// own.
///
/// `outlines` adds the outlines of back and front. `threads` is the number of threads, by default as many as there are
/// processors. `progress` is called now and then with the number of rows that were drafted since.
///
/// Raises `InputError` with all the problems of the columns at once, and `TypeError` for what offers no stream.
///
/// >>> people = pyarrow.table({"WAIST": [74.0, 7.4], "hip": [101.0, 101.0]})
/// >>> where = {"waist": "WAIST", "hip_depth": 20.5, "length": 62.0}
/// >>> table = draft_table(people, columns=where, ease=Ease(waist=1.5, hip=5))
/// >>> table
/// DraftTable(rows=2, refused=1, columns=34)
/// >>> pyarrow.table(table)["error_text"].to_pylist()
/// [None, 'body.waist: 7.4 cm is below the minimum of 40 cm']
/// >>> draft_table(people, columns={"waist": "GIRTH"}, ease=Ease(waist=1.5, hip=5))
/// Traceback (most recent call last):
/// kirtle.InputError: body.waist: "GIRTH" is not exactly one of the columns WAIST, hip
/// body.hip_depth: missing; give a column, or a number from 10 to 40 cm for all rows
/// body.length: missing; give a column, or a number from 15 to 150 cm for all rows
#[pyfunction]
#[pyo3(signature = (
    source, *, columns = None, ease = None, rules = None, unit = "cm", outlines = false, threads = None, progress = None
))]
// A keyword for each choice.
#[allow(clippy::too_many_arguments)]
pub(crate) fn draft_table(
    py: Python<'_>,
    source: &Bound<'_, PyAny>,
    columns: Option<Dict<'_>>,
    ease: Option<&Ease>,
    rules: Option<&Rules>,
    unit: &str,
    outlines: bool,
    threads: Option<Count>,
    progress: Option<&Bound<'_, PyAny>>,
) -> PyResult<Py<DraftTable>> {
    let mut drafts = drafts(source, columns, ease, rules, unit, outlines, threads)?;
    let (schema, mut batches) = (drafts.schema(), Vec::new());
    while let Some(batch) = py.detach(|| drafts.next()) {
        let batch = batch.map_err(broken)?;
        tell(py, progress, batch.num_rows())?;
        batches.push(batch);
    }
    Py::new(py, (DraftTable, Rows { schema, batches }))
}

/// Drafts every body of a table of any length as its rows are asked for, in constant memory; see `draft_table`.
///
/// The result is read once, by whatever takes an Arrow stream.
///
/// >>> bodies = simulate(1000, seed=1)
/// >>> rows = pyarrow.RecordBatchReader.from_stream(draft_stream(bodies, ease=Ease(waist=1.5, hip=5)))
/// >>> sum(batch.num_rows for batch in rows)
/// 1000
#[pyfunction]
#[pyo3(signature = (
    source, *, columns = None, ease = None, rules = None, unit = "cm", outlines = false, threads = None, progress = None
))]
#[allow(clippy::too_many_arguments)]
pub(crate) fn draft_stream(
    source: &Bound<'_, PyAny>,
    columns: Option<Dict<'_>>,
    ease: Option<&Ease>,
    rules: Option<&Rules>,
    unit: &str,
    outlines: bool,
    threads: Option<Count>,
    progress: Option<Py<PyAny>>,
) -> PyResult<DraftStream> {
    let drafts = drafts(source, columns, ease, rules, unit, outlines, threads)?;
    let schema = drafts.schema();
    Ok(DraftStream { schema, interruptible: Mutex::new(Some(Watched { drafts, progress })) })
}

fn drafts(
    source: &Bound<'_, PyAny>,
    columns: Option<Dict<'_>>,
    ease: Option<&Ease>,
    rules: Option<&Rules>,
    unit: &str,
    outlines: bool,
    threads: Option<Count>,
) -> PyResult<Drafts> {
    let request = TableRequest {
        numbers: numbers(columns)?,
        ease: ease.map(|ease| ease.0),
        rules: rules.map(|rules| rules.0.clone()).unwrap_or_default(),
        unit: unit_named(unit)?,
        outlines,
    };
    Ok(Drafts::new(reader_of(source)?, &request, threads_of(threads)?)?)
}

/// So many threads.
fn threads_of(count: Option<Count>) -> Result<Threads, Problems> {
    let count = count.map(Node::from).filter(|count| *count != Node::Null);
    let mut reader = Reader { unit: Some(Unit::Cm), problems: Vec::new() };
    let count = count.map(|count| reader.whole("threads", &count, Threads::MAX));
    Threads::new(count.map(|count| reader.finish(count)).transpose()?.map(usize::from))
}

/// Where each number comes from.
pub(super) fn numbers(columns: Option<Dict<'_>>) -> Result<Vec<(String, TableSource)>, Problems> {
    let mut problems = Vec::new();
    let mut numbers = Vec::new();
    for (name, source) in columns.into_iter().flat_map(|columns| columns.0) {
        let name = shown_as(name.as_borrowed());
        match node(source.as_borrowed()) {
            Node::Text(column) => numbers.push((name, TableSource::Column(column))),
            Node::Number(value) => numbers.push((name, TableSource::Constant(value))),
            other => {
                let problem = Problem::new(Code::WrongType, format!("columns.{name}")).with_value(other.shown());
                problems.push(problem.with_limit("the name of a column, or a number"));
            }
        }
    }
    Problems::ok_if_empty(problems)?;
    Ok(numbers)
}

/// Lets Python see to signals, and says how many rows were drafted.
pub(super) fn tell(py: Python<'_>, progress: Option<&Bound<'_, PyAny>>, rows: usize) -> PyResult<()> {
    py.check_signals()?;
    progress.map_or(Ok(()), |progress| progress.call1((rows,)).map(drop))
}

/// The drafts of a table: an Arrow table for whatever takes one, such as `pyarrow.table(drafts)`, `polars.DataFrame(drafts)`,
/// or `pandas.DataFrame.from_arrow(drafts)`.
#[pyclass(frozen, extends = Rows, module = "kirtle")]
pub(crate) struct DraftTable;

#[pymethods]
// Python hands the whole object over.
#[allow(clippy::needless_pass_by_value)]
impl DraftTable {
    /// How many rows were refused.
    #[getter]
    fn refused(slf: PyRef<'_, Self>) -> usize {
        let refused = |batch: &RecordBatch| {
            batch.column_by_name("error_code").map_or(0, |codes| codes.len() - codes.null_count())
        };
        slf.as_super().batches.iter().map(refused).sum()
    }

    fn __repr__(slf: PyRef<'_, Self>) -> String {
        let (rows, columns) = (slf.as_super().__len__(), slf.as_super().columns().len());
        format!("DraftTable(rows={rows}, refused={}, columns={columns})", Self::refused(slf))
    }
}

/// The drafts of a stream: read once, by whatever takes an Arrow stream, such as
/// `pyarrow.RecordBatchReader.from_stream(drafts)`.
#[pyclass(frozen, module = "kirtle")]
pub(crate) struct DraftStream {
    schema: SchemaRef,
    interruptible: Mutex<Option<Watched>>,
}

#[pymethods]
impl DraftStream {
    fn __arrow_c_schema__<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        schema_capsule(py, &self.schema)
    }

    /// The rows as they are drafted.
    ///
    /// Raises `ValueError` the second time.
    #[pyo3(signature = (requested_schema = None))]
    fn __arrow_c_stream__<'py>(
        &self,
        py: Python<'py>,
        requested_schema: Option<&Bound<'py, PyAny>>,
    ) -> PyResult<Bound<'py, PyAny>> {
        let _ = requested_schema;
        let interruptible = self.interruptible.lock().unwrap_or_else(PoisonError::into_inner).take();
        let interruptible =
            interruptible.ok_or_else(|| PyValueError::new_err("this stream of drafts is already being read"))?;
        stream_capsule(py, interruptible)
    }

    /// The names of the columns.
    #[getter]
    fn columns(&self) -> Vec<String> {
        columns(&self.schema)
    }

    fn __repr__(&self) -> String {
        format!("DraftStream(columns={})", self.schema.fields().len())
    }
}

/// Drafts that let Python see to signals between two batches.
struct Watched {
    drafts: Drafts,
    progress: Option<Py<PyAny>>,
}

impl Iterator for Watched {
    type Item = Result<RecordBatch, ArrowError>;

    fn next(&mut self) -> Option<Self::Item> {
        let ended = || Some(Err(ArrowError::ExternalError("Python has ended".into())));
        Python::try_attach(|py| {
            // Whoever asks may hold Python's lock, for which the threads must wait to give memory back to the source.
            let batch = match py.detach(|| self.drafts.next())? {
                Ok(batch) => batch,
                error => return Some(error),
            };
            Some(self.told(py, &batch).map(|()| batch))
        })
        .unwrap_or_else(ended)
    }
}

impl Watched {
    fn told(&self, py: Python<'_>, batch: &RecordBatch) -> Result<(), ArrowError> {
        tell(py, self.progress.as_ref().map(|progress| progress.bind(py)), batch.num_rows()).map_err(|error| {
            let text = error.to_string();
            // Whoever reads the stream makes an error of its own of this one; the interrupt itself must not be lost. It
            // strikes when Python runs again.
            if error.is_instance_of::<PyKeyboardInterrupt>(py)
                && let Ok(threads) = py.import("_thread")
            {
                let _ = threads.call_method0("interrupt_main");
            }
            ArrowError::ExternalError(text.into())
        })
    }
}

impl RecordBatchReader for Watched {
    fn schema(&self) -> SchemaRef {
        self.drafts.schema()
    }
}
