//! Room at a measured high hip: the least change of side seam and darts, against plain formulas over the whole range.

#[allow(dead_code, reason = "this test uses only some of the formulas")]
use crate::bodies::{cases, requests};
use crate::hand::{SKIRT, Skirt};
use kirtle::proof::{ExpectedFigure, ExpectedLengths};
use kirtle::{
    Apportionment, Body, Code, DartCount, Draft, Ease, Edge, Figure, Path, Point, Proof, Role, Rules, Shares, Unit,
    draft_figure,
};
use proptest::prelude::*;

/// Largest error of a girth, in centimetres.
const CLOSED: f64 = 1e-10;

const BODY: Body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };

const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

/// Returns a figure with a girth at a depth.
fn high_hip(girth: f64, depth: f64) -> Figure {
    Figure { high_hip: Some(girth), high_hip_depth: Some(depth), ..Figure::default() }
}

/// Returns rules with two darts in each panel, none too large, and side seams as steep as they come.
fn rules() -> Rules {
    let two = DartCount::Exactly(2);
    let shares = Shares { back_darts: two, front_darts: two, steepest_side: 45.0, ..Shares::default() };
    Rules { apportionment: Apportionment::Shares(shares), ..Rules::default() }
}

fn draft(figure: &Figure) -> Draft {
    draft_figure(&BODY, figure, &EASE, &rules()).unwrap()
}

/// Returns the fullness of the side seam, from its lean at the waist.
fn fullness(draft: &Draft) -> f64 {
    draft.side_lean_tangent() * 2.0 * draft.body().hip_depth / draft.suppression.side
}

#[test]
fn a_roomy_skirt_stays_as_it_is() {
    let plain = draft(&Figure::default());
    let room = plain.girth_at(10.0).unwrap() - EASE.waist;
    assert_eq!(draft(&high_hip(room - 1e-6, 10.0)).panels(), plain.panels());
    assert_ne!(draft(&high_hip(room + 1e-6, 10.0)).panels(), plain.panels());
}

#[test]
fn a_fuller_side_seam_gives_the_room_by_the_plain_formulas() {
    let room = draft(&Figure::default()).girth_at(10.0).unwrap() - EASE.waist;
    for (more, depth) in [(0.5, 10.0), (1.0, 10.0), (0.3, 12.5)] {
        let girth =
            if depth < 11.0 { room + more } else { draft(&Figure::default()).girth_at(depth).unwrap() - 1.5 + more };
        let drafted = draft(&high_hip(girth, depth));
        assert!((drafted.girth_at(depth).unwrap() - girth - EASE.waist).abs() < CLOSED);
        let skirt = Skirt { fullness: fullness(&drafted), ..SKIRT };
        assert!((1.5..2.5).contains(&skirt.fullness), "{}", skirt.fullness);
        assert!((skirt.closed_suppression() - drafted.suppression.total).abs() < CLOSED);
        assert!((skirt.girth(depth) - girth - EASE.waist).abs() < 1e-9, "{}", skirt.girth(depth));
        assert!(drafted.proof().holds && drafted.findings().iter().all(|finding| finding.code != "high_hip_tight"));
    }
}

#[test]
fn shorter_darts_come_after_the_fullest_side_seam() {
    let plain = draft(&Figure::default());
    let fullest = Rules { panel_rules: kirtle::PanelRules { side_fullness: 2.5, ..rules().panel_rules }, ..rules() };
    let fullest = kirtle::draft(&BODY, &EASE, &fullest).unwrap().girth_at(9.0).unwrap();
    let girth = fullest + 0.8 - EASE.waist;
    let drafted = draft(&high_hip(girth, 9.0));
    assert!((drafted.girth_at(9.0).unwrap() - girth - EASE.waist).abs() < CLOSED);
    assert!((fullness(&drafted) - 2.5).abs() < 1e-12 && drafted.proof().holds);
    let lengths = |draft: &Draft| {
        draft.panels().into_iter().flat_map(|panel| panel.darts.iter().map(|dart| dart.length)).collect::<Vec<_>>()
    };
    let factor = lengths(&drafted)[0] / lengths(&plain)[0];
    assert!((0.4..1.0).contains(&factor), "{factor}");
    let ratios = lengths(&drafted).into_iter().zip(lengths(&plain)).map(|(now, before)| now / before);
    assert!(ratios.into_iter().all(|ratio| (ratio - factor).abs() < 1e-12));
}

/// The girth at the limit between a fuller side seam alone and shorter darts, too, and its neighbours.
#[test]
fn a_high_hip_that_the_fullest_side_seam_just_reaches_leaves_the_darts() {
    let (body, waist) = (Body { waist: 60.5, hip: 90.4, hip_depth: 21.6, length: 60.0 }, Some(30.9));
    let fullest =
        Rules { panel_rules: kirtle::PanelRules { side_fullness: 2.5, ..Default::default() }, ..Rules::default() };
    let figure = Figure { front_waist: waist, ..Figure::default() };
    let reached = draft_figure(&body, &figure, &EASE, &fullest).unwrap().girth_at(11.1).unwrap() - EASE.waist;
    for girth in [reached.next_down(), reached, reached.next_up()] {
        let figure = Figure { front_waist: waist, ..high_hip(girth, 11.1) };
        let drafted = draft_figure(&body, &figure, &EASE, &Rules::default()).unwrap();
        assert!(drafted.back.darts[0].length > 14.0, "{girth}");
    }
}

#[test]
fn too_large_a_high_hip_is_a_finding() {
    let drafted = draft(&high_hip(125.0, 9.0));
    let finding = drafted.findings().into_iter().find(|finding| finding.code == "high_hip_tight").unwrap();
    assert!((finding.measured - drafted.girth_at(9.0).unwrap()).abs() < 1e-12 && (finding.limit - 126.5).abs() < 1e-12);
    // Fewer darts would make it tighter, and no dart can reach a girth beyond that of the hip.
    assert!(finding.message.contains("there. Give the girth of the high hip as the hip, too, or use"), "{finding:?}");
    let proof = drafted.proof();
    assert!(proof.holds && proof.checks.iter().all(|check| check.name != "high_hip"));
}

#[test]
fn half_a_high_hip_and_one_below_the_hip_line_are_refused() {
    let half = Figure { high_hip: Some(95.0), ..Figure::default() };
    let problems = draft_figure(&BODY, &half, &EASE, &rules()).unwrap_err();
    assert_eq!(problems.to_string(), "body.figure.high_hip: has no effect alone: give body.figure.high_hip_depth, too");
    let low = draft_figure(&BODY, &high_hip(95.0, 20.0), &EASE, &rules()).unwrap_err();
    assert_eq!((low.len(), low[0].code), (1, Code::DoesNotFitBody));
    assert_eq!(
        low.to_string(),
        "body.figure.high_hip_depth: 20 cm does not fit the other measurements of this body; the nearest that fits is 19.5 cm"
    );
}

#[test]
fn derivatives_through_all_unknowns_are_exact() {
    let room = draft(&Figure::default()).girth_at(9.0).unwrap() - EASE.waist;
    // The first needs a fuller side seam, the second shorter darts.
    for more in [0.7, 3.4] {
        let figure = Figure { front_waist: Some(39.5), ..high_hip(room + more, 9.0) };
        let drafted = draft(&figure);
        assert!(
            drafted.proof().checks.iter().filter(|check| ["front_waist", "high_hip"].contains(&&*check.name)).count()
                == 2
        );
        let sensitivity = drafted.sensitivity(&[]).unwrap();
        for (k, input) in sensitivity.inputs.iter().enumerate().take(9) {
            let step = 1e-4;
            let moved = |by: f64| {
                let mut next = 0;
                let mut add = |number: f64| {
                    next += 1;
                    if next == k + 1 { number + by } else { number }
                };
                let (body, figure) = (BODY.map(&mut add), figure.map(&mut add));
                draft_figure(&body, &figure, &EASE.map(&mut add), &rules()).unwrap().quantities()
            };
            for ((row, (name, above)), (_, below)) in moved(step).into_iter().enumerate().zip(moved(-step)) {
                let (found, difference) = (sensitivity.derivatives_of_quantity(row)[k], (above - below) / (2.0 * step));
                let limit = 2e-6 * difference.abs().max(1.0);
                assert!((found - difference).abs() < limit, "{name} by {}: {found} {difference}", input.path);
            }
        }
    }
}

// The proof measures the girth on the outlines; a side seam moved inwards by a millimetre is narrower.
#[test]
fn the_check_of_the_high_hip_fails_on_a_narrower_outline() {
    let drafted = draft(&Figure::default());
    let expected = ExpectedLengths { waist: 75.5, hip: 106.0, hip_depth: 20.5, length: 62.0 };
    let check = |front: &[Edge], level: f64, girth: f64| {
        let figure = ExpectedFigure { high_hip: Some([level, girth]), ..ExpectedFigure::default() };
        let proof = Proof::from_outlines_and_figure(&drafted.back.edges, front, &expected, &figure);
        proof.checks.into_iter().find(|check| check.name == "high_hip").unwrap()
    };
    for level in [1.0, 5.0, 9.0, 12.0, 19.0] {
        let girth = drafted.girth_at(level).unwrap();
        let right = check(&drafted.front.edges, level, girth);
        assert!(right.holds && (right.measured - girth).abs() < CLOSED, "{right:?} {girth}");
        assert!(!check(&drafted.front.edges, level, girth + 1e-9).holds);
        let inwards = |p: Point| Point::new(if p.x > 17.0 { p.x - 0.1 } else { p.x }, p.y);
        let narrower: Vec<Edge> =
            drafted.front.edges.iter().map(|edge| Edge { path: edge.path.map(inwards), ..*edge }).collect();
        assert!(!check(&narrower, level, girth).holds);
        assert!(!check(&[], level, girth).holds);
        assert!(drafted.front.edges.iter().any(|edge| edge.role == Role::Side && matches!(edge.path, Path::Cubic(_))));
    }
}

proptest! {
    #![proptest_config(cases(1500))]

    #[test]
    fn a_high_hip_finds_room_or_a_finding(
        mut request in requests(Unit::Cm), level in 0.1..0.9_f64, share in 0.0..1.0_f64, more in -2.0..6.0_f64,
        front in prop::option::of(0.42..0.58_f64),
    ) {
        let Body { waist, hip, hip_depth, .. } = request.body;
        let depth = (level * hip_depth).clamp(1.0, hip_depth - 1.0);
        let girth = (waist + (hip - waist) * (level + (1.0 - level) * share) + more).clamp(40.0, 220.0);
        request.figure = Figure { front_waist: front.map(|share| share * waist), ..high_hip(girth, depth) };
        let Ok(draft) = request.draft() else { return Err(TestCaseError::reject("refused")) };
        prop_assert!((draft.sewn_waist() - waist - request.ease.waist).abs() < CLOSED);
        let proof = draft.proof();
        let failed: Vec<_> = proof.checks.iter().filter(|check| !check.holds).collect();
        prop_assert!(failed.is_empty(), "{failed:?}");
        let is_tight = draft.findings().iter().any(|finding| finding.code == "high_hip_tight");
        prop_assert!(is_tight ^ proof.checks.iter().any(|check| check.name == "high_hip"));
        let need = girth + request.ease.waist.min(request.ease.hip);
        let plain = kirtle::draft(&request.body, &request.ease, &request.rules);
        let is_changed = (fullness(&draft) - request.rules.panel_rules.side_fullness).abs() > 1e-9;
        if front.is_none() && plain.is_ok_and(|plain| plain.girth_at(depth).unwrap() > need + CLOSED) {
            prop_assert!(!is_changed || draft.suppression.side == 0.0);
        } else if is_changed && !is_tight && front.is_none() {
            prop_assert!((draft.girth_at(depth).unwrap() - need).abs() < CLOSED);
        }
    }
}
