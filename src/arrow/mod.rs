//! Arrow record batches in and out.
//!
//! [`DraftBatchReader`] drafts a stream of bodies of any length in constant memory, [`PeopleReader`] reads the girths
//! of a survey, and functions such as [`bodies_batch`] convert results to record batches. Every column has a
//! description in its field metadata; the schema metadata have the unit of lengths, the version of
//! the package and the settings of the call.
//!
//! ```
//! use arrow_array::RecordBatchIterator;
//! use kirtle::arrow::{DraftBatchReader, KeptColumns, TableRequest, bodies_batch};
//! use kirtle::{Ease, Rules, Unit, batch::Threads, survey::Population};
//!
//! let women = bodies_batch(Population::ansur_women().bodies(0, 0..3)?, Unit::Cm)?;
//! let source = RecordBatchIterator::new([Ok(women.clone())], women.schema());
//! let ease = Some(Ease { waist: 1.5, hip: 5.0 });
//! let request = TableRequest {
//!     numbers: Vec::new(),
//!     ease,
//!     rules: Rules::default(),
//!     unit: Unit::Cm,
//!     outlines: false,
//!     keep: KeptColumns::All,
//! };
//! let mut drafts = DraftBatchReader::new(source, &request, Threads::new(None)?)?;
//! let drafts = drafts.next().unwrap()?;
//! assert_eq!((drafts.num_rows(), drafts.column(0)), (3, women.column(0)));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod columns;
mod drafts;
mod people;
mod results;

pub use columns::{ColumnOrConstant, Groups, KeptColumns};
pub use drafts::{DraftBatchReader, TableRequest};
pub use people::{MeasuredPeople, PeopleReader, PeopleTable};
pub(crate) use results::with_settings;
pub use results::{bodies_batch, ease_batch, fit_batch, sensitivity_batch, uncertainty_batch};
