//! Saving of drawings: paper by name, scale, errors of writing; and atomic writing for the Python part of the package.

use std::path::PathBuf;

use pyo3::exceptions::PyOSError;
use pyo3::prelude::*;
use pyo3::types::PyBytes;

use crate::drawing::{Paper, PrintLayout};
use crate::error::Problems;
use crate::files::{SaveError, create_partial_file, pdf, replace_by_partial_file};

impl From<SaveError> for PyErr {
    fn from(error: SaveError) -> Self {
        match error {
            SaveError::Refused(problems) => problems.into(),
            // Python selects the subclass, such as `FileNotFoundError`, by the error number.
            SaveError::Failed(path, error) => match error.raw_os_error() {
                Some(number) => {
                    let text = error.to_string();
                    let text = text.split(" (os error").next().unwrap_or_default().to_owned();
                    PyOSError::new_err((number, text, path))
                }
                None => PyOSError::new_err(error.to_string()),
            },
        }
    }
}

/// Returns the paper called `name`, such as `A4`, for sheets with this blank margin and this overlap, in millimetres;
/// raises `InputError` for an unknown name.
pub(super) fn parse_paper(name: &str, (margin_mm, overlap_mm): (f64, f64)) -> PyResult<Paper> {
    Ok(Paper { margin_mm, overlap_mm, ..Paper::named(name)? })
}

/// Returns the bytes of a PDF of the pages that `lay_out` makes; other Python threads run meanwhile.
pub(super) fn pdf_bytes(
    py: Python<'_>,
    lay_out: impl FnOnce() -> Result<PrintLayout, Problems> + Send,
) -> PyResult<Bound<'_, PyBytes>> {
    Ok(PyBytes::new(py, &py.detach(|| lay_out().map(|print| pdf(&print)))?))
}

/// Create an empty partial file in the folder of `path`; the caller writes it and then calls `replace_by_partial`.
///
/// Raises `InputError` for a device or a pipe, and `OSError` if no file can be created.
#[pyfunction]
pub(crate) fn new_partial(path: PathBuf) -> PyResult<PathBuf> {
    Ok(create_partial_file(&path)?.0)
}

/// Rename `partial`, a file from `new_partial`, to `path`. A link stays a link, and an earlier file's permissions are
/// kept.
///
/// Raises `OSError` if renaming fails.
#[pyfunction]
pub(crate) fn replace_by_partial(path: PathBuf, partial: PathBuf) -> PyResult<()> {
    Ok(replace_by_partial_file(&path, &partial)?)
}
