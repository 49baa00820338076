//! What a shortcut costs: an altered outline beside the exact redraft.

use crate::draft::{Draft, Panel, Role};
use crate::geometry::{Point, flatten};

/// How closely curves are followed, in centimetres; a tenth of the tolerance that a cutter could see.
const FOLLOWED: f64 = 0.001;

/// A gap that is told is at most so much less than the largest there is, in centimetres.
const MISSED: f64 = 0.002;

const MM_IN_CM: f64 = 10.0;

/// How far an alteration lies from the exact redraft, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "python", pyo3::pyclass(frozen, get_all, eq, module = "kirtle"))]
pub struct Cost {
    /// The largest gap along the waist.
    pub waist_gap_mm: f64,
    /// The largest gap along the side seams.
    pub side_gap_mm: f64,
    /// The largest gap along the hem.
    pub hem_gap_mm: f64,
    /// The largest gap along the centre lines.
    pub centre_gap_mm: f64,
    /// The farthest that a mouth or a tip of a dart lies off; none where the redraft has more darts, or fewer.
    pub dart_gap_mm: Option<f64>,
    /// By how much the sewn waist is too large, or, below zero, too small; all around.
    pub sewn_waist_mm: f64,
    /// By how much the hip of the garment is too large, or, below zero, too small; all around.
    pub hip_girth_mm: f64,
    /// By how much the side seam of the front is longer than that of the back, or, below zero, shorter.
    pub side_mismatch_mm: f64,
}

impl Cost {
    /// The cost of altered panels, back and front.
    pub(super) fn of(altered: [&Panel; 2], exact: &Draft) -> Self {
        let pairs = || altered.into_iter().zip(exact.panels());
        let widest = |role: Role| pairs().map(|(a, b)| gap(a, b, role)).fold(0.0, f64::max) * MM_IN_CM;
        let darts: Option<Vec<f64>> = pairs().map(|(a, b)| dart_gap(a, b)).collect();
        let sewn = 2.0 * altered.iter().map(|panel| panel.length(Role::Waist)).sum::<f64>();
        let hip = 2.0 * altered.iter().map(|panel| panel.width).sum::<f64>();
        let (body, ease) = (exact.body(), exact.ease());
        Self {
            waist_gap_mm: widest(Role::Waist),
            side_gap_mm: widest(Role::Side),
            hem_gap_mm: widest(Role::Hem),
            centre_gap_mm: widest(Role::Centre),
            dart_gap_mm: darts.map(|gaps| gaps.into_iter().fold(0.0, f64::max) * MM_IN_CM),
            sewn_waist_mm: (sewn - body.waist - ease.waist) * MM_IN_CM,
            hip_girth_mm: (hip - body.hip - ease.hip) * MM_IN_CM,
            side_mismatch_mm: (altered[1].length(Role::Side) - altered[0].length(Role::Side)) * MM_IN_CM,
        }
    }

    /// The largest of all; infinite where the darts differ in number.
    #[must_use]
    pub fn largest_mm(&self) -> f64 {
        let gaps = [self.waist_gap_mm, self.side_gap_mm, self.hem_gap_mm, self.centre_gap_mm];
        let errors = [self.sewn_waist_mm, self.hip_girth_mm, self.side_mismatch_mm].map(f64::abs);
        let darts = self.dart_gap_mm.unwrap_or(f64::INFINITY);
        gaps.into_iter().chain(errors).fold(darts, f64::max)
    }

    /// The largest but for the darts: what tells two shortcuts apart where the darts differ in number.
    pub(super) fn outline_mm(&self) -> f64 {
        Self { dart_gap_mm: Some(0.0), ..*self }.largest_mm()
    }
}

/// The farthest that an edge of one panel lies from that of the other, either way.
fn gap(a: &Panel, b: &Panel, role: Role) -> f64 {
    let lines = [a, b].map(|panel| panel.paths(role).map(|path| flatten(&[*path], FOLLOWED)).collect::<Vec<_>>());
    let far = |from: &[Vec<Point>], to: &[Vec<Point>]| {
        from.iter().fold(0.0, |found, line| {
            let looks: Vec<Look> = line.iter().map(|corner| Look::at(*corner, to)).collect();
            looks.windows(2).fold(found, |found, ends| farthest([&ends[0], &ends[1]], to, found))
        })
    };
    far(&lines[0], &lines[1]).max(far(&lines[1], &lines[0]))
}

/// A point, how far it lies off some lines, and which of their chords is nearest.
struct Look {
    point: Point,
    off: f64,
    nearest: [Point; 2],
}

impl Look {
    fn at(point: Point, lines: &[Vec<Point>]) -> Self {
        let chords = lines.iter().flat_map(|line| line.windows(2)).map(|chord| [chord[0], chord[1]]);
        let looks = chords.map(|chord| Self { point, off: off(point, chord), nearest: chord });
        let none = Self { point, off: f64::INFINITY, nearest: [point; 2] };
        looks.fold(none, |best, next| if next.off < best.off { next } else { best })
    }
}

/// The farthest that a chord between two looks lies off, or what was found before, if that is more.
fn farthest([a, b]: [&Look; 2], to: &[Vec<Point>], found: f64) -> f64 {
    let (found, along) = (found.max(a.off).max(b.off), b.point - a.point);
    // From point to point the distance grows by no more than the way between; and from one straight line it is largest at an
    // end of the chord.
    let by_way = (a.off + b.off + along.norm()) / 2.0;
    let [by_a, by_b] = [a.off.max(off(b.point, a.nearest)), b.off.max(off(a.point, b.nearest))];
    if by_way.min(by_a).min(by_b) <= found + MISSED {
        return found;
    }
    let middle = Look::at(a.point + along / 2.0, to);
    farthest([&middle, b], to, farthest([a, &middle], to, found))
}

/// How far a point lies off a chord.
fn off(point: Point, [start, end]: [Point; 2]) -> f64 {
    let along = end - start;
    let squared = along.norm_squared();
    let share = if squared > 0.0 { ((point - start).dot(&along) / squared).clamp(0.0, 1.0) } else { 0.0 };
    (start + along * share - point).norm()
}

fn dart_gap(a: &Panel, b: &Panel) -> Option<f64> {
    let off = |(a, b): (&crate::draft::Dart, &crate::draft::Dart)| {
        [(a.inner, b.inner), (a.outer, b.outer), (a.tip, b.tip)]
            .map(|(p, q)| (p - q).norm())
            .into_iter()
            .fold(0.0, f64::max)
    };
    (a.darts.len() == b.darts.len()).then(|| a.darts.iter().zip(&b.darts).map(off).fold(0.0, f64::max))
}
