//! After the trial garment: corrections measured on the body turn into a changed draft, with a record of what changed.

use crate::body::{Apportion, Body, Darts, Ease, FixedDart, Place, Rules};
use crate::draft::{Dart, Draft, Half, draft};
use crate::error::{Code, Problem, Problems};
use crate::measure::{Field, Kind, Unit};

/// The row of a correction.
pub(crate) const BY: Field = Field {
    name: "by",
    what: "By how much: above zero is more (let out, lower, longer), below zero less.",
    kind: Kind::Length,
    range: (-20.0, 20.0),
    range_in: (-7.75, 7.75),
    default: None,
};

/// The most corrections of one fitting.
pub const MOST_CORRECTIONS: usize = 20;

/// What a correction changes.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum What {
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
pub enum At {
    /// As the rules share it out.
    #[default]
    Shared,
    /// At the side seams: the darts stay as they are, as given ones, and later corrections find them so.
    Side,
    /// At the darts, each in proportion: the side seams keep their shape, but for what closing the waist asks. As the darts
    /// are then given ones, later corrections find them so.
    Darts,
}

impl What {
    /// All of them.
    pub const ALL: [What; 6] =
        [What::Waist, What::Hip, What::HipLine, What::CentreBack, What::CentreFront, What::Length];

    /// The thing as it stands in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            What::Waist => "waist",
            What::Hip => "hip",
            What::HipLine => "hip_line",
            What::CentreBack => "centre_back",
            What::CentreFront => "centre_front",
            What::Length => "length",
        }
    }
}

impl At {
    /// All of them.
    pub const ALL: [At; 3] = [At::Shared, At::Side, At::Darts];

    /// The place as it stands in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            At::Shared => "shared",
            At::Side => "side",
            At::Darts => "darts",
        }
    }
}

/// One correction, in centimetres.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Correction {
    /// What it changes.
    pub what: What,
    /// By how much, from −20 to 20 cm.
    pub by: f64,
    /// Where, of a girth.
    pub at: At,
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
/// use kirtle::{At, Body, Correction, Ease, Fitting, Rules, What};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let first = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let taken_in = Correction { what: What::Waist, by: -1.0, at: At::Side };
/// let fitted = Fitting::new(first.clone()).correct(&[taken_in])?;
/// assert_eq!(fitted.draft().ease().waist, 0.5);
/// assert_eq!(fitted.changes()[0].field, "ease.waist");
/// assert_eq!(fitted.undo().draft(), &first);
///
/// let let_out = Correction { what: What::Waist, by: 2.0, at: At::Side };
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
    /// All the [`Problems`] at once: an amount out of range, two corrections of one thing in opposite directions, a girth to be
    /// changed at darts that are not there; else what [`draft`](crate::draft) refuses of the changed request.
    pub fn correct(mut self, corrections: &[Correction]) -> Result<Self, Problems> {
        if corrections.len() > MOST_CORRECTIONS {
            return Err(too_many(corrections.len()).into());
        }
        let problems = contradictions(corrections);
        let ranges = corrections.iter().enumerate();
        let ranges = ranges.filter_map(|(k, one)| BY.check(&format!("corrections[{k}]."), one.by, Unit::Cm));
        Problems::none(ranges.chain(problems).collect())?;
        let mut made = self.draft().clone();
        for (k, correction) in corrections.iter().enumerate() {
            let mut state = State { body: *made.body(), ease: *made.ease(), rules: made.rules().clone() };
            state.correct(correction, &made, k)?;
            made = draft(&state.body, &state.ease, &state.rules)?;
        }
        let changes = changes(self.draft(), &made);
        self.rounds.push(Round { corrections: corrections.to_vec(), changes, draft: made });
        Ok(self)
    }

    /// Without the last fitting's corrections; the draft is the one before them.
    #[must_use]
    pub fn undo(mut self) -> Self {
        self.rounds.pop();
        self
    }
}

/// The problem of more corrections than a fitting takes.
pub(crate) fn too_many(count: usize) -> Problem {
    let problem = Problem::new(Code::TooMany, "corrections").with_value(format!("{count} corrections"));
    problem.with_limit(format!("{MOST_CORRECTIONS} corrections"))
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
        let misplaced = one.at != At::Shared && !matches!(one.what, What::Waist | What::Hip);
        let problem = || Problem::new(Code::Conflict, format!("corrections[{k}].at"));
        misplaced.then(|| problem().with_limit(format!("\"{}\"", one.what.name())))
    };
    let misplaced = corrections.iter().enumerate().filter_map(placed);
    corrections.iter().enumerate().filter_map(against).chain(misplaced).collect()
}

/// A request as it changes.
struct State {
    body: Body,
    ease: Ease,
    rules: Rules,
}

impl State {
    fn correct(&mut self, correction: &Correction, made: &Draft, k: usize) -> Result<(), Problems> {
        let Correction { what, by, at } = *correction;
        match what {
            What::Waist => self.keep(made, at, -by / 2.0, k)?,
            What::Hip => self.keep(made, at, by / 2.0, k)?,
            _ => {}
        }
        *match what {
            What::Waist => &mut self.ease.waist,
            What::Hip => &mut self.ease.hip,
            What::HipLine => &mut self.body.hip_depth,
            What::CentreBack => &mut self.rules.stance.centre_back_lower,
            What::CentreFront => &mut self.rules.stance.centre_front_lower,
            What::Length => &mut self.body.length,
        } += by;
        Ok(())
    }

    /// Keeps what is not to change: the darts as drafted, or wider by all that half the garment has more to take in.
    fn keep(&mut self, made: &Draft, at: At, more: f64, k: usize) -> Result<(), Problems> {
        let taken: f64 = made.panels().iter().flat_map(|panel| &panel.darts).map(|dart| dart.intake).sum();
        let factor = match at {
            At::Shared => return Ok(()),
            At::Side => 1.0,
            At::Darts if taken > 0.0 => (taken + more) / taken,
            At::Darts => {
                let problem = Problem::new(Code::NoDart, format!("corrections[{k}].at"));
                return Err(problem.with_limit("\"side\" or \"shared\"").into());
            }
        };
        let given = |dart: &Dart| FixedDart {
            intake: dart.intake * factor,
            length: dart.length,
            place: Place::Centre(dart.centre),
        };
        let [back, front] = made.panels().map(|panel| panel.darts.iter().map(given).collect());
        self.rules.apportion = Apportion::Darts(Darts { back, front });
        Ok(())
    }
}

/// Every number of a request that differs between two drafts.
fn changes(before: &Draft, after: &Draft) -> Vec<Change> {
    let [before, after] = [before, after].map(numbers);
    let was = |field: &str| before.iter().find(|(name, _)| name == field).map(|(_, value)| *value);
    let changed = after.into_iter().filter_map(|(field, after)| {
        let before = was(&field);
        (before != Some(after)).then_some(Change { field, before, after })
    });
    changed.collect()
}

/// Every number of a draft's request by its path; shares are no numbers of a draft by given darts.
fn numbers(draft: &Draft) -> Vec<(String, f64)> {
    let table = |path: &str, fields: &[Field], values: &[f64]| {
        let named = fields.iter().zip(values).map(|(field, value)| (format!("{path}{}", field.name), *value));
        named.collect::<Vec<_>>()
    };
    let stance = draft.rules().stance;
    let mut all = table("body.", &Body::FIELDS, &draft.body().into_array());
    all.extend(table("ease.", &Ease::FIELDS, &draft.ease().into_array()));
    all.extend(table("rules.", &crate::body::Stance::FIELDS, &stance.into_array()));
    if let Apportion::Darts(darts) = &draft.rules().apportion {
        for (half, list) in [(Half::Back, &darts.back), (Half::Front, &darts.front)] {
            for (k, dart) in list.iter().enumerate() {
                let path = format!("rules.darts.{}[{k}].", half.name());
                all.extend(dart.given().map(|(field, value)| (format!("{path}{}", field.name), value)));
            }
        }
    }
    all
}
