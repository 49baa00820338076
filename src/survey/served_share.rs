//! Shares of people served, of all people and by group, with standard errors from replicates of the weights; and the
//! comparison of the shares of two charts.
//!
//! A replicate is a second set of weights for the same people. The variance of a share is a factor times the sum, over
//! the replicates, of the squared difference between the share with the replicate's weights and the share with the
//! survey's own weights. A replicate that gives no weight to a group is left out for this group.

use super::chart_fit::{AssignedSize, ChartFit};
use super::people::{PeopleColumns, share_of_weight};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, SAMPLING_WEIGHT_FIELD, Unit};
use crate::interrupt::count_interruptible_work;
use crate::random::{CounterRng, RandomStream};
use crate::student_t::student_quantile_97_5;

const REPLICATE_COUNT_FIELD: Field = Field::new("bootstrap", "", FieldKind::Ratio, (2.0, 10_000.0));

/// Factor that converts the sum of squared differences to the variance.
const VARIANCE_FACTOR_FIELD: Field = Field::new("replicate_factor", "", FieldKind::Ratio, (1e-9, 1e3));

const DEGREES_OF_FREEDOM_FIELD: Field = Field::new("degrees_of_freedom", "", FieldKind::Ratio, (1.0, 10_000.0));

/// Replicates of a survey's weights, from which the standard errors of shares are computed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Replicates<'a> {
    /// Bootstrap (Efron 1979): each replicate draws n of the n measured people with replacement. The variance is the
    /// mean, over the replicates, of the squared difference between the share in the replicate and the share in the
    /// survey. For simple random samples, with or without weights; a design with strata or clusters needs
    /// [`Weights`](Self::Weights).
    Bootstrap {
        /// Number of replicates, from 2 to 10,000.
        count: usize,
        /// Seed of the draws. With one seed, a larger count repeats the replicates of a smaller count, then adds
        /// others.
        seed: u64,
    },
    /// Replicate weights published with the survey.
    Weights {
        /// One column for each replicate, with a weight from 0 to 10⁹ for each person.
        columns: &'a [Vec<f64>],
        /// Factor, from 10⁻⁹ to 1,000, that converts the sum of the squared differences between replicates and survey
        /// to the variance of a share. With R replicates: 1/R for balanced repeated replication and bootstrap weights,
        /// 1/(R (1 − k)²) with Fay's coefficient k, (R − 1)/R for an unstratified jackknife.
        factor: f64,
        /// Degrees of freedom of the variance, from 1 to 10,000, such as the number of clusters minus the number of
        /// strata; `None` for the number of replicates.
        degrees_of_freedom: Option<usize>,
    },
}

impl<'a> Replicates<'a> {
    /// Builds replicates from the arguments: a number of bootstrap replicates with a seed, or replicate weights with a
    /// factor, and perhaps degrees of freedom; `None` without either.
    ///
    /// # Errors
    /// All [`Problems`]: both kinds, or weights without a factor, or a factor or degrees of freedom without weights.
    ///
    /// ```
    /// use kirtle::survey::Replicates;
    ///
    /// assert_eq!(Replicates::from_bootstrap_or_weights(Some(200), 1, None, None, None)?, Some(Replicates::Bootstrap { count: 200, seed: 1 }));
    /// assert_eq!(Replicates::from_bootstrap_or_weights(None, 1, None, None, None)?, None);
    ///
    /// let problems = Replicates::from_bootstrap_or_weights(None, 1, Some(&[vec![1.0, 0.0]]), None, None).unwrap_err();
    /// assert_eq!(problems.to_string(), "replicate_factor: missing: give a number from 0.000000001 to 1000");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn from_bootstrap_or_weights(
        bootstrap: Option<usize>,
        seed: u64,
        columns: Option<&'a [Vec<f64>]>,
        factor: Option<f64>,
        degrees_of_freedom: Option<usize>,
    ) -> Result<Option<Self>, Problems> {
        let problem = |code, field, limit: &str| Err(Problem::new(code, field).with_limit(limit).into());
        let factors = VARIANCE_FACTOR_FIELD.range_text(Unit::Cm);
        match (bootstrap, columns, factor) {
            (_, None, _) if degrees_of_freedom.is_some() => problem(Code::Missing, "replicates", "replicate weights"),
            (None, None, None) => Ok(None),
            (Some(count), None, None) => Ok(Some(Self::Bootstrap { count, seed })),
            (None, Some(columns), Some(factor)) => Ok(Some(Self::Weights { columns, factor, degrees_of_freedom })),
            (Some(_), Some(_), _) => problem(Code::Conflict, "bootstrap", "replicates"),
            (Some(_), None, Some(_)) => problem(Code::Conflict, "bootstrap", "replicate_factor"),
            (None, Some(_), None) => problem(Code::Missing, VARIANCE_FACTOR_FIELD.name, &factors),
            (None, None, Some(_)) => problem(Code::Missing, "replicates", "replicate weights"),
        }
    }

    /// Returns the number of replicates, and the factor that converts the sum of the squared differences between
    /// replicates and survey to the variance of a share.
    fn replicate_count_and_variance_factor(&self) -> (usize, f64) {
        match self {
            Self::Bootstrap { count, .. } => (*count, 1.0 / *count as f64),
            Self::Weights { columns, factor, .. } => (columns.len(), *factor),
        }
    }

    /// Returns row and weight pairs of one replicate, with rows from `measured`; a bootstrap repeats and omits rows.
    fn weighted_rows_of_replicate(&self, k: usize, measured: &[usize], people: &PeopleColumns) -> Vec<(usize, f64)> {
        match self {
            Self::Weights { columns, .. } => measured.iter().map(|row| (*row, columns[k][*row])).collect(),
            Self::Bootstrap { seed, .. } => {
                let first = k as u128 * measured.len() as u128;
                let mut rng = CounterRng::new(*seed, RandomStream::Replicates, first);
                let draw = |_| measured[rng.draw_index(measured.len())];
                measured.iter().map(draw).map(|row| (row, people.weight_of_row(row))).collect()
            }
        }
    }

    /// Returns the problems of the replicates: count, factor or a weight out of range, or columns of a wrong length.
    fn replicate_problems(&self, person_count: usize) -> Vec<Problem> {
        let (count, _) = self.replicate_count_and_variance_factor();
        let count = REPLICATE_COUNT_FIELD.range_problem("", count as f64, Unit::Cm);
        let Self::Weights { columns, factor, degrees_of_freedom } = self else { return count.into_iter().collect() };
        let count = count.map(|problem| problem.with_field_path("replicates".to_owned()));
        let column_problem = |(k, column): (usize, &Vec<f64>)| {
            let path = format!("replicates[{k}]");
            let length = Problem::numbers_per_person_problem(&path, column.len(), person_count);
            length.or_else(|| SAMPLING_WEIGHT_FIELD.first_range_problem(&path, column))
        };
        let columns = columns.iter().enumerate().filter_map(column_problem);
        let factor = VARIANCE_FACTOR_FIELD.range_problem("", *factor, Unit::Cm);
        let degrees = degrees_of_freedom.and_then(|of| DEGREES_OF_FREEDOM_FIELD.range_problem("", of as f64, Unit::Cm));
        [count, factor, degrees].into_iter().flatten().chain(columns).collect()
    }
}

/// Number of people in a group, or of all people, and the share of the measured ones whom a chart serves.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct ServedShare {
    /// Number of people, measured and unmeasured.
    pub count: usize,
    /// Number of people without a size, because a measurement or a weight is missing or out of range.
    pub unmeasured: usize,
    /// Number of people served, unweighted.
    pub served: usize,
    /// Share of the measured people, by weight, who are served, from 0 to 1; `None` if nobody is measured or all
    /// weights are 0.
    pub share: Option<f64>,
    /// Effective number of measured people by Kish (1965): (Σ weight)² / Σ weight²; without weights, their number.
    pub effective_count: f64,
    /// Standard error of the share; `None` without a replicate that has weight, or without a share.
    pub standard_error: Option<f64>,
    /// Share in each replicate; `None` for a replicate without weight. Empty without replicates.
    pub replicate_shares: Vec<Option<f64>>,
    /// Factor that converts the sum of squared differences between replicates and survey to the variance.
    pub variance_factor: f64,
    /// Degrees of freedom of the variance: as given, or the number of replicates with weight; 0 without replicates.
    pub degrees_of_freedom: usize,
}

impl ServedShare {
    /// Returns the 95 % score interval of the share (Wilson 1927), with the 97.5 % quantile of Student's t instead of
    /// that of the normal distribution; `None` without a standard error.
    ///
    /// The number of people in the formula is the one at which a simple random sample has the standard error (Korn and
    /// Graubard 1998). Where the standard error is 0 or rounding, as for a share of 0 or 1, the number is the effective
    /// count.
    pub fn interval(&self) -> Option<(f64, f64)> {
        let (share, error) = (self.share?, self.standard_error?);
        let spread = share * (1.0 - share);
        let count = if spread > 0.0 && error > 1e-9 { spread / (error * error) } else { self.effective_count };
        let square = student_quantile_97_5(self.degrees_of_freedom).powi(2) / count;
        let half_width = (square * (spread + square / 4.0)).sqrt();
        let end = |half_width: f64| ((share + square / 2.0 + half_width) / (1.0 + square)).clamp(0.0, 1.0);
        Some((end(-half_width), end(half_width)))
    }
}

impl ChartFit {
    /// Returns the shares of people served: first of all people, then of each group. `people` must be the people of
    /// this fit; `groups` has the index, from 0, of each person's group, or is empty.
    ///
    /// # Errors
    /// All [`Problems`]: a number of people or groups that differs from this fit; fewer than 2 or more than 10,000
    /// replicates; a factor or a replicate weight out of range.
    ///
    /// ```
    /// use kirtle::{Ease, Rules, SizeChart};
    /// use kirtle::survey::{EaseBounds, PeopleColumns, Replicates, fit_chart};
    ///
    /// let ease = Ease { waist: 1.5, hip: 5.0 };
    /// let weight = Some(&[1.0, 2.0, 1.0][..]);
    /// let people = PeopleColumns { waist: &[73.0, 74.0, 76.0], hip: &[97.0, 99.0, 108.0], weight, ..PeopleColumns::default() };
    /// let bounds = EaseBounds::from_ease_and_tolerance(&ease, 2.0);
    /// let fit = fit_chart(&SizeChart::demo(), &ease, &Rules::default(), &bounds, &people)?;
    /// // A jackknife: each replicate leaves one person out.
    /// let columns = [vec![0.0, 3.0, 1.5], vec![1.5, 0.0, 1.5], vec![1.5, 3.0, 0.0]];
    /// let jackknife = Replicates::Weights { columns: &columns, factor: 2.0 / 3.0, degrees_of_freedom: None };
    /// let shares = fit.served_shares(&people, &[0, 1, 1], Some(&jackknife))?;
    /// let [all, first, second] = &shares[..] else { panic!() };
    /// assert_eq!((all.share, first.share, second.share), (Some(0.75), Some(1.0), Some(2.0 / 3.0)));
    /// let squares = [2.0 / 3.0, 0.5, 1.0].map(|share| (share - 0.75) * (share - 0.75));
    /// assert_eq!(all.standard_error, Some((2.0 / 3.0 * squares.iter().sum::<f64>()).sqrt()));
    ///
    /// let problems = fit.served_shares(&people, &[], Some(&Replicates::Bootstrap { count: 1, seed: 0 })).unwrap_err();
    /// assert_eq!(problems.to_string(), "bootstrap: 1 is below the minimum of 2");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn served_shares(
        &self,
        people: &PeopleColumns,
        groups: &[usize],
        replicates: Option<&Replicates>,
    ) -> Result<Vec<ServedShare>, Problems> {
        let mut problems = people.column_length_problems();
        problems.extend(Problem::numbers_per_person_problem("people.waist", people.waist.len(), self.count()));
        let group_count = if groups.is_empty() { self.count() } else { groups.len() };
        problems.extend(Problem::numbers_per_person_problem("groups", group_count, self.count()));
        problems.extend(replicates.into_iter().flat_map(|replicates| replicates.replicate_problems(self.count())));
        Problems::ok_if_empty(problems)?;
        let mut shares = vec![ServedShare::default(); 1 + groups.iter().max().map_or(0, |group| group + 1)];
        for (row, fit) in self.by_person.iter().enumerate() {
            for index in share_indices_of_person(row, groups) {
                shares[index].count += 1;
                shares[index].unmeasured += usize::from(fit.is_none());
                shares[index].served += usize::from(fit.is_some_and(|fit| fit.serves()));
            }
        }
        let measured = || (0..self.count()).filter(|row| self.by_person[*row].is_some());
        let own = measured().map(|row| (row, people.weight_of_row(row)));
        let own = self.group_sums_of_weights(own, groups, shares.len());
        for (share, [served, weight, squares]) in shares.iter_mut().zip(own) {
            share.share = share_of_weight(served, weight);
            share.effective_count = share_of_weight(weight * weight, squares).unwrap_or(0.0);
        }
        let measured: Vec<usize> = replicates.iter().flat_map(|_| measured()).collect();
        let (count, factor) = replicates.map_or((0, 0.0), Replicates::replicate_count_and_variance_factor);
        for (replicate, replicates) in replicates.into_iter().flat_map(|of| (0..count).map(move |k| (k, of))) {
            count_interruptible_work(20 * measured.len())?;
            let weights = replicates.weighted_rows_of_replicate(replicate, &measured, people);
            let sums = self.group_sums_of_weights(weights.into_iter(), groups, shares.len());
            for (share, [served, weight, _]) in shares.iter_mut().zip(sums) {
                share.replicate_shares.push(share_of_weight(served, weight));
            }
        }
        for share in &mut shares {
            share.variance_factor = factor;
            share.degrees_of_freedom = match replicates {
                Some(Replicates::Weights { degrees_of_freedom: Some(given), .. }) => *given,
                _ => share.replicate_shares.iter().flatten().count(),
            };
            share.standard_error = standard_error(share.share, share.replicate_shares.iter().copied(), factor);
        }
        Ok(shares)
    }

    /// Returns sums over `rows`, pairs of row and weight: `[weights of the served, weights, squared weights]`, first for
    /// everybody, then for each group.
    fn group_sums_of_weights(
        &self,
        rows: impl Iterator<Item = (usize, f64)>,
        groups: &[usize],
        share_count: usize,
    ) -> Vec<[f64; 3]> {
        let mut sums = vec![[0.0; 3]; share_count];
        for (row, weight) in rows {
            let is_served = self.by_person[row].as_ref().is_some_and(AssignedSize::serves);
            for index in share_indices_of_person(row, groups) {
                let terms = [if is_served { weight } else { 0.0 }, weight, weight * weight];
                sums[index].iter_mut().zip(terms).for_each(|(sum, term)| *sum += term);
            }
        }
        sums
    }
}

/// Returns the indices of the shares in which a person counts: 0, and with groups 1 + the group's index.
fn share_indices_of_person(row: usize, groups: &[usize]) -> impl Iterator<Item = usize> + use<> {
    std::iter::once(0).chain(groups.get(row).map(|group| group + 1))
}

/// Returns √(factor × Σ (replicate − survey)²), the standard error of a number of a survey from its replicates, without
/// those that lack the number; `None` if the survey or all replicates lack the number.
fn standard_error(survey: Option<f64>, replicates: impl Iterator<Item = Option<f64>>, factor: f64) -> Option<f64> {
    let survey = survey?;
    let squares = replicates.flatten().map(|replicate| (replicate - survey).powi(2));
    squares.reduce(|sum, square| sum + square).map(|sum| (factor * sum).sqrt())
}

/// Fit of a chart, the people of the fit, and the share of all people whom the chart serves.
pub type FitOfPeople<'a> = (&'a ChartFit, PeopleColumns<'a>, &'a ServedShare);

/// Comparison of two fits of the same people: numbers of people, unweighted, whom the chart of each serves, and the
/// difference of the shares, by weight.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "python", pyo3::pyclass(frozen, get_all, eq, module = "kirtle"))]
pub struct FitComparison {
    /// Number of people whom both charts serve.
    pub both: usize,
    /// Number of people whom only the first chart serves.
    pub only_first: usize,
    /// Number of people whom only the second chart serves.
    pub only_second: usize,
    /// Number of measured people whom neither chart serves.
    pub neither: usize,
    /// Share served by the second chart minus share served by the first, by weight; null if nobody is measured.
    pub difference: Option<f64>,
    /// Standard error of the difference from the replicates, each of which gives both fits the same weights; null
    /// without replicates.
    pub standard_error: Option<f64>,
    /// 95 % interval of the difference: ± t standard errors, by Student's t; null without replicates.
    pub interval: Option<(f64, f64)>,
}

/// Compares whom two charts serve among the same people. The replicates of both shares must be the same: equal weights,
/// or a bootstrap with one seed.
///
/// # Errors
/// [`Code::Conflict`] for fits of other people: with another girth, weight or person refused.
///
/// ```
/// use kirtle::{Ease, Rules, SizeChart};
/// use kirtle::survey::{EaseBounds, PeopleColumns, Replicates, compare_fits, fit_chart};
///
/// let (chart, ease) = (SizeChart::demo(), Ease { waist: 1.5, hip: 5.0 });
/// let people = PeopleColumns { waist: &[73.0, 74.0, 76.0], hip: &[97.0, 99.0, 108.0], ..PeopleColumns::default() };
/// let fit = |tolerance: f64, seed: u64| {
///     let bounds = EaseBounds::from_ease_and_tolerance(&ease, tolerance);
///     let fit = fit_chart(&chart, &ease, &Rules::default(), &bounds, &people)?;
///     let shares = fit.served_shares(&people, &[], Some(&Replicates::Bootstrap { count: 100, seed }))?;
///     Ok::<_, kirtle::Problems>((fit, shares))
/// };
/// let (narrow, wide) = (fit(1.0, 7)?, fit(4.0, 7)?);
/// let compared = compare_fits([(&narrow.0, people, &narrow.1[0]), (&wide.0, people, &wide.1[0])])?;
/// assert_eq!((compared.both, compared.only_first, compared.only_second, compared.neither), (1, 0, 2, 0));
/// assert_eq!(compared.difference, Some(1.0 - 1.0 / 3.0));
///
/// let fewer = PeopleColumns { waist: &people.waist[1..], hip: &people.hip[1..], ..people };
/// let other = fit_chart(&chart, &ease, &Rules::default(), &EaseBounds::from_ease_and_tolerance(&ease, 1.0), &fewer)?;
/// let problems = compare_fits([(&narrow.0, people, &narrow.1[0]), (&other, fewer, &narrow.1[0])]).unwrap_err();
/// assert_eq!(problems.to_string(), "second: cannot be given together with first, a fit of other people");
/// # Ok::<(), kirtle::Problems>(())
/// ```
pub fn compare_fits([first, second]: [FitOfPeople; 2]) -> Result<FitComparison, Problems> {
    let has_equal_lengths =
        |(fit, people, _): FitOfPeople| people.waist.len() == fit.count() && people.column_length_problems().is_empty();
    let numbers_and_served = |(fit, people, _): FitOfPeople, row: usize| {
        let numbers = [people.waist[row], people.hip[row], people.weight_of_row(row)].map(f64::to_bits);
        fit.by_person[row].map(|size| (numbers, size.serves()))
    };
    let mut counts = [[0; 2]; 2];
    let count_same_person = |row| match (numbers_and_served(first, row), numbers_and_served(second, row)) {
        (Some((numbers, by_first)), Some((others, by_second))) => {
            counts[usize::from(by_first)][usize::from(by_second)] += 1;
            numbers == others
        }
        (first, second) => first == second,
    };
    let people = first.0.count();
    let are_same = people == second.0.count() && [first, second].into_iter().all(has_equal_lengths);
    if !are_same || !(0..people).all(count_same_person) {
        return Err(Problem::new(Code::Conflict, "second").with_limit("first, a fit of other people").into());
    }
    let subtract = |(second, first): (&Option<f64>, &Option<f64>)| Some((*second)? - (*first)?);
    let difference = subtract((&second.2.share, &first.2.share));
    let by_replicate = second.2.replicate_shares.iter().zip(&first.2.replicate_shares).map(subtract);
    let standard_error = standard_error(difference, by_replicate, first.2.variance_factor);
    let half_width = standard_error.map(|error| student_quantile_97_5(first.2.degrees_of_freedom) * error);
    let interval = difference.zip(half_width).map(|(mean, half)| ((mean - half).max(-1.0), (mean + half).min(1.0)));
    let [[neither, only_second], [only_first, both]] = counts;
    Ok(FitComparison { both, only_first, only_second, neither, difference, standard_error, interval })
}
