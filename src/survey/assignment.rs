//! Assigns each person of a survey the best size of a chart, sixteen people at a time. Lengths are centimetres.

use super::ease_bounds::{EaseBounds, bound_violation};
use super::people::PeopleColumns;
use crate::body::Ease;
use crate::draft::Draft;
use crate::error::Problems;
use crate::field::{EQUALITY_TOLERANCE_CM, Field};
use crate::interrupt::{Stoppable, count_interruptible_work, map_in_threads};
use crate::scalar::{LANE_COUNT, LaneMask, Lanes, Mask, Number, inlined};
use crate::sizes::{Size, SizeChart};

/// Size assigned to one person, and the ease of that size on the person's body.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
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

/// Chart with ease and bounds of the ease, and the people to whom sizes are assigned.
pub(super) struct Assignment<'a> {
    pub(super) chart: &'a SizeChart,
    pub(super) ease: &'a Ease,
    pub(super) bounds: &'a EaseBounds,
    pub(super) people: &'a PeopleColumns<'a>,
    /// Columns of the people, each with the accepted range.
    pub(super) columns: &'a [(Field, &'a [f64])],
    /// For each size, the garment's girths at equally spaced depths down to `max_depth`; empty without high hips.
    pub(super) girths: Vec<Vec<f64>>,
    pub(super) max_depth: f64,
}

impl Assignment<'_> {
    /// Returns the size of each person; `None` for a person with a number that is missing or out of range.
    pub(super) fn assign_sizes(&self) -> Stoppable<Vec<Option<AssignedSize>>> {
        let count = self.people.waist.len();
        let assign = |group: usize| {
            count_interruptible_work(LANE_COUNT * self.chart.sizes().len())?;
            // The last person fills the lanes that are left.
            let rows = std::array::from_fn(|lane| (LANE_COUNT * group + lane).min(count - 1));
            Ok(Lanes::out_of_line(inlined!(|| self.sizes_of_rows(rows))))
        };
        let mut by_person = map_in_threads(count.div_ceil(LANE_COUNT), assign)?.into_flattened();
        by_person.truncate(count);
        Ok(by_person)
    }

    /// Returns the sizes of the people in sixteen rows.
    #[inline(always)]
    fn sizes_of_rows(&self, rows: [usize; LANE_COUNT]) -> [Option<AssignedSize>; LANE_COUNT] {
        let of_rows = inlined!(|column: &[f64]| Lanes(rows.map(|row| column[row])));
        let (waist, hip) = (of_rows(self.people.waist), of_rows(self.people.hip));
        let tolerance = Lanes::constant(EQUALITY_TOLERANCE_CM);
        let [mut best, mut min_excess, mut min_distance] = [0.0, f64::INFINITY, f64::INFINITY].map(Lanes::constant);
        for (index, Size { body, .. }) in self.chart.sizes().iter().enumerate() {
            let ease_at_waist = Lanes::constant(body.waist + self.ease.waist) - waist;
            let ease_at_hip = Lanes::constant(body.hip + self.ease.hip) - hip;
            let excess = bound_violation(ease_at_waist, self.bounds.waist);
            let mut excess = excess.max(bound_violation(ease_at_hip, self.bounds.hip));
            if let Some(bounds) = self.bounds.high_hip {
                let ease = Lanes(rows.map(|row| self.ease_at_high_hip(index, row).unwrap_or_default()));
                excess = excess.max(bound_violation(ease, bounds));
            }
            let distance = (Lanes::constant(body.waist) - waist).abs().max((Lanes::constant(body.hip) - hip).abs());
            let is_as_good = excess.le(min_excess + tolerance) & distance.le(min_distance + tolerance);
            // Of two equal sizes, the later and larger one.
            let is_better = excess.lt(min_excess - tolerance) | is_as_good;
            best = Lanes::select(is_better, Lanes::constant(index as f64), best);
            min_excess = Lanes::select(is_better, excess, min_excess);
            min_distance = Lanes::select(is_better, distance, min_distance);
        }
        let is_accepted = self.columns.iter().fold(
            LaneMask::uniform(true),
            inlined!(|is_accepted, (field, column): &(Field, &[f64])| {
                let (min, max) = field.range;
                let values = of_rows(column);
                is_accepted & Lanes::constant(min).le(values) & values.le(Lanes::constant(max))
            }),
        );
        let is_accepted = is_accepted.flag_bits_by_lane();
        std::array::from_fn(inlined!(|lane| {
            // An index of a size is a whole number.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            let (size, row) = (best.0[lane] as usize, rows[lane]);
            let body = &self.chart.sizes()[size].body;
            (is_accepted[lane] == 1).then(|| AssignedSize {
                size,
                waist: body.waist + self.ease.waist - waist.0[lane],
                hip: body.hip + self.ease.hip - hip.0[lane],
                high_hip: self.ease_at_high_hip(size, row),
                excess: min_excess.0[lane],
            })
        }))
    }

    /// Returns the ease of a size at the high hip of the person in a row; `None` without high hips.
    fn ease_at_high_hip(&self, size: usize, row: usize) -> Option<f64> {
        let (high_hip, girths) = self.people.high_hip.zip(self.girths.get(size))?;
        let steps_per_cm = (girths.len() - 1) as f64 / self.max_depth;
        Some(interpolate(girths, high_hip.depth[row] * steps_per_cm) - high_hip.girth[row])
    }
}

/// Minimum number of table steps per centimetre of depth; interpolated girths then err by less than 0.1 mm.
const MIN_GIRTH_TABLE_STEPS_PER_CM: f64 = 20.0;

/// Returns the garment's girths, in centimetres, at equally spaced depths from the waist down to `depth`. The depth is
/// in centimetres, above zero and at most the skirt's length.
pub(super) fn girths_at_equal_steps_to_depth(draft: &Draft, depth: f64) -> Result<Vec<f64>, Problems> {
    let count = (depth * MIN_GIRTH_TABLE_STEPS_PER_CM).ceil();
    // A skirt is at most 150 cm long.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let levels = (0..=count as u32).map(|step| (f64::from(step) / count * depth).min(depth));
    levels.map(|level| draft.girth_at(level)).collect()
}

/// Returns the girth, in centimetres, at `position` steps below the waist, by linear interpolation of `girths`.
fn interpolate(girths: &[f64], position: f64) -> f64 {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let step = (position.floor() as usize).min(girths.len().saturating_sub(2));
    let (above, below) = (girths[step], girths[step + 1]);
    above + (below - above) * (position - step as f64)
}
