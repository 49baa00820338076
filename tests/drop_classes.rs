//! Charts of drop classes, and charts whose sizes each have a minimum share of the people: against every allowed chart of a few people.

use kirtle::Unit;
use kirtle::size_search::{BestChartSize, DropClasses, Loss, SearchSettings, SizeConstraints, best_chart};
use kirtle::survey::SimulatedBodies;

use crate::anything::find_panics;
use crate::constraints::{BOUNDS, chart, least_loss_with, loss_in_size, women};

/// Returns search settings for drops and a minimum share, on a grid of 2 cm.
fn drop_search(drops: DropClasses, min_share: f64, fixed: &[(f64, f64)]) -> SearchSettings {
    let constraints = SizeConstraints { grid: Some(2.0), fixed: fixed.to_vec(), drops, min_share, unit: Unit::Cm };
    SearchSettings { constraints, ..SearchSettings::default() }
}

/// Returns the loss of each person in a size.
fn losses_in(people: &SimulatedBodies, loss: &Loss, size: (f64, f64)) -> Vec<f64> {
    people.waist.iter().zip(&people.hip).map(|(waist, hip)| loss_in_size(loss, (*waist, *hip), size)).collect()
}

#[test]
fn charts_of_drop_classes_are_the_best_of_all() {
    let (mut cases, mut optimal, mut proven) = (0, 0, 0);
    let all_drops: Vec<f64> = (4..20).map(|step| 2.0 * f64::from(step)).collect();
    for (seed, loss) in (0..4).flat_map(|seed| {
        [Loss::Within(3.0), Loss::Squared, Loss::Absolute, Loss::WithinBounds(BOUNDS)].map(move |loss| (seed, loss))
    }) {
        let people = women(seed, 12);
        let places = |drop: f64| -> Vec<Vec<f64>> {
            let waists = (0..25).map(|step| 56.0 + 2.0 * f64::from(step));
            waists.map(|waist| losses_in(&people, &loss, (waist, waist + drop))).collect()
        };
        let least_of = |places: &[Vec<f64>], losses: &[f64], free: usize| {
            least_loss_with(&places.iter().collect::<Vec<_>>(), losses, free)
        };
        let (nobody, fixed) = (vec![f64::INFINITY; 12], vec![(71.0, 100.0)]);
        let two_drops: Vec<Vec<f64>> = [14.0, 22.0].into_iter().flat_map(places).collect();
        let one_and_two = || places(14.0).into_iter().map(|losses| least_of(&places(22.0), &losses, 2));
        let by_drop = || all_drops.iter().map(|drop| least_of(&places(*drop), &nobody, 3));
        let values = DropClasses::Values(vec![14.0, 22.0]);
        for (drops, fixed, least) in [
            (values.clone(), vec![], least_of(&two_drops, &nobody, 3)),
            (values, fixed.clone(), least_of(&two_drops, &losses_in(&people, &loss, fixed[0]), 2)),
            (DropClasses::SizesByDrop(vec![(14.0, 1), (22.0, 2)]), vec![], one_and_two().fold(f64::INFINITY, f64::min)),
            (DropClasses::Number(1), vec![], by_drop().fold(f64::INFINITY, f64::min)),
        ] {
            let best = chart(&people, 3, &loss, &drop_search(drops.clone(), 0.0, &fixed));
            let what = format!("{seed} {loss:?} {drops:?}: {} to {}, least {least}", best.bound, best.loss);
            assert!(best.bound <= least + 1e-9 && least <= best.loss + 1e-9, "{what}");
            let pairs: Vec<(f64, f64)> = best.sizes.iter().map(|size| (size.waist, size.hip)).collect();
            let free = pairs.iter().filter(|size| !fixed.contains(size));
            let mut found: Vec<f64> = free.map(|(waist, hip)| hip - waist).collect();
            found.sort_by(f64::total_cmp);
            let is_allowed = match drops {
                DropClasses::SizesByDrop(_) => found == [14.0, 22.0, 22.0],
                DropClasses::Number(_) => found.windows(2).all(|pair| pair[0].to_bits() == pair[1].to_bits()),
                _ => found.iter().all(|drop| [14.0, 22.0].contains(drop)) && found.len() + fixed.len() == 3,
            };
            assert!(
                is_allowed && pairs.iter().all(|size| size.0 % 2.0 == 0.0 || fixed.contains(size)),
                "{what} {pairs:?}"
            );
            cases += 1;
            optimal += i32::from(best.loss <= least + 1e-9);
            proven += i32::from(matches!(drops, DropClasses::Number(_)) || best.bound >= least * 0.95 - 1e-9);
        }
    }
    assert!(optimal * 100 >= cases * 95 && proven * 100 >= cases * 97, "{optimal} best, {proven} proven of {cases}");
}

/// Every chart of at most two sizes on a grid of 6 cm, each with its share, against the search.
#[test]
fn each_size_has_the_minimum_share() {
    for (seed, loss) in
        (0..6).flat_map(|seed| [Loss::Within(5.0), Loss::Squared, Loss::Absolute].map(move |loss| (seed, loss)))
    {
        let people = women(seed, 30);
        let steps = |first: i32, last: i32| (first..=last).map(|step| 6.0 * f64::from(step));
        let places: Vec<(f64, f64)> =
            steps(9, 20).flat_map(|waist| steps(13, 23).map(move |hip| (waist, hip))).collect();
        let losses: Vec<Vec<f64>> = places.iter().map(|size| losses_in(&people, &loss, *size)).collect();
        let distance =
            |k: usize, size: (f64, f64)| (people.waist[k] - size.0).abs().max((people.hip[k] - size.1).abs());
        for min_share in [0.25, 0.45] {
            let mut least = f64::INFINITY;
            for (a, b) in (0..places.len()).flat_map(|a| (a..places.len()).map(move |b| (a, b))) {
                let (mut shares, mut sum) = ([0.0; 2], 0.0);
                for (k, (of_a, of_b)) in losses[a].iter().zip(&losses[b]).enumerate() {
                    let (in_a, in_b) = ((*of_a, distance(k, places[a])), (*of_b, distance(k, places[b])));
                    let (loss_of_k, place) = if in_b <= in_a { (*of_b, 1) } else { (*of_a, 0) };
                    let counts = !matches!(loss, Loss::Within(_)) || loss_of_k <= 0.0;
                    shares[place] += if counts { 1.0 / 30.0 } else { 0.0 };
                    sum += loss_of_k;
                }
                let has_shares =
                    shares.iter().enumerate().all(|(k, share)| *share >= min_share - 1e-9 || a == b && k == 0);
                least = if has_shares { least.min(sum / 30.0) } else { least };
            }
            let constraints = SizeConstraints { grid: Some(6.0), min_share, ..SizeConstraints::default() };
            let search = SearchSettings { constraints, ..SearchSettings::default() };
            let Ok(best) = best_chart(&people.waist, &people.hip, None, 2, &loss, &search) else {
                assert!(least.is_infinite(), "{seed} {loss:?} {min_share}: {least}");
                continue;
            };
            let share = |size: &BestChartSize| {
                if matches!(loss, Loss::Within(_)) { size.share_without_loss } else { size.share }
            };
            assert!(best.sizes.iter().all(|size| share(size) >= min_share - 1e-9), "{best:?}");
            assert!(
                best.bound <= least + 1e-9 && (best.loss - least).abs() < 1e-9,
                "{seed} {loss:?} {min_share}: {} {least}",
                best.loss
            );
        }
    }
}

#[test]
fn early_ends_and_constraints_without_effect() {
    let people = women(7, 300);
    let fixed = [(72.0, 96.0), (90.0, 108.0)];
    let all_fixed = chart(&people, 2, &Loss::Squared, &drop_search(DropClasses::Values(vec![10.0, 20.0]), 0.0, &fixed));
    assert!(all_fixed.gap() < 1e-9 * all_fixed.loss && all_fixed.sizes.len() == 2, "{all_fixed:?}");
    // As many drops as sizes are any drops.
    let any = chart(&people, 4, &Loss::Squared, &drop_search(DropClasses::Number(4), 0.0, &[]));
    assert!(any.gap() < 0.01 * any.loss, "{} to {}", any.bound, any.loss);
    let early = SearchSettings { target_gap: 0.2, ..drop_search(DropClasses::Values(vec![12.0, 20.0]), 0.0, &[]) };
    let early = chart(&people, 8, &Loss::Squared, &early);
    assert!(early.gap() <= 0.2 * early.loss);
}

#[test]
fn wrong_drops_and_shares_are_refused_at_once() {
    let (drops, min_share) = (DropClasses::SizesByDrop(vec![(200.0, 2), (f64::NAN, 1)]), 1.5);
    let problems =
        best_chart(&[70.0], &[96.0], None, 2, &Loss::Squared, &drop_search(drops, min_share, &[])).unwrap_err();
    let expected = [
        "min_share: 1.5 is above the maximum of 1",
        "drop: 3 sizes are given, at most 2 sizes allowed",
        "drop[0]: 200 cm is above the maximum of 100 cm",
        "drop[1]: NaN is not finite; give a number from -100 to 100 cm",
    ];
    assert_eq!(problems.to_string(), expected.join("\n"));
    for (drops, min_share, expected) in [
        (DropClasses::Number(0), 0.0, "drop: 0 drops are given, at least 1 drop needed"),
        (DropClasses::Any, 0.9, "min_share: 0.9 is above the maximum of 0.5"),
    ] {
        let settings = drop_search(drops, min_share, &[]);
        let problems = best_chart(&[70.0, 80.0], &[96.0, 110.0], None, 2, &Loss::Within(1.0), &settings).unwrap_err();
        assert_eq!(problems.to_string(), expected);
    }
}

/// A sample as large as the message says has few enough pairs of person and size; the search then refuses the share.
#[test]
fn too_many_pairs_are_refused_with_a_way_out() {
    let people = women(1, 3000);
    let refused = |grid: f64, count: usize| {
        let constraints = SizeConstraints { grid: Some(grid), min_share: 0.5, ..SizeConstraints::default() };
        let settings = SearchSettings { constraints, ..SearchSettings::default() };
        let (waist, hip) = (&people.waist[..count], &people.hip[..count]);
        best_chart(waist, hip, None, 2, &Loss::Within(0.1), &settings).unwrap_err().to_string()
    };
    let message = refused(0.3, 3000);
    let start = "pairs of person and size are given, at most 30000000 pairs (by a wider grid or a sample of ";
    let sample: usize = message.split(start).nth(1).and_then(|end| end.split(' ').next()).unwrap().parse().unwrap();
    assert!(sample > 100, "{message}");
    assert!(refused(0.3, sample).starts_with("min_share: 0.5 is above the maximum of "));
    let message = refused(0.1, 3000);
    assert!(message.ends_with("at most 30000000 pairs (by a wider grid) allowed"), "{message}");
}

/// Sizes of drop classes have waists on half inches, if the unit is the inch.
#[test]
fn the_default_grid_is_round_in_its_unit() {
    let people = women(1, 60);
    for (unit, step) in [(Unit::Cm, 1.0), (Unit::Mm, 1.0), (Unit::In, 1.27)] {
        let drops = DropClasses::Values(vec![20.0, 27.0]);
        let constraints = SizeConstraints { drops, unit, ..SizeConstraints::default() };
        let settings = SearchSettings { constraints, ..SearchSettings::default() };
        let best = best_chart(&people.waist, &people.hip, None, 4, &Loss::Within(2.0), &settings).unwrap();
        for size in &best.sizes {
            assert!((size.waist / step - (size.waist / step).round()).abs() < 1e-9, "{unit:?}: {}", size.waist);
        }
    }
}

#[test]
fn searches_of_drops_and_shares_never_panic() {
    let hip = vec![96.0; 40];
    let search = |x: f64, constraints: SizeConstraints, loss: &Loss| {
        let people: Vec<f64> = (0..40).map(|k| if k == 20 { x } else { 70.0 + f64::from(k % 7) }).collect();
        let settings = SearchSettings { restarts: 2, constraints, ..SearchSettings::default() };
        drop(best_chart(&people, &hip, None, 3, loss, &settings));
    };
    let panics = find_panics(&[
        ("drops", &|x| {
            let drops = DropClasses::SizesByDrop(vec![(20.0, 1), (x, 2)]);
            search(
                70.0,
                SizeConstraints { grid: Some(x), drops, min_share: x, ..SizeConstraints::default() },
                &Loss::Squared,
            );
        }),
        ("minimum share", &|x| {
            search(70.0, SizeConstraints { min_share: x, ..SizeConstraints::default() }, &Loss::Within(2.0));
        }),
        ("people", &|x| {
            search(x, SizeConstraints { drops: DropClasses::Number(2), ..SizeConstraints::default() }, &Loss::Squared);
        }),
    ]);
    assert!(panics.is_empty(), "{panics:#?}");
}
