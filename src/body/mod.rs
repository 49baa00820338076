//! Inputs of a draft: measurements of the body, ease, and the rules of the drafter.
//!
//! The public structs hold unchecked numbers. `Inputs::check_and_convert_to_cm` checks them; all later code relies on
//! its ranges.

mod figure;
mod inputs;
mod rules;

pub use figure::Figure;
pub(crate) use figure::{FIGURE_PARTS, FIGURE_PATH_PREFIX, figure_problems, figure_table, is_given};
pub(crate) use inputs::{
    InputNumber, Inputs, MIN_HEM_BELOW_HIP_CM, dart_count_problems, shares_and_darts_conflict_problem,
};
pub use rules::{Apportionment, DartCount, DartPosition, Darts, GivenDart, PanelRules, Rules, Shares};
pub(crate) use rules::{MAX_DARTS_PER_PANEL, shares_table};

use crate::field::fields;

fields! { @table ($) body_table []
    /// Measurements of the body, in centimetres.
    ///
    /// Drafting checks the ranges and reports every measurement out of range together.
    Body {
        /// Girth at the natural waist (ISO 8559-1, 5.3.10).
        waist: Length (40.0, 200.0);
        /// Girth at the fullest hip (ISO 8559-1, 5.3.13).
        hip: Length (50.0, 220.0);
        /// Vertical distance from the waist at the side to the line of the fullest hip. A tape laid over the
        /// curve of the body measures slightly more.
        hip_depth: Length (10.0, 40.0);
        /// Vertical distance from the waist at the side to the hem; at least 1 cm more than the hip depth.
        length: Length (15.0, 150.0);
    }
}

fields! { @table ($) ease_table []
    /// Ease: girth of the garment minus girth of the body, over the whole girth, in centimetres.
    ///
    /// The drafter chooses the ease, so there is no default. Negative ease is for cloth that stretches.
    Ease {
        /// Ease added to the whole waist girth.
        waist: Length (-10.0, 40.0);
        /// Ease added to the whole hip girth.
        hip: Length (-10.0, 60.0);
    }
}
