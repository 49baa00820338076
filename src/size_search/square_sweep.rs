//! Sweep over axis-parallel squares (or rectangles) of equal reach in the waist-hip plane: finds the square with the
//! greatest sum of values of the points in the square. Used by the certified bound of maximal coverage.
//!
//! A square starts at the waist of a point and the hip of a point: moving a square up to its lowest waist and hip loses
//! no point. The sweep moves a strip up the waists, and a tree holds, for each lowest hip, the sum of the square in the
//! strip (after Imai and Asano 1983). One sweep costs `n log n` for n points. Charts are placed and exchanged by
//! sweeps: they serve many people; [`CoverageBound`](super::coverage_bound::CoverageBound) says how many more any chart
//! could serve.

use std::ops::Range;

use super::points::{WaistHip, WaistHipPoints, girth_ranges};
use super::size_constraints::Reach;
use crate::interrupt::{Stoppable, count_interruptible_work};

/// Approximate work for one point in a sweep, in units of a few nanoseconds.
const SWEEP_WORK_PER_POINT: usize = 30;

/// Minimum gain of an exchange of a square, as a share of the weight that the old square serves.
const MIN_RELATIVE_EXCHANGE_GAIN: f64 = 1e-9;

/// Points ascending by waist, prepared for sweeps with squares of equal reach. A square lies in a strip of waists.
pub(super) struct SquareSweep<'a> {
    pub(super) points: &'a WaistHipPoints,
    /// Reach of a square in waist and in hip.
    reach: [Reach; 2],
    /// Distinct hips, in centimetres, ascending.
    hips: Vec<f64>,
    /// For each point: index range in `hips` of the lowest hips of all squares that reach the point's hip.
    lowest_hip_ranges: Vec<Range<usize>>,
    /// For each point: exclusive end of the points in the strip that starts at the point's waist; at most the point's
    /// own index if no square reaches the point.
    strip_ends: Vec<usize>,
}

/// Square, given by the index range of the points in its strip of waists, and by its lowest waist and hip.
#[derive(Clone)]
pub(super) struct Square {
    strip: Range<usize>,
    pub(super) lowest: WaistHip,
}

/// Squares of a chart, and the number of people that the squares serve, as a sum of weights.
pub(super) type SquaresAndServedWeight = (Vec<Square>, f64);

impl<'a> SquareSweep<'a> {
    /// Prepares sweeps over points that must ascend by waist; `reach` gives the highest waist and hip that a square
    /// with given lowest girths serves.
    pub(super) fn new(points: &'a WaistHipPoints, reach: [Reach; 2]) -> Self {
        let girths = &points.girths;
        let mut hips: Vec<f64> = girths.iter().map(|point| point[1]).collect();
        hips.sort_unstable_by(f64::total_cmp);
        hips.dedup();
        let reaching = |point: &WaistHip| {
            hips.partition_point(|hip| point[1] > reach[1].highest_girth_served_with(*hip))
                ..hips.partition_point(|hip| *hip <= point[1])
        };
        let strip_end = |point: &WaistHip| {
            let highest = reach[0].highest_girth_served_with(point[0]);
            girths.partition_point(|other| other[0] <= highest)
        };
        let (lowest_hip_ranges, strip_ends) = girths.iter().map(|point| (reaching(point), strip_end(point))).unzip();
        Self { points, reach, hips, lowest_hip_ranges, strip_ends }
    }

    /// Returns, for the strip of waists that starts at each point, the greatest sum of point values in a square, and
    /// that square; ties go to the lowest hip. Sums, and so the maxima, are exact if the values are multiples of a
    /// power of two.
    pub(super) fn strip_best_sums_and_squares(&self, values: &[f64]) -> Stoppable<Vec<(f64, Square)>> {
        count_interruptible_work(SWEEP_WORK_PER_POINT * values.len())?;
        let mut sums = MaxSegmentTree::new(self.hips.len());
        let mut end = 0;
        let strips = self.strip_ends.iter().enumerate().map(|(start, strip_end)| {
            while end < *strip_end {
                sums.add_to_range(&self.lowest_hip_ranges[end], values[end]);
                end += 1;
            }
            let (sum, hip) = sums.max_and_index();
            if start < end {
                sums.add_to_range(&self.lowest_hip_ranges[start], -values[start]);
            }
            end = end.max(start + 1);
            (sum, Square { strip: start..*strip_end, lowest: [self.points.girths[start][0], self.hips[hip]] })
        });
        Ok(strips.collect())
    }

    /// Returns the greatest sum of values in a square, and that square; ties go to the lowest waist, then to the lowest
    /// hip. If no sum is above 0, returns 0 and an empty square.
    pub(super) fn best_sum_and_square(&self, values: &[f64]) -> Stoppable<(f64, Square)> {
        let nothing = (0.0, Square { strip: 0..0, lowest: [0.0; 2] });
        let strips = self.strip_best_sums_and_squares(values)?.into_iter();
        Ok(strips.fold(nothing, |best, strip| if strip.0 > best.0 { strip } else { best }))
    }

    /// Adds squares to `squares` one at a time until there are `sizes`, each where it holds the greatest sum of
    /// `values` outside the squares already placed. Then exchanges one square at a time for the square that serves the
    /// most people outside all other squares, until no exchange serves more.
    pub(super) fn place_and_exchange_squares(
        &self,
        mut squares: Vec<Square>,
        values: &[f64],
        sizes: usize,
    ) -> Stoppable<SquaresAndServedWeight> {
        let weights = &self.points.weights;
        let mut cover_counts = vec![0_u32; values.len()];
        squares.iter().flat_map(|square| self.points_in_square(square)).for_each(|point| cover_counts[point] += 1);
        let uncovered = |values: &[f64], counts: &[u32]| -> Vec<f64> {
            values.iter().zip(counts).map(|(value, count)| if *count == 0 { *value } else { 0.0 }).collect()
        };
        let mut exchanges_without_gain = 0;
        for k in (0..sizes).cycle().skip(squares.len()) {
            if exchanges_without_gain >= sizes || cover_counts.iter().all(|count| *count > 0) {
                break;
            }
            if squares.len() < sizes {
                squares.push(self.best_sum_and_square(&uncovered(values, &cover_counts))?.1);
            } else {
                self.points_in_square(&squares[k]).for_each(|point| cover_counts[point] -= 1);
                let available = uncovered(weights, &cover_counts);
                let (gain, square) = self.best_sum_and_square(&available)?;
                exchanges_without_gain += 1;
                let served: f64 = self.points_in_square(&squares[k]).map(|point| available[point]).sum();
                // More than the rounding of the sums, so that the exchanges end.
                if gain > served * (1.0 + MIN_RELATIVE_EXCHANGE_GAIN) {
                    (squares[k], exchanges_without_gain) = (square, 0);
                }
            }
            self.points_in_square(&squares[k]).for_each(|point| cover_counts[point] += 1);
        }
        squares.retain(|square| self.points_in_square(square).next().is_some());
        let unserved: f64 = uncovered(weights, &cover_counts).iter().sum();
        Ok((squares, weights.iter().sum::<f64>() - unserved))
    }

    pub(super) fn points_in_square(&self, square: &Square) -> impl Iterator<Item = usize> + use<'_> {
        let Square { strip, lowest: [_, lowest_hip] } = square.clone();
        let hips = lowest_hip..=self.reach[1].highest_girth_served_with(lowest_hip);
        strip.filter(move |index| hips.contains(&self.points.girths[*index][1]))
    }

    /// Returns the square that reaches lowest among those of a size with the girths of a point.
    pub(super) fn square_centred_at(&self, point: usize) -> Square {
        let centre = self.points.girths[point];
        let [waist, hip] = [0, 1].map(|girth: usize| self.reach[girth].lowest_girth_served_at(centre[girth]));
        let start = self.points.girths.partition_point(|other| other[0] < waist);
        let lowest_hip = self.hips[self.hips.partition_point(|other| *other < hip)];
        Square { strip: start..self.strip_ends[start], lowest: [self.points.girths[start][0], lowest_hip] }
    }

    /// Returns waist and hip, in centimetres, of a size that serves the people in a square, which must hold at least
    /// one point: in the middle of the distinct waists and hips of all points that the square reaches.
    pub(super) fn size_serving_square(&self, square: &Square) -> WaistHip {
        let highest_hip = self.reach[1].highest_girth_served_with(square.lowest[1]);
        let hip_end = self.hips.partition_point(|hip| *hip <= highest_hip);
        let highest = [self.points.girths[square.strip.end - 1][0], self.hips[hip_end - 1]];
        [0, 1].map(|girth: usize| self.reach[girth].centre_serving_girth_range(square.lowest[girth], highest[girth]))
    }

    /// Returns waist and hip, in centimetres, of a size that serves the points in a square.
    pub(super) fn size_serving_points(&self, square: &Square) -> WaistHip {
        let ranges = girth_ranges(self.points_in_square(square).map(|index| self.points.girths[index]));
        [0, 1].map(|girth: usize| self.reach[girth].centre_serving_girth_range(ranges[girth][0], ranges[girth][1]))
    }
}

/// Segment tree over numbers that start at zero: adds to a range, or returns the maximum, in logarithmic time.
struct MaxSegmentTree {
    leaves: usize,
    /// For each node: the amount added to all leaves below, and their maximum without the ancestors' amounts.
    nodes: Vec<(f64, f64)>,
}

impl MaxSegmentTree {
    fn new(count: usize) -> Self {
        let leaves = count.next_power_of_two();
        Self { leaves, nodes: vec![(0.0, 0.0); 2 * leaves] }
    }

    fn add_to_range(&mut self, range: &Range<usize>, value: f64) {
        if value == 0.0 || range.is_empty() {
            return;
        }
        let (mut start, mut end) = (range.start + self.leaves, range.end + self.leaves);
        let (first, last) = (start, end - 1);
        while start < end {
            for node in [(start % 2 == 1).then_some(start), (end % 2 == 1).then_some(end - 1)].into_iter().flatten() {
                self.nodes[node].0 += value;
                self.nodes[node].1 += value;
            }
            (start, end) = (start.div_ceil(2), end / 2);
        }
        for mut node in [first, last] {
            while node > 1 {
                node /= 2;
                self.nodes[node].1 = self.nodes[node].0 + self.nodes[2 * node].1.max(self.nodes[2 * node + 1].1);
            }
        }
    }

    /// Returns the maximum of the numbers, and the first index at which a number has the maximum.
    fn max_and_index(&self) -> (f64, usize) {
        let mut node = 1;
        while node < self.leaves {
            node = 2 * node + usize::from(self.nodes[2 * node + 1].1 > self.nodes[2 * node].1);
        }
        (self.nodes[1].1, node - self.leaves)
    }
}
