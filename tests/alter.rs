//! Laws of alterations on paper: the traced line, its cost against an exact draft, the instructions.

use crate::bodies::cases;
use crate::bodies::chart::{EASE, assert_near, bodies_in_chart, demo_range, size};
use crate::counts::rules_with_counts;
use crate::pieces::distance_to_lines;
use kirtle::proof::ExpectedLengths;
use kirtle::sizes::{Alteration, AlterationLimits, FractionBetweenSizes, SizeBlend, StepKind};
use kirtle::{
    Apportionment, Body, DartCount, DartPosition, Darts, GivenDart, Panel, Path, Point, Proof, Role, Rules, SizeChart,
    Unit,
};
use proptest::prelude::*;

/// Limits with which no step is left out.
const EVERY_STEP: Option<AlterationLimits> = Some(AlterationLimits { tolerance_mm: 3.0, min_step_mm: 0.0 });

fn limits_with_tolerance(tolerance_mm: f64) -> AlterationLimits {
    AlterationLimits { tolerance_mm, ..AlterationLimits::default() }
}

#[test]
fn halfway_between_two_sizes_is_the_mean_body_and_nearly_the_mean_outline() {
    let range = demo_range();
    let mut max = 0.0_f64;
    for pair in range.chart().sizes().windows(2) {
        let mark = FractionBetweenSizes { from: pair[0].name.clone(), to: pair[1].name.clone(), fraction: 0.5 };
        let blend = SizeBlend { waist: mark.clone(), hip: mark, hip_depth: None, length: None };
        let body = range.chart().between(&blend).unwrap();
        let mean = |number: fn(&Body) -> f64| f64::midpoint(number(&pair[0].body), number(&pair[1].body));
        let means = [mean(|b| b.waist), mean(|b| b.hip), mean(|b| b.hip_depth), mean(|b| b.length)];
        assert_eq!(body.into_array().map(f64::to_bits), means.map(f64::to_bits));
        max = max.max(range.alter(&body, EVERY_STEP).unwrap().cost.largest_mm());
    }
    // The mean outline differs from the exact outline, by less than 0.05 mm.
    assert!(max > 1e-4 && max < 0.05, "{max}");
}

#[test]
fn altering_for_a_body_equal_to_a_size_costs_nothing() {
    let range = demo_range();
    for size in range.chart().sizes() {
        let altered = range.alter(&size.body, None).unwrap();
        assert!(altered.cost.largest_mm() < 1e-9 && altered.is_within_tolerance(), "{}: {:?}", size.name, altered.cost);
        assert!(altered.steps.iter().all(|step| step.cost.largest_mm() < 1e-9));
    }
}

#[test]
fn a_slanted_centre_back_goes_straight_from_the_altered_waist_to_the_altered_hip_line() {
    let range = SizeChart::demo().draft(&EASE, &crate::centre_back::rules(2.0)).unwrap();
    for size in range.chart().sizes() {
        assert!(range.alter(&size.body, None).unwrap().cost.largest_mm() < 1e-9, "{}", size.name);
    }
    for hip_depth in [17.0, 20.0, 24.0] {
        let body = Body { waist: 70.0, hip: 100.0, hip_depth, length: 58.0 };
        let altered = range.alter(&body, None).unwrap();
        let centre: Vec<_> = altered.back.paths(Role::Centre).map(|path| (path.start(), path.end())).collect();
        let [(hem, hip), (_, waist)] = centre[..] else { panic!("{centre:?}") };
        assert_eq!((hem.x, hip.x, hip.y, waist), (0.0, 0.0, hip_depth, altered.back.edges[0].path.start()));
        // The traced waist stays square to the seam, and ends within 2 mm of the exact one, as without a slant.
        let tilt = altered.back.edges[0].path.points()[1] - waist;
        let square = tilt.normalize().dot(&(hip - waist).normalize());
        assert!(square.abs() < 2e-3, "{hip_depth}: {square}");
        assert!((waist - altered.exact.back.edges[0].path.start()).norm() < 0.2, "{hip_depth}");
        let text = "Draw the centre back straight from waist line to hip line.";
        assert!(altered.instructions(Unit::Cm).concat().contains(text));
    }
}

// The body so far has the new measurements of the steps already taken, and the old ones of the steps to come.
#[test]
fn the_cost_of_a_step_is_that_of_altering_for_the_body_so_far() {
    let range = demo_range();
    let size = range.chart().size("44").unwrap().body;
    let body = Body {
        waist: size.waist - 1.5,
        hip: size.hip - 0.5,
        hip_depth: size.hip_depth + 1.1,
        length: size.length - 8.0,
    };
    let altered = range.alter(&body, None).unwrap();
    let FractionBetweenSizes { from, to, fraction } = &altered.blend.waist;
    let [a, b] = [from, to].map(|name| range.chart().size(name).unwrap().body);
    let between = |a: f64, b: f64| a + (b - a) * fraction;
    let at_waist = Body { hip: between(a.hip, b.hip), hip_depth: between(a.hip_depth, b.hip_depth), ..body };
    let so_far = [at_waist, Body { hip: body.hip, ..at_waist }, body];
    let costs = so_far.map(|body| range.alter(&body, None).unwrap().cost.largest_mm());
    for (k, cost) in [(0, costs[0]), (1, costs[1]), (3, costs[2]), (4, costs[2]), (5, costs[2])] {
        assert_near(altered.steps[k].cost.largest_mm(), cost, 1e-9);
    }
    // Until the darts follow, the moved hip line costs most.
    let hip_line = altered.steps[2].cost.largest_mm();
    assert!(
        costs[0] < 0.9 * costs[1] && costs[1] < 0.9 * hip_line && costs[2] < 0.5 * hip_line,
        "{hip_line} {costs:?}"
    );
}

// Given darts keep their lengths, and so does a draft.
#[test]
fn given_darts_do_not_follow_the_hip_line() {
    let dart = |place| GivenDart { intake: 2.5, length: 10.0, place: DartPosition::Share(place) };
    let rules = Rules {
        apportionment: Apportionment::Darts(Darts { back: vec![dart(0.5)], front: vec![dart(0.5)] }),
        ..Rules::default()
    };
    let range = SizeChart::demo().draft(&EASE, &rules).unwrap();
    let size = range.chart().size("44").unwrap().body;
    let altered = range.alter(&Body { hip_depth: size.hip_depth + 2.0, ..size }, None).unwrap();
    assert!(altered.steps_done().all(|step| step.kind != StepKind::Darts));
    assert_near(altered.back.darts[0].length, 10.0, 0.0);
    assert!(altered.cost.dart_gap_mm.unwrap() < 2.0, "{:?}", altered.cost);
}

// Size A has one front dart, size B two. The waist line of the nearer size is traced, and its last curve ends at the
// side mark.
#[test]
fn between_sizes_with_different_dart_counts_the_darts_of_the_nearer_size_are_traced() {
    let chart = SizeChart::new(vec![size("A", [68.0, 92.0], 20.0), size("B", [72.0, 106.0], 20.0)]).unwrap();
    let range = chart.draft(&EASE, &rules_with_counts([DartCount::PerSize; 2])).unwrap();
    let [a, b] = [0, 1].map(|k| &range.drafts()[k]);
    assert_eq!([a, b].map(|draft| draft.front.darts.len()), [1, 2]);
    for (fraction, nearer, name) in [(0.25, a, "A"), (0.5, b, "B"), (0.75, b, "B")] {
        let body = Body { waist: 68.0 + 4.0 * fraction, hip: 92.0 + 14.0 * fraction, hip_depth: 20.0, length: 60.0 };
        let altered = range.alter(&body, None).unwrap();
        assert_eq!(altered.front.darts, nearer.front.darts);
        assert_eq!(altered.exact.front.darts.len(), nearer.front.darts.len());
        let last_curve = |panel: &Panel| {
            let last = panel.paths(Role::Waist).last().unwrap();
            let Path::Cubic(cubic) = last else { panic!("the waist is curved") };
            cubic.points
        };
        let [drawn, printed] = [&altered.front, &nearer.front].map(last_curve);
        let side_mark = a.front.waist_width + (b.front.waist_width - a.front.waist_width) * fraction;
        assert_near(drawn[3].x, side_mark, 1e-12);
        assert_eq!(drawn[..2], printed[..2]);
        let handles = [drawn, printed].map(|points| points[3] - points[2]);
        assert_near((handles[0] - handles[1]).norm(), 0.0, 1e-12);
        let instruction = altered.instructions(Unit::Cm).remove(0);
        assert!(instruction.contains(&format!("the darts of size {name} instead")), "{instruction}");
    }
}

// The hip line of the printed sizes may lie below the hem of the altered skirt.
#[test]
fn a_short_skirt_with_a_high_hip_line_is_altered() {
    let range = demo_range();
    let body = Body { waist: 74.0, hip: 99.0, hip_depth: 17.0, length: 18.0 };
    let altered = range.alter(&body, None).unwrap();
    assert_eq!(altered.exact, range.draft_any_body(&body).unwrap());
    let problems = range.alter(&Body { length: 17.5, ..body }, None).unwrap_err();
    assert_eq!(
        problems.to_string(),
        "body.length: 17.5 cm is too short: the hem must lie below the hip line; the minimum is 18 cm"
    );
}

/// Returns the largest distance between the edges of a role in two panels, at 401 points of each edge.
fn measured_distance(a: &Panel, b: &Panel, role: Role) -> f64 {
    let points = |panel: &Panel| -> Vec<Vec<Point>> {
        panel.paths(role).map(|path| (0..=400).map(|k| path.point_at(f64::from(k) / 400.0)).collect()).collect()
    };
    let [a, b] = [a, b].map(points);
    let max_distance = |from: &[Vec<Point>], to: &[Vec<Point>]| {
        from.iter().flatten().map(|point| distance_to_lines(*point, to)).fold(0.0, f64::max)
    };
    max_distance(&a, &b).max(max_distance(&b, &a))
}

// The exact draft of the first body has another number of darts than its alteration, that of the second body the same
// number.
#[test]
fn each_cost_is_the_distance_measured_between_altered_and_exact_outlines() {
    let range = demo_range();
    let size = range.chart().size("44").unwrap().body;
    let bodies = [
        Body { waist: size.waist - 1.4, hip: size.hip + 9.0, hip_depth: size.hip_depth + 2.0, length: 71.0 },
        Body { waist: size.waist + 3.0, hip: size.hip + 2.0, hip_depth: size.hip_depth - 2.0, length: 50.0 },
    ];
    for body in bodies {
        let Alteration { back, front, exact, cost, .. } = range.alter(&body, None).unwrap();
        let pairs = [(&back, &exact.back), (&front, &exact.front)];
        let distances = [Role::Waist, Role::Side, Role::Hem, Role::Centre]
            .map(|role| pairs.iter().map(|(a, b)| measured_distance(a, b, role)).fold(0.0, f64::max));
        let gaps = [cost.waist_gap_mm, cost.side_gap_mm, cost.hem_gap_mm, cost.centre_gap_mm];
        for (distance, gap) in distances.into_iter().zip(gaps) {
            assert_near(gap, 10.0 * distance, 0.02);
        }
        assert!(gaps[0] > 0.1 && gaps[1] > 0.1, "{gaps:?}");
        let girth = |length: fn(&Panel) -> f64| 2.0 * (length(&back) + length(&front));
        assert_near(
            cost.sewn_waist_mm,
            10.0 * (girth(|panel| panel.edge_length(Role::Waist)) - body.waist - EASE.waist),
            1e-9,
        );
        assert_near(cost.hip_girth_mm, 10.0 * (girth(|panel| panel.width) - body.hip - EASE.hip), 1e-9);
        let side_mismatch = front.edge_length(Role::Side) - back.edge_length(Role::Side);
        assert_near(cost.side_mismatch_mm, 10.0 * side_mismatch, 1e-12);
        // The largest cost is the smallest tolerance within which the alteration holds.
        let max = cost.largest_mm();
        assert_eq!(max.is_infinite(), cost.dart_gap_mm.is_none());
        let holds = |tolerance_mm: f64| {
            range.alter(&body, Some(limits_with_tolerance(tolerance_mm))).unwrap().is_within_tolerance()
        };
        assert!(max.is_infinite() || (holds(max) && !holds(0.99 * max)), "{max}");
    }
}

fn has_equal_dart_legs(panel: &Panel) -> bool {
    panel.darts.iter().all(|dart| ((dart.inner - dart.tip).norm() - (dart.outer - dart.tip).norm()).abs() < 1e-9)
}

proptest! {
    #![proptest_config(cases(2_000))]

    #[test]
    fn altered_pieces_pass_every_check_but_those_of_the_waist(body in bodies_in_chart()) {
        // The exact draft of a narrow waist with a wide hip may be refused.
        let Ok(altered) = demo_range().alter(&body, EVERY_STEP) else { return Err(TestCaseError::reject("refused")) };
        let expected = ExpectedLengths {
            waist: body.waist + EASE.waist,
            hip: body.hip + EASE.hip,
            hip_depth: body.hip_depth,
            length: body.length,
        };
        prop_assert!(has_equal_dart_legs(&altered.back) && has_equal_dart_legs(&altered.front));
        let proof = Proof::from_outlines(&altered.back.edges, &altered.front.edges, &expected);
        // The altered waist line may fail the checks in this list; its errors are part of the cost.
        let exempt = ["sewn_waist", "waist_square", "waist_smooth", "dart_tips_clear"];
        let failing = proof.checks.iter().filter(|check| !check.holds && !exempt.contains(&&*check.name));
        let failing: Vec<_> = failing.collect();
        prop_assert!(failing.is_empty(), "{failing:?}");
        prop_assert!(altered.cost.side_mismatch_mm.abs() < 1e-9 && altered.cost.hip_girth_mm.abs() < 1e-9);
    }
}
