//! Many bodies at once: the same construction over [`Lanes`], for bodies with as many darts.
//!
//! Every lane goes the way that its body would go alone, step by step and to the last bit. What cannot go side by side is
//! told apart, for [`draft`](super::draft) to draft it: a curve that bends much, a waist that needs many steps, and whatever
//! would be refused.

use super::apportion::{self, Sharing};
use super::closure::ArcLength;
use super::panel::{MAX_W, Stretch};
use super::side::{MAX_SQUARED_LEAN, NATURAL, SideCurve};
use super::summary::Summary;
use super::{Plan, Simple, closure, halves, limits};
use crate::body::{Body, Darts, Ease, PanelRules, Shares};
use crate::geometry::{Cubic, GENTLE};
use crate::scalar::{Lanes, Number};

/// A waist that takes more steps than this is closed alone.
const MAX_ITERATIONS: usize = 8;

/// How the suppression is shared out, the same way in every lane.
#[derive(Clone, Copy)]
pub(crate) enum LaneApportionment<'a> {
    /// By shares, with so many darts in back and front, and the tangent of the steepest side seam.
    Shares(&'a Shares<Lanes>, [usize; 2], Lanes),
    /// By given darts.
    Darts(&'a Darts<Lanes>),
}

/// The tangent of the steepest lean of the side seam, given in degrees.
pub(crate) fn steepest(degrees: f64) -> f64 {
    apportion::steepest(degrees)
}

/// How many darts back and front of these bodies have by shares.
#[inline(always)]
pub(crate) fn dart_counts(
    body: &Body<Lanes>,
    ease: &Ease<Lanes>,
    fullness: Lanes,
    rules: &Shares<Lanes>,
    steepest: Lanes,
) -> [Lanes; 2] {
    let [hip, target] = halves(body, ease);
    let side = SideCurve { depth: body.hip_depth, fullness, natural: false };
    apportion::counted(hip - target, &side, rules, steepest).0
}

/// Which curves are simple, lane by lane, as [`Simple::of`] tells: the waists of back and front, and the side seam.
#[inline(always)]
pub(crate) fn series_lengths(panel_rules: &PanelRules<Lanes>) -> [Lanes; 3] {
    let natural = Lanes::constant(NATURAL);
    [
        panel_rules.centre_back_lower.eq(Lanes::NO),
        panel_rules.centre_front_lower.eq(Lanes::NO),
        panel_rules.side_fullness.eq(natural),
    ]
}

/// Tells the summaries of bodies side by side, and in which lanes they are good: 1 for yes, 0 for no. `simple` tells which curves
/// are simple in every lane; the others are in none.
#[inline(always)]
pub(crate) fn summaries(
    body: &Body<Lanes>,
    ease: &Ease<Lanes>,
    panel_rules: &PanelRules<Lanes>,
    simple: Simple,
    alike: LaneApportionment,
    tell: impl FnOnce(&Summary<Lanes>, Lanes),
) {
    let mut plan = Plan::new(body, ease, panel_rules, simple);
    share_out(&mut plan, alike);
    let mut good = Lanes::YES;
    let (total, residual) = close(&plan, &mut good);
    let amounts = [plan.sharing.amounts(plan.nominal), plan.sharing.amounts(total)];
    let mut summary = Summary::empty();
    plan.measure(total, &amounts, body.length, &mut LaneArcLength { done: Lanes::NO, good: &mut good }, &mut summary);
    let closed = residual.abs().le(Lanes::constant(limits::MAX_RESIDUAL));
    let sewable = sewable(&summary, body.hip_depth);
    tell(&summary, good.and(closed).and(sewable));
}

/// The suppressions alone, and in which lanes they are good.
#[inline(always)]
pub(crate) fn suppressions(
    body: &Body<Lanes>,
    ease: &Ease<Lanes>,
    panel_rules: &PanelRules<Lanes>,
    simple: Simple,
    alike: LaneApportionment,
) -> (Lanes, Lanes) {
    let mut plan = Plan::new(body, ease, panel_rules, simple);
    share_out(&mut plan, alike);
    let mut good = Lanes::YES;
    let (total, residual) = close(&plan, &mut good);
    (total, good.and(residual.abs().le(Lanes::constant(limits::MAX_RESIDUAL))))
}

/// The lanes that break no limit of [`limits`]; a side seam that leans outwards beside darts is looked at alone.
#[inline(always)]
fn sewable(summary: &Summary<Lanes>, hip_depth: Lanes) -> Lanes {
    let mut good = summary.lean.abs().le(Lanes::constant(limits::MAX_LEAN_TANGENT));
    for panel in &summary.panels {
        good = good.and(Lanes::constant(limits::MIN_STRETCH).le(panel.narrowest));
        good = good.and(panel.waist_lowering.lt(hip_depth));
        for dart in &panel.darts {
            good = good.and(dart.tip.lt(hip_depth)).and(Lanes::NO.le(summary.suppression.side));
        }
    }
    good
}

#[inline(always)]
fn share_out(plan: &mut Plan<Lanes>, alike: LaneApportionment) {
    plan.share_out(
        #[inline(always)]
        |_, side, darts| match alike {
            LaneApportionment::Shares(rules, counts, steepest) => {
                let sewn = [Lanes::when(counts[0] > 0), Lanes::when(counts[1] > 0)];
                apportion::darts_by_shares(counts, side.depth, rules, darts);
                Sharing::by_shares(sewn, side, rules, steepest)
            }
            LaneApportionment::Darts(given) => apportion::by_darts(given, darts),
        },
    );
}

/// Measures bodies side by side: where one bends too much for the rule, the lane is good no more, unless it is `done`.
struct LaneArcLength<'a> {
    done: Lanes,
    good: &'a mut Lanes,
}

impl ArcLength<Lanes> for LaneArcLength<'_> {
    #[inline(always)]
    fn stretch(&mut self, stretch: &Stretch<Lanes>) -> Lanes {
        if !stretch.symmetric {
            return self.along(&stretch.cubic(Lanes::constant(0.0)));
        }
        let (length, w) = stretch.symmetric_length();
        *self.good = self.good.and(w.le(Lanes::constant(MAX_W)).or(self.done));
        length
    }

    #[inline(always)]
    fn side(&mut self, loss: Lanes, curve: &SideCurve<Lanes>) -> Lanes {
        if !curve.natural {
            return self.along(&curve.cubic(loss, loss));
        }
        let (length, square) = curve.natural_length(loss);
        *self.good = self.good.and(square.le(Lanes::constant(MAX_SQUARED_LEAN)).or(self.done));
        length
    }
}

impl LaneArcLength<'_> {
    /// A curve measured as any is; apart, as it is rare and long.
    #[inline(never)]
    fn along(&mut self, cubic: &Cubic<Lanes>) -> Lanes {
        let steps = cubic.steps();
        let (change, chord) = steps.change_and_chord();
        *self.good = self.good.and(change.le(chord * Lanes::constant(GENTLE)).or(self.done));
        steps.length_in(1)
    }
}

/// The suppression that closes each waist, and the gap that is left: the steps of [`closure`], each lane stopping where it
/// would alone.
#[inline(always)]
fn close(plan: &Plan<Lanes>, good: &mut Lanes) -> (Lanes, Lanes) {
    let mut done = Lanes::NO;
    let (mut found, mut left) = (plan.nominal, Lanes::constant(f64::INFINITY));
    let (mut before, mut last, mut last_residual) = (Lanes::constant(0.0), plan.nominal, Lanes::constant(0.0));
    let (mut suppression, mut last_met) = (plan.nominal, Lanes::NO);
    for step in 0..=MAX_ITERATIONS {
        let (now, met) = closure::residual(plan, suppression, &mut LaneArcLength { done, good });
        if step == 0 {
            (last_residual, last_met, suppression) = (now, met, closure::extrapolate(suppression, now));
            continue;
        }
        let change = now - last_residual;
        let next = suppression - now * (suppression - last) / change;
        let predicted = now * now / before;
        let (tolerance, small) = (Lanes::constant(closure::TOLERANCE), Lanes::constant(f64::MIN_POSITIVE));
        let closed = now.abs().le(tolerance).or(change.abs().lt(small));
        let product = (now * last_residual).abs().le(Lanes::constant(closure::MAX_PRODUCT));
        let alike = met.eq(last_met).and(met.eq(plan.sharing.amounts(next).limits_met));
        let predicts = predicted.abs().le(tolerance).and(product).and(alike).and(closed.not());
        let ends = closed.or(predicts).and(done.not());
        found = ends.select(closed.select(suppression, next), found);
        left = ends.select(closed.select(now, predicted), left);
        done = done.or(ends).or(good.not());
        if done.all() {
            break;
        }
        (before, last, last_residual, last_met, suppression) = (last_residual, suppression, now, met, next);
    }
    (found, left)
}
