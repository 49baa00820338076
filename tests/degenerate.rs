//! Searches of sizes for degenerate people: one person, equal people, people on a line, people whom no size serves.

use crate::bodies::cases;
use crate::partitions::LOSSES;
use kirtle::interrupt::interruptible;
use kirtle::size_search::{
    ComparedPeople, DropClasses, Loss, SearchSettings, SizeConstraints, SizeSteps, best_chart, best_chart_fixed_drop,
    best_chart_fixed_steps, best_sizes, compare_charts,
};
use kirtle::survey::{EaseBounds, PeopleColumns, Population, fit_chart};
use kirtle::{Ease, Rules, SizeChart, Unit};
use proptest::prelude::*;

const STEPS: SizeSteps = SizeSteps { waist: 4.0, hip: 4.0 };

/// Waists and hips of people.
type People = (Vec<f64>, Vec<f64>);

/// Generates one to twelve people: anywhere, all equal, with one drop, with one waist, or at few places.
fn degenerate_people() -> impl Strategy<Value = People> {
    let tenths = |range: std::ops::Range<i32>| range.prop_map(|tenths| f64::from(tenths) / 10.0);
    let places = prop::collection::vec((tenths(600..1100), tenths(800..1300)), 1..13);
    (places, 0..5, 0..12_usize).prop_map(|(places, kind, few)| {
        let (first, count) = (places[0], places.len());
        let person = |(k, (waist, hip)): (usize, (f64, f64))| match kind {
            0 => (waist, hip),
            1 => first,
            2 => (waist, waist + 20.0),
            3 => (first.0, hip),
            _ => places[k % (few % count + 1)],
        };
        places.iter().copied().enumerate().map(person).unzip()
    })
}

/// Runs a search; fails if the search does not end within ten seconds or so of work.
fn within_budget<T>(search: impl FnOnce() -> T) -> T {
    let mut callbacks = 0;
    let budget = move || {
        callbacks += 1;
        if callbacks < 200 { Ok(()) } else { Err("the search does not end") }
    };
    interruptible(budget, search).unwrap()
}

/// Checks the charts of one to `max` sizes: each has sizes, and a bound at most its loss; the loss never rises.
fn check_losses(max: usize, what: &str, chart: impl Fn(usize) -> (usize, f64, f64)) -> Result<(), TestCaseError> {
    let mut previous = f64::INFINITY;
    for sizes in 1..=max {
        let (found, loss, bound) = within_budget(|| chart(sizes));
        prop_assert!((1..=sizes).contains(&found), "{what}: {found} sizes of {sizes}");
        prop_assert!(loss <= previous + 1e-9, "{what}: {loss} with {sizes} sizes, {previous} with one size less");
        prop_assert!(bound <= loss + 1e-9, "{what}: bound {bound}, loss {loss}, {sizes} sizes");
        previous = loss;
    }
    Ok(())
}

proptest! {
    #![proptest_config(cases(40))]

    #[test]
    fn every_search_ends_and_more_sizes_never_cost_more(
        (waist, hip) in degenerate_people(), drop in 10..40, tolerance in 0..60, restarts in 1..6_u32,
    ) {
        let search = SearchSettings { restarts, ..SearchSettings::default() };
        let (max, drop) = (waist.len() + 1, f64::from(drop));
        for loss in LOSSES.into_iter().chain([Loss::Within(f64::from(tolerance) / 10.0)]) {
            check_losses(max, &format!("best sizes, {loss:?}"), |sizes| {
                let best = best_sizes(&waist, None, sizes, &loss).unwrap();
                (best.sizes.len(), best.loss, best.loss)
            })?;
            check_losses(max, &format!("best chart, {loss:?}"), |sizes| {
                let best = best_chart(&waist, &hip, None, sizes, &loss, &search).unwrap();
                assert!(best.sizes.len() == sizes || best.loss <= 0.0, "{} sizes of {sizes}, {best:?}", best.sizes.len());
                (best.sizes.len(), best.loss, best.bound)
            })?;
            let fixed = || vec![(72.0, 96.0)];
            let two_drops = DropClasses::Values(vec![drop, drop + 6.0]);
            for (grid, fixed, drops) in [
                (Some(2.0), vec![], DropClasses::Any),
                (None, fixed(), DropClasses::Any),
                (Some(5.0), fixed(), DropClasses::Any),
                (Some(5.0), vec![], two_drops.clone()),
                (Some(5.0), fixed(), two_drops),
            ] {
                let constraints = SizeConstraints { grid, fixed, drops, min_share: 0.0, unit: Unit::Cm };
                let search = SearchSettings { constraints, ..search.clone() };
                check_losses(max, &format!("{:?}, {loss:?}", search.constraints), |sizes| {
                    let best = best_chart(&waist, &hip, None, sizes, &loss, &search).unwrap();
                    (best.sizes.len(), best.loss, best.bound)
                })?;
            }
            check_losses(max, &format!("fixed steps, {loss:?}"), |sizes| {
                let best = best_chart_fixed_steps(&waist, &hip, None, STEPS, sizes, &loss, &search).unwrap();
                (best.sizes.len(), best.loss, best.bound)
            })?;
            if matches!(loss, Loss::Squared | Loss::Within(_)) {
                check_losses(max, &format!("fixed drop, {loss:?}"), |sizes| {
                    let best = best_chart_fixed_drop(&waist, &hip, None, drop, sizes, &loss).unwrap();
                    (best.sizes.len(), best.loss, best.bound)
                })?;
            }
            // One of the two parts may have no people.
            drop_result(within_budget(|| compare_charts(&SizeChart::demo(), &ComparedPeople { waist: &waist, hip: &hip, ..ComparedPeople::default() }, &loss, 1, &search)));
        }
        let ease = Ease { waist: 1.0, hip: 4.0 };
        let people = PeopleColumns { waist: &waist, hip: &hip, ..PeopleColumns::default() };
        let bounds = EaseBounds::from_ease_and_tolerance(&ease, f64::from(tolerance) / 10.0);
        let fit = fit_chart(&SizeChart::demo(), &ease, &Rules::default(), &bounds, &people).unwrap();
        prop_assert_eq!((fit.count(), fit.unmeasured), (waist.len(), 0));
    }

    #[test]
    fn a_chart_by_tolerance_has_all_sizes_unless_everybody_is_served(
        seed in 0..1000_u64, count in 20..200_u64, sizes in 1..20_usize, tolerance in 1..8,
    ) {
        let people = Population::ansur_women().bodies(seed, 0..count).unwrap();
        let search = SearchSettings { seed, restarts: 2, ..SearchSettings::default() };
        let best = best_chart(&people.waist, &people.hip, None, sizes, &Loss::Within(f64::from(tolerance)), &search).unwrap();
        prop_assert!(best.sizes.len() == sizes || best.loss <= 0.0, "{} sizes of {sizes}, {}", best.sizes.len(), best.loss);
    }

    #[test]
    fn more_restarts_never_give_a_worse_chart(seed in 0..1000_u64, count in 10..400_u64, sizes in 1..12_usize) {
        let people = Population::ansur_women().bodies(seed, 0..count).unwrap();
        let (waist, hip) = (&people.waist, &people.hip);
        for loss in LOSSES {
            let mut previous = [f64::INFINITY; 2];
            for restarts in [1, 2, 3, 5, 8] {
                // Only within a tolerance does the search depend on the certificate.
                let certify = matches!(loss, Loss::Within(_));
                let search = SearchSettings { seed, restarts, certify, ..SearchSettings::default() };
                let chart = best_chart(waist, hip, None, sizes, &loss, &search).unwrap();
                let with_steps = best_chart_fixed_steps(waist, hip, None, STEPS, sizes, &loss, &search).unwrap();
                let losses = [chart.loss, with_steps.loss];
                let never_rises = losses.iter().zip(previous).all(|(loss, previous)| *loss <= previous + 1e-12);
                prop_assert!(never_rises, "{loss:?}: {losses:?} with {restarts} starts, {previous:?} with fewer");
                previous = losses;
            }
        }
    }
}

fn drop_result<T>(result: Result<T, kirtle::Problems>) {
    if let Err(problems) = result {
        assert!(problems.iter().all(|problem| problem.code == kirtle::Code::TooFew), "{problems}");
    }
}

#[test]
fn a_drop_that_serves_nobody_gives_the_nearest_sizes() {
    let best = best_chart_fixed_drop(&[76.0], &[96.9], None, 25.0, 3, &Loss::Within(2.0)).unwrap();
    assert_eq!((best.sizes.len(), best.loss, best.bound), (1, 1.0, 1.0));
    let (size, nearest) = (best.sizes[0], f64::midpoint(76.0, 96.9 - 25.0));
    assert!((size.waist - nearest).abs() < 1e-9 && (size.hip - nearest - 25.0).abs() < 1e-9, "{size:?}");
}

#[test]
fn equal_people_have_a_chart_with_fixed_steps() {
    let search = SearchSettings::default();
    for count in [1, 30] {
        let (waist, hip) = (vec![71.3; count], vec![97.1; count]);
        let best =
            within_budget(|| best_chart_fixed_steps(&waist, &hip, None, STEPS, 8, &Loss::Squared, &search).unwrap());
        assert!(best.sizes.len() == 8 && best.loss < 1e-6, "{best:?}");
    }
}
