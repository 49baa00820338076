//! Grade table: the displacement of each named point of a panel from each size to the next.

use super::SizeRange;
use crate::draft::{Draft, Half, Panel};
use crate::geometry::{Point, Vector};

/// Displacement of a pattern point from one size to the next, in centimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct GradeIncrement {
    /// Panel of the point.
    pub half: Half,
    /// Name of the point, such as `side_waist` or `dart_1_tip`.
    pub point: String,
    /// Name of the smaller size.
    pub from: String,
    /// Name of the larger size.
    pub to: String,
    /// Displacement `[away from the centre line, downwards]` in centimetres, larger minus smaller size; `None` if one
    /// size lacks the point.
    pub step: Option<[f64; 2]>,
}

/// Grade table of a size range: one entry for each panel, each pair of neighbouring sizes and each point.
pub type GradeTable = Vec<GradeIncrement>;

impl SizeRange {
    /// Computes the grade table of this size range, with all sizes aligned at centre line and hip line, as in a nest.
    ///
    /// ```
    /// use kirtle::{Ease, Rules, SizeChart};
    ///
    /// let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let grade = range.grade();
    /// let side = grade.iter().find(|step| step.point == "side_hip").unwrap();
    /// assert_eq!(side.step, Some([1.0, 0.0])); // One size adds 4 cm at the hip, 1 cm on each panel.
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn grade(&self) -> GradeTable {
        let mut grade = Vec::new();
        for half in [0, 1] {
            let panel_points = |(size, draft): (_, &Draft)| {
                let (panel, body) = (draft.panels()[half], draft.body());
                (size, panel.half, named_points_from_hip_line(panel, body.hip_depth, body.length))
            };
            let panels: Vec<_> = self.sizes_with_drafts().map(panel_points).collect();
            for pair in panels.windows(2) {
                let [(from, half, before), (to, _, after)] = pair else { continue };
                let find = |points: &[(String, Point)], name: &str| {
                    points.iter().find(|(known, _)| known == name).map(|(_, point)| *point)
                };
                let added = after.iter().filter(|(name, _)| find(before, name).is_none());
                for (name, _) in before.iter().chain(added) {
                    let step = find(before, name).zip(find(after, name)).map(|(a, b)| [b.x - a.x, b.y - a.y]);
                    let (point, from, to) = (name.clone(), from.name.clone(), to.name.clone());
                    grade.push(GradeIncrement { half: *half, point, from, to, step });
                }
            }
        }
        grade
    }
}

/// Returns the names and positions of a panel's points, `x` measured from the centre line, `y` down from the hip line.
pub fn named_points_from_hip_line(panel: &Panel, hip_depth: f64, length: f64) -> Vec<(String, Point)> {
    let points = panel.named_points(hip_depth, length).into_iter();
    points.map(|(name, point)| (name.to_string(), point - Vector::new(0.0, hip_depth))).collect()
}
