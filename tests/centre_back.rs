//! Drafts with a slanted centre back: against plain formulas over the whole range, with proof and derivatives.

use crate::bodies::{cases, draft_or_reject, requests};
use crate::hand::{SKIRT, Skirt};
use kirtle::document::Request;
use kirtle::geometry::{Cubic, Path};
use kirtle::proof::{ExpectedFigure, ExpectedLengths};
use kirtle::{
    Apportionment, Body, DartCount, Draft, Ease, Edge, Figure, PanelRules, Point, Proof, Role, Rules, Shares, Unit,
};
use proptest::prelude::*;

const BODY: Body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
pub(crate) const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

/// Largest rounding error of a number that should be exact, in centimetres.
pub(crate) const EXACT: f64 = 1e-10;

/// Returns rules with a slanted centre back, and two darts in each panel without a largest dart that limits them.
pub(crate) fn rules(centre_back_in: f64) -> Rules {
    let shares = Shares {
        back_darts: DartCount::Exactly(2),
        front_darts: DartCount::Exactly(2),
        back_largest_dart: 6.0,
        front_largest_dart: 6.0,
        ..Shares::default()
    };
    let panel_rules = PanelRules { centre_back_in, ..PanelRules::default() };
    Rules { panel_rules, apportionment: Apportionment::Shares(shares) }
}

pub(crate) fn draft(centre_back_in: f64) -> Draft {
    kirtle::draft(&BODY, &EASE, &rules(centre_back_in)).unwrap()
}

/// Asserts that a draft equals the formulas by hand in suppression, waist curves, darts and girths.
#[track_caller]
fn assert_equal_by_hand(drafted: &Draft, skirt: Skirt) {
    let near = |what: &str, found: f64, by_hand: f64| {
        assert!((found - by_hand).abs() < 1e-9, "{what}: drafted {found}, by hand {by_hand}");
    };
    let suppression = skirt.closed_suppression();
    near("suppression", drafted.suppression.total, suppression);
    for (which, panel) in drafted.panels().into_iter().enumerate() {
        let hand = skirt.panel(which, suppression);
        near("lowering", panel.waist_lowering, hand.lowering());
        for (path, curve) in panel.paths(Role::Waist).zip(&hand.stretches) {
            for (found, by_hand) in path.points().iter().zip([curve.p0, curve.p1, curve.p2, curve.p3]) {
                near("waist", found.x, by_hand.x);
                near("waist", found.y, by_hand.y);
            }
        }
        for (dart, hand) in panel.darts.iter().zip(&hand.darts) {
            near("intake", dart.intake, hand.intake);
            near("centre of a dart", dart.centre, hand.centre);
        }
    }
    for level in [0.0, 4.0, 13.0, 20.0] {
        near("girth", drafted.girth_at(level).unwrap(), skirt.girth(level));
    }
}

#[test]
fn the_plain_formulas_give_the_draft() {
    for centre_back_in in [0.0, 0.3, 1.0, 2.5] {
        let skirt = Skirt { centre_back_in, ..SKIRT };
        assert_equal_by_hand(&draft(centre_back_in), skirt);
        let figure = Figure { side_length: Some(100.0), back_length: Some(98.4), ..Figure::default() };
        let measured = kirtle::draft_figure(&BODY, &figure, &EASE, &rules(centre_back_in)).unwrap();
        assert_equal_by_hand(&measured, Skirt { depths: [Some(1.6), None], ..skirt });
        // A rule lowers the centre by exactly its amount.
        let mut lowered = rules(centre_back_in);
        lowered.panel_rules.centre_back_lower = 1.2;
        let lowered = kirtle::draft(&BODY, &EASE, &lowered).unwrap();
        let depth = lowered.back.waist_lowering;
        assert_equal_by_hand(&lowered, Skirt { depths: [Some(depth), None], ..skirt });
    }
}

#[test]
fn side_seams_and_darts_share_what_the_centre_back_leaves() {
    let taken = draft(1.0).suppression;
    let shared = taken.total - 1.0;
    for (part, share) in [(taken.side, 0.5), (taken.back, 0.3), (taken.front, 0.2)] {
        assert!((part - share * shared).abs() < EXACT, "{taken:?}");
    }
    // The estimate of the growth stays above the growth, so that a single dart keeps its limit without another.
    let [plain, slanted] = [0.0, 1.0].map(|inset| draft(inset).suppression.total);
    assert!(slanted > plain && slanted < plain + 0.1, "{plain} {slanted}");
}

#[test]
fn a_back_without_darts_closes() {
    for inset in [0.0, 0.4, 1.0, 2.5] {
        let mut rules = rules(inset);
        let none = Shares { back_darts: DartCount::Exactly(0), ..Shares::default() };
        rules.apportionment = Apportionment::Shares(none);
        for hip in [90.0, 96.0, 101.0] {
            let drafted = kirtle::draft(&Body { hip, ..BODY }, &EASE, &rules).unwrap();
            assert!(drafted.back.darts.is_empty() && (drafted.sewn_waist() - 75.5).abs() < EXACT);
            let failed: Vec<_> = drafted.proof().checks.into_iter().filter(|check| !check.holds).collect();
            assert!(failed.is_empty(), "{failed:?}");
        }
    }
}

#[test]
fn a_centre_that_takes_in_more_than_there_is_leans_the_side_seam_outwards() {
    let body = Body { hip: 73.0, ..BODY };
    let finding = |inset: f64| {
        let panel_rules = PanelRules { centre_back_in: inset, ..PanelRules::default() };
        let drafted = kirtle::draft(&body, &EASE, &Rules { panel_rules, ..Rules::default() }).unwrap();
        assert!(drafted.proof().holds);
        drafted.findings().into_iter().find(|finding| finding.code == "darts_exceed_suppression")
    };
    assert_eq!(finding(1.0), None);
    let finding = finding(2.0).unwrap();
    assert_eq!((finding.measured, finding.limit), (2.0, 1.25));
    let expected = "On half the skirt darts and centre back take in 2.0 cm, but only 1.2 cm needs taking in: the side seam leans \
                    outwards towards the waist. Use smaller or fewer darts, or move the centre back in by less.";
    assert_eq!(finding.message, expected);
}

#[test]
fn a_steep_slant_is_a_finding() {
    let slants = |inset: f64| {
        let findings = draft(inset).findings().into_iter();
        findings.filter(|finding| finding.code == "centre_back_slanted").collect::<Vec<_>>()
    };
    let limit = 20.5 * 5.0_f64.to_radians().tan();
    assert_eq!(slants(limit - 1e-9), []);
    let findings = slants(2.0);
    assert!((findings[0].measured - (2.0_f64 / 20.5).atan().to_degrees()).abs() < 1e-9);
    assert_eq!((findings.len(), &*findings[0].panel, findings[0].limit), (1, "back", 5.0));
    assert!(slants(limit + 1e-9).len() == 1);
}

/// Returns the names of the checks of a slanted back that fail after its edges are changed.
fn failing_checks(change: impl Fn(&mut Vec<Edge>)) -> Vec<String> {
    let drafted = draft(1.0);
    let mut back = drafted.back.edges.clone();
    change(&mut back);
    let expected = ExpectedLengths { waist: 75.5, hip: 106.0, hip_depth: 20.5, length: 62.0 };
    let figure = ExpectedFigure { centre_back_in: Some(1.0), ..ExpectedFigure::default() };
    let proof = Proof::from_outlines_and_figure(&back, &drafted.front.edges, &expected, &figure);
    proof.checks.into_iter().filter(|check| !check.holds).map(|check| check.name.to_string()).collect()
}

/// Moves every control point that equals `from`.
fn move_points(edges: &mut [Edge], from: Point, x: f64, y: f64) {
    for edge in edges {
        edge.path = edge.path.map(|p| if p == from { Point::new(p.x + x, p.y + y) } else { p });
    }
}

#[test]
fn the_proof_fails_for_every_centre_that_is_wrong() {
    assert_eq!(failing_checks(|_| {}), [""; 0]);
    let hip = |edges: &[Edge]| edges[edges.len() - 2].path.end();
    let waist = |edges: &[Edge]| edges[0].path.start();
    let fails = |what: &str, expected: &[&str], change: &dyn Fn(&mut Vec<Edge>)| {
        let failed = failing_checks(change);
        assert!(expected.iter().all(|name| failed.iter().any(|one| one == name)), "{what}: {failed:?}");
    };
    fails("a waist further in", &["centre_back_in", "waist_square"], &|edges| {
        let at = waist(edges);
        move_points(edges, at, 0.01, 0.0);
    });
    fails("a slant that begins below the hip line", &["centre_back_straight", "waist_square"], &|edges| {
        let at = hip(edges);
        move_points(edges, at, 0.0, 0.1);
    });
    fails("a corner beside the centre line", &["centre_back_straight", "hip_girth"], &|edges| {
        let at = hip(edges);
        move_points(edges, at, 0.01, 0.0);
    });
    fails("a curved seam", &["centre_back_straight"], &|edges| {
        let last = edges.len() - 1;
        let [from, to] = [edges[last].path.start(), edges[last].path.end()];
        let step = (to - from) / 3.0;
        let bent = Point::new(from.x + step.x + 0.01, from.y + step.y);
        edges[last].path = Path::Cubic(Cubic::new([from, bent, to - step, to]));
    });
    fails("a vertical seam", &["centre_back_in", "waist_square"], &|edges| {
        let (at, inset) = (waist(edges), waist(edges).x);
        move_points(edges, at, -inset, 0.0);
    });
    fails("a waist square to the vertical", &["waist_square"], &|edges| {
        if let Path::Cubic(cubic) = &mut edges[0].path {
            cubic.points[1].y = cubic.points[0].y;
        }
    });
    fails("no centre", &["centre_back_in", "centre_back_straight"], &|edges| {
        edges.retain(|edge| edge.role != Role::Centre);
    });
}

#[test]
fn derivatives_by_the_rule_are_exact() {
    for inset in [0.0, 0.8, 2.4] {
        let sensitivity = draft(inset).sensitivity(&["rules.centre_back_in"]).unwrap();
        let step = 1e-4;
        let quantities = |by: f64| draft(by).quantities();
        // At the end of the range, a difference to one side of second order.
        let points = if inset == 0.0 { [0.0, step, 2.0 * step] } else { [inset - step, inset, inset + step] };
        let weights = if inset == 0.0 { [-1.5, 2.0, -0.5] } else { [-0.5, 0.0, 0.5] };
        let moved = points.map(quantities);
        for (row, (quantity, _)) in moved[0].iter().enumerate() {
            let difference =
                moved.iter().zip(weights).map(|(values, weight)| weight * values[row].1).sum::<f64>() / step;
            let found = sensitivity.derivatives_of_quantity(row)[0];
            let limit = 2e-6 * difference.abs().max(1.0);
            assert!((found - difference).abs() < limit, "{inset} {quantity}: {found} {difference}");
        }
    }
}

#[test]
fn json_has_the_rule_in_either_unit() {
    let text = r#"{"unit": "in", "body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 24}, "ease": {"waist": 0.5, "hip": 2},
        "rules": {"centre_back_in": 0.375}}"#;
    let request = Request::from_json(text).unwrap();
    assert!((request.draft().unwrap().rules().panel_rules.centre_back_in - 0.9525).abs() < EXACT);
    assert_eq!(Request::from_json(&request.to_json()).unwrap(), request);
    let problems = Request::from_json(&text.replace("0.375", "1")).unwrap_err();
    assert_eq!(problems.to_string(), "rules.centre_back_in: 1 in is above the maximum of 0.98 in");
}

proptest! {
    #![proptest_config(cases(4_000))]

    /// With every subset of the figure the seam is straight and square to the waist, and the waist closes.
    #[test]
    fn the_slant_keeps_every_promise_for_any_figure(
        mut request in requests(Unit::Cm), centre_back_in in 0.0..=2.5, mask in 0..16_u8, depths in [-2.0..4.0_f64, -2.0..4.0_f64],
        shares in [0.42..0.58_f64, 0.42..0.58_f64], high_hip in (0.3..0.7_f64, 0.9..1.1_f64),
    ) {
        let has = |bit: u8| mask >> bit & 1 == 1;
        request.rules.panel_rules.centre_back_in = centre_back_in;
        request.figure = Figure {
            side_length: (has(0)).then_some(100.0),
            back_length: (has(0)).then_some(100.0 - depths[0]),
            front_length: (has(0) && has(1)).then_some(100.0 - depths[1]),
            front_waist: has(2).then_some(shares[0] * request.body.waist),
            high_hip: has(3).then_some(high_hip.1 * f64::midpoint(request.body.waist, request.body.hip)),
            high_hip_depth: has(3).then_some(high_hip.0 * request.body.hip_depth),
            ..Figure::default()
        };
        let draft = draft_or_reject(&request)?;
        let proof = draft.proof();
        let failed: Vec<_> = proof.checks.iter().filter(|check| !check.holds).collect();
        prop_assert!(failed.is_empty(), "{failed:?}");
        prop_assert!((draft.sewn_waist() - request.body.waist - request.ease.waist).abs() < EXACT);
        let named = proof.checks.iter().filter(|check| check.name.starts_with("centre_back")).count();
        prop_assert_eq!(named, if centre_back_in > 0.0 { 2 } else { 0 });
    }

    /// The summary, computed without the outline, has the lengths and the area of the outline.
    #[test]
    fn the_summary_measures_the_outline(request in requests(Unit::Cm)) {
        let draft = draft_or_reject(&request)?;
        for (panel, summary) in draft.panels().into_iter().zip(&draft.summary().panels) {
            let size = panel.area().abs().max(1.0);
            prop_assert!((summary.area - panel.area()).abs() < 1e-12 * size, "{} {}", summary.area, panel.area());
            prop_assert!((summary.centre_seam - panel.edge_length(Role::Centre)).abs() < EXACT);
        }
        let taken = draft.suppression;
        let rest = taken.total - taken.side - taken.back - taken.front;
        prop_assert!((rest - request.rules.panel_rules.centre_back_in).abs() < EXACT, "{rest}");
    }
}
