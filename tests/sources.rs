//! Record batches as a careless or hostile source hands them over.
#![cfg(feature = "arrow")]
// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::collections::HashMap;
use std::sync::Arc;

use arrow_array::{
    Array, ArrayRef, Float32Array, Float64Array, RecordBatch, RecordBatchIterator, RecordBatchReader, StringArray,
};
use arrow_schema::{ArrowError, DataType, Field, Schema, SchemaRef};
use kirtle::arrow::{Drafts, PeopleReader, TableRequest, TableSource};
use kirtle::batch::Threads;
use kirtle::{Code, Ease, Rules, Unit};

const NAMES: [&str; 4] = ["waist", "hip", "hip_depth", "length"];

fn request() -> TableRequest {
    let ease = Some(Ease { waist: 1.5, hip: 5.0 });
    TableRequest { numbers: Vec::new(), ease, rules: Rules::default(), unit: Unit::Cm, outlines: false }
}

fn column(value: f64) -> ArrayRef {
    Arc::new(Float64Array::from(vec![value; 3]))
}

/// Three bodies, of these columns.
fn batch(names: &[&str]) -> RecordBatch {
    let value = |name: &str| {
        column(match name {
            "hip" => 98.0,
            "hip_depth" => 20.0,
            "length" => 60.0,
            _ => 72.0,
        })
    };
    RecordBatch::try_from_iter(names.iter().map(|name| (*name, value(name)))).unwrap()
}

/// A reader that says what it will, whatever the batches hold.
fn source(said: SchemaRef, batches: Vec<RecordBatch>) -> impl RecordBatchReader + Send {
    RecordBatchIterator::new(batches.into_iter().map(Ok::<_, ArrowError>), said)
}

fn threads() -> Threads {
    Threads::new(Some(2)).unwrap()
}

#[test]
fn a_batch_that_is_not_as_the_source_said_ends_the_stream_in_an_error() {
    let good = batch(&NAMES);
    let narrow: ArrayRef = Arc::new(Float32Array::from(vec![72.0_f32; 3]));
    let text: ArrayRef = Arc::new(StringArray::from(vec!["72"; 3]));
    let with = |first: ArrayRef| {
        let rest = NAMES[1..].iter().zip(good.columns()[1..].iter().cloned());
        RecordBatch::try_from_iter(std::iter::once(("waist", first)).chain(rest.map(|(name, of)| (*name, of)))).unwrap()
    };
    let other = [
        batch(&NAMES[..1]),
        batch(&["waist", "hip", "hip_depth", "length", "more"]),
        batch(&["hip", "waist", "hip_depth", "length"]),
        with(narrow),
        with(text),
        RecordBatch::new_empty(Arc::new(Schema::empty())),
    ];
    for other in other {
        let reader = source(good.schema(), vec![good.clone(), other.clone()]);
        let drafts: Vec<_> = Drafts::new(reader, &request(), threads()).unwrap().collect();
        // What was read before the error is not the whole, and is not given as such.
        assert_eq!(drafts.len(), 1, "{:?}", other.schema());
        assert!(matches!(drafts[0], Err(ArrowError::SchemaError(_))), "{:?}", drafts[0]);
        let reader = source(good.schema(), vec![good.clone(), other]);
        let people: Vec<_> = PeopleReader::new(reader, &[], Unit::Cm).unwrap().collect();
        assert!(matches!(people[..], [Ok(3), Err(ArrowError::SchemaError(_))]), "{people:?}");
    }
}

/// Descriptions and whether there may be nulls are no part of what a batch holds.
#[test]
fn what_is_said_about_a_column_may_differ() {
    let field = |name: &str| {
        Field::new(name, DataType::Float64, true).with_metadata(HashMap::from([("a".to_owned(), "b".to_owned())]))
    };
    let said = Arc::new(Schema::new(NAMES.map(field).to_vec()));
    let reader = source(said, vec![batch(&NAMES), batch(&NAMES)]);
    let drafts: Vec<_> = Drafts::new(reader, &request(), threads()).unwrap().map(Result::unwrap).collect();
    assert_eq!(drafts.iter().map(RecordBatch::num_rows).sum::<usize>(), 6);
    assert_eq!(drafts[0]["error_code"].null_count(), 6);
}

fn refused(names: &[&str], numbers: Vec<(String, TableSource)>, ease: Option<Ease>) -> kirtle::Problems {
    let fields: Vec<Field> = names.iter().map(|name| Field::new(*name, DataType::Float64, true)).collect();
    let reader = source(Arc::new(Schema::new(fields)), Vec::new());
    Drafts::new(reader, &TableRequest { numbers, ease, ..request() }, threads()).err().unwrap()
}

#[test]
fn a_name_that_two_columns_have_is_told_as_such() {
    let problems = refused(&["waist", "waist", "hip", "hip_depth", "length"], Vec::new(), request().ease);
    let sentence = "body.waist: \"waist\" is not exactly one of the columns waist, waist, hip, hip_depth, length";
    assert_eq!(problems.to_string(), sentence);
    // An ease is no column of its own.
    let problems = refused(&["waist", "waist", "hip", "hip_depth", "length"], Vec::new(), None);
    let found: Vec<_> = problems.iter().map(|problem| (problem.code, problem.field.as_str())).collect();
    let expected = [(Code::UnknownChoice, "body.waist"), (Code::Missing, "ease.waist"), (Code::Missing, "ease.hip")];
    assert_eq!(found, expected);
}

/// Thirty thousand names, each of them wrong; comparing each with each would take minutes.
#[test]
fn many_names_are_all_told() {
    let numbers = (0..30_000).map(|k| (format!("x{}", k % 29_999), TableSource::Constant(1.0)));
    let problems = refused(&NAMES, numbers.collect(), request().ease);
    assert_eq!(problems.iter().filter(|problem| problem.code == Code::UnknownField).count(), 30_000);
    assert_eq!(problems.iter().filter(|problem| problem.code == Code::DuplicateField).count(), 1);
    let names: Vec<String> = (0..30_000).map(|k| format!("column {k}")).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let numbers = vec![("waist".to_owned(), TableSource::Column("w".to_owned()))];
    let problems = refused(&names, numbers, request().ease);
    assert_eq!(problems.len(), 4);
    assert!(problems.iter().all(|problem| problem.message.chars().count() < 2200), "not a list of all");
}
