//! Every error code and finding, provoked: wrong inputs as a table, each with its whole message.

use std::collections::BTreeSet;

use crate::counts::rules_with_counts;
use crate::wrong::{
    BODY, EASE, WRONG_CHARTS, WRONG_CORRECTIONS, WRONG_CUTTINGS, WRONG_MEMBERS, invalid_documents, request_with,
    rules_with_back_darts, unprintable, unsewable,
};
use kirtle::batch::{Bodies, Column, Threads};
use kirtle::document::Request;
use kirtle::ease_profile::BodyProfile;
use kirtle::interrupt::interruptible;
use kirtle::pattern::{Vent, WaistFinish, WaistFinishKind};
use kirtle::sensitivity::{SeekTarget, StandardErrors};
use kirtle::size_search::{Loss, best_sizes};
use kirtle::sizes::ChoiceRule;
use kirtle::survey::PeopleColumns;
use kirtle::{
    Allowances, Body, Code, Cutting, DartCount, Ease, Figure, Finding, FindingCode, Half, Opening, PanelRules,
    Problems, Rules, SizeChart, Unit,
};

/// Returns code and message of each problem.
fn sentences(problems: &Problems) -> Vec<String> {
    problems.iter().map(|problem| format!("{} {problem}", problem.code.name())).collect()
}

#[test]
fn each_wrong_member_of_a_request_gets_its_messages() {
    for (member, expected) in WRONG_MEMBERS {
        let problems = kirtle::draft_json(&request_with(member)).unwrap_err();
        assert_eq!(sentences(&problems), *expected, "{member}");
    }
}

#[test]
fn an_invalid_document_is_refused_in_one_message() {
    for (text, start) in invalid_documents() {
        let problems = kirtle::draft_json(&text).unwrap_err();
        assert_eq!(problems.len(), 1);
        assert!(sentences(&problems)[0].starts_with(start), "{}", sentences(&problems)[0]);
    }
}

#[test]
fn drafts_that_cannot_be_sewn_are_refused() {
    for (body, ease, rules, sentence) in unsewable() {
        let problems = kirtle::draft(&body, &ease, &rules).unwrap_err();
        assert!(sentences(&problems)[0].starts_with(sentence), "{}", sentences(&problems)[0]);
    }
}

#[test]
fn nan_and_infinity_are_refused_in_rust() {
    let body = Body { waist: f64::NAN, hip: f64::INFINITY, ..BODY };
    let rules =
        Rules { panel_rules: PanelRules { balance: f64::NEG_INFINITY, ..PanelRules::default() }, ..Rules::default() };
    let problems = kirtle::draft(&body, &EASE, &rules).unwrap_err();
    assert_eq!(
        sentences(&problems),
        [
            "not_finite body.waist: NaN is not finite; give a number from 40 to 200 cm",
            "not_finite body.hip: inf is not finite; give a number from 50 to 220 cm",
            "not_finite rules.balance: -inf is not finite; give a number from -5 to 5 cm",
        ]
    );
}

#[test]
fn a_request_in_inches_is_checked_by_the_ranges_in_inches() {
    let request = Request::from_json(r#"{"unit": "in", "body": {"waist": 78, "hip": 80, "hip_depth": 8, "length": 24}, "ease": {"waist": 1, "hip": 2}}"#).unwrap();
    let wider = Request { body: Body { waist: 78.8, ..request.body }, ..request };
    assert_eq!(
        sentences(&wider.draft().unwrap_err()),
        ["above_maximum body.waist: 78.8 in is above the maximum of 78.74 in"]
    );
}

#[test]
fn a_problem_of_one_size_names_the_size_and_a_problem_of_all_is_reported_once() {
    let chart = SizeChart::demo();
    let ease = Ease { waist: 99.0, hip: 500.0 };
    let problems = chart.draft(&ease, &Rules::default()).unwrap_err();
    assert_eq!(problems.iter().map(|problem| problem.field.as_str()).collect::<Vec<_>>(), ["ease.waist", "ease.hip"]);

    let problems = chart.draft(&EASE, &rules_with_back_darts(&[(2.0, 18.3, 0.5)])).unwrap_err();
    let fields: Vec<&str> = problems.iter().map(|problem| problem.field.as_str()).collect();
    assert_eq!(fields, ["32", "34"].map(|name| format!("size {name:?} rules.darts.back")));
}

#[test]
fn wrong_cuttings_and_cloths_are_refused() {
    for (member, expected) in WRONG_CUTTINGS {
        let problems = kirtle::draft_json(&request_with(member)).unwrap_err();
        assert_eq!(sentences(&problems), *expected, "{member}");
    }
}

#[test]
fn wrong_charts_are_refused() {
    for (chart, expected) in WRONG_CHARTS {
        let problems = kirtle::chart_json(chart).unwrap_err();
        assert_eq!(sentences(&problems), *expected, "{chart}");
    }
    let table = "name,waist,hip,hip_depth,length\n38,72\n";
    let problems = SizeChart::from_csv(table, Unit::Cm).unwrap_err();
    let expected = "broken_table chart: not a valid size table: line 2 has 2 values, the header has 5 columns";
    assert_eq!(sentences(&problems), [expected]);
}

#[test]
fn wrong_corrections_are_refused() {
    for (member, expected) in WRONG_CORRECTIONS {
        let problems = kirtle::draft_json(&request_with(member)).unwrap_err();
        assert_eq!(sentences(&problems), *expected, "{member}");
    }
}

#[test]
fn a_body_outside_the_chart_is_refused_with_the_limits_of_the_chart() {
    let range = SizeChart::demo().draft(&EASE, &Rules::default()).unwrap();
    let problems = range.alter(&Body { waist: 50.0, hip: 140.0, ..BODY }, None).unwrap_err();
    let beyond = [
        "outside_chart body.waist: 50 cm is outside the size chart, which ends at 60 cm: draft this body individually",
        "outside_chart body.hip: 140 cm is outside the size chart, which ends at 132 cm: draft this body individually",
    ];
    assert_eq!(sentences(&problems), beyond);
    let advice = SizeChart::demo().choose(&Body { hip: 140.0, ..BODY }, &ChoiceRule::default()).advice(None, Unit::Cm);
    assert!(advice.contains("the hip is 8.0 cm larger than the hip of the largest size, 54"), "{advice}");
}

#[test]
fn papers_that_cannot_be_printed_on_are_refused() {
    for (problems, sentence) in unprintable() {
        assert!(sentences(&problems)[0].starts_with(sentence), "{}", sentences(&problems)[0]);
    }
}

/// Returns the problems of a table whose columns have different numbers of rows.
fn problems_of_different_rows() -> Problems {
    let Body { waist, hip, .. } = BODY;
    let (waist, hip) = ([waist; 3], [hip; 2]);
    let body = Body { waist: Column::Values(&waist), hip: Column::Values(&hip), ..BODY.map(Column::Constant) };
    let rules = Column::constant_rules(&Rules::default());
    let bodies = Bodies { body, figure: Figure::default(), ease: EASE.map(Column::Constant), rules, unit: Unit::Cm };
    bodies.draft(&Threads::new(Some(1)).unwrap()).unwrap_err()
}

#[test]
fn columns_with_different_numbers_of_rows_are_refused() {
    let sentence = "different_rows body.hip: this column has 2 rows, but the first column has 3 rows";
    assert_eq!(sentences(&problems_of_different_rows()), [sentence]);
}

/// Returns the problems of an invalid covariance, of a target out of reach, of a search that is stopped, and of millimetres taken
/// as centimetres.
fn problems_of_analyses() -> [Problems; 4] {
    let draft = kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap();
    [
        StandardErrors::with_covariance(&["body.waist"], &[vec![-1.0]]).unwrap_err(),
        draft.seek("ease.hip", &SeekTarget::Darts(Half::Back, 3), None, Unit::Cm).unwrap_err(),
        problems_of_a_stopped_search(),
        PeopleColumns { waist: &[720.0], hip: &[960.0], ..PeopleColumns::default() }.check_unit(Unit::Cm).unwrap_err(),
    ]
}

/// Returns the problems that the work of `interruptible` sees after the callback has failed.
fn problems_of_a_stopped_search() -> Problems {
    let (sender, receiver) = std::sync::mpsc::channel();
    let girths: Vec<f64> = (0..20_000).map(f64::from).collect();
    let work = || sender.send(best_sizes(&girths, None, 40, &Loss::Squared)).unwrap();
    assert_eq!(interruptible(|| Err(1), work), Err(1));
    receiver.recv().unwrap().unwrap_err()
}

#[test]
fn a_stopped_search_has_a_problem_of_its_own() {
    assert_eq!(sentences(&problems_of_a_stopped_search()), ["stopped search: stopped before the end"]);
}

#[test]
fn every_error_code_is_provoked() {
    let of_members = WRONG_MEMBERS.iter().map(|(member, _)| kirtle::draft_json(&request_with(member)).unwrap_err());
    let of_texts = invalid_documents().into_iter().map(|(text, _)| kirtle::draft_json(&text).unwrap_err());
    let of_drafts =
        unsewable().into_iter().map(|(body, ease, rules, _)| kirtle::draft(&body, &ease, &rules).unwrap_err());
    let not_finite = kirtle::draft(&Body { waist: f64::NAN, ..BODY }, &EASE, &Rules::default()).unwrap_err();
    let outside = kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap().girth_at(99.0).unwrap_err();
    let of_cuttings = WRONG_CUTTINGS.iter().map(|(member, _)| kirtle::draft_json(&request_with(member)).unwrap_err());
    let of_charts = WRONG_CHARTS.iter().map(|(chart, _)| kirtle::chart_json(chart).unwrap_err());
    let of_corrections =
        WRONG_CORRECTIONS.iter().map(|(member, _)| kirtle::draft_json(&request_with(member)).unwrap_err());
    let beyond = SizeChart::demo().blend_for_body(&Body { hip: 140.0, ..BODY }).unwrap_err();
    let size = |name: &str| kirtle::Size { name: name.to_owned(), body: BODY };
    let unordered = SizeChart::new(vec![size("38"), size("38 tall")]).unwrap().blend_for_body(&BODY).unwrap_err();
    let of_sizes =
        of_charts.chain(of_corrections).chain([beyond, unordered, SizeChart::from_csv("", Unit::Cm).unwrap_err()]);
    let broken = SizeChart::from_csv("name,waist\n38\n", Unit::Cm).unwrap_err();
    let all = of_members
        .chain(of_texts)
        .chain(of_drafts)
        .chain([not_finite, outside])
        .chain(of_cuttings)
        .chain(unprintable().into_iter().map(|(problems, _)| problems))
        .chain(of_sizes)
        .chain([broken, problems_of_different_rows(), problems_of_a_deep_facing(), problems_of_a_high_vent()])
        .chain([problems_of_a_steep_waist(), problems_of_a_lone_length(), problems_of_wrong_arcs()])
        .chain(problems_of_analyses());
    let provoked: BTreeSet<&str> = all.flat_map(|problems| problems.to_vec()).map(|p| p.code.name()).collect();
    assert_eq!(provoked, Code::ALL.iter().map(|code| code.name()).collect());
}

/// Returns the problems of a facing for a waist that bends sharply.
fn problems_of_a_deep_facing() -> Problems {
    let draft = kirtle::draft(&BODY, &EASE, &rules_with_back_darts(&[(4.5, 4.0, 0.3), (4.5, 4.0, 0.7)])).unwrap();
    let problems = draft.pattern(&faced()).unwrap_err();
    let message = "cutting.facing_depth: the waist curves too sharply, or its seams are too short, for a facing 6 cm deep; the maximum is";
    assert!(problems.to_string().starts_with(message), "{problems}");
    problems
}

/// Returns the problems of a waist whose measured front lies far below its side.
fn problems_of_a_steep_waist() -> Problems {
    let figure = Figure { front_length: Some(88.0), side_length: Some(100.0), ..Figure::default() };
    let problems = kirtle::draft_figure(&BODY, &figure, &EASE, &Rules::default()).unwrap_err();
    let start = "waist_too_tilted body.figure.front_length: the waist would tilt by ";
    let end = " deg from a waist with square corners; the maximum is 15 deg: check the three lengths to the floor";
    let sentence = &sentences(&problems)[0];
    assert!(sentence.starts_with(start) && sentence.ends_with(end), "{sentence}");
    problems
}

/// Returns the problems of a figure that contradicts body and rules.
fn problems_of_wrong_arcs() -> Problems {
    let figure = Figure { front_hip: Some(BODY.hip * 0.7), ..Figure::default() };
    let rules = Rules { panel_rules: PanelRules { balance: 0.0, ..PanelRules::default() }, ..Rules::default() };
    kirtle::draft_figure(&BODY, &figure, &EASE, &rules).unwrap_err()
}

/// Returns the problems of a figure with one length.
fn problems_of_a_lone_length() -> Problems {
    let figure = Figure { back_length: Some(100.0), ..Figure::default() };
    kirtle::draft_figure(&BODY, &figure, &EASE, &Rules::default()).unwrap_err()
}

/// Returns the problems of a vent that reaches the zip opening.
fn problems_of_a_high_vent() -> Problems {
    let draft = kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap();
    let vent = Some(Vent { vent: 45.0, vent_width: 4.0 });
    draft.pattern(&Cutting { vent, opening: Opening::Given(20.0), ..Cutting::default() }).unwrap_err()
}

/// Returns the cutting of a skirt with a facing.
fn faced() -> Cutting {
    let finish = WaistFinish::with_usual_lengths(WaistFinishKind::Facing, Unit::Cm);
    Cutting { finish: Some(finish), ..Cutting::default() }
}

/// Returns the cutting of a skirt with a vent as high as given.
fn vented(vent: f64) -> Cutting {
    Cutting { vent: Some(Vent { vent, vent_width: 4.0 }), ..Cutting::default() }
}

/// Asserts that odd but valid cuttings get their findings, and returns the findings.
fn findings_about_cutting() -> Vec<Finding> {
    let wide = Allowances { waist: 5.0, side: 5.0, hem: 10.0, centre_back: 5.0 };
    let cut = |allowances| Cutting { allowances, ..Cutting::default() };
    let short = Body { length: 25.0, ..BODY };
    let bulging = Body { waist: 140.0, hip: 76.0, hip_depth: 10.0, length: 60.0 };
    let usual = Cutting::default().allowances;
    let table = [
        (BODY, rules_with_back_darts(&[(4.0, 4.0, 0.4), (4.0, 4.0, 0.67)]), cut(wide), "waist_allowance_reduced"),
        (bulging, Rules::default(), cut(wide), "side_allowance_reduced"),
        (short, Rules::default(), cut(wide), "hem_above_hip_line"),
        (
            BODY,
            rules_with_back_darts(&[(1.0, 10.0, 0.08)]),
            cut(Allowances { centre_back: 5.0, ..usual }),
            "fold_not_mirrored",
        ),
        (BODY, Rules::default(), Cutting { opening: Opening::Given(6.0), ..Cutting::default() }, "hip_cannot_pass"),
        (BODY, Rules::default(), vented(40.0), "opening_shortened"),
        (BODY, rules_with_back_darts(&[(2.0, 5.0, 0.5)]), faced(), "facing_below_dart"),
        (Body { length: 90.0, ..BODY }, Rules::default(), vented(10.0), "low_vent"),
        (BODY, Rules::default(), Cutting { name: "漢字".to_owned(), ..Cutting::default() }, "name_not_printed"),
    ];
    table
        .map(|(body, rules, cutting, code)| {
            let pattern = kirtle::draft(&body, &EASE, &rules).unwrap().pattern(&cutting).unwrap();
            pattern.findings().into_iter().find(|finding| finding.code == code).expect(code)
        })
        .into()
}

/// Returns the findings of odd but valid figures.
fn findings_about_the_figure() -> Vec<Finding> {
    let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
    let by_darts = rules_with_back_darts(&[(2.0, 12.0, 0.5)]);
    // Length at front, side and back; front hip, front waist, high hip and its depth.
    let table = [
        ([96.0, 100.0, 97.0, 47.0, 26.0, 101.0, 6.0], Rules::default()),
        ([100.0, 100.0, 97.0, 54.0, 46.0, 112.0, 6.0], Rules::default()),
        ([96.0, 100.0, 97.0, 47.0, 26.0, 101.0, 6.0], by_darts),
    ];
    let findings = table.map(|(figure, rules)| {
        let figure = Figure::from_array(figure.map(Some));
        kirtle::draft_figure(&body, &figure, &EASE, &rules).unwrap().findings()
    });
    findings.concat()
}

/// Returns findings of odd but valid skirts: of each code, and with each of their words.
pub(crate) fn provoked_findings() -> Vec<Finding> {
    let with = |waist, hip| Body { waist, hip, ..BODY };
    let slanted = PanelRules { centre_back_in: 2.4, ..PanelRules::default() };
    let table = [
        (with(100.0, 92.0), EASE, Rules::default(), "waist_larger_than_hip"),
        (with(90.0, 92.0), EASE, rules_with_back_darts(&[(6.0, 14.0, 0.5)]), "darts_exceed_suppression"),
        (with(74.0, 73.0), EASE, Rules { panel_rules: slanted, ..Rules::default() }, "darts_exceed_suppression"),
        (with(60.0, 110.0), EASE, Rules::default(), "side_seam_steep"),
        (with(60.0, 110.0), EASE, rules_with_back_darts(&[]), "side_seam_steep"),
        (BODY, Ease { waist: 0.0, hip: 6.0 }, Rules::default(), "little_waist_ease"),
        (BODY, Ease { waist: 2.0, hip: 2.0 }, Rules::default(), "little_hip_ease"),
        (Body { length: 90.0, ..BODY }, EASE, Rules::default(), "narrow_hem"),
        (BODY, EASE, rules_with_back_darts(&[(2.0, 16.0, 0.5)]), "tip_near_hip"),
        (with(89.0, 92.0), EASE, rules_with_counts([DartCount::Auto, DartCount::Exactly(1)]), "small_dart"),
        (BODY, EASE, rules_with_back_darts(&[(4.0, 8.0, 0.5)]), "blunt_dart"),
        (BODY, EASE, Rules { panel_rules: slanted, ..Rules::default() }, "centre_back_slanted"),
    ];
    let provoke = |(body, ease, rules, code): (Body, Ease, Rules, &str)| {
        let findings = kirtle::draft(&body, &ease, &rules).unwrap().findings();
        findings.into_iter().find(|finding| finding.code == code).expect(code)
    };
    let draft = kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap();
    let full_profile = BodyProfile::HighHip { girth: 99.0, depth: 8.0 };
    let tight = draft.ease_findings(&draft.ease_by_level(&full_profile, None, Unit::Cm).unwrap());
    let found = table.map(provoke).into_iter().chain(findings_about_cutting());
    found.chain(findings_about_the_figure()).chain(tight).collect()
}

#[test]
fn every_finding_is_provoked_and_an_ordinary_body_has_none() {
    let provoked = provoked_findings();
    assert!(provoked.iter().all(|finding| !finding.message.contains('{')), "{provoked:?}");
    let codes: BTreeSet<&str> = provoked.iter().map(|finding| &*finding.code).collect();
    assert_eq!(codes, FindingCode::ALL.iter().map(|code| code.name()).collect());
    assert_eq!(kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap().findings(), []);
}
