//! Best charts by waist and hip: against every partition of a few people, and against lower bounds.

use crate::partitions::{LOSSES, for_each_partition, min_group_loss, person_loss};
use kirtle::interrupt::interruptible;
use kirtle::size_search::{
    BestChart, ComparedPeople, Loss, SearchSettings, SizeSteps, best_chart, best_chart_fixed_drop,
    best_chart_fixed_steps, best_sizes, compare_charts,
};
use kirtle::survey::{EaseBounds, PeopleColumns, Population, SimulatedBodies, fit_chart};
use kirtle::{Ease, Rules, SizeChart};

/// Returns simulated women with girths rounded to a millimetre.
fn rounded_women(seed: u64, count: u64) -> SimulatedBodies {
    let mut women = Population::ansur_women().bodies(seed, 0..count).unwrap();
    for girths in [&mut women.waist, &mut women.hip] {
        for girth in girths.iter_mut() {
            *girth = (*girth * 10.0).round() / 10.0;
        }
    }
    women
}

/// Returns the least mean loss over all partitions of people; `group_loss` is the least loss of a group with one size.
fn min_mean_loss(people: &SimulatedBodies, sizes: usize, group_loss: impl Fn(&[(f64, f64)]) -> f64) -> f64 {
    let mut min = f64::INFINITY;
    for_each_partition(people.len(), sizes, &mut |groups| {
        let girths = |group: &Vec<usize>| group.iter().map(|k| (people.waist[*k], people.hip[*k])).collect::<Vec<_>>();
        min = min.min(groups.iter().map(|group| group_loss(&girths(group))).sum());
    });
    let count = people.len() as f64;
    min / count
}

/// Returns the least loss of a few people with one size.
///
/// The two girths are independent, except in `Within`, which counts the people outside the best box.
fn group_loss(loss: &Loss, people: &[(f64, f64)]) -> f64 {
    let Loss::Within(max) = loss else {
        let girth_loss = |girth: fn(&(f64, f64)) -> f64| {
            min_group_loss(loss, &people.iter().map(|person| (girth(person), 1.0)).collect::<Vec<_>>())
        };
        return girth_loss(|person| person.0) + girth_loss(|person| person.1);
    };
    let outside = |waist: f64, hip: f64| {
        people
            .iter()
            .map(|(w, h)| person_loss(loss, *w, waist + max).max(person_loss(loss, *h, hip + max)))
            .sum::<f64>()
    };
    let corners = people.iter().flat_map(|(waist, _)| people.iter().map(|(_, hip)| (*waist, *hip)));
    corners.map(|(waist, hip)| outside(waist, hip)).fold(f64::INFINITY, f64::min)
}

/// The search is heuristic; with 200 restarts it finds the best chart of seven people in every case here.
#[test]
fn the_search_finds_the_best_chart_of_a_few_people() {
    let losses = [LOSSES[0], LOSSES[1], Loss::Within(4.0), LOSSES[3]];
    let search = SearchSettings { restarts: 200, step: 0.1, ..SearchSettings::default() };
    for (seed, loss) in (0..40).flat_map(|seed| losses.map(|loss| (seed, loss))) {
        let people = rounded_women(seed, 7);
        for sizes in 1..=3 {
            let found = best_chart(&people.waist, &people.hip, None, sizes, &loss, &search).unwrap();
            let min = min_mean_loss(&people, sizes, |group| group_loss(&loss, group));
            assert!((found.loss - min).abs() < 1e-9, "{seed} {sizes} {loss:?}: {}, minimum {min}", found.loss);
            assert!(found.bound <= min + 1e-9 && found.sizes.len() <= sizes);
        }
    }
}

#[test]
fn the_bound_is_below_the_loss_and_a_seed_gives_one_result() {
    let women = rounded_women(1, 400);
    let search = SearchSettings { restarts: 5, ..SearchSettings::default() };
    let losses = [LOSSES[0], LOSSES[1], Loss::Within(3.0), LOSSES[3]];
    for loss in losses {
        let best = |search: &SearchSettings| best_chart(&women.waist, &women.hip, None, 8, &loss, search).unwrap();
        let found = best(&search);
        assert_eq!(found, best(&search));
        let longer = best(&SearchSettings { restarts: 40, ..search.clone() });
        assert!(longer.loss <= found.loss * 1.01, "{loss:?}: {} after {}", longer.loss, found.loss);
        assert!((found.sizes.iter().map(|size| size.share).sum::<f64>() - 1.0).abs() < 1e-9);
        assert!(found.sizes.is_sorted_by_key(|size| size.waist + size.hip));
        // The bound is at least that of the two girths, each with its own best sizes.
        let [waist, hip] = [&women.waist, &women.hip].map(|girths| best_sizes(girths, None, 8, &loss).unwrap().loss);
        let separate = if matches!(loss, Loss::Within(_)) { waist.max(hip) } else { waist + hip };
        assert!(separate <= found.bound + 1e-12 && found.bound <= longer.loss);
    }
}

/// Cells of merged people cost most with an absolute loss.
#[test]
fn the_bound_is_close_to_the_loss_of_many_people() {
    let women = Population::ansur_women().bodies(1, 0..20_000).unwrap();
    let search = SearchSettings { restarts: 4, ..SearchSettings::default() };
    for (loss, max) in [(Loss::Squared, 0.02), (Loss::Absolute, 0.1), (Loss::Within(3.0), 0.2)] {
        let found = best_chart(&women.waist, &women.hip, None, 8, &loss, &search).unwrap();
        assert!(found.gap() / found.loss < max, "{loss:?}: loss {}, bound {}", found.loss, found.bound);
    }
}

#[test]
fn the_best_chart_of_people_with_one_drop_has_the_best_sizes_by_one_girth() {
    let waist = rounded_women(5, 500).waist;
    let hip: Vec<f64> = waist.iter().map(|waist| waist + 16.5).collect();
    for (loss, times) in [(Loss::Squared, 2.0), (Loss::Within(2.0), 1.0)] {
        let plane = best_chart_fixed_drop(&waist, &hip, None, 16.5, 6, &loss).unwrap();
        let line = best_sizes(&waist, None, 6, &loss).unwrap();
        assert!((plane.loss - times * line.loss).abs() < 1e-9, "{} by two girths, {} by one", plane.loss, line.loss);
        assert!(plane.gap() == 0.0 && plane.sizes.iter().all(|size| (size.hip - size.waist - 16.5).abs() < 1e-9));
    }
}

#[test]
fn no_partition_costs_less_than_the_best_chart_with_a_fixed_drop() {
    for (seed, drop) in (0..60).zip([10.0, 16.0, 20.5].into_iter().cycle()) {
        let people = rounded_women(seed, 8);
        for (loss, sizes) in [Loss::Squared, Loss::Within(5.0)].into_iter().flat_map(|loss| [(loss, 1), (loss, 3)]) {
            let sum = |group: &[(f64, f64)], waist: f64| {
                let losses = |(w, h): &(f64, f64)| [person_loss(&loss, *w, waist), person_loss(&loss, h - drop, waist)];
                let both = |[w, h]: [f64; 2]| if matches!(loss, Loss::Within(_)) { w.max(h) } else { w + h };
                group.iter().map(|person| both(losses(person))).sum::<f64>()
            };
            let group_loss = |group: &[(f64, f64)]| {
                if let Loss::Within(max) = loss {
                    let tops = group.iter().map(|(waist, hip)| sum(group, waist.min(hip - drop) + max));
                    return tops.fold(f64::INFINITY, f64::min);
                }
                let all = group.iter().flat_map(|(waist, hip)| [*waist, hip - drop]).collect::<Vec<_>>();
                let count = all.len() as f64;
                sum(group, all.iter().sum::<f64>() / count)
            };
            let found = best_chart_fixed_drop(&people.waist, &people.hip, None, drop, sizes, &loss).unwrap();
            let min = min_mean_loss(&people, sizes, group_loss);
            assert!((found.loss - min).abs() < 1e-9, "{seed} {sizes} {loss:?}: {}, minimum {min}", found.loss);
        }
    }
}

#[test]
fn the_best_fixed_drop_is_the_mean_drop() {
    let women = rounded_women(2, 1000);
    let drops = women.hip.iter().zip(&women.waist).map(|(hip, waist)| hip - waist);
    let mean = drops.sum::<f64>() / 1000.0;
    for sizes in [2, 5, 12] {
        let loss =
            |drop| best_chart_fixed_drop(&women.waist, &women.hip, None, drop, sizes, &Loss::Squared).unwrap().loss;
        assert!(loss(mean) < loss(mean - 0.01) && loss(mean) < loss(mean + 0.01));
    }
}

/// The sizes grow by the steps of EN 13402-3; the grid of first sizes has a spacing of 2.5 mm.
#[test]
fn no_first_size_on_a_grid_is_better_than_the_chart_found() {
    let women = rounded_women(4, 300);
    let steps = SizeSteps { waist: 4.0, hip: 4.0 };
    let search = SearchSettings { restarts: 40, step: 0.1, ..SearchSettings::default() };
    for loss in [LOSSES[0], LOSSES[1], Loss::Within(3.0)] {
        let found = best_chart_fixed_steps(&women.waist, &women.hip, None, steps, 8, &loss, &search).unwrap();
        let loss_from = |waist: f64, hip: f64| {
            let people = women.waist.iter().zip(&women.hip);
            let min = |(w, h): (&f64, &f64)| {
                let size_loss = |k: i32| {
                    let [waist, hip] = [waist, hip].map(|first| first + 4.0 * f64::from(k));
                    let [waist, hip] = [person_loss(&loss, *w, waist), person_loss(&loss, *h, hip)];
                    if matches!(loss, Loss::Within(_)) { waist.max(hip) } else { waist + hip }
                };
                (0..8).map(size_loss).fold(f64::INFINITY, f64::min)
            };
            people.map(min).sum::<f64>() / 300.0
        };
        let starts =
            (0..60).flat_map(|i| (0..60).map(move |j| (64.0 + 0.25 * f64::from(i), 80.0 + 0.25 * f64::from(j))));
        let lowest = starts.map(|(waist, hip)| loss_from(waist, hip)).fold(f64::INFINITY, f64::min);
        assert!(
            found.bound <= found.loss && found.loss <= lowest * 1.01,
            "{loss:?}: {}, on the grid {lowest}",
            found.loss
        );
        assert!(found.to_size_chart(20.0, 60.0).is_ok());
    }
}

#[test]
fn charts_are_compared_on_people_held_out_of_the_search() {
    let (women, chart) = (rounded_women(9, 4000), SizeChart::demo());
    let people = ComparedPeople { waist: &women.waist, hip: &women.hip, ..ComparedPeople::default() };
    for loss in [Loss::Squared, Loss::Within(3.0)] {
        let compare = |seed| {
            let search = SearchSettings { seed, restarts: 4, certify: false, ..SearchSettings::default() };
            compare_charts(&chart, &people, &loss, 1, &search).unwrap()
        };
        let compared = compare(1);
        assert_eq!(compared, compare(1));
        assert_ne!(compared.training, compare(2).training);
        assert!((1800..2200).contains(&compared.training) && compared.training + compared.all.held_out == 4000);
        assert!(compared.all.best_loss < compared.all.given_loss, "{compared:?}");
        // The best chart fits the people of its search better than the people held out.
        assert!(compared.best.loss < compared.all.best_loss * 1.02, "{compared:?}");
    }
}

#[test]
fn all_wrong_settings_of_a_search_are_refused_at_once() {
    let message = |found: Result<BestChart, kirtle::Problems>| found.unwrap_err().to_string();
    let search = SearchSettings { restarts: 0, step: 0.0, ..SearchSettings::default() };
    let expected = [
        "sizes: 0 is below the minimum of 1",
        "waist[1]: NaN is not finite; give a number from -1000000 to 1000000 cm",
        "hip: 1 number is given, at least 2 numbers (one per person) needed",
        "search.restarts: 0 is below the minimum of 1",
        "search.step: 0 cm is below the minimum of 0.01 cm",
    ];
    assert_eq!(message(best_chart(&[70.0, f64::NAN], &[96.0], None, 0, &Loss::Squared, &search)), expected.join("\n"));
    let women = Population::ansur_women().bodies(1, 0..5000).unwrap();
    let too_many = message(best_chart_fixed_drop(&women.waist, &women.hip, None, 16.0, 2, &Loss::Within(20.0)));
    assert!(too_many.starts_with("waist: ") && too_many.contains("at most 4000 distinct girths allowed"), "{too_many}");
    let drop = message(best_chart_fixed_drop(&[70.0], &[96.0], None, 101.0, 2, &LOSSES[3]));
    let expected = ["drop: 101 cm is above the maximum of 100 cm", "loss: log_band is not squared or within"];
    assert_eq!(drop, expected.join("\n"));
}

/// A whole weight stands for equal people: sizes, loss and bound are those of the people repeated, and people of weight 0
/// have no effect. Weights in another unit change nothing.
#[test]
fn weights_stand_for_equal_people() {
    for (seed, count) in [(1, 12), (2, 300)] {
        let women = rounded_women(seed, count);
        let counts: Vec<usize> = (0..women.len()).map(|row| row % 4).collect();
        let weights: Vec<f64> = counts.iter().map(|count| *count as f64).collect();
        let repeat = |column: &[f64]| -> Vec<f64> {
            column.iter().zip(&counts).flat_map(|(girth, count)| vec![*girth; *count]).collect()
        };
        let (waist, hip, repeated) = (&women.waist, &women.hip, [repeat(&women.waist), repeat(&women.hip)]);
        let steps = SizeSteps { waist: 4.0, hip: 4.0 };
        let search = SearchSettings { restarts: 3, ..SearchSettings::default() };
        let scaled: Vec<f64> = weights.iter().map(|weight| weight * 0.125).collect();
        for loss in &LOSSES {
            let one_girth = best_sizes(waist, Some(&weights), 3, loss);
            assert_eq!(one_girth, best_sizes(&repeated[0], None, 3, loss), "{loss:?}");
            assert_eq!(one_girth.unwrap().sizes, best_sizes(waist, Some(&scaled), 3, loss).unwrap().sizes);
            let best = best_chart(waist, hip, Some(&weights), 3, loss, &search).unwrap();
            let of_repeated = best_chart(&repeated[0], &repeated[1], None, 3, loss, &search).unwrap();
            assert_eq!((&best.sizes, best.loss, best.bound), (&of_repeated.sizes, of_repeated.loss, of_repeated.bound));
            let of_scaled = best_chart(waist, hip, Some(&scaled), 3, loss, &search).unwrap();
            assert!(
                of_scaled.bound <= of_scaled.loss * (1.0 + 1e-12)
                    && (of_scaled.loss - best.loss).abs() <= 1e-3 * best.loss
            );
            let stepped = best_chart_fixed_steps(waist, hip, Some(&weights), steps, 3, loss, &search).unwrap();
            let of_repeated =
                best_chart_fixed_steps(&repeated[0], &repeated[1], None, steps, 3, loss, &search).unwrap();
            assert_eq!((&stepped.sizes, stepped.loss), (&of_repeated.sizes, of_repeated.loss));
        }
        for loss in [Loss::Squared, Loss::Within(2.0)] {
            let dropped = best_chart_fixed_drop(waist, hip, Some(&weights), 16.0, 3, &loss);
            assert_eq!(dropped, best_chart_fixed_drop(&repeated[0], &repeated[1], None, 16.0, 3, &loss));
        }
    }
    let message =
        |weights: &[f64]| best_sizes(&[70.0, 72.0], Some(weights), 1, &Loss::Squared).unwrap_err().to_string();
    assert_eq!(message(&[0.0, 0.0]), "weights: 0 numbers above 0 are given, at least 1 number above 0 needed");
    assert_eq!(message(&[1.0, -1.0]), "weights[1]: -1 is below the minimum of 0");
    assert_eq!(message(&[1.0]), "weights: 1 number is given, at least 2 numbers (one per person) needed");
}

#[test]
fn every_long_search_can_be_interrupted() {
    let women = Population::ansur_women().bodies(8, 0..10_000).unwrap();
    let (waist, hip, search) = (&women.waist, &women.hip, SearchSettings { restarts: 2, ..SearchSettings::default() });
    // Fewer people for the searches that take long.
    let [some_waists, some_hips] = [waist, hip].map(|girths| &girths[..300]);
    let (chart, steps, ease) = (SizeChart::demo(), SizeSteps { waist: 4.0, hip: 4.0 }, Ease { waist: 1.0, hip: 4.0 });
    let people = PeopleColumns { waist, hip, ..PeopleColumns::default() };
    let bounds = EaseBounds::from_ease_and_tolerance(&ease, 2.0);
    let mut interrupted = 0;
    let mut check = |work: &dyn Fn() -> String| {
        assert_eq!(interruptible(|| Err(7), work), Err(7));
        assert_eq!(interruptible(|| Ok::<(), i32>(()), work), Ok(work()));
        interrupted += 1;
    };
    for loss in &LOSSES {
        check(&|| format!("{:?}", best_sizes(waist, None, 8, loss)));
        check(&|| format!("{:?}", best_chart(some_waists, some_hips, None, 8, loss, &search)));
        check(&|| format!("{:?}", best_chart_fixed_steps(some_waists, some_hips, None, steps, 8, loss, &search)));
        check(&|| {
            format!(
                "{:?}",
                compare_charts(
                    &chart,
                    &ComparedPeople { waist: some_waists, hip: some_hips, ..ComparedPeople::default() },
                    loss,
                    1,
                    &search
                )
            )
        });
    }
    let few = rounded_women(8, 3000);
    check(&|| format!("{:?}", best_chart_fixed_drop(&few.waist, &few.hip, None, 16.0, 8, &Loss::Squared)));
    check(&|| format!("{:?}", best_chart_fixed_drop(&few.waist, &few.hip, None, 16.0, 8, &Loss::Within(2.0))));
    check(&|| format!("{:?}", fit_chart(&chart, &ease, &Rules::default(), &bounds, &people)));
    assert_eq!(interrupted, 19);
}

/// The callback of the innermost `interruptible` runs; after its end that of the outer one runs again. Panics
/// propagate.
#[test]
fn interruptible_calls_can_be_nested() {
    let waist = rounded_women(8, 20_000).waist;
    let work = || best_sizes(&waist, None, 40, &Loss::Squared);
    let inner = interruptible(
        || Err::<(), i32>(1),
        || (interruptible(|| Ok::<(), i32>(()), work), interruptible(|| Err::<(), _>("2"), work)),
    );
    assert_eq!(inner, Ok((Ok(work()), Err("2"))));
    let outer = interruptible(|| Err::<(), i32>(1), || (interruptible(|| Ok::<(), i32>(()), work), work()));
    assert_eq!(outer.unwrap_err(), 1);
    // The work sees that it was stopped, by each search after the failure of the callback.
    let problem = std::rc::Rc::new(std::cell::RefCell::new(String::new()));
    let seen = problem.clone();
    let two = move || *seen.borrow_mut() = [work(), work()].map(|best| best.unwrap_err().to_string()).join(", ");
    assert_eq!(interruptible(|| Err::<(), i32>(1), two), Err(1));
    assert_eq!(*problem.borrow(), "search: stopped before the end, search: stopped before the end");
    let panic =
        std::panic::catch_unwind(|| interruptible(|| Ok::<(), i32>(()), || std::panic::resume_unwind(Box::new(3))));
    assert_eq!(panic.unwrap_err().downcast_ref(), Some(&3));
}
