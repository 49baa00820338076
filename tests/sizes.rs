//! Laws of sizes: charts, choosing, places between, grade, alterations on paper, fittings; and what handbooks say of them.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod bodies;

use bodies::cases;
use kirtle::{
    At, Between, Blend, Body, ChartRequest, Correction, Draft, Ease, Expected, Fitting, Panel, Proof, Range, Role,
    Rules, Size, SizeChart, Unit, What,
};
use proptest::prelude::*;

const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

fn range() -> Range {
    SizeChart::demo().draft(&EASE, &Rules::default()).unwrap()
}

/// A body within the demo chart.
fn within() -> impl Strategy<Value = Body> {
    let numbers = (60.0..112.0, 84.0..132.0, 17.0..24.0, 40.0..90.0);
    numbers.prop_map(|(waist, hip, hip_depth, length)| Body { waist, hip, hip_depth, length })
}

fn near(found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "{found} is not {wanted} to {within}");
}

/// More of both girths by Δ: each quarter at the hip grows by Δ/4, the nominal suppression stays, and what the curves make
/// of it changes by less than a tenth of a millimetre for a size of 4 cm.
#[test]
fn a_size_more_widens_each_quarter_and_leaves_the_suppression() {
    let range = range();
    let mut most = 0.0_f64;
    for pair in range.drafts()[..8].windows(2) {
        let [before, after] = pair else { unreachable!() };
        for (a, b) in before.panels().into_iter().zip(after.panels()) {
            near(b.width - a.width, 1.0, 1e-12);
        }
        near(after.nominal.total, before.nominal.total, 1e-12);
        // The demo chart's hip depth grows by 2 mm, too; the same depth shows what the girths alone do.
        let alone = range.redraft(&Body { hip_depth: before.body().hip_depth, ..*after.body() }).unwrap();
        most = most.max((alone.suppression.total - before.suppression.total).abs());
    }
    assert!(most > 1e-4 && most < 0.01, "{most}");
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
fn half_way_is_the_mean_in_measurements_and_nearly_in_lines() {
    let range = range();
    let mut most = 0.0_f64;
    for pair in range.chart().sizes().windows(2) {
        let mark = Between { from: pair[0].name.clone(), to: pair[1].name.clone(), fraction: 0.5 };
        let blend = Blend { waist: mark.clone(), hip: mark, hip_depth: None, length: None };
        let body = range.chart().between(&blend).unwrap();
        let mean = |of: fn(&Body) -> f64| f64::midpoint(of(&pair[0].body), of(&pair[1].body));
        let means = [mean(|b| b.waist), mean(|b| b.hip), mean(|b| b.hip_depth), mean(|b| b.length)];
        assert_eq!(body.into_array().map(f64::to_bits), means.map(f64::to_bits));
        most = most.max(range.alter(&body, None).unwrap().cost.largest_mm());
    }
    // The mean outline lies this near to the exact one, in millimetres, and is not the same.
    assert!(most > 1e-4 && most < 0.05, "{most}");
}

#[test]
fn a_body_equal_to_a_size_costs_nothing() {
    let range = range();
    for size in range.chart().sizes() {
        let altered = range.alter(&size.body, None).unwrap();
        assert!(altered.cost.largest_mm() < 1e-9 && altered.holds(), "{}: {:?}", size.name, altered.cost);
        assert!(altered.steps.iter().all(|step| step.cost.largest_mm() < 1e-9));
        let choice = range.chart().choose(&size.body);
        assert_eq!(choice.advice(Unit::Cm), format!("This body is size {}.", size.name));
    }
}

/// The hem is told from the waist, but printed from the hip line: a size whose hip lies deeper reaches less far down.
#[test]
fn the_hem_that_is_told_is_that_of_the_printed_size() {
    let size = |name: &str, waist, hip, hip_depth| Size {
        name: name.to_owned(),
        body: Body { waist, hip, hip_depth, length: 60.0 },
    };
    let chart = SizeChart::new(vec![size("A", 64.0, 90.0, 18.0), size("B", 72.0, 98.0, 20.0)]).unwrap();
    let range = chart.draft(&EASE, &Rules::default()).unwrap();
    let altered = range.alter(&Body { waist: 68.0, hip: 94.0, hip_depth: 19.0, length: 60.0 }, None).unwrap();
    let hem = altered.instructions(Unit::Cm).pop().unwrap();
    assert!(hem.starts_with("Hem: follow the hem of size B, 1.0 cm longer: 60.0 cm straight down"), "{hem}");
}

#[test]
fn the_costliest_step_is_named() {
    let range = range();
    let body = range.chart().size("44").unwrap().body;
    let costliest = |body: Body| range.alter(&body, None).unwrap().costliest().map(kirtle::StepKind::name);
    assert_eq!(costliest(Body { hip: body.hip + 4.0, ..body }), Some("hip"));
    assert_eq!(costliest(Body { hip_depth: body.hip_depth + 2.0, ..body }), Some("hip_line"));
    assert_eq!(costliest(Body { length: body.length + 15.0, ..body }), None);
    let strict = range.alter(&Body { waist: body.waist + 2.0, hip: body.hip + 2.0, ..body }, Some(1e-4)).unwrap();
    assert!(!strict.holds() && strict.verdict().starts_with("Redraft: "));
}

// After each step the pieces are judged by the body that they have come to: that body, altered at once, costs as much.
#[test]
fn a_step_costs_what_the_body_so_far_does() {
    let range = range();
    let size = range.chart().size("44").unwrap().body;
    let body = Body {
        waist: size.waist - 1.5,
        hip: size.hip - 0.5,
        hip_depth: size.hip_depth + 1.1,
        length: size.length - 8.0,
    };
    let altered = range.alter(&body, None).unwrap();
    let Between { from, to, fraction } = &altered.blend.waist;
    let [a, b] = [from, to].map(|name| range.chart().size(name).unwrap().body);
    let between = |a: f64, b: f64| a + (b - a) * fraction;
    let at_waist = Body { hip: between(a.hip, b.hip), hip_depth: between(a.hip_depth, b.hip_depth), ..body };
    let so_far = [at_waist, Body { hip: body.hip, ..at_waist }, body, body];
    let costs = so_far.map(|body| range.alter(&body, None).unwrap().cost.largest_mm());
    for (step, cost) in altered.steps.iter().zip(costs) {
        near(step.cost.largest_mm(), cost, 1e-9);
    }
    assert!(costs[0] < 0.9 * costs[1] && costs[1] < 0.9 * costs[2], "{costs:?}");
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
}

fn equal_legs(panel: &Panel) -> bool {
    panel.darts.iter().all(|dart| ((dart.inner - dart.tip).norm() - (dart.outer - dart.tip).norm()).abs() < 1e-9)
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

    #[test]
    fn altered_pieces_stay_closed_and_sewable(body in within()) {
        // A narrow waist on a wide hip may be refused as a draft.
        let Ok(altered) = range().alter(&body, None) else { return Err(TestCaseError::reject("refused")) };
        let expected = Expected {
            waist: body.waist + EASE.waist,
            hip: body.hip + EASE.hip,
            hip_depth: body.hip_depth,
            length: body.length,
        };
        prop_assert!(equal_legs(&altered.back) && equal_legs(&altered.front));
        let proof = Proof::of(&altered.back.edges, &altered.front.edges, &expected);
        // The waist need not close, nor meet every seam square: that is the cost. All else must hold.
        let spared = ["sewn_waist", "waist_square", "waist_smooth", "dart_tips_clear"];
        let failing: Vec<_> = proof.checks.iter().filter(|check| !check.holds && !spared.contains(&&*check.name)).collect();
        prop_assert!(failing.is_empty(), "{failing:?}");
        prop_assert!(altered.cost.side_mismatch_mm.abs() < 1e-9 && altered.cost.hip_girth_mm.abs() < 1e-9);
    }

    #[test]
    fn corrections_compose_and_are_undone(body in within(), amounts in prop::array::uniform6(-1.5..1.5_f64)) {
        let Ok(first) = kirtle::draft(&body, &EASE, &Rules::default()) else { return Err(TestCaseError::reject("refused")) };
        let corrections: Vec<Correction> = What::ALL.into_iter().zip(amounts)
            .map(|(what, by)| Correction { what, by, at: At::Shared }).collect();
        let Ok(together) = Fitting::new(first.clone()).correct(&corrections) else {
            return Err(TestCaseError::reject("refused"));
        };
        let mut one_by_one = Fitting::new(first.clone());
        for correction in &corrections {
            one_by_one = one_by_one.correct(&[*correction]).unwrap();
        }
        prop_assert_eq!(one_by_one.draft(), together.draft());
        let before_last = one_by_one.clone().undo();
        let last_again = before_last.clone().correct(&corrections[5..]).unwrap();
        prop_assert_eq!(last_again.draft(), one_by_one.draft());
        let undone = together.undo();
        prop_assert_eq!(undone.draft(), &first);
        prop_assert!(one_by_one.draft().proof().holds);
    }

    #[test]
    fn taken_in_at_the_side_the_darts_stay_and_the_other_way_round(body in within(), by in -3.0..3.0_f64) {
        let Ok(first) = kirtle::draft(&body, &EASE, &Rules::default()) else { return Err(TestCaseError::reject("refused")) };
        let corrected = |at| Fitting::new(first.clone()).correct(&[Correction { what: What::Waist, by, at }]);
        if let Ok(fitting) = corrected(At::Side) {
            for (a, b) in first.panels().into_iter().zip(fitting.draft().panels()) {
                for (a, b) in a.darts.iter().zip(&b.darts) {
                    prop_assert!((a.intake - b.intake).abs() < 1e-12 && (a.centre - b.centre).abs() < 1e-12);
                }
            }
            prop_assert!((fitting.draft().sewn_waist() - first.sewn_waist() - by).abs() < 1e-9);
        }
        if let Ok(fitting) = corrected(At::Darts) {
            // But for what the curves ask when the waist is closed anew: 1.5 mm on half the garment was the most found.
            let moved = (fitting.draft().suppression.side - first.suppression.side).abs();
            prop_assert!(moved < 0.2, "{moved}");
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
