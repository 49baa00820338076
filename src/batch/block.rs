//! Drafts a block of rows, the work of one thread. Ordinary bodies are drafted in lanes, sixteen of one kind at a time;
//! bodies that are refused or that the solver in lanes cannot solve, one by one.

use super::Column;
use super::bodies::CheckedBodies;
use super::groups::RowGroupsForLanes;
use super::table::{Outline, RowOutlines, TableBlock};
use crate::body::{Body, FIGURE_PATH_PREFIX, Inputs, MIN_HEM_BELOW_HIP_CM};
use crate::draft::{DraftKind, Summary, draft_lanes_into_summary, draft_with_summary, tangent_of_degrees};
use crate::error::Problems;
use crate::field::Unit;
use crate::findings;
use crate::scalar::{LANE_COUNT, LaneMask, Lanes, Mask, Number, inlined};

/// Index of the flag for invalid input among the flags of a row; the flags of the [`DraftKind`] precede it.
const INVALID_INPUT_FLAG_INDEX: usize = DraftKind::FLAG_COUNT;

/// Refused rows of a block, each as its index from the block's first row and its problems; then the outlines of all
/// rows, empty if none are requested.
pub(super) type RefusedRowsAndOutlines = (Vec<(usize, Problems)>, Vec<RowOutlines>);

/// Drafts a block that starts at row `start` of the table: row by row if `outlines` is true, else mostly in lanes.
pub(super) fn draft_block_rows(
    checked: &CheckedBodies,
    start: usize,
    block: &mut TableBlock,
    groups: &mut RowGroupsForLanes,
    outlines: bool,
) -> RefusedRowsAndOutlines {
    let (rows, unit) = (block.findings.len(), checked.bodies.unit);
    let mut single_rows: Vec<usize> = (0..rows).collect();
    if !outlines {
        let inputs = RowBlockInputs::collect_inputs_of_row_block(checked, start, rows);
        single_rows = Lanes::out_of_line(inlined!(|| block.draft_row_groups_in_lanes(checked, &inputs, groups)));
        groups.copy_numbers_to_table_columns(&mut block.numbers);
        single_rows.sort_unstable();
        // The row that fills the unused lanes of an incomplete group occurs several times.
        single_rows.dedup();
    }
    let (mut refused, mut row_outlines) = (Vec::new(), Vec::new());
    for row in single_rows {
        let outcome = checked.checked_row_inputs_in_cm(start + row).and_then(|inputs| {
            let result = inputs.check_and_convert_to_cm(Unit::Cm).and_then(draft_with_summary);
            unit.convert_problems_from_cm(result)
        });
        let panels = match outcome {
            Ok((draft, summary)) => {
                let mut columns = block.numbers.iter_mut();
                summary.for_each_table_number(checked.bodies.rules.max_darts_by_panel(), |number| {
                    if let Some(column) = columns.next() {
                        column[row] = *number;
                    }
                });
                block.write_row_dart_counts(row, &summary);
                block.findings[row] = draft.finding_bits(&summary);
                outlines.then(|| draft.panels().map(|panel| Outline::from_panel_edges(&panel.edges, unit)))
            }
            Err(problems) => {
                block.numbers.iter_mut().for_each(|column| column[row] = f64::NAN);
                block.darts.iter_mut().for_each(|counts| counts[row] = 0);
                block.findings[row] = 0;
                refused.push((row, problems));
                None
            }
        };
        row_outlines.extend(outlines.then_some(panels));
    }
    for (numbers, column) in block.numbers.iter_mut().zip(block.columns).filter(|_| unit != Unit::Cm) {
        numbers.iter_mut().for_each(|number| *number = column.kind.convert_from_cm(*number, unit));
    }
    (refused, row_outlines)
}

impl TableBlock<'_> {
    /// Writes the numbers of back and front darts to one row of the block.
    #[inline(always)]
    fn write_row_dart_counts<T: Number>(&mut self, row: usize, summary: &Summary<T>) {
        for (counts, panel) in self.darts.iter_mut().zip(&summary.panels) {
            // A panel has at most 3 darts.
            #[allow(clippy::cast_possible_truncation)]
            (counts[row] = panel.darts.len() as u8);
        }
    }

    /// Drafts the rows in lanes, by kind; returns the indices of the rows that must still be drafted one by one.
    #[inline(always)]
    fn draft_row_groups_in_lanes(
        &mut self,
        checked: &CheckedBodies,
        inputs: &RowBlockInputs,
        groups: &mut RowGroupsForLanes,
    ) -> Vec<usize> {
        let mut values: Vec<_> = inputs.constants.iter().map(|value| Lanes::constant(*value)).collect();
        let mut lanes = inputs.inputs_of_lanes(&values);
        let (rows, columns) = (self.findings.len(), self.numbers.len());
        let mut single_rows = Vec::new();
        let mut kinds = Vec::with_capacity(rows + LANE_COUNT);
        for first in (0..rows).step_by(LANE_COUNT) {
            let next_rows = std::array::from_fn(|k| (first + k).min(rows - 1));
            let max_lean_tangent = inputs.copy_rows_to_lanes(&mut values, &mut lanes, &next_rows);
            let mut flags = [!inputs.valid_lane_mask(&lanes, &values); INVALID_INPUT_FLAG_INDEX + 1];
            flags[..INVALID_INPUT_FLAG_INDEX].copy_from_slice(&DraftKind::flag_masks(&lanes, max_lean_tangent));
            kinds.extend_from_slice(&LaneMask::flag_set_from_masks(flags).flag_bits_by_lane());
        }
        kinds.truncate(rows);
        groups.group_rows_by_kind(&kinds, columns);
        for (kind, group_rows, numbers) in groups.iter_mut(columns) {
            let has_flag = |flag: usize| kind >> flag & 1 == 1;
            if has_flag(INVALID_INPUT_FLAG_INDEX) {
                single_rows.extend(group_rows);
                continue;
            }
            // Copied a second time: only now are the rows sorted so that all lanes are of one kind.
            let max_lean_tangent = inputs.copy_rows_to_lanes(&mut values, &mut lanes, &group_rows);
            let kind = DraftKind::from_flags(std::array::from_fn(has_flag));
            let mut summary = Summary::default();
            let is_good = draft_lanes_into_summary(&lanes, kind, max_lean_tangent, &mut summary);
            let mut numbers = numbers.iter_mut();
            summary.for_each_table_number(
                checked.bodies.rules.max_darts_by_panel(),
                inlined!(|number: &Lanes| {
                    if let Some(lanes) = numbers.next() {
                        *lanes = number.0;
                    }
                }),
            );
            Lanes::stage(inlined!(|| self.write_lane_dart_counts_and_findings(checked, &lanes, &summary, &group_rows)));
            if !is_good.all() {
                let lanes = group_rows.iter().zip(is_good.flag_bits_by_lane());
                single_rows.extend(lanes.filter(|(_, is_good)| *is_good == 0).map(|(row, _)| row));
            }
        }
        single_rows
    }

    /// Writes dart counts and findings of the 16 rows in the lanes to the block.
    #[inline(always)]
    fn write_lane_dart_counts_and_findings(
        &mut self,
        checked: &CheckedBodies,
        inputs: &Inputs<Lanes>,
        summary: &Summary<Lanes>,
        rows: &[usize; LANE_COUNT],
    ) {
        let mut walking_girths = inputs.body.length;
        for (girth, hip_depth) in walking_girths.0.iter_mut().zip(inputs.body.hip_depth.0) {
            *girth = findings::hem_girth_for_walking_cm(*girth, hip_depth);
        }
        let is_by_darts = checked.bodies.rules.shares().is_none();
        let max_lean = is_by_darts.then(findings::default_max_side_lean_tangent).map(Lanes::constant);
        let decide = inlined!(|_, breaks_limit: LaneMask| breaks_limit);
        let decided = findings::decide_draft_findings(summary, inputs, walking_girths, max_lean, decide);
        let mut masks = [LaneMask::uniform(false); findings::DRAFT_FINDINGS.len()];
        for (mask, (_, decided)) in masks.iter_mut().zip(decided) {
            *mask = decided;
        }
        let flags = LaneMask::flag_set_from_masks(masks);
        for (row, bits) in rows.iter().zip(flags.flag_bits_by_lane()) {
            self.write_row_dart_counts(*row, summary);
            self.findings[*row] = bits;
        }
    }
}

/// Input values of the rows of one block, in centimetres.
struct RowBlockInputs<'a> {
    checked: &'a CheckedBodies<'a>,
    /// One value per input, the same in every row; an arbitrary number for an input that varies by row. If the rules
    /// give shares, the tangent of the steepest lean of the side seam follows the inputs.
    constants: Vec<f64>,
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
    fn collect_inputs_of_row_block(checked: &'a CheckedBodies, start: usize, rows: usize) -> Self {
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
    fn inputs_of_lanes(&self, values: &[Lanes]) -> Inputs<Lanes> {
        let mut next = values.iter().copied();
        self.checked.inputs.map_fields(|_, _| next.next().unwrap_or(Lanes::constant(f64::NAN)))
    }

    /// Copies the rows with these indices in the block to `values` and `inputs`, one row per lane; returns the tangent
    /// of the steepest lean of the side seam, any number if the rules give the darts.
    #[inline(always)]
    fn copy_rows_to_lanes(
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
    fn valid_lane_mask(&self, inputs: &Inputs<Lanes>, values: &[Lanes]) -> LaneMask {
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
