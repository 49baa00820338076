//! Many bodies in one table: every row drafted, none dropped, the same bytes whatever the number of threads.

mod bodies;
mod floor;
mod groups;
mod kind;
mod part;
mod strip;
mod table;

pub use bodies::{Bodies, Column};
#[doc(hidden)]
pub use floor::Bare;
#[cfg(feature = "arrow")]
pub(crate) use table::table_columns;
pub use table::{Outline, RowOutlines, Table, TableColumn};

use rayon::iter::{IndexedParallelIterator, IntoParallelIterator, ParallelIterator};

use crate::error::{Code, Problem, Problems};

/// The rows that one thread drafts before it takes more: enough that few of a kind are left over at the end, and few enough that
/// threads end together and that what is told of them stays in a core's cache until it is written.
const PART: usize = 4096;

/// Threads that draft tables.
///
/// They end soon after it, so that none is left for a process that is forked later. In a process that is forked meanwhile, they
/// are not there: the caller's own thread does the work.
#[derive(Debug)]
pub struct Threads {
    /// Nothing where the caller's own thread does the work.
    pool: Option<rayon::ThreadPool>,
    /// The process that has them.
    process: u32,
}

impl Threads {
    /// The maximum number of threads.
    pub const MAX: u16 = 1024;

    /// So many threads; by default as many as there are processors, or as the variable `RAYON_NUM_THREADS` says. Where the
    /// system gives none, the caller's own does the work.
    ///
    /// # Errors
    /// [`Code::BelowMinimum`] or [`Code::AboveMaximum`] for less than one or more than 1024.
    ///
    /// ```
    /// use kirtle::batch::Threads;
    ///
    /// assert_eq!(Threads::new(Some(2))?.count(), 2);
    /// assert_eq!(Threads::new(Some(0)).unwrap_err().to_string(), "threads: 0 is below the minimum of 1");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn new(count: Option<usize>) -> Result<Self, Problems> {
        let max = usize::from(Threads::MAX);
        if let Some(count) = count.filter(|count| !(1..=max).contains(count)) {
            let (code, limit) = if count < 1 { (Code::BelowMinimum, 1) } else { (Code::AboveMaximum, max) };
            let problem = Problem::new(code, "threads").with_value(count.to_string());
            return Err(problem.with_limit(limit.to_string()).into());
        }
        let count = count.unwrap_or_else(default_threads);
        let builder = rayon::ThreadPoolBuilder::new().num_threads(count);
        let pool = if count == 1 { None } else { builder.build().ok() };
        Ok(Self { pool, process: std::process::id() })
    }

    /// How many there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.pool.as_ref().map_or(1, rayon::ThreadPool::current_num_threads)
    }

    /// Does a piece of work for each item, and gives what each returns, in order. A thread goes from one item to the next with
    /// the same desk, which is empty at first.
    pub(crate) fn each<D: Default, I: Send, R: Send>(
        &self,
        items: Vec<I>,
        work: impl Fn(&mut D, usize, I) -> R + Sync,
    ) -> Vec<R> {
        match &self.pool {
            Some(pool) if !self.is_forked() => {
                let items = items.into_par_iter().enumerate();
                pool.install(|| items.map_init(D::default, |desk, (k, item)| work(desk, k, item)).collect())
            }
            _ => {
                let mut desk = D::default();
                items.into_iter().enumerate().map(|(k, item)| work(&mut desk, k, item)).collect()
            }
        }
    }

    fn is_forked(&self) -> bool {
        self.process != std::process::id()
    }
}

impl Drop for Threads {
    fn drop(&mut self) {
        // Threads that are not there cannot be told to end.
        if self.is_forked() {
            std::mem::forget(self.pool.take());
        }
    }
}

/// As many as the variable `RAYON_NUM_THREADS` says, or else as there are processors. Rayon is not asked, as it would start
/// threads that never end.
fn default_threads() -> usize {
    let said = std::env::var("RAYON_NUM_THREADS").ok().and_then(|said| said.parse().ok());
    let processors = || std::thread::available_parallelism().map_or(1, usize::from);
    said.filter(|said| *said > 0).unwrap_or_else(processors).min(Threads::MAX.into())
}

impl Bodies<'_> {
    /// Drafts every body: one row out for each row in, in order.
    ///
    /// What [`draft`](crate::draft) gives for a body alone stands in its row to the last bit; a body that it refuses has its
    /// problems in the table.
    ///
    /// # Errors
    /// All the [`Problems`] of the columns: different numbers of rows, or a number for all rows that is out of range.
    ///
    /// ```
    /// use kirtle::{Body, Code, Ease, Rules};
    /// use kirtle::batch::{Bodies, Column, Threads};
    ///
    /// let (waists, hips) = ([70.0, 82.5, 7.0], [96.0, 104.0, 96.0]);
    /// let bodies = Bodies {
    ///     body: Body {
    ///         waist: Column::Values(&waists),
    ///         hip: Column::Values(&hips),
    ///         hip_depth: Column::Constant(20.0),
    ///         length: Column::Constant(60.0),
    ///     },
    ///     ease: Ease { waist: 1.5, hip: 5.0 }.map(Column::Constant),
    ///     rules: Column::rules(&Rules::default()),
    ///     unit: kirtle::Unit::Cm,
    /// };
    /// let table = bodies.draft(&Threads::new(None)?)?;
    /// let alone = kirtle::draft(
    ///     &Body { waist: 82.5, hip: 104.0, hip_depth: 20.0, length: 60.0 },
    ///     &Ease { waist: 1.5, hip: 5.0 },
    ///     &Rules::default(),
    /// )?;
    /// assert_eq!(table.number("suppression_total").unwrap()[1], alone.suppression.total);
    /// assert_eq!(table.problems(2).unwrap()[0].code, Code::BelowMinimum);
    ///
    /// let short = Bodies { body: Body { hip: Column::Values(&hips[..2]), ..bodies.body }, ..bodies };
    /// let problems = short.draft(&Threads::new(Some(1))?).unwrap_err();
    /// assert_eq!(problems[0].code, Code::DifferentRows);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn draft(&self, threads: &Threads) -> Result<Table, Problems> {
        self.drafted(None, false, threads)
    }

    /// As [`draft`](Self::draft), into a table that is there already: what it held is gone, and its memory is taken again. For
    /// large tables that is faster, as the system takes long to give memory.
    ///
    /// # Errors
    /// As [`draft`](Self::draft); the table stays as it was.
    ///
    /// ```
    /// use kirtle::{Body, Code, Ease, Rules, Unit};
    /// use kirtle::batch::{Bodies, Column, Table, Threads};
    ///
    /// let (waists, threads) = ([70.0, 82.5], Threads::new(Some(1))?);
    /// let with = |ease: Ease<f64>| Bodies {
    ///     body: Body {
    ///         waist: Column::Values(&waists),
    ///         hip: Column::Constant(104.0),
    ///         hip_depth: Column::Constant(20.0),
    ///         length: Column::Constant(60.0),
    ///     },
    ///     ease: ease.map(Column::Constant),
    ///     rules: Column::rules(&Rules::default()),
    ///     unit: Unit::Cm,
    /// };
    /// let mut table = Table::default();
    /// let mut widths = Vec::new();
    /// for hip in [3.0, 5.0, 7.0] {
    ///     with(Ease { waist: 1.5, hip }).draft_into(&mut table, &threads)?;
    ///     widths.push(table.number("back_width").unwrap()[0]);
    /// }
    /// assert_eq!(widths, [25.75, 26.25, 26.75]);
    ///
    /// let problems = with(Ease { waist: 1.5, hip: 200.0 }).draft_into(&mut table, &threads).unwrap_err();
    /// assert_eq!(problems[0].code, Code::AboveMaximum);
    /// assert_eq!(table.number("back_width").unwrap()[0], 26.75);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn draft_into(&self, table: &mut Table, threads: &Threads) -> Result<(), Problems> {
        self.fill(None, false, threads, table)
    }

    /// As [`draft`](Self::draft), with the outlines of every draft.
    ///
    /// # Errors
    /// As [`draft`](Self::draft).
    ///
    /// ```
    /// use kirtle::{Body, Code, Ease, Rules, Unit};
    /// use kirtle::batch::{Bodies, Column, Threads};
    ///
    /// let waists = [70.0, 82.5];
    /// let bodies = Bodies {
    ///     body: Body {
    ///         waist: Column::Values(&waists),
    ///         hip: Column::Constant(104.0),
    ///         hip_depth: Column::Constant(20.0),
    ///         length: Column::Constant(60.0),
    ///     },
    ///     ease: Ease { waist: 1.5, hip: 5.0 }.map(Column::Constant),
    ///     rules: Column::rules(&Rules::default()),
    ///     unit: Unit::Cm,
    /// };
    /// let table = bodies.draft_outlines(&Threads::new(Some(1))?)?;
    /// assert!(table.outlines(1).is_some());
    /// assert!(bodies.draft(&Threads::new(Some(1))?)?.outlines(1).is_none());
    ///
    /// let endless = Bodies { ease: Ease { hip: Column::Constant(f64::NAN), ..bodies.ease }, ..bodies };
    /// let problems = endless.draft_outlines(&Threads::new(Some(1))?).unwrap_err();
    /// assert_eq!(problems[0].code, Code::NotFinite);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn draft_outlines(&self, threads: &Threads) -> Result<Table, Problems> {
        self.drafted(None, true, threads)
    }

    /// Drafts so many rows, even where every number is the same for all of them.
    #[cfg(feature = "arrow")]
    pub(crate) fn draft_rows(&self, rows: usize, outlines: bool, threads: &Threads) -> Result<Table, Problems> {
        self.drafted(Some(rows), outlines, threads)
    }

    fn drafted(&self, rows: Option<usize>, outlines: bool, threads: &Threads) -> Result<Table, Problems> {
        let mut table = Table::default();
        self.fill(rows, outlines, threads, &mut table)?;
        Ok(table)
    }

    fn fill(&self, rows: Option<usize>, outlines: bool, threads: &Threads, table: &mut Table) -> Result<(), Problems> {
        let ready = bodies::Ready::new(self)?;
        table.renew(rows.unwrap_or(ready.rows()), ready.max_darts(), outlines);
        let told = threads
            .each(table.parts(PART), |groups, k, mut part| part::fill(&ready, k * PART, &mut part, groups, outlines));
        for (k, told) in told.into_iter().enumerate() {
            table.take(k * PART, told);
        }
        Ok(())
    }
}
