//! Laws of size charts: order, bodies between sizes, grade; values from handbooks.

use crate::bodies::cases;
use crate::bodies::chart::{EASE, assert_near, bodies_in_chart, demo_range, size};
use crate::counts::rules_with_counts;
use kirtle::document::ChartRequest;
use kirtle::sizes::{ChoiceRule, FractionBetweenSizes, SizeBlend};
use kirtle::{
    Apportionment, Body, DartCount, DartPosition, Darts, Draft, GivenDart, PanelRules, Role, Rules, SizeChart, Unit,
};
use proptest::prelude::*;

/// With both girths 4 cm larger, each panel is 1 cm wider, the nominal suppression is equal, and the curves change the
/// drafted suppression by less than 0.1 mm.
#[test]
fn the_next_size_widens_each_panel_and_keeps_the_suppression() {
    let range = demo_range();
    let mut max = 0.0_f64;
    for pair in range.drafts()[..8].windows(2) {
        let [before, after] = pair else { unreachable!() };
        for (a, b) in before.panels().into_iter().zip(after.panels()) {
            assert_near(b.width - a.width, 1.0, 1e-12);
        }
        assert_near(after.nominal.total, before.nominal.total, 1e-12);
        // The hip depth of the demo chart grows by 2 mm a size; with equal hip depths only the girths differ.
        let same_depth = range.draft_any_body(&Body { hip_depth: before.body().hip_depth, ..*after.body() }).unwrap();
        max = max.max((same_depth.suppression.total - before.suppression.total).abs());
    }
    assert!(max > 1e-4 && max < 0.01, "{max}");
}

/// The Practical Designer (public domain), lesson 120: from waist 25 in to 26 in the half grows ½ in, shared ¼ and ¼.
#[test]
fn an_inch_of_grade_widens_each_panel_by_a_quarter_inch() {
    let inches = |waist: f64| Body { waist: waist * 2.54, hip: (waist + 10.0) * 2.54, hip_depth: 20.0, length: 60.0 };
    let [before, after] = [25.0, 26.0].map(|waist| kirtle::draft(&inches(waist), &EASE, &Rules::default()).unwrap());
    for (a, b) in before.panels().into_iter().zip(after.panels()) {
        assert_near(b.width - a.width, 0.25 * 2.54, 1e-12);
    }
    let sewn = |draft: &Draft| draft.panels().map(|panel| panel.edge_length(Role::Waist)).iter().sum::<f64>();
    assert_near(sewn(&after) - sewn(&before), 0.5 * 2.54, 1e-9);
}

#[test]
fn a_size_is_found_by_its_name_in_composed_and_in_decomposed_letters() {
    let chart =
        SizeChart::new(vec![size("Gro\u{308}ße", [68.0, 92.0], 20.0), size("Grün", [74.0, 98.0], 20.0)]).unwrap();
    assert_eq!(chart.size("Größe"), chart.size("Gro\u{308}ße"));
    assert_eq!(ChartRequest::from_json(&chart.to_json(Unit::Cm)).unwrap().chart, chart);
    let range = chart.draft(&EASE, &Rules::default()).unwrap();
    let names = range.nest(&["Gro\u{308}ße-Gru\u{308}n"], &kirtle::Cutting::default()).unwrap();
    assert_eq!(names.sizes().iter().map(|(name, _)| &**name).collect::<Vec<_>>(), ["Größe", "Grün"]);
}

/// EN 13402-3: steps of 4 cm at waist and hip; in the larger sizes 6 cm at the waist and 5 cm at the hip.
#[test]
fn the_demo_chart_has_the_steps_of_en_13402() {
    let chart = SizeChart::demo();
    let steps = chart.sizes().windows(2).map(|pair| {
        let [waist, hip] = [pair[1].body.waist - pair[0].body.waist, pair[1].body.hip - pair[0].body.hip];
        format!("{waist}/{hip}")
    });
    assert_eq!(steps.collect::<Vec<_>>(), [["4/4"; 7].as_slice(), &["6/5"; 4]].concat());
}

/// ASTM D5585-11e1 (public page): waists of misses' sizes in inches for the curvy figure; the straight figure has 1½ in
/// more in every size. The hips are chosen here, 10 in more than the curvy waist.
#[test]
fn published_waists_in_inches_give_valid_charts() {
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
        assert_near(b.body.waist - a.body.waist, 1.5 * 2.54, 1e-9);
        // The straight figure has 1½ in less to take in, half of it on half the garment.
        let [a, b] = [a, b].map(|size| kirtle::draft(&size.body, &EASE, &Rules::default()).unwrap());
        assert_near(a.nominal.total - b.nominal.total, 0.75 * 2.54, 1e-9);
    }
}

/// JIS L 4005 (revision notice of 1998): compared with the hips of type A, those of type Y are 4 cm smaller, of AB 4 cm
/// larger, of B 8 cm larger. The waist is equal.
#[test]
fn hips_of_other_figure_types_are_found_at_other_sizes() {
    let chart = SizeChart::demo();
    let body = chart.size("40").unwrap().body;
    for (more, name) in [(-4.0, "38"), (0.0, "40"), (4.0, "42"), (8.0, "44")] {
        let found = chart.blend_for_body(&Body { hip: body.hip + more, ..body }).unwrap();
        let size = if found.hip.fraction < 0.5 { found.hip.from } else { found.hip.to };
        assert_eq!((size.as_str(), found.hip.fraction.fract()), (name, 0.0));
    }
}

#[test]
fn a_size_range_keeps_its_chart_ease_and_rules() {
    let rules = Rules { panel_rules: PanelRules { balance: 1.25, ..PanelRules::default() }, ..Rules::default() };
    let range = SizeChart::demo().draft(&EASE, &rules).unwrap();
    assert_eq!((range.ease(), range.rules(), range.chart()), (&EASE, &rules, &SizeChart::demo()));
}

#[test]
fn a_problem_of_one_size_names_the_size() {
    let dart = GivenDart { intake: 3.0, length: 20.5, place: DartPosition::Share(0.5) };
    let rules = Rules {
        apportionment: Apportionment::Darts(Darts { back: vec![dart], front: Vec::new() }),
        ..Rules::default()
    };
    let chart = SizeChart::new(vec![size("A", [64.0, 90.0], 22.0), size("B", [68.0, 94.0], 20.0)]).unwrap();
    let problems = chart.draft(&EASE, &rules).unwrap_err();
    assert!(problems.iter().all(|problem| problem.field.starts_with("size \"B\" ")), "{problems}");
}

#[test]
fn a_fraction_beyond_two_sizes_is_refused() {
    let chart = SizeChart::demo();
    let mark = |fraction| FractionBetweenSizes { from: "38".to_owned(), to: "40".to_owned(), fraction };
    let blend = SizeBlend { waist: mark(0.5), hip: mark(0.5), hip_depth: None, length: None };
    let refused = |blend: &SizeBlend| -> Vec<String> {
        let problems = chart.between(blend).err();
        problems.iter().flat_map(|problems| problems.iter()).map(|problem| problem.field.clone()).collect()
    };
    assert_eq!(refused(&blend), [""; 0]);
    assert_eq!(
        refused(&SizeBlend { hip: mark(1.5), hip_depth: Some(900.0), ..blend.clone() }),
        ["hip.fraction", "hip_depth"]
    );
}

#[test]
fn the_grade_gives_the_step_of_every_point() {
    let range = demo_range();
    let grade = range.grade();
    let grade_of =
        |from: &str, point: &str| grade.iter().find(|step| step.from == from && step.point == point).unwrap();
    assert_near(grade_of("36", "side_hem").step.unwrap()[0], 1.0, 1e-12);
    assert_near(grade_of("48", "side_hip").step.unwrap()[0], 1.25, 1e-12);
    // With equal lengths and a deeper hip line the hem is nearer to the hip line.
    assert_near(grade_of("36", "centre_hem").step.unwrap()[1], -0.2, 1e-12);
    // Where two sizes have different dart counts, a point of one size only has no step.
    let larger_drop = Body { waist: 68.0, hip: 100.0, hip_depth: 20.0, length: 60.0 };
    assert_eq!(kirtle::draft(&larger_drop, &EASE, &Rules::default()).unwrap().front.darts.len(), 2);
    assert_eq!(range.draft_any_body(&larger_drop).unwrap().front.darts.len(), range.drafts()[2].front.darts.len());
    let chart = SizeChart::new(vec![size("A", [68.0, 92.0], 20.0), size("B", [72.0, 106.0], 20.0)]).unwrap();
    let grade = chart.draft(&EASE, &rules_with_counts([DartCount::PerSize; 2])).unwrap().grade();
    let front: Vec<_> = grade.iter().filter(|step| step.half.name() == "front").collect();
    let names: Vec<_> = front.iter().map(|step| step.point.as_str()).collect();
    let common = [
        "centre_waist",
        "dart_1_inner",
        "dart_1_tip",
        "dart_1_outer",
        "side_waist",
        "side_hip",
        "side_hem",
        "centre_hem",
    ];
    assert_eq!(names, [common.as_slice(), &["dart_2_inner", "dart_2_tip", "dart_2_outer"]].concat());
    assert!(front.iter().all(|step| step.step.is_none() == step.point.starts_with("dart_2")));
}

/// A table is read in the unit in which it is written; problems name lengths in that unit.
#[test]
fn a_chart_goes_through_csv_in_every_unit() {
    let chart = SizeChart::demo();
    for unit in Unit::ALL {
        let text = chart.to_csv(unit);
        let read = SizeChart::from_csv(&text, unit).unwrap();
        assert_eq!(read.to_csv(unit), text);
        for (size, original) in read.sizes().iter().zip(chart.sizes()) {
            assert_near(size.body.hip, original.body.hip, 1e-9);
        }
    }
    let wide =
        SizeChart::from_csv("name,waist,hip,hip_depth,length\nS,660,910,200,600\nM,720,9600,200,600\n", Unit::Mm);
    assert_eq!(wide.unwrap_err().to_string(), "sizes[1].hip (line 3): 9600 mm is above the maximum of 2200 mm");
}

proptest! {
    #![proptest_config(cases(2_000))]

    #[test]
    fn the_order_of_the_sizes_does_not_matter(body in bodies_in_chart(), seed in any::<[u8; 12]>()) {
        let chart = SizeChart::demo();
        let mut keyed: Vec<_> = seed.into_iter().zip(chart.sizes().to_vec()).collect();
        keyed.sort_by_key(|(key, _)| *key);
        let shuffled = SizeChart::new(keyed.into_iter().map(|(_, size)| size).collect()).unwrap();
        prop_assert_eq!(&shuffled, &chart);
        prop_assert_eq!(shuffled.choose(&body, &ChoiceRule::default()), chart.choose(&body, &ChoiceRule::default()));
    }

    #[test]
    fn the_body_at_the_position_of_a_body_is_that_body(body in bodies_in_chart()) {
        let chart = SizeChart::demo();
        let found = chart.between(&chart.blend_for_body(&body).unwrap()).unwrap();
        for (found, expected) in found.into_array().into_iter().zip(body.into_array()) {
            prop_assert!((found - expected).abs() < 1e-12 * expected, "{found} is not {expected}");
        }
    }
}

#[test]
fn a_chart_survives_csv_and_json() {
    let chart = SizeChart::demo();
    for unit in [Unit::Cm, Unit::In] {
        let back = SizeChart::from_csv(&chart.to_csv(unit), unit).unwrap();
        for (a, b) in chart.sizes().iter().zip(back.sizes()) {
            assert_eq!(a.name, b.name);
            a.body.into_array().iter().zip(b.body.into_array()).for_each(|(a, b)| assert_near(*a, b, 1e-12));
        }
    }
    let json = serde_json::json!({"unit": "cm", "sizes": chart.sizes(), "ease": EASE, "body": chart.sizes()[2].body});
    let request = ChartRequest::from_json(&json.to_string()).unwrap();
    assert_eq!(request.chart, chart);
    let report = request.report().unwrap();
    assert_eq!(report.sizes.len(), 12);
    assert!(report.alteration.unwrap().largest_mm.unwrap() < 1e-9);
}
