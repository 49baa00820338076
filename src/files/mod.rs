//! File formats of drawings: SVG, PDF (with the feature `pdf`) and DXF, and saving to a file chosen by its extension.
//!
//! Each writer knows one format and nothing of skirts; [`drawing`](crate::drawing) decides lines and texts. Equal
//! drawings give files with equal bytes. A file is saved completely or not at all.
//!
//! ```
//! use kirtle::drawing::draw_draft;
//! use kirtle::files::{SvgScale, svg};
//! use kirtle::{Body, Ease, Rules, Unit};
//!
//! let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
//! let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
//! assert!(svg(&draw_draft(&draft, Unit::Cm), SvgScale::True).starts_with("<svg"));
//! # Ok::<(), kirtle::Problems>(())
//! ```

mod decimal;
mod dxf;
#[cfg(feature = "pdf")]
mod embedded_font;
#[cfg(feature = "pdf")]
mod pdf;
mod save;
mod svg;

pub use dxf::dxf;
#[cfg(feature = "pdf")]
pub use pdf::pdf;
pub use save::{SaveError, save_drawing};
pub(crate) use save::{create_partial_file, replace_by_partial_file};
pub use svg::{SvgScale, svg};
