//! Corrections that equal a measurement of the figure: the measurement alone gives the corrected draft.

use crate::bodies::chart::{EASE, bodies_in_chart};
use crate::bodies::fitting::correction;
use crate::bodies::{cases, control_points, max_distance};
use kirtle::document::{FittingReport, Request};
use kirtle::sizes::{Correction, CorrectionSite, CorrectionTarget, Fitting};
use kirtle::{Body, Draft, Ease, Figure, Rules, Unit, draft_figure};
use proptest::option;
use proptest::prelude::*;

/// Largest distance in centimetres between points of two drafts that differ by rounding and the residuals of their closures.
const SAME_POINT: f64 = 1e-10;

/// Distance as [`SAME_POINT`] where a high hip is solved, whose room may err by 1e-11 cm.
const SAME_POINT_WITH_HIGH_HIP: f64 = 1e-9;

const BODY: Body = Body { waist: 74.0, hip: 101.0, hip_depth: 20.5, length: 62.0 };

/// Returns the corrections of the centres, of the balance and of the side fullness, where an amount is given.
fn corrections(amounts: [Option<f64>; 4]) -> Vec<Correction> {
    let targets = [
        CorrectionTarget::CentreBack,
        CorrectionTarget::CentreFront,
        CorrectionTarget::Balance,
        CorrectionTarget::SideFullness,
    ];
    let one = |(what, by): (_, Option<f64>)| Some(correction(what, by?, CorrectionSite::Shared));
    targets.into_iter().zip(amounts).filter_map(one).collect()
}

/// Returns a figure with the measurements of the last fitting.
fn measured_figure(fitting: &Fitting) -> Figure {
    let mut figure = fitting.draft().figure().into_array();
    for change in fitting.measurements() {
        let name = change.field.strip_prefix("body.figure.").unwrap();
        let k = Figure::FIELDS.iter().position(|field| field.name == name).unwrap();
        assert_eq!(change.before, fitting.clone().undo().draft().figure().into_array()[k]);
        figure[k] = Some(change.after);
    }
    Figure::from_array(figure)
}

/// Drafts the measurements of the last fitting, without the corrections of the rules for which they stand.
fn draft_measured(fitting: &Fitting) -> Draft {
    let (before, after) = (fitting.clone().undo(), fitting.draft());
    let (before, mut rules) = (before.draft().rules().panel_rules, after.rules().clone());
    let panel_rules = &mut rules.panel_rules;
    for name in names(fitting) {
        match name {
            "back_length" => panel_rules.centre_back_lower = before.centre_back_lower,
            "front_length" => panel_rules.centre_front_lower = before.centre_front_lower,
            "front_hip" => panel_rules.balance = before.balance,
            "high_hip" => panel_rules.side_fullness = before.side_fullness,
            _ => (),
        }
    }
    draft_figure(after.body(), &measured_figure(fitting), after.ease(), &rules).unwrap()
}

fn names(fitting: &Fitting) -> Vec<&str> {
    fitting.measurements().iter().map(|change| change.field.strip_prefix("body.figure.").unwrap()).collect()
}

fn fitting(figure: Figure) -> Fitting {
    Fitting::new(draft_figure(&BODY, &figure, &EASE, &Rules::default()).unwrap())
}

/// Returns the table of measurements in the fitting record.
fn measured_table(fitting: &Fitting, unit: Unit) -> Vec<String> {
    let record = fitting.fitting_record(unit);
    let lines = record.lines().skip_while(|line| !line.starts_with("Measurements with the same effect"));
    lines
        .take_while(|line| !line.is_empty())
        .map(|line| line.split_whitespace().collect::<Vec<_>>().join(" "))
        .collect()
}

#[test]
fn a_lower_centre_back_is_a_shorter_back_length() {
    let lower = corrections([Some(1.0), None, None, None]);
    let lengths =
        |side_length, back_length, front_length| Figure { side_length, back_length, front_length, ..Figure::default() };
    let one = fitting(lengths(Some(101.0), Some(100.0), None)).correct(&lower).unwrap();
    assert_eq!(
        measured_table(&one, Unit::Cm),
        ["Measurements with the same effect (cm) before after", "back length 100.0 99.0"]
    );
    // Front and back alone say nothing of the side, which the correction leaves where it is.
    let two = fitting(lengths(None, Some(100.0), Some(100.0))).correct(&lower).unwrap();
    assert_eq!(names(&two), ["side_length", "back_length"]);
    assert!((two.measurements()[1].after - 99.0).abs() < 1e-12);
    // Without lengths only their difference counts, so that they may end at the hem.
    let three = fitting(Figure::default()).correct(&lower).unwrap();
    let [side, back] = three.measurements() else { panic!("{three:?}") };
    let depth = three.draft().back.waist_lowering;
    assert!((side.after - 62.0).abs() < 1e-12 && (side.after - back.after - depth).abs() < 1e-12);
    let table = measured_table(&three, Unit::In);
    assert_eq!(
        table,
        [
            "Measurements with the same effect (in) before after",
            "side length to the hem 24 7/16",
            "back length to the hem 23 11/16"
        ]
    );
    for fitting in [one, two, three] {
        let points = |draft: &Draft| control_points(draft.panels());
        assert!(max_distance(&points(&draft_measured(&fitting)), &points(fitting.draft())) < SAME_POINT);
    }
}

#[test]
fn a_balance_is_a_front_hip_and_changes_arcs_that_are_measured() {
    let wider = corrections([None, None, Some(0.5), None]);
    let first = fitting(Figure::default()).correct(&wider).unwrap();
    assert_eq!(names(&first), ["front_hip"]);
    // The front is a quarter of 106 and 1.5 more: 28 cm, of which the body has 101 parts of 106, twice.
    assert!((first.measurements()[0].after - 56.0 * 101.0 / 106.0).abs() < 1e-12);
    let second = fitting(Figure { front_hip: Some(52.0), ..Figure::default() }).correct(&wider).unwrap();
    assert!((second.draft().front.width - 52.0 * 106.0 / 101.0 / 2.0 - 0.5).abs() < 1e-12);
    // A changed measurement is not offered in its own place, and the record prints it by the ruler.
    assert!(second.measurements().is_empty() && (second.changes()[0].after - 52.0 - 101.0 / 106.0).abs() < 1e-12);
    assert!(
        second
            .fitting_record(Unit::Cm)
            .lines()
            .any(|line| line.split_whitespace().eq(["front", "hip", "52.0", "53.0"]))
    );
    let third = fitting(Figure { front_waist: Some(40.0), ..Figure::default() }).correct(&wider).unwrap();
    assert!((third.draft().figure().front_waist.unwrap() - 40.0 - 74.0 / 75.5).abs() < 1e-12);
    // Darts by shares follow the width of the front, while a correction keeps them: the drafts then agree at the hip.
    let figure = measured_figure(&first);
    let by_shares = draft_figure(&BODY, &figure, &EASE, &Rules::default()).unwrap();
    assert!((by_shares.front.width - first.draft().front.width).abs() < 1e-12);
}

#[test]
fn a_measurement_that_the_body_cannot_have_is_not_offered() {
    // Twice 3 cm of balance more than 1 make the front hip 0.58 of the hip, 5 cm more 0.66.
    for (by, is_offered) in [(3.0, true), (3.9, false)] {
        let ease = Ease { waist: 1.5, hip: 0.0 };
        let small = Body { waist: 50.0, hip: 62.0, ..BODY };
        let first = kirtle::draft(&small, &ease, &Rules::default()).unwrap();
        let fitted = Fitting::new(first).correct(&corrections([None, None, Some(by), None])).unwrap();
        assert_eq!(!fitted.measurements().is_empty(), is_offered, "{by}");
    }
    // Less room than the rules give is no wish for room.
    let less = fitting(Figure::default()).correct(&corrections([None, None, None, Some(-0.2)])).unwrap();
    assert!(less.measurements().is_empty() && !less.fitting_record(Unit::Cm).contains("measured"));
    assert!(fitting(Figure::default()).measurements().is_empty());
}

#[test]
fn documents_have_the_measurements() {
    let all = corrections([Some(1.0), Some(-0.5), Some(0.5), Some(0.2)]);
    let fitted = fitting(Figure::default()).correct(&all).unwrap();
    assert_eq!(
        names(&fitted),
        ["front_length", "side_length", "back_length", "front_hip", "high_hip", "high_hip_depth"]
    );
    let report = FittingReport::new(&fitted, Unit::In);
    let found = report.rounds[0].measurements.iter().map(|change| (change.before, change.after * 2.54));
    for ((before, after), change) in found.zip(fitted.measurements()) {
        assert!(before.is_none() && (after - change.after).abs() < 1e-12);
    }
    let request = Request { corrections: all, ..Request::from_draft(fitting(Figure::default()).draft(), Unit::Cm) };
    let result: serde_json::Value = serde_json::from_str(&kirtle::draft_json(&request.to_json()).unwrap()).unwrap();
    let measurements = result["measurements"].as_array().unwrap();
    assert!(
        measurements
            .iter()
            .map(|change| change["field"].as_str().unwrap().to_owned())
            .eq(fitted.measurements().iter().map(|change| change.field.clone()))
    );
    let validator = jsonschema::draft202012::new(&kirtle::document::schema("result").unwrap()).unwrap();
    assert!(validator.is_valid(&result));
}

/// Draws the lengths, the front hip and the high hip of a body, each given or not; a lone length counts as none.
fn figures(body: Body) -> impl Strategy<Value = Figure> {
    let near = || option::of(99.0..101.0);
    let others = [option::of(0.48..0.53), option::of(0.9..1.02)];
    ([near(), near(), near()], others).prop_map(move |([front_length, side_length, back_length], [arc, girth])| {
        let lone = [front_length, side_length, back_length].iter().flatten().count() == 1;
        let length = |length: Option<f64>| length.filter(|_| !lone);
        Figure {
            front_length: length(front_length),
            side_length: length(side_length),
            back_length: length(back_length),
            front_hip: arc.map(|share| share * body.hip),
            front_waist: None,
            high_hip: girth.map(|share| share * body.hip),
            high_hip_depth: girth.map(|_| body.hip_depth * 0.45),
        }
    })
}

proptest! {
    #![proptest_config(cases(500))]

    #[test]
    fn a_body_measured_so_gets_the_corrected_draft(
        (body, figure) in bodies_in_chart().prop_flat_map(|body| (Just(body), figures(body))),
        centres in [option::of(-1.0..1.5), option::of(-1.0..1.5)],
        others in [option::of(-0.8..0.8), option::of(0.05..0.4)],
    ) {
        let Ok(first) = draft_figure(&body, &figure, &EASE, &Rules::default()) else { return Ok(()) };
        let ([back, front], [balance, fullness]) = (centres, others);
        let Ok(fitted) = Fitting::new(first.clone()).correct(&corrections([back, front, balance, fullness])) else { return Ok(()) };
        let offered = names(&fitted);
        for (name, by, before) in [("back_length", back, figure.back_length), ("front_length", front, figure.front_length)] {
            let change = fitted.measurements().iter().find(|change| change.field.ends_with(name));
            prop_assert_eq!(change.is_some(), by.is_some(), "{:?}", offered);
            if let (Some(change), Some(by), Some(before)) = (change, by, before) {
                prop_assert!((before - change.after - by).abs() < 1e-12);
            }
        }
        prop_assert_eq!(offered.contains(&"front_hip"), balance.is_some() && figure.front_hip.is_none());
        let tolerance = if fitted.draft().figure().high_hip.is_some() || offered.contains(&"high_hip") { SAME_POINT_WITH_HIGH_HIP } else { SAME_POINT };
        let [measured, corrected] = [&draft_measured(&fitted), fitted.draft()].map(|draft| control_points(draft.panels()));
        prop_assert!(max_distance(&measured, &corrected) < tolerance, "{}", max_distance(&measured, &corrected));
    }
}
