//! Summary of how a chart fits people: counts by size, by violated ease bound, and by square of the waist-hip plane.
//! A person is *served* by the assigned size if every ease is within its bounds.

use std::collections::BTreeMap;

use super::ease_bounds::{EaseBounds, bound_violation};
use super::people::PeopleColumns;
use crate::error::{Problem, Problems};
use crate::field::{EQUALITY_TOLERANCE_CM, Field, FieldKind, Unit};

/// Fit of a size chart to people: each person's assigned size, and the numbers of people served and unserved.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartFit {
    /// Each person's assigned size and ease, in the order of the people; `None` for an unmeasured person.
    pub by_person: Vec<Option<AssignedSize>>,
    /// Number of people without a size: a measurement is not finite, or the high hip lies above the waist or below the hem
    /// of the chart's shortest skirt.
    pub unmeasured: usize,
    /// Number of people whose every ease in the assigned size is within its bounds.
    pub served: usize,
    /// Numbers of people assigned to each size and served by it, in the order of the chart.
    pub loads: Vec<AssignedAndServedCounts>,
    /// Numbers of measured but unserved people by violated bound.
    pub unserved: UnservedCounts,
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
    /// Ease at the high hip, garment minus body, in centimetres; `None` if the high hip is not judged.
    pub high_hip: Option<f64>,
    /// Largest violation of an ease bound, in centimetres; zero if every ease is within its bounds.
    pub excess: f64,
}

impl AssignedSize {
    /// Returns whether the assigned size serves the person: the ease at every judged girth is within its bounds.
    #[must_use]
    pub fn serves(&self) -> bool {
        self.excess <= 0.0
    }
}

/// Numbers of people assigned to one size, and of people whom this size serves.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct AssignedAndServedCounts {
    /// Number of people assigned to the size.
    pub people: usize,
    /// Number of people assigned to the size and served by the size.
    pub served: usize,
}

/// Numbers of unserved people by bound violated in the assigned size; a person counts once at each such bound.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct UnservedCounts {
    /// Number of people with waist ease below the minimum.
    pub waist_tight: usize,
    /// Number of people with waist ease above the maximum.
    pub waist_loose: usize,
    /// Number of people with hip ease below the minimum.
    pub hip_tight: usize,
    /// Number of people with hip ease above the maximum.
    pub hip_loose: usize,
    /// Number of people with high-hip ease below the minimum.
    pub high_hip_tight: usize,
    /// Number of people with high-hip ease above the maximum.
    pub high_hip_loose: usize,
}

/// A person whom no size of the chart serves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnservedPerson {
    /// Row of the person in the table of people, from 0.
    pub row: usize,
    /// Largest violation of an ease bound in the assigned size, in centimetres.
    pub excess: f64,
}

/// Numbers of measured and of served people in one square of the waist-hip plane, upper edges excluded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaistHipSquareCounts {
    /// Minimum waist in the square, in centimetres.
    pub waist: f64,
    /// Minimum hip in the square, in centimetres.
    pub hip: f64,
    /// Number of measured people in the square.
    pub people: usize,
    /// Number of people in the square whom the chart serves.
    pub served: usize,
}

const SQUARE_SIDE_FIELD: Field = Field::new("step", "Side of a square.", FieldKind::Length, (0.1, 100.0));

impl ChartFit {
    /// Creates the fit of a chart with `sizes` sizes; counts the people by assigned size and by violated ease bound.
    pub(super) fn count_people(by_person: Vec<Option<AssignedSize>>, sizes: usize, bounds: &EaseBounds) -> Self {
        let mut loads = vec![AssignedAndServedCounts::default(); sizes];
        let mut unserved = UnservedCounts::default();
        let (mut measured, mut served) = (0, 0);
        for fit in by_person.iter().flatten() {
            measured += 1;
            loads[fit.size].people += 1;
            if fit.serves() {
                served += 1;
                loads[fit.size].served += 1;
            } else {
                unserved.count_violated_ease_bounds(fit, bounds);
            }
        }
        Self { unmeasured: by_person.len() - measured, by_person, served, loads, unserved }
    }

    /// Returns the number of people, measured and unmeasured.
    #[must_use]
    pub fn count(&self) -> usize {
        self.by_person.len()
    }

    /// Returns the share of measured people who are served, from 0 to 1; 0 if nobody is measured.
    #[must_use]
    pub fn share_served(&self) -> f64 {
        let [served, measured] = [self.served, self.count() - self.unmeasured].map(|count| count as f64);
        served / measured.max(1.0)
    }

    /// Returns at most `max` unserved people: those with the largest violations of ease bounds first, ties in row order.
    #[must_use]
    pub fn worst(&self, max: usize) -> Vec<UnservedPerson> {
        let excess = |fit: &Option<AssignedSize>| fit.as_ref().filter(|fit| !fit.serves()).map(|fit| fit.excess);
        let rows = self.by_person.iter().enumerate();
        let mut unserved: Vec<UnservedPerson> =
            rows.filter_map(|(row, fit)| excess(fit).map(|excess| UnservedPerson { row, excess })).collect();
        unserved.sort_by(|a, b| b.excess.total_cmp(&a.excess));
        unserved.truncate(max);
        unserved
    }

    /// Returns the numbers of measured and served people in squares of the waist-hip plane with side `step`, in
    /// centimetres; squares sorted by waist, then hip, without empty squares. `people` must be the people of this fit.
    ///
    /// # Errors
    /// All the [`Problems`] at once: a step outside 0.1 to 100 cm, or a number of people that differs from this fit.
    ///
    /// ```
    /// use kirtle::{Ease, Rules, SizeChart};
    /// use kirtle::survey::{EaseBounds, WaistHipSquareCounts, PeopleColumns, fit_chart};
    ///
    /// let ease = Ease { waist: 1.5, hip: 5.0 };
    /// let people = PeopleColumns { waist: &[73.0, 74.0, 76.0], hip: &[97.0, 99.0, 108.0], high_hip: None };
    /// let bounds = EaseBounds::from_ease_and_tolerance(&ease, 2.0);
    /// let fit = fit_chart(&SizeChart::demo(), &ease, &Rules::default(), &bounds, &people)?;
    /// let regions = fit.regions(&people, 5.0)?;
    /// assert_eq!(regions[0], WaistHipSquareCounts { waist: 70.0, hip: 95.0, people: 2, served: 2 });
    /// assert_eq!(regions[1], WaistHipSquareCounts { waist: 75.0, hip: 105.0, people: 1, served: 0 });
    ///
    /// let problems = fit.regions(&people, 0.0).unwrap_err();
    /// assert_eq!(problems.to_string(), "step: 0 cm is below the minimum of 0.1 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn regions(&self, people: &PeopleColumns, step: f64) -> Result<Vec<WaistHipSquareCounts>, Problems> {
        let mut problems: Vec<_> = SQUARE_SIDE_FIELD.range_problem("", step, Unit::Cm).into_iter().collect();
        problems.extend(Problem::if_not_one_number_per_person("people.waist", people.waist.len(), self.count()));
        problems.extend(people.column_length_problems());
        Problems::ok_if_empty(problems)?;
        let mut squares: BTreeMap<[i64; 2], AssignedAndServedCounts> = BTreeMap::new();
        let girths = people.waist.iter().zip(people.hip);
        for ((waist, hip), fit) in girths.zip(&self.by_person) {
            let Some(fit) = fit else { continue };
            let square = squares.entry([girth_square_index(*waist, step), girth_square_index(*hip, step)]).or_default();
            square.people += 1;
            square.served += usize::from(fit.serves());
        }
        let region = |([waist, hip], load): ([i64; 2], AssignedAndServedCounts)| WaistHipSquareCounts {
            waist: waist as f64 * step,
            hip: hip as f64 * step,
            people: load.people,
            served: load.served,
        };
        Ok(squares.into_iter().map(region).collect())
    }
}

/// Returns the largest n for which n × `step` is at most the girth, up to rounding; saturates at the limits of `i64`.
#[allow(clippy::cast_possible_truncation)]
fn girth_square_index(girth: f64, step: f64) -> i64 {
    ((girth + EQUALITY_TOLERANCE_CM) / step).floor() as i64
}

impl UnservedCounts {
    /// Adds 1 to the count of each ease bound that a person's ease violates.
    fn count_violated_ease_bounds(&mut self, fit: &AssignedSize, bounds: &EaseBounds) {
        let count = |ease: f64, bounds: (f64, f64), [tight, loose]: [&mut usize; 2]| {
            if bound_violation(ease, bounds) > 0.0 {
                *(if ease < bounds.0 { tight } else { loose }) += 1;
            }
        };
        count(fit.waist, bounds.waist, [&mut self.waist_tight, &mut self.waist_loose]);
        count(fit.hip, bounds.hip, [&mut self.hip_tight, &mut self.hip_loose]);
        if let Some((ease, bounds)) = fit.high_hip.zip(bounds.high_hip) {
            count(ease, bounds, [&mut self.high_hip_tight, &mut self.high_hip_loose]);
        }
    }
}
