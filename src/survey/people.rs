//! Measured girths of people as columns. All columns have one number for each person. Lengths are centimetres.

use crate::error::Problem;

/// Measured girths of people, in centimetres: one column per measurement, one row per person.
#[derive(Clone, Copy, Debug)]
pub struct PeopleColumns<'a> {
    /// Waist girths; NaN for a missing measurement.
    pub waist: &'a [f64],
    /// Hip girths; NaN for a missing measurement.
    pub hip: &'a [f64],
    /// High-hip measurements; `None` if the high hip is not to be judged.
    pub high_hip: Option<HighHipColumns<'a>>,
}

/// High-hip girths of people with the depth at which each was measured, in centimetres: one row per person.
#[derive(Clone, Copy, Debug)]
pub struct HighHipColumns<'a> {
    /// High-hip girths; NaN for a missing measurement.
    pub girth: &'a [f64],
    /// Depth of each high-hip measurement below the waist at the side: from 0 to the chart's shortest skirt length.
    pub depth: &'a [f64],
}

impl PeopleColumns<'_> {
    /// Returns the name and the values of each column of measurements, waist first.
    fn named_measurements(&self) -> impl Iterator<Item = (&'static str, &[f64])> {
        let high = self.high_hip.into_iter();
        let high = high.flat_map(|high| [("high_hip.girth", high.girth), ("high_hip.depth", high.depth)]);
        [("waist", self.waist), ("hip", self.hip)].into_iter().chain(high)
    }

    /// Returns a problem for each column whose length differs from the waist column.
    pub(super) fn column_length_problems(&self) -> Vec<Problem> {
        let expected = self.waist.len();
        let problem = |(name, column): (&str, &[f64])| {
            Problem::if_not_one_number_per_person(&format!("people.{name}"), column.len(), expected)
        };
        self.named_measurements().filter_map(problem).collect()
    }
}

/// Finite measurements of one person, in centimetres.
pub(super) struct MeasuredPerson {
    pub(super) waist: f64,
    pub(super) hip: f64,
    /// The person's high-hip girth and its depth below the waist; `None` if the high hip is not judged.
    pub(super) high_hip: Option<(f64, f64)>,
}

impl MeasuredPerson {
    /// Reads one person; returns `None` if a number is not finite, or a high-hip depth lies outside 0 to `max_depth`.
    pub(super) fn from_people_row(people: &PeopleColumns, row: usize, max_depth: f64) -> Option<Self> {
        let (waist, hip) = (people.waist[row], people.hip[row]);
        let high_hip = people.high_hip.map(|high| (high.girth[row], high.depth[row]));
        let valid_high_hip =
            high_hip.is_none_or(|(girth, depth)| girth.is_finite() && (0.0..=max_depth).contains(&depth));
        (waist.is_finite() && hip.is_finite() && valid_high_hip).then_some(Self { waist, hip, high_hip })
    }
}
