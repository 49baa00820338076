//! Every check of the proof fails on an outline with the error that the check is for.

#![allow(clippy::float_cmp, reason = "counts of crossings are whole numbers")]

use std::collections::BTreeSet;

use crate::bodies::{cubic_from_steps, sharp_turn};
use kirtle::Role::{Centre, Dart, Hem, Side, Waist};
use kirtle::geometry::{Cubic, Vector};
use kirtle::proof::{ExpectedFigure, ExpectedLengths};
use kirtle::{Body, Draft, Ease, Edge, Panel, Path, Point, Proof, Role, Rules};

/// One millimetre in centimetres, an error that a cutter would see.
const MM: f64 = 0.1;

const EXPECTED: ExpectedLengths = ExpectedLengths { waist: 71.5, hip: 101.0, hip_depth: 18.0, length: 60.0 };

fn draft() -> Draft {
    let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap()
}

/// Returns the names of the checks that fail.
fn failing_checks(back: &[Edge], front: &[Edge]) -> BTreeSet<String> {
    let proof = Proof::from_outlines(back, front, &EXPECTED);
    assert_eq!(proof.holds, proof.checks.iter().all(|check| check.holds));
    proof.checks.iter().filter(|check| !check.holds).map(|check| check.name.to_string()).collect()
}

/// Moves every control point that equals `from`, on all edges.
fn move_points(edges: &mut [Edge], from: Point, x: f64, y: f64) {
    for edge in edges {
        edge.path = edge.path.map(|p| if p == from { Point::new(p.x + x, p.y + y) } else { p });
    }
}

/// Returns a control point of an edge.
fn control_point(edges: &mut [Edge], edge: usize, point: usize) -> &mut Point {
    match &mut edges[edge].path {
        Path::Line(points) => &mut points[point],
        Path::Cubic(cubic) => &mut cubic.points[point],
    }
}

type Damage = fn(&mut Vec<Edge>);

/// Damages to the outline of the back, each with checks that must fail; other checks may fail, too.
const DAMAGES: &[(&str, Damage, &[&str])] = &[
    ("a panel one millimetre wider", |edges| widen(edges), &["hip_girth", "sewn_waist"]),
    ("a waist handle raised", |edges| control_point(edges, 0, 2).y -= MM, &["waist_square", "waist_smooth"]),
    (
        "one dart leg longer",
        |edges| {
            let mouth = edges[1].path.start();
            move_points(edges, mouth, 0.0, -MM);
        },
        &["dart_legs_equal", "waist_joined"],
    ),
    (
        "a dart tip moved to one side",
        |edges| {
            let tip = edges[1].path.end();
            move_points(edges, tip, MM, 0.0);
        },
        &["dart_legs_equal"],
    ),
    (
        "a dart tip below the hip line",
        |edges| {
            let tip = edges[1].path.end();
            move_points(edges, tip, 0.0, 6.0);
        },
        &["dart_tips_clear"],
    ),
    ("a fuller side seam", |edges| control_point(edges, 7, 2).x += MM, &["side_seams_congruent", "side_seams_equal"]),
    ("a side handle at the waist", |edges| control_point(edges, 7, 1).x += MM, &["waist_square"]),
    (
        "a hem lowered at the side",
        |edges| {
            let corner = edges[9].path.start();
            move_points(edges, corner, 0.0, MM);
        },
        &["hem_level", "hem_square", "side_drop"],
    ),
    ("an open outline", |edges| control_point(edges, 10, 1).x += MM, &["outline_closed"]),
    (
        "a missing edge",
        |edges| {
            edges.remove(9);
        },
        &["hem_level", "outline_closed"],
    ),
    (
        "a waist line with a loop",
        |edges| {
            *control_point(edges, 0, 1) = Point::new(30.0, 4.0);
            *control_point(edges, 0, 2) = Point::new(-25.0, 4.0);
        },
        &["outline_crossings"],
    ),
    (
        "a dart leg across the next dart",
        |edges| {
            let tip = edges[1].path.end();
            move_points(edges, tip, 9.0, -2.0);
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
fn a_valid_draft_passes_every_check() {
    let draft = draft();
    let order: Vec<Role> = draft.back.edges.iter().map(|edge| edge.role).collect();
    assert_eq!(order, [Waist, Dart, Dart, Waist, Dart, Dart, Waist, Side, Side, Hem, Centre]);
    assert_eq!(failing_checks(&draft.back.edges, &draft.front.edges), BTreeSet::new());
    assert!(draft.proof().holds);
}

#[test]
fn each_damaged_outline_fails_its_checks_and_every_check_fails_once() {
    let draft = draft();
    let mut failed = BTreeSet::new();
    for (what, damage, checks) in DAMAGES {
        let mut edges = draft.back.edges.clone();
        damage(&mut edges);
        let failing = failing_checks(&edges, &draft.front.edges);
        for check in *checks {
            assert!(failing.contains(*check), "{what}: {check} is not in {failing:?}");
        }
        failed.extend(checks.iter().map(ToString::to_string));
    }
    let all: BTreeSet<String> = draft.proof().checks.iter().map(|check| check.name.to_string()).collect();
    assert_eq!(failed, all, "no damage fails some check");
}

/// What the outlines of the draft measure for its figure: each check alone.
fn expected_figures(draft: &Draft) -> [(&'static str, ExpectedFigure); 5] {
    let [back, front] = draft.panels().map(|panel| panel.waist_lowering);
    let [hip, waist] = [2.0 * draft.front.width, 2.0 * draft.front.edge_length(Waist)];
    let none = ExpectedFigure::default();
    [
        ("waist_height", ExpectedFigure { back_lowering: Some(back), ..none }),
        ("waist_height", ExpectedFigure { front_lowering: Some(front), ..none }),
        ("waist_heights", ExpectedFigure { back_below_front: Some(back - front), ..none }),
        ("front_hip", ExpectedFigure { front_hip: Some(hip), ..none }),
        ("front_waist", ExpectedFigure { front_waist: Some(waist), ..none }),
    ]
}

/// Lowers the corner of waist and centre line.
fn lower_centre(edges: &mut [Edge]) {
    let corner = edges[0].path.start();
    move_points(edges, corner, 0.0, MM);
}

#[test]
fn each_check_of_the_figure_fails_on_a_damaged_outline_and_only_then() {
    let draft = draft();
    for (k, (name, figure)) in expected_figures(&draft).into_iter().enumerate() {
        let check = |back: &[Edge], front: &[Edge]| {
            let proof = Proof::from_outlines_and_figure(back, front, &EXPECTED, &figure);
            let plain = Proof::from_outlines(back, front, &EXPECTED);
            assert_eq!(proof.checks.len(), plain.checks.len() + 1);
            proof.checks.into_iter().find(|check| check.name == name).unwrap()
        };
        let (mut back, mut front) = (draft.back.edges.clone(), draft.front.edges.clone());
        assert!(check(&back, &front).holds, "{name}");
        match k {
            0 | 2 => lower_centre(&mut back),
            1 => lower_centre(&mut front),
            3 => widen(&mut front),
            _ => {
                // The end of the first stretch, with the leg of the dart that it meets.
                let mouth = front[0].path.end();
                move_points(&mut front, mouth, MM, 0.0);
            }
        }
        let damaged = check(&back, &front);
        assert!(!damaged.holds && (damaged.measured - damaged.expected).abs() > MM / 2.0, "{damaged:?}");
        assert!(!check(&[], &[]).holds, "{name}");
    }
}

/// Returns a closed outline of straight edges.
fn polygon(corners: &[[f64; 2]]) -> Vec<Edge> {
    let pairs = corners.iter().zip(corners.iter().cycle().skip(1));
    pairs.map(|(a, b)| Edge { role: Hem, path: Path::Line([Point::from(*a), Point::from(*b)]) }).collect()
}

/// Returns a closed outline whose first edge is a curve.
fn curved_outline(curve: [[f64; 2]; 4], corners: &[[f64; 2]]) -> Vec<Edge> {
    let [start, .., end] = curve;
    let mut edges = polygon(&[[start, end].as_slice(), corners].concat());
    edges[0].path = Path::Cubic(Cubic::new(curve.map(Point::from)));
    edges
}

/// Returns an outline with an arch, and a corner at a distance above the arch, at a parameter that no bisection meets.
fn corner_above_arch(distance: f64) -> Vec<Edge> {
    let arch = [[0.0, 0.0], [0.0, 8.0], [10.0, 8.0], [10.0, 0.0]];
    let point = Cubic::new(arch.map(Point::from)).point_at(0.37);
    curved_outline(arch, &[[20.0, 20.0], [point.x, point.y + distance], [-10.0, 20.0]])
}

/// Returns an outline with a cusp at the parameter 0.3, which no bisection meets.
fn cusp() -> Vec<Edge> {
    let end = -7.0 / 3.0;
    let steps = [[1.0, 1.0], [end, f64::midpoint(1.0, end)], [end * end, end]];
    let points = cubic_from_steps(steps.map(Vector::from)).points.map(|point| [point.x, point.y]);
    curved_outline(points, &[[-9.0, 9.0]])
}

/// Returns closed outlines, each with its number of crossings: pairs of edges that cross or touch, and edges that cross
/// themselves.
fn outlines() -> Vec<(&'static str, Vec<Edge>, f64)> {
    let turns_back = curved_outline([[10.0, 0.0], [10.0, -9.0], [3.0, 9.0], [3.0, 5.0]], &[[0.0, 0.0]]);
    vec![
        ("a square", polygon(&[[0.0, 0.0], [9.0, 0.0], [9.0, 9.0], [0.0, 9.0]]), 0.0),
        ("a narrow strip", polygon(&[[0.0, 0.0], [10.0, 10.0], [10.5, 9.0], [1.0, -1.0]]), 0.0),
        ("a bow tie", polygon(&[[0.0, 0.0], [9.0, 9.0], [9.0, 0.0], [0.0, 9.0]]), 1.0),
        ("a star", polygon(&[[0.0, 6.0], [10.0, 6.0], [2.0, 0.0], [5.0, 9.0], [8.0, 0.0]]), 5.0),
        ("a corner on an edge", polygon(&[[0.0, 0.0], [9.0, 0.0], [9.0, 9.0], [4.0, 0.0], [0.0, 9.0]]), 2.0),
        ("edges that just cross", polygon(&[[0.0, 0.0], [100.0, 0.0], [0.05, -10.0], [0.05, 0.005]]), 1.0),
        ("a curve back over the line before it", turns_back, 1.0),
        ("a loop", curved_outline([[0.0, 0.0], [14.0, 10.0], [-10.0, 10.0], [4.0, 0.0]], &[[2.0, -6.0]]), 1.0),
        ("a hook", curved_outline([[0.0, 0.0], [10.0, 0.0], [10.0, 5.0], [2.0, 5.0]], &[[-3.0, 2.0]]), 0.0),
        ("a cusp", cusp(), 1.0),
        ("a corner just above an arch", corner_above_arch(5e-4), 0.0),
        ("a corner just below an arch", corner_above_arch(-5e-4), 2.0),
    ]
}

// Each outline is checked in eight positions, with each edge as the first.
#[test]
fn crossings_are_counted_in_any_position() {
    let front = draft().front.edges;
    for (what, mut edges, crossings) in outlines() {
        for position in 0..8 {
            for edge in &mut edges {
                edge.path =
                    edge.path.map(|p| if position % 2 == 0 { Point::new(-p.x, p.y) } else { Point::new(p.y, p.x) });
            }
            for _ in 0..edges.len() {
                edges.rotate_left(1);
                let proof = Proof::from_outlines(&edges, &front, &EXPECTED);
                let check = proof.checks.iter().find(|check| check.name == "outline_crossings").unwrap();
                assert_eq!((check.measured, check.holds), (crossings, crossings == 0.0), "{what}, position {position}");
            }
        }
    }
}

/// Returns the measured value of a check.
fn measured(back: &[Edge], front: &[Edge], expected: &ExpectedLengths, name: &str) -> f64 {
    let proof = Proof::from_outlines(back, front, expected);
    proof.checks.iter().find(|check| check.name == name).unwrap().measured
}

#[test]
fn the_position_of_a_panel_changes_no_check() {
    let draft = draft();
    let moved: Vec<Edge> = draft
        .back
        .edges
        .iter()
        .map(|edge| Edge { path: edge.path.map(|p| p + Vector::new(7.0, 0.0)), ..*edge })
        .collect();
    assert_eq!(failing_checks(&moved, &draft.front.edges), BTreeSet::new());
}

// The height of a point of the side seam is proportional to the parameter; 0.9 is below the darts.
#[test]
fn the_hip_girth_is_measured_at_any_level() {
    let draft = draft();
    let width_at_level = |panel: &Panel| panel.paths(Side).next().unwrap().point_at(0.9).x;
    let expected_girth = 2.0 * draft.panels().into_iter().map(width_at_level).sum::<f64>();
    let expected = ExpectedLengths { hip_depth: 0.9 * EXPECTED.hip_depth, ..EXPECTED };
    let found = measured(&draft.back.edges, &draft.front.edges, &expected, "hip_girth");
    assert!((found - expected_girth).abs() < 1e-12, "{found} is not {expected_girth}");
}

#[test]
fn the_length_of_a_sharp_turn_is_exact() {
    // With the last two speeds, two inscribed polygons in a row have the same wrong length by chance.
    for speed in [0.3, 0.1, 0.03, 0.01, 0.522_948_369_602_543_9, 0.026_252_374_300_540_025] {
        let (turn, length) = sharp_turn(speed, 1.0);
        let waist = [Edge { role: Waist, path: Path::Cubic(turn).map(|p| p * 20.0) }];
        let found = measured(&waist, &[], &EXPECTED, "sewn_waist") / 40.0;
        assert!((found / length - 1.0).abs() < 1e-13, "{speed}: {found} is not {length}");
    }
}

#[test]
fn a_proof_in_inches_has_values_and_tolerances_in_inches() {
    let inches = kirtle::document::Request::from_json(
        r#"{"unit":"in","body":{"waist":28,"hip":38,"hip_depth":8,"length":24},"ease":{"waist":0.5,"hip":2}}"#,
    );
    let proof = inches.unwrap().report().unwrap().proof;
    assert_eq!((proof.checks[0].expected, &*proof.checks[0].unit), (28.5, "in"));
    assert!((proof.checks[0].measured - 28.5).abs() < 1e-10 && proof.checks[0].tolerance == 1e-10 / 2.54);
}

#[test]
fn a_gap_of_1e_9_cm_fails_and_one_of_1e_12_cm_passes() {
    for (gap, holds) in [(1e-3, false), (1e-9, false), (1e-12, true)] {
        let draft = draft();
        let mut edges = draft.back.edges.clone();
        control_point(&mut edges, 10, 1).x += gap;
        assert_eq!(!failing_checks(&edges, &draft.front.edges).contains("outline_closed"), holds, "{gap}");
    }
}

#[test]
fn points_at_nan_or_infinity_fail_without_a_panic() {
    let draft = draft();
    for edge in 0..draft.back.edges.len() {
        for point in 0..draft.back.edges[edge].path.points().len() {
            for bad in [f64::NAN, f64::INFINITY, 1e308] {
                let mut edges = draft.back.edges.clone();
                control_point(&mut edges, edge, point).y = bad;
                assert!(failing_checks(&edges, &draft.front.edges).contains("outline_crossings"));
                let mut edges = draft.back.edges.clone();
                control_point(&mut edges, edge, point).x = bad;
                assert!(failing_checks(&edges, &draft.front.edges).contains("outline_crossings"));
            }
        }
    }
    assert!(!Proof::from_outlines(&[], &[], &EXPECTED).holds);
}
