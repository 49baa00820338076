//! Limits that decide whether a draft can be sewn.
//!
//! Every check also rejects NaN, as it asks whether a value is within its limit.

use super::Half;
use super::summary::{PanelSummary, Summary};
use crate::body::{Apportionment, FIGURE_PATH_PREFIX, Inputs};
use crate::error::{Code, Problem};
use crate::scalar::{Number, Scalar};

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

/// Returns four lengths of a panel that have a limit, in centimetres, each with a mask of the lanes that keep the limit:
/// the intake of the smallest dart, the least cloth between neighbours, and the depths of the lowest dart tip and of the
/// waist at the centre, which must lie above the hip line. Without darts the first and the third are infinite.
#[inline(always)]
fn limited_lengths<T: Number>(panel: &PanelSummary<T>, hip_depth: T) -> [(T, T::Mask); 4] {
    let (mut smallest, mut lowest) = (T::constant(f64::INFINITY), T::constant(f64::NEG_INFINITY));
    for dart in &panel.darts {
        (smallest, lowest) = (smallest.min(dart.intake), lowest.max(dart.tip));
    }
    let (narrowest, waist) = (panel.narrowest_beside_darts, panel.waist_lowering);
    [
        (smallest, T::constant(MIN_DART_INTAKE_CM).le(smallest)),
        (narrowest, T::constant(MIN_CLOTH_BESIDE_DART_CM).le(narrowest)),
        (lowest, lowest.lt(hip_depth)),
        (waist, waist.lt(hip_depth)),
    ]
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
        let [(_, darts), (_, cloth), (_, tips), (_, waist)] = limited_lengths(panel, inputs.body.hip_depth);
        keeps = keeps & darts & cloth & tips & waist;
    }
    keeps
}

/// Returns the problems that make a draft impossible to sew, none if it can be sewn; `residual` is the residual of the
/// closure, in centimetres.
pub(super) fn problems_of_broken_limits(inputs: &Inputs, summary: &Summary, residual: f64) -> Vec<Problem> {
    let (lean, hip_depth, mut problems) = (summary.lean, inputs.body.hip_depth, Vec::new());
    if keeps_all_limits(inputs, summary, residual) {
        return problems;
    }
    let problem = |code, field: &str, value: f64, limit: f64, unit| {
        Problem::new(code, field.to_owned()).with_value(value).with_limit(limit).with_unit(unit)
    };
    let fields = [["back_length", "front_length"][usize::from(inputs.figure.side_length.is_none())], "front_length"];
    for (tilt @ [shift, width], field) in measured_centre_shifts_and_widths(inputs, summary).into_iter().zip(fields) {
        if waist_tilts_too_far(tilt) {
            let (path, degrees) =
                (format!("{FIGURE_PATH_PREFIX}{field}"), Scalar::atan((shift / width).abs()).to_degrees());
            problems.push(problem(Code::WaistTooTilted, &path, degrees, MAX_MEASURED_WAIST_TILT_DEGREES, "deg"));
        }
    }
    if !problems.is_empty() {
        return problems;
    }
    if !lean.abs().le(MAX_SIDE_SEAM_LEAN_TANGENT) {
        let (field, degrees) = (if lean > 0.0 { "body.hip" } else { "body.waist" }, Scalar::atan(lean).to_degrees());
        return vec![problem(Code::SideTooFlat, field, degrees, MAX_SIDE_SEAM_LEAN_DEGREES, "deg")];
    }
    for (half, panel) in Half::ALL.into_iter().zip(&summary.panels) {
        let lengths = limited_lengths(panel, hip_depth);
        let count = ["rules.shares.back_darts", "rules.shares.front_darts"][usize::from(half == Half::Front)];
        let fields =
            [count, "body.waist", "rules.shares"].map(|path| input_path_to_change_for_darts(inputs, half, path));
        let limits = [
            (Code::DartTooSmall, fields[0], MIN_DART_INTAKE_CM),
            (Code::NoRoomAtWaist, fields[1], MIN_CLOTH_BESIDE_DART_CM),
            (Code::TipBelowHip, fields[2], hip_depth),
            (Code::WaistBelowHip, "body.hip_depth", hip_depth),
        ];
        // A waist below the hip line is named only if the tips lie above.
        let named = if lengths[2].1 { 4 } else { 3 };
        let broken = lengths.into_iter().zip(limits).take(named).filter(|((_, is_kept), _)| !is_kept);
        problems.extend(broken.map(|((value, _), (code, field, limit))| problem(code, field, value, limit, "cm")));
    }
    if problems.is_empty() {
        let field = input_path_to_change_for_darts(inputs, Half::Back, "body.waist");
        problems.push(Problem::new(Code::WaistNotClosed, field.to_owned()));
    }
    problems
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
