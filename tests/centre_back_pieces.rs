//! Pieces, lessons, corrections and alterations of a draft with a slanted centre back.

use crate::bodies::{cases, draft_or_reject, requests};
use crate::centre_back::{EASE, EXACT, draft, rules};
use crate::pieces::{CUT_TOLERANCE, distance_to_lines, polyline};
use kirtle::drawing::draw_alteration;
use kirtle::pattern::{NotchPlace, Vent, WaistFinish, WaistFinishKind};
use kirtle::sizes::{Correction, CorrectionSite, CorrectionTarget, Fitting};
use kirtle::{Body, Cutting, Opening, Point, Role, SizeChart, Unit};
use proptest::prelude::*;

/// The end of the opening lies as far from the waist along the seam as it is long, on the slant or below it.
#[test]
fn the_opening_is_measured_along_the_seam() {
    let drafted = draft(2.5);
    let slanted = drafted.back.paths(Role::Centre).last().unwrap();
    for opening in [8.0, slanted.length(), 30.0] {
        let pattern = drafted.pattern(&Cutting { opening: Opening::Given(opening), ..Cutting::default() }).unwrap();
        let notch = pattern.back.notches.iter().find(|notch| notch.place == NotchPlace::OpeningEnd).unwrap();
        let below = opening - slanted.length();
        let along = (slanted.start() - slanted.end()).normalize();
        let expected = if below > 0.0 { Point::new(0.0, 20.5 + below) } else { slanted.end() + along * opening };
        assert!((notch.seam - expected).norm() < EXACT, "{opening}: {:?}", notch.seam);
        let cut: Vec<Vec<Point>> = pattern.back.cut.iter().map(|edge| polyline(&edge.path)).collect();
        assert!(distance_to_lines(notch.cuts[0][0], &cut) < CUT_TOLERANCE);
        let girth = drafted.girth_at(expected.y).unwrap();
        assert!((pattern.girth_at_opening_end() - girth).abs() < EXACT);
    }
}

#[test]
fn a_vent_ends_below_the_slant() {
    let drafted = draft(1.0);
    let with_vent = |vent| {
        let vent = Some(Vent { vent, vent_width: 4.0 });
        drafted.pattern(&Cutting { vent, opening: Opening::Given(10.0), ..Cutting::default() })
    };
    let pattern = with_vent(41.5).unwrap();
    assert!((pattern.back.vent.unwrap().fold[0].y - 20.5).abs() < EXACT);
    let message = with_vent(41.6).unwrap_err().to_string();
    assert!(
        message.starts_with("cutting.vent: a vent 41.6 cm high") && message.contains("the maximum height is 41.5 cm"),
        "{message}"
    );
}

#[test]
fn the_lesson_joins_the_end_of_the_waist_to_the_hip_line() {
    let lesson = draft(1.0).lesson(Unit::Cm);
    let texts: Vec<&str> = lesson.back.steps.iter().map(|step| step.text.as_str()).collect();
    assert!(
        texts[0]
            .contains("Draw a line from A straight down: the centre back, which above the hip line is only a guide."),
        "{texts:?}"
    );
    assert!(texts[2].ends_with("at the centre. Join H to B: the centre back seam."), "{texts:?}");
    assert!(lesson.front.steps.iter().all(|step| !step.text.contains("Join H")));
    let exact = lesson.difference_without_rounding();
    assert!(exact.distance_mm < 0.5 && exact.waist_mm.abs() < 0.5, "{exact:?}");
}

#[test]
fn corrections_and_alterations_keep_the_rule() {
    let first = draft(1.0);
    for (what, at) in
        [(CorrectionTarget::Waist, CorrectionSite::Side), (CorrectionTarget::Waist, CorrectionSite::Darts)]
    {
        let corrected = Fitting::new(first.clone()).correct(&[Correction { what, by: -1.0, at }]).unwrap();
        assert_eq!(corrected.draft().rules().panel_rules, first.rules().panel_rules);
        assert!((corrected.draft().sewn_waist() - 74.5).abs() < EXACT && corrected.draft().proof().holds);
    }
    // Given darts that keep what they take draft the same skirt.
    let same = Fitting::new(first.clone())
        .correct(&[Correction { what: CorrectionTarget::SideFullness, by: 0.0, at: CorrectionSite::Shared }])
        .unwrap();
    assert!((same.draft().suppression.side - first.suppression.side).abs() < 1e-9);
    let range = SizeChart::demo().draft(&EASE, &rules(1.0)).unwrap();
    let body = Body { waist: 74.0, hip: 98.0, ..range.chart().sizes()[3].body };
    let altered = range.alter(&body, None).unwrap();
    assert!(altered.sews() && altered.cost.largest_mm() < 1.0, "{:?}", altered.cost);
    let centre: Vec<_> = altered.back.paths(Role::Centre).collect();
    let hip = altered.back.paths(Role::Side).next().unwrap().end();
    assert_eq!((centre.len(), centre[1].start()), (2, Point::new(0.0, hip.y)));
    let steps = altered.instructions(Unit::Cm).join("\n");
    assert!(steps.contains("Draw the centre back straight from waist line to hip line."), "{steps}");
    assert!(!draw_alteration(&range, &altered, Unit::Cm).parts.is_empty());
}

proptest! {
    #![proptest_config(cases(4_000))]

    /// Facings have the length of the sewn waist, also where they end on a slanted seam.
    #[test]
    fn facings_and_waistbands_fit_a_slanted_centre(
        mut request in requests(Unit::Cm), centre_back_in in 0.1..=2.5, depth in 5.0..8.0, is_facing in any::<bool>(),
    ) {
        request.rules.panel_rules.centre_back_in = centre_back_in;
        let kind = if is_facing { WaistFinishKind::Facing } else { WaistFinishKind::Waistband };
        let mut finish = WaistFinish::with_usual_lengths(kind, Unit::Cm);
        finish.lengths.facing_depth = depth;
        let cutting = Cutting { finish: Some(finish), ..Cutting::default() };
        let pattern = draft_or_reject(&request)?.pattern(&cutting).map_err(|_| TestCaseError::reject("refused"))?;
        let proof = pattern.waist_proof().unwrap();
        let failed: Vec<_> = proof.checks.iter().filter(|check| !check.holds).collect();
        prop_assert!(failed.is_empty(), "{failed:?}");
        if is_facing {
            let facing = &pattern.waist_pieces[0];
            let centre = facing.seam.last().unwrap().path;
            let panel = &pattern.back.panel;
            let seam: Vec<Vec<Point>> = panel.paths(Role::Centre).map(polyline).collect();
            prop_assert!((centre.length() - depth).abs() < 1e-3, "{} {depth}", centre.length());
            prop_assert!(distance_to_lines(centre.start(), &seam) < 1e-3 && centre.end() == panel.edges[0].path.start());
        }
    }
}
