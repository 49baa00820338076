//! Conversion of results to record batches: drafts, sensitivities, uncertainties, ease profiles, simulated bodies, fits.
//!
//! Metadata: `what` (description) and `unit` of a column's field, of the schema `kirtle.unit` (of lengths),
//! `kirtle.version` (of the package) and `kirtle.settings` (of the call, as JSON).

use std::collections::HashMap;
use std::sync::Arc;

use arrow_array::{
    Array, ArrayRef, BooleanArray, Float64Array, Int8Array, ListArray, RecordBatch, StringArray, StructArray,
};
use arrow_buffer::{BooleanBuffer, NullBuffer, OffsetBuffer};
use arrow_schema::{ArrowError, Field, Schema};

use crate::batch::{RowOutlines, Table};
use crate::body::{Body, MAX_DARTS_PER_PANEL};
use crate::document::{CallSettings, to_json_text};
use crate::draft::Half;
use crate::ease_profile::{EaseByLevel, GirthsAtLevel};
use crate::error::Problems;
use crate::field::{FieldKind, Unit};
use crate::sensitivity::{QuantityId, Sensitivity, Spread, Uncertainty};
use crate::sizes::SizeChart;
use crate::survey::{AssignedSize, ChartFit, SimulatedBodies};

/// Column of a record batch: name, description, unit (empty for a column without unit) and values.
pub(super) type DescribedColumn<'a, T = &'a str> = (T, T, &'a str, ArrayRef);

/// Creates a record batch of columns: each field has the column's description and unit as metadata, and is nullable if
/// `nullable`; the schema has `length_unit`, the unit of lengths, and the version of the package.
pub(super) fn batch_of_columns<'a, T: Into<String>>(
    columns: impl IntoIterator<Item = DescribedColumn<'a, T>>,
    nullable: bool,
    length_unit: Unit,
) -> Result<RecordBatch, ArrowError> {
    let described = |(name, description, unit, column): DescribedColumn<'a, T>| {
        let mut metadata = HashMap::from([("what".to_owned(), description.into())]);
        metadata.extend((!unit.is_empty()).then(|| ("unit".to_owned(), unit.to_owned())));
        (Field::new(name, column.data_type().clone(), nullable).with_metadata(metadata), column)
    };
    let (fields, columns): (Vec<Field>, _) = columns.into_iter().map(described).unzip();
    let metadata = [("kirtle.unit", length_unit.name()), ("kirtle.version", crate::VERSION)];
    let metadata = HashMap::from(metadata.map(|(name, text)| (name.to_owned(), text.to_owned())));
    RecordBatch::try_new(Arc::new(Schema::new(fields).with_metadata(metadata)), columns)
}

/// Returns a batch with the settings of the call that made it in the metadata of its schema.
pub(crate) fn with_settings(mut batch: RecordBatch, settings: &CallSettings) -> RecordBatch {
    batch.schema_metadata_mut().insert("kirtle.settings".to_owned(), to_json_text(settings));
    batch
}

/// Converts a table of drafts, with lengths in `unit`, to a record batch. A refused row is null in
/// every column except the columns of errors.
pub(super) fn batch_of_drafts(mut table: Table, unit: Unit) -> Result<RecordBatch, ArrowError> {
    let rows = table.rows();
    let numbers_by_column = std::mem::take(&mut table.numbers);
    let mut refused = vec![None; rows];
    table.refused.iter().for_each(|(row, problems)| refused[*row] = Some(problems));
    let drafted_rows = column_null_buffer(rows, |row| refused[row].is_none());
    let (square, mut columns) = (format!("{}2", unit.name()), Vec::<DescribedColumn<String>>::new());
    let mut push =
        |name: &str, text: &str, unit, column: ArrayRef| columns.push((name.to_owned(), text.to_owned(), unit, column));
    let dart_nulls = table.darts.each_ref().map(|counts| -> [_; MAX_DARTS_PER_PANEL] {
        std::array::from_fn(|k| column_null_buffer(rows, |row| usize::from(counts[row]) > k))
    });
    for (column, numbers) in table.columns().iter().zip(numbers_by_column) {
        let nulls = match column.dart {
            None => drafted_rows.clone(),
            Some((panel, k)) => dart_nulls[panel][k].clone(),
        };
        let unit = if column.kind == FieldKind::Area { &square } else { unit.name() };
        push(&column.name, &column.description, unit, Arc::new(Float64Array::new(numbers.into(), nulls)));
    }
    let halves = Half::ALL.map(Half::name);
    for (half, counts) in halves.iter().zip(&table.darts) {
        // Signed, because some query engines lack unsigned types; a count is at most 3.
        let counts = counts.iter().map(|count| count.cast_signed()).collect();
        let column = Arc::new(Int8Array::new(counts, drafted_rows.clone()));
        push(&format!("{half}_darts"), &format!("number of {half} darts"), "", column);
    }
    if let Some(outlines) = &table.outlines {
        for (panel, half) in halves.iter().enumerate() {
            let text = format!("edges of the {half} outline in order: waist from the centre, side, hem, centre line");
            let column = panel_outlines_array(outlines, panel, drafted_rows.clone());
            push(&format!("{half}_outline"), &text, unit.name(), column);
        }
    }
    let found = (0..rows).map(|row| refused[row].is_none().then(|| table.findings_with_panels(row)));
    let codes = text_lists(found.clone().map(|found| Some(found?.map(|(code, _)| code.name()))), drafted_rows.clone());
    let panels = text_lists(found.map(|found| Some(found?.map(|(_, panel)| panel))), drafted_rows);
    push("findings", "codes of the findings, the gravest first", "", codes);
    push("finding_panels", "panel of each finding: back, front, or both", "", panels);
    let refused_rows = column_null_buffer(rows, |row| refused[row].is_some());
    let problems = refused.iter().copied().map(|problems| Some(problems?.iter()));
    let codes = problems.clone().map(|problems| Some(problems?.map(|one| one.code.name())));
    let fields = problems.map(|problems| Some(problems?.map(|one| &*one.field)));
    let (codes, fields) = (text_lists(codes, refused_rows.clone()), text_lists(fields, refused_rows));
    push("error_codes", "error code of each problem of a refused row", "", codes);
    push("error_fields", "path of the input at fault in each problem of a refused row", "", fields);
    let texts: StringArray = refused.iter().map(|problems| problems.map(Problems::to_string)).collect();
    push("error_text", "all problems of a refused row, one per line", "", Arc::new(texts));
    batch_of_columns(columns, true, unit)
}

/// Creates an Arrow array of lists of texts; a row that is null has no list.
fn text_lists<'a, T>(rows: impl Iterator<Item = Option<T>> + Clone, nulls: Option<NullBuffer>) -> ArrayRef
where
    T: Iterator<Item = &'a str>,
{
    let texts = StringArray::from_iter_values(rows.clone().flatten().flatten());
    array_of_lists(rows.map(|texts| texts.map_or(0, Iterator::count)), Arc::new(texts), nulls)
}

/// Creates the null buffer of a column that has values in the rows that are valid; `None` if all rows are.
fn column_null_buffer(rows: usize, is_valid: impl Fn(usize) -> bool) -> Option<NullBuffer> {
    Some(NullBuffer::new(BooleanBuffer::collect_bool(rows, is_valid))).filter(|nulls| nulls.null_count() > 0)
}

/// Creates an Arrow array with the outline of one panel (0 back, 1 front) of every row; null for a refused row.
fn panel_outlines_array(outlines: &[RowOutlines], panel: usize, drafted_rows: Option<NullBuffer>) -> ArrayRef {
    let edges = || outlines.iter().flatten().flat_map(|outlines| &outlines[panel].edges);
    let coordinate = |k: usize| -> ArrayRef {
        Arc::new(Float64Array::from_iter_values(edges().flat_map(|(_, points)| points).map(|point| point[k])))
    };
    let child = |name: &str, values: ArrayRef| (Arc::new(Field::new(name, values.data_type().clone(), true)), values);
    let points = StructArray::from(vec![child("x", coordinate(0)), child("y", coordinate(1))]);
    let points = array_of_lists(edges().map(|(_, points)| points.len()), Arc::new(points), None);
    let roles = StringArray::from_iter_values(edges().map(|(role, _)| role.name()));
    let edges = StructArray::from(vec![child("role", Arc::new(roles)), child("points", points)]);
    let edge_count = |outlines: &RowOutlines| outlines.as_ref().map_or(0, |outlines| outlines[panel].edges.len());
    array_of_lists(outlines.iter().map(edge_count), Arc::new(edges), drafted_rows)
}

/// Creates an Arrow array of lists with the given lengths; `values` are those of all lists, one after another.
fn array_of_lists(lengths: impl Iterator<Item = usize>, values: ArrayRef, nulls: Option<NullBuffer>) -> ArrayRef {
    let item = Arc::new(Field::new("item", values.data_type().clone(), true));
    Arc::new(ListArray::new(item, OffsetBuffer::from_lengths(lengths), values, nulls))
}

/// Creates three columns, `quantity` (the name), `unit` and `value`, with one row per quantity of a draft.
fn quantity_table_columns(quantities: &[QuantityId], values: &[f64], unit: Unit) -> Vec<DescribedColumn<'static>> {
    let names: StringArray = quantities.iter().map(|quantity| Some(quantity.to_string())).collect();
    let units: StringArray = quantities.iter().map(|quantity| Some(quantity.kind.unit_name(unit))).collect();
    vec![
        ("quantity", "name of the quantity of the draft", "", Arc::new(names)),
        ("unit", "unit of the quantity", "", Arc::new(units)),
        ("value", "value of the quantity", "", number_array(values.iter().copied())),
    ]
}

fn number_array(numbers: impl Iterator<Item = f64>) -> ArrayRef {
    Arc::new(Float64Array::from_iter_values(numbers))
}

/// Converts a sensitivity to a record batch: one row per quantity of the draft, with its name, unit and value.
///
/// Each further column holds the derivatives with respect to one input and is named after the input, as in `ease.hip`.
///
/// # Errors
/// [`ArrowError`] where the lists in `sensitivity` differ in length; a draft's own lists do not.
///
/// ```
/// use kirtle::{Body, Ease, Rules, arrow::sensitivity_batch};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let mut sensitivity = draft.sensitivity(&["ease.hip"])?;
/// assert_eq!(sensitivity_batch(&sensitivity)?.schema().field(3).name(), "ease.hip");
/// sensitivity.values.pop();
/// assert!(sensitivity_batch(&sensitivity).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn sensitivity_batch(sensitivity: &Sensitivity) -> Result<RecordBatch, ArrowError> {
    let Sensitivity { unit, inputs, quantities, values, .. } = sensitivity;
    let text = |path| format!("derivative of the quantity with respect to {path}, per unit of this input");
    let texts: Vec<String> = inputs.iter().map(|input| text(&input.path)).collect();
    let derivatives = inputs.iter().zip(&texts).enumerate().map(|(index, (input, text))| {
        let derivatives = number_array(sensitivity.derivatives_with_respect_to_input(index));
        (input.path.as_str(), text.as_str(), input.field.kind.unit_name(*unit), derivatives)
    });
    batch_of_columns(quantity_table_columns(quantities, values, *unit).into_iter().chain(derivatives), false, *unit)
}

/// Converts an uncertainty and the spread of the same draft to a record batch: one row per quantity of the draft, with
/// its name, unit, value, standard error, spread and mean. The schema's metadata `kirtle.note` is [`Spread::note`].
///
/// # Errors
/// [`ArrowError`] where the lists in `uncertainty` and `spread` differ in length; a draft's own lists do not.
///
/// ```
/// use kirtle::{Body, Ease, Rules, Unit, arrow::uncertainty_batch, sensitivity::StandardErrors};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let errors = StandardErrors::iso_20685(Unit::Cm);
/// let (uncertainty, mut spread) = (draft.uncertainty(&errors, Unit::Cm)?, draft.spread(&errors, 100, 0, Unit::Cm)?);
/// assert_eq!(uncertainty_batch(&uncertainty, &spread)?.schema().field(4).name(), "spread");
/// spread.standard_deviations.pop();
/// assert!(uncertainty_batch(&uncertainty, &spread).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn uncertainty_batch(uncertainty: &Uncertainty, spread: &Spread) -> Result<RecordBatch, ArrowError> {
    let Uncertainty { quantities, values, standard_errors, unit, .. } = uncertainty;
    let deviation = "standard deviation of the quantity over drafts with random errors, in its unit";
    let columns = [
        ("standard_error", "standard error of the quantity, in its unit", standard_errors),
        ("spread", deviation, &spread.standard_deviations),
        ("mean", "mean of the quantity over drafts with random errors, in its unit", &spread.means),
    ];
    let columns = columns.map(|(name, text, numbers)| (name, text, "", number_array(numbers.iter().copied())));
    let columns = quantity_table_columns(quantities, values, *unit).into_iter().chain(columns);
    let mut batch = batch_of_columns(columns, false, *unit)?;
    batch.schema_metadata_mut().insert("kirtle.note".to_owned(), spread.note());
    Ok(batch)
}

/// Converts an ease profile to a record batch: one row per level, with the girths of garment and body and the ease.
///
/// # Errors
/// None: the columns of an ease profile always have equal lengths.
///
/// ```
/// use kirtle::{Body, Ease, Rules, Unit, arrow::ease_batch, ease_profile::BodyProfile};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let batch = ease_batch(&draft.ease_by_level(&BodyProfile::NaturalSpline, None, Unit::Cm)?)?;
/// assert_eq!(batch.num_rows(), 61);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn ease_batch(ease: &EaseByLevel) -> Result<RecordBatch, ArrowError> {
    let lengths = |length: fn(&GirthsAtLevel) -> f64| number_array(ease.levels.iter().map(length));
    let columns = [
        ("level", "distance of the level below the waist at the side", lengths(|level| level.level)),
        ("garment", "girth of the garment at the level, with darts closed", lengths(|level| level.garment)),
        ("body", "girth of the body at the level", lengths(|level| level.body)),
        ("ease", "ease at the level: girth of the garment minus girth of the body", lengths(GirthsAtLevel::ease)),
    ];
    batch_of_columns(columns.map(|(name, text, column)| (name, text, ease.unit.name(), column)), false, ease.unit)
}

/// Names of the columns of a fit; a fit without high hips has no `ease_left_high_hip`.
pub(super) const FIT_COLUMN_NAMES: [&str; 6] =
    ["size", "ease_left_waist", "ease_left_hip", "ease_left_high_hip", "serves", "excess"];

/// Converts simulated bodies to a record batch with one column per body measurement, in `unit`.
///
/// # Errors
/// [`ArrowError`] where the lists in `bodies` differ in length; lists from
/// [`Population::bodies`](crate::survey::Population::bodies) do not.
///
/// ```
/// use kirtle::{Unit, arrow::bodies_batch, survey::{Population, SimulatedBodies}};
///
/// let bodies = Population::ansur_women().bodies(0, 0..3)?;
/// let torn = SimulatedBodies { hip: vec![96.0], ..bodies.clone() };
/// let batch = bodies_batch(bodies, Unit::Cm)?;
/// assert_eq!((batch.num_rows(), batch.schema().field(2).name().as_str()), (3, "hip_depth"));
/// assert!(bodies_batch(torn, Unit::Cm).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn bodies_batch(bodies: SimulatedBodies, unit: Unit) -> Result<RecordBatch, ArrowError> {
    let texts = Body::FIELDS.map(|field| (field.name, field.description()));
    let columns = texts.iter().zip(bodies.into_array()).map(|((name, description), values)| {
        let in_unit = values.into_iter().map(|cm| FieldKind::Length.convert_unit(cm, Unit::Cm, unit));
        (*name, description.as_str(), unit.name(), number_array(in_unit))
    });
    batch_of_columns(columns, true, unit)
}

/// Converts the fit of a size chart to a record batch with one row per person; lengths in `unit`.
///
/// The columns hold the name of the assigned size, the ease left at waist and hip (and at the high hip if `high_hips`
/// is true), whether the size serves, and the largest amount by which the ease left is below a minimum or above a
/// maximum. The row of an unmeasured person is null.
///
/// # Errors
/// None: the columns of a fit always have equal lengths.
///
/// ```
/// use kirtle::{Ease, Rules, SizeChart, Unit, arrow::fit_batch, survey::{EaseBounds, PeopleColumns, fit_chart}};
///
/// let (chart, ease) = (SizeChart::demo(), Ease { waist: 1.5, hip: 5.0 });
/// let people = PeopleColumns { waist: &[73.0, f64::NAN], hip: &[97.0, 99.0], ..PeopleColumns::default() };
/// let fit = fit_chart(&chart, &ease, &Rules::default(), &EaseBounds::from_ease_and_tolerance(&ease, 2.0), &people)?;
/// let batch = fit_batch(&chart, &fit, false, Unit::Cm)?;
/// assert_eq!((batch.num_rows(), batch["size"].null_count()), (2, 1));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn fit_batch(chart: &SizeChart, fit: &ChartFit, high_hips: bool, unit: Unit) -> Result<RecordBatch, ArrowError> {
    let name = |fitted: &Option<AssignedSize>| Some(chart.sizes().get(fitted.as_ref()?.size)?.name.as_str());
    let sizes: StringArray = fit.by_person.iter().map(name).collect();
    let has_size = sizes.nulls().cloned();
    let lengths = |length: fn(&AssignedSize) -> f64| {
        let cm = fit.by_person.iter().map(|fitted| fitted.as_ref().map_or(0.0, length));
        let lengths = cm.map(|cm| unit.length_from_cm(cm)).collect();
        Arc::new(Float64Array::new(lengths, has_size.clone())) as ArrayRef
    };
    let serves = fit.by_person.iter().map(|fitted| fitted.as_ref().is_some_and(AssignedSize::serves)).collect();
    let serves = BooleanArray::new(serves, has_size.clone());
    let length_unit = unit.name();
    let [size, waist, hip, high_hip, serving, excess] = FIT_COLUMN_NAMES;
    let mut columns: Vec<DescribedColumn> = vec![
        (size, "name of the size assigned to the person", "", Arc::new(sizes)),
        (waist, "ease left at the waist by the assigned size", length_unit, lengths(|fit| fit.waist)),
        (hip, "ease left at the hip by the assigned size", length_unit, lengths(|fit| fit.hip)),
    ];
    if high_hips {
        let text = "ease left at the high hip by the assigned size";
        let ease = fit.by_person.iter().map(|fitted| Some(unit.length_from_cm(fitted.as_ref()?.high_hip?)));
        columns.push((high_hip, text, length_unit, Arc::new(ease.collect::<Float64Array>())));
    }
    let text = "largest amount by which the ease left is below a minimum or above a maximum; 0 where the size serves";
    columns.push((serving, "whether the size serves: the ease left is within every bound", "", Arc::new(serves)));
    columns.push((excess, text, length_unit, lengths(|fit| fit.excess)));
    batch_of_columns(columns, true, unit)
}
