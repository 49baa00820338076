//! Limits that decide whether a draft can be sewn.
//!
//! Every check also rejects NaN, as it asks whether a value is within its limit.

use super::Half;
use super::summary::{PanelSummary, Summary};
use crate::body::{Apportionment, FIGURE_PATH_PREFIX, Inputs};
use crate::error::{Code, Problem};
use crate::scalar::{Mask, Number, Scalar};

/// Minimum width of cloth, in centimetres, between two neighbours on the waist: centre line, dart legs, side seam.
const MIN_CLOTH_BESIDE_DART_CM: f64 = 0.5;

const MIN_DART_INTAKE_CM: f64 = 0.1;

/// Maximum lean of the side seam from the vertical at the waist, in degrees.
const MAX_SIDE_SEAM_LEAN_DEGREES: f64 = 75.0;

/// Tangent of the maximum lean of the side seam, `tan 75° = 2 + √3`.
const MAX_SIDE_SEAM_LEAN_TANGENT: f64 = 3.732_050_807_568_877;

/// Maximum tilt of the measured waist against the waist with square corners, in degrees, over the width of a panel.
const MAX_MEASURED_WAIST_TILT_DEGREES: f64 = 15.0;

/// Tangent of the maximum tilt of the measured waist against the waist with square corners, `tan 15° = 2 − √3`.
const MAX_MEASURED_WAIST_TILT_TANGENT: f64 = 0.267_949_192_431_122_7;

/// Maximum absolute residual of a closed waist: sewn waist of half the garment minus wanted length, in centimetres.
const MAX_HALF_WAIST_ERROR_CM: f64 = 5e-11;

/// Returns four masks of the lanes in which a panel keeps a limit: every dart has the minimum intake, enough cloth lies
/// between neighbours, the dart tips lie above the hip line, and so does the waist at the centre.
#[inline(always)]
fn panel_limit_masks<T: Number>(panel: &PanelSummary<T>, hip_depth: T) -> [T::Mask; 4] {
    let cloth = T::constant(MIN_CLOTH_BESIDE_DART_CM).le(panel.narrowest);
    let darts = T::constant(MIN_DART_INTAKE_CM).le(smallest_dart_intake(panel));
    [darts, cloth, lowest_dart_tip_depth(panel).lt(hip_depth), panel.waist_lowering.lt(hip_depth)]
}

/// Returns the intake of the smallest dart of a panel, in centimetres; infinity without darts.
#[inline(always)]
fn smallest_dart_intake<T: Number>(panel: &PanelSummary<T>) -> T {
    let mut smallest = T::constant(f64::INFINITY);
    for dart in &panel.darts {
        smallest = smallest.min(dart.intake);
    }
    smallest
}

/// Returns the depth of the lowest dart tip below the waist at the side, in centimetres; minus infinity without darts.
#[inline(always)]
fn lowest_dart_tip_depth<T: Number>(panel: &PanelSummary<T>) -> T {
    let mut lowest = T::constant(f64::NEG_INFINITY);
    for dart in &panel.darts {
        lowest = lowest.max(dart.tip);
    }
    lowest
}

/// Returns two lengths in centimetres for back and for front: the vertical distance of the waist at the measured centre
/// from its height with square corners (minus infinity where not measured), and the width of cloth over which the waist
/// tilts.
#[inline(always)]
fn measured_centre_shifts_and_widths<T: Number>(inputs: &Inputs<T>, summary: &Summary<T>) -> [[T; 2]; 2] {
    let ([back, front], loss) = (
        summary.measured_centre_shifts(&inputs.figure, [T::constant(0.0); 2]),
        summary.suppression.side * T::constant(0.5),
    );
    let widths = [summary.panels[0].width - loss, summary.panels[1].width - loss];
    let back_width = widths[0] - summary.suppression.back - inputs.rules.panel_rules.centre_back_in;
    [[back, back_width], [front, widths[1] - summary.suppression.front]]
}

/// Returns a mask of the lanes in which the measured waist of a panel tilts by more than
/// [`MAX_MEASURED_WAIST_TILT_DEGREES`]; the tangent of the tilt is `shift / width`.
#[inline(always)]
fn waist_tilts_too_far<T: Number>([shift, width]: [T; 2]) -> T::Mask {
    (width * T::constant(MAX_MEASURED_WAIST_TILT_TANGENT)).lt(shift)
}

/// Returns a mask of the lanes that keep every limit; `residual` is that of the closure, in centimetres.
#[inline(always)]
pub(super) fn keeps_all_limits<T: Number>(inputs: &Inputs<T>, summary: &Summary<T>, residual: T) -> T::Mask {
    let lean = summary.lean.abs().le(T::constant(MAX_SIDE_SEAM_LEAN_TANGENT));
    let closed = residual.abs().le(T::constant(MAX_HALF_WAIST_ERROR_CM));
    let [back, front] = measured_centre_shifts_and_widths(inputs, summary);
    let mut keeps = lean & closed & !(waist_tilts_too_far(back) | waist_tilts_too_far(front));
    for panel in &summary.panels {
        let [darts, cloth, tips, waist] = panel_limit_masks(panel, inputs.body.hip_depth);
        keeps = keeps & darts & cloth & tips & waist;
    }
    keeps
}

/// Returns the problems that make a draft impossible to sew, none if it can be sewn; `residual` is the residual of the
/// closure, in centimetres.
pub(super) fn problems_of_broken_limits(inputs: &Inputs, summary: &Summary, residual: f64) -> Vec<Problem> {
    let (lean, hip_depth) = (summary.lean, inputs.body.hip_depth);
    let tilts = problems_of_steep_waist_tilts(inputs, summary);
    if !tilts.is_empty() {
        return tilts;
    }
    if keeps_all_limits(inputs, summary, residual).all() {
        return Vec::new();
    }
    let problem = |code, field: &str, value: f64, limit: f64, unit| {
        Problem::new(code, field.to_owned()).with_value(value).with_limit(limit).with_unit(unit)
    };
    if !lean.abs().le(MAX_SIDE_SEAM_LEAN_TANGENT) {
        let (field, degrees) = (if lean > 0.0 { "body.hip" } else { "body.waist" }, Scalar::atan(lean).to_degrees());
        return vec![problem(Code::SideTooFlat, field, degrees, MAX_SIDE_SEAM_LEAN_DEGREES, "deg")];
    }
    let mut problems = Vec::new();
    for (half, panel) in Half::ALL.into_iter().zip(&summary.panels) {
        let [darts, cloth, tips, waist] = panel_limit_masks(panel, hip_depth).map(Mask::all);
        if !darts {
            let by_shares = ["rules.shares.back_darts", "rules.shares.front_darts"][usize::from(half == Half::Front)];
            let field = input_path_to_change_for_darts(inputs, half, by_shares);
            problems.push(problem(Code::DartTooSmall, field, smallest_dart_intake(panel), MIN_DART_INTAKE_CM, "cm"));
        }
        if !cloth {
            let field = input_path_to_change_for_darts(inputs, half, "body.waist");
            let (value, limit) = (panel.narrowest, MIN_CLOTH_BESIDE_DART_CM);
            problems.push(problem(Code::NoRoomAtWaist, field, value, limit, "cm"));
        }
        if !tips {
            let field = input_path_to_change_for_darts(inputs, half, "rules.shares");
            problems.push(problem(Code::TipBelowHip, field, lowest_dart_tip_depth(panel), hip_depth, "cm"));
        } else if !waist {
            problems.push(problem(Code::WaistBelowHip, "body.hip_depth", panel.waist_lowering, hip_depth, "cm"));
        }
    }
    if problems.is_empty() {
        let field = input_path_to_change_for_darts(inputs, Half::Back, "body.waist");
        problems.push(Problem::new(Code::WaistNotClosed, field.to_owned()));
    }
    problems
}

/// Returns a problem for each panel whose measured waist tilts by more than [`MAX_MEASURED_WAIST_TILT_DEGREES`] from
/// the waist with square corners.
fn problems_of_steep_waist_tilts(inputs: &Inputs, summary: &Summary) -> Vec<Problem> {
    let fields = [["back_length", "front_length"][usize::from(inputs.figure.side_length.is_none())], "front_length"];
    let tilts = measured_centre_shifts_and_widths(inputs, summary).into_iter().zip(fields);
    let steep = tilts.filter(|([shift, width], _)| waist_tilts_too_far([*shift, *width]));
    let problem = |([shift, width], field): ([f64; 2], &str)| {
        let degrees = Scalar::atan((shift / width).abs()).to_degrees();
        let problem = Problem::new(Code::WaistTooTilted, format!("{FIGURE_PATH_PREFIX}{field}")).with_value(degrees);
        problem.with_limit(MAX_MEASURED_WAIST_TILT_DEGREES).with_unit("deg")
    };
    steep.map(problem).collect()
}

/// Returns the path of the input to change when darts do not fit: that of the list of given darts or, if shares give
/// the darts, `field_by_shares`.
fn input_path_to_change_for_darts<'a>(inputs: &Inputs, half: Half, field_by_shares: &'a str) -> &'a str {
    match (&inputs.rules.apportionment, half) {
        (Apportionment::Shares(_), _) => field_by_shares,
        (Apportionment::Darts(_), Half::Back) => "rules.darts.back",
        (Apportionment::Darts(_), Half::Front) => "rules.darts.front",
    }
}
