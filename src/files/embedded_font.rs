//! Embedded font of PDF files (Latin, Greek and Cyrillic) and the widths of its glyphs.
//!
//! The font has a glyph for every character that a pattern's name can have without a finding.

use std::sync::LazyLock;

use ttf_parser::{Face, GlyphId};

/// Bytes of the TrueType font that is embedded in PDF files.
pub(super) const FONT_BYTES: &[u8] = include_bytes!("font/letters.ttf");

/// Name of the embedded font in PDF files; the prefix up to "+" marks a subset of the font.
pub(super) const PDF_FONT_NAME: &[u8] = b"KIRTLE+DejaVuSans";

/// Number of PDF glyph-width units in one font size: PDF gives widths in thousandths of the font size.
const PDF_GLYPH_UNITS_PER_EM: f32 = 1000.0;

/// The embedded font; `None` if it were invalid, which a test excludes.
static EMBEDDED_FONT: LazyLock<Option<Face>> = LazyLock::new(|| Face::parse(FONT_BYTES, 0).ok());

/// Converts a length from the font's own units to thousandths of the font size.
fn font_units_to_thousandths(face: &Face, units: impl Into<f32>) -> f32 {
    PDF_GLYPH_UNITS_PER_EM / f32::from(face.units_per_em()) * units.into()
}

fn width(face: &Face, glyph: u16) -> f32 {
    font_units_to_thousandths(face, face.glyph_hor_advance(GlyphId(glyph)).unwrap_or_default())
}

/// Returns the width of each glyph of the embedded font, in the order of glyph numbers, and the bounding box of all
/// glyphs laid on each other (left, bottom, right, top), in thousandths of the font size.
pub(super) fn glyph_widths_and_bounds() -> (Vec<f32>, [f32; 4]) {
    let Some(face) = &*EMBEDDED_FONT else { return Default::default() };
    let bounds = face.global_bounding_box();
    let bounds =
        [bounds.x_min, bounds.y_min, bounds.x_max, bounds.y_max].map(|side| font_units_to_thousandths(face, side));
    ((0..face.number_of_glyphs()).map(|glyph| width(face, glyph)).collect(), bounds)
}

/// Returns a character's glyph number, 0 (an empty box) if it has no glyph, and its width in thousandths of the font
/// size.
pub(super) fn glyph_number_and_width(letter: char) -> (u16, f32) {
    let Some(face) = &*EMBEDDED_FONT else { return (0, PDF_GLYPH_UNITS_PER_EM) };
    let glyph = face.glyph_index(letter).map_or(0, |glyph| glyph.0);
    (glyph, width(face, glyph))
}
