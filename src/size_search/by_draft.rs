//! Best chart by draft: sizes whose drafts lie near the people's own drafts.

use std::array;
use std::collections::BTreeSet;

use super::chart::BestChart;
use super::chart_search::SearchInput;
use super::listed_sizes::{PeopleOfList, grid_multiples, grid_range, search_listed_sizes};
use super::loss::Loss;
use super::points::{ComparedPeople, WaistHip, WaistHipPoints, girth_ranges};
use super::size_constraints::SearchSettings;
use crate::body::{Body, Ease, Rules};
use crate::draft::draft;
use crate::error::{Code, Problem, Problems};
use crate::interrupt::{count_interruptible_work, map_in_threads};
use crate::sizes::{SewingPoints, rms_distance};

/// Length of the drafts below the hip line, in centimetres; drafts are compared above the hip line only.
const LENGTH_BELOW_HIP_LINE_CM: f64 = 10.0;

/// Work of a draft, in units of a few nanoseconds.
const WORK_PER_DRAFT: usize = 5_000;

/// Returns the compared points of the draft of a body.
fn sewing_points([waist, hip]: WaistHip, hip_depth: f64, ease: &Ease, rules: &Rules) -> Result<SewingPoints, Problems> {
    let body = Body { waist, hip, hip_depth, length: hip_depth + LENGTH_BELOW_HIP_LINE_CM };
    Ok(draft(&body, ease, rules)?.sewing_points())
}

/// Chart whose sizes' drafts lie near the people's own drafts.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartByDraft {
    /// Best chart found; each size has a hip depth.
    pub best: BestChart,
    /// Index of each person whose own draft is refused, with the problems. These people have no effect on the chart, nor
    /// have people of weight 0.
    pub refused: Vec<(usize, Problems)>,
}

/// Searches for the chart of k sizes by waist, hip and hip depth whose drafts lie nearest to the people's own drafts:
/// the sizes that are altered least. The loss of a person is [`Draft::distance_to`](crate::Draft::distance_to), in
/// centimetres, from the size's draft.
///
/// `people` need a hip depth each. The waist of a size is a multiple of the grid, by default of 1 cm; so is its hip,
/// unless it follows from a drop. Its hip depth is a multiple of half the grid. Each size has a person in one of the
/// eight cells of the grid around it. A size whose draft is refused is not allowed. Sizes are chosen from the list of all by interchange (Teitz and Bart 1968); the bound is that
/// of the p-median problem over the list. Drop classes and a minimum share hold as for
/// [`best_chart`](super::best_chart).
///
/// # Errors
/// All [`Problems`]: those of [`best_chart`](super::best_chart); fixed sizes, which have no hip depth; the problems
/// of the first person if nobody's draft is accepted.
///
/// ```
/// use kirtle::size_search::{ComparedPeople, SearchSettings, best_chart_by_draft};
/// use kirtle::{Ease, Rules};
///
/// let people = ComparedPeople { waist: &[70.0, 72.0, 80.0], hip: &[96.0, 97.0, 105.0], ..ComparedPeople::default() };
/// let (depths, ease, search) = ([20.0, 20.0, 22.0], Ease { waist: 1.5, hip: 5.0 }, SearchSettings::default());
/// let best = best_chart_by_draft(&people, &depths, 2, &ease, &Rules::default(), &search)?.best;
/// assert_eq!(best.sizes.iter().map(|size| size.hip_depth).collect::<Vec<_>>(), [Some(20.0), Some(22.0)]);
/// assert!(best.bound <= best.loss && best.loss < 0.3);
///
/// let problems = best_chart_by_draft(&people, &depths[..2], 2, &ease, &Rules::default(), &search).unwrap_err();
/// assert_eq!(problems.to_string(), "hip_depth: 2 numbers are given, at least 3 numbers (one per person) needed");
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[allow(clippy::cast_possible_truncation)]
pub fn best_chart_by_draft(
    people: &ComparedPeople,
    hip_depth: &[f64],
    sizes: usize,
    ease: &Ease,
    rules: &Rules,
    search: &SearchSettings,
) -> Result<ChartByDraft, Problems> {
    let length = Problem::numbers_per_person_problem("hip_depth", hip_depth.len(), people.waist.len());
    let fixed = || Problem::new(Code::Conflict, "fixed").with_limit("a loss by draft");
    let fixed = (!search.constraints.fixed.is_empty()).then(fixed);
    let input = SearchInput::new(*people, sizes, &Loss::Absolute, search, length.into_iter().chain(fixed))?;
    let girths: Vec<_> = people.girths_and_weights_of_people().collect();
    let of_person = |row: usize| {
        count_interruptible_work(WORK_PER_DRAFT)?;
        Ok(Some(sewing_points(girths[row].0, hip_depth[row], ease, rules)))
    };
    let (mut own, mut refused) = (Vec::new(), Vec::new());
    for (row, drafted) in map_in_threads(girths.len(), of_person)?.into_iter().flatten().enumerate() {
        match drafted {
            Ok(points) if girths[row].1 > 0.0 => own.push((row, points)),
            Ok(_) => {}
            Err(problems) => refused.push((row, problems)),
        }
    }
    let rows: Vec<usize> = own.iter().map(|(row, _)| *row).collect();
    if let Some((_, problems)) = refused.first().filter(|_| rows.is_empty()) {
        return Err(problems.clone());
    }
    let losses_in_size = |size: WaistHip, hip_depth: f64| {
        let of_size = sewing_points(size, hip_depth, ease, rules).ok()?;
        Some(own.iter().map(|(_, of_person)| rms_distance(of_person, &of_size)).collect())
    };
    let grid = search.constraints.grid_of_list();
    let [depths, _] = girth_ranges(rows.iter().map(|row| [hip_depth[*row]; 2]));
    // Cells of the grid in which people are; a size stands at a corner of one of them.
    let in_steps = |[waist, hip]: WaistHip, hip_depth: f64| [waist, hip, 2.0 * hip_depth].map(|length| length / grid);
    let cell = |row: &usize| in_steps(girths[*row].0, hip_depth[*row]).map(|steps| steps.floor() as i64);
    let cells: BTreeSet<[i64; 3]> = rows.iter().map(cell).collect();
    let is_allowed = |size: WaistHip, hip_depth: f64| {
        let size = in_steps(size, hip_depth).map(|steps| steps.round() as i64);
        (0..8).any(|corner| cells.contains(&array::from_fn(|k| size[k] - (corner >> k & 1))))
    };
    let depths = grid_range(depths, grid / 2.0);
    let hip_depths = |size| grid_multiples(depths, grid / 2.0).filter(|depth| is_allowed(size, *depth)).collect();
    let list = PeopleOfList {
        input,
        points: &WaistHipPoints::of_unmerged_people(rows.iter().map(|row| girths[*row])),
        point_of_person: (0..girths.len()).map(|row| rows.binary_search(&row).ok()).collect(),
        hip_depths: &hip_depths,
        losses_in_size: &losses_in_size,
    };
    Ok(ChartByDraft { best: search_listed_sizes(&list)?, refused })
}
