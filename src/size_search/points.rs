//! Weighted points in the waist-hip plane, and their assignment to the centres of sizes. Girths are on the loss scale.

use std::cmp::Ordering;

use super::loss::{Loss, index_and_least_loss};
use super::sorted_values::SortedValues;
use crate::interrupt::{Stopped, count_interruptible_work};

/// Waist and hip girth, in this order: on the loss scale, but in centimetres for the sizes in `fixed_steps`.
pub(super) type WaistHip = [f64; 2];

/// Returns the minimum and the maximum of one or more girths.
pub(super) fn min_and_max(girths: impl Iterator<Item = f64>) -> [f64; 2] {
    girths.fold([f64::INFINITY, f64::NEG_INFINITY], |[min, max], girth| [min.min(girth), max.max(girth)])
}

/// Weighted points in the waist-hip plane, on the loss scale, with the order of the points by waist and by hip.
#[derive(Clone)]
pub(super) struct WaistHipPoints {
    /// Waist and hip of each point.
    pub(super) girths: Vec<WaistHip>,
    /// Weight of each point: the sum of the weights of the people for whom the point stands.
    pub(super) weights: Vec<f64>,
    /// Indices of the points in ascending order of waist, and in ascending order of hip.
    order: [Vec<u32>; 2],
}

impl WaistHipPoints {
    /// Rounds both girths of each person by `round`, merges people with equal girths into one point with the sum of their
    /// weights, and converts the girths to the loss scale. Points ascend by waist, then hip. People of weight 0 are left out.
    pub(super) fn merge_rounded_people(
        waist: &[f64],
        hip: &[f64],
        weights: Option<&[f64]>,
        loss: &Loss,
        round: impl Fn(f64) -> f64,
    ) -> Result<Self, Stopped> {
        let weight = |row: usize| weights.map_or(1.0, |weights| weights[row]);
        let people = waist.iter().zip(hip).enumerate();
        let people = people.map(|(row, (waist, hip))| [round(*waist), round(*hip), weight(row)]);
        let mut people: Vec<[f64; 3]> = people.filter(|person| person[2] > 0.0).collect();
        count_interruptible_work(10 * people.len())?;
        // Sorted by weight, too, so that rounding in the sums does not depend on the order of the people.
        let order =
            |a: &[f64; 3], b: &[f64; 3]| a.iter().zip(b).map(|(a, b)| a.total_cmp(b)).find(|order| order.is_ne());
        people.sort_unstable_by(|a, b| order(a, b).unwrap_or(Ordering::Equal));
        let bits = |[waist, hip, _]: &[f64; 3]| [waist.to_bits(), hip.to_bits()];
        let groups = || people.chunk_by(|a, b| bits(a) == bits(b));
        let girths: Vec<WaistHip> =
            groups().map(|equal| loss.person_on_loss_scale([equal[0][0], equal[0][1]])).collect();
        let weights = groups().map(|equal| equal.iter().map(|person| person[2]).sum()).collect();
        let order = [0, 1].map(|girth: usize| {
            #[allow(clippy::cast_possible_truncation)]
            let mut order: Vec<u32> = (0..girths.len() as u32).collect();
            order.sort_by(|a, b| girths[*a as usize][girth].total_cmp(&girths[*b as usize][girth]));
            order
        });
        Ok(Self { girths, weights, order })
    }

    /// Creates one point for each distinct pair of unrounded girths.
    pub(super) fn merge_unrounded_people(
        waist: &[f64],
        hip: &[f64],
        weights: Option<&[f64]>,
        loss: &Loss,
    ) -> Result<Self, Stopped> {
        Self::merge_rounded_people(waist, hip, weights, loss, |girth| girth)
    }

    /// Returns the waists (`girth` 0) or hips (`girth` 1) of the points in each of `group_count` groups, ascending,
    /// with the weights of the points. `group` maps the index of a point to the index of its group, or to `None` to
    /// leave the point out.
    pub(super) fn sorted_girths_by_group(
        &self,
        girth: usize,
        group_count: usize,
        group: impl Fn(usize) -> Option<usize>,
    ) -> Result<Vec<SortedValues>, Stopped> {
        count_interruptible_work(self.girths.len())?;
        let mut sorted = vec![SortedValues::default(); group_count];
        for index in self.order[girth].iter().map(|index| *index as usize) {
            if let Some(group) = group(index) {
                sorted[group].values.push(self.girths[index][girth]);
                sorted[group].weights.push(self.weights[index]);
            }
        }
        Ok(sorted)
    }

    /// Returns for each point the index of the centre with the least loss, and the loss; ties as in
    /// [`best_centre_index_and_loss`].
    pub(super) fn assign_to_best_centres(&self, centres: &[WaistHip], loss: &Loss) -> Result<Vec<(u32, f64)>, Stopped> {
        count_interruptible_work(self.girths.len() * centres.len())?;
        Ok(self.girths.iter().map(|girths| best_centre_index_and_loss(*girths, centres, loss)).collect())
    }

    /// Returns the mean loss over the people, each with the centre of least loss.
    pub(super) fn mean_loss(&self, centres: &[WaistHip], loss: &Loss) -> Result<f64, Stopped> {
        count_interruptible_work(self.girths.len() * centres.len())?;
        Ok(self.weighted_mean(self.girths.iter().map(|girths| best_centre_index_and_loss(*girths, centres, loss).1)))
    }

    /// Returns the weighted mean of one value for each point.
    pub(super) fn weighted_mean(&self, values: impl Iterator<Item = f64>) -> f64 {
        values.zip(&self.weights).map(|(value, weight)| value * weight).sum::<f64>() / self.weights.iter().sum::<f64>()
    }
}

/// Returns the index of the centre with the least loss for a point, and the loss. A tie goes to the nearer centre, then
/// to the last. Distance is the larger of the differences in waist and in hip.
#[inline]
fn best_centre_index_and_loss(girths: WaistHip, centres: &[WaistHip], loss: &Loss) -> (u32, f64) {
    index_and_least_loss(centres.iter().map(|centre| {
        let [waist, hip] = [girths[0] - centre[0], girths[1] - centre[1]];
        (loss.loss_of_waist_and_hip_differences(waist, hip), waist.abs().max(hip.abs()))
    }))
}
