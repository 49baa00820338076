//! The cutting instructions of a pattern: allowances, opening, pressed side of the darts, finish of the waist, name.
//! [`Cutting`] holds centimetres; presets and limits are round numbers in each unit.

use serde::Serialize;

use crate::error::{Code, Problem};
use crate::field::{EQUALITY_TOLERANCE_CM, Field, FieldKind, Unit, choices, fields};
use crate::text;

fields! {
    /// Widths of cloth beyond the seam line, one for each kind of edge. The centre front is a fold and has none.
    ///
    /// ```
    /// use kirtle::{Allowances, Cutting};
    ///
    /// let allowances = Allowances { hem: 5.0, ..Cutting::default().allowances };
    /// assert_eq!(allowances.into_array(), [1.0, 2.0, 5.0, 2.0]);
    /// ```
    Allowances {
        /// Allowance along the waist.
        waist: Length (0.0, 5.0);
        /// Allowance along the side seam.
        side: Length (0.0, 5.0);
        /// Hem allowance below the hem line, turned up when sewn.
        hem: Length (0.0, 10.0);
        /// Allowance along the centre back seam.
        centre_back: Length (0.0, 5.0);
    }
}

pub(crate) const ZIP_OPENING_FIELD: Field = Field::new(
    "opening",
    "Length of the zip opening, from the waist down the centre back seam.",
    FieldKind::Length,
    (5.0, 60.0),
);

choices! {
    /// Named set of allowances, round numbers in centimetres and other round numbers in inches.
    #[derive(Default)]
    Preset {
        /// Trial garment, with cloth to let out: side and centre back 2 cm or 1 in, waist and hem 1 cm or ½ in (common
        /// practice).
        #[default]
        Trial = "trial";
        /// Finished garment: waist 1 cm or ½ in, side 1.5 cm or ⅝ in, centre back 2 cm or ¾ in, hem 4 cm or 1½ in
        /// (common practice).
        Garment = "garment";
        /// No allowances: the pieces end at the seam line.
        None = "none";
    }
}

impl Preset {
    pub(crate) fn preset_allowances(self, unit: Unit) -> Allowances {
        // Waist, side, hem and centre back, each in centimetres and in inches.
        let allowances = match self {
            Preset::Trial => [(1.0, 0.5), (2.0, 1.0), (1.0, 0.5), (2.0, 1.0)],
            Preset::Garment => [(1.0, 0.5), (1.5, 0.625), (4.0, 1.5), (2.0, 0.75)],
            Preset::None => [(0.0, 0.0); 4],
        };
        Allowances::from_array(allowances.map(|usual| choose_length_by_unit(unit, usual)))
    }
}

/// Returns `inches` for the unit inches, otherwise `cm`, converted for millimetres: one usual length, with a round
/// number in each unit.
pub(crate) fn choose_length_by_unit(unit: Unit, (cm, inches): (f64, f64)) -> f64 {
    if unit == Unit::In { inches } else { unit.length_from_cm(cm) }
}

/// Usual length of the zip opening, in centimetres and in inches (common practice: 18–20 cm, or 7–8 in).
pub(crate) const USUAL_OPENING: (f64, f64) = (20.0, 8.0);

choices! {
    /// Side to which the darts are pressed.
    #[derive(Default)]
    Press {
        /// Towards the centre (common practice for vertical darts).
        #[default]
        Centre = "centre";
        /// Towards the side seam.
        Side = "side";
    }
}

/// Length of the zip opening, from the waist down the centre back seam: the usual length, or a requested one.
///
/// ```
/// use kirtle::{Body, Cutting, Ease, Opening, Rules};
///
/// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let cut = |opening| draft.pattern(&Cutting { opening, ..Cutting::default() });
/// assert_eq!(cut(Opening::Given(18.0))?.opening(), 18.0);
/// assert!(cut(Opening::Given(61.5)).is_err()); // Above the maximum of 60 cm.
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Opening {
    /// Usual length in centimetres. The pattern shortens the opening if the centre back seam is too short for this
    /// length: above a vent to a multiple of 0.5 cm, or of 1/4 in where the usual length is the one in inches. A
    /// document in the other unit gives its length, and such a length is read as the usual one.
    Usual(f64),
    /// Requested length in centimetres, from 5 to 60 cm (2 to 23.5 in). A length for which the centre back seam, above
    /// a vent, is too short is an error.
    Given(f64),
}

impl Opening {
    /// Returns the opening that a document in `unit` gives by its length. The usual length of the other unit is written
    /// as a length, so that length stands for it.
    pub(crate) fn from_length(length: f64, unit: Unit) -> Self {
        let is_usual = |other: Unit| {
            let usual = ZIP_OPENING_FIELD.kind.convert_unit(choose_length_by_unit(other, USUAL_OPENING), other, unit);
            other != unit && (length - usual).abs() < EQUALITY_TOLERANCE_CM
        };
        if Unit::DOCUMENT_UNITS.into_iter().any(is_usual) { Opening::Usual(length) } else { Opening::Given(length) }
    }

    /// Returns whether the opening is the usual one of a document in the unit of its length, 20 cm or 8 in, which JSON
    /// omits.
    fn is_usual_of_document(&self) -> bool {
        [USUAL_OPENING.0, USUAL_OPENING.1].into_iter().any(|length| *self == Opening::Usual(length))
    }

    /// Returns the requested length of the opening, or `None` if the opening has the usual length.
    pub(super) fn requested_length(self) -> Option<f64> {
        if let Opening::Given(length) = self { Some(length) } else { None }
    }

    /// Returns the zip opening with its length converted from unit `from` to unit `to`.
    fn convert_lengths(self, from: Unit, to: Unit) -> Self {
        let (Opening::Usual(length) | Opening::Given(length)) = self;
        let converted = ZIP_OPENING_FIELD.kind.convert_unit(length, from, to);
        if self.requested_length().is_some() { Opening::Given(converted) } else { Opening::Usual(converted) }
    }
}

impl Serialize for Opening {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let (Opening::Usual(length) | Opening::Given(length)) = *self;
        (!self.is_usual_of_document()).then_some(length).serialize(serializer)
    }
}

fields! {
    /// Vent at the lower end of the centre back seam, for a stride: the back widens there by an extension.
    ///
    /// ```
    /// use kirtle::pattern::Vent;
    /// use kirtle::{Body, Cutting, Ease, Rules};
    ///
    /// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let vent = Some(Vent { vent: 18.0, vent_width: 4.0 });
    /// assert!(draft.pattern(&Cutting { vent, ..Cutting::default() })?.back.vent.is_some());
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    Vent {
        /// Height of the vent at the centre back, from the hem.
        vent: Length (10.0, 45.0);
        /// Width of the vent's extension, from the centre back.
        vent_width: Length (2.0, 8.0);
    }
}

/// Usual width of a vent's extension, in centimetres and in inches (common practice).
pub(crate) const USUAL_VENT_WIDTH: (f64, f64) = (4.0, 1.5);

/// Step to which the length of an opening is rounded down where a vent shortens the opening, in centimetres and in
/// inches: zips are sold in such lengths (common practice).
const SHORTENED_OPENING_STEP: (f64, f64) = (0.5, 0.25);

/// Minimum length of the seam between zip opening and vent, in centimetres, which holds the two backs together.
const MIN_SEAM_ABOVE_VENT_CM: f64 = 2.0;

fields! {
    /// Lengths of the pieces that finish the waist.
    WaistFinishLengths {
        /// Finished width of the waistband, from the waist to its fold.
        waistband_width: Length (1.0, 10.0);
        /// Underlap of the waistband: the length by which it exceeds the sewn waist.
        underlap: Length (0.0, 10.0);
        /// Depth of the facing, measured square to the waist.
        facing_depth: Length (5.0, 8.0);
    }
}

choices! {
    /// Kind of the pieces that finish the waist.
    WaistFinishKind {
        /// Straight waistband with an underlap, cut double and folded along its length.
        Waistband = "waistband";
        /// Shaped facing of back and front.
        Facing = "facing";
    }
}

/// Finish of the waist: which pieces a pattern has besides back and front, and their lengths in centimetres.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct WaistFinish {
    /// Kind of the pieces: waistband or facing.
    #[serde(rename = "pieces", serialize_with = "serialize_piece_names")]
    pub kind: WaistFinishKind,
    /// Lengths of waistband and facing; those of the other kind have no effect.
    #[serde(flatten)]
    pub lengths: WaistFinishLengths,
}

impl WaistFinish {
    /// Returns a finish of the given kind with the usual lengths, which are round numbers in `unit` (common practice):
    /// a waistband 3 cm or 1¼ in wide with an underlap of the same length, or a facing 6 cm or 2½ in deep.
    ///
    /// ```
    /// use kirtle::pattern::{WaistFinish, WaistFinishKind};
    /// use kirtle::{Body, Cutting, Ease, Rules, Unit};
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let finish = WaistFinish::with_usual_lengths(WaistFinishKind::Waistband, Unit::Cm);
    /// let pattern = draft.pattern(&Cutting { finish: Some(finish), ..Cutting::default() })?;
    /// assert_eq!(pattern.waist_pieces[0].name.name(), "waistband");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn with_usual_lengths(kind: WaistFinishKind, unit: Unit) -> Self {
        Self { kind, lengths: usual_waist_finish_lengths(unit).convert_lengths(unit, Unit::Cm) }
    }
}

/// Returns the usual lengths of the pieces that finish the waist, in `unit`.
pub(crate) fn usual_waist_finish_lengths(unit: Unit) -> WaistFinishLengths {
    let [waistband_width, facing_depth] = [(3.0, 1.25), (6.0, 2.5)].map(|usual| choose_length_by_unit(unit, usual));
    WaistFinishLengths { waistband_width, underlap: waistband_width, facing_depth }
}

/// Names of back and front, which every pattern has, in the field `pieces` of the cutting instructions.
pub(crate) const BACK_AND_FRONT_PIECE_NAMES: [&str; 2] = ["back", "front"];

#[allow(clippy::trivially_copy_pass_by_ref, reason = "serde passes a reference")]
fn serialize_piece_names<S: serde::Serializer>(kind: &WaistFinishKind, serializer: S) -> Result<S::Ok, S::Error> {
    let [back, front] = BACK_AND_FRONT_PIECE_NAMES;
    [back, front, kind.name()].serialize(serializer)
}

/// Cutting instructions of a pattern, in centimetres. Deserialisation with serde checks every length; a missing
/// allowance becomes that of a trial garment, a missing opening the usual 20 cm.
///
/// ```
/// use kirtle::{Allowances, Cutting, Preset, Unit};
///
/// let trial = Cutting::preset(Preset::Trial, Unit::Cm);
/// assert_eq!(trial.allowances, Allowances { waist: 1.0, side: 2.0, hem: 1.0, centre_back: 2.0 });
/// let inches = Cutting::preset(Preset::Trial, Unit::In);
/// assert_eq!(inches.allowances.side, 2.54);
/// let read: Cutting = serde_json::from_str(&serde_json::to_string(&trial)?)?;
/// assert_eq!(read, trial);
/// let refused = serde_json::from_str::<Cutting>(r#"{"allowances": {"hem": 11}}"#).unwrap_err();
/// assert_eq!(refused.to_string(), "cutting.allowances.hem: 11 cm is above the maximum of 10 cm");
/// # Ok::<(), serde_json::Error>(())
/// ```
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cutting {
    /// Name printed on the pieces, such as a size or a person: at most [`Cutting::MAX_NAME_LETTERS`] characters. If
    /// empty, waist and hip are printed.
    pub name: String,
    /// Lines printed on the sheet, below its title: at most 10 of at most 200 characters each.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<String>,
    /// Allowances beyond the seam lines, in centimetres.
    pub allowances: Allowances,
    /// Zip opening in the centre back seam.
    #[serde(skip_serializing_if = "Opening::is_usual_of_document")]
    pub opening: Opening,
    /// Side to which the darts are pressed.
    pub press: Press,
    /// Whether front and front facing are whole, with both halves, to be cut from one layer of cloth. Otherwise half of
    /// each is drawn, to be placed on the fold.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub unfolded: bool,
    /// Vent at the centre back, if there is one.
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    pub vent: Option<Vent>,
    /// Finish of the waist; `None` for a pattern of back and front only.
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    pub finish: Option<WaistFinish>,
}

impl Default for Cutting {
    /// Returns the cutting instructions of a trial garment, with allowances in round centimetres.
    fn default() -> Self {
        Self::preset(Preset::default(), Unit::Cm)
    }
}

impl Cutting {
    /// Maximum number of characters in the name that is printed on the pieces.
    pub const MAX_NAME_LETTERS: usize = text::MAX_NAME_CHARS;

    /// Returns cutting instructions: a preset's allowances and the usual opening, round numbers in `unit`.
    pub fn preset(preset: Preset, unit: Unit) -> Self {
        let cutting = Self {
            name: String::new(),
            notes: Vec::new(),
            allowances: preset.preset_allowances(unit),
            opening: Opening::Usual(choose_length_by_unit(unit, USUAL_OPENING)),
            press: Press::default(),
            unfolded: false,
            vent: None,
            finish: None,
        };
        cutting.convert_lengths(unit, Unit::Cm)
    }

    /// Returns the cutting instructions with all lengths converted from unit `from` to unit `to`: those of a pattern,
    /// in centimetres, for a [`Request`](crate::document::Request) in inches, say.
    pub fn convert_lengths(self, from: Unit, to: Unit) -> Self {
        let (allowances, opening) = (self.allowances.convert_lengths(from, to), self.opening.convert_lengths(from, to));
        let lengths = |finish: WaistFinish| finish.lengths.convert_lengths(from, to);
        let finish = self.finish.map(|finish| WaistFinish { lengths: lengths(finish), ..finish });
        let vent = self.vent.map(|vent| vent.convert_lengths(from, to));
        Self { allowances, opening, vent, finish, ..self }
    }

    /// Returns the length of the zip opening in a centre back seam of the length `seam`, in centimetres.
    pub(super) fn opening_length(&self, seam: f64) -> f64 {
        let max = seam - self.vent.map_or(0.0, |vent| vent.vent + MIN_SEAM_ABOVE_VENT_CM);
        let (Opening::Usual(length) | Opening::Given(length)) = self.opening;
        if !self.is_opening_shortened_by_vent(max) {
            // A requested length exceeds the maximum by rounding only: validation refuses more.
            return length.min(max);
        }
        let to_cm = |inches| FieldKind::Length.convert_unit(inches, Unit::In, Unit::Cm);
        let is_in_inches = (length - to_cm(USUAL_OPENING.1)).abs() < EQUALITY_TOLERANCE_CM;
        let step = if is_in_inches { to_cm(SHORTENED_OPENING_STEP.1) } else { SHORTENED_OPENING_STEP.0 };
        let rounded = ((max + EQUALITY_TOLERANCE_CM) / step).floor() * step;
        rounded.max(max.min(ZIP_OPENING_FIELD.range.0))
    }

    /// Returns whether a vent leaves too little of the centre back seam, at most `max` centimetres, for an opening of
    /// the usual length.
    pub(crate) fn is_opening_shortened_by_vent(&self, max: f64) -> bool {
        self.vent.is_some() && matches!(self.opening, Opening::Usual(length) if length > max)
    }

    /// Returns the problem of an opening longer than the centre back seam, or of a vent that leaves too little of the
    /// seam for the zip opening or reaches above the vertical lower part of the seam; `None` if both fit. `seam` is the
    /// length of the whole seam, `upright` that of its vertical part, in centimetres.
    pub(super) fn centre_back_problem(&self, [seam, upright]: [f64; 2]) -> Option<Problem> {
        let problem = |code, field: &str, length: f64, max: f64| {
            let is_beyond = length > max + EQUALITY_TOLERANCE_CM;
            is_beyond.then(|| Problem::of_length_beyond_limit(code, field, length, max))
        };
        let requested = self.opening.requested_length();
        let max = (seam - requested.unwrap_or(ZIP_OPENING_FIELD.range.0) - MIN_SEAM_ABOVE_VENT_CM).min(upright);
        let too_long = requested.and_then(|cm| problem(Code::OpeningTooLong, "cutting.opening", cm, seam));
        too_long.or_else(|| problem(Code::VentTooHigh, "cutting.vent", self.vent?.vent, max))
    }

    /// Returns the depth of the facing in centimetres, or `None` for a pattern without facing.
    pub(crate) fn facing_depth(&self) -> Option<f64> {
        self.finish.filter(|finish| finish.kind == WaistFinishKind::Facing).map(|finish| finish.lengths.facing_depth)
    }

    /// Returns every problem of the cutting instructions: a length out of range, an invalid name or note.
    pub(super) fn cutting_problems(&self) -> Vec<Problem> {
        let check = |path: &'static str| move |(field, cm): (&Field, f64)| field.range_problem(path, cm, Unit::Cm);
        let allowances = Allowances::FIELDS.iter().zip(self.allowances.into_array());
        let opening = self.opening.requested_length().map(|cm| (&ZIP_OPENING_FIELD, cm)).into_iter();
        let vent = self.vent.map(|vent| Vent::FIELDS.iter().zip(vent.into_array())).into_iter().flatten();
        let lengths = self.finish.map(|finish| WaistFinishLengths::FIELDS.iter().zip(finish.lengths.into_array()));
        let others = opening.chain(vent).chain(lengths.into_iter().flatten()).filter_map(check("cutting."));
        let lengths = allowances.filter_map(check("cutting.allowances.")).chain(others);
        lengths.chain(text::printed_text_problems(&self.name, &self.notes)).collect()
    }
}
