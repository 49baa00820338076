//! The proof, spoilt on purpose: each check fails where its own thing is wrong.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![allow(clippy::float_cmp, reason = "crossings are whole numbers")]

mod bodies;

use std::collections::BTreeSet;

use bodies::{sharp_turn, stepped};
use kirtle::Role::{Centre, Dart, Hem, Side, Waist};
use kirtle::geometry::{Cubic, Vector};
use kirtle::proof::Expected;
use kirtle::{Body, Draft, Ease, Edge, Panel, Path, Point, Proof, Role, Rules};

/// A millimetre, in centimetres: what a cutter would see at once.
const MM: f64 = 0.1;

const EXPECTED: Expected = Expected { waist: 71.5, hip: 101.0, hip_depth: 18.0, length: 60.0 };

fn draft() -> Draft {
    let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap()
}

fn failing(back: &[Edge], front: &[Edge]) -> BTreeSet<String> {
    let proof = Proof::of(back, front, &EXPECTED);
    assert_eq!(proof.holds, proof.checks.iter().all(|check| check.holds));
    proof.checks.iter().filter(|check| !check.holds).map(|check| check.name.to_string()).collect()
}

/// Moves every control point at `from`, on whatever edges it lies.
fn shift(edges: &mut [Edge], from: Point, x: f64, y: f64) {
    for edge in edges {
        edge.path = edge.path.map(|p| if p == from { Point::new(p.x + x, p.y + y) } else { p });
    }
}

fn handle(edges: &mut [Edge], edge: usize, point: usize) -> &mut Point {
    match &mut edges[edge].path {
        Path::Line(points) => &mut points[point],
        Path::Cubic(cubic) => &mut cubic.points[point],
    }
}

type Spoil = fn(&mut Vec<Edge>);

/// What is spoilt on the back, and which checks must fail; others may fail along with them.
const SPOILT: &[(&str, Spoil, &[&str])] = &[
    ("a whole panel a millimetre wider", |edges| widen(edges), &["hip_girth", "sewn_waist"]),
    ("a waist handle raised", |edges| handle(edges, 0, 2).y -= MM, &["waist_square", "waist_smooth"]),
    (
        "a leg longer",
        |edges| {
            let mouth = edges[1].path.start();
            shift(edges, mouth, 0.0, -MM);
        },
        &["dart_legs_equal", "waist_joined"],
    ),
    (
        "a tip to one side",
        |edges| {
            let tip = edges[1].path.end();
            shift(edges, tip, MM, 0.0);
        },
        &["dart_legs_equal"],
    ),
    (
        "a tip below the hip line",
        |edges| {
            let tip = edges[1].path.end();
            shift(edges, tip, 0.0, 6.0);
        },
        &["dart_tips_clear"],
    ),
    ("a fuller side", |edges| handle(edges, 7, 2).x += MM, &["side_seams_congruent", "side_seams_equal"]),
    ("a side handle at the waist", |edges| handle(edges, 7, 1).x += MM, &["waist_square"]),
    (
        "a hem dropped at the side",
        |edges| {
            let corner = edges[9].path.start();
            shift(edges, corner, 0.0, MM);
        },
        &["hem_level", "hem_square", "side_drop"],
    ),
    ("an open outline", |edges| handle(edges, 10, 1).x += MM, &["outline_closed"]),
    (
        "an edge left out",
        |edges| {
            edges.remove(9);
        },
        &["hem_level", "outline_closed"],
    ),
    (
        "a waist that loops",
        |edges| {
            *handle(edges, 0, 1) = Point::new(30.0, 4.0);
            *handle(edges, 0, 2) = Point::new(-25.0, 4.0);
        },
        &["outline_crossings"],
    ),
    (
        "a leg over the next",
        |edges| {
            let tip = edges[1].path.end();
            shift(edges, tip, 9.0, -2.0);
        },
        &["outline_crossings"],
    ),
];

fn widen(edges: &mut [Edge]) {
    for edge in edges {
        edge.path = edge.path.map(|p| if p.x > 8.0 { Point::new(p.x + MM, p.y) } else { p });
    }
}

#[test]
fn a_good_draft_holds() {
    let draft = draft();
    let order: Vec<Role> = draft.back.edges.iter().map(|edge| edge.role).collect();
    assert_eq!(order, [Waist, Dart, Dart, Waist, Dart, Dart, Waist, Side, Side, Hem, Centre]);
    assert_eq!(failing(&draft.back.edges, &draft.front.edges), BTreeSet::new());
    assert!(draft.proof().holds);
}

#[test]
fn each_spoilt_outline_fails_its_checks() {
    let draft = draft();
    let mut provoked = BTreeSet::new();
    for (what, spoil, checks) in SPOILT {
        let mut edges = draft.back.edges.clone();
        spoil(&mut edges);
        let failing = failing(&edges, &draft.front.edges);
        for check in *checks {
            assert!(failing.contains(*check), "{what}: {check} is not in {failing:?}");
        }
        provoked.extend(checks.iter().map(ToString::to_string));
    }
    let all: BTreeSet<String> = draft.proof().checks.iter().map(|check| check.name.to_string()).collect();
    assert_eq!(provoked, all, "every check has been seen to fail");
}

fn closed(corners: &[[f64; 2]]) -> Vec<Edge> {
    let pairs = corners.iter().zip(corners.iter().cycle().skip(1));
    pairs.map(|(a, b)| Edge { role: Hem, path: Path::Line([Point::from(*a), Point::from(*b)]) }).collect()
}

/// A closed figure whose first edge is a curve.
fn curved(curve: [[f64; 2]; 4], corners: &[[f64; 2]]) -> Vec<Edge> {
    let [start, .., end] = curve;
    let mut edges = closed(&[[start, end].as_slice(), corners].concat());
    edges[0].path = Path::Cubic(Cubic::new(curve.map(Point::from)));
    edges
}

/// A bow, and a point that comes down to so much above it, where no halving divides it.
fn over_a_bow(above: f64) -> Vec<Edge> {
    let bow = [[0.0, 0.0], [0.0, 8.0], [10.0, 8.0], [10.0, 0.0]];
    let place = Cubic::new(bow.map(Point::from)).at(0.37);
    curved(bow, &[[20.0, 20.0], [place.x, place.y + above], [-10.0, 20.0]])
}

/// A curve that comes to a stand and turns back at three tenths of its way: no halving makes it simple.
fn cusp() -> Vec<Edge> {
    let end = -7.0 / 3.0;
    let steps = [[1.0, 1.0], [end, f64::midpoint(1.0, end)], [end * end, end]];
    let points = stepped(steps.map(Vector::from)).points.map(|point| [point.x, point.y]);
    curved(points, &[[-9.0, 9.0]])
}

/// Closed figures, and how many pairs of their edges meet where they should not, edges that meet themselves included.
fn figures() -> Vec<(&'static str, Vec<Edge>, f64)> {
    let back_over = curved([[10.0, 0.0], [10.0, -9.0], [3.0, 9.0], [3.0, 5.0]], &[[0.0, 0.0]]);
    vec![
        ("a square", closed(&[[0.0, 0.0], [9.0, 0.0], [9.0, 9.0], [0.0, 9.0]]), 0.0),
        ("a narrow strip", closed(&[[0.0, 0.0], [10.0, 10.0], [10.5, 9.0], [1.0, -1.0]]), 0.0),
        ("a bow", closed(&[[0.0, 0.0], [9.0, 9.0], [9.0, 0.0], [0.0, 9.0]]), 1.0),
        ("a star", closed(&[[0.0, 6.0], [10.0, 6.0], [2.0, 0.0], [5.0, 9.0], [8.0, 0.0]]), 5.0),
        ("a corner on an edge", closed(&[[0.0, 0.0], [9.0, 0.0], [9.0, 9.0], [4.0, 0.0], [0.0, 9.0]]), 2.0),
        ("ends that just cross", closed(&[[0.0, 0.0], [100.0, 0.0], [0.05, -10.0], [0.05, 0.005]]), 1.0),
        ("a curve back over the line before it", back_over, 1.0),
        ("a loop", curved([[0.0, 0.0], [14.0, 10.0], [-10.0, 10.0], [4.0, 0.0]], &[[2.0, -6.0]]), 1.0),
        ("a hook", curved([[0.0, 0.0], [10.0, 0.0], [10.0, 5.0], [2.0, 5.0]], &[[-3.0, 2.0]]), 0.0),
        ("a cusp", cusp(), 1.0),
        ("a point just over a bow", over_a_bow(5e-4), 0.0),
        ("a point just under a bow", over_a_bow(-5e-4), 2.0),
    ]
}

// Whichever edge comes first, and however the figure lies.
#[test]
fn crossings_are_counted() {
    let front = draft().front.edges;
    for (what, mut edges, crossings) in figures() {
        for lie in 0..8 {
            for edge in &mut edges {
                edge.path = edge.path.map(|p| if lie % 2 == 0 { Point::new(-p.x, p.y) } else { Point::new(p.y, p.x) });
            }
            for _ in 0..edges.len() {
                edges.rotate_left(1);
                let proof = Proof::of(&edges, &front, &EXPECTED);
                let check = proof.checks.iter().find(|check| check.name == "outline_crossings").unwrap();
                assert_eq!((check.measured, check.holds), (crossings, crossings == 0.0), "{what}, {lie}");
            }
        }
    }
}

fn measured(back: &[Edge], front: &[Edge], expected: &Expected, name: &str) -> f64 {
    let proof = Proof::of(back, front, expected);
    proof.checks.iter().find(|check| check.name == name).unwrap().measured
}

#[test]
fn where_a_panel_lies_makes_no_difference() {
    let draft = draft();
    let moved: Vec<Edge> = draft
        .back
        .edges
        .iter()
        .map(|edge| Edge { path: edge.path.map(|p| p + Vector::new(7.0, 0.0)), ..*edge })
        .collect();
    assert_eq!(failing(&moved, &draft.front.edges), BTreeSet::new());
}

// The side seam falls evenly, so that nine tenths of its way, below the darts, are as much of the hip depth.
#[test]
fn the_width_is_measured_at_any_level() {
    let draft = draft();
    let far_down = |panel: &Panel| panel.paths(Side).next().unwrap().at(0.9).x;
    let wanted = 2.0 * draft.panels().into_iter().map(far_down).sum::<f64>();
    let expected = Expected { hip_depth: 0.9 * EXPECTED.hip_depth, ..EXPECTED };
    let found = measured(&draft.back.edges, &draft.front.edges, &expected, "hip_girth");
    assert!((found - wanted).abs() < 1e-12, "{found} is not {wanted}");
}

#[test]
fn a_sharp_turn_is_measured_to_its_length() {
    // At the last two, two polygons in a row come to the same length by chance, and to a wrong one.
    for e in [0.3, 0.1, 0.03, 0.01, 0.522_948_369_602_543_9, 0.026_252_374_300_540_025] {
        let (turn, length) = sharp_turn(e, 1.0);
        let waist = [Edge { role: Waist, path: Path::Cubic(turn).map(|p| p * 20.0) }];
        let found = measured(&waist, &[], &EXPECTED, "sewn_waist") / 40.0;
        assert!((found / length - 1.0).abs() < 1e-13, "{e}: {found} is not {length}");
    }
}

#[test]
fn a_proof_in_inches_is_that_in_centimetres() {
    let inches = kirtle::document::Request::from_json(
        r#"{"unit":"in","body":{"waist":28,"hip":38,"hip_depth":8,"length":24},"ease":{"waist":0.5,"hip":2}}"#,
    );
    let proof = inches.unwrap().report().unwrap().proof;
    assert_eq!((proof.checks[0].expected, &*proof.checks[0].unit), (28.5, "in"));
    assert!((proof.checks[0].measured - 28.5).abs() < 1e-10 && proof.checks[0].tolerance == 1e-10 / 2.54);
}

/// A hundredth of a millimetre is seen, a hundred-thousandth of a micrometre is not.
#[test]
fn the_tolerance_is_between_what_can_be_cut_and_what_is_rounding() {
    for (off, holds) in [(1e-3, false), (1e-9, false), (1e-12, true)] {
        let draft = draft();
        let mut edges = draft.back.edges.clone();
        handle(&mut edges, 10, 1).x += off;
        assert_eq!(!failing(&edges, &draft.front.edges).contains("outline_closed"), holds, "{off}");
    }
}

#[test]
fn points_that_are_no_numbers_fail_and_do_not_panic() {
    let draft = draft();
    for edge in 0..draft.back.edges.len() {
        for point in 0..draft.back.edges[edge].path.points().len() {
            for bad in [f64::NAN, f64::INFINITY, 1e308] {
                let mut edges = draft.back.edges.clone();
                handle(&mut edges, edge, point).y = bad;
                assert!(failing(&edges, &draft.front.edges).contains("outline_crossings"));
                let mut edges = draft.back.edges.clone();
                handle(&mut edges, edge, point).x = bad;
                assert!(failing(&edges, &draft.front.edges).contains("outline_crossings"));
            }
        }
    }
    assert!(!Proof::of(&[], &[], &EXPECTED).holds);
}
