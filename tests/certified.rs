//! Certified bounds of charts: against every choice of squares, recomputed from the multipliers, and close to the loss.

use kirtle::size_search::{BestChart, BoundProofCase, LogBand, Loss, SearchSettings, best_chart};
use kirtle::survey::{Population, SimulatedBodies};

const TOLERANCE: f64 = 2.0;

/// Returns simulated women with girths rounded to `step` centimetres; a coarse step gives equal women.
fn rounded_women(seed: u64, count: u64, step: f64) -> SimulatedBodies {
    let mut women = Population::ansur_women().bodies(seed, 0..count).unwrap();
    for girths in [&mut women.waist, &mut women.hip] {
        for girth in girths.iter_mut() {
            *girth = (*girth / step).round() * step;
        }
    }
    women
}

fn chart(people: &SimulatedBodies, sizes: usize, search: &SearchSettings) -> BestChart {
    best_chart(&people.waist, &people.hip, None, sizes, &Loss::Within(TOLERANCE), search).unwrap()
}

/// Returns the people in each square that starts at one person's waist and one person's hip.
fn people_by_square(people: &SimulatedBodies) -> Vec<Vec<usize>> {
    let is_in = |girth: f64, start: f64| (-1e-9..=2.0 * TOLERANCE + 1e-9).contains(&(girth - start));
    let square = |(waist, hip): (f64, f64)| {
        (0..people.len()).filter(|k| is_in(people.waist[*k], waist) && is_in(people.hip[*k], hip)).collect()
    };
    let corners = people.waist.iter().flat_map(|waist| people.hip.iter().map(|hip| (*waist, *hip)));
    corners.map(square).collect()
}

/// Returns the largest number of people in `covered` and `sizes` more squares; each is a set of people, one per bit.
fn max_served(squares: &[u64], sizes: usize, covered: u64) -> u32 {
    if sizes == 0 {
        return covered.count_ones();
    }
    let rest = squares.iter().enumerate();
    rest.map(|(k, square)| max_served(&squares[k + 1..], sizes - 1, covered | square))
        .max()
        .unwrap_or(covered.count_ones())
}

#[test]
fn no_chart_of_a_few_people_is_below_the_bound() {
    let (mut cases, mut proven) = (0, 0);
    for seed in 0..60 {
        let people = rounded_women(seed, 14, if seed % 2 == 0 { 0.1 } else { 2.0 });
        let bits = |square: &Vec<usize>| square.iter().map(|k| 1_u64 << k).sum::<u64>();
        let mut squares: Vec<u64> = people_by_square(&people).iter().map(bits).collect();
        squares.sort_unstable();
        squares.dedup();
        let largest: Vec<u64> =
            squares.iter().copied().filter(|a| !squares.iter().any(|b| a != b && a & b == *a)).collect();
        for sizes in 1..=4 {
            let best = chart(&people, sizes, &SearchSettings::default());
            let min_loss = f64::from(14 - max_served(&largest, sizes, 0)) / 14.0;
            assert!(best.bound <= min_loss + 1e-12, "{seed} {sizes}: bound {}, minimum {min_loss}", best.bound);
            assert!(best.loss >= min_loss - 1e-12, "{seed} {sizes}: loss {}, minimum {min_loss}", best.loss);
            cases += 1;
            proven += u32::from((best.bound - min_loss).abs() < 1e-12);
        }
    }
    assert!(proven * 100 >= cases * 95, "{proven} of {cases} bounds are the minimum");
}

/// Returns the largest bound of the given cases on the number of people served, recomputed from the multipliers; the
/// cases share the first `depth` fixed people.
fn served_bound(
    people: &SimulatedBodies,
    weights: &[f64],
    squares: &[Vec<usize>],
    sizes: usize,
    cases: &[&BoundProofCase],
    depth: usize,
) -> f64 {
    if let [case] = cases {
        assert_eq!(case.fixed.len(), depth, "the only case is not split further");
        let mut multipliers = case.multipliers.clone();
        let (mut counted, mut max_multiplier) = (weights.to_vec(), vec![1.0; people.len()]);
        for ((fixed, is_served), k) in case.fixed.iter().flat_map(|fixed| (0..people.len()).map(move |k| (fixed, k))) {
            if (people.waist[*fixed], people.hip[*fixed]) == (people.waist[k], people.hip[k]) {
                (counted[k], max_multiplier[k]) = if *is_served { (weights[k], f64::INFINITY) } else { (0.0, 1.0) };
            }
        }
        assert!(multipliers.iter().zip(&max_multiplier).all(|(u, max)| (0.0..=*max).contains(u)));
        multipliers.iter_mut().zip(&counted).for_each(|(u, counted)| *u *= counted);
        let sum = |square: &Vec<usize>| square.iter().map(|k| multipliers[*k]).sum::<f64>();
        let in_best_square = squares.iter().map(sum).fold(0.0, f64::max);
        let by_squares = sizes as f64 * in_best_square;
        return counted.iter().zip(&multipliers).map(|(counted, u)| counted - u).sum::<f64>() + by_squares;
    }
    let person = cases[0].fixed[depth].0;
    let bound = |is_served| {
        let part: Vec<&BoundProofCase> =
            cases.iter().copied().filter(|case| case.fixed[depth] == (person, is_served)).collect();
        (part.len(), served_bound(people, weights, squares, sizes, &part, depth + 1))
    };
    let ((served, served_max), (left_out, left_out_max)) = (bound(true), bound(false));
    assert_eq!(served + left_out, cases.len(), "all cases are split by one person");
    served_max.max(left_out_max)
}

#[test]
fn the_certificate_gives_the_bound() {
    let mut splits = 0;
    for (seed, count, step, sizes) in
        [(1, 60, 0.1, 3), (2, 120, 1.0, 8), (3, 200, 0.1, 12), (4, 250, 0.5, 16), (10, 700, 0.1, 20)]
    {
        let people = rounded_women(seed, count, step);
        let best = chart(&people, sizes, &SearchSettings::default());
        let cases: Vec<&BoundProofCase> = best.certificate.iter().collect();
        let served =
            served_bound(&people, &vec![1.0; people.len()], &people_by_square(&people), sizes, &cases, 0).floor();
        let all = people.len() as f64;
        assert!(((all - served) / all - best.bound).abs() < 1e-12, "{served} of {all}, bound {}", best.bound);
        splits += cases.len() - 1;
    }
    assert!(splits > 0, "some bound is proven by cases");
}

/// Weights that are no whole numbers: the bound is not rounded. The people of weight 0 have any multiplier.
#[test]
fn the_certificate_of_weighted_people_gives_the_bound() {
    for (seed, count, step, sizes) in [(1, 60, 1.0, 3), (2, 150, 0.1, 8), (4, 250, 0.5, 16)] {
        let people = rounded_women(seed, count, step);
        let weights: Vec<f64> = (0..people.len()).map(|row| (row % 5) as f64 * 0.37).collect();
        let (search, all) = (SearchSettings::default(), weights.iter().sum::<f64>());
        let best =
            best_chart(&people.waist, &people.hip, Some(&weights), sizes, &Loss::Within(TOLERANCE), &search).unwrap();
        let cases: Vec<&BoundProofCase> = best.certificate.iter().collect();
        let served = served_bound(&people, &weights, &people_by_square(&people), sizes, &cases, 0);
        assert!(((all - served) / all - best.bound).abs() < 1e-9, "{served} of {all}, bound {}", best.bound);
        assert!(best.bound <= best.loss + 1e-12 && best.gap() < 0.02, "{} {}", best.bound, best.loss);
    }
}

#[test]
fn the_bound_of_many_people_is_close_to_the_loss() {
    for (count, sizes, max_gap) in [(300, 5, 0.0), (300, 12, 0.0), (1000, 8, 0.003)] {
        let people = rounded_women(7, count, 0.1);
        let best = chart(&people, sizes, &SearchSettings::default());
        let share = best.gap() / (1.0 - best.loss);
        assert!(best.bound <= best.loss && share <= max_gap, "{count} people, {sizes} sizes: {share}");
        let fast = chart(&people, sizes, &SearchSettings { certify: false, ..SearchSettings::default() });
        assert!(best.loss <= fast.loss && fast.bound <= best.bound && fast.certificate.is_empty());
    }
}

const BAND: LogBand = LogBand { small: 0.01, large: 0.03, small_weight: 2.0, large_weight: 1.0 };

/// Returns the loss of a girth, given the girth of the size: the formulas of the losses that are sums over both girths.
fn girth_loss(loss: &Loss, person: f64, size: f64) -> f64 {
    match loss {
        Loss::Squared => (person - size).powi(2),
        Loss::Absolute => (person - size).abs(),
        _ => {
            let ratio = (person / size).ln();
            2.0 * (ratio - 0.01).max(0.0).powi(2) + (-ratio - 0.03).max(0.0).powi(2)
        }
    }
}

/// Returns the bound that the multipliers give if a size may lie only at multiples of `step`, which is at least the bound
/// for sizes that may lie anywhere.
fn bound_on_a_grid(people: &SimulatedBodies, loss: &Loss, sizes: usize, multipliers: &[f64], step: f64) -> f64 {
    let range = |girths: &[f64]| {
        let min = girths.iter().copied().fold(f64::INFINITY, f64::min);
        let max = girths.iter().copied().fold(0.0, f64::max);
        (0..2000).map(|k| min + f64::from(k) * step).take_while(|place| *place <= max).collect::<Vec<f64>>()
    };
    let losses = |girths: &[f64], places: &[f64]| -> Vec<Vec<f64>> {
        places.iter().map(|place| girths.iter().map(|girth| girth_loss(loss, *girth, *place)).collect()).collect()
    };
    let [waist_losses, hip_losses] = [&people.waist, &people.hip].map(|girths| losses(girths, &range(girths)));
    let saved = |waist: &[f64], hip: &[f64]| -> f64 {
        waist.iter().zip(hip).zip(multipliers).map(|((waist, hip), u)| (waist + hip - u).min(0.0)).sum()
    };
    let places = waist_losses.iter().flat_map(|waist| hip_losses.iter().map(move |hip| saved(waist, hip)));
    (multipliers.iter().sum::<f64>() + sizes as f64 * places.fold(0.0, f64::min)) / people.len() as f64
}

#[test]
fn the_multipliers_of_an_additive_loss_give_the_bound() {
    let people = rounded_women(5, 150, 0.1);
    for (loss, sizes) in [(Loss::Squared, 3), (Loss::Squared, 9), (Loss::Absolute, 6), (Loss::LogBand(BAND), 5)] {
        let best = best_chart(&people.waist, &people.hip, None, sizes, &loss, &SearchSettings::default()).unwrap();
        let [BoundProofCase { fixed, multipliers }] = &best.certificate[..] else { panic!("one case") };
        assert!(fixed.is_empty() && multipliers.len() == people.len());
        let on_grid = bound_on_a_grid(&people, &loss, sizes, multipliers, 0.1);
        let excess = (on_grid - best.bound) / best.loss;
        assert!((-1e-9..0.005).contains(&excess), "{loss:?} {sizes}: {on_grid} on the grid, bound {}", best.bound);
        let raised: Vec<f64> = multipliers.iter().map(|u| u * 1.2).collect();
        assert!(bound_on_a_grid(&people, &loss, sizes, &raised, 0.1) < on_grid, "the multipliers are nearly the best");
    }
}

#[test]
fn the_bound_of_a_squared_loss_is_close_to_the_loss() {
    let people = Population::ansur_women().bodies(1, 0..2000).unwrap();
    for (sizes, max_gap) in [(4, 0.01), (12, 0.01), (20, 0.02)] {
        let best =
            best_chart(&people.waist, &people.hip, None, sizes, &Loss::Squared, &SearchSettings::default()).unwrap();
        assert!(best.gap() <= max_gap * best.loss, "{sizes} sizes: loss {}, bound {}", best.loss, best.bound);
    }
}
