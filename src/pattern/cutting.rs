//! How the pieces are cut: the allowance along each edge, the opening, the way that darts are pressed.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::error::Problem;
use crate::field::{Field, FieldKind, Unit, fields};

fields! {
    /// The allowance along each edge, beyond the seam line. The front has none along its centre, which is a fold.
    Allowances {
        /// Along the waist.
        waist: Length [(0.0, 5.0), (0.0, 1.875)];
        /// Along the side seam.
        side: Length [(0.0, 5.0), (0.0, 1.875)];
        /// Below the hem line, to be turned up.
        hem: Length [(0.0, 10.0), (0.0, 3.875)];
        /// Along the centre back seam.
        centre_back: Length [(0.0, 5.0), (0.0, 1.875)];
    }
}

/// The row of the opening.
pub(crate) const OPENING: Field = Field::new(
    "opening",
    "From the waist down the centre back seam to the end of the opening.",
    FieldKind::Length,
    (5.0, 60.0),
    (2.0, 23.5),
);

/// Two sets of round values for a start, each in both units; those of one unit are not converted into the other.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Preset {
    /// For a trial garment, with cloth to let out at the seams: side and centre back 2 cm, waist and hem 1 cm; or 1 in and
    /// ½ in (common practice).
    #[default]
    Trial,
    /// For a finished garment with a hem to turn up: waist 1, side 1.5, centre back 2, hem 4 cm; or ½, ⅝, ¾ and 1½ in
    /// (common practice).
    Garment,
}

impl Preset {
    /// Both presets.
    pub const ALL: [Preset; 2] = [Preset::Trial, Preset::Garment];

    /// The preset as it stands in JSON: `trial` or `garment`.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Preset::Trial => "trial",
            Preset::Garment => "garment",
        }
    }

    /// The allowances in their own unit.
    pub(crate) fn allowances(self, unit: Unit) -> Allowances {
        let (waist, side, hem, centre_back) = match (self, unit) {
            (Preset::Trial, Unit::Cm) => (1.0, 2.0, 1.0, 2.0),
            (Preset::Trial, Unit::In) => (0.5, 1.0, 0.5, 1.0),
            (Preset::Garment, Unit::Cm) => (1.0, 1.5, 4.0, 2.0),
            (Preset::Garment, Unit::In) => (0.5, 0.625, 1.5, 0.75),
        };
        Allowances { waist, side, hem, centre_back }
    }
}

/// The opening in its own unit, unless told (common practice: 18–20 cm, or 7–8 in).
pub(crate) fn usual_opening(unit: Unit) -> f64 {
    match unit {
        Unit::Cm => 20.0,
        Unit::In => 8.0,
    }
}

/// The side to which the folded darts are pressed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Press {
    /// Towards the centre (common practice for vertical darts).
    #[default]
    Centre,
    /// Towards the side seam.
    Side,
}

impl Press {
    /// Both ways.
    pub const ALL: [Press; 2] = [Press::Centre, Press::Side];

    /// The way as it stands in JSON: `centre` or `side`.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Press::Centre => "centre",
            Press::Side => "side",
        }
    }
}

/// From the waist down the centre back seam to the end of the opening.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Opening {
    /// The usual length, or as much of it as the seam has.
    Usual(f64),
    /// This length: from 5 to 60 cm, or 2 to 23.5 in, and no longer than the seam.
    Given(f64),
}

impl Opening {
    /// The length, on a seam that is so long.
    pub(super) fn on(self, seam: f64) -> f64 {
        // What is given and too long has been refused, but for rounding.
        let (Opening::Usual(length) | Opening::Given(length)) = self;
        length.min(seam)
    }

    /// The length that is given.
    pub(crate) fn given(self) -> Option<f64> {
        if let Opening::Given(length) = self { Some(length) } else { None }
    }

    fn convert(self, from: Unit, to: Unit) -> Self {
        let length = |value| OPENING.kind.convert(value, from, to);
        match self {
            Opening::Usual(value) => Opening::Usual(length(value)),
            Opening::Given(value) => Opening::Given(length(value)),
        }
    }
}

impl Serialize for Opening {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.given().serialize(serializer)
    }
}

/// Whether an opening need not be told.
#[allow(clippy::trivially_copy_pass_by_ref, reason = "serde asks by reference")]
fn is_usual(opening: &Opening) -> bool {
    opening.given().is_none()
}

/// How a draft is cut, in centimetres.
///
/// ```
/// use kirtle::{Allowances, Cutting, Preset, Unit};
///
/// let trial = Cutting::preset(Preset::Trial, Unit::Cm);
/// assert_eq!(trial.allowances, Allowances { waist: 1.0, side: 2.0, hem: 1.0, centre_back: 2.0 });
/// let inches = Cutting::preset(Preset::Trial, Unit::In);
/// assert_eq!(inches.allowances.side, 2.54);
/// ```
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cutting {
    /// What stands on the pieces: a size, or whose body it is; at most [`Cutting::MAX_NAME_LETTERS`] letters. Where it is empty the
    /// pieces bear waist and hip.
    pub name: String,
    /// The allowance along each edge.
    pub allowances: Allowances,
    /// How far the centre back opens.
    #[serde(skip_serializing_if = "is_usual")]
    pub opening: Opening,
    /// The side to which the darts are pressed.
    pub press: Press,
}

impl Default for Cutting {
    /// A trial garment in centimetres.
    fn default() -> Self {
        Self::preset(Preset::default(), Unit::Cm)
    }
}

impl Cutting {
    /// The maximum number of letters in a name.
    pub const MAX_NAME_LETTERS: usize = 60;

    /// The round values of a unit, in centimetres.
    #[must_use]
    pub fn preset(preset: Preset, unit: Unit) -> Self {
        let cutting = Self {
            name: String::new(),
            allowances: preset.allowances(unit),
            opening: Opening::Usual(usual_opening(unit)),
            press: Press::default(),
        };
        cutting.convert(unit, Unit::Cm)
    }

    /// The same from one unit to another.
    pub(crate) fn convert(self, from: Unit, to: Unit) -> Self {
        Self { allowances: self.allowances.convert(from, to), opening: self.opening.convert(from, to), ..self }
    }

    /// The same with the opening told, as far as this draft has it, where it may be told; in `unit`.
    #[cfg(feature = "python")]
    pub(crate) fn told(self, draft: &crate::draft::Draft, unit: Unit) -> Self {
        let length = self.opening.on(unit.length_from_cm(draft.back.length(crate::draft::Role::Centre)));
        let told = OPENING.range(unit).0 <= length;
        Self { opening: if told { Opening::Given(length) } else { self.opening }, ..self }
    }

    /// What is wrong with it.
    pub(super) fn problems(&self) -> Vec<Problem> {
        let rows = Allowances::FIELDS.iter().zip(self.allowances.into_array());
        let mut problems: Vec<Problem> =
            rows.filter_map(|(field, value)| field.check("cutting.allowances.", value, Unit::Cm)).collect();
        problems.extend(self.opening.given().and_then(|given| OPENING.check("cutting.", given, Unit::Cm)));
        problems.extend(name_problem(&self.name));
        problems
    }
}

/// Whether a letter is none: it breaks the line, turns its direction, or is no character at all.
fn breaks_a_line(letter: char) -> bool {
    let odd = matches!(letter, '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{fdd0}'..='\u{fdef}' | '\u{fffe}' | '\u{ffff}');
    odd || letter.is_control()
}

/// Whether a text shows nothing on paper.
pub(crate) fn is_blank(text: &str) -> bool {
    text.chars()
        .all(|letter| letter.is_whitespace() || matches!(letter, '\u{200b}'..='\u{200f}' | '\u{2060}' | '\u{feff}'))
}

/// The letters that the font in PDF has: Latin, Greek and Cyrillic, and what stands between them.
const PRINTED: [(char, char); 17] = [
    (' ', '~'),
    ('\u{a0}', '\u{17f}'),
    ('\u{218}', '\u{21b}'),
    ('\u{370}', '\u{377}'),
    ('\u{37a}', '\u{37f}'),
    ('\u{384}', '\u{38a}'),
    ('\u{38c}', '\u{38c}'),
    ('\u{38e}', '\u{3a1}'),
    ('\u{3a3}', '\u{45f}'),
    ('\u{490}', '\u{491}'),
    ('\u{2010}', '\u{2027}'),
    ('\u{2030}', '\u{2030}'),
    ('\u{2032}', '\u{2033}'),
    ('\u{20ac}', '\u{20ac}'),
    ('\u{2116}', '\u{2116}'),
    ('\u{215b}', '\u{215e}'),
    ('\u{2212}', '\u{2212}'),
];

/// Whether PDF shows a letter as itself.
pub(crate) fn is_printed(letter: char) -> bool {
    PRINTED.iter().any(|(first, last)| (*first..=*last).contains(&letter))
}

/// The problem of a name that cannot stand on a piece.
pub(crate) fn name_problem(name: &str) -> Option<Problem> {
    not_on_a_line("cutting.name", name, "a text on one line")
}

/// The problem of a text that is too long, or not `wanted`: one line.
pub(crate) fn not_on_a_line(field: &str, text: &str, wanted: &str) -> Option<Problem> {
    let many = Problem::too_many(field, text.chars().count(), Cutting::MAX_NAME_LETTERS, "letters");
    many.or_else(|| text.chars().any(breaks_a_line).then(|| Problem::not_a_name(field, text, wanted)))
}
