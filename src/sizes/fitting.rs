//! Corrections from the fitting of a trial garment: changed inputs, corrected draft, and a history with undo.
//!
//! The corrections of one fitting are applied together, and their order does not matter.

use crate::body::{Apportionment, DartPosition, Darts, GivenDart, Inputs};
use crate::draft::{Draft, Half, Panel, Suppression, check_and_draft_inputs};
use crate::error::{Code, Problem, Problems};
use crate::field::{Field, FieldKind, Unit, choices};

const CORRECTION_AMOUNT_DOC: &str = "Amount of the correction: positive is wider, lower, longer or towards the side; negative is \
     narrower, higher, shorter or towards the centre. At waist and hip it is the whole girth: 0.5 pinned double at both side seams \
     is 2. A dart changes by this amount on the left and on the right. For `side_fullness` it is a ratio without unit, at most 1.5.";

/// Definition (description and range) of [`Correction::by`] for every correction but that of the side fullness.
pub(crate) const CORRECTION_AMOUNT_FIELD: Field =
    Field::new("by", CORRECTION_AMOUNT_DOC, FieldKind::Length, (-20.0, 20.0));

/// Definition (description and range) of [`Correction::by`] for a correction of the side fullness; the range is the
/// widest change that the rule permits.
const SIDE_FULLNESS_AMOUNT_FIELD: Field = Field::new("by", CORRECTION_AMOUNT_DOC, FieldKind::Ratio, (-1.5, 1.5));

choices! {
    /// What a correction changes.
    #[derive(Default)]
    CorrectionTarget {
        /// Girth of the garment at the waist; the correction changes the waist ease.
        #[default]
        Waist = "waist";
        /// Girth of the garment at the hip; the correction changes the hip ease.
        Hip = "hip";
        /// Level of the hip line; a positive amount lowers the hip line.
        HipLine = "hip_line";
        /// Height of the waist line at the centre back; a positive amount lowers the waist line.
        CentreBack = "centre_back";
        /// Height of the waist line at the centre front; a positive amount lowers the waist line.
        CentreFront = "centre_front";
        /// Length of the skirt; a positive amount lengthens the skirt.
        Length = "length";
        /// Room between waist and hip: the rule `side_fullness`, a ratio. A positive amount gives more room at the high
        /// hip. The darts stay.
        SideFullness = "side_fullness";
        /// Width at the hip moved from back to front: the rule `balance`, or the arc over the front where it is
        /// measured. A positive amount moves each side seam towards the back. The darts stay.
        Balance = "balance";
        /// Distance of a dart from the centre line; a positive amount moves the dart towards the side.
        DartPlace = "dart_place";
        /// Length of a dart; a positive amount lengthens the dart.
        DartLength = "dart_length";
        /// Intake of a dart; a positive amount takes in more. The finished waist stays: the side seams take the rest.
        DartIntake = "dart_intake";
    }
}

choices! {
    /// Seams or darts at which a correction is made.
    #[derive(Default)]
    CorrectionSite {
        /// Side seams and darts together, for a correction of waist or hip: by the shares of the drafting rules or, if
        /// the rules give darts, in the present proportion of the nominal suppression of side seams and darts. A
        /// correction of neither girth nor dart has this site, too.
        #[default]
        Shared = "shared";
        /// Side seams only. The darts become given darts with their present intake, length and position.
        Side = "side";
        /// All darts. A correction of waist or hip changes all intakes in proportion, and the side seams only as much
        /// as closing the waist requires. The darts become given darts.
        Darts = "darts";
        /// At each dart of the back.
        Back = "back";
        /// At each dart of the front.
        Front = "front";
        /// At the first dart of the back from the centre.
        Back1 = "back 1";
        /// At the second dart of the back from the centre.
        Back2 = "back 2";
        /// At the third dart of the back from the centre.
        Back3 = "back 3";
        /// At the first dart of the front from the centre.
        Front1 = "front 1";
        /// At the second dart of the front from the centre.
        Front2 = "front 2";
        /// At the third dart of the front from the centre.
        Front3 = "front 3";
        /// At the centre back seam, for a correction of the waist: the rule `centre_back_in`. The darts and side seams
        /// stay.
        CentreBack = "centre_back";
    }
}

impl CorrectionTarget {
    /// Returns the definition (description and range) of [`Correction::by`] for a correction of this target.
    pub(crate) fn amount_field(self) -> &'static Field {
        if self == CorrectionTarget::SideFullness { &SIDE_FULLNESS_AMOUNT_FIELD } else { &CORRECTION_AMOUNT_FIELD }
    }
}

impl CorrectionSite {
    /// Returns whether this site includes the dart called `name`, such as `back 1`.
    fn includes_dart(self, name: &str) -> bool {
        self == Self::Darts || name.starts_with(self.name())
    }
}

/// Returns the name of a dart, such as `back 1`, the back dart nearest the centre.
pub(super) fn dart_name(half: Half, number: usize) -> String {
    format!("{} {number}", half.name())
}

/// Correction after the fitting of a trial garment.
///
/// ```
/// use kirtle::sizes::{Correction, CorrectionSite, CorrectionTarget, Fitting};
/// use kirtle::{Body, Ease, Rules};
///
/// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let longer = Correction { what: CorrectionTarget::Length, by: 2.0, at: CorrectionSite::Shared };
/// let fitting = Fitting::new(draft).correct(&[longer])?;
/// assert_eq!(fitting.draft().body().length, 64.0);
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Correction {
    /// What to change.
    pub what: CorrectionTarget,
    /// Amount of the change: from −20 to 20 cm; of the side fullness, a ratio from −1.5 to 1.5. Positive is wider,
    /// lower, longer or towards the side. Of waist and hip, the change of the whole girth: 0.5 pinned double at both
    /// side seams is 2.
    pub by: f64,
    /// Seams or darts at which the correction is made; `shared` for what is neither girth nor dart.
    pub at: CorrectionSite,
}

impl Correction {
    pub(crate) fn convert_amount(self, from: Unit, to: Unit) -> Self {
        Self { by: self.what.amount_field().kind.convert_unit(self.by, from, to), ..self }
    }
}

/// Change of one input of a draft: the values before and after a correction.
#[derive(Clone, Debug, PartialEq)]
pub struct InputChange {
    /// Path of the input in a request, such as `ease.waist`.
    pub field: String,
    /// Kind of the input: a length, or a ratio without unit.
    pub kind: FieldKind,
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

/// One fitting of a history: corrections, changed inputs and corrected draft.
#[derive(Clone, Debug, PartialEq)]
pub struct FittingRound {
    /// Corrections of the fitting, in the order given.
    pub corrections: Vec<Correction>,
    /// Inputs that the corrections changed, with the values before and after.
    pub changes: Vec<InputChange>,
    /// Measurements of the figure that replace corrections of the centre heights, the balance or a larger side
    /// fullness: with these measurements, the corrected darts and all other corrections, the same body gets the
    /// corrected draft. Where no length to the floor is measured, the lengths end at the hem.
    pub measurements: Vec<InputChange>,
    /// Draft after the corrections.
    pub draft: Draft,
}

impl Fitting {
    /// Maximum number of corrections in one fitting.
    pub const MAX_CORRECTIONS_PER_FITTING: usize = 20;

    /// Creates a history with an uncorrected draft and no fitting.
    pub fn new(uncorrected: Draft) -> Self {
        Self { uncorrected, rounds: Vec::new() }
    }

    /// Returns the draft after all corrections of all fittings; before the first fitting, the uncorrected draft.
    pub fn draft(&self) -> &Draft {
        self.rounds.last().map_or(&self.uncorrected, |round| &round.draft)
    }

    /// Returns the inputs that the last fitting changed; empty before the first fitting.
    pub fn changes(&self) -> &[InputChange] {
        self.rounds.last().map_or(&[], |round| &round.changes)
    }

    /// Returns the measurements with the effect of corrections of the last fitting; empty before the first fitting.
    ///
    /// ```
    /// use kirtle::{Body, Ease, Figure, Rules};
    /// use kirtle::sizes::{Correction, CorrectionSite, CorrectionTarget, Fitting};
    ///
    /// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
    /// let figure = Figure { side_length: Some(101.0), back_length: Some(100.0), ..Figure::default() };
    /// let first = kirtle::draft_figure(&body, &figure, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
    /// let lower = Correction { what: CorrectionTarget::CentreBack, by: 1.0, at: CorrectionSite::Shared };
    /// let fitted = Fitting::new(first).correct(&[lower])?;
    /// assert_eq!(fitted.measurements()[0].field, "body.figure.back_length");
    /// assert_eq!(fitted.measurements()[0].after, 99.0);
    /// # Ok::<(), kirtle::Problems>(())
    /// ```
    pub fn measurements(&self) -> &[InputChange] {
        self.rounds.last().map_or(&[], |round| &round.measurements)
    }

    /// Returns the fittings from first to last.
    pub fn rounds(&self) -> &[FittingRound] {
        &self.rounds
    }

    /// Returns the history with one more fitting; its corrections apply together to the latest draft, in any order.
    ///
    /// The numbers of darts stay and become chosen numbers, unless a skirt with these numbers cannot be drafted.
    ///
    /// # Errors
    /// An amount out of range (see [`Correction::by`]); more than 20 corrections; two opposite corrections of
    /// one thing at one site; a site that does not suit what is corrected; a dart that the draft does not have; and all
    /// [`Problems`] of [`draft`](crate::draft()) for the changed inputs.
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
        let changes = input_changes_between(self.draft(), &draft);
        let mut measurements = self.draft().measurements_replacing_corrections(&draft);
        measurements.retain(|measurement| !changes.contains(measurement));
        self.rounds.push(FittingRound { corrections: corrections.to_vec(), changes, measurements, draft });
        Ok(self)
    }

    /// Returns the history without the last fitting; unchanged before the first fitting.
    pub fn undo(mut self) -> Self {
        self.rounds.pop();
        self
    }
}

impl Draft {
    /// Returns a new draft: this draft with the corrections of one fitting applied together; see [`Fitting::correct`].
    pub(crate) fn redraft_with_corrections(&self, corrections: &[Correction]) -> Result<Draft, Problems> {
        let (name, count, max) = ("corrections", corrections.len(), Fitting::MAX_CORRECTIONS_PER_FITTING);
        Problems::ok_if_empty(Problem::too_many_problem(name, count, max, name))?;
        let range_problem = |(k, one): (usize, &Correction)| {
            one.what.amount_field().range_problem(&format!("corrections[{k}]."), one.by, Unit::Cm)
        };
        // A correction that is opposite to an earlier correction of the same target at the same site.
        let opposite_problem = |(k, one): (usize, &Correction)| {
            let is_opposite =
                |other: &Correction| other.what == one.what && other.at == one.at && other.by * one.by < 0.0;
            let other = corrections[..k].iter().position(is_opposite)?;
            let problem = Problem::new(Code::Conflict, format!("corrections[{k}].by"));
            Some(problem.with_limit(format!("corrections[{other}].by")))
        };
        let site_problem = |(k, one): (usize, &Correction)| self.correction_site_problem(k, *one);
        let each = || corrections.iter().enumerate();
        let problems = each().filter_map(range_problem).chain(each().filter_map(opposite_problem));
        Problems::ok_if_empty(problems.chain(each().filter_map(site_problem)))?;
        let mut inputs = self.inputs.clone();
        inputs.rules.apportionment = corrected_apportionment(corrections, self);
        for what in CorrectionTarget::ALL {
            correct_input(&mut inputs, what, total_amount(corrections, |one| one.what == what));
        }
        let at_centre_back = total_amount(corrections, |one| one.at == CorrectionSite::CentreBack);
        inputs.rules.panel_rules.centre_back_in -= at_centre_back / 2.0;
        let rules = inputs.rules.clone().with_unchosen_dart_counts_set(self.dart_counts().map(Some));
        let kept = Inputs { rules, ..inputs.clone() };
        let mut draft = check_and_draft_inputs(kept).or_else(|_| check_and_draft_inputs(inputs))?;
        draft.inputs = draft.inputs_with_drafted_dart_counts();
        Ok(draft)
    }

    /// Returns the problem of correction `k` if its site does not suit its target, or names a missing dart.
    fn correction_site_problem(&self, k: usize, Correction { what, at, .. }: Correction) -> Option<Problem> {
        let problem = |code| Problem::new(code, format!("corrections[{k}].at"));
        let is_of_dart = what.name().starts_with("dart_");
        let is_girth = matches!(what, CorrectionTarget::Waist | CorrectionTarget::Hip);
        let suits = |site: &CorrectionSite| match site {
            CorrectionSite::Shared => !is_of_dart,
            CorrectionSite::Side => is_girth,
            CorrectionSite::Darts => is_girth || is_of_dart,
            CorrectionSite::CentreBack => what == CorrectionTarget::Waist,
            _ => is_of_dart,
        };
        let limit = if is_of_dart {
            "\"darts\", \"back\", \"front\", or one dart, counted from the centre, such as \"back 1\"".to_owned()
        } else {
            let sites = CorrectionSite::ALL.iter().filter(|site| suits(site)).map(|site| format!("\"{site}\""));
            sites.collect::<Vec<_>>().join(" or ")
        };
        if is_of_dart && at == CorrectionSite::Shared {
            return Some(problem(Code::Missing).with_limit(limit));
        } else if !suits(&at) {
            let wrong = problem(Code::UnknownChoice).with_value(format!("\"{at}\""));
            return Some(wrong.with_limit(format!("{limit}, a place for \"{what}\"")));
        }
        let panels = self.panels().into_iter();
        let names = panels.flat_map(|panel| (1..=panel.darts.len()).map(|number| dart_name(panel.half, number)));
        let names: Vec<String> = names.collect();
        let is_there = !is_of_dart && at != CorrectionSite::Darts || names.iter().any(|name| at.includes_dart(name));
        let others = match names.join("\" or \"") {
            _ if !is_of_dart => "\"side\" or \"shared\"".to_owned(),
            names if names.is_empty() => "a \"what\" without darts, as this draft has none".to_owned(),
            names => format!("\"{names}\""),
        };
        (!is_there).then(|| problem(Code::NoDart).with_value(format!("\"{at}\"")).with_limit(others))
    }
}

/// Returns the sum of `numbers`, sorted first: every order of the numbers gives the same sum to the last bit.
fn order_independent_sum(numbers: impl Iterator<Item = f64>) -> f64 {
    let mut numbers: Vec<f64> = numbers.collect();
    numbers.sort_by(f64::total_cmp);
    numbers.iter().sum()
}

/// Returns the sum of the amounts of chosen corrections, the same to the last bit in every order.
fn total_amount(corrections: &[Correction], is_chosen: impl Fn(&Correction) -> bool) -> f64 {
    order_independent_sum(corrections.iter().filter(|one| is_chosen(one)).map(|one| one.by))
}

/// Adds the amount `by` of the corrections of `what` to the input that they change; darts are no input of their own.
fn correct_input(Inputs { body, figure, ease, rules }: &mut Inputs, what: CorrectionTarget, by: f64) {
    let rules = &mut rules.panel_rules;
    *match what {
        CorrectionTarget::Waist => &mut ease.waist,
        CorrectionTarget::Hip => &mut ease.hip,
        CorrectionTarget::HipLine => &mut body.hip_depth,
        CorrectionTarget::CentreBack => &mut rules.centre_back_lower,
        CorrectionTarget::CentreFront => &mut rules.centre_front_lower,
        CorrectionTarget::Length => &mut body.length,
        CorrectionTarget::SideFullness => &mut rules.side_fullness,
        CorrectionTarget::Balance => {
            // Half an arc over the front, with its ease, is the width of the front.
            let arc = |girth: f64, ease: f64| move |arc: f64| arc + 2.0 * by * girth / (girth + ease);
            figure.front_waist = figure.front_waist.map(arc(body.waist, ease.waist));
            figure.front_hip = figure.front_hip.map(arc(body.hip, ease.hip));
            // A measured arc at the hip decides in place of the rule.
            if figure.front_hip.is_some() {
                return;
            }
            &mut rules.balance
        }
        CorrectionTarget::DartPlace | CorrectionTarget::DartLength | CorrectionTarget::DartIntake => return,
    } += by;
}

/// Returns the apportionment after the corrections of one fitting of a draft.
///
/// If a correction is not shared, or changes side fullness or balance, the present darts become given darts. Their
/// intakes grow by the sum of the corrections at the darts, and by their present share of the shared corrections; the
/// side seams take the rest.
fn corrected_apportionment(corrections: &[Correction], draft: &Draft) -> Apportionment {
    let extra_suppression = |site: CorrectionSite| {
        let amounts = corrections.iter().filter(|one| one.at == site).filter_map(|one| match one.what {
            CorrectionTarget::Waist => Some(-one.by / 2.0),
            CorrectionTarget::Hip => Some(one.by / 2.0),
            _ => None,
        });
        order_independent_sum(amounts)
    };
    let shared = extra_suppression(CorrectionSite::Shared);
    let keeps_darts = |what| matches!(what, CorrectionTarget::SideFullness | CorrectionTarget::Balance);
    // The nominal suppression grows by `shared` in the present proportion of side seams and darts, and the intakes of
    // given darts by this factor; 1 if the side seams have no nominal suppression.
    let Suppression { total, side, .. } = draft.nominal;
    let nominal = total - draft.inputs.rules.panel_rules.centre_back_in;
    let factor = if side > 0.0 { (nominal + shared) / nominal } else { 1.0 };
    // Darts grow with the hip depth, as the lengths of darts by shares are shares of it.
    let lowering = total_amount(corrections, |one| one.what == CorrectionTarget::HipLine);
    let lengthening = 1.0 + lowering / draft.body().hip_depth;
    if corrections.iter().all(|one| one.at == CorrectionSite::Shared && !keeps_darts(one.what)) {
        let mut apportionment = draft.inputs.rules.apportionment.clone();
        if let Apportionment::Darts(Darts { back, front }) = &mut apportionment {
            for dart in back.iter_mut().chain(front) {
                (dart.intake, dart.length) = (dart.intake * factor, dart.length * lengthening);
            }
        }
        return apportionment;
    }
    let intake: f64 = draft.panels().iter().flat_map(|panel| &panel.darts).map(|dart| dart.intake).sum();
    let added = if intake > 0.0 { extra_suppression(CorrectionSite::Darts) / intake } else { 0.0 };
    let [back, front] = draft.panels().map(|panel| corrected_darts(panel, [factor + added, lengthening], corrections));
    Apportionment::Darts(Darts { back, front })
}

/// Returns the darts of a panel as given darts: all intakes and all lengths multiplied by a factor each, then each dart
/// corrected.
fn corrected_darts(panel: &Panel, factors: [f64; 2], corrections: &[Correction]) -> Vec<GivenDart> {
    let corrected = |(k, dart): (usize, &crate::draft::Dart)| {
        let name = dart_name(panel.half, k + 1);
        let by = |what| total_amount(corrections, |one| one.what == what && one.at.includes_dart(&name));
        GivenDart {
            intake: dart.intake * factors[0] + by(CorrectionTarget::DartIntake),
            length: dart.length * factors[1] + by(CorrectionTarget::DartLength),
            place: DartPosition::Centre(dart.centre + by(CorrectionTarget::DartPlace)),
        }
    };
    panel.darts.iter().enumerate().map(corrected).collect()
}

/// Returns each input whose value differs between two drafts, with the values before and after. Numbers of darts count
/// as inputs, even if the rules leave them to the draft.
pub(crate) fn input_changes_between(before: &Draft, after: &Draft) -> Vec<InputChange> {
    let [before, after] = [before, after].map(input_paths_kinds_and_values);
    let change = |(field, kind, after): (String, FieldKind, f64)| {
        let before = before.iter().find(|(name, ..)| *name == field).map(|(.., value)| *value);
        (before != Some(after)).then_some(InputChange { field, kind, before, after })
    };
    after.into_iter().filter_map(change).collect()
}

/// Returns path, kind and value of every number in a draft's inputs and, for darts by shares, of the numbers of darts.
fn input_paths_kinds_and_values(draft: &Draft) -> Vec<(String, FieldKind, f64)> {
    let inputs = draft.inputs_with_drafted_dart_counts();
    let numbers = inputs.input_numbers().into_iter();
    let mut all: Vec<_> =
        numbers.map(|(path, field, value)| (format!("{path}{}", field.name), field.kind, value)).collect();
    if let Apportionment::Shares(shares) = &inputs.rules.apportionment {
        for (half, count) in Half::ALL.into_iter().zip(shares.dart_count_rules()) {
            let chosen = count.chosen_count().map(|count| count as f64);
            let path = format!("rules.shares.{}_darts", half.name());
            all.extend(chosen.map(|count| (path, FieldKind::Ratio, count)));
        }
    }
    all
}
