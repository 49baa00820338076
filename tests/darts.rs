//! Laws of the number of darts: chosen for a panel, one for all sizes of a range, kept by a correction.

use std::sync::LazyLock;

use crate::bodies::dart_counts;
use crate::counts::rules_with_counts;
use kirtle::batch::{Bodies, Column, Threads};
use kirtle::document::Request;
use kirtle::sensitivity::SeekTarget;
use kirtle::sizes::{Correction, CorrectionSite, CorrectionTarget, Fitting};
use kirtle::survey::{Population, SimulatedBodies};
use kirtle::{Apportionment, Body, DartCount, Ease, Figure, PanelRules, Rules, Shares, Size, SizeChart, Unit};

const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

static WOMEN: LazyLock<SimulatedBodies> = LazyLock::new(|| Population::ansur_women().bodies(7, 0..100_000).unwrap());

/// Every pair of chosen numbers of darts.
fn chosen_counts() -> impl Iterator<Item = [u8; 2]> {
    (0..16).map(|pair| [pair / 4, pair % 4])
}

/// Largest error of the sewn waist, in centimetres.
const CLOSED: f64 = 1e-9;

#[test]
fn every_chosen_number_is_drafted_closes_the_waist_and_is_proved() {
    for [back, front] in chosen_counts() {
        let rules = rules_with_counts([back, front].map(DartCount::Exactly));
        let mut drafted = 0;
        for body in (0..300).filter_map(|row| WOMEN.body_of_row(row)) {
            let Ok(draft) = kirtle::draft(&body, &EASE, &rules) else { continue };
            assert_eq!(dart_counts(&draft), [back, front].map(usize::from));
            assert!((draft.sewn_waist() - body.waist - EASE.waist).abs() < CLOSED, "{body:?}");
            assert!(draft.proof().holds, "{body:?}");
            for panel in draft.panels() {
                assert!(panel.darts.iter().all(|dart| (dart.intake - panel.darts[0].intake).abs() < 1e-12));
                assert!(panel.darts.iter().all(|dart| dart.intake <= 3.0 + 1e-12), "{body:?}");
            }
            drafted += 1;
        }
        assert!(drafted > 270, "{back} {front}: {drafted}");
    }
}

#[test]
fn three_darts_stand_at_the_quarters_of_the_waist() {
    let body = Body { waist: 68.0, hip: 104.0, hip_depth: 20.0, length: 60.0 };
    let draft = kirtle::draft(&body, &EASE, &rules_with_counts([DartCount::Exactly(3); 2])).unwrap();
    for (panel, lengths) in draft.panels().into_iter().zip([[0.68, 0.65, 0.62], [0.5, 0.475, 0.45]]) {
        for (k, (dart, length)) in panel.darts.iter().zip(lengths).enumerate() {
            assert!((dart.centre - panel.waist_width * (k + 1) as f64 / 4.0).abs() < 1e-9);
            assert!((dart.length - length * body.hip_depth).abs() < 1e-9);
        }
    }
}

/// Returns rules with numbers drawn from their whole ranges; `draw` returns a number from 0 to 1.
fn odd_rules(mut draw: impl FnMut() -> f64) -> Rules {
    let mut number = |field: kirtle::field::Field| field.range.0 + (field.range.1 - field.range.0) * draw();
    Rules {
        panel_rules: PanelRules::from_array(PanelRules::FIELDS.map(&mut number)),
        apportionment: Apportionment::Shares(Shares::from_array(Shares::FIELDS.map(number))),
    }
}

#[test]
fn no_dart_by_shares_is_larger_than_the_largest_dart() {
    let table = |rules: &Rules, rows: std::ops::Range<usize>| {
        let column = |numbers: &'static [f64]| Column::Values(&numbers[rows.clone()]);
        let women: &'static SimulatedBodies = &WOMEN;
        let (waist, hip, hip_depth) = (column(&women.waist), column(&women.hip), column(&women.hip_depth));
        let body = Body { waist, hip, hip_depth, length: Column::Constant(60.0) };
        let rules = Column::constant_rules(rules);
        Bodies { body, figure: Figure::default(), ease: EASE.map(Column::Constant), rules, unit: Unit::Cm }
            .draft(&Threads::new(Some(1)).unwrap())
    };
    let (mut single, mut at_limit) = (0, 0);
    let mut check = |rules: &Rules, rows: std::ops::Range<usize>| {
        let Apportionment::Shares(shares) = &rules.apportionment else { unreachable!() };
        let drafts = table(rules, rows.clone()).unwrap();
        for (half, largest) in [("back", shares.back_largest_dart), ("front", shares.front_largest_dart)] {
            let intakes = drafts.numbers_of_column(&format!("{half}_dart1_intake")).unwrap();
            let second = drafts.numbers_of_column(&format!("{half}_dart2_intake")).unwrap();
            for (row, intake) in intakes.iter().enumerate() {
                assert!(
                    intake.is_nan() || *intake <= largest + 1e-12,
                    "{half} {row}: {intake} exceeds {largest} {rules:?}"
                );
                let is_single_at_limit = second[row].is_nan() && *intake > largest - 0.05;
                single += usize::from(is_single_at_limit);
                at_limit += usize::from(is_single_at_limit && *intake > largest - 1e-9);
            }
        }
    };
    check(&Rules::default(), 0..WOMEN.len());
    let mut state = 1_u64;
    let mut draw = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 40) as f64 / (1_u64 << 24) as f64
    };
    for block in 0..1_000 {
        check(&odd_rules(&mut draw), block * 100..block * 100 + 100);
    }
    assert!(single > 1_000 && at_limit > 0, "{single} single darts are near the largest, {at_limit} at the limit");
}

/// Returns a chart of sizes with these waists and hips.
fn chart(girths: &[[f64; 2]]) -> SizeChart {
    let size = |(k, [waist, hip]): (usize, &[f64; 2])| Size {
        name: k.to_string(),
        body: Body { waist: *waist, hip: *hip, hip_depth: 20.0, length: 60.0 },
    };
    SizeChart::new(girths.iter().enumerate().map(size).collect()).unwrap()
}

#[test]
fn all_sizes_of_a_range_have_the_most_frequent_number_of_darts_and_every_point_has_a_step() {
    let growing_drop = chart(&[[64.0, 86.0], [68.0, 92.0], [70.0, 98.0], [72.0, 104.0], [74.0, 110.0]]);
    // Of one size with one front dart and one with two, the larger number counts.
    for chart in [SizeChart::demo(), growing_drop, chart(&[[68.0, 92.0], [72.0, 106.0]])] {
        for counts in [[DartCount::Auto; 2], [DartCount::Exactly(3), DartCount::Auto], [DartCount::Exactly(1); 2]] {
            let range = chart.draft(&EASE, &rules_with_counts(counts)).unwrap();
            let first = dart_counts(&range.drafts()[0]);
            assert!(range.drafts().iter().all(|draft| dart_counts(draft) == first));
            assert!(range.grade().iter().all(|increment| increment.step.is_some()));
        }
        let per_size = chart.draft(&EASE, &rules_with_counts([DartCount::PerSize; 2])).unwrap();
        let counts: Vec<_> = per_size.drafts().iter().map(dart_counts).collect();
        let alone: Vec<_> =
            chart.sizes().iter().map(|size| kirtle::draft(&size.body, &EASE, &Rules::default())).collect();
        assert!(alone.iter().zip(&counts).all(|(alone, counts)| dart_counts(alone.as_ref().unwrap()) == *counts));
        let frequent = [0, 1].map(|half| {
            (0..4_usize).max_by_key(|count| counts.iter().filter(|counts| counts[half] == *count).count()).unwrap()
        });
        assert_eq!(dart_counts(&chart.draft(&EASE, &Rules::default()).unwrap().drafts()[0]), frequent);
        let is_graded = per_size.grade().iter().all(|increment| increment.step.is_some());
        assert_eq!(is_graded, counts.iter().all(|counts| *counts == frequent));
        assert_eq!(is_graded, chart.sizes().len() == 12, "{counts:?}");
    }
}

#[test]
fn each_size_keeps_its_number_where_the_most_frequent_cannot_be_sewn() {
    let chart = chart(&[[64.0, 92.0], [68.0, 98.0], [105.0, 106.0]]);
    let range = chart.draft(&Ease { waist: 4.0, hip: 1.0 }, &Rules::default()).unwrap();
    let counts: Vec<_> = range.drafts().iter().map(dart_counts).collect();
    assert_ne!(counts[0], [0, 0]);
    assert_eq!(counts[2], [0, 0]);
}

#[test]
fn a_correction_of_the_waist_by_1_cm_keeps_the_number_of_darts() {
    let mut kept = 0;
    for body in (0..5_000).filter_map(|row| WOMEN.body_of_row(row)) {
        for by in [1.0, -1.0] {
            let Ok(draft) = kirtle::draft(&body, &EASE, &Rules::default()) else { continue };
            let before = dart_counts(&draft);
            let waist = Correction { what: CorrectionTarget::Waist, by, at: CorrectionSite::Shared };
            let Ok(fitting) = Fitting::new(draft).correct(&[waist]) else { continue };
            let changed: Vec<_> = fitting.changes().iter().map(|change| change.field.as_str()).collect();
            if dart_counts(fitting.draft()) == before {
                assert_eq!(changed, ["ease.waist"]);
                kept += 1;
            } else {
                // Only a dart that would vanish goes, and the list says so.
                assert!(
                    changed.len() > 1
                        && changed.iter().all(|field| *field == "ease.waist" || field.ends_with("_darts"))
                );
                assert!(body.hip - body.waist < 6.0, "{body:?}: {changed:?}");
            }
        }
    }
    assert!(kept > 9_900, "{kept}");
}

#[test]
fn derivatives_and_solutions_keep_the_chosen_number_of_darts() {
    let body = Body { waist: 68.0, hip: 104.0, hip_depth: 20.0, length: 60.0 };
    for [back, front] in chosen_counts().filter(|[back, _]| *back > 0) {
        let rules = rules_with_counts([back, front].map(DartCount::Exactly));
        let intake = |hip: f64| {
            let draft = kirtle::draft(&body, &Ease { hip, ..EASE }, &rules).unwrap();
            (draft.back.darts[0].intake, draft)
        };
        let (_, draft) = intake(EASE.hip);
        let name = "back.darts[0].intake";
        let sensitivity = draft.sensitivity(&["ease.hip"]).unwrap();
        let found = sensitivity.derivative(name, "ease.hip").unwrap();
        let step = 1e-3;
        let slope = (intake(EASE.hip + step).0 - intake(EASE.hip - step).0) / (2.0 * step);
        assert!((found - slope).abs() < 1e-6, "{back} {front}: {found} {slope}");
        let target = SeekTarget::Quantity(name, intake(EASE.hip + 1.0).0);
        if slope > 0.0 {
            let solutions = draft.seek("ease.hip", &target, None, Unit::Cm).unwrap();
            assert!((solutions.input.value - EASE.hip - 1.0).abs() < 1e-6);
            assert_eq!(dart_counts(&solutions.draft), [back, front].map(usize::from));
        }
    }
}

#[test]
fn a_request_writes_and_reads_the_number_of_darts() {
    let text = |shares: &str| {
        format!(
            r#"{{"unit": "cm", "body": {{"waist": 68, "hip": 104, "hip_depth": 20, "length": 60}},
                "ease": {{"waist": 1.5, "hip": 5}}, "rules": {{"shares": {shares}}}}}"#
        )
    };
    for (shares, counts) in [
        (r#"{"back_darts": 3, "front_darts": 0}"#, [3, 0]),
        (r#"{"back_darts": 1.0}"#, [1, 2]),
        (r#"{"back_darts": "auto", "front_darts": "per_size"}"#, [2, 2]),
    ] {
        let request = Request::from_json(&text(shares)).unwrap();
        assert_eq!(dart_counts(&request.draft().unwrap()), counts);
        assert_eq!(Request::from_json(&request.to_json()).unwrap(), request);
    }
}
