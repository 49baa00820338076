//! The stream of drafts: blocks of rows of one size, however the rows come in.

use std::collections::VecDeque;
use std::sync::Arc;

use arrow_array::{RecordBatch, RecordBatchReader};
use arrow_schema::{ArrowError, SchemaRef};

use super::columns::{Values, next_of};
use super::request::{ColumnSource, ColumnSources, TableRequest};
use super::rows::{batch_of, schema_of};
use crate::batch::{Bodies, Column, Table, Threads};
use crate::body::numbers;
use crate::error::Problems;
use crate::field::Unit;

/// The rows of a batch that comes out. It does not depend on the batches that go in, so that neither do the bytes.
const BLOCK: usize = 65_536;

/// The same where outlines, which are some forty times as large, are wanted.
const BLOCK_WITH_OUTLINES: usize = 4_096;

/// The drafts of a stream of record batches, in record batches: one row out for each row in, in order.
///
/// It reads no more ahead than as many batches that come out need as it has threads.
pub struct Drafts {
    source: Box<dyn RecordBatchReader + Send>,
    drafting: Drafting,
    /// Batches that were read and not drafted yet.
    waiting: VecDeque<RecordBatch>,
    ended: bool,
    /// What comes out next.
    ready: VecDeque<Result<RecordBatch, ArrowError>>,
}

/// How rows become drafts.
struct Drafting {
    places: ColumnSources,
    unit: Unit,
    outlines: bool,
    threads: Threads,
    schema: SchemaRef,
}

impl Drafts {
    /// The drafts that are asked for, of a table.
    ///
    /// # Errors
    /// All the [`Problems`] of the request: a column that is not there, or holds no numbers, a number that is missing or
    /// not known; a number for all rows that is out of range.
    ///
    /// ```
    /// use std::sync::Arc;
    ///
    /// use arrow_array::{ArrayRef, Float64Array, RecordBatch, RecordBatchIterator};
    /// use kirtle::{Code, Ease, Rules, Unit};
    /// use kirtle::arrow::{Drafts, TableRequest, TableSource};
    /// use kirtle::batch::Threads;
    ///
    /// let column = |values: [f64; 2]| Arc::new(Float64Array::from(values.to_vec())) as ArrayRef;
    /// let table = RecordBatch::try_from_iter([("waist", column([70.0, 7.0])), ("HIP", column([96.0, 96.0]))])?;
    /// let source = || RecordBatchIterator::new([Ok(table.clone())], table.schema());
    /// let request = TableRequest {
    ///     numbers: vec![
    ///         ("hip".to_owned(), TableSource::Column("HIP".to_owned())),
    ///         ("hip_depth".to_owned(), TableSource::Constant(20.0)),
    ///         ("length".to_owned(), TableSource::Constant(60.0)),
    ///     ],
    ///     ease: Some(Ease { waist: 1.5, hip: 5.0 }),
    ///     rules: Rules::default(),
    ///     unit: Unit::Cm,
    ///     outlines: false,
    /// };
    /// let drafts = Drafts::new(source(), &request, Threads::new(None)?)?.collect::<Result<Vec<_>, _>>()?;
    /// assert_eq!(drafts[0].num_rows(), 2);
    /// assert_eq!(drafts[0]["suppression_total"].null_count(), 1);
    ///
    /// let nameless = TableRequest { numbers: Vec::new(), ..request };
    /// let problems = Drafts::new(source(), &nameless, Threads::new(None)?).err().unwrap();
    /// assert_eq!(problems[0].code, Code::Missing);
    /// assert_eq!(problems[0].field, "body.hip");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn new(
        source: impl RecordBatchReader + Send + 'static,
        request: &TableRequest,
        threads: Threads,
    ) -> Result<Self, Problems> {
        let places = request.places(&source.schema())?;
        let schema = Arc::new(schema_of(places.rules.max_darts(), request.unit, request.outlines));
        let drafting = Drafting { places, unit: request.unit, outlines: request.outlines, threads, schema };
        // Numbers that stand for all rows are checked now, and not when the first rows have come.
        drafting.draft(&[])?;
        let (waiting, ready) = (VecDeque::new(), VecDeque::new());
        Ok(Self { source: Box::new(source), drafting, waiting, ended: false, ready })
    }

    /// Drafts as many blocks as there are threads, so that none waits while columns are put together.
    fn advance(&mut self) {
        let (mut blocks, mut broken) = (Vec::new(), None);
        while blocks.len() < self.drafting.threads.count() && broken.is_none() {
            match self.pieces() {
                Ok(pieces) if pieces.is_empty() => break,
                Ok(pieces) => blocks.push(pieces),
                Err(error) => {
                    // What was read before an error is not the whole: nothing follows it.
                    self.ended = true;
                    self.waiting.clear();
                    broken = Some(Err(error));
                }
            }
        }
        let drafting = &self.drafting;
        self.ready.extend(drafting.threads.each(blocks, |(): &mut (), _, pieces| drafting.batch(&pieces)));
        self.ready.extend(broken);
    }

    /// The rows of the next block, in as many pieces as batches they come from.
    fn pieces(&mut self) -> Result<Vec<RecordBatch>, ArrowError> {
        let block = if self.drafting.outlines { BLOCK_WITH_OUTLINES } else { BLOCK };
        let (mut pieces, mut rows) = (Vec::new(), 0);
        while rows < block {
            let Some(batch) = self.waiting.pop_front() else {
                let next = if self.ended { None } else { next_of(self.source.as_mut()).transpose()? };
                self.ended = next.is_none();
                if self.ended {
                    break;
                }
                self.waiting.extend(next);
                continue;
            };
            let taken = batch.num_rows().min(block - rows);
            if taken < batch.num_rows() {
                self.waiting.push_front(batch.slice(taken, batch.num_rows() - taken));
            }
            if taken > 0 {
                pieces.push(batch.slice(0, taken));
                rows += taken;
            }
        }
        Ok(pieces)
    }
}

impl Drafting {
    /// The drafts of a block as a batch.
    fn batch(&self, pieces: &[RecordBatch]) -> Result<RecordBatch, ArrowError> {
        let table = self.draft(pieces).map_err(|problems| ArrowError::InvalidArgumentError(problems.to_string()))?;
        batch_of(table, &self.schema)
    }

    fn draft(&self, pieces: &[RecordBatch]) -> Result<Table, Problems> {
        let width = pieces.first().map_or(0, RecordBatch::num_columns);
        let mut values: Vec<Option<Values>> = (0..width).map(|_| None).collect();
        let ColumnSources { body, ease, rules } = &self.places;
        for (.., place) in numbers(body, ease, rules) {
            if let ColumnSource::Column(column) = place
                && let Some(values) = values.get_mut(column)
            {
                values.get_or_insert_with(|| Values::of(pieces, column));
            }
        }
        let mut column = |place: ColumnSource| match place {
            ColumnSource::Constant(value) => Column::Constant(value),
            ColumnSource::Column(column) => match values.get(column) {
                Some(Some(values)) => values.column(),
                _ => Column::Values(&[]),
            },
            ColumnSource::Missing => Column::Values(&[]),
        };
        let bodies = Bodies {
            body: body.map(&mut column),
            ease: ease.map(&mut column),
            rules: rules.clone().map(&mut column),
            unit: self.unit,
        };
        let rows = pieces.iter().map(RecordBatch::num_rows).sum();
        bodies.draft_rows(rows, self.outlines, &self.threads)
    }
}

impl Iterator for Drafts {
    type Item = Result<RecordBatch, ArrowError>;

    fn next(&mut self) -> Option<Self::Item> {
        if self.ready.is_empty() {
            self.advance();
        }
        self.ready.pop_front()
    }
}

impl RecordBatchReader for Drafts {
    fn schema(&self) -> SchemaRef {
        self.drafting.schema.clone()
    }
}
