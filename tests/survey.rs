//! Laws of surveys: simulated bodies against their moments, fits counted by hand.

use crate::bodies::cases;
use crate::fits::{EASE, chart, fit, fit_mm, girths_mm, growing_sizes, people};
use kirtle::survey::{
    AssignedAndServedCounts, EaseBounds, HighHipColumns, NormalDistribution, PeopleColumns, Population, UnservedCounts,
    UnservedPerson, WaistHipSquareCounts, fit_chart,
};
use kirtle::{Ease, Rules, SizeChart};
use proptest::prelude::*;

fn mean(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    let count = values.len() as f64;
    values.sum::<f64>() / count
}

/// Tolerance: four standard errors. With n = 100,000 those of mean, deviation and correlation are SD/√n, SD/√2n and
/// (1 − r²)/√n.
#[test]
fn simulated_bodies_have_the_published_moments() {
    let women = Population::ansur_women();
    let found = women.bodies(1, 0..100_000).unwrap();
    let mut deviations = Vec::new();
    for (column, published) in
        [(&found.waist, women.waist), (&found.hip, women.hip), (&found.hip_depth, women.hip_depth)]
    {
        let centre = mean(column.iter().copied());
        let deviation = mean(column.iter().map(|value| (value - centre).powi(2))).sqrt();
        assert!((centre - published.mean).abs() < 4.0 * published.deviation / 1e5_f64.sqrt(), "{centre}");
        assert!((deviation - published.deviation).abs() < 4.0 * published.deviation / 2e5_f64.sqrt(), "{deviation}");
        deviations.push((centre, deviation));
    }
    let correlation = |a: usize, b: usize, columns: [&[f64]; 2]| {
        let pairs = columns[0].iter().zip(columns[1]);
        mean(pairs.map(|(x, y)| (x - deviations[a].0) * (y - deviations[b].0))) / deviations[a].1 / deviations[b].1
    };
    let of_girths = correlation(0, 1, [&found.waist, &found.hip]);
    assert!((of_girths - 0.803).abs() < 4.0 * (1.0 - 0.803 * 0.803) / 1e5_f64.sqrt(), "{of_girths}");
    for (column, place) in [(&found.waist, 0), (&found.hip, 1)] {
        let with_depth = correlation(place, 2, [column, &found.hip_depth]);
        assert!(with_depth.abs() < 4.0 / 1e5_f64.sqrt(), "{with_depth}");
    }
    assert_eq!(found.length, vec![60.0; 100_000]);
}

/// ANSUR II, computed from the public file: hip − waist 16.03, SD 5.98; 17 of 1,986 women have the larger waist. Normal
/// girths of those moments give SD √(9.99² + 7.59² − 2·0.803·9.99·7.59) = 5.956 and a share of
/// Φ(−16.03/5.956) = 0.36 %.
#[test]
fn the_drop_of_simulated_bodies_has_the_published_moments() {
    let found = Population::ansur_women().bodies(3, 0..100_000).unwrap();
    let drops: Vec<f64> = found.hip.iter().zip(&found.waist).map(|(hip, waist)| hip - waist).collect();
    let centre = mean(drops.iter().copied());
    let deviation = mean(drops.iter().map(|drop| (drop - centre).powi(2))).sqrt();
    assert!((centre - 16.03).abs() < 0.08 && (deviation - 5.956).abs() < 0.06, "{centre} {deviation}");
    let larger = drops.iter().filter(|drop| **drop < 0.0).count();
    assert!((280..440).contains(&larger), "{larger}");
}

#[test]
fn the_first_simulated_bodies_are_fixed_to_the_last_bit() {
    let found = Population::ansur_women().bodies(0, 0..2).unwrap();
    let bits = |row| found.body_of_row(row).unwrap().into_array().map(f64::to_bits);
    assert_eq!(
        [bits(0), bits(1)],
        [
            [
                4_635_474_061_875_075_451,
                4_636_573_347_561_227_720,
                4_626_778_563_324_118_618,
                4_633_641_066_610_819_072
            ],
            [
                4_636_702_229_101_539_978,
                4_637_768_547_404_378_406,
                4_625_978_813_840_411_413,
                4_633_641_066_610_819_072
            ],
        ],
        "{found:?}"
    );
}

#[test]
fn all_wrong_parameters_of_a_population_are_refused_at_once() {
    let population = Population {
        waist: NormalDistribution { mean: 20.0, deviation: 9.0 },
        hip: NormalDistribution { mean: f64::NAN, deviation: -1.0 },
        correlation: -1.0,
        hip_depth: NormalDistribution { mean: 19.0, deviation: f64::INFINITY },
        length: 0.0,
    };
    let expected = [
        "population.waist.mean: 20 cm is below the minimum of 40 cm",
        "population.hip.mean: NaN is not finite; give a number from 50 to 220 cm",
        "population.hip.deviation: -1 cm is below the minimum of 0.01 cm",
        "population.correlation: -1 is below the minimum of -0.999",
        "population.hip_depth.deviation: inf is not finite; give a number from 0.01 to 100 cm",
        "population.length: 0 cm is below the minimum of 15 cm",
    ];
    assert_eq!(population.bodies(0, 0..1).unwrap_err().to_string(), expected.join("\n"));
}

/// Three sizes with 1.5 and 5 cm of ease: A 70/96, B 74/100, C 78/104. The ease left on a person must be 0 to 3 at the
/// waist and 3 to 7 at the hip. A size therefore fits a waist up to 1.5 and a hip up to 2 smaller or larger than its
/// own.
///
/// | row | waist | hip | size, and why | ease left | excess |
/// |---|---|---|---|---|---|
/// | 0 | 70 | 96 | A, equal to the size | 1.5, 5 | 0 |
/// | 1 | 71.5 | 98 | A, both bounds met exactly | 0, 3 | 0 |
/// | 2 | 72 | 98 | A too tight by 0.5, B too loose by 0.5, equally near: the larger, B | 3.5, 7 | 0.5 |
/// | 3 | 74 | 104 | B's hip is tight by 2, C's waist loose by 2.5: B | 1.5, 1 | 2 |
/// | 4 | 60 | 90 | A: waist loose by 8.5, hip loose by 4 | 11.5, 11 | 8.5 |
/// | 5 | 85 | 110 | C: waist tight by 5.5, hip tight by 4 | −5.5, −1 | 5.5 |
/// | 6 | – | 100 | unmeasured | | |
/// | 7 | 75 | 99 | B: +1 and −1 | 0.5, 6 | 0 |
/// | 8 | 74 | 98 | B fits: the hip exactly at the upper bound; A's waist is tight | 1.5, 7 | 0 |
/// | 9 | 70 | 102 | B: hip met, waist loose by 2.5; A: hip tight by 4 | 5.5, 3 | 2.5 |
#[test]
fn the_fit_of_ten_people_to_three_sizes_is_that_by_hand() {
    let sizes = chart(&[(70.0, 96.0), (74.0, 100.0), (78.0, 104.0)]);
    let people = people(
        &[70.0, 71.5, 72.0, 74.0, 60.0, 85.0, f64::NAN, 75.0, 74.0, 70.0],
        &[96.0, 98.0, 98.0, 104.0, 90.0, 110.0, 100.0, 99.0, 98.0, 102.0],
    );
    let fit = fit(&sizes, &EaseBounds { waist: (0.0, 3.0), hip: (3.0, 7.0), high_hip: None }, &people);
    let fitted: Vec<_> =
        fit.by_person.iter().map(|fitted| fitted.map(|f| (f.size, f.waist, f.hip, f.excess))).collect();
    let by_hand = [
        Some((0, 1.5, 5.0, 0.0)),
        Some((0, 0.0, 3.0, 0.0)),
        Some((1, 3.5, 7.0, 0.5)),
        Some((1, 1.5, 1.0, 2.0)),
        Some((0, 11.5, 11.0, 8.5)),
        Some((2, -5.5, -1.0, 5.5)),
        None,
        Some((1, 0.5, 6.0, 0.0)),
        Some((1, 1.5, 7.0, 0.0)),
        Some((1, 5.5, 3.0, 2.5)),
    ];
    assert_eq!(fitted, by_hand);
    assert_eq!((fit.count(), fit.unmeasured, fit.served, fit.share_served()), (10, 1, 4, Some(4.0 / 9.0)));
    let loads = [(3, 2), (5, 2), (1, 0)].map(|(people, served)| {
        let [weight, served_weight] = [people, served].map(|count| count as f64);
        AssignedAndServedCounts { people, served, weight, served_weight }
    });
    assert_eq!(fit.loads, loads);
    // Waist: loose in rows 2, 4, 9; tight in row 5. Hip: tight in rows 3, 5; loose in row 4.
    let unserved =
        UnservedCounts { waist_tight: 1, waist_loose: 3, hip_tight: 2, hip_loose: 1, ..UnservedCounts::default() };
    assert_eq!(fit.unserved, unserved);
    let worst = [(4, 8.5), (5, 5.5), (9, 2.5)].map(|(row, excess)| UnservedPerson { row, excess });
    assert_eq!((fit.worst(3), fit.worst(99).len()), (worst.to_vec(), 5));
    // Squares of 10 cm of waist and hip, the first from 60/90.
    let region = |(waist, hip, people, served)| {
        let [weight, served_weight] = [people, served].map(|count| count as f64);
        WaistHipSquareCounts { waist, hip, people, served, weight, served_weight }
    };
    let squares = [(60.0, 90.0, 1, 0), (70.0, 90.0, 5, 4), (70.0, 100.0, 2, 0), (80.0, 110.0, 1, 0)].map(region);
    assert_eq!(fit.regions(&people, 10.0).unwrap(), squares);
}

#[test]
fn the_ease_at_the_high_hip_is_that_of_the_draft() {
    let chart = SizeChart::demo();
    let range = chart.draft(&EASE, &Rules::default()).unwrap();
    let depth: Vec<f64> = (0..600).map(|step| 0.1 * f64::from(step) + 0.037).collect();
    let girth = vec![90.0; 600];
    let high_hip = Some(HighHipColumns { girth: &girth, depth: &depth });
    let people = PeopleColumns { waist: &[72.0; 600], hip: &[96.0; 600], high_hip, ..PeopleColumns::default() };
    let bounds = EaseBounds { high_hip: Some((0.0, 100.0)), ..EaseBounds::from_ease_and_tolerance(&EASE, 1.0) };
    let fit = fit(&chart, &bounds, &people);
    for (fitted, depth) in fit.by_person.iter().zip(&depth) {
        let fitted = fitted.unwrap();
        let exact = range.drafts()[fitted.size].girth_at(*depth).unwrap() - 90.0;
        assert!((fitted.high_hip.unwrap() - exact).abs() < 0.01, "{} {exact}", fitted.high_hip.unwrap());
        assert_eq!(fitted.size == 3 && exact > 0.01, fitted.serves() && exact > 0.01);
    }
    let tight = fit.by_person.iter().flatten().filter(|fitted| fitted.high_hip.is_some_and(|left| left < 0.0)).count();
    assert_eq!((fit.unserved.high_hip_tight, fit.unserved.high_hip_loose), (tight, 0));
    assert!(tight > 50 && fit.served > 400);
    let high_hip = Some(HighHipColumns { girth: &[90.0; 3], depth: &[-0.1, 60.1, f64::NAN] });
    let unmeasured = PeopleColumns { waist: &[72.0; 3], hip: &[96.0; 3], high_hip, ..PeopleColumns::default() };
    assert_eq!(fit_chart(&chart, &EASE, &Rules::default(), &bounds, &unmeasured).unwrap().unmeasured, 3);
}

#[test]
fn all_wrong_inputs_of_a_fit_are_refused_at_once() {
    let people = PeopleColumns {
        waist: &[70.0, 71.0],
        hip: &[96.0],
        high_hip: Some(HighHipColumns { girth: &[90.0; 3], depth: &[10.0; 2] }),
        weight: Some(&[1.0; 3]),
        hip_depth: None,
    };
    let bounds = EaseBounds { waist: (f64::NAN, 1.0), hip: (2.0, 1.0), high_hip: None };
    let ease = Ease { waist: 50.0, ..EASE };
    let problems = fit_chart(&SizeChart::demo(), &ease, &Rules::default(), &bounds, &people).unwrap_err();
    let expected = [
        "ease.waist: 50 cm is above the maximum of 40 cm",
        "bounds.waist.minimum: NaN is not finite; give a number from -200 to 200 cm",
        "bounds.hip.maximum: 1 cm is below the minimum of 2 cm",
        "people.hip: 1 number is given, at least 2 numbers (one per person) needed",
        "people.high_hip: 3 numbers are given, at most 2 numbers (one per person) allowed",
        "people.weight: 3 numbers are given, at most 2 numbers (one per person) allowed",
        "bounds.high_hip: missing: give the minimum and maximum ease at the high hip",
    ];
    assert_eq!(problems.to_string(), expected.join("\n"));
}

/// Returns the size of a person and its excess in millimetres, by the definition of the fit.
fn size_by_definition(sizes: &[(i32, i32)], person: (i32, i32), tolerance: i32) -> (usize, i32) {
    let distances = |k: &usize| [(sizes[*k].0 - person.0).abs(), (sizes[*k].1 - person.1).abs()];
    let distance = |k: &usize| distances(k).into_iter().max().unwrap();
    let excess = |k: &usize| distances(k).map(|distance| (distance - tolerance).max(0)).into_iter().max().unwrap();
    let serving: Vec<usize> = (0..sizes.len()).filter(|k| excess(k) == 0).collect();
    let larger_last = |k: &usize| std::cmp::Reverse(*k);
    let best = serving.iter().copied().min_by_key(|k| (distance(k), larger_last(k)));
    let best = best.or_else(|| (0..sizes.len()).min_by_key(|k| (excess(k), distance(k), larger_last(k)))).unwrap();
    (best, excess(&best))
}

proptest! {
    #![proptest_config(cases(500))]

    #[test]
    fn each_person_gets_the_size_of_the_definition(
        sizes in growing_sizes(), people_mm in prop::collection::vec(girths_mm(), 1..60), tolerance in 0..60,
    ) {
        let fit = fit_mm(&sizes, &people_mm, tolerance);
        for (fitted, person) in fit.by_person.iter().zip(&people_mm) {
            let (size, excess) = size_by_definition(&sizes, *person, tolerance);
            let fitted = fitted.unwrap();
            prop_assert_eq!(fitted.size, size);
            prop_assert!((fitted.excess - f64::from(excess) / 10.0).abs() < 1e-9 && fitted.serves() == (excess == 0));
        }
        prop_assert_eq!(fit.loads.iter().map(|load| load.people).sum::<usize>(), people_mm.len());
        prop_assert_eq!(fit.loads.iter().map(|load| load.served).sum::<usize>(), fit.served);
        prop_assert_eq!(fit.served + fit.worst(people_mm.len()).len(), people_mm.len());
    }

    #[test]
    fn more_tolerance_and_more_sizes_never_serve_fewer(
        sizes in growing_sizes(), people_mm in prop::collection::vec(girths_mm(), 1..60), tolerance in 0..60,
        more in 0..20,
    ) {
        let served = fit_mm(&sizes, &people_mm, tolerance).served;
        prop_assert!(fit_mm(&sizes, &people_mm, tolerance + more).served >= served);
        if sizes.len() > 2 {
            prop_assert!(fit_mm(&sizes[1..], &people_mm, tolerance).served <= served);
        }
    }

    #[test]
    fn simulated_bodies_do_not_depend_on_the_split_of_the_rows(
        seed in any::<u64>(), start in 0..u64::MAX - 60, cut in 0..40_u64,
    ) {
        let women = Population::ansur_women();
        let [all, first, second] = [(0, 40), (0, cut), (cut, 40)].map(|(from, to)| {
            women.bodies(seed, start + from..start + to).unwrap()
        });
        let joined = (0..first.len()).map(|row| first.body_of_row(row)).chain((0..second.len()).map(|row| second.body_of_row(row)));
        prop_assert!(joined.eq((0..all.len()).map(|row| all.body_of_row(row))));
        prop_assert!(women.bodies(seed.wrapping_add(1), start..start + 1).unwrap().body_of_row(0) != all.body_of_row(0));
    }
}
