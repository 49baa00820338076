//! Surveys by design: weights against repeated people, standard errors by their definition, refusals counted by hand.

use crate::bodies::cases;
use crate::fits::{EASE, chart, fit, fit_mm, girths_mm, growing_sizes, in_cm, people};
use kirtle::survey::{
    ChartFit, EaseBounds, MeanGirths, PeopleColumns, Population, RefusedPeople, Replicates, compare_fits,
};
use kirtle::{Code, SizeChart, Unit};
use proptest::prelude::*;

/// Ten people: four with a size; the others are refused for the reasons by hand. Girths that no body has get no size.
#[test]
fn refused_people_are_counted_by_number_and_reason() {
    let nan = f64::NAN;
    let waist = [70.0, 72.0, 999.0, -9.0, 0.0, nan, 74.0, f64::INFINITY, 76.0, 78.0];
    let hip = [96.0, 98.0, 97.0, 99.0, 100.0, nan, nan, 101.0, 102.0, 104.0];
    let weight = [1.0, 0.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, -1.0, 2.0];
    let people = PeopleColumns { weight: Some(&weight), ..people(&waist, &hip) };
    let fit = fit(&SizeChart::demo(), &EaseBounds::from_ease_and_tolerance(&EASE, 2.0), &people);
    let has_size: Vec<usize> = (0..10).filter(|row| fit.by_person[*row].is_some()).collect();
    assert_eq!((has_size, fit.unmeasured), (vec![0, 1, 9], 7));
    let mean = |waist, hip| MeanGirths { waist, hip };
    let refused = |field, code, people, mean| RefusedPeople { field, code, people, mean };
    assert_eq!(fit.accepted, mean(Some((70.0 + 72.0 + 78.0) / 3.0), Some((96.0 + 98.0 + 104.0) / 3.0)));
    let by_hand = [
        refused("waist", Code::AboveMaximum, 1, mean(None, Some(97.0))),
        refused("waist", Code::BelowMinimum, 2, mean(None, Some(99.5))),
        refused("waist", Code::Missing, 1, mean(None, None)),
        refused("waist", Code::NotFinite, 1, mean(None, Some(101.0))),
        refused("hip", Code::Missing, 2, mean(Some(74.0), None)),
        refused("weight", Code::BelowMinimum, 1, mean(Some(76.0), Some(102.0))),
    ];
    assert_eq!(fit.refused, by_hand);
    // The person of weight 0 counts as a person, but not in the share.
    assert_eq!(fit.loads.iter().map(|load| load.people).sum::<usize>(), 3);
    assert_eq!(fit.loads.iter().map(|load| load.weight).sum::<f64>().to_bits(), 3.0_f64.to_bits());
}

#[test]
fn girths_in_another_unit_are_refused_with_the_unit() {
    let mm = [[700.0, 720.0, 9990.0], [960.0, 970.0, 980.0]];
    let message = |scale: f64, unit| {
        let [waist, hip] = mm.map(|girths| girths.map(|mm| mm * scale));
        people(&waist, &hip).check_unit(unit).map_err(|problems| problems.to_string())
    };
    let advice = |unit: &str, advice: &str| {
        let line =
            |girth: &str| format!("people.{girth}: 3 of 3 numbers are out of range in {unit}: give unit=\"{advice}\"");
        Err([line("waist"), line("hip")].join("\n"))
    };
    assert_eq!(message(0.1, Unit::Cm), Ok(()));
    assert_eq!(message(1.0, Unit::Cm), advice("cm", "mm"));
    assert_eq!(message(1.0 / 25.4, Unit::Cm), advice("cm", "in"));
    assert_eq!(message(0.01, Unit::Mm), advice("mm", "cm").map_err(|text: String| text.replacen('3', "2", 1)));
    // Codes for missing numbers are no other unit.
    let people = people(&[9999.0, 9999.0, 70.0], &[-9.0, 0.0, 96.0]);
    assert!(people.check_unit(Unit::Cm).is_ok());
}

/// Standard error of a share p of n people by simple random sampling: √(p (1 − p) / n). A bootstrap of R replicates estimates
/// it with a relative error of √(1 / (2 R)), here 2.2 %; the tolerance is four times that.
#[test]
fn a_bootstrap_has_the_standard_error_of_a_share() {
    let women = Population::ansur_women().bodies(1, 0..2000).unwrap();
    let people = people(&women.waist, &women.hip);
    let fit = fit(&SizeChart::demo(), &EaseBounds::from_ease_and_tolerance(&EASE, 4.0), &people);
    let groups: Vec<usize> = (0..2000).map(|row| usize::from(row % 4 == 0)).collect();
    let shares = |count| fit.served_shares(&people, &groups, Some(&Replicates::Bootstrap { count, seed: 3 })).unwrap();
    let found = shares(1000);
    for (share, count) in found.iter().zip([2000.0, 1500.0, 500.0]) {
        let p = share.share.unwrap();
        let expected = (p * (1.0 - p) / count).sqrt();
        let error = share.standard_error.unwrap() / expected - 1.0;
        assert!(error.abs() < 0.09, "{count} people: {error}");
        let (low, high) = share.interval().unwrap();
        // For many people and replicates Wilson's interval is about ± 1.96 standard errors.
        assert!(low < p && p < high && ((high - low) / share.standard_error.unwrap() - 3.92).abs() < 0.02);
    }
    assert_eq!(found, shares(1000));
    assert_eq!((found[0].count, found[1].count, found[2].count), (2000, 1500, 500));
    assert_eq!(found[0].share, fit.share_served());
    let without = fit.served_shares(&people, &groups, None).unwrap();
    assert!(without.iter().zip(&found).all(|(a, b)| a.share == b.share && a.standard_error.is_none()));
}

#[test]
fn fits_with_columns_of_another_length_are_not_compared() {
    let people = people(&[70.0, 72.0], &[96.0, 98.0]);
    let fit = fit(&SizeChart::demo(), &EaseBounds::from_ease_and_tolerance(&EASE, 2.0), &people);
    let share = &fit.served_shares(&people, &[], None).unwrap()[0];
    let short = PeopleColumns { waist: &people.waist[1..], hip: &people.hip[1..], ..people };
    let problems = compare_fits([(&fit, people, share), (&fit, short, share)]).unwrap_err();
    assert_eq!(problems.to_string(), "second: cannot be given together with first, a fit of other people");
}

#[test]
fn all_wrong_replicates_are_refused_at_once() {
    let people = people(&[70.0, 72.0], &[96.0, 98.0]);
    let fit = fit(&SizeChart::demo(), &EaseBounds::from_ease_and_tolerance(&EASE, 2.0), &people);
    let columns = [vec![1.0, f64::NAN], vec![1.0], vec![-1.0, 1.0]];
    let wrong = Replicates::Weights { columns: &columns, factor: 0.0, degrees_of_freedom: Some(0) };
    let expected = [
        "groups: 1 number is given, at least 2 numbers (one per person) needed",
        "replicate_factor: 0 is below the minimum of 0.000000001",
        "degrees_of_freedom: 0 is below the minimum of 1",
        "replicates[0][1]: NaN is not finite; give a number from 0 to 1000000000",
        "replicates[1]: 1 number is given, at least 2 numbers (one per person) needed",
        "replicates[2][0]: -1 is below the minimum of 0",
    ];
    assert_eq!(fit.served_shares(&people, &[0], Some(&wrong)).unwrap_err().to_string(), expected.join("\n"));
    let one = Replicates::Weights { columns: &[vec![1.0, 1.0]], factor: 1.0, degrees_of_freedom: None };
    let problems = fit.served_shares(&people, &[], Some(&one)).unwrap_err();
    assert_eq!(problems.to_string(), "replicates: 1 is below the minimum of 2");
    let message = |bootstrap, columns, factor| {
        Replicates::from_bootstrap_or_weights(bootstrap, 0, columns, factor, None).map(drop).unwrap_err().to_string()
    };
    assert_eq!(message(Some(9), Some(&columns), None), "bootstrap: cannot be given together with replicates");
    assert_eq!(message(Some(9), None, Some(1.0)), "bootstrap: cannot be given together with replicate_factor");
    assert_eq!(message(None, None, Some(1.0)), "replicates: missing: give replicate weights");
}

proptest! {
    #![proptest_config(cases(500))]

    /// A whole weight stands for equal people: shares, loads and means are those of the people repeated.
    #[test]
    fn a_whole_weight_stands_for_equal_people(
        sizes in growing_sizes(), people_mm in prop::collection::vec((girths_mm(), 0..5_u8), 1..40), tolerance in 0..60,
    ) {
        let repeated: Vec<(i32, i32)> =
            people_mm.iter().flat_map(|(person, weight)| vec![*person; usize::from(*weight)]).collect();
        let (girths, weights): (Vec<_>, Vec<f64>) = people_mm.iter().map(|(girths, weight)| (*girths, f64::from(*weight))).unzip();
        let by_repetition = fit_mm(&sizes, &repeated, tolerance);
        let (waist, hip) = in_cm(&sizes);
        let chart = chart(&waist.into_iter().zip(hip).collect::<Vec<_>>());
        let (waist, hip) = in_cm(&girths);
        let weighted = PeopleColumns { weight: Some(&weights), ..people(&waist, &hip) };
        let bounds = EaseBounds::from_ease_and_tolerance(&EASE, f64::from(tolerance) / 10.0);
        let by_weight = fit(&chart, &bounds, &weighted);
        prop_assert_eq!(by_weight.share_served(), by_repetition.share_served());
        for (load, repeated) in by_weight.loads.iter().zip(&by_repetition.loads) {
            prop_assert_eq!((load.weight, load.served_weight), (repeated.people as f64, repeated.served as f64));
        }
        prop_assert_eq!(by_weight.unserved_weight, by_repetition.unserved_weight);
        prop_assert_eq!(by_weight.unmeasured, 0);
        let square_weights = |fit: &ChartFit, people: &PeopleColumns| -> Vec<(f64, f64, f64)> {
            let squares = fit.regions(people, 3.0).unwrap().into_iter().filter(|square| square.weight > 0.0);
            squares.map(|square| (square.waist, square.weight, square.served_weight)).collect()
        };
        let (waist, hip) = in_cm(&repeated);
        prop_assert_eq!(square_weights(&by_weight, &weighted), square_weights(&by_repetition, &people(&waist, &hip)));
    }

    /// The variance by replicate weights is that of its definition, of all people and of each group; without a replicate
    /// that has weight there is none.
    #[test]
    fn standard_errors_are_those_of_their_definition(
        people_mm in prop::collection::vec((girths_mm(), 0..3_usize, 0.0..9.0_f64), 1..30),
        random in prop::collection::vec(0.0..9.0_f64, 120), factor in 0.01..2.0_f64,
    ) {
        let count = people_mm.len();
        let (waist, hip) = in_cm(&people_mm.iter().map(|(girths, ..)| *girths).collect::<Vec<_>>());
        let groups: Vec<usize> = people_mm.iter().map(|(_, group, _)| *group).collect();
        let weight: Vec<f64> = people_mm.iter().map(|(.., weight)| *weight).collect();
        let columns: Vec<Vec<f64>> = (0..4).map(|k| random[30 * k..30 * k + count].to_vec()).collect();
        let people = PeopleColumns { weight: Some(&weight), ..people(&waist, &hip) };
        let fit = fit(&SizeChart::demo(), &EaseBounds::from_ease_and_tolerance(&EASE, 5.0), &people);
        let found = fit.served_shares(&people, &groups, Some(&Replicates::Weights { columns: &columns, factor, degrees_of_freedom: None })).unwrap();
        for (place, found) in found.iter().enumerate() {
            let share = |weights: &[f64]| {
                let rows = || (0..count).filter(|row| place == 0 || groups[*row] + 1 == place);
                let served = rows().filter(|row| fit.by_person[*row].unwrap().serves());
                served.map(|row| weights[row]).sum::<f64>() / rows().map(|row| weights[row]).sum::<f64>()
            };
            if columns.iter().all(|column| share(column).is_nan()) {
                prop_assert_eq!((found.standard_error, found.interval()), (None, None));
            } else if !share(&weight).is_nan() {
                let squares = columns.iter().map(|column| (share(column) - share(&weight)).powi(2));
                let expected = (factor * squares.filter(|square| !square.is_nan()).sum::<f64>()).sqrt();
                prop_assert!((found.share.unwrap() - share(&weight)).abs() < 1e-12);
                prop_assert!((found.standard_error.unwrap() - expected).abs() < 1e-9);
            }
        }
    }
}
