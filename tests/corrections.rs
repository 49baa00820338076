//! Laws of single corrections: each changes its target and nothing else; the errors; the fitting record.

use crate::bodies::cases;
use crate::bodies::chart::{EASE, assert_near, bodies_in_chart};
use crate::bodies::fitting::{BODY, correction, first_fitting};
use kirtle::document::Request;
use kirtle::sizes::{Correction, CorrectionSite, CorrectionTarget, Fitting};
use kirtle::{Apportionment, Body, Code, Darts, Draft, Rules, Unit};
use proptest::prelude::*;

/// Draws bodies with 18 to 32 cm between waist and hip; both panels of their drafts have darts.
fn shaped_bodies() -> impl Strategy<Value = Body> {
    let numbers = (84.0..132.0, 18.0..32.0, 17.0..24.0, 40.0..90.0);
    numbers.prop_map(|(hip, drop, hip_depth, length)| Body { waist: hip - drop, hip, hip_depth, length })
}

/// Returns the numbers of a draft of which each correction moves some and keeps the rest, by name.
fn movable_numbers(draft: &Draft) -> Vec<(String, f64)> {
    let (body, ease) = (draft.body(), draft.ease());
    let named = [
        ("waist", draft.sewn_waist()),
        ("hip", body.hip + ease.hip),
        ("hip line", body.hip_depth),
        ("length", body.length),
        ("back width", draft.back.width),
        ("front width", draft.front.width),
        ("side fullness", draft.rules().panel_rules.side_fullness),
    ];
    let darts = draft.panels().into_iter().flat_map(|panel| {
        panel.darts.iter().enumerate().flat_map(|(k, dart)| {
            let name = format!("{} {}", panel.half.name(), k + 1);
            [("dart_place", dart.centre), ("dart_length", dart.length), ("dart_intake", dart.intake)]
                .map(|(what, number)| (format!("{name} {what}"), number))
        })
    });
    named.map(|(name, number)| (name.to_owned(), number)).into_iter().chain(darts).collect()
}

/// Asserts that a correction moves each number of a draft by the expected amount, that the proof holds, and that undo
/// restores the draft.
fn assert_moves(before: &Draft, one: Correction, expected: impl Fn(&str) -> f64) -> Result<Draft, TestCaseError> {
    let fitted = Fitting::new(before.clone()).correct(&[one]).map_err(|_| TestCaseError::reject("refused"))?;
    let after = fitted.draft().clone();
    let (old, new) = (movable_numbers(before), movable_numbers(&after));
    prop_assert_eq!(old.len(), new.len());
    for ((name, old), (_, new)) in old.iter().zip(&new) {
        prop_assert!((new - old - expected(name)).abs() < 1e-9, "{one:?} moves {name} from {old} to {new}");
    }
    prop_assert!(after.proof().holds);
    let undone = fitted.undo();
    prop_assert_eq!(undone.draft(), before);
    Ok(after)
}

/// The centre back seam takes what is pinned there; each half of it goes in by half the girth.
#[test]
fn a_waist_pinned_at_the_centre_back_moves_the_centre_back_in() {
    let at_centre_back = |by| correction(CorrectionTarget::Waist, by, CorrectionSite::CentreBack);
    let (first, fitted) = (first_fitting(), first_fitting().correct(&[at_centre_back(-2.0)]).unwrap());
    let draft = fitted.draft();
    assert_eq!((draft.rules().panel_rules.centre_back_in, draft.ease().waist), (1.0, EASE.waist - 2.0));
    for (panel, other) in draft.panels().iter().zip(first.draft().panels()) {
        for (dart, before) in panel.darts.iter().zip(&other.darts) {
            let moved = (dart.intake - before.intake).abs().max((dart.centre - before.centre).abs());
            assert!(moved < 0.05, "{dart:?} {before:?}");
        }
    }
    let refused = |fitting: Fitting, by| fitting.correct(&[at_centre_back(by)]).unwrap_err().to_string();
    assert_eq!(refused(first, 1.0), "rules.centre_back_in: -0.5 cm is below the minimum of 0 cm");
    assert_eq!(refused(fitted, -4.0), "rules.centre_back_in: 3 cm is above the maximum of 2.5 cm");
}

#[test]
fn every_wrong_correction_is_refused_in_words() {
    use CorrectionSite::{Back1, Darts as AllDarts, Shared};
    use CorrectionTarget::{Balance, DartLength, DartPlace, SideFullness};
    let message = |fitting: Fitting, corrections: &[Correction]| fitting.correct(corrections).unwrap_err().to_string();
    let no_darts = Apportionment::Darts(Darts { back: Vec::new(), front: Vec::new() });
    let plain = kirtle::draft(&BODY, &EASE, &Rules { apportionment: no_darts, ..Rules::default() }).unwrap();
    assert_eq!(
        message(Fitting::new(plain), &[correction(DartPlace, 1.0, AllDarts)]),
        "corrections[0].at: the draft has no dart to change at \"darts\"; give a \"what\" without darts, as this draft has none"
    );
    assert_eq!(
        message(first_fitting(), &[correction(SideFullness, 1.6, Shared), correction(DartLength, -21.0, Shared)]),
        "corrections[0].by: 1.6 is above the maximum of 1.5\n\
         corrections[1].by: -21 cm is below the minimum of -20 cm\n\
         corrections[1].at: missing: give \"darts\", \"back\", \"front\", or one dart, counted from the centre, such as \"back 1\""
    );
    assert_eq!(
        message(first_fitting(), &[correction(SideFullness, 1.25, Shared), correction(Balance, 4.5, Shared)]),
        "rules.balance: 5.5 cm is above the maximum of 5 cm\nrules.side_fullness: 2.75 is above the maximum of 2.5"
    );
    assert_eq!(
        message(first_fitting(), &[correction(DartLength, 19.0, Back1)]),
        "rules.darts.back[0].length: 31.240000000000002 cm is above the maximum of 30 cm"
    );
    let moved = message(first_fitting(), &[correction(DartPlace, 4.5, Back1)]);
    assert!(
        moved.starts_with("rules.darts.back: between two darts, or a dart and a seam, 0.1 cm of cloth is left;"),
        "{moved}"
    );
}

const FITTING_RECORD: &str = "\
Fitting 1 (cm)                                     requested
waist at side                                             -1
side fullness (ratio)                                  +0.25
dart length at back 1                                     +1

Input (cm)                                 before      after
waist ease                                    1.5        0.5
side fullness (ratio)                         1.5       1.75
darts                                   by shares      given

Measurements with the same effect (cm)     before      after
high hip                                                93.4
high hip depth                                           9.0

Pattern (cm)                               before      after
finished waist                               71.5       70.5
along the side seam                          60.5       60.6
waist shaping, side seam, each panel          3.7        4.0
finished girth half-way to hip line          94.0       93.9
back, waist lower at centre                   0.9        1.0
back, centre seam or fold                    59.1       59.0
back dart 1, length                          12.2       13.2
front, waist lower at centre                  1.0        1.2
front, centre seam or fold                   59.0       58.8

Fitting 2 (cm)                                     requested
dart place at front                                   -0.635

Input (cm)                                 before      after
given darts                                          changed

Pattern (cm)                               before      after
front, waist lower at centre                  1.2        1.3
front, centre seam or fold                   58.8       58.7
front dart 1, from centre                     7.5        6.9
front dart 2, from centre                    15.0       14.4
";

#[test]
fn the_fitting_record_lists_corrections_changed_inputs_and_changed_lengths() {
    let corrections = [
        correction(CorrectionTarget::Waist, -1.0, CorrectionSite::Side),
        correction(CorrectionTarget::SideFullness, 0.25, CorrectionSite::Shared),
        correction(CorrectionTarget::DartLength, 1.0, CorrectionSite::Back1),
    ];
    let one = first_fitting().correct(&corrections).unwrap();
    let two = one.correct(&[correction(CorrectionTarget::DartPlace, -0.635, CorrectionSite::Front)]).unwrap();
    assert_eq!(two.fitting_record(Unit::Cm), FITTING_RECORD);
    let in_inches = two.fitting_record(Unit::In);
    let rows: Vec<Vec<&str>> = in_inches.lines().map(|line| line.split_whitespace().collect()).collect();
    assert!(rows.contains(&vec!["dart", "place", "at", "front", "-1/4"]), "{in_inches}");
    assert!(rows.contains(&vec!["side", "fullness", "(ratio)", "1.5", "1.75"]), "{in_inches}");
    assert!(rows.contains(&vec!["finished", "waist", "28", "1/8", "27", "3/4"]), "{in_inches}");
    let html = two.fitting_record_html(Unit::Cm);
    assert!(html.starts_with(
        "<table><tbody><tr><th>Fitting 1 (cm)</th><th></th><th>requested</th></tr><tr><td>waist at side</td>"
    ));
    assert_eq!(
        html.matches("<tr>").count(),
        two.fitting_record(Unit::Cm).lines().filter(|line| !line.is_empty()).count()
    );
    assert_eq!(first_fitting().fitting_record(Unit::Cm), "");
}

#[test]
fn dart_corrections_are_read_from_json_in_the_unit_of_the_request() {
    let corrections = r#"[{"what": "dart_length", "by": 0.5, "at": "back 1"}, {"what": "side_fullness", "by": 0.25}]"#;
    let request = format!(
        r#"{{"unit": "in", "body": {{"waist": 28, "hip": 38, "hip_depth": 8, "length": 24}}, "ease": {{"waist": 0.5, "hip": 2}},
            "corrections": {corrections}}}"#
    );
    let request = Request::from_json(&request).unwrap();
    let plain = Request { corrections: Vec::new(), ..request.clone() };
    let [corrected, before] = [&request, &plain].map(|request| request.draft().unwrap());
    assert!((corrected.back.darts[0].length - before.back.darts[0].length - 0.5 * 2.54).abs() < 1e-9);
    assert_near(corrected.rules().panel_rules.side_fullness, 1.75, 0.0);
    assert_eq!(Request::from_json(&request.to_json()).unwrap(), request);
    let changes = request.report().unwrap().changes;
    let fullness = changes.iter().find(|change| change.field == "rules.side_fullness").unwrap();
    assert_eq!((fullness.before, fullness.after), (Some(1.5), 1.75));
}

proptest! {
    #![proptest_config(cases(2_000))]

    #[test]
    fn a_correction_of_darts_moves_what_it_says_of_the_darts_it_names_and_nothing_else(
        body in bodies_in_chart(), target in 8..11_usize, at in prop::sample::select(CorrectionSite::ALL[2..11].to_vec()),
        by in -0.5..0.5_f64,
    ) {
        let Ok(first) = kirtle::draft(&body, &EASE, &Rules::default()) else { return Err(TestCaseError::reject("refused")) };
        let one = correction(CorrectionTarget::ALL[target], by, at);
        let (site, what) = (at.name(), one.what.name());
        let numbers = movable_numbers(&first);
        let is_moved = |name: &str| name.ends_with(what) && (site == "darts" || name.starts_with(site));
        if numbers.iter().any(|(name, _)| is_moved(name)) {
            assert_moves(&first, one, |name| if is_moved(name) { by } else { 0.0 })?;
        } else {
            let problems = Fitting::new(first).correct(&[one]).unwrap_err();
            prop_assert_eq!((problems[0].code, problems[0].field.as_str()), (Code::NoDart, "corrections[0].at"));
        }
    }

    #[test]
    fn a_correction_of_side_fullness_or_balance_keeps_the_darts(body in shaped_bodies(), by in -0.5..0.5_f64) {
        let Ok(first) = kirtle::draft(&body, &EASE, &Rules::default()) else { return Err(TestCaseError::reject("refused")) };
        let fuller = correction(CorrectionTarget::SideFullness, by, CorrectionSite::Shared);
        let after = assert_moves(&first, fuller, |name| if name == "side fullness" { by } else { 0.0 })?;
        let room = |draft: &Draft| draft.girth_at(body.hip_depth / 2.0).unwrap();
        prop_assert!(by.abs() < 0.01 || (room(&after) > room(&first)) == (by > 0.0));
        let balanced = correction(CorrectionTarget::Balance, by, CorrectionSite::Shared);
        assert_moves(&first, balanced, |name| match name {
            "front width" => by,
            "back width" => -by,
            _ => 0.0,
        })?;
    }

    #[test]
    fn a_correction_by_zero_moves_no_point(body in shaped_bodies(), pick in 0..CorrectionTarget::ALL.len()) {
        let Ok(first) = kirtle::draft(&body, &EASE, &Rules::default()) else { return Err(TestCaseError::reject("refused")) };
        let site = if pick < 8 { CorrectionSite::Shared } else { CorrectionSite::Darts };
        let fitted = Fitting::new(first.clone()).correct(&[correction(CorrectionTarget::ALL[pick], 0.0, site)]).unwrap();
        let points = |draft: &Draft| -> Vec<kirtle::Point> {
            draft.panels().iter().flat_map(|panel| &panel.edges).flat_map(|edge| edge.path.points().to_vec()).collect()
        };
        for (before, after) in points(&first).into_iter().zip(points(fitted.draft())) {
            prop_assert!((before - after).norm() < 1e-9);
        }
        prop_assert_eq!(points(&first).len(), points(fitted.draft()).len());
        // Only the row that says "nothing" stands below the head of each table, or that the darts are given.
        let record = fitted.fitting_record(Unit::Cm);
        prop_assert!(record.ends_with("Pattern (cm)                               before      after\nnothing\n"), "{record}");
    }

    #[test]
    fn intake_moved_from_one_dart_to_another_keeps_the_side_seams(body in shaped_bodies(), by in -0.4..0.4_f64) {
        let Ok(first) = kirtle::draft(&body, &EASE, &Rules::default()) else { return Err(TestCaseError::reject("refused")) };
        let intake = |by, at| correction(CorrectionTarget::DartIntake, by, at);
        let moved = [intake(by, CorrectionSite::Back1), intake(-by, CorrectionSite::Front1)];
        let fitted = Fitting::new(first.clone()).correct(&moved).unwrap();
        // The curve of the waist changes the side seams by at most a tenth of the movement.
        let change = (fitted.draft().suppression.side - first.suppression.side).abs();
        prop_assert!(change <= 0.1 * by.abs() + 1e-9, "{change}");
        let back = [&first, fitted.draft()].map(|draft| draft.suppression.back);
        prop_assert!((back[1] - back[0] - by).abs() < 1e-9);
    }
}
