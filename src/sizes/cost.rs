//! Differences between altered panels and the exact draft of a body, and the distance between two drafts: how far apart
//! they lie on the cloth.

use std::array;

use crate::draft::{Draft, Panel, Role};
use crate::geometry::{Path, Point, Vector, flatten_to_polyline};

/// Largest distance between a curve and its flattened polyline, in centimetres.
const GAP_FLATTENING_TOLERANCE_CM: f64 = 0.001;

/// Largest amount, in centimetres, by which the search may return a distance between two polylines that is too small.
const MAX_GAP_UNDERESTIMATE_CM: f64 = 0.002;

pub(super) const MM_PER_CM: f64 = 10.0;

/// Differences between an altered pattern and the exact draft, in millimetres, one for each place.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "python", pyo3::pyclass(frozen, get_all, eq, module = "kirtle"))]
pub struct Cost {
    /// Largest distance between the altered and the exact waist line, in millimetres.
    pub waist_gap_mm: f64,
    /// Largest distance between the altered and the exact side seam, in millimetres.
    pub side_gap_mm: f64,
    /// Largest distance between the altered and the exact hem, in millimetres.
    pub hem_gap_mm: f64,
    /// Largest distance between the altered and the exact centre line, in millimetres.
    pub centre_gap_mm: f64,
    /// Largest distance between corresponding dart tips or ends of dart mouths, in millimetres; missing if the numbers
    /// of darts differ.
    pub dart_gap_mm: Option<f64>,
    /// Sewn waist of the whole altered garment minus wanted waist (body plus ease), in millimetres; negative if too
    /// small.
    pub sewn_waist_mm: f64,
    /// Hip of the whole altered garment minus wanted hip (body plus ease), in millimetres; negative if too small.
    pub hip_girth_mm: f64,
    /// Length of the altered front side seam minus length of the altered back side seam, in millimetres.
    pub side_mismatch_mm: f64,
}

impl Cost {
    /// Returns the differences of the altered back and front panels from the exact draft, one for each place.
    pub(super) fn differences_from_exact_draft(altered: [&Panel; 2], exact: &Draft) -> Self {
        let pairs = || altered.into_iter().zip(exact.panels());
        let largest_gap =
            |role| pairs().map(|(a, b)| edge_hausdorff_distance_cm(a, b, role)).fold(0.0, f64::max) * MM_PER_CM;
        let corners =
            |panel: &Panel| panel.darts.iter().flat_map(|dart| [dart.inner, dart.tip, dart.outer]).collect::<Vec<_>>();
        let corner_pairs = pairs().flat_map(|(a, b)| corners(a).into_iter().zip(corners(b)));
        let dart_gap = corner_pairs.map(|(p, q)| (p - q).norm()).fold(0.0, f64::max) * MM_PER_CM;
        let has_equal_darts = pairs().all(|(a, b)| a.darts.len() == b.darts.len());
        let sewn = 2.0 * altered.iter().map(|panel| panel.edge_length(Role::Waist)).sum::<f64>();
        let hip = 2.0 * altered.iter().map(|panel| panel.width).sum::<f64>();
        let (body, ease) = (exact.body(), exact.ease());
        Self {
            waist_gap_mm: largest_gap(Role::Waist),
            side_gap_mm: largest_gap(Role::Side),
            hem_gap_mm: largest_gap(Role::Hem),
            centre_gap_mm: largest_gap(Role::Centre),
            dart_gap_mm: has_equal_darts.then_some(dart_gap),
            sewn_waist_mm: (sewn - body.waist - ease.waist) * MM_PER_CM,
            hip_girth_mm: (hip - body.hip - ease.hip) * MM_PER_CM,
            side_mismatch_mm: (altered[1].edge_length(Role::Side) - altered[0].edge_length(Role::Side)) * MM_PER_CM,
        }
    }

    /// Returns the largest absolute difference in millimetres; infinite if the numbers of darts differ.
    pub fn largest_mm(&self) -> f64 {
        let gaps = [self.waist_gap_mm, self.side_gap_mm, self.hem_gap_mm, self.centre_gap_mm];
        let errors = [self.sewn_waist_mm, self.hip_girth_mm, self.side_mismatch_mm].map(f64::abs);
        let darts = self.dart_gap_mm.unwrap_or(f64::INFINITY);
        gaps.into_iter().chain(errors).fold(darts, f64::max)
    }
}

/// Returns the Hausdorff distance, in centimetres, between the edges with the given role of two panels.
fn edge_hausdorff_distance_cm(a: &Panel, b: &Panel, role: Role) -> f64 {
    let polylines = |panel: &Panel| -> Vec<Vec<Point>> {
        panel.paths(role).map(|path| flatten_to_polyline(&[*path], GAP_FLATTENING_TOLERANCE_CM)).collect()
    };
    let [a, b] = [a, b].map(polylines);
    let one_sided = |from: &[Vec<Point>], to: &[Vec<Point>]| {
        from.iter().fold(0.0, |gap, line| {
            let vertices: Vec<_> = line.iter().map(|vertex| point_with_nearest_chord(*vertex, to)).collect();
            vertices.windows(2).fold(gap, |gap, ends| largest_chord_polyline_gap([ends[0], ends[1]], to, gap))
        })
    };
    one_sided(&a, &b).max(one_sided(&b, &a))
}

/// Point, its distance in centimetres from the nearest chord of some polylines, and that chord.
type PointWithNearestChord = (Point, f64, [Point; 2]);

fn point_with_nearest_chord(point: Point, lines: &[Vec<Point>]) -> PointWithNearestChord {
    let chords = lines.iter().flat_map(|line| line.windows(2)).map(|chord| [chord[0], chord[1]]);
    let candidates = chords.map(|chord| (point, distance_to_chord(point, chord), chord));
    candidates.fold((point, f64::INFINITY, [point; 2]), |best, next| if next.1 < best.1 { next } else { best })
}

/// Returns the larger of `lower_bound` and a chord's largest distance, in centimetres, from the nearest polyline, by
/// branch and bound.
fn largest_chord_polyline_gap(ends: [PointWithNearestChord; 2], lines: &[Vec<Point>], lower_bound: f64) -> f64 {
    let [(a, from_a, near_a), (b, from_b, near_b)] = ends;
    let (lower_bound, chord) = (lower_bound.max(from_a).max(from_b), b - a);
    // Two upper bounds: the distance is 1-Lipschitz; the distance from one straight chord is largest at an end.
    let by_length = (from_a + from_b + chord.norm()) / 2.0;
    let [by_a, by_b] = [from_a.max(distance_to_chord(b, near_a)), from_b.max(distance_to_chord(a, near_b))];
    if by_length.min(by_a).min(by_b) <= lower_bound + MAX_GAP_UNDERESTIMATE_CM {
        return lower_bound;
    }
    let middle = point_with_nearest_chord(a + chord / 2.0, lines);
    let first_half = largest_chord_polyline_gap([ends[0], middle], lines, lower_bound);
    largest_chord_polyline_gap([middle, ends[1]], lines, first_half)
}

fn distance_to_chord(point: Point, [start, end]: [Point; 2]) -> f64 {
    let chord = end - start;
    let squared = chord.norm_squared();
    let t = if squared > 0.0 { ((point - start).dot(&chord) / squared).clamp(0.0, 1.0) } else { 0.0 };
    (start + chord * t - point).norm()
}

/// Number of equal parts into which the sewn waist, and the side seam from waist to hip line, of a panel are divided.
const PARTS: usize = 8;

/// Number of chords that stand for a curve; their length is too short by a relative 1e-4 at most.
const CHORDS_PER_PATH: u32 = 24;

/// Ends of the parts of the waists and side seams of back and front, `x` measured from the centre line, `y` from the
/// hip line.
pub(crate) type SewingPoints = [Point; 4 * (PARTS + 1)];

impl Draft {
    /// Returns how far this draft lies from another: the root mean square distance, in centimetres, between
    /// corresponding points of both.
    ///
    /// The points divide the sewn waist of each panel, and its side seam from the waist to the hip line, into eight
    /// equal parts. The drafts lie on each other at centre line and hip line. A wider dart moves the points between the
    /// dart and the side. The skirt below the hip line does not count.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules};
    ///
    /// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
    /// let draft = |body: Body| kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default());
    /// let (own, lower) = (draft(body)?, draft(Body { hip_depth: 21.5, ..body })?);
    /// assert_eq!(own.distance_to(&own), 0.0);
    /// // All points of the waist lie a centimetre higher above the hip line; those of the side seam from 0 to 1 cm.
    /// assert!((0.7..0.9).contains(&own.distance_to(&lower)));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn distance_to(&self, other: &Self) -> f64 {
        rms_distance(&self.sewing_points(), &other.sewing_points())
    }

    /// Returns the points that are compared by [`distance_to`](Self::distance_to).
    pub(crate) fn sewing_points(&self) -> SewingPoints {
        let [back, front] = self.panels();
        let waist = |panel: &Panel| panel.paths(Role::Waist).copied().collect();
        // The first path of a side seam ends at the hip line.
        let side = |panel: &Panel| panel.paths(Role::Side).take(1).copied().collect();
        let lines: [Vec<Path>; 4] = [waist(back), waist(front), side(back), side(front)];
        let lines = lines.map(|paths| ends_of_equal_parts(&paths));
        let hip_line = Vector::new(0.0, self.body().hip_depth);
        array::from_fn(|k| lines[k / (PARTS + 1)][k % (PARTS + 1)] - hip_line)
    }
}

/// Returns the root mean square distance between corresponding points, in centimetres.
pub(crate) fn rms_distance(a: &SewingPoints, b: &SewingPoints) -> f64 {
    let sum: f64 = a.iter().zip(b).map(|(a, b)| (a - b).norm_squared()).sum();
    (sum / a.len() as f64).sqrt()
}

/// Returns the ends of equal parts of the total length of some paths, from the first path's start to the last's end.
fn ends_of_equal_parts(paths: &[Path]) -> [Point; PARTS + 1] {
    let chords_of_path = |path| Path::sampled(path, CHORDS_PER_PATH).zip(path.sampled(CHORDS_PER_PATH).skip(1));
    let chords: Vec<_> = paths.iter().flat_map(chords_of_path).collect();
    let length = |(from, to): (Point, Point)| (to - from).norm();
    let part = chords.iter().copied().map(length).sum::<f64>() / PARTS as f64;
    let (mut chord, mut before) = (0, 0.0);
    array::from_fn(|k| {
        while chord + 1 < chords.len() && part * k as f64 - before > length(chords[chord]) {
            (chord, before) = (chord + 1, before + length(chords[chord]));
        }
        let (from, to) = chords[chord];
        from + (to - from) * ((part * k as f64 - before) / length((from, to))).min(1.0)
    })
}
