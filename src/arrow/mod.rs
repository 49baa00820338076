//! Tables of bodies as Arrow record batches: columns in, columns out, a stream of any length through constant memory; and
//! the people of a survey, in and out.

mod columns;
mod described;
mod drafts;
mod people;
mod questions;
mod request;
mod rows;
mod survey;

pub use drafts::Drafts;
pub use people::{PeopleReader, PeopleTable};
pub use questions::{ease_batch, sensitivity_batch, uncertainty_batch};
pub use request::{TableRequest, TableSource};
pub use survey::{bodies_batch, fit_batch};
