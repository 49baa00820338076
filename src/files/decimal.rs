//! Numbers as decimal text for SVG and DXF: at most four digits after the point, no trailing zeros.
//!
//! The text is the same on every machine and never has an exponent.

use std::fmt;

/// Number that is displayed as a decimal, such as "1.5" or "2".
#[derive(Clone, Copy)]
pub(super) struct Decimal(pub(super) f64);

impl fmt::Display for Decimal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Lengths on paper are far below 1e15. NaN and infinity become finite, so that every reader accepts them.
        let value = if self.0.is_nan() { 0.0 } else { self.0.clamp(-1e15, 1e15) };
        let text = format!("{value:.4}");
        let text = text.trim_end_matches('0').trim_end_matches('.');
        f.write_str(if text == "-0" { "0" } else { text })
    }
}
