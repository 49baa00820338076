//! Weighted points in the waist-hip plane, and their assignment to the centres of sizes. Girths are on the loss scale.

use std::collections::BTreeMap;

use super::loss::{Loss, least_loss};
use super::sorted_values::SortedValues;
use crate::survey::interrupt::count_work;

/// Waist and hip, in this order, on the loss scale.
pub(super) type GirthPair = [f64; 2];

/// Weighted points in the waist-hip plane, with the sort order of each girth.
pub(super) struct Points {
    /// Waist and hip of each point.
    pub(super) girths: Vec<GirthPair>,
    /// Weight of each point: the number of people that the point stands for.
    pub(super) weights: Vec<f64>,
    /// Indices of the points in ascending order of waist, and in ascending order of hip.
    order: [Vec<u32>; 2],
}

impl Points {
    fn new(girths: Vec<GirthPair>, weights: Vec<f64>) -> Self {
        let order = [0, 1].map(|girth: usize| {
            // There are fewer people than 2³².
            #[allow(clippy::cast_possible_truncation)]
            let mut order: Vec<u32> = (0..girths.len() as u32).collect();
            order.sort_by(|a, b| girths[*a as usize][girth].total_cmp(&girths[*b as usize][girth]));
            order
        });
        Self { girths, weights, order }
    }

    /// Creates one point of weight 1 per person.
    pub(super) fn from_people(waist: &[f64], hip: &[f64], loss: &Loss) -> Self {
        let girths = waist.iter().zip(hip).map(|(waist, hip)| [loss.scale_girth(*waist), loss.scale_girth(*hip)]);
        Self::new(girths.collect(), vec![1.0; waist.len()])
    }

    /// Rounds both girths of each person to a multiple of `step`, and merges equal people into one point with their
    /// number as weight.
    #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
    pub(super) fn on_grid(waist: &[f64], hip: &[f64], step: f64, loss: &Loss) -> Self {
        let mut counts: BTreeMap<[i64; 2], f64> = BTreeMap::new();
        for (waist, hip) in waist.iter().zip(hip) {
            *counts.entry([waist, hip].map(|girth| (girth / step).round() as i64)).or_default() += 1.0;
            count_work(10);
        }
        let scaled_girth = |multiple: i64| loss.scale_girth(multiple as f64 * step);
        let girths = counts.keys().map(|multiples| multiples.map(scaled_girth)).collect();
        Self::new(girths, counts.into_values().collect())
    }

    /// Returns one girth (0 for waist, 1 for hip) of the points whose index satisfies `keep`, ascending.
    pub(super) fn sorted_girths(&self, girth: usize, keep: impl Fn(usize) -> bool) -> SortedValues {
        count_work(self.girths.len());
        let kept = || self.order[girth].iter().map(|index| *index as usize).filter(|index| keep(*index));
        SortedValues {
            values: kept().map(|index| self.girths[index][girth]).collect(),
            weights: kept().map(|index| self.weights[index]).collect(),
        }
    }

    /// Returns the index of the best centre of each point, as in [`best_centre`], and the mean loss.
    pub(super) fn assign_to_centres(&self, centres: &[GirthPair], loss: &Loss) -> (Vec<u32>, f64) {
        count_work(self.girths.len() * centres.len());
        let mut sum = 0.0;
        let assigned = self.girths.iter().zip(&self.weights).map(|(girths, weight)| {
            let (centre, min) = best_centre(*girths, centres, loss);
            sum += weight * min;
            centre
        });
        let assigned: Vec<u32> = assigned.collect();
        (assigned, sum / self.weights.iter().sum::<f64>())
    }
}

/// Returns the index of the centre with the least loss for a point, and the loss. A tie goes to the nearer centre, then
/// to the last. Distance is the larger of the differences in waist and in hip.
#[inline]
pub(super) fn best_centre(girths: GirthPair, centres: &[GirthPair], loss: &Loss) -> (u32, f64) {
    least_loss(centres.iter().map(|centre| {
        let [waist, hip] = [girths[0] - centre[0], girths[1] - centre[1]];
        (loss.of_differences(waist, hip), waist.abs().max(hip.abs()))
    }))
}
