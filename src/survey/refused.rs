//! People of a survey who are refused: why, and how their girths differ from those of the accepted people.

use std::collections::BTreeMap;

use super::people::{PERSON_FIELDS, PeopleColumns, RangedColumn};
use crate::error::Code;
use crate::field::Field;

/// Mean girths of some people, in centimetres, without sampling weights, because a refused person may have no weight. A girth
/// that is missing or out of range does not count.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MeanGirths {
    /// Mean of the accepted waists; `None` if there is no accepted waist.
    pub waist: Option<f64>,
    /// Mean of the accepted hips; `None` if there is no accepted hip.
    pub hip: Option<f64>,
}

/// Number and mean girths of the people refused for one reason. A person with several refused numbers counts once for
/// each number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RefusedPeople {
    /// Column of the refused number: `waist`, `hip`, `high_hip`, `high_hip_depth` or `weight`.
    pub field: &'static str,
    /// Error code: [`Missing`](Code::Missing) (NaN), [`NotFinite`](Code::NotFinite), or below or above the accepted range.
    pub code: Code,
    /// Number of people refused for this reason.
    pub people: usize,
    /// Means of the girths of these people that are accepted; compare
    /// [`ChartFit::accepted`](super::ChartFit::accepted).
    pub mean: MeanGirths,
}

/// Number of some people; count and sum, in centimetres, of their accepted waists, and of their accepted hips.
#[derive(Default)]
struct GirthSums {
    people: usize,
    girths: [(usize, f64); 2],
}

impl GirthSums {
    fn mean_girths(&self) -> MeanGirths {
        let [waist, hip] = self.girths.map(|(count, sum)| (count > 0).then(|| sum / count as f64));
        MeanGirths { waist, hip }
    }
}

/// Returns the mean girths of the accepted people, and for each reason the number and mean girths of the people
/// refused, sorted by column, then by name of error code. A girth without a column in `columns` has no mean.
pub(crate) fn count_refused_people(
    people: &PeopleColumns,
    columns: &[RangedColumn],
) -> (MeanGirths, Vec<RefusedPeople>) {
    let (mut accepted, mut refused) = (GirthSums::default(), BTreeMap::<(usize, &str), (Code, GirthSums)>::new());
    let girth_column = |field: &Field| columns.iter().find(|column| column.name == field.name);
    let girth_columns = [girth_column(&PERSON_FIELDS[0]), girth_column(&PERSON_FIELDS[1])];
    for row in 0..people.waist.len().max(people.hip.len()) {
        let is_measured =
            girth_columns.map(|column| column.is_some_and(|column| column.refusal_code_of_row(row).is_none()));
        let girths = girth_columns.map(|column| column.map_or(f64::NAN, |column| column.value(row)));
        let add = |sums: &mut GirthSums| {
            sums.people += 1;
            for (sum, girth) in sums.girths.iter_mut().zip(girths).zip(is_measured).filter(|of| of.1).map(|of| of.0) {
                *sum = (sum.0 + 1, sum.1 + girth);
            }
        };
        let mut is_accepted = true;
        for (index, column) in columns.iter().enumerate() {
            if let Some(code) = column.refusal_code_of_row(row) {
                add(&mut refused.entry((index, code.name())).or_insert((code, GirthSums::default())).1);
                is_accepted = false;
            }
        }
        if is_accepted {
            add(&mut accepted);
        }
    }
    let reason = |((index, _), (code, sums)): ((usize, _), (Code, GirthSums))| RefusedPeople {
        field: columns[index].name,
        code,
        people: sums.people,
        mean: sums.mean_girths(),
    };
    (accepted.mean_girths(), refused.into_iter().map(reason).collect())
}
