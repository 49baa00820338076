//! Laws of sizes: charts, places between, grade; and what handbooks say of them.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod bodies;

use bodies::cases;
use bodies::chart::{EASE, near, range, size, within};
use kirtle::document::ChartRequest;
use kirtle::sizes::{BetweenSizes, Blend};
use kirtle::{Apportionment, Body, DartPosition, Darts, Draft, FixedDart, PanelRules, Role, Rules, SizeChart, Unit};
use proptest::prelude::*;

/// More of both girths by Δ: each quarter at the hip grows by Δ/4, the nominal suppression stays, and what the curves make
/// of it changes by less than a tenth of a millimetre for a size of 4 cm.
#[test]
fn a_size_more_widens_each_quarter_and_leaves_the_suppression() {
    let range = range();
    let mut max = 0.0_f64;
    for pair in range.drafts()[..8].windows(2) {
        let [before, after] = pair else { unreachable!() };
        for (a, b) in before.panels().into_iter().zip(after.panels()) {
            near(b.width - a.width, 1.0, 1e-12);
        }
        near(after.nominal.total, before.nominal.total, 1e-12);
        // The demo chart's hip depth grows by 2 mm, too; the same depth shows what the girths alone do.
        let alone = range.redraft(&Body { hip_depth: before.body().hip_depth, ..*after.body() }).unwrap();
        max = max.max((alone.suppression.total - before.suppression.total).abs());
    }
    assert!(max > 1e-4 && max < 0.01, "{max}");
}

/// The Practical Designer (public domain), lesson 120: from waist 25 in to 26 in the half grows ½ in, shared ¼ and ¼.
#[test]
fn grading_shares_an_inch_into_quarters() {
    let inches = |waist: f64| Body { waist: waist * 2.54, hip: (waist + 10.0) * 2.54, hip_depth: 20.0, length: 60.0 };
    let [before, after] = [25.0, 26.0].map(|waist| kirtle::draft(&inches(waist), &EASE, &Rules::default()).unwrap());
    for (a, b) in before.panels().into_iter().zip(after.panels()) {
        near(b.width - a.width, 0.25 * 2.54, 1e-12);
    }
    let sewn = |draft: &Draft| draft.panels().map(|panel| panel.length(Role::Waist)).iter().sum::<f64>();
    near(sewn(&after) - sewn(&before), 0.5 * 2.54, 1e-9);
}

/// EN 13402-3: 4 cm a size at waist and hip, in the larger sizes 6 cm at the waist and 5 cm at the hip.
#[test]
fn the_demo_chart_keeps_the_steps_of_the_standard() {
    let chart = SizeChart::demo();
    let steps = chart.sizes().windows(2).map(|pair| {
        let [waist, hip] = [pair[1].body.waist - pair[0].body.waist, pair[1].body.hip - pair[0].body.hip];
        format!("{waist}/{hip}")
    });
    assert_eq!(steps.collect::<Vec<_>>(), [["4/4"; 7].as_slice(), &["6/5"; 4]].concat());
}

/// ASTM D5585-11e1 (public page): the waists of misses' sizes in inches, curvy; straight is 1½ in more in every size. The
/// hips here are our own, 10 in more than the curvy waist.
#[test]
fn published_waists_make_charts_in_inches() {
    let names = ["00", "0", "2", "4", "6", "8", "10", "12", "14", "16", "18", "20"];
    let curvy = [23.875, 24.625, 25.375, 26.125, 27.0, 28.0, 29.0, 30.75, 32.5, 34.5, 36.75, 39.0];
    let csv = |more: f64| {
        let rows =
            names.iter().zip(curvy).map(|(name, waist)| format!("{name},{},{},8,24\n", waist + more, waist + 10.0));
        format!("name,waist,hip,hip_depth,length\n{}", rows.collect::<String>())
    };
    let [curvy_chart, straight] = [0.0, 1.5].map(|more| SizeChart::from_csv(&csv(more), Unit::In).unwrap());
    assert_eq!(curvy_chart.to_csv(Unit::In), csv(0.0));
    for (a, b) in curvy_chart.sizes().iter().zip(straight.sizes()) {
        near(b.body.waist - a.body.waist, 1.5 * 2.54, 1e-9);
        // Straighter is 1½ in less to take in, half of it on half the garment.
        let [a, b] = [a, b].map(|size| kirtle::draft(&size.body, &EASE, &Rules::default()).unwrap());
        near(a.nominal.total - b.nominal.total, 0.75 * 2.54, 1e-9);
    }
}

/// JIS L 4005 (revision notice of 1998): hips of type Y are 4 cm less than those of A, of AB 4 cm more, of B 8 cm more. With
/// one waist, a chart of A finds each at its place between two sizes.
#[test]
fn figure_types_lie_between_sizes() {
    let chart = SizeChart::demo();
    let body = chart.size("40").unwrap().body;
    for (more, name) in [(-4.0, "38"), (0.0, "40"), (4.0, "42"), (8.0, "44")] {
        let found = chart.locate(&Body { hip: body.hip + more, ..body }).unwrap();
        let at = if found.hip.fraction < 0.5 { found.hip.from } else { found.hip.to };
        assert_eq!((at.as_str(), found.hip.fraction.fract()), (name, 0.0));
    }
}

#[test]
fn a_range_keeps_what_it_was_drafted_with() {
    let rules = Rules { panel_rules: PanelRules { balance: 1.25, ..PanelRules::default() }, ..Rules::default() };
    let range = SizeChart::demo().draft(&EASE, &rules).unwrap();
    assert_eq!((range.ease(), range.rules(), range.chart()), (&EASE, &rules, &SizeChart::demo()));
}

/// What only one size is refused for is told of that size.
#[test]
fn a_size_that_cannot_be_drafted_is_named() {
    let dart = FixedDart { intake: 3.0, length: 20.5, place: DartPosition::Share(0.5) };
    let rules = Rules {
        apportionment: Apportionment::Darts(Darts { back: vec![dart], front: Vec::new() }),
        ..Rules::default()
    };
    let chart = SizeChart::new(vec![size("A", [64.0, 90.0], 22.0), size("B", [68.0, 94.0], 20.0)]).unwrap();
    let problems = chart.draft(&EASE, &rules).unwrap_err();
    assert!(problems.iter().all(|problem| problem.field.starts_with("size \"B\" ")), "{problems}");
}

#[test]
fn a_place_beyond_two_sizes_is_none() {
    let chart = SizeChart::demo();
    let mark = |fraction| BetweenSizes { from: "38".to_owned(), to: "40".to_owned(), fraction };
    let blend = Blend { waist: mark(0.5), hip: mark(0.5), hip_depth: None, length: None };
    let refused = |blend: &Blend| -> Vec<String> {
        let problems = chart.between(blend).err();
        problems.iter().flat_map(|problems| problems.iter()).map(|problem| problem.field.clone()).collect()
    };
    assert_eq!(refused(&blend), [""; 0]);
    assert_eq!(
        refused(&Blend { hip: mark(1.5), hip_depth: Some(900.0), ..blend.clone() }),
        ["hip.fraction", "hip_depth"]
    );
}

#[test]
fn the_grade_tells_what_moves() {
    let range = range();
    let grade = range.grade();
    let of = |from: &str, point: &str| grade.iter().find(|step| step.from == from && step.point == point).unwrap();
    near(of("36", "side_hem").step.unwrap()[0], 1.0, 1e-12);
    near(of("48", "side_hip").step.unwrap()[0], 1.25, 1e-12);
    // One length and a deeper hip line: the hem rises by as much towards the hip line.
    near(of("36", "centre_hem").step.unwrap()[1], -0.2, 1e-12);
    // Where the number of darts changes, a point is in one size only, and has no step.
    let lean = range.redraft(&Body { waist: 68.0, hip: 100.0, hip_depth: 20.0, length: 60.0 }).unwrap();
    assert_eq!([lean.front.darts.len(), range.drafts()[2].front.darts.len()], [2, 1]);
    let chart = SizeChart::new(vec![size("A", [68.0, 92.0], 20.0), size("B", [72.0, 106.0], 20.0)]).unwrap();
    let grade = chart.draft(&EASE, &Rules::default()).unwrap().grade();
    let front: Vec<_> = grade.iter().filter(|step| step.half.name() == "front").collect();
    let names: Vec<_> = front.iter().map(|step| step.point.as_str()).collect();
    let before = [
        "centre_waist",
        "dart_1_inner",
        "dart_1_tip",
        "dart_1_outer",
        "side_waist",
        "side_hip",
        "side_hem",
        "centre_hem",
    ];
    assert_eq!(names, [before.as_slice(), &["dart_2_inner", "dart_2_tip", "dart_2_outer"]].concat());
    assert!(front.iter().all(|step| step.step.is_none() == step.point.starts_with("dart_2")));
}

proptest! {
    #![proptest_config(cases(2_000))]

    #[test]
    fn the_order_of_a_chart_does_not_matter(body in within(), seed in any::<[u8; 12]>()) {
        let chart = SizeChart::demo();
        let mut keyed: Vec<_> = seed.into_iter().zip(chart.sizes().to_vec()).collect();
        keyed.sort_by_key(|(key, _)| *key);
        let mixed = SizeChart::new(keyed.into_iter().map(|(_, size)| size).collect()).unwrap();
        prop_assert_eq!(&mixed, &chart);
        prop_assert_eq!(mixed.choose(&body), chart.choose(&body));
    }

    #[test]
    fn a_body_is_found_where_it_lies(body in within()) {
        let chart = SizeChart::demo();
        let found = chart.between(&chart.locate(&body).unwrap()).unwrap();
        for (found, wanted) in found.into_array().into_iter().zip(body.into_array()) {
            prop_assert!((found - wanted).abs() < 1e-12 * wanted, "{found} for {wanted}");
        }
    }
}

#[test]
fn a_chart_comes_back_from_csv_and_json() {
    let chart = SizeChart::demo();
    for unit in Unit::ALL {
        let back = SizeChart::from_csv(&chart.to_csv(unit), unit).unwrap();
        for (a, b) in chart.sizes().iter().zip(back.sizes()) {
            assert_eq!(a.name, b.name);
            a.body.into_array().iter().zip(b.body.into_array()).for_each(|(a, b)| near(*a, b, 1e-12));
        }
    }
    let json = serde_json::json!({"unit": "cm", "sizes": chart.sizes(), "ease": EASE, "body": chart.sizes()[2].body});
    let request = ChartRequest::from_json(&json.to_string()).unwrap();
    assert_eq!(request.chart, chart);
    let report = request.report().unwrap();
    assert_eq!(report.sizes.len(), 12);
    assert!(report.alteration.unwrap().largest_mm.unwrap() < 1e-9);
}
