//! Drafts of many bodies at once: [`Bodies`] takes columns of plain slices, [`Table`] returns columns of numbers.
//!
//! Every input row gives one output row, in order, the same for any number of [`Threads`]. It equals the
//! [`draft`](crate::draft()) of its body alone: darts and outlines to the last bit, lengths and areas to a relative 1e-12.
//!
//! ```
//! use kirtle::batch::{Bodies, Column, Threads};
//! use kirtle::{Body, Ease, Figure, Rules, Unit};
//!
//! let hips = [96.0, 104.0];
//! let bodies = Bodies {
//!     body: Body { waist: 70.0, hip: 0.0, hip_depth: 20.0, length: 60.0 }.map(Column::Constant),
//!     figure: Figure::default(),
//!     ease: Ease { waist: 1.5, hip: 5.0 }.map(Column::Constant),
//!     rules: Column::constant_rules(&Rules::default()),
//!     unit: Unit::Cm,
//! };
//! let bodies = Bodies { body: Body { hip: Column::Values(&hips), ..bodies.body }, ..bodies };
//! assert_eq!(bodies.draft(&Threads::new(None)?)?.numbers_of_column("back_width"), Some(&[24.25, 26.25][..]));
//! # Ok::<(), kirtle::Problems>(())
//! ```

mod block;
mod bodies;
mod groups;
mod table;

pub use bodies::{Bodies, Column};
pub use table::{Outline, RowOutlines, Table, TableColumn};

use std::borrow::BorrowMut;

use rayon::iter::{IndexedParallelIterator, IntoParallelIterator, ParallelIterator};

use crate::error::{Code, Problem, Problems};
use crate::interrupt::default_thread_count;

/// Maximum number of rows of a block, the part of a table that one thread drafts at a time.
///
/// A larger block leaves fewer incomplete lane groups. A smaller block fits a core's cache and balances threads better.
const ROWS_PER_BLOCK: usize = 4096;

/// Pool of threads that draft tables.
///
/// The threads end soon after the pool is dropped. In a forked process, the calling thread does the work.
#[derive(Debug)]
pub struct Threads {
    /// Thread pool, and the identifier of the process that started it; `None` where the calling thread does the work.
    pool: Option<(rayon::ThreadPool, u32)>,
}

impl Threads {
    /// Maximum number of threads in a pool.
    pub const MAX_THREADS: u16 = 1024;

    /// Starts a pool of `count` threads.
    ///
    /// Without `count`, the number is the value of the environment variable `RAYON_NUM_THREADS`, or else the number of
    /// processors. If the system cannot start threads, the calling thread does the work.
    ///
    /// # Errors
    /// [`Code::BelowMinimum`] for 0 threads; [`Code::AboveMaximum`] for more than 1024.
    ///
    /// ```
    /// use kirtle::batch::Threads;
    ///
    /// assert_eq!(Threads::new(Some(2))?.count(), 2);
    /// assert_eq!(Threads::new(Some(0)).unwrap_err().to_string(), "threads: 0 is below the minimum of 1");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn new(count: Option<usize>) -> Result<Self, Problems> {
        let max = usize::from(Threads::MAX_THREADS);
        if let Some(count) = count.filter(|count| !(1..=max).contains(count)) {
            let (code, limit) = if count < 1 { (Code::BelowMinimum, 1) } else { (Code::AboveMaximum, max) };
            let problem = Problem::new(code, "threads").with_value(count.to_string());
            return Err(problem.with_limit(limit.to_string()).into());
        }
        // Rayon's own function for the number would start global threads that never end.
        let count = count.unwrap_or_else(default_thread_count).min(max);
        let builder = rayon::ThreadPoolBuilder::new().num_threads(count);
        let pool = if count == 1 { None } else { builder.build().ok() };
        // A platform without threads has no process identifier either.
        Ok(Self { pool: pool.map(|pool| (pool, std::process::id())) })
    }

    /// Returns the number of threads; 1 where the calling thread does the work.
    pub fn count(&self) -> usize {
        self.pool.as_ref().map_or(1, |(pool, _)| pool.current_num_threads())
    }

    /// Applies `work` to index and value of every item, in parallel; returns the results in the order of the items.
    ///
    /// `work` also receives a scratch value, at first the default, which a thread reuses from one item to the next.
    pub(crate) fn map_in_parallel<S: Default, I: Send, R: Send>(
        &self,
        items: Vec<I>,
        work: impl Fn(&mut S, usize, I) -> R + Sync,
    ) -> Vec<R> {
        match &self.pool {
            Some((pool, process)) if *process == std::process::id() => {
                let items = items.into_par_iter().enumerate();
                pool.install(|| items.map_init(S::default, |scratch, (k, item)| work(scratch, k, item)).collect())
            }
            _ => {
                let mut scratch = S::default();
                items.into_iter().enumerate().map(|(k, item)| work(&mut scratch, k, item)).collect()
            }
        }
    }
}

impl Drop for Threads {
    fn drop(&mut self) {
        // In a forked process the pool's threads do not exist, so the pool's destructor would wait for them forever.
        if let Some(pool) = self.pool.take_if(|(_, process)| *process != std::process::id()) {
            std::mem::forget(pool);
        }
    }
}

impl Bodies<'_> {
    /// Drafts every body into a new table: one output row per input row, in order.
    ///
    /// A refused body keeps its row, with its [`Table::problems`].
    ///
    /// # Errors
    /// All [`Problems`] of the columns: different lengths, more than 3 given darts in a panel, a constant out of range.
    ///
    /// ```
    /// use kirtle::{Body, Code, Ease, Figure, Rules, batch::{Bodies, Column, Threads}};
    ///
    /// let (waists, hips) = ([70.0, 82.5, 7.0], [96.0, 104.0, 96.0]);
    /// let bodies = Bodies {
    ///     body: Body {
    ///         waist: Column::Values(&waists),
    ///         hip: Column::Values(&hips),
    ///         hip_depth: Column::Constant(20.0),
    ///         length: Column::Constant(60.0),
    ///     },
    ///     figure: Figure::default(),
    ///     ease: Ease { waist: 1.5, hip: 5.0 }.map(Column::Constant),
    ///     rules: Column::constant_rules(&Rules::default()),
    ///     unit: kirtle::Unit::Cm,
    /// };
    /// let table = bodies.draft(&Threads::new(None)?)?;
    /// let alone = kirtle::draft(
    ///     &Body { waist: 82.5, hip: 104.0, hip_depth: 20.0, length: 60.0 },
    ///     &Ease { waist: 1.5, hip: 5.0 },
    ///     &Rules::default(),
    /// )?;
    /// assert_eq!(table.numbers_of_column("suppression_total").unwrap()[1], alone.suppression.total);
    /// assert_eq!(table.problems(2).unwrap()[0].code, Code::BelowMinimum);
    ///
    /// let short = Bodies { body: Body { hip: Column::Values(&hips[..2]), ..bodies.body }, ..bodies };
    /// let problems = short.draft(&Threads::new(Some(1))?).unwrap_err();
    /// assert_eq!(problems[0].code, Code::DifferentRows);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn draft(&self, threads: &Threads) -> Result<Table, Problems> {
        self.draft_into_table(None, false, threads, Table::default())
    }

    /// Drafts every body into an existing table, whose rows are replaced.
    ///
    /// For large tables, reusing the table's memory is faster than [`draft`](Self::draft).
    ///
    /// # Errors
    /// All [`Problems`] of the columns, as for [`draft`](Self::draft); the table is then unchanged.
    ///
    /// ```
    /// use kirtle::{Body, Code, Ease, Figure, Rules, Unit, batch::{Bodies, Column, Table, Threads}};
    ///
    /// let (waists, threads) = ([70.0, 82.5], Threads::new(Some(1))?);
    /// let with = |ease: Ease<f64>| Bodies {
    ///     body: Body {
    ///         waist: Column::Values(&waists),
    ///         hip: Column::Constant(104.0),
    ///         hip_depth: Column::Constant(20.0),
    ///         length: Column::Constant(60.0),
    ///     },
    ///     figure: Figure::default(),
    ///     ease: ease.map(Column::Constant),
    ///     rules: Column::constant_rules(&Rules::default()),
    ///     unit: Unit::Cm,
    /// };
    /// let mut table = Table::default();
    /// let mut widths = Vec::new();
    /// for hip in [3.0, 5.0, 7.0] {
    ///     with(Ease { waist: 1.5, hip }).draft_into(&mut table, &threads)?;
    ///     widths.push(table.numbers_of_column("back_width").unwrap()[0]);
    /// }
    /// assert_eq!(widths, [25.75, 26.25, 26.75]);
    ///
    /// let problems = with(Ease { waist: 1.5, hip: 200.0 }).draft_into(&mut table, &threads).unwrap_err();
    /// assert_eq!(problems[0].code, Code::AboveMaximum);
    /// assert_eq!(table.numbers_of_column("back_width").unwrap()[0], 26.75);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn draft_into(&self, table: &mut Table, threads: &Threads) -> Result<(), Problems> {
        self.draft_into_table(None, false, threads, table).map(drop)
    }

    /// Drafts every body into a new table that also holds the outlines of back and front.
    ///
    /// # Errors
    /// All [`Problems`] of the columns, as for [`draft`](Self::draft).
    ///
    /// ```
    /// use kirtle::{Body, Code, Ease, Figure, Rules, Unit, batch::{Bodies, Column, Threads}};
    ///
    /// let waists = [70.0, 82.5];
    /// let bodies = Bodies {
    ///     body: Body {
    ///         waist: Column::Values(&waists),
    ///         hip: Column::Constant(104.0),
    ///         hip_depth: Column::Constant(20.0),
    ///         length: Column::Constant(60.0),
    ///     },
    ///     figure: Figure::default(),
    ///     ease: Ease { waist: 1.5, hip: 5.0 }.map(Column::Constant),
    ///     rules: Column::constant_rules(&Rules::default()),
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
        self.draft_into_table(None, true, threads, Table::default())
    }

    /// Drafts into a table or a reference to one, replacing its rows, and returns it. `rows` is the number of rows, by
    /// default the length of the columns; it is needed if every column is a constant.
    pub(crate) fn draft_into_table<T: BorrowMut<Table>>(
        &self,
        rows: Option<usize>,
        outlines: bool,
        threads: &Threads,
        mut into: T,
    ) -> Result<T, Problems> {
        let checked = bodies::CheckedBodies::check_bodies(self)?;
        let table = into.borrow_mut();
        table.resize_to_row_count(rows.unwrap_or(checked.rows), checked.bodies.rules.max_darts_by_panel(), outlines);
        let results = threads.map_in_parallel(table.blocks_of_rows_mut(ROWS_PER_BLOCK), |groups, k, mut block| {
            block::draft_block_rows(&checked, k * ROWS_PER_BLOCK, &mut block, groups, outlines)
        });
        for (k, (refused, mut outlines)) in results.into_iter().enumerate() {
            table.refused.extend(refused.into_iter().map(|(row, problems)| (k * ROWS_PER_BLOCK + row, problems)));
            table.outlines.iter_mut().for_each(|all| all.append(&mut outlines));
        }
        Ok(into)
    }
}
