//! The waist of a skirt drawn with circular arcs: an independent prediction of suppression and lowering.

use kirtle::{Dart, Draft, Half};

/// Waist of a skirt in circular arcs, square to the centre, to every dart leg and to the side seam.
///
/// An arc from tilt `a` to tilt `b` over the run `x` rises by `x tan((a + b) / 2)`. Its length is its chord times
/// `t / sin t`, with `t = (b − a) / 2` (elementary geometry). Bisection finds the suppression.
pub(crate) struct ArcWaist {
    /// Half the waist and half the hip of the garment, in centimetres.
    half_girths: [f64; 2],
    hip_depth: f64,
    balance: f64,
    /// Distance of the centre back seam from the centre line at the level of the waist at the side.
    centre_back_in: f64,
    /// Shares of the suppression in back and front; none where the darts are given.
    shares: Option<[f64; 2]>,
    /// Intake, length and share of the waist of each dart in back and front.
    darts: [Vec<[f64; 3]>; 2],
}

impl ArcWaist {
    /// Reads measurements and darts from a draft, but not its waist.
    pub(crate) fn from_draft(draft: &Draft, shares: Option<[f64; 2]>) -> Self {
        let (body, ease, rules) = (draft.body(), draft.ease(), draft.rules().panel_rules);
        let darts = draft.panels().map(|panel| {
            let inset = if panel.half == Half::Back { rules.centre_back_in } else { 0.0 };
            let share = |dart: &Dart| (dart.centre - inset) / (panel.waist_width - inset);
            panel.darts.iter().map(|dart| [dart.intake, dart.length, share(dart)]).collect()
        });
        let half_girths = [f64::midpoint(body.waist, ease.waist), f64::midpoint(body.hip, ease.hip)];
        Self {
            half_girths,
            hip_depth: body.hip_depth,
            balance: rules.balance,
            centre_back_in: rules.centre_back_in,
            shares,
            darts,
        }
    }

    /// Returns the intakes of the darts of the back (`panel` is 0) or the front (1) for a suppression.
    fn intakes(&self, panel: usize, suppression: f64) -> Vec<f64> {
        let darts = &self.darts[panel];
        let count = f64::from(u8::try_from(darts.len()).unwrap_or(u8::MAX));
        let intake = |dart: &[f64; 3]| {
            self.shares.map_or(dart[0], |shares| shares[panel] * (suppression - self.centre_back_in) / count)
        };
        darts.iter().map(intake).collect()
    }

    /// Returns length and rise of the waist of a panel with a suppression `loss` at its side edge.
    fn waist(&self, panel: usize, suppression: f64, loss: f64) -> [f64; 2] {
        let width = self.half_girths[1] / 2.0 + [-self.balance, self.balance][panel] - loss;
        let lean = (1.5 * loss / self.hip_depth).atan();
        let inset = [self.centre_back_in, 0.0][panel];
        let (mut from, mut tilt, mut arcs) = (inset, -(inset / self.hip_depth).atan(), Vec::new());
        for ([_, length, share], intake) in self.darts[panel].iter().zip(self.intakes(panel, suppression)) {
            let (mouth, centre) = (intake / 2.0, inset + share * (width - inset));
            let leg = (mouth / length).atan();
            arcs.push((centre - mouth - from, tilt, leg));
            (from, tilt) = (centre + mouth, -leg);
        }
        arcs.push((width - from, tilt, lean));
        let arc = |(run, a, b): (f64, f64, f64)| {
            let (mean, turn) = (f64::midpoint(a, b), (b - a) / 2.0);
            [run / mean.cos() * if turn == 0.0 { 1.0 } else { turn / turn.sin() }, run * mean.tan()]
        };
        // The waist meets the slanted seam as far below the side as it rises; each repetition finds that place more exactly.
        let (first_end, mut waist) = (arcs[0].0 + inset, [0.0; 2]);
        for _ in 0..20 {
            arcs[0].0 = first_end - inset * (1.0 - waist[1] / self.hip_depth);
            waist =
                arcs.iter().copied().map(arc).fold([0.0; 2], |sum, [length, rise]| [sum[0] + length, sum[1] + rise]);
        }
        waist
    }

    /// Returns length and rise of the waist of back and front for a suppression.
    fn waists(&self, suppression: f64) -> [[f64; 2]; 2] {
        let taken: f64 = [0, 1].iter().flat_map(|panel| self.intakes(*panel, suppression)).sum();
        [0, 1].map(|panel| self.waist(panel, suppression, (suppression - self.centre_back_in - taken) / 2.0))
    }

    /// Returns the suppression that closes the waist, and the lowering of the centre in back and front.
    pub(crate) fn closed(&self) -> (f64, [f64; 2]) {
        let [half_waist, half_hip] = self.half_girths;
        let (mut low, mut high) = (half_hip - half_waist, half_hip - half_waist + 3.0);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            let [back, front] = self.waists(middle);
            if back[0] + front[0] > half_waist { low = middle } else { high = middle }
        }
        (low, self.waists(low).map(|[_, rise]| rise))
    }
}
