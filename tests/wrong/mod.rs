//! Tables of wrong inputs, each with the messages that a person reads.

use crate::counts::rules_with_counts;
use kirtle::drawing::Paper;
use kirtle::{
    Apportionment, Body, Cutting, DartCount, DartPosition, Darts, Ease, GivenDart, PanelRules, Problems, Rules, Shares,
    Unit,
};

pub(crate) const BODY: Body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
pub(crate) const EASE: Ease = Ease { waist: 1.5, hip: 6.0 };

/// Returns a valid request in JSON with one member added or replaced.
pub(crate) fn request_with(member: &str) -> String {
    let mut members = vec![
        r#""unit": "cm""#,
        r#""body": {"waist": 70, "hip": 96, "hip_depth": 18, "length": 60}"#,
        r#""ease": {"waist": 1.5, "hip": 6}"#,
    ];
    let name = member.split(':').next().unwrap();
    members.retain(|valid| !valid.starts_with(name));
    format!("{{{}, {member}}}", members.join(", "))
}

/// Wrong members of a request, each with its messages.
pub(crate) const WRONG_MEMBERS: &[(&str, &[&str])] = &[
    (
        r#""body": {"waist": 3, "hip": 999, "hip_depth": 18, "length": 60}"#,
        &[
            "below_minimum body.waist: 3 cm is below the minimum of 40 cm",
            "above_maximum body.hip: 999 cm is above the maximum of 220 cm",
        ],
    ),
    (
        r#""body": {"waist": -70, "hip": 0, "hip_depth": null}"#,
        &[
            "below_minimum body.waist: -70 cm is below the minimum of 40 cm",
            "below_minimum body.hip: 0 cm is below the minimum of 50 cm",
            "wrong_type body.hip_depth: null is not a number from 10 to 40 cm",
            "missing body.length: missing: give a number from 15 to 150 cm",
        ],
    ),
    (r#""body": "70 96 18 60""#, &[r#"wrong_type body: "70 96 18 60" is not a JSON object"#]),
    (r#""unit": "mm""#, &[r#"unknown_choice unit: "mm" is not "cm" or "in""#]),
    (
        r#""unit": "in""#,
        &[
            "above_maximum body.hip: 96 in is above the maximum of 86.61 in",
            "above_maximum body.hip_depth: 18 in is above the maximum of 15.74 in",
            "above_maximum body.length: 60 in is above the maximum of 59.05 in",
        ],
    ),
    (r#""format": 7"#, &["unknown_choice format: 7 is not 1"]),
    (
        r#""": 1, "two words": 2"#,
        &[
            r#"unknown_field "": unknown field; known fields are format, unit, body, ease, rules, corrections, cutting, cloth, ruler"#,
            r#"unknown_field "two words": unknown field; known fields are format, unit, body, ease, rules, corrections, cutting, cloth, ruler"#,
        ],
    ),
    (
        r#""colour": "red""#,
        &[
            "unknown_field colour: unknown field; known fields are format, unit, body, ease, rules, corrections, cutting, cloth, ruler",
        ],
    ),
    (r#""ease": {"waist": 1, "waist": 2, "hip": 3}"#, &["duplicate_field ease.waist: given twice: give it once"]),
    (
        r#""rules": {"balance": true, "shares": {"back_largest_dart": "3"}}"#,
        &[
            "wrong_type rules.balance: true is not a number from -5 to 5 cm",
            r#"wrong_type rules.shares.back_largest_dart: "3" is not a number from 2 to 6 cm"#,
        ],
    ),
    (
        r#""rules": {"shares": {"back_darts": "two", "front_darts": 4}}"#,
        &[
            r#"unknown_choice rules.shares.back_darts: "two" is not "auto", "per_size" or a whole number from 0 to 3"#,
            r#"unknown_choice rules.shares.front_darts: 4 is not "auto", "per_size" or a whole number from 0 to 3"#,
        ],
    ),
    (
        r#""rules": {"shares": {}, "darts": {"back": [], "front": []}}"#,
        &["conflict rules.shares: cannot be given together with rules.darts"],
    ),
    (
        r#""rules": {"darts": {"back": [{"intake": 2, "length": 9, "place": 0.5, "centre": 9}], "front": 3}}"#,
        &[
            "conflict rules.darts.back[0].place: cannot be given together with rules.darts.back[0].centre",
            "wrong_type rules.darts.front: 3 is not a list of darts",
        ],
    ),
    (
        r#""rules": {"darts": {"back": [{"intake": 2, "length": 9, "place": null}], "front": []}}"#,
        &["wrong_type rules.darts.back[0].place: null is not a value: leave the field out"],
    ),
    (
        r#""rules": {"darts": {"front": [], "back": [1, 2, 3, 4]}}"#,
        &["too_many rules.darts.back: 4 darts are given, at most 3 darts allowed"],
    ),
    (
        r#""body": {"waist": 70, "hip": 96, "hip_depth": 18, "length": 18.5}"#,
        &[
            "above_hip_line body.length: 18.5 cm is too short: the hem must lie below the hip line; the minimum is 19 cm",
        ],
    ),
];

/// Returns documents that are no JSON requests, each with the start of its message.
pub(crate) fn invalid_documents() -> Vec<(String, &'static str)> {
    let deep = "[".repeat(100_000);
    vec![
        (String::new(), "broken_json request: invalid JSON: EOF while parsing"),
        ("{\"unit\": NaN}".into(), "broken_json request: invalid JSON: expected value at line 1 column 10"),
        ("{\"unit\": 1e999}".into(), "broken_json request: invalid JSON: number out of range"),
        (deep[..60_000].into(), "broken_json request: invalid JSON: recursion limit exceeded"),
        (deep, "above_maximum request: 100000 bytes is above the maximum of 65536 bytes"),
        ("[]".into(), "wrong_type request: a list is not a JSON object"),
        ("null".into(), "wrong_type request: null is not a JSON object"),
    ]
}

/// Returns rules with given darts in the back, by intake, length and share of the waist, and no darts in the front.
pub(crate) fn rules_with_back_darts(back: &[(f64, f64, f64)]) -> Rules {
    let dart = |(intake, length, place): &(f64, f64, f64)| GivenDart {
        intake: *intake,
        length: *length,
        place: DartPosition::Share(*place),
    };
    let darts = Darts { back: back.iter().map(dart).collect(), front: vec![] };
    Rules { apportionment: Apportionment::Darts(darts), ..Rules::default() }
}

/// Returns inputs that are in range but make no skirt that can be sewn, each with the start of its message.
pub(crate) fn unsewable() -> Vec<(Body, Ease, Rules, &'static str)> {
    let flat = Body { waist: 40.0, hip: 220.0, hip_depth: 10.0, length: 60.0 };
    let no_darts = Shares { back_share: 0.0, front_share: 0.0, ..Shares::default() };
    let no_darts = Rules { apportionment: Apportionment::Shares(no_darts), ..Rules::default() };
    let hanging = Body { waist: 100.0, hip: 150.0, hip_depth: 10.0, length: 60.0 };
    let outward = Body { waist: 100.0, hip: 84.0, hip_depth: 20.0, length: 60.0 };
    // The lowered waist line of this narrow back is 6 cm too long with any suppression.
    let tiny = Body { waist: 40.0, hip: 60.0, hip_depth: 12.0, length: 60.0 };
    let panel_rules = PanelRules::from_array([5.0, 4.0, 4.0, 0.0, 2.5]);
    let unclosed = Rules { panel_rules, ..rules_with_back_darts(&[(4.0, 5.0, 0.7)]) };
    let one_front = rules_with_counts([DartCount::Auto, DartCount::Exactly(1)]);
    let four_back = rules_with_counts([DartCount::Exactly(4), DartCount::Auto]);
    vec![
        (outward, EASE, one_front, "dart_too_small rules.shares.front_darts: a dart would take in -1.12 cm; at least"),
        (BODY, EASE, four_back, "too_many rules.shares.back_darts: 4 darts are given, at most 3 darts allowed"),
        (flat, EASE, Rules::default(), "side_too_flat body.hip: the side seam leans 8"),
        (hanging, EASE, no_darts, "waist_below_hip body.hip_depth: the centre of the waist would lie 1"),
        (
            BODY,
            EASE,
            rules_with_back_darts(&[(4.0, 10.0, 0.4), (4.0, 10.0, 0.5)]),
            "no_room_at_waist rules.darts.back: between two darts, or a dart and a seam, -1.94 cm",
        ),
        (
            outward,
            EASE,
            rules_with_back_darts(&[(2.0, 14.0, 0.9)]),
            "no_room_at_waist rules.darts.back: between two darts, or a dart and a seam, -",
        ),
        (
            BODY,
            EASE,
            rules_with_back_darts(&[(2.0, 18.0, 0.5)]),
            "tip_below_hip rules.darts.back: a dart tip would lie 19.9 cm below the side end of the waist",
        ),
        (
            tiny,
            Ease { waist: -2.0, hip: -10.0 },
            unclosed,
            "waist_not_closed rules.darts.back: these darts cannot shape",
        ),
    ]
}

/// Wrong size charts, each with its messages.
pub(crate) const WRONG_CHARTS: &[(&str, &[&str])] = &[
    (r#"{"unit": "cm", "sizes": []}"#, &["too_few sizes: 0 sizes are given, at least 2 sizes needed"]),
    (
        r#"{"unit": "cm", "sizes": [{"name": "38", "waist": 72, "hip": 96, "hip_depth": 20, "length": 60}]}"#,
        &["too_few sizes: 1 size is given, at least 2 sizes needed"],
    ),
    (
        r#"{"unit": "cm", "sizes": [{"name": "38", "waist": 72, "hip": 96, "hip_depth": 20, "length": 60},
            {"name": "38", "waist": 76, "hip": 100, "hip_depth": 20, "length": 60},
            {"name": " ", "waist": 80, "hip": 104, "hip_depth": 20, "length": 60}]}"#,
        &[
            "duplicate_name sizes[1].name: another size is already named \"38\"",
            "wrong_type sizes[2].name: \" \" is not a name on one line",
        ],
    ),
    (
        r#"{"unit": "cm", "sizes": 7, "blend": {"waist": {"from": 38}}, "tolerance_mm": 0}"#,
        &[
            "wrong_type sizes: 7 is not a list of sizes",
            "wrong_type blend.waist.from: 38 is not a name on one line: give the text \"38\"",
            "missing blend.hip: missing: give a JSON object",
            "below_minimum tolerance_mm: 0 mm is below the minimum of 0.1 mm",
        ],
    ),
    (
        r#"{"unit": "cm", "sizes": [{"name": "38", "waist": 72, "hip": 96, "hip_depth": 20, "length": 60},
            {"name": "40", "waist": 76, "hip": 100, "hip_depth": 20, "length": 60}],
            "blend": {"waist": {"from": "39"}, "hip": {"from": "38", "to": "41", "fraction": 0.5}}}"#,
        &[
            "unknown_size blend.waist.from: there is no size \"39\"; the sizes are 38, 40",
            "unknown_size blend.hip.to: there is no size \"41\"; the sizes are 38, 40",
        ],
    ),
];

/// Wrong corrections, each with its messages.
pub(crate) const WRONG_CORRECTIONS: &[(&str, &[&str])] = &[
    (
        r#""corrections": [{"what": "knee", "by": 30, "at": "hem"}, {"by": "1"}]"#,
        &[
            r#"unknown_choice corrections[0].what: "knee" is not "waist" or "hip" or "hip_line" or "centre_back" or "centre_front" or "length" or "side_fullness" or "balance" or "dart_place" or "dart_length" or "dart_intake""#,
            "above_maximum corrections[0].by: 30 cm is above the maximum of 20 cm",
            r#"unknown_choice corrections[0].at: "hem" is not "shared" or "side" or "darts" or "back" or "front" or "back 1" or "back 2" or "back 3" or "front 1" or "front 2" or "front 3" or "centre_back""#,
            "missing corrections[1].what: missing: give \"waist\" or \"hip\" or \"hip_line\" or \"centre_back\" or \"centre_front\" or \"length\" or \"side_fullness\" or \"balance\" or \"dart_place\" or \"dart_length\" or \"dart_intake\"",
            "wrong_type corrections[1].by: \"1\" is not a number from -20 to 20 cm",
        ],
    ),
    (
        r#""corrections": [{"what": "waist", "by": 1, "at": "side"}, {"what": "waist", "by": -1, "at": "side"},
            {"what": "length", "by": 1, "at": "darts"}]"#,
        &[
            "conflict corrections[1].by: cannot be given together with corrections[0].by",
            r#"unknown_choice corrections[2].at: "darts" is not "shared", a place for "length""#,
        ],
    ),
    (
        r#""rules": {"darts": {"back": [], "front": []}}, "corrections": [{"what": "waist", "by": 1, "at": "darts"}]"#,
        &[r#"no_dart corrections[0].at: the draft has no dart to change at "darts"; give "side" or "shared""#],
    ),
    (
        r#""corrections": [{"what": "dart_place", "by": 1, "at": "back 3"}, {"what": "dart_length", "by": 1},
            {"what": "dart_intake", "by": 1, "at": "side"}, {"what": "hip", "by": 1, "at": "back"},
            {"what": "balance", "by": 1, "at": "darts"}, {"what": "dart_place", "by": 1, "at": "front 1"},
            {"what": "dart_place", "by": -1, "at": "front 1"}]"#,
        &[
            "conflict corrections[6].by: cannot be given together with corrections[5].by",
            r#"no_dart corrections[0].at: the draft has no dart to change at "back 3"; give "back 1" or "back 2" or "front 1" or "front 2""#,
            r#"missing corrections[1].at: missing: give "darts", "back", "front", or one dart, counted from the centre, such as "back 1""#,
            r#"unknown_choice corrections[2].at: "side" is not "darts", "back", "front", or one dart, counted from the centre, such as "back 1", a place for "dart_intake""#,
            r#"unknown_choice corrections[3].at: "back" is not "shared" or "side" or "darts", a place for "hip""#,
            r#"unknown_choice corrections[4].at: "darts" is not "shared", a place for "balance""#,
        ],
    ),
    (
        r#""corrections": [{"what": "length", "by": -20}, {"what": "length", "by": -20}, {"what": "length", "by": -20}]"#,
        &["below_minimum body.length: 0 cm is below the minimum of 15 cm"],
    ),
];

/// Wrong cuttings and cloths, each with its messages.
pub(crate) const WRONG_CUTTINGS: &[(&str, &[&str])] = &[
    (
        r#""cutting": {"allowances": {"side": -1, "hem": 40, "collar": 1}, "opening": 3, "press": "up", "preset": "best"}"#,
        &[
            r#"unknown_choice cutting.preset: "best" is not "trial" or "garment" or "none""#,
            "unknown_field cutting.allowances.collar: unknown field; known fields are waist, side, hem, centre_back",
            "below_minimum cutting.allowances.side: -1 cm is below the minimum of 0 cm",
            "above_maximum cutting.allowances.hem: 40 cm is above the maximum of 10 cm",
            "below_minimum cutting.opening: 3 cm is below the minimum of 5 cm",
            r#"unknown_choice cutting.press: "up" is not "centre" or "side""#,
        ],
    ),
    (r#""cutting": {"name": 7}"#, &["wrong_type cutting.name: 7 is not a text on one line"]),
    (r#""cutting": {"notes": "a"}"#, &[r#"wrong_type cutting.notes: "a" is not a list of texts"#]),
    (r#""cutting": {"notes": [7]}"#, &["wrong_type cutting.notes[0]: 7 is not a text on one line"]),
    (r#""cutting": {"notes": ["a\nb"]}"#, &[r#"wrong_type cutting.notes[0]: "a\nb" is not a text on one line"#]),
    (r#""cutting": {"name": "a\nb"}"#, &[r#"wrong_type cutting.name: "a\nb" is not a text on one line"#]),
    (
        r#""cutting": {"name": "0123456789012345678901234567890123456789012345678901234567890"}"#,
        &["too_many cutting.name: 61 letters are given, at most 60 letters allowed"],
    ),
    (
        r#""cutting": {"opening": 60}"#,
        &["opening_too_long cutting.opening: 60 cm is longer than the centre back seam of 59.11 cm"],
    ),
    (
        r#""cloth": {"folded": "yes"}"#,
        &[
            "missing cloth.width: missing: give a number from 40 to 400 cm",
            r#"wrong_type cloth.folded: "yes" is not true or false"#,
        ],
    ),
    (
        r#""cloth": {"width": 45}"#,
        &["cloth_too_narrow cloth.width: 45 cm is too narrow for the widest piece; the minimum is 60 cm"],
    ),
];

/// Returns the problems of papers that cannot be printed on, each with the start of its message.
pub(crate) fn unprintable() -> Vec<(Problems, &'static str)> {
    let a4 = Paper::named("A4").unwrap();
    let pattern = kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap().pattern(&Cutting::default()).unwrap();
    let drawing = kirtle::drawing::draw_pattern(&pattern, Unit::Cm);
    let named = |name| Paper::named(name).unwrap_err();
    let printed = |paper| kirtle::drawing::paginate(&drawing, &paper).unwrap_err();
    vec![
        (named("foolscap"), "unknown_choice paper: \"foolscap\" is not A4, A3,"),
        (named("roll of 90"), "unknown_choice paper: \"roll of 90\" is not A4, A3,"),
        (named("5 x 8 cm"), "below_minimum paper.side: 50 mm is below the minimum of 100 mm"),
        (named("roll 9 m"), "unknown_choice paper: \"roll 9 m\" is not A4, A3,"),
        (named("nan x inf in"), "unknown_choice paper: \"nan x inf in\" is not A4"),
        (printed(Paper { margin_mm: 60.0, ..a4 }), "above_maximum paper.margin: 60 mm is above the maximum of 50 mm"),
        (printed(Paper { overlap_mm: -1.0, ..a4 }), "below_minimum paper.overlap: -1 mm is below the minimum of 0 mm"),
        (printed(Paper { overlap_mm: f64::NAN, ..a4 }), "not_finite paper.overlap: NaN is not finite"),
        (
            printed(Paper { margin_mm: 45.0, overlap_mm: 20.0, ..a4 }),
            "paper_too_small paper: margins and overlap leave only 100 x 187 mm; at least ",
        ),
    ]
}
