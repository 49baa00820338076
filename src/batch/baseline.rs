//! Baseline for benchmarks of tables: drafts bodies in lanes, without grouping rows or writing a table.

use pulp::{Arch, Simd, WithSimd};

use crate::body::{Body, Ease, PanelRules, Shares};
use crate::draft::{
    LaneApportionment, SeriesCurves, lane_closing_suppressions, tangent_of_degrees, visit_lane_summary,
};
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
        let shares = Shares::default();
        let lane_shares = shares.map(Lanes::constant);
        let steepest_side = Lanes::constant(tangent_of_degrees(shares.steepest_side));
        let apportionment = LaneApportionment::Shares(&lane_shares, [2, 1], steepest_side);
        let (ease, panel_rules) = (ease.map(Lanes::constant), PanelRules::default().map(Lanes::constant));
        let series_lengths = SeriesCurves::from_panel_rules(&PanelRules::default());
        let rows = waists.iter().zip(hips).zip(hip_depths).zip(self.results.as_chunks_mut::<LANES>().0);
        for (((waist, hip), hip_depth), results) in rows {
            let body = Body {
                waist: Lanes(*waist),
                hip: Lanes(*hip),
                hip_depth: Lanes(*hip_depth),
                length: Lanes::constant(length),
            };
            let mut result = Lanes::FALSE;
            if WITH_SUMMARY {
                visit_lane_summary(
                    &body,
                    &ease,
                    &panel_rules,
                    series_lengths,
                    apportionment,
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
                result = lane_closing_suppressions(&body, &ease, &panel_rules, series_lengths, apportionment).0;
            }
            *results = result.0;
        }
    }
}
