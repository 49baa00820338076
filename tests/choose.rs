//! Choosing a size: a table of bodies with the advice for each, and laws of the rule.

use crate::bodies::cases;
use crate::bodies::chart::{EASE, bodies_in_chart, size};
use kirtle::sizes::{ChoiceGirth, ChoiceRule, SizeChoice};
use kirtle::{Body, SizeChart, Unit};
use proptest::prelude::*;

fn body(waist: f64, hip: f64) -> Body {
    Body { waist, hip, hip_depth: 20.0, length: 60.0 }
}

fn choose(waist: f64, hip: f64, rule: &ChoiceRule) -> SizeChoice {
    SizeChart::demo().choose(&body(waist, hip), rule)
}

fn by(girth: ChoiceGirth) -> ChoiceRule {
    ChoiceRule { by: girth, ..ChoiceRule::default() }
}

const RULE: &str = "Rule: take the larger of two sizes, unless the hip of the body is at most 1.0 cm larger than the hip of the smaller size.";

/// Bodies of waist and hip, and the advice for each by the hip, without the rule and without the ease.
const ADVICE: [(f64, f64, &str); 20] = [
    (72.04, 95.96, "This body is size 38."),
    (60.0, 84.0, "This body is size 32."),
    (
        73.0,
        101.0,
        "Take size 40, by the hip, and blend it to the waist of size 38. The hip of size 40 is 1.0 cm too small \
        and leaves that much less ease. The waist of size 40 is 3.0 cm too large. The waist of size 38 is 1.0 cm too small \
        and leaves that much less ease.",
    ),
    (
        66.0,
        108.0,
        "It is better to draft this body individually: waist and hip are 4 sizes apart. Otherwise take size 44, by the hip, and blend it to the waist of size 36. The hip of size 44 fits. The waist of \
        size 44 is 18.0 cm too large. The waist of size 36 is 2.0 cm too large: take it in by 2.0 cm.",
    ),
    (
        84.0,
        100.0,
        "Take size 40, by the hip, and blend it to the waist of size 44. The hip of size 40 fits. The waist of \
        size 40 is 8.0 cm too small. The waist of size 44 fits.",
    ),
    (
        58.0,
        84.0,
        "Take size 32, by the hip. The hip of size 32 fits. The waist of size 32 is 2.0 cm too large: take it in \
        by 2.0 cm.",
    ),
    (
        72.0,
        97.0,
        "Take size 38, by the hip. The hip of size 38 is 1.0 cm too small and leaves that much less ease. The \
        waist of size 38 fits.",
    ),
    (
        72.0,
        97.2,
        "Take size 40, by the hip, and blend it to the waist of size 38. The hip of size 40 is 2.8 cm too large. \
        The waist of size 40 is 4.0 cm too large. The waist of size 38 fits.",
    ),
    (
        70.5,
        96.0,
        "Take size 38, by the hip. The hip of size 38 fits. The waist of size 38 is 1.5 cm too large: take it in \
        by 1.5 cm.",
    ),
    (71.5, 96.0, "Take size 38, by the hip. The hip of size 38 fits. The waist of size 38 is 0.5 cm too large."),
    (
        73.0,
        96.0,
        "Take size 38, by the hip. The hip of size 38 fits. The waist of size 38 is 1.0 cm too small and leaves \
        that much less ease.",
    ),
    (
        73.2,
        96.0,
        "Take size 38, by the hip. The hip of size 38 fits. The waist of size 38 is 1.2 cm too small and leaves \
        that much less ease: let it out by 1.2 cm.",
    ),
    (
        76.0,
        96.0,
        "Take size 38, by the hip, and blend it to the waist of size 40. The hip of size 38 fits. The waist of \
        size 38 is 4.0 cm too small. The waist of size 40 fits.",
    ),
    (
        69.0,
        99.0,
        "Take size 40, by the hip, and blend it to the waist of size 36. The hip of size 40 is 1.0 cm too large. \
        The waist of size 40 is 7.0 cm too large. The waist of size 36 is 1.0 cm too small and leaves that much less ease.",
    ),
    (60.0, 83.0, "Take size 32, by the hip. The hip of size 32 is 1.0 cm too large. The waist of size 32 fits."),
    (
        60.0,
        82.5,
        "This body is outside the size chart: the hip is 1.5 cm smaller than the hip of the smallest size, 32. \
        Draft this body individually.",
    ),
    (
        112.0,
        133.0,
        "Take size 54, by the hip. The hip of size 54 is 1.0 cm too small and leaves that much less ease. The \
        waist of size 54 fits.",
    ),
    (
        115.0,
        133.5,
        "This body is outside the size chart: the waist is 3.0 cm larger than the waist of the largest size, 54; \
        the hip is 1.5 cm larger than the hip of the largest size, 54. Draft this body individually.",
    ),
    (
        115.0,
        132.0,
        "Take size 54, by the hip. The hip of size 54 fits. The waist of size 54 is 3.0 cm too small and leaves \
        that much less ease: let it out by 3.0 cm.",
    ),
    (
        50.0,
        84.0,
        "It is better to draft this body individually: waist or hip would be altered by more than 8.0 cm. Otherwise take size 32, by the hip. The hip of size 32 fits. The waist of size 32 is 10.0 cm too large: take it in \
        by 10.0 cm.",
    ),
];

#[test]
fn every_body_of_the_table_gets_its_advice_and_the_rule() {
    for (waist, hip, expected) in ADVICE {
        let choice = choose(waist, hip, &ChoiceRule::default());
        let rule = if expected.contains("ake size") { format!(" {RULE}") } else { String::new() };
        assert_eq!(choice.advice(None, Unit::Cm), format!("{expected}{rule}"));
        assert_eq!(choice.needs_individual_draft(), expected.contains("individually"), "{expected}");
    }
}

#[test]
fn advice_with_the_ease_gives_the_ease_that_is_left() {
    let advice = |waist, hip, rule: ChoiceRule, unit| {
        let advice = choose(waist, hip, &rule).advice(Some(&EASE), unit);
        advice.split_once(" Rule: ").unwrap().0.to_owned()
    };
    assert_eq!(
        advice(73.0, 101.0, ChoiceRule::default(), Unit::Cm),
        "Take size 40, by the hip, and blend it to the waist of size 38. The hip of size 40 leaves 4.0 cm of ease instead of \
         5.0 cm. The waist of size 40 is 3.0 cm too large. The waist of size 38 leaves 0.5 cm of ease instead of 1.5 cm."
    );
    assert_eq!(
        advice(115.0, 132.0, ChoiceRule::default(), Unit::Cm),
        "Take size 54, by the hip. The hip of size 54 fits. The waist of size 54 is 3.0 cm too small and leaves no ease: let \
         it out by 3.0 cm."
    );
    assert_eq!(
        advice(73.0, 101.0, by(ChoiceGirth::Both), Unit::In),
        "Take size 40, by waist and hip. The hip of size 40 leaves 1 9/16 in of ease instead of 1 15/16 in. The waist of \
         size 40 leaves 1 3/4 in of ease instead of 9/16 in: take it in by 1 3/16 in."
    );
}

#[test]
fn the_rule_is_set_by_girth_and_tolerance() {
    let sizes = |rule: ChoiceRule| {
        let choice = choose(73.0, 101.0, &rule);
        [choice.advised.unwrap().size, choice.waist.size, choice.hip.size]
    };
    assert_eq!(sizes(by(ChoiceGirth::Hip)), ["40", "38", "40"]);
    assert_eq!(sizes(by(ChoiceGirth::Waist)), ["38", "38", "40"]);
    assert_eq!(sizes(by(ChoiceGirth::Both)), ["40", "40", "40"]);
    for (girth, tolerance, size) in [
        (ChoiceGirth::Hip, 0.9, "42"),
        (ChoiceGirth::Waist, 0.9, "40"),
        (ChoiceGirth::Both, 0.0, "42"),
        (ChoiceGirth::Both, 5.0, "38"),
    ] {
        assert_eq!(sizes(ChoiceRule { by: girth, tolerance })[0], size, "{girth:?} {tolerance}");
    }
    let advice = choose(73.0, 101.0, &ChoiceRule { by: ChoiceGirth::Waist, tolerance: 1.5 }).advice(None, Unit::Cm);
    assert!(
        advice.starts_with(
            "Take size 38, by the waist, and blend it to the hip of size 40. The hip of size 38 is 5.0 cm too \
            small."
        ) && advice
            .ends_with("unless the waist of the body is at most 1.5 cm larger than the waist of the smaller size."),
        "{advice}"
    );
}

/// A chart may have a second row of the same girths, here for tall figures: hip depth and length choose between them.
#[test]
fn of_sizes_with_equal_girths_the_nearest_in_length_is_chosen() {
    let tall = |name: &str, waist, hip| {
        let regular = size(name, [waist, hip], 20.0);
        let tall = Body { hip_depth: 21.5, length: 68.0, ..regular.body };
        [regular, kirtle::Size { name: format!("{name} Tall"), body: tall }]
    };
    let sizes = [tall("38", 72.0, 96.0), tall("40", 76.0, 100.0), tall("42", 80.0, 104.0)].concat();
    let chart = SizeChart::new(sizes).unwrap();
    for (length, hip_depth, name) in
        [(60.0, 20.0, "40"), (67.0, 21.0, "40 Tall"), (64.1, 20.0, "40"), (64.1, 21.5, "40 Tall")]
    {
        let choice = chart.choose(&Body { waist: 76.0, hip: 100.0, hip_depth, length }, &ChoiceRule::default());
        assert_eq!((choice.hip.size.as_str(), choice.waist.size.as_str()), (name, name));
    }
    let range = chart.draft(&EASE, &kirtle::Rules::default()).unwrap();
    assert_eq!(range.drafts().len(), 6);
    // A body has no one place between two sizes of equal girths.
    let problems = range.alter(&body(74.0, 98.0), None).unwrap_err();
    assert_eq!(problems[0].to_string(), "sizes[1].waist: 72 cm is not larger than the 72 cm of the next smaller size");
}

#[test]
fn several_waists_at_one_hip_make_a_chart() {
    let girths = [("96 slim", [68.0, 96.0]), ("96", [74.0, 96.0]), ("100 slim", [72.0, 100.0]), ("100", [78.0, 100.0])];
    let chart = SizeChart::new(girths.map(|(name, girths)| size(name, girths, 20.0)).to_vec()).unwrap();
    for (waist, hip, rule, name) in [
        (68.5, 96.0, ChoiceGirth::Hip, "96 slim"),
        (73.5, 96.5, ChoiceGirth::Hip, "96"),
        (73.0, 99.5, ChoiceGirth::Hip, "100 slim"),
        (72.0, 97.0, ChoiceGirth::Both, "96"),
        (75.5, 97.0, ChoiceGirth::Both, "100"),
        (90.0, 110.0, ChoiceGirth::Both, "100"),
    ] {
        let choice = chart.choose(&body(waist, hip), &ChoiceRule { by: rule, ..ChoiceRule::default() });
        assert_eq!(choice.hip.size, name, "waist {waist}, hip {hip}, by {rule}");
        let outside: Vec<_> = choice.outside.iter().map(|outside| (outside.girth, outside.size.as_str())).collect();
        assert_eq!(outside, if waist > 78.0 { vec![("waist", "100"), ("hip", "100")] } else { vec![] });
    }
    let range = chart.draft(&EASE, &kirtle::Rules::default()).unwrap();
    let problems = range.alter(&body(74.0, 98.0), None).unwrap_err();
    assert_eq!(problems[0].to_string(), "sizes[1].hip: 96 cm is not larger than the 96 cm of the next smaller size");
}

proptest! {
    #![proptest_config(cases(2_000))]

    #[test]
    fn the_advised_size_is_the_smallest_within_the_tolerance(
        body in bodies_in_chart(), tolerance in 0.0..5.0_f64, girth in prop::sample::select(ChoiceGirth::ALL.to_vec()),
    ) {
        let chart = SizeChart::demo();
        let choice = chart.choose(&body, &ChoiceRule { by: girth, tolerance });
        let is_large_enough = |size: &kirtle::Size| {
            let [waist, hip] = [size.body.waist + tolerance >= body.waist, size.body.hip + tolerance >= body.hip];
            match girth { ChoiceGirth::Hip => hip, ChoiceGirth::Waist => waist, ChoiceGirth::Both => waist && hip }
        };
        let expected = chart.sizes().iter().find(|size| is_large_enough(size)).unwrap();
        let advised = choice.advised.as_ref().unwrap();
        prop_assert_eq!(&advised.size, &expected.name);
        // The girths of the pattern are never farther from the body than those of the advised size, and a girth that
        // remains outside 0.5 cm and the tolerance is altered to the body.
        prop_assert!(choice.waist.waist.abs() <= advised.waist.abs() && choice.hip.hip.abs() <= advised.hip.abs());
        let blend = chart.between(&choice.blend()).unwrap();
        for (by, left) in choice.alterations().into_iter().zip([blend.waist - body.waist, blend.hip - body.hip]) {
            prop_assert!(by == 0.0 || (by + left).abs() < 1e-9);
            prop_assert!(by != 0.0 || left >= -tolerance - 1e-9);
        }
    }
}
