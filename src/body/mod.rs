//! What a draft starts from: the body, the ease, and the drafter's rules.

mod inputs;
mod rules;

pub(crate) use inputs::{Inputs, MIN_BELOW_HIP, Named, both_ways, numbers};
pub(crate) use rules::MAX_DARTS;
#[cfg(feature = "python")]
pub(crate) use rules::shares_table;
pub use rules::{Apportionment, DartPosition, Darts, FixedDart, PanelRules, Rules, Shares};

use crate::field::fields;

/// The table of [`Body`], for any macro that makes something of it.
macro_rules! body_table {
    ($make:ident) => {
        $make! {
            /// The body's measurements, in centimetres.
            ///
            /// What is out of range is refused, all of it at once.
            Body {
                /// Girth at the natural waist (ISO 8559-1, 5.3.10).
                waist: Length [(40.0, 200.0), (16.0, 78.0)];
                /// Girth at the fullest hip (ISO 8559-1, 5.3.13).
                hip: Length [(50.0, 220.0), (20.0, 86.0)];
                /// From the waist at the side straight down to the line of the fullest hip; over the curve it is a little longer.
                hip_depth: Length [(10.0, 40.0), (4.0, 15.5)];
                /// From the waist at the side straight down to the hem; at least 1 cm more than the hip depth.
                length: Length [(15.0, 150.0), (6.0, 59.0)];
            }
        }
    };
}

/// The table of [`Ease`], for any macro that makes something of it.
macro_rules! ease_table {
    ($make:ident) => {
        $make! {
            /// The ease: what the garment is wider than the body, added to the whole girth, in centimetres.
            ///
            /// It is the drafter's to choose, so there is no default. Negative ease is for cloth that stretches.
            Ease {
                /// Added to the waist girth.
                waist: Length [(-10.0, 40.0), (-3.5, 15.5)];
                /// Added to the hip girth.
                hip: Length [(-10.0, 60.0), (-3.5, 23.5)];
            }
        }
    };
}

body_table!(fields);
ease_table!(fields);
#[cfg(feature = "python")]
pub(crate) use {body_table, ease_table};
