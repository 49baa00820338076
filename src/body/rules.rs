//! The drafter's choices, as data. Each has a default, a range and a reason.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::field::{Field, FieldKind, Unit, fields};

/// The maximum number of darts in one panel.
pub(crate) const MAX_DARTS: usize = 3;

/// The drafter's choices: how the panels stand, and how the suppression is shared out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Rules<T = f64> {
    /// How front and back stand to each other.
    #[serde(flatten)]
    pub panel_rules: PanelRules<T>,
    /// How the suppression is shared out among side seams and darts.
    #[serde(flatten)]
    pub apportionment: Apportionment<T>,
}

impl Default for Rules {
    /// Every rule at its default; change of them what you want otherwise.
    ///
    /// ```
    /// use kirtle::{Apportionment, PanelRules, Rules, Shares};
    ///
    /// let one_back_dart = Shares { largest_dart: 4.5, ..Shares::default() };
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
    /// The same rules from one unit to another.
    pub(crate) fn convert(self, from: Unit, to: Unit) -> Self {
        let dart = |dart: FixedDart| dart.convert(from, to);
        let panel_rules = self.panel_rules.convert(from, to);
        let apportionment = match self.apportionment {
            Apportionment::Shares(shares) => Apportionment::Shares(shares.convert(from, to)),
            Apportionment::Darts(Darts { back, front }) => Apportionment::Darts(Darts {
                back: back.into_iter().map(dart).collect(),
                front: front.into_iter().map(dart).collect(),
            }),
        };
        Self { panel_rules, apportionment }
    }
}

impl<T> Rules<T> {
    /// How many darts back and front can have at the most.
    pub(crate) fn max_darts(&self) -> [usize; 2] {
        match &self.apportionment {
            Apportionment::Shares(_) => [2, 2],
            Apportionment::Darts(darts) => [darts.back.len(), darts.front.len()],
        }
    }

    /// The same rules over another scalar.
    pub(crate) fn map<U>(self, f: &mut impl FnMut(T) -> U) -> Rules<U> {
        Rules { panel_rules: self.panel_rules.map(&mut *f), apportionment: self.apportionment.map(f) }
    }
}

fields! {
    /// How front and back stand to each other.
    PanelRules {
        /// Front is a quarter of the hip plus this, back a quarter less this: the side seam then lies a little behind
        /// the middle of the side, as several published methods place it.
        balance: Length [(-5.0, 5.0), (-1.75, 1.75)] = 1.0;
        /// Lowers the centre of the back waist further, for a waist that dips behind (posture, or waist heights that
        /// were measured from the floor).
        centre_back_lower: Length [(-2.0, 4.0), (-0.75, 1.5)] = 0.0;
        /// Lowers the centre of the front waist further, for a waist that dips in front.
        centre_front_lower: Length [(-2.0, 4.0), (-0.75, 1.5)] = 0.0;
        /// How full the side seam is between waist and hip line: its slope from the upright at the waist, for that of the straight
        /// line from hip to waist. At 1.5 it runs as a springy strip that is held upright at the hip line and let go at the waist;
        /// a larger number leaves more room at the high hip, a smaller one less.
        side_fullness: Ratio [(1.0, 2.5)] = 1.5;
    }
}

impl Default for PanelRules {
    fn default() -> Self {
        Self::from_array(Field::defaults(&Self::FIELDS))
    }
}

/// The two ways to share out the suppression, the difference between hip and waist on half the garment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Apportionment<T = f64> {
    /// By shares of the suppression: the engine finds number and intake of the darts.
    Shares(Shares<T>),
    /// By given darts: the side seam takes the rest.
    Darts(Darts<T>),
}

impl Default for Apportionment {
    fn default() -> Self {
        Self::Shares(Shares::default())
    }
}

impl<T> Apportionment<T> {
    fn map<U>(self, f: &mut impl FnMut(T) -> U) -> Apportionment<U> {
        match self {
            Self::Shares(shares) => Apportionment::Shares(shares.map(f)),
            Self::Darts(darts) => Apportionment::Darts(darts.map(f)),
        }
    }
}

/// The table of [`Shares`], for any macro that makes something of it.
macro_rules! shares_table {
    ($make:ident) => {
        $make! {
            /// Apportioning by shares. What back and front do not take, the side seam takes.
            Shares {
                /// The back's share of the suppression. Two published worked drafts give side 0.5, back 0.3, front 0.2.
                back_share: Ratio [(0.0, 0.5)] = 0.3;
                /// The front's share of the suppression; less than the back's, as the seat is fuller than the belly.
                front_share: Ratio [(0.0, 0.5)] = 0.2;
                /// A panel's intake above this is split into two darts; two of these are the most that a panel takes (common
                /// practice: a larger dart pokes at its tip).
                largest_dart: Length [(2.0, 6.0), (0.8, 2.3)] = 3.0;
                /// A panel that would take less than this has no dart, as not worth sewing, and its share goes to the side seam.
                smallest_dart: Length [(0.2, 2.0), (0.1, 0.75)] = 0.8;
                /// The steepest lean of the side seam at the waist that is asked for; what is over goes to the darts.
                steepest_side: Angle [(5.0, 45.0)] = 20.0;
                /// Length of the back dart next to the centre, or of the only one, as a share of the hip depth. Published:
                /// back 11 to 14 cm, front 8 to 12 cm, for a hip depth of about 20 cm.
                back_inner_length: Ratio [(0.2, 0.8)] = 0.68;
                /// Length of the back dart next to the side, as a share of the hip depth; shorter, as the seat's fullness is nearer the
                /// centre.
                back_outer_length: Ratio [(0.2, 0.8)] = 0.62;
                /// Length of the front dart next to the centre, or of the only one, as a share of the hip depth; short, as the belly is
                /// high.
                front_inner_length: Ratio [(0.2, 0.8)] = 0.5;
                /// Length of the front dart next to the side, as a share of the hip depth; a little shorter than its neighbour.
                front_outer_length: Ratio [(0.2, 0.8)] = 0.45;
                /// Place of a single dart, as a share of the panel's waist from the centre (published: half-way).
                single_place: Ratio [(0.3, 0.7)] = 0.5;
                /// Place of the first of two darts (published: at the thirds of the waist).
                inner_place: Ratio [(0.2, 0.45)] = 1.0 / 3.0;
                /// Place of the second of two darts (published: at the thirds of the waist).
                outer_place: Ratio [(0.55, 0.8)] = 2.0 / 3.0;
            }
        }
    };
}

shares_table!(fields);
#[cfg(feature = "python")]
pub(crate) use shares_table;

impl Default for Shares {
    fn default() -> Self {
        Self::from_array(Field::defaults(&Self::FIELDS))
    }
}

/// Given darts for both panels, each list from the centre to the side; at most [`MAX_DARTS`] a panel.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Darts<T = f64> {
    /// The darts of the back panel.
    pub back: Vec<FixedDart<T>>,
    /// The darts of the front panel.
    pub front: Vec<FixedDart<T>>,
}

impl Darts {
    /// The maximum number of darts in one panel.
    pub const MAX_PER_PANEL: usize = MAX_DARTS;
}

impl<T> Darts<T> {
    /// The same darts over another number.
    pub(crate) fn map<U>(self, f: &mut impl FnMut(T) -> U) -> Darts<U> {
        Darts {
            back: self.back.into_iter().map(|dart| dart.map(f)).collect(),
            front: self.front.into_iter().map(|dart| dart.map(f)).collect(),
        }
    }
}

/// A dart as a handbook gives it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FixedDart<T = f64> {
    /// Width of the mouth.
    pub intake: T,
    /// From the mouth to the tip, down the dart's centre.
    pub length: T,
    /// Where its centre stands on the waist.
    #[serde(flatten)]
    pub place: DartPosition<T>,
}

/// Where a dart's centre stands on the panel's waist.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum DartPosition<T = f64> {
    /// As a share of the panel's waist, from the centre line.
    #[serde(rename = "place")]
    Share(T),
    /// As a distance from the centre line.
    Centre(T),
}

impl FixedDart {
    /// The rows of a given dart; of `place` and `centre` exactly one is given.
    pub const FIELDS: [Field; 4] = {
        [
            Field::new("intake", "Width of the mouth.", FieldKind::Length, (0.2, 8.0), (0.1, 3.0)),
            Field::new("length", "From the mouth to the tip.", FieldKind::Length, (4.0, 30.0), (1.75, 11.5)),
            Field::new(
                "place",
                "Its centre, as a share of the panel's waist.",
                FieldKind::Ratio,
                (0.05, 0.95),
                (0.05, 0.95),
            ),
            Field::new("centre", "Its centre, from the centre line.", FieldKind::Length, (1.0, 60.0), (0.5, 23.5)),
        ]
    };

    /// The same dart from one unit to another.
    pub(crate) fn convert(self, from: Unit, to: Unit) -> Self {
        let length = |value| FieldKind::Length.convert(value, from, to);
        let place = match self.place {
            DartPosition::Centre(distance) => DartPosition::Centre(length(distance)),
            share @ DartPosition::Share(_) => share,
        };
        Self { intake: length(self.intake), length: length(self.length), place }
    }
}

impl<T> FixedDart<T> {
    /// Each number that is given, with its row.
    pub(crate) fn given(self) -> [(&'static Field, T); 3] {
        let [intake, length, place, centre] = const { &FixedDart::FIELDS };
        let placed = match self.place {
            DartPosition::Share(share) => (place, share),
            DartPosition::Centre(distance) => (centre, distance),
        };
        [(intake, self.intake), (length, self.length), placed]
    }

    fn map<U>(self, f: &mut impl FnMut(T) -> U) -> FixedDart<U> {
        FixedDart { intake: f(self.intake), length: f(self.length), place: self.place.map(f) }
    }
}

impl<T> DartPosition<T> {
    /// The same place over another scalar.
    pub(crate) fn map<U>(self, f: &mut impl FnMut(T) -> U) -> DartPosition<U> {
        match self {
            Self::Share(share) => DartPosition::Share(f(share)),
            Self::Centre(distance) => DartPosition::Centre(f(distance)),
        }
    }
}
