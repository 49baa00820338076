//! Laws of choosing a size, and the advice in words.

// Tests may panic: a panic fails the test.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod bodies;

use bodies::cases;
use bodies::chart::{bodies_in_chart, size};
use kirtle::{Body, Size, SizeChart, Unit};
use proptest::prelude::*;

#[test]
fn advice_names_the_nearest_size_and_its_misfit() {
    let chart = SizeChart::demo();
    let body = chart.size("38").unwrap().body;
    let advice = |waist: f64, hip: f64| {
        chart.choose(&Body { waist: body.waist + waist, hip: body.hip + hip, ..body }).advice(Unit::Cm)
    };
    for size in chart.sizes() {
        assert_eq!(chart.choose(&size.body).advice(Unit::Cm), format!("This body is size {}.", size.name));
    }
    // A difference of 0.04 cm is too small for a tape and counts as none.
    assert_eq!(advice(0.04, -0.04), "This body is size 38.");
    assert_eq!(advice(0.2, 0.0), "The nearest size is 38: its waist is 0.2 cm too small, its hip fits.");
    assert_eq!(
        advice(1.0, 0.7),
        "The nearest size is 38: its waist is 1.0 cm too small, its hip is 0.7 cm too small. Between two sizes, take \
         the larger, 40, as it is easier to take in than to let out: its waist is 3.0 cm too large, its hip is 3.3 cm \
         too large."
    );
    assert_eq!(
        advice(0.0, 5.0),
        "The nearest size is 40: its waist is 4.0 cm too large, its hip is 1.0 cm too small. Between two sizes, take \
         the larger, 42, as it is easier to take in than to let out: its waist is 8.0 cm too large, its hip is 3.0 cm \
         too large. The waist is nearest to size 38 and the hip to size 40: blend the two sizes, or draft this body \
         individually."
    );
    assert_eq!(
        advice(0.0, 20.0),
        "The nearest size is 44: its waist is 12.0 cm too large, its hip is 8.0 cm too small. No size is large enough \
         at both waist and hip without being more than 8.0 cm too large at one: draft this body individually. The waist \
         is nearest to size 38 and the hip to size 48: blend the two sizes, or draft this body individually."
    );
    // The nearest size is far away, but it is large enough at both waist and hip.
    let sparse = SizeChart::new(vec![size("A", [60.0, 84.0], 20.0), size("B", [100.0, 132.0], 20.0)]).unwrap();
    let advice = sparse.choose(&Body { waist: 90.0, hip: 120.0, hip_depth: 20.0, length: 60.0 }).advice(Unit::Cm);
    assert_eq!(advice, "The nearest size is B: its waist is 10.0 cm too large, its hip is 12.0 cm too large.");
}

#[test]
fn a_body_outside_the_chart_is_drafted_individually() {
    let advice =
        |waist, hip| SizeChart::demo().choose(&Body { waist, hip, hip_depth: 20.0, length: 60.0 }).advice(Unit::Cm);
    assert_eq!(
        advice(58.0, 135.0),
        "This body is outside the size chart: the waist is 2.0 cm smaller than the waist of the smallest size, 32; the \
         hip is 3.0 cm larger than the hip of the largest size, 54. Draft this body individually."
    );
}

proptest! {
    #![proptest_config(cases(2_000))]

    #[test]
    fn no_size_is_nearer_than_the_chosen_size(body in bodies_in_chart()) {
        let chart = SizeChart::demo();
        let choice = chart.choose(&body);
        let distances = |size: &Size| [(size.body.waist - body.waist).abs(), (size.body.hip - body.hip).abs()];
        for size in chart.sizes() {
            let [waist, hip] = distances(size);
            prop_assert!(choice.waist.waist.abs() <= waist && choice.hip.hip.abs() <= hip);
            prop_assert!(choice.overall.waist.abs().max(choice.overall.hip.abs()) <= waist.max(hip));
        }
        let advised = choice.advised.unwrap();
        prop_assert!(advised.waist >= -0.5 && advised.hip >= -0.5);
    }
}
