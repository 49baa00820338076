//! [`Code`], the kinds of input errors: one table of names and texts.
//!
//! A text follows from value, limit and unit of its problem alone, so that a program can write it in another language.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Problem;

/// Declares [`Code`]: for each error code its documentation, variant, JSON name and message.
macro_rules! codes {
    ($($(#[doc = $doc:literal])+ $variant:ident = $name:literal, |$problem:pat_param| $message:expr;)*) => {
        /// Error code: the kind of a [`Problem`].
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
        #[non_exhaustive]
        pub enum Code {
            $($(#[doc = $doc])+ #[serde(rename = $name)] $variant,)*
        }

        impl Code {
            /// All error codes.
            pub const ALL: &[Code] = &[$(Code::$variant,)*];

            /// Returns the name of the error code in JSON, such as `below_minimum`.
            #[must_use]
            pub fn name(self) -> &'static str {
                match self {
                    $(Code::$variant => $name,)*
                }
            }

            /// Formats the message of a problem with this error code, without the path of the field.
            pub(super) fn format_problem_text(self, problem: &Problem) -> String {
                match self {
                    $(Code::$variant => { let $problem = problem; $message })*
                }
            }
        }

        impl std::fmt::Display for Code {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.name())
            }
        }
    };
}

codes! {
    /// A required field is missing.
    Missing = "missing", |p| format!("missing: give {}", p.limit_with_unit());
    /// The value has the wrong type, such as a text for a number.
    WrongType = "wrong_type", |p| format!("{} is not {}", p.value_with_unit(), p.limit_with_unit());
    /// The number is NaN or infinite.
    NotFinite = "not_finite", |p| format!("{} is not finite; give {}", p.value_with_unit(), p.limit_with_unit());
    /// The number is below the minimum of its field.
    BelowMinimum = "below_minimum",
        |p| format!("{} is below the minimum of {}", p.value_with_unit(), p.limit_with_unit());
    /// The number is above the maximum of its field.
    AboveMaximum = "above_maximum",
        |p| format!("{} is above the maximum of {}", p.value_with_unit(), p.limit_with_unit());
    /// The object has a field with an unknown name.
    UnknownField = "unknown_field", |p| format!("unknown field; known fields are {}", p.limit_with_unit());
    /// The same field is given twice.
    DuplicateField = "duplicate_field", |_| "given twice: give it once".to_owned();
    /// The text is not one of the choices of its field.
    UnknownChoice = "unknown_choice", |p| format!("{} is not {}", p.value_with_unit(), p.limit_with_unit());
    /// Most numbers of a table's column are out of range, but would be in range in another unit.
    WrongUnit = "wrong_unit", |p| format!("{}: give unit={}", p.value_with_unit(), p.limit_with_unit());
    /// Two fields are given that exclude each other.
    Conflict = "conflict", |p| format!("cannot be given together with {}", p.limit_with_unit());
    /// The list or text is too long.
    TooMany = "too_many",
        |p| format!("{} given, at most {} allowed", count_with_is_or_are(&p.value_with_unit()), p.limit_with_unit());
    /// The list is too short.
    TooFew = "too_few",
        |p| format!("{} given, at least {} needed", count_with_is_or_are(&p.value_with_unit()), p.limit_with_unit());
    /// Two sizes have the same name.
    DuplicateName = "duplicate_name", |p| format!("another size is already named {}", p.value_with_unit());
    /// One size has a larger hip than another size but not a larger waist, or a larger waist but not a larger hip.
    OutOfOrder = "out_of_order",
        |p| format!("{} is not larger than the {} of the next smaller size", p.value_with_unit(), p.limit_with_unit());
    /// The size chart has no size with the given name.
    UnknownSize = "unknown_size",
        |p| format!("there is no size {}; the sizes are {}", p.value_with_unit(), p.limit_with_unit());
    /// A girth is outside the size chart: smaller than in the smallest size, or larger than in the largest size.
    OutsideChart = "outside_chart",
        |p| format!("{} is outside the size chart, which ends at {}: draft this body individually", p.value_with_unit(), p.limit_with_unit());
    /// A correction changes a dart that the draft does not have.
    NoDart = "no_dart", |p| format!(
        "the draft has no dart to change at {site}; give {possible_sites}",
        site = p.value_with_unit(), possible_sites = p.limit_with_unit());
    /// The columns of a table have different numbers of rows.
    DifferentRows = "different_rows", |p| format!(
        "this column has {rows}, but the first column has {rows_of_first}",
        rows = p.value_with_unit(), rows_of_first = p.limit_with_unit());
    /// The matrix is not a covariance matrix: it is not symmetric, or not positive semidefinite.
    NotACovariance = "not_a_covariance",
        |p| format!("not a covariance matrix: {reason}", reason = p.value_with_unit());
    /// No valid value of the input that a search varies gives the target value.
    OutOfReach = "out_of_reach",
        |p| format!("{} cannot be reached: {}", p.rounded_value_with_unit(), p.limit_with_unit());
    /// The text is not a valid size table in CSV.
    BrokenTable = "broken_table", |p| format!("not a valid size table: {reason}", reason = p.value_with_unit());
    /// The text is not valid JSON.
    BrokenJson = "broken_json", |p| format!("invalid JSON: {}", p.value_with_unit());
    /// The hem lies above the hip line, or less than 1 cm below the hip line.
    AboveHipLine = "above_hip_line",
        |p| format!("{} is too short: the hem must be at least 1 cm below the hip line; the minimum is {}", p.rounded_value_with_unit(), p.rounded_limit_with_unit());
    /// Too little cloth is left to sew between two darts, or between a dart and a seam.
    NoRoomAtWaist = "no_room_at_waist", |p| format!(
        "between two darts, or a dart and a seam, {width} of cloth is left; at least {min_width} is needed: use fewer \
         or smaller darts", width = p.rounded_value_with_unit(), min_width = p.rounded_limit_with_unit());
    /// The intake of a dart would be below 0.1 cm, or negative.
    DartTooSmall = "dart_too_small",
        |p| format!("a dart would take in {}; at least {} of intake is needed to sew a dart: use fewer darts", p.rounded_value_with_unit(), p.rounded_limit_with_unit());
    /// No amount of suppression brings the sewn waist to the required girth with the darts of the draft.
    WaistNotClosed = "waist_not_closed",
        |_| "these darts cannot shape this waist: use fewer or smaller darts".to_owned();
    /// A dart tip lies on or below the hip line.
    TipBelowHip = "tip_below_hip", |p| format!(
        "a dart tip would lie {} below the side end of the waist, but the hip line lies only {} below that end: use a \
         shorter dart", p.rounded_value_with_unit(), p.rounded_limit_with_unit());
    /// The waist at the centre lies on or below the hip line.
    WaistBelowHip = "waist_below_hip", |p| format!(
        "the centre of the waist would lie {} below its side end, but the hip line lies only {} below that end: use a \
         larger hip depth, or lower the centre less", p.rounded_value_with_unit(), p.rounded_limit_with_unit());
    /// A measurement of the figure has no effect, because another measurement is missing.
    NeedsAnother = "needs_another",
        |p| format!("has no effect alone: give {other_field}, too", other_field = p.limit_with_unit());
    /// A measurement of the figure does not fit the body's girths or hip depth.
    DoesNotFitBody = "does_not_fit_body",
        |p| format!("{} does not fit the other measurements of this body; the nearest that fits is {}", p.value_with_unit(), p.rounded_limit_with_unit());
    /// The request sets a rule whose number a measurement of the figure decides.
    DecidedByFigure = "decided_by_figure",
        |p| format!("{} is not used, as {} decides: leave this rule out", p.value_with_unit(), p.limit_with_unit());
    /// The figure's lengths to the floor tilt the waist too far from a waist that meets every seam at a right angle.
    WaistTooTilted = "waist_too_tilted",
        |p| format!("the waist would tilt by {} from a waist with square corners; the maximum is {}: check the three lengths to the floor", p.rounded_value_with_unit(), p.rounded_limit_with_unit());
    /// The side seam leans too far from the vertical to be sewn to a waist.
    SideTooFlat = "side_too_flat", |p| format!(
        "the side seam leans {} from the vertical; the maximum is {}: check waist, hip and hip depth, or use \
         {larger_or_smaller} darts", p.rounded_value_with_unit(), p.rounded_limit_with_unit(),
        larger_or_smaller = if p.value_with_unit().starts_with('-') { "smaller or fewer" } else { "larger or more" });
    /// The opening is longer than the centre back seam.
    OpeningTooLong = "opening_too_long",
        |p| format!("{} is longer than the centre back seam of {}", p.value_with_unit(), p.rounded_limit_with_unit());
    /// The vent leaves no room for the zip opening and the seam between vent and opening, or reaches up to the slant of
    /// the centre back.
    VentTooHigh = "vent_too_high",
        |p| format!("a vent {} high leaves too little of the centre back seam above it for the zip opening or a slanted seam; the maximum height is {}", p.rounded_value_with_unit(), p.rounded_limit_with_unit());
    /// The facing is too deep for its waist: the waist curves too sharply for a parallel lower edge, or the seams are
    /// too short.
    FacingTooDeep = "facing_too_deep",
        |p| format!("the waist curves too sharply, or its seams are too short, for a facing {} deep; the maximum is {}: use a waistband or other darts", p.rounded_value_with_unit(), p.rounded_limit_with_unit());
    /// The cloth is narrower than the widest piece with its allowances.
    ClothTooNarrow = "cloth_too_narrow",
        |p| format!("{} is too narrow for the widest piece; the minimum is {}", p.value_with_unit(), p.rounded_up_limit_with_unit());
    /// The sheet without margins and overlap is too small to print on.
    PaperTooSmall = "paper_too_small",
        |p| format!("margins and overlap leave only {}; at least {} is needed to print on: use a larger sheet", p.value_with_unit(), p.limit_with_unit());
    /// The callback of an interruptible search has failed.
    Stopped = "stopped", |_| "stopped before the end".to_owned();
    /// The level lies above the waist or below the hem.
    OutsideGarment = "outside_garment",
        |p| format!("{} is outside the garment; give {}", p.value_with_unit(), p.limit_with_unit());
}

/// Adds "is" or "are" to a count with its plural noun: "1 sizes" becomes "1 size is", "2 sizes" becomes "2 sizes are".
fn count_with_is_or_are(value: &str) -> String {
    if value.starts_with("1 ") { format!("{} is", value.trim_end_matches('s')) } else { format!("{value} are") }
}
