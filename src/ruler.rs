//! Ruler of printed lengths: their unit, and the step to which they are rounded. Only this file makes fractions of an
//! inch.
//!
//! A length that a ruler prints is a multiple of its step, up to half a step from the exact length; no number of a
//! document is rounded.
//!
//! ```
//! use kirtle::{Body, Ease, Rules, Ruler, Unit};
//!
//! let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
//! let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
//! let first = |ruler: Ruler| draft.lesson(ruler).back.steps[0].text.clone();
//! assert!(first(Unit::In.into()).ends_with("down 8 1/16 to B, and down 24 7/16 to C."));
//! assert!(first("in 1/8".parse()?).ends_with("down 8 1/8 to B, and down 24 3/8 to C."));
//! assert!("in 1/7".parse::<Ruler>().is_err());
//! # Ok::<(), kirtle::Problems>(())
//! ```

use crate::error::{Problem, Problems};
use crate::field::{FieldKind, Unit, choices};

choices! {
    /// Ruler of printed lengths: their unit and rounding step. A function that prints takes a ruler, with texts in
    /// another language if wished ([`Wording`](crate::Wording)), or a [`Unit`] for the finest ruler of that unit.
    Ruler {
        /// Centimetres, to the millimetre.
        Cm = "cm";
        /// Inches, to the sixteenth.
        In = "in";
        /// Inches, to the eighth.
        InEighths = "in 1/8";
        /// Millimetres, to the millimetre; not for documents and drawings.
        Mm = "mm";
    }
}

impl From<Unit> for Ruler {
    fn from(unit: Unit) -> Self {
        [Self::Cm, Self::In, Self::Mm][unit as usize]
    }
}

impl Ruler {
    /// Rulers that documents and drawings can have: all but millimetres.
    pub(crate) const DOCUMENT_RULERS: [Self; 3] = [Self::Cm, Self::In, Self::InEighths];

    /// Returns the unit of the ruler's numbers.
    pub fn unit(self) -> Unit {
        [Unit::Cm, Unit::In, Unit::In, Unit::Mm][self as usize]
    }

    /// Returns the ruler's step in centimetres.
    fn step_cm(self) -> f64 {
        [0.1, 2.54 / 16.0, 2.54 / 8.0, 0.1][self as usize]
    }

    /// Rounds a length to a multiple of the ruler's step; argument and result are in centimetres.
    pub(crate) fn round_to_step(self, length_cm: f64) -> f64 {
        (length_cm / self.step_cm()).round_ties_even() * self.step_cm()
    }

    /// Returns the multiples of the ruler's step just below and just above a length, in centimetres; equal if the length
    /// is a multiple.
    pub(crate) fn neighbouring_marks(self, length_cm: f64) -> [f64; 2] {
        let steps = length_cm / self.step_cm();
        [steps.floor(), steps.ceil()].map(|steps| steps * self.step_cm())
    }

    /// Returns whether a length, given in centimetres, is printed as another number than 0.
    pub(crate) fn shows(self, length_cm: f64) -> bool {
        self.round_to_step(length_cm) != 0.0
    }

    /// Parses a length as it is read from a tape: a number with a point or a comma, or with a fraction. Returns
    /// the length in the unit of the ruler; a number without a unit is in this unit, too. A unit may have capitals and a
    /// full stop.
    ///
    /// # Errors
    /// [`Code::WrongType`](crate::Code::WrongType) for another text. No range is checked.
    ///
    /// ```
    /// use kirtle::Ruler;
    ///
    /// for text in ["29 1/8", "29⅛", "29-1/8 In.", "29,125", "29.125\""] {
    ///     assert_eq!(Ruler::In.parse_length(text)?, 29.125);
    /// }
    /// assert_eq!(Ruler::Cm.parse_length("29 1/8 in")?, 73.9775);
    /// assert_eq!((Ruler::In.parse_length("-.5")?, Ruler::Mm.parse_length("1e2")?), (-0.5, 100.0));
    /// assert!(["29 1/0", "29.5 1/2", "29 +1/2"].iter().all(|text| Ruler::In.parse_length(text).is_err()));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn parse_length(self, text: &str) -> Result<f64, Problems> {
        let units = [("cm", Unit::Cm), ("mm", Unit::Mm), ("in", Unit::In), ("\"", Unit::In), ("″", Unit::In)];
        let lower = text.trim().to_ascii_lowercase();
        let without_stop = lower.strip_suffix('.').unwrap_or(&lower);
        let with_unit = units.iter().find_map(|(name, unit)| Some((without_stop.strip_suffix(name)?, *unit)));
        let (number, unit) = with_unit.unwrap_or((text, self.unit()));
        let wanted = "a length such as 74, 29.5 or 29 1/2";
        let length = parse_mixed_number(number).map(|number| FieldKind::Length.convert_unit(number, unit, self.unit()));
        length.ok_or_else(|| Problem::invalid_name_problem("length", text, wanted).into())
    }

    /// Formats a length, given in centimetres, in the ruler's unit, rounded to its step: `72.5`, or `28 9/16`.
    ///
    /// ```
    /// assert_eq!(kirtle::Ruler::InEighths.format_length(74.0), "29 1/8");
    /// ```
    pub fn format_length(self, length_cm: f64) -> String {
        let length = self.unit().length_from_cm(length_cm);
        match self {
            Self::Cm if length.abs() < 0.05 => "0.0".to_owned(),
            Self::Cm => format!("{length:.1}"),
            Self::In => format_mixed_number(length, 16),
            Self::InEighths => format_mixed_number(length, 8),
            Self::Mm => format!("{length:.0}"),
        }
    }

    /// Formats a length that the user chose, such as an allowance, given here in centimetres: `1.25`, with at most
    /// three decimals; in inches `5/16`, to the sixteenth even for a ruler of eighths.
    pub(crate) fn format_input_length(self, length_cm: f64) -> String {
        if self.unit() == Unit::In {
            return Self::In.format_length(length_cm);
        }
        format!("{:.3}", self.unit().length_from_cm(length_cm)).trim_end_matches('0').trim_end_matches('.').to_owned()
    }
}

/// Parses a number with decimals, or a power of ten, or a whole number with a fraction: `-29.5`, `29,5`, `2.95e1`,
/// `29 1/2`, `29-1/2`, `29½`. The only reader of numbers in texts, apart from JSON.
pub(crate) fn parse_mixed_number(text: &str) -> Option<f64> {
    let mut plain = text.trim().replace(',', ".").replace('−', "-");
    if let Some(eighths) = plain.chars().last().and_then(|last| "⅛¼⅜½⅝¾⅞".chars().position(|sign| sign == last))
    {
        plain.pop();
        plain = format!("{plain} {}/8", eighths + 1);
    }
    let size = plain.strip_prefix(['-', '+']).unwrap_or(&plain).trim();
    let is_whole = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let is_part = |text: &str| is_whole(text) && text.len() <= 3 && !text.starts_with('0');
    let size = if let Some((mixed, below)) = size.split_once('/') {
        let (whole, above) = mixed.rsplit_once([' ', '-']).unwrap_or(("0", mixed));
        let is_fraction = is_whole(whole.trim_end()) && is_part(above) && is_part(below) && !mixed.contains(" -");
        let [whole, above, below] =
            [whole.trim_end(), above, below].map(|number| number.parse::<u64>().ok().filter(|_| is_fraction));
        whole? as f64 + above? as f64 / below? as f64
    } else {
        // By the parser of JSON, as that of the standard library makes the WebAssembly module larger by 11 kB compressed.
        let digits = size.strip_suffix('.').unwrap_or(size).trim_start_matches('0');
        let zero = if digits.starts_with(|first: char| first.is_ascii_digit()) { "" } else { "0" };
        let is_number = size.starts_with('.') || size.starts_with(|first: char| first.is_ascii_digit());
        serde_json::from_str(&format!("{zero}{digits}")).ok().filter(|_| is_number && size != ".")?
    };
    Some(if plain.starts_with('-') { -size } else { size }).filter(|size| size.is_finite())
}

/// Formats a number, rounded to a multiple of 1 / `parts`, as a whole number and a fraction in lowest terms: `28 9/16`,
/// `-1/2`, `0`. `parts` is a power of two.
fn format_mixed_number(number: f64, parts: u64) -> String {
    // The cast saturates; lengths of a skirt have at most a few thousand sixteenths.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let count = (number.abs() * parts as f64).round() as u64;
    let (whole, rest) = (count / parts, count % parts);
    let halvings = rest.trailing_zeros().min(parts.trailing_zeros());
    let fraction = format!("{}/{}", rest >> halvings, parts >> halvings);
    let sign = if number < 0.0 && count > 0 { "-" } else { "" };
    match (whole, rest) {
        (_, 0) => format!("{sign}{whole}"),
        (0, _) => format!("{sign}{fraction}"),
        _ => format!("{sign}{whole} {fraction}"),
    }
}
