//! Held-out comparison: a given chart and the best chart of a training half of the people, judged on the other half.

use super::chart::{BestChart, BestChartSize, best_chart};
use super::chart_search::{SearchInput, people_column_problems};
use super::loss::Loss;
use super::points::{ComparedPeople, WaistHip, WaistHipPoints};
use super::size_constraints::SearchSettings;
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};
use crate::random::{CounterRng, RandomStream};
use crate::sizes::{Size, SizeChart};
use crate::student_t::student_quantile_97_5;

const SPLIT_COUNT_FIELD: Field = Field::new("splits", "", FieldKind::Ratio, (1.0, 1000.0));

const MAX_GROUPS: usize = 100_000;

/// Comparison of a given chart with the best chart of training people: mean loss of each chart on the held-out people.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartComparison {
    /// Best chart of the training people of the first split.
    pub best: BestChart,
    /// Number of training people of the first split, on whom the best chart was searched.
    pub training: usize,
    /// Mean, over the splits, of the mean loss of the training people in the best chart: too optimistic an estimate of
    /// the loss of other people.
    pub training_loss: f64,
    /// Losses of all held-out people.
    pub all: HeldOutLosses,
    /// Losses of the held-out people of each group, by number of the group; empty if the people are not grouped.
    pub groups: Vec<HeldOutLosses>,
}

/// Losses of held-out people, all or those of one group, in the best chart of the training people and in the given
/// chart, in the unit of the [`Loss`].
#[derive(Clone, Debug, Default, PartialEq)]
pub struct HeldOutLosses {
    /// Number of held-out people of the first split, on whom both charts are judged.
    pub held_out: usize,
    /// Mean, over the splits, of the mean loss of the held-out people in the best chart; 0 if nobody was held out.
    pub best_loss: f64,
    /// Mean, over the splits, of the mean loss of the held-out people in the given chart; 0 if nobody was held out.
    pub given_loss: f64,
    /// Gain of each split with held-out people: their mean loss in the given chart minus that in the best chart.
    pub gains: Vec<f64>,
}

impl ChartComparison {
    /// Returns the 95 % interval of the gain of all held-out people or of a group: the mean over the J splits ± t
    /// standard errors, where t is the 97.5 % quantile of Student's t with J − 1 degrees of freedom. `None` if fewer
    /// than two splits have held-out people.
    ///
    /// The squared standard error is the variance of the gains × (1/J + held out/training), and not × 1/J, because the
    /// splits share people (Nadeau and Bengio 2003, Machine Learning 52). At least ten splits are advised.
    pub fn gain_interval(&self, losses: &HeldOutLosses) -> Option<(f64, f64)> {
        let splits = losses.gains.len() as f64;
        let mean = losses.gains.iter().sum::<f64>() / splits;
        let variance = losses.gains.iter().map(|gain| (gain - mean).powi(2)).sum::<f64>() / (splits - 1.0);
        let factor = 1.0 / splits + self.all.held_out as f64 / self.training as f64;
        let half_width = student_quantile_97_5(losses.gains.len().saturating_sub(1)) * (factor * variance).sqrt();
        (losses.gains.len() > 1).then_some((mean - half_width, mean + half_width))
    }
}

/// Splits the people at random into training and held-out people, searches the best chart for the training people, and
/// compares the best chart with the given chart on the held-out people; `splits` times, from 1 to 1000.
///
/// The best chart has the number of sizes of the given chart, and satisfies the constraints of the settings. Each
/// person goes to either part with probability ½, by [`SearchSettings::seed`]. The loss on training people is too
/// optimistic, and the losses of a single split vary by chance. The people of all groups learn one chart together; the
/// losses of each group show whom the charts suit.
///
/// # Errors
/// The problems of [`best_chart`], a number of splits out of range, and groups of a wrong length or out of range. An
/// empty part counts as an empty column.
///
/// ```
/// use kirtle::SizeChart;
/// use kirtle::size_search::{ComparedPeople, Loss, SearchSettings, compare_charts};
/// use kirtle::survey::Population;
///
/// let women = Population::ansur_women().bodies(1, 0..4000)?;
/// let (chart, search) = (SizeChart::demo(), SearchSettings::default());
/// let people = ComparedPeople { waist: &women.waist, hip: &women.hip, ..ComparedPeople::default() };
/// let compared = compare_charts(&chart, &people, &Loss::Absolute, 1, &search)?;
/// assert!(compared.all.best_loss < compared.all.given_loss && compared.training + compared.all.held_out == 4000);
///
/// let people = ComparedPeople { waist: &[86.0], hip: &[102.0], ..ComparedPeople::default() };
/// let problems = compare_charts(&chart, &people, &Loss::Absolute, 1, &search).unwrap_err();
/// assert_eq!(problems[0].to_string(), "waist: 0 numbers are given, at least 1 number needed");
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn compare_charts(
    given: &SizeChart,
    people: &ComparedPeople,
    loss: &Loss,
    splits: usize,
    search: &SearchSettings,
) -> Result<ChartComparison, Problems> {
    let ComparedPeople { waist, hip, weights, groups } = *people;
    let sizes = given.sizes().len();
    let splits_problem = SPLIT_COUNT_FIELD.range_problem("", splits as f64, Unit::Cm);
    let wrong_length = Problem::numbers_per_person_problem("groups", groups.len(), waist.len());
    let group_count = groups.iter().max().map_or(0, |max| max.saturating_add(1));
    let too_many = Problem::too_many_problem("groups", group_count, MAX_GROUPS, "groups");
    let problems = [splits_problem, wrong_length.filter(|_| !groups.is_empty()), too_many];
    SearchInput::new(*people, sizes, loss, search, problems.into_iter().flatten())?;
    let girths = |size: &Size| [size.body.waist, size.body.hip].map(|girth| loss.search_coordinate_of_girth(girth));
    let given: Vec<WaistHip> = given.sizes().iter().map(girths).collect();
    let mut rng = CounterRng::new(search.seed, RandomStream::HeldOutSplit, 0);
    let everybody: Vec<(WaistHip, f64)> = people.girths_and_weights_of_people().collect();
    let of_rows = |column: &[f64], rows: &[usize]| rows.iter().map(|row| column[*row]).collect::<Vec<f64>>();
    let columns_of_rows =
        |rows: &[usize]| (of_rows(waist, rows), of_rows(hip, rows), weights.map(|weights| of_rows(weights, rows)));
    // Losses of all people, then of each group.
    let mut losses = vec![HeldOutLosses::default(); 1 + group_count];
    let (mut first, mut training_loss) = (None, 0.0);
    for split in 0..splits {
        let (training, held_out): (Vec<usize>, Vec<usize>) =
            (0..waist.len()).partition(|_| rng.draw_uniform_0_to_1() < 0.5);
        let (waist, hip, weights) = columns_of_rows(&held_out);
        let columns = ComparedPeople { waist: &waist, hip: &hip, weights: weights.as_deref(), groups: &[] };
        Problems::ok_if_empty(people_column_problems(columns, loss))?;
        let (waist, hip, weights) = columns_of_rows(&training);
        let best = best_chart(&waist, &hip, weights.as_deref(), sizes, loss, search)?;
        let girths = |size: &BestChartSize| [size.waist, size.hip].map(|girth| loss.search_coordinate_of_girth(girth));
        let centres: Vec<WaistHip> = best.sizes.iter().map(girths).collect();
        for (k, losses) in losses.iter_mut().enumerate() {
            let rows = held_out.iter().filter(|row| k == 0 || groups[**row] == k - 1);
            if split == 0 {
                losses.held_out = rows.clone().count();
            }
            let points = WaistHipPoints::merge_people(rows.map(|row| everybody[*row]), loss)?;
            if !points.girths.is_empty() {
                let (best_loss, given_loss) = (points.mean_loss(&centres, loss)?, points.mean_loss(&given, loss)?);
                losses.best_loss += best_loss;
                losses.given_loss += given_loss;
                losses.gains.push(given_loss - best_loss);
            }
        }
        training_loss += best.loss / splits as f64;
        first.get_or_insert((best, training.len()));
    }
    let (best, training) = first.ok_or_else(|| Problem::new(Code::Missing, "splits").with_limit("a split"))?;
    for losses in &mut losses {
        let splits = losses.gains.len().max(1) as f64;
        (losses.best_loss, losses.given_loss) = (losses.best_loss / splits, losses.given_loss / splits);
    }
    Ok(ChartComparison { best, training, training_loss, all: losses.remove(0), groups: losses })
}
