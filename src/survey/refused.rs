//! Refused people of a survey: their numbers and mean girths by reason, and the mean girths of the accepted.

use std::collections::BTreeMap;

use super::people::refusal_code_of_row;
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

/// Number and mean girths of the people refused for one reason. A person counts once for each refused number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RefusedPeople {
    /// Column of the refused number: `waist`, `hip`, `high_hip`, `high_hip_depth` or `weight`.
    pub field: &'static str,
    /// Error code: [`Missing`](Code::Missing) (NaN), [`NotFinite`](Code::NotFinite), or below or above the range.
    pub code: Code,
    /// Number of people refused for this reason.
    pub people: usize,
    /// Means of the accepted girths of these people; compare [`ChartFit::accepted`](super::ChartFit::accepted).
    pub mean: MeanGirths,
}

/// Returns the mean girths of the accepted people, and for each reason the number and mean girths of the people
/// refused, sorted by column, then by name of error code. A girth without a column in `columns` has no mean.
pub(crate) fn accepted_means_and_refusals(columns: &[(Field, &[f64])]) -> (MeanGirths, Vec<RefusedPeople>) {
    let (mut accepted, mut refused) = (Vec::new(), BTreeMap::<(usize, &str), (Code, Vec<usize>)>::new());
    for row in 0..columns.first().map_or(0, |(_, values)| values.len()) {
        let codes = columns.iter().map(|column| refusal_code_of_row(column, row)).enumerate();
        let mut codes = codes.filter_map(|(index, code)| Some((index, code?))).peekable();
        if codes.peek().is_none() {
            accepted.push(row);
        }
        codes.for_each(|(index, code)| refused.entry((index, code.name())).or_insert((code, vec![])).1.push(row));
    }
    let mean_girth = |name: &str, rows: &[usize]| {
        let column = columns.iter().find(|(field, _)| field.name == name)?;
        let measured = rows.iter().filter(|row| refusal_code_of_row(column, **row).is_none());
        let (count, sum) = measured.fold((0, 0.0), |(count, sum), row| (count + 1, sum + column.1[*row]));
        (count > 0).then(|| sum / f64::from(count))
    };
    let mean_girths = |rows: &[usize]| MeanGirths { waist: mean_girth("waist", rows), hip: mean_girth("hip", rows) };
    let refused = refused.into_iter().map(|((index, _), (code, rows))| {
        let (field, mean) = (columns[index].0.name, mean_girths(&rows));
        RefusedPeople { field, code, people: rows.len(), mean }
    });
    (mean_girths(&accepted), refused.collect())
}
