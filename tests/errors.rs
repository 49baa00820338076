//! Every code there is, provoked: wrong inputs as a table, each with the whole sentence a person reads.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::collections::BTreeSet;

use kirtle::{Apportion, Body, Code, Darts, Ease, FindingCode, FixedDart, Place, Rules, Shares, Stance};

const BODY: Body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
const EASE: Ease = Ease { waist: 1.5, hip: 6.0 };

/// A request with one part put in place of the good one.
fn request(part: &str) -> String {
    let mut parts = vec![
        r#""unit": "cm""#,
        r#""body": {"waist": 70, "hip": 96, "hip_depth": 18, "length": 60}"#,
        r#""ease": {"waist": 1.5, "hip": 6}"#,
    ];
    let name = part.split(':').next().unwrap();
    parts.retain(|good| !good.starts_with(name));
    format!("{{{}, {part}}}", parts.join(", "))
}

/// What stands in place of a good part, and the sentences that it gets.
const WRONG: &[(&str, &[&str])] = &[
    (
        r#""body": {"waist": 3, "hip": 999, "hip_depth": 18, "length": 60}"#,
        &[
            "below_least body.waist: 3 cm is below the least of 40 cm",
            "above_most body.hip: 999 cm is above the most of 220 cm",
        ],
    ),
    (
        r#""body": {"waist": -70, "hip": 0, "hip_depth": null}"#,
        &[
            "below_least body.waist: -70 cm is below the least of 40 cm",
            "below_least body.hip: 0 cm is below the least of 50 cm",
            "wrong_type body.hip_depth: null is not a number from 10 to 40 cm",
            "missing body.length: missing; give a number from 15 to 150 cm",
        ],
    ),
    (r#""body": "70 96 18 60""#, &[r#"wrong_type body: "70 96 18 60" is not an object"#]),
    (r#""unit": "mm""#, &[r#"unknown_choice unit: "mm" is not "cm" or "in""#]),
    (
        r#""unit": "in""#,
        &[
            "above_most body.hip: 96 in is above the most of 86 in",
            "above_most body.hip_depth: 18 in is above the most of 15.5 in",
            "above_most body.length: 60 in is above the most of 59 in",
        ],
    ),
    (r#""format": 7"#, &["unknown_choice format: 7 is not 1"]),
    (
        r#""colour": "red""#,
        &["unknown_field colour: is not a field here; the fields are format, unit, body, ease, rules"],
    ),
    (r#""ease": {"waist": 1, "waist": 2, "hip": 3}"#, &["duplicate_field ease.waist: is given twice; give it once"]),
    (
        r#""rules": {"balance": true, "shares": {"largest_dart": "3"}}"#,
        &[
            "wrong_type rules.balance: true is not a number from -5 to 5 cm",
            r#"wrong_type rules.shares.largest_dart: "3" is not a number from 2 to 6 cm"#,
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
        r#""rules": {"darts": {"front": [], "back": [1, 2, 3, 4]}}"#,
        &["too_many rules.darts.back: 4 darts are given; the most is 3 darts"],
    ),
    (
        r#""body": {"waist": 70, "hip": 96, "hip_depth": 18, "length": 18.5}"#,
        &["above_hip_line body.length: 18.5 cm does not clear the hip line; the least is 19 cm"],
    ),
];

fn said(problems: &kirtle::Problems) -> Vec<String> {
    problems.iter().map(|problem| format!("{} {problem}", problem.code.name())).collect()
}

#[test]
fn each_wrong_part_gets_its_sentences() {
    for (part, sentences) in WRONG {
        let problems = kirtle::draft_json(&request(part)).unwrap_err();
        assert_eq!(said(&problems), *sentences, "{part}");
    }
}

/// What is no request at all, and how its one sentence starts.
fn no_requests() -> Vec<(String, &'static str)> {
    let deep = "[".repeat(100_000);
    vec![
        (String::new(), "broken_json request: is not JSON: EOF while parsing"),
        ("{\"unit\": NaN}".into(), "broken_json request: is not JSON: expected value at line 1 column 10"),
        ("{\"unit\": 1e999}".into(), "broken_json request: is not JSON: number out of range"),
        (deep[..60_000].into(), "broken_json request: is not JSON: recursion limit exceeded"),
        (deep, "above_most request: 100000 bytes is above the most of 65536 bytes"),
        ("[]".into(), "wrong_type request: a list is not an object"),
        ("null".into(), "wrong_type request: null is not an object"),
    ]
}

#[test]
fn what_is_no_request_is_said_in_one_sentence() {
    for (text, start) in no_requests() {
        let problems = kirtle::draft_json(&text).unwrap_err();
        assert_eq!(problems.len(), 1);
        assert!(said(&problems)[0].starts_with(start), "{}", said(&problems)[0]);
    }
}

fn darts(back: &[(f64, f64, f64)]) -> Rules {
    let dart = |(intake, length, place): &(f64, f64, f64)| FixedDart {
        intake: *intake,
        length: *length,
        place: Place::Place(*place),
    };
    let darts = Darts { back: back.iter().map(dart).collect(), front: vec![] };
    Rules { apportion: Apportion::Darts(darts), ..Rules::default() }
}

/// Numbers that are each in range but cannot be sewn together, and how the sentence starts.
fn unsewable() -> Vec<(Body, Ease, Rules, &'static str)> {
    let flat = Body { waist: 40.0, hip: 220.0, hip_depth: 10.0, length: 60.0 };
    let no_darts = Shares { back_share: 0.0, front_share: 0.0, ..Shares::default() };
    let no_darts = Rules { apportion: Apportion::Shares(no_darts), ..Rules::default() };
    let hanging = Body { waist: 100.0, hip: 150.0, hip_depth: 10.0, length: 60.0 };
    let outward = Body { waist: 100.0, hip: 84.0, hip_depth: 20.0, length: 60.0 };
    let tiny = Body { waist: 40.0, hip: 86.0, hip_depth: 21.0, length: 120.0 };
    let stance = Stance { balance: 5.0, centre_back_lower: 2.0, centre_front_lower: 4.0 };
    let unclosed = Rules { stance, ..darts(&[(3.0, 7.0, 0.5)]) };
    vec![
        (flat, EASE, Rules::default(), "side_too_flat body.hip: the side seam leans 8"),
        (hanging, EASE, no_darts, "waist_below_hip body.hip_depth: the centre of the waist would lie 1"),
        (
            BODY,
            EASE,
            darts(&[(4.0, 10.0, 0.4), (4.0, 10.0, 0.5)]),
            "no_room_at_waist rules.darts.back: leaves -2.21 cm",
        ),
        (outward, EASE, darts(&[(2.0, 14.0, 0.9)]), "no_room_at_waist rules.darts.back: leaves -"),
        (
            BODY,
            EASE,
            darts(&[(2.0, 18.0, 0.5)]),
            "tip_below_hip rules.darts.back: a dart would end 19.9 cm below the waist",
        ),
        (tiny, Ease { waist: -10.0, hip: 18.0 }, unclosed, "waist_not_closed rules.darts.back: no suppression closes"),
    ]
}

#[test]
fn what_cannot_be_sewn_is_refused() {
    for (body, ease, rules, sentence) in unsewable() {
        let problems = kirtle::draft(&body, &ease, &rules).unwrap_err();
        assert!(said(&problems)[0].starts_with(sentence), "{}", said(&problems)[0]);
    }
}

#[test]
fn numbers_that_are_none_are_refused_in_rust_too() {
    let body = Body { waist: f64::NAN, hip: f64::INFINITY, ..BODY };
    let rules = Rules { stance: Stance { balance: f64::NEG_INFINITY, ..Stance::default() }, ..Rules::default() };
    let problems = kirtle::draft(&body, &EASE, &rules).unwrap_err();
    assert_eq!(
        said(&problems),
        [
            "not_finite body.waist: NaN is not finite; give a number from 40 to 200 cm",
            "not_finite body.hip: inf is not finite; give a number from 50 to 220 cm",
            "not_finite rules.balance: -inf is not finite; give a number from -5 to 5 cm",
        ]
    );
}

#[test]
fn problems_in_inches_speak_in_inches() {
    let request = r#"{"unit": "in", "body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 8}, "ease": {"waist": 1, "hip": 2}}"#;
    let problems = kirtle::draft_json(request).unwrap_err();
    assert!(
        said(&problems)[0]
            .starts_with("above_hip_line body.length: 8 in does not clear the hip line; the least is 8.39")
    );
}

/// The codes that these tests provoke are all the codes there are.
#[test]
fn every_code_is_provoked() {
    let of_parts = WRONG.iter().map(|(part, _)| kirtle::draft_json(&request(part)).unwrap_err());
    let of_texts = no_requests().into_iter().map(|(text, _)| kirtle::draft_json(&text).unwrap_err());
    let of_drafts =
        unsewable().into_iter().map(|(body, ease, rules, _)| kirtle::draft(&body, &ease, &rules).unwrap_err());
    let no_number = kirtle::draft(&Body { waist: f64::NAN, ..BODY }, &EASE, &Rules::default()).unwrap_err();
    let outside = kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap().girth_at(99.0).unwrap_err();
    let all = of_parts.chain(of_texts).chain(of_drafts).chain([no_number, outside]);
    let provoked: BTreeSet<&str> = all.flat_map(|problems| problems.to_vec()).map(|p| p.code.name()).collect();
    assert_eq!(provoked, Code::ALL.iter().map(|code| code.name()).collect());
}

/// Odd but valid bodies, the finding that each gets, and a body that gets none.
#[test]
fn every_finding_is_provoked() {
    let with = |waist, hip| Body { waist, hip, ..BODY };
    let table = [
        (with(100.0, 92.0), EASE, Rules::default(), "waist_larger_than_hip"),
        (with(90.0, 92.0), EASE, darts(&[(6.0, 14.0, 0.5)]), "darts_exceed_suppression"),
        (with(60.0, 110.0), EASE, Rules::default(), "side_seam_steep"),
        (with(60.0, 96.0), EASE, darts(&[]), "side_seam_steep"),
        (BODY, Ease { waist: 0.0, hip: 6.0 }, Rules::default(), "little_waist_ease"),
        (BODY, Ease { waist: 2.0, hip: 2.0 }, Rules::default(), "little_hip_ease"),
        (Body { length: 90.0, ..BODY }, EASE, Rules::default(), "narrow_hem"),
        (BODY, EASE, darts(&[(2.0, 16.0, 0.5)]), "tip_near_hip"),
        (BODY, EASE, darts(&[(4.0, 8.0, 0.5)]), "blunt_dart"),
    ];
    let mut provoked = BTreeSet::new();
    for (body, ease, rules, code) in table {
        let findings = kirtle::draft(&body, &ease, &rules).unwrap().findings();
        let found = findings.iter().find(|finding| finding.code == code);
        let found = found.unwrap_or_else(|| panic!("{code} is not in {findings:?}"));
        assert!(!found.message.contains('{'), "{}", found.message);
        provoked.insert(code);
    }
    assert_eq!(provoked, FindingCode::ALL.iter().map(|code| code.name()).collect());
    assert_eq!(kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap().findings(), []);
}
