//! Summary of how a chart fits people: counts by size, by violated ease bound, and by square of the waist-hip plane.
//! A person is *served* by the assigned size if every ease is within its bounds.

use std::collections::BTreeMap;
use std::ops::AddAssign;

use super::ease_bounds::{EaseBounds, bound_violation};
use super::people::{MeanGirths, PeopleColumns, RefusedPeople};
use crate::error::{Problem, Problems};
use crate::field::{EQUALITY_TOLERANCE_CM, Field, FieldKind, Unit};

/// Fit of a size chart to people: each person's assigned size, and the numbers of people served and unserved.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartFit {
    /// Each person's assigned size and ease, in the order of the people; `None` for an unmeasured person.
    pub by_person: Vec<Option<AssignedSize>>,
    /// Number of people without a size, because a measurement or the weight is missing or out of range.
    pub unmeasured: usize,
    /// Number and mean girths of the people without a size, for each pair of a column at fault and an error code.
    pub refused: Vec<RefusedPeople>,
    /// Mean waist and mean hip of the people with a size; compare the means in [`refused`](Self::refused).
    pub accepted: MeanGirths,
    /// Number of people served by the assigned size: the ease at every judged girth is within the bounds.
    pub served: usize,
    /// For each size, in the order of the chart: numbers of people assigned to the size and served by the size.
    pub loads: Vec<AssignedAndServedCounts>,
    /// Number of people at each violated ease bound of their assigned size.
    pub unserved: UnservedCounts,
    /// Sum of the weights of the people at each violated ease bound of their assigned size.
    pub unserved_weight: UnservedCounts<f64>,
    /// Whether sampling weights were given; otherwise every person has the weight 1.
    pub is_weighted: bool,
}

/// Size assigned to one person, and the ease of that size on the person's body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AssignedSize {
    /// Index of the assigned size in [`SizeChart::sizes`](crate::SizeChart::sizes).
    pub size: usize,
    /// Ease of the assigned size at the waist, garment minus body, in centimetres.
    pub waist: f64,
    /// Ease of the assigned size at the hip, garment minus body, in centimetres.
    pub hip: f64,
    /// Ease of the assigned size at the high hip, garment minus body, in centimetres; `None` if not judged.
    pub high_hip: Option<f64>,
    /// Largest amount by which an ease is outside its bounds, in centimetres; zero if every ease is within its bounds.
    pub excess: f64,
}

impl AssignedSize {
    /// Returns whether the assigned size serves the person: the ease at every judged girth is within its bounds.
    pub fn serves(&self) -> bool {
        self.excess <= 0.0
    }
}

/// Numbers of people assigned to one size, and of people whom this size serves.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct AssignedAndServedCounts {
    /// Number of people assigned to the size.
    pub people: usize,
    /// Number of people assigned to the size and served by the size.
    pub served: usize,
    /// Sum of the sampling weights of the people assigned to the size; their number if no weights are given.
    pub weight: f64,
    /// Sum of the sampling weights of the people assigned to the size and served by the size.
    pub served_weight: f64,
}

impl AssignedAndServedCounts {
    /// Counts one person with a sampling weight as assigned and, if `is_served`, as served.
    pub(super) fn count_person(&mut self, weight: f64, is_served: bool) {
        self.people += 1;
        self.weight += weight;
        if is_served {
            self.served += 1;
            self.served_weight += weight;
        }
    }
}

/// Number, or sum of weights, of the people at each violated ease bound of their assigned size. A person counts once at
/// each bound that is violated.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct UnservedCounts<T = usize> {
    /// Number, or sum of weights, of people with waist ease below the minimum.
    pub waist_tight: T,
    /// Number, or sum of weights, of people with waist ease above the maximum.
    pub waist_loose: T,
    /// Number, or sum of weights, of people with hip ease below the minimum.
    pub hip_tight: T,
    /// Number, or sum of weights, of people with hip ease above the maximum.
    pub hip_loose: T,
    /// Number, or sum of weights, of people with high-hip ease below the minimum.
    pub high_hip_tight: T,
    /// Number, or sum of weights, of people with high-hip ease above the maximum.
    pub high_hip_loose: T,
}

/// Person with a size, but whom no size of the chart serves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnservedPerson {
    /// Row of the person in the table of people, from 0.
    pub row: usize,
    /// Largest amount by which an ease of the assigned size is outside its bounds, in centimetres.
    pub excess: f64,
}

/// Counts of measured and of served people with waist and hip in one square, without its upper edges.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaistHipSquareCounts {
    /// Waist at the lower edge of the square, in centimetres.
    pub waist: f64,
    /// Hip at the lower edge of the square, in centimetres.
    pub hip: f64,
    /// Number of measured people in the square.
    pub people: usize,
    /// Number of people in the square whom the chart serves.
    pub served: usize,
    /// Sum of the weights of the measured people in the square.
    pub weight: f64,
    /// Sum of the weights of the people in the square whom the chart serves.
    pub served_weight: f64,
}

const WAIST_HIP_SQUARE_SIDE_FIELD: Field = Field::new("step", "", FieldKind::Length, (0.1, 100.0));

impl ChartFit {
    /// Returns the number of people, measured and unmeasured.
    pub fn count(&self) -> usize {
        self.by_person.len()
    }

    /// Returns the share of the measured people, by weight, who are served, from 0 to 1; `None` if nobody is measured
    /// or all weights are 0.
    pub fn share_served(&self) -> Option<f64> {
        let sum = |weight: fn(&AssignedAndServedCounts) -> f64| self.loads.iter().map(weight).sum::<f64>();
        share_of_weight(sum(|load| load.served_weight), sum(|load| load.weight))
    }

    /// Returns at most `max` unserved people, the largest violations of ease bounds first, ties in row order.
    pub fn worst(&self, max: usize) -> Vec<UnservedPerson> {
        let excess = |fit: &Option<AssignedSize>| fit.as_ref().filter(|fit| !fit.serves()).map(|fit| fit.excess);
        let rows = self.by_person.iter().enumerate();
        let mut unserved: Vec<UnservedPerson> =
            rows.filter_map(|(row, fit)| excess(fit).map(|excess| UnservedPerson { row, excess })).collect();
        unserved.sort_by(|a, b| b.excess.total_cmp(&a.excess));
        unserved.truncate(max);
        unserved
    }

    /// Counts the measured and the served people in each square of the waist-hip plane; `step` is the side of a square
    /// in centimetres. Squares are sorted by waist, then hip; empty squares are left out. `people` must be the people
    /// of this fit.
    ///
    /// # Errors
    /// All [`Problems`]: a step outside 0.1 to 100 cm, or a number of people that differs from this fit.
    ///
    /// ```
    /// use kirtle::{Ease, Rules, SizeChart};
    /// use kirtle::survey::{EaseBounds, WaistHipSquareCounts, PeopleColumns, fit_chart};
    ///
    /// let ease = Ease { waist: 1.5, hip: 5.0 };
    /// let people = PeopleColumns { waist: &[73.0, 74.0, 76.0], hip: &[97.0, 99.0, 108.0], ..PeopleColumns::default() };
    /// let bounds = EaseBounds::from_ease_and_tolerance(&ease, 2.0);
    /// let fit = fit_chart(&SizeChart::demo(), &ease, &Rules::default(), &bounds, &people)?;
    /// let regions = fit.regions(&people, 5.0)?;
    /// let first = WaistHipSquareCounts { waist: 70.0, hip: 95.0, people: 2, served: 2, weight: 2.0, served_weight: 2.0 };
    /// assert_eq!(regions[0], first);
    /// assert_eq!((regions[1].waist, regions[1].hip, regions[1].people, regions[1].served), (75.0, 105.0, 1, 0));
    ///
    /// let problems = fit.regions(&people, 0.0).unwrap_err();
    /// assert_eq!(problems.to_string(), "step: 0 cm is below the minimum of 0.1 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn regions(&self, people: &PeopleColumns, step: f64) -> Result<Vec<WaistHipSquareCounts>, Problems> {
        let problem = WAIST_HIP_SQUARE_SIDE_FIELD.range_problem("", step, Unit::Cm);
        let length = Problem::numbers_per_person_problem("people.waist", people.waist.len(), self.count());
        Problems::ok_if_empty(problem.into_iter().chain(length).chain(people.column_length_problems()).collect())?;
        let mut squares: BTreeMap<[i64; 2], AssignedAndServedCounts> = BTreeMap::new();
        let girths = people.waist.iter().zip(people.hip);
        for (row, ((waist, hip), fit)) in girths.zip(&self.by_person).enumerate() {
            let Some(fit) = fit else { continue };
            let square = squares.entry([square_index(*waist, step), square_index(*hip, step)]).or_default();
            square.count_person(people.weight_of_row(row), fit.serves());
        }
        let region = |(square, load): ([i64; 2], AssignedAndServedCounts)| {
            let [waist, hip] = square.map(|index| index as f64 * step);
            let AssignedAndServedCounts { people, served, weight, served_weight } = load;
            WaistHipSquareCounts { waist, hip, people, served, weight, served_weight }
        };
        Ok(squares.into_iter().map(region).collect())
    }
}

/// Returns `part` / `whole`, two sums of weights; `None` if `whole` is not positive.
pub(super) fn share_of_weight(part: f64, whole: f64) -> Option<f64> {
    (whole > 0.0).then(|| part / whole)
}

/// Returns the largest n with n × `step` at most `girth`, up to rounding; saturates at the limits of `i64`.
#[allow(clippy::cast_possible_truncation)]
fn square_index(girth: f64, step: f64) -> i64 {
    ((girth + EQUALITY_TOLERANCE_CM) / step).floor() as i64
}

impl<T: Copy + AddAssign> UnservedCounts<T> {
    /// Adds `amount`, a person's count or weight, at each ease bound that the person's assigned size violates.
    pub(super) fn add_amount_at_violated_bounds(&mut self, amount: T, fit: &AssignedSize, bounds: &EaseBounds) {
        let count = |ease: f64, bounds: (f64, f64), [tight, loose]: [&mut T; 2]| {
            if bound_violation(ease, bounds) > 0.0 {
                *(if ease < bounds.0 { tight } else { loose }) += amount;
            }
        };
        count(fit.waist, bounds.waist, [&mut self.waist_tight, &mut self.waist_loose]);
        count(fit.hip, bounds.hip, [&mut self.hip_tight, &mut self.hip_loose]);
        if let Some((ease, bounds)) = fit.high_hip.zip(bounds.high_hip) {
            count(ease, bounds, [&mut self.high_hip_tight, &mut self.high_hip_loose]);
        }
    }
}
