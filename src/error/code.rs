//! [`Code`], the kinds of input errors: one table of names and texts.
//!
//! A text follows from value, limit and unit of its problem alone, so that a program can write it in another language.

/// Declares an enum whose variants have names in JSON, with the method `name` and `Display`.
macro_rules! named_variants {
    ($(#[$meta:meta])* $kind:ident { $($(#[$variant_meta:meta])+ $variant:ident = $name:literal;)+ }) => {
        $(#[$meta])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
        pub enum $kind {
            $($(#[$variant_meta])+ #[serde(rename = $name)] $variant,)+
        }

        impl $kind {
            /// Returns the name in JSON, such as `below_minimum` of an error code.
            pub fn name(self) -> &'static str {
                match self {
                    $($kind::$variant => $name,)+
                }
            }
        }

        impl std::fmt::Display for $kind {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.name())
            }
        }
    };
}
pub(crate) use named_variants;

/// Declares an enum of codes with messages: after the enum and the method that returns a message, each row has
/// documentation, variant, JSON name and message template.
macro_rules! codes {
    (
        $(#[$meta:meta])* $codes:ident;
        $(#[$template_meta:meta])* $visibility:vis $template:ident;
        $($(#[$doc:meta])+ $variant:ident = $name:literal, $message:literal;)+
    ) => {
        $crate::error::named_variants! {
            $(#[$meta])* #[non_exhaustive]
            $codes { $($(#[$doc])+ $variant = $name;)+ }
        }

        impl $codes {
            /// All codes.
            pub const ALL: &[Self] = &[$(Self::$variant,)+];

            $(#[$template_meta])*
            $visibility fn $template(self) -> &'static str {
                match self {
                    $(Self::$variant => $message,)+
                }
            }
        }
    };
}
pub(crate) use codes;

codes! {
    /// Error code: the kind of a [`Problem`](super::Problem).
    Code;

    /// Returns the English message of this error code, with placeholders for what a
    /// [`Problem`](super::Problem) holds.
    ///
    /// `{value}` and `{limit}` stand for value and limit with the unit. The prefix `rounded_` rounds a number
    /// to two decimals: a limit away from the value, so that the limit stays valid; a value never to or past the
    /// limit. `{counted_value}` is a count with "is" or "are", as in "1 size is". `{larger_or_smaller}` is
    /// "smaller or fewer" if the value is negative, otherwise "larger or more".
    /// A value or limit that is a text stays in English; one that is missing is "nothing".
    ///
    /// ```
            /// use kirtle::Code;
            ///
            /// assert_eq!(Code::BelowMinimum.message_template(), "{value} is below the minimum of {limit}");
    /// ```
    pub message_template;

    /// A required field is missing.
    Missing = "missing", "missing: give {limit}";
    /// The value has the wrong type, such as a text for a number.
    WrongType = "wrong_type", "{value} is not {limit}";
    /// The number is NaN or infinite.
    NotFinite = "not_finite", "{value} is not finite; give {limit}";
    /// The number is below the minimum of its field.
    BelowMinimum = "below_minimum", "{value} is below the minimum of {limit}";
    /// The number is above the maximum of its field.
    AboveMaximum = "above_maximum", "{value} is above the maximum of {limit}";
    /// The object has a field with an unknown name.
    UnknownField = "unknown_field", "unknown field; known fields are {limit}";
    /// The same field is given twice.
    DuplicateField = "duplicate_field", "given twice: give it once";
    /// The text is not one of the choices of its field.
    UnknownChoice = "unknown_choice", "{value} is not {limit}";
    /// Most numbers of a table's column are out of range, but would be in range in another unit.
    WrongUnit = "wrong_unit", "{value}: give unit={limit}";
    /// Two fields are given that exclude each other.
    Conflict = "conflict", "cannot be given together with {limit}";
    /// The list or text is too long.
    TooMany = "too_many", "{counted_value} given, at most {limit} allowed";
    /// The list is too short.
    TooFew = "too_few", "{counted_value} given, at least {limit} needed";
    /// Two sizes of a chart, or two columns of a result, have the same name.
    DuplicateName = "duplicate_name", "another {limit} is already named {value}";
    /// A body has no place between two sizes, as the next larger size does not grow in both girths.
    OutOfOrder = "out_of_order", "{value} is not larger than the {limit} of the next smaller size";
    /// The size chart has no size with the given name.
    UnknownSize = "unknown_size", "there is no size {value}; the sizes are {limit}";
    /// A girth is outside the size chart: smaller than in the smallest size, or larger than in the largest size.
    OutsideChart = "outside_chart",
        "{value} is outside the size chart, which ends at {limit}: draft this body individually";
    /// A correction changes a dart that the draft does not have.
    NoDart = "no_dart", "the draft has no dart to change at {value}; give {limit}";
    /// The columns of a table have different numbers of rows.
    DifferentRows = "different_rows", "this column has {value}, but the first column has {limit}";
    /// The matrix is not a covariance matrix: it is not symmetric, or not positive semidefinite.
    NotACovariance = "not_a_covariance", "not a covariance matrix: {value}";
    /// No valid value of the input that a search varies gives the target value.
    OutOfReach = "out_of_reach", "{rounded_value} cannot be reached: {limit}";
    /// The text is not a valid size table in CSV.
    BrokenTable = "broken_table", "not a valid size table: {value}";
    /// The text is not valid JSON.
    BrokenJson = "broken_json", "invalid JSON: {value}";
    /// The hem lies above the hip line, or less than 1 cm below the hip line.
    AboveHipLine = "above_hip_line",
        "{rounded_value} is too short: the hem must lie below the hip line; the minimum is {rounded_limit}";
    /// Too little cloth is left to sew between two darts, or between a dart and a seam.
    NoRoomAtWaist = "no_room_at_waist",
        "between two darts, or a dart and a seam, {rounded_value} of cloth is left; at least {rounded_limit} is \
         needed: use fewer or smaller darts";
    /// The intake of a dart would be below 0.1 cm, or negative.
    DartTooSmall = "dart_too_small",
        "a dart would take in {rounded_value}; at least {rounded_limit} of intake is needed to sew a dart: use fewer \
         darts";
    /// No amount of suppression brings the sewn waist to the required girth with the darts of the draft.
    WaistNotClosed = "waist_not_closed", "these darts cannot shape this waist: use fewer or smaller darts";
    /// A dart tip lies on or below the hip line.
    TipBelowHip = "tip_below_hip",
        "a dart tip would lie {rounded_value} below the side end of the waist, but the hip line lies only \
         {rounded_limit} below that end: use a shorter dart";
    /// The waist at the centre lies on or below the hip line.
    WaistBelowHip = "waist_below_hip",
        "the centre of the waist would lie {rounded_value} below its side end, but the hip line lies only \
         {rounded_limit} below that end: use a larger hip depth, or lower the centre less";
    /// A measurement of the figure has no effect, because another measurement is missing.
    NeedsAnother = "needs_another", "has no effect alone: give {limit}, too";
    /// A measurement of the figure does not fit the body's girths or hip depth.
    DoesNotFitBody = "does_not_fit_body",
        "{rounded_value} does not fit the other measurements of this body; the nearest that fits is {rounded_limit}";
    /// The request sets a rule whose number a measurement of the figure decides.
    DecidedByFigure = "decided_by_figure", "{value} is not used, as {limit} decides: leave this rule out";
    /// The figure's lengths to the floor tilt the waist too far from a waist that meets every seam at a right angle.
    WaistTooTilted = "waist_too_tilted",
        "the waist would tilt by {rounded_value} from a waist with square corners; the maximum is {rounded_limit}: \
         check the three lengths to the floor";
    /// The side seam leans too far from the vertical to be sewn to a waist.
    SideTooFlat = "side_too_flat",
        "the side seam leans {rounded_value} from the vertical; the maximum is {rounded_limit}: check waist, hip and \
         hip depth, or use {larger_or_smaller} darts";
    /// The opening is longer than the centre back seam.
    OpeningTooLong = "opening_too_long", "{rounded_value} is longer than the centre back seam of {rounded_limit}";
    /// The vent leaves no room for the zip opening and the seam between vent and opening, or reaches up to the slant of
    /// the centre back.
    VentTooHigh = "vent_too_high",
        "a vent {rounded_value} high leaves too little of the centre back seam above it for the zip opening or a \
         slanted seam; the maximum height is {rounded_limit}";
    /// The facing is too deep for its waist: the waist curves too sharply for a parallel lower edge, or the seams are
    /// too short.
    FacingTooDeep = "facing_too_deep",
        "the waist curves too sharply, or its seams are too short, for a facing {rounded_value} deep; the maximum is \
         {rounded_limit}: use a waistband or other darts";
    /// The cloth is narrower than the widest piece with its allowances.
    ClothTooNarrow = "cloth_too_narrow",
        "{value} is too narrow for the widest piece; the minimum is {rounded_limit}";
    /// The sheet without margins and overlap is too small to print on.
    PaperTooSmall = "paper_too_small",
        "margins and overlap leave only {value}; at least {limit} is needed to print on: use a larger sheet";
    /// The callback of an interruptible search has failed.
    Stopped = "stopped", "stopped before the end";
    /// The level lies above the waist or below the hem.
    OutsideGarment = "outside_garment", "{value} is outside the garment; give a level from 0 to {rounded_limit}";
}
