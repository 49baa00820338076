//! The vent of the back: its cut line, lines and notch, refused vents, and the height that walking needs.

use crate::bodies::{cases, cuttings, draft_or_reject, requests};
use crate::pieces::{CUT_TOLERANCE, distance_to_lines, polygon_sides, polyline, segments_cross};
use kirtle::document::{PatternReport, Request};
use kirtle::pattern::{NotchPlace, Vent};
use kirtle::{Body, Cutting, Draft, Ease, Opening, Point, Preset, Role, Rules, Unit};
use proptest::prelude::*;
use serde_json::json;

const BODY: Body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };

fn draft(body: Body) -> Draft {
    kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap()
}

fn with_vent(vent: f64) -> Cutting {
    Cutting { vent: Some(Vent { vent, vent_width: 4.0 }), ..Cutting::default() }
}

proptest! {
    #![proptest_config(cases(3_000))]

    /// The extension is a rectangle beside the allowance, from the turned-up hem to the allowance above the stitches.
    #[test]
    fn a_vent_adds_its_extension_and_nothing_else(
        request in requests(Unit::Cm), cutting in cuttings(), vent in 10.0..45.0, vent_width in 2.0..8.0,
    ) {
        let draft = draft_or_reject(&request)?;
        let cutting = Cutting { opening: Opening::Usual(20.0), ..cutting };
        let plain = draft.pattern(&cutting).unwrap();
        let vented = Cutting { vent: Some(Vent { vent, vent_width }), ..cutting };
        let pattern = draft.pattern(&vented).map_err(|_| TestCaseError::reject("refused"))?;
        prop_assert_eq!(&pattern.front, &plain.front);
        prop_assert_eq!(&pattern.back.panel, &plain.back.panel);
        let allowances = pattern.cut_allowances;
        let beyond = (vent_width - allowances.centre_back).max(0.0);
        let height = vent + allowances.hem + allowances.centre_back.min(1.0);
        let added = pattern.back.area() - plain.back.area();
        prop_assert!((added - beyond * height).abs() < 1e-9, "{added} instead of {}", beyond * height);
        let corners: Vec<Point> =
            pattern.back.cut.iter().flat_map(|edge| polyline(&edge.path).into_iter().skip(1).step_by(8)).collect();
        let sides = polygon_sides(&corners);
        for (k, side) in sides.iter().enumerate() {
            prop_assert!(!sides[k + 1..].iter().any(|other| segments_cross(side, other)));
        }
        let seam = pattern.back.panel.edge_length(Role::Centre);
        prop_assert!(pattern.opening() >= 5.0 && pattern.opening() + vent + 2.0 <= seam + 1e-9);
        let notch = pattern.back.notches.iter().find(|notch| notch.place == NotchPlace::VentTop).unwrap();
        prop_assert!((notch.along - (seam - vent)).abs() < 1e-9);
        let lines: Vec<Vec<Point>> = pattern.back.cut.iter().map(|edge| polyline(&edge.path)).collect();
        prop_assert!(distance_to_lines(notch.cuts[0][0], &lines) <= CUT_TOLERANCE);
        let lines = pattern.back.vent.unwrap();
        prop_assert!((lines.fold[1].y - lines.fold[0].y - vent).abs() < 1e-9 && lines.stitching[0] == lines.fold[0]);
    }
}

#[test]
fn a_vent_that_reaches_the_opening_is_refused() {
    let draft = draft(BODY);
    let seam = draft.back.edge_length(Role::Centre);
    let given = |vent| Cutting { opening: Opening::Given(20.0), ..with_vent(vent) };
    let highest = seam - 22.0;
    assert!(draft.pattern(&given(highest)).is_ok());
    let message = draft.pattern(&given(highest + 0.5)).unwrap_err().to_string();
    let expected = "cutting.vent: a vent 39.67 cm high leaves too little of the centre back seam above it \
                    for the zip opening or a slanted seam";
    assert_eq!(message, format!("{expected}; the maximum height is {highest:.2} cm"));
    // An opening that is not given is shortened instead.
    let pattern = draft.pattern(&with_vent(45.0)).unwrap();
    assert!((pattern.opening() - 14.0).abs() < 1e-9 && seam - 47.0 > 14.1, "{seam}");
    let finding = &pattern.findings()[0];
    let message = "The vent leaves no room for the usual zip opening of 20.0 cm: it is shortened to 14.0 cm.";
    assert!(finding.code == "opening_shortened" && finding.message.starts_with(message), "{finding:?}");
    let inches = Cutting { vent: with_vent(45.0).vent, ..Cutting::preset(Preset::Garment, Unit::In) };
    assert!((draft.pattern(&inches).unwrap().opening() - 5.5 * 2.54).abs() < 1e-9);
    let problems =
        draft.pattern(&Cutting { vent: Some(Vent { vent: 9.0, vent_width: 8.5 }), ..given(20.0) }).unwrap_err();
    let messages: Vec<String> = problems.iter().map(ToString::to_string).collect();
    assert_eq!(
        messages,
        ["cutting.vent: 9 cm is below the minimum of 10 cm", "cutting.vent_width: 8.5 cm is above the maximum of 8 cm"]
    );
}

/// By hand, for a skirt of 106 cm around, 20.5 cm down to the hip: the step of 60 cm needs 37 cm and twice the share of 60 cm
/// that the depth below the hip has of 85 cm. That is 106 cm at 20.5 + (106 − 37) / 120 · 85 = 69.4 cm below the waist.
#[test]
fn findings_say_how_high_a_vent_must_be_for_a_walking_step() {
    let long = draft(Body { length: 85.0, ..BODY });
    let message = long.findings().into_iter().find(|finding| finding.code == "narrow_hem").unwrap().message;
    assert!(message.ends_with("Plan a slit, a vent or a pleat at least 16 cm high."), "{message}");
    let low_vents = |vent| -> Vec<[f64; 2]> {
        let findings = long.pattern(&with_vent(vent)).unwrap().findings().into_iter();
        findings.filter(|finding| finding.code == "low_vent").map(|f| [f.measured, f.limit]).collect()
    };
    assert_eq!(low_vents(15.9), [[15.9, 16.0]]);
    assert_eq!(low_vents(16.0), [[0.0; 2]; 0]);
    // A hem that is wide enough needs no vent, and any vent will do.
    let short = draft(BODY);
    assert_eq!(short.findings(), []);
    assert_eq!(short.pattern(&with_vent(10.0)).unwrap().findings(), []);
}

#[test]
fn a_request_restores_its_vent_from_json() {
    let request = json!({
        "unit": "in", "body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 30}, "ease": {"waist": 0.5, "hip": 2},
        "cutting": {"vent": 7.5}
    });
    let request = Request::from_json(&request.to_string()).unwrap();
    assert_eq!(request.cutting.as_ref().unwrap().vent, Some(Vent { vent: 7.5, vent_width: 1.5 }));
    assert_eq!(Request::from_json(&request.to_json()).unwrap(), request);
    let pattern = request.pattern(&request.draft().unwrap()).unwrap();
    let report = serde_json::to_value(PatternReport::new(&pattern, Unit::In)).unwrap();
    let [top, hem] = [0, 1].map(|k| report["back"]["vent"]["fold"][k][1].as_f64().unwrap());
    assert!((hem - top - 7.5).abs() < 1e-12);
    assert!(report["front"].get("vent").is_none());
}

/// A vent gives the room that a narrow hem lacks: the caution about the hem goes.
#[test]
fn a_vent_replaces_the_caution_about_a_narrow_hem() {
    let narrow = |cutting| {
        let body =
            r#""body": {"waist": 74, "hip": 96, "hip_depth": 20.5, "length": 75}, "ease": {"waist": 1.5, "hip": 5}"#;
        let request = Request::from_json(&format!(r#"{{"unit": "cm", {body}, "cutting": {cutting}}}"#)).unwrap();
        let (report, pattern) = (request.report().unwrap(), request.pattern(&request.draft().unwrap()).unwrap());
        let found = [report.findings, pattern.cautions_in_unit(Unit::Cm)];
        found.map(|findings| findings.iter().any(|finding| finding.code == "narrow_hem"))
    };
    assert_eq!([narrow("{}"), narrow(r#"{"vent": 20}"#)], [[true; 2], [false; 2]]);
}
