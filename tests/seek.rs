//! Questions asked backwards: each answer is drafted, and what no answer is found for is looked for by hand.
#![allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "a surprise is a failed test; an answer is the input to the last bit"
)]

mod bodies;

use bodies::{cases, drafted, ordinary};
use kirtle::sensitivity::{Solutions, Target};
use kirtle::{Body, Code, Draft, Ease, Half, Rules, Unit};
use proptest::prelude::*;

fn shop() -> Draft {
    let body = Body { waist: 74.0, hip: 96.0, hip_depth: 20.0, length: 60.0 };
    kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap()
}

fn number(draft: &Draft, name: &str) -> f64 {
    draft.quantities().iter().find(|(quantity, _)| quantity.to_string() == name).unwrap().1
}

/// The draft with another ease at the hip.
fn with_hip_ease(draft: &Draft, hip: f64) -> Draft {
    kirtle::draft(draft.body(), &Ease { hip, ..*draft.ease() }, draft.rules()).unwrap()
}

fn seek(draft: &Draft, input: &str, target: Target) -> Solutions {
    draft.seek(input, &target, None, Unit::Cm).unwrap()
}

proptest! {
    #![proptest_config(cases(200))]

    // What another ease gives is found again, by that ease or one that gives the same.
    #[test]
    fn a_number_that_can_be_had_is_found(request in ordinary(), hip in 0.0..12.0, which in 0_usize..4) {
        let draft = drafted(&request)?;
        let name = ["suppression.side", "back.waist_lowering", "front.area", "side_seam"][which];
        let other = with_hip_ease(&draft, hip);
        let wanted = number(&other, name);
        let answer = seek(&draft, "ease.hip", Target::Quantity(name, wanted));
        let found = number(&answer.draft, name);
        prop_assert!((found - wanted).abs() <= 1e-12 * wanted.abs().max(1.0), "{name}: {found} is not {wanted}");
        let (from, to) = answer.interval;
        let all = answer.others.iter().copied().chain([hip.clamp(from, to)]);
        let nearest = all.map(|value| (value - hip).abs()).fold(f64::INFINITY, f64::min);
        prop_assert!(nearest < 1e-6, "{name}: {hip} is not among {} and {:?}", answer.input.value, answer.others);
        prop_assert_eq!(answer.draft.ease().hip, answer.input.value);
    }

    // The ranges of a number of darts are those of a walk in small steps, and end where it says.
    #[test]
    fn a_number_of_darts_holds_where_it_says(request in ordinary(), count in 0_usize..3) {
        let draft = drafted(&request)?;
        let darts = |hip: f64| with_hip_ease(&draft, hip).back.darts.len();
        let steps: Vec<f64> = (-100..=600).map(|step| f64::from(step) / 10.0).collect();
        match draft.seek("ease.hip", &Target::Darts(Half::Back, count), None, Unit::Cm) {
            Ok(answer) => {
                let (from, to) = answer.interval;
                for hip in steps.iter().filter(|hip| (from..=to).contains(*hip)) {
                    prop_assert_eq!(darts(*hip), count, "at {}", hip);
                }
                for (end, beyond, limit) in [(from, from - 1e-9, -10.0), (to, to + 1e-9, 60.0)] {
                    prop_assert_eq!(darts(end), count);
                    prop_assert!(end == limit || darts(beyond) != count, "it holds beyond {end}, too");
                }
                prop_assert!((from..=to).contains(&answer.input.value));
            }
            Err(problems) => {
                prop_assert_eq!(problems[0].code, Code::OutOfReach);
                prop_assert!(steps.iter().all(|hip| darts(*hip) != count), "{}", problems);
            }
        }
    }
}

// One dart of 3 cm takes all that the front has, or two take half of it each.
#[test]
fn a_number_that_leaps_is_found_on_both_sides() {
    let draft = shop();
    let answer = seek(&draft, "ease.hip", Target::Quantity("front.darts[0].intake", 2.5));
    assert_eq!((answer.draft.front.darts.len(), answer.others.len()), (1, 1));
    let other = with_hip_ease(&draft, answer.others[0]);
    assert_eq!(other.front.darts.len(), 2);
    for found in [&answer.draft, &other] {
        assert!((found.front.darts[0].intake - 2.5).abs() < 1e-12);
    }
}

// The girth half-way to the hip line is asked of the ease, of the hip depth and of a rule.
#[test]
fn a_girth_at_a_level_is_found_by_many_inputs() {
    let draft = shop();
    for (input, girth) in [("ease.hip", 92.0), ("body.hip_depth", 90.5), ("rules.shares.back_inner_length", 94.9)] {
        let answer = seek(&draft, input, Target::Girth { level: 10.0, girth });
        assert!((answer.draft.girth_at(10.0).unwrap() - girth).abs() < 1e-10, "{input}");
        assert_eq!(answer.interval, (answer.input.value, answer.input.value));
    }
}

// By the hip depth the inner leg of the first dart moves out and back again: between two steps of the walk, the top is found
// where it is only touched, and on both sides just below.
#[test]
fn the_top_of_a_curve_is_touched() {
    let (draft, name) = (shop(), "back.dart_1_inner.x");
    let at = |hip_depth: f64| {
        let body = Body { hip_depth, ..*draft.body() };
        number(&kirtle::draft(&body, draft.ease(), draft.rules()).unwrap(), name)
    };
    let (mut from, mut to) = (11.0, 12.5);
    for _ in 0..100 {
        let [low, high] = [from + (to - from) * 0.4, from + (to - from) * 0.6];
        (from, to) = if at(low) < at(high) { (low, to) } else { (from, high) };
    }
    let top = at(from);
    let seek = |value: f64| draft.seek("body.hip_depth", &Target::Quantity(name, value), Some((10.0, 12.5)), Unit::Cm);
    assert!((seek(top).unwrap().input.value - from).abs() < 1e-3);
    let below = seek(top - 1e-7).unwrap();
    assert_eq!(below.others.len(), 1);
    assert!(below.others[0] < from && from < below.input.value, "{from} is not within {below:?}");
    assert_eq!(seek(top + 1e-7).unwrap_err()[0].code, Code::OutOfReach);
}

#[test]
fn inches_go_in_and_come_out() {
    let draft = shop();
    let girth = draft.girth_at(12.7).unwrap() + 2.54;
    let cm = draft.seek("ease.hip", &Target::Girth { level: 12.7, girth }, None, Unit::Cm).unwrap();
    let target = Target::Girth { level: 5.0, girth: girth / 2.54 };
    let inches = draft.seek("ease.hip", &target, Some((0.0, 10.0)), Unit::In).unwrap();
    assert!((inches.input.value * 2.54 - cm.input.value).abs() < 1e-9);
}

#[test]
fn what_cannot_be_had_is_said_with_what_can() {
    let draft = shop();
    let said = |input: &str, target: Target, between| {
        let problems = draft.seek(input, &target, between, Unit::Cm).unwrap_err();
        problems.iter().map(|problem| format!("{} {problem}", problem.code.name())).collect::<Vec<_>>()
    };
    let hip = "ease.hip";
    assert_eq!(
        said(hip, Target::Quantity("suppression.total", 60.0), Some((0.0, 10.0))),
        ["out_of_reach value: 60 cm is out of reach: ease.hip from 0 to 10 cm gives 10.35 to 15.41 cm"]
    );
    assert_eq!(
        said(hip, Target::Darts(Half::Front, 3), None),
        ["out_of_reach darts: 3 is out of reach: ease.hip from -10 to 60 cm gives 1 to 2"]
    );
    assert_eq!(
        said(hip, Target::Quantity("back.darts[0].intake", 0.4), None),
        ["out_of_reach value: 0.4 cm is out of reach: ease.hip from -10 to 60 cm gives 1.51 to 3.04 cm"]
    );
    assert_eq!(
        said(hip, Target::Girth { level: 40.0, girth: 90.0 }, Some((5.0, 4.0))),
        ["wrong_type between: 5 to 4 is not a range from less to more"]
    );
    assert_eq!(said(hip, Target::Girth { level: 90.0, girth: 90.0 }, None).len(), 1);
    assert!(
        said("ease.knee", Target::Darts(Half::Back, 1), None)[0]
            .starts_with("unknown_choice input: \"ease.knee\" is not one of body.waist, ")
    );
    assert!(
        said(hip, Target::Quantity("back.knee", 1.0), None)[0]
            .starts_with("unknown_choice quantity: \"back.knee\" is not one of nominal.total, ")
    );
    assert_eq!(
        said(hip, Target::Quantity("back.width", f64::NAN), Some((0.0, 90.0))),
        ["above_maximum between: 90 cm is above the maximum of 60 cm"]
    );
}
