//! Laws of the cut line, over all valid drafts and allowances.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod bodies;
mod lines;

use bodies::{cases, cut, cuttings, ordinary, requests};
use kirtle::{Cutting, Edge, Half, NotchPlace, Pattern, Piece, Point, Press, Role, Unit};
use lines::{closed, cross, fine};
use proptest::prelude::*;

/// What the cut line may be off, in centimetres: half a tenth of a millimetre.
const OFF: f64 = 0.005;

fn of_role(edges: &[Edge], role: Role) -> Vec<Vec<Point>> {
    edges.iter().filter(|edge| edge.role == role).map(|edge| fine(&edge.path)).collect()
}

fn from_segment(point: Point, a: Point, b: Point) -> f64 {
    let along = b - a;
    let t =
        if along.norm_squared() > 0.0 { ((point - a).dot(&along) / along.norm_squared()).clamp(0.0, 1.0) } else { 0.0 };
    (a + along * t - point).norm()
}

fn nearest(point: Point, lines: &[Vec<Point>]) -> f64 {
    let segments = lines.iter().flat_map(|line| line.windows(2));
    segments.map(|pair| from_segment(point, pair[0], pair[1])).fold(f64::INFINITY, f64::min)
}

fn around(edges: &[Edge]) -> Vec<Point> {
    edges.iter().flat_map(|edge| fine(&edge.path).into_iter().skip(1).step_by(3).chain([edge.path.end()])).collect()
}

fn allowance(pattern: &Pattern, piece: &Piece, role: Role) -> f64 {
    match role {
        Role::Waist => pattern.granted.waist,
        Role::Side => pattern.granted.side,
        Role::Hem => pattern.granted.hem,
        Role::Centre if piece.panel.half == Half::Back => pattern.granted.centre_back,
        _ => 0.0,
    }
}

fn mirrored(point: Point, through: Point, other: Point) -> Point {
    let along = (other - through).normalize();
    let off = point - through;
    through + along * (2.0 * off.dot(&along)) - off
}

/// From every point of a seam line the cut line of that seam is as far as its allowance.
fn lies_at_its_distance(pattern: &Pattern, piece: &Piece) -> Result<(), TestCaseError> {
    for role in [Role::Waist, Role::Side, Role::Hem, Role::Centre] {
        let lines = of_role(&piece.cut, role);
        let wanted = allowance(pattern, piece, role);
        for point in of_role(&piece.panel.edges, role).iter().flatten().step_by(5) {
            let off = nearest(*point, &lines);
            // A hem that is turned up over the curve of the side is narrower than the hem line.
            let beyond = role == Role::Hem && lines.iter().flatten().all(|corner| corner.x < point.x);
            let fits = if beyond { off >= wanted } else { (off - wanted).abs() <= OFF };
            prop_assert!(fits, "{role:?} at {point}: {off} for {wanted}");
        }
    }
    Ok(())
}

fn does_not_cross(piece: &Piece) -> Result<(), TestCaseError> {
    let [cut, seam] = [&piece.cut, &piece.panel.edges].map(|edges| closed(&around(edges)));
    for (k, a) in cut.iter().enumerate() {
        let itself = cut[k + 1..].iter().any(|b| cross(a, b));
        prop_assert!(!itself, "{} crosses itself at {}", piece.panel.half.name(), a[0]);
        prop_assert!(!seam.iter().any(|b| cross(a, b)), "{} cuts the seam at {}", piece.panel.half.name(), a[0]);
    }
    Ok(())
}

/// Each half of a roof, folded back over the leg and over the fold, lies on the edge that the dart is pressed to.
fn folds_onto_the_waist(piece: &Piece, press: Press) -> Result<(), TestCaseError> {
    let waist = of_role(&piece.cut, Role::Waist);
    let roofs = piece.cut.chunk_by(|a, b| a.role == b.role).filter(|edges| edges[0].role == Role::Dart);
    for (dart, roof) in piece.panel.darts.iter().zip(roofs) {
        let (leg, fold) = (if press == Press::Centre { dart.inner } else { dart.outer }, dart.tip);
        let upright = Point::new(fold.x, fold.y - 1.0);
        for point in roof.iter().flat_map(|edge| fine(&edge.path)) {
            let near = (point.x < fold.x) == (press == Press::Centre);
            let folded = if near { point } else { mirrored(point, fold, upright) };
            let off = nearest(mirrored(folded, fold, leg), &waist);
            prop_assert!(off <= OFF, "a layer ends {off} from the waist at {point}");
        }
    }
    Ok(())
}

fn holds(pattern: &Pattern) -> Result<(), TestCaseError> {
    for piece in pattern.pieces() {
        for (k, edge) in piece.cut.iter().enumerate() {
            let next = &piece.cut[(k + 1) % piece.cut.len()];
            prop_assert_eq!(edge.path.end(), next.path.start());
        }
        lies_at_its_distance(pattern, piece)?;
        does_not_cross(piece)?;
        if piece.straight_folds == 0 {
            folds_onto_the_waist(piece, pattern.cutting().press)?;
        }
    }
    Ok(())
}

/// Where each notch lies along its seam.
fn along(piece: &Piece, place: NotchPlace) -> Vec<f64> {
    piece.notches.iter().filter(|notch| notch.place == place).map(|notch| notch.along).collect()
}

proptest! {
    #![proptest_config(cases(4_000))]

    #[test]
    fn the_cut_line_of_any_draft_lies_at_its_distance_and_crosses_nothing(
        request in requests(Unit::Cm), cutting in cuttings(),
    ) {
        holds(&cut(&request, &cutting)?)?;
    }

    #[test]
    fn an_ordinary_draft_gets_the_allowances_it_wishes(request in ordinary(), press in prop_oneof![Just(Press::Centre), Just(Press::Side)]) {
        let pattern = cut(&request, &Cutting { press, ..Cutting::default() })?;
        prop_assert_eq!(pattern.granted, pattern.cutting().allowances);
        prop_assert_eq!(pattern.back.straight_folds + pattern.front.straight_folds, 0);
        holds(&pattern)?;
    }

    #[test]
    fn an_opening_that_is_not_told_fits_any_skirt(request in requests(Unit::Cm)) {
        let pattern = cut(&request, &Cutting::default())?;
        prop_assert!(pattern.opening() <= 20.0 && pattern.opening() <= pattern.back.panel.length(Role::Centre));
    }

    #[test]
    fn notches_come_in_pairs(request in requests(Unit::Cm), cutting in cuttings()) {
        let pattern = cut(&request, &cutting)?;
        for place in [NotchPlace::HipLine, NotchPlace::LowerSide] {
            let [back, front] = pattern.pieces().map(|piece| along(piece, place));
            prop_assert_eq!(back.len(), front.len());
            for (back, front) in back.iter().zip(front) {
                prop_assert!((back - front).abs() <= 1e-12 * back, "{place:?} at {back} and {front}");
            }
        }
        for piece in pattern.pieces() {
            let legs = along(piece, NotchPlace::DartLeg);
            prop_assert_eq!(legs.len(), 2 * piece.panel.darts.len());
            prop_assert!(legs.chunks(2).all(|pair| pair[0].to_bits() == pair[1].to_bits()));
            let lines: Vec<_> = piece.cut.iter().map(|edge| fine(&edge.path)).collect();
            for cut in piece.notches.iter().flat_map(|notch| &notch.cuts) {
                let off = nearest(cut[0], &lines);
                prop_assert!(off <= OFF, "a notch starts {off} off the cut line");
                let seams: Vec<_> = piece.panel.edges.iter().map(|edge| fine(&edge.path)).collect();
                let [start, end] = cut.map(|point| nearest(point, &seams));
                // A mark outside leads away from the seam line; beside a sharp bend another stretch may be near.
                prop_assert!(end >= 0.29 || end > start, "a notch ends {end} from the seam line, at {}", cut[1]);
            }
        }
    }
}
