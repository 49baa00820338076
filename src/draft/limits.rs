//! Limits that decide whether a finished draft can be sewn, for `draft` and for lanes.
//!
//! Every check also rejects NaN, as it asks whether a value is within its limit.

use super::{Draft, Half, Panel, Role};
use crate::body::Apportionment;
use crate::error::{Code, Problem};
use crate::scalar::Scalar;

/// Minimum width of cloth, in centimetres, between two neighbours on the waist: centre line, dart legs, side seam.
pub(super) const MIN_CLOTH_BETWEEN_NEIGHBOURS_CM: f64 = 0.5;

/// Number of points on a dart leg at which the width of cloth from the leg to the side seam is measured.
const SAMPLED_POINTS_PER_DART_LEG: u8 = 8;

/// Maximum lean of the side seam from the upright at the waist, in degrees.
const MAX_SIDE_SEAM_LEAN_DEGREES: f64 = 75.0;

/// Tangent of the maximum lean of the side seam, `tan 75° = 2 + √3`.
pub(super) const MAX_SIDE_SEAM_LEAN_TANGENT: f64 = 3.732_050_807_568_877;

/// Maximum absolute residual of a closed waist: sewn waist of half the garment minus wanted length, in centimetres.
pub(super) const MAX_HALF_WAIST_ERROR_CM: f64 = 5e-11;

/// Returns the problems that make a finished draft impossible to sew; `residual` is the solver's last residual.
pub(super) fn problems_of_broken_limits(draft: &Draft, residual: f64) -> Vec<Problem> {
    let lean = draft.side_lean();
    let is_within = lean.abs() <= MAX_SIDE_SEAM_LEAN_TANGENT;
    if !is_within {
        let field = if lean > 0.0 { "body.hip" } else { "body.waist" };
        let degrees = Scalar::atan(lean).to_degrees();
        let problem = Problem::new(Code::SideTooFlat, field).with_value(degrees);
        return vec![problem.with_limit(MAX_SIDE_SEAM_LEAN_DEGREES).with_unit("deg")];
    }
    let by_panel = draft.panels().into_iter().flat_map(|panel| {
        [narrow_cloth_problem(draft, panel), tip_or_waist_below_hip_problem(draft, panel)].into_iter().flatten()
    });
    let mut problems: Vec<Problem> = by_panel.collect();
    let is_closed = residual.abs() <= MAX_HALF_WAIST_ERROR_CM;
    if problems.is_empty() && !is_closed {
        problems.push(Problem::new(Code::WaistNotClosed, field_to_change_for_darts(draft, Half::Back, "body.waist")));
    }
    problems
}

/// Returns the input path to name when darts do not fit: the path of the given darts, or else `field_by_shares`.
fn field_to_change_for_darts(draft: &Draft, half: Half, field_by_shares: &str) -> String {
    match (&draft.rules().apportionment, half) {
        (Apportionment::Shares(_), _) => field_by_shares.to_owned(),
        (Apportionment::Darts(_), Half::Back) => "rules.darts.back".to_owned(),
        (Apportionment::Darts(_), Half::Front) => "rules.darts.front".to_owned(),
    }
}

/// Returns a problem if a panel has too little cloth between neighbours on the waist or from dart leg to side seam.
fn narrow_cloth_problem(draft: &Draft, panel: &Panel) -> Option<Problem> {
    let along_waist = panel.paths(Role::Waist).map(|path| path.end().x - path.start().x);
    // Only a side seam that leans outwards at the waist approaches a dart leg below the waist.
    let leans_outwards = draft.suppression.side < 0.0;
    let along_legs = panel.darts.iter().filter(|_| leans_outwards).flat_map(|dart| {
        (1..=SAMPLED_POINTS_PER_DART_LEG).map(move |k| {
            let leg = dart.outer + (dart.tip - dart.outer) * (f64::from(k) / f64::from(SAMPLED_POINTS_PER_DART_LEG));
            draft.centre_to_side_distance_at_level(panel, leg.y) - leg.x
        })
    });
    let narrowest = along_waist.chain(along_legs).fold(f64::INFINITY, f64::min);
    let is_wide_enough = narrowest >= MIN_CLOTH_BETWEEN_NEIGHBOURS_CM;
    (!is_wide_enough).then(|| {
        let field = field_to_change_for_darts(draft, panel.half, "body.waist");
        let problem = Problem::new(Code::NoRoomAtWaist, field).with_value(narrowest);
        problem.with_limit(MIN_CLOTH_BETWEEN_NEIGHBOURS_CM).with_unit("cm")
    })
}

/// Returns a problem if a dart tip of the panel, or else its waist at the centre, lies at or below the hip line.
fn tip_or_waist_below_hip_problem(draft: &Draft, panel: &Panel) -> Option<Problem> {
    let hip_depth = draft.body().hip_depth;
    let check = |code, field: String, level: f64| {
        let is_above = level < hip_depth;
        (!is_above).then(|| Problem::new(code, field).with_value(level).with_limit(hip_depth).with_unit("cm"))
    };
    let lowest_tip = panel.darts.iter().map(|dart| dart.tip.y).fold(f64::NEG_INFINITY, f64::max);
    check(Code::TipBelowHip, field_to_change_for_darts(draft, panel.half, "rules.shares"), lowest_tip)
        .or_else(|| check(Code::WaistBelowHip, "body.hip_depth".to_owned(), panel.waist_lowering))
}
