//! Table of one garment's girths between waist and hem, so that fitting many people needs no repeated girth
//! computation.

use crate::draft::Draft;
use crate::error::Problems;

/// Minimum number of table steps per centimetre of depth; interpolated girths then err by less than 0.1 mm.
const MIN_GIRTH_TABLE_STEPS_PER_CM: f64 = 20.0;

/// Girths of one garment at equally spaced depths from the waist down, in centimetres.
pub(super) struct GirthTable {
    steps_per_cm: f64,
    girths: Vec<f64>,
}

impl GirthTable {
    /// Tabulates the garment's girths from the waist down to `depth`. The depth is in centimetres, above zero and at
    /// most the skirt's length.
    pub(super) fn from_draft(draft: &Draft, depth: f64) -> Result<Self, Problems> {
        let count = (depth * MIN_GIRTH_TABLE_STEPS_PER_CM).ceil();
        // A skirt is at most 150 cm long.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let levels = (0..=count as u32).map(|step| (f64::from(step) / count * depth).min(depth));
        let girths = levels.map(|level| draft.girth_at(level)).collect::<Result<_, _>>()?;
        Ok(Self { steps_per_cm: count / depth, girths })
    }

    /// Returns the garment's girth, in centimetres, at a depth within the table, by linear interpolation.
    pub(super) fn interpolated_girth_at_depth(&self, depth: f64) -> f64 {
        let position = depth * self.steps_per_cm;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let step = (position.floor() as usize).min(self.girths.len().saturating_sub(2));
        let (above, below) = (self.girths[step], self.girths[step + 1]);
        let share = position - step as f64;
        above + (below - above) * share
    }
}
