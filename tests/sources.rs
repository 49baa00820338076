//! Arrow record batches that differ from their schema, and wrong names of columns.

use std::collections::HashMap;
use std::sync::Arc;

use arrow_array::{
    Array, ArrayRef, Float32Array, Float64Array, RecordBatch, RecordBatchIterator, RecordBatchReader, StringArray,
};
use arrow_schema::{ArrowError, DataType, Field, Schema, SchemaRef};
use kirtle::arrow::{ColumnOrConstant, DraftBatchReader, KeptColumns, PeopleReader, TableRequest};
use kirtle::batch::Threads;
use kirtle::{Code, Ease, Rules, Unit};

const NAMES: [&str; 4] = ["waist", "hip", "hip_depth", "length"];

fn request() -> TableRequest {
    let ease = Some(Ease { waist: 1.5, hip: 5.0 });
    TableRequest {
        numbers: Vec::new(),
        ease,
        rules: Rules::default(),
        unit: Unit::Cm,
        outlines: false,
        keep: KeptColumns::default(),
    }
}

fn column(value: f64) -> ArrayRef {
    Arc::new(Float64Array::from(vec![value; 3]))
}

/// Returns a batch of three bodies with the named columns.
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

/// Returns a reader that declares a schema, which its batches may not have.
fn source(declared: SchemaRef, batches: Vec<RecordBatch>) -> impl RecordBatchReader + Send {
    RecordBatchIterator::new(batches.into_iter().map(Ok::<_, ArrowError>), declared)
}

fn threads() -> Threads {
    Threads::new(Some(2)).unwrap()
}

#[test]
fn a_batch_that_differs_from_the_declared_schema_ends_the_stream_with_an_error() {
    let valid = batch(&NAMES);
    let narrow: ArrayRef = Arc::new(Float32Array::from(vec![72.0_f32; 3]));
    let text: ArrayRef = Arc::new(StringArray::from(vec!["72"; 3]));
    let with_waist = |first: ArrayRef| {
        let rest = NAMES[1..].iter().zip(valid.columns()[1..].iter().cloned());
        RecordBatch::try_from_iter(std::iter::once(("waist", first)).chain(rest.map(|(name, column)| (*name, column))))
            .unwrap()
    };
    let wrong_batches = [
        batch(&NAMES[..1]),
        batch(&["waist", "hip", "hip_depth", "length", "more"]),
        batch(&["hip", "waist", "hip_depth", "length"]),
        with_waist(narrow),
        with_waist(text),
        RecordBatch::new_empty(Arc::new(Schema::empty())),
    ];
    for wrong in wrong_batches {
        let reader = source(valid.schema(), vec![valid.clone(), wrong.clone()]);
        let drafts: Vec<_> = DraftBatchReader::new(reader, &request(), threads()).unwrap().collect();
        // Rows read before the error are not returned, because they are not the whole table.
        assert_eq!(drafts.len(), 1, "{:?}", wrong.schema());
        assert!(matches!(drafts[0], Err(ArrowError::SchemaError(_))), "{:?}", drafts[0]);
        let reader = source(valid.schema(), vec![valid.clone(), wrong]);
        let people: Vec<_> = PeopleReader::new(reader, &[], Unit::Cm).unwrap().collect();
        assert!(matches!(people[..], [Ok(3), Err(ArrowError::SchemaError(_))]), "{people:?}");
    }
}

#[test]
fn nullability_and_metadata_may_differ_from_the_declared_schema() {
    let field = |name: &str| {
        Field::new(name, DataType::Float64, true).with_metadata(HashMap::from([("a".to_owned(), "b".to_owned())]))
    };
    let declared = Arc::new(Schema::new(NAMES.map(field).to_vec()));
    let reader = source(declared, vec![batch(&NAMES), batch(&NAMES)]);
    let drafts: Vec<_> = DraftBatchReader::new(reader, &request(), threads()).unwrap().map(Result::unwrap).collect();
    assert_eq!(drafts.iter().map(RecordBatch::num_rows).sum::<usize>(), 6);
    assert_eq!(drafts[0]["error_codes"].null_count(), 6);
}

/// Returns the problems of a table with the named columns.
fn problems_of(names: &[&str], numbers: Vec<(String, ColumnOrConstant)>, ease: Option<Ease>) -> kirtle::Problems {
    let fields: Vec<Field> = names.iter().map(|name| Field::new(*name, DataType::Float64, true)).collect();
    let reader = source(Arc::new(Schema::new(fields)), Vec::new());
    DraftBatchReader::new(reader, &TableRequest { numbers, ease, ..request() }, threads()).err().unwrap()
}

#[test]
fn a_name_of_two_columns_is_reported_with_all_column_names() {
    let problems = problems_of(&["waist", "waist", "hip", "hip_depth", "length"], Vec::new(), request().ease);
    let message = "body.waist: \"waist\" is not the name of exactly one column; the columns are waist, waist, hip, hip_depth, length";
    assert_eq!(problems.to_string(), message);
    // Without an ease and without ease columns, the ease is missing.
    let problems = problems_of(&["waist", "waist", "hip", "hip_depth", "length"], Vec::new(), None);
    let found: Vec<_> = problems.iter().map(|problem| (problem.code, problem.field.as_str())).collect();
    let expected = [(Code::UnknownChoice, "body.waist"), (Code::Missing, "ease.waist"), (Code::Missing, "ease.hip")];
    assert_eq!(found, expected);
}

/// With 30,000 wrong names, a search in quadratic time would take minutes. The last of 100 problems says that there are
/// more.
#[test]
fn the_first_of_many_wrong_names_are_reported() {
    let numbers = (0..30_000).map(|k| (format!("x{}", k % 29_999), ColumnOrConstant::Constant(1.0)));
    let problems = problems_of(&NAMES, numbers.collect(), request().ease);
    assert_eq!(problems.iter().filter(|problem| problem.code == Code::UnknownChoice).count(), 99);
    assert_eq!(problems[99].code, Code::TooMany);
    let names: Vec<String> = (0..30_000).map(|k| format!("column {k}")).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let numbers = vec![("waist".to_owned(), ColumnOrConstant::Column("w".to_owned()))];
    let problems = problems_of(&names, numbers, request().ease);
    assert_eq!(problems.len(), 4);
    assert!(
        problems.iter().all(|problem| problem.message.chars().count() < 2200),
        "a message lists all 30,000 columns"
    );
}
