//! Drafts for a measured figure: heights of the waist against plain formulas over the whole range, and derivatives.
#![allow(clippy::float_cmp, reason = "equal numbers are equal to the last bit")]

#[allow(dead_code, reason = "this test uses only some of the formulas")]
use crate::bodies::{cases, requests};
use crate::hand::{SKIRT, Skirt};
use kirtle::document::Request;
use kirtle::{
    Apportionment, Body, Code, DartCount, DartPosition, Darts, Draft, Ease, Figure, Finding, GivenDart, PanelRules,
    Rules, Shares, Texts, Unit, draft_figure,
};
use proptest::prelude::*;

/// Largest error of a measured height, in centimetres.
const EXACT: f64 = 1e-12;

/// Largest error of a closed waist, in centimetres.
const CLOSED: f64 = 1e-10;

const BODY: Body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };

const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

/// Returns a figure of which only front, side and back length are given.
fn lengths([front_length, side_length, back_length]: [Option<f64>; 3]) -> Figure {
    Figure { front_length, side_length, back_length, ..Figure::default() }
}

/// Drafts a figure for the same body by the default rules.
fn draft(figure: Figure) -> Draft {
    draft_figure(&BODY, &figure, &EASE, &Rules::default()).unwrap()
}

/// Returns the depths of the centre of back and front below the side.
fn depths(draft: &Draft) -> [f64; 2] {
    draft.panels().map(|panel| panel.waist_lowering)
}

/// Returns the lengths of which `mask` has the bit: bit 0 is the front, 1 the side, 2 the back.
fn subset(all: [f64; 3], mask: u8) -> Figure {
    lengths([0, 1, 2].map(|k| (mask >> k & 1 == 1).then_some(all[k])))
}

/// Asserts that the waist of a draft is that of the plain formulas.
#[track_caller]
fn assert_equal_to_formulas(draft: &Draft, skirt: Skirt) {
    let suppression = skirt.closed_suppression();
    assert!((draft.suppression.total - suppression).abs() < CLOSED, "{} {suppression}", draft.suppression.total);
    for (which, panel) in draft.panels().into_iter().enumerate() {
        let by_hand = skirt.panel(which, suppression);
        assert!((panel.width - by_hand.width).abs() < EXACT, "{} {}", panel.width, by_hand.width);
        for (drawn, formula) in panel.paths(kirtle::Role::Waist).zip(&by_hand.stretches) {
            for (drawn, formula) in drawn.points().iter().zip([formula.p0, formula.p1, formula.p2, formula.p3]) {
                assert!((drawn.x - formula.x).abs() + (drawn.y - formula.y).abs() < 2e-10, "{drawn} {formula:?}");
            }
        }
    }
    assert!(draft.proof().holds);
}

#[test]
fn a_tilted_waist_equals_the_plain_formulas() {
    for [front, back] in [[0.0, 0.0], [1.5, 1.0], [-1.0, 2.5], [3.0, -0.5]] {
        let skirt = Skirt { depths: [Some(back), Some(front)], ..SKIRT };
        assert_equal_to_formulas(&draft(lengths([101.0 - front, 101.0, 101.0 - back].map(Some))), skirt);
    }
}

#[test]
fn a_front_hip_equals_the_plain_formulas() {
    for front in [47.0, 50.5, 53.0] {
        let skirt = Skirt { balance: (front * 106.0 / 101.0 - 53.0) / 2.0, ..SKIRT };
        let figure = Figure { front_hip: Some(front), ..Figure::default() };
        // The rules choose the number of darts that the formulas have.
        let shares =
            Shares { back_darts: DartCount::Exactly(2), front_darts: DartCount::Exactly(2), ..Shares::default() };
        let rules = Rules { apportionment: Apportionment::Shares(shares), ..Rules::default() };
        assert_equal_to_formulas(&draft_figure(&BODY, &figure, &EASE, &rules).unwrap(), skirt);
    }
    let balance = Rules { panel_rules: PanelRules { balance: 2.0, ..PanelRules::default() }, ..Rules::default() };
    let figure = Figure { front_hip: Some(50.0), ..Figure::default() };
    let problems = draft_figure(&BODY, &figure, &EASE, &balance).unwrap_err();
    assert_eq!(
        problems.to_string(),
        "rules.balance: 2 cm is not used, as body.figure.front_hip decides: leave this rule out"
    );
    let problems =
        draft_figure(&BODY, &Figure { front_hip: Some(66.0), ..figure }, &EASE, &Rules::default()).unwrap_err();
    assert_eq!(
        problems.to_string(),
        "body.figure.front_hip: 66 cm does not fit the other measurements of this body; the nearest that fits is 65.65 cm"
    );
}

#[test]
fn a_front_waist_equals_the_plain_formulas() {
    let rules = crate::centre_back::rules(0.0);
    for front in [37.0, 38.5, 40.0, 41.5] {
        let figure = Figure { front_waist: Some(front), ..lengths([Some(99.5), Some(100.0), None]) };
        let skirt = Skirt { depths: [None, Some(0.5)], ..SKIRT }.with_half_front_waist(front * 75.5 / 74.0 / 2.0);
        let drafted = draft_figure(&BODY, &figure, &EASE, &rules).unwrap();
        assert_equal_to_formulas(&drafted, skirt);
        let check = drafted.proof().checks.into_iter().find(|check| check.name == "front_waist").unwrap();
        assert!((check.measured - front * 75.5 / 74.0).abs() < CLOSED);
    }
}

#[test]
fn a_front_waist_out_of_reach_is_a_finding() {
    for (front, sense) in [(30.0, "smaller"), (46.0, "larger")] {
        let drafted = draft(Figure { front_waist: Some(front), ..Figure::default() });
        let finding = drafted.findings().into_iter().find(|finding| finding.code == "front_waist_missed").unwrap();
        assert_eq!(finding.measured, 2.0 * drafted.summary().panels[1].waist_seam);
        assert!((finding.limit - front * 75.5 / 74.0).abs() < EXACT && finding.message.contains(sense), "{finding:?}");
        let proof = drafted.proof();
        assert!(proof.holds && proof.checks.iter().all(|check| check.name != "front_waist"));
        assert!((drafted.sewn_waist() - 75.5).abs() < CLOSED);
    }
    // Given darts decide the front waist; the figure then only says what they miss.
    let dart = GivenDart { intake: 2.0, length: 10.0, place: DartPosition::Share(0.5) };
    let darts = Apportionment::Darts(Darts { back: vec![dart], front: vec![dart] });
    let rules = Rules { apportionment: darts, ..Rules::default() };
    let figure = Figure { front_waist: Some(38.0), ..Figure::default() };
    let [plain, measured] = [Figure::default(), figure].map(|one| draft_figure(&BODY, &one, &EASE, &rules).unwrap());
    assert_eq!(measured.panels(), plain.panels());
    assert_eq!(measured.findings().len(), plain.findings().len() + 1);
    assert!(measured.findings().iter().any(|finding| finding.message.ends_with("or change the intakes of the darts.")));
}

#[test]
fn two_lengths_leave_the_third_to_square_corners() {
    let natural = depths(&draft(Figure::default()));
    let [back, front] = depths(&draft(lengths([Some(99.0), Some(100.5), None])));
    assert!((front - 1.5).abs() < EXACT && (back - natural[0]).abs() < 0.01, "{back} {front}");
    let [back, front] = depths(&draft(lengths([None, Some(100.5), Some(100.0)])));
    assert!((back - 0.5).abs() < EXACT && (front - natural[1]).abs() < 0.01, "{back} {front}");
    let [back, front] = depths(&draft(lengths([Some(101.0), None, Some(99.5)])));
    assert!((back - front - 1.5).abs() < EXACT, "{back} {front}");
    assert!((back + front - natural[0] - natural[1]).abs() < 0.02, "{back} {front}");
}

#[test]
fn a_figure_without_measurements_is_no_figure() {
    let plain = kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap();
    assert_eq!(draft(Figure::default()), plain);
    // Measured at the heights of square corners, the waist is the same curve to rounding.
    let [back, front] = depths(&plain);
    let measured = draft(lengths([Some(100.0 - front), Some(100.0), Some(100.0 - back)]));
    assert!((measured.suppression.total - plain.suppression.total).abs() < CLOSED);
    assert!(measured.findings().iter().all(|finding| finding.code != "waist_tilted"));
}

#[test]
fn a_single_length_is_refused() {
    for (mask, field) in [(1, "front_length"), (2, "side_length"), (4, "back_length")] {
        let problems = draft_figure(&BODY, &subset([100.0; 3], mask), &EASE, &Rules::default()).unwrap_err();
        assert_eq!((problems.len(), problems[0].code), (1, Code::NeedsAnother));
        assert_eq!(problems[0].field, format!("body.figure.{field}"));
    }
}

#[test]
fn a_waist_that_cannot_be_sewn_is_refused() {
    for (figure, field) in [
        (lengths([Some(90.0), Some(100.0), None]), "front_length"),
        (lengths([None, Some(100.0), Some(112.0)]), "back_length"),
    ] {
        let problems = draft_figure(&BODY, &figure, &EASE, &Rules::default()).unwrap_err();
        assert_eq!((problems.len(), problems[0].code), (1, Code::WaistTooTilted));
        assert_eq!(problems[0].field, format!("body.figure.{field}"));
    }
}

/// The shift of the waist is that of the sewn waist against a draft without the arc, to 2 mm; which way is in the words.
#[test]
fn an_arc_that_moves_the_side_seam_far_is_a_finding() {
    let quarter = draft(Figure::default());
    for (front_hip, front_waist, code, towards) in [
        (Some(45.0), None, "front_hip_unusual", "front"),
        (Some(57.0), None, "front_hip_unusual", "back"),
        (None, Some(34.0), "front_waist_unusual", "front"),
        (None, Some(44.0), "front_waist_unusual", "back"),
    ] {
        let drafted = draft(Figure { front_hip, front_waist, ..Figure::default() });
        let findings: Vec<_> =
            drafted.findings().into_iter().filter(|finding| finding.code.ends_with("unusual")).collect();
        let [finding] = &findings[..] else { panic!("{findings:?}") };
        let [moved, from] = [&drafted, &quarter].map(|draft| {
            let summary = &draft.summary().panels[1];
            if front_hip.is_some() { summary.width } else { summary.waist_seam }
        });
        assert!(
            (finding.measured - (moved - from).abs()).abs() < 0.2 && finding.code == code,
            "{finding:?} {moved} {from}"
        );
        assert!(finding.message.contains(&format!(" towards the {towards} from")), "{finding:?}");
    }
    let usual = draft(Figure { front_hip: Some(53.0), front_waist: Some(38.0), ..Figure::default() });
    assert!(usual.findings().iter().all(|finding| !finding.code.ends_with("unusual")), "{:?}", usual.findings());
}

#[test]
fn findings_say_what_a_tilt_means() {
    let natural = depths(&draft(Figure::default()));
    let codes_and_signs = |back: f64, front: f64| {
        let lengths = lengths([Some(100.0 - natural[1] - front), Some(100.0), Some(100.0 - natural[0] - back)]);
        let findings = draft(lengths).findings().into_iter().filter(|finding| finding.code == "waist_tilted");
        let worded = |finding: &Finding| finding.message_in(&Texts::default()) == finding.message;
        findings
            .inspect(|finding| assert!(worded(finding), "{finding:?}"))
            .map(|finding| (finding.panel.to_string(), finding.message))
            .collect::<Vec<_>>()
    };
    assert_eq!(codes_and_signs(0.3, -0.3), []);
    for (back, front, panel, words) in [
        (1.5, 0.0, "back", "lies 1.5 cm lower than a waist that meets the seams at right angles, more than the 0.6 cm"),
        (1.5, 0.0, "back", "a swayed back"),
        (-1.5, 0.0, "back", "a full seat"),
        (0.0, 1.5, "front", "a flat belly"),
        (0.0, -1.5, "front", "lies 1.5 cm higher"),
        (0.0, -1.5, "front", "a full belly"),
    ] {
        let findings = codes_and_signs(back, front);
        assert!(findings.len() == 1 && findings[0].0 == panel && findings[0].1.contains(words), "{findings:?}");
    }
}

#[test]
fn a_pinned_centre_is_not_taken_for_a_measured_tilt() {
    let natural = depths(&draft(Figure::default()));
    let figure = lengths([None, Some(100.0), Some(100.0 - natural[0] - 0.4)]);
    let panel_rules = PanelRules { centre_back_lower: 0.5, ..PanelRules::default() };
    let pinned = draft_figure(&BODY, &figure, &EASE, &Rules { panel_rules, ..Rules::default() }).unwrap();
    assert!((depths(&pinned)[0] - depths(&draft(figure))[0] - 0.5).abs() < 1e-3);
    assert!(pinned.findings().iter().all(|finding| finding.code != "waist_tilted"), "{:?}", pinned.findings());
}

#[test]
fn derivatives_by_the_figure_are_exact() {
    let figure = Figure { front_hip: Some(52.0), front_waist: Some(39.0), ..lengths([100.3, 101.0, 99.1].map(Some)) };
    let draft = draft(figure);
    let by = ["front_length", "side_length", "back_length", "front_hip", "front_waist"];
    let by = by.map(|name| format!("body.figure.{name}"));
    let by = by.each_ref().map(String::as_str);
    let sensitivity = draft.sensitivity(&by).unwrap();
    let derivative = |quantity, by| sensitivity.derivative(quantity, by).unwrap();
    assert!((derivative("front.waist_lowering", by[0]) + 1.0).abs() < EXACT);
    assert!((derivative("back.waist_lowering", by[1]) - 1.0).abs() < EXACT);
    assert!((derivative("front.width", by[3]) - 106.0 / 202.0).abs() < EXACT);
    assert!((derivative("front.waist_seam", by[4]) - 75.5 / 148.0).abs() < EXACT);
    for (k, name) in by.into_iter().enumerate() {
        let step = 1e-4;
        let moved = |by: f64| {
            let mut numbers = figure.into_array();
            numbers[k] = numbers[k].map(|number| number + by);
            self::draft(Figure::from_array(numbers)).quantities()
        };
        for ((row, (_, above)), (_, below)) in moved(step).into_iter().enumerate().zip(moved(-step)) {
            let (found, difference) = (sensitivity.derivatives_of_quantity(row)[k], (above - below) / (2.0 * step));
            let limit = 4e-7 * difference.abs().max(1.0);
            assert!((found - difference).abs() < limit, "{name} {row}: {found} {difference}");
        }
    }
}

#[test]
fn json_has_the_figure_inside_the_body() {
    let text = r#"{"unit": "in", "body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 24,
        "figure": {"front_length": 39.5, "side_length": 40}}, "ease": {"waist": 0.5, "hip": 2}}"#;
    let request = Request::from_json(text).unwrap();
    assert_eq!(request.figure, lengths([Some(39.5), Some(40.0), None]));
    let report = request.report().unwrap();
    assert_eq!(report.body.figure, request.figure);
    assert!((report.front.waist_lowering - 0.5).abs() < EXACT && report.proof.holds);
    assert_eq!(Request::from_json(&request.to_json()).unwrap(), request);
    assert_eq!(Request::from_draft(&request.draft().unwrap(), Unit::In), request);
    let problems = Request::from_json(&text.replace("39.5", "390")).unwrap_err();
    assert_eq!(problems.to_string(), "body.figure.front_length: 390 in is above the maximum of 59.05 in");
    let problems = Request::from_json(&text.replace("front_length", "knee")).unwrap_err();
    assert_eq!(problems[0].field, "body.figure.knee");
}

proptest! {
    #![proptest_config(cases(4000))]

    #[test]
    fn every_subset_of_the_lengths_is_kept(
        mut request in requests(Unit::Cm), mask in prop::sample::select(vec![0b011_u8, 0b101, 0b110, 0b111]),
        side in 70.0..110.0_f64, depths in [-3.0..6.0_f64, -3.0..6.0_f64],
    ) {
        request.figure = subset([side - depths[1], side, side - depths[0]], mask);
        let Ok(draft) = request.draft() else { return Err(TestCaseError::reject("refused")) };
        let rules = &request.rules.panel_rules;
        let by_rules = [rules.centre_back_lower, rules.centre_front_lower];
        let found = self::depths(&draft);
        for (k, given) in [(0, mask & 0b110 == 0b110), (1, mask & 0b011 == 0b011)] {
            prop_assert!(!given || (found[k] - depths[k] - by_rules[k]).abs() < EXACT, "{found:?} {depths:?}");
        }
        let apart = depths[0] + by_rules[0] - depths[1] - by_rules[1];
        prop_assert!(mask & 0b101 != 0b101 || (found[0] - found[1] - apart).abs() < EXACT, "{found:?} {depths:?}");
        prop_assert!((draft.sewn_waist() - request.body.waist - request.ease.waist).abs() < CLOSED);
        let proof = draft.proof();
        let failed: Vec<_> = proof.checks.iter().filter(|check| !check.holds).collect();
        prop_assert!(failed.is_empty(), "{failed:?}");
        let heights = proof.checks.iter().filter(|check| check.name.starts_with("waist_height"));
        prop_assert_eq!(heights.count(), usize::from(mask.count_ones() == 3) + 1);
    }

    #[test]
    fn arcs_over_the_front_are_kept(
        mut request in requests(Unit::Cm), hip_share in 0.4..0.6_f64, waist_share in 0.4..0.6_f64,
        mask in prop::sample::select(vec![0b01_u8, 0b10, 0b11]), tilt in prop::option::of(-2.0..4.0_f64),
    ) {
        let Body { waist, hip, .. } = request.body;
        if mask & 1 == 1 {
            request.figure.front_hip = Some(hip_share * hip);
            request.rules.panel_rules.balance = 1.0;
        }
        request.figure.front_waist = (mask & 2 == 2).then_some(waist_share * waist);
        if let Some(tilt) = tilt {
            request.figure = Figure { side_length: Some(100.0), front_length: Some(100.0 - tilt), ..request.figure };
        }
        let Ok(draft) = request.draft() else { return Err(TestCaseError::reject("refused")) };
        prop_assert!((draft.sewn_waist() - waist - request.ease.waist).abs() < CLOSED);
        let proof = draft.proof();
        let failed: Vec<_> = proof.checks.iter().filter(|check| !check.holds).collect();
        prop_assert!(failed.is_empty(), "{failed:?}");
        let has = |name: &str| proof.checks.iter().any(|check| check.name == name);
        prop_assert_eq!(has("front_hip"), mask & 1 == 1);
        // A front waist is sewn as measured, or differs by an error of measuring, or a finding says what is sewn.
        let is_missed = draft.findings().iter().any(|finding| finding.code == "front_waist_missed");
        let wanted = waist_share * (waist + request.ease.waist);
        let differs = (2.0 * draft.summary().panels[1].waist_seam - wanted).abs() > 0.6;
        prop_assert_eq!(mask & 2 == 2 && differs, is_missed);
        prop_assert!(!(is_missed && has("front_waist")));
    }
}
