//! Ease by level: against the garment's girths, the body's measured girths, and a side seam fitted to a high hip.
#![allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "a panic fails the test; equal girths are equal to the last bit"
)]

use crate::bodies::{cases, draft_or_reject, ordinary_requests, requests, tape_length};
use kirtle::ease_profile::{BodyProfile, EaseByLevel};
use kirtle::sensitivity::SeekTarget;
use kirtle::{Body, Draft, Ease, Panel, Role, Rules, Unit};
use proptest::prelude::*;

fn sample_draft() -> Draft {
    let body = Body { waist: 72.0, hip: 98.0, hip_depth: 20.0, length: 60.0 };
    kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap()
}

fn by_level(draft: &Draft, profile: BodyProfile) -> EaseByLevel {
    draft.ease_by_level(&profile, Some(0.5), Unit::Cm).unwrap()
}

proptest! {
    #![proptest_config(cases(10_000))]

    #[test]
    fn the_girth_below_the_hip_line_is_the_hip_plus_its_ease(request in requests(Unit::Cm), share in 0.0..=1.0) {
        let (draft, body) = (draft_or_reject(&request)?, request.body);
        let level = f64::min(body.hip_depth + share * (body.length - body.hip_depth), body.length);
        for level in [body.hip_depth, level, body.length] {
            prop_assert!((draft.girth_at(level).unwrap() - (body.hip + request.ease.hip)).abs() < 1e-10);
        }
    }

    // A negative side suppression means a side seam that leans outwards, so that the garment narrows downwards.
    #[test]
    fn the_girth_never_falls_downwards_unless_the_side_seam_leans_outwards(request in ordinary_requests()) {
        let (draft, body) = (draft_or_reject(&request)?, request.body);
        prop_assume!(draft.suppression.side >= 0.0);
        let girths: Vec<f64> =
            (0..=64).map(|k| draft.girth_at(body.hip_depth * f64::from(k) / 64.0).unwrap()).collect();
        prop_assert!(girths.windows(2).all(|pair| pair[1] >= pair[0] - 1e-12), "{girths:?}");
    }

    #[test]
    fn the_girth_at_the_waist_is_the_sewn_waist(request in requests(Unit::Cm)) {
        let (draft, body) = (draft_or_reject(&request)?, request.body);
        prop_assert!((draft.girth_at(0.0).unwrap() - (body.waist + request.ease.waist)).abs() < 1e-9);
    }

    // `girth_at` approximates the curved tape from its chords; `tape_length` measures the curve.
    #[test]
    fn the_girth_is_the_length_of_a_tape_on_the_outlines(request in ordinary_requests(), share in 0.0..1.0) {
        let draft = draft_or_reject(&request)?;
        let level = share * request.body.hip_depth;
        let on_panel = |panel: &Panel| tape_length(panel, level, request.body.hip_depth);
        let measured = 2.0 * draft.panels().into_iter().map(on_panel).sum::<f64>();
        prop_assert!((draft.girth_at(level).unwrap() - measured).abs() < 1e-2);
    }
}

proptest! {
    #![proptest_config(cases(1_000))]

    #[test]
    fn waist_hip_and_hem_have_the_given_ease(request in requests(Unit::Cm)) {
        let draft = draft_or_reject(&request)?;
        let ease = by_level(&draft, BodyProfile::NaturalSpline);
        let at_hip = ease.levels.iter().find(|level| level.level.to_bits() == draft.body().hip_depth.to_bits()).unwrap();
        for level in [at_hip, ease.levels.last().unwrap()] {
            prop_assert!((level.ease() - draft.ease().hip).abs() < 1e-9);
        }
        prop_assert!((ease.levels[0].ease() - draft.ease().waist).abs() < 1e-9);
        for level in &ease.levels {
            prop_assert_eq!(level.garment, draft.girth_at(level.level).unwrap());
            let above_hip_line = level.level <= draft.body().hip_depth;
            let within = ease.tightest.ease() - 1e-2..=ease.loosest.ease() + 1e-2;
            prop_assert!(!above_hip_line || within.contains(&level.ease()), "{:?} is not within {:?}", level, within);
        }
    }

    // Between two measured levels the body is monotone and smooth; at the hip line the body line is vertical.
    #[test]
    fn the_body_passes_through_its_high_hip(request in ordinary_requests(), share in 0.1..0.9, girth in -0.3..1.3) {
        let draft = draft_or_reject(&request)?;
        let Body { waist, hip, hip_depth, .. } = *draft.body();
        let (depth, girth) = (hip_depth * share, waist + (hip - waist) * girth);
        let ease = draft.ease_by_level(&BodyProfile::HighHip { girth, depth }, Some(0.1), Unit::Cm).unwrap();
        let neighbours = |level: f64| if level <= depth { [waist, girth] } else { [girth, hip] };
        for pair in ease.levels.windows(2).filter(|pair| pair[1].level <= hip_depth) {
            for level in pair {
                let [a, b] = neighbours(level.level);
                prop_assert!((a.min(b) - 1e-9..=a.max(b) + 1e-9).contains(&level.body), "{level:?} is not between {a} and {b}");
            }
            // Smooth: a step of 1 mm changes the girth by at most three times the change of the steepest chord.
            let steepest = [(girth - waist) / depth, (hip - girth) / (hip_depth - depth)].map(f64::abs);
            let max = 3.0 * steepest[0].max(steepest[1]) * (pair[1].level - pair[0].level);
            prop_assert!((pair[1].body - pair[0].body).abs() <= max + 1e-9);
        }
        let step = Some(depth.clamp(0.1, 10.0));
        let at_depth = draft.ease_by_level(&BodyProfile::HighHip { girth, depth }, step, Unit::Cm).unwrap();
        let high_hip = at_depth.levels.iter().find(|level| (level.level - depth).abs() < 1e-9);
        prop_assert!(high_hip.is_none_or(|level| (level.body - girth).abs() < 1e-9));
        let hip_line: Vec<_> = ease.levels.iter().filter(|level| (0.0..=0.11).contains(&(hip_depth - level.level))).collect();
        prop_assert!(hip_line.iter().all(|level| (level.body - hip).abs() < 0.05 * (hip - girth).abs().max(0.1)));
    }
}

// Halfway between waist and hip line the natural spline is narrower than the hip by 5/16 of the drop.
#[test]
fn without_a_high_hip_the_body_is_a_natural_spline() {
    let ease = by_level(&sample_draft(), BodyProfile::default());
    let half = ease.levels.iter().find(|level| (level.level - 10.0).abs() < 1e-12).unwrap();
    assert!((half.body - (98.0 - 26.0 * 5.0 / 16.0)).abs() < 1e-12);
    assert!((ease.levels[0].body - 72.0).abs() < 1e-12);
}

// The fitted side seam stays square at the waist and vertical at the hip line.
#[test]
fn the_fullness_of_the_side_seam_is_found_for_an_ease_at_the_high_hip() {
    let draft = sample_draft();
    let (girth, depth) = (92.5, 10.0);
    let ease_at_depth = |draft: &Draft| draft.girth_at(depth).unwrap() - girth;
    for target_ease in [ease_at_depth(&draft) - 0.6, ease_at_depth(&draft), ease_at_depth(&draft) + 0.6] {
        let target = SeekTarget::Girth { level: depth, girth: girth + target_ease };
        let solution = draft.seek("rules.side_fullness", &target, None, Unit::Cm).unwrap();
        let fitted = &solution.draft;
        assert!((ease_at_depth(fitted) - target_ease).abs() < 1e-10);
        assert!(fitted.proof().holds, "{:?}", fitted.proof());
        for panel in fitted.panels() {
            let side = panel.paths(Role::Side).next().unwrap();
            assert!(side.end_tangent().x.abs() < 1e-12, "the side seam leans at the hip line");
            let waist = panel.paths(Role::Waist).last().unwrap();
            assert!(
                waist.end_tangent().normalize().dot(&side.start_tangent().normalize()).abs() < 1e-12,
                "waist and side seam are not square"
            );
        }
        assert!((fitted.sewn_waist() - 73.5).abs() < 1e-10);
        let ease = by_level(fitted, BodyProfile::HighHip { girth, depth });
        assert!(
            ease.levels
                .iter()
                .any(|level| (level.level - depth).abs() < 1e-12 && (level.ease() - target_ease).abs() < 1e-9)
        );
    }
    let target = SeekTarget::Girth { level: depth, girth: 120.0 };
    let problems = draft.seek("rules.side_fullness", &target, None, Unit::Cm).unwrap_err();
    assert!(
        problems.to_string().starts_with("girth: 120 cm cannot be reached: rules.side_fullness from 1 to 2.5 gives ")
    );
}

#[test]
fn a_full_high_hip_gets_a_finding_and_a_flat_one_none() {
    let draft = sample_draft();
    let codes = |girth| {
        let ease = by_level(&draft, BodyProfile::HighHip { girth, depth: 9.0 });
        draft.ease_findings(&ease).iter().map(|finding| finding.code.to_string()).collect::<Vec<_>>()
    };
    assert_eq!(codes(97.0), ["tight_between"]);
    let tight = draft.ease_findings(&by_level(&draft, BodyProfile::HighHip { girth: 97.0, depth: 9.0 }));
    assert!(tight[0].message.starts_with("If the body is as assumed between its measured girths, the ease falls to -"));
    assert_eq!(codes(86.0), Vec::<String>::new());
    let scant = kirtle::draft(draft.body(), &Ease { waist: 0.0, hip: 2.0 }, &Rules::default()).unwrap();
    let findings = scant.ease_findings(&by_level(&scant, BodyProfile::NaturalSpline));
    let found: Vec<_> = findings.iter().map(|finding| finding.code.as_ref()).collect();
    assert_eq!(found, ["little_waist_ease", "little_hip_ease"]);
}

#[test]
fn ease_by_level_is_equal_in_centimetres_and_inches() {
    let profile = |unit: f64| BodyProfile::HighHip { girth: 91.44 / unit, depth: 10.16 / unit };
    let cm = sample_draft().ease_by_level(&profile(1.0), Some(2.54), Unit::Cm).unwrap();
    let inches = sample_draft().ease_by_level(&profile(2.54), Some(1.0), Unit::In).unwrap();
    assert_eq!(cm.levels.len(), inches.levels.len());
    for (a, b) in cm.levels.iter().zip(&inches.levels).chain([(&cm.tightest, &inches.tightest)]) {
        for (cm, inches) in [(a.level, b.level), (a.garment, b.garment), (a.body, b.body)] {
            assert!((cm - 2.54 * inches).abs() < 1e-9, "{a:?}, {b:?} in inches");
        }
    }
}

#[test]
fn all_wrong_values_of_a_high_hip_are_refused_at_once() {
    let messages = |girth, depth, step| {
        let problems =
            sample_draft().ease_by_level(&BodyProfile::HighHip { girth, depth }, Some(step), Unit::Cm).unwrap_err();
        problems.iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    assert_eq!(
        messages(f64::NAN, 0.0, 0.0),
        [
            "step: 0 cm is below the minimum of 0.1 cm",
            "high_hip: NaN is not finite; give a number from 40 to 220 cm",
            "high_hip_depth: 0 cm is below the minimum of 1 cm",
        ]
    );
    assert_eq!(messages(90.0, 20.0, 1.0), ["high_hip_depth: 20 cm is above the maximum of 20 cm"]);
}
