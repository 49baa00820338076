//! The least that a table of drafts can take: the closing of the waists side by side, with no table around it.

use pulp::{Arch, Simd, WithSimd};

use crate::body::{Body, Ease, Shares, Stance};
use crate::draft::{Alike, Simple, steepest, suppressions};
use crate::scalar::{LANES, Lanes, Number};

/// Closes the waists of bodies by the default rules, as if each had two darts in the back and one in front, and writes the
/// suppressions; for benchmarks, to set the table beside it.
pub fn closings(bodies: [&[f64]; 3], length: f64, ease: &Ease, suppressions: &mut [f64]) {
    Arch::new().dispatch(Closings { bodies, length, ease, suppressions });
}

struct Closings<'a> {
    bodies: [&'a [f64]; 3],
    length: f64,
    ease: &'a Ease,
    suppressions: &'a mut [f64],
}

impl WithSimd for Closings<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) {
        let [waists, hips, hip_depths] = self.bodies.map(|column| column.as_chunks::<LANES>().0);
        let shares = Shares::default();
        let alike = shares.map(Lanes::constant);
        let alike = Alike::Shares(&alike, [2, 1], Lanes::constant(steepest(shares.steepest_side)));
        let (ease, stance) = (self.ease.map(Lanes::constant), Stance::default().map(Lanes::constant));
        let rows = waists.iter().zip(hips).zip(hip_depths).zip(self.suppressions.as_chunks_mut::<LANES>().0);
        for (((waist, hip), hip_depth), out) in rows {
            let body = Body {
                waist: Lanes(*waist),
                hip: Lanes(*hip),
                hip_depth: Lanes(*hip_depth),
                length: Lanes::constant(self.length),
            };
            *out = suppressions(&body, &ease, &stance, Simple::of(&Stance::default()), alike).0.0;
        }
    }
}
