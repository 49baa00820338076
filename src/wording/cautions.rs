//! Messages of cautions: one for each code of a finding, and the words that stand in them.

crate::error::codes! {
    /// What a finding warns of.
    FindingCode;

    /// Returns the English message, with placeholders for `panel`, `measured`, `limit` and `values` of a
    /// [`Finding`](crate::Finding). It is one of [`Texts`](crate::Texts), with the name of the code as its key.
    pub message_template;

    /// The waist with its ease is larger than the hip with its ease.
    WaistLargerThanHip = "waist_larger_than_hip",
        "With ease, the waist is {measured} larger than the hip: there is nothing to take in, and the side seams \
         lean outwards towards the waist. Check both measurements, then sew a trial garment.";
    /// The given darts and a slanted centre back take in more than the difference between hip and waist.
    DartsExceedSuppression = "darts_exceed_suppression",
        "On half the skirt {darts_and_seams} take in {measured}, but only {limit} needs taking in: the side seam leans \
         outwards towards the waist. {remedy}.";
    /// At the waist, the angle between side seam and vertical exceeds its limit.
    SideSeamSteep = "side_seam_steep",
        "At the waist the side seam leans {measured} from the vertical, more than the {limit} of the drafting rules, \
         and may bulge over the hip. {remedy}.";
    /// The waist has less ease than usual in a published guide.
    LittleWaistEase = "little_waist_ease",
        "The waist has {measured} of ease, less than usual: a published costume guide has {usual_min} to {usual_max} at the waist. It \
         may pinch when you sit. Add ease, or use cloth that stretches.";
    /// The hip has less ease than usual in a published guide.
    LittleHipEase = "little_hip_ease",
        "The hip has {measured} of ease, less than usual: a published costume guide has {usual_min} to {usual_max} at the hip. Hips \
         spread when you sit: the skirt may strain or ride up. Add ease, or use cloth that stretches.";
    /// Between waist and hip line the garment is narrower than the body, and has less ease than at waist and at hip.
    TightBetween = "tight_between",
        "If the body is as assumed between its measured girths, the ease falls to {measured} at {level} below the waist, \
         below the limit of {limit} (common practice). Measure the girth there: the cloth may drag into folds. Make the side seam \
         fuller or the darts shorter, or use cloth that stretches.";
    /// The hem is too narrow for a walking step.
    NarrowHem = "narrow_hem",
        "The hem is {measured} around, but by our rough estimate a walking step needs about {needed} at this length. \
         Plan a slit, a vent or a pleat at least {vent} high.";
    /// The vent is not high enough for a walking step.
    LowVent = "low_vent",
        "The vent is {measured} high, but by our rough estimate a walking step needs an opening of about {needed} at this \
         length. Make the vent higher, or the skirt shorter or wider.";
    /// A dart ends close to the hip line.
    TipNearHip = "tip_near_hip",
        "A dart of the {panel} ends {measured} above the hip line; common practice is at least {limit}. Its tip may \
         show on the fullest part of the hip. Shorten the dart.";
    /// A dart is too wide for its length.
    BluntDart = "blunt_dart",
        "A dart of the {panel} opens {measured} to each side of its centre line, more than the {limit} of common \
         practice, and may poke out at its tip. {remedy}.";
    /// With a chosen number of darts, a dart is smaller than the smallest dart of the rules.
    SmallDart = "small_dart",
        "A dart of the {panel} takes in {measured}, less than the smallest dart of the rules, {limit}. Use fewer darts \
         in the {panel}.";
    /// At the centre back, the angle between seam and vertical exceeds its limit.
    CentreBackSlanted = "centre_back_slanted",
        "The centre back seam slants {measured} from the vertical between waist and hip line, more than the {limit} of common \
         practice: it leaves the middle of the back, which is nearly vertical. Move the centre back in by less.";
    /// The measured waist at a centre lies clearly higher or lower than square corners put it.
    WaistTilted = "waist_tilted",
        "At the centre {panel} the measured waist lies {measured} {lower_or_higher} than a waist that meets the seams at right angles, \
         more than the {limit} by which two measured lengths may err: this body has {posture_or_shape}, or a length is wrong. Measure again, then sew a trial garment.";
    /// The measured front hip places the side seams far from their place by the rules.
    FrontHipUnusual = "front_hip_unusual",
        "At the hip line, the measured front hip moves each side seam {measured} towards the {back_or_front} from its place by the rules, \
         more than our rough limit of {limit}. Check where the side seams were taken and measure again, then sew a trial garment.";
    /// The measured front waist places the side seams far from their place by the rules.
    FrontWaistUnusual = "front_waist_unusual",
        "At the waist, the measured front waist moves each side seam {measured} towards the {back_or_front} from its place by the rules, \
         more than our rough limit of {limit}. Check where the side seams were taken and measure again, then sew a trial garment.";
    /// The sewn front waist is not as long as measured, because the darts cannot shape it.
    FrontWaistMissed = "front_waist_missed",
        "The sewn front waist is {measured} from side seam to side seam, but with its ease this body measures {limit}: within \
         the rules the darts cannot make it {smaller_or_larger}, so the side seams lie off the sides of the waist, or a measurement is wrong. \
         Measure again, or change the {numbers} of the darts.";
    /// The skirt is narrower at the high hip than it should be, and neither side seams nor darts give more room.
    HighHipTight = "high_hip_tight",
        "At the high hip the skirt measures {measured}, but this body with the smaller of its eases at waist and hip needs {limit}: side seams and darts \
         give no more room there. {remedy}, or use cloth that stretches.";
    /// The waist curves too sharply for the requested waist allowance, which is therefore reduced.
    WaistAllowanceReduced = "waist_allowance_reduced",
        "The waist curves too sharply for an allowance of {limit}, so it is reduced to {measured}. Sew the waist \
         {measured} from the cut edge.";
    /// The side seam curves too sharply for the requested side allowance, which is therefore reduced.
    SideAllowanceReduced = "side_allowance_reduced",
        "The side seam curves too sharply for an allowance of {limit}, so it is reduced to {measured}. Sew the side \
         seams {measured} from the cut edge.";
    /// The hem allowance is deeper than the straight part of the side seam; turned up, it reaches above the hip line.
    HemAboveHipLine = "hem_above_hip_line",
        "The hem allowance of {measured} is deeper than the straight part of the side seam, {limit}: turned up, it \
         reaches above the hip line and may not lie flat. Use a narrower hem or a facing.";
    /// A cut edge at a fold is straight, because the adjacent seam edge is too short or too curved to mirror.
    FoldNotMirrored = "fold_not_mirrored",
        "At folds of the {panel} (number of folds: {measured}) the cut edge could not be shaped to lie level with the layer below. \
         Fold and press there, then trim the edge level.";
    /// The facing is deeper than a dart is long; below the dart's tip it is wider than the garment.
    FacingBelowDart = "facing_below_dart",
        "The facing is {measured} deep, but a dart of the {panel} is only {limit} long: below its tip the facing is wider \
         than the skirt and lies loose. Make the facing less deep, or use longer darts.";
    /// At the end of the zip opening, the girth of the garment is less than the hip girth of the body.
    HipCannotPass = "hip_cannot_pass",
        "At the end of the opening the skirt measures {measured} around, less than the hip of {limit}, and may not \
         go on over the hips. Make the opening longer, or use cloth that stretches.";
    /// A vent leaves too little of the centre back seam for a zip opening of the usual length.
    OpeningShortened = "opening_shortened",
        "The vent leaves no room for the usual zip opening of {limit}: it is shortened to {measured}. Use a zip of this length, \
         or make the vent lower.";
    /// The name printed on the pieces, or a note, has letters that the PDF font lacks.
    NameNotPrinted = "name_not_printed",
        "The PDF font lacks letters of the name or of the notes (number of letters: {measured}), and prints boxes instead. Use Latin, Greek or Cyrillic letters, \
         or save the pattern as SVG.";
}

/// Key and English text of each word or sentence that stands for a placeholder in the message of a finding.
pub(crate) const CAUTION_WORDS: &[(&str, &str)] = &[
    ("given_darts", "the given darts"),
    ("darts_and_centre_back", "darts and centre back"),
    ("use_smaller_darts", "Use smaller or fewer darts"),
    ("use_smaller_darts_or_inset", "Use smaller or fewer darts, or move the centre back in by less"),
    ("use_larger_darts", "Use more or larger darts, a yoke or gores"),
    ("no_straight_skirt", "This will not work as a straight skirt. Use more or larger darts, a yoke or gores"),
    ("lengthen_dart", "Make it longer, or divide it into two darts"),
    ("divide_dart", "It is shortened to give room at the high hip: divide it into two darts, or add ease at the hip"),
    ("waist_lower", "lower"),
    ("waist_higher", "higher"),
    ("swayed_back", "a swayed back or a flat seat"),
    ("full_seat", "a full seat or a bent back"),
    ("flat_belly", "a flat belly, or a waist that dips in front"),
    ("full_belly", "a full belly"),
    ("front_smaller", "smaller"),
    ("front_larger", "larger"),
    ("dart_shares", "shares, numbers or largest intakes"),
    ("dart_intakes", "intakes"),
    ("add_hip_ease", "Add ease at the hip"),
    ("high_hip_as_hip", "Give the girth of the high hip as the hip, too"),
];
