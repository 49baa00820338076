//! Input values of a block of rows, in centimetres, ready to be read into lanes.

use std::borrow::Cow;
use std::ops::Range;

use super::Column;
use super::bodies::CheckedBodies;
use crate::body::{Body, Ease, Inputs, MIN_HEM_BELOW_HIP_CM, PanelRules, Shares};
use crate::draft::tangent_of_degrees;
use crate::field::{Field, Unit};
use crate::scalar::{LANES, LaneMask, Lanes, Number};

/// Index of the first number of [`Shares`] in the list of a row's input values.
const FIRST_SHARE_INPUT_INDEX: usize = Body::FIELDS.len() + Ease::FIELDS.len() + PanelRules::FIELDS.len();

/// Input values of the rows of one block, in centimetres.
pub(super) struct RowBlockInputs<'a> {
    checked: &'a CheckedBodies<'a>,
    /// One value per input, the same in every row; an arbitrary number for an input that varies by row.
    constants: Vec<f64>,
    /// Inputs that vary by row, ordered by index of the input.
    varying: Vec<InputVaryingByRow<'a>>,
}

/// Values of one input that varies by row.
struct InputVaryingByRow<'a> {
    /// Index of the input in the list of a row's input values.
    index: usize,
    /// One value per row of the block, in centimetres; NaN where the value is missing.
    values: Cow<'a, [f64]>,
    /// Minimum and maximum of valid values, in centimetres; [`UNBOUNDED_RANGE`] if invalid values are already NaN.
    range: [f64; 2],
}

/// Input values of 16 rows, one row per lane, in centimetres.
pub(super) struct LaneInputs {
    /// Body, ease and rules.
    pub(super) inputs: Inputs<Lanes>,
    /// Tangent of the steepest lean of the side seam; any number if the rules give the darts.
    pub(super) max_tangent: Lanes,
    /// All input values in order; if the rules give shares, the tangent of the steepest lean of the side seam follows.
    values: Vec<Lanes>,
}

impl<'a> RowBlockInputs<'a> {
    /// Collects the input values of a block: of `rows` rows of the table, the first of which is row `start`.
    pub(super) fn collect_rows(checked: &'a CheckedBodies, start: usize, rows: usize) -> Self {
        let mut block = Self { checked, constants: Vec::new(), varying: Vec::new() };
        for (index, (_, field, column)) in checked.columns.iter().enumerate() {
            let constant = column.constant_value();
            block.constants.push(field.kind.convert_unit(constant.unwrap_or(f64::NAN), checked.unit(), Unit::Cm));
            if constant.is_none() {
                block.varying.push(InputVaryingByRow::new(index, field, column, start..start + rows, checked.unit()));
            }
        }
        if checked.uses_shares() {
            block.append_steepest_side_tangent();
        }
        block
    }

    /// Appends the tangent of the rule `steepest_side`, an angle in degrees, as the last input value of the rows.
    fn append_steepest_side_tangent(&mut self) {
        let end = self.constants.len();
        let is_steepest = |field: &Field| field.name == "steepest_side";
        let index = FIRST_SHARE_INPUT_INDEX + Shares::FIELDS.iter().position(is_steepest).unwrap_or_default();
        let degrees = self.varying.iter().find(|input| input.index == index).map(|input| &input.values);
        let tangents = degrees.map(|degrees| degrees.iter().map(|degrees| tangent_of_degrees(*degrees)).collect());
        self.constants.push(tangent_of_degrees(self.constants[index]));
        self.varying.extend(tangents.map(|values| InputVaryingByRow { index: end, values, range: UNBOUNDED_RANGE }));
    }

    /// Creates lane inputs that hold the constants; inputs that vary by row are still to be read.
    pub(super) fn lane_inputs_with_only_constants(&self) -> LaneInputs {
        LaneInputs::new(self.checked, self.constants.iter().map(|value| Lanes::constant(*value)).collect())
    }

    /// Copies up to [`LANES`] rows, the first of which is row `first` of the block, to `inputs`; unused lanes keep their values.
    #[inline(always)]
    pub(super) fn read_consecutive_rows(&self, inputs: &mut LaneInputs, first: usize) {
        for input in &self.varying {
            let values = &input.values[first..];
            let lanes = &mut inputs.values[input.index].0;
            if let Some(full) = values.first_chunk() {
                *lanes = *full;
            } else {
                lanes[..values.len()].copy_from_slice(values);
            }
        }
        self.copy_values_to_structs(inputs);
    }

    /// Copies the rows with these indices in the block to `inputs`, one row per lane.
    #[inline(always)]
    pub(super) fn read_rows_by_index(&self, inputs: &mut LaneInputs, rows: &[usize; LANES]) {
        for input in &self.varying {
            for (lane, row) in inputs.values[input.index].0.iter_mut().zip(rows) {
                *lane = input.values[*row];
            }
        }
        self.copy_values_to_structs(inputs);
    }

    /// Copies the list of values in `inputs` to body, ease and rules.
    #[inline(always)]
    fn copy_values_to_structs(&self, inputs: &mut LaneInputs) {
        if self.varying.last().is_none_or(|last| last.index < Body::FIELDS.len()) {
            // Only body measurements vary: copying the constant structs again would cost time.
            let mut body = inputs.inputs.body.into_array();
            body.copy_from_slice(&inputs.values[..Body::FIELDS.len()]);
            inputs.inputs.body = Body::from_array(body);
        } else {
            *inputs = LaneInputs::new(self.checked, std::mem::take(&mut inputs.values));
        }
    }

    /// Returns a mask of the lanes in which all values are in range and the hem is far enough below the hip line.
    #[inline(always)]
    pub(super) fn valid_lanes(&self, inputs: &LaneInputs) -> LaneMask {
        let Body { hip_depth, length, .. } = inputs.inputs.body;
        let mut is_valid = (hip_depth + Lanes::constant(MIN_HEM_BELOW_HIP_CM)).le(length);
        for InputVaryingByRow { index, range: [min, max], .. } in &self.varying {
            let value = inputs.values[*index];
            is_valid = is_valid & Lanes::constant(*min).le(value) & value.le(Lanes::constant(*max));
        }
        is_valid
    }
}

/// Range from minus to plus infinity, for values whose range is already checked.
const UNBOUNDED_RANGE: [f64; 2] = [f64::NEG_INFINITY, f64::INFINITY];

impl<'a> InputVaryingByRow<'a> {
    /// Takes rows of an input column: borrows values in centimetres without nulls; converts others, to NaN if not in range.
    fn new(index: usize, field: &Field, column: &Column<'a>, rows: Range<usize>, unit: Unit) -> Self {
        let (min, max) = field.range(unit);
        if let (Column::Values(values), Unit::Cm) = (column, unit) {
            return Self { index, values: Cow::Borrowed(&values[rows]), range: [min, max] };
        }
        // Ranges hold in the unit of the input, so the check precedes the conversion.
        let value = |row| column.row_value(row).filter(|value| (min..=max).contains(value)).unwrap_or(f64::NAN);
        let values = rows.map(|row| field.kind.convert_unit(value(row), unit, Unit::Cm)).collect();
        Self { index, values, range: UNBOUNDED_RANGE }
    }
}

impl LaneInputs {
    #[inline(always)]
    fn new(checked: &CheckedBodies, values: Vec<Lanes>) -> Self {
        let mut next = values.iter().copied();
        let inputs = checked.inputs_from_row_values(|| next.next().unwrap_or(Lanes::constant(f64::NAN)));
        let max_tangent = next.next().unwrap_or(Lanes::constant(0.0));
        Self { inputs, max_tangent, values }
    }
}
