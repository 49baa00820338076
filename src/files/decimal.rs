//! Decimal text of numbers for SVG and DXF: at most four decimals, no trailing zeros.
//!
//! For the writers of this folder. The text is the same on every machine and never has an exponent.

use std::fmt::Write;

/// Appends a number to a text, rounded to at most four decimals without trailing zeros, such as "1.5" or "2".
pub(super) fn push_four_decimals(text: &mut String, value: f64) {
    // Lengths on paper stay far below the limit; a number that is not finite stays readable.
    let value = if value.is_nan() { 0.0 } else { value.clamp(-1e15, 1e15) };
    let start = text.len();
    // Writing to a `String` cannot fail.
    _ = write!(text, "{value:.4}");
    text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    if &text[start..] == "-0" {
        text.remove(start);
    }
}

/// Formats a number, rounded to at most four decimals without trailing zeros, such as "1.5" or "2".
pub(super) fn format_four_decimals(value: f64) -> String {
    let mut text = String::new();
    push_four_decimals(&mut text, value);
    text
}
