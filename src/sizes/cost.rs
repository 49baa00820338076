//! Differences between altered panels and the exact draft of a body.

use crate::draft::{Dart, Draft, Panel, Role};
use crate::geometry::{Point, flatten};

/// Largest distance between a curve and its flattened polyline, in centimetres.
const FLATTENING_TOLERANCE: f64 = 0.001;

/// Largest amount by which a reported gap may be smaller than the true gap, in centimetres.
const GAP_TOLERANCE: f64 = 0.002;

const MM_PER_CM: f64 = 10.0;

/// Differences between an altered pattern and the exact draft, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "python", pyo3::pyclass(frozen, get_all, eq, module = "kirtle"))]
pub struct Cost {
    /// Largest distance between the two waist lines.
    pub waist_gap_mm: f64,
    /// Largest distance between the two side seams.
    pub side_gap_mm: f64,
    /// Largest distance between the two hems.
    pub hem_gap_mm: f64,
    /// Largest distance between the two centre lines.
    pub centre_gap_mm: f64,
    /// Largest distance between corresponding dart tips or ends of dart mouths; missing if the numbers of darts differ.
    pub dart_gap_mm: Option<f64>,
    /// Excess of the whole sewn waist over the wanted waist; negative if the sewn waist is too small.
    pub sewn_waist_mm: f64,
    /// Excess of the whole garment's hip over the wanted hip; negative if the garment is too small.
    pub hip_girth_mm: f64,
    /// Length of the front side seam minus length of the back side seam.
    pub side_mismatch_mm: f64,
}

impl Cost {
    /// Compares altered panels, back and front, with the exact draft.
    pub(super) fn compare(altered: [&Panel; 2], exact: &Draft) -> Self {
        let pairs = || altered.into_iter().zip(exact.panels());
        let largest_gap = |role: Role| pairs().map(|(a, b)| edge_gap(a, b, role)).fold(0.0, f64::max) * MM_PER_CM;
        let darts: Option<Vec<f64>> = pairs().map(|(a, b)| dart_gap(a, b)).collect();
        let sewn = 2.0 * altered.iter().map(|panel| panel.length(Role::Waist)).sum::<f64>();
        let hip = 2.0 * altered.iter().map(|panel| panel.width).sum::<f64>();
        let (body, ease) = (exact.body(), exact.ease());
        Self {
            waist_gap_mm: largest_gap(Role::Waist),
            side_gap_mm: largest_gap(Role::Side),
            hem_gap_mm: largest_gap(Role::Hem),
            centre_gap_mm: largest_gap(Role::Centre),
            dart_gap_mm: darts.map(|gaps| gaps.into_iter().fold(0.0, f64::max) * MM_PER_CM),
            sewn_waist_mm: (sewn - body.waist - ease.waist) * MM_PER_CM,
            hip_girth_mm: (hip - body.hip - ease.hip) * MM_PER_CM,
            side_mismatch_mm: (altered[1].length(Role::Side) - altered[0].length(Role::Side)) * MM_PER_CM,
        }
    }

    /// Returns the largest difference in millimetres; infinite if the numbers of darts differ.
    #[must_use]
    pub fn largest_mm(&self) -> f64 {
        let gaps = [self.waist_gap_mm, self.side_gap_mm, self.hem_gap_mm, self.centre_gap_mm];
        let errors = [self.sewn_waist_mm, self.hip_girth_mm, self.side_mismatch_mm].map(f64::abs);
        let darts = self.dart_gap_mm.unwrap_or(f64::INFINITY);
        gaps.into_iter().chain(errors).fold(darts, f64::max)
    }

    /// Returns the largest difference in millimetres, leaving the darts out.
    pub(super) fn outline_mm(&self) -> f64 {
        Self { dart_gap_mm: Some(0.0), ..*self }.largest_mm()
    }
}

/// Returns the Hausdorff distance between the edges of two panels that have the given role, in centimetres.
fn edge_gap(a: &Panel, b: &Panel, role: Role) -> f64 {
    let polylines = |panel: &Panel| -> Vec<Vec<Point>> {
        panel.paths(role).map(|path| flatten(&[*path], FLATTENING_TOLERANCE)).collect()
    };
    let [a, b] = [a, b].map(polylines);
    let one_sided = |from: &[Vec<Point>], to: &[Vec<Point>]| {
        from.iter().fold(0.0, |gap, line| {
            let vertices: Vec<Projection> = line.iter().map(|vertex| Projection::new(*vertex, to)).collect();
            vertices.windows(2).fold(gap, |gap, ends| chord_gap([&ends[0], &ends[1]], to, gap))
        })
    };
    one_sided(&a, &b).max(one_sided(&b, &a))
}

/// Point with its distance from a set of polylines and the nearest chord of the polylines.
struct Projection {
    point: Point,
    distance: f64,
    nearest_chord: [Point; 2],
}

impl Projection {
    fn new(point: Point, lines: &[Vec<Point>]) -> Self {
        let chords = lines.iter().flat_map(|line| line.windows(2)).map(|chord| [chord[0], chord[1]]);
        let candidates =
            chords.map(|chord| Self { point, distance: distance_to_chord(point, chord), nearest_chord: chord });
        let start = Self { point, distance: f64::INFINITY, nearest_chord: [point; 2] };
        candidates.fold(start, |best, next| if next.distance < best.distance { next } else { best })
    }
}

/// Returns the larger of `lower_bound` and a chord's largest distance from some polylines, by branch and bound.
fn chord_gap([a, b]: [&Projection; 2], lines: &[Vec<Point>], lower_bound: f64) -> f64 {
    let (lower_bound, chord) = (lower_bound.max(a.distance).max(b.distance), b.point - a.point);
    // Two upper bounds: the distance is 1-Lipschitz; the distance from one straight chord is largest at an end.
    let by_length = (a.distance + b.distance + chord.norm()) / 2.0;
    let [by_a, by_b] = [
        a.distance.max(distance_to_chord(b.point, a.nearest_chord)),
        b.distance.max(distance_to_chord(a.point, b.nearest_chord)),
    ];
    if by_length.min(by_a).min(by_b) <= lower_bound + GAP_TOLERANCE {
        return lower_bound;
    }
    let middle = Projection::new(a.point + chord / 2.0, lines);
    chord_gap([&middle, b], lines, chord_gap([a, &middle], lines, lower_bound))
}

/// Returns the distance of a point from a straight segment.
fn distance_to_chord(point: Point, [start, end]: [Point; 2]) -> f64 {
    let chord = end - start;
    let squared = chord.norm_squared();
    let t = if squared > 0.0 { ((point - start).dot(&chord) / squared).clamp(0.0, 1.0) } else { 0.0 };
    (start + chord * t - point).norm()
}

/// Returns the largest distance between corresponding tips and mouth ends, or `None` if the numbers of darts differ.
fn dart_gap(a: &Panel, b: &Panel) -> Option<f64> {
    let distance = |(a, b): (&Dart, &Dart)| {
        [(a.inner, b.inner), (a.outer, b.outer), (a.tip, b.tip)]
            .map(|(p, q)| (p - q).norm())
            .into_iter()
            .fold(0.0, f64::max)
    };
    (a.darts.len() == b.darts.len()).then(|| a.darts.iter().zip(&b.darts).map(distance).fold(0.0, f64::max))
}
