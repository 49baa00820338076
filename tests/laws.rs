//! Laws of the draft, each over the whole valid range.

use crate::bodies::{
    MEASUREMENT_COUNT, add_to_measurement, cases, control_points, dart_counts, draft_or_reject, exchange_panels,
    kurbo_segment, lift_to_first_derivatives, lift_to_second_derivatives, max_distance, max_point_shift,
    ordinary_requests, requests, requests_by_darts, requests_by_shares, requests_with_default_shares, scale_lengths,
    shape_numbers, total_intake, turned_over,
};
use kirtle::document::{Report, Request};
use kirtle::{
    Apportionment, Body, DartPosition, Darts, Draft, Ease, GivenDart, PanelRules, Role, Rules, Shares, Unit, draft_json,
};
use kurbo::ParamCurveArclen;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{TestCaseResult, TestRunner};

/// Indices of waist and hip among the measurements.
const WAIST: usize = 0;
const HIP: usize = 1;

/// A small change of a measurement, in centimetres.
const SMALL_STEP: f64 = 1e-6;

/// Largest distance in centimetres that `SMALL_STEP` moves a point.
const MAX_SHIFT: f64 = 2e-5;

/// Steps of the finite differences that check first and second derivatives, in centimetres.
const FIRST_STEP: f64 = 1e-3;
const SECOND_STEP: f64 = 1e-2;

/// Largest change of a first derivative over the steps of a difference; more shows that a dart or the side reaches a
/// limit.
const MAX_SLOPE_CHANGE: f64 = 0.05;

fn check_near(what: &str, found: f64, expected: f64, tolerance: f64) -> TestCaseResult {
    prop_assert!(
        (found - expected).abs() <= tolerance,
        "{what}: found {found}, expected {expected} within {tolerance}"
    );
    Ok(())
}

/// Draws a change that enlarges the drop, the hip less the waist: a larger hip or a smaller waist.
///
/// The change is from 0.001 mm to 10 cm, evenly on a logarithmic scale.
fn larger_drop() -> impl Strategy<Value = (usize, f64)> {
    (prop_oneof![Just((WAIST, -1.0)), Just((HIP, 1.0))], -4.0..1.0)
        .prop_map(|((which, sign), power)| (which, sign * 10_f64.powf(power)))
}

/// Returns the shapes at several steps of one measurement, or nothing if the shape is not smooth between them.
fn smooth_shapes<const N: usize>(
    request: &Request,
    which: usize,
    steps: [f64; N],
) -> Result<Option<[Vec<f64>; N]>, TestCaseError> {
    let drafts: Vec<Draft> = steps
        .iter()
        .map(|step| draft_or_reject(&add_to_measurement(request, which, *step)))
        .collect::<Result<_, _>>()?;
    let slopes = |draft: &Draft| {
        shape_numbers(&lift_to_second_derivatives(draft, which)).iter().map(|number| number.v1).collect::<Vec<_>>()
    };
    let (first, last) = (&drafts[0], &drafts[N - 1]);
    let is_smooth = dart_counts(first) == dart_counts(last)
        && slopes(first).iter().zip(slopes(last)).all(|(before, after)| (before - after).abs() <= MAX_SLOPE_CHANGE);
    Ok(is_smooth.then(|| std::array::from_fn(|k| shape_numbers(&drafts[k]))))
}

fn requests_in_either_unit() -> impl Strategy<Value = Request> {
    prop_oneof![requests(Unit::Cm), requests(Unit::In)]
}

/// Checks that any bytes give a result, or an error with messages.
fn check_answer(bytes: &[u8]) -> TestCaseResult {
    let _ = serde_json::from_slice::<Request>(bytes);
    if let Err(problems) = draft_json(&String::from_utf8_lossy(bytes)) {
        prop_assert!(!problems.is_empty());
        prop_assert!(problems.iter().all(|problem| !problem.message.is_empty()));
    }
    Ok(())
}

/// Fragments of JSON to insert anywhere in a valid request.
const FRAGMENTS: [&str; 12] =
    ["", "null", "-0", "1e308", "1e999", "5e-324", "[[[[", "{}", "\"", "\\ud800", "\"unit\":\"in\",", "\u{0}"];

#[test]
fn most_random_requests_are_drafted() {
    const CASES: u32 = 10_000;
    for unit in [Unit::Cm, Unit::In] {
        let rows = [
            ("by shares", requests_by_shares(unit).boxed(), 0.8),
            ("by given darts", requests_by_darts(unit).boxed(), 0.3),
            ("by shares or given darts", requests(unit).boxed(), 0.6),
        ];
        for (what, strategy, min) in rows {
            let mut runner = TestRunner::new(cases(CASES));
            let mut is_drafted = || strategy.new_tree(&mut runner).unwrap().current().draft().is_ok();
            let share = (0..CASES).filter(|_| is_drafted()).count() as f64 / f64::from(CASES);
            assert!(share >= min, "requests {what} in {}: only a share of {share} is drafted", unit.name());
        }
    }
}

proptest! {
    #![proptest_config(cases(10_000))]

    #[test]
    fn the_sewn_waist_is_the_waist_plus_its_ease(request in requests(Unit::Cm)) {
        let draft = draft_or_reject(&request)?;
        let waist = request.body.waist + request.ease.waist;
        let edges = draft.panels().into_iter().flat_map(|panel| &panel.edges).filter(|edge| edge.role == Role::Waist);
        check_near("proof", draft.proof().checks[0].measured, waist, 1e-10)?;
        check_near("draft", draft.sewn_waist(), waist, 1e-10)?;
        check_near("kurbo", 2.0 * edges.map(|edge| kurbo_segment(&edge.path).arclen(1e-13)).sum::<f64>(), waist, 1e-9)?;
    }

    #[test]
    fn every_check_of_the_proof_holds(request in requests(Unit::Cm)) {
        let proof = draft_or_reject(&request)?.proof();
        let broken: Vec<_> = proof.checks.iter().filter(|check| !check.holds).collect();
        prop_assert!(proof.holds && broken.is_empty(), "{broken:#?}");
    }

    #[test]
    fn scaling_every_length_scales_every_point(request in requests(Unit::Cm), k in 0.9..1.1) {
        let (draft, larger) = (draft_or_reject(&request)?, draft_or_reject(&scale_lengths(&request, k))?);
        prop_assert_eq!(dart_counts(&draft), dart_counts(&larger));
        for (point, larger) in control_points(draft.panels()).iter().zip(control_points(larger.panels())) {
            let size = larger.coords.norm().max(1.0);
            check_near("point", (larger - point * k).norm(), 0.0, 1e-9 * size)?;
        }
    }

    // Only the curve of the waist, which is longer on a wider panel, changes the intakes.
    #[test]
    fn waist_and_hip_enlarged_by_the_same_length_keep_the_intakes(request in ordinary_requests(), more in 0.0..8.0) {
        let larger = add_to_measurement(&add_to_measurement(&request, WAIST, more), HIP, more);
        let (draft, larger) = (draft_or_reject(&request)?, draft_or_reject(&larger)?);
        check_near("nominal", larger.nominal.total, draft.nominal.total, 1e-12)?;
        prop_assume!(dart_counts(&draft) == dart_counts(&larger));
        for (panel, larger) in draft.panels().into_iter().zip(larger.panels()) {
            for (dart, larger) in panel.darts.iter().zip(&larger.darts) {
                check_near("intake", larger.intake, dart.intake, 0.1)?;
            }
        }
    }

    #[test]
    fn exchanging_back_and_front_exchanges_the_panels(mut request in requests(Unit::Cm)) {
        request.rules.panel_rules.centre_back_in = 0.0;
        let (draft, exchanged) = (draft_or_reject(&request)?, draft_or_reject(&exchange_panels(&request))?);
        let [back, front] = dart_counts(&draft);
        prop_assert_eq!([front, back], dart_counts(&exchanged));
        let points = control_points([&draft.back, &draft.front]);
        let exchanged_points = control_points([&exchanged.front, &exchanged.back]);
        check_near("points", max_distance(&points, &exchanged_points), 0.0, 1e-12)?;
    }

    #[test]
    fn an_outline_turned_over_keeps_lengths_and_area(request in requests(Unit::Cm)) {
        for panel in draft_or_reject(&request)?.panels() {
            let turned = turned_over(panel);
            check_near("area", turned.area(), panel.area(), 1e-12 * panel.area().abs().max(1.0))?;
            for role in [Role::Waist, Role::Dart, Role::Side, Role::Hem, Role::Centre] {
                check_near(role.name(), turned.edge_length(role), panel.edge_length(role), 1e-11)?;
            }
        }
    }

    #[test]
    fn a_small_change_of_a_measurement_moves_points_little(
        request in requests(Unit::Cm), which in 0..MEASUREMENT_COUNT,
    ) {
        let before = draft_or_reject(&request)?;
        let after = draft_or_reject(&add_to_measurement(&request, which, SMALL_STEP))?;
        prop_assume!(dart_counts(&before) == dart_counts(&after));
        check_near("shift", max_point_shift(&before, &after), 0.0, MAX_SHIFT)?;
    }

    // Random steps seldom meet a jump: bisection follows the half of the interval in which a point moves farther.
    #[test]
    fn no_point_jumps_while_the_dart_counts_stay(
        request in requests(Unit::Cm), which in 0..MEASUREMENT_COUNT, by in -5.0..5.0,
    ) {
        let at = |step| draft_or_reject(&add_to_measurement(&request, which, step));
        let (mut from, mut to, mut before, mut after) = (0.0, by, at(0.0)?, at(by)?);
        prop_assume!(dart_counts(&before) == dart_counts(&after));
        while f64::abs(to - from) > SMALL_STEP {
            let middle = f64::midpoint(from, to);
            let between = at(middle)?;
            prop_assume!(dart_counts(&between) == dart_counts(&before));
            if max_point_shift(&before, &between) >= max_point_shift(&between, &after) {
                (to, after) = (middle, between);
            } else {
                (from, before) = (middle, between);
            }
        }
        let shift = max_point_shift(&before, &after);
        prop_assert!(shift <= MAX_SHIFT, "a point moves {shift} for {} at {from}: {:?}", to - from, before.nominal);
    }

    #[test]
    fn a_larger_drop_never_lowers_the_nominal_intake(request in requests(Unit::Cm), (which, by) in larger_drop()) {
        let less = draft_or_reject(&request)?.nominal;
        let more = draft_or_reject(&add_to_measurement(&request, which, by))?.nominal;
        prop_assert!(more.back + more.front >= less.back + less.front - 1e-12, "{less:?} became {more:?}");
    }

    #[test]
    fn a_larger_drop_never_lowers_the_nominal_intake_of_a_panel_by_default_shares(
        request in requests_with_default_shares(Unit::Cm),
        (which, by) in larger_drop(),
    ) {
        let less = draft_or_reject(&request)?.nominal;
        let more = draft_or_reject(&add_to_measurement(&request, which, by))?.nominal;
        prop_assert!(more.back >= less.back - 1e-12 && more.front >= less.front - 1e-12, "{less:?} became {more:?}");
    }

    // Where a dart is added the drafted intake may fall: two darts bend the waist line less than one.
    #[test]
    fn a_larger_drop_never_lowers_the_drafted_intake_while_the_dart_counts_stay(
        request in requests(Unit::Cm),
        (which, by) in larger_drop(),
    ) {
        let (less, more) = (draft_or_reject(&request)?, draft_or_reject(&add_to_measurement(&request, which, by))?);
        prop_assume!(dart_counts(&less) == dart_counts(&more));
        let (before, after) = (total_intake(&less), total_intake(&more));
        let nominal = [less.nominal, more.nominal];
        prop_assert!(after >= before - 1e-9, "{before} became {after} for {by}: {nominal:?}");
    }

    #[test]
    fn a_request_survives_json_to_the_last_bit(request in requests_in_either_unit()) {
        let text = serde_json::to_string(&request).unwrap();
        let back = Request::from_json(&text).unwrap();
        prop_assert_eq!(&back, &request);
        prop_assert_eq!(&serde_json::to_string(&back).unwrap(), &text);
        prop_assert_eq!(serde_json::from_str::<Request>(&text).unwrap(), back);
    }

    #[test]
    fn a_report_survives_json_to_the_last_bit(request in requests_in_either_unit()) {
        draft_or_reject(&request)?;
        let report = request.report().unwrap();
        let back: Report = serde_json::from_str(&report.to_json()).unwrap();
        prop_assert_eq!(&back, &report);
        prop_assert_eq!(back.to_json(), report.to_json());
        let (body, figure) = (back.body.body(), back.body.figure);
        let echoed = Request { unit: back.unit, body, figure, ease: back.ease, rules: back.rules, corrections: Vec::new(), cutting: None, cloth: None, ruler: None };
        prop_assert_eq!(echoed.report().unwrap(), report);
    }

    #[test]
    fn any_bytes_give_a_result_or_an_error(
        bytes in prop::collection::vec(any::<u8>(), 0..300), text in any::<String>(),
    ) {
        check_answer(&bytes)?;
        check_answer(text.as_bytes())?;
    }

    #[test]
    fn any_damaged_request_gives_a_result_or_an_error(
        request in requests_in_either_unit(),
        damage in prop::collection::vec((any::<prop::sample::Index>(), 0..4_usize, any::<u8>()), 1..4),
        end in any::<prop::sample::Index>(),
    ) {
        let mut bytes = serde_json::to_vec(&request).unwrap();
        for (place, length, byte) in damage {
            let place = place.index(bytes.len());
            let inserted = FRAGMENTS.get(usize::from(byte) % 24).map_or(vec![byte], |text| text.as_bytes().to_vec());
            bytes.splice(place..(place + length).min(bytes.len()), inserted);
            bytes.push(b' ');
            check_answer(&bytes)?;
        }
        check_answer(&bytes[..end.index(bytes.len())])?;
    }

    #[test]
    fn any_numbers_give_a_draft_or_an_error(
        numbers in prop::array::uniform32(any::<f64>()),
        lists in prop::array::uniform2(prop::collection::vec(prop::array::uniform4(any::<f64>()), 0..5)),
        by_shares in any::<bool>(),
    ) {
        let mut numbers = numbers.into_iter().cycle();
        let mut next = || numbers.next().unwrap();
        let body = Body::from_array(std::array::from_fn(|_| next()));
        let ease = Ease::from_array(std::array::from_fn(|_| next()));
        let panel_rules = PanelRules::from_array(std::array::from_fn(|_| next()));
        let shares = Shares::from_array(std::array::from_fn(|_| next()));
        let [back, front] = lists.map(|list| list.into_iter().map(|[intake, length, at, way]| {
            GivenDart { intake, length, place: if way > 0.0 { DartPosition::Share(at) } else { DartPosition::Centre(at) } }
        }).collect());
        let apportionment = if by_shares { Apportionment::Shares(shares) } else { Apportionment::Darts(Darts { back, front }) };
        if let Err(problems) = kirtle::draft(&body, &ease, &Rules { panel_rules, apportionment }) {
            prop_assert!(!problems.is_empty());
        }
    }

    #[test]
    fn dual_numbers_keep_every_value_to_the_last_bit(request in requests(Unit::Cm), which in 0..MEASUREMENT_COUNT) {
        let draft = draft_or_reject(&request)?;
        let plain: Vec<u64> = shape_numbers(&draft).iter().map(|number| number.to_bits()).collect();
        let first = shape_numbers(&lift_to_first_derivatives(&draft));
        let first: Vec<u64> = first.iter().map(|number| number.re.to_bits()).collect();
        let second = shape_numbers(&lift_to_second_derivatives(&draft, which));
        let second: Vec<u64> = second.iter().map(|number| number.re.to_bits()).collect();
        prop_assert_eq!(&plain, &first);
        prop_assert_eq!(&plain, &second);
    }

    #[test]
    fn first_derivatives_are_the_limits_of_differences(request in requests(Unit::Cm), which in 0..MEASUREMENT_COUNT) {
        let exact = shape_numbers(&lift_to_first_derivatives(&draft_or_reject(&request)?));
        let shapes = smooth_shapes(&request, which, [-2.0, -1.0, 1.0, 2.0].map(|step| step * FIRST_STEP))?;
        prop_assume!(shapes.is_some());
        let [a, b, c, d] = shapes.unwrap();
        for (k, exact) in exact.iter().enumerate() {
            let exact = exact.eps.0.map_or(0.0, |eps| eps[which]);
            // Central difference of fourth order.
            let difference = (8.0 * (c[k] - b[k]) - (d[k] - a[k])) / (12.0 * FIRST_STEP);
            check_near("first derivative", difference, exact, 1e-6 * exact.abs().max(1.0))?;
        }
    }

    #[test]
    fn second_derivatives_are_the_limits_of_second_differences(
        request in requests(Unit::Cm), which in 0..MEASUREMENT_COUNT,
    ) {
        let exact = shape_numbers(&lift_to_second_derivatives(&draft_or_reject(&request)?, which));
        let shapes = smooth_shapes(&request, which, [-1.0, 0.0, 1.0].map(|step| step * SECOND_STEP))?;
        prop_assume!(shapes.is_some());
        let [a, b, c] = shapes.unwrap();
        for (k, exact) in exact.iter().enumerate() {
            let difference = (a[k] - 2.0 * b[k] + c[k]) / (SECOND_STEP * SECOND_STEP);
            check_near("second derivative", difference, exact.v2, 1e-3 * exact.v2.abs().max(1.0))?;
        }
    }

    #[test]
    fn the_same_request_gives_the_same_bytes(request in requests_in_either_unit()) {
        draft_or_reject(&request)?;
        let text = serde_json::to_string(&request).unwrap();
        prop_assert_eq!(draft_json(&text).unwrap(), draft_json(&text).unwrap());
    }
}
