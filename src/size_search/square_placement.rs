//! Heuristics for maximal coverage: places squares by multipliers, exchanges single squares, and rebuilds parts of the
//! best chart. A chart found in this way serves many people; [`CoverageBound`](super::coverage_bound::CoverageBound)
//! says how many more any chart could serve.

use super::coverage_bound::CoverageRelaxation;
use super::square_sweep::{Square, SquaresAndServedWeight};
use crate::interrupt::Stoppable;
use crate::random::{CounterRng, RandomStream};

/// Minimum additional weight that an exchange of a square must serve, as a share of the weight that the old square
/// serves.
const MIN_RELATIVE_EXCHANGE_GAIN: f64 = 1e-9;

/// Number of points × number of sizes × number of rounds of [`CoverageRelaxation::rebuild_parts_of_chart`]: the rounds
/// follow from it, at most [`MAX_REBUILDING_ROUNDS`].
const POINTS_TIMES_SIZES_TIMES_ROUNDS: usize = 12_000_000;
const MAX_REBUILDING_ROUNDS: usize = 600;

/// Maximum number of neighbouring squares that one round takes out and places again.
const MAX_REBUILT_SQUARES: usize = 6;

/// Least random factor by which a round multiplies the value of a point; the greatest factor is as far above 1 as the
/// least is below 1.
const MIN_RANDOM_VALUE_FACTOR: f64 = 0.75;

impl CoverageRelaxation<'_> {
    /// Adds squares to `squares` one at a time until there are k, each where it holds the greatest sum of `values`
    /// outside the squares already placed. Then exchanges one square at a time for the square that serves the most
    /// people outside all other squares, until no exchange serves more.
    pub(super) fn place_and_exchange_squares(
        &self,
        mut squares: Vec<Square>,
        values: &[f64],
    ) -> Stoppable<SquaresAndServedWeight> {
        let mut cover_counts = vec![0_u32; values.len()];
        squares
            .iter()
            .flat_map(|square| self.sweep.points_in_square(square))
            .for_each(|point| cover_counts[point] += 1);
        let uncovered = |values: &[f64], counts: &[u32]| -> Vec<f64> {
            values.iter().zip(counts).map(|(value, count)| if *count == 0 { *value } else { 0.0 }).collect()
        };
        let mut exchanges_without_gain = 0;
        for k in (0..self.sizes).cycle().skip(squares.len()) {
            if cover_counts.iter().all(|count| *count > 0) {
                break;
            }
            if squares.len() < self.sizes {
                squares.push(self.sweep.best_sum_and_square(&uncovered(values, &cover_counts))?.1);
            } else {
                self.sweep.points_in_square(&squares[k]).for_each(|point| cover_counts[point] -= 1);
                let available = uncovered(self.weights, &cover_counts);
                let (gain, square) = self.sweep.best_sum_and_square(&available)?;
                exchanges_without_gain += 1;
                let served: f64 = self.sweep.points_in_square(&squares[k]).map(|point| available[point]).sum();
                // More than the rounding of the sums, so that the exchanges end.
                if gain > served * (1.0 + MIN_RELATIVE_EXCHANGE_GAIN) {
                    (squares[k], exchanges_without_gain) = (square, 0);
                }
            }
            self.sweep.points_in_square(&squares[k]).for_each(|point| cover_counts[point] += 1);
            if exchanges_without_gain >= self.sizes {
                break;
            }
        }
        squares.retain(|square| self.sweep.points_in_square(square).next().is_some());
        let unserved: f64 = uncovered(self.weights, &cover_counts).iter().sum();
        Ok((squares, self.weights.iter().sum::<f64>() - unserved))
    }

    /// Improves `chart` in rounds until `is_good_enough` returns true for the number of people served, as a sum of
    /// weights: takes out neighbouring squares and places them again by the multipliers, each times a random factor
    /// (ruin and recreate; Schrimpf and others 2000). A round that serves fewer people is undone.
    pub(super) fn rebuild_parts_of_chart(
        &self,
        chart: &mut SquaresAndServedWeight,
        multipliers: &[f64],
        is_good_enough: impl Fn(f64) -> bool,
    ) -> Stoppable<()> {
        let mut rng = CounterRng::new(0, RandomStream::RebuiltSquares, 0);
        let rounds = POINTS_TIMES_SIZES_TIMES_ROUNDS / (self.weights.len() * self.sizes);
        for _ in 0..rounds.min(MAX_REBUILDING_ROUNDS) {
            if is_good_enough(chart.1) {
                break;
            }
            let mut kept = chart.0.clone();
            let [waist, hip] = self.sweep.lowest_girths_of_square(&kept[rng.draw_index(kept.len())]);
            let distance = |square: &Square| {
                let [other_waist, other_hip] = self.sweep.lowest_girths_of_square(square);
                (other_waist - waist).abs() + (other_hip - hip).abs()
            };
            kept.sort_by(|a, b| distance(b).total_cmp(&distance(a)));
            let rebuilt = 1 + rng.draw_index(MAX_REBUILT_SQUARES);
            kept.truncate(kept.len().saturating_sub(rebuilt));
            let mut random_factor =
                || MIN_RANDOM_VALUE_FACTOR + 2.0 * (1.0 - MIN_RANDOM_VALUE_FACTOR) * rng.draw_uniform_0_to_1();
            let values: Vec<f64> =
                self.weights.iter().zip(multipliers).map(|(weight, u)| weight * u * random_factor()).collect();
            let next = self.place_and_exchange_squares(kept, &values)?;
            if next.1 >= chart.1 {
                *chart = next;
            }
        }
        Ok(())
    }
}
