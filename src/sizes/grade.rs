//! The grade: how far each named point of a panel moves from size to size.

use super::SizeRange;
use crate::draft::{Half, Panel};
use crate::geometry::{Point, Vector};

/// How a point moves from one size to the next, in centimetres: `x` away from the centre line, `y` down from the hip line.
#[derive(Clone, Debug, PartialEq)]
pub struct GradeIncrement {
    /// The panel.
    pub half: Half,
    /// The point, such as `side_waist` or `dart_1_tip`.
    pub point: String,
    /// The smaller size.
    pub from: String,
    /// The larger size.
    pub to: String,
    /// How far it moves, where both sizes have it.
    pub step: Option<[f64; 2]>,
}

/// The grade of a range: each point of each panel, from each size to the next.
pub type Grade = Vec<GradeIncrement>;

impl SizeRange {
    /// The grade table, with the sizes lying on each other as in a nest: at the centre line and the hip line.
    ///
    /// ```
    /// use kirtle::{Ease, Rules, SizeChart};
    ///
    /// let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let grade = range.grade();
    /// let side = grade.iter().find(|step| step.point == "side_hip").unwrap();
    /// assert_eq!(side.step, Some([1.0, 0.0])); // A size is 4 cm of hip, a quarter of them on each panel.
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    #[must_use]
    pub fn grade(&self) -> Grade {
        let mut grade = Vec::new();
        for half in [0, 1] {
            let panels: Vec<_> = self
                .each()
                .map(|(size, draft)| {
                    let panel = draft.panels()[half];
                    (size, panel.half, named_points(panel, draft.body().hip_depth, draft.body().length))
                })
                .collect();
            for pair in panels.windows(2) {
                let [(from, half, before), (to, _, after)] = pair else { continue };
                let names =
                    before.iter().chain(after.iter().filter(|(name, _)| before.iter().all(|(known, _)| known != name)));
                for (name, _) in names {
                    let find = |points: &[(String, Point)]| {
                        points.iter().find(|(known, _)| known == name).map(|(_, point)| *point)
                    };
                    let step = find(before).zip(find(after)).map(|(a, b)| [b.x - a.x, b.y - a.y]);
                    let (point, from, to) = (name.clone(), from.name.clone(), to.name.clone());
                    grade.push(GradeIncrement { half: *half, point, from, to, step });
                }
            }
        }
        grade
    }
}

/// The points of a panel by their names, with `y` from the hip line.
#[must_use]
pub fn named_points(panel: &Panel, hip_depth: f64, length: f64) -> Vec<(String, Point)> {
    let spots = panel.named_points(hip_depth, length).into_iter();
    spots.map(|(spot, point)| (spot.to_string(), point - Vector::new(0.0, hip_depth))).collect()
}
