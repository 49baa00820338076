//! Decimal text of numbers for SVG and DXF: at most four decimals, no trailing zeros.
//!
//! For the writers of this folder. The text is the same on every machine and never has an exponent.

/// Number of ten-thousandths in 1, as numbers are written with at most four decimals.
const TEN_THOUSANDTHS_PER_UNIT: u64 = 10_000;

/// Appends a number to a text, rounded to at most four decimals without trailing zeros, such as "1.5" or "2".
pub(super) fn push_four_decimals(text: &mut String, value: f64) {
    // The cast saturates; lengths on paper stay far below 2⁵³ ten-thousandths.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let ten_thousandths = (value.abs() * 10_000.0).round() as u64;
    if value < 0.0 && ten_thousandths > 0 {
        text.push('-');
    }
    let mut digits = [0_u8; 20];
    let mut first = digits.len();
    let mut whole = ten_thousandths / TEN_THOUSANDTHS_PER_UNIT;
    while whole > 0 || first == digits.len() {
        first -= 1;
        digits[first] = last_digit_ascii(whole);
        whole /= 10;
    }
    text.extend(digits[first..].iter().copied().map(char::from));
    let mut rest = ten_thousandths % TEN_THOUSANDTHS_PER_UNIT;
    if rest > 0 {
        text.push('.');
        let mut place_value = TEN_THOUSANDTHS_PER_UNIT / 10;
        while rest > 0 {
            text.push(char::from(last_digit_ascii(rest / place_value)));
            rest %= place_value;
            place_value /= 10;
        }
    }
}

/// Returns the ASCII code of the last decimal digit of a whole number.
fn last_digit_ascii(number: u64) -> u8 {
    b"0123456789"[usize::try_from(number % 10).unwrap_or_default()]
}

/// Formats a number, rounded to at most four decimals without trailing zeros, such as "1.5" or "2".
pub(super) fn format_four_decimals(value: f64) -> String {
    let mut text = String::new();
    push_four_decimals(&mut text, value);
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_round_as_in_the_standard_library() {
        for k in -200_000_i32..200_000 {
            let value = f64::from(k) / 7919.0;
            let long = format!("{value:.4}");
            let trimmed = long.trim_end_matches('0').trim_end_matches('.');
            assert_eq!(format_four_decimals(value), if trimmed == "-0" { "0" } else { trimmed });
        }
        assert_eq!([0.0, -0.0, 1189.0, 0.0001, -0.000_04].map(format_four_decimals), ["0", "0", "1189", "0.0001", "0"]);
    }
}
