//! The laws of pieces: how they are cut, and how they lie on cloth.
#![allow(dead_code, reason = "each test file takes what it needs")]

mod lines;

use kirtle::pattern::{Cloth, Lay, Placed};
use kirtle::{Allowances, Edge, Half, Pattern, Piece, Point, Press, Role};
use lines::near;
pub(crate) use lines::{closed, cross, fine};
use proptest::prelude::*;

/// What the cut line may be off, in centimetres: half a tenth of a millimetre.
pub(crate) const OFF: f64 = 0.005;

/// The least allowance, in centimetres, at which the cut line can be told from the seam line: it is made to a micrometre.
/// Beside a bend narrower than that less is granted.
pub(crate) const MIN_TOLD: f64 = 5e-4;

/// What a place on cloth may be off, in centimetres, as outlines are followed by chords.
const OFF_ON_CLOTH: f64 = 0.01;

/// Every cloth.
pub(crate) fn cloths() -> impl Strategy<Value = Cloth> {
    (40.0..400.0, any::<bool>(), any::<bool>()).prop_map(|(width, folded, one_way)| Cloth { width, folded, one_way })
}

fn of_role(edges: &[Edge], role: Role) -> Vec<Vec<Point>> {
    edges.iter().filter(|edge| edge.role == role).map(|edge| fine(&edge.path)).collect()
}

fn from_segment(point: Point, a: Point, b: Point) -> f64 {
    let along = b - a;
    let t =
        if along.norm_squared() > 0.0 { ((point - a).dot(&along) / along.norm_squared()).clamp(0.0, 1.0) } else { 0.0 };
    (a + along * t - point).norm()
}

/// How far a point is from the nearest of these lines.
pub(crate) fn nearest(point: Point, lines: &[Vec<Point>]) -> f64 {
    let segments = lines.iter().flat_map(|line| line.windows(2));
    segments.map(|pair| from_segment(point, pair[0], pair[1])).fold(f64::INFINITY, f64::min)
}

/// The sides of a ring of chords, none of which is further off its edge than this.
fn around(edges: &[Edge], off: f64) -> Vec<[Point; 2]> {
    closed(&edges.iter().flat_map(|edge| near(&edge.path, off).into_iter().skip(1)).collect::<Vec<Point>>())
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

fn does_not_cross(pattern: &Pattern, piece: &Piece) -> Result<(), TestCaseError> {
    let Allowances { waist, side, .. } = pattern.granted;
    let narrowest = [waist, side].into_iter().filter(|width| *width > 0.0).fold(f64::INFINITY, f64::min);
    let told_apart = narrowest >= MIN_TOLD;
    let [cut, seam] = [&piece.cut, &piece.panel.edges].map(|edges| around(edges, narrowest.max(MIN_TOLD) / 8.0));
    let min = -allowance(pattern, piece, Role::Centre) - 1e-9;
    for (k, a) in cut.iter().enumerate() {
        prop_assert!(a[0].x >= min, "{} passes the centre at {}", piece.panel.half.name(), a[0]);
        let itself = cut[k + 1..].iter().any(|b| cross(a, b));
        prop_assert!(!itself, "{} crosses itself at {}", piece.panel.half.name(), a[0]);
        let cuts = told_apart && seam.iter().any(|b| cross(a, b));
        prop_assert!(!cuts, "{} cuts the seam at {}", piece.panel.half.name(), a[0]);
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

/// All laws of the cut line.
pub(crate) fn is_cut_right(pattern: &Pattern) -> Result<(), TestCaseError> {
    for piece in pattern.pieces() {
        for (k, edge) in piece.cut.iter().enumerate() {
            let next = &piece.cut[(k + 1) % piece.cut.len()];
            prop_assert_eq!(edge.path.end(), next.path.start());
        }
        lies_at_its_distance(pattern, piece)?;
        does_not_cross(pattern, piece)?;
        if piece.straight_folds == 0 {
            folds_onto_the_waist(piece, pattern.cutting().press)?;
        }
    }
    Ok(())
}

fn ring(placed: &Placed) -> Vec<[Point; 2]> {
    let corners: Vec<Point> =
        placed.outline.iter().flat_map(|path| fine(path).into_iter().skip(1).step_by(3)).collect();
    closed(&corners)
}

/// Whether a point lies inside a ring: a ray to the right crosses it an odd number of times.
fn inside(point: Point, ring: &[[Point; 2]]) -> bool {
    let crossed = ring.iter().filter(|[a, b]| {
        (a.y > point.y) != (b.y > point.y) && point.x < a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x)
    });
    crossed.count() % 2 == 1
}

fn do_not_overlap(lay: &Lay) -> Result<(), TestCaseError> {
    let rings: Vec<_> = lay.placed.iter().map(ring).collect();
    for (k, a) in rings.iter().enumerate() {
        for b in &rings[k + 1..] {
            prop_assert!(!a.iter().any(|side| b.iter().any(|other| cross(side, other))));
            prop_assert!(!inside(a[0][0], b) && !inside(b[0][0], a));
        }
    }
    Ok(())
}

fn all_lie_on_the_cloth(lay: &Lay) -> Result<(), TestCaseError> {
    let width = if lay.cloth.folded { lay.cloth.width / 2.0 } else { lay.cloth.width };
    for placed in &lay.placed {
        for corner in placed.outline.iter().flat_map(fine) {
            prop_assert!((-OFF_ON_CLOTH..=width + OFF_ON_CLOTH).contains(&corner.x), "{corner} on {width}");
            prop_assert!((-OFF_ON_CLOTH..=lay.length + OFF_ON_CLOTH).contains(&corner.y), "{corner} on {}", lay.length);
        }
        let on_edge = placed.outline.iter().any(|path| path.start().x.abs() + path.end().x.abs() < 1e-9);
        prop_assert!(!placed.on_fold || on_edge);
        prop_assert!((placed.grain[0].x - placed.grain[1].x).abs() < 1e-9);
        prop_assert!(!(lay.cloth.one_way && placed.turned));
    }
    Ok(())
}

/// What is cut: the front once, and the back twice, the second time as its mirror image.
fn all_are_there(lay: &Lay) {
    let of = |half| lay.placed.iter().filter(move |placed| placed.half == half);
    assert_eq!(of(Half::Front).count(), 1);
    assert_eq!(of(Half::Front).all(|placed| placed.on_fold), lay.cloth.folded);
    // On the fold it is turned over, opened out it is turned about.
    assert!(of(Half::Front).all(|placed| placed.mirrored == (placed.on_fold && placed.turned)));
    let mirrored: Vec<bool> = of(Half::Back).map(|placed| placed.mirrored).collect();
    assert!(if lay.cloth.folded { mirrored.len() == 1 } else { mirrored.len() == 2 && mirrored[0] != mirrored[1] });
}

/// All laws of the lay.
pub(crate) fn lies_right(lay: &Lay) -> Result<(), TestCaseError> {
    do_not_overlap(lay)?;
    all_lie_on_the_cloth(lay)?;
    all_are_there(lay);
    prop_assert!((0.0..1.0).contains(&lay.waste));
    Ok(())
}
