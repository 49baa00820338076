//! Laws of surveys: simulated bodies against their moments, fits counted by hand and in whole tenths of a millimetre.

// A test that cannot go on should stop.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod bodies;

use bodies::cases;
use kirtle::survey::{
    Bounds, ChartFit, GirthSquare, HighHips, NormalDistribution, People, Population, SizeLoad, UnservedCounts,
    UnservedPerson, fit_chart,
};
use kirtle::{Body, Ease, Rules, Size, SizeChart};
use proptest::prelude::*;

const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

fn chart(girths: &[(f64, f64)]) -> SizeChart {
    let size = |(k, (waist, hip)): (usize, &(f64, f64))| Size {
        name: format!("{k}"),
        body: Body { waist: *waist, hip: *hip, hip_depth: 20.0, length: 60.0 },
    };
    SizeChart::new(girths.iter().enumerate().map(size).collect()).unwrap()
}

fn people<'a>(waist: &'a [f64], hip: &'a [f64]) -> People<'a> {
    People { waist, hip, high_hip: None }
}

fn fit(chart: &SizeChart, bounds: &Bounds, people: &People) -> ChartFit {
    fit_chart(chart, &EASE, &Rules::default(), bounds, people).unwrap()
}

fn mean(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    #[allow(clippy::cast_precision_loss)]
    let count = values.len() as f64;
    values.sum::<f64>() / count
}

/// With n = 100,000 a mean is off by SD/√n, a deviation by SD/√2n, a correlation by (1 − r²)/√n; four of each are allowed.
#[test]
fn simulated_bodies_have_the_published_moments() {
    let women = Population::ansur_women();
    let found = women.bodies(1, 0..100_000).unwrap();
    let mut deviations = Vec::new();
    for (column, wanted) in [(&found.waist, women.waist), (&found.hip, women.hip), (&found.hip_depth, women.hip_depth)]
    {
        let centre = mean(column.iter().copied());
        let deviation = mean(column.iter().map(|value| (value - centre).powi(2))).sqrt();
        assert!((centre - wanted.mean).abs() < 4.0 * wanted.deviation / 1e5_f64.sqrt(), "{centre}");
        assert!((deviation - wanted.deviation).abs() < 4.0 * wanted.deviation / 2e5_f64.sqrt(), "{deviation}");
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
/// girths of those moments give SD √(9.99² + 7.59² − 2·0.803·9.99·7.59) = 5.956 and a share of Φ(−16.03/5.956) = 0.36 %.
#[test]
fn the_difference_of_hip_and_waist_is_as_published() {
    let found = Population::ansur_women().bodies(3, 0..100_000).unwrap();
    let drops: Vec<f64> = found.hip.iter().zip(&found.waist).map(|(hip, waist)| hip - waist).collect();
    let centre = mean(drops.iter().copied());
    let deviation = mean(drops.iter().map(|drop| (drop - centre).powi(2))).sqrt();
    assert!((centre - 16.03).abs() < 0.08 && (deviation - 5.956).abs() < 0.06, "{centre} {deviation}");
    let larger = drops.iter().filter(|drop| **drop < 0.0).count();
    assert!((280..440).contains(&larger), "{larger}");
}

#[test]
fn the_first_bodies_are_these_to_the_last_bit() {
    let found = Population::ansur_women().bodies(0, 0..2).unwrap();
    let bits = |row| found.body(row).unwrap().into_array().map(f64::to_bits);
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
fn a_population_that_cannot_be_is_refused_with_all_its_problems() {
    let wrong = Population {
        waist: NormalDistribution { mean: 20.0, deviation: 9.0 },
        hip: NormalDistribution { mean: f64::NAN, deviation: -1.0 },
        correlation: -1.0,
        hip_depth: NormalDistribution { mean: 19.0, deviation: f64::INFINITY },
        length: 0.0,
    };
    let said = [
        "population.waist.mean: 20 cm is below the minimum of 40 cm",
        "population.hip.mean: NaN is not finite; give a number from 50 to 220 cm",
        "population.hip.deviation: -1 cm is below the minimum of 0.01 cm",
        "population.correlation: -1 is below the minimum of -0.999",
        "population.hip_depth.deviation: inf is not finite; give a number from 0.01 to 100 cm",
        "population.length: 0 cm is below the minimum of 15 cm",
    ];
    assert_eq!(wrong.bodies(0, 0..1).unwrap_err().to_string(), said.join("\n"));
}

/// Three sizes, sewn with 1.5 and 5 of ease: A 70/96, B 74/100, C 78/104. Ease left may be 0 to 3 at the waist, and 3 to 7
/// at the hip: a waist may be 1.5 smaller or larger than the size's, a hip 2.
///
/// | row | waist | hip | size, and why | ease left | excess |
/// |---|---|---|---|---|---|
/// | 0 | 70 | 96 | A is hers | 1.5, 5 | 0 |
/// | 1 | 71.5 | 98 | A, both bounds met exactly | 0, 3 | 0 |
/// | 2 | 72 | 98 | A too tight by 0.5, B too loose by 0.5, as near: the larger, B | 3.5, 7 | 0.5 |
/// | 3 | 74 | 104 | B's hip is tight by 2, C's waist loose by 2.5: B | 1.5, 1 | 2 |
/// | 4 | 60 | 90 | A: waist loose by 8.5, hip loose by 4 | 11.5, 11 | 8.5 |
/// | 5 | 85 | 110 | C: waist tight by 5.5, hip tight by 4 | −5.5, −1 | 5.5 |
/// | 6 | – | 100 | unmeasured | | |
/// | 7 | 75 | 99 | B: +1 and −1 | 0.5, 6 | 0 |
/// | 8 | 74 | 98 | B serves: the hip loose to the bound; A's waist is tight | 1.5, 7 | 0 |
/// | 9 | 70 | 102 | B: hip met, waist loose by 2.5; A: hip tight by 4 | 5.5, 3 | 2.5 |
#[test]
fn ten_people_and_three_sizes_counted_by_hand() {
    let sizes = chart(&[(70.0, 96.0), (74.0, 100.0), (78.0, 104.0)]);
    let people = people(
        &[70.0, 71.5, 72.0, 74.0, 60.0, 85.0, f64::NAN, 75.0, 74.0, 70.0],
        &[96.0, 98.0, 98.0, 104.0, 90.0, 110.0, 100.0, 99.0, 98.0, 102.0],
    );
    let fit = fit(&sizes, &Bounds { waist: (0.0, 3.0), hip: (3.0, 7.0), high_hip: None }, &people);
    let each: Vec<_> = fit.each.iter().map(|fitted| fitted.map(|f| (f.size, f.waist, f.hip, f.excess))).collect();
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
    assert_eq!(each, by_hand);
    assert_eq!((fit.count(), fit.unmeasured, fit.served, fit.share_served()), (10, 1, 4, 4.0 / 9.0));
    let loads = [(3, 2), (5, 2), (1, 0)].map(|(people, served)| SizeLoad { people, served });
    assert_eq!(fit.loads, loads);
    // Loose at the waist: rows 2, 4, 9; tight there: 5; tight at the hip: 3, 5; loose there: 4.
    let unserved =
        UnservedCounts { waist_tight: 1, waist_loose: 3, hip_tight: 2, hip_loose: 1, ..UnservedCounts::default() };
    assert_eq!(fit.unserved, unserved);
    let worst = [(4, 8.5), (5, 5.5), (9, 2.5)].map(|(row, excess)| UnservedPerson { row, excess });
    assert_eq!((fit.worst(3), fit.worst(99).len()), (worst.to_vec(), 5));
    // Squares of 10 cm, from 60/90 on.
    let region = |(waist, hip, people, served)| GirthSquare { waist, hip, people, served };
    let squares = [(60.0, 90.0, 1, 0), (70.0, 90.0, 5, 4), (70.0, 100.0, 2, 0), (80.0, 110.0, 1, 0)].map(region);
    assert_eq!(fit.regions(&people, 10.0).unwrap(), squares);
}

/// A garment's girth at the high hip is what its draft says there.
#[test]
fn the_high_hip_is_judged_by_the_draft() {
    let chart = SizeChart::demo();
    let range = chart.draft(&EASE, &Rules::default()).unwrap();
    let depth: Vec<f64> = (0..600).map(|step| 0.1 * f64::from(step) + 0.037).collect();
    let girth = vec![90.0; 600];
    let people =
        People { waist: &[72.0; 600], hip: &[96.0; 600], high_hip: Some(HighHips { girth: &girth, depth: &depth }) };
    let bounds = Bounds { high_hip: Some((0.0, 100.0)), ..Bounds::around(&EASE, 1.0) };
    let fit = fit(&chart, &bounds, &people);
    for (fitted, depth) in fit.each.iter().zip(&depth) {
        let fitted = fitted.unwrap();
        let exact = range.drafts()[fitted.size].girth_at(*depth).unwrap() - 90.0;
        assert!((fitted.high_hip.unwrap() - exact).abs() < 0.01, "{} {exact}", fitted.high_hip.unwrap());
        assert_eq!(fitted.size == 3 && exact > 0.01, fitted.serves() && exact > 0.01);
    }
    let tight = fit.each.iter().flatten().filter(|fitted| fitted.high_hip.is_some_and(|left| left < 0.0)).count();
    assert_eq!((fit.unserved.high_hip_tight, fit.unserved.high_hip_loose), (tight, 0));
    assert!(tight > 50 && fit.served > 400);
    let below = People { high_hip: Some(HighHips { girth: &[90.0; 3], depth: &[-0.1, 60.1, f64::NAN] }), ..people };
    let below = People { waist: &[72.0; 3], hip: &[96.0; 3], ..below };
    assert_eq!(fit_chart(&chart, &EASE, &Rules::default(), &bounds, &below).unwrap().unmeasured, 3);
}

#[test]
fn what_does_not_go_together_is_refused_all_at_once() {
    let people = People {
        waist: &[70.0, 71.0],
        hip: &[96.0],
        high_hip: Some(HighHips { girth: &[90.0; 3], depth: &[10.0; 2] }),
    };
    let bounds = Bounds { waist: (f64::NAN, 1.0), hip: (2.0, 1.0), high_hip: None };
    let ease = Ease { waist: 50.0, ..EASE };
    let problems = fit_chart(&SizeChart::demo(), &ease, &Rules::default(), &bounds, &people).unwrap_err();
    let said = [
        "ease.waist: 50 cm is above the maximum of 40 cm",
        "bounds.waist.minimum: NaN is not finite; give a number from -200 to 200 cm",
        "bounds.hip.maximum: 1 cm is below the minimum of 2 cm",
        "people.hip: 1 number is given; the least is 2 numbers, one a person",
        "people.high_hip.girth: 3 numbers are given; the most is 2 numbers, one a person",
        "bounds.high_hip: missing; give the least and the most ease left at the high hip",
    ];
    assert_eq!(problems.to_string(), said.join("\n"));
}

/// Girths in whole tenths of a millimetre, of which every comparison is exact.
fn whole() -> impl Strategy<Value = (i32, i32)> {
    (600..1120, 840..1320)
}

/// The size given and its excess, in whole tenths, by the definition in words.
fn by_definition(sizes: &[(i32, i32)], person: (i32, i32), tolerance: i32) -> (usize, i32) {
    let misses = |k: &usize| [(sizes[*k].0 - person.0).abs(), (sizes[*k].1 - person.1).abs()];
    let miss = |k: &usize| misses(k).into_iter().max().unwrap();
    let excess = |k: &usize| misses(k).map(|miss| (miss - tolerance).max(0)).into_iter().max().unwrap();
    let serving: Vec<usize> = (0..sizes.len()).filter(|k| excess(k) == 0).collect();
    let larger_last = |k: &usize| std::cmp::Reverse(*k);
    let best = serving.iter().copied().min_by_key(|k| (miss(k), larger_last(k)));
    let best = best.or_else(|| (0..sizes.len()).min_by_key(|k| (excess(k), miss(k), larger_last(k)))).unwrap();
    (best, excess(&best))
}

fn tenths(values: &[(i32, i32)]) -> (Vec<f64>, Vec<f64>) {
    values.iter().map(|(waist, hip)| (f64::from(*waist) / 10.0, f64::from(*hip) / 10.0)).unzip()
}

/// Sizes that grow in both girths.
fn growing() -> impl Strategy<Value = Vec<(i32, i32)>> {
    (600..900, 840..1000, prop::collection::vec((1..90, 1..90), 1..8)).prop_map(|(waist, hip, steps)| {
        let mut sizes = vec![(waist, hip)];
        sizes.extend(steps.iter().scan((waist, hip), |at, (w, h)| {
            *at = (at.0 + w, at.1 + h);
            Some(*at)
        }));
        sizes
    })
}

fn fit_tenths(sizes: &[(i32, i32)], crowd: &[(i32, i32)], tolerance: i32) -> ChartFit {
    let (waist, hip) = tenths(sizes);
    let chart = chart(&waist.into_iter().zip(hip).collect::<Vec<_>>());
    let (waist, hip) = tenths(crowd);
    fit(&chart, &Bounds::around(&EASE, f64::from(tolerance) / 10.0), &people(&waist, &hip))
}

proptest! {
    #![proptest_config(cases(500))]

    #[test]
    fn the_size_given_is_that_of_the_definition(
        sizes in growing(), crowd in prop::collection::vec(whole(), 1..60), tolerance in 0..60,
    ) {
        let fit = fit_tenths(&sizes, &crowd, tolerance);
        for (fitted, person) in fit.each.iter().zip(&crowd) {
            let (size, excess) = by_definition(&sizes, *person, tolerance);
            let fitted = fitted.unwrap();
            prop_assert_eq!(fitted.size, size);
            prop_assert!((fitted.excess - f64::from(excess) / 10.0).abs() < 1e-9 && fitted.serves() == (excess == 0));
        }
        prop_assert_eq!(fit.loads.iter().map(|load| load.people).sum::<usize>(), crowd.len());
        prop_assert_eq!(fit.loads.iter().map(|load| load.served).sum::<usize>(), fit.served);
        prop_assert_eq!(fit.served + fit.worst(crowd.len()).len(), crowd.len());
    }

    #[test]
    fn more_tolerance_and_more_sizes_never_serve_fewer(
        sizes in growing(), crowd in prop::collection::vec(whole(), 1..60), tolerance in 0..60, more in 0..20,
    ) {
        let served = fit_tenths(&sizes, &crowd, tolerance).served;
        prop_assert!(fit_tenths(&sizes, &crowd, tolerance + more).served >= served);
        if sizes.len() > 2 {
            prop_assert!(fit_tenths(&sizes[1..], &crowd, tolerance).served <= served);
        }
    }

    #[test]
    fn any_way_to_part_the_rows_gives_the_same_bodies(seed in any::<u64>(), start in 0..u64::MAX - 60, cut in 0..40_u64) {
        let women = Population::ansur_women();
        let [all, first, second] = [(0, 40), (0, cut), (cut, 40)].map(|(from, to)| {
            women.bodies(seed, start + from..start + to).unwrap()
        });
        let parts = (0..first.len()).map(|row| first.body(row)).chain((0..second.len()).map(|row| second.body(row)));
        prop_assert!(parts.eq((0..all.len()).map(|row| all.body(row))));
        prop_assert!(women.bodies(seed.wrapping_add(1), start..start + 1).unwrap().body(0) != all.body(0));
    }
}
