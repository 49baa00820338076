//! Charts by draft against every allowed chart of a few people, and the distance of drafts against a fine polyline.

use kirtle::size_search::{ComparedPeople, DropClasses, SearchSettings, SizeConstraints, best_chart_by_draft};
use kirtle::survey::SimulatedBodies;
use kirtle::{Body, Draft, Ease, Panel, Role, Rules};

use crate::constraints::{least_loss_with, women};

const EASE: Ease = Ease { waist: 1.5, hip: 5.0 };

fn drafted(waist: f64, hip: f64, hip_depth: f64) -> Option<Draft> {
    kirtle::draft(&Body { waist, hip, hip_depth, length: 60.0 }, &EASE, &Rules::default()).ok()
}

/// Returns the distance of each person's draft from the draft of a size; `None` if the size cannot be drafted.
fn distances(people: &SimulatedBodies, (waist, hip, hip_depth): (f64, f64, f64)) -> Option<Vec<f64>> {
    let size = drafted(waist, hip, hip_depth)?;
    let own = |k: usize| drafted(people.waist[k], people.hip[k], people.hip_depth[k]).unwrap();
    Some((0..people.waist.len()).map(|k| own(k).distance_to(&size)).collect())
}

#[test]
fn charts_by_draft_are_the_best_of_all() {
    let (mut optimal, mut cases) = (0, 0);
    for seed in 0..8 {
        let people = women(seed, 8);
        let multiples = |step: f64, first: i32, last: i32| (first..=last).map(move |k| step * f64::from(k));
        let girths = multiples(4.0, 14, 28).flat_map(|waist| multiples(4.0, 20, 32).map(move |hip| (waist, hip)));
        let sizes = girths.flat_map(|(waist, hip)| multiples(2.0, 6, 13).map(move |depth| (waist, hip, depth)));
        // Corners of the cells of the grid in which people are.
        let is_around =
            |step: f64, person: f64, size: f64| [0.0, step].contains(&(size - (person / step).floor() * step));
        let is_next_to_people = |(waist, hip, depth): &(f64, f64, f64)| {
            (0..8).any(|k| {
                is_around(4.0, people.waist[k], *waist)
                    && is_around(4.0, people.hip[k], *hip)
                    && is_around(2.0, people.hip_depth[k], *depth)
            })
        };
        let places: Vec<_> =
            sizes.filter(is_next_to_people).filter_map(|size| Some((size, distances(&people, size)?))).collect();
        for drops in [DropClasses::Any, DropClasses::Values(vec![12.0, 16.0, 20.0])] {
            let is_allowed = |(waist, hip, _): (f64, f64, f64)| {
                drops == DropClasses::Any || [12.0, 16.0, 20.0].contains(&(hip - waist))
            };
            let allowed: Vec<&Vec<f64>> =
                places.iter().filter(|(size, _)| is_allowed(*size)).map(|(_, distances)| distances).collect();
            let least = least_loss_with(&allowed, &[f64::INFINITY; 8], 2);
            let constraints = SizeConstraints { grid: Some(4.0), drops: drops.clone(), ..SizeConstraints::default() };
            let search = SearchSettings { constraints, ..SearchSettings::default() };
            let columns = ComparedPeople { waist: &people.waist, hip: &people.hip, ..ComparedPeople::default() };
            let best =
                best_chart_by_draft(&columns, &people.hip_depth, 2, &EASE, &Rules::default(), &search).unwrap().best;
            assert!(best.bound <= least + 1e-9 && least <= best.loss + 1e-9, "{seed} {drops:?} {best:?} {least}");
            assert!(best.bound > 0.95 * least, "{seed} {drops:?} {best:?} {least}");
            (optimal, cases) = (optimal + i32::from(best.loss <= least + 1e-9), cases + 1);
            // Loss and shares follow from the sizes.
            let of_sizes: Vec<Vec<f64>> = best
                .sizes
                .iter()
                .map(|size| distances(&people, (size.waist, size.hip, size.hip_depth.unwrap())).unwrap())
                .collect();
            let nearest = (0..8).map(|k| of_sizes.iter().map(|of_size| of_size[k]).fold(f64::INFINITY, f64::min));
            assert!((nearest.sum::<f64>() / 8.0 - best.loss).abs() < 1e-12);
            assert!((best.sizes.iter().map(|size| size.share).sum::<f64>() - 1.0).abs() < 1e-12);
        }
    }
    assert!(optimal == cases, "{optimal} of {cases}");
}

/// Returns the point that divides lines of a panel, in their order, at a fraction of their length; by a fine polyline.
fn point_at_fraction(panel: &Panel, role: Role, count: usize, fraction: f64, hip_depth: f64) -> [f64; 2] {
    let chords: Vec<_> = panel
        .paths(role)
        .take(count)
        .flat_map(|path| (0..5000).map(|k| [k, k + 1].map(|k| path.point_at(f64::from(k) / 5000.0))))
        .collect();
    let total: f64 = chords.iter().map(|[a, b]| (b - a).norm()).sum();
    let mut rest = total * fraction;
    for [a, b] in &chords {
        let length = (b - a).norm();
        if rest <= length {
            let point = a + (b - a) * (rest / length);
            return [point.x, point.y - hip_depth];
        }
        rest -= length;
    }
    let end = chords[chords.len() - 1][1];
    [end.x, end.y - hip_depth]
}

#[test]
fn the_distance_of_drafts_is_that_of_points_at_equal_fractions() {
    let drafts =
        [(74.0, 101.0, 20.5), (78.0, 101.0, 20.5), (74.0, 106.0, 20.5), (74.0, 101.0, 18.0), (90.0, 99.0, 23.0)]
            .map(|(waist, hip, hip_depth)| drafted(waist, hip, hip_depth).unwrap());
    for (a, b) in drafts.iter().flat_map(|a| drafts.iter().map(move |b| (a, b))) {
        let mut squares = Vec::new();
        for (half, k) in [0, 1].into_iter().flat_map(|half| (0..=8).map(move |k| (half, k))) {
            for (role, count) in [(Role::Waist, 4), (Role::Side, 1)] {
                let point = |draft: &Draft| {
                    let (panel, hip_depth) = (draft.panels()[half], draft.body().hip_depth);
                    point_at_fraction(panel, role, count, f64::from(k) / 8.0, hip_depth)
                };
                let ([ax, ay], [bx, by]) = (point(a), point(b));
                squares.push((ax - bx).powi(2) + (ay - by).powi(2));
            }
        }
        let expected = (squares.iter().sum::<f64>() / squares.len() as f64).sqrt();
        let distance = a.distance_to(b);
        assert!((distance - expected).abs() < 0.001, "{:?} {:?}: {distance} {expected}", a.body(), b.body());
        assert_eq!(distance.to_bits(), b.distance_to(a).to_bits());
    }
}

#[test]
fn people_whose_draft_is_refused_have_no_effect() {
    let (depths, search) = ([20.0, 10.0, 21.0], SearchSettings::default());
    let chart = |waist: &[f64], hip: &[f64], depths: &[f64], search: &SearchSettings| {
        let people = ComparedPeople { waist, hip, ..ComparedPeople::default() };
        best_chart_by_draft(&people, depths, 1, &EASE, &Rules::default(), search)
    };
    let with = chart(&[70.0, 46.0, 73.0], &[96.0, 170.0, 99.0], &depths, &search).unwrap();
    let without = chart(&[70.0, 73.0], &[96.0, 99.0], &[20.0, 21.0], &search).unwrap();
    assert!(with.best.sizes == without.best.sizes && with.best.certificate[0].multipliers[1] == 0.0);
    assert_eq!((with.refused.len(), with.refused[0].0), (1, 1));
    let nobody = chart(&[46.0], &[170.0], &[10.0], &search).unwrap_err();
    assert_eq!(nobody, with.refused[0].1);
    // Nor have people of weight 0.
    let weighted = |weights| {
        let people = ComparedPeople {
            waist: &[70.0, 46.0, 83.0],
            hip: &[96.0, 170.0, 119.0],
            weights: Some(weights),
            ..ComparedPeople::default()
        };
        best_chart_by_draft(&people, &depths, 1, &EASE, &Rules::default(), &search)
    };
    let alone = chart(&[70.0], &[96.0], &[20.0], &search).unwrap();
    assert_eq!(weighted(&[1.0, 1.0, 0.0]).unwrap().best.sizes, alone.best.sizes);
    assert_eq!(weighted(&[0.0, 1.0, 0.0]).unwrap_err(), nobody);
    let constraints = SizeConstraints { fixed: vec![(72.0, 96.0)], ..SizeConstraints::default() };
    let conflict = chart(&[70.0], &[96.0], &[20.0], &SearchSettings { constraints, ..search }).unwrap_err();
    assert_eq!(conflict.to_string(), "fixed: cannot be given together with a loss by draft");
}

#[test]
fn sizes_of_equal_girths_are_sorted_by_hip_depth() {
    let people = ComparedPeople { waist: &[70.0; 3], hip: &[96.0; 3], ..ComparedPeople::default() };
    let search = SearchSettings::default();
    let best = best_chart_by_draft(&people, &[25.0, 20.0, 22.5], 3, &EASE, &Rules::default(), &search).unwrap().best;
    assert!(best.sizes.iter().map(|size| size.hip_depth).eq([20.0, 22.5, 25.0].map(Some)), "{best:?}");
}
