//! Fuzz target: a record batch of random columns, drafted by a random table request.

use std::sync::Arc;

use arbitrary::{Arbitrary, Result, Unstructured};
use arrow_array::{
    ArrayRef, BooleanArray, Float32Array, Float64Array, Int8Array, Int64Array, NullArray, RecordBatch,
    RecordBatchIterator, StringArray, UInt64Array, new_null_array,
};
use arrow_schema::{DataType, Field, Schema};
use kirtle::arrow::{ColumnOrConstant, DraftBatchReader, KeptColumns, TableRequest};
use kirtle::batch::Threads;
use kirtle::{Apportionment, DartPosition, Darts, Ease, GivenDart, Rules, Shares, Unit};

/// Column names with a meaning, and some without.
const NAMES: [&str; 12] = [
    "waist",
    "hip",
    "hip_depth",
    "length",
    "ease.waist",
    "ease.hip",
    "rules.balance",
    "rules.shares.back_share",
    "rules.darts.back[0].intake",
    "body.waist",
    "WAIST",
    "",
];

/// Checks that every row is drafted or refused, and that neither batches nor threads change the result.
pub(crate) fn table(data: &[u8]) {
    let mut bytes = Unstructured::new(data);
    let Ok((batch, request, cuts)) = inputs(&mut bytes) else { return };
    let Some(whole) = draft_batches(vec![batch.clone()], &request, 1) else { return };
    let rows: usize = whole.iter().map(RecordBatch::num_rows).sum();
    assert_eq!(rows, batch.num_rows());
    for drafts in &whole {
        let error = &drafts["error_text"];
        let suppression = &drafts["suppression_total"];
        assert!((0..drafts.num_rows()).all(|row| error.is_null(row) != suppression.is_null(row)), "{drafts:?}");
    }
    assert_eq!(draft_batches(split(&batch, &cuts), &request, 2), Some(whole));
}

/// Drafts batches as one stream; returns nothing if the request or a batch is refused.
fn draft_batches(batches: Vec<RecordBatch>, request: &TableRequest, threads: usize) -> Option<Vec<RecordBatch>> {
    let schema = batches.first()?.schema();
    let source = RecordBatchIterator::new(batches.into_iter().map(Ok), schema);
    let threads = Threads::new(Some(threads)).ok()?;
    match DraftBatchReader::new(source, request, threads) {
        Ok(drafts) => drafts.collect::<std::result::Result<_, _>>().ok(),
        Err(problems) => {
            super::check_problems(&problems);
            None
        }
    }
}

/// Splits a batch at several rows.
fn split(batch: &RecordBatch, cuts: &[usize]) -> Vec<RecordBatch> {
    let mut ends: Vec<usize> = cuts.iter().map(|cut| cut % (batch.num_rows() + 1)).collect();
    ends.sort_unstable();
    ends.push(batch.num_rows());
    let starts = std::iter::once(0).chain(ends.iter().copied());
    starts.zip(&ends).map(|(start, end)| batch.slice(start, end - start)).collect()
}

fn inputs(bytes: &mut Unstructured) -> Result<(RecordBatch, TableRequest, Vec<usize>)> {
    let (unit, rows) = (if bytes.arbitrary()? { Unit::Cm } else { Unit::In }, bytes.int_in_range(0..=40)?);
    let ease = bytes.arbitrary::<Option<[f64; 2]>>()?.map(|[waist, hip]| Ease { waist, hip });
    let rules = Rules { apportionment: apportionment(bytes)?, ..Rules::default() };
    let mut numbers = Vec::new();
    for _ in 0..bytes.int_in_range(0..=6)? {
        let source = if bytes.arbitrary()? {
            ColumnOrConstant::Column(name(bytes)?)
        } else {
            ColumnOrConstant::Constant(number(bytes)?)
        };
        numbers.push((name(bytes)?, source));
    }
    let cuts = Vec::arbitrary(bytes)?;
    let request =
        TableRequest { numbers, ease, rules, unit, outlines: bytes.ratio(1, 8)?, keep: KeptColumns::default() };
    let mut columns = Vec::new();
    // Measurements are the first names, so that most tables can be drafted.
    for usual in &NAMES[..bytes.int_in_range(0..=8)?] {
        let name = if bytes.ratio(7, 8)? { (*usual).to_owned() } else { name(bytes)? };
        columns.push((name, column(bytes, rows)?));
    }
    let fields: Vec<Field> =
        columns.iter().map(|(name, column)| Field::new(name, column.data_type().clone(), true)).collect();
    let columns = columns.into_iter().map(|(_, column)| column).collect();
    let options = arrow_array::RecordBatchOptions::new().with_row_count(Some(rows));
    let batch = RecordBatch::try_new_with_options(Arc::new(Schema::new(fields)), columns, &options);
    Ok((batch.map_err(|_| arbitrary::Error::IncorrectFormat)?, request, cuts))
}

fn name(bytes: &mut Unstructured) -> Result<String> {
    if bytes.ratio(7, 8)? { bytes.choose(&NAMES).map(|name| (*name).to_owned()) } else { bytes.arbitrary() }
}

/// Returns a random number, mostly one in the range of measurements.
fn number(bytes: &mut Unstructured) -> Result<f64> {
    if bytes.ratio(7, 8)? { Ok(f64::from(bytes.int_in_range(-200..=2500)?) / 10.0) } else { bytes.arbitrary() }
}

fn apportionment(bytes: &mut Unstructured) -> Result<Apportionment> {
    if bytes.ratio(2, 3)? {
        return Ok(Apportionment::Shares(Shares::default()));
    }
    let mut lists = [Vec::new(), Vec::new()];
    for list in &mut lists {
        for _ in 0..bytes.int_in_range(0..=4)? {
            let [intake, length, place] = [number(bytes)?, number(bytes)?, number(bytes)?].map(|number| number / 10.0);
            let place =
                if bytes.arbitrary()? { DartPosition::Share(place / 20.0) } else { DartPosition::Centre(place) };
            list.push(GivenDart { intake, length, place });
        }
    }
    let [back, front] = lists;
    Ok(Apportionment::Darts(Darts { back, front }))
}

fn column(bytes: &mut Unstructured, rows: usize) -> Result<ArrayRef> {
    let mut given = Vec::new();
    for _ in 0..rows {
        given.push(if bytes.ratio(15, 16)? { Some(number(bytes)?) } else { None });
    }
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    Ok(match bytes.int_in_range(0..=13)? {
        0 => Arc::new(given.iter().map(|number| number.map(|number| number as f32)).collect::<Float32Array>()),
        1 => Arc::new(given.iter().map(|number| number.map(|number| number as i64)).collect::<Int64Array>()),
        2 => Arc::new(given.iter().map(|number| number.map(|number| number as u64)).collect::<UInt64Array>()),
        3 => Arc::new(given.iter().map(|number| number.map(|number| number as i8)).collect::<Int8Array>()),
        4 => Arc::new(given.iter().map(|number| number.map(|number| number.to_string())).collect::<StringArray>()),
        5 => Arc::new(given.iter().map(|number| number.map(|number| number > 0.0)).collect::<BooleanArray>()),
        6 => Arc::new(NullArray::new(rows)),
        7 => new_null_array(&DataType::Dictionary(Box::new(DataType::Int32), Box::new(DataType::Float64)), rows),
        8 => Arc::new(given.iter().map(|number| number.unwrap_or(70.0)).collect::<Float64Array>()),
        _ => Arc::new(given.into_iter().collect::<Float64Array>()),
    })
}
