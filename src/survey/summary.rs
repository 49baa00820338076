//! A chart's fit in numbers: who is served, by which size, where not, and why.

use std::collections::BTreeMap;

use super::fit::{Bounds, EQUAL, Fitted, People, beyond, uneven};
use crate::error::Problems;
use crate::field::{Field, FieldKind, Unit};

/// How a chart serves people.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartFit {
    /// For each person the size given and how it sits; none for who is unmeasured.
    pub each: Vec<Option<Fitted>>,
    /// How many people have a number that is not finite, or a depth outside the garments.
    pub unmeasured: usize,
    /// How many people have a size that serves.
    pub served: usize,
    /// How many people each size is given to, in the order of the chart.
    pub loads: Vec<SizeLoad>,
    /// Why the others are not served.
    pub unserved: UnservedCounts,
}

/// How many people a size is given to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct SizeLoad {
    /// All of them.
    pub people: usize,
    /// Those whom it serves.
    pub served: usize,
}

/// How many of the unserved miss each bound, in the size that they are given. Who misses several counts at each.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct UnservedCounts {
    /// Less than the least ease at the waist.
    pub waist_tight: usize,
    /// More than the most ease at the waist.
    pub waist_loose: usize,
    /// Less than the least ease at the hip.
    pub hip_tight: usize,
    /// More than the most ease at the hip.
    pub hip_loose: usize,
    /// Less than the least ease at the high hip.
    pub high_hip_tight: usize,
    /// More than the most ease at the high hip.
    pub high_hip_loose: usize,
}

/// A person whom no size serves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnservedPerson {
    /// The person's place among the people.
    pub row: usize,
    /// By how much the worst bound is missed, in centimetres.
    pub excess: f64,
}

/// The measured people of one square of the waist-hip plane: from its edges up to one step above them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GirthSquare {
    /// The least waist, in centimetres.
    pub waist: f64,
    /// The least hip, in centimetres.
    pub hip: f64,
    /// How many people.
    pub people: usize,
    /// How many of them are served.
    pub served: usize,
}

const STEP: Field = Field::new("step", "The side of a square", FieldKind::Length, (0.1, 100.0), (0.1, 39.0));

impl ChartFit {
    /// The summary of sizes given.
    pub(super) fn of(each: Vec<Option<Fitted>>, sizes: usize, bounds: &Bounds) -> Self {
        let mut loads = vec![SizeLoad::default(); sizes];
        let mut unserved = UnservedCounts::default();
        let (mut measured, mut served) = (0, 0);
        for fitted in each.iter().flatten() {
            measured += 1;
            loads[fitted.size].people += 1;
            if fitted.serves() {
                served += 1;
                loads[fitted.size].served += 1;
            } else {
                unserved.add(fitted, bounds);
            }
        }
        Self { unmeasured: each.len() - measured, each, served, loads, unserved }
    }

    /// How many people there are, measured or not.
    #[must_use]
    pub fn count(&self) -> usize {
        self.each.len()
    }

    /// The share of the measured people who are served, from 0 to 1; 0 where nobody was measured.
    #[must_use]
    pub fn share_served(&self) -> f64 {
        // Counts of people are far below 2⁵³.
        #[allow(clippy::cast_precision_loss)]
        let [served, measured] = [self.served, self.count() - self.unmeasured].map(|count| count as f64);
        served / measured.max(1.0)
    }

    /// Those who are served worst, at most so many, the worst first; of equals the first row first.
    #[must_use]
    pub fn worst(&self, max: usize) -> Vec<UnservedPerson> {
        let excess = |fitted: &Option<Fitted>| fitted.as_ref().filter(|fitted| !fitted.serves()).map(|f| f.excess);
        let rows = self.each.iter().enumerate();
        let mut misses: Vec<UnservedPerson> =
            rows.filter_map(|(row, fitted)| excess(fitted).map(|excess| UnservedPerson { row, excess })).collect();
        misses.sort_by(|a, b| b.excess.total_cmp(&a.excess));
        misses.truncate(max);
        misses
    }

    /// Measured and served people by squares of the waist-hip plane, for the people whose fit this is, by waist, then hip.
    /// Squares without people are left out.
    ///
    /// # Errors
    /// All the [`Problems`] at once: a step that is not from 0.1 to 100 cm, or other people than those of this fit, as far
    /// as their number tells.
    ///
    /// ```
    /// use kirtle::{Ease, Rules, SizeChart};
    /// use kirtle::survey::{Bounds, GirthSquare, People, fit_chart};
    ///
    /// let ease = Ease { waist: 1.5, hip: 5.0 };
    /// let people = People { waist: &[73.0, 74.0, 76.0], hip: &[97.0, 99.0, 108.0], high_hip: None };
    /// let fit = fit_chart(&SizeChart::demo(), &ease, &Rules::default(), &Bounds::around(&ease, 2.0), &people)?;
    /// let regions = fit.regions(&people, 5.0)?;
    /// assert_eq!(regions[0], GirthSquare { waist: 70.0, hip: 95.0, people: 2, served: 2 });
    /// assert_eq!(regions[1], GirthSquare { waist: 75.0, hip: 105.0, people: 1, served: 0 });
    ///
    /// let problems = fit.regions(&people, 0.0).unwrap_err();
    /// assert_eq!(problems.to_string(), "step: 0 cm is below the minimum of 0.1 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn regions(&self, people: &People, step: f64) -> Result<Vec<GirthSquare>, Problems> {
        let mut problems: Vec<_> = STEP.check("", step, Unit::Cm).into_iter().collect();
        problems.extend(uneven("people.waist", people.waist.len(), self.count()));
        problems.extend(people.problems());
        Problems::ok_if_empty(problems)?;
        let mut squares: BTreeMap<[i64; 2], SizeLoad> = BTreeMap::new();
        let girths = people.waist.iter().zip(people.hip);
        for ((waist, hip), fitted) in girths.zip(&self.each) {
            let Some(fitted) = fitted else { continue };
            let square = squares.entry([bin(*waist, step), bin(*hip, step)]).or_default();
            square.people += 1;
            square.served += usize::from(fitted.serves());
        }
        #[allow(clippy::cast_precision_loss)]
        let region = |([waist, hip], load): ([i64; 2], SizeLoad)| GirthSquare {
            waist: waist as f64 * step,
            hip: hip as f64 * step,
            people: load.people,
            served: load.served,
        };
        Ok(squares.into_iter().map(region).collect())
    }
}

/// The number of the step that a girth lies in; what lies beyond all integers goes to the last.
#[allow(clippy::cast_possible_truncation)]
fn bin(girth: f64, step: f64) -> i64 {
    ((girth + EQUAL) / step).floor() as i64
}

impl UnservedCounts {
    fn add(&mut self, fitted: &Fitted, bounds: &Bounds) {
        let count = |left: f64, bounds: (f64, f64), [tight, loose]: [&mut usize; 2]| {
            if beyond(left, bounds) > 0.0 {
                *(if left < bounds.0 { tight } else { loose }) += 1;
            }
        };
        count(fitted.waist, bounds.waist, [&mut self.waist_tight, &mut self.waist_loose]);
        count(fitted.hip, bounds.hip, [&mut self.hip_tight, &mut self.hip_loose]);
        if let Some((left, bounds)) = fitted.high_hip.zip(bounds.high_hip) {
            count(left, bounds, [&mut self.high_hip_tight, &mut self.high_hip_loose]);
        }
    }
}
