//! Numbers as decimal text for SVG and DXF: at most four digits after the point, no trailing zeros.
//!
//! The text is the same on every machine and never has an exponent.

use std::fmt::Write;

/// Appends a number to a text as a decimal, such as "1.5" or "2".
pub(super) fn push_decimal_text(text: &mut String, value: f64) {
    // Lengths on paper are far below 1e15. NaN and infinity become finite, so that every reader accepts them.
    let value = if value.is_nan() { 0.0 } else { value.clamp(-1e15, 1e15) };
    let start = text.len();
    // Writing to a `String` cannot fail.
    _ = write!(text, "{value:.4}");
    text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    if &text[start..] == "-0" {
        text.remove(start);
    }
}

/// Returns a number as a decimal, such as "1.5" or "2".
pub(super) fn decimal_text(value: f64) -> String {
    let mut text = String::new();
    push_decimal_text(&mut text, value);
    text
}
