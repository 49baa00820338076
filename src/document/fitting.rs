//! Report of a history of fittings: the corrections of each fitting, what they changed, and the corrected draft.

use serde::Deserialize;

use super::json::{FORMAT_VERSION, JsonValue};
use super::object::read_document;
use super::report::{convert_each, report};
use super::request::{Report, Request, read_request};
use super::sizes::ChangeReport;
use crate::error::{Code, Problem, Problems};
use crate::field::Unit;
use crate::sizes::{Correction, Fitting, FittingRound};

report! {
    /// History of fittings of a trial garment, with the draft after all corrections.
    #[schemars(title = "Kirtle fitting")]
    FittingReport with format of (fitting: &Fitting) in unit {
        /// Unit of every length.
        unit: Unit = unit,
        /// Request of the draft before the first fitting; follows the schema `request`.
        #[schemars(with = "serde_json::Map<String, serde_json::Value>")]
        request: Request = Request::from_draft(&fitting.uncorrected, unit),
        /// Fittings from first to last.
        rounds: Vec<FittingRoundReport> = convert_each(fitting.rounds(), FittingRoundReport::new, unit),
        /// Result for the draft after all fittings; its body, ease and rules include all corrections.
        result: Report = Report::new(fitting.draft(), unit),
    }
}

report! {
    /// One fitting of a trial garment: its corrections, and what they changed.
    FittingRoundReport of (round: &FittingRound) in unit {
        /// Corrections of the fitting.
        corrections: Vec<Correction> = convert_each(&round.corrections, |one, unit| Correction { by: one.what.amount_field().kind.given_number(one.by, unit), ..*one }, unit),
        /// Numbers of the request that the corrections changed, each before and after.
        changes: Vec<ChangeReport> = convert_each(&round.changes, ChangeReport::new, unit),
        /// Measurements of the figure that can replace corrections: with these measurements, and with the darts as
        /// corrected, the same body gets the corrected draft without these corrections. If no length to the floor is
        /// measured, the lengths end at the hem.
        measurements: Vec<ChangeReport> = convert_each(&round.measurements, ChangeReport::new, unit),
    }
}

/// Fields of a stored [`FittingReport`] from which all others follow, which another version may have.
#[derive(Deserialize)]
struct StoredFitting {
    format: u32,
    unit: Unit,
    request: JsonValue,
    rounds: Vec<serde_json::Value>,
}

impl Fitting {
    /// Reads a history from JSON by the schema `fitting`: drafts its `request` and applies the corrections of its
    /// `rounds` again. The other fields are not read, so that a history stored by another version can be opened.
    ///
    /// # Errors
    /// [`Code::BrokenJson`] for a text without `format`, `unit`, `request` and `rounds` as in the schema;
    /// [`Code::WrongType`] for another document; [`Code::UnknownChoice`] for another `format`; all that
    /// [`Request::from_json`], [`Request::draft`] and [`Fitting::correct`] refuse, with lengths in the unit of the
    /// document.
    ///
    /// ```
    /// use kirtle::document::FittingReport;
    /// use kirtle::sizes::{Correction, CorrectionSite, CorrectionTarget, Fitting};
    /// use kirtle::{Body, Ease, Rules, Unit};
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let first = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let longer = Correction { what: CorrectionTarget::Length, by: 2.5, at: CorrectionSite::Shared };
    /// let fitted = Fitting::new(first).correct(&[longer])?;
    /// let stored = FittingReport::new(&fitted, Unit::Cm).to_json();
    /// assert_eq!(Fitting::from_json(&stored)?, fitted);
    /// assert!(Fitting::from_json("{}").is_err());
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn from_json(text: &str) -> Result<Self, Problems> {
        Ok(Self::with_request_from_json(text)?.1)
    }

    /// Reads a history as [`from_json`](Self::from_json) does; returns its request, which says how the skirt is cut, too.
    pub(crate) fn with_request_from_json(text: &str) -> Result<(Request, Self), Problems> {
        let broken = |error: serde_json::Error| Problem::new(Code::BrokenJson, "fitting").with_value(error.to_string());
        let StoredFitting { format, unit, request, rounds } = serde_json::from_str(text).map_err(|error| {
            let value = JsonValue::parse_json_text(text, "fitting");
            value.and_then(|value| value.check_kind("fitting")).err().unwrap_or_else(|| broken(error).into())
        })?;
        if format != FORMAT_VERSION {
            let problem = Problem::new(Code::UnknownChoice, "format").with_value(f64::from(format));
            return Err(problem.with_limit(FORMAT_VERSION.to_string()).into());
        }
        let request = read_document(None, ["request", "request."], &request, read_request)?;
        let fitting = rounds.iter().try_fold(Fitting::new(request.draft()?), |fitting, round| {
            let corrections = Vec::<Correction>::deserialize(&round["corrections"]).map_err(broken)?;
            let in_cm: Vec<_> = corrections.iter().map(|one| one.convert_amount(unit, Unit::Cm)).collect();
            unit.convert_problems_from_cm(fitting.correct(&in_cm))
        })?;
        Ok((request, fitting))
    }
}
