//! People of a survey who are refused: why, and how their girths differ from those of the accepted people.

use std::collections::BTreeMap;

use super::people::{PERSON_FIELDS, PeopleColumns, RangedColumn};
use crate::error::Code;
use crate::field::Field;

/// Mean girths of some people, in centimetres. The means are unweighted, because a refused person may have no sampling
/// weight. A girth that is missing or out of range does not count.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MeanGirths {
    /// Mean of the accepted waists in centimetres, unweighted; `None` if there is no accepted waist.
    pub waist: Option<f64>,
    /// Mean of the accepted hips in centimetres, unweighted; `None` if there is no accepted hip.
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
    /// Means of the accepted girths of these people; compare [`ChartFit::accepted`](super::ChartFit::accepted).
    pub mean: MeanGirths,
}

/// Returns the mean girths of the accepted people, and for each reason the number and mean girths of the people
/// refused, sorted by column, then by name of error code. A girth without a column in `columns` has no mean.
pub(crate) fn accepted_means_and_refusals(
    people: &PeopleColumns,
    columns: &[RangedColumn],
) -> (MeanGirths, Vec<RefusedPeople>) {
    let (mut accepted, mut refused) = (Vec::new(), BTreeMap::<(usize, &str), (Code, Vec<usize>)>::new());
    for row in 0..people.waist.len().max(people.hip.len()) {
        let codes = columns.iter().map(|column| column.refusal_code_of_row(row)).enumerate();
        let mut codes = codes.filter_map(|(index, code)| Some((index, code?))).peekable();
        if codes.peek().is_none() {
            accepted.push(row);
        }
        codes.for_each(|(index, code)| refused.entry((index, code.name())).or_insert((code, vec![])).1.push(row));
    }
    let mean_girth = |field: &Field, rows: &[usize]| {
        let column = columns.iter().find(|column| column.name == field.name)?;
        let measured = rows.iter().filter(|row| column.refusal_code_of_row(**row).is_none());
        let (count, sum) = measured.fold((0, 0.0), |(count, sum), row| (count + 1, sum + column.values[*row]));
        (count > 0).then(|| sum / f64::from(count))
    };
    let mean_girths = |rows: &[usize]| MeanGirths {
        waist: mean_girth(&PERSON_FIELDS[0], rows),
        hip: mean_girth(&PERSON_FIELDS[1], rows),
    };
    let reason = |((index, _), (code, rows)): ((usize, _), (Code, Vec<usize>))| RefusedPeople {
        field: columns[index].name,
        code,
        people: rows.len(),
        mean: mean_girths(&rows),
    };
    (mean_girths(&accepted), refused.into_iter().map(reason).collect())
}
