//! A draft before its first fitting, and corrections of it.

use super::chart::EASE;
use kirtle::sizes::{Correction, CorrectionSite, CorrectionTarget, Fitting};
use kirtle::{Body, Rules};

pub(crate) const BODY: Body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };

/// Drafts [`BODY`] with the default rules.
pub(crate) fn first_fitting() -> Fitting {
    Fitting::new(kirtle::draft(&BODY, &EASE, &Rules::default()).unwrap())
}

pub(crate) fn correction(what: CorrectionTarget, by: f64, at: CorrectionSite) -> Correction {
    Correction { what, by, at }
}
