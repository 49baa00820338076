//! The letters that PDF embeds, so that any viewer shows the same: Latin, Greek and Cyrillic.

use std::sync::OnceLock;

use ttf_parser::{Face, GlyphId};

/// The font file, as it is embedded.
pub(super) const FILE: &[u8] = include_bytes!("font/letters.ttf");

/// Its name in PDF: the tag says that it holds a part of the letters only.
pub(super) const NAME: &[u8] = b"KIRTLE+DejaVuSans";

/// What PDF measures letters in: thousandths of their size.
const THOUSAND: f32 = 1000.0;

/// Measures of the letters, in thousandths of their size.
pub(super) struct Letters {
    /// For each code point: its glyph and its width; the empty box where there is none.
    glyphs: Vec<(u16, f32)>,
    /// The width of each glyph.
    pub(super) widths: Vec<f32>,
    /// The box that holds every letter: left, bottom, right, top.
    pub(super) bounds: [f32; 4],
}

/// The last code point that has a place in the table; the letters end there.
const LAST: u32 = 0x2212;

impl Letters {
    /// The letters, read once.
    pub(super) fn get() -> &'static Self {
        static LETTERS: OnceLock<Letters> = OnceLock::new();
        LETTERS.get_or_init(|| Face::parse(FILE, 0).map_or_else(|_| Self::none(), |face| Self::of(&face)))
    }

    /// No letter at all: what stands for a file that cannot be read, which a test rules out.
    fn none() -> Self {
        Self { glyphs: Vec::new(), widths: Vec::new(), bounds: [0.0; 4] }
    }

    fn of(face: &Face) -> Self {
        let scale = THOUSAND / f32::from(face.units_per_em());
        let width = |glyph: u16| scale * f32::from(face.glyph_hor_advance(GlyphId(glyph)).unwrap_or_default());
        let glyph = |code| char::from_u32(code).and_then(|c| face.glyph_index(c)).map_or(0, |glyph| glyph.0);
        let all = face.global_bounding_box();
        Self {
            glyphs: (0..=LAST).map(|code| (glyph(code), width(glyph(code)))).collect(),
            widths: (0..face.number_of_glyphs()).map(width).collect(),
            bounds: [all.x_min, all.y_min, all.x_max, all.y_max].map(|side| scale * f32::from(side)),
        }
    }

    /// The glyph of a letter and its width.
    pub(super) fn glyph(&self, letter: char) -> (u16, f32) {
        let found = usize::try_from(u32::from(letter)).ok().and_then(|code| self.glyphs.get(code));
        let missing = || (0, self.widths.first().copied().unwrap_or(THOUSAND));
        found.copied().unwrap_or_else(missing)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_letter_of_our_own_texts_is_there() {
        let letters = Letters::get();
        for letter in "Straight skirt 0123456789.,:;()½⅝¾×°éñßœžŁΩЖйђ–—’“”„€№".chars() {
            assert_ne!(letters.glyph(letter).0, 0, "{letter}");
        }
        for letter in (0..=LAST + 100).filter_map(char::from_u32).filter(|letter| !letter.is_control()) {
            let drawn = letters.glyph(letter).0 != 0;
            assert_eq!(drawn, crate::pattern::is_printed(letter), "{letter:?} and what a finding says of it");
        }
        assert_eq!(letters.glyph('漢').0, 0);
        assert!(letters.glyph('W').1 > 2.0 * letters.glyph('i').1);
    }
}
