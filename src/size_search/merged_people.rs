//! People merged into few points: a lower bound on the loss of the points also bounds the loss of the people.
//!
//! With [`Loss::Squared`], a person x is spread over the four corners of a grid cell, with shares λ whose weighted mean is
//! x. For every size c, `|x − c|² = Σ λ |corner − c|² − Σ λ |corner − x|²`, whose last term is a constant. With any other
//! loss, a person counts as being at the place in a grid cell where the loss is least.

use std::collections::BTreeMap;

use arrayvec::ArrayVec;

use super::loss::Loss;
use super::points::{WaistHip, girth_ranges};
use crate::interrupt::{Stoppable, count_interruptible_work};

/// First step of the grid on which people are merged, as a share of the people's range of waist or of hip, whichever is
/// larger.
const FIRST_MERGING_STEP_RANGE_SHARE: f64 = 1.0 / 512.0;

/// How people are merged into points.
#[derive(Clone, Copy)]
enum MergingMethod {
    /// One point for all people with equal girths.
    Equal,
    /// One point at each corner of a grid with cells of this side, in centimetres; each person is shared among the four
    /// corners of a cell.
    Corners(f64),
    /// One point, the centre of the cell, for all people in a grid cell with this side, in search coordinates
    /// (cm or ln cm).
    Cells(f64),
}

/// Weighted points that stand for people.
pub(super) struct MergedPeople {
    /// Waist and hip of each point, in search coordinates (cm or ln cm).
    pub(super) girths: Vec<WaistHip>,
    /// Weight of each point: sum, over the people for whom the point stands, of the person's weight × the point's share
    /// of the person.
    pub(super) weights: Vec<f64>,
    /// Half the side, in search coordinates (cm or ln cm), of the cell around each point in which the people of the
    /// point may be anywhere; 0 unless all people in a grid cell are one point.
    pub(super) half_cell: f64,
    /// Sum of the weights of the people.
    pub(super) total_weight: f64,
    /// Weighted sum over the people of the constants that are subtracted from the losses of their points.
    pub(super) constant: f64,
    merging: MergingMethod,
    index_by_girths: BTreeMap<[u64; 2], usize>,
}

/// Points for one person, each with a share; the shares add up to 1.
type PersonSplitOverPoints = ArrayVec<(WaistHip, f64), 4>;

impl MergedPeople {
    /// Merges `people`, pairs of girths in search coordinates (cm or ln cm) and weight, into at most `max_points` points:
    /// people of equal girths or, if these are too many, corners (squared loss) or cells of a grid, whose step doubles
    /// until the points are few enough.
    pub(super) fn new(people: &[(WaistHip, f64)], loss: &Loss, max_points: usize) -> Stoppable<Self> {
        let weighted = people.iter().filter(|(_, weight)| *weight > 0.0);
        let [waist, hip] = girth_ranges(weighted.map(|(person, _)| *person)).map(|[min, max]| max - min);
        let (mut merging, mut step) = (MergingMethod::Equal, waist.max(hip) * FIRST_MERGING_STEP_RANGE_SHARE);
        loop {
            if let Some(merged) = Self::merge_unless_too_many(people, merging, max_points)? {
                return Ok(merged);
            }
            merging =
                if matches!(loss, Loss::Squared) { MergingMethod::Corners(step) } else { MergingMethod::Cells(step) };
            step *= 2.0;
        }
    }

    /// Merges people into points; returns `None` if there are more than `max_points` points.
    fn merge_unless_too_many(
        people: &[(WaistHip, f64)],
        merging: MergingMethod,
        max_points: usize,
    ) -> Stoppable<Option<Self>> {
        let half_cell = if let MergingMethod::Cells(side) = merging { side / 2.0 } else { 0.0 };
        let (girths, weights, index_by_girths) = (Vec::new(), Vec::new(), BTreeMap::new());
        let total_weight = people.iter().map(|(_, weight)| weight).sum();
        let mut merged = Self { girths, weights, half_cell, total_weight, constant: 0.0, merging, index_by_girths };
        for (person, weight) in people.iter().filter(|(_, weight)| *weight > 0.0) {
            count_interruptible_work(50)?;
            let (shares, constant) = merging.person_split_and_loss_constant(person);
            merged.constant += weight * constant;
            for (girths, share) in shares {
                let index = *merged.index_by_girths.entry(girths.map(f64::to_bits)).or_insert(merged.girths.len());
                if index == merged.girths.len() {
                    merged.girths.push(girths);
                    merged.weights.push(0.0);
                }
                merged.weights[index] += weight * share;
            }
            if merged.girths.len() > max_points {
                return Ok(None);
            }
        }
        Ok(Some(merged))
    }

    /// Returns whether a point may stand for people with different girths.
    pub(super) fn merges_different_girths(&self) -> bool {
        !matches!(self.merging, MergingMethod::Equal)
    }

    /// Returns the multiplier of a person, computed from `multipliers` of the points: for all people, the bound is then
    /// at least as large as for the points. Returns `None` if a point that would stand for the person is missing.
    pub(super) fn person_multiplier_from_points(&self, person: &WaistHip, multipliers: &[f64]) -> Option<f64> {
        let (shares, constant) = self.merging.person_split_and_loss_constant(person);
        let index = |girths: WaistHip| self.index_by_girths.get(&girths.map(f64::to_bits)).copied();
        let terms = shares.into_iter().map(|(girths, share)| Some(share * multipliers[index(girths)?]));
        Some(terms.sum::<Option<f64>>()? - constant)
    }
}

impl MergingMethod {
    /// Returns the points that stand for a person, each with a share, and the constant to subtract from the points' losses.
    fn person_split_and_loss_constant(self, person: &WaistHip) -> (PersonSplitOverPoints, f64) {
        let one_point = |girths: WaistHip| (PersonSplitOverPoints::from_iter([(girths, 1.0)]), 0.0);
        match self {
            MergingMethod::Equal => one_point(*person),
            MergingMethod::Cells(side) => one_point(person.map(|girth| (girth / side).round() * side)),
            MergingMethod::Corners(side) => {
                let [waists, hips] = person.map(|girth| {
                    let lower = (girth / side).floor();
                    let share = girth / side - lower;
                    [(lower * side, 1.0 - share), ((lower + 1.0) * side, share)]
                });
                let corner = |waist: (f64, f64), hip: (f64, f64)| ([waist.0, hip.0], waist.1 * hip.1);
                let corners = waists.into_iter().flat_map(|waist| hips.map(|hip| corner(waist, hip)));
                let constant = [waists, hips].map(|[(_, lower), (_, upper)]| upper * lower * side * side).iter().sum();
                (corners.filter(|(_, share)| *share > 0.0).collect(), constant)
            }
        }
    }
}
