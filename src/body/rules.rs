//! [`Rules`]: the choices of the drafter. Every number has a range; all but those of given darts have a default.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::field::{Field, FieldKind, Unit, fields};

/// Maximum number of darts in one panel, back or front.
pub(crate) const MAX_DARTS_PER_PANEL: usize = 3;

/// Maximum number of darts in a panel for which the rules choose no number, so that the intake decides it.
const MAX_DARTS_WITHOUT_CHOSEN_COUNT: usize = 2;

/// Choices of the drafter: shape of the panels, and apportionment of the suppression.
///
/// ```
/// use kirtle::{Body, Ease, PanelRules, Rules};
///
/// let body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };
/// let rules = Rules { panel_rules: PanelRules { balance: 0.0, ..PanelRules::default() }, ..Rules::default() };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &rules)?;
/// assert_eq!(draft.front.width, draft.back.width); // Without balance the front is as wide as the back.
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Rules<T = f64> {
    /// Rules for the width, waist and side seam of front and back.
    #[serde(flatten)]
    pub panel_rules: PanelRules<T>,
    /// Apportionment of the suppression among side seams and darts.
    #[serde(flatten)]
    pub apportionment: Apportionment<T>,
}

impl Default for Rules {
    /// Returns rules with default values; replace single values with struct update syntax.
    ///
    /// ```
    /// use kirtle::{Apportionment, DartCount, PanelRules, Rules, Shares};
    ///
    /// let one_back_dart = Shares { back_darts: DartCount::Exactly(1), ..Shares::default() };
    /// let rules = Rules {
    ///     panel_rules: PanelRules { balance: 0.0, ..PanelRules::default() },
    ///     apportionment: Apportionment::Shares(one_back_dart),
    /// };
    /// assert_eq!(Rules { panel_rules: PanelRules::default(), ..rules }.panel_rules.balance, 1.0);
    /// ```
    fn default() -> Self {
        Self { panel_rules: PanelRules::default(), apportionment: Apportionment::default() }
    }
}

impl Rules {
    /// Converts the lengths of the rules from one unit to another.
    pub(crate) fn convert_lengths(self, from: Unit, to: Unit) -> Self {
        self.map_fields(&mut |field, number| field.kind.convert_unit(number, from, to))
    }
}

impl<T: Copy> Rules<T> {
    /// Returns the shares that divide the suppression; `None` if the rules give the darts explicitly.
    pub(crate) fn shares(&self) -> Option<&Shares<T>> {
        if let Apportionment::Shares(shares) = &self.apportionment { Some(shares) } else { None }
    }

    /// Returns the maximum number of darts that the rules allow in each panel: back, then front.
    pub(crate) fn max_darts_by_panel(&self) -> [usize; 2] {
        match &self.apportionment {
            Apportionment::Shares(shares) => {
                shares.dart_count_rules().map(|rule| rule.chosen_count().unwrap_or(MAX_DARTS_WITHOUT_CHOSEN_COUNT))
            }
            Apportionment::Darts(darts) => [darts.back.len(), darts.front.len()],
        }
    }

    /// Returns the rules with the numbers of darts `counts` (back, front) in the panels for which the rules choose no
    /// number; `None` leaves its panel as it is.
    pub(crate) fn with_unchosen_dart_counts_set(mut self, counts: [Option<usize>; 2]) -> Self {
        if let Apportionment::Shares(shares) = &mut self.apportionment {
            for (given, count) in [&mut shares.back_darts, &mut shares.front_darts].into_iter().zip(counts) {
                let count = count.and_then(|count| u8::try_from(count).ok()).filter(|_| given.chosen_count().is_none());
                *given = count.map_or(*given, DartCount::Exactly);
            }
        }
        self
    }

    /// Returns, for back and front, the minimum intake of a dart: the rule `smallest_dart` if the panel's number of
    /// darts is a chosen number, else `zero`.
    #[inline(always)]
    pub(crate) fn min_intakes_for_chosen_counts(&self, zero: T) -> [T; 2] {
        let Apportionment::Shares(shares) = &self.apportionment else { return [zero; 2] };
        let [back, front] = shares.dart_count_rules().map(|rule| rule.chosen_count().is_some());
        [if back { shares.smallest_dart } else { zero }, if front { shares.smallest_dart } else { zero }]
    }

    /// Applies a function to every number of the rules with its definition, in the order of the tables.
    pub(crate) fn map_fields<U>(&self, f: &mut impl FnMut(&'static Field, T) -> U) -> Rules<U> {
        let panel_rules = self.panel_rules.map_fields(&mut *f);
        let apportionment = match &self.apportionment {
            Apportionment::Shares(shares) => Apportionment::Shares(shares.map_fields(f)),
            Apportionment::Darts(Darts { back, front }) => {
                let [back, front] =
                    [back, front].map(|darts| darts.iter().map(|dart| dart.map_fields(&mut *f)).collect());
                Apportionment::Darts(Darts { back, front })
            }
        };
        Rules { panel_rules, apportionment }
    }
}

fields! {
    /// Rules for the width, waist and side seam of front and back.
    PanelRules: Default {
        /// Width moved from back to front: the front is a quarter of the hip plus the balance, the back a quarter minus
        /// the balance. The side seam then lies slightly behind the middle of the side, as in several published
        /// methods. Where the figure has a `front_hip`, that arc decides.
        balance: Length (-5.0, 5.0) = 1.0;
        /// Additional lowering of the waist at the centre back, for a waist that dips at the back (by posture, or by
        /// waist heights measured from the floor).
        centre_back_lower: Length (-2.0, 4.0) = 0.0;
        /// Additional lowering of the waist at the centre front, for a waist that dips at the front.
        centre_front_lower: Length (-2.0, 4.0) = 0.0;
        /// Distance by which the centre back seam lies further in at the level of the waist at the side than at the hip
        /// line. The seam is straight between these levels and vertical below. The distance is part of the suppression;
        /// side seams and darts share the rest. A published worked draft has 1.0 cm.
        centre_back_in: Length (0.0, 2.5) = 0.0;
        /// Fullness of the side seam between waist and hip line: slope of the seam from the vertical at the waist,
        /// divided by the slope of the straight line from hip to waist. 1.5 gives the natural spline, vertical at the
        /// hip line and free at the waist. A larger fullness gives more room at the high hip, a smaller fullness less.
        side_fullness: Ratio (1.0, 2.5) = 1.5;
    }
}

/// Apportionment of the suppression (hip minus waist on half the garment): by shares, or by given darts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Apportionment<T = f64> {
    /// Shares of the suppression; the draft computes number and intake of the darts.
    Shares(Shares<T>),
    /// Given darts; the side seams take the remaining suppression.
    Darts(Darts<T>),
}

impl Default for Apportionment {
    fn default() -> Self {
        Self::Shares(Shares::default())
    }
}

fields! { @table ($) shares_table []
    /// Apportionment by shares: the side seams take the suppression that the darts of back and front do not
    /// take.
    Shares: Default {
        /// Share of the suppression for the back darts. Two published worked drafts give side 0.5, back 0.3,
        /// front 0.2.
        back_share: Ratio (0.0, 0.5) = 0.3;
        /// Share of the suppression for the front darts; less than at the back, because the seat is fuller than
        /// the belly.
        front_share: Ratio (0.0, 0.5) = 0.2;
        /// Largest intake of one back dart: a back with more intake gets two darts, unless their number is
        /// chosen, and the side seams take what its darts have no room for. Common practice, because a larger
        /// dart pokes at its tip.
        back_largest_dart: Length (2.0, 6.0) = 3.0;
        /// Largest intake of one front dart; has the effect on the front that `back_largest_dart` has on the back.
        front_largest_dart: Length (2.0, 6.0) = 3.0;
        /// Smallest intake worth sewing: a panel with less intake gets no dart, unless their number is chosen,
        /// and the side seams take its share.
        smallest_dart: Length (0.2, 2.0) = 0.8;
        /// Largest angle between the side seam and the vertical at the waist, in degrees; the darts take the
        /// suppression beyond the angle.
        steepest_side: Angle (5.0, 45.0) = 20.0;
        /// Length of a single back dart, or of the back dart nearer the centre, as a share of the hip depth.
        /// Published lengths are 11 to 14 cm at the back and 8 to 12 cm at the front, for a hip depth of about
        /// 20 cm.
        back_inner_length: Ratio (0.2, 0.8) = 0.68;
        /// Length of the back dart nearer the side, as a share of the hip depth; shorter than the dart nearer
        /// the centre, because the seat is fullest near the centre.
        back_outer_length: Ratio (0.2, 0.8) = 0.62;
        /// Length of a single front dart, or of the front dart nearer the centre, as a share of the hip depth;
        /// short, because the belly is high.
        front_inner_length: Ratio (0.2, 0.8) = 0.5;
        /// Length of the front dart nearer the side, as a share of the hip depth; slightly shorter than the
        /// dart nearer the centre.
        front_outer_length: Ratio (0.2, 0.8) = 0.45;
        /// Position of a single dart, as a share of the panel's waist from the centre line (published: the
        /// middle).
        single_place: Ratio (0.3, 0.7) = 0.5;
        /// Position of the inner of two darts, as a share of the panel's waist from the centre line (published:
        /// one third).
        inner_place: Ratio (0.2, 0.45) = 1.0 / 3.0;
        /// Position of the outer of two darts, as a share of the panel's waist from the centre line (published:
        /// two thirds).
        outer_place: Ratio (0.55, 0.8) = 2.0 / 3.0;
        choices:
        /// Number of back darts.
        back_darts: DartCount;
        /// Number of front darts.
        front_darts: DartCount;
    }
}

/// Number of darts of one panel, in JSON and Python `"auto"`, `"per_size"` or a whole number from 0 to 3.
///
/// Three darts stand at the quarters of the panel's waist, and the middle dart is as long as the mean of its
/// neighbours: the choice of this library, as no source gives either.
///
/// ```
/// use kirtle::{Apportionment, Body, DartCount, Ease, Rules, Shares};
///
/// let shares = Shares { back_darts: DartCount::Exactly(3), front_darts: DartCount::Exactly(0), ..Shares::default() };
/// let rules = Rules { apportionment: Apportionment::Shares(shares), ..Rules::default() };
/// let body = Body { waist: 70.0, hip: 100.0, hip_depth: 20.0, length: 60.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &rules)?;
/// assert_eq!((draft.back.darts.len(), draft.front.darts.len()), (3, 0));
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum DartCount {
    /// 0, 1 or 2 darts, as `smallest_dart` and the panel's largest dart require. All sizes of a range have one number,
    /// which most of the sizes require.
    #[default]
    Auto,
    /// As [`Auto`](Self::Auto), but each size of a range has the number that it requires.
    PerSize,
    /// A chosen number, from 0 to 3.
    #[serde(untagged)]
    Exactly(#[schemars(range(max = 3))] u8),
}

impl DartCount {
    /// All rules for the number of darts: automatic, per size, and each chosen number from 0 to 3.
    pub const ALL: [DartCount; 6] =
        [Self::Auto, Self::PerSize, Self::Exactly(0), Self::Exactly(1), Self::Exactly(2), Self::Exactly(3)];

    /// Returns the chosen number of darts; `None` for [`Auto`](Self::Auto) and [`PerSize`](Self::PerSize).
    pub fn chosen_count(self) -> Option<usize> {
        if let Self::Exactly(count) = self { Some(usize::from(count)) } else { None }
    }

    /// Returns the word for the rule in JSON; `None` for a chosen number.
    pub fn json_word(self) -> Option<&'static str> {
        match self {
            Self::Auto => Some("auto"),
            Self::PerSize => Some("per_size"),
            Self::Exactly(_) => None,
        }
    }
}

impl<T: Copy> Shares<T> {
    /// Returns the largest intake of one back dart, then of one front dart.
    #[inline(always)]
    pub(crate) fn largest_dart_intakes(&self) -> [T; 2] {
        [self.back_largest_dart, self.front_largest_dart]
    }

    /// Returns the rule for the number of back darts, then the rule for the number of front darts.
    pub(crate) fn dart_count_rules(&self) -> [DartCount; 2] {
        [self.back_darts, self.front_darts]
    }
}

/// Given darts of back and front, at most 3 in each panel, in order from the centre to the side.
///
/// ```
/// use kirtle::{Apportionment, Body, DartPosition, Darts, Ease, GivenDart, Rules};
///
/// let dart = GivenDart { intake: 3.0, length: 13.0, place: DartPosition::Centre(8.0) };
/// let darts = Darts { back: vec![dart], front: vec![GivenDart { intake: 2.0, length: 10.0, ..dart }] };
/// let rules = Rules { apportionment: Apportionment::Darts(darts), ..Rules::default() };
/// let body = Body { waist: 70.0, hip: 94.0, hip_depth: 20.0, length: 60.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &rules)?;
/// assert_eq!(draft.back.darts[0].intake, 3.0); // The side seams take the rest of the suppression.
/// # Ok::<(), kirtle::Problems>(())
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Darts<T = f64> {
    /// Darts of the back panel, from the centre to the side.
    pub back: Vec<GivenDart<T>>,
    /// Darts of the front panel, from the centre to the side.
    pub front: Vec<GivenDart<T>>,
}

impl Darts {
    /// Maximum number of given darts in one panel.
    pub const MAX_PER_PANEL: usize = MAX_DARTS_PER_PANEL;
}

/// Dart given by intake, length and position.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct GivenDart<T = f64> {
    /// Intake: width of the dart's mouth at the waist.
    pub intake: T,
    /// Length of the dart along its centre, from the mouth to the tip.
    pub length: T,
    /// Position of the dart's centre on the panel's waist: a share or a distance.
    #[serde(flatten)]
    pub place: DartPosition<T>,
}

/// Position of a dart's centre on the waist of a panel.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum DartPosition<T = f64> {
    /// Share of the panel's waist that lies between the centre line and the dart's centre, from 0.05 to 0.95.
    #[serde(rename = "place")]
    Share(T),
    /// Distance of the dart's centre from the centre line, straight across the panel with its darts open.
    Centre(T),
}

impl GivenDart {
    /// Definitions of the numbers of a given dart: intake, length, and the two ways to state its position.
    pub const FIELDS: [Field; 4] = {
        use FieldKind::{Length, Ratio};
        let place = "Position of the dart's centre, as a share of the panel's waist from the centre line.";
        let centre =
            "Distance from the centre line to the dart's centre, straight across the panel with its darts open.";
        [
            Field::new("intake", "Intake: width of the dart's mouth.", Length, (0.2, 8.0)),
            Field::new("length", "Length of the dart from the mouth to the tip.", Length, (4.0, 30.0)),
            Field::new("place", place, Ratio, (0.05, 0.95)),
            Field::new("centre", centre, Length, (1.0, 60.0)),
        ]
    };

    /// Converts the lengths of the given dart from one unit to another.
    pub(crate) fn convert_lengths(self, from: Unit, to: Unit) -> Self {
        self.map_fields(|field, number| field.kind.convert_unit(number, from, to))
    }
}

impl<T> GivenDart<T> {
    /// Applies a function to intake, length and position of the dart, each with its definition.
    pub(crate) fn map_fields<U>(self, mut f: impl FnMut(&'static Field, T) -> U) -> GivenDart<U> {
        let [intake, length, place, centre] = const { &GivenDart::FIELDS };
        let (intake, length) = (f(intake, self.intake), f(length, self.length));
        let place = match self.place {
            DartPosition::Share(share) => DartPosition::Share(f(place, share)),
            DartPosition::Centre(distance) => DartPosition::Centre(f(centre, distance)),
        };
        GivenDart { intake, length, place }
    }
}
