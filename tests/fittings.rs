//! Laws of fittings: corrections after the trial garment, and what they change.

use crate::bodies::cases;
use crate::bodies::chart::{EASE, bodies_in_chart};
use crate::bodies::fitting::{correction, first_fitting};
use kirtle::document::{FittingReport, Report, Request};
use kirtle::field::FieldKind;
use kirtle::sizes::{Correction, CorrectionSite, CorrectionTarget, Fitting, InputChange};
use kirtle::{Code, Rules, Unit};
use proptest::prelude::*;
use serde_json::json;

/// Sites of darts that a draft of a shaped body has.
const SITES_OF_DARTS: [CorrectionSite; 5] =
    [CorrectionSite::Darts, CorrectionSite::Back, CorrectionSite::Front, CorrectionSite::Back1, CorrectionSite::Front1];

fn change(field: &str, before: impl Into<Option<f64>>, after: f64) -> InputChange {
    InputChange { field: field.to_owned(), kind: FieldKind::Length, before: before.into(), after }
}

#[test]
fn every_fitting_records_its_corrections_and_changes() {
    let corrections = [
        vec![
            correction(CorrectionTarget::Waist, 1.0, CorrectionSite::Shared),
            correction(CorrectionTarget::HipLine, 0.5, CorrectionSite::Shared),
        ],
        vec![correction(CorrectionTarget::CentreBack, 1.5, CorrectionSite::Shared)],
    ];
    let one = first_fitting().correct(&corrections[0]).unwrap();
    assert_eq!(one.changes(), [change("body.hip_depth", 18.0, 18.5), change("ease.waist", 1.5, 2.5)]);
    let two = one.clone().correct(&corrections[1]).unwrap();
    assert_eq!(two.changes(), [change("rules.centre_back_lower", 0.0, 1.5)]);
    assert_eq!(two.rounds().iter().map(|round| &round.corrections[..]).collect::<Vec<_>>(), corrections);
    let validator = jsonschema::draft202012::new(&kirtle::document::schema("fitting").unwrap()).unwrap();
    let document = FittingReport::new(&two, Unit::In).to_json();
    let report: FittingReport = serde_json::from_str(&document).unwrap();
    assert_eq!(report.rounds.iter().map(|round| round.corrections.len()).collect::<Vec<_>>(), [2, 1]);
    assert_eq!((report.rounds[1].corrections[0].by, report.rounds[0].changes[1].after), (1.5 / 2.54, 2.5 / 2.54));
    assert_eq!(report.result, Report::new(two.draft(), Unit::In));
    assert!(validator.is_valid(&serde_json::from_str(&document).unwrap()));
    let mut stored: serde_json::Value = serde_json::from_str(&document).unwrap();
    (stored["result"], stored["rounds"][0]["by_version_9"]) = (json!({}), json!(1));
    assert_eq!(Fitting::from_json(&stored.to_string()).unwrap().rounds().len(), 2);
    stored["request"]["body"]["hip"] = json!(1);
    let problems = Fitting::from_json(&stored.to_string()).unwrap_err();
    assert_eq!(problems.to_string(), "request.body.hip: 1 in is below the minimum of 19.69 in");
    stored["format"] = json!(2);
    assert_eq!(Fitting::from_json(&stored.to_string()).unwrap_err().to_string(), "format: 2 is not 1");
    assert_eq!(two.undo(), one);
    assert!(first_fitting().changes().is_empty() && first_fitting().rounds().is_empty());
}

#[test]
fn a_correction_at_the_side_turns_darts_by_shares_into_given_darts() {
    let fitting = first_fitting();
    let drafted = fitting.draft().clone();
    let corrected = fitting.correct(&[correction(CorrectionTarget::Hip, 2.0, CorrectionSite::Side)]).unwrap();
    let dart = drafted.front.darts[0];
    let expected = [
        change("ease.hip", 5.0, 7.0),
        change("rules.darts.front[0].intake", None, dart.intake),
        change("rules.darts.front[0].length", None, dart.length),
        change("rules.darts.front[0].centre", None, dart.centre),
    ];
    let is_front_or_ease =
        |change: &&InputChange| change.field.starts_with("ease") || change.field.starts_with("rules.darts.front[0]");
    assert_eq!(corrected.changes().iter().filter(is_front_or_ease).cloned().collect::<Vec<_>>(), expected);
    // The next fitting lists only the fields that it changes.
    let again = corrected.correct(&[correction(CorrectionTarget::Hip, 1.0, CorrectionSite::Side)]).unwrap();
    assert_eq!(again.changes(), [change("ease.hip", 7.0, 8.0)]);
}

#[test]
fn darts_follow_a_lower_hip_line_whatever_else_is_corrected() {
    let hip_line = correction(CorrectionTarget::HipLine, 1.0, CorrectionSite::Shared);
    let place = correction(CorrectionTarget::DartPlace, 0.5, CorrectionSite::Back1);
    let lengths = |rounds: &[&[Correction]]| {
        let fitting = rounds.iter().try_fold(first_fitting(), |fitting, round| fitting.correct(round)).unwrap();
        let darts = fitting.draft().panels().into_iter().flat_map(|panel| &panel.darts);
        darts.map(|dart| dart.length).collect::<Vec<_>>()
    };
    let expected: Vec<_> = lengths(&[]).into_iter().map(|length| length * 19.0 / 18.0).collect();
    let all: [&[&[Correction]]; 4] =
        [&[&[hip_line]], &[&[hip_line, place]], &[&[hip_line], &[place]], &[&[place], &[hip_line]]];
    for rounds in all {
        let lengths = lengths(rounds);
        assert!(
            lengths.iter().zip(&expected).all(|(a, b)| (a - b).abs() < 1e-9),
            "{rounds:?}: {lengths:?} {expected:?}"
        );
    }
}

#[test]
fn a_correction_at_the_darts_changes_every_intake_in_proportion() {
    for (what, by, more) in
        [(CorrectionTarget::Waist, -3.0, 1.5), (CorrectionTarget::Hip, 3.0, 1.5), (CorrectionTarget::Waist, 2.0, -1.0)]
    {
        let drafted = first_fitting().draft().clone();
        let fitted = first_fitting().correct(&[correction(what, by, CorrectionSite::Darts)]).unwrap();
        let intakes = |draft: &kirtle::Draft| -> Vec<f64> {
            draft.panels().into_iter().flat_map(|panel| &panel.darts).map(|dart| dart.intake).collect()
        };
        let [before, after] = [&drafted, fitted.draft()].map(intakes);
        let taken: f64 = before.iter().sum();
        for (before, after) in before.iter().zip(&after) {
            assert!((after / before - (taken + more) / taken).abs() < 1e-12, "{what:?} by {by}");
        }
    }
}

#[test]
fn contradictory_corrections_are_refused() {
    let waist = |by, at| correction(CorrectionTarget::Waist, by, at);
    let refused = |corrections: &[Correction]| -> Vec<(String, Code)> {
        let problems = first_fitting().correct(corrections).err();
        problems.iter().flat_map(|problems| problems.iter()).map(|one| (one.field.clone(), one.code)).collect()
    };
    let conflict = |field: &str| (field.to_owned(), Code::Conflict);
    assert_eq!(
        refused(&[waist(1.0, CorrectionSite::Shared), waist(-0.5, CorrectionSite::Shared)]),
        [conflict("corrections[1].by")]
    );
    assert_eq!(refused(&[waist(1.0, CorrectionSite::Shared), waist(0.5, CorrectionSite::Shared)]), []);
    // A correction by zero contradicts neither a larger nor a smaller one.
    assert_eq!(refused(&[waist(0.0, CorrectionSite::Shared), waist(-0.5, CorrectionSite::Shared)]), []);
    assert_eq!(refused(&[waist(-0.5, CorrectionSite::Shared), waist(0.0, CorrectionSite::Shared)]), []);
    assert_eq!(refused(&[waist(1.0, CorrectionSite::Darts), waist(-0.5, CorrectionSite::Side)]), []);
    assert_eq!(
        refused(&[correction(CorrectionTarget::Length, 1.0, CorrectionSite::Side)]),
        [("corrections[0].at".to_owned(), Code::UnknownChoice)]
    );
    for by in [-20.5, 20.5] {
        let code = if by < 0.0 { Code::BelowMinimum } else { Code::AboveMaximum };
        assert_eq!(
            refused(&[correction(CorrectionTarget::Length, by, CorrectionSite::Shared)]),
            [("corrections[0].by".to_owned(), code)]
        );
    }
    assert_eq!(refused(&[correction(CorrectionTarget::Length, 20.0, CorrectionSite::Shared)]), []);
    assert_eq!(refused(&[correction(CorrectionTarget::Length, -20.0, CorrectionSite::Shared)]), []);
}

#[test]
fn corrections_in_inches_have_limits_in_inches() {
    let length = |by: f64| {
        let corrections = serde_json::json!([{"what": "length", "by": by}]);
        let body = serde_json::json!({"waist": 28, "hip": 38, "hip_depth": 8, "length": 30});
        let ease = serde_json::json!({"waist": 0.5, "hip": 2});
        let request = serde_json::json!({"unit": "in", "body": body, "ease": ease, "corrections": corrections});
        Request::from_json(&request.to_string()).and_then(|request| request.draft()).map(|draft| draft.body().length)
    };
    for (by, cm) in [(1.5, 31.5 * 2.54), (-7.75, 22.25 * 2.54), (7.75, 37.75 * 2.54)] {
        assert!((length(by).unwrap() - cm).abs() < 1e-9);
    }
    for (by, message) in [(-8.0, "is below the minimum of -7.87 in"), (8.0, "is above the maximum of 7.87 in")] {
        assert_eq!(length(by).unwrap_err().to_string(), format!("corrections[0].by: {by} in {message}"));
    }
}

/// Corrected one after the other, the order of these two would decide between one dart of 3.02 cm and two of 1.54 cm.
#[test]
fn corrections_of_one_fitting_keep_the_darts_of_its_draft_in_any_order() {
    let first = first_fitting().draft().clone();
    let shared = correction(CorrectionTarget::Hip, -0.69, CorrectionSite::Shared);
    let side = correction(CorrectionTarget::Waist, 0.99, CorrectionSite::Side);
    let together = first_fitting().correct(&[shared, side]).unwrap();
    assert_eq!(together.draft(), first_fitting().correct(&[side, shared]).unwrap().draft());
    let factor = (first.nominal.total - 0.345) / first.nominal.total;
    for (before, after) in first.panels().into_iter().zip(together.draft().panels()) {
        assert_eq!(before.darts.len(), after.darts.len());
        for (before, after) in before.darts.iter().zip(&after.darts) {
            assert!((after.intake - before.intake * factor).abs() < 1e-12);
        }
    }
    // All that is corrected at the darts is added to what they take of the shared part.
    let darts = correction(CorrectionTarget::Waist, -1.0, CorrectionSite::Darts);
    let three = first_fitting().correct(&[darts, shared, side]).unwrap();
    let intake = |draft: &kirtle::Draft| -> f64 {
        draft.panels().iter().flat_map(|panel| &panel.darts).map(|dart| dart.intake).sum()
    };
    assert!((intake(three.draft()) - intake(together.draft()) - 0.5).abs() < 1e-12);
}

proptest! {
    #![proptest_config(cases(2_000))]

    #[test]
    fn the_order_of_the_corrections_of_one_fitting_does_not_matter(
        body in bodies_in_chart(), given_darts in any::<bool>(), keys in prop::array::uniform8(any::<u32>()),
        picks in prop::collection::vec((0..24_usize, -1.5..1.5_f64), 1..9),
    ) {
        let Ok(first) = kirtle::draft(&body, &EASE, &Rules::default()) else { return Err(TestCaseError::reject("refused")) };
        let zero_at_side = [correction(CorrectionTarget::Waist, 0.0, CorrectionSite::Side)];
        let fitting = Fitting::new(first);
        let fitting = if given_darts { fitting.correct(&zero_at_side).unwrap() } else { fitting };
        // Waist and hip at each site, then what has no site, then each correction of darts.
        let corrections: Vec<Correction> = picks.into_iter().map(|(pick, by)| {
            let (what, at) = match pick {
                0..6 => (pick / 3, CorrectionSite::ALL[pick % 3]),
                6..12 => (pick - 4, CorrectionSite::Shared),
                _ => (8 + pick % 3, SITES_OF_DARTS[pick % 5]),
            };
            correction(CorrectionTarget::ALL[what], by, at)
        }).collect();
        let mut keyed: Vec<_> = keys.into_iter().zip(corrections.clone()).collect();
        keyed.sort_by_key(|(key, _)| *key);
        let shuffled: Vec<Correction> = keyed.into_iter().map(|(_, one)| one).collect();
        let [one, other] = [corrections, shuffled].map(|order| fitting.clone().correct(&order));
        match (one, other) {
            (Ok(one), Ok(other)) => {
                prop_assert_eq!(one.draft(), other.draft());
                prop_assert_eq!(one.changes(), other.changes());
                prop_assert!(one.draft().proof().holds);
            }
            (one, other) => {
                // Refused in either order, for the same reasons.
                let reasons = |fitting: Result<Fitting, kirtle::Problems>| {
                    let problems = fitting.err().map(|problems| problems.to_vec()).unwrap_or_default();
                    problems.iter().map(|problem| problem.code.name()).collect::<std::collections::BTreeSet<_>>()
                };
                let [one, other] = [reasons(one), reasons(other)];
                prop_assert!(!one.is_empty() && one == other, "{one:?} {other:?}");
            }
        }
    }

    #[test]
    fn corrections_one_by_one_equal_corrections_together_and_can_be_undone(
        body in bodies_in_chart(), amounts in prop::array::uniform6(-1.5..1.5_f64),
    ) {
        let Ok(first) = kirtle::draft(&body, &EASE, &Rules::default()) else { return Err(TestCaseError::reject("refused")) };
        // All but those that give the darts.
        let corrections: Vec<Correction> = CorrectionTarget::ALL.into_iter().zip(amounts)
            .map(|(what, by)| Correction { what, by, at: CorrectionSite::Shared }).collect();
        let Ok(together) = Fitting::new(first.clone()).correct(&corrections) else {
            return Err(TestCaseError::reject("refused"));
        };
        let mut one_by_one = Fitting::new(first.clone());
        for correction in &corrections {
            one_by_one = one_by_one.correct(&[*correction]).unwrap();
        }
        prop_assert_eq!(one_by_one.draft(), together.draft());
        let before_last = one_by_one.clone().undo();
        let last_again = before_last.clone().correct(&corrections[5..]).unwrap();
        prop_assert_eq!(last_again.draft(), one_by_one.draft());
        let undone = together.undo();
        prop_assert_eq!(undone.draft(), &first);
        prop_assert!(one_by_one.draft().proof().holds);
    }

    #[test]
    fn a_shared_correction_keeps_the_proportion_of_side_seams_and_given_darts(
        body in bodies_in_chart(), by in -3.0..3.0_f64, is_waist in any::<bool>(),
    ) {
        let Ok(first) = kirtle::draft(&body, &EASE, &Rules::default()) else { return Err(TestCaseError::reject("refused")) };
        // A correction by zero at the side turns the darts by shares into given darts.
        let given = Fitting::new(first).correct(&[correction(CorrectionTarget::Waist, 0.0, CorrectionSite::Side)]).unwrap();
        let before = given.draft().nominal;
        let target = if is_waist { CorrectionTarget::Waist } else { CorrectionTarget::Hip };
        let Ok(shared) = given.correct(&[correction(target, by, CorrectionSite::Shared)]) else {
            return Err(TestCaseError::reject("refused"));
        };
        let after = shared.draft().nominal;
        let extra = if is_waist { -by / 2.0 } else { by / 2.0 };
        prop_assert!((after.total - before.total - extra).abs() < 1e-9);
        for (before_part, after_part) in [(before.side, after.side), (before.back, after.back), (before.front, after.front)] {
            prop_assert!((after_part * before.total - before_part * after.total).abs() < 1e-9, "{before:?} {after:?}");
        }
        prop_assert!(shared.draft().proof().holds);
    }

    #[test]
    fn a_correction_at_the_side_keeps_the_darts_and_one_at_the_darts_keeps_the_side(
        body in bodies_in_chart(), by in -3.0..3.0_f64,
    ) {
        let Ok(first) = kirtle::draft(&body, &EASE, &Rules::default()) else { return Err(TestCaseError::reject("refused")) };
        let corrected = |at| Fitting::new(first.clone()).correct(&[Correction { what: CorrectionTarget::Waist, by, at }]);
        if let Ok(fitting) = corrected(CorrectionSite::Side) {
            for (a, b) in first.panels().into_iter().zip(fitting.draft().panels()) {
                for (a, b) in a.darts.iter().zip(&b.darts) {
                    prop_assert!((a.intake - b.intake).abs() < 1e-12 && (a.centre - b.centre).abs() < 1e-12);
                }
            }
            prop_assert!((fitting.draft().sewn_waist() - first.sewn_waist() - by).abs() < 1e-9);
        }
        if let Ok(fitting) = corrected(CorrectionSite::Darts) {
            // Closing the waist again changes the side by up to 1.5 mm on half the garment.
            let change = (fitting.draft().suppression.side - first.suppression.side).abs();
            prop_assert!(change < 0.2, "{change}");
        }
    }
}
