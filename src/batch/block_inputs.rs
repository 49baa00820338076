//! Input values of a block of rows, in centimetres, ready to be read into lanes.

use std::borrow::Cow;
use std::ops::Range;

use super::Column;
use super::bodies::CheckedBodies;
use crate::body::{Body, FIGURE_PATH_PREFIX, InputNumber, Inputs, MIN_HEM_BELOW_HIP_CM};
use crate::draft::tangent_of_degrees;
use crate::field::Unit;
use crate::scalar::{LANE_COUNT, LaneMask, Lanes, Number};

/// Input values of the rows of one block, in centimetres.
pub(super) struct RowBlockInputs<'a> {
    checked: &'a CheckedBodies<'a>,
    /// One value per input, the same in every row; an arbitrary number for an input that varies by row.
    pub(super) constants: Vec<f64>,
    /// Inputs that vary by row, ordered by index of the input.
    varying: Vec<InputVaryingByRow<'a>>,
}

/// Values of one input that varies by row.
struct InputVaryingByRow<'a> {
    /// Index of the input in the list of a row's input values.
    index: usize,
    /// One value per row of the block, in centimetres; NaN where the value is missing.
    values: Cow<'a, [f64]>,
    /// Minimum and maximum of valid values, in centimetres; [`FINITE_RANGE`] if values out of range are already
    /// replaced by infinity.
    range: [f64; 2],
    /// Whether a row without this value is valid, as for a measurement of the figure.
    is_optional: bool,
}

/// Input values of 16 rows, one row per lane, in centimetres.
pub(super) struct LaneInputs {
    /// Body, figure, ease and rules.
    pub(super) inputs: Inputs<Lanes>,
    /// Tangent of the steepest lean of the side seam that the rules allow; any number if the rules give the darts.
    pub(super) max_lean_tangent: Lanes,
    /// All input values in the order of `input_numbers`; if the rules give shares, the tangent of the steepest lean of
    /// the side seam follows.
    values: Vec<Lanes>,
}

impl<'a> RowBlockInputs<'a> {
    /// Collects the input values of a block: of `rows` rows of the table, the first of which is row `start`.
    pub(super) fn collect_inputs_of_row_block(checked: &'a CheckedBodies, start: usize, rows: usize) -> Self {
        let mut block = Self { checked, constants: Vec::new(), varying: Vec::new() };
        for (index, input) in checked.columns.iter().enumerate() {
            let (_, field, column) = input;
            let constant = if let Column::Constant(value) = column { *value } else { f64::NAN };
            block.constants.push(field.kind.convert_unit(constant, checked.bodies.unit, Unit::Cm));
            if !matches!(column, Column::Constant(_)) {
                block.varying.push(InputVaryingByRow::new(index, input, start..start + rows, checked.bodies.unit));
            }
        }
        if checked.bodies.rules.shares().is_some() {
            // The tangent of `steepest_side`, for which the lanes have no function, follows the inputs.
            let end = block.constants.len();
            let index = checked.columns.iter().position(|(_, field, _)| field.name == "steepest_side");
            let index = index.unwrap_or_default();
            let degrees = block.varying.iter().find(|input| input.index == index).map(|input| &input.values);
            let tangents = degrees.map(|degrees| degrees.iter().map(|degrees| tangent_of_degrees(*degrees)).collect());
            block.constants.push(tangent_of_degrees(block.constants[index]));
            let input = |values| InputVaryingByRow { index: end, values, range: FINITE_RANGE, is_optional: false };
            block.varying.extend(tangents.map(input));
        }
        block
    }

    /// Copies the rows with these indices in the block to `inputs`, one row per lane.
    #[inline(always)]
    pub(super) fn copy_rows_to_lanes(&self, inputs: &mut LaneInputs, rows: &[usize; LANE_COUNT]) {
        for input in &self.varying {
            for (lane, row) in inputs.values[input.index].0.iter_mut().zip(rows) {
                *lane = input.values[*row];
            }
        }
        if self.varying.last().is_none_or(|last| last.index < Body::FIELDS.len()) {
            // Only body measurements vary: copying the constant structs again would cost time.
            let mut body = inputs.inputs.body.into_array();
            body.copy_from_slice(&inputs.values[..Body::FIELDS.len()]);
            inputs.inputs.body = Body::from_array(body);
        } else {
            *inputs = LaneInputs::new(self.checked, std::mem::take(&mut inputs.values));
        }
    }

    /// Returns a mask of the lanes in which all values are in range, the hem is far enough below the hip line, and the
    /// figure does not contradict body and rules.
    #[inline(always)]
    pub(super) fn valid_lane_mask(&self, LaneInputs { inputs, values, .. }: &LaneInputs) -> LaneMask {
        let Inputs { body, figure, rules, .. } = inputs;
        let mut is_valid = (body.hip_depth + Lanes::constant(MIN_HEM_BELOW_HIP_CM)).le(body.length);
        is_valid = is_valid & figure.fits_body_and_rules(body, &rules.panel_rules);
        for InputVaryingByRow { index, range: [min, max], is_optional, .. } in &self.varying {
            let value = values[*index];
            let is_in_range = Lanes::constant(*min).le(value) & value.le(Lanes::constant(*max));
            is_valid = is_valid & if *is_optional { is_in_range | !value.is_not_nan() } else { is_in_range };
        }
        is_valid
    }
}

/// Range of all finite numbers, for values whose range is already checked.
const FINITE_RANGE: [f64; 2] = [f64::MIN, f64::MAX];

impl<'a> InputVaryingByRow<'a> {
    /// Takes the values of an input in `rows`: borrows them if they are in centimetres, required in every row and not
    /// nullable. Otherwise converts each value to centimetres; a missing value becomes NaN, a value out of range
    /// infinite.
    fn new(index: usize, input: &InputNumber<Column<'a>>, rows: Range<usize>, unit: Unit) -> Self {
        let (path, field, column) = input;
        let is_optional = path == FIGURE_PATH_PREFIX;
        let (min, max) = field.range(unit);
        if let (Column::Values(values), Unit::Cm, false) = (column, unit, is_optional) {
            return Self { index, values: Cow::Borrowed(&values[rows]), range: [min, max], is_optional };
        }
        // Ranges hold in the unit of the input, so the check precedes the conversion.
        let in_range = |value| if (min..=max).contains(&value) { value } else { f64::INFINITY };
        let value = |row| column.row_value(row).map_or(f64::NAN, in_range);
        let values = rows.map(|row| field.kind.convert_unit(value(row), unit, Unit::Cm)).collect();
        Self { index, values, range: FINITE_RANGE, is_optional }
    }
}

impl LaneInputs {
    #[inline(always)]
    pub(super) fn new(checked: &CheckedBodies, values: Vec<Lanes>) -> Self {
        let mut next = values.iter().copied();
        let inputs = checked.inputs.map_fields(|_, _| next.next().unwrap_or(Lanes::constant(f64::NAN)));
        let max_lean_tangent = next.next().unwrap_or(Lanes::constant(0.0));
        Self { inputs, max_lean_tangent, values }
    }
}
