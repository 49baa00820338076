//! Held-out comparison: a given chart against the best chart of a training half of the people, judged on the other
//! half.

use super::chart::{BestChart, best_chart};
use super::chart_search::{chart_search_problems, people_column_problems};
use super::loss::Loss;
use super::points::{WaistHip, WaistHipPoints};
use super::search_settings::SearchSettings;
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::random::{CounterRng, RandomStream};
use crate::sizes::SizeChart;

const SPLIT_COUNT_FIELD: Field = Field::new("splits", "Number of splits.", FieldKind::Ratio, (1.0, 1000.0));

/// Comparison of a given chart with the best chart of training people: mean loss of each chart on the held-out people.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartComparison {
    /// Best chart of the training people of the first split.
    pub best: BestChart,
    /// Number of training people of the first split, on whom the best chart was searched.
    pub learnt: usize,
    /// Number of held-out people of the first split, on whom both charts are judged.
    pub held_out: usize,
    /// Mean, over the splits, of the mean loss of the training people in the best chart: an optimistic estimate.
    pub learnt_loss: f64,
    /// Mean, over the splits, of the mean loss of the held-out people in the best chart.
    pub best_loss: f64,
    /// Mean, over the splits, of the mean loss of the held-out people in the given chart.
    pub given_loss: f64,
    /// Gain of each split: mean loss of the held-out people in the given chart, minus their mean loss in the best chart.
    pub gains: Vec<f64>,
}

impl ChartComparison {
    /// Returns the 95 % interval of the gain: the mean over the splits, and 1.96 standard errors to either side. `None` for
    /// one split.
    ///
    /// The squared standard error is the variance of the gains × (1/J + held out/learnt) for J splits, and not × 1/J, because the
    /// splits share people (Nadeau and Bengio 2003, Machine Learning 52). At least ten splits are advised.
    #[must_use]
    pub fn gain_interval(&self) -> Option<(f64, f64)> {
        let splits = self.gains.len() as f64;
        let mean = self.gains.iter().sum::<f64>() / splits;
        let variance = self.gains.iter().map(|gain| (gain - mean).powi(2)).sum::<f64>() / (splits - 1.0);
        let factor = 1.0 / splits + self.held_out as f64 / self.learnt as f64;
        let half_width = 1.959_964 * (factor * variance).sqrt();
        (self.gains.len() > 1).then_some((mean - half_width, mean + half_width))
    }
}

/// Splits the people at random into training and held-out people, searches the best chart for the training people, and
/// compares the best chart with the given chart on the held-out people; `splits` times, from 1 to 1000.
///
/// `weights` are as in [`best_chart`]. The best chart has the number of sizes of the given chart. Each person goes to either
/// part with probability ½, by [`SearchSettings::seed`]. The loss on training people is optimistic, and one split varies.
///
/// # Errors
/// The problems of [`best_chart`], and a number of splits out of range. An empty part counts as an empty column.
///
/// ```
/// use kirtle::SizeChart;
/// use kirtle::size_search::{Loss, SearchSettings, compare_charts};
/// use kirtle::survey::Population;
///
/// let women = Population::ansur_women().bodies(1, 0..4000)?;
/// let (chart, search) = (SizeChart::demo(), SearchSettings::default());
/// let compared = compare_charts(&chart, &women.waist, &women.hip, None, &Loss::Absolute, 1, &search)?;
/// assert!(compared.best_loss < compared.given_loss && compared.learnt + compared.held_out == 4000);
///
/// let problems = compare_charts(&chart, &[86.0], &[102.0], None, &Loss::Absolute, 1, &search).unwrap_err();
/// assert_eq!(problems[0].to_string(), "waist: 0 numbers are given, at least 1 number needed");
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn compare_charts(
    given: &SizeChart,
    waist: &[f64],
    hip: &[f64],
    weights: Option<&[f64]>,
    loss: &Loss,
    splits: usize,
    search: &SearchSettings,
) -> Result<ChartComparison, Problems> {
    let sizes = given.sizes().len();
    let mut problems = chart_search_problems(waist, hip, weights, sizes, loss);
    problems.extend(search.setting_problems());
    problems.extend(SPLIT_COUNT_FIELD.range_problem("", splits as f64, Unit::Cm));
    Problems::ok_if_empty(problems)?;
    let mut rng = CounterRng::new(search.seed, RandomStream::HeldOutSplit, 0);
    let columns = |rows: &[usize]| {
        let of_rows = |column: &[f64]| rows.iter().map(|row| column[*row]).collect::<Vec<f64>>();
        (of_rows(waist), of_rows(hip), weights.map(of_rows))
    };
    let mut first = None;
    let (mut losses, mut gains) = ([0.0; 3], Vec::new());
    for _ in 0..splits {
        let (training, held_out): (Vec<usize>, Vec<usize>) =
            (0..waist.len()).partition(|_| rng.draw_uniform_0_to_1() < 0.5);
        let (waist, hip, weights) = columns(&held_out);
        Problems::ok_if_empty(people_column_problems(&waist, &hip, weights.as_deref(), loss))?;
        let people = WaistHipPoints::merge_unrounded_people(&waist, &hip, weights.as_deref(), loss)?;
        let (waist, hip, weights) = columns(&training);
        let best = best_chart(&waist, &hip, weights.as_deref(), sizes, loss, search)?;
        let mean_loss = |girths: &mut dyn Iterator<Item = WaistHip>| {
            let centres: Vec<WaistHip> =
                girths.map(|girths| girths.map(|girth| loss.girth_on_loss_scale(girth))).collect();
            people.mean_loss(&centres, loss)
        };
        let best_loss = mean_loss(&mut best.sizes.iter().map(|size| [size.waist, size.hip]))?;
        let given_loss = mean_loss(&mut given.sizes().iter().map(|size| [size.body.waist, size.body.hip]))?;
        gains.push(given_loss - best_loss);
        for (sum, loss) in losses.iter_mut().zip([best.loss, best_loss, given_loss]) {
            *sum += loss / splits as f64;
        }
        first = first.or(Some((best, training.len(), held_out.len())));
    }
    let [learnt_loss, best_loss, given_loss] = losses;
    let first = first.ok_or_else(|| Problem::new(Code::Missing, "splits").with_limit("a split"))?;
    let (best, learnt, held_out) = first;
    Ok(ChartComparison { best, learnt, held_out, learnt_loss, best_loss, given_loss, gains })
}
