//! Laws of pattern pieces: the cut line of each piece, and the placement of pieces on cloth.
#![allow(dead_code, reason = "each test file uses only some of the helpers")]

mod lines;

use kirtle::pattern::{Cloth, Lay, PieceName, PlacedPiece};
use kirtle::{Allowances, Edge, Half, Pattern, Piece, Point, Press, Role};
use lines::polyline_within;
pub(crate) use lines::{polygon_sides, polyline, segments_cross};
use proptest::prelude::*;

/// Largest error of the cut line in centimetres: 0.05 mm.
pub(crate) const CUT_TOLERANCE: f64 = 0.005;

/// Smallest allowance in centimetres at which the cut line is distinct from the seam line.
///
/// The cut line is computed to a micrometre. At a bend with a radius below the allowance, a smaller allowance is cut.
pub(crate) const MIN_DISTINCT_ALLOWANCE: f64 = 5e-4;

/// Largest error of a position on cloth in centimetres; chords stand for the curved outlines.
const CLOTH_TOLERANCE: f64 = 0.01;

/// Draws cloths of every width, folded or open, with or without one way.
pub(crate) fn cloths() -> impl Strategy<Value = Cloth> {
    (40.0..400.0, any::<bool>(), any::<bool>(), prop_oneof![Just(0.0), 0.0..=5.0])
        .prop_map(|(width, folded, one_way, selvedge)| Cloth { width, folded, one_way, selvedge })
}

/// Returns a polyline for each edge of a role.
fn lines_of_role(edges: &[Edge], role: Role) -> Vec<Vec<Point>> {
    edges.iter().filter(|edge| edge.role == role).map(|edge| polyline(&edge.path)).collect()
}

fn distance_to_segment(point: Point, a: Point, b: Point) -> f64 {
    let along = b - a;
    let t =
        if along.norm_squared() > 0.0 { ((point - a).dot(&along) / along.norm_squared()).clamp(0.0, 1.0) } else { 0.0 };
    (a + along * t - point).norm()
}

/// Returns the distance from a point to the nearest of several polylines.
pub(crate) fn distance_to_lines(point: Point, lines: &[Vec<Point>]) -> f64 {
    let segments = lines.iter().flat_map(|line| line.windows(2));
    segments.map(|pair| distance_to_segment(point, pair[0], pair[1])).fold(f64::INFINITY, f64::min)
}

/// Returns the sides of a polygon around closed edges; its chords lie within the tolerance of the edges.
fn polygon_around(edges: &[Edge], tolerance: f64) -> Vec<[Point; 2]> {
    polygon_sides(
        &edges
            .iter()
            .flat_map(|edge| polyline_within(&edge.path, tolerance).into_iter().skip(1))
            .collect::<Vec<Point>>(),
    )
}

fn allowance(pattern: &Pattern, piece: &Piece, role: Role) -> f64 {
    match role {
        Role::Waist => pattern.cut_allowances.waist,
        Role::Side => pattern.cut_allowances.side,
        Role::Hem => pattern.cut_allowances.hem,
        Role::Centre if piece.panel.half == Half::Back => pattern.cut_allowances.centre_back,
        _ => 0.0,
    }
}

/// Mirrors a point at the line through two other points.
fn mirror(point: Point, through: Point, other: Point) -> Point {
    let along = (other - through).normalize();
    let off = point - through;
    through + along * (2.0 * off.dot(&along)) - off
}

/// Checks that every point of a seam line lies at the distance of the allowance from the cut line of the seam.
fn check_cut_distance(pattern: &Pattern, piece: &Piece) -> Result<(), TestCaseError> {
    for role in [Role::Waist, Role::Side, Role::Hem, Role::Centre] {
        let lines = lines_of_role(&piece.cut, role);
        let allowance = allowance(pattern, piece, role);
        for point in lines_of_role(&piece.panel.edges, role).iter().flatten().step_by(5) {
            let distance = distance_to_lines(*point, &lines);
            // Where the side seam is curved, the turned-up hem is narrower than the hem line.
            let beyond = role == Role::Hem && lines.iter().flatten().all(|corner| corner.x < point.x);
            let fits = if beyond { distance >= allowance } else { (distance - allowance).abs() <= CUT_TOLERANCE };
            prop_assert!(fits, "{role:?} at {point}: cut at {distance} from the seam, allowance {allowance}");
        }
    }
    Ok(())
}

/// Checks that the cut line crosses neither itself nor the seam line, and does not pass the centre.
fn check_crossings(pattern: &Pattern, piece: &Piece) -> Result<(), TestCaseError> {
    let Allowances { waist, side, .. } = pattern.cut_allowances;
    let narrowest = [waist, side].into_iter().filter(|width| *width > 0.0).fold(f64::INFINITY, f64::min);
    let is_distinct = narrowest >= MIN_DISTINCT_ALLOWANCE;
    let [cut, seam] = [&piece.cut, &piece.panel.edges]
        .map(|edges| polygon_around(edges, narrowest.max(MIN_DISTINCT_ALLOWANCE) / 8.0));
    let min = -allowance(pattern, piece, Role::Centre) - 1e-9;
    for (k, a) in cut.iter().enumerate() {
        prop_assert!(a[0].x >= min, "the cut line of the {} passes the centre at {}", piece.panel.half.name(), a[0]);
        let crosses_itself = cut[k + 1..].iter().any(|b| segments_cross(a, b));
        prop_assert!(!crosses_itself, "the cut line of the {} crosses itself at {}", piece.panel.half.name(), a[0]);
        let crosses_seam = is_distinct && seam.iter().any(|b| segments_cross(a, b));
        prop_assert!(
            !crosses_seam,
            "the cut line of the {} crosses the seam line at {}",
            piece.panel.half.name(),
            a[0]
        );
    }
    Ok(())
}

/// Checks that each half of a dart roof, folded as the dart is pressed, ends on the cut line of the waist.
fn check_dart_roofs(piece: &Piece, press: Press) -> Result<(), TestCaseError> {
    let waist = lines_of_role(&piece.cut, Role::Waist);
    let roofs = piece.cut.chunk_by(|a, b| a.role == b.role).filter(|edges| edges[0].role == Role::Dart);
    for (dart, roof) in piece.panel.darts.iter().zip(roofs) {
        let (leg, fold) = (if press == Press::Centre { dart.inner } else { dart.outer }, dart.tip);
        let upright = Point::new(fold.x, fold.y - 1.0);
        for point in roof.iter().flat_map(|edge| polyline(&edge.path)) {
            let near = (point.x < fold.x) == (press == Press::Centre);
            let folded = if near { point } else { mirror(point, fold, upright) };
            let distance = distance_to_lines(mirror(folded, fold, leg), &waist);
            prop_assert!(distance <= CUT_TOLERANCE, "the folded roof ends {distance} from the waist at {point}");
        }
    }
    Ok(())
}

/// Checks all laws of the cut line.
pub(crate) fn check_cut_line(pattern: &Pattern) -> Result<(), TestCaseError> {
    for piece in pattern.pieces() {
        for (k, edge) in piece.cut.iter().enumerate() {
            let next = &piece.cut[(k + 1) % piece.cut.len()];
            prop_assert_eq!(edge.path.end(), next.path.start());
        }
        check_cut_distance(pattern, piece)?;
        check_crossings(pattern, piece)?;
        if piece.straight_folds == 0 {
            check_dart_roofs(piece, pattern.cutting().press)?;
        }
    }
    Ok(())
}

/// Returns the sides of a polygon along the outline of a placed piece.
fn outline_polygon(placed: &PlacedPiece) -> Vec<[Point; 2]> {
    let corners: Vec<Point> =
        placed.outline.iter().flat_map(|path| polyline(path).into_iter().skip(1).step_by(3)).collect();
    polygon_sides(&corners)
}

/// Returns whether a point lies inside a polygon: a ray to the right crosses an odd number of its sides.
fn is_inside(point: Point, sides: &[[Point; 2]]) -> bool {
    let crossed = sides.iter().filter(|[a, b]| {
        (a.y > point.y) != (b.y > point.y) && point.x < a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x)
    });
    crossed.count() % 2 == 1
}

/// Checks that no two placed pieces overlap.
fn check_overlaps(lay: &Lay) -> Result<(), TestCaseError> {
    let polygons: Vec<_> = lay.placed.iter().map(outline_polygon).collect();
    for (k, a) in polygons.iter().enumerate() {
        for b in &polygons[k + 1..] {
            prop_assert!(!a.iter().any(|side| b.iter().any(|other| segments_cross(side, other))));
            prop_assert!(!is_inside(a[0][0], b) && !is_inside(b[0][0], a));
        }
    }
    Ok(())
}

/// Checks that every piece lies on the cloth with a straight grain, and on the fold or one way where needed.
fn check_positions(lay: &Lay) -> Result<(), TestCaseError> {
    let Cloth { width, folded, selvedge, .. } = lay.cloth;
    let (left, right) = if folded { (0.0, width / 2.0 - selvedge) } else { (selvedge, width - selvedge) };
    for placed in &lay.placed {
        for corner in placed.outline.iter().flat_map(polyline) {
            prop_assert!(
                (left - CLOTH_TOLERANCE..=right + CLOTH_TOLERANCE).contains(&corner.x),
                "{corner} is not between {left} and {right}"
            );
            prop_assert!(
                (-CLOTH_TOLERANCE..=lay.length + CLOTH_TOLERANCE).contains(&corner.y),
                "{corner} is off a lay {} long",
                lay.length
            );
        }
        let on_edge = placed.outline.iter().any(|path| path.start().x.abs() + path.end().x.abs() < 1e-9);
        prop_assert!(!placed.on_fold || on_edge);
        prop_assert!((placed.grain[0].x - placed.grain[1].x).abs() < 1e-9);
        prop_assert!(!(lay.cloth.one_way && placed.turned));
    }
    Ok(())
}

/// Checks that the lay cuts the front once and the back twice, the second back as a mirror image.
fn check_pieces(lay: &Lay) {
    let of = |name| lay.placed.iter().filter(move |placed| placed.name == name);
    assert_eq!(of(PieceName::Front).count(), 1);
    assert_eq!(of(PieceName::Front).all(|placed| placed.on_fold), lay.cloth.folded);
    // A turned front is mirrored on the fold; on open cloth it is rotated.
    assert!(of(PieceName::Front).all(|placed| placed.mirrored == (placed.on_fold && placed.turned)));
    let mirrored: Vec<bool> = of(PieceName::Back).map(|placed| placed.mirrored).collect();
    assert!(if lay.cloth.folded { mirrored.len() == 1 } else { mirrored.len() == 2 && mirrored[0] != mirrored[1] });
}

/// Checks all laws of the lay.
pub(crate) fn check_lay(lay: &Lay) -> Result<(), TestCaseError> {
    check_overlaps(lay)?;
    check_positions(lay)?;
    check_pieces(lay);
    prop_assert!((0.0..1.0).contains(&lay.waste));
    Ok(())
}
