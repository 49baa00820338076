//! The least that a table of drafts can take: the same work side by side, with no table around it; for benchmarks.

use pulp::{Arch, Simd, WithSimd};

use crate::body::{Body, Ease, PanelRules, Shares};
use crate::draft::{LaneApportionment, Simple, steepest, summaries, suppressions};
use crate::scalar::{LANES, Lanes, Number};

/// Bodies that are drafted by the default rules, as if each had two darts in the back and one in front.
#[derive(Clone, Copy, Debug)]
pub struct Bare<'a> {
    /// Waist, hip and hip depth.
    pub bodies: [&'a [f64]; 3],
    /// The length of all of them.
    pub length: f64,
    /// The ease of all of them.
    pub ease: &'a Ease,
}

impl Bare<'_> {
    /// Closes the waists, and writes the suppressions.
    pub fn closings(self, suppressions: &mut [f64]) {
        Arch::new().dispatch(Work::<false> { bare: self, out: suppressions });
    }

    /// Closes the waists, measures all that a table tells, and writes one sum of it for each body.
    pub fn summaries(self, sums: &mut [f64]) {
        Arch::new().dispatch(Work::<true> { bare: self, out: sums });
    }
}

struct Work<'a, const MEASURED: bool> {
    bare: Bare<'a>,
    out: &'a mut [f64],
}

impl<const MEASURED: bool> WithSimd for Work<'_, MEASURED> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) {
        let Bare { bodies, length, ease } = self.bare;
        let [waists, hips, hip_depths] = bodies.map(|column| column.as_chunks::<LANES>().0);
        let shares = Shares::default();
        let alike = shares.map(Lanes::constant);
        let alike = LaneApportionment::Shares(&alike, [2, 1], Lanes::constant(steepest(shares.steepest_side)));
        let (ease, panel_rules) = (ease.map(Lanes::constant), PanelRules::default().map(Lanes::constant));
        let simple = Simple::of(&PanelRules::default());
        let rows = waists.iter().zip(hips).zip(hip_depths).zip(self.out.as_chunks_mut::<LANES>().0);
        for (((waist, hip), hip_depth), out) in rows {
            let body = Body {
                waist: Lanes(*waist),
                hip: Lanes(*hip),
                hip_depth: Lanes(*hip_depth),
                length: Lanes::constant(length),
            };
            let mut told = Lanes::NO;
            if MEASURED {
                summaries(
                    &body,
                    &ease,
                    &panel_rules,
                    simple,
                    alike,
                    #[inline(always)]
                    |summary, _| {
                        summary.each(
                            [2, 1],
                            #[inline(always)]
                            |number| told += *number,
                        );
                    },
                );
            } else {
                told = suppressions(&body, &ease, &panel_rules, simple, alike).0;
            }
            *out = told.0;
        }
    }
}
