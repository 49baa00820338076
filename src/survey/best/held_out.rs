//! The best chart of one half of the people beside a given chart, on the other half.

use super::loss::Loss;
use super::plane::{BestChart, SearchSettings, best_chart, wrong_people, wrong_plane};
use super::points::{Place, Points};
use crate::error::Problems;
use crate::sizes::SizeChart;
use crate::survey::draws::{Draws, Stream};

/// Two charts on people by whom neither was made.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartComparison {
    /// The best chart of the people it was sought for.
    pub best: BestChart,
    /// How many people it was sought for.
    pub learnt: usize,
    /// How many people were held out.
    pub held_out: usize,
    /// The mean loss of the held-out people in the best chart.
    pub best_loss: f64,
    /// The mean loss of the held-out people in the given chart.
    pub given_loss: f64,
}

/// Parts the people in two by draws from the seed, one a row, seeks the best chart of as many sizes as the given one for
/// the one part, and compares the two on the other.
///
/// A loss on the people by whom a chart was made flatters it; on held-out people it does not.
///
/// # Errors
/// As [`best_chart`]; a part without people is one without values.
///
/// ```
/// use kirtle::SizeChart;
/// use kirtle::survey::{Loss, Population, SearchSettings, compare_charts};
///
/// let women = Population::ansur_women().bodies(1, 0..4000)?;
/// let (chart, search) = (SizeChart::demo(), SearchSettings::default());
/// let compared = compare_charts(&chart, &women.waist, &women.hip, &Loss::Absolute, &search)?;
/// assert!(compared.best_loss < compared.given_loss && compared.learnt + compared.held_out == 4000);
///
/// let problems = compare_charts(&chart, &[86.0], &[102.0], &Loss::Absolute, &search).unwrap_err();
/// assert_eq!(problems[0].to_string(), "waist: 0 numbers are given; the least is 1 number");
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
    let mut problems = wrong_plane(waist, hip, sizes, loss);
    problems.extend(search.problems());
    Problems::ok_if_empty(problems)?;
    let mut draws = Draws::from(search.seed, Stream::Parts, 0);
    let [mut learnt, mut held_out] = [(); 2].map(|()| (Vec::new(), Vec::new()));
    for (waist, hip) in waist.iter().zip(hip) {
        let part = if draws.uniform() < 0.5 { &mut learnt } else { &mut held_out };
        part.0.push(*waist);
        part.1.push(*hip);
    }
    Problems::ok_if_empty(wrong_people(&held_out.0, &held_out.1, loss))?;
    let best = best_chart(&learnt.0, &learnt.1, sizes, loss, search)?;
    let people = Points::people(&held_out.0, &held_out.1, loss);
    let mean = |girths: &mut dyn Iterator<Item = [f64; 2]>| {
        let centres: Vec<Place> = girths.map(|girths| girths.map(|girth| loss.scaled(girth))).collect();
        people.assign(&centres, loss).1
    };
    let best_loss = mean(&mut best.sizes.iter().map(|size| [size.waist, size.hip]));
    let given_loss = mean(&mut given.sizes().iter().map(|size| [size.body.waist, size.body.hip]));
    Ok(ChartComparison { best, learnt: learnt.0.len(), held_out: held_out.0.len(), best_loss, given_loss })
}
