//! Derivatives, standard errors, and the ease at all levels, as record batches.

use std::sync::Arc;

use arrow_array::{ArrayRef, Float64Array, RecordBatch, StringArray};
use arrow_schema::{ArrowError, DataType, Field};

use super::described::{described, schema};
use crate::levels::{EaseByLevel, Level};
use crate::measure::Unit;
use crate::sensitivity::{Quantity, Sensitivity, Uncertainty};

/// Columns, each with its name, what it holds, and its unit.
struct Columns(Vec<(Field, ArrayRef)>);

impl Columns {
    /// The name, the unit and the value of each number.
    fn of(quantities: &[Quantity], values: &[f64], unit: Unit) -> Self {
        let names = quantities.iter().map(|quantity| Some(quantity.to_string()));
        let units = quantities.iter().map(|quantity| Some(quantity.dimension.unit_name(unit)));
        let mut columns = Self(Vec::new());
        columns.texts("quantity", "the number of the draft", names.collect());
        columns.texts("unit", "its unit", units.collect());
        columns.numbers("value", "its value", "", values.to_vec());
        columns
    }

    fn texts(&mut self, name: &str, what: &str, texts: StringArray) {
        self.0.push((described(Field::new(name, DataType::Utf8, false), what, ""), Arc::new(texts)));
    }

    fn numbers(&mut self, name: &str, what: &str, unit: &str, numbers: Vec<f64>) {
        let field = described(Field::new(name, DataType::Float64, false), what, unit);
        self.0.push((field, Arc::new(Float64Array::from(numbers))));
    }

    fn batch(self, unit: Unit) -> Result<RecordBatch, ArrowError> {
        let (fields, columns) = self.0.into_iter().unzip();
        RecordBatch::try_new(Arc::new(schema(fields, unit)), columns)
    }
}

/// A row for each number of a draft: its name, unit, value, and its derivative by each input, which is that column's name; of a
/// sensitivity in `unit`.
///
/// # Errors
/// None that is known.
///
/// ```
/// use kirtle::{Body, Ease, Rules, Unit, sensitivity_batch};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let batch = sensitivity_batch(&draft.sensitivity(&["ease.hip"])?, Unit::Cm)?;
/// assert_eq!(batch.schema().field(3).name(), "ease.hip");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn sensitivity_batch(sensitivity: &Sensitivity, unit: Unit) -> Result<RecordBatch, ArrowError> {
    let mut columns = Columns::of(&sensitivity.quantities, &sensitivity.values, unit);
    let rows = 0..sensitivity.quantities.len();
    for (place, input) in sensitivity.inputs.iter().enumerate() {
        let derivatives = rows.clone().map(|row| sensitivity.row(row)[place]).collect();
        let what = format!("its derivative by {}", input.path);
        columns.numbers(&input.path, &what, input.field.kind.unit_name(unit), derivatives);
    }
    columns.batch(unit)
}

/// A row for each number of a draft: its name, unit, value and standard error; of an uncertainty in `unit`.
///
/// # Errors
/// None that is known.
///
/// ```
/// use kirtle::{Body, Ease, Errors, Rules, Unit, uncertainty_batch};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let batch = uncertainty_batch(&draft.uncertainty(&Errors::iso_20685(Unit::Cm), Unit::Cm)?, Unit::Cm)?;
/// assert_eq!(batch.schema().field(3).name(), "standard_error");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn uncertainty_batch(uncertainty: &Uncertainty, unit: Unit) -> Result<RecordBatch, ArrowError> {
    let mut columns = Columns::of(&uncertainty.quantities, &uncertainty.values, unit);
    columns.numbers("standard_error", "its standard error", "", uncertainty.standard_errors.clone());
    columns.batch(unit)
}

/// A row for each level: the level, the girths of garment and body, and the ease.
///
/// # Errors
/// None that is known.
///
/// ```
/// use kirtle::{Body, Ease, Profile, Rules, Unit, ease_batch};
///
/// let body = Body { waist: 70.0, hip: 96.0, hip_depth: 18.0, length: 60.0 };
/// let draft = kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default())?;
/// let batch = ease_batch(&draft.ease_by_level(&Profile::NaturalSpline, None, Unit::Cm)?)?;
/// assert_eq!(batch.num_rows(), 61);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn ease_batch(ease: &EaseByLevel) -> Result<RecordBatch, ArrowError> {
    let column = |of: fn(&Level) -> f64| ease.levels.iter().map(of).collect();
    let mut columns = Columns(Vec::new());
    let unit = ease.unit.name();
    columns.numbers("level", "how far down from the waist at the side", unit, column(|level| level.level));
    columns.numbers("garment", "girth of the garment", unit, column(|level| level.garment));
    columns.numbers("body", "girth of the body", unit, column(|level| level.body));
    columns.numbers("ease", "what the garment is wider than the body", unit, column(Level::ease));
    columns.batch(ease.unit)
}
