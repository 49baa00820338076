//! People in the waist-hip plane.

use std::collections::BTreeMap;

use super::column::Column;
use super::loss::{Loss, cheapest};
use crate::survey::interrupt::worked;

/// Waist and hip of a place in the plane, on the scale of a loss.
pub(super) type Place = [f64; 2];

/// Weighted places in the plane, with the order of each of their girths.
pub(super) struct Points {
    pub(super) at: Vec<Place>,
    pub(super) weight: Vec<f64>,
    /// The places by waist, and by hip.
    order: [Vec<u32>; 2],
}

impl Points {
    pub(super) fn of(at: Vec<Place>, weight: Vec<f64>) -> Self {
        let order = [0, 1].map(|girth: usize| {
            // There are fewer people than 2³².
            #[allow(clippy::cast_possible_truncation)]
            let mut order: Vec<u32> = (0..at.len() as u32).collect();
            order.sort_by(|a, b| at[*a as usize][girth].total_cmp(&at[*b as usize][girth]));
            order
        });
        Self { at, weight, order }
    }

    /// Every person.
    pub(super) fn people(waist: &[f64], hip: &[f64], loss: &Loss) -> Self {
        let at = waist.iter().zip(hip).map(|(waist, hip)| [loss.scaled(*waist), loss.scaled(*hip)]);
        Self::of(at.collect(), vec![1.0; waist.len()])
    }

    /// People moved to the nearest multiple of a step in both girths, those at one place made one.
    #[allow(clippy::cast_possible_truncation, clippy::cast_precision_loss)]
    pub(super) fn cells(waist: &[f64], hip: &[f64], step: f64, loss: &Loss) -> Self {
        let mut cells: BTreeMap<[i64; 2], f64> = BTreeMap::new();
        for (waist, hip) in waist.iter().zip(hip) {
            *cells.entry([waist, hip].map(|girth| (girth / step).round() as i64)).or_default() += 1.0;
            worked(10);
        }
        let girth = |steps: i64| loss.scaled(steps as f64 * step);
        let at = cells.keys().map(|cell| cell.map(girth)).collect();
        Self::of(at, cells.into_values().collect())
    }

    /// One girth of the places for which `of` holds, ascending.
    pub(super) fn column(&self, girth: usize, of: impl Fn(usize) -> bool) -> Column {
        worked(self.at.len());
        let rows = || self.order[girth].iter().map(|row| *row as usize).filter(|row| of(*row));
        Column {
            at: rows().map(|row| self.at[row][girth]).collect(),
            weight: rows().map(|row| self.weight[row]).collect(),
        }
    }

    /// For each place the centre that costs least, of equals the nearer, then the last; and the mean loss.
    pub(super) fn assign(&self, centres: &[Place], loss: &Loss) -> (Vec<u32>, f64) {
        worked(self.at.len() * centres.len());
        let mut sum = 0.0;
        let given = self.at.iter().zip(&self.weight).map(|(at, weight)| {
            let (given, min) = nearest(*at, centres, loss);
            sum += weight * min;
            given
        });
        let given: Vec<u32> = given.collect();
        (given, sum / self.weight.iter().sum::<f64>())
    }
}

/// The centre that costs a place least, of equals the nearer, then the last; and the loss.
#[inline]
pub(super) fn nearest(at: Place, centres: &[Place], loss: &Loss) -> (u32, f64) {
    cheapest(centres.iter().map(|centre| {
        let [waist, hip] = [at[0] - centre[0], at[1] - centre[1]];
        (loss.of_both(waist, hip), waist.abs().max(hip.abs()))
    }))
}
