//! Distance between two drafts: how far apart they lie on the cloth.

use std::array;

use crate::draft::{Draft, Panel, Role};
use crate::geometry::{Path, Point, Vector};

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
