//! Charts under constraints, a grid of girths, fixed sizes and bounds by girth: against every allowed chart of a few people.

use kirtle::Ease;
use kirtle::size_search::{
    BestChart, DifferenceBounds, Loss, SearchSettings, SizeConstraints, SizeSteps, best_chart, best_chart_fixed_drop,
    best_chart_fixed_steps, best_sizes,
};
use kirtle::survey::{Population, SimulatedBodies};

pub(crate) const BOUNDS: DifferenceBounds = DifferenceBounds { waist: (-3.0, 0.5), hip: (-4.0, 2.0) };

/// Returns simulated women with girths rounded to a tenth of a centimetre.
pub(crate) fn women(seed: u64, count: u64) -> SimulatedBodies {
    let mut women = Population::ansur_women().bodies(seed, 0..count).unwrap();
    for girths in [&mut women.waist, &mut women.hip] {
        for girth in girths.iter_mut() {
            *girth = (*girth * 10.0).round() / 10.0;
        }
    }
    women
}

fn search(grid: Option<f64>, fixed: &[(f64, f64)]) -> SearchSettings {
    SearchSettings {
        constraints: SizeConstraints { grid, fixed: fixed.to_vec(), ..SizeConstraints::default() },
        ..SearchSettings::default()
    }
}

pub(crate) fn chart(people: &SimulatedBodies, sizes: usize, loss: &Loss, search: &SearchSettings) -> BestChart {
    best_chart(&people.waist, &people.hip, None, sizes, loss, search).unwrap()
}

/// Returns the loss of a person in a size, each with waist and hip, by the definition of the loss.
pub(crate) fn loss_in_size(loss: &Loss, person: (f64, f64), size: (f64, f64)) -> f64 {
    let (waist, hip) = (person.0 - size.0, person.1 - size.1);
    let is_in = |difference: f64, (min, max): (f64, f64)| min - 1e-9 <= difference && difference <= max + 1e-9;
    let unserved = |is_served: bool| if is_served { 0.0 } else { 1.0 };
    match loss {
        Loss::Within(max) => unserved(is_in(waist, (-max, *max)) && is_in(hip, (-max, *max))),
        Loss::WithinBounds(bounds) => unserved(is_in(waist, bounds.waist) && is_in(hip, bounds.hip)),
        Loss::Squared => waist * waist + hip * hip,
        _ => waist.abs() + hip.abs(),
    }
}

/// Returns the least mean loss of all charts that have `free` of the places besides sizes with the losses `losses`.
pub(crate) fn least_loss_with(places: &[&Vec<f64>], losses: &[f64], free: usize) -> f64 {
    if free == 0 {
        return losses.iter().sum::<f64>() / losses.len() as f64;
    }
    let with = |k: usize| -> Vec<f64> { losses.iter().zip(places[k]).map(|(a, b)| a.min(*b)).collect() };
    (0..places.len()).map(|k| least_loss_with(&places[k..], &with(k), free - 1)).fold(f64::INFINITY, f64::min)
}

/// Returns the least mean loss of all charts that have the fixed sizes and `free` more, of waists and hips on a grid.
fn least_loss(people: &SimulatedBodies, loss: &Loss, grid: f64, fixed: &[(f64, f64)], free: usize) -> f64 {
    let multiples = |girths: &[f64]| {
        let (min, max) =
            girths.iter().fold((f64::MAX, 0.0_f64), |(min, max), girth| (min.min(*girth), max.max(*girth)));
        let first = ((min - 4.0) / grid).floor();
        (0..u16::MAX)
            .map(|k| (first + f64::from(k)) * grid)
            .take_while(|multiple| *multiple < max + 4.0 + grid)
            .collect::<Vec<f64>>()
    };
    let losses_in = |size: (f64, f64)| -> Vec<f64> {
        people.waist.iter().zip(&people.hip).map(|(waist, hip)| loss_in_size(loss, (*waist, *hip), size)).collect()
    };
    let min = |a: &[f64], b: &[f64]| -> Vec<f64> { a.iter().zip(b).map(|(a, b)| a.min(*b)).collect() };
    let in_fixed =
        fixed.iter().map(|size| losses_in(*size)).fold(vec![f64::INFINITY; people.len()], |a, b| min(&a, &b));
    let (waists, hips) = (multiples(&people.waist), multiples(&people.hip));
    let mut places: Vec<Vec<f64>> =
        waists.iter().flat_map(|waist| hips.iter().map(|hip| losses_in((*waist, *hip)))).collect();
    // A place that is nowhere better than another one is left out.
    places.sort_by(|a, b| a.partial_cmp(b).unwrap());
    places.dedup();
    let is_no_better = |a: &[f64], b: &[f64]| a.iter().zip(b).all(|(a, b)| a >= b);
    let best: Vec<&Vec<f64>> =
        places.iter().filter(|a| !places.iter().any(|b| a != &b && is_no_better(a, b))).collect();
    least_loss_with(&best, &in_fixed, free)
}

#[test]
fn no_allowed_chart_of_a_few_people_is_below_the_bound() {
    let (mut cases, mut optimal, mut proven) = (0, 0, 0);
    for seed in 0..12 {
        let people = women(seed, 9);
        let keep = [(people.waist[0].round(), people.hip[1].round()), (75.3, 99.8)];
        for (loss, grid, kept, sizes) in [
            (Loss::Within(2.0), 1.0, 0, 2),
            (Loss::Within(2.0), 2.0, 1, 3),
            (Loss::Within(0.5), 2.0, 0, 3),
            (Loss::WithinBounds(BOUNDS), 1.0, 0, 3),
            (Loss::WithinBounds(BOUNDS), 2.0, 2, 4),
            (Loss::Squared, 2.0, 0, 2),
            (Loss::Squared, 3.0, 1, 3),
            (Loss::Absolute, 2.0, 0, 2),
            (Loss::Absolute, 3.0, 2, 4),
        ] {
            let fixed = &keep[..kept];
            let best = chart(&people, sizes, &loss, &search(Some(grid), fixed));
            let min = least_loss(&people, &loss, grid, fixed, sizes - kept);
            let what = format!("{seed} {loss:?} {grid} {kept} {sizes}: {} to {}, minimum {min}", best.bound, best.loss);
            assert!(best.bound <= min + 1e-9 && min <= best.loss + 1e-9, "{what}");
            let pairs: Vec<(f64, f64)> = best.sizes.iter().map(|size| (size.waist, size.hip)).collect();
            let is_on_grid = |girth: f64| (girth / grid - (girth / grid).round()).abs() < 1e-9;
            assert!(
                pairs.iter().all(|size| fixed.contains(size) || is_on_grid(size.0) && is_on_grid(size.1)),
                "{pairs:?}"
            );
            assert!(fixed.iter().all(|size| pairs.contains(size)) && pairs.len() <= sizes, "{pairs:?}, {fixed:?}");
            cases += 1;
            optimal += i32::from(best.loss <= min + 1e-9);
            proven += i32::from(best.bound >= min * 0.98 - 1e-9);
        }
    }
    assert!(optimal * 100 >= cases * 95 && proven * 100 >= cases * 95, "{optimal} optimal, {proven} proven of {cases}");
}

/// Fixed sizes without a grid: the other sizes may lie anywhere, so that a fine grid is a chart to beat.
#[test]
fn fixed_sizes_leave_the_others_free() {
    let people = women(3, 8);
    for loss in [Loss::Within(2.0), Loss::WithinBounds(BOUNDS), Loss::Squared] {
        let fixed = [(72.0, 97.0)];
        let best = chart(&people, 2, &loss, &search(None, &fixed));
        let on_grid = least_loss(&people, &loss, 0.25, &fixed, 1);
        assert!(best.bound <= on_grid + 1e-9 && best.loss <= on_grid + 1e-9, "{loss:?}: {best:?}, {on_grid}");
        let free = chart(&people, 2, &loss, &SearchSettings::default());
        assert!(free.loss <= best.loss + 1e-9 && free.bound <= best.loss + 1e-9);
    }
}

#[test]
fn constraints_cost_and_their_bounds_stay_close() {
    let people = women(1, 800);
    let fixed = [(70.0, 94.0), (90.0, 110.0)];
    for (loss, max_gap) in [(Loss::Squared, 0.02), (Loss::Within(2.0), 0.02), (Loss::WithinBounds(BOUNDS), 0.02)] {
        let gap = |best: &BestChart| {
            if loss == Loss::Squared { best.gap() / best.loss } else { best.gap() / (1.0 - best.loss) }
        };
        let free = chart(&people, 10, &loss, &SearchSettings::default());
        for constrained in
            [search(Some(1.0), &[]), search(Some(2.0), &[]), search(None, &fixed), search(Some(2.0), &fixed)]
        {
            let best = chart(&people, 10, &loss, &constrained);
            assert!(best.loss >= free.bound && best.bound >= free.bound * 0.99, "{loss:?} {best:?}");
            assert!(gap(&best) <= max_gap, "{loss:?} {:?}: {} to {}", constrained.constraints, best.bound, best.loss);
        }
    }
}

#[test]
fn equal_bounds_either_way_are_a_tolerance() {
    let people = women(5, 200);
    let bounds = DifferenceBounds { waist: (-2.0, 2.0), hip: (-2.0, 2.0) };
    let settings = SearchSettings::default();
    let by_tolerance = chart(&people, 6, &Loss::Within(2.0), &settings);
    assert_eq!(chart(&people, 6, &Loss::WithinBounds(bounds), &settings), by_tolerance);
    // Moved bounds move the sizes, and nothing else.
    let moved = DifferenceBounds { waist: (-3.0, 1.0), hip: (0.0, 4.0) };
    let best = chart(&people, 6, &Loss::WithinBounds(moved), &settings);
    assert_eq!((best.loss, best.bound), (by_tolerance.loss, by_tolerance.bound));
    for (size, other) in best.sizes.iter().zip(&by_tolerance.sizes) {
        assert!((size.waist - other.waist - 1.0).abs() < 1e-6 && (size.hip - other.hip + 2.0).abs() < 1e-6);
    }
    let by_drop = |loss| best_chart_fixed_drop(&people.waist, &people.hip, None, 25.0, 6, &loss).unwrap().loss;
    let moved = DifferenceBounds { waist: (-3.0, 1.0), hip: (-3.0, 1.0) };
    assert!((by_drop(Loss::WithinBounds(moved)) - by_drop(Loss::Within(2.0))).abs() < 1e-12);
    let ease = Ease { waist: 1.5, hip: 5.0 };
    assert_eq!(DifferenceBounds::from_ease(&ease, (-0.5, 3.5), (3.0, 7.0)), bounds);
}

#[test]
fn a_chart_of_fixed_sizes_alone_is_judged_exactly() {
    let people = women(2, 50);
    let fixed = [(72.0, 96.0), (80.0, 104.0)];
    for loss in [Loss::Within(2.0), Loss::Squared] {
        let best = chart(&people, 2, &loss, &search(Some(2.0), &fixed));
        let mean = least_loss(&people, &loss, 4.0, &fixed, 0);
        assert!((best.loss - mean).abs() < 1e-12 && (best.bound - best.loss).abs() < 1e-15, "{best:?}");
        assert!(best.certificate.is_empty());
    }
    // No multiple of 20 cm is within 1 mm of anybody.
    let best = best_chart(&[71.0, 75.0], &[96.0, 97.0], None, 3, &Loss::Within(0.1), &search(Some(20.0), &[])).unwrap();
    assert_eq!((best.loss, best.bound, best.sizes.len()), (1.0, 1.0, 1));
}

/// A person of weight 2 is two equal people, a person of weight 0 is nobody.
#[test]
fn a_weight_equals_repeated_people_under_constraints() {
    let people = women(4, 60);
    let repeats = (0..people.len()).map(|row| row % 4);
    let weights: Vec<f64> = [0.0, 1.0, 2.0, 3.0].into_iter().cycle().take(people.len()).collect();
    let repeated = |girths: &[f64]| -> Vec<f64> {
        girths.iter().zip(repeats.clone()).flat_map(|(girth, repeats)| vec![*girth; repeats]).collect()
    };
    let (waist, hip) = (repeated(&people.waist), repeated(&people.hip));
    for loss in [Loss::Within(1.0), Loss::WithinBounds(BOUNDS), Loss::Squared, Loss::Absolute] {
        let settings = search(Some(2.5), &[(72.0, 96.0)]);
        let by_weight = best_chart(&people.waist, &people.hip, Some(&weights), 5, &loss, &settings).unwrap();
        let by_rows = best_chart(&waist, &hip, None, 5, &loss, &settings).unwrap();
        assert!((by_weight.loss - by_rows.loss).abs() < 1e-9, "{loss:?}: {} {}", by_weight.loss, by_rows.loss);
        assert!((by_weight.bound - by_rows.bound).abs() < 1e-3 * by_rows.loss, "{loss:?}: {by_weight:?} {by_rows:?}");
    }
}

#[test]
fn wrong_constraints_are_refused_at_once() {
    let settings = search(Some(0.05), &[(70.0, 96.0), (30.0, 400.0), (80.0, 104.0)]);
    let problems = best_chart(&[70.0], &[96.0], None, 2, &Loss::Squared, &settings).unwrap_err();
    let expected = [
        "grid: 0.05 cm is below the minimum of 0.1 cm",
        "fixed: 3 sizes are given, at most 2 sizes allowed",
        "fixed[1].waist: 30 cm is below the minimum of 40 cm",
        "fixed[1].hip: 400 cm is above the maximum of 220 cm",
    ];
    assert_eq!(problems.to_string(), expected.join("\n"));
    let (steps, settings) = (SizeSteps { waist: 4.0, hip: 4.0 }, search(Some(1.0), &[(70.0, 96.0)]));
    let problems = best_chart_fixed_steps(&[70.0], &[96.0], None, steps, 2, &Loss::Squared, &settings).unwrap_err();
    let expected = "grid: cannot be given together with steps\nfixed: cannot be given together with steps";
    assert_eq!(problems.to_string(), expected);
    let bounds = DifferenceBounds { waist: (2.0, 1.0), hip: (-300.0, f64::NAN) };
    let problems =
        best_chart(&[70.0], &[96.0], None, 1, &Loss::WithinBounds(bounds), &SearchSettings::default()).unwrap_err();
    let fields: Vec<&str> = problems.iter().map(|problem| &problem.field[..]).collect();
    assert_eq!(fields, ["loss.waist.maximum", "loss.hip.minimum", "loss.hip.maximum"]);
    let problems = best_sizes(&[70.0], None, 1, &Loss::WithinBounds(BOUNDS)).unwrap_err();
    assert_eq!(problems.to_string(), "bounds: cannot be given together with sizes by one girth");
}
