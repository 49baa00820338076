//! Baseline for benchmarks of tables: drafts bodies in lanes, without grouping rows or writing a table.

use pulp::{Arch, Simd, WithSimd};

use crate::body::{Body, Ease, Inputs, Rules, Shares};
use crate::draft::{DraftKind, closing_suppression, tangent_of_degrees, visit_summary};
use crate::scalar::{LANES, Lanes, Number};

/// Input of a benchmark's baseline: bodies to draft in lanes by the default rules, two back darts and one front dart.
#[derive(Clone, Copy, Debug)]
pub struct BenchBaseline<'a> {
    /// Waists, hips and hip depths of the bodies, in centimetres; those after the last full group of 16 are skipped.
    pub bodies: [&'a [f64]; 3],
    /// Skirt length, the same for every body, in centimetres.
    pub length: f64,
    /// Ease, the same for every body, in centimetres.
    pub ease: &'a Ease,
}

impl BenchBaseline<'_> {
    /// Closes the waist of every body and writes the total suppression of each to `suppressions`, in centimetres.
    pub fn write_total_suppressions(self, suppressions: &mut [f64]) {
        Arch::new().dispatch(BaselineWork::<false> { baseline: self, results: suppressions });
    }

    /// Drafts every body, adds up all numbers of its table row, and writes the sum to `sums`, one sum per body.
    pub fn write_number_sums(self, sums: &mut [f64]) {
        Arch::new().dispatch(BaselineWork::<true> { baseline: self, results: sums });
    }
}

struct BaselineWork<'a, const WITH_SUMMARY: bool> {
    baseline: BenchBaseline<'a>,
    results: &'a mut [f64],
}

impl<const WITH_SUMMARY: bool> WithSimd for BaselineWork<'_, WITH_SUMMARY> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) {
        let BenchBaseline { bodies, length, ease } = self.baseline;
        let [waists, hips, hip_depths] = bodies.map(|column| column.as_chunks::<LANES>().0);
        let kind = DraftKind::from_flags([true, true, false, true, false, false, true, true, true]);
        let max_tangent = Lanes::constant(tangent_of_degrees(Shares::default().steepest_side));
        let body = Body { waist: 0.0, hip: 0.0, hip_depth: 0.0, length }.map(Lanes::constant);
        let rules = Rules::default().map_numbers(&mut Lanes::constant);
        let mut inputs = Inputs { body, ease: ease.map(Lanes::constant), rules };
        let rows = waists.iter().zip(hips).zip(hip_depths).zip(self.results.as_chunks_mut::<LANES>().0);
        for (((waist, hip), hip_depth), results) in rows {
            let measured = Body { waist: *waist, hip: *hip, hip_depth: *hip_depth, length: [length; LANES] };
            inputs.body = measured.map(Lanes);
            let mut result = Lanes::constant(0.0);
            if WITH_SUMMARY {
                visit_summary(
                    &inputs,
                    kind,
                    max_tangent,
                    #[inline(always)]
                    |summary, _| {
                        summary.for_each_table_number(
                            [2, 1],
                            #[inline(always)]
                            |number| result += *number,
                        );
                    },
                );
            } else {
                result = closing_suppression(&inputs, kind, max_tangent);
            }
            *results = result.0;
        }
    }
}
