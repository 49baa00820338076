//! Corrections from the fitting of a trial garment: changed inputs, corrected draft, and a history with undo.
//!
//! The corrections of one fitting are applied together, and their order does not matter.

use crate::body::{Apportionment, Body, DartPosition, Darts, Ease, FixedDart, Inputs, PanelRules};
use crate::draft::{Dart, Draft, Half, Suppression, draft};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};

/// Description and range of [`Correction::by`], the amount of a correction.
pub(crate) const CORRECTION_BY_FIELD: Field = Field::new(
    "by",
    "Amount of the correction: positive lets out, lowers or lengthens; negative takes in, raises or shortens. A girth \
     changes by this amount all around, not at each seam.",
    FieldKind::Length,
    (-20.0, 20.0),
    (-7.75, 7.75),
);

/// Measurement that a correction changes.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum CorrectionTarget {
    /// Girth of the garment at the waist; the correction changes the waist ease.
    #[default]
    Waist,
    /// Girth of the garment at the hip; the correction changes the hip ease.
    Hip,
    /// Level of the hip line; a positive amount lowers the hip line.
    HipLine,
    /// Waist line at the centre back; a positive amount lowers the waist line.
    CentreBack,
    /// Waist line at the centre front; a positive amount lowers the waist line.
    CentreFront,
    /// Length of the skirt; a positive amount lengthens the skirt.
    Length,
}

/// Seams or darts at which a girth is taken in or let out.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "lowercase")]
pub enum CorrectionSite {
    /// Side seams and darts together: by the shares of the drafting rules, or, if the rules give darts, in the present
    /// proportion of the nominal suppression of side seams and darts.
    #[default]
    Shared,
    /// Side seams only. The darts become given darts with their present intake, length and position.
    Side,
    /// Darts only, all in proportion; they become given darts. The side seams change only as much as closing the waist
    /// requires.
    Darts,
}

impl CorrectionTarget {
    /// All correction targets, in the order of declaration.
    pub const ALL: [CorrectionTarget; 6] = [
        CorrectionTarget::Waist,
        CorrectionTarget::Hip,
        CorrectionTarget::HipLine,
        CorrectionTarget::CentreBack,
        CorrectionTarget::CentreFront,
        CorrectionTarget::Length,
    ];

    /// Returns the name of the correction target in JSON, such as `hip_line`.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            CorrectionTarget::Waist => "waist",
            CorrectionTarget::Hip => "hip",
            CorrectionTarget::HipLine => "hip_line",
            CorrectionTarget::CentreBack => "centre_back",
            CorrectionTarget::CentreFront => "centre_front",
            CorrectionTarget::Length => "length",
        }
    }
}

impl CorrectionSite {
    /// All correction sites, in the order of declaration.
    pub const ALL: [CorrectionSite; 3] = [CorrectionSite::Shared, CorrectionSite::Side, CorrectionSite::Darts];

    /// Returns the name of the correction site in JSON, such as `side`.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            CorrectionSite::Shared => "shared",
            CorrectionSite::Side => "side",
            CorrectionSite::Darts => "darts",
        }
    }
}

/// Correction of one measurement of a garment after a fitting.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Correction {
    /// Measurement to change.
    pub what: CorrectionTarget,
    /// Amount of the change in centimetres, −20 to 20; positive lets out, lowers or lengthens.
    pub by: f64,
    /// Seams or darts that take up a change of waist or hip; [`CorrectionSite::Shared`] for any other measurement.
    pub at: CorrectionSite,
}

impl Correction {
    pub(crate) fn convert_amount(self, from: Unit, to: Unit) -> Self {
        Self { by: CORRECTION_BY_FIELD.kind.convert_unit(self.by, from, to), ..self }
    }
}

/// Change of one input of a draft: the values before and after a correction.
#[derive(Clone, Debug, PartialEq)]
pub struct InputChange {
    /// Path of the input in a request, such as `ease.waist`.
    pub field: String,
    /// Value before the correction, lengths in centimetres; `None` for an input that the request did not have.
    pub before: Option<f64>,
    /// Value after the correction, lengths in centimetres.
    pub after: f64,
}

/// History of a draft through a series of fittings, with the corrections of each fitting.
///
/// ```
/// use kirtle::{Body, Ease, Rules};
/// use kirtle::sizes::{Correction, CorrectionSite, CorrectionTarget, Fitting};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let first = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let taken_in = Correction { what: CorrectionTarget::Waist, by: -1.0, at: CorrectionSite::Side };
/// let fitted = Fitting::new(first.clone()).correct(&[taken_in])?;
/// assert_eq!(fitted.draft().ease().waist, 0.5);
/// assert_eq!(fitted.changes()[0].field, "ease.waist");
/// assert_eq!(fitted.undo().draft(), &first);
///
/// let let_out = Correction { what: CorrectionTarget::Waist, by: 2.0, at: CorrectionSite::Side };
/// let problems = Fitting::new(first).correct(&[taken_in, let_out]).unwrap_err();
/// assert_eq!(problems.to_string(), "corrections[1].by: cannot be given together with corrections[0].by");
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Fitting {
    pub(crate) uncorrected: Draft,
    rounds: Vec<FittingRound>,
}

/// One fitting: its corrections, the changed inputs and the corrected draft.
#[derive(Clone, Debug, PartialEq)]
pub struct FittingRound {
    /// Corrections of the fitting, in the order given.
    pub corrections: Vec<Correction>,
    /// Inputs that the corrections changed.
    pub changes: Vec<InputChange>,
    /// Draft after the corrections.
    pub draft: Draft,
}

impl Fitting {
    /// Maximum number of corrections in one fitting.
    pub const MAX_CORRECTIONS_PER_FITTING: usize = 20;

    /// Creates a history with an uncorrected draft and no fitting.
    #[must_use]
    pub fn new(uncorrected: Draft) -> Self {
        Self { uncorrected, rounds: Vec::new() }
    }

    /// Returns the draft after all corrections of all fittings; before the first fitting, the uncorrected draft.
    #[must_use]
    pub fn draft(&self) -> &Draft {
        self.rounds.last().map_or(&self.uncorrected, |round| &round.draft)
    }

    /// Returns the inputs that the last fitting changed; empty before the first fitting.
    #[must_use]
    pub fn changes(&self) -> &[InputChange] {
        self.rounds.last().map_or(&[], |round| &round.changes)
    }

    /// Returns the fittings from first to last.
    #[must_use]
    pub fn rounds(&self) -> &[FittingRound] {
        &self.rounds
    }

    /// Returns the history with one more fitting, whose corrections are applied together to the latest draft, in any order.
    ///
    /// # Errors
    /// An amount that is not from −20 to 20 cm; more than 20 corrections; two opposite corrections of one measurement
    /// at one site; the site `side` or `darts` for a measurement other than waist and hip; the site `darts` for a draft
    /// without darts; and all [`Problems`] of [`draft`](crate::draft()) for the changed inputs.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Rules};
    /// use kirtle::sizes::{Correction, CorrectionSite, CorrectionTarget, Fitting};
    ///
    /// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// let first = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let longer = |by| Correction { what: CorrectionTarget::Length, by, at: CorrectionSite::Shared };
    /// let fitted = Fitting::new(first.clone()).correct(&[longer(2.5)])?;
    /// assert_eq!(fitted.draft().body().length, 62.5);
    ///
    /// let problems = Fitting::new(first).correct(&[longer(25.0)]).unwrap_err();
    /// assert_eq!(problems.to_string(), "corrections[0].by: 25 cm is above the maximum of 20 cm");
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn correct(mut self, corrections: &[Correction]) -> Result<Self, Problems> {
        let draft = self.draft().redraft_with_corrections(corrections)?;
        let changes = input_changes_between(&self.draft().inputs, &draft.inputs);
        self.rounds.push(FittingRound { corrections: corrections.to_vec(), changes, draft });
        Ok(self)
    }

    /// Returns the history without its last fitting and that fitting's corrections; unchanged before the first fitting.
    #[must_use]
    pub fn undo(mut self) -> Self {
        self.rounds.pop();
        self
    }
}

impl Draft {
    /// Returns a new draft: this draft with the corrections of one fitting applied together; see [`Fitting::correct`].
    pub(crate) fn redraft_with_corrections(&self, corrections: &[Correction]) -> Result<Draft, Problems> {
        let too_many =
            Problem::if_too_many("corrections", corrections.len(), Fitting::MAX_CORRECTIONS_PER_FITTING, "corrections");
        Problems::ok_if_empty(too_many.into_iter().collect())?;
        let range_problem = |(k, correction): (usize, &Correction)| {
            CORRECTION_BY_FIELD.range_problem(&format!("corrections[{k}]."), correction.by, Unit::Cm)
        };
        let range_problems = corrections.iter().enumerate().filter_map(range_problem);
        Problems::ok_if_empty(range_problems.chain(correction_conflict_problems(corrections)).collect())?;
        let mut inputs = self.inputs.clone();
        inputs.rules.apportionment = corrected_apportionment(corrections, self)?;
        for what in CorrectionTarget::ALL {
            let amounts = corrections.iter().filter(|one| one.what == what).map(|one| one.by);
            *corrected_input(&mut inputs, what) += sum_in_any_order(amounts);
        }
        draft(&inputs.body, &inputs.ease, &inputs.rules)
    }
}

/// Returns problems for corrections opposite to earlier ones, and for a site with any measurement but waist and hip.
fn correction_conflict_problems(corrections: &[Correction]) -> Vec<Problem> {
    let opposite_problem = |(k, one): (usize, &Correction)| {
        let is_opposite = |other: &Correction| other.what == one.what && other.at == one.at && other.by * one.by < 0.0;
        let other = corrections[..k].iter().position(is_opposite)?;
        let problem = Problem::new(Code::Conflict, format!("corrections[{k}].by"));
        Some(problem.with_limit(format!("corrections[{other}].by")))
    };
    let site_problem = |(k, one): (usize, &Correction)| {
        let is_girth = matches!(one.what, CorrectionTarget::Waist | CorrectionTarget::Hip);
        let problem = || Problem::new(Code::Conflict, format!("corrections[{k}].at"));
        let has_conflict = one.at != CorrectionSite::Shared && !is_girth;
        has_conflict.then(|| problem().with_limit(format!("\"{}\"", one.what.name())))
    };
    let site_problems = corrections.iter().enumerate().filter_map(site_problem);
    corrections.iter().enumerate().filter_map(opposite_problem).chain(site_problems).collect()
}

/// Returns the sum of `numbers`; every order gives the same sum to the last bit.
fn sum_in_any_order(numbers: impl Iterator<Item = f64>) -> f64 {
    let mut numbers: Vec<f64> = numbers.collect();
    numbers.sort_by(f64::total_cmp);
    numbers.iter().sum()
}

/// Returns the input that a correction of a measurement changes.
fn corrected_input(inputs: &mut Inputs, what: CorrectionTarget) -> &mut f64 {
    match what {
        CorrectionTarget::Waist => &mut inputs.ease.waist,
        CorrectionTarget::Hip => &mut inputs.ease.hip,
        CorrectionTarget::HipLine => &mut inputs.body.hip_depth,
        CorrectionTarget::CentreBack => &mut inputs.rules.panel_rules.centre_back_lower,
        CorrectionTarget::CentreFront => &mut inputs.rules.panel_rules.centre_front_lower,
        CorrectionTarget::Length => &mut inputs.body.length,
    }
}

/// Returns the apportionment after the corrections of one fitting of a draft.
///
/// With a correction at the side or at the darts, the present darts become given darts. Their intakes grow by all that is
/// corrected at the darts, and by their present share of what is shared; the side seams take the rest.
fn corrected_apportionment(corrections: &[Correction], draft: &Draft) -> Result<Apportionment, Problems> {
    let extra_suppression = |site: CorrectionSite| {
        let amounts = corrections.iter().filter(|one| one.at == site).filter_map(|one| match one.what {
            CorrectionTarget::Waist => Some(-one.by / 2.0),
            CorrectionTarget::Hip => Some(one.by / 2.0),
            _ => None,
        });
        sum_in_any_order(amounts)
    };
    let shared = extra_suppression(CorrectionSite::Shared);
    if corrections.iter().all(|one| one.at == CorrectionSite::Shared) {
        return Ok(with_scaled_given_darts(draft.inputs.rules.apportionment.clone(), draft, shared));
    }
    let intake: f64 = draft.panels().iter().flat_map(|panel| &panel.darts).map(|dart| dart.intake).sum();
    let at_darts = corrections.iter().position(|one| one.at == CorrectionSite::Darts);
    if let Some(k) = at_darts.filter(|_| intake <= 0.0) {
        let problem = Problem::new(Code::NoDart, format!("corrections[{k}].at"));
        return Err(problem.with_limit("\"side\" or \"shared\"").into());
    }
    let added = if intake > 0.0 { extra_suppression(CorrectionSite::Darts) / intake } else { 0.0 };
    Ok(apportionment_fixing_scaled_darts(draft, shared_dart_factor(draft, shared) + added))
}

/// Returns the factor of given darts when the nominal suppression of a draft grows by `extra_suppression`, shared in the
/// present proportion of side seams and darts; 1 without nominal suppression at the side seams.
fn shared_dart_factor(draft: &Draft, extra_suppression: f64) -> f64 {
    let Suppression { total, side, .. } = draft.nominal;
    if side > 0.0 { (total + extra_suppression) / total } else { 1.0 }
}

/// Returns the apportionment with intakes of given darts scaled like the nominal suppression of `draft`, which grows by
/// `extra_suppression`; unchanged without given darts.
fn with_scaled_given_darts(mut apportionment: Apportionment, draft: &Draft, extra_suppression: f64) -> Apportionment {
    if let Apportionment::Darts(Darts { back, front }) = &mut apportionment {
        let factor = shared_dart_factor(draft, extra_suppression);
        back.iter_mut().chain(front).for_each(|dart| dart.intake *= factor);
    }
    apportionment
}

/// Returns an apportionment that gives the darts of a draft as fixed darts, with every intake multiplied by `factor`.
fn apportionment_fixing_scaled_darts(draft: &Draft, factor: f64) -> Apportionment {
    let fixed = |dart: &Dart| FixedDart {
        intake: dart.intake * factor,
        length: dart.length,
        place: DartPosition::Centre(dart.centre),
    };
    let [back, front] = draft.panels().map(|panel| panel.darts.iter().map(fixed).collect());
    Apportionment::Darts(Darts { back, front })
}

/// Returns each input whose value differs between two sets of draft inputs, with the values before and after.
pub(crate) fn input_changes_between(before: &Inputs, after: &Inputs) -> Vec<InputChange> {
    let [before, after] = [before, after].map(paths_and_values_of_correctable_inputs);
    let value_before = |field: &str| before.iter().find(|(path, _)| path == field).map(|(_, value)| *value);
    let changes = after.into_iter().filter_map(|(field, after)| {
        let before = value_before(&field);
        (before != Some(after)).then_some(InputChange { field, before, after })
    });
    changes.collect()
}

/// Returns every input that a correction can change, as pairs of path and value.
fn paths_and_values_of_correctable_inputs(inputs: &Inputs) -> Vec<(String, f64)> {
    let Inputs { body, ease, rules } = inputs;
    let table = |prefix: &str, fields: &[Field], values: &[f64]| {
        let pairs = fields.iter().zip(values).map(|(field, value)| (format!("{prefix}{}", field.name), *value));
        pairs.collect::<Vec<_>>()
    };
    let mut all = table("body.", &Body::FIELDS, &body.into_array());
    all.extend(table("ease.", &Ease::FIELDS, &ease.into_array()));
    all.extend(table("rules.", &PanelRules::FIELDS, &rules.panel_rules.into_array()));
    if let Apportionment::Darts(darts) = &rules.apportionment {
        for (half, list) in [(Half::Back, &darts.back), (Half::Front, &darts.front)] {
            for (k, dart) in list.iter().enumerate() {
                let prefix = format!("rules.darts.{}[{k}].", half.name());
                all.extend(dart.fields_and_values().map(|(field, value)| (format!("{prefix}{}", field.name), value)));
            }
        }
    }
    all
}
