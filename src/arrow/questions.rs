//! Conversion of sensitivities, uncertainties and ease profiles of a draft to record batches.

use std::sync::Arc;

use arrow_array::{ArrayRef, Float64Array, RecordBatch, StringArray};
use arrow_schema::ArrowError;

use super::metadata::{DescribedColumn, batch_of_columns};
use crate::ease_profile::{EaseByLevel, GirthsAtLevel};
use crate::field::Unit;
use crate::sensitivity::{QuantityId, Sensitivity, Spread, Uncertainty};

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
