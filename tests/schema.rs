//! The request schema and the reader accept the same documents; the committed schemas are those of the code.

use std::fs;

use crate::committed::assert_committed;
use jsonschema::Validator;
use kirtle::document::{Request, SCHEMA_NAMES};
use kirtle::{Code, Texts};
use proptest::prelude::*;
use serde_json::{Value, json};

fn validator(name: &str) -> Validator {
    jsonschema::draft202012::new(&kirtle::document::schema(name).unwrap()).unwrap()
}

fn samples(kind: &str) -> Vec<(String, Value)> {
    let text = fs::read_to_string("tests/requests/samples.json").unwrap();
    let samples: Value = serde_json::from_str(&text).unwrap();
    samples[kind].as_object().unwrap().iter().map(|(name, sample)| (name.clone(), sample.clone())).collect()
}

/// `KIRTLE_WRITE=1 cargo test --features python --test all schema::` writes the schema files.
#[test]
fn the_committed_schemas_are_those_of_the_code() {
    for name in SCHEMA_NAMES {
        let text = serde_json::to_string_pretty(&kirtle::document::schema(name).unwrap()).unwrap() + "\n";
        assert_committed(&format!("tests/schemas/{name}.schema.json"), &text);
    }
}

#[test]
fn every_schema_is_a_valid_json_schema() {
    for name in SCHEMA_NAMES {
        assert!(jsonschema::meta::is_valid(&kirtle::document::schema(name).unwrap()), "{name}");
    }
}

#[test]
fn schema_and_reader_agree_on_every_sample() {
    let validator = validator("request");
    for (kind, expected) in [("accepted", true), ("refused", false)] {
        let samples = samples(kind);
        assert!(samples.len() >= 12, "{kind}: {}", samples.len());
        for (name, sample) in samples {
            assert_eq!(validator.is_valid(&sample), expected, "the schema on the sample {name}");
            assert_eq!(Request::from_json(&sample.to_string()).is_ok(), expected, "the reader on the sample {name}");
        }
    }
}

#[test]
fn results_and_errors_are_valid_by_their_schemas() {
    let (result, error) = (validator("result"), validator("error"));
    let mut drafted = 0;
    for (name, sample) in samples("accepted").into_iter().chain(samples("refused")) {
        match kirtle::draft_json(&sample.to_string()) {
            Ok(text) => {
                drafted += 1;
                assert!(result.is_valid(&serde_json::from_str(&text).unwrap()), "result of {name}");
            }
            Err(problems) => assert!(error.is_valid(&serde_json::to_value(&problems).unwrap()), "error of {name}"),
        }
    }
    assert!(drafted >= 9, "{drafted}");
    let invalid = [json!({}), json!({"problems": []}), json!({"problems": [{"code": "odd"}]})];
    assert!(invalid.iter().all(|sample| !error.is_valid(sample) && !result.is_valid(sample)));
}

/// Each result has one wrong value. The schema refuses all of them, the reader of results only some.
#[test]
fn results_with_a_wrong_value_are_refused() {
    let (_, sample) = samples("accepted").into_iter().find(|(name, _)| name == "darts").unwrap();
    let valid: Value = serde_json::from_str(&kirtle::draft_json(&sample.to_string()).unwrap()).unwrap();
    let result = validator("result");
    assert!(result.is_valid(&valid) && serde_json::from_value::<kirtle::document::Report>(valid.clone()).is_ok());
    for (path, value) in [
        ("/unit", json!("ell")),
        ("/body/waist", json!("70")),
        ("/back/darts", json!({})),
        ("/back/seams", json!({"waist": 1})),
        ("/proof/checks/0/holds", json!(1)),
        ("/findings/0", json!({"code": "little_hip_ease"})),
        ("/front/edges/0/points", json!("M0 0")),
    ] {
        let mut wrong = valid.clone();
        *wrong.pointer_mut(path).unwrap() = value;
        assert!(!result.is_valid(&wrong), "{path}");
        assert!(serde_json::from_value::<kirtle::document::Report>(wrong).is_err(), "{path}");
    }
    for (path, value) in [
        ("/format", json!(2)),
        ("/back/edges/0/points", json!([[0, 0], [1, 1], [2, 2]])),
        ("/back/edges/0/role", json!("cuff")),
    ] {
        let mut wrong = valid.clone();
        *wrong.pointer_mut(path).unwrap() = value;
        assert!(!result.is_valid(&wrong), "{path}");
    }
    let mut extra = valid;
    extra["colour"] = json!("red");
    assert!(!result.is_valid(&extra) && serde_json::from_value::<kirtle::document::Report>(extra).is_err());
}

/// Draws JSON values to put into a document.
fn replacement() -> impl Strategy<Value = Value> {
    prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        (-300.0..300.0_f64).prop_map(Value::from),
        prop_oneof![Just("cm"), Just("in"), Just("70"), Just("")].prop_map(Value::from),
        Just(json!([])),
        Just(json!({})),
        Just(json!([{"intake": 2, "length": 9, "place": 0.5}])),
        Just(json!({"back": [], "front": [{"intake": 2, "length": 9, "centre": 9}]})),
    ]
}

/// Returns the JSON pointers of all values in a document.
fn pointers(value: &Value, at: &str) -> Vec<String> {
    let inner: Vec<(String, &Value)> = match value {
        Value::Object(fields) => fields.iter().map(|(name, inner)| (name.clone(), inner)).collect(),
        Value::Array(list) => list.iter().enumerate().map(|(k, inner)| (k.to_string(), inner)).collect(),
        _ => Vec::new(),
    };
    let inner = inner.into_iter().flat_map(|(name, inner)| pointers(inner, &format!("{at}/{name}")));
    std::iter::once(at.to_owned()).chain(inner).collect()
}

/// Replaces, removes or adds a value; `seed` chooses the value and the name of a member.
fn change_value(document: &mut Value, seed: usize, change: u8, replacement: Value) {
    let pointers = pointers(document, "");
    let pointer = &pointers[seed % pointers.len()];
    let names = ["waist", "unit", "place", "centre", "shares", "darts", "balance", "other"];
    match (document.pointer_mut(pointer), change % 3) {
        (Some(Value::Object(fields)), 0) => drop(fields.insert(names[seed % names.len()].to_owned(), replacement)),
        (Some(Value::Object(fields)), 1) if !fields.is_empty() => {
            let name = fields.keys().nth(seed % fields.len()).unwrap().clone();
            fields.remove(&name);
        }
        (Some(value), _) => *value = replacement,
        (None, _) => unreachable!("{pointer}"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 10_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn schema_and_reader_agree_on_changed_documents(
        start in 0_usize..64,
        changes in prop::collection::vec((any::<usize>(), any::<u8>(), replacement()), 1..4),
    ) {
        thread_local!(static REQUEST: Validator = validator("request"));
        thread_local!(static SAMPLES: Vec<(String, Value)> = samples("accepted"));
        let mut document = SAMPLES.with(|samples| samples[start % samples.len()].1.clone());
        for (seed, change, replacement) in changes {
            change_value(&mut document, seed, change, replacement);
        }
        let read = Request::from_json(&document.to_string());
        let valid = REQUEST.with(|validator| validator.is_valid(&document));
        prop_assert_eq!(valid, read.is_ok(), "valid by the schema or by the reader only: {} {:?}", document, read);
    }
}

/// A schema cannot compare two numbers, so that the reader accepts the request.
#[test]
fn a_length_above_the_hip_line_is_refused_by_drafting_and_not_by_reading() {
    let (_, sample) = samples("accepted").into_iter().find(|(name, _)| name.contains("above the hip line")).unwrap();
    let request = Request::from_json(&sample.to_string()).unwrap();
    assert_eq!(request.draft().unwrap_err()[0].code, Code::AboveHipLine);
}

#[test]
fn the_schema_of_texts_has_every_key_with_its_english_template() {
    let schema = kirtle::document::schema("texts").unwrap();
    let properties = schema["properties"].as_object().unwrap();
    assert_eq!(properties.len(), Texts::english().count());
    for (key, english) in Texts::english() {
        assert_eq!(properties[key]["default"], english, "{key}");
        let description = properties[key]["description"].as_str().unwrap();
        assert!(description.len() > 9 && description.trim() == description, "{key}: {description:?}");
    }
    assert_eq!(properties["hip_line"]["description"], "Label of a hip line, or step in a verdict.");
}

#[test]
fn schema_and_reader_agree_on_texts_but_for_placeholders_and_letters() {
    let validator = validator("texts");
    let english: serde_json::Map<_, _> =
        Texts::english().map(|(key, english)| (key.to_owned(), english.into())).collect();
    for (document, by_schema, by_reader) in [
        (json!({}), true, true),
        (Value::Object(english), true, true),
        (json!({"fold": "é".repeat(1000), "hem_length": ""}), true, true),
        (json!({"fold": "é".repeat(1001)}), false, false),
        (json!({"fold": 3}), false, false),
        (json!({"fold": null}), false, false),
        (json!({"folds": "Bruch"}), false, false),
        (json!({"format": 1}), false, false),
        (json!(["fold"]), false, false),
        (json!("fold"), false, false),
        (json!({"hem_length": "Saum {Länge}"}), true, false),
        (json!({"hem_length": "Saum {"}), true, false),
        (json!({"fold": "折"}), true, false),
    ] {
        assert_eq!(validator.is_valid(&document), by_schema, "the schema on {document}");
        assert_eq!(Texts::from_json(&document.to_string()).is_ok(), by_reader, "the reader on {document}");
    }
}
