//! Limits that decide whether a finished draft can be sewn, for `draft` and for lanes.
//!
//! Every check also rejects NaN, as it asks whether a value is within its limit.

use super::{Draft, Half, Panel, Role};
use crate::body::Apportionment;
use crate::error::{Code, Problem};
use crate::scalar::Scalar;

/// Minimum width of cloth between two neighbours on the waist (centre, dart leg or side seam), in centimetres.
pub(super) const MIN_STRETCH_CM: f64 = 0.5;

/// Number of points on a dart leg at which the width of cloth from the leg to the side seam is measured.
const DART_LEG_SAMPLES: u8 = 8;

/// Maximum lean of the side seam from the upright at the waist, in degrees.
const MAX_LEAN_DEGREES: f64 = 75.0;

/// Tangent of the maximum lean of the side seam, `tan 75° = 2 + √3`.
pub(super) const MAX_LEAN_TANGENT: f64 = 3.732_050_807_568_877;

/// Maximum error of the sewn waist on half the garment, in centimetres.
pub(super) const MAX_WAIST_ERROR_CM: f64 = 5e-11;

/// Returns a problem for each limit that a finished draft breaks; `residual` is the solver's last residual.
pub(super) fn limit_problems(draft: &Draft, residual: f64) -> Vec<Problem> {
    let lean = draft.side_lean();
    let is_within = lean.abs() <= MAX_LEAN_TANGENT;
    if !is_within {
        let field = if lean > 0.0 { "body.hip" } else { "body.waist" };
        let degrees = Scalar::atan(lean).to_degrees();
        let problem = Problem::new(Code::SideTooFlat, field).with_value(degrees);
        return vec![problem.with_limit(MAX_LEAN_DEGREES).with_unit("deg")];
    }
    let by_panel = draft
        .panels()
        .into_iter()
        .flat_map(|panel| [narrow_cloth_problem(draft, panel), below_hip_problem(draft, panel)].into_iter().flatten());
    let mut problems: Vec<Problem> = by_panel.collect();
    let is_closed = residual.abs() <= MAX_WAIST_ERROR_CM;
    if problems.is_empty() && !is_closed {
        problems.push(Problem::new(Code::WaistNotClosed, field_to_change(draft, Half::Back, "body.waist")));
    }
    problems
}

/// Returns the path of the input field to change if darts do not fit: `field_by_shares`, or the given darts.
fn field_to_change(draft: &Draft, half: Half, field_by_shares: &str) -> String {
    match (&draft.rules().apportionment, half) {
        (Apportionment::Shares(_), _) => field_by_shares.to_owned(),
        (Apportionment::Darts(_), Half::Back) => "rules.darts.back".to_owned(),
        (Apportionment::Darts(_), Half::Front) => "rules.darts.front".to_owned(),
    }
}

/// Returns the problem of too little cloth between neighbours on the waist, or between a dart leg and the side seam.
fn narrow_cloth_problem(draft: &Draft, panel: &Panel) -> Option<Problem> {
    let along_waist = panel.paths(Role::Waist).map(|path| path.end().x - path.start().x);
    // Only a side seam that leans outwards at the waist approaches a dart leg below the waist.
    let leans_outwards = draft.suppression.side < 0.0;
    let along_legs = panel.darts.iter().filter(|_| leans_outwards).flat_map(|dart| {
        (1..=DART_LEG_SAMPLES).map(move |k| {
            let leg = dart.outer + (dart.tip - dart.outer) * (f64::from(k) / f64::from(DART_LEG_SAMPLES));
            draft.side_distance_at(panel, leg.y) - leg.x
        })
    });
    let narrowest = along_waist.chain(along_legs).fold(f64::INFINITY, f64::min);
    let is_wide_enough = narrowest >= MIN_STRETCH_CM;
    (!is_wide_enough).then(|| {
        let field = field_to_change(draft, panel.half, "body.waist");
        let problem = Problem::new(Code::NoRoomAtWaist, field).with_value(narrowest);
        problem.with_limit(MIN_STRETCH_CM).with_unit("cm")
    })
}

/// Returns the problem of a dart tip, or else of the centre of the waist, at or below the hip line.
fn below_hip_problem(draft: &Draft, panel: &Panel) -> Option<Problem> {
    let hip_depth = draft.body().hip_depth;
    let check = |code, field: String, level: f64| {
        let is_above = level < hip_depth;
        (!is_above).then(|| Problem::new(code, field).with_value(level).with_limit(hip_depth).with_unit("cm"))
    };
    let lowest_tip = panel.darts.iter().map(|dart| dart.tip.y).fold(f64::NEG_INFINITY, f64::max);
    check(Code::TipBelowHip, field_to_change(draft, panel.half, "rules.shares"), lowest_tip)
        .or_else(|| check(Code::WaistBelowHip, "body.hip_depth".to_owned(), panel.waist_lowering))
}
