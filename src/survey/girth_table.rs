//! Table of one garment's girths between waist and hem, computed once for many people.

use crate::draft::Draft;
use crate::error::Problems;

/// Minimum number of table steps per centimetre of depth; interpolated girths then err by less than 0.1 mm.
const MIN_GIRTH_TABLE_STEPS_PER_CM: f64 = 20.0;

/// Returns the garment's girths, in centimetres, at equally spaced depths from the waist down to `depth`. The depth is
/// in centimetres, above zero and at most the skirt's length.
pub(super) fn girths_down_to_depth(draft: &Draft, depth: f64) -> Result<Vec<f64>, Problems> {
    let count = (depth * MIN_GIRTH_TABLE_STEPS_PER_CM).ceil();
    // A skirt is at most 150 cm long.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let levels = (0..=count as u32).map(|step| (f64::from(step) / count * depth).min(depth));
    levels.map(|level| draft.girth_at(level)).collect()
}

/// Returns the girth, in centimetres, at `position` steps below the waist, by linear interpolation of `girths`.
pub(super) fn interpolate(girths: &[f64], position: f64) -> f64 {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let step = (position.floor() as usize).min(girths.len().saturating_sub(2));
    let (above, below) = (girths[step], girths[step + 1]);
    above + (below - above) * (position - step as f64)
}
