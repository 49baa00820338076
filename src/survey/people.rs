//! Measured girths of people as columns, with one number for each person, the reason why a number is refused, and
//! means of the accepted and of the refused people. Lengths are centimetres.

use std::collections::BTreeMap;

use crate::body::Body;
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, SAMPLING_WEIGHT_FIELD, Unit};

/// Measured girths of people, in centimetres: one column per measurement, one row per person.
#[derive(Clone, Copy, Debug, Default)]
pub struct PeopleColumns<'a> {
    /// Waist girths, within the range of the waist in [`Body::FIELDS`]; NaN for a missing measurement.
    pub waist: &'a [f64],
    /// Hip girths, within the range of the hip in [`Body::FIELDS`]; NaN for a missing measurement.
    pub hip: &'a [f64],
    /// High-hip measurements; `None` if the high hip is not to be judged.
    pub high_hip: Option<HighHipColumns<'a>>,
    /// Sampling weights: for each person, the number of people for whom the person stands, from 0 to 10⁹; `None` if
    /// each person stands for one. A person of weight 0 is counted among the people, but changes no share and no mean.
    pub weight: Option<&'a [f64]>,
    /// Hip depths, within the range of the hip depth in [`Body::FIELDS`]; NaN for a missing measurement; `None` if they
    /// have no effect.
    pub hip_depth: Option<&'a [f64]>,
}

/// High-hip girths of people with the depth at which each was measured, in centimetres: one row per person.
#[derive(Clone, Copy, Debug)]
pub struct HighHipColumns<'a> {
    /// High-hip girths, from 40 to 220 cm; NaN for a missing measurement.
    pub girth: &'a [f64],
    /// Depth of each high-hip measurement below the waist at the side: from 0 to the chart's shortest skirt length; NaN
    /// for a missing depth.
    pub depth: &'a [f64],
}

/// Definition of each column of [`PeopleColumns`], with the accepted range: three girths, a depth, a sampling
/// weight and the hip depth.
pub(crate) const PERSON_FIELDS: [Field; 6] = [
    Body::FIELDS[0],
    Body::FIELDS[1],
    Field::new("high_hip", "Girth at the high hip, between waist and hip line.", FieldKind::Length, (40.0, 220.0)),
    Field::new("high_hip_depth", "Depth of the high hip below the waist.", FieldKind::Length, (0.0, 150.0)),
    SAMPLING_WEIGHT_FIELD,
    Body::FIELDS[2],
];

impl<'a> PeopleColumns<'a> {
    /// Checks that the girths, converted from `unit` to centimetres, were really given in `unit`: not in millimetres
    /// that were taken for centimetres, for example.
    ///
    /// # Errors
    /// All [`Problems`]: [`Code::WrongUnit`] for each girth of which more than half of the numbers are out of range,
    /// but would be in range if they had been given in another unit.
    ///
    /// ```
    /// use kirtle::Unit;
    /// use kirtle::survey::PeopleColumns;
    ///
    /// let people = PeopleColumns { waist: &[73.0, 999.0, 81.0], hip: &[97.0, 104.0, -9.0], ..PeopleColumns::default() };
    /// assert!(people.check_unit(Unit::Cm).is_ok());
    ///
    /// let people = PeopleColumns { waist: &[730.0, 999.0, 810.0], ..people };
    /// let problem = "people.waist: 3 of 3 numbers are out of range in cm: give unit=\"mm\"";
    /// assert_eq!(people.check_unit(Unit::Cm).unwrap_err().to_string(), problem);
    /// ```
    pub fn check_unit(&self, unit: Unit) -> Result<(), Problems> {
        let problem = |(field, column): (Field, &[f64])| {
            let (min, max) = field.range;
            let numbers = column.iter().filter(|number| number.is_finite()).count();
            let count_in_unit = |other: Unit| {
                let cm = |number: &f64| FieldKind::Length.convert_unit(unit.length_from_cm(*number), other, Unit::Cm);
                column.iter().filter(|number| (min..=max).contains(&cm(number))).count()
            };
            let accepted = count_in_unit(unit);
            let other = || Unit::ALL.into_iter().find(|other| 2 * count_in_unit(*other) > numbers);
            let other = (2 * accepted < numbers).then(other)??;
            let (refused, unit) = (numbers - accepted, unit.name());
            let value = format!("{refused} of {numbers} numbers are out of range in {unit}");
            let path = format!("people.{}", field.name);
            Some(Problem::new(Code::WrongUnit, path).with_value(value).with_limit(format!("{:?}", other.name())))
        };
        let girths =
            self.columns(f64::INFINITY).filter(|(field, _)| field.kind == FieldKind::Length && field.range.0 > 0.0);
        Problems::ok_if_empty(girths.filter_map(problem))
    }

    /// Iterates over the columns that are given, each with its definition, in the order of [`PERSON_FIELDS`]; a high
    /// hip may be at most `max_depth` centimetres below the waist.
    pub(crate) fn columns(&self, max_depth: f64) -> impl Iterator<Item = (Field, &'a [f64])> {
        let (girth, depth) = self.high_hip.map(|high_hip| (high_hip.girth, high_hip.depth)).unzip();
        let columns = [Some(self.waist), Some(self.hip), girth, depth, self.weight, self.hip_depth];
        let mut fields = PERSON_FIELDS;
        fields[3].range.1 = max_depth.min(fields[3].range.1);
        fields.into_iter().zip(columns).filter_map(|(field, column)| Some((field, column?)))
    }

    /// Returns a problem for each column that is not as long as the waist column.
    pub(super) fn column_length_problems(&self) -> Vec<Problem> {
        let problem = |(field, column): (Field, &[f64])| {
            Problem::numbers_per_person_problem(&format!("people.{}", field.name), column.len(), self.waist.len())
        };
        self.columns(f64::INFINITY).filter_map(problem).collect()
    }

    /// Returns the sampling weight of the person in a row; 1 if no weights are given.
    pub(crate) fn weight_of_row(&self, row: usize) -> f64 {
        self.weight.map_or(1.0, |weight| weight[row])
    }
}

/// Returns the effective number of people by Kish (1965), (Σ weight)² / Σ weight²; 0 if all weights are 0.
pub(crate) fn effective_count(weights: impl Iterator<Item = f64>) -> f64 {
    let [sum, squares] = weights.fold([0.0; 2], |[sum, squares], weight| [sum + weight, squares + weight * weight]);
    share_of_weight(sum * sum, squares).unwrap_or(0.0)
}

/// Returns `part` / `whole`, two sums of weights; `None` if `whole` is not positive.
pub(super) fn share_of_weight(part: f64, whole: f64) -> Option<f64> {
    (whole > 0.0).then(|| part / whole)
}

/// Returns why the number of a column in a row is refused: missing, not finite, or out of range; `None` if accepted.
#[inline]
pub(crate) fn refusal_code_of_row((field, values): &(Field, &[f64]), row: usize) -> Option<Code> {
    let (min, max) = field.range;
    match values[row] {
        value if (min..=max).contains(&value) => None,
        value if value.is_nan() => Some(Code::Missing),
        value if value.is_infinite() => Some(Code::NotFinite),
        value if value < min => Some(Code::BelowMinimum),
        _ => Some(Code::AboveMaximum),
    }
}

/// Mean girths of some people, in centimetres. The means are unweighted, because a refused person may have no sampling
/// weight. A girth that is missing or out of range does not count.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MeanGirths {
    /// Mean of the accepted waists in centimetres, unweighted; `None` if there is no accepted waist.
    pub waist: Option<f64>,
    /// Mean of the accepted hips in centimetres, unweighted; `None` if there is no accepted hip.
    pub hip: Option<f64>,
}

/// Number and mean girths of the people refused for one column and one error code. A person counts in every column
/// whose number is refused.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RefusedPeople {
    /// Column of the refused number: `waist`, `hip`, `high_hip`, `high_hip_depth`, `weight` or `hip_depth`.
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
    let (accepted, refused) = means_by_reason(columns, |row| {
        let codes = columns.iter().map(|column| refusal_code_of_row(column, row)).enumerate();
        codes.filter_map(|(index, code)| Some((index, code?))).collect()
    });
    let refused = refused.into_iter().map(|(index, code, people, mean)| {
        let field = columns[index].0.name;
        RefusedPeople { field, code, people, mean }
    });
    (accepted, refused.collect())
}

/// Returns the mean girths of the people without a reason for refusal and, for each reason, a field and an error code in
/// order, number and mean girths of the people whom it refuses. `reasons_of_row` returns the reasons of one person.
pub(crate) fn means_by_reason<F: Ord>(
    columns: &[(Field, &[f64])],
    reasons_of_row: impl Fn(usize) -> Vec<(F, Code)>,
) -> (MeanGirths, Vec<(F, Code, usize, MeanGirths)>) {
    let girths = ["waist", "hip"].map(|name| columns.iter().find(|(field, _)| field.name == name));
    // Number and sum of the accepted girths at waist and hip.
    let mut accepted = [(0.0, 0.0); 2];
    let mut refused = BTreeMap::<(F, &str), (Code, usize, [(f64, f64); 2])>::new();
    for row in 0..columns.first().map_or(0, |(_, values)| values.len()) {
        let add_girths = |sums: &mut [(f64, f64); 2]| {
            for ((count, sum), column) in sums.iter_mut().zip(girths) {
                let column = column.filter(|column| refusal_code_of_row(column, row).is_none());
                (*count, *sum) = column.map_or((*count, *sum), |(_, values)| (*count + 1.0, *sum + values[row]));
            }
        };
        let reasons = reasons_of_row(row);
        if reasons.is_empty() {
            add_girths(&mut accepted);
        }
        for (field, code) in reasons {
            let (_, people, sums) = refused.entry((field, code.name())).or_insert((code, 0, [(0.0, 0.0); 2]));
            *people += 1;
            add_girths(sums);
        }
    }
    let mean_girths = |sums: [(f64, f64); 2]| {
        let [waist, hip] = sums.map(|(count, sum)| share_of_weight(sum, count));
        MeanGirths { waist, hip }
    };
    let refused =
        refused.into_iter().map(|((field, _), (code, people, sums))| (field, code, people, mean_girths(sums)));
    (mean_girths(accepted), refused.collect())
}
