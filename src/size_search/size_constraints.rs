//! Settings of the heuristic searches: among them constraints on the sizes of a chart; and the people whom one allowed
//! size can serve.

use super::loss::Loss;
use super::points::WaistHip;
use crate::body::Body;
use crate::error::{Code, Problem};
use crate::field::{EQUALITY_TOLERANCE_CM, Field, FieldKind, Unit};

/// Settings of a heuristic search for a chart by waist and hip.
#[derive(Clone, Debug, PartialEq)]
pub struct SearchSettings {
    /// Seed of the random starts. With equal other settings and no time limit, equal seeds give equal charts.
    pub seed: u64,
    /// Number of starts of the search: from 1 to 10,000. More starts never raise the loss.
    pub restarts: u32,
    /// Step of the search grid, in centimetres: from 0.01 to 10. The search rounds waist and hip to multiples of the
    /// step if the people have more than 50 distinct pairs of girths. Final improvement, loss and bound use the
    /// unrounded girths.
    pub step: f64,
    /// Whether the bound is certified by multipliers, from which the search of [`Loss::Within`](super::Loss::Within)
    /// also starts. Otherwise the bound comes from the best sizes by waist alone and by hip alone.
    pub certify: bool,
    /// Gap at which the search stops early: loss minus bound, as a share of the loss, from 0 to 1. Only a certified
    /// search stops early; 0 stops it once the chart is proven optimal.
    pub target_gap: f64,
    /// Time after which the search stops, in seconds, from 0.001 to 10⁶, with the chart and the bound found so far.
    /// `None` for no limit. A chart under a limit depends on the machine. The first start and the bound of one girth
    /// run whatever the limit.
    pub time_limit: Option<f64>,
    /// Constraints on the sizes of the chart. The bound, too, holds for all charts that satisfy the constraints.
    pub constraints: SizeConstraints,
}

impl Default for SearchSettings {
    /// Returns the default settings: seed 0, 20 starts, a grid step of 0.5 cm, a certified bound, no early stop, no
    /// time limit and no constraints.
    fn default() -> Self {
        let constraints = SizeConstraints::default();
        Self { seed: 0, restarts: 20, step: 0.5, certify: true, target_gap: 0.0, time_limit: None, constraints }
    }
}

impl SearchSettings {
    pub(super) fn setting_problems(&self) -> Vec<Problem> {
        let restarts = ("restarts", FieldKind::Ratio, (1.0, 10_000.0), f64::from(self.restarts));
        let step = ("step", FieldKind::Length, (0.01, 10.0), self.step);
        let target_gap = ("target_gap", FieldKind::Ratio, (0.0, 1.0), self.target_gap);
        let time_limit = self.time_limit.map(|seconds| ("time_limit", FieldKind::Ratio, (0.001, 1e6), seconds));
        let problem =
            |(name, kind, range, value)| Field::new(name, "", kind, range).range_problem("search.", value, Unit::Cm);
        [restarts, step, target_gap].into_iter().chain(time_limit).filter_map(problem).collect()
    }
}

const GRID_FIELD: Field = Field::new("grid", "", FieldKind::Length, (0.1, 20.0));
const MIN_SHARE_FIELD: Field = Field::new("min_share", "", FieldKind::Ratio, (0.0, 1.0));
pub(super) const DROP_FIELD: Field = Field::new("drop", "Hip minus waist.", FieldKind::Length, (-100.0, 100.0));

/// Constraints on the sizes of a chart. A search compares only charts that satisfy the constraints, and its bound holds
/// for all of these.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SizeConstraints {
    /// Length in centimetres, from 0.1 to 20, of which waist and hip of every size, apart from the fixed sizes, are
    /// multiples: 1 for whole centimetres, 2 for even centimetres. `None` allows every girth.
    pub grid: Option<f64>,
    /// Waist and hip, in centimetres, of sizes that the chart has in any case; they count among the sizes of the chart.
    pub fixed: Vec<(f64, f64)>,
    /// Drops (hip − waist) that the sizes may have, apart from the fixed sizes.
    pub drops: DropClasses,
    /// Minimum share of the people, by weight, of each size that is not fixed, from 0 to 1: of the people whom the size
    /// serves for a loss with tolerance, otherwise of those assigned to the size. A chart may have fewer sizes instead.
    pub min_share: f64,
    /// Unit of the default grid of listed sizes: 1 cm, or 1/2 in for inches.
    pub unit: Unit,
}

/// Drop classes of a chart: the values of hip − waist, in centimetres, that its sizes have. With drop classes or a
/// minimum share, the sizes are chosen from a list: waists are multiples of the grid, by default of 1 cm
/// or, for inches, of 1/2 in.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
#[serde(untagged)]
pub enum DropClasses {
    /// Every size has any drop.
    #[default]
    Any,
    /// The sizes have at most this number of different drops, multiples of the grid, which the search chooses. The bound
    /// holds for any number of drops.
    Number(usize),
    /// Each size has one of these drops, from −100 to 100 cm.
    Values(Vec<f64>),
    /// Drops, each with the maximum number of sizes that have it.
    SizesByDrop(Vec<(f64, usize)>),
}

impl SizeConstraints {
    /// Returns the problems of the constraints on a chart of `sizes` sizes.
    pub(super) fn constraint_problems(&self, sizes: usize) -> Vec<Problem> {
        let grid = self.grid.and_then(|grid| GRID_FIELD.range_problem("", grid, Unit::Cm));
        let too_many = Problem::too_many_problem("fixed", self.fixed.len(), sizes, "sizes");
        let min_share = MIN_SHARE_FIELD.range_problem("", self.min_share, Unit::Cm);
        let mut problems: Vec<Problem> = [grid, too_many, min_share].into_iter().flatten().collect();
        for (k, (waist, hip)) in self.fixed.iter().enumerate() {
            let girths = Body::FIELDS.into_iter().zip([*waist, *hip]);
            let path = format!("fixed[{k}].");
            problems.extend(girths.filter_map(|(field, girth)| field.range_problem(&path, girth, Unit::Cm)));
        }
        problems.extend(self.drop_problems(sizes));
        problems
    }

    /// Returns the problems of the drop classes of a chart of `sizes` sizes.
    fn drop_problems(&self, sizes: usize) -> Vec<Problem> {
        let (drops, count) = match &self.drops {
            DropClasses::Any => return Vec::new(),
            DropClasses::Number(number) => (Vec::new(), *number),
            DropClasses::Values(drops) => (drops.clone(), drops.len()),
            DropClasses::SizesByDrop(counts) => {
                (counts.iter().map(|(drop, _)| *drop).collect(), counts.iter().map(|(_, count)| count).sum())
            }
        };
        let free = sizes.saturating_sub(self.fixed.len());
        let too_many = matches!(self.drops, DropClasses::SizesByDrop(_))
            .then(|| Problem::too_many_problem("drop", count, free, "sizes"));
        let too_few = || Problem::new(Code::TooFew, "drop").with_value("0 drops").with_limit("1 drop");
        let range = drops.iter().enumerate().filter_map(|(k, drop)| {
            let problem = DROP_FIELD.range_problem("", *drop, Unit::Cm)?;
            Some(if drops.len() == 1 { problem } else { problem.with_field_path(format!("drop[{k}]")) })
        });
        (count == 0).then(too_few).into_iter().chain(too_many.flatten()).chain(range).collect()
    }

    /// Returns the drop of all sizes, if it is the only constraint.
    pub(super) fn only_drop(&self) -> Option<f64> {
        let DropClasses::Values(drops) = &self.drops else { return None };
        let alone = Self { drops: self.drops.clone(), unit: self.unit, ..Self::default() };
        (drops.len() == 1 && *self == alone).then(|| drops[0])
    }

    /// Returns whether the sizes are chosen from a list.
    pub(super) fn list_sizes(&self) -> bool {
        self.drops != DropClasses::Any || self.min_share > 0.0
    }

    /// Returns the grid of listed sizes, in centimetres: by default 1 cm, for inches 1.27 cm.
    pub(super) fn grid_of_list(&self) -> f64 {
        self.grid.unwrap_or(if self.unit == Unit::In { 1.27 } else { 1.0 })
    }

    /// Returns the maximum number of sizes that can all have the minimum share.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub(super) fn max_sizes_with_min_share(&self) -> usize {
        // A float as large as 1 / 0 becomes the largest integer.
        (1.0 / self.min_share + 1e-9) as usize
    }

    /// Returns waist and hip of the fixed sizes, in search coordinates (cm or ln cm).
    pub(super) fn fixed_centres(&self, loss: &Loss) -> Vec<WaistHip> {
        let scaled = |(waist, hip): &(f64, f64)| [*waist, *hip].map(|girth| loss.search_coordinate_of_girth(girth));
        self.fixed.iter().map(scaled).collect()
    }

    /// Returns the nearest allowed girth at or below a girth, and the nearest at or above, all in search coordinates
    /// (cm or ln cm). If every girth is allowed, both are the girth itself.
    pub(super) fn allowed_girths_around(&self, scaled: f64, loss: &Loss) -> [f64; 2] {
        let Some(grid) = self.grid else { return [scaled; 2] };
        let steps = loss.girth_from_search_coordinate(scaled) / grid;
        // No size has a girth of 0, of which there is no logarithm.
        [steps.floor().max(1.0), steps.ceil().max(1.0)]
            .map(|steps| loss.search_coordinate_of_girth(rounded_grid_multiple(steps, grid)))
    }

    /// Returns the nearest allowed waist and the nearest allowed hip, in search coordinates (cm or ln cm).
    pub(super) fn nearest_allowed_girths(&self, girths: WaistHip, loss: &Loss) -> WaistHip {
        girths.map(|girth| {
            let [below, above] = self.allowed_girths_around(girth, loss);
            if girth - below < above - girth { below } else { above }
        })
    }

    /// Returns the reach of a size in waist and in hip, given by tolerance and grid, for people whose girths are not
    /// rounded; `None` for a loss without tolerance.
    pub(super) fn reach_in_each_girth(&self, loss: &Loss) -> Option<[Reach; 2]> {
        let max_served_differences = loss.max_served_differences()?.map(|half| half + EQUALITY_TOLERANCE_CM / 2.0);
        Some(max_served_differences.map(|half_width| Reach { half_width, merging_step: 0.0, grid: self.grid }))
    }
}

/// Returns `steps` × `grid`, without the last digits of the product: 72.1 and not 72.10000000000001 for 721 × 0.1.
pub(super) fn rounded_grid_multiple(steps: f64, grid: f64) -> f64 {
    (steps * grid * 1e9).round() / 1e9
}

/// Reach of one size in one girth: it serves everybody whose girth differs from its own by at most `half_width`.
///
/// Of all allowed sizes that serve a given girth, but nobody with a smaller girth, the one with the highest centre
/// serves the most people. A search therefore starts each interval of served girths at the girth of a person, and needs
/// no other intervals.
#[derive(Clone, Copy)]
pub(super) struct Reach {
    half_width: f64,
    /// Maximum of a person's girth minus the girth of the point that stands for the person, in centimetres; 0 if no
    /// girth is rounded.
    merging_step: f64,
    /// Length in centimetres of which the centre is a multiple; `None` if every centre is allowed.
    grid: Option<f64>,
}

impl Reach {
    /// Returns a reach for people whose girths are rounded down to multiples of `merging_step`: half width plus the
    /// tolerance for rounding in the last digits, and the step above, so that it includes everyone whom one size
    /// serves.
    pub(super) fn widened_for_rounding(self, merging_step: f64) -> Self {
        Self { half_width: self.half_width + EQUALITY_TOLERANCE_CM, merging_step, ..self }
    }

    /// Returns the highest allowed centre of a size that serves the girth `lowest`.
    fn highest_centre_serving(self, lowest: f64) -> f64 {
        let highest = lowest + self.merging_step + self.half_width;
        self.grid.map_or(highest, |grid| rounded_grid_multiple((highest / grid).floor(), grid))
    }

    /// Returns the highest girth that one size serves together with the girth `lowest`; a number below `lowest` if no
    /// allowed size serves `lowest`.
    pub(super) fn highest_girth_served_with(self, lowest: f64) -> f64 {
        self.highest_centre_serving(lowest) + self.half_width
    }

    /// Returns the centre of a size that serves the girths from `lowest` to `highest`: half-way between both or, with a
    /// grid, the highest allowed centre of a size that serves `lowest`.
    pub(super) fn centre_serving_girth_range(self, lowest: f64, highest: f64) -> f64 {
        if self.grid.is_some() { self.highest_centre_serving(lowest) } else { f64::midpoint(lowest, highest) }
    }

    /// Returns the lowest girth that a size with a given centre serves.
    pub(super) fn lowest_girth_served_at(self, centre: f64) -> f64 {
        centre - self.half_width
    }

    pub(super) fn serves(self, centre: f64, girth: f64) -> bool {
        (girth - centre).abs() <= self.half_width + EQUALITY_TOLERANCE_CM / 2.0
    }
}
