//! Lengths in text, to a ten-thousandth of a millimetre and without needless zeros.

/// Ten-thousandths in a whole.
const PARTS: u64 = 10_000;

/// Appends a number: a whole one without a point.
pub(super) fn put(text: &mut String, value: f64) {
    // Lengths on paper are far below 2⁵³ ten-thousandths; what is not would saturate.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let parts = (value.abs() * 10_000.0).round() as u64;
    if value < 0.0 && parts > 0 {
        text.push('-');
    }
    let mut digits = [0_u8; 20];
    let mut first = digits.len();
    let mut whole = parts / PARTS;
    while whole > 0 || first == digits.len() {
        first -= 1;
        digits[first] = digit(whole);
        whole /= 10;
    }
    text.extend(digits[first..].iter().copied().map(char::from));
    let mut rest = parts % PARTS;
    if rest > 0 {
        text.push('.');
        let mut place = PARTS / 10;
        while rest > 0 {
            text.push(char::from(digit(rest / place)));
            rest %= place;
            place /= 10;
        }
    }
}

/// The last digit of a number, as a letter.
fn digit(number: u64) -> u8 {
    b"0123456789"[usize::try_from(number % 10).unwrap_or_default()]
}

/// The number as a text of its own.
pub(super) fn shown(value: f64) -> String {
    let mut text = String::new();
    put(&mut text, value);
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_what_the_standard_library_rounds_them_to() {
        for k in -200_000_i32..200_000 {
            let value = f64::from(k) / 7919.0;
            let long = format!("{value:.4}");
            let trimmed = long.trim_end_matches('0').trim_end_matches('.');
            assert_eq!(shown(value), if trimmed == "-0" { "0" } else { trimmed });
        }
        assert_eq!([0.0, -0.0, 1189.0, 0.0001, -0.000_04].map(shown), ["0", "0", "1189", "0.0001", "0"]);
    }
}
