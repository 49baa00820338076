//! The best sizes by waist and hip.

use super::bound::Sample;
use super::boxes::best_boxes;
use super::line::{asked, wrong_values};
use super::loss::Loss;
use super::means::best_means;
use super::points::{Place, Points};
use crate::body::Body;
use crate::error::{Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::sizes::{Size, SizeChart};
use crate::survey::fit::uneven;

/// How the waist-hip plane is searched.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SearchSettings {
    /// The seed of the starts: the same seed gives the same chart.
    pub seed: u64,
    /// How many starts are tried: from 1 to 10,000. More never give a worse chart on the merged people.
    pub restarts: u32,
    /// The side of the squares to whose middles people are moved while searching, in centimetres: from 0.01 to 10. What
    /// is found is settled, and its loss and bound are taken, on the people as they are.
    pub step: f64,
}

impl Default for SearchSettings {
    /// Seed 0, 20 starts, half a centimetre.
    fn default() -> Self {
        Self { seed: 0, restarts: 20, step: 0.5 }
    }
}

/// Sizes by waist and hip for a population.
#[derive(Clone, Debug, PartialEq)]
pub struct BestChart {
    /// The sizes by hip, then waist. Their waists need not grow with their hips.
    pub sizes: Vec<BestChartSize>,
    /// The mean loss.
    pub loss: f64,
    /// No chart of so many sizes of its kind has a lower mean loss: proven, but for rounding.
    pub bound: f64,
}

/// A size by waist and hip, and the people who lose least in it. Of sizes that cost as much a person is given the nearer, of
/// equals the later.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BestChartSize {
    /// The waist girth.
    pub waist: f64,
    /// The hip girth.
    pub hip: f64,
    /// The share of the people given to it, from 0 to 1.
    pub share: f64,
}

/// Sizes by waist and hip with little mean loss, and a bound on what any could have.
///
/// The best of many seeded starts. For losses that add up, starts are drawn by k-means++ (Arthur and Vassilvitskii 2007), and
/// people and centres are settled in turn (Lloyd 1982): the centre of a size is the exact best of its people in each girth.
/// For [`Loss::Within`] boxes are placed greedily and moved one at a time. Neither proves an optimum; the bound tells how
/// far off it can be.
///
/// The bound is the larger of two. So many sizes have at most so many waists, so that waists alone lose at least the optimum
/// of [`best_sizes`], and so do hips: where losses add up no chart is below the sum of both, where both girths must be within
/// not below the larger. And so many regions in which people lose little hold no more of them than the densest squares of
/// the plane that they can meet. Of many people that comes near; of few it says little.
///
/// # Errors
/// All the [`Problems`] at once: those of [`best_sizes`], columns that are not as long, restarts or step out of range, more than
/// four million crossings of merged waists and hips for [`Loss::Within`].
///
/// ```
/// use kirtle::survey::{Loss, Population, SearchSettings, best_chart};
///
/// let women = Population::ansur_women().bodies(1, 0..2000)?;
/// let best = best_chart(&women.waist, &women.hip, 6, &Loss::Absolute, &SearchSettings::default())?;
/// assert_eq!(best.sizes.len(), 6);
/// assert!(best.bound < best.loss && best.gap() == best.loss - best.bound);
///
/// let problems = best_chart(&[70.0], &[], 6, &Loss::Absolute, &SearchSettings { step: 0.0, ..SearchSettings::default() }).unwrap_err();
/// assert_eq!(problems[0].to_string(), "hip: 0 numbers are given; the least is 1 number");
/// assert_eq!(problems[2].to_string(), "search.step: 0 cm is below the minimum of 0.01 cm");
/// # Ok::<(), kirtle::Problems>(())
/// ```
///
/// [`best_sizes`]: crate::survey::best_sizes
pub fn best_chart(
    waist: &[f64],
    hip: &[f64],
    sizes: usize,
    loss: &Loss,
    search: &SearchSettings,
) -> Result<BestChart, Problems> {
    let mut problems = wrong_plane(waist, hip, sizes, loss);
    problems.extend(search.problems());
    Problems::ok_if_empty(problems)?;
    let Sample { cells, people, bound } = Sample::of(waist, hip, sizes, loss, search.step)?;
    let centres = match loss {
        Loss::Within(max) => best_boxes(&cells, &people, *max, sizes, search)?,
        _ => best_means(&cells, &people, loss, sizes, search),
    };
    Ok(BestChart::of(&people, centres, loss, bound))
}

/// What is wrong with people, number of sizes and loss.
pub(super) fn wrong_plane(waist: &[f64], hip: &[f64], sizes: usize, loss: &Loss) -> Vec<Problem> {
    let mut problems = asked(sizes, loss);
    problems.extend(wrong_people(waist, hip, loss));
    problems
}

pub(super) fn wrong_people(waist: &[f64], hip: &[f64], loss: &Loss) -> Vec<Problem> {
    let values = [("waist", waist), ("hip", hip)].map(|(name, girths)| wrong_values(name, girths, loss));
    values.into_iter().chain([uneven("hip", hip.len(), waist.len())]).flatten().collect()
}

impl SearchSettings {
    pub(super) fn problems(&self) -> Vec<Problem> {
        let (restarts, step) = ((1.0, 10_000.0), (0.01, 10.0));
        let restarts = Field::new("restarts", "", FieldKind::Ratio, restarts, restarts).check(
            "search.",
            f64::from(self.restarts),
            Unit::Cm,
        );
        let step = Field::new("step", "", FieldKind::Length, step, step).check("search.", self.step, Unit::Cm);
        restarts.into_iter().chain(step).collect()
    }
}

impl BestChart {
    /// These centres for these people.
    pub(super) fn of(people: &Points, mut centres: Vec<Place>, loss: &Loss, bound: f64) -> Self {
        centres.sort_by(|a, b| a[1].total_cmp(&b[1]).then(a[0].total_cmp(&b[0])));
        let (given, mean) = people.assign(&centres, loss);
        let total: f64 = people.weight.iter().sum();
        let girths = centres.iter().map(|at| at.map(|scaled| loss.girth(scaled)));
        let mut sizes: Vec<BestChartSize> =
            girths.map(|[waist, hip]| BestChartSize { waist, hip, share: 0.0 }).collect();
        for (k, weight) in given.into_iter().zip(&people.weight) {
            sizes[k as usize].share += weight / total;
        }
        Self { sizes, loss: mean, bound }
    }

    /// How much lower the mean loss of the best chart could be, at the most.
    #[must_use]
    pub fn gap(&self) -> f64 {
        // Rounding alone can put the bound above.
        (self.loss - self.bound).max(0.0)
    }

    /// The sizes as a chart, with names from 1 on.
    ///
    /// # Errors
    /// As [`SizeChart::new`], above all where a size has the larger hip and not the larger waist.
    ///
    /// ```
    /// use kirtle::survey::{Loss, best_chart_fixed_drop};
    ///
    /// let best = best_chart_fixed_drop(&[70.0, 72.0, 80.0], &[96.0, 97.0, 105.0], 25.0, 2, &Loss::Squared)?;
    /// let chart = best.chart(20.0, 60.0)?;
    /// assert_eq!((chart.sizes()[1].name.as_str(), chart.sizes()[1].body.hip), ("2", 105.0));
    ///
    /// assert_eq!(best.chart(20.0, 5.0).unwrap_err()[0].to_string(), "sizes[0].length: 5 cm is below the minimum of 15 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn chart(&self, hip_depth: f64, length: f64) -> Result<SizeChart, Problems> {
        let size = |(size, name): (&BestChartSize, u32)| Size {
            name: name.to_string(),
            body: Body { waist: size.waist, hip: size.hip, hip_depth, length },
        };
        SizeChart::new(self.sizes.iter().zip(1..).map(size).collect())
    }
}
