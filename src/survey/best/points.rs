//! Weighted points in the waist-hip plane, and their assignment to the centres of sizes. Girths are on the loss scale.

use std::collections::BTreeMap;

use super::loss::{Loss, index_and_value_of_least_loss};
use super::sorted_values::SortedValues;
use crate::survey::interrupt::count_interruptible_work;

/// Waist and hip girth, in this order: on the loss scale, or, of a smallest size to search, in centimetres.
pub(super) type WaistHip = [f64; 2];

/// Weighted points in the waist-hip plane, on the loss scale, with the order of the points by waist and by hip.
pub(super) struct GirthPoints {
    /// Waist and hip of each point.
    pub(super) girths: Vec<WaistHip>,
    /// Weight of each point: the number of people that the point stands for.
    pub(super) weights: Vec<f64>,
    /// Indices of the points in ascending order of waist, and in ascending order of hip.
    order: [Vec<u32>; 2],
}

impl GirthPoints {
    fn new(girths: Vec<WaistHip>, weights: Vec<f64>) -> Self {
        let order = [0, 1].map(|girth: usize| {
            // There are fewer people than 2³².
            #[allow(clippy::cast_possible_truncation)]
            let mut order: Vec<u32> = (0..girths.len() as u32).collect();
            order.sort_by(|a, b| girths[*a as usize][girth].total_cmp(&girths[*b as usize][girth]));
            order
        });
        Self { girths, weights, order }
    }

    /// Creates one point of weight 1 per person; converts the girths to the loss scale.
    pub(super) fn one_point_per_person(waist: &[f64], hip: &[f64], loss: &Loss) -> Self {
        let girths = waist
            .iter()
            .zip(hip)
            .map(|(waist, hip)| [loss.girth_on_loss_scale(*waist), loss.girth_on_loss_scale(*hip)]);
        Self::new(girths.collect(), vec![1.0; waist.len()])
    }

    /// Rounds both girths of each person to a multiple of `step` centimetres, and merges people with equal rounded
    /// girths into one point with their number as weight.
    #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
    pub(super) fn merged_on_grid(waist: &[f64], hip: &[f64], step: f64, loss: &Loss) -> Self {
        let mut counts: BTreeMap<[i64; 2], f64> = BTreeMap::new();
        for (waist, hip) in waist.iter().zip(hip) {
            *counts.entry([waist, hip].map(|girth| (girth / step).round() as i64)).or_default() += 1.0;
            count_interruptible_work(10);
        }
        let scaled_girth = |multiple: i64| loss.girth_on_loss_scale(multiple as f64 * step);
        let girths = counts.keys().map(|multiples| multiples.map(scaled_girth)).collect();
        Self::new(girths, counts.into_values().collect())
    }

    /// Returns the girth (0: waist, 1: hip) and weight of the points whose index satisfies `keep`, ascending by girth.
    pub(super) fn sorted_girths_of_kept_points(&self, girth: usize, keep: impl Fn(usize) -> bool) -> SortedValues {
        count_interruptible_work(self.girths.len());
        let kept = || self.order[girth].iter().map(|index| *index as usize).filter(|index| keep(*index));
        SortedValues {
            values: kept().map(|index| self.girths[index][girth]).collect(),
            weights: kept().map(|index| self.weights[index]).collect(),
        }
    }

    /// Returns the index of the best centre of each point, as in [`best_centre_index_and_loss`], and the mean loss.
    pub(super) fn assign_to_best_centres(&self, centres: &[WaistHip], loss: &Loss) -> (Vec<u32>, f64) {
        count_interruptible_work(self.girths.len() * centres.len());
        let mut sum = 0.0;
        let assigned = self.girths.iter().zip(&self.weights).map(|(girths, weight)| {
            let (centre, min) = best_centre_index_and_loss(*girths, centres, loss);
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
pub(super) fn best_centre_index_and_loss(girths: WaistHip, centres: &[WaistHip], loss: &Loss) -> (u32, f64) {
    index_and_value_of_least_loss(centres.iter().map(|centre| {
        let [waist, hip] = [girths[0] - centre[0], girths[1] - centre[1]];
        (loss.loss_of_waist_and_hip_differences(waist, hip), waist.abs().max(hip.abs()))
    }))
}
