//! People of a survey who are refused: why, and how their girths differ from those of the accepted people.

use std::collections::BTreeMap;

use super::people::{CheckedColumn, PeopleColumns};
use crate::error::Code;

/// Mean girths of some people, in centimetres. Every measured girth counts once, whatever the weight of the person, because a
/// refused person may have no weight.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MeanGirths {
    /// Mean of the waists that are measured; `None` if none is.
    pub waist: Option<f64>,
    /// Mean of the hips that are measured; `None` if none is.
    pub hip: Option<f64>,
}

/// People who are refused for one reason. A person counts once for each of their numbers that is refused.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RefusedPeople {
    /// Number that is refused: `waist`, `hip`, `high_hip`, `high_hip_depth` or `weight`.
    pub field: &'static str,
    /// Why the number is refused: missing (NaN, too), not finite, or out of range.
    pub code: Code,
    /// Number of people.
    pub people: usize,
    /// Mean girths of these people, of what was measured for them: compare [`ChartFit::accepted`](super::ChartFit::accepted).
    pub mean: MeanGirths,
}

/// Number of people, and number and sum of their accepted waists and hips.
#[derive(Default)]
struct Sums {
    people: usize,
    girths: [(usize, f64); 2],
}

impl Sums {
    fn mean(&self) -> MeanGirths {
        let [waist, hip] = self.girths.map(|(count, sum)| (count > 0).then(|| sum / count as f64));
        MeanGirths { waist, hip }
    }
}

/// Returns the mean girths of the accepted people, and the refused people by column, in order, and code.
pub(super) fn refused_people(people: &PeopleColumns, columns: &[CheckedColumn]) -> (MeanGirths, Vec<RefusedPeople>) {
    let (mut accepted, mut refused) = (Sums::default(), BTreeMap::<(usize, &str), (Code, Sums)>::new());
    for row in 0..people.waist.len() {
        let girths = [people.waist[row], people.hip[row]];
        let is_measured = [0, 1].map(|girth: usize| columns[girth].refusal(row).is_none());
        let add = |sums: &mut Sums| {
            sums.people += 1;
            for (sum, girth) in sums.girths.iter_mut().zip(girths).zip(is_measured).filter(|of| of.1).map(|of| of.0) {
                *sum = (sum.0 + 1, sum.1 + girth);
            }
        };
        let mut is_accepted = true;
        for (index, column) in columns.iter().enumerate() {
            if let Some(code) = column.refusal(row) {
                add(&mut refused.entry((index, code.name())).or_insert((code, Sums::default())).1);
                is_accepted = false;
            }
        }
        if is_accepted {
            add(&mut accepted);
        }
    }
    let reason = |((index, _), (code, sums)): (_, (Code, Sums))| {
        let index: usize = index;
        RefusedPeople { field: columns[index].name, code, people: sums.people, mean: sums.mean() }
    };
    (accepted.mean(), refused.into_iter().map(|((index, name), value)| reason(((index, name), value))).collect())
}
