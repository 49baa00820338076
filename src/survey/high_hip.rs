//! The girth of a size's garment anywhere between waist and hem, looked up.

use crate::draft::Draft;
use crate::error::Problems;

/// Steps of the table to a centimetre, at least. Between two the garment is taken as straight: where a dart ends that is
/// wrong by less than a tenth of a millimetre, elsewhere by far less.
const STEPS: f64 = 20.0;

/// The girths of one garment at equal steps down from the waist, in centimetres.
pub(super) struct Girths {
    steps_per_cm: f64,
    girths: Vec<f64>,
}

impl Girths {
    /// The girths of a draft down to `depth`, which is above zero and not below its hem.
    pub(super) fn of(draft: &Draft, depth: f64) -> Result<Self, Problems> {
        let count = (depth * STEPS).ceil();
        // A skirt is at most 150 cm long.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let levels = (0..=count as u32).map(|step| (f64::from(step) / count * depth).min(depth));
        let girths = levels.map(|level| draft.girth_at(level)).collect::<Result<_, _>>()?;
        Ok(Self { steps_per_cm: count / depth, girths })
    }

    /// The girth at a depth from zero to that of the table.
    pub(super) fn at(&self, depth: f64) -> f64 {
        let place = depth * self.steps_per_cm;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let step = (place.floor() as usize).min(self.girths.len().saturating_sub(2));
        let (above, below) = (self.girths[step], self.girths[step + 1]);
        #[allow(clippy::cast_precision_loss)]
        let share = place - step as f64;
        above + (below - above) * share
    }
}
