//! Many bodies at once: the same construction over [`Lanes`], for bodies with as many darts.
//!
//! Every lane goes the way that its body would go alone, step by step and to the last bit. What cannot go side by side is
//! told apart, for [`draft`](super::draft) to draft it: a curve that bends much, a waist that needs many steps, and whatever
//! would be refused.

use super::apportion::{self, Sharing};
use super::closure::Tape;
use super::panel::{MOST_BOW, Stretch};
use super::side::{MOST_SQUARED_LEAN, NATURAL, SideCurve};
use super::summary::Summary;
use super::{Plan, Simple, closure, halves, limits};
use crate::body::{Body, Darts, Ease, Shares, Stance};
use crate::geometry::{Cubic, GENTLE};
use crate::scalar::{Lanes, Number};

/// A waist that takes more steps than this is closed alone.
const MOST_STEPS: usize = 8;

/// How the suppression is shared out, the same way in every lane.
#[derive(Clone, Copy)]
pub(crate) enum Alike<'a> {
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
pub(crate) fn simple_curves(stance: &Stance<Lanes>) -> [Lanes; 3] {
    let natural = Lanes::constant(NATURAL);
    [
        stance.centre_back_lower.same(Lanes::NO),
        stance.centre_front_lower.same(Lanes::NO),
        stance.side_fullness.same(natural),
    ]
}

/// Tells the summaries of bodies side by side, and in which lanes they are good: 1 for yes, 0 for no. `simple` tells which curves
/// are simple in every lane; the others are in none.
#[inline(always)]
pub(crate) fn summaries(
    body: &Body<Lanes>,
    ease: &Ease<Lanes>,
    stance: &Stance<Lanes>,
    simple: Simple,
    alike: Alike,
    tell: impl FnOnce(&Summary<Lanes>, Lanes),
) {
    let mut plan = Plan::new(body, ease, stance, simple);
    share_out(&mut plan, alike);
    let mut good = Lanes::YES;
    let (total, gap) = close(&plan, &mut good);
    let amounts = [plan.sharing.amounts(plan.nominal), plan.sharing.amounts(total)];
    let mut summary = Summary::empty();
    plan.measure(total, &amounts, body.length, &mut SideBySide { done: Lanes::NO, good: &mut good }, &mut summary);
    let closed = gap.abs().at_most(Lanes::constant(limits::MOST_GAP));
    let sewable = sewable(&summary, body.hip_depth);
    tell(&summary, good.and(closed).and(sewable));
}

/// The suppressions alone, and in which lanes they are good.
#[inline(always)]
pub(crate) fn suppressions(
    body: &Body<Lanes>,
    ease: &Ease<Lanes>,
    stance: &Stance<Lanes>,
    simple: Simple,
    alike: Alike,
) -> (Lanes, Lanes) {
    let mut plan = Plan::new(body, ease, stance, simple);
    share_out(&mut plan, alike);
    let mut good = Lanes::YES;
    let (total, gap) = close(&plan, &mut good);
    (total, good.and(gap.abs().at_most(Lanes::constant(limits::MOST_GAP))))
}

/// The lanes that break no limit of [`limits`]; a side seam that leans outwards beside darts is looked at alone.
#[inline(always)]
fn sewable(summary: &Summary<Lanes>, hip_depth: Lanes) -> Lanes {
    let mut good = summary.lean.abs().at_most(Lanes::constant(limits::MOST_LEAN_TANGENT));
    for panel in &summary.panels {
        good = good.and(Lanes::constant(limits::LEAST_STRETCH).at_most(panel.narrowest));
        good = good.and(panel.waist_lowering.below(hip_depth));
        for dart in &panel.darts {
            good = good.and(dart.tip.below(hip_depth)).and(Lanes::NO.at_most(summary.suppression.side));
        }
    }
    good
}

#[inline(always)]
fn share_out(plan: &mut Plan<Lanes>, alike: Alike) {
    plan.share_out(
        #[inline(always)]
        |_, side, darts| match alike {
            Alike::Shares(rules, counts, steepest) => {
                let sewn = [Lanes::when(counts[0] > 0), Lanes::when(counts[1] > 0)];
                apportion::darts_by_shares(counts, side.depth, rules, darts);
                Sharing::by_shares(sewn, side, rules, steepest)
            }
            Alike::Darts(given) => apportion::by_darts(given, darts),
        },
    );
}

/// Measures bodies side by side: where one bends too much for the rule, the lane is good no more, unless it is `done`.
struct SideBySide<'a> {
    done: Lanes,
    good: &'a mut Lanes,
}

impl Tape<Lanes> for SideBySide<'_> {
    #[inline(always)]
    fn stretch(&mut self, stretch: &Stretch<Lanes>) -> Lanes {
        if !stretch.even {
            return self.along(&stretch.cubic(Lanes::constant(0.0)));
        }
        let (length, bow) = stretch.even_length();
        *self.good = self.good.and(bow.at_most(Lanes::constant(MOST_BOW)).or(self.done));
        length
    }

    #[inline(always)]
    fn side(&mut self, loss: Lanes, curve: &SideCurve<Lanes>) -> Lanes {
        if !curve.natural {
            return self.along(&curve.cubic(loss, loss));
        }
        let (length, square) = curve.natural_length(loss);
        *self.good = self.good.and(square.at_most(Lanes::constant(MOST_SQUARED_LEAN)).or(self.done));
        length
    }
}

impl SideBySide<'_> {
    /// A curve measured as any is; apart, as it is rare and long.
    #[inline(never)]
    fn along(&mut self, cubic: &Cubic<Lanes>) -> Lanes {
        let steps = cubic.steps();
        let (change, chord) = steps.change_and_chord();
        *self.good = self.good.and(change.at_most(chord * Lanes::constant(GENTLE)).or(self.done));
        steps.length_in(1)
    }
}

/// The suppression that closes each waist, and the gap that is left: the steps of [`closure`], each lane stopping where it
/// would alone.
#[inline(always)]
fn close(plan: &Plan<Lanes>, good: &mut Lanes) -> (Lanes, Lanes) {
    let mut done = Lanes::NO;
    let (mut found, mut left) = (plan.nominal, Lanes::constant(f64::INFINITY));
    let (mut before, mut last, mut last_gap) = (Lanes::constant(0.0), plan.nominal, Lanes::constant(0.0));
    let (mut suppression, mut last_met) = (plan.nominal, Lanes::NO);
    for step in 0..=MOST_STEPS {
        let (now, met) = closure::gap(plan, suppression, &mut SideBySide { done, good });
        if step == 0 {
            (last_gap, last_met, suppression) = (now, met, closure::second(suppression, now));
            continue;
        }
        let change = now - last_gap;
        let next = suppression - now * (suppression - last) / change;
        let foretold = now * now / before;
        let (most_gap, small) = (Lanes::constant(closure::CLOSED), Lanes::constant(f64::MIN_POSITIVE));
        let closed = now.abs().at_most(most_gap).or(change.abs().below(small));
        let product = (now * last_gap).abs().at_most(Lanes::constant(closure::MOST_PRODUCT));
        let alike = met.same(last_met).and(met.same(plan.sharing.amounts(next).limits_met));
        let foretells = foretold.abs().at_most(most_gap).and(product).and(alike).and(closed.not());
        let ends = closed.or(foretells).and(done.not());
        found = ends.select(closed.select(suppression, next), found);
        left = ends.select(closed.select(now, foretold), left);
        done = done.or(ends).or(good.not());
        if done.all() {
            break;
        }
        (before, last, last_gap, last_met, suppression) = (last_gap, suppression, now, met, next);
    }
    (found, left)
}
