//! Exact derivatives: against differences of plain drafts, with the plain draft's values, and by hand.
#![allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    reason = "a surprise is a failed test; the same steps give the same bits"
)]

mod bodies;

use bodies::{cases, drafted, requests};
use std::cell::Cell;

use kirtle::document::Request;
use kirtle::{Apportionment, Body, Draft, Ease, Rules, Unit};
use num_dual::Dual64;
use proptest::prelude::*;
use proptest::test_runner::TestRunner;

/// What a derivative may differ from a difference by, for the larger of it and 0.01.
const MAX_APART: f64 = 1e-7;

/// The same draft with one number a little more; none where it is refused.
fn moved(draft: &Draft, place: usize, by: f64) -> Option<Draft> {
    let mut next = 0;
    let mut f = |value: f64| {
        next += 1;
        value + if next == place + 1 { by } else { 0.0 }
    };
    let (body, ease) = (draft.body().map(&mut f), draft.ease().map(&mut f));
    let panel_rules = draft.rules().panel_rules.map(&mut f);
    let apportionment = match draft.rules().apportionment.clone() {
        Apportionment::Shares(shares) => Apportionment::Shares(shares.map(&mut f)),
        Apportionment::Darts(mut darts) => {
            for dart in darts.back.iter_mut().chain(&mut darts.front) {
                (dart.intake, dart.length) = (f(dart.intake), f(dart.length));
                dart.place = match dart.place {
                    kirtle::DartPosition::Share(share) => kirtle::DartPosition::Share(f(share)),
                    kirtle::DartPosition::Centre(distance) => kirtle::DartPosition::Centre(f(distance)),
                };
            }
            Apportionment::Darts(darts)
        }
    };
    kirtle::draft(&body, &ease, &Rules { panel_rules, apportionment }).ok()
}

/// The values at a step to either side; none where darts or a limit change in between, which a derivative does not see.
fn sides(draft: &Draft, place: usize, step: f64) -> Option<[Vec<f64>; 2]> {
    let numbers = |draft: &Draft| draft.quantities().into_iter().map(|(_, value)| value).collect::<Vec<_>>();
    let [less, more] = [moved(draft, place, -step)?, moved(draft, place, step)?].map(|draft| numbers(&draft));
    (less.len() == more.len() && less.len() == draft.quantities().len()).then_some([less, more])
}

/// Differences at four distances, put together so that errors up to the eighth power of the step cancel; of every number.
fn differences(draft: &Draft, place: usize, step: f64) -> Option<Vec<f64>> {
    let at = |times: f64| sides(draft, place, times * step);
    let sides = [at(1.0)?, at(2.0)?, at(3.0)?, at(4.0)?];
    let shares = [0.8, -0.2, 4.0 / 105.0, -1.0 / 280.0];
    let number = |row: usize| {
        let slope = |([less, more], share): (&[Vec<f64>; 2], f64)| (more[row] - less[row]) / step * share;
        sides.iter().zip(shares).map(slope).sum()
    };
    Some((0..sides[0][0].len()).map(number).collect())
}

// Where differences at a step and at half of it do not agree, a limit is met in between: there they judge nothing.
#[test]
fn derivatives_are_the_limits_of_differences() {
    let (judged, passed_over) = (Cell::new(0_u32), Cell::new(0_u32));
    let close = |a: f64, b: f64, bound: f64| (a - b).abs() <= bound * a.abs().max(0.01);
    let judge = |request: Request| {
        let draft = drafted(&request)?;
        let exact = draft.sensitivity(&[]).unwrap();
        for (column, input) in exact.inputs.iter().enumerate() {
            let step = 4e-3 * input.value.abs().max(0.1);
            let both = [step, step / 2.0].map(|step| differences(&draft, column, step));
            let [Some(coarse), Some(fine)] = both else { continue };
            for (row, quantity) in exact.quantities.iter().enumerate() {
                let (derivative, difference) = (exact.row(row)[column], fine[row]);
                let counter = if close(coarse[row], difference, MAX_APART / 2.0) { &judged } else { &passed_over };
                counter.set(counter.get() + 1);
                let right =
                    !close(coarse[row], difference, MAX_APART / 2.0) || close(derivative, difference, MAX_APART);
                prop_assert!(right, "{quantity} by {}: {derivative} is not {difference}", input.path);
            }
        }
        Ok(())
    };
    TestRunner::new(cases(300)).run(&requests(Unit::Cm), judge).unwrap();
    assert!(judged.get() > 100 * passed_over.get(), "{} judged, {} not", judged.get(), passed_over.get());
    assert!(judged.get() > 200_000, "only {} judged", judged.get());
}

proptest! {
    #![proptest_config(cases(2_000))]

    #[test]
    fn the_values_are_those_of_the_plain_draft(request in requests(Unit::Cm)) {
        let draft = drafted(&request)?;
        let exact = draft.sensitivity(&[]).unwrap();
        let plain = draft.quantities();
        prop_assert_eq!(exact.values.len(), plain.len());
        for ((quantity, value), (named, plain)) in exact.quantities.iter().zip(&exact.values).zip(plain) {
            prop_assert_eq!(*quantity, named);
            prop_assert_eq!(value.to_bits(), plain.to_bits(), "{} is {}, not {}", named, value, plain);
        }
    }
}

fn shop() -> Draft {
    let body = Body { waist: 72.0, hip: 98.0, hip_depth: 20.0, length: 60.0 };
    kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap()
}

// By the construction: a quarter of the hip on each panel; half the difference of hip and waist; the sewn waist is the waist
// with its ease, whatever else changes.
// Whatever numbers are put in the place of the checked ones, these stay.
#[test]
fn a_lifted_draft_keeps_its_values() {
    let draft = shop();
    let lifted = draft.lift(|value| Dual64::new(value + 3.0, 1.0));
    for (plain, lifted) in draft.panels().into_iter().zip(lifted.panels()) {
        for [plain, lifted] in [[plain.width, lifted.width.re], [plain.waist_lowering, lifted.waist_lowering.re]] {
            assert!((plain - lifted).abs() < 1e-12, "{lifted} is not {plain}");
        }
    }
}

#[test]
fn what_can_be_told_by_hand() {
    let exact = shop().sensitivity(&[]).unwrap();
    for (quantity, by, derivative) in [
        ("back.width", "body.hip", 0.25),
        ("back.width", "rules.balance", -1.0),
        ("front.width", "rules.balance", 1.0),
        ("nominal.total", "body.waist", -0.5),
        ("nominal.total", "ease.hip", 0.5),
        ("back.side_hem.y", "body.length", 1.0),
        ("back.darts[0].length", "body.hip_depth", 0.68),
        ("back.darts[1].length", "rules.shares.back_outer_length", 20.0),
    ] {
        assert_eq!(exact.derivative(quantity, by).unwrap(), derivative, "{quantity} by {by}");
    }
    let sewn = exact.quantities.iter().position(|quantity| quantity.to_string() == "sewn_waist").unwrap();
    for (input, derivative) in exact.inputs.iter().zip(exact.row(sewn)) {
        let expected = if ["body.waist", "ease.waist"].contains(&input.path.as_str()) { 1.0 } else { 0.0 };
        assert!((derivative - expected).abs() < 1e-12, "sewn_waist by {}: {derivative}", input.path);
    }
}

#[test]
fn some_inputs_give_the_columns_of_all() {
    let (all, draft) = (shop().sensitivity(&[]).unwrap(), shop());
    let names = ["rules.shares.back_share", "body.waist"];
    let some = draft.sensitivity(&names).unwrap();
    for (row, quantity) in some.quantities.iter().enumerate() {
        for (column, name) in names.iter().enumerate() {
            let [some, all] = [some.row(row)[column], all.derivative(&quantity.to_string(), name).unwrap()];
            assert!((some - all).abs() <= 1e-12 * all.abs().max(1.0), "{quantity} by {name}: {some} is not {all}");
        }
    }
}

#[test]
fn inches_are_converted_on_both_sides() {
    let (cm, inches) = (shop().sensitivity(&[]).unwrap(), shop().sensitivity(&[]).unwrap().in_unit(Unit::In));
    for (quantity, by, factor) in [
        ("back.width", "body.hip", 1.0),
        ("back.area", "body.hip", 1.0 / 2.54),
        ("side_angle", "body.hip", 2.54),
        ("back.darts[0].intake", "rules.shares.back_share", 1.0 / 2.54),
        ("suppression.side", "rules.shares.steepest_side", 1.0 / 2.54),
    ] {
        let [cm, inches] = [&cm, &inches].map(|each| each.derivative(quantity, by).unwrap());
        assert!((inches - cm * factor).abs() <= 1e-14 * cm.abs(), "{quantity} by {by}: {inches}, {cm} in centimetres");
    }
    assert!((inches.values[0] - cm.values[0] / 2.54).abs() < 1e-14);
}
