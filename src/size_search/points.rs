//! Weighted points in the waist-hip plane, and their assignment to the centres of sizes. Girths of points and centres
//! are in search coordinates (cm or ln cm). Weighted values of one girth in ascending order, and prefix sums that give
//! weight, sum and sum of squares of any run in constant time; a run is the half-open index range `from..to`.

use super::loss::{Loss, index_and_least_loss};
use crate::interrupt::{Stoppable, count_interruptible_work};

/// Waist and hip girth, in this order: in search coordinates (cm or ln cm), unless its user says centimetres.
pub(super) type WaistHip = [f64; 2];

/// Returns the minimum and the maximum of the waists, and those of the hips, of at least one point.
pub(super) fn girth_ranges(points: impl Iterator<Item = WaistHip>) -> [[f64; 2]; 2] {
    let wider = |[min, max]: [f64; 2], girth: f64| [min.min(girth), max.max(girth)];
    let none = [[f64::INFINITY, f64::NEG_INFINITY]; 2];
    points.fold(none, |[waists, hips], [waist, hip]| [wider(waists, waist), wider(hips, hip)])
}

/// Returns the distance of a person from a size: the larger of the differences in waist and in hip.
pub(super) fn distance(person: WaistHip, size: WaistHip) -> f64 {
    (person[0] - size[0]).abs().max((person[1] - size[1]).abs())
}

/// People on whom charts are compared: one row for each person.
#[derive(Clone, Copy, Debug, Default)]
pub struct ComparedPeople<'a> {
    /// Waist girths, in centimetres.
    pub waist: &'a [f64],
    /// Hip girths, in centimetres.
    pub hip: &'a [f64],
    /// Sampling weights, as in [`best_chart`](super::best_chart); `None` if every person has the weight 1.
    pub weights: Option<&'a [f64]>,
    /// For each person the number, from 0 to 99,999, of the group for which losses are also reported separately; empty
    /// if there are no groups. Groups affect neither the splits nor the chart.
    pub groups: &'a [usize],
}

impl ComparedPeople<'_> {
    pub(super) fn weight_of_person(&self, row: usize) -> f64 {
        self.weights.map_or(1.0, |weights| weights[row])
    }

    /// Iterates over the girths, in centimetres, and the weight of each person.
    pub(super) fn girths_and_weights_of_people(&self) -> impl Iterator<Item = (WaistHip, f64)> {
        let girths = self.waist.iter().zip(self.hip).enumerate();
        girths.map(|(row, (waist, hip))| ([*waist, *hip], self.weight_of_person(row)))
    }

    /// Iterates over the girths, in search coordinates (cm or ln cm), and the weight of each person.
    pub(super) fn people_in_search_coordinates(&self, loss: &Loss) -> impl Iterator<Item = (WaistHip, f64)> {
        self.girths_and_weights_of_people().map(|(girths, weight)| (loss.search_coordinates_of_person(girths), weight))
    }
}

/// Sorts girths by waist, then hip, and merges equal ones by adding their weights; leaves out those of weight 0.
fn sort_and_merge(weighted: impl Iterator<Item = (WaistHip, f64)>) -> Stoppable<Vec<(WaistHip, f64)>> {
    let mut weighted: Vec<_> = weighted.filter(|(_, weight)| *weight > 0.0).collect();
    count_interruptible_work(10 * weighted.len())?;
    // Sorted by weight, too, so that rounding in the sums does not depend on the order of the people.
    weighted.sort_unstable_by(|(a, a_weight), (b, b_weight)| {
        a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])).then(a_weight.total_cmp(b_weight))
    });
    let groups = weighted.chunk_by(|a, b| a.0.map(f64::to_bits) == b.0.map(f64::to_bits));
    Ok(groups.map(|equal| (equal[0].0, equal.iter().map(|(_, weight)| weight).sum())).collect())
}

/// For each point, the index of the size to which the point is assigned, and its loss there.
pub(super) type Assigned = Vec<(usize, f64)>;

/// Weighted points in the waist-hip plane, in search coordinates (cm or ln cm), ordered by waist and by hip.
pub(super) struct WaistHipPoints {
    /// Waist and hip of each point, in search coordinates (cm or ln cm).
    pub(super) girths: Vec<WaistHip>,
    /// Weight of each point: the sum of the weights of the people for whom the point stands.
    pub(super) weights: Vec<f64>,
    /// Indices of the points in ascending order of hip; the points themselves ascend by waist, then hip.
    by_hip: Vec<usize>,
}

impl WaistHipPoints {
    /// Merges people with equal girths, in centimetres, into one point with the sum of their weights, and converts the
    /// girths to search coordinates (cm or ln cm). Points ascend by waist, then hip. People of weight 0 are left out.
    pub(super) fn merge_people(people: impl Iterator<Item = (WaistHip, f64)>, loss: &Loss) -> Stoppable<Self> {
        let in_search = sort_and_merge(people)?
            .into_iter()
            .map(|(girths, weight)| (loss.search_coordinates_of_person(girths), weight));
        let (girths, weights): (Vec<WaistHip>, Vec<f64>) = in_search.unzip();
        let mut by_hip: Vec<usize> = (0..girths.len()).collect();
        by_hip.sort_by(|a, b| girths[*a][1].total_cmp(&girths[*b][1]));
        Ok(Self { girths, weights, by_hip })
    }

    /// Returns a point for each person, in the order of the people, for searches that need no order of the girths.
    pub(super) fn of_unmerged_people(people: impl Iterator<Item = (WaistHip, f64)>) -> Self {
        let (girths, weights) = people.unzip();
        Self { girths, weights, by_hip: Vec::new() }
    }

    /// Returns the index of the point with exactly these girths, in search coordinates; `None` if no person of positive
    /// weight has them.
    pub(super) fn index_of(&self, girths: WaistHip) -> Option<usize> {
        let index = self.girths.partition_point(|other| (other[0], other[1]) < (girths[0], girths[1]));
        (self.girths.get(index) == Some(&girths)).then_some(index)
    }

    /// Returns the waists (`girth` 0) or hips (`girth` 1) of the points in each of `group_count` groups, ascending,
    /// with the weights of the points. `group` maps the index of a point to the index of its group, or to `None` to
    /// leave the point out.
    pub(super) fn sorted_girths_by_group(
        &self,
        girth: usize,
        group_count: usize,
        group: impl Fn(usize) -> Option<usize>,
    ) -> Stoppable<Vec<SortedValues>> {
        count_interruptible_work(self.girths.len())?;
        let mut sorted = vec![SortedValues::new(); group_count];
        for (by_waist, by_hip) in self.by_hip.iter().enumerate() {
            let index = if girth == 0 { by_waist } else { *by_hip };
            if let Some(group) = group(index) {
                sorted[group].push((self.girths[index][girth], self.weights[index]));
            }
        }
        Ok(sorted)
    }

    /// Returns, for each point, the index of the centre with the least loss and that loss; and the mean loss over the
    /// people. A tie goes to the nearer centre, then to the last.
    pub(super) fn assignments_and_mean_loss(&self, centres: &[WaistHip], loss: &Loss) -> Stoppable<(Assigned, f64)> {
        count_interruptible_work(self.girths.len() * centres.len())?;
        let best = |girths: &WaistHip| {
            let in_size = |size: &WaistHip| (loss.loss_of_person_in_size(*girths, *size), distance(*girths, *size));
            index_and_least_loss(centres.iter().map(in_size))
        };
        let best: Assigned = self.girths.iter().map(best).collect();
        let sum: f64 = best.iter().zip(&self.weights).map(|((_, loss), weight)| loss * weight).sum();
        Ok((best, sum / self.weights.iter().sum::<f64>()))
    }

    /// Returns the mean loss over the people, each with the centre of least loss.
    pub(super) fn mean_loss(&self, centres: &[WaistHip], loss: &Loss) -> Stoppable<f64> {
        Ok(self.assignments_and_mean_loss(centres, loss)?.1)
    }
}

/// Values, in search coordinates (cm or ln cm), in ascending order, each with a positive weight.
pub(super) type SortedValues = Vec<(f64, f64)>;

/// Converts girths from centimetres to search coordinates (cm or ln cm), sorts them, and merges equal values by adding
/// their weights; without `weights`, every weight is 1. Leaves out girths of weight 0.
pub(super) fn sort_and_merge_girths(girths: &[f64], weights: Option<&[f64]>, loss: &Loss) -> Stoppable<SortedValues> {
    let weight = |row: usize| weights.map_or(1.0, |weights| weights[row]);
    let in_search = |(row, girth): (usize, &f64)| ([loss.search_coordinate_of_girth(*girth), 0.0], weight(row));
    let merged = sort_and_merge(girths.iter().enumerate().map(in_search))?;
    Ok(merged.into_iter().map(|([value, _], weight)| (value, weight)).collect())
}

/// Prefix sums of weight, weight × value and weight × value². Values are centred on their mean, which keeps
/// cancellation between prefix sums small.
pub(super) struct PrefixSums {
    /// Weighted mean of the original values.
    pub(super) mean: f64,
    /// Values minus the mean, ascending.
    pub(super) values: Vec<f64>,
    /// Sums of weight, weight × value and weight × value²: at index n, those over the first n values.
    sums: Vec<[f64; 3]>,
}

impl PrefixSums {
    pub(super) fn new(sorted: &[(f64, f64)]) -> Self {
        let total: f64 = sorted.iter().map(|(_, weight)| weight).sum();
        let (start, _) = sorted.first().copied().unwrap_or_default();
        let mean = start + sorted.iter().map(|(value, weight)| (value - start) * weight).sum::<f64>() / total;
        let values: Vec<f64> = sorted.iter().map(|(value, _)| value - mean).collect();
        let (mut sums, mut sum) = (vec![[0.0; 3]], [0.0; 3]);
        for (value, (_, weight)) in values.iter().zip(sorted) {
            sum = [sum[0] + weight, sum[1] + value * weight, sum[2] + value * value * weight];
            sums.push(sum);
        }
        Self { mean, values, sums }
    }

    /// Returns the sums of weight, weight × value and weight × value² over the run `from..to`, values less the mean.
    #[inline]
    pub(super) fn of_run(&self, from: usize, to: usize) -> [f64; 3] {
        let (start, end) = (&self.sums[from], &self.sums[to]);
        [end[0] - start[0], end[1] - start[1], end[2] - start[2]]
    }

    /// Returns the index, among all values, of the weighted median of a run: the first value of the run at which the
    /// weight summed from the start of the run reaches half the weight of the run. Fastest near the index `guess`.
    #[inline]
    pub(super) fn weighted_median_index(&self, from: usize, to: usize, guess: usize) -> usize {
        let half = f64::midpoint(self.sums[from][0], self.sums[to][0]);
        let mut index = guess.clamp(from, to - 1);
        while index > from && self.sums[index][0] >= half {
            index -= 1;
        }
        while index + 1 < to && self.sums[index + 1][0] < half {
            index += 1;
        }
        index
    }
}
