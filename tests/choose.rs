//! Laws of choosing a size, and what is advised.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod bodies;

use bodies::cases;
use bodies::chart::{size, within};
use kirtle::{Body, Size, SizeChart, Unit};
use proptest::prelude::*;

#[test]
fn what_is_advised_is_told_in_words() {
    let chart = SizeChart::demo();
    let body = chart.size("38").unwrap().body;
    let advice = |waist: f64, hip: f64| {
        chart.choose(&Body { waist: body.waist + waist, hip: body.hip + hip, ..body }).advice(Unit::Cm)
    };
    for size in chart.sizes() {
        assert_eq!(chart.choose(&size.body).advice(Unit::Cm), format!("This body is size {}.", size.name));
    }
    // Below what a tape tells.
    assert_eq!(advice(0.04, -0.04), "This body is size 38.");
    assert_eq!(advice(0.2, 0.0), "Nearest is 38: its waist is 0.2 cm smaller, its hip is the same.");
    assert_eq!(
        advice(1.0, 0.7),
        "Nearest is 38: its waist is 1.0 cm smaller, its hip is 0.7 cm smaller. Between two take the larger, 40, as it is \
         easier to take in than to let out: its waist is 3.0 cm larger, its hip is 3.3 cm larger."
    );
    assert_eq!(
        advice(0.0, 5.0),
        "Nearest is 40: its waist is 4.0 cm larger, its hip is 1.0 cm smaller. Between two take the larger, 42, as it is \
         easier to take in than to let out: its waist is 8.0 cm larger, its hip is 3.0 cm larger. The waist is nearest to 38 \
         and the hip to 40: blend the two, or draft this body itself."
    );
    assert_eq!(
        advice(0.0, 20.0),
        "Nearest is 44: its waist is 12.0 cm larger, its hip is 8.0 cm smaller. No size near it has both girths. The waist is \
         nearest to 38 and the hip to 48: blend the two, or draft this body itself."
    );
    // Far as it is, the nearest has both girths.
    let sparse = SizeChart::new(vec![size("A", [60.0, 84.0], 20.0), size("B", [100.0, 132.0], 20.0)]).unwrap();
    let advice = sparse.choose(&Body { waist: 90.0, hip: 120.0, hip_depth: 20.0, length: 60.0 }).advice(Unit::Cm);
    assert_eq!(advice, "Nearest is B: its waist is 10.0 cm larger, its hip is 12.0 cm larger.");
}

#[test]
fn a_body_beyond_the_chart_is_drafted_itself() {
    let advice =
        |waist, hip| SizeChart::demo().choose(&Body { waist, hip, hip_depth: 20.0, length: 60.0 }).advice(Unit::Cm);
    assert_eq!(
        advice(58.0, 135.0),
        "This body is beyond the chart: the waist is 2.0 cm smaller than that of the smallest size, 32; the hip is 3.0 cm larger \
         than that of the largest size, 54. Draft it itself."
    );
}

proptest! {
    #![proptest_config(cases(2_000))]

    #[test]
    fn no_size_is_nearer_than_the_chosen(body in within()) {
        let chart = SizeChart::demo();
        let choice = chart.choose(&body);
        let misses = |size: &Size| [(size.body.waist - body.waist).abs(), (size.body.hip - body.hip).abs()];
        for size in chart.sizes() {
            let [waist, hip] = misses(size);
            prop_assert!(choice.waist.waist.abs() <= waist && choice.hip.hip.abs() <= hip);
            prop_assert!(choice.overall.waist.abs().max(choice.overall.hip.abs()) <= waist.max(hip));
        }
        let advised = choice.advised.unwrap();
        prop_assert!(advised.waist >= -0.5 && advised.hip >= -0.5);
    }
}
