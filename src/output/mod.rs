//! The ways out: JSON and files.

pub(crate) mod json;
pub(crate) mod svg;
