//! Conversion of sensitivities, uncertainties and ease profiles of a draft to record batches.

use std::sync::Arc;

use arrow_array::{ArrayRef, Float64Array, RecordBatch, StringArray};
use arrow_schema::ArrowError;

use super::metadata::RecordBatchBuilder;
use crate::ease_profile::{EaseByLevel, Level};
use crate::field::Unit;
use crate::sensitivity::{QuantityId, Sensitivity, Uncertainty};

/// Starts a record batch with one row per quantity of a draft and the columns `quantity` (its name), `unit`, `value`.
fn start_quantity_batch_builder(quantities: &[QuantityId], values: &[f64], unit: Unit) -> RecordBatchBuilder {
    let names: StringArray = quantities.iter().map(|quantity| Some(quantity.to_string())).collect();
    let units: StringArray = quantities.iter().map(|quantity| Some(quantity.dimension.unit_name(unit))).collect();
    let mut columns = RecordBatchBuilder::new();
    columns.add_column("quantity", "name of the measured quantity of the draft", "", false, Arc::new(names));
    columns.add_column("unit", "unit of the quantity", "", false, Arc::new(units));
    columns.add_column("value", "value of the quantity", "", false, number_array(values.iter().copied()));
    columns
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
    let mut columns = start_quantity_batch_builder(quantities, values, *unit);
    for (index, input) in inputs.iter().enumerate() {
        let derivatives = number_array(sensitivity.derivatives_with_respect_to_input(index));
        let description = format!("derivative of the quantity with respect to {}, per unit of this input", input.path);
        columns.add_column(&input.path, &description, input.field.kind.unit_name(*unit), false, derivatives);
    }
    columns.build_record_batch(*unit)
}

/// Converts an uncertainty to a record batch: one row per quantity of the draft, with value and standard error.
///
/// # Errors
/// [`ArrowError`] where the lists in `uncertainty` differ in length; a draft's own lists do not.
///
/// ```
/// use kirtle::{Body, Ease, Rules, Unit, arrow::uncertainty_batch, sensitivity::StandardErrors};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let mut uncertainty = draft.uncertainty(&StandardErrors::iso_20685(Unit::Cm), Unit::Cm)?;
/// assert_eq!(uncertainty_batch(&uncertainty)?.schema().field(3).name(), "standard_error");
/// uncertainty.values.pop();
/// assert!(uncertainty_batch(&uncertainty).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn uncertainty_batch(uncertainty: &Uncertainty) -> Result<RecordBatch, ArrowError> {
    let mut columns = start_quantity_batch_builder(&uncertainty.quantities, &uncertainty.values, uncertainty.unit);
    let errors = number_array(uncertainty.standard_errors.iter().copied());
    columns.add_column("standard_error", "standard error of the quantity", "", false, errors);
    columns.build_record_batch(uncertainty.unit)
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
    let mut columns = RecordBatchBuilder::new();
    let mut add = |name: &str, description: &str, length: fn(&Level) -> f64| {
        columns.add_column(name, description, ease.unit.name(), false, number_array(ease.levels.iter().map(length)));
    };
    add("level", "depth of the level below the waist at the side", |level| level.level);
    add("garment", "girth of the garment at the level, darts closed", |level| level.garment);
    add("body", "girth of the body at the level", |level| level.body);
    add("ease", "ease at the level: girth of the garment minus girth of the body", Level::ease);
    columns.build_record_batch(ease.unit)
}
