//! Held-out comparison: a given chart against the best chart of a training half of the people, judged on the other
//! half.

use super::chart::{BestChart, best_chart};
use super::chart_search::{chart_search_problems, waist_and_hip_column_problems};
use super::loss::Loss;
use super::points::{GirthPoints, WaistHip};
use super::search_settings::SearchSettings;
use crate::error::Problems;
use crate::random::{CounterRng, RandomStream};
use crate::sizes::SizeChart;

/// Comparison of a given chart with the best chart of training people: mean loss of each chart on the held-out people.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartComparison {
    /// Best chart of the training people.
    pub best: BestChart,
    /// Number of training people, on whom the best chart was searched.
    pub learnt: usize,
    /// Number of held-out people, on whom both charts are judged.
    pub held_out: usize,
    /// Mean loss of the held-out people in the best chart.
    pub best_loss: f64,
    /// Mean loss of the held-out people in the given chart.
    pub given_loss: f64,
}

/// Splits the people at random into training and held-out people, searches the best chart for the training people, and
/// compares the best chart with the given chart on the held-out people.
///
/// The best chart has the number of sizes of the given chart. Each person goes to either part with probability ½, by
/// [`SearchSettings::seed`]. A single split, not a cross-validation. The loss on training people would be optimistic.
///
/// # Errors
/// The problems of [`best_chart`]. An empty part counts as an empty column.
///
/// ```
/// use kirtle::SizeChart;
/// use kirtle::size_search::{Loss, SearchSettings, compare_charts};
/// use kirtle::survey::Population;
///
/// let women = Population::ansur_women().bodies(1, 0..4000)?;
/// let (chart, search) = (SizeChart::demo(), SearchSettings::default());
/// let compared = compare_charts(&chart, &women.waist, &women.hip, &Loss::Absolute, &search)?;
/// assert!(compared.best_loss < compared.given_loss && compared.learnt + compared.held_out == 4000);
///
/// let problems = compare_charts(&chart, &[86.0], &[102.0], &Loss::Absolute, &search).unwrap_err();
/// assert_eq!(problems[0].to_string(), "waist: 0 numbers are given, at least 1 number needed");
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn compare_charts(
    given: &SizeChart,
    waist: &[f64],
    hip: &[f64],
    loss: &Loss,
    search: &SearchSettings,
) -> Result<ChartComparison, Problems> {
    let sizes = given.sizes().len();
    let mut problems = chart_search_problems(waist, hip, sizes, loss);
    problems.extend(search.setting_problems());
    Problems::ok_if_empty(problems)?;
    let mut rng = CounterRng::new(search.seed, RandomStream::HeldOutSplit, 0);
    let [mut training, mut held_out] = [(); 2].map(|()| (Vec::new(), Vec::new()));
    for (waist, hip) in waist.iter().zip(hip) {
        let part = if rng.draw_uniform_0_to_1() < 0.5 { &mut training } else { &mut held_out };
        part.0.push(*waist);
        part.1.push(*hip);
    }
    Problems::ok_if_empty(waist_and_hip_column_problems(&held_out.0, &held_out.1, loss))?;
    let best = best_chart(&training.0, &training.1, sizes, loss, search)?;
    let people = GirthPoints::unrounded(&held_out.0, &held_out.1, loss);
    let mean_loss = |girths: &mut dyn Iterator<Item = [f64; 2]>| {
        let centres: Vec<WaistHip> = girths.map(|girths| girths.map(|girth| loss.girth_on_loss_scale(girth))).collect();
        people.mean_loss(&centres, loss)
    };
    let best_loss = mean_loss(&mut best.sizes.iter().map(|size| [size.waist, size.hip]));
    let given_loss = mean_loss(&mut given.sizes().iter().map(|size| [size.body.waist, size.body.hip]));
    Ok(ChartComparison { best, learnt: training.0.len(), held_out: held_out.0.len(), best_loss, given_loss })
}
