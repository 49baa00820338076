//! People merged into few points: a lower bound on the loss of the points also bounds the loss of the people.
//!
//! With [`Loss::Squared`], a person x is spread over the four corners of a grid cell, with shares λ whose weighted mean
//! is x. For every size c, `|x − c|² = Σ λ |corner − c|² − Σ λ |corner − x|²`, whose last term is a constant. With any
//! other loss, a person counts as being at the place in a grid cell where the loss is least.

use std::collections::BTreeMap;

use arrayvec::ArrayVec;

use super::loss::Loss;
use super::points::{WaistHip, girth_ranges};
use crate::interrupt::{Stoppable, count_interruptible_work};

/// First step of the grid on which people are merged, as a share of the larger of the ranges of waist and hip.
const FIRST_MERGING_STEP_RANGE_SHARE: f64 = 1.0 / 512.0;

/// Weighted points that stand for people.
#[derive(Default)]
pub(super) struct MergedPeople {
    /// Waist and hip of each point, in search coordinates (cm or ln cm).
    pub(super) girths: Vec<WaistHip>,
    /// Weight of each point: sum, over its people, of the person's weight × the point's share of the person.
    pub(super) weights: Vec<f64>,
    /// Half the side, in search coordinates (cm or ln cm), of the cell around each point in which the people of the
    /// point may be anywhere; 0 unless all people in a grid cell are one point.
    pub(super) half_cell: f64,
    /// Sum of the weights of the people.
    pub(super) total_weight: f64,
    /// Weighted sum over the people of the constants that are subtracted from the losses of their points.
    pub(super) constant: f64,
    /// Side of a grid cell, in search coordinates (cm or ln cm); 0 if a point stands for people with equal girths.
    pub(super) side: f64,
    /// Whether each person is shared among the four corners of a cell; otherwise the cell's centre stands for the
    /// person.
    is_shared: bool,
    index_by_girths: BTreeMap<[u64; 2], usize>,
}

/// Points for one person, each with a share; the shares add up to 1.
type PersonSplitOverPoints = ArrayVec<(WaistHip, f64), 4>;

impl MergedPeople {
    /// Merges `people`, pairs of girths in search coordinates (cm or ln cm) and weight, into at most `max_points`
    /// points: people of equal girths or, if these are too many, corners (squared loss) or cells of a grid, whose step
    /// doubles until the points are few enough.
    pub(super) fn new(people: &[(WaistHip, f64)], loss: &Loss, max_points: usize) -> Stoppable<Self> {
        let people = people.iter().filter(|(_, weight)| *weight > 0.0);
        let ranges = girth_ranges(people.clone().map(|(person, _)| *person)).map(|[min, max]| max - min);
        let (total_weight, is_shared) = (people.clone().map(|(_, weight)| weight).sum(), matches!(loss, Loss::Squared));
        let mut side = 0.0;
        'merging: loop {
            let half_cell = if is_shared { 0.0 } else { side / 2.0 };
            let mut merged = Self { half_cell, total_weight, side, is_shared, ..Self::default() };
            for (person, weight) in people.clone() {
                count_interruptible_work(50)?;
                let (shares, constant) = merged.person_split_and_loss_constant(person);
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
                    side = f64::max(2.0 * side, ranges[0].max(ranges[1]) * FIRST_MERGING_STEP_RANGE_SHARE);
                    continue 'merging;
                }
            }
            return Ok(merged);
        }
    }

    /// Returns the multiplier of a person, computed from `multipliers` of the points: for all people, the bound is then
    /// at least as large as for the points. Returns `None` if a point that would stand for the person is missing.
    pub(super) fn person_multiplier_from_points(&self, person: &WaistHip, multipliers: &[f64]) -> Option<f64> {
        let (shares, constant) = self.person_split_and_loss_constant(person);
        let index = |girths: WaistHip| self.index_by_girths.get(&girths.map(f64::to_bits)).copied();
        let terms = shares.into_iter().map(|(girths, share)| Some(share * multipliers[index(girths)?]));
        Some(terms.sum::<Option<f64>>()? - constant)
    }

    /// Returns the points that stand for a person, with shares, and the constant to subtract from their losses.
    fn person_split_and_loss_constant(&self, person: &WaistHip) -> (PersonSplitOverPoints, f64) {
        let side = self.side;
        // For each girth, the two nearest places on the grid with their shares; without sharing, one has it all.
        let [waists, hips] = person.map(|girth| match girth / side {
            _ if side == 0.0 => [(girth, 1.0), (girth, 0.0)],
            steps if self.is_shared => {
                let (lower, share) = (steps.floor(), steps - steps.floor());
                [(lower * side, 1.0 - share), ((lower + 1.0) * side, share)]
            }
            steps => [(steps.round() * side, 1.0), (girth, 0.0)],
        });
        let corner = |waist: (f64, f64), hip: (f64, f64)| ([waist.0, hip.0], waist.1 * hip.1);
        let corners = waists.into_iter().flat_map(|waist| hips.map(|hip| corner(waist, hip)));
        let constant = [waists, hips].map(|[(_, lower), (_, upper)]| upper * lower * side * side).iter().sum();
        (corners.filter(|(_, share)| *share > 0.0).collect(), constant)
    }
}
