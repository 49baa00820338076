//! After the trial garment: corrections measured on the body turn into a changed draft, with a record of what changed.

use crate::body::{Apportionment, Body, DartPosition, Darts, Ease, FixedDart, Inputs, PanelRules};
use crate::draft::{Dart, Draft, Half, draft};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit};

/// The row of a correction.
pub(crate) const BY: Field = Field::new(
    "by",
    "By how much: above zero is more (let out, lower, longer), below zero less.",
    FieldKind::Length,
    (-20.0, 20.0),
    (-7.75, 7.75),
);

/// What a correction changes.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum CorrectionTarget {
    /// The waist of the garment, all around: it changes the ease.
    #[default]
    Waist,
    /// The hip of the garment, all around: it changes the ease.
    Hip,
    /// The hip line: above zero lower.
    HipLine,
    /// The waist at the centre back: above zero dropped.
    CentreBack,
    /// The waist at the centre front: above zero dropped.
    CentreFront,
    /// The length: above zero longer.
    Length,
}

/// Where a girth is taken in or let out.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "lowercase")]
pub enum CorrectionSite {
    /// As the rules share it out.
    #[default]
    Shared,
    /// At the side seams: the darts stay as they are, as given ones, and later corrections find them so.
    Side,
    /// At the darts, each in proportion: the side seams keep their shape, but for what closing the waist asks. As the darts
    /// are then given ones, later corrections find them so.
    Darts,
}

impl CorrectionTarget {
    /// All of them.
    pub const ALL: [CorrectionTarget; 6] = [
        CorrectionTarget::Waist,
        CorrectionTarget::Hip,
        CorrectionTarget::HipLine,
        CorrectionTarget::CentreBack,
        CorrectionTarget::CentreFront,
        CorrectionTarget::Length,
    ];

    /// The thing as it stands in JSON.
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
    /// All of them.
    pub const ALL: [CorrectionSite; 3] = [CorrectionSite::Shared, CorrectionSite::Side, CorrectionSite::Darts];

    /// The place as it stands in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            CorrectionSite::Shared => "shared",
            CorrectionSite::Side => "side",
            CorrectionSite::Darts => "darts",
        }
    }
}

/// One correction, in centimetres.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Correction {
    /// What it changes.
    pub what: CorrectionTarget,
    /// By how much, from −20 to 20 cm.
    pub by: f64,
    /// Where, of a girth.
    pub at: CorrectionSite,
}

impl Correction {
    /// The same from one unit to another.
    pub(crate) fn convert(self, from: Unit, to: Unit) -> Self {
        Self { by: BY.kind.convert(self.by, from, to), ..self }
    }
}

/// A number that a correction changed.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Its path in a request, such as `ease.waist`.
    pub field: String,
    /// What it was; none where it was not given. Lengths are centimetres.
    pub before: Option<f64>,
    /// What it is.
    pub after: f64,
}

/// A draft, and what was corrected since the first.
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
    first: Draft,
    rounds: Vec<Round>,
}

/// What one fitting asked, what it changed, and what came of it.
#[derive(Clone, Debug, PartialEq)]
struct Round {
    corrections: Vec<Correction>,
    changes: Vec<Change>,
    draft: Draft,
}

impl Fitting {
    /// The maximum number of corrections in a fitting.
    pub const MAX_CORRECTIONS: usize = 20;

    /// The first draft, nothing corrected yet.
    #[must_use]
    pub fn new(first: Draft) -> Self {
        Self { first, rounds: Vec::new() }
    }

    /// The draft as corrected.
    #[must_use]
    pub fn draft(&self) -> &Draft {
        self.rounds.last().map_or(&self.first, |round| &round.draft)
    }

    /// What the last corrections changed.
    #[must_use]
    pub fn changes(&self) -> &[Change] {
        self.rounds.last().map_or(&[], |round| &round.changes)
    }

    /// Every correction so far, a list for each fitting.
    pub fn corrections(&self) -> impl Iterator<Item = &[Correction]> {
        self.rounds.iter().map(|round| round.corrections.as_slice())
    }

    /// The corrections of one fitting, one after the other.
    ///
    /// # Errors
    /// All the [`Problems`] at once: an amount out of range (−20 to 20 cm), more than 20 corrections, two corrections of one
    /// thing in opposite directions, a girth to be changed at darts that are not there; else what [`draft`](crate::draft)
    /// refuses of the changed request.
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
        let draft = self.draft().corrected(corrections)?;
        let changes = changes(&self.draft().inputs, &draft.inputs);
        self.rounds.push(Round { corrections: corrections.to_vec(), changes, draft });
        Ok(self)
    }

    /// Without the last fitting's corrections; the draft is the one before them.
    #[must_use]
    pub fn undo(mut self) -> Self {
        self.rounds.pop();
        self
    }
}

impl Draft {
    /// The draft after the corrections of one fitting; see [`Fitting::correct`].
    pub(crate) fn corrected(&self, corrections: &[Correction]) -> Result<Draft, Problems> {
        let many = Problem::too_many("corrections", corrections.len(), Fitting::MAX_CORRECTIONS, "corrections");
        Problems::ok_if_empty(many.into_iter().collect())?;
        let ranges = corrections.iter().enumerate();
        let ranges = ranges.filter_map(|(k, one)| BY.check(&format!("corrections[{k}]."), one.by, Unit::Cm));
        Problems::ok_if_empty(ranges.chain(contradictions(corrections)).collect())?;
        let mut made = self.clone();
        for (k, correction) in corrections.iter().enumerate() {
            let mut inputs = made.inputs.clone();
            correct(&mut inputs, correction, &made, k)?;
            made = draft(&inputs.body, &inputs.ease, &inputs.rules)?;
        }
        Ok(made)
    }
}

/// Corrections of one thing at one place in opposite directions, and places of what has none.
fn contradictions(corrections: &[Correction]) -> Vec<Problem> {
    let against = |(k, one): (usize, &Correction)| {
        let against = |other: &Correction| other.what == one.what && other.at == one.at && other.by * one.by < 0.0;
        let other = corrections[..k].iter().position(against)?;
        let problem = Problem::new(Code::Conflict, format!("corrections[{k}].by"));
        Some(problem.with_limit(format!("corrections[{other}].by")))
    };
    let placed = |(k, one): (usize, &Correction)| {
        let misplaced =
            one.at != CorrectionSite::Shared && !matches!(one.what, CorrectionTarget::Waist | CorrectionTarget::Hip);
        let problem = || Problem::new(Code::Conflict, format!("corrections[{k}].at"));
        misplaced.then(|| problem().with_limit(format!("\"{}\"", one.what.name())))
    };
    let misplaced = corrections.iter().enumerate().filter_map(placed);
    corrections.iter().enumerate().filter_map(against).chain(misplaced).collect()
}

/// Changes what a draft was made for by one correction of it.
fn correct(inputs: &mut Inputs, correction: &Correction, made: &Draft, k: usize) -> Result<(), Problems> {
    let Correction { what, by, at } = *correction;
    // What half the garment has more to take in.
    let more = match what {
        CorrectionTarget::Waist => -by / 2.0,
        CorrectionTarget::Hip => by / 2.0,
        _ => 0.0,
    };
    inputs.rules.apportionment = match at {
        CorrectionSite::Shared => inputs.rules.apportionment.clone(),
        CorrectionSite::Side => given_darts(made, 1.0),
        CorrectionSite::Darts => {
            let taken: f64 = made.panels().iter().flat_map(|panel| &panel.darts).map(|dart| dart.intake).sum();
            if taken <= 0.0 {
                let problem = Problem::new(Code::NoDart, format!("corrections[{k}].at"));
                return Err(problem.with_limit("\"side\" or \"shared\"").into());
            }
            given_darts(made, (taken + more) / taken)
        }
    };
    *match what {
        CorrectionTarget::Waist => &mut inputs.ease.waist,
        CorrectionTarget::Hip => &mut inputs.ease.hip,
        CorrectionTarget::HipLine => &mut inputs.body.hip_depth,
        CorrectionTarget::CentreBack => &mut inputs.rules.panel_rules.centre_back_lower,
        CorrectionTarget::CentreFront => &mut inputs.rules.panel_rules.centre_front_lower,
        CorrectionTarget::Length => &mut inputs.body.length,
    } += by;
    Ok(())
}

/// The darts as drafted, or so many times as wide, as given ones.
fn given_darts(made: &Draft, times: f64) -> Apportionment {
    let given = |dart: &Dart| FixedDart {
        intake: dart.intake * times,
        length: dart.length,
        place: DartPosition::Centre(dart.centre),
    };
    let [back, front] = made.panels().map(|panel| panel.darts.iter().map(given).collect());
    Apportionment::Darts(Darts { back, front })
}

/// Every number of a request that differs from what it was before.
pub(crate) fn changes(before: &Inputs, after: &Inputs) -> Vec<Change> {
    let [before, after] = [before, after].map(numbers);
    let was = |field: &str| before.iter().find(|(name, _)| name == field).map(|(_, value)| *value);
    let changed = after.into_iter().filter_map(|(field, after)| {
        let before = was(&field);
        (before != Some(after)).then_some(Change { field, before, after })
    });
    changed.collect()
}

/// Every number of a request by its path; shares are no numbers of a draft by given darts.
fn numbers(inputs: &Inputs) -> Vec<(String, f64)> {
    let Inputs { body, ease, rules } = inputs;
    let table = |path: &str, fields: &[Field], values: &[f64]| {
        let named = fields.iter().zip(values).map(|(field, value)| (format!("{path}{}", field.name), *value));
        named.collect::<Vec<_>>()
    };
    let mut all = table("body.", &Body::FIELDS, &body.into_array());
    all.extend(table("ease.", &Ease::FIELDS, &ease.into_array()));
    all.extend(table("rules.", &PanelRules::FIELDS, &rules.panel_rules.into_array()));
    if let Apportionment::Darts(darts) = &rules.apportionment {
        for (half, list) in [(Half::Back, &darts.back), (Half::Front, &darts.front)] {
            for (k, dart) in list.iter().enumerate() {
                let path = format!("rules.darts.{}[{k}].", half.name());
                all.extend(dart.given().map(|(field, value)| (format!("{path}{}", field.name), value)));
            }
        }
    }
    all
}
