//! Serde round trips of cutting instructions, cloths, sizes and loss bands; a damaged value is refused.

use crate::bodies::{cases, cuttings};
use crate::pieces::cloths;
use kirtle::pattern::{Cloth, Vent, WaistFinish, WaistFinishKind};
use kirtle::size_search::LogBand;
use kirtle::{Body, Cutting, Opening, Preset, Size, Unit};
use proptest::prelude::*;
use serde::{Serialize, de::DeserializeOwned};
use serde_json::{Value, json};

/// Checks that a value is read as written, and that it is refused once a number in it is spoilt or a field is added or renamed.
fn check<T: Serialize + DeserializeOwned + PartialEq + std::fmt::Debug>(value: &T) {
    let written = serde_json::to_value(value).unwrap();
    assert_eq!(&serde_json::from_str::<T>(&written.to_string()).unwrap(), value, "{written}");
    let refused = |spoilt: &Value| assert!(serde_json::from_value::<T>(spoilt.clone()).is_err(), "{spoilt}");
    for_each_place(&written, &mut Vec::new(), &mut |place| {
        let old = written.pointer(place).unwrap();
        let wrong: &[Value] = match old {
            Value::Number(_) => &[json!(-1e9), json!(1e9), json!("12"), json!([]), json!(true)],
            Value::String(_) => &[json!(7), json!("\u{7}"), Value::Null],
            Value::Bool(_) => &[json!(0), json!("true")],
            Value::Object(_) => &[json!(7), json!("none"), json!([])],
            Value::Array(_) => &[json!(7), json!([]), json!(["back", "front", "back"])],
            Value::Null => &[],
        };
        for wrong in wrong {
            let mut spoilt = written.clone();
            *spoilt.pointer_mut(place).unwrap() = wrong.clone();
            refused(&spoilt);
        }
        if old.is_object() {
            let mut spoilt = written.clone();
            spoilt.pointer_mut(place).unwrap()["pocket"] = json!(1);
            refused(&spoilt);
        }
    });
}

/// Calls a function with the JSON pointer of a value and of each value within it.
fn for_each_place(value: &Value, path: &mut Vec<String>, f: &mut impl FnMut(&str)) {
    f(&path.concat());
    let children: Vec<(String, &Value)> = match value {
        Value::Object(fields) => fields.iter().map(|(name, value)| (format!("/{name}"), value)).collect(),
        Value::Array(items) => items.iter().enumerate().map(|(k, value)| (format!("/{k}"), value)).collect(),
        _ => Vec::new(),
    };
    for (step, child) in children {
        path.push(step);
        for_each_place(child, path, f);
        path.pop();
    }
}

proptest! {
    #![proptest_config(cases(300))]

    #[test]
    fn drawn_values_are_read_as_written(
        cutting in cuttings(), cloth in cloths(), facing in any::<bool>(), vent in prop::option::of((10.0..=45.0, 2.0..=8.0)),
        usual in prop::option::of(prop::sample::select(vec![Unit::Cm, Unit::In])),
    ) {
        let kind = if facing { WaistFinishKind::Facing } else { WaistFinishKind::Waistband };
        let finish = WaistFinish::with_usual_lengths(kind, Unit::In);
        check(&finish);
        check(&cloth);
        let opening = usual.map_or(cutting.opening, |unit| Cutting::preset(Preset::Trial, unit).opening);
        let vent = vent.map(|(vent, vent_width)| Vent { vent, vent_width });
        check(&Cutting { finish: Some(finish), vent, opening, ..cutting });
    }
}

#[test]
fn sizes_and_bands_are_read_as_written() {
    check(&Size { name: "38".to_owned(), body: Body { waist: 72.0, hip: 96.0, hip_depth: 20.0, length: 60.0 } });
    check(&LogBand { small: 0.01, large: 0.03, small_weight: 2.0, large_weight: 1.0 });
}

#[test]
fn a_refused_value_says_what_is_wrong() {
    let message = |text: &str| {
        [
            serde_json::from_str::<Cutting>(text).map(|_| ()),
            serde_json::from_str::<Cloth>(text).map(|_| ()),
            serde_json::from_str::<WaistFinish>(text).map(|_| ()),
            serde_json::from_str::<Size>(text).map(|_| ()),
            serde_json::from_str::<LogBand>(text).map(|_| ()),
        ]
        .map(|read| read.map_or_else(|error| error.to_string(), |()| "read".to_owned()))
    };
    assert_eq!(
        message("{}"),
        [
            "read",
            "cloth.width: missing: give a number from 40 to 400 cm",
            "finish.pieces: missing: give \"back\", \"front\", and \"waistband\" or \"facing\"",
            "size.name: missing: give a name on one line\n\
             size.waist: missing: give a number from 40 to 200 cm\n\
             size.hip: missing: give a number from 50 to 220 cm\n\
             size.hip_depth: missing: give a number from 10 to 40 cm\n\
             size.length: missing: give a number from 15 to 150 cm",
            "band.small: missing: give a number from 0 to 1\n\
             band.large: missing: give a number from 0 to 1\n\
             band.small_weight: missing: give a number from 0.000001 to 1000000\n\
             band.large_weight: missing: give a number from 0.000001 to 1000000",
        ]
    );
    let name = r#"{"name": " 38", "waist": 72, "hip": 96, "hip_depth": 20, "length": 60}"#;
    assert!(message(name)[3].starts_with("size.name: "), "{}", message(name)[3]);
}

#[test]
fn an_opening_is_a_length_or_null() {
    let [usual, usual_in_inches] = [Unit::Cm, Unit::In].map(|unit| Cutting::preset(Preset::Trial, unit).opening);
    for opening in [usual, usual_in_inches, Opening::Given(18.5)] {
        let written = serde_json::to_string(&opening).unwrap();
        assert_eq!(serde_json::from_str::<Opening>(&written).unwrap(), opening, "{written}");
    }
    let refused = serde_json::from_str::<Opening>("4.9").unwrap_err();
    assert_eq!(refused.to_string(), "opening: 4.9 cm is below the minimum of 5 cm");
}
