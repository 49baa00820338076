//! Simulated bodies, and what a chart's fit gives each person, as record batches.

use std::sync::Arc;

use arrow_array::builder::StringBuilder;
use arrow_array::{ArrayRef, BooleanArray, Float64Array, RecordBatch};
use arrow_schema::{ArrowError, DataType};

use super::described::Columns;
use crate::body::Body;
use crate::field::{FieldKind, Unit};
use crate::sizes::SizeChart;
use crate::survey::{ChartFit, Fitted, SimulatedBodies};

/// Columns with what they hold; those of lengths have the unit.
fn batch(columns: Vec<(&str, &str, ArrayRef)>, unit: Unit) -> Result<RecordBatch, ArrowError> {
    let mut described = Columns::new();
    for (name, what, column) in columns {
        let of_lengths = *column.data_type() == DataType::Float64;
        described.add(name, what, if of_lengths { unit.name() } else { "" }, true, column);
    }
    described.batch(unit)
}

/// Simulated bodies as columns by the names of their measurements, in `unit`.
///
/// # Errors
/// [`ArrowError`] where the lists are not of one length, which those of [`Population::bodies`](crate::survey::Population::bodies) are.
///
/// ```
/// use kirtle::Unit;
/// use kirtle::arrow::bodies_batch;
/// use kirtle::survey::{Population, SimulatedBodies};
///
/// let bodies = Population::ansur_women().bodies(0, 0..3)?;
/// let torn = SimulatedBodies { hip: vec![96.0], ..bodies.clone() };
/// let batch = bodies_batch(bodies, Unit::Cm)?;
/// assert_eq!((batch.num_rows(), batch.schema().field(2).name().as_str()), (3, "hip_depth"));
/// assert!(bodies_batch(torn, Unit::Cm).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn bodies_batch(bodies: SimulatedBodies, unit: Unit) -> Result<RecordBatch, ArrowError> {
    let columns = [bodies.waist, bodies.hip, bodies.hip_depth, bodies.length];
    let texts = Body::FIELDS.map(|field| (field.name, field.description()));
    let columns = texts.iter().zip(columns).map(|((name, what), mut values)| {
        if unit != Unit::Cm {
            for value in &mut values {
                *value = FieldKind::Length.convert(*value, Unit::Cm, unit);
            }
        }
        (*name, what.as_str(), Arc::new(Float64Array::from(values)) as ArrayRef)
    });
    batch(columns.collect(), unit)
}

/// A row for each person: the size given by its name, the ease that it leaves, whether it serves, and by how much it misses
/// the bound that it misses most; lengths in `unit`. All are null for who is unmeasured.
///
/// # Errors
/// None: whatever the fit holds makes columns of one length.
///
/// ```
/// use kirtle::{Ease, Rules, SizeChart, Unit};
/// use kirtle::arrow::fit_batch;
/// use kirtle::survey::{Bounds, People, fit_chart};
///
/// let (chart, ease) = (SizeChart::demo(), Ease { waist: 1.5, hip: 5.0 });
/// let people = People { waist: &[73.0, f64::NAN], hip: &[97.0, 99.0], high_hip: None };
/// let fit = fit_chart(&chart, &ease, &Rules::default(), &Bounds::around(&ease, 2.0), &people)?;
/// let batch = fit_batch(&chart, &fit, false, Unit::Cm)?;
/// assert_eq!((batch.num_rows(), batch["size"].null_count()), (2, 1));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn fit_batch(chart: &SizeChart, fit: &ChartFit, high_hips: bool, unit: Unit) -> Result<RecordBatch, ArrowError> {
    let mut sizes = StringBuilder::new();
    for fitted in &fit.each {
        sizes.append_option(fitted.and_then(|fitted| chart.sizes().get(fitted.size)).map(|size| size.name.as_str()));
    }
    let lengths = |of: fn(&Fitted) -> Option<f64>| {
        let each = fit.each.iter().map(|fitted| fitted.as_ref().and_then(of).map(|length| unit.length_from_cm(length)));
        Arc::new(each.collect::<Float64Array>()) as ArrayRef
    };
    let serves: BooleanArray = fit.each.iter().map(|fitted| fitted.as_ref().map(Fitted::serves)).collect();
    let mut columns: Vec<(&str, &str, ArrayRef)> = vec![
        ("size", "the size given", Arc::new(sizes.finish())),
        ("ease_left_waist", "the ease left at the waist", lengths(|fitted| Some(fitted.waist))),
        ("ease_left_hip", "the ease left at the hip", lengths(|fitted| Some(fitted.hip))),
    ];
    if high_hips {
        columns.push(("ease_left_high_hip", "the ease left at the high hip", lengths(|fitted| fitted.high_hip)));
    }
    columns.push(("serves", "whether the ease left is within every bound", Arc::new(serves)));
    let excess = "by how much the bound that is missed most is missed";
    columns.push(("excess", excess, lengths(|fitted| Some(fitted.excess))));
    batch(columns, unit)
}
