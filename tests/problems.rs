//! Problems as data: minimum, maximum and choices, and ranges that agree in centimetres and inches.

use kirtle::{Body, Code, Ease, PanelRules, Problem, Problems, Shares, Unit};

use crate::wrong::{BODY, EASE, rules_with_back_darts};

#[test]
fn a_length_is_valid_in_both_units_or_in_none() {
    let fields = Body::FIELDS.iter().chain(&Ease::FIELDS).chain(&PanelRules::FIELDS).chain(&Shares::FIELDS);
    for field in fields {
        let (cm, inches) = (field.range(Unit::Cm), field.range(Unit::In));
        let is_valid = |value: f64, (min, max): (f64, f64)| (min..=max).contains(&value);
        let lengths = (0..=1000).map(|k| cm.0 + (cm.1 - cm.0) * f64::from(k - 50) / 900.0);
        for length in lengths.chain([cm.0, cm.1]) {
            let converted = field.kind.convert_unit(length, Unit::Cm, Unit::In);
            assert_eq!(is_valid(length, cm), is_valid(converted, inches), "{} {length} cm", field.name);
        }
    }
}

#[test]
fn a_problem_states_the_valid_values_as_data() {
    let request = r#"{"unit": "in", "body": {"waist": 8, "hip": "38", "hip_depth": 8, "length": 24}, "ease": {"waist": 1, "hip": 2}, "hem": 1}"#;
    let problems = kirtle::draft_json(request).unwrap_err();
    let [unknown, waist, hip] = &problems[..] else { panic!("{problems}") };
    assert_eq!(unknown.choices[..3], ["format", "unit", "body"]);
    let bounds = |problem: &Problem| (problem.minimum.unwrap(), problem.maximum.unwrap());
    assert_eq!(bounds(waist), Body::FIELDS[0].range(Unit::In));
    assert_eq!(waist.text, "8 in is below the minimum of 15.75 in");
    assert_eq!(
        (bounds(hip), hip.text.as_str()),
        (Body::FIELDS[1].range(Unit::In), "\"38\" is not a number from 19.69 to 86.61 in")
    );
    let many = kirtle::draft(&BODY, &EASE, &rules_with_back_darts(&[(1.0, 9.0, 0.2); 4])).unwrap_err();
    assert_eq!((&many[0].value, &many[0].limit), (&Some(4.0.into()), &Some(3.0.into())));
    assert_eq!(many[0].unit.as_deref(), Some("darts"));
    let none = serde_json::from_str::<Problems>(r#"{"problems": []}"#).unwrap_err();
    assert!(none.to_string().contains("at least one problem"), "{none}");
}

#[test]
fn messages_about_inches_are_in_inches() {
    let request = r#"{"unit": "in", "body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 8}, "ease": {"waist": 1, "hip": 2}}"#;
    let problems = kirtle::draft_json(request).unwrap_err();
    assert!(
        problems[0]
            .message
            .starts_with("body.length: 8 in is too short: the hem must lie below the hip line; the minimum is 8.4 in")
    );
}

#[test]
fn a_message_template_has_no_placeholder_but_those_documented() {
    const PLACEHOLDERS: [&str; 6] =
        ["value", "limit", "rounded_value", "rounded_limit", "counted_value", "larger_or_smaller"];
    for code in Code::ALL {
        let template = code.message_template();
        let parts: Vec<&str> = template.split(['{', '}']).collect();
        assert!(parts.len() % 2 == 1, "{template}");
        assert!(parts.iter().skip(1).step_by(2).all(|part| PLACEHOLDERS.contains(part)), "{template}");
    }
}

/// The limit of a message, typed in again, is accepted.
#[test]
fn a_limit_typed_in_as_written_is_accepted() {
    let request = |hip_depth: f64, [object, field]: [&str; 2], value: f64| {
        let mut request = serde_json::json!({"unit": "in", "ease": {"waist": 0.5, "hip": 2}, "cutting": {},
            "body": {"waist": 28, "hip": 38.3, "hip_depth": hip_depth, "length": 19.2, "figure": {}}});
        request.pointer_mut(object).unwrap()[field] = value.into();
        request.to_string()
    };
    let fields = [
        (["/body", "length"], 6.3),
        (["/cutting", "opening"], 23.6),
        (["/cutting", "vent"], 17.0),
        (["/body/figure", "front_hip"], 27.5),
        (["/body/figure", "front_hip"], 11.0),
    ];
    for hip_depth in [7.1, 7.35, 7.9, 8.2] {
        for (field, wrong) in fields {
            let given = |value| kirtle::draft_json(&request(hip_depth, field, value));
            let problem = given(wrong).unwrap_err()[0].clone();
            let written = problem.message.rsplit(' ').nth(1).unwrap().parse().unwrap();
            assert!(given(written).is_ok(), "{problem}");
            let range = problem.minimum.or(problem.maximum).unwrap();
            assert!(given(range).is_ok() && problem.minimum.is_some() == (range > wrong), "{problem:?}");
        }
    }
}
