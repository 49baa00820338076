//! What a draft must keep to be sewn at all: checked on the finished draft, where a rule and a body meet.

use super::{Draft, Half, Panel, Role};
use crate::body::Apportionment;
use crate::error::{Code, Problem};
use crate::scalar::Scalar;

/// The least cloth between two neighbours on the waist, in centimetres.
pub(super) const MIN_STRETCH: f64 = 0.5;

/// At how many levels along a dart the cloth beside it is measured.
const LEVELS: u8 = 8;

/// The most that the side seam may lean from the upright at the waist, in degrees.
const MAX_LEAN: f64 = 75.0;

/// Its tangent, 2 + √3.
pub(super) const MAX_LEAN_TANGENT: f64 = 3.732_050_807_568_877;

/// The most that the sewn waist of half the garment may be off, in centimetres.
pub(super) const MAX_RESIDUAL: f64 = 5e-11;

/// What this draft breaks, if anything; `gap` is what the solver left open.
pub(super) fn problems(draft: &Draft, residual: f64) -> Vec<Problem> {
    let lean = draft.side_lean();
    // Each question is asked so that a value that is not a number is a problem, too.
    let stands = lean.abs() <= MAX_LEAN_TANGENT;
    if !stands {
        let field = if lean > 0.0 { "body.hip" } else { "body.waist" };
        let degrees = Scalar::atan(lean).to_degrees();
        return vec![Problem::new(Code::SideTooFlat, field).with_value(degrees).with_limit(MAX_LEAN).with_unit("deg")];
    }
    let each = draft
        .panels()
        .into_iter()
        .flat_map(|panel| [no_room(draft, panel), below_hip(draft, panel)].into_iter().flatten());
    let mut problems: Vec<Problem> = each.collect();
    let closed = residual.abs() <= MAX_RESIDUAL;
    if problems.is_empty() && !closed {
        problems.push(Problem::new(Code::WaistNotClosed, field(draft, Half::Back, "body.waist")));
    }
    problems
}

/// The field to change where a panel's darts do not fit.
fn field(draft: &Draft, half: Half, shares: &str) -> String {
    match (&draft.rules().apportionment, half) {
        (Apportionment::Shares(_), _) => shares.to_owned(),
        (Apportionment::Darts(_), Half::Back) => "rules.darts.back".to_owned(),
        (Apportionment::Darts(_), Half::Front) => "rules.darts.front".to_owned(),
    }
}

/// Too little cloth between two neighbours: along the waist, or between a dart and a side seam that leans outwards and
/// comes in below.
fn no_room(draft: &Draft, panel: &Panel) -> Option<Problem> {
    let along_waist = panel.paths(Role::Waist).map(|path| path.end().x - path.start().x);
    let comes_in = draft.suppression.side < 0.0;
    let along_legs = panel.darts.iter().filter(|_| comes_in).flat_map(|dart| {
        (1..=LEVELS).map(move |k| {
            let leg = dart.outer + (dart.tip - dart.outer) * (f64::from(k) / f64::from(LEVELS));
            draft.side_at(panel, leg.y) - leg.x
        })
    });
    let narrowest = along_waist.chain(along_legs).fold(f64::INFINITY, f64::min);
    let has_room = narrowest >= MIN_STRETCH;
    (!has_room).then(|| {
        let problem = Problem::new(Code::NoRoomAtWaist, field(draft, panel.half, "body.waist")).with_value(narrowest);
        problem.with_limit(MIN_STRETCH).with_unit("cm")
    })
}

/// A dart's tip, or else the waist itself, at or below the hip line.
fn below_hip(draft: &Draft, panel: &Panel) -> Option<Problem> {
    let hip = draft.body().hip_depth;
    let problem = |code, field: String, level: f64| {
        let clear = level < hip;
        (!clear).then(|| Problem::new(code, field).with_value(level).with_limit(hip).with_unit("cm"))
    };
    let deepest = panel.darts.iter().map(|dart| dart.tip.y).fold(f64::NEG_INFINITY, f64::max);
    problem(Code::TipBelowHip, field(draft, panel.half, "rules.shares"), deepest)
        .or_else(|| problem(Code::WaistBelowHip, "body.hip_depth".to_owned(), panel.waist_lowering))
}
