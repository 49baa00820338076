//! What a draft starts from: the body, the ease, and the drafter's rules.

mod inputs;
mod rules;

pub(crate) use inputs::{Inputs, too_many};
pub use rules::{Apportion, Darts, FixedDart, MOST_DARTS, Place, Rules, Shares, Stance};

use crate::measure::fields;

fields! {
    /// The body's measurements, in centimetres.
    ///
    /// Any numbers can be put in; [`draft`](crate::draft) refuses what is out of range, all of it at once.
    ///
    /// ```
    /// let body = kirtle::Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
    /// assert_eq!(kirtle::Body::FIELDS[0].name, "waist");
    /// assert_eq!(kirtle::Body::FIELDS[0].range, (40.0, 200.0));
    /// # let _ = body;
    /// ```
    Body {
        /// Girth at the natural waist (ISO 8559-1, 5.3.10).
        waist: Length [(40.0, 200.0), (16.0, 78.0)];
        /// Girth at the fullest hip (ISO 8559-1, 5.3.13).
        hip: Length [(50.0, 220.0), (20.0, 86.0)];
        /// From the waist to the line of the fullest hip, down the side.
        hip_depth: Length [(10.0, 40.0), (4.0, 15.5)];
        /// From the waist to the hem, down the side; at least 1 cm more than the hip depth.
        length: Length [(15.0, 150.0), (6.0, 59.0)];
    }
}

fields! {
    /// The ease: what the garment is wider than the body, added to the whole girth, in centimetres.
    ///
    /// It is the drafter's to choose, so there is no default. Negative ease is for cloth that stretches.
    ///
    /// ```
    /// let ease = kirtle::Ease { waist: 1.5, hip: 5.0 };
    /// # let _ = ease;
    /// ```
    Ease {
        /// Added to the waist girth.
        waist: Length [(-10.0, 40.0), (-3.5, 15.5)];
        /// Added to the hip girth.
        hip: Length [(-10.0, 60.0), (-3.5, 23.5)];
    }
}
