//! Waistband and facing fit the sewn waist, for random bodies with odd rules; a damaged piece or outline fails its check.

#![allow(clippy::float_cmp, reason = "the usual lengths are exact numbers")]

use std::collections::BTreeSet;

use crate::bodies::{cases, cuttings, kurbo_segment, ordinary_requests, pattern_or_reject, requests};
use crate::pieces::{CUT_TOLERANCE, check_lay, cloths, distance_to_lines, polygon_sides, polyline, segments_cross};
use kirtle::document::{PatternReport, Request};
use kirtle::drawing::{Mark, draw_pattern};
use kirtle::pattern::{Cloth, NotchPlace, PieceName, WaistFinish, WaistFinishKind, WaistFinishLengths, WaistPiece};
use kirtle::{Body, Cutting, Ease, Edge, Path, Pattern, Point, Role, Rules, Unit};
use kurbo::ParamCurveArclen;
use proptest::prelude::*;
use serde_json::json;

/// Largest error of a length of a piece, in centimetres.
const TOLERANCE: f64 = 1e-9;

/// Draws both kinds of finish with lengths over the whole valid range, in centimetres.
fn finishes() -> impl Strategy<Value = WaistFinish> {
    let lengths = WaistFinishLengths::FIELDS.map(|field| field.range.0..=field.range.1);
    let kind = prop_oneof![Just(WaistFinishKind::Waistband), Just(WaistFinishKind::Facing)];
    (kind, lengths).prop_map(|(kind, lengths)| WaistFinish { kind, lengths: WaistFinishLengths::from_array(lengths) })
}

fn paths(edges: &[Edge], role: Role) -> Vec<Path> {
    edges.iter().filter(|edge| edge.role == role).map(|edge| edge.path).collect()
}

/// Measures edges by kurbo, independently of Kirtle.
fn length(edges: &[Edge], role: Role) -> f64 {
    paths(edges, role).iter().map(|path| kurbo_segment(path).arclen(1e-12)).sum()
}

/// Checks the length of a waistband and the positions of its notches, all measured by kurbo.
fn check_waistband(pattern: &Pattern, band: &WaistPiece, lengths: &WaistFinishLengths) -> Result<(), TestCaseError> {
    let [back, front] = pattern.pieces().map(|piece| length(&piece.panel.edges, Role::Waist));
    let waist = 2.0 * (back + front);
    prop_assert!((waist - pattern.draft().sewn_waist()).abs() < TOLERANCE);
    for long_edge in paths(&band.seam, Role::Waist) {
        prop_assert!((long_edge.length() - waist - lengths.underlap).abs() < TOLERANCE);
    }
    for end in paths(&band.seam, Role::Centre) {
        prop_assert!((end.length() - 2.0 * lengths.waistband_width).abs() < TOLERANCE);
    }
    let at = |place| -> Vec<f64> {
        band.notches.iter().filter(|notch| notch.place == place).map(|notch| notch.seam.y).collect()
    };
    let expected = [
        (NotchPlace::CentreBack, vec![0.0, waist]),
        (NotchPlace::SideSeam, vec![back, waist - back]),
        (NotchPlace::CentreFront, vec![waist / 2.0]),
    ];
    for (place, expected) in expected {
        let found = at(place);
        prop_assert_eq!(found.len(), expected.len());
        prop_assert!(found.iter().zip(&expected).all(|(a, b)| (a - b).abs() < TOLERANCE), "{found:?} {expected:?}");
    }
    let dart_count: usize = pattern.pieces().map(|piece| piece.panel.darts.len()).iter().sum();
    prop_assert_eq!(at(NotchPlace::DartLeg).len(), 2 * dart_count);
    Ok(())
}

/// Checks that the waist of a facing is that of its panel, and returns the largest error of its depth, measured square.
fn check_facing(pattern: &Pattern, facing: &WaistPiece, depth: f64) -> Result<f64, TestCaseError> {
    let panel = if facing.name == PieceName::BackFacing { &pattern.back.panel } else { &pattern.front.panel };
    let [own, of_panel] = [&facing.seam, &panel.edges].map(|edges| length(edges, Role::Waist));
    prop_assert!((own - of_panel).abs() < TOLERANCE, "{own} {of_panel}");
    let waist = paths(&facing.seam, Role::Waist);
    for (before, after) in waist.iter().zip(&waist[1..]) {
        let [a, b] = [before.end_tangent().normalize(), after.start_tangent().normalize()];
        prop_assert!(a.perp(&b).abs() < 1e-9 && a.dot(&b) > 0.0, "the waist bends by {}", a.perp(&b));
    }
    // The side edge is the upper part of the side seam, a curve.
    prop_assert!(matches!(paths(&facing.seam, Role::Side)[0], Path::Cubic(_)));
    let lines: Vec<Vec<Point>> = waist.iter().map(polyline).collect();
    let lower = paths(&facing.seam, Role::Hem);
    let errors = lower.iter().flat_map(polyline).map(|point| (distance_to_lines(point, &lines) - depth).abs());
    Ok(errors.fold(0.0, f64::max))
}

/// Checks that a closed cut line crosses neither itself nor the seam line, and that each notch starts on it.
fn check_outlines(piece: &WaistPiece) -> Result<(), TestCaseError> {
    for edges in [&piece.cut, &piece.seam] {
        let next = edges.iter().skip(1).chain(&edges[..1]);
        prop_assert!(edges.iter().zip(next).all(|(edge, next)| (edge.path.end() - next.path.start()).norm() < 1e-9));
    }
    let corners = |edges: &[Edge]| -> Vec<Point> {
        edges.iter().flat_map(|edge| polyline(&edge.path).into_iter().skip(1).step_by(8)).collect()
    };
    let [cut, seam] = [&piece.cut, &piece.seam].map(|edges| polygon_sides(&corners(edges)));
    for (k, side) in cut.iter().enumerate() {
        let crossed = cut[k + 1..].iter().find(|other| segments_cross(side, *other));
        prop_assert!(crossed.is_none(), "{:?} crosses itself at {}", piece.name, side[0]);
    }
    for (k, side) in seam.iter().enumerate() {
        prop_assert!(!seam[k + 1..].iter().any(|other| segments_cross(side, other)), "{:?}", piece.name);
    }
    let lines: Vec<Vec<Point>> = piece.cut.iter().map(|edge| polyline(&edge.path)).collect();
    for notch in &piece.notches {
        prop_assert!(distance_to_lines(notch.cuts[0][0], &lines) <= CUT_TOLERANCE, "{notch:?}");
    }
    prop_assert!(piece.area() > 0.0);
    Ok(())
}

proptest! {
    #![proptest_config(cases(10_000))]

    #[test]
    fn every_waist_piece_fits_the_sewn_waist(
        request in requests(Unit::Cm), cutting in cuttings(), finish in finishes(),
    ) {
        let pattern = pattern_or_reject(&request, &Cutting { finish: Some(finish), ..cutting })?;
        let proof = pattern.waist_proof().unwrap();
        prop_assert!(proof.holds, "{:?}", proof.checks);
        for piece in &pattern.waist_pieces {
            check_outlines(piece)?;
            if piece.name == PieceName::Waistband {
                check_waistband(&pattern, piece, &finish.lengths)?;
            } else {
                // Where the side seam is strongly curved, the end of the lower edge moves onto it, by 1.8 mm at the most.
                let error = check_facing(&pattern, piece, finish.lengths.facing_depth)?;
                prop_assert!(error < 0.2, "the lower edge is {error} cm off its depth");
            }
        }
        if let [back, front] = &*pattern.waist_pieces {
            let [back, front] = [back, front].map(|piece| length(&piece.seam, Role::Side));
            prop_assert!((back - front).abs() < TOLERANCE, "side edges of {back} and {front}");
        }
    }
}

proptest! {
    #![proptest_config(cases(1_000))]

    #[test]
    fn the_lower_edge_of_an_ordinary_facing_is_parallel_to_the_waist(request in ordinary_requests()) {
        let finish = Some(WaistFinish::with_usual_lengths(WaistFinishKind::Facing, Unit::Cm));
        let pattern = pattern_or_reject(&request, &Cutting { finish, ..Cutting::default() })?;
        for piece in &pattern.waist_pieces {
            let error = check_facing(&pattern, piece, 6.0)?;
            prop_assert!(error < 0.005, "{error} cm");
            prop_assert_eq!(piece.straight_folds, 0);
        }
    }

    #[test]
    fn waist_pieces_lie_on_the_cloth_and_not_on_each_other(
        request in requests(Unit::Cm), cutting in cuttings(), finish in finishes(), cloth in cloths(),
    ) {
        let pattern = pattern_or_reject(&request, &Cutting { finish: Some(finish), ..cutting })?;
        let Ok(lay) = pattern.lay(&cloth) else { return Err(TestCaseError::reject("too narrow")) };
        check_lay(&lay)?;
        let count = |name| lay.placed.iter().filter(|placed| placed.name == name).count();
        let (bands, back) = (usize::from(finish.kind == WaistFinishKind::Waistband), if cloth.folded { 1 } else { 2 });
        let counts = [PieceName::Waistband, PieceName::FrontFacing, PieceName::BackFacing].map(count);
        prop_assert_eq!(counts, [bands, 1 - bands, (1 - bands) * back]);
    }
}

fn sample(kind: Option<WaistFinishKind>, unit: Unit) -> Pattern {
    let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
    let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap();
    draft
        .pattern(&Cutting {
            finish: kind.map(|kind| WaistFinish::with_usual_lengths(kind, unit)),
            ..Cutting::default()
        })
        .unwrap()
}

/// A damage to a pattern, and the check that must fail.
type Damage = (WaistFinishKind, fn(&mut Pattern), &'static str);

/// Moves the first control point of an edge by a tenth of a millimetre.
fn move_start(edge: &mut Edge) {
    let start = edge.path.start();
    edge.path = edge.path.map(|point| if point == start { Point::new(point.x - 0.01, point.y) } else { point });
}

const DAMAGES: &[Damage] = &[
    (WaistFinishKind::Waistband, |p| move_start(&mut p.back.panel.edges[0]), "waistband_length"),
    (WaistFinishKind::Waistband, |p| move_start(&mut p.front.panel.edges[0]), "waistband_notches"),
    (
        WaistFinishKind::Waistband,
        |p| p.waist_pieces[0].seam[1].path = Path::Line([Point::origin(); 2]),
        "waistband_length",
    ),
    (WaistFinishKind::Waistband, |p| p.waist_pieces[0].notches[3].seam.y += 1e-6, "waistband_notches"),
    (WaistFinishKind::Waistband, |p| p.waist_pieces[0].notches[3].along += 1e-6, "waistband_notches"),
    (WaistFinishKind::Waistband, |p| p.waist_pieces[0].notches[3].place = NotchPlace::HipLine, "waistband_notches"),
    (WaistFinishKind::Waistband, |p| drop(p.waist_pieces[0].notches.pop()), "waistband_notches"),
    (WaistFinishKind::Facing, |p| move_start(&mut p.back.panel.edges[0]), "facing_waist"),
    (WaistFinishKind::Facing, |p| move_start(&mut p.waist_pieces[1].seam[0]), "facing_waist"),
    (WaistFinishKind::Facing, |p| move_start(&mut p.waist_pieces[1].seam[0]), "facing_closed"),
    (WaistFinishKind::Facing, |p| p.waist_pieces[0].notches[0].along += 1e-6, "facing_notches"),
    (WaistFinishKind::Facing, |p| drop(p.waist_pieces[0].notches.pop()), "facing_notches"),
    (WaistFinishKind::Facing, |p| p.waist_pieces[0].seam.swap(0, 4), "facing_crossings"),
    (
        WaistFinishKind::Facing,
        |p| move_start(p.waist_pieces[1].seam.iter_mut().find(|edge| edge.role == Role::Side).unwrap()),
        "facing_sides_equal",
    ),
];

#[test]
fn every_damage_fails_its_check() {
    for (k, (kind, damage, check)) in DAMAGES.iter().enumerate() {
        let mut pattern = sample(Some(*kind), Unit::Cm);
        assert!(pattern.waist_proof().unwrap().holds);
        damage(&mut pattern);
        let proof = pattern.waist_proof().unwrap();
        assert!(!proof.holds);
        let failing: Vec<_> = proof.checks.iter().filter(|check| !check.holds).map(|check| &*check.name).collect();
        assert!(failing.contains(check), "damage {k}: {failing:?}");
    }
    let checks = |kind| sample(Some(kind), Unit::Cm).waist_proof().unwrap().checks;
    let all: BTreeSet<String> =
        WaistFinishKind::ALL.into_iter().flat_map(checks).map(|check| check.name.to_string()).collect();
    assert_eq!(all, DAMAGES.iter().map(|(.., check)| (*check).to_owned()).collect());
    assert_eq!(sample(None, Unit::Cm).waist_proof(), None);
}

/// Returns the request of the evening class with a field `cutting`, or the messages of its problems.
fn read(cutting: &serde_json::Value) -> Result<Request, Vec<String>> {
    let mut request: serde_json::Value =
        serde_json::from_str(&std::fs::read_to_string("tests/requests/evening-class.json").unwrap()).unwrap();
    request["cutting"] = cutting.clone();
    Request::from_json(&request.to_string()).map_err(|problems| problems.iter().map(ToString::to_string).collect())
}

#[test]
fn an_invalid_list_of_pieces_is_refused_with_a_problem_for_each_name() {
    let table = [
        (json!("waistband"), r#"cutting.pieces: "waistband" is not a list of "back", "front", "waistband", "facing""#),
        (
            json!(["back", "front", "pocket"]),
            r#"cutting.pieces[2]: "pocket" is not "back" or "front" or "waistband" or "facing""#,
        ),
        (json!(["back", "front", 1]), r#"cutting.pieces[2]: 1 is not "back" or "front" or "waistband" or "facing""#),
        (json!(["back", "front", "front"]), "cutting.pieces[2]: given twice: give it once"),
        (
            json!(["back", "waistband", "front", "facing"]),
            r#"cutting.pieces[3]: cannot be given together with "waistband""#,
        ),
        (json!(["waistband"]), r#"cutting.pieces: missing: give both "back" and "front""#),
        (json!([]), r#"cutting.pieces: missing: give both "back" and "front""#),
    ];
    for (pieces, message) in table {
        assert_eq!(read(&json!({"pieces": pieces})).unwrap_err(), [message]);
    }
    let lengths = json!({"waistband_width": 0.9, "underlap": 11, "facing_depth": "6"});
    assert_eq!(
        read(&lengths).unwrap_err(),
        [
            "cutting.waistband_width: 0.9 cm is below the minimum of 1 cm",
            "cutting.underlap: 11 cm is above the maximum of 10 cm",
            r#"cutting.facing_depth: "6" is not a number from 5 to 8 cm"#,
        ]
    );
}

/// Lengths of pieces that are not in the list have no effect; the list may have any order.
#[test]
fn a_request_restores_its_pieces_from_json() {
    let plain = read(&json!({})).unwrap();
    assert_eq!(read(&json!({"pieces": ["front", "back"], "waistband_width": 4})).unwrap(), plain);
    assert!(!plain.to_json().contains("waistband"));
    let banded = read(&json!({"pieces": ["waistband", "front", "back"], "waistband_width": 4})).unwrap();
    assert_eq!(Request::from_json(&banded.to_json()).unwrap(), banded);
    let pattern = banded.pattern(&banded.draft().unwrap()).unwrap();
    let report = serde_json::to_value(PatternReport::new(&pattern, Unit::Cm)).unwrap();
    assert_eq!(report["waist_pieces"][0]["name"], "waistband");
    assert_eq!(report["proof"]["holds"], true);
    let plain = serde_json::to_value(PatternReport::new(&sample(None, Unit::Cm), Unit::Cm)).unwrap();
    assert!(plain.get("waist_pieces").is_none() && plain.get("proof").is_none());
}

#[test]
fn usual_lengths_are_round_in_each_unit() {
    let lengths = |unit| {
        let band = sample(Some(WaistFinishKind::Waistband), unit);
        band.cutting().finish.unwrap().lengths.into_array().map(|cm| cm / if unit == Unit::In { 2.54 } else { 1.0 })
    };
    assert_eq!(lengths(Unit::Cm), [3.0, 3.0, 6.0]);
    assert_eq!(lengths(Unit::In), [1.25, 1.25, 2.5]);
}

#[test]
fn each_piece_has_its_number() {
    let numbers = |kind| -> Vec<String> {
        let drawing = draw_pattern(&sample(kind, Unit::Cm), Unit::Cm);
        let marks = drawing.parts.iter().flat_map(|part| &part.layers).flat_map(|layer| &layer.marks);
        let texts = marks.filter_map(|mark| if let Mark::Text { text, .. } = mark { Some(text) } else { None });
        let last_words = texts.filter_map(|text| text.rsplit(", ").next());
        last_words.filter(|words| words.contains(" of ") && words.len() == 6).map(str::to_owned).collect()
    };
    assert_eq!(numbers(None), ["1 of 2", "2 of 2"]);
    assert_eq!(numbers(Some(WaistFinishKind::Waistband)), ["1 of 3", "2 of 3", "3 of 3"]);
    assert_eq!(numbers(Some(WaistFinishKind::Facing)), ["1 of 4", "2 of 4", "3 of 4", "4 of 4"]);
}

/// A waistband on folded cloth is cut from one layer, so that the second layer is left over.
#[test]
fn the_waste_of_a_lay_counts_each_piece_as_often_as_it_is_cut() {
    for (kind, folded) in WaistFinishKind::ALL.into_iter().flat_map(|kind| [(kind, true), (kind, false)]) {
        let pattern = sample(Some(kind), Unit::Cm);
        let lay = pattern.lay(&Cloth { width: 150.0, folded, one_way: false, selvedge: 1.0 }).unwrap();
        let of_skirt: f64 = pattern.pieces().map(|piece| 2.0 * piece.area()).iter().sum();
        let of_waist: f64 = pattern.waist_pieces.iter().map(WaistPiece::area).sum();
        let cut = of_skirt + if kind == WaistFinishKind::Facing { 2.0 * of_waist } else { of_waist };
        assert!((1.0 - cut / (150.0 * lay.length) - lay.waste).abs() < 1e-12, "{kind:?} {folded}");
    }
}

/// The zip opening is given as 19 cm.
#[test]
fn the_cover_names_finished_measurements_and_pieces() {
    let body = Body { waist: 70.0, hip: 96.0, hip_depth: 20.0, length: 60.0 };
    let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap();
    let finish = Some(WaistFinish::with_usual_lengths(WaistFinishKind::Facing, Unit::Cm));
    for (finish, pieces) in
        [(None, "2 pieces: back, front."), (finish, "4 pieces: back, front, back facing, front facing.")]
    {
        let cutting = Cutting { opening: kirtle::Opening::Given(19.0), finish, ..Cutting::default() };
        let drawing = kirtle::drawing::draw_pattern(&draft.pattern(&cutting).unwrap(), Unit::Cm);
        let finished = "Finished waist 71.5 cm, finished hip 101.0 cm, zip opening 19.0 cm.";
        assert_eq!(drawing.notes[0], format!("{finished} {pieces}"));
    }
}
