//! Solving an input for a target: every solution is drafted again; a refused target is checked by drafts in small steps.
#![allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "a panic fails the test; a solution is drafted with exactly its input"
)]

use crate::bodies::{cases, draft_or_reject, ordinary_requests};
use kirtle::sensitivity::{SeekTarget, Solutions};
use kirtle::{Apportionment, Body, Code, DartCount, Draft, Ease, Half, Rules, Shares, Unit};
use proptest::prelude::*;

fn sample_draft() -> Draft {
    let body = Body { waist: 74.0, hip: 96.0, hip_depth: 20.0, length: 60.0 };
    kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap()
}

/// Returns a quantity of a draft by its name.
fn quantity(draft: &Draft, name: &str) -> f64 {
    draft.quantities().iter().find(|(quantity, _)| quantity.to_string() == name).unwrap().1
}

/// Drafts again with another ease at the hip.
fn with_hip_ease(draft: &Draft, hip: f64) -> Draft {
    kirtle::draft(draft.body(), &Ease { hip, ..*draft.ease() }, draft.rules()).unwrap()
}

/// Finds all values of an input, within its default interval, that reach a target.
fn solve(draft: &Draft, input: &str, target: SeekTarget) -> Solutions {
    draft.seek(input, &target, None, Unit::Cm).unwrap()
}

proptest! {
    #![proptest_config(cases(200))]

    // The target is the quantity of a draft with another hip ease, so that a solution exists.
    #[test]
    fn a_reachable_quantity_is_reached_and_every_solution_is_found(
        request in ordinary_requests(), hip in 0.0..12.0, which in 0_usize..4,
    ) {
        let draft = draft_or_reject(&request)?;
        let name = ["suppression.side", "back.waist_lowering", "front.area", "side_seam"][which];
        let other = with_hip_ease(&draft, hip);
        let target = quantity(&other, name);
        let solution = solve(&draft, "ease.hip", SeekTarget::Quantity(name, target));
        let found = quantity(&solution.draft, name);
        prop_assert!((found - target).abs() <= 1e-12 * target.abs().max(1.0), "{name}: {found} is not {target}");
        let (from, to) = solution.interval;
        let all = solution.others.iter().copied().chain([hip.clamp(from, to)]);
        let nearest = all.map(|value| (value - hip).abs()).fold(f64::INFINITY, f64::min);
        prop_assert!(nearest < 1e-6, "{name}: {hip} is not among {} and {:?}", solution.input.value, solution.others);
        prop_assert_eq!(solution.draft.ease().hip, solution.input.value);
    }

    // The interval of a dart count is compared with drafts in steps of 0.1 cm of ease, and at its ends.
    #[test]
    fn a_dart_count_holds_exactly_within_its_interval(request in ordinary_requests(), count in 0_usize..3) {
        let draft = draft_or_reject(&request)?;
        let darts = |hip: f64| with_hip_ease(&draft, hip).back.darts.len();
        let steps: Vec<f64> = (-100..=600).map(|step| f64::from(step) / 10.0).collect();
        match draft.seek("ease.hip", &SeekTarget::Darts(Half::Back, count), None, Unit::Cm) {
            Ok(solution) => {
                let (from, to) = solution.interval;
                for hip in steps.iter().filter(|hip| (from..=to).contains(*hip)) {
                    prop_assert_eq!(darts(*hip), count, "at {}", hip);
                }
                for (end, beyond, limit) in [(from, from - 1e-9, -10.0), (to, to + 1e-9, 60.0)] {
                    prop_assert_eq!(darts(end), count);
                    prop_assert!(end == limit || darts(beyond) != count, "the dart count holds beyond {end}, too");
                }
                prop_assert!((from..=to).contains(&solution.input.value));
            }
            Err(problems) => {
                prop_assert_eq!(problems[0].code, Code::OutOfReach);
                prop_assert!(steps.iter().all(|hip| darts(*hip) != count), "{}", problems);
            }
        }
    }
}

// One front dart of 2.5 cm reaches the target, and so do two front darts of 2.5 cm each.
#[test]
fn a_discontinuous_quantity_is_reached_on_both_sides_of_its_jump() {
    let draft = sample_draft();
    let solution = solve(&draft, "ease.hip", SeekTarget::Quantity("front.darts[0].intake", 2.5));
    assert_eq!((solution.draft.front.darts.len(), solution.others.len()), (1, 1));
    let other = with_hip_ease(&draft, solution.others[0]);
    assert_eq!(other.front.darts.len(), 2);
    for found in [&solution.draft, &other] {
        assert!((found.front.darts[0].intake - 2.5).abs() < 1e-12);
    }
}

// The inputs are an ease, a measurement and a rule.
#[test]
fn a_girth_at_a_level_is_reached_by_different_inputs() {
    let draft = sample_draft();
    for (input, girth) in [("ease.hip", 92.0), ("body.hip_depth", 90.5), ("rules.shares.back_inner_length", 94.9)] {
        let solution = solve(&draft, input, SeekTarget::Girth { level: 10.0, girth });
        assert!((solution.draft.girth_at(10.0).unwrap() - girth).abs() < 1e-10, "{input}");
        assert_eq!(solution.interval, (solution.input.value, solution.input.value));
    }
}

// The first dart moves out and back again with the hip depth. The maximum lies between two steps of the search. At the
// maximum there is one solution, just below there are two, above there is none.
#[test]
fn a_maximum_between_two_steps_of_the_search_is_reached() {
    // The number of darts, which follows the hip depth, is chosen.
    let shares = Shares { back_darts: DartCount::Exactly(2), front_darts: DartCount::Exactly(1), ..Shares::default() };
    let rules = Rules { apportionment: Apportionment::Shares(shares), ..Rules::default() };
    let draft = kirtle::draft(sample_draft().body(), sample_draft().ease(), &rules).unwrap();
    let name = "back.dart_1_inner.x";
    let value_at = |hip_depth: f64| {
        let body = Body { hip_depth, ..*draft.body() };
        quantity(&kirtle::draft(&body, draft.ease(), draft.rules()).unwrap(), name)
    };
    let (mut from, mut to) = (11.0, 12.5);
    for _ in 0..100 {
        let [low, high] = [from + (to - from) * 0.4, from + (to - from) * 0.6];
        (from, to) = if value_at(low) < value_at(high) { (low, to) } else { (from, high) };
    }
    let maximum = value_at(from);
    let seek = |x: f64| draft.seek("body.hip_depth", &SeekTarget::Quantity(name, x), Some((10.0, 12.5)), Unit::Cm);
    assert!((seek(maximum).unwrap().input.value - from).abs() < 1e-3);
    let below = seek(maximum - 1e-7).unwrap();
    assert_eq!(below.others.len(), 1);
    assert!(below.others[0] < from && from < below.input.value, "{from} is not between the solutions {below:?}");
    assert_eq!(seek(maximum + 1e-7).unwrap_err()[0].code, Code::OutOfReach);
}

#[test]
fn a_target_is_reached_in_inches_as_in_centimetres() {
    let draft = sample_draft();
    let girth = draft.girth_at(12.7).unwrap() + 2.54;
    let cm = draft.seek("ease.hip", &SeekTarget::Girth { level: 12.7, girth }, None, Unit::Cm).unwrap();
    let target = SeekTarget::Girth { level: 5.0, girth: girth / 2.54 };
    let inches = draft.seek("ease.hip", &target, Some((0.0, 10.0)), Unit::In).unwrap();
    assert!((inches.input.value * 2.54 - cm.input.value).abs() < 1e-9);
}

#[test]
fn an_error_reports_the_range_that_can_be_reached() {
    let draft = sample_draft();
    let messages = |input: &str, target: SeekTarget, between| {
        let problems = draft.seek(input, &target, between, Unit::Cm).unwrap_err();
        problems.iter().map(|problem| format!("{} {problem}", problem.code.name())).collect::<Vec<_>>()
    };
    let hip = "ease.hip";
    assert_eq!(
        messages(hip, SeekTarget::Quantity("suppression.total", 60.0), Some((0.0, 10.0))),
        ["out_of_reach value: 60 cm cannot be reached: ease.hip from 0 to 10 cm gives 10.35 to 15.41 cm"]
    );
    assert_eq!(
        messages(hip, SeekTarget::Darts(Half::Front, 3), None),
        ["out_of_reach darts: 3 cannot be reached: ease.hip from -10 to 60 cm gives 1 to 2 darts in the front"]
    );
    assert_eq!(
        messages(hip, SeekTarget::Quantity("back.darts[0].intake", 0.4), None),
        ["out_of_reach value: 0.4 cm cannot be reached: ease.hip from -10 to 60 cm gives 1.50 to 3.00 cm"]
    );
    assert_eq!(
        messages(hip, SeekTarget::Girth { level: 40.0, girth: 90.0 }, Some((5.0, 4.0))),
        ["wrong_type between: 5 to 4 is not a range with the smaller value first"]
    );
    assert_eq!(messages(hip, SeekTarget::Girth { level: 90.0, girth: 90.0 }, None).len(), 1);
    assert!(
        messages("ease.knee", SeekTarget::Darts(Half::Back, 1), None)[0]
            .starts_with("unknown_choice input: \"ease.knee\" is not one of 24 names: did you mean ease.")
    );
    assert!(
        messages(hip, SeekTarget::Quantity("back.knee", 1.0), None)[0]
            .starts_with("unknown_choice quantity: \"back.knee\" is not one of 81 names: did you mean back.")
    );
    assert_eq!(
        messages(hip, SeekTarget::Quantity("mouth", 1.0), None),
        ["unknown_choice quantity: \"mouth\" is not one of 81 names"]
    );
    assert_eq!(
        messages(hip, SeekTarget::Quantity("back.width", f64::NAN), Some((0.0, 90.0))),
        ["above_maximum between: 90 cm is above the maximum of 60 cm"]
    );
}
