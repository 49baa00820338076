//! What no chart of so many sizes is below.

use std::collections::BTreeMap;

use super::column::Column;
use super::line::{least_loss, too_large};
use super::loss::Loss;
use super::points::Points;
use crate::error::Problems;
use crate::survey::fit::EQUAL;
use crate::survey::interrupt::worked;

/// Squares, each kind with half the side of the one before, by which people are counted.
const KINDS: i32 = 10;

/// Radii to the side of a square, in steps of which the integral is taken.
const RADII: f64 = 8.0;

/// What no chart of so many sizes is below: the larger of two bounds.
///
/// **By each girth alone.** So many sizes have at most so many waists, so that waists alone lose at least the optimum of
/// one girth, and so do hips: the sum of both, or the larger where both girths must be within.
///
/// **By how dense people are.** Those who lose at most s in a size lie in a region around it, which meets at most N(s)
/// squares of a grid. All sizes together meet at most sizes × N(s) squares, and hold no more people than the share T of
/// as many squares with most people. So a share of at least 1 − T(sizes × N(s)) loses more than s, and the mean loss, which is
/// the integral of that share over s, is at least the integral of 1 − T. Where squares are small the region counts little too
/// many of them; where they are large none stands out by chance. Each side is as valid, and the best is taken.
fn bound(people: &Points, columns: &[Column; 2], sizes: usize, loss: &Loss) -> f64 {
    let [waists, hips] = columns.each_ref().map(|column| least_loss(column, sizes, loss));
    let alone = if matches!(loss, Loss::Within(_)) { waists.max(hips) } else { waists + hips };
    let spread = columns.iter().map(|column| column.at[column.len() - 1] - column.at[0]).fold(0.0, f64::max);
    let whole = if let Loss::Within(max) = loss { 2.0 * (max + EQUAL) } else { spread };
    let grids = (1..=KINDS).map(|kind| whole / f64::from(1 << kind)).filter(|side| *side > 0.0);
    grids.map(|side| Dense::of(people, side).bound(sizes, loss)).fold(alone, f64::max)
}

/// The people of a search in the plane.
pub(super) struct Sample {
    /// Moved to the squares of the search.
    pub(super) cells: Points,
    /// As they are.
    pub(super) people: Points,
    /// What no chart of so many sizes is below.
    pub(super) bound: f64,
}

impl Sample {
    /// These people, if the task is not too large.
    pub(super) fn of(waist: &[f64], hip: &[f64], sizes: usize, loss: &Loss, step: f64) -> Result<Self, Problems> {
        let columns = [waist, hip].map(|girths| Column::of(girths, None, loss));
        let large = ["waist", "hip"].into_iter().zip(&columns);
        Problems::ok_if_empty(large.filter_map(|(name, column)| too_large(name, column, sizes, loss)).collect())?;
        let cells = Points::cells(waist, hip, step, loss);
        let people = Points::people(waist, hip, loss);
        let bound = bound(&people, &columns, sizes, loss);
        Ok(Self { cells, people, bound })
    }
}

/// The squares of one side by how many people they hold.
struct Dense {
    side: f64,
    /// The share of people in the first so many squares, those with most people first.
    shares: Vec<f64>,
}

impl Dense {
    fn of(people: &Points, side: f64) -> Self {
        let mut squares: BTreeMap<[i64; 2], f64> = BTreeMap::new();
        for (at, weight) in people.at.iter().zip(&people.weight) {
            // A little wider, so that rounding does not put a person across an edge.
            #[allow(clippy::cast_possible_truncation)]
            let square = at.map(|girth| (girth / side * (1.0 - 1e-12)).floor() as i64);
            *squares.entry(square).or_default() += weight;
            worked(10);
        }
        let mut weights: Vec<f64> = squares.into_values().collect();
        weights.sort_unstable_by(|a, b| b.total_cmp(a));
        let total: f64 = weights.iter().sum();
        let mut sum = 0.0;
        let shares = weights.into_iter().map(|weight| {
            sum += weight;
            sum / total
        });
        Self { side, shares: shares.collect() }
    }

    /// The most that can be held by as many regions as there are sizes that each meet so many squares.
    fn held(&self, sizes: usize, squares: f64) -> f64 {
        #[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let all = (sizes as f64 * squares.floor()).min(self.shares.len() as f64) as usize;
        all.checked_sub(1).map_or(0.0, |last| self.shares[last])
    }

    fn bound(&self, sizes: usize, loss: &Loss) -> f64 {
        if let Loss::Within(max) = loss {
            // An interval of n sides meets n + 1 of them at most.
            let met = (2.0 * (max + EQUAL) / self.side).round() + 1.0;
            return 1.0 - self.held(sizes, met * met);
        }
        let mut bound = 0.0;
        let (mut radius, mut before) = (0.0, 0.0);
        // From one s to the next the share is no less than at its end.
        loop {
            radius += self.side / RADII;
            let (s, squares) = self.region(radius, loss);
            let beyond = 1.0 - self.held(sizes, squares);
            if beyond <= 0.0 {
                return bound;
            }
            bound += (s - before) * beyond;
            before = s;
        }
    }

    /// A loss, growing with the radius, and how many squares the region of those who lose no more can meet.
    ///
    /// A square that meets a region lies within the region grown by the square's diameter: of the disc that is √2 sides, of the
    /// diamond two.
    fn region(&self, radius: f64, loss: &Loss) -> (f64, f64) {
        let sides = radius / self.side;
        let square = |value: f64| value * value;
        match loss {
            Loss::Squared => (square(radius), std::f64::consts::PI * square(sides + std::f64::consts::SQRT_2)),
            Loss::Absolute | Loss::Within(_) => (radius, 2.0 * square(sides + 2.0)),
            Loss::LogBand(band) => {
                // Who loses no more than s in both girths loses no more in either: √(s / weight) beyond the band.
                let (small, large) = (1.0 / band.small_weight.sqrt(), 1.0 / band.large_weight.sqrt());
                let root = radius / (small + large);
                let wide = (band.small + band.large) / self.side + sides;
                (square(root), square(wide.floor() + 2.0))
            }
        }
    }
}
