//! Baseline for benchmarks of tables: drafts bodies in lanes, without grouping rows or writing a table.

use pulp::{Arch, Simd, WithSimd};

use crate::body::{Body, Ease, PanelRules, Shares};
use crate::draft::{LaneApportionment, SeriesLengths, lane_suppressions, tangent_of_degrees, visit_lane_summary};
use crate::scalar::{LANES, Lanes, Number};

/// Baseline of a benchmark: bodies to draft by the default rules, each with two back darts and one front dart.
#[derive(Clone, Copy, Debug)]
pub struct Baseline<'a> {
    /// Waists, hips and hip depths of the bodies, in centimetres; bodies after the last full group of 16 are skipped.
    pub bodies: [&'a [f64]; 3],
    /// Skirt length, the same for every body, in centimetres.
    pub length: f64,
    /// Ease, the same for every body, in centimetres.
    pub ease: &'a Ease,
}

impl Baseline<'_> {
    /// Closes the waist of every body and writes the total suppression of each body to `suppressions`.
    pub fn write_suppressions(self, suppressions: &mut [f64]) {
        Arch::new().dispatch(BaselineWork::<false> { baseline: self, results: suppressions });
    }

    /// Closes the waist of every body, measures all numbers of its table row and writes their sum to `sums`.
    pub fn write_summary_sums(self, sums: &mut [f64]) {
        Arch::new().dispatch(BaselineWork::<true> { baseline: self, results: sums });
    }
}

struct BaselineWork<'a, const WITH_SUMMARY: bool> {
    baseline: Baseline<'a>,
    results: &'a mut [f64],
}

impl<const WITH_SUMMARY: bool> WithSimd for BaselineWork<'_, WITH_SUMMARY> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) {
        let Baseline { bodies, length, ease } = self.baseline;
        let [waists, hips, hip_depths] = bodies.map(|column| column.as_chunks::<LANES>().0);
        let shares = Shares::default();
        let lane_shares = shares.map(Lanes::constant);
        let steepest_side = Lanes::constant(tangent_of_degrees(shares.steepest_side));
        let apportionment = LaneApportionment::Shares(&lane_shares, [2, 1], steepest_side);
        let (ease, panel_rules) = (ease.map(Lanes::constant), PanelRules::default().map(Lanes::constant));
        let series_lengths = SeriesLengths::from_rules(&PanelRules::default());
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
                        summary.for_each_number(
                            [2, 1],
                            #[inline(always)]
                            |number| result += *number,
                        );
                    },
                );
            } else {
                result = lane_suppressions(&body, &ease, &panel_rules, series_lengths, apportionment).0;
            }
            *results = result.0;
        }
    }
}
