//! The ways out: JSON and files.

mod csv;
mod decimal;
pub(crate) mod dxf;
pub(crate) mod json;
#[cfg(feature = "pdf")]
mod letters;
#[cfg(feature = "pdf")]
pub(crate) mod pdf;
pub(crate) mod save;
pub(crate) mod svg;
