//! Derivatives, standard errors, and the ease at all levels, as record batches.

use std::sync::Arc;

use arrow_array::{ArrayRef, Float64Array, RecordBatch, StringArray};
use arrow_schema::ArrowError;

use super::described::Columns;
use crate::ease_profile::{EaseByLevel, Level};
use crate::field::Unit;
use crate::sensitivity::{Quantity, Sensitivity, Uncertainty};

/// The name, the unit and the value of each number.
fn numbers(quantities: &[Quantity], values: &[f64], unit: Unit) -> Columns {
    let names: StringArray = quantities.iter().map(|quantity| Some(quantity.to_string())).collect();
    let units: StringArray = quantities.iter().map(|quantity| Some(quantity.dimension.unit_name(unit))).collect();
    let mut columns = Columns::new();
    columns.add("quantity", "the number of the draft", "", false, Arc::new(names));
    columns.add("unit", "its unit", "", false, Arc::new(units));
    columns.add("value", "its value", "", false, column(values.iter().copied()));
    columns
}

fn column(numbers: impl Iterator<Item = f64>) -> ArrayRef {
    Arc::new(Float64Array::from_iter_values(numbers))
}

/// A row for each number of a draft: its name, unit, value, and its derivative by each input, which is that column's name.
///
/// # Errors
/// [`ArrowError`] where the lists are not of one length, which those of a draft are.
///
/// ```
/// use kirtle::{Body, Ease, Rules};
/// use kirtle::arrow::sensitivity_batch;
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
    let mut columns = numbers(quantities, values, *unit);
    for (place, input) in inputs.iter().enumerate() {
        let derivatives = column(sensitivity.by_input(place));
        let what = format!("its derivative by {}", input.path);
        columns.add(&input.path, &what, input.field.kind.unit_name(*unit), false, derivatives);
    }
    columns.batch(*unit)
}

/// A row for each number of a draft: its name, unit, value and standard error.
///
/// # Errors
/// [`ArrowError`] where the lists are not of one length, which those of a draft are.
///
/// ```
/// use kirtle::{Body, Ease, Rules, Unit};
/// use kirtle::arrow::uncertainty_batch;
/// use kirtle::sensitivity::StandardErrors;
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
    let mut columns = numbers(&uncertainty.quantities, &uncertainty.values, uncertainty.unit);
    let errors = column(uncertainty.standard_errors.iter().copied());
    columns.add("standard_error", "its standard error", "", false, errors);
    columns.batch(uncertainty.unit)
}

/// A row for each level: the level, the girths of garment and body, and the ease.
///
/// # Errors
/// None: whatever the levels are makes columns of one length.
///
/// ```
/// use kirtle::{Body, Ease, Rules, Unit};
/// use kirtle::arrow::ease_batch;
/// use kirtle::ease_profile::BodyProfile;
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let batch = ease_batch(&draft.ease_by_level(&BodyProfile::NaturalSpline, None, Unit::Cm)?)?;
/// assert_eq!(batch.num_rows(), 61);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn ease_batch(ease: &EaseByLevel) -> Result<RecordBatch, ArrowError> {
    let mut columns = Columns::new();
    let mut add = |name: &str, what: &str, of: fn(&Level) -> f64| {
        columns.add(name, what, ease.unit.name(), false, column(ease.levels.iter().map(of)));
    };
    add("level", "how far down from the waist at the side", |level| level.level);
    add("garment", "girth of the garment", |level| level.garment);
    add("body", "girth of the body", |level| level.body);
    add("ease", "what the garment is wider than the body", Level::ease);
    columns.batch(ease.unit)
}
