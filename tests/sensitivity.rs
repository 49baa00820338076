//! Exact derivatives: against finite differences of plain drafts, and by hand.
#![allow(clippy::unwrap_used, clippy::float_cmp, reason = "a panic fails the test; equal computations give equal bits")]

use crate::bodies::{cases, draft_or_reject, requests};
use std::cell::Cell;

use kirtle::document::Request;
use kirtle::{Apportionment, Body, Draft, Ease, Rules, Unit};
use num_dual::Dual64;
use proptest::prelude::*;
use proptest::test_runner::TestRunner;

/// Largest difference between a derivative and a finite difference, relative to the derivative or 0.01.
const MAX_DIFFERENCE: f64 = 1e-7;

/// Drafts again with one input changed by `by`, or returns nothing if the draft is refused.
fn draft_changed(draft: &Draft, input: usize, by: f64) -> Option<Draft> {
    let mut next = 0;
    let mut f = |value: f64| {
        next += 1;
        value + if next == input + 1 { by } else { 0.0 }
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

/// Returns the quantities at a step to either side of an input, or nothing if the dart counts differ.
fn values_at_both_sides(draft: &Draft, input: usize, step: f64) -> Option<[Vec<f64>; 2]> {
    let numbers = |draft: &Draft| draft.quantities().into_iter().map(|(_, value)| value).collect::<Vec<_>>();
    let [less, more] =
        [draft_changed(draft, input, -step)?, draft_changed(draft, input, step)?].map(|draft| numbers(&draft));
    (less.len() == more.len() && less.len() == draft.quantities().len()).then_some([less, more])
}

/// Returns the central difference of eighth order of every quantity by an input.
fn differences(draft: &Draft, input: usize, step: f64) -> Option<Vec<f64>> {
    let at = |times: f64| values_at_both_sides(draft, input, times * step);
    let sides = [at(1.0)?, at(2.0)?, at(3.0)?, at(4.0)?];
    let weights = [0.8, -0.2, 4.0 / 105.0, -1.0 / 280.0];
    let difference = |row: usize| {
        let slope = |([less, more], weight): (&[Vec<f64>; 2], f64)| (more[row] - less[row]) / step * weight;
        sides.iter().zip(weights).map(slope).sum()
    };
    Some((0..sides[0][0].len()).map(difference).collect())
}

// Where the differences with two steps disagree, a limit lies between the steps, and the derivative is not checked.
#[test]
fn derivatives_are_the_limits_of_differences() {
    let (checked, skipped) = (Cell::new(0_u32), Cell::new(0_u32));
    let close = |a: f64, b: f64, bound: f64| (a - b).abs() <= bound * a.abs().max(0.01);
    let check = |request: Request| {
        let draft = draft_or_reject(&request)?;
        let exact = draft.sensitivity(&[]).unwrap();
        for (column, input) in exact.inputs.iter().enumerate() {
            let step = 4e-3 * input.value.abs().max(0.1);
            let both = [step, step / 2.0].map(|step| differences(&draft, column, step));
            let [Some(coarse), Some(fine)] = both else { continue };
            for (row, quantity) in exact.quantities.iter().enumerate() {
                let (derivative, difference) = (exact.derivatives_of_quantity(row)[column], fine[row]);
                let counter = if close(coarse[row], difference, MAX_DIFFERENCE / 2.0) { &checked } else { &skipped };
                counter.set(counter.get() + 1);
                let is_equal = !close(coarse[row], difference, MAX_DIFFERENCE / 2.0)
                    || close(derivative, difference, MAX_DIFFERENCE);
                prop_assert!(is_equal, "{quantity} by {}: {derivative} is not {difference}", input.path);
            }
        }
        Ok(())
    };
    TestRunner::new(cases(300)).run(&requests(Unit::Cm), check).unwrap();
    assert!(checked.get() > 100 * skipped.get(), "{} checked, {} skipped", checked.get(), skipped.get());
    assert!(checked.get() > 200_000, "only {} checked", checked.get());
}

proptest! {
    #![proptest_config(cases(2_000))]

    #[test]
    fn sensitivity_has_the_values_of_the_draft_to_the_last_bit(request in requests(Unit::Cm)) {
        let draft = draft_or_reject(&request)?;
        let exact = draft.sensitivity(&[]).unwrap();
        let plain = draft.quantities();
        prop_assert_eq!(exact.values.len(), plain.len());
        for ((quantity, value), (named, plain)) in exact.quantities.iter().zip(&exact.values).zip(plain) {
            prop_assert_eq!(*quantity, named);
            prop_assert_eq!(value.to_bits(), plain.to_bits(), "{} is {}, not {}", named, value, plain);
        }
    }
}

fn sample_draft() -> Draft {
    let body = Body { waist: 72.0, hip: 98.0, hip_depth: 20.0, length: 60.0 };
    kirtle::draft(&body, &Ease { waist: 1.5, hip: 5.0 }, &Rules::default()).unwrap()
}

// A lifted draft keeps the values of the draft, even if the callback of `lift` returns other values.
#[test]
fn a_lifted_draft_keeps_its_values() {
    let draft = sample_draft();
    let lifted = draft.lift(|value| Dual64::new(value + 3.0, 1.0));
    for (plain, lifted) in draft.panels().into_iter().zip(lifted.panels()) {
        for [plain, lifted] in [[plain.width, lifted.width.re], [plain.waist_lowering, lifted.waist_lowering.re]] {
            assert!((plain - lifted).abs() < 1e-12, "{lifted} is not {plain}");
        }
    }
}

// The construction gives each panel a quarter of the hip. The suppression is half the drop. The sewn waist depends only
// on the waist and its ease.
#[test]
fn simple_derivatives_equal_those_by_hand() {
    let exact = sample_draft().sensitivity(&[]).unwrap();
    for (quantity, by, derivative) in [
        ("back.width", "body.hip", 0.25),
        ("back.width", "rules.balance", -1.0),
        ("front.width", "rules.balance", 1.0),
        ("girths.hem", "body.hip", 1.0),
        ("lengths.centre_back", "body.length", 1.0),
        ("nominal.total", "body.waist", -0.5),
        ("nominal.total", "ease.hip", 0.5),
        ("back.side_hem.y", "body.length", 1.0),
        ("back.darts[0].length", "body.hip_depth", 0.68),
        ("back.darts[1].length", "rules.shares.back_outer_length", 20.0),
    ] {
        assert_eq!(exact.derivative(quantity, by).unwrap(), derivative, "{quantity} by {by}");
    }
    let sewn = exact.quantities.iter().position(|quantity| quantity.to_string() == "sewn_waist").unwrap();
    for (input, derivative) in exact.inputs.iter().zip(exact.derivatives_of_quantity(sewn)) {
        let expected = if ["body.waist", "ease.waist"].contains(&input.path.as_str()) { 1.0 } else { 0.0 };
        assert!((derivative - expected).abs() < 1e-12, "sewn_waist by {}: {derivative}", input.path);
    }
}

#[test]
fn derivatives_by_some_inputs_are_columns_of_those_by_all() {
    let (all, draft) = (sample_draft().sensitivity(&[]).unwrap(), sample_draft());
    let names = ["rules.shares.back_share", "body.waist"];
    let some = draft.sensitivity(&names).unwrap();
    for (row, quantity) in some.quantities.iter().enumerate() {
        for (column, name) in names.iter().enumerate() {
            let [some, all] =
                [some.derivatives_of_quantity(row)[column], all.derivative(&quantity.to_string(), name).unwrap()];
            assert!((some - all).abs() <= 1e-12 * all.abs().max(1.0), "{quantity} by {name}: {some} is not {all}");
        }
    }
}

#[test]
fn derivatives_in_inches_convert_quantity_and_input() {
    let (cm, inches) =
        (sample_draft().sensitivity(&[]).unwrap(), sample_draft().sensitivity(&[]).unwrap().in_unit(Unit::In));
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
