//! Nest: chosen sizes of a range as patterns that are cut alike, to be drawn on each other. Grade table: the displacement
//! of each named point of a panel from each size to the next.
//!
//! The sizes of a nest ascend, and all have the same cutting instructions.

use std::collections::BTreeSet;

use super::SizeRange;
use crate::draft::{Draft, Half, Panel};
use crate::error::Problems;
use crate::geometry::{Point, Vector};
use crate::pattern::{Cutting, Pattern};
use crate::text::compose_letters;

/// Nest: patterns of one or more sizes of a range, with one ease, one set of rules and one cutting.
#[derive(Clone, Debug, PartialEq)]
pub struct Nest {
    sizes: Vec<(String, Pattern)>,
}

impl Nest {
    /// Returns the cutting instructions of every size; their `name` is the name of the nest, or empty.
    pub fn cutting(&self) -> &Cutting {
        self.sizes[0].1.cutting()
    }

    /// Returns name and pattern of each size, from the smallest size to the largest.
    pub fn sizes(&self) -> &[(String, Pattern)] {
        &self.sizes
    }
}

impl SizeRange {
    /// Returns the nest of chosen sizes, cut by `cutting`. Each choice is the name of a size, or the names of two sizes
    /// joined by a hyphen, such as `36-44`, for both and all sizes in between; an empty list stands for all sizes.
    ///
    /// # Errors
    /// [`Code::UnknownSize`](crate::Code::UnknownSize) for each choice that names no size; all [`Problems`] of the
    /// cutting instructions.
    ///
    /// ```
    /// use kirtle::{Cutting, Ease, Preset, Rules, SizeChart, Unit};
    ///
    /// let range = SizeChart::demo().draft(&Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let nest = range.nest(&["36-40", "46"], &Cutting::preset(Preset::None, Unit::Cm))?;
    /// let names: Vec<&str> = nest.sizes().iter().map(|(name, _)| name.as_str()).collect();
    /// assert_eq!(names, ["36", "38", "40", "46"]);
    ///
    /// let problems = range.nest(&["36-41"], &Cutting::default()).unwrap_err();
    /// assert!(problems.to_string().starts_with("sizes: there is no size \"36-41\"; the sizes are 32, 34, 36, 38"));
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn nest(&self, choices: &[&str], cutting: &Cutting) -> Result<Nest, Problems> {
        let (mut chosen, mut problems) = (BTreeSet::new(), Vec::new());
        for choice in choices {
            match self.size_index_pair_of_choice(choice) {
                Some([first, last]) => chosen.extend(first.min(last)..=first.max(last)),
                None => problems.push(self.chart().unknown_size_problem("sizes", choice)),
            }
        }
        Problems::ok_if_empty(problems)?;
        let sizes = self.sizes_with_drafts().enumerate();
        let sizes = sizes.filter(|(k, _)| choices.is_empty() || chosen.contains(k));
        let sizes = sizes.map(|(_, (size, draft))| Ok((size.name.clone(), draft.pattern(cutting)?)));
        Ok(Nest { sizes: sizes.collect::<Result<_, Problems>>()? })
    }

    /// Returns the indices of the two sizes that a choice names, in the order named: twice the same index for one name;
    /// `None` if the choice names no size.
    fn size_index_pair_of_choice(&self, choice: &str) -> Option<[usize; 2]> {
        let choice = &*compose_letters(choice);
        let index = |name: &str| self.chart().sizes().iter().position(|size| size.name == name.trim());
        // A hyphen may be part of a name.
        let pair = |at: usize| Some([index(&choice[..at])?, index(&choice[at + 1..])?]);
        index(choice).map(|k| [k, k]).or_else(|| choice.match_indices('-').find_map(|(at, _)| pair(at)))
    }

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

/// Returns the names and positions of a panel's points, `x` measured from the centre line, `y` down from the hip line.
pub fn named_points_from_hip_line(panel: &Panel, hip_depth: f64, length: f64) -> Vec<(String, Point)> {
    let points = panel.named_points(hip_depth, length).into_iter();
    points.map(|(name, point)| (name.to_string(), point - Vector::new(0.0, hip_depth))).collect()
}
