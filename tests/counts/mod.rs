//! Rules that say how many darts a panel has.

use kirtle::{Apportionment, DartCount, Rules, Shares};

/// Returns rules by shares with these numbers of darts in back and front.
pub(crate) fn rules_with_counts([back_darts, front_darts]: [DartCount; 2]) -> Rules {
    let shares = Shares { back_darts, front_darts, ..Shares::default() };
    Rules { apportionment: Apportionment::Shares(shares), ..Rules::default() }
}
