//! Ease by level: against the garment's girths, the body's given ones, and a side seam that is fitted to a high hip.
#![allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "a surprise is a failed test; a girth is the same to the last bit"
)]

mod bodies;

use bodies::{along_tape, cases, drafted, ordinary, requests};
use kirtle::ease_profile::{BodyProfile, EaseByLevel};
use kirtle::sensitivity::Target;
use kirtle::{Body, Draft, Ease, Role, Rules, Unit};
use proptest::prelude::*;

fn shop() -> Draft {
    let body = Body { waist: 72.0, hip: 98.0, hip_depth: 20.0, length: 60.0 };
    kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap()
}

fn by_level(draft: &Draft, profile: BodyProfile) -> EaseByLevel {
    draft.ease_by_level(&profile, Some(0.5), Unit::Cm).unwrap()
}

proptest! {
    #![proptest_config(cases(10_000))]

    #[test]
    fn the_girth_from_the_hip_line_down_is_the_hip_with_its_ease(request in requests(Unit::Cm), share in 0.0..=1.0) {
        let (draft, body) = (drafted(&request)?, request.body);
        let level = f64::min(body.hip_depth + share * (body.length - body.hip_depth), body.length);
        for level in [body.hip_depth, level, body.length] {
            prop_assert!((draft.girth_at(level).unwrap() - (body.hip + request.ease.hip)).abs() < 1e-10);
        }
    }

    // Where the side seam leans outwards the garment narrows downwards, whatever its darts do.
    #[test]
    fn the_girth_never_falls_downwards_unless_the_side_leans_outwards(request in ordinary()) {
        let (draft, body) = (drafted(&request)?, request.body);
        prop_assume!(draft.suppression.side >= 0.0);
        let girths: Vec<f64> =
            (0..=64).map(|k| draft.girth_at(body.hip_depth * f64::from(k) / 64.0).unwrap()).collect();
        prop_assert!(girths.windows(2).all(|pair| pair[1] >= pair[0] - 1e-12), "{girths:?}");
    }

    #[test]
    fn the_girth_at_the_waist_is_the_sewn_waist(request in requests(Unit::Cm)) {
        let (draft, body) = (drafted(&request)?, request.body);
        prop_assert!((draft.girth_at(0.0).unwrap() - (body.waist + request.ease.waist)).abs() < 1e-9);
    }

    // The tape's line is drawn on the outlines, as points of the waist that come down, and measured; what is added to the chords
    // is right to a tenth of a millimetre all around.
    #[test]
    fn the_girth_is_what_a_tape_on_the_outlines_measures(request in ordinary(), share in 0.0..1.0) {
        let draft = drafted(&request)?;
        let level = share * request.body.hip_depth;
        let measured = 2.0 * draft.panels().iter().map(|panel| along_tape(panel, level, request.body.hip_depth)).sum::<f64>();
        prop_assert!((draft.girth_at(level).unwrap() - measured).abs() < 1e-2);
    }
}

proptest! {
    #![proptest_config(cases(1_000))]

    // The ease is what was given; the garment is as wide as it says.
    #[test]
    fn hip_and_hem_have_the_ease_that_was_given(request in requests(Unit::Cm)) {
        let draft = drafted(&request)?;
        let ease = by_level(&draft, BodyProfile::NaturalSpline);
        let at_hip = ease.levels.iter().find(|level| level.level.to_bits() == draft.body().hip_depth.to_bits()).unwrap();
        for level in [at_hip, ease.levels.last().unwrap()] {
            prop_assert!((level.ease() - draft.ease().hip).abs() < 1e-9);
        }
        prop_assert!((ease.levels[0].ease() - draft.ease().waist).abs() < 1e-9);
        for level in &ease.levels {
            prop_assert_eq!(level.garment, draft.girth_at(level.level).unwrap());
            let above = level.level <= draft.body().hip_depth;
            let within = ease.tightest.ease() - 1e-2..=ease.loosest.ease() + 1e-2;
            prop_assert!(!above || within.contains(&level.ease()), "{:?} is not within {:?}", level, within);
        }
    }

    // Through the high hip, nowhere beyond the girths beside it, upright at the hip line.
    #[test]
    fn the_body_goes_through_its_high_hip(request in ordinary(), share in 0.1..0.9, girth in -0.3..1.3) {
        let draft = drafted(&request)?;
        let Body { waist, hip, hip_depth, .. } = *draft.body();
        let (depth, girth) = (hip_depth * share, waist + (hip - waist) * girth);
        let ease = draft.ease_by_level(&BodyProfile::HighHip { girth, depth }, Some(0.1), Unit::Cm).unwrap();
        let beside = |level: f64| if level <= depth { [waist, girth] } else { [girth, hip] };
        for pair in ease.levels.windows(2).filter(|pair| pair[1].level <= hip_depth) {
            for level in pair {
                let [a, b] = beside(level.level);
                prop_assert!((a.min(b) - 1e-9..=a.max(b) + 1e-9).contains(&level.body), "{level:?} is not between {a} and {b}");
            }
            // Smooth: no step of a millimetre changes the girth by more than three times what a straight line would.
            let steepest = [(girth - waist) / depth, (hip - girth) / (hip_depth - depth)].map(f64::abs);
            let max = 3.0 * steepest[0].max(steepest[1]) * (pair[1].level - pair[0].level);
            prop_assert!((pair[1].body - pair[0].body).abs() <= max + 1e-9);
        }
        let near = draft.ease_by_level(&BodyProfile::HighHip { girth, depth }, Some(depth.clamp(0.1, 10.0)), Unit::Cm).unwrap();
        let at = near.levels.iter().find(|level| (level.level - depth).abs() < 1e-9);
        prop_assert!(at.is_none_or(|level| (level.body - girth).abs() < 1e-9));
        let hip_line: Vec<_> = ease.levels.iter().filter(|level| (0.0..=0.11).contains(&(hip_depth - level.level))).collect();
        prop_assert!(hip_line.iter().all(|level| (level.body - hip).abs() < 0.05 * (hip - girth).abs().max(0.1)));
    }
}

// Half-way to the hip line the natural spline has taken 5/16 of the loss; the body is that of the default side seam.
#[test]
fn without_a_high_hip_the_body_is_the_natural_spline() {
    let ease = by_level(&shop(), BodyProfile::default());
    let half = ease.levels.iter().find(|level| (level.level - 10.0).abs() < 1e-12).unwrap();
    assert!((half.body - (98.0 - 26.0 * 5.0 / 16.0)).abs() < 1e-12);
    assert!((ease.levels[0].body - 72.0).abs() < 1e-12);
}

// With the high hip the side seam is fitted to a wanted ease there; it stays square at the waist and upright at the hip line.
#[test]
fn the_side_seam_is_fitted_to_a_high_hip() {
    let draft = shop();
    let (girth, depth) = (92.5, 10.0);
    let at = |draft: &Draft| draft.girth_at(depth).unwrap() - girth;
    for wanted in [at(&draft) - 0.6, at(&draft), at(&draft) + 0.6] {
        let target = Target::Girth { level: depth, girth: girth + wanted };
        let answer = draft.seek("rules.side_fullness", &target, None, Unit::Cm).unwrap();
        let fitted = &answer.draft;
        assert!((at(fitted) - wanted).abs() < 1e-10);
        assert!(fitted.proof().holds, "{:?}", fitted.proof());
        for panel in fitted.panels() {
            let side = panel.paths(Role::Side).next().unwrap();
            assert!(side.end_tangent().x.abs() < 1e-12, "it leans at the hip line");
            let waist = panel.paths(Role::Waist).last().unwrap();
            assert!(
                waist.end_tangent().normalize().dot(&side.start_tangent().normalize()).abs() < 1e-12,
                "it is not square"
            );
        }
        assert!((fitted.sewn_waist() - 73.5).abs() < 1e-10);
        let ease = by_level(fitted, BodyProfile::HighHip { girth, depth });
        assert!(
            ease.levels.iter().any(|level| (level.level - depth).abs() < 1e-12 && (level.ease() - wanted).abs() < 1e-9)
        );
    }
    let target = Target::Girth { level: depth, girth: 120.0 };
    let problems = draft.seek("rules.side_fullness", &target, None, Unit::Cm).unwrap_err();
    assert!(
        problems.to_string().starts_with("girth: 120 cm is out of reach: rules.side_fullness from 1 to 2.5 gives ")
    );
}

#[test]
fn a_full_high_hip_is_tight_and_a_flat_one_is_not() {
    let draft = shop();
    let codes = |girth| {
        let ease = by_level(&draft, BodyProfile::HighHip { girth, depth: 9.0 });
        draft.ease_findings(&ease).iter().map(|finding| finding.code.to_string()).collect::<Vec<_>>()
    };
    assert_eq!(codes(97.0), ["tight_between"]);
    assert_eq!(codes(86.0), Vec::<String>::new());
    let scant = kirtle::draft(draft.body(), &Ease { waist: 0.0, hip: 2.0 }, &Rules::default()).unwrap();
    let found = scant.ease_findings(&by_level(&scant, BodyProfile::NaturalSpline));
    let found: Vec<_> = found.iter().map(|finding| finding.code.as_ref()).collect();
    assert_eq!(found, ["little_waist_ease", "little_hip_ease"]);
}

#[test]
fn inches_go_in_and_come_out() {
    let profile = |unit: f64| BodyProfile::HighHip { girth: 91.44 / unit, depth: 10.16 / unit };
    let cm = shop().ease_by_level(&profile(1.0), Some(2.54), Unit::Cm).unwrap();
    let inches = shop().ease_by_level(&profile(2.54), Some(1.0), Unit::In).unwrap();
    assert_eq!(cm.levels.len(), inches.levels.len());
    for (a, b) in cm.levels.iter().zip(&inches.levels).chain([(&cm.tightest, &inches.tightest)]) {
        for (cm, inches) in [(a.level, b.level), (a.garment, b.garment), (a.body, b.body)] {
            assert!((cm - 2.54 * inches).abs() < 1e-9, "{a:?}, {b:?} in inches");
        }
    }
}

#[test]
fn wrong_high_hips_are_refused_all_at_once() {
    let said = |girth, depth, step| {
        let problems = shop().ease_by_level(&BodyProfile::HighHip { girth, depth }, Some(step), Unit::Cm).unwrap_err();
        problems.iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    assert_eq!(
        said(f64::NAN, 0.0, 0.0),
        [
            "step: 0 cm is below the minimum of 0.1 cm",
            "high_hip: NaN is not finite; give a number from 40 to 220 cm",
            "high_hip_depth: 0 cm is below the minimum of 1 cm",
        ]
    );
    assert_eq!(said(90.0, 20.0, 1.0), ["high_hip_depth: 20 cm is above the maximum of 20 cm"]);
}
