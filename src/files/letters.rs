//! Embedded font of PDF files (Latin, Greek and Cyrillic letters) and the widths of its letters.
//!
//! For the PDF writer. The font has a glyph for every letter that a pattern's name can have without causing a finding.

use std::sync::OnceLock;

use ttf_parser::{Face, GlyphId};

/// Bytes of the TrueType font that is embedded in PDF files.
pub(super) const FONT_BYTES: &[u8] = include_bytes!("font/letters.ttf");

/// Name of the embedded font in PDF files; the prefix up to "+" says that only a subset of the font's letters is embedded.
pub(super) const PDF_FONT_NAME: &[u8] = b"KIRTLE+DejaVuSans";

/// Number of PDF glyph-width units in one letter size: PDF gives widths in thousandths of the letter size.
const GLYPH_UNITS_PER_LETTER_SIZE: f32 = 1000.0;

/// Glyph numbers, widths and bounding box of the font embedded in PDF files, in thousandths of the letter size.
#[derive(Default)]
pub(super) struct FontMetrics {
    /// Glyph number of each Unicode code point from 0, and its width in thousandths of the letter size. A letter that
    /// the font lacks has glyph 0, an empty box.
    glyphs: Vec<(u16, f32)>,
    /// Width of each glyph, in thousandths of the letter size, in the order of glyph numbers.
    pub(super) widths: Vec<f32>,
    /// Bounding box of all glyphs laid on each other, in thousandths of the letter size: left, bottom, right, top.
    pub(super) bounds: [f32; 4],
}

/// Largest Unicode code point that has a glyph in the embedded font.
const MAX_FONT_CODE_POINT: u32 = 0x2212;

impl FontMetrics {
    /// Returns the metrics of the embedded font, which the first call parses. An invalid font would give empty metrics; a
    /// test shows that the font is valid.
    pub(super) fn embedded_font_metrics() -> &'static Self {
        static METRICS: OnceLock<FontMetrics> = OnceLock::new();
        let parse = || Face::parse(FONT_BYTES, 0).as_ref().map_or_else(|_| Self::default(), Self::from_parsed_font);
        METRICS.get_or_init(parse)
    }

    /// Collects glyph numbers, widths and bounding box of a parsed font.
    fn from_parsed_font(face: &Face) -> Self {
        let scale = GLYPH_UNITS_PER_LETTER_SIZE / f32::from(face.units_per_em());
        let width = |glyph: u16| scale * f32::from(face.glyph_hor_advance(GlyphId(glyph)).unwrap_or_default());
        let glyph = |code| char::from_u32(code).and_then(|c| face.glyph_index(c)).map_or(0, |glyph| glyph.0);
        let bounds = face.global_bounding_box();
        Self {
            glyphs: (0..=MAX_FONT_CODE_POINT).map(|code| (glyph(code), width(glyph(code)))).collect(),
            widths: (0..face.number_of_glyphs()).map(width).collect(),
            bounds: [bounds.x_min, bounds.y_min, bounds.x_max, bounds.y_max].map(|side| scale * f32::from(side)),
        }
    }

    /// Returns a letter's glyph number, 0 for a letter without glyph, and its width in thousandths of the letter size.
    pub(super) fn glyph_number_and_width(&self, letter: char) -> (u16, f32) {
        let found = usize::try_from(u32::from(letter)).ok().and_then(|code| self.glyphs.get(code));
        let missing = || (0, self.widths.first().copied().unwrap_or(GLYPH_UNITS_PER_LETTER_SIZE));
        found.copied().unwrap_or_else(missing)
    }
}
