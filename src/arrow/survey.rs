//! Conversion of simulated bodies, and of the fit of a size chart to the people of a survey, to record batches.

use std::sync::Arc;

use arrow_array::{Array, ArrayRef, BooleanArray, Float64Array, RecordBatch, StringArray};
use arrow_schema::ArrowError;

use super::metadata::{DescribedColumn, batch_of_columns};
use crate::body::Body;
use crate::field::{FieldKind, Unit};
use crate::sizes::SizeChart;
use crate::survey::{AssignedSize, ChartFit, SimulatedBodies};

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
    let columns = texts.iter().zip(bodies.into_array()).map(|((name, description), mut values)| {
        for value in &mut values {
            *value = FieldKind::Length.convert_unit(*value, Unit::Cm, unit);
        }
        (*name, description.as_str(), unit.name(), Arc::new(Float64Array::from(values)) as ArrayRef)
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
