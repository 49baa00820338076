//! Input values of a block of rows, in centimetres, ready to be read into lanes.

use super::Column;
use super::bodies::CheckedBodies;
use crate::body::{Body, FIGURE_PATH_PREFIX, Inputs, MIN_HEM_BELOW_HIP_CM};
use crate::draft::tangent_of_degrees;
use crate::field::Unit;
use crate::scalar::{LANE_COUNT, LaneMask, Lanes, Number, inlined};

/// Input values of the rows of one block, in centimetres.
pub(super) struct RowBlockInputs<'a> {
    checked: &'a CheckedBodies<'a>,
    /// One value per input, the same in every row; an arbitrary number for an input that varies by row. If the rules
    /// give shares, the tangent of the steepest lean of the side seam follows the inputs.
    pub(super) constants: Vec<f64>,
    /// Inputs that vary by row.
    varying: Vec<InputVaryingByRow>,
}

/// Values of one input that varies by row.
struct InputVaryingByRow {
    /// Index of the input in the list of a row's input values.
    index: usize,
    /// One value per row of the block, in centimetres; NaN where the value is missing, infinite if out of range.
    values: Vec<f64>,
    /// Whether a row without this value is valid, as for a measurement of the figure.
    is_optional: bool,
}

impl<'a> RowBlockInputs<'a> {
    /// Collects the input values of a block: of `rows` rows of the table, the first of which is row `start`.
    pub(super) fn collect_inputs_of_row_block(checked: &'a CheckedBodies, start: usize, rows: usize) -> Self {
        let unit = checked.bodies.unit;
        let mut block = Self { checked, constants: Vec::new(), varying: Vec::new() };
        for (index, (path, field, column)) in checked.columns.iter().enumerate() {
            let constant = if let Column::Constant(value) = column { *value } else { f64::NAN };
            block.constants.push(field.kind.convert_unit(constant, unit, Unit::Cm));
            if !matches!(column, Column::Constant(_)) {
                // Ranges hold in the unit of the input, so the check precedes the conversion.
                let (min, max) = field.range(unit);
                let in_range = |value| if (min..=max).contains(&value) { value } else { f64::INFINITY };
                let in_cm = |value| field.kind.convert_unit(in_range(value), unit, Unit::Cm);
                let rows = start..start + rows;
                let values = match column {
                    Column::Values(values) => values[rows].iter().map(|value| in_cm(*value)).collect(),
                    _ => rows.map(|row| column.row_value(row).map_or(f64::NAN, in_cm)).collect(),
                };
                let is_optional = path == FIGURE_PATH_PREFIX;
                block.varying.push(InputVaryingByRow { index, values, is_optional });
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
            let input = |values| InputVaryingByRow { index: end, values, is_optional: false };
            block.varying.extend(tangents.map(input));
        }
        block
    }

    /// Returns input values in lanes as inputs.
    pub(super) fn inputs_of_lanes(&self, values: &[Lanes]) -> Inputs<Lanes> {
        let mut next = values.iter().copied();
        self.checked.inputs.map_fields(|_, _| next.next().unwrap_or(Lanes::constant(f64::NAN)))
    }

    /// Copies the rows with these indices in the block to `values` and `inputs`, one row per lane; returns the tangent
    /// of the steepest lean of the side seam, any number if the rules give the darts.
    #[inline(always)]
    pub(super) fn copy_rows_to_lanes(
        &self,
        values: &mut [Lanes],
        inputs: &mut Inputs<Lanes>,
        rows: &[usize; LANE_COUNT],
    ) -> Lanes {
        for input in &self.varying {
            for (lane, row) in values[input.index].0.iter_mut().zip(rows) {
                *lane = input.values[*row];
            }
        }
        // Only inputs that vary are copied: with all inputs a row takes 20 ns longer.
        inputs.body = Body::from_array(std::array::from_fn(|field| values[field]));
        if let Some(last) = self.varying.last().filter(|last| last.index >= Body::FIELDS.len()) {
            if last.is_optional {
                let mut figure = values[Body::FIELDS.len()..].iter();
                inputs.figure = inputs.figure.map(inlined!(|number| *figure.next().unwrap_or(&number)));
            } else {
                *inputs = self.inputs_of_lanes(values);
            }
        }
        values.get(self.checked.columns.len()).copied().unwrap_or(Lanes::constant(0.0))
    }

    /// Returns a mask of the lanes in which all `values` are in range, the hem is far enough below the hip line, and the
    /// figure does not contradict body and rules.
    #[inline(always)]
    pub(super) fn valid_lane_mask(&self, inputs: &Inputs<Lanes>, values: &[Lanes]) -> LaneMask {
        let Inputs { body, figure, rules, .. } = inputs;
        let mut is_valid = (body.hip_depth + Lanes::constant(MIN_HEM_BELOW_HIP_CM)).le(body.length);
        is_valid = is_valid & figure.fits_body_and_rules(body, &rules.panel_rules);
        for InputVaryingByRow { index, is_optional, .. } in &self.varying {
            let value = values[*index];
            let is_in_range = value.le(Lanes::constant(f64::MAX));
            is_valid = is_valid & if *is_optional { is_in_range | !value.is_not_nan() } else { is_in_range };
        }
        is_valid
    }
}
