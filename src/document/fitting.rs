//! Report of a history of fittings: the corrections of each fitting, what they changed, and the corrected draft.

use super::report::report;
use super::request::Report;
use super::sizes::ChangeReport;
use crate::field::Unit;
use crate::sizes::{Correction, Fitting, FittingRound};

report! {
    /// History of fittings of a trial garment, with the draft after all corrections.
    #[schemars(title = "Kirtle fitting")]
    FittingReport with format of (fitting: &Fitting) in unit {
        /// Unit of every length.
        unit: Unit = unit,
        /// Fittings from first to last.
        rounds: Vec<FittingRoundReport> = fitting.rounds().iter().map(|round| FittingRoundReport::new(round, unit)).collect(),
        /// Result for the draft after all fittings; its body, ease and rules include all corrections.
        result: Report = Report::new(fitting.draft(), unit),
    }
}

report! {
    /// One fitting of a trial garment: its corrections, and what they changed.
    FittingRoundReport of (round: &FittingRound) in unit {
        /// Corrections of the fitting.
        corrections: Vec<Correction>,
        /// Numbers of the request that the corrections changed, each before and after.
        changes: Vec<ChangeReport>,
        /// Measurements of the figure that can replace corrections: with these measurements, and with the darts as
        /// corrected, the same body gets the corrected draft without these corrections. If no length to the floor is
        /// measured, the lengths end at the hem.
        measurements: Vec<ChangeReport>,
    }
}
