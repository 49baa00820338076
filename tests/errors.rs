//! Every code there is, provoked: wrong inputs as a table, each with the whole sentence a person reads.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod wrong;

use std::collections::BTreeSet;

use kirtle::batch::{Bodies, Column, Threads};
use kirtle::document::Request;
use kirtle::ease_profile::BodyProfile;
use kirtle::sensitivity::{StandardErrors, Target};
use kirtle::{
    Allowances, Body, Code, Cutting, Ease, FindingCode, Half, Opening, PanelRules, Problems, Rules, SizeChart, Unit,
};
use wrong::{
    BODY, EASE, WRONG, WRONG_CHARTS, WRONG_CORRECTIONS, WRONG_ON_PAPER, darts, no_requests, request, unprintable,
    unsewable,
};

fn said(problems: &Problems) -> Vec<String> {
    problems.iter().map(|problem| format!("{} {problem}", problem.code.name())).collect()
}

#[test]
fn each_wrong_part_gets_its_sentences() {
    for (part, sentences) in WRONG {
        let problems = kirtle::draft_json(&request(part)).unwrap_err();
        assert_eq!(said(&problems), *sentences, "{part}");
    }
}

#[test]
fn what_is_no_request_is_said_in_one_sentence() {
    for (text, start) in no_requests() {
        let problems = kirtle::draft_json(&text).unwrap_err();
        assert_eq!(problems.len(), 1);
        assert!(said(&problems)[0].starts_with(start), "{}", said(&problems)[0]);
    }
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
    let rules =
        Rules { panel_rules: PanelRules { balance: f64::NEG_INFINITY, ..PanelRules::default() }, ..Rules::default() };
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

#[test]
fn a_request_in_inches_keeps_to_the_ranges_in_inches() {
    let request = Request::from_json(r#"{"unit": "in", "body": {"waist": 78, "hip": 80, "hip_depth": 8, "length": 24}, "ease": {"waist": 1, "hip": 2}}"#).unwrap();
    let wider = Request { body: Body { waist: 78.5, ..request.body }, ..request };
    assert_eq!(said(&wider.draft().unwrap_err()), ["above_maximum body.waist: 78.5 in is above the maximum of 78 in"]);
}

#[test]
fn what_is_wrong_with_sizes_names_them_and_what_is_wrong_with_all_is_told_once() {
    let chart = SizeChart::demo();
    let ease = Ease { waist: 99.0, hip: 500.0 };
    let problems = chart.draft(&ease, &Rules::default()).unwrap_err();
    assert_eq!(problems.iter().map(|problem| problem.field.as_str()).collect::<Vec<_>>(), ["ease.waist", "ease.hip"]);

    let problems = chart.draft(&EASE, &darts(&[(2.0, 18.3, 0.5)])).unwrap_err();
    let fields: Vec<&str> = problems.iter().map(|problem| problem.field.as_str()).collect();
    assert_eq!(fields, ["32", "34"].map(|name| format!("size {name:?} rules.darts.back")));
}

#[test]
fn what_cannot_be_cut_is_refused() {
    for (part, sentences) in WRONG_ON_PAPER {
        let problems = kirtle::draft_json(&request(part)).unwrap_err();
        assert_eq!(said(&problems), *sentences, "{part}");
    }
}

#[test]
fn what_is_no_chart_is_refused() {
    for (chart, sentences) in WRONG_CHARTS {
        let problems = kirtle::chart_json(chart).unwrap_err();
        assert_eq!(said(&problems), *sentences, "{chart}");
    }
    let table = "name,waist,hip,hip_depth,length\n38,72\n";
    let problems = SizeChart::from_csv(table, Unit::Cm).unwrap_err();
    assert!(said(&problems)[0].starts_with("broken_table chart: is not a table of sizes: "), "{problems}");
}

#[test]
fn what_cannot_be_corrected_is_refused() {
    for (part, sentences) in WRONG_CORRECTIONS {
        let problems = kirtle::draft_json(&request(part)).unwrap_err();
        assert_eq!(said(&problems), *sentences, "{part}");
    }
}

#[test]
fn a_body_beyond_the_chart_is_told_by_how_much() {
    let range = SizeChart::demo().draft(&EASE, &Rules::default()).unwrap();
    let problems = range.alter(&Body { waist: 50.0, hip: 140.0, ..BODY }, None).unwrap_err();
    let beyond = [
        "outside_chart body.waist: 50 cm is beyond the chart, which ends at 60 cm",
        "outside_chart body.hip: 140 cm is beyond the chart, which ends at 132 cm",
    ];
    assert_eq!(said(&problems), beyond);
    let advice = SizeChart::demo().choose(&Body { hip: 140.0, ..BODY }).advice(Unit::Cm);
    assert!(advice.contains("the hip is 8.0 cm larger than that of the largest size, 54"), "{advice}");
}

#[test]
fn what_cannot_be_printed_is_refused() {
    for (problems, sentence) in unprintable() {
        assert!(said(&problems)[0].starts_with(sentence), "{}", said(&problems)[0]);
    }
}

/// The problems of a table whose columns have different numbers of rows.
fn of_different_rows() -> Problems {
    let Body { waist, hip, .. } = BODY;
    let (waist, hip) = ([waist; 3], [hip; 2]);
    let body = Body { waist: Column::Values(&waist), hip: Column::Values(&hip), ..BODY.map(Column::Constant) };
    let rules = Column::rules(&Rules::default());
    let bodies = Bodies { body, ease: EASE.map(Column::Constant), rules, unit: Unit::Cm };
    bodies.draft(&Threads::new(Some(1)).unwrap()).unwrap_err()
}

#[test]
fn columns_of_different_rows_are_refused() {
    let sentence = "different_rows body.hip: has 2 rows; the first column has 3 rows";
    assert_eq!(said(&of_different_rows()), [sentence]);
}

/// The problems of a covariance that is none, and of a target out of reach.
fn of_questions() -> [Problems; 2] {
    let draft = kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap();
    [
        StandardErrors::with_covariance(&["body.waist"], &[vec![-1.0]]).unwrap_err(),
        draft.seek("ease.hip", &Target::Darts(Half::Back, 3), None, Unit::Cm).unwrap_err(),
    ]
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
    let on_paper = WRONG_ON_PAPER.iter().map(|(part, _)| kirtle::draft_json(&request(part)).unwrap_err());
    let of_charts = WRONG_CHARTS.iter().map(|(chart, _)| kirtle::chart_json(chart).unwrap_err());
    let corrected = WRONG_CORRECTIONS.iter().map(|(part, _)| kirtle::draft_json(&request(part)).unwrap_err());
    let range = SizeChart::demo().draft(&EASE, &Rules::default()).unwrap();
    let beyond = range.alter(&Body { hip: 140.0, ..BODY }, None).unwrap_err();
    let of_sizes = of_charts.chain(corrected).chain([beyond, SizeChart::from_csv("", Unit::Cm).unwrap_err()]);
    let broken = SizeChart::from_csv("name,waist\n38\n", Unit::Cm).unwrap_err();
    let of_sheets = unprintable().into_iter().map(|(problems, _)| problems);
    let all = of_parts
        .chain(of_texts)
        .chain(of_drafts)
        .chain([no_number, outside])
        .chain(on_paper)
        .chain(of_sheets)
        .chain(of_sizes)
        .chain([broken, of_different_rows()])
        .chain(of_questions());
    let provoked: BTreeSet<&str> = all.flat_map(|problems| problems.to_vec()).map(|p| p.code.name()).collect();
    assert_eq!(provoked, Code::ALL.iter().map(|code| code.name()).collect());
}

/// Odd but valid ways to cut, each with the finding that it gets.
fn findings_about_cutting() -> Vec<&'static str> {
    let wide = Allowances { waist: 5.0, side: 5.0, hem: 10.0, centre_back: 5.0 };
    let cut = |allowances| Cutting { allowances, ..Cutting::default() };
    let short = Body { length: 25.0, ..BODY };
    let bulging = Body { waist: 140.0, hip: 76.0, hip_depth: 10.0, length: 60.0 };
    let usual = Cutting::default().allowances;
    let table = [
        (BODY, darts(&[(4.0, 4.0, 0.4), (4.0, 4.0, 0.67)]), cut(wide), "waist_allowance_reduced"),
        (bulging, Rules::default(), cut(wide), "side_allowance_reduced"),
        (short, Rules::default(), cut(wide), "hem_above_hip_line"),
        (BODY, darts(&[(1.0, 10.0, 0.08)]), cut(Allowances { centre_back: 5.0, ..usual }), "fold_not_mirrored"),
        (BODY, Rules::default(), Cutting { opening: Opening::Given(6.0), ..Cutting::default() }, "hip_cannot_pass"),
        (BODY, Rules::default(), Cutting { name: "漢字".to_owned(), ..Cutting::default() }, "name_not_printed"),
    ];
    table
        .map(|(body, rules, cutting, code)| {
            let pattern = kirtle::draft(&body, &EASE, &rules).unwrap().pattern(&cutting).unwrap();
            let findings = pattern.findings();
            let found = findings.iter().find(|finding| finding.code == code);
            let found = found.unwrap_or_else(|| panic!("{code} is not in {findings:?}"));
            assert!(!found.message.contains('{'), "{}", found.message);
            code
        })
        .into()
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
    provoked.extend(findings_about_cutting());
    let draft = kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap();
    let full = BodyProfile::HighHip { girth: 99.0, depth: 8.0 };
    let found = draft.ease_findings(&draft.ease_by_level(&full, None, Unit::Cm).unwrap());
    provoked.insert(FindingCode::ALL.iter().map(|code| code.name()).find(|code| *code == found[0].code).unwrap());
    assert_eq!(provoked, FindingCode::ALL.iter().map(|code| code.name()).collect());
    assert_eq!(kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap().findings(), []);
}
