//! Conversion of simulated bodies, and of the fit of a size chart to the people of a survey, to record batches.

use std::sync::Arc;

use arrow_array::builder::StringBuilder;
use arrow_array::{ArrayRef, BooleanArray, Float64Array, RecordBatch};
use arrow_schema::{ArrowError, DataType};

use super::metadata::RecordBatchBuilder;
use crate::body::Body;
use crate::field::{FieldKind, Unit};
use crate::sizes::SizeChart;
use crate::survey::{AssignedSize, ChartFit, SimulatedBodies};

/// Creates a record batch from named and described columns; every `Float64` column holds lengths in `unit`.
fn batch_with_lengths_in_unit(columns: Vec<(&str, &str, ArrayRef)>, unit: Unit) -> Result<RecordBatch, ArrowError> {
    let mut builder = RecordBatchBuilder::new();
    for (name, description, column) in columns {
        let is_length = *column.data_type() == DataType::Float64;
        builder.add_column(name, description, if is_length { unit.name() } else { "" }, true, column);
    }
    builder.build_record_batch(unit)
}

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
    let lists = [bodies.waist, bodies.hip, bodies.hip_depth, bodies.length];
    let texts = Body::FIELDS.map(|field| (field.name, field.description()));
    let columns = texts.iter().zip(lists).map(|((name, description), mut values)| {
        if unit != Unit::Cm {
            for value in &mut values {
                *value = FieldKind::Length.convert_unit(*value, Unit::Cm, unit);
            }
        }
        (*name, description.as_str(), Arc::new(Float64Array::from(values)) as ArrayRef)
    });
    batch_with_lengths_in_unit(columns.collect(), unit)
}

/// Converts the fit of a size chart to a record batch with one row per person; lengths in `unit`.
///
/// The columns hold the name of the assigned size, the ease left, whether the size serves, and the largest amount by
/// which the ease left is below a minimum or above a maximum. The row of an unmeasured person is null.
///
/// # Errors
/// None: the columns of a fit always have equal lengths.
///
/// ```
/// use kirtle::{Ease, Rules, SizeChart, Unit, arrow::fit_batch, survey::{EaseBounds, PeopleColumns, fit_chart}};
///
/// let (chart, ease) = (SizeChart::demo(), Ease { waist: 1.5, hip: 5.0 });
/// let people = PeopleColumns { waist: &[73.0, f64::NAN], hip: &[97.0, 99.0], high_hip: None };
/// let fit = fit_chart(&chart, &ease, &Rules::default(), &EaseBounds::from_ease_and_tolerance(&ease, 2.0), &people)?;
/// let batch = fit_batch(&chart, &fit, false, Unit::Cm)?;
/// assert_eq!((batch.num_rows(), batch["size"].null_count()), (2, 1));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn fit_batch(chart: &SizeChart, fit: &ChartFit, high_hips: bool, unit: Unit) -> Result<RecordBatch, ArrowError> {
    let mut sizes = StringBuilder::new();
    for fitted in &fit.by_person {
        sizes.append_option(fitted.and_then(|fitted| chart.sizes().get(fitted.size)).map(|size| size.name.as_str()));
    }
    let lengths = |length: fn(&AssignedSize) -> Option<f64>| {
        let in_cm = fit.by_person.iter().map(|fitted| fitted.as_ref().and_then(length));
        Arc::new(in_cm.map(|cm| cm.map(|cm| unit.length_from_cm(cm))).collect::<Float64Array>()) as ArrayRef
    };
    let serves: BooleanArray = fit.by_person.iter().map(|fitted| fitted.as_ref().map(AssignedSize::serves)).collect();
    let mut columns: Vec<(&str, &str, ArrayRef)> = vec![
        ("size", "name of the size assigned to the person", Arc::new(sizes.finish())),
        ("ease_left_waist", "ease left at the waist by the assigned size", lengths(|fitted| Some(fitted.waist))),
        ("ease_left_hip", "ease left at the hip by the assigned size", lengths(|fitted| Some(fitted.hip))),
    ];
    if high_hips {
        let text = "ease left at the high hip by the assigned size";
        columns.push(("ease_left_high_hip", text, lengths(|fitted| fitted.high_hip)));
    }
    columns.push(("serves", "whether the ease left is within every bound", Arc::new(serves)));
    let text = "largest amount by which the ease left is below a minimum or above a maximum; 0 where the size serves";
    columns.push(("excess", text, lengths(|fitted| Some(fitted.excess))));
    batch_with_lengths_in_unit(columns, unit)
}
